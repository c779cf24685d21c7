"""The invented bench campaign of `examples/head-dome/bench`: planted faults are found, what
cannot be told is said. How the files are made: bench_example.py.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_bench_example.py
"""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import numpy as np
import pytest

from bench_example import FRICTION_MM, PLAY_MM, POINTS, SOFTER, TWO_FAULTS, bench, two_faults

BENCH = Path(__file__).parent.parent / "examples" / "head-dome" / "bench"


def numbers(text):
    """All numbers of a CSV's data rows."""
    rows = [line for line in text.splitlines() if line and not line.startswith("#")][1:]
    cells = [cell for row in rows for cell in row.split(",")]
    return np.array([float(cell) for cell in cells if cell.replace(".", "").strip("-").isdigit()])


@pytest.fixture(scope="module")
def document():
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    command = [binary, "measure", "fit", str(BENCH / "design.toml"), str(BENCH / "points.csv")]
    command += ["--weights", str(BENCH / "weights.csv"), "--json"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert run.returncode == 1, run.stderr
    return json.loads(run.stdout)


def found(parameters, name):
    return next(one for one in parameters if one["name"] == name)


def test_the_files_are_those_of_the_generator(tmp_path):
    points, weights, truth = bench(tmp_path, (BENCH / "design.toml").read_text(encoding="utf-8"))
    assert [row + 1 for row in truth["outlier_rows"]] == [16, 47]
    for text, name in ((points, "points.csv"), (weights, "weights.csv")):
        shipped = (BENCH / name).read_text(encoding="utf-8")
        assert numbers(shipped) == pytest.approx(numbers(text), abs=1e-6)


def test_planted_faults_of_the_linkage_are_found(document):
    assert document["outlier_rows"] == [16, 47]
    verdict = document["verdict"]
    assert verdict["outcome"] == "deviates"
    assert not document["lack_of_fit"]["found"]
    # The backlash is certain, and told as it is.
    assert verdict["remedy"] == "take the backlash out of swing"
    backlash = found(document["parameters"], "swing.backlash_deg")
    assert backlash["identifiable"]
    error = POINTS["swing.backlash_deg"]
    assert abs(backlash["value"] - error) < 3.0 * backlash["standard_error"]
    assert error > 10.0 * backlash["standard_error"]
    # The bar is the most probable other fault, and not said to be certain.
    first = verdict["explanations"][0]
    assert set(first["parts"]) == {"backlash of swing", "base-left"}
    assert 0.5 < first["probability"] < 0.95 and len(verdict["explanations"]) > 1
    bar = found(document["parameters"], "base-left.first_arc_deg")
    assert not bar["identifiable"]
    assert abs(bar["value"] - bar["nominal"] - POINTS["base-left.first_arc_deg"]) < 3.0 * bar["standard_error"]
    # What is off together is told well.
    together = next(
        one for one in document["combinations"] if "base-left" in one["terms"][0]["name"]
    )
    assert together["standard_error"] < 0.05 < 0.3 < together["by"]
    # What cannot be told is named; the swing's zero always is.
    held = [one["name"] for one in document["parameters"] if not one["identifiable"]]
    assert "swing.zero_deg" in held
    assert {"bar-left-1.bend_deg", "axis.tilt_x_deg"} <= set(held)


def test_planted_faults_under_weights_are_found(document):
    weights = document["weights"]
    planted = {"bar_modulus": SOFTER, "play_mm": PLAY_MM, "friction_hysteresis_mm": FRICTION_MM}
    planted |= {"joint_tilt_stiffness": 1.0, "joint_radial_stiffness": 1.0}
    for name, value in planted.items():
        one = found(weights["parameters"], name)
        assert one["identifiable"]
        assert abs(one["value"] - value) < 3.0 * one["standard_error"], one
    assert weights["explained"] is True
    base = found(weights["parameters"], "base_tilt_compliance_urad_per_nm")
    assert not base["identifiable"]


def test_two_faults_at_once_are_found():
    folder = BENCH.parent / "bench-two-faults"
    text, truth = two_faults()
    shipped = (folder / "points.csv").read_text(encoding="utf-8")
    assert numbers(shipped) == pytest.approx(numbers(text), abs=1e-6)
    assert (folder / "design.toml").read_bytes() == (BENCH / "design.toml").read_bytes()
    command = [os.environ["CALOTTE_BIN"], "measure", "fit", str(folder / "design.toml")]
    run = subprocess.run(
        [*command, str(folder / "points.csv"), "--json"], capture_output=True, text=True, timeout=300, check=False
    )
    assert run.returncode == 1, run.stderr
    document = json.loads(run.stdout)
    assert document["outlier_rows"] == [row + 1 for row in truth["outlier_rows"]]
    verdict = document["verdict"]
    assert verdict["outcome"] == "deviates"
    # Both are in every explanation that is listed.
    for one in verdict["explanations"]:
        assert {"bar-left-1", "scale of opening"} <= set(one["parts"])
    assert {one["name"] for one in verdict["off"]} == set(TWO_FAULTS)
    for one in document["parameters"]:
        error = TWO_FAULTS.get(one["name"], 0.0)
        if one["standard_error"] is not None:
            assert abs(one["value"] - one["nominal"] - error) < 3.0 * one["standard_error"], one
