"""Reference values of sections and single arcs, worked out here by quadrature and series.

Each entry of `values()` is a row of `calotte verify` by its id, in the row's unit. Arcs by the
unit-load integrals of a curved beam (Castigliano), torsion by Saint-Venant's series.
"""

from __future__ import annotations

from math import cosh, log, pi, radians, sin, tanh

import numpy as np

from bar_section import Material, rectangle, rod, tube

#: r radial, t along the arc away from the clamp, z normal to its plane; rotations about them.
ENTRIES = {
    "rr": (0, 0),
    "rt": (0, 1),
    "tt": (1, 1),
    "r-Rz": (0, 5),
    "t-Rz": (1, 5),
    "Rz-Rz": (5, 5),
    "zz": (2, 2),
    "z-Rr": (2, 3),
    "z-Rt": (2, 4),
    "Rr-Rr": (3, 3),
    "Rr-Rt": (3, 4),
    "Rt-Rt": (4, 4),
}


def values():
    """All rows of this file."""
    parts = (torsion, arcs, thick_arc, own_weight, quarter_circle, curved_beam, quarter_bars, ring)
    parts += (stress_factors,)
    return {name: float(value) for part in parts for name, value in part().items()}


def flexibility_of(radius, material, section, depth=None):
    """6 x 6 of a section per angle, strains (r, t, z; about r, t, z) from forces and moments.

    With `depth` the bar is thick in its plane (Winkler and Bach): with N the axial force and M
    the moment about z, which puts the outer fibre in tension, the energy per angle is
    N^2 R/2EA + M N/EA + M^2/2EAe.
    """
    axial = material.youngs_modulus * section.area
    shear = material.shear_modulus * section.shear_factor * section.area
    matrix = np.diag(
        [
            radius / shear,
            radius / axial,
            radius / shear,
            radius / (material.youngs_modulus * section.out_of_plane),
            radius / (material.shear_modulus * section.torsion),
            radius / (material.youngs_modulus * section.in_plane),
        ]
    )
    if depth is not None:
        matrix[5, 5] = 1.0 / (axial * neutral_shift(radius, depth))
        matrix[1, 5] = matrix[5, 1] = 1.0 / axial
    return matrix


def neutral_shift(radius, depth):
    """Centroid less neutral line of a rectangle bent in its plane, R - h/ln(ro/ri)."""
    return radius - depth / log((radius + 0.5 * depth) / (radius - 0.5 * depth))


def end_compliance(radius, arc, flexibility):
    """6 x 6 at the free end of an arc clamped at the other, frame (r, t, z) of the end."""
    total = np.zeros((6, 6))
    for place, weight in zip(*np.polynomial.legendre.leggauss(48), strict=True):
        back = 0.5 * arc * (1.0 + place)
        # The section's axes in those of the end, and the way from the section to the end.
        r = np.array([np.cos(back), -np.sin(back), 0.0])
        axes = np.array([r, [np.sin(back), np.cos(back), 0.0], [0.0, 0.0, 1.0]])
        x, y, z = radius * (np.array([1.0, 0.0, 0.0]) - r)
        arm = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
        carried = np.block([[axes, np.zeros((3, 3))], [axes @ arm, axes]])
        total += 0.5 * arc * weight * carried.T @ flexibility @ carried
    return total


def by_poisson(modulus, ratio):
    return Material(modulus, modulus / (2.0 * (1.0 + ratio)))


# --------------------------------------------------------------------------------- sections


def torsion_factor(ratio):
    """J/(a b^3) of a rectangle of side ratio a/b."""
    series = sum(tanh(n * pi * ratio / 2.0) / n**5 for n in range(1, 2001, 2))
    return (1.0 - 192.0 / pi**5 / ratio * series) / 3.0


def stress_factor(ratio):
    """T/(tau a b^2) at the middle of the long side."""
    # cosh of a large number would overflow; such terms are nothing.
    terms = ((n, n * pi * ratio / 2.0) for n in range(1, 2001, 2))
    series = sum(1.0 / (n * n * cosh(x)) for n, x in terms if x < 700.0)
    return torsion_factor(ratio) / (1.0 - 8.0 / pi**2 * series)


def torsion():
    ratios = (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 20, 100)
    found = {f"C09-{ratio}": torsion_factor(ratio) for ratio in ratios}
    return found | {f"C10-{ratio}": stress_factor(ratio) for ratio in (1, 1.5, 2, 3, 4, 10)}


def stress_factors():
    """Bending stress of a curved rectangle over M c/I, at half depth 1."""
    found = {}
    for ratio in (1.2, 1.4, 1.6, 1.8, 2, 3, 4, 6, 8, 10):
        shift = neutral_shift(ratio, 2.0)
        # sigma = M (r_n - r)/(A e r) with A = 2 per width; M c/I = 3 M/2 per width.
        for name, fibre in (("in", ratio - 1.0), ("out", ratio + 1.0)):
            stress = (ratio - shift - fibre) / (2.0 * shift * fibre)
            found[f"C13-{ratio}-{name}"] = abs(stress) / 1.5
    return found


# ------------------------------------------------------------------------------------- arcs

#: mm, degrees, MPa: radius, angle, section, modulus, Poisson's ratio.
CASES = {
    "C02-1": (150.0, 30.0, rectangle(10.0, 10.0), 68900.0, 0.33),
    "C02-3": (150.0, 60.0, rectangle(8.0, 20.0), 68900.0, 0.33),
    "C02-4": (150.0, 90.0, rectangle(10.0, 10.0), 68900.0, 0.33),
    "C02-5": (200.0, 90.0, rectangle(24.0, 6.0), 71700.0, 0.33),
    "C02-7": (180.0, 75.0, tube(20.0, 16.0, 0.3), 70000.0, 0.3),
    "C02-8": (100.0, 180.0, rod(10.0, 0.3), 200000.0, 0.3),
    "C02-10": (50.0, 90.0, rectangle(10.0, 20.0), 113800.0, 0.342),
}


def arcs():
    found = {}
    for case, (radius, angle, section, modulus, ratio) in CASES.items():
        flexibility = flexibility_of(radius, by_poisson(modulus, ratio), section)
        compliance = end_compliance(radius, radians(angle), flexibility)
        found |= {f"{case}-{entry}": compliance[place] for entry, place in ENTRIES.items()}
    return found


def thick_arc():
    radius, angle, section, modulus, ratio = CASES["C02-10"]
    flexibility = flexibility_of(radius, by_poisson(modulus, ratio), section, depth=20.0)
    compliance = end_compliance(radius, radians(angle), flexibility)
    in_plane = list(ENTRIES.items())[:6]
    found = {f"C02-10-thick-{entry}": compliance[place] for entry, place in in_plane}
    return found | {"C02-10-shift": neutral_shift(radius, 20.0)}


def own_weight():
    """Sag across the plane of a clamped arc under a load along its length: by reciprocity the
    integral of the load times the deflection that a unit load at the end gives there."""
    radius, arc, load = 0.15, radians(60.0), 4.2364728
    section, material = rectangle(0.020, 0.008), by_poisson(68.9e9, 0.33)
    bend = material.youngs_modulus * section.out_of_plane
    twist = material.shear_modulus * section.torsion
    shear = material.shear_modulus * section.shear_factor * section.area
    total = 0.0
    for place, weight in zip(*np.polynomial.legendre.leggauss(48), strict=True):
        psi = 0.5 * arc * (1.0 + place)
        # Moments at psi from the end: of a unit load there, and of the load along the arc.
        unit_bend, unit_twist = radius * sin(psi), radius * (1.0 - np.cos(psi))
        load_bend, load_twist = load * radius**2 * (1.0 - np.cos(psi)), load * radius**2 * (psi - sin(psi))
        energy = unit_bend * load_bend / bend + unit_twist * load_twist / twist
        energy += load * radius * psi / shear
        total += 0.5 * arc * weight * radius * energy
    return {"C14": 1e3 * total}


def quarter_circle():
    """Deflection of 50 lb across the plane, bending and torsion alone; pounds and inches."""
    material, section = by_poisson(3e7, 0.3), rod(2.0, 0.3)
    bend = material.youngs_modulus * section.out_of_plane
    twist = material.shear_modulus * section.torsion
    return {"C03-exact": 50.0 * 100.0**3 * (pi / (4.0 * bend) + (0.75 * pi - 2.0) / twist)}


def quarter_bar_in_plane_stress(inner, outer, width, modulus):
    """Radial displacement of a quarter bar's end under a radial unit force, exact elasticity.

    Airy's function f(r) sin(angle) of a curved bar under an end force.
    """
    squares = inner**2 + outer**2
    return pi * squares / (modulus * width * abs(inner**2 - outer**2 + squares * log(outer / inner)))


def curved_beam():
    """Inner radius 4.12, outer 4.32, width 0.1, E = 1e7, nu = 0.25, unit load at the end."""
    inner, outer, width, modulus = 4.12, 4.32, 0.1, 1e7
    flexibility = flexibility_of(4.22, by_poisson(modulus, 0.25), rectangle(width, outer - inner))
    compliance = end_compliance(4.22, 0.5 * pi, flexibility)
    return {
        "C04-in-thin": compliance[0, 0],
        "C04-out-thin": compliance[2, 2],
        "C04-in-elasticity": quarter_bar_in_plane_stress(inner, outer, width, modulus),
    }


def quarter_bars():
    """Exact elasticity against bending alone and against the thin and the thick arc."""
    found = {}
    for ratio in (1.05, 1.1, 1.2, 1.5, 3):
        inner, outer = 1.0, float(ratio)
        radius, depth = 0.5 * (inner + outer), outer - inner
        exact = quarter_bar_in_plane_stress(inner, outer, 1.0, 1.0)
        section, material = rectangle(1.0, depth), by_poisson(1.0, 0.3)
        for name, thick in (("thin", None), ("thick", depth)):
            flexibility = flexibility_of(radius, material, section, thick)
            deflection = end_compliance(radius, 0.5 * pi, flexibility)[0, 0]
            found[f"C08-{ratio}-{name}"] = deflection / exact
        found[f"C08-{ratio}-bending"] = exact / (0.25 * pi * radius**3 / section.in_plane)
    return found


def ring():
    """Pinched ring by bending alone, of a quarter whose ends do not turn: P R^3/EI; and in
    numbers: R 0.1 m, 5 mm radial by 10 mm across, E = 200 GPa, P 10 N, one loaded point."""
    nodes, weights = np.polynomial.legendre.leggauss(48)
    at, weights = 0.25 * pi * (1.0 + nodes), 0.25 * pi * weights

    def without_turning(lever):
        return lever - np.sum(weights * lever) / (0.5 * pi)

    # Moments of half a unit load at the pinched points, and at the points between them.
    pinched, across = without_turning(0.5 * np.sin(at)), without_turning(0.5 * np.cos(at))
    shortening = 4.0 * np.sum(weights * pinched**2)
    numbers = 10.0 * 0.1**3 / (200e9 * rectangle(0.010, 0.005).in_plane)
    return {
        "C05": shortening,
        "C06": abs(4.0 * np.sum(weights * pinched * across)),
        "C07": 0.5 * shortening * numbers,
    }
