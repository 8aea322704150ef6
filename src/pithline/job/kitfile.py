"""A kit read from a TOML file; what the file leaves out comes from the default kit."""

import difflib
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from importlib import resources
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, get_type_hints

from pithline.errors import FileError, LengthError
from pithline.job.faults import FaultList, said_of
from pithline.job.kit_species import SECTION, species_of
from pithline.job.textfile import read_text, shown
from pithline.lengths import parse, told
from pithline.lengths.spelling import quoted
from pithline.setup import Kit, kit_faults
from pithline.tables import read_table

__all__ = ["ORIGINS", "default_kit_text", "kit_from_text", "read_kit"]

ORIGINS: Final = ("measured", "read", "recalled", "given")
"""Where a value of a kit can come from."""

_MOST_BYTES: Final = 200_000
# A dotted key of tens of thousands of parts would keep the TOML reader busy for a minute.
_LONGEST_LINE: Final = 500
_LONGEST_NAME: Final = 60
_AT_LINE: Final = re.compile(r" ?\(at line (\d+), column \d+\)| ?\(at end of document\)")
_FROM: Final = "_from"


@dataclass(frozen=True)
class _Value:
    """One value of a kit: its section (empty at the top), its key in a file, its field in `Kit`."""

    section: str
    key: str
    field: str

    @property
    def name(self) -> str:
        """Section and key, as in messages and origins."""
        return f"{self.section}.{self.key}" if self.section else self.key

    @property
    def is_length(self) -> bool:
        """Whether it is written as text with a unit."""
        return self.key != self.field


@cache
def _parts() -> Mapping[str, Callable[..., Any]]:
    """The parts of a kit, such as its saw, under their names."""
    hints: Mapping[str, Any] = get_type_hints(Kit)
    return MappingProxyType({name: hints[name] for name in hints if is_dataclass(hints[name])})


@cache
def _values() -> tuple[_Value, ...]:
    """Every value of a kit: a length is a field in mm, and its key leaves the mm away."""
    tops = [item.name for item in fields(Kit) if item.name.endswith("_mm")]
    found = [_Value("", name.removesuffix("_mm"), name) for name in tops]
    for part in _parts():
        names = [item.name for item in fields(get_type_hints(Kit)[part])]
        found += [_Value(part, name.removesuffix("_mm"), name) for name in names]
    return tuple(found)


@cache
def _limits() -> Mapping[str, tuple[float, float]]:
    """Least and greatest of each value, from a table with its provenance."""
    rows = read_table("pithline.job", "kit_limits").rows
    return MappingProxyType({row["value"]: (float(row["least"]), float(row["most"])) for row in rows})


def default_kit_text() -> str:
    """Text of the default kit, as a file to start from.

    Returns
    -------
    str
        TOML.

    Source
    ------
    the origins in the text itself
    """
    return (resources.files("pithline.setup") / "default_kit.toml").read_text(encoding="utf-8")


@cache
def _default_table() -> Mapping[str, Any]:
    """The default kit as TOML gives it."""
    return MappingProxyType(tomllib.loads(default_kit_text()))


def read_kit(path: str | Path | None) -> Kit:
    """The kit of a TOML file.

    Parameters
    ----------
    path : str, Path or None
        The file; None for the default kit.

    Returns
    -------
    Kit
        With the origin of each value. What the file leaves out has the default kit's value and
        origin; what it gives without an origin is `given`.

    Raises
    ------
    FileError
        The file cannot be read, or has faults; it tells all of them.

    Source
    ------
    definition
    """
    if path is None:
        return kit_from_text(default_kit_text(), file="default_kit.toml")
    text = read_text(path, most_bytes=_MOST_BYTES)
    return kit_from_text(text, file=shown(Path(path).name))


def kit_from_text(text: str, *, file: str) -> Kit:
    """The kit that a TOML text gives.

    Parameters
    ----------
    text : str
        TOML.
    file : str
        Name for messages; its stem names a kit that has no name.

    Returns
    -------
    Kit
        As from `read_kit`.

    Raises
    ------
    FileError
        The text has faults; it tells all of them.

    Source
    ------
    definition
    """
    table = _toml(text, file)
    faults = FaultList(file)
    reader = _Reader(file, table, faults)
    reader.check_names()
    numbers = {value: reader.number(value) for value in _values()}
    origins = {value.name: reader.origin(value) for value in _values()}
    kit = replace(_built(reader.kit_name(), numbers, origins), species=species_of(table.get(SECTION), file, faults))
    unread = [value.key for value in _values() if value.name in reader.at_fault]
    for fault in kit_faults(kit):
        # A default stands in for what could not be read, and nothing can be said against it.
        if not any(key in fault for key in unread):
            faults.add(f"{file}, {fault}{reader.not_written(fault)}")
    faults.raise_if_any()
    return kit


def _toml(text: str, file: str) -> dict[str, Any]:
    """The tables of a TOML text."""
    for number, line in enumerate(text.splitlines(), start=1):
        if len(line) > _LONGEST_LINE:
            raise FileError(
                [
                    f"{file} line {number} has {len(line)} characters, and no line of a kit has over "
                    f"{_LONGEST_LINE}: check that it is the right file, or break the line."
                ]
            )
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        said = str(error)
        where = _AT_LINE.search(said)
        number = int(where[1]) if where and where[1] else 0
        at = f"{file} line {number}" if number else f"{file}, at its end"
        lines = text.splitlines()
        read = f"read {quoted(lines[number - 1].strip())}; " if 0 < number <= len(lines) else ""
        why = _AT_LINE.sub("", said)
        what = f"this cannot be read as TOML ({why[:1].lower()}{why[1:]})"
        if not isinstance(error, tomllib.TOMLDecodeError):
            at, what = file, "this is no kit: its numbers or brackets go on without end"
        remedy = 'A length stands in quotation marks, as in kerf = "3/8 in".'
        raise FileError([f"{at}: {read}{what}. {remedy}"]) from error


class _Reader:
    """Reads the tables of one kit file.

    Attributes: `at_fault`, names of the values that could not be read.
    """

    def __init__(self, file: str, table: Mapping[str, Any], faults: FaultList) -> None:
        self.file = file
        self.table = table
        self.faults = faults
        self.at_fault: set[str] = set()

    def _fault(self, name: str, text: str) -> None:
        self.faults.add(f"{self.file}, {name}: {text}")

    def _held(self, section: str) -> Mapping[str, Any]:
        """Keys and values of a section, or of the top."""
        held = self.table.get(section, {}) if section else self.table
        return held if isinstance(held, Mapping) else {}

    def check_names(self) -> None:
        """Take up sections and keys that are not known, and origins without a value."""
        sections = {value.section for value in _values() if value.section}
        tops = {value.key for value in _values() if not value.section}
        for key, held in self.table.items():
            if key == SECTION:
                continue
            if key in sections:
                if isinstance(held, Mapping):
                    self._check_keys(key, {v.key for v in _values() if v.section == key})
                else:
                    said = f"read {_told(held)}; {key} is a section. Write [{key}], its values below."
                    self._fault(key, said)
            elif isinstance(held, Mapping | list) and key not in tops:
                near = _nearest(key, sections)
                what = f" Is [{near}] meant?" if near else " Take it away."
                self._fault(f"[{_clean(key)}]", f"there is no such section.{what}")
        self._check_keys("", tops | {"name"})

    def _check_keys(self, section: str, known: set[str]) -> None:
        for key, held in self._held(section).items():
            name = f"{section}.{_clean(key)}" if section else _clean(key)
            base = key.removesuffix(_FROM)
            if base != key and base in known and base != "name":
                if base not in self._held(section):
                    said = f"it says where {base} is from, and there is no {base}. Write it as well."
                    self._fault(name, said)
            elif key not in known and (section or not self._is_section(key, held)):
                self._fault(name, f"there is no such value.{self._meant(key, known)}")

    @staticmethod
    def _is_section(key: str, held: Any) -> bool:
        """Whether a key of the top has been judged as a section."""
        return key == SECTION or isinstance(held, Mapping | list) or any(key == value.section for value in _values())

    def _meant(self, key: str, known: set[str]) -> str:
        """Sentence on what an unknown key may stand for."""
        homes = [value.section for value in _values() if value.key == key and value.section]
        if homes:
            return f" It belongs under [{homes[0]}]."
        near = _nearest(key, known)
        return f" Is {near} meant?" if near else " Take it away, or put # before it."

    def number(self, value: _Value) -> float:
        """One value in the core's unit; the default where there is none, or it cannot be read."""
        default = _plain_number(_default(value), value)
        held = self._held(value.section)
        if value.key not in held:
            return default
        before = self.faults.count
        written = held[value.key]
        number = self._length(value, written) if value.is_length else self._bare(value, written)
        if self.faults.count > before or number is None:
            self.at_fault.add(value.name)
            return default
        return number

    def _length(self, value: _Value, written: Any) -> float | None:
        if not isinstance(written, str):
            unit = str(_default(value)).rpartition(" ")[2]
            if _is_number(written):
                shown_number = _told(written)
                said = f'{shown_number} has no unit; write "{shown_number} {unit}", or another of '
                self._fault(value.name, f"{said}ft, in, mm, cm and m, with the quotation marks.")
            else:
                said = f'read {_told(written)}; it is a length. Write it as in "{_default(value)}".'
                self._fault(value.name, said)
            return None
        try:
            length_mm = parse(written)
        except LengthError as error:
            self._fault(value.name, f"read {quoted(written)}; {said_of(written, error)}")
            return None
        least, most = _limits()[value.name]
        if not least <= length_mm <= most:
            said = f"read {quoted(written)}; {told(length_mm)} is not between {least:g} and {most:g} mm."
            self._fault(value.name, f"{said} Check the unit, or measure again.")
        return length_mm

    def _bare(self, value: _Value, written: Any) -> float | None:
        if not _is_number(written):
            said = f"read {_told(written)}; it is a number, its unit in the name where it has one."
            self._fault(value.name, f"{said} Write {value.key} = {_default(value)} or its like.")
            return None
        least, most = _limits()[value.name]
        if not least <= written <= most:
            said = f"read {_told(written)}; it is not between {least:g} and {most:g}."
            self._fault(value.name, f"{said} Check the unit, or measure again.")
            return None
        return float(written)

    def origin(self, value: _Value) -> str:
        """Where a value comes from."""
        held, key = self._held(value.section), value.key + _FROM
        if value.key not in held:
            default = _default_table()
            found = (default[value.section] if value.section else default).get(key, "given")
            return str(found)
        origin = held.get(key, "given")
        if origin not in ORIGINS:
            said = f"read {_told(origin)}; write one of {', '.join(ORIGINS)}, in quotation marks."
            self._fault(value.name + _FROM, said)
            return "given"
        return str(origin)

    def kit_name(self) -> str:
        """Name of the kit, the file's where none is written."""
        name = self.table.get("name", Path(self.file).stem)
        if not isinstance(name, str) or not name.isprintable() or not name.strip():
            self._fault("name", f'read {_told(name)}; write text on one line, as in "my kit".')
        elif len(name) > _LONGEST_NAME:
            said = f"it has {len(name)} characters. Write {_LONGEST_NAME} or fewer."
            self._fault("name", f"read {quoted(name)}; {said}")
        return str(name).strip()

    def not_written(self, fault: str) -> str:
        """Sentence for a fault of values of which some are not in the file."""
        names = [value for value in _values() if re.search(rf"\b{value.key}\b", fault)]
        section = fault.partition(".")[0]
        absent = [value.name for value in names if value.section == section and value.key not in self._held(section)]
        if not absent:
            return ""
        one = len(absent) == 1
        stands = "is not in the file and has" if one else "are not in the file and have"
        return f" {' and '.join(absent)} {stands} the default kit's value."


def _built(name: str, numbers: Mapping[_Value, float], origins: Mapping[str, str]) -> Kit:
    """A kit of its numbers."""
    held: dict[str, Any] = {value.field: number for value, number in numbers.items() if not value.section}
    for part, kind in _parts().items():
        held[part] = kind(**{value.field: number for value, number in numbers.items() if value.section == part})
    return Kit(**held, name=name, origins=MappingProxyType(dict(origins)))


def _default(value: _Value) -> Any:
    """What the default kit has written for a value."""
    default = _default_table()
    return (default[value.section] if value.section else default)[value.key]


def _plain_number(written: Any, value: _Value) -> float:
    """A value of the default kit in the core's unit."""
    return parse(written) if value.is_length else float(written)


def _is_number(written: Any) -> bool:
    """Whether a value is a number that counts something."""
    return isinstance(written, int | float) and not isinstance(written, bool)


def _nearest(word: str, known: set[str]) -> str | None:
    """The known word that is closest, if any is close."""
    near = difflib.get_close_matches(word[:_LONGEST_NAME], sorted(known), n=1)
    return near[0] if near else None


def _clean(key: str) -> str:
    """A key as it can be printed, short."""
    return quoted(key)[1:-1]


def _told(written: Any) -> str:
    """A value of any type, as it can be printed."""
    if isinstance(written, str):
        return quoted(written)
    if isinstance(written, bool):
        return str(written).lower()
    if isinstance(written, Mapping):
        return "a section"
    if isinstance(written, list):
        return "a list"
    return _clean(str(written))
