//! What does a clause say, when no phrase of the lexicon fits it?
//!
//! One logistic regression per label over word and letter sequences, fitted once from the labelled
//! clauses of `knowledge/phrasings/` and kept as a small sorted table. Letter sequences are what
//! makes it stand misspellings and unseen inflections. Fitting is exact repetition: fixed order,
//! fixed seed, so the same clauses give the same bytes.

use std::borrow::Cow;
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
    let mut out = Vec::with_capacity(words.len() * 16);
    let mut previous = START;
    let mut before = START;
    for word in words.iter().copied().chain(std::iter::once(END)) {
        own_features(word, &mut out);
        out.push(hash(&["b", previous, word]));
        out.push(hash(&["s", before, word]));
        before = previous;
        previous = word;
    }
    out.sort_unstable();
    out.dedup();
    out
}

/// What stands before the first word and after the last.
const START: &str = "^";
const END: &str = "$";

/// The features of a word that its neighbours do not change.
fn own_features(word: &str, out: &mut Vec<u32>) {
    out.push(hash(&["w", word]));
    let mut marked = String::with_capacity(word.len() + 2);
    marked.push('<');
    marked.push_str(word);
    marked.push('>');
    let mut bounds: Vec<usize> = marked.char_indices().map(|(at, _)| at).collect();
    bounds.push(marked.len());
    for length in 3..=5 {
        for pair in bounds.windows(length + 1) {
            out.push(hash(&["c", &marked[pair[0]..pair[length]]]));
        }
    }
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

/// So many more examples are made of two clauses, since people say several things in one breath;
/// without them the model takes two matters in a sentence for a third.
const PAIRS: usize = 8_000;

/// The clauses, and pairs of them said together.
pub fn with_pairs(mut clauses: Vec<Example>) -> Vec<Example> {
    let count = clauses.len();
    let mut seed = SEED;
    for _ in 0..if count < 2 { 0 } else { PAIRS } {
        let [first, second] = [0; 2].map(|_: usize| &clauses[draw(&mut seed, count)]);
        let words = first.words.iter().chain(&second.words).cloned().collect();
        let labels = first.labels.iter().chain(&second.labels).copied().collect();
        clauses.push(Example { words, labels });
    }
    clauses
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
    let mut seed = SEED;
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
        order.swap(at, draw(seed, at + 1));
    }
}

/// What chance begins with, so that it is the same every time.
const SEED: u64 = 0x2545_f491_4f6c_dd1d;

/// A number below `end` (xorshift, 64 bit).
fn draw(seed: &mut u64, end: usize) -> usize {
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    (*seed % end as u64) as usize
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

/// Table: label count, row count, word count of the rows, biases (f32), feature hashes, row ends
/// (in words), rows; all little-endian, in words of four bytes. A row is the weight (i8 in
/// [`STEP`]s) of every label, or, where that is shorter, an entry (label u16, weight i8, padding)
/// for those that are not 0.
fn write(places: &BTreeMap<u32, u32>, fit: &Fit) -> Vec<u8> {
    let mut hashes = Vec::new();
    let mut ends = Vec::new();
    let mut rows: Vec<u8> = Vec::new();
    for (feature, place) in places {
        let from = *place as usize * fit.label_count;
        let steps = fit.weights[from..from + fit.label_count].iter().map(|weight| {
            let kept = if weight.abs() >= SMALLEST_WEIGHT { *weight } else { 0.0 };
            (kept / STEP).round().clamp(-127.0, 127.0) as i8
        });
        let before = rows.len();
        write_row(&steps.collect::<Vec<i8>>(), &mut rows);
        if rows.len() > before {
            hashes.push(*feature);
            ends.push(u32::try_from(rows.len() / 4).expect("few words"));
        }
    }
    let mut out = Vec::new();
    for count in [fit.label_count, hashes.len(), rows.len() / 4] {
        out.extend(u32::try_from(count).expect("a small table").to_le_bytes());
    }
    out.extend(fit.bias.iter().flat_map(|bias| bias.to_le_bytes()));
    out.extend(hashes.iter().flat_map(|hash| hash.to_le_bytes()));
    out.extend(ends.iter().flat_map(|end| end.to_le_bytes()));
    out.extend(rows);
    out
}

fn write_row(steps: &[i8], rows: &mut Vec<u8>) {
    let told = steps.iter().filter(|steps| **steps != 0).count();
    if told < full_words(steps.len()) {
        for (label, steps) in steps.iter().enumerate().filter(|(_, steps)| **steps != 0) {
            rows.extend(u16::try_from(label).expect("few labels").to_le_bytes());
            rows.extend([steps.to_le_bytes()[0], 0]);
        }
    } else {
        rows.extend(steps.iter().flat_map(|steps| steps.to_le_bytes()));
        rows.resize(rows.len().next_multiple_of(4), 0);
    }
}

/// Words of a row that tells the weight of every label.
fn full_words(labels: usize) -> usize {
    labels.div_ceil(4)
}

/// A fitted model, read in place from its table.
#[derive(Clone, Debug, Default)]
pub struct Model {
    table: Cow<'static, [u8]>,
    bias: Vec<f32>,
    rows: usize,
}

/// Words of the table before the biases: the three counts.
const HEAD: usize = 3;

impl Model {
    /// Reads a table made by [`fit`]; `None` when it is not one.
    pub fn read(table: Cow<'static, [u8]>) -> Option<Self> {
        let (words, rest) = table.as_chunks::<4>();
        if !rest.is_empty() || words.len() < HEAD {
            return None;
        }
        let number = |at: usize| u32::from_le_bytes(words[at]) as usize;
        let (labels, rows, row_words) = (number(0), number(1), number(2));
        if words.len() != HEAD + labels + 2 * rows + row_words {
            return None;
        }
        let bias = words[HEAD..HEAD + labels].iter().map(|bytes| f32::from_le_bytes(*bytes));
        let bias = bias.collect();
        Some(Model { table, bias, rows })
    }

    /// The number of labels.
    pub fn label_count(&self) -> usize {
        self.bias.len()
    }

    /// The probability of each label for a clause.
    pub fn predict(&self, words: &[&str]) -> Vec<f32> {
        match words.len() {
            0 => self.chances(&self.rows_of(&features(words))),
            count => self.listen(words).chances(0, count - 1),
        }
    }

    /// Looks up the features of a text once, so that any run of its words can be judged.
    pub fn listen<'a>(&'a self, words: &[&str]) -> Listener<'a> {
        let row = |parts: &[&str]| self.row(hash(parts));
        let at = |index: Option<usize>| index.map_or(START, |index| words[index]);
        let heard = words.iter().enumerate().map(|(index, word)| {
            let mut own = Vec::with_capacity(4 * word.len());
            own_features(word, &mut own);
            let previous = index.checked_sub(1);
            HeardWord {
                own: own.into_iter().filter_map(|feature| self.row(feature)).collect(),
                opening: [row(&["b", START, word]), row(&["s", START, word])],
                inside: [
                    row(&["b", at(previous), word]),
                    row(&["s", at(index.checked_sub(2)), word]),
                ],
                closing: [row(&["b", word, END]), row(&["s", at(previous), END])],
            }
        });
        let mut end = Vec::new();
        own_features(END, &mut end);
        Listener {
            words: heard.collect(),
            end: end.into_iter().filter_map(|feature| self.row(feature)).collect(),
            alone: row(&["s", START, END]),
            model: self,
        }
    }

    /// The row of a feature. Hashes lie evenly, so the search begins near where it should be.
    fn row(&self, feature: u32) -> Option<u32> {
        let from = HEAD + self.bias.len();
        let hashes = &self.table.as_chunks::<4>().0[from..from + self.rows];
        let hash_at = |at: usize| u32::from_le_bytes(hashes[at]);
        let guess = ((u64::from(feature) * self.rows as u64) >> 32) as usize;
        let mut reach = NEAR;
        let (low, high) = loop {
            let (low, high) = (guess.saturating_sub(reach), (guess + reach).min(self.rows));
            let after_low = low == 0 || hash_at(low) <= feature;
            if after_low && (high == self.rows || feature < hash_at(high)) {
                break (low, high);
            }
            reach *= 4;
        };
        let near = &hashes[low..high];
        let found = near.binary_search_by_key(&feature, |bytes| u32::from_le_bytes(*bytes)).ok()?;
        u32::try_from(low + found).ok()
    }

    fn rows_of(&self, features: &[u32]) -> Vec<u32> {
        features.iter().filter_map(|feature| self.row(*feature)).collect()
    }

    fn weights(&self, row: u32) -> Weights<'_> {
        let words = self.table.as_chunks::<4>().0;
        let ends = HEAD + self.bias.len() + self.rows;
        let end = |row: usize| u32::from_le_bytes(words[ends + row]) as usize;
        let row = row as usize;
        let from = if row == 0 { 0 } else { end(row - 1) };
        let first = ends + self.rows;
        let words = &words[first + from..first + end(row)];
        if words.len() == full_words(self.bias.len()) {
            return Weights::All(words.as_flattened());
        }
        Weights::Some(words)
    }

    fn chances(&self, rows: &[u32]) -> Vec<f32> {
        let mut steps = vec![0_i32; self.bias.len()];
        for row in rows {
            match self.weights(*row) {
                Weights::All(all) => {
                    for (sum, weight) in steps.iter_mut().zip(all) {
                        *sum += i32::from(weight.cast_signed());
                    }
                }
                Weights::Some(some) => {
                    for entry in some {
                        steps[label_of(entry)] += i32::from(entry[2].cast_signed());
                    }
                }
            }
        }
        let scale = STEP * scale_of(rows.len());
        let scores = self.bias.iter().zip(steps).map(|(bias, steps)| bias + steps as f32 * scale);
        scores.map(sigmoid).collect()
    }

    /// The same for one label only.
    fn chance(&self, rows: &[u32], label: usize) -> f32 {
        let steps = rows.iter().map(|row| match self.weights(*row) {
            Weights::All(all) => i32::from(all[label].cast_signed()),
            Weights::Some(some) => some
                .binary_search_by_key(&label, label_of)
                .map_or(0, |at| i32::from(some[at][2].cast_signed())),
        });
        let steps: i32 = steps.sum();
        sigmoid(self.bias[label] + steps as f32 * (STEP * scale_of(rows.len())))
    }
}

/// The weights of a row: of every label, or entries for those that are not 0.
enum Weights<'a> {
    All(&'a [u8]),
    Some(&'a [[u8; 4]]),
}

/// Rows around the guess that are searched first.
const NEAR: usize = 128;

fn label_of(entry: &[u8; 4]) -> usize {
    usize::from(u16::from_le_bytes([entry[0], entry[1]]))
}

/// The rows of a word's features, wherever the clause begins and ends.
#[derive(Clone, Debug)]
struct HeardWord {
    own: Vec<u32>,
    /// With what comes before it: as the first word, and within; the second of `opening` also
    /// serves the second word.
    opening: [Option<u32>; 2],
    inside: [Option<u32>; 2],
    /// As the last word.
    closing: [Option<u32>; 2],
}

/// A text whose features have been looked up.
#[derive(Clone, Debug)]
pub struct Listener<'a> {
    model: &'a Model,
    words: Vec<HeardWord>,
    /// The features of the end mark.
    end: Vec<u32>,
    /// The end mark after a single word.
    alone: Option<u32>,
}

impl Listener<'_> {
    /// The probability of each label for the words `first..=last`.
    pub fn chances(&self, first: usize, last: usize) -> Vec<f32> {
        self.model.chances(&self.rows(first, last))
    }

    /// The probability of one label for the words `first..=last`.
    pub fn chance(&self, first: usize, last: usize, label: usize) -> f32 {
        self.model.chance(&self.rows(first, last), label)
    }

    /// The rows of a clause, ascending and unique.
    fn rows(&self, first: usize, last: usize) -> Vec<u32> {
        let mut rows = self.end.clone();
        for (place, word) in self.words[first..=last].iter().enumerate() {
            rows.extend(&word.own);
            rows.extend(if place == 0 { word.opening[0] } else { word.inside[0] });
            rows.extend(if place < 2 { word.opening[1] } else { word.inside[1] });
        }
        let closing = &self.words[last].closing;
        rows.extend(closing[0]);
        rows.extend(if first == last { self.alone } else { closing[1] });
        rows.sort_unstable();
        rows.dedup();
        rows
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
        let model = Model::read(Cow::Owned(table)).expect("own table");
        let say = |text: &str| model.predict(&text.split(' ').collect::<Vec<_>>());
        assert!(say("it leaves a streek")[0] > 0.5);
        assert!(say("it shaks badly")[1] > 0.5);
        assert!(say("we mow the lawn daily").iter().all(|p| *p < 0.5));
    }

    /// The features of a run of words are those of the run as a clause of its own.
    #[test]
    fn a_run_is_judged_as_if_it_stood_alone() {
        let model = Model::read(Cow::Owned(fit(&examples(), 2))).expect("own table");
        let words: Vec<&str> = "it leaves a streak and shakes badly".split(' ').collect();
        let listener = model.listen(&words);
        for first in 0..words.len() {
            for last in first..words.len() {
                let alone = model.chances(&model.rows_of(&features(&words[first..=last])));
                assert_eq!(listener.chances(first, last), alone, "{first} to {last}");
                assert_eq!(listener.chance(first, last, 1), alone[1]);
            }
        }
    }

    #[test]
    fn the_same_clauses_give_the_same_bytes() {
        assert_eq!(fit(&examples(), 2), fit(&examples(), 2));
        assert!(Model::read(Cow::Borrowed(&[1, 2, 3])).is_none());
    }
}
