//! Which machine, unit and area do the words name? First by what the shop has, then by how machines
//! are spoken of; a name that the shop does not have is made into the one it would have.
//! Deliberately absent: reading the shop's list (it comes in), and adding to it.

use std::ops::Range;

use super::nicknames;
use super::names::{Label, Labelled, all_units, numbered_areas};
use super::placed_units::{same_middle, without_taken_back};
pub use super::shop::{Known, Shop};
use super::strangers::{
    bare_size, by_attachment, coded_name, counted_gang, gang_of, lone_name, pet_name, size_at,
    small_pet_name, strange_words,
};
use super::subject_words::{
    BEFORE_NAMES, HEADS, KINDS_ALONE, KINDS_OF_PART, NEVER_FIRST, NO_HEADINGS, ONE_CUTTER, PARTS,
    SURFACES, TELLING,
};
use crate::domain::language::text::{Kind, Token, tokens};
use crate::domain::records::{Id, SubjectKind, SubjectName};
use crate::domain::said::numerals::below_hundred;
use crate::domain::said::places::place_at;

/// A name in the words.
#[derive(Clone, Debug, PartialEq)]
pub struct Mention {
    pub name: SubjectName,
    pub display_name: String,
    pub known: bool,
    /// First and last token.
    pub first: usize,
    pub last: usize,
}

/// Everything named, in order of the words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Named {
    pub machines: Vec<Mention>,
    pub units: Vec<Mention>,
    pub areas: Vec<Mention>,
    /// "All three", "both", "all": every unit of the machine.
    pub all_units: bool,
    /// First and last token of each name that was taken back.
    pub taken_back: Vec<(usize, usize)>,
}

impl Named {
    /// The one thing of the shop that the words are about: a unit, else a machine, else an area.
    pub fn subject(&self) -> Option<&SubjectName> {
        let all = self.units.iter().chain(&self.machines).chain(&self.areas);
        all.into_iter().find(|mention| mention.known).map(|mention| &mention.name)
    }

    /// The runs of tokens that are names.
    pub fn spans(&self) -> Vec<(usize, usize)> {
        let all = self.machines.iter().chain(&self.units).chain(&self.areas);
        let named = all.map(|mention| (mention.first, mention.last));
        named.chain(self.taken_back.iter().copied()).collect()
    }
}

/// Finds the names of a text. `areas_by_number`: "green 6" is an area, not a machine. `known`: is a
/// stem a word of the trade, and so hardly the name of a machine? `learned`: the bytes of machines
/// as sentences like it name them, asked for where no rule finds one.
pub fn named(
    text: &str,
    tokens: &[Token],
    labels: &[Label],
    shop: &Shop,
    site: &Id,
    areas_by_number: bool,
    (known, learned): (&dyn Fn(&str) -> bool, &dyn Fn() -> Vec<Range<usize>>),
) -> Named {
    let mut out = Named::default();
    known_subjects(SubjectKind::Machine, tokens, shop, &mut out);
    // "The tees reels" are a machine's, though there is an area of that name.
    nicknames::machines(tokens, shop, &mut out);
    known_subjects(SubjectKind::Area, tokens, shop, &mut out);
    let mut finder = Finder { text, tokens, site, shop, out, areas_by_number, known };
    finder.areas();
    if finder.out.machines.is_empty() {
        finder.machines();
    }
    if finder.out.machines.is_empty() {
        finder.learned_machines(&learned());
    }
    finder.without_invented();
    // Before its units: they belong to the machine that is meant.
    without_taken_back(tokens, &mut finder.out);
    finder.units(labels);
    finder.out.all_units = all_units(tokens);
    let mut out = finder.out;
    for list in [&mut out.machines, &mut out.units, &mut out.areas] {
        list.sort_by_key(|mention| mention.first);
    }
    without_taken_back(tokens, &mut out);
    out
}

pub(super) fn folded(words: &str) -> Vec<String> {
    tokens(words)
        .into_iter()
        .filter(|token| token.kind != Kind::Sign)
        .map(|token| match token.text.as_str() {
            // However it is called, it is the one in the middle.
            "middle" | "mid" | "center" => "centre".to_owned(),
            _ => token.text,
        })
        .filter(|word| !matches!(word.as_str(), "number" | "the"))
        .collect()
}

/// Before a machine that is called by a number: "the 60", "on 60".
fn is_article(token: &Token) -> bool {
    token.kind == Kind::Sign
        || matches!(token.text.as_str(), "the" | "our" | "on" | "number" | "that" | "this" | "a" | "my")
}

/// Machines or areas by what the shop calls them, the longest name first.
fn known_subjects(kind: SubjectKind, tokens: &[Token], shop: &Shop, out: &mut Named) {
    let mut all: Vec<(Vec<String>, &Known)> = Vec::new();
    for known in &shop.subjects {
        let id = known.name.id().as_str().replace('-', " ");
        for name in known.names.iter().map(String::as_str).chain([id.as_str()]) {
            all.push((folded(name), known));
        }
    }
    all.retain(|(words, known)| !words.is_empty() && known.name.kind() == kind);
    all.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then_with(|| a.1.name.cmp(&b.1.name)));
    for (words, known) in all {
        for at in 0..tokens.len() {
            let Some(last) = stands(tokens, at, &words) else { continue };
            let taken = out.spans().iter().any(|(first, end)| at <= *end && last >= *first);
            // "Took 60 min", in a shop that calls a machine "the 60".
            let measure = words.len() == 1 && tokens[at].kind == Kind::Number
                && (crate::domain::said::said_units::unit_at(tokens, at + 1).is_some()
                    || at.checked_sub(1).is_some_and(|before| !is_article(&tokens[before])));
            if taken || measure || (words.len() == 1 && is_no_place(tokens, at)) {
                continue;
            }
            // "Number 2 walker": the word before its figure is of the name.
            let numbered = at > 0 && tokens[at - 1].text == "number"
                && tokens[at].kind == Kind::Number;
            let mention = Mention {
                name: known.name.clone(),
                display_name: known.names.first().cloned().unwrap_or_default(),
                known: true,
                first: at - usize::from(numbered),
                last,
            };
            match known.name.kind() {
                SubjectKind::Machine => out.machines.push(mention),
                SubjectKind::Area => out.areas.push(mention),
                SubjectKind::Unit | SubjectKind::Site => {}
            }
        }
    }
}

/// "Bearings rough on the drive side": a word that names an area elsewhere, with nothing before it
/// that points at a place.
fn is_no_place(tokens: &[Token], at: usize) -> bool {
    const POINTS: &[&str] = &[
        "the", "our", "on", "in", "at", "of", "across", "over", "through", "for", "all", "from",
        "around", "this", "that", "to", "behind",
    ];
    let before = at.checked_sub(1).map(|before| tokens[before].text.as_str());
    tokens[at].text == "rough" && !before.is_some_and(|word| POINTS.contains(&word))
}

/// The last token of a name that stands from a token on; "number" and signs are skipped.
fn stands(tokens: &[Token], at: usize, words: &[String]) -> Option<usize> {
    let mut next = at;
    for (nth, word) in words.iter().enumerate() {
        while nth > 0
            && tokens.get(next).is_some_and(|t| t.kind == Kind::Sign || t.text == "number")
        {
            next += 1;
        }
        let token = tokens.get(next)?;
        let same = token.text == *word
            || format!("{}s", token.text) == *word
            || token.text == format!("{word}s");
        if !same {
            return None;
        }
        next += 1;
    }
    Some(next - 1)
}

pub(super) struct Finder<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: &'a [Token],
    site: &'a Id,
    pub(super) shop: &'a Shop,
    pub(super) out: Named,
    areas_by_number: bool,
    known: &'a dyn Fn(&str) -> bool,
}

impl Finder<'_> {
    pub(super) fn word(&self, at: usize) -> &str {
        self.tokens.get(at).map_or("", |token| token.text.as_str())
    }

    pub(super) fn free(&self, first: usize, last: usize) -> bool {
        !self.out.spans().iter().any(|(from, to)| first <= *to && last >= *from)
    }

    fn slice(&self, first: usize, last: usize) -> String {
        let (start, end) = (self.tokens[first].start, self.tokens[last].end);
        let said = self.text.get(start..end).unwrap_or_default().trim();
        let owner = said.strip_suffix("'s").or_else(|| said.strip_suffix("\u{2019}s"));
        owner.unwrap_or(said).to_owned()
    }

    fn mention(&self, name: SubjectName, first: usize, last: usize) -> Mention {
        let display_name = self.slice(first, last);
        let known = self.shop.subjects.iter().any(|subject| subject.name == name);
        Mention { name, display_name, known, first, last }
    }

    fn areas(&mut self) {
        let mut found = numbered_areas(self.tokens);
        if self.areas_by_number {
            for at in 0..self.tokens.len().saturating_sub(1) {
                let surface = matches!(
                    self.word(at),
                    "green" | "tee" | "fairway" | "hole" | "collar" | "pitch"
                );
                let number = self.tokens[at + 1].kind == Kind::Number
                    && self.tokens[at + 1].text.len() <= 2
                    && !self.tokens[at + 1].text.contains('.');
                if surface && number {
                    found.push((at, at + 1));
                }
            }
        }
        for kind in [
            "practice green",
            "putting green",
            "bowling green",
            "nursery green",
            "practice tee",
            "chipping green",
        ] {
            let words: Vec<String> = kind.split(' ').map(str::to_owned).collect();
            for at in 0..self.tokens.len() {
                let machine = HEADS.contains(&self.word(at + 2));
                if let Some(last) = stands(self.tokens, at, &words).filter(|_| !machine) {
                    found.push((at, last));
                }
            }
        }
        for (first, last) in found {
            if !self.free(first, last) {
                continue;
            }
            let Ok(area) = Id::from_words("area", &self.slice(first, last)) else { continue };
            let name = SubjectName::Area { site: self.site.clone(), area };
            let mention = self.mention(name, first, last);
            self.out.areas.push(mention);
        }
    }

    fn machines(&mut self) {
        let mut at = 0;
        while at < self.tokens.len() {
            match self.machine_at(at).filter(|(first, last)| self.free(*first, *last)) {
                Some((first, last)) => {
                    self.add_machine(first, last);
                    at = last + 1;
                }
                None => at += 1,
            }
        }
        let kept = |mention: &&Mention| !self.carried(mention) && !self.is_of_other(mention);
        self.out.machines = self.out.machines.iter().filter(kept).cloned().collect();
        // "Deck was low on the 72": the kind alone says less than a name.
        let kind_alone = |mention: &Mention| {
            let one = mention.first == mention.last;
            one && KINDS_ALONE.contains(&self.word(mention.first))
        };
        let weak = self.out.machines.iter().all(kind_alone);
        if weak
            && let Some((first, last)) =
                self.unless_taken(pet_name(self.text, self.tokens, 0))
                    .or_else(|| self.unless_taken(coded_name(self.text, self.tokens, 0)))
                    .or_else(|| self.proper_name())
                    .or_else(|| self.bare_number(0))
                    .or_else(|| self.heading())
                    .or_else(|| self.unless_taken(small_pet_name(self.tokens, self.known)))
                    .or_else(|| {
                        self.unless_taken(lone_name(self.text, self.tokens, self.known))
                    })
                    .or_else(|| self.unless_taken(by_attachment(self.tokens)))
        {
            self.out.machines.clear();
            self.add_machine(first, last);
            // "Wee Nellie did four hours and Big Blue six".
            let other = pet_name(self.text, self.tokens, last + 1);
            if let Some((first, last)) = self.unless_taken(other) {
                self.add_machine(first, last);
            }
            // "F1 1,210, F2 1,185".
            let mut from = last + 1;
            while let Some((first, last)) = coded_name(self.text, self.tokens, from) {
                self.add_machine(first, last);
                from = last + 1;
            }
        }
        // "Ran the rotary 4 hours and the 60 five and a half": more of them.
        let mut from = self.out.machines.first().map_or(0, |machine| machine.last + 1);
        while let Some((first, last)) = self.bare_number(from) {
            self.add_machine(first, last);
            from = last + 1;
        }
        self.machine_after_on();
        self.named_with_hours();
    }

    /// "... and two on the outfront": a machine that a stranger's word names, beside one known.
    fn machine_after_on(&mut self) {
        for at in 3..self.tokens.len() {
            let on = self.word(at - 2) == "on" && self.word(at - 1) == "the";
            let ends = self.tokens.get(at + 1).is_none_or(|next| {
                let day = ["this", "today", "yesterday", "tonight"];
                next.kind == Kind::Sign || day.contains(&next.text.as_str())
            });
            let counted = self.tokens[at - 3].kind == Kind::Number
                || below_hundred(self.tokens, at - 3).is_some()
                || matches!(self.word(at - 3), "hours" | "hrs" | "half" | "quarter" | "hour");
            let other = self.out.machines.first().is_some_and(|machine| machine.last < at);
            let word = self.tokens[at].kind == Kind::Word && self.word(at).len() > 4;
            let part = PARTS.contains(&self.word(at)) || TELLING.contains(&self.word(at));
            // "3.22 on the gauge".
            let part = part || NO_HEADINGS.contains(&self.word(at));
            let part = part && self.word(at) != "verti";
            let told = self.word(at - 1) == "the"
                && matches!(self.word(at - 2), "and" | ",")
                && self.tokens.get(at + 1).is_some_and(|next| next.kind == Kind::Number);
            let part = part || place_at(self.tokens, at).is_some();
            let clock = matches!(self.word(at), "clock" | "meter" | "engine" | "machine" | "reels");
            let on = (on && ends && counted) || told;
            if on && other && word && !part && !clock && self.free(at, at) {
                self.add_machine(at, at);
            }
        }
    }

    /// "Dunnock: both reels lapped", "Heron clock 764": a name that the words begin with.
    fn heading(&self) -> Option<(usize, usize)> {
        let letter = self.text.get(self.tokens.first()?.start..)?.chars().next()?;
        let next = self.word(1);
        let heads = matches!(next, ":" | "clock" | "hours" | "meter" | "engine");
        let word = self.tokens[0].kind == Kind::Word && letter.is_uppercase();
        let first = self.word(0);
        let known = HEADS.contains(&first)
            || TELLING.contains(&first)
            || NO_HEADINGS.contains(&first)
            || PARTS.contains(&first)
            || super::deeds::DEEDS.contains(&first);
        (word && heads && !known && self.free(0, 0)).then_some((0, 0))
    }

    pub(super) fn add_machine(&mut self, first: usize, last: usize) {
        if self.is_only_unit(first, last) {
            return;
        }
        let Ok(machine) = Id::from_words("machine", &self.slice(first, last)) else { return };
        let name = SubjectName::Machine { site: self.site.clone(), machine };
        if self.out.machines.iter().any(|known| known.name == name) {
            return;
        }
        let mention = self.mention(name, first, last);
        self.out.machines.push(mention);
    }

    /// The machine whose name begins at a token: telling words, a kind, a number.
    fn machine_at(&self, at: usize) -> Option<(usize, usize)> {
        let first = self.word(at);
        let numbered = first == "number" && self.is_small_number(at + 1);
        // "No 2 reel, tees triplex" without its comma: a unit, and then its machine.
        let unit = matches!(self.word(at + 2), "reel" | "unit" | "head" | "cylinder" | "cutter");
        if numbered && unit && !HEADS.contains(&self.word(at + 3)) {
            return None;
        }
        let gang = counted_gang(self.tokens, at);
        if gang > 0 {
            return Some((at, at + gang - 1));
        }
        let size = size_at(self.tokens, at);
        let telling = TELLING.contains(&first) && !NEVER_FIRST.contains(&first);
        let strange = strange_words(self.tokens, at).max(gang_of(self.tokens, at));
        let lettered = self.letter_before_kind(at) || self.proper_before_kind(at);
        let strange = strange.max(usize::from(lettered));
        let begins = telling || self.kind_at(at) > 0 || numbered || size > 0 || strange > 0;
        if !begins && !self.proper_number(at) {
            return None;
        }
        let mut next = at + if numbered { 2 } else { size.max(strange) };
        let mut head = None;
        while next < self.tokens.len() && next < at + 7 {
            let word = self.word(next);
            let kind = self.kind_at(next);
            if kind > 0 {
                next += (kind - 1).max(self.on_after_ride(next));
                head = Some(next);
                // "Triplex mower", "rotary deck": the last kind ends the name.
                if self.kind_at(next + 1) == 0 || self.owns(next) {
                    break;
                }
            } else if !(TELLING.contains(&word)
                || word == "-"
                || (next > at && self.strange_before_kind(next)))
                || (word == "on" && self.word(next - 1) != "ride")
            {
                break;
            } else if self.tokens[next].segment != self.tokens[at].segment {
                break;
            }
            next += 1;
        }
        head = head.or_else(|| self.other_head(at, next));
        // "Deck belt" is a part, not a machine.
        // "Rough deck blades" are the blades of the rough deck.
        // "Front rotary belt": of the front rotary.
        let placed = matches!(first, "front" | "rear" | "back") && self.word(at + 1) == "rotary";
        let tells = strange > 0 || placed || !KINDS_OF_PART.contains(&first);
        let head = head.filter(|head| {
            !PARTS.contains(&self.word(head + 1)) || (tells && at < *head)
        });
        if let Some(head) = head {
            // "Rotary number 1": kinds of one cutter have their number said so.
            let alone = at == head && self.word(head) == "mower";
            let one = ONE_CUTTER.contains(&self.word(head)) || alone;
            let one = one && self.word(head + 1) == "number";
            let number = head + 1 + usize::from(one);
            let numbered = self.is_small_number(number)
                && self.stands_as_number(number)
                && !self.ends_with_hours(at, number);
            if !numbered && at == head && self.word(head) == "machine" {
                return None;
            }
            // "No 4, fairway mower 2" without its comma: the first number is that of a unit.
            if numbered && first == "number" && head > at + 2 {
                return None;
            }
            if numbered || self.is_letter(number) {
                return Some((at, number));
            }
            return Some((at, head + self.kept_at(head)));
        }
        // "Fairway 1", "greens 2", "fairway C".
        let number = self.is_small_number(at + 1) && self.stands_as_number(at + 1);
        let named = number || self.is_letter(at + 1);
        let surface = SURFACES.contains(&first) && named;
        (surface || self.proper_number(at)).then_some((at, at + 1))
    }

    fn learned_machines(&mut self, names: &[Range<usize>]) {
        for name in names {
            let inside = |token: &Token| name.start <= token.start && token.end <= name.end;
            let first = self.tokens.iter().position(inside);
            let last = self.tokens.iter().rposition(inside);
            if let Some((first, last)) = self.unless_taken(first.zip(last)) {
                self.add_machine(first, last);
            }
        }
    }

    fn unless_taken(&self, found: Option<(usize, usize)>) -> Option<(usize, usize)> {
        found.filter(|(first, last)| self.free(*first, *last))
    }

    /// "On Old Bess": capitals inside a sentence that are no beginning of one.
    fn proper_name(&self) -> Option<(usize, usize)> {
        let capital = |at: usize| {
            let token = self.tokens.get(at)?;
            let letter = self.text.get(token.start..)?.chars().next()?;
            (token.kind == Kind::Word && letter.is_uppercase() && token.text.len() > 1)
                .then_some(())
        };
        // ", Big Red.": two capitals that are a clause of their own.
        let segment = |at: usize| self.tokens.get(at).map(|token| token.segment);
        let sign = |at: usize| self.tokens.get(at).is_none_or(|t| t.kind == Kind::Sign);
        let pair = (2..self.tokens.len()).find(|at| {
            let both = capital(*at).is_some() && capital(at + 1).is_some();
            let own = sign(at - 1) && sign(at + 2) && segment(*at) == segment(at + 1);
            both && own && self.free(*at, at + 1)
        });
        if let Some(at) = pair {
            return Some((at, at + 1));
        }
        for at in 1..self.tokens.len() {
            let after = BEFORE_NAMES.contains(&self.word(at - 1));
            if !after || capital(at).is_none() {
                continue;
            }
            let mut last = at;
            while capital(last + 1).is_some()
                && self.tokens[last + 1].segment == self.tokens[at].segment
            {
                last += 1;
            }
            let day = super::dates::is_day_name(self.word(at));
            let person = matches!(self.word(last + 1), "time" | "work" | "labour");
            if !day && !person && self.free(at, last) {
                return Some((at, last));
            }
        }
        None
    }

    fn bare_number(&self, from: usize) -> Option<(usize, usize)> {
        bare_size(self.tokens, from, &|first, last| self.free(first, last))
    }

    fn units(&mut self, labels: &[Label]) {
        // The units of a range stand under the same tokens.
        let mut last = None;
        for label in labels.iter().filter(|label| label.what == Labelled::Unit) {
            let span = (label.first, label.last);
            if self.free(label.first, label.last) || last == Some(span) {
                self.add_unit(&label.text, label.first, label.last);
                last = Some(span);
            }
        }
        self.numbers_behind_machines();
        let mut at = 0;
        while at < self.tokens.len() {
            match self.placed_unit(at) {
                Some((text, last)) if self.free(at, last) => {
                    self.add_unit(&text, at, last);
                    at = last + 1;
                }
                _ => at += 1,
            }
        }
    }

    pub(super) fn add_unit(&mut self, text: &str, first: usize, last: usize) {
        let machine = self.machine_of(first);
        let known = machine.as_ref().and_then(|machine| {
            self.shop.subjects.iter().find(|subject| {
                let called = |text: &str| subject.name.id().as_str() == text.replace(' ', "-")
                    || subject.names.iter().any(|name| folded(name) == folded(text));
                machine.holds(&subject.name)
                    && subject.name.kind() == SubjectKind::Unit
                    && (called(text) || same_middle(text).is_some_and(called))
            })
        });
        let known = known.or_else(|| self.only_one_there(machine.as_ref()?, text));
        let name = match known {
            Some(known) => known.name.clone(),
            None => {
                let Ok(unit) = Id::from_words("unit", text) else { return };
                let Some(SubjectName::Machine { site, machine }) = machine else {
                    // Without a machine the unit cannot be named; it is still no quantity.
                    self.out.units.push(Mention {
                        name: SubjectName::Site { site: self.site.clone() },
                        display_name: text.to_owned(),
                        known: false,
                        first,
                        last,
                    });
                    return;
                };
                SubjectName::Unit { site, machine, unit }
            }
        };
        let mut mention = self.mention(name, first, last);
        text.clone_into(&mut mention.display_name);
        self.out.units.push(mention);
    }

    /// The machine that a unit at a token belongs to: the last one named before it, else the next,
    /// else the one spoken of before.
    fn machine_of(&self, at: usize) -> Option<SubjectName> {
        let before = self.out.machines.iter().rev().find(|machine| machine.first < at);
        let named = before.or_else(|| self.out.machines.first());
        named.map(|mention| mention.name.clone()).or_else(|| self.shop.machine_spoken_of())
    }
}
