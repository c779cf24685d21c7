"""The same frame as `frame_model.py`, solved with numpy and scipy alone.

Rigid ties are exact: every node's motion is a linear map of independent unknowns q, and
the stiffness is condensed to q. SI; six-vectors are (translation, rotation), (force, moment).
"""

from __future__ import annotations

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu


def skew(vector):
    """Matrix of the cross product: skew(a) @ b = a x b."""
    x, y, z = vector
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def transfer(arm):
    """Rigid-body motion at a point `arm` away: (u + phi x arm, phi)."""
    return np.block([[np.eye(3), -skew(arm)], [np.zeros((3, 3)), np.eye(3)]])


def member_stiffness(start, end, material, section, beside=None):
    """12x12 stiffness of a straight Timoshenko member, base frame.

    End flexibility of the cantilever, inverted, and the start's forces by equilibrium. The
    section's radial side lies in the plane of the member and the vector `beside`, which is
    the member's middle (the centre of its arc being the origin) unless given.
    """
    along = end - start
    length = np.linalg.norm(along)
    x = along / length
    y = np.cross(0.5 * (start + end) if beside is None else beside, x)  # normal of the arc's plane
    y /= np.linalg.norm(y)
    z = np.cross(x, y)  # radial
    modulus, shear = material.youngs_modulus, material.shear_modulus * section.shear_factor * section.area
    about_y, about_z = modulus * section.in_plane, modulus * section.out_of_plane
    flexibility = np.diag(
        [
            length / (modulus * section.area),
            length**3 / (3 * about_z) + length / shear,
            length**3 / (3 * about_y) + length / shear,
            length / (material.shear_modulus * section.torsion),
            length / about_y,
            length / about_z,
        ]
    )
    flexibility[1, 5] = flexibility[5, 1] = length**2 / (2 * about_z)
    flexibility[2, 4] = flexibility[4, 2] = -(length**2) / (2 * about_y)
    axes = np.kron(np.eye(2), np.array([x, y, z]))
    relative = np.hstack([-transfer(along), np.eye(6)])
    return relative.T @ axes.T @ np.linalg.inv(flexibility) @ axes @ relative


def joint_springs_and_freedoms(joint):
    """6x6 spring matrix of the relative motion at the joint, and a basis of that motion."""
    along = np.outer(joint.axis, joint.axis)
    across = np.eye(3) - along
    values = joint.stiffness
    springs = np.zeros((6, 6))
    springs[:3, :3] = values.axial * along + values.radial * across
    springs[3:, 3:] = values.tilt * across
    turning = np.concatenate([np.zeros(3), joint.axis])
    springs += joint.drive * np.outer(turning, turning)
    if values.rigid:
        return springs, np.zeros((6, 0)) if joint.locked else turning[:, None]
    if joint.locked:
        return springs, np.linalg.svd(np.eye(6) - np.outer(turning, turning))[0][:, :5]
    return springs, np.eye(6)


def node_maps(frame):
    """For each node its 6 x k parts over blocks of q, the springs over q, and the size of q."""
    tied = {link[1]: (link[0], np.zeros(3), None) for link in frame.rigid_links}
    tied |= {
        joint.second: (joint.first, joint.stiffness.offset * joint.axis, joint) for joint in frame.joints
    }
    maps, springs, size = {}, [], 0

    def resolve(node):
        nonlocal size
        if node is None:
            return []
        if node not in maps:
            if node in tied:
                master, arm, joint = tied[node]
                springs_here, basis = joint_springs_and_freedoms(joint) if joint else (None, np.zeros((6, 0)))
                from_master = 0.0 * arm if master is None else frame.nodes[node] - frame.nodes[master]
                parts = [(at, transfer(from_master) @ part) for at, part in resolve(master)]
            else:
                parts, springs_here, basis, arm = [], None, np.eye(6), np.zeros(3)
            if basis.shape[1]:
                parts = [*parts, (size, transfer(-arm) @ basis)]
                if springs_here is not None:
                    springs.append((size, basis.T @ springs_here @ basis))
                size += basis.shape[1]
            maps[node] = parts
        return maps[node]

    for node in range(len(frame.nodes)):
        resolve(node)
    return maps, springs, size


class Scatter:
    """Blocks gathered into a sparse matrix; overlapping blocks add up."""

    def __init__(self, rows, columns):
        self.shape = (rows, columns)
        self.triplets = ([], [], [])

    def add(self, row, column, block):
        """Adds `block` with its first entry at (row, column)."""
        grid = np.indices(block.shape)
        for target, part in zip(self.triplets, (grid[0] + row, grid[1] + column, block)):
            target.append(part.ravel())

    def matrix(self):
        """The sum, compressed by columns."""
        if not self.triplets[0]:
            return sparse.csc_matrix(self.shape)
        rows, columns, values = map(np.concatenate, self.triplets)
        return sparse.csc_matrix((values, (rows, columns)), self.shape)


def member_blocks(frame):
    """Nodes and stiffness of every member: first those of the bars, then the pins."""
    for member, (first, second) in enumerate(frame.members):
        start, end = frame.nodes[first], frame.nodes[second]
        yield first, second, member_stiffness(start, end, frame.material, frame.section_of(member))
    for pin in frame.pins:
        start, end = frame.nodes[pin.first], frame.nodes[pin.second]
        beside = np.eye(3)[np.argmin(np.abs(end - start))]  # round: any direction will do
        yield pin.first, pin.second, member_stiffness(start, end, pin.material, pin.section, beside)


def tip_compliance_by_own_frame(frame):
    """6x6 compliance at the tip, rows (u, phi), columns (F, M), local frame."""
    maps, springs, size = node_maps(frame)
    count = 6 * len(frame.nodes)
    motion, bars, joints = Scatter(count, size), Scatter(count, count), Scatter(size, size)
    for node, parts in maps.items():
        for at, part in parts:
            motion.add(6 * node, at, part)
    for first, second, block in member_blocks(frame):
        for i, row in enumerate((first, second)):
            for j, column in enumerate((first, second)):
                bars.add(6 * row, 6 * column, block[6 * i : 6 * i + 6, 6 * j : 6 * j + 6])
    for at, block in springs:
        joints.add(at, at, block)
    motion = motion.matrix()
    stiffness = motion.T @ bars.matrix() @ motion + joints.matrix()
    node = frame.tool_node
    tool_motion = motion[6 * node : 6 * node + 6].toarray()
    tip = np.kron(np.eye(2), frame.tip_frame) @ transfer(frame.tip - frame.nodes[node]) @ tool_motion
    return tip @ splu(stiffness.tocsc()).solve(tip.T)
