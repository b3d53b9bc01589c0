//! Numbers that look like years and are not: catalogue numbers, sizes, owners' engravings.

use crate::order;
use crate::reference::{Model, Reference};

use super::patents::looks_like_year;
use super::tokens::{Token, fits};

/// Models with a catalogue number that the reading is, or can be.
fn models_with<'a>(reference: &'a Reference, number: &str) -> Vec<(&'a Model, &'a str)> {
    let mut found = Vec::new();
    for model in &reference.models {
        for catalogue in &model.numbers {
            let figures: String = catalogue.chars().take_while(char::is_ascii_digit).collect();
            if !figures.is_empty() && fits(number.as_bytes(), figures.as_bytes()) {
                found.push((model, catalogue.as_str()));
                break;
            }
        }
    }
    found
}

/// Whether the number is one of a catalogue.
pub fn is_catalogue_number(reference: &Reference, number: &str) -> bool {
    !models_with(reference, number).is_empty()
}

/// A note for each number of the mark that looks like a year but isn't one. `taken`: tokens of dates and patents.
pub fn notes(
    reference: &Reference,
    tokens: &[Token],
    makers: &[&str],
    taken: &dyn Fn(usize) -> bool,
    this_year: i32,
) -> Vec<String> {
    let mut notes = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        if taken(at) || !looks_like_year(&token.text, this_year) {
            continue;
        }
        let mut models = models_with(reference, &token.text);
        // The maker that the reel names goes first.
        order::by(&mut models, |a, b| makers.contains(&b.0.maker.as_str()).cmp(&makers.contains(&a.0.maker.as_str())));
        if models.iter().any(|(model, _)| makers.contains(&model.maker.as_str())) {
            models.retain(|(model, _)| makers.contains(&model.maker.as_str()));
        }
        let number = &token.text;
        let named: Vec<String> = models
            .iter()
            .take(2)
            .map(|(model, number)| format!("{number} of {} ({})", model.name, reference.maker_name(&model.maker)))
            .collect();
        let surely = token.is_legible() && models.iter().any(|(model, _)| makers.contains(&model.maker.as_str()));
        notes.push(if models.is_empty() {
            format!("{number} looks like a year but may be a model or catalogue number, or an owner's engraving: it is not used as a year.")
        } else {
            let is = if surely { "is" } else { "can be" };
            format!("{number} {is} a catalogue number, not a year: {}.", named.join("; "))
        });
    }
    notes
}
