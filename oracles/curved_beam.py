"""Compliance of a circular arc as a curved beam, by quadrature of its strain energy.

In the plane of the arc Winkler's theory of the thick curved beam (or the thin form), out of
it bending, torsion and shear. Frame of the end (t, n, r) as in `solid_links`; any units.
"""

from __future__ import annotations

from math import log

import numpy as np

from bar_section import Material, rectangle


def neutral_shift(radius, depth):
    """Distance from centroid to neutral line of a rectangle bent in its plane: R - h/ln(ro/ri)."""
    return radius - depth / log((radius + 0.5 * depth) / (radius - 0.5 * depth))


def section_flexibility(radius, material, section, depth):
    """6 x 6 per angle: strains from forces (t, n, r) and moments (t, n, r) in the section.

    Winkler: energy per angle N^2 R/2EA + M N/EA + M^2/2EAe + V^2 R/2GkA with M > 0 for
    tension in the outer fibre, which a moment about +n is; `depth` None gives the thin form
    M^2 R/2EI without the coupling.
    """
    axial = material.youngs_modulus * section.area
    shear = material.shear_modulus * section.shear_factor * section.area
    flexibility = np.diag(
        [
            radius / axial,
            radius / shear,
            radius / shear,
            radius / (material.shear_modulus * section.torsion),
            radius / (material.youngs_modulus * section.in_plane),
            radius / (material.youngs_modulus * section.out_of_plane),
        ]
    )
    if depth is not None:
        flexibility[4, 4] = 1.0 / (axial * neutral_shift(radius, depth))
        flexibility[0, 4] = flexibility[4, 0] = 1.0 / axial
    return flexibility


def arc_compliance(link, zone=0.0, winkler=True):
    """6 x 6 at the end; `zone` at both ends of the centre line is rigid."""
    material = Material(link.modulus, link.modulus / (2.0 * (1.0 + link.poisson_ratio)))
    section = rectangle(link.tangential, link.radial)
    depth = link.radial if winkler else None
    flexibility = section_flexibility(link.radius, material, section, depth)
    end_frame, end = link.end_frame(link.arc)
    low, high = zone / link.radius, link.arc - zone / link.radius
    total = np.zeros((6, 6))
    for place, weight in zip(*np.polynomial.legendre.leggauss(40)):
        frame, point = link.end_frame(0.5 * (low + high) + 0.5 * (high - low) * place)
        x, y, z = end - point
        arm = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
        # wrench at the end seen at the section, in the section's frame
        carried = np.kron(np.eye(2), frame) @ np.block([[np.eye(3), np.zeros((3, 3))], [arm, np.eye(3)]])
        carried = carried @ np.kron(np.eye(2), end_frame.T)
        total += 0.5 * (high - low) * weight * carried.T @ flexibility @ carried
    return total
