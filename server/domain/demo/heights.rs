//! What heights are read, on the bench and on turf? A unit sinks into each green by an amount of
//! its own, so that the two differ as they do in life.

use crate::domain::catalogue::Equipment;
use crate::domain::records::Content;
use crate::domain::records::choices::{HeightMethod, Place};
use crate::domain::records::detail::{Detail, HeightPoint, HeightReading};

use super::dice::rounded;
use super::fleet::{AREAS, MACHINES, MachineRow};
use super::{Book, season_weeks};

/// The gauge bar along both ends of every unit.
pub fn on_bench(book: &mut Book, machine: &MachineRow, day: i64) {
    let mut readings = Vec::new();
    let mut told = Vec::new();
    for unit in machine.units.iter().filter(|unit| unit.equipment == Equipment::ReelUnit) {
        for end in [Place::Left, Place::Right] {
            let height_mm = machine.setting_mm + book.dice.number(-0.04, 0.04, 2);
            let height_mm = rounded(height_mm, 2);
            told.push(height_mm.to_string());
            readings.push(HeightPoint {
                unit: Some(book.unit(machine.id, unit.id)),
                end: Some(end),
                height_mm: Some(height_mm),
                ..HeightPoint::default()
            });
        }
    }
    let words = format!("{} bench heights: {}", machine.display_name, told.join(", "));
    let content = Content::new(Detail::HeightReading(HeightReading {
        method: Some(HeightMethod::Bar),
        readings,
        target_height_mm: Some(machine.setting_mm),
        ..HeightReading::default()
    }));
    book.write(book.machine(machine.id), day, words, content);
}

/// The prism on three greens, every few weeks.
pub fn on_turf(book: &mut Book) {
    let bench_height_mm = MACHINES[0].setting_mm;
    let greens = &AREAS[..9];
    for week in season_weeks().filter(|week| week % 3 == 2) {
        let first = book.dice.whole(0, 9) as usize;
        let mut readings = Vec::new();
        let mut told = Vec::new();
        for at in [first, first + 3, first + 6] {
            let (id, called, _, _, _, sinks_mm) = greens[at % 9];
            let height_mm =
                rounded(bench_height_mm - sinks_mm + book.dice.number(-0.08, 0.08, 2), 2);
            told.push(format!("{called} {height_mm}"));
            readings.push(HeightPoint {
                area: Some(book.area(id)),
                height_mm: Some(height_mm),
                ..HeightPoint::default()
            });
        }
        let words = format!("Prism this morning: {}", told.join(", "));
        let content = Content::new(Detail::HeightReading(HeightReading {
            method: Some(HeightMethod::Prism),
            readings,
            bench_height_mm: Some(bench_height_mm),
            ..HeightReading::default()
        }));
        book.write(book.site_name(), week * 7 + 4, words, content);
    }
}
