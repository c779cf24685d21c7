//! Dome maps.

use super::figure;
use calotte_plot::plot::*;

fn dome_value(polar: f64, azimuth: f64, factor: f64) -> DomeCell {
    let lobe = (azimuth - 200.0).to_radians().cos();
    if polar < 9.0 {
        DomeCell::Excluded
    } else if polar > 78.0 && lobe > 0.55 {
        DomeCell::NotReached
    } else {
        DomeCell::Value(0.12 + factor * (polar / 90.0).powi(2) * (0.75 + 0.25 * lobe))
    }
}

fn region_edge(azimuth: f64) -> f64 {
    70.0 + 12.0 * azimuth.to_radians().cos()
}

fn dome_panel(title: &str, factor: f64) -> DomePanel {
    let width = 4.5;
    let mut worst = (Direction::default(), 0.0);
    let rings = (0..20)
        .map(|i| {
            let low = f64::from(i) * width;
            let sectors = if i == 0 { 8 } else { 72 };
            let cells = (0..sectors)
                .map(|k| {
                    let azimuth = (f64::from(k) + 0.5) * 360.0 / f64::from(sectors);
                    let polar = low + width / 2.0;
                    let cell = dome_value(polar, azimuth, factor);
                    if let DomeCell::Value(value) = cell
                        && value > worst.1
                        && polar < region_edge(azimuth)
                    {
                        let at = Direction {
                            polar_deg: polar,
                            azimuth_deg: azimuth,
                        };
                        worst = (at, value);
                    }
                    cell
                })
                .collect();
            DomeRing {
                polar_deg: [low, low + width],
                azimuth_start_deg: 0.0,
                cells,
            }
        })
        .collect();
    let zone = [(52.0, 60.0), (52.0, 95.0), (75.0, 95.0), (75.0, 60.0)];
    DomePanel {
        title: title.to_owned(),
        rings,
        outlines: vec![DomeOutline {
            label: "required region".to_owned(),
            points: (0..72)
                .map(|i| {
                    let azimuth = f64::from(i) * 5.0;
                    Direction {
                        polar_deg: region_edge(azimuth),
                        azimuth_deg: azimuth,
                    }
                })
                .collect(),
            closed: true,
        }],
        excluded: vec![
            zone.iter()
                .map(|(polar_deg, azimuth_deg)| Direction {
                    polar_deg: *polar_deg,
                    azimuth_deg: *azimuth_deg,
                })
                .collect(),
        ],
        marks: vec![DomeMark {
            at: worst.0,
            label: format!("worst {:.2} mm", worst.1),
        }],
    }
}

fn dome_of(panels: Vec<DomePanel>, view: DomeView) -> Plot {
    Plot::DomeMap(DomeMap {
        scale: ColourScale::new("Contact deflection", "mm"),
        panels,
        view,
        not_reached: String::new(),
        excluded: "excluded by the brief".to_owned(),
    })
}

pub fn dome() -> Figure {
    figure(
        "Contact deflection over the dome",
        "Contact deflection in all directions of the required region, equal areas.",
        &[("press", "5 N"), ("grid", "20 rings, 72 sectors")],
        dome_of(
            vec![dome_panel("", 0.38)],
            DomeView {
                note: "Seen from outside along the base axis; azimuth 0° to the right.".to_owned(),
                ..DomeView::default()
            },
        ),
    )
}

pub fn dome_tilted() -> Figure {
    figure(
        "Contact deflection over the dome, from the side",
        "Contact deflection in all directions of the required region, equal areas.",
        &[("press", "5 N")],
        dome_of(
            vec![dome_panel("", 0.38)],
            DomeView {
                axis: Direction {
                    polar_deg: 50.0,
                    azimuth_deg: 300.0,
                },
                right_azimuth_deg: 30.0,
                note: "Seen from outside along polar 50°, azimuth 300°.".to_owned(),
            },
        ),
    )
}

pub fn dome_pair() -> Figure {
    figure(
        "Contact deflection over the dome, two variants",
        "Contact deflection in all directions of the required region, equal areas.",
        &[("press", "5 N")],
        dome_of(
            vec![
                dome_panel("Two stages", 0.38),
                dome_panel("Three stages", 0.6),
            ],
            DomeView {
                note: "Seen from outside along the base axis; azimuth 0° to the right.".to_owned(),
                ..DomeView::default()
            },
        ),
    )
}
