//! Old and other units.

use super::answer::{Figure, Table};
use super::calculator::{Calculator, Choices, Given, choice, nothing_to_prepare, number};
use super::units::Kind;
use super::{with_spread, written};
use crate::error::{Error, Result};
use crate::reference::{Confidence, Conversion};

/// What this many of the first unit are in the second.
pub fn converted(conversion: &Conversion, amount: f64) -> f64 {
    if conversion.reciprocal {
        conversion.factor / amount
    } else {
        amount * conversion.factor + conversion.offset.unwrap_or_default()
    }
}

/// The way back.
pub fn converted_back(conversion: &Conversion, amount: f64) -> f64 {
    if conversion.reciprocal {
        conversion.factor / amount
    } else {
        (amount - conversion.offset.unwrap_or_default()) / conversion.factor
    }
}

pub(super) const CONVERT: Calculator = Calculator {
    id: "convert",
    title: "Units",
    about: "One unit in another, both ways.",
    inputs: &[
        choice("units", "From and to", Choices::Conversions),
        number("amount", "Amount", Kind::Number, 0.0, 1e12),
    ],
    formula: "",
    lines: &[],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let (conversion, amount) = asked(given)?;
        if conversion.reciprocal && amount == 0.0 {
            return Err(Error::invalid("Nothing can be made of 0 here."));
        }
        Ok(vec![
            Figure::new("there", "There", Kind::Number, converted(conversion, amount)),
            Figure::new("back", "And the other way", Kind::Number, converted_back(conversion, amount)),
        ])
    },
    tell: |given, answer| {
        let (conversion, amount) = asked(given)?;
        let (from, to) = (&conversion.from, &conversion.to);
        let line = |value: f64, unit: &str, id: &str, other: &str| {
            let figure = answer.figure(id);
            vec![
                format!("{} {unit}", written(value, given.spread("amount"))),
                with_spread(figure.map_or(0.0, |it| it.value), figure.map_or(0.0, |it| it.plus_minus), other),
            ]
        };
        let rows = vec![line(amount, from, "there", to), line(amount, to, "back", from)];
        answer.table = Some(Table { heads: vec!["so much", "is"], rows });
        let exact = if conversion.exact { "exact" } else { "rounded" };
        answer.assumptions.push(format!("{exact}: {}", conversion.basis));
        answer.cite(given.reference, &conversion.src);
        if conversion.confidence == Confidence::Low {
            answer.warn(format!("Unverified: {from} to {to}."));
        }
        Ok(())
    },
};

fn asked<'a>(given: &Given<'a>) -> Result<(&'a Conversion, f64)> {
    let conversion = given.facts().conversions.iter().find(|it| it.id == given.text("units"));
    Ok((conversion.ok_or_else(|| Error::invalid("Choose the units."))?, given.need("amount")?))
}
