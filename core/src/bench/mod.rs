//! The sums of the bench: drag, washers, line, gears, threads, bearings, springs, spin, sizes in a photo.
//!
//! Each calculator is data ([`Calculator`]) over pure functions with units in their names. [`run`] checks the inputs,
//! works the figures out, and works them out again with each input moved by its ± for the ± of each figure.

mod answer;
mod bearings;
mod calculator;
mod convert;
mod drag;
mod gears;
mod kept;
mod line;
mod photo;
mod plot;
mod setting;
mod spin;
mod spin_fit;
mod springs;
mod stack;
mod threads;
mod units;
pub mod washers;

pub use answer::{Also, Answer, Figure, StepCaution, Table};
pub use calculator::{Calculator, Choices, Entry, Input, Inputs, Wants, inputs_from_json};
pub use kept::{Kept, standing};
pub use units::{Kind, Quantity, Unit, quantity, with_spread, written};

use calculator::Given;

use crate::error::{Error, Result};
use crate::reference::{Confidence, Reference};

static CALCULATORS: &[Calculator] = &[
    drag::DRAG,
    drag::TORQUE,
    drag::CLAMP,
    drag::TENSION,
    setting::SETTING,
    stack::WASHERS,
    stack::HEIGHT,
    line::CAPACITY,
    line::PACKING_FIT,
    line::CONVERSION,
    line::BACKING,
    line::DIAMETER,
    line::PER_TURN,
    gears::RATIO,
    gears::RATIO_BY_TURNS,
    gears::MODULE,
    gears::SIZE,
    threads::THREAD,
    bearings::BEARING,
    springs::COIL,
    springs::LEAF,
    springs::TORSION,
    springs::TOGETHER,
    spin::SPIN_DOWN,
    spin_fit::SPIN_FIT,
    photo::CARD,
    photo::COIN,
    photo::COIN_SCALE,
    photo::EDGE,
    photo::HEIGHT,
    photo::DISTANCE,
    convert::CONVERT,
];

/// Every calculator, in the order in which a screen lists them.
pub fn calculators() -> &'static [Calculator] {
    CALCULATORS
}

/// The calculator of this id.
pub fn calculator(id: &str) -> Option<&'static Calculator> {
    CALCULATORS.iter().find(|calculator| calculator.id == id)
}

/// Works a calculator.
///
/// # Errors
/// One sentence: what is missing, out of bounds or impossible.
pub fn run(reference: &Reference, id: &str, inputs: &Inputs) -> Result<Answer> {
    let Some(calculator) = calculator(id) else {
        return Err(Error::unknown(format!("There is no calculator “{id}”.")));
    };
    let given = Given::read(reference, calculator, inputs)?;
    let mut figures = (calculator.figures)(&given)?;
    add_spreads(calculator, &given, &mut figures);
    if let Some(wild) = figures.iter().find(|figure| !figure.value.is_finite()) {
        return Err(Error::invalid(format!("With these inputs there is no “{}”.", wild.label)));
    }
    figures.iter_mut().for_each(Figure::finish);
    let mut answer = Answer { calculator: calculator.id, title: calculator.title, figures, ..Answer::default() };
    ground(calculator, &given, &mut answer);
    (calculator.tell)(&given, &mut answer)?;
    Ok(answer)
}

/// ± of the figures: each input moved up and down by its ±, the half differences joined as a root of squares.
fn add_spreads(calculator: &Calculator, given: &Given, figures: &mut [Figure]) {
    let mut squares: Vec<f64> = figures.iter().map(|figure| figure.plus_minus * figure.plus_minus).collect();
    for (id, spread) in given.spreads() {
        let side = |by: f64| given.moved(id, by).and_then(|moved| (calculator.figures)(&moved).ok());
        let (up, down) = (side(spread), side(-spread));
        for (figure, square) in figures.iter().zip(&mut squares) {
            let at = |side: &Option<Vec<Figure>>| {
                let figure = side.as_ref()?.iter().find(|other| other.id == figure.id)?;
                figure.value.is_finite().then_some(figure.value)
            };
            let half = match (at(&up), at(&down)) {
                (Some(up), Some(down)) => (up - down) / 2.0,
                (Some(one), None) | (None, Some(one)) => one - figure.value,
                (None, None) => 0.0,
            };
            *square += half * half;
        }
    }
    for (figure, square) in figures.iter_mut().zip(squares) {
        figure.plus_minus = square.sqrt();
    }
}

/// Formula, assumptions, sources and cautions.
fn ground(calculator: &Calculator, given: &Given, answer: &mut Answer) {
    if let Some(formula) = given.facts().formula(calculator.formula) {
        answer.formula = calculator.lines.iter().filter_map(|line| formula.lines.get(*line)).cloned().collect();
        let used = |symbol: &str| symbol.split(", ").any(|part| answer.formula.iter().any(|line| line.contains(part)));
        answer.symbols = formula
            .symbols
            .iter()
            .filter(|(symbol, _)| used(symbol))
            .map(|(symbol, meaning)| format!("{symbol}: {meaning}"))
            .collect();
        answer.assumptions.clone_from(&formula.assumptions);
        answer.cite(given.reference, &formula.src);
        if formula.confidence == Confidence::Low {
            answer.warn("The formula is unverified.");
        }
    }
    if answer.figures.iter().any(|figure| figure.plus_minus > 0.0) {
        answer
            .assumptions
            .push("the ± of the inputs are independent; those of the figures are as sure as those".into());
    }
    for (id, spread) in &given.assumed {
        let Some(input) = calculator.inputs.iter().find(|input| input.id == *id) else { continue };
        let Wants::Number { kind, .. } = input.wants else { continue };
        let spread = format!("{} {}", written(*spread, *spread), kind.units()[0].symbol);
        answer.assumptions.push(format!("± {} taken for “{}”, since none was given", spread.trim_end(), input.label));
    }
    for caution in calculator.cautions {
        answer.caution(given.reference, caution);
    }
}
