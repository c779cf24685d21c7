"""Solids of 27-node bricks: linear elasticity with numpy and scipy alone.

A mesh is made of blocks: a block is a grid of (2 i + 1) x (2 j + 1) x (2 k + 1) points, and
every 3 x 3 x 3 points of it are one brick (tri-quadratic shape functions, 3 x 3 x 3 Gauss
points). Points of different blocks that coincide are one node. Lengths and moduli in any
consistent units; six-vectors are (translation, rotation) and (force, moment).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu

#: Gauss points and weights of three points on [-1, 1].
GAUSS = np.polynomial.legendre.leggauss(3)


def quadratic(place):
    """Values and slopes of the three quadratic Lagrange functions with nodes -1, 0, 1."""
    values = np.array([0.5 * place * (place - 1.0), 1.0 - place**2, 0.5 * place * (place + 1.0)])
    return values, np.array([place - 0.5, -2.0 * place, place + 0.5])


def brick_functions(x, y, z):
    """Values (27) and slopes (3 x 27) of the shape functions; nodes counted z fastest."""
    (a, da), (b, db), (c, dc) = quadratic(x), quadratic(y), quadratic(z)
    values = np.einsum("i,j,k->ijk", a, b, c).ravel()
    slopes = [np.einsum("i,j,k->ijk", *triple).ravel() for triple in ((da, b, c), (a, db, c), (a, b, dc))]
    return values, np.array(slopes)


BRICK_POINTS = [
    (brick_functions(x, y, z), wx * wy * wz)
    for x, wx in zip(*GAUSS)
    for y, wy in zip(*GAUSS)
    for z, wz in zip(*GAUSS)
]


@dataclass
class Mesh:
    """Nodes (n x 3) and bricks (m x 27)."""

    nodes: np.ndarray
    bricks: np.ndarray

    def volume(self):
        """Sum over the bricks."""
        return sum(
            weight * np.linalg.det(np.einsum("ai,mij->maj", slopes, self.nodes[self.bricks])).sum()
            for (_, slopes), weight in BRICK_POINTS
        )


def joined(blocks, tolerance):
    """One mesh of several grids of points (each i x j x k x 3); close points become one node.

    Returns the mesh and, for each block, the node of every grid point.
    """
    points = np.concatenate([block.reshape(-1, 3) for block in blocks])
    # the odd shift keeps round coordinates away from the edges of the cells
    cells = np.floor(points / tolerance + 0.3819).astype(np.int64)
    _, first, node_of_point = np.unique(cells, axis=0, return_index=True, return_inverse=True)
    node_of_point = node_of_point.ravel()
    grids, at = [], 0
    for block in blocks:
        count = block[..., 0].size
        grids.append(node_of_point[at : at + count].reshape(block.shape[:3]))
        at += count
    bricks = [
        grid[2 * i : 2 * i + 3, 2 * j : 2 * j + 3, 2 * k : 2 * k + 3].ravel()
        for grid in grids
        for i in range(grid.shape[0] // 2)
        for j in range(grid.shape[1] // 2)
        for k in range(grid.shape[2] // 2)
    ]
    return Mesh(points[first], np.array(bricks)), grids


def elasticity(modulus, poisson_ratio):
    """6 x 6 of an isotropic material; strains xx, yy, zz, yz, zx, xy (engineering shear)."""
    shear = modulus / (2.0 * (1.0 + poisson_ratio))
    lame = modulus * poisson_ratio / ((1.0 + poisson_ratio) * (1.0 - 2.0 * poisson_ratio))
    matrix = np.diag([2.0 * shear] * 3 + [shear] * 3)
    matrix[:3, :3] += lame
    return matrix


def stiffness(mesh, modulus, poisson_ratio):
    """Sparse stiffness of a mesh, three unknowns a node."""
    material = elasticity(modulus, poisson_ratio)
    count = len(mesh.bricks)
    blocks = np.zeros((count, 81, 81))
    corners = mesh.nodes[mesh.bricks]
    for (_, slopes), weight in BRICK_POINTS:
        jacobian = np.einsum("ai,mij->maj", slopes, corners)
        determinant = np.linalg.det(jacobian)
        if determinant.min() <= 0.0:
            raise ValueError("a brick of the mesh is turned inside out")
        x, y, z = np.linalg.solve(jacobian, np.broadcast_to(slopes, (count, 3, 27))).transpose(1, 0, 2)
        strain = np.zeros((count, 6, 27, 3))
        strain[:, 0, :, 0], strain[:, 1, :, 1], strain[:, 2, :, 2] = x, y, z
        strain[:, 3, :, 1], strain[:, 3, :, 2] = z, y
        strain[:, 4, :, 0], strain[:, 4, :, 2] = z, x
        strain[:, 5, :, 0], strain[:, 5, :, 1] = y, x
        strain = strain.reshape(count, 6, 81)
        stress = np.einsum("ab,mbc->mac", material, strain) * (weight * determinant)[:, None, None]
        blocks += strain.transpose(0, 2, 1) @ stress
    unknowns = (3 * mesh.bricks[:, :, None] + np.arange(3)).reshape(count, 81)
    rows, columns = np.repeat(unknowns, 81, axis=1), np.tile(unknowns, (1, 81))
    size = 3 * len(mesh.nodes)
    return sparse.csc_matrix((blocks.ravel(), (rows.ravel(), columns.ravel())), (size, size))


def rigid_motions(points, about):
    """Displacements (3 n x 6) of points by the six rigid motions about a point."""
    arms = points - about
    motions = np.zeros((len(points), 3, 6))
    motions[:, [0, 1, 2], [0, 1, 2]] = 1.0
    x, y, z = arms.T
    motions[:, 1, 3], motions[:, 2, 3] = -z, y
    motions[:, 0, 4], motions[:, 2, 4] = z, -x
    motions[:, 0, 5], motions[:, 1, 5] = -y, x
    return motions.reshape(-1, 6)


def face_weights(nodes, grid):
    """Area that belongs to every node of a grid of (2 i + 1) x (2 j + 1) nodes."""
    weights = np.zeros(len(nodes))
    for i in range(0, grid.shape[0] - 1, 2):
        for j in range(0, grid.shape[1] - 1, 2):
            patch = grid[i : i + 3, j : j + 3].ravel()
            for x, weight_x in zip(*GAUSS):
                for y, weight_y in zip(*GAUSS):
                    (a, da), (b, db) = quadratic(x), quadratic(y)
                    first, second = (
                        np.outer(*slopes).ravel() @ nodes[patch] for slopes in ((da, b), (a, db))
                    )
                    area = np.linalg.norm(np.cross(first, second))
                    weights[patch] += weight_x * weight_y * area * np.outer(a, b).ravel()
    return weights


def mean_motion(mesh, grid, about):
    """6 x 3n: the rigid motion about a point that fits the displacements of a face best.

    Weighted by area (least squares); its transpose spreads a wrench over the face as a
    traction that is linear over it, so that wrench and motion do work on each other.
    """
    weights = face_weights(mesh.nodes, grid)
    used = np.flatnonzero(weights)
    motions = rigid_motions(mesh.nodes[used], about)
    weighted = motions * np.repeat(weights[used], 3)[:, None]
    fit = np.linalg.solve(motions.T @ weighted, weighted.T)
    unknowns = (3 * used[:, None] + np.arange(3)).ravel()
    rows = np.repeat(np.arange(6), len(unknowns))
    shape = (6, 3 * len(mesh.nodes))
    return sparse.csr_matrix((fit.ravel(), (rows, np.tile(unknowns, 6))), shape)


def factorised(matrix):
    """Sparse factors of a symmetric positive definite matrix."""
    symmetric = {"SymmetricMode": True}
    return splu(matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=symmetric)


def solve_with_fixed_nodes(matrix, loads, fixed):
    """Displacements (3 n x loads) with all three displacements of some nodes held."""
    free = np.ones(matrix.shape[0], dtype=bool)
    free[(3 * np.unique(fixed)[:, None] + np.arange(3)).ravel()] = False
    found = np.zeros(loads.shape)
    found[free] = factorised(matrix[free][:, free]).solve(loads[free])
    return found


def compliance_of_rigid_face(mesh, matrix, fixed, moved, about):
    """6 x 6: wrench on a face that moves as a rigid body about a point, other nodes held."""
    moved = np.unique(moved)
    size = matrix.shape[0]
    tied = (3 * moved[:, None] + np.arange(3)).ravel()
    held = (3 * np.unique(fixed)[:, None] + np.arange(3)).ravel()
    free = np.ones(size, dtype=bool)
    free[tied] = free[held] = False
    free = np.flatnonzero(free)
    own = sparse.csc_matrix((np.ones(len(free)), (free, np.arange(len(free)))), (size, len(free)))
    motions = rigid_motions(mesh.nodes[moved], about)
    rows, columns = np.repeat(tied, 6), np.tile(np.arange(6), len(tied))
    rigid = sparse.csc_matrix((motions.ravel(), (rows, columns)), (size, 6))
    reduction = sparse.hstack([own, rigid]).tocsc()
    loads = np.vstack([np.zeros((len(free), 6)), np.eye(6)])
    return factorised(reduction.T @ matrix @ reduction).solve(loads)[-6:]
