"""The library fits and simulated weights, held against what they must satisfy."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from nominal_linkage import drawn_nominal
from reference_fits import registration_by_library, registration_sets, sphere_by_library, sphere_sets
from weights_campaigns import GRAVITY, invented_compliance, weights_campaign


@pytest.mark.parametrize("number", range(0, 100))
def test_registration_is_a_rotation_and_the_best(number):
    """No small motion makes it better, nor does any half turn about a principal axis."""
    kind, points, images = registration_sets()[number]
    rotation, translation = registration_by_library(points, images)
    assert np.linalg.det(rotation) == pytest.approx(1.0, abs=1e-12)
    assert rotation @ rotation.T == pytest.approx(np.eye(3), abs=1e-12)

    def error(matrix):
        moved = (points - points.mean(axis=0)) @ matrix.T + images.mean(axis=0)
        return np.sum((moved - images) ** 2)

    best = np.sum((points @ rotation.T + translation - images) ** 2)
    assert best == pytest.approx(error(rotation), rel=1e-6, abs=1e-12)
    for axis in np.eye(3):
        for step in (-1e-2, 1e-2):
            assert error(Rotation.from_rotvec(step * axis).as_matrix() @ rotation) > best
    _, _, axes = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)
    for axis in axes:
        half_turn = Rotation.from_rotvec(np.pi * axis).as_matrix()
        assert error(rotation @ half_turn) > best
    if kind == "exact":
        assert best < 1e-15 * np.sum(images**2)
    if kind == "mirrored":
        assert best > 1e3


@pytest.mark.parametrize("number", range(0, 100))
def test_sphere_is_the_best_in_distance_along_the_radius(number):
    """The slope of the sum of squares vanishes (by central differences), and it is a minimum."""
    kind, points = sphere_sets()[number]
    centre, radius = sphere_by_library(points)

    def off(sphere):
        return np.linalg.norm(points - sphere[:3], axis=1) - sphere[3]

    found = np.append(centre, radius)
    slopes = np.array([(off(found + step) - off(found - step)) / 2e-3 for step in 1e-3 * np.eye(4)]).T
    # the Gauss-Newton step that is left, mm
    assert np.abs(np.linalg.lstsq(slopes, off(found), rcond=None)[0]).max() < 2e-6
    for step in 1e-2 * np.vstack([np.eye(4), -np.eye(4)]):
        assert np.sum(off(found + step) ** 2) > np.sum(off(found) ** 2)
    if kind in ("exact", "four"):
        assert np.abs(off(found)).max() < 1e-9


def loops(text):
    """Rows of a CSV of weights, nine per configuration."""
    rows = list(csv.DictReader(io.StringIO(text)))
    return [rows[start : start + 9] for start in range(0, len(rows), 9)]


def vector(row, name):
    """Three columns of a row."""
    return np.array([float(row[f"{name}_{axis}"]) for axis in "xyz"])


@pytest.mark.parametrize(
    "kind, layout", [("scissor", "two-bars"), ("scissor", "swing-and-opening"), ("arm", "")]
)
def test_weights_show_compliance_play_and_friction(kind, layout):
    """Stiffness from the slope, play from the loop's middle, friction from its width."""
    nominal = drawn_nominal(np.random.default_rng(8), kind, layout, 2)
    compliance = invented_compliance(nominal)
    text, truth = weights_campaign(
        8, nominal, compliance, play_mm=0.2, friction_mm=0.06, pulley_share=0.5, slanted_gauge=True
    )
    assert len(loops(text)) == 6 == len(truth["compliance_mm_per_n"])
    pulled_down = 0
    for rows, reading in zip(loops(text), truth["readings_deg"], strict=True):
        assert [row["course"] for row in rows] == ["loading"] * 5 + ["unloading"] * 4
        assert {row["place"] for row in rows} == {"tip"}
        force = GRAVITY * np.array([float(row["mass_kg"]) for row in rows])
        shown = np.array([float(row["displacement_mm"]) for row in rows])
        pull, gauge = vector(rows[0], "pull"), vector(rows[0], "gauge")
        pulled_down += pull[2] == -1.0
        share = gauge @ pull
        assert np.cos(np.pi / 6.0) - 1e-8 <= share <= 1.0 + 1e-8
        slope = (shown[4] - shown[1]) / (force[4] - force[1])
        assert slope == pytest.approx(gauge @ compliance(reading) @ pull, abs=1e-9)
        for up, down in ((1, 7), (2, 6), (3, 5)):
            assert shown[down] - shown[up] == pytest.approx(0.06 * share, abs=1e-8)
            middle = 0.5 * (shown[down] + shown[up]) - slope * force[up]
            assert middle == pytest.approx(0.1 * share, abs=1e-8)
        assert (shown[0], shown[8]) == pytest.approx((0.0, 0.03 * share), abs=1e-8)
    assert pulled_down == 3


def test_invented_compliance_is_symmetric_and_stiffest_along_the_tool():
    nominal = drawn_nominal(np.random.default_rng(9), "scissor", "two-bars", 1)
    matrix = invented_compliance(nominal)([60.0, -30.0])
    tip = nominal.physical().sensor([[60.0, -30.0]])[0]
    tip /= np.linalg.norm(tip)
    assert matrix == pytest.approx(matrix.T, abs=1e-15)
    assert tip @ matrix @ tip == pytest.approx(0.02, abs=1e-15)
    assert np.trace(matrix) == pytest.approx(0.05 + 0.09 + 0.02, abs=1e-15)
