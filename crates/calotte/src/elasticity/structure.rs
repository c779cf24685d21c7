//! The structure of a design: stations with six motions each, exact arcs
//! between them, joints that tie them.
//!
//! All places on one joint axis form a group with one frame (axis u, tangents
//! t and n). In that frame a joint's stiffness is diagonal and the same in every
//! configuration, and an arc's stiffness only turns about u. A rigid joint
//! shares five motions, a locked drive shares the sixth: constraints, not large
//! numbers. What is found once per design: elements, numbering, elimination order.

use nalgebra::{Matrix6, Vector3};

use crate::built::Built;
use crate::design::Design;
use crate::family::parameters::SideDifference;
use crate::linkage::{Configuration, Linkage, Place, tangent_towards};
use crate::sphere::{LocalFrame, arc_between};

use super::arc::{ArcElement, BarStiffness, THICK_FROM};
use super::elements::{DriveSprings, StructuralArc, StructuralJoint, StructuralPlace};
use super::error::ElasticityError;
use super::factor::{Factor, SingularMatrix, Symbolic};
use super::joint::CARRIED;
use super::mass::MassModel;
use super::numbering::{drive_springs, group_places, joint_laws, number_motions, symbolic};
use super::precision::{
    DIGITS_ENOUGH, FewDigits, RAISED, SPREAD_OF_NO_ACCOUNT, Stated, digits_with,
};
use super::short_bars::is_short;
use super::support::support_compliance;

/// Something about the model's validity that a reader must know.
#[derive(Debug, Clone, PartialEq)]
pub enum ValidityNote {
    /// Depth over radius above [`THICK_FROM`]; `winkler` says whether the thick form is in use.
    ThickBar {
        /// Depth over radius.
        ratio: f64,
        /// Whether the thick form is used.
        winkler: bool,
    },
    /// Free length below four times the larger section size.
    ShortBar {
        /// The bar.
        body: String,
        /// Free length, m.
        free_length: f64,
        /// Larger section size, m.
        size: f64,
    },
    /// Left and right differ, and the mean of the two was taken; where they differ most.
    SidesDiffer(SideDifference),
    /// Stiffnesses so far apart that few digits of elastic values are sure.
    FewDigits(FewDigits),
    /// So many keep-outs are asked for, and the design does not say what is built.
    KeepOutsNotJudged(usize),
}

/// A design ready for elastic analysis in any configuration.
#[derive(Debug, Clone)]
pub struct Structure {
    pub(super) linkage: Linkage,
    /// Radius of the reference points on the joint axes, at which motions are taken, m.
    pub(super) radius: f64,
    pub(super) tip_radius: f64,
    pub(super) places: Vec<StructuralPlace>,
    /// Per group the place whose body fixes the tangent, in its body frame.
    pub(super) group_frames: Vec<(usize, Vector3<f64>)>,
    pub(super) arcs: Vec<StructuralArc>,
    pub(super) joints: Vec<StructuralJoint>,
    pub(super) drive: Option<DriveSprings>,
    pub(super) tool_place: usize,
    /// Spin of the tool's place as a sum over unknowns.
    pub(super) tool_spin: Vec<(usize, f64)>,
    /// Boss and pin masses by place, kg, with their distance from the remote centre, m.
    pub(super) place_masses: Vec<(usize, f64, f64)>,
    pub(super) support: Option<(Matrix6<f64>, Vector3<f64>)>,
    pub(super) bar: BarStiffness,
    pub(super) stated: Stated,
    /// Whether springs are so far apart that digits are to be counted.
    far_apart: bool,
    symbolic: Symbolic,
    notes: Vec<ValidityNote>,
}

impl Structure {
    /// Prepares a design.
    ///
    /// # Errors
    /// [`ElasticityError`] if bosses leave no flexible arc or the design cannot be built.
    pub fn new(design: &Design, linkage: &Linkage) -> Result<Self, ElasticityError> {
        Self::of_built(design, linkage, &Built::new(design, linkage)?)
    }

    /// Prepares a design whose parts are placed.
    ///
    /// # Errors
    /// As [`Structure::new`].
    pub fn of_built(
        design: &Design,
        linkage: &Linkage,
        built: &Built,
    ) -> Result<Self, ElasticityError> {
        let radius = design.joint_radius;
        let (mut places, group_frames) = group_places(linkage);
        let laws = joint_laws(design, linkage, built)?;
        number_motions(linkage, design, &laws, &mut places);
        let place_index = |place: Place| {
            places
                .iter()
                .position(|p| p.place == place)
                .unwrap_or_default()
        };
        let mut arcs = Vec::new();
        for (body_index, body) in linkage.bodies.iter().enumerate() {
            let own_radius = built.radii[body_index];
            let section = body.section(design);
            let own_bar = BarStiffness::new(section, &design.material, own_radius);
            for arc in &body.arcs {
                let (from, to) = (body.stations[arc.from], body.stations[arc.to]);
                let angle = arc_between(&from, &to);
                let zones = [arc.from, arc.to].map(|station| {
                    let place = Place {
                        body: body_index,
                        station,
                    };
                    built.rigid_zone(design, linkage, place) / own_radius
                });
                let free = (angle - zones[0] - zones[1]) * own_radius;
                let own_bar = match design.short_bars {
                    Some(factor) if is_short(free, section) => own_bar.times(factor.value),
                    _ => own_bar,
                };
                let element = ArcElement::with_nodes_at(radius, own_radius, angle, zones, &own_bar)
                    .ok_or_else(|| ElasticityError::NoFlexibleLength {
                        body: body.name.clone(),
                        boss: larger_boss(
                            design,
                            linkage,
                            [arc.from, arc.to].map(|station| Place {
                                body: body_index,
                                station,
                            }),
                        ),
                        length: own_radius * angle,
                    })?;
                let tangent = |at: &Vector3<f64>, sign: f64, other: &Vector3<f64>| {
                    tangent_towards(at, other).unwrap_or_else(Vector3::x) * sign
                };
                arcs.push(StructuralArc {
                    body: body_index,
                    ends: [arc.from, arc.to].map(|station| {
                        place_index(Place {
                            body: body_index,
                            station,
                        })
                    }),
                    element,
                    tangents: [tangent(&from, 1.0, &to), tangent(&to, -1.0, &from)],
                });
            }
        }
        let drive = drive_springs(design, linkage, &laws, |place| {
            places[place_index(place)].motions[3]
        });
        let joints: Vec<StructuralJoint> = linkage
            .joints
            .iter()
            .zip(laws)
            .map(|(joint, law)| StructuralJoint {
                law,
                ends: [joint.first, joint.second].map(|place| {
                    let motions = &places[place_index(place)].motions;
                    CARRIED.map(|motion| motions[motion])
                }),
            })
            .collect();
        let tool_place = place_index(Place {
            body: linkage.tool.body,
            station: linkage.tool.station,
        });
        let tool_spin = match &linkage.follower {
            None => places[tool_place].motions[3]
                .map(|unknown| vec![(unknown, 1.0)])
                .unwrap_or_default(),
            Some(follower) => follower
                .between
                .iter()
                .filter_map(|body| {
                    let group = places[tool_place].group;
                    places
                        .iter()
                        .find(|p| p.group == group && p.place.body == *body)
                        .and_then(|p| p.motions[3])
                })
                .map(|unknown| (unknown, 0.5))
                .collect(),
        };
        let place_masses = MassModel::of_built(design, linkage, built)
            .at_places
            .into_iter()
            .map(|at| (place_index(at.place), at.mass, at.radius))
            .collect();
        let symbolic = symbolic(&places, &arcs, &joints, &drive, tool_place);
        let notes = validity_notes(design, linkage, &arcs);
        let mut structure = Self {
            linkage: linkage.clone(),
            radius,
            tip_radius: design.tool.tip_radius,
            places,
            group_frames,
            arcs,
            joints,
            drive,
            tool_place,
            tool_spin,
            place_masses,
            support: design.mount.support.as_ref().map(support_compliance),
            bar: BarStiffness::new(&design.section, &design.material, radius),
            stated: Stated::of(design),
            far_apart: false,
            symbolic,
            notes,
        };
        structure.far_apart = structure.spread() > SPREAD_OF_NO_ACCOUNT;
        Ok(structure)
    }

    /// Notes on the model's validity.
    pub fn notes(&self) -> &[ValidityNote] {
        &self.notes
    }

    /// Number of unknowns.
    pub fn unknowns(&self) -> usize {
        self.symbolic.unknowns
    }

    /// Distance of the tool tip from the remote centre, m.
    pub fn tip_radius(&self) -> f64 {
        self.tip_radius
    }

    /// The element of an arc, in the order of responses.
    pub fn arc_element(&self, index: usize) -> &ArcElement {
        &self.arcs[index].element
    }

    /// Name of the bar an arc belongs to.
    pub fn arc_body_name(&self, index: usize) -> &str {
        &self.linkage.bodies[self.arcs[index].body].name
    }

    /// Section stiffnesses of the bars that have no section of their own.
    pub fn bar(&self) -> &BarStiffness {
        &self.bar
    }

    /// Solves the structure at a configuration; `frame` is the local frame at the tool.
    ///
    /// # Errors
    /// [`ElasticityError::Singular`] at a type 2 singularity, [`ElasticityError::NoDigits`]
    /// where stiffnesses stand so far apart that nothing is sure.
    pub fn solve(
        &self,
        configuration: &Configuration,
        frame: &LocalFrame,
    ) -> Result<SolvedStructure<'_>, ElasticityError> {
        let group_axes = self.group_axes(configuration);
        let turns: Vec<[(f64, f64); 2]> = self
            .arcs
            .iter()
            .map(|arc| {
                [0, 1].map(|end| {
                    let tangent = configuration.rotations[arc.body] * arc.tangents[end];
                    let [_, t, n] = &group_axes[self.places[arc.ends[end]].group];
                    (tangent.dot(t), tangent.dot(n))
                })
            })
            .collect();
        let element = |index: usize, out: &mut [f64]| {
            out.copy_from_slice(self.arcs[index].element.stiffness.as_slice());
            turn_element(out, &turns[index]);
        };
        let factor = self
            .symbolic
            .factorise(12, element)
            .map_err(|SingularMatrix { .. }| self.no_answer(&turns))?;
        let digits = if self.far_apart {
            digits_with(Self::ratio(&factor))
        } else {
            DIGITS_ENOUGH
        };
        if digits == 0 {
            return Err(self.no_answer(&turns));
        }
        Ok(SolvedStructure {
            structure: self,
            group_axes,
            turns,
            factor,
            digits,
            frame: *frame,
            tip: configuration.rotations[self.linkage.tool.body]
                * self.linkage.tool.direction
                * self.tip_radius,
        })
    }

    /// Why there is no answer: a spring that yields is too soft to be seen beside what it
    /// ties, or nothing holds the linkage at all.
    fn no_answer(&self, turns: &[[(f64, f64); 2]]) -> ElasticityError {
        let element = |index: usize, out: &mut [f64]| {
            out.copy_from_slice(self.arcs[index].element.stiffness.as_slice());
            turn_element(out, &turns[index]);
        };
        self.symbolic
            .factorise_raised(RAISED, 12, element)
            .ok()
            .and_then(|factor| self.extremes(&factor, turns))
            .map_or(ElasticityError::Singular, ElasticityError::NoDigits)
    }

    /// Axes (u, t, n) of every group in the base frame.
    fn group_axes(&self, configuration: &Configuration) -> Vec<[Vector3<f64>; 3]> {
        self.group_frames
            .iter()
            .map(|(place, tangent)| {
                let place = self.places[*place].place;
                let u = self.linkage.direction(place, configuration);
                let t = configuration.rotations[place.body] * tangent;
                [u, t, u.cross(&t)]
            })
            .collect()
    }
}

/// A structure factorised at one configuration.
#[derive(Debug, Clone)]
pub struct SolvedStructure<'a> {
    pub(super) structure: &'a Structure,
    pub(super) group_axes: Vec<[Vector3<f64>; 3]>,
    pub(super) turns: Vec<[(f64, f64); 2]>,
    pub(super) factor: Factor<'a>,
    /// Digits that are sure; more than enough are not counted.
    digits: u32,
    pub(super) frame: LocalFrame,
    /// Tool tip in the base frame, m.
    pub(super) tip: Vector3<f64>,
}

impl SolvedStructure<'_> {
    /// How many digits are sure where they are not enough, and which stiffnesses take the
    /// others.
    pub fn few_digits(&self) -> Option<FewDigits> {
        (self.digits < DIGITS_ENOUGH).then(|| FewDigits {
            digits: self.digits,
            extremes: self.structure.extremes(&self.factor, &self.turns),
        })
    }

    /// Compliance at the tool tip, 6×6, SI, rows [u; φ], columns [F; M], local
    /// frame (polar, azimuth, radial); support compliance included.
    pub fn tip_compliance(&self) -> Matrix6<f64> {
        let structure = self.structure;
        let last = self.factor.last_unknowns();
        let motions = &structure.places[structure.tool_place].motions;
        let column_of = |unknown: usize| last.iter().position(|u| *u == unknown);
        // Rows of the last group's solution that make up each motion of the place.
        let selectors: [Vec<(usize, f64)>; 6] = std::array::from_fn(|motion| {
            if motion == 3 {
                structure
                    .tool_spin
                    .iter()
                    .filter_map(|(u, c)| column_of(*u).map(|k| (k, *c)))
                    .collect()
            } else {
                motions[motion]
                    .and_then(column_of)
                    .map(|k| vec![(k, 1.0)])
                    .unwrap_or_default()
            }
        });
        let mut at_place = Matrix6::zeros();
        let mut right = vec![0.0; last.len()];
        for column in 0..6 {
            right.fill(0.0);
            for (k, c) in &selectors[column] {
                right[*k] += c;
            }
            self.factor.solve_last(&mut right);
            for row in 0..6 {
                at_place[(row, column)] = selectors[row].iter().map(|(k, c)| c * right[*k]).sum();
            }
        }
        let to_tip = self.local_from_place();
        let mut compliance = to_tip * at_place * to_tip.transpose();
        if let Some((support, point)) = &structure.support {
            let x = self.local_from_point(point);
            compliance += x * support * x.transpose();
        }
        0.5 * (compliance + compliance.transpose())
    }

    /// Motion of the tip in the local frame from the motion of the tool's place
    /// in its group's frame, 6×6.
    pub(super) fn local_from_place(&self) -> Matrix6<f64> {
        let structure = self.structure;
        let axes = &self.group_axes[structure.places[structure.tool_place].group];
        let offset = self.tip - axes[0] * structure.radius;
        motion_map(axes, &offset, &self.frame)
    }

    /// Motion of the tip in the local frame from the motion [u; φ] of a point, base frame.
    pub(super) fn local_from_point(&self, point: &Vector3<f64>) -> Matrix6<f64> {
        let axes = [Vector3::x(), Vector3::y(), Vector3::z()];
        motion_map(&axes, &(self.tip - point), &self.frame)
    }
}

/// Motion [u; φ] in a local frame at a point `offset` away, from motion given
/// by components along `axes`.
fn motion_map(axes: &[Vector3<f64>; 3], offset: &Vector3<f64>, frame: &LocalFrame) -> Matrix6<f64> {
    let rows = [frame.polar, frame.azimuth, frame.radial];
    let mut map = Matrix6::zeros();
    for (column, axis) in axes.iter().enumerate() {
        let swept = axis.cross(offset);
        for (row, direction) in rows.iter().enumerate() {
            let along = direction.dot(axis);
            map[(row, column)] = along;
            map[(3 + row, 3 + column)] = along;
            map[(row, 3 + column)] = direction.dot(&swept);
        }
    }
    map
}

/// Turns an element's 12×12 from its end frames to the groups' frames, in place.
pub(super) fn turn_element(matrix: &mut [f64], turns: &[(f64, f64); 2]) {
    // (t, n) pairs of displacement and rotation at both ends.
    let pairs = [(1, turns[0]), (4, turns[0]), (7, turns[1]), (10, turns[1])];
    for (first, (c, s)) in pairs {
        let (head, tail) = matrix.split_at_mut((first + 1) * 12);
        let (t, n) = (&mut head[first * 12..], &mut tail[..12]);
        for (x, y) in t.iter_mut().zip(n) {
            (*x, *y) = (c * *x - s * *y, s * *x + c * *y);
        }
    }
    for column in matrix.chunks_exact_mut(12) {
        for (first, (c, s)) in pairs {
            let (x, y) = (column[first], column[first + 1]);
            column[first] = c * x - s * y;
            column[first + 1] = s * x + c * y;
        }
    }
}

/// The larger stated boss at the ends of an arc, m.
fn larger_boss(design: &Design, linkage: &Linkage, ends: [Place; 2]) -> f64 {
    let [one, other] = ends.map(|place| linkage.joints_at(design, place).boss_diameter);
    one.max(other)
}

fn validity_notes(design: &Design, linkage: &Linkage, arcs: &[StructuralArc]) -> Vec<ValidityNote> {
    let differ = design.family.side_differences().into_iter().next();
    let mut notes: Vec<_> = differ.map(ValidityNote::SidesDiffer).into_iter().collect();
    // The deepest bar; of equally deep ones the first.
    let deepest = linkage.bars().map(|(_, body)| body.section(design));
    let deepest = deepest.reduce(|a, b| if b.depth() > a.depth() { b } else { a });
    let deepest = deepest.unwrap_or(&design.section);
    let ratio = deepest.depth() / design.joint_radius;
    if ratio > THICK_FROM {
        notes.push(ValidityNote::ThickBar {
            ratio,
            winkler: ratio > super::arc::WINKLER_FROM
                && !matches!(deepest, crate::stock::Section::Custom { .. }),
        });
    }
    for arc in arcs {
        let section = linkage.bodies[arc.body].section(design);
        let size = section.depth().max(section.width());
        let free_length = arc.element.free_angle() * arc.element.radius;
        if is_short(free_length, section) {
            let body = linkage.bodies[arc.body].name.clone();
            let seen = notes
                .iter()
                .any(|n| matches!(n, ValidityNote::ShortBar { body: b, .. } if *b == body));
            if !seen {
                notes.push(ValidityNote::ShortBar {
                    body,
                    free_length,
                    size,
                });
            }
        }
    }
    notes
}
