//! What is searched by itself: one family, number of stages, drive layout, assembly and tilt,
//! with everything that varies in it.
//!
//! Nothing is exchanged between islands, so each may be gone through on another machine, and
//! what is found does not depend on which others there are.

use crate::brief::{Brief, Range};
use crate::evolution::{Gene, Genome};
use crate::family::choice::Variant;

use super::grid::Candidate;
use super::kept::keeps_layers;

/// Step of the innermost radius, m: 1 mm.
const RADIUS_STEP: f64 = 1e-3;
/// Step of the distance between two bearings, m: 0.1 mm.
const SPACING_STEP: f64 = 1e-4;

/// Numbers of one group may move together.
const ANGLES: u8 = 0;
const LENGTHS: u8 = 1;

/// An island.
#[derive(Debug, Clone, PartialEq)]
pub struct Island {
    /// Its place among all, from 0.
    pub index: usize,
    /// What its linkages have alike.
    pub variant: Variant,
    /// Tilt of the base axis against the region's axis, rad.
    pub mount_tilt: f64,
    angles: Vec<Lattice>,
    radius: Lattice,
    spacing: Option<Lattice>,
    genes: Vec<Gene>,
}

/// Values that one thing may take.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Lattice {
    /// One value.
    One(f64),
    /// Multiples of a step, from the first one on.
    Multiples { first: f64, step: f64, steps: u32 },
}

impl Lattice {
    /// The multiples of a step in a range; its lower end alone where there is none.
    fn of(range: &Range, step: f64) -> Self {
        let first = (range.from / step - 1e-9).ceil();
        let last = (range.to / step + 1e-9).floor();
        if range.to <= range.from || last < first {
            return Self::One(range.from);
        }
        Self::Multiples {
            first,
            step,
            // Saturates far beyond any range that is read.
            steps: (last - first) as u32,
        }
    }

    fn gene(self, group: u8) -> Gene {
        let steps = match self {
            Self::One(_) => 0,
            Self::Multiples { steps, .. } => steps,
        };
        Gene::Number { steps, group }
    }

    fn value(self, place: u32) -> f64 {
        match self {
            Self::One(value) => value,
            Self::Multiples { first, step, .. } => (first + f64::from(place)) * step,
        }
    }
}

/// All islands of a brief, in order.
pub fn islands(brief: &Brief) -> Vec<Island> {
    let families = brief.choice.families.iter();
    let variants = families.flat_map(|family| family.variants(brief));
    let mut all = Vec::new();
    for variant in variants {
        for tilt in &brief.choice.mount_tilt {
            all.push(Island::new(brief, all.len(), variant, *tilt));
        }
    }
    all
}

fn entries(count: usize) -> u32 {
    u32::try_from(count.max(1)).unwrap_or(u32::MAX)
}

impl Island {
    fn new(brief: &Brief, index: usize, variant: Variant, mount_tilt: f64) -> Self {
        let choice = &brief.choice;
        let angles: Vec<Lattice> = variant
            .ranges(brief)
            .into_iter()
            .map(|(range, _)| Lattice::of(&range, choice.round_angle))
            .collect();
        let radius = Lattice::of(&brief.joint_radius, RADIUS_STEP);
        let spacing = choice.bearing_spacing.as_ref();
        let spacing = spacing.map(|range| Lattice::of(range, SPACING_STEP));
        // As many bars as those kept lie in their layers, whatever else is allowed.
        let kept = brief.kept.as_ref();
        let arranged = kept.is_some_and(|kept| {
            let family = variant.angles(&[]).family();
            keeps_layers(kept, &family)
        });
        let [sections, materials, bearings, arrangements] = [
            choice.sections.len(),
            choice.materials.len(),
            choice.bearings.len(),
            if arranged {
                1
            } else {
                choice.arrangements.len()
            },
        ]
        .map(entries);
        let mut genes: Vec<Gene> = angles.iter().map(|one| one.gene(ANGLES)).collect();
        genes.push(radius.gene(LENGTHS));
        genes.push(Gene::Ordered { count: sections });
        genes.extend([materials, bearings, arrangements].map(|count| Gene::Choice { count }));
        genes.extend(spacing.map(|one| one.gene(LENGTHS)));
        Self {
            index,
            variant,
            mount_tilt,
            angles,
            radius,
            spacing,
            genes,
        }
    }

    /// A number of its own, from what it is and not from its place among others, so that what is
    /// found on it does not depend on which others a brief allows.
    pub(super) fn identity(&self) -> u64 {
        let stages = self.variant.stages().unwrap_or(0) as u64;
        let turned = self.variant.turned_stages();
        let turned = turned
            .iter()
            .fold(0_u64, |all, stage| all | 1 << (stage % 64));
        let words = [
            self.variant.family_name().name(),
            self.variant.layout().map_or("", |layout| layout.name()),
        ];
        let numbers = [stages, turned, self.mount_tilt.to_bits()];
        let bytes = words
            .iter()
            .flat_map(|word| word.bytes().chain([0]))
            .chain(numbers.iter().flat_map(|number| number.to_le_bytes()));
        // FNV-1a, 64 bits.
        bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        })
    }

    /// What varies: the angles, then the innermost radius, section, material, bearing,
    /// arrangement of the layers, and the distance of the bearings where it varies.
    pub fn genes(&self) -> &[Gene] {
        &self.genes
    }

    /// The genes of the angles alone.
    pub fn angle_genes(&self) -> &[Gene] {
        &self.genes[..self.angles.len()]
    }

    /// How many angles are free, 1 where none is.
    pub fn free_angles(&self) -> usize {
        let free = self.angle_genes().iter().filter(|gene| gene.last() > 0);
        free.count().max(1)
    }

    /// Whether a genome is one of it.
    pub fn holds(&self, genome: &Genome) -> bool {
        let mut places = genome.iter().zip(&self.genes);
        genome.len() == self.genes.len() && places.all(|(place, gene)| *place <= gene.last())
    }

    /// How many genomes there are.
    pub fn combinations(&self) -> f64 {
        let places = self.genes.iter().map(|gene| f64::from(gene.last()) + 1.0);
        places.product()
    }

    /// The candidate of a genome.
    pub fn candidate(&self, brief: &Brief, genome: &Genome) -> Candidate {
        let count = self.angles.len();
        let values: Vec<f64> = self
            .angles
            .iter()
            .zip(genome)
            .map(|(lattice, place)| lattice.value(*place))
            .collect();
        let place = |own: usize| genome.get(count + own).copied().unwrap_or(0);
        let listed = |place: u32, list: usize| (list > 0).then_some(place as usize);
        Candidate {
            index: 0,
            angles: self.variant.angles(&values),
            mount_tilt: self.mount_tilt,
            joint_radius: self.radius.value(place(0)),
            section: place(1) as usize,
            material: place(2) as usize,
            bearing: listed(place(3), brief.choice.bearings.len()),
            arrangement: listed(place(4), brief.choice.arrangements.len()),
            spacing: self.spacing.map(|lattice| lattice.value(place(5))),
        }
    }
}
