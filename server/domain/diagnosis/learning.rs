//! What do confirmed fixes change? How often each cause is the one (Dirichlet), and how often a
//! cause shows as a finding (Beta), starting from the table with an explicit strength: the number
//! of records that the table is worth.
//!
//! Three levels, from wide to narrow: everyone, this shop, this type of unit in this shop. Each
//! level starts from the one above. A record counts once, at the narrowest level it belongs to, so
//! that a shop's own work is not counted again as everyone's. Counts are whole numbers that only
//! add, so the order of records cannot matter.
//!
//! Deliberately absent: records that are not confirmed (a cause behind a repair not tried is not
//! "not the cause"), findings heard but not answered (people mention what is there, so silence
//! would pass for "no"), learned leaks, and the times of records.

use std::collections::BTreeMap;

use super::checked::{positive, strictly_within};
use super::{DiagnosisError, Network};

/// One fix that cured the fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Confirmed {
    pub cause: String,
    pub shop: String,
    /// Units of one type wear alike; empty when unknown, which counts for the shop only.
    pub unit_type: String,
    /// Findings that someone looked at, yes or no.
    pub answers: Vec<(String, bool)>,
}

/// Whose network is wanted. Empty names stand for "any": only the wider levels are used.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Whose {
    pub shop: String,
    pub unit_type: String,
}

/// How many records the level above is worth when a level has records of its own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelStrengths {
    pub everyone: f64,
    pub shop: f64,
    pub unit_type: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strengths {
    pub causes: LevelStrengths,
    pub findings: LevelStrengths,
}

/// Within the 5 to 20 records that an expert's number is usually taken to be worth, so that a busy
/// shop can overrule the table in tens of fixes (from memory); other shops count for less.
impl Default for Strengths {
    fn default() -> Strengths {
        let strengths = LevelStrengths { everyone: 40.0, shop: 20.0, unit_type: 20.0 };
        Strengths { causes: strengths, findings: strengths }
    }
}

/// What was counted in one place.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Tally {
    records: u64,
    causes: BTreeMap<String, u64>,
    /// By cause and finding: answered yes, answered no.
    answers: BTreeMap<(String, String), (u64, u64)>,
}

/// The counts of all confirmed fixes.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Counts {
    everyone: Tally,
    shops: BTreeMap<String, Tally>,
    unit_types: BTreeMap<(String, String), Tally>,
}

/// What one level added to an estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelCount {
    /// Records for it: of the cause, or answered yes.
    pub hits: u64,
    pub records: u64,
    /// The estimate once this level is counted.
    pub estimate: f64,
}

/// An estimate and where it comes from: the table, then everyone else, the shop's other units, and
/// this type of unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    pub table: f64,
    pub everyone: LevelCount,
    pub shop: LevelCount,
    pub unit_type: LevelCount,
}

impl Estimate {
    pub fn learned(&self) -> f64 {
        self.unit_type.estimate
    }
}

/// The counts that were used, for whoever asks why a cause moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// The share of each cause among faults that are ours, in order of cause.
    pub shares: Vec<Estimate>,
    /// P(finding | only this cause), for the pairs that have records.
    pub rates: Vec<RateExplanation>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateExplanation {
    pub cause: usize,
    pub finding: usize,
    pub rate: Estimate,
}

impl Counts {
    /// Counts one confirmed fix. The time does not grow with the number of records.
    pub fn record(&mut self, fix: &Confirmed) {
        self.everyone.add(fix);
        self.shops.entry(fix.shop.clone()).or_default().add(fix);
        let key = (fix.shop.clone(), fix.unit_type.clone());
        self.unit_types.entry(key).or_default().add(fix);
    }

    /// Counts fixes of a cause that were counted elsewhere already, without their answers.
    pub fn add_confirmed(&mut self, whose: &Whose, cause: &str, fixes: u64) {
        self.each_level(whose, |tally| {
            tally.records += fixes;
            *tally.causes.entry(cause.to_owned()).or_default() += fixes;
        });
    }

    /// Counts answers (yes, no) about a finding that were counted elsewhere already.
    pub fn add_answers(&mut self, whose: &Whose, cause: &str, finding: &str, counted: (u64, u64)) {
        self.each_level(whose, |tally| {
            let key = (cause.to_owned(), finding.to_owned());
            let (yes, no) = tally.answers.entry(key).or_default();
            *yes += counted.0;
            *no += counted.1;
        });
    }

    fn each_level(&mut self, whose: &Whose, add: impl Fn(&mut Tally)) {
        add(&mut self.everyone);
        add(self.shops.entry(whose.shop.clone()).or_default());
        let key = (whose.shop.clone(), whose.unit_type.clone());
        add(self.unit_types.entry(key).or_default());
    }

    /// Takes back a fix that was counted, when its record was amended. Refused, and nothing is
    /// changed, when it was not counted like this.
    pub fn withdraw(&mut self, fix: &Confirmed) -> Result<(), DiagnosisError> {
        let key = (fix.shop.clone(), fix.unit_type.clone());
        // Wider tallies hold all that narrower ones hold.
        if !self.unit_types.get(&key).is_some_and(|tally| tally.holds(fix)) {
            let remedy = "withdraw only what was counted, with the same shop, type and answers";
            return Err(DiagnosisError::new("cause", &fix.cause, remedy));
        }
        self.everyone.subtract(fix);
        subtract_from(&mut self.shops, fix.shop.clone(), fix);
        subtract_from(&mut self.unit_types, key, fix);
        Ok(())
    }

    /// The number of confirmed fixes counted.
    pub fn records(&self) -> u64 {
        self.everyone.records
    }

    /// What one number is at each level, each record counted once.
    fn levels(&self, whose: &Whose, count: impl Fn(&Tally) -> u64) -> [u64; 3] {
        let everyone = count(&self.everyone);
        let shop = self.shops.get(&whose.shop).filter(|_| !whose.shop.is_empty());
        let key = (whose.shop.clone(), whose.unit_type.clone());
        let named = !whose.shop.is_empty() && !whose.unit_type.is_empty();
        let unit_type = self.unit_types.get(&key).filter(|_| named);
        let (shop, unit_type) = (shop.map_or(0, &count), unit_type.map_or(0, &count));
        [everyone - shop, shop - unit_type, unit_type]
    }
}

impl Tally {
    fn add(&mut self, fix: &Confirmed) {
        self.records += 1;
        *self.causes.entry(fix.cause.clone()).or_default() += 1;
        for (finding, present) in &fix.answers {
            let key = (fix.cause.clone(), finding.clone());
            let (yes, no) = self.answers.entry(key).or_default();
            *(if *present { yes } else { no }) += 1;
        }
    }

    fn holds(&self, fix: &Confirmed) -> bool {
        let answered = |answer: &(String, bool)| {
            let (yes, no) = self.of_answer(&(fix.cause.clone(), answer.0.clone()));
            let wanted = fix.answers.iter().filter(|other| *other == answer).count() as u64;
            wanted <= if answer.1 { yes } else { no }
        };
        self.of_cause(&fix.cause) > 0 && fix.answers.iter().all(answered)
    }

    /// Takes off a fix that the tally holds; a count of nothing leaves no trace.
    fn subtract(&mut self, fix: &Confirmed) {
        self.records -= 1;
        let causes = self.causes.get_mut(&fix.cause).expect("held");
        *causes -= 1;
        if *causes == 0 {
            self.causes.remove(&fix.cause);
        }
        for (finding, present) in &fix.answers {
            let key = (fix.cause.clone(), finding.clone());
            let (yes, no) = self.answers.get_mut(&key).expect("held");
            *(if *present { yes } else { no }) -= 1;
            if self.answers[&key] == (0, 0) {
                self.answers.remove(&key);
            }
        }
    }

    fn of_cause(&self, cause: &str) -> u64 {
        self.causes.get(cause).copied().unwrap_or(0)
    }

    fn of_answer(&self, key: &(String, String)) -> (u64, u64) {
        self.answers.get(key).copied().unwrap_or((0, 0))
    }
}

fn subtract_from<K: Ord>(tallies: &mut BTreeMap<K, Tally>, key: K, fix: &Confirmed) {
    let tally = tallies.get_mut(&key).expect("a tally holds what its narrower one holds");
    tally.subtract(fix);
    if tally.records == 0 {
        tallies.remove(&key);
    }
}

/// The mean of a Beta or Dirichlet after `hits` of `records`, from a mean worth `strength` records.
pub fn shrunk(mean: f64, strength: f64, hits: u64, records: u64) -> f64 {
    (strength * mean + hits as f64) / (strength + records as f64)
}

fn estimate(table: f64, strengths: &LevelStrengths, hits: [u64; 3], records: [u64; 3]) -> Estimate {
    let level = |mean: f64, strength: f64, at: usize| LevelCount {
        hits: hits[at],
        records: records[at],
        estimate: shrunk(mean, strength, hits[at], records[at]),
    };
    let everyone = level(table, strengths.everyone, 0);
    let shop = level(everyone.estimate, strengths.shop, 1);
    let unit_type = level(shop.estimate, strengths.unit_type, 2);
    Estimate { table, everyone, shop, unit_type }
}

/// The counts that `apply` uses. Records of causes and findings that the network does not know are
/// left out, as after a change of the knowledge.
pub fn explain(
    network: &Network,
    counts: &Counts,
    whose: &Whose,
    strengths: &Strengths,
) -> Result<Explanation, DiagnosisError> {
    strengths.validate()?;
    let of_causes: Vec<[u64; 3]> = network
        .causes
        .iter()
        .map(|cause| counts.levels(whose, |tally| tally.of_cause(&cause.id)))
        .collect();
    let mut records = [0; 3];
    for hits in &of_causes {
        records.iter_mut().zip(hits).for_each(|(sum, hits)| *sum += hits);
    }
    let total = total_odds(network);
    let shares = network
        .causes
        .iter()
        .zip(&of_causes)
        .map(|(cause, hits)| estimate(odds(cause.prior) / total, &strengths.causes, *hits, records))
        .collect();

    let mut rates = Vec::new();
    for key in counts.everyone.answers.keys() {
        let known = (network.cause_index(&key.0), network.finding_index(&key.1));
        let (Ok(cause), Ok(finding)) = known else { continue };
        let yes = counts.levels(whose, |tally| tally.of_answer(key).0);
        let no = counts.levels(whose, |tally| tally.of_answer(key).1);
        let records = [yes[0] + no[0], yes[1] + no[1], yes[2] + no[2]];
        let table = network.compound(cause, finding);
        let rate = estimate(table, &strengths.findings, yes, records);
        rates.push(RateExplanation { cause, finding, rate });
    }
    Ok(Explanation { shares, rates })
}

/// The network with the mix of causes and the rates of findings that the counts teach.
///
/// A confirmed fix says which single fault it was, so it moves shares of the *odds* of the causes;
/// their sum, which is how much of the faults are ours, stays as the table has it. A learned rate
/// below the leak of its finding means that the cause does not show as the finding: no link.
pub fn apply(
    network: &Network,
    counts: &Counts,
    whose: &Whose,
    strengths: &Strengths,
) -> Result<Network, DiagnosisError> {
    let explanation = explain(network, counts, whose, strengths)?;
    let total = total_odds(network);
    let mut learned = network.clone();
    for (cause, share) in learned.causes.iter_mut().zip(&explanation.shares) {
        let odds = total * share.learned();
        cause.prior = odds / (1.0 + odds);
    }
    for rate in &explanation.rates {
        let leak = network.findings[rate.finding].leak;
        let net = 1.0 - (1.0 - rate.rate.learned()) / (1.0 - leak);
        learned.set_strength(rate.cause, rate.finding, net.max(0.0));
    }
    Ok(learned)
}

fn odds(probability: f64) -> f64 {
    probability / (1.0 - probability)
}

fn total_odds(network: &Network) -> f64 {
    network.causes.iter().map(|cause| odds(cause.prior)).sum()
}

impl Strengths {
    fn validate(&self) -> Result<(), DiagnosisError> {
        for (what, levels) in [("causes", &self.causes), ("findings", &self.findings)] {
            positive(&format!("strength of everyone for {what}"), levels.everyone)?;
            positive(&format!("strength of the shop for {what}"), levels.shop)?;
            positive(&format!("strength of the unit type for {what}"), levels.unit_type)?;
        }
        Ok(())
    }
}

/// Replaces the priors of the faults of one ageing part: the chance that it has failed by its age
/// is 1 - survival, split among its faults in the old proportions. Survival may come from a fitted
/// life. Source: Hasidi and Kalech 2021 (published), doi 10.3390/app11030995.
pub fn with_age(
    network: &Network,
    faults: &[usize],
    survival: f64,
) -> Result<Network, DiagnosisError> {
    strictly_within("survival", survival, 0.0, 1.0)?;
    if let Some(fault) = faults.iter().find(|fault| **fault >= network.causes.len()) {
        let remedy = format!("give indices below {}", network.causes.len());
        return Err(DiagnosisError::new("faults", fault, remedy));
    }
    let before: f64 = faults.iter().map(|&fault| network.causes[fault].prior).sum();
    let mut aged = network.clone();
    for &fault in faults {
        aged.causes[fault].prior *= (1.0 - survival) / before;
    }
    Ok(aged)
}

/// Is learning any good? Sums -ln P(confirmed cause), asked of the learned and of the frozen table
/// *before* each record is counted. Learning is to be kept only while its loss is not the larger.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Prequential {
    pub records: u64,
    pub learned_loss: f64,
    pub frozen_loss: f64,
}

impl Prequential {
    pub fn add(&mut self, learned: f64, frozen: f64) -> Result<(), DiagnosisError> {
        for (field, value) in [("learned probability", learned), ("frozen probability", frozen)] {
            if !(value > 0.0 && value <= 1.0) {
                let remedy = "give a probability above 0 and at most 1";
                return Err(DiagnosisError::new(field, value, remedy));
            }
        }
        self.records += 1;
        self.learned_loss -= learned.ln();
        self.frozen_loss -= frozen.ln();
        Ok(())
    }

    /// Nats that learning saves per record; negative when the table does better.
    pub fn gain(&self) -> f64 {
        if self.records == 0 {
            return 0.0;
        }
        (self.frozen_loss - self.learned_loss) / self.records as f64
    }
}
