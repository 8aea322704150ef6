"""Sawing patterns as plain dictionaries: the documented JSON form."""

from typing import Any

from pithline.answers.pattern_words import pattern_notes, position_text
from pithline.arrays import Floats
from pithline.patterns import Cut, Pattern, Piece, Position, Ways

__all__ = ["pattern_form", "ways_form"]

Form = dict[str, Any]

_BASE = "log inside bark, pieces as cut"


def _mm(value_mm: float) -> float:
    """A length to a ten-thousandth of a millimeter."""
    return round(float(value_mm), 4)


def _points(points_mm: Floats) -> list[list[float]]:
    """Points to a thousandth of a millimeter."""
    return [[round(float(x), 3), round(float(y), 3)] for x, y in points_mm]


def _piece_form(piece: Piece) -> Form:
    """One timber or board."""
    return {
        "name": piece.name,
        "kind": piece.kind,
        "thickness_mm": _mm(piece.thickness_mm),
        "width_mm": _mm(piece.width_mm),
        "length_mm": _mm(piece.length_mm),
        "start_mm": _mm(piece.start_mm),
        "corners_butt_mm": _points(piece.corners_butt_mm),
        "corners_tip_mm": _points(piece.corners_tip_mm),
        "part": piece.part + 1,
        "wane_mm": _mm(piece.wane_mm),
        "board_feet": round(piece.bf, 3),
        "value": round(piece.value, 4),
    }


def _pass_form(position: Position, cut: Cut) -> Form:
    """One pass."""
    return {
        "number": cut.number,
        "position": position.number,
        "part": position.part + 1,
        "body": position.body,
        "turn_deg": position.turn_deg,
        "rides_on": cut.rides_on,
        "face_of": cut.face_of,
        "setting_mm": _mm(cut.setting_mm),
        "line_mm": _mm(cut.line_mm),
        "widest_mm": _mm(cut.widest_mm),
        "station_mm": [_mm(z) for z in cut.z_mm],
        "width_mm": [_mm(width) for width in cut.width_mm],
        "area_m2": round(cut.area_m2, 5),
        "minutes": round(cut.minutes, 2),
        "frees": cut.frees,
    }


def _stand_form(position: Position) -> Form | None:
    """Bearers and rail of a position."""
    stand = position.stand
    if stand is None:
        return None
    return {
        "datum_mm": _mm(stand.datum_mm),
        "setting_mm": _mm(stand.setting_mm),
        "rail_top_above_ground_mm": _mm(stand.rail_top_mm),
        "rail_sag_mm": _mm(stand.run.sag_mm),
        "bearers": [
            {
                "station_mm": _mm(bearer.station_mm),
                "height_mm": _mm(bearer.height_mm),
                "flat_depth_mm": _mm(bearer.flat_depth_mm),
                "flat_width_mm": _mm(bearer.flat_width_mm),
                "post_top_mm": _mm(bearer.post_top_mm),
                "string_sag_mm": _mm(bearer.string_sag_mm),
            }
            for bearer in stand.bearers
        ],
        "rail": [
            {
                "start_mm": _mm(place.start_mm),
                "end_mm": _mm(place.end_mm),
                "saw_from_mm": _mm(place.saw_from_mm),
                "saw_to_mm": _mm(place.saw_to_mm),
                "first_bearer": place.bearers[0] + 1,
                "last_bearer": place.bearers[1] + 1,
            }
            for place in stand.rail
        ],
    }


def _position_form(pattern: Pattern, position: Position) -> Form:
    """One way the log or a cant lies."""
    return {
        "number": position.number,
        "part": position.part + 1,
        "body": position.body,
        "turn_deg": position.turn_deg,
        "within_mm": None if position.within_mm is None else [_mm(side) for side in position.within_mm],
        "passes": [cut.number for cut in position.cuts],
        "minutes": round(position.minutes, 2),
        "stand": _stand_form(position),
        "text": position_text(pattern, position),
    }


def pattern_form(pattern: Pattern, number: int) -> Form:
    """One way to saw a log.

    Parameters
    ----------
    pattern : Pattern
        The way.
    number : int
        Which of the log's ways it is, from 1.

    Returns
    -------
    dict
        Keys as in docs/json.md.

    Source
    ------
    definition
    """
    return {
        "way": number,
        "best_at": pattern.why,
        "gives_up": pattern.gives_up,
        "parts": [
            {
                "start_mm": _mm(part.start_mm),
                "end_mm": _mm(part.end_mm),
                "roll_deg": round(part.roll_deg % 360.0, 4),
                "center_butt_mm": _points(part.center_butt_mm[None])[0],
                "center_tip_mm": _points(part.center_tip_mm[None])[0],
                "layout": part.layout,
            }
            for part in pattern.parts
        ],
        "pieces": [_piece_form(piece) for piece in pattern.pieces],
        "positions": [_position_form(pattern, position) for position in pattern.positions],
        "passes": [_pass_form(position, cut) for position in pattern.positions for cut in position.cuts],
        "recovery": round(pattern.recovery, 5),
        "recovery_base": _BASE,
        "kerf_m3": round(pattern.kerf_mm3 / 1e9, 6),
        "slab_m3": round(pattern.slab_mm3 / 1e9, 6),
        "board_feet": round(pattern.bf, 3),
        "sawing_minutes": round(pattern.minutes, 2),
        "value": round(pattern.value, 4),
        "cost": round(pattern.cost, 4),
        "net": round(pattern.net, 4),
        "notes": list(pattern_notes(pattern)),
    }


def ways_form(ways: Ways, number: int = 1) -> Form:
    """One log's answer to `pieces`.

    Parameters
    ----------
    ways : Ways
        What can be made of the log.
    number : int
        The way that is shown, from 1.

    Returns
    -------
    dict
        That way, the others under `alternatives`; where there is none
        `why` says so, the lists are empty and the figures 0.

    Source
    ------
    definition
    """
    if not ways.patterns:
        empty: dict[str, list[Any]] = {name: [] for name in ("parts", "pieces", "positions", "passes", "alternatives")}
        zeros = dict.fromkeys(
            ("recovery", "kerf_m3", "slab_m3", "board_feet", "sawing_minutes", "value", "cost", "net"), 0.0
        )
        return {
            "tag": ways.log.tag,
            "why": ways.why,
            "way": 0,
            "best_at": "",
            "gives_up": "",
            **empty,
            "recovery_base": _BASE,
            **zeros,
            "notes": list(ways.log.notes),
        }
    forms = [pattern_form(pattern, which) for which, pattern in enumerate(ways.patterns, 1)]
    return {
        "tag": ways.log.tag,
        "why": "",
        **forms[number - 1],
        "alternatives": [*forms[: number - 1], *forms[number:]],
    }
