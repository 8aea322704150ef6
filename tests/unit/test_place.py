"""Where a timber lies: turned, mirrored, measured again by shapely, and never beaten."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import linprog

from pithline.fit import Kind, Timber, clearance, crown_rolls, largest, pith_margin, place, section_corners
from pithline.fit.rows import wood_rows
from pithline.fit.search import RollSearch
from pithline.fit.timber import timber_growth
from pithline.logs import Middle, TallyLog, direction_of, section_at, solid_from_tally, turned
from strategies import (
    FACE_SHARE,
    generated,
    give_between_stations,
    logs_and_timbers,
    mirrored,
    outline_at,
    rolls,
    round_log,
    section_between,
    solids,
    tally_logs,
    timbers,
)

PROOF_MM = 0.1
"""No roll does better than the answer by more than this: what the program promises."""

TIE_MM = 0.02
"""At most this much clearance is given up to lie nearer the pith."""

SHARP = shapely.BufferJoinStyle(2)
"""Moves the faces of a polygon and keeps its corners sharp."""

SEEN = np.linspace(0.0, 1.0, 53)
"""Where along a timber it is looked at: both ends, and mostly between the log's stations."""


def grown(outline, by_mm):
    """A polygon with every face moved outward, or inward where negative."""
    return shapely.Polygon(outline).buffer(by_mm, join_style=SHARP)


def check_inside(placed):
    """At every place along it the timber keeps its clearance to bark."""
    give = give_between_stations(placed.log)
    stations = placed.start_mm + SEEN * (placed.end_mm - placed.start_mm)
    on = placed.log.z_mm[(placed.log.z_mm > placed.start_mm) & (placed.log.z_mm < placed.end_mm)]
    for z in np.concatenate([stations, on]):
        wood = grown(outline_at(placed.log, z), -placed.clearance_mm + give)
        assert wood.covers(shapely.Polygon(section_between(placed, z)))


@generated(20)
@given(logs_and_timbers())
def test_every_section_of_a_placed_timber_keeps_its_clearance(pair):
    placed = place(*pair)
    check_inside(placed)
    assert placed.fits == (placed.clearance_mm >= -1e-6)
    # The corners handed out are those of the sections seen here.
    for z, corners in (
        (placed.start_mm, placed.corners_butt_mm),
        (placed.end_mm, placed.corners_tip_mm),
    ):
        assert corners == pytest.approx(section_between(placed, z, wane=False), abs=1e-9)


@generated(25)
@given(logs_and_timbers(), st.sampled_from(["best", "crown-side", "crown-up", 23.7]))
def test_the_answer_is_within_a_tenth_of_its_bound(pair, roll):
    placed = place(*pair, roll=roll)
    assert placed.status == "proven"
    assert placed.clearance_mm <= placed.bound_mm + 1e-6
    assert placed.bound_mm - placed.clearance_mm <= PROOF_MM
    # What another roll would give is told, and is no less.
    assert placed.best_clearance_mm >= placed.clearance_mm - PROOF_MM
    if roll != "best":
        # At one roll only what is given up to lie nearer the pith is left.
        assert placed.bound_mm - placed.clearance_mm <= TIE_MM + 1e-6
        best = place(*pair)
        assert placed.clearance_mm <= best.bound_mm + 1e-6
        assert placed.best_clearance_mm == pytest.approx(best.clearance_mm, abs=PROOF_MM)


@generated(20)
@given(logs_and_timbers(), st.lists(st.floats(0.0, math.pi), min_size=8, max_size=8))
def test_no_roll_beats_the_bound(pair, others):
    log, timber = pair
    placed = place(log, timber)
    search = RollSearch(wood_rows(log), timber_growth(timber))
    assert max(search.at(roll).value for roll in others) <= placed.bound_mm + 1e-6


@generated(20)
@given(logs_and_timbers(), rolls)
def test_turning_the_log_first_changes_nothing(pair, turn):
    log, timber = pair
    here, there = place(log, timber), place(turned(log, turn), timber)
    # The 72 corners of an outline stand at fixed clock positions, so a turned round is cut otherwise.
    radius = max(float(np.linalg.norm(shape, 2)) for shape in log.shape_mm)
    assert there.clearance_mm == pytest.approx(here.clearance_mm, abs=PROOF_MM + 1.2 * FACE_SHARE * radius)


@generated(20)
@given(solids(oval=False), st.data(), st.integers(-36, 36))
def test_turning_a_round_log_by_whole_faces_changes_nothing_at_all(log, data, faces):
    timber = data.draw(timbers(log))
    here, there = place(log, timber), place(turned(log, 5.0 * faces), timber)
    assert there.clearance_mm == pytest.approx(here.clearance_mm, abs=PROOF_MM)


@generated(20)
@given(tally_logs(), st.data())
def test_a_mirror_shows_the_same_clearance(row, data):
    log, image = solid_from_tally(row), solid_from_tally(mirrored(row))
    assert image.center_mm == pytest.approx(log.center_mm * [-1.0, 1.0], abs=1e-9)
    timber = data.draw(timbers(log))
    here, there = place(log, timber), place(image, timber)
    assert there.clearance_mm == pytest.approx(here.clearance_mm, abs=PROOF_MM)


@generated(15)
@given(logs_and_timbers())
def test_end_for_end_it_is_the_same_log(pair):
    log, timber = pair
    back = replace(
        log,
        z_mm=log.length_mm - log.z_mm[::-1],
        center_mm=log.center_mm[::-1],
        shape_mm=log.shape_mm[::-1],
        pith_mm=log.pith_mm[::-1],
    )
    assert place(back, timber).clearance_mm == pytest.approx(place(log, timber).clearance_mm, abs=PROOF_MM)


@generated(15)
@given(logs_and_timbers())
def test_twice_as_thick_has_twice_the_room(pair):
    log, timber = pair
    thick = replace(log, center_mm=2.0 * log.center_mm, shape_mm=2.0 * log.shape_mm, pith_mm=2.0 * log.pith_mm)
    large = replace(
        timber,
        thickness_mm=2.0 * timber.thickness_mm,
        width_mm=2.0 * timber.width_mm,
        allowance_mm=2.0 * timber.allowance_mm,
        wane_mm=2.0 * timber.wane_mm,
    )
    assert 0.5 * place(thick, large).clearance_mm == pytest.approx(place(log, timber).clearance_mm, abs=1.5 * PROOF_MM)


@generated(25)
@given(logs_and_timbers())
def test_thickness_and_width_change_places_with_a_quarter_turn(pair):
    log, timber = pair
    timber = replace(timber, sawn_faces=4)
    other = replace(timber, thickness_mm=timber.width_mm, width_mm=timber.thickness_mm)
    for roll in (0.0, 33.0, -71.5):
        assert place(log, other, roll=roll + 90.0, against_best=False).clearance_mm == pytest.approx(
            place(log, timber, roll=roll, against_best=False).clearance_mm, abs=1e-6
        )


@generated(12)
@given(logs_and_timbers(), st.floats(0.5, 20.0))
def test_a_larger_timber_never_has_more_room_and_wane_never_less(pair, more):
    log, timber = pair
    timber = replace(timber, wane_mm=0.0)
    here = place(log, timber)
    wider = place(log, replace(timber, width_mm=timber.width_mm + more))
    assert wider.clearance_mm <= here.bound_mm + 1e-6
    # No corner moves by more than half of what was added.
    assert wider.bound_mm >= here.clearance_mm - 0.5 * more - 1e-6
    missing = min(more, 0.5 * min(timber.width_mm, timber.thickness_mm))
    waned = place(log, replace(timber, wane_mm=missing))
    assert waned.bound_mm >= here.clearance_mm - 1e-6


# --- nearest the pith --------------------------------------------------------


def nearest_by_brute_force(log, placed, goal_mm, directions=360):
    """Least sum of distances from both centers to the pith, at the same roll and clearance.

    Written apart: rows of corners, not of a folded section, and a general solver.
    """
    outline = log.outlines()
    edge = np.roll(outline, -1, axis=1) - outline
    normal = np.stack([edge[..., 1], -edge[..., 0]], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    limit = (normal * outline).sum(axis=-1)
    share = log.z_mm / log.length_mm
    corners = section_between(placed, placed.start_mm) - placed.center_butt_mm
    rows, sides = [], []
    for k, part in enumerate(share):
        far = (normal[k] @ corners.T).max(axis=1)
        rows.append(np.column_stack([normal[k] * (1 - part), normal[k] * part, np.zeros((72, 2))]))
        sides.append(limit[k] - far - goal_mm)
    angle = np.arange(directions) * 2.0 * np.pi / directions
    around = np.column_stack([np.cos(angle), np.sin(angle)])
    nothing, less = np.zeros_like(around), -np.ones(directions)
    rows.append(np.column_stack([around, nothing, less, 0.0 * less]))
    rows.append(np.column_stack([nothing, around, 0.0 * less, less]))
    sides += [around @ log.pith_mm[0], around @ log.pith_mm[-1]]
    answer = linprog(
        [0, 0, 0, 0, 1.0, 1.0],
        A_ub=np.concatenate(rows),
        b_ub=np.concatenate(sides),
        bounds=(None, None),
    )
    assert answer.status == 0
    return answer.fun


def off_the_pith(placed):
    log = placed.log
    return float(
        np.linalg.norm(placed.center_butt_mm - log.pith_mm[0]) + np.linalg.norm(placed.center_tip_mm - log.pith_mm[-1])
    )


@generated(15)
@given(logs_and_timbers(), st.floats(0.0, 12.0))
def test_no_placement_as_good_lies_nearer_the_pith(pair, given_up):
    log, timber = pair
    best = place(log, timber, roll=17.0, against_best=False)
    placed = place(log, timber, roll=17.0, against_best=False, wanted_clearance_mm=best.clearance_mm - given_up)
    assert placed.clearance_mm >= best.clearance_mm - given_up - 1e-3
    least = nearest_by_brute_force(log, placed, placed.clearance_mm)
    # Distances are measured along 24 directions, which see up to 0.9 % less than there is.
    assert off_the_pith(placed) <= least / math.cos(math.pi / 24) + 0.01
    assert off_the_pith(placed) <= off_the_pith(best) / math.cos(math.pi / 24) + 0.01


@generated(12)
@given(solids(crown=0.05), st.data())
def test_a_timber_with_room_to_spare_lies_on_the_pith(log, data):
    timber = data.draw(timbers(log, low=0.1, high=0.2))
    placed = place(log, timber, wanted_clearance_mm=0.0)
    assert placed.clearance_mm >= -1e-3
    assert off_the_pith(placed) == pytest.approx(0.0, abs=0.05)


# --- heart rules -------------------------------------------------------------


@generated(12)
@given(solids(), st.data())
def test_a_boxed_heart_is_inside_by_its_margin_all_along(log, data):
    timber = data.draw(timbers(log, low=0.3, high=0.7))
    margin = 0.3 * min(timber.thickness_mm, timber.width_mm) * data.draw(st.floats(0.0, 1.0))
    timber = replace(timber, heart="boxed", heart_margin_mm=margin)
    placed = place(log, timber)
    if placed.status == "none":
        # Even a general search over the rows finds no room for it: the pith bends too far.
        bend = np.linalg.norm(log.pith_mm - np.outer(1 - SEEN[:1], log.pith_mm[0]), axis=1).max()
        assert bend > 0.0
        return
    check_inside(placed)
    for z in placed.start_mm + SEEN * (placed.end_mm - placed.start_mm):
        section = shapely.Polygon(section_between(placed, z, wane=False))
        pith = shapely.Point(section_at(log, z).pith_mm)
        assert section.buffer(-margin + 1e-6, join_style=SHARP).covers(pith)
    assert placed.pith_inside_mm >= margin - 1e-6
    free = place(log, replace(timber, heart="any"))
    assert placed.clearance_mm <= free.bound_mm + 1e-6


@generated(6)
@given(solids(), st.data())
def test_a_timber_free_of_heart_has_the_pith_beyond_one_side_all_along(log, data):
    timber = data.draw(timbers(log, low=0.12, high=0.35, wane=False))
    margin = data.draw(st.floats(0.0, 13.0))
    timber = replace(timber, heart="free", heart_margin_mm=margin)
    placed = place(log, timber)
    assert placed.status in {"proven", "stopped"}
    assert placed.clearance_mm <= placed.bound_mm + 1e-6
    if placed.status == "proven":
        assert placed.bound_mm - placed.clearance_mm <= PROOF_MM
    check_inside(placed)
    for z in placed.start_mm + SEEN * (placed.end_mm - placed.start_mm):
        section = shapely.Polygon(section_between(placed, z, wane=False))
        assert section.distance(shapely.Point(section_at(log, z).pith_mm)) >= margin - 1e-6
    assert placed.pith_outside_mm >= margin - 1e-6


def test_the_pith_cannot_be_kept_inside_where_it_bends_more_than_the_timber_is_thick():
    # The straight line closest to a parabola of 120 mm leaves 60 mm on either side.
    log = round_log(500.0, 4_000.0, crown_mm=120.0, crown_clock=12.0)
    too_thin = Timber(100.0, 100.0, heart="boxed", heart_margin_mm=10.0)
    placed = place(log, too_thin)
    assert placed.status == "none"
    assert not placed.fits
    assert placed.timber.heart == "boxed"
    # Where the 60 mm lie along the diagonal the reach is 60 / sqrt 2 each way: 55 and 10 do.
    assert place(log, replace(too_thin, thickness_mm=105.0, width_mm=106.0)).fits


def test_a_straight_round_log_boxes_its_heart_at_the_center():
    log = round_log(400.0, 3_000.0, tip_mm=350.0)
    placed = place(log, Timber(150.0, 200.0, heart="boxed"))
    # The thickness is the nearer side: half of it all along.
    assert placed.pith_inside_mm == pytest.approx(75.0, abs=0.1)
    assert placed.pith_outside_mm < 0.0


# --- turns -------------------------------------------------------------------


@generated(40)
@given(solids(), st.data())
def test_crown_rules_bring_the_crown_where_they_say_by_the_shortest_turn(log, data):
    timber = data.draw(timbers(log))
    for rule, wanted in (("crown-side", (3.0, 9.0)), ("crown-up", (12.0,))):
        turns = crown_rolls(log, rule)
        placed = place(log, timber, roll=rule, against_best=False)
        if log.crown_clock is None:
            assert turns == (0.0,)
            assert placed.roll_deg == 0.0
            continue
        assert len(turns) == len(wanted)
        for turn in turns:
            assert -180.0 < turn <= 180.0
            crown = direction_of(log.crown_clock + turn / 30.0)
            nearest = max(float(crown @ direction_of(hours)) for hours in wanted)
            assert nearest == pytest.approx(1.0, abs=1e-9)
        # Half a turn leaves the timber where it is, so the shorter way round is taken.
        assert placed.roll_deg == pytest.approx(turns[0], abs=1e-9)
        assert abs(turns[0]) == pytest.approx(min(abs(turn) for turn in turns))
        if rule == "crown-side":
            assert abs(turns[0]) <= 90.0 + 1e-9


@generated(25)
@given(logs_and_timbers(), st.floats(-700.0, 700.0))
def test_a_given_roll_is_kept_the_shorter_way_round(pair, roll):
    placed = place(*pair, roll=roll, against_best=False)
    assert -180.0 < placed.roll_deg <= 180.0
    assert (placed.roll_deg - roll) / 360.0 == pytest.approx(round((placed.roll_deg - roll) / 360.0))
    assert place(*pair, roll=roll + 180.0, against_best=False).clearance_mm == pytest.approx(
        placed.clearance_mm, abs=1e-6
    )


@generated(25)
@given(logs_and_timbers())
def test_the_best_roll_is_told_the_shorter_way_round(pair):
    placed = place(*pair)
    period = 90.0 if pair[1].cut_width_mm == pair[1].cut_thickness_mm else 180.0
    assert -0.5 * period < placed.roll_deg <= 0.5 * period + 1e-9


def test_among_rolls_as_good_the_log_is_turned_least():
    # Round and straight: every roll is as good, so the log is left as it lies.
    placed = place(round_log(400.0, 3_000.0), Timber(100.0, 170.0))
    assert placed.roll_deg == pytest.approx(0.0, abs=1e-9)


# --- the spot that binds -----------------------------------------------------


@generated(40)
@given(logs_and_timbers())
def test_the_spot_told_is_where_shapely_finds_the_least_room(pair):
    log, timber = pair
    placed = place(log, timber)
    spot = placed.spot
    assert spot.clearance_mm == placed.clearance_mm
    assert np.isclose(log.z_mm, spot.station_mm).any()
    corner = section_between(placed, spot.station_mm, wane=False)[spot.corner]
    wood = shapely.Polygon(outline_at(log, spot.station_mm))
    if placed.clearance_mm > 0.0 and timber.wane_mm == 0.0:
        room = wood.exterior.distance(shapely.Point(corner))
        assert room == pytest.approx(placed.clearance_mm, abs=1e-6)
    # The clock is that of the corner about the section's center, as tallied.
    away = corner - section_at(log, spot.station_mm).center_mm
    seen = direction_of(spot.clock)
    bent = 2.0 * timber.wane_mm + 1e-6
    assert abs(away[0] * seen[1] - away[1] * seen[0]) <= bent
    assert away @ seen > -bent


def test_a_corner_pushed_out_is_told_with_what_is_missing():
    log = round_log(400.0, 3_000.0, tip_mm=360.0)
    corners = section_corners(200.0, 140.0)
    level = (np.array([31.0, -14.0]), np.array([31.0, -14.0]))
    spot = clearance(log, (0.0, 3_000.0), centers_mm=level, roll_deg=0.0, corners_mm=corners)
    # Right, low corner at (131, -84) in a tip of radius 180: 155.6 mm out, 24.4 mm left,
    # less up to 0.1 % of the radius to the flat face.
    assert spot.station_mm == 3_000.0
    assert spot.corner == 1
    assert spot.clearance_mm == pytest.approx(180.0 - math.hypot(131.0, 84.0), abs=0.18)
    assert spot.clock == pytest.approx(math.degrees(math.atan2(131.0, -84.0)) / 30.0)
    far = (np.array([31.0, -14.0]), np.array([81.0, -14.0]))
    spot = clearance(log, (0.0, 3_000.0), centers_mm=far, roll_deg=0.0, corners_mm=corners)
    assert spot.clearance_mm == pytest.approx(180.0 - math.hypot(181.0, 84.0), abs=0.4)
    assert spot.clearance_mm < 0.0


def test_wane_takes_the_corner_off_along_both_faces():
    log = round_log(300.0, 3_000.0)
    center = (np.zeros(2), np.zeros(2))
    spots = [
        clearance(
            log,
            (0.0, 3_000.0),
            centers_mm=center,
            roll_deg=0.0,
            corners_mm=section_corners(180.0, 140.0),
            wane_mm=wane,
        ).clearance_mm
        for wane in (0.0, 20.0)
    ]
    # Corner at (90, 70); with 20 mm of wane the points at (70, 70) and (90, 50).
    assert spots[0] == pytest.approx(150.0 - math.hypot(90.0, 70.0), abs=0.15)
    assert spots[1] == pytest.approx(150.0 - math.hypot(90.0, 50.0), abs=0.15)


def test_pith_margin_by_hand():
    log = round_log(400.0, 3_000.0, butt_pith_mm=30.0, butt_pith_clock=3.0)
    center = (np.array([10.0, 0.0]), np.array([10.0, 0.0]))
    # The pith runs from x = 30 to 0 while the center stays at 10: 20 right, then 10 left of it.
    inside, outside = pith_margin(log, (0.0, 3_000.0), centers_mm=center, roll_deg=0.0, half_mm=(50.0, 80.0))
    assert inside == pytest.approx(30.0)
    # Its right side comes nearest to keeping it out, and misses by 50 + 10 at the tip.
    assert outside == pytest.approx(-60.0)
    # Turned a quarter clockwise it lies in the thickness.
    inside, _ = pith_margin(log, (0.0, 3_000.0), centers_mm=center, roll_deg=90.0, half_mm=(50.0, 25.0))
    assert inside == pytest.approx(5.0)
    # Pushed 90 mm to the left the timber has the pith 30 mm and more beyond its right side.
    left = (np.array([-90.0, 0.0]), np.array([-90.0, 0.0]))
    _, outside = pith_margin(log, (0.0, 3_000.0), centers_mm=left, roll_deg=0.0, half_mm=(60.0, 80.0))
    assert outside == pytest.approx(30.0)


# --- lengths -----------------------------------------------------------------


@generated(10)
@given(solids(), st.data(), st.floats(0.4, 0.97))
def test_a_shorter_timber_finds_its_place_along_the_log(log, data, share):
    timber = data.draw(timbers(log, high=0.6))
    length = max(200.0, share * log.length_mm)
    assume(length < log.length_mm)
    placed = place(log, replace(timber, length_mm=length))
    assert placed.start_mm >= 0.0
    assert placed.end_mm <= log.length_mm + 1e-6
    assert placed.end_mm - placed.start_mm == pytest.approx(length)
    assert placed.short_mm == 0.0
    check_inside(placed)
    whole = place(log, timber)
    # A stretch of the whole timber would do as well.
    assert placed.clearance_mm >= whole.clearance_mm - PROOF_MM - give_between_stations(log)
    growth = timber_growth(timber)
    search = RollSearch(wood_rows(log, start_mm=placed.start_mm, end_mm=placed.end_mm), growth)
    for roll in (0.3, 1.1, 1.9, 2.7):
        assert search.at(roll).value <= placed.bound_mm + 1e-6
    # At this roll no other place does better.
    room = log.length_mm - length
    for start in np.linspace(0.0, room, max(1, math.ceil(room / 250.0)) + 1):
        end = min(float(start) + length, log.length_mm)
        there = RollSearch(wood_rows(log, start_mm=float(start), end_mm=end), growth)
        assert there.at(math.radians(placed.roll_deg)).value <= placed.bound_mm + 0.01


@pytest.mark.parametrize("number", range(6))
def test_no_other_place_along_the_log_is_much_better(number):
    rng = np.random.default_rng(300 + number)
    tip, length = rng.uniform(220.0, 400.0), rng.uniform(3_000.0, 6_000.0)
    log = round_log(
        1.2 * tip,
        length,
        tip_mm=tip,
        butt_2_mm=1.15 * tip,
        tip_2_mm=0.95 * tip,
        oval_clock=rng.uniform(1.0, 12.9),
        crown_mm=rng.uniform(0.1, 0.3) * tip,
        crown_clock=rng.uniform(1.0, 12.9),
        crown_at_mm=rng.uniform(0.25, 0.75) * length,
        middles=(Middle(0.6 * length, 1.02 * tip),),
    )
    timber = Timber(0.4 * tip, 0.55 * tip, length_mm=0.7 * length)
    placed = place(log, timber)
    room = 0.3 * length
    best = -math.inf
    for start in np.linspace(0.0, room, math.ceil(room / 250.0) + 1):
        end = min(float(start) + 0.7 * length, length)
        search = RollSearch(wood_rows(log, start_mm=float(start), end_mm=end), timber_growth(timber))
        found = search.best(math.pi, tolerance=0.02, limit=2_000)
        best = max(best, found.best.value)
    # Places are climbed to, not all searched; what that may cost is far under what a tape reads.
    assert best - 2.0 <= placed.clearance_mm <= best + 0.05


@generated(12)
@given(logs_and_timbers(), st.floats(0.6, 4_000.0))
def test_a_log_too_short_is_told_by_how_much(pair, short):
    log, timber = pair
    placed = place(log, replace(timber, length_mm=log.length_mm + short))
    whole = place(log, timber)
    assert not placed.fits
    assert placed.short_mm == pytest.approx(short)
    assert placed.clearance_mm == pytest.approx(whole.clearance_mm, abs=1e-9)
    assert placed.spare_mm == pytest.approx(min(whole.clearance_mm, -short))
    assert (placed.start_mm, placed.end_mm) == (0.0, log.length_mm)


def test_a_log_short_by_the_width_of_a_line_is_long_enough():
    log = round_log(400.0, 3_000.0)
    placed = place(log, Timber(150.0, 200.0, length_mm=3_000.4))
    assert placed.fits
    assert placed.short_mm == 0.0


# --- a miss ------------------------------------------------------------------


def with_tip(row, tip_mm):
    """The row of a log with this mean tip diameter inside bark; same taper, crown and oval."""
    log = solid_from_tally(row)
    more = tip_mm - float(np.trace(log.shape_mm[-1]))
    return replace(
        row,
        butt_mm=row.butt_mm + more,
        tip_mm=row.tip_mm + more,
        butt_2_mm=None if row.butt_2_mm is None else row.butt_2_mm + more,
        tip_2_mm=None if row.tip_2_mm is None else row.tip_2_mm + more,
        middles=tuple(
            Middle(m.at_mm, m.first_mm + more, None if m.second_mm is None else m.second_mm + more) for m in row.middles
        ),
    )


@generated(25)
@given(tally_logs(), st.data())
def test_a_log_with_the_tip_that_a_miss_asks_for_holds_the_timber(row, data):
    log = solid_from_tally(row)
    timber = data.draw(timbers(log, low=0.5, high=1.1))
    placed = place(log, timber)
    here = float(np.trace(log.shape_mm[-1]))
    if placed.fits:
        assert placed.needed_tip_diameter_mm == pytest.approx(here)
        return
    needed = placed.needed_tip_diameter_mm
    assert needed > here
    assume(needed < 2_000.0)
    larger = place(solid_from_tally(with_tip(row, needed)), timber)
    assert larger.fits
    # And it does not ask for much more than it must: a tenth less is too little for round logs.
    if row.butt_2_mm is None:
        less = here + 0.9 * (needed - here) - 2.0 * PROOF_MM
        if less > here:
            assert not place(solid_from_tally(with_tip(row, less)), timber).fits


# --- all the way ------------------------------------------------------------


def test_a_row_of_the_yard_goes_all_the_way_through():
    row = TallyLog(
        "A3",
        "spruce",
        6_401.0,
        420.0,
        330.0,
        crown_mm=50.0,
        crown_clock=2.0,
        middles=(Middle(3_000.0, 371.0),),
    )
    placed = place(solid_from_tally(row), Timber(152.4, 203.2, allowance_mm=3.175))
    assert placed.fits
    assert placed.programs > 5


def test_what_a_turn_makes_fit_is_not_called_a_miss_for_the_sake_of_leaving_the_log_as_it_lies():
    # The largest square of an oval log, a little turned, is short by less than a tenth as the log lies.
    log = round_log(300.0, 2_500.0, tip_mm=300.0, butt_2_mm=280.0, tip_2_mm=280.0, oval_clock=3.015)
    answer = largest(log, Kind(ratio=0.7))
    timber = answer.placement.timber
    assert -PROOF_MM < place(log, timber, roll=0.0, against_best=False).clearance_mm < 0.0
    assert place(log, timber).fits
