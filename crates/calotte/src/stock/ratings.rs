//! Ratings of ball bearings: static safety, basic life, friction.

use super::error::{MachineElementError, not_negative, positive};

/// Static equivalent load of a single-row deep groove ball bearing, N (ISO 76):
/// the greater of F_r and 0.6 F_r + 0.5 F_a.
///
/// # Errors
/// [`MachineElementError::Negative`] for a load below 0.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, static_equivalent_load};
/// assert_eq!(static_equivalent_load(100.0, 20.0)?, 100.0);
/// assert_eq!(static_equivalent_load(100.0, 300.0)?, 210.0);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn static_equivalent_load(
    radial_load: f64,
    axial_load: f64,
) -> Result<f64, MachineElementError> {
    let radial = not_negative("radial load", radial_load, "N")?;
    let axial = not_negative("axial load", axial_load, "N")?;
    Ok(radial.max(0.6 * radial + 0.5 * axial))
}

/// Static safety s₀ = C₀/P₀ (ISO 76). C₀ is the load that leaves a permanent set of
/// 1e-4 of the ball diameter, 4200 MPa in the worst contact; 1 is usual, 2 where a
/// bearing must run quietly or precisely (bearing makers' guides).
///
/// # Errors
/// [`MachineElementError`] for a rating or a load that is not above 0.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, static_safety};
/// assert_eq!(static_safety(490.0, 245.0)?, 2.0);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn static_safety(
    static_rating: f64,
    static_equivalent_load: f64,
) -> Result<f64, MachineElementError> {
    let rating = positive("static rating", static_rating, "N")?;
    let load = positive("static equivalent load", static_equivalent_load, "N")?;
    Ok(rating / load)
}

/// Basic rating life of a ball bearing, revolutions (ISO 281): 1e6 (C/P)³, reached by
/// 90 % of a large number of bearings.
///
/// A joint that swings makes swing/2π revolutions in a stroke, two strokes in a cycle;
/// at small swings fretting governs and not this life (from memory).
///
/// # Errors
/// [`MachineElementError`] for a rating or a load that is not above 0.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, basic_rating_life};
/// let life = basic_rating_life(3450.0, 500.0)?;
/// assert!((life - 328.509e6).abs() < 1e3);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn basic_rating_life(
    dynamic_rating: f64,
    equivalent_load: f64,
) -> Result<f64, MachineElementError> {
    let rating = positive("dynamic rating", dynamic_rating, "N")?;
    let load = positive("equivalent load", equivalent_load, "N")?;
    Ok(1e6 * (rating / load).powi(3))
}

/// Friction torque of a bearing, N·m: M = ½ µ P d (bearing makers' guides).
///
/// µ is 0.001 to 0.0015 for deep groove, 0.002 for angular contact ball bearings; at
/// the start up to twice that; seals come on top.
///
/// # Arguments
/// - `friction_coefficient`: µ.
/// - `load`: P, N.
/// - `bore`: d, m.
///
/// # Errors
/// [`MachineElementError`] for a negative value or a bore that is not above 0.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, friction_torque};
/// let torque = friction_torque(0.0015, 50.0, 8e-3)?;
/// assert!((torque - 0.3e-3).abs() < 1e-12);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn friction_torque(
    friction_coefficient: f64,
    load: f64,
    bore: f64,
) -> Result<f64, MachineElementError> {
    let friction = not_negative("friction coefficient", friction_coefficient, "")?;
    let load = not_negative("load", load, "N")?;
    let bore = positive("bore", bore, "m")?;
    Ok(0.5 * friction * load * bore)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loads_and_ratings_that_are_none_are_errors() {
        for bad in [-1.0, f64::NAN, f64::INFINITY] {
            assert!(static_equivalent_load(bad, 0.0).is_err());
            assert!(static_equivalent_load(0.0, bad).is_err());
            assert!(static_safety(bad, 1.0).is_err());
            assert!(basic_rating_life(1.0, bad).is_err());
            assert!(friction_torque(bad, 1.0, 1.0).is_err());
            assert!(friction_torque(0.001, 1.0, bad).is_err());
        }
        assert!(static_safety(1.0, 0.0).is_err());
        assert!(basic_rating_life(0.0, 1.0).is_err());
        assert_eq!(static_equivalent_load(0.0, 0.0), Ok(0.0));
    }
}
