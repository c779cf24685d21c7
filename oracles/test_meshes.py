"""Meshes of printed parts: read, checked and weighed by a library that knows nothing of calotte.

The program named by CALOTTE_BIN writes the parts of random built designs with
`calotte parts DESIGN --mesh --out DIR`: one STL file for each part and the list parts.json,
[{"file", "volume_mm3", "count", "solids"}]. Every file must be a closed solid with outward
normals, as large as the list says (1e-6) and as the part is (0.5 %); all of them together
weigh what the program's mass model says (0.5 %).

First the checks themselves are shown to see what they should.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_meshes.py
"""

from __future__ import annotations

import json
import os
import subprocess

import numpy as np
import pytest
import trimesh

from built_designs import more_random_built_designs, random_built_designs
from part_volumes import Arc, Boss, volumes_of
from program import LONG_FORM

#: What the volume read may differ from the one listed: both come from the same facets.
LISTED_TOLERANCE = 1e-6
#: What a mesh may differ from the part it stands for.
VOLUME_TOLERANCE = 0.005
DESIGNS = random_built_designs() + (more_random_built_designs() if LONG_FORM else [])


def faults(mesh):
    """What keeps a mesh from being a closed solid, in words."""
    found = []
    if not mesh.is_watertight:
        found.append("not watertight")
    if not mesh.is_winding_consistent:
        found.append("winding not consistent")
    if mesh.volume <= 0.0:
        found.append("inside out")
    if not np.all(np.isfinite(mesh.vertices)):
        found.append("not finite")
    if np.min(mesh.area_faces, initial=np.inf) <= 0.0:
        found.append("triangles without area")
    return found


# ---------------------------------------------------------------- the oracle checked by itself


def ball():
    """A closed mesh of our own."""
    return trimesh.creation.icosphere(subdivisions=3, radius=10.0)


def test_a_sound_mesh_has_no_faults():
    assert faults(ball()) == []


def test_faults_are_seen():
    opened = ball()
    opened.update_faces(np.arange(len(opened.faces)) > 0)
    assert "not watertight" in faults(opened)
    turned = ball()
    turned.faces[5] = turned.faces[5][::-1]
    assert "winding not consistent" in faults(trimesh.Trimesh(turned.vertices, turned.faces, process=False))
    inverted = trimesh.Trimesh(ball().vertices, ball().faces[:, ::-1], process=False)
    assert "inside out" in faults(inverted)


def test_points_fill_pieces_of_known_volume():
    """Derived: width * height * radius * arc; torus by Pappus; a round by its straight height."""
    start, end = np.array([1.0, 0.0, 0.0]), np.array([0.6, 0.8, 0.0])
    angle = np.arctan2(0.8, 0.6)
    for piece, volume in [
        (Arc(start, end, 150.0, 12.0, 8.0, round=False), 12.0 * 8.0 * 150.0 * angle),
        (Arc(start, end, 150.0, 10.0, 10.0, round=True), 25.0 * np.pi * 150.0 * angle),
        (Boss(end, 1.0, 100.0, 120.0), np.pi * 20.0),
    ]:
        points, volumes = piece.filled(100_000)
        assert np.sum(volumes) == pytest.approx(volume, rel=2e-4)
        assert np.mean(piece.contains(points)) > 0.999


# ------------------------------------------------------------------- the program against it


def run_program(*arguments):
    """Output of the program; fails the test with the program's own words."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    run = subprocess.run([binary, *arguments], capture_output=True, text=True, timeout=300, check=False)
    # 1: computed, a requirement is not met
    if run.returncode not in (0, 1):
        pytest.fail(f"exit {run.returncode} of {' '.join(map(str, arguments))}\n{run.stderr}")
    return run.stdout


def written_by(folder, design):
    """Design file and the folder of its parts."""
    path, out = folder / "design.toml", folder / "parts"
    path.write_text(design.file(), encoding="utf-8")
    run_program("parts", str(path), "--mesh", "--out", str(out))
    return path, out


def list_of(folder):
    """parts.json, whose files are all the STL files there are."""
    listed = json.loads((folder / "parts.json").read_text(encoding="utf-8"))["parts"]
    files = sorted(entry["file"] for entry in listed)
    assert files == sorted(path.name for path in folder.glob("*.stl"))
    assert all(entry["count"] == len(entry["solids"]) >= 1 for entry in listed)
    return listed


@pytest.fixture(scope="module", params=DESIGNS, ids=lambda design: design.name)
def made(request, tmp_path_factory):
    """A design, its file, its parts' list and their meshes by file name."""
    folder = tmp_path_factory.mktemp("parts")
    path, out = written_by(folder, request.param)
    listed = list_of(out)
    meshes = {entry["file"]: trimesh.load_mesh(out / entry["file"]) for entry in listed}
    return request.param, path, out, listed, meshes


def test_files_are_closed_solids(made):
    _, _, out, listed, meshes = made
    for entry in listed:
        mesh = meshes[entry["file"]]
        assert faults(mesh) == [], entry["file"]
        assert mesh.volume == pytest.approx(entry["volume_mm3"], rel=LISTED_TOLERANCE), entry["file"]
        header = (out / entry["file"]).read_bytes()[:80]
        assert header.startswith(b"Design aid.") and header.rstrip().endswith(b" mm"), header


def test_every_part_is_there_and_as_large_as_it_should_be(made):
    design, _, _, listed, _ = made
    expected = volumes_of(design.parts(), design)
    found = {solid: entry["volume_mm3"] for entry in listed for solid in entry["solids"]}
    assert sum(entry["count"] for entry in listed) == len(found)
    assert found.keys() == expected.keys()
    for solid, volume in expected.items():
        assert found[solid] == pytest.approx(volume, rel=VOLUME_TOLERANCE), solid


def test_parts_weigh_what_the_mass_model_says(made):
    """Bars, pins and spacers; the shafts belong to the drives, the bearings have no mass here."""
    design, path, _, listed, _ = made
    mass = 0.0
    for entry in listed:
        kinds = {solid.rpartition(" ")[2] for solid in entry["solids"]}
        if kinds == {"shaft"}:
            continue
        of_pins = kinds <= {"pin", "spacer"}
        material = design.pin_material if of_pins else design.material
        mass += entry["count"] * entry["volume_mm3"] * 1e-9 * material.density
    model = json.loads(run_program("analyse", str(path), "--json"))["moving_mass_kg"]
    assert mass == pytest.approx(model, rel=VOLUME_TOLERANCE)
