//! How does an error of ours read on the wire? Every status carries `google.rpc` details: which
//! field, which value, and what to do.

use std::collections::HashMap;

use tonic::{Code, Status};
use tonic_types::{ErrorDetails, StatusExt};

use crate::domain::complaint::QuestionError;
use crate::domain::records::RecordError;
use crate::domain::settings::SettingError;
use crate::store::StoreError;

/// The domain of `google.rpc.ErrorInfo`.
const DOMAIN: &str = "sward.v1";

/// A field that cannot be used.
pub fn invalid(field: &str, value: &str, remedy: &str) -> Status {
    let text = format!("{field} is {value}: {remedy}");
    let mut details = ErrorDetails::with_bad_request_violation(field, text.clone());
    details.set_error_info("FIELD_INVALID", DOMAIN, [("value".to_owned(), value.to_owned())]);
    Status::with_error_details(Code::InvalidArgument, text, details)
}

/// Fields that cannot be used, all at once.
pub fn refused(errors: &[RecordError]) -> Status {
    let texts: Vec<String> = errors.iter().map(ToString::to_string).collect();
    let mut details = ErrorDetails::new();
    for (error, text) in errors.iter().zip(&texts) {
        details.add_bad_request_violation(&error.field, text);
    }
    let values = errors.iter().map(|error| (error.field.clone(), error.value.clone()));
    details.set_error_info("FIELD_INVALID", DOMAIN, values.collect::<HashMap<_, _>>());
    Status::with_error_details(Code::InvalidArgument, texts.join("\n"), details)
}

/// Anything but a field that cannot be used: a reason for programs, a text for people.
fn because(code: Code, reason: &str, text: String, value: (&str, String)) -> Status {
    let metadata = [(value.0.to_owned(), value.1)];
    let details = ErrorDetails::with_error_info(reason, DOMAIN, metadata);
    Status::with_error_details(code, text, details)
}

/// Nothing of that id.
pub fn not_found(field: &str, value: &str, remedy: &str) -> Status {
    let text = format!("there is no {field} \"{value}\": {remedy}");
    let metadata = [(field.to_owned(), value.to_owned())];
    let details = ErrorDetails::with_error_info("NOT_FOUND", DOMAIN, metadata);
    Status::with_error_details(Code::NotFound, text, details)
}

impl From<QuestionError> for Status {
    fn from(error: QuestionError) -> Status {
        invalid(&error.field, &error.value, &error.remedy)
    }
}

impl From<SettingError> for Status {
    fn from(error: SettingError) -> Status {
        invalid(&error.field, &error.value, &error.remedy)
    }
}

impl From<RecordError> for Status {
    fn from(error: RecordError) -> Status {
        refused(&[error])
    }
}

impl From<StoreError> for Status {
    fn from(error: StoreError) -> Status {
        let text = error.to_string();
        let path = |path: std::path::PathBuf| ("path", path.display().to_string());
        match error {
            StoreError::NotFound { name } => {
                because(Code::NotFound, "NOT_FOUND", text, ("name", name))
            }
            StoreError::AlreadyExists { name } => {
                because(Code::AlreadyExists, "ALREADY_EXISTS", text, ("name", name))
            }
            StoreError::Conflict(error) => conflict(error, text),
            StoreError::Invalid(error) => Status::from(error),
            StoreError::DiskFull { path: at } => {
                because(Code::ResourceExhausted, "DISK_FULL", text, path(at))
            }
            StoreError::InUse { by, .. } => {
                because(Code::FailedPrecondition, "DATA_DIRECTORY_IN_USE", text, ("by", by))
            }
            StoreError::Unsuitable { path: at, .. } => {
                because(Code::FailedPrecondition, "DATA_DIRECTORY_UNSUITABLE", text, path(at))
            }
            StoreError::TooNew { path: at, .. } => {
                because(Code::FailedPrecondition, "DATABASE_TOO_NEW", text, path(at))
            }
            StoreError::Corrupt { path: at, .. } => {
                because(Code::DataLoss, "DATABASE_DAMAGED", text, path(at))
            }
            StoreError::Stopped => {
                because(Code::Unavailable, "STORE_STOPPED", text, ("doing", String::new()))
            }
            StoreError::Failed { doing, .. } => {
                because(Code::Internal, "STORE_FAILED", text, ("doing", doing))
            }
        }
    }
}

/// What was asked does not fit what is stored: by whom it was changed decides the code.
fn conflict(error: RecordError, text: String) -> Status {
    let code = match error.field.as_str() {
        "etag" => Code::Aborted,
        "request_id" => Code::AlreadyExists,
        _ => Code::FailedPrecondition,
    };
    because(code, "CONFLICT", text, (&error.field, error.value))
}
