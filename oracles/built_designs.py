"""Random built designs: bars in layers, real pins and bearings, with the design file.

Invented by a seeded generator, lengths drawn in mm and angles in degrees as in `designs`.
Sizes fit one another as parts must: the bearing in its boss, the pin in the bearing, the
solid shaft in the hollow one, an arc longer than its bosses.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

import built_parts
from bar_section import Material
from built_frame import built_frame
from built_parts import BearingPair, Layers
from designs import (
    Design,
    drive_entries,
    linkage_entries,
    random_arm,
    random_scissor,
    random_section,
    table,
    tool_entries,
)
from frame_model import RIGID
from linkage_geometry import polar_and_azimuth, turn, unit

#: bore, outer diameter and width of the bearings drawn from, mm (ISO 15 dimension series
#: 10 and 02, from memory; any sizes that fit one another would do here)
BEARING_SIZES = ((3.0, 10.0, 4.0), (4.0, 13.0, 5.0), (5.0, 14.0, 5.0), (5.0, 16.0, 5.0), (6.0, 17.0, 6.0))


@dataclass(kw_only=True)
class BuiltDesign(Design):
    """A design with layers, pins and bearings."""

    layers: Layers
    pair: BearingPair
    pin_diameter: float
    pin_bore: float
    pin_material: Material
    pin_clamped_in: str
    section_depth: float = field(init=False)
    section_width: float = field(init=False)

    def __post_init__(self):
        super().__post_init__()
        self.section_width, self.section_depth = built_parts.sizes_of_section(self.section_keys)

    def parts(self, linkage=None):
        """The parts at the design's configuration, or in another one."""
        return built_parts.parts_of(self.linkage() if linkage is None else linkage, self)

    def stack(self):
        """Where the layers lie."""
        linkage = self.linkage()
        carrier = built_parts.printed(linkage.stations[linkage.tool_station].body)
        names = built_parts.bar_names(linkage)
        return built_parts.stack(
            self.joint_radius, self.section_depth, self.layers, self.pair, names, carrier
        )

    def pair_at(self, joint):
        """The bearings of a joint, by its printed name."""
        return self.pair

    def pin_sizes_at(self, joint):
        """Diameter and bore of the pin of a joint, m."""
        return self.pin_diameter, self.pin_bore

    def boss_at(self, pins, bar, point_mm):
        """The round of a bar at a point of its centre line."""
        diameter = max(self.boss_diameter, self.section_width)
        return built_parts.Boss(diameter, self.stack().boss_height, self.section_depth)

    def file(self):
        """The design as TOML text."""
        return built_design_file(self)

    def built_frame(self, parts, members_per_arc):
        """The frame of the given parts; nothing but their coordinates and the materials."""
        return built_frame(
            parts, self.material, self.section, self.pin_material, self.pair, members_per_arc
        )


def material_entries(name, material):
    """Keys of a material."""
    return {
        "name": name,
        "youngs_modulus_gpa": material.youngs_modulus / 1e9,
        "shear_modulus_gpa": material.shear_modulus / 1e9,
        "density_kg_m3": material.density,
        "yield_mpa": 250.0,
    }


def millimetres(length):
    """A length in m as it was drawn, in mm."""
    return float(round(length * 1e3, 6))


def parts_tables(design):
    """The table [joints] of a built design with what is in it."""
    pair = design.pair
    bearing = {
        "name": "invented bearing",
        "kind": "ball",
        "bore_mm": millimetres(pair.bore),
        "outer_diameter_mm": millimetres(pair.outer_diameter),
        "width_mm": millimetres(pair.width),
        "radial_n_per_m": pair.radial,
        "axial_n_per_m": pair.axial,
        "spacing_mm": millimetres(pair.spacing),
        "axial_hold": "both" if pair.both_locate else "one",
    }
    pin = {
        "diameter_mm": millimetres(design.pin_diameter),
        "bore_mm": millimetres(design.pin_bore),
        "clamped_in": design.pin_clamped_in,
    }
    return [
        table("joints", {"boss_diameter_mm": millimetres(design.boss_diameter)}),
        table("joints.bearing", bearing),
        table("joints.pin", pin),
        table("joints.pin.material", material_entries("invented pin", design.pin_material)),
    ]


def layer_entries(design):
    """Keys of the table [layers]."""
    layers = design.layers
    entries = {"arrangement": layers.arrangement}
    if layers.arrangement == "given":
        entries["of_bars"] = list(layers.of_bars)
    entries |= {"gap_mm": millimetres(layers.gap), "clearance_mm": millimetres(layers.clearance)}
    if layers.boss_height is not None:
        entries["boss_height_mm"] = millimetres(layers.boss_height)
    return entries | {
        "shaft_diameter_mm": millimetres(layers.shaft_diameter),
        "hollow_shaft_diameter_mm": millimetres(layers.hollow_shaft[0]),
        "hollow_shaft_bore_mm": millimetres(layers.hollow_shaft[1]),
        "housing_diameter_mm": millimetres(layers.housing_diameter),
        "housing_height_mm": millimetres(layers.housing_height),
    }


def built_design_file(design):
    """The design as TOML text, in the keys of the design file."""
    mount = {"axis": design.mount_axis.tolist(), "reference": design.mount_reference.tolist()}
    return "".join(
        [
            table("linkage", linkage_entries(design)),
            table("section", design.section_keys),
            table("material", material_entries("invented", design.material)),
            *parts_tables(design),
            table("layers", layer_entries(design)),
            table("drives", drive_entries(design)),
            table("tool", tool_entries(design)),
            table("mount", mount),
        ]
    )


def drawn(random, low, high, digits=1):
    """A number in mm to so many digits, in m."""
    return round(random.uniform(low, high), digits) / 1e3


def random_material(random, low, high):
    """Isotropic, Poisson's ratio 0.2 to 0.4; moduli in GPa."""
    modulus = round(random.uniform(low, high), 1)
    shear = round(modulus / (2.0 * (1.0 + random.uniform(0.2, 0.4))), 3)
    return Material(modulus * 1e9, shear * 1e9, round(random.uniform(1000.0, 8000.0), 0))


def random_pair(random):
    """A bearing of the list, its stiffness over two decades, at a spacing of 6 to 16 mm."""
    bore, outer, width = BEARING_SIZES[random.integers(len(BEARING_SIZES))]
    radial = float(f"{10 ** random.uniform(6.3, 8.0):.3g}")
    return BearingPair(
        bore=bore / 1e3,
        outer_diameter=outer / 1e3,
        width=width / 1e3,
        radial=radial,
        axial=float(f"{radial * random.uniform(0.05, 0.6):.3g}"),
        spacing=drawn(random, max(6.0, width), 16.0),
        both_locate=bool(random.integers(2)),
    )


def random_layers(random, arrangement, pair, section_depth, boss, bars):
    """Layers with shafts and housing; pair and hollow shaft fit into a boss."""
    pair_height = (pair.spacing + pair.width) * 1e3
    boss_height = max(pair_height, section_depth * 1e3) + random.uniform(0.0, 4.0)
    shaft = round(boss * 1e3 * random.uniform(0.3, 0.5), 1) / 1e3
    bore = round(shaft * 1e3 + random.uniform(0.3, 1.0), 1) / 1e3
    hollow = (round(bore * 1e3 + random.uniform(0.3, 1.0) * (boss - bore) * 0.8e3, 1) / 1e3, bore)
    return Layers(
        arrangement=arrangement,
        gap=drawn(random, 0.5, 3.0),
        boss_height=None if random.integers(2) else round(boss_height, 1) / 1e3,
        shaft_diameter=shaft,
        hollow_shaft=hollow,
        housing_diameter=round(hollow[0] * 1e3 + random.uniform(10.0, 25.0), 1) / 1e3,
        housing_height=drawn(random, 20.0, 45.0),
        clearance=drawn(random, 0.2, 1.0),
        of_bars=tuple(int(layer) for layer in random.integers(0, max(3, bars - 1), bars)),
    )


def random_geometry(random, stages, carried_by):
    """A scissor linkage of `stages` or, if None, a two-arc arm, and its mechanism angles."""
    if stages is None:
        return random_arm(random)
    return random_scissor(random, stages, carried_by)


def random_built_design(random, number, stages, carried_by, arrangement):
    """A built scissor linkage of `stages`, or a built two-arc arm if `stages` is None."""
    while True:
        pair, section_keys = random_pair(random), random_section(random)
        width, depth = built_parts.sizes_of_section(section_keys)
        boss = round(max(pair.outer_diameter, width) * 1e3 + random.uniform(1.0, 5.0), 1) / 1e3
        geometry, angles = random_geometry(random, stages, carried_by)
        arcs = getattr(geometry, "arcs", None) or [*geometry.proximal_arcs, *geometry.distal_arcs]
        joint_radius = drawn(random, 140.0, 220.0)
        if min(arcs) * joint_radius < boss + 0.5 * max(width, depth):
            continue
        axis = unit(random.normal(size=3))
        bars = 2 if stages is None else 2 + 2 * stages
        pin_bore = float(random.choice([0.0, 0.25, 0.5]))
        layout = ("two-bars", "swing-and-opening")[random.integers(2)]
        design = BuiltDesign(
            name=f"{number:02d} {label(stages, carried_by)}, {arrangement} layers",
            geometry=geometry,
            mechanism_angles=angles,
            layout=layout if stages else "base-and-elbow",
            ratio=np.round(random.choice([np.ones(2), random.uniform(0.5, 5.0, 2)]), 2),
            section_keys=section_keys,
            material=random_material(random, 2.0, 210.0),
            joints=RIGID,
            joint_radius=joint_radius,
            tip_radius=drawn(random, 70.0, 130.0),
            tool_mass=round(random.uniform(0.2, 2.0), 2),
            centre_of_mass_radius=drawn(random, 100.0, 220.0),
            tool_roll=np.radians(round(random.uniform(-90.0, 90.0), 1)),
            mount_axis=axis,
            mount_reference=turn(unit(np.cross(axis, [0.3, -0.5, 0.8])), axis, random.uniform(0.0, 6.0)),
            boss_diameter=boss,
            layers=random_layers(random, arrangement, pair, depth, boss, bars),
            pair=pair,
            pin_diameter=pair.bore,
            pin_bore=round(pair.bore * 1e3 * pin_bore, 2) / 1e3,
            pin_material=random_material(random, 60.0, 210.0),
            pin_clamped_in=("inner", "outer")[random.integers(2)],
        )
        linkage = design.linkage()
        carrier = built_parts.printed(linkage.stations[linkage.tool_station].body)
        if built_parts.refuses(linkage, design.layers, carrier):
            continue
        if polar_and_azimuth(linkage.tool_direction)[0] > np.radians(5.0):
            return design


def label(stages, carried_by):
    """What kind of linkage it is, for its name."""
    if stages is None:
        return "two-arc arm"
    return f"{stages} stage{'s' * (stages > 1)}, tool on {carried_by}"


def random_built_designs(seed=20265):
    """One to three stages in both kinds of layers and given ones, tool on either side."""
    random = np.random.default_rng(seed)
    wanted = [
        (stages, ("left", "right")[(stages + place) % 2], arrangement)
        for place, arrangement in enumerate(("two", "nested", "given"))
        for stages in (1, 2, 3)
    ]
    wanted += [(2, "left", "two"), (None, "left", "two"), (None, "left", "nested")]
    return [random_built_design(random, number, *choice) for number, choice in enumerate(wanted, start=1)]


def more_random_built_designs(count=48, seed=20266):
    """Further designs of the same kinds for the long form."""
    random = np.random.default_rng(seed)
    kinds = [(stages, kind) for stages in (1, 2, 3, None) for kind in ("two", "nested", "given")]
    designs = []
    for number in range(count):
        stages, arrangement = kinds[number % len(kinds)]
        carried_by = ("left", "right")[random.integers(2)]
        designs.append(random_built_design(random, 100 + number, stages, carried_by, arrangement))
    return designs
