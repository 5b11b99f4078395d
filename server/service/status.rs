//! How does an error of ours read on the wire? Every status carries `google.rpc` details: which
//! field, which value, and what to do.

use std::borrow::Cow;
use std::collections::HashMap;
use std::time::Duration;

use tonic::{Code, Status};
use tonic_types::{ErrorDetails, StatusExt};

use crate::domain::complaint::QuestionError;
use crate::domain::records::RecordError;
use crate::domain::settings::SettingError;
use crate::store::StoreError;

/// The domain of `google.rpc.ErrorInfo`.
const DOMAIN: &str = "sward.v1";

/// A refusal travels in headers, of which clients read some 8 to 16 KiB; what was sent may be of
/// any length. So a value, a text and the whole are cut, and the number of fields is bounded.
const VALUE_BYTES_MAX: usize = 200;
const TEXT_BYTES_MAX: usize = 500;
const MESSAGE_BYTES_MAX: usize = 1_500;
const FIELDS_MAX: usize = 8;

/// The start of a text, with a word on how much there was.
fn brief(text: &str, bytes_max: usize) -> Cow<'_, str> {
    if text.len() <= bytes_max {
        return Cow::Borrowed(text);
    }
    let start = &text[..text.floor_char_boundary(bytes_max)];
    Cow::Owned(format!("{start}\u{2026} ({} characters)", text.chars().count()))
}

/// A field that cannot be used.
pub fn invalid(field: &str, value: &str, remedy: &str) -> Status {
    let (field, value) = (brief(field, VALUE_BYTES_MAX), brief(value, VALUE_BYTES_MAX));
    let text = format!("{field} is {value}: {remedy}");
    let text = brief(&text, MESSAGE_BYTES_MAX);
    let mut details = ErrorDetails::with_bad_request_violation(&*field, &*text);
    details.set_error_info("FIELD_INVALID", DOMAIN, [("value".to_owned(), value.into_owned())]);
    Status::with_error_details(Code::InvalidArgument, &*text, details)
}

/// Fields that cannot be used, all at once.
pub fn refused(errors: &[RecordError]) -> Status {
    let value = |text: &str| brief(text, VALUE_BYTES_MAX).into_owned();
    let shown = &errors[..errors.len().min(FIELDS_MAX)];
    let mut texts: Vec<String> = Vec::with_capacity(shown.len());
    let mut details = ErrorDetails::new();
    for error in shown {
        let (field, told) = (value(&error.field), value(&error.value));
        let error = RecordError::new(field.clone(), told, error.remedy.clone());
        let text = brief(&error.to_string(), TEXT_BYTES_MAX).into_owned();
        details.add_bad_request_violation(field, &text);
        texts.push(text);
    }
    let values = shown.iter().map(|error| (value(&error.field), value(&error.value)));
    details.set_error_info("FIELD_INVALID", DOMAIN, values.collect::<HashMap<_, _>>());
    let mut text = brief(&texts.join("\n"), MESSAGE_BYTES_MAX).into_owned();
    if errors.len() > FIELDS_MAX {
        text.push_str(&format!("\nand {} more like these", errors.len() - FIELDS_MAX));
    }
    Status::with_error_details(Code::InvalidArgument, text, details)
}

/// Anything but a field that cannot be used: a reason for programs, a text for people.
fn because(code: Code, reason: &str, text: String, value: (&str, String)) -> Status {
    let metadata = [(value.0.to_owned(), brief(&value.1, VALUE_BYTES_MAX).into_owned())];
    let details = ErrorDetails::with_error_info(reason, DOMAIN, metadata);
    Status::with_error_details(code, &*brief(&text, MESSAGE_BYTES_MAX), details)
}

/// Nothing of that id.
pub fn not_found(field: &str, value: &str, remedy: &str) -> Status {
    let value = brief(value, VALUE_BYTES_MAX);
    let text = format!("there is no {field} \"{value}\": {remedy}");
    because(Code::NotFound, "NOT_FOUND", text, (field, value.into_owned()))
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

/// When to try again, where nothing better is known.
pub const RETRY_AFTER: Duration = Duration::from_secs(1);

/// The server has no room for this now.
pub fn limited(limit: &str, text: &str, retry_after: Duration) -> Status {
    let mut details = ErrorDetails::with_retry_info(Some(retry_after));
    details.set_error_info("LIMITED", DOMAIN, [("limit".to_owned(), limit.to_owned())]);
    let text = format!("{text}: try again in {:.1} s", retry_after.as_secs_f64().max(0.1));
    Status::with_error_details(Code::ResourceExhausted, text, details)
}

/// The call took longer than the server, or the caller itself, allows.
pub fn out_of_time(given: Duration, by_caller: bool) -> Status {
    let text = if by_caller {
        format!("no answer within the {given:?} that the caller allows: allow more")
    } else {
        format!("no answer within {given:?}, the most that this server allows: ask for less at once")
    };
    because(Code::DeadlineExceeded, "OUT_OF_TIME", text, ("allowed", format!("{given:?}")))
}

/// Nobody knows who asks.
pub fn unauthenticated(text: &str) -> Status {
    let text = format!(
        "{text}: ask whoever runs the server for one (swardd token add), and send it as \
         \"authorization: Bearer TOKEN\""
    );
    because(Code::Unauthenticated, "TOKEN_NEEDED", text, ("scheme", "Bearer".to_owned()))
}

/// The role is not enough.
pub fn not_allowed(rpc: &str, role: &str) -> Status {
    let text = format!("{rpc} is for a {role}: ask one, or ask for a token with that role");
    because(Code::PermissionDenied, "ROLE_NEEDED", text, ("role", role.to_owned()))
}

/// No service has this rpc.
pub fn no_such_rpc(path: &str) -> Status {
    let text = format!("there is no rpc {path}: reflection names them all");
    because(Code::Unimplemented, "NO_SUCH_RPC", text, ("rpc", path.to_owned()))
}

/// A fault of the program.
pub fn broke_off() -> Status {
    let text = "the work broke off: a fault of the program; its log says where".to_owned();
    because(Code::Internal, "BROKE_OFF", text, ("doing", String::new()))
}

/// The same error, with the id under which the log knows the call.
pub fn with_request_id(error: Status, id: &str) -> Status {
    let mut details = error.get_error_details();
    details.set_request_info(id, "");
    let metadata = error.metadata().clone();
    Status::with_error_details_and_metadata(error.code(), error.message(), details, metadata)
}
