//! What holds for all learning: order does not matter, a record counts once, and a few records move
//! nothing further than the strengths say.

use proptest::prelude::{Strategy, any, prop, prop_assert, prop_assert_eq, proptest};

use super::evidence::{Evidence, EvidenceKind};
use super::learning::{
    Confirmed, Counts, LevelStrengths, Prequential, Strengths, Whose, apply, explain, with_age,
};
use super::posterior::posterior;
use super::{Cause, Finding, Link, Network};

const CAUSES: usize = 4;
const FINDINGS: usize = 3;

fn network() -> Network {
    let cause = |at: usize| Cause {
        id: format!("d{at}"),
        prior: 0.03 * (at + 1) as f64,
        repair_minutes: 10.0,
        success: 0.9,
        opening: None,
        specialist: false,
        remedy: String::new(),
    };
    let finding = |at: usize| Finding {
        id: format!("f{at}"),
        leak: 0.02 * (at + 1) as f64,
        sensitivity: 0.9,
        false_alarm: 0.02,
        group: String::new(),
    };
    let mut links = Vec::new();
    for cause in 0..CAUSES {
        for finding in (0..FINDINGS).filter(|finding| (cause + finding) % 2 == 0) {
            let probability = 0.3 + 0.15 * cause as f64;
            let (cause, finding) = (format!("d{cause}"), format!("f{finding}"));
            links.push(Link { cause, finding, probability });
        }
    }
    Network::from_compound(
        (0..CAUSES).map(cause).collect(),
        (0..FINDINGS).map(finding).collect(),
        &links,
    )
    .expect("valid")
}

fn fix(cause: usize, shop: &str, unit_type: &str, answers: &[(usize, bool)]) -> Confirmed {
    Confirmed {
        cause: format!("d{cause}"),
        shop: shop.to_string(),
        unit_type: unit_type.to_string(),
        answers: answers.iter().map(|(at, yes)| (format!("f{at}"), *yes)).collect(),
    }
}

fn fixes() -> impl Strategy<Value = Vec<Confirmed>> {
    let answers = prop::collection::vec((0..FINDINGS, any::<bool>()), 0..3);
    let one =
        (0..CAUSES, 0usize..3, 0usize..3, answers).prop_map(|(cause, shop, unit, answers)| {
            fix(cause, ["own", "next", "far"][shop], ["", "reel", "deck"][unit], &answers)
        });
    prop::collection::vec(one, 0..25)
}

fn whose(shop: &str, unit_type: &str) -> Whose {
    Whose { shop: shop.to_string(), unit_type: unit_type.to_string() }
}

fn counted(fixes: &[Confirmed]) -> Counts {
    let mut counts = Counts::default();
    fixes.iter().for_each(|fix| counts.record(fix));
    counts
}

proptest! {
    #[test]
    fn order_of_records_does_not_matter(mut fixes in fixes(), turn in 0usize..25) {
        let counts = counted(&fixes);
        fixes.reverse();
        let len = fixes.len().max(1);
        fixes.rotate_left(turn % len);
        prop_assert_eq!(counted(&fixes), counts);
    }

    #[test]
    fn withdrawing_undoes_recording(fixes in fixes(), cause in 0..CAUSES, yes in any::<bool>()) {
        let mut counts = counted(&fixes);
        let before = counts.clone();
        let late = fix(cause, "own", "reel", &[(0, yes), (1, !yes)]);
        counts.record(&late);
        counts.withdraw(&late).expect("counted");
        prop_assert_eq!(counts, before);
    }

    #[test]
    fn shares_sum_to_one_and_records_count_once(fixes in fixes()) {
        let counts = counted(&fixes);
        for whose in [whose("own", "reel"), whose("own", ""), whose("", ""), whose("new", "reel")] {
            let found = explain(&network(), &counts, &whose, &Strengths::default()).expect("valid");
            let sum: f64 = found.shares.iter().map(|share| share.learned()).sum();
            prop_assert!((sum - 1.0).abs() < 1e-12);
            let share = &found.shares[0];
            let records = share.everyone.records + share.shop.records + share.unit_type.records;
            prop_assert_eq!(records, fixes.len() as u64);
            let learned = apply(&network(), &counts, &whose, &Strengths::default()).expect("valid");
            prop_assert!(learned.causes.iter().all(|cause| cause.prior > 0.0 && cause.prior < 1.0));
        }
    }

    /// Three records of one cause, whatever was counted before: its share moves to the bound of a
    /// Dirichlet and its odds against any other cause grow by the ratio of the counts, no more.
    #[test]
    fn three_hostile_records_move_what_the_strength_allows(fixes in fixes(), cause in 0..CAUSES) {
        let (network, strengths) = (network(), Strengths::default());
        let whose = whose("own", "reel");
        let mut counts = counted(&fixes);
        let before = explain(&network, &counts, &whose, &strengths).expect("valid");
        let quiet = apply(&network, &counts, &whose, &strengths).expect("valid");
        let hostile = fix(cause, "own", "reel", &[(0, true)]);
        (0..3).for_each(|_| counts.record(&hostile));
        let after = explain(&network, &counts, &whose, &strengths).expect("valid");
        let loud = apply(&network, &counts, &whose, &strengths).expect("valid");

        let weight = strengths.causes.unit_type + before.shares[cause].unit_type.records as f64;
        let share = before.shares[cause].learned();
        let bound = (weight * share + 3.0) / (weight + 3.0);
        prop_assert!((after.shares[cause].learned() - bound).abs() < 1e-12);

        let heard = Evidence {
            finding: 1,
            present: true,
            kind: EvidenceKind::Heard { confidence: 1.0 },
        };
        let odds = |network: &Network| {
            let single = posterior(network, &[heard]).expect("possible").single;
            single[cause] / single[(cause + 1) % CAUSES]
        };
        let growth = (weight * share + 3.0) / (weight * share);
        prop_assert!((odds(&loud) / odds(&quiet) / growth - 1.0).abs() < 1e-9);
    }

    #[test]
    fn three_hostile_answers_move_a_rate_what_the_strength_allows(yes in any::<bool>()) {
        let (network, strengths) = (network(), Strengths::default());
        let table = network.compound(2, 0);
        let counts = counted(&vec![fix(2, "own", "reel", &[(0, yes)]); 3]);
        let learned = apply(&network, &counts, &whose("own", "reel"), &strengths).expect("valid");
        let hits = if yes { 3.0 } else { 0.0 };
        let strength = strengths.findings.unit_type;
        let expected = (strength * table + hits) / (strength + 3.0);
        prop_assert!((learned.compound(2, 0) - expected).abs() < 1e-12);
        for (cause, finding) in [(2, 1), (1, 0), (3, 2)] {
            prop_assert_eq!(learned.strength(cause, finding), network.strength(cause, finding));
        }
    }
}

/// By hand: strength 20 each. Others: d3 in 2 of 4. The shop: 1 of 1 more. The type: 0 of 2.
#[test]
fn each_level_starts_from_the_one_above() {
    let network = network();
    let counts = counted(&[
        fix(3, "far", "", &[]),
        fix(3, "far", "reel", &[]),
        fix(0, "next", "reel", &[]),
        fix(1, "next", "reel", &[]),
        fix(3, "own", "deck", &[]),
        fix(0, "own", "reel", &[]),
        fix(0, "own", "reel", &[]),
    ]);
    let twenty = LevelStrengths { everyone: 20.0, shop: 20.0, unit_type: 20.0 };
    let strengths = Strengths { causes: twenty, findings: twenty };
    let found = explain(&network, &counts, &whose("own", "reel"), &strengths).expect("valid");
    let share = found.shares[3];
    let odds = |prior: f64| prior / (1.0 - prior);
    let total: f64 = network.causes.iter().map(|cause| odds(cause.prior)).sum();
    let table = odds(0.12) / total;
    let everyone = (20.0 * table + 2.0) / 24.0;
    let shop = (20.0 * everyone + 1.0) / 21.0;
    let unit_type = 20.0 * shop / 22.0;
    for (found, expected) in [
        (share.table, table),
        (share.everyone.estimate, everyone),
        (share.shop.estimate, shop),
        (share.unit_type.estimate, unit_type),
    ] {
        assert!((found - expected).abs() < 1e-12, "{share:?}");
    }
    assert_eq!((share.everyone.hits, share.everyone.records), (2, 4));
    assert_eq!((share.shop.hits, share.shop.records), (1, 1));
    assert_eq!((share.unit_type.hits, share.unit_type.records), (0, 2));
}

/// A finding that a cause keeps not showing loses its link; one it keeps showing gains one.
#[test]
fn links_come_and_go_with_the_answers() {
    let network = network();
    assert!(network.strength(0, 2) > 0.0 && network.strength(0, 1) == 0.0);
    let seen = fix(0, "own", "reel", &[(1, true), (2, false)]);
    let counts = counted(&vec![seen; 200]);
    let learned =
        apply(&network, &counts, &whose("own", "reel"), &Strengths::default()).expect("valid");
    assert_eq!(learned.strength(0, 2), 0.0);
    assert!(learned.strength(0, 1) > 0.8);
}

/// Counts of causes that the knowledge no longer has are left out, and take no share.
#[test]
fn forgotten_causes_are_left_out() {
    let network = network();
    let mut gone = fix(0, "own", "reel", &[(0, true)]);
    gone.cause = "d_gone".to_string();
    let counts = counted(&vec![gone; 9]);
    let learned =
        apply(&network, &counts, &whose("own", "reel"), &Strengths::default()).expect("valid");
    for (found, table) in learned.causes.iter().zip(&network.causes) {
        assert!((found.prior - table.prior).abs() < 1e-15);
    }
}

/// Learning pays when the shop's mix is not the table's: 60 fixes, four in five of one rare cause.
#[test]
fn the_loss_falls_when_the_shop_differs_from_the_table() {
    let network = network();
    let own = whose("own", "reel");
    let mut counts = Counts::default();
    let mut losses = Prequential::default();
    for at in 0..60 {
        let cause = if at % 5 == 4 { 3 } else { 0 };
        let found = explain(&network, &counts, &own, &Strengths::default()).expect("valid");
        let share = found.shares[cause];
        losses.add(share.learned(), share.table).expect("probabilities");
        counts.record(&fix(cause, "own", "reel", &[]));
    }
    assert!(losses.gain() > 0.5, "{losses:?}");
}

#[test]
fn learning_refuses_what_cannot_be() {
    let network = network();
    let mut counts = Counts::default();
    counts.record(&fix(0, "own", "reel", &[(0, true)]));
    let before = counts.clone();
    for wrong in [
        fix(1, "own", "reel", &[(0, true)]),
        fix(0, "next", "reel", &[(0, true)]),
        fix(0, "own", "deck", &[(0, true)]),
        fix(0, "own", "reel", &[(0, false)]),
        fix(0, "own", "reel", &[(0, true), (0, true)]),
    ] {
        assert!(counts.withdraw(&wrong).is_err(), "{wrong:?}");
        assert_eq!(counts, before, "a refused withdrawal changes nothing");
    }
    let mut strengths = Strengths::default();
    strengths.findings.shop = 0.0;
    let error = apply(&network, &counts, &whose("own", ""), &strengths).expect_err("no strength");
    assert!(error.field.contains("shop"), "{error}");
    assert!(with_age(&network, &[0], 1.0).is_err());
    assert!(with_age(&network, &[99], 0.5).is_err());
    assert!(Prequential::default().add(0.0, 0.5).is_err());
}
