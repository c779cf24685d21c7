"""`calotte measure fit` on simulated campaigns with known truth, and registration and sphere
fits against general-purpose libraries.

Truth comes from the campaigns' own linkage (rigid bars by trigonometry, checked in
test_campaigns.py), not from the program's model. What a campaign cannot tell is held by the
program; to compare parameters one by one, the truth has errors in those that it can tell. A
campaign with errors in every parameter is judged by the places predicted.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_measure_fit.py
CALOTTE_LONG=1 runs 200 campaigns a linkage instead of a few.
"""

from __future__ import annotations

import json
import os
import subprocess

import numpy as np
import pytest

from campaigns import campaign
from program import LONG_FORM
from reference_fits import registration_by_library, sphere_by_library

#: Campaigns of each linkage.
COUNT = 200 if LONG_FORM else 12
LINKAGES = [
    ("scissor", "two-bars", 1),
    ("scissor", "two-bars", 2),
    ("scissor", "swing-and-opening", 1),
    ("scissor", "swing-and-opening", 2),
    ("arm", "two-bars", 0),
]


def fitted(folder, made, *options):
    """The document of `measure fit --json` for a campaign."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    design, points = folder / "design.toml", folder / "points.csv"
    design.write_text(made.design, encoding="utf-8")
    points.write_text(made.points, encoding="utf-8")
    command = [binary, "measure", "fit", str(design), str(points), "--json", *options]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert run.returncode in (0, 1), run.stderr
    return json.loads(run.stdout)


def told(document):
    """Names of the parameters that the points tell."""
    return {one["name"] for one in document["parameters"] if one["identifiable"]}


def of_what_is_told(folder, seed, kind, layout, stages, **options):
    """A campaign whose truth has errors only in what its fit can tell, and that fit."""
    first = campaign(seed, kind, layout, stages, **options)
    document = fitted(folder, first)
    names = told(document)
    for _ in range(4):
        held = {
            name: value for name, value in first.truth["nominal"].items() if name not in names
        }
        made = campaign(seed, kind, layout, stages, parameters=held, **options)
        document = fitted(folder, made)
        missing = names - told(document)
        if not missing:
            return made, document
        names -= missing
    pytest.fail(f"seed {seed}: what is told changes with every campaign")


@pytest.mark.parametrize(("kind", "layout", "stages"), LINKAGES)
def test_parameters_are_recovered_within_their_standard_errors(tmp_path, kind, layout, stages):
    deviations, caught, planted, accused, good = [], 0, 0, 0, 0
    for seed in range(COUNT):
        noise = float(np.random.default_rng(seed).uniform(0.05, 0.5))
        made, document = of_what_is_told(
            tmp_path,
            seed,
            kind,
            layout,
            stages,
            rows=80,
            noise_mm=noise,
            outlier_share=0.05,
        )
        truth = made.truth["zero_held"]["parameters"]
        for one in document["parameters"]:
            if one["identifiable"]:
                deviations.append((one["value"] - truth[one["name"]]) / one["standard_error"])
        outliers = {row + 1 for row in made.truth["outlier_rows"]}
        named = set(document["outlier_rows"])
        caught += len(outliers & named)
        planted += len(outliers)
        accused += len(named - outliers)
        good += 80 - len(outliers)
        assert document["after"]["noise_mm"] == pytest.approx(noise, rel=0.25)
    deviations = np.array(deviations)
    within = np.mean(np.abs(deviations) <= 3.0)
    print(
        f"\n{kind} {layout} {stages}: {COUNT} campaigns, {len(deviations)} parameters, "
        f"{100 * within:.1f} % within three, deviation {deviations.std():.3f}, "
        f"outliers {caught} of {planted}, good rows named {accused} of {good}"
    )
    assert within >= 0.95
    # With few campaigns the deviation itself is uncertain.
    slack = 0.0 if LONG_FORM else 3.0 * np.sqrt(0.5 / len(deviations))
    assert 0.85 - slack <= deviations.std() <= 1.2 + slack
    assert caught >= 0.95 * planted
    assert accused <= 0.02 * good


@pytest.mark.parametrize(("kind", "layout", "stages"), LINKAGES)
def test_places_are_predicted_whatever_is_off(tmp_path, kind, layout, stages):
    """Errors in every parameter: what the points cannot tell does not matter for the place."""
    for seed in range(100, 100 + COUNT // 2):
        made = campaign(seed, kind, layout, stages, rows=80, noise_mm=0.05)
        document = fitted(tmp_path, made)
        before, after = document["residual_mm"]["rms"], document["after"]["residual_mm"]["rms"]
        unseen = document["hold_out"]
        assert after < 0.3 * before
        assert after == pytest.approx(0.05 * np.sqrt(3.0), rel=0.3)
        assert unseen["learned"]
        assert unseen["rms_after_mm"] < 2.0 * 0.05 * np.sqrt(3.0)


@pytest.mark.parametrize(
    ("name", "size", "cause"),
    [
        ("bar-left-1.first_arc_deg", 0.6, "arcs of bar-left-1"),
        ("base-right.first_arc_deg", -0.5, "arcs of base-right"),
        ("opening.zero_deg", 1.5, "zero of opening"),
        ("right.scale", 0.004, "scale of right"),
        ("left.backlash_deg", 0.6, "backlash of left"),
        ("axis.tilt_y_deg", 0.5, "base axes not in one line"),
    ],
)
def test_one_planted_cause_is_named(tmp_path, name, size, cause):
    nominal = campaign(7, "scissor", "two-bars", 1, errors=0.0).truth["nominal"]
    made = campaign(
        7,
        "scissor",
        "two-bars",
        1,
        noise_mm=0.02,
        errors=0.0,
        parameters={name: nominal[name] + size},
    )
    found = fitted(tmp_path, made)["causes"][0]
    assert found["cause"] == cause
    assert found["explains"] > 0.95
    value = next(one["value"] for one in found["values"] if one["name"] == name)
    assert value - nominal[name] == pytest.approx(size, rel=0.1)


def test_a_perfect_linkage_is_not_improved_by_a_fit_of_noise(tmp_path):
    made = campaign(3, "scissor", "two-bars", 2, rows=40, noise_mm=0.3, errors=0.0)
    document = fitted(tmp_path, made)
    assert document["hold_out"]["rms_after_mm"] > 0.95 * document["hold_out"]["rms_before_mm"]


def test_registration_and_sphere_against_libraries(tmp_path):
    """On 100 campaigns: what the program lays and fits, by other hands, to 1e-9."""
    worst = np.zeros(3)
    for seed in range(100 if LONG_FORM else 20):
        made = campaign(seed, "arm" if seed % 3 == 0 else "scissor", stages=1, rows=40, noise_mm=0.2)
        document = fitted(tmp_path, made)
        assert document["rows_used"] == 40 - len(document["outlier_rows"])
        used = [row for row in range(40) if row + 1 not in document["outlier_rows"]]
        lines = made.points.splitlines()[1:]
        table = np.array([[float(cell) for cell in line.split(",")[:5]] for line in lines])[used]
        ideal = made.nominal.physical().sensor(table[:, :2])
        rotation, translation = registration_by_library(ideal, table[:, 2:])
        centre, radius = sphere_by_library(table[:, 2:])
        found = document["registration"]
        worst = np.maximum(
            worst,
            [
                np.abs(np.array(found["rotation"]) - rotation).max(),
                np.abs(np.array(found["translation_mm"]) - translation).max() / 1e3,
                max(
                    np.abs(np.array(document["sphere"]["centre_mm"]) - centre).max(),
                    abs(document["sphere"]["radius_mm"] - radius),
                )
                / 1e3,
            ],
        )
    print(f"\nrotation {worst[0]:.1e}, translation {worst[1]:.1e} m, sphere {worst[2]:.1e} m")
    assert (worst < 1e-9).all()
