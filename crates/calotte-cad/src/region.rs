//! A solid as regions of the sphere: cores widened by an angle that depends on the radius.

use std::f64::consts::{PI, TAU};

use calotte::built::{Core, Piece, Profile, Solid};
use nalgebra::Vector3;

use crate::circle::{Circle, Kind, Widening, across};
use crate::options::{MeshError, MeshOptions};
use crate::snap::snapped;

/// Shares of the outer radius that radii and points may differ by and yet be one:
/// above the resolution of single precision, in which meshes are written.
const SAME: f64 = 5e-7;

/// What a region does to the solid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Role {
    /// Adds material.
    Bar,
    /// Adds material and fills voids.
    Round,
    /// Takes material away where no round is.
    Void,
    /// Takes material away.
    Hole,
}

/// A core widened, between two radii.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Region {
    pub core: Core,
    /// Unit normal of an arc's plane; zero for a direction.
    normal: Vector3<f64>,
    pub widening: Widening,
    /// m.
    pub inner: f64,
    /// m.
    pub outer: f64,
    pub role: Role,
}

/// A stretch of a circle that bounds a region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Boundary {
    pub circle: usize,
    pub region: usize,
    /// Parameter at which it begins, rad.
    pub start: f64,
    /// rad; 2π for a whole circle.
    pub length: f64,
    /// Whether the region lies to the left of the circle, that is towards its axis.
    pub inside_left: bool,
}

/// Everything about a solid that does not depend on the radius.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Model {
    pub name: String,
    pub regions: Vec<Region>,
    pub circles: Vec<Circle>,
    pub boundaries: Vec<Boundary>,
    /// Greatest radius, m.
    pub outer: f64,
    /// Distance below which two points are one, m.
    pub same: f64,
    /// Direction farthest from all cores.
    pub pole: Vector3<f64>,
    pub options: MeshOptions,
}

impl Region {
    /// Whether a direction lies in the region, at a radius between its faces.
    pub fn contains(&self, direction: &Vector3<f64>, radius: f64) -> bool {
        let angle = self.widening.at(radius);
        let near = |end: &Vector3<f64>| (direction - end).norm() <= angle.chord;
        match &self.core {
            Core::Direction(axis) => near(axis),
            Core::Arc(from, to) => {
                let beside = self.normal.cross(from).dot(direction) >= 0.0
                    && to.cross(&self.normal).dot(direction) >= 0.0;
                if beside {
                    self.normal.dot(direction).abs() <= angle.sine
                } else {
                    near(from) || near(to)
                }
            }
        }
    }
}

impl Model {
    /// Checks a solid and takes it apart.
    pub fn new(solid: &Solid, options: &MeshOptions) -> Result<Self, MeshError> {
        let outer = check(solid, options)?;
        let solid = &snapped(solid, options.chord_tolerance, outer);
        let mut model = Self {
            name: solid.name.clone(),
            regions: Vec::new(),
            circles: Vec::new(),
            boundaries: Vec::new(),
            outer,
            same: SAME * outer,
            pole: Vector3::zeros(),
            options: *options,
        };
        for piece in &solid.pieces {
            model.add_piece(piece);
        }
        for hole in &solid.holes {
            model.add(Region {
                core: Core::Direction(hole.axis),
                normal: Vector3::zeros(),
                widening: Widening {
                    profile: Profile::Straight,
                    half_width: 0.5 * hole.diameter,
                    middle: 0.0,
                },
                inner: 0.0,
                outer: f64::INFINITY,
                role: Role::Hole,
            });
        }
        model.pole = model.free_direction()?;
        Ok(model)
    }

    fn add_piece(&mut self, piece: &Piece) {
        let (normal, role) = match &piece.core {
            Core::Direction(_) => (Vector3::zeros(), Role::Round),
            Core::Arc(from, to) => (from.cross(to).normalize(), Role::Bar),
        };
        let region = Region {
            core: piece.core,
            normal,
            widening: Widening {
                profile: piece.profile,
                half_width: piece.half_width,
                middle: piece.middle(),
            },
            inner: piece.inner,
            outer: piece.outer,
            role,
        };
        if let Some(void) = &piece.void {
            self.add(Region {
                widening: Widening {
                    half_width: void.half_width,
                    ..region.widening
                },
                inner: piece.middle() - 0.5 * void.height,
                outer: piece.middle() + 0.5 * void.height,
                role: Role::Void,
                ..region.clone()
            });
        }
        self.add(region);
    }

    /// Adds a region with the circles that bound it.
    fn add(&mut self, region: Region) {
        let index = self.regions.len();
        match region.core {
            Core::Direction(axis) => {
                let circle = self.rim(axis, across(&axis), &region);
                self.boundaries.push(Boundary {
                    circle,
                    region: index,
                    start: 0.0,
                    length: TAU,
                    inside_left: true,
                });
            }
            Core::Arc(from, to) => {
                // Half rounds on the far side of either end, counter-clockwise about it.
                for (end, start) in [(from, region.normal), (to, -region.normal)] {
                    let circle = self.rim(end, region.normal, &region);
                    self.boundaries.push(Boundary {
                        circle,
                        region: index,
                        start: self.circles[circle].parameter(&start),
                        length: PI,
                        inside_left: true,
                    });
                }
                for sign in [1.0, -1.0] {
                    let side = Circle::new(region.normal, from, region.widening, Kind::Side(sign));
                    let (circle, against) = self.circle(side, region.outer);
                    let start = if against { to } else { from };
                    self.boundaries.push(Boundary {
                        circle,
                        region: index,
                        start: self.circles[circle].parameter(&start),
                        length: from.cross(&to).norm().atan2(from.dot(&to)),
                        inside_left: (sign < 0.0) != against,
                    });
                }
            }
        }
        self.regions.push(region);
    }

    /// The rim about a direction; all rims about one direction begin at one place.
    fn rim(&mut self, axis: Vector3<f64>, zero: Vector3<f64>, region: &Region) -> usize {
        let zero = self
            .circles
            .iter()
            .find(|circle| circle.kind == Kind::Rim && (circle.axis - axis).norm() < 1e-9)
            .map_or(zero, |circle| circle.zero);
        let rim = Circle::new(axis, zero, region.widening, Kind::Rim);
        self.circle(rim, region.outer).0
    }

    /// Index of a circle, new or known, and whether the known one turns the other way.
    fn circle(&mut self, mut circle: Circle, outer: f64) -> (usize, bool) {
        for (index, known) in self.circles.iter().enumerate() {
            if let Some(against) = known.same_as(&circle) {
                return (index, against);
            }
        }
        let (size, least) = match circle.kind {
            Kind::Rim => (circle.widening.half_width, self.options.round_sides),
            // Sides turn little on a part; finer steps than a round's keep their chords
            // from cutting a rim that touches them.
            Kind::Side(_) => (outer, 3 * self.options.round_sides),
        };
        circle.steps = steps_of(size, self.options.chord_tolerance)
            .max(least)
            .next_multiple_of(4);
        self.circles.push(circle);
        (self.circles.len() - 1, false)
    }

    /// Regions between two radii.
    pub fn active(&self, low: f64, high: f64) -> Vec<usize> {
        (0..self.regions.len())
            .filter(|index| {
                let region = &self.regions[*index];
                region.inner <= low + self.same && region.outer >= high - self.same
            })
            .collect()
    }

    /// Whether the solid is there, given which regions are.
    pub fn solid(&self, regions: impl Iterator<Item = (usize, bool)>) -> bool {
        let (mut material, mut round, mut void, mut hole) = (false, false, false, false);
        for (index, _) in regions.filter(|(_, inside)| *inside) {
            match self.regions[index].role {
                Role::Bar => material = true,
                Role::Round => round = true,
                Role::Void => void = true,
                Role::Hole => hole = true,
            }
        }
        !hole && (round || (material && !void))
    }

    /// The direction farthest from all cores, of 400 on a spiral, and better.
    fn free_direction(&self) -> Result<Vector3<f64>, MeshError> {
        const COUNT: usize = 400;
        let golden = PI * (3.0 - 5.0_f64.sqrt());
        let clearance = |direction: &Vector3<f64>| {
            self.regions
                .iter()
                .filter(|region| region.role != Role::Hole)
                .map(|region| {
                    let Widening {
                        half_width, middle, ..
                    } = region.widening;
                    let widest = match region.widening.profile {
                        Profile::Straight => (half_width / region.inner.max(half_width)).asin(),
                        Profile::Round => (half_width / middle).asin(),
                    };
                    distance(&region.core, &region.normal, direction) - widest
                })
                .fold(f64::INFINITY, f64::min)
        };
        let (direction, clear) = (0..COUNT)
            .map(|index| {
                let z = 1.0 - (2 * index + 1) as f64 / COUNT as f64;
                let across = (1.0 - z * z).sqrt();
                let (sine, cosine) = (golden * index as f64).sin_cos();
                let direction = Vector3::new(across * cosine, across * sine, z);
                (direction, clearance(&direction))
            })
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or((Vector3::zeros(), 0.0));
        if clear > 0.15 {
            Ok(direction)
        } else {
            Err(MeshError::WholeSphere {
                solid: self.name.clone(),
            })
        }
    }
}

/// Chords of a whole circle that stay within a tolerance: n = π/acos(1 − t/c).
pub(crate) fn steps_of(radius: f64, tolerance: f64) -> usize {
    let share = (tolerance / radius).min(1.0);
    (PI / (1.0 - share).acos()).ceil() as usize
}

/// Angle of a direction from a core.
fn distance(core: &Core, normal: &Vector3<f64>, direction: &Vector3<f64>) -> f64 {
    let angle = |a: &Vector3<f64>| a.cross(direction).norm().atan2(a.dot(direction));
    match core {
        Core::Direction(axis) => angle(axis),
        Core::Arc(from, to) => {
            let beside =
                normal.cross(from).dot(direction) >= 0.0 && to.cross(normal).dot(direction) >= 0.0;
            if beside {
                normal.dot(direction).abs().min(1.0).asin()
            } else {
                angle(from).min(angle(to))
            }
        }
    }
}

/// Refuses what has no mesh; returns the greatest radius.
fn check(solid: &Solid, options: &MeshOptions) -> Result<f64, MeshError> {
    if solid.pieces.is_empty() {
        return Err(MeshError::NoPieces {
            solid: solid.name.clone(),
        });
    }
    for (index, piece) in solid.pieces.iter().enumerate() {
        check_piece(solid, index, piece)?;
    }
    for (index, hole) in solid.holes.iter().enumerate() {
        check_numbers(solid, index, "the diameter of a hole", &[hole.diameter])?;
        check_direction(solid, index, &hole.axis)?;
        let greatest = solid
            .pieces
            .iter()
            .filter(|piece| {
                matches!(piece.core, Core::Direction(axis) if (axis - hole.axis).norm() < 1e-9)
            })
            .map(|piece| 2.0 * piece.half_width)
            .fold(0.0, f64::max);
        if hole.diameter <= 0.0 || hole.diameter >= greatest {
            return Err(MeshError::Hole {
                solid: solid.name.clone(),
                hole: index,
                diameter: hole.diameter,
                greatest,
            });
        }
    }
    let outer = solid.pieces.iter().map(|p| p.outer).fold(0.0, f64::max);
    let (least, greatest) = (1e-6 * outer, 0.1 * outer);
    let tolerance = options.chord_tolerance;
    if !(least..=greatest).contains(&tolerance) {
        return Err(MeshError::Tolerance {
            tolerance,
            least,
            greatest,
        });
    }
    if !(8..=4096).contains(&options.round_sides) {
        return Err(MeshError::RoundSides {
            sides: options.round_sides,
        });
    }
    Ok(outer)
}

fn check_piece(solid: &Solid, index: usize, piece: &Piece) -> Result<(), MeshError> {
    let name = || solid.name.clone();
    let numbers = [piece.half_width, piece.inner, piece.outer];
    check_numbers(solid, index, "half width or face", &numbers)?;
    if piece.inner < 0.0 || piece.outer <= piece.inner {
        return Err(MeshError::Faces {
            solid: name(),
            piece: index,
            inner: piece.inner,
            outer: piece.outer,
        });
    }
    // A lone round, such as the room of a tool, may begin nearer to the centre than it
    // is wide: there it ends in the plane across its axis.
    let lone = solid.pieces.len() == 1
        && solid.holes.is_empty()
        && piece.profile == Profile::Straight
        && matches!(piece.core, Core::Direction(_));
    let greatest = match piece.profile {
        _ if lone => piece.outer,
        Profile::Straight => piece.inner,
        Profile::Round => piece.middle(),
    };
    if piece.half_width <= 0.0 || piece.half_width >= greatest {
        return Err(MeshError::HalfWidth {
            solid: name(),
            piece: index,
            half_width: piece.half_width,
            greatest,
        });
    }
    let height = piece.outer - piece.inner;
    let twice = 2.0 * piece.half_width;
    if piece.profile == Profile::Round && (height - twice).abs() > 1e-6 * twice {
        return Err(MeshError::RoundHeight {
            solid: name(),
            piece: index,
            half_width: piece.half_width,
            height,
        });
    }
    match &piece.core {
        Core::Direction(axis) => check_direction(solid, index, axis)?,
        Core::Arc(from, to) => {
            check_direction(solid, index, from)?;
            check_direction(solid, index, to)?;
            let angle = from.cross(to).norm().atan2(from.dot(to));
            if !(1e-6..=PI - 1e-6).contains(&angle) {
                return Err(MeshError::ArcAngle {
                    solid: name(),
                    piece: index,
                    angle,
                });
            }
        }
    }
    check_void(solid, index, piece)
}

fn check_void(solid: &Solid, index: usize, piece: &Piece) -> Result<(), MeshError> {
    let Some(void) = &piece.void else {
        return Ok(());
    };
    let sizes = [void.half_width, void.height];
    check_numbers(solid, index, "half width or height of the void", &sizes)?;
    let between = |value: f64, limit: f64| value > 0.0 && value < limit;
    let round = piece.profile == Profile::Round;
    let sound = between(void.half_width, piece.half_width)
        && between(void.height, piece.outer - piece.inner)
        && matches!(piece.core, Core::Arc(..))
        && (!round || (void.height - 2.0 * void.half_width).abs() <= 1e-6 * void.height);
    if sound {
        Ok(())
    } else {
        Err(MeshError::Void {
            solid: solid.name.clone(),
            piece: index,
            half_width: void.half_width,
            height: void.height,
        })
    }
}

fn check_numbers(
    solid: &Solid,
    piece: usize,
    what: &'static str,
    numbers: &[f64],
) -> Result<(), MeshError> {
    if numbers.iter().all(|number| number.is_finite()) {
        return Ok(());
    }
    Err(MeshError::NotFinite {
        solid: solid.name.clone(),
        piece,
        what,
    })
}

fn check_direction(solid: &Solid, piece: usize, direction: &Vector3<f64>) -> Result<(), MeshError> {
    check_numbers(solid, piece, "a direction", direction.as_slice())?;
    let length = direction.norm();
    if (length - 1.0).abs() > 1e-9 {
        return Err(MeshError::NotUnit {
            solid: solid.name.clone(),
            piece,
            length,
        });
    }
    Ok(())
}
