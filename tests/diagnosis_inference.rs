//! Do posterior probabilities agree with numbers worked out elsewhere? Each fixture names its
//! source. "Computed" means exact rationals or a full enumeration in another language, done once.
//! Behaviour for all inputs is tested beside the code.

use sward_core::domain::diagnosis::evidence::{Evidence, EvidenceKind, settle};
use sward_core::domain::diagnosis::learning::with_age;
use sward_core::domain::diagnosis::posterior::{Posterior, posterior};
use sward_core::domain::diagnosis::problem::{Answer, Problem, Question};
use sward_core::domain::diagnosis::{Cause, Finding, Link, Network, net_strength};

fn near(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, expected {expected}");
}

fn all_near(found: &[f64], expected: &[f64], tolerance: f64, what: &str) {
    assert_eq!(found.len(), expected.len(), "{what}: {found:?}");
    for (found, expected) in found.iter().zip(expected) {
        near(*found, *expected, tolerance, what);
    }
}

fn shares(belief: &[f64]) -> Vec<f64> {
    let total: f64 = belief.iter().sum();
    belief.iter().map(|mass| mass / total).collect()
}

// ---- The network ---------------------------------------------------------------------------

struct Table<'a> {
    priors: &'a [f64],
    leaks: &'a [f64],
    /// One row per cause, one column per finding; 0 is no link.
    strengths: &'a [&'a [f64]],
}

/// A network of causes d0, d1.. and findings f0, f1.. Each cause also has an indicator i0, i1..: a
/// finding that is present exactly when the cause is, to ask for joint and conditional chances.
fn network(table: &Table, compound: bool) -> Network {
    let plain = |id: String, leak: f64| Finding {
        id,
        leak,
        sensitivity: 0.95,
        false_alarm: 0.02,
        group: String::new(),
    };
    let mut findings = Vec::new();
    let mut links = Vec::new();
    let mut causes = Vec::new();
    for (at, leak) in table.leaks.iter().enumerate() {
        findings.push(plain(format!("f{at}"), *leak));
    }
    for (at, prior) in table.priors.iter().enumerate() {
        findings.push(plain(format!("i{at}"), 0.0));
        let mut link = |finding: String, probability: f64| {
            links.push(Link { cause: format!("d{at}"), finding, probability });
        };
        link(format!("i{at}"), 1.0);
        for (finding, strength) in table.strengths[at].iter().enumerate() {
            if *strength > 0.0 {
                link(format!("f{finding}"), *strength);
            }
        }
        causes.push(Cause {
            id: format!("d{at}"),
            prior: *prior,
            repair_minutes: 10.0,
            success: 0.9,
            opening: None,
            specialist: false,
            remedy: String::new(),
        });
    }
    if compound {
        Network::from_compound(causes, findings, &links).expect("valid")
    } else {
        Network::from_net(causes, findings, &links).expect("valid")
    }
}

fn answered(network: &Network, answers: &[(&str, bool)]) -> Vec<Evidence> {
    let one = |(id, present): &(&str, bool)| Evidence {
        finding: network.finding_index(id).expect("a finding of the network"),
        present: *present,
        kind: EvidenceKind::Answered,
    };
    answers.iter().map(one).collect()
}

fn given(network: &Network, answers: &[(&str, bool)]) -> Posterior {
    posterior(network, &answered(network, answers)).expect("possible evidence")
}

fn chance(network: &Network, answers: &[(&str, bool)]) -> f64 {
    given(network, answers).log_evidence.exp()
}

/// Fever from cold, flu and malaria: the noisy-OR table of Pearl, in AIMA (published).
#[test]
fn f1_fever_table_of_noisy_or() {
    let table =
        Table { priors: &[0.5, 0.5, 0.5], leaks: &[0.0], strengths: &[&[0.4], &[0.8], &[0.9]] };
    let network = network(&table, false);
    let rows = [
        ([false, false, false], 1.0),
        ([false, false, true], 0.1),
        ([false, true, false], 0.2),
        ([false, true, true], 0.02),
        ([true, false, false], 0.6),
        ([true, false, true], 0.06),
        ([true, true, false], 0.12),
        ([true, true, true], 0.012),
    ];
    for ([cold, flu, malaria], no_fever) in rows {
        let causes = [("i0", cold), ("i1", flu), ("i2", malaria)];
        let both = [("f0", false), causes[0], causes[1], causes[2]];
        let found = chance(&network, &both) / chance(&network, &causes);
        near(found, no_fever, 1e-12, &format!("{causes:?}"));
    }
}

/// The same with priors. Computed; a general network library agrees to eight digits.
#[test]
fn f1b_fever_without_and_with_a_leak() {
    let priors = [0.10, 0.05, 0.001];
    let net: &[&[f64]] = &[&[0.4], &[0.8], &[0.9]];
    let fever = [("f0", true)];

    let tight = network(&Table { priors: &priors, leaks: &[0.0], strengths: net }, false);
    near(chance(&tight, &fever), 0.07922944, 1e-8, "P(fever), no leak");
    let expected = [0.535808911, 0.510020518, 0.011458367];
    all_near(&given(&tight, &fever).marginals, &expected, 1e-9, "no leak");

    let table = Table { priors: &priors, leaks: &[0.01], strengths: net };
    let leaky = network(&table, false);
    near(chance(&leaky, &fever), 0.0884371456, 1e-10, "P(fever), net leak");
    let expected = [0.486529968, 0.458003855, 0.010275791];
    all_near(&given(&leaky, &fever).marginals, &expected, 1e-9, "net leak");
    let explained = given(&leaky, &[("f0", true), ("i0", true)]);
    near(explained.marginals[1], 0.102412477, 1e-9, "P(flu | fever, cold)");
    let unexplained = given(&leaky, &[("f0", true), ("i0", false)]);
    near(unexplained.marginals[1], 0.794938536, 1e-9, "P(flu | fever, no cold)");
    let both = [("i0", true), ("i1", true), ("i2", false)];
    let all = [("f0", true), both[0], both[1], both[2]];
    near(chance(&leaky, &all) / chance(&leaky, &both), 0.8812, 1e-12, "net P(fever | both)");

    // The same numbers read as an expert states them: a classic mistake gives other posteriors.
    let stated = network(&table, true);
    let expected = [0.48363059, 0.46035073, 0.01034324];
    all_near(&given(&stated, &fever).marginals, &expected, 1e-8, "compound leak");
    let both = [("i0", true), ("i1", true), ("i2", false)];
    let all = [("f0", true), both[0], both[1], both[2]];
    near(chance(&stated, &all) / chance(&stated, &both), 0.878787879, 1e-9, "compound");
}

/// Computed from 1 - net = (1 - stated) / (1 - leak) (Henrion's and Diez's conventions, published).
#[test]
fn stated_probabilities_become_net_strengths() {
    near(net_strength(0.80, 0.01).expect("valid"), 0.797980, 1e-6, "0.80 over 0.01");
    near(net_strength(0.40, 0.05).expect("valid"), 0.368421, 1e-6, "0.40 over 0.05");
    let refused = net_strength(0.04, 0.05).expect_err("below the leak");
    assert!(refused.remedy.contains("0.05"), "{refused}");
}

/// Six causes, five findings. Computed: Quickscore in exact rationals equals enumeration.
#[test]
fn f5_several_faults_at_once() {
    let table = Table {
        priors: &[0.10, 0.05, 0.08, 0.03, 0.02, 0.12],
        leaks: &[0.01, 0.02, 0.005, 0.03, 0.01],
        strengths: &[
            &[0.80, 0.10, 0.0, 0.30, 0.0],
            &[0.20, 0.70, 0.0, 0.0, 0.40],
            &[0.0, 0.60, 0.50, 0.0, 0.0],
            &[0.90, 0.0, 0.40, 0.60, 0.0],
            &[0.0, 0.30, 0.90, 0.0, 0.70],
            &[0.10, 0.05, 0.0, 0.50, 0.20],
        ],
    };
    let network = network(&table, false);
    let seen = [("f0", true), ("f1", false), ("f2", true), ("f3", true)];
    let found = given(&network, &seen);
    near(found.log_evidence.exp(), 0.00747250355808, 1e-14, "P(evidence)");
    let expected = [0.20156298, 0.01673822, 0.11314931, 0.87238090, 0.07502868, 0.17248818];
    all_near(&found.marginals, &expected, 1e-8, "marginals");
    near(found.other, 0.00012945, 1e-8, "none");
    near(1.0 - found.other - found.several, 0.60817023, 1e-8, "exactly one");
    near(found.several, 0.33441524 + 0.05728508, 2e-8, "two or more");
    let expected = [0.01826107, 0.00006989, 0.00074387, 0.97500662, 0.00054750, 0.00515825];
    all_near(&found.single, &expected, 1e-8, "at most one fault");
    near(found.single_unknown, 0.00021280, 1e-8, "unknown");

    // The three most probable sets of causes, asked for through the indicators.
    for (set, expected) in
        [(vec![3], 0.59309621), (vec![3, 5], 0.10230029), (vec![0, 3], 0.07679511)]
    {
        let mut all = answered(&network, &seen);
        for cause in 0..6 {
            all.extend(answered(&network, &[(&format!("i{cause}"), set.contains(&cause))]));
        }
        let joint = posterior(&network, &all).expect("possible").log_evidence;
        near((joint - found.log_evidence).exp(), expected, 1e-8, &format!("{set:?}"));
    }
}

// ---- Belief over hypotheses ----------------------------------------------------------------

/// Answers, each as P(yes | hypothesis) over all hypotheses and whether it was yes.
type Answers<'a> = &'a [(&'a [f64], bool)];

/// P(fact) and the shares of the hypotheses after answers, by the planner's own updating.
fn believe(belief: &[f64], answers: Answers) -> (f64, Vec<f64>) {
    let mut belief = belief.to_vec();
    for (row, present) in answers {
        let answer = Answer { fact: 0, yes: row.to_vec() };
        belief = if *present { answer.yes(&belief) } else { answer.no(&belief) };
    }
    (belief.iter().sum(), shares(&belief))
}

/// P(the hypotheses for which `is` holds).
fn share_of(shares: &[f64], is: impl Fn(usize) -> bool) -> f64 {
    shares.iter().enumerate().filter(|(at, _)| is(*at)).map(|(_, share)| share).sum()
}

fn bits(at: usize, bit: usize) -> bool {
    at & (1 << bit) != 0
}

fn switch(on: bool, chance: f64) -> f64 {
    if on { chance } else { 1.0 - chance }
}

/// The chest clinic (Lauritzen and Spiegelhalter 1988, parameters from memory; marginals computed
/// and confirmed by a general network library). Bits: asia, smoke, tub, lung, bronc. Its arcs
/// between causes are outside our two layers, so the joint states are the hypotheses.
#[test]
fn f2_chest_clinic() {
    let count = 32;
    let joint: Vec<f64> = (0..count)
        .map(|at| {
            let [asia, smoke, tub, lung, bronc] = [0, 1, 2, 3, 4].map(|bit| bits(at, bit));
            switch(asia, 0.01)
                * switch(smoke, 0.5)
                * switch(tub, if asia { 0.05 } else { 0.01 })
                * switch(lung, if smoke { 0.1 } else { 0.01 })
                * switch(bronc, if smoke { 0.6 } else { 0.3 })
        })
        .collect();
    let either = |at: usize| bits(at, 2) || bits(at, 3);
    let rows = |of: &dyn Fn(usize) -> f64| -> Vec<f64> { (0..count).map(of).collect() };
    let asia = rows(&|at| f64::from(u8::from(bits(at, 0))));
    let smoke = rows(&|at| f64::from(u8::from(bits(at, 1))));
    let xray = rows(&|at| if either(at) { 0.98 } else { 0.05 });
    let dysp = rows(&|at| match (either(at), bits(at, 4)) {
        (true, true) => 0.9,
        (true, false) => 0.7,
        (false, true) => 0.8,
        (false, false) => 0.1,
    });
    near(believe(&joint, &[(&xray, true)]).0, 0.11029004, 1e-8, "P(xray)");
    near(believe(&joint, &[(&dysp, true)]).0, 0.4359706, 1e-7, "P(dysp)");
    let table: [(Answers, [f64; 4]); 6] = [
        (&[], [0.0104, 0.055, 0.45, 0.064828]),
        (&[(&asia, true), (&dysp, true)], [0.08775096, 0.09952515, 0.81140207, 0.18229985]),
        (
            &[(&asia, true), (&dysp, true), (&smoke, true)],
            [0.07275954, 0.14551908, 0.86725821, 0.21100266],
        ),
        (
            &[(&asia, true), (&dysp, true), (&xray, false)],
            [0.00224870, 0.00255042, 0.86276077, 0.00467159],
        ),
        (&[(&dysp, true)], [0.01884531, 0.10275922, 0.83396734, 0.12053583]),
        (&[(&xray, true), (&dysp, true)], [0.11393333, 0.62125280, 0.68186854, 0.72872509]),
    ];
    for (answers, [tub, lung, bronc, both]) in table {
        let (_, after) = believe(&joint, answers);
        near(share_of(&after, |at| bits(at, 2)), tub, 1e-8, "tuberculosis");
        near(share_of(&after, |at| bits(at, 3)), lung, 1e-8, "lung");
        near(share_of(&after, |at| bits(at, 4)), bronc, 1e-8, "bronchitis");
        near(share_of(&after, either), both, 1e-8, "either");
    }
}

/// Burglary, earthquake, alarm and two neighbours (AIMA, published). Bits: burglary, earthquake,
/// alarm.
#[test]
fn f3_burglary() {
    let joint: Vec<f64> = (0..8)
        .map(|at| {
            let [burglary, earthquake, alarm] = [0, 1, 2].map(|bit| bits(at, bit));
            let rings = match (burglary, earthquake) {
                (true, true) => 0.95,
                (true, false) => 0.94,
                (false, true) => 0.29,
                (false, false) => 0.001,
            };
            switch(burglary, 0.001) * switch(earthquake, 0.002) * switch(alarm, rings)
        })
        .collect();
    let rows = |of: &dyn Fn(usize) -> f64| -> Vec<f64> { (0..8).map(of).collect() };
    let john = rows(&|at| if bits(at, 2) { 0.9 } else { 0.05 });
    let mary = rows(&|at| if bits(at, 2) { 0.7 } else { 0.01 });
    let alarm = rows(&|at| f64::from(u8::from(bits(at, 2))));
    let quake = rows(&|at| f64::from(u8::from(bits(at, 1))));
    let burglary = |after: &[f64]| share_of(after, |at| bits(at, 0));
    let (_, both) = believe(&joint, &[(&john, true), (&mary, true)]);
    near(burglary(&both), 0.28417183536, 1e-11, "P(B | j, m)");
    near(share_of(&both, |at| bits(at, 2)), 0.76069203886, 1e-11, "P(A | j, m)");
    near(believe(&joint, &[(&john, true)]).0, 0.0521389757, 1e-10, "P(j)");
    near(burglary(&believe(&joint, &[(&alarm, true)]).1), 0.37355122828, 1e-11, "P(B | a)");
    let (_, excused) = believe(&joint, &[(&alarm, true), (&quake, true)]);
    near(burglary(&excused), 0.00326842359, 1e-11, "P(B | a, e)");
}

/// Cloud, sprinkler, rain and wet grass (AIMA, published). Bits: cloudy, sprinkler, rain.
#[test]
fn f4_sprinkler() {
    let joint: Vec<f64> = (0..8)
        .map(|at| {
            let [cloudy, sprinkler, rain] = [0, 1, 2].map(|bit| bits(at, bit));
            0.5 * switch(sprinkler, if cloudy { 0.1 } else { 0.5 })
                * switch(rain, if cloudy { 0.8 } else { 0.2 })
        })
        .collect();
    let wet: Vec<f64> = (0..8)
        .map(|at| match (bits(at, 1), bits(at, 2)) {
            (true, true) => 0.99,
            (false, false) => 0.0,
            _ => 0.9,
        })
        .collect();
    let rain: Vec<f64> = (0..8).map(|at| f64::from(u8::from(bits(at, 2)))).collect();
    let (chance, after) = believe(&joint, &[(&wet, true)]);
    near(chance, 0.6471, 1e-12, "P(wet)");
    near(share_of(&after, |at| bits(at, 1)), 0.42976356050, 1e-11, "P(S | W)");
    near(share_of(&after, |at| bits(at, 2)), 0.70792767733, 1e-11, "P(R | W)");
    let (_, after) = believe(&joint, &[(&wet, true), (&rain, true)]);
    near(share_of(&after, |at| bits(at, 1)), 0.19449901768, 1e-11, "P(S | W, R)");
}

/// Four causes and the unknown fault, three findings. Computed.
#[test]
fn f6_single_fault_belief_and_the_unknown() {
    let belief = [0.30, 0.25, 0.20, 0.15, 0.10];
    let s1: &[f64] = &[0.80, 0.30, 0.10, 0.20, 0.30];
    let s2: &[f64] = &[0.60, 0.10, 0.70, 0.20, 0.25];
    let s3: &[f64] = &[0.10, 0.50, 0.20, 0.60, 0.20];
    let once = [0.60759494, 0.18987342, 0.05063291, 0.07594937, 0.07594937];
    all_near(&believe(&belief, &[(s1, true)]).1, &once, 1e-8, "s1");
    let expected = [0.80446927, 0.04189944, 0.07821229, 0.03351955, 0.04189944];
    all_near(&believe(&belief, &[(s1, true), (s2, true)]).1, &expected, 1e-8, "s1, s2");
    let (chance, after) = believe(&belief, &[(s1, true), (s2, true), (s3, false)]);
    near(chance, 0.15295, 1e-12, "P(e)");
    let expected = [0.84733573, 0.02451782, 0.07322654, 0.01569140, 0.03922851];
    all_near(&after, &expected, 1e-8, "s1, s2, not s3");

    // The same thing said twice makes the naive answer too sure; as one fact it counts once.
    near(believe(&belief, &[(s1, true), (s1, true)]).1[0], 0.82937365, 1e-8, "twice");
    let said = |facts: [usize; 2]| {
        let answers = facts.map(|fact| Answer { fact, yes: s1.to_vec() }).to_vec();
        let twice = Question { minutes: 1.0, opening: None, answers };
        let problem = Problem::new(belief.to_vec(), Vec::new(), vec![twice], Vec::new(), 60.0)
            .expect("valid");
        let outcomes = problem.outcomes(&problem.start(), 0);
        shares(outcomes.iter().last().expect("the outcome of only yes").1)
    };
    near(said([0, 1])[0], 0.82937365, 1e-8, "two facts");
    all_near(&said([0, 0]), &once, 1e-8, "one fact");

    // Heard in words: sensitivity 0.95, false alarm 0.02, as every finding of `network` has.
    let table = Table { priors: &[0.1], leaks: &[0.1], strengths: &[&[0.5]] };
    let heard =
        Evidence { finding: 0, present: true, kind: EvidenceKind::Heard { confidence: 1.0 } };
    let settled = settle(&network(&table, false), &[heard]).expect("valid")[0];
    let likelihood: Vec<f64> =
        s1.iter().map(|p| settled.if_present * p + settled.if_absent * (1.0 - p)).collect();
    let expected = [0.59171292, 0.19297793, 0.05834517, 0.07977282, 0.07719117];
    all_near(&believe(&belief, &[(&likelihood, true)]).1, &expected, 1e-8, "heard s1");
}

/// Three parts of 3, 12 and 5 months with survival exp(-0.09 t) (Hasidi and Kalech 2021, published,
/// printed .24 .66 .36; digits computed). One fault of the three: odds, not probabilities, are in
/// proportion; normalised probabilities would say .188 .524 .288.
#[test]
fn f7_age_as_prior() {
    let strengths: &[&[f64]] = &[&[0.5], &[0.5], &[0.5]];
    let table = Table { priors: &[0.3, 0.3, 0.3], leaks: &[0.1], strengths };
    let mut aged = network(&table, false);
    for (part, age_months) in [3.0, 12.0, 5.0].into_iter().enumerate() {
        aged = with_age(&aged, &[part], f64::exp(-0.09 * age_months)).expect("valid");
    }
    let priors: Vec<f64> = aged.causes.iter().map(|cause| cause.prior).collect();
    all_near(&priors, &[0.24, 0.66, 0.36], 0.005, "printed");
    all_near(&priors, &[0.23662051, 0.66040447, 0.36237185], 1e-8, "computed");
    let one_fault = shares(&given(&aged, &[]).single);
    all_near(&one_fault, &[0.10980137, 0.68888053, 0.20131810], 1e-8, "exactly one");
}
