//! How does an error of ours read on the wire? Every status carries `google.rpc` details: which
//! field, which value, and what to do.

use tonic::{Code, Status};
use tonic_types::{ErrorDetails, StatusExt};

use crate::domain::complaint::QuestionError;
use crate::domain::settings::SettingError;

/// The domain of `google.rpc.ErrorInfo`.
const DOMAIN: &str = "sward.v1";

/// A field that cannot be used.
pub fn invalid(field: &str, value: &str, remedy: &str) -> Status {
    let text = format!("{field} is {value}: {remedy}");
    let mut details = ErrorDetails::with_bad_request_violation(field, text.clone());
    details.set_error_info("FIELD_INVALID", DOMAIN, [("value".to_owned(), value.to_owned())]);
    Status::with_error_details(Code::InvalidArgument, text, details)
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
