//! How is a sound input spoilt? Bytes flipped, pieces cut, doubled, moved, taken from another input
//! or from a list of pieces that mean something, numbers replaced.

use super::dice::Dice;

/// Longest input that is made.
const BYTES_MAX: usize = 20_000;

/// Numbers and characters that programs stumble over, whatever they read.
const PIECES: &[&str] = &[
    "0", "-0", "-1", "1e308", "1e-320", "NaN", "inf", "-inf", "0x10", "1_000", "1,5", "1.2.3",
    "9223372036854775807", "-9223372036854775808", "18446744073709551616", "4294967296", "007",
    "1/0", "0/0", "1 1/2", "\u{bd}", "\u{2044}", "\u{2212}", ".", ",", ";", "|", "\\", "\"", "'", "\"\"",
    "\n", "\r\n", "\r", "\t", "\0", "\u{1b}[31m", "\u{7f}", "\u{feff}", "\u{200b}", "\u{202e}",
    "\u{301}", "\u{fb01}", "\u{130}", "\u{df}", "\u{1f600}", "\u{ffff}", "\u{10ffff}", "\u{3a3}",
    "{", "}", "[", "]", "null", "true", "+++", "---", "#", "//", "--", "&", "<", ">", "%s", "%n",
    "../", "/", " ", "  ", "not ", "no ", "never ", "both ", "mm", "in", "thou", "of an inch",
];

/// One input made of another. `others`: inputs to take pieces from; `words`: pieces that mean
/// something to the target.
pub fn mutate(input: &[u8], others: &[Vec<u8>], words: &[Vec<u8>], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = input.to_vec();
    for _ in 0..=dice.below(4) {
        once(&mut bytes, others, words, dice);
    }
    bytes.truncate(BYTES_MAX);
    bytes
}

fn once(bytes: &mut Vec<u8>, others: &[Vec<u8>], words: &[Vec<u8>], dice: &mut Dice) {
    match dice.below(12) {
        0 => flip(bytes, dice),
        1 => {
            let at = place(bytes, dice);
            bytes.insert(at, dice.draw() as u8);
        }
        2 | 3 => drop(bytes.drain(range(bytes, dice))),
        4 => {
            let piece = bytes[range(bytes, dice)].to_vec();
            insert(bytes, &piece, dice);
        }
        5 => {
            let piece: Vec<u8> = bytes.drain(range(bytes, dice)).collect();
            insert(bytes, &piece, dice);
        }
        6 => {
            let piece = dice.one_of(PIECES).as_bytes();
            insert(bytes, piece, dice);
        }
        7 => {
            let piece = dice.one_of(PIECES).as_bytes();
            let range = range(bytes, dice);
            bytes.splice(range, piece.iter().copied());
        }
        8 if !words.is_empty() => {
            let piece = dice.one_of(words);
            insert(bytes, piece, dice);
        }
        9 if !others.is_empty() => {
            let other = dice.one_of(others);
            let piece = &other[range(other, dice)];
            let range = range(bytes, dice);
            bytes.splice(range, piece.iter().copied());
        }
        10 => replace_number(bytes, dice),
        11 if dice.once_in(20) => {
            let piece = bytes[range(bytes, dice)].to_vec();
            for _ in 0..dice.below(200) {
                insert(bytes, &piece, dice);
                bytes.truncate(BYTES_MAX);
            }
        }
        _ => flip(bytes, dice),
    }
}

fn flip(bytes: &mut [u8], dice: &mut Dice) {
    if !bytes.is_empty() {
        let at = dice.below(bytes.len());
        bytes[at] ^= 1 << dice.below(8);
    }
}

fn place(bytes: &[u8], dice: &mut Dice) -> usize {
    dice.below(bytes.len() + 1)
}

/// Mostly a short piece; now and then any.
fn range(bytes: &[u8], dice: &mut Dice) -> std::ops::Range<usize> {
    let start = place(bytes, dice);
    let left = bytes.len() - start;
    let most = if dice.once_in(4) { left } else { left.min(24) };
    start..start + dice.below(most + 1)
}

fn insert(bytes: &mut Vec<u8>, piece: &[u8], dice: &mut Dice) {
    let at = place(bytes, dice);
    bytes.splice(at..at, piece.iter().copied());
}

/// Puts another number where one is written.
fn replace_number(bytes: &mut Vec<u8>, dice: &mut Dice) {
    let starts: Vec<usize> = (0..bytes.len())
        .filter(|&at| bytes[at].is_ascii_digit() && (at == 0 || !bytes[at - 1].is_ascii_digit()))
        .collect();
    if starts.is_empty() {
        return;
    }
    let start = *dice.one_of(&starts);
    let length = bytes[start..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    let number = match dice.below(4) {
        0 => dice.draw().to_string(),
        1 => dice.below(400).to_string(),
        2 => format!("{}.{}", dice.below(100), dice.below(1_000)),
        _ => (*dice.one_of(&PIECES[..16])).to_owned(),
    };
    bytes.splice(start..start + length, number.bytes());
}
