//! Which number of the last sum do a few words change: "and for 0.4", "slow down to 5", "make it 14
//! blades", "24 to the inch"? A number goes where its unit or the words beside it say, else to what
//! was said last of what it can be, in the unit that was said then.
//! Deliberately absent: sums that are asked for anew.

use super::calculations::Asked;
use super::filled::{Filled, Value};
use super::settle::{Settled, is_likely, settle, unit_of_field};
use super::sizes::wanted_outright;
use super::stored::behind_booking;
use super::wanted;
use super::kind::CommandKind;
use super::{
    FOLLOW_UP_WORDS_MAX, Interpretation, OWN_WORDS, Reader, command_of, events, numbers_heard,
    understood,
};
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::any_said_at;
use crate::domain::units::{Kind, Unit, convert, plain};

/// Words that say of which quantity a number is, with the beginnings of its fields.
const SAID_OF: &[(&[&str], &[&str])] = &[
    (&["slow", "slower", "slowed", "fast", "faster", "speed", "drive", "walk", "go", "going", "quicker"],
        &["ground_speed", "surface_speed"]),
    (&["blade", "blades", "bladed", "knives"], &["blade_count", "sharpened_blade"]),
    (&["rpm", "revs", "reel", "spin", "spinning"], &["reel_speed", "spindle_speed", "wheel_speed_rpm",
        "brush_speed", "shaft_speed"]),
    (&["pitch", "thread", "threads", "tpi"], &["thread_pitch", "height_change_per_turn"]),
    (&["turn", "turns"], &["turns_count"]),
    (&["angle", "degrees"], &["relief_angle", "slot_angle"]),
    (&["wide", "width"], &["working_width", "roller_width", "land_width"]),
    (&["reads", "reading", "end"], &["current_height"]),
    (&["overlap"], &["overlap"]),
    (&["deep", "deeper", "depth"], &["depth", "penetration_below_cut"]),
    (&["hoc", "height", "cut"], &["height_of_cut", "target_height", "bench_height"]),
];
/// Words that may stand before any number.
const TELLS_NOTHING: &[&str] = &[
    "for", "to", "at", "and", "the", "of", "is", "a", "it", "make", "made", "take", "what", "with", "that",
    "this", "then", "about", "if", "was", "be", "on", "by", "give", "say", "i", "so", "were", "want",
];
/// Words beside further readings of the same.
const MORE_READ: &[&str] =
    &["more", "another", "also", "again", "others", "further", "next", "read", "reads", "reading", "readings"];
/// And those of what a sum aims at, or of its other numbers.
const OF_ANOTHER: &[&str] = &[
    "target", "want", "wanted", "bench", "benched", "set", "aim", "true", "for", "need", "if", "instead", "not", "no",
    "should", "wrong", "to", "did", "left", "right", "bolts", "bolt", "reels", "units", "holes", "turns", "clicks", "times",
];
/// Readings of one surface lie within this share of each other (common practice, no source).
const ALIKE: f64 = 0.5;
/// Numbers on either side of a word that says what they are.
const BESIDE: usize = 3;

/// A number, the field that it goes to, and what it is there.
type Placed = (usize, String, Settled);

impl Reader<'_> {
    /// The sum before with the numbers said put in; none where the words ask for something else.
    pub(super) fn sum_again(&self) -> Option<Interpretation> {
        let (calculation, before) = self.question.previous.as_ref()?;
        if behind_booking(self.question.text).is_some() {
            return None;
        }
        let proof = &self.heard.proof;
        let short = self.spoken.words.len() <= FOLLOW_UP_WORDS_MAX;
        let own = self.heard.asked.iter().find(|asked| asked.calculation == calculation)?;
        if let Some(back) = self.turned_about(own, before).filter(|_| short) {
            return Some(back);
        }
        let other = &self.heard.asked[0];
        let anew = other.calculation != own.calculation && other.said >= OWN_WORDS;
        // "Spun unit 3, 126.4 down to 126.1" tells of work, whatever was worked out before.
        let work = proof.deed && (proof.record_words >= 2 || proof.named > 0);
        let told = proof.named > 0 && own.said <= 0.0 && !proof.question;
        let told = told && !self.all_of_the_sum(before);
        if !short || anew || work || told || self.spoken.quantities.is_empty() {
            return None;
        }
        if let Some(more) = self.more_readings(own, before) {
            return Some(more);
        }
        let placed: Vec<Placed> = (0..self.spoken.quantities.len())
            .filter_map(|index| self.place_again(index, own, before))
            .collect();
        // Another sum, with more of its numbers.
        let more = other.calculation != own.calculation && other.placed.len() > placed.len();
        if placed.is_empty() || (more && other.said > 0.0) {
            return None;
        }
        let mut asked = own.clone();
        asked.filled = merged(before, own, &placed);
        if !own.asks && let Some(follows) = wanted::first(calculation, &asked.filled) {
            follows.clone_into(&mut asked.solve_for);
        }
        // "Which ground speed would give me 4 mm": that is worked out, from all else that is known.
        let outright = wanted_outright(self.spoken);
        let outright = outright.filter(|field| !wanted::unknown(calculation, field));
        if let Some(field) = outright {
            for (known, value) in &before.0 {
                if !asked.filled.has(known) {
                    asked.filled.set(known, value.clone());
                }
            }
            asked.filled.remove(field);
            let said = placed.iter().find(|(_, known, _)| known == "height_of_cut_mm");
            if let Some((_, _, settled)) = said.filter(|_| !asked.filled.has("clip_spacing_mm")) {
                // What it shall give is the clip.
                asked.filled.number("clip_spacing_mm", settled.value);
                asked.filled.remove("height_of_cut_mm");
            }
            field.clone_into(&mut asked.solve_for);
        }
        asked.placed.clone_from(&placed);
        let mut answer = self.computed(&asked);
        for (index, quantity) in self.spoken.quantities.iter().enumerate() {
            let text = self.spoken.written(quantity).to_owned();
            let used = placed.iter().any(|(known, ..)| *known == index);
            if !used && !answer.unheard.contains(&text) {
                answer.unheard.push(text);
            }
        }
        Some(answer)
    }

    /// Readings of the sum before in their turn, where no machine is named and nothing was done.
    pub(super) fn read_again(&self) -> Option<Interpretation> {
        let (calculation, before) = self.question.previous.as_ref()?;
        let own = self.heard.asked.iter().find(|asked| asked.calculation == calculation)?;
        let proof = &self.heard.proof;
        let short = self.spoken.words.len() <= FOLLOW_UP_WORDS_MAX;
        let deed = proof.deed && !self.says(&["read", "reads"]);
        let told = proof.named > 0 || proof.dated || proof.question || deed;
        (short && !told).then(|| self.more_readings(own, before)).flatten()
    }

    /// "Three more, .110 .109 .112" after a sum with a reading like those: they are read as well, and
    /// are nothing that is aimed at.
    fn more_readings(&self, own: &Asked, before: &Filled) -> Option<Interpretation> {
        let (field, known) = before.0.iter().find_map(|(field, value)| match value {
            Value::Numbers(known) if !known.is_empty() => Some((field.as_str(), known)),
            _ => None,
        })?;
        let all = &self.spoken.quantities;
        // "Three more": as many as are said behind it.
        let counts = all.first().is_some_and(|one| {
            one.unit.is_none() && one.value == all.len().saturating_sub(1) as f64
        });
        let from = usize::from(counts && all.len() > 1);
        let said_in = self.question.said_in.iter();
        let said = said_in.rev().find(|(known, _)| known.split('[').next() == Some(field));
        let read = |index| {
            let as_before = self.as_before(index, field, said);
            Some((index, as_before.or_else(|| settle(self.spoken, index, field))?))
        };
        let read: Vec<(usize, Settled)> = (from..all.len()).map(read).collect::<Option<_>>()?;
        let like = |one: &&(usize, Settled)| {
            known.iter().any(|known| (one.1.value / known - 1.0).abs() <= ALIKE)
        };
        let more = self.says(MORE_READ) || read.len() > 1;
        if !more || self.says(OF_ANOTHER) || !read.iter().all(|one| like(&one)) {
            return None;
        }
        let mut asked = own.clone();
        asked.filled = before.clone();
        asked.placed.clear();
        for (index, settled) in read {
            let at = asked.filled.push(field, settled.value);
            asked.placed.push((index, format!("{field}[{at}]"), settled));
        }
        if let Some(follows) = wanted::first(&asked.calculation, before) {
            follows.clone_into(&mut asked.solve_for);
        }
        let answer = self.computed(&asked);
        let with = format!("{}, with all told before.", answer.understood.trim_end_matches('.'));
        Some(Interpretation { understood: with, unheard: Vec::new(), ..answer })
    }

    /// "And back down in spring", "then the other way": from what was aimed at to what it was.
    fn turned_about(&self, own: &Asked, before: &Filled) -> Option<Interpretation> {
        let tokens = &self.spoken.tokens;
        let said = |words: &[&str]| {
            (0..tokens.len()).any(|at| any_said_at(tokens, at, words).is_some())
        };
        let back = said(&["back down", "back up", "back again", "back the other", "other way",
            "and back", "down again", "up again", "in reverse"]);
        let deed = self.heard.proof.deed || self.heard.proof.named > 0;
        if !back || deed || !self.spoken.quantities.is_empty() {
            return None;
        }
        let pair = |field: &str| {
            let aimed = format!("target_{}", field.strip_prefix("current_")?);
            Some((field.to_owned(), before.get_number(field)?, before.get_number(&aimed)?, aimed))
        };
        let (now, from, to, aimed) = before.0.iter().find_map(|(field, _)| pair(field))?;
        // "Back down" from where it is lower already is no such plan.
        let (down, up) = (said(&["down"]), said(&["up"]));
        if (down && !up && from >= to) || (up && !down && from <= to) {
            return None;
        }
        let mut asked = own.clone();
        asked.filled = before.clone();
        asked.filled.number(&now, to);
        asked.filled.number(&aimed, from);
        asked.placed.clear();
        if let Some(follows) = wanted::first(&asked.calculation, &asked.filled) {
            follows.clone_into(&mut asked.solve_for);
        }
        let unit = unit_of_field(&now).symbol;
        let told = format!("Work out the same from {} to {} {unit}.", plain(to), plain(from));
        let unheard = Vec::new();
        Some(Interpretation { understood: told, unheard, ..self.computed(&asked) })
    }

    /// "What speed for 3.5 clip then": the number is what the sum shall come to, and the quantity
    /// that is named is worked out from it and all else.
    pub(super) fn sum_back(&self, calculation: &str, before: &Filled) -> Option<Interpretation> {
        let own = self.heard.asked.iter().find(|asked| asked.calculation == calculation)?;
        let result = wanted::first(calculation, before)?;
        let outright = wanted_outright(self.spoken).filter(|field| before.has(field));
        let tokens = &self.spoken.tokens;
        let says = |words: &&[&str]| tokens.iter().any(|one| words.contains(&one.text.as_str()));
        let rows = SAID_OF.iter().filter(|(words, _)| says(&words));
        let mut named = rows.flat_map(|(_, starts)| starts.iter());
        let fields = || before.0.iter().map(|(field, _)| field.as_str());
        let by_words = || named.find_map(|start| fields().find(|field| field.starts_with(start)));
        let wanted = outright.or_else(by_words)?;
        let given = (0..self.spoken.quantities.len())
            .find_map(|index| Some((index, self.as_before(index, result, None)?)))?;
        let mut asked = own.clone();
        asked.filled = before.clone();
        asked.filled.number(result, given.1.value);
        asked.filled.remove(wanted);
        wanted.clone_into(&mut asked.solve_for);
        asked.placed = vec![(given.0, result.to_owned(), given.1)];
        Some(self.computed(&asked))
    }

    /// A sum that was asked, with what it is made of.
    pub(super) fn computed(&self, asked: &Asked) -> Interpretation {
        let mut asked = asked.clone();
        let event = events::named(&self.spoken.tokens, &self.question.now);
        let event = event.filter(|_| asked.calculation == events::HEIGHT_PLAN);
        if let Some(event) = &event {
            events::without_the_day(&mut asked, event, &self.spoken.quantities);
        }
        let mut told = understood::computed(&asked.solve_for, &asked.placed);
        let mut spans = Vec::new();
        if let Some(event) = event
            && let Some(end) = events::end_of_a_plan(&mut asked, &event, self.question.now.date())
        {
            told = format!("{told} {end}");
            spans.push((event.first, event.last));
        }
        if self.carries_readings(&mut asked) {
            told = format!("{} with the readings told before.", told.trim_end_matches('.'));
        }
        Interpretation {
            quantities: numbers_heard(self.spoken, &asked.placed),
            unheard: self.unheard(self.spoken, &asked.words, &spans),
            ..self.answer(CommandKind::Compute, told, command_of(&asked))
        }
    }

    /// "So what do I set the bench to for 3.2 on the grass", when it was told a moment ago what bench
    /// gives what on turf: the same turf, where no other is named.
    pub(super) fn carries_readings(&self, asked: &mut Asked) -> bool {
        const EVIDENCE: &[&str] = &["effective_height_readings_mm", "sinkage_readings_mm", "sinkage_mm"];
        const OF_HEIGHT: &[&str] = &["bench_height", "effective_height"];
        let Some((calculation, before)) = &self.question.previous else { return false };
        let of_height = |calculation: &str| OF_HEIGHT.contains(&calculation);
        let told = |filled: &Filled| EVIDENCE.iter().any(|field| filled.has(field));
        let elsewhere = !self.heard.named.areas.is_empty() || !self.heard.named.machines.is_empty();
        let carries = of_height(&asked.calculation) && of_height(calculation) && told(before)
            && !told(&asked.filled) && !elsewhere;
        if !carries {
            return false;
        }
        let bench = before.get_number("reading_bench_height_mm").or(before.get_number("bench_height_mm"));
        for field in EVIDENCE {
            if let Some(value) = before.get(field) {
                asked.filled.set(field, value.clone());
            }
        }
        if let Some(bench) = bench {
            asked.filled.number("reading_bench_height_mm", bench);
        }
        true
    }

    /// The field that a number goes to.
    fn place_again(&self, index: usize, own: &Asked, before: &Filled) -> Option<Placed> {
        let quantity = &self.spoken.quantities[index];
        if let Some(pitch) = self.to_the_inch(index).or_else(|| self.worth_of_turn(index)) {
            return Some(pitch);
        }
        let as_heard = own.placed.iter().find(|(known, ..)| *known == index);
        let by_words = self.said_of(quantity);
        let numeric = |field: &&str| matches!(before.get(field), Some(Value::Number(_)));
        let said_in = &self.question.said_in;
        let said = |field: &str| said_in.iter().find(|(known, _)| known == field);
        // Said last, first; then all the others of the sum.
        let recent = said_in.iter().rev().map(|(field, _)| field.as_str());
        let all = before.0.iter().map(|(field, _)| field.as_str());
        let fields: Vec<&str> = recent.chain(all).filter(numeric).collect();
        let named = |field: &str| by_words.iter().any(|start| field.starts_with(start));
        let fits = |field: &&&str| self.as_before(index, field, said(field)).is_some();
        let chosen = fields.iter().filter(|field| named(field)).find(fits);
        // A word beside it, or its unit, gave it a field that the sum did not have.
        let (cued, field) = match as_heard {
            Some((_, field, _)) => {
                (self.by_cue(quantity, field) || quantity.unit.is_some(), Some(field))
            }
            None => (false, None),
        };
        let known = field.is_some_and(|field| before.has(field));
        let of_kind = fields.iter().any(|field| {
            quantity.unit.is_none_or(|unit| same_kind(unit, field))
        });
        if chosen.is_none() && as_heard.is_some() && cued && (known || !of_kind
            || field.is_some_and(|field| self.by_cue(quantity, field)))
        {
            return self.in_unit_before(as_heard?, said);
        }
        if chosen.is_none() && !by_words.is_empty() && !fields.iter().any(|field| named(field)) {
            return self.in_unit_before(as_heard?, said);
        }
        let field = chosen.or_else(|| fields.iter().find(fits))?;
        let mut settled = self.as_before(index, field, said(field))?;
        // A drop stays a drop.
        if *field == "height_change_mm" && before.get_number(field).is_some_and(|old| old < 0.0) {
            settled.value = -settled.value.abs();
        }
        Some((index, (*field).to_owned(), settled))
    }

    /// "And for the walker at 3.8 mph, 11 blades": nothing done, and every number says by its unit or
    /// the word beside it that it is a speed or a count of blades of the sum before.
    fn all_of_the_sum(&self, before: &Filled) -> bool {
        const OF_SPEED: &[Kind] = &[Kind::Speed, Kind::Rotation];
        let field_of = |quantity: &Quantity| {
            let mut fields = before.0.iter().map(|(field, _)| field.as_str());
            let by_words = self.said_of(quantity);
            fields.any(|field| match quantity.unit.and_then(Unit::named) {
                Some(unit) => OF_SPEED.contains(&unit.kind) && same_kind(unit.symbol, field),
                None => field.starts_with("blade_count") && by_words.contains(&"blade_count"),
            })
        };
        let all = &self.spoken.quantities;
        !self.heard.proof.deed && all.len() >= 2 && all.iter().all(field_of)
    }

    /// As it was heard, in the unit that was said of that field before where none is said now.
    fn in_unit_before<'s>(
        &self,
        heard: &Placed,
        said: impl Fn(&str) -> Option<&'s (String, String)>,
    ) -> Option<Placed> {
        let (index, field, settled) = heard;
        let bare = self.spoken.quantities[*index].unit.is_none();
        let before = said(field).filter(|_| bare);
        let again = before.and_then(|before| self.as_before(*index, field, Some(before)));
        Some((*index, field.clone(), again.unwrap_or_else(|| settled.clone())))
    }

    /// The number in a field, in the unit that was said of it before where none is said now.
    fn as_before(
        &self,
        index: usize,
        field: &str,
        said: Option<&(String, String)>,
    ) -> Option<Settled> {
        let quantity = &self.spoken.quantities[index];
        if quantity.unit.is_some() {
            return settle(self.spoken, index, field);
        }
        let own = unit_of_field(field);
        let before = said.map(|(_, unit)| unit.as_str()).filter(|unit| !unit.is_empty());
        let unit = before.and_then(Unit::named).filter(|unit| unit.kind == own.kind);
        let unit = unit.unwrap_or(own);
        let value = if unit.symbol == own.symbol {
            quantity.value
        } else {
            convert(quantity.value, unit.symbol, own.symbol)?
        };
        if !is_likely(field, value.abs()) {
            return None;
        }
        let written = self.spoken.written(quantity);
        let told = format!("{written} taken as {} {}, as before", plain(quantity.value), unit.symbol);
        let assumption = (own.kind != Kind::Number).then_some(told);
        Some(Settled { value, unit: unit.symbol, assumption })
    }

    /// The beginnings of the fields that words near a number name.
    fn said_of(&self, quantity: &Quantity) -> Vec<&'static str> {
        let from = quantity.first.saturating_sub(BESIDE);
        let near = from..(quantity.last + 1 + BESIDE).min(self.spoken.tokens.len());
        let said = |words: &&[&str]| {
            near.clone().any(|at| words.contains(&self.spoken.tokens[at].text.as_str()))
        };
        let rows = SAID_OF.iter().filter(|(words, _)| said(&words));
        rows.flat_map(|(_, fields)| fields.iter().copied()).collect()
    }

    /// Whether a cue of the field holds the number.
    fn by_cue(&self, quantity: &Quantity, field: &str) -> bool {
        let holds = |word: &usize| {
            let place = &self.spoken.places[*word];
            place.first <= quantity.last && place.last >= quantity.first
        };
        // "And for 15", "make it 0.8": said of any number.
        let said = |word: &usize| self.spoken.word(*word);
        let tells = |word: &usize| !holds(word) && !TELLS_NOTHING.contains(&said(word));
        self.heard.cues.iter().any(|cue| {
            let of_field = cue.id.split(['.', ',']).any(|part| part == field);
            let held = cue.words.iter().any(holds) && cue.words.iter().any(tells);
            cue.family == "value" && of_field && held
        })
    }

    /// "And if a turn is worth 1.2": what a turn moves, in the place of the pitch.
    fn worth_of_turn(&self, index: usize) -> Option<Placed> {
        const LINKS: &[&str] = &["is", "worth", "moves", "gives", "=", "was", "of", "about", "it", "being"];
        let quantity = &self.spoken.quantities[index];
        let text = |at: usize| self.spoken.tokens.get(at).map_or("", |token| token.text.as_str());
        let before = (0..quantity.first).rev().find(|at| !LINKS.contains(&text(*at)))?;
        let of_turns = self.question.previous.as_ref().is_some_and(|(id, _)| id == "adjuster_turns");
        let linked = before + 1 < quantity.first;
        if !of_turns || text(before) != "turn" || !linked {
            return None;
        }
        let field = "height_change_per_turn_mm";
        Some((index, field.to_owned(), settle(self.spoken, index, field)?))
    }

    /// "24 to the inch": a pitch by its threads.
    fn to_the_inch(&self, index: usize) -> Option<Placed> {
        let quantity = &self.spoken.quantities[index];
        let text = |at: usize| self.spoken.tokens.get(at).map_or("", |token| token.text.as_str());
        let next = quantity.last + 1;
        let inch = matches!((text(next), text(next + 1), text(next + 2)), ("to", "the", "inch"))
            || matches!((text(next), text(next + 1)), ("per" | "an" | "a", "inch"))
            || text(next) == "tpi"
            || matches!((text(next), text(next + 1)), ("threads", "per" | "to" | "an"));
        let pitch = 25.4 / quantity.value;
        let field = "thread_pitch_mm";
        let of_turns = self.question.previous.as_ref().is_some_and(|(id, _)| id == "adjuster_turns");
        if !inch || !of_turns || quantity.unit.is_some() || !is_likely(field, pitch) {
            return None;
        }
        let count = plain(quantity.value);
        let told = format!("{count} threads to the inch is a pitch of {} mm", plain(pitch));
        let settled = Settled { value: pitch, unit: "mm", assumption: Some(told) };
        Some((index, field.to_owned(), settled))
    }
}

fn same_kind(unit: &str, field: &str) -> bool {
    Unit::named(unit).is_some_and(|unit| unit.kind == unit_of_field(field).kind)
}

/// The sum before with the new numbers; what contradicts them is left out.
fn merged(before: &Filled, own: &Asked, placed: &[Placed]) -> Filled {
    let mut merged = before.clone();
    let said = |field: &str| placed.iter().find(|(_, known, _)| known == field);
    for (field, value) in &own.filled.0 {
        let number = matches!(value, Value::Number(_));
        let heard = own.placed.iter().any(|(_, known, _)| known == field);
        // Lists, and what follows from words alone.
        if !number || (!heard && !before.has(field)) {
            merged.set(field, value.clone());
        }
    }
    for (_, field, settled) in placed.iter().filter(|(_, field, _)| !field.contains('[')) {
        merged.number(field, settled.value);
    }
    if own.asks && said(&own.solve_for).is_none() {
        merged.remove(&own.solve_for);
    }
    const INSTEAD: &[(&str, &[&str])] = &[
        ("height_change_mm", &["target_height_mm", "turns_count"]),
        ("target_height_mm", &["height_change_mm", "turns_count"]),
        ("turns_count", &["height_change_mm", "target_height_mm"]),
        ("thread_pitch_mm", &["height_change_per_turn_mm"]),
        ("height_change_per_turn_mm", &["thread_pitch_mm"]),
    ];
    let new: Vec<&str> = placed
        .iter()
        .map(|(_, field, _)| field.as_str())
        .filter(|field| !before.has(field))
        .collect();
    for (_, others) in INSTEAD.iter().filter(|(field, _)| new.contains(field)) {
        for other in others.iter().filter(|other| said(other).is_none()) {
            merged.remove(other);
        }
    }
    merged
}
