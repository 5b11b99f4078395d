//! Which readings on turf of this shop does a bench height rest on that was asked for with none?
//! Those of the records at about that height; the answer says which they are.
//! Deliberately absent: a height of one area by its name, which `PlanHeights` tells.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::pb;
use crate::pb::command::Request as Command;
use crate::service::Shop;
use crate::service::fleet::heights_near;

/// Areas told by their name.
const AREAS_MAX: usize = 6;

/// The sum with the readings in it, and the line that tells of them; as it is where there are none.
pub(super) async fn put_in(
    shop: &Arc<Shop>,
    site: &str,
    mut command: Command,
) -> (Command, Option<String>) {
    let height = match &command {
        Command::BenchHeight(asked) if rests_on_nothing(asked) => asked.target_effective_height_mm,
        _ => None,
    };
    let Some(height) = height else { return (command, None) };
    let found = heights_near(shop, site, height).await.unwrap_or_default();
    if found.is_empty() {
        return (command, None);
    }
    let told = line(&found);
    if let Command::BenchHeight(asked) = &mut command {
        asked.history = found.into_iter().map(|(reading, _)| reading).collect();
    }
    (command, Some(told))
}

fn rests_on_nothing(asked: &pb::BenchHeightRequest) -> bool {
    asked.history.is_empty() && asked.sinkage_mm.is_none() && asked.area.is_empty()
        && asked.effective_height_readings_mm.is_empty() && asked.sinkage_readings_mm.is_empty()
}

fn line(found: &[(pb::HeightReading, String)]) -> String {
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
            (pb::HeightReading { age_days: Some(age), ..Default::default() }, area.to_owned())
        };
        let told = line(&[one("5 green", 44.0), one("2 green", 44.2), one("5 green", 60.0)]);
        let wanted = "By 3 readings on turf in the records, at about that height: 2 green, 5 green, the last 44 days ago.";
        assert!(told.starts_with(wanted), "{told}");
    }
}
