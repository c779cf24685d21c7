"""How well a measuring campaign can tell a linkage's parameters at all: derivatives by a complex
step, the Cramér–Rao bound with priors, and a plain least-squares fit that attains it.

An oracle: from `physical_linkage` alone; it shares nothing with calotte. The tracker's pose
(three small turns about the base frame's axes, three shifts) is unknown without any prior.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.spatial.transform import Rotation

from physical_linkage import NoClosure
from reference_fits import registration_by_library

#: Imaginary step: nothing is subtracted, so that it can be as small as one likes.
STEP = 1e-30
#: Length by which turns become lengths, mm; only keeps columns of one size.
TURN = 100.0


def derivatives(linkage, readings, names):
    """Derivative of every place by every named parameter, mm per unit: rows x 3 x names."""
    columns = []
    for name in names:
        value = complex(linkage.parameters[name], STEP)
        moved = replace(linkage, parameters=linkage.parameters | {name: value})
        columns.append(moved.sensor(readings).imag / STEP)
    return np.stack(columns, axis=-1)


def pose_derivatives(places):
    """Derivative of every place by turns (rad, times TURN mm) and shifts (mm): rows x 3 x 6."""
    turns = [np.cross(axis, places) / TURN for axis in np.eye(3)]
    shifts = [np.broadcast_to(axis, places.shape) for axis in np.eye(3)]
    return np.stack(turns + shifts, axis=-1)


def told_by_points(linkage, readings, noise_mm, names, rows=None):
    """Least-squares matrix in units of the noise: by the named parameters, then by the pose.

    `rows`: those that count (all readings tell from which side each joint came).
    """
    table = np.concatenate(
        [derivatives(linkage, readings, names), pose_derivatives(linkage.sensor(readings))], axis=-1
    )
    table = table if rows is None else table[rows]
    return table.reshape(-1, len(names) + 6) / noise_mm


def information(linkage, readings, noise_mm, names, rows=None):
    """What points tell of the named parameters, the pose unknown: inverse of their covariance."""
    table = told_by_points(linkage, readings, noise_mm, names, rows)
    pose, _ = np.linalg.qr(table[:, -6:])
    own = table[:, :-6] - pose @ (pose.T @ table[:, :-6])
    return own.T @ own


def bound(told, spreads):
    """Least standard error of each parameter of `spreads`, in its own unit (Cramér–Rao).

    `told`: information of the points on these, in this order. `spreads`: standard deviation of
    each one's prior.
    """
    sizes = np.array(list(spreads.values()))
    errors = np.sqrt(np.diag(np.linalg.inv(told * np.outer(sizes, sizes) + np.eye(len(sizes)))))
    return dict(zip(spreads, (errors * sizes).tolist(), strict=True))


def closes(linkage, readings, values):
    """Whether the bars meet in every row with these parameters."""
    try:
        replace(linkage, parameters=linkage.parameters | values).sensor(readings)
    except NoClosure:
        return False
    return True


def fitted_with_priors(linkage, readings, points, noise_mm, spreads, rows=None, rounds=8):
    """The parameters of greatest posterior probability, from `linkage` at the priors' means.

    Gauss–Newton without any doubt about rows, for points that hold noise alone; a step is halved
    while bars do not meet after it.
    `rows`: those that count.
    """
    rows = np.arange(len(readings)) if rows is None else rows
    names, sizes = list(spreads), np.array(list(spreads.values()))
    means = np.array([linkage.parameters[name] for name in names])
    found = replace(linkage, parameters=dict(linkage.parameters))
    rotation, translation = registration_by_library(found.sensor(readings)[rows], points[rows])
    for _ in range(rounds):
        table = told_by_points(found, readings, noise_mm, names, rows)
        table[:, :-6] *= sizes
        left = ((points - translation) @ rotation - found.sensor(readings))[rows].ravel() / noise_mm
        values = np.array([found.parameters[name] for name in names])
        step, *_ = np.linalg.lstsq(
            np.concatenate([table, np.eye(len(names), len(names) + 6)]),
            np.concatenate([left, (means - values) / sizes]),
            rcond=None,
        )
        while not closes(found, readings, dict(zip(names, values + step[:-6] * sizes, strict=True))):
            step = 0.5 * step
        found.parameters |= dict(zip(names, (values + step[:-6] * sizes).tolist(), strict=True))
        translation = translation + rotation @ step[-3:]
        rotation = rotation @ Rotation.from_rotvec(step[-6:-3] / TURN).as_matrix()
    return found.parameters
