"""What is measured on a log, and which measures make no log."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from pithline.lengths import told

__all__ = [
    "DIAMETER_LIMITS_MM",
    "LENGTH_LIMITS_MM",
    "TAPER_DOUBT_MM",
    "Fault",
    "Middle",
    "RotHole",
    "SliceLog",
    "SliceRow",
    "TallyLog",
    "slice_faults",
    "tally_faults",
]

LENGTH_LIMITS_MM = (300.0, 40_000.0)
"""Shortest and longest log that is taken for real, common practice."""

DIAMETER_LIMITS_MM = (40.0, 3_000.0)
"""Thinnest and thickest log that is taken for real, common practice."""

OVAL_DOUBT = 2.0
"""How many times the smaller diameter of a section the larger may be."""

SWELL_DOUBT = 1.7
"""How many times the larger end a middle diameter may be."""

TAPER_DOUBT_MM = 10.0
"""How much larger than the butt a tip may read before it is asked about."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a log: the field, and a sentence that helps."""

    field: str
    text: str


@dataclass(frozen=True)
class Middle:
    """Diameters read between the ends.

    Attributes: `at_mm` from the butt; `first_mm`; `second_mm` at right angles,
    None where only one was read.
    """

    at_mm: float
    first_mm: float
    second_mm: float | None = None


@dataclass(frozen=True)
class RotHole:
    """Rot, shake or a hole that shows in an end.

    Attributes: `height_mm` and `width_mm` of the rectangle round it;
    `length_mm`, how far it runs into the log, None for all of it.
    """

    height_mm: float
    width_mm: float
    length_mm: float | None = None


@dataclass(frozen=True)
class TallyLog:
    """One log as the tape gives it, one row of the yard.

    Attributes: diameters are full diameters [mm]; `butt_mm` and `tip_mm` lie
    along `oval_clock` (3 is level), `butt_2_mm` and `tip_2_mm` at right angles;
    `crown_mm` is the greatest offset of the center line from the straight line
    between the end centers, `crown_at_mm` where (None is the middle) and
    `crown_clock` toward which the log bulges; `bark_mm` is the thickness on
    one side, None where the diameters are inside bark; pith offsets are a
    distance and a clock position at each end. Clocks are seen from the butt.
    `sapwood_mm` is the thickness of the sapwood, None where it was not looked at;
    `rot` what shows in an end.
    """

    tag: str
    species: str
    length_mm: float
    butt_mm: float
    tip_mm: float
    butt_2_mm: float | None = None
    tip_2_mm: float | None = None
    oval_clock: float = 3.0
    middles: tuple[Middle, ...] = ()
    crown_mm: float = 0.0
    crown_at_mm: float | None = None
    crown_clock: float = 12.0
    bark_mm: float | None = None
    butt_pith_mm: float = 0.0
    butt_pith_clock: float = 12.0
    tip_pith_mm: float = 0.0
    tip_pith_clock: float = 12.0
    sapwood_mm: float | None = None
    rot: RotHole | None = None


@dataclass(frozen=True)
class SliceRow:
    """One slice through a scanned log, at right angles to its length.

    Attributes: `station_mm` along the log; center `x_mm` right and `y_mm` up,
    seen from the butt; full axes `axis_1_mm` and `axis_2_mm`; `angle_deg` of
    the first axis, counterclockwise from x.
    """

    station_mm: float
    x_mm: float
    y_mm: float
    axis_1_mm: float
    axis_2_mm: float
    angle_deg: float = 0.0


@dataclass(frozen=True)
class SliceLog:
    """A log as slices from butt to tip; `bark_mm` as in `TallyLog`."""

    tag: str
    species: str
    slices: tuple[SliceRow, ...]
    bark_mm: float | None = None


def _size_faults(field: str, value_mm: float, limits: tuple[float, float]) -> list[Fault]:
    """A length that no log has."""
    low, high = limits
    if not math.isfinite(value_mm) or not low <= value_mm <= high:
        text = f"{field}: {told(value_mm)} is no log's measure; it must lie between {told(low)} and {high / 1000:g} m."
        return [Fault(field, text + " Measure again, or check the unit.")]
    return []


def _clock_faults(field: str, clock: float) -> list[Fault]:
    """A clock position that is on no clock."""
    if not 1.0 <= clock < 13.0:
        return [Fault(field, f"{field}: {clock:g} is not on the clock; give 1 to 12, seen from the butt, 12 up.")]
    return []


def _bark_faults(bark_mm: float | None, least_mm: float) -> list[Fault]:
    """Bark that is negative or leaves no wood."""
    if bark_mm is None or 0.0 <= bark_mm < 0.25 * least_mm:
        return []
    return [
        Fault(
            "bark",
            f"bark: {told(bark_mm)} on a log {told(least_mm)} through; give the thickness on one side, "
            f"under a quarter of the diameter.",
        )
    ]


def _inside_faults(row: TallyLog) -> list[Fault]:
    """Sapwood thicker than the log, rot larger than its end or longer than it."""
    faults: list[Fault] = []
    least, widest = min(_diameters(row)), max(row.butt_mm, row.tip_mm)
    if row.sapwood_mm is not None and not 0.0 <= row.sapwood_mm <= 0.5 * widest:
        faults.append(
            Fault(
                "sapwood",
                f"sapwood: {told(row.sapwood_mm)} on a log {told(least)} through; give its thickness on one side, "
                f"at most half the diameter.",
            )
        )
    if row.rot is None:
        return faults
    for field, size in (("rot_high", row.rot.height_mm), ("rot_wide", row.rot.width_mm)):
        if not 0.0 < size <= widest:
            faults.append(
                Fault(
                    field, f"{field}: {told(size)} on a log {told(widest)} through; more than 0, at most the diameter."
                )
            )
    length = row.rot.length_mm
    if length is not None and not 0.0 < length <= row.length_mm:
        faults.append(
            Fault("rot_long", f"rot_long: {told(length)}; it must be more than 0, at most {told(row.length_mm)}.")
        )
    return faults


def _middle_faults(row: TallyLog) -> list[Fault]:
    """Middle diameters off the log, twice at one place, or of no log's size."""
    faults: list[Fault] = []
    seen: set[float] = set()
    for number, middle in enumerate(row.middles, start=1):
        if not 0.0 < middle.at_mm < row.length_mm or middle.at_mm in seen:
            faults.append(
                Fault(
                    f"mid_{number}_at",
                    f"mid_{number}_at: {told(middle.at_mm)}; each middle diameter needs a place of its own "
                    f"between the ends, 0 to {told(row.length_mm)} from the butt.",
                )
            )
        seen.add(middle.at_mm)
        faults += _size_faults(f"mid_{number}", middle.first_mm, DIAMETER_LIMITS_MM)
        widest = max(row.butt_mm, row.tip_mm)
        if DIAMETER_LIMITS_MM[0] <= widest and SWELL_DOUBT * widest < middle.first_mm <= DIAMETER_LIMITS_MM[1]:
            faults.append(
                Fault(
                    f"mid_{number}",
                    f"mid_{number}: {told(middle.first_mm)} on a log with ends of {told(row.butt_mm)} and "
                    f"{told(row.tip_mm)}. Measure again, or check the unit.",
                )
            )
        if middle.second_mm is not None:
            faults += _size_faults(f"mid_{number}_2", middle.second_mm, DIAMETER_LIMITS_MM)
    return faults


def _crown_faults(row: TallyLog) -> list[Fault]:
    """A crown that is negative or larger than the log is thick."""
    widest = max(row.butt_mm, row.tip_mm)
    if 0.0 <= row.crown_mm <= widest:
        return []
    return [
        Fault(
            "crown",
            f"crown: {told(row.crown_mm)} on a log {told(widest)} through; it must be 0 or more and no larger than "
            f"the diameter. Buck a log this crooked shorter, or measure from the center line again.",
        )
    ]


def _crown_at_faults(row: TallyLog) -> list[Fault]:
    """A crown measured off the log."""
    if row.crown_at_mm is None or 0.0 < row.crown_at_mm < row.length_mm:
        return []
    return [
        Fault(
            "crown_at",
            f"crown_at: {told(row.crown_at_mm)}; it must lie between the ends, "
            f"0 to {told(row.length_mm)} from the butt.",
        )
    ]


def _pith_faults(row: TallyLog) -> list[Fault]:
    """A pith that would lie outside its end."""
    faults: list[Fault] = []
    ends = (
        ("butt", row.butt_pith_mm, row.butt_mm, row.butt_2_mm),
        ("tip", row.tip_pith_mm, row.tip_mm, row.tip_2_mm),
    )
    for end, offset_mm, first_mm, second_mm in ends:
        radius = 0.5 * min(first_mm, second_mm or first_mm)
        if not 0.0 <= offset_mm < radius:
            faults.append(
                Fault(
                    f"{end}_pith",
                    f"{end}_pith: {told(offset_mm)} from the center of an end of radius {told(radius)}; "
                    f"give a distance from 0 to the radius.",
                )
            )
    return faults


def _diameters(row: TallyLog) -> list[float]:
    """Every diameter of a row that is a log's [mm]."""
    ends = (row.butt_mm, row.tip_mm, row.butt_2_mm, row.tip_2_mm)
    middles = [d for middle in row.middles for d in (middle.first_mm, middle.second_mm)]
    return [d for d in (*ends, *middles) if d is not None and d >= DIAMETER_LIMITS_MM[0]]


def _taper_faults(row: TallyLog, *, tip_larger_ok: bool) -> list[Fault]:
    """A tip larger than the butt by more than a measuring error."""
    butt = 0.5 * (row.butt_mm + (row.butt_2_mm or row.butt_mm))
    tip = 0.5 * (row.tip_mm + (row.tip_2_mm or row.tip_mm))
    if tip <= butt + TAPER_DOUBT_MM or tip_larger_ok:
        return []
    text = f"tip: {told(tip)} is larger than butt: {told(butt)}. Swap the ends, measure again, or accept it with"
    return [Fault("tip", f"{text} --tip-larger-ok.")]


def _oval_faults(row: TallyLog) -> list[Fault]:
    """Two diameters of one section that belong to no round log."""
    pairs = [("butt_2", row.butt_mm, row.butt_2_mm), ("tip_2", row.tip_mm, row.tip_2_mm)]
    pairs += [(f"mid_{n}_2", middle.first_mm, middle.second_mm) for n, middle in enumerate(row.middles, start=1)]
    return [
        Fault(
            field,
            f"{field}: {told(second)} beside {told(first)}; a section this oval is no round log. "
            f"Measure again, or check the unit.",
        )
        for field, first, second in pairs
        if second is not None and max(first, second) > OVAL_DOUBT * min(first, second)
    ]


def tally_faults(row: TallyLog, *, tip_larger_ok: bool = False) -> list[Fault]:
    """Everything that keeps a tally row from being a log.

    Parameters
    ----------
    row : TallyLog
        The row as read.
    tip_larger_ok : bool
        Take a tip larger than the butt as measured.

    Returns
    -------
    list of Fault
        Empty where the row is a log.

    Source
    ------
    common practice
    """
    faults = _size_faults("length", row.length_mm, LENGTH_LIMITS_MM)
    long_enough = not faults
    thick = []
    for field in ("butt", "tip", "butt_2", "tip_2"):
        value = getattr(row, f"{field}_mm")
        if value is not None:
            thick += _size_faults(field, value, DIAMETER_LIMITS_MM)
    faults += thick
    clocks = ["oval_clock", "crown_clock", "butt_pith_clock", "tip_pith_clock"]
    for field in clocks:
        faults += _clock_faults(field, getattr(row, field))
    if long_enough:
        faults += _middle_faults(row) + _crown_at_faults(row)
    if not thick:
        faults += _taper_faults(row, tip_larger_ok=tip_larger_ok) + _oval_faults(row)
        faults += _bark_faults(row.bark_mm, min(_diameters(row))) + _crown_faults(row) + _pith_faults(row)
        faults += _inside_faults(row)
    return faults


def slice_faults(log: SliceLog) -> list[Fault]:
    """Everything that keeps a set of slices from being a log.

    Parameters
    ----------
    log : SliceLog
        The slices, in any order.

    Returns
    -------
    list of Fault
        Empty where the slices are a log.

    Source
    ------
    common practice
    """
    faults: list[Fault] = []
    stations: Sequence[float] = sorted(row.station_mm for row in log.slices)
    if len(stations) < 2:
        return [Fault("station", "station: one slice is no log; give at least the two ends.")]
    if any(b - a < 1.0 for a, b in itertools.pairwise(stations)):
        faults.append(Fault("station", "station: two slices stand at the same place; keep one of them."))
    faults += _size_faults("station", stations[-1] - stations[0], LENGTH_LIMITS_MM)
    for row in log.slices:
        for field in ("axis_1", "axis_2"):
            faults += _size_faults(field, getattr(row, f"{field}_mm"), DIAMETER_LIMITS_MM)
        for field, number in (("x", row.x_mm), ("y", row.y_mm), ("angle", row.angle_deg)):
            if not math.isfinite(number):
                faults.append(Fault(field, f"{field}: {number:g} is no number to place a slice by; give a finite one."))
    if not faults:
        faults += _bark_faults(log.bark_mm, min(min(r.axis_1_mm, r.axis_2_mm) for r in log.slices))
    return faults
