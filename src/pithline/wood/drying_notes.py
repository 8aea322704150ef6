"""What a drying forecast rests on, in sentences that stand beside it."""

from pithline.wood.air_drying import board_days
from pithline.wood.diffusion_law import Coefficient
from pithline.wood.drying_surface import SEASON_EMC, BoardSurface
from pithline.wood.species import Species

__all__ = ["coefficient_notes", "surface_notes"]


def coefficient_notes(species: Species, coefficient: Coefficient) -> list[str]:
    """Sentences on what a coefficient rests on.

    Parameters
    ----------
    species : Species
        The wood.
    coefficient : Coefficient
        Chosen for it.

    Returns
    -------
    list of str
        In the order they are read.

    Source
    ------
    definition
    """
    notes = [f"The band is {coefficient.basis}."]
    if coefficient.status == "memory":
        notes.append(
            f"The coefficient is an order of magnitude for all {species.kind}s, recalled and not read in print; its "
            f"change with temperature is that of red oak."
        )
    else:
        notes.append(f"The coefficient: {coefficient.source}.")
    notes.append(
        f"Above {100 * species.fiber_saturation:.0f} % (fiber saturation) the coefficient is held at its value there; "
        f"wood whose free water hardly moves, as heartwood with closed pits, lies toward the slow side."
    )
    return notes


def surface_notes(species: Species, surface: BoardSurface) -> list[str]:
    """Sentences on what the surface rests on.

    Parameters
    ----------
    species : Species
        With its air-drying days of 1 in stock, or those that stand in.
    surface : BoardSurface
        Set from them.

    Returns
    -------
    list of str
        In the order they are read.

    Source
    ------
    definition
    """
    board = board_days(species)
    recalled = ", recalled and not read in print" if board.published.status == "memory" else ""
    slow, middle, fast = surface.days
    days = f"{middle:.0f} days of the table"
    if board.stand_in:
        days = f"{slow:.0f}, {middle:.0f} and {fast:.0f} days (slow, middle, fast) of {board.published.source}"
    notes = [
        f"The surface is set so that 1 in stock in the best season (20 C, {100 * SEASON_EMC:.0f} % in the air) takes "
        f"the {days}{recalled}. That is for a large pile; a small one in the wind dries faster."
    ]
    if board.stand_in:
        notes.append(f"No days of 1 in stock are known for {species.name}: those of all softwoods stand in.")
    if min(surface.skin_mm) == 0.0:
        notes.append(
            "On the slow side the wood alone takes longer than the table says for 1 in, so its surface is bare."
        )
    return notes
