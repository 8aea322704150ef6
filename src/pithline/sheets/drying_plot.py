"""The moisture of a drying timber over time, drawn: average, core and surface, and when the targets are reached.

Curves go through the forecast's numbers, month by month, and through the times at which the average reaches a target;
between them they are drawn smooth and never turn where the numbers do not. Every line has its name beside it: a place
for each name is searched where it covers no line and no other name.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from pithline.answers.words import section_text
from pithline.arrays import Floats
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.sheets.drying_names import Label, Placed, Room, dense, rows_of, spread, told_mm
from pithline.sheets.drying_words import drying_answer, reached_text
from pithline.sheets.look import size_mm
from pithline.sheets.paper import Paper, Point, TextStyle
from pithline.wood.climate import MONTHS
from pithline.wood.drying import BANDS, DryingForecast, Reach

__all__ = ["drying_svg", "shown_months"]

_INCHES = Tape("in")
_NOTE = "note"
_FIGURE = 0.65
_ROW_EM = 1.2
_LEAST_MM = (95.0, 75.0)
_TICK_MM = 1.7
_KINDS = {"sawn": "thick line", "hidden": "dashes", "level": "chain line"}
_TOLD_BAND_MM = 4.0
"""A band that is nowhere wider needs no names at its edges."""

# -- the frame of the picture ------------------------------------------------------------

_ONE_YEAR = 12
_NEAR_ITS_END = 0.01
"""Moisture within which a curve has come to its end."""


def shown_months(forecast: DryingForecast) -> int:
    """Last month of the picture: when all that is worth a look has happened.

    Parameters
    ----------
    forecast : DryingForecast
        The forecast.

    Returns
    -------
    int
        The forecast's last month, or an earlier one where targets are reached and
        the slow curve has come to its yearly swing well before [months].

    Source
    ------
    our own choice
    """
    horizon = forecast.job.months
    if horizon <= 3 or any(None in reach.months and reach.ever != "no" for reach in forecast.reached):
        return horizon
    wetter = np.max(np.concatenate([forecast.average, forecast.center[:, 1:2]], axis=1), axis=1)
    swing = float(np.max(wetter[-_ONE_YEAR - 1 :]))
    above = np.flatnonzero(wetter > swing + _NEAR_ITS_END)
    ends = [float(above[-1]) + 1.0 if len(above) else 0.0]
    ends += [months for reach in forecast.reached for months in reach.months if months is not None]
    shown = max(3, math.ceil(1.25 * max(ends)))
    return horizon if shown > 0.8 * horizon else shown


@dataclass(frozen=True)
class _Frame:
    """Where months and moistures lie on paper. Attributes: edges of the plot, last month, least and most moisture."""

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float
    months: int
    low: float
    high: float

    def x(self, months: float) -> float:
        return self.left_mm + (self.right_mm - self.left_mm) * months / self.months

    def y(self, moisture: float) -> float:
        return self.bottom_mm - (self.bottom_mm - self.top_mm) * (moisture - self.low) / (self.high - self.low)

    @property
    def month_mm(self) -> float:
        return (self.right_mm - self.left_mm) / self.months

    @property
    def percent_mm(self) -> float:
        return 0.01 * (self.bottom_mm - self.top_mm) / (self.high - self.low)


def _moistures(forecast: DryingForecast, months: int) -> tuple[float, float, float]:
    """Least and most moisture of the scale, and the step of its figures."""
    part = slice(0, months + 1)
    values = [*(array[part].ravel() for array in (forecast.average, forecast.surface, forecast.center))]
    marks = [forecast.settles_at, *(reach.target for reach in forecast.reached)]
    least = min(*(float(value.min()) for value in values), *marks)
    most = max(*(float(value.max()) for value in values), *marks)
    step = next((step for step in (0.02, 0.05, 0.10, 0.20, 0.50) if (most - least) / step <= 8.0), 1.0)
    even = min(step, 0.05)
    # Names of the lowest lines need room beneath them.
    low = max(0.0, math.floor((least - 0.08 * (most - least)) / even) * even)
    return low, most + 0.04 * (most - low), step


# -- curves ------------------------------------------------------------------------------


class _Curve(NamedTuple):
    """A line of the picture: its name, kind of line, and points on paper."""

    name: str
    style: str
    points: list[Point]


def _slopes(x: Floats, y: Floats) -> Floats:
    """Slopes at the knots of a curve that rises and falls only where the knots do (Fritsch and Butland 1984)."""
    wide, secant = np.diff(x), np.diff(y) / np.diff(x)
    slopes = np.concatenate([secant[:1], np.zeros(len(x) - 2), secant[-1:]])
    before, after = secant[:-1], secant[1:]
    same = before * after > 0.0
    w1, w2 = 2.0 * wide[1:] + wide[:-1], wide[1:] + 2.0 * wide[:-1]
    slopes[1:-1][same] = ((w1 + w2)[same]) / (w1[same] / before[same] + w2[same] / after[same])
    return slopes


def _smooth(knots: Sequence[tuple[float, float]], frame: _Frame) -> list[Point]:
    """Points on paper of a curve through knots, about a millimeter apart, every knot among them."""
    x, y = (np.array(values, dtype=np.float64) for values in zip(*knots, strict=True))
    slopes = _slopes(x, y)
    points = []
    for number in range(len(x) - 1):
        wide = x[number + 1] - x[number]
        steps = max(1, math.ceil(wide * frame.month_mm))
        for t in np.arange(steps) / steps:
            ends = (1.0 + 2.0 * t) * (1.0 - t) ** 2 * y[number] + t * t * (3.0 - 2.0 * t) * y[number + 1]
            turn = wide * t * (1.0 - t) * ((1.0 - t) * slopes[number] - t * slopes[number + 1])
            points.append((frame.x(float(x[number] + t * wide)), frame.y(float(ends + turn))))
    return [*points, (frame.x(float(x[-1])), frame.y(float(y[-1])))]


def _knots(
    forecast: DryingForecast, values: Floats, months: int, *, band: int | None = None
) -> list[tuple[float, float]]:
    """A curve's numbers, month by month, and for an average the times of its targets."""
    knots = {float(month): float(values[month]) for month in range(months + 1)}
    for reach in forecast.reached:
        time = None if band is None else reach.months[band]
        # A knot that all but coincides with a month would make a corner.
        if time is not None and 0.0 < time < months and abs(time - round(time)) > 0.03:
            knots[time] = reach.target
    return sorted(knots.items())


def _curves(forecast: DryingForecast, frame: _Frame, tape: Tape) -> tuple[list[_Curve], list[_Curve]]:
    """Slow and fast average, and the middle lines of core, surface and average; those that coincide are one."""
    limits = [
        _Curve(name, "dimension", _smooth(_knots(forecast, forecast.average[:, band], frame.months, band=band), frame))
        for band, name in enumerate(BANDS)
        if name != "middle"
    ]
    average = forecast.average[: frame.months + 1, 1]
    names, lines = ["average"], []
    for name, style, array in (("core", "hidden", forecast.center), ("surface", "level", forecast.surface)):
        values = array[: frame.months + 1, 1]
        if 100.0 * float(np.max(np.abs(values - average))) * frame.percent_mm < 0.8:
            names.append(name)
            continue
        told = f"surface,\nouter {tape.show(12.7)}" if name == "surface" else name
        lines.append(_Curve(told, style, _smooth(_knots(forecast, values, frame.months), frame)))
    middle = _smooth(_knots(forecast, average, frame.months, band=1), frame)
    return limits, [*lines, _Curve(" and ".join(names), "sawn", middle)]


# -- the picture -------------------------------------------------------------------------


@dataclass(frozen=True)
class _Level:
    """A level line with words in the margin. Attributes: `moisture`, `words`."""

    moisture: float
    words: str


def _levels(forecast: DryingForecast, high: float) -> list[_Level]:
    """Lines across the picture, from the top."""
    levels = [_Level(reach.target, "target") for reach in forecast.reached]
    levels.append(_Level(forecast.settles_at, "settles here"))
    if forecast.saturation < high:
        levels.append(_Level(forecast.saturation, "fiber saturation"))
    return sorted(levels, key=lambda level: -level.moisture)


def _draw_levels(paper: Paper, frame: _Frame, levels: Sequence[_Level]) -> None:
    """Level lines, their numbers and words in the right margin."""
    em = size_mm(_NOTE)
    rows, step = 2, 2.35 * em
    if len(levels) * step > frame.bottom_mm - frame.top_mm:
        rows, step = 1, 1.2 * em
    if len(levels) * step > frame.bottom_mm - frame.top_mm + em:
        raise SheetError(
            f"{len(levels)} lines do not find room for their names beside the picture. Name fewer targets."
        )
    wanted = [frame.y(level.moisture) for level in levels]
    half = 0.5 * (step if rows == 2 else em)
    placed = spread(wanted, step, frame.top_mm + half - em, frame.bottom_mm - half + 0.6 * em)
    for level, y, at in zip(levels, wanted, placed, strict=True):
        with paper.group(f"level-{level.words.split()[0]}"):
            paper.path([(frame.left_mm, y), (frame.right_mm, y)], style="dimension")
            paper.path([(frame.right_mm, y), (frame.right_mm + 3.0, at), (frame.right_mm + 4.0, at)], style="dimension")
            left = frame.right_mm + 4.8
            share = f"{100 * level.moisture:.3g} %" if level.words == "target" else f"{100 * level.moisture:.0f} %"
            first = at - 0.35 * step + 0.3 * em if rows == 2 else at + 0.5 * _FIGURE * em
            paper.text((left, first), share, style=TextStyle(bold=True))
            if rows == 2:
                paper.text((left, first + 1.1 * em), level.words)
            else:
                paper.text((left + told_mm(f"{share} ", bold=True), first), level.words)


def _draw_moistures(paper: Paper, frame: _Frame, step: float) -> None:
    """The upright axis."""
    with paper.group("axis-moisture"):
        paper.path([(frame.left_mm, frame.top_mm), (frame.left_mm, frame.bottom_mm)], style="outline")
        first = math.ceil(frame.low / step - 1e-9)
        for number in range(first, math.floor(frame.high / step + 1e-9) + 1):
            y = frame.y(number * step)
            paper.path([(frame.left_mm - 1.4, y), (frame.left_mm, y)], style="outline")
            style = TextStyle(anchor="end", level="middle")
            paper.text((frame.left_mm - 2.2, y), f"{100 * number * step:.0f}", style=style)
        words = "moisture, % of dry mass"
        if frame.low > 0.0:
            words += f"; the scale starts at {100 * frame.low:.0f} %"
        paper.text((1.0, frame.top_mm - 2.6), words, style=TextStyle(color="pencil"))


def _step_months(frame: _Frame) -> int:
    """Months between two figures of the time axis."""
    return next((step for step in (1, 2, 3, 6, 12, 24, 36) if step * frame.month_mm >= 8.5), 60)


def _draw_months(paper: Paper, frame: _Frame, start_month: int) -> None:
    """The time axis: months since stacking, the calendar's months, its years."""
    em = size_mm(_NOTE)
    bottom, step = frame.bottom_mm, _step_months(frame)
    rows = [bottom + 2.0 + _FIGURE * em + number * 1.25 * em for number in range(3)]
    middle = TextStyle(anchor="middle")
    with paper.group("axis-months"):
        paper.path([(frame.left_mm, bottom), (frame.right_mm, bottom)], style="outline")
        for month in range(frame.months + 1):
            x = frame.x(month)
            if month % step == 0:
                paper.path([(x, bottom), (x, bottom + 1.6)], style="outline")
                paper.text((x, rows[0]), f"{month}", style=middle)
                paper.text((x, rows[1]), MONTHS[(start_month - 1 + month) % _ONE_YEAR], style=middle)
            elif frame.month_mm >= 1.2:
                paper.path([(x, bottom), (x, bottom + 0.8)], style="dimension")
        left = frame.right_mm + 4.8
        for y, words in zip(rows, ("months stacked", "on the 1st", ""), strict=True):
            if words:
                paper.text((left, y), words, style=TextStyle(color="pencil"))
    _draw_years(paper, frame, start_month, rows[2])


def _draw_years(paper: Paper, frame: _Frame, start_month: int, y: float) -> None:
    """Years of the calendar, the first that in which the timber was stacked."""
    starts = [0, *range(_ONE_YEAR + 1 - start_month, frame.months, _ONE_YEAR), frame.months]
    year_mm = _ONE_YEAR * frame.month_mm
    # Where years are narrow only every second, third ... has its number, right of the mark at its start.
    every = math.ceil((told_mm(f"{len(starts)}") + 1.5) / year_mm)
    style = TextStyle(anchor="middle" if every == 1 else "start", color="pencil")
    with paper.group("years"):
        for number, (start, end) in enumerate(itertools.pairwise(starts), start=1):
            left, right = frame.x(start), frame.x(end)
            if (number - 1) % every:
                continue
            if number > 1:
                paper.path([(left, y - 2.6), (left, y + 0.6)], style="outline")
            ways = [
                words for words in (f"year {number}", f"{number}") if told_mm(words) + 1.2 <= every * (right - left)
            ]
            if every > 1:
                paper.text((left + 0.7, y), f"{number}", style=style)
            elif ways:
                paper.text((0.5 * (left + right), y), ways[0], style=style)
        if year_mm < told_mm("year 10") + 1.2:
            paper.text((frame.right_mm + 4.8, y), "year", style=TextStyle(color="pencil"))


def _range(reach: Reach, frame: _Frame) -> tuple[float, float, bool] | None:
    """First and last month of a range, the last one that of the picture where it is open."""
    known = [months for months in reach.months if months is not None and months <= frame.months]
    if not known or max(known) == 0.0:
        return None
    whole = len(known) == len(reach.months)
    return min(known), max(known) if whole else float(frame.months), not whole


def _draw_range(paper: Paper, reach: Reach, frame: _Frame) -> list[Point]:
    """Mark on a target's line when the average is there; returns where its words may stand."""
    found, y = _range(reach, frame), frame.y(reach.target)
    if found is None:
        return [(frame.left_mm + 4.0, y), (frame.right_mm - 4.0, y)]
    start, end = frame.x(found[0]), frame.x(found[1])
    with paper.group(f"range-{100 * reach.target:g}"):
        for x in (start, end):
            paper.path([(x, y - _TICK_MM), (x, y + _TICK_MM)], style="chalk")
        if end - start > 0.5:
            paper.path([(start, y), (end, y)], style="chalk")
        if found[2] and end - start > 4.0:
            paper.arrowhead((end, y), 0.0, style="chalk")
        if end - start > 3.0 and reach.months[1] is not None and reach.months[1] <= frame.months:
            x = frame.x(reach.months[1])
            paper.path([(x, y - 1.0), (x + 1.0, y), (x, y + 1.0), (x - 1.0, y)], style=None, fill="chalk", closed=True)
    return [(start, y), (end, y)]


def _write(paper: Paper, placed: Placed) -> None:
    """Write a name where it was placed."""
    em = size_mm(_NOTE)
    with paper.group("name"):
        if placed.leader is not None:
            paper.path(list(placed.leader), style="dimension")
        for number, row in enumerate(placed.words.split("\n")):
            at = (placed.corner[0], placed.corner[1] + (_FIGURE + number * _ROW_EM) * em)
            paper.text(at, row, style=TextStyle(bold=placed.bold))


def _reach_words(reach: Reach, horizon_months: int) -> tuple[str, ...]:
    """Ways to write beside the picture's mark when a target is reached."""
    told = reached_text(reach, horizon_months=horizon_months)
    share = f"average at {100 * reach.target:.3g} %"
    return f"{share} {told}", f"{share}\n{told}"


def _apart(curve: _Curve, others: Sequence[_Curve]) -> list[Point]:
    """The points of a curve at which it is told from others best."""
    points, rest = np.asarray(curve.points), np.concatenate([dense(other.points, 1.0) for other in others])
    away = np.array([float(np.min(np.hypot(*(rest - point).T))) for point in points])
    kept = away >= min(3.0, 0.6 * float(away.max()))
    return [point for point, keep in zip(curve.points, kept, strict=True) if keep]


def _names(
    forecast: DryingForecast,
    frame: _Frame,
    *,
    limits: Sequence[_Curve],
    middles: Sequence[_Curve],
    marks: Sequence[list[Point]],
) -> list[Label]:
    """Names to be placed, the weightiest first; those with a longest leader may be missing."""
    names = []
    for curve in middles:
        others = [other for other in middles if other is not curve] or list(limits)
        one_row = curve.name.replace("\n", " ")
        ways = tuple(dict.fromkeys((curve.name, one_row, one_row.split(",")[0])))
        names.append(Label(ways, _apart(curve, others), beneath=f"{_KINDS[curve.style]}: {one_row}", bold=True))
    for reach, mark in zip(forecast.reached, marks, strict=True):
        ways = _reach_words(reach, forecast.job.months)
        spots = [(float(x), float(y)) for x, y in dense(mark, 1.0)]
        names.append(Label(ways, spots, most_mm=34.0, beneath=ways[0]))
    green = (frame.left_mm, frame.y(forecast.green))
    names.append(Label((f"green, {100 * forecast.green:.0f} %",), [green], most_mm=30.0))
    gap = 100.0 * float(np.ptp(forecast.average[: frame.months + 1], axis=1).max())
    for curve, other in zip(limits, reversed(limits), strict=True):
        if gap * frame.percent_mm >= _TOLD_BAND_MM:
            names.append(Label((curve.name,), _apart(curve, [*middles, other]), most_mm=6.0))
    return names


@dataclass(frozen=True)
class _Sizes:
    """What the picture is made to. Attributes: `width_mm`, `height_mm`; `headline`; names that found no place in it."""

    width_mm: float
    height_mm: float
    headline: str
    left_out: tuple[str, ...] = ()

    @property
    def above(self) -> list[str]:
        # A viewer without the font takes one that may run a sixth wider.
        return rows_of(self.headline, 0.84 * self.width_mm, bold=True) if self.headline else []

    @property
    def below(self) -> list[str]:
        told = ". ".join(f"{words[:1].upper()}{words[1:]}" for words in self.left_out)
        return rows_of(f"{told}.", self.width_mm - 2.0) if told else []


def _frame_of(forecast: DryingForecast, sizes: _Sizes) -> tuple[_Frame, float]:
    """The frame of the plot, and the step of its upright scale."""
    em, months = size_mm(_NOTE), shown_months(forecast)
    low, high, step = _moistures(forecast, months)
    row = _ROW_EM * em
    return (
        _Frame(
            left_mm=2.6 + told_mm("100"),
            top_mm=1.0 + row * (len(sizes.above) + 1.5),
            right_mm=sizes.width_mm - 6.0 - told_mm("fiber saturation"),
            bottom_mm=sizes.height_mm - 3.0 - 3.6 * em - row * len(sizes.below),
            months=months,
            low=low,
            high=high,
        ),
        step,
    )


def _draw(forecast: DryingForecast, sizes: _Sizes, *, tape: Tape, description: str) -> tuple[Paper, list[str]]:
    """The picture, and what could not be written in it for want of room."""
    frame, step = _frame_of(forecast, sizes)
    if frame.bottom_mm - frame.top_mm < 30.0:
        raise SheetError(
            f"{sizes.height_mm:g} mm are too low for the picture and its {len(sizes.below)} rows of words."
        )
    size = section_text(forecast.job.thickness_mm, forecast.job.width_mm, tape=tape)
    paper = Paper(
        sizes.width_mm,
        sizes.height_mm,
        title=f"Moisture over time: {forecast.species}, {size}",
        description=description,
    )
    em, room = size_mm(_NOTE), Room(frame.left_mm, frame.top_mm, frame.right_mm, frame.bottom_mm)
    limits, middles = _curves(forecast, frame, tape)
    with paper.group("band"):
        slow, fast = (limit.points for limit in limits)
        paper.path([*slow, *reversed(fast)], style=None, fill="wood", closed=True)
    levels = _levels(forecast, frame.high)
    _draw_levels(paper, frame, levels)
    _draw_moistures(paper, frame, step)
    _draw_months(paper, frame, forecast.job.start_month)
    for level in levels:
        room.take([(frame.left_mm, frame.y(level.moisture)), (frame.right_mm, frame.y(level.moisture))])
    for curve in (*limits, *middles):
        with paper.group(f"curve-{curve.name.split()[0].strip(',')}"):
            paper.path(curve.points, style=curve.style)
        room.take(curve.points)
    marks = [_draw_range(paper, reach, frame) for reach in forecast.reached]
    for mark in marks:
        room.take(mark)
        for x, y in mark:
            room.take([(x, y - _TICK_MM), (x, y + _TICK_MM)])
            room.take([(max(x - 2.6, frame.left_mm), y - 0.6), (x, y - 0.6), (x, y + 0.6)])
    left_out = []
    for label in _names(forecast, frame, limits=limits, middles=middles, marks=marks):
        if label.beneath and label.beneath in sizes.left_out:
            continue
        placed = room.place(label)
        if placed is not None:
            _write(paper, placed)
        elif label.beneath:
            left_out.append(label.beneath)
    with paper.group("rows"):
        for number, row in enumerate(sizes.above):
            paper.text((1.0, 1.0 + (_FIGURE + number * _ROW_EM) * em), row, style=TextStyle(bold=True))
        foot = sizes.height_mm - 1.0 - _ROW_EM * em * len(sizes.below)
        for number, row in enumerate(sizes.below, start=1):
            paper.text((1.0, foot + number * _ROW_EM * em - 0.3 * em), row)
    return paper, left_out


def _description(forecast: DryingForecast, answer: str) -> str:
    """The picture in words."""
    job, months = forecast.job, shown_months(forecast)
    ends = ", ".join(
        f"{name} {100 * float(array[months, 1]):.0f} %"
        for name, array in (("average", forecast.average), ("core", forecast.center), ("surface", forecast.surface))
    )
    return (
        f"{answer} Moisture in percent of dry mass over {months} months from the first of "
        f"{MONTHS[job.start_month - 1]}, in the climate of {forecast.climate}. From {100 * forecast.green:.0f} % green "
        f"the middle lines come to: {ends}. It settles at about {100 * forecast.settles_at:.0f} %. "
        f"The tinted band is the average from slow to fast; year 1 is the calendar year of stacking."
    )


def drying_svg(
    forecast: DryingForecast,
    *,
    width_mm: float = 130.0,
    height_mm: float = 105.0,
    tape: Tape = _INCHES,
    headline: bool = True,
) -> str:
    """The moisture of a timber over time as SVG text.

    The tinted band is the average from slow to fast, the thick line its middle;
    core and surface are middle lines. The part of the forecast after which
    nothing changes but the seasons is left out. At 100 mm wide its letters are 12
    px tall on a screen of 390 px.

    Parameters
    ----------
    forecast : DryingForecast
        The forecast.
    width_mm, height_mm : float
        Size of the picture, at least 95 x 75 mm [mm].
    tape : Tape
        How lengths are shown.
    headline : bool
        Whether the answer stands above the picture.

    Returns
    -------
    str
        The picture; the same for the same input.

    Raises
    ------
    SheetError
        It is too small for what it has to say.

    Source
    ------
    `drying_forecast`
    """
    if not (width_mm >= _LEAST_MM[0] and height_mm >= _LEAST_MM[1]):
        raise SheetError(
            f"a picture of {width_mm:g} x {height_mm:g} mm is too small: give it {_LEAST_MM[0]:g} x "
            f"{_LEAST_MM[1]:g} mm or more."
        )
    answer = drying_answer(forecast, tape=tape)
    sizes = _Sizes(width_mm, height_mm, answer if headline else "")
    while True:
        paper, left_out = _draw(forecast, sizes, tape=tape, description=_description(forecast, answer))
        if not left_out:
            return paper.to_svg()
        # What finds no place in the picture is told beneath it, and the picture gives up the room.
        sizes = replace(sizes, left_out=(*sizes.left_out, *left_out))
