//! Two people, two years or two machines asked about at once: what the records say of each, one
//! beside the other. Deliberately absent: what is said of one alone (`answers`).

use super::{Answer, Asked, Row};

/// Lines told of each; the first is the answer.
const LINES_MAX: usize = 2;
/// Of a summary or a height more lines matter.
const LINES_LONG_MAX: usize = 7;

/// The answers as one, each under its name.
pub fn side_by_side(asked: Asked, each: Vec<(String, Answer)>) -> Answer {
    let long = matches!(asked, Asked::Summary);
    let most = if long { LINES_LONG_MAX } else { LINES_MAX };
    let mut whole = Answer::default();
    for (name, answer) in each {
        let mut lines = answer.lines.into_iter().filter(|line| !line.starts_with("Latest: "));
        // Its days are what the summary is named by.
        if long {
            lines.next();
        }
        let first = lines.next().unwrap_or_default();
        let first = first.strip_prefix(&format!("{name}: ")).unwrap_or(&first);
        whole.lines.push(format!("{name}: {first}"));
        whole.lines.extend(lines.take(most - 1).map(|line| format!("  {}", line.trim_start())));
        whole.total += answer.total;
        whole.rows.extend(answer.rows);
        for note in answer.notes {
            if !whole.notes.contains(&note) {
                whole.notes.push(note);
            }
        }
    }
    let newest_first = |a: &Row, b: &Row| b.record.time.cmp(&a.record.time);
    whole.rows.sort_by(newest_first);
    whole
}
