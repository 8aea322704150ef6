"""How far off a timber may come out, and what each cause adds."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pithline.fit.placing import Placement
from pithline.fit.timber import Timber
from pithline.logs.solid import LogSolid, stretch
from pithline.setup.frame import framed, upper_surface
from pithline.setup.kit import Kit
from pithline.setup.stack import Stack
from pithline.setup.stand import RailStand
from pithline.wood.cutsize import chance_within

__all__ = [
    "COVER",
    "Budget",
    "FaceChance",
    "error_budget",
    "even_spread",
    "normal_share",
    "rail_spread_mm",
    "thickness_spread_mm",
]

COVER = 2.0
"""Plus or minus figures are this many standard deviations: 19 times in 20."""


@dataclass(frozen=True)
class FaceChance:
    """One sawn face.

    Attributes: `face`; `room_mm`, how far it could come out of place before
    bark shows at its corners; `free_of_bark`, the chance that none shows.
    """

    face: str
    room_mm: float
    free_of_bark: float


@dataclass(frozen=True)
class Budget:
    """Errors of one stack of passes.

    Attributes: `parts`, plus or minus of each cause at the first face;
    `face_mm` of the first face's place in the log; `size_mm` of the distance
    between two sawn faces; `log_mm`, what the log's own measures add when bark
    is in question; `hollow_mm` the rail's sag leaves in the first face;
    `faces`; `full_size`, the chance that the distance between the two faces is
    no less than the finished size, or comes to it in drying, None where only one face is sawn. Plus or
    minus holds 19 times in 20.
    """

    parts: Mapping[str, float]
    face_mm: float
    size_mm: float
    log_mm: float
    hollow_mm: float
    faces: tuple[FaceChance, ...]
    full_size: float | None


def normal_share(value: float) -> float:
    """Share of a normal distribution below a value.

    Parameters
    ----------
    value : float
        In standard deviations from the mean.

    Returns
    -------
    float
        Probability, 0 to 1.

    Source
    ------
    definition: standard normal distribution function
    """
    return 0.5 * math.erfc(-value / math.sqrt(2.0))


def even_spread(give_mm: float) -> float:
    """Standard deviation of an error that lies anywhere within plus or minus a limit.

    Parameters
    ----------
    give_mm : float
        The limit [mm].

    Returns
    -------
    float
        Limit / sqrt 3 [mm].

    Source
    ------
    JCGM 100:2008, 4.3.7 (from memory)
    """
    return give_mm / math.sqrt(3.0)


def _room(log: LogSolid, placement: Placement, side: float, half_mm: float, other_mm: float) -> float:
    """How far a face could move outward before its corners, less the wane, meet bark."""
    part = stretch(log, placement.start_mm, end_mm=placement.end_mm)
    rooms = []
    for x in (-other_mm + placement.timber.wane_mm, other_mm - placement.timber.wane_mm):
        low, high = upper_surface(part, x)
        outward = high if side > 0 else -low
        rooms.append(float((np.where(high >= low, outward, -math.inf) - half_mm).min()))
    return min(rooms)


def _causes(kit: Kit, stand: Stack | RailStand, *, reach_mm: float, width_mm: float) -> dict[str, float]:
    """Standard deviation of each cause at the first face [mm]."""
    sag = max((bearer.string_sag_mm for bearer in stand.bearers), default=0.0)
    reading = even_spread(0.5 * kit.tape.reading_mm)
    return {
        "tape": math.hypot(even_spread(kit.tape.error_on(reach_mm)), math.sqrt(2.0) * reading),
        "level": even_spread(kit.level.error_mm_m * width_mm / 2000.0),
        # The pull on the string is known to about half, and so is its sag.
        "string": even_spread(0.5 * sag),
        # Between nothing at a bearer and the whole sag at midspan.
        "rail": even_spread(0.5 * stand.run.sag_mm),
        "setting": even_spread(0.5 * kit.mill.setting_step_mm),
        "kerf": even_spread(kit.saw.kerf_give_mm),
        "wander": kit.mill.wander_mm,
    }


def rail_spread_mm(kit: Kit, stand: RailStand, *, diameter_mm: float) -> float:
    """Standard deviation of where the face of a first pass comes to lie in the log.

    Parameters
    ----------
    kit : Kit
        What the errors come from.
    stand : RailStand
        Its bearers and rail.
    diameter_mm : float
        Of the log where it is thickest [mm].

    Returns
    -------
    float
        Root sum of squares of all causes [mm].

    Source
    ------
    JCGM 100:2008, 5.1.2 (from memory)
    """
    reach = 0.5 * diameter_mm + stand.datum_mm
    return math.hypot(*_causes(kit, stand, reach_mm=reach, width_mm=diameter_mm).values())


def thickness_spread_mm(kit: Kit) -> float:
    """Standard deviation of the distance between two sawn faces.

    Parameters
    ----------
    kit : Kit
        Its mill's scale and wander.

    Returns
    -------
    float
        The second face rides on the first: setting and wander come between [mm].

    Source
    ------
    JCGM 100:2008, 4.3.7 and 5.1.2 (from memory)
    """
    return math.hypot(even_spread(0.5 * kit.mill.setting_step_mm), kit.mill.wander_mm)


def _full_size(timber: Timber, spread_mm: float, *, turned: bool) -> float:
    """Chance that the distance between two sawn faces leaves the finished size."""
    if timber.cut is not None:
        side = timber.cut.width if turned else timber.cut.thickness
        return chance_within(side.margin_mm + side.rounding_mm, side.doubt_mm, spread_mm=spread_mm)
    return chance_within(2.0 * timber.allowance_mm, 0.0, spread_mm=spread_mm)


def error_budget(kit: Kit, placement: Placement, *, stack: Stack) -> Budget:
    """Errors and chances of one stack of passes.

    The causes are taken as independent and added as squares. A face rides on
    the rail once; the second is set from the first, so that only setting and
    wander come between the two.

    Parameters
    ----------
    kit : Kit
        What the errors come from.
    placement : Placement
        The timber in its log.
    stack : Stack
        Its passes.

    Returns
    -------
    Budget
        Parts, totals and chances.

    Source
    ------
    Root sum of squares of independent errors: JCGM 100:2008, 5.1.2 (from
    memory); an error known only to lie within limits a has the standard
    deviation a / sqrt 3, ibid. 4.3.7.
    """
    timber = placement.timber
    log = framed(placement, stack.turn_deg)
    across = 0.5 * (timber.cut_thickness_mm if stack.turn_deg else timber.cut_width_mm)
    causes = _causes(kit, stack, reach_mm=stack.half_mm + stack.datum_mm, width_mm=2.0 * across)
    first = math.sqrt(sum(value**2 for value in causes.values()))
    size = thickness_spread_mm(kit)
    # A diameter is off by half its error at each side, the wood at the crown by the whole of it.
    measured = math.hypot(even_spread(0.5 * kit.tape.diameter_give_mm), even_spread(kit.tape.crown_give_mm))
    faces = []
    for number, cut in enumerate(stack.passes):
        spread = math.hypot(first, size if number else 0.0, measured)
        room = _room(log, placement, 1.0 if number == 0 else -1.0, stack.half_mm, across)
        faces.append(FaceChance(cut.face, room, normal_share(room / spread) if spread > 0.0 else float(room >= 0.0)))
    full = _full_size(timber, size, turned=bool(stack.turn_deg)) if len(stack.passes) == 2 else None
    return Budget(
        parts={name: COVER * value for name, value in causes.items()},
        face_mm=COVER * first,
        size_mm=COVER * size,
        log_mm=COVER * measured,
        hollow_mm=stack.run.sag_mm,
        faces=tuple(faces),
        full_size=full,
    )
