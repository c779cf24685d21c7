mod common;
use calotte::elasticity::virtual_joints::*;
use calotte::kinematics::Kinematics;
use common::*;
use rand::{Rng, SeedableRng};

#[test]
fn explore() {
    for (m, b, a) in [(2, 23.5, 50.0), (3, 47.0 / 3.0, 50.0), (4, 11.75, 30.0)] {
        let d = uniform(m, b);
        let k = Kinematics::new(&d).unwrap();
        let p = k.forward_from_mechanism([0.4, 2.0 * a * DEGREE]).unwrap();
        let c = compare(&d, &k.linkage, &p.configuration, &p.frame).unwrap();
        for r in &c.rows {
            println!(
                "{:?} {:.4} {:.4} {:?} thin {:.4} stiff {:?} hand {:?} exp {:?}",
                r.entry,
                r.reference * 1e6,
                r.virtual_joints * 1e6,
                r.hand_estimate.map(|x| x * 1e6),
                r.without_shear_and_axial * 1e6,
                r.virtual_joints_too_stiff(),
                r.hand_estimate_too_stiff(),
                r.as_expected()
            );
        }
        println!("assembly {:e}", c.assembly_difference);
    }
    for polar in [30.0f64, 60.0, 80.0] {
        println!("polar {polar}");
        for m in 1..=6 {
            let beta = 47.0 / m as f64;
            let d = uniform(m, beta);
            let cosine = (polar * DEGREE / (2.0 * m as f64)).tan() / (beta * DEGREE).tan();
            let k = Kinematics::new(&d).unwrap();
            let p = k
                .forward_from_mechanism([0.0, 2.0 * cosine.acos()])
                .unwrap();
            let c = compare(&d, &k.linkage, &p.configuration, &p.frame).unwrap();
            let s: Vec<_> = c.rows[..3]
                .iter()
                .map(|r| {
                    format!(
                        "ref {:.3} too stiff {:.3} hand {:?} shear {:.3};",
                        1e-3 / r.reference,
                        r.virtual_joints_too_stiff().unwrap(),
                        r.hand_estimate_too_stiff(),
                        1.0 - r.without_shear_and_axial / r.reference
                    )
                })
                .collect();
            println!("m {m} {} {}", s.join(" "), c.assembly_difference);
        }
    }
    let mut worst: f64 = 0.0;
    let mut range = [[f64::INFINITY, f64::NEG_INFINITY]; 3];
    for sample in 0..400 {
        let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(7);
        rng.set_stream(sample);
        let m = rng.random_range(1..=5);
        let beta = 47.0 / m as f64 * rng.random_range(0.7..1.3);
        let d = uniform(m, beta);
        let k = Kinematics::new(&d).unwrap();
        let p = k
            .forward_from_mechanism([0.0, rng.random_range(20.0..80.0) * 2.0 * DEGREE])
            .unwrap();
        let c = compare(&d, &k.linkage, &p.configuration, &p.frame).unwrap();
        worst = worst.max(c.assembly_difference);
        for i in 0..3 {
            let s = c.rows[i].virtual_joints_too_stiff().unwrap();
            if s < range[i][0] {
                range[i][0] = s;
            }
            if s > range[i][1] {
                range[i][1] = s;
            }
            if s > 0.5 || s < if i == 2 { -0.15 } else { 0.07 } {
                println!(
                    "m {m} beta {beta:.2} polar {:.1} {i} {s:.3}",
                    p.direction.polar / DEGREE
                );
            }
        }
    }
    println!("{worst:e} {range:?}");
}
