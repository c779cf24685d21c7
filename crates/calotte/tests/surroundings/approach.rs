//! Bringing the whole design in along a line.

use calotte::brief::KeepOutShape;
use calotte::surroundings::{Approach, ApproachError, park_range};
use nalgebra::Vector3;

use crate::scene::{Scene, dome, keep_out, phantom_and_floor};

fn parked(scene: &Scene) -> [f64; 2] {
    let whole = park_range(&scene.kinematics, &scene.design.drives.range, &scene.range);
    scene.surroundings().park(&whole).unwrap().mechanism
}

#[test]
fn from_above_and_from_the_side_it_is_free_from_below_it_is_not() {
    let phantom = &phantom_and_floor()[..1];
    let scene = Scene::new(dome(), phantom, 0.008);
    let surroundings = scene.surroundings();
    let park = parked(&scene);
    let go = |direction: Vector3<f64>| surroundings.approach(park, &direction).unwrap();
    assert_eq!(go(-Vector3::z() * 2.0), Approach::Clear);
    assert_eq!(go(Vector3::x()), Approach::Clear);
    // From below the housing's outer face meets the ball first, on the axis:
    // where the centres are apart by both radii and the allowance.
    let housing = scene.solid("housing");
    let outer = scene.built.solids[housing].pieces[0].outer;
    match go(Vector3::z()) {
        Approach::Touches {
            solid,
            keep_out: 0,
            remaining,
        } => {
            let exact = outer + 0.095 + 0.008;
            assert!((remaining - exact).abs() < 5e-5, "{remaining} {exact}");
            // The shafts end where the housing does.
            let name = &scene.built.solids[solid].name;
            assert!(name == "housing" || name.ends_with("shaft"), "{name}");
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn half_spaces_and_directions_without_length() {
    let scene = Scene::new(dome(), &phantom_and_floor()[1..], 0.005);
    let surroundings = scene.surroundings();
    let park = parked(&scene);
    let go = |direction: Vector3<f64>| surroundings.approach(park, &direction);
    assert_eq!(go(-Vector3::z()), Ok(Approach::Clear));
    assert_eq!(go(Vector3::y()), Ok(Approach::Clear));
    assert_eq!(go(Vector3::z()), Ok(Approach::FromInside { keep_out: 0 }));
    assert_eq!(go(Vector3::zeros()), Err(ApproachError::NoDirection));
}

/// A bar across the way: where it touches is found by trying, too.
#[test]
fn a_bar_across_the_way_is_met_where_trying_meets_it() {
    let bar = keep_out(
        "bar",
        KeepOutShape::Cylinder {
            from: Vector3::new(-0.4, -0.3, 0.14),
            to: Vector3::new(-0.4, 0.3, 0.14),
            radius: 0.004,
        },
    );
    let scene = Scene::new(dome(), std::slice::from_ref(&bar), 0.003);
    let surroundings = scene.surroundings();
    let park = parked(&scene);
    let direction = Vector3::x();
    let Approach::Touches { remaining, .. } = surroundings.approach(park, &direction).unwrap()
    else {
        panic!("the bar lies across the way")
    };
    // The whole design shifted back by hand, with distances at that place.
    let nearest = |to_go: f64| {
        let mut design = scene.design.clone();
        design.mount.position -= direction * to_go;
        let shifted = Scene::new(design, std::slice::from_ref(&bar), 0.003);
        shifted
            .surroundings()
            .clearances(park)
            .unwrap()
            .iter()
            .map(|c| c.distance)
            .fold(f64::INFINITY, f64::min)
    };
    assert!((nearest(remaining) - 0.003).abs() < 5e-5, "{remaining}");
    for i in 1..200 {
        let to_go = remaining + f64::from(i) * 0.005;
        assert!(nearest(to_go) > 0.003, "{to_go}");
    }
}
