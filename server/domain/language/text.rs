//! What are the words of this text, and where does each clause end?
//!
//! Text becomes tokens with byte spans into the original, lower-cased (NFKC), contractions opened
//! ("won't" -> "will not"), and each word stemmed. Nothing here knows what a word means.

use frostem::{Algorithm, Stemmer};
use unicode_normalization::UnicodeNormalization;

/// What kind of thing a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Word,
    Number,
    /// A sign that can belong to a quantity: `/ " ' ° % + - $ £ €` and brackets, commas, stops.
    Sign,
}

/// One token of a text.
#[derive(Clone, Debug, PartialEq)]
pub struct Token {
    /// As written, but lower-cased and with contractions opened.
    pub text: String,
    /// The form that patterns compare; changed by the speller.
    pub stem: String,
    pub kind: Kind,
    /// Byte span in the original text.
    pub start: usize,
    pub end: usize,
    /// Sentences: cut at `. ; : ! ?` and line ends.
    pub sentence: u32,
    /// Segments: cut at commas, dashes and brackets as well.
    pub segment: u32,
}

/// The text of a token; empty beyond the end.
pub fn text_at(tokens: &[Token], at: usize) -> &str {
    tokens.get(at).map_or("", |token| token.text.as_str())
}

/// Whether any of these words is said.
pub fn says(tokens: &[Token], list: &[&str]) -> bool {
    tokens.iter().any(|token| list.contains(&token.text.as_str()))
}

/// Contractions and run-together spellings, opened into whole words.
const OPENED: &[(&str, &[&str])] = &[
    ("won't", &["will", "not"]),
    ("wont", &["will", "not"]),
    ("can't", &["can", "not"]),
    ("cant", &["can", "not"]),
    ("cannot", &["can", "not"]),
    ("shan't", &["shall", "not"]),
    ("ain't", &["is", "not"]),
    ("aint", &["is", "not"]),
    ("dont", &["do", "not"]),
    ("doesnt", &["does", "not"]),
    ("dosent", &["does", "not"]),
    ("doesent", &["does", "not"]),
    ("dosnt", &["does", "not"]),
    ("didnt", &["did", "not"]),
    ("isnt", &["is", "not"]),
    ("arent", &["are", "not"]),
    ("wasnt", &["was", "not"]),
    ("werent", &["were", "not"]),
    ("hasnt", &["has", "not"]),
    ("havent", &["have", "not"]),
    ("hadnt", &["had", "not"]),
    ("wouldnt", &["would", "not"]),
    ("couldnt", &["could", "not"]),
    ("shouldnt", &["should", "not"]),
    ("ive", &["i", "have"]),
    ("theyre", &["they", "are"]),
    ("weve", &["we", "have"]),
    ("thats", &["that", "is"]),
    ("theres", &["there", "is"]),
    ("im", &["i", "am"]),
    ("gonna", &["going", "to"]),
    ("wanna", &["want", "to"]),
    ("gotta", &["got", "to"]),
    ("tho", &["though"]),
    ("thru", &["through"]),
    ("tonite", &["tonight"]),
    ("nite", &["night"]),
    ("cos", &["because"]),
    ("coz", &["because"]),
    ("cuz", &["because"]),
    ("thou", &["thou"]),
    ("summat", &["something"]),
    ("summit", &["something"]),
    ("w/out", &["without"]),
    ("w/o", &["without"]),
    ("lh", &["left", "hand"]),
    ("rh", &["right", "hand"]),
    ("o/s", &["offside"]),
    ("n/s", &["nearside"]),
    ("&", &["and"]),
    ("+", &["and"]),
];

/// Words after which `'s` is "is"; after any other noun it is dropped as a possessive.
const IS_AFTER: &[&str] = &[
    "it", "that", "there", "he", "she", "what", "who", "here", "where", "everything", "nothing",
    "something", "one",
];

/// Words that end in "in" by themselves; any other of five letters or more has dropped its g
/// ("scrapin", "leavin"), unless "in" follows a vowel ("drain", "protein").
const ENDS_IN_IN: &[&str] = &[
    "within", "begin", "margin", "satin", "kingpin", "wheelspin", "napkin", "admin", "cabin",
    "basin", "resin", "robin", "origin", "cousin", "latin", "pumpkin", "dustbin", "login",
    "plugin", "muffin", "coffin", "paraffin", "vitamin", "toxin", "hairpin", "linchpin",
    "crankpin", "virgin", "violin", "bobbin", "oilskin", "moleskin", "urchin", "aspirin",
    "penguin", "matin", "martin", "colin", "kevin", "justin", "austin",
];

/// What is read past the end of the text: no letter, digit, blank or sign.
const END: char = '\0';

struct Char {
    ch: char,
    start: usize,
    end: usize,
}

/// Splits a text into tokens.
///
/// # Examples
/// ```
/// let tokens = sward_core::domain::language::text::tokens("No.2 won't cut.");
/// let words: Vec<&str> = tokens.iter().map(|t| t.text.as_str()).collect();
/// assert_eq!(words, ["number", "2", "will", "not", "cut", "."]);
/// ```
pub fn tokens(text: &str) -> Vec<Token> {
    split(text, Some(Stemmer::new(Algorithm::English)))
}

/// The same tokens with empty stems, for who knows the stems of most words already.
pub fn tokens_without_stems(text: &str) -> Vec<Token> {
    split(text, None)
}

fn split(text: &str, stemmer: Option<Stemmer>) -> Vec<Token> {
    let chars = characters(text);
    let mut lexer =
        Lexer { chars: &chars, at: 0, sentence: 0, segment: 0, stemmer, tokens: Vec::new() };
    while lexer.at < chars.len() {
        lexer.step();
    }
    lexer.tokens
}

/// The stem of one lower-case word.
pub fn stem(word: &str) -> String {
    Stemmer::new(Algorithm::English).stem(word).into_owned()
}

/// Whether a word was said without the g of its "-ing".
fn drops_its_g(word: &str) -> bool {
    let Some(base) = word.strip_suffix("in") else { return false };
    let is_vowel = |ch: char| matches!(ch, 'a' | 'e' | 'i' | 'o' | 'u' | 'y');
    let spoken = base.chars().any(is_vowel) && !base.ends_with(['a', 'e', 'i', 'o', 'u']);
    matches!(word, "goin" | "doin")
        || (spoken && base.len() >= 3 && word.is_ascii() && !ENDS_IN_IN.contains(&word))
}

fn characters(text: &str) -> Vec<Char> {
    let mut out = Vec::with_capacity(text.len());
    for (start, original) in text.char_indices() {
        let end = start + original.len_utf8();
        if original.is_ascii() {
            // NFKC leaves these as they are, which is most of any text.
            out.push(Char { ch: plain(original.to_ascii_lowercase()), start, end });
            continue;
        }
        let folded = std::iter::once(original).nfkc().flat_map(char::to_lowercase).map(plain);
        // NFKC would glue "1½" into "11/2", and "½6" into "1/26".
        let apart = is_vulgar_fraction(original).then_some(' ');
        for ch in apart.into_iter().chain(folded).chain(apart) {
            out.push(Char { ch, start, end });
        }
    }
    out
}

fn is_vulgar_fraction(ch: char) -> bool {
    matches!(ch, '\u{bc}'..='\u{be}' | '\u{2150}'..='\u{215e}')
}

fn plain(ch: char) -> char {
    match ch {
        '\u{2018}' | '\u{2019}' | '\u{2032}' | '`' => '\'',
        '\u{201c}' | '\u{201d}' | '\u{2033}' => '"',
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        '\u{2044}' | '\u{2215}' => '/',
        '\u{d7}' => 'x',
        '\u{ba}' => '\u{b0}',
        other => other,
    }
}

struct Lexer<'a> {
    chars: &'a [Char],
    at: usize,
    sentence: u32,
    segment: u32,
    /// Without one, stems are left empty.
    stemmer: Option<Stemmer>,
    tokens: Vec<Token>,
}

impl Lexer<'_> {
    fn peek(&self, ahead: usize) -> char {
        self.chars.get(self.at + ahead).map_or(END, |c| c.ch)
    }

    fn step(&mut self) {
        let ch = self.peek(0);
        let number = ch.is_ascii_digit() || (ch == '.' && self.peek(1).is_ascii_digit());
        if number {
            self.number();
        } else if ch.is_alphabetic() {
            self.word();
        } else if ch.is_whitespace() {
            if ch == '\n' {
                self.end_sentence();
            }
            self.at += 1;
        } else {
            self.sign(ch);
        }
    }

    fn number(&mut self) {
        let from = self.at;
        let mut seen_point = false;
        loop {
            let ch = self.peek(0);
            let next = self.peek(1);
            let thousands = ch == ','
                && self.peek(3).is_ascii_digit()
                && self.peek(2).is_ascii_digit()
                && next.is_ascii_digit()
                && !self.peek(4).is_ascii_digit()
                && self.at > from;
            if ch.is_ascii_digit() || thousands {
                self.at += 1;
            } else if ch == '.' && !seen_point && next.is_ascii_digit() {
                seen_point = true;
                self.at += 1;
            } else {
                break;
            }
        }
        let ordinal = ["st", "nd", "rd", "th"].iter().any(|suffix| {
            suffix.chars().enumerate().all(|(i, c)| self.peek(i) == c)
                && !self.peek(2).is_alphanumeric()
        });
        if ordinal {
            self.at += 2;
            self.push(from, Kind::Word);
        } else {
            self.push(from, Kind::Number);
        }
    }

    fn word(&mut self) {
        let from = self.at;
        loop {
            let ch = self.peek(0);
            let joins = matches!(ch, '\'' | '/')
                && self.at > from
                && self.peek(1).is_alphabetic()
                && (ch == '\'' || self.is_slashed_abbreviation(from));
            if ch.is_alphabetic() || joins {
                self.at += 1;
            } else {
                break;
            }
        }
        let text: String = self.chars[from..self.at].iter().map(|c| c.ch).collect();
        if text == "no" && self.number_follows() {
            if self.peek(0) == '.' {
                self.at += 1;
            }
            self.push_words(from, &["number"]);
        } else {
            self.open(from, &text);
        }
    }

    /// "no. 4", "no4" and "no 4" mean the number four, not a denial.
    fn number_follows(&self) -> bool {
        let mut ahead = usize::from(self.peek(0) == '.');
        while self.peek(ahead) == ' ' {
            ahead += 1;
        }
        // "no 2 blades alike" is rare; "no.2 unit" is how units are named.
        self.peek(ahead).is_ascii_digit() && !self.peek(ahead + 2).is_ascii_digit()
    }

    /// "r/h", "o/s", "w/out": a slash after a single letter.
    fn is_slashed_abbreviation(&self, from: usize) -> bool {
        self.at == from + 1
    }

    fn open(&mut self, from: usize, text: &str) {
        if let Some((_, words)) = OPENED.iter().find(|(short, _)| *short == text) {
            return self.push_words(from, words);
        }
        if let Some(base) = text.strip_suffix("n't") {
            return self.push_words(from, &[base, "not"]);
        }
        let Some((base, tail)) = text.split_once('\'') else {
            let plain: String = text.chars().filter(|c| *c != '/').collect();
            if let Some((_, words)) = OPENED.iter().find(|(short, _)| *short == plain) {
                return self.push_words(from, words);
            }
            let spoken = if drops_its_g(&plain) { plain + "g" } else { plain };
            return self.push_words(from, &[spoken.as_str()]);
        };
        match tail {
            "s" if IS_AFTER.contains(&base) => self.push_words(from, &[base, "is"]),
            "re" => self.push_words(from, &[base, "are"]),
            "ve" => self.push_words(from, &[base, "have"]),
            "ll" => self.push_words(from, &[base, "will"]),
            "m" => self.push_words(from, &[base, "am"]),
            "t" => self.push_words(from, &[base, "not"]),
            "s" | "d" => self.push_words(from, &[base]),
            _ => self.push_words(from, &[base, tail]),
        }
    }

    fn sign(&mut self, ch: char) {
        let from = self.at;
        let spaced_dash = ch == '-' && self.peek(1) == ' ';
        self.at += 1;
        match ch {
            '.' | ';' | ':' | '!' | '?' => {
                self.push(from, Kind::Sign);
                self.end_sentence();
            }
            ',' | '(' | ')' => {
                self.push(from, Kind::Sign);
                self.segment += 1;
            }
            '-' if spaced_dash => self.segment += 1,
            '&' => self.push_words(from, &["and"]),
            '/' | '"' | '\'' | '\u{b0}' | '%' | '-' | '+' | '$' | '\u{a3}' | '\u{20ac}' | '='
            | '~' | '@' | '#' | '\u{b1}' => self.push(from, Kind::Sign),
            _ => {}
        }
    }

    fn end_sentence(&mut self) {
        self.sentence += 1;
        self.segment += 1;
    }

    fn push(&mut self, from: usize, kind: Kind) {
        let text: String =
            self.chars[from..self.at].iter().map(|c| c.ch).filter(|c| *c != ',').collect();
        let text = if text.is_empty() { ",".to_owned() } else { text };
        self.add(from, text, kind);
    }

    fn push_words(&mut self, from: usize, words: &[&str]) {
        for word in words.iter().filter(|word| !word.is_empty()) {
            self.add(from, (*word).to_owned(), Kind::Word);
        }
    }

    fn add(&mut self, from: usize, text: String, kind: Kind) {
        let stem = match (&mut self.stemmer, kind) {
            (None, _) => String::new(),
            (Some(stemmer), Kind::Word) => stemmer.stem(&text).into_owned(),
            (Some(_), Kind::Number | Kind::Sign) => text.clone(),
        };
        self.tokens.push(Token {
            stem,
            text,
            kind,
            start: self.chars[from].start,
            end: self.chars[self.at - 1].end,
            sentence: self.sentence,
            segment: self.segment,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        tokens(text).into_iter().map(|token| token.text).collect()
    }

    #[test]
    fn opens_contractions_and_unit_numbers() {
        // (text, tokens): own wording of common written forms; the rules are this file's.
        let rows: &[(&str, &[&str])] = &[
            ("it isn't", &["it", "is", "not"]),
            ("wont cut", &["will", "not", "cut"]),
            ("deck\u{2019}s up", &["deck", "up"]),
            ("no. 4 leaves", &["number", "4", "leaves"]),
            ("no4", &["number", "4"]),
            ("no ripples", &["no", "ripples"]),
            ("it does no", &["it", "does", "no"]),
            ("r/h end", &["right", "hand", "end"]),
            ("1,412 hours", &["1412", "hours"]),
            ("20mm", &["20", "mm"]),
            ("1\u{bd} turns", &["1", "1", "/", "2", "turns"]),
            (".125\"", &[".125", "\""]),
            ("scrapin' and leavin it", &["scraping", "'", "and", "leaving", "it"]),
            ("goin within the margin of a drain", &["going", "within", "the", "margin", "of", "a", "drain"]),
            ("2nd fairway", &["2nd", "fairway"]),
        ];
        for (text, expected) in rows {
            assert_eq!(words(text), *expected, "{text}");
        }
    }

    #[test]
    fn spans_point_into_the_original() {
        let text = "Caf\u{e9} 3\u{bd} mm won\u{2019}t";
        for token in tokens(text) {
            assert!(text.is_char_boundary(token.start) && text.is_char_boundary(token.end));
            assert!(token.start < token.end && token.end <= text.len());
        }
    }

    #[test]
    fn stops_end_sentences_and_commas_end_segments() {
        let all = tokens("one, two. three 3.5 four");
        assert_eq!(all[0].sentence, all[2].sentence);
        assert_ne!(all[0].segment, all[2].segment);
        assert_ne!(all[2].sentence, all[4].sentence);
        assert_eq!(all[4].sentence, all[6].sentence);
    }
}
