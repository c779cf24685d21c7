//! A quantity along a path that was drawn on the dome.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use calotte::kinematics::Pose;
use calotte::quantity::Quantity;
use rayon::prelude::*;

use crate::server::{ApiError, AppState, Body, compute};

use super::dome::taken;
use super::pose::{find, under_load};
use super::prepared::{Prepared, prepared};
use super::wire::{PathAnswer, PathAsked, PathQuantity, PolarAzimuth, Target};

/// Most points of a path.
const POINTS_MAX: usize = 1000;

/// A quantity along a path.
pub(crate) async fn path(
    State(state): State<AppState>,
    Body(asked): Body<PathAsked>,
) -> Result<Json<PathAnswer>, ApiError> {
    if asked.points_deg.len() > POINTS_MAX {
        return Err(ApiError::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            format!("a path of {} points", asked.points_deg.len()),
        )
        .hint(format!("ask for {POINTS_MAX} points at most")));
    }
    let folder = state.folder().to_owned();
    compute(&state, asked, move |asked| {
        let ready = prepared(
            &asked.design,
            asked.brief.as_deref(),
            asked.rigid_joints,
            &folder,
        )?;
        answer(&ready, &asked).map(Json)
    })
    .await?
}

fn answer(ready: &Prepared, asked: &PathAsked) -> Result<PathAnswer, ApiError> {
    Ok(match &asked.of {
        PathQuantity::Quantity(quantity) => {
            let (taken, label) = taken(ready, quantity)?;
            PathAnswer {
                label,
                unit: taken.quantity.unit().symbol().to_owned(),
                values: along(ready, &asked.points_deg, |pose| taken.at_pose(ready, pose)),
            }
        }
        PathQuantity::DeflectionBy(load) => PathAnswer {
            label: Quantity::ContactDeflection
                .facts()
                .colour
                .map_or(String::new(), |colour| colour.label.to_owned()),
            unit: Quantity::ContactDeflection.unit().symbol().to_owned(),
            values: along(ready, &asked.points_deg, |pose| {
                Some(under_load(ready, pose, load).ok()?.deflection_mm)
            }),
        },
    })
}

/// A value at every point that is reached.
fn along(
    ready: &Prepared,
    points: &[PolarAzimuth],
    value: impl Fn(&Pose) -> Option<f64> + Sync,
) -> Vec<Option<f64>> {
    let at = |point: &PolarAzimuth| match find(ready, &Target::DirectionDeg(*point)) {
        Ok((pose, None)) => value(&pose),
        Ok((_, Some(_))) | Err(_) => None,
    };
    points.par_iter().map(at).collect()
}

#[cfg(test)]
mod tests {
    use calotte::quantity::Unit;
    use calotte_report::results::configuration_document;

    use super::super::design_answer::design_table;
    use super::super::wire::{DomeQuantity, LoadAsked};
    use super::*;

    const DESIGN: &str = r#"
linkage = { family = "two-arc-arm", arcs_deg = [60, 50], joint_radius_mm = 150 }
section = { shape = "rod", diameter_mm = 8 }
material = { name = "aluminium 6061-T6" }
joints = { axial_n_per_m = 3e6, radial_n_per_m = 6e6, tilt_nm_per_rad = 300 }
tool = { tip_radius_mm = 150, mass_kg = 0.3, centre_of_mass_radius_mm = 170 }
mount = { axis = [1, 0, 1] }
"#;

    fn along_path(of: PathQuantity, points_deg: &[PolarAzimuth]) -> Result<PathAnswer, ApiError> {
        let table = design_table(DESIGN).unwrap().to_string();
        let design = serde_json::value::RawValue::from_string(table).unwrap();
        let ready = prepared(&design, None, false, std::path::Path::new(".")).unwrap();
        let asked = PathAsked {
            design,
            brief: None,
            of,
            points_deg: points_deg.to_vec(),
            rigid_joints: false,
        };
        answer(&ready, &asked)
    }

    fn quantity(word: &str) -> PathQuantity {
        PathQuantity::Quantity(DomeQuantity {
            word: word.to_owned(),
            load: None,
        })
    }

    /// Point by point what the pose says there; nothing where the tool does not come.
    #[test]
    fn values_are_those_of_the_poses() {
        let points = [(20.0, 0.0), (55.0, 130.0), (70.0, -40.0), (140.0, 0.0)];
        let points = points.map(|(polar, azimuth)| PolarAzimuth { polar, azimuth });
        let table = design_table(DESIGN).unwrap().to_string();
        let design = serde_json::value::RawValue::from_string(table).unwrap();
        let ready = prepared(&design, None, false, std::path::Path::new(".")).unwrap();
        let of = |word| along_path(quantity(word), &points).unwrap().values;
        let (lci, stiffness, torque) = (of("lci"), of("stiffness"), of("holding-torque"));
        let weight = PathQuantity::DeflectionBy(LoadAsked::Weight);
        let by_weight = along_path(weight, &points).unwrap();
        assert_eq!(by_weight.unit, Unit::Millimetre.symbol());
        let sag = of("sag");
        for (k, point) in points[..3].iter().enumerate() {
            let (pose, missed) = find(&ready, &Target::DirectionDeg(*point)).unwrap();
            assert!(missed.is_none());
            let told = configuration_document(&calotte::analysis::point::configuration_result(
                &ready.model,
                &pose,
            ));
            let near = |a: Option<f64>, b: f64| (a.unwrap() / b - 1.0).abs() < 1e-9;
            assert!(near(lci[k], told.lci));
            let least = told.stiffness.unwrap().minimum_n_per_m;
            assert!(near(stiffness[k], least * 1e-3));
            let [first, second] = told.holding_torque_nm.unwrap();
            assert!(near(torque[k], first.abs().max(second.abs())));
            assert!(near(by_weight.values[k], sag[k].unwrap()));
        }
        for values in [lci, stiffness, torque, sag, by_weight.values] {
            assert_eq!(values.len(), 4);
            assert_eq!(values[3], None);
        }
    }

    #[test]
    fn an_unknown_word_is_refused_with_those_there_are() {
        let told = along_path(quantity("beauty"), &[]).unwrap_err().to_json();
        assert!(
            told["hint"].as_str().unwrap().contains("holding-torque"),
            "{told}"
        );
    }
}
