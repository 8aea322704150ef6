"""Answers about scale, volume and weight as plain lines of text and as the documented JSON form."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pithline.answers.columns import columns
from pithline.answers.notes import shared_note_lines
from pithline.answers.wood_pages import mass_text
from pithline.answers.words import roughly_mm
from pithline.errors import PithlineError
from pithline.fit import Placement
from pithline.lengths import Tape
from pithline.logs import LogSolid
from pithline.logs.recovery import recovery, timbers_bf
from pithline.logs.scaling import BoardFeet, Scaled, scale_log
from pithline.logs.weighing import HorseLoads, LogWeight, best_horses, center_of_mass_mm, log_weight
from pithline.wood.density import green_density
from pithline.wood.species import Species, find_species
from pithline.wood.units import M3_PER_FT3

__all__ = ["Weighed", "lift_lines", "scale_form", "scale_lines", "timber_lines", "weigh", "weigh_form", "weigh_lines"]

Form = dict[str, Any]


@dataclass(frozen=True)
class Weighed:
    """A log that was scaled and, where its species is known, weighed.

    Attributes: `weight` None where it could not be, and `why` then the sentence that says so.
    """

    log: LogSolid
    scaled: Scaled
    weight: LogWeight | None
    why: str

    @property
    def notes(self) -> tuple[str, ...]:
        """Sentences that belong beside the log."""
        weight = (self.why,) if self.weight is None else self.weight.notes
        return (*self.log.notes, *self.scaled.notes, *weight)


def weigh(log: LogSolid, scaled: Scaled, own: Sequence[Species] = ()) -> Weighed:
    """A scaled log with its weight, or with the reason why it has none.

    Parameters
    ----------
    log : LogSolid
        The log.
    scaled : Scaled
        Its scale.
    own : sequence of Species
        The user's own species.

    Returns
    -------
    Weighed
        Both together.

    Source
    ------
    `log_weight`
    """
    if log.species.strip().lower() in {"unknown", "?", "-"}:
        return Weighed(log, scaled, None, "No weight: the species is not told.")
    try:
        return Weighed(log, scaled, log_weight(log, find_species(log.species, own)), "")
    except PithlineError as error:
        return Weighed(log, scaled, None, f"No weight: {error}")


def _bf(value: float | None) -> str:
    """Board feet, or a dash."""
    return "-" if value is None else f"{value:.0f}"


def _volume(volume_m3: float, tape: Tape) -> str:
    """A volume in the reader's unit."""
    return f"{volume_m3:.3f} m3" if tape.style == "mm" else f"{volume_m3 / M3_PER_FT3:.1f} ft3"


def _net_and_gross(net: float | None, gross: float | None) -> str:
    """Net scale, with the gross where they differ."""
    return _bf(net) if net == gross else f"{_bf(net)} of {_bf(gross)}"


def scale_lines(logs: Sequence[Weighed], *, tape: Tape) -> list[str]:
    """The answer to `scale`: one line first, then one a log.

    Parameters
    ----------
    logs : sequence of Weighed
        In the yard's order.
    tape : Tape
        How lengths and masses are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    definition
    """
    volume = sum(one.scaled.volume_m3 for one in logs)
    weights = [one.weight for one in logs if one.weight is not None]
    total = mass_text(sum(w.low_kg for w in weights), sum(w.high_kg for w in weights), tape=tape) if weights else ""
    verb = "weighs" if len(logs) == 1 else "weigh"
    weighed = f" and {verb} {total} green" if weights and len(weights) == len(logs) else ""
    named = "log holds" if len(logs) == 1 else "logs hold"
    lines = [f"{len(logs)} {named} {_volume(volume, tape)} of wood{weighed}.", ""]
    rows = [["log", "scaled", "Doyle", "Scribner C", "International", "wood", "by Smalian", "green weight"]]
    for one in logs:
        scaled = one.scaled
        weight = one.weight
        rows.append(
            [
                scaled.tag,
                f"{scaled.scaling_diameter_in} in x {scaled.scaling_length_ft} ft",
                _net_and_gross(scaled.net.doyle_bf, scaled.doyle_bf),
                _net_and_gross(scaled.net.scribner_decimal_c_bf, scaled.scribner_decimal_c_bf),
                _net_and_gross(scaled.net.international_bf, scaled.international_bf),
                _volume(scaled.volume_m3, tape),
                _volume(scaled.smalian_m3, tape),
                "not known" if weight is None else mass_text(weight.low_kg, weight.high_kg, tape=tape),
            ]
        )
    lines += columns(rows)
    less = any(
        one.scaled.net != BoardFeet(s.doyle_bf, s.scribner_decimal_c_bf, s.international_bf)
        for one in logs
        for s in (one.scaled,)
    )
    lines += ["", "Board feet" + ("; net of gross where sweep or rot is taken off." if less else ".")]
    return lines + shared_note_lines([(one.scaled.tag, one.notes) for one in logs])


def lift_lines(log: LogSolid, own: Sequence[Species] = (), *, tape: Tape) -> list[str]:
    """What a log weighs and where it is held, in one line for a set-up.

    Parameters
    ----------
    log : LogSolid
        The log.
    own : sequence of Species
        The user's own species.
    tape : Tape
        How lengths and masses are shown.

    Returns
    -------
    list of str
        One line; it tells no weight where the species is not known.

    Source
    ------
    `log_weight`, `center_of_mass_mm`, `best_horses`
    """
    balance = tape.show_long(roughly_mm(center_of_mass_mm(log), tape))
    first, second = (tape.show_long(roughly_mm(at, tape)) for at in best_horses(log).at_mm)
    held = f"balances {balance} from the butt; horses {first} and {second} from the butt bend it least"
    try:
        weight = log_weight(log, find_species(log.species, own))
    except PithlineError:
        return [f"The log {held}."]
    return [f"The log weighs {mass_text(weight.low_kg, weight.high_kg, tape=tape)} green, {held}."]


def timber_lines(placement: Placement, own: Sequence[Species] = (), *, tape: Tape) -> list[str]:
    """What a timber holds and weighs, and what share of its log it is.

    Parameters
    ----------
    placement : Placement
        The timber in its log.
    own : sequence of Species
        The user's own species.
    tape : Tape
        How masses are shown.

    Returns
    -------
    list of str
        One line; it tells no weight where the log's species is not known.

    Source
    ------
    `timbers_bf`, `recovery` over the wood and over International's scale, `green_density`
    """
    timber, log = placement.timber, placement.log
    size = (timber.cut_thickness_mm, timber.cut_width_mm, placement.end_mm - placement.start_mm)
    board_feet = timbers_bf(np.array([size]))
    bases = recovery(board_feet, [scale_log(log)])
    told = [f"{100.0 * one.ratio:.0f} % of {one.base}" for one in (bases[0], bases[-1]) if one.ratio is not None]
    words = f"Squared to that it holds {board_feet:.0f} board feet, {' and '.join(told)}"
    try:
        density = green_density(find_species(log.species, own))
    except PithlineError:
        return [f"{words}."]
    cubic_m = float(np.prod(size)) / 1e9
    weight = mass_text(density.low_kg_m3 * cubic_m, density.high_kg_m3 * cubic_m, tape=tape)
    return [f"{words}; it weighs {weight} green."]


def weigh_lines(one: Weighed, *, tape: Tape) -> list[str]:
    """The answer to `scale` for one log: how it lies on two horses.

    Parameters
    ----------
    one : Weighed
        The log.
    tape : Tape
        How lengths and masses are shown.

    Returns
    -------
    list of str
        Lines of text to follow those of `scale_lines`.

    Source
    ------
    `center_of_mass_mm`, `best_horses`
    """
    log = one.log
    center = tape.show_long(roughly_mm(center_of_mass_mm(log), tape))
    horses = best_horses(log)
    first, second = (tape.show_long(roughly_mm(at, tape)) for at in horses.at_mm)
    lines = [
        "",
        f"{log.tag} balances {center} from the butt. Two horses bend it least {first} and {second} from the butt.",
    ]
    if one.weight is not None:
        butt, tip = (
            mass_text(one.weight.low_kg * share, one.weight.high_kg * share, tape=tape) for share in horses.share
        )
        wood = mass_text(*one.weight.wood_kg, tape=tape)
        counted = mass_text(*one.weight.bark_kg, tape=tape)
        bark = f"bark {counted}" if one.log.bark_known else "bark not counted"
        lines += [
            f"The horse toward the butt carries {butt}, the other {tip}.",
            f"Wood {wood} ({one.weight.density.basis}), {bark}.",
            "Plan the lift for the heavy end of the range; keep hands and feet out from under, block it first.",
        ]
    for deduction in one.scaled.deductions:
        lines.append(f"Taken off: {deduction.text}")
    return lines


def _horse_form(horses: HorseLoads, weight: LogWeight | None) -> Form:
    """Where the horses stand and what they carry."""
    loads = None
    if weight is not None:
        loads = [[round(weight.low_kg * s, 2), round(weight.high_kg * s, 2)] for s in horses.share]
    return {
        "at_mm": [round(at, 2) for at in horses.at_mm],
        "share": [round(share, 5) for share in horses.share],
        "load_kg": loads,
    }


def scale_form(one: Weighed) -> Form:
    """One log's answer to `scale`.

    Parameters
    ----------
    one : Weighed
        The log.

    Returns
    -------
    dict
        Keys as in docs/json.md.

    Source
    ------
    definition
    """
    scaled, weight = one.scaled, one.weight
    return {
        "tag": scaled.tag,
        "species": one.log.species,
        "doyle_bf": scaled.doyle_bf,
        "scribner_decimal_c_bf": scaled.scribner_decimal_c_bf,
        "international_bf": scaled.international_bf,
        "net": {
            "doyle_bf": scaled.net.doyle_bf,
            "scribner_decimal_c_bf": scaled.net.scribner_decimal_c_bf,
            "international_bf": scaled.net.international_bf,
        },
        "scaling_diameter_in": scaled.scaling_diameter_in,
        "scaling_length_ft": scaled.scaling_length_ft,
        "pieces_ft": [piece.length_ft for piece in scaled.pieces],
        "scribner_status": scaled.scribner_status,
        "volume_m3": round(scaled.volume_m3, 6),
        "smalian_m3": round(scaled.smalian_m3, 6),
        "huber_m3": round(scaled.huber_m3, 6),
        "newton_m3": round(scaled.newton_m3, 6),
        "weight_kg": None if weight is None else [round(weight.low_kg, 2), round(weight.high_kg, 2)],
        "center_of_mass_mm": round(center_of_mass_mm(one.log), 2),
        "notes": list(one.notes),
    }


def weigh_form(one: Weighed) -> Form:
    """The answer to `scale` for one log asked for by its tag.

    Parameters
    ----------
    one : Weighed
        The log.

    Returns
    -------
    dict
        As `scale_form`, and `horses`.

    Source
    ------
    definition
    """
    return {**scale_form(one), "horses": _horse_form(best_horses(one.log), one.weight)}
