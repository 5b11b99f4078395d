//! How does a document look on paper? One HTML file that holds everything, drawings too: nothing is
//! fetched, nothing is told apart by colour, and it prints on A4 and Letter.

use super::document::{Document, Section, Table, clean};
use crate::commands::Words;
use crate::picture::sheet::escaped;

const STYLE: &str = "\
@page { margin: 14mm }
* { box-sizing: border-box }
body { font: 10.5pt/1.35 sans-serif; color: #000; background: #fff; max-width: 182mm;
  margin: 0 auto; padding: 4mm }
h1 { font-size: 17pt; margin: 0 0 1mm }
h2 { font-size: 12.5pt; margin: 6mm 0 1.5mm; border-bottom: 0.4mm solid #000;
  break-after: avoid }
h2 + p { break-after: avoid }
p { margin: 0 0 1.5mm }
.about { margin-bottom: 3mm }
table { border-collapse: collapse; width: 100%; font-size: 9pt }
thead { display: table-header-group }
th { text-align: left; vertical-align: bottom; border-bottom: 0.3mm solid #000 }
th, td { padding: 0.7mm 1.6mm 0.7mm 0 }
td { vertical-align: top; border-bottom: 0.1mm solid #999; overflow-wrap: break-word }
tr { break-inside: avoid }
.right { text-align: right; padding-right: 3mm }
td.right { white-space: nowrap }
figure { margin: 2mm 0; break-inside: avoid }
figure svg { display: block; width: 100%; height: auto; max-height: 120mm }
ul { margin: 0; padding-left: 5mm }
.cautions { border: 0.5mm solid #000; padding: 2mm 3mm; margin-top: 5mm; break-inside: avoid }
.cautions h2 { border: 0; margin-top: 0 }
.card { font-size: 9.5pt }
.card table { font-size: 8.5pt }
.card th, .card td { padding-top: 0.4mm; padding-bottom: 0.4mm }
.card figure svg { max-height: 72mm }
@media print { body { padding: 0; max-width: none } }
";

pub fn page(document: &Document, words: Words) -> String {
    let language = match words {
        Words::British => "en-GB",
        Words::American => "en-US",
    };
    let title = safe(&document.title);
    let class = if document.compact { " class=\"card\"" } else { "" };
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"{language}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body{class}>\n<h1>{title}</h1>\n"
    );
    if !document.about.is_empty() {
        out.push_str(&format!("<p class=\"about\">{}</p>\n", safe(&document.about)));
    }
    for line in &document.lead {
        out.push_str(&format!("<p>{}</p>\n", safe(line)));
    }
    for (number, section) in document.sections.iter().enumerate() {
        write_section(&mut out, section, number);
    }
    if !document.cautions.is_empty() {
        out.push_str("<section class=\"cautions\">\n<h2>Cautions</h2>\n<ul>\n");
        for (title, text) in &document.cautions {
            let (title, text) = (safe(title), safe(text));
            out.push_str(&format!("<li><strong>{title}.</strong> {text}</li>\n"));
        }
        out.push_str("</ul>\n</section>\n");
    }
    if !document.notes.is_empty() {
        out.push_str("<h2>Notes</h2>\n<ul>\n");
        for note in &document.notes {
            out.push_str(&format!("<li>{}</li>\n", safe(note)));
        }
        out.push_str("</ul>\n");
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn write_section(out: &mut String, section: &Section, number: usize) {
    let empty = section.table.rows.is_empty();
    if empty && section.words.is_empty() && section.drawing.is_none() {
        return;
    }
    out.push_str(&format!("<h2>{}</h2>\n", safe(&section.heading)));
    if !section.words.is_empty() {
        out.push_str(&format!("<p>{}</p>\n", safe(&section.words)));
    }
    if let Some(drawing) = &section.drawing {
        out.push_str(&format!("<figure>\n{}</figure>\n", own_ids(drawing, number)));
    }
    if !empty {
        write_table(out, &section.table);
    }
}

fn write_table(out: &mut String, table: &Table) {
    let shown = table.shown();
    let class = |at: usize| if table.columns[at].right { " class=\"right\"" } else { "" };
    out.push_str("<table>\n<thead><tr>");
    for at in &shown {
        let title = safe(table.columns[*at].title);
        out.push_str(&format!("<th scope=\"col\"{}>{title}</th>", class(*at)));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in table.rows_shown() {
        out.push_str("<tr>");
        for at in &shown {
            out.push_str(&format!("<td{}>{}</td>", class(*at), safe(&row[*at])));
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
    if let Some(more) = table.more() {
        out.push_str(&format!("<p>{}</p>\n", safe(&more)));
    }
}

/// Several drawings stand on one page, so the ids inside each are made its own.
fn own_ids(svg: &str, number: usize) -> String {
    let mut out = svg.to_owned();
    for id in ["hatch", "dots", "head"] {
        out = out
            .replace(&format!("id=\"{id}\""), &format!("id=\"{id}-{number}\""))
            .replace(&format!("url(#{id})"), &format!("url(#{id}-{number})"));
    }
    out
}

fn safe(text: &str) -> String {
    escaped(&clean(text))
}
