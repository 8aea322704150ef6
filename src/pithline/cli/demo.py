"""The demo: the whole job on an invented yard, through to printed sheets."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal, cast

if TYPE_CHECKING:
    from pithline.lengths import Tape
    from pithline.setup import SetUp

__all__ = ["run_demo"]

TIMBER = "6 x 8 x 20'"
ALLOW = "1/8"


def run_demo(folder: Path, *, paper: str, tape: "Tape") -> Iterator[str]:
    """Write the invented yard and kit, and run every command on them; lines as they come."""
    from pithline.answers.pages import fit_lines, setup_lines
    from pithline.fit import Timber, place
    from pithline.job import read_kit, read_yard, write_demo
    from pithline.lengths import parse, parse_section
    from pithline.setup import set_up

    written = write_demo(folder)
    yard, kit = folder / "yard.csv", folder / "kit.toml"
    yield f"An invented sugarhouse on a hill farm: wrote {', '.join(str(path) for path in written)}"
    size = parse_section(TIMBER, bare="in")
    timber = Timber(
        size.thickness_mm,
        size.width_mm,
        length_mm=size.length_mm,
        sawn_faces=4,
        allowance_mm=parse(ALLOW, bare="in"),
    )
    placements = [place(log, timber, roll="crown-side") for log in read_yard(yard)]
    options = f'--timber "{TIMBER}" --allow {ALLOW} --roll crown-side'
    yield ""
    yield f"$ pithline fit {yard} {options}"
    yield from fit_lines(placements, timber, tape=tape)
    good = [placement for placement in placements if placement.fits]
    setups = [set_up(placement, read_kit(kit), may_turn_over=True) for placement in good]
    shown = min(setups, key=lambda setup: setup.placement.clearance_mm)
    tag = shown.placement.log.tag
    yield ""
    yield f"$ pithline setup {yard} {tag} {options} --kit {kit}"
    yield from setup_lines(shown, tape=tape)
    yield ""
    yield from _sheets(folder, setups, shown, paper=cast('Literal["letter", "a4"]', paper), tape=tape)
    yield ""
    yield from _pieces(folder, paper=cast('Literal["letter", "a4"]', paper), tape=tape)


def _pieces(folder: Path, *, paper: Literal["letter", "a4"], tape: "Tape") -> Iterator[str]:
    """The best ways to saw every log for the whole list, and the card of the log that gives most."""
    from pithline.answers.pattern_pages import ways_lines
    from pithline.job import read_kit, read_timbers, read_yard, write_pdf
    from pithline.patterns import best_patterns
    from pithline.setup import thickness_spread_mm
    from pithline.sheets.pattern_card import pattern_card_pdf

    yard, timbers, kit_file = folder / "yard.csv", folder / "timbers.csv", folder / "kit.toml"
    kit = read_kit(kit_file)
    prices = read_timbers(timbers, spread_mm=thickness_spread_mm(kit), own=kit.species)
    every = [best_patterns(log, prices, kit=kit) for log in read_yard(yard)]
    yield f"$ pithline pieces {yard} --timbers {timbers} --kit {kit_file}"
    yield from ways_lines(every, tape=tape)
    most = max((ways for ways in every if ways.patterns), key=lambda ways: ways.patterns[0].net)
    name = f"{most.log.tag}-pieces.pdf"
    write_pdf(folder / name, pattern_card_pdf([most.patterns[0]], tape=tape, paper=paper))
    yield ""
    yield f"Card of the log that gives most, with every pass: {folder / name}"


def _sheets(
    folder: Path, setups: "list[SetUp]", shown: "SetUp", *, paper: Literal["letter", "a4"], tape: "Tape"
) -> Iterator[str]:
    """Print cards for every log that holds the timber, and pole and templates for one."""
    from pithline.job import write_pdf
    from pithline.sheets.card import card_pdf
    from pithline.sheets.pole import pole_pdf
    from pithline.sheets.templates import templates_pdf

    tag = shown.placement.log.tag
    made = (
        (
            f"Cards of {len(setups)} logs, one to pin to the horse",
            "cards.pdf",
            card_pdf(setups, tape=tape, paper=paper),
        ),
        (f"Story pole of {tag}", f"{tag}-pole.pdf", pole_pdf(shown, tape=tape, paper=paper)),
        (f"End templates of {tag}", f"{tag}-templates.pdf", templates_pdf(shown, tape=tape, paper=paper)),
    )
    for words, name, pdf in made:
        write_pdf(folder / name, pdf)
        yield f"{words}: {folder / name}"
