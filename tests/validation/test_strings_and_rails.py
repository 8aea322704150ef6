"""Sag of strings and rails against mechanics.

Simple beams: structural mechanics chart of TU Delft ("forget-me-nots"), read: a uniform load w sags
5 w l^4 / (384 E I), a load P at the center P l^3 / (48 E I). The sizes are those of a framing member of 38 x 89 mm
(1 1/2 x 3 1/2 in) of spruce-pine-fir, E 9.65 GPa, 1.6 kg a meter, under a saw of 12 kg. String: the catenary.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from conftest import Outside
from pithline.setup import Rail, rail_sag_mm, string_sag_mm

G = 9.80665
MEMBER = Rail(
    length_mm=4_000.0,
    thickness_mm=89.0,
    width_mm=38.0,
    stiffeners=1,
    member_breadth_mm=38.0,
    member_depth_mm=89.0,
    modulus_mpa=9_650.0,
    mass_kg_m=1.6,
    sag_limit_mm=2.0,
)
STIFF = 9_650.0 * 38.0 * 89.0**3 / 12.0
CHART = "TU Delft structural mechanics chart, simple beams"


def test_both_loads_of_the_chart_apart(outside: Outside) -> None:
    weightless = Rail(**{**MEMBER.__dict__, "mass_kg_m": 0.0})
    outside(
        source=CHART,
        what="load at the center, 12 kg, span 2.4 m: P l^3 / (48 E I)",
        printed=12.0 * G * 2_400.0**3 / (48.0 * STIFF),
        ours=rail_sag_mm(weightless, 2_400.0, saw_kg=12.0),
        unit="mm",
        within=1e-9,
        kind="analytic",
    )
    outside(
        source=CHART,
        what="own weight, 1.6 kg/m, span 2.4 m: 5 w l^4 / (384 E I)",
        printed=5.0 * 1.6e-3 * G * 2_400.0**4 / (384.0 * STIFF),
        ours=rail_sag_mm(MEMBER, 2_400.0, saw_kg=0.0),
        unit="mm",
        within=1e-9,
        kind="analytic",
    )


def deflection_mm(span: float) -> float:
    """Greatest deflection by a boundary-value solver: E I w'''' = load, half of the beam."""
    half = 0.5 * span
    own, saw = 1.6e-3 * G, 12.0 * G

    def slopes(x, state):
        # Deflection, slope, moment and shear of a beam: w' = t, t' = -M / EI, M' = V, V' = -q.
        return np.vstack([state[1], -state[2] / STIFF, state[3], np.full_like(x, -own)])

    def ends(left, right):
        # On its support: no deflection, no moment. At midspan: level, and half of the saw in shear.
        return np.array([left[0], left[2], right[1], right[3] - 0.5 * saw])

    answer = solve_bvp(slopes, ends, np.linspace(0.0, half, 9), np.zeros((4, 9)), tol=1e-9)
    assert answer.success
    return float(answer.y[0, -1])


@pytest.mark.parametrize("span_m", [1.2, 1.8, 2.4, 3.0, 3.6])
def test_a_rail_on_edge_sags_as_a_boundary_value_solver_finds(outside: Outside, span_m: float) -> None:
    outside(
        source="scipy.integrate.solve_bvp, Euler-Bernoulli beam",
        what=f"38 x 89 mm on edge, own weight and saw, span {span_m} m",
        printed=deflection_mm(1_000.0 * span_m),
        ours=rail_sag_mm(MEMBER, 1_000.0 * span_m, saw_kg=12.0),
        unit="mm",
        within=1e-4,
        kind="oracle",
    )


def hangs_mm(length: float, at: float, *, mass_g_m: float, tension_n: float) -> float:
    """How far a catenary hangs below its ends, its pull at the lowest point being the tension."""
    a = tension_n / (mass_g_m * G / 1e6)
    return a * (math.cosh(0.5 * length / a) - math.cosh((at - 0.5 * length) / a))


@pytest.mark.parametrize("tension", [20.0, 50.0, 100.0])
@pytest.mark.parametrize("length_m", [4, 6, 8, 10])
def test_a_string_hangs_as_a_catenary(outside: Outside, length_m: int, tension: float) -> None:
    length = 1_000.0 * length_m
    outside(
        source="The catenary",
        what=f"string of 1.4 g/m over {length_m} m, pulled with {tension:g} N, at midspan",
        printed=hangs_mm(length, 0.5 * length, mass_g_m=1.4, tension_n=tension),
        ours=string_sag_mm(length, 0.5 * length, mass_g_m=1.4, tension_n=tension),
        unit="mm",
        within=1e-4,
        kind="analytic",
    )


def test_a_string_hangs_less_near_its_ends(outside: Outside) -> None:
    outside(
        source="The catenary",
        what="string of 1.4 g/m over 6.4 m, pulled with 50 N, a third of the way",
        printed=hangs_mm(6_400.0, 6_400.0 / 3.0, mass_g_m=1.4, tension_n=50.0),
        ours=string_sag_mm(6_400.0, 6_400.0 / 3.0, mass_g_m=1.4, tension_n=50.0),
        unit="mm",
        within=1e-4,
        kind="analytic",
    )
