"""Built linkages (layers, pins, bearings) against a frame made from the parts' coordinates.

First the frame model is held against hand calculation and its two programs against each
other; then the program named by CALOTTE_BIN is run on random built designs: its parts must
lie where the design's angles and sizes put them, and the compliance it gives must be that
of the frame made from those very parts.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_built_frame.py
"""

from __future__ import annotations

import numpy as np
import pytest

from bar_section import Material, rectangle
from built_designs import more_random_built_designs, random_built_designs
from built_frame import FrameBuilder, metres, pin_section
from built_parts import BearingPair, largest_difference
from frame_model import extrapolated, relative_difference, tip_compliance_by_library
from linkage_geometry import local_frame, unit
from own_frame import member_stiffness, tip_compliance_by_own_frame, transfer
from program import LONG_FORM, configuration_of

#: What the compliance of the program may differ from the frame, max |dC_ij|/sqrt(C_ii C_jj).
COMPLIANCE_TOLERANCE = 1e-6
#: What the two frame programs may differ from each other on the same straight frame.
#: Pins and shafts up to 1e5 times stiffer than bars cost the library digits.
PROGRAMS_TOLERANCE = 1e-6
#: What a printed coordinate may differ from where the design puts it, mm.
COORDINATE_TOLERANCE = 1e-6
DESIGNS = random_built_designs() + (more_random_built_designs() if LONG_FORM else [])


def by_both_programs(build):
    """Extrapolated compliance, after asserting that both frame programs agree on it."""
    own = extrapolated(tip_compliance_by_own_frame, build)
    library = extrapolated(tip_compliance_by_library, build)
    assert relative_difference(own, library) <= PROGRAMS_TOLERANCE
    return own


def name_of(design):
    """Test name of a design."""
    return design.name


# ---------------------------------------------------------------- the oracle checked by itself

STEEL = Material(200e9, 77e9)
PIN = {"diameter_mm": 5.0, "bore_mm": 2.0, "joint": "apex", "driven": False}
PAIR = BearingPair(0.005, 0.014, 0.005, radial=2e7, axial=6e6, spacing=0.009, both_locate=True)


def test_stiffness_of_a_bearing_pair():
    """Two springs at half the spacing to either side (derived)."""
    assert PAIR.radial_of_pair == pytest.approx(4e7)
    assert PAIR.axial_of_pair == pytest.approx(1.2e7)
    assert PAIR.tilt_of_pair == pytest.approx(2.0 * 2e7 * 0.0045**2)


@pytest.mark.parametrize("inward", [False, True])
def test_pin_and_bearings_in_series_by_hand(inward):
    """Round cantilever, shear factor 0.9, and the pair at its end; bar held at the bearings.

    s^3/3EI + s/0.9GA across, s^2/2EI coupling, s/EI by moments, s/EA along (derived).
    """
    length = 0.012
    ends = ([0.0, 0.0, 150.0 + 1e3 * length], [0.0, 0.0, 150.0])
    start, end = ends if inward else ends[::-1]
    bending = STEEL.youngs_modulus * np.pi * (0.005**4 - 0.002**4) / 64.0
    area = np.pi * (0.005**2 - 0.002**2) / 4.0
    cantilever = np.zeros((6, 6))
    across = length**3 / (3.0 * bending) + length / (0.9 * STEEL.shear_modulus * area)
    cantilever[[0, 1], [0, 1]] = across + 1.0 / 4e7
    cantilever[2, 2] = length / (STEEL.youngs_modulus * area) + 1.0 / 1.2e7
    cantilever[[3, 4], [3, 4]] = length / bending + 1.0 / (2.0 * 2e7 * 0.0045**2)
    coupling = (-1.0 if inward else 1.0) * length**2 / (2.0 * bending)
    cantilever[0, 4] = cantilever[4, 0] = coupling
    cantilever[1, 3] = cantilever[3, 1] = -coupling

    block = member_stiffness(
        metres(start), metres(end), STEEL, pin_section(0.005, 0.002), beside=np.array([1.0, 0.0, 0.0])
    )
    tip = np.linalg.inv(block[6:, 6:])
    pair = np.diag([1 / 4e7, 1 / 4e7, 1 / 1.2e7, *[1.0 / (2.0 * 2e7 * 0.0045**2)] * 2, 0.0])
    free = [0, 1, 2, 3, 4]
    assert relative_difference((tip + pair)[np.ix_(free, free)], cantilever[np.ix_(free, free)]) <= 1e-12


def test_parts_that_do_not_meet_are_refused():
    """A pin beside its bar is not joined to the nearest node in silence."""
    parts = {"boss_diameter_mm": 0.0, "bars": [{"name": "bar"}]}
    builder = FrameBuilder(parts, STEEL, rectangle(0.012, 0.006))
    arc = {"from_mm": [0.0, 0.0, 150.0], "to_mm": [150.0, 0.0, 0.0], "rigid_mm": [0.0, 0.0]}
    builder.add_arc({"name": "bar", "radius_mm": 150.0}, arc, 4)
    beside = PIN | {"clamped_in": "bar", "from_mm": [0.0, 0.001, 150.0], "to_mm": [0.0, 0.001, 160.0]}
    with pytest.raises(ValueError, match="has no station"):
        builder.add_pin(beside | {"bearings_in": "ground"}, STEEL, PAIR)
    with pytest.raises(ValueError, match="does not lie at its radius"):
        builder.add_arc({"name": "bar", "radius_mm": 151.0}, arc, 4)


@pytest.mark.parametrize("design", [design for design in DESIGNS if "arm" in design.name], ids=name_of)
def test_built_arm_is_the_sum_over_its_chain(design):
    """Derived: for a serial arm compliance adds up, C = sum of J C_part J^T.

    Arcs by Castigliano's integrals, evaluated by Gauss quadrature; pins by hand formulas.
    """
    parts = design.parts()
    whole = by_both_programs(lambda n: design.built_frame(parts, n))
    tip, tip_frame = metres(parts["tool"]["tip_mm"]), local_frame(unit(metres(parts["tool"]["tip_mm"])))
    total = np.zeros((6, 6))

    def add(compliance, axes, point):
        change = np.kron(np.eye(2), tip_frame) @ transfer(tip - point) @ np.kron(np.eye(2), axes.T)
        nonlocal total
        total = total + change @ compliance @ change.T

    for bar in parts["bars"]:
        start, end = (metres(bar["arcs"][0][key]) for key in ("from_mm", "to_mm"))
        rigid = [length / 1e3 for length in bar["arcs"][0]["rigid_mm"]]
        for weight, axes, point in arc_quadrature(start, end, rigid):
            add(weight * section_flexibility(design), axes, point)
    for pin in parts["pins"]:
        start, end = (metres(pin[key]) for key in ("from_mm", "to_mm"))
        axis = unit(end - start)
        axes = np.array([*np.linalg.svd(axis[None])[2][1:], axis])
        axes[1] = np.cross(axes[2], axes[0])
        section = pin_section(pin["diameter_mm"] / 1e3, pin["bore_mm"] / 1e3)
        add(pin_and_pair(design, section, np.linalg.norm(end - start)), axes, end)
    assert relative_difference(whole, total) <= 1e-7


def arc_quadrature(start, end, rigid):
    """Weights (m), axes (normal of the plane, tangent, radial) and points along a flexible arc."""
    radius, normal = np.linalg.norm(start), unit(np.cross(start, end))
    ray, onward = unit(start), np.cross(normal, unit(start))
    length = np.arctan2(end @ onward, end @ ray)
    low, high = rigid[0] / radius, length - rigid[1] / radius
    for place, weight in zip(*np.polynomial.legendre.leggauss(24)):
        angle = 0.5 * (low + high) + 0.5 * (high - low) * place
        radial = np.cos(angle) * ray + np.sin(angle) * onward
        axes = np.array([normal, np.cross(normal, radial), radial])
        yield 0.5 * (high - low) * weight * radius, axes, radius * radial


def section_flexibility(design):
    """Per length, rows (normal, tangent, radial) of force and moment."""
    material, section = design.material, design.section
    shear = section.shear_factor * material.shear_modulus * section.area
    return np.diag(
        [
            1.0 / shear,
            1.0 / (material.youngs_modulus * section.area),
            1.0 / shear,
            1.0 / (material.youngs_modulus * section.in_plane),
            1.0 / (material.shear_modulus * section.torsion),
            1.0 / (material.youngs_modulus * section.out_of_plane),
        ]
    )


def pin_and_pair(design, section, length):
    """Of a pin's end with its pair of bearings, locked about its axis; axis last."""
    material, pair = design.pin_material, design.pair
    bending = material.youngs_modulus * section.in_plane
    found = np.zeros((6, 6))
    across = length**3 / (3 * bending) + length / (0.9 * material.shear_modulus * section.area)
    found[[0, 1], [0, 1]] = across + 1.0 / (2.0 * pair.radial)
    found[2, 2] = length / (material.youngs_modulus * section.area) + 1.0 / pair.axial_of_pair
    found[[3, 4], [3, 4]] = length / bending + 2.0 / (pair.radial * pair.spacing**2)
    found[5, 5] = length / (material.shear_modulus * section.torsion)
    found[0, 4] = found[4, 0] = length**2 / (2 * bending)
    found[1, 3] = found[3, 1] = -(length**2) / (2 * bending)
    return found


def test_built_frame_converges_as_the_square():
    """Derived: extrapolating from finer frames hardly moves the answer."""
    design = DESIGNS[2]
    parts = design.parts()
    first, second = (
        extrapolated(tip_compliance_by_own_frame, lambda n: design.built_frame(parts, n), n, 2 * n)
        for n in (20, 40)
    )
    assert relative_difference(first, second) <= 2e-7


# ------------------------------------------------------------------- the program against it


class Program:
    """Runs the program once per design and gathers the differences for the table."""

    def __init__(self, folder):
        self.folder, self.configurations, self.differences = folder, {}, {}

    def configuration(self, design):
        """`configurations[0]` for the design."""
        if design.name not in self.configurations:
            path = self.folder / f"{len(self.configurations):02d}.toml"
            found = configuration_of(path, design.file(), design.active_joints())
            self.configurations[design.name] = found
        return self.configurations[design.name]

    def note(self, design, quantity, difference):
        """Keeps a difference for the table and returns it."""
        self.differences.setdefault(design.name, {})[quantity] = difference
        return difference


@pytest.fixture(scope="module")
def program(tmp_path_factory, request):
    """The program under test; at the end the table of differences is printed."""
    program = Program(tmp_path_factory.mktemp("built"))
    yield program
    with request.config.pluginmanager.get_plugin("capturemanager").global_and_fixture_disabled():
        print()
        for name, found in program.differences.items():
            print(f"{name:45}", *(f"{key} {value:.1e}" for key, value in found.items()), sep="  ")


@pytest.mark.parametrize("design", DESIGNS, ids=name_of)
def test_parts_lie_where_the_design_puts_them(program, design):
    """Coordinates and sizes of bars, pins and tool, from angles turned one by one."""
    found = program.configuration(design)["parts"]
    assert program.note(design, "mm", largest_difference(found, design.parts())) <= COORDINATE_TOLERANCE


@pytest.mark.parametrize("design", DESIGNS, ids=name_of)
def test_compliance_of_the_printed_parts(program, design):
    """The frame made from what the program printed, and from nothing else of its geometry."""
    configuration = program.configuration(design)
    parts = configuration["parts"]
    reference = by_both_programs(lambda n: design.built_frame(parts, n))
    found = np.array(configuration["compliance"], dtype=float)
    assert found.shape == (6, 6)
    difference = program.note(design, "compliance", relative_difference(found, reference))
    assert difference <= COMPLIANCE_TOLERANCE
