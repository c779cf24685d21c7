"""Index under load, against finite differences of the deflected tip of an independent frame.

The tip of the frame stands at x(q) + C(q) f: moved by differences over the active joints,
its velocity across the tool over the tip radius gives the singular values. The program
answers for a region of one direction, over which mean and minimum are the index there.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_under_load.py
"""

from __future__ import annotations

import json
import os
import subprocess

import numpy as np
import pytest
from scipy.optimize import minimize

from designs import degrees, design_file, random_designs
from frame_model import extrapolated, frame_of
from linkage_geometry import local_frame, polar_and_azimuth
from own_frame import tip_compliance_by_own_frame

#: Relative difference allowed between the program and the frame.
TOLERANCE = 1e-6
#: Step of the differences over an active joint angle, rad, of sixth order.
STEP = 4e-3
DESIGNS = random_designs()[:6]


def compliance(design, linkage):
    """6x6 at the tip, local frame, of the frame in the configuration of `linkage`."""
    return extrapolated(
        tip_compliance_by_own_frame,
        lambda n: frame_of(
            linkage,
            design.material,
            design.section,
            design.joints,
            design.joint_radius,
            design.tip_radius,
            n,
            design.boss_diameter,
        ),
    )


def index_under_load(design, force, in_world):
    """sigma_min / sigma_max of the deflected tip across the tool; `force` local or base frame."""
    active = design.active_joints()
    nominal = local_frame(design.linkage().tool_direction)
    base_force = np.asarray(force) if in_world else None

    def tip(angles):
        linkage = design.linkage(angles)
        frame = local_frame(linkage.tool_direction)
        local = frame @ base_force if in_world else np.asarray(force)
        moved = compliance(design, linkage)[:3, :3] @ local
        return design.tip_radius * linkage.tool_direction + frame.T @ moved

    columns = []
    for index in range(2):
        shift = np.zeros(2)
        shift[index] = STEP * design.ratio[index]
        first, second, third = (tip(active + n * shift) - tip(active - n * shift) for n in (1, 2, 3))
        columns.append((45.0 * first - 9.0 * second + third) / (60.0 * shift[index]))
    across = nominal[:2] @ np.array(columns).T / design.tip_radius
    values = np.linalg.svd(across, compute_uv=False)
    return values[-1] / values[0]


def brief(design, load):
    """A brief of the design's own direction and one load."""
    polar, azimuth = polar_and_azimuth(design.linkage().tool_direction)
    axis, reference = design.mount_axis.tolist(), design.mount_reference.tolist()
    return f"""
[region]
shape = "points"
axis = {axis}
reference = {reference}
points_deg = [[{float(np.degrees(polar))!r}, {float(np.degrees(azimuth))!r}]]
[tool]
tip_radius_mm = {float(round(design.tip_radius * 1e3, 9))!r}
{load}
[joints]
rigid = true
"""


def analysis(tmp_path, design, load):
    """What `calotte analyse --brief --json` says."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    (tmp_path / "design.toml").write_text(design_file(design), encoding="utf-8")
    (tmp_path / "brief.toml").write_text(brief(design, load), encoding="utf-8")
    command = [binary, "analyse", "design.toml", "--brief", "brief.toml", "--json"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False, cwd=tmp_path)
    if run.returncode not in (0, 1):
        pytest.fail(f"exit {run.returncode}\n{run.stderr}")
    return json.loads(run.stdout)


@pytest.mark.parametrize("design", DESIGNS, ids=lambda design: design.name)
@pytest.mark.parametrize("in_world", [False, True])
def test_index_under_load(tmp_path, design, in_world):
    force = [30.0, -20.0, 25.0]
    parts = dict(zip(("polar", "azimuth", "radial"), force))
    to_base = np.array(
        [design.mount_reference, np.cross(design.mount_axis, design.mount_reference), design.mount_axis]
    )
    written = ", ".join(f"{name} = {value}" for name, value in parts.items())
    if in_world:
        written = f"world = {(to_base.T @ np.array(force)).tolist()}"
    found = analysis(tmp_path, design, f'[[load]]\nname = "load"\nforce_n = {{ {written} }}')
    (under,) = found["conditioning_under_load"]
    assert under["direction"] == ("fixed in the world" if in_world else "turning with the tool")
    wanted = index_under_load(design, force, in_world)
    got = under["structure"]["lci_min"]
    assert got == pytest.approx(wanted, rel=TOLERANCE)
    assert under["structure"]["gci"] == pytest.approx(got, rel=1e-9)
    # The load moves the index by much more than the tolerance, or nothing is tested.
    rigid = found["conditioning"]["lci_min"]
    assert abs(got / rigid - 1.0) > 10.0 * TOLERANCE


@pytest.mark.parametrize("design", DESIGNS[:3], ids=lambda design: design.name)
def test_any_direction_against_an_optimiser(tmp_path, design):
    """Centre shift and deflection by a force of any direction beside a fixed moment."""
    moment = np.array([0.4, -0.3, 0.2])
    size = 12.0
    load = (
        '[[load]]\nname = "hand"\nforce_n = { size = 12, direction = "any" }\n'
        "moment_nm = { polar = 0.4, azimuth = -0.3, radial = 0.2 }"
    )
    found = {row["quantity"]: row for row in analysis(tmp_path, design, load)["requirements"]}
    c = compliance(design, design.linkage())
    shift = np.zeros((2, 6))
    shift[0, 0] = shift[1, 1] = 1.0
    shift[0, 4], shift[1, 3] = -design.tip_radius, design.tip_radius
    turn = np.zeros((2, 6))
    turn[0, 3] = turn[1, 4] = 1.0
    for name, unit, scale, rows in [
        ("contact_deflection", "mm", 1e3, np.eye(6)[:3]),
        ("centre_shift", "mm", 1e3, shift),
        ("tool_tilt", "deg", 180.0 / np.pi, turn),
    ]:
        by_force, fixed = rows @ c[:, :3], rows @ c[:, 3:] @ moment
        scale_of = np.linalg.norm(by_force) * size

        def loss(angles):
            polar, azimuth = angles
            force = size * np.array(
                [np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth), np.cos(polar)]
            )
            return -np.linalg.norm(by_force @ force + fixed) / scale_of

        random = np.random.default_rng(14)
        starts = random.uniform([0.0, 0.0], [np.pi, 2.0 * np.pi], (20, 2))
        best = max(-minimize(loss, start, tol=1e-14).fun for start in starts) * scale_of
        got = found[name][f"predicted_{unit}"] / scale
        assert got == pytest.approx(best, rel=2e-5), name
