"""Options shared by the commands, and the words they are read from."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import click

from pithline.errors import InputError, OutOfRangeError, PithlineError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pithline.fit import RollRule, Timber
    from pithline.lengths import Tape, Unit
    from pithline.lengths.section import TimberSize
    from pithline.logs import LogSolid
    from pithline.wood.climate import Climate
    from pithline.wood.cutsize import CutSize
    from pithline.wood.species import Species

__all__ = [
    "EXIT_CODES",
    "Answering",
    "climate_of",
    "climate_options",
    "cut_size_of",
    "echo_json",
    "finish_options",
    "json_option",
    "length_of",
    "log_by_tag",
    "roll_of",
    "section_of",
    "share_of",
    "shown_options",
    "species_of",
    "tape_of",
    "timber_of",
    "timber_options",
    "yard_options",
]

EXIT_CODES = """\b
Exit codes:
  0  answered
  1  the timber does not lie in that log (setup), or nothing could be drawn
  2  a file, an option or the kit cannot be used; the message says which
  130  stopped by hand"""

_Command = TypeVar("_Command", bound=Callable[..., Any])


def _stacked(*options: Callable[[Any], Any]) -> Callable[[_Command], _Command]:
    """Several options as one decorator, shown in the order given."""

    def decorate(command: _Command) -> _Command:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


shown_options = _stacked(
    click.option(
        "--units",
        type=click.Choice(["in", "mm"]),
        default="in",
        show_default=True,
        envvar="PITHLINE_UNITS",
        help="Unit of bare numbers in options, and of the answer.",
    ),
    click.option(
        "--step",
        type=click.Choice(["16", "8"]),
        default="16",
        show_default=True,
        help="Finest fraction of an inch shown.",
    ),
)

yard_options = _stacked(
    click.argument("yard", metavar="YARD.csv"),
    click.option("--tip-larger-ok", is_flag=True, help="Take tips larger than butts as measured."),
)

json_option = click.option("--json", "as_json", is_flag=True, help="Answer as JSON, in mm and degrees.")

finish_options = _stacked(
    click.option("--species", metavar="NAME", default=None, help="Species, for its shrinkage."),
    click.option(
        "--moisture", metavar="SHARE", default=None, help="Moisture of the timber in the building.  [default: 12 %]"
    ),
    click.option(
        "--chance", metavar="SHARE", default=None, help="How sure each side is to be full size.  [default: 95 %]"
    ),
)

climate_options = _stacked(
    click.option("--city", metavar="NAME", default=None, help='A city whose months are known, as "Portland, ME".'),
    click.option("--months", metavar="MONTHS.csv", default=None, help="Your own twelve months of air."),
)

timber_options = _stacked(
    click.option("--timber", metavar="SIZE", default=None, help='Thickness x width x length, as "6 x 8 x 20\'".'),
    click.option(
        "--finished",
        metavar="SIZE",
        default=None,
        help="In place of --timber: the size in the building; what to cut for it is worked out.",
    ),
    finish_options,
    click.option("--allow", metavar="LENGTH", default="0", help="Left on each sawn face for hewing or planing."),
    click.option(
        "--faces",
        type=click.Choice(["2", "3", "4"]),
        default="4",
        show_default=True,
        help="Sawn faces; 2 are the thickness apart.",
    ),
    click.option("--wane", metavar="LENGTH", default="0", help="What may be missing at each corner."),
    click.option(
        "--heart",
        type=click.Choice(["any", "boxed", "free"]),
        default="any",
        show_default=True,
        help="Pith inside the timber, outside, or anywhere.",
    ),
    click.option(
        "--heart-margin",
        metavar="LENGTH",
        default="1/2 in",
        show_default=True,
        help="How far inside or outside the pith must stay.",
    ),
    click.option(
        "--roll",
        metavar="best|crown-side|crown-up|DEG",
        default="best",
        show_default=True,
        help="How the log is turned; DEG is clockwise, seen from the butt.",
    ),
    click.option(
        "--clear",
        metavar="LENGTH",
        default=None,
        help="Clearance to bark that is enough; what is over goes to lie nearer the pith.",
    ),
)


def _option_error(name: str, error: Exception) -> InputError:
    """An option's fault under the option's name."""
    return InputError(f"{name}: {error}")


def length_of(name: str, text: str, *, units: str) -> float:
    """A length from an option [mm]."""
    from pithline.lengths import parse

    try:
        return parse(text, bare=cast("Unit", units))
    except InputError as error:
        raise _option_error(name, error) from error


def tape_of(units: str, step: str) -> "Tape":
    """How lengths are shown."""
    from pithline.lengths import Tape

    return Tape("mm" if units == "mm" else "in", int(step))


def roll_of(text: str) -> "RollRule":
    """The roll rule an option asks for."""
    import math

    if text in {"best", "crown-side", "crown-up"}:
        return cast("RollRule", text)
    try:
        turn = float(text.removesuffix("deg").removesuffix("°"))
    except ValueError:
        turn = math.nan
    if not abs(turn) <= 360.0:
        raise InputError(f'--roll: read "{text}"; write best, crown-side, crown-up, or degrees from -360 to 360.')
    return turn


def timber_of(asked: dict[str, Any]) -> "Timber":
    """The timber that `timber_options` ask for."""
    from pithline.fit import Timber

    units = asked["units"]
    if (asked["timber"] is None) == (asked["finished"] is None):
        raise InputError(
            "timber: give --timber, the size to cut, or --finished, the size in the building, one of the two."
        )
    rules = {
        "wane_mm": length_of("--wane", asked["wane"], units=units),
        "heart": asked["heart"],
        "heart_margin_mm": length_of("--heart-margin", asked["heart_margin"], units=units),
    }
    name = "timber" if asked["finished"] is None else "finished"
    size = section_of(f"--{name}", asked[name], units=units)
    if name == "finished":
        return Timber.of_cut(cut_size_of(asked), length_mm=size.length_mm, **rules)
    idle = [f"--{name}" for name in ("species", "moisture", "chance") if asked[name] is not None]
    if idle:
        raise InputError(f"{' and '.join(idle)}: only with --finished; a --timber is cut as it is asked for.")
    return Timber(
        thickness_mm=size.thickness_mm,
        width_mm=size.width_mm,
        length_mm=size.length_mm,
        sawn_faces=int(asked["faces"]),
        allowance_mm=length_of("--allow", asked["allow"], units=units),
        **rules,
    )


def section_of(name: str, text: str, *, units: str) -> "TimberSize":
    """A section, with its length where it has one."""
    from pithline.lengths import parse_section

    try:
        return parse_section(text, bare=cast("Unit", units))
    except InputError as error:
        raise _option_error(name, error) from error


def species_of(name: str | None, kit: str | None) -> "Species":
    """The species of a name, the user's own first."""
    from pithline.job import read_kit
    from pithline.wood.species import find_species

    if name is None:
        raise InputError('--finished needs --species, for its shrinkage: as in --species "eastern white pine".')
    return find_species(name, () if kit is None else read_kit(Path(kit)).species)


def cut_size_of(asked: dict[str, Any]) -> "CutSize":
    """What to cut for a finished size; the saw's spread is the kit's."""
    from pithline.job import read_kit
    from pithline.setup import thickness_spread_mm
    from pithline.wood.cutsize import Wanted, cut_size

    units = asked["units"]
    size = section_of("--finished", asked["finished"], units=units)
    kit = read_kit(None if asked["kit"] is None else Path(asked["kit"]))
    wanted = Wanted(
        size.thickness_mm,
        size.width_mm,
        moisture=share_of("--moisture", asked["moisture"] or "12 %"),
        allowance_mm=length_of("--allow", asked["allow"], units=units),
        sawn_faces=int(asked["faces"]),
        spread_mm=thickness_spread_mm(kit),
        chance=share_of("--chance", asked["chance"] or "95 %"),
        step_mm=tape_of(units, asked["step"]).step_mm,
    )
    return cut_size(wanted, species_of(asked["species"], asked["kit"]))


def share_of(name: str, text: str) -> float:
    """A share with its unit, as 15 %, from an option [fraction]."""
    from pithline.wood.reading import parse_moisture

    try:
        return parse_moisture(text)
    except InputError as error:
        raise InputError(f"{name}: {str(error).partition(': ')[2]}") from error


def climate_of(asked: dict[str, Any]) -> "Climate | None":
    """The climate asked for, by city or by file; None where neither is."""
    from pithline.job.months import read_months
    from pithline.wood.service import city_climate

    if asked["city"] is not None and asked["months"] is not None:
        raise InputError("--city and --months both tell the climate; keep one of them.")
    if asked["months"] is not None:
        return read_months(Path(asked["months"]))
    return None if asked["city"] is None else city_climate(asked["city"])


def echo_json(answer: Any) -> None:
    """An answer as JSON on stdout."""
    import json

    click.echo(json.dumps(answer, indent=1, allow_nan=False))


def log_by_tag(logs: "Sequence[LogSolid]", tag: str) -> "LogSolid":
    """The log of a yard with a tag."""
    import difflib

    from pithline.lengths.spelling import quoted

    for log in logs:
        if log.tag == tag:
            return log
    tags = [log.tag for log in logs]
    near = difflib.get_close_matches(tag[:60], tags, n=3, cutoff=0.4)
    told = f"Did you mean {' or '.join(near)}?" if near else f"The yard holds {', '.join(tags[:12])}."
    raise InputError(f"TAG: no log is tagged {quoted(tag)}. {told}")


class Answering(click.Command):
    """A command whose errors are sentences on stderr and whose exit code says what kind."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command, turning errors into sentences."""
        try:
            return super().invoke(ctx)
        except PithlineError as error:
            click.echo(str(error), err=True)
            sys.exit(2 if isinstance(error, InputError | OutOfRangeError) else 1)
        except BrokenPipeError:
            # The reader of a pipe has seen enough; nothing is wrong.
            sys.stderr.close()
            sys.exit(0)
        except KeyboardInterrupt:
            click.echo("Stopped.", err=True)
            sys.exit(130)
        except OSError as error:
            click.echo(f"The answer could not be written: {error.strerror or error}.", err=True)
            sys.exit(2)
