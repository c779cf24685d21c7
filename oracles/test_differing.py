"""Bars and joints that differ: frames whose members and joints each have their own.

The program named by CALOTTE_BIN is run on random designs with sections by level and by bar
and joints by level, on one sphere and built in layers: its compliance must be that of an
independent frame in which every bar and joint has what a second reading of the entries gives
it, its parts must lie where that reading puts them, and its mass must be the sum over bars
and bosses.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_differing.py
"""

from __future__ import annotations

import json
import os
import subprocess

import numpy as np
import pytest
import trimesh

from built_parts import largest_difference
from differing_designs import differing_built_designs, differing_designs, level_of
from frame_model import extrapolated, relative_difference, tip_compliance_by_library
from own_frame import tip_compliance_by_own_frame
from program import analysis_of, configuration_of
from test_meshes import VOLUME_TOLERANCE, faults, list_of, run_program

#: As in test_frame.py and test_built_frame.py.
COMPLIANCE_TOLERANCE = 1e-5
BUILT_TOLERANCE = 1e-6
PROGRAMS_TOLERANCE = 1e-6
COORDINATE_TOLERANCE = 1e-6
PLAIN = differing_designs()
BUILT = differing_built_designs()


def name_of(design):
    """Test name of a design."""
    return design.name


def by_both_programs(build):
    """Extrapolated compliance, after asserting that both frame programs agree on it."""
    own = extrapolated(tip_compliance_by_own_frame, build)
    library = extrapolated(tip_compliance_by_library, build)
    assert relative_difference(own, library) <= PROGRAMS_TOLERANCE
    return own


# ---------------------------------------------------------------- the oracle checked by itself


def test_levels_of_names():
    names = ["base-left", "side-right-2", "apex-3", "bar-left-1", "elbow", "second-arc", "first-arc", "base"]
    assert [level_of(name) for name in names] == [0, 2, 3, 1, 1, 1, 0, 0]


def test_there_are_enough_designs_and_they_differ():
    """Nothing below may pass because nothing is left to look at."""
    assert len(PLAIN) == 16 and len(BUILT) == 12
    for design in PLAIN + BUILT:
        keys = [design.own_sections.keys(bar, None) for bar in design.own_sections.bars]
        assert all(key != design.section_keys for key in keys)
        assert design.own_joints
    # By what differs the compliance moves far more than the tolerance.
    for design in PLAIN[:3]:
        plain = type(design).__mro__[1].frame(design, 20)
        moved = relative_difference(
            tip_compliance_by_own_frame(design.frame(20)), tip_compliance_by_own_frame(plain)
        )
        assert moved > 0.01, design.name


# ------------------------------------------------------------------- the program against it


@pytest.mark.parametrize("design", PLAIN, ids=name_of)
def test_compliance_on_one_sphere(tmp_path, design):
    """Every bar with its own section, every joint with its own stiffness and boss."""
    found = configuration_of(tmp_path / "design.toml", design.file(), design.active_joints())
    reference = by_both_programs(design.frame)
    difference = relative_difference(np.array(found["compliance"], dtype=float), reference)
    print(f"{design.name}: {difference:.1e}")
    assert difference <= COMPLIANCE_TOLERANCE


@pytest.mark.parametrize("design", PLAIN, ids=name_of)
def test_mass_on_one_sphere(tmp_path, design):
    """Area times length of every bar and the part of its bosses outside it."""
    path = tmp_path / "design.toml"
    path.write_text(design.file(), encoding="utf-8")
    assert analysis_of(path)["moving_mass_kg"] == pytest.approx(design.moving_mass(), rel=1e-6)


@pytest.mark.parametrize("design", BUILT, ids=name_of)
def test_built_parts_and_compliance(tmp_path, design):
    """Parts where the entries put them, and the frame of those very parts."""
    found = configuration_of(tmp_path / "design.toml", design.file(), design.active_joints())
    parts = found["parts"]
    assert largest_difference(parts, design.parts()) <= COORDINATE_TOLERANCE
    reference = by_both_programs(lambda n: design.built_frame(parts, n))
    difference = relative_difference(np.array(found["compliance"], dtype=float), reference)
    print(f"{design.name}: {difference:.1e}")
    assert difference <= BUILT_TOLERANCE


@pytest.mark.parametrize("design", BUILT, ids=name_of)
def test_meshes_are_closed_and_weigh_what_the_mass_model_says(tmp_path, design):
    """Meshes of bars and pins that differ, by a library that knows nothing of calotte."""
    path, out = tmp_path / "design.toml", tmp_path / "parts"
    path.write_text(design.file(), encoding="utf-8")
    run_program("parts", str(path), "--mesh", "--out", str(out))
    mass = 0.0
    for entry in list_of(out):
        mesh = trimesh.load_mesh(out / entry["file"])
        assert faults(mesh) == [], entry["file"]
        kinds = {solid.rpartition(" ")[2] for solid in entry["solids"]}
        if kinds == {"shaft"}:
            continue
        material = design.pin_material if kinds <= {"pin", "spacer"} else design.material
        mass += entry["count"] * mesh.volume * 1e-9 * material.density
    model = json.loads(run_program("analyse", str(path), "--json"))["moving_mass_kg"]
    assert mass == pytest.approx(model, rel=VOLUME_TOLERANCE)


def test_a_wrong_entry_is_refused(tmp_path):
    """A bar that the linkage has not: exit 2, and the line."""
    text = PLAIN[0].file()
    name = next(iter(PLAIN[0].own_sections.bars))
    path = tmp_path / "design.toml"
    path.write_text(text.replace(f'name = "{name}"', 'name = "bar-left-9"'), encoding="utf-8")
    run = subprocess.run(
        [os.environ["CALOTTE_BIN"], "analyse", str(path)], capture_output=True, text=True, check=False
    )
    assert run.returncode == 2
    assert 'no bar is named "bar-left-9"' in run.stderr
