"""Sag of a beam against the floor joist spans of a building code.

International Residential Code, Table R502.3.1(2), editions 2018 and 2021, rows that deflection
decides, read in extracts; E from NDS Supplement 2018, Table 4A (tests/data/published/joist_spans.md).

The rail's sag under its own weight is the same formula as a joist's under its live load: the span
at which it reaches 1/360 is what the table prints, in whole inches.
"""

import pytest

from conftest import Outside
from pithline.setup import Rail, rail_sag_mm
from published import table

DEPTH_IN = {"2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}
MPA_PER_PSI = 0.006894757293168361
KG_PER_LB = 0.45359237
LIMIT = 360.0


def joist(row):
    """The joist as a rail of one member, its live load as its weight."""
    pounds_per_foot = float(row["live [psf]"]) * float(row["spacing [in]"]) / 12.0
    return Rail(
        length_mm=8_000.0,
        thickness_mm=100.0,
        width_mm=100.0,
        stiffeners=1,
        member_breadth_mm=1.5 * 25.4,
        member_depth_mm=DEPTH_IN[row["size"]] * 25.4,
        modulus_mpa=float(row["modulus [psi]"]) * MPA_PER_PSI,
        mass_kg_m=pounds_per_foot * KG_PER_LB / 0.3048,
        sag_limit_mm=10.0,
    )


def span_in(rail):
    """Longest span whose sag is no more than its 360th part, by halving."""
    low, high = 100.0, 20_000.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if rail_sag_mm(rail, middle, saw_kg=0.0) <= middle / LIMIT:
            low = middle
        else:
            high = middle
    return low / 25.4


@pytest.mark.parametrize("number", range(len(table("joist_spans"))))
def test_the_span_at_which_a_joist_sags_by_a_360th_is_the_one_printed(outside: Outside, number) -> None:
    row = table("joist_spans")[number]
    outside(
        source="International Residential Code, Table R502.3.1(2), rows that deflection decides (extracts)",
        what=f"{row['edition']}: span of {row['species']} {row['grade']} {row['size']}, "
        f"{row['spacing [in]']} in apart, {row['live [psf]']} + {row['dead [psf]']} psf",
        printed=row["printed [in]"],
        ours=span_in(joist(row)),
        unit="in",
        kind="published",
    )
