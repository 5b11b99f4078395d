//! Is the knowledge asked: why something is done, what a word means, how a thing looks, what tools
//! a job takes? "Why is my reel leaving a line?" is a complaint; "why lap after grinding?" is answered
//! from notes and procedures. Deliberately absent: the answers (`domain::passages`).

use super::kind::CommandKind;
use crate::domain::catalogue::Knowledge;
use crate::domain::danger;
use crate::domain::language::hearing::Reading;
use crate::domain::language::text::{Kind, Token};
use crate::domain::passages::form::{self, Asked, Form};
use crate::domain::passages::{Passages, Source, one_go, told};
use crate::domain::said::numbers::Quantity;
use crate::domain::units::plain;

use super::{Command, Interpretation, Reader, guide};

/// What such a question asks of a thing.
#[rustfmt::skip]
const MATTERS: &[&str] = &[
    "matter", "matters", "important", "importance", "necessary", "needed", "worth", "bother",
    "point", "reason", "purpose", "should", "must", "shouldn\u{2019}t",
];
/// Work of the trade, as it follows "why".
#[rustfmt::skip]
const WORK: &[&str] = &[
    "lap", "backlap", "grind", "set", "check", "tip", "block", "isolate", "use", "measure", "turn",
    "lock", "clean", "grease", "replace", "keep", "record", "match", "sharpen", "relief", "wear",
    "chock", "wait", "not", "never", "test", "raise", "lower", "adjust", "tighten", "level",
    "balance", "log", "write", "clamp", "prove", "wash", "dress", "swap", "read", "start", "mow",
    "spin", "paper", "begin", "change", "take", "put",
];
/// Words by which somebody speaks of their own machine.
#[rustfmt::skip]
const OWN: &[&str] = &[
    "my", "our", "it", "its", "this", "that", "these", "those", "still", "keeps", "suddenly", "now",
];
const PEOPLE: &[&str] = &["we", "you", "i", "they", "people", "mechanics", "one", "anybody"];
const BEGINNINGS: &[&[&str]] = &[
    &["what", "is", "the", "point", "of"],
    &["what", "is", "the", "reason", "for"],
    &["what", "is", "the", "use", "of"],
    &["what", "is", "the", "purpose", "of"],
    &["what", "is", "the", "difference", "between"],
];
/// Words before "why" that say nothing.
const LEAD: usize = 3;
/// Words of the asking, which nothing is to be looked up by.
#[rustfmt::skip]
const ASKING: &[&str] =
    &["why", "matter", "matters", "point", "reason", "purpose", "important", "necessary", "bother",
      "should", "must", "worth", "needed", "people", "mechanics", "is", "are", "the", "of", "a",
      "an", "mean", "means", "meaning", "meant", "by", "you", "i", "one", "if", "there", "it", "to",
      "on", "in", "for", "with", "so", "and", "but", "not", "use", "explain", "define", "be",
      "difference", "between"];

/// So much of the question has to stand in that note.
const COVERED: f64 = 0.75;
/// Times of the year, which no note is found by.
#[rustfmt::skip]
const SEASONS: &[&str] = &[
    "winter", "summer", "spring", "autumn", "fall", "over", "through", "january", "february", "march",
    "april", "june", "july", "august", "september", "october", "november", "december", "season",
    "now", "year", "time", "running", "run", "using", "doing", "having",
];
/// A question to the knowledge is not longer.
const QUESTION_WORDS_MAX: usize = 24;
/// From this weight on it is a question to the catalogue.
const CATALOGUE_SURE: u32 = 5;
/// Words that begin so early ask outright.
const EARLY: usize = 3;
/// "Solid or grooved", with nothing else that asks, is not longer.
const EITHER_WORDS_MAX: usize = 9;
/// Words between the things that are compared.
#[rustfmt::skip]
const BETWEEN: &[&str] =
    &["and", "or", "vs", "versus", "from", "than", "with", "to", "against", "compared", "opposed",
      "instead", "rather"];
/// Words after which the first of them is named.
const COMPARING: &[&str] = &["between", "difference", "differences", "distinction"];
/// So much of what is asked stands in the title of a note that answers it.
const WELL_TITLED: f64 = 0.55;
/// And so much where the form of the question is the trade's.
const TITLED_TRADE: f64 = 0.75;
/// The note that tells which grinding is good for what.
const RELIEF_OR_SPIN: &str = "relief_and_spin_both";
/// Stands before the form of the question, in the topic.
pub const TOLD: &str = "told:";

impl Reader<'_> {
    pub(super) fn why(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let general = self.asks_in_general(&words) || self.why_is_known(&words);
        if words.len() > QUESTION_WORDS_MAX {
            let known = || self.of_its_head().or_else(|| self.explained(CommandKind::Search));
            return general.then(known).flatten();
        }
        let reading = self.knowledge.ear.read(self.question.text);
        let (asked, records) = form::heard(self.knowledge, &reading);
        let fits = |one: &&Asked| self.fits(one, records);
        let fitting: Vec<&Asked> = asked.iter().filter(fits).collect();
        if let Some(known) = self.what_it_does() {
            return Some(known);
        }
        if fitting.is_empty() && !general {
            return None;
        }
        let passages = self.knowledge.passages();
        let query_of = |one: &Asked, reading: &Reading| query_of(passages, one, reading);
        let told = |form: Form, query: &str| {
            told::answer(self.knowledge, passages, form, query).is_some()
        };
        for one in &fitting {
            let query = query_of(one, &reading);
            if told(one.form, &query) {
                return Some(self.asked_of_knowledge(one.form, query));
            }
        }
        if general {
            return self.of_its_head().or_else(|| self.explained(CommandKind::Search));
        }
        // Asked outright for what is not there: that is said, and not the nearest thing.
        let outright = fitting.iter().find(|one| {
            matches!(one.form, Form::Looks | Form::Sheet | Form::Quiz) || one.compares()
        })?;
        let plain = self.heard.proof.findings == 0 && self.heard.proof.placed == 0;
        let plain = plain || outright.form == Form::Quiz;
        plain.then(|| self.asked_of_knowledge(outright.form, query_of(outright, &reading)))
    }

    /// "What does attitude of the bedknife do, more aggressive angle, why does it drop the real cut":
    /// asked of a thing by its name, in the first clause, where a note says what it is.
    fn what_it_does(&self) -> Option<Interpretation> {
        let text = self.question.text;
        let parted = text.split_once([',', ';', '?']);
        let (head, _) = parted.filter(|(_, rest)| !rest.trim().is_empty())?;
        let lower = head.to_lowercase();
        let begins = ["what does ", "what do "].iter().any(|start| lower.starts_with(start));
        let own = |word: &str| OWN.contains(&word) || PEOPLE.contains(&word);
        let ours = lower.split_whitespace().any(own);
        let named = self.heard.named.units.iter().any(|mention| mention.known);
        let proof = &self.heard.proof;
        let told = proof.told || proof.dated || !self.spoken.quantities.is_empty();
        if !begins || ours || named || told || danger::is_judged(self.knowledge, text) {
            return None;
        }
        let reading = self.knowledge.ear.read(head);
        let (asked, _) = form::heard(self.knowledge, &reading);
        let passages = self.knowledge.passages();
        let one = asked.iter().find(|one| one.form == Form::Use)?;
        let query = query_of(passages, one, &reading);
        told::answer(self.knowledge, passages, one.form, &query)?;
        Some(self.asked_of_knowledge(one.form, query))
    }

    /// "Why do we relief grind at all if a spin ground one cuts paper": what stands before the "if",
    /// where nothing is known of the whole.
    fn of_its_head(&self) -> Option<Interpretation> {
        const JOINS: &[&str] = &[" if ", " since ", " because ", ", "];
        let text = self.question.text;
        let lower = text.to_lowercase();
        let passages = self.knowledge.passages();
        let aside = |token: &&Token| !ASKING.contains(&token.text.as_str());
        let said = |text: &str| {
            let reading = self.knowledge.ear.read(text);
            let tokens: Vec<Token> = reading.tokens.iter().filter(aside).cloned().collect();
            passages.terms.said(&tokens)
        };
        let known = |said: &String| {
            !said.is_empty() && told::answer(self.knowledge, passages, Form::Why, said).is_some()
        };
        let whole = lower.len() != text.len() || known(&said(text));
        if whole || danger::is_judged(self.knowledge, text) {
            return None;
        }
        let ends = JOINS.iter().flat_map(|join| lower.match_indices(join));
        let mut ends: Vec<usize> = ends.map(|(at, _)| at).collect();
        ends.sort_by(|a, b| b.cmp(a));
        let heads = ends.into_iter().filter_map(|at| text.get(..at));
        let mut heads = heads.filter(|head| head.split_whitespace().count() > LEAD);
        let query = heads.find_map(|head| Some(said(head)).filter(|said| known(said)))?;
        Some(self.asked_of_knowledge(Form::Why, query))
    }

    /// "Why is bench height not what you get on grass": a note says just that, whatever else the
    /// words could be.
    fn why_is_known(&self, words: &[&str]) -> bool {
        let why = words.iter().take(LEAD).any(|word| *word == "why");
        let named = self.heard.named.units.iter().any(|mention| mention.known);
        let deed = self.heard.proof.deed || self.heard.proof.told || self.heard.proof.dated;
        let ours = words.iter().any(|word| OWN.contains(word));
        if !why || named || deed || ours || !self.spoken.quantities.is_empty() {
            return false;
        }
        self.well_known().is_some()
    }

    /// "Drop from 5 to 3.5 in one go: what happens?"
    pub(super) fn in_one_go(&self) -> Option<Interpretation> {
        const ONE_GO: &[&str] =
            &["in one go", "all at once", "in one hit", "in one cut", "in one step", "straight down"];
        const DOWN: &[&str] =
            &["drop", "dropping", "lower", "lowering", "down", "cut", "height", "take", "bring", "going"];
        const STEPS: &[&str] = &["plan", "steps", "schedule", "stages"];
        let text = self.question.text.to_lowercase();
        let all = &self.spoken.words;
        let says = |words: &[&str]| all.iter().any(|one| words.contains(&one.text.as_str()));
        let proof = &self.heard.proof;
        const QUESTIONS: &[&str] =
            &["what", "is", "can", "how", "should", "could", "may", "why", "would"];
        let question = says(QUESTIONS) || text.ends_with('?');
        let work = proof.deed || proof.told || proof.dated;
        let told = !question && (work || proof.findings > 0);
        // The "one" of "in one go" is no height.
        // "At once" may mean now.
        let in_one = ONE_GO.iter().any(|words| text.contains(words));
        let height = |one: &&Quantity| one.unit.is_some() || one.value > 1.0;
        let numbers = self.spoken.quantities.iter().filter(height);
        let mut heights: Vec<f64> = numbers.map(|one| one.value).collect();
        let at_once = text.contains(" at once") && heights.len() == 2;
        let down = (in_one || at_once) && says(DOWN) && !says(STEPS);
        let sum = proof.placed > 2 || proof.asks;
        if !down || told || sum || !matches!(heights.len(), 0 | 2) {
            return None;
        }
        heights.sort_by(|a, b| b.total_cmp(a));
        let query = heights.iter().fold(one_go::ONE_GO.to_owned(), |query, height| {
            format!("{query} {}", plain(*height))
        });
        let known = self.asked_of_knowledge(Form::Wrong, query);
        let understood = "Look up what a drop in height does that is made in one go.".to_owned();
        Some(Interpretation { understood, ..known })
    }

    /// "Is it worth grooming over winter?": no question to the records, and a note says why or what
    /// happens.
    pub(super) fn asked_outright(&self) -> Option<Interpretation> {
        const BEGINNINGS: &[&str] = &[
            "is it worth ", "is there any point ", "any point ", "what's the point ",
            "whats the point ", "do we need to ", "do i need to ", "do we have to ", "do i have to ",
            "what happens if ", "what happens when ", "why bother ", "why do we bother ",
            "is it really worth ", "should we bother ", "should i bother ",
        ];
        // Asked of the trade by its form: what a note says nearly in its title.
        const OF_THE_TRADE: &[&str] = &[
            "why does it ", "why do they ", "why does the ", "why does a ", "why do reels ", "why do ",
            "why is it ", "what's the difference ", "whats the difference ", "what is the difference ",
            "how do i know ", "how do you know ", "how do we know ", "how can you tell ",
            "how can i tell ", "how do i tell ", "how do you tell ", "how do i get ",
            "how do you get ", "how can i get ", "what happens ", "what would happen ", "can i just ",
            "can we just ", "do i have to ", "does it have to ",
        ];
        let text = self.question.text.trim().to_lowercase();
        let proof = &self.heard.proof;
        let trade = OF_THE_TRADE.iter().any(|start| text.starts_with(start));
        let told = !trade && (proof.deed || proof.told || proof.findings > 1);
        let named = self.heard.named.units.iter().any(|mention| mention.known);
        let ours = |part: &str| part.split_whitespace().any(|word| OWN.contains(&word));
        let last = text.rsplit([',', '.', ';']).next().unwrap_or_default().trim();
        let begins = BEGINNINGS.iter().any(|start| text.starts_with(start))
            || (last.starts_with("why ") && last.len() < text.len() && !ours(last));
        if !(begins || trade) || told || named || !self.spoken.quantities.is_empty() {
            return None;
        }
        let passages = self.knowledge.passages();
        let aside = |token: &&Token| {
            !ASKING.contains(&token.text.as_str()) && !SEASONS.contains(&token.text.as_str())
        };
        let tokens: Vec<Token> = self.spoken.tokens.iter().filter(aside).cloned().collect();
        let terms = passages.terms.of_tokens(&tokens);
        let found = passages.find(&terms, |source| matches!(source, Source::Note(_)));
        let says = |at: usize| {
            let title = self.knowledge.notes[at].title.as_str();
            title.starts_with("Why") || title.starts_with("What happens")
        };
        let fits = found.iter().any(|one| match one.source {
            Source::Note(at) => {
                let near = one.titled >= WELL_TITLED && one.covered > COVERED;
                near && (says(at) || (trade && terms.len() >= 2 && one.titled >= TITLED_TRADE))
            }
            _ => false,
        });
        // What happens is told by what goes wrong.
        let differs = text.contains("the difference ");
        let form = match text.starts_with("what happens") {
            true => Form::Wrong,
            false if differs => Form::Differ,
            false => Form::Why,
        };
        let query = match form {
            Form::Differ => query_for(self.knowledge, form, self.question.text),
            _ => passages.terms.said(&tokens),
        };
        let form = match told::answer(self.knowledge, passages, form, &query) {
            Some(_) => form,
            None => Form::Why,
        };
        fits.then(|| self.asked_of_knowledge(form, query))
    }

    /// "Can I just lap it or has it to be ground": what tells the one work from the other.
    pub(super) fn either_work(&self) -> Option<Interpretation> {
        const LAPPED: &[&str] = &["lap", "lapped", "lapping", "backlap", "backlapping", "backlapped"];
        const GROUND: &[&str] = &["grind", "ground", "grinding", "regrind", "regrinding"];
        let words: Vec<&str> = self.spoken.texts();
        let says = |list: &[&str]| words.iter().any(|word| list.contains(word));
        // "Relief grind or just spin": what each is good for.
        let either = says(&["or", "vs", "versus", "difference", "different", "differs", "differ"]);
        let relief = either && says(&["relief"]) && says(&["spin", "spun", "spinning"]);
        let first = matches!(self.first_word(), "why" | "what" | "whats" | "how" | "hows");
        let told = (self.heard.proof.deed && !first) || self.heard.proof.dated;
        if relief && !told && self.heard.proof.named == 0 && words.len() <= QUESTION_WORDS_MAX {
            return self.passage_named(RELIEF_OR_SPIN);
        }
        let asks = super::never_told::asks(self.spoken) && words.contains(&"or");
        let plain = self.spoken.quantities.is_empty() && !self.heard.proof.dated;
        let unit = self.heard.named.units.iter().any(|mention| mention.known);
        let short = words.len() <= QUESTION_WORDS_MAX;
        (asks && plain && !unit && short && says(LAPPED) && says(GROUND))
            .then(|| self.asked_of_knowledge(Form::Differ, format!("lapping{}grinding", told::OR)))
    }

    /// A note whose title holds most of what the words ask about, by what it is found with.
    fn well_known(&self) -> Option<String> {
        let passages = self.knowledge.passages();
        let asked = |token: &&Token| !ASKING.contains(&token.text.as_str());
        let tokens: Vec<Token> = self.spoken.tokens.iter().filter(asked).cloned().collect();
        let terms = passages.terms.of_tokens(&tokens);
        let found = passages.find(&terms, |source| matches!(source, Source::Note(_)));
        let best = found.first()?;
        let well = best.titled >= WELL_TITLED && terms.len() >= 2;
        well.then(|| passages.terms.said(&tokens))
    }

    /// "When is a reel worn out": asked of reels in general, and a note says just that.
    pub(super) fn known_in_general(&self) -> Option<Interpretation> {
        const ASKS: &[&str] = &["when", "how", "why", "what", "which", "is", "are", "does", "do"];
        let words: Vec<&str> = self.spoken.texts();
        let asks = words.first().is_some_and(|first| ASKS.contains(first));
        let own = words.iter().any(|word| OWN.contains(word)) || self.heard.proof.named > 0;
        let proof = &self.heard.proof;
        let told = proof.deed || proof.told || proof.dated || !self.spoken.quantities.is_empty();
        let case = self.question.case.is_some() || self.heard.danger.stop.is_some();
        if !asks || own || told || case || words.len() > EITHER_WORDS_MAX + EARLY {
            return None;
        }
        self.well_known().map(|query| self.asked_of_knowledge(Form::Why, query))
    }

    /// A sheet, what to wear, or questions for a learner are asked for outright.
    pub(super) fn asks_for_a_sheet(&self) -> bool {
        let reading = self.knowledge.ear.read(self.question.text);
        let (asked, _) = form::heard(self.knowledge, &reading);
        asked.iter().any(|one| matches!(one.form, Form::Sheet | Form::Quiz | Form::Wear))
    }

    /// What is hardly anything else: the job or the note that the words ask about.
    pub(super) fn at_least_known(&self) -> Option<Interpretation> {
        const ASKS: &[&str] = &["what", "how", "why", "which", "explain", "tell", "show", "when"];
        let words = &self.spoken.words;
        let asks = words.iter().any(|word| ASKS.contains(&word.text.as_str()));
        let plain = self.heard.proof.named == 0 && self.spoken.quantities.is_empty();
        if !asks || !plain || words.len() > QUESTION_WORDS_MAX {
            return None;
        }
        let jobs = self.jobs_alike(&self.spoken.tokens);
        if jobs.len() > 1 {
            let told = "More than one job is named so.".to_owned();
            let answer = self.answer(CommandKind::Procedure, told, Command::Procedures);
            return Some(Interpretation { alternatives: jobs, ..answer });
        }
        let passages = self.knowledge.passages();
        let query = self.well_known()?;
        let known = told::answer(self.knowledge, passages, Form::Why, &query).is_some();
        known.then(|| self.asked_of_knowledge(Form::Why, query))
    }

    pub(super) fn asked_of_knowledge(&self, form: Form, query: String) -> Interpretation {
        // What is worn is asked of all work where none is named.
        let query = if query.is_empty() { "any work".to_owned() } else { query };
        let told = match form {
            Form::Sheet | Form::Quiz => format!("Look for the training sheet: \"{query}\"."),
            _ => format!("Look up what is known about \"{query}\"."),
        };
        let defined = form == Form::Define && self.heard.proof.catalogue >= CATALOGUE_SURE;
        let kind = if defined { CommandKind::Catalogue } else { CommandKind::Search };
        Interpretation {
            topic: format!("{TOLD}{}", form.id()),
            ..self.answer(kind, told, Command::Why(query))
        }
    }

    /// Whether the words can be a question of this form, and not a complaint, a sum or a question
    /// to the records.
    fn fits(&self, asked: &Asked, records: bool) -> bool {
        let proof = &self.heard.proof;
        let form = asked.form;
        // Of a value `judged` tells.
        if proof.deed || proof.told || proof.dated || form == Form::Judge {
            return false;
        }
        let of_records = records
            && matches!(
                form,
                Form::Long | Form::Good | Form::Order | Form::Tools | Form::Define | Form::Use
            );
        let early = asked.first() < EARLY;
        let signs = if early { 2 } else { 0 };
        let training = matches!(form, Form::Sheet | Form::Quiz);
        let numbers = !self.spoken.quantities.is_empty();
        let numbers = match form {
            Form::Quiz | Form::Sheet => false,
            Form::Good => proof.placed > 0,
            // "Like he is 17", "new to it for 2 weeks": no number of a sum.
            Form::Define | Form::Method | Form::Wear | Form::Often => proof.placed > 0,
            _ => numbers,
        };
        // A unit of the shop is asked about, and not the trade; "a deck" is no name.
        let named = self.heard.named.units.iter().any(|mention| mention.known);
        let named = named && !form.of_a_job() && form != Form::Differ;
        let either = form == Form::Differ && !asked.compares();
        let either = either && self.spoken.words.len() > EITHER_WORDS_MAX;
        let said = proof.findings > signs && !training;
        !(of_records || said || numbers || named || either)
    }

    /// Notes and procedures about what the words ask after.
    pub(super) fn explained(&self, kind: CommandKind) -> Option<Interpretation> {
        let tokens: Vec<_> = self
            .spoken
            .tokens
            .iter()
            .filter(|token| !ASKING.contains(&token.text.as_str()))
            .cloned()
            .collect();
        let said = self.knowledge.passages().terms.said(&tokens);
        let query = match said.is_empty() {
            true => guide::query(&tokens, &self.knowledge.ear.small_words, &[]),
            false => said,
        };
        if query.is_empty() {
            return None;
        }
        let told = format!("Look up what is known about \"{query}\".");
        Some(Interpretation {
            topic: format!("{TOLD}{}", Form::Why.id()),
            ..self.answer(kind, told, Command::Why(query))
        })
    }

    fn asks_in_general(&self, words: &[&str]) -> bool {
        let proof = &self.heard.proof;
        if proof.deed && proof.told {
            return false;
        }
        let begins = BEGINNINGS.iter().any(|start| words.starts_with(start));
        let at = words.iter().take(LEAD).position(|word| *word == "why").map(|at| at + 1);
        // "How come we ..." asks the same.
        let come = words.windows(2).take(LEAD).position(|pair| pair == ["how", "come"]);
        let Some(at) = at.or(come.map(|at| at + 2)).or(begins.then_some(0)) else { return false };
        let rest = &words[at..];
        let next = |at: usize| rest.get(at).copied().unwrap_or_default();
        let own = rest.iter().any(|word| OWN.contains(word)) || proof.named > 0;
        let matters = begins || rest.iter().any(|word| MATTERS.contains(word));
        let people = matches!(next(0), "do" | "does" | "did") && PEOPLE.contains(&next(1));
        // "Why does a reel go to a cone?" is asked of reels in general.
        let any = matches!(next(0), "do" | "does") && matches!(next(1), "a" | "an" | "reels");
        if any && !own && proof.findings <= 1 {
            return true;
        }
        let come = come.is_some() && PEOPLE.contains(&next(0)) && WORK.contains(&next(1));
        let work = come || WORK.contains(&next(0)) || (people && WORK.contains(&next(2)));
        work || (matters && proof.findings <= 1) || (proof.findings == 0 && !own)
    }
}

/// What words ask about in a question of this form; empty when they are no such question.
pub fn query_for(knowledge: &Knowledge, form: Form, words: &str) -> String {
    let reading = knowledge.ear.read(words);
    let passages = knowledge.passages();
    let (asked, _) = form::heard(knowledge, &reading);
    let own = asked.iter().find(|one| one.form == form);
    own.map_or_else(
        || passages.terms.said(&reading.tokens),
        |one| query_of(passages, one, &reading),
    )
}

/// What the question is about: the words that are not of the asking; things compared, with "or".
fn query_of(passages: &Passages, asked: &Asked, reading: &Reading) -> String {
    if asked.form != Form::Differ {
        let rest = asked.rest(reading);
        let said = passages.terms.said(&rest);
        // "Three questions on lapping".
        let number = |token: &&Token| token.kind == Kind::Number || told::is_number(&token.text);
        let number = reading.tokens.iter().find(number).filter(|_| asked.form == Form::Quiz);
        return match number {
            Some(number) => format!("{} {said}", number.text),
            None => said,
        };
    }
    let words = &reading.tokens;
    let compares = |token: &Token| COMPARING.contains(&token.text.as_str());
    let from = words.iter().rposition(compares).map_or(0, |at| at + 1);
    let between = |token: &Token| BETWEEN.contains(&token.text.as_str()) || token.text == ",";
    let sides = words[from..].split(between).map(|side| passages.terms.said(side));
    let sides: Vec<String> = sides.filter(|side| !side.is_empty()).collect();
    sides.join(told::OR)
}
