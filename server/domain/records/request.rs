//! Is this the same request as before? Whoever asks chooses an id, and sends the same one when
//! trying again, so that a retry is harmless. An id can also follow from the content itself.
//! Deliberately absent: drawing ids by chance, which needs a source of chance.

use std::fmt;

use super::RecordError;

const REQUEST_REMEDY: &str = "use a UUID that is not all zeros, such as \
    7c9e6679-7425-40de-944b-e07fc1f90ae7, and the same one when you try again";

/// What makes one request the same as another: a UUID chosen by whoever asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RequestId([u8; 16]);

impl RequestId {
    pub fn parse(field: &str, text: &str) -> Result<RequestId, RecordError> {
        let fail = || RecordError::new(field, text, REQUEST_REMEDY);
        let groups: Vec<&str> = text.split('-').collect();
        let lengths: Vec<usize> = groups.iter().map(|group| group.len()).collect();
        let digits = groups.concat();
        if lengths != [8, 4, 4, 4, 12] || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return Err(fail());
        }
        let number = u128::from_str_radix(&digits, 16).map_err(|_| fail())?;
        RequestId::from_bytes(number.to_be_bytes()).ok_or_else(fail)
    }

    /// Sixteen bytes that are not all zero.
    pub fn from_bytes(bytes: [u8; 16]) -> Option<RequestId> {
        (bytes != [0; 16]).then_some(RequestId(bytes))
    }

    /// An id that follows from a content, so that the same content is always the same request.
    /// Shaped as a UUID of version 8, "custom" (RFC 9562).
    pub fn of_content(content: &[u8]) -> RequestId {
        let mut bytes = content_hash(content).to_be_bytes();
        bytes[6] = 0x80 | (bytes[6] & 0x0f);
        bytes[8] = 0x80 | (bytes[8] & 0x3f);
        RequestId(bytes)
    }

    pub const fn bytes(self) -> [u8; 16] {
        self.0
    }
}

/// FNV-1a to 128 bits. It parts honest contents from each other the same way in every version of
/// the program, and need not withstand forgers.
pub fn content_hash(content: &[u8]) -> u128 {
    const BASIS: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    content.iter().fold(BASIS, |hash, &byte| (hash ^ u128::from(byte)).wrapping_mul(PRIME))
}

impl fmt::Display for RequestId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hex = format!("{:032x}", u128::from_be_bytes(self.0));
        let (a, b, c) = (&hex[..8], &hex[8..12], &hex[12..16]);
        write!(f, "{a}-{b}-{c}-{}-{}", &hex[16..20], &hex[20..])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn request_ids_are_uuids() {
        let text = "7c9e6679-7425-40de-944b-e07fc1f90ae7";
        assert_eq!(RequestId::parse("request_id", text).expect(text).to_string(), text);
        for text in [
            "",
            "00000000-0000-0000-0000-000000000000",
            "7c9e667974254-0de-944b-e07fc1f90ae7",
            "7c9e6679742540de944be07fc1f90ae7",
            "+c9e6679-7425-40de-944b-e07fc1f90ae7",
            "7c9e6679-7425-40de-944b-e07fc1f90aeg",
        ] {
            assert!(RequestId::parse("request_id", text).is_err(), "{text}");
        }
    }

    /// FNV-1a, 128 bits, of "a": published by the authors of the hash (from memory).
    #[test]
    fn the_content_hash_is_the_published_one() {
        assert_eq!(content_hash(b"a"), 0xd228_cb69_6f1a_8caf_7891_2b70_4e4a_8964);
        assert_ne!(RequestId::of_content(b"a"), RequestId::of_content(b"b"));
        let text = RequestId::of_content(b"a").to_string();
        assert_eq!(text.as_bytes()[14], b'8');
        assert!(RequestId::parse("request_id", &text).is_ok());
    }
}
