//! How finely a solid is meshed, and why one cannot be.

use thiserror::Error;

/// How finely curved faces are divided.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeshOptions {
    /// Greatest distance of a facet from the face it stands for, m. Sphere faces keep it
    /// away from their outlines; next to these a facet may be half as far again.
    pub chord_tolerance: f64,
    /// Least number of sides of a whole round, whatever its size. A round of n sides
    /// is (2π/n)²/6 too small in area: 0.16 % at 64.
    pub round_sides: usize,
}

impl Default for MeshOptions {
    fn default() -> Self {
        Self {
            chord_tolerance: 2e-5,
            round_sides: 64,
        }
    }
}

/// A solid that has no mesh.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MeshError {
    /// The chord tolerance does not go with the size of the solid.
    #[error("chord tolerance {tolerance} m must lie between {least} m and {greatest} m")]
    Tolerance {
        /// As given, m.
        tolerance: f64,
        /// Least, m.
        least: f64,
        /// Greatest, m.
        greatest: f64,
    },
    /// Too few or too many sides.
    #[error("a round of {sides} sides: between 8 and 4096 are possible")]
    RoundSides {
        /// As given.
        sides: usize,
    },
    /// The solid has no pieces.
    #[error("{solid} has no pieces")]
    NoPieces {
        /// Its name.
        solid: String,
    },
    /// A number is infinite or not a number.
    #[error("{solid}, piece {piece}: {what} is not a finite number")]
    NotFinite {
        /// Name of the solid.
        solid: String,
        /// Index of the piece or hole.
        piece: usize,
        /// What is not finite.
        what: &'static str,
    },
    /// A direction is not of unit length.
    #[error("{solid}, piece {piece}: a direction of length {length} must be of length 1")]
    NotUnit {
        /// Name of the solid.
        solid: String,
        /// Index of the piece or hole.
        piece: usize,
        /// Its length.
        length: f64,
    },
    /// An arc without length, or of half a circle or more.
    #[error("{solid}, piece {piece}: an arc of {angle} rad must lie between 1e-6 and π − 1e-6")]
    ArcAngle {
        /// Name of the solid.
        solid: String,
        /// Index of the piece.
        piece: usize,
        /// Angle between its ends, rad.
        angle: f64,
    },
    /// The faces of a piece are out of order.
    #[error(
        "{solid}, piece {piece}: faces at {inner} m and {outer} m; the inner must not be negative, the outer greater"
    )]
    Faces {
        /// Name of the solid.
        solid: String,
        /// Index of the piece.
        piece: usize,
        /// Inner radius, m.
        inner: f64,
        /// Outer radius, m.
        outer: f64,
    },
    /// A half width that is not positive or reaches beyond the inner face.
    #[error(
        "{solid}, piece {piece}: half width {half_width} m must lie between 0 and {greatest} m, the distance of its inner face from the remote centre"
    )]
    HalfWidth {
        /// Name of the solid.
        solid: String,
        /// Index of the piece.
        piece: usize,
        /// Half width, m.
        half_width: f64,
        /// What it must stay below, m.
        greatest: f64,
    },
    /// A round profile whose faces do not lie twice its half width apart.
    #[error(
        "{solid}, piece {piece}: a round profile of half width {half_width} m must be {} m high, is {height} m",
        2.0 * half_width
    )]
    RoundHeight {
        /// Name of the solid.
        solid: String,
        /// Index of the piece.
        piece: usize,
        /// Half width, m.
        half_width: f64,
        /// Distance of the faces, m.
        height: f64,
    },
    /// A void without room or without a wall about it.
    #[error(
        "{solid}, piece {piece}: a void of half width {half_width} m and height {height} m leaves no wall or no room"
    )]
    Void {
        /// Name of the solid.
        solid: String,
        /// Index of the piece.
        piece: usize,
        /// Half width of the void, m.
        half_width: f64,
        /// Height of the void, m.
        height: f64,
    },
    /// A hole that is not inside a round.
    #[error(
        "{solid}, hole {hole}: a diameter of {diameter} m must lie between 0 and {greatest} m, the round about its axis"
    )]
    Hole {
        /// Name of the solid.
        solid: String,
        /// Index of the hole.
        hole: usize,
        /// Diameter, m.
        diameter: f64,
        /// Diameter of the round about its axis, m; 0 if there is none.
        greatest: f64,
    },
    /// The solid reaches all about the remote centre.
    #[error("{solid} leaves no direction free about the remote centre")]
    WholeSphere {
        /// Name of the solid.
        solid: String,
    },
    /// Outlines that lie closer together than their sampling.
    #[error(
        "{solid}: outlines at {radius} m from the remote centre lie too close together to be meshed; a smaller chord tolerance or a wall left less thin may help"
    )]
    Outline {
        /// Name of the solid.
        solid: String,
        /// Radius of the sphere, m.
        radius: f64,
    },
    /// The mesh did not pass its own check.
    #[error("{solid}: the mesh is not sound: {fault}")]
    Fault {
        /// Name of the solid.
        solid: String,
        /// What is wrong.
        fault: MeshFault,
    },
}

/// What is wrong with a mesh.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum MeshFault {
    /// It has no triangles.
    #[error("no triangles")]
    Empty,
    /// A directed edge belongs to more than one triangle.
    #[error("the edge {from} to {to} runs {times} times in one direction")]
    EdgeRepeated {
        /// Its start.
        from: u32,
        /// Its end.
        to: u32,
        /// How often.
        times: usize,
    },
    /// An edge has a triangle on one side only.
    #[error("the edge {from} to {to} has one triangle")]
    EdgeOpen {
        /// Its start.
        from: u32,
        /// Its end.
        to: u32,
    },
    /// A triangle without area.
    #[error("triangle {triangle} has a height of {height} m")]
    Degenerate {
        /// Its index.
        triangle: usize,
        /// Its least height, m.
        height: f64,
    },
    /// It is turned inside out.
    #[error("volume {volume} m³ is not positive")]
    InsideOut {
        /// Signed volume, m³.
        volume: f64,
    },
}
