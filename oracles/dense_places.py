"""Worst values of a linkage over a region, by dense sampling of an independent frame model.

Every arc is a straight-segment frame (`frame_model.py`, solved by `own_frame.py`); weights
are lumped at its nodes. One solution at an opening serves all azimuths: turning the linkage
about its base axis is turning the world the other way. SI and rad throughout.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse.linalg import splu

from designs import GRAVITY, Design
from frame_model import frame_of, local_frame
from linkage_geometry import NoClosure, centroid_of_arc
from own_frame import Scatter, member_blocks, node_maps, transfer

#: Members of an arc in the two frames whose values are extrapolated.
MEMBERS = (10, 20)
#: Azimuths looked at.
AZIMUTHS = np.radians(np.arange(0.0, 360.0, 1.0))


@dataclass
class Load:
    """A force at the tip, N: in the local frame of the tool, or in the world."""

    name: str
    force: np.ndarray
    in_world: bool


@dataclass
class Cap:
    """Directions within `half_angle` of a unit `axis`, world frame."""

    axis: np.ndarray
    half_angle: float


def base_axes(design: Design):
    """Rows: axes x, y, z of the base frame in the world."""
    axis, reference = design.mount_axis, design.mount_reference
    return np.array([reference, np.cross(axis, reference), axis])


def turned_back(vector, azimuths):
    """`vector` turned about z by minus every azimuth, one row each."""
    cosine, sine = np.cos(azimuths), np.sin(azimuths)
    x, y, z = vector
    return np.column_stack([x * cosine + y * sine, y * cosine - x * sine, np.full_like(azimuths, z)])


def solved_tip(frame, design, linkage):
    """6x6 compliance at the tip and its 3x3 displacement per unit acceleration of base x, y, z.

    Both in the local frame of the tool.
    """
    maps, springs, size = node_maps(frame)
    count = 6 * len(frame.nodes)
    motion, bars, joints = Scatter(count, size), Scatter(count, count), Scatter(size, size)
    for node, parts in maps.items():
        for at, part in parts:
            motion.add(6 * node, at, part)
    weights = np.zeros((count, 3))
    for first, second, block in member_blocks(frame):
        length = np.linalg.norm(frame.nodes[second] - frame.nodes[first])
        mass = design.material.density * frame.section.area * length
        for i, row in enumerate((first, second)):
            weights[6 * row : 6 * row + 3] += 0.5 * mass * np.eye(3)
            for j, column in enumerate((first, second)):
                bars.add(6 * row, 6 * column, block[6 * i : 6 * i + 6, 6 * j : 6 * j + 6])
    for at, block in springs:
        joints.add(at, at, block)
    node = frame.tool_node
    centre = design.centre_of_mass_radius * linkage.tool_direction
    to_centre = transfer(centre - frame.nodes[node])
    weights[6 * node : 6 * node + 6] += to_centre.T[:, :3] * design.tool_mass
    motion = motion.matrix()
    stiffness = motion.T @ bars.matrix() @ motion + joints.matrix()
    tool_motion = motion[6 * node : 6 * node + 6].toarray()
    tip = np.kron(np.eye(2), frame.tip_frame) @ transfer(frame.tip - frame.nodes[node]) @ tool_motion
    solved = splu(stiffness.tocsc()).solve(np.hstack([tip.T, motion.T @ weights]))
    return tip @ solved


def tip_responses(design: Design, linkage_at):
    """6x9: compliance and displacements by acceleration, extrapolated to endless members."""
    coarse, fine = (
        solved_tip(linkage_at.frame(n), design, linkage_at.linkage) for n in MEMBERS
    )
    ratio = (MEMBERS[1] / MEMBERS[0]) ** 2
    return (ratio * fine - coarse) / (ratio - 1.0)


@dataclass
class At:
    """A design at another opening, its swing at zero."""

    design: Design
    opening: float

    def __post_init__(self):
        self.linkage = self.design.geometry.configuration(0.0, self.opening)

    def frame(self, members):
        """The straight-segment frame here."""
        design = self.design
        return frame_of(
            self.linkage,
            design.material,
            design.section,
            design.joints,
            design.joint_radius,
            design.tip_radius,
            members,
            design.boss_diameter,
        )


def first_moment(design: Design, swing, opening):
    """Sum of mass times place of tool and bars, base frame, kg m."""
    linkage = design.geometry.configuration(swing, opening)
    total = design.tool_mass * design.centre_of_mass_radius * linkage.tool_direction
    for arc in linkage.arcs:
        start, end = linkage.stations[arc.start].direction, linkage.stations[arc.end].direction
        mass = design.material.density * design.section.area * design.joint_radius
        mass *= linkage.arc_length(arc)
        total = total + mass * design.joint_radius * centroid_of_arc(start, end)
    return total


def torque_rows(design: Design, opening, step=1e-3):
    """Torque of each drive per unit of upward acceleration along base x, y, z; 4th order."""
    rows = []
    for drive in range(2):
        shift = np.zeros(2)
        if design.layout == "two-bars":
            # left = swing + opening/2, right = swing - opening/2
            shift[:] = (0.5, 1.0) if drive == 0 else (0.5, -1.0)
        else:
            shift[drive] = 1.0
        shift *= step / design.ratio[drive]

        def at(times, shift=shift):
            return first_moment(design, times * shift[0], opening + times * shift[1])

        rows.append((8 * (at(1) - at(-1)) - (at(2) - at(-2))) / (12 * step))
    return np.array(rows)


def covered_azimuths(design: Design, linkage, cap: Cap):
    """Turns of the linkage from here that bring the tool into the region."""
    axis_in_base = base_axes(design) @ cap.axis
    cosine = turned_back(axis_in_base, AZIMUTHS) @ linkage.tool_direction
    return AZIMUTHS[cosine >= np.cos(cap.half_angle) - 1e-12]


def worst_values(design: Design, openings, cap: Cap, loads):
    """Worst value of every row over the openings and azimuths in the region; SI.

    None where no opening covers anything.
    """
    worst = {}
    axes = base_axes(design)

    def take(name, value):
        worst[name] = max(worst.get(name, 0.0), float(value))

    for opening in openings:
        try:
            here = At(design, opening)
        except NoClosure:
            continue
        turns = covered_azimuths(design, here.linkage, cap)
        if not turns.size:
            continue
        moved = tip_responses(design, here)
        compliance = moved[:3, :3]
        take("compliance", np.linalg.eigvalsh(0.5 * (compliance + compliance.T))[-1])
        down = turned_back(axes @ np.array([0.0, 0.0, -GRAVITY]), turns)
        take("sag", np.linalg.norm(down @ moved[:3, 6:9].T, axis=1).max())
        take("holding_torque", np.abs(down @ torque_rows(design, opening).T).max())
        frame = local_frame(here.linkage.tool_direction)
        for load in loads:
            if load.in_world:
                forces = turned_back(axes @ load.force, turns) @ frame.T
            else:
                forces = load.force[None, :]
            take(load.name, np.linalg.norm(forces @ compliance.T, axis=1).max())
    return worst or None
