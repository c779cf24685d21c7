"""Random designs for the comparison, as values for the oracle and as a design file.

The numbers are invented by a seeded generator; lengths are drawn in mm and angles in
degrees so that the file holds exactly what the oracle uses. Everything else is SI and rad.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from bar_section import Material, Section, rectangle, rod, tube
from frame_model import RIGID, JointStiffness, frame_of
from linkage_geometry import (
    NoClosure,
    ScissorLinkage,
    TwoArcArm,
    centroid_of_arc,
    conditioning_index,
    polar_and_azimuth,
    turn,
    unit,
)

#: Standard gravity, m/s^2 (ISO 80000-3).
GRAVITY = 9.80665
#: Drive range to either side of the configuration, deg.
RANGE = 8.0


@dataclass
class Design:
    """One linkage, its configuration to analyse, and how the drives reach it."""

    name: str
    geometry: ScissorLinkage | TwoArcArm
    #: swing and opening, or base and elbow; rad
    mechanism_angles: np.ndarray
    layout: str
    ratio: np.ndarray
    section_keys: dict
    material: Material
    joints: JointStiffness
    joint_radius: float
    tip_radius: float
    tool_mass: float
    centre_of_mass_radius: float
    tool_roll: float
    mount_axis: np.ndarray
    mount_reference: np.ndarray
    boss_diameter: float = 0.0
    #: of the drive at each active joint, N m/rad; None is rigid. Only where each turns one joint.
    drive_stiffness: tuple[float | None, float | None] = (None, None)
    section: Section = field(init=False)

    def __post_init__(self):
        keys, nu = self.section_keys, self.material.poisson_ratio
        if keys["shape"] == "rectangle":
            self.section = rectangle(keys["tangential_mm"] / 1e3, keys["radial_mm"] / 1e3)
        elif keys["shape"] == "tube":
            self.section = tube(keys["outer_diameter_mm"] / 1e3, keys["inner_diameter_mm"] / 1e3, nu)
        else:
            self.section = rod(keys["diameter_mm"] / 1e3, nu)

    def active_joints(self):
        """Active joint angles after the drive ratio, rad."""
        first, second = self.mechanism_angles
        if self.layout == "two-bars":
            first, second = first + 0.5 * second, first - 0.5 * second
        return self.ratio * np.array([first, second])

    def linkage(self, active=None):
        """The linkage at the given active joint angles (default: those of the design)."""
        first, second = (self.active_joints() if active is None else np.asarray(active)) / self.ratio
        if self.layout == "two-bars":
            first, second = 0.5 * (first + second), first - second
        return self.geometry.configuration(first, second)

    def frame(self, members_per_arc):
        """The straight-segment frame at the design's configuration."""
        frame = frame_of(
            self.linkage(),
            self.material,
            self.section,
            self.joints,
            self.joint_radius,
            self.tip_radius,
            members_per_arc,
            self.boss_diameter,
        )
        driven = [joint for joint in frame.joints if joint.locked]
        for joint, stiffness, ratio in zip(driven, self.drive_stiffness, self.ratio, strict=True):
            if stiffness is not None:
                assert self.layout != "swing-and-opening"
                joint.locked, joint.drive = False, stiffness * ratio**2
        return frame

    def conditioning_index(self):
        """sigma_min / sigma_max of tool direction against active joints."""
        return conditioning_index(
            lambda *active: self.linkage(active).tool_direction, self.active_joints(), 1e-3 * self.ratio
        )

    def potential_energy(self, active):
        """Of the tool's mass and of the bars' distributed mass in gravity along world -z, J."""
        linkage = self.linkage(active)
        upward = np.array(
            [self.mount_reference[2], np.cross(self.mount_axis, self.mount_reference)[2], self.mount_axis[2]]
        )
        energy = self.tool_mass * self.centre_of_mass_radius * linkage.tool_direction @ upward
        for arc in linkage.arcs:
            start, end = linkage.stations[arc.start].direction, linkage.stations[arc.end].direction
            mass = self.material.density * self.section.area * self.joint_radius * linkage.arc_length(arc)
            energy += mass * self.joint_radius * centroid_of_arc(start, end) @ upward
        return GRAVITY * energy

    def holding_torque(self, step=2e-3):
        """Torque the drive must give against weight: dV/d(active joint), N m, 4th order."""
        active = self.active_joints()
        torque = np.empty(2)
        for index in range(2):
            shift = np.zeros(2)
            shift[index] = step * self.ratio[index]
            near = self.potential_energy(active + shift) - self.potential_energy(active - shift)
            far = self.potential_energy(active + 2 * shift) - self.potential_energy(active - 2 * shift)
            torque[index] = (8 * near - far) / (12 * shift[index])
        return torque

    def weight_moment(self):
        """Sum of weight times radius, N m: the scale of the holding torques."""
        linkage = self.linkage()
        length = sum(self.joint_radius * linkage.arc_length(arc) for arc in linkage.arcs)
        bars = self.material.density * self.section.area * length * self.joint_radius
        return GRAVITY * (bars + self.tool_mass * self.centre_of_mass_radius)


def degrees(*angles):
    """Angles in degrees, without the last digits that the conversion to rad and back adds."""
    return [float(round(np.degrees(angle), 9)) for angle in angles]


def table(name, entries):
    """One TOML table: numbers, lists, strings, booleans and ready-made text ({...})."""

    def text(value):
        if isinstance(value, bool):
            return str(value).lower()
        if isinstance(value, str):
            return value if value.startswith("{") else f'"{value}"'
        return repr(value)

    return "\n".join([f"[{name}]", *(f"{key} = {text(value)}" for key, value in entries.items()), "", ""])


def linkage_entries(design):
    """Keys of the table [linkage]."""
    geometry, radius = design.geometry, {"joint_radius_mm": design.joint_radius * 1e3}
    if isinstance(geometry, TwoArcArm):
        return {"family": "two-arc-arm", "arcs_deg": degrees(*geometry.arcs)} | radius
    return {
        "family": "scissor-linkage",
        "proximal_arcs_deg": degrees(*geometry.proximal_arcs),
        "distal_arcs_deg": degrees(*geometry.distal_arcs),
        "bends_deg": degrees(*geometry.bends),
    } | radius


def joint_entries(design):
    """Keys of the table [joints]."""
    joints, boss = design.joints, {"boss_diameter_mm": design.boss_diameter * 1e3}
    if joints.rigid:
        return {"rigid": True} | boss
    return {
        "axial_n_per_m": joints.axial,
        "radial_n_per_m": joints.radial,
        "tilt_nm_per_rad": joints.tilt,
    } | boss


def drive_entries(design):
    """Keys of the table [drives]; the range is RANGE to either side of the configuration."""
    scissor = isinstance(design.geometry, ScissorLinkage)
    names = ("swing", "opening") if scissor else ("base", "elbow")
    ranges = [
        f"{name} = {[round(float(angle) + margin, 6) for margin in (-RANGE, RANGE)]}"
        for name, angle in zip(names, np.degrees(design.mechanism_angles), strict=True)
    ]
    layout = {"layout": design.layout} if scissor else {}
    return layout | {"ratio": design.ratio.tolist(), "range_deg": f"{{ {', '.join(ranges)} }}"}


def drive_tables(design):
    """One [[drive]] for each that gives way."""
    two_bars = isinstance(design.geometry, ScissorLinkage)
    names = ("left", "right") if two_bars else ("base", "elbow")
    return "".join(
        f'[[drive]]\njoint = "{name}"\nstiffness_nm_per_rad = {stiffness}\n'
        for name, stiffness in zip(names, design.drive_stiffness, strict=True)
        if stiffness is not None
    )


def tool_entries(design):
    """Keys of the table [tool]."""
    geometry = design.geometry
    carrier = {"carried_by": geometry.carried_by} if isinstance(geometry, ScissorLinkage) else {}
    bracket = {"bracket_arc_deg": degrees(geometry.bracket_arc)[0]} if geometry.bracket_arc else {}
    return (
        carrier
        | {
            "tip_radius_mm": design.tip_radius * 1e3,
            "mass_kg": design.tool_mass,
            "centre_of_mass_radius_mm": design.centre_of_mass_radius * 1e3,
            "roll_deg": degrees(design.tool_roll)[0],
        }
        | bracket
    )


def design_file(design):
    """The design as TOML text, in the keys of the design file."""
    material = {
        "name": "invented",
        "youngs_modulus_gpa": design.material.youngs_modulus / 1e9,
        "shear_modulus_gpa": design.material.shear_modulus / 1e9,
        "density_kg_m3": design.material.density,
        "yield_mpa": 250.0,
    }
    mount = {"axis": design.mount_axis.tolist(), "reference": design.mount_reference.tolist()}
    return "".join(
        [
            table("linkage", linkage_entries(design)),
            table("section", design.section_keys),
            table("material", material),
            table("joints", joint_entries(design)),
            table("drives", drive_entries(design)),
            drive_tables(design),
            table("tool", tool_entries(design)),
            table("mount", mount),
        ]
    )


def random_section(random):
    """Keys of a rectangle, tube or rod."""
    shape = ("rectangle", "tube", "rod")[random.integers(3)]
    if shape == "rectangle":
        tangential, radial = round(random.uniform(8, 20), 1), round(random.uniform(4, 12), 1)
        return {"shape": shape, "tangential_mm": tangential, "radial_mm": radial}
    if shape == "tube":
        outer = round(random.uniform(8, 14), 1)
        return {
            "shape": shape,
            "outer_diameter_mm": outer,
            "inner_diameter_mm": round(outer * random.uniform(0.4, 0.8), 1),
        }
    return {"shape": shape, "diameter_mm": round(random.uniform(6, 12), 1)}


def designs_with_drives():
    """Random designs each of whose drives turns one joint, with drives of different stiffness."""
    random = np.random.default_rng(20261130)
    plain = [design for design in random_designs() if design.layout != "swing-and-opening"]
    found = []
    for index, design in enumerate(plain):
        first, second = (round(float(10.0 ** random.uniform(1.5, 3.5)), 1) for _ in range(2))
        pair = [(first, second), (first, None), (None, second)][index % 3]
        found.append(replace(design, name=f"{design.name} drives {pair}", drive_stiffness=pair))
    return found


def is_regular(geometry, swing, opening):
    """Whether the linkage closes there and is well away from singularities of both types."""
    try:
        half_angles = np.degrees(geometry.half_angles(opening))
        index = conditioning_index(
            lambda *angles: geometry.configuration(*angles).tool_direction, np.array([swing, opening])
        )
    except NoClosure:
        return False
    return half_angles.min() > 14.0 and half_angles.max() < 76.0 and index > 0.1


def random_scissor(random, stages, carried_by):
    """A scissor linkage and (swing, opening), regular over the whole drive range."""
    while True:
        arcs = np.round(random.uniform(0.65, 1.35, (2, stages)) * random.uniform(30.0, 40.0) / stages, 1)
        bends = np.round(random.uniform(-25.0, 40.0, stages - 1), 1)
        swing, opening = np.round([random.uniform(-160.0, 160.0), random.uniform(40.0, 140.0)], 1)
        geometry = ScissorLinkage(*np.radians(arcs).tolist(), np.radians(bends).tolist(), carried_by)
        openings = np.radians(opening + np.linspace(-RANGE, RANGE, 5))
        if all(is_regular(geometry, np.radians(swing), near) for near in openings):
            return geometry, np.radians([swing, opening])


def random_arm(random):
    """A two-arc arm and (base, elbow), away from its stretched and folded positions."""
    arcs = np.radians(np.round(random.uniform(25.0, 75.0, 2), 1)).tolist()
    elbow = np.round(random.choice([-1.0, 1.0]) * random.uniform(25.0, 140.0), 1)
    return TwoArcArm(arcs), np.radians([np.round(random.uniform(-160.0, 160.0), 1), elbow])


def random_design(random, number, stages=None, carried_by="left", rigid=False):
    """A scissor linkage of `stages`, or a two-arc arm if `stages` is None."""
    if stages is None:
        geometry, angles = random_arm(random)
        layout, label = "base-and-elbow", "two-arc arm"
    else:
        geometry, angles = random_scissor(random, stages, carried_by)
        layout = ("two-bars", "swing-and-opening")[random.integers(2)]
        label = f"scissor linkage, {stages} stage{'s' * (stages > 1)}, tool on {carried_by}"
    stiffness = JointStiffness(
        *(
            float(f"{value:.3g}")
            for value in (
                10 ** random.uniform(6.0, 7.5),
                10 ** random.uniform(6.0, 7.5),
                10 ** random.uniform(2.0, 3.5),
            )
        )
    )
    modulus = round(random.uniform(2.0, 210.0), 1)
    shear = round(modulus / (2.0 * (1.0 + random.uniform(0.2, 0.4))), 3)
    axis = unit(random.normal(size=3))
    reference = turn(unit(np.cross(axis, [0.3, -0.5, 0.8])), axis, random.uniform(0.0, 6.0))
    return Design(
        name=f"{number:02d} {label}, {'rigid' if rigid else 'real'} joints",
        geometry=geometry,
        mechanism_angles=angles,
        layout=layout,
        ratio=np.round(random.choice([np.ones(2), random.uniform(0.5, 5.0, 2)]), 2),
        section_keys=random_section(random),
        material=Material(modulus * 1e9, shear * 1e9, round(random.uniform(1000.0, 8000.0), 0)),
        joints=RIGID if rigid else stiffness,
        joint_radius=round(random.uniform(140.0, 200.0), 1) / 1e3,
        tip_radius=round(random.uniform(70.0, 210.0), 1) / 1e3,
        tool_mass=round(random.uniform(0.2, 2.0), 2),
        centre_of_mass_radius=round(random.uniform(100.0, 220.0), 1) / 1e3,
        tool_roll=np.radians(round(random.uniform(-90.0, 90.0), 1)),
        mount_axis=axis,
        mount_reference=reference,
    )


def random_designs(seed=20261):
    """Scissor linkages of 1 to 4 stages on both carriers and two-arc arms, some rigid."""
    random = np.random.default_rng(seed)
    wanted = [
        (stages, carried_by, (stages + place) % 3 == 0)
        for place, carried_by in enumerate(("left", "right", "left"))
        for stages in (1, 2, 3, 4)
    ]
    wanted += [(None, "left", rigid) for rigid in (False, True, False, True)]
    designs = [random_design(random, number, *choice) for number, choice in enumerate(wanted, start=1)]
    assert all(polar_and_azimuth(design.linkage().tool_direction)[0] > np.radians(5.0) for design in designs)
    return designs


def more_random_designs(count=60, seed=20264):
    """Further designs of the same kinds for the long form; those that point near the axis are drawn again."""
    random = np.random.default_rng(seed)
    designs = []
    while len(designs) < count:
        stages = (1, 2, 3, 4, None)[len(designs) % 5]
        carried_by = ("left", "right")[random.integers(2)]
        number = 100 + len(designs)
        design = random_design(random, number, stages, carried_by, bool(random.integers(2)))
        if polar_and_azimuth(design.linkage().tool_direction)[0] > np.radians(5.0):
            designs.append(design)
    return designs


def designs_with_bracket(seed=20262):
    """Scissor linkages whose tool lies beyond the last apex, along its carrier."""
    random = np.random.default_rng(seed)
    designs = [random_design(random, 1, 2, "right"), random_design(random, 2, 3, "left")]
    for design in designs:
        design.geometry = replace(
            design.geometry, bracket_arc=np.radians(round(random.uniform(3.0, 12.0), 1))
        )
        design.name += ", bracket"
    return designs


def designs_with_bosses(seed=20263):
    """Rigid end zones of the arcs, boss_diameter/2 along the centre line at every joint."""
    random = np.random.default_rng(seed)
    designs = [
        random_design(random, 1, 1, "right"),
        random_design(random, 2, 2, "left", True),
        random_design(random, 3, 3),
    ]
    for design in designs:
        design.boss_diameter = round(random.uniform(6.0, 14.0), 1) / 1e3
        design.name += ", bosses"
    return designs
