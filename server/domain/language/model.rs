//! What does a clause say, when no phrase of the lexicon fits it?
//!
//! One logistic regression per label over word and letter sequences, fitted once from the labelled
//! clauses of `knowledge/phrasings/` and kept as a small sorted table. Letter sequences are what
//! makes it stand misspellings and unseen inflections. Fitting is exact repetition: fixed order,
//! fixed seed, so the same clauses give the same bytes.

use std::collections::BTreeMap;

/// A labelled clause: its words (stems, `#` for numbers) and the labels that hold.
#[derive(Clone, Debug)]
pub struct Example {
    pub words: Vec<String>,
    pub labels: Vec<usize>,
}

const EPOCHS: usize = 16;
const RATE: f32 = 4.0;
/// Weight decay per epoch, applied to the weights a clause touches.
const DECAY: f32 = 2e-6;
/// A feature seen in one clause only teaches that clause by heart.
const FEWEST_CLAUSES: u32 = 2;
/// Weights smaller than this are dropped from the table.
const SMALLEST_WEIGHT: f32 = 0.08;
/// Weights are kept in bytes, in steps of this size.
const STEP: f32 = 0.06;

/// Hashes (FNV-1a, 32 bit) of the word and letter sequences of a clause, ascending and unique.
pub fn features(words: &[&str]) -> Vec<u32> {
    let mut out = Vec::with_capacity(words.len() * 12);
    let mut previous = "^";
    let mut before = "^";
    for word in words.iter().copied().chain(std::iter::once("$")) {
        out.push(hash(&["w", word]));
        out.push(hash(&["b", previous, word]));
        out.push(hash(&["s", before, word]));
        before = previous;
        previous = word;
        let marked: Vec<char> =
            std::iter::once('<').chain(word.chars()).chain(std::iter::once('>')).collect();
        for length in 3..=5 {
            for gram in marked.windows(length) {
                let gram: String = gram.iter().collect();
                out.push(hash(&["c", &gram]));
            }
        }
    }
    out.sort_unstable();
    out.dedup();
    out
}

fn hash(parts: &[&str]) -> u32 {
    let mut state: u32 = 0x811c_9dc5;
    for part in parts {
        for byte in part.bytes().chain(std::iter::once(0)) {
            state = (state ^ u32::from(byte)).wrapping_mul(0x0100_0193);
        }
    }
    state
}

/// Fits the model; the answer is its table, to be read by [`Model::read`].
pub fn fit(examples: &[Example], label_count: usize) -> Vec<u8> {
    let clauses: Vec<Vec<u32>> = examples
        .iter()
        .map(|example| features(&example.words.iter().map(String::as_str).collect::<Vec<_>>()))
        .collect();
    let places = places_of(&clauses);
    let clauses: Vec<Vec<u32>> = clauses
        .iter()
        .map(|clause| clause.iter().filter_map(|f| places.get(f).copied()).collect())
        .collect();
    let mut fit = Fit {
        weights: vec![0.0; places.len() * label_count],
        bias: vec![-4.0; label_count],
        label_count,
    };
    let mut order: Vec<usize> = (0..examples.len()).collect();
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    for epoch in 0..EPOCHS {
        shuffle(&mut order, &mut seed);
        let rate = RATE / (1.0 + 0.15 * epoch as f32);
        for &at in &order {
            fit.step(&clauses[at], &examples[at].labels, rate);
        }
    }
    write(&places, &fit)
}

/// The features worth a row, each with the number of its row.
fn places_of(clauses: &[Vec<u32>]) -> BTreeMap<u32, u32> {
    let mut seen: BTreeMap<u32, u32> = BTreeMap::new();
    for feature in clauses.iter().flatten() {
        *seen.entry(*feature).or_default() += 1;
    }
    seen.retain(|_, count| *count >= FEWEST_CLAUSES);
    let mut next = 0;
    for place in seen.values_mut() {
        *place = next;
        next += 1;
    }
    seen
}

fn shuffle(order: &mut [usize], seed: &mut u64) {
    for at in (1..order.len()).rev() {
        *seed ^= *seed << 13;
        *seed ^= *seed >> 7;
        *seed ^= *seed << 17;
        order.swap(at, (*seed % (at as u64 + 1)) as usize);
    }
}

struct Fit {
    /// One row of `label_count` weights per feature.
    weights: Vec<f32>,
    bias: Vec<f32>,
    label_count: usize,
}

impl Fit {
    fn step(&mut self, clause: &[u32], labels: &[usize], rate: f32) {
        let scale = scale_of(clause.len());
        let mut scores = self.bias.clone();
        for &place in clause {
            let from = place as usize * self.label_count;
            let row = &self.weights[from..from + self.label_count];
            for (score, weight) in scores.iter_mut().zip(row) {
                *score += weight * scale;
            }
        }
        let mut errors: Vec<(usize, f32)> = Vec::new();
        for (label, score) in scores.iter().enumerate() {
            let truth = if labels.contains(&label) { 1.0 } else { 0.0 };
            let error = sigmoid(*score) - truth;
            if error.abs() > 0.004 {
                errors.push((label, error));
            }
        }
        for (label, error) in &errors {
            self.bias[*label] -= 0.05 * rate * error;
        }
        for &place in clause {
            let from = place as usize * self.label_count;
            for (label, error) in &errors {
                let weight = &mut self.weights[from + label];
                *weight -= rate * (error * scale + DECAY * *weight);
            }
        }
    }
}

fn scale_of(feature_count: usize) -> f32 {
    1.0 / (feature_count.max(1) as f32).sqrt()
}

fn sigmoid(score: f32) -> f32 {
    1.0 / (1.0 + (-score).exp())
}

/// Table: label count, row count, entry count, biases (f32), feature hashes, row ends, entries
/// (label u16, weight i8 in [`STEP`]s, padding); all little-endian.
fn write(places: &BTreeMap<u32, u32>, fit: &Fit) -> Vec<u8> {
    let mut hashes = Vec::new();
    let mut ends = Vec::new();
    let mut entries: Vec<(u16, i8)> = Vec::new();
    for (feature, place) in places {
        let from = *place as usize * fit.label_count;
        let row = &fit.weights[from..from + fit.label_count];
        let before = entries.len();
        for (label, weight) in row.iter().enumerate() {
            if weight.abs() >= SMALLEST_WEIGHT {
                let steps = (weight / STEP).round().clamp(-127.0, 127.0) as i8;
                entries.push((u16::try_from(label).expect("few labels"), steps));
            }
        }
        if entries.len() > before {
            hashes.push(*feature);
            ends.push(u32::try_from(entries.len()).expect("few entries"));
        }
    }
    let mut out = Vec::new();
    for count in [fit.label_count, hashes.len(), entries.len()] {
        out.extend(u32::try_from(count).expect("a small table").to_le_bytes());
    }
    out.extend(fit.bias.iter().flat_map(|bias| bias.to_le_bytes()));
    out.extend(hashes.iter().flat_map(|hash| hash.to_le_bytes()));
    out.extend(ends.iter().flat_map(|end| end.to_le_bytes()));
    for (label, steps) in entries {
        out.extend(label.to_le_bytes());
        out.extend(steps.to_le_bytes());
        out.push(0);
    }
    out
}

/// A fitted model, read in place from its table.
#[derive(Clone, Debug)]
pub struct Model<'a> {
    bias: Vec<f32>,
    hashes: &'a [[u8; 4]],
    ends: &'a [[u8; 4]],
    entries: &'a [[u8; 4]],
}

impl<'a> Model<'a> {
    /// Reads a table made by [`fit`]; `None` when it is not one.
    pub fn read(table: &'a [u8]) -> Option<Self> {
        let (words, rest) = table.as_chunks::<4>();
        if !rest.is_empty() || words.len() < 3 {
            return None;
        }
        let number = |at: usize| u32::from_le_bytes(words[at]) as usize;
        let (labels, rows, entries) = (number(0), number(1), number(2));
        if words.len() != 3 + labels + 2 * rows + entries {
            return None;
        }
        let (bias, rest) = words[3..].split_at(labels);
        let (hashes, rest) = rest.split_at(rows);
        let (ends, entries) = rest.split_at(rows);
        let bias = bias.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect();
        Some(Model { bias, hashes, ends, entries })
    }

    /// The probability of each label for a clause.
    pub fn predict(&self, words: &[&str]) -> Vec<f32> {
        let mut scores = self.bias.clone();
        self.weigh(words, |label, weight| scores[label] += weight);
        scores.into_iter().map(sigmoid).collect()
    }

    /// Tells every weight that the features of a clause carry.
    fn weigh(&self, words: &[&str], mut add: impl FnMut(usize, f32)) {
        let rows: Vec<usize> = features(words)
            .iter()
            .filter_map(|feature| {
                self.hashes.binary_search_by_key(feature, |bytes| u32::from_le_bytes(*bytes)).ok()
            })
            .collect();
        let scale = scale_of(rows.len());
        let end = |at: usize| u32::from_le_bytes(self.ends[at]) as usize;
        for row in rows {
            let from = if row == 0 { 0 } else { end(row - 1) };
            for entry in &self.entries[from..end(row)] {
                let label = usize::from(u16::from_le_bytes([entry[0], entry[1]]));
                let steps = i8::from_le_bytes([entry[2]]);
                add(label, f32::from(steps) * STEP * scale);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example(text: &str, labels: &[usize]) -> Example {
        Example {
            words: text.split(' ').map(str::to_owned).collect(),
            labels: labels.to_vec(),
        }
    }

    fn examples() -> Vec<Example> {
        let mut all = Vec::new();
        for place in ["green", "tee", "fairway", "collar", "square"] {
            all.push(example(&format!("leaves a streak on the {place}"), &[0]));
            all.push(example(&format!("shakes badly on the {place}"), &[1]));
            all.push(example(&format!("we mow the {place} daily"), &[]));
        }
        all
    }

    #[test]
    fn learns_labels_and_stands_misspelling() {
        let table = fit(&examples(), 2);
        let model = Model::read(&table).expect("own table");
        let say = |text: &str| model.predict(&text.split(' ').collect::<Vec<_>>());
        assert!(say("it leaves a streek")[0] > 0.5);
        assert!(say("it shaks badly")[1] > 0.5);
        assert!(say("we mow the lawn daily").iter().all(|p| *p < 0.5));
    }

    #[test]
    fn the_same_clauses_give_the_same_bytes() {
        assert_eq!(fit(&examples(), 2), fit(&examples(), 2));
        assert!(Model::read(&[1, 2, 3]).is_none());
    }
}
