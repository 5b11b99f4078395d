//! How long did work on several units take: each so long, or all together? A time that is not said
//! to be each one's is of all of them, shared out alike.
//! Deliberately absent: the time of one record.

use super::record::Recorded;
use super::Reader;
use crate::domain::catalogue::Equipment;
use crate::domain::records::choices::SharpeningMethod;
use crate::domain::records::{Content, Detail, SubjectName};
use crate::domain::units::plain;

/// What says that a time is that of each.
const EACH: &[&str] = &["each", "apiece", "per", "every"];
/// No reel is lapped or ground in fewer minutes, so that a time that would leave less is that of
/// each (common practice, no source).
const SHARPENED_MIN: f64 = 5.0;
/// Tokens from a time to that.
const NEAR: usize = 3;

impl Reader<'_> {
    /// Shares the time out; what it comes to on each, when there is more than one.
    pub(super) fn share_time(
        &self,
        recorded: &Recorded,
        records: &mut [(SubjectName, Content)],
    ) -> Option<String> {
        let kind = records.first()?.1.kind();
        let alike = records.iter().all(|(_, content)| content.kind() == kind);
        let whole = records.first()?.1.duration_min?;
        let same = records.iter().all(|(_, content)| {
            content.duration_min.is_some_and(|one| (one - whole).abs() < f64::EPSILON)
        });
        let mut names: Vec<&SubjectName> = records.iter().map(|(name, _)| name).collect();
        names.sort();
        names.dedup();
        let apart = names.len() == records.len() && records.len() > 1;
        if !alike || !same || !apart || said_of_each(recorded) {
            return None;
        }
        let each = whole / records.len() as f64;
        let sharpened = matches!(records.first()?.1.detail, Detail::Sharpening(_));
        if sharpened && each < SHARPENED_MIN && !said_of_all(recorded) {
            let all = plain(whole * records.len() as f64);
            return Some(format!("{} min on each, {all} min in all", plain(whole)));
        }
        let each = (each * 100.0).round() / 100.0;
        records.iter_mut().for_each(|(_, content)| content.duration_min = Some(each));
        Some(format!("{} min in all, {} min on each", plain(whole), plain(each)))
    }

    /// "Ground walker 1": a reel is spun where nothing else is said, and a deck has its blades ground.
    pub(super) fn method_by_unit(
        &self,
        recorded: &Recorded,
        records: &mut [(SubjectName, Content)],
    ) {
        let said = |words: &[&str]| {
            recorded.spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
        };
        // A reel that is narrower than it was has been ground.
        let narrower = records.iter().any(|(_, content)| match &content.detail {
            Detail::Sharpening(detail) => detail.diameter_after_mm.is_some(),
            _ => false,
        });
        let ground = super::grinding::grinds(&recorded.spoken) || said(&["reground"]) || narrower;
        // "Ground walker 1, new bedknife in as well".
        let fitted = recorded.spoken.tokens.windows(2).any(|pair| {
            matches!(&*pair[0].text, "new" | "fresh") && matches!(&*pair[1].text, "bedknife" | "bedknives")
        });
        if !ground || (!fitted && said(&["bedknife", "bedknives", "bottom", "relief"])) {
            return;
        }
        for (name, content) in records.iter_mut() {
            let kind = content.equipment.or_else(|| self.kind_of(name));
            let Detail::Sharpening(detail) = &mut content.detail else { continue };
            if detail.method != Some(SharpeningMethod::Other) {
                continue;
            }
            detail.method = match kind {
                Some(Equipment::RotaryDeck) => Some(SharpeningMethod::BladeGrind),
                Some(Equipment::ReelUnit) => Some(SharpeningMethod::SpinGrind),
                _ => continue,
            };
        }
    }

    /// What a unit of the shop is, else the machine that holds it.
    fn kind_of(&self, name: &SubjectName) -> Option<Equipment> {
        let shop = self.question.shop;
        let own = shop.known(name).and_then(|known| known.equipment);
        own.or_else(|| shop.known(&name.holder()?)?.equipment)
    }
}

/// "In 20 minutes", "20 min in all", "20 min altogether": of all of them.
fn said_of_all(recorded: &Recorded) -> bool {
    const ALL: &[&str] = &["in", "altogether", "total", "all", "inside", "within"];
    let tokens = &recorded.spoken.tokens;
    recorded.placed.iter().filter(|(_, field, _)| field.starts_with("duration")).any(|(index, _, _)| {
        let one = &recorded.spoken.quantities[*index];
        let is = |at: usize| tokens.get(at).is_some_and(|token| ALL.contains(&token.text.as_str()));
        one.first.checked_sub(1).is_some_and(is) || is(one.last + 1) || is(one.last + 2)
    })
}

/// "20 min each": right before or behind the time.
fn said_of_each(recorded: &Recorded) -> bool {
    let tokens = &recorded.spoken.tokens;
    recorded.placed.iter().filter(|(_, field, _)| field.starts_with("duration")).any(|(index, _, _)| {
        let one = &recorded.spoken.quantities[*index];
        let last = (one.last + 1 + NEAR).min(tokens.len());
        let behind = &tokens[(one.last + 1).min(last)..last];
        let before = &tokens[one.first.saturating_sub(NEAR)..one.first];
        let segment = tokens[one.first].segment;
        let near = before.iter().chain(behind).filter(|token| token.segment == segment);
        near.into_iter().any(|token| EACH.contains(&token.text.as_str()))
    })
}
