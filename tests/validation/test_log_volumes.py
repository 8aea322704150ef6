"""Volumes of the log solid against worked examples of the formulas that foresters use.

Sources, each read in its text (tests/data/published/log_volumes.md tells more):
D. R. Larsen, University of Missouri, School of Natural Resources, "Cubic Log Volume";
notes for the Korean forestry license exam, a web page;
"A strange tree trunk", a web page in Polish;
Yehouenou, vignette of an R package for dendrometry 0.0.3, "Logs and trees volume computation".

The program has no such formula. A formula is exact for one kind of body, so that body is built
out of thin slices, and its volume is what the formula says: Smalian and Huber, a paraboloid;
Newton, any body whose section is a quadratic in the length; and the frustum of a cone or a neiloid.
"""

import math

import numpy as np
import pytest

from conftest import Outside
from pithline.logs import SliceLog, SliceRow, TallyLog, solid_from_slices, solid_from_tally
from published import table

SOURCES = {
    "missouri": 'D. R. Larsen, University of Missouri, "Cubic Log Volume"',
    "korea": "Notes for the Korean forestry license exam (web page)",
    "paradox": '"A strange tree trunk" (web page in Polish)',
    "vignette": "Yehouenou, vignette of an R package for dendrometry 0.0.3, logs and trees volume",
}
MM = {"in": 25.4, "ft": 304.8, "cm": 10.0, "m": 1000.0}
MM3 = {"ft3": 304.8**3, "m3": 1e9, "cm2.m": 1e5}
THIN_MM = 4.0
"""Slices this thin lose under 1e-8 of a volume to the straight sides between them."""


def carved(length_mm, diameter_mm):
    """Volume of a round body whose diameter is a function of the distance from its butt."""
    z = np.linspace(0.0, length_mm, 1 + math.ceil(length_mm / THIN_MM))
    rows = tuple(SliceRow(float(at), 0.0, 0.0, float(d), float(d)) for at, d in zip(z, diameter_mm(z), strict=True))
    return solid_from_slices(SliceLog("carved", "any", rows)).volume_mm3()


def volume_mm3(row):
    """Volume of the body for which the formula of a row is exact."""
    small, mid, large = (
        float(row[name]) * MM[row["d_unit"]] if row[name] else None for name in ("d_small", "d_mid", "d_large")
    )
    length = float(row["length"]) * MM[row["length_unit"]]
    method = row["method"]
    if method == "cone frustum":
        return solid_from_tally(TallyLog("cone", "any", length, large, small)).volume_mm3()
    if method == "Smalian":
        return carved(length, lambda z: np.sqrt(large**2 + (small**2 - large**2) * z / length))
    if method == "Huber":
        # A paraboloid with this middle diameter, its ends a third more and less in section.
        return carved(length, lambda z: mid * np.sqrt(4 / 3 - 2 / 3 * z / length))
    if method == "Newton":
        # The section as the quadratic through the butt, the middle and the tip.
        square = np.polyfit([0.0, 0.5, 1.0], [large**2, mid**2, small**2], 2)
        return carved(length, lambda z: np.sqrt(np.polyval(square, z / length)))
    assert method == "neiloid frustum"
    thirds = (large ** (2 / 3), small ** (2 / 3))
    return carved(length, lambda z: (thirds[0] + (thirds[1] - thirds[0]) * z / length) ** 1.5)


@pytest.mark.parametrize(
    "row", table("log_volumes"), ids=lambda row: f"{row['source']}-{row['method']}-{row['printed']}"
)
def test_the_solid_holds_what_the_worked_example_says(outside: Outside, row) -> None:
    ours = volume_mm3(row) / MM3[row["printed_unit"]]
    half = 0.5 * 10.0 ** -len(row["printed"].partition(".")[2])
    within, why = half, ""
    if row["quarter_pi"]:
        off = abs(float(row["quarter_pi"]) / (math.pi / 4.0) - 1.0)
        within = half + off * float(row["printed"])
        why = f"the source takes {row['quarter_pi']} for a quarter of pi, {off:.2%} off"
    if row["printed"] == "10.568":
        within, why = 2.0 * half, "printed cut off, not rounded: the formula gives 10.5689"
    sizes = " / ".join(row[name] for name in ("d_small", "d_mid", "d_large") if row[name])
    outside(
        source=SOURCES[row["source"]],
        what=f"{row['method']}, {sizes} {row['d_unit']}, {row['length']} {row['length_unit']}",
        printed=row["printed"],
        ours=ours,
        unit=row["printed_unit"],
        within=within,
        why=why,
        kind="published",
    )
