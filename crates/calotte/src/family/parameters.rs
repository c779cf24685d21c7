//! What a family of linkages is described by: its name and the angles that fix its bars.
//!
//! Which kinds there are is told nowhere but in this folder: a [`Family`] is made by its
//! constructors and answers questions (`door`); what must differ from family to family
//! outside, words and keys, goes through [`Family::each`].

use std::collections::BTreeMap;

use thiserror::Error;

/// The family of a linkage with the angles that fix its bars.
///
/// Its kind is nobody else's to look at:
///
/// ```
/// # use calotte::design::Family;
/// let family = Family::two_arc_arm([1.0, 0.8]);
/// assert_eq!(family.total_arc(), 1.8);
/// ```
///
/// ```compile_fail
/// # use calotte::design::Family;
/// let family = Family::two_arc_arm([1.0, 0.8]);
/// assert_eq!(family.kind, family.kind);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    pub(super) kind: Kind,
}

/// The kinds of linkage there are.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Kind {
    /// Crossing bars between apexes on one great circle.
    ScissorLinkage(ScissorLinkage),
    /// Two arcs in series.
    TwoArcArm(TwoArcArm),
    /// Two chains from two base axes that meet.
    FiveBar(FiveBar),
}

/// One answer for each family: for words and keys, which have nothing in common. A new
/// family is a new function here, so that nothing that is written is forgotten. Reading is not
/// guarded so: its words and its reader are held to the names there are by a test of
/// `calotte-format`.
pub trait EachFamily<'f> {
    /// What is answered.
    type Answer;
    /// Of a scissor linkage.
    fn scissor_linkage(self, scissor: &'f ScissorLinkage) -> Self::Answer;
    /// Of a two-arc arm.
    fn two_arc_arm(self, arm: &'f TwoArcArm) -> Self::Answer;
    /// Of a spherical five-bar.
    fn five_bar(self, five_bar: &'f FiveBar) -> Self::Answer;
}

impl Family {
    /// A scissor linkage.
    pub fn scissor_linkage(scissor: ScissorLinkage) -> Self {
        Self {
            kind: Kind::ScissorLinkage(scissor),
        }
    }

    /// A two-arc arm of these arcs, rad.
    pub fn two_arc_arm(arcs: [f64; 2]) -> Self {
        Self {
            kind: Kind::TwoArcArm(TwoArcArm { arcs }),
        }
    }

    /// A spherical five-bar.
    pub fn five_bar(five_bar: FiveBar) -> Self {
        Self {
            kind: Kind::FiveBar(five_bar),
        }
    }

    /// Which family it is.
    pub fn family_name(&self) -> FamilyName {
        FamilyName(match self.kind {
            Kind::ScissorLinkage(_) => Which::ScissorLinkage,
            Kind::TwoArcArm(_) => Which::TwoArcArm,
            Kind::FiveBar(_) => Which::FiveBar,
        })
    }

    /// The family's name as the files write it.
    pub fn name(&self) -> &'static str {
        self.family_name().name()
    }

    /// The answer of its own family.
    pub fn each<'f, E: EachFamily<'f>>(&'f self, each: E) -> E::Answer {
        match &self.kind {
            Kind::ScissorLinkage(scissor) => each.scissor_linkage(scissor),
            Kind::TwoArcArm(arm) => each.two_arc_arm(arm),
            Kind::FiveBar(five_bar) => each.five_bar(five_bar),
        }
    }
}

/// Name of a family.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FamilyName(pub(super) Which);

/// Declares the names there are with the list of them, so that it holds every family.
macro_rules! families {
    ($($name:ident,)*) => {
        /// The names there are.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub(super) enum Which {
            $($name,)*
        }

        impl FamilyName {
            /// All of them.
            pub const ALL: [FamilyName; [$(Which::$name),*].len()] =
                [$(FamilyName(Which::$name)),*];
        }
    };
}

families! {
    ScissorLinkage,
    TwoArcArm,
    FiveBar,
}

impl FamilyName {
    /// Scissor linkage.
    pub const SCISSOR_LINKAGE: FamilyName = FamilyName(Which::ScissorLinkage);
    /// Two-arc arm.
    pub const TWO_ARC_ARM: FamilyName = FamilyName(Which::TwoArcArm);
    /// Spherical five-bar.
    pub const FIVE_BAR: FamilyName = FamilyName(Which::FiveBar);

    /// Names of the two mechanism angles, as the files write them.
    pub fn mechanism_names(self) -> [&'static str; 2] {
        match self.0 {
            Which::ScissorLinkage => ["swing", "opening"],
            Which::TwoArcArm => ["base", "elbow"],
            Which::FiveBar => ["left", "right"],
        }
    }

    /// Bars that the axis of an active joint goes through and that may carry its drive, by the
    /// place of the joint in their order.
    pub fn drive_carriers(self, active: usize) -> &'static [&'static str] {
        match (self.0, active) {
            (Which::ScissorLinkage, _) => &["base-left", "base-right"],
            (Which::TwoArcArm, 0) => &["first-arc"],
            (Which::TwoArcArm, _) => &["first-arc", "second-arc"],
            (Which::FiveBar, 0) => &["proximal-left"],
            (Which::FiveBar, _) => &["proximal-right"],
        }
    }

    /// Whether it can be driven in more than one layout; otherwise the mechanism angles
    /// are driven, whatever the layout.
    pub fn has_drive_layouts(self) -> bool {
        match self.0 {
            Which::ScissorLinkage => true,
            Which::TwoArcArm | Which::FiveBar => false,
        }
    }

    /// Whether it has closed loops, so that there is a type 2 singularity and a transmission
    /// angle.
    pub fn has_closed_loops(self) -> bool {
        match self.0 {
            Which::ScissorLinkage | Which::FiveBar => true,
            Which::TwoArcArm => false,
        }
    }

    /// The name as the files write it.
    pub fn name(self) -> &'static str {
        match self.0 {
            Which::ScissorLinkage => "scissor-linkage",
            Which::TwoArcArm => "two-arc-arm",
            Which::FiveBar => "five-bar",
        }
    }

    /// The name in words.
    pub fn words(self) -> &'static str {
        match self.0 {
            Which::ScissorLinkage => "scissor linkage",
            Which::TwoArcArm => "two-arc arm",
            Which::FiveBar => "spherical five-bar",
        }
    }

    /// The name in one word, for the head of a column.
    pub fn short_words(self) -> &'static str {
        match self.0 {
            Which::ScissorLinkage => "scissor",
            Which::TwoArcArm => "arm",
            Which::FiveBar => "five-bar",
        }
    }
}

/// A number that some families are described by and that can be asked for and changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dimension {
    /// Number of stages; all take the first stage's arcs and bend.
    Stages,
    /// Every arc.
    Arc,
    /// Sum of all arcs of one branch, shared equally.
    TotalArc,
    /// Every bend between stages.
    Bend,
    /// First arc of two in series.
    FirstArc,
    /// Second arc of two in series.
    SecondArc,
}

/// What a bar is to its linkage, whatever its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Turns about a base axis.
    Base,
    /// Beyond the base bars, of either branch, by its number from 1.
    Bar(usize),
}

/// What can be asked of a linkage and not every family answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Capability {
    /// Answers that go round rings of equal polar angle, since everything turns about one
    /// fixed axis.
    Rings,
    /// Layers, and what is built in them.
    Layers,
    /// Parts that keep clear of each other and of the surroundings.
    Clearing,
    /// Being searched for.
    Search,
    /// Being measured and calibrated.
    Measurement,
    /// A tool on a follower that halves an angle.
    Follower,
    /// Joints with released directions, compared.
    Releases,
    /// The page.
    Page,
}

impl Capability {
    /// What is not available, in words.
    pub fn words(self) -> &'static str {
        match self {
            Capability::Rings => "answers by rings about one base axis",
            Capability::Layers => "layers",
            Capability::Clearing => "clearing",
            Capability::Search => "search",
            Capability::Measurement => "measurement",
            Capability::Follower => "a tool carried by the bisector",
            Capability::Releases => "the comparison of releases",
            Capability::Page => "the page",
        }
    }
}

/// What a family does not answer yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}: not available yet for the {}", what.words(), family.words())]
pub struct NotAvailable {
    /// The family.
    pub family: FamilyName,
    /// What it was asked.
    pub what: Capability,
}

/// A scissor linkage of one or more stages, symmetric about its centre line but for what
/// [`ScissorLinkage::sides`] holds.
#[derive(Debug, Clone, PartialEq)]
pub struct ScissorLinkage {
    /// Arc from the apex to the side joint, per stage, rad, in (0, π).
    pub proximal_arcs: Vec<f64>,
    /// Arc from the side joint to the next apex, per stage, rad, in (0, π).
    pub distal_arcs: Vec<f64>,
    /// Bend of the crossing bars between stages, rad; one fewer than stages.
    /// A positive bend opens the next stage.
    pub bends: Vec<f64>,
    /// Assembly mode of each stage, +1 or −1 (the sign of the second part of
    /// the stage along the centre line).
    pub assembly_modes: Vec<i8>,
    /// Angles in which the left and the right bar differ, in this order, rad; the lists hold
    /// the mean of the two. Only the model that measuring fits reads them, whatever is computed
    /// in closed form takes the mean. [`ScissorLinkage::state`] keeps both in step.
    pub sides: BTreeMap<PairedAngle, [f64; 2]>,
}

/// An angle that one bar on the left and one on the right have, by its place in the lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PairedAngle {
    /// Of the proximal arcs: at 0 the only arc of the base bars, beyond it the second arc of
    /// the bars of that number.
    Proximal(usize),
    /// Of the distal arcs: the first arc of the bars one higher in number.
    Distal(usize),
    /// Of the bends: of the bars one higher in number.
    Bend(usize),
}

/// An angle of one bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BarAngle {
    /// Its arc from the joint nearer to the base.
    FirstArc,
    /// Its arc beyond the apex.
    SecondArc,
    /// Its bend at the apex.
    Bend,
}

impl BarAngle {
    /// All of them.
    pub const ALL: [BarAngle; 3] = [BarAngle::FirstArc, BarAngle::SecondArc, BarAngle::Bend];

    /// The name as files and parameters write it, without unit.
    pub fn name(self) -> &'static str {
        match self {
            BarAngle::FirstArc => "first_arc",
            BarAngle::SecondArc => "second_arc",
            BarAngle::Bend => "bend",
        }
    }

    /// The name in words.
    pub fn words(self) -> &'static str {
        match self {
            BarAngle::FirstArc => "first arc",
            BarAngle::SecondArc => "second arc",
            BarAngle::Bend => "bend",
        }
    }
}

/// How far the two sides of a linkage differ where they differ most.
#[derive(Debug, Clone, PartialEq)]
pub struct SideDifference {
    /// The bars, left and right.
    pub bars: [String; 2],
    /// The angle.
    pub angle: BarAngle,
    /// Its values, left and right, rad.
    pub values: [f64; 2],
}

impl SideDifference {
    /// The difference without sign, rad.
    pub fn size(&self) -> f64 {
        (self.values[0] - self.values[1]).abs()
    }
}

impl ScissorLinkage {
    /// Equal arcs in every stage, no bends, assembly mode +1.
    pub fn uniform(stages: usize, arc: f64) -> Self {
        Self {
            proximal_arcs: vec![arc; stages],
            distal_arcs: vec![arc; stages],
            bends: vec![0.0; stages.saturating_sub(1)],
            assembly_modes: vec![1; stages],
            sides: BTreeMap::new(),
        }
    }

    /// Number of stages.
    pub fn stages(&self) -> usize {
        self.proximal_arcs.len()
    }
}

/// Two arcs in series: base joint, first arc, elbow, second arc, tool.
#[derive(Debug, Clone, PartialEq)]
pub struct TwoArcArm {
    /// First and second arc, rad, in (0, π).
    pub arcs: [f64; 2],
}

/// The angles that fix a spherical five-bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FiveBar {
    /// Arc between the two base axes, rad, in (0, π).
    pub base_arc: f64,
    /// Arcs of the proximal bars, left and right, rad, in (0, π).
    pub proximal_arcs: [f64; 2],
    /// Arcs of the distal bars, left and right, rad, in (0, π).
    pub distal_arcs: [f64; 2],
    /// Which of its working modes it is used in.
    pub elbows: Elbows,
}

/// Which way the chains of a five-bar are folded, as seen with the tool on the +y side of
/// the base axes; with the tool on the −y side the same mode shows "out" and "in" swapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Elbows {
    /// Both elbows away from the other chain.
    Out,
    /// Both elbows towards the other chain.
    In,
    /// The left elbow out, the right one in. The fourth mode, left in and right
    /// out, is the mirror image of this one in the x–z plane.
    Crossed,
}

impl Elbows {
    /// All of them.
    pub const ALL: [Elbows; 3] = [Elbows::Out, Elbows::In, Elbows::Crossed];

    /// The word of files.
    pub fn name(self) -> &'static str {
        match self {
            Elbows::Out => "out",
            Elbows::In => "in",
            Elbows::Crossed => "crossed",
        }
    }
}
