//! What does a clause say, when no phrase of the lexicon fits it?
//!
//! A small network with one hidden layer. Every word and letter sequence of a clause has a
//! direction in a space of some dimensions; the directions are summed, what is below zero is cut
//! off, and each label weighs the rest. Words that are said of the same matter come to lie in
//! the same direction, so that a clause is understood whose sequences were never met together.
//! Letter sequences make it stand misspellings and unseen inflections. It is fitted once from the
//! labelled clauses of `knowledge/phrasings/` and kept as a sorted table. Fitting is exact
//! repetition: fixed order, fixed seed, so the same clauses give the same bytes.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

/// A labelled clause: its words (stems, `#` for numbers) and the labels that hold.
#[derive(Clone, Debug)]
pub struct Example {
    pub words: Vec<String>,
    pub labels: Vec<usize>,
}

/// Features, ascending and unique, and the labels that hold.
pub type Known = (Vec<u32>, Vec<usize>);

// The numbers below were chosen on clauses of authors whom the model had not met; no source.
pub const EPOCHS: usize = 14;
/// What is kept is the average over the last half of the rounds.
const AVERAGED: usize = 2;
/// Length of the first step; each number then steps by its own past errors (Adagrad: Duchi, Hazan
/// and Singer 2011), counted from the starts below, which keep the first steps small.
const RATE: f32 = 0.08;
const START_OF_DIRECTION: f32 = 0.01;
const START_OF_WEIGHT: f32 = 0.1;
const START_OF_BIAS: f32 = 1.0;
/// Share of a clause's features that are left out each time it is learned, so that no label hangs
/// on a single word.
const LEFT_OUT: f32 = 0.3;
/// A feature seen in fewer clauses teaches those clauses by heart.
const FEWEST_CLAUSES: u32 = 3;
/// Errors smaller than this teach nothing.
const LEAST_ERROR: f32 = 0.004;

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

/// The name of a feature made of these parts.
pub fn hash(parts: &[&str]) -> u32 {
    let mut state: u32 = 0x811c_9dc5;
    for part in parts {
        for byte in part.bytes().chain(std::iter::once(0)) {
            state = (state ^ u32::from(byte)).wrapping_mul(0x0100_0193);
        }
    }
    state
}

/// For so many clauses one more example is made of two of them, since people say several things in
/// one breath; without these the model takes two matters in a sentence for a third.
const CLAUSES_PER_PAIR: usize = 8;

/// The clauses, and pairs of them said together.
pub fn with_pairs(mut clauses: Vec<Example>) -> Vec<Example> {
    let count = clauses.len();
    let mut seed = SEED;
    for _ in 0..count / CLAUSES_PER_PAIR {
        let [first, second] = [0; 2].map(|_: usize| &clauses[draw(&mut seed, count)]);
        let words = first.words.iter().chain(&second.words).cloned().collect();
        let labels = first.labels.iter().chain(&second.labels).copied().collect();
        clauses.push(Example { words, labels });
    }
    clauses
}

/// The features worth a row, each with the number of its row.
fn places_of<'a>(clauses: impl Iterator<Item = &'a Vec<u32>>) -> BTreeMap<u32, usize> {
    let mut seen: BTreeMap<u32, u32> = BTreeMap::new();
    for feature in clauses.flatten() {
        *seen.entry(*feature).or_default() += 1;
    }
    let often = seen.into_iter().filter(|(_, count)| *count >= FEWEST_CLAUSES);
    often.enumerate().map(|(place, (feature, _))| (feature, place)).collect()
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

/// A number from 0 to 1.
fn part(seed: &mut u64) -> f32 {
    draw(seed, 1 << 24) as f32 / (1 << 24) as f32
}

/// Small numbers around zero to begin with; were they alike, all dimensions would learn the same.
fn unlike(count: usize, seed: &mut u64) -> Vec<f32> {
    (0..count).map(|_| 0.2 * (part(seed) - 0.5)).collect()
}

/// The network while it learns. Beside each number stands what it has erred so far, squared; the
/// numbers of one direction share it.
struct Fit<const HIDDEN: usize> {
    /// `HIDDEN` numbers per feature.
    directions: Vec<f32>,
    direction_errors: Vec<f32>,
    /// What each dimension begins with.
    floor: Vec<f32>,
    floor_errors: Vec<f32>,
    /// One weight per label for each dimension.
    weights: Vec<f32>,
    weight_errors: Vec<f32>,
    bias: Vec<f32>,
    bias_errors: Vec<f32>,
    label_count: usize,
}

impl<const HIDDEN: usize> Fit<HIDDEN> {
    fn new(features: usize, label_count: usize, seed: &mut u64) -> Self {
        Fit {
            directions: unlike(features * HIDDEN, seed),
            direction_errors: vec![START_OF_DIRECTION; features],
            floor: vec![0.1; HIDDEN],
            floor_errors: vec![START_OF_BIAS; HIDDEN],
            weights: unlike(HIDDEN * label_count, seed),
            weight_errors: vec![START_OF_WEIGHT; HIDDEN * label_count],
            bias: vec![-4.0; label_count],
            bias_errors: vec![START_OF_BIAS; label_count],
            label_count,
        }
    }

    fn numbers(&self) -> [&Vec<f32>; 4] {
        [&self.directions, &self.floor, &self.weights, &self.bias]
    }

    fn direction(&self, place: usize) -> &[f32] {
        &self.directions[place * HIDDEN..][..HIDDEN]
    }

    /// Learns one clause, of the labels in this stretch.
    fn step(&mut self, clause: &[usize], labels: &[usize], of: &Range<usize>, rate: f32) {
        let scale = scale_of(clause.len());
        let mut sums = vec![0.0; HIDDEN];
        for &place in clause {
            sums.iter_mut().zip(self.direction(place)).for_each(|(sum, number)| *sum += number);
        }
        let hidden = above_zero(&sums, scale, &self.floor);
        let mut scores = self.bias.clone();
        add_weighed(&mut scores, &hidden, &self.weights);
        let errors: Vec<(usize, f32)> = scores
            .iter()
            .enumerate()
            .filter(|(label, _)| of.contains(label))
            .map(|(label, score)| (label, sigmoid(*score) - f32::from(labels.contains(&label))))
            .filter(|(_, error)| error.abs() > LEAST_ERROR)
            .collect();
        let back = self.learn_weights(&hidden, &errors, rate);
        self.learn_directions(clause, &back, scale, rate);
    }

    /// The error of each dimension, as the labels see it; none where it was cut off.
    fn learn_weights(&mut self, hidden: &[f32], errors: &[(usize, f32)], rate: f32) -> Vec<f32> {
        let mut back = vec![0.0; HIDDEN];
        for (dimension, &value) in hidden.iter().enumerate().filter(|(_, value)| **value > 0.0) {
            let from = dimension * self.label_count;
            for &(label, error) in errors {
                let at = from + label;
                back[dimension] += error * self.weights[at];
                learn(&mut self.weights[at], &mut self.weight_errors[at], error * value, rate);
            }
        }
        for &(label, error) in errors {
            learn(&mut self.bias[label], &mut self.bias_errors[label], error, rate);
        }
        back
    }

    fn learn_directions(&mut self, clause: &[usize], back: &[f32], scale: f32, rate: f32) {
        for (dimension, error) in back.iter().enumerate() {
            learn(&mut self.floor[dimension], &mut self.floor_errors[dimension], *error, rate);
        }
        let squares: f32 = back.iter().map(|error| error * error).sum();
        let erred = squares * scale * scale / HIDDEN as f32;
        for &place in clause {
            self.direction_errors[place] += erred;
            let step = rate * scale / self.direction_errors[place].sqrt();
            let direction = &mut self.directions[place * HIDDEN..][..HIDDEN];
            direction.iter_mut().zip(back).for_each(|(number, error)| *number -= step * error);
        }
    }
}

/// What the numbers were on average in the last rounds: each round leaves them a little elsewhere,
/// and their middle hears strangers a little better (Polyak and Juditsky 1992).
#[derive(Default)]
struct Averages {
    rounds: f32,
    sums: [Vec<f32>; 4],
}

impl Averages {
    fn add<const HIDDEN: usize>(&mut self, fit: &Fit<HIDDEN>) {
        self.rounds += 1.0;
        for (sum, numbers) in self.sums.iter_mut().zip(fit.numbers()) {
            sum.resize(numbers.len(), 0.0);
            sum.iter_mut().zip(numbers).for_each(|(sum, number)| *sum += number);
        }
    }

    fn give<const HIDDEN: usize>(self, fit: &mut Fit<HIDDEN>) {
        let [directions, floor, weights, bias] =
            self.sums.map(|sum| sum.into_iter().map(|one| one / self.rounds).collect());
        (fit.directions, fit.floor, fit.weights, fit.bias) = (directions, floor, weights, bias);
    }
}

/// One step of one number.
fn learn(number: &mut f32, erred: &mut f32, error: f32, rate: f32) {
    *erred += error * error;
    *number -= rate * error / erred.sqrt();
}

/// The hidden layer.
fn above_zero(sums: &[f32], scale: f32, floor: &[f32]) -> Vec<f32> {
    sums.iter().zip(floor).map(|(sum, floor)| (sum * scale + floor).max(0.0)).collect()
}

/// Adds what every dimension weighs for each label.
fn add_weighed(scores: &mut [f32], hidden: &[f32], weights: &[f32]) {
    for (value, weights) in hidden.iter().zip(weights.chunks_exact(scores.len())) {
        if *value > 0.0 {
            scores.iter_mut().zip(weights).for_each(|(score, weight)| *score += value * weight);
        }
    }
}

fn scale_of(feature_count: usize) -> f32 {
    1.0 / (feature_count.max(1) as f32).sqrt()
}

fn sigmoid(score: f32) -> f32 {
    1.0 / (1.0 + (-score).exp())
}

/// Table, little-endian, in words of four bytes: label count, feature count, the step of the
/// directions (f32), biases, floors, weights (f32), feature hashes, directions (i8, in steps).
fn write<const HIDDEN: usize>(places: &BTreeMap<u32, usize>, fit: &Fit<HIDDEN>) -> Vec<u8> {
    let step = step_of(&fit.directions);
    let mut out = Vec::new();
    for count in [fit.label_count, places.len()] {
        out.extend(u32::try_from(count).expect("a small table").to_le_bytes());
    }
    for number in [&[step], &fit.bias[..], &fit.floor, &fit.weights].concat() {
        out.extend(number.to_le_bytes());
    }
    out.extend(places.keys().flat_map(|feature| feature.to_le_bytes()));
    let in_steps = |number: &f32| (number / step).round().clamp(-127.0, 127.0) as i8;
    out.extend(fit.directions.iter().flat_map(|number| in_steps(number).to_le_bytes()));
    out
}

/// Numbers are kept in steps of which one in ten thousand needs more than 127.
fn step_of(numbers: &[f32]) -> f32 {
    let mut sizes: Vec<f32> = numbers.iter().map(|number| number.abs()).collect();
    if sizes.is_empty() {
        return 1.0;
    }
    let most = sizes.len() - 1 - sizes.len() / 10_000;
    *sizes.select_nth_unstable_by(most, f32::total_cmp).1 / 127.0
}

/// A fitted model with so many dimensions; the directions are read in place from its table.
#[derive(Clone, Debug, Default)]
pub struct Model<const HIDDEN: usize> {
    table: Cow<'static, [u8]>,
    features: usize,
    step: f32,
    bias: Vec<f32>,
    floor: Vec<f32>,
    weights: Vec<f32>,
}

/// What examples are known by.
pub fn known(examples: &[Example]) -> Vec<Known> {
    let known = |example: &Example| {
        let words: Vec<&str> = example.words.iter().map(String::as_str).collect();
        (features(&words), example.labels.clone())
    };
    examples.iter().map(known).collect()
}

/// Words of the table before the biases.
const HEAD: usize = 3;

impl<const HIDDEN: usize> Model<HIDDEN> {
    /// Fits a model in so many rounds; the answer is its table, to be read by [`Model::read`].
    pub fn fit(examples: &[Example], label_count: usize, epochs: usize) -> Vec<u8> {
        Self::fit_features(&known(examples), label_count, epochs)
    }

    /// The same for whatever else is known by features, each with its labels.
    pub fn fit_features(known: &[Known], label_count: usize, epochs: usize) -> Vec<u8> {
        Self::fit_within(known, label_count, epochs, |_| 0..label_count)
    }

    /// The same where of some nothing is known but of a stretch of the labels: `within` tells it by
    /// the labels that hold.
    pub fn fit_within(
        known: &[Known],
        label_count: usize,
        epochs: usize,
        within: impl Fn(&[usize]) -> Range<usize>,
    ) -> Vec<u8> {
        let places = places_of(known.iter().map(|(features, _)| features));
        let clauses: Vec<Vec<usize>> = known
            .iter()
            .map(|(features, _)| features.iter().filter_map(|f| places.get(f).copied()).collect())
            .collect();
        let mut seed = SEED;
        let mut fit = Fit::<HIDDEN>::new(places.len(), label_count, &mut seed);
        let mut order: Vec<usize> = (0..known.len()).collect();
        let mut kept = Vec::new();
        let mut settled = Averages::default();
        for epoch in 0..epochs {
            shuffle(&mut order, &mut seed);
            let rate = RATE / (1.0 + 0.15 * epoch as f32);
            for &at in &order {
                kept.clear();
                kept.extend(clauses[at].iter().filter(|_| part(&mut seed) >= LEFT_OUT));
                let labels = &known[at].1;
                fit.step(&kept, labels, &within(labels), rate);
            }
            if epoch + epochs.div_ceil(AVERAGED) >= epochs {
                settled.add(&fit);
            }
        }
        settled.give(&mut fit);
        write(&places, &fit)
    }

    /// Reads a table made by [`Model::fit`]; `None` when it is not one.
    pub fn read(table: Cow<'static, [u8]>) -> Option<Self> {
        let (words, rest) = table.as_chunks::<4>();
        if !rest.is_empty() || words.len() < HEAD {
            return None;
        }
        let count = |at: usize| u32::from_le_bytes(words[at]) as usize;
        let (labels, features) = (count(0), count(1));
        let numbers = labels + HIDDEN + HIDDEN * labels;
        if words.len() != HEAD + numbers + features * (1 + HIDDEN / 4) {
            return None;
        }
        let mut numbers = words[2..].iter().map(|bytes| f32::from_le_bytes(*bytes));
        let mut next = |count: usize| numbers.by_ref().take(count).collect::<Vec<f32>>();
        let step = next(1)[0];
        let (bias, floor, weights) = (next(labels), next(HIDDEN), next(HIDDEN * labels));
        Some(Model { features, step, bias, floor, weights, table })
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

    /// The probability of each label for what is known by features.
    pub fn predict_features(&self, features: &[u32]) -> Vec<f32> {
        self.chances(&self.rows_of(features))
    }

    /// The features that the model knows, each by its row; they are looked up once, and judged with
    /// [`Model::chances`] beside different others.
    pub fn rows_of(&self, features: &[u32]) -> Vec<u32> {
        features.iter().filter_map(|feature| self.row(*feature)).collect()
    }

    /// Looks up the features of a text once, so that any run of its words can be judged.
    pub fn listen<'a>(&'a self, words: &[&str]) -> Listener<'a, HIDDEN> {
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

    /// The place of a feature. Hashes lie evenly, so the search begins near where it should be.
    fn row(&self, feature: u32) -> Option<u32> {
        let from = self.hashes_from();
        let hashes = &self.table.as_chunks::<4>().0[from..from + self.features];
        let hash_at = |at: usize| u32::from_le_bytes(hashes[at]);
        let guess = ((u64::from(feature) * self.features as u64) >> 32) as usize;
        let mut reach = NEAR;
        let (low, high) = loop {
            let (low, high) = (guess.saturating_sub(reach), (guess + reach).min(self.features));
            let after_low = low == 0 || hash_at(low) <= feature;
            if after_low && (high == self.features || feature < hash_at(high)) {
                break (low, high);
            }
            reach *= 4;
        };
        let near = &hashes[low..high];
        let found = near.binary_search_by_key(&feature, |bytes| u32::from_le_bytes(*bytes)).ok()?;
        u32::try_from(low + found).ok()
    }

    fn hashes_from(&self) -> usize {
        HEAD + self.bias.len() + self.floor.len() + self.weights.len()
    }

    /// What the clause with these features makes of the hidden layer.
    fn hidden(&self, rows: &[u32]) -> Vec<f32> {
        let directions = 4 * (self.hashes_from() + self.features);
        let directions = self.table[directions..].as_chunks::<HIDDEN>().0;
        let mut sums = [0_i32; HIDDEN];
        for some in rows.chunks(MOST_AT_ONCE) {
            let mut steps = [0_i16; HIDDEN];
            for row in some {
                for (sum, step) in steps.iter_mut().zip(&directions[*row as usize]) {
                    *sum += i16::from(step.cast_signed());
                }
            }
            sums.iter_mut().zip(steps).for_each(|(sum, steps)| *sum += i32::from(steps));
        }
        let scale = self.step * scale_of(rows.len());
        above_zero(&sums.map(|sum| sum as f32), scale, &self.floor)
    }

    /// The probability of each label for what has these rows.
    pub fn chances(&self, rows: &[u32]) -> Vec<f32> {
        let mut scores = self.bias.clone();
        if !scores.is_empty() {
            add_weighed(&mut scores, &self.hidden(rows), &self.weights);
        }
        scores.into_iter().map(sigmoid).collect()
    }

    /// The same for one label only.
    fn chance(&self, rows: &[u32], label: usize) -> f32 {
        let mut score = self.bias[label];
        let weights = self.weights.chunks_exact(self.bias.len());
        for (value, weights) in self.hidden(rows).iter().zip(weights).filter(|(v, _)| **v > 0.0) {
            score += value * weights[label];
        }
        sigmoid(score)
    }
}

/// Directions whose sum stays within 16 bits.
const MOST_AT_ONCE: usize = 256;

/// Rows around the guess that are searched first.
const NEAR: usize = 128;

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
pub struct Listener<'a, const HIDDEN: usize> {
    model: &'a Model<HIDDEN>,
    words: Vec<HeardWord>,
    /// The features of the end mark.
    end: Vec<u32>,
    /// The end mark after a single word.
    alone: Option<u32>,
}

impl<const HIDDEN: usize> Listener<'_, HIDDEN> {
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
        let table = Model::<16>::fit(&examples(), 2, EPOCHS);
        let model = Model::<16>::read(Cow::Owned(table)).expect("own table");
        let say = |text: &str| model.predict(&text.split(' ').collect::<Vec<_>>());
        assert!(say("it leaves a streek")[0] > 0.5);
        assert!(say("it shaks badly")[1] > 0.5);
        assert!(say("we mow the lawn daily").iter().all(|p| *p < 0.5));
    }

    /// The features of a run of words are those of the run as a clause of its own.
    #[test]
    fn a_run_is_judged_as_if_it_stood_alone() {
        let table = Model::<16>::fit(&examples(), 2, EPOCHS);
        let model = Model::<16>::read(Cow::Owned(table)).expect("own table");
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
        let table = || Model::<16>::fit(&examples(), 2, EPOCHS);
        assert_eq!(table(), table());
        assert!(Model::<16>::read(Cow::Borrowed(&[1, 2, 3])).is_none());
    }
}
