"""Where the bodies, arcs and joints of a spherical linkage stand, by turning vectors.

An oracle: it shares nothing with calotte. Stations are found by walking along great
circles (turning a unit vector about a unit axis) and by cutting two circles on the unit
sphere; no closed form of the linkage is used.

Base frame: origin at the remote centre, z along the base axis, azimuth 0 along x, azimuth
right-handed about z. Directions are unit vectors in the base frame. Every angle is in
radians. "Left" is the side of growing azimuth: the left base bar lies at
swing + opening/2, the right one at swing - opening/2.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import atan2, sin, sqrt

import numpy as np

BASE_AXIS = np.array([0.0, 0.0, 1.0])


class NoClosure(ValueError):
    """The two circles on which an apex must lie do not meet."""


def turn(vector, axis, angle):
    """`vector` turned about the unit `axis` by `angle`, right-handed (Rodrigues)."""
    cosine, sine = np.cos(angle), np.sin(angle)
    return vector * cosine + np.cross(axis, vector) * sine + axis * (axis @ vector) * (1.0 - cosine)


def unit(vector):
    """`vector` at length one."""
    return vector / np.linalg.norm(vector)


def angle_between(first, second):
    """Angle from 0 to pi between two vectors; exact near 0 and pi too."""
    return atan2(np.linalg.norm(np.cross(first, second)), first @ second)


def departure(start, end):
    """Unit tangent at `start` of the shorter great-circle arc to `end`."""
    return unit(end - start * (start @ end))


def walk(start, tangent, arc):
    """End of the great-circle arc of length `arc` that leaves `start` along `tangent`."""
    return turn(start, np.cross(start, tangent), arc)


def apex_of(left, right, arc):
    """Where the circles of angular radius `arc` about `left` and `right` cut, outward side.

    That is the side of left x right if left and right are named as seen from the base axis.
    Products of sines instead of a difference of squared cosines keep all digits for short arcs.
    """
    half = 0.5 * angle_between(left, right)
    outward_squared = np.sin(arc - half) * np.sin(arc + half)
    if outward_squared <= 0.0:
        raise NoClosure(
            f"distal arcs of {np.degrees(arc):.3f} deg do not meet over {np.degrees(2 * half):.3f} deg"
        )
    middle, outward = unit(left + right), unit(np.cross(left, right))
    return (middle * np.cos(arc) + outward * sqrt(outward_squared)) / np.cos(half)


@dataclass
class Station:
    """A joint direction (or the tool's end) on one body."""

    body: str
    direction: np.ndarray


@dataclass
class Arc:
    """Part of `body` along the great circle between two of its stations (indices)."""

    body: str
    start: int
    end: int


@dataclass
class Joint:
    """Revolute joint through the centre; `first is None` is the ground.

    `driven` joints are held by a drive: no rotation about the axis.
    """

    name: str
    first: int | None
    second: int
    axis: np.ndarray
    driven: bool = False


@dataclass
class Linkage:
    """One configuration: stations, arcs and joints, and the body that carries the tool."""

    stations: list[Station] = field(default_factory=list)
    arcs: list[Arc] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    tool_station: int = -1
    tool_direction: np.ndarray | None = None
    carrier_tangent: np.ndarray | None = None
    #: Interior angles between the two arcs at passive joints where no bar is bent, 0 to pi.
    passive_angles: dict[str, float] = field(default_factory=dict)

    def add_station(self, body, direction):
        """Adds a station and returns its index."""
        self.stations.append(Station(body, direction))
        return len(self.stations) - 1

    def add_arc(self, body, start, direction):
        """Adds an arc of `body` from station `start` to a new station at `direction`."""
        end = self.add_station(body, direction)
        self.arcs.append(Arc(body, start, end))
        return end

    def arc_length(self, arc):
        """Angle spanned by `arc`."""
        return angle_between(self.stations[arc.start].direction, self.stations[arc.end].direction)

    def carry_tool(self, bracket_arc):
        """Puts the tool at the end of the last arc of its carrier, `bracket_arc` further on."""
        carrier = next(arc for arc in self.arcs if arc.end == self.tool_station)
        start, end = self.stations[carrier.start].direction, self.stations[carrier.end].direction
        normal = unit(np.cross(start, end))
        self.tool_direction = turn(end, normal, bracket_arc)
        self.carrier_tangent = np.cross(normal, self.tool_direction)

    def roll(self):
        """Angle from the polar direction to the carrier's tangent, right-handed about the tool."""
        polar, azimuth, _ = local_frame(self.tool_direction)
        return atan2(self.carrier_tangent @ azimuth, self.carrier_tangent @ polar)


def local_frame(direction):
    """Rows polar, azimuth, radial at `direction` (not on the base axis)."""
    azimuth = unit(np.cross(BASE_AXIS, direction))
    return np.array([np.cross(azimuth, direction), azimuth, direction])


def polar_and_azimuth(direction):
    """Polar angle from the base axis and azimuth about it."""
    return angle_between(direction, BASE_AXIS), atan2(direction[1], direction[0])


@dataclass
class ScissorLinkage:
    """Proximal and distal arcs per stage; bends of the crossing bars between stages."""

    proximal_arcs: list[float]
    distal_arcs: list[float]
    bends: list[float]
    carried_by: str = "left"
    bracket_arc: float = 0.0

    def configuration(self, swing, opening):
        """The linkage with its base bars at swing +- opening/2, distal arcs outward."""
        linkage = Linkage()
        stages = len(self.proximal_arcs)
        ends = {}
        for side, azimuth in (("left", swing + 0.5 * opening), ("right", swing - 0.5 * opening)):
            body = f"base bar {side}"
            base = linkage.add_station(body, BASE_AXIS)
            linkage.joints.append(Joint(f"base {side}", None, base, BASE_AXIS, driven=True))
            heading = np.array([np.cos(azimuth), np.sin(azimuth), 0.0])
            ends[side] = linkage.add_arc(body, base, walk(BASE_AXIS, heading, self.proximal_arcs[0]))
        for stage in range(stages):
            ends = self._add_stage(linkage, stage, ends)
        linkage.tool_station = ends[self.carried_by]
        linkage.carry_tool(self.bracket_arc)
        return linkage

    def _add_stage(self, linkage, stage, arrivals):
        """Adds the two bars that leave the side joints; returns where they end, by side.

        Before the last stage the ends are keyed by the side joint of the next stage at which
        they arrive; in the last stage by the side joint from which they came.
        """
        last = stage == len(self.proximal_arcs) - 1
        side = {name: linkage.stations[end].direction for name, end in arrivals.items()}
        apex = apex_of(side["left"], side["right"], self.distal_arcs[stage])
        at_apex, ends = {}, {}
        for name, other, sign in (("left", "right", -1.0), ("right", "left", 1.0)):
            body = f"bar from {name} {stage + 1}"
            start = linkage.add_station(body, side[name])
            joint = Joint(f"side {name} {stage + 1}", arrivals[name], start, side[name])
            linkage.joints.append(joint)
            self._note_side_angle(linkage, joint, apex)
            at_apex[name] = linkage.add_arc(body, start, apex)
            if not last:
                straight_on = -departure(apex, side[name])
                onward = turn(straight_on, apex, sign * self.bends[stage])
                ends[other] = linkage.add_arc(
                    body, at_apex[name], walk(apex, onward, self.proximal_arcs[stage + 1])
                )
        apex_name = f"apex {stage + 1}"
        linkage.joints.append(Joint(apex_name, at_apex["left"], at_apex["right"], apex))
        if last:
            linkage.passive_angles[apex_name] = angle_between(
                departure(apex, side["left"]), departure(apex, side["right"])
            )
            return at_apex
        return ends

    @staticmethod
    def _note_side_angle(linkage, joint, apex):
        """Records the angle at a side joint between the arriving and the leaving arc."""
        arriving = next(arc for arc in linkage.arcs if arc.end == joint.first)
        origin = linkage.stations[arriving.start].direction
        linkage.passive_angles[joint.name] = angle_between(
            departure(joint.axis, origin), departure(joint.axis, apex)
        )

    def half_angles(self, opening):
        """Proximal and distal half-angles per stage, (alpha_i, alpha'_i), for an opening.

        Stage i is regular (type 2) while its distal half-angle is away from 0 and pi/2, and
        its bars keep their sides while the proximal one is away from 0 and pi.
        """
        linkage = self.configuration(0.0, opening)
        apexes = [joint for joint in linkage.joints if joint.name.startswith("apex")]
        half_angles, proximal = [], 0.5 * opening
        for joint, bend in zip(apexes, [*self.bends, 0.0], strict=True):
            arcs = [arc for arc in linkage.arcs if arc.end in (joint.first, joint.second)]
            tangents = [departure(joint.axis, linkage.stations[arc.start].direction) for arc in arcs]
            distal = 0.5 * angle_between(*tangents)
            half_angles.append((proximal, distal))
            proximal = distal + bend
        return half_angles


@dataclass
class TwoArcArm:
    """Two arcs in series; the first lies at azimuth = base angle, elbow 0 is stretched."""

    arcs: list[float]
    bracket_arc: float = 0.0

    def configuration(self, base, elbow):
        """The arm at the given base and elbow angles (elbow right-handed about its axis)."""
        linkage = Linkage()
        start = linkage.add_station("first arc", BASE_AXIS)
        linkage.joints.append(Joint("base", None, start, BASE_AXIS, driven=True))
        heading = np.array([np.cos(base), np.sin(base), 0.0])
        elbow_axis = walk(BASE_AXIS, heading, self.arcs[0])
        first_end = linkage.add_arc("first arc", start, elbow_axis)
        second_start = linkage.add_station("second arc", elbow_axis)
        linkage.joints.append(Joint("elbow", first_end, second_start, elbow_axis, driven=True))
        onward = turn(-departure(elbow_axis, BASE_AXIS), elbow_axis, elbow)
        linkage.tool_station = linkage.add_arc(
            "second arc", second_start, walk(elbow_axis, onward, self.arcs[1])
        )
        linkage.carry_tool(self.bracket_arc)
        return linkage


def centroid_of_arc(start, end):
    """Centroid of the unit great-circle arc from `start` to `end` (inside the sphere)."""
    half = 0.5 * angle_between(start, end)
    return unit(start + end) * sin(half) / half


def polar_of_uniform_scissor(stages, arc, half_opening):
    """tan(theta / 2m) = tan(arc) cos(half opening): published form for uniform stages."""
    return 2 * stages * np.arctan(np.tan(arc) * np.cos(half_opening))


def conditioning_index(direction_of, joints, steps=(1e-3, 1e-3)):
    """sigma_min / sigma_max of d(direction)/d(active joints), by central differences.

    `direction_of` maps the two active joint angles to the tool direction; the 2-norm of the
    velocity on the unit sphere does not depend on the local frame chosen. Sixth order in
    `steps` (rad, one per joint), which may thus stay well above round-off.
    """
    columns = []
    for index, step in enumerate(steps):
        shift = np.zeros(2)
        shift[index] = step
        first, second, third = (
            direction_of(*(joints + n * shift)) - direction_of(*(joints - n * shift)) for n in (1, 2, 3)
        )
        columns.append((45.0 * first - 9.0 * second + third) / (60.0 * step))
    singular_values = np.linalg.svd(np.array(columns), compute_uv=False)
    return singular_values[-1] / singular_values[0]
