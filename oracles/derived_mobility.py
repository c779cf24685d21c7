"""Reference values of mobility, worked out here: counts, and ranks of closed loops.

Each entry of `values()` is a row of `calotte verify` by its id.
"""

from __future__ import annotations

from math import pi, radians

import numpy as np

from linkage_geometry import BASE_AXIS, ScissorLinkage


def values():
    """All rows of this file."""
    return {name: float(value) for name, value in (counts() | ranks()).items()}


#: Bodies with the ground, and joints.
LINKAGES = {
    "K01": (4, 4),
    "K02": (5, 5),
    "K03": (3, 2),
    "K04": (8, 9),
    **{f"K05-{m}": (2 * m + 2, 3 * m + 1) for m in (1, 2, 3, 5)},
    **{f"K06-{m}": (2 * m + 3, 3 * m + 2) for m in (1, 2, 3, 5)},
    **{f"K08-{m}": (2 * m + 3, 3 * m + 2) for m in (1, 2, 3, 5)},
}


def counts():
    """Three freedoms a body on the sphere, six in space; a joint leaves one."""
    found = {}
    for name, (bodies, joints) in LINKAGES.items():
        # Without ground one body is taken as fixed.
        found |= counted(name, 3 * (bodies - 1) - 2 * joints, 6 * (bodies - 1) - 5 * joints)
    for pairs in (2, 3):
        # Open at both ends, 2q bodies and 3q - 2 joints.
        bodies, joints = 2 * pairs, 3 * pairs - 2
        found |= counted(f"K07-{pairs}", 3 * (bodies - 1) - 2 * joints, 6 * (bodies - 1) - 5 * joints)
    return found


def counted(name, on_sphere, in_space):
    return {
        f"{name}-rank": on_sphere,
        f"{name}-count": on_sphere,
        f"{name}-space": in_space,
        f"{name}-redundant": on_sphere - in_space,
    }


def ranks():
    found = {}
    for stages in (1, 2, 3, 5):
        for side, angle in ((10.0, 60.0), (12.0, 80.0)):
            found[f"K10-{stages}-{side:g}"] = loop_rank(stages, radians(side), radians(angle))
    return found


def loop_rank(stages, side, angle):
    """Rank of the loops of a row of rhombi whose first bars are pivoted on each other.

    Joint rates w_j about axes a_j, from body to body: around every loop they add up to no
    rotation, three rows each. Loops are those that a spanning tree leaves open.
    """
    linkage = ScissorLinkage([side] * stages, [side] * stages, [0.0] * (stages - 1)).configuration(0.3, angle)
    body = [station.body for station in linkage.stations]
    joints = [
        (body[joint.first], body[joint.second], joint.axis)
        for joint in linkage.joints
        if joint.first is not None
    ]
    joints.append(("base bar left", "base bar right", BASE_AXIS))
    path = {joints[0][0]: {}}
    waiting, chords = list(enumerate(joints)), []
    while waiting:
        number, (first, second, axis) = waiting.pop(0)
        if first in path and second in path:
            chords.append((number, first, second, axis))
        elif first in path:
            path[second] = path[first] | {number: axis}
        elif second in path:
            path[first] = path[second] | {number: -axis}
        else:
            waiting.append((number, (first, second, axis)))
    rows = np.zeros((3 * len(chords), len(joints)))
    for loop, (number, first, second, axis) in enumerate(chords):
        block = rows[3 * loop : 3 * loop + 3]
        block[:, number] += axis
        for sign, ends in ((1.0, first), (-1.0, second)):
            for along, direction in path[ends].items():
                block[:, along] += sign * direction
    return int(np.linalg.matrix_rank(rows, tol=1e-9 * pi))
