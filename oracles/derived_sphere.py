"""Reference values of angles on the sphere, worked out here: triangles, loops, conditioning.

Each entry of `values()` is a row of `calotte verify` by its id, in the row's unit. Nothing is
taken from the program: right triangles by Napier's rules, loops by turning vectors and cutting
circles (`linkage_geometry`, `five_bar`), means by adaptive quadrature, slopes by a complex step.
"""

from __future__ import annotations

from math import acos, asin, atan2, cos, degrees, pi, radians, sin, sqrt, tan

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar
from scipy.special import ellipe

from five_bar import FiveBar, meeting
from linkage_geometry import (
    ScissorLinkage,
    TwoArcArm,
    angle_between,
    conditioning_index,
    departure,
    polar_and_azimuth,
    turn,
    unit,
    walk,
)

EAST = np.array([1.0, 0.0, 0.0])
NORTH = np.array([0.0, 0.0, 1.0])


def values():
    """All rows of this file."""
    parts = (triangles, four_bars, five_bar, two_arc_arm, caps_and_reach, planar_arm, scissor, hemisphere)
    return {name: float(value) for part in parts for name, value in part().items()}


def integral(function, low, high, corners=()):
    """Of a smooth function, in pieces that end at its corners."""
    edges = [low, *sorted(corner for corner in corners if low < corner < high), high]
    pieces = zip(edges[:-1], edges[1:], strict=True)
    return sum(quad(function, *piece, epsabs=1e-13, epsrel=1e-13, limit=400)[0] for piece in pieces)


def index_of(determinant, squares):
    """Least over greatest singular value of a 2 x 2 matrix from |det| and the sum of squares."""
    rest = sqrt(max(squares**2 - 4.0 * determinant**2, 0.0))
    return sqrt((squares - rest) / (squares + rest))


# ------------------------------------------------------------------------------- triangles


def triangles():
    found = {}
    for name, legs in (("S01", (30.0, 40.0)), ("S02-1", (20.0, 50.0)), ("S02-2", (60.0, 70.0))):
        a, b = map(radians, legs)
        side, first, second = (
            acos(cos(a) * cos(b)),
            atan2(tan(a), sin(b)),
            atan2(tan(b), sin(a)),
        )
        excess = first + second - 0.5 * pi
        for part, value in (("c", side), ("A", first), ("B", second), ("excess", excess)):
            found[f"{name}-{part}"] = degrees(value)
    # A rhombus is four right triangles with the side as hypotenuse.
    side, half = radians(15.0), radians(30.0)
    diagonal = 2.0 * np.arctan(tan(side) * cos(half))
    width = 2.0 * asin(sin(side) * sin(half))
    found["S05-d"], found["S05-w"] = degrees(diagonal), degrees(width)
    found["S05-chi"] = degrees(2.0 * np.arctan(1.0 / (cos(side) * tan(half))))
    found["S04"] = cos(side)  # Pythagoras on the sphere
    found["S07-reach"] = degrees(5.0 * diagonal)
    by_half = complex_slope(lambda angle: 2.0 * np.arctan(tan(side) * np.cos(0.5 * angle)), 2.0 * half)
    found["S07-slope"] = by_half
    return found | oblique() | areas()


def oblique():
    """The triangle of sides 50, 60 and 70 deg by the cosine rule."""
    sides = list(map(radians, (50.0, 60.0, 70.0)))
    angles = []
    for k in range(3):
        x, y, z = sides[k], sides[(k + 1) % 3], sides[(k + 2) % 3]
        angles.append(acos((cos(x) - cos(y) * cos(z)) / (sin(y) * sin(z))))
    found = {f"S03-{name}": degrees(angle) for name, angle in zip("ABC", angles, strict=True)}
    excess = sum(angles) - pi
    return found | {"S03-excess": degrees(excess), "S03-LHuilier": degrees(excess), "D04": excess}


def areas():
    """By integrating rings 2 pi sin(polar); an octant is an eighth of the sphere."""
    ring = lambda low, high: integral(lambda at: 2.0 * pi * sin(at), radians(low), radians(high))  # noqa: E731
    cap = ring(0.0, 60.0)
    return {"D01-1": cap, "D01-2": cap, "D02": ring(30.0, 60.0), "D03": ring(0.0, 180.0) / 8.0}


def complex_slope(function, at, step=1e-30):
    """Slope of a function that takes complex numbers, to the last digit."""
    return np.imag(function(complex(at, step))) / step


# ----------------------------------------------------------------------------------- loops


def output_angle(arcs, input_angle, side):
    """Output angle of a four-bar, deg, by cutting circles; from the ground arc prolonged."""
    driver, coupler, follower, ground = map(radians, arcs)
    output_pivot = walk(NORTH, EAST, ground)
    pin = walk(NORTH, turn(EAST, NORTH, radians(input_angle)), driver)
    joint = meeting(pin, output_pivot, coupler, follower, side)
    prolonged, towards = -departure(output_pivot, NORTH), departure(output_pivot, joint)
    return degrees(atan2(output_pivot @ np.cross(prolonged, towards), prolonged @ towards))


def four_bars():
    found = {}
    for place in ("", "held-"):
        for branch, guess in (("a", 60.0), ("b", -100.0)):
            for angle in (30.0, 60.0, 90.0, 120.0, 150.0):
                both = [output_angle((30.0, 90.0, 80.0, 70.0), angle, side) for side in (1, -1)]
                nearest = min(both, key=lambda value: abs(value - guess))
                found[f"S09-{place}{branch}-{angle:g}"] = nearest
        for arc in (45.0, 60.0):
            # The other branch lies folded, its output in line with the ground arc.
            both = [output_angle((arc,) * 4, 90.0, side) for side in (1, -1)]
            found[f"S11-{place}{arc:g}"] = min(both, key=abs)
    # Hooke's joint: -psi of the branch that starts at input 0 with psi = -90 deg.
    both = [-output_angle((90.0, 90.0, 90.0, 60.0), 30.0, side) for side in (1, -1)]
    found["S12"] = found["S12-held"] = max(both)
    return found


def five_bar():
    base, proximal, distal = map(radians, (60.0, 50.0, 60.0))
    geometry = FiveBar(base, [proximal] * 2, [distal] * 2, -1)
    target = np.array([0.2, 0.7, 0.0])
    target[2] = sqrt(1.0 - target @ target)
    axes = geometry.base_axes()
    angles = []
    for k in range(2):
        axis, other = axes[k], axes[1 - k]
        drives = []
        for side in (1, -1):
            elbow = meeting(axis, target, proximal, distal, side)
            zero, towards = departure(axis, other), departure(axis, elbow)
            drives.append(atan2(axis @ np.cross(zero, towards), zero @ towards))
        # Elbows out: the left path turns one way at its elbow, the right one the other.
        angles.append(drives[k])
    found = {
        "S21-inverse-left": degrees(angles[0]),
        "S21-inverse-right": degrees(angles[1]),
        "S21-x": target[0],
        "S21-y": target[1],
        "S21-z": target[2],
    }
    first = unit(EAST - target * target[0])
    frame = np.array([first, np.cross(target, first)])

    def direction(left, right):
        return geometry.configuration(left, right).tool_direction

    assert np.allclose(direction(*angles), target, atol=1e-12), "the inverse closes the loop"
    jacobian = np.empty((2, 2))
    step = 1e-3
    for column in range(2):
        shift = step * np.eye(2)[column]
        one, two, three = (
            direction(*(angles + n * shift)) - direction(*(angles - n * shift)) for n in (1, 2, 3)
        )
        jacobian[:, column] = frame @ (45.0 * one - 9.0 * two + three) / (60.0 * step)
    singular = np.linalg.svd(jacobian, compute_uv=False)
    for prefix in ("S22", "S22-closed"):
        for row in range(2):
            for column in range(2):
                found[f"{prefix}-{row + 1}{column + 1}"] = jacobian[row, column]
        found[f"{prefix}-LCI"] = singular[1] / singular[0]
    found["S22-maximum"], found["S22-minimum"] = singular
    return found


# ------------------------------------------------------------------------------ the two-arc arm


def arm_matrix(first, second, elbow):
    """|det J|, norms of both columns and the polar angle of a two-arc arm, rad."""
    polar = acos(cos(first) * cos(second) - sin(first) * sin(second) * cos(elbow))
    return sin(first) * sin(second) * sin(elbow), sin(polar), sin(second), polar


def arm_index(first, second, elbow):
    determinant, base, outer, _ = arm_matrix(first, second, elbow)
    return index_of(abs(determinant), base**2 + outer**2)


def two_arc_arm():
    determinant, base, outer, polar = arm_matrix(*map(radians, (75.0, 60.0, 40.0)))
    found = {
        "S13-det": determinant,
        "S13-first": base,
        "S13-second": outer,
        "S13-reach": degrees(polar),
    }
    for second in map(radians, (40.0, 45.0, 52.0, 60.0, 72.0, 90.0)):
        # Columns of one length at right angles: cos a1 = cos^2 a2.
        first = acos(cos(second) ** 2)
        elbow = acos(-cos(second) / sqrt(1.0 + cos(second) ** 2))
        arm = TwoArcArm([first, second])
        index = conditioning_index(
            lambda *joints, arm=arm: arm.configuration(*joints).tool_direction, np.array([0.3, elbow])
        )
        direction = arm.configuration(0.3, elbow).tool_direction
        name = f"S15-{degrees(second):.0f}"
        found[f"{name}-LCI"], found[f"{name}-polar"] = index, degrees(polar_and_azimuth(direction)[0])
    for elbow in (30.0, 75.0):
        found[f"S17-{elbow:g}"] = sin(radians(elbow))
    return found | arm_roll()


def arm_roll():
    """Roll of the tool of an arm of 50 and 70 deg over polar angles of 30 to 90 deg, by vectors.

    Its elbow is bent to the negative side. Between the two the bar leans farthest from the
    meridian, where the first arc is square to it.
    """
    arm = TwoArcArm([radians(50.0), radians(70.0)])
    roll = lambda elbow: arm.configuration(0.3, elbow).roll()  # noqa: E731
    polar = lambda elbow: polar_and_azimuth(arm.configuration(0.3, elbow).tool_direction)[0]  # noqa: E731
    ends = [brentq(lambda x, at=at: polar(x) - radians(at), 0.1 - pi, -0.1, xtol=1e-15) for at in (30.0, 90.0)]
    between = minimize_scalar(lambda x: -abs(roll(x)), bounds=ends, method="bounded", options={"xatol": 1e-9})
    reached = [*map(roll, ends), roll(between.x)]
    return {
        "S24-minimum": degrees(min(reached)),
        "S24-maximum": degrees(max(reached)),
        "S24-range": degrees(max(reached) - min(reached)),
    }


def caps_and_reach():
    found = {}
    for half_angle in (15.0, 20.0, 30.0, 45.0, 60.0, 90.0):
        # Of the arm of two right angles the index is the sine of the polar angle. About an axis
        # across the base axis its mean over a circle is a complete elliptic integral.
        edge = radians(half_angle)
        total = integral(lambda at: 4.0 * ellipe(sin(at) ** 2) * sin(at), 0.0, edge)
        found[f"G04-{half_angle:g}-GCI"] = total / (2.0 * pi * (1.0 - cos(edge)))
        found[f"G04-{half_angle:g}-minimum"] = cos(edge)
    for name, arcs in (
        ("G03", (90.0, 90.0)),
        ("G05-1", (75.52248781, 60.0)),
        ("G05-2", (75.0, 60.0)),
        ("G05-3", (60.0, 60.0)),
        ("G05-4", (45.0, 45.0)),
    ):
        first, second = map(radians, arcs)
        # The index has a corner, or nearly one, where both singular values come together.
        corner = [acos(-cos(second) / sqrt(1.0 + cos(second) ** 2))]
        index = lambda elbow, first=first, second=second: arm_index(first, second, elbow)  # noqa: E731
        by_area = integral(lambda elbow, index=index: index(elbow) * sin(elbow), 0.0, pi, corner)
        found[f"{name}-area"] = 0.5 * by_area
        found[f"{name}-joint"] = integral(index, 0.0, pi, corner) / pi
    return found


# ---------------------------------------------------------------------------- the arm in the plane


def planar_index(ratio, elbow):
    """Of bars (ratio, 1): columns (-s, ratio + c) and (-s, c)."""
    s, c = sin(elbow), cos(elbow)
    return index_of(ratio * s, 2.0 * s * s + (ratio + c) ** 2 + c * c)


def planar_means(ratio):
    """Over the elbow by area and by joint angle."""
    corner = [acos(-1.0 / max(ratio, 1.0 / ratio))]
    by_area = integral(lambda elbow: planar_index(ratio, elbow) * sin(elbow), 0.0, pi, corner)
    return 0.5 * by_area, integral(lambda elbow: planar_index(ratio, elbow), 0.0, pi, corner) / pi


def planar_arm():
    # Bars of 1: sum of squares 3 + 2 cos q, determinant sin q; the index is greatest where
    # (3 + 2 cos q)/sin q is least, at cos q = -2/3.
    best = acos(-2.0 / 3.0)
    found = {
        "G07": planar_index(sqrt(2.0), radians(135.0)),
        "G08-best": planar_index(1.0, best),
        "G08-elbow": degrees(best),
        "G08-90": planar_index(1.0, 0.5 * pi),
    }
    for name, ratio in (("1", 1.0), ("√2", sqrt(2.0)), ("5/3", 5.0 / 3.0), ("2", 2.0)):
        found[f"G09-{name}-area"], found[f"G09-{name}-joint"] = planar_means(ratio)
    step = 1e-4
    slope = lambda ratio: planar_means(ratio + step)[0] - planar_means(ratio - step)[0]  # noqa: E731
    found["G10"] = brentq(slope, 1.3, 1.5, xtol=1e-9)
    return found


# ----------------------------------------------------------------------------- scissor linkages


def stages_polar(proximal, distal, bends, half_angle):
    """Polar angle from the first half-angle by right triangles; takes complex numbers, rad."""
    polar, half = 0.0, half_angle
    for stage, (a, b) in enumerate(zip(proximal, distal, strict=True)):
        width = np.arcsin(np.sin(a) * np.sin(half))
        polar = polar + np.arctan(tan(a) * np.cos(half)) + np.arccos(cos(b) / np.cos(width))
        half = np.arcsin(np.sin(width) / sin(b)) + (bends[stage] if stage < len(bends) else 0.0)
    return polar


class Stages:
    """Polar angle, its slope and the index of a scissor linkage over its first half-angle."""

    def __init__(self, proximal, distal, bends=()):
        self.parts = [np.radians(part).tolist() for part in (proximal, distal, bends)]

    def polar(self, half_angle):
        return float(np.real(stages_polar(*self.parts, complex(half_angle))))

    def slope(self, half_angle):
        return complex_slope(lambda at: stages_polar(*self.parts, at), half_angle)

    def index(self, half_angle, bars_driven=True):
        """J is half of [[t', -t'], [s, s]] with two bars driven, else [[t'/2, 0], [0, s]]."""
        slope = abs(self.slope(half_angle)) * (1.0 if bars_driven else 0.5)
        sine = sin(self.polar(half_angle))
        return min(slope, sine) / max(slope, sine)


BENT = Stages([30.0, 28.0], [31.0, 29.0], [55.0])


def scissor():
    found = {}
    for name, stages, half_angle in (
        ("L01", ([23.5] * 2, [23.5] * 2, [0.0]), 50.0),
        ("L02", ([38.0], [50.0], []), 65.0),
        ("L03", ([30.0, 28.0], [31.0, 29.0], [55.0]), 40.0),
    ):
        geometry = ScissorLinkage(*(np.radians(part).tolist() for part in stages))
        direction = geometry.configuration(0.3, radians(2.0 * half_angle)).tool_direction
        found[name] = degrees(angle_between(direction, NORTH))
        closed = Stages(*stages).polar(radians(half_angle))
        assert abs(degrees(closed) - found[name]) < 1e-10, "right triangles and vectors agree"
    even, at = Stages([23.5] * 2, [23.5] * 2, [0.0]), radians(50.0)
    found["L04-1"], found["L04-2"] = 0.5 * even.slope(at), -0.5 * even.slope(at)
    found["L04-3"] = found["L04-4"] = 0.5 * sin(even.polar(at))
    found["L05-1"], found["L05-2"] = even.index(at), even.index(at, bars_driven=False)
    found["L06-1"] = Stages([38.0], [50.0]).slope(radians(65.0))
    found["L06-2"] = BENT.slope(radians(40.0))
    # The distal arcs lie in line where the half-width of the stage is their length.
    found["L20"] = 2.0 * degrees(asin(sin(radians(30.0)) / sin(radians(40.0))))
    return found


def mean_over_hemisphere(stages, low, high, bars_driven=True):
    """Integral of the index over polar angles to 90 deg between two half-angles, over its area.

    By the half-angle instead of the polar angle, so that both ends of the reach are smooth.
    """
    grid = np.linspace(low, high, 4001)
    gap = lambda at: abs(stages.slope(at)) * (1.0 if bars_driven else 0.5) - sin(stages.polar(at))  # noqa: E731
    signs = np.array([gap(at) for at in grid])
    crossings = np.flatnonzero(signs[:-1] * signs[1:] < 0.0)
    corners = [brentq(gap, grid[k], grid[k + 1], xtol=1e-14) for k in crossings]

    def weighted(at):
        return stages.index(at, bars_driven) * sin(stages.polar(at)) * abs(stages.slope(at))

    return integral(weighted, low, high, corners)


def half_angle_at(stages, polar, low, high):
    return brentq(lambda at: stages.polar(at) - polar, low, high, xtol=1e-14)


def hemisphere():
    found = {}
    tiny = 1e-9
    for name, count, arc in (("L10", 2, 24.0), ("L11", 3, 15.5), ("L12", 1, 48.0), ("L15", 2, 23.75)):
        stages = Stages([arc] * count, [arc] * count, [0.0] * (count - 1))
        low = half_angle_at(stages, 0.5 * pi, tiny, 0.5 * pi - tiny)
        means = [mean_over_hemisphere(stages, low, 0.5 * pi - tiny, bars) for bars in (True, False)]
        if name == "L15":
            found["L15-bars"], found["L15-opening"] = means
        else:
            found[name] = means[0]
    # Bent: the reach ends where the base bars meet, and where the polar angle turns back.
    closed, turned = tiny, brentq(BENT.slope, radians(105.0), radians(125.0), xtol=1e-14)
    found["L14-from"], found["L14-to"] = degrees(BENT.polar(turned)), degrees(BENT.polar(closed))
    edge = half_angle_at(BENT, 0.5 * pi, closed, radians(60.0))
    found["L13"] = found["L16-bars"] = mean_over_hemisphere(BENT, edge, turned)
    found["L16-opening"] = mean_over_hemisphere(BENT, edge, turned, bars_driven=False)
    return found
