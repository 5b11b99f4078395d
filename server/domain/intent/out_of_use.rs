//! Is a machine said to stand still until a part comes: "take the deck out of service till new blades
//! come in"? No part was replaced then: that it stands, and for what, is kept as a finding.
//! Deliberately absent: parts that are on order by themselves (`no_orders`).

use super::deeds::DEEDS;
use super::kind::CommandKind;
use super::never_told::asks;
use super::subject_words::PARTS;
use super::{Command, Interpretation, Reader, needed, understood};
use crate::domain::records::choices::Condition;
use crate::domain::records::detail::{Inspection, InspectionItem};
use crate::domain::records::{Content, Detail, SubjectName};
use crate::domain::wording::plain;

/// What says that a machine stands.
const STANDS: &[&str] = &[
    "out of service", "out of action", "out of use", "off the road", "parked up", "stood down", "laid up", "off service",
    "out of commission", "tagged out", "quarantined", "dont use", "do not use", "off the job",
];
const WAITS: &[&str] = &[
    "till", "til", "until", "waiting on", "waiting for", "awaiting", "when", "pending",
];
const COMES: &[&str] = &[
    "come", "comes", "arrive", "arrives", "arrived", "turn up", "turns up", "get here", "gets here", "get the", "get a", "gets a",
    "in stock", "delivered", "land", "lands", "show up", "shows up", "are in", "is in", "get new", "got the", "got new", "parts",
];
/// Deeds that are said of a machine that is taken away, as well.
const WEAK: &[&str] = &["put", "took", "set", "found", "looked", "let", "left", "read", "went", "ran", "pulled", "moved", "checked", "inspected"];

impl Reader<'_> {
    /// The finding that is kept.
    pub(super) fn out_of_use(&self) -> Option<Interpretation> {
        let text = self.question.text;
        let name = || self.heard.named.subject().cloned();
        if asks(self.spoken) || !stands(text) {
            return None;
        }
        let name = name().or_else(|| self.question.shop.spoken_of.clone());
        let name = name.unwrap_or(SubjectName::Site { site: self.question.site.clone() });
        let item = InspectionItem {
            item: "out of service".to_owned(),
            condition: Some(Condition::Bad),
            found: text.trim().chars().take(400).collect(),
            ..InspectionItem::default()
        };
        let detail = Inspection { items: vec![item], ..Inspection::default() };
        let mut content = Content::new(Detail::Inspection(detail));
        content.words = text.trim().chars().take(2_000).collect();
        content.equipment = self.question.equipment;
        let recorded = self.heard.recorded.as_ref();
        if let Some((_, own)) = recorded.and_then(|recorded| recorded.records.first()) {
            content.done_by.clone_from(&own.done_by);
        }
        let time = recorded.and_then(|recorded| recorded.time.clone());
        let records = vec![(name, content)];
        let told = understood::recorded(&records, time.as_ref(), &[]);
        let told = format!("{} It stands out of service; no part is booked as replaced.", told.trim_end());
        Some(Interpretation {
            missing: needed::missing(&records, self.question.shop, None),
            ..self.answer(CommandKind::Record, told, Command::Record { records, time })
        })
    }
}

/// Whether a machine is said to stand, or to wait for a part, and no work was done.
fn stands(text: &str) -> bool {
    let lower = plain(text);
    let words = lower.split(|ch: char| !ch.is_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let has = |list: &[&str]| list.iter().any(|said| format!(" {} ", words.join(" ")).contains(&format!(" {said} ")));
    let part = |word: &&str| {
        let one = word.strip_suffix('s').unwrap_or(word);
        PARTS.contains(word) || PARTS.contains(&one) || matches!(one, "part" | "spare" | "bedknive")
    };
    let waits = words.iter().any(part)
        && (has(&["waiting on", "waiting for", "awaiting"]) || (has(&["till", "til", "until", "pending"]) && has(COMES)));
    let done = words.iter().any(|word| DEEDS.contains(word) && !WEAK.contains(word));
    let back = has(&["back in service", "back out", "back on the road", "was out of service", "wasnt out of service"]);
    let stood = has(STANDS) && (waits || has(WAITS) || words.len() <= 14);
    (stood || waits) && !done && !back
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_waits_for_a_part_has_none_replaced() {
        for words in [
            "take the front rotary out of service till new blades come in",
            "triplex 2 is parked up waiting on a new bearing",
            "put the deck off the road until the belt arrives",
            "walker 1 out of action, bearing shot",
            "out of service till parts come, bearings ordered",
        ] {
            assert!(stands(words), "{words}");
        }
        for words in [
            "changed the bearing while it was out of service",
            "fitted new blades, back in service",
            "wait till it has cooled",
            "new belt on the deck",
        ] {
            assert!(!stands(words), "{words}");
        }
    }
}
