"""One stack of passes: the rail pass, and the pass that rides on the face it left."""

import math
from dataclasses import dataclass

import numpy as np

from pithline.errors import KitError
from pithline.fit.placing import Placement
from pithline.lengths import told
from pithline.logs.solid import LogSolid
from pithline.setup.bearers import Bearer
from pithline.setup.frame import framed, level_chords
from pithline.setup.kit import Kit
from pithline.setup.rail import RailPosition, Run
from pithline.setup.stand import stand_rail

__all__ = ["Pass", "Stack", "saw_stack"]


@dataclass(frozen=True)
class Pass:
    """One cut through the log.

    Attributes: `number`; `face`, name of the sawn face; `rides_on`, the rail or
    a face; `setting_mm` from that surface to the top of the kerf; `line_mm`,
    height of the face above the timber's center line in this position;
    `widest_mm` wood in the kerf; `area_m2` of the cut; `minutes` of sawing.
    """

    number: int
    face: str
    rides_on: str
    setting_mm: float
    line_mm: float
    widest_mm: float
    area_m2: float
    minutes: float


@dataclass(frozen=True)
class Stack:
    """All that is done before the log is rolled again.

    Attributes: `turn_deg` from the position the log was marked in;
    `half_mm`, half the height of the timber as it lies; `within_mm`, sawn faces
    left and right, or None; `datum_mm` from the upper line to the bearers' tops;
    `run`, stations and rail; `bearers`; `passes`; `rail_top_mm`, height of the
    surface the mill rides on above the ground with the log on its horses.
    """

    turn_deg: float
    half_mm: float
    within_mm: float | None
    datum_mm: float
    run: Run
    bearers: tuple[Bearer, ...]
    passes: tuple[Pass, ...]
    rail_top_mm: float

    @property
    def rail(self) -> tuple[RailPosition, ...]:
        """Rail positions from butt to tip."""
        return self.run.positions


@dataclass(frozen=True)
class _Cut:
    """What is known of a pass before its width is measured in the wood."""

    number: int
    face: str
    rides_on: str
    setting_mm: float
    line_mm: float


def _pass(kit: Kit, log: LogSolid, cut: _Cut, within_mm: float | None) -> Pass:
    """One pass whose kerf lies outside the face at its line."""
    number, face, setting_mm, line_mm = cut.number, cut.face, cut.setting_mm, cut.line_mm
    outward = math.copysign(kit.saw.kerf_mm, line_mm)
    edges = [level_chords(log, line_mm + share * outward, within_mm=within_mm) for share in (0.0, 0.5, 1.0)]
    widest = float(max(edge.max() for edge in edges))
    bark = 2.0 * (log.bark_mm or 0.0) if within_mm is None else 0.0
    if widest + bark > kit.mill.cut_width_mm:
        over = f" with {told(bark)} of bark" if bark else ""
        raise KitError(
            f"mill.cut_width: pass {number} ({face}) is {told(widest + bark)} wide at its widest{over} and "
            f"the mill cuts {told(kit.mill.cut_width_mm)}. Use a longer bar and frame, a smaller log, or hew this "
            f"face down first."
        )
    if not kit.mill.setting_min_mm - 1e-6 <= setting_mm <= kit.mill.setting_max_mm + 1e-6:
        raise KitError(
            f"mill.setting: pass {number} ({face}) needs {told(setting_mm)} and the mill sets "
            f"{told(kit.mill.setting_min_mm)} to {told(kit.mill.setting_max_mm)}. Use a mill that sets that deep, "
            f"or turn the timber so that its smaller side is sawn first."
        )
    area = float(np.trapezoid(edges[1], log.z_mm)) / 1e6
    return Pass(number, face, cut.rides_on, setting_mm, line_mm, widest, area, area / kit.saw.feed_m2_min)


def saw_stack(
    kit: Kit,
    placement: Placement,
    *,
    turn_deg: float = 0.0,
    faces: tuple[str, ...] = ("top", "bottom"),
    first_number: int = 1,
    datum_mm: float | None = None,
) -> Stack:
    """Bearers, rail and passes for one position of the log.

    Parameters
    ----------
    kit : Kit
        What is at the log.
    placement : Placement
        The timber in its log.
    turn_deg : float
        Turn from the position the log was marked in: 0, or 90 once the first
        two faces are sawn [deg].
    faces : tuple of str
        Names of the faces sawn, one or two; the first rides on the rail, the
        second on the first.
    first_number : int
        Number of the first pass.
    datum_mm : float or None
        Bearer tops above the upper line; None takes the least round value
        that serves [mm].

    Returns
    -------
    Stack
        Everything to set.

    Raises
    ------
    KitError
        The kit cannot reach; the message says which part, and what would.

    Source
    ------
    common practice; the flat for a base of width w on a round of radius r is
    r - sqrt(r^2 - (w/2)^2) deep
    """
    timber = placement.timber
    log = framed(placement, turn_deg)
    second = turn_deg != 0.0
    half = 0.5 * (timber.cut_width_mm if second else timber.cut_thickness_mm)
    within = 0.5 * timber.cut_thickness_mm if second else None
    ends = (placement.start_mm - 1.0, placement.end_mm + 1.0)
    stand = stand_rail(kit, log, line_mm=half, within_mm=within, ends_mm=ends, datum_mm=datum_mm)
    settings = (stand.setting_mm, 2.0 * half)
    rides = ("rail", faces[0])
    passes = tuple(
        _pass(kit, log, _Cut(first_number + k, face, rides[k], settings[k], half if k == 0 else -half), within)
        for k, face in enumerate(faces)
    )
    return Stack(
        turn_deg=turn_deg,
        half_mm=half,
        within_mm=within,
        datum_mm=stand.datum_mm,
        run=stand.run,
        bearers=stand.bearers,
        passes=passes,
        rail_top_mm=stand.rail_top_mm,
    )
