//! Cross-sections of bars: areas, second moments, torsion constants, shear factors.

use std::f64::consts::PI;

use thiserror::Error;

/// A bar's cross-section. `radial` lies along the sphere's radius, `tangential`
/// across the bar along the sphere (normal to the arc's plane).
#[derive(Debug, Clone, PartialEq)]
pub enum Section {
    /// Solid rectangle.
    Rectangle {
        /// Size across the bar along the sphere, m.
        tangential: f64,
        /// Size along the sphere's radius, m.
        radial: f64,
    },
    /// Hollow rectangle of constant wall.
    RectangleTube {
        /// Outer size across the bar along the sphere, m.
        tangential: f64,
        /// Outer size along the sphere's radius, m.
        radial: f64,
        /// Wall, m.
        wall: f64,
    },
    /// Round tube.
    Tube {
        /// Outer diameter, m.
        outer_diameter: f64,
        /// Inner diameter, m.
        inner_diameter: f64,
    },
    /// Solid round.
    Rod {
        /// Diameter, m.
        diameter: f64,
    },
    /// All stiffnesses given; they stand in for modulus times section constant.
    Custom {
        /// Axial stiffness E·A, N.
        axial: f64,
        /// Bending stiffness in the arc's plane, N·m².
        bending_in_plane: f64,
        /// Bending stiffness out of the arc's plane, N·m².
        bending_out_of_plane: f64,
        /// Torsional stiffness, N·m².
        torsional: f64,
        /// Shear stiffness in the arc's plane, N; infinite neglects shear.
        shear_in_plane: f64,
        /// Shear stiffness out of the arc's plane, N; infinite neglects shear.
        shear_out_of_plane: f64,
        /// Mass per length, kg/m.
        mass_per_length: f64,
        /// Overall size along the sphere's radius, m.
        radial: f64,
        /// Overall size across the bar along the sphere, m.
        tangential: f64,
    },
}

/// A size that no section can have.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SectionError {
    /// A size that must be positive is not.
    #[error("section: {name} is {value}, must be a positive number")]
    NotPositive {
        /// Which size.
        name: &'static str,
        /// Its value, SI.
        value: f64,
    },
    /// A wall or inner diameter that leaves no hollow or no material.
    #[error("section: {name} is {value}, must lie below {limit}")]
    TooLarge {
        /// Which size.
        name: &'static str,
        /// Its value, m.
        value: f64,
        /// The limit, m.
        limit: f64,
    },
}

/// Geometric constants of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionConstants {
    /// Area, m².
    pub area: f64,
    /// Second moment for bending in the arc's plane, m⁴.
    pub second_moment_in_plane: f64,
    /// Second moment for bending out of the arc's plane, m⁴.
    pub second_moment_out_of_plane: f64,
    /// Torsion constant J, m⁴.
    pub torsion_constant: f64,
    /// Shear factor in the arc's plane.
    pub shear_factor_in_plane: f64,
    /// Shear factor out of the arc's plane.
    pub shear_factor_out_of_plane: f64,
    /// Size along the sphere's radius, m.
    pub depth: f64,
    /// Size across the bar, m.
    pub width: f64,
}

impl Section {
    /// Refuses sizes that no section can have.
    ///
    /// # Errors
    /// [`SectionError`] with the size and its limit.
    pub fn validate(&self) -> Result<(), SectionError> {
        let positive = |name: &'static str, value: f64| {
            if value > 0.0 && value.is_finite() {
                Ok(())
            } else {
                Err(SectionError::NotPositive { name, value })
            }
        };
        let below = |name: &'static str, value: f64, limit: f64| {
            if value < limit {
                Ok(())
            } else {
                Err(SectionError::TooLarge { name, value, limit })
            }
        };
        match *self {
            Section::Rectangle { tangential, radial } => {
                positive("tangential", tangential)?;
                positive("radial", radial)
            }
            Section::RectangleTube {
                tangential,
                radial,
                wall,
            } => {
                positive("tangential", tangential)?;
                positive("radial", radial)?;
                positive("wall", wall)?;
                below("wall", wall, 0.5 * tangential.min(radial))
            }
            Section::Tube {
                outer_diameter,
                inner_diameter,
            } => {
                positive("outer diameter", outer_diameter)?;
                positive("inner diameter", inner_diameter)?;
                below("inner diameter", inner_diameter, outer_diameter)
            }
            Section::Rod { diameter } => positive("diameter", diameter),
            Section::Custom {
                axial,
                bending_in_plane,
                bending_out_of_plane,
                torsional,
                shear_in_plane,
                shear_out_of_plane,
                mass_per_length,
                radial,
                tangential,
            } => {
                positive("axial stiffness", axial)?;
                positive("in-plane bending stiffness", bending_in_plane)?;
                positive("out-of-plane bending stiffness", bending_out_of_plane)?;
                positive("torsional stiffness", torsional)?;
                positive("mass per length", mass_per_length)?;
                positive("radial", radial)?;
                positive("tangential", tangential)?;
                for (name, value) in [
                    ("in-plane shear stiffness", shear_in_plane),
                    ("out-of-plane shear stiffness", shear_out_of_plane),
                ] {
                    if value.is_nan() || value <= 0.0 {
                        return Err(SectionError::NotPositive { name, value });
                    }
                }
                Ok(())
            }
        }
    }

    /// Size along the sphere's radius, m.
    pub fn depth(&self) -> f64 {
        match *self {
            Section::Rectangle { radial, .. }
            | Section::RectangleTube { radial, .. }
            | Section::Custom { radial, .. } => radial,
            Section::Tube { outer_diameter, .. } => outer_diameter,
            Section::Rod { diameter } => diameter,
        }
    }

    /// Size across the bar along the sphere, m.
    pub fn width(&self) -> f64 {
        match *self {
            Section::Rectangle { tangential, .. }
            | Section::RectangleTube { tangential, .. }
            | Section::Custom { tangential, .. } => tangential,
            Section::Tube { outer_diameter, .. } => outer_diameter,
            Section::Rod { diameter } => diameter,
        }
    }

    /// Geometric constants for a material of this Poisson's ratio; `None` for a
    /// custom section, whose stiffnesses are given whole.
    ///
    /// Shear factors: 5/6 for the solid rectangle (parabolic shear stress),
    /// web area over area for the hollow one, Cowper's coefficients (from
    /// memory: Cowper 1966) for round sections.
    pub fn constants(&self, poisson_ratio: f64) -> Option<SectionConstants> {
        match *self {
            Section::Rectangle { tangential, radial } => Some(SectionConstants {
                area: tangential * radial,
                second_moment_in_plane: tangential * radial.powi(3) / 12.0,
                second_moment_out_of_plane: radial * tangential.powi(3) / 12.0,
                torsion_constant: rectangle_torsion_constant(tangential, radial),
                shear_factor_in_plane: 5.0 / 6.0,
                shear_factor_out_of_plane: 5.0 / 6.0,
                depth: radial,
                width: tangential,
            }),
            Section::RectangleTube {
                tangential,
                radial,
                wall,
            } => Some(rectangle_tube_constants(tangential, radial, wall)),
            Section::Tube {
                outer_diameter,
                inner_diameter,
            } => Some(round_constants(
                outer_diameter,
                inner_diameter,
                poisson_ratio,
            )),
            Section::Rod { diameter } => Some(round_constants(diameter, 0.0, poisson_ratio)),
            Section::Custom { .. } => None,
        }
    }
}

/// Riemann's zeta function at 5.
const ZETA_5: f64 = 1.036_927_755_143_37;

/// Torsion constant of a solid rectangle, m⁴, by Saint-Venant's series
/// J = a·b³·(1/3 − (64/π⁵)(b/a) Σ tanh(nπa/2b)/n⁵), n odd, a ≥ b.
///
/// Checked against the usual handbook table in `calotte verify` (C09).
pub fn rectangle_torsion_constant(side: f64, other_side: f64) -> f64 {
    let (long, short) = (side.max(other_side), side.min(other_side));
    // Σ tanh(x)/n⁵ = Σ 1/n⁵ − Σ 2/(n⁵(e²ˣ + 1)): the first sum is 31/32 ζ(5), the
    // second falls off exponentially, so no tail is cut.
    let mut sum = 31.0 / 32.0 * ZETA_5;
    for index in 0..20 {
        let n = f64::from(2 * index + 1);
        sum -= 2.0 / (n.powi(5) * ((n * PI * long / short).exp() + 1.0));
    }
    long * short.powi(3) * (1.0 / 3.0 - 64.0 / PI.powi(5) * (short / long) * sum)
}

/// Factor α of the peak torsional shear stress of a solid rectangle,
/// τ = T/(α·a·b²), a ≥ b, by Saint-Venant's series.
///
/// Checked against the usual handbook table in `calotte verify` (C10).
pub fn rectangle_torsion_stress_factor(side: f64, other_side: f64) -> f64 {
    let (long, short) = (side.max(other_side), side.min(other_side));
    let mut sum = 0.0;
    for index in (0..40).rev() {
        let n = f64::from(2 * index + 1);
        sum += 1.0 / (n * n * (n * PI * long / (2.0 * short)).cosh());
    }
    // Peak slope of the stress function at the middle of the long side, G·twist·b·(1 − 8/π² Σ …).
    let peak = 1.0 - 8.0 / (PI * PI) * sum;
    rectangle_torsion_constant(long, short) / (long * short.powi(3) * peak)
}

fn rectangle_tube_constants(tangential: f64, radial: f64, wall: f64) -> SectionConstants {
    let (inner_tangential, inner_radial) = (tangential - 2.0 * wall, radial - 2.0 * wall);
    let area = tangential * radial - inner_tangential * inner_radial;
    // Bredt's formula for a thin closed wall.
    let (mid_tangential, mid_radial) = (tangential - wall, radial - wall);
    let enclosed = mid_tangential * mid_radial;
    SectionConstants {
        area,
        second_moment_in_plane: (tangential * radial.powi(3)
            - inner_tangential * inner_radial.powi(3))
            / 12.0,
        second_moment_out_of_plane: (radial * tangential.powi(3)
            - inner_radial * inner_tangential.powi(3))
            / 12.0,
        torsion_constant: 4.0 * enclosed * enclosed * wall / (2.0 * (mid_tangential + mid_radial)),
        shear_factor_in_plane: 2.0 * wall * radial / area,
        shear_factor_out_of_plane: 2.0 * wall * tangential / area,
        depth: radial,
        width: tangential,
    }
}

fn round_constants(outer: f64, inner: f64, poisson_ratio: f64) -> SectionConstants {
    let second_moment = PI * (outer.powi(4) - inner.powi(4)) / 64.0;
    let shear_factor = cowper_round_shear_factor(inner / outer, poisson_ratio);
    SectionConstants {
        area: PI * (outer * outer - inner * inner) / 4.0,
        second_moment_in_plane: second_moment,
        second_moment_out_of_plane: second_moment,
        torsion_constant: 2.0 * second_moment,
        shear_factor_in_plane: shear_factor,
        shear_factor_out_of_plane: shear_factor,
        depth: outer,
        width: outer,
    }
}

/// Cowper's shear coefficient of a round tube of inner over outer diameter
/// `ratio` (0 for a rod): 6(1+ν)(1+m²)² / ((7+6ν)(1+m²)² + (20+12ν)m²).
pub fn cowper_round_shear_factor(ratio: f64, poisson_ratio: f64) -> f64 {
    let square = ratio * ratio;
    let sum = (1.0 + square) * (1.0 + square);
    6.0 * (1.0 + poisson_ratio) * sum
        / ((7.0 + 6.0 * poisson_ratio) * sum + (20.0 + 12.0 * poisson_ratio) * square)
}
