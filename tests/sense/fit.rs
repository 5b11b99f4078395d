//! How do weights follow from examples? Steps down the slope of the loss, in a fixed order of
//! chance (Kingma and Ba 2015, Adam, its usual rates).

use sward_core::domain::demo::dice::Dice;
use sward_core::domain::sense::{SIGNS, Sense, Signs, UNITS};

/// What was known of a finding, and whether it was really said.
pub struct Example {
    pub signs: Signs,
    pub said: bool,
}

const ROUNDS: usize = 60;
const BATCH: usize = 256;
const RATE: f64 = 0.003;
const MOMENTUM: f64 = 0.9;
const SQUARES: f64 = 0.999;
/// Keeps weights small, since there are few examples; as a share of a whole batch.
const SHRINK: f64 = 0.3 / BATCH as f64;
const SEED: u64 = 20;

/// Numbers of a unit: bias, weights, what it adds.
const OF_UNIT: usize = SIGNS.len() + 2;
const NUMBERS: usize = UNITS * OF_UNIT + 1;

/// The network that fits the examples.
pub fn fitted(examples: &[Example]) -> Sense {
    let (middle, spread) = scale(examples);
    let scaled: Vec<Signs> = examples
        .iter()
        .map(|example| std::array::from_fn(|at| (example.signs[at] - middle[at]) / spread[at]))
        .collect();
    let mut dice = Dice::new(SEED);
    let mut numbers: Vec<f64> = (0..NUMBERS).map(|at| beginning(at, &mut dice)).collect();
    let mut order: Vec<usize> = (0..examples.len()).collect();
    let (mut slopes, mut squares) = (vec![0.0; NUMBERS], vec![0.0; NUMBERS]);
    let mut steps = 0;
    for _ in 0..ROUNDS {
        shuffle(&mut dice, &mut order);
        for batch in order.chunks(BATCH) {
            steps += 1;
            let slope = slope(&numbers, &scaled, examples, batch);
            for at in 0..NUMBERS {
                slopes[at] = MOMENTUM * slopes[at] + (1.0 - MOMENTUM) * slope[at];
                squares[at] = SQUARES * squares[at] + (1.0 - SQUARES) * slope[at].powi(2);
                let one = slopes[at] / (1.0 - MOMENTUM.powi(steps));
                let two = squares[at] / (1.0 - SQUARES.powi(steps));
                numbers[at] -= RATE * one / (two.sqrt() + 1e-8);
            }
        }
    }
    unscaled(&numbers, &middle, &spread)
}

/// Mean and standard deviation of each sign.
fn scale(examples: &[Example]) -> (Signs, Signs) {
    let count = examples.len() as f64;
    let mean = |of: &dyn Fn(&Example) -> f64| examples.iter().map(of).sum::<f64>() / count;
    let middle: Signs = std::array::from_fn(|at| mean(&|example| example.signs[at]));
    let spread = std::array::from_fn(|at| {
        let spread = mean(&|example| (example.signs[at] - middle[at]).powi(2)).sqrt();
        // A sign that is always the same tells nothing, and is not to be blown up.
        if spread > 0.0 { spread } else { 1.0 }
    });
    (middle, spread)
}

/// Small weights by chance; biases begin at nothing.
fn beginning(at: usize, dice: &mut Dice) -> f64 {
    let place = at % OF_UNIT;
    let bias = at == NUMBERS - 1 || place == 0;
    let bound = (6.0 / (SIGNS.len() + UNITS) as f64).sqrt();
    if bias { 0.0 } else { bound * (2.0 * share(dice) - 1.0) }
}

/// The slope of the loss over a batch.
fn slope(
    numbers: &[f64],
    scaled: &[Signs],
    examples: &[Example],
    batch: &[usize],
) -> Vec<f64> {
    let mut slope = vec![0.0; NUMBERS];
    for &example in batch {
        let signs = &scaled[example];
        let units = numbers[..NUMBERS - 1].chunks(OF_UNIT).map(|unit| {
            let sum: f64 = unit[1..].iter().zip(signs).map(|(weight, sign)| weight * sign).sum();
            (unit[0] + sum).max(0.0)
        });
        let units: Vec<f64> = units.collect();
        let adds = |unit: usize| numbers[unit * OF_UNIT + OF_UNIT - 1];
        let sum: f64 = (0..UNITS).map(|unit| adds(unit) * units[unit]).sum();
        let chance = 1.0 / (1.0 + (-(sum + numbers[NUMBERS - 1])).exp());
        let off = chance - f64::from(u8::from(examples[example].said));
        slope[NUMBERS - 1] += off;
        for (unit, value) in units.iter().enumerate().filter(|(_, value)| **value > 0.0) {
            let from = unit * OF_UNIT;
            slope[from + OF_UNIT - 1] += off * value;
            slope[from] += off * adds(unit);
            for (at, sign) in signs.iter().enumerate() {
                slope[from + 1 + at] += off * adds(unit) * sign;
            }
        }
    }
    let count = batch.len() as f64;
    for (at, (slope, number)) in slope.iter_mut().zip(numbers).enumerate() {
        let bias = at == NUMBERS - 1 || at % OF_UNIT == 0;
        *slope = *slope / count + if bias { 0.0 } else { SHRINK * number };
    }
    slope
}

/// The weights for signs as they are.
fn unscaled(numbers: &[f64], middle: &Signs, spread: &Signs) -> Sense {
    let mut units = [(0.0, Signs::default(), 0.0); UNITS];
    for (unit, of) in units.iter_mut().zip(numbers.chunks(OF_UNIT)) {
        let weights: Signs = std::array::from_fn(|at| of[1 + at] / spread[at]);
        let shift: f64 = weights.iter().zip(middle).map(|(weight, mean)| weight * mean).sum();
        *unit = (of[0] - shift, weights, of[OF_UNIT - 1]);
    }
    Sense { units, bias: numbers[NUMBERS - 1] }
}

/// From 0 to 1.
fn share(dice: &mut Dice) -> f64 {
    dice.bits() as f64 / u64::MAX as f64
}

fn shuffle(dice: &mut Dice, order: &mut [usize]) {
    for at in (1..order.len()).rev() {
        let other = (share(dice) * (at + 1) as f64) as usize;
        order.swap(at, other.min(at));
    }
}
