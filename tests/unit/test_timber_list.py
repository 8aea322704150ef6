"""A list of timbers is read whole, what is left out is told, and all that is wrong is told at once."""

import re
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pithline.errors import FileError, WoodError
from pithline.job import demo_files, kit_from_text, read_timbers, timbers_from_text, yard_from_text
from pithline.job.timber_rows import ONLY_TIMBERS
from pithline.job.timbers import MOST_LINES, TIMBERS
from pithline.patterns.wanted import list_for
from pithline.setup import thickness_spread_mm
from pithline.wood.cutsize import Wanted
from pithline.wood.species import own_species
from strategies import FOOT, INCH, generated

HEAD = "name,thickness [in],width [in],length [ft]"
ROW = "post,6,7,14"


def read(text, **options):
    return timbers_from_text(text, file="list.csv", **{"spread_mm": 1.3, **options})


def faults_of(text):
    with pytest.raises(FileError) as caught:
        read(text)
    return list(caught.value.faults)


def one_row(**cells):
    """The list with one row, a post of 6 x 7 in x 14 ft but for the cells given."""
    held = {"name": "post", "thickness": "6 in", "width": "7 in", "length": "14 ft", **cells}
    quoted = ('"' + cell.replace('"', '""') + '"' for cell in held.values())
    return f"{','.join(held)}\n{','.join(quoted)}\n"


# --- what is read ------------------------------------------------------------


def test_a_row_with_all_that_is_needed_has_the_rest_as_documented():
    (post,) = read(f"{HEAD}\n{ROW}\n").timbers
    timber = post.timber
    assert (post.name, post.count, post.value_bf, post.species) == ("post", None, 1.0, ())
    assert (post.wanted, post.is_must, post.role) == (None, True, "")
    assert (timber.thickness_mm, timber.width_mm) == pytest.approx((6 * INCH, 7 * INCH))
    assert timber.length_mm == pytest.approx(14 * FOOT)
    assert (timber.sawn_faces, timber.allowance_mm, timber.wane_mm) == (4, 0.0, 0.0)
    assert (timber.heart, timber.heart_margin_mm, timber.cut) == ("any", 12.7, None)


def test_every_column_of_a_timber_arrives_where_it_belongs():
    text = (
        "Name;Kind;Count;Thickness [mm];Width [mm];Length;Value;Size;Moisture;Allowance [mm];Faces;Heart;"
        "Heart margin [mm];Wane [mm];Species;Role;Need;Notes\n"
        "long tie;Timber;3;175,5;230;6,4 m;1,75;Finished;15 %;4;3;Boxed;20;15;red spruce|Hemlock, Eastern;holds;Nice;"
        "=x\n"
    )
    prices = read(text, step_mm=1.0)
    (tie,) = prices.timbers
    timber = tie.timber
    assert (tie.name, tie.count, tie.value_bf, tie.is_must, tie.role) == ("long tie", 3, 1.75, False, "holds")
    assert tie.species == ("red spruce", "Hemlock, Eastern")
    assert (timber.thickness_mm, timber.width_mm, timber.length_mm) == (175.5, 230.0, 6400.0)
    assert (timber.sawn_faces, timber.allowance_mm, timber.wane_mm) == (3, 4.0, 15.0)
    assert (timber.heart, timber.heart_margin_mm) == ("boxed", 20.0)
    assert tie.wanted == Wanted(175.5, 230.0, 0.15, 4.0, 3, spread_mm=1.3, chance=0.95, step_mm=1.0)
    assert prices.notes == ()


def test_a_finished_size_is_cut_for_twelve_percent_to_a_sixteenth_where_nothing_else_is_written():
    (item,) = read(one_row(size="finished")).timbers
    wanted = item.wanted
    assert (wanted.thickness_mm, wanted.width_mm) == pytest.approx((6 * INCH, 7 * INCH))
    assert (wanted.moisture, wanted.allowance_mm, wanted.sawn_faces) == (0.12, 0.0, 4)
    assert (wanted.spread_mm, wanted.chance, wanted.step_mm) == (1.3, 0.95, INCH / 16)


def test_the_whole_log_is_no_length():
    assert read(one_row(length="Log")).timbers[0].timber.length_mm is None


def test_a_board_has_a_green_thickness_and_least_sizes():
    prices = read("name,kind,thickness,width,length,value,count\nplank,board,2 in,4 1/2 in,5 ft,0.75,\n")
    (plank,) = prices.boards
    assert prices.timbers == ()
    assert (plank.name, plank.thickness_mm, plank.value_bf) == ("plank", pytest.approx(2 * INCH), 0.75)
    assert (plank.least_width_mm, plank.least_length_mm) == pytest.approx((4.5 * INCH, 5 * FOOT))


def test_a_count_of_zero_is_kept():
    assert read(one_row(count="0")).timbers[0].count == 0


def test_the_order_of_the_file_is_kept():
    rows = "".join(f"{name},6 in,7 in,9 ft\n" for name in ("c", "a", "b"))
    assert [item.name for item in read(f"name,thickness,width,length\n{rows}").timbers] == ["c", "a", "b"]


@pytest.mark.parametrize(
    ("written", "value"), [("0", 0.0), ("1.25", 1.25), ("1,25", 1.25), (".5", 0.5), ("1000000", 1e6), (" 3 ", 3.0)]
)
def test_a_value_is_a_plain_number(written, value):
    assert read(one_row(value=written)).timbers[0].value_bf == value


# --- what is told ------------------------------------------------------------

KINDS = [
    (
        "t,timber,6,7,9,\nb,board,1,4,9,\nc,timber,6,7,9,\nd,timber,6,7,9,2\n",
        "list.csv: 3 lines have no value: a board foot of 2 timbers is taken for 1, a board foot of 1 board for 0.5.",
    ),
    ("t,timber,6,7,9,\n", "list.csv: 1 line has no value: a board foot of 1 timber is taken for 1."),
    (
        "b,board,1,4,9,\nc,board,1,5,9,\n",
        "list.csv: 2 lines have no value: a board foot of 2 boards is taken for 0.5.",
    ),
]


@pytest.mark.parametrize(("rows", "note"), KINDS, ids=["both", "timber", "boards"])
def test_lines_without_a_value_are_counted_in_one_note(rows, note):
    prices = read(f"name,kind,thickness [in],width [in],length [ft],value\n{rows}")
    assert prices.notes == (note,)
    for item in (*prices.timbers, *prices.boards):
        assert item.value_bf == {"t": 1.0, "c": 1.0, "b": 0.5, "d": 2.0}[item.name] or "board" in note


def test_a_species_that_no_table_knows_is_told_unless_the_kit_knows_it():
    text = one_row(species="estern white pine; red spruce", value="1")
    assert read(text).notes == (
        "list.csv: the tables know no species “estern white pine”; only logs tallied in the same words will do for it.",
    )
    own = (own_species("estern white pine", {"shrinkage_radial": 0.022}),)
    assert read(text, own=own).notes == ()


# --- faults ------------------------------------------------------------------

FORMULA = "this is a spreadsheet's formula or its error. Write the words that are meant."
COUNT = "count is a whole number. Write 0 to 9,999 in digits, or leave the cell empty."
VALUE = "value is a plain number. Write 0 to 1,000,000 without a sign, as in 1.25."
TIMBER_FAULTS = [
    ({"name": ""}, "name: the cell is empty. Give each timber and board a name of its own."),
    ({"name": "=A2"}, f"name: read “=A2”; {FORMULA}"),
    ({"role": "#REF!"}, f"role: read “#REF!”; {FORMULA}"),
    ({"species": "+1"}, f"species: read “+1”; {FORMULA}"),
    ({"name": "x" * 81}, "it has 81 characters. Write 80 or fewer."),
    ({"species": "x" * 301}, "it has 301 characters. Write 300 or fewer."),
    ({"role": "a\x07b"}, "it has characters that cannot be printed. Write it again."),
    ({"species": " ; | "}, "species: read “; |”; there is no name in it. Write one or more with | between"),
    ({"kind": "plank"}, "kind: read “plank”; write timber or board; an empty cell is timber."),
    ({"heart": "out"}, "heart: read “out”; write any, boxed or free; an empty cell is any."),
    ({"need": "yes"}, "need: read “yes”; write must or nice; an empty cell is must."),
    ({"size": "dry"}, "size: read “dry”; write cut or finished; an empty cell is cut."),
    ({"faces": "1"}, "faces: read “1”; write 2, 3 or 4; an empty cell is 4."),
    ({"faces": "4.0"}, "faces: read “4.0”; write 2, 3 or 4"),
    ({"count": "2.5"}, f"count: read “2.5”; {COUNT}"),
    ({"count": "-1"}, f"count: read “-1”; {COUNT}"),
    ({"count": "10000"}, f"count: read “10000”; {COUNT}"),
    ({"count": "9" * 60}, COUNT),
    ({"count": "=SUM(A1:A9)"}, f"count: read “=SUM(A1:A9)”; {COUNT}"),
    ({"count": "nan"}, f"count: read “nan”; {COUNT}"),
    ({"count": "\u0662"}, f"count: read “\u0662”; {COUNT}"),
    ({"value": "nan"}, f"value: read “nan”; {VALUE}"),
    ({"value": "inf"}, f"value: read “inf”; {VALUE}"),
    ({"value": "1e3"}, f"value: read “1e3”; {VALUE}"),
    ({"value": "-2"}, f"value: read “-2”; {VALUE}"),
    ({"value": "$ 2"}, f"value: read “$ 2”; {VALUE}"),
    ({"value": "9" * 400}, VALUE),
    ({"value": "1000001"}, "value: read “1000001”; it is over 1,000,000. Check the decimal mark."),
    ({"value": "1,250"}, "value: read “1,250”; it has 1,250, which can be 1250 or 1.250: write the one that is meant"),
    ({"thickness": ""}, "thickness: the cell is empty. Write it with its unit."),
    ({"thickness": "6"}, "thickness: read “6”; it has no unit. Write the unit in the cell, or in the head"),
    ({"thickness": "1/4 in"}, "thickness: read “1/4 in”; 1/4 in (6 mm) x 7 in (178 mm) is no timber; thickness and"),
    ({"width": "9 ft"}, "width: read “9 ft”; 6 in (152 mm) x 9 ft (2743 mm) is no timber; thickness and width must"),
    ({"width": "=B2"}, "width: read “=B2”;"),
    ({"width": "-7 in"}, "width: read “-7 in”; it is negative"),
    ({"width": "1e400 mm"}, "width: read “1e400 mm”;"),
    ({"length": ""}, "length: the cell is empty. Write it with its unit, or log for the whole log."),
    ({"length": "logs"}, "length: read “logs”;"),
    ({"length": "2 in"}, "length: read “2 in”; 2 in (51 mm); it must lie between 100 mm and 40 m."),
    ({"length": "999999 ft"}, "it must lie between 100 mm and 40 m."),
    ({"allowance": "4 in"}, "allowance: read “4 in”; 4 in (102 mm) a face; it must lie between 0 and 75 mm."),
    ({"wane": "3 1/2 in"}, "wane: read “3 1/2 in”; 3 1/2 in (89 mm); it must be 0 to half the smaller side"),
    (
        {"heart": "boxed", "heart_margin": "3 in"},
        "heart_margin: read “3 in”; 3 in (76 mm) leaves no room for the pith in a timber 6 in (152 mm) x 7 in",
    ),
    ({"heart_margin": "13 in"}, "heart_margin: read “13 in”; 1 ft 1 in (330 mm); it must lie between 0 and 300 mm."),
    (
        {"heart": "boxed", "thickness": "1 in"},
        "column heart_margin: 1/2 in (13 mm) leaves no room for the pith in a timber 1 in (25 mm) x 7 in",
    ),
    (
        {"moisture": "15 %"},
        "moisture: read “15 %”; it counts for a finished size only. Write finished under size, or leave the cell empty",
    ),
    ({"size": "finished", "moisture": "15"}, "moisture: read “15”; it has no unit; write"),
    ({"size": "finished", "moisture": "wet"}, "moisture: read “wet”; write a number and its unit"),
    (
        {"size": "finished", "moisture": "45 %"},
        "moisture: read “45 %”; 45 %; a finished timber is dry, between 0 and 30 %.",
    ),
    ({"size": "finished", "moisture": "9999 %"}, "wood holds from 0 to 400 % of its dry mass."),
    ({"size": "finished", "allowance": "4 in"}, "allowance: read “4 in”; 4 in (102 mm) a face"),
]


@pytest.mark.parametrize(("cells", "said"), TIMBER_FAULTS, ids=[str(cells)[:40] for cells, _ in TIMBER_FAULTS])
def test_a_fault_of_a_timber_is_told_once_with_row_column_what_was_read_and_what_would_do(cells, said):
    (told,) = faults_of(one_row(**cells))
    assert re.match(r"list\.csv row 2, column [a-z_]+: ", told)
    assert said in told


BOARD_FAULTS = [
    ({"thickness": "1/8 in"}, "thickness: read “1/8 in”; a board 1/8 in (3 mm) thick; it must lie between"),
    ({"width": "1/4 in"}, "width: read “1/4 in”; as least width and least length give 10 mm to 2 m, and 100 mm to 40"),
    ({"length": "3 in"}, "length: read “3 in”; as least width and least length give 10 mm to 2 m, and 100 mm to 40"),
    ({"length": "log"}, "length: read “log”;"),
    ({"length": ""}, "length: the cell is empty. Write the least length, with its unit."),
    ({"width": ""}, "width: the cell is empty. Write the least width, with its unit."),
    ({"thickness": ""}, "thickness: the cell is empty. Write it with its unit."),
]


@pytest.mark.parametrize(("cells", "said"), BOARD_FAULTS, ids=[str(cells) for cells, _ in BOARD_FAULTS])
def test_a_fault_of_a_board_is_told_once(cells, said):
    (told,) = faults_of(one_row(kind="board", **{"thickness": "1 in", **cells}))
    assert said in told


@pytest.mark.parametrize("column", ONLY_TIMBERS)
def test_a_board_leaves_the_columns_of_timbers_empty(column):
    (told,) = faults_of(one_row(kind="board", thickness="1 in", **{column: "4"}))
    assert told == (
        f"list.csv row 2, column {column}: read “4”; this column is for timbers, and the row is a board. "
        "Leave the cell empty."
    )


def test_two_lines_of_one_name_are_told():
    (told,) = faults_of("name,kind,thickness,width,length\nPost,,6 in,7 in,9 ft\npost ,board,1 in,4 in,4 ft\n")
    assert told == (
        "list.csv row 3, column name: read “post”; the same name stands in row 2. Give each line a name of its own."
    )


def test_all_faults_of_a_list_are_told_at_once():
    text = (
        "name,count,thickness [in],width [in],length,wane,value,sort\n"
        "post,two,6,7,14 ft,9 in,free,x\n"
        "tie,1,7,nine,24 ft,1 ft,2,\n"
        "tie,1,7,9,1 in,,-2,\n"
    )
    assert [re.sub(r"list\.csv (row \d+, column \w+):.*", r"\1", told) for told in faults_of(text)] == [
        "row 1, column 8",
        "row 2, column value",
        "row 2, column wane",
        "row 2, column count",
        "row 3, column width",
        "row 4, column name",
        "row 4, column value",
        "row 4, column length",
    ]


def test_missing_columns_are_told_and_the_cells_of_the_others_still_read():
    assert [told.partition(";")[0] for told in faults_of("name,width [in]\npost,x\n")] == [
        "list.csv row 1: the column thickness is missing. Add it with the head thickness [in] or thickness [mm].",
        "list.csv row 1: the column length is missing. Add it with the head length [in] or length [mm].",
        "list.csv row 2, column width: read “x”",
    ]


@pytest.mark.parametrize(
    ("head", "meant"),
    [
        ("Number", "count"),
        ("qty", "count"),
        ("Tag", "name"),
        ("price", "value"),
        ("wood", "species"),
        ("heart margn", "heart_margin"),
        ("thick", "thickness"),
        ("allow", "allowance"),
    ],
)
def test_an_unknown_column_is_told_with_the_one_that_may_be_meant(head, meant):
    (told,) = faults_of(f"{HEAD},{head}\n{ROW},1\n")
    assert told == f"list.csv row 1, column 5: read “{head}”; no such column is known. Is {meant} meant?"


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("value [$]", "this column is a plain number and takes no such unit. Take the unit away."),
        ("moisture [%]", "this column has its unit in every cell, as in 12 %, and takes no such unit."),
        ("wane [kg]", "“kg” is no unit of length. Write ft, in, mm, cm or m."),
    ],
)
def test_a_unit_that_a_column_cannot_have_is_told(head, said):
    assert said in faults_of(f"{HEAD},{head}\n{ROW},\n")[0]


def test_a_list_without_rows_or_heads_is_told():
    assert faults_of(f"{HEAD}\n") == ["list.csv has column heads and no rows: write a row for each timber or board."]
    assert faults_of("# none\n") == ["list.csv has no column heads and no rows: check that it was saved."]
    assert faults_of(f"{ROW}\n")[0].endswith(f"as in: {TIMBERS.example}")


def test_more_lines_than_a_list_has_are_told():
    rows = [f"p{number},6,7,14" for number in range(MOST_LINES)]
    text = "\n".join([HEAD, *rows])
    assert len(read(text).timbers) == MOST_LINES == 500
    assert faults_of(f"{text}\nlast,6,7,14\n") == [
        "list.csv row 502: more than 500 rows are not read. Check that it is the right file, or split it."
    ]


def test_a_row_whose_name_is_a_failed_formula_is_not_passed_over_as_a_comment():
    for failed in ("#REF!", "#N/A", "#DIV/0!", "#NAME?"):
        (told,) = faults_of(f"{HEAD}\n{failed},6,7,14\n{ROW}\n")
        assert told.startswith(f"list.csv row 2: read “{failed},6,7,14”; a row that starts with # is passed over.")


def test_a_spread_that_no_saw_has_is_refused():
    with pytest.raises(WoodError, match="spread of the saw"):
        read(f"{HEAD}\n{ROW}\n", spread_mm=-1.0)
    with pytest.raises(WoodError, match="step"):
        read(f"{HEAD}\n{ROW}\n", step_mm=30.0)


# --- anything ----------------------------------------------------------------

WORDS = (
    "6 in",
    "14'",
    "log",
    "board",
    "timber",
    "boxed",
    "free",
    "finished",
    "cut",
    "nan",
    "-inf",
    "1e999",
    "0",
    "-0",
    "4",
    "3",
    "12 %",
    "40 %",
    "=1+1",
    "#REF!",
    "1,250",
    "1/0 in",
    "½ in",
    "red spruce|",
    "999999999999 m",
    "0.0001 mm",
    "",
)
CELLS = st.one_of(st.sampled_from(WORDS), st.sampled_from(WORDS), st.text(max_size=12))


def outcome(text):
    """Number of lines read, or the faults."""
    try:
        prices = read(text)
    except FileError as error:
        return error.faults
    return len(prices.timbers) + len(prices.boards)


@given(st.lists(st.fixed_dictionaries(dict.fromkeys(TIMBERS.kinds, CELLS)), min_size=1, max_size=3))
@example([dict.fromkeys(TIMBERS.kinds, '"')])
@generated(300)
def test_no_cells_give_anything_but_a_list_or_a_file_error(rows):
    def cell(text):
        return '"' + text.replace('"', '""') + '"'

    lines = [",".join(TIMBERS.kinds), *(",".join(cell(row[name]) for name in TIMBERS.kinds) for row in rows)]
    found = outcome("\n".join(lines))
    if isinstance(found, int):
        assert found <= len(rows)
    else:
        assert all(told.startswith("list.csv") and told.isprintable() for told in found)


@given(st.dictionaries(st.sampled_from(sorted(TIMBERS.kinds)), CELLS, max_size=3))
@example({"length": "log", "size": "finished", "moisture": "12 %", "heart": "boxed"})
@generated(400)
def test_a_row_with_some_odd_cells_is_one_line_or_tells_its_row(cells):
    found = outcome(one_row(**cells))
    assert found == 1 or all(told.startswith("list.csv row") for told in found)


@given(st.text(max_size=200))
@generated(150)
def test_no_text_gives_anything_but_a_list_or_a_file_error(text):
    with pytest.raises(FileError):
        read(text)


# --- the demo and the docs ---------------------------------------------------


@pytest.fixture
def demo(tmp_path):
    path = tmp_path / "timbers.csv"
    path.write_text(demo_files()["timbers.csv"], encoding="utf-8")
    kit = kit_from_text(demo_files()["kit.toml"], file="kit.toml")
    return read_timbers(path, spread_mm=thickness_spread_mm(kit), own=kit.species)


def test_the_demo_list_has_what_the_frame_wants(demo):
    assert demo.notes == ()
    assert (len(demo.timbers), len(demo.boards)) == (12, 3)
    sizes = {item.name: (item.count, item.timber) for item in demo.timbers}
    for name, count, section in (("plate", 2, (6, 8)), ("tie", 1, (7, 9)), ("post", 6, (6, 6))):
        found, timber = sizes[name]
        assert found == count
        assert (timber.thickness_mm / INCH, timber.width_mm / INCH) == pytest.approx(section)
    assert {item.timber.heart for item in demo.timbers} == {"any", "boxed", "free"}
    assert {item.is_must for item in demo.timbers} == {True, False}
    assert any(item.wanted is not None and item.timber.allowance_mm > 0.0 for item in demo.timbers)
    assert [board.thickness_mm / INCH for board in demo.boards] == pytest.approx([1.0, 1.5, 2.0])
    assert "invented" in demo_files()["timbers.csv"].splitlines()[0]


def test_what_the_demo_must_have_is_less_than_half_of_its_logs_and_each_has_logs_of_its_species(demo):
    logs = yard_from_text(demo_files()["yard.csv"], file="yard.csv")
    must = sum(
        item.count * item.timber.thickness_mm * item.timber.width_mm * item.timber.length_mm
        for item in demo.timbers
        if item.is_must
    )
    assert 0.15 < must / sum(log.volume_mm3() for log in logs) < 0.5
    lists = [list_for(log, demo) for log in logs]
    assert all(prices.notes == () for prices in lists)
    for item in demo.timbers:
        held = [found for prices in lists for found in prices.timbers if found.name == item.name]
        assert held, item.name
        # A finished size is cut larger by more than its allowance, for the wood shrinks.
        for found in held:
            more = found.timber.cut_thickness_mm - item.timber.thickness_mm - 2.0 * item.timber.allowance_mm
            assert more > 1.0 if item.wanted else abs(more) < 1e-9


def test_every_column_stands_in_the_files_page():
    text = (Path(__file__).parents[2] / "docs" / "files.md").read_text(encoding="utf-8")
    section = text.partition("## Timbers")[2].partition("\n## ")[0]
    named = {
        name for row in re.findall(r"^\| (`.*?) \|", section, re.MULTILINE) for name in re.findall(r"`(\w+)`", row)
    }
    assert named == set(TIMBERS.kinds)
