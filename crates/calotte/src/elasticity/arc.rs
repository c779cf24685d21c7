//! The exact element: end flexibility of a circular arc with all six actions.
//!
//! Castigliano's theorem on the arc gives the 6×6 compliance of its free end
//! in closed form (both bendings, torsion, axial force, both shears); series
//! stand in for small angles, where the closed forms cancel. Derived in
//! `docs/theory/elasticity.md`; checked to 1e-9 as C01/C02 by `calotte verify`.
//!
//! End frames are (r, t, z): r radially outward, t along the arc from start to
//! end, z = r × t, normal to the arc's plane. Six-vectors are linear then
//! angular in that frame.

use nalgebra::{Matrix3, Matrix6, SMatrix, Vector3, Vector6};

use crate::sphere::quadrature::rule_12;

use crate::stock::material::Material;
use crate::stock::section::Section;

/// A 12×12 matrix over both ends of an element, start first.
pub type Matrix12 = SMatrix<f64, 12, 12>;
/// Nodal loads over both ends per acceleration component (r, t, z of the start frame).
pub type Loads12 = SMatrix<f64, 12, 3>;

/// Above this depth over radius the Winkler form is used.
pub const WINKLER_FROM: f64 = 0.2;
/// Above this depth over radius a note is due.
pub const THICK_FROM: f64 = 0.1;

/// Stiffnesses of a bar's section, modulus times constant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarStiffness {
    /// E·A, N.
    pub axial: f64,
    /// k·G·A in the arc's plane, N; may be infinite.
    pub shear_in_plane: f64,
    /// k·G·A out of the arc's plane, N; may be infinite.
    pub shear_out_of_plane: f64,
    /// E·I in the arc's plane, N·m².
    pub bending_in_plane: f64,
    /// E·I out of the arc's plane, N·m².
    pub bending_out_of_plane: f64,
    /// G·J, N·m².
    pub torsional: f64,
    /// Mass per length, kg/m.
    pub mass_per_length: f64,
    /// Distance e between centroid and neutral line of the thick curved beam at
    /// the radius the bar has, m; `None` for the thin form.
    pub winkler_shift: Option<f64>,
}

impl BarStiffness {
    /// Stiffnesses of a section in a material at a radius, nominal values.
    pub fn new(section: &Section, material: &Material, radius: f64) -> Self {
        let (e, g, density) = (
            material.youngs_modulus.value,
            material.shear_modulus.value,
            material.density.value,
        );
        let winkler_shift = (section.depth() / radius > WINKLER_FROM)
            .then(|| super::thick::neutral_shift(section, radius))
            .flatten();
        match (section.constants(material.poisson_ratio()), section) {
            (Some(constants), _) => Self {
                axial: e * constants.area,
                shear_in_plane: constants.shear_factor_in_plane * g * constants.area,
                shear_out_of_plane: constants.shear_factor_out_of_plane * g * constants.area,
                bending_in_plane: e * constants.second_moment_in_plane,
                bending_out_of_plane: e * constants.second_moment_out_of_plane,
                torsional: g * constants.torsion_constant,
                mass_per_length: density * constants.area,
                winkler_shift,
            },
            (
                None,
                &Section::Custom {
                    axial,
                    bending_in_plane,
                    bending_out_of_plane,
                    torsional,
                    shear_in_plane,
                    shear_out_of_plane,
                    mass_per_length,
                    ..
                },
            ) => Self {
                axial,
                shear_in_plane,
                shear_out_of_plane,
                bending_in_plane,
                bending_out_of_plane,
                torsional,
                mass_per_length,
                winkler_shift: None,
            },
            (None, _) => unreachable!("only a custom section has no constants"),
        }
    }

    /// A bar of the same mass that is so many times as stiff.
    pub fn times(&self, factor: f64) -> Self {
        Self {
            axial: self.axial * factor,
            shear_in_plane: self.shear_in_plane * factor,
            shear_out_of_plane: self.shear_out_of_plane * factor,
            bending_in_plane: self.bending_in_plane * factor,
            bending_out_of_plane: self.bending_out_of_plane * factor,
            torsional: self.torsional * factor,
            ..*self
        }
    }
}

/// The trigonometric integrals of an arc, with series below 0.1 rad.
struct ArcIntegrals {
    /// (2φ − sin 2φ)/4 = ∫ sin².
    a: f64,
    /// (2φ + sin 2φ)/4 = ∫ cos².
    b: f64,
    /// (6φ − 8 sin φ + sin 2φ)/4 = ∫ (1 − cos)².
    g: f64,
    /// 1 − cos φ.
    rise: f64,
    /// φ − sin φ.
    lag: f64,
    /// sin φ − b = ∫ cos (1 − cos).
    mixed: f64,
    sine: f64,
}

impl ArcIntegrals {
    fn new(angle: f64) -> Self {
        let (sine, half) = (angle.sin(), (0.5 * angle).sin());
        let rise = 2.0 * half * half;
        let b = 0.25 * (2.0 * angle + (2.0 * angle).sin());
        if angle.abs() > 0.35 {
            let a = 0.25 * (2.0 * angle - (2.0 * angle).sin());
            let g = 0.25 * (6.0 * angle - 8.0 * sine + (2.0 * angle).sin());
            return Self {
                a,
                b,
                g,
                rise,
                lag: angle - sine,
                mixed: sine - b,
                sine,
            };
        }
        // φ − sin φ = φ³/6 − φ⁵/120 + …, evaluated at φ and 2φ.
        let lag = |x: f64| {
            let square = x * x;
            let mut term = x * square / 6.0;
            let mut sum = 0.0;
            let mut k = 4.0;
            while term.abs() > 1e-20 * x.abs().powi(3) {
                sum += term;
                term *= -square / (k * (k + 1.0));
                k += 2.0;
            }
            sum
        };
        // g = Σ (−1)ⁿ φ^{2n+1}/(2n+1)! · (2^{2n+1} − 8)/4, n from 2.
        let mut g = 0.0;
        let mut factor = angle.powi(5) / 120.0;
        let mut power = 32.0;
        for n in 2..14 {
            let sign = if n % 2 == 0 { 1.0 } else { -1.0 };
            g += sign * factor * (power - 8.0) / 4.0;
            let k = f64::from(2 * n + 2);
            factor *= angle * angle / (k * (k + 1.0));
            power *= 4.0;
        }
        let a = 0.25 * lag(2.0 * angle);
        // ∫ cos(1 − cos) = ∫ (1 − cos) − ∫ (1 − cos)² = (φ − sin φ) − g.
        Self {
            a,
            b,
            g,
            rise,
            lag: lag(angle),
            mixed: lag(angle) - g,
            sine,
        }
    }
}

/// Compliance of the free end of an arc clamped at its start, 6×6, rows
/// [u; φ], columns [F; M], end frame (r, t, z).
///
/// # Arguments
/// - `radius`: radius of the centre line, m.
/// - `angle`: angle of the arc, rad, in (0, π].
pub fn end_compliance(radius: f64, angle: f64, bar: &BarStiffness) -> Matrix6<f64> {
    let i = ArcIntegrals::new(angle);
    let (r, r2, r3) = (radius, radius * radius, radius.powi(3));
    let (ea, gr, gz) = (
        1.0 / bar.axial,
        1.0 / bar.shear_in_plane,
        1.0 / bar.shear_out_of_plane,
    );
    let (er, gj) = (1.0 / bar.bending_out_of_plane, 1.0 / bar.torsional);
    let ez = match bar.winkler_shift {
        None => 1.0 / bar.bending_in_plane,
        Some(shift) => 1.0 / (bar.axial * shift * radius),
    };
    let half_square = 0.5 * i.sine * i.sine;
    let mut c = Matrix6::zeros();
    c[(0, 0)] = r * i.a * ea + r * i.b * gr + r3 * i.a * ez;
    c[(0, 1)] = r * half_square * (ea - gr) - 0.5 * r3 * i.rise * i.rise * ez;
    c[(1, 1)] = r * i.b * ea + r * i.a * gr + r3 * i.g * ez;
    c[(0, 5)] = -r2 * i.rise * ez;
    c[(1, 5)] = r2 * i.lag * ez;
    c[(5, 5)] = r * angle * ez;
    c[(2, 2)] = r * angle * gz + r3 * i.a * er + r3 * i.g * gj;
    c[(2, 3)] = r2 * (half_square * er + 0.5 * i.rise * i.rise * gj);
    c[(2, 4)] = r2 * (-i.a * er + i.mixed * gj);
    c[(3, 3)] = r * (i.b * er + i.a * gj);
    c[(3, 4)] = r * half_square * (gj - er);
    c[(4, 4)] = r * (i.a * er + i.b * gj);
    if bar.winkler_shift.is_some() {
        // Coupling of axial force and bending in the thick curved beam.
        c[(0, 0)] += -2.0 * r * i.a * ea;
        c[(0, 1)] += -r * angle.cos() * i.rise * ea;
        c[(1, 1)] += 0.5 * r * (-2.0 * angle + 4.0 * i.sine - (2.0 * angle).sin()) * ea;
        c[(0, 5)] += i.rise * ea;
        c[(1, 5)] += i.sine * ea;
    }
    c.fill_lower_triangle_with_upper_triangle();
    c
}

/// Rigid transport along the circle: motion [u; φ] of the frame at one point
/// to the motion of the frame `angle` further on, 6×6.
pub fn transport(radius: f64, angle: f64) -> Matrix6<f64> {
    let turn = frame_turn(angle);
    let half = (0.5 * angle).sin();
    let offset = Vector3::new(-2.0 * half * half, angle.sin(), 0.0) * radius;
    let mut x = Matrix6::zeros();
    x.fixed_view_mut::<3, 3>(0, 0).copy_from(&turn);
    x.fixed_view_mut::<3, 3>(3, 3).copy_from(&turn);
    // u' = Q (u + φ × d) = Q u − Q [d]× φ.
    let coupling = -turn * offset.cross_matrix();
    x.fixed_view_mut::<3, 3>(0, 3).copy_from(&coupling);
    x
}

/// Components in the frame `angle` further along from components in this frame.
fn frame_turn(angle: f64) -> Matrix3<f64> {
    let (s, c) = angle.sin_cos();
    Matrix3::new(c, s, 0.0, -s, c, 0.0, 0.0, 0.0, 1.0)
}

/// An arc between two nodes with rigid end zones, ready for assembly.
#[derive(Debug, Clone)]
pub struct ArcElement {
    /// Radius of the centre line, m.
    pub radius: f64,
    /// Angle between the nodes, rad.
    pub angle: f64,
    /// Rigid zones at start and end, rad.
    pub zones: [f64; 2],
    /// Radius of the nodes about the remote centre, m; each end goes on rigidly to
    /// its node along the joint's axis.
    pub node_radius: f64,
    /// Stiffness over both ends' frames, 12×12, start first.
    pub stiffness: Matrix12,
    /// Nodal loads equivalent to the arc's own mass under an acceleration, per
    /// m/s² of each component in the start frame, 12×3.
    pub mass_loads: Loads12,
    bar: BarStiffness,
    /// Stiffness of the flexible part at its end.
    end_stiffness: Matrix6<f64>,
    /// Free end displacement of the flexible part by its own mass, 6×3.
    end_displacement: SMatrix<f64, 6, 3>,
    /// Deformation of the flexible part from both nodes' motions, 6×12.
    deformation_from_nodes: SMatrix<f64, 6, 12>,
    /// Loads of the end zone's own mass on the end node, 6×3.
    end_zone_loads: SMatrix<f64, 6, 3>,
}

impl ArcElement {
    /// The element with its nodes on its own circle; `None` if the rigid zones
    /// leave no flexible part.
    pub fn new(radius: f64, angle: f64, zone: f64, bar: &BarStiffness) -> Option<Self> {
        Self::with_nodes_at(radius, radius, angle, [zone; 2], bar)
    }

    /// The element with its nodes at another radius; `None` if the rigid zones
    /// leave no flexible part.
    pub fn with_nodes_at(
        node_radius: f64,
        radius: f64,
        angle: f64,
        zones: [f64; 2],
        bar: &BarStiffness,
    ) -> Option<Self> {
        let free = angle - zones[0] - zones[1];
        if free.is_nan() || free < 1e-9 {
            return None;
        }
        let end_stiffness = end_compliance(radius, free, bar).try_inverse()?;
        let mut element = Self {
            radius,
            angle,
            zones,
            node_radius,
            stiffness: Matrix12::zeros(),
            mass_loads: Loads12::zeros(),
            bar: *bar,
            end_stiffness,
            end_displacement: SMatrix::zeros(),
            deformation_from_nodes: SMatrix::zeros(),
            end_zone_loads: SMatrix::zeros(),
        };
        let map = element.end_map() * element.own_from_nodes();
        let stiffness = map.transpose() * end_stiffness * map;
        element.stiffness = 0.5 * (stiffness + stiffness.transpose());
        element.end_displacement = element.free_end_displacement();
        let rigid = element.rigid_mass_loads();
        element.mass_loads = element.own_from_nodes().transpose() * rigid
            + map.transpose() * end_stiffness * element.end_displacement;
        element.deformation_from_nodes = map;
        element.end_zone_loads = rigid.fixed_view::<6, 3>(6, 0).into_owned();
        Some(element)
    }

    /// Flexible angle, rad.
    pub fn free_angle(&self) -> f64 {
        self.angle - self.zones[0] - self.zones[1]
    }

    /// Section stiffnesses.
    pub fn bar(&self) -> &BarStiffness {
        &self.bar
    }

    /// Mass of the whole arc, kg.
    pub fn mass(&self) -> f64 {
        self.bar.mass_per_length * self.radius * self.angle
    }

    /// Motion of an end on the arc's own circle from its node's motion, end frame:
    /// a rotation about z moves it along t, one about t against z.
    pub fn own_from_node(&self) -> Matrix6<f64> {
        let mut map = Matrix6::identity();
        map[(1, 5)] = self.radius - self.node_radius;
        map[(2, 4)] = self.node_radius - self.radius;
        map
    }

    fn own_from_nodes(&self) -> Matrix12 {
        let mut map = Matrix12::identity();
        for end in [0, 6] {
            map.fixed_view_mut::<6, 6>(end, end)
                .copy_from(&self.own_from_node());
        }
        map
    }

    /// Twice the strain energy at the motions of both nodes, J; taken from the deformation,
    /// so that a motion as a whole leaves next to nothing.
    pub(super) fn doubled_energy(&self, motion: &SMatrix<f64, 12, 1>) -> f64 {
        let deformation = self.end_map() * self.own_from_nodes() * motion;
        deformation.dot(&(self.end_stiffness * deformation))
    }

    /// Deformation of the flexible part at its end from both ends' motions on the
    /// arc's own circle, 6×12.
    fn end_map(&self) -> SMatrix<f64, 6, 12> {
        let mut map = SMatrix::<f64, 6, 12>::zeros();
        let start = -transport(self.radius, self.angle - self.zones[1]);
        let end = transport(self.radius, -self.zones[1]);
        map.fixed_view_mut::<6, 6>(0, 0).copy_from(&start);
        map.fixed_view_mut::<6, 6>(0, 6).copy_from(&end);
        map
    }

    /// Displacement of the flexible part's free end by its own mass, start clamped.
    fn free_end_displacement(&self) -> SMatrix<f64, 6, 3> {
        let free = self.free_angle();
        let mut sum = SMatrix::<f64, 6, 3>::zeros();
        for (node, weight) in rule_12() {
            let at = 0.5 * free * (1.0 + node);
            let dm = self.bar.mass_per_length * self.radius * 0.5 * free * weight;
            // A load at `at` deflects that point; the rest follows rigidly.
            let compliance = end_compliance(self.radius, at, &self.bar);
            let here = frame_turn(self.zones[0] + at);
            let force_columns = compliance.fixed_view::<6, 3>(0, 0) * here;
            sum += transport(self.radius, free - at) * force_columns * dm;
        }
        sum
    }

    /// Nodal loads of the mass as if the arc followed its start rigidly; the
    /// end's rigid zone rides on the end node.
    fn rigid_mass_loads(&self) -> Loads12 {
        let mut loads = Loads12::zeros();
        let mut add = |from: f64, to: f64, on_end: bool| {
            for (node, weight) in rule_12() {
                let at = from + 0.5 * (to - from) * (1.0 + node);
                let dm = self.bar.mass_per_length * self.radius * 0.5 * (to - from) * weight;
                let (base, row) = if on_end {
                    (transport(self.radius, at - self.angle), 6)
                } else {
                    (transport(self.radius, at), 0)
                };
                let part = base.transpose().fixed_view::<6, 3>(0, 0) * frame_turn(at) * dm;
                let mut view = loads.fixed_view_mut::<6, 3>(row, 0);
                view += part;
            }
        };
        let end_zone = self.angle - self.zones[1];
        add(0.0, end_zone, false);
        if self.zones[1] > 0.0 {
            add(end_zone, self.angle, true);
        }
        loads
    }

    /// Force of the end node on the element's end, on the arc's own circle, end
    /// frame [F; M], from both nodes' motions and the acceleration (start frame) of
    /// its own mass.
    pub fn end_force(
        &self,
        motion: &SMatrix<f64, 12, 1>,
        acceleration: &Vector3<f64>,
    ) -> Vector6<f64> {
        let deformation =
            self.deformation_from_nodes * motion - self.end_displacement * acceleration;
        let at_flexible_end = self.end_stiffness * deformation;
        let mut force = transport(self.radius, -self.zones[1]).transpose() * at_flexible_end;
        if self.zones[1] > 0.0 {
            // The end zone's own mass hangs on the end node.
            force -= self.end_zone_loads * acceleration;
        }
        force
    }

    /// Prepares a force and moment [F; M] at an angle from the start, given in
    /// the section's frame there.
    pub fn point_load(&self, at: f64, wrench: &Vector6<f64>) -> ArcPointLoad {
        let mut nodal = SMatrix::<f64, 12, 1>::zeros();
        let mut end_displacement = Vector6::zeros();
        let mut on_end_zone = Vector6::zeros();
        if at > self.angle - self.zones[1] {
            on_end_zone = transport(self.radius, at - self.angle).transpose() * wrench;
            nodal.fixed_rows_mut::<6>(6).copy_from(&on_end_zone);
        } else {
            let start = transport(self.radius, at).transpose() * wrench;
            nodal.fixed_rows_mut::<6>(0).copy_from(&start);
            let flexible = at - self.zones[0];
            if flexible > 0.0 {
                let here = end_compliance(self.radius, flexible, &self.bar) * wrench;
                end_displacement = transport(self.radius, self.free_angle() - flexible) * here;
                nodal += self.end_map().transpose() * self.end_stiffness * end_displacement;
            }
        }
        ArcPointLoad {
            at,
            wrench: *wrench,
            nodal: self.own_from_nodes().transpose() * nodal,
            end_force_change: transport(self.radius, -self.zones[1]).transpose()
                * self.end_stiffness
                * end_displacement
                + on_end_zone,
        }
    }

    /// Section resultants at an angle from the start, section frame [F; M]: the
    /// action of the part beyond on the part before. F = (V_r, N, V_z),
    /// M = (M_r, T, M_z).
    pub fn section_forces(
        &self,
        at: f64,
        end_force: &Vector6<f64>,
        acceleration: &Vector3<f64>,
    ) -> Vector6<f64> {
        let mut sum = transport(self.radius, self.angle - at).transpose() * end_force;
        if acceleration.norm_squared() > 0.0 {
            let force = frame_turn(at) * acceleration;
            sum += weight_beyond(
                self.radius,
                self.angle - at,
                self.bar.mass_per_length,
                &force,
            );
        }
        sum
    }
}

/// A force and moment on an arc between its nodes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcPointLoad {
    /// Angle from the start, rad.
    pub at: f64,
    /// [F; M] in the section's frame.
    pub wrench: Vector6<f64>,
    /// Equivalent nodal loads, end frames.
    pub nodal: SMatrix<f64, 12, 1>,
    /// What the load takes off the end node's force, end frame.
    pub end_force_change: Vector6<f64>,
}

impl ArcPointLoad {
    /// Its part in the section resultants at an angle from the start.
    pub fn section_forces(&self, radius: f64, at: f64) -> Vector6<f64> {
        if at > self.at {
            return Vector6::zeros();
        }
        transport(radius, self.at - at).transpose() * self.wrench
    }
}

/// Force and moment at the start of an arc of its own mass under an
/// acceleration given in the start frame: m′R x·f and, with the first moment
/// m′R²(sin x − x, 1 − cos x, 0), its cross product with f.
fn weight_beyond(
    radius: f64,
    angle: f64,
    mass_per_length: f64,
    acceleration: &Vector3<f64>,
) -> Vector6<f64> {
    let half = (0.5 * angle).sin();
    let first_moment = Vector3::new(angle.sin() - angle, 2.0 * half * half, 0.0)
        * (mass_per_length * radius * radius);
    let force = acceleration * (mass_per_length * radius * angle);
    let moment = first_moment.cross(acceleration);
    Vector6::new(force.x, force.y, force.z, moment.x, moment.y, moment.z)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::uncertain::Uncertain;

    fn material(e: f64, g: f64) -> Material {
        Material {
            name: String::new(),
            youngs_modulus: Uncertain::exact(e),
            shear_modulus: Uncertain::exact(g),
            density: Uncertain::exact(2700.0),
            yield_strength: Uncertain::exact(1e8),
            source: String::new(),
            process: crate::stock::Process::Milled,
            creep: Uncertain::exact(1.0),
        }
    }

    fn bar() -> BarStiffness {
        let section = Section::Rectangle {
            tangential: 0.01,
            radial: 0.01,
        };
        BarStiffness::new(&section, &material(68.9e9, 68.9e9 / 2.66), 0.15)
    }

    #[test]
    fn series_and_closed_form_meet_at_the_change() {
        let (below, above) = (ArcIntegrals::new(0.35), ArcIntegrals::new(0.350_000_1));
        for (x, y) in [
            (below.a, above.a),
            (below.g, above.g),
            (below.lag, above.lag),
            (below.mixed, above.mixed),
        ] {
            assert!((x - y).abs() < 5e-6 * x, "{x} {y}");
        }
    }

    #[test]
    fn shallow_arc_is_a_straight_beam() {
        let (radius, angle) = (1000.0, 1e-4);
        let bar = bar();
        let c = end_compliance(radius, angle, &bar);
        let l = radius * angle;
        let bending = l.powi(3) / (3.0 * bar.bending_in_plane) + l / bar.shear_in_plane;
        assert!((c[(0, 0)] / bending - 1.0).abs() < 1e-7);
        assert!((c[(1, 1)] * bar.axial / l - 1.0).abs() < 1e-2);
        assert!((c[(4, 4)] * bar.torsional / l - 1.0).abs() < 1e-7);
    }

    #[test]
    fn two_half_arcs_make_the_whole() {
        let bar = bar();
        let whole = end_compliance(0.15, 1.2, &bar);
        let half = end_compliance(0.15, 0.6, &bar);
        let x = transport(0.15, 0.6);
        let sum = x * half * x.transpose() + half;
        assert!((whole - sum).norm() < 1e-12 * whole.norm());
    }

    #[test]
    fn element_has_six_rigid_motions() {
        let element = ArcElement::new(0.15, 0.9, 0.05, &bar()).unwrap();
        let mut rigid = SMatrix::<f64, 12, 6>::zeros();
        rigid
            .fixed_view_mut::<6, 6>(0, 0)
            .copy_from(&Matrix6::identity());
        rigid
            .fixed_view_mut::<6, 6>(6, 0)
            .copy_from(&transport(0.15, 0.9));
        let force = element.stiffness * rigid;
        assert!(force.norm() < 1e-9 * element.stiffness.norm());
        // The loads' resultant is the weight, whatever the zones.
        let resultant = rigid.transpose() * element.mass_loads;
        assert!((resultant[(2, 2)] - element.mass()).abs() < 1e-12);
    }

    #[test]
    fn sag_of_a_clamped_arc_is_its_closed_form() {
        // w R⁴[(1−cos φ)²/2EI_r + (φ−sin φ)²/2GJ] + w R²φ²/2kGA, derived (C14).
        let section = Section::Rectangle {
            tangential: 0.020,
            radial: 0.008,
        };
        let bar = BarStiffness::new(&section, &material(68.9e9, 68.9e9 / 2.66), 0.15);
        let phi: f64 = std::f64::consts::FRAC_PI_3;
        let element = ArcElement::new(0.15, phi, 0.0, &bar).unwrap();
        let w = bar.mass_per_length;
        let exact = w
            * 0.15f64.powi(4)
            * ((1.0 - phi.cos()).powi(2) / (2.0 * bar.bending_out_of_plane)
                + (phi - phi.sin()).powi(2) / (2.0 * bar.torsional))
            + w * (0.15 * phi).powi(2) / (2.0 * bar.shear_out_of_plane);
        assert!((element.end_displacement[(2, 2)] / exact - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_zone_as_long_as_the_arc_leaves_no_element() {
        assert!(ArcElement::new(0.15, 0.2, 0.1, &bar()).is_none());
    }
}
