"""The foresters' formulas for the cubic volume of a log against worked examples.

Sources, each read in its text (tests/data/published/log_volumes.md tells more):
D. R. Larsen, University of Missouri, School of Natural Resources, "Cubic Log Volume";
notes for the Korean forestry license exam, a web page;
"A strange tree trunk", a web page in Polish;
Yehouenou, vignette of an R package for dendrometry 0.0.3, "Logs and trees volume computation".

test_log_volumes.py holds the log's solid against the same examples; here it is the formulas themselves.
"""

import math

import pytest

from conftest import Outside
from pithline.logs.cubic import (
    cone_frustum_mm3,
    huber_mm3,
    neiloid_frustum_mm3,
    newton_mm3,
    smalian_mm3,
)
from published import table

SOURCES = {
    "missouri": 'D. R. Larsen, University of Missouri, "Cubic Log Volume"',
    "korea": "Notes for the Korean forestry license exam (web page)",
    "paradox": '"A strange tree trunk" (web page in Polish)',
    "vignette": "Yehouenou, vignette of an R package for dendrometry 0.0.3, logs and trees volume",
}
MM = {"in": 25.4, "ft": 304.8, "cm": 10.0, "m": 1000.0}
MM3 = {"ft3": 304.8**3, "m3": 1e9, "cm2.m": 1e5}
FORMULAS = {
    "Smalian": (smalian_mm3, ("small", "large")),
    "Huber": (huber_mm3, ("mid",)),
    "Newton": (newton_mm3, ("small", "mid", "large")),
    "cone frustum": (cone_frustum_mm3, ("small", "large")),
    "neiloid frustum": (neiloid_frustum_mm3, ("small", "large")),
}
ARGUMENTS = {"small": "small_mm", "mid": "middle_mm", "large": "large_mm"}


@pytest.mark.parametrize(
    "row", table("log_volumes"), ids=lambda row: f"{row['source']}-{row['method']}-{row['printed']}"
)
def test_a_formula_gives_the_printed_volume(outside: Outside, row) -> None:
    formula, takes = FORMULAS[row["method"]]
    sizes = {ARGUMENTS[name]: float(row[f"d_{name}"]) * MM[row["d_unit"]] for name in takes}
    ours = formula(**sizes, length_mm=float(row["length"]) * MM[row["length_unit"]]) / MM3[row["printed_unit"]]
    half = 0.5 * 10.0 ** -len(row["printed"].partition(".")[2])
    within, why = half, ""
    if row["quarter_pi"]:
        # With the source's own number for a quarter of pi the printed value must come out.
        theirs = float(row["quarter_pi"]) / (math.pi / 4.0)
        assert abs(theirs * ours - float(row["printed"])) <= half
        within = half + abs(theirs - 1.0) * ours
        why = f"the source takes {row['quarter_pi']} for a quarter of pi, {abs(theirs - 1.0):.2%} off"
    if row["printed"] == "10.568":
        assert math.floor(1000.0 * ours) == 10568
        within, why = 2.0 * half, "printed cut off, not rounded: the formula gives 10.5689"
    given = " / ".join(row[f"d_{name}"] for name in takes)
    outside(
        source=SOURCES[row["source"]],
        what=f"formula: {row['method']}, {given} {row['d_unit']}, {row['length']} {row['length_unit']}",
        printed=row["printed"],
        ours=ours,
        unit=row["printed_unit"],
        within=within,
        why=why,
        kind="published",
    )
