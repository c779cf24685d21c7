"""Where the parts of a built linkage lie, from the sizes of the design alone.

The bars of a linkage are stacked in layers about the remote centre, tied by pins with a
pair of bearings; this module puts every centre line and every pin there, in the base frame
and in mm, in the form in which the program prints them (`parts`). It shares nothing with
calotte: directions come from `linkage_geometry`, radii from the rules of
docs/theory/built-geometry.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage_geometry import unit

MM = 1e3


@dataclass(frozen=True)
class BearingPair:
    """One bearing's sizes in m and stiffness in N/m, and how two of them hold a pin."""

    bore: float
    outer_diameter: float
    width: float
    radial: float
    axial: float
    spacing: float
    both_locate: bool

    @property
    def axial_of_pair(self):
        """Along the pin: one bearing locates, or both do."""
        return (2.0 if self.both_locate else 1.0) * self.axial

    @property
    def radial_of_pair(self):
        """Across the pin: both bearings side by side."""
        return 2.0 * self.radial

    @property
    def tilt_of_pair(self):
        """Two springs at half the spacing to either side: 2 k (L/2)^2 = k L^2 / 2."""
        return 0.5 * self.radial * self.spacing**2


@dataclass(frozen=True)
class Layers:
    """How the bars are stacked, lengths in m."""

    arrangement: str
    gap: float
    boss_height: float | None
    shaft_diameter: float
    hollow_shaft: tuple[float, float]
    housing_diameter: float
    housing_height: float
    clearance: float = 0.0005
    #: layer of each bar in the order of `bar_names`, for the arrangement "given"
    of_bars: tuple[int, ...] = ()


def printed(name):
    """Name of a body or joint as the program prints it."""
    renamed = name.replace("base bar", "base").replace("bar from", "bar")
    return renamed.replace(" ", "-")


def bar_names(linkage):
    """Printed names of the bars, from the base outward, left before right."""
    return list(dict.fromkeys(printed(arc.body) for arc in linkage.arcs))


def layers_of(layers, names, carrier):
    """Layer of each bar, 0 innermost.

    two: bars that start at left side joints in one layer, those that start at right ones in
    the other, a base bar with the bars of the other side, the tool's carrier innermost.
    nested: the last stage innermost and the base outermost, in each stage the bar of the
    carrier's side inside the other one.
    """
    if layers.arrangement == "given":
        return dict(zip(names, layers.of_bars, strict=True))
    if not any(name.startswith("base-") for name in names):
        return {name: len(names) - 1 - place for place, name in enumerate(names)}
    side = carrier.split("-")[1]
    if layers.arrangement == "two":
        return {name: int((f"-{side}" in name) == name.startswith("base")) for name in names}
    order = []
    for first in range(len(names) - 2, -1, -2):
        pair = names[first : first + 2]
        order += sorted(pair, key=lambda name: f"-{side}" not in name)
    return {name: layer for layer, name in enumerate(order)}


@dataclass(frozen=True)
class Stack:
    """Radii in m: of every bar's centre line and of the middle of the ground's bearings."""

    radii: dict[str, float]
    pitch: float
    boss_height: float
    ground: float


def stack(joint_radius, section_depth, layers, pair, names, carrier):
    """Where the layers lie: pitch = greater of bar and boss + gap."""
    boss_height = layers.boss_height
    if boss_height is None:
        boss_height = max(section_depth, pair.spacing + pair.width)
    tallest = max(boss_height, section_depth)
    pitch = tallest + layers.gap
    radii = {
        name: joint_radius + layer * pitch for name, layer in layers_of(layers, names, carrier).items()
    }
    outer_face = max(radii.values()) + 0.5 * tallest
    return Stack(radii, pitch, boss_height, outer_face + layers.gap + 0.5 * layers.housing_height)


def parts_of(linkage, design):
    """The parts of a design in one configuration, as `analyse --json` prints them."""
    names = bar_names(linkage)
    carrier = printed(linkage.stations[linkage.tool_station].body)
    stacked = design.stack()
    bars = {name: {"name": name, "radius_mm": stacked.radii[name] * MM, "arcs": []} for name in names}
    for arc in linkage.arcs:
        bar = bars[printed(arc.body)]
        ends = [linkage.stations[station].direction for station in (arc.start, arc.end)]
        bar["arcs"].append(
            {key: (bar["radius_mm"] * end).tolist() for key, end in zip(("from_mm", "to_mm"), ends)}
        )
    pins = [pin_of(linkage, design, stacked, joint) for joint in linkage.joints]
    for bar in bars.values():
        for arc in bar["arcs"]:
            arc["rigid_mm"] = [
                rigid_length(design.boss_at(pins, bar, arc[end]), hole_at(design, pins, bar, arc[end]))
                for end in ("from_mm", "to_mm")
            ]
    return {
        "boss_diameter_mm": design.boss_diameter * MM,
        "bars": list(bars.values()),
        "pins": pins,
        "tool": {
            "carried_by": carrier,
            "tip_mm": (design.tip_radius * MM * linkage.tool_direction).tolist(),
            "direction": linkage.tool_direction.tolist(),
        },
    }


def hole_at(design, pins, bar, point_mm):
    """Greatest hole in a bar's boss at a point of its centre line, mm; 0 without a joint there."""
    ray = unit(np.array(point_mm))
    holes = [0.0]
    for pin in pins:
        if np.linalg.norm(unit(np.array(pin["from_mm"])) - ray) > 1e-9:
            continue
        if pin["clamped_in"] == bar["name"]:
            holes.append(pin["diameter_mm"])
        if pin["bearings_in"] == bar["name"]:
            holes.append(design.pair_at(pin["joint"]).outer_diameter * MM)
    return max(holes)


@dataclass(frozen=True)
class Boss:
    """The round in which a bar ends, and the bar's own depth, m."""

    diameter: float
    height: float
    depth: float


def joint_at(pins, point_mm):
    """Printed name of a joint on the ray of a point; None where there is none."""
    ray = unit(np.array(point_mm))
    names = (pin["joint"] for pin in pins if np.linalg.norm(unit(np.array(pin["from_mm"])) - ray) <= 1e-9)
    return next(names, None)


def rigid_length(boss, hole):
    """Length a boss holds rigid on either side of its axis, mm.

    What fills the hole is rigid, the wall around it as far as it is higher than the bar; found
    with solid models (`test_solid_arc.py`).
    """
    higher = max(0.0, 1.0 - boss.depth / boss.height)
    return 0.5 * (hole + higher * (boss.diameter * MM - hole))


def pin_of(linkage, design, stacked, joint):
    """One pin or shaft: from the bar it is clamped in to the bearings' middle."""
    second = printed(linkage.stations[joint.second].body)
    if joint.first is None:
        clamp, bearings, end = second, "ground", stacked.ground
        bars_at_base = [printed(linkage.stations[j.second].body) for j in linkage.joints if j.first is None]
        solid = stacked.radii[second] == min(stacked.radii[bar] for bar in bars_at_base)
        diameters = (design.layers.shaft_diameter, 0.0) if solid else design.layers.hollow_shaft
    else:
        pair = (printed(linkage.stations[joint.first].body), second)
        inner, outer = sorted(pair, key=lambda bar: stacked.radii[bar])
        clamp, bearings = (inner, outer) if design.pin_clamped_in == "inner" else (outer, inner)
        end, diameters = stacked.radii[bearings], design.pin_sizes_at(printed(joint.name))
    return {
        "joint": printed(joint.name),
        "clamped_in": clamp,
        "bearings_in": bearings,
        "from_mm": (stacked.radii[clamp] * MM * joint.axis).tolist(),
        "to_mm": (end * MM * joint.axis).tolist(),
        "diameter_mm": diameters[0] * MM,
        "bore_mm": diameters[1] * MM,
        "driven": joint.driven,
    }


def refuses(linkage, layers, carrier):
    """Whether two bars of one joint would lie in one layer."""
    assigned = layers_of(layers, bar_names(linkage), carrier)
    return any(
        joint.first is not None
        and len({assigned[printed(linkage.stations[end].body)] for end in (joint.first, joint.second)}) == 1
        for joint in linkage.joints
    )


def largest_difference(first, second):
    """Greatest difference of two `parts` in any number; names and shapes must be equal.

    Bars and pins are matched by name, so that their order does not matter.
    """
    if isinstance(first, dict):
        assert first.keys() == second.keys(), (sorted(first), sorted(second))
        return max(largest_difference(first[key], second[key]) for key in first)
    if isinstance(first, list):
        assert len(first) == len(second), (first, second)
        if first and isinstance(first[0], dict) and not {"name", "joint"}.isdisjoint(first[0]):
            key = "name" if "name" in first[0] else "joint"
            first, second = (sorted(items, key=lambda item: item[key]) for items in (first, second))
        return max((largest_difference(*pair) for pair in zip(first, second)), default=0.0)
    if isinstance(first, (str, bool)):
        assert first == second, (first, second)
        return 0.0
    return abs(float(first) - float(second))


def sizes_of_section(keys):
    """(tangential, radial) size of a section given by its design-file keys, m."""
    if keys["shape"] == "rectangle":
        return keys["tangential_mm"] / MM, keys["radial_mm"] / MM
    diameter = keys["outer_diameter_mm"] if keys["shape"] == "tube" else keys["diameter_mm"]
    return diameter / MM, diameter / MM
