//! Questions to the records in talk, on the invented shop: a cause in people's words, a rate over
//! all hours, what nobody did, what was due when it was done.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use sward_core::domain::recall::cause_words::ROWS;

use super::commands::shop;

/// What is said to these lines, one after the other.
fn talk(data: &Path, lines: &[&str]) -> String {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sward"))
        .args(["chat", "--plain"])
        .env("SWARD_DATA", data)
        .env_remove("SWARD_SERVER")
        .env("NO_COLOR", "1")
        .env("TZ", "UTC")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("sward runs");
    let words = lines.join("\n") + "\n";
    child.stdin.take().expect("piped").write_all(words.as_bytes()).expect("written");
    let output = child.wait_with_output().expect("an end");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Lines, what must be said, and what must not be. The figures are those of `sward log`.
const TALKS: &[(&[&str], &[&str], &[&str])] = &[
    (
        &["how many times was walker 1 set too tight in 2026"],
        &["Once.", "held hard on the bedknife"],
        &["Nothing is recorded"],
    ),
    (
        &["ground all three greens reels, took five thou off each", "sorry, 2 was six thou"],
        &["taken off: 6 thou", "units/3"],
        &["reading: 6"],
    ),
    (
        &["changed verticut blades all three heads, set em at 80 thou"],
        &["adjustment: machines/verticut-set/units/3", "setting: 2.032 mm"],
        &["thickness"],
    ),
    (
        &["new 80 thou verticut blades on all three heads", "no, 80 thou was the depth, not how thick"],
        &["thickness: 2.032 mm", "nothing was changed"],
        &["What I can do"],
    ),
    (
        &["walker 2 checked .126 left and .129 right so I shimmed it level"],
        &["height reading: machines/walker-2", "height: 3.2004 mm"],
        &["fault"],
    ),
    (
        &["what all needs grinding this winter, I gotta have a list for my boss"],
        &["List what is due", "grind the reel"],
        &["Look up what was done"],
    ),
    (
        &["I'm short a man all winter, can I get 14 reels ground by March with one grinder and what order"],
        &["grind the reel", "how long does a grind take"],
        &["No March"],
    ),
    (
        // Six records of that unit in 2026; two of them are faults.
        &["how many times did we fool with groomer 2 in 2026", "what was wrong with it"],
        &["6 records in all.", "2 records", "slits deeper at one end"],
        &["groomer of 1"],
    ),
    (
        // Only unit 3 has a brush.
        &["how many times was brush 1 changed in 2026"],
        &["greens-triplex, unit 1", "Nothing is recorded of \"brush changed\""],
        &["brush of 3"],
    ),
    (
        &["report for October 2026"],
        &["Report the time and parts spent", "--since 2026-10-01 --until 2026-11-01"],
        &["What I can do"],
    ),
    (
        &["what were the greens running on the prism in October 2026 versus the bench", "so how much are they sinking"],
        &["on the turf at a bench of 3.50 mm"],
        &["Furthest out"],
    ),
    (
        &["how deep can you go with verticut reels on ultradwarf in July"],
        &["level with the roller"],
        &["No fault of that is recorded"],
    ),
    (
        // The walker that wears quickest has fewest hours, and is not the most worn.
        &["which reel is closest to junk"],
        &["Fewest hours left: No. 2 walker, reel, about 1383 h."],
        &[],
    ),
    (
        &["which units had a blunt reel in 2026"],
        &["by unit", "edges rounded"],
        &["never had"],
    ),
    (
        &["who fixed the loose bedknife screws"],
        &["Last: ", "bedknife screws loose"],
        &["Find out what causes"],
    ),
    (
        // 387 h of 2026 up to its last reading, four nicks.
        &["how many times did the greens triplex have a nick in 2026"],
        &["4 times.", "About once in 97 h: 387 h", "an estimate"],
        &["once in 17 h"],
    ),
    (
        &["nobody has ground the fairway reels since August 2026, have they"],
        &["Yes, that is right", "The last before that: 22 Jul 2026"],
        &["None:"],
    ),
    (
        &["nobody has lapped the tees units since September 2026, is that right?"],
        &["No, it was done since 1 Sep 2026; the last: 27 Oct 2026"],
        &["Yes"],
    ),
    (
        &["which machine had most faults in 2026", "what was the commonest one on it"],
        &["Greens triplex", "by cause", "nick or dent in a reel blade or the bedknife: 4 of 12"],
        &["Nothing is recorded"],
    ),
    (
        &["how much comes off a reel on average when we grind it"],
        &["0.49 mm off on average"],
        &[],
    ),
    (
        &["ground the walker, 124.66 down to 124.3", "no. 1"],
        &["Which do you mean?", "sharpening: machines/walker-1/units/reel"],
        &["not known here yet"],
    ),
    (
        &["greased the walkers"],
        &["inspection: machines/walker-1", "inspection: machines/walker-2"],
        &["Nothing is recorded"],
    ),
    (
        &["changed the bedknife on tees 2 today, 50 min", "yes", "was that overdue"],
        &["Stored", "So it was overdue"],
        &["0 due now"],
    ),
    (
        &[
            "greens triplex unit 2 leaves a thin streak in the same place",
            "who last ground that reel",
            "and when was the bedknife last changed on it",
        ],
        &["124.9 to 124.27 mm", "bedknife worn out (ran 318 h)"],
        &["of such a complaint"],
    ),
    (
        &["is tees 3 still out of height with the others"],
        &["Furthest out: 1 right, 9.47 mm, 0.03 mm under the 9.5 mm wanted"],
        &["which area"],
    ),
    (
        &["what was wrong with fairway 5 last time it was in"],
        &["for fairway-five.", "Last: 28 Sep 2026"],
        &["unit 5"],
    ),
    (
        &["when was the belt on the rotary changed", "skip that, the verticuts, when were they done"],
        &["for verticut-set", "78 verticut blade"],
        &[],
    ),
    (
        &["drop greens from 3.5 to 3.0 by easter, whats the steps"],
        &["Counted back from Easter"],
        &["greens easter"],
    ),
    (
        &["how much has walker 2 reel got left", "what is due next week"],
        &["h left, down to 114 mm", "hours of the machines, not in days"],
        &[],
    ),
    (
        &[
            "what cured the streaks on the greens triplex in spring 2026",
            "who did the work the first time",
            "so how many hours did that cost us altogether",
        ],
        &["The first of them: 20 Apr 2026", "by bench two, 31 min", "2.6 h of work in 4 records"],
        &["Search for", "by machine"],
    ),
    (
        &[
            "who ground the greens reels in July 2026",
            "how much did they take off all together",
            "and on the tees mower",
        ],
        &["of the 3 records just told", "1.53 mm off in all", "1.55 mm off in all"],
        &[],
    ),
    (
        &["how many hours did the bench spend on the Fairway five in 2025", "what took the longest"],
        &["24.1 h of work in 53 records", "Longest: 26 Apr 2025, Fairway five, 5 right rear"],
        &["\"bench\"", "Greens triplex"],
    ),
    (
        &["how many bedknives did we change in 2026", "which machine uses the most", "and why so many"],
        &["Fairway five: 8", "Greens triplex: 4", "worn out: 8 of 8"],
        &["faults"],
    ),
    (
        &["how many hours did we spend on the streaks in spring 2026", "which job took longest"],
        &["2.6 h of work in 4 records", "Longest: 5 May 2026, Greens triplex, 1 left front"],
        &["17.1 h"],
    ),
    (
        &["front rotary leaves clumps in rows", "what was it in October 2026"],
        &["clean the deck: cured it 1", "15 Oct 2026, Front rotary, deck"],
        &["What I can do"],
    ),
    (
        &["when were the walkers last ground", "which of them is due first"],
        &["List what is due, for walker-", "No. 1 walker, reel: grind the reel"],
        &["Tees mower", "for the whole shop"],
    ),
    (
        &["has every machine been inspected since September 2026", "which ones have not been looked at"],
        &["None: it was done on each of the 7 machines", "14 Oct 2026, Greens triplex: leaks none"],
        &["\"not\"", "bar, 1 left"],
    ),
    (
        &["may the tees mower go out tomorrow", "how long would that take"],
        &["change the bedknife, 63 min"],
        &["24 min in the middle"],
    ),
    (
        &["may the tees mower go out tomorrow", "would you change the bedknife first, then?"],
        &["That is for you to judge", "one in ten of such parts would not last"],
        &["What I can do"],
    ),
    (
        &["may the tees mower go out tomorrow", "should i grind the reel first with the engine running"],
        &[],
        &["for you to judge"],
    ),
    (
        &["may the tees mower go out tomorrow", "should i chock the wheels before i change the bedknife"],
        &[],
        &["for you to judge"],
    ),
];

#[test]
fn the_records_answer_what_is_asked_in_talk() {
    for (lines, there, not) in TALKS {
        let data = shop();
        let text = talk(data.path(), lines);
        for part in *there {
            assert!(text.contains(part), "{lines:?}: \"{part}\" is not in: {text}");
        }
        for part in *not {
            assert!(!text.contains(part), "{lines:?}: \"{part}\" is in: {text}");
        }
    }
}

#[test]
fn every_cause_that_words_name_is_one_of_the_catalogue() {
    let knowledge = sward_core::embedded::knowledge();
    let known: BTreeSet<&str> = knowledge.causes.iter().map(|row| row.id.as_str()).collect();
    for cause in ROWS.iter().flat_map(|(causes, ..)| causes.iter()) {
        assert!(known.contains(cause), "{cause}");
    }
}
