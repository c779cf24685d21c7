"""A built linkage as a straight frame, from the coordinates of its parts alone.

What it needs is the object `parts` that `analyse --json` prints (or `built_parts` makes):
centre lines of the bars, pins from clamp to bearings, the tool's tip. Nothing is known of
layers, angles or families: bars and pins find their nodes by their coordinates.

Bars are arcs of straight Timoshenko members with rigid bosses at their stations. A pin is
one straight round Timoshenko member from the bar it is clamped in, to a node of its own;
there the pair of bearings ties it to the other bar or the ground. The tool is rigid.
"""

from __future__ import annotations

from math import pi

import numpy as np

from bar_section import Section
from frame_model import Frame, FrameJoint, FramePin, JointStiffness
from linkage_geometry import angle_between, local_frame, turn, unit

#: Two printed points are one node if they are no farther apart, m.
SAME_POINT = 1e-8
#: Shear factor of a round pin (common practice).
PIN_SHEAR_FACTOR = 0.9


def pin_section(diameter, bore):
    """A straight round pin, diameters in m."""
    second_moment = pi * (diameter**4 - bore**4) / 64.0
    area = pi * (diameter**2 - bore**2) / 4.0
    return Section(area, second_moment, second_moment, 2.0 * second_moment, PIN_SHEAR_FACTOR)


def metres(point_mm):
    """A printed point in m."""
    return np.array(point_mm, dtype=float) / 1e3


class FrameBuilder:
    """Turns parts into nodes and members; keeps which nodes are stations of which bar."""

    def __init__(self, parts, material, section):
        self.frame = Frame(material, section)
        self.stations = {bar["name"]: [] for bar in parts["bars"]}

    def station(self, bar, point):
        """The station of `bar` at `point`; None if it has none there."""
        for node in self.stations[bar]:
            if np.linalg.norm(self.frame.nodes[node] - point) <= SAME_POINT:
                return node
        return None

    def station_or_new(self, bar, point):
        """The station of `bar` at `point`, made if need be."""
        node = self.station(bar, point)
        if node is None:
            node = self.frame.add_node(point)
            self.stations[bar].append(node)
        return node

    def required_station(self, bar, point, what):
        """The station of `bar` at `point`, which must be there."""
        node = self.station(bar, point)
        if node is None:
            raise ValueError(f"{what}: {bar} has no station at {point * 1e3} mm")
        return node

    def add_arc(self, bar, arc, members_per_arc, section=None):
        """Members along one arc about the remote centre, between its rigid bosses."""
        start, end = metres(arc["from_mm"]), metres(arc["to_mm"])
        radius = bar["radius_mm"] / 1e3
        for point in (start, end):
            if abs(np.linalg.norm(point) - radius) > SAME_POINT:
                raise ValueError(f"{bar['name']}: {point * 1e3} mm does not lie at its radius")
        first, last = (self.station_or_new(bar["name"], point) for point in (start, end))
        normal, length = unit(np.cross(start, end)), angle_between(start, end)
        zones = [rigid / 1e3 / radius for rigid in arc["rigid_mm"]]
        angles = np.linspace(zones[0], length - zones[1], members_per_arc + 1)
        nodes = [self.frame.add_node(turn(start, normal, angle)) for angle in angles[1:-1]]
        if any(zones):
            ends = [self.frame.add_node(turn(start, normal, angle)) for angle in angles[[0, -1]]]
            self.frame.rigid_links += zip((first, last), ends, strict=True)
            first, last = ends
        nodes = [first, *nodes, last]
        self.frame.add_members(nodes, section)

    def add_pin(self, pin, material, pair):
        """The pin's member and the pair of bearings at its end."""
        start, end = metres(pin["from_mm"]), metres(pin["to_mm"])
        clamp = self.required_station(pin["clamped_in"], start, f"pin {pin['joint']}")
        tip = self.frame.add_node(end)
        section = pin_section(pin["diameter_mm"] / 1e3, pin["bore_mm"] / 1e3)
        self.frame.pins.append(FramePin(clamp, tip, material, section))
        bearings = None
        if pin["bearings_in"] != "ground":
            bearings = self.required_station(pin["bearings_in"], end, f"bearings of {pin['joint']}")
        stiffness = JointStiffness(pair.axial_of_pair, pair.radial_of_pair, pair.tilt_of_pair)
        self.frame.joints.append(FrameJoint(bearings, tip, unit(end - start), stiffness, pin["driven"]))

    def add_tool(self, tool):
        """The tool, rigid from the end of its carrier that is nearest to it."""
        direction = unit(np.array(tool["direction"], dtype=float))
        self.frame.tool_node = min(
            self.stations[tool["carried_by"]],
            key=lambda node: angle_between(self.frame.nodes[node], direction),
        )
        self.frame.tip = metres(tool["tip_mm"])
        self.frame.tip_frame = local_frame(direction)


def built_frame(parts, material, section, pin_material, pair, members_per_arc, own=None):
    """The straight frame of the given parts; `own` says what differs, by bar and by joint."""
    builder = FrameBuilder(parts, material, section)
    for bar in parts["bars"]:
        for arc in bar["arcs"]:
            of_bar = None if own is None else own.section(bar["name"])
            builder.add_arc(bar, arc, members_per_arc, of_bar)
    for pin in parts["pins"]:
        builder.add_pin(pin, pin_material, pair if own is None else own.pair(pin["joint"]))
    builder.add_tool(parts["tool"])
    return builder.frame
