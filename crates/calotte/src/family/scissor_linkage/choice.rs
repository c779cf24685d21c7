//! What a search varies of a scissor linkage, and what of a built one stays.

use std::f64::consts::PI;

use crate::brief::{Brief, Kept, Range};
use crate::design::{DriveLayout, ScissorLinkage};
use crate::family::parameters::{Kind, PairedAngle};
use crate::family::state::STAGES_MAX;

/// The angles of a scissor linkage, its driving and its assembly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ScissorAngles {
    /// Number of stages; lists beyond it hold zeros.
    pub(crate) stages: usize,
    /// Arcs from the inner joints of each stage, rad.
    pub(crate) proximal: [f64; STAGES_MAX],
    /// Arcs to its apex, rad.
    pub(crate) distal: [f64; STAGES_MAX],
    /// Bends after each stage but the last, rad.
    pub(crate) bends: [f64; STAGES_MAX],
    /// Assembly mode of each stage, 1 or −1.
    pub(crate) modes: [i8; STAGES_MAX],
    /// Drive layout.
    pub(crate) layout: DriveLayout,
}

impl ScissorAngles {
    /// All half-links of one arc, all bends alike, rad.
    pub(crate) fn uniform(stages: usize, arc: f64, bend: f64, layout: DriveLayout) -> Self {
        Self {
            stages,
            proximal: first_of(stages, arc),
            distal: first_of(stages, arc),
            bends: first_of(stages.saturating_sub(1), bend),
            modes: [1; STAGES_MAX],
            layout,
        }
    }

    pub(crate) fn linkage(&self) -> ScissorLinkage {
        let mut linkage = ScissorLinkage::uniform(self.stages, 0.0);
        linkage.proximal_arcs = self.proximal[..self.stages].to_vec();
        linkage.distal_arcs = self.distal[..self.stages].to_vec();
        linkage.bends = self.bends[..self.stages.saturating_sub(1)].to_vec();
        linkage.assembly_modes = self.modes[..self.stages].to_vec();
        linkage
    }

    /// The arc of all half-links; `None` where they differ.
    pub(crate) fn arc(&self) -> Option<f64> {
        let arcs = self.proximal[..self.stages].iter();
        let mut arcs = arcs.chain(&self.distal[..self.stages]);
        let first = *arcs.next()?;
        arcs.all(|arc| *arc == first).then_some(first)
    }

    /// The bend between all stages, 0 of one stage; `None` where they differ.
    pub(crate) fn bend(&self) -> Option<f64> {
        let mut bends = self.bends[..self.stages.saturating_sub(1)].iter();
        let first = bends.next().copied().unwrap_or(0.0);
        bends.all(|bend| *bend == first).then_some(first)
    }
}

/// A list whose first entries are one value.
fn first_of(count: usize, value: f64) -> [f64; STAGES_MAX] {
    std::array::from_fn(|place| if place < count { value } else { 0.0 })
}

/// What scissor linkages have alike that a search goes through by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ScissorVariant {
    pub(crate) stages: usize,
    pub(crate) layout: DriveLayout,
    pub(crate) modes: [i8; STAGES_MAX],
    /// Whether all arcs and all bends are one.
    equal: bool,
}

/// Stages up to which every assembly mode is gone through; beyond, all stages reach outward.
const MODES_UP_TO: usize = 2;

/// All of them that a brief allows, in order.
pub(crate) fn variants(brief: &Brief) -> Vec<ScissorVariant> {
    let choice = &brief.choice;
    let mut all = Vec::new();
    for stages in &choice.stages {
        let kept = brief.kept.as_ref();
        let kept = kept.and_then(|kept| kept_modes(kept, *stages));
        let kept = kept.filter(|modes| modes.iter().any(Option::is_some));
        let free = if *stages <= MODES_UP_TO { *stages } else { 0 };
        // All stages the other way round, bends too, with the opening beyond half a turn, is the
        // mirror image: where bends may lie either way alike, the first stage lies one way.
        let mirrored = *stages == 1 || choice.bend.from == -choice.bend.to;
        let mirrored = mirrored && kept.is_none();
        let free = if mirrored && free > 0 { free - 1 } else { free };
        for turned in 0..1_u32 << free {
            let modes: [i8; STAGES_MAX] = std::array::from_fn(|stage| {
                // The last stages first.
                let own = (stages - 1).checked_sub(stage);
                let own = own.map_or(0, |place| turned >> place.min(31));
                if own & 1 == 1 { -1 } else { 1 }
            });
            // A stage that is kept is assembled as it was; beyond those gone through it is set so.
            let own = kept.iter().flatten().zip(&modes).take(*stages);
            let mut own = own.map(|(kept, own)| kept.is_none_or(|kept| kept == *own));
            if *stages <= MODES_UP_TO && !own.all(|same| same) {
                continue;
            }
            for layout in &choice.drive_layouts {
                all.push(ScissorVariant {
                    stages: *stages,
                    layout: *layout,
                    modes,
                    equal: choice.arcs_are_equal(),
                });
            }
        }
    }
    all
}

/// How the stages are assembled that parts kept leave as they were; `None` where they are of no
/// scissor linkage.
fn kept_modes(kept: &Kept, stages: usize) -> Option<Vec<Option<i8>>> {
    let Kind::ScissorLinkage(old) = &kept.design.family.kind else {
        return None;
    };
    let modes = old.assembly_modes.iter().enumerate().take(stages);
    let modes = modes.map(|(stage, mode)| is_kept(kept.base, &kept.bars, stage).then_some(*mode));
    Some(modes.collect())
}

/// Whether one of the bars of a stage (from 0) is kept.
fn is_kept(base: bool, bars: &[usize], stage: usize) -> bool {
    let from_inside = if stage == 0 {
        base
    } else {
        bars.contains(&stage)
    };
    from_inside || bars.contains(&(stage + 1))
}

impl ScissorVariant {
    /// The ranges of its angles with whether each is an arc: proximal arcs, distal arcs, bends;
    /// one of each where all are equal.
    pub(crate) fn ranges(&self, brief: &Brief) -> Vec<(Range, bool)> {
        let choice = &brief.choice;
        let (arc, bend) = ((choice.arc, true), (choice.bend, false));
        let stages = self.stages;
        if self.equal {
            let kept = brief.kept.as_ref();
            let [arcs, bends] = kept.map_or([true, true], |kept| leaves_free(kept, stages));
            let own = |free: bool, (range, is_arc): (Range, bool)| {
                let one = Range::single(range.from);
                (if free { range } else { one }, is_arc)
            };
            let bend = (stages > 1).then(|| own(bends, bend));
            return [own(arcs, arc)].into_iter().chain(bend).collect();
        }
        let kept = brief.kept.as_ref();
        let all = (0..stages).map(|stage| (PairedAngle::Proximal(stage), arc));
        let all = all.chain((0..stages).map(|stage| (PairedAngle::Distal(stage), arc)));
        let all = all.chain((1..stages).map(|stage| (PairedAngle::Bend(stage - 1), bend)));
        all.map(|(angle, (range, is_arc))| {
            let kept = kept.and_then(|kept| kept_angle(kept, angle));
            (kept.map_or(range, Range::single), is_arc)
        })
        .collect()
    }

    /// Its linkage of these angles, rad, in the order of [`ScissorVariant::ranges`].
    pub(crate) fn angles(&self, values: &[f64]) -> ScissorAngles {
        let at = |place: usize| values.get(place).copied().unwrap_or(0.0);
        let count = self.stages;
        let own = |first: usize, count: usize| {
            std::array::from_fn(|place| {
                if place < count {
                    at(first + place)
                } else {
                    0.0
                }
            })
        };
        let (proximal, distal, bends) = if self.equal {
            (
                first_of(count, at(0)),
                first_of(count, at(0)),
                first_of(count.saturating_sub(1), at(1)),
            )
        } else {
            (
                own(0, count),
                own(count, count),
                own(2 * count, count.saturating_sub(1)),
            )
        };
        ScissorAngles {
            stages: count,
            proximal,
            distal,
            bends,
            modes: self.modes,
            layout: self.layout,
        }
    }
}

/// All combinations that a brief allows, in order.
pub(crate) fn combinations(brief: &Brief) -> Vec<ScissorAngles> {
    let choice = &brief.choice;
    let mut all = Vec::new();
    for stages in &choice.stages {
        let [arcs_free, bends_free] = brief
            .kept
            .as_ref()
            .map_or([true, true], |kept| leaves_free(kept, *stages));
        // One stage has no crossing bars to bend.
        let bends = if *stages > 1 && bends_free {
            choice.bend.values()
        } else {
            vec![0.0]
        };
        let arcs = if arcs_free {
            choice.arc.values()
        } else {
            vec![choice.arc.from]
        };
        for arc in arcs {
            for bend in &bends {
                for layout in &choice.drive_layouts {
                    all.push(ScissorAngles::uniform(*stages, arc, *bend, *layout));
                }
            }
        }
    }
    all
}

/// How many there are, without listing them.
pub(crate) fn count(brief: &Brief) -> f64 {
    let choice = &brief.choice;
    let of_stages = |stages: &usize| {
        let kept = brief.kept.as_ref();
        let [arcs_free, bends_free] = kept.map_or([true, true], |kept| leaves_free(kept, *stages));
        let free = |free: bool, range: &Range| if free { range.count() } else { 1.0 };
        free(arcs_free, &choice.arc) * free(*stages > 1 && bends_free, &choice.bend)
    };
    choice.stages.iter().map(of_stages).sum::<f64>() * choice.drive_layouts.len() as f64
}

/// Wide steps over what the kinematics depend on.
pub(crate) fn coarse_sweep() -> Vec<ScissorAngles> {
    let degrees = PI / 180.0;
    let mut all = Vec::new();
    for stages in 1..=3usize {
        for total in [60.0, 80.0, 100.0, 120.0] {
            for bend in [0.0, 30.0, 60.0] {
                if stages == 1 && bend > 0.0 {
                    continue;
                }
                for layout in [DriveLayout::TwoBars, DriveLayout::SwingAndOpening] {
                    let arc = 0.5 * total / stages as f64 * degrees;
                    all.push(ScissorAngles::uniform(stages, arc, bend * degrees, layout));
                }
            }
        }
    }
    all
}

/// Angles that parts kept leave nothing of: whether arcs and bends are still to be chosen
/// for so many stages.
pub(crate) fn leaves_free(kept: &Kept, stages: usize) -> [bool; 2] {
    let arcs = !kept.base || (1..=stages).any(|bar| !kept.bars.contains(&bar));
    let bends = (1..stages).any(|bar| !kept.bars.contains(&bar));
    [arcs, bends]
}

/// Puts the arcs, bends and assembly modes of parts that stay into a new linkage.
pub(super) fn keep(new: &mut ScissorLinkage, base: bool, bars: &[usize], old: &ScissorLinkage) {
    if base {
        new.take(PairedAngle::Proximal(0), old);
    }
    for bar in bars {
        for angle in of_bars(*bar) {
            new.take(angle, old);
        }
    }
    // A stage is assembled as it was where one of its bars stays.
    let modes = new.assembly_modes.iter_mut().zip(&old.assembly_modes);
    for (stage, (new, old)) in modes.enumerate() {
        if is_kept(base, bars, stage) {
            *new = *old;
        }
    }
}

/// Which parts of `old` have the angles they have in `new`, within so much, rad.
pub(super) fn same_parts(
    new: &ScissorLinkage,
    old: &ScissorLinkage,
    within: f64,
) -> (bool, Vec<usize>) {
    let same = |angle: &PairedAngle| match (new.both(*angle), old.both(*angle)) {
        (Some(a), Some(b)) => (0..2).all(|side| (a[side] - b[side]).abs() < within),
        (a, b) => a.is_none() && b.is_none(),
    };
    let is_same = |bar: &usize| of_bars(*bar).iter().all(same);
    (
        same(&PairedAngle::Proximal(0)),
        (1..=old.stages()).filter(is_same).collect(),
    )
}

/// The angle that a part kept leaves as it was, rad, of left and right the mean.
fn kept_angle(kept: &Kept, angle: PairedAngle) -> Option<f64> {
    let Kind::ScissorLinkage(old) = &kept.design.family.kind else {
        return None;
    };
    let bars = || kept.bars.iter().flat_map(|bar| of_bars(*bar));
    let is_kept =
        (kept.base && angle == PairedAngle::Proximal(0)) || bars().any(|own| own == angle);
    let both = is_kept.then(|| old.both(angle)).flatten()?;
    Some(0.5 * (both[0] + both[1]))
}

/// The angles of the bars of a number: bar i runs from stage i over its bend into stage i + 1.
fn of_bars(number: usize) -> [PairedAngle; 3] {
    [
        PairedAngle::Distal(number - 1),
        PairedAngle::Bend(number - 1),
        PairedAngle::Proximal(number),
    ]
}
