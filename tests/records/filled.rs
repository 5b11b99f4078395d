//! Records with every field filled by chance from a seed, so that a field that is forgotten in any
//! form of storage or table is found out. Not plausible, only valid.

use sward_core::domain::catalogue::Equipment;
use sward_core::domain::records::bounds::bound;
use sward_core::domain::records::check::{self, Vocabulary};
use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::fields::{CatalogueList, Fields, Length, Visitor};
use sward_core::domain::records::{
    Content, Detail, Moment, NewRecord, RecordKind, RequestId, SubjectKind, SubjectName,
};

pub const NOW: Moment = Moment::from_microseconds(1_790_000_000_000_000);

/// The ids that filled records use.
pub struct SomeIds;

const IDS: [&str; 3] = ["uncut_line", "edge_damage", "dress_nick"];

impl Vocabulary for SomeIds {
    fn has(&self, _: CatalogueList, id: &str) -> bool {
        IDS.contains(&id)
    }
}

/// Numbers that look random and are always the same for a seed (xorshift64*, from memory).
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let drawn = self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33;
        drawn as usize % limit
    }

    fn share(&mut self) -> f64 {
        self.below(1_000_001) as f64 / 1_000_000.0
    }
}

/// What there is on the site `home` for records to be about.
pub const SUBJECTS: [&str; 6] = [
    "sites/home",
    "sites/home/machines/triplex",
    "sites/home/machines/triplex/units/1",
    "sites/home/machines/triplex/units/2",
    "sites/home/machines/gang/units/1",
    "sites/home/areas/6-green",
];

pub fn name(text: &str) -> SubjectName {
    SubjectName::parse("name", text).expect("a name")
}

struct Filler<'a> {
    dice: &'a mut Dice,
}

impl Filler<'_> {
    fn silent(&mut self) -> bool {
        self.dice.below(3) == 0
    }

    /// Text with everything in it that a table or a database may stumble over.
    fn words(&mut self, length: Length) -> String {
        let pieces = [
            "a",
            "7",
            " ",
            ",",
            "\"",
            "|",
            "\\",
            "\\|",
            "'",
            "\n",
            "%",
            "{",
            "=1+1",
            "\u{e9}",
            "\u{1f33f}",
            "NULL",
            "--",
            ";",
            "\t",
        ];
        let most = if length == Length::Name { 12 } else { 40 };
        let count = self.dice.below(most);
        let text: String = (0..count).map(|_| pieces[self.dice.below(pieces.len())]).collect();
        text.trim().to_owned()
    }
}

impl Visitor for Filler<'_> {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        let bound = bound(key);
        let drawn = bound.min + (bound.max - bound.min) * self.dice.share();
        *value = (!self.silent() && bound.holds(drawn)).then_some(drawn);
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        let bound = bound(key);
        let drawn = bound.min as u32 + self.dice.below((bound.max - bound.min) as usize) as u32;
        *value = (!self.silent()).then_some(drawn);
    }

    fn flag(&mut self, _: &'static str, value: &mut Option<bool>) {
        *value = [Some(true), Some(false), None][self.dice.below(3)];
    }

    fn choice<C: Choice>(&mut self, _: &'static str, value: &mut Option<C>) {
        *value = (!self.silent()).then(|| C::ALL[self.dice.below(C::ALL.len())]);
    }

    fn text(&mut self, _: &'static str, length: Length, value: &mut String) {
        *value = self.words(length);
    }

    fn id(&mut self, _: &'static str, _: CatalogueList, value: &mut String) {
        *value = ["", IDS[0], IDS[1], IDS[2]][self.dice.below(4)].to_owned();
    }

    fn subject(&mut self, _: &'static str, kind: SubjectKind, value: &mut Option<SubjectName>) {
        let fit: Vec<SubjectName> =
            SUBJECTS.iter().map(|text| name(text)).filter(|name| name.kind() == kind).collect();
        *value = (!self.silent()).then(|| fit[self.dice.below(fit.len())].clone());
    }

    fn list<T: Fields + Default>(&mut self, _: &'static str, _: &'static str, value: &mut Vec<T>) {
        *value = (0..self.dice.below(4))
            .map(|_| {
                loop {
                    let mut row = T::default();
                    row.visit(self);
                    if row.missing().is_none() {
                        return row;
                    }
                }
            })
            .collect();
    }
}

/// A valid record; the same for the same seed.
pub fn record(seed: u64) -> NewRecord {
    let dice = &mut Dice::new(seed);
    loop {
        let kind = RecordKind::ALL[dice.below(RecordKind::ALL.len())];
        let mut content = Content::new(Detail::empty(kind));
        content.visit(&mut Filler { dice });
        // Without this the store fills it in, which other tests look at.
        content.equipment = content.equipment.or(Some(Equipment::ReelUnit));
        let new = NewRecord {
            subject: name(SUBJECTS[dice.below(SUBJECTS.len())]),
            time: Some(NOW.plus_seconds(-(dice.below(1_000) as i64))),
            request_id: RequestId::of_content(&seed.to_be_bytes()),
            supersedes: None,
            content,
        };
        if let Ok(new) = check::record(new, &SomeIds, NOW) {
            return new;
        }
    }
}

/// A request without what it supersedes, to compare with what was filled.
pub fn record_of(new: &NewRecord) -> NewRecord {
    NewRecord { supersedes: None, ..new.clone() }
}
