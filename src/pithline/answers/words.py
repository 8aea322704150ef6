"""Answers in the trade's words, in the reader's units."""

import re

from pithline.errors import WoodError
from pithline.fit import Placement, Timber
from pithline.lengths import MM_PER_INCH, Tape
from pithline.logs import LogSolid, on_the_clock
from pithline.setup import Kit, SetUp, rail_tips
from pithline.wood.species import find_species

__all__ = [
    "angle_text",
    "clock_text",
    "crown_text",
    "heart_text",
    "in_a_sentence",
    "kit_notes",
    "kit_recalled",
    "limit_text",
    "line_text",
    "miss_text",
    "other_wood",
    "place_text",
    "roughly_mm",
    "section_text",
    "setup_notes",
    "share_text",
    "timber_text",
    "turn_text",
    "turn_words",
]

_UNITS = re.compile(r"_(mm|mpa|kg|n|kg_m|g_m|mm_m|m2_min|deg)$")

_NAMES_OF_PLACES = (
    "American",
    "Atlantic",
    "Douglas",
    "Engelmann",
    "European",
    "Norway",
    "Osage",
    "Port-Orford",
    "Scots",
    "Sitka",
)

NO_TURN_DEG = 0.5
"""A turn smaller than this is none that anyone could make."""


def in_a_sentence(species: str) -> str:
    """A species' name as it stands within a sentence.

    Parameters
    ----------
    species : str
        Name that begins with a capital.

    Returns
    -------
    str
        With a small letter, unless it begins with the name of a person or place.

    Source
    ------
    definition
    """
    return species if species.startswith(_NAMES_OF_PLACES) else species[:1].lower() + species[1:]


def roughly_mm(length_mm: float, tape: Tape) -> float:
    """A length to the nearest inch or centimeter, where no more is meant.

    Parameters
    ----------
    length_mm : float
        Any length [mm].
    tape : Tape
        How lengths are shown.

    Returns
    -------
    float
        A whole number of inches or centimeters [mm].

    Source
    ------
    definition
    """
    step_mm = 10.0 if tape.style == "mm" else MM_PER_INCH
    return step_mm * round(length_mm / step_mm)


def clock_text(clock: float) -> str:
    """A clock position to the nearest half hour, as in 2 o'clock or half past 2.

    Parameters
    ----------
    clock : float
        At least 1, less than 13 [hours].

    Returns
    -------
    str
        Words.

    Source
    ------
    definition
    """
    halves = round(clock * 2.0)
    hour = (halves // 2 - 1) % 12 + 1
    return f"half past {hour}" if halves % 2 else f"{hour} o'clock"


def place_text(placement: Placement, station_mm: float, *, tape: Tape) -> str:
    """Where along a log: butt, tip, or a distance from the butt.

    Parameters
    ----------
    placement : Placement
        The timber in its log.
    station_mm : float
        Distance from the butt [mm].
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        Words, the distance to a whole inch or centimeter.

    Source
    ------
    definition
    """
    if station_mm < 1.0:
        return "butt"
    if station_mm > placement.log.length_mm - 1.0:
        return "tip"
    whole = MM_PER_INCH if tape.style == "in" else 10.0
    return f"{tape.show_long(float(round(station_mm / float(whole)) * whole))} from the butt"


def limit_text(placement: Placement, tape: Tape) -> str:
    """The spot that binds, and what is to spare or missing there.

    Parameters
    ----------
    placement : Placement
        The timber in its log.
    tape : Tape
        How lengths are shown; what is to spare is rounded down, what is
        missing up.

    Returns
    -------
    str
        As in "tip, 2 o'clock, 3/8 in short".

    Source
    ------
    definition
    """
    if placement.short_mm > 0.0:
        return f"the log is {tape.show_long(placement.short_mm, 'up')} too short"
    spot = placement.spot
    where = f"{place_text(placement, spot.station_mm, tape=tape)}, {clock_text(spot.clock)}"
    if spot.clearance_mm >= 0.0:
        return f"{where}, {tape.show(spot.clearance_mm, 'down')} to spare"
    return f"{where}, {tape.show(-spot.clearance_mm, 'up')} short"


def miss_text(placement: Placement, tape: Tape) -> str:
    """Why a timber does not lie in a log, and what log would do.

    Parameters
    ----------
    placement : Placement
        A placement that does not fit.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        One sentence without its full stop, empty where the timber fits.

    Source
    ------
    definition
    """
    if placement.fits:
        return ""
    if placement.status == "none":
        rule = "keeps the heart inside" if placement.timber.heart == "boxed" else "keeps the heart out"
        return f"no placement {rule} by {tape.show(placement.timber.heart_margin_mm)}"
    if placement.short_mm > 0.0:
        needed = placement.log.length_mm + placement.short_mm
        return f"needs a log {tape.show_long(needed, 'up')} long"
    return f"a tip of {tape.show(placement.needed_tip_diameter_mm, 'up')} would do at this taper and crown"


def angle_text(turn_deg: float) -> str:
    """A turn the shorter way round, as seen from the butt.

    Parameters
    ----------
    turn_deg : float
        Clockwise is plus [deg].

    Returns
    -------
    str
        As in "30° clockwise"; "not at all" for none.

    Source
    ------
    definition
    """
    turn = (turn_deg + 180.0) % 360.0 - 180.0
    if abs(turn) < NO_TURN_DEG:
        return "not at all"
    if abs(turn) > 180.0 - NO_TURN_DEG:
        return "half round"
    return f"{abs(turn):.0f}° {'clockwise' if turn > 0 else 'counterclockwise'}"


def turn_text(placement: Placement) -> str:
    """How to turn the log before anything is marked.

    Parameters
    ----------
    placement : Placement
        The timber in its log.

    Returns
    -------
    str
        One sentence.

    Source
    ------
    definition
    """
    return turn_words(placement.log, placement.roll_deg, named="the log")


def turn_words(log: LogSolid, roll_deg: float, *, named: str) -> str:
    """How to turn a log, or a part of it, before anything is marked.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    roll_deg : float
        Turn, clockwise seen from the butt [deg].
    named : str
        What is turned.

    Returns
    -------
    str
        One sentence.

    Source
    ------
    definition
    """
    angle = angle_text(roll_deg)
    still = angle == "not at all"
    first = f"Leave {named} as it lies" if still else f"Turn {named} {angle}, seen from the butt"
    if log.crown_clock is None:
        return f"{first}."
    after = clock_text(on_the_clock(log.crown_clock + roll_deg / 30.0))
    if still:
        return f"{first}, the crown at {after}."
    return f"{first}: the crown goes from {clock_text(log.crown_clock)} to {after}."


def crown_text(placement: Placement, tape: Tape) -> str:
    """What the asked roll costs against the best one.

    Parameters
    ----------
    placement : Placement
        The timber in its log.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        One sentence, empty where the cost is under the tape's step.

    Source
    ------
    definition
    """
    # Against the bound at the roll asked for: clearance may have been given up to lie nearer the pith.
    cost = placement.best_clearance_mm - placement.bound_mm
    if cost < tape.step_mm:
        return ""
    return f"The best roll would leave {tape.show(cost)} more."


def section_text(thickness_mm: float, width_mm: float, *, tape: Tape) -> str:
    """A section, as in 6 1/4 x 8 1/4 in.

    Parameters
    ----------
    thickness_mm, width_mm : float
        Sizes [mm].
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        The unit once, at the end.

    Source
    ------
    definition
    """
    return f"{tape.number(thickness_mm)} x {tape.show(width_mm)}"


def timber_text(timber: Timber, tape: Tape) -> str:
    """What is asked for and what is laid out.

    Parameters
    ----------
    timber : Timber
        The timber asked for.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        One sentence without its full stop.

    Source
    ------
    definition
    """
    words = section_text(timber.thickness_mm, timber.width_mm, tape=tape)
    if timber.length_mm is not None:
        words += f" x {tape.show_long(timber.length_mm)}"
    words += f", {timber.sawn_faces} faces sawn"
    cut = section_text(timber.cut_thickness_mm, timber.cut_width_mm, tape=tape)
    if timber.cut is not None:
        dry = f"{100 * timber.cut.wanted.moisture:.0f} % moisture"
        words += f", finished at {dry} in {in_a_sentence(timber.cut.species)}, laid out {cut}"
    elif timber.allowance_mm > 0.0:
        words += f", laid out {cut} with {tape.show(timber.allowance_mm)} on each sawn face"
    if timber.wane_mm > 0.0:
        words += f", wane up to {tape.show(timber.wane_mm)}"
    return words


def heart_text(placement: Placement, tape: Tape) -> str:
    """Where the pith runs in the timber.

    Parameters
    ----------
    placement : Placement
        The timber in its log.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        One sentence.

    Source
    ------
    definition
    """
    if placement.pith_inside_mm >= 0.0:
        return f"Boxed heart: the pith stays {tape.show(placement.pith_inside_mm, 'down')} or more inside."
    if placement.pith_outside_mm >= 0.0:
        return f"Free of heart: the pith stays {tape.show(placement.pith_outside_mm, 'down')} or more outside."
    return "The pith comes out through a face: expect checks there."


def line_text(distance_mm: float, towards: str, *, tape: Tape) -> str:
    """Distance from the pith to a line, saying so where it lies on the other side.

    Parameters
    ----------
    distance_mm : float
        Negative where the line lies on the other side [mm].
    towards : str
        up, down, left or right.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        As in "3 1/8 in up".

    Source
    ------
    definition
    """
    other = {"up": "down", "down": "up", "left": "right", "right": "left"}
    if distance_mm < 0.0:
        return f"{tape.show(-distance_mm)} {other[towards]}"
    return f"{tape.show(distance_mm)} {towards}"


def share_text(chance: float) -> str:
    """A chance in whole percent that claims no more than it knows.

    Parameters
    ----------
    chance : float
        0 to 1.

    Returns
    -------
    str
        "over 99 %" and "under 1 %" at the ends.

    Source
    ------
    definition
    """
    if chance > 0.99:
        return "over 99 %"
    if chance < 0.01:
        return "under 1 %"
    return f"{100.0 * chance:.0f} %"


def kit_recalled(kit: Kit) -> tuple[str, ...]:
    """Values nobody measured that an answer about a single timber rests on.

    Parameters
    ----------
    kit : Kit
        The kit.

    Returns
    -------
    tuple of str
        Names such as saw.kerf, without those of [work]: time and money have
        no bearing on where a timber lies.

    Source
    ------
    definition
    """
    return tuple(name for name in kit.recalled if not name.startswith("work."))


def kit_notes(kit: Kit) -> tuple[str, ...]:
    """What an answer about a single timber owes to values of the kit nobody measured.

    Parameters
    ----------
    kit : Kit
        The kit.

    Returns
    -------
    tuple of str
        Sentences.

    Source
    ------
    definition
    """
    recalled = kit_recalled(kit)
    if not recalled:
        return ()
    named = ", ".join(_UNITS.sub("", name).replace("_", " ").replace(".", " ") for name in recalled)
    first = ", the kerf first" if "saw.kerf" in recalled else ""
    return (f"Recalled, neither measured nor read in print: {named}. Measure them{first}.",)


def other_wood(placement: Placement) -> tuple[str, ...]:
    """A warning where the timber's cut size is that of another species than the log's.

    Parameters
    ----------
    placement : Placement
        The timber in its log.

    Returns
    -------
    tuple of str
        One sentence; empty where the timber is cut as it was asked for, or the species is the log's.

    Source
    ------
    definition
    """
    cut = placement.timber.cut
    if cut is None:
        return ()
    try:
        same = find_species(placement.log.species).name == cut.species
    except WoodError:
        same = placement.log.species.lower() == cut.species.lower()
    other = f"The log was tallied as {placement.log.species}, and the cut size is for {in_a_sentence(cut.species)}."
    return () if same else (other,)


def setup_notes(setup: SetUp, tape: Tape) -> tuple[str, ...]:
    """Sentences that belong beside a set-up.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    tuple of str
        Notes of the log, of the length left over, and of the kit.

    Source
    ------
    definition
    """
    notes = [*setup.placement.log.notes, *other_wood(setup.placement)]
    if setup.cut_mm is not None:
        start, end = (tape.show_long(edge) for edge in setup.cut_mm)
        notes.append(
            f"First cut the log off at {start} and {end} from its butt as tallied. Distances run from the new butt; "
            "mark the pith where you find it on the new ends."
        )
    if any(rail_tips(setup.kit, stack.run) for stack in setup.stacks):
        notes.append("Screw the rail to its bearers: loose, it tips when the mill stands past the end of the log.")
    if setup.cut_to_length_first:
        notes.append(
            f"The log is {tape.show_long(setup.excess_mm)} longer than the timber, which lies from "
            f"{tape.show_long(setup.placement.start_mm)} to {tape.show_long(setup.placement.end_mm)} from the butt. "
            "Cut to length first (--cut-first) there is less to lift and to saw."
        )
    return (*notes, *kit_notes(setup.kit))
