//! Plane geometry of the drawing sheet: boxes, clipping, hatching.
//!
//! The sheet's frame has x to the right and y downwards, as SVG has; lengths are
//! points (1/72 inch).

/// A place on the sheet, pt.
pub(crate) type Point = [f64; 2];

/// An upright box on the sheet, pt; `top` is the smaller y.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rect {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Rect {
    pub fn new(left: f64, top: f64, width: f64, height: f64) -> Self {
        Self {
            left,
            top,
            right: left + width,
            bottom: top + height,
        }
    }

    pub fn around(centre: Point, width: f64, height: f64) -> Self {
        Self::new(
            centre[0] - width / 2.0,
            centre[1] - height / 2.0,
            width,
            height,
        )
    }

    /// The box with corners at `a` and `b`.
    pub fn between(a: Point, b: Point) -> Self {
        Self {
            left: a[0].min(b[0]),
            top: a[1].min(b[1]),
            right: a[0].max(b[0]),
            bottom: a[1].max(b[1]),
        }
    }

    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub fn centre(&self) -> Point {
        [
            (self.left + self.right) / 2.0,
            (self.top + self.bottom) / 2.0,
        ]
    }

    pub fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    pub fn contains(&self, point: Point) -> bool {
        point[0] >= self.left
            && point[0] <= self.right
            && point[1] >= self.top
            && point[1] <= self.bottom
    }

    pub fn encloses(&self, other: &Self) -> bool {
        other.left >= self.left
            && other.right <= self.right
            && other.top >= self.top
            && other.bottom <= self.bottom
    }

    /// The part of this box that lies inside `other`, which it must meet.
    pub fn within(&self, other: &Self) -> Self {
        Self {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            bottom: self.bottom.min(other.bottom),
        }
    }

    /// Area shared with `other`, pt²; boxes that only touch share none.
    pub fn overlap(&self, other: &Self) -> f64 {
        let width = self.right.min(other.right) - self.left.max(other.left);
        let height = self.bottom.min(other.bottom) - self.top.max(other.top);
        width.max(0.0) * height.max(0.0)
    }

    /// Corners in drawing order, first one top left.
    pub fn corners(&self) -> [Point; 4] {
        [
            [self.left, self.top],
            [self.right, self.top],
            [self.right, self.bottom],
            [self.left, self.bottom],
        ]
    }

    /// The part of the straight line from `from` to `to` inside this box, if any
    /// (Liang and Barsky's parametric clipping).
    pub fn clip(&self, from: Point, to: Point) -> Option<(Point, Point)> {
        let step = [to[0] - from[0], to[1] - from[1]];
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        let sides = [
            (-step[0], from[0] - self.left),
            (step[0], self.right - from[0]),
            (-step[1], from[1] - self.top),
            (step[1], self.bottom - from[1]),
        ];
        for (rate, room) in sides {
            if rate == 0.0 {
                if room < 0.0 {
                    return None;
                }
            } else if rate < 0.0 {
                enter = enter.max(room / rate);
            } else {
                leave = leave.min(room / rate);
            }
        }
        let at = |t: f64| [from[0] + t * step[0], from[1] + t * step[1]];
        (enter <= leave).then(|| (at(enter), at(leave)))
    }
}

/// The smallest box around `points`; `None` without points.
pub(crate) fn bounding_box(points: &[Point]) -> Option<Rect> {
    points
        .iter()
        .map(|p| Rect::between(*p, *p))
        .reduce(|a, b| Rect {
            left: a.left.min(b.left),
            top: a.top.min(b.top),
            right: a.right.max(b.right),
            bottom: a.bottom.max(b.bottom),
        })
}

/// Distance between two places, pt.
pub(crate) fn distance(a: Point, b: Point) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// The box that holds a box of `width` by `height` turned by `angle_deg` about its centre.
pub(crate) fn turned_box(centre: Point, width: f64, height: f64, angle_deg: f64) -> Rect {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    Rect::around(
        centre,
        width * cos.abs() + height * sin.abs(),
        width * sin.abs() + height * cos.abs(),
    )
}

/// Falling (`\`) or rising (`/`) hatch strokes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum HatchDirection {
    Rising,
    Falling,
}

/// Hatch strokes at 45° inside the polygon `outline` (even-odd rule).
///
/// The strokes' phase belongs to the sheet, not to the polygon, so that strokes run on
/// through neighbouring cells. Written out as strokes rather than as an SVG pattern:
/// patterns need identifiers, and those collide when several figures share a page.
pub(crate) fn hatch(
    outline: &[Point],
    spacing: f64,
    direction: HatchDirection,
) -> Vec<(Point, Point)> {
    let sign = match direction {
        HatchDirection::Rising => 1.0,
        HatchDirection::Falling => -1.0,
    };
    // Along a stroke s = x + sign·y is constant; t = x − sign·y runs along it.
    let turned: Vec<[f64; 2]> = outline
        .iter()
        .map(|p| [p[0] + sign * p[1], p[0] - sign * p[1]])
        .collect();
    let step = spacing * std::f64::consts::SQRT_2;
    let low = turned.iter().map(|p| p[0]).fold(f64::INFINITY, f64::min);
    let high = turned
        .iter()
        .map(|p| p[0])
        .fold(f64::NEG_INFINITY, f64::max);
    let mut strokes = Vec::new();
    if !(low.is_finite() && high.is_finite()) {
        return strokes;
    }
    let mut index = (low / step).ceil();
    while index * step <= high {
        let s = index * step;
        let mut crossings = Vec::new();
        for (i, a) in turned.iter().enumerate() {
            let b = turned[(i + 1) % turned.len()];
            if (a[0] <= s) != (b[0] <= s) {
                crossings.push(a[1] + (s - a[0]) / (b[0] - a[0]) * (b[1] - a[1]));
            }
        }
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let at = |t: f64| [(s + t) / 2.0, sign * (s - t) / 2.0];
            strokes.push((at(pair[0]), at(pair[1])));
        }
        index += 1.0;
    }
    strokes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clipping_keeps_the_part_inside() {
        let rect = Rect::new(0.0, 0.0, 10.0, 10.0);
        let (from, to) = rect.clip([-5.0, 5.0], [15.0, 5.0]).expect("crosses");
        assert_eq!((from, to), ([0.0, 5.0], [10.0, 5.0]));
        assert!(rect.clip([-5.0, 11.0], [15.0, 11.0]).is_none());
        assert!(rect.clip([-5.0, 4.0], [4.0, -6.0]).is_none());
    }

    #[test]
    fn hatch_strokes_of_a_square_stay_inside_and_keep_their_distance() {
        let square = Rect::new(3.0, 4.0, 20.0, 20.0);
        let strokes = hatch(&square.corners(), 2.0, HatchDirection::Rising);
        // The diagonal of 20·√2 holds 14 strokes 2 apart, one more if the phase allows.
        assert!((14..=15).contains(&strokes.len()), "{}", strokes.len());
        for (a, b) in &strokes {
            let room = square.grown(1e-9);
            assert!(room.contains(*a) && room.contains(*b));
            assert!(((a[0] + a[1]) - (b[0] + b[1])).abs() < 1e-9);
        }
        let offset = |s: &(Point, Point)| (s.0[0] + s.0[1]) / std::f64::consts::SQRT_2;
        for pair in strokes.windows(2) {
            assert!((offset(&pair[1]) - offset(&pair[0]) - 2.0).abs() < 1e-9);
        }
    }

    #[test]
    fn hatch_leaves_the_notch_of_a_concave_outline_free() {
        let outline = [
            [0.0, 0.0],
            [10.0, 0.0],
            [10.0, 10.0],
            [5.0, 1.0],
            [0.0, 10.0],
        ];
        for (a, b) in hatch(&outline, 0.7, HatchDirection::Falling) {
            let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
            let roof = 1.0 + (middle[0] - 5.0).abs() * 9.0 / 5.0;
            assert!(middle[1] <= roof + 1e-9, "{middle:?} lies in the notch");
        }
    }

    #[test]
    fn turned_box_of_a_quarter_turn_swaps_the_sides() {
        let rect = turned_box([0.0, 0.0], 10.0, 2.0, -90.0);
        assert!((rect.width() - 2.0).abs() < 1e-9);
        assert!((rect.height() - 10.0).abs() < 1e-9);
    }
}
