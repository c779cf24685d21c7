//! Thick curved beams after Winkler and Bach: neutral line and stress factors.
//!
//! Source: the usual handbook form (from memory), recomputed and compared with
//! exact plane-stress elasticity by `calotte verify` (C08, C13).

use std::f64::consts::TAU;

use crate::stock::section::Section;

/// Distance e from the centroid to the neutral line, m, towards the centre of
/// curvature; `None` for custom sections or a radius the section does not fit.
pub fn neutral_shift(section: &Section, radius: f64) -> Option<f64> {
    let half_depth = 0.5 * section.depth();
    if radius.is_nan() || radius <= half_depth {
        return None;
    }
    // Area over ∫ dA/r is the radius of the neutral line.
    let rectangle = |width: f64, depth: f64| width * (depth / (radius - 0.5 * depth)).ln_1p();
    // 2π(R − √(R² − c²)) written without cancellation.
    let round = |diameter: f64| {
        let square = 0.25 * diameter * diameter;
        TAU * square / (radius + (radius * radius - square).sqrt())
    };
    let (area, integral) = match *section {
        Section::Rectangle { tangential, radial } => {
            (tangential * radial, rectangle(tangential, radial))
        }
        Section::RectangleTube {
            tangential,
            radial,
            wall,
        } => {
            let (inner_t, inner_r) = (tangential - 2.0 * wall, radial - 2.0 * wall);
            (
                tangential * radial - inner_t * inner_r,
                rectangle(tangential, radial) - rectangle(inner_t, inner_r),
            )
        }
        Section::Tube {
            outer_diameter,
            inner_diameter,
        } => (
            0.125 * TAU * (outer_diameter.powi(2) - inner_diameter.powi(2)),
            round(outer_diameter) - round(inner_diameter),
        ),
        Section::Rod { diameter } => (0.125 * TAU * diameter.powi(2), round(diameter)),
        Section::Custom { .. } => return None,
    };
    Some(radius - area / integral)
}

/// Factors on the nominal bending stress M·c/I at the inner and the outer
/// fibre; (1, 1) where the thick form does not apply.
pub fn stress_factors(section: &Section, radius: f64) -> (f64, f64) {
    // Below this the factors differ from 1 by less than the digits they are worth.
    if section.depth() < 1e-4 * radius {
        return (1.0, 1.0);
    }
    let (Some(shift), Some(constants)) = (neutral_shift(section, radius), section.constants(0.3))
    else {
        return (1.0, 1.0);
    };
    let c = 0.5 * constants.depth;
    let nominal = c / constants.second_moment_in_plane;
    let neutral = radius - shift;
    let (inner, outer) = (radius - c, radius + c);
    let scale = 1.0 / (constants.area * shift);
    (
        scale * (neutral - inner) / inner / nominal,
        scale * (outer - neutral) / outer / nominal,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rectangle_factors_of_the_handbook() {
        // From memory, recomputed: R/c = 2: 1.52345 and 0.73004.
        let section = Section::Rectangle {
            tangential: 0.01,
            radial: 0.02,
        };
        let (inner, outer) = stress_factors(&section, 0.02);
        assert!((inner - 1.52345).abs() < 5e-6 && (outer - 0.73004).abs() < 5e-6);
    }

    #[test]
    fn slender_bars_have_factors_near_one() {
        let section = Section::Rod { diameter: 0.001 };
        for radius in [0.9, 1.0, 100.0] {
            let (inner, outer) = stress_factors(&section, radius);
            assert!((inner - 1.0).abs() < 1e-3 && (outer - 1.0).abs() < 1e-3);
        }
    }
}
