"""Passes of layouts laid out by hand: order, faces ridden on, settings, widths by shapely, and what a kit refuses."""

import math

import numpy as np
import pytest
import shapely

from pattern_cases import CROOKED, KERF, WASTE_MM, frame_of, grid_by_hand, laid_by_hand, task_of
from pithline.errors import KitError
from pithline.logs import turned
from pithline.patterns import PriceList, WantedBoard
from pithline.patterns.layout import Layer, Layout
from pithline.patterns.passes import Sawn, positions_of
from pithline.patterns.pieces import pieces_of
from strategies import INCH, KIT, altered

LONG = CROOKED.length_mm
FEED = 0.2


def sawn(task, layout):
    """Positions of one part."""
    made = Sawn(task, pieces=[piece for _, piece in pieces_of(layout, task, part=0)])
    positions_of(layout, made, part=0)
    return made.positions


def stacked(heights, *, top=112.0, least=60.0, relieve=False, kit=KIT):
    """Boards of given thickness one on the other, from the top."""
    boards = tuple(WantedBoard(f"board {k}", up, least, 800.0, 0.5) for k, up in enumerate(heights))
    task = task_of(CROOKED, PriceList((), boards), kit, relieve=relieve)
    layers = []
    for number, up in enumerate(heights):
        layers.append(Layer(top - up, top, board=number))
        top -= up + kit.saw.kerf_mm
    return task, Layout(frame_of(CROOKED, roll=-50.0), tuple(layers), 0.0, 0.0)


LAID = [
    (laid_by_hand, False),
    (laid_by_hand, True),
    (grid_by_hand, False),
    (grid_by_hand, True),
]


def rows(position):
    return [(cut.number, cut.rides_on, cut.face_of, cut.setting_mm, cut.line_mm) for cut in position.cuts]


def near(*expected):
    return [(*row[:3], pytest.approx(row[3]), pytest.approx(row[4])) for row in expected]


def test_passes_of_a_stack_by_hand():
    task, layout = laid_by_hand()
    log, cant = sawn(task, layout)
    pair, girt, plank = 4.25 * INCH, 60.0, 1.5 * INCH
    lines = [150.0, 150.0 - plank - KERF]
    lines.append(lines[-1] - pair - KERF)
    lines.append(lines[-1] - WASTE_MM - KERF)
    lines += [lines[-1] - girt - KERF, lines[-1] - girt - plank - 2 * KERF]
    first = log.stand.setting_mm
    assert rows(log) == near(
        (1, "rail", None, first, lines[0]),
        (2, "face", 1, plank, lines[1]),
        (3, "face", 2, pair, lines[2]),
        (4, "face", 3, WASTE_MM, lines[3]),
        (5, "face", 4, girt, lines[4]),
        (6, "face", 5, plank, lines[5]),
    )
    assert [cut.frees for cut in log.cuts] == [
        "the top slab",
        "plank, wane on both edges",
        "the cant for 2 braces",
        "waste",
        "girt",
        "plank, wane on both edges",
    ]
    assert (log.number, log.part, log.turn_deg, log.body) == (1, 0, 0.0, "log crooked")
    assert (log.within_mm, log.over_mm, log.minutes) == (None, (None, None), 10.0 + 40.0)
    # The cant: a board, both braces, a board.
    assert [cut.frees for cut in cant.cuts] == [
        "the side slab",
        "board, wane on both edges",
        "brace",
        "brace",
        "board, wane on both edges",
    ]
    assert [cut.setting_mm for cut in cant.cuts[1:]] == pytest.approx([INCH, 3 * INCH, 3 * INCH, INCH])
    assert [cut.face_of for cut in cant.cuts] == [None, 7, 8, 9, 10]
    assert (cant.number, abs(cant.turn_deg), cant.body, cant.minutes) == (2, 90.0, "the cant for 2 braces", 50.0)


def test_a_grid_is_parted_column_by_column_by_hand():
    task, layout = grid_by_hand()
    log, cant, left, right, ledger = sawn(task, layout)
    assert [cut.frees for cut in log.cuts] == ["the top slab", "the cant for 4 posts", "the cant for the ledger"]
    assert [cut.frees for cut in cant.cuts] == ["the side slab", "a stick for 2 posts", "a stick for 2 posts"]
    assert [cut.setting_mm for cut in cant.cuts[1:]] == pytest.approx([95.0, 95.0])
    for column, x in ((left, -104.0), (right, -104.0 + 95.0 + KERF)):
        (cut,) = column.cuts
        # Rolled flat again it rides on the face that the log's first pass left.
        assert (cut.rides_on, cut.face_of, cut.frees) == ("face", 1, "post")
        assert cut.setting_mm == pytest.approx(70.0)
        assert cut.line_mm == pytest.approx(-40.0 + 70.0)
        assert (column.turn_deg, column.stand, column.minutes) == (0.0, None, 10.0)
        assert column.within_mm == pytest.approx((x, x + 95.0))
        assert column.over_mm == pytest.approx((-40.0, -40.0 + 140.0 + KERF))
        # As wide as the post all along.
        assert cut.width_mm == pytest.approx(np.full(len(cut.z_mm), 95.0))
        assert cut.minutes == pytest.approx(5.0 + 95.0 * LONG / 1e6 / FEED)
    # Three faces: one pass on the side, the far side stays as it grew.
    (only,) = ledger.cuts
    assert (only.rides_on, only.frees, ledger.body) == ("rail", "the side slab", "the cant for the ledger")


@pytest.mark.parametrize(("laid", "relieve"), LAID)
def test_every_pass_rides_on_the_highest_face_and_is_set_by_it(laid, relieve):
    task, layout = laid(relieve=relieve)
    lines_of, number = {}, 0
    for position in sawn(task, layout):
        top, face = position.over_mm[1], None
        for cut in position.cuts:
            number += 1
            assert cut.number == number
            if top is None:
                assert (cut.rides_on, cut.face_of) == ("rail", None)
                over = position.stand.line_mm + position.stand.datum_mm + task.kit.rail.thickness_mm
                assert cut.setting_mm == pytest.approx(over - (cut.line_mm + KERF))
            else:
                assert cut.rides_on == "face"
                if face is not None:
                    assert cut.face_of == face
                assert cut.setting_mm == pytest.approx(top - (cut.line_mm + KERF))
            assert task.kit.mill.setting_min_mm <= cut.setting_mm + 1e-6
            assert cut.setting_mm <= task.kit.mill.setting_max_mm + 1e-6
            lines_of[cut.number] = cut.line_mm
            # A cut opens a face only once nothing is left over it.
            later = [other.line_mm for other in position.cuts[position.cuts.index(cut) + 1 :]]
            if all(other < cut.line_mm for other in later):
                top, face = cut.line_mm, cut.number


@pytest.mark.parametrize(("laid", "relieve"), LAID)
def test_passes_leave_exactly_the_faces_of_the_layout(laid, relieve):
    task, layout = laid(relieve=relieve)
    positions = sawn(task, layout)
    wanted = {round(layer.high_mm, 6) for layer in layout.layers}
    wanted |= {round(layer.low_mm - KERF, 6) for layer in layout.layers}
    # The upper face of a layer a kerf under another is the lower kerf's bottom.
    assert sorted(round(cut.line_mm, 6) for cut in positions[0].cuts) == sorted(wanted)
    for layer, position in zip(
        [one for one in layout.layers if one.block is not None and one.block.faces != 2],
        [one for one in positions if abs(one.turn_deg) == 90.0],
        strict=True,
    ):
        spans = [(side.left_mm, side.left_mm + INCH) for side in layer.beside]
        spans += [
            (layer.left_mm + cell.left_mm, layer.left_mm + cell.left_mm + cell.across_mm)
            for cell in layer.block.cells[: layer.block.columns]
        ]
        if position.turn_deg < 0.0:
            # Rolled to the left the right side is up.
            kerfs = {round(right, 6) for _, right in spans} | {round(left - KERF, 6) for left, _ in spans}
            high = max(right for _, right in spans)
        else:
            kerfs = {round(-left, 6) for left, _ in spans} | {round(-right - KERF, 6) for _, right in spans}
            high = -min(left for left, _ in spans)
        lines = sorted(round(cut.line_mm, 6) for cut in position.cuts)
        assert lines[-1] == pytest.approx(high)
        if layer.block.faces == 4:
            assert lines == sorted(kerfs)
        else:
            assert len(lines) == 1


@pytest.mark.parametrize(("laid", "relieve"), [(laid_by_hand, False), (grid_by_hand, True)])
def test_widths_are_those_that_shapely_measures(laid, relieve):
    task, layout = laid(relieve=relieve)
    angle = np.arange(1_440) * (2.0 * math.pi / 1_440)
    circle = np.column_stack([np.cos(angle), np.sin(angle)])
    for position in sawn(task, layout):
        log = position.log
        assert log.center_mm == pytest.approx(turned(layout.frame.solid, position.turn_deg).center_mm)
        left, right = position.within_mm or (-4_000.0, 4_000.0)
        sections = [shapely.Polygon(c + circle @ s) for c, s in zip(log.center_mm, log.shape_mm, strict=True)]

        def wide(y, sections=sections, left=left, right=right):
            line = shapely.LineString([(left, y), (right, y)])
            return np.array([section.intersection(line).length for section in sections])

        for cut in position.cuts:
            middle = wide(cut.line_mm + 0.5 * KERF)
            assert cut.z_mm == pytest.approx(log.z_mm)
            assert cut.width_mm == pytest.approx(middle, abs=0.05)
            ends = [wide(cut.line_mm), middle, wide(cut.line_mm + KERF)]
            assert cut.widest_mm == pytest.approx(float(np.max(ends)), abs=0.05)
            assert cut.area_m2 == pytest.approx(float(np.trapezoid(middle, log.z_mm)) / 1e6, rel=1e-3)
            assert cut.minutes == pytest.approx(5.0 + cut.area_m2 / FEED)


def test_opposite_faces_are_opened_in_turn_by_hand():
    heights = [40.0, 50.0, 60.0, 45.0]
    task, layout = stacked(heights, relieve=True)
    (position,) = sawn(task, layout)
    # From the top: 112, then down by board and kerf.
    a, b, c, d, e = 112.0, *(112.0 - np.cumsum(np.array(heights) + KERF))
    assert [cut.line_mm for cut in position.cuts] == pytest.approx([a, e, b, d, c])
    assert [cut.setting_mm for cut in position.cuts[1:]] == pytest.approx(
        [a - e - KERF, a - b - KERF, b - d - KERF, b - c - KERF]
    )
    assert [cut.face_of for cut in position.cuts] == [None, 1, 1, 3, 3]
    # A low pass frees what lies below it; the last one says what is left lying once its own board is off.
    assert [cut.frees for cut in position.cuts] == [
        "the top slab",
        "the bottom slab",
        "board 0, wane on both edges",
        "board 3, wane on both edges",
        "board 1, wane on both edges; board 2, wane on both edges is left",
    ]


def test_a_face_beyond_the_mills_reach_waits_its_turn_by_hand():
    heights = [40.0, 50.0, 60.0, 45.0]
    # To the lowest face it is 195 mm of boards and three kerfs: out of reach of 190 from the first face, not of
    # the second.
    kit = altered(altered(KIT, "mill", setting_max_mm=215.0), "rail", thickness_mm=30.0)
    task, layout = stacked(heights, relieve=True, kit=kit)
    (position,) = sawn(task, layout)
    a, b, c, d, e = 112.0, *(112.0 - np.cumsum(np.array(heights) + KERF))
    assert a - e - KERF > 215.0 > b - e - KERF
    assert [cut.line_mm for cut in position.cuts] == pytest.approx([a, b, e, c, d])
    assert [cut.frees.removesuffix(", wane on both edges") for cut in position.cuts] == [
        "the top slab",
        "board 0",
        "the bottom slab",
        "board 1",
        "board 2, wane on both edges; board 3, wane on both edges is left",
    ]


def test_the_sides_of_a_cant_are_opened_in_turn_by_hand():
    task, layout = laid_by_hand(relieve=True)
    _, cant = sawn(task, layout)
    # A board, both braces and a board: left face, far side, then inward.
    assert [cut.frees for cut in cant.cuts] == [
        "the side slab",
        "the other side slab",
        "board, wane on both edges",
        "board, wane on both edges",
        "brace; brace is left",
    ]


@pytest.mark.parametrize("laid", [laid_by_hand, lambda **more: stacked([40.0, 50.0, 60.0, 45.0], **more)])
def test_opening_faces_in_turn_frees_the_same_pieces(laid):
    plain = sawn(*laid())
    for position, other in zip(plain, sawn(*laid(relieve=True)), strict=True):
        # Piece by piece as often as in the plain order, the slab left at the bottom told where a low pass frees it.
        freed = [cut.frees for cut in other.cuts]
        for words in freed[:-1]:
            assert ";" not in words
        told = [*freed[:-1], *freed[-1].split("; ")]
        told = [what.removesuffix(" is left") for what in told]
        slab = "the bottom slab" if other.within_mm is None else "the other side slab"
        wanted = [cut.frees for cut in position.cuts]
        assert sorted(told) == sorted([*wanted, slab] if len(wanted) > 2 else wanted)
        assert freed[-1].endswith(" is left") == (len(wanted) > 2)


def test_two_layers_a_kerf_apart_share_a_pass_and_a_wider_gap_is_waste():
    task, layout = stacked([40.0, 50.0])
    (position,) = sawn(task, layout)
    assert len(position.cuts) == 3
    layers = (layout.layers[0], Layer(-40.0, 10.0, board=1))
    (apart,) = sawn(task, Layout(layout.frame, layers, 0.0, 0.0))
    assert [cut.frees for cut in apart.cuts] == [
        "the top slab",
        "board 0, wane on both edges",
        "waste",
        "board 1, wane on both edges",
    ]


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"cut_width_mm": 380.0}, r"mill.cut_width: pass 2 is .* wide at its widest and the mill cuts .* there"),
        ({"setting_max_mm": 200.0}, r"mill sets no deeper than"),
        ({"setting_min_mm": 20.0}, r"mill.setting: pass 4 needs .*15 mm\) and the mill sets .*20 mm\) to"),
    ],
)
def test_a_kit_that_cannot_make_a_pass_says_which(changes, told):
    with pytest.raises(KitError, match=told):
        sawn(*laid_by_hand(kit=altered(KIT, "mill", **changes)))


def test_a_flat_beyond_a_short_board_may_go_below_its_face_but_not_below_the_board():
    # The board of 14 mm is 220 mm wide only toward the butt; over the tip a wide base needs a deep flat.
    def depth(base):
        task, layout = stacked([14.0, 40.0], top=150.0, least=220.0, kit=altered(KIT, "bearers", base_width_mm=base))
        (position,) = sawn(task, layout)
        last = position.stand.bearers[-1]
        return position.stand.datum_mm - last.height_mm

    assert depth(140.0) >= 0.0
    assert -14.0 - KERF <= depth(450.0) < -10.0
    task, layout = stacked([14.0, 40.0], top=150.0, kit=altered(KIT, "bearers", base_width_mm=350.0))
    (position,) = sawn(task, layout)
    # A board that is there all along has its face under every flat.
    assert all(position.stand.datum_mm - bearer.height_mm >= -1e-6 for bearer in position.stand.bearers)


def test_no_rail_stands_where_no_flat_is_found():
    with pytest.raises(KitError, match=r"bearers.base_width: .* finds no flat half as wide above the line"):
        sawn(*laid_by_hand(kit=altered(KIT, "bearers", base_width_mm=500.0)))
