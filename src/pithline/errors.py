"""What can go wrong, one cause a class.

PithlineError
├── InputError (ValueError)        something read from the user cannot be used
│   ├── LengthError                a length, section or ratio that cannot be read
│   ├── LogError                   measures that make no log
│   ├── TimberError                a timber that cannot be asked for
│   ├── KitError                   a kit that is not consistent, or cannot do the work
│   ├── MatchError                 a plan that is asked for in terms that contradict each other
│   ├── WoodError                  a species, moisture, temperature or humidity that cannot be used
│   ├── UnknownValueError          a value of a species that nobody has told
│   └── FileError                  a file with one or more faults; carries them all
├── OutOfRangeError (ValueError)   a formula asked beyond the range its source gives
├── NoPlacementError               the timber does not lie in the log under the rules given
├── SolverError (RuntimeError)     a solver stopped without an answer
├── TableError (RuntimeError)      a data table of the package is not what it must be
└── SheetError (RuntimeError)      a drawing or card could not be made
"""

from collections.abc import Sequence

__all__ = [
    "FileError",
    "InputError",
    "KitError",
    "LengthError",
    "LogError",
    "MatchError",
    "NoPlacementError",
    "OutOfRangeError",
    "PithlineError",
    "SheetError",
    "SolverError",
    "TableError",
    "TimberError",
    "UnknownValueError",
    "WoodError",
]


class PithlineError(Exception):
    """Base of every error this package raises on purpose."""


class InputError(PithlineError, ValueError):
    """Something the user gave cannot be used; the message says what would do."""


class LengthError(InputError):
    """A length, section or ratio that cannot be read."""


class LogError(InputError):
    """Measures that make no log."""


class TimberError(InputError):
    """A timber that cannot be asked for."""


class KitError(InputError):
    """A kit that is not consistent, or that cannot do the work asked of it."""


class MatchError(InputError):
    """A plan that is asked for in terms that contradict each other, or name what is not there."""


class WoodError(InputError):
    """A species, moisture, temperature or humidity that cannot be used."""


class UnknownValueError(InputError):
    """A value of a species that is needed, and that no table and no kit tells."""


class FileError(InputError):
    """A file with one or more faults, all of them told at once."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


class OutOfRangeError(PithlineError, ValueError):
    """A formula asked beyond the range that its source gives."""


class NoPlacementError(PithlineError):
    """The timber does not lie in the log under the rules given."""


class SolverError(PithlineError, RuntimeError):
    """A solver stopped without an answer it can stand behind."""


class TableError(PithlineError, RuntimeError):
    """A data table of the package is not what it must be."""


class SheetError(PithlineError, RuntimeError):
    """A drawing or card could not be made."""
