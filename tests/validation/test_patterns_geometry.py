"""Patterns against shapely, which knows nothing of how they were found.

Logs: the fifteen scanned ones of tests/data/real_logs (over bark; PROVENANCE.md tells where from), the yard of
the invented sugarhouse job, and invented logs from a random generator. Every pattern is cut again out of fine
polygons at 50 places along the log: pieces from their corners as tallied, kerfs from the positions and their
passes alone. The sections are interpolated here, not by the program.

All expected values are of the kind oracle, but those of `wane` and `heart`, which are definitions.
"""

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely

from conftest import Outside
from pithline.fit import Timber
from pithline.job import read_kit, read_timbers, read_yard
from pithline.logs import Middle, TallyLog, solid_from_tally
from pithline.patterns import PriceList, WantedBoard, WantedTimber, best_patterns, list_for
from pithline.setup import thickness_spread_mm
from strategies import FOOT, INCH, KIT, altered, give_between_stations

TESTS = Path(__file__).parent.parent
DEMO = TESTS.parent / "src" / "pithline" / "job" / "demo"
SIDES, FEW_SIDES = 360, 144
PLACES = 50
FAR_MM = 1e4
GRID_MM = 1e-6
"""Shapes that touch along an edge are snapped to this grid: without it shapely now and then takes one for both."""

# Small kits' posts for small logs: half of the base will do, as in test_real_logs.py; an hour is cheap.
SMALL_KIT = altered(altered(KIT, "bearers", base_width_mm=60.0), "work", cost_an_hour=5.0)
RELIEVED = "relieved "
"""Before a log's name: opposite faces are opened in turn."""


def wanted(name, across, up, *, count=None, value=1.0, **rules):
    """A timber of a list, sizes in inches."""
    return WantedTimber(name, Timber(across * INCH, up * INCH, **rules), count=count, value_bf=value)


SMALL_LIST = PriceList(
    (
        wanted("joist", 3, 5, count=2, value=1.6, length_mm=12 * FOOT, heart="free", heart_margin_mm=4.0, wane_mm=9.0),
        wanted("stud", 1.75, 3.5, value=1.1, length_mm=8 * FOOT, wane_mm=12.0),
        wanted("post", 4.5, 4.5, count=3, value=1.5, length_mm=4.5 * FOOT, heart="boxed", wane_mm=15.0),
        wanted("sleeper", 4, 5, count=1, value=1.2, length_mm=11.5 * FOOT, sawn_faces=2),
        wanted("rail", 3, 4.25, count=2, value=1.2, length_mm=6 * FOOT, sawn_faces=3, allowance_mm=3.0),
    ),
    (
        WantedBoard("board", INCH, 3.5 * INCH, 4 * FOOT, 0.6),
        WantedBoard("plank", 1.75 * INCH, 4 * INCH, 4 * FOOT, 0.7),
    ),
)

WIDE_KIT = altered(altered(KIT, "mill", cut_width_mm=700.0), "work", cost_an_hour=6.0)
WIDE_LIST = PriceList(
    (
        wanted("beam", 6.3, 8.1, count=1, value=1.9, heart="boxed", heart_margin_mm=20.0, wane_mm=11.0),
        wanted("half", 3.9, 6.2, count=2, value=1.7, heart="free", heart_margin_mm=3.0),
        wanted("quarter", 3.2, 4.1, count=8, value=1.5, wane_mm=8.0),
        wanted("sill", 6.7, 7.0, count=1, value=1.4, sawn_faces=3),
        wanted("brace", 2.9, 4.7, count=9, value=1.3, length_mm=1_130.0, heart="free", heart_margin_mm=2.0),
    ),
    (WantedBoard("siding", 0.9 * INCH, 4.1 * INCH, 900.0, 0.7), WantedBoard("plank", 44.0, 133.0, 1_400.0, 0.8)),
)


def invented():
    """Logs that a random generator made: tapered, oval, crooked, their piths off the middle."""
    rng = np.random.default_rng(20)
    for number in range(9):
        length, tip = rng.uniform(2_300.0, 5_900.0), rng.uniform(215.0, 430.0)
        butt, clock = tip * rng.uniform(1.02, 1.35), lambda: float(rng.uniform(1.0, 12.9))
        oval = rng.uniform(0.88, 1.1) if number % 2 else 1.0
        yield solid_from_tally(
            TallyLog(
                f"invented {number}", "pine", length, butt, tip, butt * oval, tip * oval * rng.uniform(0.92, 1.0),
                oval_clock=clock(), crown_mm=rng.uniform(0.0, 0.14) * tip, crown_clock=clock(),
                crown_at_mm=rng.uniform(0.25, 0.75) * length, bark_mm=float(rng.uniform(0.0, 14.0)),
                butt_pith_mm=rng.uniform(0.0, 0.09) * tip, butt_pith_clock=clock(), tip_pith_clock=clock(),
                tip_pith_mm=rng.uniform(0.0, 0.09) * tip,
                middles=(Middle(0.4 * length, 0.55 * butt + 0.45 * tip),) if number % 3 == 0 else (),
            )
        )  # fmt: skip


@cache
def jobs():
    """Every log under its name, with list and kit."""
    kit = read_kit(DEMO / "kit.toml")
    listed = read_timbers(DEMO / "timbers.csv", spread_mm=thickness_spread_mm(kit), own=kit.species)
    found = {log.tag: (log, listed, kit) for log in read_yard(DEMO / "yard.csv")}
    real = read_yard(TESTS / "data" / "real_logs" / "slices.csv")
    found |= {log.tag: (log, SMALL_LIST, SMALL_KIT) for log in real}
    made = {log.tag: (log, WIDE_LIST, WIDE_KIT) for log in invented()}
    found |= made | {RELIEVED + tag: made[tag] for tag in ("invented 2", "invented 7")}
    return found


@cache
def ways(name):
    """All ways that are offered for a log."""
    log, listed, kit = jobs()[name]
    return best_patterns(log, listed, kit=kit, relieve=name.startswith(RELIEVED))


NAMES = tuple(jobs())
EVERY = pytest.mark.parametrize("name", NAMES)


ENOUGH_MM2 = 1e-2
"""What snapping the corners of a section to the grid may change of an area."""


def turn(degrees):
    """Matrix that turns points clockwise seen from the butt, as a column from the left: written apart."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([[cos, sin], [-sin, cos]])


def between(z_mm, rows, at_mm):
    """Rows (n, ...) at stations, straight between them, at places (k,)."""
    flat = rows.reshape(len(z_mm), -1)
    return np.array([np.interp(at_mm, z_mm, column) for column in flat.T]).T.reshape(-1, *rows.shape[1:])


def outlines(log, at_mm, *, sides=SIDES, grown=1.0):
    """Corners (k, sides, 2) of fine polygons in the sections at places along a log."""
    angle = np.arange(sides) * (2.0 * math.pi / sides)
    circle = np.column_stack([np.cos(angle), np.sin(angle)])
    shape = between(log.z_mm, log.shape_mm, at_mm)
    return between(log.z_mm, log.center_mm, at_mm)[:, None] + grown * np.einsum("sj,kij->ksi", circle, shape)


def slack_mm(log, sides=SIDES):
    """How far a straight piece inside the ellipses of all stations may lie outside a fine polygon between two.

    What the polygon loses at its sides; where an oval changes its shape, what lies between two stations; and the
    thousandth of a millimeter that the program's own check lets pass.
    """
    loses = float(np.linalg.norm(log.shape_mm, 2, axis=(1, 2)).max()) * (1.0 - math.cos(math.pi / sides))
    return loses + give_between_stations(log) + 1e-3


def corners_at(piece, at_mm):
    """Corners (k, 4, 2) of a piece at places along the log."""
    share = ((at_mm - piece.start_mm) / (piece.end_mm - piece.start_mm))[:, None, None]
    return (1.0 - share) * piece.corners_butt_mm + share * piece.corners_tip_mm


def chamfered(corners, wane_mm):
    """Corners (k, 8, 2) less what may be missing there."""
    points = []
    for k in range(4):
        for other in (k - 1, (k + 1) % 4):
            side = corners[:, other] - corners[:, k]
            points.append(corners[:, k] + wane_mm * side / np.linalg.norm(side, axis=-1, keepdims=True))
    return np.stack(points, axis=1)


def as_tallied(pattern, position, points, at_mm):
    """Points (m, 2) of a position at places along the log (k, m, 2), as the log was tallied."""
    part = pattern.parts[position.part]
    share = ((at_mm - part.start_mm) / (part.end_mm - part.start_mm))[:, None, None]
    center = (1.0 - share) * part.center_butt_mm + share * part.center_tip_mm
    return center + points @ (turn(-part.roll_deg) @ turn(-position.turn_deg)).T


def kerf_corners(pattern, position, cut):
    """The kerf of a pass in its position: as wide as the body, or as far as any log reaches."""
    left, right = position.within_mm or (-FAR_MM, FAR_MM)
    low, high = cut.line_mm, cut.line_mm + pattern.kit.saw.kerf_mm
    return np.array([(left, low), (right, low), (right, high), (left, high)])


def inside_part(pattern, number, at_mm):
    """The places that lie in a part."""
    part = pattern.parts[number]
    return at_mm[(at_mm >= part.start_mm) & (at_mm <= part.end_mm)]


def cut_apart(pattern, number, at_mm, there):
    """Sections (k,) of a part, boxes (p, k) of its pieces, none where they are not `there`, and its kerfs (c, k).

    The polygons have the area of their ellipses.
    """
    share = 2.0 * math.pi / FEW_SIDES
    sections = shapely.polygons(outlines(pattern.log, at_mm, sides=FEW_SIDES, grown=math.sqrt(share / math.sin(share))))
    own = [piece for piece in pattern.pieces if piece.part == number]
    boxes = [np.where(there(piece), shapely.polygons(corners_at(piece, at_mm)), None) for piece in own]
    kerfs = []
    for position in pattern.positions:
        for cut in position.cuts if position.part == number else ():
            band = as_tallied(pattern, position, kerf_corners(pattern, position, cut), at_mm)
            kerfs.append(shapely.intersection(shapely.polygons(band), sections))
    return sections, np.array(boxes, dtype=object).reshape(-1, len(at_mm)), np.array(kerfs, dtype=object)


def together(*shapes):
    """Union at every place of shapes (m, k) that touch."""
    return shapely.union_all(np.concatenate(shapes), grid_size=GRID_MM, axis=0)


def area(shapes):
    """Areas, 0 for what is not there."""
    return np.nan_to_num(shapely.area(shapes))


def test_most_of_the_logs_give_patterns() -> None:
    # Else what follows would prove little. Frozen counts, on the low side.
    with_ways = [name for name in NAMES if ways(name).patterns]
    real = {log.tag for log in read_yard(TESTS / "data" / "real_logs" / "slices.csv")}
    assert len(real) == 15
    assert len(real & set(with_ways)) >= 12
    assert len([name for name in with_ways if name.startswith("A")]) >= 13
    assert len([name for name in with_ways if "invented" in name]) >= 9
    for name in NAMES:
        found = ways(name)
        assert bool(found.patterns) != bool(found.why)
    layouts = {part.layout for name in with_ways for way in ways(name).patterns for part in way.parts}
    assert len(layouts) >= 6, layouts
    assert max(len(way.parts) for name in with_ways for way in ways(name).patterns) > 1


@EVERY
def test_every_piece_lies_in_the_wood(name) -> None:
    for way in ways(name).patterns:
        slack = slack_mm(way.log)
        for piece in way.pieces:
            assert -1e-6 <= piece.start_mm < piece.end_mm <= way.log.length_mm + 1e-6
            at = np.linspace(piece.start_mm, piece.end_mm, PLACES)
            sections = shapely.polygons(outlines(way.log, at))
            points = shapely.points(chamfered(corners_at(piece, at), piece.wane_mm))
            assert shapely.distance(sections[:, None], points).max() <= slack, piece.name
            sides = shapely.polygons(corners_at(piece, at))
            assert area(sides) == pytest.approx(piece.thickness_mm * piece.width_mm, rel=1e-6)


@EVERY
def test_no_two_pieces_are_closer_than_a_kerf(name) -> None:
    for way in ways(name).patterns:
        kerf = way.kit.saw.kerf_mm
        for number, one in enumerate(way.pieces):
            for other in way.pieces[number + 1 :]:
                start, end = max(one.start_mm, other.start_mm), min(one.end_mm, other.end_mm)
                if start < end:
                    at = np.linspace(start, end, PLACES)
                    pair = (shapely.polygons(corners_at(piece, at)) for piece in (one, other))
                    assert shapely.distance(*pair).min() >= kerf - 1e-6, (one.name, other.name)
                    continue
                faces = (shapely.Polygon(corners_at(p, np.array([z]))[0]) for p, z in ((one, start), (other, end)))
                assert start - end >= kerf - 1e-6 or shapely.distance(*faces) >= kerf - 1e-6, (one.name, other.name)


@EVERY
def test_kerfs_and_pieces_part_every_section(name) -> None:
    for way in ways(name).patterns:
        for number in range(len(way.parts)):
            at = inside_part(way, number, np.linspace(0.0, way.log.length_mm, PLACES))
            sections, boxes, kerfs = cut_apart(
                way, number, at, lambda piece, at=at: (at >= piece.start_mm - 1e-6) & (at <= piece.end_mm + 1e-6)
            )
            wood = shapely.intersection(boxes, sections)
            parted = area(wood).sum(axis=0) + area(kerfs).sum(axis=0)
            # Nothing is taken twice: no kerf in a piece, no two kerfs in one place.
            taken = together(wood, kerfs)
            assert area(taken) == pytest.approx(parted, abs=ENOUGH_MM2)
            rest = area(shapely.difference(sections, taken, grid_size=GRID_MM))
            assert parted + rest == pytest.approx(area(sections), abs=ENOUGH_MM2)
            # What a piece lacks of its box is wane, a triangle at each corner at most.
            own = [piece for piece in way.pieces if piece.part == number]
            edge = slack_mm(way.log, FEW_SIDES)
            most = [2.0 * piece.wane_mm**2 + 2.0 * edge * (piece.width_mm + piece.thickness_mm) for piece in own]
            assert ((area(boxes) - area(wood)).max(axis=1) <= np.array(most)).all()


def spans_in(position, piece):
    """Where a piece lies in a position: from left to right, from its lower face to its upper one, at its butt."""
    corners = piece.frame_butt_mm @ turn(position.turn_deg).T
    return tuple((float(column.min()), float(column.max())) for column in corners.T)


def faces_sawn(way, piece):
    """How many faces of a piece a kerf has left, level and plumb."""
    kerf, found = way.kit.saw.kerf_mm, []
    for upright in (False, True):
        lines = set()
        for position in way.positions:
            if position.part != piece.part or (position.turn_deg != 0.0) != upright:
                continue
            across, up = spans_in(position, piece)
            if position.within_mm and not position.within_mm[0] - 1e-6 <= across[0] < position.within_mm[1]:
                continue
            for cut in position.cuts:
                lines |= {0} if abs(cut.line_mm + kerf - up[0]) < 1e-6 else set()
                lines |= {1} if abs(cut.line_mm - up[1]) < 1e-6 else set()
        found.append(len(lines))
    return found


@EVERY
def test_every_sawn_face_of_a_piece_lies_at_a_kerf(name) -> None:
    log, listed, kit = jobs()[name]
    faces = {item.name: item.timber.sawn_faces for item in list_for(log, listed, own=kit.species).timbers}
    for way in ways(name).patterns:
        for piece in way.pieces:
            level, plumb = faces_sawn(way, piece)
            if piece.kind == "board":
                # Its edges are sawn when it is edged.
                assert 2 in (level, plumb), piece.name
            else:
                assert (level, plumb) == (2, faces[piece.name] - 2), piece.name


@EVERY
def test_hearts_lie_where_the_list_wants_them(name) -> None:
    log, listed, kit = jobs()[name]
    timbers = {item.name: item.timber for item in list_for(log, listed, own=kit.species).timbers}
    for way in ways(name).patterns:
        for piece in way.timbers:
            timber = timbers[piece.name]
            if timber.heart == "any":
                continue
            at = np.linspace(piece.start_mm, piece.end_mm, PLACES)
            pith = shapely.points(between(log.z_mm, log.pith_mm, at))
            section = shapely.polygons(corners_at(piece, at))
            away = shapely.distance(section, pith)
            deep = np.where(shapely.contains(section, pith), shapely.distance(shapely.boundary(section), pith), -1.0)
            least = away.min() if timber.heart == "free" else deep.min()
            assert least >= timber.heart_margin_mm - 1e-6, piece.name


@EVERY
def test_no_more_comes_out_than_is_wanted(name) -> None:
    log, listed, kit = jobs()[name]
    own = list_for(log, listed, own=kit.species)
    for way in ways(name).patterns:
        names = [piece.name for piece in way.timbers]
        assert set(names) <= {item.name for item in own.timbers}
        for item in own.timbers:
            assert item.count is None or names.count(item.name) <= item.count
            for piece in way.timbers:
                if piece.name == item.name and item.timber.length_mm is not None:
                    assert piece.length_mm == pytest.approx(item.timber.length_mm, abs=0.5)
        boards = {board.name: board for board in own.boards}
        for piece in way.boards:
            board = boards[piece.name]
            assert piece.thickness_mm == board.thickness_mm
            assert piece.width_mm >= board.least_width_mm - 1e-6
            assert piece.length_mm >= board.least_length_mm - 1e-6


@EVERY
def test_every_pass_rides_on_what_is_there(name) -> None:
    for way in ways(name).patterns:
        mill, kerf, height = way.kit.mill, way.kit.saw.kerf_mm, {}
        for position in way.positions:
            done = []
            for cut in position.cuts:
                top = cut.line_mm + kerf
                if cut.rides_on == "rail":
                    # Only a round top needs the rail, and only once.
                    assert position.over_mm[1] is None
                    assert not done
                    ridden = position.stand.line_mm + position.stand.datum_mm + way.kit.rail.thickness_mm
                    assert position.stand.line_mm == pytest.approx(cut.line_mm)
                else:
                    assert cut.face_of in height
                    turned, ridden = height[cut.face_of]
                    assert turned == position.turn_deg
                    # Nothing has been sawn between the face and this pass, or the face would be gone.
                    assert not [line for line in done if cut.line_mm < line < ridden - 1e-6]
                assert cut.setting_mm == pytest.approx(ridden - top, abs=1e-6)
                assert mill.setting_min_mm - 1e-6 <= cut.setting_mm <= mill.setting_max_mm + 1e-6
                height[cut.number] = (position.turn_deg, cut.line_mm)
                done.append(cut.line_mm)
        assert [cut.number for cut in way.cuts] == list(range(1, len(way.cuts) + 1))


def chords(way, position, cut, *, up_mm, grown):
    """Widths of the wood at a height over the bottom of a kerf, at the stations of a pass, by shapely."""
    at = way.parts[position.part].start_mm + cut.z_mm
    left, right = position.within_mm or (-FAR_MM, FAR_MM)
    line = as_tallied(way, position, np.array([(left, cut.line_mm + up_mm), (right, cut.line_mm + up_mm)]), at)
    ring = shapely.polygons(outlines(way.log, at, grown=grown))
    return shapely.length(shapely.intersection(shapely.linestrings(line), ring))


@EVERY
def test_widths_of_passes_are_what_the_mill_meets(name) -> None:
    # An ellipse lies between the polygon in it and the one about it.
    about = 1.0 / math.cos(math.pi / SIDES)
    for way in ways(name).patterns:
        kerf = way.kit.saw.kerf_mm
        for position in way.positions:
            for cut in position.cuts:
                least, most = (
                    [chords(way, position, cut, up_mm=share * kerf, grown=grown) for share in (0.0, 0.5, 1.0)]
                    for grown in (1.0, about)
                )
                assert (cut.width_mm >= least[1] - 1e-6).all()
                assert (cut.width_mm <= most[1] + 1e-6).all()
                assert np.max(least) - 1e-6 <= cut.widest_mm <= np.max(most) + 1e-6
                assert cut.widest_mm <= way.kit.mill.cut_width_mm + 1e-6
                # A quarter kerf off the widest of a round, 2 sqrt(r^2 - y^2) falls by hundredths.
                finer = [chords(way, position, cut, up_mm=share * kerf, grown=1.0).max() for share in (0.25, 0.75)]
                assert max(finer) <= cut.widest_mm + 0.1
                pairs = 0.5 * (cut.width_mm[1:] + cut.width_mm[:-1]) * np.diff(cut.z_mm)
                assert cut.area_m2 == pytest.approx(pairs.sum() / 1e6)
                feed = way.kit.saw.feed_m2_min
                assert cut.minutes == pytest.approx(way.kit.work.pass_min + cut.area_m2 / feed)


def gaps_of(log, edges_mm):
    """Places (g, 5) in the gaps between stations and other edges, and the weights of Simpson's rule there (g, 5)."""
    edges = np.unique(np.round(np.array(edges_mm), 6))
    edges = np.union1d(edges, log.z_mm[(log.z_mm > edges[0] + 1e-3) & (log.z_mm < edges[-1] - 1e-3)])
    wide = np.diff(edges)[:, None]
    return edges[:-1, None] + wide * np.linspace(0.0, 1.0, 5), wide * np.array([1.0, 4.0, 2.0, 4.0, 1.0]) / 12.0


def volumes(way):
    """Kerf and the rest of a log [mm3], by shapely: what no kerf and no piece takes, less the wane of the pieces."""
    kerf = rest = 0.0
    edges = [0.0, *(edge for part in way.parts for edge in (part.start_mm, part.end_mm)), way.log.length_mm]
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start > 1e-6:
            at, weight = gaps_of(way.log, [start, end])
            rest += (weight * area(shapely.polygons(outlines(way.log, at.ravel()))).reshape(-1, 5)).sum()
    for number, part in enumerate(way.parts):
        own = [piece for piece in way.pieces if piece.part == number]
        ends = [edge for piece in own for edge in (piece.start_mm, piece.end_mm)]
        at, weight = gaps_of(way.log, [part.start_mm, part.end_mm, *ends])
        middle = np.repeat(at[:, 2], 5)
        sections, boxes, kerfs = cut_apart(
            way, number, at.ravel(), lambda piece, at=middle: (piece.start_mm < at) & (at < piece.end_mm)
        )
        left = area(shapely.difference(sections, together(boxes, kerfs), grid_size=GRID_MM))
        missing = area(boxes) - area(shapely.intersection(boxes, sections))
        kerf += (weight * area(kerfs).sum(axis=0).reshape(-1, 5)).sum()
        rest += (weight * (left - missing.sum(axis=0)).reshape(-1, 5)).sum()
    return kerf, rest


SOURCE = "shapely, kerfs and what is left of a log, laid out from a pattern's passes"
WEIGHED = ("A01", "A03", "A09", "A14", "invented 1", "invented 3", "invented 5", "invented 8")


@pytest.mark.parametrize("name", WEIGHED)
def test_sawdust_and_slabs_have_their_volume(outside: Outside, name) -> None:
    way = ways(name).patterns[0]
    whole = way.log.volume_mm3()
    kerf, rest = volumes(way)
    for what, theirs, ours in (("sawdust", kerf, way.kerf_mm3), ("slabs", rest, way.slab_mm3)):
        outside(
            source=SOURCE,
            what=f"{what} of log {name}",
            printed=theirs / 1e6,
            ours=ours / 1e6,
            unit="dm3",
            # Of the log: between stations our widths are added up in two halves, here in four.
            within=2e-4 * whole / 1e6,
            kind="oracle",
        )
    pieces = math.fsum(piece.thickness_mm * piece.width_mm * piece.length_mm for piece in way.pieces)
    assert pieces + kerf + rest == pytest.approx(whole, rel=1e-3)


@EVERY
def test_pieces_sawdust_and_slabs_are_the_log(name) -> None:
    for way in ways(name).patterns:
        pieces = math.fsum(piece.thickness_mm * piece.width_mm * piece.length_mm for piece in way.pieces)
        assert pieces + way.kerf_mm3 + way.slab_mm3 == pytest.approx(way.log.volume_mm3(), rel=1e-3)
        assert way.kerf_mm3 > 0.0
        assert way.slab_mm3 > 0.0


@pytest.mark.parametrize("clock", [2.2, 4.0, 5.5])
def test_a_stick_with_three_sawn_faces_loses_its_kerf_where_it_is_sawn(outside: Outside, clock) -> None:
    # An oval that lies aslant has not the same wood left and right of the stick.
    row = TallyLog("x", "pine", 3_000.0, 390.0, 330.0, 310.0, 260.0, oval_clock=clock, crown_mm=25.0, crown_clock=2.0)
    listed = PriceList((wanted("sill", 7, 6.5, count=1, sawn_faces=3),), ())
    way = best_patterns(solid_from_tally(row), listed, kit=WIDE_KIT).patterns[0]
    outside(
        source=SOURCE,
        what=f"sawdust of a stick with three sawn faces, the log's oval at {clock:g} o'clock",
        printed=volumes(way)[0] / 1e6,
        ours=way.kerf_mm3 / 1e6,
        unit="dm3",
        # Of the log. The kerf on the other side of this stick is a ten-thousandth of it more or less.
        within=3e-5 * way.log.volume_mm3() / 1e6,
        kind="oracle",
    )
