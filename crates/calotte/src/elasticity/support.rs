//! What the base stands on: its compliance at a point of the base axis.

use nalgebra::{Matrix3, Matrix6, Vector3};

use crate::design::Support;
use crate::sphere::unit;

use super::arc::BarStiffness;

/// Compliance of a support, 6×6, rows [u; φ], columns [F; M], base frame, with
/// the point it is taken at, m.
pub fn support_compliance(support: &Support) -> (Matrix6<f64>, Vector3<f64>) {
    match support {
        Support::Springs {
            at_radius,
            axial,
            lateral,
            tilt,
            twist,
        } => {
            let diagonal = [
                lateral.value,
                lateral.value,
                axial.value,
                tilt.value,
                tilt.value,
                twist.value,
            ];
            let mut compliance = Matrix6::zeros();
            for (index, stiffness) in diagonal.iter().enumerate() {
                compliance[(index, index)] = 1.0 / stiffness;
            }
            (compliance, Vector3::z() * *at_radius)
        }
        Support::Column {
            at_radius,
            direction,
            length,
            section,
            material,
        } => {
            // Straight: no curvature, so the thin form at any large radius.
            let bar = BarStiffness::new(section, material, f64::INFINITY);
            let local = straight_compliance(*length, &bar);
            let frame = column_frame(direction);
            let mut turn = Matrix6::zeros();
            turn.fixed_view_mut::<3, 3>(0, 0).copy_from(&frame);
            turn.fixed_view_mut::<3, 3>(3, 3).copy_from(&frame);
            (turn * local * turn.transpose(), Vector3::z() * *at_radius)
        }
    }
}

/// Columns (radial, tangent from foot to head, normal) of the column in the base frame.
fn column_frame(direction: &Vector3<f64>) -> Matrix3<f64> {
    let tangent = -unit(direction).unwrap_or_else(|| -Vector3::z());
    let helper = if tangent.cross(&Vector3::z()).norm() > 1e-6 {
        Vector3::z()
    } else {
        Vector3::x()
    };
    let radial = (helper - tangent * tangent.dot(&helper)).normalize();
    Matrix3::from_columns(&[radial, tangent, radial.cross(&tangent)])
}

/// Compliance of a straight cantilever's free end, frame (r, t, z), t along it.
fn straight_compliance(length: f64, bar: &BarStiffness) -> Matrix6<f64> {
    let l = length;
    let (in_plane, out_of_plane) = (bar.bending_in_plane, bar.bending_out_of_plane);
    let mut c = Matrix6::zeros();
    c[(0, 0)] = l.powi(3) / (3.0 * in_plane) + l / bar.shear_in_plane;
    c[(1, 1)] = l / bar.axial;
    c[(2, 2)] = l.powi(3) / (3.0 * out_of_plane) + l / bar.shear_out_of_plane;
    c[(3, 3)] = l / out_of_plane;
    c[(4, 4)] = l / bar.torsional;
    c[(5, 5)] = l / in_plane;
    // A force along r turns the end about −z, a force along z about +r.
    c[(0, 5)] = -l * l / (2.0 * in_plane);
    c[(2, 3)] = l * l / (2.0 * out_of_plane);
    c.fill_lower_triangle_with_upper_triangle();
    c
}
