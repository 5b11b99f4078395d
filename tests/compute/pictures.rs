//! Pictures: well-formed, without colour, with the labels, units and legend that a reader needs.

use super::{printed, sward};

const SIDE_VIEW: &[&str] = &[
    "adjuster-turns", "--current", "4 mm", "--target", "6 mm", "--pitch", "1.25 mm",
    "--front-roller-diameter", "63.5 mm", "--rear-roller-diameter", "50.8 mm",
    "--roller-centre-distance", "190 mm", "--edge-to-rear-roller", "95 mm", "--slot-angle", "8",
];

/// (arguments after `compute`, words that the picture must carry)
const DRAWN: &[(&[&str], &[&str])] = &[
    (
        &["clip-spacing", "--ground-speed", "6 km/h", "--blades", "11", "--reel-speed", "2000",
            "--height", "12 mm"],
        &["clip spacing, mm", "ground speed, km/h", "height of cut, 12 mm", "the answer: 4.55 mm"],
    ),
    (
        SIDE_VIEW,
        &["front roller", "rear roller", "190 mm", "edge height now 4 mm, after 6 mm", "forward"],
    ),
    (
        &["adjuster-turns", "--height-change-per-turn", "18 thou", "--height-change", "45 thou",
            "--units", "in"],
        &["2.5 turns", "15 flats", "+0.045 in"],
    ),
    (
        &["paper-map", "--gap", "1:left=.02 mm,1:middle=.03 mm,1:right=.08 mm,2:left=.02 mm,\
            2:middle=.04 mm,2:right=.08 mm,3:left=.03 mm,3:middle=.03 mm,3:right=.09 mm"],
        &["gap, mm", "blade 1", "blade 3", "left", "right", "gap wanted, 0.05 mm"],
    ),
    (
        &["paper-map", "--gap", "1:left=cuts,1:middle=cuts,1:right=folds,2:left=cuts,\
            2:middle=cuts,2:right=free,3:left=cuts,3:middle=grips,3:right=folds"],
        &["blade 2", "folds", "free", "grips", "does not cut cleanly there"],
    ),
    (
        &["match-units", "--target", "3.5 mm", "--tolerance", "0.03 mm", "--heights",
            "1:left=3.5 mm,1:right=3.52 mm,2:left=3.58 mm,2:right=3.5 mm"],
        &["height, mm", "unit 2", "-0.08", "move to make, mm", "tolerance either way"],
    ),
    (
        &["height-plan", "--current", "60 mm", "--target", "25 mm", "--growth", "2 mm/day",
            "--mowing-interval", "3 days", "--start-date", "2026-04-01"],
        &["height, mm", "days from 2026-04-01", "target, 25 mm", "turf as it stands"],
    ),
    (
        &["reel-wear", "--diameters", "127 mm,126.7 mm,126.5 mm,125.8 mm,125.6 mm",
            "--hours", "0,100,200,310,400", "--grindings", "300", "--minimum", "118 mm"],
        &["diameter, mm", "machine hours, h", "least diameter, 118 mm", "grindings"],
    ),
    (
        &["reel-wear", "--left-diameter", "127 mm", "--right-diameter", "126.6 mm"],
        &["left", "right", "127 mm", "126.6 mm", "drawn much enlarged"],
    ),
    (
        &["rotary-level", "--tips", "left_front=62,left_rear=68,right_front=66,right_rear=72"],
        &["front", "left front", "62 mm", "raise 2.75 mm", "blade tip"],
    ),
];

#[test]
fn every_picture_is_well_formed_labelled_and_without_colour() {
    let directory = tempfile::tempdir().expect("a directory");
    let path = directory.path().join("picture.svg");
    let file = path.to_string_lossy().into_owned();
    for (arguments, labels) in DRAWN {
        printed(&[&["compute"], *arguments, &["--picture", &file]].concat());
        let svg = std::fs::read_to_string(&path).expect("the picture was written");
        std::fs::remove_file(&path).expect("it is ours");
        let words = words_of(&svg).unwrap_or_else(|fault| panic!("{arguments:?}: {fault}\n{svg}"));
        for label in *labels {
            assert!(words.iter().any(|word| word.contains(label)), "{label:?} not in {words:?}");
        }
        for colour in colours(&svg) {
            assert!(is_grey(&colour), "{arguments:?} uses the colour {colour}");
        }
    }
}

#[test]
fn nothing_is_written_when_there_is_nothing_to_draw() {
    let directory = tempfile::tempdir().expect("a directory");
    let path = directory.path().join("picture.svg");
    let file = path.to_string_lossy().into_owned();
    let output = sward(&["compute", "clip-spacing", "--blades", "11", "--picture", &file]);
    assert_eq!(output.status.code(), Some(65));
    assert!(!path.exists());
    let nowhere = directory.path().join("none/picture.svg").to_string_lossy().into_owned();
    let arguments = [&["compute"], SIDE_VIEW, &["--picture", &nowhere]].concat();
    assert_eq!(sward(&arguments).status.code(), Some(74));
}

/// The words of an SVG text, after checking that every element is closed in order and every
/// attribute is quoted.
pub fn words_of(svg: &str) -> Result<Vec<String>, String> {
    let (mut open, mut words, mut rest): (Vec<&str>, Vec<String>, &str) = (Vec::new(), Vec::new(), svg);
    while let Some(start) = rest.find('<') {
        let text = rest[..start].trim();
        if !text.is_empty() {
            words.push(text.replace("&lt;", "<").replace("&gt;", ">").replace("&apos;", "'"));
        }
        let end = start + rest[start..].find('>').ok_or("a tag without an end")?;
        let tag = &rest[start + 1..end];
        rest = &rest[end + 1..];
        if tag.starts_with('?') || tag.starts_with('!') {
            continue;
        }
        if let Some(name) = tag.strip_prefix('/') {
            let last = open.pop();
            if last != Some(name) {
                return Err(format!("</{name}> closes {last:?}"));
            }
            continue;
        }
        let name = tag.split([' ', '/', '\n']).next().unwrap_or_default();
        if tag.matches('"').count() % 2 != 0 || tag.contains('<') {
            return Err(format!("<{tag}> is not well formed"));
        }
        if !tag.ends_with('/') {
            open.push(name);
        }
    }
    if open.is_empty() && svg.contains("<svg") { Ok(words) } else { Err(format!("{open:?} is open")) }
}

pub fn colours(svg: &str) -> Vec<String> {
    let mut found = Vec::new();
    for key in ["fill=\"", "stroke=\""] {
        found.extend(svg.split(key).skip(1).filter_map(|rest| rest.split('"').next().map(str::to_owned)));
    }
    found
}

pub fn is_grey(colour: &str) -> bool {
    if let Some(hex) = colour.strip_prefix('#') {
        return hex.len() == 6 && hex[0..2] == hex[2..4] && hex[2..4] == hex[4..6];
    }
    ["none", "black", "white", "url(#hatch)"].contains(&colour)
}
