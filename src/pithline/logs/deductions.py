"""What scalers take off the gross scale of a log for its faults.

Every formula here is from memory: Grosenbaugh (1952), Shortcuts for Cruisers and Scalers; Rast,
Sonderman and Gammon (1973) for the sweep of short logs; National Forest Log Scaling Handbook,
FSH 2409.11, for squared defect. None was found in print, and each answer says so.
"""

from dataclasses import dataclass

from pithline.errors import OutOfRangeError

__all__ = [
    "Deduction",
    "SquaredDefect",
    "crook",
    "rot",
    "squared_defect",
    "sweep",
    "sweep_allowance_in",
    "unusable_section",
    "wedge",
]

_GROSENBAUGH = "Grosenbaugh (1952)"

_DIVISORS = {"scribner_decimal_c": 15.0, "international": 16.0}


@dataclass(frozen=True)
class Deduction:
    """A share of the gross scale that a fault costs.

    Attributes: `fault`, as "sweep"; `share` of the gross scale, 0 to 1;
    `method`, whose formula it is; `status`, as in the data tables.
    """

    fault: str
    share: float
    method: str = _GROSENBAUGH
    status: str = "memory"

    @property
    def text(self) -> str:
        """One sentence that says the share and where the formula comes from."""
        return f"{self.fault}: {100.0 * self.share:.3g} % of the gross scale, by {self.method}, from memory."


@dataclass(frozen=True)
class SquaredDefect:
    """Board feet that a fault costs by squared defect; `method` and `status` as in `Deduction`."""

    rule: str
    board_feet: float
    method: str = "FSH 2409.11"
    status: str = "memory"


def _within(name: str, value: float, most: float | None = None, unit: str = "in") -> None:
    """Refuse a measure below 0 or above `most`."""
    if not value >= 0.0 or (most is not None and value > most + 1e-9):
        limit = "0 or more" if most is None else f"0 to {most:g} {unit}"
        raise OutOfRangeError(f"{name}: {value:g} {unit}; it must be {limit}.")


def _positive(name: str, value: float, unit: str) -> None:
    """Refuse a size that a share cannot be taken of."""
    if not value > 0.0:
        raise OutOfRangeError(f"{name}: {value:g} {unit}; it must be more than 0.")


def sweep_allowance_in(length_ft: float) -> float:
    """Sweep that costs nothing, since the saw loses as much in any case.

    Parameters
    ----------
    length_ft : float
        Scaling length [ft].

    Returns
    -------
    float
        1 under 11 ft, 1.5 under 14 ft, 2 from 14 ft up [in].

    Raises
    ------
    OutOfRangeError
        No length.

    Range
    -----
    8 to 16 ft in the source; a longer log has the allowance of 16 ft, a shorter one that of 8 ft.

    Source
    ------
    from memory: Rast, Sonderman and Gammon (1973). That sweep under 2 in is not counted: USDA FS NE-172 (1973), seen
    """
    _positive("length", length_ft, "ft")
    if length_ft < 11.0:
        return 1.0
    return 1.5 if length_ft < 14.0 else 2.0


def sweep(sweep_in: float, *, diameter_in: float, length_ft: float) -> Deduction:
    """Share lost to sweep: (s - allowance) / D.

    Parameters
    ----------
    sweep_in : float
        Greatest distance of the center line from the straight line between the end centers [in].
    diameter_in : float
        Scaling diameter [in].
    length_ft : float
        Scaling length, which sets the allowance [ft].

    Returns
    -------
    Deduction
        Share 0 within the allowance, and 1 where the formula gives more: nothing is left.

    Raises
    ------
    OutOfRangeError
        A sweep below 0, no diameter or no length.

    Source
    ------
    from memory: Grosenbaugh (1952); allowances as `sweep_allowance_in`
    """
    _within("sweep", sweep_in)
    _positive("diameter", diameter_in, "in")
    return Deduction("sweep", min(1.0, max(0.0, sweep_in - sweep_allowance_in(length_ft)) / diameter_in))


def crook(crook_in: float, *, affected_ft: float, diameter_in: float, length_ft: float) -> Deduction:
    """Share lost to a crook, an abrupt bend: (c / D) (l / L).

    Parameters
    ----------
    crook_in : float
        How far the part beyond the bend deflects [in].
    affected_ft : float
        Length of that part [ft].
    diameter_in : float
        Scaling diameter [in].
    length_ft : float
        Scaling length [ft].

    Returns
    -------
    Deduction
        Share at most that of the part.

    Raises
    ------
    OutOfRangeError
        A measure below 0, a part longer than the log, no diameter or no length.

    Source
    ------
    from memory: Grosenbaugh (1952)
    """
    _within("crook", crook_in)
    _positive("diameter", diameter_in, "in")
    part = _part(affected_ft, length_ft)
    return Deduction("crook", min(1.0, crook_in / diameter_in) * part)


def unusable_section(affected_ft: float, *, length_ft: float) -> Deduction:
    """Share lost where the whole section is unusable: l / L.

    Parameters
    ----------
    affected_ft : float
        Length that is lost [ft].
    length_ft : float
        Scaling length [ft].

    Returns
    -------
    Deduction
        The share.

    Raises
    ------
    OutOfRangeError
        A part below 0 or longer than the log, or no length.

    Source
    ------
    from memory: Grosenbaugh (1952)
    """
    return Deduction("section", _part(affected_ft, length_ft))


def wedge(angle_deg: float, *, affected_ft: float, length_ft: float) -> Deduction:
    """Share lost to a wedge-shaped fault, such as a cat face or a fire scar: (l / L) (a / 360).

    Parameters
    ----------
    angle_deg : float
        Angle at the heart that holds the fault, 0 to 360 [deg].
    affected_ft : float
        Length of the fault [ft].
    length_ft : float
        Scaling length [ft].

    Returns
    -------
    Deduction
        The share.

    Raises
    ------
    OutOfRangeError
        An angle beyond the circle, a part below 0 or longer than the log, or no length.

    Source
    ------
    from memory: Grosenbaugh (1952)
    """
    _within("wedge", angle_deg, 360.0, "degrees")
    return Deduction("wedge", _part(affected_ft, length_ft) * angle_deg / 360.0)


def rot(height_in: float, width_in: float, *, affected_ft: float, diameter_in: float, length_ft: float) -> Deduction:
    """Share lost to rot inside the log: (l / L) H W / (D - 1)^2.

    Parameters
    ----------
    height_in, width_in : float
        Sides of the rectangle round the rot in the end where it is largest [in].
    affected_ft : float
        How far it runs into the log [ft].
    diameter_in : float
        Scaling diameter, more than 1 [in].
    length_ft : float
        Scaling length [ft].

    Returns
    -------
    Deduction
        Share at most that of the part the rot runs through.

    Raises
    ------
    OutOfRangeError
        A measure below 0, rot longer than the log, a diameter of 1 in or less, or no length.

    Source
    ------
    from memory: Grosenbaugh (1952)
    """
    _within("rot height", height_in)
    _within("rot width", width_in)
    _positive("diameter less 1 in", diameter_in - 1.0, "in")
    part = _part(affected_ft, length_ft)
    return Deduction("rot", part * min(1.0, height_in * width_in / (diameter_in - 1.0) ** 2))


def squared_defect(height_in: float, width_in: float, *, affected_ft: float, rule: str) -> SquaredDefect:
    """Board feet lost to rot by squared defect: (H + 1) (W + 1) l / 15, or / 16 for International.

    Another way than `rot` to the same loss, and the two differ: say which was used.

    Parameters
    ----------
    height_in, width_in : float
        Sides of the rectangle round the rot; the rule adds 1 in to each [in].
    affected_ft : float
        How far it runs into the log [ft].
    rule : str
        "scribner_decimal_c" or "international".

    Returns
    -------
    SquaredDefect
        Before rounding.

    Raises
    ------
    OutOfRangeError
        A measure below 0, or a rule that squared defect is not used with.

    Source
    ------
    from memory: FSH 2409.11
    """
    _within("rot height", height_in)
    _within("rot width", width_in)
    _within("length", affected_ft, unit="ft")
    if rule not in _DIVISORS:
        raise OutOfRangeError(f"squared defect: it goes with {' and '.join(_DIVISORS)}, not with {rule!r}.")
    return SquaredDefect(rule, (height_in + 1.0) * (width_in + 1.0) * affected_ft / _DIVISORS[rule])


def _part(affected_ft: float, length_ft: float) -> float:
    """Part of the length that a fault runs through."""
    _positive("length", length_ft, "ft")
    _within("length of the fault", affected_ft, length_ft, "ft")
    return min(1.0, affected_ft / length_ft)
