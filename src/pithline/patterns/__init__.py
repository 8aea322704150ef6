"""Which pieces come out of one log, pass by pass, on this kit."""

from pithline.patterns.check import pattern_faults
from pithline.patterns.pattern import Cut, Part, Pattern, Piece, Position
from pithline.patterns.search import Ways, best_patterns
from pithline.patterns.wanted import PriceList, WantedBoard, WantedTimber, list_for

__all__ = [
    "Cut",
    "Part",
    "Pattern",
    "Piece",
    "Position",
    "PriceList",
    "WantedBoard",
    "WantedTimber",
    "Ways",
    "best_patterns",
    "list_for",
    "pattern_faults",
]
