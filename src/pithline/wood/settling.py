"""What a wall of horizontal timbers settles, and the clearance over an opening."""

from dataclasses import dataclass
from typing import Literal

from pithline.errors import WoodError
from pithline.lengths import told
from pithline.tables import read_table
from pithline.wood.shrinkage import Shrinkage, shrinkage_at
from pithline.wood.species import Species

__all__ = ["Allowance", "Joint", "Settling", "Wall", "allowances", "settling"]

Joint = Literal["flat", "scribed", "chinked"]

_COMPACTION = {"flat": 0.0, "scribed": 0.01, "chinked": 0.0}
"""Most a joint gives under load, of the height of log: an article on settling, seen."""

_DRY = 0.19


@dataclass(frozen=True)
class Wall:
    """Courses of timber, one on the other.

    Attributes: `course_mm`, height of the timber in a course; `courses` of
    the wall; `opening_courses` beside a door or window, whose posts do not
    settle; `joint`; moisture `before`, when laid, and `after`, in use [fraction].
    """

    course_mm: float
    courses: int
    opening_courses: int
    joint: Joint
    before: float
    after: float

    def __post_init__(self) -> None:
        """Refuse what is no wall."""
        if not 50.0 <= self.course_mm <= 1000.0:
            raise WoodError(
                f"course: {told(self.course_mm)}; the timber in a course is {told(50.0)} to 1 m (39 in) high."
            )
        if not 1 <= self.courses <= 100:
            raise WoodError(f"courses: {self.courses}; give 1 to 100.")
        if not 0 <= self.opening_courses <= self.courses:
            raise WoodError(f"opening: {self.opening_courses} courses high; the wall has {self.courses}.")
        if not 0.0 <= self.after <= self.before <= 4.0:
            raise WoodError(
                f"moisture: {100 * self.before:.0f} % before and {100 * self.after:.0f} % after; "
                f"a wall settles as it dries, so give less after."
            )


@dataclass(frozen=True)
class Allowance:
    """A published allowance: what for, least and most of the height of log [fraction], where from."""

    case: str
    joint: str
    logs: str
    low: float
    high: float
    status: str
    source: str


@dataclass(frozen=True)
class Settling:
    """What a wall will drop.

    Attributes: pairs are least and most [mm]: `shrinkage_mm` and
    `compaction_mm` of the whole wall, `drop_mm` their sum, `opening_mm` the
    same beside the opening; `allowances` published for walls like this one;
    `leave_mm`, the clearance to leave over the opening: the larger of what is
    computed and what is published; `notes`, why the two differ.
    """

    log_height_mm: float
    shrinkage_mm: tuple[float, float]
    compaction_mm: tuple[float, float]
    drop_mm: tuple[float, float]
    opening_mm: tuple[float, float]
    allowances: tuple[Allowance, ...]
    leave_mm: float
    shrinkage: Shrinkage
    notes: tuple[str, ...]


def allowances(joint: Joint, *, dry: bool) -> tuple[Allowance, ...]:
    """The published allowances for walls of a kind.

    Parameters
    ----------
    joint : {"flat", "scribed", "chinked"}
        How the courses meet.
    dry : bool
        Whether the timbers are at or below 19 % when laid.

    Returns
    -------
    tuple of Allowance
        In the order of the table; never empty, for one of its rows holds for any wall.

    Source
    ------
    settling_allowances.csv, whose rows name their own
    """
    state = "dry" if dry else "green"
    return tuple(
        Allowance(
            row["case"],
            row["joint"],
            row["logs"],
            0.01 * float(row["low_share"]),
            0.01 * float(row["high_share"]),
            row["status"],
            row["source"],
        )
        for row in read_table("pithline.wood", "settling_allowances").rows
        if row["joint"] in (joint, "any") and row["logs"] in (state, "any")
    )


def _why(wall: Wall, published_is_more: bool) -> str:
    """Why published and computed figures differ."""
    if not published_is_more:
        return (
            "Published allowances are for other woods and sizes; this one shrinks more, so the computed figure rules."
        )
    if wall.joint == "scribed":
        return (
            "Published allowances are larger: they count slumping, where logs open at a check or settle into their "
            "scribe, and a margin."
        )
    return (
        "Published allowances are larger: they were set for wetter or softer timbers than this one, and hold a margin."
    )


def settling(wall: Wall, species: Species) -> Settling:
    """What a wall drops as it dries, and the clearance over an opening.

    Parameters
    ----------
    wall : Wall
        The courses, their joint and moistures.
    species : Species
        Needs radial and tangential shrinkage.

    Returns
    -------
    Settling
        Computed and published figures side by side.

    Raises
    ------
    UnknownValueError
        The species' shrinkage is not known.

    Source
    ------
    Parts of settling as in ICC 400, chapter on log structures (as described in an article); shrinkage by Wood
    Handbook, FPL-GTR-282, Eq. 4-9, from radial to tangential; allowances by settling_allowances.csv
    """
    saturation = species.fiber_saturation

    def share(prop: str) -> float:
        total = species.need(prop)
        green = 1.0 - shrinkage_at(total, wall.before, saturation=saturation)
        return 1.0 - (1.0 - shrinkage_at(total, wall.after, saturation=saturation)) / green

    low, high = sorted((share("shrinkage_radial"), share("shrinkage_tangential")))
    height = wall.course_mm * wall.courses
    beside = wall.course_mm * wall.opening_courses
    most = _COMPACTION[wall.joint]
    dry = wall.before <= _DRY
    published = allowances(wall.joint, dry=dry)
    opening = (beside * low, beside * (high + most))
    leave = max(opening[1], beside * max(one.high for one in published))
    notes = [
        "Computed: the timber's own shrinkage, radial to tangential, and what a scribed joint gives under load.",
        _why(wall, opening[1] < leave),
        "Leave the clearance over doors and windows, under stairs, along chimneys, pipes and posts; it scales with "
        "the height of log beside the opening. Cover it with trim that can slide.",
        "Most of it comes in the first two years; thick green timbers go on for longer.",
    ]
    if wall.joint == "chinked":
        notes.append("Chinking does not shrink: only the height of timber counts.")
    recalled = species.recalled(("shrinkage_radial", "shrinkage_tangential"))
    if recalled:
        notes.append(f"{species.name}: {' and '.join(recalled)} from memory.")
    return Settling(
        log_height_mm=height,
        shrinkage_mm=(height * low, height * high),
        compaction_mm=(0.0, height * most),
        drop_mm=(height * low, height * (high + most)),
        opening_mm=opening,
        allowances=published,
        leave_mm=leave,
        shrinkage=Shrinkage(low, high, "from radial to tangential"),
        notes=tuple(notes),
    )
