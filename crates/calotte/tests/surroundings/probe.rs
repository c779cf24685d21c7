use crate::scene::{Scene, dome, keep_out, phantom_and_floor, post};
use calotte::brief::KeepOutShape;
use calotte::surroundings::Verdict;
use nalgebra::Vector3;
use std::time::Instant;

#[test]
fn probe() {
    let wall = keep_out(
        "wall",
        KeepOutShape::HalfSpace {
            normal: Vector3::new(-1.0, 0.3, 0.1),
            at: Vector3::new(0.1, 0.0, 0.0),
        },
    );
    let mut three = phantom_and_floor();
    three.push(wall);
    let mut three_post = phantom_and_floor();
    three_post.push(post(0.01));
    let slab = keep_out(
        "slab",
        KeepOutShape::Box {
            centre: Vector3::new(0.16, 0.0, 0.0),
            size: Vector3::new(0.12, 0.004, 0.28),
        },
    );
    for (name, keep_outs, allowance) in [
        ("round", phantom_and_floor(), 0.008),
        ("wall", three, 0.008),
        ("post10", three_post, 0.008),
        ("post.5", vec![post(0.0005)], 0.0),
        ("slab", vec![slab], 0.002),
    ] {
        let scene = Scene::new(dome(), &keep_outs, allowance);
        let s = scene.surroundings();
        for travel in [8e-3, 4e-3, 2e-3, 1e-3, 4e-4] {
            let t = Instant::now();
            let map = s.remaining_coverage(&scene.range, &scene.region, travel);
            let count =
                |f: fn(&Verdict) -> bool| map.cells.iter().filter(|c| f(&c.verdict)).count();
            println!(
                "{name} {travel:.0e}: {:.1} ms, {} cells clear {} blocked {} undecided {} fraction {:?}",
                t.elapsed().as_secs_f64() * 1e3,
                map.cells.len(),
                count(|v| matches!(v, Verdict::Clear)),
                count(|v| matches!(v, Verdict::Blocked { .. })),
                count(|v| matches!(v, Verdict::Undecided { .. })),
                map.fraction()
            );
        }
    }
}
