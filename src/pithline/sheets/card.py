"""The card of a log: what to turn, draw, stand up, set and check, on paper.

A sheet belongs to one position of the log. A log that is rolled for a second stack of
passes has a second sheet, for after it was rolled: on one page the numbers to set
would leave the drawings no room in which they can be read.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Literal

from pithline.answers.words import (
    crown_text,
    heart_text,
    kit_notes,
    limit_text,
    section_text,
    setup_notes,
    share_text,
    timber_text,
    turn_text,
)
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.setup import SetUp
from pithline.sheets.cautions import said
from pithline.sheets.end_view import end_view
from pithline.sheets.look import size_mm
from pithline.sheets.readings import wide_mm
from pithline.sheets.side_view import side_view
from pithline.sheets.svg import Drawing
from pithline.sheets.turn_view import TURN_MM, turn_view
from pithline.sheets.typeset import compile_pdf

__all__ = ["PAGE_MM", "PaperName", "PassCell", "Sheet", "card_pdf", "sheets_of", "tall_mm", "unit_beside"]

PaperName = Literal["letter", "a4"]

_FOOTER = (
    "From the measures and the kit given; blind to rot, metal and tension in the wood. "
    "The saw's manual and local rules come first."
)


@dataclass(frozen=True)
class PassCell:
    """What a card tells of a pass.

    Attributes: `name` and what it `rides` on; `number` to set, its `unit`, and
    `setting`, both together; `other`, the same in the other unit; `doubt`, how far it may come out; `work`.
    """

    name: str
    rides: str
    number: str
    unit: str
    setting: str
    other: str
    doubt: str
    work: str


@dataclass(frozen=True)
class Sheet:
    """What one sheet of a card says, drawings left aside.

    Attributes: `tag` and `title` of its head; `headline`, what to do first; `urgent`,
    what comes even before that; `facts` of timber and placement; `flats` of the
    bearers; `passes`; `checks`; `cautions`; `errors`; `notes`.
    """

    tag: str
    title: str
    headline: str
    urgent: tuple[str, ...]
    facts: str
    flats: str
    passes: tuple[PassCell, ...]
    checks: tuple[str, ...]
    cautions: tuple[str, ...]
    errors: tuple[str, ...]
    notes: tuple[str, ...]


def _unbroken(words: str) -> str:
    """Return the words with clock positions that no line break parts."""
    return words.replace(" o'clock", "\u00a0o'clock").replace("half past ", "half\u00a0past\u00a0")


def _headline(setup: SetUp, index: int) -> str:
    if index == 0:
        return _unbroken(turn_text(setup.placement))
    clockwise = setup.stacks[index].turn_deg > 0.0
    way, side = ("clockwise", "left") if clockwise else ("counterclockwise", "right")
    return f"Roll the cant a quarter turn {way}, seen from the butt: its {side} side comes up."


def _facts(setup: SetUp, index: int, tape: Tape) -> str:
    """Return what is cut and how it lies, in a few sentences."""
    placement = setup.placement
    sentences = [f"{timber_text(placement.timber, tape)}."]
    if index == 0:
        sentences += [
            f"Tightest spot: {limit_text(placement, tape)}.",
            crown_text(placement, tape),
            heart_text(placement, tape),
        ]
    return _unbroken(" ".join(sentence for sentence in sentences if sentence))


def _pass(setup: SetUp, index: int, number: int, tape: Tape) -> PassCell:
    budget = setup.budgets[index]
    cut = setup.stacks[index].passes[number]
    give = budget.face_mm if number == 0 else budget.size_mm
    return PassCell(
        name=f"Pass {cut.number}: {cut.face}",
        rides=f"mill on {'the rail' if cut.rides_on == 'rail' else f'the sawn {cut.rides_on}'}",
        number=tape.number(cut.setting_mm),
        unit=tape.style,
        setting=tape.show(cut.setting_mm),
        other=tape.other(cut.setting_mm),
        doubt=f"give or take {tape.show(give, 'up')}",
        work=f"Up to {tape.show(cut.widest_mm)} wide, about {max(1.0, cut.minutes):.0f} min of sawing.",
    )


def _errors(setup: SetUp, index: int, tape: Tape) -> tuple[str, ...]:
    """Return chances, then errors."""
    budget = setup.budgets[index]
    free = share_text(math.prod(face.free_of_bark for face in budget.faces))
    chances = f"Chance of no bark on the sawn faces: {free}"
    if budget.full_size is not None:
        chances += f"; of full finished size between them: {share_text(budget.full_size)}"
    largest = sorted(budget.parts.items(), key=lambda part: -part[1])[:3]
    told = ", ".join(f"{name} {tape.show(value, 'up')}" for name, value in largest)
    return (
        f"{chances}.",
        f"Give or take holds 19 times in 20. Most of it: {told}. At the bark, the log's own measures add "
        f"{tape.show(budget.log_mm, 'up')}.",
    )


def _flats(setup: SetUp, index: int, tape: Tape) -> str:
    bearers = setup.stacks[index].bearers
    depths = ", ".join(tape.number(bearer.flat_depth_mm) for bearer in bearers)
    return (
        f"Flats for the bearers {tape.show(bearers[0].flat_width_mm)} wide, level; butt to tip {depths} {tape.style} "
        f"deep at their middle. A height runs from the flat to the bearer's top."
    )


def sheets_of(setup: SetUp, tape: Tape) -> tuple[Sheet, ...]:
    """Return what the sheets of a log's card say.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    tuple of Sheet
        One for each stack of passes.
    """
    timber, count = setup.placement.timber, len(setup.stacks)
    lasting = (*setup.placement.log.notes, *kit_notes(setup.kit))
    all_notes = setup_notes(setup, tape)
    sheets = []
    for index in range(count):
        title = f"{section_text(timber.thickness_mm, timber.width_mm, tape=tape)} timber"
        if count > 1:
            title += f", sheet {index + 1} of {count}: {'after rolling' if index else 'before rolling'}"
        sheets.append(
            Sheet(
                tag=setup.placement.log.tag,
                title=title,
                headline=_headline(setup, index),
                urgent=() if index else tuple(note for note in all_notes if note not in lasting),
                facts=_facts(setup, index, tape),
                flats=_flats(setup, index, tape),
                passes=tuple(_pass(setup, index, k, tape) for k in range(len(setup.stacks[index].passes))),
                checks=said(setup, index, kind="check", tape=tape),
                cautions=said(setup, index, kind="caution", tape=tape),
                errors=_errors(setup, index, tape),
                notes=tuple(note for note in all_notes if note in lasting),
            )
        )
    return tuple(sheets)


# -- what fits on a page -----------------------------------------------------------------

PAGE_MM = {"letter": (191.9, 245.4), "a4": (186.0, 263.0)}
"""Width and height of a page less its margins."""

_LEAST_MM = (53.0, 51.0)
_MOST_MM = (80.0, 76.0)
"""Heights of an end view and of the side view."""

_TIGHT_MM = 46.0
"""Height of an end view where the side view needs the room more."""

_PINCH_MM = 6.0
"""What the drawings give up in the last resort."""

_COMFORT_MM = 112.0
"""Height of both drawings together from which the small text may be larger."""

_SHARE_OF_ENDS = 0.6
"""Share of the height beyond the least that goes to the ends first."""

_LINE_EM = 1.21
_TOLD_TOO_WIDE = 1.035
"""Least ratio of the width that is told of a sentence to its width on paper, as measured."""

_FIXED_MM = 40.5
"""Passes, rules, and the gaps between the parts of a page."""

_COLUMN_GAP_MM = 5.0
_BOX_MM = 7.5
_CHECK_MM = 5.0
_PASS_GAP_MM = 3.0

_DIGIT_MM = (16.8, 12.0)
"""Advance widths of a full figure and of one in a fraction, bold, in the size of settings, as measured."""

_UNIT_MM = 15.2
"""The unit beside the number, with the space and the stroke of a fraction, as measured."""


def tall_mm(texts: Iterable[str], size: str, width_mm: float, *, between_mm: float = 0.0) -> float:
    """Return how tall texts set in a column will be, rather too much than too little.

    Parameters
    ----------
    texts : iterable of str
        Sentences.
    size : str
        Name of a type size.
    width_mm : float
        Width of the column [mm].
    between_mm : float
        Paper after each text [mm].

    Returns
    -------
    float
        Height on paper [mm].
    """
    return sum(_rows(text, size, width_mm) * _LINE_EM * size_mm(size) + between_mm for text in texts)


def _rows(text: str, size: str, width_mm: float) -> int:
    """Return how many lines a text takes, its words set one after the other."""
    rows, run = 1, 0.0
    space = wide_mm(" ", size)
    for word in text.split(" "):
        wide = wide_mm(word, size)
        if run > 0.0 and run + space + wide > width_mm * _TOLD_TOO_WIDE:
            rows, run = rows + 1, 0.0
        run += wide + (space if run > 0.0 else 0.0)
    return rows


def _room_left_mm(sheet: Sheet, paper: PaperName, size: str) -> float:
    """Return the height that a page has left for drawings."""
    width, height = PAGE_MM[paper]
    column = 0.5 * (width - _COLUMN_GAP_MM)
    beside = width - TURN_MM[0] - 3.0
    head = tall_mm([sheet.headline], "lead", beside) + tall_mm([sheet.facts], "note", beside) + 3.0
    left = tall_mm(["Before the saw runs"], size, column) + tall_mm(
        sheet.checks, size, column - _CHECK_MM, between_mm=1.0
    )
    right = _BOX_MM + tall_mm(sheet.cautions, size, column - _BOX_MM, between_mm=0.6)
    texts = (
        max(head, TURN_MM[1])
        + (tall_mm(["First. " + " ".join(sheet.urgent)], "text", width - 6.0) + 3.0 if sheet.urgent else 0.0)
        + tall_mm([sheet.flats], "note", width)
        + max(left, right)
        + tall_mm((*sheet.errors, *sheet.notes), "note", width, between_mm=0.5)
    )
    return height - texts - _FIXED_MM


def _fitted(sheet: Sheet, paper: PaperName) -> tuple[Sheet, str, float]:
    """Return a sheet that fits its page, the size of its small text, and the height left for drawings.

    The small text is set larger where there is room. Where there is too little, the
    parts of the error go first, then the list of recalled values: both can be had
    without the card, the drawings and cautions cannot.
    """
    short = replace(sheet, errors=sheet.errors[:1])
    brief = replace(short, notes=(" ".join(_brief(note) for note in sheet.notes),) if sheet.notes else ())
    least = sum(_LEAST_MM)
    for candidate, size, wanted in (
        (sheet, "text", _COMFORT_MM),
        (sheet, "note", least),
        (short, "note", least),
        (brief, "note", least - _PINCH_MM),
    ):
        room = _room_left_mm(candidate, paper, size)
        if room >= wanted:
            return candidate, size, room
    raise SheetError(f"{sheet.tag}: the notes of this log are too long for a card. Shorten its tag or notes.")


def unit_beside(cell: PassCell, page_mm: float) -> bool:
    """Return whether the unit has room beside the number to set, in its half of the page.

    Parameters
    ----------
    cell : PassCell
        The pass.
    page_mm : float
        Width of the page less its margins [mm].

    Returns
    -------
    bool
        Else it leads the line beneath.
    """
    whole, _, fraction = cell.number.rpartition(" ") if "/" in cell.number else (cell.number, "", "")
    digits = len(whole), len(fraction.replace("/", ""))
    wide = _UNIT_MM + digits[0] * _DIGIT_MM[0] + digits[1] * _DIGIT_MM[1]
    return wide <= 0.5 * (page_mm - _PASS_GAP_MM)


def _brief(note: str) -> str:
    """Return a note without a long list in it."""
    head, colon, rest = note.partition(": ")
    if not colon or rest.count(", ") < 3:
        return note
    return f"{head}: {rest.count(', ') + 1} values of the kit."


def _drawn(setup: SetUp, index: int, *, tape: Tape, room_mm: tuple[float, float]) -> dict[str, Drawing]:
    """Return the drawings of a sheet, which take up no more height together than there is."""
    width, height = room_mm
    share = min(_MOST_MM[0], _LEAST_MM[0] + _SHARE_OF_ENDS * (height - sum(_LEAST_MM)))
    try:
        views = _ends_and_side(setup, index, tape=tape, room_mm=room_mm, ends_mm=share)
    except SheetError:
        # A rail that is moved many times stands in many rows: the side view may need most of the page.
        views = _ends_and_side(setup, index, tape=tape, room_mm=(width, height), ends_mm=_TIGHT_MM)
    return {**views, "turn": turn_view(setup, stack=index)}


def _ends_and_side(
    setup: SetUp, index: int, *, tape: Tape, room_mm: tuple[float, float], ends_mm: float
) -> dict[str, Drawing]:
    """Return both ends, as tall as they are given, and the side view in what is left of the room."""
    width, height = room_mm
    room = (0.5 * width - 1.0, ends_mm)
    butt = end_view(setup, "butt", tape=tape, stack=index, room_mm=room)
    tip = end_view(setup, "tip", tape=tape, stack=index, room_mm=room)
    # What the ends leave of their share is the side view's.
    left = min(_MOST_MM[1], height - butt.paper.height_mm)
    return {"butt": butt, "tip": tip, "side": side_view(setup, index, tape=tape, room_mm=(width, left))}


def card_pdf(setups: Sequence[SetUp], *, tape: Tape, paper: PaperName) -> bytes:
    """Return the cards of logs as one PDF.

    Parameters
    ----------
    setups : sequence of SetUp
        The logs, in the order of the cards.
    tape : Tape
        How lengths are shown.
    paper : {'letter', 'a4'}
        Size of the paper.

    Returns
    -------
    bytes
        The PDF; the same for the same input. A page for each stack of passes: one a
        log, two where the log is rolled for a second stack.

    Raises
    ------
    SheetError
        There are no logs, the paper is unknown, or a card does not fit its page.
    """
    if not setups:
        raise SheetError("no log has a set-up to print a card of.")
    if paper not in PAGE_MM:
        raise SheetError(f"paper {paper!r}: choose letter or a4.")
    width = PAGE_MM[paper][0]
    sheets: list[dict[str, object]] = []
    drawings: dict[str, str] = {}
    for setup in setups:
        for index, full in enumerate(sheets_of(setup, tape)):
            sheet, size, room_mm = _fitted(full, paper)
            key = f"{len(sheets)}"
            for name, drawing in _drawn(setup, index, tape=tape, room_mm=(width, room_mm)).items():
                drawings[f"{key}-{name}"] = drawing.to_svg()
            passes = [{**asdict(cell), "unit_beside": unit_beside(cell, width)} for cell in sheet.passes]
            sheets.append({**asdict(sheet), "passes": passes, "key": key, "size": size})
    return compile_pdf("card.typ", {"paper": paper, "footer": _FOOTER, "sheets": sheets}, drawings=drawings)
