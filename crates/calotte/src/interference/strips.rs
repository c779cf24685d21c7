//! From the angle between two cores to the distance of two pieces.
//!
//! In the plane through the remote centre and the two nearest directions each
//! straight piece is a strip along its ray: sides parallel to the ray at the half
//! width, ends on circles about the centre. A round piece is a circle about a point
//! of its ray. The distance of strips at the angle of the cores is the distance of
//! the pieces in space (derived in `docs/theory/interference.md`, "From space to the
//! plane").

use crate::built::{Piece, Profile};

/// What a piece is in the plane, less its round skin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    inner: f64,
    outer: f64,
    half_width: f64,
    /// Added to all sides; a round piece is a point with a skin.
    skin: f64,
    /// Outer radius of the full shell a piece wider than its inner radius makes
    /// about the centre, m; zero for none.
    shell: f64,
}

impl Shape {
    /// Nothing, infinitely far away.
    pub(super) const EMPTY: Shape = Shape {
        inner: f64::MAX,
        outer: f64::MAX,
        half_width: 0.0,
        skin: 0.0,
        shell: 0.0,
    };

    /// The shape of a piece; `None` if a size is not finite or out of order.
    pub fn of(piece: &Piece) -> Option<Self> {
        let sizes = [piece.inner, piece.outer, piece.half_width];
        if sizes.iter().any(|size| !size.is_finite() || *size < 0.0) || piece.outer < piece.inner {
            return None;
        }
        Some(match piece.profile {
            Profile::Round => Self {
                inner: piece.middle(),
                outer: piece.middle(),
                half_width: 0.0,
                skin: piece.half_width,
                shell: 0.0,
            },
            Profile::Straight => {
                // Within its own half width of the centre a piece holds every direction.
                let shell = if piece.inner < piece.half_width {
                    piece.half_width.min(piece.outer)
                } else {
                    0.0
                };
                let inner = piece.inner.max(shell);
                Self {
                    inner,
                    outer: piece.outer,
                    half_width: piece.half_width.min(inner),
                    skin: 0.0,
                    shell,
                }
            }
        })
    }

    /// Sine of the angle by which it reaches beyond its core at a radius.
    fn spread_sine(&self, radius: f64) -> f64 {
        if radius > 0.0 {
            (self.half_width / radius).min(1.0)
        } else {
            0.0
        }
    }

    /// How far along the ray the side reaches at a radius.
    fn along(&self, radius: f64) -> f64 {
        (radius * radius - self.half_width * self.half_width)
            .max(0.0)
            .sqrt()
    }

    /// Radial gap between a shell about the centre and this shape; negative: overlap.
    fn gap_to_shell(&self, inner: f64, outer: f64) -> f64 {
        (self.inner - outer).max(inner - self.outer)
    }
}

/// The side of a strip: from `start` to `end` along the ray, at the half width.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Side {
    start: f64,
    end: f64,
    half_width: f64,
    inner: f64,
    outer: f64,
}

impl Side {
    fn of(shape: &Shape) -> Self {
        Self {
            start: shape.along(shape.inner),
            end: shape.along(shape.outer),
            half_width: shape.half_width,
            inner: shape.inner,
            outer: shape.outer,
        }
    }

    /// Squared distance from a point at `along` and `across` the ray.
    #[inline]
    fn square_to(&self, along: f64, across: f64) -> f64 {
        let beside = along - along.clamp(self.start, self.end);
        let over = across - self.half_width;
        beside * beside + over * over
    }

    /// Squared distance of the nearer end of `other` whose ray lies at the angle.
    #[inline]
    fn square_to_ends(&self, other: &Side, cosine: f64, sine: f64) -> f64 {
        let (x, y) = (other.half_width * sine, other.half_width * cosine);
        self.square_to(other.start * cosine + x, other.start * sine - y)
            .min(self.square_to(other.end * cosine + x, other.end * sine - y))
    }

    /// Angle from this side's ray at which a point of the radius keeps the distance;
    /// `None` if it does at any angle, π if at none.
    fn angle_keeping(&self, radius: f64, distance: f64) -> Option<f64> {
        let across = self.half_width + distance;
        let foot = (radius * radius - across * across).max(0.0).sqrt();
        let beside_end = |end: f64| {
            let product = 2.0 * radius * end;
            let cosine = (radius * radius + end * end - distance * distance) / product;
            let own = (self.half_width / end).min(1.0).asin();
            (cosine <= 1.0).then(|| own + cosine.max(-1.0).acos())
        };
        if across > radius || foot < self.start {
            beside_end(self.inner)
        } else if foot > self.end {
            beside_end(self.outer)
        } else {
            Some((across / radius).asin())
        }
    }
}

/// Two shapes, ready to give their distance for any angle between their cores.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strips {
    first: Side,
    second: Side,
    /// Chord of the greatest angle at which the strips meet or lie over one another.
    contact_chord: f64,
    /// Radius at which they meet first.
    contact_radius: f64,
    /// Radial gap of the two shells; negative: the radial overlap.
    radial_gap: f64,
    /// Skins of both.
    skin: f64,
    /// Distance left by full shells about the centre, which no angle changes.
    shell_distance: f64,
}

impl Strips {
    /// Prepares two shapes.
    pub fn new(first: &Shape, second: &Shape) -> Self {
        let radial_gap = first.gap_to_shell(second.inner, second.outer);
        let lowest = first.inner.max(second.inner);
        let radii = if first.outer < second.inner {
            [first.outer, second.inner]
        } else if second.outer < first.inner {
            [first.inner, second.outer]
        } else {
            [lowest, lowest]
        };
        let contact_chord = chord_of_sum(first.spread_sine(radii[0]), second.spread_sine(radii[1]));
        let mut shell_distance = f64::INFINITY;
        for (shell, other) in [(first, second), (second, first)] {
            if shell.shell > 0.0 {
                shell_distance = shell_distance.min(other.gap_to_shell(0.0, shell.shell));
            }
        }
        Self {
            first: Side::of(first),
            second: Side::of(second),
            contact_chord,
            contact_radius: lowest,
            radial_gap,
            skin: first.skin + second.skin,
            shell_distance,
        }
    }

    /// Radial gap between the two pieces' shells, m: their distance whatever the
    /// angle, at least. Negative: they overlap radially.
    pub fn radial_gap(&self) -> f64 {
        (self.radial_gap - self.skin).min(self.shell_distance)
    }

    /// Distance at the chord between the cores, m.
    ///
    /// Negative where the pieces pass through one another: minus the least of what
    /// they overlap along the radius and across it (at the least radius both have).
    /// It grows with the chord, and is 0 exactly where they touch.
    pub fn distance(&self, chord: f64) -> f64 {
        let planar = if chord <= self.contact_chord {
            let across = self.contact_radius * (chord - self.contact_chord);
            if self.radial_gap >= 0.0 {
                self.radial_gap
            } else {
                self.radial_gap.max(across)
            }
        } else {
            let cosine = 1.0 - 0.5 * chord * chord;
            let sine = chord * (1.0 - 0.25 * chord * chord).max(0.0).sqrt();
            self.first
                .square_to_ends(&self.second, cosine, sine)
                .min(self.second.square_to_ends(&self.first, cosine, sine))
                .sqrt()
        };
        (planar - self.skin).min(self.shell_distance)
    }

    /// Least chord at which the pieces keep a distance of zero or more, m: infinite if
    /// no angle keeps it, minus infinite if all do.
    pub fn chord_keeping(&self, distance: f64) -> f64 {
        if self.shell_distance < distance {
            return f64::INFINITY;
        }
        let planar = distance + self.skin;
        if self.radial_gap >= planar {
            return f64::NEG_INFINITY;
        }
        // Two sides that do not cross are nearest at an end of one of them, and each
        // end's distance grows with the angle: the last end to keep it decides.
        let mut angle = f64::NEG_INFINITY;
        for (side, other) in [(&self.first, &self.second), (&self.second, &self.first)] {
            for radius in [other.inner, other.outer] {
                if radius <= 0.0 {
                    continue;
                }
                if let Some(own) = side.angle_keeping(radius, planar) {
                    let spread = (other.half_width / radius).min(1.0).asin();
                    angle = angle.max(own + spread);
                }
            }
        }
        let chord = chord_of(angle.max(0.0)).max(self.contact_chord);
        if self.distance(2.0) < distance {
            f64::INFINITY
        } else {
            chord
        }
    }
}

/// Chord of the sum of two angles up to a quarter turn, given by their sines.
fn chord_of_sum(first: f64, second: f64) -> f64 {
    let cosine_of = |sine: f64| ((1.0 - sine) * (1.0 + sine)).sqrt();
    let (cos_first, cos_second) = (cosine_of(first), cosine_of(second));
    let sine = first * cos_second + cos_first * second;
    let cosine = cos_first * cos_second - first * second;
    if cosine < 0.0 {
        (2.0 - 2.0 * cosine).sqrt()
    } else {
        // The same without the difference, for small angles.
        sine * (2.0 / (1.0 + cosine)).sqrt()
    }
}

/// Chord of an angle, rad; 2 from half a turn on.
fn chord_of(angle: f64) -> f64 {
    2.0 * (0.5 * angle.min(std::f64::consts::PI)).sin()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shape(inner: f64, outer: f64, half_width: f64) -> Shape {
        Shape {
            inner,
            outer,
            half_width,
            skin: 0.0,
            shell: 0.0,
        }
    }

    #[test]
    fn parallel_layers_keep_their_radial_gap() {
        let strips = Strips::new(&shape(0.1, 0.106, 0.006), &shape(0.108, 0.114, 0.006));
        assert!((strips.distance(0.0) - 0.002).abs() < 1e-15);
        assert!((strips.distance(0.1) - 0.002).abs() < 1e-15);
        assert!(strips.distance(0.2) > 0.002);
        assert!((strips.radial_gap() - 0.002).abs() < 1e-15);
    }

    #[test]
    fn two_pins_side_by_side() {
        // Cylinders of 4 and 6 mm across from 100 mm on, rays 10 mm apart there.
        let strips = Strips::new(&shape(0.1, 0.12, 0.002), &shape(0.1, 0.12, 0.003));
        let angle: f64 = 0.1;
        // Sides that diverge from equal radii are nearest at their inner ends.
        let between = angle - 0.02f64.asin() - 0.03f64.asin();
        let expected = 2.0 * 0.1 * (0.5 * between).sin();
        assert!((strips.distance(chord_of(angle)) - expected).abs() < 1e-15);
    }

    #[test]
    fn an_inner_end_beside_a_long_side() {
        // The second begins 10 mm higher: its end stands before the first's side.
        let strips = Strips::new(&shape(0.1, 0.14, 0.002), &shape(0.11, 0.12, 0.003));
        let angle: f64 = 0.2;
        let expected = 0.11 * (angle - (0.003f64 / 0.11).asin()).sin() - 0.002;
        assert!((strips.distance(chord_of(angle)) - expected).abs() < 1e-15);
    }

    #[test]
    fn touching_is_zero_and_deeper_is_less() {
        let strips = Strips::new(&shape(0.1, 0.12, 0.002), &shape(0.105, 0.13, 0.003));
        let touch = (0.002f64 / 0.105).asin() + (0.003f64 / 0.105).asin();
        assert!(strips.distance(chord_of(touch)).abs() < 1e-15);
        let mut last = f64::NEG_INFINITY;
        for i in 0..=200 {
            let distance = strips.distance(2.0 * f64::from(i) / 200.0);
            assert!(distance >= last);
            last = distance;
        }
        assert!((strips.distance(0.0) + 0.105 * chord_of(touch)).abs() < 1e-15);
    }

    #[test]
    fn a_round_piece_is_its_line_less_its_radius() {
        let round = Piece {
            core: crate::built::Core::Direction(nalgebra::Vector3::z()),
            profile: Profile::Round,
            half_width: 0.005,
            inner: 0.095,
            outer: 0.105,
            void: None,
        };
        let strips = Strips::new(&Shape::of(&round).unwrap(), &Shape::of(&round).unwrap());
        assert!((strips.distance(0.3) - (0.03 - 0.01)).abs() < 1e-15);
        assert!((strips.distance(0.0) + 0.01).abs() < 1e-15);
        assert!((strips.chord_keeping(0.002) - 0.12).abs() < 1e-14);
    }

    /// The chord that keeps a distance, against the distance itself.
    #[test]
    fn the_chord_keeping_a_distance_has_that_distance() {
        let sizes = [0.09, 0.1, 0.103, 0.11, 0.15];
        let widths = [0.0, 0.002, 0.008, 0.04];
        let mut looked_at = 0;
        for (i, inner) in sizes.iter().enumerate() {
            for outer in &sizes[i..] {
                for width in widths {
                    for other in widths {
                        for skin in [0.0, 0.003] {
                            for keep in [0.0, 1e-4, 0.002, 0.02] {
                                let mut first = shape(*inner, *outer, width);
                                first.skin = skin;
                                let strips = Strips::new(&first, &shape(0.1, 0.112, other));
                                let chord = strips.chord_keeping(keep);
                                looked_at += 1;
                                if chord == f64::NEG_INFINITY {
                                    assert!(strips.distance(0.0) >= keep - 1e-15);
                                } else {
                                    let at = strips.distance(chord);
                                    assert!(
                                        (at - keep).abs() < 1e-12 || chord == 0.0,
                                        "{at} {keep}"
                                    );
                                }
                            }
                        }
                    }
                }
            }
        }
        assert!(looked_at > 1000);
    }

    #[test]
    fn a_tool_about_the_centre_fills_every_direction_there() {
        let tool = Piece {
            core: crate::built::Core::Direction(nalgebra::Vector3::z()),
            profile: Profile::Straight,
            half_width: 0.01,
            inner: 0.001,
            outer: 0.1,
            void: None,
        };
        let shape_of_tool = Shape::of(&tool).unwrap();
        let near = Strips::new(&shape_of_tool, &shape(0.013, 0.02, 0.001));
        assert!((near.distance(2.0) - 0.003).abs() < 1e-15);
        assert_eq!(near.chord_keeping(0.004), f64::INFINITY);
        let inside = Strips::new(&shape_of_tool, &shape(0.005, 0.02, 0.001));
        assert!(inside.distance(2.0) < 0.0);
    }

    #[test]
    fn sizes_that_are_no_numbers_are_refused() {
        let mut piece = Piece {
            core: crate::built::Core::Direction(nalgebra::Vector3::z()),
            profile: Profile::Straight,
            half_width: f64::NAN,
            inner: 0.1,
            outer: 0.2,
            void: None,
        };
        assert_eq!(Shape::of(&piece), None);
        piece.half_width = 0.01;
        piece.inner = 0.3;
        assert_eq!(Shape::of(&piece), None);
    }
}
