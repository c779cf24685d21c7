"""Runs the program under test on design files and reads its JSON."""

from __future__ import annotations

import json
import os
import subprocess

import numpy as np
import pytest

#: Set to anything for more random designs.
LONG_FORM = bool(os.environ.get("CALOTTE_LONG"))


def configuration_of(path, text, active_joints):
    """`configurations[0]` of `analyse --joints --json` for a design file's text; joints in rad.

    The file is written to `path`. Fails the test with the program's own words.
    """
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    path.write_text(text, encoding="utf-8")
    joints = np.degrees(active_joints)
    command = [binary, "analyse", str(path), "--joints", ",".join(repr(float(angle)) for angle in joints)]
    command.append("--json")
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    if run.returncode != 0:
        pytest.fail(f"exit {run.returncode} of {' '.join(command)}\n{run.stderr}\n{text}")
    (configuration,) = json.loads(run.stdout)["configurations"]
    assert configuration["joints_deg"] == pytest.approx(joints.tolist(), abs=1e-9)
    return configuration


def analysis_of(path):
    """`analyse --json` of a design file, whatever its verdict."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    command = [binary, "analyse", str(path), "--json"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    if run.returncode not in (0, 1):
        pytest.fail(f"exit {run.returncode} of {' '.join(command)}\n{run.stderr}\n{path.read_text()}")
    return json.loads(run.stdout)
