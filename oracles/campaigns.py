"""Simulated measuring campaigns with known truth: a tracker follows a sensor on the tool.

`python campaigns.py OUTDIR --seed N --kind scissor --rows 80` writes design.toml (nominal),
points.csv (what is measured) and truth.json (what is to be found), and with --weights also
weights.csv. Everything is invented by a seeded generator.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.spatial.transform import Rotation

from nominal_linkage import (
    BASE_RANGE,
    ELBOW_RANGE,
    OPENING_RANGE,
    SWING_RANGE,
    Nominal,
    drawn_errors,
    drawn_nominal,
)
from physical_linkage import PhysicalScissor

#: The tracker stands within this distance of the centre, mm.
TRACKER_DISTANCE = 3000.0
#: How far an outlier is displaced, in standard deviations of the noise.
OUTLIER_SIZES = (6.0, 60.0)
#: Times that a configuration of a group is measured.
REPEATS = 5


@dataclass
class Campaign:
    """What a campaign measures (texts of files) and what is true."""

    nominal: Nominal
    design: str
    points: str
    #: parameters (true, by name), nominal (by name), tracker, outlier_rows (0 = first row after
    #: the header), noise_mm; and the same truth told with the held zero at 0
    truth: dict


def near(random, values, spread, limits):
    """Each value moved by up to `spread` to either side, within limits."""
    return random.uniform(np.maximum(values - spread, limits[0]), np.minimum(values + spread, limits[1]))


def mechanism_rows(random, kind, count):
    """Mechanism angles in the order of measuring, deg: to and fro at rising, then falling levels.

    Both angles differ from row to row, so that every reading has come from one side.
    """
    sweeps = max(2, round(np.sqrt(count / 2.0)))
    fast_range, slow_range = (BASE_RANGE, ELBOW_RANGE) if kind == "arm" else (SWING_RANGE, OPENING_RANGE)
    levels = np.linspace(*slow_range, sweeps)
    levels = np.concatenate([levels[::2], levels[1::2][::-1]])
    rows = []
    for number, steps in enumerate(np.array_split(np.arange(count), sweeps)):
        fast = np.linspace(*fast_range, len(steps))[:: -1 if number % 2 else 1]
        slow = near(random, np.full(len(steps), levels[number]), 6.0, slow_range)
        if kind == "arm" and number % 4 in (1, 2):  # the other side of the stretched position
            slow = -slow
        rows.append(np.column_stack([near(random, fast, 4.0, fast_range), slow]))
    return np.concatenate(rows)


def readings_of(nominal, mechanism):
    """Readings a nominal linkage would show at mechanism angles, to 0.0001 deg."""
    first, second = mechanism.T
    if nominal.kind == "scissor" and nominal.layout == "two-bars":
        first, second = first + 0.5 * second, first - 0.5 * second
    return np.round(np.column_stack([first, second]) * nominal.ratio, 4)


def with_repeats(random, readings, repeats, standing):
    """Readings with `repeats` of them measured REPEATS times, and each row's group ("" = none).

    The repeats stand one after the other, or (not `standing`) lie anywhere among the rows.
    """
    groups = [""] * len(readings)
    rows = list(zip(readings.tolist(), groups, strict=True))
    for group, chosen in enumerate(sorted(random.choice(len(readings), repeats, replace=False)), start=1):
        row = (readings[chosen].tolist(), f"repeat-{group}")
        place = next(index for index, (values, _) in enumerate(rows) if values == row[0])
        rows[place] = row
        for _ in range(REPEATS - 1):
            where = place + 1 if standing else int(random.integers(len(rows) + 1))
            rows.insert(where, row)
    return np.array([values for values, _ in rows]), [group for _, group in rows]


def zero_held(parameters, rotation, layout):
    """The same linkage and places told with the swing (or base) zero at 0.

    The zero goes into the tracker's rotation. With two bars the tilted axis turns along; what
    that turn leaves about the axis itself goes into the opening zero.
    """
    parameters = dict(parameters)
    zero_name = next(name for name in ("swing.zero_deg", "base.zero_deg") if name in parameters)
    while abs(parameters[zero_name]) > 1e-13:
        zero = parameters[zero_name]
        parameters[zero_name] = 0.0
        rotation = rotation @ Rotation.from_euler("z", zero, degrees=True).as_matrix()
        if zero_name == "base.zero_deg" or layout == "swing-and-opening":
            break
        about = Rotation.from_euler("z", zero, degrees=True)
        tilt = Rotation.from_euler(
            "XY", [parameters["axis.tilt_x_deg"], parameters["axis.tilt_y_deg"]], degrees=True
        )
        x, y, left_over = (about.inv() * tilt * about).as_euler("XYZ", degrees=True)
        parameters |= {"axis.tilt_x_deg": float(x), "axis.tilt_y_deg": float(y)}
        parameters["opening.zero_deg"] -= float(left_over)
        parameters[zero_name] = 0.5 * float(left_over)
    parameters[zero_name] = 0.0
    return parameters, rotation


def disturbed(random, places, noise_mm, outlier_share):
    """Places with Gaussian noise per axis and some displaced far; and the rows of these."""
    if outlier_share > 0.0 and noise_mm <= 0.0:
        raise ValueError("outliers are sized by the noise: noise_mm must be above 0")
    outliers = np.sort(random.choice(len(places), round(outlier_share * len(places)), replace=False))
    places = places + noise_mm * random.normal(size=places.shape)
    directions = random.normal(size=(len(outliers), 3))
    directions /= np.linalg.norm(directions, axis=1, keepdims=True)
    sizes = noise_mm * random.uniform(*OUTLIER_SIZES, size=(len(outliers), 1))
    places[outliers] += sizes * directions
    return places, outliers


def points_file(active, readings, places, groups):
    """The CSV of points; the column `group` is there if any row has one."""
    grouped = any(groups)
    header = [f"{joint}_deg" for joint in active] + ["x_mm", "y_mm", "z_mm"] + ["group"] * grouped
    lines = [",".join(header)]
    for reading, place, group in zip(readings, places, groups, strict=True):
        cells = [f"{value:.4f}" for value in reading] + [f"{value:.9f}" for value in place]
        lines.append(",".join(cells + [group] * grouped))
    return "\n".join(lines) + "\n"


def campaign(
    seed,
    kind="scissor",
    layout="two-bars",
    stages=2,
    rows=80,
    noise_mm=0.05,
    outlier_share=0.0,
    carried_by="left",
    repeats=0,
    standing=False,
    errors=1.0,
    nominal=None,
    parameters=None,
):
    """One campaign of `rows` rows over the full range.

    `repeats`: configurations measured REPEATS times (counted in `rows`), one after the other if
    `standing`. `errors`: factor on the sizes of the linkage's errors. `nominal`, `parameters`:
    a given design and given true values (only those named) instead of drawn ones.
    """
    random = np.random.default_rng(seed)
    nominal = nominal or drawn_nominal(random, kind, layout, stages, carried_by)
    linkage = nominal.physical()
    nominal_parameters = dict(linkage.parameters)
    linkage.parameters = drawn_errors(random, linkage, errors) | (parameters or {})
    alone = rows - repeats * (REPEATS - 1)
    if alone < max(repeats, 8):
        raise ValueError(f"{rows} rows are too few: at least 8 configurations and the repeats are needed")
    readings = readings_of(nominal, mechanism_rows(random, nominal.kind, alone))
    readings, groups = with_repeats(random, readings, repeats, standing)
    rotation = Rotation.random(rng=random).as_matrix()
    direction = random.normal(size=3)
    distance = TRACKER_DISTANCE * random.uniform(0.0, 1.0) ** (1.0 / 3.0)
    translation = distance * direction / np.linalg.norm(direction)
    places = linkage.sensor(readings) @ rotation.T + translation
    measured, outliers = disturbed(random, places, noise_mm, outlier_share)
    held, held_rotation = zero_held(
        linkage.parameters, rotation, linkage.layout if isinstance(linkage, PhysicalScissor) else None
    )
    truth = {
        "parameters": linkage.parameters,
        "nominal": nominal_parameters,
        "tracker": {"rotation": rotation.tolist(), "translation_mm": translation.tolist()},
        "zero_held": {
            "parameters": held,
            "tracker": {"rotation": held_rotation.tolist(), "translation_mm": translation.tolist()},
        },
        "outlier_rows": outliers.tolist(),
        "noise_mm": noise_mm,
        "places_mm": places.tolist(),
    }
    points = points_file(linkage.active, readings, measured, groups)
    return Campaign(nominal, nominal.design_file(), points, truth)


def main():
    """Writes one campaign to a folder."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("outdir", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", choices=("scissor", "arm"), default="scissor")
    parser.add_argument("--layout", choices=("two-bars", "swing-and-opening"), default="two-bars")
    parser.add_argument("--stages", type=int, default=2)
    parser.add_argument("--carried-by", choices=("left", "right", "bisector"), default="left")
    parser.add_argument("--rows", type=int, default=80)
    parser.add_argument("--noise-mm", type=float, default=0.05)
    parser.add_argument("--outlier-share", type=float, default=0.0)
    parser.add_argument("--repeats", type=int, default=0, help="configurations measured 5 times")
    parser.add_argument("--standing", action="store_true", help="repeats one after the other")
    parser.add_argument("--errors", type=float, default=1.0, help="factor on the linkage's errors")
    parser.add_argument("--weights", action="store_true", help="also write weights.csv")
    options = vars(parser.parse_args())
    outdir, weights = options.pop("outdir"), options.pop("weights")
    made = campaign(**options)
    outdir.mkdir(parents=True, exist_ok=True)
    (outdir / "design.toml").write_text(made.design, encoding="utf-8")
    (outdir / "points.csv").write_text(made.points, encoding="utf-8")
    if weights:
        from weights_campaigns import invented_compliance, weights_campaign

        text, made.truth["weights"] = weights_campaign(
            options["seed"],
            made.nominal,
            invented_compliance(made.nominal),
            play_mm=0.1,
            friction_mm=0.04,
            gauge_noise_mm=0.005,
        )
        (outdir / "weights.csv").write_text(text, encoding="utf-8")
    (outdir / "truth.json").write_text(json.dumps(made.truth, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
