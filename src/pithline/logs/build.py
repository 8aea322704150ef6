"""From measures to a solid: a tally row or slices become a log."""

import itertools

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.errors import LogError
from pithline.logs.interpolate import monotone
from pithline.logs.measures import SliceLog, TallyLog, slice_faults, tally_faults
from pithline.logs.solid import LogSolid, clock_of, direction_of, on_the_clock, shape_matrix

__all__ = ["crown_offset_mm", "solid_from_slices", "solid_from_tally", "stations"]

STATION_GAP_MM = 250.0
"""No two stations of a solid stand further apart than this."""

CHORD_MM = 0.15
"""How far the straight run between two stations may cut the bend of a log."""

LEAN_DOUBT = 0.05
"""Lean of slices against the line between the ends that is worth a sentence."""

_INSIDE_BARK = "Diameters are taken as inside bark, since no bark thickness is given."


def stations(measured_mm: Floats) -> Floats:
    """Stations that keep every measured one and leave no gap over 250 mm.

    Parameters
    ----------
    measured_mm : (m,) float
        Measured stations, increasing [mm].

    Returns
    -------
    (n,) float
        Stations, increasing [mm].

    Source
    ------
    definition
    """
    pieces = []
    for start, end in itertools.pairwise(measured_mm):
        count = max(1, int(np.ceil((end - start) / STATION_GAP_MM - 1e-9)))
        pieces.append(np.linspace(start, end, count + 1)[:-1])
    return np.concatenate([*pieces, measured_mm[-1:]])


def _stations_for(measured_mm: Floats, crown_mm: float, crown_at_mm: float) -> Floats:
    """Stations, and more of them where a crown near an end bends so fast that chords would cut it.

    A chord over a gap g of a half parabola of reach h and height c lies c (g / 2 h)^2 inside it.
    """
    z = stations(measured_mm)
    if crown_mm <= 0.0:
        return z
    for edge in (measured_mm[0], measured_mm[-1]):
        reach = abs(edge - crown_at_mm)
        gap = 2.0 * reach * np.sqrt(CHORD_MM / crown_mm)
        if gap < STATION_GAP_MM:
            more = np.linspace(crown_at_mm, edge, int(np.ceil(reach / gap)) + 1)
            # A station within a millimeter of another adds nothing.
            new = more[np.abs(more[:, None] - z).min(axis=1) > 1.0]
            z = np.sort(np.concatenate([z, new]))
    return z


def crown_offset_mm(z_mm: Floats, length_mm: float, *, crown_mm: float, crown_at_mm: float) -> Floats:
    """Offset of the center line from the straight line between the end centers.

    Two half parabolas, level where the crown was measured and zero at the
    ends: offset = crown (1 - u^2), u the distance from `crown_at_mm` over the
    distance of that end. With the crown at the middle this is one parabola.

    Parameters
    ----------
    z_mm : (n,) float
        Distances from the butt [mm].
    length_mm : float
        Length of the log [mm].
    crown_mm : float
        Greatest offset [mm].
    crown_at_mm : float
        Where it was measured, from the butt [mm].

    Returns
    -------
    (n,) float
        Offsets, 0 at both ends [mm].

    Source
    ------
    definition
    """
    reach = np.where(z_mm < crown_at_mm, crown_at_mm, length_mm - crown_at_mm)
    u = (z_mm - crown_at_mm) / reach
    return np.asarray(crown_mm * (1.0 - u * u))


def solid_from_tally(row: TallyLog, *, tip_larger_ok: bool = False) -> LogSolid:
    """The solid of a log measured with a tape.

    Parameters
    ----------
    row : TallyLog
        The measures.
    tip_larger_ok : bool
        Take a tip larger than the butt as measured.

    Returns
    -------
    LogSolid
        Sections inside bark where the bark is known.

    Raises
    ------
    LogError
        The measures make no log; the message holds every fault.

    Source
    ------
    definition
    """
    faults = tally_faults(row, tip_larger_ok=tip_larger_ok)
    if faults:
        raise LogError("\n".join(fault.text for fault in faults))
    middles = sorted(row.middles, key=lambda middle: middle.at_mm)
    measured = np.array([0.0, *(m.at_mm for m in middles), row.length_mm])
    first = np.array([row.butt_mm, *(m.first_mm for m in middles), row.tip_mm])
    second = np.array(
        [row.butt_2_mm or row.butt_mm, *(m.second_mm or m.first_mm for m in middles), row.tip_2_mm or row.tip_mm]
    )
    at = row.length_mm / 2.0 if row.crown_at_mm is None else row.crown_at_mm
    z = _stations_for(measured, row.crown_mm, at)
    bark = 2.0 * (row.bark_mm or 0.0)
    angle = np.full(len(z), 90.0 - 30.0 * row.oval_clock)
    shape = shape_matrix(
        monotone(measured, first, at=z) - bark, monotone(measured, second, at=z) - bark, angle_deg=angle
    )
    center = np.outer(
        crown_offset_mm(z, row.length_mm, crown_mm=row.crown_mm, crown_at_mm=at), direction_of(row.crown_clock)
    )
    butt_pith = row.butt_pith_mm * direction_of(row.butt_pith_clock)
    tip_pith = row.tip_pith_mm * direction_of(row.tip_pith_clock)
    along = (z / row.length_mm)[:, None]
    return LogSolid(
        tag=row.tag,
        species=row.species,
        z_mm=frozen(z),
        center_mm=frozen(center),
        shape_mm=frozen(shape),
        pith_mm=frozen(center + (1.0 - along) * butt_pith + along * tip_pith),
        crown_mm=row.crown_mm,
        crown_clock=on_the_clock(row.crown_clock) if row.crown_mm > 0.0 else None,
        bark_mm=row.bark_mm,
        notes=() if row.bark_mm is not None else (_INSIDE_BARK,),
        sapwood_mm=row.sapwood_mm,
        rot=row.rot,
    )


def solid_from_slices(log: SliceLog) -> LogSolid:
    """The solid of a log known by slices.

    Stations start from 0 at the first slice, and centers are measured from
    the straight line between the first and the last center.

    Parameters
    ----------
    log : SliceLog
        The slices, in any order.

    Returns
    -------
    LogSolid
        The pith is taken to follow the centers.

    Raises
    ------
    LogError
        The slices make no log; the message holds every fault.

    Source
    ------
    definition
    """
    faults = slice_faults(log)
    if faults:
        raise LogError("\n".join(fault.text for fault in faults))
    rows = sorted(log.slices, key=lambda row: row.station_mm)
    measured = np.array([row.station_mm for row in rows])
    measured -= measured[0]
    z = stations(measured)
    bark = 2.0 * (log.bark_mm or 0.0)
    shapes = shape_matrix(
        np.array([row.axis_1_mm for row in rows]) - bark,
        np.array([row.axis_2_mm for row in rows]) - bark,
        angle_deg=np.array([row.angle_deg for row in rows]),
    )
    shape = np.empty((len(z), 2, 2))
    for i, j in ((0, 0), (0, 1), (1, 0), (1, 1)):
        shape[:, i, j] = np.interp(z, measured, shapes[:, i, j])
    raw = np.array([[row.x_mm, row.y_mm] for row in rows])
    chord = raw[0] + np.outer(measured / measured[-1], raw[-1] - raw[0])
    offsets = raw - chord
    center = np.column_stack([monotone(measured, offsets[:, k], at=z) for k in (0, 1)])
    reach = np.linalg.norm(offsets, axis=1)
    most = int(np.argmax(reach))
    notes: tuple[str, ...] = () if log.bark_mm is not None else (_INSIDE_BARK,)
    lean = float(np.linalg.norm(raw[-1] - raw[0]) / measured[-1])
    if lean > LEAN_DOUBT:
        wide = np.hypot(1.0, lean) - 1.0
        note = (
            f"The slices lean {lean:.0%} against the line between the ends: so slanted, sections read {wide:.1%} wide."
        )
        notes += (note,)
    return LogSolid(
        tag=log.tag,
        species=log.species,
        z_mm=frozen(z),
        center_mm=frozen(center),
        shape_mm=frozen(shape),
        pith_mm=frozen(center),
        crown_mm=float(reach[most]),
        crown_clock=clock_of(offsets[most]) if reach[most] > 1e-6 else None,
        bark_mm=log.bark_mm,
        notes=notes,
    )
