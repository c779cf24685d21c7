"""Where the sensor of a real linkage stands for given readings, by turning vectors.

An oracle for `docs/theory/measurement.md`: every bar has arcs of its own, readings have
zeros, scales and backlash, axes are tilted or miss each other. It shares nothing with calotte.

Parameters are a dictionary from name to physical value, in degrees (`_deg`), millimetres
(`_mm`) or without a unit (scales). Readings are degrees, one row per measurement in order of
measuring. Places are millimetres in the base frame. Only analytic functions are used, so that
a complex step through any parameter gives derivatives to the last digits.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

X, Y, Z = np.eye(3)


class NoClosure(ValueError):
    """In some row a stage does not close: its first arcs do not meet."""


# ---------------------------------------------------------------- vectors, one per row


def dot(first, second):
    """Scalar product of each row, as a column."""
    return (first * second).sum(axis=-1, keepdims=True)


def length(vectors):
    """Length of each row, as a column."""
    return np.sqrt(dot(vectors, vectors))


def unit(vectors):
    """Each row at length one."""
    return vectors / length(vectors)


def column(angles):
    """Angles (one number or one per row) as a column beside vectors."""
    return np.asarray(angles)[..., None]


def turned(vectors, axis, angles):
    """Rows turned right-handed about unit axes by angles in rad (Rodrigues)."""
    vectors, axis = np.broadcast_arrays(vectors, axis)
    cosine, sine = np.cos(column(angles)), np.sin(column(angles))
    return vectors * cosine + np.cross(axis, vectors) * sine + axis * dot(axis, vectors) * (1.0 - cosine)


def tilted(vectors, tilt):
    """Rx(x) Ry(y) applied to rows: about y first, then about x."""
    return turned(turned(vectors, Y, tilt[1]), X, tilt[0])


def heading(start, towards):
    """Unit tangent at `start` of the great circle to `towards`."""
    return unit(towards - start * dot(start, towards))


def gone(start, tangent, arc):
    """End of the great-circle arc of length `arc` (rad) that leaves `start` along `tangent`."""
    return start * np.cos(arc) + tangent * np.sin(arc)


def circles_meet(left, right, left_arc, right_arc, mode):
    """Where the circles of `left_arc` about `left` and `right_arc` about `right` cut.

    On the side of left x right for mode 1, on the other for -1. The angle at `left` comes
    from the half-angle formula of the spherical triangle (three sides known), which takes
    sines of small differences instead of differences of cosines.
    """
    across = 2.0 * np.arctan(length(left - right) / length(left + right))
    half = 0.5 * (left_arc + right_arc + across)
    squared = (np.sin(half - left_arc) * np.sin(half - across)) / (np.sin(half) * np.sin(half - right_arc))
    if np.any(squared.real <= 0.0) or np.any(np.sin(half).real <= 0.0):
        row = int(np.argmin(squared.real))
        raise NoClosure(f"row {row}: the first arcs do not meet over {np.degrees(across[row, 0].real):.3f} deg")
    tangent = np.sqrt(squared)
    cosine, sine = (1.0 - squared) / (1.0 + squared), 2.0 * tangent / (1.0 + squared)
    outward = unit(np.cross(left, right)) * mode
    return gone(left, heading(left, right) * cosine + outward * sine, left_arc)


def signs_of_motion(readings):
    """Side each reading (deg) was approached from: +1, -1, and 0 before it ever moved.

    A reading that stays, to 0.01 deg, keeps its side.
    """
    steps = np.diff(readings, axis=0, prepend=readings[:1])
    signs = np.where(np.abs(steps) > 0.01, np.sign(steps), 0.0)
    for row in range(1, len(signs)):
        signs[row] = np.where(signs[row] == 0.0, signs[row - 1], signs[row])
    return signs


# ---------------------------------------------------------------- the two families


@dataclass
class PhysicalLinkage:
    """What both families share: from readings to mechanism angles, and how the sensor sits."""

    parameters: dict[str, float] = field(default_factory=dict)
    #: active joint angle per mechanism angle, as in the design file
    ratio: tuple[float, float] = (1.0, 1.0)
    #: tool direction beyond the end of the last arc, deg, as in the design file
    bracket_arc_deg: float = 0.0

    #: names of the two mechanism angles
    mechanism = ("", "")

    @property
    def active(self):
        """Names of the two active joints: those of the mechanism angles unless they differ."""
        return self.mechanism

    def rad(self, name):
        """An angle of the parameters in rad."""
        return np.radians(1.0) * self.parameters[name + "_deg"]

    def shared_names(self):
        """Names of the parameters of readings and sensor."""
        names = [f"{angle}.zero_deg" for angle in self.mechanism]
        names += [f"{joint}.{what}" for what in ("scale", "backlash_deg") for joint in self.active]
        return names, [f"sensor.{what}_mm" for what in ("radius", "along", "across")]

    def mechanism_angles(self, readings_deg):
        """The two mechanism angles of each row, rad."""
        readings = np.asarray(readings_deg, dtype=float)
        signs = signs_of_motion(readings)
        first, second = (
            (
                self.parameters[f"{joint}.scale"] * np.radians(readings[:, index])
                - 0.5 * signs[:, index] * self.rad(f"{joint}.backlash")
            )
            / self.ratio[index]
            for index, joint in enumerate(self.active)
        )
        first, second = self.from_drives(first, second)
        zeros = [self.rad(f"{angle}.zero") for angle in self.mechanism]
        return first + zeros[0], second + zeros[1]

    def from_drives(self, first, second):
        """Mechanism angles before their zeros, from the active angles after the ratio."""
        return first, second

    def on_bar(self, end, along):
        """The sensor's place in the frame of its bar: at its end, `along` away from the last joint."""
        bracket = np.radians(self.bracket_arc_deg)
        radial = end * np.cos(bracket) + along * np.sin(bracket)
        along = along * np.cos(bracket) - end * np.sin(bracket)
        values = [self.parameters[f"sensor.{what}_mm"] for what in ("radius", "along", "across")]
        return values[0] * radial + values[1] * along + values[2] * np.cross(radial, along)


@dataclass
class PhysicalScissor(PhysicalLinkage):
    """A scissor linkage whose bars all have arcs and bends of their own."""

    layout: str = "two-bars"
    stages: int = 1
    assembly_modes: tuple[int, ...] | None = None
    carried_by: str = "left"

    mechanism = ("swing", "opening")

    @property
    def active(self):
        return ("left", "right") if self.layout == "two-bars" else self.mechanism

    def names(self):
        """Names of all parameters, in the order of the document."""
        readings, sensor = self.shared_names()
        bars = ["base-left.first_arc_deg", "base-right.first_arc_deg"]
        for stage in range(1, self.stages + 1):
            for bar in (f"bar-left-{stage}", f"bar-right-{stage}"):
                bars.append(f"{bar}.first_arc_deg")
                if stage < self.stages:
                    bars += [f"{bar}.second_arc_deg", f"{bar}.bend_deg"]
        axis = ["axis.tilt_x_deg", "axis.tilt_y_deg"]
        if self.layout == "swing-and-opening":
            axis += ["axis.offset_x_mm", "axis.offset_y_mm"]
        return readings + bars + axis + sensor

    def from_drives(self, first, second):
        if self.layout == "two-bars":
            return 0.5 * (first + second), first - second
        return first, second

    def stations(self, swing, opening, right_tilt):
        """Directions of side joints and apexes by name (`left-1`, `right-1`, `apex-1`, ...)."""
        places = {}
        for side, sign in (("left", 0.5), ("right", -0.5)):
            azimuth = column(swing + sign * opening)
            outward = X * np.cos(azimuth) + Y * np.sin(azimuth)
            places[f"{side}-1"] = gone(Z, outward, self.rad(f"base-{side}.first_arc"))
        places["right-1"] = tilted(places["right-1"], right_tilt)
        modes = self.assembly_modes or (1,) * self.stages
        for stage in range(1, self.stages + 1):
            sides = {side: places[f"{side}-{stage}"] for side in ("left", "right")}
            arcs = {side: self.rad(f"bar-{side}-{stage}.first_arc") for side in sides}
            apex = circles_meet(*sides.values(), *arcs.values(), modes[stage - 1])
            places[f"apex-{stage}"] = apex
            if stage == self.stages:
                break
            for side, other, sign in (("left", "right", -1.0), ("right", "left", 1.0)):
                bar = f"bar-{side}-{stage}"
                onward = turned(-heading(apex, sides[side]), apex, sign * self.rad(f"{bar}.bend"))
                places[f"{other}-{stage + 1}"] = gone(apex, onward, self.rad(f"{bar}.second_arc"))
        return places

    def sensor_on(self, places):
        """The sensor's place from the stations, before what moves the linkage as a whole."""
        apex = places[f"apex-{self.stages}"]
        if self.carried_by == "bisector":
            behind = np.broadcast_to(Z, apex.shape)
        else:
            behind = places[f"{self.carried_by}-{self.stages}"]
        return self.on_bar(apex, -heading(apex, behind))

    def sensor(self, readings_deg):
        """Place of the sensor in the base frame for each row of readings, mm."""
        swing, opening = self.mechanism_angles(readings_deg)
        tilt = (self.rad("axis.tilt_x"), self.rad("axis.tilt_y"))
        if self.layout == "two-bars":
            return self.sensor_on(self.stations(swing, opening, tilt))
        place = tilted(self.sensor_on(self.stations(0.0 * swing, opening, (0.0, 0.0))), tilt)
        offset = self.parameters["axis.offset_x_mm"] * X + self.parameters["axis.offset_y_mm"] * Y
        return turned(place + offset, Z, swing)


@dataclass
class PhysicalArm(PhysicalLinkage):
    """A two-arc arm whose elbow axis may miss the base axis."""

    mechanism = ("base", "elbow")

    def names(self):
        """Names of all parameters, in the order of the document."""
        readings, sensor = self.shared_names()
        return readings + ["first-arc.first_arc_deg", "second-arc.first_arc_deg", "axis.offset_mm"] + sensor

    def sensor(self, readings_deg):
        """Place of the sensor in the base frame for each row of readings, mm."""
        base, elbow = self.mechanism_angles(readings_deg)
        first, second = (self.rad(f"{arc}-arc.first_arc") for arc in ("first", "second"))
        place = self.on_bar(gone(Z, X, second), gone(X, -Z, second))
        place = turned(turned(place, Z, elbow), Y, first)
        return turned(place + self.parameters["axis.offset_mm"] * Y, Z, base)
