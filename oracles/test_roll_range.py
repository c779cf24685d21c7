"""Range of the tool's roll over a region against vectors of an independent linkage.

Random scissor linkages and arms on tilted bases with random caps go through `calotte judge`.
Roll is the angle of the carrier's tangent from the meridian of the base axis at the tool,
right-handed about the tool direction; it depends on the opening (or elbow) alone. Here both are
worked out by turning vectors: polar angles of the covered part are turned into openings by root
finding, the roll between them is followed through whole turns and its ends are refined.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_roll_range.py
"""

from __future__ import annotations

import json
import os
import subprocess
import tomllib
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from designs import design_file, random_design
from linkage_geometry import NoClosure, TwoArcArm, polar_and_azimuth, unit
from program import LONG_FORM
from test_worst_places import TRANSMISSION, opening_range

DESIGNS = 100 if LONG_FORM else 20
#: How far the range may lie off, rad.
TOLERANCE = 1e-9
#: The covered part begins this share of its width inside its edges.
INSIDE = 1e-9


def case(number):
    """A design, the range of its second drive and a cap, rad, base frame; invented, by a fixed seed."""
    random = np.random.default_rng([2641, number])
    while True:
        stages, carried_by = (None, 1, 2, 3)[number % 4], ("left", "right")[number % 2]
        design = random_design(random, number, stages, carried_by)
        if stages is None:
            side = np.sign(design.mechanism_angles[1])
            second = sorted(side * np.radians([random.uniform(20.0, 60.0), random.uniform(110.0, 155.0)]))
        else:
            if number % 3 == 0:
                bracket = np.radians(round(random.uniform(3.0, 12.0), 1))
                design.geometry = replace(design.geometry, bracket_arc=bracket)
            try:
                second = opening_range(design.geometry, design.mechanism_angles[1])
            except NoClosure:
                continue
        polars = sorted(polar_at(design, x) for x in second)
        if polars[0] > np.radians(4.0) and polars[1] - polars[0] > np.radians(15.0):
            break
    middle, half = random.uniform(*polars), np.radians(round(random.uniform(8.0, 40.0), 1))
    return design, second, polars, middle, half


def tool(design, second):
    """The linkage at a second drive's angle, the first at 0.3."""
    return design.geometry.configuration(0.3, second)


def polar_at(design, second):
    """Polar angle of the tool, rad."""
    return polar_and_azimuth(tool(design, second).tool_direction)[0]


def own_range(design, second, polars, middle, half):
    """The range of roll over what is covered, rad."""
    low, high = max(abs(middle - half), polars[0]), min(middle + half, polars[1])
    edge = INSIDE * (high - low)
    ends = []
    for polar in (low + edge, high - edge):
        ends.append(brentq(lambda x, polar=polar: polar_at(design, x) - polar, *second, xtol=1e-15, rtol=1e-15))
    places = np.linspace(*sorted(ends), 401)
    rolls = np.unwrap([tool(design, x).roll() for x in places])
    found = []
    for sign in (1.0, -1.0):
        place = int(np.argmin(sign * rolls))
        near = places[max(place - 1, 0)], places[min(place + 1, len(places) - 1)]

        def at(x, sign=sign, start=rolls[place]):
            turned = tool(design, x).roll() - start
            return sign * (start + (turned + np.pi) % (2.0 * np.pi) - np.pi)

        between = minimize_scalar(at, bounds=near, method="bounded", options={"xatol": 1e-10})
        found.append(sign * min(sign * rolls[place], between.fun))
    return found[1] - found[0]


def rows(folder, design, second, axis, half, limit, carried_by=None):
    """Rows of `calotte judge`, the tool carried as the design says or otherwise."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    limits = "" if limit is None else f"tool_roll_range_deg = {limit!r}"
    if not isinstance(design.geometry, TwoArcArm):
        limits += f"\ntransmission_angle_min_deg = {TRANSMISSION}"
    brief = folder / "brief.toml"
    brief.write_text(
        f"[region]\nshape = \"cap\"\naxis = {axis.tolist()}\nhalf_angle_deg = {np.degrees(half):.10g}\n"
        f"coverage_min = 0.001\n[tool]\nmass_kg = 0.4\ntip_radius_mm = 120\n[limits]\n{limits}\n",
        encoding="utf-8",
    )
    document = tomllib.loads(design_file(design))
    if carried_by is not None:
        document["tool"]["carried_by"] = carried_by
    name = "elbow" if isinstance(design.geometry, TwoArcArm) else "opening"
    document["drives"]["range_deg"] = {name: np.degrees(second).tolist()}
    run = subprocess.run(
        [binary, "judge", str(brief)],
        input=json.dumps(document) + "\n",
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    answer = json.loads(run.stdout)
    assert "requirements" in answer, (run.stderr, answer)
    return {row["quantity"]: row for row in answer["requirements"]}


@pytest.mark.parametrize("number", range(DESIGNS))
def test_range_is_that_of_the_independent_linkage(tmp_path, number):
    design, second, polars, middle, half = case(number)
    base = np.array([design.mount_reference, np.cross(design.mount_axis, design.mount_reference), design.mount_axis])
    azimuth = 0.7 * number
    direction = [np.sin(middle) * np.cos(azimuth), np.sin(middle) * np.sin(azimuth), np.cos(middle)]
    axis = unit(base.T @ direction)
    expected = own_range(design, second, polars, middle, half)
    row = rows(tmp_path, design, second, axis, half, None)["tool_roll_range"]
    assert np.radians(row["predicted_deg"]) == pytest.approx(expected, abs=TOLERANCE), design.name
    if not isinstance(design.geometry, TwoArcArm):
        held = rows(tmp_path, design, second, axis, half, None, "bisector")["tool_roll_range"]
        assert abs(np.radians(held["predicted_deg"])) <= TOLERANCE, "a follower holds the roll"
    # A limit just above is met, one just below is not.
    for share, met in ((1.001, True), (0.999, False)):
        limit = share * row["predicted_deg"]
        judged = rows(tmp_path, design, second, axis, half, limit)["tool_roll_range"]
        assert judged["met"] is met, (design.name, judged)
