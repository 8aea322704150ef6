"""What the user decides about a plan: weights, locks, logs held back, what is sawn already."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pithline.errors import MatchError
from pithline.logs.solid import LogSolid
from pithline.patterns.wanted import PriceList

__all__ = ["Lock", "Weights", "Wishes", "wish_faults"]


@dataclass(frozen=True)
class Weights:
    """How much each aim counts, 1 being its money's worth.

    Attributes: `logs`, what felling and bringing a log costs; `volume`, the same
    by the log's share of the yard's mean volume; `hours` of sawing; `boards`, worth of
    the side lumber; `nice`, worth of timbers the building can do without.
    """

    logs: float = 1.0
    volume: float = 0.0
    hours: float = 1.0
    boards: float = 1.0
    nice: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a weight that is no number, negative, or beyond all sense."""
        for name in ("logs", "volume", "hours", "boards", "nice"):
            value = getattr(self, name)
            if not math.isfinite(value) or not 0.0 <= value <= 100.0:
                raise MatchError(f"weigh {name}: {value:g}; give 0 to 100, 1 is its money's worth.")


@dataclass(frozen=True)
class Lock:
    """At least `count` of the timber named `timber` shall come from the log `tag`."""

    timber: str
    tag: str
    count: int = 1


@dataclass(frozen=True)
class Wishes:
    """What the user decides.

    Attributes: `weights`; `locks`; `forbidden` tags, never to be sawn; `reserved`
    tags with the one timber they are kept for, None for nothing of this list;
    `turns_deg`, the turn a log is marked at; `sawn`, logs done with and how many of each
    timber came out; `former`, timbers by log of an earlier plan, kept where
    nothing is lost by it.
    """

    weights: Weights = field(default_factory=Weights)
    locks: tuple[Lock, ...] = ()
    forbidden: tuple[str, ...] = ()
    reserved: Mapping[str, str | None] = field(default_factory=dict)
    turns_deg: Mapping[str, float] = field(default_factory=dict)
    sawn: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    former: Mapping[str, Mapping[str, int]] = field(default_factory=dict)

    def locked(self, tag: str) -> dict[str, int]:
        """What a log is locked to.

        Parameters
        ----------
        tag : str
            The log.

        Returns
        -------
        dict
            Least number by timber; empty where it is free.

        Source
        ------
        definition
        """
        counts: Counter[str] = Counter()
        for lock in self.locks:
            if lock.tag == tag:
                counts[lock.timber] += lock.count
        return dict(counts)

    def held(self, tag: str) -> str:
        """Why a log is not free for the plan.

        Parameters
        ----------
        tag : str
            The log.

        Returns
        -------
        str
            "sawn already", "forbidden" or "reserved"; empty where it is free.

        Source
        ------
        definition
        """
        if tag in self.sawn:
            return "sawn already"
        if tag in self.forbidden:
            return "forbidden"
        return "reserved" if tag in self.reserved and self.reserved[tag] is None else ""


def _unknown(kind: str, name: str, known: Sequence[str]) -> str:
    """A name that is nowhere."""
    shown = ", ".join(known[:8]) + (f" and {len(known) - 8} more" if len(known) > 8 else "")
    return f'{kind}: no "{name}"; there {"is" if len(known) == 1 else "are"} {shown or "none"}.'


def wish_faults(wishes: Wishes, yard: Sequence[LogSolid], *, prices: PriceList) -> tuple[str, ...]:
    """What is wrong with wishes for a yard and a list.

    Parameters
    ----------
    wishes : Wishes
        What is asked.
    yard : sequence of LogSolid
        The logs.
    prices : PriceList
        The list.

    Returns
    -------
    tuple of str
        One sentence each: names that are nowhere, wishes that contradict each other.

    Source
    ------
    definition
    """
    tags, names = [log.tag for log in yard], [item.name for item in prices.timbers]
    faults = [f"yard: {tag} stands there {n} times; give each log a tag of its own." for tag, n in _twice(tags)]
    faults += [f"list: {name} stands there {n} times; give each timber a name." for name, n in _twice(names)]
    asked = [("lock", lock.tag) for lock in wishes.locks]
    asked += [("forbid", tag) for tag in wishes.forbidden] + [("reserve", tag) for tag in wishes.reserved]
    asked += [("turn", tag) for tag in wishes.turns_deg]
    faults += [_unknown(f"{kind}: log", tag, tags) for kind, tag in dict.fromkeys(asked) if tag not in tags]
    named = [("lock", lock.timber) for lock in wishes.locks]
    named += [("reserve", name) for name in wishes.reserved.values() if name is not None]
    named += [("sawn", name) for counts in wishes.sawn.values() for name in counts]
    faults += [_unknown(f"{kind}: timber", name, names) for kind, name in dict.fromkeys(named) if name not in names]
    for tag in dict.fromkeys(lock.tag for lock in wishes.locks):
        held, only = wishes.held(tag), wishes.reserved.get(tag)
        if held:
            faults.append(f"lock: {tag} is locked to a timber and {held}; drop one of the two.")
        elif only is not None and set(wishes.locked(tag)) - {only}:
            faults.append(f"lock: {tag} is reserved for {only} and locked to another timber; drop one of the two.")
    faults += [
        f"sawn: {tag} is sawn and forbidden; drop one of the two." for tag in wishes.sawn if tag in wishes.forbidden
    ]
    faults += _too_many(wishes, prices)
    faults += [
        f"turn: {tag}: {turn:g} is no turn; give degrees, clockwise seen from the butt."
        for tag, turn in wishes.turns_deg.items()
        if not math.isfinite(turn) or abs(turn) > 360.0
    ]
    return tuple(dict.fromkeys(faults))


def _twice(words: Sequence[str]) -> list[tuple[str, int]]:
    """Words that stand more than once."""
    return [(word, count) for word, count in Counter(words).items() if count > 1]


def _too_many(wishes: Wishes, prices: PriceList) -> list[str]:
    """Locks that ask for more of a timber than is wanted, and counts that are none."""
    faults = [
        f"lock: {lock.timber}={lock.tag}: {lock.count} of them; give 1 or more."
        for lock in wishes.locks
        if lock.count < 1
    ]
    for item in prices.timbers:
        asked = sum(lock.count for lock in wishes.locks if lock.timber == item.name)
        had = sum(counts.get(item.name, 0) for counts in wishes.sawn.values())
        if item.count is not None and asked > max(item.count - had, 0):
            done = f", {had} of them sawn" if had else ""
            faults.append(f"lock: {asked} of {item.name} are locked to logs; the list wants {item.count}{done}.")
    faults += [
        f"sawn: {tag}: {count} of {name}; give 0 or more."
        for tag, counts in wishes.sawn.items()
        for name, count in counts.items()
        if count < 0
    ]
    return faults
