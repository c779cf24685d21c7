//! Which stiffnesses take digits from an elastic answer.
//!
//! The motion shows it that resists least for what it moves, found by inverse iteration: its
//! energy lies in the springs that are too soft, and what it carries along is too stiff. Where
//! it lies in no spring at all, the linkage can move freely.

use nalgebra::{SMatrix, Vector2, Vector5};

use super::elements::Motion;
use super::factor::Factor;
use super::precision::{Extremes, RATIO_OF_NO_ACCOUNT, Spring};
use super::response::into_end_frame;
use super::structure::{Structure, turn_element};

/// Steps of inverse iteration; the softest motion stands out by many orders of magnitude.
const STEPS: usize = 8;

/// Share of a motion that must lie in a spring for the spring to be what yields; what rounding
/// leaves in others is below 1e-11.
const YIELDS: f64 = 1e-6;

/// Kinds of springs: axial, radial, tilt, pins, drives, bars.
const KINDS: usize = 6;
/// Places among them.
const PINS: usize = 3;
const DRIVES: usize = 4;
const BARS: usize = 5;

/// What a motion does to all springs of one kind.
#[derive(Debug, Clone, Copy, Default)]
struct Kind {
    /// Twice their strain energy.
    energy: f64,
    /// Twice the energy they would hold if every unknown moved alone.
    alone: f64,
    /// Greatest share of the motion that lies in one of them: its energy if it were as stiff
    /// as all that its ends are tied to.
    yields: f64,
}

impl Kind {
    /// One spring: its energy, and its own part of the stiffness of the unknowns it ties.
    fn add(&mut self, energy: f64, ends: &[(Motion, f64)], motion: &Mode<'_>) {
        let mut lift = 0.0_f64;
        for (unknown, own) in ends {
            if let Some(unknown) = unknown
                && *own > 0.0
            {
                lift = lift.max(motion.diagonal[*unknown] / own);
                self.alone += own * motion.of[*unknown] * motion.of[*unknown];
            }
        }
        self.energy += energy;
        self.yields = self.yields.max(energy * lift);
    }
}

/// A motion of all unknowns, of length 1 over the stiffness that went into each.
struct Mode<'a> {
    of: Vec<f64>,
    diagonal: &'a [f64],
    /// How far what resists it is below the stiffness that went in.
    ratio: f64,
}

impl<'a> Mode<'a> {
    /// The motion that resists least for what it moves, after so many steps.
    fn softest(factor: &'a Factor<'_>, steps: usize) -> Option<Self> {
        let diagonal = factor.diagonal();
        // Something of every motion, without regard to how any of them looks.
        let mut of: Vec<f64> = diagonal
            .iter()
            .enumerate()
            .map(|(k, own)| match *own > 0.0 {
                true => (1.0 + (1.7 * k as f64).sin()) / own.sqrt(),
                // The force of a constraint is no motion.
                false => 0.0,
            })
            .collect();
        let mut ratio = 0.0;
        for _ in 0..steps {
            let inverse = length(&of, diagonal).recip();
            for (value, own) in of.iter_mut().zip(diagonal) {
                *value *= own * inverse;
            }
            factor.solve(&mut of);
            ratio = length(&of, diagonal);
        }
        of.iter_mut().for_each(|value| *value /= ratio);
        let finite = of.iter().all(|value| value.is_finite());
        finite.then_some(Self {
            of,
            diagonal,
            ratio,
        })
    }

    fn amount(&self, unknown: Motion) -> f64 {
        unknown.map_or(0.0, |unknown| self.of[unknown])
    }
}

/// Length of a motion over the stiffness that went into each unknown.
fn length(motion: &[f64], diagonal: &[f64]) -> f64 {
    let squares = motion.iter().zip(diagonal).map(|(v, own)| own * v * v);
    squares.sum::<f64>().sqrt()
}

impl Structure {
    /// How far what is left of the stiffness is below what went in, in the motion that resists
    /// least; as far as it matters.
    pub(super) fn ratio(factor: &Factor<'_>) -> f64 {
        let after = |steps: usize| Mode::softest(factor, steps).map_or(f64::INFINITY, |m| m.ratio);
        let first = after(2);
        if first < RATIO_OF_NO_ACCOUNT {
            first
        } else {
            after(STEPS)
        }
    }

    /// How far the least of all springs is below the greatest, displacements taken as
    /// rotations at the reference radius: no number of digits, but where it is small, there
    /// are enough.
    pub(super) fn spread(&self) -> f64 {
        let squared = self.radius * self.radius;
        let of_joints = self
            .joints
            .iter()
            .filter(|joint| joint.law.stiffness.is_some())
            .flat_map(|joint| joint.law.springs(squared));
        let of_drives = self.drive.iter().flat_map(|drive| {
            let of_both = (0..2).map(|row| drive.stiffness[(row, row)]);
            of_both.chain(drive.torsion.map(f64::recip))
        });
        let of_bars = self.arcs.iter().flat_map(|arc| {
            let (bar, element) = (arc.element.bar(), &arc.element);
            let inverse = (element.free_angle() * element.radius).recip();
            [
                bar.axial * squared,
                bar.shear_in_plane * squared,
                bar.shear_out_of_plane * squared,
                bar.bending_in_plane,
                bar.bending_out_of_plane,
                bar.torsional,
            ]
            .map(|section| section * inverse)
        });
        let (least, greatest) = of_joints
            .chain(of_drives)
            .chain(of_bars)
            .filter(|spring| *spring > 0.0 && spring.is_finite())
            .fold((f64::INFINITY, 0.0_f64), |(least, greatest), spring| {
                (least.min(spring), greatest.max(spring))
            });
        greatest / least
    }

    /// Which stiffnesses stand too far apart, of a factorised structure; `None` where the
    /// softest motion lies in no spring, as that of a linkage that can move freely.
    pub(super) fn extremes(
        &self,
        factor: &Factor<'_>,
        turns: &[[(f64, f64); 2]],
    ) -> Option<Extremes> {
        let mode = Mode::softest(factor, STEPS)?;
        let kinds = self.kinds(&mode, turns);
        let [axial, radial, tilt] = self.stated.joints;
        let springs = [
            axial,
            radial,
            tilt,
            Spring::Pins,
            self.stated.drives,
            Spring::Bars,
        ];
        let greatest = |of: &dyn Fn(usize) -> Option<f64>| {
            (0..KINDS)
                .filter_map(|kind| Some((kind, of(kind)?)))
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(kind, _)| kind)
        };
        let soft = greatest(&|kind| (kinds[kind].yields > YIELDS).then_some(kinds[kind].energy))?;
        let stiff = greatest(&|kind| (kind != soft).then_some(kinds[kind].alone))?;
        Some(Extremes {
            soft: springs[soft],
            stiff: springs[stiff],
            ratio: kinds.iter().map(|kind| kind.energy).sum::<f64>().recip(),
        })
    }

    fn kinds(&self, mode: &Mode<'_>, turns: &[[(f64, f64); 2]]) -> [Kind; KINDS] {
        let mut kinds = [Kind::default(); KINDS];
        for joint in &self.joints {
            let Some(stiffness) = &joint.law.stiffness else {
                continue;
            };
            let [first, second] = joint.ends;
            let relative =
                Vector5::from_fn(|row, _| mode.amount(second[row]) - mode.amount(first[row]));
            let energies = joint.law.doubled_energies(&relative);
            let rows: [&[usize]; 4] = [&[0], &[1, 2], &[3, 4], &[1, 2, 3, 4]];
            // A pin is in series with its bearings: what both carry along counts once.
            let pins = kinds[PINS].alone;
            for (kind, (energy, rows)) in energies.into_iter().zip(rows).enumerate() {
                let ends: Vec<(Motion, f64)> = rows
                    .iter()
                    .flat_map(|row| {
                        let own = stiffness[(*row, *row)];
                        [(first[*row], own), (second[*row], own)]
                    })
                    .collect();
                kinds[kind].add(energy, &ends, mode);
            }
            kinds[PINS].alone = pins;
        }
        if let Some(drive) = &self.drive {
            let relative = Vector2::from(
                drive
                    .spins
                    .map(|[second, first]| mode.amount(second) - mode.amount(first)),
            );
            let ends: Vec<(Motion, f64)> = (0..2)
                .flat_map(|row| drive.spins[row].map(|end| (end, drive.stiffness[(row, row)])))
                .collect();
            kinds[DRIVES].add(relative.dot(&(drive.stiffness * relative)), &ends, mode);
        }
        for (arc, turns) in self.arcs.iter().zip(turns) {
            let mut motion = SMatrix::<f64, 12, 1>::zeros();
            let mut ends = Vec::with_capacity(12);
            let mut matrix = arc.element.stiffness;
            turn_element(matrix.as_mut_slice(), turns);
            for (end, (place, turn)) in arc.ends.into_iter().zip(turns).enumerate() {
                let unknowns = self.places[place].motions;
                let local = into_end_frame(&self.place_motion(place, &mode.of), *turn);
                motion.fixed_rows_mut::<6>(6 * end).copy_from(&local);
                for (row, unknown) in unknowns.into_iter().enumerate() {
                    let row = 6 * end + row;
                    ends.push((unknown, matrix[(row, row)]));
                }
            }
            kinds[BARS].add(arc.element.doubled_energy(&motion), &ends, mode);
        }
        kinds
    }
}
