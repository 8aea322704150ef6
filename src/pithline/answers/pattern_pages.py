"""Sawing patterns as plain lines of text, for a terminal."""

import string
from collections.abc import Sequence

from pithline.answers.columns import columns
from pithline.answers.notes import note_lines, shared_note_lines
from pithline.answers.pattern_words import (
    counted,
    hours_text,
    pattern_notes,
    pieces_text,
    position_text,
    rides_text,
    where_text,
)
from pithline.answers.words import line_text, section_text
from pithline.lengths import Tape
from pithline.patterns import Pattern, Position, Ways
from pithline.setup import RailStand

__all__ = ["pattern_lines", "pattern_setup_lines", "ways_lines"]

_ALONE = "Each log is looked at by itself: a timber that is wanted once may be counted at several logs."

_LEGEND = (
    "net: value less the cost of the time, in the money of the list. recovery: share of the log inside bark that comes "
    "out as cut."
)


def _sentence(words: str) -> str:
    """Words with a capital and a full stop."""
    return f"{words[:1].upper()}{words[1:]}."


def ways_lines(every: Sequence[Ways], *, tape: Tape) -> list[str]:
    """The answer to `pieces` for a yard: one line first, then the ways of each log.

    Parameters
    ----------
    every : sequence of Ways
        One for each log.
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
    if len(every) == 1:
        only = every[0]
        return pattern_lines(only, 1, tape=tape) if only.patterns else [only.why, *note_lines(only.log.notes)]
    rows = [["log", "way", "net", "value", "time", "passes", "recovery", "what comes out"]]
    for ways in every:
        rows += [_row(ways.log.tag if number == 1 else "", number, way) for number, way in enumerate(ways.patterns, 1)]
        if not ways.patterns:
            rows.append([ways.log.tag, "none", "", "", "", "", "", "nothing"])
    shared = [
        note for ways in every for way in ways.patterns[:1] for note in pattern_notes(way) if note not in way.log.notes
    ]
    own = shared_note_lines([(ways.log.tag, ways.log.notes) for ways in every])
    notes = own + (note_lines(shared)[1:] if own else note_lines(shared))
    none = [ways.why for ways in every if not ways.patterns]
    return [*_total(every), "", *columns(rows), "", _LEGEND, *none, *notes]


def _total(every: Sequence[Ways]) -> list[str]:
    """What the best way of each log that is worth its sawing comes to."""
    best = [ways.patterns[0] for ways in every if ways.patterns and ways.patterns[0].net > 0.0]
    verb = "is" if len(best) == 1 else "are"
    first = f"{len(best)} of {len(every)} logs {verb} worth sawing for this list"
    if not best:
        return [f"{first}."]
    timbers, boards = sum(len(one.timbers) for one in best), sum(len(one.boards) for one in best)
    value, cost = sum(one.value for one in best), sum(one.cost for one in best)
    return [
        f"{first}: {counted(timbers, 'timber')} and {counted(boards, 'board')}, value {value:,.0f}, "
        f"less {cost:,.0f} for {hours_text(sum(one.minutes for one in best))} of work: net {value - cost:,.0f}.",
        _ALONE,
    ]


def _row(tag: str, number: int, pattern: Pattern) -> list[str]:
    """One way in a table."""
    return [
        tag,
        f"{number}: {pattern.why}",
        f"{pattern.net:.0f}",
        f"{pattern.value:.0f}",
        hours_text(pattern.minutes),
        str(len(pattern.cuts)),
        f"{100.0 * pattern.recovery:.0f} %",
        pieces_text(pattern),
    ]


def _piece_lines(pattern: Pattern, tape: Tape) -> list[str]:
    """The pieces, timbers first."""
    rows = [["piece", "thick x wide", "long", "from the butt", "board feet", "value"]]
    rows += [
        [
            piece.name,
            section_text(piece.thickness_mm, piece.width_mm, tape=tape),
            tape.show_long(piece.length_mm, "down"),
            where_text(pattern, piece, tape),
            f"{piece.bf:.1f}",
            f"{piece.value:.2f}",
        ]
        for piece in (*pattern.timbers, *pattern.boards)
    ]
    lines = columns(rows, indent="  ")
    if pattern.boards:
        lines.append("  Boards come off with wane on their edges; edge them to the widths above.")
    if any(_is_cut_off(pattern, piece.start_mm, piece.end_mm, piece.part) for piece in pattern.pieces):
        lines.append("  What is longer once it is off is cut to the lengths above.")
    return lines


def _is_cut_off(pattern: Pattern, start_mm: float, end_mm: float, part: int) -> bool:
    """Whether a piece is shorter than the part it is sawn from."""
    own = pattern.parts[part]
    return start_mm - own.start_mm > 1.0 or own.end_mm - end_mm > 1.0


def _pass_lines(position: Position, tape: Tape) -> list[str]:
    """The passes of one position."""
    rows = [["pass", "rides on", "set the mill to", "comes off", "widest cut", "area", "about"]]
    rows += [
        [
            str(cut.number),
            rides_text(cut),
            f"{tape.show(cut.setting_mm)} ({tape.other(cut.setting_mm)})",
            cut.frees,
            tape.show(cut.widest_mm),
            f"{cut.area_m2:.2f} m2",
            f"{cut.minutes:.0f} min",
        ]
        for cut in position.cuts
    ]
    return columns(rows, indent="  ")


def _head(ways: Ways, number: int, tape: Tape) -> list[str]:
    """What a way comes to."""
    pattern, log = ways.patterns[number - 1], ways.log
    passes = sum(cut.minutes for cut in pattern.cuts)
    moving = sum(position.minutes for position in pattern.positions)
    lines = [
        f"{log.tag}, {log.species}, {tape.show_long(log.length_mm)} long, butt {tape.show(log.diameter_mm(0))}, "
        f"tip {tape.show(log.diameter_mm(-1))}.",
        f"Way {number} of {len(ways.patterns)}, {pattern.why}: {pieces_text(pattern)}.",
    ]
    if pattern.gives_up:
        lines.append(f"Against way 1: {pattern.gives_up}.")
    return [
        *lines,
        f"Value {pattern.value:.2f}, less {pattern.cost:.2f} for {hours_text(pattern.minutes)} of work: "
        f"net {pattern.net:.2f}. {100.0 * pattern.recovery:.0f} % of the log inside bark comes out as cut, "
        f"{100.0 * pattern.kerf_mm3 / log.volume_mm3():.0f} % is sawdust.",
        f"Of the time: {counted(len(pattern.cuts), 'pass')} {hours_text(passes)}; turning, bearers and rail "
        f"{hours_text(moving)}; edging and crosscuts {hours_text(max(pattern.minutes - passes - moving, 0.0))}.",
    ]


def _is_whole(pattern: Pattern) -> bool:
    """Whether the log is sawn in its full length."""
    first = pattern.parts[0]
    return first.end_mm - first.start_mm > pattern.log.length_mm - 1.0


def _parts(pattern: Pattern, tape: Tape) -> list[str]:
    """How the log is cut into parts, and how the pieces lie in each."""
    if _is_whole(pattern):
        return [f"The whole log: {pattern.parts[0].layout}."]
    lines = []
    for number, part in enumerate(pattern.parts, 1):
        start = "butt" if part.start_mm < 1.0 else tape.show_long(part.start_mm)
        end = "tip" if part.end_mm > pattern.log.length_mm - 1.0 else tape.show_long(part.end_mm)
        lines.append(f"Part {number}, {start} to {end}: {part.layout}.")
    return [f"Cut {'this part' if len(lines) == 1 else 'these parts'} off the log first:", *lines]


def _others(ways: Ways, number: int) -> list[str]:
    """The other ways, a line each."""
    others = [
        f"  {k}, {other.why}: {pieces_text(other)}. {_sentence(other.gives_up or f'net {other.net:.2f}')}"
        for k, other in enumerate(ways.patterns, 1)
        if k != number
    ]
    return ["", "Other ways, against the first:", *others] if others else []


def _position_head(pattern: Pattern, position: Position) -> list[str]:
    """How a position is reached, and how long that takes."""
    and_rail = " with bearers and rail" if position.stand is not None else ""
    told = f"about {hours_text(position.minutes)}{and_rail}"
    rolled = position.within_mm is not None and abs(position.turn_deg) > 1.0
    plumb = "set its sawn faces plumb; " if rolled else ""
    return [f"{position.number}. {position_text(pattern, position)}", _sentence(f"{plumb}{told}")]


def _about(pattern: Pattern) -> list[str]:
    """What the minutes of a pass hold."""
    return ["", f"about: sawing, and {pattern.kit.work.pass_min:g} min a pass to walk back, set the mill and lift off."]


def pattern_lines(ways: Ways, number: int, *, tape: Tape) -> list[str]:
    """One way to saw a log in full, and the others in a line each.

    Parameters
    ----------
    ways : Ways
        What can be made of the log.
    number : int
        Which way, from 1.
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
    pattern = ways.patterns[number - 1]
    lines = [*_head(ways, number, tape), *_parts(pattern, tape), "", *_piece_lines(pattern, tape)]
    for position in pattern.positions:
        lines += ["", *_position_head(pattern, position), *_pass_lines(position, tape)]
    return [*lines, *_about(pattern), *_others(ways, number), *note_lines(pattern_notes(pattern))]


def _mark_lines(pattern: Pattern, position: Position, tape: Tape) -> list[str]:
    """Where the cut lines lie on both ends, from the pith, up as the wood lies in this position."""
    rows = [["line of pass", *(str(cut.number) for cut in position.cuts)]]
    for end, station in (("butt", 0), ("tip", -1)):
        pith = float(position.log.pith_mm[station, 1])
        rows.append([end, *(line_text(cut.line_mm - pith, "up", tape=tape) for cut in position.cuts)])
    named = "" if _is_whole(pattern) else f" of part {position.part + 1}"
    first = f"Lines on the ends{named}, from a level line through the pith as it lies now:"
    lines = [first, *columns(rows, indent="  ")]
    if position.number == 1:
        lines.append("  A line is the lower edge of its kerf; the kerf lies over it.")
    return lines


def _spot(z_mm: float, length_mm: float, tape: Tape) -> str:
    """A place along a part."""
    if z_mm < -1.0:
        return f"{tape.show_long(-z_mm)} past the butt"
    if z_mm > length_mm + 1.0:
        return f"{tape.show_long(z_mm - length_mm)} past the tip"
    if z_mm < 1.0:
        return "butt"
    return "tip" if z_mm > length_mm - 1.0 else tape.show_long(z_mm)


def _stand_lines(stand: RailStand, length_mm: float, tape: Tape) -> list[str]:
    """Bearers and rail of one position."""
    rows = [["bearer", "from the butt", "height", "flat", "string hangs"]]
    rows += [
        [
            str(number),
            tape.show_long(bearer.station_mm),
            tape.show(bearer.height_mm),
            f"{tape.show(bearer.flat_depth_mm)} deep, {tape.show(bearer.flat_width_mm)} wide",
            f"{bearer.string_sag_mm:.1f} mm",
        ]
        for number, bearer in enumerate(stand.bearers, 1)
    ]
    lines = [f"Bearer tops {tape.show(stand.datum_mm)} above the line of the first pass:", *columns(rows, indent="  ")]
    rows = [["rail", "from", "to", "on bearers", "saw from", "to"]]
    for letter, place in zip(string.ascii_uppercase, stand.rail, strict=False):
        spots = [_spot(z, length_mm, tape) for z in (place.start_mm, place.end_mm, place.saw_from_mm, place.saw_to_mm)]
        rows.append([letter, *spots[:2], f"{place.bearers[0] + 1} to {place.bearers[1] + 1}", *spots[2:]])
    return [*lines, *columns(rows, indent="  ")]


def pattern_setup_lines(ways: Ways, number: int, *, tape: Tape) -> list[str]:
    """The answer to `setup` for a pattern: marks, bearers, rail and passes of every position.

    Parameters
    ----------
    ways : Ways
        What can be made of the log.
    number : int
        Which way, from 1.
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
    pattern = ways.patterns[number - 1]
    lines = [*_head(ways, number, tape), *_parts(pattern, tape), "", *_piece_lines(pattern, tape)]
    for position in pattern.positions:
        lines += ["", *_position_head(pattern, position)]
        lines += _mark_lines(pattern, position, tape)
        if position.stand is not None:
            lines += _stand_lines(position.stand, float(position.log.z_mm[-1]), tape)
        lines += _pass_lines(position, tape)
    return [*lines, *_about(pattern), *note_lines(pattern_notes(pattern)), "", *CAUTIONS]


CAUTIONS = (
    "A chainsaw mill can maim. Block the log so that it cannot roll, keep everyone out of the line of the chain,",
    "wear leg, eye and ear protection, wedge the kerf, and carry the slab before its last inches are cut.",
    "Local rules and trained practice come before this sheet.",
)
