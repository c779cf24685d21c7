//! What one arc carries: spring directions as twists at the remote centre.
//!
//! Twists are linear then angular, base frame, lengths over the joint radius.
//! A column is the twist per √(2 J) of energy in that spring, its motion times
//! √k being the unknown.

use nalgebra::{DMatrix, Matrix6, Vector3, Vector6};

use crate::elasticity::arc::{BarStiffness, end_compliance};

use super::VirtualJointModel;

/// A circular arc in the base frame.
pub(super) struct PlacedArc {
    /// Direction of its start, unit.
    pub start: Vector3<f64>,
    /// Tangent at its start towards its end, unit.
    pub tangent: Vector3<f64>,
    /// Radius, m.
    pub radius: f64,
    /// Angle, rad.
    pub angle: f64,
    /// Rigid zones at start and end, rad.
    pub zones: [f64; 2],
}

impl PlacedArc {
    /// Flexible angle, rad.
    pub(super) fn free_angle(&self) -> f64 {
        self.angle - (self.zones[0] + self.zones[1])
    }

    /// Axes (r, t, z) at an angle from the start.
    fn frame(&self, at: f64) -> [Vector3<f64>; 3] {
        let (sine, cosine) = at.sin_cos();
        [
            self.start * cosine + self.tangent * sine,
            self.tangent * cosine - self.start * sine,
            self.start.cross(&self.tangent),
        ]
    }

    /// Springs of the arc, 6×n; `None` if a compliance is no positive number.
    pub(super) fn springs(
        &self,
        model: VirtualJointModel,
        bar: &BarStiffness,
    ) -> Option<DMatrix<f64>> {
        match model {
            VirtualJointModel::MidArcSprings => self.mid_arc_springs(bar),
            VirtualJointModel::EndOfArcSprings => self.end_of_arc_springs(bar),
            VirtualJointModel::HandEstimate => self.hand_estimate_spring(bar),
        }
    }

    fn mid_arc_springs(&self, bar: &BarStiffness) -> Option<DMatrix<f64>> {
        let length = self.radius * self.free_angle();
        // The middle of what bends.
        let middle = 0.5 * self.angle + 0.5 * (self.zones[0] - self.zones[1]);
        let [r, t, z] = self.frame(middle);
        let stiffnesses = [
            bending_in_plane(bar, self.radius),
            bar.bending_out_of_plane,
            bar.torsional,
        ];
        let mut springs = DMatrix::zeros(6, 3);
        for (index, (axis, stiffness)) in [z, r, t].iter().zip(stiffnesses).enumerate() {
            let compliance = positive(length / stiffness)?;
            springs.set_column(index, &(hinge(&r, axis) * compliance.sqrt()));
        }
        Some(springs)
    }

    fn end_of_arc_springs(&self, bar: &BarStiffness) -> Option<DMatrix<f64>> {
        let compliance = end_compliance(self.radius, self.free_angle(), bar);
        let over_radius = Matrix6::from_diagonal(&Vector6::new(
            1.0 / self.radius,
            1.0 / self.radius,
            1.0 / self.radius,
            1.0,
            1.0,
            1.0,
        ));
        let root = (over_radius * compliance * over_radius).cholesky()?.l();
        let axes = self.frame(self.angle - self.zones[1]);
        let mut twist = Matrix6::zeros();
        for (index, axis) in axes.iter().enumerate() {
            let translation = six(axis, &Vector3::zeros());
            twist.set_column(index, &translation);
            twist.set_column(3 + index, &hinge(&axes[0], axis));
        }
        let springs = twist * root;
        Some(DMatrix::from_column_slice(6, 6, springs.as_slice()))
    }

    fn hand_estimate_spring(&self, bar: &BarStiffness) -> Option<DMatrix<f64>> {
        let free = self.free_angle();
        let radial = end_compliance(self.radius, free, &bending_only(bar, self.radius))[(0, 0)];
        let arm = self.radius * free.sin();
        let compliance = positive(radial / (arm * arm))?;
        let [r, _, z] = self.frame(self.zones[0]);
        Some(DMatrix::from_column_slice(
            6,
            1,
            (hinge(&r, &z) * compliance.sqrt()).as_slice(),
        ))
    }
}

/// The bar without shear and axial deformation, and without the thick beam's
/// coupling of axial force and bending.
pub(super) fn bending_only(bar: &BarStiffness, radius: f64) -> BarStiffness {
    BarStiffness {
        axial: f64::INFINITY,
        shear_in_plane: f64::INFINITY,
        shear_out_of_plane: f64::INFINITY,
        bending_in_plane: bending_in_plane(bar, radius),
        winkler_shift: None,
        ..*bar
    }
}

/// In-plane bending stiffness, N·m²: E·I, or E·A·e·R of the thick curved beam.
fn bending_in_plane(bar: &BarStiffness, radius: f64) -> f64 {
    match bar.winkler_shift {
        None => bar.bending_in_plane,
        Some(shift) => bar.axial * shift * radius,
    }
}

/// Twist of a hinge of axis `axis` through `point`.
pub(super) fn hinge(point: &Vector3<f64>, axis: &Vector3<f64>) -> Vector6<f64> {
    six(&point.cross(axis), axis)
}

/// A six-vector of its linear and angular parts.
pub(super) fn six(linear: &Vector3<f64>, angular: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(
        linear.x, linear.y, linear.z, angular.x, angular.y, angular.z,
    )
}

fn positive(value: f64) -> Option<f64> {
    (value > 0.0 && value.is_finite()).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bar() -> BarStiffness {
        BarStiffness {
            axial: 5e6,
            shear_in_plane: 1.5e6,
            shear_out_of_plane: 1.6e6,
            bending_in_plane: 15.0,
            bending_out_of_plane: 60.0,
            torsional: 15.5,
            mass_per_length: 0.2,
            winkler_shift: None,
        }
    }

    fn arc(angle: f64) -> PlacedArc {
        PlacedArc {
            start: Vector3::x(),
            tangent: Vector3::y(),
            radius: 0.2,
            angle,
            zones: [0.0; 2],
        }
    }

    /// Compliance at the arc's end, its own frame (r, t, z), of the arc clamped at its start.
    fn end_compliance_by(model: VirtualJointModel, arc: &PlacedArc) -> Matrix6<f64> {
        let springs = arc.springs(model, &bar()).unwrap();
        let [r, t, z] = arc.frame(arc.angle);
        let mut sum = Matrix6::zeros();
        for twist in springs.column_iter() {
            let (v, w) = (twist.fixed_rows::<3>(0), twist.fixed_rows::<3>(3));
            let u = (v + w.cross(&r)) * arc.radius;
            let local = six(
                &Vector3::new(r.dot(&u), t.dot(&u), z.dot(&u)),
                &Vector3::new(r.dot(&w), t.dot(&w), z.dot(&w)),
            );
            sum += local * local.transpose();
        }
        sum
    }

    #[test]
    fn the_end_spring_is_the_arcs_end_compliance() {
        let arc = arc(0.9);
        let by_spring = end_compliance_by(VirtualJointModel::EndOfArcSprings, &arc);
        let exact = end_compliance(arc.radius, arc.angle, &bar());
        assert!((by_spring - exact).norm() < 1e-13 * exact.norm());
    }

    #[test]
    fn mid_arc_springs_of_a_shallow_arc_give_three_quarters_of_the_cantilever() {
        // By hand: a spring l/EI at half the length moves the end by
        // (l/2)²·l/EI = l³/4EI where the beam moves by l³/3EI.
        let arc = arc(1e-3);
        let (c, l): (Matrix6<f64>, f64) = (
            end_compliance_by(VirtualJointModel::MidArcSprings, &arc),
            0.2 * 1e-3,
        );
        let by_hand = |stiffness: f64| l.powi(3) / (4.0 * stiffness);
        assert!((c[(0, 0)] / by_hand(15.0) - 1.0).abs() < 1e-5);
        assert!((c[(2, 2)] / by_hand(60.0) - 1.0).abs() < 1e-5);
        // End rotations have nothing between: l/EI and l/GJ.
        assert!((c[(3, 3)] * 60.0 / l - 1.0).abs() < 1e-5);
        assert!((c[(4, 4)] * 15.5 / l - 1.0).abs() < 1e-5);
        assert!((c[(5, 5)] * 15.0 / l - 1.0).abs() < 1e-5);
    }

    #[test]
    fn the_hand_estimates_spring_gives_the_radial_end_deflection_and_nothing_across() {
        // Castigliano, bending alone: R³(2φ − sin 2φ)/4EI.
        let arc = arc(1.1);
        let c = end_compliance_by(VirtualJointModel::HandEstimate, &arc);
        let exact = 0.2f64.powi(3) * (2.2 - 2.2f64.sin()) / (4.0 * 15.0);
        assert!((c[(0, 0)] / exact - 1.0).abs() < 1e-12);
        assert_eq!(c[(2, 2)], 0.0);
    }
}
