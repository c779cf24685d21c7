"""calotte against an independent model: geometry by turning vectors, bars as straight frames.

First the oracle is held against published and derived values, so that it can be trusted;
then the program named by the environment variable CALOTTE_BIN is run on random designs.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_frame.py
"""

from __future__ import annotations

import json
import os
import subprocess
from dataclasses import replace
from math import pi, radians

import numpy as np
import pytest

import time_reference
from bar_section import Material, rectangle, rod, tube
from designs import (
    design_file,
    designs_with_bosses,
    designs_with_bracket,
    designs_with_drives,
    more_random_designs,
    random_designs,
)
from frame_model import (
    RIGID,
    JointStiffness,
    extrapolated,
    frame_of,
    relative_difference,
    tip_compliance_by_library,
)
from linkage_geometry import (
    BASE_AXIS,
    Joint,
    Linkage,
    ScissorLinkage,
    local_frame,
    polar_and_azimuth,
    polar_of_uniform_scissor,
    walk,
)
from own_frame import tip_compliance_by_own_frame

#: What the compliance of the program may differ from the oracle, max |dC_ij|/sqrt(C_ii C_jj).
COMPLIANCE_TOLERANCE = 1e-5
#: What the two frame programs may differ from each other on the same straight frame.
PROGRAMS_TOLERANCE = 2e-7
ALUMINIUM = Material(68.9e9, 26.0e9)
REAL_JOINTS = JointStiffness(axial=3.0e6, radial=6.0e6, tilt=300.0)


# ---------------------------------------------------------------- the oracle checked by itself


def by_both_programs(build):
    """Extrapolated compliance, after asserting that both frame programs agree on it."""
    own = extrapolated(tip_compliance_by_own_frame, build)
    library = extrapolated(tip_compliance_by_library, build)
    assert relative_difference(own, library) <= PROGRAMS_TOLERANCE
    return own


def uniform_scissor(stages, arc, half_opening, carried_by="left"):
    """Uniform scissor linkage without bends, at a swing of 0.3 rad."""
    geometry = ScissorLinkage([arc] * stages, [arc] * stages, [0.0] * (stages - 1), carried_by)
    return geometry.configuration(0.3, 2.0 * half_opening)


def circular_arc(radius, arc):
    """One arc clamped at the base axis, its tip frame (t, z, r) = (polar, azimuth, radial)."""
    linkage = Linkage()
    start = linkage.add_station("arc", BASE_AXIS)
    linkage.joints.append(Joint("clamp", None, start, BASE_AXIS, driven=True))
    tip = walk(BASE_AXIS, np.array([1.0, 0.0, 0.0]), arc)
    linkage.tool_station = linkage.add_arc("arc", start, tip)
    linkage.carry_tool(0.0)
    return lambda material, section, n: frame_of(linkage, material, section, RIGID, radius, radius, n)


@pytest.mark.parametrize(
    "proximal, distal, bends, half_opening, polar",
    [
        # derived: closed form and rigid-bar Newton iteration, two programs
        ([23.5, 23.5], [23.5, 23.5], [0.0], 50.0, 62.461012),
        ([38.0], [50.0], [], 65.0, 57.505687),
        ([30.0, 28.0], [31.0, 29.0], [55.0], 40.0, 55.196117),
    ],
)
def test_polar_angle_of_scissor_linkages(proximal, distal, bends, half_opening, polar):
    geometry = ScissorLinkage(*(np.radians(angles).tolist() for angles in (proximal, distal, bends)))
    direction = geometry.configuration(0.3, radians(2.0 * half_opening)).tool_direction
    found = polar_and_azimuth(direction)
    assert np.degrees(found[0]) == pytest.approx(polar, abs=6e-7)
    assert found[1] == pytest.approx(0.3, abs=1e-12)


@pytest.mark.parametrize("stages", [1, 2, 3, 4])
def test_uniform_stages_follow_the_half_angle_formula(stages):
    """Derived: tan(theta / 2m) = tan(arc) cos(half opening), right spherical triangle (Napier)."""
    arc, half_opening = radians(60.0 / stages), radians(55.0)
    polar, _ = polar_and_azimuth(uniform_scissor(stages, arc, half_opening).tool_direction)
    assert polar == pytest.approx(polar_of_uniform_scissor(stages, arc, half_opening), abs=1e-12)


def test_sections():
    """Derived: torsion by series to 7 digits; shear factors by Cowper's published formula."""
    assert rectangle(0.012, 0.006).torsion == pytest.approx(5.927429e-10, rel=1e-6)
    assert rectangle(0.008, 0.020).torsion == pytest.approx(2553.4983650118284e-12, rel=1e-10)
    assert tube(0.020, 0.016, 0.3).shear_factor == pytest.approx(0.5410765573932851, rel=1e-12)
    assert rod(0.010, 0.3).shear_factor == pytest.approx(0.8863636363636364, rel=1e-12)


# Castigliano for a clamped circular arc, checked by 30-digit quadrature; N, mm, MPa.
# r radial, t along the tangent, z normal to the plane.
CIRCULAR_ARCS = {
    "60 deg, 20 x 8 mm": (
        150,
        60,
        8,
        20,
        68900.0,
        0.33,
        {
            "rr": 0.00285681551109592,
            "rt": -0.00115924800435414,
            "tt": 0.000530869328450035,
            "r,Rz": -3.06150217706821e-5,
            "t,Rz": 1.1093178474529e-5,
            "Rz,Rz": 4.27466344374518e-7,
            "zz": 0.020492900685397,
            "z,Rr": 0.000186030470546638,
            "z,Rt": -7.46848995088919e-5,
            "Rr,Rr": 2.58464013739354e-6,
            "Rr,Rt": -1.06268310402517e-7,
            "Rt,Rt": 2.4619320621591e-6,
        },
    ),
    "90 deg, 6 x 24 mm": (
        200,
        90,
        24,
        6,
        71700.0,
        0.33,
        {
            "rr": 0.202914688925053,
            "rt": -0.129160132238235,
            "tt": 0.0920609069102012,
            "r,Rz": -0.00129138901802779,
            "t,Rz": 0.000737120107953531,
            "Rz,Rz": 1.01425456299066e-5,
            "zz": 0.0853955215992432,
            "z,Rr": 0.000550050866620952,
            "z,Rt": 0.000155372038776626,
            "Rr,Rr": 4.3200894041927e-6,
            "Rr,Rt": 2.34669526497107e-6,
            "Rt,Rt": 4.3200894041927e-6,
        },
    ),
}


@pytest.mark.parametrize("case", CIRCULAR_ARCS)
def test_circular_arc_against_castigliano(case):
    radius, arc, tangential, radial, modulus, nu, expected = CIRCULAR_ARCS[case]
    material = Material(modulus * 1e6, modulus * 1e6 / (2.0 * (1.0 + nu)))
    frame = circular_arc(radius / 1e3, radians(arc))
    found = by_both_programs(lambda n: frame(material, rectangle(tangential / 1e3, radial / 1e3), n))
    index = {"t": 0, "z": 1, "r": 2, "Rt": 3, "Rz": 4, "Rr": 5}
    reference = np.zeros((6, 6))
    for key, value in expected.items():
        first, second = (index[name] for name in (key.split(",") if "," in key else key))
        si = 10.0 ** (-3 + 3 * (first >= 3) + 3 * (second >= 3))
        reference[first, second] = reference[second, first] = value * si
    assert relative_difference(found, reference) <= 1e-6


def test_published_quarter_circle_loaded_normal_to_its_plane():
    """Published: 2.648 in for R = 100 in, round bar r = 1 in, E = 3e7 psi, 50 lb.

    Quoted from Timoshenko, Strength of Materials (1955), in a public verification manual.
    Poisson's ratio 0.3 is our assumption; 0.1 % covers it and the rounding of the source.
    """
    material, section = Material(3.0e7, 3.0e7 / 2.6), rod(2.0, 0.3)
    frame = circular_arc(100.0, pi / 2.0)
    found = by_both_programs(lambda n: frame(material, section, n))
    assert 50.0 * found[1, 1] == pytest.approx(2.648, rel=1e-3)


@pytest.mark.parametrize(
    "stages, arc, half_opening, expected",
    [
        # derived: exact curved elements against a fine straight frame; um/N
        (2, 23.5, 50.0, (27.23632, 12.17419, 58.13357, -29.29530)),
        (3, 47.0 / 3.0, 50.0, (22.64159, 11.45586, 55.86963, -25.24721)),
        (4, 11.75, 30.0, (34.73521, 33.01969, 83.13557, -47.92344)),
    ],
)
def test_scissor_with_rigid_joints(stages, arc, half_opening, expected):
    linkage = uniform_scissor(stages, radians(arc), radians(half_opening))
    found = by_both_programs(
        lambda n: frame_of(linkage, ALUMINIUM, rectangle(0.012, 0.006), RIGID, 0.15, 0.15, n)
    )
    values = 1e6 * np.array([found[0, 0], found[1, 1], found[2, 2], found[0, 2]])
    assert values == pytest.approx(np.array(expected), rel=1e-6, abs=6e-6)


# derived: exact curved elements, total arc 94 deg, m = 1 ... 6; N/mm
LEAST_STIFFNESS = {
    30: ((8.335, 28.58, 37.93, 39.99, 38.21, 34.62), (4.682, 10.46, 7.900, 4.385, 2.463, 1.482)),
    60: ((8.676, 14.05, 14.94, 15.22, 15.32, 15.34), (5.074, 6.870, 6.550, 5.973, 5.312, 4.575)),
    80: ((7.553, 8.955, 9.143, 9.201, 9.223, 9.230), (4.396, 4.545, 4.186, 3.834, 3.516, 3.230)),
}


@pytest.mark.parametrize("polar", LEAST_STIFFNESS)
@pytest.mark.parametrize("joints", ["rigid", "real"])
def test_least_translational_stiffness(polar, joints):
    stiffness = RIGID if joints == "rigid" else REAL_JOINTS
    found = []
    for stages in range(1, 7):
        arc = radians(47.0 / stages)
        half_opening = np.arccos(np.tan(radians(polar) / (2 * stages)) / np.tan(arc))
        linkage = uniform_scissor(stages, arc, half_opening)
        compliance = extrapolated(
            tip_compliance_by_own_frame,
            lambda n: frame_of(linkage, ALUMINIUM, rectangle(0.012, 0.006), stiffness, 0.15, 0.15, n),
            coarse=10,
            fine=20,
        )
        found.append(1e-3 / np.linalg.eigvalsh(compliance[:3, :3])[-1])
    assert np.array(found) == pytest.approx(np.array(LEAST_STIFFNESS[polar][joints == "real"]), rel=1e-3)


# derived: rhombus of four 30 deg arcs, 20 x 8 mm, R = 150 mm, E = 68.9 GPa, nu = 0.33, base
# clamped; exact curved elements (rigid), two frame programs (springs); 1e-3 mm/N
RHOMBUS = {
    "rigid, 60 deg": (60.0, RIGID, (7.25256302, -3.03249304, 1.61082692, 1.34826058, 0.0, 0.0)),
    "rigid, 90 deg": (90.0, RIGID, (5.42465863, -2.40198001, 1.66928946, 0.780891761, 0.0, 0.0)),
    "springs at the centre line": (
        60.0,
        0.0,
        (7.786432403, -3.196023337, 1.721393549, 1.526382153, 7.84078e-3, 2.803151e-2),
    ),
    "springs 5 mm inward": (
        60.0,
        -0.005,
        (7.753960517, -3.221318771, 1.750239462, 1.527580391, 1.172474e-2, 3.315538e-2),
    ),
    "springs 5 mm outward": (
        60.0,
        0.005,
        (7.819999068, -3.168645037, 1.700366273, 1.553396041, 3.66432e-3, 2.790195e-2),
    ),
}


@pytest.mark.parametrize("case", RHOMBUS)
def test_rhombus(case):
    opening, joints, expected = RHOMBUS[case]
    if joints is not RIGID:
        joints = JointStiffness(axial=2e7, radial=2e7, tilt=5e3, offset=joints)
    geometry = ScissorLinkage([radians(30.0)], [radians(30.0)], [])
    linkage = geometry.configuration(0.0, radians(opening))
    material = Material(68.9e9, 68.9e9 / 2.66)
    found = by_both_programs(
        lambda n: frame_of(
            linkage, material, rectangle(0.020, 0.008), joints, 0.15, 0.15, n, base_stiffness=RIGID
        )
    )
    polar, azimuth, radial = range(3)
    pairs = [
        (radial, radial),
        (radial, polar),
        (polar, polar),
        (azimuth, azimuth),
        (radial, azimuth),
        (polar, azimuth),
    ]
    values = np.array([1e6 * found[pair] for pair in pairs])
    assert values == pytest.approx(np.array(expected), rel=1e-6, abs=1e-8)


def test_two_arc_arm_is_the_sum_over_its_chain():
    """Derived: for a serial arm, compliance adds up over the chain, C = sum of J C_part J^T."""
    design = next(design for design in random_designs() if "arm" in design.name and not design.joints.rigid)
    whole = by_both_programs(design.frame)
    linkage, radius = design.linkage(), design.joint_radius
    tip = design.tip_radius * linkage.tool_direction
    into_tip_frame = np.kron(np.eye(2), local_frame(linkage.tool_direction))

    def carried(compliance, axes, point):
        """`compliance` at `point`, rows `axes`, seen at the tip in the tip's frame."""
        x, y, z = tip - point
        motion = np.eye(6)
        motion[:3, 3:] = np.array([[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]])
        to_base = np.kron(np.eye(2), axes.T)
        change = into_tip_frame @ motion @ to_base
        return change @ compliance @ change.T

    total = np.zeros((6, 6))
    for joint in linkage.joints:
        along = np.outer(joint.axis, joint.axis)
        across = np.eye(3) - along
        joints = design.joints
        spring = np.zeros((6, 6))
        spring[:3, :3] = along / joints.axial + across / joints.radial
        spring[3:, 3:] = across / joints.tilt
        total += carried(spring, np.eye(3), radius * joint.axis)
    for arc in linkage.arcs:
        start, end = linkage.stations[arc.start].direction, linkage.stations[arc.end].direction
        frame = circular_arc(radius, linkage.arc_length(arc))
        part = extrapolated(tip_compliance_by_own_frame, lambda n: frame(design.material, design.section, n))
        normal = np.cross(start, end) / np.linalg.norm(np.cross(start, end))
        total += carried(part, np.array([np.cross(normal, end), normal, end]), radius * end)
    assert relative_difference(whole, total) <= 1e-7


def test_straight_frame_converges_as_the_square():
    """Derived: a chord frame errs as 1/n^2, so extrapolating again hardly moves the answer."""
    design = random_designs()[0]
    first = extrapolated(tip_compliance_by_own_frame, design.frame, 20, 40)
    second = extrapolated(tip_compliance_by_own_frame, design.frame, 40, 80)
    assert relative_difference(first, second) <= 2e-7
    errors = [relative_difference(tip_compliance_by_own_frame(design.frame(n)), second) for n in (10, 20)]
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.02)


def test_timing_reference_computes_what_it_is_timed_for():
    """The timed programs give the oracle's compliance: exactly, and to 1e-3."""
    reference = time_reference.oracle_compliance()
    for solver, compliance in time_reference.same_unknowns_compliances().items():
        assert relative_difference(compliance, reference) <= 1e-6, solver
    for solver, compliance in time_reference.straight_segment_compliances().items():
        assert relative_difference(compliance, reference) <= 1e-3, solver


# ------------------------------------------------------------------- the program against it

LONG_FORM = bool(os.environ.get("CALOTTE_LONG"))
SHORT_COUNT, LONG_COUNT = 16, 76
DESIGNS = random_designs() + (more_random_designs(LONG_COUNT - SHORT_COUNT) if LONG_FORM else [])
EXTRA_DESIGNS = designs_with_bracket() + designs_with_bosses()
DRIVEN_DESIGNS = designs_with_drives()


def name_of(design):
    """Test name of a design."""
    return design.name


class Program:
    """Runs the program once per design and gathers the differences for the table."""

    def __init__(self, folder):
        self.folder = folder
        self.configurations = {}
        self.differences = {}

    def configuration(self, design):
        """`configurations[0]` of `analyse --joints --json` for the design."""
        if design.name not in self.configurations:
            self.configurations[design.name] = self._analyse(design)
        return self.configurations[design.name]

    def _analyse(self, design):
        binary = os.environ.get("CALOTTE_BIN")
        if not binary:
            pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
        path = self.folder / f"{len(self.configurations):02d}.toml"
        path.write_text(design_file(design), encoding="utf-8")
        joints = ",".join(repr(float(angle)) for angle in np.degrees(design.active_joints()))
        command = [binary, "analyse", str(path), "--joints", joints, "--json"]
        run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
        if run.returncode != 0:
            pytest.fail(f"exit {run.returncode} of {' '.join(command)}\n{run.stderr}\n{design_file(design)}")
        (configuration,) = json.loads(run.stdout)["configurations"]
        assert configuration["joints_deg"] == pytest.approx(
            np.degrees(design.active_joints()).tolist(), abs=1e-9
        )
        return configuration

    def note(self, design, quantity, difference):
        """Keeps a difference for the table and returns it."""
        self.differences.setdefault(design.name, {})[quantity] = difference
        return difference

    def table(self):
        """Differences, one line per design."""
        quantities = ["compliance", "direction deg", "passive deg", "roll deg", "LCI", "torque"]
        width = max(map(len, self.differences), default=0)
        yield f"{'design':{width}} " + " ".join(f"{quantity:>13}" for quantity in quantities)
        for name, found in self.differences.items():
            cells = (
                f"{found[quantity]:13.1e}" if quantity in found else f"{'':13}" for quantity in quantities
            )
            yield f"{name:{width}} " + " ".join(cells)


@pytest.fixture(scope="module")
def program(tmp_path_factory, request):
    """The program under test; at the end the table of differences is printed."""
    program = Program(tmp_path_factory.mktemp("designs"))
    yield program
    if program.differences:
        with request.config.pluginmanager.get_plugin("capturemanager").global_and_fixture_disabled():
            print("", *program.table(), sep="\n")
            print(f"random cases: {len(DESIGNS)} (short form {SHORT_COUNT}, long form {LONG_COUNT})")


def test_drives_add_their_own_compliance_alone():
    """The oracle's own drives: with one of them soft the tip turns about its joint as by torque / k."""
    for design in DRIVEN_DESIGNS:
        rigid = replace(design, drive_stiffness=(None, None))
        found = by_both_programs(design.frame) - by_both_programs(rigid.frame)
        given = sum(stiffness is not None for stiffness in design.drive_stiffness)
        sizes = np.linalg.svd(found, compute_uv=False)
        assert sizes[given - 1] > 1e-3 * sizes[0]
        # What is left of a difference of two extrapolated compliances.
        assert given == 2 or sizes[1] < 1e-5 * sizes[0]


@pytest.mark.parametrize("design", DESIGNS + EXTRA_DESIGNS + DRIVEN_DESIGNS, ids=name_of)
def test_compliance(program, design):
    reference = by_both_programs(design.frame)
    found = np.array(program.configuration(design)["compliance"], dtype=float)
    assert found.shape == (6, 6)
    difference = program.note(design, "compliance", relative_difference(found, reference))
    assert difference <= COMPLIANCE_TOLERANCE


@pytest.mark.parametrize("design", DESIGNS + EXTRA_DESIGNS, ids=name_of)
def test_direction_roll_and_passive_angles(program, design):
    """Angles to 1e-6 deg; the direction as a vector, so that no azimuth is special."""
    configuration, linkage = program.configuration(design), design.linkage()
    polar, azimuth = (radians(configuration["direction_deg"][key]) for key in ("polar", "azimuth"))
    found = np.array([np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth), np.cos(polar)])
    apart = np.degrees(np.linalg.norm(found - linkage.tool_direction))
    assert program.note(design, "direction deg", apart) <= 1e-6

    roll = configuration["roll_deg"] - np.degrees(linkage.roll() + design.tool_roll)
    assert program.note(design, "roll deg", abs((roll + 180.0) % 360.0 - 180.0)) <= 1e-6

    reported = [min(angle % 360.0, -angle % 360.0) for angle in configuration["passive_deg"].values()]
    worst = 0.0
    for name, angle in linkage.passive_angles.items():
        # names and order of the bodies are the program's own: match by value, each value once
        assert reported, f"passive angle at {name} is missing"
        nearest = min(reported, key=lambda value: abs(value - np.degrees(angle)))
        reported.remove(nearest)
        worst = max(worst, abs(nearest - np.degrees(angle)))
    assert program.note(design, "passive deg", worst) <= 1e-6


@pytest.mark.parametrize("design", DESIGNS, ids=name_of)
def test_local_conditioning_index(program, design):
    """sigma_min/sigma_max over the active joints, from differences of the tool direction."""
    found, reference = program.configuration(design)["lci"], design.conditioning_index()
    assert program.note(design, "LCI", abs(found - reference)) <= 1e-8


@pytest.mark.parametrize("design", DESIGNS + designs_with_bracket(), ids=name_of)
def test_holding_torque(program, design):
    """Differences of the potential energy of tool and bars, against the moment of all weight."""
    found = np.array(program.configuration(design)["holding_torque_nm"], dtype=float)
    error = np.max(np.abs(found - design.holding_torque())) / design.weight_moment()
    assert program.note(design, "torque", error) <= 1e-8
