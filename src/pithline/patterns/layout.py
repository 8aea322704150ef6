"""Where the cuts of a part lie: layers between level cuts, and what each layer holds."""

from dataclasses import dataclass

from pithline.patterns.beside import SideBoard
from pithline.patterns.blocks import Block
from pithline.patterns.frame import Frame

__all__ = ["Layer", "Layout"]


@dataclass(frozen=True)
class Layer:
    """What lies between two level cuts, or between one and bark.

    Attributes: `low_mm`, `high_mm` about the center line; `board`, number of a
    board of the list, or None; `block` of timbers, or None, its left face at
    `left_mm`, and `beside`, boards left and right of it.
    """

    low_mm: float
    high_mm: float
    board: int | None = None
    block: Block | None = None
    left_mm: float = 0.0
    beside: tuple[SideBoard, ...] = ()


@dataclass(frozen=True, eq=False)
class Layout:
    """One way to saw a part.

    Attributes: `frame`; `layers` from the top down; `worth`, value of the pieces
    less the cost of sawing, as far as the search reckons it, and `bound`, which
    no other choice from the same blocks comes above on its grid; `used`, how many
    of each timber of the list come out.
    """

    frame: Frame
    layers: tuple[Layer, ...]
    worth: float
    bound: float

    @property
    def used(self) -> dict[int, int]:
        """How many of each timber of the list."""
        total: dict[int, int] = {}
        for layer in self.layers:
            if layer.block is not None:
                for kind, number in layer.block.used:
                    total[kind] = total.get(kind, 0) + number
        return total
