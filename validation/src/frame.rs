//! A textbook frame of three straight members (T01, T02), two ways: arcs of very large radius
//! assembled through the sparse factorisation, and the straight column of the base support.

use calotte::design::Support;
use calotte::elasticity::ArcElement;
use calotte::elasticity::arc::BarStiffness;
use calotte::elasticity::factor::Symbolic;
use calotte::elasticity::support::support_compliance;
use calotte::stock::Section;
use nalgebra::{Matrix3, Matrix6, SMatrix, Vector3, Vector6};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::isotropic;

const BOOK: Source = Source::from_memory(
    "Ferreira's textbook of finite element codes, 2009, first example of a frame in space",
);
const STRAIGHT: Source = Source::derived(
    file::FRAMES,
    "the same frame of straight members, assembled there",
);

/// The free node's displacements and rotations as printed, m and rad, with their last digit.
const PRINTED: [(f64, f64); 6] = [
    (-7.05e-6, 1e-8),
    (-7e-8, 1e-8),
    (1.418e-5, 1e-8),
    (1.45e-6, 1e-8),
    (1.75e-6, 1e-8),
    (1.14e-6, 1e-8),
];

/// The same to all digits of the independent program.
const RECOMPUTED: [f64; 6] = [
    -7.051477500739e-6,
    -6.653671003e-8,
    1.417695818552e-5,
    1.447787928467e-6,
    1.748584217123e-6,
    1.136054311041e-6,
];

/// Forces of the three supports on the frame, kN.
const REACTIONS: [[f64; 3]; 3] = [
    [9.872068501, -0.0305675021, -0.1078380974],
    [0.0902939690, -0.0392960434, -19.8477414597],
    [0.0376375299, 0.0698635455, -0.0444204429],
];

/// The three fixed nodes, m; the free node is the origin.
const SUPPORTS: [[f64; 3]; 3] = [[3.0, 0.0, 0.0], [0.0, 0.0, -3.0], [0.0, -4.0, 0.0]];

const YOUNGS_MODULUS: f64 = 210e9;
const SHEAR_MODULUS: f64 = 84e9;
const AREA: f64 = 0.02;
const WEAK_SECOND_MOMENT: f64 = 1e-4;
const STRONG_SECOND_MOMENT: f64 = 2e-4;
const TORSION_CONSTANT: f64 = 5e-5;

/// Force on the free node, N.
fn load() -> Vector6<f64> {
    Vector6::new(-10e3, 0.0, 20e3, 0.0, 0.0, 0.0)
}

/// The normal about which a member bends with its strong second moment: z for the level members,
/// x for the upright one.
fn strong_normal(support: &Vector3<f64>) -> Vector3<f64> {
    if support.z == 0.0 {
        Vector3::z()
    } else {
        Vector3::x()
    }
}

/// A member as an arc so shallow that its rise is a nanometre a metre, stiffness over both ends
/// in the base frame, 12×12, support first.
fn shallow_member(support: &Vector3<f64>) -> Option<SMatrix<f64, 12, 12>> {
    let angle = 2e-9;
    let bar = BarStiffness {
        axial: YOUNGS_MODULUS * AREA,
        shear_in_plane: f64::INFINITY,
        shear_out_of_plane: f64::INFINITY,
        bending_in_plane: YOUNGS_MODULUS * STRONG_SECOND_MOMENT,
        bending_out_of_plane: YOUNGS_MODULUS * WEAK_SECOND_MOMENT,
        torsional: SHEAR_MODULUS * TORSION_CONSTANT,
        mass_per_length: 1.0,
        winkler_shift: None,
    };
    let element = ArcElement::new(support.norm() / angle, angle, 0.0, &bar)?;
    let (tangent, normal) = (-support.normalize(), strong_normal(support));
    let axes = Matrix3::from_columns(&[tangent.cross(&normal), tangent, normal]);
    let mut turn = SMatrix::<f64, 12, 12>::zeros();
    for block in 0..4 {
        turn.fixed_view_mut::<3, 3>(3 * block, 3 * block)
            .copy_from(&axes);
    }
    Some(turn * element.stiffness * turn.transpose())
}

/// Displacement of the free node and the forces of the supports, N, by the sparse factorisation.
fn solve_assembled() -> Option<(Vector6<f64>, [Vector3<f64>; 3])> {
    let members: Vec<SMatrix<f64, 12, 12>> = SUPPORTS
        .iter()
        .map(|support| shallow_member(&Vector3::from(*support)))
        .collect::<Option<_>>()?;
    // The support's motions are fixed, the free node's are the six unknowns.
    let element: Vec<Option<usize>> = (0..12).map(|k: usize| k.checked_sub(6)).collect();
    let symbolic = Symbolic::new(&[0; 6], &vec![element; 3], 0);
    let factor = symbolic
        .factorise(12, |index, out| {
            out.copy_from_slice(members[index].as_slice());
        })
        .ok()?;
    let mut motion = load();
    factor.solve(motion.as_mut_slice());
    let reactions = std::array::from_fn(|member| {
        let force = members[member].fixed_view::<6, 6>(0, 6) * motion;
        force.fixed_rows::<3>(0).into_owned()
    });
    Some((motion, reactions))
}

/// Displacement of the free node with each member as a straight column that ends there.
fn solve_columns() -> Option<Vector6<f64>> {
    let mut stiffness = Matrix6::zeros();
    for support in SUPPORTS {
        let direction = Vector3::from(support);
        // The column's own frame has its in-plane normal level or along y: the weak axis here.
        let section = Section::Custom {
            axial: YOUNGS_MODULUS * AREA,
            bending_in_plane: YOUNGS_MODULUS * WEAK_SECOND_MOMENT,
            bending_out_of_plane: YOUNGS_MODULUS * STRONG_SECOND_MOMENT,
            torsional: SHEAR_MODULUS * TORSION_CONSTANT,
            shear_in_plane: f64::INFINITY,
            shear_out_of_plane: f64::INFINITY,
            mass_per_length: 1.0,
            radial: 0.1,
            tangential: 0.1,
        };
        let column = Support::Column {
            at_radius: 0.0,
            direction,
            length: direction.norm(),
            section,
            material: isotropic(YOUNGS_MODULUS, SHEAR_MODULUS),
        };
        stiffness += support_compliance(&column).0.try_inverse()?;
    }
    Some(stiffness.try_inverse()? * load())
}

/// "about x" in a name of a check.
fn short(name: &str) -> String {
    name.replace("about ", "r")
}

/// Unit of the free node's motion.
fn unit(motion: usize) -> &'static str {
    if motion < 3 { "m" } else { "rad" }
}

pub(crate) fn checks() -> Vec<Check> {
    let none = Vector6::repeat(f64::NAN);
    let (assembled, reactions) =
        solve_assembled().unwrap_or((none, [Vector3::repeat(f64::NAN); 3]));
    let columns = solve_columns().unwrap_or(none);
    let mut checks = Vec::new();
    let names = ["x", "y", "z", "about x", "about y", "about z"];
    for (k, name) in names.into_iter().enumerate() {
        let (printed, digit) = PRINTED[k];
        checks.push(BOOK.check(
            format!("T01-{}", short(name)),
            format!("free node of three members: {name}"),
            unit(k),
            [printed, assembled[k]],
            Tolerance::Absolute(0.5 * digit),
        ));
    }
    for (id, way, found, tolerance) in [
        ("arcs", "arcs of large radius", assembled, 1e-6),
        ("columns", "straight columns", columns, 1e-9),
    ] {
        for (k, name) in names.into_iter().enumerate() {
            checks.push(STRAIGHT.check(
                format!("T01-{id}-{}", short(name)),
                format!("free node, all digits, {way}: {name}"),
                unit(k),
                [RECOMPUTED[k], found[k]],
                Tolerance::Relative(tolerance),
            ));
        }
    }
    for (support, (expected, found)) in REACTIONS.iter().zip(reactions).enumerate() {
        for (k, axis) in ["x", "y", "z"].into_iter().enumerate() {
            checks.push(STRAIGHT.check(
                format!("T02-{}-{axis}", support + 1),
                format!("forces of the supports: {}, {axis}", support + 1),
                "kN",
                [expected[k], found[k] * 1e-3],
                Tolerance::Relative(1e-6),
            ));
        }
    }
    checks
}
