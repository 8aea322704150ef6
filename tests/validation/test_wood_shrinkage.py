"""Shrinkage, held against printed coefficients, worked examples and pairs of specific gravities.

USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 13-5, pp. 13-16 and 13-17,
and Table 4-3, p. 4-6;
USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-282 (2021), Eq. 4-9, Eq. 4-13, Tables 4-3 and 5-3b;
D. W. Green, FPL-RP-489 (1989); DIN 68100 as reproduced in a compilation; a course solution and a trade table, see
tests/data/published/shrinkage_examples.md. Kinds: published, or from memory where the shrinkage was recalled.
"""

import math

import pytest

from conftest import Outside
from pithline.wood.density import specific_gravity_at
from pithline.wood.shrinkage import (
    change_by_coefficient,
    coefficient_of_change,
    lumber_shrinkage,
    moved,
    shrinkage_at,
)
from pithline.wood.species import find_species
from published import table

SOURCES = {
    "course": "Missouri University of Science and Technology, CE 5260, solution 4.34",
    "rp489": "D. W. Green, FPL-RP-489 (1989), beside the factors of PS 20-70",
    "din-68100": "DIN 68100, differential shrinkage, as reproduced in a compilation that prints the products",
    "gtr282": "USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Eq. 4-9 and Eq. 4-13",
    "hardwood": "American Hardwood Information Center, table of dimensional change",
}
TABLE_13_5 = "USDA FPL, Wood Handbook, FPL-GTR-190 (2010), Table 13-5, from the shrinkage of Table 4-3"
TABLE_5_3B = "USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Table 5-3b, by Eq. 4-13"

GROUP = "printed for the whole commercial group of species, ours from the shrinkage of this one alone"
OTHER_FIR = "the table prints for grand fir what it prints for white fir; its own shrinkage of Table 4-3 gives more"
OFF_COEFFICIENTS = {
    ("Grand fir", "radial"): (0.000045, OTHER_FIR),
    ("Grand fir", "tangential"): (0.000185, OTHER_FIR),
    ("White oak", "radial"): (0.00014, GROUP),
    ("White oak", "tangential"): (0.00012, GROUP),
    ("Northern red oak", "radial"): (0.000215, GROUP),
    ("Northern red oak", "tangential"): (0.00065, GROUP),
    ("Shagbark hickory", "radial"): (0.000145, GROUP),
    ("Shagbark hickory", "tangential"): (0.00035, GROUP),
}
"""Coefficients that do not belong to the shrinkage of their species, with the difference and why."""

FITTED = (
    "the saturation point of 22 % was fitted to the coefficients of this species, so the row is no independent check"
)

ROUNDED = {
    "Eastern white pine",
    "Lodgepole pine",
    "Northern white-cedar",
    "Atlantic white-cedar",
    "Yellow-cedar",
    "Baldcypress",
    "Red spruce",
    "Sitka spruce",
    "Yellow-poplar",
    "Red maple",
    "Black cherry",
    "Black walnut",
    "Shagbark hickory",
    "Sassafras",
    "Norway spruce",
    "Scots pine",
}
"""Species whose two gravities agree only when the rounding of the green one is counted as well."""

OFF_GRAVITIES = {
    "Red pine": 0.022,
    "Port-Orford-cedar": 0.015,
    "White spruce": 0.012,
    "Black spruce": 0.016,
    "White oak": 0.017,
    "Northern red oak": 0.016,
    "Chestnut oak": 0.034,
    "Black locust": 0.048,
    "Sugar maple": 0.016,
    "American beech": 0.026,
    "Sweetgum": 0.024,
    "Osage-orange": 0.015,
}
"""Species whose two gravities are not tied by the equation, with the difference."""


def coefficients():
    """Printed coefficients of species whose shrinkage was read or recalled, not worked back from them."""
    return [
        (row, direction)
        for row in table("change_coefficients")
        for direction in ("radial", "tangential")
        if find_species(row["species"]).values[f"shrinkage_{direction}"].status != "computed"
    ]


@pytest.mark.parametrize(
    ("row", "direction"), coefficients(), ids=lambda part: part if isinstance(part, str) else part["species"]
)
def test_the_coefficient_of_change_follows_from_the_shrinkage(outside: Outside, row, direction: str) -> None:
    species = find_species(row["species"])
    shrinkage = species.values[f"shrinkage_{direction}"]
    within, why = OFF_COEFFICIENTS.get((species.name, direction), (0.000005, ""))
    if "fiber_saturation" in species.values:
        why = FITTED
    outside(
        source=TABLE_13_5,
        what=f"{row['printed_name']}, {direction}, change for each percent of moisture",
        printed=row[direction],
        ours=coefficient_of_change(shrinkage.value, saturation=species.fiber_saturation) / 100.0,
        within=within,
        why=why,
        kind="from memory" if shrinkage.status == "memory" else "published",
    )


def test_no_coefficient_is_let_off_that_does_not_need_it() -> None:
    found = {
        (row["species"], direction)
        for row, direction in coefficients()
        if abs(
            coefficient_of_change(
                find_species(row["species"]).need(f"shrinkage_{direction}"),
                saturation=find_species(row["species"]).fiber_saturation,
            )
            / 100.0
            - float(row[direction])
        )
        > 0.000005 * (1.0 + 1e-9)
    }
    assert found == set(OFF_COEFFICIENTS)


@pytest.mark.parametrize(
    ("row", "direction"), coefficients(), ids=lambda part: part if isinstance(part, str) else part["species"]
)
def test_both_routes_to_a_change_of_size_agree_in_the_coefficients_range(row, direction: str) -> None:
    """The slope of Eq. 4-9 at 10 % against Eq. 4-9 at both ends: the slope hardly changes from 6 to 14 %."""
    species = find_species(row["species"])
    total = species.need(f"shrinkage_{direction}")
    coefficient = coefficient_of_change(total, saturation=species.fiber_saturation)
    by_coefficient = change_by_coefficient(310.0, coefficient, before=0.12, after=0.07)
    by_ends = moved(310.0, total, before=0.12, after=0.07, saturation=species.fiber_saturation) - 310.0
    # A change is of the size before it, the coefficient of the size at 10 %: two percent of moisture apart,
    # under 1 % of the change.
    assert by_coefficient == pytest.approx(by_ends, rel=0.01)


def gravities():
    printed: dict[str, dict[str, dict[str, str]]] = {}
    for row in table("species_printed"):
        if row["property"].startswith("specific_gravity"):
            printed.setdefault(row["species"], {})[row["property"]] = row
    return [(name, pair) for name, pair in printed.items() if len(pair) == 2]


@pytest.mark.parametrize(("name", "pair"), gravities(), ids=[name for name, _ in gravities()])
def test_the_gravity_at_12_percent_follows_from_the_green_one(outside: Outside, name: str, pair) -> None:
    green, dry = pair["specific_gravity_green"], pair["specific_gravity_12"]
    basic = float(green["printed"])
    within, why = 0.005, ""
    if name in ROUNDED:
        # Half of the last digit of the green one, at the slope that Eq. 4-13 has there.
        slope = (specific_gravity_at(basic + 0.005, 0.12) - specific_gravity_at(basic - 0.005, 0.12)) / 0.01
        within, why = 0.005 * (1.0 + slope), "both values are rounded to two places, and ours comes from the green one"
    elif name in OFF_GRAVITIES:
        within = OFF_GRAVITIES[name]
        why = (
            "the equation takes a volumetric shrinkage of 26.5 % times the gravity, the average of all woods; "
            "the table's two values were measured on this one"
        )
    outside(
        source=TABLE_5_3B
        if dry["source"] == "gtr282-5-3b"
        else "USDA Forest Service, FIADB table REF_SPECIES, after NRS-38, by Eq. 4-13",
        what=f"{name}, specific gravity at 12 % from {green['printed']} green",
        # Cells that end in zero lost it in the transcription; the table prints two places.
        printed=f"{float(dry['printed']):.2f}",
        ours=specific_gravity_at(basic, 0.12, saturation=find_species(name).fiber_saturation),
        within=within,
        why=why,
        kind="published",
    )


def test_no_gravity_is_let_off_that_does_not_need_it() -> None:
    found = {
        name
        for name, pair in gravities()
        if abs(
            specific_gravity_at(
                float(pair["specific_gravity_green"]["printed"]), 0.12, saturation=find_species(name).fiber_saturation
            )
            - float(pair["specific_gravity_12"]["printed"])
        )
        > 0.005
    }
    assert found == ROUNDED | set(OFF_GRAVITIES)


def answer(row):
    """Ours for a worked example."""
    before, after = (float(row[name] or "nan") / 100.0 for name in ("before_percent", "after_percent"))
    size = float(row["size"] or "nan")
    total = float(row["total_percent"] or "nan") / 100.0

    def change():
        found = change_by_coefficient(size, float(row["coefficient"]), before=before, after=after)
        return -found

    def lumber_left():
        return size * (1.0 - lumber_shrinkage("width", after)) / (1.0 - lumber_shrinkage("width", before))

    def sixty_fourths():
        species = find_species(row["wood"])
        return 64.0 * (size - moved(size, species.need("shrinkage_tangential"), before=before, after=after))

    return {
        "size left": lambda: moved(size, total, before=before, after=after),
        "size lost": lambda: size - moved(size, total, before=before, after=after),
        "lumber width left": lumber_left,
        "lumber width": lambda: 100.0 * lumber_shrinkage("width", after),
        "lumber thickness": lambda: 100.0 * lumber_shrinkage("thickness", after),
        "change": change,
        "shrinkage": lambda: 100.0 * shrinkage_at(total, after),
        "gravity": lambda: specific_gravity_at(find_species(row["wood"]).need("specific_gravity_green"), after),
        "change in sixty-fourths": sixty_fourths,
    }[row["quantity"]]()


WIDER = {
    "sh02b": (
        0.0055,
        "the source takes its 0.2 % for each percent of the size at 19 %; ours is of the green size, so larger",
    ),
    "sh03": (
        0.032,
        "the formula that the solution prints gives 12.989 from 19 %; 13.02 is what it gives from 18 %, "
        "so it is taken for a slip",
    ),
    "sh04": (0.007, "the printed 2.80 is the factor of PS 20-70, to which the formula was fitted and comes to 2.806"),
    "sh21": (0.6, "the table prints whole sixty-fourths and cuts the rest: Table 13-5 gives 10.5 as well"),
    "sh22": (0.6, "the table prints whole sixty-fourths and cuts the rest: Table 13-5 gives 9.5 as well"),
}
"""Examples that are not met within half of their last digit, with the difference allowed and why."""


@pytest.mark.parametrize("row", table("shrinkage_examples"), ids=lambda row: row["key"])
def test_worked_examples_come_out(outside: Outside, row) -> None:
    half = 0.5 * 10.0 ** -len(row["printed"].partition(".")[2])
    within, why = WIDER.get(row["key"], (half, ""))
    ours = answer(row)
    assert (abs(ours - float(row["printed"])) > half * (1.0 + 1e-9)) == (row["key"] in WIDER)
    wood = f"{row['wood']}, {row['size']} {row['unit'].split('/')[0]}" if row["size"] else row["wood"]
    steps = (
        f"{row['before_percent']} to {row['after_percent']} %"
        if row["before_percent"]
        else f"at {row['after_percent']} %"
    )
    outside(
        source=SOURCES[row["source"]],
        what=f"{row['quantity']}: {wood}, {steps}",
        printed=row["printed"],
        ours=ours,
        unit=row["unit"] if row["unit"] != "-" else "",
        within=within,
        why=why,
        kind="published",
    )


def test_the_slip_of_the_course_solution_is_one_percent_of_moisture() -> None:
    left = 13.25 * (1.0 - lumber_shrinkage("width", 0.10)) / (1.0 - lumber_shrinkage("width", 0.18))
    assert math.isclose(left, 13.02, abs_tol=0.005)


def test_the_coefficients_of_the_examples_are_those_of_the_species() -> None:
    """DIN 68100 coefficients of the examples are what the program's species hold, in percent for each percent."""
    for row in table("shrinkage_examples"):
        if row["source"] != "din-68100":
            continue
        species = find_species(row["wood"].split(",")[0])
        if species.name == "American beech":
            assert 100.0 * float(row["coefficient"]) / 100.0 == pytest.approx(
                species.need("change_tangential"), rel=1e-12
            )
        else:
            assert species.values["differential_tangential"].low == pytest.approx(float(row["coefficient"]), rel=1e-12)
