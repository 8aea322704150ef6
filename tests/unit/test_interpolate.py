"""Monotone interpolation: through the points, between them, and never beyond them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from pithline.errors import OutOfRangeError
from pithline.logs.interpolate import monotone
from strategies import generated


@st.composite
def knots(draw: st.DrawFn, *, least: int = 2) -> tuple[np.ndarray, np.ndarray]:
    """Knots at uneven places, values with plateaus and turns."""
    count = draw(st.integers(least, 9))
    gaps = [draw(st.floats(1.0, 2_000.0)) for _ in range(count)]
    values = draw(
        st.lists(
            st.one_of(
                st.sampled_from([0.0, 250.0]),
                st.floats(-500.0, 500.0).map(lambda value: round(value, 4)),
            ),
            min_size=count,
            max_size=count,
        )
    )
    return np.cumsum(gaps), np.array(values)


def stretch(x: np.ndarray) -> np.ndarray:
    return np.clip(np.sort(np.concatenate([x, np.linspace(x[0], x[-1], 211)])), x[0], x[-1])


@generated(150)
@given(knots(least=3))
def test_it_is_the_curve_that_scipy_draws(points):
    x, y = points
    at = stretch(x)
    # Rounding alone stands between two codes of one formula.
    assert monotone(x, y, at=at) == pytest.approx(PchipInterpolator(x, y)(at), rel=1e-9, abs=1e-9)


@generated(100)
@given(knots())
def test_it_stays_between_its_neighbors(points):
    x, y = points
    at = stretch(x)
    piece = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    low, high = np.minimum(y[piece], y[piece + 1]), np.maximum(y[piece], y[piece + 1])
    values = monotone(x, y, at=at)
    assert np.all(values >= low - 1e-9)
    assert np.all(values <= high + 1e-9)
    assert monotone(x, y, at=x) == pytest.approx(y, abs=1e-9)


@generated(60)
@given(knots())
def test_turned_end_for_end_it_is_the_same_curve(points):
    x, y = points
    at = stretch(x)
    back = monotone(-x[::-1], y[::-1], at=-at[::-1])[::-1]
    assert back == pytest.approx(monotone(x, y, at=at), rel=1e-9, abs=1e-9)


def test_two_points_are_joined_by_a_straight_line():
    x, y = np.array([100.0, 4300.0]), np.array([412.0, 287.0])
    at = np.array([100.0, 1150.0, 2200.0, 4300.0])
    assert monotone(x, y, at=at) == pytest.approx([412.0, 380.75, 349.5, 287.0])


@pytest.mark.parametrize(
    ("x", "at", "told"),
    [
        ([0.0], [0.0], "at least two"),
        ([0.0, 500.0, 500.0], [100.0], "each greater than the one before"),
        ([0.0, 500.0, 400.0], [100.0], "each greater than the one before"),
        ([0.0, 500.0, 900.0], [-0.5], "outside 0 to 900 mm"),
        ([0.0, 500.0, 900.0], [900.5], "outside 0 to 900 mm"),
    ],
)
def test_it_refuses_what_it_has_no_measure_for(x, at, told):
    with pytest.raises(OutOfRangeError, match=told):
        monotone(np.array(x), np.arange(float(len(x))), at=np.array(at))
