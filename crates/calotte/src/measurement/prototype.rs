//! A prototype's points in one question: the fit, what it misses where, and the verdict.

use std::collections::BTreeMap;

use nalgebra::Vector3;
use thiserror::Error;

use super::data::Points;
use super::fit::{FitError, FitOptions, PointFit, approaches, fit_points};
use super::hints::{Hint, hints};
use super::orientation::{OrientationError, Orientations, compare_orientations};
use super::pointing::readings_over;
use super::sag::sags;
use super::sphere::{SphereError, SphereFit, fit_sphere};
use super::statistics::{Repeated, ResidualStatistics, repeated};
use super::tell_apart::{TellApart, tell_apart};
use super::verdict::{Judged, Outcome, judged};
use super::watch::{FitStage, Stopped, Watch};
use crate::design::Design;
use crate::elasticity::ElasticityError;
use crate::family::real::{ModelError, PhysicalModel};
use crate::kinematics::Margins;
use crate::sphere::Direction;
use crate::subject::Subject;

/// What measured points say of a prototype.
#[derive(Debug, Clone)]
pub struct Prototype {
    /// The real linkage with all its parameters.
    pub model: PhysicalModel,
    /// The sphere through the points used, tracker's frame.
    pub sphere: SphereFit,
    /// The fit.
    pub fit: PointFit,
    /// Residuals of the rows used with the design's values.
    pub before: ResidualStatistics,
    /// The same after the fit.
    pub after: ResidualStatistics,
    /// Every row that the design reaches, in the order of measuring.
    pub rows: Vec<RowFound>,
    /// Residuals by polar angle, ascending; bands without rows are left out.
    pub zones: Vec<Zone>,
    /// Accuracy of the fitted model and repeatability of every group of repeats, by name.
    pub groups: Vec<(String, Repeated)>,
    /// Whether the sag by own weight was taken from the elastic model.
    pub with_sag: bool,
    /// The verdict.
    pub judged: Judged,
    /// How the file may have been misread, where the points cannot be those of the design or
    /// lie further off than tolerances let expect; likeliest first.
    pub hints: Vec<Hint>,
    /// What to measure next where several explanations are in question.
    pub next: Option<TellApart>,
    /// What measured orientations, which take no part in the fit, say of it.
    pub orientations: Result<Orientations, OrientationError>,
}

/// One measured row beside the design and the fit; vectors in the base frame.
#[derive(Debug, Clone, PartialEq)]
pub struct RowFound {
    /// Number of the data row, from 1.
    pub row: usize,
    /// Readings of the active joints, rad.
    pub readings: [f64; 2],
    /// Where the design's tool points, unit.
    pub direction: Vector3<f64>,
    /// The measured place, laid back by the fitted pose, m.
    pub measured: Vector3<f64>,
    /// Measured less predicted, the design's values taken, m.
    pub before: Vector3<f64>,
    /// The same after the fit, m.
    pub after: Vector3<f64>,
    /// Whether the row counts; `false` is an outlier.
    pub used: bool,
}

/// Statistics of a band of polar angles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zone {
    /// From, to, rad.
    pub polar: [f64; 2],
    /// With the design's values.
    pub before: ResidualStatistics,
    /// After the fit.
    pub after: ResidualStatistics,
}

/// Points that say nothing of a prototype.
#[derive(Debug, Error)]
pub enum PrototypeError {
    /// The design is no linkage that can be fitted.
    #[error(transparent)]
    Model(#[from] ModelError),
    /// The elastic model gives no sag.
    #[error(transparent)]
    Elasticity(#[from] ElasticityError),
    /// The fit.
    #[error(transparent)]
    Fit(#[from] FitError),
    /// The fit, of a file that would do if it had been read otherwise.
    #[error("{error}")]
    Misread {
        /// What the fit says of it as it stands.
        error: FitError,
        /// The likeliest mistake.
        hint: Hint,
    },
    /// Whoever watches waits no longer.
    #[error(transparent)]
    Stopped(#[from] Stopped),
    /// No sphere goes through the points.
    #[error(transparent)]
    Sphere(#[from] SphereError),
}

/// Width of a band of polar angles, rad: 15°.
const ZONE: f64 = std::f64::consts::PI / 12.0;

impl Prototype {
    /// Fits points and judges what was found.
    ///
    /// # Arguments
    /// - `design`: the design that was built, its values taken without their bands.
    /// - `hold`: names of parameters that stay at the design's values.
    /// - `sag`: whether to add the sag by own weight that the elastic model gives.
    /// - `watch`: who is told how far it is.
    ///
    /// # Errors
    /// [`PrototypeError`] for points that determine nothing, or a design that is no linkage.
    pub fn measured(
        design: &Design,
        points: &Points,
        hold: Vec<String>,
        sag: bool,
        watch: Watch,
    ) -> Result<Self, PrototypeError> {
        let nominal = design.at_corner(crate::uncertain::Corner::Nominal);
        let model = PhysicalModel::new(&nominal)?;
        let options = FitOptions {
            hold,
            sag: if sag {
                sags_of(&nominal, points, watch)?
            } else {
                Vec::new()
            },
        };
        let fit = fit_points(&model, points, &options, watch).map_err(|error| {
            let unusable = matches!(error, FitError::TooFew(_) | FitError::Registration(_));
            let first = unusable.then(|| hints(&model, nominal.drives.ratio, points));
            match first.and_then(|all| all.into_iter().next()) {
                Some(hint) => PrototypeError::Misread { error, hint },
                None => error.into(),
            }
        })?;
        let rows = rows(&model, points, &fit);
        let used: Vec<Vector3<f64>> = fit
            .used
            .iter()
            .map(|place| points.rows[*place].point)
            .collect();
        let counted = || rows.iter().filter(|row| row.used);
        let judged = judged(&model, &fit);
        let next = Self::next(&nominal, &model, &fit, &judged);
        Ok(Self {
            sphere: fit_sphere(&used)?,
            before: ResidualStatistics::of(counted().map(|row| &row.before)),
            after: ResidualStatistics::of(counted().map(|row| &row.after)),
            zones: zones(&rows),
            groups: groups(&model, points, &fit, &options.sag),
            with_sag: sag,
            hints: if judged.unlike.is_some() || judged.far {
                hints(&model, nominal.drives.ratio, points)
            } else {
                Vec::new()
            },
            judged,
            next,
            orientations: compare_orientations(&model, points, &fit),
            rows,
            model,
            fit,
        })
    }
}

impl Prototype {
    /// The configuration of the design's range that tells the explanations apart.
    fn next(
        nominal: &Design,
        model: &PhysicalModel,
        fit: &PointFit,
        judged: &Judged,
    ) -> Option<TellApart> {
        let within = judged.outcome == Outcome::Undecided;
        if judged.listed + usize::from(within) < 2 || judged.unlike.is_some() {
            return None;
        }
        let all = [-std::f64::consts::PI, std::f64::consts::PI];
        let readings = readings_over(nominal, all, NEXT_MARGINS, NEXT_STEPS).ok()?;
        tell_apart(model, fit, judged.listed, within, &readings)
    }
}

/// Margins that the next configuration keeps, those of plans: near a singular configuration
/// every error moves the tool far.
const NEXT_MARGINS: Margins = Margins {
    lci_min: 0.05,
    transmission_angle_min: ZONE,
};
/// Steps of the first and second mechanism angle in which the next configuration is looked for,
/// rad: 15° and 5°.
const NEXT_STEPS: [f64; 2] = [ZONE, ZONE / 3.0];

/// Rows whose sag is computed between two words to whoever watches.
const SAGS_AT_A_TIME: usize = 200;

/// The sag of every row.
fn sags_of(
    nominal: &Design,
    points: &Points,
    watch: Watch,
) -> Result<Vec<Vector3<f64>>, PrototypeError> {
    let subject = Subject::alone(nominal, Margins::default())?;
    let rows = points.rows.len();
    let mut found = Vec::with_capacity(rows);
    for part in points.rows.chunks(SAGS_AT_A_TIME) {
        let done = found.len();
        watch.tell(FitStage::Sag { done, rows })?;
        found.extend(sags(&subject, part)?);
    }
    Ok(found)
}

fn rows(model: &PhysicalModel, points: &Points, fit: &PointFit) -> Vec<RowFound> {
    let nominal = model.nominal();
    let back = |pose: &super::Registration| pose.rotation.transpose();
    let [back_before, back_after] = [back(&fit.pose_before), back(&fit.pose)];
    let reached = points
        .rows
        .iter()
        .enumerate()
        .filter(|(_, row)| fit.unreachable.binary_search(&row.row).is_err());
    reached
        .zip(fit.before.iter().zip(&fit.after))
        .filter_map(|((place, row), (before, after))| {
            let designed = model.sensor(row.readings, [0.0; 2], &nominal)?;
            Some(RowFound {
                row: row.row,
                readings: row.readings,
                direction: designed.try_normalize(0.0)?,
                measured: back_after * (row.point - fit.pose.translation),
                before: back_before * before,
                after: back_after * after,
                used: fit.used.binary_search(&place).is_ok(),
            })
        })
        .collect()
}

fn zones(rows: &[RowFound]) -> Vec<Zone> {
    let mut bands: BTreeMap<usize, Vec<&RowFound>> = BTreeMap::new();
    for row in rows.iter().filter(|row| row.used) {
        let band = (Direction::of(&row.direction).polar / ZONE) as usize;
        bands.entry(band).or_default().push(row);
    }
    bands
        .into_iter()
        .map(|(band, rows)| Zone {
            polar: [band as f64 * ZONE, (band + 1) as f64 * ZONE],
            before: ResidualStatistics::of(rows.iter().map(|row| &row.before)),
            after: ResidualStatistics::of(rows.iter().map(|row| &row.after)),
        })
        .collect()
}

fn groups(
    model: &PhysicalModel,
    points: &Points,
    fit: &PointFit,
    sag: &[Vector3<f64>],
) -> Vec<(String, Repeated)> {
    let approach = approaches(&points.rows);
    let mut lists: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for place in &fit.used {
        let group = points.rows[*place].group.as_str();
        if !group.is_empty() {
            lists.entry(group).or_default().push(*place);
        }
    }
    lists
        .into_iter()
        .filter_map(|(group, places)| {
            let attained: Vec<Vector3<f64>> = places
                .iter()
                .map(|place| points.rows[*place].point)
                .collect();
            let first = *places.first()?;
            let row = &points.rows[first];
            let commanded = model.sensor(row.readings, approach[first], &fit.values)?
                + sag.get(first).copied().unwrap_or_default();
            Some((
                group.to_string(),
                repeated(&attained, &fit.pose.of(&commanded))?,
            ))
        })
        .collect()
}
