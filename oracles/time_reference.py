"""How long a careful numpy/scipy program takes for one configuration, as a reference.

The task: kinematics, assembly and the 6x6 tip compliance of a four-stage scissor linkage
with elastic joints, drives locked. Two models:

- same unknowns: one exact circular-arc element per arc, two nodes per joint;
- straight segments: as many straight members per arc as agree with it to 1e-3.

Everything that does not depend on the configuration is prepared once and not timed: element
matrices in their own frame, numbering, and one sparse matrix that maps the turned element
blocks straight into the storage of the solver. Nodes are numbered from the base outwards,
left and right by turns, which keeps the half bandwidth at 17, and the tool's node comes
last, so that the last 6x6 block of the Cholesky factor already holds the answer.

`python time_reference.py` prints one JSON object; times in microseconds, best of many
repeats, one thread.
"""

from __future__ import annotations

import os

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import json
import timeit
from dataclasses import dataclass
from math import acos, atan2, cos, radians, sin, sqrt

import numpy as np
import scipy.sparse as sparse
from scipy.linalg import cho_factor, cho_solve, solveh_banded
from scipy.linalg.lapack import dpbtrf, dtrtrs
from scipy.sparse.linalg import splu

from bar_section import Material, rectangle
from own_frame import member_stiffness, transfer

STAGES = 4
ARC = radians(11.75)
SWING, OPENING = 0.3, radians(60.0)
MATERIAL = Material(68.9e9, 26.0e9)
SECTION = rectangle(0.012, 0.006)
AXIAL, RADIAL, TILT = 3.0e6, 6.0e6, 300.0
JOINT_RADIUS, TIP_RADIUS = 0.15, 0.12
#: What the straight-segment model may differ, max |dC_ij|/sqrt(C_ii C_jj).
STRAIGHT_TOLERANCE = 1.0e-3
#: Lower triangle of an element's 4 x 4 blocks (u and phi of both ends).
BLOCKS = [(row, column) for row in range(4) for column in range(row + 1)]


def oracle_compliance():
    """The same configuration by the independent geometry and the straight frame, extrapolated."""
    from frame_model import JointStiffness, extrapolated, frame_of
    from linkage_geometry import ScissorLinkage
    from own_frame import tip_compliance_by_own_frame

    linkage = ScissorLinkage([ARC] * STAGES, [ARC] * STAGES, [0.0] * (STAGES - 1)).configuration(
        SWING, OPENING
    )
    joints = JointStiffness(AXIAL, RADIAL, TILT)
    return extrapolated(
        tip_compliance_by_own_frame,
        lambda n: frame_of(linkage, MATERIAL, SECTION, joints, JOINT_RADIUS, TIP_RADIUS, n),
    )


def arc_stiffness(arc):
    """12x12 stiffness of a circular arc, frame (r, t, z) of its end; exact.

    End flexibility by Gauss quadrature of the unit-load integrals, then equilibrium.
    """
    material, section, radius = MATERIAL, SECTION, JOINT_RADIUS
    shear = material.shear_modulus * section.shear_factor * section.area
    local = np.diag(
        1.0
        / np.array(
            [
                shear,
                material.youngs_modulus * section.area,
                shear,
                material.youngs_modulus * section.out_of_plane,
                material.shear_modulus * section.torsion,
                material.youngs_modulus * section.in_plane,
            ]
        )
    )
    end = np.array([radius, 0.0, 0.0])
    flexibility = np.zeros((6, 6))
    for point, weight in zip(*np.polynomial.legendre.leggauss(16)):
        back = 0.5 * arc * (1.0 + point)
        axes = np.array([[cos(back), -sin(back), 0.0], [sin(back), cos(back), 0.0], [0.0, 0.0, 1.0]])
        resultants = np.kron(np.eye(2), axes) @ transfer(end - radius * axes[0]).T
        flexibility += 0.5 * arc * radius * weight * resultants.T @ local @ resultants
    start = radius * np.array([cos(arc), -sin(arc), 0.0])
    relative = np.hstack([-transfer(end - start), np.eye(6)])
    return relative.T @ np.linalg.inv(flexibility) @ relative


def straight_stiffness(arc, members):
    """12x12 stiffness of one of `members` chords of an arc, frame (r, t, z) of its middle."""
    half = 0.5 * arc / members
    ends = (JOINT_RADIUS * np.array([cos(half), side * sin(half), 0.0]) for side in (-1.0, 1.0))
    return member_stiffness(*ends, MATERIAL, SECTION)


@dataclass
class Topology:
    """Points (base, then left, right and apex per stage); nodes, arcs and joints on them.

    `nodes` are (point, place) with a place that sorts them from the base outwards; `arcs`
    are (start node, end node, arc angle) and `joints` (node or None for the ground, node).
    """

    nodes: list
    arcs: list
    joints: list


def topology():
    """Nodes, arcs and joints of the scissor linkage; the tool's node (left) sorts last."""
    nodes, arcs, joints = [], [], []

    def add(point, *place):
        nodes.append((point, place))
        return len(nodes) - 1

    ends = {}
    for side in (0, 1):
        base = add(0, 0.0, side)
        joints.append((None, base))
        ends[side] = add(1 + side, 1.0, side)
        arcs.append((base, ends[side], ARC))
    for stage in range(STAGES):
        left_first, at_apex, arriving = stage % 2, [], {}
        for side in (0, 1):
            order = side ^ left_first
            leaving = add(1 + 3 * stage + side, 2.0 * stage + 1.0, 2 + order)
            joints.append((ends[side], leaving))
            # in the last stage the left bar, which carries the tool, is numbered last
            place = (2.0 * stage + 2.0, order if stage < STAGES - 1 else 1 - side)
            at_apex.append(add(3 + 3 * stage, *place))
            arcs.append((leaving, at_apex[side], ARC))
            if stage < STAGES - 1:
                other = 1 - side
                arriving[other] = add(4 + 3 * stage + other, 2.0 * stage + 3.0, order)
                arcs.append((at_apex[side], arriving[other], ARC))
        joints.append(tuple(at_apex))
        ends = arriving
    return Topology(nodes, arcs, joints)


def kinematics(swing, opening):
    """Directions of all points (base, then left, right, apex per stage) and the tool's frame."""
    directions = [(0.0, 0.0, 1.0)]
    half, polar = 0.5 * opening, 0.0
    sin_arc, cos_arc = sin(ARC), cos(ARC)
    for _ in range(STAGES):
        offset = sin_arc * sin(half)
        across = sqrt(1.0 - offset * offset)
        middle = polar + atan2(sin_arc * cos(half), cos_arc)
        second = acos(cos_arc / across)
        x, z = across * sin(middle), across * cos(middle)
        polar = middle + second
        directions += ((x, offset, z), (x, -offset, z), (sin(polar), 0.0, cos(polar)))
        half = atan2(offset / across, sin(second))
    cos_swing, sin_swing = cos(swing), sin(swing)
    turned = np.array([[cos_swing, sin_swing, 0.0], [-sin_swing, cos_swing, 0.0], [0.0, 0.0, 1.0]])
    local = np.array([[cos(polar), 0.0, -sin(polar)], [0.0, 1.0, 0.0], [sin(polar), 0.0, cos(polar)]])
    return np.array(directions) @ turned, local @ turned


class Model:
    """One model (exact arcs if `members` is 0, else chords), prepared for one solver."""

    def __init__(self, solver, members=0):
        self.solver = solver
        self._lay_out(members)
        self._number()
        self._prepare_scatter()
        self.tip_arm = transfer(np.array([0.0, 0.0, TIP_RADIUS - JOINT_RADIUS]))

    def _lay_out(self, members):
        """Elements, their constant matrices, and where their axes come from."""
        plan = topology()
        places, self.elements = [place for _, place in plan.nodes], []
        shape = max(members, 1)
        for start, end, _ in plan.arcs:
            first, last = places[start], places[end]
            chain = [start]
            for k in range(1, shape):
                # the two sides by turns; an arc runs from one whole place to the next
                side = first[1] % 2
                places.append((first[0] + (last[0] - first[0]) * k / shape, side))
                chain.append(len(places) - 1)
            chain.append(end)
            self.elements += zip(chain[:-1], chain[1:])
        self.joints, self.places = plan.joints, places
        self.joint_points = [plan.nodes[second][0] for _, second in plan.joints]
        ends = np.array([[plan.nodes[start][0], plan.nodes[end][0]] for start, end, _ in plan.arcs])
        arcs = np.array([arc for _, _, arc in plan.arcs])
        self.arc_ends = ends.ravel()
        # r and t of each element are constant combinations of the ends of its arc
        angles = arcs[:, None] * ((np.arange(shape) + 0.5) / shape if members else 1.0)
        rest = arcs[:, None] - angles
        radial, tangent = [np.sin(rest), np.sin(angles)], [-np.cos(rest), np.cos(angles)]
        self.weights = np.stack([*radial, *tangent], axis=2) / np.sin(arcs)[:, None, None]
        self.weights = self.weights.reshape(len(arcs), 2 * shape, 2)
        # z = start x end / sin(arc), gathered component by component
        following, preceding = np.array([1, 2, 0]), np.array([2, 0, 1])
        self.cross = [
            3 * ends[:, [end]] + order
            for end, order in ((0, following), (1, preceding), (0, preceding), (1, following))
        ]
        self.over_sine = 1.0 / np.sin(arcs)[:, None]
        self.shape = (len(arcs), shape)
        matrices = [straight_stiffness(arc, members) if members else arc_stiffness(arc) for arc in arcs]
        blocks = [[m[3 * i : 3 * i + 3, 3 * j : 3 * j + 3].ravel() for i, j in BLOCKS] for m in matrices]
        self.local_blocks = np.repeat(np.array(blocks), shape, axis=0)

    def _number(self):
        """Unknown of each degree of freedom, -1 for the rotations locked by the drives."""
        grounded = {second for first, second in self.joints if first is None}
        self.unknown_of = np.full((len(self.places), 6), -1)
        count = 0
        for node in sorted(range(len(self.places)), key=lambda index: self.places[index]):
            free = 5 if node in grounded else 6  # rotation about the base axis is held
            self.unknown_of[node, :free] = np.arange(count, count + free)
            count += free
        self.unknowns = count
        self.tool_node = max(range(len(self.places)), key=lambda index: self.places[index])
        assert self.unknown_of[self.tool_node, -1] == count - 1

    def _prepare_scatter(self):
        """Sparse map from (element blocks, u u^T of the points) to the solver's storage."""
        rows, columns, sources, factors = [], [], [], []

        def entry(row, column, source, factor):
            if row >= 0 and column >= 0:
                rows.append(max(row, column))
                columns.append(min(row, column))
                sources.append(source)
                factors.append(factor)

        for element, ends in enumerate(self.elements):
            for number, (i, j) in enumerate(BLOCKS):
                for a in range(3):
                    for b in range(a + 1 if i == j else 3):
                        row = self.unknown_of[ends[i // 2], 3 * (i % 2) + a]
                        column = self.unknown_of[ends[j // 2], 3 * (j % 2) + b]
                        entry(row, column, 90 * element + 9 * number + 3 * a + b, 1.0)
        points = 90 * len(self.elements)
        one = points + 9 * (1 + 3 * STAGES)
        for (first, second), point in zip(self.joints, self.joint_points):
            ends = [second] if first is None else [first, second]
            for p, row_node in enumerate(ends):
                for q in range(p + 1):
                    sign = 1.0 if p == q else -1.0
                    for a, b in np.ndindex(3, 3):
                        if p == q and b > a:
                            continue
                        for block, along, across in ((0, AXIAL, RADIAL), (3, 0.0, TILT)):
                            row, column = (
                                self.unknown_of[row_node, block + a],
                                self.unknown_of[ends[q], block + b],
                            )
                            entry(row, column, points + 9 * point + 3 * a + b, sign * (along - across))
                            if a == b:
                                entry(row, column, one, sign * across)
        rows, columns = np.array(rows), np.array(columns)
        self.bandwidth = int((rows - columns).max())
        # where the last 6x6 of the banded factor lies: (row + 6 column, place in the band)
        row, column = np.tril_indices(6)
        self.last_block = (
            row + 6 * column,
            (self.unknowns - 6 + column) * (self.bandwidth + 1) + row - column,
        )
        slots = self._storage(rows, columns)
        scatter = sparse.csr_matrix((factors, (slots, sources)), shape=(self.slots, one + 1))
        self.scatter, self.constant = scatter[:, :one].tocsr(), scatter[:, [one]].toarray().ravel()

    def _storage(self, rows, columns):
        """Slot of each lower-triangle entry in the memory of the solver's matrix."""
        if "banded" in self.solver:
            self.slots = (self.bandwidth + 1) * self.unknowns
            return columns * (self.bandwidth + 1) + rows - columns
        if self.solver == "dense cho_solve":
            self.slots = self.unknowns**2
            return columns * self.unknowns + rows
        pattern = sparse.csc_matrix(
            (np.ones(len(rows)), (rows, columns)), shape=(self.unknowns, self.unknowns)
        )
        whole = (pattern + pattern.T).tocsc()
        whole.sort_indices()
        self.pattern = whole
        positions = sparse.csc_matrix(
            (np.arange(1, whole.nnz + 1), whole.indices, whole.indptr), shape=whole.shape
        )
        lower = sparse.tril(positions).tocoo()
        slot_of = {(row, column): at for at, (row, column) in enumerate(zip(lower.row, lower.col))}
        # both triangles are filled from the lower one
        mirrored = positions.tocoo()
        self.fill = np.empty(whole.nnz, dtype=int)
        for row, column, position in zip(mirrored.row, mirrored.col, mirrored.data):
            self.fill[position - 1] = slot_of[(max(row, column), min(row, column))]
        self.slots = lower.nnz
        return np.array([slot_of[pair] for pair in zip(rows.tolist(), columns.tolist())])

    def stiffness(self, directions):
        """Stiffness in the solver's storage (flat), from the directions of all points."""
        ends = directions.take(self.arc_ends, axis=0).reshape(-1, 2, 3)
        first, second, third, fourth = (directions.take(index) for index in self.cross)
        axes = np.empty((*self.shape, 3, 3))  # rows r, t, z of each element
        axes[:, :, :2] = (self.weights @ ends).reshape(*self.shape, 2, 3)
        axes[:, :, 2] = ((first * second - third * fourth) * self.over_sine)[:, None]
        axes = axes.reshape(-1, 3, 3)
        turning = (axes[:, :, None, :, None] * axes[:, None, :, None, :]).reshape(-1, 9, 9)
        blocks = self.local_blocks @ turning
        outer = directions[:, :, None] * directions[:, None, :]
        return self.scatter @ np.concatenate([blocks.ravel(), outer.ravel()]) + self.constant

    def compliance(self, swing, opening):
        """6x6 compliance at the tip, rows (u, phi), columns (F, M), local frame, SI."""
        directions, frame = kinematics(swing, opening)
        flat = self.stiffness(directions)
        to_tip = np.zeros((6, 6))
        to_tip[:3, :3] = to_tip[3:, 3:] = frame
        to_tip = self.tip_arm @ to_tip
        return getattr(self, SOLVERS[self.solver])(flat, to_tip)

    def _banded_cholesky(self, flat, to_tip):
        band = flat.reshape(self.unknowns, self.bandwidth + 1).T
        factor, info = dpbtrf(band, lower=1, overwrite_ab=1)
        if info:
            raise np.linalg.LinAlgError("stiffness is not positive definite")
        last = np.zeros(36)
        last[self.last_block[0]] = factor.T.ravel().take(self.last_block[1])
        half, _ = dtrtrs(last.reshape(6, 6).T, to_tip.T, lower=1)
        return half.T @ half

    def _tip_loads(self, to_tip):
        loads = np.zeros((self.unknowns, 6))
        loads[-6:] = to_tip.T
        return loads

    def _solveh_banded(self, flat, to_tip):
        band = flat.reshape(self.unknowns, self.bandwidth + 1).T
        solved = solveh_banded(
            band, self._tip_loads(to_tip), overwrite_ab=True, overwrite_b=True, lower=True, check_finite=False
        )
        return to_tip @ solved[-6:]

    def _dense_cho_solve(self, flat, to_tip):
        full = flat.reshape(self.unknowns, self.unknowns).T
        factor = cho_factor(full, lower=True, overwrite_a=True, check_finite=False)
        return to_tip @ cho_solve(factor, self._tip_loads(to_tip), overwrite_b=True, check_finite=False)[-6:]

    def _splu(self, flat, to_tip):
        self.pattern.data = flat[self.fill]
        factor = splu(
            self.pattern, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
        return to_tip @ factor.solve(self._tip_loads(to_tip))[-6:]


#: What each solver is called in the output, and the method that runs it.
SOLVERS = {
    "banded Cholesky, last block": "_banded_cholesky",
    "solveh_banded": "_solveh_banded",
    "dense cho_solve": "_dense_cho_solve",
    "splu": "_splu",
}
FIRST = "banded Cholesky, last block"
#: A dense factor of the straight model would only lose time.
STRAIGHT_SOLVERS = [solver for solver in SOLVERS if "dense" not in solver]


def difference(first, second):
    """max |dC_ij| / sqrt(C_ii C_jj)."""
    scale = np.sqrt(np.diag(second))
    return float(np.max(np.abs(first - second) / np.outer(scale, scale)))


def same_unknowns_compliances():
    """Tip compliance of the exact-arc model by every solver."""
    return {solver: Model(solver).compliance(SWING, OPENING) for solver in SOLVERS}


def members_needed():
    """Least number of chords per arc that agrees with the exact arcs to STRAIGHT_TOLERANCE."""
    reference = Model(FIRST).compliance(SWING, OPENING)
    members = 1
    while difference(Model(FIRST, members).compliance(SWING, OPENING), reference) > STRAIGHT_TOLERANCE:
        members += 1
    return members


def straight_segment_compliances():
    """Tip compliance of the straight-segment model by every solver."""
    members = members_needed()
    return {solver: Model(solver, members).compliance(SWING, OPENING) for solver in STRAIGHT_SOLVERS}


def best_microseconds(model, calls=20, repeats=300):
    """Least mean time of `calls` configurations over `repeats` repeats, us."""
    timer = timeit.Timer(lambda: model.compliance(SWING, OPENING))
    timer.timeit(calls)
    return min(timer.repeat(repeats, calls)) / calls * 1e6


def main():
    """Times every solver on both models and prints the best of each as JSON."""
    reference = Model(FIRST).compliance(SWING, OPENING)
    members = members_needed()
    same = {solver: best_microseconds(Model(solver)) for solver in SOLVERS}
    straight = {solver: best_microseconds(Model(solver, members), 5, 200) for solver in STRAIGHT_SOLVERS}
    best, best_straight = min(same, key=same.get), min(straight, key=straight.get)
    model, straight_model = Model(best), Model(best_straight, members)
    print(
        json.dumps(
            {
                "same_unknowns_us": round(same[best], 2),
                "straight_segment_us": round(straight[best_straight], 2),
                "unknowns": model.unknowns,
                "solver": best,
                "half_bandwidth": model.bandwidth,
                "straight_segment_members_per_arc": members,
                "straight_segment_unknowns": straight_model.unknowns,
                "straight_segment_solver": best_straight,
                "straight_segment_difference": difference(
                    straight_model.compliance(SWING, OPENING), reference
                ),
                "all_same_unknowns_us": {solver: round(time, 2) for solver, time in same.items()},
                "all_straight_segment_us": {solver: round(time, 2) for solver, time in straight.items()},
            }
        )
    )


if __name__ == "__main__":
    main()
