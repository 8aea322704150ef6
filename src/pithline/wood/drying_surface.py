"""The surface of stacked wood: how much it holds drying up, from the published days of 1 in stock.

A stack dries far slower than its wood alone would: the air between the layers is damp and slow. So the resistance
of the surface is set, for each coefficient of a band, so that a wide board 1 in thick, stacked green
in the best season, takes the published number of days to 20 %. It is kept as a thickness
of wood that resists as much, D / h, and changes with temperature as the coefficient does:
the vapor pressure of water, which drives what leaves a surface, has nearly the same activation.
"""

import math
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats
from pithline.errors import SolverError, WoodError
from pithline.wood.diffusion import Section, Stretch, dry_section
from pithline.wood.diffusion_law import REFERENCE_C, Potential

__all__ = ["BOARD_MM", "SEASON_EMC", "TARGET", "BoardSurface", "board_surface"]

BOARD_MM = 25.4
"""Thickness of the stock the days are published for."""

SEASON_EMC = 0.13
"""Equilibrium moisture of the best season, our own choice, with 20 C: a summer month of the northern states."""

TARGET = 0.20
"""Moisture the published days lead to."""

_STEPS = 40
_ROUNDS = 30
_CLOSE = 1e-7
_DRY = 1e-12


@dataclass(frozen=True)
class BoardSurface:
    """Attributes: `skin_mm` of each coefficient, 0 where the wood alone is slower; `days` each was set by."""

    skin_mm: tuple[float, ...]
    days: tuple[float, ...]


def board_surface(
    mm2_day: tuple[float, ...], potential: Potential, *, green: float, days: tuple[float, ...]
) -> BoardSurface:
    """Resistance of the surface that makes a 1 in board dry in the published time.

    Parameters
    ----------
    mm2_day : (k,) float
        Coefficients of dry wood at 20 C [mm2/day].
    potential : Potential
        Of the wood.
    green : float
        Moisture of the board at the start [fraction].
    days : (k,) float
        Published days from green to 20 % in the best season, for each coefficient [days].

    Returns
    -------
    BoardSurface
        A skin for each coefficient.

    Raises
    ------
    WoodError
        The green moisture is not above 20 %, so there is nothing to be timed.
    SolverError
        No resistance was found.

    Source
    ------
    definition; the secant method in s = 1 / ln(1 / E), E the part of the water still to go, which is nearly straight
    in the resistance
    """
    if green <= TARGET:
        raise WoodError(f"green moisture {100 * green:.0f} %: it must be above {100 * TARGET:.0f} %.")
    # Only the product of coefficient and time counts, so that one unit of time can be days of another number in each.
    reach = np.asarray(mm2_day) * np.asarray(days)
    season = Stretch(1.0, SEASON_EMC, _STEPS)

    def reading(skins: Floats) -> Floats:
        board = Section(BOARD_MM, math.inf, tuple(reach), tuple(skins))
        average = dry_section(board, potential, start=green, stretches=[season]).average[-1]
        to_go = np.clip((average - SEASON_EMC) / (green - SEASON_EMC), _DRY, 1.0 - _DRY)
        return np.asarray(-1.0 / np.log(to_go))

    wanted = -1.0 / math.log((TARGET - SEASON_EMC) / (green - SEASON_EMC))
    skins = np.zeros(len(mm2_day))
    now = reading(skins)
    held = now < wanted
    # Were the surface all there is, s would rise by 1 / (half thickness) times D F days.
    step = (wanted - now) * reach * potential.steepest / (0.5 * BOARD_MM)
    for _ in range(_ROUNDS):
        if np.all(np.abs(now - wanted)[held] <= _CLOSE * wanted):
            return BoardSurface(tuple(float(skin) for skin in skins), days)
        before, skins = now, np.where(held, np.maximum(skins + step, 0.0), 0.0)
        now = reading(skins)
        move = now - before
        step = np.where(move != 0.0, step * (wanted - now) / np.where(move != 0.0, move, 1.0), 0.0)
    raise SolverError(
        f"no resistance of the surface makes a board of {100 * green:.0f} % dry in {max(days):g} days at "
        f"{REFERENCE_C:g} C."
    )
