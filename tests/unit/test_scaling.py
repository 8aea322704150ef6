"""Scaling of logs: what holds for any log, and worked cases.

Kind: derived apart (the working is beside each number), unless said. All logs are invented.
Printed tables of the rules and worked examples of the formulas are in tests/validation.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.errors import OutOfRangeError
from pithline.logs import RotHole, SliceLog, SliceRow, TallyLog, solid_from_slices, solid_from_tally, stretch, turned
from pithline.logs.cubic import (
    cone_frustum_mm3,
    cubic_volumes,
    huber_mm3,
    neiloid_frustum_mm3,
    newton_mm3,
    smalian_mm3,
)
from pithline.logs.deductions import (
    crook,
    rot,
    squared_defect,
    sweep,
    sweep_allowance_in,
    unusable_section,
    wedge,
)
from pithline.logs.recovery import MM3_PER_BF, recovery, timbers_bf
from pithline.logs.rules import LOG_RULES, log_rule, rounded_halves_up
from pithline.logs.scaling import (
    LONGEST_PIECE_FT,
    piece_lengths_ft,
    scale_log,
    scale_logs,
    scaling_diameter_in,
    scaling_length_ft,
)
from strategies import FOOT, INCH, generated, tally_logs

sizes = st.floats(50.0, 900.0)
lengths = st.floats(500.0, 9_000.0)


def inch_log(*, tip_in, feet, butt_in=None, over_mm=60.0, **more):
    """A log told in inches and feet, with trim."""
    row = TallyLog("A", "any", feet * FOOT + over_mm, (butt_in or tip_in + 2.3) * INCH, tip_in * INCH, **more)
    return solid_from_tally(row)


# --- the rules -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rule", LOG_RULES, ids=lambda rule: rule.key)
def test_a_thicker_or_longer_log_never_scales_less(rule) -> None:
    inches = np.arange(math.ceil(rule.diameter_in[0]), rule.diameter_in[1] + 1)
    feet = np.arange(math.ceil(rule.length_ft[0]), rule.length_ft[1] + 1)
    for values in (rule.rounded_bf(inches[:, None], feet), rule.unrounded_bf(inches[:, None], feet)):
        assert np.diff(values, axis=0).min() >= 0.0
        assert np.diff(values, axis=1).min() >= 0.0
        assert values.min() >= 0.0


@pytest.mark.parametrize("rule", LOG_RULES, ids=lambda rule: rule.key)
def test_a_table_prints_the_nearest_step(rule) -> None:
    inches = np.arange(math.ceil(rule.diameter_in[0]), rule.diameter_in[1] + 1)[:, None]
    feet = np.arange(math.ceil(rule.length_ft[0]), rule.length_ft[1] + 1)
    printed = rule.rounded_bf(inches, feet)
    # Scribner has 5 bf, its 0.5, for the smallest logs.
    odd = printed % rule.step_bf != 0.0
    assert set(printed[odd]) == ({5.0} if rule.key == "scribner_decimal_c" else set())
    assert np.abs(printed - rule.unrounded_bf(inches, feet)).max() <= 0.5 * rule.step_bf


@given(diameter=st.floats(6.0, 60.0))
@generated(50)
def test_international_of_whole_sections_is_its_summed_form(diameter: float) -> None:
    # Four sections of 0.22 d^2 - 0.71 d at D, D + 1/2, D + 1, D + 3/2:
    # 0.88 D^2 + 0.22 (2 x 3 D + 3.5) - 2.84 D - 0.71 x 3 = 0.88 D^2 - 1.52 D - 1.36.
    rule = log_rule("international")
    sixteen = 0.88 * diameter**2 - 1.52 * diameter - 1.36
    eight = 0.44 * diameter**2 - 1.20 * diameter - 0.30
    assert rule.unrounded_bf(diameter, 16.0) == pytest.approx(0.904762 * sixteen, rel=1e-12)
    assert rule.unrounded_bf(diameter, 8.0) == pytest.approx(0.904762 * eight, rel=1e-12)
    # 10 ft is 8 ft and half a section an inch thicker.
    half = 0.5 * (0.22 * (diameter + 1.0) ** 2 - 0.71 * (diameter + 1.0))
    assert rule.unrounded_bf(diameter, 10.0) == pytest.approx(0.904762 * (eight + half), rel=1e-12)


def test_doyle_of_a_20_inch_log_of_16_feet_is_its_diameter_less_4_squared() -> None:
    assert log_rule("doyle").scale(20.0, 16.0).board_feet == 16.0**2
    assert log_rule("doyle").scale(14.5, 18.0).unrounded_bf == 10.5**2 * 18.0 / 16.0


@pytest.mark.parametrize(
    ("diameter", "length", "status"),
    [(30, 16, "seen"), (12, 8, "seen"), (24, 13, "computed"), (26, 12, "memory"), (6, 7, "memory")],
)
def test_a_value_from_memory_is_told_from_one_in_print(diameter, length, status) -> None:
    rule = log_rule("scribner_decimal_c")
    assert rule.scale(diameter, length).status == status
    assert str(rule.status(diameter, length)) == status


def test_a_formula_in_print_gives_computed_values() -> None:
    assert {log_rule(key).scale(14, 12).status for key in ("doyle", "international")} == {"computed"}


@pytest.mark.parametrize("rule", LOG_RULES, ids=lambda rule: rule.key)
def test_a_log_beyond_a_rule_is_refused_with_the_range(rule) -> None:
    low, high = rule.diameter_in
    least, most = rule.length_ft
    told = rf"{rule.title}: a log of .* is outside its range, {low:g} to {high:g} in and {least:g} to {most:g} ft"
    for given_ in ((low - 1, least), (high + 1, least), (low, least - 1), (low, most + 1), (math.nan, least)):
        for ask in (rule.scale, rule.rounded_bf, rule.unrounded_bf, rule.status):
            with pytest.raises(OutOfRangeError, match=told):
                ask(*given_)
        assert not rule.covers(*given_)
    with pytest.raises(OutOfRangeError, match=f"a log of {low - 1:g} in and {most:g} ft"):
        rule.rounded_bf([high, low - 1.0, high + 1.0], most)


def test_a_diagram_rule_reads_whole_inches_and_feet() -> None:
    rule = log_rule("scribner_decimal_c")
    for given_ in ((12.5, 16), (12, 15.5)):
        with pytest.raises(OutOfRangeError, match="whole inches and feet"):
            rule.scale(*given_)


def test_a_rule_that_is_none_is_refused_by_name() -> None:
    with pytest.raises(OutOfRangeError, match=r"no 'ropp'; give doyle, scribner_decimal_c, international\."):
        log_rule("ropp")


def test_halves_go_up() -> None:
    assert rounded_halves_up([2.5, 3.5, 12.4, 0.0], 1.0).tolist() == [3.0, 4.0, 12.0, 0.0]
    assert rounded_halves_up([2.5, 7.4, 7.5], 5.0).tolist() == [5.0, 5.0, 10.0]


# --- cubic volume ----------------------------------------------------------------------------------------------------


@given(small=sizes, share=st.floats(1.0, 2.5), length=lengths)
@generated(100)
def test_smalian_huber_and_newton_agree_on_a_paraboloid(small: float, share: float, length: float) -> None:
    large = share * small
    middle = math.sqrt(0.5 * (small**2 + large**2))
    volume = smalian_mm3(small_mm=small, large_mm=large, length_mm=length)
    assert huber_mm3(middle_mm=middle, length_mm=length) == pytest.approx(volume, rel=1e-12)
    newton = newton_mm3(small_mm=small, middle_mm=middle, large_mm=large, length_mm=length)
    assert newton == pytest.approx(volume, rel=1e-12)


@given(small=sizes, share=st.floats(1.0, 2.5), length=lengths)
@generated(100)
def test_newton_is_exact_on_a_cone_and_on_a_neiloid(small: float, share: float, length: float) -> None:
    large = share * small
    ends = {"small_mm": small, "large_mm": large, "length_mm": length}
    # A neiloid's section is a cube of a line along it, so its diameter is a line to the power 3/2.
    hollow = (0.5 * (small ** (2 / 3) + large ** (2 / 3))) ** 1.5
    cone, neiloid = cone_frustum_mm3(**ends), neiloid_frustum_mm3(**ends)
    assert newton_mm3(middle_mm=0.5 * (small + large), **ends) == pytest.approx(cone, rel=1e-12)
    assert newton_mm3(middle_mm=hollow, **ends) == pytest.approx(neiloid, rel=1e-12)
    # The fuller the side, the more wood between the same ends.
    assert neiloid <= cone * (1 + 1e-12) <= smalian_mm3(**ends) * (1 + 2e-12)


def test_the_formulas_take_arrays_and_refuse_what_no_log_has() -> None:
    small, large = np.array([200.0, 310.0]), np.array([260.0, 400.0])
    both = smalian_mm3(small_mm=small, large_mm=large, length_mm=np.array([3000.0, 4100.0]))
    assert both[1] == smalian_mm3(small_mm=310.0, large_mm=400.0, length_mm=4100.0)
    for bad in (-1.0, math.nan):
        for formula, names in (
            (smalian_mm3, ("small_mm", "large_mm")),
            (huber_mm3, ("middle_mm",)),
            (newton_mm3, ("small_mm", "middle_mm", "large_mm")),
            (cone_frustum_mm3, ("small_mm", "large_mm")),
            (neiloid_frustum_mm3, ("small_mm", "large_mm")),
        ):
            with pytest.raises(OutOfRangeError, match="0 mm or more"):
                formula(**dict.fromkeys(names, 100.0), length_mm=bad)


@given(rows=st.lists(tally_logs(), min_size=1, max_size=5))
@generated(40)
def test_logs_worked_together_have_the_volumes_of_each_alone(rows) -> None:
    logs = [solid_from_tally(row) for row in rows]
    together = cubic_volumes(logs)
    for i, log in enumerate(logs):
        assert together.wood_mm3[i] == pytest.approx(log.volume_mm3(), rel=1e-12)
        ends = np.pi * np.linalg.det(log.shape_mm[[0, -1]])
        assert together.smalian_mm3[i] == pytest.approx(ends.mean() * log.length_mm, rel=1e-12)
        exact = 4.0 * together.huber_mm3[i] + 2.0 * together.smalian_mm3[i]
        assert together.newton_mm3[i] == pytest.approx(exact / 6.0, rel=1e-12)


def test_newton_of_an_oval_log_that_tapers_evenly_is_its_volume() -> None:
    log = inch_log(tip_in=13.0, feet=14, tip_2_mm=11.0 * INCH, butt_2_mm=14.0 * INCH, oval_clock=4.5, crown_mm=70.0)
    volumes = cubic_volumes([log])
    assert volumes.newton_mm3[0] == pytest.approx(log.volume_mm3(), rel=1e-12)
    assert volumes.huber_mm3[0] < log.volume_mm3() < volumes.smalian_mm3[0]


# --- scaling ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("inches", "scaled"), [(15.49, 15), (15.5, 15), (15.51, 16), (16.0, 16), (12.5, 12), (0.3, 0)])
def test_a_scaling_diameter_is_the_nearest_inch_and_a_half_goes_down(inches, scaled) -> None:
    assert scaling_diameter_in(inches * INCH) == scaled


@pytest.mark.parametrize(("feet", "scaled"), [(16.0, 16), (15.99, 15), (16.5, 16), (0.9, 0)])
def test_a_scaling_length_is_whole_feet_down(feet, scaled) -> None:
    assert scaling_length_ft(feet * FOOT) == scaled


@pytest.mark.parametrize(
    ("length", "pieces"),
    [
        (0, (0,)),
        (20, (20,)),
        (21, (10, 11)),
        (22, (10, 12)),
        (23, (11, 12)),
        (32, (16, 16)),
        (39, (19, 20)),
        (40, (20, 20)),
        (41, (13, 14, 14)),
        (59, (19, 20, 20)),
    ],
)
def test_a_long_log_is_parted_in_even_feet_the_longer_at_the_large_end(length, pieces) -> None:
    assert piece_lengths_ft(length) == pieces


def test_pieces_add_up_grow_and_are_as_few_as_can_be() -> None:
    for length in range(140):
        pieces = piece_lengths_ft(length)
        assert sum(pieces) == length
        assert list(pieces) == sorted(pieces)
        assert max(pieces) <= LONGEST_PIECE_FT
        assert len(pieces) == max(1, math.ceil(length / LONGEST_PIECE_FT))
        assert len(pieces) == 1 or sum(piece % 2 for piece in pieces) <= 1
        assert pieces[-1] - pieces[0] <= 2


def test_a_plain_log_scales_as_the_tables_say() -> None:
    # Published: Doyle 14 in 16 ft 100; Decimal C 110; International 16 ft: 0.904762 x (172.48 - 21.28 - 1.36) = 135.57.
    scaled = scale_log(inch_log(tip_in=14.2, feet=16, bark_mm=0.0))
    assert (scaled.scaling_diameter_in, scaled.scaling_length_ft) == (14, 16)
    assert scaled.trim_mm == pytest.approx(60.0, abs=1e-9)
    assert (scaled.doyle_bf, scaled.scribner_decimal_c_bf, scaled.international_bf) == (100.0, 110.0, 135.0)
    net = scaled.net
    assert (net.doyle_bf, net.scribner_decimal_c_bf, net.international_bf) == (100.0, 110.0, 135.0)
    assert scaled.scribner_status == "seen"
    assert (scaled.deductions, scaled.notes, len(scaled.pieces)) == ((), (), 1)


def test_a_joint_is_as_thick_as_the_log_is_there() -> None:
    # 32 ft parts in 16 and 16 ft. A log that is swollen there has a thicker butt piece.
    length = 32 * FOOT + 50.0
    log = inch_log(tip_in=12.0, butt_in=17.0, feet=32, over_mm=50.0, bark_mm=0.0)
    scaled = scale_log(log)
    top, butt = scaled.pieces
    assert (top.diameter_in, top.length_ft, top.at_mm) == (12, 16, pytest.approx(length))
    assert (butt.length_ft, butt.at_mm) == (16, pytest.approx(length - 16 * FOOT))
    # An even taper of 5 in over the log: 12 + 5 x 16 / 32.16 = 14.49 in.
    assert butt.diameter_in == 14
    middle = [(0.0, 17.0), (length - 16 * FOOT, 16.2), (length, 12.0)]
    rows = tuple(SliceRow(z, 0.0, 0.0, d * INCH, d * INCH) for z, d in middle)
    swollen = scale_log(solid_from_slices(SliceLog("C", "any", rows, bark_mm=0.0)))
    assert swollen.pieces[1].diameter_in == 16
    assert swollen.international_bf > scaled.international_bf
    # Doyle sees the small end alone: 8 x 8 x 32 / 16.
    assert scaled.doyle_bf == swollen.doyle_bf == 128.0
    # Decimal C 12 in 16 ft 80 and 14 in 16 ft 110, published.
    assert scaled.scribner_decimal_c_bf == 190.0
    assert [piece.length_ft for piece in scaled.pieces] == [16, 16]
    assert any(note.startswith("Over 20 ft") for note in scaled.notes)


def test_a_log_larger_at_the_tip_is_scaled_from_its_butt() -> None:
    row = TallyLog("A", "any", 33 * FOOT, 11.0 * INCH, 13.0 * INCH, bark_mm=0.0)
    other = replace(row, butt_mm=row.tip_mm, tip_mm=row.butt_mm)
    there, back = scale_log(solid_from_tally(row, tip_larger_ok=True)), scale_log(solid_from_tally(other))
    assert there.pieces[0].at_mm == 0.0
    assert [piece.diameter_in for piece in there.pieces] == [piece.diameter_in for piece in back.pieces]
    assert there.international_bf == back.international_bf
    assert "The butt is the smaller end: the log is scaled from there." in there.notes


@given(row=tally_logs(), roll=st.floats(-180.0, 180.0))
@generated(60)
def test_turning_a_log_changes_no_scale(row, roll: float) -> None:
    log = solid_from_tally(row)
    straight, rolled = scale_log(log), scale_log(turned(log, roll))
    assert rolled.doyle_bf == straight.doyle_bf
    assert rolled.international_bf == straight.international_bf
    assert rolled.volume_m3 == pytest.approx(straight.volume_m3, rel=1e-12)
    assert rolled.notes == straight.notes


@given(rows=st.lists(tally_logs(), max_size=5))
@generated(40)
def test_logs_scale_together_as_each_alone(rows) -> None:
    logs = [solid_from_tally(row) for row in rows]
    together = scale_logs(logs)
    assert len(together) == len(logs)
    for log, scaled in zip(logs, together, strict=True):
        alone = scale_log(log)
        # Volumes and places are sums over all the logs before, and may differ in the last bit.
        assert scaled.volume_m3 == pytest.approx(alone.volume_m3, rel=1e-12)
        for part, own in zip(scaled.pieces, alone.pieces, strict=True):
            assert replace(part, at_mm=0.0, sweep=None) == replace(own, at_mm=0.0, sweep=None)
            assert part.at_mm == pytest.approx(own.at_mm, abs=1e-6)
        assert (scaled.net, scaled.deductions, scaled.notes) == (alone.net, alone.deductions, alone.notes)


@given(row=tally_logs())
@generated(100)
def test_a_net_scale_is_between_nothing_and_the_gross(row) -> None:
    log = replace(solid_from_tally(row), rot=RotHole(90.0, 140.0, 0.4 * row.length_mm))
    scaled = scale_log(log)
    for rule in LOG_RULES:
        gross, net = (getattr(answer, f"{rule.key}_bf") for answer in (scaled, scaled.net))
        assert (gross is None) == (net is None)
        assert (gross is None) == any("No scale by " + rule.title in note for note in scaled.notes)
        if gross is not None:
            assert 0.0 <= net <= gross
            # In small logs of 5 bf a step of 10 takes all.
            assert net == 0.0 or (gross - net) % rule.step_bf == 0.0


def test_a_log_outside_every_rule_gets_notes_and_its_volume() -> None:
    scaled = scale_log(solid_from_tally(TallyLog("A", "any", 280.0 + 40.0, 120.0, 110.0, crown_mm=20.0)))
    assert (scaled.scaling_diameter_in, scaled.scaling_length_ft) == (4, 1)
    assert (scaled.doyle_bf, scaled.scribner_decimal_c_bf, scaled.international_bf) == (None, None, None)
    assert scaled.scribner_status is None
    assert "No scale by Doyle: a log of 4 in and 1 ft is outside its range, 5 to 60 in and 4 to 40 ft." in scaled.notes
    assert sum("No scale by" in note for note in scaled.notes) == 3
    assert scaled.volume_m3 > 0.0


def test_a_log_shorter_than_a_foot_has_nothing_to_scale() -> None:
    row = TallyLog("A", "any", 301.0, 420.0, 400.0, crown_mm=15.0, rot=RotHole(50.0, 60.0))
    scaled = scale_log(solid_from_tally(row))
    assert (scaled.scaling_length_ft, scaled.deductions) == (0, ())
    assert scaled.trim_mm == pytest.approx(301.0)


def test_a_long_log_is_scaled_by_doyle_as_far_as_its_formula_is_taken() -> None:
    # 11 x 11 x 36 / 16 = 272.25.
    assert scale_log(inch_log(tip_in=15.0, feet=36)).doyle_bf == 272.0
    # 11 x 11 x 40 / 16 = 302.5, and no printed table goes that far.
    longest = scale_log(inch_log(tip_in=15.0, feet=40))
    assert longest.doyle_bf == 303.0
    assert any(note.startswith("Doyle: the printed tables") for note in longest.notes)
    assert scale_log(inch_log(tip_in=15.0, feet=41)).doyle_bf is None
    assert scale_log(inch_log(tip_in=15.0, feet=41)).international_bf is not None


def test_bark_that_is_not_known_is_said() -> None:
    unknown = scale_log(inch_log(tip_in=14.0, feet=12))
    known = scale_log(inch_log(tip_in=14.0, feet=12, bark_mm=13.0))
    assert any("bark is not known" in note for note in unknown.notes)
    assert not any("bark" in note for note in known.notes)
    # 13 mm each side is an inch: 14 in outside is 13 in inside.
    assert (unknown.scaling_diameter_in, known.scaling_diameter_in) == (14, 13)


def test_a_recalled_piece_makes_the_whole_scale_recalled() -> None:
    scaled = scale_log(inch_log(tip_in=25.0, butt_in=29.0, feet=32, bark_mm=0.0))
    assert [piece.diameter_in for piece in scaled.pieces] == [25, 27]
    assert scaled.scribner_status == "memory"
    assert "Scribner Decimal C: a value of this log is from memory." in scaled.notes


def test_the_stretch_of_a_log_scales_by_its_own_ends() -> None:
    log = inch_log(tip_in=12.0, butt_in=16.0, feet=24, over_mm=0.0, bark_mm=0.0)
    part = stretch(log, 4 * FOOT, end_mm=16 * FOOT)
    scaled = scale_log(part)
    # 16 in less 4 in in 24 ft, at 16 ft: 13.33 in.
    assert (scaled.scaling_diameter_in, scaled.scaling_length_ft) == (13, 12)
    assert scaled.volume_m3 == pytest.approx(part.volume_mm3() / 1e9, rel=1e-12)


# --- deductions ------------------------------------------------------------------------------------------------------


def test_the_net_scale_of_a_bowed_log() -> None:
    # (5 - 2) / 16 = 18.75 % of Decimal C 160 is 30 off: 130. International 16 ft: 0.904762 x 199.6 = 180.59, 180;
    # 33.75 off goes to 35: 145. Doyle 144: 27 off, 117.
    scaled = scale_log(inch_log(tip_in=16.0, feet=16, crown_mm=5.0 * INCH, bark_mm=0.0))
    assert (scaled.scribner_decimal_c_bf, scaled.net.scribner_decimal_c_bf) == (160.0, 130.0)
    assert (scaled.international_bf, scaled.net.international_bf) == (180.0, 145.0)
    assert (scaled.doyle_bf, scaled.net.doyle_bf) == (144.0, 117.0)
    assert [fault.text for fault in scaled.deductions] == [
        "sweep: 18.8 % of the gross scale, by Grosenbaugh (1952), from memory."
    ]
    assert "The net scale is by formulas from memory." in scaled.notes


def test_the_net_scale_of_a_shorter_bowed_log() -> None:
    # (3 - 1.5) / 12 = 12.5 % of International 70 is 8.75 off, 61 net, tallied 60.
    scaled = scale_log(inch_log(tip_in=12.0, feet=12, crown_mm=3.0 * INCH, bark_mm=0.0))
    assert (scaled.international_bf, scaled.net.international_bf) == (70.0, 60.0)


def test_rot_takes_its_share_of_every_rule() -> None:
    # 6 x 8 / 19^2 = 13.3 % of 280 is 37 off, 40 in tens.
    scaled = scale_log(inch_log(tip_in=20.0, feet=16, rot=RotHole(6.0 * INCH, 8.0 * INCH), bark_mm=0.0))
    (fault,) = scaled.deductions
    assert fault.share == pytest.approx(48.0 / 361.0)
    assert (scaled.scribner_decimal_c_bf, scaled.net.scribner_decimal_c_bf) == (280.0, 240.0)
    assert any(note.startswith("Rot is taken off as a share") for note in scaled.notes)
    # Rot that runs into the trim costs no more than rot all through.
    longer = scale_log(inch_log(tip_in=20.0, feet=16, rot=RotHole(152.4, 203.2, 16 * FOOT + 40.0), bark_mm=0.0))
    assert longer.net == scaled.net


def test_each_piece_of_a_long_log_is_bent_by_itself() -> None:
    # A bow that is one parabola bends half the log a quarter as much.
    crown = 14.0
    log = inch_log(tip_in=15.0, butt_in=18.0, feet=32, over_mm=0.0, crown_mm=crown * INCH, bark_mm=0.0)
    scaled = scale_log(log)
    assert scaled.deductions[0].share == pytest.approx((crown - 2.0) / 15.0)
    for piece in scaled.pieces:
        # The straight runs between stations lie a hair inside the bend.
        assert piece.sweep.share == pytest.approx((crown / 4.0 - 2.0) / piece.diameter_in, abs=1e-3)
    assert scaled.net.doyle_bf < 0.3 * scaled.doyle_bf
    assert scaled.net.international_bf > 0.85 * scaled.international_bf


def test_a_log_that_is_all_fault_has_nothing_left() -> None:
    hollow = scale_log(inch_log(tip_in=11.0, feet=12, crown_mm=7.0 * INCH, rot=RotHole(9.0 * INCH, 9.0 * INCH)))
    assert (hollow.net.doyle_bf, hollow.net.scribner_decimal_c_bf, hollow.net.international_bf) == (0.0, 0.0, 0.0)


def test_a_sweep_within_its_allowance_costs_nothing() -> None:
    assert [sweep_allowance_in(length) for length in (6, 8, 10, 11, 13, 14, 16, 32)] == [1, 1, 1, 1.5, 1.5, 2, 2, 2]
    assert sweep(1.9, diameter_in=12.0, length_ft=16.0).share == 0.0
    assert sweep(40.0, diameter_in=12.0, length_ft=16.0).share == 1.0


def test_shares_of_other_faults() -> None:
    # (6 / 20) (4 / 16) = 7.5 %; a wedge of 90 degrees over 4 of 16 ft 6.25 %.
    assert crook(6.0, affected_ft=4.0, diameter_in=20.0, length_ft=16.0).share == pytest.approx(0.075)
    assert unusable_section(3.0, length_ft=12.0).share == 0.25
    assert wedge(90.0, affected_ft=4.0, length_ft=16.0).share == pytest.approx(0.0625)
    assert rot(9.0, 9.0, affected_ft=5.0, diameter_in=8.0, length_ft=10.0).share == 0.5
    assert crook(30.0, affected_ft=4.0, diameter_in=20.0, length_ft=16.0).share == 0.25


def test_squared_defect_counts_an_inch_more_each_way() -> None:
    # 7 x 9 x 16 / 15 = 67.2; 5 x 5 x 5 / 15 = 8.33; by International 7 x 9 x 16 / 16 = 63.
    assert squared_defect(6.0, 8.0, affected_ft=16.0, rule="scribner_decimal_c").board_feet == pytest.approx(67.2)
    assert squared_defect(4.0, 4.0, affected_ft=5.0, rule="scribner_decimal_c").board_feet == pytest.approx(25 / 3)
    assert squared_defect(6.0, 8.0, affected_ft=16.0, rule="international").board_feet == pytest.approx(63.0)


def test_every_deduction_says_that_it_is_from_memory() -> None:
    found = (
        sweep(3.0, diameter_in=12.0, length_ft=12.0),
        crook(3.0, affected_ft=2.0, diameter_in=12.0, length_ft=12.0),
        unusable_section(2.0, length_ft=12.0),
        wedge(30.0, affected_ft=2.0, length_ft=12.0),
        rot(3.0, 2.0, affected_ft=2.0, diameter_in=12.0, length_ft=12.0),
        squared_defect(3.0, 2.0, affected_ft=2.0, rule="international"),
    )
    assert {fault.status for fault in found} == {"memory"}


@pytest.mark.parametrize(
    ("ask", "told"),
    [
        (lambda: sweep(-1.0, diameter_in=12.0, length_ft=12.0), "sweep: -1 in; it must be 0 or more"),
        (lambda: sweep(math.nan, diameter_in=12.0, length_ft=12.0), "sweep: nan in"),
        (lambda: sweep(1.0, diameter_in=0.0, length_ft=12.0), "diameter: 0 in; it must be more than 0"),
        (lambda: sweep_allowance_in(0.0), "length: 0 ft; it must be more than 0"),
        (lambda: unusable_section(13.0, length_ft=12.0), "length of the fault: 13 ft; it must be 0 to 12 ft"),
        (lambda: wedge(361.0, affected_ft=1.0, length_ft=12.0), "wedge: 361 degrees; it must be 0 to 360 degrees"),
        (
            lambda: crook(-2.0, affected_ft=1.0, diameter_in=9.0, length_ft=12.0),
            "crook: -2 in; it must be 0 or more",
        ),
        (
            lambda: rot(2.0, 2.0, affected_ft=1.0, diameter_in=1.0, length_ft=12.0),
            "diameter less 1 in: 0 in; it must be more than 0",
        ),
        (
            lambda: squared_defect(2.0, 2.0, affected_ft=1.0, rule="doyle"),
            "it goes with scribner_decimal_c and international, not with 'doyle'",
        ),
    ],
)
def test_a_fault_that_cannot_be_is_refused(ask, told) -> None:
    with pytest.raises(OutOfRangeError, match=told):
        ask()


# --- recovery --------------------------------------------------------------------------------------------------------


def test_a_board_foot_is_a_foot_square_an_inch_thick() -> None:
    assert timbers_bf([[12 * INCH, INCH, FOOT]]) == pytest.approx(1.0, rel=1e-12)
    # 6 x 8 in, 12 ft: 48 board feet; two of 5 1/2 x 7 1/4 in, 9 ft 4 in: 2 x 31.0139.
    several = timbers_bf([[6 * INCH, 8 * INCH, 12 * FOOT], *[[5.5 * INCH, 7.25 * INCH, 112 * INCH]] * 2])
    assert several == pytest.approx(48.0 + 2.0 * 5.5 * 7.25 * 112.0 / 144.0, rel=1e-12)
    assert timbers_bf([]) == 0.0
    for bad in ([[1.0, 2.0]], [[1.0, -2.0, 3.0]], [[1.0, math.nan, 3.0]], [1.0, 2.0, 3.0]):
        with pytest.raises(OutOfRangeError, match="width, height and length of each"):
            timbers_bf(bad)


def test_a_recovery_names_its_base() -> None:
    scaled = scale_log(inch_log(tip_in=14.2, feet=16, bark_mm=0.0))
    sawn = timbers_bf([[8 * INCH, 10 * INCH, 16 * FOOT]])
    wood, smalian, doyle, scribner, international = recovery(sawn, [scaled])
    # 8 x 10 in, 16 ft is 106.67 bf, over Doyle 100, Scribner 110, International 135.
    assert doyle.text == "107 % of the gross scale by Doyle, an overrun of 7 %."
    assert scribner.text == "97 % of the gross scale by Scribner Decimal C, an underrun of 3 %."
    assert international.overrun == pytest.approx(320 / 3 / 135 - 1)
    assert wood.ratio == pytest.approx(sawn * MM3_PER_BF / (scaled.volume_m3 * 1e9))
    assert wood.text.endswith("% of the volume of the wood inside bark.")
    assert smalian.text.endswith("% of the volume by Smalian's formula.")
    assert (wood.overrun, smalian.overrun) == (None, None)


def test_recovery_of_a_lot_adds_up() -> None:
    logs = scale_logs([inch_log(tip_in=11.3, feet=10), inch_log(tip_in=15.8, feet=18), inch_log(tip_in=13.1, feet=26)])
    each = [recovery(40.0, [log]) for log in logs]
    for whole, parts in zip(recovery(120.0, logs), zip(*each, strict=True), strict=True):
        assert whole.base_bf == pytest.approx(sum(part.base_bf for part in parts))
        assert min(part.ratio for part in parts) <= whole.ratio <= max(part.ratio for part in parts)


def test_recovery_over_the_net_scale_says_net() -> None:
    scaled = scale_log(inch_log(tip_in=16.0, feet=16, crown_mm=5.0 * INCH))
    gross, net = (recovery(100.0, [scaled], net=net)[3] for net in (False, True))
    assert (gross.base_bf, net.base_bf) == (160.0, 130.0)
    assert "net scale by Scribner" in net.text


def test_there_is_no_recovery_over_nothing() -> None:
    short = scale_log(inch_log(tip_in=14.0, feet=3))
    long = scale_log(inch_log(tip_in=14.0, feet=12))
    for found in (recovery(10.0, [short, long])[2], recovery(10.0, [])[0]):
        assert (found.ratio, found.overrun) == (None, None)
        assert "no recovery" in found.text
    with pytest.raises(OutOfRangeError, match="recovery: -1 board feet"):
        recovery(-1.0, [long])
