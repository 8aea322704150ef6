"""Names of pieces, counted."""

import re

__all__ = ["counted"]

_ENDS_IN_A_WORD = re.compile(r"(^|\s)[a-z]+$")
_ENDINGS = (
    (re.compile(r"lf$"), "lves"),
    (re.compile(r"([^aeiou])y$"), r"\1ies"),
    (re.compile(r"(ss|x|ch|sh)$"), r"\1es"),
    (re.compile(r"([^s])$"), r"\1s"),
)
"""How a word ends for one, and for several; what ends in one s counts as several already."""


def counted(number: int, name: str) -> str:
    """A number of things.

    Parameters
    ----------
    number : int
        How many.
    name : str
        What one of them is called; a name that does not end in a plain word is left as it is.

    Returns
    -------
    str
        As in "1 tie", "2 ties", "3 of B12".

    Source
    ------
    definition
    """
    if number == 1:
        return f"1 {name}"
    if not _ENDS_IN_A_WORD.search(name):
        return f"{number} of {name}"
    for one, several in _ENDINGS:
        if one.search(name):
            return f"{number} {one.sub(several, name)}"
    return f"{number} {name}"
