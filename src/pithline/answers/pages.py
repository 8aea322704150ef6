"""Answers as plain lines of text, for a terminal."""

import string
from collections.abc import Sequence

from pithline.answers.columns import columns
from pithline.answers.notes import note_lines, shared_note_lines
from pithline.answers.scale_pages import lift_lines, timber_lines
from pithline.answers.wood_pages import cut_lines
from pithline.answers.words import (
    angle_text,
    crown_text,
    heart_text,
    limit_text,
    line_text,
    miss_text,
    other_wood,
    section_text,
    setup_notes,
    share_text,
    timber_text,
    turn_text,
)
from pithline.fit import Largest, Placement, Timber
from pithline.lengths import Tape
from pithline.setup import Budget, SetUp, Stack

__all__ = ["fit_lines", "largest_lines", "setup_lines"]


def fit_lines(placements: Sequence[Placement], timber: Timber, *, tape: Tape) -> list[str]:
    """The answer to `fit`: one line first, then one a log.

    Parameters
    ----------
    placements : sequence of Placement
        One for each log.
    timber : Timber
        What was asked for.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    definition
    """
    good = sum(placement.fits for placement in placements)
    lines = [f"{good} of {len(placements)} logs hold a timber {timber_text(timber, tape)}.", ""]
    if timber.cut is not None:
        lines += [*cut_lines(timber.cut, tape=tape), ""]
    rows = [["log", "", "binds", "turn", "proof", ""]]
    for placement in placements:
        proof = max(placement.bound_mm - placement.clearance_mm, 0.01)
        rows.append(
            [
                placement.log.tag,
                "fits" if placement.fits else "no",
                limit_text(placement, tape),
                angle_text(placement.roll_deg),
                f"within {proof:.2f} mm" if placement.status == "proven" else f"stopped, {proof:.2f} mm open",
                miss_text(placement, tape) or crown_text(placement, tape),
            ]
        )
    lines += columns(rows)
    noted = [(p.log.tag, (*p.log.notes, *_cut_notes(timber), *other_wood(p))) for p in placements]
    return lines + shared_note_lines(noted)


def _cut_notes(timber: Timber) -> tuple[str, ...]:
    """What belongs beside a cut size."""
    return () if timber.cut is None else timber.cut.notes


def largest_lines(answers: Sequence[tuple[str, Largest | str]], *, tape: Tape) -> list[str]:
    """The answer to `largest`, one line a log.

    Parameters
    ----------
    answers : sequence of (str, Largest or str)
        Tag, and the largest timber or why there is none.
    tape : Tape
        How lengths are shown; sizes are rounded down.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    definition
    """
    rows = [["log", "largest", "binds", "turn", "proven limit"]]
    noted = []
    for tag, answer in answers:
        if isinstance(answer, str):
            rows.append([tag, "none", answer, "", ""])
            continue
        size = f"{tape.number(answer.thickness_mm, 'down')} x {tape.show(answer.width_mm, 'down')}"
        rows.append(
            [
                tag,
                size,
                limit_text(answer.placement, tape).rsplit(", ", 1)[0],
                angle_text(answer.placement.roll_deg),
                f"{answer.limit_width_mm - answer.width_mm:.2f} mm wider at most",
            ]
        )
        noted.append((tag, answer.placement.log.notes))
    first = "Largest timber of each log, rounded down. Nothing is left for error: see the set-up before cutting."
    return [first, "", *columns(rows), *shared_note_lines(noted)]


def _mark_lines(setup: SetUp, tape: Tape) -> list[str]:
    """Lines on both ends, from the pith."""
    rows = [["end", "upper line", "lower line", "left line", "right line"]]
    for marks in setup.ends:
        sides = ((marks.up_mm, "up"), (marks.down_mm, "down"), (marks.left_mm, "left"), (marks.right_mm, "right"))
        rows.append([marks.end, *(line_text(distance, towards, tape=tape) for distance, towards in sides)])
    first = "On both ends draw a plumb and a level line through the pith. From the pith, seen from the butt:"
    return [first, *columns(rows, indent="  ")]


def _stack_lines(stack: Stack, tape: Tape) -> list[str]:
    """Bearers, rail and passes of one position."""
    lines = [f"Bearer tops {tape.show(stack.datum_mm)} above the upper line:"]
    rows = [["bearer", "from the butt", "height", "flat", "string hangs"]]
    for number, bearer in enumerate(stack.bearers, start=1):
        rows.append(
            [
                str(number),
                tape.show_long(bearer.station_mm),
                tape.show(bearer.height_mm),
                f"{tape.show(bearer.flat_depth_mm)} deep, {tape.show(bearer.flat_width_mm)} wide",
                f"{bearer.string_sag_mm:.1f} mm",
            ]
        )
    lines += columns(rows, indent="  ")
    for letter, position in zip(string.ascii_uppercase, stack.rail, strict=False):
        lines.append(
            f"  Rail position {letter}: from {_past(position.start_mm, 'butt', tape)} to "
            f"{_reach(position.end_mm, _log_length(stack), tape)}, on bearers {position.bearers[0] + 1} to "
            f"{position.bearers[1] + 1}; sags {stack.run.sag_mm:.1f} mm under the saw."
        )
    rows = [["pass", "face", "rides on", "set the mill to", "widest cut", "area", "about"]]
    for cut in stack.passes:
        rows.append(
            [
                str(cut.number),
                cut.face,
                cut.rides_on,
                f"{tape.show(cut.setting_mm)} ({tape.other(cut.setting_mm)})",
                tape.show(cut.widest_mm),
                f"{cut.area_m2:.2f} m2",
                f"{cut.minutes:.0f} min",
            ]
        )
    return lines + columns(rows, indent="  ")


def _log_length(stack: Stack) -> float:
    """Length of the log a stack was made for [mm]."""
    return stack.rail[-1].saw_to_mm


def _past(start_mm: float, end: str, tape: Tape) -> str:
    """Where a rail starts."""
    if start_mm < 0.0:
        return f"{tape.show_long(-start_mm)} past the {end}"
    return f"{tape.show_long(start_mm)} from the {end}"


def _reach(end_mm: float, log_mm: float, tape: Tape) -> str:
    """Where a rail ends."""
    if end_mm > log_mm:
        return f"{tape.show_long(end_mm - log_mm)} past the tip"
    return f"{tape.show_long(end_mm)} from the butt"


def _budget_lines(placement: Placement, budget: Budget, tape: Tape) -> list[str]:
    """Errors and chances of one position."""
    parts = ", ".join(f"{name} {value:.1f}" for name, value in sorted(budget.parts.items(), key=lambda item: -item[1]))
    lines = [
        f"Give or take, 19 times in 20: first face {tape.show(budget.face_mm, 'up')} from its place "
        f"({budget.face_mm:.1f} mm: {parts}); rail sag leaves it up to {budget.hollow_mm:.1f} mm hollow."
    ]
    if budget.full_size is not None:
        full = share_text(budget.full_size)
        if placement.timber.cut is not None:
            full += ", once it is dry"
        elif placement.timber.allowance_mm == 0.0:
            full += " (no allowance was given)"
        lines.append(f"Between the faces {tape.show(budget.size_mm, 'up')}; no less than the finished size: {full}.")
    faces = "; ".join(
        f"{face.face} {share_text(face.free_of_bark)} ({_room(face.room_mm, tape)})" for face in budget.faces
    )
    lines.append(f"Chance of no bark at the corners: {faces}.")
    return lines


def _room(room_mm: float, tape: Tape) -> str:
    """Room of a face in words."""
    return f"{tape.show(max(room_mm, 0.0), 'down')} of room"


def setup_lines(setup: SetUp, *, tape: Tape) -> list[str]:
    """The answer to `setup`.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    definition
    """
    placement = setup.placement
    log, timber = placement.log, placement.timber
    lines = [
        f"{log.tag}, {log.species}, {tape.show_long(log.length_mm)} long, "
        f"butt {tape.show(log.diameter_mm(0))}, tip {tape.show(log.diameter_mm(-1))}.",
        f"Timber {timber_text(timber, tape)}.",
        turn_text(placement),
        f"Nearest to bark: {limit_text(placement, tape)}. {crown_text(placement, tape)}".strip(),
        heart_text(placement, tape),
        *lift_lines(log, setup.kit.species, tape=tape),
        "",
    ]
    if timber.cut is not None:
        lines += [*cut_lines(timber.cut, tape=tape), ""]
    lines += _mark_lines(setup, tape)
    for number, (stack, budget) in enumerate(zip(setup.stacks, setup.budgets, strict=True)):
        lines.append("")
        if number:
            lines.append(f"Then roll the cant {angle_text(stack.turn_deg)} and set up the rail again.")
        lines += _stack_lines(stack, tape)
        lines += _budget_lines(placement, budget, tape)
    lines += ["", *_size_lines(setup, tape)]
    return lines + note_lines((*setup_notes(setup, tape), *_cut_notes(timber))) + ["", *_CAUTIONS]


def _size_lines(setup: SetUp, tape: Tape) -> list[str]:
    """What lies on the horses at the end."""
    timber = setup.placement.timber
    cut = section_text(timber.cut_thickness_mm, timber.cut_width_mm, tape=tape)
    minutes = sum(cut.minutes for cut in setup.passes)
    return [
        f"Sawn: {cut}. All sawn faces free of bark: {share_text(setup.all_free_of_bark)}. "
        f"About {minutes:.0f} min with the chain in the wood.",
        *timber_lines(setup.placement, setup.kit.species, tape=tape),
    ]


_CAUTIONS = (
    "A chainsaw mill can maim. Block the log so that it cannot roll, keep everyone out of the line of the chain,",
    "wear leg, eye and ear protection, wedge the kerf, and carry the slab before its last inches are cut.",
    "Local rules and trained practice come before this sheet.",
)
