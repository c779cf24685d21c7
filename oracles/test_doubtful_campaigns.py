"""The doubtful campaigns and the bound on their fits, checked before any program sees them.

Run: python -m pytest oracles/test_doubtful_campaigns.py
"""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from scipy.stats import chi2

from doubtful_campaigns import (
    BLOCK,
    FAULT_SIZES,
    LINKAGES,
    NARROW,
    SHIFTS,
    doubtful_campaign,
    part_of,
    spreads_of,
    tolerance,
    unseen_zero,
)
from fit_bound import derivatives, fitted_with_priors
from program import LONG_FORM

#: Campaigns of each linkage that are fitted here.
COUNT = 60 if LONG_FORM else 6


def table(made):
    """Readings, deg, and measured places, mm, of a campaign's file."""
    rows = list(csv.reader(io.StringIO(made.points)))[1:]
    numbers = np.array([[float(cell) for cell in row[:5]] for row in rows])
    return numbers[:, :2], numbers[:, 2:]


def mechanism_of(made):
    """Mechanism angles at the readings by the design, deg."""
    ideal = made.nominal.physical()
    return np.degrees(np.column_stack(ideal.mechanism_angles(made.readings)))


@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_derivatives_are_those_of_differences(choice):
    made = doubtful_campaign(1, *choice, faults=2)
    found = derivatives(made.linkage, made.readings, made.unknown)
    for column, name in enumerate(made.unknown):
        step = 1e-3 * tolerance(name)
        sides = []
        for sign in (1.0, -1.0):
            linkage = made.nominal.physical()
            linkage.parameters = made.linkage.parameters | {name: made.linkage.parameters[name] + sign * step}
            sides.append(linkage.sensor(made.readings))
        by_differences = (sides[0] - sides[1]) / (2.0 * step)
        assert found[:, :, column] == pytest.approx(by_differences, abs=1e-6 * np.abs(by_differences).max())


@pytest.mark.parametrize("order", ["raster", "random"])
@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_points_are_places_shifts_noise_and_outliers(choice, order):
    made = doubtful_campaign(
        2, *choice, faults=3, rows=200, order=order, outlier_share=0.2, drift=3.0, shift="sag", shift_size=2.0
    )
    readings, measured = table(made)
    assert readings == pytest.approx(made.readings, abs=1e-12)
    assert np.all(np.abs(np.diff(readings, axis=0)).max(axis=1) > 0.01)
    seen = made.linkage.sensor(readings) @ made.rotation.T + made.translation_mm
    assert seen == pytest.approx(made.places_mm, abs=1e-9)
    noise = (measured - made.places_mm - made.shifts_mm) / made.noise_mm
    good = noise[made.good_rows].ravel()
    # 480 normal values: each bound is four standard errors
    assert good.std() == pytest.approx(1.0, abs=4.0 / np.sqrt(2 * 480))
    assert abs(good.mean()) < 4.0 / np.sqrt(480)
    assert len(made.outlier_rows) == 40
    assert np.linalg.norm(noise[made.outlier_rows], axis=1).min() > 2.0


@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_good_parts_are_within_tolerance_and_faults_beyond(choice):
    sizes, parts = [], []
    for seed in range(40):
        made = doubtful_campaign(seed, *choice, faults=seed % 5, rows=60)
        assert made.linkage.parameters[unseen_zero(made.linkage)] == 0.0
        assert len(made.faulty) == len(made.faulty_parts) == seed % 5
        parts += made.faulty_parts
        for name in made.unknown:
            off = (made.linkage.parameters[name] - made.designed[name]) / tolerance(name)
            if name in made.faulty:
                assert FAULT_SIZES[0] <= abs(off) <= FAULT_SIZES[1]
                assert off > 0.0 or not name.endswith("backlash_deg")
            elif part_of(name) == "sensor":
                assert abs(off) <= 2.0
            else:
                assert abs(off) <= 1.0
                sizes.append(off)
    # normal, deviation 1/2, cut at 2 deviations: 0.4398; backlash to one side has the same squares
    spread = np.sqrt(np.mean(np.square(sizes)))
    assert spread == pytest.approx(0.4398, abs=4.0 * 0.4398 / np.sqrt(2 * len(sizes)))
    assert set(parts) == {part_of(name) for name in made.unknown} - {"sensor"}


@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_single_faults_are_four_bounds_and_more(choice):
    for seed in range(8):
        made = doubtful_campaign(seed, *choice, faults=1, errors_min=4.0, rows=80)
        (name,) = made.faulty
        off = abs(made.linkage.parameters[name] - made.designed[name])
        # the bound was taken before the fault was there
        assert off >= 3.3 * made.bound()[name]


def test_a_planted_fault_changes_nothing_else():
    options = {"rows": 90, "repeats": "scattered", "outlier_share": 0.1, "drift": 1.0, "order": "random"}
    made = doubtful_campaign(5, **options)
    again = doubtful_campaign(5, **options)
    other = doubtful_campaign(5, **options, planted={"bar-left-1.first_arc_deg": 0.6})
    assert made.points == again.points and made.design == other.design
    assert doubtful_campaign(6, **options).points != made.points
    changed = {n for n in made.designed if made.linkage.parameters[n] != other.linkage.parameters[n]}
    assert changed == {"bar-left-1.first_arc_deg"} and other.faulty == ["bar-left-1.first_arc_deg"]
    by = other.linkage.parameters["bar-left-1.first_arc_deg"] - other.designed["bar-left-1.first_arc_deg"]
    assert by == pytest.approx(0.6)
    left = [table(one)[1] - one.places_mm for one in (made, other)]
    assert left[0] == pytest.approx(left[1], abs=1e-8)


def test_drift_is_as_large_as_told():
    made = doubtful_campaign(7, rows=151, drift=2.0, noise_mm=0.2)
    steps = np.diff(made.shifts_mm, axis=0)
    assert steps == pytest.approx(np.broadcast_to(steps[0], steps.shape), abs=1e-12)
    assert np.linalg.norm(made.shifts_mm[100] - made.shifts_mm[0]) == pytest.approx(2.0 * 0.2)
    gone = [doubtful_campaign(seed, rows=101, wandering=2.0).shifts_mm[-1] for seed in range(60)]
    # 180 normal values of variance 4/3 noise²
    found = np.mean(np.square(gone)) / 0.1**2
    assert found == pytest.approx(4.0 / 3.0, rel=4.0 * np.sqrt(2.0 / 180.0))


@pytest.mark.parametrize("shift", SHIFTS)
@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_shifts_have_the_size_and_the_shape_told(choice, shift):
    made = doubtful_campaign(8, *choice, rows=120, shift=shift, shift_size=3.0, noise_mm=0.05)
    lengths = np.linalg.norm(made.shifts_mm, axis=1)
    assert lengths.max() == pytest.approx(3.0 * 0.05)
    in_base = made.shifts_mm @ made.rotation
    places = made.linkage.sensor(made.readings)
    if shift == "block":
        (moved,) = np.nonzero(lengths)
        assert np.all(np.diff(moved) == 1)
        assert BLOCK[0] * 120 - 1 <= len(moved) <= BLOCK[1] * 120 + 1
        assert in_base[moved] == pytest.approx(np.broadcast_to(in_base[moved[0]], (len(moved), 3)))
    elif shift == "sag":
        across = np.cross([0.0, 0.0, 1.0], places)
        assert np.abs(np.sum(in_base * across, axis=1)).max() < 1e-9
    else:
        # a small error e sin(reading + phase) of one joint: two unknowns tell all places
        best = np.inf
        for joint in (0, 1):
            columns = []
            for wave in (np.sin, np.cos):
                wrong = np.array(made.readings)
                wrong[:, joint] += 1e-4 * wave(np.radians(made.readings[:, joint]))
                columns.append((made.linkage.sensor(wrong) - places).ravel())
            left = np.linalg.lstsq(np.column_stack(columns), in_base.ravel(), rcond=None)[1]
            best = min(best, np.sqrt(left[0]))
        assert best < 1e-3 * np.linalg.norm(in_base)


@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_narrow_campaigns_are_narrow_and_others_wide(choice):
    for narrow in (True, False):
        made = doubtful_campaign(9, *choice, rows=100, narrow=narrow)
        first, second = mechanism_of(made).T
        slack = 1e-3
        if narrow:
            assert 0.9 * NARROW[0] < np.ptp(first) <= NARROW[0] + slack
            assert 0.9 * NARROW[1] < np.ptp(second) <= NARROW[1] + slack
        else:
            assert np.ptp(first) > 290.0 and np.ptp(second) > 100.0


@pytest.mark.parametrize("repeats", ["returned", "standing", "scattered"])
def test_repeats_are_the_same_readings(repeats):
    made = doubtful_campaign(10, rows=80, repeats=repeats)
    groups = [row["group"] for row in csv.DictReader(io.StringIO(made.points))]
    assert len(groups) == len(made.readings) == 80
    rows_of = {group: [i for i, one in enumerate(groups) if one == group] for group in set(groups) - {""}}
    for rows in rows_of.values():
        assert np.all(made.readings[rows] == made.readings[rows[0]])
    if repeats == "returned":
        (rows,) = rows_of.values()
        assert rows[0] == 0 and rows[-1] == 79 and 35 <= rows[1] <= 45
    else:
        assert sorted(len(rows) for rows in rows_of.values()) == [5, 5, 5]


@pytest.mark.parametrize("choice", LINKAGES, ids=str)
def test_a_plain_fit_attains_the_bound(choice):
    """Errors drawn from the priors, noise alone: deviations over the bound are standard normal."""
    deviations = []
    first = 1000 * LINKAGES.index(choice)
    for seed in range(first, first + COUNT):
        random = np.random.default_rng([seed, 99])
        names = doubtful_campaign(seed, *choice, rows=60).unknown
        options = {
            "planted": {name: float(tolerance(name) * random.normal()) for name in names},
            "narrow": seed % 2 == 1,
        }
        made = doubtful_campaign(seed, *choice, rows=60, outlier_share=0.1, **options)
        _, measured = table(made)
        found = fitted_with_priors(
            made.nominal.physical(), made.readings, measured, made.noise_mm, spreads_of(names), made.good_rows
        )
        # priors are those of good parts here, whatever was drawn
        made.faulty = []
        limits = made.bound()
        off = np.array([(found[name] - made.linkage.parameters[name]) / limits[name] for name in names])
        deviations.append(off)
    deviations = np.concatenate(deviations)
    spread, within = np.sqrt(np.mean(deviations**2)), np.mean(np.abs(deviations) <= 3.0)
    print(f"\n{choice}: {COUNT} campaigns, rms {spread:.3f}, {100 * within:.2f} % within three")
    # Deviations of one campaign hang together: as if it gave a quarter of its parameters.
    freedom = len(deviations) / 4
    low, high = np.sqrt(chi2.ppf([1e-4, 1.0 - 1e-4], freedom) / freedom)
    assert low < spread < high
    assert within >= 0.98
