"""Worst values over a region against dense sampling of an independent model.

Random linkages on tilted bases with random regions and loads go through `calotte judge`; its
worst values may be better than what an independent frame shows by at most 0.5 %.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_worst_places.py
"""

from __future__ import annotations

import json
import os
import subprocess
import tomllib

import numpy as np
import pytest

from dense_places import Cap, Load, worst_values
from designs import design_file, random_design
from linkage_geometry import NoClosure, polar_and_azimuth, unit
from program import LONG_FORM

#: How far the program may lie on the unsafe side of what was sampled, and on the safe one.
UNSAFE, SAFE = 5e-3, 2e-2
#: Designs judged, and openings sampled of each.
DESIGNS, OPENINGS = (200, 90) if LONG_FORM else (10, 45)
#: Least transmission angle of the briefs, deg.
TRANSMISSION = 20.0


def opening_range(geometry, opening):
    """Openings about one at which the linkage keeps off singularities, rad."""

    def polar_at(x):
        half_angles = np.degrees(geometry.half_angles(x))
        distal = 2.0 * half_angles[:, 1]
        if distal.min() < TRANSMISSION + 1.0 or distal.max() > 179.0 - TRANSMISSION:
            raise NoClosure("too near a type 2 singularity")
        return polar_and_azimuth(geometry.configuration(0.0, x).tool_direction)[0]

    step = np.radians(1.0)
    rising = np.sign(polar_at(opening + 0.1 * step) - polar_at(opening))
    ends = []
    for direction in (-1.0, 1.0):
        x, here = opening, polar_at(opening)
        while True:
            try:
                there = polar_at(x + direction * step)
            except NoClosure:
                break
            if np.sign(there - here) != direction * rising or not 0.05 < there < 3.0:
                break
            x, here = x + direction * step, there
        ends.append(x)
    return ends


def case(number):
    """A design with the range of its opening, a region and loads; invented, by a fixed seed."""
    random = np.random.default_rng([2614, number])
    while True:
        design = random_design(random, number, (1, 2, 2, 3)[number % 4], ("left", "right")[number % 2])
        lo, hi = opening_range(design.geometry, design.mechanism_angles[1])
        if hi - lo > np.radians(15.0):
            break
    polars = [
        polar_and_azimuth(design.geometry.configuration(0.0, x).tool_direction)[0] for x in (lo, hi)
    ]
    axes = np.array([design.mount_reference, np.cross(design.mount_axis, design.mount_reference), design.mount_axis])
    polar, azimuth = random.uniform(*sorted(polars)), random.uniform(0.0, 2.0 * np.pi)
    middle = np.array([np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth), np.cos(polar)])
    cap = Cap(unit(axes.T @ middle), np.radians(round(random.uniform(10.0, 60.0), 1)))
    loads = [
        Load("turns", np.round(random.normal(size=3), 2), False),
        Load("stands", np.round(random.normal(size=3), 2), True),
    ]
    return design, (lo, hi), cap, loads


def brief_text(design, cap, loads):
    """The brief as TOML text."""
    lines = [
        f"region = {{ shape = \"cap\", axis = {cap.axis.tolist()}, "
        f"half_angle_deg = {np.degrees(cap.half_angle):.10g}, coverage_min = 0.001 }}",
        f"tool = {{ mass_kg = {design.tool_mass}, tip_radius_mm = {design.tip_radius * 1e3:.10g}, "
        f"centre_of_mass_radius_mm = {design.centre_of_mass_radius * 1e3:.10g} }}",
        f"limits = {{ transmission_angle_min_deg = {TRANSMISSION} }}",
    ]
    for load in loads:
        force = load.force.tolist()
        written = (
            f"{{ world = {force} }}"
            if load.in_world
            else f"{{ polar = {force[0]}, azimuth = {force[1]}, radial = {force[2]} }}"
        )
        lines.append(f'[[load]]\nname = "{load.name}"\non = "tip"\nforce_n = {written}')
    return "\n".join(lines) + "\n"


def judged(folder, design, opening, cap, loads):
    """Predicted worst values of the program, SI, by row and load."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    brief = folder / "brief.toml"
    brief.write_text(brief_text(design, cap, loads), encoding="utf-8")
    document = tomllib.loads(design_file(design))
    document["drives"]["range_deg"] = {"opening": np.degrees(opening).tolist()}
    command = [binary, "judge", str(brief)]
    run = subprocess.run(
        command, input=json.dumps(document) + "\n", capture_output=True, text=True, timeout=300, check=False
    )
    answer = json.loads(run.stdout)
    rows = answer.get("requirements")
    if rows is None:
        pytest.fail(f"{run.stderr}\n{run.stdout[:2000]}\n{brief.read_text()}")
    factors = {
        "minimum_translational_stiffness": ("predicted_n_per_mm", 1e3),
        "sag": ("predicted_mm", 1e-3),
        "contact_deflection": ("predicted_mm", 1e-3),
        "holding_torque": ("predicted_nm", 1.0),
    }
    found = {}
    for row in rows:
        if row["quantity"] in factors:
            key, factor = factors[row["quantity"]]
            value = row[key]
            found[row.get("load") or row["quantity"]] = None if value is None else value * factor
    return found


@pytest.mark.parametrize("number", range(DESIGNS))
def test_nothing_sampled_is_worse_than_what_is_predicted(tmp_path, number):
    design, opening, cap, loads = case(number)
    dense = worst_values(design, np.linspace(*opening, OPENINGS), cap, loads)
    found = judged(tmp_path, design, opening, cap, loads)
    if dense is None:
        assert all(value is None for name, value in found.items() if name != "holding_torque")
        return
    found["compliance"] = 1.0 / found.pop("minimum_translational_stiffness")
    for name, value in dense.items():
        assert found[name] >= value * (1.0 - UNSAFE), (design.name, name, found[name], value)
        # Samples stop short of the worst place, by no more than lies between two of them.
        if LONG_FORM:
            assert found[name] <= value * (1.0 + 10 * SAFE), (design.name, name, found[name], value)
