//! A combination as a complete design, the layers its motion needs included.

use std::sync::Arc;

use crate::analysis::Requirements;
use crate::analysis::fewest_layers::fewest_layers;
use crate::brief::Brief;
use crate::built::base_drives;
use crate::design::Design;
use crate::subject::Motion;

use super::grid::Candidate;
use super::kept::{keeps_arrangement, settle};

/// The complete design of a combination. Where the brief asks for the fewest layers they
/// are found for what the region uses of this combination's range; the brief's own
/// arrangement stands where there is no range, or where every arrangement is blocked in
/// the middle of it.
///
/// # Errors
/// What keeps the combination from being built, in words.
pub fn complete_design(
    brief: &Brief,
    requirements: &Requirements,
    candidate: &Candidate,
) -> Result<Design, String> {
    let design = candidate.before_layers(brief);
    let motion = requirements
        .motion(&design)
        .map_err(|error| error.to_string())?;
    complete_on(brief, candidate, &Arc::new(motion))
}

/// The same where the motion of the candidate's group is known.
pub(super) fn complete_on(
    brief: &Brief,
    candidate: &Candidate,
    motion: &Arc<Motion>,
) -> Result<Design, String> {
    let mut design = candidate.before_layers(brief);
    // What is chosen states every size.
    let base = base_drives(&design, &motion.kinematics.linkage);
    if let (Some(layers), Some(base)) = (&mut design.layers, base) {
        layers.base = base.into();
    }
    let kept = brief.kept.as_ref();
    let arranged = kept.is_some_and(|kept| keeps_arrangement(kept, &design));
    if candidate.wants_fewest_layers(brief) && !arranged {
        let motion = Motion::shared(motion, &design).map_err(|error| error.to_string())?;
        let found = fewest_layers(&design, &motion).map_err(|error| error.to_string())?;
        if let (Some(option), Some(layers)) = (found, &mut design.layers) {
            layers.arrangement = option.arrangement();
        }
    }
    if let Some(kept) = kept {
        settle(kept, motion, &mut design)?;
    }
    Ok(design)
}
