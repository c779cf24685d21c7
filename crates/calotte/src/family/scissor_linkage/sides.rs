//! Angles that the left and the right bar of a pair have each of their own.

use crate::design::ScissorLinkage;
use crate::family::parameters::{BarAngle, PairedAngle, SideDifference};

/// Differences of angles that are rounding, rad: a few hundred times that of numbers about 1.
const ROUNDING: f64 = 1e-13;

impl PairedAngle {
    /// Which angle of its bars it is.
    pub fn of_bar(self) -> BarAngle {
        match self {
            PairedAngle::Proximal(0) | PairedAngle::Distal(_) => BarAngle::FirstArc,
            PairedAngle::Proximal(_) => BarAngle::SecondArc,
            PairedAngle::Bend(_) => BarAngle::Bend,
        }
    }

    /// The bars that have it, left and right.
    pub fn bars(self) -> [String; 2] {
        let number = match self {
            PairedAngle::Proximal(0) => {
                return ["left", "right"].map(|side| format!("base-{side}"));
            }
            PairedAngle::Proximal(place) => place,
            PairedAngle::Distal(place) | PairedAngle::Bend(place) => place + 1,
        };
        ["left", "right"].map(|side| format!("bar-{side}-{number}"))
    }
}

impl ScissorLinkage {
    /// Every angle that has a left and a right bar, from the base outward.
    pub fn paired_angles(&self) -> Vec<PairedAngle> {
        let mut angles = vec![PairedAngle::Proximal(0)];
        for place in 0..self.stages() {
            angles.push(PairedAngle::Distal(place));
            if place + 1 < self.stages() {
                angles.extend([PairedAngle::Proximal(place + 1), PairedAngle::Bend(place)]);
            }
        }
        angles
    }

    /// What the lists hold of an angle, rad.
    pub fn mean(&self, angle: PairedAngle) -> Option<f64> {
        let (list, place) = match angle {
            PairedAngle::Proximal(place) => (&self.proximal_arcs, place),
            PairedAngle::Distal(place) => (&self.distal_arcs, place),
            PairedAngle::Bend(place) => (&self.bends, place),
        };
        list.get(place).copied()
    }

    fn mean_mut(&mut self, angle: PairedAngle) -> Option<&mut f64> {
        let (list, place) = match angle {
            PairedAngle::Proximal(place) => (&mut self.proximal_arcs, place),
            PairedAngle::Distal(place) => (&mut self.distal_arcs, place),
            PairedAngle::Bend(place) => (&mut self.bends, place),
        };
        list.get_mut(place)
    }

    /// An angle of the left and of the right bar, rad; `None` of a place that there is not.
    pub fn both(&self, angle: PairedAngle) -> Option<[f64; 2]> {
        let mean = self.mean(angle)?;
        Some(self.sides.get(&angle).copied().unwrap_or([mean; 2]))
    }

    /// States an angle of the left and of the right bar, rad. Equal ones are one value of the
    /// list; else the list takes their mean, where it has not got it but for rounding.
    pub fn state(&mut self, angle: PairedAngle, [left, right]: [f64; 2]) {
        let mean = 0.5 * (left + right);
        let Some(listed) = self.mean_mut(angle) else {
            return;
        };
        let differ = (left - right).abs() > ROUNDING;
        if left == right || (*listed - mean).abs() > ROUNDING {
            *listed = mean;
        }
        if differ {
            self.sides.insert(angle, [left, right]);
        } else {
            self.sides.remove(&angle);
        }
    }

    /// Takes what was found of the left and of the right bar, rad; the list holds their mean
    /// to the last digit, whatever it held.
    pub(super) fn find(&mut self, angle: PairedAngle, [left, right]: [f64; 2]) {
        if let Some(listed) = self.mean_mut(angle) {
            *listed = 0.5 * (left + right);
            self.state(angle, [left, right]);
        }
    }

    /// Takes the angle as another linkage has it; nothing where one of the two has none.
    pub(super) fn take(&mut self, angle: PairedAngle, old: &ScissorLinkage) {
        let (Some(new), Some(mean)) = (self.mean_mut(angle), old.mean(angle)) else {
            return;
        };
        *new = mean;
        match old.sides.get(&angle) {
            Some(both) => self.sides.insert(angle, *both),
            None => self.sides.remove(&angle),
        };
    }

    /// Where left and right differ, the most first; none where they are equal but for rounding.
    pub(super) fn differences(&self) -> Vec<SideDifference> {
        let all = self.sides.iter().map(|(angle, values)| SideDifference {
            bars: angle.bars(),
            angle: angle.of_bar(),
            values: *values,
        });
        let mut found: Vec<_> = all.filter(|one| one.size() > ROUNDING).collect();
        found.sort_by(|a, b| b.size().total_cmp(&a.size()));
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two stages with one bend, one bar of another arc.
    fn with_longer(left: f64) -> ScissorLinkage {
        let mut scissor = ScissorLinkage::uniform(2, 0.4);
        scissor.state(PairedAngle::Distal(1), [left, 0.4]);
        scissor
    }

    #[test]
    fn names_are_those_of_bodies_and_parameters() {
        let names = |angle: PairedAngle| {
            let [left, right] = angle.bars();
            format!("{left} {right} {}", angle.of_bar().name())
        };
        let all: Vec<String> = ScissorLinkage::uniform(2, 0.4)
            .paired_angles()
            .into_iter()
            .map(names)
            .collect();
        let expected = [
            "base-left base-right first_arc",
            "bar-left-1 bar-right-1 first_arc",
            "bar-left-1 bar-right-1 second_arc",
            "bar-left-1 bar-right-1 bend",
            "bar-left-2 bar-right-2 first_arc",
        ];
        assert_eq!(all, expected);
    }

    #[test]
    fn the_list_holds_the_mean_and_equal_sides_are_none() {
        let scissor = with_longer(0.41);
        assert!((scissor.distal_arcs[1] - 0.405).abs() < 1e-15);
        assert_eq!(scissor.both(PairedAngle::Distal(1)), Some([0.41, 0.4]));
        assert_eq!(scissor.both(PairedAngle::Distal(0)), Some([0.4; 2]));
        assert_eq!(scissor.both(PairedAngle::Distal(2)), None);
        assert_eq!(with_longer(0.4 + 1e-16), ScissorLinkage::uniform(2, 0.4));
        let mut equal = scissor;
        equal.state(PairedAngle::Distal(1), [0.37; 2]);
        assert_eq!((equal.distal_arcs[1], equal.sides.len()), (0.37, 0));
        // A place that the linkage has not takes nothing.
        equal.state(PairedAngle::Bend(1), [0.1, 0.2]);
        assert!(equal.sides.is_empty());
    }

    #[test]
    fn the_greatest_difference_is_named() {
        let mut scissor = with_longer(0.41);
        scissor.state(PairedAngle::Bend(0), [-0.01, 0.02]);
        let all = scissor.differences();
        let found = &all[0];
        assert_eq!(found.bars, ["bar-left-1", "bar-right-1"]);
        assert_eq!(found.angle, BarAngle::Bend);
        assert!((found.size() - 0.03).abs() < 1e-15);
        assert_eq!(all.len(), 2);
        assert!(ScissorLinkage::uniform(3, 0.3).differences().is_empty());
    }

    #[test]
    fn a_part_that_stays_brings_its_sides_and_no_other() {
        let old = with_longer(0.41);
        let mut new = ScissorLinkage::uniform(3, 0.3);
        new.take(PairedAngle::Distal(1), &old);
        assert_eq!(new.both(PairedAngle::Distal(1)), Some([0.41, 0.4]));
        new.take(PairedAngle::Distal(2), &old);
        assert_eq!(new.both(PairedAngle::Distal(2)), Some([0.3; 2]));
        // Back to equal sides with a part that has them.
        new.take(PairedAngle::Distal(1), &ScissorLinkage::uniform(2, 0.35));
        assert_eq!(new.both(PairedAngle::Distal(1)), Some([0.35; 2]));
    }
}
