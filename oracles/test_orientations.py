"""Measured orientations beside `calotte measure fit`, against scipy's rotations.

The tool's frame is that of the campaigns' own linkage at the values the program found, the
sensor's rotation on the tool scipy's mean of rotations (by quaternions; the program goes by
a singular value decomposition).

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_orientations.py
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from campaigns import campaign
from test_measure_fit import LINKAGES, fitted

ROWS = 60


def tool_frames(linkage, readings):
    """Frames of the tool (along, across, radial), by where the sensor's offsets move it."""
    true = dict(linkage.parameters)
    names = [f"sensor.{what}_mm" for what in ("along", "across", "radius")]
    places = []
    for moved in (None, *names):
        linkage.parameters = true | {name: float(name == moved) for name in names}
        places.append(linkage.sensor(readings))
    linkage.parameters = true
    return Rotation.from_matrix(np.stack([place - places[0] for place in places[1:]], axis=-1))


def with_orientations(made, quaternions):
    """The campaign's points with quaternions (scalar first) as further columns."""
    header, *lines = made.points.splitlines()
    rows = [",".join([line, *map(repr, q)]) for line, q in zip(lines, quaternions.tolist(), strict=True)]
    made.points = "\n".join([f"{header},qw,qx,qy,qz", *rows]) + "\n"


@pytest.mark.parametrize(("kind", "layout", "stages"), LINKAGES)
def test_orientations_agree_as_by_the_library(tmp_path, kind, layout, stages):
    made = campaign(31, kind, layout, stages, rows=ROWS, noise_mm=0.05)
    random = np.random.default_rng(32)
    linkage = made.nominal.physical()
    lines = made.points.splitlines()[1:]
    readings = np.array([[float(cell) for cell in line.split(",")[:2]] for line in lines])
    linkage.parameters = made.truth["parameters"]
    tracker = Rotation.from_matrix(made.truth["tracker"]["rotation"])
    noise = random.normal(size=(ROWS, 3)) * np.radians([0.05, 0.05, 0.15])
    noise[[10, 40]] += 0.3
    sensor = Rotation.random(rng=random)
    measured = tracker * tool_frames(linkage, readings) * Rotation.from_rotvec(noise) * sensor
    quaternions = measured.as_quat(scalar_first=True) * random.choice([-1.0, 1.0], (ROWS, 1))
    with_orientations(made, quaternions)

    document = fitted(tmp_path, made)
    found = document["orientation"]
    assert found["off_rows"] == [row for row in (11, 41) if row not in document["outlier_rows"]]
    left_out = np.array([11, 41, *document["outlier_rows"]], dtype=int) - 1
    used = np.setdiff1d(np.arange(ROWS), left_out)
    fit = {one["name"]: one["value"] for one in document["parameters"]}
    for values, registration, agreement in (
        (made.truth["nominal"], document["registration"], found["before"]),
        (fit, document["after"]["registration"], found["after"]),
    ):
        assert values.keys() == linkage.parameters.keys()
        linkage.parameters = dict(values)
        predicted = Rotation.from_matrix(registration["rotation"]) * tool_frames(linkage, readings)
        on_tool = (predicted.inv() * measured)[used]
        mean = on_tool.mean()
        told = Rotation.from_quat(agreement["sensor_on_tool_wxyz"], scalar_first=True)
        assert (told * mean.inv()).magnitude() < 1e-9
        residuals = np.degrees((on_tool * mean.inv()).as_rotvec())
        for key, part in (("angle_deg", [0, 1, 2]), ("roll_deg", [2]), ("direction_deg", [0, 1])):
            angles = np.linalg.norm(residuals[:, part], axis=1)
            wanted = {
                "count": len(used),
                "mean": angles.mean(),
                "rms": np.sqrt(np.mean(angles**2)),
                "p95": np.quantile(angles, 0.95),
                "max": angles.max(),
            }
            assert agreement[key] == pytest.approx(wanted, rel=1e-6)
    assert found["fit_made_them_agree"] == "better"
