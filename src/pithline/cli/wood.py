"""pithline: wood, air, cutsize, scale, settle."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pithline.cli.options import (
    Answering,
    climate_of,
    climate_options,
    cut_size_of,
    echo_json,
    finish_options,
    json_option,
    length_of,
    log_by_tag,
    section_of,
    share_of,
    shown_options,
    species_of,
    tape_of,
    yard_options,
)
from pithline.errors import InputError

if TYPE_CHECKING:
    from pithline.wood.settling import Wall

__all__ = ["air", "cutsize", "scale", "settle", "wood"]

_kit_option = click.option("--kit", metavar="KIT.toml", default=None, help="Your kit, with your own species in it.")


@click.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline wood "eastern white pine"
  pithline wood "Tsuga canadensis" --units mm --json""",
)
@click.argument("name", metavar="NAME")
@_kit_option
@shown_options
@json_option
def wood(name: str, kit: str | None, units: str, step: str, as_json: bool) -> None:
    """One page on a species: what it weighs, how it shrinks, how it lasts.

    Common or botanical name. Values from memory say so, and those that are not known are named.
    """
    from pithline.answers.wood_forms import wood_form
    from pithline.answers.wood_pages import wood_lines

    species = species_of(name, kit)
    if as_json:
        echo_json(wood_form(species))
    else:
        click.echo("\n".join(wood_lines(species, tape=tape_of(units, step))))


@click.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline air --temperature "70 F" --humidity "65 %"
  pithline air --temperature "12 C" --dew-point "4 C"
  pithline air --city "Portland, ME" --heated-to "68 F"
  pithline air --months months.csv""",
)
@click.option("--temperature", metavar="T", default=None, help='Temperature of the air with its unit, as "70 F".')
@click.option("--humidity", metavar="SHARE", default=None, help='Relative humidity with its unit, as "65 %".')
@click.option("--dew-point", metavar="T", default=None, help="Dew point, in place of the humidity.")
@click.option("--wet-bulb", metavar="T", default=None, help="A wet thermometer in moving air, likewise.")
@climate_options
@click.option("--heated-to", metavar="T", default=None, help="A room heated to this, its air from outdoors.")
@shown_options
@json_option
def air(**asked: Any) -> None:
    """The moisture wood comes to in air, in one state or over twelve months.

    Outdoors under a roof, or in a heated room to which no moisture is added.
    """
    from pithline.answers.wood_forms import air_form, service_form
    from pithline.answers.wood_pages import air_lines, service_lines
    from pithline.wood.air import moisture_in_air
    from pithline.wood.reading import parse_temperature
    from pithline.wood.service import service_moisture

    tape = tape_of(asked["units"], asked["step"])
    climate = climate_of(asked)
    if climate is None:
        answer = moisture_in_air(*_state_of(asked))
        if asked["as_json"]:
            echo_json(air_form(answer))
        else:
            click.echo("\n".join(air_lines(answer, tape=tape)))
        return
    if any(asked[name] is not None for name in ("temperature", "humidity", "dew_point", "wet_bulb")):
        raise InputError("--city and --months tell the whole year; leave temperature and humidity away.")
    heated = None if asked["heated_to"] is None else parse_temperature(asked["heated_to"])
    if heated is not None and not 0.0 <= heated <= 60.0:
        raise InputError("--heated-to: a heated room is between 0 and 60 C (32 and 140 F).")
    service = service_moisture(climate, indoors_c=heated)
    where = "outdoors under a roof" if heated is None else f"in a room heated to {' '.join(asked['heated_to'].split())}"
    if asked["as_json"]:
        echo_json(service_form(climate.name, service, heated_c=heated))
    else:
        click.echo("\n".join(service_lines(climate.name, service, where=where)))


def _state_of(asked: dict[str, Any]) -> tuple[float, float]:
    """Temperature and humidity of the air asked about."""
    from pithline.wood.humidity import humidity_from_dew_point, humidity_from_wet_bulb
    from pithline.wood.reading import parse_humidity, parse_temperature

    if asked["heated_to"] is not None:
        raise InputError("--heated-to goes with --city or --months.")
    given = [name for name in ("humidity", "dew_point", "wet_bulb") if asked[name] is not None]
    if asked["temperature"] is None or len(given) != 1:
        raise InputError(
            "air: give --temperature and one of --humidity, --dew-point and --wet-bulb; or --city, or --months."
        )
    temperature = parse_temperature(asked["temperature"])
    if given == ["humidity"]:
        return temperature, parse_humidity(asked["humidity"])
    second = parse_temperature(asked[given[0]])
    find = humidity_from_dew_point if given == ["dew_point"] else humidity_from_wet_bulb
    return temperature, find(temperature, second)


@click.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline cutsize --finished "6 x 8" --species "eastern white pine" --moisture "15 %" --allow 1/8
  pithline cutsize --finished "150 x 200" --units mm --species "Norway spruce" --chance "90 %" --json""",
)
@click.option("--finished", required=True, metavar="SIZE", help='Thickness x width in the building, as "6 x 8".')
@finish_options
@click.option("--allow", metavar="LENGTH", default="0", help="Left on each sawn face for hewing or planing.")
@click.option("--faces", type=click.Choice(["2", "3", "4"]), default="4", show_default=True, help="Sawn faces.")
@_kit_option
@shown_options
@json_option
def cutsize(**asked: Any) -> None:
    """The size to lay out green, so that the timber is full size once it is dry.

    Finished size, shrinkage, a margin for the saw, the allowance: term by term; and what it will measure when dry.
    """
    from pithline.answers.wood_forms import cutsize_form
    from pithline.answers.wood_pages import cutsize_lines
    from pithline.wood.cutsize import dry_size

    cut = cut_size_of(asked)
    if section_of("--finished", asked["finished"], units=asked["units"]).length_mm is not None:
        raise InputError("--finished: give thickness x width alone; the length is cut as it is.")
    species = species_of(asked["species"], asked["kit"])
    dry = dry_size(cut.thickness.hewn_mm, cut.width.hewn_mm, species=species, moisture=cut.wanted.moisture)
    if asked["as_json"]:
        echo_json(cutsize_form(cut, dry))
    else:
        click.echo("\n".join(cutsize_lines(cut, dry, tape=tape_of(asked["units"], asked["step"]))))


@click.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline scale yard.csv
  pithline scale yard.csv A03 --units mm
  pithline scale yard.csv --kit kit.toml --json""",
)
@yard_options
@click.argument("tag", metavar="[TAG]", required=False)
@_kit_option
@shown_options
@json_option
def scale(**asked: Any) -> None:
    """How much wood the yard holds, and what each log weighs.

    Board feet by three log rules, sweep and rot taken off; the exact volume and Smalian's; green weight as a range.
    With a TAG: where that log balances, and what each horse carries.
    """
    from pithline.answers.scale_pages import scale_form, scale_lines, weigh, weigh_form, weigh_lines
    from pithline.job import read_kit, read_yard
    from pithline.logs.scaling import scale_logs

    tape = tape_of(asked["units"], asked["step"])
    own = () if asked["kit"] is None else read_kit(Path(asked["kit"])).species
    logs = read_yard(Path(asked["yard"]), tip_larger_ok=asked["tip_larger_ok"])
    if asked["tag"] is not None:
        logs = (log_by_tag(logs, asked["tag"]),)
    found = [weigh(log, scaled, own) for log, scaled in zip(logs, scale_logs(logs), strict=True)]
    if asked["as_json"]:
        echo_json([scale_form(one) if asked["tag"] is None else weigh_form(one) for one in found])
        return
    click.echo("\n".join(scale_lines(found, tape=tape)))
    if asked["tag"] is not None:
        click.echo("\n".join(weigh_lines(found[0], tape=tape)))


@click.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline settle --species "red pine" --course 8 --courses 12 --opening 9 --joint scribed
  pithline settle --species "eastern hemlock" --course "12 in" --courses 7 --before "19 %" --joint chinked""",
)
@click.option("--species", required=True, metavar="NAME", help="Species of the timbers; needed.")
@click.option("--course", required=True, metavar="LENGTH", help="Height of the timber in one course.")
@click.option("--courses", required=True, metavar="N", type=int, help="Courses of the wall.")
@click.option("--opening", metavar="N", type=int, default=None, help="Courses beside the opening; all, if left out.")
@click.option(
    "--joint",
    type=click.Choice(["flat", "scribed", "chinked"]),
    default="flat",
    show_default=True,
    help="How courses meet: flat on flat, scribed, or with a gap that is chinked.",
)
@click.option("--before", metavar="SHARE", default="30 %", show_default=True, help="Moisture when laid; 30 % is green.")
@click.option("--after", metavar="SHARE", default="12 %", show_default=True, help="Moisture in use.")
@_kit_option
@shown_options
@json_option
def settle(**asked: Any) -> None:
    """What a wall of timbers drops as it dries, and the clearance over an opening.

    Computed shrinkage beside published allowances, and why they differ.
    """
    from pithline.answers.wood_forms import settle_form
    from pithline.answers.wood_pages import settle_lines
    from pithline.wood.settling import settling

    answer = settling(_wall_of(asked), species_of(asked["species"], asked["kit"]))
    if asked["as_json"]:
        echo_json(settle_form(answer))
    else:
        click.echo("\n".join(settle_lines(answer, tape=tape_of(asked["units"], asked["step"]))))


def _wall_of(asked: dict[str, Any]) -> "Wall":
    """The wall that `settle` is asked about."""
    from pithline.wood.settling import Wall

    return Wall(
        course_mm=length_of("--course", asked["course"], units=asked["units"]),
        courses=asked["courses"],
        opening_courses=asked["courses"] if asked["opening"] is None else asked["opening"],
        joint=asked["joint"],
        before=share_of("--before", asked["before"]),
        after=share_of("--after", asked["after"]),
    )
