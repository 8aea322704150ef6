"""Board-foot log rules: what the trade's tables give for a small-end diameter and a length.

Diameters are inches inside bark at the small end and lengths are feet, since the rules are
written in them; every name says so.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from pithline.arrays import Floats, frozen
from pithline.errors import OutOfRangeError, TableError
from pithline.tables import read_table

__all__ = ["LOG_RULES", "LogRule", "Scale", "log_rule", "rounded_halves_up"]

Texts = npt.NDArray[np.str_]

INTERNATIONAL_KERF = 0.904762
"""What a 1/4 in kerf leaves of the lumber that a 1/8 in kerf leaves: Michigan Compiled Laws 290.401."""

_SECTION_FT = 4.0
_SECTION_TAPER_IN = 0.5
_SCRIBNER_IN = (6, 44)
_SCRIBNER_FT = (6, 20)


@dataclass(frozen=True)
class Scale:
    """What one rule says of one log.

    Attributes: `rule`, its key; `board_feet` as the rule's tables round;
    `unrounded_bf`; `status`, whether the value was `seen` in print, `computed`
    from a factor or formula that was, or recalled from `memory`.
    """

    rule: str
    board_feet: float
    unrounded_bf: float
    status: str


@dataclass(frozen=True)
class LogRule:
    """One log rule.

    Attributes: `key`; `title` as people write it; `step_bf` its tables are
    rounded to; `diameter_in` and `length_ft`, least and most it is used for;
    `source`; `range_source`, where the limits come from; `whole`, whether it
    reads whole inches and feet only; `unrounded`, `rounded` and `statuses` of
    arrays in range.
    """

    key: str
    title: str
    step_bf: float
    diameter_in: tuple[float, float]
    length_ft: tuple[float, float]
    source: str
    range_source: str
    whole: bool
    unrounded: Callable[[Floats, Floats], Floats]
    rounded: Callable[[Floats, Floats], Floats]
    statuses: Callable[[Floats, Floats], Texts]

    def covers(self, diameter_in: npt.ArrayLike, length_ft: npt.ArrayLike) -> npt.NDArray[np.bool_]:
        """Whether the rule is used for these diameters and lengths."""
        diameter, length = _pair(diameter_in, length_ft)
        inside = _between(diameter, self.diameter_in) & _between(length, self.length_ft)
        if self.whole:
            inside &= (diameter == np.floor(diameter)) & (length == np.floor(length))
        return np.asarray(inside)

    def refusal(self, diameter_in: float, length_ft: float) -> str:
        """The sentence that says why a log is outside the rule's range."""
        low, high = self.diameter_in
        least, most = self.length_ft
        whole = ", whole inches and feet" if self.whole else ""
        return (
            f"{self.title}: a log of {diameter_in:g} in and {length_ft:g} ft is outside its range, "
            f"{low:g} to {high:g} in and {least:g} to {most:g} ft{whole}."
        )

    def unrounded_bf(self, diameter_in: npt.ArrayLike, length_ft: npt.ArrayLike) -> Floats:
        """Board feet before rounding; OutOfRangeError outside the range."""
        return self.unrounded(*self._inside(diameter_in, length_ft))

    def rounded_bf(self, diameter_in: npt.ArrayLike, length_ft: npt.ArrayLike) -> Floats:
        """Board feet as tables print them; OutOfRangeError outside the range."""
        return self.rounded(*self._inside(diameter_in, length_ft))

    def status(self, diameter_in: npt.ArrayLike, length_ft: npt.ArrayLike) -> Texts:
        """Where each value comes from, as `Scale.status`; OutOfRangeError outside the range."""
        return self.statuses(*self._inside(diameter_in, length_ft))

    def scale(self, diameter_in: float, length_ft: float) -> Scale:
        """What the rule says of one log; OutOfRangeError outside the range."""
        given = self._inside(diameter_in, length_ft)
        return Scale(
            self.key, float(self.rounded(*given)), float(self.unrounded(*given)), str(self.statuses(*given)[()])
        )

    def _inside(self, diameter_in: npt.ArrayLike, length_ft: npt.ArrayLike) -> tuple[Floats, Floats]:
        """Both as arrays, refused where the rule does not go."""
        diameter, length = _pair(diameter_in, length_ft)
        covered = self.covers(diameter, length)
        if not covered.all():
            first = int(np.argmin(covered.ravel()))
            raise OutOfRangeError(self.refusal(float(diameter.ravel()[first]), float(length.ravel()[first])))
        return diameter, length


def rounded_halves_up(values_bf: npt.ArrayLike, step_bf: float) -> Floats:
    """Board feet rounded to the nearest step, halves up.

    Parameters
    ----------
    values_bf : array_like
        Board feet.
    step_bf : float
        1, 5 or 10 board feet.

    Returns
    -------
    ndarray of float
        Of the same shape.

    Source
    ------
    A modern reprint of the Doyle rule rounds halves up throughout (105 of 105 values read)
    """
    # The hair is for sums that miss a half by the last bit; no table has values so close.
    return np.asarray(np.floor(np.asarray(values_bf, dtype=np.float64) / step_bf + 0.5 + 1e-9) * step_bf)


def _pair(diameter_in: npt.ArrayLike, length_ft: npt.ArrayLike) -> tuple[Floats, Floats]:
    diameter, length = np.broadcast_arrays(
        np.asarray(diameter_in, dtype=np.float64), np.asarray(length_ft, dtype=np.float64)
    )
    return diameter, length


def _between(values: Floats, limits: tuple[float, float]) -> npt.NDArray[np.bool_]:
    return np.asarray((values >= limits[0]) & (values <= limits[1]))


def _doyle(diameter_in: Floats, length_ft: Floats) -> Floats:
    """((D - 4) / 4)^2 L."""
    return np.asarray(((diameter_in - 4.0) / 4.0) ** 2 * length_ft)


def _international(diameter_in: Floats, length_ft: Floats) -> Floats:
    """Sum over 4 ft sections from the small end, each 1/2 in larger; the last in proportion to its length."""
    total = np.zeros(np.shape(diameter_in))
    for section in range(int(np.ceil(np.max(length_ft, initial=0.0) / _SECTION_FT))):
        part = np.clip(length_ft - section * _SECTION_FT, 0.0, _SECTION_FT) / _SECTION_FT
        d = diameter_in + section * _SECTION_TAPER_IN
        total = total + (0.22 * d * d - 0.71 * d) * part
    return np.asarray(INTERNATIONAL_KERF * total)


@cache
def _scribner_table() -> tuple[Floats, Texts]:
    """Board feet and statuses, a row an inch from 6 in and a column a foot from 6 ft.

    From 12 in up a cell is factor times length, rounded to 10. A cell that was read in print
    keeps its printed value, and for 6 to 11 in there are only cells.
    """
    inches = np.arange(_SCRIBNER_IN[0], _SCRIBNER_IN[1] + 1)
    feet = np.arange(_SCRIBNER_FT[0], _SCRIBNER_FT[1] + 1)
    values = np.full((len(inches), len(feet)), np.nan)
    statuses = np.full(values.shape, "", dtype="<U8")
    for row in read_table("pithline.logs", "scribner_factors").rows:
        at = int(row["diameter_in"]) - inches[0]
        values[at] = rounded_halves_up(float(row["factor"]) * feet, 10.0)
        statuses[at] = "memory" if row["status"] == "memory" else "computed"
    for row in read_table("pithline.logs", "scribner_decimal_c").rows:
        cell = int(row["diameter_in"]) - inches[0], int(row["length_ft"]) - feet[0]
        values[cell] = float(row["board_feet"])
        statuses[cell] = row["status"]
    if np.isnan(values).any():
        raise TableError("scribner_decimal_c.csv and scribner_factors.csv leave a cell of the rule empty.")
    statuses.setflags(write=False)
    return frozen(values), statuses


def _scribner_cells(diameter_in: Floats, length_ft: Floats) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    return (diameter_in - _SCRIBNER_IN[0]).astype(np.intp), (length_ft - _SCRIBNER_FT[0]).astype(np.intp)


def _scribner(diameter_in: Floats, length_ft: Floats) -> Floats:
    """The table's value; a diagram rule has nothing behind its table."""
    return np.asarray(_scribner_table()[0][_scribner_cells(diameter_in, length_ft)])


def _scribner_status(diameter_in: Floats, length_ft: Floats) -> Texts:
    return np.asarray(_scribner_table()[1][_scribner_cells(diameter_in, length_ft)])


def _computed(diameter_in: Floats, length_ft: Floats) -> Texts:
    """The formula was seen in print, and so every value is computed from what was seen."""
    return np.full(np.broadcast(diameter_in, length_ft).shape, "computed")


def _nearest(formula: Callable[[Floats, Floats], Floats], step_bf: float) -> Callable[[Floats, Floats], Floats]:
    """The formula, rounded to the rule's step."""

    def rounded(diameter_in: Floats, length_ft: Floats) -> Floats:
        return rounded_halves_up(formula(diameter_in, length_ft), step_bf)

    return rounded


LOG_RULES = (
    LogRule(
        key="doyle",
        title="Doyle",
        step_bf=1.0,
        diameter_in=(5.0, 60.0),
        length_ft=(4.0, 40.0),
        source="Cassens, Purdue Extension FNR-191; Larsen, University of Missouri notes: ((D - 4) / 4)^2 L",
        range_source="a formula that gives nothing at 4 in; the printed tables read are Chase (1913), 8 to 35 in and "
        "12 to 36 ft, and a modern reprint, 8 to 36 in and 8 to 20 ft",
        whole=False,
        unrounded=_doyle,
        rounded=_nearest(_doyle, 1.0),
        statuses=_computed,
    ),
    LogRule(
        key="scribner_decimal_c",
        title="Scribner Decimal C",
        step_bf=10.0,
        diameter_in=_SCRIBNER_IN,
        length_ft=_SCRIBNER_FT,
        source="Bailey, Farm and Garden Rule-Book (1911), US Forest Service directions; tables of Wengert, University "
        "of Wisconsin (2001); factors a foot in US Forest Service text; the rest from memory (scribner_decimal_c.md)",
        range_source="the table shipped; 20 ft is the longest piece of inland scaling, from memory",
        whole=True,
        unrounded=_scribner,
        rounded=_scribner,
        statuses=_scribner_status,
    ),
    LogRule(
        key="international",
        title="International 1/4-inch",
        step_bf=5.0,
        diameter_in=(5.0, 60.0),
        length_ft=(4.0, 20.0),
        source="Michigan Compiled Laws 290.401; Massachusetts General Laws c. 96 s. 11A: 4 ft sections of "
        "0.904762 (0.22 D^2 - 0.71 D), 1/2 in of taper a section",
        range_source="the laws set no limits; the printed table read has 6 to 26 in and 6 to 16 ft; 60 in and 20 ft "
        "are the end of the tables in use, from memory",
        whole=False,
        unrounded=_international,
        rounded=_nearest(_international, 5.0),
        statuses=_computed,
    ),
)
"""The log rules, in the order they are shown; dispatch, docs and tests read this."""


def log_rule(key: str) -> LogRule:
    """Return the log rule of a name.

    Parameters
    ----------
    key : str
        "doyle", "scribner_decimal_c" or "international".

    Returns
    -------
    LogRule
        The entry of `LOG_RULES`.

    Raises
    ------
    OutOfRangeError
        There is no such rule.

    Source
    ------
    definition
    """
    for rule in LOG_RULES:
        if rule.key == key:
            return rule
    raise OutOfRangeError(f"log rule: there is no {key!r}; give {', '.join(rule.key for rule in LOG_RULES)}.")
