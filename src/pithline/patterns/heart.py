"""Where a block may lie across a cant: within the wood, and by the heart rules of its timbers."""

from collections.abc import Sequence

import numpy as np

from pithline.arrays import Flags, Floats
from pithline.fit.timber import Timber
from pithline.patterns.blocks import Block

__all__ = ["block_limits", "heart_rules", "places_for"]

Rule = tuple[float, float, float, float, bool]
"""Left and right, low and high edge of the room from a block's corner, and whether the pith must lie in it, or not."""


def block_limits(low_mm: Floats, high_mm: Floats, *, wane_mm: float) -> tuple[Floats, Floats]:
    """Limits left and right for a block that stands on each of several levels.

    Parameters
    ----------
    low_mm, high_mm : (4, ..., m) float
        Limits of the wood at the block's bottom, at its top, and where its
        wane ends above the bottom and below the top [mm].
    wane_mm : float
        What may be missing along both faces of each corner [mm].

    Returns
    -------
    (..., m) float, (..., m) float
        Limits, the first above the second where nothing fits [mm].

    Source
    ------
    definition: a section is convex, so its corners decide
    """
    left = np.maximum(np.maximum(low_mm[0], low_mm[1]) - wane_mm, np.maximum(low_mm[2], low_mm[3]))
    right = np.minimum(np.minimum(high_mm[0], high_mm[1]) + wane_mm, np.minimum(high_mm[2], high_mm[3]))
    return left, right


def heart_rules(block: Block, timbers: Sequence[Timber]) -> tuple[Rule, ...]:
    """Where the pith must lie, or must not, from a block's lower left corner.

    Parameters
    ----------
    block : Block
        The block.
    timbers : sequence of Timber
        The list's timbers.

    Returns
    -------
    tuple of Rule
        One for each timber with a heart rule.

    Source
    ------
    definition
    """
    rules = []
    for cell in block.cells:
        timber = timbers[cell.kind]
        if timber.heart == "any":
            continue
        inside = timber.heart == "boxed"
        room = -timber.heart_margin_mm if inside else timber.heart_margin_mm
        rules.append(
            (
                cell.left_mm - room,
                cell.left_mm + cell.across_mm + room,
                cell.low_mm - room,
                cell.low_mm + cell.up_mm + room,
                inside,
            )
        )
    return tuple(rules)


def _allowed(left: Floats, rules: Sequence[Rule], pith: Floats, level: Floats) -> Flags:
    """Which places of a block's left edge keep all rules; pith holds its least and greatest x and y."""
    good = np.ones(left.shape, dtype=np.bool_)
    for west, east, south, north, inside in rules:
        if inside:
            upright = (level + south <= pith[2] + 1e-9) & (level + north >= pith[3] - 1e-9)
            good &= upright & (left + west <= pith[0] + 1e-9) & (left + east >= pith[1] - 1e-9)
        else:
            clear = (level + south >= pith[3] - 1e-9) | (level + north <= pith[2] + 1e-9)
            good &= clear | (left + west >= pith[1] - 1e-9) | (left + east <= pith[0] + 1e-9)
    return np.asarray(good)


def places_for(
    block: Block, limits_mm: tuple[Floats, Floats], *, rules: Sequence[Rule], pith_mm: Floats, level_mm: Floats
) -> tuple[Floats, Flags]:
    """Places of a block's left edge that its heart rules allow, at several levels.

    Parameters
    ----------
    block : Block
        The block.
    limits_mm : ((..., m) float, (..., m) float)
        Limits of the wood left and right [mm].
    rules : sequence of Rule
        Its heart rules.
    pith_mm : (4,) or (4, ..., 1) float
        Least and greatest x, least and greatest y of the pith over the part [mm].
    level_mm : (m,) float
        Heights of the block's bottom [mm].

    Returns
    -------
    (c, ..., m) float, (c, ..., m) bool
        Candidates of the left edge: midway, against either limit, and where a
        rule just holds; and which of them are allowed.

    Source
    ------
    definition
    """
    low, most = limits_mm[0], limits_mm[1] - block.across_mm
    tried = [0.5 * (low + most), low, most]
    for west, east, _, _, inside in rules:
        edges = (pith_mm[0] - west, pith_mm[1] - east) if inside else (pith_mm[1] - west, pith_mm[0] - east)
        tried += [np.clip(edge, low, np.maximum(most, low)) for edge in edges]
    left = np.stack(tried)
    fits = most >= low - 1e-9
    return left, _allowed(left, rules, pith_mm, level_mm) & fits
