"""The kit: saw, mill, rail, bearers, horses, string, level, tape, and what the work takes."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields
from types import MappingProxyType
from typing import Any

from pithline.lengths import told
from pithline.wood.species import Species

__all__ = ["Bearers", "Horses", "Kit", "Level", "Mill", "Rail", "Saw", "String", "Tape", "Work", "kit_faults"]


@dataclass(frozen=True)
class Saw:
    """Attributes: `kerf_mm` and how far it may differ, `kerf_give_mm`; `feed_m2_min`, kerf area sawn in a minute."""

    kerf_mm: float
    kerf_give_mm: float
    feed_m2_min: float


@dataclass(frozen=True)
class Mill:
    """The guide frame.

    Attributes: `cut_width_mm` widest cut; `setting_min_mm` and
    `setting_max_mm`, distance from the surface it rides on to the top of the
    kerf; `setting_step_mm` smallest mark of its scale; `footprint_mm` its
    length along the rail; `mass_kg` with the saw; `wander_mm`, standard
    deviation of the sawn surface about its plane.
    """

    cut_width_mm: float
    setting_min_mm: float
    setting_max_mm: float
    setting_step_mm: float
    footprint_mm: float
    mass_kg: float
    wander_mm: float


@dataclass(frozen=True)
class Rail:
    """The straight guide for the first pass.

    Attributes: `length_mm`, `thickness_mm` from its underside to the surface
    the mill rides on, `width_mm`; `stiffeners` members on edge, each
    `member_breadth_mm` x `member_depth_mm`; `modulus_mpa` of elasticity;
    `mass_kg_m`; `sag_limit_mm` allowed under the saw between two bearers.
    """

    length_mm: float
    thickness_mm: float
    width_mm: float
    stiffeners: float
    member_breadth_mm: float
    member_depth_mm: float
    modulus_mpa: float
    mass_kg_m: float
    sag_limit_mm: float

    @property
    def inertia_mm4(self) -> float:
        """Second moment of area of the members together [mm4]."""
        return self.stiffeners * self.member_breadth_mm * self.member_depth_mm**3 / 12.0


@dataclass(frozen=True)
class Bearers:
    """Stands for the rail: a base screwed to a flat on the log, and a post.

    Attributes: `count`; `base_width_mm` across the log; `height_min_mm` and
    `height_max_mm` from flat to post top; `post_width_mm` at the foot and
    `post_taper_deg` of each side; `seat_mm`, least width of the post's top and
    least reach of the rail past it; `end_inset_mm` of the end bearers.
    """

    count: float
    base_width_mm: float
    height_min_mm: float
    height_max_mm: float
    post_width_mm: float
    post_taper_deg: float
    seat_mm: float
    end_inset_mm: float


@dataclass(frozen=True)
class Horses:
    """Attributes: `height_mm` from the ground to the underside of the log."""

    height_mm: float


@dataclass(frozen=True)
class String:
    """Attributes: `mass_g_m` of the string and the `tension_n` it is pulled with."""

    mass_g_m: float
    tension_n: float


@dataclass(frozen=True)
class Level:
    """Attributes: `error_mm_m`, how far it may lie over a meter."""

    error_mm_m: float


@dataclass(frozen=True)
class Tape:
    """The tape, and how well a log is measured with it.

    Attributes: `error_mm` on a length under a meter and `error_mm_m` more for each
    meter; `reading_mm`, the smallest mark read; `diameter_give_mm` and
    `crown_give_mm`, how far a diameter and the crown of a log may be off.
    """

    error_mm: float
    error_mm_m: float
    reading_mm: float
    diameter_give_mm: float
    crown_give_mm: float

    def error_on(self, length_mm: float) -> float:
        """How far the tape may lie on a length.

        Parameters
        ----------
        length_mm : float
            What is measured [mm].

        Returns
        -------
        float
            `error_mm`, and `error_mm_m` for each further meter begun [mm].

        Source
        ------
        Maximum permissible error of material measures of length, a + b L with L
        rounded up to whole meters: UK SI 2016/1153, schedule 1I (as EU MI-008).
        """
        return self.error_mm + self.error_mm_m * (max(1.0, math.ceil(length_mm / 1000.0)) - 1.0)


@dataclass(frozen=True)
class Work:
    """What sawing takes besides the saw's own time, and what it costs.

    Attributes: minutes `rail_min` to stand bearers and rail for one position,
    `turn_min` to roll and block a log or cant, `pass_min` of a pass besides
    sawing (walk back, set the mill, wedge, lift the piece off), `edge_min` to
    line and edge one board besides sawing, `buck_min` for one crosscut, `log_min`
    to fell, limb and bring one log to the horses;
    `cost_an_hour` of sawing, in the money of the price list; `rest_mm`, least
    thickness of wood left lying under a pass so that it lies still; `slender`,
    up to how many times as high as it is wide a cant stands on edge.
    """

    rail_min: float
    turn_min: float
    pass_min: float
    edge_min: float
    buck_min: float
    log_min: float
    cost_an_hour: float
    rest_mm: float
    slender: float


_LEAST_SLENDER = 0.5

_MAY_BE_ZERO = {
    "saw.kerf_give_mm",
    "mill.wander_mm",
    "rail.mass_kg_m",
    "bearers.post_taper_deg",
    "bearers.end_inset_mm",
    "string.mass_g_m",
    "level.error_mm_m",
    "tape.error_mm",
    "tape.error_mm_m",
    "tape.diameter_give_mm",
    "tape.crown_give_mm",
    "work.rail_min",
    "work.turn_min",
    "work.pass_min",
    "work.edge_min",
    "work.buck_min",
    "work.log_min",
    "work.cost_an_hour",
    "work.rest_mm",
}


@dataclass(frozen=True)
class Kit:
    """Everything at the log.

    Attributes: the parts; `datum_step_mm`, what the rail datum is rounded to;
    `name`; `origins`, for each value such as `saw.kerf` where it comes from:
    measured, read, recalled, or given; `species`, those the user told more of.
    """

    saw: Saw
    mill: Mill
    rail: Rail
    bearers: Bearers
    horses: Horses
    string: String
    level: Level
    tape: Tape
    work: Work
    datum_step_mm: float
    name: str = "kit"
    origins: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    species: tuple[Species, ...] = ()

    def __getstate__(self) -> dict[str, Any]:
        """A kit as another process is sent it, its origins in a plain mapping."""
        return {**self.__dict__, "origins": dict(self.origins)}

    def __setstate__(self, state: dict[str, Any]) -> None:
        """The kit again."""
        self.__dict__.update(state, origins=MappingProxyType(state["origins"]))

    @property
    def recalled(self) -> tuple[str, ...]:
        """Values that were recalled, neither measured nor read in print."""
        return tuple(sorted(name for name, origin in self.origins.items() if origin == "recalled"))


def _numbers(kit: Kit) -> Iterator[tuple[str, float]]:
    """Every number of a kit under its name."""
    for part in ("saw", "mill", "rail", "bearers", "horses", "string", "level", "tape", "work"):
        held = getattr(kit, part)
        for item in fields(held):
            yield f"{part}.{item.name}", float(getattr(held, item.name))
    yield "datum_step_mm", kit.datum_step_mm


def kit_faults(kit: Kit) -> list[str]:
    """Everything that keeps a kit from being one.

    Parameters
    ----------
    kit : Kit
        The kit as read.

    Returns
    -------
    list of str
        Sentences, empty where the kit is sound.

    Source
    ------
    common practice
    """
    faults = []
    for name, value in _numbers(kit):
        zero_ok = name in _MAY_BE_ZERO
        if not math.isfinite(value) or value < 0.0 or (value == 0.0 and not zero_ok):
            rule = "zero or more" if zero_ok else "more than zero"
            faults.append(f"{name}: {value:g}; it must be a finite number, {rule}.")
    if faults:
        return faults
    if kit.mill.setting_min_mm >= kit.mill.setting_max_mm:
        faults.append(
            f"mill.setting_min: {told(kit.mill.setting_min_mm)} is not under setting_max: "
            f"{told(kit.mill.setting_max_mm)}. Swap them, or measure again."
        )
    if kit.bearers.height_min_mm >= kit.bearers.height_max_mm:
        faults.append(
            f"bearers.height_min: {told(kit.bearers.height_min_mm)} is not under height_max: "
            f"{told(kit.bearers.height_max_mm)}. Swap them, or measure again."
        )
    if kit.saw.kerf_mm > 25.0:
        faults.append(f"saw.kerf: {told(kit.saw.kerf_mm)}; a saw chain leaves 5 to 12 mm. Check the unit.")
    if kit.bearers.post_taper_deg >= 30.0:
        faults.append(f"bearers.post_taper: {kit.bearers.post_taper_deg:g} degrees; posts are tapered by about 5.")
    if kit.bearers.count < 2 or kit.bearers.count != int(kit.bearers.count):
        faults.append(f"bearers.count: {kit.bearers.count:g}; a rail needs two or more whole bearers.")
    if kit.rail.stiffeners != int(kit.rail.stiffeners):
        faults.append(f"rail.stiffeners: {kit.rail.stiffeners:g}; give a whole number of members.")
    if kit.work.slender < _LEAST_SLENDER:
        faults.append(
            f"work.slender: {kit.work.slender:g}; a cant stands on edge at {_LEAST_SLENDER:g} times as high as it is "
            "wide. Give that or more."
        )
    if kit.rail.length_mm < 2.0 * kit.mill.footprint_mm:
        faults.append(
            f"rail.length: {told(kit.rail.length_mm)} is under twice the mill's footprint, "
            f"{told(kit.mill.footprint_mm)}; the mill could not stand on it past the end of a log. Use a longer rail."
        )
    return faults
