"""The sheet to pin to a stack that dries: when it is dry, moisture over time, how to stack and how to check."""

from collections.abc import Sequence
from dataclasses import dataclass

from pithline.answers.drying_pages import weeks_or_months
from pithline.answers.words import section_text
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.sheets.card import PaperName
from pithline.sheets.drying_names import rows_of
from pithline.sheets.drying_plot import drying_svg, shown_months
from pithline.sheets.drying_words import drying_answer
from pithline.sheets.look import size_mm
from pithline.sheets.typeset import compile_pdf
from pithline.wood.climate import MONTHS
from pithline.wood.drying import DryingForecast, DryingJob
from pithline.wood.stacking import Stickers, practice, stacking
from pithline.wood.units import KG_PER_LB

__all__ = ["drying_pdf"]

_FOOTER = "A forecast from published values and the climate given. A meter, or a weighed piece, knows better."
_THICK_MM = 100.0
_PINS_FROM_MM = 75.0
"""Thickness from which the depth of pins is told to a quarter of an inch."""

_MOST_ROWS = 10
_MOST_POSITIONS = 16
_KEY = (
    "Tint: average of the section, slow to fast. Thick line: its middle; dashes: that of the core; chain: that of the "
    "surface. Ticks on a target's line: when the average is there; the diamond is its middle."
)


# -- what the sheet says -----------------------------------------------------------------


def _course(forecast: DryingForecast, tape: Tape) -> str:
    """Length, place, start and end of the drying, in a sentence or two."""
    job = forecast.job
    ends = "ends coated" if job.end_coat else "ends bare"
    roof = "under a roof" if job.under_cover else "without a roof"
    likely = [
        f"{100 * reach.target:.3g} % after {weeks_or_months(reach.months[1])}"
        for reach in forecast.reached
        if reach.months[1] is not None
    ]
    middle = f" Middle of the range: {', '.join(likely)}." if likely else ""
    return (
        f"{tape.show_long(job.length_mm)} long, {ends}, {roof}; climate: {forecast.climate}. From "
        f"{100 * forecast.green:.0f} % green it settles at about {100 * forecast.settles_at:.0f} %.{middle}"
    )


def _shown_rows(forecast: DryingForecast) -> list[int]:
    """Months of the table: close together at first, then farther apart, the last that of the picture."""
    last = shown_months(forecast)
    wanted = [0, 1, 2, 3, 4, 6, 9, 12, 18, 24, 30, 36, 48, 60, 84, 120, 180, 240]
    months = [month for month in wanted if month < last] + [last]
    # The first months of a slow timber are the least missed.
    while len(months) > _MOST_ROWS:
        gaps = [(months[n + 1] - months[n - 1]) / (months[n] + 6.0) for n in range(1, len(months) - 1)]
        del months[1 + gaps.index(min(gaps))]
    return months


def _table(forecast: DryingForecast) -> tuple[list[str], list[list[str]]]:
    """Head and rows of the table."""
    start = forecast.job.start_month
    rows = []
    for month in _shown_rows(forecast):
        average = forecast.average[month]
        low, high = (f"{100 * float(edge):.0f}" for edge in (average.min(), average.max()))
        middle, outer, core = (
            f"{100 * float(each[month, 1]):.0f}" for each in (forecast.average, forecast.surface, forecast.center)
        )
        name = f"{MONTHS[(start - 1 + month) % 12]}, year {(start - 1 + month) // 12 + 1}"
        rows.append([f"{month}", name, low if low == high else f"{low} to {high}", middle, outer, core, ""])
    return ["mo.", "on the 1st", "average, %", "middle", "surface", "core", "yours"], rows


def _positions(laid: Stickers, tape: Tape) -> str:
    """Where the stickers lie, counted from one end."""
    if laid.count > _MOST_POSITIONS:
        return "one at each end and the others evenly between"
    step = 5.0 if tape.style == "mm" else 6.35
    return f"at {', '.join(_stepped(at, step, tape) for at in laid.positions_mm)} {tape.style} from one end"


def _weight(mass_kg: float, tape: Tape) -> str:
    """A mass to about two figures."""
    value, unit = (mass_kg, "kg") if tape.style == "mm" else (mass_kg / KG_PER_LB, "lb")
    step = 10.0 if value < 1_000.0 else 100.0
    return f"{step * round(value / step):,.0f} {unit}"


def _round(length_mm: float, tape: Tape) -> str:
    """A number for a length that nobody measures to a hair: quarters of an inch, whole ones from 6 in, or 5 mm."""
    return _stepped(length_mm, 5.0 if tape.style == "mm" else (25.4 if length_mm >= 150.0 else 6.35), tape)


def _stepped(length_mm: float, step_mm: float, tape: Tape) -> str:
    """A number to the nearest whole step."""
    return tape.number(step_mm * round(length_mm / step_mm))


def _from_to(low_mm: float, high_mm: float, tape: Tape) -> str:
    """A range of lengths, told roughly."""
    low, high = _round(low_mm, tape), _round(high_mm, tape)
    return f"{high} {tape.style}" if low == high else f"{low} to {high} {tape.style}"


def _stacking(job: DryingJob, tape: Tape) -> list[str]:
    """How to stack: stickers, bearers, weight, roof."""
    stack = stacking(job.length_mm, min(job.thickness_mm, job.width_mm))
    spacing, depth, clear = stack.spacing, stack.stick_thickness, stack.foundation
    pile, laid, weight = practice("pile width"), stack.stickers, stack.weight
    recalled = "memory" in (spacing.status, depth.status, clear.status)
    return [
        f"{laid.count} stickers a layer, {_from_to(depth.low, depth.high, tape)} thick, dry and all alike, "
        f"about {_round(laid.spacing_mm, tape)} {tape.style} apart: {_positions(laid, tape)}. Each stands "
        f"straight above the one below it, and that above a bearer.",
        f"Bearers level in one plane, {_from_to(clear.low, clear.high, tape)} off the ground"
        f"{' (stickers and bearers: recalled practice)' if recalled else ''}. Air gaps between neighbors, a roof over "
        f"it that keeps sun and rain off and lets the wind through.",
        f"To hold the top layers flat: about {_weight(weight.mass_kg, tape)} on a pile {_round(pile.high, tape)} "
        f"{tape.style} wide, laid evenly above the stickers.",
    ]


def _meter(forecast: DryingForecast, tape: Tape) -> list[str]:
    """How to check with a moisture meter; common practice."""
    job = forecast.job
    side = min(job.thickness_mm, job.width_mm)
    away = min(600.0, 0.25 * job.length_mm)
    pins = _from_to(0.2 * side, 0.25 * side, tape) if side >= _PINS_FROM_MM else tape.show(0.25 * side)
    core = f"{_round(0.5 * side, tape)} {tape.style}" if side >= _PINS_FROM_MM else tape.show(0.5 * side)
    return [
        f"Two readings a timber, on different faces, {_round(away, tape)} {tape.style} or more from the ends, clear of "
        f"knots, checks and wet spots. For the average, set insulated pins {pins} deep (1/5 to 1/4 of the thickness); "
        f"for the core {core}.",
        "Set the meter for the species and the wood's temperature. Above fiber saturation it only says wet: do not "
        "trust the figure. Rain on the surface or frost in the wood spoils a reading.",
        'Write the reading under "yours". If two readings lie above the range, count on a later date.',
    ]


def _cautions(job: DryingJob) -> list[str]:
    """What can go wrong around a stack; common practice."""
    told = [
        "A stack that topples kills. Build on firm, level bearers, no higher than it is wide unless braced; strap "
        "timbers and top weight down; keep children from climbing on it.",
        "Lift with a machine or with helpers, never under a hanging timber; take a stack down from the top.",
    ]
    if not job.end_coat:
        told.append("Coat both ends within hours of the cut: bare ends check and split.")
    if not job.under_cover:
        told.append("Put a roof over it: this stack will be wetted again.")
    return told


# -- what fits on a page -----------------------------------------------------------------

_PAGE_MM = {"letter": (191.9, 245.4), "a4": (186.0, 263.0)}
"""Width and height of a page less its margins."""

_PLOT_MM = (75.0, 118.0)
"""Least and most height of the picture."""

_LINE_EM, _LEADING_EM = 1.21, 0.55
_TOLD_TOO_WIDE = 1.12
"""Least ratio of the width that rows are broken by to their width on paper."""

_GAP_MM = 5.0
_SHARE = 0.48
"""Share of the width that the table takes."""

_ROW_MM = 4.25
_BETWEEN_MM = 2.2
"""Between two sentences that stand apart."""

_FIXED_MM = 9.0
"""Gaps between the parts of the page, and some to spare."""


@dataclass(frozen=True)
class _Page:
    """What the sheet says. Attributes as in the template."""

    answer: str
    course: str
    rows: int
    stacking: Sequence[str]
    meter: Sequence[str]
    cautions: Sequence[str]
    notes: Sequence[str]


def _tall_mm(texts: Sequence[str], width_mm: float, *, size: str = "note", between_mm: float = 0.0) -> float:
    """How tall texts set in a column will be, rather too much than too little."""
    em = size_mm(size)
    room = _TOLD_TOO_WIDE * width_mm * size_mm("note") / em
    rows = sum(len(rows_of(text, room, bold=size != "note")) for text in texts)
    # A text ends with the foot of its last line, not with the space beneath it.
    return (rows * _LINE_EM - len(texts) * _LEADING_EM) * em + len(texts) * between_mm


def _room_mm(page: _Page, paper: PaperName, *, notes: bool) -> float:
    """Height that the page leaves for the picture."""
    width, height = _PAGE_MM[paper]
    left, right = (share * (width - _GAP_MM) for share in (_SHARE, 1.0 - _SHARE))
    warned = _tall_mm([f"Caution. {page.cautions[0]}", *page.cautions[1:]], left - 8.0, between_mm=2.0) + 4.0
    head_mm = size_mm("text") + 1.6
    told = (
        _tall_mm([page.answer], width, size="lead")
        + _tall_mm([page.course, _KEY], width)
        + max(
            (page.rows + 1) * _ROW_MM + warned,
            2.0 * head_mm + _tall_mm([*page.stacking, *page.meter], right, between_mm=_BETWEEN_MM),
        )
        + (_tall_mm(page.notes, width, between_mm=_BETWEEN_MM) if notes else _LINE_EM * size_mm("note"))
    )
    return height - told - _FIXED_MM


def drying_pdf(forecast: DryingForecast, *, tape: Tape, paper: PaperName) -> bytes:
    """The sheet of a drying timber as PDF: one page to pin to the stack.

    Notes that would leave the picture too little room go to a second page, all of
    them, and the first says so.

    Parameters
    ----------
    forecast : DryingForecast
        The forecast.
    tape : Tape
        How lengths are shown.
    paper : {'letter', 'a4'}
        Size of the paper.

    Returns
    -------
    bytes
        The PDF; the same for the same input.

    Raises
    ------
    SheetError
        The paper is unknown, or the words do not fit on it.

    Source
    ------
    `drying_forecast`, stacking.csv; the meter and the cautions are common practice
    """
    if paper not in _PAGE_MM:
        raise SheetError(f"paper {paper!r}: choose letter or a4.")
    job = forecast.job
    head, rows = _table(forecast)
    page = _Page(
        answer=drying_answer(forecast, tape=tape),
        course=_course(forecast, tape),
        rows=len(rows),
        stacking=_stacking(job, tape),
        meter=_meter(forecast, tape),
        cautions=_cautions(job),
        notes=forecast.notes,
    )
    behind = _room_mm(page, paper, notes=True) < _PLOT_MM[0]
    room = _room_mm(page, paper, notes=not behind)
    if room < _PLOT_MM[0]:
        raise SheetError(f"{forecast.species}: the sheet says too much for one page. Name fewer targets.")
    width = _PAGE_MM[paper][0]
    plot = drying_svg(forecast, width_mm=width, height_mm=min(room, _PLOT_MM[1]), tape=tape, headline=False)
    table_mm = _SHARE * (width - _GAP_MM)
    data = {
        "paper": paper,
        "title": f"Drying: {forecast.species}, {section_text(job.thickness_mm, job.width_mm, tape=tape)}",
        "footer": _FOOTER,
        "answer": page.answer,
        "course": page.course,
        "key": _KEY,
        "head": head,
        "rows": rows,
        "columns_mm": [table_mm, width - _GAP_MM - table_mm],
        "gap_mm": _GAP_MM,
        "between_mm": _BETWEEN_MM,
        "stacking": page.stacking,
        "meter": page.meter,
        "cautions": page.cautions,
        "notes": list(page.notes),
        "notes_behind": behind,
    }
    return compile_pdf("drying.typ", data, drawings={"plot": plot})
