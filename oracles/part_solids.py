"""The solids of a built linkage as convex cells, and their distances by a geometry library.

Made from the object `parts` (centre lines and pins, base frame, mm) and the sizes of
section, bosses, bearings and base. Curved bodies are cut into cells so small that the
convex hull of each fills it to about 0.01 mm: a bar at every degree and across its width,
a round into rings and sectors. Distances between cells come from the PyPI package `coal`;
nothing is assumed of spheres about a centre, layers or angles.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import coal
import numpy as np

from linkage_geometry import angle_between, turn, unit

#: Largest cell along a bar, rad, and across the widths of bars and rounds, mm.
STEP = np.radians(1.0)
CELL = 3.5


@dataclass
class PartSolid:
    """Convex cells as point sets, and which bodies it belongs to.

    `body` moves it; no distance is kept to anything that moves with `joined` bodies.
    """

    name: str
    body: str
    joined: frozenset[str]
    cells: list[np.ndarray]
    hulls: dict[int, coal.ConvexBase] = field(default_factory=dict)

    def __post_init__(self):
        self.centres = np.array([0.5 * (cell.min(axis=0) + cell.max(axis=0)) for cell in self.cells])
        self.radii = np.array(
            [
                np.linalg.norm(cell - centre, axis=1).max()
                for cell, centre in zip(self.cells, self.centres, strict=True)
            ]
        )

    def hull(self, index):
        """The library's convex hull of a cell, made when first asked for."""
        if index not in self.hulls:
            points = coal.StdVec_Vec3s()
            points.extend(self.cells[index])
            self.hulls[index] = coal.ConvexBase.convexHull(points, False, "Qt")
        return self.hulls[index]


def cuts(length, largest):
    """Even cuts of a length into pieces no longer than `largest`."""
    return np.linspace(0.0, length, max(1, int(np.ceil(length / largest))) + 1)


def straight_bar(start, end, width, inner, outer):
    """Cells of a bar with faces on spheres and flat sides, between two directions."""
    normal, ray = unit(np.cross(start, end)), unit(start)
    angles = cuts(angle_between(start, end), STEP)
    across = cuts(width, CELL) - 0.5 * width
    rays = np.array([turn(ray, normal, angle) for angle in angles])
    corners = np.array(
        [
            [
                [np.sqrt(radius**2 - y**2) * direction + y * normal for radius in (inner, outer)]
                for y in across
            ]
            for direction in rays
        ]
    )
    return [
        corners[i : i + 2, j : j + 2].reshape(-1, 3)
        for i in range(len(angles) - 1)
        for j in range(len(across) - 1)
    ]


def round_bar(start, end, diameter, radius, sides=48):
    """Cells of a tube or rod bent along the arc between two directions."""
    normal, ray = unit(np.cross(start, end)), unit(start)
    around = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)
    rings = []
    for angle in cuts(angle_between(start, end), STEP):
        outward = turn(ray, normal, angle)
        ring = np.outer(np.cos(around), outward) + np.outer(np.sin(around), normal)
        rings.append(radius * outward + 0.5 * diameter * ring)
    return [np.concatenate(pair) for pair in zip(rings[:-1], rings[1:])]


def boss(direction, diameter, inner, outer):
    """Cells of a round about a direction through the centre, ends on spheres about it."""
    axis = unit(direction)
    first = unit(np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))]))
    second = np.cross(axis, first)
    rims = cuts(0.5 * diameter, CELL)
    sectors = max(6, int(np.ceil(np.pi * diameter / CELL)))
    cells = []
    for low, high in zip(rims[:-1], rims[1:]):
        for sector in range(sectors):
            around = 2.0 * np.pi / sectors * (sector + np.linspace(0.0, 1.0, 7))
            rays = np.outer(np.cos(around), first) + np.outer(np.sin(around), second)
            cells.append(
                np.concatenate(
                    [
                        rim * rays + np.sqrt(radius**2 - rim**2) * axis
                        for rim in (low, high)
                        for radius in (inner, outer)
                    ]
                )
            )
    return cells


def bar_solid(bar, design, boss_height):
    """A bar with a boss at every station."""
    radius = bar["radius_mm"]
    width, depth = design.section_width * 1e3, design.section_depth * 1e3
    cells, stations = [], []
    for arc in bar["arcs"]:
        start, end = (np.array(arc[key]) for key in ("from_mm", "to_mm"))
        if design.section_keys["shape"] == "rectangle":
            cells += straight_bar(start, end, width, radius - 0.5 * depth, radius + 0.5 * depth)
        else:
            cells += round_bar(start, end, width, radius)
        for point in (start, end):
            if all(np.linalg.norm(point - other) > 1e-6 for other in stations):
                stations.append(point)
    # the rounds in which arcs end lie within the bosses
    assert design.boss_diameter * 1e3 >= width and boss_height >= depth - 1e-9
    for point in stations:
        cells += boss(
            point, design.boss_diameter * 1e3, radius - 0.5 * boss_height, radius + 0.5 * boss_height
        )
    return PartSolid(bar["name"], bar["name"], frozenset(), cells)


def solids_of(parts, design):
    """Bars, pins, spacers, shafts and the housing."""
    stacked = design.stack()
    height = stacked.boss_height * 1e3
    radius_of = {bar["name"]: bar["radius_mm"] for bar in parts["bars"]}
    solids = [bar_solid(bar, design, height) for bar in parts["bars"]]
    at_base = frozenset(pin["clamped_in"] for pin in parts["pins"] if pin["bearings_in"] == "ground")
    housing = design.layers.housing_height * 1e3
    top = stacked.ground * 1e3 + 0.5 * housing
    for pin in parts["pins"]:
        axis, clamp = np.array(pin["from_mm"]), pin["clamped_in"]
        if pin["bearings_in"] == "ground":
            cells = boss(axis, pin["diameter_mm"], radius_of[clamp] - 0.5 * height, top)
            solids.append(PartSolid(f"{pin['joint']} shaft", clamp, at_base, cells))
            continue
        joined = frozenset((clamp, pin["bearings_in"]))
        low, high = sorted(radius_of[bar] for bar in joined)
        cells = boss(axis, pin["diameter_mm"], low - 0.5 * height, high + 0.5 * height)
        solids.append(PartSolid(f"{pin['joint']} pin", clamp, joined, cells))
        if high - low > height + 1e-9:
            wall = 0.5e3 * (design.pair.outer_diameter - design.pair.bore)
            cells = boss(axis, pin["diameter_mm"] + 0.6 * wall, low + 0.5 * height, high - 0.5 * height)
            solids.append(PartSolid(f"{pin['joint']} spacer", clamp, joined, cells))
    base_axis = np.array([0.0, 0.0, 1.0])
    cells = boss(base_axis, design.layers.housing_diameter * 1e3, top - housing, top)
    solids.append(PartSolid("housing", "ground", at_base, cells))
    return solids


def is_looked_at(first, second):
    """Whether two solids must keep a distance: not of one body and not of one joint."""
    return first.body != second.body and second.body not in first.joined and first.body not in second.joined


def distance(first, second):
    """Distance of two solids, mm; zero or below where they overlap.

    Cells are looked at in the order of the least distance their enclosing balls allow, until
    that exceeds what was found.
    """
    apart = np.linalg.norm(first.centres[:, None] - second.centres[None], axis=2)
    least = apart - first.radii[:, None] - second.radii[None]
    request, identity = coal.DistanceRequest(), coal.Transform3s()
    best = np.inf
    for place in np.argsort(least, axis=None):
        i, j = np.unravel_index(place, least.shape)
        if least[i, j] >= best:
            break
        result = coal.DistanceResult()
        found = coal.distance(first.hull(i), identity, second.hull(j), identity, request, result)
        best = min(best, found)
        if best <= 0.0:
            break
    return best
