"""Vapor in air, held against a second library that knows nothing of our code.

PsychroLib 2.5.0, the same equations of ASHRAE Handbook, Fundamentals (2017), chapter 1, coded and tested by others;
kind: oracle. Our coefficients were recalled, so this is what they rest on.
"""

import psychrolib
import pytest

from conftest import Outside
from pithline.errors import OutOfRangeError
from pithline.wood.humidity import (
    STANDARD_PRESSURE_PA,
    humidity_after_warming,
    humidity_from_dew_point,
    humidity_from_wet_bulb,
    saturation_pressure_pa,
)

SOURCE = "PsychroLib 2.5.0, after ASHRAE Handbook, Fundamentals (2017), chapter 1"

SAME = 1e-9
"""The same equation with the same coefficients leaves rounding alone."""


@pytest.fixture(autouse=True)
def _celsius():
    """Set the library's units, which it keeps for the whole process."""
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize("celsius", [-60.0, -27.5, -9.0, -0.4, 0.0, 0.7, 4.0, 21.1, 37.3, 60.0, 95.0, 150.0, 199.0])
def test_the_pressure_of_saturated_vapor_is_that_of_the_library(outside: Outside, celsius: float) -> None:
    # The library changes from ice to water at 0.01 C, the triple point, and we at 0 C; no case lies between the two.
    theirs = psychrolib.GetSatVapPres(celsius)
    outside(
        source=SOURCE,
        what=f"saturation pressure at {celsius:g} C",
        printed=theirs,
        ours=saturation_pressure_pa(celsius),
        unit="Pa",
        within=SAME * theirs,
        kind="oracle",
    )


@pytest.mark.parametrize(
    ("dry", "dew"), [(20.0, 9.3), (31.5, 31.5), (12.0, -4.0), (3.0, 0.5), (-8.0, -13.5), (-25.0, -40.0)]
)
def test_the_dew_point_tells_the_humidity_of_the_library(outside: Outside, dry: float, dew: float) -> None:
    outside(
        source=SOURCE,
        what=f"humidity at {dry:g} C with the dew point at {dew:g} C",
        printed=psychrolib.GetRelHumFromTDewPoint(dry, dew),
        ours=humidity_from_dew_point(dry, dew),
        unit="fraction",
        within=SAME,
        kind="oracle",
    )


@pytest.mark.parametrize(
    ("dry", "wet", "pressure"),
    [
        (20.0, 14.0, STANDARD_PRESSURE_PA),
        (33.0, 18.5, STANDARD_PRESSURE_PA),
        (25.0, 25.0, STANDARD_PRESSURE_PA),
        (60.0, 41.0, 95_000.0),
        (8.0, 4.5, 88_000.0),
        (2.0, -1.5, STANDARD_PRESSURE_PA),
        (-6.0, -7.5, 90_500.0),
    ],
)
def test_the_wet_bulb_tells_the_humidity_of_the_library(
    outside: Outside, dry: float, wet: float, pressure: float
) -> None:
    outside(
        source=SOURCE,
        what=f"humidity at {dry:g} C dry, {wet:g} C wet and {pressure:g} Pa",
        printed=psychrolib.GetRelHumFromTWetBulb(dry, wet, pressure),
        ours=humidity_from_wet_bulb(dry, wet, pressure_pa=pressure),
        unit="fraction",
        within=1e-6,
        kind="oracle",
    )


@pytest.mark.parametrize(
    ("outdoors", "humidity", "indoors"), [(-12.0, 0.8, 20.0), (2.0, 0.93, 18.0), (14.0, 0.6, 22.5)]
)
def test_air_that_is_warmed_keeps_its_vapor(outside: Outside, outdoors: float, humidity: float, indoors: float) -> None:
    vapor = psychrolib.GetVapPresFromRelHum(outdoors, humidity)
    outside(
        source=SOURCE,
        what=f"humidity of air of {outdoors:g} C and {100 * humidity:g} % once at {indoors:g} C",
        printed=psychrolib.GetRelHumFromVapPres(indoors, vapor),
        ours=humidity_after_warming(humidity, outdoors, to_c=indoors),
        unit="fraction",
        within=SAME,
        kind="oracle",
    )


def test_air_that_is_warmer_outdoors_stays_as_it_is() -> None:
    assert humidity_after_warming(0.7, 28.0, to_c=20.0) == pytest.approx(0.7, abs=1e-15)


def test_the_wet_bulb_at_the_dry_is_saturated_air() -> None:
    for celsius in (-11.0, 0.5, 24.0):
        assert humidity_from_wet_bulb(celsius, celsius) == pytest.approx(1.0, abs=1e-12)


def test_what_no_thermometer_reads_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"dew point: 12.0 C"):
        humidity_from_dew_point(9.0, 12.0)
    with pytest.raises(OutOfRangeError, match=r"wet bulb: 21.0 C .70 F. is above the dry 20.0 C .68 F.; swap them"):
        humidity_from_wet_bulb(20.0, 21.0)
    with pytest.raises(OutOfRangeError, match=r"wet bulb: 2.0 C .36 F. is colder than bone-dry air"):
        humidity_from_wet_bulb(30.0, 2.0)
    for celsius in (-100.5, 200.5, float("nan")):
        with pytest.raises(OutOfRangeError, match=r"vapor is known from -100 to 200 C"):
            saturation_pressure_pa(celsius)
