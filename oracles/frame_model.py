"""A linkage as a straight-segment frame, and its tip compliance by the frame library.

Every arc becomes n straight Timoshenko members whose ends lie on the arc. The frame is
solved here with the PyPI package `opensees`; `own_frame.py` solves the same frame with
numpy and scipy alone. Both give the 6x6 compliance at the tool tip: SI, rows (u, phi),
columns (F, M), local frame (polar, azimuth, radial).

The straight frame errs as 1/n^2, so n = 20 and 40 are extrapolated to n = infinity.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import opensees.openseespy as ops

from bar_section import Material, Section
from linkage_geometry import Linkage, angle_between, local_frame, turn, unit


@dataclass(frozen=True)
class JointStiffness:
    """Zero-length joint in its own frame: N/m along and across its axis, N m/rad of tilt.

    `rigid` ties everything but the rotation about the axis. `offset` moves the spring
    along the axis by so many metres from the centre line of the bars (outward positive).
    """

    axial: float = 0.0
    radial: float = 0.0
    tilt: float = 0.0
    rigid: bool = False
    offset: float = 0.0


RIGID = JointStiffness(rigid=True)


@dataclass
class FrameJoint:
    """Joint between two nodes; `first is None` is the ground; `locked` stops its rotation.

    `drive` is the stiffness of what holds its rotation where that is not locked, N m/rad.
    """

    first: int | None
    second: int
    axis: np.ndarray
    stiffness: JointStiffness
    locked: bool
    drive: float = 0.0


@dataclass
class FramePin:
    """Straight round pin, clamped in the bar at node `first`, to a node `second` of its own."""

    first: int
    second: int
    material: Material
    section: Section


@dataclass
class Frame:
    """Nodes in m; members and rigid links as pairs of nodes; the tool's node and its tip."""

    material: Material
    section: Section
    nodes: list[np.ndarray] = field(default_factory=list)
    members: list[tuple[int, int]] = field(default_factory=list)
    rigid_links: list[tuple[int, int]] = field(default_factory=list)
    joints: list[FrameJoint] = field(default_factory=list)
    pins: list[FramePin] = field(default_factory=list)
    tool_node: int = -1
    tip: np.ndarray | None = None
    tip_frame: np.ndarray | None = None
    #: sections of members that have another one than `section`, by their place among `members`
    member_sections: dict[int, Section] = field(default_factory=dict)

    def section_of(self, member):
        """Section of a member, by its place among `members`."""
        return self.member_sections.get(member, self.section)

    def add_members(self, nodes, section=None):
        """Members from node to node along a list, all of one section."""
        pairs = list(zip(nodes[:-1], nodes[1:], strict=True))
        if section is not None:
            start = len(self.members)
            self.member_sections |= {start + index: section for index in range(len(pairs))}
        self.members += pairs

    def add_node(self, position):
        """Adds a node and returns its index."""
        self.nodes.append(position)
        return len(self.nodes) - 1


def frame_of(
    linkage: Linkage,
    material,
    section,
    joint_stiffness,
    joint_radius,
    tip_radius,
    members_per_arc,
    boss_diameter=0.0,
    base_stiffness=None,
    own=None,
):
    """The straight-segment frame of a linkage in one configuration.

    `base_stiffness` replaces `joint_stiffness` at the base joints if given. With a
    `boss_diameter`, the first and last boss_diameter/2 of every arc (measured along its
    centre line) are rigid. `own`, if given, says what differs: `section(body)`,
    `stiffness(joint name)` and `boss(station)`.
    """
    frame = Frame(material, section)
    for station in linkage.stations:
        frame.add_node(joint_radius * station.direction)
    for arc in linkage.arcs:
        bosses = [boss_diameter if own is None else own.boss(end) for end in (arc.start, arc.end)]
        of_arc = None if own is None else own.section(arc.body)
        _add_arc(frame, linkage, arc, joint_radius, members_per_arc, bosses, of_arc)
    for joint in linkage.joints:
        at_base = joint.first is None and base_stiffness is not None
        stiffness = base_stiffness if at_base else joint_stiffness
        if own is not None:
            stiffness = own.stiffness(joint.name)
        frame.joints.append(FrameJoint(joint.first, joint.second, joint.axis, stiffness, joint.driven))
    frame.tool_node = linkage.tool_station
    frame.tip = tip_radius * linkage.tool_direction
    frame.tip_frame = local_frame(linkage.tool_direction)
    return frame


def _add_arc(frame, linkage, arc, radius, members_per_arc, bosses, section):
    """Adds the nodes, members and rigid end zones of one arc."""
    start, end = linkage.stations[arc.start].direction, linkage.stations[arc.end].direction
    normal, length = unit(np.cross(start, end)), angle_between(start, end)
    rigid = [0.5 * boss / radius for boss in bosses]
    angles = np.linspace(rigid[0], length - rigid[1], members_per_arc + 1)
    inner = [frame.add_node(radius * turn(start, normal, angle)) for angle in angles[1:-1]]
    first, last = arc.start, arc.end
    if any(rigid):
        first, last = (frame.add_node(radius * turn(start, normal, angle)) for angle in angles[[0, -1]])
        frame.rigid_links += [(arc.start, first), (arc.end, last)]
    nodes = [first, *inner, last]
    frame.add_members(nodes, section)


def extrapolated(solve, build, coarse=20, fine=40):
    """Richardson extrapolation of `solve(build(n))`, error ~ 1/n^2, to n = infinity."""
    ratio = (fine / coarse) ** 2
    return (ratio * solve(build(fine)) - solve(build(coarse))) / (ratio - 1.0)


def relative_difference(first, second):
    """max |dC_ij| / sqrt(C_ii C_jj): the measure used for compliance matrices."""
    scale = np.sqrt(np.diag(second))
    return np.max(np.abs(first - second) / np.outer(scale, scale))


class FrameLibrary:
    """Tip compliance through the frame library.

    It knows no rotated rigid constraint, so a rigid tie (a rigid joint, a locked drive) is
    the limit of a stiff spring: the answer is C + c/k + O(1/k^2), and two stiffnesses give C.
    """

    #: Tie stiffness against E I / R^3 and E I / R of the bars.
    TIE = 5.0e6

    def tip_compliance(self, frame):
        """6x6 compliance at the tip, local frame."""
        return 2.0 * self._with_ties(frame, 2.0 * self.TIE) - self._with_ties(frame, self.TIE)

    def _with_ties(self, frame, factor):
        model = ops.Model(ndm=3, ndf=6)
        for tag, position in enumerate(frame.nodes):
            model.node(tag, *map(float, position))
        self._add_members(model, frame)
        self._add_pins(model, frame)
        for first, second in frame.rigid_links:
            model.rigidLink("beam", first, second)
        stiffness = frame.material.youngs_modulus * frame.section.in_plane
        radius = np.linalg.norm(frame.nodes[0])
        ties = (factor * stiffness / radius**3, factor * stiffness / radius)
        for number, joint in enumerate(frame.joints):
            self._add_joint(model, frame, number, joint, ties)
        tip = len(frame.nodes)
        model.node(tip, *map(float, frame.tip))
        model.rigidLink("beam", frame.tool_node, tip)
        return self._unit_wrenches(model, frame, tip)

    @staticmethod
    def _add_members(model, frame):
        """Elastic Timoshenko members; local x along the member, local z radial."""
        material = frame.material
        for tag, (first, second) in enumerate(frame.members, start=1):
            section = frame.section_of(tag - 1)
            shear_area = section.shear_factor * section.area
            outward = unit(frame.nodes[first] + frame.nodes[second])
            model.geomTransf("Linear", tag, *map(float, outward))
            # about local y (normal of the arc's plane): in plane; about local z: out of plane
            model.element(
                "ElasticTimoshenkoBeam",
                tag,
                first,
                second,
                material.youngs_modulus,
                material.shear_modulus,
                section.area,
                section.torsion,
                section.in_plane,
                section.out_of_plane,
                shear_area,
                shear_area,
                tag,
            )

    @staticmethod
    def _add_pins(model, frame):
        """Straight Timoshenko members of round section; local z is any direction across."""
        for tag, pin in enumerate(frame.pins, start=len(frame.members) + 1):
            along = unit(frame.nodes[pin.second] - frame.nodes[pin.first])
            across = unit(np.cross(along, np.eye(3)[np.argmin(np.abs(along))]))
            section = pin.section
            shear_area = section.shear_factor * section.area
            model.geomTransf("Linear", tag, *map(float, across))
            model.element(
                "ElasticTimoshenkoBeam",
                tag,
                pin.first,
                pin.second,
                pin.material.youngs_modulus,
                pin.material.shear_modulus,
                section.area,
                section.torsion,
                section.in_plane,
                section.out_of_plane,
                shear_area,
                shear_area,
                tag,
            )

    @staticmethod
    def _add_joint(model, frame, number, joint, ties):
        """Zero-length springs in the joint's frame: local x along the joint's axis."""
        tie, tie_rotation = ties
        values = joint.stiffness
        first_tag = 10_000_000 + 10 * number
        second = joint.second
        if joint.first is None:
            first = first_tag
            model.node(first, *map(float, frame.nodes[second]))
            model.fix(first, 1, 1, 1, 1, 1, 1)
        else:
            first = joint.first
        if values.offset:
            shifted = []
            for place, node in enumerate((first, second)):
                tag = first_tag + 1 + place
                model.node(tag, *map(float, frame.nodes[second] + values.offset * joint.axis))
                model.rigidLink("beam", node, tag)
                shifted.append(tag)
            first, second = shifted
        if values.rigid:
            springs = [tie, tie, tie, 0.0, tie_rotation, tie_rotation]
        else:
            springs = [values.axial, values.radial, values.radial, 0.0, values.tilt, values.tilt]
        springs[3] = tie_rotation if joint.locked else joint.drive
        across = unit(np.cross(joint.axis, np.eye(3)[np.argmin(np.abs(joint.axis))]))
        materials, directions = [], []
        for direction, stiffness in enumerate(springs, start=1):
            if stiffness > 0.0:
                materials.append(first_tag + direction)
                directions.append(direction)
                model.uniaxialMaterial("Elastic", materials[-1], float(stiffness))
        model.element(
            "zeroLength",
            first_tag,
            first,
            second,
            "-mat",
            *materials,
            "-dir",
            *directions,
            "-orient",
            *map(float, joint.axis),
            *map(float, across),
        )

    @staticmethod
    def _unit_wrenches(model, frame, tip):
        """Six static analyses, one for each unit force and moment of the local frame."""
        model.constraints("Transformation")
        model.numberer("RCM")
        model.system("UmfPack")
        model.test("NormDispIncr", 1.0e-8, 10)
        model.algorithm("Linear")
        model.integrator("LoadControl", 1.0)
        model.analysis("Static")
        model.timeSeries("Constant", 1)
        compliance = np.empty((6, 6))
        for column in range(6):
            wrench = np.zeros(6)
            block = 3 * (column // 3)
            wrench[block : block + 3] = frame.tip_frame[column % 3]
            model.pattern("Plain", column + 1, 1)
            model.load(tip, *map(float, wrench), pattern=column + 1)
            if model.analyze(1) != 0:
                raise RuntimeError("the frame library could not solve the frame")
            moved = np.array([model.nodeDisp(tip, dof) for dof in range(1, 7)])
            compliance[:3, column] = frame.tip_frame @ moved[:3]
            compliance[3:, column] = frame.tip_frame @ moved[3:]
            model.remove("loadPattern", column + 1)
        return compliance


def tip_compliance_by_library(frame):
    """6x6 compliance at the tip through the frame library."""
    return FrameLibrary().tip_compliance(frame)
