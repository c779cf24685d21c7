"""Reference values of assembled arcs, worked out here: exact arcs, a straight frame, virtual joints.

Each entry of `values()` is a row of `calotte verify` by its id, in the row's unit. Geometry by
turning vectors (`linkage_geometry`), end compliances of arcs by quadrature (`derived_beams`),
assembly with numpy and scipy alone (`own_frame`). Fine frames of straight members, and a
library of frames, are held to the same values by `test_frame.py`.
"""

from __future__ import annotations

from math import radians, sin

import numpy as np
from scipy.linalg import null_space

from bar_section import Material, Section, rectangle
from derived_beams import by_poisson, end_compliance, flexibility_of
from derived_sphere import BENT
from frame_model import RIGID, JointStiffness, frame_of
from linkage_geometry import ScissorLinkage, TwoArcArm, angle_between, local_frame, unit
from own_frame import Scatter, member_stiffness, node_maps, transfer

ALUMINIUM = Material(68.9e9, 26.0e9)
BAR = rectangle(0.012, 0.006)
RADIUS = 0.15
REAL = JointStiffness(axial=3.0e6, radial=6.0e6, tilt=300.0)
#: Stages, arc and first half-angle, degrees.
SCISSORS = {2: (23.5, 50.0), 3: (47.0 / 3.0, 50.0), 4: (11.75, 30.0)}
FOUR = {"polar": (0, 0), "azimuth": (1, 1), "radial": (2, 2), "polar-radial": (0, 2)}


def values():
    """All rows of this file."""
    parts = (straight_frame, rhombi, serial_arm, scissors, least_stiffness, near_coincidence, virtual_joints)
    return {name: float(value) for part in parts for name, value in part().items()}


# ----------------------------------------------------------------------------- exact arcs


def local_compliance(arc, material, section):
    """End compliance of an arc of the joints' sphere, frame (r, t, z) of its end."""
    return end_compliance(RADIUS, arc, flexibility_of(RADIUS, material, section))


def arc_axes(start, end):
    """Rows r, t, z at the end of an arc."""
    normal = unit(np.cross(start, end))
    return np.array([end, np.cross(normal, end), normal])


def exact_compliance(linkage, joints, base=None, material=ALUMINIUM, section=BAR):
    """6 x 6 at the tip, rows (u, phi), local frame, every arc one exact element."""
    frame = frame_of(linkage, material, section, joints, RADIUS, RADIUS, 1, base_stiffness=base)
    maps, springs, size = node_maps(frame)
    count = 6 * len(frame.nodes)
    motion, bars, at_joints = Scatter(count, size), Scatter(count, count), Scatter(size, size)
    for node, parts in maps.items():
        for at, part in parts:
            motion.add(6 * node, at, part)
    for first, second in frame.members:
        start, end = frame.nodes[first], frame.nodes[second]
        compliance = local_compliance(angle_between(start, end), material, section)
        axes = np.kron(np.eye(2), arc_axes(unit(start), unit(end)))
        relative = np.hstack([-transfer(end - start), np.eye(6)])
        block = relative.T @ axes.T @ np.linalg.inv(compliance) @ axes @ relative
        for i, row in enumerate((first, second)):
            for j, column in enumerate((first, second)):
                bars.add(6 * row, 6 * column, block[6 * i : 6 * i + 6, 6 * j : 6 * j + 6])
    for at, block in springs:
        at_joints.add(at, at, block)
    motion = motion.matrix().toarray()
    stiffness = motion.T @ bars.matrix().toarray() @ motion + at_joints.matrix().toarray()
    node = frame.tool_node
    tip = np.kron(np.eye(2), frame.tip_frame) @ transfer(frame.tip - frame.nodes[node])
    tip = tip @ motion[6 * node : 6 * node + 6]
    return tip @ np.linalg.solve(stiffness, tip.T)


def even_scissor(stages, arc, half_angle):
    """Equal arcs without bends, degrees."""
    geometry = ScissorLinkage([radians(arc)] * stages, [radians(arc)] * stages, [0.0] * (stages - 1))
    return geometry.configuration(0.3, 2.0 * radians(half_angle))


def rhombi():
    material, section = by_poisson(68.9e9, 0.33), rectangle(0.020, 0.008)
    pairs = {"rr": (2, 2), "rt": (2, 0), "tt": (0, 0), "nn": (1, 1), "rn": (2, 1), "tn": (0, 1)}
    found = {}
    springs = JointStiffness(axial=2e7, radial=2e7, tilt=5e3)
    for name, angle, joints in (("60", 60.0, RIGID), ("90", 90.0, RIGID), ("springs", 60.0, springs)):
        linkage = even_scissor(1, 30.0, 0.5 * angle)
        compliance = 1e3 * exact_compliance(linkage, joints, RIGID, material, section)
        wanted = pairs if name == "springs" else list(pairs)[:4]
        found |= {f"B2-{name}-{pair}": compliance[pairs[pair]] for pair in wanted}
    return found


def serial_arm():
    """Sum over the chain of J C J^T: nothing is assembled."""
    linkage = TwoArcArm([radians(70.0), radians(55.0)]).configuration(0.4, radians(90.0))
    material, section = by_poisson(68.9e9, 0.33), rectangle(0.020, 0.008)
    tip = RADIUS * linkage.tool_direction
    to_local = np.kron(np.eye(2), local_frame(linkage.tool_direction))
    total = np.zeros((6, 6))
    for arc in linkage.arcs:
        start, end = linkage.stations[arc.start].direction, linkage.stations[arc.end].direction
        axes = np.kron(np.eye(2), arc_axes(start, end))
        carried = to_local @ transfer(tip - RADIUS * end) @ axes.T
        total += carried @ local_compliance(linkage.arc_length(arc), material, section) @ carried.T
    names = {**FOUR, "polar-azimuth": (0, 1), "azimuth-radial": (1, 2)}
    return {f"T04-{name}": 1e6 * total[place] for name, place in names.items()}


def scissors():
    found = {}
    for stages, (arc, half_angle) in SCISSORS.items():
        compliance = 1e6 * exact_compliance(even_scissor(stages, arc, half_angle), RIGID)
        found |= {f"F01-{stages}-{name}": compliance[place] for name, place in FOUR.items()}
    return found | centre_shift()


def centre_shift():
    """How far the tool's line passes the centre by a unit force at the tip, two stages.

    With the tip's displacement u and rotation phi at a radius r along the tool: the point of
    the line at the centre moves by u - phi x r; across the line (u_p - r phi_a, u_a + r phi_p).
    """
    compliance = 1e6 * exact_compliance(even_scissor(2, *SCISSORS[2]), RIGID)
    by_force = compliance[:, :3]
    shift = np.array([by_force[0] - RADIUS * by_force[4], by_force[1] + RADIUS * by_force[3]])
    return {
        "F05-1": shift[0, 0],
        "F05-2": shift[1, 1],
        "F05-3": shift[0, 2],
        "F05-worst": np.linalg.norm(shift, 2),
    }


def least_stiffness():
    found = {}
    for polar in (30, 60, 80):
        for name, joints in (("rigid", RIGID), ("joints", REAL)):
            for stages in range(1, 7):
                arc = 47.0 / stages
                cosine = np.tan(radians(polar) / (2 * stages)) / np.tan(radians(arc))
                linkage = even_scissor(stages, arc, np.degrees(np.arccos(cosine)))
                compliance = exact_compliance(linkage, joints)
                least = 1e-3 / np.linalg.eigvalsh(compliance[:3, :3])[-1]
                found[f"F02-{polar}-{name}-{stages}"] = least
    return found


def near_coincidence():
    found = {}
    for half_angle in (20, 1):
        linkage = ScissorLinkage(*BENT.parts).configuration(0.3, 2.0 * radians(half_angle))
        found[f"F04-{half_angle}"] = 1e-3 / exact_compliance(linkage, RIGID)[1, 1]
    return found


# ------------------------------------------------------------------------- straight members


def straight_frame():
    """Three members from fixed nodes to one free node, a force there."""
    supports = np.array([[3.0, 0.0, 0.0], [0.0, 0.0, -3.0], [0.0, -4.0, 0.0]])
    material = Material(210e9, 84e9)
    # Bending alone: shear as good as rigid.
    section = Section(area=0.02, in_plane=2e-4, out_of_plane=1e-4, torsion=5e-5, shear_factor=1e12)
    blocks = []
    for support in supports:
        along = -unit(support)
        strong = np.array([1.0, 0.0, 0.0] if support[2] else [0.0, 0.0, 1.0])
        beside = np.cross(along, strong)
        blocks.append(member_stiffness(support, np.zeros(3), material, section, beside))
    load = np.array([-10e3, 0.0, 20e3, 0.0, 0.0, 0.0])
    moved = np.linalg.solve(sum(block[6:, 6:] for block in blocks), load)
    found = {}
    for way in ("arcs", "columns"):
        for name, value in zip(("x", "y", "z", "rx", "ry", "rz"), moved, strict=True):
            found[f"T01-{way}-{name}"] = value
    for number, block in enumerate(blocks, start=1):
        force = 1e-3 * (block[:6, 6:] @ moved)[:3]
        found |= {f"T02-{number}-{axis}": value for axis, value in zip("xyz", force, strict=True)}
    return found


# --------------------------------------------------------------------------- virtual joints


def hinge(point, axis):
    """Twist at the centre, linear then angular, of a turn about an axis through a point."""
    return np.concatenate([np.cross(point, axis), axis])


def mid_arc(start, end):
    """Three springs in the middle: columns and compliances."""
    middle = unit(start + end)
    normal = unit(np.cross(start, end))
    length = RADIUS * angle_between(start, end)
    bends = (
        (normal, ALUMINIUM.youngs_modulus * BAR.in_plane),
        (middle, ALUMINIUM.youngs_modulus * BAR.out_of_plane),
        (np.cross(normal, middle), ALUMINIUM.shear_modulus * BAR.torsion),
    )
    columns = np.array([hinge(RADIUS * middle, axis) for axis, _ in bends]).T
    return columns, np.diag([length / stiffness for _, stiffness in bends])


def one_at_start(start, end):
    """One spring where the arc leaves its inner joint, as soft as bending in the arc's plane."""
    arc, normal = angle_between(start, end), unit(np.cross(start, end))
    bend = ALUMINIUM.youngs_modulus * BAR.in_plane
    # Radial deflection of the clamped arc under a radial unit force, over its lever squared.
    radial = RADIUS**3 * (2.0 * arc - sin(2.0 * arc)) / (4.0 * bend)
    return hinge(RADIUS * start, normal)[:, None], np.array([[radial / (RADIUS * sin(arc)) ** 2]])


def full_at_end(start, end):
    """The arc's exact end compliance as a spring at its end."""
    axes = np.kron(np.eye(2), arc_axes(start, end))
    columns = transfer(-RADIUS * end) @ axes.T
    return columns, local_compliance(angle_between(start, end), ALUMINIUM, BAR)


def by_virtual_joints(linkage, springs_of):
    """Tip compliance, local frame: rigid arcs, springs in each, loops closed in space.

    Unknowns are motions of springs and of joints that are free to turn; a loop's twists add up
    to nothing. Of the motions that are left, the tip takes the one of least energy.
    """
    edges, compliances = [], []
    width = 0

    def edge(first, second, columns, compliance):
        nonlocal width
        edges.append((first, second, width, columns))
        compliances.append(compliance)
        width += columns.shape[1]

    for arc in linkage.arcs:
        ends = [linkage.stations[number].direction for number in (arc.start, arc.end)]
        edge(arc.start, arc.end, *springs_of(*ends))
    for joint in linkage.joints:
        turning = np.zeros((6, 0)) if joint.driven else hinge(np.zeros(3), joint.axis)[:, None]
        edge(-1 if joint.first is None else joint.first, joint.second, turning, None)
    # Twist of each station as a matrix over the unknowns; a second way there closes a loop.
    twist, loops, waiting = {-1: np.zeros((6, width))}, [], list(edges)
    while waiting:
        first, second, at, columns = waiting.pop(0)
        step = np.zeros((6, width))
        step[:, at : at + columns.shape[1]] = columns
        if first in twist and second in twist:
            loops.append(twist[first] + step - twist[second])
        elif first in twist:
            twist[second] = twist[first] + step
        elif second in twist:
            twist[first] = twist[second] - step
        else:
            waiting.append((first, second, at, columns))
    # Unknowns over the root of their compliance, so that all are alike in energy.
    scale, stiff = np.eye(width), np.zeros(width)
    for (_, _, at, columns), compliance in zip(edges, compliances, strict=True):
        if compliance is not None:
            end = at + columns.shape[1]
            scale[at:end, at:end] = np.linalg.cholesky(compliance)
            stiff[at:end] = 1.0
    lengths = np.tile([1.0 / RADIUS] * 3 + [1.0] * 3, len(loops))
    closure = lengths[:, None] * (np.vstack(loops) @ scale)
    norms = np.linalg.norm(closure, axis=0)
    free = null_space(closure / norms, rcond=1e-10) / norms[:, None]
    tip = np.kron(np.eye(2), local_frame(linkage.tool_direction))
    tip = tip @ transfer(RADIUS * linkage.tool_direction) @ twist[linkage.tool_station] @ scale @ free
    energy = free.T @ (stiff[:, None] * free)
    return tip @ np.linalg.solve(energy, tip.T)


def virtual_joints():
    found = {}
    linkage = even_scissor(2, 23.5, 50.0)
    for name, springs in (("V01", mid_arc), ("V02", one_at_start)):
        compliance = 1e6 * by_virtual_joints(linkage, springs)
        found |= {f"{name}-{entry}": compliance[place] for entry, place in FOUR.items()}
    for stages, (arc, half_angle) in SCISSORS.items():
        linkage = even_scissor(stages, arc, half_angle)
        compliance, exact = by_virtual_joints(linkage, full_at_end), exact_compliance(linkage, RIGID)
        found |= {f"V03-{stages}-{entry}": 1e6 * compliance[place] for entry, place in FOUR.items()}
        scale = 1.0 / np.sqrt(np.diag(exact))
        apart = np.max(np.abs(scale[:, None] * (compliance - exact) * scale))
        assert apart < 1e-8, "springs at the arcs' ends and the assembly of arcs agree"
    return found
