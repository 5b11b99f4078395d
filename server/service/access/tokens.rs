//! Which tokens stand for which role? Kept in one private file of the data directory, as hashes;
//! read again whenever the file changes, so that a revocation holds from the next call on.

use std::collections::HashMap;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::SystemTime;

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use super::private_file;
use super::roles::Role;
use crate::config::{LABEL_CHARACTERS_MAX, TOKENS_MAX};

/// The file below the data directory, a token to a line.
pub const FILE_NAME: &str = "tokens.jsonl";
const LOCK_NAME: &str = "tokens.lock";
/// Every token begins so, and is known by it when it turns up where it should not.
const PREFIX: &str = "sward_";
const SECRET_BYTES: usize = 32;

/// What is kept of a token: nothing that lets anyone in.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Token {
    pub id: u32,
    role: String,
    /// Where or by whom it is used.
    pub label: String,
    /// In UTC, as RFC 3339 writes times.
    pub created: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revoked: Option<String>,
    sha256: String,
}

impl Token {
    pub fn role(&self) -> Option<Role> {
        Role::named(&self.role)
    }
}

/// Whom a token stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Holder {
    pub id: u32,
    pub role: Role,
}

/// What tells one state of the file from another.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Stamp {
    modified: Option<SystemTime>,
    bytes: u64,
    number: u64,
}

#[derive(Default)]
struct Known {
    stamp: Option<Stamp>,
    holders: HashMap<String, Holder>,
}

/// The tokens of a data directory.
pub struct Tokens {
    folder: PathBuf,
    known: Mutex<Known>,
}

impl Tokens {
    pub fn of(data: &Path) -> Tokens {
        Tokens { folder: data.to_owned(), known: Mutex::default() }
    }

    fn path(&self) -> PathBuf {
        self.folder.join(FILE_NAME)
    }

    /// Draws a token and keeps its hash. The token itself is returned this once.
    pub fn add(&self, role: Role, label: &str, now: jiff::Timestamp) -> io::Result<String> {
        let label = checked_label(label)?;
        private_file::create_folder(&self.folder)?;
        let _alone = self.lock()?;
        let mut tokens = self.list()?;
        if tokens.len() >= TOKENS_MAX {
            let text = format!("{TOKENS_MAX} tokens are kept at most; remove lines of revoked \
                                ones from {}", self.path().display());
            return Err(refused(text));
        }
        let mut secret = [0_u8; SECRET_BYTES];
        getrandom::fill(&mut secret).map_err(|error| io::Error::other(error.to_string()))?;
        let text = format!("{PREFIX}{}", URL_SAFE_NO_PAD.encode(secret));
        tokens.push(Token {
            id: tokens.iter().map(|token| token.id).max().unwrap_or(0) + 1,
            role: role.name().to_owned(),
            label,
            created: now.to_string(),
            revoked: None,
            sha256: hash(&text),
        });
        self.keep(&tokens)?;
        Ok(text)
    }

    /// Every token ever drawn, in order, revoked ones too.
    pub fn list(&self) -> io::Result<Vec<Token>> {
        let path = self.path();
        let text = match fs::read_to_string(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            text => text?,
        };
        private_file::check_private(&path)?;
        let line = |(at, line): (usize, &str)| {
            let bad = |why: String| refused(format!("{}:{}: {why}", path.display(), at + 1));
            let token: Token = serde_json::from_str(line).map_err(|why| bad(why.to_string()))?;
            if token.role().is_none() {
                return Err(bad(format!("\"{}\" is no role", token.role)));
            }
            Ok(token)
        };
        text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()).map(line).collect()
    }

    /// Ends a token; its line stays, so that its number is not given twice.
    pub fn revoke(&self, id: u32, now: jiff::Timestamp) -> io::Result<Token> {
        let _alone = self.lock()?;
        let mut tokens = self.list()?;
        let Some(token) = tokens.iter_mut().find(|token| token.id == id) else {
            let text = format!("there is no token {id}: \"swardd token list\" shows them");
            return Err(refused(text));
        };
        token.revoked.get_or_insert_with(|| now.to_string());
        let revoked = token.clone();
        self.keep(&tokens)?;
        Ok(revoked)
    }

    /// Whether anybody holds a token that is not revoked.
    pub fn any(&self) -> io::Result<bool> {
        Ok(self.list()?.iter().any(|token| token.revoked.is_none()))
    }

    /// Who shows this token, as the file stands now. A file that cannot be read lets nobody in.
    pub fn holder(&self, shown: &str) -> io::Result<Option<Holder>> {
        // The hash of what is shown is looked up, so the time tells nothing about a secret.
        let hash = hash(shown);
        self.known(|known| known.holders.get(&hash).copied())
    }

    /// Whether the token of this number is still good.
    pub fn holds(&self, holder: Holder) -> io::Result<bool> {
        self.known(|known| known.holders.values().any(|other| *other == holder))
    }

    fn known<T>(&self, look: impl FnOnce(&Known) -> T) -> io::Result<T> {
        let stamp = stamp(&self.path())?;
        // Replaced whole below, so a panic elsewhere leaves nothing half done.
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if known.stamp != stamp {
            let good = self.list()?.into_iter().filter(|token| token.revoked.is_none());
            let holders = good
                .filter_map(|token| {
                    let holder = Holder { id: token.id, role: token.role()? };
                    Some((token.sha256, holder))
                })
                .collect();
            *known = Known { stamp, holders };
        }
        Ok(look(&known))
    }

    fn keep(&self, tokens: &[Token]) -> io::Result<()> {
        let mut text = String::new();
        for token in tokens {
            text.push_str(&serde_json::to_string(token)?);
            text.push('\n');
        }
        private_file::replace(&self.path(), text.as_bytes())
    }

    /// One change at a time; the system lets go when the process ends, however it ends.
    fn lock(&self) -> io::Result<File> {
        let path = self.folder.join(LOCK_NAME);
        let file = File::options().create(true).truncate(false).write(true).open(path)?;
        file.lock()?;
        Ok(file)
    }
}

fn stamp(path: &Path) -> io::Result<Option<Stamp>> {
    let found = match fs::metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        found => found?,
    };
    #[cfg(unix)]
    let number = std::os::unix::fs::MetadataExt::ino(&found);
    #[cfg(not(unix))]
    let number = 0;
    Ok(Some(Stamp { modified: found.modified().ok(), bytes: found.len(), number }))
}

fn hash(token: &str) -> String {
    use std::fmt::Write as _;
    Sha256::digest(token.as_bytes()).iter().fold(String::new(), |mut text, byte| {
        // Writing to a string does not fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

fn checked_label(label: &str) -> io::Result<String> {
    let label = label.trim();
    let length = label.chars().count();
    if length == 0 || length > LABEL_CHARACTERS_MAX || label.chars().any(char::is_control) {
        let text = format!(
            "--label {label:?} cannot be used: say where the token is used, in 1 to \
             {LABEL_CHARACTERS_MAX} characters on one line"
        );
        return Err(refused(text));
    }
    Ok(label.to_owned())
}

fn refused(text: String) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidInput, text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tokens() -> (tempfile::TempDir, Tokens) {
        let folder = tempfile::tempdir().expect("a folder");
        let tokens = Tokens::of(folder.path());
        (folder, tokens)
    }

    const NOW: jiff::Timestamp = jiff::Timestamp::UNIX_EPOCH;

    #[test]
    fn the_hash_is_sha_256() {
        // FIPS 180-4, example for "abc" (NIST, "SHA256.pdf").
        let known = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash("abc"), known);
    }

    #[test]
    fn a_token_is_known_until_it_is_revoked() {
        let (_folder, tokens) = tokens();
        assert!(!tokens.any().expect("read"));
        let first = tokens.add(Role::Mechanic, "bench", NOW).expect("added");
        let second = tokens.add(Role::Reader, "office", NOW).expect("added");
        assert!(first.starts_with(PREFIX) && first.len() == PREFIX.len() + 43, "{first}");
        assert_ne!(first, second);
        let holder = Holder { id: 1, role: Role::Mechanic };
        assert_eq!(tokens.holder(&first).expect("read"), Some(holder));
        assert!(tokens.holds(holder).expect("read"));
        assert_eq!(tokens.holder("sward_guess").expect("read"), None);
        // Revoked by another process: the same file through another view of it.
        Tokens::of(&tokens.folder).revoke(1, NOW).expect("revoked");
        assert_eq!(tokens.holder(&first).expect("read"), None);
        assert!(!tokens.holds(holder).expect("read"));
        assert!(tokens.holder(&second).expect("read").is_some());
        tokens.add(Role::Manager, "desk", NOW).expect("added");
        let ids: Vec<u32> = tokens.list().expect("read").iter().map(|token| token.id).collect();
        assert_eq!(ids, [1, 2, 3]);
        let error = tokens.revoke(9, NOW).expect_err("none").to_string();
        assert!(error.contains("there is no token 9"), "{error}");
    }

    #[test]
    fn the_file_holds_no_token_and_is_private() {
        let (folder, tokens) = tokens();
        let token = tokens.add(Role::Manager, "desk", NOW).expect("added");
        let path = folder.path().join(FILE_NAME);
        let kept = fs::read_to_string(&path).expect("text");
        assert!(!kept.contains(&token[PREFIX.len()..]), "{kept}");
        assert!(kept.contains(&hash(&token)), "{kept}");
        private_file::check_private(&path).expect("private");
    }

    #[test]
    fn a_broken_or_open_file_lets_nobody_in() {
        let (folder, tokens) = tokens();
        let token = tokens.add(Role::Manager, "desk", NOW).expect("added");
        let path = folder.path().join(FILE_NAME);
        let good = fs::read_to_string(&path).expect("text");
        private_file::replace(&path, b"{\"id\":1}\n").expect("written");
        let error = tokens.holder(&token).expect_err("broken").to_string();
        assert!(error.contains("tokens.jsonl:1"), "{error}");
        private_file::replace(&path, good.replace("manager", "owner").as_bytes()).expect("written");
        let error = tokens.holder(&token).expect_err("no role").to_string();
        assert!(error.contains("\"owner\" is no role"), "{error}");
    }

    #[test]
    fn labels_are_bounded() {
        let (_folder, tokens) = tokens();
        for label in ["", "  ", "two\nlines", &"x".repeat(81)] {
            let error = tokens.add(Role::Reader, label, NOW).expect_err(label).to_string();
            assert!(error.contains("--label"), "{error}");
        }
        tokens.add(Role::Reader, &"x".repeat(80), NOW).expect("80 are allowed");
    }
}
