"""The whole set-up of one timber in one log."""

import math
from dataclasses import dataclass, replace

from pithline.errors import KitError, NoPlacementError
from pithline.fit.placing import Placement
from pithline.logs.solid import on_the_clock
from pithline.setup.budget import Budget, error_budget
from pithline.setup.kit import Kit, kit_faults
from pithline.setup.marks import EndMarks, end_marks
from pithline.setup.shorten import shortened
from pithline.setup.stack import Pass, Stack, saw_stack

__all__ = ["SetUp", "set_up"]

LONG_MM = 600.0
"""A log longer than its timber by more than this is worth cutting to length first."""


@dataclass(frozen=True, eq=False)
class SetUp:
    """Everything between a placed timber and its last cut.

    Attributes: `kit`; `placement`; `ends`, butt and tip; `stacks`, one for two
    sawn faces, two for three or four; `budgets`, one a stack; `crown_clock`,
    where the crown stands once the log is turned, None for a straight log;
    `cut_mm`, where the log is cut off first, from its butt as tallied, or None.
    """

    kit: Kit
    placement: Placement
    ends: tuple[EndMarks, EndMarks]
    stacks: tuple[Stack, ...]
    budgets: tuple[Budget, ...]
    crown_clock: float | None
    cut_mm: tuple[float, float] | None = None

    @property
    def passes(self) -> tuple[Pass, ...]:
        """All passes in order."""
        return tuple(cut for stack in self.stacks for cut in stack.passes)

    @property
    def all_free_of_bark(self) -> float:
        """Chance that no sawn face shows bark at its corners, faces taken as independent."""
        return math.prod(face.free_of_bark for budget in self.budgets for face in budget.faces)

    @property
    def excess_mm(self) -> float:
        """Log beyond the timber's length [mm]."""
        return self.placement.log.length_mm - (self.placement.end_mm - self.placement.start_mm)

    @property
    def cut_to_length_first(self) -> bool:
        """Whether so much log is left over that cutting it to length first saves work."""
        return self.excess_mm > LONG_MM


def _first_stack(
    placement: Placement, kit: Kit, datum_mm: float | None, *, may_turn_over: bool
) -> tuple[Placement, Stack]:
    """The first stack, the log turned further where only that way the kit reaches.

    Half round leaves the timber where it is in the wood, and for a square so does a quarter.
    """
    timber = placement.timber
    further = [0.0]
    if may_turn_over:
        square = timber.cut_thickness_mm == timber.cut_width_mm
        further = [0.0, 90.0, -90.0, 180.0] if square else [0.0, 180.0]
    refused: list[KitError] = []
    for turn in further:
        over = replace(placement, roll_deg=(placement.roll_deg + turn + 180.0) % 360.0 - 180.0)
        try:
            return over, saw_stack(kit, over, faces=("top", "bottom"), datum_mm=datum_mm)
        except KitError as error:
            refused.append(error)
    raise refused[0]


def _second_stack(placement: Placement, kit: Kit) -> Stack:
    """The second stack, the cant rolled whichever way takes the lower datum."""
    count = placement.timber.sawn_faces - 2
    stacks: list[Stack] = []
    refused: list[KitError] = []
    # A quarter turn clockwise brings the left side up, one the other way the right side.
    for turn, faces in ((90.0, ("left side", "right side")), (-90.0, ("right side", "left side"))):
        try:
            stacks.append(saw_stack(kit, placement, turn_deg=turn, faces=faces[:count], first_number=3))
        except KitError as error:
            refused.append(error)
    if not stacks:
        raise refused[0]
    return min(stacks, key=lambda stack: stack.datum_mm)


def set_up(
    placement: Placement,
    kit: Kit,
    *,
    datum_mm: float | None = None,
    may_turn_over: bool = False,
    cut_first: bool = False,
) -> SetUp:
    """End marks, bearers, rail, settings and errors for a placed timber.

    The log is turned, the timber's thickness is sawn first (top, then bottom
    riding on top); for three or four sawn faces the cant is rolled a quarter
    turn, the way that takes the lower datum, and the rail set up again.

    Parameters
    ----------
    placement : Placement
        A timber that lies in its log.
    kit : Kit
        What is at the log.
    datum_mm : float or None
        Bearer tops above the upper line of the first stack; None takes the
        least round value that serves [mm].
    may_turn_over : bool
        Turn the log half round (for a square also a quarter), which leaves the
        timber where it is in the wood, if the kit reaches only so.
    cut_first : bool
        Cut the log to the timber's length first; stations then run from the
        new butt.

    Returns
    -------
    SetUp
        All of it.

    Raises
    ------
    NoPlacementError
        The timber does not lie in the log.
    KitError
        The kit is not sound, or cannot reach.

    Source
    ------
    common practice
    """
    if not placement.fits:
        raise NoPlacementError(f"{placement.log.tag}: the timber does not lie in this log.")
    faults = kit_faults(kit)
    if faults:
        raise KitError("\n".join(faults))
    cut = (placement.start_mm, placement.end_mm) if cut_first else None
    if cut_first:
        placement = shortened(placement)
    placement, first = _first_stack(placement, kit, datum_mm, may_turn_over=may_turn_over)
    stacks = [first] if placement.timber.sawn_faces == 2 else [first, _second_stack(placement, kit)]
    crown = placement.log.crown_clock
    return SetUp(
        kit=kit,
        placement=placement,
        ends=end_marks(placement),
        stacks=tuple(stacks),
        budgets=tuple(error_budget(kit, placement, stack=stack) for stack in stacks),
        crown_clock=None if crown is None else on_the_clock(crown + placement.roll_deg / 30.0),
        cut_mm=cut,
    )
