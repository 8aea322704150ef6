"""Scaled board feet of logs, as a scaler would tally them, from their solids.

Choices, and why:

- Scaling diameter: mean of the two axes at the small end, to the nearest inch, an exact half
  down. US Forest Service FSH 2409.11a, R6 supplement 98-2, part 21.4, drops the half of an average.
- Scaling length: whole feet, down. What is over is trim and is not scaled.
- Over 20 ft, Scribner and International scale a log in pieces, as equal as even feet allow, the
  longer at the large end (Georgia Code 2-14-80 (d) asks for even feet, nearly equal; 20 ft as the
  limit is inland practice, from memory). The diameter at a joint is the log's own there, since it
  was measured; a taper is assumed by International only, and only inside a piece.
- Doyle scales the whole length on the small end, as its printed tables do, up to 40 ft by the formula.
- A piece is scaled as a log by itself, and so its sweep is its own: that of its center line
  against the line between the centers of its ends.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from pithline.arrays import Floats, Indices
from pithline.lengths import MM_PER_FOOT, MM_PER_INCH
from pithline.logs.cubic import CubicVolumes, LogStack, cubic_volumes, stacked
from pithline.logs.deductions import Deduction, rot, sweep
from pithline.logs.rules import LOG_RULES, LogRule, log_rule
from pithline.logs.solid import LogSolid

__all__ = [
    "LONGEST_PIECE_FT",
    "BoardFeet",
    "Piece",
    "Scaled",
    "piece_lengths_ft",
    "scale_log",
    "scale_logs",
    "scaling_diameter_in",
    "scaling_length_ft",
]

LONGEST_PIECE_FT = 20
"""Longest log that Scribner and International scale whole: inland practice of the US Forest Service, from memory."""

_HAIR = 1e-6

_STATUSES = ("seen", "computed", "memory")

_BARK = "The bark is not known: the scale is that of the diameters as measured, too high if they were taken over bark."
_PIECES = (
    f"Over {LONGEST_PIECE_FT} ft Scribner and International scale a log in pieces, each on its own diameter and "
    f"its own sweep; Doyle on the small end over the whole length."
)
_BY_FORMULA = "Doyle: the printed tables that were read run from 8 to 36 in and 8 to 36 ft; this is by the formula."
_PRINTED = (8, 36)
_BUTT = "The butt is the smaller end: the log is scaled from there."
_MEMORY = "Scribner Decimal C: a value of this log is from memory."
_NET = "The net scale is by formulas from memory."
_ROT = (
    "Rot is taken off as a share of the whole log, H W / (D - 1)^2, from whichever end it runs; a scaler who squares "
    "the defect takes more."
)


@dataclass(frozen=True)
class BoardFeet:
    """Board feet by each log rule, None where the log is outside its range."""

    doyle_bf: float | None
    scribner_decimal_c_bf: float | None
    international_bf: float | None


@dataclass(frozen=True)
class Piece:
    """A part of a log that Scribner and International scale by itself.

    Attributes: `at_mm` from the butt, where its small end is; `diameter_in`
    there; `length_ft`; gross board feet; `sweep`, what its own bend costs, None
    where nothing.
    """

    at_mm: float
    diameter_in: int
    length_ft: int
    scribner_decimal_c_bf: float | None
    international_bf: float | None
    sweep: Deduction | None


@dataclass(frozen=True)
class Scaled:
    """The scale of one log.

    Attributes: `tag`; `scaling_diameter_in`, `scaling_length_ft` and `trim_mm`,
    what is over; gross board feet, None where the log is outside a rule's
    range; `net`, after deductions; `pieces` from the small end; `deductions`
    over the whole length, of which Doyle's net takes all and the others' take
    the sweep of their pieces instead; `scribner_status`, as in the data tables,
    the least sure of its pieces, None without a scale; volumes, exact and by
    formula; `notes` that belong beside the answer, those of the solid apart.
    """

    tag: str
    scaling_diameter_in: int
    scaling_length_ft: int
    trim_mm: float
    doyle_bf: float | None
    scribner_decimal_c_bf: float | None
    international_bf: float | None
    net: BoardFeet
    pieces: tuple[Piece, ...]
    deductions: tuple[Deduction, ...]
    scribner_status: str | None
    volume_m3: float
    smalian_m3: float
    huber_m3: float
    newton_m3: float
    notes: tuple[str, ...]


def scaling_diameter_in(diameter_mm: npt.ArrayLike) -> Indices:
    """Diameter to the nearest inch, an exact half down.

    Parameters
    ----------
    diameter_mm : array_like
        Mean of the two axes, inside bark [mm].

    Returns
    -------
    ndarray of int
        Whole inches, of the same shape.

    Source
    ------
    Nearest inch: Georgia Code 2-14-80 (e). A half of an average is dropped: US Forest Service FSH 2409.11a, R6
    supplement 2409.11a-98-2, part 21.4, said there of butts
    """
    inches = np.asarray(diameter_mm, dtype=np.float64) / MM_PER_INCH
    # The hair keeps 15 1/2 in a half, whatever its millimeters did in binary.
    return np.asarray(np.ceil(inches - 0.5 - _HAIR), dtype=np.int64)


def scaling_length_ft(length_mm: npt.ArrayLike) -> Indices:
    """Length in whole feet, down.

    Parameters
    ----------
    length_mm : array_like
        Length of the log with its trim [mm].

    Returns
    -------
    ndarray of int
        Whole feet, of the same shape; 0 under a foot.

    Source
    ------
    common practice: what is over whole feet is trim
    """
    return np.asarray(np.floor(np.asarray(length_mm, dtype=np.float64) / MM_PER_FOOT + _HAIR), dtype=np.int64)


@cache
def piece_lengths_ft(length_ft: int) -> tuple[int, ...]:
    """Lengths of the pieces that a log is scaled in.

    Parameters
    ----------
    length_ft : int
        Scaling length [ft].

    Returns
    -------
    tuple of int
        From the small end, none over 20 ft, even but for one where the log is
        odd, the longer nearer the large end [ft].

    Source
    ------
    Georgia Code 2-14-80 (d): nearly equal lengths in even feet. 20 ft: inland practice, from memory
    """
    count = max(1, math.ceil(length_ft / LONGEST_PIECE_FT))
    if count == 1:
        return (length_ft,)
    lengths = [2 * (length_ft // (2 * count))] * count
    left = length_ft - sum(lengths)
    for i in reversed(range(count)):
        step = min(2, left)
        if lengths[i] + step <= LONGEST_PIECE_FT:
            lengths[i] += step
            left -= step
    return tuple(lengths)


def scale_log(log: LogSolid) -> Scaled:
    """The scale of one log by every log rule.

    Parameters
    ----------
    log : LogSolid
        The log; its crown and its rot are taken off for the net scale.

    Returns
    -------
    Scaled
        A rule that does not go so far gives None and a note.

    Source
    ------
    As `pithline.logs.rules` and `pithline.logs.deductions`; choices at the head of this module
    """
    return scale_logs((log,))[0]


def scale_logs(logs: Sequence[LogSolid]) -> tuple[Scaled, ...]:
    """The scale of many logs by every log rule, worked together.

    Parameters
    ----------
    logs : sequence of LogSolid
        The logs; may be empty.

    Returns
    -------
    tuple of Scaled
        In the order given.

    Source
    ------
    As `scale_log`
    """
    if not logs:
        return ()
    cut = _cut(stacked(logs))
    volumes = cubic_volumes(cut.stack)
    whole = _gross(log_rule("doyle"), cut.tip_in, cut.length_ft)
    by_piece = {rule.key: _gross(rule, cut.diameter_in, cut.piece_ft) for rule in LOG_RULES if rule.key != "doyle"}
    statuses = _statuses(cut)
    return tuple(
        _scaled(
            log, i, cut, volumes, _Gross(whole, by_piece["scribner_decimal_c"], by_piece["international"], statuses)
        )
        for i, log in enumerate(logs)
    )


@dataclass(frozen=True, eq=False)
class _Cut:
    """Logs cut to scaling lengths and pieces.

    `from_butt` (n,) whether the butt is the small end; pieces of all logs in
    one row, from each small end, those of log i from `start[i]` to
    `start[i + 1]`; `near_mm` (k,) their small ends and `far_mm` their large ones, from
    the first station.
    """

    stack: LogStack
    from_butt: npt.NDArray[np.bool_]
    tip_in: list[int]
    length_ft: list[int]
    start: list[int]
    diameter_in: list[int]
    piece_ft: list[int]
    near_mm: list[float]
    far_mm: list[float]


@dataclass(frozen=True, eq=False)
class _Gross:
    """Gross board feet of the logs by Doyle, and of the pieces by the others; None outside the range."""

    doyle: list[float | None]
    scribner: list[float | None]
    international: list[float | None]
    statuses: list[int]


def _cut(stack: LogStack) -> _Cut:
    """Where scaling cuts the logs, and how thick they are there."""
    shape = stack.shape_mm
    butt, tip = (shape[row, 0, 0] + shape[row, 1, 1] for row in (stack.first, stack.last))
    from_butt = np.asarray(butt < tip)
    feet = scaling_length_ft(stack.length_mm)
    pieces = [piece_lengths_ft(length) for length in feet.tolist()]
    counts = np.array([len(lengths) for lengths in pieces])
    start = np.concatenate([[0], np.cumsum(counts)])
    of_log = np.repeat(np.arange(len(counts)), counts)
    piece_ft = np.array([length for lengths in pieces for length in lengths])
    ends = np.cumsum(piece_ft)
    ends = ends - np.repeat(ends[start[:-1]] - piece_ft[start[:-1]], counts)
    length = stack.length_mm[of_log]
    near, far = MM_PER_FOOT * (ends - piece_ft), np.minimum(MM_PER_FOOT * ends, length)
    near, far = (np.where(from_butt[of_log], at, length - at) for at in (near, far))
    sections = stack.shape_at(of_log, near)
    diameter = scaling_diameter_in(sections[:, 0, 0] + sections[:, 1, 1])
    return _Cut(
        stack,
        from_butt,
        diameter[start[:-1]].tolist(),
        feet.tolist(),
        start.tolist(),
        diameter.tolist(),
        piece_ft.tolist(),
        near.tolist(),
        far.tolist(),
    )


def _gross(rule: LogRule, diameter_in: Sequence[int], length_ft: Sequence[int]) -> list[float | None]:
    """Board feet as the rule's tables round, None outside its range."""
    diameter, length = np.array(diameter_in), np.array(length_ft)
    covered = rule.covers(diameter, length)
    found = np.zeros(len(diameter))
    found[covered] = rule.rounded_bf(diameter[covered], length[covered])
    return [value if inside else None for value, inside in zip(found.tolist(), covered.tolist(), strict=True)]


def _statuses(cut: _Cut) -> list[int]:
    """Place in `_STATUSES` of each piece's value by Scribner; 0 where it has none."""
    rule = log_rule("scribner_decimal_c")
    diameter, length = np.array(cut.diameter_in), np.array(cut.piece_ft)
    covered = rule.covers(diameter, length)
    found = np.zeros(len(diameter), dtype=np.int64)
    told = rule.status(diameter[covered], length[covered])
    found[covered] = sum(rank * (told == status) for rank, status in enumerate(_STATUSES))
    return [int(rank) for rank in found]


def _scaled(log: LogSolid, i: int, cut: _Cut, volumes: CubicVolumes, gross: _Gross) -> Scaled:
    """The scale of the log in place i."""
    pieces = _pieces(log, i, cut, gross)
    feet, tip = cut.length_ft[i], cut.tip_in[i]
    length = float(cut.stack.length_mm[i])
    deductions = _deductions(log, tip, feet)
    scribner = _sum([piece.scribner_decimal_c_bf for piece in pieces])
    international = _sum([piece.international_bf for piece in pieces])
    doyle = gross.doyle[i]
    rots = sum(fault.share for fault in deductions if fault.fault == "rot")
    net = BoardFeet(
        _net(1.0, [(doyle, sum(fault.share for fault in deductions))]),
        _net(10.0, [(piece.scribner_decimal_c_bf, _share(piece) + rots) for piece in pieces]),
        _net(5.0, [(piece.international_bf, _share(piece) + rots) for piece in pieces]),
    )
    status = None if scribner is None else _STATUSES[max(gross.statuses[cut.start[i] : cut.start[i + 1]])]
    return Scaled(
        tag=log.tag,
        scaling_diameter_in=tip,
        scaling_length_ft=feet,
        trim_mm=max(0.0, length - MM_PER_FOOT * feet),
        doyle_bf=doyle,
        scribner_decimal_c_bf=scribner,
        international_bf=international,
        net=net,
        pieces=pieces,
        deductions=deductions,
        scribner_status=status,
        volume_m3=float(volumes.wood_mm3[i]) / 1e9,
        smalian_m3=float(volumes.smalian_mm3[i]) / 1e9,
        huber_m3=float(volumes.huber_mm3[i]) / 1e9,
        newton_m3=float(volumes.newton_mm3[i]) / 1e9,
        notes=_notes(log, bool(cut.from_butt[i]), doyle, pieces, deductions, status),
    )


def _pieces(log: LogSolid, i: int, cut: _Cut, gross: _Gross) -> tuple[Piece, ...]:
    """The pieces of the log in place i, from its small end."""
    first, after = cut.start[i], cut.start[i + 1]
    found = []
    for k in range(first, after):
        near, far = cut.near_mm[k], cut.far_mm[k]
        bend = log.crown_mm if after - first == 1 else _sweep_mm(log, min(near, far), max(near, far))
        found.append(
            Piece(
                near,
                cut.diameter_in[k],
                cut.piece_ft[k],
                gross.scribner[k],
                gross.international[k],
                _sweep(bend, cut.diameter_in[k], cut.piece_ft[k]),
            )
        )
    return tuple(found)


def _sweep_mm(log: LogSolid, start_mm: float, end_mm: float) -> float:
    """Greatest distance of the center line between two places from the straight line between them."""
    if log.crown_mm <= 0.0:
        return 0.0
    along = log.z_mm - log.z_mm[0]
    z = np.concatenate([[start_mm], along[(along > start_mm) & (along < end_mm)], [end_mm]])
    center = np.column_stack([np.interp(z, along, log.center_mm[:, axis]) for axis in (0, 1)])
    share = ((z - start_mm) / (end_mm - start_mm))[:, None]
    away: Floats = center - (1.0 - share) * center[0] - share * center[-1]
    return float(np.hypot(away[:, 0], away[:, 1]).max())


def _sweep(bend_mm: float, diameter_in: int, length_ft: int) -> Deduction | None:
    """What a bend costs; None where nothing, or where there is nothing to scale."""
    if bend_mm <= 0.0 or diameter_in < 1 or length_ft < 1:
        return None
    found = sweep(bend_mm / MM_PER_INCH, diameter_in=diameter_in, length_ft=length_ft)
    return found if found.share > 0.0 else None


def _deductions(log: LogSolid, diameter_in: int, length_ft: int) -> tuple[Deduction, ...]:
    """What the log's crown and its rot cost over its whole length."""
    found = []
    bent = _sweep(log.crown_mm, diameter_in, length_ft)
    if bent is not None:
        found.append(bent)
    if log.rot is not None and diameter_in > 1 and length_ft > 0:
        # Rot that ends in the trim costs no more than the whole scaling length.
        runs = math.inf if log.rot.length_mm is None else log.rot.length_mm / MM_PER_FOOT
        high, wide = log.rot.height_mm / MM_PER_INCH, log.rot.width_mm / MM_PER_INCH
        found.append(rot(high, wide, affected_ft=min(runs, length_ft), diameter_in=diameter_in, length_ft=length_ft))
    return tuple(found)


def _share(piece: Piece) -> float:
    return 0.0 if piece.sweep is None else piece.sweep.share


def _sum(values: Sequence[float | None]) -> float | None:
    """Sum, None where one is missing."""
    known = [value for value in values if value is not None]
    return math.fsum(known) if len(known) == len(values) else None


def _net(step_bf: float, parts: Sequence[tuple[float | None, float]]) -> float | None:
    """Gross board feet less what is taken off, to the rule's step.

    A half step taken off goes up to the whole: FSH 2409.11, chapter 20.
    """
    gross = _sum([part for part, _ in parts])
    if gross is None:
        return None
    off = math.fsum((part or 0.0) * min(1.0, share) for part, share in parts)
    # The hair keeps a half a half.
    return max(0.0, gross - step_bf * math.floor(off / step_bf + 0.5 + _HAIR))


def _notes(
    log: LogSolid,
    from_butt: bool,
    doyle_bf: float | None,
    pieces: tuple[Piece, ...],
    deductions: tuple[Deduction, ...],
    status: str | None,
) -> tuple[str, ...]:
    """What must be said beside the answer."""
    notes = [] if log.bark_known else [_BARK]
    if from_butt:
        notes.append(_BUTT)
    if len(pieces) > 1:
        notes.append(_PIECES)
    length_ft = sum(piece.length_ft for piece in pieces)
    if doyle_bf is None:
        notes.append(_no_scale("doyle", pieces[0].diameter_in, length_ft))
    elif not (_PRINTED[0] <= pieces[0].diameter_in <= _PRINTED[1] and _PRINTED[0] <= length_ft <= _PRINTED[1]):
        notes.append(_BY_FORMULA)
    for key, values in (
        ("scribner_decimal_c", [piece.scribner_decimal_c_bf for piece in pieces]),
        ("international", [piece.international_bf for piece in pieces]),
    ):
        if None in values:
            outside = pieces[values.index(None)]
            notes.append(_no_scale(key, outside.diameter_in, outside.length_ft))
    if status == "memory":
        notes.append(_MEMORY)
    if deductions or any(piece.sweep for piece in pieces):
        notes.append(_NET)
    if any(fault.fault == "rot" for fault in deductions):
        notes.append(_ROT)
    return tuple(notes)


@cache
def _no_scale(key: str, diameter_in: int, length_ft: int) -> str:
    """Why a rule has no answer."""
    return f"No scale by {log_rule(key).refusal(diameter_in, length_ft)}"
