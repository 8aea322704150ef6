"""Diffusion in a rectangular section, stepped by exponentials of the discrete Laplacian.

One quarter of the section is cut into cells, finer toward the surface. With m
the moisture, P(m) its potential and e that of the air,

    dm/dt = -D A (P(m) - P(e)),    A = Ax + Ay,

where Ax and Ay are small matrices for one side each, with the resistance of the
surface in their last row, and t runs at 20 C. Write P(m) - P(e) = F (m - e) + rest, with F the
steepest slope of P. The linear part is solved exactly in the eigenbasis of A, the
rest is held over a step (exponential Euler):

    m1 = m0 - (1 - exp(-D F A dt)) (P(m0) - P(e)) / F.

Where P is straight this is exact in time for air that stays. Whatever the step,
m1 stays between the air and the wettest cell: exp(-A dt) has no negative entry and takes no constant
up, and m - P(m) / F never falls with m.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats
from pithline.wood.diffusion_law import Potential

__all__ = ["SHELL_MM", "Axis", "Section", "Stretch", "Trace", "axis", "dry_section"]

SHELL_MM = 12.7
"""Depth of the shell whose mean stands for the surface: as deep as the pins of a meter reach, 1/2 in."""

_CELLS = 20


@dataclass(frozen=True)
class Axis:
    """Half a side, from the center to the surface, for several coefficients at once.

    Attributes: `nodes_mm` and `widths_mm` of the n cells; for each of k bands
    `rates`, the eigenvalues (k, n) [1/mm2], `into` and `back`, the matrices
    (k, n, n) into the eigenbasis and back.
    """

    nodes_mm: Floats
    widths_mm: Floats
    rates: Floats
    into: Floats
    back: Floats


def _faces(half_mm: float, cells: int) -> Floats:
    """Faces of the cells from the center to the surface, one of them where the shell begins."""
    faces = half_mm * np.sin(0.5 * np.pi * np.arange(cells + 1) / cells)
    deep = half_mm - SHELL_MM
    if deep <= 0.0:
        return np.asarray(faces)
    near = int(np.clip(np.argmin(np.abs(faces - deep)), 1, cells - 1))
    inner = faces[: near + 1] * (deep / faces[near])
    outer = half_mm - (half_mm - faces[near + 1 :]) * ((half_mm - deep) / (half_mm - faces[near]))
    return np.concatenate([inner, outer])


def axis(half_mm: float, skin_mm: Sequence[float], *, cells: int = _CELLS) -> Axis:
    """Cells and eigenbasis of half a side.

    Faces lie at a sin(pi i / 2n), a = `half_mm`, moved so that one lies where the shell begins: the cells grow
    finer toward the surface as the moisture grows steeper.

    Parameters
    ----------
    half_mm : float
        From the center to the surface; infinite for a side that has none [mm].
    skin_mm : (k,) float
        Thickness of wood that resists as the surface does, D / h; 0 where the
        surface takes the moisture of the air at once [mm].
    cells : int
        Number of cells n.

    Returns
    -------
    Axis
        A single cell that loses nothing for an infinite side.

    Source
    ------
    definition: finite volumes with two-point flow; the matrix is made symmetric by the square roots of the widths
    """
    skins = np.asarray(skin_mm, dtype=np.float64)
    if np.isinf(half_mm):
        one = np.ones((len(skins), 1, 1))
        return Axis(np.zeros(1), np.ones(1), np.zeros((len(skins), 1)), one, one)
    faces = _faces(half_mm, cells)
    widths, nodes = np.diff(faces), 0.5 * (faces[1:] + faces[:-1])
    inner = 1.0 / np.diff(nodes)
    diagonal = np.concatenate([inner, [0.0]]) + np.concatenate([[0.0], inner])
    matrix = np.diag(diagonal) - np.diag(inner, 1) - np.diag(inner, -1)
    matrices = np.repeat(matrix[None], len(skins), axis=0)
    matrices[:, -1, -1] += 1.0 / (0.5 * widths[-1] + skins)
    root = np.sqrt(widths)
    rates, vectors = np.linalg.eigh(matrices / np.outer(root, root))
    return Axis(nodes, widths, rates, np.swapaxes(vectors, 1, 2) * root, vectors / root[:, None])


@dataclass(frozen=True)
class Section:
    """What dries, and what holds it up.

    Attributes: `thickness_mm` and `width_mm`, which may be infinite for a
    board so wide that only two faces count; `mm2_day`, k coefficients of dry
    wood at 20 C; `skin_mm`, the surface of each, see `axis`.
    """

    thickness_mm: float
    width_mm: float
    mm2_day: tuple[float, ...]
    skin_mm: tuple[float, ...]


@dataclass(frozen=True)
class Stretch:
    """A stretch of time in air that stays: `days` at 20 C, `emc` of the air, in `steps` of the solver."""

    days: float
    emc: float
    steps: int = 1


@dataclass(frozen=True)
class Trace:
    """Moisture after each step, the start first.

    Attributes: `average`, `shell` and `center`, each (steps + 1, k) [fraction];
    `field`, the last moisture of each cell, (k, nx, ny).
    """

    average: Floats
    shell: Floats
    center: Floats
    field: Floats


def _center_weights(nodes_mm: Floats) -> Floats:
    """Weights of a parabola through the two innermost cells, level at the center."""
    weights = np.zeros(len(nodes_mm))
    weights[0] = 1.0
    if len(nodes_mm) > 1:
        near, far = nodes_mm[:2] ** 2
        weights[:2] = far / (far - near), -near / (far - near)
    return weights


def _inside(side: Axis, half_mm: float) -> Floats:
    """How much of each cell lies deeper than the shell [mm]; all of a side that has no surface."""
    if np.isinf(half_mm):
        return side.widths_mm
    ends = np.cumsum(side.widths_mm)
    return np.clip(half_mm - SHELL_MM - (ends - side.widths_mm), 0.0, side.widths_mm)


def _watched(sides: tuple[Axis, Axis], halves_mm: tuple[float, float]) -> tuple[Floats, Floats, Floats]:
    """Weights (nx, ny) of the cells in the average, in the shell and at the center."""
    x, y = sides
    cells = np.outer(x.widths_mm, y.widths_mm)
    shell = cells - np.outer(_inside(x, halves_mm[0]), _inside(y, halves_mm[1]))
    center = np.outer(_center_weights(x.nodes_mm), _center_weights(y.nodes_mm))
    return cells / cells.sum(), shell / shell.sum(), center


def dry_section(
    section: Section, potential: Potential, *, start: float, stretches: Iterable[Stretch], cells: int = _CELLS
) -> Trace:
    """Moisture of a section that dries.

    Parameters
    ----------
    section : Section
        Size, coefficients, surface.
    potential : Potential
        Of the wood.
    start : float
        Moisture of every cell at the start [fraction].
    stretches : iterable of Stretch
        One after the other.
    cells : int
        Along half of each side.

    Returns
    -------
    Trace
        After every step.

    Source
    ------
    the module's head; exponential time stepping is common practice
    """
    halves = 0.5 * section.thickness_mm, 0.5 * section.width_mm
    x, y = (axis(half, section.skin_mm, cells=cells) for half in halves)
    watch = np.stack([weights.ravel() for weights in _watched((x, y), halves)], axis=1)
    steepest = potential.steepest
    speed = steepest * np.asarray(section.mm2_day)[:, None, None] * (x.rates[:, :, None] + y.rates[:, None, :])
    into_y, back_y = np.swapaxes(y.into, 1, 2), np.swapaxes(y.back, 1, 2)
    field = np.full(speed.shape, float(start))
    rows = [field.reshape(len(field), -1) @ watch]
    for stretch in stretches:
        gone = -np.expm1(-speed * (stretch.days / stretch.steps)) / steepest
        air = float(potential.of(stretch.emc))
        for _ in range(stretch.steps):
            inside = x.into @ (potential.of(field) - air) @ into_y
            field = field - x.back @ (gone * inside) @ back_y
            rows.append(field.reshape(len(field), -1) @ watch)
    seen = np.array(rows)
    return Trace(seen[:, :, 0], seen[:, :, 1], seen[:, :, 2], field)
