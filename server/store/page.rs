//! Where does the next page of a list begin? A token names the last item of the page before and
//! what was there when the first page was asked for, so pages neither repeat nor skip. It is bound
//! to its question: sent with another, it is refused.
//! Deliberately absent: secrecy. A token is opaque so that it may change, not to hide anything.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;

use crate::domain::records::RecordError;
use crate::domain::records::request::content_hash;

use super::error::StoreError;

const PAGE_ITEMS_DEFAULT: usize = 50;
pub const PAGE_ITEMS_MAX: usize = 1_000;
/// First byte of every token, so that the form may change.
const TOKEN_FORM: u8 = 1;
/// Form, and half of the hash of the question.
const HEAD_BYTES: usize = 9;

/// Items of one page.
#[derive(Debug, Clone, PartialEq)]
pub struct Page<T> {
    pub items: Vec<T>,
    /// Empty on the last page.
    pub next_token: String,
}

/// How many items a page has at most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PageSize(usize);

impl PageSize {
    /// Zero is the default; more than the most that is ever given is that most, as the contract
    /// says. Below zero is refused.
    pub fn new(asked: i32) -> Result<PageSize, RecordError> {
        match usize::try_from(asked) {
            Ok(0) => Ok(PageSize(PAGE_ITEMS_DEFAULT)),
            Ok(size) => Ok(PageSize(size.min(PAGE_ITEMS_MAX))),
            Err(_) => Err(RecordError::new("page_size", asked, "give 0 for the default, or more")),
        }
    }

    pub fn items(self) -> usize {
        self.0
    }
}

/// A token that continues a question at a place.
pub fn token(question: &str, place: &[u8]) -> String {
    let mut bytes = vec![TOKEN_FORM];
    bytes.extend(&question_hash(question));
    bytes.extend(place);
    URL_SAFE_NO_PAD.encode(bytes)
}

/// The place at which a token continues a question; nothing for the first page.
pub fn place(question: &str, token: &str) -> Result<Option<Vec<u8>>, StoreError> {
    if token.is_empty() {
        return Ok(None);
    }
    let fail = |remedy: &str| StoreError::Invalid(RecordError::new("page_token", token, remedy));
    let foreign = "use the token of the page before as it came, or none for the first page";
    let bytes = URL_SAFE_NO_PAD.decode(token).map_err(|_| fail(foreign))?;
    if bytes.len() < HEAD_BYTES || bytes[0] != TOKEN_FORM {
        return Err(fail(foreign));
    }
    if bytes[1..HEAD_BYTES] != question_hash(question) {
        return Err(fail("it belongs to another question; ask the same one for each page"));
    }
    Ok(Some(bytes[HEAD_BYTES..].to_vec()))
}

fn question_hash(question: &str) -> [u8; 8] {
    let [a, b, c, d, e, f, g, h, ..] = content_hash(question.as_bytes()).to_be_bytes();
    [a, b, c, d, e, f, g, h]
}

/// Cuts a list that was read one item too far, and makes the token of what follows.
pub fn cut<T>(mut items: Vec<T>, size: PageSize, token_of: impl Fn(&T) -> String) -> Page<T> {
    let more = items.len() > size.items();
    items.truncate(size.items());
    let next_token = match items.last() {
        Some(last) if more => token_of(last),
        _ => String::new(),
    };
    Page { items, next_token }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_serves_its_own_question_only() {
        let made = token("records of a", b"here");
        assert_eq!(place("records of a", &made).expect("its own"), Some(b"here".to_vec()));
        assert_eq!(place("records of a", "").expect("the first page"), None);
        for (question, token) in [
            ("records of b", made.as_str()),
            ("records of a", "nonsense!"),
            ("records of a", "AQ"),
            ("records of a", &format!("B{}", &made[1..])),
        ] {
            let error = place(question, token).expect_err(token);
            assert!(matches!(&error, StoreError::Invalid(e) if e.field == "page_token"), "{error}");
        }
    }

    #[test]
    fn a_page_has_a_next_one_only_if_there_is_more() {
        let size = PageSize::new(2).expect("a size");
        let page = cut(vec![1, 2, 3], size, |last| last.to_string());
        assert_eq!((page.items, page.next_token.as_str()), (vec![1, 2], "2"));
        assert_eq!(cut(vec![1, 2], size, |last| last.to_string()).next_token, "");
        assert_eq!(PageSize::new(0).expect("default").items(), PAGE_ITEMS_DEFAULT);
        assert_eq!(PageSize::new(i32::MAX).expect("most").items(), PAGE_ITEMS_MAX);
        assert!(PageSize::new(-1).is_err());
    }
}
