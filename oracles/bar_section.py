"""Sections of the bars and their material constants. SI throughout.

Bending in the plane of the arc is about the normal of that plane (`in_plane`), bending out
of it is about the radial direction (`out_of_plane`).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, tanh


@dataclass(frozen=True)
class Material:
    """Isotropic: Young's modulus and shear modulus in Pa, density in kg/m^3."""

    youngs_modulus: float
    shear_modulus: float
    density: float = 2700.0

    @property
    def poisson_ratio(self):
        """E / (2 G) - 1."""
        return self.youngs_modulus / (2.0 * self.shear_modulus) - 1.0


@dataclass(frozen=True)
class Section:
    """Area m^2; second moments in and out of the arc's plane m^4; torsion constant m^4."""

    area: float
    in_plane: float
    out_of_plane: float
    torsion: float
    shear_factor: float


def rectangle_torsion_constant(first, second):
    """Saint-Venant torsion constant of a rectangle, m^4 (Timoshenko and Goodier, series)."""
    short, long = sorted((first, second))
    series = sum(tanh(n * pi * long / (2.0 * short)) / n**5 for n in range(1, 400, 2))
    return long * short**3 / 3.0 * (1.0 - 192.0 * short / (pi**5 * long) * series)


def rectangle(tangential, radial):
    """Solid rectangle: `tangential` across the bar along the sphere, `radial` its depth, m.

    Shear factor 5/6, the classical value for a rectangle.
    """
    return Section(
        area=tangential * radial,
        in_plane=tangential * radial**3 / 12.0,
        out_of_plane=radial * tangential**3 / 12.0,
        torsion=rectangle_torsion_constant(tangential, radial),
        shear_factor=5.0 / 6.0,
    )


def tube(outer_diameter, inner_diameter, poisson_ratio):
    """Round tube, diameters in m; inner 0 gives a rod. Shear factor by Cowper (1966)."""
    ratio_squared = (inner_diameter / outer_diameter) ** 2
    wall = (1.0 + ratio_squared) ** 2
    shear_factor = (
        6.0
        * (1.0 + poisson_ratio)
        * wall
        / ((7.0 + 6.0 * poisson_ratio) * wall + (20.0 + 12.0 * poisson_ratio) * ratio_squared)
    )
    second_moment = pi / 64.0 * (outer_diameter**4 - inner_diameter**4)
    return Section(
        area=pi / 4.0 * (outer_diameter**2 - inner_diameter**2),
        in_plane=second_moment,
        out_of_plane=second_moment,
        torsion=2.0 * second_moment,
        shear_factor=shear_factor,
    )


def rod(diameter, poisson_ratio):
    """Solid round bar, diameter in m."""
    return tube(diameter, 0.0, poisson_ratio)
