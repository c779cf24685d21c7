//! Values that several documents share.

use calotte::analysis::StiffnessScalars;
use calotte::sphere::Direction;
use calotte_document::common::{PolarAzimuth, StiffnessDocument};
use calotte_format::units::degrees;

/// A direction by polar and azimuth, degrees.
pub fn direction_document(direction: Direction) -> PolarAzimuth {
    PolarAzimuth {
        polar: degrees(direction.polar),
        azimuth: degrees(direction.azimuth),
    }
}

/// The scalars of a compliance, N/m.
pub(super) fn scalars(scalars: &StiffnessScalars) -> StiffnessDocument {
    StiffnessDocument {
        minimum_n_per_m: scalars.least,
        maximum_n_per_m: scalars.greatest,
        mean_n_per_m: scalars.mean,
        geometric_mean_n_per_m: scalars.geometric_mean,
        trace_n_per_m: scalars.trace,
        polar_n_per_m: scalars.polar,
        azimuth_n_per_m: scalars.azimuth,
        radial_n_per_m: scalars.radial,
        tangential_isotropy: scalars.isotropy,
        softest_direction: scalars.softest,
    }
}
