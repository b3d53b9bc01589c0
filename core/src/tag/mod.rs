//! The code on a reel's tag: short, without look-alike letters, and proof against one slip.
//!
//! Eight characters of [`ALPHABET`], written in two groups: `ACE4 72K9`. Four name the device that made it, three count,
//! the last checks. Devices that never met draw their four at random: of a dozen devices two draw the same once in some
//! 4,000 shops, and even then a code is shared only at the same count; a screen that finds two reels under one code shows both.
//!
//! ```
//! use tailplate_core::tag;
//! let code = tag::code(40_321, 7)?;
//! assert_eq!(tag::read(&tag::grouped(&code).to_lowercase()), Ok(code));
//! # Ok::<(), tailplate_core::Error>(())
//! ```

mod qr;
mod scan;

pub use qr::{Qr, qr};
pub use scan::{Grey, LOOKS, glance, scan};

use crate::error::{Error, Result};

/// 23 signs, a prime number: then the check finds every wrong sign and every two that changed places. Left out: what is
/// easily read as another (0 O D Q, 1 I L, 8 B, 5 S, 2 Z, 6 G, V U).
pub const ALPHABET: &[u8; 23] = b"23456789ACEFHJKMNPRTWXY";
const BASE: u32 = 23;
pub const LENGTH: usize = 8;
/// So many devices can be told apart.
pub const BLOCKS: u32 = BASE.pow(4);
/// So many tags a block has; then its device draws another.
pub const NUMBERS: u32 = BASE.pow(3);

/// The code of a block and a number.
///
/// # Errors
/// One of them is too large.
pub fn code(block: u32, number: u32) -> Result<String> {
    if block >= BLOCKS || number >= NUMBERS {
        return Err(Error::invalid(format!("There is no tag {number} in block {block}.")));
    }
    let figures = block * NUMBERS + number;
    let mut digits: Vec<u32> = (0..7).rev().map(|place| figures / BASE.pow(place) % BASE).collect();
    digits.push(check(&digits));
    Ok(digits.iter().map(|digit| ALPHABET[*digit as usize] as char).collect())
}

/// As it stands on the tag: `ACE4 72K9`.
pub fn grouped(code: &str) -> String {
    match (code.get(..4), code.get(4..)) {
        (Some(a), Some(b)) => format!("{a} {b}"),
        _ => code.to_owned(),
    }
}

/// Why a code was refused, and what it may have been meant to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    pub why: String,
    /// Right codes one slip away, likeliest first.
    pub nearest: Vec<String>,
}

/// Reads a code as typed or scanned; spaces, hyphens and case don't matter.
///
/// # Errors
/// It is no code; with the right ones that are one slip away.
pub fn read(typed: &str) -> std::result::Result<String, Refused> {
    let signs: Vec<char> = typed.chars().filter(|c| c.is_alphanumeric()).map(|c| c.to_ascii_uppercase()).collect();
    if signs.len() != LENGTH {
        return Err(Refused {
            why: format!("A tag has {LENGTH} letters and figures; “{}” has {}.", typed.trim(), signs.len()),
            nearest: Vec::new(),
        });
    }
    let digits: Vec<Option<u32>> = signs.iter().map(|sign| digit(*sign)).collect();
    let known: Vec<u32> = digits.iter().flatten().copied().collect();
    if known.len() == LENGTH && check(&known[..7]) == known[7] {
        return Ok(text(&known));
    }
    let odd = signs.iter().zip(&digits).find(|(_, digit)| digit.is_none()).map(|(sign, _)| *sign);
    let why = match odd {
        Some(sign) => format!("No tag has the sign “{sign}” in it."),
        None => "One sign of this tag is wrong: its check does not fit.".to_owned(),
    };
    Err(Refused { why, nearest: nearest(&signs, &digits) })
}

/// Right codes with one sign other, or two neighbours changed.
fn nearest(signs: &[char], digits: &[Option<u32>]) -> Vec<String> {
    let unread: Vec<usize> = (0..LENGTH).filter(|at| digits[*at].is_none()).collect();
    let places: Vec<usize> = match unread.len() {
        0 => (0..LENGTH).collect(),
        1 => unread.clone(),
        _ => return Vec::new(),
    };
    let mut found: Vec<(u8, String)> = Vec::new();
    let mut keep = |rank: u8, digits: &[u32]| {
        let code = text(digits);
        if check(&digits[..7]) == digits[7] && !found.iter().any(|(_, other)| *other == code) {
            found.push((rank, code));
        }
    };
    let plain: Vec<u32> = digits.iter().map(|digit| digit.unwrap_or(0)).collect();
    for at in places {
        for other in 0..BASE {
            let mut changed = plain.clone();
            changed[at] = other;
            let alike = looks_like(signs[at], ALPHABET[other as usize] as char);
            if digits[at] != Some(other) {
                keep(if alike { 0 } else { 2 }, &changed);
            }
        }
    }
    if unread.is_empty() {
        for at in 0..LENGTH - 1 {
            let mut changed = plain.clone();
            changed.swap(at, at + 1);
            if changed != plain {
                keep(1, &changed);
            }
        }
    }
    crate::order::by(&mut found, |a, b| a.0.cmp(&b.0));
    found.into_iter().map(|(_, code)| code).collect()
}

/// Signs that a hurried hand or eye takes for one another.
fn looks_like(a: char, b: char) -> bool {
    const ALIKE: [&str; 12] = ["8B3", "5S", "2Z7", "6GC", "4AH", "9P", "EF", "MNW", "VYU", "XK", "17IL", "0OQDC"];
    ALIKE.iter().any(|group| group.contains(a) && group.contains(b))
}

fn digit(sign: char) -> Option<u32> {
    ALPHABET.iter().position(|known| *known as char == sign).map(|at| at as u32)
}

fn text(digits: &[u32]) -> String {
    digits.iter().map(|digit| ALPHABET[*digit as usize] as char).collect()
}

/// Every sign weighs by its place, modulo a prime: one other sign, or two changed places, give another check.
fn check(seven: &[u32]) -> u32 {
    seven.iter().zip(1..).map(|(digit, weight)| digit * weight).sum::<u32>() % BASE
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_code_is_read_back_as_people_write_it(block in 0..BLOCKS, number in 0..NUMBERS) {
            let code = code(block, number).unwrap();
            prop_assert_eq!(read(&grouped(&code).to_lowercase()), Ok(code.clone()));
            prop_assert_eq!(read(&format!(" {}-{} ", &code[..2], &code[2..])), Ok(code));
        }

        #[test]
        fn one_wrong_sign_is_refused_and_the_right_code_is_among_the_nearest(
            block in 0..BLOCKS, number in 0..NUMBERS, at in 0..LENGTH, other in 1..BASE,
        ) {
            let right = code(block, number).unwrap();
            let mut wrong = right.clone().into_bytes();
            let was = digit(wrong[at] as char).unwrap();
            wrong[at] = ALPHABET[((was + other) % BASE) as usize];
            let refused = read(std::str::from_utf8(&wrong).unwrap()).unwrap_err();
            prop_assert!(refused.nearest.contains(&right), "{:?} lacks {}", refused, right);
            for code in refused.nearest {
                prop_assert_eq!(read(&code), Ok(code));
            }
        }

        #[test]
        fn two_neighbours_changed_are_refused(block in 0..BLOCKS, number in 0..NUMBERS, at in 0..LENGTH - 1) {
            let right = code(block, number).unwrap();
            let mut wrong = right.clone().into_bytes();
            wrong.swap(at, at + 1);
            prop_assume!(wrong != right.as_bytes());
            let refused = read(std::str::from_utf8(&wrong).unwrap()).unwrap_err();
            prop_assert!(refused.nearest.contains(&right));
        }

        #[test]
        fn anything_typed_is_read_or_refused(typed in "\\PC{0,20}") {
            let _ = read(&typed);
        }
    }

    #[test]
    fn different_numbers_have_different_codes() {
        let mut all: Vec<String> = (0..NUMBERS).map(|number| code(5, number).unwrap()).collect();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), NUMBERS as usize);
        assert!(code(BLOCKS, 0).is_err() && code(0, NUMBERS).is_err());
    }

    #[test]
    fn a_letter_that_no_tag_has_is_solved_by_the_check() {
        let right = code(123_456, 789).unwrap();
        let misread = format!("{}O{}", &right[..2], &right[3..]);
        let refused = read(&misread).unwrap_err();
        assert_eq!((refused.why.as_str(), refused.nearest), ("No tag has the sign “O” in it.", vec![right]));
    }
}
