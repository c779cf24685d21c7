//! `calotte schema`: JSON Schemas of the files.

use serde_json::json;

use crate::Verdict;
use crate::arguments::SchemaOptions;
use crate::failure::Failure;
use crate::{put, put_line};

/// Prints one schema, or both in one object.
pub fn run(options: &SchemaOptions) -> Result<Verdict, Failure> {
    if options.markdown {
        put!("{}", calotte_format::reference_markdown());
        return Ok(Verdict::Met);
    }
    let schema = match options.file.as_deref() {
        Some("brief") => calotte_format::schema_brief(),
        Some("design") => calotte_format::schema_design(),
        _ => json!({
            "brief": calotte_format::schema_brief(),
            "design": calotte_format::schema_design(),
        }),
    };
    put_line!("{schema:#}");
    Ok(Verdict::Met)
}
