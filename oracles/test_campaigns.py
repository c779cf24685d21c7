"""The simulated campaigns held against the program, rigid bodies and their own statistics.

The model of the real linkage is checked where it must agree with the ideal one (the program
named by the environment variable CALOTTE_BIN), and for errors in every parameter by closing
the loops of rigid bars numerically. Then the campaigns: files, noise, outliers, order.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_campaigns.py
"""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from campaigns import REPEATS, campaign
from linkage_geometry import angle_between
from nominal_linkage import OPENING_RANGE, drawn_errors, drawn_nominal
from physical_linkage import X, Z, NoClosure, PhysicalScissor, circles_meet, turned
from program import configuration_of
from rigid_bars import sensor_by_rigid_bars

SCISSORS = [
    (layout, stages, carrier)
    for stages in (1, 2, 3)
    for layout in ("two-bars", "swing-and-opening")
    for carrier in ("left", "right", "bisector")
]
LINKAGES = [("scissor", *choice) for choice in SCISSORS] + [("arm", "two-bars", 0, "left")]


def drawn(seed, kind, layout, stages, carrier, **changes):
    """A generator, a nominal design and its physical linkage with errors in every parameter."""
    random = np.random.default_rng(seed)
    nominal = drawn_nominal(random, kind, layout, stages, carrier, **changes)
    linkage = nominal.physical()
    linkage.parameters = drawn_errors(random, linkage)
    return random, nominal, linkage


def random_mechanism(random, kind, count):
    """Random mechanism angles over the working range, deg."""
    first = random.uniform(-150.0, 150.0, count)
    if kind == "arm":
        return first, random.uniform(30.0, 150.0, count) * random.choice([-1.0, 1.0], count)
    return first, random.uniform(*OPENING_RANGE, count)


def random_readings(random, nominal, count):
    """Random readings over the working range, deg."""
    first, second = random_mechanism(random, nominal.kind, count)
    if nominal.kind == "scissor" and nominal.layout == "two-bars":
        first, second = first + 0.5 * second, first - 0.5 * second
    return np.column_stack([first, second]) * nominal.ratio


def table(text):
    """Rows of a CSV text as dictionaries."""
    return list(csv.DictReader(io.StringIO(text)))


def numbers(rows, columns):
    """Columns of CSV rows as an array."""
    return np.array([[float(row[column]) for column in columns] for row in rows])


# ---------------------------------------------------------------- the model of a real linkage


@pytest.mark.parametrize("bracket", [0.0, 7.5])
@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_without_errors_it_is_the_program_s_linkage(tmp_path, choice, bracket):
    """Sensor on the tool direction; along and across as the program's roll of the carrier."""
    random, nominal, _ = drawn(3, *choice, bracket_arc=bracket, ratio=(1.5, -2.0))
    for reading in random_readings(random, nominal, 2):
        found = configuration_of(tmp_path / "design.toml", nominal.design_file(), np.radians(reading))
        polar, azimuth = (np.radians(found["direction_deg"][key]) for key in ("polar", "azimuth"))
        direction = turned(turned(Z, np.array([0.0, 1.0, 0.0]), polar), Z, azimuth)
        along = turned(turned(X, np.array([0.0, 1.0, 0.0]), polar), Z, azimuth)
        along = turned(along, direction, np.radians(found["roll_deg"]))
        linkage = nominal.physical()
        assert linkage.sensor([reading])[0] == pytest.approx(nominal.tip_radius * direction, abs=1e-9)
        linkage.parameters |= {"sensor.along_mm": 3.0, "sensor.across_mm": 2.0}
        place = nominal.tip_radius * direction + 3.0 * along + 2.0 * np.cross(direction, along)
        assert linkage.sensor([reading])[0] == pytest.approx(place, abs=1e-9)


@pytest.mark.parametrize("stages", [1, 2, 3])
def test_bars_keep_their_arcs_and_bends(stages):
    random, _, linkage = drawn(stages, "scissor", "two-bars", stages, "left")
    swing, opening = (np.radians(angles) for angles in random_mechanism(random, "scissor", 40))
    tilt = (np.radians(0.3), np.radians(-0.2))
    places = linkage.stations(swing, opening, tilt)
    right_axis = (Rotation.from_euler("x", tilt[0]) * Rotation.from_euler("y", tilt[1])).apply(Z)

    def arc(first, second, name):
        found = [angle_between(*pair) for pair in zip(*np.broadcast_arrays(first, second), strict=True)]
        assert np.abs(np.array(found) - linkage.rad(name)).max() < 1e-12

    arc(Z, places["left-1"], "base-left.first_arc")
    arc(right_axis, places["right-1"], "base-right.first_arc")
    for stage in range(1, stages + 1):
        apex = places[f"apex-{stage}"]
        for side, other in (("left", "right"), ("right", "left")):
            arc(places[f"{side}-{stage}"], apex, f"bar-{side}-{stage}.first_arc")
            if stage < stages:
                onward = places[f"{other}-{stage + 1}"]
                arc(apex, onward, f"bar-{side}-{stage}.second_arc")
                # bend: turn of the bar at the apex about the outward direction, right-handed
                before, after = np.cross(places[f"{side}-{stage}"], apex), np.cross(apex, onward)
                sine = np.sum(np.cross(before, after) * apex, axis=1)
                turn = np.arctan2(sine, np.sum(before * after, axis=1))
                clockwise = -turn if side == "left" else turn
                assert np.abs(clockwise - linkage.rad(f"bar-{side}-{stage}.bend")).max() < 1e-11


@pytest.mark.parametrize("choice", SCISSORS, ids=str)
def test_closing_loops_of_rigid_bars_gives_the_same_place(choice):
    random, nominal, linkage = drawn(11, "scissor", *choice)
    readings = random_readings(random, nominal, 2)
    by_bars = [sensor_by_rigid_bars(linkage, nominal, readings, row) for row in range(2)]
    assert linkage.sensor(readings) == pytest.approx(np.array(by_bars), abs=1e-9 * nominal.tip_radius)


@pytest.mark.parametrize("mode", [1, -1])
def test_circles_meet_also_when_they_almost_touch(mode):
    """Right-angled, by Napier: cos(hypotenuse) = cos cos; and 1e-13 rad from not meeting."""
    left, right = np.array([[0.0, 1.0, 0.0]]), np.array([[1.0, 0.0, 0.0]])
    apex = circles_meet(left, right, np.radians(60.0), np.radians(70.0), mode)[0]
    assert [apex[1], apex[0]] == pytest.approx(np.cos(np.radians([60.0, 70.0])), abs=1e-15)
    assert np.sign(apex[2]) == -mode  # left x right = y x x = -z
    near = circles_meet(left, right, 0.7, 0.5 * np.pi - 0.7 + 1e-13, mode)[0]
    # height h of a flat triangle whose sides exceed the third by e: h^2 = 2 e tan tan/(tan + tan)
    slopes = np.tan([0.7, 0.5 * np.pi - 0.7])
    height = np.sqrt(2e-13 * slopes.prod() / slopes.sum())
    assert abs(near[2]) == pytest.approx(height, rel=2e-3)
    with pytest.raises(NoClosure):
        circles_meet(left, right, 0.7, 0.8, mode)


def test_readings_backlash_scale_ratio_and_zeros():
    """By hand: rows still, up, still, down; ratio 2 and -4, zeros 1 and 2 deg."""
    linkage = PhysicalScissor(layout="swing-and-opening", ratio=(2.0, -4.0))
    linkage.parameters = dict.fromkeys(linkage.names(), 0.0) | {
        "swing.scale": 1.1,
        "opening.scale": 0.5,
        "swing.backlash_deg": 0.4,
        "opening.backlash_deg": 0.8,
        "swing.zero_deg": 1.0,
        "opening.zero_deg": 2.0,
    }
    swing, opening = linkage.mechanism_angles([[10.0, -80.0], [20.0, -80.0], [20.0, -96.0], [0.0, -88.0]])
    assert np.degrees(swing) == pytest.approx([6.5, 11.9, 11.9, 1.1], abs=1e-12)
    assert np.degrees(opening) == pytest.approx([12.0, 12.0, 13.9, 13.1], abs=1e-12)
    linkage.layout, linkage.ratio = "two-bars", (2.0, 2.0)
    linkage.parameters |= {"left.scale": 1.0, "right.scale": 1.1, "left.backlash_deg": 0.0}
    linkage.parameters |= {"right.backlash_deg": 0.4}
    swing, opening = linkage.mechanism_angles([[100.0, 0.0], [100.0, -40.0]])
    assert np.degrees(swing) == pytest.approx([26.0, 26.0 - 11.0 + 0.05], abs=1e-12)
    assert np.degrees(opening) == pytest.approx([52.0, 52.0 + 22.0 - 0.1], abs=1e-12)


def test_tilt_and_offset_of_the_axis_by_matrices():
    """Swing-and-opening: the same linkage without tilt and offset, moved by scipy's rotations."""
    random, nominal, linkage = drawn(5, "scissor", "swing-and-opening", 2, "right")
    readings = random_readings(random, nominal, 20)
    moved, true = linkage.sensor(readings), dict(linkage.parameters)
    still = ("swing.zero_deg", "swing.scale", "swing.backlash_deg")
    linkage.parameters |= {name: 0.0 for name in true if name.startswith("axis.") or name in still}
    places = linkage.sensor(readings)
    linkage.parameters = true
    swing, _ = linkage.mechanism_angles(readings)
    tilt = np.radians([true["axis.tilt_x_deg"], true["axis.tilt_y_deg"]])
    tilt = Rotation.from_euler("x", tilt[0]) * Rotation.from_euler("y", tilt[1])
    offset = [true["axis.offset_x_mm"], true["axis.offset_y_mm"], 0.0]
    assert moved == pytest.approx(Rotation.from_euler("z", swing[:, None]).apply(tilt.apply(places) + offset))


def test_arm_by_matrices_and_its_two_blind_combinations():
    """The arm by scipy's rotations; and what no measurement of places can tell.

    The sensor runs on a circle about the elbow's axis: only its radius, height and phase are
    seen, not how second arc, elbow zero, along and across make them. Derived.
    """
    random, nominal, linkage = drawn(6, "arm", "two-bars", 0, "left")
    readings, true = random_readings(random, nominal, 30), dict(linkage.parameters)
    base, elbow = linkage.mechanism_angles(readings)
    first, second = (np.radians(true[f"{arc}-arc.first_arc_deg"]) for arc in ("first", "second"))
    sensor = [true[f"sensor.{what}_mm"] for what in ("along", "across", "radius")]
    on_elbow = Rotation.from_euler("y", second).apply(sensor)
    places = Rotation.from_euler("z", elbow[:, None]).apply(on_elbow)
    places = Rotation.from_euler("y", first).apply(places) + [0.0, true["axis.offset_mm"], 0.0]
    places = Rotation.from_euler("z", base[:, None]).apply(places)
    assert linkage.sensor(readings) == pytest.approx(places, abs=1e-10)

    for arc, zero in ((2.0, 0.0), (0.0, -1.5), (1.0, 1.0)):
        turned_back = Rotation.from_euler("z", -zero, degrees=True).apply(on_elbow)
        along, across, radius = (
            Rotation.from_euler("y", second + np.radians(arc)).inv().apply(turned_back)
        )
        linkage.parameters = true | {
            "second-arc.first_arc_deg": true["second-arc.first_arc_deg"] + arc,
            "elbow.zero_deg": true["elbow.zero_deg"] + zero,
            "sensor.along_mm": along,
            "sensor.across_mm": across,
            "sensor.radius_mm": radius,
        }
        assert linkage.sensor(readings) == pytest.approx(places, abs=1e-10)


# ---------------------------------------------------------------- the campaigns


@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_points_are_the_sensor_seen_by_the_tracker(choice):
    made = campaign(21, *choice[:3], rows=60, noise_mm=0.0, carried_by=choice[3])
    rows, truth = table(made.points), made.truth
    linkage = made.nominal.physical()
    readings = numbers(rows, [f"{joint}_deg" for joint in linkage.active])
    measured = numbers(rows, ["x_mm", "y_mm", "z_mm"])
    assert len(rows) == 60 and np.all(np.diff(readings, axis=0) != 0.0)
    for told in (truth, truth["zero_held"]):
        linkage.parameters, tracker = told["parameters"], told["tracker"]
        seen = linkage.sensor(readings) @ np.transpose(tracker["rotation"]) + tracker["translation_mm"]
        assert seen == pytest.approx(measured, abs=2e-9)
    assert truth["zero_held"]["parameters"][f"{linkage.mechanism[0]}.zero_deg"] == 0.0
    assert np.linalg.det(truth["tracker"]["rotation"]) == pytest.approx(1.0)
    assert np.linalg.norm(truth["tracker"]["translation_mm"]) <= 3000.0
    linkage.parameters = truth["nominal"]
    first, second = np.degrees(linkage.mechanism_angles(readings))
    slack = 1e-3
    assert np.ptp(first) >= 300.0 - slack
    if choice[0] == "arm":
        assert np.all((np.abs(second) >= 30.0 - slack) & (np.abs(second) <= 150.0 + slack))
        assert second.min() < -100.0 and second.max() > 100.0
    else:
        assert np.all((second >= 40.0 - slack) & (second <= 150.0 + slack))
        assert np.ptp(second) > 90.0


def test_noise_and_outliers_are_as_told():
    made = campaign(22, rows=1000, noise_mm=0.05, outlier_share=0.1)
    off = numbers(table(made.points), ["x_mm", "y_mm", "z_mm"]) - made.truth["places_mm"]
    outliers = np.zeros(1000, dtype=bool)
    outliers[made.truth["outlier_rows"]] = True
    assert outliers.sum() == 100
    # 2700 normal values: each bound is five standard errors
    assert off[~outliers].std() == pytest.approx(0.05, rel=5.0 / np.sqrt(2 * 2700))
    assert abs(off[~outliers].mean()) < 5.0 * 0.05 / np.sqrt(2700)
    sizes = np.linalg.norm(off[outliers], axis=1) / 0.05
    assert sizes.min() > 2.0 and sizes.max() < 65.0  # 6 to 60 and the noise itself
    assert sizes.mean() == pytest.approx(33.0, abs=5.0 * 54.0 / np.sqrt(12 * 100))
    assert campaign(22, rows=1000, noise_mm=0.05, outlier_share=0.1).points == made.points
    assert campaign(23, rows=1000, noise_mm=0.05, outlier_share=0.1).points != made.points


@pytest.mark.parametrize("standing", [False, True])
def test_repeats_share_their_readings(standing):
    made = campaign(24, layout="swing-and-opening", rows=70, repeats=4, standing=standing)
    rows = table(made.points)
    assert len(rows) == 70
    places = {}
    for index, row in enumerate(rows):
        places.setdefault(row["group"], []).append(index)
    assert sorted(places) == ["", "repeat-1", "repeat-2", "repeat-3", "repeat-4"]
    for group, indices in places.items():
        if group:
            assert len(indices) == REPEATS
            assert len({(rows[i]["swing_deg"], rows[i]["opening_deg"]) for i in indices}) == 1
            if standing:
                assert indices == list(range(indices[0], indices[0] + REPEATS))


def test_the_command_writes_files_that_the_program_takes(tmp_path):
    script = Path(__file__).with_name("campaigns.py")
    options = ["--seed", "4", "--kind", "arm", "--rows", "40", "--weights"]
    subprocess.run([sys.executable, str(script), str(tmp_path), *options], check=True, timeout=60)
    truth = json.loads((tmp_path / "truth.json").read_text(encoding="utf-8"))
    assert "elbow.zero_deg" in truth["parameters"]
    points = (tmp_path / "points.csv").read_text(encoding="utf-8")
    assert points == campaign(4, "arm", rows=40).points
    design = (tmp_path / "design.toml").read_text(encoding="utf-8")
    configuration_of(tmp_path / "again.toml", design, np.radians([20.0, 50.0]))
    assert len(table((tmp_path / "weights.csv").read_text(encoding="utf-8"))) == 6 * 9
