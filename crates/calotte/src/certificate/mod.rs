//! Certificates: what no linkage of a class can do, proved by interval branch and bound over its
//! arcs.
//!
//! For linkages that one spherical triangle says everything of (`family::triangle`: one-stage
//! scissor linkages and two-arc arms), LCI at a polar angle is a closed form of both arcs. A box
//! of arcs is bounded by what all its linkages have at polar angles that must be reached;
//! boxes are cut in two until bound and best linkage are near each other. The bound holds for
//! every linkage of the class with arcs in the box, both assembly modes, every azimuth, whatever
//! its sizes: keep-outs, clearing, drive ranges and all limits not named only take away. It
//! takes drive ratio 1, arcs alike on the left and on the right, and the tool on the last
//! joint without bracket. More stages are searched, not proved.
//!
//! Parts: `required` (polar angles that must be reached), `branch` (branch and bound),
//! `bounds` (LCI and GCI over a box), `found` (the best linkage, by the ordinary analysis).
//! Theory: `docs/theory/certificates.md`.

mod bounds;
mod branch;
mod found;
mod required;

use crate::brief::Brief;
use crate::family::triangle::TriangleClass;
use crate::kinematics::Margins;
use crate::quantity::Quantity;
use crate::search::grid::mount;

use bounds::{Case, LOST};
use branch::{Bounded, Known, Piece, Taken, Until, greatest};
pub use found::Found;
use found::{judged, judged_by_lci};
use required::Required;

/// How much work a certificate may be. It is counted, so that the result is the same on every
/// machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Boxes for the minimum LCI, at most (by a few).
    pub lci_boxes: usize,
    /// Distance between bound and best linkage that is near enough, minimum LCI.
    pub lci_gap: f64,
    /// Boxes for the GCI, at most (by a few).
    pub gci_boxes: usize,
    /// Distance that is near enough, GCI.
    pub gci_gap: f64,
}

impl Default for Effort {
    fn default() -> Self {
        Self {
            lci_boxes: 10_000,
            lci_gap: 5e-4,
            gci_boxes: 2000,
            gci_gap: 5e-3,
        }
    }
}

/// What was proved of one class of linkages.
#[derive(Debug, Clone, PartialEq)]
pub struct Certificate {
    /// The class.
    pub class: TriangleClass,
    /// Least and greatest near and far arc, rad: the box that the proof is for.
    pub arcs: [[f64; 2]; 2],
    /// Tilts of the base axis against the region's axis that it is for, rad.
    pub mount_tilts: Vec<f64>,
    /// Share of the region that is to be covered.
    pub coverage_min: f64,
    /// Limits on LCI and transmission angle; 0 is none.
    pub margins: Margins,
    /// Limit on the GCI.
    pub gci_min: Option<f64>,
    /// The minimum LCI over the working range that covers enough, the limit on the transmission
    /// angle kept: the greatest limit on LCI that can be kept.
    pub lci: Bound,
    /// The GCI over the region, all limits above kept; `None` where no linkage can keep them.
    pub gci: Option<Bound>,
    /// Whether the limits can be kept.
    pub verdict: Verdict,
}

/// A number that no linkage passes.
#[derive(Debug, Clone, PartialEq)]
pub struct Bound {
    /// The bound; `None` where no linkage covers enough at all.
    pub upper: Option<f64>,
    /// The best linkage found.
    pub found: Option<Found>,
    /// Boxes looked at.
    pub boxes: usize,
}

impl Bound {
    /// Distance between the bound and the best linkage found; `None` without one of them.
    pub fn gap(&self) -> Option<f64> {
        Some(self.upper? - self.found.as_ref()?.value)
    }
}

/// Whether a class can keep the limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// No linkage of the class keeps the limit on this quantity and those named before it
    /// (transmission angle and coverage, minimum LCI, GCI).
    Impossible(Quantity),
    /// A linkage that keeps them was found.
    Possible,
    /// The boxes allowed did not suffice.
    Undecided,
}

/// One certificate for each class that a brief allows and that can be proved, in the brief's
/// order. None where parts of a prototype are kept, whose arcs need not lie in the brief's box.
pub fn certificates(brief: &Brief, effort: &Effort) -> Vec<Certificate> {
    if brief.kept.is_some() {
        return Vec::new();
    }
    let required: Option<Vec<Required>> = brief
        .choice
        .mount_tilt
        .iter()
        .map(|tilt| {
            let to_base = mount(brief, *tilt).base_from_world();
            Required::of(&brief.region.rotated(&to_base))
        })
        .collect();
    let Some(required) = required else {
        return Vec::new();
    };
    let classes = TriangleClass::allowed(&brief.choice).into_iter();
    classes
        .map(|class| certificate(brief, class, &required, effort))
        .collect()
}

fn certificate(
    brief: &Brief,
    class: TriangleClass,
    required: &[Required],
    effort: &Effort,
) -> Certificate {
    let margins = Margins {
        lci_min: brief.limits.get(Quantity::LciMin).unwrap_or(0.0),
        transmission_angle_min: brief.limits.get(Quantity::TransmissionAngle).unwrap_or(0.0),
    };
    let gci_min = brief.limits.get(Quantity::Gci);
    let asked = Asked {
        brief,
        class,
        arcs: class.arcs(&brief.choice),
        cases: required
            .iter()
            .map(|required| Case {
                class,
                required,
                coverage_min: brief.coverage_min,
                margins,
                shares: required.shares(),
            })
            .collect(),
    };
    let (lci, verdict) = asked.lci(&margins, effort);
    let (gci, verdict) = match verdict {
        Verdict::Impossible(_) => (None, verdict),
        _ => {
            let (gci, of_gci) = asked.gci(&margins, gci_min, effort);
            (Some(gci), of_gci.unwrap_or(verdict))
        }
    };
    Certificate {
        class,
        arcs: asked.arcs,
        mount_tilts: brief.choice.mount_tilt.clone(),
        coverage_min: brief.coverage_min,
        margins,
        gci_min,
        lci,
        gci,
        verdict,
    }
}

/// One class, asked.
struct Asked<'a> {
    brief: &'a Brief,
    class: TriangleClass,
    arcs: [[f64; 2]; 2],
    /// One for each tilt of the mount.
    cases: Vec<Case<'a>>,
}

impl Asked<'_> {
    fn lci(&self, margins: &Margins, effort: &Effort) -> (Bound, Verdict) {
        let limit = (margins.lci_min > 0.0).then_some(margins.lci_min);
        let until = Until {
            gap: effort.lci_gap,
            decided: limit,
            boxes: effort.lci_boxes,
        };
        let bounded = self.bounded(until, &|case, piece| {
            if case.required.holds_axis && case.coverage_min >= 1.0 {
                return Some(on_axis(piece));
            }
            case.lci(piece)
        });
        let best = bounded.best.as_ref();
        let found = best.and_then(|best| judged_by_lci(self.brief, self.class, best, margins));
        let bound = bound(bounded, found);
        let verdict = match (bound.upper, &bound.found) {
            (None, _) => Verdict::Impossible(Quantity::Coverage),
            (Some(upper), _) if limit.is_some_and(|limit| upper < limit) => {
                Verdict::Impossible(Quantity::LciMin)
            }
            (_, Some(found)) if found.value >= margins.lci_min => Verdict::Possible,
            _ => Verdict::Undecided,
        };
        (bound, verdict)
    }

    /// The bound, and the verdict where it depends on a limit on the GCI.
    fn gci(
        &self,
        margins: &Margins,
        limit: Option<f64>,
        effort: &Effort,
    ) -> (Bound, Option<Verdict>) {
        let until = Until {
            gap: effort.gci_gap,
            decided: limit,
            boxes: effort.gci_boxes,
        };
        let bounded = self.bounded(until, &|case, piece| case.gci(piece));
        let found = bounded.best.as_ref().and_then(|best| {
            judged(self.brief, self.class, best, margins, &|summary| {
                summary.gci
            })
        });
        let bound = bound(bounded, found);
        let verdict = limit.map(|limit| match (bound.upper, &bound.found) {
            (None, _) => Verdict::Impossible(Quantity::Gci),
            (Some(upper), _) if upper < limit => Verdict::Impossible(Quantity::Gci),
            (_, Some(found)) if found.value >= limit => Verdict::Possible,
            _ => Verdict::Undecided,
        });
        (bound, verdict)
    }

    fn bounded(
        &self,
        until: Until,
        look: &(dyn Fn(&Case, &Piece) -> Option<Known> + Sync),
    ) -> Bounded {
        let cases = self.cases.iter().enumerate();
        let roots: Vec<Piece> = cases
            .flat_map(|(index, case)| case.roots(self.arcs, index))
            .collect();
        greatest(&roots, until, &|piece| look(&self.cases[piece.case], piece))
    }
}

/// The bound with what was found; by no less than rounding above it.
fn bound(bounded: Bounded, found: Option<Found>) -> Bound {
    Bound {
        upper: bounded.upper.map(|upper| (upper + LOST).min(1.0)),
        found,
        boxes: bounded.boxes,
    }
}

/// On the base axis LCI is 0, whatever the arcs.
fn on_axis(piece: &Piece) -> Known {
    Known {
        upper: 0.0,
        taken: Some(Taken {
            value: 0.0,
            at: piece.sides.map(|[lo, hi]| 0.5 * (lo + hi)),
            case: piece.case,
        }),
        cut: 0,
    }
}
