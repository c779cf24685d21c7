"""Spherical five-bars of calotte against an independent model, as in test_frame.py.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_five_bar.py
"""

from __future__ import annotations

import json
import os
import subprocess
from math import radians

import numpy as np
import pytest

from five_bar import FiveBar, file_of, five_bar_designs
from frame_model import extrapolated, relative_difference, tip_compliance_by_library
from own_frame import tip_compliance_by_own_frame

#: What the compliance of the program may differ from the oracle, max |dC_ij|/sqrt(C_ii C_jj).
COMPLIANCE_TOLERANCE = 1e-5
PROGRAMS_TOLERANCE = 2e-7
DESIGNS = five_bar_designs()


def test_the_oracle_meets_the_derived_pose():
    """Derived by closed form in another program: base axes at 30 deg, arcs 50 and 60 deg."""
    arcs = [radians(50.0)] * 2, [radians(60.0)] * 2
    geometry = FiveBar(radians(60.0), *arcs, -1)
    linkage = geometry.configuration(radians(127.69247555958), radians(-160.75648890191))
    assert linkage.tool_direction == pytest.approx([0.2, 0.7, 0.6855654600], abs=1e-9)
    assert geometry.elbows_word(linkage) == "out"


@pytest.fixture(scope="module")
def configurations(tmp_path_factory):
    """`configurations[0]` of `analyse --joints --json` for every design, by name."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    folder = tmp_path_factory.mktemp("five_bars")
    found = {}
    for number, design in enumerate(DESIGNS):
        path = folder / f"{number:02d}.toml"
        path.write_text(file_of(design), encoding="utf-8")
        joints = ",".join(repr(float(angle)) for angle in np.degrees(design.active_joints()))
        command = [binary, "analyse", str(path), "--joints", joints, "--json"]
        run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
        if run.returncode not in (0, 1):
            pytest.fail(f"exit {run.returncode} of {' '.join(command)}\n{run.stderr}\n{file_of(design)}")
        (found[design.name],) = json.loads(run.stdout)["configurations"]
    return found


@pytest.mark.parametrize("design", DESIGNS, ids=lambda design: design.name)
def test_five_bar(configurations, design):
    """Direction, roll, passive angles, LCI, compliance and holding torque of one design."""
    found, linkage = configurations[design.name], design.linkage()
    polar, azimuth = (radians(found["direction_deg"][key]) for key in ("polar", "azimuth"))
    direction = [np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth), np.cos(polar)]
    assert np.degrees(np.linalg.norm(direction - linkage.tool_direction)) <= 1e-6
    roll = found["roll_deg"] - np.degrees(linkage.roll() + design.tool_roll)
    assert abs((roll + 180.0) % 360.0 - 180.0) <= 1e-6
    passive = found["passive_deg"]
    assert set(passive) == {"elbow-left", "elbow-right", "apex"}
    for name, angle in linkage.passive_angles.items():
        reported = passive[name.replace(" ", "-")]
        assert min(reported, 360.0 - reported) == pytest.approx(np.degrees(angle), abs=1e-6)
    assert found["lci"] == pytest.approx(design.conditioning_index(), abs=1e-8)

    own = extrapolated(tip_compliance_by_own_frame, design.frame)
    library = extrapolated(tip_compliance_by_library, design.frame)
    assert relative_difference(own, library) <= PROGRAMS_TOLERANCE
    compliance = np.array(found["compliance"], dtype=float)
    assert relative_difference(compliance, own) <= COMPLIANCE_TOLERANCE

    torque = np.array(found["holding_torque_nm"], dtype=float)
    assert np.max(np.abs(torque - design.holding_torque())) / design.weight_moment() <= 1e-8
