"""Moisture where a timber serves: cities by name, rooms that are heated and buildings that are not."""

import math
from statistics import fmean

import pytest

from pithline.errors import OutOfRangeError, WoodError
from pithline.wood.air import equilibrium_moisture
from pithline.wood.service import city_climate, city_names, climate_of_air, service_moisture

ROOM_C = 20.0
COLD = ("Portland, ME", "Chicago, IL", "Boston, MA")


@pytest.mark.parametrize("name", city_names())
def test_an_unheated_building_has_the_mean_of_its_months(name: str) -> None:
    climate = city_climate(name)
    service = service_moisture(climate)
    assert service.months == climate.emc
    assert service.mean == pytest.approx(fmean(climate.emc))
    assert (service.low, service.high) == (min(climate.emc), max(climate.emc))


@pytest.mark.parametrize("name", COLD)
def test_a_heated_room_is_driest_in_winter_and_drier_than_outdoors(name: str) -> None:
    climate = city_climate(name)
    room = service_moisture(climate, indoors_c=ROOM_C)
    winter, summer = [room.months[n] for n in (11, 0, 1)], [room.months[n] for n in (5, 6, 7)]
    assert max(winter) < min(summer)
    assert max(winter) < 0.5 * min(climate.emc)
    assert min(room.months) in winter
    assert room.mean < service_moisture(climate).mean


@pytest.mark.parametrize("name", COLD)
def test_a_warmer_room_is_drier_month_by_month(name: str) -> None:
    climate = city_climate(name)
    cool, warm = (service_moisture(climate, indoors_c=c).months for c in (15.0, 25.0))
    assert all(a > b for a, b in zip(cool, warm, strict=True))


def test_a_room_is_never_heated_below_the_air_outdoors() -> None:
    climate = city_climate("Phoenix, AZ")
    room = service_moisture(climate, indoors_c=ROOM_C)
    for outdoors, inside, warm in zip(climate.emc, room.months, climate.temperature_c, strict=True):
        if warm >= ROOM_C:
            assert inside == pytest.approx(outdoors, abs=2e-4)
        else:
            assert inside < outdoors


def vapor_kpa(warm_c: float) -> float:
    """Saturation pressure over water by the Magnus formula with the constants 17.625 and 243.04 (from memory)."""
    return 0.61094 * math.exp(17.625 * warm_c / (warm_c + 243.04))


def test_a_heated_room_worked_by_hand() -> None:
    """Air of 10 C and 80 % brought to 20 C keeps its vapor; derived apart.

    p(10) = 0.61094 exp(17.625 * 10 / 253.04) = 1.226 kPa, p(20) = 2.334 kPa: 0.8 * 1.226 / 2.334 = 0.420.
    """
    humidity = 0.8 * vapor_kpa(10.0) / vapor_kpa(20.0)
    assert humidity == pytest.approx(0.420, abs=0.001)
    climate = climate_of_air("an even year", (10.0,) * 12, humidity=(0.8,) * 12)
    room = service_moisture(climate, indoors_c=20.0)
    expected = float(equilibrium_moisture([20.0], [humidity])[0])
    assert room.months == pytest.approx([expected] * 12, abs=0.0005)
    # At 68 F the printed table of the Wood Handbook lies at 7.7 to 8.0 % for 40 to 42 % humidity (from memory).
    assert room.mean == pytest.approx(0.079, abs=0.003)


@pytest.mark.parametrize(
    ("written", "city"),
    [
        ("Portland, ME", "Portland, ME"),
        ("portland me", "Portland, ME"),
        ("  PORTLAND ,  OR ", "Portland, OR"),
        ("Boston", "Boston, MA"),
        ("chicago", "Chicago, IL"),
        ("new york", "New York, NY"),
    ],
)
def test_a_city_is_found_by_its_name_bare_where_only_one_has_it(written: str, city: str) -> None:
    assert city_climate(written).name == city


def test_a_bare_name_of_two_cities_names_them_both() -> None:
    with pytest.raises(WoodError, match=r"Portland, ME; Portland, OR\."):
        city_climate("Portland")


@pytest.mark.parametrize(
    ("written", "near"), [("Bostn", "Boston, MA"), ("Atlantis", "Atlanta, GA"), ("Chcago", "Chicago, IL")]
)
def test_an_unknown_city_names_the_nearest(written: str, near: str) -> None:
    with pytest.raises(WoodError) as caught:
        city_climate(written)
    assert f"are: {near}" in str(caught.value)
    assert "twelve months" in str(caught.value)


@pytest.mark.parametrize("written", ["", " ", ",", "x" * 10_000])
def test_a_name_that_is_none_is_refused_in_one_short_sentence(written: str) -> None:
    with pytest.raises(WoodError) as caught:
        city_climate(written)
    assert len(str(caught.value)) < 260


@pytest.mark.parametrize(
    ("temperatures", "humidities"),
    [
        ((10.0,) * 11, (0.7,) * 12),
        ((10.0,) * 12, (0.7,) * 13),
        ((60.0,) * 12, (0.7,) * 12),
        ((10.0,) * 12, (0.0,) * 12),
    ],
)
def test_air_that_makes_no_year_is_refused(temperatures: tuple[float, ...], humidities: tuple[float, ...]) -> None:
    with pytest.raises(WoodError):
        climate_of_air("here", temperatures, humidity=humidities)


def test_a_room_hotter_than_the_equation_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        service_moisture(city_climate("Boston"), indoors_c=150.0)


def test_notes_tell_what_was_recalled_and_that_a_room_is_damper_lived_in() -> None:
    climate = city_climate("Portland, ME")
    outdoors, room = service_moisture(climate), service_moisture(climate, indoors_c=ROOM_C)
    assert set(climate.notes) < set(outdoors.notes) < set(room.notes)
    assert any("damper" in note for note in room.notes)
