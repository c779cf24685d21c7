//! An analysis for programs.

use calotte::analysis::Analysis;
use calotte::brief::Brief;
use calotte::design::Design;
use calotte_document::analysis::{AnalysisDocument, Nearest, NearestConfiguration};
use calotte_document::built::Arrangement;
use calotte_document::configuration::ConfigurationDocument;
use calotte_document::releases::Releases;
use calotte_document::run::AnalysisRun;
use calotte_format::safety::Safety;
use calotte_format::units::degrees;

use super::asked::{Asked, Single};
use crate::input::{Input, provenance};
use crate::results::{
    analysis_document, comparison_document, configuration_document, direction_document,
    distances_document, parts_document,
};
use crate::safety;

/// What a builder may choose, where it is asked for.
#[derive(Debug, Default)]
pub struct Choices {
    /// Arrangements of the layers.
    pub arrangements: Option<Vec<Arrangement>>,
    /// Joints that may be released.
    pub releases: Option<Releases>,
}

/// The analysis with what was asked, for programs.
pub fn document(
    design: &Input<Design>,
    brief: Option<&Input<Brief>>,
    analysis: &Analysis,
    asked: &Asked,
    warnings: &[String],
    choices: Choices,
) -> AnalysisDocument {
    let mut inputs = vec![("design", design.path.as_path(), design.sha256.as_str())];
    if let Some(brief) = brief {
        inputs.push(("brief", brief.path.as_path(), brief.sha256.as_str()));
    }
    let options = AnalysisRun {
        rings: analysis.options.rings,
        azimuths_a_ring: analysis.options.around,
        bands: analysis.options.bands,
        region: match brief {
            Some(_) => "from the brief".to_string(),
            None => "cap of 90° about the base axis".to_string(),
        },
    };
    let mut document = AnalysisDocument {
        analysis: analysis_document(&design.value, analysis),
        arrangements: choices.arrangements,
        releases: choices.releases,
        direction_deg: None,
        reachable: None,
        nearest: None,
        nearest_reason: None,
        run: provenance(&inputs, options, warnings),
        safety: safety::document(Safety::of(
            &design.value,
            brief.is_none_or(|brief| brief.value.people_near),
        )),
    };
    match asked {
        Asked::Region => {}
        Asked::Configuration(single) => {
            document.analysis.configurations = Some(vec![single_document(&design.value, single)]);
            document.analysis.rings = None;
        }
        Asked::Unreachable { wanted, nearest } => {
            document.direction_deg = Some(direction_document(*wanted));
            document.reachable = Some(false);
            document.nearest = Some(match nearest {
                Some((direction, distance, result)) => {
                    Nearest::Configuration(NearestConfiguration {
                        polar: degrees(direction.polar),
                        azimuth: degrees(direction.azimuth),
                        distance_deg: degrees(*distance),
                        joints_deg: result.active.map(degrees),
                    })
                }
                None => Nearest::None(()),
            });
            document.nearest_reason = nearest
                .is_none()
                .then(|| "no configuration has the required margins".to_string());
            document.analysis.configurations = Some(Vec::new());
            document.analysis.rings = None;
        }
    }
    document
}

/// One configuration with everything about it.
fn single_document(design: &Design, single: &Single) -> ConfigurationDocument {
    let mut configuration = configuration_document(&single.result);
    configuration.cross_check = single.opinion.as_ref().map(comparison_document);
    configuration.parts = single
        .parts
        .as_ref()
        .map(|parts| parts_document(design, parts));
    configuration.clearing = single
        .built
        .as_ref()
        .zip(single.distances.as_ref())
        .map(|(built, distances)| distances_document(built, distances));
    configuration
}
