//! The outline of a solid on the sphere of one radius.
//!
//! All circles of the pieces there are cut at their crossings and at the ends of their
//! stretches; a part between two cuts belongs to the outline if the solid lies on one
//! side of it only. Circles that coincide are one circle, so that a bar which ends in
//! the rim of its boss needs no special case.

use std::f64::consts::TAU;

use nalgebra::Vector3;

use crate::circle::{Circle, Crossings, crossing, crossings, nearest_turn, wrapped};
use crate::region::{Boundary, Model};

/// Parameters closer than this are one, rad.
const ONE_PARAMETER: f64 = 1e-8;

/// A cut of a circle, known by what makes it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub(crate) enum Corner {
    /// A parameter that does not depend on the radius.
    Fixed(f64),
    /// The crossing with another circle: the one on the side of the cross product of
    /// the axes, lower index first, or the other.
    Crossing(usize, bool),
}

/// A part of a circle that belongs to the outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stretch {
    pub circle: usize,
    /// Where it begins and ends; `None` for a whole circle.
    pub ends: Option<(Corner, Corner)>,
    /// Whether the solid lies to the left of the circle.
    pub solid_left: bool,
    /// Parameter at which it begins at the radius of the outline, rad.
    pub start: f64,
    /// Its length there, rad.
    pub length: f64,
}

impl Stretch {
    /// Whether both are the same but for where they begin and how long they are.
    pub fn same_as(&self, other: &Stretch) -> bool {
        self.circle == other.circle
            && self.ends == other.ends
            && self.solid_left == other.solid_left
    }
}

/// The outline on the sphere of one radius, valid for the radii about it.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Outline {
    pub stretches: Vec<Stretch>,
}

impl Outline {
    /// Whether both have the same stretches, whatever their lengths.
    pub fn same_structure(&self, other: &Outline) -> bool {
        self.stretches.len() == other.stretches.len()
            && self
                .stretches
                .iter()
                .zip(&other.stretches)
                .all(|(a, b)| a.same_as(b))
    }

    /// The outline of the regions given, on the sphere of a radius.
    pub fn new(model: &Model, active: &[usize], radius: f64) -> Self {
        let boundaries: Vec<Boundary> = model
            .boundaries
            .iter()
            .filter(|boundary| active.contains(&boundary.region))
            .copied()
            .collect();
        let mut circles: Vec<usize> = boundaries.iter().map(|b| b.circle).collect();
        circles.sort_unstable();
        circles.dedup();
        let scene = Scene {
            model,
            active,
            boundaries: &boundaries,
            radius,
        };
        let mut cuts = vec![Vec::new(); model.circles.len()];
        for boundary in boundaries.iter().filter(|b| b.length < TAU) {
            for parameter in [boundary.start, boundary.start + boundary.length] {
                let parameter = wrapped(parameter);
                cuts[boundary.circle].push((parameter, Corner::Fixed(parameter)));
            }
        }
        for (position, first) in circles.iter().enumerate() {
            for second in &circles[position + 1..] {
                scene.cut(*first, *second, &mut cuts);
            }
        }
        let mut stretches = Vec::new();
        for circle in circles {
            let cuts = distinct(std::mem::take(&mut cuts[circle]));
            stretches.extend(scene.stretches(circle, &cuts));
        }
        Self { stretches }
    }
}

/// What an outline is made from.
struct Scene<'a> {
    model: &'a Model,
    active: &'a [usize],
    boundaries: &'a [Boundary],
    radius: f64,
}

impl Scene<'_> {
    /// Cuts two circles at their crossings, where both bound something.
    fn cut(&self, first: usize, second: usize, cuts: &mut [Vec<(f64, Corner)>]) {
        let (a, b) = (&self.model.circles[first], &self.model.circles[second]);
        let signs: &[bool] = match crossings(a, b, self.radius) {
            Crossings::None => &[],
            Crossings::One => &[true],
            Crossings::Two => &[true, false],
        };
        for plus in signs {
            let direction = crossing(a, b, *plus, self.radius);
            let (on_a, on_b) = (a.parameter(&direction), b.parameter(&direction));
            if self.bounds(first, on_a) && self.bounds(second, on_b) {
                cuts[first].push((on_a, Corner::Crossing(second, *plus)));
                cuts[second].push((on_b, Corner::Crossing(first, *plus)));
            }
        }
    }

    fn bounds(&self, circle: usize, parameter: f64) -> bool {
        self.boundaries
            .iter()
            .any(|boundary| boundary.circle == circle && covers(boundary, parameter))
    }

    /// On which sides of a point of a circle the solid lies: left, right.
    fn sides(&self, circle: usize, parameter: f64) -> [bool; 2] {
        let direction = self.model.circles[circle].point(parameter, self.radius);
        let on_boundary = |region: usize| {
            self.boundaries.iter().find(|boundary| {
                boundary.circle == circle
                    && boundary.region == region
                    && covers(boundary, parameter)
            })
        };
        [true, false].map(|left| {
            self.model.solid(self.active.iter().map(|region| {
                let inside = match on_boundary(*region) {
                    Some(boundary) => boundary.inside_left == left,
                    None => self.model.regions[*region].contains(&direction, self.radius),
                };
                (*region, inside)
            }))
        })
    }

    /// The parts of a circle that belong to the outline.
    fn stretches(&self, circle: usize, cuts: &[(f64, Corner)]) -> Vec<Stretch> {
        if cuts.is_empty() {
            let [left, right] = self.sides(circle, 1.0);
            return (left != right)
                .then_some(Stretch {
                    circle,
                    ends: None,
                    solid_left: left,
                    start: 0.0,
                    length: TAU,
                })
                .into_iter()
                .collect();
        }
        let parts: Vec<Part> = (0..cuts.len())
            .map(|index| {
                let (start, from) = cuts[index];
                let (end, to) = cuts[(index + 1) % cuts.len()];
                let length = match wrapped(end - start) {
                    0.0 => TAU,
                    length => length,
                };
                let [left, right] = self.sides(circle, wrapped(start + 0.5 * length));
                Part {
                    from,
                    to,
                    start,
                    length,
                    solid_left: (left != right).then_some(left),
                }
            })
            .collect();
        joined(circle, &parts)
    }
}

/// A circle's part between two neighbouring cuts.
struct Part {
    from: Corner,
    to: Corner,
    start: f64,
    length: f64,
    /// On which side the solid lies; `None` if on both or neither.
    solid_left: Option<bool>,
}

/// Parts that follow one another with the solid on the same side, as one stretch.
fn joined(circle: usize, parts: &[Part]) -> Vec<Stretch> {
    let count = parts.len();
    let before = |index: usize| &parts[(index + count - 1) % count];
    let mut starts: Vec<usize> = (0..count)
        .filter(|index| before(*index).solid_left != parts[*index].solid_left)
        .collect();
    if starts.is_empty() {
        // The same all round.
        return parts[0]
            .solid_left
            .map(|solid_left| Stretch {
                circle,
                ends: None,
                solid_left,
                start: 0.0,
                length: TAU,
            })
            .into_iter()
            .collect();
    }
    starts.push(starts[0] + count);
    let mut stretches: Vec<Stretch> = starts
        .windows(2)
        .filter_map(|pair| {
            let solid_left = parts[pair[0]].solid_left?;
            let last = &parts[(pair[1] - 1) % count];
            Some(Stretch {
                circle,
                ends: Some((parts[pair[0]].from, last.to)),
                solid_left,
                start: parts[pair[0]].start,
                length: (pair[0]..pair[1]).map(|i| parts[i % count].length).sum(),
            })
        })
        .collect();
    // Where the parameter begins must not decide their order.
    stretches.sort_by(|a, b| {
        a.ends
            .partial_cmp(&b.ends)
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    stretches
}

fn covers(boundary: &Boundary, parameter: f64) -> bool {
    let middle = boundary.start + 0.5 * boundary.length;
    nearest_turn(parameter - middle).abs() <= 0.5 * boundary.length + ONE_PARAMETER
}

/// Cuts in order, those at one parameter as one: fixed ones first, then the lowest circle.
fn distinct(mut cuts: Vec<(f64, Corner)>) -> Vec<(f64, Corner)> {
    let order = |a: &Corner, b: &Corner| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal);
    cuts.sort_by(|a, b| a.0.total_cmp(&b.0).then(order(&a.1, &b.1)));
    let mut kept: Vec<(f64, Corner)> = Vec::new();
    for cut in cuts {
        match kept.last_mut() {
            Some(last) if cut.0 - last.0 < ONE_PARAMETER => {
                if order(&cut.1, &last.1).is_lt() {
                    last.1 = cut.1;
                }
            }
            _ => kept.push(cut),
        }
    }
    if kept.len() > 1 {
        let (first, last) = (kept[0], kept[kept.len() - 1]);
        if first.0 + TAU - last.0 < ONE_PARAMETER {
            kept.pop();
            if order(&last.1, &first.1).is_lt() {
                kept[0].1 = last.1;
            }
        }
    }
    kept
}

/// Direction and parameter of a corner of a circle, on the sphere of a radius.
pub(crate) fn corner_at(
    model: &Model,
    circle: usize,
    corner: Corner,
    radius: f64,
) -> (Vector3<f64>, f64) {
    let here: &Circle = &model.circles[circle];
    match corner {
        Corner::Fixed(parameter) => (here.point(parameter, radius), parameter),
        Corner::Crossing(other, plus) => {
            let (first, second) = (circle.min(other), circle.max(other));
            let (a, b) = (&model.circles[first], &model.circles[second]);
            let direction = crossing(a, b, plus, radius);
            (direction, here.parameter(&direction))
        }
    }
}
