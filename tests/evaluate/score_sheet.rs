//! The figures of an evaluation, in the order they were worked out, as text or JSON.

use serde_json::{Map, Value, json};
use sward_core::domain::diagnosis::score;

#[derive(Default)]
pub struct Sheet {
    lines: Vec<(String, String, Value)>,
}

/// True positives, false positives, false negatives.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Hits {
    pub right: usize,
    pub extra: usize,
    pub missed: usize,
}

impl Hits {
    pub fn add(&mut self, other: Hits) {
        self.right += other.right;
        self.extra += other.extra;
        self.missed += other.missed;
    }

    pub fn precision(&self) -> f64 {
        ratio(self.right, self.right + self.extra)
    }

    pub fn recall(&self) -> f64 {
        ratio(self.right, self.right + self.missed)
    }

    pub fn f1(&self) -> f64 {
        ratio(2 * self.right, 2 * self.right + self.extra + self.missed)
    }
}

fn ratio(part: usize, whole: usize) -> f64 {
    if whole == 0 { 1.0 } else { part as f64 / whole as f64 }
}

impl Sheet {
    /// A share of cases with its Wilson 95 % interval.
    pub fn share(&mut self, name: &str, hits: usize, count: usize) {
        let interval = score::wilson(hits, count);
        let text = match interval {
            Ok((low, high)) => {
                format!("{:.3}  ({hits}/{count}; {low:.3} to {high:.3})", ratio(hits, count))
            }
            Err(_) => "no cases".to_owned(),
        };
        let value = match interval {
            Ok((low, high)) => json!({"share": ratio(hits, count), "hits": hits, "count": count,
                "low": low, "high": high}),
            Err(_) => Value::Null,
        };
        self.lines.push((name.to_owned(), text, value));
    }

    pub fn hits(&mut self, name: &str, hits: Hits) {
        let (p, r, f) = (hits.precision(), hits.recall(), hits.f1());
        let text = format!(
            "F1 {f:.3}  precision {p:.3}  recall {r:.3}  ({} right, {} extra, {} missed)",
            hits.right, hits.extra, hits.missed
        );
        let value = json!({"f1": f, "precision": p, "recall": r, "right": hits.right,
            "extra": hits.extra, "missed": hits.missed});
        self.lines.push((name.to_owned(), text, value));
    }

    pub fn number(&mut self, name: &str, value: f64) {
        self.lines.push((name.to_owned(), format!("{value:.4}"), json!(value)));
    }

    pub fn words(&mut self, name: &str, text: String) {
        let value = Value::String(text.clone());
        self.lines.push((name.to_owned(), text, value));
    }

    pub fn text(&self) -> String {
        let width = self.lines.iter().map(|(name, _, _)| name.len()).max().unwrap_or(0);
        let rows: Vec<String> =
            self.lines.iter().map(|(name, text, _)| format!("{name:width$}  {text}")).collect();
        rows.join("\n")
    }

    pub fn json(&self) -> String {
        let map: Map<String, Value> =
            self.lines.iter().map(|(name, _, value)| (name.clone(), value.clone())).collect();
        Value::Object(map).to_string()
    }
}
