"""What the card of a pattern says of a position: how the wood is turned and laid, and what comes first."""

from pithline.answers.pattern_words import position_text
from pithline.lengths import Tape
from pithline.patterns.pattern import Pattern, Position
from pithline.setup.rail import rail_tips
from pithline.sheets.cautions import Lying, RailOver
from pithline.sheets.pattern_pieces import NEAR_MM

__all__ = ["facts_of", "first_of", "flats_of", "is_first_of_part", "lying_of", "way_of"]

_TIPS = "Screw the rail to its bearers: loose, it tips when the mill stands past the end of the log."


def is_first_of_part(pattern: Pattern, position: Position) -> bool:
    """Return whether nothing of a part was sawn before a position.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    position : Position
        One of its positions.

    Returns
    -------
    bool
        True where the part lies in the round.
    """
    own = [other.number for other in pattern.positions if other.part == position.part]
    return position.number == min(own)


def way_of(pattern: Pattern, position: Position) -> str:
    """Return how to turn what lies on the horses.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    position : Position
        One of its positions.

    Returns
    -------
    str
        One sentence.
    """
    # No line break parts a clock position.
    told = position_text(pattern, position)
    return told.replace(" o'clock", "\u00a0o'clock").replace("half past ", "half\u00a0past\u00a0")


def first_of(pattern: Pattern, position: Position, tape: Tape) -> tuple[str, ...]:
    """Return what comes even before the turn.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    position : Position
        One of its positions.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    tuple of str
        Sentences; empty where there is nothing.
    """
    told = []
    if is_first_of_part(pattern, position):
        part, length = pattern.parts[position.part], pattern.log.length_mm
        cut = [place for place in (part.start_mm, part.end_mm) if NEAR_MM < place < length - NEAR_MM]
        if cut:
            where = " and ".join(tape.show_long(place) for place in cut)
            told.append(f"Cut the log across at {where} from its butt as tallied, and mark the pith on the new ends.")
    if position.stand is not None and rail_tips(pattern.kit, position.stand.run):
        told.append(_TIPS)
    return tuple(told)


def facts_of(pattern: Pattern, position: Position, tape: Tape) -> str:
    """Return what lies on the horses and how long it takes.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    position : Position
        One of its positions.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        A few sentences.
    """
    numbers = sorted(cut.number for cut in position.cuts)
    passes = f"pass {numbers[0]}" if len(numbers) == 1 else f"passes {numbers[0]} to {numbers[-1]}"
    sawing = sum(cut.minutes for cut in position.cuts)
    body = position.body
    words = f"{body[0].upper()}{body[1:]}: {passes}, about {sawing:.0f} min"
    words += f", and about {position.minutes:.0f} min to bring it there and set it up."
    part = pattern.parts[position.part]
    if len(pattern.parts) > 1:
        where = f"{tape.show_long(part.start_mm)} to {tape.show_long(part.end_mm)}"
        words += f" It lay {where} from the log's butt; distances here run from its own butt."
    return f"{words} A red line is the lower edge of its kerf as the wood lies here."


def flats_of(position: Position, tape: Tape) -> str:
    """Return how the flats for the bearers are cut.

    Parameters
    ----------
    position : Position
        A position.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        A few sentences; empty where there is no rail.
    """
    if position.stand is None:
        return ""
    bearers = position.stand.bearers
    wide = {tape.show(bearer.flat_width_mm) for bearer in bearers}
    across = (
        wide.pop() if len(wide) == 1 else ", ".join(tape.number(b.flat_width_mm) for b in bearers) + f" {tape.style}"
    )
    depths = ", ".join(tape.number(bearer.flat_depth_mm) for bearer in bearers)
    return (
        f"Flats for the bearers {across} wide, level; butt to tip {depths} {tape.style} deep at their middle. "
        f"A height runs from the flat to the bearer's top."
    )


def lying_of(position: Position) -> Lying:
    """Return a position in the terms of checks and cautions.

    Parameters
    ----------
    position : Position
        A position.

    Returns
    -------
    Lying
        What lies on the horses, and the rail over it.
    """
    stand = position.stand
    rail = None
    if stand is not None:
        rail = RailOver(stand.bearers, stand.rail, stand.rail_top_mm, position.log.length_mm)
    is_cant = position.within_mm is not None or position.over_mm != (None, None)
    return Lying(is_cant, position.cuts[0].setting_mm, rail)
