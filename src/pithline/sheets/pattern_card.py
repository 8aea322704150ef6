"""The card of a pattern: a page for what comes out of a log, then a page for each way it lies on the horses."""

from collections.abc import Sequence
from dataclasses import asdict

from pithline.answers.pattern_words import pattern_notes, rides_text
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.patterns.pattern import Cut, Pattern
from pithline.sheets.card import PAGE_MM, PaperName, PassCell, tall_mm, unit_beside
from pithline.sheets.cautions import said_where
from pithline.sheets.end_plan import End
from pithline.sheets.pattern_end import pattern_end_view, position_end_view
from pithline.sheets.pattern_end_plan import plan_pattern
from pithline.sheets.pattern_faces import PatternFace, pattern_face
from pithline.sheets.pattern_side import pattern_side_view
from pithline.sheets.pattern_strip import pattern_plan_view
from pithline.sheets.pattern_turns import facts_of, first_of, flats_of, is_first_of_part, lying_of, way_of
from pithline.sheets.pattern_words import headline_of, piece_rows, sentence_of, title_of, totals_of, why_of
from pithline.sheets.svg import Drawing
from pithline.sheets.turn_view import TURN_MM, turn_picture
from pithline.sheets.typeset import compile_pdf

__all__ = ["pattern_card_pdf"]

_FOOTER = (
    "From the measures and the kit given; blind to rot, metal and tension in the wood. "
    "The saw's manual and local rules come first."
)

_PLAN_MM = 46.0
_ENDS_MM = 88.0
_LEAST_ENDS_MM = 48.0
_STACKED_ENDS_MM = 62.0
_WIDE_ENDS_MM = 112.0
_LEAST_LOG_MM = 29.0
"""An end drawn smaller than this on half the width of a page is drawn on the whole of it."""

_PIECE_MM = 5.15
_TOTALS_MM = 26.0
_LEGEND_MM = 12.0
"""A row of the table of pieces; the totals with the gaps around them; the legend under the table."""

_END_MM = (50.0, 84.0)
_SIDE_MM = (46.0, 76.0)
"""Least and greatest height of an end and of a side view on the page of a position."""

_ROW_MM = 11.8
_HEAD_MM = 5.0
"""A row of the table of passes, and its head."""

_CELL_MM = 39.0
"""The first pass on the rail, its number 20 mm tall."""

_GAPS_MM = 14.5
_GUTTER_MM = 4.0


def pattern_card_pdf(patterns: Sequence[Pattern], *, tape: Tape, paper: PaperName) -> bytes:
    """Return the cards of patterns as one PDF.

    Parameters
    ----------
    patterns : sequence of Pattern
        Ways of sawing logs, in the order of the cards.
    tape : Tape
        How lengths are shown.
    paper : {'letter', 'a4'}
        Size of the paper.

    Returns
    -------
    bytes
        The PDF; the same for the same input. For each pattern a page of what comes out, a
        second one where its ends or its table need one, and a page for each position,
        two where its passes do not fit on one.

    Raises
    ------
    SheetError
        There are no patterns, the paper is unknown, or a drawing does not fit its page.
    """
    if not patterns:
        raise SheetError("no log has a pattern to print a card of.")
    if paper not in PAGE_MM:
        raise SheetError(f"paper {paper!r}: choose letter or a4.")
    sheets: list[dict[str, object]] = []
    drawings: dict[str, str] = {}
    for pattern in patterns:
        made = [_overview(pattern, tape, paper)]
        made += [_position(pattern, number, tape=tape, paper=paper) for number in range(len(pattern.positions))]
        for sheet, views in made:
            key = f"{len(sheets)}"
            drawings |= {f"{key}-{name}": drawing.to_svg() for name, drawing in views.items()}
            sheets.append({**sheet, "key": key, "tag": pattern.log.tag})
    return compile_pdf("pattern_card.typ", {"paper": paper, "footer": _FOOTER, "sheets": sheets}, drawings=drawings)


# -- what comes out ----------------------------------------------------------------------


def _needs_width(pattern: Pattern, part: int, *, tape: Tape, room_mm: tuple[float, float]) -> bool:
    """Return whether the ends of a part, or their readings, would be too small on half the width of a page."""
    faces: dict[End, PatternFace] = {
        "butt": pattern_face(pattern, part, end="butt"),
        "tip": pattern_face(pattern, part, end="tip"),
    }
    try:
        scale, _, plans = plan_pattern(faces, tape=tape, room_mm=room_mm)
    except SheetError:
        return True
    box = faces["butt"].box
    writings = [plan.level if cut.axis == 1 else plan.plumb for end, plan in plans.items() for cut in faces[end].told]
    small = scale * max(box.right - box.left, box.top - box.bottom) < _LEAST_LOG_MM
    return small or not all(writing.stacked for writing in writings)


def _overview(pattern: Pattern, tape: Tape, paper: PaperName) -> tuple[dict[str, object], dict[str, Drawing]]:
    """Return what the first page of a pattern says, and its drawings."""
    width = PAGE_MM[paper][0]
    views = {"plan": pattern_plan_view(pattern, tape=tape, room_mm=(width, _PLAN_MM))}
    half = 0.5 * width - 1.0
    parts = []
    tall = _ends_mm(pattern, tape, paper)
    for part in range(len(pattern.parts)):
        wide = tall is None or _needs_width(pattern, part, tape=tape, room_mm=(half, tall))
        room = (width, _WIDE_ENDS_MM) if tall is None or wide else (half, tall)
        views[f"butt{part}"] = pattern_end_view(pattern, part, "butt", tape=tape, room_mm=room)
        views[f"tip{part}"] = pattern_end_view(pattern, part, "tip", tape=tape, room_mm=room)
        parts.append({"number": part, "wide": wide})
    sheet: dict[str, object] = {
        "kind": "overview",
        "title": title_of(pattern),
        "headline": headline_of(pattern, tape),
        "why": why_of(pattern),
        "totals": [list(total) for total in totals_of(pattern)],
        "parts": parts,
        "pieces": piece_rows(pattern, tape),
        "gives_up": sentence_of(pattern.gives_up),
        "notes": list(pattern_notes(pattern)),
    }
    return sheet, views


def _ends_mm(pattern: Pattern, tape: Tape, paper: PaperName) -> float | None:
    """Return the height of the ends of each part on the first page, None where they need a page of their own."""
    width, height = PAGE_MM[paper]
    head = tall_mm([headline_of(pattern, tape)], "lead", width)
    head += tall_mm([words for words in (why_of(pattern), pattern.gives_up) if words], "text", width, between_mm=2.4)
    foot = tall_mm(pattern_notes(pattern), "note", width, between_mm=1.4) + _LEGEND_MM
    table = _PIECE_MM * (len(pattern.pieces) + 1)
    room = height - head - _TOTALS_MM - _PLAN_MM - table - foot
    share = room / len(pattern.parts) - 2.0
    if len(pattern.parts) > 1:
        # Ends of several parts stand over one another, and the table runs on to a second page.
        return max(_STACKED_ENDS_MM, min(_ENDS_MM, share))
    return min(_ENDS_MM, share) if share >= _LEAST_ENDS_MM else None


# -- how it lies -------------------------------------------------------------------------


def _cell(cut: Cut, tape: Tape, width_mm: float) -> dict[str, object]:
    """Return the pass whose number is set largest."""
    cell = PassCell(
        name=f"Pass {cut.number}",
        rides=f"mill on {rides_text(cut)}",
        number=tape.number(cut.setting_mm),
        unit=tape.style,
        setting=tape.show(cut.setting_mm),
        other=tape.other(cut.setting_mm),
        doubt="",
        work=f"{_frees(cut)} Up to {tape.show(cut.widest_mm)} wide, about {_minutes(cut)} min.",
    )
    return {**asdict(cell), "unit_beside": unit_beside(cell, width_mm)}


def _frees(cut: Cut) -> str:
    """Return in a sentence what comes off."""
    return f"Comes off: {cut.frees}." if cut.frees else ""


def _minutes(cut: Cut) -> str:
    return f"{max(1.0, cut.minutes):.0f}"


def _row(cut: Cut, tape: Tape) -> dict[str, str]:
    """Return a pass as the table tells it."""
    return {
        "number": str(cut.number),
        "setting": tape.show(cut.setting_mm),
        "other": tape.other(cut.setting_mm),
        "rides": rides_text(cut),
        "frees": cut.frees,
        "widest": tape.show(cut.widest_mm),
        "minutes": _minutes(cut),
    }


def _position(
    pattern: Pattern, number: int, *, tape: Tape, paper: PaperName
) -> tuple[dict[str, object], dict[str, Drawing]]:
    """Return what the page of a position says, and its drawings."""
    position = pattern.positions[number]
    width = PAGE_MM[paper][0]
    lying = lying_of(position)
    cuts = sorted(position.cuts, key=lambda cut: cut.number)
    large = [cut for cut in cuts[:1] if cut.rides_on == "rail"]
    count = len(pattern.positions)
    sheet: dict[str, object] = {
        "kind": "position",
        "title": f"{title_of(pattern)}, position {number + 1} of {count}",
        "headline": way_of(pattern, position),
        "urgent": list(first_of(pattern, position, tape)),
        "facts": facts_of(pattern, position, tape),
        "flats": flats_of(position, tape),
        "large": [_cell(cut, tape, width) for cut in large],
        "passes": [_row(cut, tape) for cut in cuts[len(large) :]],
        "checks": list(said_where(pattern.kit, lying, kind="check", tape=tape)),
        "cautions": list(said_where(pattern.kit, lying, kind="caution", tape=tape)),
    }
    ends, side = _heights(sheet, paper)
    room = (0.5 * width - 1.0, ends)
    views = {
        "butt": position_end_view(pattern, number, "butt", tape=tape, room_mm=room),
        "tip": position_end_view(pattern, number, "tip", tape=tape, room_mm=room),
        "turn": _turn(pattern, number),
    }
    # What the ends leave of their share is the side view's.
    side = min(_SIDE_MM[1], side + ends - views["butt"].paper.height_mm)
    views["side"] = _side(pattern, number, tape=tape, width=width, height=side)
    return sheet, views


def _side(pattern: Pattern, number: int, *, tape: Tape, width: float, height: float) -> Drawing:
    """Return the side view, higher than asked for where many passes or rows of rail need it."""
    for tall in (height, _SIDE_MM[1], 1.3 * _SIDE_MM[1]):
        try:
            return pattern_side_view(pattern, number, tape=tape, room_mm=(width, tall))
        except SheetError:
            continue
    return pattern_side_view(pattern, number, tape=tape, room_mm=(width, 1.6 * _SIDE_MM[1]))


def _turn(pattern: Pattern, number: int) -> Drawing:
    """Return the picture of the turn before a position."""
    position = pattern.positions[number]
    clock = pattern.log.crown_clock
    start = 0.0 if clock is None else 30.0 * clock
    roll, turn = pattern.parts[position.part].roll_deg, position.turn_deg
    is_cant = lying_of(position).is_cant
    if is_first_of_part(pattern, position):
        turn = (roll + turn + 180.0) % 360.0 - 180.0
    else:
        start += roll
    return turn_picture(pattern.log.tag, start, turn_deg=turn, is_cant=is_cant)


def _heights(sheet: dict[str, object], paper: PaperName) -> tuple[float, float]:
    """Return the heights of an end and of the side view: such that all passes fit on the page, if they can."""
    width, height = PAGE_MM[paper]
    column = 0.5 * (width - _GUTTER_MM)
    beside = width - TURN_MM[0] - 3.0
    head = max(
        TURN_MM[1],
        tall_mm([str(sheet["headline"])], "lead", beside) + tall_mm([str(sheet["facts"])], "note", beside) + 3.0,
    )
    urgent, checks, cautions, passes = (_list(sheet[name]) for name in ("urgent", "checks", "cautions", "passes"))
    head += tall_mm(["First. " + " ".join(urgent)], "text", width - 6.0) + 3.0 if urgent else 0.0
    # The number to set stands beside the checks, the cautions across the page beneath.
    beside = tall_mm(["Before the saw runs"], "note", column) + tall_mm(checks, "note", column - 5.0, between_mm=0.7)
    beside = max(beside, _CELL_MM) if sheet["large"] else 0.6 * beside
    warned = tall_mm([" ".join(["Caution.", *cautions])], "note", width - 7.5) + 4.6
    fixed = head + tall_mm([str(sheet["flats"])], "note", width) + beside + warned + _GAPS_MM
    table = _HEAD_MM + _ROW_MM * len(passes) if passes else 0.0
    least = _END_MM[0] + _SIDE_MM[0]
    room = height - fixed - table
    if room < least:
        # The table runs on to a second page: the drawings take what they need to be read with ease.
        room = max(least, height - fixed - (_HEAD_MM + _ROW_MM if passes else 0.0))
    room = min(room, _END_MM[1] + _SIDE_MM[1])
    ends = min(_END_MM[1], _END_MM[0] + 0.6 * (room - least))
    return ends, room - ends


def _list(value: object) -> list[str]:
    return [str(item) for item in value] if isinstance(value, list) else []
