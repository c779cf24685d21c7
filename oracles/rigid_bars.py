"""The real scissor linkage again, as rigid bars whose pins are brought together numerically.

A second derivation, to check `physical_linkage.py`: every bar is a body with its pins drawn
on it once and for all; its orientation (three numbers) is found by least squares from the
condition that pins which share a joint point the same way. The start is the ideal linkage.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from linkage_geometry import BASE_AXIS, ScissorLinkage


def about(axis, angle):
    """Rotation about a coordinate axis by an angle in degrees."""
    return Rotation.from_euler(axis, angle, degrees=True)


def pins_of(parameters, stage, side, last):
    """Pins of a bar in its own frame: side joint, apex on z, and (not `last`) the far joint.

    The bar's first arc comes in from -x and goes on along +x, bent about z.
    """
    bar = f"bar-{side}-{stage}"
    first = about("y", -parameters[f"{bar}.first_arc_deg"]).apply(BASE_AXIS)
    if last:
        return first, BASE_AXIS, None
    bend = parameters[f"{bar}.bend_deg"] * (-1.0 if side == "left" else 1.0)
    far = about("z", bend) * about("y", parameters[f"{bar}.second_arc_deg"])
    return first, BASE_AXIS, far.apply(BASE_AXIS)


def ideal_start(nominal, stages, swing, opening):
    """Orientations of the bars of the ideal linkage, as rotation vectors: left, right by stage."""
    angles = (nominal.proximal_arcs, nominal.distal_arcs, nominal.bends)
    geometry = ScissorLinkage(*(np.radians(values).tolist() for values in angles))
    linkage = geometry.configuration(swing, opening)
    vectors = []
    for stage in range(1, stages + 1):
        for side in ("left", "right"):
            arc = next(arc for arc in linkage.arcs if arc.body == f"bar from {side} {stage}")
            joint, apex = (linkage.stations[index].direction for index in (arc.start, arc.end))
            along = apex * (joint @ apex) - joint
            along /= np.linalg.norm(along)
            frame = np.column_stack([along, np.cross(apex, along), apex])
            vectors.append(Rotation.from_matrix(frame).as_rotvec())
    return np.concatenate(vectors)


def sensor_by_rigid_bars(linkage, nominal, readings, row):
    """Place of the sensor for one row, mm (readings to mechanism angles are taken from `linkage`)."""
    parameters, stages = linkage.parameters, linkage.stages
    swing, opening = (angles[row] for angles in linkage.mechanism_angles(readings))
    two_bars = linkage.layout == "two-bars"
    tilt = about("x", parameters["axis.tilt_x_deg"]) * about("y", parameters["axis.tilt_y_deg"])
    turn = Rotation.from_rotvec(swing * BASE_AXIS)
    pins, at = {}, {}
    for side, sign in (("left", 0.5), ("right", -0.5)):
        azimuth = np.degrees((swing if two_bars else 0.0) + sign * opening)
        bar = about("z", azimuth) * about("y", parameters[f"base-{side}.first_arc_deg"])
        at[side] = (tilt * bar if two_bars and side == "right" else bar).apply(BASE_AXIS)
        for stage in range(1, stages + 1):
            pins[side, stage] = pins_of(parameters, stage, side, stage == stages)

    def bodies(vectors):
        rotations = Rotation.from_rotvec(vectors.reshape(-1, 3))
        keys = [(side, stage) for stage in range(1, stages + 1) for side in ("left", "right")]
        return dict(zip(keys, rotations, strict=True))

    def gaps(vectors):
        body, arriving, apart = bodies(vectors), dict(at), []
        for stage in range(1, stages + 1):
            placed = {side: body[side, stage].apply(pins[side, stage][:2]) for side in ("left", "right")}
            apart += [placed[side][0] - arriving[side] for side in placed]
            apart.append(placed["left"][1] - placed["right"][1])
            if stage < stages:
                for side, other in (("left", "right"), ("right", "left")):
                    arriving[other] = body[side, stage].apply(pins[side, stage][2])
        return np.concatenate(apart)

    start = ideal_start(nominal, stages, swing if two_bars else 0.0, opening)
    found = least_squares(gaps, start, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    if np.abs(found.fun).max() > 1e-12:
        raise ArithmeticError(f"the bars do not close: {np.abs(found.fun).max():.1e}")
    body = bodies(found.x)
    along, across, radius = (parameters[f"sensor.{what}_mm"] for what in ("along", "across", "radius"))
    if linkage.carried_by == "bisector":
        apex = body["left", stages].apply(BASE_AXIS)
        polar, azimuth = np.arccos(apex[2]), np.arctan2(apex[1], apex[0])
        carrier = Rotation.from_euler("ZY", [azimuth, polar])
    else:
        carrier = body[linkage.carried_by, stages]
    place = carrier.apply([along, across, radius])
    if two_bars:
        return place
    offset = [parameters["axis.offset_x_mm"], parameters["axis.offset_y_mm"], 0.0]
    return turn.apply(tilt.apply(place) + offset)
