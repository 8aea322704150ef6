"""Checks a pattern with plain geometry, knowing nothing of how it was found."""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from pithline.arrays import Floats
from pithline.logs.solid import LogSolid, stretch
from pithline.patterns.pattern import Pattern, Piece
from pithline.patterns.wanted import PriceList

__all__ = ["pattern_faults"]

_AGREE_MM = 1e-3

SUM_SHARE = 1e-3
"""Pieces, kerf and slabs add up to the log within this share."""


def _corners_at(piece: Piece, z_mm: Floats | float) -> Floats:
    """Corners of a piece at places along the log, as tallied (..., 4, 2)."""
    along = ((np.asarray(z_mm) - piece.start_mm) / (piece.end_mm - piece.start_mm))[..., None, None]
    return np.asarray((1.0 - along) * piece.corners_butt_mm + along * piece.corners_tip_mm)


def _cut_off(corners: Floats, wane_mm: float) -> Floats:
    """Points that must be in the wood: the corners, or where their wane ends (..., k, 2)."""
    if wane_mm <= 0.0:
        return corners
    points = []
    for other in (np.roll(corners, 1, axis=-2), np.roll(corners, -1, axis=-2)):
        side = other - corners
        points.append(corners + side * (wane_mm / np.linalg.norm(side, axis=-1, keepdims=True)))
    return np.concatenate(points, axis=-2)


def _outside_mm(part: LogSolid, points: Floats) -> Floats:
    """How far the farthest of some points (n, k, 2) lies outside each section, about, 0 or less inside."""
    away = points - part.center_mm[:, None]
    unit = np.linalg.solve(part.shape_mm, away.transpose(0, 2, 1))
    over = np.linalg.norm(unit, axis=1).max(axis=1) - 1.0
    return np.asarray(over * np.linalg.norm(part.shape_mm, 2, axis=(1, 2)))


def _apart_mm(one: Floats, other: Floats) -> float:
    """Distance between two convex quadrilaterals along the side that parts them best, negative where they overlap."""
    best = -math.inf
    for a, b in ((one, other), (other, one)):
        for k in range(4):
            edge = a[(k + 1) % 4] - a[k]
            normal = np.array([edge[1], -edge[0]]) / np.linalg.norm(edge)
            best = max(best, float((b @ normal).min() - (a @ normal).max()))
    return best


def _wood_faults(pattern: Pattern) -> Iterator[str]:
    """Pieces that reach out of the wood, or out of the log's ends."""
    log = pattern.log
    for piece in pattern.pieces:
        if piece.start_mm < -_AGREE_MM or piece.end_mm > log.length_mm + _AGREE_MM or piece.length_mm <= 0.0:
            yield f"{piece.name}: from {piece.start_mm:.1f} to {piece.end_mm:.1f} mm is not within the log"
            continue
        part = stretch(log, max(piece.start_mm, 0.0), end_mm=min(piece.end_mm, log.length_mm))
        out = _outside_mm(part, _cut_off(_corners_at(piece, part.z_mm), piece.wane_mm))
        if out.max() > _AGREE_MM:
            at = int(out.argmax())
            yield f"{piece.name}: reaches {out[at]:.3f} mm out of the wood {part.z_mm[at]:.0f} mm from the butt"


def _kerf_faults(pattern: Pattern) -> Iterator[str]:
    """Pairs of pieces that overlap, or lie closer than a kerf."""
    kerf = pattern.kit.saw.kerf_mm
    pieces = [piece for piece in pattern.pieces if piece.length_mm > 0.0]
    for number, one in enumerate(pieces):
        for other in pieces[number + 1 :]:
            start, end = max(one.start_mm, other.start_mm), min(one.end_mm, other.end_mm)
            if end <= start:
                # One behind the other they need a kerf only where they face each other.
                first, last = (one, other) if one.end_mm <= other.start_mm else (other, one)
                apart = _apart_mm(_corners_at(first, first.end_mm), _corners_at(last, last.start_mm))
                if start - end < kerf - _AGREE_MM and apart < kerf - _AGREE_MM:
                    yield f"{one.name} and {other.name}: {start - end:.3f} mm apart end to end"
                continue
            for z in (start, end):
                apart = _apart_mm(_corners_at(one, z), _corners_at(other, z))
                if apart < kerf - _AGREE_MM:
                    yield f"{one.name} and {other.name}: {apart:.3f} mm apart {z:.0f} mm from the butt"
                    break


def _pass_faults(pattern: Pattern) -> Iterator[str]:
    """Passes that the kit cannot make, that ride on nothing, or whose setting leads elsewhere."""
    mill, kerf = pattern.kit.mill, pattern.kit.saw.kerf_mm
    made: dict[int, float] = {}
    for position in pattern.positions:
        for cut in position.cuts:
            ridden: float | None = None
            if cut.rides_on == "rail":
                if position.stand is None:
                    yield f"pass {cut.number}: rides on a rail that is not stood"
                else:
                    ridden = position.stand.line_mm + position.stand.datum_mm + pattern.kit.rail.thickness_mm
            elif cut.face_of not in made:
                yield f"pass {cut.number}: rides on the face of pass {cut.face_of}, which is not sawn yet"
            else:
                ridden = made[cut.face_of]
            beside = 0.0 if ridden is None else ridden - cut.setting_mm - kerf - cut.line_mm
            if abs(beside) > _AGREE_MM:
                yield f"pass {cut.number}: its setting leads {beside:.3f} mm beside its line"
            if not mill.setting_min_mm - 1e-6 <= cut.setting_mm <= mill.setting_max_mm + 1e-6:
                yield f"pass {cut.number}: the mill is set to {cut.setting_mm:.2f} mm"
            if cut.widest_mm > mill.cut_width_mm + 1e-6:
                yield f"pass {cut.number}: {cut.widest_mm:.1f} mm wide"
            made[cut.number] = cut.line_mm


def _heart_faults(pattern: Pattern, prices: PriceList) -> Iterator[str]:
    """Timbers whose pith lies where their heart rule does not allow it."""
    rules = {item.name: item.timber for item in prices.timbers}
    for piece in pattern.timbers:
        timber = rules.get(piece.name)
        if timber is None or timber.heart == "any" or piece.length_mm <= 0.0:
            continue
        part = stretch(pattern.log, max(piece.start_mm, 0.0), end_mm=min(piece.end_mm, pattern.log.length_mm))
        corners = _corners_at(piece, part.z_mm)
        edge = np.roll(corners, -1, axis=1) - corners
        edge = edge / np.linalg.norm(edge, axis=-1, keepdims=True)
        away = part.pith_mm[:, None] - corners
        inside = edge[..., 0] * away[..., 1] - edge[..., 1] * away[..., 0]
        room = float(inside.min()) if timber.heart == "boxed" else float((-inside).min(axis=0).max())
        if room < timber.heart_margin_mm - _AGREE_MM:
            kept = "inside" if timber.heart == "boxed" else "outside"
            yield f"{piece.name}: the pith stays {room:.2f} mm {kept}, {timber.heart_margin_mm:.2f} mm are asked for"


def _list_faults(pattern: Pattern, prices: PriceList) -> Iterator[str]:
    """More of a timber than is wanted, sizes that are not the list's, boards under their least sizes."""
    for item in prices.timbers:
        own = [piece for piece in pattern.timbers if piece.name == item.name]
        if item.count is not None and len(own) > item.count:
            yield f"{item.name}: {len(own)} come out and {item.count} are wanted"
        sizes = (item.timber.cut_thickness_mm, item.timber.cut_width_mm)
        for piece in own:
            if abs(piece.thickness_mm - sizes[0]) + abs(piece.width_mm - sizes[1]) > _AGREE_MM:
                yield f"{item.name}: {piece.thickness_mm:.2f} x {piece.width_mm:.2f} mm is not the size of the list"
    boards = {board.name: board for board in prices.boards}
    for piece in pattern.boards:
        board = boards[piece.name]
        if piece.width_mm < board.least_width_mm - 1e-6 or piece.length_mm < board.least_length_mm - 1e-6:
            yield f"{piece.name}: {piece.width_mm:.1f} x {piece.length_mm:.1f} mm is under its least size"


def _sum_faults(pattern: Pattern) -> Iterator[str]:
    """Wood, worth or cost that does not add up."""
    total = math.fsum(piece.volume_mm3 for piece in pattern.pieces) + pattern.kerf_mm3 + pattern.slab_mm3
    whole = pattern.log.volume_mm3()
    if abs(total - whole) > SUM_SHARE * whole:
        yield f"pieces, kerf and slabs come to {total / whole:.5f} of the log"
    value = math.fsum(piece.value for piece in pattern.pieces)
    if abs(value - pattern.value) > 1e-6 * max(1.0, value):
        yield f"the pieces are worth {value:.4f}, not {pattern.value:.4f}"
    cost = pattern.kit.work.cost_an_hour * pattern.minutes / 60.0
    if abs(cost - pattern.cost) > 1e-6 * max(1.0, cost):
        yield f"{pattern.minutes:.1f} min cost {cost:.4f}, not {pattern.cost:.4f}"


def pattern_faults(pattern: Pattern, prices: PriceList) -> Sequence[str]:
    """Everything that is wrong with a pattern.

    Parameters
    ----------
    pattern : Pattern
        What a search found.
    prices : PriceList
        The list it was made for.

    Returns
    -------
    sequence of str
        Sentences, none for a sound pattern: every piece inside the wood, its
        wane aside, and by its heart rule; a kerf between any two; every pass
        within the kit's reach, on a rail or a face that is there, its setting
        leading to its line; no more than is wanted, in the sizes that are; all
        the wood, worth and cost accounted for.

    Source
    ------
    definition
    """
    checks = (_wood_faults, _kerf_faults, _pass_faults, _sum_faults)
    listed = (_list_faults, _heart_faults)
    found = [fault for check in checks for fault in check(pattern)]
    return found + [fault for check in listed for fault in check(pattern, prices)]
