//! One configuration in words.

use calotte::analysis::ConfigurationResult;
use calotte::built::Built;
use calotte::design::Design;
use calotte::elasticity::virtual_joints::Comparison;
use calotte::interference::PairDistance;
use calotte_format::units::degrees;
use calotte_format::words;

use crate::notes::few_digits_words;
use crate::text::line;

/// The pairs of parts that are nearest to each other.
pub(super) fn nearest_text(built: &Built, distances: &[PairDistance]) -> String {
    let mut out = String::new();
    let mut sorted: Vec<&PairDistance> = distances.iter().collect();
    sorted.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    for (index, pair) in sorted.iter().take(3).enumerate() {
        let [first, second] = pair.solids.map(|solid| &built.solids[solid].name);
        line!(
            out,
            "{:<15}{first} and {second}: {} mm",
            if index == 0 { "nearest parts" } else { "" },
            words::number(pair.distance * 1e3, 2)
        );
    }
    out
}

/// One configuration on one screen.
pub(super) fn configuration_text(design: &Design, result: &ConfigurationResult) -> String {
    let mut out = String::new();
    line!(out, "{}", words::linkage(design));
    let [first, second] = result.active.map(|a| words::number(degrees(a), 3));
    line!(out, "joints     {first}°, {second}° (active)");
    line!(
        out,
        "direction  polar {}°, azimuth {}°, roll {}°",
        words::number(degrees(result.direction.polar), 3),
        words::number(degrees(result.direction.azimuth), 3),
        words::number(degrees(result.roll), 3)
    );
    out.push_str(&format!("LCI        {}", words::number(result.lci, 4)));
    if let Some((angle, stage)) = result.transmission {
        out.push_str(&format!("   transmission angle {}", words::angle(angle)));
        if let Some(stage) = stage {
            out.push_str(&format!(" (stage {stage})"));
        }
    }
    line!(out);
    for chunk in result.passive.chunks(3) {
        let texts: Vec<String> = chunk
            .iter()
            .map(|(name, angle)| format!("{name} {}", words::angle(*angle)))
            .collect();
        line!(out, "passive    {}", texts.join("   "));
    }
    match &result.compliance {
        Ok(matrix) => {
            line!(out, "compliance at the tip, µm/N (polar, azimuth, radial):");
            for row in 0..3 {
                let numbers: Vec<String> = (0..3)
                    .map(|column| format!("{:>12}", words::number(matrix[(row, column)] * 1e6, 4)))
                    .collect();
                line!(out, "          {}", numbers.join(" "));
            }
            let scalars = calotte::analysis::StiffnessScalars::of(matrix);
            line!(
                out,
                "stiffness  minimum {} N/mm; polar {}, azimuth {}, radial {} N/mm (1/C)",
                words::three(scalars.least / 1e3),
                words::three(scalars.polar / 1e3),
                words::three(scalars.azimuth / 1e3),
                words::three(scalars.radial / 1e3)
            );
        }
        Err(reason) => line!(out, "compliance no value: {reason}"),
    }
    if let Some(few) = &result.few_digits {
        line!(out, "precision  {}", few_digits_words(few));
    }
    match &result.holding_torque {
        Ok([first, second]) => line!(
            out,
            "holding    {} and {} N·m that the drives give against weight",
            words::three(*first),
            words::three(*second)
        ),
        Err(reason) => line!(out, "holding    no value: {reason}"),
    }
    out
}

/// The virtual joint model and the hand estimate beside the reference.
pub(super) fn opinion_text(opinion: &Comparison) -> String {
    let mut out = String::new();
    line!(out, "cross-check, rigid joints, µm/N:");
    line!(
        out,
        "          {:<14} {:>10} {:>15} {:>14}",
        "",
        "reference",
        "virtual joints",
        "hand estimate"
    );
    for row in &opinion.rows {
        let hand = row
            .hand_estimate
            .map_or("not represented".to_string(), |value| {
                words::number(value * 1e6, 3)
            });
        line!(
            out,
            "          {:<14} {:>10} {:>15} {:>15}",
            row.entry.name(),
            words::number(row.reference * 1e6, 3),
            words::number(row.virtual_joints * 1e6, 3),
            hand
        );
    }
    for line in words::wrapped(&opinion.explanation, 70) {
        line!(out, "          {line}");
    }
    out
}
