"""Registration of points and the best sphere through points, by general-purpose libraries.

References for the program's own; with random inputs that can be fed to both.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation


def registration_by_library(points, images):
    """Rotation matrix R and translation t with the least sum of |R p + t - q|^2.

    R is a rotation, never a mirror image. By scipy's align_vectors on points without centroid.
    """
    middle, image_middle = points.mean(axis=0), images.mean(axis=0)
    rotation, _ = Rotation.align_vectors(images - image_middle, points - middle)
    matrix = rotation.as_matrix()
    return matrix, image_middle - matrix @ middle


def sphere_by_library(points):
    """Centre and radius with the least sum of squared distances of the points from the sphere.

    Distances along the radius (geometric), by scipy's least_squares from the algebraic sphere.
    That stops where the sum of squares no longer falls, which leaves half the digits of the
    centre of a small patch with noise open; Newton steps on the vanishing slope give the rest.
    """
    middle = points.mean(axis=0)
    size = np.sqrt(((points - middle) ** 2).sum(axis=1).mean())
    scaled = (points - middle) / size
    table = np.column_stack([2.0 * scaled, np.ones(len(scaled))])
    start, *_ = np.linalg.lstsq(table, (scaled**2).sum(axis=1), rcond=None)
    start[3] = np.sqrt(start[3] + start[:3] @ start[:3])

    def distances(sphere):
        return np.linalg.norm(scaled - sphere[:3], axis=1) - sphere[3]

    def slopes(sphere):
        away = scaled - sphere[:3]
        return np.column_stack([-away / np.linalg.norm(away, axis=1)[:, None], -np.ones(len(away))])

    limits = {"xtol": 3e-16, "ftol": 3e-16, "gtol": 1e-15, "max_nfev": 2000}
    found = least_squares(distances, start, jac=slopes, method="lm", **limits).x
    for _ in range(5):
        away = scaled - found[:3]
        length = np.linalg.norm(away, axis=1)
        off, unit = length - found[3], away / length[:, None]
        curvature = slopes(found).T @ slopes(found)
        bent = np.eye(3) - unit[:, :, None] * unit[:, None, :]
        curvature[:3, :3] += np.sum((off / length)[:, None, None] * bent, axis=0)
        found = found - np.linalg.solve(curvature, slopes(found).T @ off)
    return middle + size * found[:3], size * found[3]


def registration_sets(count=100, seed=20301):
    """Inputs (kind, points, images) in mm whose best registration is unique.

    Kinds in turn: `many` points with noise, `three` points, `coplanar` points with noise (where
    the sign of a singular value says nothing), `mirrored` (images are a mirror image: the best
    rotation is poor, but a rotation), `exact` (no noise, far from the origin).
    """
    random = np.random.default_rng(seed)
    sets = []
    for number in range(count):
        kind = ("many", "three", "coplanar", "mirrored", "exact")[number % 5]
        points = random.normal(size=(3 if kind == "three" else int(random.integers(6, 80)), 3))
        points *= [150.0, 100.0, 50.0]  # three distinct sizes: unique, mirrored or not
        if kind == "coplanar":
            points[:, 2] = 0.0
        points = points @ Rotation.random(rng=random).as_matrix().T + random.uniform(-500.0, 500.0, 3)
        images = points * [1.0, 1.0, -1.0] if kind == "mirrored" else points
        images = images @ Rotation.random(rng=random).as_matrix().T + random.uniform(-3000.0, 3000.0, 3)
        if kind != "exact":
            images = images + random.normal(size=images.shape) * 10.0 ** random.uniform(-3.0, 0.0)
        sets.append((kind, points, images))
    return sets


def sphere_sets(count=100, seed=20302):
    """Inputs (kind, points) in mm whose best sphere is unique and not nearly a plane.

    Kinds in turn: `whole` sphere with noise, `four` points, `patch` of 12 to 25 deg half-angle
    with little noise, `exact` half sphere far from the origin.
    """
    random = np.random.default_rng(seed)
    sets = []
    for number in range(count):
        kind = ("whole", "four", "patch", "exact")[number % 4]
        size = 4 if kind == "four" else int(random.integers(12, 100))
        half_angle = np.radians({"whole": 180.0, "exact": 90.0}.get(kind, random.uniform(12.0, 25.0)))
        if kind == "four":
            half_angle = np.radians(100.0)
        while True:
            cosine = random.uniform(np.cos(half_angle), 1.0, size)
            azimuth = random.uniform(-np.pi, np.pi, size)
            sine = np.sqrt(1.0 - cosine**2)
            directions = np.column_stack([sine * np.cos(azimuth), sine * np.sin(azimuth), cosine])
            spread = np.linalg.svd(directions - directions.mean(axis=0), compute_uv=False)
            if kind != "four" or spread[2] > 0.3:  # four points not nearly in one plane
                break
        points = random.uniform(80.0, 250.0) * directions @ Rotation.random(rng=random).as_matrix().T
        points = points + random.uniform(-3000.0, 3000.0, 3)
        if kind in ("whole", "patch"):
            noise = random.uniform(0.01, 0.5) if kind == "whole" else random.uniform(0.002, 0.02)
            points = points + noise * random.normal(size=points.shape)
        sets.append((kind, points))
    return sets
