//! Which characters worn metal turns into which, and what each costs or gains, in nats.
//!
//! With 36 characters at random a character read right has a chance of 0.93 against 1/36, a near twin 0.15, another
//! look-alike 0.03, anything else 0.001. These chances are judgements.

use super::symbols::{DIGIT, LETTER, ONE, RUN, Symbol, is_digit, is_letter};

/// ln(0.93 · 36)
pub const MATCH: f32 = 3.511;
/// ln(0.15 · 36)
const TWIN: f32 = 1.686;
/// ln(0.03 · 36)
const ALIKE: f32 = 0.077;
/// ln(0.001 · 36)
const UNLIKE: f32 = -3.324;
/// Figures are told apart with more care than letters.
const UNLIKE_FIGURES: f32 = -4.5;
/// A figure in the place of `#`: ln(0.93 · 36 / 10).
const SOME_DIGIT: f32 = 1.208;
/// A letter in the place of `&`: ln(0.93 · 36 / 26).
const SOME_LETTER: f32 = 0.253;
/// A letter that looks like a figure in the place of `#`, or the reverse in the place of `&`.
pub const SOME_SLIP: f32 = -1.0;
/// Two characters read as one, or one as two: ln(0.03 · 36), ln(0.01 · 36 · 36).
pub const TWO_READ_AS_ONE: f32 = 0.077;
pub const ONE_READ_AS_TWO: f32 = 2.562;

/// Pairs, each with a space behind.
const TWINS: &[u8] = b"0O 1I 5S UV 8B 2Z";
const LOOK_ALIKES: &[u8] =
    b"0Q 0D OQ OD QD OC OG 0C 1L 17 IL L7 I7 IT T7 14 83 B3 86 89 80 60 90 56 CG 6G MN HN EF FP PR BR VY \
    TY KX 4A S8 JI";
/// Two characters that run together into one.
const PAIRS: &[(u8, u8, u8)] = &[
    (b'R', b'N', b'M'),
    (b'C', b'L', b'D'),
    (b'V', b'V', b'W'),
    (b'U', b'U', b'W'),
    (b'I', b'I', b'H'),
    (b'L', b'I', b'U'),
];

const fn code(c: u8) -> usize {
    if c < b'A' { (c - b'0') as usize } else { (c - b'A') as usize + 10 }
}

static TABLE: [[f32; 36]; 36] = {
    let mut table = [[UNLIKE; 36]; 36];
    let mut a = 0;
    while a < 36 {
        let mut b = 0;
        while b < 36 {
            if a < 10 && b < 10 {
                table[a][b] = UNLIKE_FIGURES;
            }
            b += 1;
        }
        table[a][a] = MATCH;
        a += 1;
    }
    let mut at = 0;
    while at < LOOK_ALIKES.len() {
        let (a, b) = (code(LOOK_ALIKES[at]), code(LOOK_ALIKES[at + 1]));
        table[a][b] = ALIKE;
        table[b][a] = ALIKE;
        at += 3;
    }
    at = 0;
    while at < TWINS.len() {
        let (a, b) = (code(TWINS[at]), code(TWINS[at + 1]));
        table[a][b] = TWIN;
        table[b][a] = TWIN;
        at += 3;
    }
    table
};

/// What reading `read` for `struck` adds; runs are the aligner's own affair.
#[inline]
pub fn gain(read: Symbol, struck: Symbol) -> f32 {
    if read < 36 && struck < 36 {
        return TABLE[read as usize][struck as usize];
    }
    match (read, struck) {
        (ONE, _) | (RUN, _) | (_, RUN) => 0.0,
        (_, DIGIT) if is_digit(read) => SOME_DIGIT,
        (_, LETTER) if is_letter(read) => SOME_LETTER,
        (_, DIGIT) if looks_like_another_kind(read) => SOME_SLIP,
        (_, LETTER) if looks_like_another_kind(read) => SOME_SLIP,
        _ if read == struck => MATCH,
        _ => UNLIKE,
    }
}

fn looks_like_another_kind(read: Symbol) -> bool {
    let (read, others) = (read as usize, if read < 10 { 10..36 } else { 0..10 });
    read < 36 && TABLE[read][others].iter().any(|&gain| gain >= ALIKE)
}

/// The one character that two look like when they run together; [`NO_SYMBOL`] for most.
pub fn run_together(first: Symbol, second: Symbol) -> Symbol {
    let is = |&&(a, b, _): &&(u8, u8, u8)| code(a) == first as usize && code(b) == second as usize;
    PAIRS.iter().find(is).map_or(NO_SYMBOL, |&(_, _, one)| code(one) as Symbol)
}

/// No character at all.
pub const NO_SYMBOL: Symbol = Symbol::MAX;

/// Figures that a worn figure may have been, the figure itself left out.
pub fn figures_like(figure: u8) -> impl Iterator<Item = u8> {
    (0..10u8).filter(move |&other| figure < 10 && other != figure && TABLE[figure as usize][other as usize] >= ALIKE)
}

/// Look-alikes share a class, so that a slip seldom hides a mark from the index. Anything unknown is class 0.
pub fn class(symbol: Symbol) -> usize {
    const GROUPS: [&[u8]; CLASSES - 1] =
        [b"0OQD", b"CG6", b"1ILT7J", b"5S", b"8B39", b"2Z", b"UVY", b"MNH", b"EF", b"PR", b"4A", b"W", b"KX"];
    static CLASS: [u8; 36] = {
        let mut table = [0u8; 36];
        let mut at = 0;
        while at < GROUPS.len() {
            let mut member = 0;
            while member < GROUPS[at].len() {
                table[code(GROUPS[at][member])] = at as u8 + 1;
                member += 1;
            }
            at += 1;
        }
        table
    };
    CLASS.get(symbol as usize).map_or(0, |&class| class as usize)
}

/// One more than the highest class.
pub const CLASSES: usize = 14;
