//! Is something asked of the trade in general: what should a setting be, how deep, how light, which
//! is too slow, what is seen when it is wrong? A note that says just that answers it, and it never
//! becomes a complaint, a record or a look at the records.
//! Deliberately absent: "why", whose reasons `why` finds first, and what asks of our own work.

use super::{Interpretation, Reader};
use crate::domain::language::text::Token;
use crate::domain::passages::{Found, Source};
use crate::domain::passages::form::{self, Form};
use crate::domain::passages::told;
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::any_said_at;

/// Longer words tell something of their own.
const WORDS_MAX: usize = 26;
/// Words with which a rule is asked for.
const RULE: &[&str] = &[
    "should", "too", "minimum", "min", "maximum", "max", "ideal", "recommended", "tolerance", "allowed",
    "supposed", "ought", "least", "normal", "right", "best", "typical", "must", "if", "when",
    "better",
];
/// Behind "how", of a setting.
const HOW: &[&str] =
    &["much", "deep", "light", "tight", "far", "high", "fast", "hard", "close", "low", "slow", "steep"];
/// Words of our own records and machines.
const OURS: &[&str] = &[
    "we", "our", "ours", "us", "last", "did", "was", "were", "since", "ago", "due", "overdue", "hours",
    "cost", "spent", "records", "recorded", "has", "had", "left", "my", "mine", "came", "taken", "off",
    "first", "next", "order", "grinds", "month", "year", "today", "yesterday",
];
/// Words of the asking, by which no note is found.
#[rustfmt::skip]
const ASKING: &[&str] = &[
    "what", "which", "whats", "how", "why", "much", "should", "ought", "must", "is", "are", "be", "the",
    "a", "an", "of", "to", "on", "in", "for", "at", "it", "i", "you", "one", "do", "does", "did", "and",
    "or", "if", "run", "set", "go", "would", "could", "can", "there", "that", "with", "from", "by", "my",
    "difference", "teach", "class", "students", "student", "happen", "happens", "ideal", "best", "right",
    "recommended", "supposed", "normal", "typical", "shall", "march", "april", "may", "june", "july",
    "august", "september", "october", "november", "december", "january", "february", "reason", "have",
    "give", "given", "needed", "please", "tell", "me", "u", "your", "they", "them", "their", "so", "then",
    "better", "per", "each", "run", "want", "get", "mean", "allowed", "permitted", "acceptable", "two",
];
/// Settings that are named alone, in so few words.
const SETTINGS: &[&str] = &["depth", "height", "rake", "clip", "speed", "pressure", "tolerance", "contact"];
const BARE_MAX: usize = 8;
/// What is one and not the other.
const OPPOSITES: &[(&[&str], &[&str])] = &[
    (&["long", "longer"], &["short", "shorter"]),
    (&["deep", "deeper"], &["shallow", "shallower"]),
    (&["tight", "hard", "heavy"], &["loose", "wide", "light", "open"]),
    (&["fast", "faster", "quick"], &["slow", "slower"]),
    (&["wet"], &["dry"]),
];
/// So much of what is asked has to stand in the title of the note.
const TITLED_MIN: f64 = 0.62;
const COVERED_MIN: f64 = 0.75;
/// And so much of it where the note says by its title how much.
const TITLED_TRADE: f64 = 0.8;

/// The note on rust, whatever part and weather is named with it.
const RUST: &str = "rust_and_salt";

impl Reader<'_> {
    /// "Bedknife's rusted overnight, salt again, does it matter", "what stops salt eating the reels".
    pub(super) fn asked_of_rust(&self) -> Option<Interpretation> {
        const RUSTS: &[&str] =
            &["rust", "rusts", "rusted", "rusting", "rusty", "salt", "salty", "corrosion", "corroded", "corrodes"];
        const ASKS: &[&str] = &[
            "matter", "matters", "stop", "stops", "stopping", "prevent", "avoid", "keep", "keeps", "protect",
            "harm", "harmful", "bad", "best", "ok", "alright", "clean", "get", "do",
        ];
        let question = self.says(&["what", "whats", "how", "does", "do", "is", "can", "should", "which"])
            || self.question.text.trim_end().ends_with('?');
        let proof = &self.heard.proof;
        // "Rusty pivot, how do I free it" is a job; how often it was is of the records.
        let other = self.says(&["pivot", "pin", "bolt", "seized", "stuck", "last", "often", "many", "when", "who"]);
        let first = matches!(self.first_word(), "what" | "whats" | "what's" | "how" | "which");
        let work = (proof.deed || proof.told) && !first;
        const PARTS: &[&str] = &[
            "reel", "reels", "cylinder", "cylinders", "bedknife", "bedknives", "knife", "blade", "blades", "machine",
            "machines", "mower", "mowers", "unit", "units", "edge", "edges", "roller", "rollers", "kit", "verticut",
        ];
        // "Rust disease off the greens", "rusted screws".
        let other = other || !self.says(PARTS) || self.says(&[
            "disease", "fungus", "fungicide", "spray", "soil", "ice", "screw", "screws", "path", "leaf", "turf",
        ]);
        let free = self.spoken.quantities.is_empty() && !work && !other;
        let short = self.spoken.words.len() <= WORDS_MAX;
        // As it was written: spelling knows no salt.
        let text = self.question.text.to_lowercase();
        let rusts = text.split(|ch: char| !ch.is_alphabetic()).any(|word| RUSTS.contains(&word));
        let asks = rusts && self.says(ASKS) && question && short;
        (asks && free).then(|| self.passage_named(RUST)).flatten()
    }

    /// "What do you call the bit the bedknife bolts to": the word whose note says most of that.
    fn asked_for_its_name(&self) -> Option<Interpretation> {
        const CALLED: &[&str] = &["call", "called", "name", "named"];
        const THING: &[&str] = &["bit", "part", "thing", "piece", "bar", "angle", "gap", "face", "place", "end", "tool"];
        /// How a thing is held, and the one word of it.
        const HELD: &[&str] = &["bolts", "bolted", "screws", "fixed", "mounts", "mounted", "attached", "sits", "fastened", "attaches"];
        let asks = matches!(self.first_word(), "what" | "whats" | "what's" | "is") && self.says(CALLED);
        if !asks || !self.says(THING) || !self.spoken.quantities.is_empty() {
            return None;
        }
        let passages = self.knowledge.passages();
        let small = |token: &&Token| {
            let text = token.text.as_str();
            !CALLED.contains(&text) && !THING.contains(&text) && !ASKING.contains(&text)
        };
        let mut kept: Vec<Token> = self.spoken.tokens.iter().filter(small).cloned().collect();
        for token in kept.iter_mut().filter(|token| HELD.contains(&token.text.as_str())) {
            super::dialect::say(token, "screwed");
        }
        let terms = passages.terms.of_tokens(&kept);
        let word = |source| match source {
            Source::Note(at) => self.knowledge.notes[at].id.starts_with("word_"),
            _ => false,
        };
        // A word is not explained by itself.
        let found = passages.find(&terms, word);
        let tells = |one: &Found| one.covered >= COVERED_MIN && one.to_the_point < TITLED_MIN;
        let best = found.iter().find(|one| tells(one))?;
        let Source::Note(at) = best.source else { return None };
        (terms.len() >= 2).then(|| self.passage_named(&self.knowledge.notes[at].id)).flatten()
    }

    /// "How much can I take off at once": of grass, where nothing that is ground is named.
    fn asked_of_a_third(&self) -> Option<Interpretation> {
        const ONCE: &[&str] = &["at once", "in one go", "in one cut", "at a time", "in one mow", "at one cut", "in a cut", "one go"];
        const GROUND: &[&str] = &[
            "reel", "reels", "cylinder", "bedknife", "knife", "blade", "blades", "grind", "grinding", "pass", "wheel",
            "nick", "steel", "metal", "diameter", "relief", "paste", "thatch", "groomer", "verticut", "hours", "brush", "brushes",
            "roller", "rollers", "deck", "jack", "machine", "mower", "verticutter", "groomers", "tine", "tines", "bolts", "belt",
            "tyre", "tyres", "tire", "tires", "pressure", "gap", "unit", "units", "adjuster", "screw", "nut", "plate", "limb", "tree",
        ];
        let text = self.question.text.to_lowercase();
        let how = any_said_at(&self.spoken.tokens, self.at_first(), &["how much", "how far", "how low"]).is_some();
        let takes = text.contains(" off ") || self.says(&["lower", "drop", "down", "remove", "scalp"]);
        let number = |one: &Quantity| one.unit.is_some() || one.value > 1.0;
        let numbers = self.spoken.quantities.iter().any(number);
        let asks = self.says(&["can", "could", "should", "may", "do"]);
        let once = ONCE.iter().any(|said| text.contains(said));
        (how && takes && asks && once && !numbers && !self.says(GROUND))
            .then(|| self.passage_named("one_third_rule_in_the_shop")).flatten()
    }

    pub(super) fn asked_of_the_trade(&self) -> Option<Interpretation> {
        let own = self.asked_for_its_name().or_else(|| self.asked_of_a_third());
        if own.is_some() {
            return own;
        }
        let proof = &self.heard.proof;
        let first = self.first_word();
        let asks_why = matches!(first, "does" | "do") && self.says(&["why", "need", "needs"]);
        // "Verticut depth for a football pitch": a setting by its name alone.
        let bare = self.says(&["for"]) && self.says(SETTINGS) && self.spoken.words.len() <= BARE_MAX;
        let begins = bare || asks_why || matches!(
            first,
            "how" | "what" | "whats" | "which" | "if" | "minimum" | "maximum" | "difference" | "is" | "why"
                | "who" | "whos"
        );
        let text: Vec<&str> = self.spoken.tokens.iter().map(|token| token.text.as_str()).collect();
        let how = text.windows(2).any(|pair| pair[0] == "how" && HOW.contains(&pair[1]));
        let why = first == "why" && proof.findings > 0;
        let rule = self.says(RULE) || how || why || asks_why || bare || first == "difference";
        let told = proof.told || proof.dated || (proof.deed && first != "if" && first != "why");
        // A number is one of a sum, but where only "if" is said with it.
        let numbers = !self.spoken.quantities.is_empty() && (!self.says(&["if"]) || proof.placed > 2);
        let stops = self.heard.danger.stop.is_some();
        let long = self.spoken.words.len() > WORDS_MAX;
        if !(begins && rule) || told || numbers || stops || long || self.says(OURS) {
            return None;
        }
        // What is held against another, or asked for in another form, has its own answers.
        let reading = self.knowledge.ear.read(self.question.text);
        let (forms, _) = form::heard(self.knowledge, &reading);
        let own = |form: Form| {
            !matches!(form, Form::Why | Form::Good | Form::Judge | Form::Often | Form::Use)
        };
        let compares = self.says(&["or"]) || forms.iter().any(|one| own(one.form));
        // "The difference between front and back, how much rake": the last clause asks.
        let clauses = self.spoken.tokens.last().is_some_and(|token| token.segment > 0);
        let asks_last = first == "difference" && clauses;
        if compares && !asks_last && first != "if" && !why {
            // "What is better for a pitch, rotary or cylinder": a note that weighs both.
            let weighed = self.says(&["better", "best"]).then(|| self.note_titled(&self.spoken.tokens));
            return weighed.flatten().map(|query| self.asked_of_knowledge(Form::Why, query));
        }
        // Of the case "is it too tight" asks after the machine before us.
        if self.question.case.is_some() && first != "how" && first != "what" {
            return None;
        }
        if let Some(measure) = how.then(|| self.measure_titled()).flatten() {
            return Some(measure);
        }
        let whole = self.note_titled(&self.spoken.tokens);
        let query = whole.or_else(|| {
            // "The difference between front and back, how much rake": the last clause asks.
            let last = self.spoken.tokens.last()?.segment;
            let tokens = &self.spoken.tokens;
            let clause: Vec<Token> =
                tokens.iter().filter(|token| token.segment == last).cloned().collect();
            (clause.len() < tokens.len()).then(|| self.note_titled(&clause)).flatten()
        })?;
        Some(self.asked_of_knowledge(Form::Why, query))
    }

    /// "How tight should the reel be to the bedknife": the note that says how tight, before one that
    /// says why not tighter.
    fn measure_titled(&self) -> Option<Interpretation> {
        let passages = self.knowledge.passages();
        let asked = |token: &&Token| !ASKING.contains(&token.text.as_str());
        let kept: Vec<Token> = self.spoken.tokens.iter().filter(asked).cloned().collect();
        let terms = passages.terms.of_tokens(&kept);
        let measures = |source| match source {
            Source::Note(at) => {
                let title = &self.knowledge.notes[at].title;
                told::GOOD_TITLES.iter().any(|start| title.starts_with(start))
            }
            _ => false,
        };
        let any = passages.find(&terms, |source| matches!(source, Source::Note(_)));
        // A note that says how much answers by itself what is asked of it.
        if any.first().is_none_or(|first| measures(first.source)) {
            return None;
        }
        let found = passages.find(&terms, measures);
        let fits = |best: &&Found| best.titled >= TITLED_TRADE && best.covered >= COVERED_MIN;
        let best = found.first().filter(fits)?;
        let Source::Note(at) = best.source else { return None };
        let query = passages.terms.said(&kept);
        let named = self.knowledge.notes[at].title.as_str();
        let told = told::answer(self.knowledge, passages, Form::Good, &query)?;
        let of_it = told.lines.iter().any(|line| line.contains(named));
        (of_it && terms.len() >= 3).then(|| self.asked_of_knowledge(Form::Good, query))
    }

    /// "Too long" is not answered by what is far too short.
    fn is_opposite(&self, title: &str) -> bool {
        let title = title.to_lowercase();
        let holds = |words: &[&str]| {
            title.split(|ch: char| !ch.is_alphabetic()).any(|word| words.contains(&word))
        };
        OPPOSITES.iter().any(|(one, other)| {
            let crossed = |said: &[&str], told: &[&str]| {
                self.says(said) && !self.says(told) && holds(told) && !holds(said)
            };
            crossed(one, other) || crossed(other, one)
        })
    }

    /// The words by which a note is found whose title says nearly all that is asked.
    fn note_titled(&self, tokens: &[Token]) -> Option<String> {
        self.note_titled_by(tokens, 2)
    }

    /// The same by so many words of it at least.
    pub(super) fn note_titled_by(&self, tokens: &[Token], words_min: usize) -> Option<String> {
        let passages = self.knowledge.passages();
        let asked = |token: &&Token| !ASKING.contains(&token.text.as_str());
        let mut kept: Vec<Token> = tokens.iter().filter(asked).cloned().collect();
        // A number with its unit says no title.
        let number = |token: &Token| {
            self.spoken.quantities.iter().any(|one| {
                let said = &self.spoken.tokens[one.first..=one.last];
                !one.in_words && said.iter().any(|part| part.start == token.start)
            })
        };
        kept.retain(|token| !number(token));
        let mut terms = passages.terms.of_tokens(&kept);
        let mut query = passages.terms.said(&kept);
        if self.points(&["they", "it", "them"])
            && let Some(kind) = self.question.equipment
        {
            let title = kind.title().to_lowercase();
            terms.extend(passages.terms.of(&title));
            query = format!("{query} {title}");
        }
        let found = passages.find(&terms, |source| matches!(source, Source::Note(_)));
        let best = found.first()?;
        if let Source::Note(at) = best.source
            && self.is_opposite(&self.knowledge.notes[at].title)
        {
            return None;
        }
        let fits = best.titled >= TITLED_MIN && best.covered >= COVERED_MIN;
        (fits && terms.len() >= words_min).then_some(query)
    }
}
