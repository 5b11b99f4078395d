//! How alike are shops in how often something happens? Fits the Beta from which their rates seem to
//! be drawn: its mean, and its strength, the number of records that the mean is worth to one shop.
//! Deliberately absent: the counts themselves (see learning).

/// Groups under which the fit is too uncertain to replace a fixed strength (common practice).
pub const GROUPS_MIN: usize = 8;

const STEPS_MAX: usize = 200;
/// A larger strength means that the groups show no difference at all.
const STRENGTH_MAX: f64 = 1e6;

/// What was counted in one group.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Group {
    pub hits: u64,
    pub misses: u64,
}

/// A Beta distribution over the rate of a group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beta {
    pub alpha: f64,
    pub beta: f64,
}

impl Beta {
    pub fn mean(&self) -> f64 {
        self.alpha / (self.alpha + self.beta)
    }

    pub fn strength(&self) -> f64 {
        self.alpha + self.beta
    }

    /// Standard deviation of the rate.
    pub fn deviation(&self) -> f64 {
        (self.mean() * (1.0 - self.mean()) / (self.strength() + 1.0)).sqrt()
    }

    /// The Beta once a group's own records are counted.
    pub fn after(&self, group: Group) -> Beta {
        Beta { alpha: self.alpha + group.hits as f64, beta: self.beta + group.misses as f64 }
    }

    /// Log-likelihood of the groups, without the term that does not depend on the Beta.
    pub fn log_likelihood(&self, groups: &[Group]) -> f64 {
        Tails::new(groups).log_likelihood(self)
    }
}

/// The Beta to shrink groups with: `fixed` until there are enough groups to fit one.
pub fn prior_of_groups(groups: &[Group], fixed: Beta) -> Beta {
    if groups.len() < GROUPS_MIN {
        return fixed;
    }
    fit(groups).unwrap_or(fixed)
}

/// The Beta with the mean and the variance of the observed rates; nothing when they do not vary.
pub fn by_moments(groups: &[Group]) -> Option<Beta> {
    let rates: Vec<f64> = groups
        .iter()
        .filter(|group| group.hits + group.misses > 0)
        .map(|group| group.hits as f64 / (group.hits + group.misses) as f64)
        .collect();
    let count = rates.len() as f64;
    let mean = rates.iter().sum::<f64>() / count;
    let squares: f64 = rates.iter().map(|rate| (rate - mean).powi(2)).sum();
    let strength = mean * (1.0 - mean) / (squares / (count - 1.0)) - 1.0;
    let found = Beta { alpha: mean * strength, beta: (1.0 - mean) * strength };
    (strength.is_finite() && found.alpha > 0.0 && found.beta > 0.0).then_some(found)
}

/// The Beta of greatest likelihood, by Newton's method on the logarithms of its parameters. Nothing
/// when there is none: the groups differ no more than chance explains.
pub fn fit(groups: &[Group]) -> Option<Beta> {
    let tails = Tails::new(groups);
    let mut best = by_moments(groups)?;
    let mut likelihood = tails.log_likelihood(&best);
    for _ in 0..STEPS_MAX {
        let (step_alpha, step_beta) = tails.step(&best)?;
        let mut scale = 1.0;
        let next = loop {
            let trial = Beta {
                alpha: best.alpha * (scale * step_alpha).exp(),
                beta: best.beta * (scale * step_beta).exp(),
            };
            if tails.log_likelihood(&trial) >= likelihood || scale < 1e-9 {
                break trial;
            }
            scale /= 2.0;
        };
        best = next;
        likelihood = tails.log_likelihood(&best);
        if best.strength() > STRENGTH_MAX {
            return None;
        }
        if step_alpha.abs() + step_beta.abs() < 1e-10 {
            return Some(best);
        }
    }
    None
}

/// How many groups have more than k hits, misses and records: the likelihood is a sum over these,
/// ln(alpha + k) + ln(beta + k) - ln(alpha + beta + k), and needs no gamma function.
struct Tails {
    hits: Vec<f64>,
    misses: Vec<f64>,
    records: Vec<f64>,
}

impl Tails {
    fn new(groups: &[Group]) -> Tails {
        Tails {
            hits: tail(groups.iter().map(|group| group.hits)),
            misses: tail(groups.iter().map(|group| group.misses)),
            records: tail(groups.iter().map(|group| group.hits + group.misses)),
        }
    }

    fn log_likelihood(&self, beta: &Beta) -> f64 {
        let sum = |tail: &[f64], from: f64| -> f64 {
            tail.iter().enumerate().map(|(k, count)| count * (from + k as f64).ln()).sum()
        };
        sum(&self.hits, beta.alpha) + sum(&self.misses, beta.beta)
            - sum(&self.records, beta.strength())
    }

    /// Newton's step in (ln alpha, ln beta); along the gradient where the surface is not concave.
    fn step(&self, at: &Beta) -> Option<(f64, f64)> {
        let (hit1, hit2) = slopes(&self.hits, at.alpha);
        let (miss1, miss2) = slopes(&self.misses, at.beta);
        let (all1, all2) = slopes(&self.records, at.strength());
        let (ga, gb) = (at.alpha * (hit1 - all1), at.beta * (miss1 - all1));
        let haa = at.alpha * at.alpha * (hit2 - all2) + ga;
        let hbb = at.beta * at.beta * (miss2 - all2) + gb;
        let hab = -at.alpha * at.beta * all2;
        let determinant = haa * hbb - hab * hab;
        let step = if haa < 0.0 && determinant > 0.0 {
            ((hab * gb - hbb * ga) / determinant, (hab * ga - haa * gb) / determinant)
        } else {
            (ga, gb)
        };
        (step.0.is_finite() && step.1.is_finite()).then_some(step)
    }
}

/// First and second derivative of the sum of ln(from + k).
fn slopes(tail: &[f64], from: f64) -> (f64, f64) {
    let (mut first, mut second) = (0.0, 0.0);
    for (k, count) in tail.iter().enumerate() {
        let inverse = 1.0 / (from + k as f64);
        first += count * inverse;
        second -= count * inverse * inverse;
    }
    (first, second)
}

fn tail(values: impl Iterator<Item = u64> + Clone) -> Vec<f64> {
    let longest = values.clone().max().unwrap_or(0);
    (0..longest).map(|k| values.clone().filter(|value| *value > k).count() as f64).collect()
}
