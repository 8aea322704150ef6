"""Fifteen real logs, each known twice: as slices of a laser scan, and as a tape would tally it.

tests/data/real_logs: logs of about 4 m out of five scanned stems, over bark; PROVENANCE.md tells where
from. Of a tally row only the two ends, the crown, its place and its clock are known, so the model
between them is ours; what it makes of the largest square and the volume is compared with what the slices give.
"""

from pathlib import Path

import pytest

from conftest import Outside
from pithline.fit import Kind, largest, place
from pithline.job import read_kit, read_yard
from pithline.setup import set_up
from strategies import altered

DATA = Path(__file__).parent.parent / "data" / "real_logs"
SLICES = {log.tag: log for log in read_yard(DATA / "slices.csv")}
TALLIED = {log.tag: log for log in read_yard(DATA / "tally.csv", tip_larger_ok=True)}
SOURCE = "Fifteen scanned logs: tally row (as printed) against the slices of the same log (ours)"


def test_both_files_hold_the_same_fifteen_logs() -> None:
    assert len(SLICES) == 15
    assert SLICES.keys() == TALLIED.keys()


@pytest.mark.parametrize("tag", sorted(SLICES))
def test_the_tally_row_stands_for_the_log(outside: Outside, tag: str) -> None:
    scanned, tallied = SLICES[tag], TALLIED[tag]
    ours, tape = largest(scanned, Kind()), largest(tallied, Kind())
    for answer in (ours, tape):
        assert answer.placement.fits
        assert answer.limit_width_mm - answer.width_mm <= 0.1
    outside(
        source=SOURCE,
        what=f"{tag}: side of the largest square",
        printed=tape.width_mm,
        ours=ours.width_mm,
        unit="mm",
        # A tape at both ends sees no swelling, and the crown as one bow in one plane.
        within=max(15.0, 0.15 * tape.width_mm),
        kind="measured",
    )
    outside(
        source=SOURCE,
        what=f"{tag}: volume",
        printed=tallied.volume_mm3() / 1e9,
        ours=scanned.volume_mm3() / 1e9,
        unit="m3",
        within=0.04 * tallied.volume_mm3() / 1e9,
        kind="measured",
    )


@pytest.mark.parametrize("tag", sorted(SLICES))
def test_every_real_log_gets_a_set_up_for_its_largest_square(tag: str) -> None:
    kit = read_kit(None)
    # A post on a base of 5 1/2 in is for larger logs than some of these: half of it will do.
    kit = altered(kit, "bearers", base_width_mm=60.0)
    plan = set_up(largest(SLICES[tag], Kind()).placement, kit, may_turn_over=True)
    assert [cut.number for cut in plan.passes] == [1, 2, 3, 4]
    for stack in plan.stacks:
        assert all(bearer.height_mm > 0.0 for bearer in stack.bearers)
    assert place(SLICES[tag], plan.placement.timber).fits
