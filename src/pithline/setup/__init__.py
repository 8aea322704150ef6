"""From a placed timber to the first cut: marks, bearers, rail, settings, errors."""

from pithline.setup.bearers import Bearer
from pithline.setup.budget import Budget, FaceChance, error_budget, normal_share, thickness_spread_mm
from pithline.setup.frame import framed
from pithline.setup.kit import Bearers, Horses, Kit, Level, Mill, Rail, Saw, String, Tape, Work, kit_faults
from pithline.setup.marks import EndMarks, end_marks
from pithline.setup.plan import SetUp, set_up
from pithline.setup.rail import RailPosition, Run, rail_run, rail_sag_mm, rail_tips, string_sag_mm
from pithline.setup.stack import Pass, Stack, saw_stack
from pithline.setup.stand import RailStand, stand_rail

__all__ = [
    "Bearer",
    "Bearers",
    "Budget",
    "EndMarks",
    "FaceChance",
    "Horses",
    "Kit",
    "Level",
    "Mill",
    "Pass",
    "Rail",
    "RailPosition",
    "RailStand",
    "Run",
    "Saw",
    "SetUp",
    "Stack",
    "String",
    "Tape",
    "Work",
    "end_marks",
    "error_budget",
    "framed",
    "kit_faults",
    "normal_share",
    "rail_run",
    "rail_sag_mm",
    "rail_tips",
    "saw_stack",
    "set_up",
    "stand_rail",
    "string_sag_mm",
    "thickness_spread_mm",
]
