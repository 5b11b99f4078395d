//! How is a table of a document written as comma-separated values (RFC 4180)? Numbers in full,
//! lengths in mm, times in UTC.

use super::document::Document;
use crate::call::Failure;

/// The table of this name, or the first.
pub fn table(document: &Document, name: Option<&str>) -> Result<String, Failure> {
    let told: Vec<_> =
        document.sections.iter().filter(|section| !section.table.told().is_empty()).collect();
    let names: Vec<&str> = told.iter().map(|section| section.name).collect();
    let found = match name {
        None => told.first(),
        Some(name) => told.iter().find(|section| section.name == name),
    };
    let Some(section) = found else {
        let text = format!("--table is \"{}\"", name.unwrap_or_default());
        return Err(Failure::new(65, text, &format!("write one of: {}", names.join(", "))));
    };
    let columns = section.table.told();
    let mut out = csv::Writer::from_writer(Vec::new());
    let failed = |error: csv::Error| Failure::new(70, error.to_string(), "");
    out.write_record(columns.iter().map(|at| section.table.columns[*at].id)).map_err(failed)?;
    for row in &section.table.rows {
        out.write_record(columns.iter().map(|at| row[*at].as_str())).map_err(failed)?;
    }
    let bytes = out.into_inner().map_err(|error| Failure::new(70, error.to_string(), ""))?;
    String::from_utf8(bytes).map_err(|error| Failure::new(70, error.to_string(), ""))
}
