//! Is a number or an index fit for use, and if not, what is to be said? Every refusal names the
//! field, the value given and what to do about it. Nothing is put right silently.

use std::fmt;

/// Input that cannot be used: which field, the value given, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DiagnosisError {
    pub field: String,
    pub value: String,
    pub remedy: String,
}

impl DiagnosisError {
    pub fn new(
        field: impl Into<String>,
        value: impl ToString,
        remedy: impl Into<String>,
    ) -> DiagnosisError {
        DiagnosisError { field: field.into(), value: value.to_string(), remedy: remedy.into() }
    }
}

impl fmt::Display for DiagnosisError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} is {}: {}", self.field, self.value, self.remedy)
    }
}

impl std::error::Error for DiagnosisError {}

pub(super) fn refuse_twins<'a>(
    what: &str,
    sorted_ids: impl Iterator<Item = &'a str>,
) -> Result<(), DiagnosisError> {
    let mut before = None;
    for id in sorted_ids {
        if before == Some(id) {
            return Err(DiagnosisError::new(what, id, "give each id once"));
        }
        before = Some(id);
    }
    Ok(())
}

pub(super) fn within(field: &str, value: f64, low: f64, high: f64) -> Result<(), DiagnosisError> {
    if value >= low && value <= high {
        return Ok(());
    }
    Err(DiagnosisError::new(field, value, format!("give a number from {low} to {high}")))
}

pub(super) fn strictly_within(
    field: &str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<(), DiagnosisError> {
    if value > low && value < high {
        return Ok(());
    }
    Err(DiagnosisError::new(field, value, format!("give a number between {low} and {high}")))
}

pub(super) fn positive(field: &str, value: f64) -> Result<(), DiagnosisError> {
    if value.is_finite() && value > 0.0 {
        return Ok(());
    }
    Err(DiagnosisError::new(field, value, "give a number above 0"))
}

pub(super) fn at_most(field: &str, count: usize, most: usize) -> Result<(), DiagnosisError> {
    if count <= most {
        return Ok(());
    }
    Err(DiagnosisError::new(field, count, format!("give at most {most}")))
}

pub(super) fn known(field: &str, index: Option<usize>, count: usize) -> Result<(), DiagnosisError> {
    match index {
        Some(index) if index >= count => {
            Err(DiagnosisError::new(field, index, format!("give an index below {count}")))
        }
        _ => Ok(()),
    }
}
