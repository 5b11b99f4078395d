//! Where do the patterns of the lexicon fit in these words?
//!
//! Alternatives are looked up by their first and second word, and only patterns whose rarest part
//! occurs are tried, so that thousands of patterns cost a short text well under a millisecond.

use std::cmp::Reverse;

use super::patterns::{Element, Lexicon, Match, Pattern, Word, number_of};

impl Lexicon {
    /// Every pattern that occurs in the words, in order of pattern then position.
    pub fn find(&self, words: &[Word]) -> Vec<Match> {
        let seen = Occurrences::new(self, words);
        let mut candidates: Vec<usize> = seen
            .present
            .iter()
            .flat_map(|alternative| self.keyed.of(*alternative))
            .map(|rule| *rule as usize)
            .collect();
        candidates.sort_unstable();
        let mut out = Vec::new();
        for rule in candidates {
            if self.required.of(rule).iter().all(|one| seen.occurs(*one)) {
                self.find_pattern(rule, &seen, words, &mut out);
            }
        }
        out
    }

    fn find_pattern(
        &self,
        rule: usize,
        seen: &Occurrences,
        words: &[Word],
        out: &mut Vec<Match>,
    ) {
        let Pattern { section, denies, weight, runs: (first, end) } = self.patterns[rule];
        let run = |at: u32| occurrences(self.runs.of(at as usize), seen, words);
        for mut matched in run(first) {
            let near = |found: &Vec<usize>| {
                words[found[0]].sentence.abs_diff(words[matched[0]].sentence) <= 1
            };
            let rest: Option<Vec<Vec<usize>>> =
                (first + 1..end).map(|at| run(at).into_iter().find(near)).collect();
            let Some(rest) = rest else { continue };
            matched.extend(rest.into_iter().flatten());
            matched.sort_unstable();
            matched.dedup();
            let section = section as usize;
            out.push(Match { section, denies, weight, rule, words: matched });
        }
    }
}

/// Every place where a run of elements fits, left to right, none overlapping.
fn occurrences(run: &[Element], seen: &Occurrences, words: &[Word]) -> Vec<Vec<usize>> {
    let mut out: Vec<Vec<usize>> = Vec::new();
    let mut from = 0;
    let mut try_at = |at: usize| {
        if at < from {
            return;
        }
        let mut matched = Vec::new();
        if follow(run, at, None, seen, words, &mut matched) {
            from = matched[matched.len() - 1] + 1;
            out.push(matched);
        }
    };
    match run.first() {
        // Nearly every run begins with a word that must be there: only its places are tried.
        Some(Element::One { alternative, optional: false }) => {
            seen.of(*alternative).iter().for_each(|(start, _)| try_at(*start as usize));
        }
        _ => (0..words.len()).for_each(try_at),
    }
    out
}

/// Where each alternative occurs: (start, length), ascending by start, longest first.
struct Occurrences {
    /// By alternative: the place of its range plus one; 0 when it does not occur.
    place: Vec<u32>,
    /// By place: the end of its range in `all`; the range begins where the one before ends.
    ends: Vec<u32>,
    all: Vec<(u32, u32)>,
    /// The alternatives that occur; their places are in the same order.
    present: Vec<usize>,
}

impl Occurrences {
    /// Put in order by counting: there are many, and of few alternatives.
    fn new(lexicon: &Lexicon, words: &[Word]) -> Self {
        let found = found(lexicon, words);
        let mut place = vec![0_u32; lexicon.keyed.len()];
        let mut present = Vec::new();
        let mut counts: Vec<u32> = Vec::new();
        for &(alternative, _, _) in &found {
            let place = &mut place[alternative as usize];
            if *place == 0 {
                present.push(alternative as usize);
                counts.push(0);
                *place = u32::try_from(present.len()).expect("no more places than alternatives");
            }
            counts[*place as usize - 1] += 1;
        }
        let mut ends: Vec<u32> = Vec::with_capacity(counts.len());
        let mut from = 0;
        for count in counts {
            ends.push(from);
            from += count;
        }
        let mut all = vec![(0, 0); found.len()];
        for (alternative, start, length) in found {
            let next = &mut ends[place[alternative as usize] as usize - 1];
            all[*next as usize] = (start, length);
            *next += 1;
        }
        let mut seen = Occurrences { place, ends, all, present };
        seen.longest_first();
        seen
    }

    /// Starts ascend as they were found; what starts at one word is put in order here.
    fn longest_first(&mut self) {
        let mut from = 0;
        for end in &self.ends {
            let end = *end as usize;
            for same in self.all[from..end].chunk_by_mut(|a, b| a.0 == b.0) {
                same.sort_unstable_by_key(|(_, length)| Reverse(*length));
            }
            from = end;
        }
    }

    fn occurs(&self, alternative: u32) -> bool {
        self.place[alternative as usize] != 0
    }

    fn of(&self, alternative: u32) -> &[(u32, u32)] {
        let end = |place: usize| self.ends[place - 1] as usize;
        match self.place[alternative as usize] as usize {
            0 => &[],
            1 => &self.all[..end(1)],
            place => &self.all[end(place - 1)..end(place)],
        }
    }

    /// The lengths of what starts at a word.
    fn starting(&self, alternative: u32, start: usize) -> impl Iterator<Item = usize> {
        let all = self.of(alternative);
        let from = all.partition_point(|&(at, _)| (at as usize) < start);
        let here = all[from..].iter().take_while(move |&&(at, _)| at as usize == start);
        here.map(|&(_, length)| length as usize)
    }
}

/// Every alternative with each place where it stands: alternative, start, length.
fn found(lexicon: &Lexicon, words: &[Word]) -> Vec<(u32, u32, u32)> {
    let ids: Vec<Option<u32>> =
        words.iter().map(|word| lexicon.stems.get(&word.stem).copied()).collect();
    let mut found = Vec::new();
    for (start, at) in (0..ids.len()).zip(0..) {
        let Some(first) = ids[start] else { continue };
        let alone = lexicon.alone.of(first as usize);
        found.extend(alone.iter().map(|&alternative| (alternative, at, 1)));
        let Some(second) = ids.get(start + 1).copied().flatten() else { continue };
        let longer = lexicon.longer.of(first as usize);
        let from = longer.partition_point(|one| one.second < second);
        for one in longer[from..].iter().take_while(|one| one.second == second) {
            let rest = lexicon.rests.of(one.rest as usize);
            let length = rest.len() + 2;
            let fits = start + length <= ids.len()
                && rest.iter().zip(&ids[start + 2..]).all(|(want, got)| Some(*want) == *got)
                && words[start].segment == words[start + length - 1].segment;
            if fits {
                found.push((one.alternative, at, number_of(length)));
            }
        }
    }
    found
}

/// Tries the elements from word `at` on; fills `matched` and answers whether all fitted.
fn follow(
    elements: &[Element],
    at: usize,
    previous: Option<usize>,
    seen: &Occurrences,
    words: &[Word],
    matched: &mut Vec<usize>,
) -> bool {
    let Some((element, rest)) = elements.split_first() else { return true };
    match element {
        Element::Gap { most, crosses_commas } => {
            for skipped in 0..=usize::from(*most) {
                let next = at + skipped;
                if next >= words.len() || !reaches(words, previous, next, *crosses_commas) {
                    return false;
                }
                // The gap has been judged; the word after it need not touch the one before.
                if follow(rest, next, None, seen, words, matched) {
                    return true;
                }
            }
            false
        }
        Element::One { alternative, optional } => {
            let touches =
                previous.is_none_or(|p| at < words.len() && words[p].segment == words[at].segment);
            if touches {
                for length in seen.starting(*alternative, at) {
                    let kept = matched.len();
                    matched.extend(at..at + length);
                    let last = Some(at + length - 1);
                    if follow(rest, at + length, last, seen, words, matched) {
                        return true;
                    }
                    matched.truncate(kept);
                }
            }
            *optional && follow(rest, at, previous, seen, words, matched)
        }
    }
}

fn reaches(words: &[Word], from: Option<usize>, to: usize, crosses_commas: bool) -> bool {
    let Some(from) = from else { return true };
    if crosses_commas {
        words[from].sentence == words[to].sentence
    } else {
        words[from].segment == words[to].segment
    }
}
