//! What a load does: displacement of the tip, end forces of arcs, joint
//! forces, and where the strain energy sits.

use nalgebra::{SMatrix, Vector3, Vector5, Vector6};

use super::arc::ArcPointLoad;
use super::elements::StructuralArc;
use super::error::ElasticityError;
use super::structure::{SolvedStructure, Structure};

/// Loads on the structure, base frame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LoadSet {
    /// Forces and moments [F; M] on the tool, taken at the given points, N and N·m, m.
    pub on_tool: Vec<(Vector6<f64>, Vector3<f64>)>,
    /// Loads on bars: index of the body, place along its whole arc (0 to 1), and
    /// force and moment [F; M] there, base frame.
    pub on_bars: Vec<(usize, f64, Vector6<f64>)>,
    /// Acceleration that acts on the mass of all bars, bosses and pins, m/s².
    pub bar_acceleration: Vector3<f64>,
}

/// Number of causes the strain energy is split by.
pub const CAUSES: usize = 5;

/// Shares of the strain energy by cause; they sum to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnergyShares {
    /// Bending, torsion, axial force and shear of the arcs.
    pub arcs: f64,
    /// Joint stiffness: bearings with their seats, or as given.
    pub joints: f64,
    /// Pins and shafts.
    pub pins: f64,
    /// Drives or brakes.
    pub drives: f64,
    /// What the base stands on.
    pub base: f64,
}

/// The answer to a set of loads.
#[derive(Debug, Clone, PartialEq)]
pub struct Response {
    /// Motion [u; φ] of the tool tip, m and rad, local frame (polar, azimuth, radial).
    pub tip: Vector6<f64>,
    /// Force of the end node on each arc's end, end frame (r, t, z), N and N·m.
    pub arc_end_forces: Vec<Vector6<f64>>,
    /// Acceleration components in each arc's start frame, m/s².
    pub arc_accelerations: Vec<Vector3<f64>>,
    /// Loads between the nodes, by arc.
    pub arc_loads: Vec<(usize, ArcPointLoad)>,
    /// Force and moment of each joint on its second body, taken at the reference
    /// radius of its axis, group frame (u, t, n), N and N·m.
    pub joint_forces: Vec<Vector6<f64>>,
    /// Strain energy of each cause, J: arcs, joints, pins, drives, base.
    pub energy: [f64; CAUSES],
    /// Work of the loads that act at their full value on the elastic path, ½ Σ F·u, J.
    pub half_work: f64,
}

impl Response {
    /// Shares of the strain energy by loads on the tool alone; `None` without
    /// energy or where loads act between nodes, whose own part is not split.
    pub fn energy_shares(&self) -> Option<EnergyShares> {
        let between = !self.arc_loads.is_empty()
            || self
                .arc_accelerations
                .iter()
                .any(|a| a.norm_squared() > 0.0);
        if between {
            return None;
        }
        let total: f64 = self.energy.iter().sum();
        // A cause without energy may come out below 0 by rounding.
        let [arcs, joints, pins, drives, base] = self.energy.map(|energy| {
            let share = energy / total;
            if share.abs() < 1e-12 { 0.0 } else { share }
        });
        (total > 0.0).then_some(EnergyShares {
            arcs,
            joints,
            pins,
            drives,
            base,
        })
    }
}

/// The solution for one set of loads, before it is read.
#[derive(Debug, Clone)]
pub(super) struct Motions {
    /// Motion of every unknown, m or rad.
    pub(super) unknowns: Vec<f64>,
    applied: Vec<f64>,
    place_loads: Vec<Vector6<f64>>,
    accelerations: Vec<Vector3<f64>>,
    arc_loads: Vec<(usize, ArcPointLoad)>,
}

impl Structure {
    /// Motion [u; φ] of a place, m and rad, its group's frame (u, t, n).
    pub(super) fn place_motion(&self, place: usize, unknowns: &[f64]) -> Vector6<f64> {
        Vector6::from_fn(|motion, _| {
            if motion == 3 && place == self.tool_place {
                self.tool_spin.iter().map(|(u, c)| c * unknowns[*u]).sum()
            } else {
                self.places[place].motions[motion].map_or(0.0, |u| unknowns[u])
            }
        })
    }
}

impl SolvedStructure<'_> {
    /// Loads with one force and moment [F; M] on the tip, local frame.
    pub fn tip_load(&self, wrench: &Vector6<f64>) -> LoadSet {
        LoadSet {
            on_tool: vec![(self.base_from_local(wrench), self.tip)],
            ..LoadSet::default()
        }
    }

    /// A six-vector of the local frame in the base frame.
    pub fn base_from_local(&self, vector: &Vector6<f64>) -> Vector6<f64> {
        let turn = self.frame.rotation();
        let linear = turn * vector.fixed_rows::<3>(0);
        let angular = turn * vector.fixed_rows::<3>(3);
        Vector6::new(
            linear.x, linear.y, linear.z, angular.x, angular.y, angular.z,
        )
    }

    /// Tool tip in the base frame, m.
    pub fn tip(&self) -> Vector3<f64> {
        self.tip
    }

    /// Solves for a set of loads.
    ///
    /// # Errors
    /// [`ElasticityError::UnknownBar`] for a load on a body that has no station to take it.
    pub fn respond(&self, loads: &LoadSet) -> Result<Response, ElasticityError> {
        let motions = self.motions_under(loads)?;
        Ok(self.gather(loads, &motions))
    }

    /// Motions of all unknowns under a set of loads, with what was applied.
    pub(super) fn motions_under(&self, loads: &LoadSet) -> Result<Motions, ElasticityError> {
        let structure = self.structure;
        let mut right = vec![0.0; structure.unknowns()];
        let mut place_loads = vec![Vector6::zeros(); structure.places.len()];
        for (wrench, point) in &loads.on_tool {
            self.add_tool_load(&mut right, &mut place_loads, wrench, point);
        }
        let mut arc_loads: Vec<(usize, ArcPointLoad)> = Vec::new();
        for (body, fraction, wrench) in &loads.on_bars {
            let (arc, load) = self.bar_load(*body, *fraction, wrench)?;
            self.add_nodal(&mut right, arc, &load.nodal);
            arc_loads.push((arc, load));
        }
        if loads.bar_acceleration.norm_squared() > 0.0 {
            for (place, mass, radius) in &structure.place_masses {
                let point = self.axis_point(*place, *radius);
                let f = loads.bar_acceleration * *mass;
                let wrench = Vector6::new(f.x, f.y, f.z, 0.0, 0.0, 0.0);
                self.add_place_load(&mut right, &mut place_loads, *place, &wrench, &point);
            }
        }
        let accelerations = self.add_mass_loads(&mut right, &loads.bar_acceleration);
        let applied = right.clone();
        self.factor.solve(&mut right);
        Ok(Motions {
            unknowns: right,
            applied,
            place_loads,
            accelerations,
            arc_loads,
        })
    }

    /// Motion [u; φ] of a place, m and rad, its group's frame (u, t, n).
    pub(super) fn place_motion(&self, place: usize, unknowns: &[f64]) -> Vector6<f64> {
        self.structure.place_motion(place, unknowns)
    }

    /// Motion [u; φ] of what the base stands on, taken at the support's point, base
    /// frame; `None` on rigid ground.
    pub(super) fn base_motion(&self, loads: &LoadSet) -> Option<(Vector6<f64>, Vector3<f64>)> {
        let (compliance, point) = self.structure.support.as_ref()?;
        Some((compliance * self.total_wrench(loads, point), *point))
    }

    pub(super) fn gather(&self, loads: &LoadSet, solved: &Motions) -> Response {
        let structure = self.structure;
        let (motions, applied) = (&solved.unknowns[..], &solved.applied[..]);
        let (accelerations, arc_loads) = (&solved.accelerations, &solved.arc_loads);
        let place_motion = |place: usize| self.place_motion(place, motions);
        let mut tip = self.local_from_place() * place_motion(structure.tool_place);
        let mut energy = [0.0; CAUSES];
        let mut arc_end_forces = Vec::with_capacity(structure.arcs.len());
        let mut place_forces: Vec<Vector6<f64>> = solved.place_loads.clone();
        for (index, arc) in structure.arcs.iter().enumerate() {
            let mut motion = SMatrix::<f64, 12, 1>::zeros();
            for end in 0..2 {
                let local = into_end_frame(&place_motion(arc.ends[end]), self.turns[index][end]);
                motion.fixed_rows_mut::<6>(6 * end).copy_from(&local);
            }
            let acceleration = &accelerations[index];
            let mut end_force = arc.element.end_force(&motion, acceleration);
            let own = || arc_loads.iter().filter(|(arc, _)| *arc == index);
            for (_, load) in own() {
                end_force -= load.end_force_change;
            }
            energy[0] += 0.5 * motion.dot(&(arc.element.stiffness * motion));
            let mut start_force = -arc.element.section_forces(0.0, &end_force, acceleration);
            for (_, load) in own() {
                start_force -= load.section_forces(arc.element.radius, 0.0);
            }
            let on_node = arc.element.own_from_node().transpose();
            for (end, force) in [start_force, end_force].into_iter().enumerate() {
                place_forces[arc.ends[end]] -=
                    from_end_frame(&(on_node * force), self.turns[index][end]);
            }
            arc_end_forces.push(end_force);
        }
        let amount = |motion: Option<usize>| motion.map_or(0.0, |u| motions[u]);
        for joint in &structure.joints {
            let relative =
                Vector5::from_fn(|row, _| amount(joint.ends[1][row]) - amount(joint.ends[0][row]));
            let [pin, bearings] = joint.law.energies(&relative);
            energy[1] += bearings;
            energy[2] += pin;
        }
        if let Some(drive) = &structure.drive {
            let relative = drive
                .spins
                .map(|[second, first]| amount(second) - amount(first));
            let relative = nalgebra::Vector2::from(relative);
            let torque = drive.stiffness * relative;
            let in_shafts: f64 = (0..2)
                .map(|k| 0.5 * torque[k] * torque[k] * drive.torsion[k])
                .sum();
            energy[2] += in_shafts;
            energy[3] = 0.5 * relative.dot(&torque) - in_shafts;
        }
        let mut half_work = 0.5 * motions.iter().zip(applied).map(|(u, f)| u * f).sum::<f64>();
        if let Some((compliance, point)) = &structure.support {
            let on_base = self.total_wrench(loads, point);
            let base_motion = compliance * on_base;
            tip += self.local_from_point(point) * base_motion;
            energy[4] = 0.5 * on_base.dot(&base_motion);
            half_work += energy[4];
        }
        Response {
            tip,
            arc_end_forces,
            arc_accelerations: accelerations.clone(),
            arc_loads: arc_loads.clone(),
            joint_forces: self.joint_forces(&place_forces),
            energy,
            half_work,
        }
    }

    /// Resultant [F; M] of all loads at a point, base frame.
    fn total_wrench(&self, loads: &LoadSet, point: &Vector3<f64>) -> Vector6<f64> {
        let structure = self.structure;
        let mut sum = Vector6::zeros();
        let mut add = |wrench: &Vector6<f64>, at: &Vector3<f64>| {
            let force: Vector3<f64> = wrench.fixed_rows::<3>(0).into_owned();
            let moment: Vector3<f64> =
                wrench.fixed_rows::<3>(3).into_owned() + (at - point).cross(&force);
            sum += Vector6::new(force.x, force.y, force.z, moment.x, moment.y, moment.z);
        };
        for (wrench, at) in &loads.on_tool {
            add(wrench, at);
        }
        for (body, fraction, wrench) in &loads.on_bars {
            if let Ok((arc, at)) = self.bar_point(*body, *fraction) {
                add(wrench, &self.arc_point(arc, at));
            }
        }
        let weight = |mass: f64| {
            let f = loads.bar_acceleration * mass;
            Vector6::new(f.x, f.y, f.z, 0.0, 0.0, 0.0)
        };
        for (place, mass, radius) in &structure.place_masses {
            add(&weight(*mass), &self.axis_point(*place, *radius));
        }
        for arc in &structure.arcs {
            add(&weight(arc.element.mass()), &self.arc_centroid(arc));
        }
        sum
    }

    /// Centre of mass of an arc, base frame, m: on its bisector at R sin(φ/2)/(φ/2).
    fn arc_centroid(&self, arc: &StructuralArc) -> Vector3<f64> {
        let middle = self.place_point(arc.ends[0]) + self.place_point(arc.ends[1]);
        let half = 0.5 * arc.element.angle;
        middle.normalize() * (arc.element.radius * half.sin() / half)
    }

    /// The reference point of a place on its joint axis, base frame, m.
    fn place_point(&self, place: usize) -> Vector3<f64> {
        self.axis_point(place, self.structure.radius)
    }

    /// A point on the joint axis of a place, base frame, m.
    fn axis_point(&self, place: usize, radius: f64) -> Vector3<f64> {
        self.group_axes[self.structure.places[place].group][0] * radius
    }

    /// A point along a bar's whole arc (0 to 1), base frame, m.
    ///
    /// # Errors
    /// [`ElasticityError::UnknownBar`] for a body without arcs.
    pub fn point_on_bar(
        &self,
        body: usize,
        fraction: f64,
    ) -> Result<Vector3<f64>, ElasticityError> {
        self.bar_point(body, fraction)
            .map(|(arc, at)| self.arc_point(arc, at))
    }

    /// Arc and angle along it for a place along a bar's whole arc.
    fn bar_point(&self, body: usize, fraction: f64) -> Result<(usize, f64), ElasticityError> {
        let structure = self.structure;
        let arcs: Vec<usize> = (0..structure.arcs.len())
            .filter(|arc| structure.arcs[*arc].body == body)
            .collect();
        let whole: f64 = arcs.iter().map(|a| structure.arcs[*a].element.angle).sum();
        let mut left = fraction.clamp(0.0, 1.0) * whole;
        for arc in &arcs {
            let angle = structure.arcs[*arc].element.angle;
            if left <= angle || Some(arc) == arcs.last() {
                return Ok((*arc, left.min(angle)));
            }
            left -= angle;
        }
        let bodies = &structure.linkage.bodies;
        Err(ElasticityError::UnknownBar {
            name: bodies.get(body).map(|b| b.name.clone()).unwrap_or_default(),
            known: bodies
                .iter()
                .filter(|b| !b.arcs.is_empty())
                .map(|b| b.name.clone())
                .collect(),
        })
    }

    /// A base-frame load on a bar in the section's frame of the arc it meets.
    fn bar_load(
        &self,
        body: usize,
        fraction: f64,
        wrench: &Vector6<f64>,
    ) -> Result<(usize, ArcPointLoad), ElasticityError> {
        let (arc, at) = self.bar_point(body, fraction)?;
        let axes = self.arc_axes(arc, at);
        let local = Vector6::from_fn(|k, _| {
            let part: Vector3<f64> = wrench.fixed_rows::<3>(3 * (k / 3)).into_owned();
            axes[k % 3].dot(&part)
        });
        let load = self.structure.arcs[arc].element.point_load(at, &local);
        Ok((arc, load))
    }

    /// Axes (r, t, z) of an arc at an angle from its start, base frame.
    pub(super) fn arc_axes(&self, arc: usize, at: f64) -> [Vector3<f64>; 3] {
        let [u, t, n] =
            &self.group_axes[self.structure.places[self.structure.arcs[arc].ends[0]].group];
        let (c, s) = self.turns[arc][0];
        let (start_t, z) = (t * c + n * s, n * c - t * s);
        let (sine, cosine) = at.sin_cos();
        [u * cosine + start_t * sine, start_t * cosine - u * sine, z]
    }

    fn arc_point(&self, arc: usize, at: f64) -> Vector3<f64> {
        self.arc_axes(arc, at)[0] * self.structure.arcs[arc].element.radius
    }

    fn add_nodal(&self, right: &mut [f64], arc: usize, loads: &SMatrix<f64, 12, 1>) {
        let ends = self.structure.arcs[arc].ends;
        for (end, place) in ends.into_iter().enumerate() {
            let part: Vector6<f64> = loads.fixed_rows::<6>(6 * end).into_owned();
            let turned = from_end_frame(&part, self.turns[arc][end]);
            for motion in 0..6 {
                if let Some(unknown) = self.structure.places[place].motions[motion] {
                    right[unknown] += turned[motion];
                }
            }
        }
    }

    /// A wrench on the tool: all motions but the spin act on its place, the spin
    /// on whatever makes it up.
    fn add_tool_load(
        &self,
        right: &mut [f64],
        place_loads: &mut [Vector6<f64>],
        wrench: &Vector6<f64>,
        point: &Vector3<f64>,
    ) {
        let structure = self.structure;
        let place = structure.tool_place;
        let local = self.wrench_at_place(place, wrench, point);
        for motion in [0, 1, 2, 4, 5] {
            if let Some(unknown) = structure.places[place].motions[motion] {
                right[unknown] += local[motion];
            }
        }
        for (unknown, share) in &structure.tool_spin {
            right[*unknown] += share * local[3];
        }
        place_loads[place] += local;
    }

    fn add_place_load(
        &self,
        right: &mut [f64],
        place_loads: &mut [Vector6<f64>],
        place: usize,
        wrench: &Vector6<f64>,
        point: &Vector3<f64>,
    ) {
        let local = self.wrench_at_place(place, wrench, point);
        for motion in 0..6 {
            if let Some(unknown) = self.structure.places[place].motions[motion] {
                right[unknown] += local[motion];
            }
        }
        place_loads[place] += local;
    }

    /// A wrench given at a point, moved to a place, in its group's frame.
    fn wrench_at_place(
        &self,
        place: usize,
        wrench: &Vector6<f64>,
        point: &Vector3<f64>,
    ) -> Vector6<f64> {
        let axes = &self.group_axes[self.structure.places[place].group];
        let force: Vector3<f64> = wrench.fixed_rows::<3>(0).into_owned();
        let moment: Vector3<f64> = wrench.fixed_rows::<3>(3).into_owned()
            + (point - self.place_point(place)).cross(&force);
        Vector6::from_fn(|motion, _| {
            if motion < 3 {
                axes[motion].dot(&force)
            } else {
                axes[motion - 3].dot(&moment)
            }
        })
    }

    /// Adds the arcs' own mass under an acceleration; returns its components in
    /// each arc's start frame.
    fn add_mass_loads(&self, right: &mut [f64], acceleration: &Vector3<f64>) -> Vec<Vector3<f64>> {
        (0..self.structure.arcs.len())
            .map(|index| {
                let local = Vector3::from(self.arc_axes(index, 0.0).map(|a| a.dot(acceleration)));
                if local.norm_squared() > 0.0 {
                    let loads = self.structure.arcs[index].element.mass_loads * local;
                    self.add_nodal(right, index, &loads);
                }
                local
            })
            .collect()
    }

    /// Joint forces by equilibrium: what a joint passes to its second body
    /// balances all other forces on the places beyond it in its group.
    fn joint_forces(&self, place_forces: &[Vector6<f64>]) -> Vec<Vector6<f64>> {
        let structure = self.structure;
        let joints = &structure.linkage.joints;
        let index_of = |place| {
            structure
                .places
                .iter()
                .position(|p| p.place == place)
                .unwrap_or_default()
        };
        let ends: Vec<[usize; 2]> = joints
            .iter()
            .map(|joint| [index_of(joint.first), index_of(joint.second)])
            .collect();
        (0..joints.len())
            .map(|joint| {
                // All places joined to the second end without using this joint.
                let mut beyond = vec![ends[joint][1]];
                let mut next = 0;
                while next < beyond.len() {
                    let here = beyond[next];
                    next += 1;
                    for (other, pair) in ends.iter().enumerate() {
                        if other == joint {
                            continue;
                        }
                        for (a, b) in [(pair[0], pair[1]), (pair[1], pair[0])] {
                            if a == here && !beyond.contains(&b) {
                                beyond.push(b);
                            }
                        }
                    }
                }
                -beyond
                    .iter()
                    .map(|p| place_forces[*p])
                    .sum::<Vector6<f64>>()
            })
            .collect()
    }
}

/// Components in an arc's end frame from a group's frame.
pub(super) fn into_end_frame(v: &Vector6<f64>, (c, s): (f64, f64)) -> Vector6<f64> {
    Vector6::new(
        v[0],
        c * v[1] + s * v[2],
        c * v[2] - s * v[1],
        v[3],
        c * v[4] + s * v[5],
        c * v[5] - s * v[4],
    )
}

/// Components in a group's frame from an arc's end frame.
fn from_end_frame(v: &Vector6<f64>, (c, s): (f64, f64)) -> Vector6<f64> {
    into_end_frame(v, (c, -s))
}
