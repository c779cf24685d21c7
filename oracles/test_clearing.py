"""How far parts stay apart, against convex cells and a geometry library.

First the cells are held against hand calculation; then the program named by CALOTTE_BIN is
run on random built designs in random configurations, folded ones among them: the distances
it gives for pairs of solids must be those of the cells made from the parts it printed.
Where parts overlap only the verdict is compared.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_clearing.py
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from built_designs import random_built_design
from linkage_geometry import NoClosure, turn
from part_solids import PartSolid, boss, distance, is_looked_at, round_bar, solids_of, straight_bar
from program import LONG_FORM, configuration_of

#: What a distance may differ, mm, and outside which distance the verdict must agree.
DISTANCE_TOLERANCE, VERDICT_TOLERANCE = 0.1, 0.05
SHORT_COUNT, LONG_COUNT = 30, 200


def random_folds(count, seed=20267):
    """Built scissor linkages and arms, from nearly folded to wide open."""
    random = np.random.default_rng(seed)
    kinds = [(stages, kind) for stages in (1, 2, 3, None) for kind in ("two", "nested", "given")]
    designs = []
    while len(designs) < count:
        stages, arrangement = kinds[len(designs) % len(kinds)]
        carried_by = ("left", "right")[random.integers(2)]
        design = random_built_design(random, len(designs) + 1, stages, carried_by, arrangement)
        low, high = (5.0, 130.0) if stages else (20.0, 175.0)
        opening = round(random.uniform(low, high), 1)
        swing = np.degrees(design.mechanism_angles[0])
        folded = replace(design, mechanism_angles=np.radians([round(swing, 1), opening]))
        try:
            folded.linkage()
        except NoClosure:
            continue
        folded.name += f", {'opening' if stages else 'elbow'} {opening} deg"
        designs.append(folded)
    return designs


DESIGNS = random_folds(LONG_COUNT if LONG_FORM else SHORT_COUNT)


# ---------------------------------------------------------------- the oracle checked by itself

Z = np.array([0.0, 0.0, 1.0])
Y = np.array([0.0, 1.0, 0.0])


def at(degrees):
    """The direction so many degrees from z towards x."""
    return turn(Z, Y, np.radians(degrees))


def solid(*cells):
    """A solid of some cells."""
    return PartSolid("part", "body", frozenset(), [cell for part in cells for cell in part])


def test_rounds_of_one_layer():
    """Derived: nearest at the inner faces, 2 r sin(angle/2 - asin(c/r)) apart."""
    found = distance(solid(boss(at(0), 18.0, 144.0, 156.0)), solid(boss(at(10), 18.0, 144.0, 156.0)))
    expected = 2.0 * 144.0 * np.sin(np.radians(5.0) - np.arcsin(9.0 / 144.0))
    assert found == pytest.approx(expected, abs=0.02)
    assert distance(solid(boss(at(0), 18.0, 144.0, 156.0)), solid(boss(at(6), 18.0, 144.0, 156.0))) <= 0.0


@pytest.mark.parametrize("reach, inside", [(130.0, True), (144.0, False)])
def test_pin_beside_a_bar(reach, inside):
    """Derived: from the bar's inner edge at right angles to the pin's side where the pin
    reaches farther in, edge to edge where both end at one radius."""
    bar = solid(straight_bar(turn(Z, at(90), 0.3), turn(Z, at(90), -0.3), 12.0, 144.0, 150.0))
    pin = solid(boss(at(8), 6.0, reach, 180.0))
    edge = np.arcsin(6.0 / 144.0)
    apart = np.radians(8.0) - edge
    beside = 144.0 * np.sin(apart) - 3.0
    expected = beside if inside else 2.0 * 144.0 * np.sin(0.5 * (apart - np.arcsin(3.0 / 144.0)))
    assert distance(bar, pin) == pytest.approx(expected, abs=0.02)


def test_crossing_bars_of_neighbouring_layers():
    """Derived: faces about one centre keep the difference of their radii, whatever the angle."""
    outer = solid(straight_bar(at(-30), at(30), 20.0, 152.0, 160.0))
    for degrees in (0.0, 20.0, 90.0):
        ends = [turn(at(angle), Z, np.radians(degrees)) for angle in (-25.0, 35.0)]
        inner = solid(straight_bar(*ends, 12.0, 144.0, 150.3))
        assert distance(inner, outer) == pytest.approx(1.7, abs=0.02)
        tube = solid(round_bar(*ends, 8.0, 147.0))
        assert distance(tube, outer) == pytest.approx(1.0, abs=0.02)


# ------------------------------------------------------------------- the program against it


class Differences:
    """Counts and greatest differences over all designs."""

    def __init__(self):
        self.pairs = self.overlaps = self.near = 0
        self.worst = 0.0

    def add(self, found, expected):
        """Notes one pair of solids."""
        self.pairs += 1
        self.overlaps += expected <= 0.0
        self.near += 0.0 < expected < 1.0
        if expected > 0.0 and found > 0.0:
            self.worst = max(self.worst, abs(found - expected))


@pytest.fixture(scope="module")
def differences(request):
    """Gathers the differences; at the end they are printed."""
    differences = Differences()
    yield differences
    with request.config.pluginmanager.get_plugin("capturemanager").global_and_fixture_disabled():
        print(
            f"\nclearing: {differences.pairs} pairs of solids, {differences.overlaps} overlap,"
            f" {differences.near} nearer than 1 mm; greatest difference {differences.worst:.4f} mm"
        )


@pytest.mark.parametrize("design", DESIGNS, ids=lambda design: design.name)
def test_distances_of_all_pairs(tmp_path, differences, design):
    """Every pair that must keep a distance, and no other: within 0.1 mm, same verdict."""
    configuration = configuration_of(tmp_path / "design.toml", design.file(), design.active_joints())
    clearing = configuration["clearing"]
    found = {frozenset((pair["first"], pair["second"])): pair["distance_mm"] for pair in clearing}
    assert len(found) == len(clearing)
    solids = solids_of(configuration["parts"], design)
    pairs = {
        frozenset((first.name, second.name)): (first, second)
        for first, second in combinations(solids, 2)
        if is_looked_at(first, second)
    }
    assert found.keys() == pairs.keys()
    for names, pair in pairs.items():
        expected, given = distance(*pair), found[names]
        differences.add(given, expected)
        what = f"{' and '.join(sorted(names))}: {given} mm, cells {expected} mm"
        assert (given > 0.0) == (expected > 0.0) or max(given, expected) <= VERDICT_TOLERANCE, what
        if given > 0.0 and expected > 0.0:
            assert abs(given - expected) <= DISTANCE_TOLERANCE, what
