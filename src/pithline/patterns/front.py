"""The front of good ways: each clearly better than the others at something, and what it gives up."""

from collections.abc import Sequence
from dataclasses import replace

from pithline.patterns.pattern import Pattern

__all__ = ["front_of"]

_NAMES = ("most value", "least sawing", "most timber")
_MOST = 5

_ALIKE = 0.02
"""A way must be better at something by this share of the first way's worth, time, or log."""


def _scores(pattern: Pattern, first: Pattern) -> tuple[float, float, float]:
    """What a way is judged by, more is better: worth less cost, minutes saved, timber; as shares of the first's."""
    return (
        pattern.net / max(abs(first.net), 1e-9),
        -pattern.minutes / max(first.minutes, 1e-9),
        pattern.timber_mm3 / first.log.volume_mm3(),
    )


def _adds_nothing(pattern: Pattern, other: Pattern, first: Pattern) -> bool:
    """Whether a way is nowhere clearly better than another."""
    pairs = zip(_scores(pattern, first), _scores(other, first), strict=True)
    return all(own <= theirs + _ALIKE for own, theirs in pairs)


def _best_at(pattern: Pattern, front: Sequence[Pattern]) -> str:
    """What a way is best at; of ways alike the one of most worth."""
    first = front[0]
    names = []
    for column, name in enumerate(_NAMES):
        best = max(front, key=lambda one: round(_scores(one, first)[column], 9))
        if best is pattern:
            names.append(name)
    if len(front) == 1:
        names = ["the only way"]
    if pattern.net < 0.0:
        names.append("at a loss")
    return ", ".join(names) if names else "between the others"


def _gives_up(pattern: Pattern, first: Pattern) -> str:
    """What a way gives up against the first, and what it saves."""
    if pattern is first:
        return ""
    worth = first.net - pattern.net
    minutes = pattern.minutes - first.minutes
    timber = (first.timber_mm3 - pattern.timber_mm3) / first.log.volume_mm3()
    words = [f"net {worth:.2f} lower"]
    if abs(minutes) >= 0.5:
        words.append(f"{abs(minutes):.0f} min {'more' if minutes > 0.0 else 'less'} work")
    if abs(timber) >= 0.005:
        words.append(f"{100.0 * abs(timber):.0f} % of the log {'less' if timber > 0.0 else 'more'} in timbers")
    return "; ".join(words)


def front_of(patterns: Sequence[Pattern]) -> tuple[Pattern, ...]:
    """The ways of which each is clearly better than the others at something, most worth first.

    Parameters
    ----------
    patterns : sequence of Pattern
        Ways to saw one log, one or more.

    Returns
    -------
    tuple of Pattern
        Up to five, told what each is best at and what it gives up.

    Source
    ------
    definition: the Pareto front in worth less cost, time, and timber, ways
    within 2 % of each other taken as one
    """
    ordered = sorted(patterns, key=lambda one: (-round(one.net, 6), round(one.minutes, 6), -one.timber_mm3))
    first = ordered[0]
    kept = [first]
    for pattern in ordered[1:]:
        if not any(_adds_nothing(pattern, other, first) for other in kept):
            kept.append(pattern)
    kept = kept[:_MOST]
    return tuple(replace(one, why=_best_at(one, kept), gives_up=_gives_up(one, first)) for one in kept)
