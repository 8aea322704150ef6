"""What is asked of a log, and what a way to saw a part of it is judged by."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

from pithline.logs.recovery import MM3_PER_BF
from pithline.logs.solid import LogSolid
from pithline.patterns.levels import STEP_MM
from pithline.patterns.strips import Terms
from pithline.patterns.wanted import PriceList, WantedBoard
from pithline.setup.kit import Kit

__all__ = ["Aim", "Task"]


@dataclass(frozen=True)
class Aim:
    """What counts.

    Attributes: `name`; `with_boards`, whether side boards are sawn;
    `bonus_bf`, added to the worth of every board foot of timber as cut.
    """

    name: str
    with_boards: bool = True
    bonus_bf: float = 0.0


@dataclass(frozen=True, eq=False)
class Task:
    """One log, the list that can come from it, the kit.

    Attributes: as named; `relieve`, whether opposite faces are opened in turn;
    `turn_deg`, the only turn the log is marked at, None for the best;
    `whole`, the log in its true size where `log` is one that a margin was taken
    off, so that what is found keeps that much wood around it.
    """

    log: LogSolid
    prices: PriceList
    kit: Kit
    relieve: bool = False
    turn_deg: float | None = None
    whole: LogSolid | None = None

    @property
    def true(self) -> "Task":
        """The same task on the log in its true size."""
        return self if self.whole is None else replace(self, log=self.whole, whole=None)

    @cached_property
    def step_mm(self) -> float:
        """Distance of the heights at which cuts are tried: 1/16 in, or what layers and kerfs fit evenly [mm]."""
        kerf = self.kit.saw.kerf_mm
        rises = {board.thickness_mm + kerf for board in self.boards}
        for item in self.prices.timbers:
            rises |= {item.timber.cut_thickness_mm + kerf, item.timber.cut_width_mm + kerf}
        for step in (STEP_MM, 0.5 * STEP_MM, 1.0):
            if all(abs(rise / step - round(rise / step)) < 1e-4 for rise in rises):
                return step
        return STEP_MM

    def waste_steps(self, step_mm: float) -> tuple[int, int]:
        """Least and most steps of waste between two kerfs: the mill is set to it.

        Parameters
        ----------
        step_mm : float
            Length of a step [mm].

        Returns
        -------
        (int, int)
            Whole steps within the mill's range.

        Source
        ------
        definition
        """
        mill = self.kit.mill
        return math.ceil(mill.setting_min_mm / step_mm - 1e-9), math.floor(mill.setting_max_mm / step_mm + 1e-9)

    @property
    def minute(self) -> float:
        """Cost of a minute of work."""
        return self.kit.work.cost_an_hour / 60.0

    @property
    def room_mm(self) -> float:
        """Widest cut in the round, bark at both sides left for [mm]."""
        return self.kit.mill.cut_width_mm - 2.0 * (self.log.bark_mm or 0.0)

    @property
    def boards(self) -> tuple[WantedBoard, ...]:
        """Boards that the mill can be set for."""
        mill = self.kit.mill
        return tuple(
            board
            for board in self.prices.boards
            if mill.setting_min_mm - 1e-6 <= board.thickness_mm <= mill.setting_max_mm + 1e-6
        )

    def board_rate(self, board: WantedBoard) -> float:
        """Worth of a square millimeter of a board's face.

        Parameters
        ----------
        board : WantedBoard
            The board.

        Returns
        -------
        float
            In the list's money for each mm2.

        Source
        ------
        definition
        """
        return board.value_bf * board.thickness_mm / MM3_PER_BF

    def terms(self, board: WantedBoard) -> Terms:
        """On what terms a board is taken from a flitch.

        Parameters
        ----------
        board : WantedBoard
            The board.

        Returns
        -------
        Terms
            Its least sizes, worth, and cost of edging.

        Source
        ------
        definition
        """
        return Terms(
            least_width_mm=board.least_width_mm,
            least_length_mm=board.least_length_mm,
            value_mm2=self.board_rate(board),
            edging_mm=self.edging_rate(board),
            step_mm=STEP_MM,
        )

    def edging_rate(self, board: WantedBoard) -> float:
        """Cost of sawing both edges of a millimeter of a board.

        Parameters
        ----------
        board : WantedBoard
            The board.

        Returns
        -------
        float
            In the list's money for each mm.

        Source
        ------
        definition: area over feed rate
        """
        return self.minute * 2.0 * board.thickness_mm / (self.kit.saw.feed_m2_min * 1e6)

    @property
    def edging_start(self) -> float:
        """Cost of lining a board for its edges, whatever its length."""
        return self.minute * self.kit.work.edge_min

    def edging_minutes(self, board: WantedBoard, length_mm: float) -> float:
        """Time to line and edge a board.

        Parameters
        ----------
        board : WantedBoard
            The board.
        length_mm : float
            Length of the edges [mm].

        Returns
        -------
        float
            Minutes.

        Source
        ------
        definition: area over feed rate, and the kit's time a board
        """
        feed = self.kit.saw.feed_m2_min * 1e6
        return self.kit.work.edge_min + 2.0 * board.thickness_mm * length_mm / feed
