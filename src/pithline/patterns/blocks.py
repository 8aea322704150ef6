"""Timbers that come out of one cant together: one, a row, or a grid, kerf between them."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pithline.patterns.wanted import PriceList, WantedTimber
from pithline.setup.kit import Kit

__all__ = ["Block", "Cell", "blocks_for", "copies_in"]

_MOST_IN_ROW = 5
_MOST_ROWS = 3

_MOST_PAIRED = 48
"""Sticks, those of most worth, that are laid two kinds side by side."""

_MOST_BLOCKS = 240
"""Blocks of a part, those of most worth, that are looked at."""

LONG_ENOUGH_MM = 0.5
"""A part shorter than its timber by less than this is long enough."""


@dataclass(frozen=True)
class Cell:
    """One stick of a block.

    Attributes: `kind`, number of its timber in the list; `left_mm`, `low_mm`,
    its place from the block's lower left corner; `across_mm`, `up_mm`, its sizes.
    """

    kind: int
    left_mm: float
    low_mm: float
    across_mm: float
    up_mm: float


@dataclass(frozen=True)
class Block:
    """Sticks sawn from one cant.

    Attributes: `cells`; `across_mm` and `up_mm` with the kerfs between;
    `columns`, how many stand side by side, `rows` one on the other; `wane_mm`
    at its outer corners; `faces` of a single stick that are sawn, else 4;
    `used`, how many of each timber come out; `value` of them; `minutes` from the
    cant to the timbers; `wood_mm3` in its sticks.
    """

    cells: tuple[Cell, ...]
    across_mm: float
    up_mm: float
    columns: int
    rows: int
    wane_mm: float
    faces: int
    used: tuple[tuple[int, int], ...]
    value: float
    minutes: float
    wood_mm3: float


def copies_in(length_mm: float, timber_mm: float | None, *, kerf_mm: float) -> int:
    """How many timbers a stick is cut into across its length.

    Parameters
    ----------
    length_mm : float
        Length of the stick [mm].
    timber_mm : float or None
        Length of a timber, None for the stick's own [mm].
    kerf_mm : float
        Lost between two of them [mm].

    Returns
    -------
    int
        0 where the stick is too short.

    Source
    ------
    definition
    """
    if timber_mm is None:
        return 1
    return int((length_mm + kerf_mm + LONG_ENOUGH_MM) // (timber_mm + kerf_mm))


@dataclass(frozen=True)
class _Stick:
    """A timber of the list as a stick of a part: its sizes as it lies, and how many it makes."""

    kind: int
    item: WantedTimber
    across_mm: float
    up_mm: float
    copies: int


def _sticks(prices: PriceList, length_mm: float, kit: Kit) -> list[_Stick]:
    """Every timber of the list that a part is long enough for, lying either way."""
    sticks = []
    for kind, item in enumerate(prices.timbers):
        copies = copies_in(length_mm, item.timber.length_mm, kerf_mm=kit.saw.kerf_mm)
        if copies == 0 or item.count == 0:
            continue
        thick, wide = item.timber.cut_thickness_mm, item.timber.cut_width_mm
        sticks.append(_Stick(kind, item, wide, thick, copies))
        # With less than four sawn faces the thickness lies between the two that are sawn first.
        if thick != wide and item.timber.sawn_faces == 4:
            sticks.append(_Stick(kind, item, thick, wide, copies))
    return sticks


def _used(sticks: list[_Stick]) -> tuple[tuple[int, int], ...]:
    """How many of each timber come of sticks, no more than are wanted."""
    number: dict[int, int] = {}
    for stick in sticks:
        most = stick.item.count
        have = number.get(stick.kind, 0) + stick.copies
        number[stick.kind] = have if most is None else min(have, most)
    return tuple(sorted(number.items()))


def _value(used: tuple[tuple[int, int], ...], prices: PriceList, length_mm: float) -> float:
    """Worth of what a block makes."""
    total = 0.0
    for kind, number in used:
        item = prices.timbers[kind]
        long = item.timber.length_mm
        total += number * item.worth(length_mm if long is None else min(long, length_mm))
    return total


def _minutes(
    sticks: list[_Stick], size_mm: tuple[float, float], shape: tuple[int, int], case: tuple[float, Kit]
) -> float:
    """Time from the cant to the timbers: turning, rail, side cuts, cuts between, cuts to length."""
    columns, rows = shape
    length_mm, kit = case
    work, feed = kit.work, kit.saw.feed_m2_min * 1e6
    faces = sticks[0].item.timber.sawn_faces if len(sticks) == 1 else 4
    upright = {2: 0, 3: 1, 4: columns + 1}[faces]
    minutes = upright * (work.pass_min + size_mm[1] * length_mm / feed)
    if upright:
        minutes += work.turn_min + work.rail_min
    if rows > 1:
        level = columns * (rows - 1)
        minutes += columns * work.turn_min + level * (work.pass_min + sticks[0].across_mm * length_mm / feed)
    kinds = {stick.kind: stick for stick in sticks}
    cuts = sum(_crosscuts(kinds[kind], number, length_mm, kerf_mm=kit.saw.kerf_mm) for kind, number in _used(sticks))
    return minutes + work.buck_min * cuts


def _crosscuts(stick: _Stick, number: int, length_mm: float, *, kerf_mm: float) -> int:
    """How often sticks are cut across for a number of timbers: after each but those that end where their stick does."""
    long = stick.item.timber.length_mm
    if long is None:
        return 0
    to_the_end = stick.copies * (long + kerf_mm) - kerf_mm >= length_mm - 1.0
    return number - (number // stick.copies if to_the_end else 0)


def _block(sticks: list[_Stick], shape: tuple[int, int], prices: PriceList, case: tuple[float, Kit]) -> Block:
    """Sticks laid out in columns and rows, the first row at the bottom."""
    columns, rows = shape
    kerf = case[1].saw.kerf_mm
    cells: list[Cell] = []
    low = 0.0
    for row in range(rows):
        left = 0.0
        for stick in sticks[row * columns : (row + 1) * columns]:
            cells.append(Cell(stick.kind, left, low, stick.across_mm, stick.up_mm))
            left += stick.across_mm + kerf
        low += sticks[row * columns].up_mm + kerf
    across = sum(stick.across_mm for stick in sticks[:columns]) + kerf * (columns - 1)
    size = (across, sticks[0].up_mm if rows == 1 else low - kerf)
    used = _used(sticks)
    return Block(
        cells=tuple(cells),
        across_mm=size[0],
        up_mm=size[1],
        columns=columns,
        rows=rows,
        wane_mm=min(stick.item.timber.wane_mm for stick in sticks),
        faces=sticks[0].item.timber.sawn_faces if len(sticks) == 1 else 4,
        used=used,
        value=_value(used, prices, case[0]),
        minutes=_minutes(sticks, size, shape, case),
        wood_mm3=sum(stick.across_mm * stick.up_mm for stick in sticks) * case[0],
    )


def _within(block: Block, kit: Kit) -> bool:
    """Whether a block can come out of its cant with this kit, and the cant stands."""
    mill, hair = kit.mill, 1e-6

    def sets(size_mm: float) -> bool:
        return mill.setting_min_mm - hair <= size_mm <= mill.setting_max_mm + hair

    if not sets(block.up_mm):
        return False
    if block.faces == 2:
        return True
    inner = [cell.across_mm for cell in block.cells]
    if not (sets(min(inner)) and sets(max(inner))) or block.up_mm > mill.cut_width_mm + hair:
        return False
    if block.rows > 1 and (max(inner) > mill.cut_width_mm + hair or not sets(min(c.up_mm for c in block.cells))):
        return False
    return block.across_mm <= kit.work.slender * block.up_mm


def blocks_for(prices: PriceList, length_mm: float, *, kit: Kit, most_mm: float) -> list[Block]:
    """Every block of a list that a part may hold.

    Parameters
    ----------
    prices : PriceList
        The list.
    length_mm : float
        Length of the part [mm].
    kit : Kit
        What is at the log.
    most_mm : float
        Greatest distance across the part [mm].

    Returns
    -------
    list of Block
        One timber; rows of two to five of a kind, and pairs of two kinds
        equally thick; grids of a kind, two or three high. Of a long list only
        those of most worth.

    Source
    ------
    definition
    """
    sticks = _sticks(prices, length_mm, kit)
    found = []
    for members, shape in _shapes(sticks, kit.saw.kerf_mm, most_mm):
        block = _block(members, shape, prices, (length_mm, kit))
        found += [block] if _within(block, kit) else []
    if len(found) > _MOST_BLOCKS:
        minute = kit.work.cost_an_hour / 60.0
        found.sort(key=lambda block: minute * block.minutes - block.value)
    return found[:_MOST_BLOCKS]


_Shape = tuple[list[_Stick], tuple[int, int]]
"""Sticks of a block, with its columns and rows."""


def _shapes(sticks: list[_Stick], kerf_mm: float, most_mm: float) -> Iterator[_Shape]:
    """Every block that is no larger than the log."""
    for stick in sticks:
        wane = 2.0 * stick.item.timber.wane_mm
        if math.hypot(stick.across_mm - wane, stick.up_mm - wane) <= most_mm:
            yield [stick], (1, 1)
            if stick.item.timber.sawn_faces == 4:
                yield from _rows_of(stick, kerf_mm, most_mm)
    four = [stick for stick in sticks if stick.item.timber.sawn_faces == 4]
    four.sort(key=lambda stick: -stick.item.value_bf * stick.across_mm * stick.up_mm)
    yield from _pairs(four[:_MOST_PAIRED], kerf_mm, most_mm)


def _rows_of(stick: _Stick, kerf_mm: float, most_mm: float) -> Iterator[_Shape]:
    """Rows and grids of one kind."""
    wane, needed = 2.0 * stick.item.timber.wane_mm, _needed(stick)
    for columns in range(2, min(_MOST_IN_ROW, needed) + 1):
        across = columns * (stick.across_mm + kerf_mm) - kerf_mm - wane
        if math.hypot(across, stick.up_mm - wane) > most_mm:
            return
        yield [stick] * columns, (columns, 1)
        for rows in range(2, min(_MOST_ROWS, needed // columns) + 1):
            if math.hypot(across, rows * (stick.up_mm + kerf_mm) - kerf_mm - wane) > most_mm:
                break
            yield [stick] * (columns * rows), (columns, rows)


def _pairs(four: list[_Stick], kerf_mm: float, most_mm: float) -> Iterator[_Shape]:
    """Two kinds equally thick side by side."""
    for i, first in enumerate(four):
        for second in four[i + 1 :]:
            if first.kind == second.kind or abs(first.up_mm - second.up_mm) > 1e-6:
                continue
            wane = 2.0 * min(first.item.timber.wane_mm, second.item.timber.wane_mm)
            if math.hypot(first.across_mm + kerf_mm + second.across_mm - wane, first.up_mm - wane) <= most_mm:
                yield [first, second], (2, 1)
                if not _alike(first, second):
                    yield [second, first], (2, 1)


def _needed(stick: _Stick) -> int:
    """Sticks that are wanted of a timber."""
    if stick.item.count is None:
        return _MOST_IN_ROW * _MOST_ROWS
    return -(-stick.item.count // stick.copies)


def _alike(first: _Stick, second: _Stick) -> bool:
    """Whether it makes no difference which of two sticks lies left."""
    a, b = first.item.timber, second.item.timber
    return a.heart == b.heart and a.wane_mm == b.wane_mm and first.across_mm == second.across_mm
