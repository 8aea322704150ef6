"""The best ways to saw one log, and what each gives up against the first."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.errors import KitError, NoPlacementError, SolverError
from pithline.fit.placing import place
from pithline.fit.timber import Timber
from pithline.lengths import told
from pithline.logs.recovery import MM3_PER_BF
from pithline.logs.solid import LogSolid, stretch
from pithline.patterns.blocks import Block, blocks_for
from pithline.patterns.bucking import Plan, plans_of, shifted
from pithline.patterns.build import build_pattern
from pithline.patterns.check import pattern_faults
from pithline.patterns.frame import SLENDER_TAPER, TURN_STEP_DEG, Frame, center_line, crown_turns, frame_on
from pithline.patterns.front import front_of
from pithline.patterns.layout import Layout
from pithline.patterns.levels import half_widest
from pithline.patterns.pattern import Pattern
from pithline.patterns.saw import saw_part
from pithline.patterns.screen import Look, Promise, look_at
from pithline.patterns.task import Aim, Task
from pithline.patterns.wanted import PriceList, list_for
from pithline.setup.kit import Kit, kit_faults

__all__ = ["AIMS", "Ways", "best_patterns", "ways_for"]

AIMS = (
    Aim("most value"),
    Aim("least sawing", with_boards=False),
    Aim("most timber", bonus_bf=20.0),
)
"""What the ways that are offered are best at."""

_MOST_TIMBER = 2

_PLANS = 2
"""Plans of bucking that are looked at closely."""

_MOST_TRIED = 6
"""Plans that are tried where the kit refuses those before."""

_TURNS = 3
"""Turns of a part that may be worked out for an aim."""

_MOST_RECOVERED = 0.5
"""Share of a part that no way is thought to bring out, before one is worked out."""

_CLOSE = 0.98
"""Share of the best from which a further turn is worked out."""

_BUILT = 2
"""Layouts that are built and compared for what the log is sawn for."""

_DEAREST = 2
_MOST_CONTENDERS = 6
"""Blocks that a part is laid out with."""

_CLOSE_PLAN = 0.985
"""Share of what is had from which a further plan is sawn."""

_KEPT_WORD = 0.6
"""Share of what a plan promises that must have come of it for no more to be tried."""

_CROOKED = 0.1
"""Crown for each millimeter of tip diameter from which another center line is tried."""

_NEAR_MM = 8.0
"""A block that misses the wood by less than this is tried with a center line of its own."""


@dataclass(frozen=True, eq=False)
class Ways:
    """What can be made of one log.

    Attributes: `log`; `patterns`, the best first, the others each better at
    something; `why`, one sentence where there is none.
    """

    log: LogSolid
    patterns: tuple[Pattern, ...]
    why: str = ""


@dataclass(eq=False)
class _Search:
    """What is known of a log's parts while ways are sought."""

    task: Task
    aim: int = 0
    frames: dict[tuple[float, float], Frame] = field(default_factory=dict)
    blocks: dict[float, list[Block]] = field(default_factory=dict)
    glances: dict[tuple[float, float], float] = field(default_factory=dict)
    looks: dict[tuple[float, float], Look] = field(default_factory=dict)
    layouts: dict[tuple[object, ...], Layout | None] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)

    def frame(self, ends_mm: tuple[float, float]) -> Frame:
        """A part about its center line, turned by 0."""
        if ends_mm not in self.frames:
            line = center_line(self.task.log, ends_mm[0], end_mm=ends_mm[1])
            self.frames[ends_mm] = frame_on(self.task.log, ends_mm, roll_deg=0.0, centers_mm=line)
        return self.frames[ends_mm]

    def blocks_of(self, length_mm: float) -> list[Block]:
        """Blocks that a length allows."""
        if length_mm not in self.blocks:
            # What is as long passes through a section at least so far from one of the ends.
            log = self.task.log
            near = stretch(log, min(length_mm, log.length_mm) - 2.0, end_mm=min(length_mm, log.length_mm))
            most = 2.0 * max(half_widest(near.shape_mm).max(), _tip_reach(log, length_mm))
            self.blocks[length_mm] = blocks_for(self.task.prices, length_mm, kit=self.task.kit, most_mm=float(most))
        return self.blocks[length_mm]

    def ceiling(self, ends_mm: tuple[float, float]) -> float:
        """What a part can hardly come above: as much of its wood as any log gives, all at the best price."""
        part = stretch(self.task.log, ends_mm[0], end_mm=ends_mm[1])
        long = ends_mm[1] - ends_mm[0]
        bonus = AIMS[self.aim].bonus_bf
        timbers = [
            item.value_bf + bonus for item in self.task.prices.timbers if (item.timber.length_mm or 0.0) <= long + 1.0
        ]
        board = max((board.value_bf for board in self.task.boards), default=0.0)
        timber = max(timbers, default=0.0)
        # Timbers are as long as the part: they lie where it is slender. Only boards come from the rest.
        core = math.pi * float(np.linalg.det(part.shape_mm).min()) * long
        inner = _MOST_RECOVERED * core * max(timber, board)
        outer = _MOST_RECOVERED * max(part.volume_mm3() - core, 0.0) * board
        return (inner + outer) / MM3_PER_BF - _part_cost(self.task)

    def glance(self, ends_mm: tuple[float, float]) -> float:
        """About what a part is worth, setting it up paid."""
        if ends_mm not in self.glances:
            self.glances[ends_mm] = self._glanced(ends_mm) if self.ceiling(ends_mm) > 0.0 else 0.0
        return self.glances[ends_mm]

    def _glanced(self, ends_mm: tuple[float, float]) -> float:
        """The same, worked out."""
        line = _mean_line(self.task.log, ends_mm)
        frame = frame_on(self.task.log, ends_mm, roll_deg=0.0, centers_mm=line)
        look = look_at(
            self.task,
            frame,
            blocks=self.blocks_of(frame.length_mm),
            turns_deg=_turns(self.task, step_deg=90.0),
            aims=[AIMS[self.aim]],
            is_exact=False,
        )
        return look.promises[0][0].worth - _part_cost(self.task)

    def look(self, ends_mm: tuple[float, float]) -> Look:
        """A part at every turn."""
        if ends_mm not in self.looks:
            frame = self.frame(ends_mm)
            self.looks[ends_mm] = look_at(
                self.task,
                frame,
                blocks=self.blocks_of(frame.length_mm),
                turns_deg=_turns(self.task),
                aims=AIMS,
            )
        return self.looks[ends_mm]


def _turns(task: Task, *, step_deg: float = TURN_STEP_DEG) -> tuple[float, ...]:
    """Turns that are tried: the one that is given, or all."""
    return crown_turns(task.log, step_deg=step_deg) if task.turn_deg is None else (task.turn_deg % 360.0,)


def _true(task: Task, layout: Layout) -> Layout:
    """A layout about the same center line, in the log in its true size."""
    frame = layout.frame
    if task.whole is None:
        return layout
    ends, centers = (frame.start_mm, frame.end_mm), (frame.center_butt_mm, frame.center_tip_mm)
    return replace(layout, frame=frame_on(task.whole, ends, roll_deg=frame.roll_deg, centers_mm=centers))


def _tip_reach(log: LogSolid, length_mm: float) -> float:
    """Greatest half width of the section where a part as long begins that ends at the tip [mm]."""
    start = max(log.length_mm - length_mm, 0.0)
    near = stretch(log, start, end_mm=start + 2.0)
    return float(min(half_widest(near.shape_mm).max(), half_widest(log.shape_mm[-1])))


def _mean_line(log: LogSolid, ends_mm: tuple[float, float]) -> tuple[Floats, Floats]:
    """The straight line that the centers of a part's sections lie evenly about, as tallied."""
    part = stretch(log, ends_mm[0], end_mm=ends_mm[1])
    along = (part.z_mm - ends_mm[0]) / (ends_mm[1] - ends_mm[0])
    mean, away = part.center_mm.mean(axis=0), along - along.mean()
    slope = away @ (part.center_mm - mean) / (away @ away)
    middle = mean - along.mean() * slope
    return middle, middle + slope


def _part_cost(task: Task) -> float:
    """Cost of turning and setting up a part, whatever is sawn from it."""
    return task.minute * (task.kit.work.turn_min + task.kit.work.rail_min)


def _turned(frame: Frame, turn_deg: float) -> Frame:
    """The same part, turned."""
    return frame_on(
        frame.log,
        (frame.start_mm, frame.end_mm),
        roll_deg=turn_deg,
        centers_mm=(frame.center_butt_mm, frame.center_tip_mm),
    )


def _layouts(search: _Search, ends_mm: tuple[float, float], aim: int, *, turns: int) -> list[Layout]:
    """The best layouts of a part for an aim, out of the turns that promise most, most worth first."""
    task, look = search.task, search.look(ends_mm)
    found: list[Layout] = []
    for promise in look.promises[aim][:turns]:
        if found and promise.worth < _CLOSE * found[0].worth:
            break
        numbers = _contenders(search, look, promise, aim if turns > 1 else None)
        through = promise.blocks[0][1] if promise.blocks else 0.0
        key = (ends_mm, promise.turn, aim, numbers)
        if key not in search.layouts:
            frame = _turned(look.frame, look.turns_deg[promise.turn])
            blocks = [look.blocks[number] for number in numbers]
            search.layouts[key] = saw_part(frame, blocks, task=task, aim=AIMS[aim], through_mm=through)
        layout = search.layouts[key]
        if layout is not None:
            found.append(layout)
    if turns > 1:
        found += _slender(search, aim, found)
    found += _tight(search, look, aim, held=max((layout.worth for layout in found), default=0.0))
    return sorted(found, key=lambda layout: -layout.worth)


def _contenders(search: _Search, look: Look, promise: Promise, aim: int | None) -> tuple[int, ...]:
    """Blocks of a promise; for an aim also the dearest that fit, those of other turns, and all lying the other way."""
    own = [number for number, _ in promise.blocks]
    if aim is not None:
        minute = search.task.minute
        worth = {k: block.value - minute * block.minutes for k, block in enumerate(look.blocks) if look.fits[k]}
        own += sorted(worth, key=lambda number: -worth[number])[:_DEAREST]
        own += [number for other in look.promises[aim] for number, _ in other.blocks]
        sizes = {(block.up_mm, block.across_mm, block.used): k for k, block in enumerate(look.blocks)}
        for number in list(own):
            block = look.blocks[number]
            turned = sizes.get((block.across_mm, block.up_mm, block.used))
            own += [] if turned is None or len(block.cells) > 1 else [turned]
    return tuple(dict.fromkeys(own))[:_MOST_CONTENDERS]


def _slender(search: _Search, aim: int, found: list[Layout]) -> list[Layout]:
    """The best layout of a crooked log once more, about a center line that heeds the butt less."""
    log = search.task.log
    if not found or log.crown_mm < _CROOKED * log.diameter_mm(-1):
        return []
    best = max(found, key=lambda layout: layout.worth)
    frame = best.frame
    line = center_line(log, frame.start_mm, end_mm=frame.end_mm, of_taper=SLENDER_TAPER)
    ends = (frame.start_mm, frame.end_mm)
    blocks = list(dict.fromkeys(layer.block for layer in best.layers if layer.block is not None))
    through = next((layer.low_mm for layer in best.layers if layer.block is not None), 0.0)
    other = saw_part(
        frame_on(log, ends, roll_deg=frame.roll_deg, centers_mm=line),
        blocks,
        task=search.task,
        aim=AIMS[aim],
        through_mm=through,
    )
    return [] if other is None else [other]


def _tight(search: _Search, look: Look, aim: int, *, held: float) -> list[Layout]:
    """Layouts of blocks that miss by a hair about the common center line, laid about one of their own."""
    task = search.task
    best: list[tuple[float, int]] = []
    for number, block in enumerate(look.blocks):
        worth = block.value - task.minute * block.minutes
        if 0.0 < look.short_mm[number] <= _NEAR_MM and worth > held:
            best.append((worth, number))
    found = []
    for _, number in sorted(best, reverse=True)[:2]:
        block, turn = look.blocks[number], look.turns_deg[look.short_turn[number]]
        layout = _about_itself(search, look.frame, block, (turn, aim))
        found += [] if layout is None else [layout]
    return found


def _about_itself(search: _Search, frame: Frame, block: Block, case: tuple[float, int]) -> Layout | None:
    """A block laid where it has the most room of all, and what else comes out of the log then."""
    task, (turn, aim) = search.task, case
    single = task.prices.timbers[block.cells[0].kind].timber if len(block.cells) == 1 else None
    timber = Timber(
        thickness_mm=block.up_mm,
        width_mm=block.across_mm,
        length_mm=frame.length_mm,
        wane_mm=block.wane_mm,
        heart="any" if single is None else single.heart,
        heart_margin_mm=12.7 if single is None else single.heart_margin_mm,
    )
    part = stretch(task.log, frame.start_mm, end_mm=frame.end_mm)
    part = replace(part, z_mm=frozen(part.z_mm - frame.start_mm))
    try:
        placed = place(part, timber, roll=turn, against_best=False)
    except (SolverError, NoPlacementError):
        return None
    if not placed.fits:
        return None
    own = frame_on(
        task.log,
        (frame.start_mm, frame.end_mm),
        roll_deg=placed.roll_deg,
        centers_mm=(placed.center_butt_mm, placed.center_tip_mm),
    )
    return saw_part(own, [block], task=task, aim=AIMS[aim], through_mm=-0.5 * block.up_mm, share=1.0)


def _planned(search: _Search, plans: Sequence[Plan], *, every: bool = False) -> list[tuple[float, Plan]]:
    """Plans of bucking by what they are about worth, worthless parts left out.

    Unless `every` plan is asked for, those that can hardly come near the best are not looked at.
    """
    parts = {ends for plan in plans for ends in plan}
    most = {ends: max(search.ceiling(ends), 0.0) for ends in parts}
    found: dict[Plan, float] = {}
    for plan in sorted(plans, key=lambda plan: -sum(most[ends] for ends in plan)):
        near = sum(most[ends] for ends in plan) >= _CLOSE_PLAN * max(found.values(), default=-math.inf)
        if not near and not every:
            break
        _rate(search, plan, found)
    # Elsewhere along the log the best plan may do better, and where none does from the butt any may.
    again = [max(found, key=lambda plan: found[plan])] if found and not every else list(plans)
    for plan in again:
        for moved in shifted(plan, search.task):
            _rate(search, moved, found)
    return sorted(((value, plan) for plan, value in found.items()), key=lambda one: -one[0])


def _rate(search: _Search, plan: Plan, found: dict[Plan, float]) -> None:
    """Put down what a plan is about worth."""
    task = search.task
    kept = tuple(ends for ends in plan if search.glance(ends) > 0.0)
    cuts = {edge for ends in kept for edge in ends if 1.0 < edge < task.log.length_mm - 1.0}
    if kept:
        bucks = task.minute * task.kit.work.buck_min * len(cuts)
        found[kept] = sum(search.glance(ends) for ends in kept) - bucks


def _with_less(search: _Search, used: dict[int, int]) -> _Search:
    """The search for further parts once some timbers are had."""
    task = search.task
    timbers = tuple(
        item if item.count is None else replace(item, count=max(0, item.count - used.get(kind, 0)))
        for kind, item in enumerate(task.prices.timbers)
    )
    prices = PriceList(timbers, task.prices.boards, task.prices.notes)
    return _Search(replace(task, prices=prices), aim=search.aim, frames=search.frames, refused=search.refused)


def _sawn(search: _Search, plan: Plan, aim: int, *, turns: int = 1) -> Pattern | None:
    """The pattern of a plan for an aim, no more of a timber than is wanted; None where the kit cannot make it."""
    chosen: dict[tuple[float, float], Layout] = {}
    used: dict[int, int] = {}
    order = sorted(plan, key=lambda ends: -search.look(ends).promises[aim][0].worth)
    pattern: Pattern | None = None
    for ends in order:
        most = min(turns, _BUILT)
        made = _made(search, _layouts(search, ends, aim, turns=turns), most=most)
        if made is not None and _too_many(search.task, used, made[0].used):
            less = _with_less(search, used)
            made = _made(less, _layouts(less, ends, aim, turns=turns), most=most)
        if made is not None:
            chosen[ends], pattern = made
            for kind, number in made[0].used.items():
                used[kind] = used.get(kind, 0) + number
    if pattern is None:
        return None
    if len(chosen) > 1:
        pattern = build_pattern(search.task.true, [_true(search.task, chosen[ends]) for ends in sorted(chosen)])
    faults = pattern_faults(pattern, search.task.prices)
    if faults:
        raise SolverError(f"{search.task.log.tag}: the check refuses a pattern: {faults[0]}")
    return replace(pattern, why=AIMS[aim].name)


def _made(search: _Search, layouts: Sequence[Layout], *, most: int) -> tuple[Layout, Pattern] | None:
    """The layout that leaves most once its boards are cut to the best slant and length, and its pattern.

    Layouts come most worth first; those as good as the best, about, are built and compared.
    """
    best: tuple[Layout, Pattern] | None = None
    tried = 0
    for layout in layouts:
        if best is not None and (tried >= most or layout.worth < _CLOSE * layouts[0].worth):
            break
        try:
            pattern = build_pattern(search.task.true, [_true(search.task, layout)])
        except KitError as error:
            search.refused.append(str(error))
            continue
        tried += 1
        if best is None or pattern.net > best[1].net:
            best = (layout, pattern)
    return best


def _too_many(task: Task, used: dict[int, int], more: dict[int, int]) -> bool:
    """Whether two parts together make more of a timber than is wanted."""
    counts = {kind: task.prices.timbers[kind].count for kind in more}
    return any(most is not None and used.get(kind, 0) + more[kind] > most for kind, most in counts.items())


def best_patterns(log: LogSolid, prices: PriceList, *, kit: Kit, relieve: bool = False) -> Ways:
    """The best ways to saw one log with a kit.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    prices : PriceList
        What is wanted, and what it is worth.
    kit : Kit
        What is at the log, and what an hour costs.
    relieve : bool
        Open opposite faces in turn, as far as the mill sets deep enough.

    Returns
    -------
    Ways
        Patterns, the one of most value less cost first; or why there is none.

    Raises
    ------
    KitError
        The kit is not sound.

    Source
    ------
    definition; every pattern is checked by `pattern_faults`, which knows no search
    """
    faults = kit_faults(kit)
    if faults:
        raise KitError("\n".join(faults))
    return ways_for(Task(log, list_for(log, prices, own=kit.species), kit, relieve=relieve))


def ways_for(task: Task, *, aims: Sequence[Aim] = AIMS, is_brief: bool = False) -> Ways:
    """The best ways to do a task.

    Parameters
    ----------
    task : Task
        The log, what of the list can come from it, and a sound kit.
    aims : sequence of Aim
        What ways are looked for besides the one of most value; empty for that one alone.
    is_brief : bool
        Work out only the turn and the plans of bucking that promise most.

    Returns
    -------
    Ways
        As `best_patterns` gives them.

    Source
    ------
    definition; every pattern is checked by `pattern_faults`, which knows no search
    """
    search = _Search(task)
    plans = plans_of(task)
    patterns = _main_ways(search, plans, is_brief=is_brief)
    if not patterns and aims:
        # Nothing is worth its sawing; timbers that are needed all the same are shown at a loss.
        search = _Search(task, aim=_MOST_TIMBER)
        patterns = _main_ways(search, plans)
    if patterns and aims:
        best = max(patterns, key=lambda one: one.net)
        plan = tuple((part.start_mm, part.end_mm) for part in best.parts)
        for aim in range(1, len(AIMS)):
            pattern = None if aim == search.aim or AIMS[aim] not in aims else _sawn(search, plan, aim)
            patterns += [] if pattern is None else [pattern]
    if not patterns:
        return Ways(task.true.log, (), _why_none(search) if aims else f"{task.log.tag}: nothing is worth its sawing.")
    return Ways(task.true.log, front_of(patterns))


def _main_ways(search: _Search, plans: Sequence[Plan], *, is_brief: bool = False) -> list[Pattern]:
    """Ways by the best plans of bucking, for what the log is sawn for; all where those fall short."""
    patterns: list[Pattern] = []
    tried: set[Plan] = set()
    for every in (False,) if is_brief else (False, True):
        planned = _planned(search, plans, every=every)
        for about, plan in planned[:_MOST_TRIED]:
            most = max((pattern.net for pattern in patterns), default=-math.inf)
            # Enough plans were sawn, or what is left promises less; but not where those sawn fell far short.
            enough = 1 if is_brief else _PLANS
            if about < _CLOSE_PLAN * most or (len(patterns) >= enough and not _fell_short(search, about, most)):
                break
            if plan in tried:
                continue
            tried.add(plan)
            # Only the best plan is worth the trouble of several turns.
            pattern = _sawn(search, plan, search.aim, turns=1 if patterns or is_brief else _TURNS)
            patterns += [] if pattern is None else [pattern]
        most = max((pattern.net for pattern in patterns), default=-math.inf)
        if planned and not _fell_short(search, planned[0][0], most):
            break
    return patterns


def _fell_short(search: _Search, about: float, most: float) -> bool:
    """Whether far less came out than was promised: the kit was in the way of it."""
    bonus = AIMS[search.aim].bonus_bf > 0.0
    short = about - most > _part_cost(search.task)
    return most == -math.inf or (short and most < _KEPT_WORD * about and not bonus)


_Freed = tuple[str, str, str, dict[str, float]]

_FREED: tuple[_Freed, ...] = (
    ("mill", "cut_width", "a longer bar and frame", {"cut_width_mm": 1.0e5}),
    ("mill", "setting_max", "a mill that sets deeper", {"setting_max_mm": 1.0e5}),
    ("mill", "setting_min", "a mill that sets shallower", {"setting_min_mm": 0.01}),
    ("bearers", "height_min", "lower bearers", {"height_min_mm": 1.0}),
    ("bearers", "base_width", "bearers with a narrower base", {"base_width_mm": 10.0}),
)
"""What may be in the way of all sawing: a part of the kit, its value, what would do, and what frees it."""


def _why_none(search: _Search) -> str:
    """Why nothing comes out of a log: the kit where another would do, else the log."""
    task = search.task
    log, kit = task.log, task.kit
    if search.refused:
        return f"{log.tag}: the kit cannot saw it. {search.refused[0]}"
    freed = kit
    cures: list[str] = []
    for part, name, cure, values in _FREED:
        freed = replace(freed, **{part: replace(getattr(freed, part), **values)})
        if _would_do(task, replace(kit, **{part: replace(getattr(kit, part), **values)})):
            value = getattr(getattr(kit, part), f"{name}_mm")
            cures.append(f"{cure} would do, {part}.{name} is {told(value)}")
    if cures:
        return f"{log.tag}: the kit cannot saw it; {'; or '.join(cures)}."
    if _would_do(task, freed):
        return (
            f"{log.tag}: the kit cannot saw it: mill and bearers together are in the way. Use a mill that cuts wider "
            f"and sets deeper, and lower and narrower bearers."
        )
    return f"{log.tag}: it holds no timber of the list, and no board that is worth its sawing."


def _would_do(task: Task, kit: Kit) -> bool:
    """Whether anything would come out of a log with another kit."""
    search = _Search(replace(task, kit=kit), aim=_MOST_TIMBER)
    return bool(_planned(search, plans_of(search.task)))
