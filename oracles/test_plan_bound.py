"""How good a plan of `calotte measure plan` can be at all: a bound by duality.

The least eigenvalue of the information matrix of N configurations is at most N times
max over configurations of tr(E B), for every matrix E of trace 1 that is not negative (B being
what one configuration brings). Weights on configurations and such matrices are improved in
turns until both sides nearly meet (soft minimum, mirror descent), so that the bound is sharp.
Derivatives by complex steps of the campaigns' own linkage, not the program's.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_plan_bound.py
"""

from __future__ import annotations

import json
import os
import subprocess

import numpy as np
import pytest

from nominal_linkage import OPENING_RANGE, SWING_RANGE, Nominal

COUNT = 30
NOISE_MM = 0.1
ROUNDS = 2500
#: Errors that workshops leave, as docs/theory/measurement.md has them.
TYPICAL = {
    "first_arc_deg": 0.2,
    "second_arc_deg": 0.2,
    "bend_deg": 0.2,
    "tilt_x_deg": 0.2,
    "tilt_y_deg": 0.2,
    "zero_deg": 0.5,
    "backlash_deg": 0.1,
    "scale": 1e-3,
    "offset_x_mm": 0.3,
    "offset_y_mm": 0.3,
    "radius_mm": 1.0,
    "along_mm": 1.0,
    "across_mm": 1.0,
}
SIDES = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)]
#: Scales of the tracker's pose: rad, mm.
TURN, SHIFT = 1e-2, 1.0


def planned(folder, nominal):
    """The program's plan for a design."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    design = folder / "design.toml"
    design.write_text(nominal.design_file(), encoding="utf-8")
    command = [binary, "measure", "plan", str(design), "--count", str(COUNT), "--json"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


def derivatives(linkage, names, readings, sides):
    """Rows x 3 x (parameters, then the tracker's pose), in errors of typical size, mm."""
    nominal, step = dict(linkage.parameters), 1e-20
    columns = []
    for name in names:
        kind = name.split(".")[1]
        if kind == "backlash_deg":
            joint = linkage.active.index(name.split(".")[0])
            shift = np.zeros_like(readings)
            shift[:, joint] = 1e-3
            by_reading = np.real(linkage.sensor(readings + shift) - linkage.sensor(readings - shift)) / 2e-3
            column = -0.5 * sides[:, [joint]] * by_reading
        else:
            linkage.parameters = nominal | {name: nominal[name] + 1j * step}
            column = np.imag(linkage.sensor(readings)) / step
            linkage.parameters = dict(nominal)
        columns.append(column * TYPICAL[kind])
    places = np.real(linkage.sensor(readings))
    columns += [np.cross(axis, places) * TURN for axis in np.eye(3)]
    columns += [np.broadcast_to(axis * SHIFT, places.shape) for axis in np.eye(3)]
    return np.stack(columns, axis=-1)


def readings_of(nominal, swing, opening):
    if nominal.layout == "two-bars":
        return np.column_stack([swing + opening / 2.0, swing - opening / 2.0])
    return np.column_stack([swing, opening])


def bound(blocks):
    """Least upper bound found of the greatest least eigenvalue of a weighted mean of blocks."""
    weights = np.full(len(blocks), 1.0 / len(blocks))
    best, least_bound = 0.0, np.inf
    for turn in range(ROUNDS):
        values, vectors = np.linalg.eigh(np.tensordot(weights, blocks, 1))
        best = max(best, values[0])
        soft = np.exp(-40.0 * (1.0 + turn / 100.0) / best * (values - values[0]))
        matrix = (vectors * (soft / soft.sum())) @ vectors.T
        gains = np.einsum("rij,ij->r", blocks, matrix)
        least_bound = min(least_bound, gains.max())
        weights *= np.exp(0.5 / np.sqrt(1.0 + turn / 20.0) * (gains / gains.max() - 1.0))
        weights /= weights.sum()
    return least_bound, best


@pytest.mark.parametrize(
    ("layout", "proximal", "distal"),
    [
        ("two-bars", [46.0], [49.0]),
        ("two-bars", [22.0, 22.0], [23.0, 23.0]),
        ("swing-and-opening", [22.0, 22.0], [23.0, 23.0]),
    ],
)
def test_plans_come_near_what_any_plan_can_reach(tmp_path, layout, proximal, distal):
    nominal = Nominal("scissor", None, proximal, distal, [0.0] * (len(proximal) - 1), layout=layout)
    plan = planned(tmp_path, nominal)
    names = plan["chosen_for"]
    swing, opening = (
        grid.ravel() for grid in np.meshgrid(np.linspace(*SWING_RANGE, 25), np.linspace(*OPENING_RANGE, 23))
    )
    readings = readings_of(nominal, swing, opening)
    linkage = nominal.physical()
    blocks = []
    for side in SIDES:
        found = derivatives(linkage, names, readings, np.tile(side, (len(readings), 1)))
        blocks.append(np.einsum("rki,rkj->rij", found, found))
    greatest, reached = bound(np.concatenate(blocks))
    greatest, reached = (np.sqrt(COUNT * value) / NOISE_MM for value in (greatest, reached))
    random = np.random.default_rng(1)
    of_random = []
    for _ in range(100):
        drawn = readings_of(nominal, random.uniform(*SWING_RANGE, COUNT), random.uniform(*OPENING_RANGE, COUNT))
        sides = random.choice([-1.0, 1.0], (COUNT, 2))
        matrix = derivatives(linkage, names, drawn, sides).reshape(3 * COUNT, -1)
        of_random.append(np.linalg.svd(matrix, compute_uv=False)[-1] / NOISE_MM)
    median = np.median(of_random)
    value = plan["minimum_singular_value"]
    print(
        f"\n{layout} {len(proximal)}: plan {value:.3f}, any plan at most {greatest:.3f} "
        f"(shares of configurations reach {reached:.3f}), random {median:.3f}: "
        f"{value / median:.2f} of {greatest / median:.2f} times"
    )
    assert reached > 0.9 * greatest
    # The program may go a little beyond this grid's ends, within its own margins.
    assert 0.85 * greatest < value < 1.05 * greatest
    assert plan["minimum_singular_value_of_random"]["median"] == pytest.approx(median, rel=0.25)
