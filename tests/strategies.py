"""Awkward logs, timbers and kits for the tests of the core.

Nothing here is square, equal or centered unless a test asks for it. All of it is invented.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st

from pithline.arrays import Floats
from pithline.fit import Placement, Timber, section_corners
from pithline.logs import (
    LogSolid,
    Middle,
    SliceLog,
    SliceRow,
    TallyLog,
    rotation,
    solid_from_tally,
    tally_faults,
)
from pithline.setup import Bearers, Horses, Kit, Level, Mill, Rail, Saw, String, Tape, Work

INCH = 25.4
FOOT = 304.8

FACE_SHARE = 1.0 - math.cos(math.pi / 72)
"""How much of its radius a circle loses at the faces of an inscribed polygon of 72 sides."""

clocks = st.floats(1.0, 12.99)
rolls = st.floats(-180.0, 180.0)


def generated(examples: int) -> settings:
    """Settings of a test on generated inputs: the same inputs in every run, and no clock."""
    return settings(max_examples=examples, derandomize=True, deadline=None, database=None)


@st.composite
def tally_logs(draw: st.DrawFn, *, oval: bool = True, middles: bool = True, crown: float = 0.3) -> TallyLog:
    """A row of the yard that is a log: tapered, crooked up to a share of its tip, maybe oval."""
    length = draw(st.floats(700.0, 9_000.0))
    tip = draw(st.floats(110.0, 600.0))
    butt = tip * draw(st.floats(1.0, 1.6))
    extra: dict[str, Any] = {}
    if oval and draw(st.booleans()):
        share = draw(st.floats(0.85, 1.12))
        extra["butt_2_mm"] = butt * share
        extra["tip_2_mm"] = tip * share * draw(st.floats(0.9, 1.0))
        extra["oval_clock"] = draw(clocks)
    if middles and draw(st.booleans()):
        places = sorted(draw(st.lists(st.integers(1, 9), min_size=1, max_size=3, unique=True)))
        share = draw(st.floats(0.9, 1.05))
        extra["middles"] = tuple(Middle(0.1 * k * length, share * (butt + 0.1 * k * (tip - butt))) for k in places)
    if draw(st.booleans()):
        extra["bark_mm"] = draw(st.floats(0.0, 20.0))
    if draw(st.booleans()):
        extra["crown_at_mm"] = draw(st.floats(0.15, 0.85)) * length
    row = TallyLog(
        tag="generated",
        species="spruce",
        length_mm=length,
        butt_mm=butt,
        tip_mm=tip,
        crown_mm=draw(st.just(0.0) | st.floats(0.005, crown)) * tip,
        crown_clock=draw(clocks),
        butt_pith_mm=draw(st.floats(0.0, 0.12)) * tip,
        butt_pith_clock=draw(clocks),
        tip_pith_mm=draw(st.floats(0.0, 0.12)) * tip,
        tip_pith_clock=draw(clocks),
        **extra,
    )
    assert not tally_faults(row), "the generator makes logs"
    return row


def solids(**options: Any) -> st.SearchStrategy[LogSolid]:
    """The solid of a generated row of the yard."""
    return tally_logs(**options).map(solid_from_tally)


@st.composite
def slice_logs(draw: st.DrawFn) -> SliceLog:
    """A scanned log: slices at uneven places, oval ones at turning angles, leaning a little."""
    count = draw(st.integers(2, 8))
    gaps = [draw(st.floats(60.0, 900.0)) for _ in range(count)]
    stations = np.cumsum([draw(st.floats(-500.0, 500.0)), 400.0 + gaps[0], *gaps[1:]])
    radius = draw(st.floats(90.0, 250.0))
    rows = [
        SliceRow(
            station_mm=float(station),
            x_mm=draw(st.floats(-40.0, 40.0)),
            y_mm=draw(st.floats(-40.0, 40.0)),
            axis_1_mm=2.0 * radius * draw(st.floats(0.9, 1.1)),
            axis_2_mm=2.0 * radius * draw(st.floats(0.9, 1.1)),
            angle_deg=draw(st.floats(-180.0, 180.0)),
        )
        for station in stations
    ]
    return SliceLog("scanned", "pine", tuple(draw(st.permutations(rows))))


@st.composite
def timbers(draw: st.DrawFn, log: LogSolid, *, low: float = 0.25, high: float = 0.8, wane: bool = True) -> Timber:
    """A timber whose sides are unequal shares of the log's least diameter."""
    least = min(float(2.0 * np.linalg.eigvalsh(shape)[0]) for shape in log.shape_mm)
    thickness = max(12.0, least * draw(st.floats(low, high)))
    width = max(12.0, least * draw(st.floats(low, high)))
    allowance = draw(st.sampled_from([0.0, 3.175, 5.0]))
    share = draw(st.floats(0.0, 0.4)) if wane and draw(st.booleans()) else 0.0
    return Timber(
        thickness,
        width,
        sawn_faces=draw(st.sampled_from([2, 3, 4])),
        allowance_mm=allowance,
        wane_mm=share * min(thickness, width),
    )


@st.composite
def logs_and_timbers(draw: st.DrawFn, **options: Any) -> tuple[LogSolid, Timber]:
    """A log, and a timber of about its size."""
    log = draw(solids(**options))
    return log, draw(timbers(log))


KIT = Kit(
    saw=Saw(kerf_mm=0.375 * INCH, kerf_give_mm=INCH / 32, feed_m2_min=0.2),
    mill=Mill(
        cut_width_mm=22 * INCH,
        setting_min_mm=0.5 * INCH,
        setting_max_mm=13 * INCH,
        setting_step_mm=INCH / 16,
        footprint_mm=18 * INCH,
        mass_kg=12.0,
        wander_mm=1.5,
    ),
    rail=Rail(
        length_mm=10 * FOOT,
        thickness_mm=3.125 * INCH,
        width_mm=9 * INCH,
        stiffeners=2,
        member_breadth_mm=1.5 * INCH,
        member_depth_mm=3.125 * INCH,
        modulus_mpa=9650.0,
        mass_kg_m=3.2,
        sag_limit_mm=INCH / 16,
    ),
    bearers=Bearers(
        count=6,
        base_width_mm=5.5 * INCH,
        height_min_mm=5 * INCH,
        height_max_mm=22 * INCH,
        post_width_mm=7.25 * INCH,
        post_taper_deg=5.0,
        seat_mm=1.5 * INCH,
        end_inset_mm=0.0,
    ),
    horses=Horses(height_mm=18 * INCH),
    string=String(mass_g_m=1.4, tension_n=50.0),
    level=Level(error_mm_m=0.5),
    tape=Tape(
        error_mm=0.5,
        error_mm_m=0.2,
        reading_mm=INCH / 16,
        diameter_give_mm=0.25 * INCH,
        crown_give_mm=0.5 * INCH,
    ),
    work=Work(
        rail_min=40.0,
        turn_min=10.0,
        pass_min=5.0,
        edge_min=4.0,
        buck_min=5.0,
        log_min=90.0,
        cost_an_hour=20.0,
        rest_mm=INCH,
        slender=4.0,
    ),
    datum_step_mm=INCH,
    name="invented kit",
)
"""A kit with the numbers of the one the program starts from, written out apart from it."""


def altered(kit: Kit, part: str, **values: float) -> Kit:
    """The kit with some numbers of one part replaced."""
    return replace(kit, **{part: replace(getattr(kit, part), **values)})


@st.composite
def kits(draw: st.DrawFn) -> Kit:
    """A kit that reaches far, with rails, mills and bearers of many sizes."""
    foot = draw(st.floats(200.0, 600.0))
    kit = altered(
        KIT,
        "rail",
        length_mm=foot * draw(st.floats(2.05, 9.0)),
        thickness_mm=draw(st.floats(40.0, 120.0)),
        width_mm=draw(st.floats(120.0, 260.0)),
        member_depth_mm=draw(st.floats(60.0, 160.0)),
        sag_limit_mm=draw(st.floats(0.8, 6.0)),
    )
    kit = altered(
        kit,
        "bearers",
        count=float(draw(st.integers(20, 60))),
        base_width_mm=draw(st.floats(20.0, 90.0)),
        height_min_mm=draw(st.floats(20.0, 80.0)),
        height_max_mm=2_000.0,
        post_width_mm=600.0,
        seat_mm=draw(st.floats(10.0, 60.0)),
        end_inset_mm=draw(st.floats(0.0, 120.0)),
    )
    kit = altered(
        kit,
        "mill",
        footprint_mm=foot,
        cut_width_mm=1_500.0,
        setting_max_mm=2_000.0,
        mass_kg=draw(st.floats(6.0, 20.0)),
    )
    return altered(kit, "saw", kerf_mm=draw(st.floats(5.0, 12.0)))


def mirrored(row: TallyLog) -> TallyLog:
    """The row of the log that a mirror on its left shows."""

    def across(clock: float) -> float:
        return (12.0 - clock - 1.0) % 12.0 + 1.0

    return replace(
        row,
        crown_clock=across(row.crown_clock),
        oval_clock=across(row.oval_clock),
        butt_pith_clock=across(row.butt_pith_clock),
        tip_pith_clock=across(row.tip_pith_clock),
    )


def round_log(diameter_mm: float, length_mm: float, *, tip_mm: float | None = None, **more: Any) -> LogSolid:
    """A round log, straight unless a crown is given, inside bark."""
    tip = diameter_mm if tip_mm is None else tip_mm
    return solid_from_tally(TallyLog("round", "spruce", length_mm, diameter_mm, tip, bark_mm=0.0, **more))


def outline_at(log: LogSolid, z_mm: float) -> Floats:
    """Corners of the log's polygon anywhere, straight between its stations: written apart."""
    points = log.outlines().reshape(len(log.z_mm), -1)
    return np.array([np.interp(z_mm, log.z_mm, column) for column in points.T]).reshape(-1, 2)


def section_between(placed: Placement, z_mm: float, *, wane: bool = True) -> Floats:
    """Corners of the placed timber anywhere along it, less what may be missing: written apart."""
    timber = placed.timber
    share = (z_mm - placed.start_mm) / (placed.end_mm - placed.start_mm)
    center = (1.0 - share) * placed.center_butt_mm + share * placed.center_tip_mm
    b, h = 0.5 * timber.cut_width_mm, 0.5 * timber.cut_thickness_mm
    m = timber.wane_mm if wane else 0.0
    if m > 0.0:
        points = [(-b + m, -h), (b - m, -h), (b, -h + m), (b, h - m)]
        points += [(b - m, h), (-b + m, h), (-b, h - m), (-b, -h + m)]
        corners = np.array(points)
    else:
        corners = section_corners(2.0 * b, 2.0 * h)
    # The log is turned clockwise by the roll, so as it was tallied the timber lies turned back.
    back = rotation(-placed.roll_deg)
    return np.asarray(center + corners @ back.T)


def give_between_stations(log: LogSolid) -> float:
    """How far a straight timber may reach past the log between two stations it clears.

    Where the outline of an oval log changes its shape, its middle between two stations
    lies inside the mean of the two. The mean is what a timber's rows hold.
    """
    outline = log.outlines()
    middle = 0.5 * (outline[:-1] + outline[1:])
    edge = np.roll(middle, -1, axis=1) - middle
    normal = np.stack([edge[..., 1], -edge[..., 0]], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)

    def reach(points: Floats) -> Floats:
        return np.asarray(np.einsum("nki,nji->nkj", normal, points).max(axis=-1))

    most = 0.5 * (reach(outline[:-1]) + reach(outline[1:])) - reach(middle)
    return 1.05 * float(most.max()) + 1e-6
