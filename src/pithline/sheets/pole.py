"""The story pole: every height of a set-up on strips of paper at true scale."""

from collections.abc import Sequence

from pithline.answers.words import angle_text, timber_text, turn_text
from pithline.lengths import MM_PER_INCH, Tape
from pithline.setup import SetUp, Stack
from pithline.sheets.look import size_mm, text_width_mm
from pithline.sheets.paper import Paper, Point, TextStyle, plain_number
from pithline.sheets.pole_plan import GAP_MM, HEAD_MM, STRIP_MM, Laid, Mark, PolePlan, plan_pole, station_text
from pithline.sheets.svg import Box, Drawing
from pithline.sheets.tiles import draw_joints, draw_key, overlap_mm
from pithline.sheets.typeset import compile_pdf

__all__ = ["draw_pole", "pole_pdf"]

_MARK_MM = 13.0
_LEADER_MM = 17.0
_LABEL_MM = 19.0
_NUMBER_MM = 6.6
# A ruler's figure this near to a line of the pole would be struck through by it.
_NUMBER_CLEAR_MM = 2.2
# The bold face is wider than the regular one by no more than this.
_BOLD = 1.1
# Ticks of a ruler: how often they come, in inches or in millimeters, and how long they are.
_TICKS_MM = {
    "in": ((1.0, 6.0), (0.5, 4.5), (0.25, 3.4), (0.125, 2.5), (0.0625, 1.7)),
    "mm": ((10.0, 6.0), (5.0, 4.0), (1.0, 2.2)),
}


def _segments(paper: Paper, segments: Sequence[tuple[float, float, float]], *, style: str) -> None:
    """Draw level lines, each from x to x at a height on paper, as one path."""
    numbers = [(plain_number(x0), plain_number(x1), plain_number(y)) for x0, x1, y in segments]
    paper.path_data("".join(f"M{x0} {y}H{x1}" for x0, x1, y in numbers), style=style)


def _draw_ruler(drawing: Drawing, laid: Laid, tape: Tape, joints_mm: Sequence[float]) -> None:
    """Draw a scale up the strip's left edge as a tape has it, counted both ways from zero."""
    unit = MM_PER_INCH if tape.style == "in" else 1.0
    ticks = [(every, reach) for every, reach in _TICKS_MM[tape.style] if every * unit >= tape.step_mm - 1e-9]
    finest = ticks[-1][0]
    taken = [(mark.height_mm, mark.height_mm) for mark in laid.strip.marks] + list(laid.strip.kerfs)
    taken += [(joint - laid.zero_mm, joint - laid.zero_mm) for joint in joints_mm]
    lines = []
    numbered = TextStyle(level="middle")
    first = -int((laid.zero_mm - laid.foot_mm) / (finest * unit))
    last = int((laid.top_mm - HEAD_MM - laid.zero_mm) / (finest * unit))
    for count in range(first, last + 1):
        value = count * finest
        reach = next(reach for every, reach in ticks if value % every == 0.0)
        x, y = drawing.on_paper_mm((laid.left_mm, laid.zero_mm + value * unit))
        lines.append((x, x + reach, y))
        here = value * unit
        crowded = any(low - _NUMBER_CLEAR_MM < here < high + _NUMBER_CLEAR_MM for low, high in taken)
        at_end = laid.zero_mm + value * unit < laid.foot_mm + _NUMBER_CLEAR_MM
        if value % ticks[0][0] == 0.0 and value != 0.0 and not crowded and not at_end:
            drawing.paper.text((x + _NUMBER_MM, y), f"{abs(value):g}", style=numbered)
    _segments(drawing.paper, lines, style="dimension")


def _fitting_size(words: str, sizes: Sequence[str], room_mm: float) -> str:
    """The first size at which words fit, or the last."""
    return next((size for size in sizes if _BOLD * text_width_mm(words, size) <= room_mm), sizes[-1])


def _draw_label(drawing: Drawing, laid: Laid, mark: Mark, middle_mm: float) -> None:
    """Draw a leader from a mark to its words, and the words in rows."""
    x, y = laid.left_mm, laid.zero_mm + mark.height_mm
    drawing.polyline(
        [(x + _MARK_MM, y), (x + _LEADER_MM, middle_mm), (x + _LABEL_MM - 1.0, middle_mm)], style="dimension"
    )
    room = STRIP_MM - _LABEL_MM - 1.0
    sizes = [
        _fitting_size(row, (("lead", "text", "note") if number == 0 else ("text", "note")[min(number - 1, 1) :]), room)
        for number, row in enumerate(mark.rows)
    ]
    tall = sum(0.95 * size_mm(size) for size in sizes)
    at = middle_mm + 0.5 * tall
    for number, (row, size) in enumerate(zip(mark.rows, sizes, strict=True)):
        at -= 0.5 * 0.95 * size_mm(size)
        drawing.text((x + _LABEL_MM, at), row, style=TextStyle(size, bold=number == 0, level="middle"))
        at -= 0.5 * 0.95 * size_mm(size)


def _draw_head(drawing: Drawing, laid: Laid, tag: str, *, number: int) -> None:
    """Draw a strip's title, which way is up, and what it is held against."""
    x, top = laid.left_mm, laid.top_mm
    drawing.arrow((x + 6.0, top - 14.0), (x + 6.0, top - 4.0), style="outline")
    title = f"{laid.strip.title}, {tag}"
    room = STRIP_MM - 13.0
    size = _fitting_size(title, ("lead", "text", "note"), room)
    # A long tag is the sheets' own business; the strip has to say which one it is.
    shown = title if _BOLD * text_width_mm(title, size) <= room else laid.strip.title
    drawing.text((x + 11.0, top - 8.0), shown, style=TextStyle(size, bold=True))
    second = ("For the second stack.",) if number > 1 else ()
    for line, row in enumerate((*laid.strip.notes, *second)):
        drawing.text((x + 11.0, top - 12.6 - 4.0 * line), row, style=TextStyle())


def _draw_strip(drawing: Drawing, laid: Laid, tape: Tape, joints_mm: Sequence[float]) -> None:
    """Draw one strip without its head."""
    left, right = laid.left_mm, laid.left_mm + STRIP_MM
    foot, top, zero = laid.foot_mm, laid.top_mm, laid.zero_mm
    drawing.polygon([(left, foot), (right, foot), (right, top), (left, top)], style="outline")
    for low, high in laid.strip.kerfs:
        band = [(left, zero + low), (left + _MARK_MM, zero + low), (left + _MARK_MM, zero + high), (left, zero + high)]
        drawing.hatch(band, spacing_mm=1.5)
    _draw_ruler(drawing, laid, tape, joints_mm)
    for mark, middle in zip(laid.strip.marks, laid.labels_mm, strict=True):
        y = zero + mark.height_mm
        drawing.line((left, y), (left + _MARK_MM, y), style=mark.style)
        _draw_label(drawing, laid, mark, middle)
    if laid.strip.stands:
        words = TextStyle("text", level="middle", bold=True)
        drawing.text((left + _LABEL_MM, foot + 4.0), "foot: the flat", style=words)


def draw_pole(setup: SetUp, plan: PolePlan, *, tape: Tape, title: str = "Story pole") -> Drawing:
    """The whole pole of one stack at true scale.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    plan : PolePlan
        As `plan_pole` gives it.
    tape : Tape
        How lengths are shown.
    title : str
        What is read aloud in place of the image.

    Returns
    -------
    Drawing
        Windows of it are the sheets.
    """
    drawing = Drawing(plan.tiling.box, 1.0, title=title, description=_aloud(plan))
    for laid in plan.laid:
        with drawing.group("strip"):
            _draw_strip(drawing, laid, tape, plan.tiling.joints_y_mm)
            _draw_head(drawing, laid, setup.placement.log.tag, number=plan.number)
    wide = STRIP_MM + GAP_MM
    gaps = [0.5 * GAP_MM + number * wide for number in range(len(plan.laid) + 1)]
    draw_joints(drawing, plan.tiling, marks_x_mm=gaps)
    for tile in plan.tiling.tiles:
        cell = plan.tiling.cell(tile)
        up = TextStyle("note", "middle", "pencil", angle_deg=90.0, level="middle")
        drawing.text((0.5 * GAP_MM, 0.5 * (cell.bottom + cell.top)), f"sheet {tile.name}", style=up)
    return drawing


def _aloud(plan: PolePlan) -> str:
    """All heights in words."""
    told = [f"{strip.title}: " + "; ".join(", ".join(mark.rows) for mark in strip.marks) for strip in plan.strips]
    return ". ".join(told)


def _middle(box: Box) -> Point:
    return 0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top)


def _key(plan: PolePlan) -> str:
    """A small drawing of the sheets and strips."""
    box = plan.tiling.box
    drawing = Drawing(box, 1.0 / 10.0, title="How the sheets lie", margins_mm=(0.5, 0.5, 0.5, 0.5))
    for laid in plan.laid:
        left, right = laid.left_mm, laid.left_mm + STRIP_MM
        outline = [(left, laid.foot_mm), (right, laid.foot_mm), (right, laid.top_mm), (left, laid.top_mm)]
        drawing.polygon(outline, style="outline", fill="wood")
        for mark in laid.strip.marks:
            y = laid.zero_mm + mark.height_mm
            drawing.line((left, y), (left + 2.0 * _MARK_MM, y), style="dimension")
    draw_key(drawing, plan.tiling, names_at=lambda tile: _middle(plan.tiling.cell(tile)))
    return drawing.to_svg()


def _end_rows(plan: PolePlan) -> list[list[str]]:
    """The table of the ends: line, what it is for, height at each end, from the top down."""
    ends = [strip for strip in plan.strips if not strip.stands]
    rows = []
    # Where the pith wanders one end may have its lines in another order than the other.
    for mark in reversed(ends[0].marks):
        if mark.style != "level":
            heights = [next(other.rows[0] for other in end.marks if other.rows[1] == mark.rows[1]) for end in ends]
            rows.append([", ".join(mark.rows[1:]), *heights])
    return rows


def _bearer_rows(setup: SetUp, stack: Stack, tape: Tape) -> list[list[str]]:
    """The table of the bearers, from the butt: number, station, height."""
    return [
        [f"{number}, {station_text(setup, bearer.station_mm, tape=tape)}", tape.show(bearer.height_mm)]
        for number, bearer in enumerate(stack.bearers, start=1)
    ]


def _stack_data(setup: SetUp, stack: Stack, plan: PolePlan, tape: Tape) -> dict[str, object]:
    """What the template says about one stack."""
    if stack.turn_deg == 0.0:
        how = turn_text(setup.placement)
    else:
        how = f"Roll the cant {angle_text(stack.turn_deg)}, seen from the butt."
    highest = max((mark.height_mm for mark in plan.strips[0].marks), default=0.0)
    sheets = []
    for tile in plan.tiling.tiles:
        above = plan.tiling.neighbor(tile, rows=-1)
        sheets.append(
            {
                "name": tile.name,
                "drawing": f"sheet-{tile.name}",
                "above": above.name if above is not None else "",
            }
        )
    return {
        "number": plan.number,
        "faces": " and ".join(cut.face for cut in stack.passes),
        "how": how,
        "key": f"key-{plan.number}",
        "ends": [strip.title.capitalize() for strip in plan.strips if not strip.stands],
        "end_rows": _end_rows(plan),
        "bearer_rows": _bearer_rows(setup, stack, tape),
        "sheets": sheets,
        "longest": tape.show(highest),
    }


def pole_pdf(setup: SetUp, *, tape: Tape, paper: str) -> bytes:
    """The story poles of a set-up, one a stack, at true scale over sheets to be joined.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    tape : Tape
        How lengths are shown.
    paper : str
        letter or a4.

    Returns
    -------
    bytes
        The PDF: how to join and use the poles, all heights as numbers, the sheets.

    Raises
    ------
    SheetError
        There is no such paper, or a sheet could not be set.
    """
    drawings: dict[str, str] = {}
    stacks = []
    for stack in setup.stacks:
        plan = plan_pole(setup, stack, tape=tape, paper=paper)
        stacks.append(_stack_data(setup, stack, plan, tape))
        drawings[f"key-{len(stacks)}"] = _key(plan)
        for tile in plan.tiling.tiles:
            drawing = draw_pole(setup, plan, tape=tape, title=f"Story pole, sheet {tile.name}")
            drawings[f"sheet-{tile.name}"] = drawing.to_svg(window=tile.window)
    data = {
        "paper": paper,
        "tag": setup.placement.log.tag,
        "timber": timber_text(setup.placement.timber, tape),
        "overlap": tape.show(overlap_mm(tape)),
        "batten": tape.show(63.5 if tape.style == "in" else 64.0),
        "step": tape.show(tape.step_mm),
        "stacks": stacks,
    }
    return compile_pdf("pole.typ", data, drawings=drawings)
