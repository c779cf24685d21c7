//! What an analysis is asked: from a brief, or the defaults without one.

use std::sync::{Arc, OnceLock};

use nalgebra::Vector3;

use crate::brief::{Brief, KeepOut, Limits, LoadCase};
use crate::design::Design;
use crate::elasticity::ElasticityError;
use crate::kinematics::Margins;
use crate::linkage::LinkageError;
use crate::quantity::Quantity;
use crate::sphere::Region;
use crate::sphere::direction::unit;
use crate::stock::Process;
use crate::subject::{Motion, Subject};
use crate::surroundings::{Obstacle, ShapeError};

/// Least transmission angle used for stiffness, deflection, torque and strength where no
/// limit on it is given, rad: 20° (product rule of this program).
pub const DEFAULT_TRANSMISSION_ANGLE: f64 = std::f64::consts::PI / 9.0;

/// Region, limits and loads of an analysis.
#[derive(Debug, Clone)]
pub struct Requirements {
    /// Directions needed, world frame.
    pub region: Region,
    /// Share of the region that must be covered; `None` asks for none.
    pub coverage_min: Option<f64>,
    /// Limits.
    pub limits: Limits,
    /// Load cases.
    pub loads: Vec<LoadCase>,
    /// Margins that shrink reach, coverage and conditioning.
    pub margins: Margins,
    /// Margins for stiffness, deflection and torque.
    pub elastic_margins: Margins,
    keep_outs: Vec<KeepOut>,
    obstacles: OnceLock<Result<Arc<[Obstacle]>, ShapeError>>,
    /// Distance kept from them, m.
    pub allowance: f64,
    /// The way in, in the world; `None` is along the base axis towards the centre.
    pub way_in: Option<Vector3<f64>>,
    /// How bars are to be made; `None` asks for no wall or land.
    pub process: Option<Process>,
    /// Whether a brief asks.
    pub from_brief: bool,
}

impl Requirements {
    /// The limit that a quantity is judged by, SI; `None` without one. A limit that bounds the
    /// working range holds in all of it and cannot be missed there: it is no requirement that
    /// is judged but a boundary, see [`Requirements::boundaries`].
    pub fn limit(&self, quantity: Quantity) -> Option<f64> {
        match quantity {
            Quantity::Coverage => self.coverage_min,
            _ if quantity.is_margin() => None,
            Quantity::Wall | Quantity::Land => self.limits.get(quantity).or_else(|| {
                let usual = self.process?.limits();
                Some(match quantity {
                    Quantity::Wall => usual.wall,
                    _ => usual.land,
                })
            }),
            _ => self.limits.get(quantity),
        }
    }

    /// The limit on a quantity of one load case by its index, SI: its own, else that for all.
    pub fn limit_of(&self, quantity: Quantity, load: Option<usize>) -> Option<f64> {
        let own = load.and_then(|load| self.loads.get(load)?.limits.get(quantity));
        own.or_else(|| self.limit(quantity))
    }

    /// Whether a quantity is limited, for all load cases or for one.
    pub fn is_limited(&self, quantity: Quantity) -> bool {
        let own = |case: &LoadCase| case.limits.get(quantity).is_some();
        self.limit(quantity).is_some() || self.loads.iter().any(own)
    }

    /// The limits that bound the working range, with their values, SI.
    pub fn boundaries(&self) -> Vec<(Quantity, f64)> {
        Quantity::LIMITS
            .into_iter()
            .filter(|quantity| quantity.is_margin())
            .filter_map(|quantity| Some((quantity, self.limits.get(quantity)?)))
            .collect()
    }

    /// What a brief asks.
    pub fn from_brief(brief: &Brief) -> Self {
        let margins = Margins {
            lci_min: brief.limits.get(Quantity::LciMin).unwrap_or(0.0),
            transmission_angle_min: brief.limits.get(Quantity::TransmissionAngle).unwrap_or(0.0),
        };
        Self {
            region: brief.region.clone(),
            coverage_min: Some(brief.coverage_min),
            limits: brief.limits.clone(),
            loads: brief.loads.clone(),
            margins,
            elastic_margins: Margins {
                transmission_angle_min: brief
                    .limits
                    .get(Quantity::TransmissionAngle)
                    .unwrap_or(DEFAULT_TRANSMISSION_ANGLE),
                ..margins
            },
            keep_outs: brief.keep_outs.clone(),
            obstacles: OnceLock::new(),
            allowance: brief.allowance,
            way_in: brief.way_in,
            process: brief.choice.process,
            from_brief: true,
        }
    }

    /// Without a brief: the cap of 90° about the base axis; no margin applies to
    /// reach and conditioning, 20° of transmission angle to the elastic part.
    pub fn without_brief(design: &Design) -> Self {
        let axis = unit(&design.mount.axis).unwrap_or_else(Vector3::z);
        Self {
            region: Region::cap(axis, std::f64::consts::FRAC_PI_2),
            coverage_min: None,
            limits: Limits::default(),
            loads: Vec::new(),
            margins: Margins::default(),
            elastic_margins: Margins {
                lci_min: 0.0,
                transmission_angle_min: DEFAULT_TRANSMISSION_ANGLE,
            },
            keep_outs: Vec::new(),
            obstacles: OnceLock::new(),
            allowance: 0.0,
            way_in: None,
            process: None,
            from_brief: false,
        }
    }

    /// What moving parts keep clear of; looked at where the design says what is built.
    pub fn keep_outs(&self) -> &[KeepOut] {
        &self.keep_outs
    }

    /// The keep-outs ready for distances, made once.
    ///
    /// # Errors
    /// [`ShapeError`] for a shape that is none, such as a surface that is not closed.
    pub fn obstacles(&self) -> Result<&[Obstacle], ShapeError> {
        let made = self
            .obstacles
            .get_or_init(|| self.keep_outs.iter().map(Obstacle::new).collect());
        made.as_deref().map_err(Clone::clone)
    }

    /// A design made ready to be asked for this.
    ///
    /// # Errors
    /// [`ElasticityError`] for a design that cannot be built.
    pub fn subject(&self, design: &Design) -> Result<Subject, ElasticityError> {
        Subject::new(design, &self.region, self.margins, self.elastic_margins)
    }

    /// How a design moves in the region, for designs that differ from it in sizes only.
    ///
    /// # Errors
    /// [`LinkageError`] for a design that cannot be built.
    pub fn motion(&self, design: &Design) -> Result<Motion, LinkageError> {
        Motion::new(design, &self.region, self.margins, self.elastic_margins)
    }
}
