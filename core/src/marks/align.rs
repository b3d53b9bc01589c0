//! Alignment of a reading with a struck text, by dynamic programming over two rows.

use super::Match;
use super::alike::{self, ONE_READ_AS_TWO, TWO_READ_AS_ONE};
use super::symbols::{DIGIT, RUN, Symbol, Symbols, is_digit, is_letter, is_literal};

/// Which part of the struck text must be shown.
#[derive(Clone, Copy, PartialEq)]
pub enum Ends {
    /// Any part: the rest was worn off.
    Free,
    /// All of it.
    Whole,
}

// All in nats.
/// A character read where none was struck, and one that was struck but not seen at all.
const EXTRA_LETTER: f32 = -4.0;
const EXTRA_FIGURE: f32 = -7.0;
const LOST_LETTER: f32 = -3.0;
const LOST_FIGURE: f32 = -5.0;
/// Where all of it must be shown, each of these, and each unlike character, costs so much more: RUSSIA is not USA.
const WHOLE: f32 = -2.0;
/// The struck text is cut off at one end: that it is, and for each character lost.
const CUT: f32 = -0.7;
const CUT_EACH: f32 = -0.02;
const CUT_MOST: f32 = -1.5;
/// The span begins or ends inside a longer number of the reading: 300 is not in 1300.
const INSIDE_NUMBER: f32 = -7.0;
/// The same, inside a number that was struck.
const PART_OF_NUMBER: f32 = -4.0;
/// The span begins or ends inside a word of the reading.
const INSIDE_WORD: f32 = -2.0;
/// An illegible run of the reading that stands for some of the struck text.
const RUN_USED: f32 = -0.3;
const RUN_EACH: f32 = -0.02;

#[derive(Clone, Copy)]
struct Cell {
    score: f32,
    start: u16,
    legible: u16,
    shown: u16,
}

const NEVER: Cell = Cell { score: f32::NEG_INFINITY, start: 0, legible: 0, shown: 0 };

impl Cell {
    fn better(self, other: Cell) -> Cell {
        if other.score > self.score { other } else { self }
    }
    fn add(self, nats: f32) -> Cell {
        Cell { score: self.score + nats, ..self }
    }
    fn see(self, nats: f32, read: u16, struck: u16) -> Cell {
        Cell { score: self.score + nats, legible: self.legible + read, shown: self.shown + struck, ..self }
    }
}

/// Working memory, kept between calls.
#[derive(Default)]
pub struct Rows {
    rows: [Vec<Cell>; 3],
    /// For a `*` in the struck text: the best so far of each column.
    columns: Vec<Cell>,
    /// Cost of beginning and of ending before each struck character.
    edges: Vec<(f32, f32)>,
    /// The character that each struck one and the one before run together into.
    together: Vec<Symbol>,
}

fn extra(symbol: Symbol) -> f32 {
    match symbol {
        RUN => 0.0,
        s if s == super::symbols::ONE => -1.0,
        s if is_digit(s) => EXTRA_FIGURE,
        _ => EXTRA_LETTER,
    }
}

fn lost(symbol: Symbol) -> f32 {
    match symbol {
        RUN => 0.0,
        s if is_digit(s) => LOST_FIGURE,
        _ => LOST_LETTER,
    }
}

/// Cost of a span edge between the symbols `at - 1` and `at`.
fn edge(symbols: &Symbols, at: usize, number: f32, word: f32) -> f32 {
    if at == 0 || at >= symbols.len() || !symbols.joined[at] {
        return 0.0;
    }
    let (before, after) = (symbols.code[at - 1], symbols.code[at]);
    if is_digit(before) && is_digit(after) {
        number
    } else if is_letter(before) && is_letter(after) {
        word
    } else {
        0.0
    }
}

fn cut(count: usize) -> f32 {
    if count == 0 { 0.0 } else { (CUT + CUT_EACH * count as f32).max(CUT_MOST) }
}

/// The best place of the struck text in the reading, however poor; `None` if either is empty.
pub fn align(reading: &Symbols, struck: &Symbols, ends: Ends, rows: &mut Rows) -> Option<Match> {
    let (n, m) = (reading.len(), struck.len());
    if n == 0 || m == 0 {
        return None;
    }
    for row in &mut rows.rows {
        row.clear();
        row.resize(m + 1, NEVER);
    }
    rows.columns.clear();
    rows.columns.resize(m + 1, NEVER);
    rows.edges.clear();
    rows.edges.extend((0..=m).map(|j| {
        let inside = edge(struck, j, PART_OF_NUMBER, 0.0);
        (cut(j) + inside, cut(m - j) + inside)
    }));
    rows.together.clear();
    rows.together.extend((0..m).map(|j| match j {
        0 => alike::NO_SYMBOL,
        _ => alike::run_together(struck.code[j - 1], struck.code[j]),
    }));
    let strict = if ends == Ends::Whole { WHOLE } else { 0.0 };
    // What is not there at all counts as if it had been read wrong: GERMANY is not W. GERMANY.
    let missing = if ends == Ends::Whole { WHOLE - alike::MATCH } else { 0.0 };
    let mut best = (NEVER, 0);
    for i in 0..=n {
        let read_edge = edge(reading, i, INSIDE_NUMBER, INSIDE_WORD);
        let read = if i > 0 { reading.code[i - 1] } else { 0 };
        let legible = u16::from(is_literal(read));
        let read_together = if i > 1 { alike::run_together(reading.code[i - 2], read) } else { alike::NO_SYMBOL };
        let [before_last, last, row] = &mut rows.rows;
        let mut run = NEVER; // for a `*` in the reading: the best of the row above up to here
        for j in 0..=m {
            let open = ends == Ends::Free || j == 0;
            let mut cell = if open {
                Cell { score: rows.edges[j].0 + read_edge, start: i as u16, legible: 0, shown: 0 }
            } else {
                NEVER
            };
            if i > 0 {
                if read == RUN {
                    run = run.add(RUN_EACH).better(last[j].add(RUN_USED));
                    cell = cell.better(run);
                } else {
                    cell = cell.better(last[j].add(extra(read) + strict));
                }
            }
            if j > 0 {
                let wanted = struck.code[j - 1];
                if wanted == RUN {
                    rows.columns[j] = rows.columns[j].better(row[j - 1]);
                    cell = cell.better(rows.columns[j]);
                } else {
                    // Where all must be shown, `#` is met by a figure, by what looks like one or by an illegible one.
                    let figure = ends == Ends::Whole && wanted == DIGIT;
                    if !figure {
                        cell = cell.better(row[j - 1].add(lost(wanted) + missing));
                    }
                    if i > 0 && read != RUN && !(figure && alike::gain(read, wanted) < alike::SOME_SLIP) {
                        let shown = legible;
                        let gain = alike::gain(read, wanted);
                        let gain = if gain < alike::SOME_SLIP { gain + strict } else { gain };
                        cell = cell.better(last[j - 1].see(gain, legible, shown));
                        if j > 1 && rows.together[j - 1] == read {
                            cell = cell.better(last[j - 2].see(TWO_READ_AS_ONE, 1, 2));
                        }
                        if i > 1 && read_together == wanted {
                            cell = cell.better(before_last[j - 1].see(ONE_READ_AS_TWO, 2, 1));
                        }
                    }
                }
            }
            row[j] = cell;
            if ends == Ends::Free || j == m {
                // `NO. #` asks for a number, not for a single figure.
                let goes_on = ends == Ends::Whole && struck.code[m - 1] == DIGIT && struck.literals() >= 2;
                let end = cell.add(rows.edges[j].1 + if goes_on { 0.0 } else { read_edge });
                if end.score > best.0.score {
                    best = (end, i);
                }
            }
        }
        rows.rows.rotate_left(1);
    }
    let (cell, end) = best;
    if cell.score == f32::NEG_INFINITY || end <= cell.start as usize {
        return None;
    }
    let all = (m - struck.runs()).max(1);
    Some(Match {
        struck: 0,
        llr: f64::from(cell.score),
        start: reading.at[cell.start as usize] as usize,
        end: reading.at[end - 1] as usize + 1,
        covered: f64::from(cell.shown) / all as f64,
        legible: cell.legible as usize,
    })
}
