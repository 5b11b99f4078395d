//! What can be said in a conversation?

/// What can be said.
pub fn help_lines() -> Vec<String> {
    [
        "Say what is wrong: \"thin uncut line behind unit 3, same place every pass\".",
        "Ask for a setting: \"clip at 3.8 mph, 11 blades, 2200 rpm\"; then \"and at 5 km/h?\".",
        "Tell what was done: \"spun unit 2 today, 126.4 down to 126.1 mm\"; it is shown first and \
         stored when you say yes. \"no, 126.2\" corrects it, before the yes and after it; \
         \"cancel\" drops it, \"undo\" takes back what was stored last.",
        "Be walked through a job: \"walk me through setting the reel\". In it: ok, done, a value, \
         back, go to step 4, again, why, what tools, what was good, what's left, skip, stop.",
        "Ask the records: \"what is due\", \"how worn are the reels\", \"which faults came back most\", \
         \"setting card for unit 3\".",
        "Ask why: \"why lap after grinding?\", \"what is rifling?\".",
        "Find what was written: \"what did we do about streaks last spring\".",
        "\"drafts\" lists jobs left half way, \"resume\" takes one up, \"discard 1\" throws it away; \
         \"cautions\" shows again those of the last answer.",
    ]
    .into_iter()
    .map(str::to_owned)
    .collect()
}
