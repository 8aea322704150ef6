"""Sheets of paper: a template, the data for it and drawings, set as a PDF.

The same input gives the same bytes on any machine: only the three font files named
here are seen, no clock is read, and nothing is fetched.
"""

import atexit
import importlib.util
import json
import re
import shutil
import tempfile
import xml.etree.ElementTree as ET
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

import typst

from pithline.errors import SheetError
from pithline.sheets.look import COLORS, FONT_FAMILY, TYPE_SIZES_PT

__all__ = ["compile_pdf", "compile_source", "font_folder"]

_TEMPLATES = Path(__file__).parent
_FONT_PACKAGE = "font_source_sans_pro"
_FONT_FILES = ("SourceSansPro-Regular.otf", "SourceSansPro-Semibold.otf", "SourceSansPro-Bold.otf")
_NO_DRAWINGS: Mapping[str, str] = MappingProxyType({})
_UNPRINTABLE = re.compile(r'the text `"(.+?)"` could not be displayed')
_SVG = "{http://www.w3.org/2000/svg}"


def compile_pdf(template: str, data: Mapping[str, object], *, drawings: Mapping[str, str] = _NO_DRAWINGS) -> bytes:
    """Return a sheet as PDF, tagged for reading aloud.

    Parameters
    ----------
    template : str
        Name of a template beside this module, "card.typ". It starts with
        `#import "base.typ": *`.
    data : mapping of str to object
        What the template finds as `data`; whatever JSON can hold.
    drawings : mapping of str to str
        SVG text by name, as `Drawing.to_svg` writes it; the template places one with
        `#drawing("side")`. Title and description become the text read aloud.

    Returns
    -------
    bytes
        The PDF; the same for the same input.

    Raises
    ------
    SheetError
        There is no such template, the data cannot be written as JSON, a drawing is
        not SVG in millimeters, or the typesetter refuses or warns.
    """
    path = _TEMPLATES / template
    if path.parent != _TEMPLATES or path.suffix != ".typ" or not path.is_file():
        names = ", ".join(sorted(found.name for found in _TEMPLATES.glob("*.typ")))
        raise SheetError(f"there is no template {template!r}; there are {names}.")
    return compile_source(path.read_text("utf-8"), data, drawings=drawings, name=template)


def compile_source(
    source: str,
    data: Mapping[str, object],
    *,
    drawings: Mapping[str, str] = _NO_DRAWINGS,
    name: str = "sheet",
) -> bytes:
    """Return a sheet as PDF from the text of a template.

    Parameters
    ----------
    source : str
        Text of the template.
    data, drawings : mapping
        As for `compile_pdf`.
    name : str
        What the sheet is called in messages.

    Returns
    -------
    bytes
        The PDF; the same for the same input.

    Raises
    ------
    SheetError
        As for `compile_pdf`.
    """
    inputs = {
        "data": _json(name, data),
        "drawings": _json(name, {key: _picture(key, svg) for key, svg in drawings.items()}),
        "look": _json(name, {"colors": dict(COLORS), "family": FONT_FAMILY, "sizes": dict(TYPE_SIZES_PT)}),
    }
    try:
        compiler = typst.Compiler(
            source.encode("utf-8"),
            root=_TEMPLATES,
            font_paths=_fonts(),
            ignore_system_fonts=True,
            sys_inputs=inputs,
        )
        pdf, warnings = compiler.compile_with_warnings(format="pdf", pdf_standards="ua-1", timestamp=0)
    except (typst.TypstError, RuntimeError) as error:
        raise SheetError(f"{name} could not be set: {_reason(error)}") from error
    if warnings:
        raise SheetError(f"{name} was set with a fault: {_reason(warnings[0])}")
    if not isinstance(pdf, bytes):
        raise SheetError(f"{name} could not be set: the typesetter gave back no PDF.")
    return pdf


@cache
def font_folder() -> Path:
    """Return a folder that holds the font files used and no others.

    The typesetter reads whole folders, in the order in which the disk lists them.
    The font package holds each face twice, in two formats, so the files wanted are
    copied to a folder of their own, which is taken away when the program ends.

    Returns
    -------
    Path
        The folder; the same one during a run.

    Raises
    ------
    SheetError
        The font package is not installed, or lacks a file.
    """
    spec = importlib.util.find_spec(_FONT_PACKAGE)
    places = spec.submodule_search_locations if spec is not None else None
    if not places:
        raise SheetError("the fonts are missing: install the Python package font-source-sans-pro beside this program.")
    folder = Path(tempfile.mkdtemp(prefix="pithline-fonts-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    for file_name in _FONT_FILES:
        try:
            shutil.copyfile(Path(places[0]) / "files" / file_name, folder / file_name)
        except OSError as error:
            raise SheetError(f"the font file {file_name} cannot be read: {error}") from error
    return folder


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(font_folder())],
    )


def _json(name: str, value: object) -> str:
    try:
        return json.dumps(value, ensure_ascii=False, allow_nan=False)
    except (TypeError, ValueError) as error:
        raise SheetError(f"{name}: the data for the sheet cannot be written: {error}") from error


def _picture(name: str, svg: str) -> dict[str, object]:
    """Return a drawing with its size and the words that stand for it."""
    try:
        root = ET.fromstring(svg)
        sizes_mm = [float(root.attrib[side].removesuffix("mm")) for side in ("width", "height")]
    except (ET.ParseError, KeyError, ValueError) as error:
        raise SheetError(f"the drawing {name!r} is not SVG with width and height in mm: {error}") from error
    words = [(root.findtext(f"{_SVG}{tag}") or "").strip() for tag in ("title", "desc")]
    if not words[0]:
        raise SheetError(f"the drawing {name!r} has no title to be read aloud.")
    alt = ". ".join(part.rstrip(".") for part in words if part) + "."
    return {"svg": svg, "alt": alt, "width": sizes_mm[0], "height": sizes_mm[1]}


def _reason(fault: Exception) -> str:
    """Return what the typesetter said, with its hints, in one line."""
    message = " ".join(str(getattr(fault, "message", fault)).split())
    unprintable = _UNPRINTABLE.search(message)
    if unprintable is not None:
        return (
            f"the letters it is set in have no sign for {unprintable.group(1)!r}."
            " Write it in Latin, Greek or Cyrillic letters, figures and common marks."
        )
    return "; ".join([message, *(" ".join(hint.split()) for hint in getattr(fault, "hints", ()))])
