"""Random designs whose bars and joints differ: sections by level and by bar, joints by level.

They are the plain and the built random designs with entries drawn anew for some bars and
levels. What a bar or joint has is found here from its name in the geometry, by rules of our
own: the base is level 0, a stage its number, an arm's elbow and second arc 1; a bar's entry
goes before its level's, a level's before the rule.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields

import numpy as np

import built_parts
from bar_section import rectangle, rod, tube
from built_designs import (
    BEARING_SIZES,
    BuiltDesign,
    built_design_file,
    drawn,
    millimetres,
    random_built_designs,
    random_pair,
)
from built_frame import built_frame
from built_parts import MM, printed
from designs import Design, design_file, random_designs, random_section, table
from frame_model import JointStiffness, frame_of


def level_of(name):
    """Level of a bar or joint by its printed name."""
    if name.startswith("base") or name == "first-arc":
        return 0
    if name in ("elbow", "second-arc"):
        return 1
    return int(name.rpartition("-")[2])


def section_of_keys(keys, poisson_ratio):
    """A section from its keys in the design file."""
    if keys["shape"] == "rectangle":
        return rectangle(keys["tangential_mm"] / MM, keys["radial_mm"] / MM)
    if keys["shape"] == "tube":
        return tube(keys["outer_diameter_mm"] / MM, keys["inner_diameter_mm"] / MM, poisson_ratio)
    return rod(keys["diameter_mm"] / MM, poisson_ratio)


@dataclass
class OwnSections:
    """Keys of sections by level and by bar."""

    levels: dict[int, dict] = field(default_factory=dict)
    bars: dict[str, dict] = field(default_factory=dict)

    def keys(self, bar, rule):
        """Keys of the section of a bar."""
        return self.bars.get(bar, self.levels.get(level_of(bar), rule))

    def file(self):
        """The entries as TOML text."""
        levels = [table("[section.level]", {"level": n} | keys) for n, keys in self.levels.items()]
        return "".join(levels + [table("[section.bar]", {"name": n} | keys) for n, keys in self.bars.items()])


def bars_of(design):
    """Printed names of the bars of a design."""
    return built_parts.bar_names(design.linkage())


def draw_sections(random, design, sections):
    """Entries for some levels and one bar, from a generator of section keys."""
    bars = bars_of(design)
    last = max(level_of(bar) for bar in bars)
    levels = {level: sections() for level in range(last + 1) if random.integers(2) or level == 0}
    return OwnSections(levels, {str(random.choice(bars)): sections()})


def values_of(design, kind):
    """The fields a design of another kind is made from."""
    return {f.name: getattr(design, f.name) for f in fields(kind) if f.init and hasattr(design, f.name)}


# ------------------------------------------------------------------- bars on one sphere


@dataclass(kw_only=True)
class DifferingDesign(Design):
    """A design on one sphere with entries of its own."""

    own_sections: OwnSections
    #: by level: stiffness, boss diameter in m
    own_joints: dict[int, tuple[JointStiffness, float]]

    def section_of(self, body):
        """Section of a bar."""
        return section_of_keys(
            self.own_sections.keys(printed(body), self.section_keys), self.material.poisson_ratio
        )

    def joints_at(self, level):
        """Stiffness and boss of a level."""
        return self.own_joints.get(level, (self.joints, self.boss_diameter))

    def frame(self, members_per_arc):
        """The straight-segment frame at the design's configuration."""
        linkage = self.linkage()
        return frame_of(
            linkage,
            self.material,
            self.section,
            self.joints,
            self.joint_radius,
            self.tip_radius,
            members_per_arc,
            own=OnOneSphere(self, linkage),
        )

    def file(self):
        """The design as TOML text."""
        text = design_file(self)
        text = text.replace("[material]", self.own_sections.file() + "[material]")
        entries = ""
        for level, (stiffness, boss) in self.own_joints.items():
            keys = {"level": level, "boss_diameter_mm": millimetres(boss)}
            if not stiffness.rigid:
                keys |= {
                    "axial_n_per_m": stiffness.axial,
                    "radial_n_per_m": stiffness.radial,
                    "tilt_nm_per_rad": stiffness.tilt,
                }
            entries += table("[joints.level]", keys)
        return text.replace("[drives]", entries + "[drives]")

    def moving_mass(self):
        """Bars, and what rounds of the bosses have outside them, kg."""
        linkage, mass = self.linkage(), 0.0
        for arc in linkage.arcs:
            mass += self.section_of(arc.body).area * self.joint_radius * linkage.arc_length(arc)
        own = OnOneSphere(self, linkage)
        for station, place in enumerate(linkage.stations):
            keys = self.own_sections.keys(printed(place.body), self.section_keys)
            width, depth = built_parts.sizes_of_section(keys)
            mass += outside_area(own.boss(station), width) * depth
        return mass * self.material.density


def outside_area(diameter, width):
    """Area of a round outside a strip of this width through its middle, by 1e5 slices."""
    across = (np.arange(100_000) + 0.5) / 100_000 * 0.5 * diameter
    chord = 2.0 * np.sqrt(0.25 * diameter**2 - across**2)
    return 2.0 * np.sum(chord[across > 0.5 * width]) * 0.5 * diameter / 100_000


@dataclass
class OnOneSphere:
    """What differs, for `frame_of`."""

    design: DifferingDesign
    linkage: object

    def section(self, body):
        """Of a bar."""
        return self.design.section_of(body)

    def stiffness(self, joint):
        """Of a joint."""
        return self.design.joints_at(level_of(printed(joint)))[0]

    def boss(self, station):
        """Of a station: that of the joint there, else of its bar's level."""
        for joint in self.linkage.joints:
            if station in (joint.first, joint.second):
                return self.design.joints_at(level_of(printed(joint.name)))[1]
        return self.design.joints_at(level_of(printed(self.linkage.stations[station].body)))[1]


def random_stiffness(random):
    """Axial, radial and tilt stiffness over a decade and a half each."""
    draw = ((6.0, 7.5), (6.0, 7.5), (2.0, 3.5))
    return JointStiffness(*(float(f"{10 ** random.uniform(*span):.3g}") for span in draw))


def differing_designs(seed=20267):
    """The plain random designs, all of them with entries of their own."""
    random = np.random.default_rng(seed)
    found = []
    for design in random_designs():
        values = values_of(design, Design) | {"name": f"{design.name}, differing"}
        last = max(level_of(bar) for bar in bars_of(design))
        levels = [level for level in range(last + 1) if level == 0 or random.integers(2)]
        joints = {
            level: (
                design.joints if design.joints.rigid else random_stiffness(random),
                round(random.uniform(0.0, 12.0), 1) / MM,
            )
            for level in levels
        }
        sections = draw_sections(random, design, lambda: random_section(random))
        found.append(DifferingDesign(**values, own_sections=sections, own_joints=joints))
    return found


# ------------------------------------------------------------------- built ones


@dataclass(kw_only=True)
class DifferingBuilt(BuiltDesign):
    """A built design with entries of its own: sections, bearings, pins and bosses."""

    own_sections: OwnSections
    #: by level: bearings, pin diameter and bore, boss diameter; m
    own_joints: dict[int, tuple[built_parts.BearingPair, float, float, float]]

    def joints_at(self, level):
        """Bearings, pin and boss of a level."""
        rule = (self.pair, self.pin_diameter, self.pin_bore, self.boss_diameter)
        return self.own_joints.get(level, rule)

    def pair_at(self, joint):
        """The bearings of a joint, by its printed name."""
        return self.joints_at(level_of(joint))[0]

    def pin_sizes_at(self, joint):
        """Diameter and bore of the pin of a joint, m."""
        return self.joints_at(level_of(joint))[1:3]

    def sizes_of(self, bar):
        """Width and depth of a bar, m."""
        return built_parts.sizes_of_section(self.own_sections.keys(bar, self.section_keys))

    def boss_of(self, bar, level):
        """The round of a bar at a joint of a level: as high as the bar and its pair ask."""
        (width, depth), (pair, _, _, diameter) = self.sizes_of(bar), self.joints_at(level)
        height = self.layers.boss_height
        if height is None:
            height = max(depth, pair.spacing + pair.width)
        return built_parts.Boss(max(diameter, width), height, depth)

    def boss_at(self, pins, bar, point_mm):
        """The round of a bar at a point of its centre line."""
        joint = built_parts.joint_at(pins, point_mm) or bar["name"]
        return self.boss_of(bar["name"], level_of(joint))

    def stack(self):
        """Where the layers lie: as far apart as the highest boss and bar ask."""
        linkage = self.linkage()
        carrier = printed(linkage.stations[linkage.tool_station].body)
        names = built_parts.bar_names(linkage)
        heights = [self.sizes_of(bar)[1] for bar in names]
        for joint in linkage.joints:
            for end in (joint.first, joint.second):
                if end is not None:
                    bar = printed(linkage.stations[end].body)
                    heights.append(self.boss_of(bar, level_of(printed(joint.name))).height)
        highest = max(heights)
        layer = built_parts.layers_of(self.layers, names, carrier)
        pitch = highest + self.layers.gap
        radii = {name: self.joint_radius + layer[name] * pitch for name in names}
        outer_face = max(radii.values()) + 0.5 * highest
        ground = outer_face + self.layers.gap + 0.5 * self.layers.housing_height
        return built_parts.Stack(radii, pitch, highest, ground)

    def file(self):
        """The design as TOML text."""
        text = built_design_file(self)
        text = text.replace("[material]", self.own_sections.file() + "[material]", 1)
        entries = ""
        for level, (pair, diameter, bore, boss) in self.own_joints.items():
            entries += table("[joints.level]", {"level": level, "boss_diameter_mm": millimetres(boss)})
            bearing = {
                "name": f"invented bearing {level}",
                "bore_mm": millimetres(pair.bore),
                "outer_diameter_mm": millimetres(pair.outer_diameter),
                "width_mm": millimetres(pair.width),
                "radial_n_per_m": pair.radial,
                "axial_n_per_m": pair.axial,
                "spacing_mm": millimetres(pair.spacing),
                "axial_hold": "both" if pair.both_locate else "one",
            }
            pin = {"diameter_mm": millimetres(diameter), "bore_mm": millimetres(bore)}
            entries += table("joints.level.bearing", bearing) + table("joints.level.pin", pin)
        return text.replace("[layers]", entries + "[layers]")

    def built_frame(self, parts, members_per_arc):
        """The frame of the given parts; nothing but their coordinates, sections and bearings."""
        own = OfParts(self)
        return built_frame(
            parts, self.material, self.section, self.pin_material, self.pair, members_per_arc, own
        )


@dataclass
class OfParts:
    """What differs, for `built_frame`."""

    design: DifferingBuilt

    def section(self, bar):
        """Of a bar, by its printed name."""
        keys = self.design.own_sections.keys(bar, self.design.section_keys)
        return section_of_keys(keys, self.design.material.poisson_ratio)

    def pair(self, joint):
        """Of a joint, by its printed name."""
        return self.design.pair_at(joint)


def slender_section(random):
    """Section keys narrow enough for any boss drawn here."""
    tangential, radial = round(random.uniform(6, 10), 1), round(random.uniform(4, 9), 1)
    diameter = round(random.uniform(6, 10), 1)
    return [
        {"shape": "rectangle", "tangential_mm": tangential, "radial_mm": radial},
        {"shape": "rod", "diameter_mm": diameter},
        {"shape": "tube", "outer_diameter_mm": diameter, "inner_diameter_mm": round(0.6 * diameter, 1)},
    ][random.integers(3)]


def differing_built_designs(seed=20268):
    """The built random designs with entries of their own, where their arcs leave room."""
    random = np.random.default_rng(seed)
    found = []
    for design in random_built_designs():
        linkage = design.linkage()
        shortest = min(linkage.arc_length(arc) for arc in linkage.arcs) * design.joint_radius
        last = max(level_of(bar) for bar in bars_of(design))
        joints = {}
        for level in range(1, last + 1):
            pair = random_pair(random)
            boss = drawn(random, pair.outer_diameter * MM + 1.0, pair.outer_diameter * MM + 3.0)
            if random.integers(2) and boss + 0.012 < shortest:
                joints[level] = (pair, pair.bore, round(pair.bore * MM * 0.25, 2) / MM, boss)
        # Shafts and housing of the base are drawn for the rule's boss: other bearings in it.
        rule = design.pair
        fitting = [size for size in BEARING_SIZES if size[1] / MM < design.boss_diameter]
        bore, outer, width = fitting[random.integers(len(fitting))]
        base = built_parts.BearingPair(
            bore / MM,
            outer / MM,
            width / MM,
            radial=2.0 * rule.radial,
            axial=3.0 * rule.axial,
            spacing=max(rule.spacing, width / MM),
            both_locate=not rule.both_locate,
        )
        joints[0] = (base, bore / MM, 0.0, design.boss_diameter)
        values = values_of(design, BuiltDesign) | {"name": f"{design.name}, differing"}
        sections = draw_sections(random, design, lambda: slender_section(random))
        found.append(DifferingBuilt(**values, own_sections=sections, own_joints=joints))
    return found
