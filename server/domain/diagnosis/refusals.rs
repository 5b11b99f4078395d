//! What is refused, and does the refusal name the field, the value and what to do?

use super::evidence::{Evidence, EvidenceKind};
use super::optimum::exact_optimum;
use super::posterior::posterior;
use super::problem::{Answer, Problem, Question, Repair};
use super::{
    Bench, Cause, Check, DiagnosisError, Finding, Link, Network, Opening, priors_from_weights,
};

fn cause() -> Cause {
    Cause {
        id: "edges_dull".to_string(),
        prior: 0.1,
        repair_minutes: 30.0,
        success: 0.9,
        opening: None,
        specialist: false,
        remedy: String::new(),
    }
}

fn finding() -> Finding {
    Finding {
        id: "ragged_tips".to_string(),
        leak: 0.05,
        sensitivity: 0.9,
        false_alarm: 0.02,
        group: String::new(),
    }
}

fn link() -> Link {
    Link { cause: "edges_dull".to_string(), finding: "ragged_tips".to_string(), probability: 0.8 }
}

fn network() -> Network {
    Network::from_compound(vec![cause()], vec![finding()], &[link()]).expect("valid")
}

fn refused<T: std::fmt::Debug>(result: Result<T, DiagnosisError>, field: &str, value: &str) {
    let error = result.expect_err(field);
    assert!(error.field.contains(field), "{error} does not name {field}");
    assert!(error.value.contains(value), "{error} does not give {value}");
    assert!(!error.remedy.is_empty(), "{error} says nothing to do");
}

#[test]
fn causes_out_of_bounds() {
    let with = |change: fn(&mut Cause)| {
        let mut cause = cause();
        change(&mut cause);
        Network::from_net(vec![cause], vec![finding()], &[])
    };
    refused(with(|cause| cause.prior = 0.0), "prior of cause edges_dull", "0");
    refused(with(|cause| cause.prior = 1.0), "prior", "1");
    refused(with(|cause| cause.prior = f64::NAN), "prior", "NaN");
    refused(with(|cause| cause.repair_minutes = -3.0), "repair_minutes", "-3");
    refused(with(|cause| cause.success = 0.0), "success", "0");
    refused(with(|cause| cause.success = 1.5), "success", "1.5");
    let twins = Network::from_net(vec![cause(), cause()], vec![finding()], &[]);
    refused(twins, "cause", "edges_dull");
}

#[test]
fn findings_out_of_bounds() {
    let with = |change: fn(&mut Finding)| {
        let mut finding = finding();
        change(&mut finding);
        Network::from_net(vec![cause()], vec![finding], &[])
    };
    refused(with(|finding| finding.leak = 1.0), "leak of finding ragged_tips", "1");
    refused(with(|finding| finding.leak = -0.1), "leak", "-0.1");
    refused(with(|finding| finding.sensitivity = 1.2), "sensitivity", "1.2");
    refused(with(|finding| finding.false_alarm = 0.9), "false_alarm", "0.9");
    let twins = Network::from_net(vec![cause()], vec![finding(), finding()], &[]);
    refused(twins, "finding", "ragged_tips");
}

#[test]
fn links_out_of_bounds() {
    let with = |change: fn(&mut Link)| {
        let mut link = link();
        change(&mut link);
        Network::from_compound(vec![cause()], vec![finding()], &[link])
    };
    let field = "probability of ragged_tips given edges_dull";
    refused(with(|link| link.probability = 0.04), field, "0.04");
    refused(with(|link| link.probability = 1.01), field, "1.01");
    refused(with(|link| link.probability = f64::NAN), field, "NaN");
    refused(with(|link| link.cause = "gremlins".to_string()), "cause", "gremlins");
    refused(with(|link| link.finding = "smells".to_string()), "finding", "smells");
    let twice = Network::from_compound(vec![cause()], vec![finding()], &[link(), link()]);
    refused(twice, "link from edges_dull", "ragged_tips");
    let net = Link { probability: -0.1, ..link() };
    refused(Network::from_net(vec![cause()], vec![finding()], &[net]), "strength", "-0.1");
}

#[test]
fn benches_out_of_bounds() {
    let check = || Check { id: "look".to_string(), minutes: 5.0, opening: None, reveals: vec![0] };
    let bench =
        |check: Check, specialist: f64| Bench::new(&network(), vec![check], Vec::new(), specialist);
    refused(bench(Check { minutes: 0.0, ..check() }, 240.0), "minutes of check look", "0");
    refused(bench(Check { opening: Some(2), ..check() }, 240.0), "opening of check look", "2");
    refused(bench(Check { reveals: vec![7], ..check() }, 240.0), "reveals of check look", "7");
    refused(bench(check(), f64::INFINITY), "specialist_minutes", "inf");
    let twins = Bench::new(&network(), vec![check(), check()], Vec::new(), 240.0);
    refused(twins, "check", "look");
    let opening = Opening { id: "tip".to_string(), minutes: -1.0 };
    refused(Bench::new(&network(), vec![check()], vec![opening], 240.0), "opening tip", "-1");
    let many: Vec<Check> = (0..65).map(|at| Check { id: format!("c{at}"), ..check() }).collect();
    refused(Bench::new(&network(), many, Vec::new(), 240.0), "number of checks", "65");
}

#[test]
fn evidence_that_cannot_be() {
    let answered = |present| Evidence { finding: 0, present, kind: EvidenceKind::Answered };
    let network = network();
    let unknown = Evidence { finding: 9, ..answered(true) };
    refused(posterior(&network, &[unknown]), "finding", "9");
    let both = [answered(true), answered(false)];
    refused(posterior(&network, &both), "finding ragged_tips", "both");
    let kind = EvidenceKind::Heard { confidence: 1.5 };
    let sure = Evidence { kind, ..answered(true) };
    refused(posterior(&network, &[sure]), "confidence of finding ragged_tips", "1.5");
    let tight = Finding { leak: 0.0, ..finding() };
    let never = Network::from_net(vec![cause()], vec![tight], &[]).expect("valid");
    refused(posterior(&never, &[answered(true)]), "evidence", "impossible");
}

#[test]
fn weights_that_give_no_priors() {
    refused(priors_from_weights(&[1.0, 0.0], 0.3), "weight", "0");
    refused(priors_from_weights(&[1.0, f64::NAN], 0.3), "weight", "NaN");
    refused(priors_from_weights(&[9.0, 1.0], 1.5), "prior", "1.35");
    refused(priors_from_weights(&[1.0], 0.0), "expected_faults", "0");
}

#[test]
fn problems_that_cannot_be() {
    let repair = |minutes: f64, cures: Vec<(usize, f64)>| Repair { minutes, opening: None, cures };
    let with = |repair: Repair, yes: Vec<f64>| {
        let answers = vec![Answer { fact: 0, yes }];
        let question = Question { minutes: 1.0, opening: None, answers };
        Problem::new(vec![0.5, 0.5], vec![repair], vec![question], Vec::new(), 60.0)
    };
    refused(with(repair(0.0, vec![(0, 1.0)]), vec![0.5, 0.5]), "minutes of a repair", "0");
    refused(with(repair(5.0, vec![(4, 1.0)]), vec![0.5, 0.5]), "hypothesis", "4");
    refused(with(repair(5.0, vec![(0, 1.1)]), vec![0.5, 0.5]), "success", "1.1");
    refused(with(repair(5.0, vec![(0, 1.0)]), vec![0.5]), "answer", "1");
    refused(with(repair(5.0, vec![(0, 1.0)]), vec![0.5, 2.0]), "probability of a yes", "2");
    let nothing = Problem::new(vec![0.0], Vec::new(), Vec::new(), Vec::new(), 60.0);
    refused(nothing, "belief", "0");
    let many = (0..13).map(|_| repair(5.0, vec![(0, 0.5)])).collect();
    let large = Problem::new(vec![0.5, 0.5], many, Vec::new(), Vec::new(), 60.0).expect("valid");
    refused(exact_optimum(&large), "number of checks and repairs", "13");
}
