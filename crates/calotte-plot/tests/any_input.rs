//! Any numbers, huge, tiny and missing: always a whole drawing with no text over another.

mod common;
#[path = "common/hostile.rs"]
mod hostile;

use calotte_plot::plot::*;
use hostile::*;
use proptest::prelude::*;

/// Any number a result might hold, and some it should not.
fn any_value() -> impl Strategy<Value = Option<f64>> {
    prop_oneof![
        Just(None),
        Just(Some(f64::NAN)),
        Just(Some(f64::NEG_INFINITY)),
        Just(Some(0.0)),
        (-1.0..1.0).prop_map(Some),
        (-99.0..99.0, -20..20).prop_map(|(m, e)| Some(m * 10f64.powi(e))),
        Just(Some(f64::MIN_POSITIVE)),
        Just(Some(-1e100)),
        Just(Some(1e100)),
    ]
}

fn any_coordinate() -> impl Strategy<Value = f64> {
    prop_oneof![
        -10.0..10.0,
        (-99.0..99.0, -20..20).prop_map(|(m, e)| m * 10f64.powi(e)),
        Just(1e100),
        Just(f64::MIN_POSITIVE),
    ]
}

/// A growing list of coordinates.
fn grown() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(any_coordinate(), 0..7).prop_map(|mut values| {
        values.sort_by(f64::total_cmp);
        values.dedup();
        values
    })
}

fn any_kind() -> impl Strategy<Value = AxisKind> {
    prop_oneof![
        Just(AxisKind::Linear),
        Just(AxisKind::Integer),
        Just(AxisKind::Names(vec!["a".to_owned(), "b".to_owned()])),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 150,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_heat_map_is_drawn(
        (x, y, values) in (grown(), grown()).prop_flat_map(|(x, y)| {
            let count = x.len() * y.len();
            (Just(x), Just(y), prop::collection::vec(any_value(), count))
        }),
        kinds in (any_kind(), any_kind()),
        best in prop_oneof![Just(BestCells::Panel), Just(BestCells::EachRow)],
    ) {
        let map = heat_map(vec![heat_panel(x, y, values)]);
        let map = HeatMap {
            x: Axis::new("x", "").with_kind(kinds.0),
            y: Axis::new("y", "").with_kind(kinds.1),
            best,
            ..map
        };
        draw(Plot::HeatMap(map));
    }

    #[test]
    fn any_line_chart_is_drawn(
        points in prop::collection::vec((any_coordinate(), any_value()), 0..12),
        kind in any_kind(),
    ) {
        let (x, y): (Vec<f64>, Vec<Option<f64>>) = points.into_iter().unzip();
        let chart = LineChart {
            x: Axis::new("x", "").with_kind(kind),
            ..line_chart(vec![series(x, y)])
        };
        draw(Plot::LineChart(chart));
    }

    #[test]
    fn any_scatter_is_drawn(
        points in prop::collection::vec(
            (any_coordinate(), any_coordinate(), any::<bool>()),
            0..30,
        ),
    ) {
        let points = points
            .into_iter()
            .map(|(x, y, feasible)| Candidate { x, y, feasible })
            .collect();
        draw(Plot::Scatter(scatter(points)));
    }

    #[test]
    fn any_dome_is_drawn_from_any_side(
        polar in (0.0..170.0_f64, 1e-6..10.0_f64),
        start in -360.0..360.0_f64,
        cells in prop::collection::vec(any_value(), 0..20),
        view in (0.0..=180.0_f64, -360.0..360.0_f64),
    ) {
        let cells = cells
            .into_iter()
            .map(|v| v.map_or(DomeCell::Excluded, DomeCell::Value))
            .collect();
        let ring = DomeRing {
            polar_deg: [polar.0, polar.0 + polar.1],
            azimuth_start_deg: start,
            cells,
        };
        let axis = Direction { polar_deg: view.0, azimuth_deg: view.1 };
        draw(Plot::DomeMap(dome(vec![ring], axis)));
    }

    #[test]
    fn any_margins_are_drawn(
        rows in prop::collection::vec((any_value(), any_value(), any_value()), 0..8),
    ) {
        let rows = rows
            .into_iter()
            .map(|(margin, low, high)| MarginRow {
                name: "requirement".to_owned(),
                margin_percent: margin,
                nominal_percent: low,
                band_percent: low.zip(high).map(|(a, b)| [a, b]),
                ..MarginRow::default()
            })
            .collect();
        draw(Plot::MarginBars(MarginBars { rows }));
    }

    #[test]
    fn any_residuals_are_drawn(
        rows in prop::collection::vec(
            (0.0..=180.0_f64, -360.0..360.0_f64, any_coordinate(), any_coordinate(), any::<bool>()),
            0..40,
        ),
    ) {
        let rows = rows
            .into_iter()
            .enumerate()
            .map(|(number, (polar_deg, azimuth_deg, along, outward, used))| ResidualRow {
                number,
                direction: Direction { polar_deg, azimuth_deg },
                polar_mm: along,
                azimuth_mm: -outward,
                outward_mm: outward,
                used,
            })
            .collect();
        let panel = ResidualPanel { title: String::new(), rows };
        draw(Plot::ResidualDome(ResidualDome {
            panels: vec![panel.clone(), panel],
            ..ResidualDome::default()
        }));
    }

    #[test]
    fn any_told_parameters_are_drawn(
        rows in prop::collection::vec((any_coordinate(), any_coordinate(), any::<[bool; 2]>()), 0..12),
    ) {
        let rows = rows
            .into_iter()
            .map(|(a, b, [is_fitted, flag])| ToldRow {
                name: "parameter".to_owned(),
                state: if is_fitted {
                    ToldState::Fitted { offset: a, standard_error: b.abs(), with_held: Some(a.abs()), off: flag }
                } else {
                    ToldState::Held {
                        signal: flag.then_some(b.abs()),
                        because: HeldBecause::Noise,
                    }
                },
            })
            .collect();
        draw(Plot::ToldParameters(ToldParameters { rows }));
    }
}
