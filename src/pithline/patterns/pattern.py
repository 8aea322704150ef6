"""A pattern: what comes out of one log, and the passes that bring it out, in order."""

import math
from dataclasses import dataclass
from typing import Literal

from pithline.arrays import Floats
from pithline.logs.recovery import MM3_PER_BF
from pithline.logs.solid import LogSolid
from pithline.setup.kit import Kit
from pithline.setup.stand import RailStand

__all__ = ["Cut", "Part", "Pattern", "Piece", "Position"]


@dataclass(frozen=True, eq=False)
class Piece:
    """One timber or board.

    Attributes: `name` of the list; `kind`; cut `thickness_mm` and `width_mm`;
    `start_mm`, `end_mm` along the log as tallied, from the butt; `part`, number
    of the bucked part it lies in, from 0; `corners_butt_mm` and
    `corners_tip_mm` (4, 2), its own two ends as tallied, and
    `frame_butt_mm`, `frame_tip_mm` (4, 2) the same about the part's center line
    with the log turned for the first pass, counterclockwise from lower left;
    `wane_mm` that may be missing at its corners; `value`; `bf`, board feet of
    the size it is paid for.
    """

    name: str
    kind: Literal["timber", "board"]
    thickness_mm: float
    width_mm: float
    start_mm: float
    end_mm: float
    part: int
    corners_butt_mm: Floats
    corners_tip_mm: Floats
    frame_butt_mm: Floats
    frame_tip_mm: Floats
    wane_mm: float
    value: float
    bf: float

    @property
    def length_mm(self) -> float:
        """Its length [mm]."""
        return self.end_mm - self.start_mm

    @property
    def volume_mm3(self) -> float:
        """Thickness x width x length as cut [mm3]."""
        return self.thickness_mm * self.width_mm * self.length_mm


@dataclass(frozen=True, eq=False)
class Cut:
    """One pass through the log or a cant.

    Attributes: `number` in the order of sawing, from 1; `rides_on`, `rail` or
    `face`, and `face_of`, the number of the pass that left that face (None for
    the rail); `setting_mm` from there to the top of the kerf; `line_mm`, height
    of the bottom of the kerf about the center line of the part as it lies in
    this position, up is plus: the face of what lies below; `z_mm` (n,) from the
    part's butt and `width_mm` (n,), wood in the kerf there; `widest_mm`;
    `area_m2`; `minutes`, sawing and what belongs to the pass; `frees`, what
    comes off on top, in words.
    """

    number: int
    rides_on: Literal["rail", "face"]
    face_of: int | None
    setting_mm: float
    line_mm: float
    z_mm: Floats
    width_mm: Floats
    widest_mm: float
    area_m2: float
    minutes: float
    frees: str


@dataclass(frozen=True, eq=False)
class Position:
    """One way the log or a cant lies, and all that is sawn before it is turned or changed.

    Attributes: `number` from 1; `part` from 0; `body`, what lies on the horses,
    in words; `turn_deg` from the position the log was marked in, 0, 90 or -90,
    clockwise seen from the butt; `log`, the part as it lies, its sections
    about its center line (origin), stations from the part's own butt;
    `within_mm`, sawn faces left and right of that line, None in the round;
    `over_mm`, sawn faces below and above, each None where there is bark;
    `stand`, bearers and rail, None where the first pass rides on a sawn face;
    `cuts` in order; `minutes` to bring it there and set it up.
    """

    number: int
    part: int
    body: str
    turn_deg: float
    log: LogSolid
    within_mm: tuple[float, float] | None
    over_mm: tuple[float | None, float | None]
    stand: RailStand | None
    cuts: tuple[Cut, ...]
    minutes: float


@dataclass(frozen=True, eq=False)
class Part:
    """One stretch of the log that is sawn by itself.

    Attributes: `start_mm`, `end_mm` along the log as tallied; `roll_deg`, how
    the log is turned before marking, clockwise seen from the butt;
    `center_butt_mm`, `center_tip_mm` (2,), its straight center line at those
    two places, as tallied; `layout` in words.
    """

    start_mm: float
    end_mm: float
    roll_deg: float
    center_butt_mm: Floats
    center_tip_mm: Floats
    layout: str


@dataclass(frozen=True, eq=False)
class Pattern:
    """What comes out of one log, pass by pass.

    Attributes: `log`; `kit`; `parts` from butt to tip; `pieces`; `positions` in
    the order of sawing; `value` of the pieces; `minutes`, sawing and handling;
    `cost` of that time; `kerf_mm3` and `slab_mm3`, wood that became sawdust or
    fell off; `why`, what this way is best at, in words; `gives_up`, what it
    gives up against the first way; `notes`.
    """

    log: LogSolid
    kit: Kit
    parts: tuple[Part, ...]
    pieces: tuple[Piece, ...]
    positions: tuple[Position, ...]
    value: float
    minutes: float
    cost: float
    kerf_mm3: float
    slab_mm3: float
    why: str = ""
    gives_up: str = ""
    notes: tuple[str, ...] = ()

    @property
    def net(self) -> float:
        """Value less the cost of sawing."""
        return self.value - self.cost

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """All passes in order."""
        return tuple(cut for position in self.positions for cut in position.cuts)

    @property
    def timbers(self) -> tuple[Piece, ...]:
        """The timbers among the pieces."""
        return tuple(piece for piece in self.pieces if piece.kind == "timber")

    @property
    def boards(self) -> tuple[Piece, ...]:
        """The boards among the pieces."""
        return tuple(piece for piece in self.pieces if piece.kind == "board")

    @property
    def timber_mm3(self) -> float:
        """Volume of the timbers as cut [mm3]."""
        return math.fsum(piece.volume_mm3 for piece in self.timbers)

    @property
    def recovery(self) -> float:
        """Share of the log inside bark that became timbers and boards, as cut."""
        return math.fsum(piece.volume_mm3 for piece in self.pieces) / self.log.volume_mm3()

    @property
    def bf(self) -> float:
        """Board feet of all pieces at the size as cut."""
        return math.fsum(piece.volume_mm3 for piece in self.pieces) / MM3_PER_BF
