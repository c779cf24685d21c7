"""Registration and sphere fit of the program against scipy, on sets made to be hard.

Small patches, coplanar points, three points, mirror images, rods and places far from the
origin, which campaigns of a linkage do not hold. The program's functions are reached through the
example `point_sets` of crates/calotte, which cargo builds (offline once tests were built; for the
whole workspace, as the tests are, so that nothing is built a second time with other features).

Run: python -m pytest oracles/test_point_sets.py
CALOTTE_LONG=1 takes 2000 sets of each instead of 100.
"""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from program import LONG_FORM
from reference_fits import registration_by_library, registration_sets, sphere_by_library, sphere_sets

COUNT = 2000 if LONG_FORM else 100
#: Greatest difference: of the rotation's entries, and of lengths over the set's own.
CLOSE = 1e-9


@pytest.fixture(scope="module")
def program():
    """The example, built: its file."""
    command = [os.environ.get("CARGO", "cargo"), "build", "--quiet", "--locked", "--profile", "checked"]
    command += ["--workspace", "--example", "point_sets", "--message-format", "json"]
    root = Path(__file__).resolve().parents[1]
    run = subprocess.run(command, cwd=root, capture_output=True, text=True, timeout=1200, check=False)
    if run.returncode != 0:
        pytest.fail(f"exit {run.returncode} of {' '.join(command)}\n{run.stderr}")
    messages = [json.loads(line) for line in run.stdout.splitlines()]
    (executable,) = (
        message["executable"]
        for message in messages
        if message["reason"] == "compiler-artifact" and message["target"]["name"] == "point_sets"
    )
    return executable


def answers(program, sets):
    """What the program says to sets (kind, rows of numbers in m), one line of words each."""
    text = "".join(
        f"{kind} {len(rows)}\n" + "".join(" ".join(map(repr, row)) + "\n" for row in rows.tolist())
        for kind, rows in sets
    )
    run = subprocess.run([program], input=text, capture_output=True, text=True, timeout=600, check=False)
    if run.returncode != 0:
        pytest.fail(f"exit {run.returncode} of {program}\n{run.stderr}")
    lines = [line.split() for line in run.stdout.splitlines()]
    assert len(lines) == len(sets)
    return lines


def worst_by_kind(differences):
    """Greatest difference of each kind, from pairs."""
    worst = {}
    for kind, difference in differences:
        worst[kind] = np.maximum(worst.get(kind, 0.0), difference)
    return worst


def test_registration_is_that_of_the_library(program):
    sets = [(kind, 1e-3 * points, 1e-3 * images) for kind, points, images in registration_sets(COUNT)]
    found = answers(program, [("registration", np.hstack(both)) for _, *both in sets])
    differences = []
    for (kind, points, images), words in zip(sets, found, strict=True):
        assert words[0] != "error", (kind, words)
        numbers = np.array(words, dtype=float)
        rotation, translation = registration_by_library(points, images)
        turned = np.abs(numbers[:9].reshape(3, 3) - rotation).max()
        moved = np.abs(numbers[9:] - translation).max() / np.abs(np.hstack([points, images])).max()
        differences.append((kind, np.array([turned, moved])))
    worst = worst_by_kind(differences)
    print("\n" + "\n".join(f"{kind}: rotation {a:.1e}, translation {b:.1e}" for kind, (a, b) in worst.items()))
    assert set(worst) == {"many", "three", "coplanar", "mirrored", "exact"}
    assert all((difference < CLOSE).all() for difference in worst.values())


def test_points_nearly_in_one_line_keep_their_second_direction(program):
    """Rods as thin as 1e-4 of their length, moved exactly: the rotation comes back.

    As exact as the covariance holds it, in which the second direction has the square of the
    thinness: rounding over that square (derived).
    """
    random = np.random.default_rng(20303)
    sets, thinness, wanted = [], 10.0 ** random.uniform(-4.0, -1.5, COUNT), []
    for thin in thinness:
        points = random.normal(size=(12, 3)) * [0.15, 0.15 * thin, 0.15 * thin]
        points = points @ Rotation.random(rng=random).as_matrix().T + random.uniform(-1.0, 1.0, 3)
        wanted.append(Rotation.random(rng=random).as_matrix())
        sets.append(("registration", np.hstack([points, points @ wanted[-1].T])))
    numbers = np.array([words[:9] for words in answers(program, sets)], dtype=float).reshape(-1, 3, 3)
    off = np.abs(numbers - wanted).max(axis=(1, 2))
    print(f"\nworst over 1/thinness^2: {(off * thinness**2).max():.1e}")
    assert (off < 1e-14 / thinness**2).all()


def test_sphere_is_that_of_the_library(program):
    sets = [(kind, 1e-3 * points) for kind, points in sphere_sets(COUNT)]
    found = answers(program, [("sphere", points) for _, points in sets])
    differences = []
    for (kind, points), words in zip(sets, found, strict=True):
        assert words[0] != "error", (kind, words)
        numbers = np.array(words, dtype=float)
        centre, radius = sphere_by_library(points)
        differences.append((kind, np.abs(numbers - [*centre, radius]).max() / radius))
    # Relative to the radius, though places lie up to 3 m away.
    worst = worst_by_kind(differences)
    print("\n" + "\n".join(f"{kind}: {difference:.1e} of the radius" for kind, difference in worst.items()))
    assert set(worst) == {"whole", "four", "patch", "exact"}
    assert all(difference < CLOSE for difference in worst.values())
