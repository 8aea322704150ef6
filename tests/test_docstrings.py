"""Docstrings of the core tell what goes in, what comes out, what fails and who says so."""

import ast
import importlib
import inspect
import pkgutil
import re
import textwrap
from collections.abc import Iterator
from types import FunctionType
from typing import Any

import pytest

import pithline

PACKAGES = ("lengths", "wood", "logs", "fit", "setup", "patterns", "match")
HEADER = re.compile(r"^(?P<name>[A-Z][A-Za-z ]+)\n-{3,}$", flags=re.MULTILINE)
ITEM = re.compile(r"^(?P<names>[*\w][*\w, ]*?)(?: : .+)?$")
BUILT_IN = ("__init__", "__repr__", "__str__", "__eq__", "__hash__")


def modules() -> Iterator[Any]:
    """Find each module of the core, private ones too."""
    found = pkgutil.walk_packages(pithline.__path__, "pithline.")
    for name in sorted(info.name for info in found):
        if name.split(".")[1] in PACKAGES:
            yield importlib.import_module(name)


def public() -> dict[str, Any]:
    """Return the public functions and classes of the core under their full names."""
    return {
        f"{thing.__module__}.{thing.__qualname__}": thing
        for module in modules()
        for name in getattr(module, "__all__", ())
        if isinstance(thing := getattr(module, name), FunctionType | type) and thing.__module__.startswith("pithline.")
    }


THINGS = public()
FUNCTIONS = {name: thing for name, thing in THINGS.items() if isinstance(thing, FunctionType)}
CLASSES = {name: thing for name, thing in THINGS.items() if isinstance(thing, type)}


def sections(text: str) -> dict[str, str]:
    """Return the sections of a numpydoc docstring under their headings."""
    parts = HEADER.split(inspect.cleandoc(text))
    return {name: body.strip("\n") for name, body in zip(parts[1::2], parts[2::2], strict=True)}


def named(section: str) -> list[str]:
    """Return the parameters that a section names, in its order."""
    names: list[str] = []
    for line in section.splitlines():
        match = ITEM.match(line)
        if match:
            names += [name.strip().lstrip("*") for name in match["names"].split(",")]
    return names


def faults(function: FunctionType) -> list[str]:
    """Return all that a function's docstring leaves out or says wrongly."""
    text = function.__doc__
    if not text or not text.strip():
        return ["no docstring"]
    told, found = [], sections(text)
    if not inspect.cleandoc(text).splitlines()[0].endswith("."):
        told.append("the first line is no sentence")
    signature = inspect.signature(function)
    names = [name for name in signature.parameters if name not in ("self", "cls")]
    in_text = named(found.get("Parameters", ""))
    if names != in_text:
        told.append(f"Parameters names {in_text or 'nothing'}, the signature has {names}")
    if signature.return_annotation not in (None, "None", "NoReturn") and "Returns" not in found:
        told.append("no section Returns")
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    if any(isinstance(node, ast.Raise) for node in ast.walk(tree)) and "Raises" not in found:
        told.append("it raises, and has no section Raises")
    told += [f"section {name} is empty" for name, body in found.items() if not body.strip()]
    if "Source" not in found:
        told.append("no section Source (publication and spot, definition, common practice, ...)")
    return told


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_says_what_goes_in_what_comes_out_what_fails_and_who_says_so(name):
    told = faults(FUNCTIONS[name])
    assert not told, f"{name}: " + "; ".join(told)


@pytest.mark.parametrize("name", CLASSES)
def test_a_class_and_its_public_methods_say_what_they_are(name):
    cls = CLASSES[name]
    # A dataclass without a docstring gets its signature for one.
    text = cls.__dict__.get("__doc__") or ""
    assert text, f"{name}: no docstring"
    assert not text.startswith(f"{cls.__name__}("), f"{name}: no docstring"
    for key, member in vars(cls).items():
        function = getattr(member, "fget", None) or getattr(member, "__func__", member)
        if not key.startswith("_") and isinstance(function, FunctionType):
            assert function.__doc__, f"{name}.{key}: no docstring"


def test_each_package_of_the_core_has_public_names():
    found = {name.split(".")[1] for name in THINGS}
    assert found == set(PACKAGES)


def well(length_mm: float, *, width_mm: float) -> float:
    """Return the area of a rectangle.

    Parameters
    ----------
    length_mm : float
        Longer side [mm].
    width_mm : float
        Shorter side [mm].

    Returns
    -------
    float
        Area [mm2].

    Raises
    ------
    ValueError
        The width is not positive.

    Source
    ------
    definition
    """
    if width_mm <= 0:
        raise ValueError("width")
    return length_mm * width_mm


def badly(length_mm: float, *, width_mm: float) -> float:
    """Area of a rectangle

    Parameters
    ----------
    length_mm, breadth_mm : float
        Sides [mm].
    """
    if width_mm <= 0:
        raise ValueError("width")
    return length_mm * width_mm


def test_the_check_itself_sees_each_fault():
    assert faults(well) == []
    assert [fault.split(" (")[0] for fault in faults(badly)] == [
        "the first line is no sentence",
        "Parameters names ['length_mm', 'breadth_mm'], the signature has ['length_mm', 'width_mm']",
        "no section Returns",
        "it raises, and has no section Raises",
        "no section Source",
    ]
