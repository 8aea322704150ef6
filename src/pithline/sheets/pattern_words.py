"""What the card of a pattern says: what comes out, how each body is laid, what each pass does."""

from collections import Counter

from pithline.answers.pattern_words import where_text
from pithline.answers.words import section_text
from pithline.lengths import Tape
from pithline.patterns.names import counted
from pithline.patterns.pattern import Pattern
from pithline.sheets.pattern_pieces import passes_of, piece_marks

__all__ = ["headline_of", "piece_rows", "sentence_of", "title_of", "totals_of", "why_of"]


def title_of(pattern: Pattern) -> str:
    """Return how many timbers and boards come out.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.

    Returns
    -------
    str
        As in "2 timbers and 5 boards".
    """
    counts = [(len(pattern.timbers), "timber"), (len(pattern.boards), "board")]
    told = [counted(count, name) for count, name in counts if count]
    return " and ".join(told) or "nothing but slabs"


def sentence_of(words: str) -> str:
    """Return words as a sentence.

    Parameters
    ----------
    words : str
        A few words; may be empty.

    Returns
    -------
    str
        With a capital and a full stop; empty for nothing.
    """
    return f"{words[:1].upper()}{words[1:].rstrip('.')}." if words else ""


def why_of(pattern: Pattern) -> str:
    """Return what a pattern is best at, and how its parts are laid out.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.

    Returns
    -------
    str
        One or two sentences; empty where nothing is known.
    """
    layouts = [part.layout for part in pattern.parts]
    if len(layouts) > 1:
        layouts = [f"part {number}, {layout}" for number, layout in enumerate(layouts, start=1) if layout]
    layout = "; ".join(layouts)
    return f"{sentence_of(pattern.why)} {'Layout: ' + layout + '.' if layout else ''}".strip()


def headline_of(pattern: Pattern, tape: Tape) -> str:
    """Return in one sentence what comes out of the log.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        The timbers with their sections, the boards by their names.
    """
    timbers = Counter(
        f"{piece.name} {section_text(piece.thickness_mm, piece.width_mm, tape=tape)}" for piece in pattern.timbers
    )
    boards = Counter(piece.name for piece in pattern.boards)
    told = [name if count == 1 else f"{name}\u00a0({count})" for name, count in (*timbers.items(), *boards.items())]
    return f"{title_of(pattern)}: {', '.join(told)}." if told else f"{title_of(pattern)}."


def totals_of(pattern: Pattern) -> tuple[tuple[str, str], ...]:
    """Return what a pattern comes to.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.

    Returns
    -------
    tuple of (str, str)
        A number, and what it is.
    """
    whole = pattern.log.volume_mm3()
    return (
        (f"{100.0 * pattern.recovery:.0f} %", "of the log inside bark comes out, as cut"),
        (f"{pattern.bf:.0f}", "board feet, as cut"),
        (f"{100.0 * pattern.kerf_mm3 / whole:.0f} %", "of it becomes sawdust"),
        (f"{pattern.minutes / 60.0:.1f}", f"hours, {counted(len(pattern.cuts), 'pass')}"),
        (f"{pattern.net:.0f}", f"net: value {pattern.value:.0f}, less {pattern.cost:.0f} for the time"),
    )


def piece_rows(pattern: Pattern, tape: Tape) -> list[list[str]]:
    """Return the table of pieces.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of list of str
        Mark, name, section, length, where along the log, passes; timbers first.
    """
    rows = []
    for mark, piece in zip(piece_marks(pattern), pattern.pieces, strict=True):
        numbers = passes_of(pattern, piece)
        rows.append(
            [
                mark,
                piece.name,
                section_text(piece.thickness_mm, piece.width_mm, tape=tape),
                tape.show_long(piece.length_mm, "down"),
                where_text(pattern, piece, tape),
                ", ".join(str(number) for number in numbers) or "none",
            ]
        )
    return sorted(rows, key=lambda row: not row[0].startswith("T"))
