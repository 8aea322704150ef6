"""Answers as plain dictionaries: the documented JSON form.

Millimeters, degrees, minutes and square meters, with the unit in the name of
every number. docs/json.md and the schemas describe each key.
"""

from collections.abc import Mapping
from typing import Any

from pithline.answers.wood_forms import cut_form
from pithline.answers.words import heart_text, kit_recalled, limit_text, miss_text, setup_notes, turn_text
from pithline.arrays import Floats
from pithline.fit import Largest, Placement
from pithline.lengths import Tape
from pithline.logs import LogSolid
from pithline.setup import Budget, EndMarks, SetUp, Stack

__all__ = ["fit_form", "largest_form", "no_largest_form", "setup_form"]

Form = dict[str, Any]


def _points(points_mm: Floats) -> list[list[float]]:
    """Points to a thousandth of a millimeter."""
    return [[round(float(x), 3), round(float(y), 3)] for x, y in points_mm]


def _mm(value_mm: float) -> float:
    """A length to a ten-thousandth of a millimeter."""
    return round(float(value_mm), 4)


def fit_form(placement: Placement, tape: Tape) -> Form:
    """One log's answer to `fit`.

    Parameters
    ----------
    placement : Placement
        The timber in its log.
    tape : Tape
        How lengths are shown in the texts.

    Returns
    -------
    dict
        Keys as in docs/json.md.

    Source
    ------
    definition
    """
    timber, log = placement.timber, placement.log
    spot = placement.spot
    return {
        "tag": log.tag,
        "fits": placement.fits,
        "status": placement.status,
        "clearance_mm": _mm(placement.spare_mm),
        "roll_deg": round(placement.roll_deg % 360.0, 4),
        "bound_mm": _mm(placement.bound_mm),
        "limit": {
            "station_mm": _mm(spot.station_mm),
            "clock": round(spot.clock, 2),
            "text": limit_text(placement, tape),
        },
        "size_mm": [_mm(timber.cut_thickness_mm), _mm(timber.cut_width_mm)],
        "corners_butt_mm": _points(placement.corners_butt_mm),
        "corners_tip_mm": _points(placement.corners_tip_mm),
        "start_mm": _mm(placement.start_mm),
        "length_mm": _mm(placement.end_mm - placement.start_mm),
        "finished_mm": [_mm(timber.thickness_mm), _mm(timber.width_mm)],
        "cut": None if timber.cut is None else cut_form(timber.cut),
        "short_mm": _mm(placement.short_mm),
        "best_clearance_mm": _mm(placement.best_clearance_mm),
        "needs_tip_mm": _mm(placement.needed_tip_diameter_mm),
        "pith_inside_mm": _mm(placement.pith_inside_mm),
        "pith_outside_mm": _mm(placement.pith_outside_mm),
        "log": _log_form(log),
        "texts": {
            "turn": turn_text(placement),
            "heart": heart_text(placement, tape),
            "miss": miss_text(placement, tape),
        },
        "notes": list(log.notes),
    }


def _log_form(log: LogSolid) -> Form:
    """What is known of the log itself."""
    return {
        "species": log.species,
        "length_mm": _mm(log.length_mm),
        "butt_mm": _mm(log.diameter_mm(0)),
        "tip_mm": _mm(log.diameter_mm(-1)),
        "crown_mm": _mm(log.crown_mm),
        "crown_clock": None if log.crown_clock is None else round(log.crown_clock, 2),
        "inside_bark": log.bark_known,
        "volume_m3": round(log.volume_mm3() / 1e9, 5),
    }


def largest_form(answer: Largest, tape: Tape) -> Form:
    """One log's answer to `largest`.

    Parameters
    ----------
    answer : Largest
        The largest timber of a kind.
    tape : Tape
        How lengths are shown in the texts.

    Returns
    -------
    dict
        As `fit_form`; `bound_mm` is the width that no roll can exceed.

    Source
    ------
    definition
    """
    return {**fit_form(answer.placement, tape), "bound_mm": _mm(answer.limit_width_mm)}


def no_largest_form(log: LogSolid, why: str) -> Form:
    """A log that holds no timber of the kind asked for.

    Parameters
    ----------
    log : LogSolid
        The log.
    why : str
        One sentence.

    Returns
    -------
    dict
        `fits` false, and null where there is nothing to say.

    Source
    ------
    definition
    """
    nothing = ("clearance_mm", "roll_deg", "bound_mm", "size_mm", "corners_butt_mm", "corners_tip_mm")
    return {
        "tag": log.tag,
        "fits": False,
        "status": "none",
        **dict.fromkeys(nothing),
        "limit": {"station_mm": None, "clock": None, "text": why},
        "log": _log_form(log),
        "notes": list(log.notes),
    }


def _end_form(marks: EndMarks) -> Form:
    """Marks of one end, from the pith."""
    return {
        "up_mm": _mm(marks.up_mm),
        "down_mm": _mm(marks.down_mm),
        "left_mm": _mm(marks.left_mm),
        "right_mm": _mm(marks.right_mm),
        "corners_mm": _points(marks.corners_mm),
        "center_mm": _points(marks.center_mm[None])[0],
        "level_across_mm": _mm(marks.across_mm[0]),
        "plumb_across_mm": _mm(marks.across_mm[1]),
    }


def _rail_form(stack: Stack) -> list[Form]:
    """Rail positions with the stretch sawn from each."""
    return [
        {
            "start_mm": _mm(position.start_mm),
            "end_mm": _mm(position.end_mm),
            "saw_from_mm": _mm(position.saw_from_mm),
            "saw_to_mm": _mm(position.saw_to_mm),
            "first_bearer": position.bearers[0] + 1,
            "last_bearer": position.bearers[1] + 1,
        }
        for position in stack.rail
    ]


def _bearer_form(stack: Stack) -> list[Form]:
    """Bearers from butt to tip."""
    return [
        {
            "station_mm": _mm(bearer.station_mm),
            "height_mm": _mm(bearer.height_mm),
            "flat_depth_mm": _mm(bearer.flat_depth_mm),
            "flat_width_mm": _mm(bearer.flat_width_mm),
            "post_top_mm": _mm(bearer.post_top_mm),
            "string_sag_mm": _mm(bearer.string_sag_mm),
        }
        for bearer in stack.bearers
    ]


def _pass_form(stack: Stack) -> list[Form]:
    """Passes in order."""
    return [
        {
            "number": cut.number,
            "face": cut.face,
            "rides_on": cut.rides_on,
            "setting_mm": _mm(cut.setting_mm),
            "widest_mm": _mm(cut.widest_mm),
            "area_m2": round(cut.area_m2, 5),
            "minutes": round(cut.minutes, 2),
        }
        for cut in stack.passes
    ]


def _budget_form(budget: Budget) -> Form:
    """Errors of one stack, plus or minus."""
    return {
        "parts_mm": {name: _mm(value) for name, value in budget.parts.items()},
        "face_mm": _mm(budget.face_mm),
        "size_mm": _mm(budget.size_mm),
        "log_mm": _mm(budget.log_mm),
        "hollow_mm": _mm(budget.hollow_mm),
        "full_size_chance": None if budget.full_size is None else round(budget.full_size, 4),
        "faces": [
            {"face": face.face, "room_mm": _mm(face.room_mm), "free_of_bark_chance": round(face.free_of_bark, 4)}
            for face in budget.faces
        ],
    }


def _stack_form(stack: Stack, budget: Budget) -> Form:
    """One position of the log."""
    return {
        "turn_deg": stack.turn_deg,
        "datum_mm": _mm(stack.datum_mm),
        "bearers": _bearer_form(stack),
        "rail": _rail_form(stack),
        "rail_sag_mm": _mm(stack.run.sag_mm),
        "rail_top_above_ground_mm": _mm(stack.rail_top_mm),
        "passes": _pass_form(stack),
        "error": _budget_form(budget),
    }


def setup_form(setup: SetUp, tape: Tape) -> Mapping[str, Any]:
    """The answer to `setup`.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    tape : Tape
        How lengths are shown in the texts.

    Returns
    -------
    dict
        Keys as in docs/json.md; `datum_mm`, `bearers`, `rail` and `error` of
        the first stack stand at the top as well.

    Source
    ------
    definition
    """
    stacks = [_stack_form(*pair) for pair in zip(setup.stacks, setup.budgets, strict=True)]
    first = stacks[0]
    placement = setup.placement
    return {
        "tag": placement.log.tag,
        "roll_deg": round(placement.roll_deg % 360.0, 4),
        "crown_clock": None if setup.crown_clock is None else round(setup.crown_clock, 2),
        "cut_mm": None if setup.cut_mm is None else [_mm(edge) for edge in setup.cut_mm],
        "ends": {marks.end: _end_form(marks) for marks in setup.ends},
        "datum_mm": first["datum_mm"],
        "bearers": first["bearers"],
        "rail": first["rail"],
        "passes": [cut for stack in stacks for cut in stack["passes"]],
        "error": {**first["error"], "all_free_of_bark_chance": round(setup.all_free_of_bark, 4)},
        "stacks": stacks,
        "fit": fit_form(placement, tape),
        "kit": {"name": setup.kit.name, "recalled": list(kit_recalled(setup.kit))},
        "notes": list(setup_notes(setup, tape)),
    }
