"""Reference values of machine elements, worked out here: contact, ball sets, fits, holding.

Each entry of `values()` is a row of `calotte verify` by its id, in the row's unit; N and mm.
"""

from __future__ import annotations

from math import asin, cos, degrees, pi, radians, sin

from scipy.optimize import brentq
from scipy.special import ellipe, ellipkm1

#: Steel, MPa, both bodies.
MODULUS, POISSON = 206000.0, 0.3
#: 1/E' of two such bodies.
YIELDING = 2.0 * (1.0 - POISSON**2) / MODULUS


def values():
    """All rows of this file."""
    parts = (races, approaches, ball_constants, ball_on_flat, seven_balls, thrust, fits)
    parts += (pin, tilt, holding, made_parts)
    return {name: float(value) for part in parts for name, value in part().items()}


class Contact:
    """Hertz: an elliptical contact from its curvature sum, 1/mm, and difference."""

    def __init__(self, curvature_sum, difference):
        self.sum, self.difference = curvature_sum, difference
        self.ratio = brentq(lambda ratio: self.difference_of(ratio) - difference, 1.0 + 1e-9, 200.0, xtol=1e-13)
        first, second = self.integrals(self.ratio)
        self.major = (2.0 * self.ratio**2 * second / pi) ** (1.0 / 3.0)
        self.minor = self.major / self.ratio
        self.approach_factor = 2.0 * first / pi * (pi / (2.0 * self.ratio**2 * second)) ** (1.0 / 3.0)

    @staticmethod
    def integrals(ratio):
        """Complete elliptic integrals K and E of modulus squared 1 - 1/ratio^2."""
        return ellipkm1(1.0 / ratio**2), ellipe(1.0 - 1.0 / ratio**2)

    @classmethod
    def difference_of(cls, ratio):
        first, second = cls.integrals(ratio)
        square = ratio**2
        return ((square + 1.0) * second - 2.0 * first) / ((square - 1.0) * second)

    def under(self, force):
        """Semi-axes and approach, mm; peak pressure, MPa."""
        size = (1.5 * force * YIELDING / self.sum) ** (1.0 / 3.0)
        a, b = self.major * size, self.minor * size
        approach = 0.5 * self.approach_factor * size**2 * self.sum
        return a, b, approach, 1.5 * force / (pi * a * b)

    def constant(self):
        """K of force = K approach^1.5."""
        return self.under(1.0)[2] ** -1.5


def race(ball, pitch, osculation, inner, contact_angle=0.0):
    """Ball on a race of groove radius osculation times the ball's diameter."""
    gamma = ball * cos(contact_angle) / pitch
    across = 2.0 * gamma / (1.0 - gamma) if inner else -2.0 * gamma / (1.0 + gamma)
    total = (4.0 - 1.0 / osculation + across) / ball
    return Contact(total, (1.0 / osculation + across) / (4.0 - 1.0 / osculation + across))


def races():
    found = {}
    for name, inner in (("E09", True), ("E10", False)):
        contact = race(12.7, 65.0, 0.52, inner)
        parts = (contact.sum, contact.difference, contact.ratio, contact.major, contact.minor)
        parts += (contact.approach_factor, *contact.under(4536.0))
        found |= {f"{name}-{k}": value for k, value in enumerate(parts, start=1)}
    return found


def ball_constant(ball, pitch, osculation=0.52, contact_angle=0.0):
    """K of both races together."""
    both = [race(ball, pitch, osculation, inner, contact_angle).constant() for inner in (True, False)]
    return sum(constant ** (-2.0 / 3.0) for constant in both) ** -1.5


def approaches():
    return {f"E08-{f}": (100.0 / ball_constant(3.969, 15.0, f)) ** (2.0 / 3.0) for f in (0.515, 0.52, 0.54)}


def ball_constants():
    sets = ((12.7, 65.0), (3.969, 15.0), (3.175, 13.5), (2, 9.0), (1.588, 6.5))
    return {f"E11-{ball}": ball_constant(ball, pitch) for ball, pitch in sets}


def ball_on_flat():
    """Circular contact: a^3 = 3 F R (1/E')/4 with 1/E' of both bodies."""
    radius, force = 5.0, 10.0
    a = (0.75 * force * radius * YIELDING) ** (1.0 / 3.0)
    return {"E12-a": a, "E12-delta": a * a / radius, "E12-p0": 1.5 * force / (pi * a * a)}


def seven_balls():
    constant, angles = ball_constant(3.969, 15.0), [2.0 * pi * k / 7 for k in range(7)]
    loaded = [cos(angle) for angle in angles if cos(angle) > 0.0]
    share = sum(c**2.5 for c in loaded)
    found = {}
    for load in (5.0, 20.0, 50.0, 100.0):
        move = (load / (constant * share)) ** (2.0 / 3.0)
        found[f"E13-{load:g}-move"], found[f"E13-{load:g}-k"] = move, 1.5 * load / move
    return found | {"E13-share": 1.0 / share}


def thrust():
    """Sixteen balls of 22.225 mm on 125.26 mm, f 0.5232, free contact angle 40 deg, 17.8 kN."""
    ball, osculation, free, load = 22.225, 0.5232, radians(40.0), 17800.0
    distance = (2.0 * osculation - 1.0) * ball
    # Curvature of the races at the free contact angle.
    constant = ball_constant(ball, 125.26, osculation, free)

    def pull(angle):
        stretch = distance * (cos(free) / cos(angle) - 1.0)
        return 16.0 * constant * stretch**1.5 * sin(angle) - load

    angle = brentq(pull, free, radians(60.0), xtol=1e-15)
    move = distance * (cos(free) * sin(angle) / cos(angle) - sin(free))
    return {"axial-218-angle": degrees(angle), "axial-218-move": move}


def fits():
    """Clearance of H7/g6 from limits of ISO 286 that stand in other rows, micrometres."""
    # Size: upper limit of H7, then both of g6.
    limits = {4: (12, -4, -12), 8: (15, -5, -14), 13: (18, -6, -17)}
    found = {f"E16-{size}-minimum": -upper for size, (_, upper, _) in limits.items()}
    return found | {f"E16-{size}-maximum": hole - lower for size, (hole, _, lower) in limits.items()}


def pin():
    """A pin of 4 mm in double shear, 200 N, cheeks of 4 mm, lug of 8 mm, gaps of 0.5 mm.

    Lug and cheeks press evenly over their lengths; shear over a round section peaks at 4/3.
    """
    diameter, force, cheek, lug, gap = 4.0, 200.0, 4.0, 8.0, 0.5
    mean = 0.5 * force / (0.25 * pi * diameter**2)
    # Half the force acts at the middle of a cheek, the other way at the middle of half the lug.
    moment = 0.5 * force * (0.5 * cheek + gap + 0.25 * lug)
    return {
        "E17-shear": mean,
        "E17-peak": 4.0 / 3.0 * mean,
        "E17-moment": moment,
        "E17-bending": moment / (pi * diameter**3 / 32.0),
        "E17-lug": force / (diameter * lug),
        "E17-cheek": 0.5 * force / (diameter * cheek),
    }


def tilt():
    """A pin that touches at both ends of a hole 10 mm long, 0.01 mm of radial clearance."""
    angle = 2.0 * 0.01 / 10.0
    return {"E19-angle": angle, "E19-150": 150.0 * angle}


def holding():
    """0.5 kg at 150 mm across the base axis; gravity turned about it off the level."""
    level = 0.5 * 9.80665 * 0.150
    # m g (axis x r) . g: the part of gravity across the tool and the axis.
    return {"T14-0": level, "T14-60": level * cos(radians(60.0)), "T14-90": 0.0}


def made_parts():
    """Mass of bars, and what holes leave of a base bar.

    Bars 12 x 6 mm at 150 mm over 75 and 60 deg, 2700 kg/m^3. One stage of 15 deg with bearings
    of 10 x 19 x 5 mm, 6 mm apart: bosses 19 + 5 mm wide and 6 + 5 mm high; a hollow shaft of
    22 mm in the base bar of the outer layer, which lies 11 + 0.5 mm beyond the joint radius.
    """
    hollow_shaft, bearing, boss, height = 22.0, 19.0, 24.0, 11.0
    face = 150.0 + height + 0.5 - 0.5 * height
    taken = asin(0.5 * hollow_shaft / face) + asin(0.5 * bearing / face)
    return {
        "M01": 2700.0 * 0.012 * 0.006 * 0.150 * radians(75.0 + 60.0),
        "W01": 0.5 * (boss - hollow_shaft),
        "W02": face * (radians(15.0) - taken),
    }
