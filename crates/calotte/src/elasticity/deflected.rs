//! The deflected shape: how every point of the bars moves under a set of loads,
//! and which bar and which cause it is due to.

use nalgebra::{Vector3, Vector6};

use super::arc::{end_compliance, transport};
use super::error::ElasticityError;
use super::response::{LoadSet, Motions, Response, into_end_frame};
use super::structure::SolvedStructure;

/// Pieces into which the flexible part of every arc is divided.
const PIECES: usize = 12;

/// The shape of a loaded linkage.
#[derive(Debug, Clone, PartialEq)]
pub struct Deflected {
    /// Displacement of the tip, forces and energies.
    pub response: Response,
    /// Every arc, in the order of the structure.
    pub arcs: Vec<DeflectedArc>,
    /// Strain energy of the arcs of each body, J, in the order of the bodies.
    pub energy_by_body: Vec<f64>,
}

/// Points along the centre line of an arc, base frame, m.
#[derive(Debug, Clone, PartialEq)]
pub struct DeflectedArc {
    /// Index of the body.
    pub body: usize,
    /// Where the points are without load.
    pub points: Vec<Vector3<f64>>,
    /// How far each moves.
    pub displacements: Vec<Vector3<f64>>,
}

impl SolvedStructure<'_> {
    /// Displacement of points along every arc, and strain energy by body.
    ///
    /// # Theory
    /// From the start node's motion the section is carried on piece by piece: the
    /// rigid transport along the circle plus the compliance of the piece under the
    /// resultants at its end. For loads on the tool this is the exact curved beam;
    /// own weight and loads between the nodes act within a piece through the
    /// resultants at its end alone, an error of second order in its length.
    /// Checked: the last point meets the end node's motion
    /// (`a_deflected_arc_ends_where_its_node_is`).
    ///
    /// # Errors
    /// As [`SolvedStructure::respond`].
    pub fn deflected(&self, loads: &LoadSet) -> Result<Deflected, ElasticityError> {
        let motions = self.motions_under(loads)?;
        let response = self.gather(loads, &motions);
        let mut energy_by_body = vec![0.0; self.structure.linkage.bodies.len()];
        let base_motion = self.base_motion(loads);
        let mut arcs = Vec::with_capacity(self.structure.arcs.len());
        for index in 0..self.structure.arcs.len() {
            let (mut arc, energy) = self.deflected_arc(index, &motions, &response);
            energy_by_body[arc.body] += energy;
            if let Some((motion, point)) = &base_motion {
                let (moved, turned) = (motion.fixed_rows::<3>(0), motion.fixed_rows::<3>(3));
                for (at, displacement) in arc.points.iter().zip(&mut arc.displacements) {
                    *displacement += moved + turned.cross(&(at - point));
                }
            }
            arcs.push(arc);
        }
        Ok(Deflected {
            response,
            arcs,
            energy_by_body,
        })
    }

    fn deflected_arc(
        &self,
        index: usize,
        motions: &Motions,
        response: &Response,
    ) -> (DeflectedArc, f64) {
        let arc = &self.structure.arcs[index];
        let element = &arc.element;
        let start = self.place_motion(arc.ends[0], &motions.unknowns);
        let mut motion = element.own_from_node() * into_end_frame(&start, self.turns[index][0]);
        let resultants = |at: f64| -> Vector6<f64> {
            let mut sum = element.section_forces(
                at,
                &response.arc_end_forces[index],
                &response.arc_accelerations[index],
            );
            for (_, load) in response.arc_loads.iter().filter(|(arc, _)| *arc == index) {
                sum += load.section_forces(element.radius, at);
            }
            sum
        };
        let mut found = DeflectedArc {
            body: arc.body,
            points: Vec::with_capacity(PIECES + 3),
            displacements: Vec::with_capacity(PIECES + 3),
        };
        let mut keep = |at: f64, motion: &Vector6<f64>| {
            let [r, t, z] = self.arc_axes(index, at);
            found.points.push(r * element.radius);
            found
                .displacements
                .push(r * motion[0] + t * motion[1] + z * motion[2]);
        };
        keep(0.0, &motion);
        let mut energy = 0.0;
        let [zone, end_zone] = element.zones;
        if zone > 0.0 {
            motion = transport(element.radius, zone) * motion;
            keep(zone, &motion);
        }
        let step = element.free_angle() / PIECES as f64;
        let piece = end_compliance(element.radius, step, element.bar());
        let carry = transport(element.radius, step);
        for number in 1..=PIECES {
            let at = zone + step * number as f64;
            let forces = resultants(at);
            motion = carry * motion + piece * forces;
            energy += 0.5 * forces.dot(&(piece * forces));
            keep(at, &motion);
        }
        if end_zone > 0.0 {
            motion = transport(element.radius, end_zone) * motion;
            keep(element.angle, &motion);
        }
        (found, energy)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Design, DriveLayout, Family, JointProperties, JointStiffness};
    use crate::design::{ScissorLinkage, sample};
    use crate::elasticity::Structure;
    use crate::kinematics::Kinematics;
    use crate::uncertain::Uncertain;

    fn scissor() -> Design {
        let mut design = sample::two_arc_arm([0.5, 0.5]);
        design.family = Family::scissor_linkage(ScissorLinkage::uniform(2, 0.41));
        design.drives.layout = DriveLayout::SwingAndOpening;
        design.joints = JointProperties {
            stiffness: Some(JointStiffness {
                axial: Uncertain::exact(3e6),
                radial: Uncertain::exact(6e6),
                tilt: Uncertain::exact(300.0),
            }),
            parts: None,
            boss_diameter: 0.008,
            mass: 0.004,
            releases: Vec::new(),
        };
        design
    }

    /// Motion of both ends of every arc, base frame, from the solution itself.
    fn check(design: &Design, loads: &dyn Fn(&SolvedStructure<'_>) -> LoadSet, tolerance: f64) {
        let kinematics = Kinematics::new(design).unwrap();
        let structure = Structure::new(design, &kinematics.linkage).unwrap();
        let pose = kinematics.forward_from_mechanism([0.3, 1.1]).unwrap();
        let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
        let loads = loads(&solved);
        let deflected = solved.deflected(&loads).unwrap();
        let motions = solved.motions_under(&loads).unwrap();
        let largest = deflected
            .arcs
            .iter()
            .flat_map(|arc| arc.displacements.iter().map(|d| d.norm()))
            .fold(0.0, f64::max);
        assert!(largest > 1e-7);
        for (index, arc) in deflected.arcs.iter().enumerate() {
            let place = structure.arcs[index].ends[1];
            let node = solved.place_motion(place, &motions.unknowns);
            let [u, t, n] = &solved.group_axes[structure.places[place].group];
            let expected = u * node[0] + t * node[1] + n * node[2];
            let miss = (arc.displacements.last().unwrap() - expected).norm();
            assert!(
                miss < tolerance * largest,
                "arc {index}: {miss} of {largest}"
            );
        }
    }

    #[test]
    fn a_deflected_arc_ends_where_its_node_is() {
        // Derived: the element's end node moves as the solution says; the march along
        // the arc uses section resultants and piecewise compliances only.
        check(
            &scissor(),
            &|solved| solved.tip_load(&Vector6::new(2.0, -1.0, 8.0, 0.0, 0.0, 0.0)),
            1e-9,
        );
        check(
            &scissor(),
            &|_| LoadSet {
                bar_acceleration: Vector3::new(0.0, 0.0, -9.8),
                ..LoadSet::default()
            },
            2e-2,
        );
    }

    #[test]
    fn energy_of_the_bodies_is_the_energy_of_the_arcs() {
        // Derived: for loads on the tool the pieces are exact, so that the sum over
        // bodies equals ½ u K u of all arcs within the integration of the pieces.
        let kinematics = Kinematics::new(&scissor()).unwrap();
        let structure = Structure::new(&scissor(), &kinematics.linkage).unwrap();
        let pose = kinematics.forward_from_mechanism([0.3, 1.1]).unwrap();
        let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
        let loads = solved.tip_load(&Vector6::new(2.0, -1.0, 8.0, 0.0, 0.0, 0.0));
        let deflected = solved.deflected(&loads).unwrap();
        let sum: f64 = deflected.energy_by_body.iter().sum();
        let arcs = deflected.response.energy[0];
        assert!((sum - arcs).abs() < 1e-9 * arcs, "{sum} against {arcs}");
    }
}
