"""The table of months for cities: whole years, values that air outdoors can have, and sources that are explained."""

from collections import Counter
from importlib import resources

import pytest

from pithline.tables import STATUSES, read_table

TABLE = read_table("pithline.wood", "city_months")
CITIES = tuple(dict.fromkeys(row["city"] for row in TABLE.rows))
READ_F = {
    "Chicago, IL": (23.8, 27.7, 37.9, 48.9, 59.1, 68.9, 74.0, 72.4, 64.6, 52.5, 40.3, 27.7),
    "Denver, CO": (29.2, 33.2, 39.6, 47.6, 57.2, 67.6, 73.4, 71.7, 62.4, 51.0, 37.5, 30.3),
    "Madison, WI": (19.4, 23.0, 34.4, 46.3, 58.1, 68.0, 71.9, 69.7, 62.0, 49.7, 36.7, 25.3),
    "New York, NY": (32.6, 35.3, 42.5, 53.0, 62.4, 71.4, 76.5, 75.2, 68.0, 56.9, 47.7, 37.5),
}


def year_of(city, column):
    return [float(row[column]) for row in TABLE.rows if row["city"] == city]


def test_the_table_has_the_columns_and_units_that_its_reader_needs():
    assert TABLE.units["emc"] == "% of dry mass"
    assert TABLE.units["mean_temperature_c"] == "deg C"
    assert list(TABLE.units) == [
        "city",
        "month",
        "emc",
        "emc_status",
        "emc_source",
        "mean_temperature_c",
        "temperature_status",
        "temperature_source",
    ]
    assert len(CITIES) == 17  # frozen: the places of the moisture table, each once


@pytest.mark.parametrize("city", CITIES)
def test_a_city_has_its_twelve_months_in_order(city):
    assert [row["month"] for row in TABLE.rows if row["city"] == city] == [str(month) for month in range(1, 13)]


@pytest.mark.parametrize("city", CITIES)
def test_equilibrium_moisture_is_that_of_wood_outdoors(city):
    # Common practice: 4 to 20 % holds deserts and wet coasts alike.
    assert all(4.0 <= emc <= 20.0 for emc in year_of(city, "emc"))


@pytest.mark.parametrize("city", CITIES)
def test_temperature_follows_the_seasons_of_the_north(city):
    # Common practice: monthly means where people live, warmest June to September, coldest December to February.
    year = year_of(city, "mean_temperature_c")
    assert all(-25.0 <= temperature <= 40.0 for temperature in year)
    assert year.index(max(year)) + 1 in (6, 7, 8, 9)
    assert year.index(min(year)) + 1 in (12, 1, 2)


@pytest.mark.parametrize("city", CITIES)
def test_temperature_rises_to_one_summit_and_falls_from_it(city):
    # Derived apart: normals of thirty years have one summit, so a mistyped month shows as a second one.
    year = year_of(city, "mean_temperature_c")
    coldest = year.index(min(year))
    turned = year[coldest:] + year[:coldest]
    summit = turned.index(max(turned))
    assert turned[: summit + 1] == sorted(turned[: summit + 1])
    assert turned[summit:] == sorted(turned[summit:], reverse=True)


def test_statuses_are_known_words_and_say_what_was_read():
    for column in ("emc_status", "temperature_status"):
        assert {row[column] for row in TABLE.rows} <= set(STATUSES) & {"seen", "memory"}
    # Frozen: the cities that were read.
    assert {row["city"] for row in TABLE.rows if row["emc_status"] == "seen"} == {"Phoenix, AZ"}
    assert {row["city"] for row in TABLE.rows if row["temperature_status"] == "seen"} == set(READ_F)


@pytest.mark.parametrize("city", READ_F)
def test_a_city_has_the_daily_means_that_were_read(city):
    # Published: NOAA normals in degrees F, as the provenance file says; the table holds them rounded to 0.1 C.
    expected = [(value - 32.0) / 1.8 for value in READ_F[city]]
    assert year_of(city, "mean_temperature_c") == pytest.approx(expected, abs=0.05 + 1e-9)


@pytest.mark.parametrize(
    ("source", "status", "keys"),
    [
        ("emc_source", "emc_status", {"handbook-2021": "seen", "note-1998": "memory"}),
        (
            "temperature_source",
            "temperature_status",
            {
                "normals-2010-ohare": "seen",
                "normals-2010-central-park": "seen",
                "normals-2000-stapleton": "seen",
                "normals-2020-madison": "seen",
                "normals-2010-recalled": "memory",
            },
        ),
    ],
)
def test_a_source_is_explained_beside_the_table_and_has_one_status(source, status, keys):
    text = (resources.files("pithline.wood") / "city_months.md").read_text(encoding="utf-8")
    pairs = Counter((row[source], row[status]) for row in TABLE.rows)
    assert set(pairs) == set(keys.items())
    assert all(f"| `{key}` |" in text for key in keys)
