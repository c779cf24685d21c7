//! Any linkage with two freedoms by tool direction, from bodies and joints alone: Newton's
//! closure carries one configuration over the sphere as far as no singularity is met.

use std::collections::VecDeque;

use nalgebra::{Matrix2, Vector2, Vector3};

use crate::family::by_direction::{ByDirection, Placed};
use crate::linkage::{Configuration, Linkage};
use crate::sphere::{Direction, LocalFrame};

use super::cells::{ROWS, holding, middle, neighbours};
use super::closure::{ClosureError, close_by_continuation, closed};
use super::jacobian::tool_jacobian;

/// A linkage in one assembly.
#[derive(Debug, Clone)]
pub struct ByClosure {
    linkage: Linkage,
    mechanism_from_active: Matrix2<f64>,
    /// What was met at the middle of each cell of the sphere.
    held: Vec<Option<Held>>,
}

/// A configuration with what follows from it.
#[derive(Debug, Clone)]
struct Held {
    active: [f64; 2],
    configuration: Configuration,
    frame: LocalFrame,
    /// By active joint rates, rows (polar, azimuth) of the frame.
    jacobian: Matrix2<f64>,
}

/// Greatest change of an active joint angle in one step, rad.
const STEP_MAX: f64 = 0.1;
/// Steps within which a near direction is met, or it is not.
const STEPS_MAX: usize = 40;
/// How well a direction is met, rad.
const TOLERANCE: f64 = 1e-11;

impl ByClosure {
    /// Carries a configuration over all directions that it reaches without passing a
    /// singular one.
    ///
    /// # Arguments
    /// - `active`: active joint angles, rad.
    /// - `start`: a configuration near the one that closes at them, not singular.
    /// - `mechanism_from_active`: 2×2.
    ///
    /// # Errors
    /// [`ClosureError`] where the start does not close or is singular.
    pub fn new(
        linkage: Linkage,
        mechanism_from_active: Matrix2<f64>,
        active: [f64; 2],
        start: &Configuration,
    ) -> Result<Self, ClosureError> {
        let configuration = closed(&linkage, start, active)?;
        let mut found = Self {
            linkage,
            mechanism_from_active,
            held: vec![None; 2 * ROWS * ROWS],
        };
        let first = found.at_configuration(active, configuration)?;
        let index = holding(ROWS, Direction::of(&first.frame.radial));
        let mut open = VecDeque::from([(index, first)]);
        while let Some((index, from)) = open.pop_front() {
            if found.held[index].is_some() {
                continue;
            }
            let Some(here) = found.towards(&middle(ROWS, index).vector(), &from) else {
                continue;
            };
            for next in neighbours(ROWS, index) {
                if found.held[next].is_none() {
                    open.push_back((next, here.clone()));
                }
            }
            found.held[index] = Some(here);
        }
        Ok(found)
    }

    fn at_configuration(
        &self,
        active: [f64; 2],
        configuration: Configuration,
    ) -> Result<Held, ClosureError> {
        let tool = self.linkage.tool_direction(&configuration);
        let frame = LocalFrame::at(Direction::of(&tool));
        Ok(Held {
            jacobian: tool_jacobian(&self.linkage, &configuration, &frame)?,
            active,
            configuration,
            frame,
        })
    }

    /// The configuration of a direction near another's, no singular one between them.
    fn towards(&self, direction: &Vector3<f64>, from: &Held) -> Option<Held> {
        let mut here = from.clone();
        for _ in 0..STEPS_MAX {
            let miss = direction - here.frame.radial * here.frame.radial.dot(direction);
            let miss = Vector2::new(miss.dot(&here.frame.polar), miss.dot(&here.frame.azimuth));
            if miss.norm() < TOLERANCE && here.frame.radial.dot(direction) > 0.0 {
                return Some(here);
            }
            let step = here.jacobian.try_inverse()? * miss;
            let step = step * (STEP_MAX / step.amax()).min(1.0);
            let active = [here.active[0] + step.x, here.active[1] + step.y];
            let configuration = closed(&self.linkage, &here.configuration, active).ok()?;
            let next = self.at_configuration(active, configuration).ok()?;
            // Both types of singularity turn the sign over.
            if next.jacobian.determinant() * from.jacobian.determinant() <= 0.0 {
                return None;
            }
            here = next;
        }
        None
    }

    fn placed(&self, held: &Held) -> Option<Placed> {
        let mechanism = self.mechanism_from_active * Vector2::from(held.active);
        let by_mechanism = held.jacobian * self.mechanism_from_active.try_inverse()?;
        let velocity = [0, 1].map(|k| {
            held.frame.polar * by_mechanism[(0, k)] + held.frame.azimuth * by_mechanism[(1, k)]
        });
        let least = by_mechanism.singular_values().min();
        Some(Placed {
            mechanism: [mechanism.x, mechanism.y].map(crate::sphere::direction::wrap_signed),
            configuration: held.configuration.clone(),
            tool: held.frame.radial,
            velocity,
            branch: if held.jacobian.determinant() > 0.0 {
                1
            } else {
                -1
            },
            type_one: least.min(1.0).asin(),
            type_two: None,
        })
    }
}

impl ByDirection for ByClosure {
    fn at(&self, direction: &Vector3<f64>) -> Option<Placed> {
        let own = holding(ROWS, Direction::of(direction));
        let near = std::iter::once(own).chain(neighbours(ROWS, own));
        let mut known = near.filter_map(|index| self.held[index].as_ref());
        let found = known.find_map(|from| self.towards(direction, from))?;
        self.placed(&found)
    }

    fn forward(&self, mechanism: [f64; 2], branch: i8) -> Option<Placed> {
        let active = self.mechanism_from_active.try_inverse()? * Vector2::from(mechanism);
        let active = [active.x, active.y];
        let apart = |held: &&Held| {
            let [a, b] = [0, 1].map(|k| held.active[k] - active[k]);
            a.abs().max(b.abs())
        };
        let start = self
            .held
            .iter()
            .flatten()
            .min_by(|a, b| apart(a).total_cmp(&apart(b)))?;
        let solved =
            close_by_continuation(&self.linkage, &start.configuration, start.active, active)
                .ok()?;
        let held = self.at_configuration(active, solved.configuration).ok()?;
        self.placed(&held).filter(|placed| placed.branch == branch)
    }
}
