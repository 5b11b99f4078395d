//! What do short questions of the trade come to in full: "has the triplex hit anything this year" asks
//! for nicks, "how many more grinds in it" for the grinds left, "8 blades, 1800 rpm" is a clip, "how
//! long do I do it for" is of the job that was told last?
//! Deliberately absent: questions that are understood as they stand.

use super::acts::plain;
use super::Conversation;

/// Longer words tell something of their own.
const WORDS_MAX: usize = 18;
/// What points at the job before is not longer.
const SHORT_MAX: usize = 9;
/// What a mower may hit.
const HITS: &[&str] = &["anything", "something", "stone", "stones", "metal", "rock", "rocks", "owt"];
const ARTICLES: &[&str] = &["a", "any", "some", "the", "an"];
/// Words beside the numbers of a clip.
const OF_CLIP: &[&str] = &[
    "blade", "blades", "bladed", "rpm", "revs", "mph", "kph", "kmh", "km/h", "m/s", "reel", "at", "and", "with",
    "the", "a", "say", "its", "it", "is", "we", "go", "for", "so", "then", "ok", "speed", "an", "turning",
    "spinning", "got", "have", "unit", "on", "metres", "meters", "second", "per",
];

impl<C: Clone> Conversation<C> {
    /// The question in full.
    pub(super) fn in_full(&self, words: &str) -> Option<String> {
        let said = plain(words);
        let said = said.split_whitespace().map(|word| word.trim_matches([',', '?', '.', ';', '!']));
        let said: Vec<&str> = said.filter(|word| !word.is_empty()).collect();
        if said.len() > WORDS_MAX {
            return None;
        }
        let whole = hits(&said).or_else(|| more_grinds(&said)).or_else(|| of_the_trade(&said));
        let whole = whole.or_else(|| off_a_grind(&said)).or_else(|| self.end_of_lapping(&said));
        whole.or_else(|| self.numbers_of_a_clip(&said)).or_else(|| self.sum_by_itself(&said))
    }

    /// "How long do I do it for", "how do I know it's done", where lapping was told just now.
    fn end_of_lapping(&self, said: &[&str]) -> Option<String> {
        let lap = |word: &str| {
            ["lap", "laps", "lapping", "backlap", "backlapping", "lapped"].contains(&word)
        };
        let told = [&self.earlier.words, &self.words_before];
        let before = told.into_iter().any(|words| plain(words).split_whitespace().any(lap));
        let free = self.walking.is_none() && self.proposal.is_none() && self.context.case.is_none();
        let text = said.join(" ");
        let ends = ["how long do", "how long should", "how long for", "how do i know", "how will i know",
            "when do i stop", "when is it done", "when do you stop", "how can i tell"];
        let asks = ends.iter().any(|start| text.trim_start_matches("and ").starts_with(start));
        let points = said.iter().any(|word| matches!(*word, "it" | "its" | "that" | "for" | "stop" | "done"));
        let own = said.iter().any(|word| matches!(*word, "last" | "lasts" | "take" | "took" | "hours" | "we"));
        let before = before || said.iter().any(|word| lap(word));
        (free && before && asks && points && !own && said.len() <= SHORT_MAX)
            .then(|| "when do i stop lapping".to_owned())
    }

    /// "And for the walker at 3.8 mph, 11 blades": the numbers of the sum before change, and its words
    /// are not said once more.
    fn sum_by_itself(&self, said: &[&str]) -> Option<String> {
        let figure = |word: &&&str| word.starts_with(|ch: char| ch.is_ascii_digit());
        let figures = said.iter().filter(figure).count();
        let of_sum = said.iter().filter(|word| {
            matches!(**word, "mph" | "kph" | "kmh" | "km/h" | "m/s" | "rpm" | "blade" | "blades" | "bladed")
        });
        (self.context.summed && figures >= 2 && of_sum.count() >= 2).then(|| said.join(" "))
    }

    /// "8 blades, 1800 rpm", of no machine and with nothing done.
    fn numbers_of_a_clip(&self, said: &[&str]) -> Option<String> {
        let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
        let figure = |word: &&str| word.starts_with(|ch: char| ch.is_ascii_digit());
        let figures = said.iter().filter(|word| figure(word)).count();
        let only = said.iter().all(|word| figure(&word) || OF_CLIP.contains(word));
        let blades = has(&["blade", "blades", "bladed"]);
        let speed = has(&["rpm", "revs", "mph", "kph", "kmh", "km/h"]);
        let context = &self.context;
        let idle = self.walking.is_none() && self.proposal.is_none();
        let free = context.previous.is_none() && idle;
        (free && only && blades && speed && figures >= 2)
            .then(|| format!("what clip do i get with {}", said.join(" ")))
    }
}

/// "Has the triplex hit anything this year": nicks are what it leaves.
fn hits(said: &[&str]) -> Option<String> {
    let asks = matches!(said.first(), Some(&"has" | &"have" | &"did"));
    let at = said.iter().position(|word| *word == "hit" || *word == "caught" || *word == "struck")?;
    let mut behind = said[at + 1..].iter().copied().skip_while(|word| ARTICLES.contains(word));
    let hit = behind.next().is_some_and(|word| HITS.contains(&word));
    let rest: Vec<&str> = behind.collect();
    let before = said.get(1..at).unwrap_or_default();
    let person = before.iter().any(|word| matches!(*word, "he" | "she" | "you" | "i" | "him" | "anybody" | "anyone"));
    let of = match before {
        [] => return None,
        ["we" | "they" | "it", ..] => String::new(),
        name => format!(" on {}", name.join(" ")),
    };
    let now = rest.iter().any(|word| matches!(*word, "just" | "now" | "and" | "today" | "shaking" | "bang"));
    let whole = format!("how many times did we have nicks{of} {}", rest.join(" "));
    (asks && hit && !person && !now).then(|| whole.trim_end().to_owned())
}

/// "How much comes off a grind as a rule": on average, by the records.
fn off_a_grind(said: &[&str]) -> Option<String> {
    const RULE: &[&str] = &["usually", "normally", "generally", "typically", "mostly"];
    let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
    let much = said.windows(2).any(|pair| pair == ["how", "much"]);
    let grind = has(&["grind", "grinds", "regrind", "grinding"]) && has(&["off"]);
    let once = has(&["did", "last", "he", "i", "average", "should", "can", "left", "was", "relief"]);
    let figures = said.iter().any(|word| word.contains(|ch: char| ch.is_ascii_digit()));
    let rule = said.windows(3).position(|three| three == ["as", "a", "rule"]);
    let general = rule.is_some() || has(RULE) || has(&["does", "do", "comes", "come", "take", "takes"]);
    let left = said.iter().enumerate().filter(|(at, word)| {
        let of_rule = rule.is_some_and(|first| (first..first + 3).contains(at));
        !of_rule && !RULE.contains(word)
    });
    let left: Vec<&str> = left.map(|(_, word)| *word).collect();
    (much && grind && general && !once && !figures).then(|| format!("{} on average", left.join(" ")))
}

/// Questions of the trade in the words of the notes that answer them.
fn of_the_trade(said: &[&str]) -> Option<String> {
    let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
    let text = said.join(" ");
    let what_for = matches!(said.first(), Some(&"what" | &"whats" | &"what's")) && has(&["for"]);
    let why = said.iter().take(3).any(|word| *word == "why");
    let point = text.contains("the point of");
    let ours = has(&["our", "my", "last", "did", "when", "who", "long", "much", "due"]);
    let relief = has(&["relief"]) && has(&["grind", "grinding", "ground", "grinds", "relieve"]);
    let bedknife = has(&["bedknife", "knife", "bedknives"]);
    let or_not = text.contains(" if ") || text.contains("without") || has(&["sometimes", "lap", "spin", "just"]);
    if relief && !or_not && (what_for || why || point) && !bedknife && !ours {
        return Some("what is relief on reel blades for".to_owned());
    }
    let contact = text.contains("contact or no contact") || text.contains("contact or none")
        || text.contains("contact or not") || text.contains("no contact or light");
    if contact && !ours {
        return Some("what is the difference between light contact and no contact".to_owned());
    }
    let faced = has(&["face", "facing", "faced", "skim", "skimmed"]);
    let reason = why || text.contains("need to") || text.contains("have to") || point;
    let other = ours || has(&["glasses", "shield", "reel", "wheel"]);
    if faced && bedknife && reason && !other {
        return Some("why grind a new bedknife on its bedbar".to_owned());
    }
    None
}

/// "So how many more grinds in it then": the grinds left.
fn more_grinds(said: &[&str]) -> Option<String> {
    const GRINDS: &[&str] = &["grind", "grinds", "regrinds", "grindings"];
    let at = said.windows(3).position(|three| {
        three[0] == "how" && three[1] == "many" && (three[2] == "more" || GRINDS.contains(&three[2]))
    })?;
    let more = said[at..].contains(&"more");
    let grinds = (at..said.len()).find(|at| GRINDS.contains(&said[*at]))?;
    let place = (grinds..said.len()).find(|at| matches!(said[*at], "in" | "on" | "for" | "from"));
    let than = said.contains(&"than") || said.iter().any(|word| word.contains('.'));
    if !more || than {
        return None;
    }
    let ends = |word: &&&str| !matches!(**word, "then" | "now" | "left" | "please");
    let of: Vec<&str> = match place {
        Some(place) => said[place + 1..].iter().take_while(|word| !matches!(**word, "before" | "till" | "until"))
            .filter(ends).copied().collect(),
        // "Before fairway 2 is scrap".
        None => {
            let ends = |word: &&str| matches!(*word, "before" | "till" | "until");
            let named = said[grinds..].iter().skip_while(|word| !ends(word)).skip(1);
            let scrap = |word: &&&str| !matches!(**word, "is" | "are" | "goes" | "its" | "it's");
            named.take_while(scrap).copied().collect()
        }
    };
    let bare = of.iter().all(|word| matches!(*word, "it" | "that" | "them" | "this"));
    Some(match bare {
        true => "how many grinds has it left".to_owned(),
        false => format!("how many grinds left on {}", of.join(" ")),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn full(words: &str) -> Option<String> {
        Conversation::<u8>::default().in_full(words)
    }

    #[test]
    fn short_questions_come_to_their_whole() {
        for (words, wanted) in [
            ("has the triplex hit anything this year", Some("how many times did we have nicks on the triplex this year")),
            ("did the triplex hit a stone this year", Some("how many times did we have nicks on the triplex this year")),
            ("have we hit something since may", Some("how many times did we have nicks since may")),
            ("did he hit anything", None),
            ("hit a stone on 4, it is shaking", None),
            ("so how many more grinds in it then", Some("how many grinds has it left")),
            ("how many more grinds in fairway 3", Some("how many grinds left on fairway 3")),
            ("how many more grinds before fairway 2 is scrap", Some("how many grinds left on fairway 2")),
            ("how many more grinds from 172.5 to 165.2 at 0.5", None),
            ("how much comes off a grind as a rule", Some("how much comes off a grind on average")),
            ("how much did he take off in the last grind", None),
            ("8 blades, 1800 rpm", Some("what clip do i get with 8 blades 1800 rpm")),
            ("whats relief grind for? boss says some dont bother", Some("what is relief on reel blades for")),
            ("why relief grind a reel", Some("what is relief on reel blades for")),
            ("why did we relief grind unit 3", None),
            ("light contact or no contact", Some("what is the difference between light contact and no contact")),
            ("why do we face the bedknife before fitting", Some("why grind a new bedknife on its bedbar")),
            ("we faced the bedknife on unit 2", None),
            ("changed 8 blades at 1800 rpm", None),
        ] {
            assert_eq!(full(words).as_deref(), wanted, "{words}");
        }
    }
}
