"""The tape of the kit to start from against the limits of error of its accuracy class.

Published copies of the table to UK Statutory Instrument 2016/1153, schedule 1I, the same as annex
MI-008 of the European directive on measuring instruments (tests/data/published/tape_classes.md).
"""

import pytest

from conftest import Outside
from pithline.job import read_kit
from published import table


@pytest.mark.parametrize("row", table("tape_classes"), ids=lambda row: row["length [m]"])
def test_the_tape_we_start_from_is_of_class_two(outside: Outside, row) -> None:
    tape = read_kit(None).tape
    length = float(row["length [m]"])
    outside(
        source="Tape classes: copies of the table to UK SI 2016/1153, sch. 1I (MI-008)",
        what=f"class II at {row['length [m]']} m, from the kit to start from",
        printed=row["class II [mm]"],
        ours=tape.error_on(1000.0 * length),
        unit="mm",
        kind="published",
    )
