"""Notes beneath an answer, each told once."""

from collections.abc import Iterable, Sequence

__all__ = ["note_lines", "shared_note_lines"]

_MOST_TAGS = 12


def note_lines(notes: Iterable[str]) -> list[str]:
    """Notes as lines of text.

    Parameters
    ----------
    notes : iterable of str
        Sentences, some of them more than once.

    Returns
    -------
    list of str
        An empty line and each note once, in the order it first came; nothing where there is none.

    Source
    ------
    definition
    """
    kept = list(dict.fromkeys(notes))
    return ["", *(f"Note: {note}" for note in kept)] if kept else []


def shared_note_lines(noted: Sequence[tuple[str, tuple[str, ...]]]) -> list[str]:
    """Notes of many logs, each told once with the tags it belongs to.

    Parameters
    ----------
    noted : sequence of (str, tuple of str)
        Tag and notes of each log.

    Returns
    -------
    list of str
        As `note_lines`; a note of every log goes without tags, and of many tags the first dozen are named.

    Source
    ------
    definition
    """
    tags: dict[str, list[str]] = {}
    for tag, notes in noted:
        for note in dict.fromkeys(notes):
            tags.setdefault(note, []).append(tag)
    every = len(noted)
    return note_lines(note if len(held) == every else f"{_named(held)}: {note}" for note, held in tags.items())


def _named(tags: Sequence[str]) -> str:
    """Tags in a row, the first dozen of many."""
    more = len(tags) - _MOST_TAGS
    return ", ".join(tags) if more <= 0 else f"{', '.join(tags[:_MOST_TAGS])} and {more} more"
