"""The greatest minimum LCI of linkages of two arcs, by a plain optimiser.

An oracle: it shares nothing with calotte. The joint between both arcs stands where two circles
about base axis and tool cut; velocities follow from constant distances (linkage) or from cross
products (arm), the index from singular values. No closed form of the index, no intervals, no
proof: the value found is one that is surely reached, and the greatest as far as a population
search and a simplex find it.
"""

from __future__ import annotations

from math import radians

import numpy as np
from scipy.optimize import differential_evolution, minimize

CLASSES = ("two-bars", "swing-and-opening", "two-arc-arm")


def side_joints(near, far, polars):
    """Directions at `near` from z and at `far` from tools at `polars` in the x-z plane, y > 0.

    Returns tools and joints, one row each; a joint that does not exist is nan.
    """
    polars = np.asarray(polars, dtype=float)
    tools = np.stack([np.sin(polars), np.zeros_like(polars), np.cos(polars)], axis=1)
    z = np.full_like(polars, np.cos(near))
    x = (np.cos(far) - z * tools[:, 2]) / tools[:, 0]
    with np.errstate(invalid="ignore"):
        y = np.sqrt(1.0 - x * x - z * z)
    return tools, np.stack([x, y, z], axis=1)


def jacobians(kind, near, far, polars):
    """Tool velocity (polar, azimuth) by both active joints, 2 x 2 for each polar angle."""
    tools, joints = side_joints(near, far, polars)
    axis = np.array([0.0, 0.0, 1.0])
    polar = np.stack([tools[:, 2], 0.0 * tools[:, 0], -tools[:, 0]], axis=1)
    azimuth = np.array([0.0, 1.0, 0.0])
    if kind == "two-arc-arm":
        columns = [np.cross(axis, tools), np.cross(joints, tools)]
    else:
        left, right = joints, joints * np.array([1.0, -1.0, 1.0])
        # tool . left and tool . right stay; each turns with its own base bar.
        plane = np.stack(
            [
                np.stack([np.sum(polar * side, axis=1), side @ azimuth], axis=1)
                for side in (left, right)
            ],
            axis=1,
        )
        turned = [np.sum(tools * np.cross(axis, side), axis=1) for side in (left, right)]
        zero = np.zeros_like(turned[0])
        by_bars = [
            np.linalg.solve(plane, -np.stack(rates, axis=1)[:, :, None])[:, :, 0]
            for rates in ((turned[0], zero), (zero, turned[1]))
        ]
        if kind == "two-bars":
            return np.stack(by_bars, axis=2)
        # Swing turns both alike, opening half of it each way.
        both = [by_bars[0] + by_bars[1], 0.5 * (by_bars[0] - by_bars[1])]
        return np.stack(both, axis=2)
    columns = [np.stack([np.sum(column * polar, axis=1), column @ azimuth], axis=1) for column in columns]
    return np.stack(columns, axis=2)


def least_index(kind, near, far, polars):
    """Least LCI over polar angles; 0 where one is not reached or the linkage would pass a
    singularity on the way, negative by how many are not reached."""
    tools, joints = side_joints(near, far, polars)
    missing = np.isnan(joints[:, 1])
    if missing.any():
        return -missing.mean()
    if kind != "two-arc-arm":
        # Which way the distal arcs point from the tool: a change is a type 2 singularity.
        towards = joints[:, 2] - np.cos(far) * tools[:, 2]
        if towards.min() < 0.0 < towards.max():
            return 0.0
    values = np.linalg.svd(jacobians(kind, near, far, polars), compute_uv=False)
    return float((values[:, 1] / values[:, 0]).min())


def greatest_least_index(kind, polar_deg, arcs_deg=(8.0, 100.0), seed=0):
    """The greatest least index over a range of polar angles, with both arcs in degrees."""
    polars = np.radians(np.linspace(*polar_deg, 401))

    def lost(arcs):
        return -least_index(kind, *arcs, polars)

    box = [tuple(map(radians, arcs_deg))] * 2
    found = differential_evolution(lost, box, seed=seed, tol=1e-10, popsize=24, maxiter=400, polish=False)
    simplex = {"xatol": 1e-11, "fatol": 1e-12, "maxiter": 4000, "maxfev": 4000}
    best = minimize(lost, found.x, method="Nelder-Mead", bounds=box, options=simplex)
    return -best.fun, np.degrees(best.x)
