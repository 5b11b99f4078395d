//! Which readings on turf of this shop does a bench height rest on that was asked for with none?
//! Those of the records at about that height: first of the area that is named, else those of the
//! shop, as of other areas, so that it has to be measured all the same. The answer says which.
//! Deliberately absent: a machine that is named, which those readings may not be of.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::pb;
use crate::pb::command::Request as Command;
use crate::service::Shop;
use crate::service::fleet::heights_near;

/// Areas told by their name.
const AREAS_MAX: usize = 6;
/// Where no area is named, every reading is of another one.
const NO_AREA: &str = "one that is not named";

/// The sum with the readings in it, and the line that tells of them; as it is where there are none.
pub(super) async fn put_in(
    shop: &Arc<Shop>,
    site: &str,
    words: &str,
    mut command: Command,
) -> (Command, Option<String>) {
    let height = match &command {
        Command::BenchHeight(asked) if rests_on_nothing(asked) => asked.target_effective_height_mm,
        _ => None,
    };
    let Some(height) = height else { return (command, None) };
    let (found, area) = heights_near(shop, site, height, words).await.unwrap_or_default();
    if found.is_empty() {
        return (command, None);
    }
    let told = line(&found, &area);
    if let Command::BenchHeight(asked) = &mut command {
        asked.area = if area.is_empty() { NO_AREA.to_owned() } else { area };
        asked.history = found.into_iter().map(|(reading, _)| reading).collect();
    }
    (command, Some(told))
}

fn rests_on_nothing(asked: &pb::BenchHeightRequest) -> bool {
    asked.history.is_empty() && asked.sinkage_mm.is_none() && asked.area.is_empty()
        && asked.effective_height_readings_mm.is_empty() && asked.sinkage_readings_mm.is_empty()
}

/// `area`: the one that is named.
fn line(found: &[(pb::HeightReading, String)], area: &str) -> String {
    let own = found.iter().filter(|(one, _)| one.area == area);
    let own: Vec<&(pb::HeightReading, String)> = own.collect();
    if let Some((_, title)) = own.first() {
        let (count, rest) = (own.len(), found.len() - own.len());
        return format!(
            "By {count} reading(s) of {title} in the records at about that height; {rest} of other areas stand \
             behind them."
        );
    }
    let areas: BTreeSet<&str> = found.iter().map(|(_, area)| area.as_str()).collect();
    let more = areas.len().saturating_sub(AREAS_MAX);
    let named: Vec<&str> = areas.into_iter().take(AREAS_MAX).collect();
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let days = found.iter().filter_map(|(one, _)| one.age_days).fold(f64::INFINITY, f64::min);
    let last = if days.is_finite() { format!(", the last {days:.0} days ago") } else { String::new() };
    format!(
        "By {} readings on turf in the records, at about that height: {}{more}{last}. A single one of these \
         areas may stand off that: read it with the prism at a known bench height, and say both.",
        found.len(),
        named.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_areas_that_were_read_are_told() {
        let one = |area: &str, age: f64| {
            let of = format!("sites/a/areas/{}", area.replace(' ', "-"));
            let reading = pb::HeightReading { age_days: Some(age), area: of, ..Default::default() };
            (reading, area.to_owned())
        };
        let found = [one("5 green", 44.0), one("2 green", 44.2), one("5 green", 60.0)];
        let told = line(&found, "");
        let wanted = "By 3 readings on turf in the records, at about that height: 2 green, 5 green, the last 44 days ago.";
        assert!(told.starts_with(wanted), "{told}");
        let told = line(&found, "sites/a/areas/5-green");
        assert!(told.starts_with("By 2 reading(s) of 5 green in the records"), "{told}");
    }
}
