"""Words about a sawing pattern that pages, cards and JSON share."""

from collections import Counter

from pithline.answers.words import kit_notes, turn_words
from pithline.lengths import Tape
from pithline.patterns import Cut, Pattern, Piece, Position
from pithline.patterns.names import counted

__all__ = [
    "counted",
    "hours_text",
    "pattern_notes",
    "pieces_text",
    "position_text",
    "rides_text",
    "where_text",
]

NEAR_MM = 1.0


def hours_text(minutes: float) -> str:
    """A time in hours and minutes.

    Parameters
    ----------
    minutes : float
        The time [min].

    Returns
    -------
    str
        As in "3 h 25 min", to five minutes over an hour.

    Source
    ------
    definition
    """
    if round(minutes) < 60:
        return f"{minutes:.0f} min"
    whole = 5 * round(minutes / 5.0)
    return f"{whole // 60} h {whole % 60:02d} min"


def pieces_text(pattern: Pattern) -> str:
    """What comes out, by name.

    Parameters
    ----------
    pattern : Pattern
        The pattern.

    Returns
    -------
    str
        Timbers first, as in "2 plates, 3 planks"; "nothing" where there is none.

    Source
    ------
    definition
    """
    counts = Counter(piece.name for piece in (*pattern.timbers, *pattern.boards))
    return ", ".join(counted(number, name) for name, number in counts.items()) or "nothing"


def where_text(pattern: Pattern, piece: Piece, tape: Tape) -> str:
    """Where a piece lies along the log.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    piece : Piece
        One of its pieces.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        Distances from the butt, as in "butt to 14 ft".

    Source
    ------
    definition
    """
    start = "butt" if piece.start_mm < NEAR_MM else tape.show_long(piece.start_mm)
    end = "tip" if piece.end_mm > pattern.log.length_mm - NEAR_MM else tape.show_long(piece.end_mm)
    return f"{start} to {end}"


def rides_text(cut: Cut) -> str:
    """What the mill rides on in a pass.

    Parameters
    ----------
    cut : Cut
        The pass.

    Returns
    -------
    str
        As in "the face of pass 3".

    Source
    ------
    definition
    """
    return "the rail" if cut.face_of is None else f"the face of pass {cut.face_of}"


def position_text(pattern: Pattern, position: Position) -> str:
    """How to bring what is sawn into a position.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    position : Position
        One of its positions.

    Returns
    -------
    str
        One sentence.

    Source
    ------
    definition
    """
    part = pattern.parts[position.part]
    if position.within_mm is None:
        return turn_words(pattern.log, part.roll_deg, named=position.body)
    if abs(position.turn_deg) < 1.0:
        return f"Lay {position.body} as it lay in the log, its upper face up."
    way, side = ("clockwise", "left") if position.turn_deg > 0.0 else ("counterclockwise", "right")
    return f"Roll {position.body} a quarter turn {way}, seen from the butt: its {side} side comes up."


def pattern_notes(pattern: Pattern) -> tuple[str, ...]:
    """What belongs beside a pattern.

    Parameters
    ----------
    pattern : Pattern
        The pattern.

    Returns
    -------
    tuple of str
        Notes of the list, the log and the kit; the values of time and money
        that nobody measured are named.

    Source
    ------
    definition
    """
    notes = [*pattern.notes, *pattern.log.notes, *kit_notes(pattern.kit)]
    recalled = [name for name in pattern.kit.recalled if name.startswith("work.")]
    if recalled:
        named = ", ".join(name.removeprefix("work.").removesuffix("_min").replace("_", " ") for name in recalled)
        notes.append(
            f"Which way is best rests on values of the kit's [work] that were recalled, not measured: {named}."
        )
    return tuple(dict.fromkeys(notes))
