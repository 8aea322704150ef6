"""Equilibrium moisture there and back, its limits, and what is said of a state of the air.

The equation itself is held against print in tests/validation/test_wood_moisture.py.
Kind of what stands here: derived apart.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.errors import OutOfRangeError
from pithline.wood.air import (
    HUMIDITY_RANGE,
    TEMPERATURE_RANGE_C,
    equilibrium_moisture,
    humidity_for,
    moisture_in_air,
)
from strategies import generated

temperatures = st.floats(-40.0, 132.2)
humidities = st.floats(0.0, 1.0)


@given(celsius=temperatures, humidity=humidities)
@generated(200)
def test_the_humidity_of_a_moisture_is_the_one_it_came_from(celsius: float, humidity: float) -> None:
    back = humidity_for(celsius, equilibrium_moisture(celsius, humidity))
    assert float(back) == pytest.approx(humidity, abs=2e-9)


@given(celsius=temperatures, low=humidities, high=humidities)
@generated(200)
def test_damper_air_keeps_wood_damper(celsius: float, low: float, high: float) -> None:
    low, high = sorted((low, high))
    dry, damp = equilibrium_moisture(celsius, np.array([low, high]))
    assert 0.0 <= dry <= damp < 0.35
    if high - low > 1e-6:
        assert dry < damp


@given(humidity=st.floats(0.05, 1.0), cold=st.floats(20.0, 132.2), by=st.floats(1.0, 60.0))
@generated(100)
def test_above_room_temperature_warmer_air_of_one_humidity_dries_wood(humidity: float, cold: float, by: float) -> None:
    warm = min(cold + by, 132.2)
    assert equilibrium_moisture(warm, humidity) <= equilibrium_moisture(cold, humidity)


def test_bone_dry_air_leaves_no_moisture() -> None:
    np.testing.assert_array_equal(equilibrium_moisture([-30.0, 0.0, 57.5, 131.0], 0.0), np.zeros(4))
    np.testing.assert_allclose(humidity_for([-30.0, 57.5], 0.0), 0.0, atol=1e-9)


def test_numbers_and_arrays_give_the_same_and_spread_over_each_other() -> None:
    celsius, humidity = np.array([-7.5, 3.0, 21.1]), np.array([[0.35], [0.82]])
    both = equilibrium_moisture(celsius, humidity)
    assert both.shape == (2, 3)
    for i, h in enumerate((0.35, 0.82)):
        for j, t in enumerate((-7.5, 3.0, 21.1)):
            assert float(equilibrium_moisture(t, h)) == both[i, j]
    np.testing.assert_allclose(humidity_for(celsius, both), np.broadcast_to(humidity, (2, 3)), atol=2e-9)
    assert equilibrium_moisture([], []).shape == (0,)


@pytest.mark.parametrize("humidity", [-0.001, 1.001, 65.0, float("nan")])
def test_no_air_has_such_a_humidity(humidity: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"^humidity: it lies between 0 and 100 %\.$"):
        equilibrium_moisture([20.0, 5.0], [0.4, humidity])


@pytest.mark.parametrize("celsius", [-40.1, 133.0, float("nan")])
def test_the_equation_is_not_stretched_to_any_temperature(celsius: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"holds up to 132\.2\d* C and is not stretched below -40 C"):
        equilibrium_moisture(celsius, 0.5)


def test_no_air_keeps_wood_so_wet() -> None:
    most = float(equilibrium_moisture(21.0, 1.0))
    assert float(humidity_for(21.0, most)) == pytest.approx(1.0, abs=1e-9)
    for moisture in (most + 1e-6, 0.60, -0.01):
        with pytest.raises(OutOfRangeError, match=r"^moisture: no air keeps wood at that moisture\.$"):
            humidity_for(21.0, moisture)


def test_a_state_inside_the_printed_table_needs_no_note() -> None:
    state = moisture_in_air(14.5, 0.72)
    assert (state.temperature_c, state.humidity, state.notes) == (14.5, 0.72, ())
    assert state.moisture == float(equilibrium_moisture(14.5, 0.72))


@pytest.mark.parametrize(
    ("celsius", "humidity", "said"),
    [
        (20.0, 0.04, ("from 5 to 95 % humidity",)),
        (20.0, 0.97, ("from 5 to 95 % humidity", "differ by several percent")),
        (20.0, 0.88, ("differ by several percent",)),
        (-12.0, 0.70, ("starts at 30 F (-1 C)",)),
        (-12.0, 0.99, ("from 5 to 95 % humidity", "starts at 30 F (-1 C)", "differ by several percent")),
    ],
)
def test_what_lies_outside_the_printed_table_is_told(celsius: float, humidity: float, said: tuple[str, ...]) -> None:
    notes = moisture_in_air(celsius, humidity).notes
    assert len(notes) == len(said)
    assert all(part in note for part, note in zip(said, notes, strict=True))


@pytest.mark.parametrize("fahrenheit", [30.0, 270.0])
@pytest.mark.parametrize("humidity", HUMIDITY_RANGE)
def test_the_first_and_last_row_of_the_printed_table_are_inside_it(fahrenheit: float, humidity: float) -> None:
    """The table runs from 30 to 270 F, both printed; kind: published, FPL-GTR-282, Table 4-2."""
    assert not any("extrapolation" in note for note in moisture_in_air((fahrenheit - 32.0) / 1.8, humidity).notes)


def test_the_range_is_the_tables() -> None:
    coldest, warmest = TEMPERATURE_RANGE_C
    assert (coldest, warmest) == pytest.approx((-2.0 / 1.8, 238.0 / 1.8), abs=0.05)
    assert HUMIDITY_RANGE == (0.05, 0.95)
