"""Spherical five-bars for the comparison: geometry by turning vectors, random designs, files.

An oracle: it shares nothing with calotte. Elbows are found by walking along great circles
from the base axes, the apex by cutting two circles on the unit sphere. Angles in radians.
The base axes lie in the x-z plane, symmetric about z, left towards -x; each drive angle is
measured from the direction of the other base axis, right-handed about the outward axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from bar_section import Material
from designs import Design, degrees, joint_entries, random_section, table
from frame_model import RIGID, JointStiffness
from linkage_geometry import (
    Joint,
    Linkage,
    NoClosure,
    angle_between,
    conditioning_index,
    departure,
    polar_and_azimuth,
    turn,
    unit,
    walk,
)

#: Drive range to either side of the configuration, deg.
RANGE = 8.0


def meeting(left, right, left_arc, right_arc, side):
    """Where circles of angular radius `left_arc` about `left` and `right_arc` about `right` cut.

    `side` is +1 for the point on the side of left x right, -1 for the other. The point is
    a left + b right + c (left x right); a and b follow from the two circles.
    """
    cosine = left @ right
    determinant = 1.0 - cosine**2
    along_left = (np.cos(left_arc) - np.cos(right_arc) * cosine) / determinant
    along_right = (np.cos(right_arc) - np.cos(left_arc) * cosine) / determinant
    in_plane = along_left * left + along_right * right
    rest = 1.0 - in_plane @ in_plane
    if rest <= 0.0:
        raise NoClosure("the distal arcs do not meet")
    return in_plane + side * sqrt(rest / determinant) * np.cross(left, right)


@dataclass
class FiveBar:
    """Arcs (left, right where there are two), the side of the elbows the apex lies on."""

    base_arc: float
    proximal_arcs: list[float]
    distal_arcs: list[float]
    side: int
    carried_by: str = "left"
    bracket_arc: float = 0.0

    def base_axes(self):
        """Left and right."""
        half = 0.5 * self.base_arc
        return [np.array([sign * np.sin(half), 0.0, np.cos(half)]) for sign in (-1.0, 1.0)]

    def configuration(self, left, right):
        """The linkage at its drive angles."""
        axes = self.base_axes()
        linkage, elbows, ends = Linkage(), [], []
        for name, axis, other, angle, arc in zip(
            ("left", "right"), axes, axes[::-1], (left, right), self.proximal_arcs, strict=True
        ):
            base = linkage.add_station(f"proximal {name}", axis)
            linkage.joints.append(Joint(f"base {name}", None, base, axis, driven=True))
            heading = turn(departure(axis, other), axis, angle)
            elbows.append(walk(axis, heading, arc))
            ends.append(linkage.add_arc(f"proximal {name}", base, elbows[-1]))
        apex = meeting(*elbows, *self.distal_arcs, self.side)
        at_apex = {}
        for name, axis, elbow, end in zip(("left", "right"), axes, elbows, ends, strict=True):
            start = linkage.add_station(f"distal {name}", elbow)
            linkage.joints.append(Joint(f"elbow {name}", end, start, elbow))
            linkage.passive_angles[f"elbow {name}"] = angle_between(
                departure(elbow, axis), departure(elbow, apex)
            )
            at_apex[name] = linkage.add_arc(f"distal {name}", start, apex)
        linkage.joints.append(Joint("apex", at_apex["left"], at_apex["right"], apex))
        linkage.passive_angles["apex"] = angle_between(
            departure(apex, elbows[0]), departure(apex, elbows[1])
        )
        linkage.tool_station = at_apex[self.carried_by]
        linkage.carry_tool(self.bracket_arc)
        return linkage

    def elbows_word(self, linkage):
        """out, in or crossed, by the way each path base - elbow - apex turns; None for the
        mirror image of crossed."""
        axes, apex = self.base_axes(), linkage.joints[-1].axis
        turns = tuple(
            bool(axis @ np.cross(elbow.axis, apex) > 0.0)
            for axis, elbow in zip(axes, linkage.joints[2:4], strict=True)
        )
        return {(False, True): "out", (True, False): "in", (False, False): "crossed"}.get(turns)

    def margin(self, left, right):
        """Least angle of an elbow and of the distal arcs from being in line."""
        linkage = self.configuration(left, right)
        angles = linkage.passive_angles.values()
        return min(min(angle, np.pi - angle) for angle in angles)


@dataclass
class FiveBarDesign(Design):
    """A design whose drives turn the two base joints."""

    elbows: str = "out"

    def active_joints(self):
        return self.ratio * np.asarray(self.mechanism_angles)

    def linkage(self, active=None):
        angles = (self.active_joints() if active is None else np.asarray(active)) / self.ratio
        return self.geometry.configuration(*angles)


def file_of(design):
    """The design as TOML text, in the keys of the design file."""
    geometry, material = design.geometry, design.material
    ranges = [
        f"{name} = {[round(float(angle) + margin, 6) for margin in (-RANGE, RANGE)]}"
        for name, angle in zip(("left", "right"), np.degrees(design.mechanism_angles), strict=True)
    ]
    bracket = {"bracket_arc_deg": degrees(geometry.bracket_arc)[0]} if geometry.bracket_arc else {}
    return "".join(
        [
            table(
                "linkage",
                {
                    "family": "five-bar",
                    "base_arc_deg": degrees(geometry.base_arc)[0],
                    "proximal_arcs_deg": degrees(*geometry.proximal_arcs),
                    "distal_arcs_deg": degrees(*geometry.distal_arcs),
                    "elbows": design.elbows,
                    "joint_radius_mm": design.joint_radius * 1e3,
                },
            ),
            table("section", design.section_keys),
            table(
                "material",
                {
                    "name": "invented",
                    "youngs_modulus_gpa": material.youngs_modulus / 1e9,
                    "shear_modulus_gpa": material.shear_modulus / 1e9,
                    "density_kg_m3": material.density,
                    "yield_mpa": 250.0,
                },
            ),
            table("joints", joint_entries(design)),
            table("drives", {"ratio": design.ratio.tolist(), "range_deg": f"{{ {', '.join(ranges)} }}"}),
            table(
                "tool",
                {
                    "carried_by": geometry.carried_by,
                    "tip_radius_mm": design.tip_radius * 1e3,
                    "mass_kg": design.tool_mass,
                    "centre_of_mass_radius_mm": design.centre_of_mass_radius * 1e3,
                    "roll_deg": degrees(design.tool_roll)[0],
                }
                | bracket,
            ),
            table("mount", {"axis": design.mount_axis.tolist(), "reference": design.mount_reference.tolist()}),
        ]
    )


def random_geometry(random, elbows, carried_by):
    """A five-bar in the stated mode and its drive angles, well away from singularities."""
    while True:
        arcs = np.radians(np.round(random.uniform(30.0, 75.0, 5), 1)).tolist()
        geometry = FiveBar(arcs[0], arcs[1:3], arcs[3:5], (1, -1)[random.integers(2)], carried_by)
        angles = np.radians(np.round(random.uniform(-175.0, 175.0, 2), 1))
        try:
            linkage = geometry.configuration(*angles)
            near = [
                geometry.margin(*(angles + np.radians(RANGE) * np.array([i, j])))
                for i in (-1.0, 0.0, 1.0)
                for j in (-1.0, 0.0, 1.0)
            ]
            index = conditioning_index(lambda *a: geometry.configuration(*a).tool_direction, angles)
        except NoClosure:
            continue
        polar = polar_and_azimuth(linkage.tool_direction)[0]
        # With the apex on the other side of the elbows the mode must be another one, so that
        # drive angles and mode fix the configuration.
        other = FiveBar(arcs[0], arcs[1:3], arcs[3:5], -geometry.side, carried_by)
        alone = other.elbows_word(other.configuration(*angles)) != elbows
        if (
            geometry.elbows_word(linkage) == elbows
            and alone
            and min(near) > np.radians(20.0)
            and index > 0.1
            and np.radians(5.0) < polar < np.radians(85.0)
        ):
            return geometry, angles


def five_bar_designs(seed=20265):
    """Eight designs: all modes, both carriers, rigid and real joints, one with a bracket."""
    random = np.random.default_rng(seed)
    wanted = [
        ("out", "left", False),
        ("out", "right", True),
        ("in", "left", True),
        ("in", "right", False),
        ("crossed", "left", False),
        ("crossed", "right", True),
        ("out", "right", False),
        ("in", "left", False),
    ]
    designs = []
    for number, (elbows, carried_by, rigid) in enumerate(wanted, start=1):
        geometry, angles = random_geometry(random, elbows, carried_by)
        stiffness = JointStiffness(
            *(
                float(f"{10 ** random.uniform(*decades):.3g}")
                for decades in ((6.0, 7.5), (6.0, 7.5), (2.0, 3.5))
            )
        )
        modulus = round(random.uniform(2.0, 210.0), 1)
        shear = round(modulus / (2.0 * (1.0 + random.uniform(0.2, 0.4))), 3)
        axis = unit(random.normal(size=3))
        designs.append(
            FiveBarDesign(
                name=f"{number} five-bar, elbows {elbows}, tool on {carried_by}, "
                f"{'rigid' if rigid else 'real'} joints",
                geometry=geometry,
                mechanism_angles=angles,
                layout="left-and-right",
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
                mount_reference=turn(unit(np.cross(axis, [0.3, -0.5, 0.8])), axis, random.uniform(0.0, 6.0)),
                elbows=elbows,
            )
        )
    designs[-1].geometry.bracket_arc = np.radians(7.5)
    designs[-1].name += ", bracket"
    return designs
