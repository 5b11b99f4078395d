//! What does a drop in height do that is made in one go? The share that it takes of what stands,
//! held against a third, and the note that says what follows.

use super::told::Told;
use crate::domain::catalogue::Knowledge;
use crate::domain::units::plain;

/// Stands before the heights in the query, the higher first.
pub const ONE_GO: &str = "height in one go";
const NOTE: &str = "height_down_in_one_go";
/// The one-third rule.
const THIRD: f64 = 1.0 / 3.0;

/// The answer to a query that begins with [`ONE_GO`].
pub fn answer(knowledge: &Knowledge, query: &str) -> Option<Told> {
    let rest = query.strip_prefix(ONE_GO)?;
    let row = knowledge.note(NOTE)?;
    let numbers: Vec<f64> =
        rest.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    let mut lines = Vec::new();
    if let [from, to] = numbers[..]
        && from > to
        && to > 0.0
    {
        let share = (from - to) / from;
        let within = if share <= THIRD { "inside a third" } else { "more than a third" };
        lines.push(format!(
            "From {} to {} in one go takes {} per cent of what stands, {within}.",
            plain(from),
            plain(to),
            plain((100.0 * share).round())
        ));
    }
    // The first paragraph begins with how the share is worked out, which was done.
    let paragraphs: Vec<String> =
        row.text.trim().split("\n\n").map(|text| text.replace('\n', " ")).collect();
    let told = match lines.is_empty() {
        true => paragraphs.join(" "),
        false => {
            let beyond = |text: &'_ String| text.find("Beyond a third").map(|at| text[at..].to_owned());
            let first = paragraphs.first().and_then(beyond);
            let rest = paragraphs.get(1).map_or("", String::as_str);
            format!("{} {rest}", first.unwrap_or_default())
        }
    };
    lines.push(told.trim().to_owned());
    if lines.len() > 1 {
        lines.push("\"Plan the steps from one to the other\" with both heights lays them out.".into());
    }
    lines.push(format!("From the note \"{}\" (sward guide note {}).", row.title, row.id));
    Some(Told { lines, basis: Some(row.basis.clone()), more: None })
}
