"""A plan that was made before, read back from its JSON, and what of it is sawn."""

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pithline.errors import FileError, MatchError
from pithline.job.textfile import read_text
from pithline.match import Lock, Weights

__all__ = ["read_plan", "sawn_of", "words_to_locks", "words_to_pairs", "words_to_turns", "words_to_weights"]

Counts = dict[str, dict[str, int]]

_MOST_DIGITS = 6
_MOST = 10**_MOST_DIGITS - 1
"""Most timbers that are taken for a count."""


def read_plan(path: str | Path) -> Counts:
    """Timbers by log of the first plan in an answer of `match --json`.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    dict
        Number of each timber, by log.

    Raises
    ------
    FileError
        It cannot be read, or is no such answer.

    Source
    ------
    definition
    """
    name = Path(path).name
    try:
        answer = json.loads(read_text(Path(path)))
    except (ValueError, RecursionError) as error:
        if isinstance(error, FileError):
            raise
        raise FileError([f"{name}: is no JSON; give the file that `pithline match --json` wrote."]) from error
    try:
        return _counts(answer["plans"][0]["assignments"])
    except (KeyError, IndexError, TypeError, ValueError, AttributeError) as error:
        raise FileError([f"{name}: holds no plan; give the file that `pithline match --json` wrote."]) from error


def _counts(assignments: Sequence[Mapping[str, Any]]) -> Counts:
    """Timbers by log."""
    found: Counts = {}
    for one in assignments:
        counts = {str(name): _count(count) for name, count in one["counts"].items()}
        for name, count in one["spare"].items():
            counts[str(name)] = counts.get(str(name), 0) + _count(count)
        found[str(one["tag"])] = counts
    return found


def _count(value: object) -> int:
    """A whole number that counts."""
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= _MOST:
        raise ValueError
    return value


def words_to_pairs(words: Sequence[str], option: str, *, is_right_needed: bool = True) -> tuple[tuple[str, str], ...]:
    """What stands left and right of the equals sign.

    Parameters
    ----------
    words : sequence of str
        As given, "plate=A03".
    option : str
        The option's name, for messages.
    is_right_needed : bool
        Whether both sides must stand there.

    Returns
    -------
    tuple of (str, str)
        Left and right, right empty where there is none.

    Raises
    ------
    MatchError
        A side that is needed is missing.

    Source
    ------
    definition
    """
    pairs = []
    for word in words:
        # A name of the list may hold an equals sign, a tag seldom does: the last one parts them.
        left, sign, right = word.rpartition("=") if "=" in word else (word, "", "")
        if not left.strip() or (sign and not right.strip()) or (is_right_needed and not sign):
            example = {"--lock": "plate=A03", "--turn": "A03=90"}.get(option, "A03=plate")
            raise MatchError(f'{option}: read "{word}"; write as "{example}".')
        pairs.append((left.strip(), right.strip()))
    return tuple(pairs)


def words_to_locks(words: Sequence[str]) -> tuple[Lock, ...]:
    """Locks as given, "plate=A03"; given twice for two of them.

    Parameters
    ----------
    words : sequence of str
        Timber and tag.

    Returns
    -------
    tuple of Lock
        One for each timber and log.

    Raises
    ------
    MatchError
        A word is no lock.

    Source
    ------
    definition
    """
    pairs = words_to_pairs(words, "--lock")
    return tuple(Lock(timber, tag, pairs.count((timber, tag))) for timber, tag in dict.fromkeys(pairs))


def words_to_weights(words: Sequence[str]) -> Weights:
    """Weights as given, "logs=2,hours=0.5".

    Parameters
    ----------
    words : sequence of str
        Names and numbers, commas between.

    Returns
    -------
    Weights
        1 where nothing is given, of the volume 0.

    Raises
    ------
    MatchError
        A name that is none, or no number.

    Source
    ------
    definition
    """
    known = ("logs", "volume", "hours", "boards", "nice")
    given: dict[str, float] = {}
    for word in ",".join(words).split(",") if words else ():
        name, _, number = word.partition("=")
        name = name.strip().casefold()
        if name not in known:
            raise MatchError(f'--weigh: read "{word}"; write as "logs=2", of {", ".join(known)}.')
        if name in given:
            raise MatchError(f"--weigh: {name} is given twice.")
        given[name] = _plain(number, f"--weigh {name}")
    return Weights(**given)


def _plain(text: str, what: str) -> float:
    """A plain number."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise MatchError(f'{what}: read "{text}"; give a number.')
    return value


def words_to_turns(words: Sequence[str]) -> dict[str, float]:
    """Turns as given, "A03=90".

    Parameters
    ----------
    words : sequence of str
        Tag and degrees, clockwise seen from the butt.

    Returns
    -------
    dict
        Degrees by tag.

    Raises
    ------
    MatchError
        A word is no turn, or a tag stands twice.

    Source
    ------
    definition
    """
    turns: dict[str, float] = {}
    for tag, degrees in words_to_pairs(words, "--turn"):
        if tag in turns:
            raise MatchError(f"--turn: {tag} is given twice.")
        turns[tag] = _plain(degrees, f"--turn {tag}")
    return turns


def sawn_of(words: Sequence[str], former: Mapping[str, Mapping[str, int]]) -> Counts:
    """What came out of logs that are sawn, "A03" as planned or "A03=plate:1,joist:2".

    Parameters
    ----------
    words : sequence of str
        Tags, with what came out where it is not what was planned; "A03=nothing" where all was lost.
    former : mapping
        The earlier plan.

    Returns
    -------
    dict
        Timbers by log.

    Raises
    ------
    MatchError
        What came out is not told and no earlier plan tells it, or is no count.

    Source
    ------
    definition
    """
    found: Counts = {}
    for word in words:
        tag, sign, told = (part.strip() for part in word.partition("="))
        if not tag or (sign and not told):
            raise MatchError(f'--sawn: read "{word}"; write as "A03", or "A03=plate:1,joist:2".')
        if tag in found:
            raise MatchError(f"--sawn: {tag} is given twice.")
        if sign:
            found[tag] = _told(tag, told)
        elif tag in former:
            found[tag] = dict(former[tag])
        else:
            raise MatchError(
                f'--sawn {tag}: no earlier plan has it; tell what came out, as "{tag}=plate:1", or "{tag}=nothing".'
            )
    return found


def _told(tag: str, told: str) -> dict[str, int]:
    """What came out of a log."""
    counts: dict[str, int] = {}
    if told.casefold() == "nothing":
        return counts
    for part in told.split(","):
        name, _, number = part.rpartition(":")
        if (
            not name.strip()
            or not number.strip().isdecimal()
            or not number.strip().isascii()
            or len(number.strip()) > _MOST_DIGITS
        ):
            raise MatchError(f'--sawn {tag}: read "{part}"; write as "plate:1".')
        counts[name.strip()] = counts.get(name.strip(), 0) + int(number)
    return counts
