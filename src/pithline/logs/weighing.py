"""Weight of a log: wood and bark, where it balances, and what each horse carries."""

import math
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats
from pithline.errors import OutOfRangeError
from pithline.logs.solid import LogSolid
from pithline.wood.density import GreenDensity, green_density
from pithline.wood.species import Species, species_list

__all__ = [
    "HorseLoads",
    "LogWeight",
    "bark_volume_mm3",
    "best_horses",
    "center_of_mass_mm",
    "heart_share",
    "horse_loads",
    "log_weight",
]

_GRID = 121
_BY_SHARE = "heartwood and sapwood by their share"


def _areas_mm2(log: LogSolid) -> Floats:
    """Areas of the sections at the stations."""
    return np.asarray(np.pi * np.linalg.det(log.shape_mm))


def center_of_mass_mm(log: LogSolid) -> float:
    """Distance from the butt at which a log balances.

    Parameters
    ----------
    log : LogSolid
        The log, of even density.

    Returns
    -------
    float
        Exact for sections that change evenly between stations [mm].

    Source
    ------
    definition: first moment of the volume by the prismoidal rule, exact for a cubic
    """
    middle = np.pi * np.linalg.det(0.5 * (log.shape_mm[:-1] + log.shape_mm[1:]))
    area, z = _areas_mm2(log), log.z_mm
    step, center = np.diff(z), 0.5 * (z[:-1] + z[1:])
    volume = step / 6.0 * (area[:-1] + 4.0 * middle + area[1:])
    moment = step / 6.0 * (area[:-1] * z[:-1] + 4.0 * middle * center + area[1:] * z[1:])
    return float(moment.sum() / volume.sum()) - float(z[0])


def bark_volume_mm3(log: LogSolid) -> float | None:
    """Volume of the bark on a log whose bark was measured.

    Parameters
    ----------
    log : LogSolid
        The log, inside bark.

    Returns
    -------
    float or None
        Volume between the sections and the same a bark's thickness larger all round; None where the
        thickness is not known [mm3].

    Source
    ------
    definition; the section outside bark is taken as an ellipse with both half axes larger by the thickness
    """
    if log.bark_mm is None:
        return None
    grown = log.shape_mm + log.bark_mm * np.eye(2)
    outside = np.pi * np.linalg.det(grown)
    return float(np.trapezoid(outside - _areas_mm2(log), log.z_mm))


def heart_share(log: LogSolid, sapwood_mm: float) -> float:
    """Share of a log's wood that lies within its sapwood.

    Parameters
    ----------
    log : LogSolid
        The log, inside bark.
    sapwood_mm : float
        Thickness of the sapwood, the same all round and all along [mm].

    Returns
    -------
    float
        Share of the volume, 0 to 1.

    Raises
    ------
    OutOfRangeError
        Sapwood below 0.

    Source
    ------
    definition
    """
    if sapwood_mm < 0.0:
        raise OutOfRangeError("sapwood: its thickness cannot be below 0.")
    axes = np.linalg.eigvalsh(log.shape_mm)
    inner = np.pi * np.prod(np.maximum(axes - sapwood_mm, 0.0), axis=1)
    return float(np.trapezoid(inner, log.z_mm) / np.trapezoid(_areas_mm2(log), log.z_mm))


@dataclass(frozen=True)
class LogWeight:
    """Green weight of a log.

    Attributes: `low_kg`, `typical_kg`, `high_kg` with the bark; `wood_kg` and
    `bark_kg`, low and high of each; `density` of the wood; `notes`.
    """

    low_kg: float
    typical_kg: float
    high_kg: float
    wood_kg: tuple[float, float]
    bark_kg: tuple[float, float]
    density: GreenDensity
    notes: tuple[str, ...]


def log_weight(log: LogSolid, species: Species) -> LogWeight:
    """Green weight of a log as a range.

    Parameters
    ----------
    log : LogSolid
        The log; its solid is inside bark where the bark is known. Its sapwood, where it was measured, says
        how much of it is heartwood.
    species : Species
        Needs a green specific gravity and a green moisture.

    Returns
    -------
    LogWeight
        Low, typical and high, with what they rest on.

    Raises
    ------
    UnknownValueError
        The species has no specific gravity or no green moisture.

    Source
    ------
    Volume of the solid times `green_density`; bark after Miles and Smith (2009), NRS-38
    """
    share = None if log.sapwood_mm is None else heart_share(log, log.sapwood_mm)
    density = green_density(species, heart_share=share)
    volume_m3 = log.volume_mm3() / 1e9
    wood = (density.low_kg_m3 * volume_m3, density.high_kg_m3 * volume_m3)
    bark, bark_notes = _bark_kg(log, species)
    notes = (*density.notes, *bark_notes)
    if log.sapwood_mm is not None and density.basis != _BY_SHARE:
        notes = (
            *notes,
            f"{species.name}: the sapwood is not used, as its moisture and the heartwood's are not both known.",
        )
    return LogWeight(
        wood[0] + bark[0],
        density.typical_kg_m3 * volume_m3 + 0.5 * (bark[0] + bark[1]),
        wood[1] + bark[1],
        wood,
        bark,
        density,
        notes,
    )


def _bark_kg(log: LogSolid, species: Species) -> tuple[tuple[float, float], tuple[str, ...]]:
    """Least and most the bark weighs, and what must be said of it."""
    measured = bark_volume_mm3(log)
    known = species.get("bark_density")
    if measured is None:
        note = "The bark is not known: the weight is that of the log as measured, all of it taken as wood."
        return (0.0, 0.0), (note,)
    if known is not None:
        weight = known * measured / 1e9
        # Bark is rough: its true volume is less than that under a tape drawn round it.
        return (0.8 * weight, weight), ()
    kind = species.kind or "wood"
    alike = [other for other in species_list() if species.kind in ("", other.kind)]
    heaviest = max(value for other in alike if (value := other.get("bark_density")) is not None)
    note = (
        f"{species.name}: the weight of its bark is not known; it counts from nothing up to the heaviest bark of any "
        f"{kind} in the tables."
    )
    return (0.0, heaviest * measured / 1e9), (note,)


@dataclass(frozen=True)
class HorseLoads:
    """A log on two horses.

    Attributes: `at_mm` from the butt; `share` of the log's weight on each,
    less than 0 where the log would tip off the other.
    """

    at_mm: tuple[float, float]
    share: tuple[float, float]

    @property
    def tips(self) -> bool:
        """Whether the log would not lie on both horses."""
        return min(self.share) < 0.0


def horse_loads(center_mm: float, at_mm: tuple[float, float]) -> HorseLoads:
    """Share of a log's weight on each of two horses.

    Parameters
    ----------
    center_mm : float
        Center of mass from the butt [mm].
    at_mm : (float, float)
        Where the horses stand, from the butt [mm].

    Returns
    -------
    HorseLoads
        Shares of the butt's and of the tip's horse; they add up to 1.

    Raises
    ------
    OutOfRangeError
        Both horses stand at one place, or the second nearer the butt.

    Source
    ------
    definition: balance of moments
    """
    first, second = at_mm
    if second - first < 1.0:
        raise OutOfRangeError("horses: give two places, the one nearer the butt first.")
    tip = (center_mm - first) / (second - first)
    return HorseLoads(at_mm, (1.0 - tip, tip))


def best_horses(log: LogSolid) -> HorseLoads:
    """Where two horses bend a log least.

    The places are those for which the greatest departure of the log's axis
    from the line over the horses is least; stiffness follows the fourth power
    of the diameter and weight its square.

    Parameters
    ----------
    log : LogSolid
        The log.

    Returns
    -------
    HorseLoads
        Places to the nearest 1/120 of the length, and their shares.

    Source
    ------
    Beam theory, every pair of places tried. For an even beam the places are 0.2231 of the length from each end,
    where ends and middle come to the same depth (closed form in the tests)
    """
    z = np.linspace(0.0, log.length_mm, _GRID)
    area = np.interp(z, log.z_mm - log.z_mm[0], _areas_mm2(log))
    area = area / area.mean()
    own, lifts, center, weight = _bending(z, area)
    least, found = math.inf, (1, _GRID - 2)
    for i in range(1, _GRID - 2):
        j = np.arange(i + _GRID // 5, _GRID - 1)
        if not len(j):
            break
        tip = weight * (center - z[i]) / (z[j] - z[i])
        bent = own + (weight - tip)[:, None] * lifts[i] + tip[:, None] * lifts[j]
        at_first, at_second = bent[:, i], bent[np.arange(len(j)), j]
        slope = (at_second - at_first) / (z[j] - z[i])
        depth = np.abs(bent - at_first[:, None] - slope[:, None] * (z - z[i])).max(axis=1)
        k = int(depth.argmin())
        if depth[k] < least:
            least, found = float(depth[k]), (i, int(j[k]))
    return horse_loads(center_of_mass_mm(log), (float(z[found[0]]), float(z[found[1]])))


def _bending(z: Floats, area: Floats) -> tuple[Floats, Floats, float, float]:
    """Deflection by a log's own weight, and by a push of one up from each place, to scale.

    The other two are the log's center of mass and its weight, to the same scale.
    """
    step = float(z[1] - z[0])

    def summed(values: Floats) -> Floats:
        steps = np.cumsum(0.5 * step * (values[..., :-1] + values[..., 1:]), axis=-1)
        return np.concatenate([np.zeros_like(values[..., :1]), steps], axis=-1)

    shear = summed(area)
    own = summed(summed(-summed(shear) / area**2))
    lifts = summed(summed(np.maximum(z - z[:, None], 0.0) / area**2))
    weight = float(shear[-1])
    return own, lifts, float(summed(area * z)[-1]) / weight, weight
