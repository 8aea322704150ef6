"""pithline: pieces; and the set-up of a log that several pieces are sawn from."""

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pithline.cli.options import (
    Answering,
    echo_json,
    json_option,
    log_by_tag,
    shown_options,
    tape_of,
    yard_options,
)
from pithline.errors import InputError, NoPlacementError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pithline.lengths import Tape
    from pithline.logs import LogSolid
    from pithline.patterns import PriceList, Ways
    from pithline.setup import Kit

__all__ = ["pieces", "relieve_option", "set_up_pattern", "way_option"]

_MANY_LOGS = 24
_MOST_CORES = 8

way_option = click.option(
    "--way", type=click.IntRange(1, 9), default=None, help="Which of the ways to show, 1 is the best."
)

relieve_option = click.option(
    "--relieve", is_flag=True, help="With --timbers: open opposite faces in turn, for wood that moves as it is sawn."
)


@click.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline pieces yard.csv --timbers timbers.csv --kit kit.toml
  pithline pieces yard.csv A03 --timbers timbers.csv --kit kit.toml --way 2
  pithline pieces yard.csv A03 --timbers timbers.csv --card A03-pieces.pdf""",
)
@yard_options
@click.argument("tag", metavar="[TAG]", required=False)
@click.option("--timbers", metavar="TIMBERS.csv", required=True, help="Timbers and boards wanted, and their worth.")
@click.option("--kit", metavar="KIT.toml", default=None, help="Your kit; without it the kit to start from is used.")
@way_option
@relieve_option
@click.option("--card", metavar="OUT.pdf", default=None, help="Print the cards of the way shown.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper size.")
@shown_options
@json_option
def pieces(**asked: Any) -> None:
    """What comes out of each log, pass by pass: the best ways to saw it.

    Timbers and side boards by their worth less the cost of the time, on this kit. Each way is best at something, and
    told with what it gives up. With TAG the pieces and passes of one log.
    """
    from pithline.answers.pattern_forms import ways_form
    from pithline.answers.pattern_pages import pattern_lines, ways_lines

    if asked["tag"] is None and (asked["way"] is not None or asked["card"] is not None):
        raise InputError("--way and --card show one log: name its tag.")
    tape = tape_of(asked["units"], asked["step"])
    every = ways_of(asked)
    number = _number(every[0], asked["way"])
    if asked["as_json"]:
        echo_json([ways_form(ways, number) for ways in every])
    elif asked["tag"] is not None and every[0].patterns:
        click.echo("\n".join(pattern_lines(every[0], number, tape=tape)))
    else:
        click.echo("\n".join(ways_lines(every, tape=tape)))
    if asked["card"] is not None:
        _write_card(every[0], asked, tape)


def _read(asked: dict[str, Any]) -> "tuple[PriceList, Kit]":
    """The price list and the kit that are asked for."""
    from pithline.job import read_kit, read_timbers
    from pithline.setup import thickness_spread_mm

    kit = read_kit(None if asked["kit"] is None else Path(asked["kit"]))
    prices = read_timbers(Path(asked["timbers"]), spread_mm=thickness_spread_mm(kit), own=kit.species)
    return prices, kit


def ways_of(asked: dict[str, Any]) -> "list[Ways]":
    """The ways to saw the logs that are asked for."""
    from pithline.job import read_yard

    _check_card(asked)
    prices, kit = _read(asked)
    logs = read_yard(Path(asked["yard"]), tip_larger_ok=asked["tip_larger_ok"])
    if asked["tag"] is not None:
        logs = (log_by_tag(logs, asked["tag"]),)
    return _all_ways(logs, prices, kit, relieve=asked["relieve"])


def _all_ways(logs: "Sequence[LogSolid]", prices: "PriceList", kit: "Kit", *, relieve: bool) -> "list[Ways]":
    """The ways of every log in their order, on all cores where there are many."""
    from concurrent.futures import ProcessPoolExecutor
    from functools import partial
    from multiprocessing import get_context

    from pithline.patterns import best_patterns

    work = partial(best_patterns, prices=prices, kit=kit, relieve=relieve)
    cores = os.cpu_count() or 1
    if len(logs) < _MANY_LOGS or cores == 1:
        return [work(log) for log in logs]
    # Fresh processes: one that is forked while numpy's own threads run may hang.
    with ProcessPoolExecutor(min(cores, _MOST_CORES), mp_context=get_context("spawn")) as pool:
        return list(pool.map(work, logs, chunksize=4))


def _number(ways: "Ways", asked: int | None) -> int:
    """The way that is asked for, the first where none is."""
    count = len(ways.patterns)
    if asked is not None and asked > max(count, 1):
        raise InputError(f"--way: read {asked}; {ways.log.tag} has {count} way{'' if count == 1 else 's'}.")
    return asked or 1


def _check_card(asked: dict[str, Any]) -> None:
    """Refuse a name that no card can have, before anything is worked out."""
    if asked["card"] is not None and Path(asked["card"]).suffix.lower() != ".pdf":
        raise InputError(f'--card: "{asked["card"]}" does not end in .pdf: give the sheet a name that does.')


def _write_card(ways: "Ways", asked: dict[str, Any], tape: "Tape") -> None:
    """The card of one way."""
    from pithline.job import write_pdf
    from pithline.sheets.pattern_card import pattern_card_pdf

    if not ways.patterns:
        raise NoPlacementError(ways.why)
    pattern = ways.patterns[_number(ways, asked["way"]) - 1]
    write_pdf(Path(asked["card"]), pattern_card_pdf([pattern], tape=tape, paper=asked["paper"]))
    click.echo(f"Wrote {asked['card']}", err=True)


def set_up_pattern(asked: dict[str, Any]) -> None:
    """The set-up of a log by a list of timbers: marks, bearers, rail and passes of every position."""
    from pithline.answers.pattern_forms import ways_form
    from pithline.answers.pattern_pages import pattern_setup_lines

    tape = tape_of(asked["units"], asked["step"])
    ways = ways_of(asked)[0]
    if not ways.patterns:
        raise NoPlacementError(ways.why)
    number = _number(ways, asked["way"])
    if asked["as_json"]:
        echo_json(ways_form(ways, number))
    else:
        click.echo("\n".join(pattern_setup_lines(ways, number, tape=tape)))
    if asked["card"] is not None:
        _write_card(ways, asked, tape)
