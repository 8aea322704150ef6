"""Moisture, humidity, temperature and density are read with their unit and never by guess.

Expected numbers follow from the definitions of the units; kind: derived apart.
"""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.errors import WoodError
from pithline.wood.reading import parse_density, parse_humidity, parse_moisture, parse_temperature
from strategies import generated

PARSERS = (parse_moisture, parse_humidity, parse_temperature, parse_density)


@pytest.mark.parametrize(
    ("written", "moisture"),
    [
        ("15 %", 0.15),
        ("15%", 0.15),
        (" 15,5 percent ", 0.155),
        ("15.5 per cent", 0.155),
        ("15 PCT", 0.15),
        (".5 %", 0.005),
        ("0.15 fraction", 0.15),
        ("0,62 of dry mass", 0.62),
        ("118 %", 1.18),
        ("+12 %", 0.12),
        ("0 %", 0.0),
        ("400 %", 4.0),
    ],
)
def test_moisture_is_read(written: str, moisture: float) -> None:
    assert parse_moisture(written) == pytest.approx(moisture, abs=1e-15)


@pytest.mark.parametrize("written", ["15", "0.15", " 12.5 "])
@pytest.mark.parametrize(("parse", "what"), [(parse_moisture, "moisture"), (parse_humidity, "humidity")])
def test_a_share_without_a_unit_is_refused_and_never_guessed(written: str, parse, what: str) -> None:
    message = f'{what}: read “{written}”, and it has no unit; write "'
    with pytest.raises(WoodError, match=f'^{re.escape(message)}.* or "0\\.[16]5 fraction"\\.$'):
        parse(written)


@pytest.mark.parametrize(
    "written", ["", "  ", "dry", "%", "fifteen %", "1.2.3 %", "15 16 %", "--15 %", "1e2 %", "nan %", "15\n%x\n"]
)
def test_what_is_no_number_is_refused(written: str) -> None:
    for parse in PARSERS:
        with pytest.raises(WoodError, match=r"(moisture|humidity|temperature|density): read "):
            parse(written)


def test_units_that_are_none_are_named() -> None:
    with pytest.raises(WoodError, match=r'moisture: read “15 C”; “c” is no unit of it\. Write "15 %"\.'):
        parse_moisture("15 C")
    with pytest.raises(WoodError, match=r'humidity: read “65 g/m3”; “g/m3” is no unit of it\. Write "65 %"\.'):
        parse_humidity("65 g/m3")
    with pytest.raises(WoodError, match=r"temperature: read “70 %”; “%” is no unit of it\. Write F, C or K\."):
        parse_temperature("70 %")
    with pytest.raises(WoodError, match=r'density: read “45”; write it with its unit, as "45 lb/ft3" or "720 kg/m3"\.'):
        parse_density("45")
    with pytest.raises(WoodError, match=r"density: read “45 lb”; write it with its unit"):
        parse_density("45 lb")


@pytest.mark.parametrize("written", ["-1 %", "\u22125 %", "401 %", "15 fraction"])
def test_no_wood_has_such_a_moisture(written: str) -> None:
    with pytest.raises(WoodError, match=rf"moisture: read “{re.escape(written)}”; wood holds from 0 to 400 %"):
        parse_moisture(written)


def test_humidity_lies_between_0_and_100_percent() -> None:
    assert [parse_humidity(text) for text in ("0 %", "65.5 %", "100 %", "0.4 fraction")] == pytest.approx(
        [0.0, 0.655, 1.0, 0.4]
    )
    for written in ("101 %", "100.001 %", "-2 %", "65 fraction"):
        with pytest.raises(WoodError, match=rf"humidity: read “{re.escape(written)}”; it lies between 0 and 100 %\."):
            parse_humidity(written)


@pytest.mark.parametrize(
    ("written", "celsius"),
    [
        ("70 F", 190.0 / 9.0),
        ("32F", 0.0),
        ("-40 °F", -40.0),
        ("-40 c", -40.0),
        ("\u22127,5 °C", -7.5),
        ("21.1 deg C", 21.1),
        ("21 degrees Celsius", 21.0),
        ("68 degree fahrenheit", 20.0),
        ("70 deg. F", 190.0 / 9.0),
        ("300 K", 26.85),
        ("0 kelvin", -273.15),
    ],
)
def test_temperature_is_read_in_three_units(written: str, celsius: float) -> None:
    assert parse_temperature(written) == pytest.approx(celsius, abs=1e-12)


def test_temperatures_that_cannot_be_are_refused() -> None:
    with pytest.raises(WoodError, match=r'temperature: read “70”, and it has no unit; write "70 F" or "21 C"\.'):
        parse_temperature("70")
    with pytest.raises(WoodError, match=r"temperature: read “70 °”, and it has no unit"):
        parse_temperature("70 °")
    for written in ("-1 K", "-274 C", "-460 F"):
        with pytest.raises(WoodError, match=rf"temperature: read “{written}”; nothing is that cold\."):
            parse_temperature(written)


@given(fahrenheit=st.integers(-400, 900))
@generated(60)
def test_fahrenheit_and_celsius_name_one_temperature(fahrenheit: int) -> None:
    celsius = (fahrenheit - 32) / 1.8
    assert parse_temperature(f"{celsius:.9f} C") == pytest.approx(parse_temperature(f"{fahrenheit} F"), abs=1e-8)


def test_density_is_read_in_two_units() -> None:
    assert parse_density("720 kg/m3") == parse_density("720 KG/M³") == 720.0
    # A pound is 0.45359237 kg and a foot 0.3048 m, by definition.
    assert (
        parse_density("45 lb/ft3")
        == parse_density("45 lb/ft³")
        == pytest.approx(45.0 * 0.45359237 / 0.3048**3, rel=1e-14)
    )
    assert parse_density("62,4 lb/ft3") == pytest.approx(999.552, abs=5e-4)


@pytest.mark.parametrize("parse", PARSERS)
def test_long_text_is_shown_cut_and_read_without_delay(parse) -> None:
    with pytest.raises(WoodError) as caught:
        parse("7" * 100_000 + " %")
    assert len(str(caught.value)) < 200


@given(written=st.text(max_size=70))
@generated(300)
def test_any_text_is_read_or_refused_in_one_sentence(written: str) -> None:
    for parse in PARSERS:
        try:
            value = parse(written)
        except WoodError as error:
            said = str(error)
            value = 0.0
        else:
            said = "read."
        assert said.endswith(".")
        assert math.isfinite(value)
