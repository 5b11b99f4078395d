//! What did they say? Words become quantities and findings, heard or denied.
//!
//! Order of reading: text -> quantities -> spelling -> patterns -> assertion -> readings -> model
//! -> clauses; `verdict` weighs phrase and model together, `hearing` gathers it all, `scope` says
//! what must not be diagnosed at all, `purpose` what a whole sentence is for.
//! Deliberately absent: files, and any knowledge of which cause a finding points to.

pub mod text;
pub mod quantities;
pub mod word_set;
pub mod spelling;
pub mod patterns;
mod lists;
mod matching;
mod alone;
pub mod assertion;
pub mod readings;
pub mod model;
pub mod columns;
mod clauses;
mod listening;
mod taken_back;
pub mod verdict;
pub mod dangers;
pub mod hearing;
pub mod scope;
pub mod purpose;
pub mod turns;

use patterns::{NUMBER, Word};
use text::{Kind, Token};

/// The words of a text as the patterns see them: signs left out, each quantity one word. The second
/// answer gives each word's first and last token.
pub fn words_of(tokens: &[Token]) -> (Vec<Word>, Vec<(usize, usize)>) {
    let mut found = quantities::quantities(tokens).into_iter().peekable();
    let mut words = Vec::with_capacity(tokens.len());
    let mut spans = Vec::with_capacity(tokens.len());
    let mut at = 0;
    while at < tokens.len() {
        let token = &tokens[at];
        let quantity = found.next_if(|quantity| quantity.first == at);
        let last = quantity.as_ref().map_or(at, |quantity| quantity.last);
        if quantity.is_some() || token.kind != Kind::Sign {
            let number = quantity.is_some() || token.kind == Kind::Number;
            let (text, stem) = if number {
                (NUMBER.to_owned(), NUMBER.to_owned())
            } else {
                (token.text.clone(), token.stem.clone())
            };
            words.push(Word { text, stem, sentence: token.sentence, segment: token.segment });
            spans.push((at, last));
        }
        at = last + 1;
    }
    (words, spans)
}
