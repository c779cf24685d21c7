"""Volumes of the printable parts of a built linkage, from centre lines and sizes alone.

Made from the object `parts` (centre lines and pins, base frame, mm) and the sizes of section,
bosses and bearings, by the rules of docs/theory/built-geometry.md: a bar is a union of arcs
and bosses; voids of tubes end at the bosses, holes go through. Every piece is filled with
even points, each of which counts by one over the number of pieces it lies in.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage_geometry import angle_between, unit

#: Points in an arc and in a boss; their own error is below 0.1 %.
POINTS = 200_000


def even_points(count):
    """Points that fill the unit cube evenly: multiples of powers of the root of x^4 = x + 1."""
    root = 1.2207440846057596
    return np.mod(0.5 + np.outer(np.arange(1, count + 1), root ** -np.arange(1.0, 4.0)), 1.0)


def across_of(axis):
    """Two unit vectors across a unit vector and each other."""
    first = unit(np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))]))
    return first, np.cross(axis, first)


@dataclass
class Boss:
    """A round about an axis between two spheres, mm."""

    axis: np.ndarray
    radius: float
    inner: float
    outer: float

    def contains(self, points):
        """Which points lie in it."""
        return self.near(points, self.radius) & between(points, self.inner, self.outer)

    def near(self, points, radius):
        """Which points lie within a distance of its axis."""
        along = points @ self.axis
        return (along > 0.0) & (np.sum(points**2, axis=1) - along**2 <= radius**2)

    def filled(self, count):
        """Even points and the volume each stands for."""
        u, v, w = even_points(count).T
        rim, turn = self.radius * np.sqrt(v), 2.0 * np.pi * u
        low, high = (np.sqrt(radius**2 - rim**2) for radius in (self.inner, self.outer))
        first, second = across_of(self.axis)
        points = (
            np.outer(rim * np.cos(turn), first)
            + np.outer(rim * np.sin(turn), second)
            + np.outer(low + w * (high - low), self.axis)
        )
        return points, np.pi * self.radius**2 * (high - low) / count


@dataclass
class Arc:
    """A bar between two directions without its ends, mm; `bore` 0 if it is not a tube."""

    start: np.ndarray
    end: np.ndarray
    radius: float
    width: float
    depth: float
    round: bool
    bore: float = 0.0

    def __post_init__(self):
        self.normal = unit(np.cross(self.start, self.end))
        self.angle = angle_between(self.start, self.end)

    def _between_ends(self, points):
        return (points @ np.cross(self.normal, self.start) >= 0.0) & (
            points @ np.cross(self.end, self.normal) >= 0.0
        )

    def _from_line(self, points):
        """Distance from the centre line of points between the ends."""
        aside = points @ self.normal
        in_plane = np.sqrt(np.sum(points**2, axis=1) - aside**2)
        return np.hypot(in_plane - self.radius, aside)

    def contains(self, points):
        """Which points lie in it."""
        if self.round:
            return self._between_ends(points) & (self._from_line(points) <= 0.5 * self.width)
        inner, outer = self.radius - 0.5 * self.depth, self.radius + 0.5 * self.depth
        flat = np.abs(points @ self.normal) <= 0.5 * self.width
        return self._between_ends(points) & flat & between(points, inner, outer)

    def in_void(self, points):
        """Which points lie in the bore of a tube."""
        return self._between_ends(points) & (self._from_line(points) < 0.5 * self.bore)

    def filled(self, count):
        """Even points and the volume each stands for."""
        u, v, w = even_points(count).T
        if self.round:
            rim, turn = 0.5 * self.width * np.sqrt(v), 2.0 * np.pi * w
            in_plane, aside = self.radius + rim * np.cos(turn), rim * np.sin(turn)
            volume = 0.25 * np.pi * self.width**2 * self.angle * in_plane
        else:
            inner, outer = self.radius - 0.5 * self.depth, self.radius + 0.5 * self.depth
            aside = self.width * (v - 0.5)
            in_plane = np.sqrt(inner**2 + w * (outer**2 - inner**2) - aside**2)
            volume = np.full(count, 0.5 * self.angle * self.width * (outer**2 - inner**2))
        along = np.outer(np.cos(u * self.angle), self.start) + np.outer(
            np.sin(u * self.angle), np.cross(self.normal, self.start)
        )
        return in_plane[:, None] * along + np.outer(aside, self.normal), volume / count


def between(points, inner, outer):
    """Which points lie between two spheres."""
    square = np.sum(points**2, axis=1)
    return (square >= inner**2) & (square <= outer**2)


def holes_of(bar, parts, design):
    """Diameter of the hole on each axis through a bar: pins where clamped, bearings else."""
    holes = []
    for pin in parts["pins"]:
        axis = unit(np.array(pin["from_mm"]))
        if pin["clamped_in"] == bar:
            holes.append((axis, pin["diameter_mm"]))
        elif pin["bearings_in"] == bar:
            holes.append((axis, design.pair.outer_diameter * 1e3))
    return holes


def bar_volume(bar, parts, design, boss_height):
    """Volume of a bar with bosses and holes, mm^3."""
    radius, shape = bar["radius_mm"], design.section_keys["shape"]
    width, depth = design.section_width * 1e3, design.section_depth * 1e3
    bore = design.section_keys["inner_diameter_mm"] if shape == "tube" else 0.0
    ends = [[unit(np.array(arc[key])) for key in ("from_mm", "to_mm")] for arc in bar["arcs"]]
    arcs = [Arc(*pair, radius, width, depth, shape != "rectangle", bore) for pair in ends]
    # the rounds in which arcs end lie within the bosses
    assert design.boss_diameter * 1e3 >= width and boss_height >= depth - 1e-9
    stations = []
    for direction in (direction for pair in ends for direction in pair):
        if all(np.linalg.norm(direction - other) > 1e-9 for other in stations):
            stations.append(direction)
    faces = (radius - 0.5 * boss_height, radius + 0.5 * boss_height)
    bosses = [Boss(station, design.boss_diameter * 500.0, *faces) for station in stations]
    holes = [(Boss(axis, 0.0, 0.0, 0.0), 0.5 * hole) for axis, hole in holes_of(bar["name"], parts, design)]
    total = 0.0
    for piece in [*arcs, *bosses]:
        points, volumes = piece.filled(POINTS)
        gone = np.any([hole.near(points, rim) for hole, rim in holes], axis=0)
        in_boss = np.any([boss.contains(points) for boss in bosses], axis=0)
        gone |= ~in_boss & np.any([arc.in_void(points) for arc in arcs], axis=0)
        pieces = [other.contains(points) for other in [*arcs, *bosses] if other is not piece]
        shared = 1 + np.sum(pieces, axis=0)
        total += np.sum(np.where(gone, 0.0, volumes / shared))
    return total


def ring(outer, bore, length):
    """Volume of a straight ring; spherical ends make it about 1e-4 longer."""
    return 0.25 * np.pi * (outer**2 - bore**2) * length


def volumes_of(parts, design):
    """Volume in mm^3 of every printable part, by its name."""
    stacked = design.stack()
    height, top = stacked.boss_height * 1e3, stacked.ground * 1e3 + 500.0 * design.layers.housing_height
    radius_of = {bar["name"]: bar["radius_mm"] for bar in parts["bars"]}
    volumes = {bar["name"]: bar_volume(bar, parts, design, height) for bar in parts["bars"]}
    for pin in parts["pins"]:
        sizes = pin["diameter_mm"], pin["bore_mm"]
        if pin["bearings_in"] == "ground":
            length = top - radius_of[pin["clamped_in"]] + 0.5 * height
            volumes[f"{pin['joint']} shaft"] = ring(*sizes, length)
            continue
        apart = abs(radius_of[pin["clamped_in"]] - radius_of[pin["bearings_in"]])
        volumes[f"{pin['joint']} pin"] = ring(*sizes, apart + height)
        if apart > height + 1e-9:
            wall = 500.0 * (design.pair.outer_diameter - design.pair.bore)
            rim = pin["diameter_mm"] + 0.6 * wall
            volumes[f"{pin['joint']} spacer"] = ring(rim, pin["diameter_mm"], apart - height)
    return volumes
