"""Templates for both ends of a log at true scale, to be stuck on and marked through."""

import itertools
import math
from collections.abc import Sequence
from typing import Literal

from pithline.answers.words import setup_notes, timber_text, turn_text
from pithline.lengths import Tape
from pithline.setup import SetUp
from pithline.sheets.look import size_mm, text_width_mm
from pithline.sheets.paper import Point, TextStyle
from pithline.sheets.svg import Drawing
from pithline.sheets.template_plan import HEAD_MM, PAST_MM, EndPlan, Face, plan_end
from pithline.sheets.tiles import Tile, draw_joints, draw_key, overlap_mm
from pithline.sheets.typeset import compile_pdf

__all__ = ["draw_template", "templates_pdf"]

_ARROW_MM = 20.0
_PITH_MM = 2.5
_CORNER_MM = 1.5
_CLEAR_MM = 1.5
# A row of words along a line, with room on both sides.
_BAND_MM = 7.0
# From the joints to the middle of a sheet's name, clear of what neighbors share.
_NAME_MM = 14.0
_NAME_CLEAR_MM = 12.0
_KEY_NAME_MM = 3.2
_KEY_ROOM_MM = (84.0, 70.0)
_MANY_SHEETS = 12
# Share of the type size that figures and capitals are tall.
_FIGURE_HEIGHT = 0.65
# The bold face is wider than the regular one by no more than this.
_BOLD = 1.1


class _Words:
    """The words on a template, none of them over another.

    Parameters
    ----------
    drawing : Drawing
        Drawn at true scale.
    """

    def __init__(self, drawing: Drawing) -> None:
        self._drawing = drawing
        self._taken: list[tuple[float, float, float, float]] = []

    def put(self, at: Point, words: str, *, style: TextStyle) -> bool:
        """Write words, level or reading upward, unless others stand there; tell whether they were written."""
        wide = (_BOLD if style.bold else 1.0) * text_width_mm(words, style.size)
        high = _FIGURE_HEIGHT * size_mm(style.size)
        start = {"start": 0.0, "middle": -0.5 * wide, "end": -wide}[style.anchor]
        foot = {"baseline": 0.0, "middle": -0.5 * high, "top": -high}[style.level]
        x, y = at
        if style.angle_deg:
            box = (x - foot - high, y + start, x - foot, y + start + wide)
        else:
            box = (x + start, y + foot, x + start + wide, y + foot + high)
        if any(box[0] < b[2] and b[0] < box[2] and box[1] < b[3] and b[1] < box[3] for b in self._taken):
            return False
        self._taken.append(box)
        self._drawing.text(at, words, style=style)
        return True


def _crossings(outline: Sequence[Point], at: float, *, axis: int) -> list[float]:
    """Where an outline crosses a level line (axis 1) or a plumb line (axis 0)."""
    found = []
    for p, q in zip(outline, [*outline[1:], outline[0]], strict=True):
        if (p[axis] <= at) != (q[axis] <= at):
            share = (at - p[axis]) / (q[axis] - p[axis])
            found.append(p[1 - axis] + share * (q[1 - axis] - p[1 - axis]))
    return found


def _run(face: Face, outline: Sequence[Point]) -> tuple[Point, Point]:
    """From where to where a line runs on this end: as far as the wood does, if all of it is sawn through."""
    level = face.out[0] == 0.0
    axis = 1 if level else 0
    at = face.start[axis]
    ends = [face.start[1 - axis], face.end[1 - axis]]
    if face.through:
        ends += _crossings(outline, at, axis=axis)
    low, high = min(ends), max(ends)
    return ((low, at), (high, at)) if level else ((at, low), (at, high))


def _moved(edge: tuple[Point, Point], along: Point, by_mm: float) -> tuple[Point, Point]:
    """A stretch moved in a direction."""
    dx, dy = along[0] * by_mm, along[1] * by_mm
    (x0, y0), (x1, y1) = edge
    return (x0 + dx, y0 + dy), (x1 + dx, y1 + dy)


def _draw_face(drawing: Drawing, plan: EndPlan, face: Face) -> None:
    """Draw one line of the timber, and the kerf outside it where it is sawn."""
    run = _run(face, plan.outline)
    if face.sawn is None:
        drawing.line(*run, style="chalk")
        return
    far = _moved(run, face.out, plan.kerf_mm)
    drawing.hatch([*run, *reversed(far)], spacing_mm=2.0)
    drawing.line(*far, style="kerf")
    # What is sawn through the whole log is marked on the bark beside the end, too.
    past = PAST_MM if face.through else 0.0
    (x0, y0), (x1, y1) = run
    ux, uy = abs(face.out[1]) * past, abs(face.out[0]) * past
    drawing.line((x0 - ux, y0 - uy), (x1 + ux, y1 + uy), style="cut")


def _largest(low: float, high: float, splits: Sequence[float]) -> tuple[float, float]:
    """The largest part of a stretch between lines and joints that split it."""
    edges = [low, *sorted(split for split in splits if low < split < high), high]
    return max(itertools.pairwise(edges), key=lambda part: part[1] - part[0])


def _write_face(words: _Words, plan: EndPlan, face: Face) -> None:
    """Write along a line, inside the timber, what it is; shorter where there is less room."""
    level = face.out[0] == 0.0
    across = 0 if level else 1
    splits = (0.0, *(plan.tiling.joints_x_mm if level else plan.tiling.joints_y_mm))
    low, high = sorted((face.start[across], face.end[across]))
    low, high = _largest(low + _BAND_MM, high - _BAND_MM, splits)
    told = "not sawn" if face.sawn is None else f"pass {face.sawn.number}"
    middle, inward = 0.5 * (low + high), 0.5 * _BAND_MM
    x, y = (middle, face.start[1]) if level else (face.start[0], middle)
    at = (x - face.out[0] * inward, y - face.out[1] * inward)
    style = TextStyle("note", "middle", "ink", angle_deg=0.0 if level else 90.0, level="middle")
    for choice in (f"{face.name}, {told}, {face.told}", f"{face.name}, {face.told}", face.name):
        if text_width_mm(choice, "note") <= high - low - 2.0 * _CLEAR_MM and words.put(at, choice, style=style):
            return


def _write_name(words: _Words, plan: EndPlan, tag: str) -> None:
    """Write what the template is in the largest quarter of the timber."""
    (x0, y0), (x1, y1) = plan.corners[0], plan.corners[2]
    left, right = _largest(x0 + _BAND_MM, x1 - _BAND_MM, (0.0, *plan.tiling.joints_x_mm))
    low, high = _largest(y0 + _BAND_MM, y1 - _BAND_MM, (0.0, *plan.tiling.joints_y_mm))
    room = right - left - 2.0 * _CLEAR_MM
    rows = [(plan.title, "head", True), (plan.seen, "text", False), (tag, "text", False)]
    at = 0.5 * (low + high)
    fitted = []
    for row, largest, bold in rows:
        sizes = [size for size in ("head", "text", "note") if size_mm(size) <= size_mm(largest)]
        size = next((one for one in sizes if _BOLD * text_width_mm(row, one) <= room), None)
        if size is not None:
            fitted.append((row, size, bold))
    while fitted and sum(1.1 * size_mm(size) for _, size, _ in fitted) > high - low - 2.0 * _CLEAR_MM:
        fitted.pop()
    at += 0.5 * sum(1.1 * size_mm(size) for _, size, _ in fitted)
    for row, size, bold in fitted:
        at -= 0.55 * size_mm(size)
        style = TextStyle(size, "middle", "ink", bold=bold, level="middle")
        words.put((0.5 * (left + right), at), row, style=style)
        at -= 0.55 * size_mm(size)


def _reach(plan: EndPlan) -> tuple[float, float, float, float]:
    """How far plumb and level line run: left, low, right, and up to the top of the wood."""
    xs, ys = [x for x, _ in plan.outline], [y for _, y in plan.outline]
    return min(*xs, 0.0) - PAST_MM, min(*ys, 0.0) - PAST_MM, max(*xs, 0.0) + PAST_MM, max(ys)


def _draw_axes(drawing: Drawing, plan: EndPlan) -> None:
    """Draw plumb and level line through the pith, the pith, and the arrow to 12."""
    left, low, right, high = _reach(plan)
    drawing.line((left, 0.0), (right, 0.0), style="level")
    drawing.line((0.0, low), (0.0, high), style="level")
    drawing.arrow((0.0, high), (0.0, high + _ARROW_MM), style="chalk")
    drawing.ellipse((0.0, 0.0), (_PITH_MM, _PITH_MM), style="chalk")


def _write_head(words: _Words, plan: EndPlan) -> None:
    """Write beside the arrow to 12 which template this is."""
    at = _reach(plan)[3] + _ARROW_MM
    # The title stands on whichever side of the arrow no joint runs through it.
    parted = any(0.0 < joint < HEAD_MM for joint in plan.tiling.joints_x_mm)
    anchor: Literal["start", "end"] = "end" if parted else "start"
    for row, size, bold in (("12, up", "lead", True), (plan.title, "text", True), (plan.seen, "note", False)):
        at -= 1.15 * size_mm(size)
        words.put((-3.0 if parted else 3.0, at), row, style=TextStyle(size, anchor, bold=bold))


def _write_axes(words: _Words, plan: EndPlan) -> None:
    """Name the pith and the lines through it."""
    _, low, right, _ = _reach(plan)
    chalk = TextStyle(color="chalk")
    beside, over = _PITH_MM + 0.6, 1.4
    under = -over - _FIGURE_HEIGHT * size_mm("note")
    end = TextStyle(anchor="end", color="chalk")
    for x, y, style in ((beside, over, chalk), (-beside, over, end), (beside, under, chalk), (-beside, under, end)):
        if words.put((x, y), "pith", style=style):
            break
    words.put((right, 1.2), "level", style=end)
    words.put((1.2, low + 0.5), "plumb", style=chalk)


def _name_spots(plan: EndPlan, tile: Tile, inset_mm: float) -> list[Point]:
    """Where on a sheet's own part its name may stand, the place clearest of the lines first."""
    cell, box = plan.tiling.cell(tile), plan.tiling.box
    edges = [*zip(plan.outline, [*plan.outline[1:], plan.outline[0]], strict=True)]
    for face in plan.faces:
        run = _run(face, plan.outline)
        edges += [run, _moved(run, face.out, plan.kerf_mm)]
    edges += [((box.left, 0.0), (box.right, 0.0)), ((0.0, box.bottom), (0.0, box.top))]
    spots = itertools.product(
        _four(cell.left + inset_mm, cell.right - inset_mm),
        _four(cell.bottom + inset_mm, cell.top - inset_mm),
    )
    return sorted(spots, key=lambda spot: -min(_NAME_CLEAR_MM, *(_away(spot, p, q) for p, q in edges)))


def _four(low: float, high: float) -> list[float]:
    """The ends of a stretch and two places between."""
    return [low + share * (high - low) for share in (0.0, 1.0, 1.0 / 3.0, 2.0 / 3.0)]


def _away(spot: Point, start: Point, end: Point) -> float:
    """Distance of a point from a stretch of straight line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    long = dx * dx + dy * dy
    share = 0.0 if long == 0.0 else ((spot[0] - start[0]) * dx + (spot[1] - start[1]) * dy) / long
    share = min(1.0, max(0.0, share))
    return math.dist(spot, (start[0] + share * dx, start[1] + share * dy))


def draw_template(setup: SetUp, plan: EndPlan, *, tile: Tile) -> Drawing:
    """The whole template of one end at true scale, as one of its sheets shows it.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    plan : EndPlan
        As `plan_end` gives it.
    tile : Tile
        The sheet whose name is written.

    Returns
    -------
    Drawing
        Its windows are the sheets; the pith is the origin.
    """
    told = "; ".join(f"{face.name}, {face.told} from the pith" for face in plan.faces)
    drawing = Drawing(
        plan.tiling.box,
        1.0,
        title=f"Template of the {plan.end}, sheet {tile.name}",
        description=f"{plan.title}, {plan.seen}: {told}",
    )
    draw_joints(drawing, plan.tiling)
    drawing.polygon(plan.outline, style="bark")
    for face in plan.faces:
        _draw_face(drawing, plan, face)
    for corner in plan.corners:
        drawing.ellipse(corner, (_CORNER_MM, _CORNER_MM), style="outline")
    _draw_axes(drawing, plan)
    words = _Words(drawing)
    _write_head(words, plan)
    for face in plan.faces:
        _write_face(words, plan, face)
    _write_name(words, plan, setup.placement.log.tag)
    _write_axes(words, plan)
    if len(plan.tiling.tiles) > 1:
        style = TextStyle("lead", "middle", "pencil", level="middle")
        for spot in _name_spots(plan, tile, _NAME_MM):
            if words.put(spot, tile.name, style=style):
                break
    return drawing


def _key(plan: EndPlan) -> str:
    """A small drawing of how the sheets lie."""
    box = plan.tiling.box
    scale = min(_KEY_ROOM_MM[0] / (box.right - box.left), _KEY_ROOM_MM[1] / (box.top - box.bottom))
    title = f"How the sheets of the {plan.end} lie"
    drawing = Drawing(box, scale, title=title, margins_mm=(0.5, 0.5, 0.5, 0.5))
    drawing.polygon(plan.outline, style="bark", fill="wood")
    for face in plan.faces:
        drawing.line(face.start, face.end, style="chalk" if face.sawn is None else "cut")
    draw_key(drawing, plan.tiling, names_at=lambda tile: _name_spots(plan, tile, _KEY_NAME_MM / scale)[0])
    return drawing.to_svg()


def _sheet_words(plan: EndPlan, tile: Tile) -> str:
    """Where one sheet goes, in a sentence or two."""
    if len(plan.tiling.tiles) == 1:
        return f"The whole {plan.end}, {plan.seen}."
    above = plan.tiling.neighbor(tile, rows=-1)
    left = plan.tiling.neighbor(tile, columns=-1)
    trims = [edge for edge, there in (("left", left), ("upper", above)) if there is not None]
    over = [there.name for there in (left, above) if there is not None]
    words = f"Sheet {tile.name} of the {plan.end}, {plan.seen}. "
    if not trims:
        return words + "Leave it whole; its neighbors lie over it."
    joints = f"{' and '.join(trims)} joint{'s' if len(trims) > 1 else ''}"
    return words + f"Trim it at the {joints} and lay it over {' and '.join(over)}, joint on joint, cross on cross."


def _size_notes(plans: Sequence[EndPlan]) -> list[str]:
    """What to think of before so many sheets are printed."""
    counts = [len(plan.tiling.tiles) for plan in plans]
    if max(counts) <= _MANY_SHEETS:
        return []
    told = " and ".join(f"the {plan.end} {count}" for plan, count in zip(plans, counts, strict=True))
    return [f"Sheets: {told}. Level, tape and the table above may be quicker on ends this large."]


def _end_data(plan: EndPlan) -> dict[str, object]:
    """What the template says about one end."""
    return {
        "end": plan.end,
        "seen": plan.seen,
        "key": f"key-{plan.end}",
        "sheets": [
            {"drawing": f"{plan.end}-{tile.name}", "words": _sheet_words(plan, tile)} for tile in plan.tiling.tiles
        ],
    }


def templates_pdf(setup: SetUp, *, tape: Tape, paper: str) -> bytes:
    """Templates for butt and tip at true scale over sheets to be joined.

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
        The PDF: how to join and use them, with a key, then the sheets.

    Raises
    ------
    SheetError
        There is no such paper, or a sheet could not be set.
    """
    plans = [plan_end(setup, marks, tape=tape, paper=paper) for marks in setup.ends]
    drawings: dict[str, str] = {}
    for plan in plans:
        drawings[f"key-{plan.end}"] = _key(plan)
        for tile in plan.tiling.tiles:
            drawing = draw_template(setup, plan, tile=tile)
            drawings[f"{plan.end}-{tile.name}"] = drawing.to_svg(window=tile.window)
    by_name = [{face.name: face for face in plan.faces} for plan in plans]
    rows = [
        [name, "not sawn" if (cut := by_name[0][name].sawn) is None else f"pass {cut.number}"]
        + [faces[name].told for faces in by_name]
        for name in ("top", "bottom", "left side", "right side")
    ]
    data = {
        "paper": paper,
        "tag": setup.placement.log.tag,
        "timber": timber_text(setup.placement.timber, tape),
        "turn": turn_text(setup.placement),
        "overlap": tape.show(overlap_mm(tape)),
        "kerf": tape.show(setup.kit.saw.kerf_mm),
        "notes": [*_size_notes(plans), *setup_notes(setup, tape)],
        "rows": rows,
        "ends": [_end_data(plan) for plan in plans],
    }
    return compile_pdf("templates.typ", data, drawings=drawings)
