//! How do words look once every number in them is one thing, lists of numbers are one thing, and
//! numbers that are part of a name ("unit 3") are none?
//! Deliberately absent: what any of it means.

use super::corrections::{Correction, corrected};
use super::dialect::say;
use crate::domain::language::patterns::{NUMBER, Word};
use crate::domain::language::spelling::Speller;
use crate::domain::language::text::{Kind, Token, stem, text_at, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::said::said_units::{CLICKS, SaidUnit, said_units};
use crate::domain::said::ties::untied;

/// Numbers of a list lie within this ratio of each other, else they are of different things.
const LIST_RATIO_MAX: f64 = 4.0;
/// The same for lists that are too long to be an accident.
const LONG_LIST: usize = 3;
const LONG_LIST_RATIO_MAX: f64 = 40.0;
/// Things are hardly counted by as many (from memory).
const SURELY_NO_COUNT: f64 = 100.0;

/// Words of a name that say what kind of equipment it is.
const TELLS: &[&str] = &["groomer", "brush", "verticut", "verticutter", "deck", "rotary"];

/// Words before a number that only say how sure it is.
const ROUGHLY: &[&str] = &[
    "about", "roughly", "approximately", "approx", "circa", "nearly", "almost", "exactly",
    "precisely",
];

/// A sentence taken apart.
#[derive(Clone, Debug)]
pub struct Spoken {
    pub text: String,
    pub tokens: Vec<Token>,
    pub quantities: Vec<Quantity>,
    /// As patterns see them; a quantity, or a list of them, is one word.
    pub words: Vec<Word>,
    /// Beside each word.
    pub places: Vec<Place>,
    /// Every unit said: with a number, or by itself.
    pub units: Vec<SaidUnit>,
}

/// Where a word comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// First and last token.
    pub first: usize,
    pub last: usize,
    /// Indexes of its quantities; empty for a plain word.
    pub quantities: Vec<usize>,
}

/// The tokens of a text, with trade words that are misspelt put right.
pub fn heard_tokens(text: &str, speller: &Speller) -> Vec<Token> {
    let mut all = tokens(text);
    untied(&mut all);
    super::dialect::without_fillers(&mut all);
    super::dialect::plain(&mut all);
    super::dialect::texted(&mut all);
    super::dialect::bedknives(&mut all);
    super::dialect::roller_brushes(&mut all);
    join_headings(&mut all);
    say_is(&mut all);
    say_within(&mut all);
    for token in &mut all {
        if token.kind == Kind::Word
            && let Some(meant) = speller.repair(&token.stem)
        {
            token.stem = meant.to_owned();
        }
    }
    all
}

/// "+/- 0.02", "\u{b1}0.02": either way of what stands before.
fn say_within(tokens: &mut Vec<Token>) {
    let mut at = 0;
    while at < tokens.len() {
        let sign = |ahead: usize| tokens.get(at + ahead).map_or("", |token| token.text.as_str());
        let signs = match (sign(0), sign(1), sign(2)) {
            ("+", "/", "-") => 3,
            ("+", "-", _) => 2,
            ("\u{b1}", _, _) => 1,
            _ => 0,
        };
        let number = tokens.get(at + signs).is_some_and(|token| token.kind == Kind::Number);
        if signs > 0 && number {
            tokens[at].end = tokens[at + signs - 1].end;
            say(&mut tokens[at], "within");
            tokens.drain(at + 1..at + signs);
        }
        at += 1;
    }
}

/// "4.0's what I want": the number is that, and nothing is of it.
fn say_is(tokens: &mut Vec<Token>) {
    const SAYS: &[&str] = &[
        "what", "where", "the", "my", "our", "his", "how", "i", "we", "it", "all", "as", "a", "when",
    ];
    let mut at = 1;
    while at + 2 < tokens.len() {
        let touches = tokens[at - 1].end == tokens[at].start;
        let number = tokens[at - 1].kind == Kind::Number && tokens[at].text == "'" && touches;
        let says = SAYS.contains(&tokens[at + 2].text.as_str());
        if number && tokens[at + 1].text == "s" && says {
            tokens.remove(at);
            say(&mut tokens[at], "is");
        }
        at += 1;
    }
}

/// "Failed: 300, 340", "overlap: 6": what a colon heads is said of the words before it.
fn join_headings(tokens: &mut [Token]) {
    for at in 1..tokens.len().saturating_sub(1) {
        if !is_heading(tokens, at) {
            continue;
        }
        let (sentence, segment) = (tokens[at - 1].sentence, tokens[at - 1].segment);
        let (old, clause) = (tokens[at + 1].sentence, tokens[at + 1].segment);
        for token in &mut tokens[at..] {
            if token.segment == clause {
                token.segment = segment;
            }
            if token.sentence == old {
                token.sentence = sentence;
            }
        }
        tokens[at].segment = segment;
    }
}

/// A colon between a word and a number.
fn is_heading(tokens: &[Token], at: usize) -> bool {
    let number = tokens.get(at + 1).is_some_and(|next| next.kind == Kind::Number);
    tokens[at].text == ":" && tokens[at - 1].kind == Kind::Word && number
}

impl Spoken {
    /// `named`: runs of tokens that are a name or a date, whose numbers are not quantities.
    pub fn new(text: &str, tokens: Vec<Token>, named: &[(usize, usize)]) -> Spoken {
        let inside = |at: usize| named.iter().any(|(first, last)| (*first..=*last).contains(&at));
        let mut shown = tokens.clone();
        for (at, token) in shown.iter_mut().enumerate().filter(|(at, _)| inside(*at)) {
            // Hidden from the reader of numbers, and kept for the patterns.
            token.kind = if token.kind == Kind::Sign { Kind::Sign } else { Kind::Word };
            token.text = format!("{}~{at}", token.text);
        }
        let mut quantities = quantities(&shown);
        super::rates::rates(&shown, &mut quantities);
        let corrections = corrected(text, &shown, &mut quantities);
        let mut spoken = Spoken {
            text: text.to_owned(),
            units: said_units(&tokens, &quantities),
            tokens,
            quantities,
            words: Vec::new(),
            places: Vec::new(),
        };
        spoken.list_words(&corrections);
        spoken.go_on(&corrections);
        spoken.join_lists();
        spoken
    }

    /// Makes one word of each name, the one that tells what it is, so that the words on both sides
    /// of a long name stand as near to each other as they are meant.
    pub fn fold(&mut self, names: &[(usize, usize)]) {
        for (first, last) in names {
            let inside: Vec<usize> = (0..self.words.len())
                .filter(|at| self.places[*at].first >= *first && self.places[*at].last <= *last)
                .collect();
            let plain = |at: &&usize| {
                self.places[**at].quantities.is_empty()
                    && self.words[**at].text.chars().any(char::is_alphabetic)
            };
            let tells = |at: &&usize| TELLS.contains(&self.words[**at].text.as_str());
            let kept = inside.iter().find(tells).or_else(|| inside.iter().rev().find(plain));
            let Some(kept) = kept.copied().filter(|_| inside.len() > 1) else { continue };
            // "Zero turn", "walk behind": what such a name says is none of the work.
            if matches!(self.words[kept].text.as_str(), "turn" | "behind" | "on" | "set" | "plex") {
                self.words[kept].text = "machine".to_owned();
                self.words[kept].stem = stem("machine");
            }
            self.places[kept].first = *first;
            self.places[kept].last = *last;
            for at in inside.into_iter().rev().filter(|at| *at != kept) {
                self.words.remove(at);
                self.places.remove(at);
            }
        }
    }

    fn list_words(&mut self, corrections: &[Correction]) {
        let mut at = 0;
        while at < self.tokens.len() {
            let token = &self.tokens[at];
            let instead = corrections.iter().find(|one| one.first == at);
            let own = self.quantities.iter().position(|quantity| quantity.first == at);
            let quantity = instead.map(|one| one.quantity).or(own);
            let last = match (instead, quantity) {
                (Some(one), _) => one.last,
                (None, Some(index)) => self.quantities[index].last,
                (None, None) => at,
            };
            if let Some(one) = corrections.iter().find(|one| (one.from..=one.end).contains(&at)) {
                at = one.end + 1;
                continue;
            }
            let roughly = quantity.is_none() && self.is_roughly(at);
            if quantity.is_some() || (token.kind != Kind::Sign && !roughly) {
                let number = || NUMBER.to_owned();
                self.words.push(Word {
                    text: if quantity.is_some() { number() } else { token.text.clone() },
                    stem: if quantity.is_some() { number() } else { token.stem.clone() },
                    sentence: token.sentence,
                    segment: token.segment,
                });
                let quantities = quantity.into_iter().collect();
                self.places.push(Place { first: at, last, quantities });
            }
            at = last + 1;
        }
    }

    /// "A millimetre, no, 0.8 lower": what follows the new number goes on where the old one stood.
    fn go_on(&mut self, corrections: &[Correction]) {
        for one in corrections {
            let (old, new) = (&self.tokens[one.first], &self.tokens[one.end]);
            for (word, place) in self.words.iter_mut().zip(&self.places) {
                if place.first > one.end && word.segment == new.segment {
                    (word.segment, word.sentence) = (old.segment, old.sentence);
                }
            }
        }
    }

    /// "About 0.9", "roughly 3": how sure a number is, which says nothing of what it is for.
    fn is_roughly(&self, at: usize) -> bool {
        let word = self.tokens[at].text.as_str();
        ROUGHLY.contains(&word) && self.quantities.iter().any(|one| one.first == at + 1)
    }

    /// Makes one word of "3.1, 3.0, 3.2 and 3.1".
    fn join_lists(&mut self) {
        let mut at = 0;
        while at < self.words.len() {
            let end = self.list_end(at);
            if end > at {
                let parts: Vec<usize> =
                    (at..=end).flat_map(|word| self.places[word].quantities.clone()).collect();
                self.share_unit(&parts, end - at);
                let (from, to) = (self.words[at].segment, self.words[end].segment);
                self.places[at].last = self.places[end].last;
                self.places[at].quantities = parts;
                self.words.drain(at + 1..=end);
                self.places.drain(at + 1..=end);
                for word in self.words.iter_mut().filter(|word| word.segment == to) {
                    word.segment = from;
                }
            }
            at += 1;
        }
    }

    /// "200, 500 and 900 hours": the unit of the last is that of all, unless two numbers are
    /// parted by a comma alone, which may be of two things.
    fn share_unit(&mut self, parts: &[usize], words: usize) {
        let unit = parts.last().and_then(|last| self.quantities[*last].unit);
        let counts = matches!(unit, Some("turns" | "flats" | CLICKS));
        if counts || (parts.len() < 3 && words < 2) {
            return;
        }
        for index in parts {
            let quantity = &mut self.quantities[*index];
            quantity.unit = quantity.unit.or(unit);
        }
    }

    /// The last word of the list of numbers that begins at a word; that word when it is no list.
    fn list_end(&self, at: usize) -> usize {
        let mut end = at;
        let mut values: Vec<f64> = Vec::new();
        let Some(first) = self.single(at).filter(|_| !self.ends_a_way(at)) else { return at };
        values.push(first.value);
        let mut next = at + 1;
        while next < self.words.len() {
            let joiner = self.words[next].text == "and" || self.words[next].text == "then";
            let number = if joiner { next + 1 } else { next };
            let Some(quantity) = self.single(number) else { break };
            if !self.lists_on(end, number, joiner) {
                break;
            }
            values.push(quantity.value);
            end = number;
            next = number + 1;
        }
        // "2200 rpm, 11 blades": what follows the last number counts it.
        while end > at && (self.counts_something(end) || !alike(&values)) {
            values.pop();
            end -= 1;
            while end > at && self.places[end].quantities.is_empty() {
                end -= 1;
            }
        }
        if self.is_pair_of_two(at, end) { at } else { end }
    }

    /// "From 5.0 to 5.6, and 6.2 is wanted": where something went to begins no list.
    fn ends_a_way(&self, at: usize) -> bool {
        let text = |back: usize| at.checked_sub(back).map_or("", |at| self.words[at].text.as_str());
        let from = (3..=4).any(|back| text(back) == "from");
        text(1) == "to" && from
    }

    /// "Roller 2 inch, 2.45 inch between centres": two numbers with a unit each and only a comma
    /// between are of two things.
    fn is_pair_of_two(&self, at: usize, end: usize) -> bool {
        let units = [at, end].map(|word| self.single(word).is_some_and(|one| one.unit.is_some()));
        let comma = || {
            let between = self.places[at].last + 1..self.places[end].first;
            self.tokens[between].iter().map(|token| token.text.as_str()).eq([","])
        };
        // "Overlap 6, 5.5 mph": what a list is hardly of.
        let measure = self.single(end).and_then(|one| one.unit);
        let apart = matches!(
            measure,
            Some("mph" | "km/h" | "m/s" | "rpm" | "%" | "kg" | "acre" | "ha" | "deg" | "money")
        );
        let two = units == [true, true] || (units[1] && apart);
        end == at + 1 && two && comma()
    }

    fn single(&self, word: usize) -> Option<&Quantity> {
        match self.places.get(word)?.quantities[..] {
            [only] => Some(&self.quantities[only]),
            _ => None,
        }
    }

    /// Whether the number at `next` goes on with the list whose last number stands at `end`.
    fn lists_on(&self, end: usize, next: usize, joiner: bool) -> bool {
        let (Some(before), Some(after)) = (self.single(end), self.single(next)) else {
            return false;
        };
        let units = match (before.unit, after.unit) {
            (Some(a), Some(b)) => a == b,
            // "Three eighths, and one turn": parts of an inch are not listed with turns.
            (None, Some("turns" | "flats" | CLICKS)) => before.value.fract() == 0.0,
            (None, _) => true,
            (Some(_), None) => false,
        };
        let between: Vec<&str> = self.tokens[before.last + 1..after.first]
            .iter()
            .filter(|token| token.kind == Kind::Sign)
            .map(|token| token.text.as_str())
            .collect();
        let signs = match between[..] {
            [] => true,
            ["," | "/" | ";"] => true,
            // "18 and, hang on, 21": the pause between them is no word.
            [",", ","] => joiner,
            _ => false,
        };
        // "127.1 to 126.7 45 min".
        let apart = before.value.fract() != 0.0 && matches!(after.unit, Some("min" | "h" | "rpm"));
        let touches = !apart && self.touches(end, next);
        let close = joiner || !between.is_empty() || touches;
        let sentence = self.words[end].sentence == self.words[next].sentence;
        let alike = !before.in_words_of(after) || (joiner && is_one_more(before, after));
        units && signs && close && sentence && alike
    }

    /// Numbers side by side with nothing between ("0.02 0.03 0.08").
    fn touches(&self, end: usize, next: usize) -> bool {
        next == end + 1 && self.words[end].segment == self.words[next].segment
    }

    fn counts_something(&self, word: usize) -> bool {
        const COUNTED: &[&str] = &[
            "blade", "bladed", "point", "tooth", "teeth", "unit", "reel", "head", "pass", "degre",
            "screw", "grit", "gang", "acr", "mow", "time",
        ];
        let bare = self.single(word).is_some_and(|quantity| quantity.unit.is_none());
        let same = |next: &Word| next.segment == self.words[word].segment;
        bare && self
            .words
            .get(word + 1)
            .is_some_and(|next| same(next) && COUNTED.contains(&next.stem.as_str()))
    }

    /// Whether a word lies within one of these spans of tokens.
    pub fn lies_within(&self, word: usize, spans: &[(usize, usize)]) -> bool {
        let place = &self.places[word];
        spans.iter().any(|(first, last)| place.first >= *first && place.last <= *last)
    }

    /// The words as they are compared.
    pub fn texts(&self) -> Vec<&str> {
        self.words.iter().map(|word| word.text.as_str()).collect()
    }

    /// A word; empty beyond the end.
    pub fn word(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.text.as_str())
    }

    /// The text of a token; empty beyond the end.
    pub fn token(&self, at: usize) -> &str {
        text_at(&self.tokens, at)
    }

    /// How many sentences there are, a heading with its colon counting as one of its own.
    pub fn sentences(&self) -> usize {
        let mut all: Vec<u32> = self.words.iter().map(|word| word.sentence).collect();
        all.dedup();
        all.len() + (1..self.tokens.len()).filter(|at| is_heading(&self.tokens, *at)).count()
    }

    /// Byte span of a word.
    pub fn bytes(&self, word: usize) -> (usize, usize) {
        let place = &self.places[word];
        (self.tokens[place.first].start, self.tokens[place.last].end)
    }

    /// A quantity as it stands in the text.
    pub fn written(&self, quantity: &Quantity) -> &str {
        let (start, end) = (self.tokens[quantity.first].start, self.tokens[quantity.last].end);
        self.text.get(start..end).unwrap_or_default()
    }

    /// The words `first..=last` as they stand in the text.
    pub fn phrase(&self, first: usize, last: usize) -> &str {
        let (start, _) = self.bytes(first);
        let (_, end) = self.bytes(last);
        self.text.get(start..end).unwrap_or_default()
    }

    pub fn is_question(&self) -> bool {
        self.text.contains('?')
    }
}

impl Quantity {
    /// A number in words is not listed with one in figures ("5, two of them").
    fn in_words_of(&self, other: &Quantity) -> bool {
        self.in_words != other.in_words
    }
}

/// "14.1, 14.4 and fourteen": a number in words that is as large, within a quarter (from memory), as
/// the readings before it.
fn is_one_more(before: &Quantity, after: &Quantity) -> bool {
    const RATIO_MAX: f64 = 1.25;
    let (low, high) = (before.value.min(after.value), before.value.max(after.value));
    let bare = before.unit.is_none() && after.unit.is_none() && after.in_words;
    // "260, 245 and three hundred hours": nothing is counted by so many.
    let large = before.unit.is_none() && after.in_words && low >= SURELY_NO_COUNT;
    let near = low > 0.0 && high <= low * RATIO_MAX;
    (bare && before.value.fract() != 0.0 && near) || (large && high <= low * LIST_RATIO_MAX)
}

fn alike(values: &[f64]) -> bool {
    let sizes = values.iter().map(|value| value.abs()).filter(|size| *size > 0.0);
    let (low, high) = sizes.fold((f64::MAX, 0.0_f64), |(l, h), size| (l.min(size), h.max(size)));
    let most = if values.len() >= LONG_LIST { LONG_LIST_RATIO_MAX } else { LIST_RATIO_MAX };
    high <= low * most || high == 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spoken(text: &str) -> Spoken {
        Spoken::new(text, tokens(text), &[])
    }

    #[test]
    fn a_number_taken_back_gives_its_place_to_the_next() {
        // (text, values, words): our own sentences.
        let rows: &[(&str, &[f64], &str)] = &[
            ("10 blades, no sorry, 11 blades", &[11.0], "# blades blades"),
            ("twenty degrees, make that eighteen, reel", &[18.0], "# reel"),
            ("a 2.1 kilo blade, sorry 2.2, turning", &[2.2], "a # blade turning"),
            ("at 2,000 not 1,800 rpm", &[2_000.0], "at # not 1800 rpm"),
            ("2,000 rpm, sorry, 11 blades", &[2_000.0, 11.0], "# sorry # blades"),
            ("at 4 mph, no wait, 5, sorry, 6 mph", &[6.0], "at #"),
            ("spins at twenty-six, no twenty-seven hundred", &[2_700.0], "spins at #"),
            ("right rear 95, no I read wrong, right rear 93", &[93.0], "right rear #"),
            ("a wheel of 6 inches, no, I just measured it and it is 7 inches, at speed", &[7.0],
                "a wheel of # at speed"),
            ("bench at 14, no, I have the book here, 13, readings", &[13.0], "bench at # readings"),
            ("leaks at 14, no leaks at 9", &[14.0, 9.0], "leaks at # no leaks at #"),
        ];
        for (text, values, words) in rows {
            let spoken = spoken(text);
            let found: Vec<f64> = spoken.quantities.iter().map(|one| one.value).collect();
            let shown: Vec<&str> = spoken.texts();
            assert_eq!((found.as_slice(), shown.join(" ").as_str()), (*values, *words), "{text}");
        }
    }

    #[test]
    fn lists_of_numbers_are_one_word() {
        // (text, how many numbers each word of numbers holds): our own sentences.
        let rows: &[(&str, &[usize])] = &[
            ("the readings were 3.1, 3.0, 3.2 and 3.1", &[4]),
            ("failed at 310, 420 and 385 hours and one's still going at 290", &[3, 1]),
            ("125.6 at 400 hours, 124.3 at 800 hours", &[1, 1, 1, 1]),
            ("2200 rpm, 11 blades", &[1, 1]),
            ("at 3.5, 11 blades", &[1, 1]),
            ("Blade 1: 0.02 0.03 0.08", &[1, 3]),
            ("roller 2 inch, 2.45 inch between centres", &[1, 1]),
            ("still running at four hundred and four fifty", &[2]),
        ];
        for (text, sizes) in rows {
            let found: Vec<usize> = spoken(text)
                .places
                .iter()
                .filter(|place| !place.quantities.is_empty())
                .map(|place| place.quantities.len())
                .collect();
            assert_eq!(found, *sizes, "{text}");
        }
    }
}
