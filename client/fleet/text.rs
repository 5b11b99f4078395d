//! How does a document look on a terminal? Tables whose columns line up and whose last one wraps.

use super::document::{Document, Section, Table, clean};
use crate::page::{Page, WIDTH, wrap};

/// No column but the last is wider.
const COLUMN_MAX: usize = 30;
/// A column of words is not narrowed below this while another can be.
const COLUMN_MIN: usize = 12;
/// Nor is the last one below this.
const LAST_MIN: usize = 38;
const GAP: usize = 2;

pub fn page(document: &Document) -> Page {
    let mut page = Page::new();
    page.answer(&document.title);
    if !document.about.is_empty() {
        page.item("", &document.about);
    }
    for line in &document.lead {
        page.item("", line);
    }
    for section in &document.sections {
        write_section(&mut page, section);
    }
    if !document.cautions.is_empty() {
        page.heading("Cautions");
        for (title, text) in &document.cautions {
            page.item("  ", &format!("{title}: {text}"));
        }
    }
    if !document.notes.is_empty() {
        page.heading("Notes");
        for note in &document.notes {
            page.item("  ", &clean(note));
        }
    }
    page
}

/// The same without anything that stands out, for a file.
pub fn plain(document: &Document) -> String {
    page(document).plain()
}

fn write_section(page: &mut Page, section: &Section) {
    // A section that only draws is for paper.
    if section.table.rows.is_empty() && section.words.is_empty() {
        return;
    }
    page.heading(&section.heading);
    if !section.words.is_empty() {
        page.item("", &section.words);
    }
    for line in lines(&section.table) {
        page.line(&line);
    }
}

fn lines(table: &Table) -> Vec<String> {
    let shown = table.shown();
    if table.rows.is_empty() || shown.is_empty() {
        return Vec::new();
    }
    let titles: Vec<String> = shown.iter().map(|at| table.columns[*at].title.to_owned()).collect();
    let cells_of = |row: &Vec<String>| shown.iter().map(|at| clean(&row[*at])).collect();
    let rows: Vec<Vec<String>> = table.rows_shown().iter().map(cells_of).collect();
    let widths = widths(&titles, &rows);
    let right: Vec<bool> = shown.iter().map(|at| table.columns[*at].right).collect();
    let mut out = cells(&titles, &widths, &right);
    let rule: Vec<String> = widths.iter().map(|width| "-".repeat(*width)).collect();
    out.push(rule.join(&" ".repeat(GAP)));
    out.extend(rows.iter().flat_map(|row| cells(row, &widths, &right)));
    out.extend(table.more());
    out
}

/// As wide as their cells, then narrowed from the widest down until the table fits the page.
fn widths(titles: &[String], rows: &[Vec<String>]) -> Vec<usize> {
    let length = |text: &String| text.chars().count();
    // Neither a word of a heading nor a number is broken.
    let least = |at: usize| {
        let words = titles[at].split(' ').chain(rows.iter().flat_map(|row| row[at].split(' ')));
        words.map(|word| word.chars().count()).max().unwrap_or(0).min(COLUMN_MAX)
    };
    let least: Vec<usize> = (0..titles.len()).map(least).collect();
    let widest = |at: usize| rows.iter().map(|row| length(&row[at])).max().unwrap_or(0);
    let mut widths: Vec<usize> = (0..titles.len())
        .map(|at| widest(at).clamp(least[at], COLUMN_MAX.max(least[at])))
        .collect();
    if let Some(last) = widths.last_mut() {
        let at = titles.len() - 1;
        *last = widest(at).max(length(&titles[at]));
    }
    let gaps = GAP * titles.len().saturating_sub(1);
    while widths.iter().sum::<usize>() + gaps > WIDTH {
        // The last column, where sentences stand, keeps its room longest.
        let last = widths.len() - 1;
        let wide = (0..last).filter(|at| widths[*at] > least[*at].max(COLUMN_MIN));
        let next = wide.max_by_key(|at| widths[*at]);
        let room = widths[last] > if next.is_some() { LAST_MIN } else { least[last] };
        match next {
            _ if room => widths[last] -= 1,
            Some(at) => widths[at] -= 1,
            None => break,
        }
    }
    widths
}

/// One row, in as many lines as its longest cell takes.
fn cells(row: &[String], widths: &[usize], right: &[bool]) -> Vec<String> {
    let wrapped: Vec<Vec<String>> =
        row.iter().zip(widths).map(|(text, width)| wrap(text, *width)).collect();
    let height = wrapped.iter().map(Vec::len).max().unwrap_or(0);
    (0..height)
        .map(|at| {
            let part = |column: usize| {
                let text = wrapped[column].get(at).map_or("", String::as_str);
                let width = widths[column];
                if right[column] { format!("{text:>width$}") } else { format!("{text:<width$}") }
            };
            let parts: Vec<String> = (0..row.len()).map(part).collect();
            parts.join(&" ".repeat(GAP)).trim_end().to_owned()
        })
        .collect()
}
