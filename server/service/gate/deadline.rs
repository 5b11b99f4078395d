//! How long does a caller wait? The `grpc-timeout` header, as gRPC over HTTP/2 writes it.

use std::time::Duration;

/// Up to eight digits and a unit, or nothing where it is malformed.
pub fn parse(text: &str) -> Option<Duration> {
    let (digits, unit) = text.split_at_checked(text.len().checked_sub(1)?)?;
    if digits.is_empty() || digits.len() > 8 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let count: u64 = digits.parse().ok()?;
    Some(match unit {
        "H" => Duration::from_secs(count * 3_600),
        "M" => Duration::from_secs(count * 60),
        "S" => Duration::from_secs(count),
        "m" => Duration::from_millis(count),
        "u" => Duration::from_micros(count),
        "n" => Duration::from_nanos(count),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_the_protocol_writes_them() {
        // "Timeout -> TimeoutValue TimeoutUnit", gRPC over HTTP/2 (PROTOCOL-HTTP2.md).
        assert_eq!(parse("2H"), Some(Duration::from_secs(7_200)));
        assert_eq!(parse("3M"), Some(Duration::from_secs(180)));
        assert_eq!(parse("30S"), Some(Duration::from_secs(30)));
        assert_eq!(parse("250m"), Some(Duration::from_millis(250)));
        assert_eq!(parse("99999999u"), Some(Duration::from_micros(99_999_999)));
        assert_eq!(parse("1n"), Some(Duration::from_nanos(1)));
        for wrong in ["", "S", "5", "5s", "123456789S", "-1S", "+1S", "1.5S", "1 S", "5\u{b5}"] {
            assert_eq!(parse(wrong), None, "{wrong:?}");
        }
    }
}
