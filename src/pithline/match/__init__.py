"""Which log makes which timber: the list matched to the yard."""

from pithline.match.check import plan_faults
from pithline.match.plan import Assignment, Cost, Idle, Match, Nearest, Needs, Plan, Progress, Unfilled
from pithline.match.pricing import Request, find_ways
from pithline.match.search import Effort, match_logs
from pithline.match.wishes import Lock, Weights, Wishes

__all__ = [
    "Assignment",
    "Cost",
    "Effort",
    "Idle",
    "Lock",
    "Match",
    "Nearest",
    "Needs",
    "Plan",
    "Progress",
    "Request",
    "Unfilled",
    "Weights",
    "Wishes",
    "find_ways",
    "match_logs",
    "plan_faults",
]
