"""The drying forecast of a timber: its moisture month by month, in a stack outdoors.

Two-dimensional diffusion in the section, the resistance of the stack's surface set by the published days of 1 in
stock, the climate month by month. Every answer is a band: slow, middle and fast.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.errors import UnknownValueError, WoodError
from pithline.lengths import told
from pithline.wood.air_drying import DAYS_PER_MONTH, AirDrying, air_drying, board_days
from pithline.wood.climate import MONTHS, Climate
from pithline.wood.diffusion import Section, Stretch, Trace, dry_section
from pithline.wood.diffusion_law import Coefficient, Potential, coefficient_for, pace
from pithline.wood.drying_ends import DryEnds, dry_ends
from pithline.wood.drying_notes import coefficient_notes, surface_notes
from pithline.wood.drying_surface import BOARD_MM, BoardSurface, board_surface
from pithline.wood.species import Species

__all__ = ["BANDS", "DryingForecast", "DryingJob", "Reach", "drying_forecast", "green_moisture", "job_notes"]

BANDS = ("slow", "middle", "fast")
"""The three columns of every array of a forecast."""

_STEPS = 10
"""Steps of the solver in a month; ten times as many change no moisture by 0.0003."""

Outlook = Literal["yes", "dry months only", "no"]


@dataclass(frozen=True)
class DryingJob:
    """A timber that is stacked green.

    Attributes: `thickness_mm`, `width_mm`, `length_mm`; `start_month` 1 to 12,
    on whose first day it is stacked; `months` to look ahead; `green` moisture
    at the start, None for the species' average [fraction]; `end_coat` on both
    ends; `under_cover`, out of rain and sun.
    """

    thickness_mm: float
    width_mm: float
    length_mm: float
    start_month: int
    months: int = 60
    green: float | None = None
    end_coat: bool = True
    under_cover: bool = True

    def __post_init__(self) -> None:
        """Refuse what cannot be forecast."""
        if not all(12.0 <= side <= 1_000.0 for side in (self.thickness_mm, self.width_mm)):
            raise WoodError(
                f"section: {told(self.thickness_mm)} x {told(self.width_mm)}; each side lies between "
                f"{told(12.0)} and 1 m."
            )
        if not 300.0 <= self.length_mm <= 30_000.0:
            raise WoodError(f"length: {told(self.length_mm)}; it lies between {told(300.0)} and 30 m (98 ft).")
        if not 1 <= self.start_month <= len(MONTHS):
            raise WoodError(f"start month: {self.start_month}; it lies between 1 and 12.")
        if not 1 <= self.months <= 240:
            raise WoodError(f"months: {self.months}; the forecast runs over 1 to 240 months.")
        if self.green is not None and not 0.10 <= self.green <= 4.0:
            raise WoodError(f"moisture at the start: {100 * self.green:.3g} %; it lies between 10 and 400 %.")


@dataclass(frozen=True)
class Reach:
    """When the average of the section falls to a target.

    Attributes: `target` [fraction]; `months` from the start, slow, middle and
    fast, None where the forecast ends first; `ever`, whether it gets there at
    all in that climate: "yes", "no", or "dry months only", which a thin piece
    may, in months whose air is dry enough, and a thick one does not.
    """

    target: float
    months: tuple[float | None, float | None, float | None]
    ever: Outlook


@dataclass(frozen=True)
class DryingForecast:
    """How a timber dries.

    Attributes: `species`, `climate`, names; `job`; `green`, moisture at the start;
    `months` (n,), 0 at the start; `average`, `surface` and `center` (n, 3)
    of the section, slow, middle, fast, the wettest first at each time [fraction], where `surface` is the mean
    of the outermost 1/2 in, which the pins of a meter read; `reached`, one for
    each target; `settles_at`, moisture it comes to in the end, the year's
    swing left aside; `saturation` of the fibers; `coefficient` and `skin_mm`, the surface as a thickness of
    wood, slow, middle, fast; `ends`, None where they are coated; `rule`, what
    the published days of 1 in stock give; `notes` to stand beside it.

    The columns are three whole curves and no limits: a slow coefficient has the
    barer surface, so that in the first weeks, and near the surface, the slow
    curve can be the drier one.
    """

    species: str
    climate: str
    job: DryingJob
    green: float
    months: Floats
    average: Floats
    surface: Floats
    center: Floats
    reached: tuple[Reach, ...]
    settles_at: float
    saturation: float
    coefficient: Coefficient
    skin_mm: tuple[float, ...]
    ends: DryEnds | None
    rule: AirDrying
    notes: tuple[str, ...]


def green_moisture(species: Species) -> float:
    """Average moisture of the species' green wood.

    Parameters
    ----------
    species : Species
        Needs the green moisture of the whole wood, or of heartwood and sapwood.

    Returns
    -------
    float
        Of the whole wood, else half way between heartwood and sapwood [fraction].

    Raises
    ------
    UnknownValueError
        Neither is known.

    Source
    ------
    the species' own rows; half way is our own choice, for a section of both
    """
    heart, sap = species.get("green_moisture_heartwood"), species.get("green_moisture_sapwood")
    if species.get("green_moisture_whole") is None and heart is not None and sap is not None:
        return 0.5 * (heart + sap)
    return species.need("green_moisture_whole")


def _need_coefficient(species: Species) -> Coefficient:
    """The coefficient, or a refusal that says what there is instead."""
    coefficient = coefficient_for(species)
    if coefficient is None:
        raise UnknownValueError(
            f"{species.name}: no coefficient of diffusion was found in print, so no curve is drawn; the days of 1 in "
            f"stock, where they are published, still give a range of days to 20 %."
        )
    return coefficient


def _stretches(job: DryingJob, climate: Climate, coefficient: Coefficient) -> list[Stretch]:
    """The months ahead, in days at 20 C."""
    paces = pace(climate.temperature_c, coefficient.activation_k)
    ahead = [(job.start_month - 1 + month) % len(MONTHS) for month in range(job.months)]
    return [Stretch(DAYS_PER_MONTH * float(paces[month]), climate.emc[month], _STEPS) for month in ahead]


def _settles_at(climate: Climate, coefficient: Coefficient, potential: Potential) -> float:
    """Moisture whose potential is the mean of the air's over a year, each month by the work it does."""
    paces = pace(climate.temperature_c, coefficient.activation_k)
    return potential.moisture(float(np.average(potential.of(climate.emc), weights=paces)))


def _wettest_first(trace: Trace) -> Trace:
    """The same curves as the edges and the middle of a band.

    A smaller coefficient goes with a barer surface, since both are set by the same boards. So in
    thin stock and in the first weeks it is not the slower one.
    """

    def banded(values: Floats) -> Floats:
        return np.asarray(-np.sort(-values, axis=1))

    return replace(trace, average=banded(trace.average), shell=banded(trace.shell), center=banded(trace.center))


def _first_at(target: float, average: Floats) -> float | None:
    """Months until an average, given step by step, has fallen to a target."""
    below = np.flatnonzero(average <= target)
    if len(below) == 0:
        return None
    step = int(below[0])
    if step == 0:
        return 0.0
    before, after = float(average[step - 1]), float(average[step])
    return (step - 1 + (before - target) / (before - after)) / _STEPS


def _reach(target: float, trace: Trace, climate: Climate, settles_at: float) -> Reach:
    """When and whether a target is reached."""
    slow, middle, fast = (_first_at(target, trace.average[:, band]) for band in range(len(BANDS)))
    ever: Outlook = "no"
    if settles_at < target or slow is not None:
        ever = "yes"
    elif min(climate.emc) < target:
        ever = "dry months only"
    return Reach(target, (slow, middle, fast), ever)


def drying_forecast(
    species: Species, job: DryingJob, *, climate: Climate, targets: tuple[float, ...] = (0.20, 0.15)
) -> DryingForecast:
    """Moisture of a timber, month by month, as it dries in a stack outdoors.

    Parameters
    ----------
    species : Species
        Needs a coefficient of diffusion (see `coefficient_for`), its green
        moisture, and the air-drying days of 1 in stock, for which those of all
        softwoods stand in.
    job : DryingJob
        Size, start, ends, cover.
    climate : Climate
        Twelve months, which come round again.
    targets : tuple of float
        Moistures of the average to be waited for [fraction].

    Returns
    -------
    DryingForecast
        Slow, middle and fast.

    Raises
    ------
    UnknownValueError
        The species has no coefficient, no days of 1 in stock, or no green
        moisture and the job gives none.
    WoodError
        Green wood that is no wetter than 20 %.

    Range
    -----
    The surface is set at 1 in; for other thicknesses the curve is the model's own extrapolation. Below freezing the
    law of temperature is stretched.

    Source
    ------
    diffusion.py for the section, drying_surface.py for the surface, diffusion_coefficients.csv for the coefficients
    """
    coefficient = _need_coefficient(species)
    rule = air_drying(
        species, climate, thickness_mm=job.thickness_mm, width_mm=job.width_mm, start_month=job.start_month
    )
    green = green_moisture(species) if job.green is None else job.green
    potential = Potential(coefficient.slope, species.fiber_saturation)
    board = _board_green(species, green)
    surface = board_surface(coefficient.mm2_day, potential, green=board, days=board_days(species).best)
    section = Section(job.thickness_mm, job.width_mm, coefficient.mm2_day, surface.skin_mm)
    stretches = _stretches(job, climate, coefficient)
    trace = _wettest_first(dry_section(section, potential, start=green, stretches=stretches))
    settles_at = _settles_at(climate, coefficient, potential)
    average = frozen(trace.average[::_STEPS])
    ends = None
    if not job.end_coat:
        days = np.concatenate([[0.0], np.cumsum([stretch.days for stretch in stretches])])
        ends = dry_ends(section, potential, length_mm=job.length_mm, days=days, average=average, air=settles_at)
    return DryingForecast(
        species=species.name,
        climate=climate.name,
        job=job,
        green=green,
        months=frozen(np.arange(job.months + 1)),
        average=average,
        surface=frozen(trace.shell[::_STEPS]),
        center=frozen(trace.center[::_STEPS]),
        reached=tuple(_reach(target, trace, climate, settles_at) for target in targets),
        settles_at=settles_at,
        saturation=species.fiber_saturation,
        coefficient=coefficient,
        skin_mm=surface.skin_mm,
        ends=ends,
        rule=rule,
        notes=_notes(species, job, climate, coefficient=coefficient, surface=surface),
    )


def _board_green(species: Species, given: float) -> float:
    """Green moisture of the published boards: the species' own, or the job's where that is not known."""
    try:
        return green_moisture(species)
    except UnknownValueError:
        return given


def _notes(
    species: Species, job: DryingJob, climate: Climate, *, coefficient: Coefficient, surface: BoardSurface
) -> tuple[str, ...]:
    """Sentences that belong beside the forecast."""
    notes = [
        *coefficient_notes(species, coefficient),
        *surface_notes(species, surface),
        "The surface is told as the mean of the outer 1/2 in, which the pins of a meter read.",
        "Wood that dries from green stops a little above the moisture that tables of air give.",
    ]
    if max(job.thickness_mm, job.width_mm) > 2.0 * BOARD_MM and min(job.thickness_mm, job.width_mm) > BOARD_MM:
        notes.append("The days in print are for 1 in stock; for a timber the curve is the model's own extrapolation.")
    frozen_months = [month for month, cold in zip(MONTHS, climate.temperature_c, strict=True) if cold < 0.0]
    if frozen_months:
        notes.append(
            f"{', '.join(frozen_months)}: below freezing on average. What little dries then is a guess: the law of "
            f"temperature is stretched beyond where it was measured."
        )
    if job.green is None:
        notes.append(
            f"It starts at {100 * green_moisture(species):.0f} %, the average of the species; logs differ, most of all "
            f"between heartwood and sapwood. Weigh or measure yours."
        )
    if species.recalled(("green_moisture_whole",)) and job.green is None:
        notes.append("The green moisture is recalled, not read in print.")
    return (*notes, *job_notes(job), *climate.notes)


def job_notes(job: DryingJob) -> tuple[str, ...]:
    """What must be said of the way a timber is stacked.

    Parameters
    ----------
    job : DryingJob
        Its ends and its cover.

    Returns
    -------
    tuple of str
        Empty for coated ends under a roof.

    Source
    ------
    common practice; the ratio along the grain is from memory
    """
    notes = []
    if not job.under_cover:
        notes.append("Not under cover: rain wets the wood again, which the forecast does not know. Expect longer.")
    if not job.end_coat:
        notes.append(
            "Bare ends dry first, and check and split there. The depth is an estimate from a ratio of 10 to 15 along "
            "the grain, recalled."
        )
    return tuple(notes)
