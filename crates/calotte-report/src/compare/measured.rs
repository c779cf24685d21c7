//! A prototype as it was found beside what was predicted: what only measuring knows.

use crate::found::{FitRead, place_words};
use calotte::brief::Kept;
use calotte::design::{Design, Mount};
use calotte::measurement::PointingError;
use calotte::measurement::weights::{
    Pull, PulledStiffness, WeightParameter, pulled_stiffness, same_direction,
};
use calotte_document::comparison::{Measuring, StationStiffness};
use calotte_format::units::degrees;

use crate::error::ReportError;
use crate::prototype::{Over, pointing_document, pointing_found, pointing_of_next};

/// What a column stands for where a prototype was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// A design that promises.
    Predicted,
    /// The prototype as it was found.
    Measured,
}

impl Role {
    /// In one word.
    pub fn word(self) -> &'static str {
        match self {
            Role::Predicted => "predicted",
            Role::Measured => "measured",
        }
    }
}

/// What measuring says of one column.
#[derive(Debug, Clone)]
pub struct Measured {
    /// What the column stands for.
    pub role: Role,
    /// How far it points off its own model; `None` for a design that nothing was kept in.
    pub pointing: Option<PointingError>,
    /// Radius of the tool tip, m.
    pub(super) tip_radius: f64,
    /// Residual of the measured points, root mean square and greatest, m.
    pub(super) residual: Option<[f64; 2]>,
    /// Play and friction loop, m.
    pub(super) play: [Option<f64>; 2],
    /// Stiffness at each configuration that weights were hung on.
    pub(super) stations: Vec<Stiffness>,
}

/// A stiffness at one configuration, N/m.
#[derive(Debug, Clone, Copy)]
pub(super) enum Stiffness {
    /// Measured, with its standard error.
    Measured([f64; 2]),
    /// Of a design, with its band.
    Predicted(PulledStiffness),
    /// The design does not point there, or nothing was seen to give way.
    None,
}

impl Measured {
    /// The design that was built: what it promised, and how the points miss it.
    pub fn of_design(design: &Design, fit: &FitRead) -> Self {
        Self {
            role: Role::Predicted,
            pointing: None,
            tip_radius: design.tool.tip_radius,
            residual: Some(fit.residuals[0]),
            play: [None; 2],
            stations: stations(design, None, fit),
        }
    }

    /// The prototype as it was found.
    pub fn of_prototype(
        design: &Design,
        fit: &FitRead,
        over: Option<Over>,
    ) -> Result<Self, ReportError> {
        let told = |wanted: WeightParameter| {
            let found = fit.told_by_weights.iter();
            found
                .filter(|one| one.parameter == wanted)
                .map(|one| one.value)
                .next()
        };
        let measured = fit.stations.iter().map(|station| {
            station
                .measured
                .map_or(Stiffness::None, Stiffness::Measured)
        });
        Ok(Self {
            role: Role::Measured,
            pointing: pointing_found(design, fit, over)?,
            tip_radius: design.tool.tip_radius,
            residual: Some(fit.residuals[1]),
            play: [told(WeightParameter::Play), told(WeightParameter::Friction)],
            stations: measured.collect(),
        })
    }

    /// A next design: bars and ground whose values are those found count as kept.
    pub fn of_next(
        next: &Design,
        design: &Design,
        found: &Design,
        fit: &FitRead,
        over: Option<Over>,
    ) -> Result<Self, ReportError> {
        let kept = kept_in(next, found);
        let keeps = kept.ground || kept.any_bar();
        Ok(Self {
            role: Role::Predicted,
            pointing: if keeps {
                pointing_of_next(next, design, fit, &kept, over)?
            } else {
                None
            },
            tip_radius: next.tool.tip_radius,
            residual: None,
            play: [None; 2],
            stations: stations(next, Some((design, over)), fit),
        })
    }

    /// For programs.
    pub fn document(&self, fit: &FitRead) -> Measuring {
        let stiffness_at = fit
            .stations
            .iter()
            .zip(&self.stations)
            .map(|(station, stiffness)| {
                let in_file = |value: f64| value * 1e-3;
                let mut document = StationStiffness {
                    measured_at_deg: station.readings.map(degrees),
                    place: place_words(&station.place),
                    pull: station.pull.into(),
                    n_per_mm: None,
                    standard_error_n_per_mm: None,
                    soft_n_per_mm: None,
                    stiff_n_per_mm: None,
                    reason: None,
                };
                match stiffness {
                    Stiffness::Measured([value, error]) => {
                        document.n_per_mm = Some(in_file(*value));
                        document.standard_error_n_per_mm = Some(in_file(*error));
                    }
                    Stiffness::Predicted(found) => {
                        document.n_per_mm = Some(in_file(found.nominal));
                        document.soft_n_per_mm = Some(in_file(found.band[0]));
                        document.stiff_n_per_mm = Some(in_file(found.band[1]));
                    }
                    Stiffness::None => {
                        document.reason = Some(
                            "does not point there, or its deflection was not measured".to_string(),
                        );
                    }
                }
                document
            })
            .collect();
        let millimetres = |value: Option<f64>| value.map(|value| value * 1e3);
        Measuring {
            role: self.role.word().to_string(),
            residual_rms_mm: millimetres(self.residual.map(|of| of[0])),
            residual_max_mm: millimetres(self.residual.map(|of| of[1])),
            pointing_error: self
                .pointing
                .as_ref()
                .map(|pointing| pointing_document(pointing, self.tip_radius)),
            play_mm: millimetres(self.play[0]),
            friction_hysteresis_mm: millimetres(self.play[1]),
            stiffness_at,
        }
    }
}

/// Angles closer than this are one, rad; files keep more digits.
const SAME: f64 = 1e-9;

/// Which parts of a design are those found, by their values.
fn kept_in(next: &Design, found: &Design) -> Kept {
    let (base, bars) = next.family.same_parts(&found.family, SAME);
    Kept {
        design: found.clone(),
        ground: same_mount(&next.mount, &found.mount) && next.drives == found.drives,
        base,
        bars,
        space: None,
    }
}

/// Whether two mounts are one, wherever the brief puts the centre.
fn same_mount(a: &Mount, b: &Mount) -> bool {
    let at_centre = |mount: &Mount| Mount {
        position: nalgebra::Vector3::zeros(),
        ..mount.clone()
    };
    at_centre(a) == at_centre(b)
}

/// What a design shows to every pull that was measured: at the readings themselves if it is
/// the one measured, else with its tool pointing the same way, within its working range's
/// assembly.
fn stations(
    design: &Design,
    measured: Option<(&Design, Option<Over>)>,
    fit: &FitRead,
) -> Vec<Stiffness> {
    let one = |station: &crate::found::StationRead| {
        let readings = match measured {
            None => station.readings,
            Some((measured, over)) => {
                let [from, to] = over?.within;
                same_direction(design, measured, station.readings, 0.5 * (from + to)).ok()??
            }
        };
        let pull = Pull {
            readings,
            place: station.place.clone(),
            pull: station.pull,
            gauge: station.gauge,
        };
        // A bar that this design has not, or a singular configuration, has no stiffness.
        pulled_stiffness(design, &pull).ok()?
    };
    fit.stations
        .iter()
        .map(|station| one(station).map_or(Stiffness::None, Stiffness::Predicted))
        .collect()
}
