//! What mechanics say at the bench fits into a record, with nothing left over. The reports are
//! invented; each row is one of them as a line of a table, in the units that were spoken.

use std::collections::BTreeMap;

use sward_core::domain::records::check;
use sward_core::domain::records::directory::Directory;
use sward_core::domain::records::import::{self, Reading};
use sward_core::domain::records::row::Row;
use sward_core::domain::records::subject::Subject;
use sward_core::domain::records::{NewRecord, SubjectName};

use super::filled::{NOW, SomeIds};

const REPORTS: [&str; 30] = [
    r#"{"kind":"sharpening","machine":"triplex","unit":"1","method":"backlap","duration_each_min":12,"grit":120}"#,
    r#"{"kind":"sharpening","machine":"gang","unit":"4","method":"spin grind","diameter_before_in":5.02,"diameter_after_in":4.99}"#,
    r#"{"kind":"sharpening","machine":"gang","unit":"1","method":"relief_grind","relief_angle_deg":25,"land_width_mm":1.2}"#,
    r#"{"kind":"sharpening","machine":"rough deck","method":"blade_grind","sharpened_blade_count":3,"mass_removed_g":40,"balanced":true}"#,
    r#"{"kind":"adjustment","machine":"tees","unit":"3","target":"height_of_cut","end":"left","height_change_mm":0.3,"turns":0.75}"#,
    r#"{"kind":"adjustment","machine":"walker","target":"reel_to_bedknife","turns":0.25,"end":"both","direction":"up","result":"cuts paper full width"}"#,
    r#"{"kind":"adjustment","machine":"triplex","unit":"centre","equipment":"groomer","target":"groomer_depth","setting_mm":0.5,"setting_before_mm":0.9}"#,
    r#"{"kind":"adjustment","machine":"collars","equipment":"rear_roller_brush","target":"brush_contact","movement_mm":2,"direction":"in","result":"just touching"}"#,
    r#"{"kind":"adjustment","machine":"deck","target":"deck_level","hanger":"left","movement_mm":"3/16 in","direction":"down"}"#,
    r#"{"kind":"part_replaced","machine":"fairway 1","unit":"5","part":["bedknife","bedknife screw"],"part_count":[1,11],"machine_hours_h":"1,412"}"#,
    r#"{"kind":"part_replaced","machine":"triplex","unit":"right front","part":["reel bearings","seals"],"duration_min":"2.5 h"}"#,
    r#"{"kind":"part_replaced","machine":"verticut","unit":"1","part":"verticut blades","part_count":26,"part_thickness_mm":1.5}"#,
    r#"{"kind":"part_replaced","machine":"front rotary","part":"deck belt","part_life_h":310,"part_reason":"worn_out"}"#,
    r#"{"kind":"part_replaced","machine":"seven","equipment":"rear_roller_brush","part":"rear roller brush","part_old_diameter_mm":60}"#,
    r#"{"kind":"height_reading","machine":"triplex","method":"bench","reading_unit":["1","1","2","2","3","3"],"reading_end":["left","right","left","right","left","right"],"reading_height_mm":[3.5,3.51,3.49,3.5,3.52,3.5]}"#,
    r#"{"kind":"height_reading","method":"prism","reading_area":["6 green","14 green"],"reading_height_mm":[3.1,3.3]}"#,
    r#"{"kind":"height_reading","machine":"tees","method":"bar","reading_end":["left","right"],"reading_height_in":[0.375,0.378]}"#,
    r#"{"kind":"inspection","machine":"fairway 3","unit":"2","left_diameter_in":4.93,"right_diameter_in":4.9}"#,
    r#"{"kind":"inspection","machine":"rough deck","item":["spindles","left blade","belt"],"item_condition":["good","bad","watch"],"item_found":["ok","nicked",""],"item_remaining_h":["","",50]}"#,
    r#"{"kind":"inspection","machine":"triplex","pressure_kpa":"10 psi"}"#,
    r#"{"kind":"inspection","machine":"walker","item":["leaks","reel bearing","gap"],"item_condition":["good","watch","good"],"item_found":["none","slightly rough drive side","fine"]}"#,
    r#"{"kind":"inspection","machine":"front rotary","blade_stop_time_s":3.2}"#,
    r#"{"kind":"fault_fixed","machine":"fairway 2","unit":"rear left","fault":"oil drip","found":"loose fitting on the reel motor","action":"nipped it up","fixed":true}"#,
    r#"{"kind":"fault_fixed","machine":"gang","unit":"3","fault":"uncut line","finding":"uncut_line","finding_present":true,"cause":"edge_damage","procedure":"dress_nick","action":"stone nick dressed out and knife swapped","duration_min":80,"fixed":true}"#,
    r#"{"kind":"fault_fixed","machine":"walker","equipment":"groomer","fault":"vibration","found":"bent groomer blades","part":"groomer blade","part_count":4,"fixed":true}"#,
    r#"{"kind":"fault_fixed","machine":"deck","fault":"deck clumping","found":"belt slack","action":"tightened it","hours_since_h":2,"fixed":true}"#,
    r#"{"kind":"hours","machine":"triplex","machine_hours_h":3087}"#,
    r#"{"kind":"hours","machine":"gang","hours_run_h":6.5}"#,
    r#"{"kind":"hours","machine":"verticut","since":"new blades","since_hours_h":41}"#,
    r#"{"kind":"hours","machine":"triplex","machine_hours_h":912,"since":"grind","since_hours_h":104}"#,
];

/// The rows with a day each, as they would stand in a book.
fn rows() -> Vec<Row> {
    let read = |(line, number): (&&str, u64)| {
        let line = line.replacen('{', r#"{"time":"2026-03-14","#, 1);
        Row::from_json(number, &line, &BTreeMap::new()).expect("columns that there are")
    };
    REPORTS.iter().zip(1..).map(read).collect()
}

/// The records of the rows, with whatever machines they name.
fn records() -> Vec<NewRecord> {
    let rows = rows();
    let nothing = Directory::default();
    let site = SubjectName::home();
    let bare = Reading { site: site.clone(), directory: &nothing, date_order: None };
    let needed = import::subjects_needed(&rows, &bare).expect("all can be named");
    let subjects = needed.into_iter().map(|new| Subject {
        name: new.name,
        label: new.label,
        facts: new.facts,
        created: NOW,
        updated: NOW,
        version: 1,
    });
    let directory = Directory::new(subjects.collect());
    let reading = Reading { site, directory: &directory, date_order: None };
    rows.iter()
        .map(|row| {
            let new = import::record(row, &reading).expect("a record");
            check::record(new, &SomeIds, NOW).expect("a valid record")
        })
        .collect()
}

#[test]
fn every_report_of_the_bench_is_a_valid_record() {
    let records = records();
    assert_eq!(records.len(), REPORTS.len());
    let mut ids: Vec<_> = records.iter().map(|record| record.request_id).collect();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), REPORTS.len(), "two reports are the same request");
}

/// An inch is 25.4 mm, a pound-force on a square inch 6.894757 kPa (NIST SP 811, published).
#[test]
fn spoken_units_become_the_units_of_the_record() {
    use sward_core::domain::records::Detail;
    let records = records();
    let near = |value: Option<f64>, wanted: f64| {
        assert!((value.expect("told") - wanted).abs() < 1e-6, "{value:?} is not {wanted}");
    };
    let Detail::Sharpening(ground) = &records[1].content.detail else { panic!("ground") };
    near(ground.diameter_before_mm, 127.508);
    near(ground.diameter_after_mm, 126.746);
    let Detail::Adjustment(levelled) = &records[8].content.detail else { panic!("levelled") };
    near(levelled.movement_mm, 4.7625);
    near(records[10].content.duration_min, 150.0);
    let Detail::HeightReading(bar) = &records[16].content.detail else { panic!("a bar") };
    near(bar.readings[1].height_mm, 9.6012);
    let Detail::Inspection(tyres) = &records[19].content.detail else { panic!("tyres") };
    near(tyres.pressure_kpa, 68.947573);
}
