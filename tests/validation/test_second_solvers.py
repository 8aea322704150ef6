"""The core against general libraries that know nothing of it.

highspy (HiGHS) and scipy solve the same rows; scipy's global search moves all five unknowns of a
placement; shapely measures placed sections; trimesh the volume of the log as a mesh; scipy draws the
monotone curve. The logs are invented.
"""

import math

import highspy
import numpy as np
import pytest
import shapely
import trimesh
from scipy.interpolate import PchipInterpolator
from scipy.optimize import differential_evolution, linprog

from conftest import Outside
from pithline.fit import Kind, Timber, largest, place
from pithline.fit.rows import wood_rows
from pithline.fit.search import RollSearch
from pithline.fit.timber import timber_growth
from pithline.logs import FACES, Middle, TallyLog, section_at, solid_from_tally
from pithline.logs.interpolate import monotone
from strategies import outline_at, section_between

ROWS = (
    TallyLog(
        "long", "spruce", 6_401.0, 421.0, 333.0, 409.0, 327.0, oval_clock=1.6, crown_mm=58.0, crown_clock=2.3,
        crown_at_mm=2_900.0, bark_mm=9.0, butt_pith_mm=12.0, butt_pith_clock=7.1, middles=(Middle(3_100.0, 371.0),),
    ),
    TallyLog(
        "short", "pine", 2_740.0, 288.0, 251.0, 301.0, 249.0, oval_clock=4.2, crown_mm=21.0, crown_clock=10.4,
        tip_pith_mm=9.0, tip_pith_clock=5.5,
    ),
    TallyLog(
        "crooked", "maple", 4_115.0, 512.0, 446.0, crown_mm=139.0, crown_clock=6.7, crown_at_mm=1_300.0, bark_mm=14.0,
        middles=(Middle(1_500.0, 495.0, 503.0), Middle(2_800.0, 451.0)),
    ),
)  # fmt: skip
TIMBERS = (
    Timber(152.4, 203.2, sawn_faces=4, allowance_mm=3.175),
    Timber(120.0, 170.0),
    Timber(180.0, 240.0, wane_mm=12.0),
)
PAIRS = list(zip(ROWS, TIMBERS, strict=True))
NAMES = [row.tag for row in ROWS]


def program(log, timber, roll):
    """Rows, limits and our answer at one roll."""
    search = RollSearch(wood_rows(log), timber_growth(timber))
    matrix, right = search.rows.program(search.growth, roll)
    return matrix, right, search.at(roll).value


@pytest.mark.parametrize(("row", "timber"), PAIRS, ids=NAMES)
@pytest.mark.parametrize("degrees", [0.0, 37.0])
def test_one_roll_is_solved_as_general_solvers_solve_it(outside: Outside, row, timber, degrees) -> None:
    matrix, right, ours = program(solid_from_tally(row), timber, math.radians(degrees))
    aim = np.array([0.0, 0.0, 0.0, 0.0, 1.0])
    theirs = linprog(-aim, A_ub=matrix, b_ub=right, bounds=(None, None), method="highs-ipm")
    outside(
        source="scipy.optimize.linprog, interior point",
        what=f"clearance in the {row.tag} log turned by {degrees:g} degrees, {len(right)} rows",
        printed=-theirs.fun,
        ours=ours,
        unit="mm",
        within=1e-4,
        kind="oracle",
    )
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    free = highspy.kHighsInf
    for weight in aim:
        highs.addCol(-float(weight), -free, free, 0, np.array([], dtype=np.int32), np.array([]))
    columns = np.arange(5, dtype=np.int32)
    for line, limit in zip(matrix, right, strict=True):
        highs.addRow(-free, float(limit), 5, columns, line)
    highs.run()
    outside(
        source="highspy, simplex",
        what=f"clearance in the {row.tag} log turned by {degrees:g} degrees, {len(right)} rows",
        printed=-highs.getInfo().objective_function_value,
        ours=ours,
        unit="mm",
        within=1e-4,
        kind="oracle",
    )


def all_clearances(log, timber, unknowns):
    """Clearance of many placements, a column each: corners against the edges of the outlines, written apart."""
    outline = log.outlines()
    edge = np.roll(outline, -1, axis=1) - outline
    normal = np.stack([edge[..., 1], -edge[..., 0]], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    limit = (normal * outline).sum(axis=-1)
    share = (log.z_mm / log.length_mm)[:, None]
    x0, y0, x1, y1, roll = unknowns
    least = np.full(np.shape(roll), np.inf)
    b, h, m = 0.5 * timber.cut_width_mm, 0.5 * timber.cut_thickness_mm, timber.wane_mm
    cos, sin = np.cos(roll), np.sin(roll)
    for sx, sy in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        for u, v in {(b - m, h), (b, h - m)}:
            x = (1.0 - share) * x0 + share * x1 + sx * u * cos - sy * v * sin
            y = (1.0 - share) * y0 + share * y1 + sx * u * sin + sy * v * cos
            away = limit[..., None] - normal[..., 0, None] * x[:, None] - normal[..., 1, None] * y[:, None]
            least = np.minimum(least, away.min(axis=(0, 1)))
    return least


@pytest.mark.parametrize(("row", "timber"), PAIRS, ids=NAMES)
def test_a_global_search_finds_nothing_better(outside: Outside, row, timber) -> None:
    log = solid_from_tally(row)
    placed = place(log, timber)
    wide = 0.4 * row.tip_mm
    found = differential_evolution(
        lambda unknowns: -all_clearances(log, timber, unknowns),
        [(-wide, wide)] * 4 + [(0.0, math.pi)],
        popsize=15,
        maxiter=400,
        tol=1e-8,
        rng=np.random.default_rng(11),
        vectorized=True,
        updating="deferred",
        polish=False,
    )
    source = "scipy.optimize.differential_evolution over all five unknowns"
    outside(
        source=source,
        what=f"{row.tag} log: no placement found above our bound",
        printed=True,
        ours=-found.fun <= placed.bound_mm + 1e-6,
        kind="oracle",
    )
    outside(
        source=source,
        what=f"{row.tag} log: greatest clearance",
        printed=-found.fun,
        ours=placed.clearance_mm,
        unit="mm",
        within=1.0,
        kind="oracle",
    )


@pytest.mark.parametrize(("row", "timber"), PAIRS, ids=NAMES)
def test_placed_sections_keep_their_distance_to_bark(outside: Outside, row, timber) -> None:
    log = solid_from_tally(row)
    placed = place(log, timber)
    least = math.inf
    for z in np.union1d(np.linspace(placed.start_mm, placed.end_mm, 53), log.z_mm):
        wood, section = shapely.Polygon(outline_at(log, z)), shapely.Polygon(section_between(placed, z))
        assert wood.covers(section)
        least = min(least, wood.exterior.distance(section))
    outside(
        source="shapely, distance between a placed section and the outline around it",
        what=f"{row.tag} log: least of more than 50 stations",
        printed=least,
        ours=placed.clearance_mm,
        unit="mm",
        within=0.01,
        kind="oracle",
    )


@pytest.mark.parametrize("row", ROWS, ids=NAMES)
def test_volume_of_the_log_as_a_mesh(outside: Outside, row) -> None:
    log = solid_from_tally(row)
    outline = log.outlines()
    points = np.concatenate([np.insert(ring, 2, z, axis=1) for ring, z in zip(outline, log.z_mm, strict=True)])
    k, after = np.arange(FACES), (np.arange(FACES) + 1) % FACES
    faces = []
    for i in range(len(log.z_mm) - 1):
        low, high = i * FACES, (i + 1) * FACES
        faces += [np.column_stack([low + k, low + after, high + after])]
        faces += [np.column_stack([low + k, high + after, high + k])]
    last = (len(log.z_mm) - 1) * FACES
    fan = np.arange(1, FACES - 1)
    faces += [np.column_stack([0 * fan, fan + 1, fan]), last + np.column_stack([0 * fan, fan, fan + 1])]
    mesh = trimesh.Trimesh(points, np.concatenate(faces), process=False)
    assert mesh.is_watertight
    # A polygon of n sides holds (n / 2 pi) sin (2 pi / n) of its ellipse.
    share = FACES / (2.0 * math.pi) * math.sin(2.0 * math.pi / FACES)
    outside(
        source="trimesh, volume of a closed mesh",
        what=f"{row.tag} log, its 72-sided outlines joined",
        printed=mesh.volume / share / 1e9,
        ours=log.volume_mm3() / 1e9,
        unit="m3",
        # Flat triangles on the strips between two ovals of different shape.
        within=1e-5,
        kind="oracle",
    )


@pytest.mark.parametrize("row", [row for row in ROWS if row.middles], ids=lambda row: row.tag)
def test_diameters_between_those_measured(outside: Outside, row) -> None:
    middles = sorted(row.middles, key=lambda middle: middle.at_mm)
    x = np.array([0.0, *(m.at_mm for m in middles), row.length_mm])
    y = np.array([row.butt_mm, *(m.first_mm for m in middles), row.tip_mm])
    at = np.linspace(0.0, row.length_mm, 101)
    ours = monotone(x, y, at=at)
    theirs = PchipInterpolator(x, y)(at)
    for share in (25, 70):
        outside(
            source="scipy.interpolate.PchipInterpolator",
            what=f"{row.tag} log: diameter at {share} % of its length",
            printed=float(theirs[share]),
            ours=float(ours[share]),
            unit="mm",
            within=1e-9,
            kind="oracle",
        )
    assert ours == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("row", ROWS, ids=NAMES)
def test_the_largest_square_is_not_beaten_by_a_search_over_rolls_and_sizes(outside: Outside, row) -> None:
    # The side as a sixth unknown: rows n.c + v (|cos| + |sin|) / 2 <= d, solved by HiGHS at 180 rolls.
    log = solid_from_tally(row)
    answer = largest(log, Kind())
    rows = wood_rows(log)
    best = -math.inf
    for degrees in np.arange(0.0, 90.0, 1.5):
        roll = math.radians(float(degrees))
        angle = rows.angle - roll
        matrix = rows.matrix.copy()
        matrix[:, 4] = 0.5 * (np.abs(np.cos(angle)) + np.abs(np.sin(angle)))
        theirs = linprog([0, 0, 0, 0, -1.0], A_ub=matrix, b_ub=rows.distance_mm, bounds=(None, None))
        best = max(best, -theirs.fun)
    outside(
        source="scipy.optimize.linprog at 60 rolls, the side an unknown",
        what=f"{row.tag} log: side of the largest square, ours at any roll",
        printed=best,
        ours=answer.width_mm,
        unit="mm",
        # Between two rolls 1.5 degrees apart the best may lie higher.
        within=1.0,
        kind="oracle",
    )
    assert best <= answer.limit_width_mm + 1e-6


@pytest.mark.parametrize("row", ROWS, ids=NAMES)
def test_an_end_section_reaches_as_far_as_its_polygon(outside: Outside, row) -> None:
    section = section_at(solid_from_tally(row), 0.37 * row.length_mm)
    ring = shapely.Polygon(section.outline(3_000))
    line = shapely.LineString([(17.0, -900.0), (17.0, 900.0)])
    low, high = section.heights_at(17.0)
    outside(
        source="shapely, a plumb line through a polygon of 3,000 sides",
        what=f"{row.tag} log: height of its section 17 mm right of the line between its ends",
        printed=ring.intersection(line).length,
        ours=high - low,
        unit="mm",
        within=0.01,
        kind="oracle",
    )
