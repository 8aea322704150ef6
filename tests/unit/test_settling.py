"""What a wall settles: by hand, in proportion, and beside what is published."""

from dataclasses import replace

import pytest

from pithline.errors import UnknownValueError, WoodError
from pithline.tables import read_table
from pithline.wood.settling import Wall, allowances, settling
from pithline.wood.species import find_species, own_species

INCH = 25.4
WALL = Wall(8 * INCH, 12, 9, "scribed", 0.30, 0.12)
HEMLOCK = own_species("hand worked", {"shrinkage_radial": 0.03, "shrinkage_tangential": 0.06, "fiber_saturation": 0.30})
"""An invented species of round values."""


def test_a_wall_worked_by_hand() -> None:
    """Derived apart, on paper.

    12 courses of 8 in are 96 in = 2438.4 mm. Green at 30 %, in use at 12 %: of the shrinkage to oven-dry
    (30 - 12) / 30 = 0.6 takes place, radial 0.6 * 3 = 1.8 %, tangential 0.6 * 6 = 3.6 %.
    Wall: 96 in * 1.8 % = 1.728 in = 43.891 mm; * 3.6 % = 3.456 in = 87.782 mm. A scribed joint gives up to 1 %,
    0.96 in = 24.384 mm. Together 43.891 to 112.166 mm. Beside the opening 9 of 12 courses, 72 in = 1828.8 mm:
    32.918 to 84.125 mm. The largest allowance for green scribed walls is 3/4 in a foot,
    6.25 % of 72 in = 4.5 in = 114.3 mm.
    """
    answer = settling(WALL, HEMLOCK)
    assert answer.log_height_mm == pytest.approx(2438.4)
    assert answer.shrinkage_mm == pytest.approx((43.8912, 87.7824))
    assert answer.compaction_mm == pytest.approx((0.0, 24.384))
    assert answer.drop_mm == pytest.approx((43.8912, 112.1664))
    assert answer.opening_mm == pytest.approx((32.9184, 84.1248))
    assert answer.leave_mm == pytest.approx(114.3)


def test_a_wall_laid_half_dry_worked_by_hand() -> None:
    """Derived apart: a course of 200 mm measured at 21 % has shrunk 0.3 of its way already, at 12 % 0.6 of it.

    Radial: (1 - 0.6 * 0.03) / (1 - 0.3 * 0.03) = 0.982 / 0.991 = 0.990918, so 0.90817 % of the height it has when laid.
    Tangential: 0.964 / 0.982 = 0.981670, so 1.83299 %. Ten courses of 200 mm: 18.1635 to 36.6599 mm.
    """
    answer = settling(Wall(200.0, 10, 10, "flat", 0.21, 0.12), HEMLOCK)
    assert answer.drop_mm == pytest.approx((18.1635, 36.6599), abs=1e-3)
    assert answer.opening_mm == answer.drop_mm


@pytest.mark.parametrize("joint", ["flat", "scribed", "chinked"])
@pytest.mark.parametrize("name", ["red pine", "eastern hemlock", "white oak"])
def test_what_is_left_is_never_less_than_what_is_computed(joint, name: str) -> None:
    for before, after in ((0.8, 0.12), (0.30, 0.0), (0.19, 0.10), (0.12, 0.12)):
        answer = settling(replace(WALL, joint=joint, before=before, after=after), find_species(name))
        assert answer.opening_mm[0] <= answer.opening_mm[1] <= answer.leave_mm
        published = max(one.high for one in answer.allowances)
        beside = WALL.course_mm * WALL.opening_courses
        assert answer.leave_mm == pytest.approx(max(answer.opening_mm[1], published * beside))


def test_the_clearance_scales_with_the_opening_and_the_drop_does_not() -> None:
    one, three, all_of_it = (settling(replace(WALL, opening_courses=n), HEMLOCK) for n in (3, 9, 12))
    assert three.leave_mm == pytest.approx(3 * one.leave_mm)
    assert three.opening_mm == pytest.approx([3 * mm for mm in one.opening_mm])
    assert one.drop_mm == three.drop_mm == pytest.approx(all_of_it.opening_mm)
    assert settling(replace(WALL, opening_courses=0), HEMLOCK).leave_mm == 0.0


def test_everything_scales_with_the_height_of_a_course() -> None:
    low, tall = settling(WALL, HEMLOCK), settling(replace(WALL, course_mm=16 * INCH), HEMLOCK)
    for name in ("log_height_mm", "leave_mm"):
        assert getattr(tall, name) == pytest.approx(2 * getattr(low, name))
    for name in ("shrinkage_mm", "compaction_mm", "drop_mm", "opening_mm"):
        assert getattr(tall, name) == pytest.approx([2 * mm for mm in getattr(low, name)])


def test_wetter_than_fiber_saturation_shrinks_no_more() -> None:
    assert settling(replace(WALL, before=0.30), HEMLOCK) == settling(replace(WALL, before=1.2), HEMLOCK)


def test_only_a_scribed_joint_gives() -> None:
    assert settling(WALL, HEMLOCK).compaction_mm[1] > 0.0
    for joint in ("flat", "chinked"):
        assert settling(replace(WALL, joint=joint), HEMLOCK).compaction_mm == (0.0, 0.0)


PRINTED = {
    "% of wall height": 1.0,
    "in in 9 ft": 100.0 / (9 * 12),
    "in in 8 ft": 100.0 / (8 * 12),
    "in in about 8 ft": 100.0 / (8 * 12),
    "in a course of 12 in": 100.0 / 12,
    "mm/m": 0.1,
}
"""Percent of the height of log in one of the printed unit; derived apart."""


@pytest.mark.parametrize("row", read_table("pithline.wood", "settling_allowances").rows, ids=lambda row: row["case"])
def test_shares_are_the_printed_figures_converted(row) -> None:
    for side in ("low", "high"):
        share = float(row[side]) * PRINTED[row["unit"]]
        # The shares are printed with two decimals at most, 3.125 as 3.13.
        assert float(row[f"{side}_share"]) == pytest.approx(share, abs=0.0051)
    assert float(row["low_share"]) <= float(row["high_share"])


def test_three_quarters_of_an_inch_a_foot_is_six_and_a_quarter_percent() -> None:
    assert max(one.high for one in allowances("scribed", dry=False)) == pytest.approx(0.75 / 12)


@pytest.mark.parametrize("joint", ["flat", "scribed", "chinked"])
@pytest.mark.parametrize("dry", [False, True])
def test_allowances_are_of_the_wall_asked_about(joint, dry: bool) -> None:
    found = allowances(joint, dry=dry)
    assert found
    assert {one.joint for one in found} <= {joint, "any"}
    assert {one.logs for one in found} <= {"dry" if dry else "green", "any"}


def test_nineteen_percent_is_dry_and_more_is_green() -> None:
    dry, green = (settling(replace(WALL, before=m), HEMLOCK).allowances for m in (0.19, 0.191))
    assert dry == allowances("scribed", dry=True)
    assert green == allowances("scribed", dry=False)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"course_mm": 49.0}, "course"),
        ({"course_mm": 1001.0}, "course"),
        ({"course_mm": float("nan")}, "course"),
        ({"courses": 0, "opening_courses": 0}, "courses: 0"),
        ({"courses": 101}, "courses: 101"),
        ({"opening_courses": 13}, "the wall has 12"),
        ({"opening_courses": -1}, "the wall has 12"),
        ({"before": 0.10}, "give less after"),
        ({"after": -0.01}, "give less after"),
        ({"before": 4.1}, "give less after"),
        ({"after": float("nan")}, "give less after"),
    ],
)
def test_what_is_no_wall_is_refused(change, said: str) -> None:
    with pytest.raises(WoodError, match=said):
        replace(WALL, **change)


def test_a_species_whose_shrinkage_is_not_known_gets_no_clearance() -> None:
    with pytest.raises(UnknownValueError, match="shrinkage_tangential"):
        settling(WALL, own_species("half known", {"shrinkage_radial": 0.03}))


def test_recalled_shrinkage_and_chinking_are_told() -> None:
    chinked = settling(replace(WALL, joint="chinked"), find_species("red pine")).notes
    assert any("Chinking does not shrink" in note for note in chinked)
    assert any(note.startswith("Red pine: ") and "from memory" in note for note in chinked)
    assert not any("from memory" in note for note in settling(WALL, HEMLOCK).notes)
