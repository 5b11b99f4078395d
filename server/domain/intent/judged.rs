//! Is it asked whether a measured value is good? Then it is held against the reading that the words
//! name; it tells of no fault and is no record.

use crate::domain::passages::form::Form;
use crate::domain::language::text::Kind;
use crate::domain::passages::form;
use crate::domain::said::numbers::Quantity;
use crate::domain::units::convert;

use super::{Interpretation, Reader};

impl Reader<'_> {
    /// "I measured 0.05 one end and 0.12 the other, is that ok?"
    pub(super) fn judged(&self) -> Option<Interpretation> {
        // "Between the two ends" counts them.
        let quantities = self.spoken.quantities.iter().filter(|one| !self.counts_things(one));
        let quantities: Vec<&Quantity> = quantities.collect();
        let proof = &self.heard.proof;
        let of_machine = self.heard.named.units.iter().any(|mention| mention.known);
        if quantities.is_empty() || proof.is_sum() || self.question.previous.is_some() {
            return None;
        }
        let turf = self.turf_of_a_height();
        if of_machine && turf.is_none() {
            return None;
        }
        let reading = self.knowledge.ear.read(self.question.text);
        let (asked, _) = form::heard(self.knowledge, &reading);
        let asked = asked.iter().find(|one| one.form == Form::Judge)?;
        let lengths: Vec<f64> = quantities
            .iter()
            .filter_map(|one| match one.unit {
                None => Some(one.value),
                Some("s") => Some(one.value),
                Some("mil") if self.mil_is_metric(one) => Some(one.value),
                Some(unit) => convert(one.value, unit, "mm"),
            })
            .collect();
        if lengths.len() < quantities.len() || lengths.len() > VALUES_MAX {
            return None;
        }
        // Small words tell "up and down" from "end" play.
        let rest = asked.rest(&reading);
        let said = rest.iter().filter(|token| token.kind == Kind::Word);
        let said: Vec<&str> = said.map(|token| token.text.as_str()).collect();
        let said = turf.unwrap_or_else(|| said.join(" "));
        let values: Vec<String> = lengths.iter().map(f64::to_string).collect();
        let query = format!("{} {said}", values.join(" "));
        Some(Interpretation {
            understood: format!("Hold {} against what is good.", values.join(" and ")),
            ..self.asked_of_knowledge(Form::Judge, query)
        })
    }
}

impl Reader<'_> {
    /// "The cutting height on the triplex is 3.6": that it is a height, and the turf that the name of
    /// the machine says it mows.
    fn turf_of_a_height(&self) -> Option<String> {
        const MOWN: &[&str] = &["greens", "tees", "fairway", "collar", "approach"];
        let height = self.says(&["height", "heights", "hoc"]) && !self.says(&["groomer", "brush", "verticut", "roller"]);
        let [machine] = &self.heard.named.machines[..] else { return None };
        let name = machine.display_name.to_lowercase();
        let mown = MOWN.iter().find(|turf| name.split_whitespace().any(|word| word == **turf))?;
        let one = self.heard.named.units.is_empty() && machine.known && height;
        one.then(|| format!("height {mown}"))
    }

    /// "Two ends", "all three units": how many there are, and nothing that was measured.
    fn counts_things(&self, one: &Quantity) -> bool {
        let next = self.spoken.tokens.get(one.last + 1);
        let things = next.is_some_and(|next| {
            next.kind == Kind::Word && next.text.len() > SMALL_WORD && next.text.ends_with('s')
        });
        one.in_words && one.unit.is_none() && things
    }

    /// "How many thou is 0.4 mil": a part of a mil, or one beside thou, is of a millimetre.
    fn mil_is_metric(&self, one: &Quantity) -> bool {
        let thou = self.spoken.tokens.iter().any(|token| token.text == "thou");
        thou || one.value.fract() != 0.0
    }
}

/// Words of so few letters ("is", "as") are no things.
const SMALL_WORD: usize = 3;
/// More values than these are a table and no question.
const VALUES_MAX: usize = 3;
