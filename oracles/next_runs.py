"""Runs of the program for test_next_prototype.py, briefs for it, and its pointing error held
against `next_prototype.py`."""

from __future__ import annotations

import json
import os
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from next_prototype import (
    STEPS,
    designed_of,
    middles,
    nominal_of,
    pointing_error,
    readings_over,
    working_ranges,
)

EXAMPLE = Path(__file__).parent.parent / "examples" / "head-dome"
BENCH, SHIPPED = EXAMPLE / "bench", EXAMPLE / "brief.toml"
#: The same need with every combination of steps gone through, so that what is chosen is known.
BRIEF = EXAMPLE.parent.parent / "crates" / "calotte-cli" / "tests" / "briefs" / "head-dome.toml"
#: Margins of the shipped brief.
MARGINS = {"lci_min": 0.2, "transmission_angle_min_deg": 20.0}

#: Pointing error, mm. Both sides are closed forms good to 1e-12 rad (1e-10 mm at 100 mm); the
#: ends of the ranges are good to 1e-10 rad (differences of the LCI) and shift every reading by
#: as much, which tells in the error at most some 1e-9 mm.
POINTING_MM = 1e-6


def run(*arguments, folder=None):
    """The program's run on arguments."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    command = [str(Path(binary).resolve()), *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, timeout=300, check=False, cwd=folder)


def answered(*arguments, status=(0, 1), folder=None):
    """Standard output of a run that must end with one of these exit statuses."""
    done = run(*arguments, folder=folder)
    assert done.returncode in status, f"exit {done.returncode}: {arguments}\n{done.stderr}"
    return done.stdout


def read_json(path):
    """A JSON file."""
    return json.loads(path.read_text(encoding="utf-8"))


# ---------------------------------------------------------------- what is looked at


@dataclass
class Grid:
    """Readings a pointing error may be taken over, and what they stand for."""

    readings: np.ndarray
    azimuths: int
    one_range: bool


def possible_grids(design, margins, reach):
    """The working range alone or all ranges, with as many azimuths as fit and one fewer.

    Both are told apart by the number of readings; which one it must be has tests of its own.
    """
    linkage = nominal_of(design).physical()
    given = design["drives"].get("range_deg", {})
    first, second = (given.get(name) for name in linkage.mechanism)
    ranges = working_ranges(linkage, margins, tuple(second) if second else None)
    span = tuple(first) if first else (-180.0, 180.0)
    fit_in = len(middles(span, STEPS[0]))
    within = [own for own in ranges if reach[0] - 1e-6 <= own[0] and own[1] <= reach[1] + 1e-6]
    assert len(within) == 1, (ranges, reach)
    grids = []
    for spans, one_range in ((within, True), (ranges, False)):
        for azimuths in (fit_in, fit_in - 1):
            width = (span[1] - span[0]) / azimuths
            rows = readings_over(linkage, spans, span, (width, STEPS[1]))
            grids.append(Grid(rows, azimuths, one_range))
    return within[0], grids


def same_pointing_error(found, design, real, margins, reach):
    """Asserts that a pointing error is that of a real linkage over readings as many as it says.

    Returns the readings, so that other real linkages can be asked at the same.
    """
    nominal = nominal_of(design)
    designed = designed_of(design)
    _, grids = possible_grids(design, margins, reach)
    counts = []
    for grid in grids:
        expected = pointing_error(designed, real, grid.readings, nominal.tip_radius)
        counts.append(expected["configurations"])
        if expected["configurations"] != found["configurations"]:
            continue
        for key in ("rms_mm", "max_mm"):
            assert found[key] == pytest.approx(expected[key], abs=POINTING_MM)
            angle = np.degrees(expected[key] / nominal.tip_radius)
            assert found[key.replace("mm", "deg")] == pytest.approx(angle, abs=np.degrees(POINTING_MM / 100))
        polar, azimuth = (np.radians(found["worst_at_deg"][key]) for key in ("polar", "azimuth"))
        worst = [np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth), np.cos(polar)]
        # Without errors of the base every azimuth is as bad: it is one of the greatest.
        (there,) = np.nonzero(np.linalg.norm(expected["designed"] - worst, axis=1) < 1e-7)
        assert there.size > 0
        assert expected["errors_mm"][there].max() > expected["max_mm"] - POINTING_MM
        return grid
    pytest.fail(f"{found['configurations']} configurations are neither of {counts}")


# ---------------------------------------------------------------- briefs

#: Margins and choices of the small brief.
SMALL_MARGINS = {"lci_min": 0.05, "transmission_angle_min_deg": 15.0}
ARCS, BENDS, ARM_ARCS = [12.0, 16.0, 20.0, 24.0], [-10.0, 0.0, 10.0], [30.0, 45.0, 60.0]


def small_brief(tip_radius):
    """A brief with few combinations; its own invention."""
    return f"""title = "next of a simulated campaign"

[region]
shape = "cap"
axis = [0, 0, 1]
half_angle_deg = 50
coverage_min = 0.6

[space]
joint_radius_mm = {{ from = 130, to = 170, step = 20 }}

[tool]
mass_kg = 0.3
tip_radius_mm = {tip_radius}

[limits]
lci_min = 0.05
transmission_angle_min_deg = 15

[choice]
full_grid = true
families = ["scissor-linkage", "two-arc-arm"]
stages = [2, 3]
arc_deg = {{ from = 12, to = 24, step = 4 }}
bend_deg = {{ from = -10, to = 10, step = 10 }}
arm_arc_deg = {{ from = 30, to = 60, step = 15 }}
drive_layout = ["swing-and-opening", "two-bars"]

[choice.section]
shape = "rectangle"
tangential_mm = 20
radial_mm = 10

[joints]
axial_n_per_m = 1e6
radial_n_per_m = 1e6
tilt_nm_per_rad = 100

[objectives]
maximise = ["stiffness"]
minimise = ["moving-mass"]
"""


def other_brief(folder, **choice):
    """The shipped brief with some lines of [choice] replaced."""
    lines = BRIEF.read_text(encoding="utf-8").splitlines()
    for key, value in choice.items():
        (place,) = (n for n, line in enumerate(lines) if line.startswith(f"{key} ="))
        lines[place] = f"{key} = {value}"
    path = folder / "brief.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
