"""Where a straight timber lies in a crooked log, with proof."""

from pithline.fit.check import Spot, clearance, pith_margin, placed_corners
from pithline.fit.placing import Placement, RollRule, Status, crown_rolls, place
from pithline.fit.sizing import Kind, Largest, largest
from pithline.fit.timber import Heart, Timber, section_corners

__all__ = [
    "Heart",
    "Kind",
    "Largest",
    "Placement",
    "RollRule",
    "Spot",
    "Status",
    "Timber",
    "clearance",
    "crown_rolls",
    "largest",
    "pith_margin",
    "place",
    "placed_corners",
    "section_corners",
]
