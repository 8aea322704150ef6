"""In which order the logs are sawn, and on which day each is begun."""

from collections.abc import Sequence

from pithline.errors import InputError, MatchError
from pithline.match.chances import SURE
from pithline.match.plan import Assignment
from pithline.tables import read_table
from pithline.wood.species import Species, find_species

__all__ = ["days_of", "haste_of", "in_order", "why_here"]

_USUAL = 2
_SOON = 1
_LONG_MM = 5500.0
_ALIKE_MM = 13.0
_MINUTES = 60.0


def haste_of(species: str, *, own: Sequence[Species] = ()) -> int:
    """How soon a log of a species stains or checks once it is felled.

    Parameters
    ----------
    species : str
        Its name.
    own : sequence of Species
        What the kit tells of species.

    Returns
    -------
    int
        1 soon, 2 as usual and where it is not known, 3 slow.

    Source
    ------
    The table haste.csv, each row with its own
    """
    try:
        name = find_species(species, own).name
    except InputError:
        return _USUAL
    for row in read_table("pithline.match", "haste").rows:
        if row["species"] == name:
            return int(row["haste"])
    return _USUAL


def _longest_mm(one: Assignment) -> float:
    """Longest timber of a log [mm]."""
    return max((piece.length_mm for piece in one.pattern.timbers), default=0.0)


def _set_up(one: Assignment) -> tuple[object, ...]:
    """What logs have in common that are sawn alike: the same timbers, the mill set about the same first."""
    settings = [position.stand.setting_mm for position in one.pattern.positions if position.stand is not None]
    return tuple(sorted({*one.counts, *one.spare})), round(settings[0] / _ALIKE_MM) if settings else 0


def _urgency(one: Assignment, own: Sequence[Species]) -> tuple[float, float, float, str]:
    """Species that stain or check soon first, then long timbers, then tight ones."""
    longest = round(_longest_mm(one) / 100.0)
    return haste_of(one.log.species, own=own), -longest, round(one.chance, 3), one.log.tag


def in_order(assignments: Sequence[Assignment], *, own: Sequence[Species] = ()) -> tuple[Assignment, ...]:
    """Logs in the order they are best sawn.

    Parameters
    ----------
    assignments : sequence of Assignment
        The logs of a plan.
    own : sequence of Species
        What the kit tells of species.

    Returns
    -------
    tuple of Assignment
        Species that stain or check soon first; then long timbers and tight ones, while there are other logs to fall
        back on; logs with the same set-up follow the most urgent of them.

    Source
    ------
    common practice
    """
    groups: dict[tuple[object, ...], list[Assignment]] = {}
    for one in sorted(assignments, key=lambda one: _urgency(one, own)):
        groups.setdefault((haste_of(one.log.species, own=own), *_set_up(one)), []).append(one)
    return tuple(one for group in groups.values() for one in group)


def why_here(one: Assignment, *, own: Sequence[Species] = ()) -> str:
    """Why a log stands where it does in the order.

    Parameters
    ----------
    one : Assignment
        The log.
    own : sequence of Species
        What the kit tells of species.

    Returns
    -------
    str
        "stains or checks soon", "long", "tight", or several; empty where nothing presses.

    Source
    ------
    definition
    """
    words = ["stains or checks soon"] if haste_of(one.log.species, own=own) <= _SOON else []
    words += ["long"] if _longest_mm(one) >= _LONG_MM else []
    words += ["tight"] if one.chance < SURE else []
    return ", ".join(words)


def days_of(assignments: Sequence[Assignment], hours_a_day: float) -> tuple[int, ...]:
    """The day each log is begun.

    Parameters
    ----------
    assignments : sequence of Assignment
        Logs in their order.
    hours_a_day : float
        Hours that a crew saws in a day [h].

    Returns
    -------
    tuple of int
        From 1. A log is begun where it can be finished the same day; one that
        takes more than a day begins a day and runs on.

    Raises
    ------
    MatchError
        Hours are not between half an hour and 24.

    Source
    ------
    common practice
    """
    if not 0.5 <= hours_a_day <= 24.0:
        raise MatchError(f"hours: {hours_a_day:g} a day; give 0.5 to 24.")
    room = _MINUTES * hours_a_day
    days, day, spent = [], 1, 0.0
    for one in assignments:
        if spent > 0.0 and spent + one.pattern.minutes > room + 1e-9:
            day, spent = day + 1, 0.0
        days.append(day)
        spent += one.pattern.minutes
        while spent > room + 1e-9:
            day, spent = day + 1, spent - room
    return tuple(days)
