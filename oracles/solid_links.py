"""Arc links as solids: the plain arc and the arc between two round bosses.

Frame of a link: origin at the remote centre, the arc in the plane y = 0, its start at
z = radius, its end towards +x. Compliances are 6 x 6 in the frame of the end, rows
(t, n, r): along the tangent, along y, along the radius.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solid_bricks import (
    compliance_of_rigid_face,
    joined,
    mean_motion,
    solve_with_fixed_nodes,
    stiffness,
)


@dataclass(frozen=True)
class Link:
    """Sizes in mm, angles in rad, modulus in MPa."""

    radius: float
    arc: float
    tangential: float
    radial: float
    modulus: float
    poisson_ratio: float

    def end_frame(self, angle):
        """Rows t, n, r at an angle along the arc, and the point on the centre line."""
        sine, cosine = np.sin(angle), np.cos(angle)
        frame = np.array([[cosine, 0.0, -sine], [0.0, 1.0, 0.0], [sine, 0.0, cosine]])
        return frame, self.radius * frame[2]


def halved(values):
    """The values and the middles between them."""
    middles = 0.5 * (values[1:] + values[:-1])
    return np.insert(values, range(1, len(values)), middles)


def plain_arc_compliance(link, along, across, through, further=np.radians(20.0)):
    """Compliance of one section of a longer arc against another, by the relative measure.

    Cylindrical faces, a rectangle at every section. The solid reaches `further` beyond both
    ends of the arc, is clamped at the one far face and loaded at the other by tractions that
    are linear over it and equivalent to a wrench at the arc's end. The result is the mean
    motion of the section at the arc's end beyond that of the section at its start: neither
    the clamp nor the distribution of the load is felt there. `along`, `across` and
    `through` count the bricks of arc, width and depth.
    """
    beyond = max(2, round(along * further / link.arc))
    angles = halved(
        np.concatenate(
            [
                np.linspace(-further, 0.0, beyond + 1),
                np.linspace(0.0, link.arc, along + 1)[1:-1],
                np.linspace(link.arc, link.arc + further, beyond + 1),
            ]
        )
    )
    width = 0.5 * link.tangential * np.linspace(-1.0, 1.0, 2 * across + 1)
    radii = link.radius + 0.5 * link.radial * np.linspace(-1.0, 1.0, 2 * through + 1)
    angle, y, radius = np.meshgrid(angles, width, radii, indexing="ij")
    points = np.stack([radius * np.sin(angle), y, radius * np.cos(angle)], axis=-1)
    mesh, (grid,) = joined([points], 1e-7 * link.radius)
    matrix = stiffness(mesh, link.modulus, link.poisson_ratio)
    frame, end = link.end_frame(link.arc)
    turn = np.kron(np.eye(2), frame)
    start, tip, far = (mean_motion(mesh, grid[place], end) for place in (2 * beyond, -1 - 2 * beyond, -1))
    moved = solve_with_fixed_nodes(matrix, np.asarray(far.T.todense()) @ turn.T, grid[0])
    return turn @ ((tip - start) @ moved)


def disc_angles(mouth, in_mouth, outside):
    """Angles of the rays of a boss, its mouth (half angle) towards angle 0 first.

    From -mouth over 0 to +mouth in `in_mouth` steps, then around the rest in `outside`.
    """
    first = np.linspace(-mouth, mouth, 2 * in_mouth + 1)
    return np.concatenate([first, np.linspace(mouth, 2.0 * np.pi - mouth, 2 * outside + 1)[1:]])


@dataclass(frozen=True)
class Boss:
    """Diameter, diameter of the hole through it, height along its axis, mm."""

    diameter: float
    hole: float
    height: float

    def rigid_zone(self, link):
        """Length from the joint axis over which the solid acts as if it were rigid, mm.

        What fills the hole is rigid. The wall about it gives way like the bar where it is no
        taller, and hardly at all where it is much taller: the share 1 - h/H of the wall
        counts as rigid. Derived from 70 random solids (D 1.1 to 2 widths of the bar, hole
        D/4 to 0.8 D, H to 2.6 h): the compliance is then within 3 % for 54 of them, 2 % in
        the middle, 10 % at worst (a hole of D/4 in a wide and thin bar); a zone of D/2 errs
        by 10 % in the middle and 31 % at worst.
        """
        taller = 1.0 - link.radial / max(self.height, link.radial)
        return 0.5 * self.hole + taller * 0.5 * (self.diameter - self.hole)


@dataclass(frozen=True)
class Bricks:
    """How many bricks: along the bar, across it, through its depth; around the boss outside
    the mouth and from hole to rim."""

    along: int
    across: int
    through: int
    around: int
    outward: int


def sphere_point(x, y, radius, centre_angle):
    """The point of the sphere at (x, y) from the joint axis at an angle along the arc."""
    z = np.sqrt(radius**2 - x**2 - y**2)
    sine, cosine = np.sin(centre_angle), np.cos(centre_angle)
    return np.stack([x * cosine + z * sine, y, z * cosine - x * sine], axis=-1)


def layered(low, high, thickness):
    """Layer boundaries from low to high, none thicker than `thickness`; low left out."""
    if high - low < 1e-9 * abs(high):
        return np.empty(0)
    return np.linspace(low, high, int(np.ceil((high - low) / thickness - 1e-9)) + 1)[1:]


def bossed_blocks(link, boss, count):
    """Grids of points: first boss, bar, second boss.

    Faces of bar and bosses are spheres about the remote centre, the bar's sides planes, the
    bosses cylinders about their joint axes, as docs/theory/built-geometry.md has them.
    """
    mouth = np.arcsin(link.tangential / boss.diameter)
    faces = link.radius + 0.5 * link.radial * np.linspace(-1.0, 1.0, count.through + 1)
    rise = 0.5 * max(boss.height - link.radial, 0.0)
    beyond = layered(0.0, rise, link.radial / count.through)
    boss_faces = np.concatenate([faces[0] - beyond[::-1], faces, faces[-1] + beyond])
    rays = disc_angles(mouth, count.across, count.around)
    rims = 0.5 * np.linspace(boss.hole, boss.diameter, 2 * count.outward + 1)
    ray, rim, radius = np.meshgrid(rays, rims, halved(boss_faces), indexing="ij")
    x, y = rim * np.cos(ray), rim * np.sin(ray)
    # counted clockwise, to be right-handed with the radius; the second one is mirrored
    first, second = sphere_point(x, y, radius, 0.0)[::-1], sphere_point(-x, y, radius, link.arc)
    share, ray, radius = np.meshgrid(
        halved(graded(count.along)), rays[: 2 * count.across + 1], halved(faces), indexing="ij"
    )
    y = 0.5 * boss.diameter * np.sin(ray)
    in_plane = np.sqrt(radius**2 - y**2)
    from_axis = np.arcsin(0.5 * boss.diameter * np.cos(ray) / in_plane)
    angle = from_axis + share * (link.arc - 2.0 * from_axis)
    bar = np.stack([in_plane * np.sin(angle), y, in_plane * np.cos(angle)], axis=-1)
    return [first, bar, second]


def graded(count):
    """Shares of a length, denser towards both ends."""
    even = np.linspace(-1.0, 1.0, count + 1)
    return 0.5 + 0.5 * (0.7 * even + 0.3 * np.sin(0.5 * np.pi * even))


def bossed_arc_compliance(link, boss, count):
    """Compliance between the holes of two bosses, each hole's wall moving as a rigid body.

    At the second boss's axis on the centre line, the first hole held; also the volume.
    """
    blocks = bossed_blocks(link, boss, count)
    mesh, grids = joined(blocks, 1e-7 * link.radius)
    matrix = stiffness(mesh, link.modulus, link.poisson_ratio)
    frame, end = link.end_frame(link.arc)
    found = compliance_of_rigid_face(mesh, matrix, grids[0][:, 0], grids[2][:, 0], end)
    turn = np.kron(np.eye(2), frame)
    return turn @ found @ turn.T, mesh.volume()
