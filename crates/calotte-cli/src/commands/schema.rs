//! `calotte schema`: JSON Schemas of the files and of the results.

use calotte_document::analysis::AnalysisDocument;
use calotte_document::comparison::ComparisonDocument;
use calotte_document::design::DesignDocument;
use calotte_document::judged::JudgedDocument;
use calotte_document::map::MapDocument;
use calotte_document::measured::FitDocument;
use calotte_document::parts::PartsDocument;
use calotte_document::planned::PlanDocument;
use calotte_document::schema;
use calotte_document::verified::ChecksDocument;
use calotte_format::safety::FIRST;
use serde_json::json;

use crate::Verdict;
use crate::arguments::SchemaOptions;
use crate::failure::Failure;
use crate::terminal;

/// Prints one schema, or those of both files in one object.
pub fn run(options: &SchemaOptions) -> Result<Verdict, Failure> {
    if options.markdown {
        terminal::print_data(&calotte_format::reference_markdown());
        return Ok(Verdict::Met);
    }
    let mut schema = match options.file.as_deref() {
        Some("brief") => calotte_format::schema_brief(),
        Some("design") => calotte_format::schema_design(),
        Some("analysis") => schema::<AnalysisDocument>(),
        Some("results") => schema::<DesignDocument>(),
        Some("judged") => schema::<JudgedDocument>(),
        Some("map") => schema::<MapDocument>(),
        Some("comparison") => schema::<ComparisonDocument>(),
        Some("fit") => schema::<FitDocument>(),
        Some("plan") => schema::<PlanDocument>(),
        Some("parts") => schema::<PartsDocument>(),
        Some("checks") => schema::<ChecksDocument>(),
        _ => json!({
            "brief": calotte_format::schema_brief(),
            "design": calotte_format::schema_design(),
        }),
    };
    // A schema is read as such whatever its comment says.
    schema["$comment"] = FIRST.into();
    terminal::print_data(&format!("{schema:#}\n"));
    Ok(Verdict::Met)
}
