"""One arc link as a solid of bricks against beam theory and against the program.

The solids are this project's own 27-node bricks (`solid_bricks`); every comparison is made
on two meshes that must agree within 1 %. The plain arc is measured section against section
(`plain_arc_compliance`), the arc between bosses from hole to hole. Measure throughout:
max |dC_ij| / sqrt(C_ii C_jj) over the 6 x 6 compliance at the end.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_solid_arc.py
"""

from __future__ import annotations

from functools import cache
from math import pi, radians

import numpy as np
import pytest

from bar_section import Material
from curved_beam import arc_compliance
from designs import Design, design_file
from frame_model import RIGID, relative_difference
from linkage_geometry import TwoArcArm
from own_frame import transfer
from program import configuration_of
from solid_bricks import compliance_of_rigid_face, joined, stiffness
from solid_links import (
    Boss,
    Bricks,
    Link,
    bossed_arc_compliance,
    bossed_blocks,
    plain_arc_compliance,
)

#: Solid against curved beam, plain arc.
PLAIN_TOLERANCE = 0.01
#: Solid against curved beam with rigid end zones, arc between bosses.
BOSS_TOLERANCE = 0.03
#: One mesh against the other.
MESH_TOLERANCE = 0.01

ALUMINIUM = {"modulus": 68900.0, "poisson_ratio": 0.33}
#: Link, then bricks along, across and through for the coarse and for the fine mesh.
PLAIN = {
    "20 x 8 mm, 60 deg": (Link(150, radians(60), 20, 8, **ALUMINIUM), (16, 4, 2), (20, 6, 3)),
    "8 x 20 mm, 60 deg": (Link(150, radians(60), 8, 20, **ALUMINIUM), (16, 2, 4), (20, 3, 6)),
    "10 x 10 mm, 90 deg": (Link(150, radians(90), 10, 10, **ALUMINIUM), (18, 3, 3), (24, 4, 4)),
    "10 x 21 mm on 100 mm, 90 deg": (Link(100, radians(90), 10, 21, 113800.0, 0.342), (16, 2, 4), (20, 3, 6)),
}
#: Boss as tall as the bar or taller; hole of a bearing's outer diameter or of a pin.
BOSSED = {
    "bearing seat, boss as tall as the bar": (12.0, 6.0, Boss(18.0, 13.0, 6.0)),
    "bearing seat, boss taller": (12.0, 6.0, Boss(18.0, 13.0, 12.0)),
    "pin, boss as tall as the bar": (12.0, 6.0, Boss(18.0, 5.0, 6.0)),
    "pin, boss taller": (12.0, 8.0, Boss(18.0, 6.0, 14.0)),
    "square bar, bearing seat": (10.0, 10.0, Boss(16.0, 10.0, 14.0)),
}
COARSE, FINE = Bricks(16, 3, 2, 8, 2), Bricks(22, 4, 2, 12, 3)


@cache
def plain_solid(case):
    """Compliance on the fine mesh, after asserting that the coarse one agrees."""
    link, coarse, fine = PLAIN[case]
    found = plain_arc_compliance(link, *fine)
    assert relative_difference(plain_arc_compliance(link, *coarse), found) <= MESH_TOLERANCE
    return found


@cache
def bossed_solid(case):
    """Compliance on the fine mesh, after asserting that the coarse one agrees."""
    link, boss = bossed_link(case)
    found, _ = bossed_arc_compliance(link, boss, FINE)
    assert relative_difference(bossed_arc_compliance(link, boss, COARSE)[0], found) <= MESH_TOLERANCE
    return found


def bossed_link(case):
    """Link and boss of a case."""
    tangential, radial, boss = BOSSED[case]
    return Link(150.0, radians(60.0), tangential, radial, **ALUMINIUM), boss


# ---------------------------------------------------------------- the oracle checked by itself


def test_bricks_reproduce_the_stretched_and_the_sheared_block():
    """Derived: a block between a held and a moved face of equal strain; here without Poisson
    effect (nu = 0), where L/EA and L/GA hold exactly and bending gives 12 EI/L^3 with shear."""
    length, width, depth, modulus = 30.0, 4.0, 3.0, 1000.0
    axes = np.meshgrid(
        np.linspace(0, length, 25), np.linspace(-2, 2, 5), np.linspace(-1.5, 1.5, 5), indexing="ij"
    )
    mesh, (grid,) = joined([np.stack(axes, axis=-1)], 1e-6)
    assert mesh.volume() == pytest.approx(length * width * depth)
    matrix = stiffness(mesh, modulus, 0.0)
    end = np.array([length, 0.0, 0.0])
    found = compliance_of_rigid_face(mesh, matrix, grid[0], grid[-1], end)
    area, about_y, about_z = width * depth, width * depth**3 / 12.0, depth * width**3 / 12.0
    assert found[0, 0] == pytest.approx(length / (modulus * area), rel=1e-9)
    assert found[4, 4] == pytest.approx(length / (modulus * about_y), rel=1e-9)
    assert found[5, 5] == pytest.approx(length / (modulus * about_z), rel=1e-9)
    assert found[2, 4] == pytest.approx(-(length**2) / (2.0 * modulus * about_y), rel=1e-9)
    # the clamped, unwarped ends hold back a little of the shear: 5/6 to 1 of the area
    bending = length**3 / (3.0 * modulus * about_z)
    for shear_factor, sign in ((1.0, 1.0), (5.0 / 6.0, -1.0)):
        shear = length / (shear_factor * 0.5 * modulus * area)
        assert sign * (found[1, 1] - bending - shear) > 0.0


@pytest.mark.parametrize("winkler", [False, True])
def test_quadrature_of_the_curved_beam(winkler):
    """Derived closed forms (Castigliano), 15 digits, R = 50, 20 x 10 mm, 90 deg; N, mm."""
    link = Link(50.0, 0.5 * pi, 10.0, 20.0, 113800.0, 0.342)
    found = arc_compliance(link, winkler=winkler)
    t, n, r = 0, 1, 2
    expected = {
        (r, r): (1.3668688669349e-4, 1.31841295410649e-4),
        (r, t): (-8.48207381370826e-5, -8.39327754729744e-5),
        (t, t): (6.59701127690989e-5, 6.62804282711871e-5),
        (r, 3 + n): (-3.29525483304042e-6, -3.21579959536889e-6),
        (t, 3 + n): (1.8809193545526e-6, 1.90458225257965e-6),
        (3 + n, 3 + n): (1.0352348375186e-7, 1.02407636958971e-7),
        (n, n): (7.58333926613675e-4,) * 2,
        (3 + r, 3 + r): (4.09553375749e-7,) * 2,
        (3 + t, 3 + t): (4.09553375749e-7,) * 2,
        (3 + r, 3 + t): (-2.89060980150842e-9,) * 2,
    }
    for place, values in expected.items():
        assert found[place] == pytest.approx(values[winkler], rel=1e-6)


def test_bossed_solid_has_the_volume_of_its_parts():
    """Derived: bar b h R phi between the axes, each boss a cylinder between two spheres.

    What bar and boss share is the part of the boss's disc within the bar's width.
    """
    link, boss = bossed_link("bearing seat, boss taller")
    mesh, _ = joined(bossed_blocks(link, boss, FINE), 1e-5)
    rim, hole = 0.5 * boss.diameter, 0.5 * boss.hole
    inner, outer = (link.radius + 0.5 * side * boss.height for side in (-1.0, 1.0))
    distance = np.linspace(hole, rim, 4001)
    height = np.sqrt(outer**2 - distance**2) - np.sqrt(inner**2 - distance**2)
    disc = 2.0 * pi * np.trapezoid(distance * height, distance)
    mouth = np.arcsin(0.5 * link.tangential / rim)
    shared = rim**2 * (mouth + np.sin(mouth) * np.cos(mouth))
    bar = link.radial * (link.tangential * link.radius * link.arc - 2.0 * shared)
    assert mesh.volume() == pytest.approx(2.0 * disc + bar, rel=5e-4)


# --------------------------------------------------------------------- solids and beam theory


@pytest.mark.parametrize("case", PLAIN)
def test_plain_arc_is_a_curved_beam(case):
    """Winkler in the plane of the arc; bending, torsion and shear out of it: 1 %."""
    assert relative_difference(arc_compliance(PLAIN[case][0]), plain_solid(case)) <= PLAIN_TOLERANCE


@pytest.mark.parametrize("case", BOSSED)
def test_arc_between_bosses_has_rigid_end_zones(case):
    """The zone that `Boss.rigid_zone` gives, at both ends: 3 %."""
    link, boss = bossed_link(case)
    beam = arc_compliance(link, boss.rigid_zone(link))
    assert relative_difference(beam, bossed_solid(case)) <= BOSS_TOLERANCE


# ------------------------------------------------------------------- the program against it


def program_compliance(folder, link, arcs, end_zone):
    """What the program gives for a stretched two-arc arm with rigid joints; N, mm, rad."""
    design = Design(
        name="stretched arm",
        geometry=TwoArcArm(list(arcs)),
        mechanism_angles=np.zeros(2),
        layout="base-and-elbow",
        ratio=np.ones(2),
        section_keys={"shape": "rectangle", "tangential_mm": link.tangential, "radial_mm": link.radial},
        material=Material(link.modulus * 1e6, link.modulus * 1e6 / (2.0 * (1.0 + link.poisson_ratio))),
        joints=RIGID,
        joint_radius=link.radius / 1e3,
        tip_radius=link.radius / 1e3,
        tool_mass=0.0,
        centre_of_mass_radius=link.radius / 1e3,
        tool_roll=0.0,
        mount_axis=np.array([0.0, 0.0, 1.0]),
        mount_reference=np.array([1.0, 0.0, 0.0]),
        boss_diameter=2.0 * end_zone / 1e3,
    )
    found = configuration_of(folder / "arm.toml", design_file(design), np.zeros(2))["compliance"]
    scale = np.diag([1e3] * 3 + [1.0] * 3)  # m to mm; moments in N mm
    return scale @ np.array(found) @ scale / 1e3


@pytest.mark.parametrize("case", PLAIN)
def test_program_on_the_plain_arc(tmp_path, case):
    """An arm stretched with rigid joints is one arc, whichever way it is divided."""
    link = PLAIN[case][0]
    found = program_compliance(tmp_path, link, (0.4 * link.arc, 0.6 * link.arc), 0.0)
    assert relative_difference(found, plain_solid(case)) <= PLAIN_TOLERANCE


@pytest.mark.parametrize("case", BOSSED)
def test_program_on_the_arc_between_bosses(tmp_path, case):
    """A second arc that is hardly longer than its bosses carries the end on rigidly."""
    link, boss = bossed_link(case)
    zone = boss.rigid_zone(link)
    stub = 2.0 * zone / link.radius * (1.0 + 1e-4)
    found = program_compliance(tmp_path, link, (link.arc, stub), zone)
    frame, end = link.end_frame(link.arc)
    far_frame, far_end = link.end_frame(link.arc + stub)
    back = np.kron(np.eye(2), frame) @ transfer(end - far_end) @ np.kron(np.eye(2), far_frame.T)
    assert relative_difference(back @ found @ back.T, bossed_solid(case)) <= BOSS_TOLERANCE
