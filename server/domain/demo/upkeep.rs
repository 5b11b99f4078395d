//! What is done week by week? Meters are read, edges lapped and ground, heights set and read, parts
//! changed when they are worn. How often is plausible (common practice, no source), and every
//! number lies where such numbers lie.

use crate::domain::catalogue::Equipment;
use crate::domain::records::Content;
use crate::domain::records::choices::{
    AdjustmentTarget, Condition, Direction, Place, ReplacementReason, SharpeningMethod,
};
use crate::domain::records::detail::{
    Adjustment, Detail, Hours, HoursSince, Inspection, InspectionItem, Observation, Part,
    PartReplaced, Sharpening,
};

use super::dice::rounded;
use super::fleet::{MachineRow, UnitRow};
use super::{Book, SEASON_WEEKS, YEAR_WEEKS, heights, season_weeks};

/// A machine as the seasons go over it.
struct Worn {
    machine: &'static MachineRow,
    hours_h: f64,
    since_noted_h: f64,
    since_ground_h: f64,
    /// By unit: what is left of the diameter, and hours of the bedknife or belt.
    diameters_mm: Vec<f64>,
    part_hours_h: Vec<f64>,
}

/// Both seasons of one machine, and the winter between.
pub fn keep(book: &mut Book, machine: &'static MachineRow) {
    let mut worn = Worn {
        machine,
        hours_h: machine.first_hours_h,
        since_noted_h: 0.0,
        since_ground_h: 0.0,
        diameters_mm: machine.units.iter().map(|unit| unit.new_diameter_mm - 2.0).collect(),
        part_hours_h: machine.units.iter().map(|_| book.dice.number(0.0, 200.0, 0)).collect(),
    };
    for week in season_weeks() {
        let run_h = book.dice.number(0.7, 1.3, 2) * machine.hours_per_week_h;
        worn.run(rounded(run_h, 1));
        let day = week * 7 + book.dice.whole(0, 5);
        match machine.equipment {
            Equipment::RotaryDeck => deck_week(book, &mut worn, week, day),
            Equipment::VerticutReel => verticut_week(book, &worn, week, day),
            Equipment::ReelUnit | Equipment::Groomer | Equipment::RearRollerBrush => {
                reel_week(book, &mut worn, week, day);
            }
        }
        if week % 4 == 3 {
            note_hours(book, &mut worn, day);
        }
        if week % 6 == 2 {
            look_over(book, machine, day);
        }
        replace_worn(book, &mut worn, day);
        if week == SEASON_WEEKS - 1 {
            winter(book, &mut worn);
        }
    }
}

impl Worn {
    fn run(&mut self, hours_h: f64) {
        self.hours_h = rounded(self.hours_h + hours_h, 1);
        self.since_noted_h = rounded(self.since_noted_h + hours_h, 1);
        self.since_ground_h = rounded(self.since_ground_h + hours_h, 1);
        for part_h in &mut self.part_hours_h {
            *part_h += hours_h;
        }
    }

    fn reels(&self) -> impl Iterator<Item = (usize, &'static UnitRow)> + use<> {
        let units = self.machine.units;
        units.iter().enumerate().filter(|(_, unit)| unit.equipment == Equipment::ReelUnit)
    }
}

fn note_hours(book: &mut Book, worn: &mut Worn, day: i64) {
    let since = HoursSince { since: "grind".to_owned(), hours_h: Some(worn.since_ground_h) };
    let ground = worn.machine.equipment == Equipment::ReelUnit && worn.since_ground_h > 0.0;
    let mut content = Content::new(Detail::Hours(Hours {
        hours_run_h: Some(worn.since_noted_h),
        since: if ground { vec![since] } else { Vec::new() },
    }));
    content.machine_hours_h = Some(worn.hours_h);
    let words = format!(
        "{} clock at {} hours, {} since last noted",
        worn.machine.display_name, worn.hours_h, worn.since_noted_h
    );
    book.write(book.machine(worn.machine.id), day, words, content);
    worn.since_noted_h = 0.0;
}

fn reel_week(book: &mut Book, worn: &mut Worn, week: i64, day: i64) {
    if week % YEAR_WEEKS == 16 {
        for (at, unit) in worn.reels() {
            spin_grind(book, worn, at, unit, day);
        }
        worn.since_ground_h = 0.0;
    } else if week % 3 == 1 {
        for (_, unit) in worn.reels() {
            if book.dice.happens(40) {
                backlap(book, worn.machine, unit, day);
            }
        }
    }
    if week % 3 == 0 && worn.machine.setting_mm < 10.0 {
        heights::on_bench(book, worn.machine, day);
    }
    if week % 8 == 5 {
        set_attachments(book, worn.machine, day);
    }
}

fn backlap(book: &mut Book, machine: &MachineRow, unit: &UnitRow, day: i64) {
    let minutes = book.dice.number(8.0, 15.0, 0);
    let grit = *book.dice.one_of(&[80, 120, 120, 180]);
    let words = format!(
        "Backlapped unit {} of the {}, {minutes} minutes with {grit} grit, cuts \
        paper full width",
        unit.display_name, machine.display_name
    );
    let mut content = Content::new(Detail::Sharpening(Sharpening {
        method: Some(SharpeningMethod::Backlap),
        duration_each_min: Some(minutes),
        grit: Some(grit),
        result: "cuts paper full width".to_owned(),
        ..Sharpening::default()
    }));
    content.duration_min = Some(minutes + 10.0);
    book.write(book.unit(machine.id, unit.id), day, words, content);
    if book.dice.happens(40) {
        let turns = *book.dice.one_of(&[0.125, 0.25, 0.25, 0.375]);
        let words = format!(
            "Bedknife of {} up {turns} of a turn both ends after lapping",
            unit.display_name
        );
        let content = Content::new(Detail::Adjustment(Adjustment {
            target: Some(AdjustmentTarget::ReelToBedknife),
            end: Some(Place::Both),
            turns: Some(turns),
            direction: Some(Direction::Up),
            result: "light contact, cuts paper".to_owned(),
            ..Adjustment::default()
        }));
        book.write(book.unit(machine.id, unit.id), day, words, content);
    }
}

fn spin_grind(book: &mut Book, worn: &mut Worn, at: usize, unit: &UnitRow, day: i64) {
    let before_mm = rounded(worn.diameters_mm[at], 2);
    let after_mm = rounded(before_mm - book.dice.number(0.25, 0.7, 2), 2);
    worn.diameters_mm[at] = after_mm;
    let words = format!(
        "Spin ground unit {} of the {}, {before_mm} down to {after_mm} mm",
        unit.display_name, worn.machine.display_name
    );
    let mut content = Content::new(Detail::Sharpening(Sharpening {
        method: Some(SharpeningMethod::SpinGrind),
        diameter_before_mm: Some(before_mm),
        diameter_after_mm: Some(after_mm),
        ..Sharpening::default()
    }));
    content.duration_min = Some(book.dice.number(45.0, 90.0, 0));
    book.write(book.unit(worn.machine.id, unit.id), day, words, content);
}

/// Between the seasons everything is ground, and the verticut blades are changed.
fn winter(book: &mut Book, worn: &mut Worn) {
    let day = 38 * 7 + book.dice.whole(0, 40);
    for (at, unit) in worn.reels() {
        spin_grind(book, worn, at, unit, day);
        let land_width_mm = book.dice.number(0.9, 1.5, 1);
        let angle_deg = book.dice.number(25.0, 32.0, 0);
        let words = format!(
            "Relief ground unit {}, {angle_deg} degrees, land left at \
            {land_width_mm} mm",
            unit.display_name
        );
        let content = Content::new(Detail::Sharpening(Sharpening {
            method: Some(SharpeningMethod::ReliefGrind),
            relief_angle_deg: Some(angle_deg),
            land_width_mm: Some(land_width_mm),
            ..Sharpening::default()
        }));
        book.write(book.unit(worn.machine.id, unit.id), day + 1, words, content);
    }
    worn.since_ground_h = 0.0;
    if worn.machine.equipment == Equipment::VerticutReel {
        let words = "Fitted a set of verticut blades to all three heads, 26 a head".to_owned();
        let part = Part {
            part: "verticut blade".to_owned(),
            count: Some(78),
            life_h: Some(rounded(worn.part_hours_h[0], 0)),
            reason: Some(ReplacementReason::WornOut),
            thickness_mm: Some(1.5),
            ..Part::default()
        };
        let replaced = PartReplaced { parts: vec![part], ..PartReplaced::default() };
        let content = Content::new(Detail::PartReplaced(replaced));
        book.write(book.machine(worn.machine.id), day, words, content);
    }
}

fn set_attachments(book: &mut Book, machine: &MachineRow, day: i64) {
    for unit in machine.units {
        let (target, low_mm, high_mm) = match unit.equipment {
            Equipment::Groomer => (AdjustmentTarget::GroomerDepth, 0.3, 0.9),
            Equipment::RearRollerBrush => (AdjustmentTarget::BrushContact, 0.5, 2.0),
            Equipment::ReelUnit | Equipment::VerticutReel | Equipment::RotaryDeck => continue,
        };
        let (now_mm, before_mm) =
            (book.dice.number(low_mm, high_mm, 1), book.dice.number(low_mm, high_mm, 1));
        let words = format!(
            "Set the {} of the {} to {now_mm} mm, was {before_mm}",
            unit.display_name, machine.display_name
        );
        let content = Content::new(Detail::Adjustment(Adjustment {
            target: Some(target),
            setting_mm: Some(now_mm),
            setting_before_mm: Some(before_mm),
            ..Adjustment::default()
        }));
        book.write(book.unit(machine.id, unit.id), day, words, content);
    }
}

fn verticut_week(book: &mut Book, worn: &Worn, week: i64, day: i64) {
    if week % 8 != 4 {
        return;
    }
    let depth_mm = rounded(worn.machine.setting_mm + book.dice.number(-1.0, 1.5, 1), 1);
    for unit in worn.machine.units {
        let words = format!("Verticut unit {} set {depth_mm} mm deep", unit.display_name);
        let content = Content::new(Detail::Adjustment(Adjustment {
            target: Some(AdjustmentTarget::VerticutDepth),
            end: Some(Place::Both),
            setting_mm: Some(depth_mm),
            ..Adjustment::default()
        }));
        book.write(book.unit(worn.machine.id, unit.id), day, words, content);
    }
}

fn deck_week(book: &mut Book, worn: &mut Worn, week: i64, day: i64) {
    let deck = book.unit(worn.machine.id, worn.machine.units[0].id);
    if week % 3 == 1 {
        let grams = book.dice.number(20.0, 55.0, 0);
        let words = format!(
            "Sharpened the three blades off the {}, took about {grams} grams off \
            all told, balanced them after",
            worn.machine.display_name
        );
        let mut content = Content::new(Detail::Sharpening(Sharpening {
            method: Some(SharpeningMethod::BladeGrind),
            sharpened_blade_count: Some(3),
            mass_removed_g: Some(grams),
            balanced: Some(true),
            ..Sharpening::default()
        }));
        content.duration_min = Some(book.dice.number(30.0, 50.0, 0));
        book.write(deck.clone(), day, words, content);
        worn.since_ground_h = 0.0;
    }
    if week % 10 == 5 {
        let moved_mm = book.dice.number(2.0, 6.0, 0);
        let words = format!("Levelled the deck, left hanger down {moved_mm} mm");
        let content = Content::new(Detail::Adjustment(Adjustment {
            target: Some(AdjustmentTarget::DeckLevel),
            hanger: Some(Place::Left),
            movement_mm: Some(moved_mm),
            direction: Some(Direction::Down),
            ..Adjustment::default()
        }));
        book.write(deck.clone(), day, words, content);
    }
    if week % 8 == 2 {
        let stop_s = book.dice.number(2.4, 4.6, 1);
        let words = format!("Measured blade stop on the front rotary, {stop_s} seconds");
        let inspection = Inspection { blade_stop_time_s: Some(stop_s), ..Inspection::default() };
        book.write(deck, day, words, Content::new(Detail::Inspection(inspection)));
    }
}

fn look_over(book: &mut Book, machine: &MachineRow, day: i64) {
    let pressure_kpa = book.dice.number(65.0, 85.0, 0);
    let tyres = machine.working_width_mm > 600.0;
    let item = |item: &str, condition: Condition, found: &str| InspectionItem {
        item: item.to_owned(),
        condition: Some(condition),
        found: found.to_owned(),
        remaining_h: None,
    };
    let bearing = if book.dice.happens(15) {
        item("bearings", Condition::Watch, "slightly rough, drive side")
    } else {
        item("bearings", Condition::Good, "quiet, no play")
    };
    let words = format!(
        "Looked over the {}: no leaks, bearings {}{}",
        machine.display_name,
        bearing.found,
        if tyres { format!(", tyres at {pressure_kpa} kPa") } else { String::new() }
    );
    let no_leak = Observation { finding: "oil_on_unit".to_owned(), present: Some(false) };
    let content = Content::new(Detail::Inspection(Inspection {
        observations: vec![no_leak],
        items: vec![item("leaks", Condition::Good, "none"), bearing],
        pressure_kpa: tyres.then_some(pressure_kpa),
        ..Inspection::default()
    }));
    book.write(book.machine(machine.id), day, words, content);
}

/// A bedknife or a deck belt that has run its hours is changed.
fn replace_worn(book: &mut Book, worn: &mut Worn, day: i64) {
    for (at, unit) in worn.machine.units.iter().enumerate() {
        let part = match unit.equipment {
            Equipment::ReelUnit => "bedknife",
            Equipment::RotaryDeck => "deck belt",
            Equipment::Groomer | Equipment::RearRollerBrush | Equipment::VerticutReel => continue,
        };
        let life_h = book.dice.number(240.0, 420.0, 0);
        if worn.part_hours_h[at] < life_h {
            continue;
        }
        let ran_h = rounded(worn.part_hours_h[at], 0);
        worn.part_hours_h[at] = 0.0;
        let words = format!(
            "New {part} on unit {} of the {} at {} hours, the old one ran {ran_h}",
            unit.display_name, worn.machine.display_name, worn.hours_h
        );
        let mut content = Content::new(Detail::PartReplaced(PartReplaced {
            parts: vec![Part {
                part: part.to_owned(),
                count: Some(1),
                life_h: Some(ran_h),
                reason: Some(ReplacementReason::WornOut),
                ..Part::default()
            }],
            result: "set and cuts paper".to_owned(),
        }));
        content.machine_hours_h = Some(worn.hours_h);
        content.duration_min = Some(book.dice.number(40.0, 75.0, 0));
        book.write(book.unit(worn.machine.id, unit.id), day, words, content);
    }
}
