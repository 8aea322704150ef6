"""pithline dry."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pithline.cli.options import (
    Answering,
    climate_of,
    climate_options,
    echo_json,
    json_option,
    section_of,
    share_of,
    shown_options,
    species_of,
    tape_of,
)
from pithline.errors import InputError, UnknownValueError

if TYPE_CHECKING:
    from pithline.wood.climate import Climate
    from pithline.wood.drying import DryingJob
    from pithline.wood.species import Species

__all__ = ["dry"]


@click.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline dry --timber "6 x 8 x 20'" --species "eastern white pine" --city "Portland, ME" --stacked May
  pithline dry --timber "50 x 200 x 4 m" --units mm --species "Scots pine" --months months.csv --sheet dry.pdf""",
)
@click.option("--timber", required=True, metavar="SIZE", help="Thickness x width x length of the green timber.")
@click.option("--species", required=True, metavar="NAME", help="Species, for its moisture and how fast it dries.")
@climate_options
@click.option("--stacked", metavar="MONTH", default="May", show_default=True, help="Month it is stacked, on the 1st.")
@click.option("--years", type=click.IntRange(1, 20), default=5, show_default=True, help="How far to look ahead.")
@click.option("--green", metavar="SHARE", default=None, help="Moisture at the start, where you measured it.")
@click.option("--target", metavar="SHARE", multiple=True, default=("20 %", "15 %"), help="Moistures to wait for.")
@click.option("--bare-ends", is_flag=True, help="The ends are not coated.")
@click.option("--open", "in_the_open", is_flag=True, help="No roof over the stack.")
@click.option("--kit", metavar="KIT.toml", default=None, help="Your kit, with your own species in it.")
@click.option("--plot", metavar="OUT.svg", default=None, help="Draw moisture over time.")
@click.option("--sheet", metavar="OUT.pdf", default=None, help="Print a sheet for the stack, plot and all.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper size.")
@shown_options
@json_option
def dry(**asked: Any) -> None:
    """How long a timber takes to dry in the open air, and how to stack it.

    By diffusion in its section, month by month, as a band from slow to fast; for species of which no coefficient is
    known, by the published days of 1 in stock.
    """
    from pithline.answers.drying_forms import dry_form
    from pithline.answers.drying_pages import dry_lines
    from pithline.wood.drying import drying_forecast

    _check_outputs(asked)
    tape = tape_of(asked["units"], asked["step"])
    species, job, climate = species_of(asked["species"], asked["kit"]), _job_of(asked), _climate_of(asked)
    targets = tuple(sorted({share_of("--target", text) for text in asked["target"]}, reverse=True))
    try:
        forecast = drying_forecast(species, job, climate=climate, targets=targets)
    except UnknownValueError as error:
        _by_published_days(asked, species, climate, error=error)
        return
    if asked["as_json"]:
        echo_json(dry_form(forecast))
    else:
        click.echo("\n".join(dry_lines(forecast, tape=tape)))
    if asked["plot"] is not None:
        from pithline.job import write_svg
        from pithline.sheets.drying_plot import drying_svg

        write_svg(Path(asked["plot"]), drying_svg(forecast, tape=tape))
        click.echo(f"Wrote {asked['plot']}", err=True)
    if asked["sheet"] is not None:
        from pithline.job import write_pdf
        from pithline.sheets.drying import drying_pdf

        write_pdf(Path(asked["sheet"]), drying_pdf(forecast, tape=tape, paper=asked["paper"]))
        click.echo(f"Wrote {asked['sheet']}", err=True)


def _by_published_days(
    asked: dict[str, Any], species: "Species", climate: "Climate", *, error: UnknownValueError
) -> None:
    """The answer where no curve can be drawn."""
    from pithline.answers.drying_forms import no_curve_form
    from pithline.answers.drying_pages import rule_lines, stack_lines
    from pithline.wood.air_drying import air_drying
    from pithline.wood.drying import job_notes

    job = _job_of(asked)
    rule = air_drying(
        species, climate, thickness_mm=job.thickness_mm, width_mm=job.width_mm, start_month=job.start_month
    )
    if asked["plot"] is not None or asked["sheet"] is not None:
        raise InputError(f"--plot, --sheet: {error}")
    if asked["as_json"]:
        echo_json(no_curve_form(rule, notes=(str(error), *climate.notes, *job_notes(job))))
        return
    tape = tape_of(asked["units"], asked["step"])
    told = (str(error), *rule.notes, *climate.notes, *job_notes(job))
    notes = [f"Note: {note}" for note in dict.fromkeys(told)]
    click.echo("\n".join([*rule_lines(rule, tape=tape), "", *stack_lines(job, tape=tape), "", *notes]))


def _job_of(asked: dict[str, Any]) -> "DryingJob":
    """The timber to dry."""
    from pithline.lengths.spelling import quoted
    from pithline.wood.drying import DryingJob

    size = section_of("--timber", asked["timber"], units=asked["units"])
    if size.length_mm is None:
        raise InputError(f'--timber: read {quoted(asked["timber"])}; add its length, as in "6 x 8 x 20\'".')
    return DryingJob(
        size.thickness_mm,
        size.width_mm,
        size.length_mm,
        start_month=_month_of(asked["stacked"]),
        months=12 * asked["years"],
        green=None if asked["green"] is None else share_of("--green", asked["green"]),
        end_coat=not asked["bare_ends"],
        under_cover=not asked["in_the_open"],
    )


def _climate_of(asked: dict[str, Any]) -> "Climate":
    """The climate of the stack, which cannot be done without."""
    climate = climate_of(asked)
    if climate is None:
        raise InputError('climate: give --city, as in --city "Portland, ME", or your own twelve months with --months.')
    return climate


def _month_of(written: str) -> int:
    """Number of a month."""
    from pithline.job.months import month_number
    from pithline.lengths.spelling import quoted

    number = month_number(written.strip())
    if number is None:
        raise InputError(f"--stacked: read {quoted(written)}; write Jan to Dec, or 1 to 12.")
    return number


def _check_outputs(asked: dict[str, Any]) -> None:
    """Refuse names that no drawing or sheet can have, before anything is worked out."""
    from pithline.lengths.spelling import quoted

    for name, ending in (("plot", ".svg"), ("sheet", ".pdf")):
        path = asked[name]
        if path is not None and Path(path).suffix.lower() != ending:
            raise InputError(f"--{name}: {quoted(path)} does not end in {ending}: give it a name that does.")
