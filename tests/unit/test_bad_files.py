"""Tables and kits that cannot be read are answered with sentences, soon, and never otherwise."""

import re
import time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pithline.errors import FileError
from pithline.job import (
    default_kit_text,
    kit_from_text,
    read_kit,
    read_yard,
    yard_from_text,
)

# Ample for a busy machine; what is guarded against takes minutes or never ends.
SOON_S = 5.0
HEAD = "tag,species,length [ft],butt [in],tip [in]"
ROW = "B7,red spruce,19 1/2,13 1/4,10 3/8"


# --- tables ------------------------------------------------------------------


def faults_of(text, **options):
    with pytest.raises(FileError) as caught:
        yard_from_text(text, file="yard.csv", **options)
    assert str(caught.value) == "\n".join(caught.value.faults)
    return list(caught.value.faults)


def test_the_name_of_the_file_stands_before_each_fault_and_not_its_folder(tmp_path):
    path = tmp_path / "north.csv"
    path.write_text(f"{HEAD}\nB7,red spruce,19 1/2,13 1/4,\n")
    with pytest.raises(FileError) as caught:
        read_yard(path)
    assert caught.value.faults == (
        "north.csv row 2, column tip: the cell is empty. Measure it and write it with its unit.",
    )


def test_a_table_without_a_head_is_told_what_a_head_is():
    assert faults_of(f"{ROW}\n") == [
        "yard.csv row 1: read “B7, red spruce, 19 1/2, 13 1/4, 10 3/8”; no column head is known. The first "
        "row names the columns, as in: tag, species, length [ft], butt [in], tip [in]"
    ]


def test_nothing_but_comments_is_told():
    assert faults_of("# a yard\n\n") == ["yard.csv has no column heads and no rows: check that it was saved."]


def test_a_head_alone_is_told():
    assert faults_of(f"{HEAD}\n") == ["yard.csv has column heads and no rows: write a row for each log."]


@pytest.mark.parametrize(
    ("head", "meant"),
    [
        ("but [in]", "butt"),
        ("Top", "tip"),
        ("crown clok", "crown_clock"),
        ("mid 1 place", "mid_1_at"),
        ("SWEEP", "crown"),
    ],
)
def test_an_unknown_column_is_told_with_the_nearest_name(head, meant):
    assert faults_of(f"{HEAD},{head}\n{ROW},\n") == [
        f"yard.csv row 1, column 6: read “{head}”; no such column is known. Is {meant} meant?"
    ]


def test_a_column_far_from_all_names_is_told_without_a_guess():
    text = faults_of(f"{HEAD},weight\n{ROW},\n")[0]
    assert text.endswith("no such column is known. Take it away; what is not to be read goes in notes.")


def test_missing_columns_are_told_and_the_cells_of_the_others_still_read():
    assert faults_of("tag,length [ft],butt [in]\nB7,19 1/2,13 x\nB8,0x10,12\n") == [
        "yard.csv row 1: the column species is missing. Add it with the head species.",
        "yard.csv row 1: the column tip is missing. Add it with the head tip [in] or tip [mm].",
        "yard.csv row 2, column butt: read “13 x”; it is a section, and one length is wanted here: "
        "write it as 21' 6 1/4\", 6.25 in or 160 mm.",
        "yard.csv row 3, column length: read “0x10”; it is a section, and one length is wanted here: "
        "write it as 21' 6 1/4\", 6.25 in or 160 mm.",
    ]


def test_a_column_that_is_there_twice_is_told():
    assert faults_of(f"{HEAD},Tip (mm)\n{ROW},260\n") == [
        "yard.csv row 1, column 6: read “Tip (mm)”; the column tip is there twice. Keep one of them."
    ]


def test_a_column_without_a_head_is_told_where_it_holds_something():
    assert faults_of("tag,,species,length [ft],butt [in],tip [in]\nB7,x,red spruce,19,13,10\n") == [
        "yard.csv row 1, column 2: it has no head. Name it, or take it away."
    ]


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("crown [kg]", "“kg” is no unit of length. Write ft, in, mm, cm or m."),
        ("oval_clock [deg]", "this column is a clock position and takes no such unit."),
        ("notes [in]", "this column is text and takes no such unit."),
    ],
)
def test_a_unit_that_a_column_cannot_have_is_told(head, said):
    assert said in faults_of(f"{HEAD},{head}\n{ROW},\n")[0]


def test_a_middle_diameter_needs_both_of_its_columns():
    assert faults_of(f"{HEAD},mid_2 [in]\n{ROW},12\n") == [
        "yard.csv row 1: the column mid_2_at is missing beside mid_2. Add it: mid_2_at is the "
        "distance from the butt, mid_2 the diameter there."
    ]


def test_short_and_long_rows_are_told_with_a_word_on_the_decimal_comma():
    short, long = faults_of(f"{HEAD}\nB7,red spruce,19,13\nB8,red spruce,19,13,5,10\n")
    assert short == (
        "yard.csv row 2: 4 cells under 5 column heads. Fill the row up with empty cells, or write what is missing."
    )
    assert long == (
        "yard.csv row 3: 6 cells under 5 column heads. Take the extra cells away; a cell that has a comma of "
        "its own, as in 43,5, stands in quotation marks."
    )


def test_quotation_marks_gone_wrong_are_told():
    inside, open_ = faults_of(f'{HEAD}\nB7,red spruce,"19\' 6"",13"3,10\nB8,"red spruce,19,13,10\n')
    assert inside.startswith("yard.csv row 2: a quotation mark stands inside a cell")
    assert open_ == "yard.csv row 3: a quotation mark is opened and not closed. Close it, or take it away."


def test_a_cell_over_several_lines_is_told_as_one():
    assert faults_of(f'{HEAD}\nB7,red spruce,"19\n6",13,10\nB8,red spruce,19,13,\n') == [
        "yard.csv row 2, column length: read “19\\n6”; the cell runs over several lines. Is a quotation mark missing, "
        "or one too many?",
        "yard.csv row 3, column tip: the cell is empty. Measure it and write it with its unit.",
    ]


def test_a_row_that_is_taken_for_a_comment_by_its_tag_is_told():
    assert faults_of(f"{HEAD}\n#7,red spruce,19,13,10\n") == [
        "yard.csv row 2: read “#7,red spruce,19,13,10”; a row that starts with # is passed over. Put a space "
        "behind the # if that is meant, else write the tag without it."
    ]


def test_too_many_rows_are_told_once():
    rows = "".join(f"L{k},red spruce,19,13,10\n" for k in range(5001))
    assert faults_of(f"{HEAD}\n{rows}") == [
        "yard.csv row 5002: more than 5,000 rows are not read. Check that it is the right file, or split it."
    ]


def test_all_faults_are_told_at_once_up_to_forty():
    rows = "".join(f"L{k},red spruce,19,13,oak\n" for k in range(45))
    told = faults_of(f"{HEAD}\n{rows}")
    assert len(told) == 41
    assert told[39].startswith("yard.csv row 41, column tip")
    assert told[40] == "yard.csv has 5 more faults like these."


def test_a_column_of_bare_numbers_is_one_fault_with_a_count():
    rows = "".join(f"L{k},red spruce,19,13,10\n" for k in range(70))
    assert faults_of(f"tag,species,length [ft],butt,tip [in]\n{rows}") == [
        "yard.csv row 2, column butt: read “13”; it has no unit. Write the unit in the cell, or in the head for "
        "the whole column, as in butt [in] or butt [mm]. 69 more cells of this column are the same."
    ]


BAD_CELLS = [
    ("length [ft]", "0", "length: 0 in (0 mm) is no log's measure"),
    ("length [ft]", "-19", "it is negative"),
    ("length [ft]", "1900", "length: 1900 ft (579120 mm) is no log's measure; it must lie between"),
    ("length [ft]", "nan", "it is no number that a tape can show"),
    ("length [ft]", "inf", "it is no number that a tape can show"),
    ("length [ft]", "19 or 20", "“or”, which is no unit of length here"),
    ("butt [in]", "1e9", "it has an exponent: write the number in full"),
    ("butt [in]", "13 kg", "“kg”, which is no unit of length here"),
    ("butt [in]", "1,250", "which can be 1250 or 1.250"),
    ("butt [in]", "0", "butt: 0 in (0 mm) is no log's measure"),
    ("tip [in]", "18", "tip: 1 ft 2 1/16 in (357 mm) is larger than butt: 1 ft 1 1/4 in (337 mm). Swap the ends"),
    ("tip_2 [in]", "200", "tip_2: 16 ft 8 in (5080 mm) is no log's measure"),
    ("crown [in]", "14", "crown: 1 ft 2 in (356 mm) on a log 1 ft 1 1/4 in (337 mm) through"),
    ("crown_at [ft]", "20", "crown_at: 20 ft (6096 mm); it must lie between the ends"),
    ("crown_clock", "13", "crown_clock is a clock position seen from the butt"),
    ("crown_clock", "0", "Write 1 to 12, as in 2, 2.5 or 2:30."),
    ("crown_clock", "2:60", "Write 1 to 12, as in 2, 2.5 or 2:30."),
    ("crown_clock", "-3", "Write 1 to 12"),
    ("crown_clock", "two", "Write 1 to 12"),
    ("oval_clock", "1e1", "Write 1 to 12"),
    ("bark [in]", "3", "bark: 3 in (76 mm) on a log 10 1/8 in (257 mm) through"),
    ("bark [in]", "-1/2", "it is negative"),
    ("butt_pith [in]", "7", "butt_pith: 7 in (178 mm) from the center of an end of radius 6 5/8 in (168 mm)"),
    ("mid_1_at [ft]", "19 1/2", "mid_1_at: 19 ft 6 in (5944 mm); each middle diameter needs a place of its own"),
    ("mid_1 [in]", "1/2", "mid_1: 1/2 in (13 mm) is no log's measure"),
    ("tag", "", "the cell is empty. Give the log a tag"),
    ("species", " ", "the cell is empty. Write the species, or unknown."),
    ("tag", "x" * 81, "it has 81 characters. Write 80 or fewer."),
    ("species", "red\x07spruce", "it has characters that cannot be printed"),
]
GOOD_ROW = {
    "tag": "B7",
    "species": "red spruce",
    "length [ft]": "19 1/2",
    "butt [in]": "13 1/4",
    "tip [in]": "10 3/8",
    "tip_2 [in]": "10 1/8",
    "oval_clock": "2:30",
    "crown [in]": "1 3/8",
    "crown_at [ft]": "9",
    "crown_clock": "8",
    "bark [in]": "3/8",
    "butt_pith [in]": "5/8",
    "butt_pith_clock": "4",
    "mid_1_at [ft]": "10",
    "mid_1 [in]": "12",
}


def as_table(rows):
    lines = [",".join(GOOD_ROW), *(",".join(row.values()) for row in rows)]
    return "\n".join(lines) + "\n"


def test_the_row_that_the_bad_cells_are_put_in_is_good():
    assert len(yard_from_text(as_table([GOOD_ROW]), file="yard.csv")) == 1


@pytest.mark.parametrize(("head", "cell", "said"), BAD_CELLS, ids=[f"{c[0]} {c[1][:9]}" for c in BAD_CELLS])
def test_a_bad_cell_is_told_with_file_row_column_and_what_was_read(head, cell, said):
    column = head.partition(" [")[0]
    cell_in_file = f'"{cell}"' if "," in cell else cell
    good = {**GOOD_ROW, "tag": "B6"}
    told = faults_of(as_table([good, {**GOOD_ROW, head: cell_in_file}]))
    assert len(told) == 1
    assert told[0].startswith(f"yard.csv row 3, column {column}: ")
    assert said in told[0]
    if cell.strip() and cell.isprintable():
        assert f"read “{cell[:40]}" in told[0]


def test_all_bad_cells_of_a_file_are_told_at_once_though_they_share_rows():
    row = {**GOOD_ROW, "tip [in]": "18", "crown_clock": "13", "bark [in]": "-1", "butt_pith [in]": "7", "tag": ""}
    told = faults_of(as_table([row, {**GOOD_ROW, "length [ft]": "0", "tag": ""}]))
    assert [re.search(r"row (\d+), column (\w+)", text).groups() for text in told] == [
        ("2", "tag"),
        ("2", "crown_clock"),
        ("2", "bark"),
        ("2", "tip"),
        ("2", "butt_pith"),
        ("3", "tag"),
        ("3", "length"),
    ]


def test_a_tag_that_is_there_twice_is_told_whatever_its_case():
    told = faults_of(as_table([GOOD_ROW, {**GOOD_ROW, "tag": "b7"}]))
    assert told == [
        "yard.csv row 3, column tag: read “b7”; the same tag stands in row 2. Give each log a tag of its own."
    ]


@pytest.mark.parametrize(
    ("change", "column", "said"),
    [
        ({"crown_clock": ""}, "crown", "the side is missing. Write crown_clock, seen from the butt"),
        ({"butt_pith_clock": ""}, "butt_pith", "the side is missing. Write butt_pith_clock"),
        ({"crown [in]": "", "crown_at [ft]": ""}, "crown_clock", "there is no crown in this row"),
        ({"crown [in]": "", "crown_clock": ""}, "crown_at", "there is no crown in this row"),
        ({"butt_pith [in]": ""}, "butt_pith_clock", "there is no butt_pith in this row"),
        ({"mid_1 [in]": ""}, "mid_1", "the cell is empty. Fill it, or leave all of its set empty."),
        ({"mid_1_at [ft]": ""}, "mid_1_at", "the cell is empty. Fill it, or leave all of its set empty."),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_half_a_measure_is_never_filled_up_by_a_guess(change, column, said):
    told = faults_of(as_table([{**GOOD_ROW, **change}]))
    assert len(told) == 1
    assert told[0].startswith(f"yard.csv row 2, column {column}: ")
    assert said in told[0]


def test_a_middle_at_fault_is_told_under_its_own_number():
    text = f"{HEAD},mid_1_at [ft],mid_1 [in],mid_2_at [ft],mid_2 [in]\n{ROW},,,25,12\n"
    assert faults_of(text)[0].startswith("yard.csv row 2, column mid_2_at: read “25” [ft]; mid_2_at: 25 ft (7620 mm);")


# --- anything at all ---------------------------------------------------------

HEADS = ["tag", "species", "length [ft]", "butt [in]", "tip", "tip_2 [mm]", "crown", "crown_clock", "bark", "notes"]
SLICE_HEADS = ["tag", "station [mm]", "x [mm]", "y [mm]", "axis_1 [mm]", "axis_2 [mm]", "angle", "bark", "species"]
MARKS = "0123456789.,/'\"-+#;:=[](){} \t\n\r\\x¼½′″×éeinfmNaft\x00\ufeff\ud800"
odd_cells = (
    st.text(alphabet=MARKS, max_size=12)
    | st.text(max_size=8)
    | st.sampled_from(["13 1/4", "19 ft", "2:30", "B7", "12 in"])
)
soon = settings(deadline=1000, max_examples=150)


def lines_of(heads):
    columns = st.lists(st.sampled_from(heads) | odd_cells, min_size=1, max_size=9)
    rows = st.lists(st.lists(odd_cells, min_size=1, max_size=10), max_size=5)
    return st.builds(
        lambda head, body, mark: "\n".join(mark.join(row) for row in [head, *body]),
        columns,
        rows,
        st.sampled_from([",", ";", "\t"]),
    )


def read_or_refuse(read):
    """Read; the one error that is allowed has printable faults of one line each."""
    faults = ("nothing is wrong",)
    try:
        read()
    except FileError as error:
        faults = error.faults
    assert faults
    for fault in faults:
        assert fault.isprintable()
        assert len(fault) < 600


@soon
@given(lines_of(HEADS))
@example(f"{HEAD}\n" + '"' * 200_000)
@example("," * 300_000 + "\ntag")
@example("\n" * 400_000)
@example(HEAD + "\n" + ",,,,\n" * 1000)
def test_any_text_as_a_tally_is_read_or_refused(text):
    read_or_refuse(lambda: yard_from_text(text, file="yard.csv"))


@soon
@given(lines_of(SLICE_HEADS))
def test_any_text_as_slices_is_read_or_refused(text):
    read_or_refuse(lambda: yard_from_text(text, file="scan.csv"))


@soon
@given(st.lists(odd_cells, min_size=5, max_size=5), st.integers(0, 14))
def test_any_cell_in_a_good_table_is_read_or_refused(cells, place):
    names = list(GOOD_ROW)
    changes = {names[(place + k) % len(names)]: '"' + cell.replace('"', '""') + '"' for k, cell in enumerate(cells)}
    read_or_refuse(lambda: yard_from_text(as_table([{**GOOD_ROW, **changes}]), file="yard.csv"))


@soon
@given(st.binary(max_size=400), st.sampled_from([b"", HEAD.encode() + b"\n", b"[saw]\nkerf = "]))
def test_any_bytes_as_a_file_are_read_or_refused(tmp_path_factory, data, start):
    path = tmp_path_factory.mktemp("any") / "file"
    path.write_bytes(start + data)
    for read in (read_yard, read_kit):
        read_or_refuse(lambda read=read: read(path))


kit_values = (
    st.integers()
    | st.floats()
    | st.booleans()
    | odd_cells.map(lambda text: "'" + text.replace("'", "") + "'")
    | st.sampled_from(['"3/8 in"', "[1, 2]", "{a = 1}", "2024-05-01", "0x" + "f" * 480, "1e400", '"9 mm"', '"inf"'])
)
kit_lines = re.findall(r"^(?:\w+ =|\[\w+\])", default_kit_text(), flags=re.MULTILINE)


@soon
@given(st.lists(st.tuples(st.sampled_from(kit_lines) | odd_cells.map(lambda t: f"{t} ="), kit_values), max_size=12))
def test_any_text_as_a_kit_is_read_or_refused(pairs):
    text = "\n".join(head if head.startswith("[") else f"{head} {value}" for head, value in pairs)
    read_or_refuse(lambda: kit_from_text(text, file="kit.toml"))


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[\n" * 90_000,
        "a = " + "9" * 490 + "\n" + "b = {" * 90,
        ".".join("a" * 90_000) + " = 1",
        "\n".join(f"{'.'.join('a' * 240)}.b{k} = 1" for k in range(390)),
        "".join(f"[a.b{k}]\n" for k in range(18_000)),
        "[[a]]\n" * 30_000,
        "x" * 190_000,
    ],
    ids=["deep", "digits", "dotted", "dotted lines", "sections", "lists", "one line"],
)
def test_a_kit_made_to_keep_the_reader_busy_is_refused_soon(text):
    start = time.perf_counter()
    with pytest.raises(FileError):
        kit_from_text(text, file="kit.toml")
    assert time.perf_counter() - start < SOON_S


@pytest.mark.parametrize(
    "text",
    [
        f"{HEAD}\n" + "B7,red spruce,19,13,10\n" * 300_000,
        f"{HEAD}\n" + ("x" * 15 + ",") * 400_000,
        f"{HEAD}\n" + '"' + "x" * 7_000_000,
        "tag,station [mm],x [mm],y [mm],axis_1 [mm],axis_2 [mm]\n" + "a,1,1,1,1,1\n" * 19_000,
        "tag,station [mm],x [mm],y [mm],axis_1 [mm],axis_2 [mm]\n" + "".join(f"{k},{k},,,x,1\n" for k in range(19_000)),
        ",".join(f"head{k}" for k in range(900_000)),
        HEAD + "," + ",".join(f"head{k}" for k in range(190)) + "\n",
        "# \n" * 2_600_000,
    ],
    ids=["rows", "columns", "quote", "one place", "bad slices", "heads", "unknown", "comments"],
)
def test_a_table_made_to_keep_the_reader_busy_is_refused_soon(text):
    start = time.perf_counter()
    with pytest.raises(FileError):
        yard_from_text(text, file="yard.csv")
    assert time.perf_counter() - start < SOON_S
