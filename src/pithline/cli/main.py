"""pithline: fit, largest, setup, demo, kit; the commands on wood come from their own modules."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

import pithline
from pithline.cli.dry import dry
from pithline.cli.match import match
from pithline.cli.options import (
    EXIT_CODES,
    Answering,
    echo_json,
    json_option,
    length_of,
    log_by_tag,
    roll_of,
    shown_options,
    tape_of,
    timber_of,
    timber_options,
    yard_options,
)
from pithline.cli.pieces import pieces, relieve_option, set_up_pattern, way_option
from pithline.cli.wood import air, cutsize, scale, settle, wood
from pithline.errors import InputError

if TYPE_CHECKING:
    from pithline.fit import Kind, Largest, Placement
    from pithline.lengths import Tape
    from pithline.logs import LogSolid
    from pithline.setup import SetUp

__all__ = ["main"]


@click.group(epilog=EXIT_CODES, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(pithline.__version__, prog_name="pithline")
def main() -> None:
    """Timbers out of crooked logs, with a chainsaw mill.

    Does the timber lie in the log, how is the log turned, where do the lines go on both ends, how high stands each
    bearer, where lies the rail, and what is the mill set to for every pass.

    \b
    Start with:   pithline demo
    """


@main.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline fit yard.csv --timber "6 x 8 x 20'" --allow 1/8 --faces 2 --roll crown-side
  pithline fit yard.csv --timber "150 x 200 x 6 m" --units mm --heart boxed --json
  pithline fit yard.csv --finished "6 x 8 x 20'" --species "eastern white pine" --allow 1/8""",
)
@yard_options
@timber_options
@click.option("--kit", metavar="KIT.toml", default=None, help="Your kit: its spread and species, for --finished.")
@shown_options
@json_option
def fit(**asked: Any) -> None:
    """Which logs of a yard hold a timber, with proof.

    A line a log: fits or not, what is to spare or short and where, how to turn the log, and how close the answer is
    proven to be the best.
    """
    from pithline.answers.forms import fit_form
    from pithline.answers.pages import fit_lines
    from pithline.fit import place
    from pithline.job import read_yard

    timber, roll, tape = timber_of(asked), roll_of(asked["roll"]), tape_of(asked["units"], asked["step"])
    clear = None if asked["clear"] is None else length_of("--clear", asked["clear"], units=asked["units"])
    logs = read_yard(Path(asked["yard"]), tip_larger_ok=asked["tip_larger_ok"])
    placements = [place(log, timber, roll=roll, wanted_clearance_mm=clear) for log in logs]
    _tell_missed_clearance(placements, clear)
    if asked["as_json"]:
        echo_json([fit_form(placement, tape) for placement in placements])
    else:
        click.echo("\n".join(fit_lines(placements, timber, tape=tape)))


@main.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline largest yard.csv
  pithline largest yard.csv --ratio 3:4
  pithline largest yard.csv --thickness 6 --clear 1/4""",
)
@yard_options
@click.option("--square", is_flag=True, help="The largest square; this is what is done without the others.")
@click.option("--ratio", metavar="T:W", default=None, help="Thickness to width, as 3:4.")
@click.option("--thickness", metavar="LENGTH", default=None, help="The widest of this thickness.")
@click.option("--clear", metavar="LENGTH", default="0", help="Clearance to keep between corners and bark.")
@click.option("--wane", metavar="LENGTH", default="0", help="What may be missing at each corner.")
@shown_options
@json_option
def largest(**asked: Any) -> None:
    """The largest timber that lies in each log, over its whole length.

    Sizes are rounded down to the step shown; JSON gives them in full.
    """
    from pithline.answers.forms import largest_form, no_largest_form
    from pithline.answers.pages import largest_lines
    from pithline.job import read_yard

    kind, tape = _kind_of(asked), tape_of(asked["units"], asked["step"])
    logs = read_yard(Path(asked["yard"]), tip_larger_ok=asked["tip_larger_ok"])
    answers = [(log, _largest_or_why(log, kind)) for log in logs]
    if asked["as_json"]:
        echo_json([no_largest_form(log, a) if isinstance(a, str) else largest_form(a, tape) for log, a in answers])
    else:
        click.echo("\n".join(largest_lines([(log.tag, answer) for log, answer in answers], tape=tape)))


@main.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline setup yard.csv A01 --timber "6 x 8 x 20'" --allow 1/8 --faces 2 --roll crown-side --card A01.pdf
  pithline setup yard.csv A01 --timber "150 x 200 mm" --units mm --kit kit.toml --pole pole.pdf --paper a4
  pithline setup yard.csv A03 --timbers timbers.csv --kit kit.toml --card A03.pdf""",
)
@yard_options
@click.argument("tag", metavar="TAG")
@timber_options
@click.option(
    "--timbers", metavar="TIMBERS.csv", default=None, help="In place of one timber: a list, sawn its best way."
)
@way_option
@relieve_option
@click.option("--kit", metavar="KIT.toml", default=None, help="Your kit; without it the kit to start from is used.")
@click.option("--datum", metavar="LENGTH", default=None, help="Bearer tops above the upper line of the first set-up.")
@click.option("--cut-first", is_flag=True, help="Cut the log to the timber's length before it is set up.")
@click.option("--card", metavar="OUT.pdf", default=None, help="Print the card.")
@click.option("--pole", metavar="OUT.pdf", default=None, help="Print the story pole at true scale.")
@click.option("--templates", metavar="OUT.pdf", default=None, help="Print the end templates at true scale.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper size.")
@shown_options
@json_option
def setup(**asked: Any) -> None:
    """Everything from the marks on both ends to the last pass, for one log.

    How to turn the log, the lines from the pith, bearer heights, rail positions, the mill setting of every pass,
    and how far off the timber may come out.
    """
    from pithline.answers.forms import setup_form
    from pithline.answers.pages import setup_lines

    tape = tape_of(asked["units"], asked["step"])
    _check_outputs(asked)
    if asked["timbers"] is not None:
        _check_listed(asked)
        set_up_pattern(asked)
        return
    if asked["way"] is not None or asked["relieve"]:
        raise InputError("--way and --relieve: only with --timbers, where several pieces come out in several ways.")
    answer = _set_up(asked)
    if asked["as_json"]:
        echo_json(setup_form(answer, tape))
    else:
        click.echo("\n".join(setup_lines(answer, tape=tape)))
    _write_sheets(answer, asked, tape)


@main.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline demo
  pithline demo my-folder --paper a4 --units mm""",
)
@click.argument("folder", metavar="[DIR]", default="pithline-demo")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper size.")
@shown_options
def demo(folder: str, paper: str, units: str, step: str) -> None:
    """The whole job on an invented yard: which logs fit, one set-up, printed cards.

    Writes the yard and the kit of an invented sugarhouse into DIR (pithline-demo), so that you can change them and
    run the commands it shows again.
    """
    from pithline.cli.demo import run_demo

    for line in run_demo(Path(folder), paper=paper, tape=tape_of(units, step)):
        click.echo(line)


@main.command("kit", cls=Answering, epilog="\b\nExample:\n  pithline kit > kit.toml")
def kit_command() -> None:
    """The kit to start from, as a file to change.

    Every value says where it comes from; those only recalled are named.
    """
    from pithline.job import default_kit_text

    click.echo(default_kit_text(), nl=False)


def _kind_of(asked: dict[str, Any]) -> "Kind":
    """The kind of timber `largest` is asked for."""
    from pithline.fit import Kind
    from pithline.lengths import parse_ratio

    units = asked["units"]
    named = [name for name in ("square", "ratio", "thickness") if asked[name]]
    if len(named) > 1:
        raise InputError(f"--{named[0]} and --{named[1]} ask for different timbers; keep one of them.")
    clear, wane = (length_of(f"--{name}", asked[name], units=units) for name in ("clear", "wane"))
    if asked["thickness"] is not None:
        thick = length_of("--thickness", asked["thickness"], units=units)
        return Kind("thickness", thickness_mm=thick, clearance_mm=clear, wane_mm=wane)
    thickness, width = (1.0, 1.0) if asked["ratio"] is None else parse_ratio(asked["ratio"])
    return Kind(ratio=thickness / width, clearance_mm=clear, wane_mm=wane)


def _largest_or_why(log: "LogSolid", kind: "Kind") -> "Largest | str":
    """The largest timber of a log, or the sentence that says why there is none."""
    from pithline.errors import NoPlacementError
    from pithline.fit import largest as largest_of

    try:
        return largest_of(log, kind)
    except NoPlacementError as error:
        return str(error)


def _set_up(asked: dict[str, Any]) -> "SetUp":
    """The set-up that `setup` is asked for."""
    from pithline.answers.words import limit_text, miss_text
    from pithline.errors import NoPlacementError
    from pithline.fit import place
    from pithline.job import read_kit, read_yard
    from pithline.setup import set_up

    timber, roll, units = timber_of(asked), roll_of(asked["roll"]), asked["units"]
    tape = tape_of(units, asked["step"])
    datum = None if asked["datum"] is None else length_of("--datum", asked["datum"], units=units)
    clear = None if asked["clear"] is None else length_of("--clear", asked["clear"], units=units)
    kit = read_kit(None if asked["kit"] is None else Path(asked["kit"]))
    log = log_by_tag(read_yard(Path(asked["yard"]), tip_larger_ok=asked["tip_larger_ok"]), asked["tag"])
    placement = place(log, timber, roll=roll, wanted_clearance_mm=clear)
    _tell_missed_clearance([placement], clear)
    if not placement.fits:
        raise NoPlacementError(
            f"{log.tag} does not hold this timber: {limit_text(placement, tape)}; {miss_text(placement, tape)}."
        )
    return set_up(
        placement, kit, datum_mm=datum, may_turn_over=roll in {"best", "crown-side"}, cut_first=asked["cut_first"]
    )


def _tell_missed_clearance(placements: "list[Placement]", clear_mm: float | None) -> None:
    """Say on stderr where the clearance asked for cannot be had."""
    short = [p.log.tag for p in placements if clear_mm is not None and p.fits and p.clearance_mm < clear_mm - 0.01]
    if short:
        click.echo(f"--clear: more than there is in {', '.join(short)}; the most there is was taken.", err=True)


def _check_outputs(asked: dict[str, Any]) -> None:
    """Refuse names that no sheet can have, before anything is worked out."""
    names = {name: asked[name] for name in ("card", "pole", "templates") if asked[name] is not None}
    for name, path in names.items():
        if Path(path).suffix.lower() != ".pdf":
            raise InputError(f'--{name}: "{path}" does not end in .pdf: give the sheet a name that does.')
    if len({Path(path).resolve() for path in names.values()}) < len(names):
        raise InputError(f"--{', --'.join(names)}: two sheets cannot have one name; give each its own.")


def _check_listed(asked: dict[str, Any]) -> None:
    """Refuse options about one timber beside a list of them."""
    context = click.get_current_context()
    ours = {
        "yard",
        "tag",
        "timbers",
        "way",
        "relieve",
        "kit",
        "card",
        "paper",
        "units",
        "step",
        "as_json",
        "tip_larger_ok",
    }
    given = [
        name
        for name in asked
        if name not in ours and context.get_parameter_source(name) is click.core.ParameterSource.COMMANDLINE
    ]
    if given:
        named = ", ".join(f"--{name.replace('_', '-')}" for name in given)
        raise InputError(f"{named}: not with --timbers, where the list tells each timber and the way is searched.")


def _write_sheets(answer: "SetUp", asked: dict[str, Any], tape: "Tape") -> None:
    """Cards, poles and templates that were asked for, each told on stderr."""
    from pithline.job import write_pdf

    paper = asked["paper"]
    if asked["card"] is not None:
        from pithline.sheets.card import card_pdf

        write_pdf(Path(asked["card"]), card_pdf([answer], tape=tape, paper=paper))
    if asked["pole"] is not None:
        from pithline.sheets.pole import pole_pdf

        write_pdf(Path(asked["pole"]), pole_pdf(answer, tape=tape, paper=paper))
    if asked["templates"] is not None:
        from pithline.sheets.templates import templates_pdf

        write_pdf(Path(asked["templates"]), templates_pdf(answer, tape=tape, paper=paper))
    for name in ("card", "pole", "templates"):
        if asked[name] is not None:
            click.echo(f"Wrote {asked[name]}", err=True)


for _command in (pieces, match, scale, cutsize, wood, air, dry, settle):
    main.add_command(_command)
