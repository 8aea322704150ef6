"""Draw the pictures of the docs: the first log of the demo yard, set up for a plate.

Called by `make pictures`. A picture stands on white paper, since a page that shows it
may be dark.
"""

from pathlib import Path

import typst

from pithline.fit import Timber, place
from pithline.job import demo_files, kit_from_text, yard_from_text
from pithline.lengths import Tape
from pithline.setup import SetUp, set_up
from pithline.sheets.end_view import end_view
from pithline.sheets.side_view import side_view
from pithline.sheets.svg import Drawing
from pithline.sheets.typeset import font_folder

FOLDER = Path(__file__).resolve().parent.parent / "docs" / "pictures"
TAPE = Tape("in", 16)
INCH_MM = 25.4


def plate() -> SetUp:
    """Return the set-up of a two-faced plate, 6 x 8 x 20 ft, in the first log of the demo yard."""
    files = demo_files()
    log = yard_from_text(files["yard.csv"], file="yard.csv")[0]
    kit = kit_from_text(files["kit.toml"], file="kit.toml")
    timber = Timber(6.0 * INCH_MM, 8.0 * INCH_MM, length_mm=240.0 * INCH_MM, sawn_faces=2, allowance_mm=INCH_MM / 8.0)
    return set_up(place(log, timber, roll="crown-side"), kit, may_turn_over=True)


def pictures() -> dict[str, Drawing]:
    """Return the drawings under the names of their files."""
    setup = plate()
    return {
        "end.png": end_view(setup, "butt", tape=TAPE, room_mm=(110.0, 96.0)),
        "side.png": side_view(setup, 0, tape=TAPE, room_mm=(200.0, 84.0)),
    }


def on_paper(drawing: Drawing) -> bytes:
    """Return a drawing as a PNG picture on white paper.

    Not as SVG: a reader's machine may lack the letters it is set in, and wider ones would not fit.
    """
    width, height = drawing.paper.width_mm, drawing.paper.height_mm
    source = f"""#set page(width: {width}mm, height: {height}mm, margin: 0pt, fill: white)
#image(bytes(sys.inputs.svg), format: "svg", width: 100%, height: 100%)"""
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(font_folder())])
    inputs = {"svg": drawing.to_svg()}
    picture = typst.compile(source.encode("utf-8"), format="png", ppi=144.0, font_paths=fonts, sys_inputs=inputs)
    if not isinstance(picture, bytes):
        raise SystemExit("the picture could not be drawn on one page")
    return picture


def main() -> None:
    """Write the pictures, and tell which."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, drawing in pictures().items():
        (FOLDER / name).write_bytes(on_paper(drawing))
        print(f"docs/pictures/{name}")


if __name__ == "__main__":
    main()
