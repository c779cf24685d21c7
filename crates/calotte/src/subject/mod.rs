//! A design made ready once, for everything that is asked of it.
//!
//! [`Motion`] is what designs share that differ in sizes only: the kinematics, the region
//! in the base frame and the working ranges there would be if no parts were in each
//! other's way. A [`Subject`] is one design on it: its parts, its working ranges as it is
//! built, its elastic [`Model`]. Each is made when it is first asked for, and once.
//! Parts: [`motion`], `model` (structure, weight, strength), [`joint_strength`] (what pins
//! and bearings stand).

pub mod joint_strength;
mod model;
pub mod motion;

use std::sync::{Arc, OnceLock};

pub use model::Model;
pub use motion::Motion;

use crate::built::Built;
use crate::design::Design;
use crate::elasticity::ElasticityError;
use crate::elasticity::short_bars::factor_of;
use crate::family::parameters::Capability;
use crate::interference::clearing::RESOLUTION;
use crate::interference::{Clearing, ClearingError, Pairs};
use crate::kinematics::conditioning::ConditioningSummary;
use crate::kinematics::range_choice::best_range;
use crate::kinematics::working_range::Limit;
use crate::kinematics::{Kinematics, Margins, WorkingRange};
use crate::sphere::Region;
use crate::uncertain::{Corner, Uncertain};

use motion::{Keeps, summary_over};

/// A working range, or why there is none to tell.
type Reached = Result<Option<WorkingRange>, ClearingError>;

/// One design, made ready.
#[derive(Debug)]
pub struct Subject {
    /// The design as given, with its bands.
    pub given: Design,
    /// The design with every number at its nominal value; all else here belongs to it.
    pub design: Design,
    /// How it moves.
    pub motion: Arc<Motion>,
    /// Its parts with their places.
    pub built: Arc<Built>,
    pairs: OnceLock<Result<Arc<Pairs>, ClearingError>>,
    reached: [OnceLock<Reached>; Keeps::COUNT],
    summary: OnceLock<ConditioningSummary>,
    model: OnceLock<Result<Arc<Model>, ElasticityError>>,
}

impl Subject {
    /// Makes a design ready.
    ///
    /// # Arguments
    /// - `region`: directions that are asked for, world frame.
    /// - `margins`: margins of the working range that counts for reach, coverage and
    ///   conditioning.
    /// - `elastic_margins`: margins of the range over which elastic values are taken.
    ///
    /// # Errors
    /// [`ElasticityError`] for a design that cannot be built; what its structure says is
    /// told by [`Subject::model`].
    pub fn new(
        given: &Design,
        region: &Region,
        margins: Margins,
        elastic_margins: Margins,
    ) -> Result<Self, ElasticityError> {
        let motion = Motion::new(given, region, margins, elastic_margins)?;
        Self::with_motion(Arc::new(motion), given.clone())
    }

    /// Makes a design ready that no brief asks for a region, see [`Motion::alone`].
    ///
    /// # Errors
    /// As [`Subject::new`].
    pub fn alone(given: &Design, margins: Margins) -> Result<Self, ElasticityError> {
        Self::with_motion(Arc::new(Motion::alone(given, margins)?), given.clone())
    }

    /// Makes another design ready for the same question; what moves alike is shared.
    ///
    /// # Errors
    /// As [`Subject::new`].
    pub fn beside(&self, given: Design) -> Result<Self, ElasticityError> {
        Self::on(&self.motion, given)
    }

    /// Makes a design ready on a motion, or on its own where it moves otherwise.
    ///
    /// # Errors
    /// As [`Subject::new`].
    pub fn on(motion: &Arc<Motion>, given: Design) -> Result<Self, ElasticityError> {
        Self::with_motion(Motion::shared(motion, &given)?, given)
    }

    fn with_motion(motion: Arc<Motion>, mut given: Design) -> Result<Self, ElasticityError> {
        let linkage = &motion.kinematics.linkage;
        let mut design = given.at_corner(Corner::Nominal);
        let built = Built::new(&design, linkage)?;
        if given.short_bars.is_none() {
            given.short_bars = factor_of(&design, linkage, &built);
            design.short_bars = given
                .short_bars
                .map(|factor| Uncertain::exact(factor.value));
        }
        Ok(Self {
            given,
            design,
            motion,
            built: Arc::new(built),
            pairs: OnceLock::new(),
            reached: Default::default(),
            summary: OnceLock::new(),
            model: OnceLock::new(),
        })
    }

    /// Its kinematics.
    pub fn kinematics(&self) -> &Kinematics {
        &self.motion.kinematics
    }

    /// The region asked for, base frame.
    pub fn region(&self) -> &Region {
        &self.motion.region
    }

    /// Structure, weight against the drives, strength.
    ///
    /// # Errors
    /// [`ElasticityError`] for a structure that cannot be made, such as bosses that leave
    /// nothing of an arc.
    pub fn model(&self) -> Result<&Arc<Model>, ElasticityError> {
        let made = self.model.get_or_init(|| {
            let kinematics = Arc::clone(&self.motion.kinematics);
            Model::of_parts(&self.design, kinematics, Arc::clone(&self.built)).map(Arc::new)
        });
        made.as_ref().map_err(Clone::clone)
    }

    /// Its clearances between parts.
    ///
    /// # Errors
    /// [`ClearingError`] without layers, and for sizes that are no finite numbers.
    pub fn clearing(&self) -> Result<Clearing<'_>, ClearingError> {
        let (design, kinematics, built) = (&self.design, self.kinematics(), &self.built);
        let pairs = self.pairs.get_or_init(|| {
            let clearing = Clearing::new(design, kinematics, built)?;
            Ok(clearing.into_pairs())
        });
        let pairs = pairs.clone()?;
        Clearing::of_pairs(design, kinematics, built, pairs)
    }

    /// The one working range with the margins of reach: the one that covers most of the
    /// region; with layers one in which all parts keep their clearance, bounded between
    /// samples. `None` if no configuration has the margins.
    ///
    /// # Errors
    /// [`ClearingError`] for sizes that are no finite numbers, and for a linkage that turns
    /// about no fixed first axis, whose working range is not one of rings.
    pub fn range(&self) -> Result<Option<&WorkingRange>, ClearingError> {
        self.reached(Keeps::Margins)
    }

    /// The same without any margin.
    ///
    /// # Errors
    /// As [`Subject::range`].
    pub fn free_range(&self) -> Result<Option<&WorkingRange>, ClearingError> {
        self.reached(Keeps::Nothing)
    }

    /// The same with the margins of elastic values.
    ///
    /// # Errors
    /// As [`Subject::range`].
    pub fn elastic_range(&self) -> Result<Option<&WorkingRange>, ClearingError> {
        self.reached(Keeps::ElasticMargins)
    }

    /// Conditioning and coverage of the region in the working range with the margins of reach.
    ///
    /// # Errors
    /// As [`Subject::range`].
    pub fn summary(&self) -> Result<&ConditioningSummary, ClearingError> {
        if !self.design.is_built() {
            return Ok(self.motion.summary());
        }
        let range = self.range()?;
        let over = || summary_over(self.kinematics(), range, self.region());
        Ok(self.summary.get_or_init(over))
    }

    fn reached(&self, keeps: Keeps) -> Result<Option<&WorkingRange>, ClearingError> {
        let slot = self.motion.slot(keeps);
        let found = self.reached[slot].get_or_init(|| self.as_built(keeps));
        found.as_ref().map(Option::as_ref).map_err(Clone::clone)
    }

    fn as_built(&self, keeps: Keeps) -> Reached {
        self.design.family.offers(Capability::Rings)?;
        if !self.design.is_built() {
            return Ok(self.motion.best(keeps).cloned());
        }
        let clearing = self.clearing()?;
        let mut free = Vec::new();
        for range in self.motion.all(keeps) {
            for interval in clearing.allowed_intervals(range.second)? {
                free.push(shortened(self.kinematics(), range, interval));
            }
        }
        Ok(best_range(self.kinematics(), free, self.region()))
    }
}

/// The part of a range within an interval; ends that moved are limited by clearance.
fn shortened(kinematics: &Kinematics, range: &WorkingRange, interval: [f64; 2]) -> WorkingRange {
    let polar = |second: f64| kinematics.meridian.state(second).signed_polar();
    let mut shorter = range.clone();
    for (end, place) in interval.into_iter().enumerate() {
        if (place - range.second[end]).abs() > 2.0 * RESOLUTION {
            shorter.second[end] = place;
            shorter.polar_at_ends[end] = polar(place);
            shorter.turned_at_ends[end] = kinematics.meridian.state(place).polar.value;
            shorter.limits[end] = Limit::Clearing;
        }
    }
    shorter
}
