"""pithline: match; which log makes which timber."""

import math
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pithline.cli.options import Answering, echo_json, json_option, shown_options, tape_of, yard_options
from pithline.errors import InputError, NoPlacementError, PithlineError

if TYPE_CHECKING:
    from concurrent.futures import ProcessPoolExecutor

    from pithline.lengths import Tape
    from pithline.match import Match, Progress, Wishes
    from pithline.match.search import Run

__all__ = ["match"]

_MOST_CORES = 8
_FAILED = 3


@click.command(
    cls=Answering,
    epilog="""\b
Examples:
  pithline match yard.csv timbers.csv --kit kit.toml --cards cards --xlsx plan.xlsx
  pithline match yard.csv timbers.csv --kit kit.toml --lock tie=A03 --reserve A12=ridge --forbid A10

  To plan again: --json writes a plan; --after PLAN.json --sawn A03 keeps to it.""",
)
@yard_options
@click.argument("timbers", metavar="TIMBERS.csv")
@click.option("--kit", metavar="KIT.toml", default=None, help="Your kit; without it the kit to start from is used.")
@click.option(
    "--weigh",
    multiple=True,
    metavar="AIM=N",
    help="How much an aim counts, 1 is its money's worth: logs, volume, hours, boards, nice.",
)
@click.option("--lock", multiple=True, metavar="TIMBER=TAG", help="This timber from that log; twice for two of them.")
@click.option("--forbid", multiple=True, metavar="TAG", help="Never saw this log.")
@click.option("--reserve", multiple=True, metavar="TAG[=TIMBER]", help="Keep this log, or keep it for one timber.")
@click.option("--turn", multiple=True, metavar="TAG=DEG", help="Mark this log turned so, clockwise seen from the butt.")
@click.option("--after", metavar="PLAN.json", default=None, help="The plan made before, kept where nothing is lost.")
@click.option(
    "--sawn",
    multiple=True,
    metavar="TAG[=WHAT]",
    help='Log that is sawn, and what came out where not as planned: "A03=tie:1".',
)
@click.option(
    "--gap",
    type=click.FloatRange(0.0, 50.0),
    default=1.0,
    show_default=True,
    help="Percent that a better plan may be missed by.",
)
@click.option("--hours", type=float, default=6.0, show_default=True, help="Hours of sawing in a day.")
@click.option(
    "--plan", "number", type=click.IntRange(1, 9), default=None, help="Which of the plans to show, 1 is the first."
)
@click.option("--cards", metavar="DIR", default=None, help="Print the plan and the card of every log into this folder.")
@click.option("--xlsx", metavar="FILE", default=None, help="Write the plan as a workbook.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper size.")
@click.option("--quiet", is_flag=True, help="Do not tell how far the search is.")
@shown_options
@json_option
def match(**asked: Any) -> None:
    """Which log makes which timber: the list filled from few logs with little sawing.

    Plans with what each trades, how far the best can lie above, what is still missing and what log to look for.
    Ctrl-C ends the search with the best plan so far.
    """
    tape = tape_of(asked["units"], asked["step"])
    if not asked["as_json"]:
        _show(_matched(asked), asked, tape)
        return
    from pithline.answers.match_forms import fault_form, match_form
    from pithline.answers.match_words import none_text

    try:
        answer = _matched(asked)
        _number(answer, asked["number"])
    except PithlineError as error:
        is_input = isinstance(error, InputError)
        echo_json(fault_form("badly posed" if is_input else "failed", str(error)))
        click.echo(str(error), err=True)
        sys.exit(2 if is_input else _FAILED)
    echo_json(match_form(answer))
    _write(answer, asked, tape)
    if not answer.plans:
        raise NoPlacementError(none_text(answer, tape=tape))


def _show(answer: "Match", asked: dict[str, Any], tape: "Tape") -> None:
    """The plan as text, and its sheets."""
    from pithline.answers.match_pages import match_lines
    from pithline.answers.match_words import none_text

    number = _number(answer, asked["number"])
    if not answer.plans:
        raise NoPlacementError(none_text(answer, tape=tape))
    click.echo("\n".join(match_lines(answer, number, tape=tape)))
    _write(answer, asked, tape)


def _wishes(asked: dict[str, Any]) -> "Wishes":
    """What the user decides."""
    from pithline.job.planfile import (
        read_plan,
        sawn_of,
        words_to_locks,
        words_to_pairs,
        words_to_turns,
        words_to_weights,
    )
    from pithline.match import Wishes

    former = {} if asked["after"] is None else read_plan(asked["after"])
    reserved = words_to_pairs(asked["reserve"], "--reserve", is_right_needed=False)
    return Wishes(
        weights=words_to_weights(asked["weigh"]),
        locks=words_to_locks(asked["lock"]),
        forbidden=tuple(dict.fromkeys(asked["forbid"])),
        reserved={tag: timber or None for tag, timber in reserved},
        turns_deg=words_to_turns(asked["turn"]),
        sawn=sawn_of(asked["sawn"], former),
        former=former,
    )


def _matched(asked: dict[str, Any]) -> "Match":
    """The answer to what is asked."""
    from pithline.job import read_kit, read_timbers, read_yard
    from pithline.match import Effort, match_logs
    from pithline.setup import thickness_spread_mm

    _check_names(asked)
    if math.isnan(asked["gap"]):
        raise InputError("--gap: nan is no number; give 0 to 50 percent.")
    effort = Effort(gap=asked["gap"] / 100.0, hours_a_day=asked["hours"])
    wishes = _wishes(asked)
    kit = read_kit(None if asked["kit"] is None else Path(asked["kit"]))
    prices = read_timbers(Path(asked["timbers"]), spread_mm=thickness_spread_mm(kit), own=kit.species)
    yard = read_yard(Path(asked["yard"]), tip_larger_ok=asked["tip_larger_ok"])
    with _watching(is_told=not asked["quiet"]) as watch, _running(len(yard)) as run:
        return match_logs(yard, prices, kit=kit, wishes=wishes, effort=effort, drive=(run, watch))


def _check_names(asked: dict[str, Any]) -> None:
    """Refuse names that no file can have, before anything is worked out."""
    if asked["xlsx"] is not None and Path(asked["xlsx"]).suffix.lower() != ".xlsx":
        raise InputError(f'--xlsx: "{asked["xlsx"]}" does not end in .xlsx: give the workbook a name that does.')
    if asked["cards"] is not None and Path(asked["cards"]).exists() and not Path(asked["cards"]).is_dir():
        raise InputError(f'--cards: "{asked["cards"]}" is a file: name a folder.')


def _number(answer: "Match", asked: int | None) -> int:
    """The plan that is asked for, the first where none is."""
    # Without any plan the reason is told, not the number.
    if asked is not None and answer.plans and asked > len(answer.plans):
        count = len(answer.plans)
        raise InputError(f"--plan: read {asked}; there {'is 1 plan' if count == 1 else f'are {count} plans'}.")
    return asked or 1


def _write(answer: "Match", asked: dict[str, Any], tape: "Tape") -> None:
    """The sheets and the workbook."""
    if not answer.plans:
        return
    if asked["xlsx"] is not None:
        from pithline.job.workbook import plan_workbook, write_workbook

        write_workbook(Path(asked["xlsx"]), plan_workbook(answer, _number(answer, asked["number"]), tape=tape))
        click.echo(f"Wrote {asked['xlsx']}", err=True)
    if asked["cards"] is not None:
        for name in write_cards(
            answer, _number(answer, asked["number"]), folder=Path(asked["cards"]), paper=asked["paper"], tape=tape
        ):
            click.echo(f"Wrote {name}", err=True)


def write_cards(answer: "Match", number: int, *, folder: Path, paper: Any, tape: "Tape") -> Iterator[str]:
    """Write the sheet of a plan and the card of each of its logs; yields their names."""
    from pithline.job import make_folder, write_pdf
    from pithline.sheets.pattern_card import pattern_card_pdf
    from pithline.sheets.plan_sheet import plan_sheet_pdf

    make_folder(folder)
    write_pdf(folder / "plan.pdf", plan_sheet_pdf(answer, number, tape=tape, paper=paper))
    yield str(folder / "plan.pdf")
    for place, one in enumerate(answer.plans[number - 1].assignments, 1):
        safe = "".join(letter if letter.isalnum() or letter in "-_" else "-" for letter in one.log.tag)
        path = folder / f"{place:02d}-{safe}.pdf"
        write_pdf(path, pattern_card_pdf([one.pattern], tape=tape, paper=paper))
        yield str(path)


@contextmanager
def _running(logs: int) -> "Iterator[Run]":
    """What maps the work over logs: several processes where there is more than one core."""
    cores = min(os.cpu_count() or 1, _MOST_CORES, logs)
    if cores < 2:
        yield map
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # Fresh processes: one that is forked while numpy's own threads run may hang. They leave Ctrl-C to this one.
    pool = ProcessPoolExecutor(cores, mp_context=get_context("spawn"), initializer=_deaf)
    try:
        yield lambda function, requests: _mapped(pool, function, requests)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _mapped(pool: "ProcessPoolExecutor", function: Any, requests: Any) -> Iterator[Any]:
    """Answers in the order of the requests; what is not begun is dropped where the reader stops."""
    with _held_back():
        waiting = [pool.submit(function, request) for request in requests]
    try:
        for future in waiting:
            yield future.result()
    finally:
        for future in waiting:
            future.cancel()


@contextmanager
def _held_back() -> Iterator[None]:
    """Hold Ctrl-C back while processes are begun: they take that over, and it would end them before they are deaf."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _deaf() -> None:
    """Leave Ctrl-C to the process that asked."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _watching(*, is_told: bool) -> Iterator[Any]:
    """What tells how far the search is, and ends it at Ctrl-C; a second one ends the program."""
    is_stopped = False
    last = ""

    def stop(*_: Any) -> None:
        nonlocal is_stopped
        if is_stopped:
            # A third one would end the clearing up, and hang.
            signal.signal(signal.SIGINT, signal.SIG_IGN)
            raise KeyboardInterrupt
        is_stopped = True
        click.echo("Stopping with the best plan so far ...", err=True)

    def watch(progress: "Progress") -> bool:
        nonlocal last
        if is_told:
            last = _tell(progress, last)
        return not is_stopped

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield watch
    finally:
        signal.signal(signal.SIGINT, before)
        if is_told and last and sys.stderr.isatty():
            click.echo("\r\033[K", nl=False, err=True)


def _tell(progress: "Progress", last: str) -> str:
    """One line that is written over on a terminal; on paper and in files one line a step."""
    if not sys.stderr.isatty():
        if progress.step != last:
            click.echo(f"{progress.step}: {progress.ways} ways so far", err=True)
        return progress.step
    logs = f", log {progress.logs_done} of {progress.logs_asked}" if progress.logs_asked else ""
    gap = f", within {100.0 * progress.gap:.1f} %" if progress.gap < 10.0 else ""
    click.echo(f"\r\033[K{progress.step}: {progress.ways} ways{logs}{gap}", nl=False, err=True)
    return progress.step
