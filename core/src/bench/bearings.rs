//! Which bearing is this? The nearest to three sizes.

use super::answer::{Figure, Table};
use super::calculator::{Calculator, Given, length};
use super::units::Kind;
use super::{with_spread, written};
use crate::error::{Error, Result};
use crate::reference::{Bearing, Confidence, MechanicsPack};

/// A bearing, and measured less nominal.
#[derive(Debug, Clone, Copy)]
pub struct Match<'a> {
    pub bearing: &'a Bearing,
    pub bore_off_mm: f64,
    pub outside_off_mm: f64,
    pub width_off_mm: f64,
    /// The width is that of the open kind.
    pub open: bool,
    /// In errors of the measuring.
    pub distance: f64,
}

/// Every bearing by its distance, nearest first. Bore and outside decide: widths differ with the shields, and may be
/// 0.12 mm under by their class.
pub fn nearest<'a>(
    pack: &'a MechanicsPack,
    bore_mm: f64,
    outside_mm: f64,
    width_mm: f64,
    error_mm: f64,
) -> Vec<Match<'a>> {
    let mut matches: Vec<Match> =
        pack.bearings.iter().map(|bearing| compare(bearing, bore_mm, outside_mm, width_mm, error_mm)).collect();
    crate::order::by(&mut matches, |a, b| a.distance.total_cmp(&b.distance));
    matches
}

fn compare(bearing: &Bearing, bore_mm: f64, outside_mm: f64, width_mm: f64, error_mm: f64) -> Match<'_> {
    let (bore_off_mm, outside_off_mm) = (bore_mm - bearing.bore_mm, outside_mm - bearing.outside_mm);
    let shielded = width_mm - bearing.width_mm;
    let open_off = bearing.open_width_mm.map(|open| width_mm - open).filter(|off| off.abs() < shielded.abs());
    let width_off_mm = open_off.unwrap_or(shielded);
    let part = |off: f64, own: f64| (off / (error_mm * error_mm + own * own).sqrt()).powi(2);
    let squares = part(bore_off_mm, 0.008) + part(outside_off_mm, 0.008) + part(width_off_mm, 0.12);
    Match { bearing, bore_off_mm, outside_off_mm, width_off_mm, open: open_off.is_some(), distance: squares.sqrt() }
}

/// Place of the nearest in the pack, kept beside the inputs.
const NEAREST: &str = "nearest";

pub(super) const BEARING: Calculator = Calculator {
    id: "bearing",
    title: "Which bearing is this?",
    about: "The three nearest bearings to bore, outside and width.",
    inputs: &[
        length("bore", "Bore", 0.5, 60.0).give_or_take(0.02),
        length("outside", "Outside", 1.0, 120.0).give_or_take(0.02),
        length("width", "Width", 0.3, 40.0).give_or_take(0.02),
        length("flange", "Diameter of the flange, if it has one", 1.0, 130.0).optional(),
    ],
    formula: "",
    lines: &[],
    cautions: &["compressed_air"],
    prepare: |given| {
        if given.need("bore")? >= given.need("outside")? {
            return Err(Error::invalid("The bore must be smaller than the outside."));
        }
        // The bearing stays the same one while the inputs are moved by their ±.
        let best = found(given)?.first().map(|best| best.bearing);
        let place = given.facts().bearings.iter().position(|it| best.is_some_and(|best| std::ptr::eq(it, best)));
        let place = place
            .ok_or_else(|| Error::invalid("No bearing of this kind is known, or the pack of bearings is missing."))?;
        given.set(NEAREST, place as f64, 0.0);
        Ok(())
    },
    figures: |given| {
        let bearing = &given.facts().bearings[given.need(NEAREST)? as usize];
        let best = compare(bearing, given.need("bore")?, given.need("outside")?, given.need("width")?, 0.02);
        Ok(vec![
            Figure::new("bore_off", "Bore off the nearest by", Kind::Length, best.bore_off_mm),
            Figure::new("outside_off", "Outside off the nearest by", Kind::Length, best.outside_off_mm),
            Figure::new("width_off", "Width off the nearest by", Kind::Length, best.width_off_mm),
        ])
    },
    tell: |given, answer| {
        let found = found(given)?;
        let signed = |value: f64| format!("{}{}", if value >= 0.0 { "+" } else { "−" }, written(value.abs(), 0.003));
        let row = |found: &Match| {
            let it = found.bearing;
            let note = if it.confidence == Confidence::Low { "unverified" } else { "" };
            let width = if found.open { it.open_width_mm.unwrap_or(it.width_mm) } else { it.width_mm };
            vec![
                it.id.clone(),
                format!("{} × {} × {}", mm(it.bore_mm), mm(it.outside_mm), with_spread(width, 0.0, "mm")),
                format!(
                    "{}, {}, {} mm",
                    signed(found.bore_off_mm),
                    signed(found.outside_off_mm),
                    signed(found.width_off_mm)
                ),
                [if found.open { "open" } else { "" }, note].join(" ").trim().to_owned(),
            ]
        };
        let nearest = &found[..found.len().min(3)];
        answer.table =
            Some(Table { heads: vec!["bearing", "sizes", "off by", ""], rows: nearest.iter().map(row).collect() });
        for found in nearest {
            answer.cite(given.reference, &found.bearing.src);
            if !found.bearing.note.is_empty() {
                answer.assumptions.push(format!("{}: {}", found.bearing.id, found.bearing.note));
            }
        }
        answer.assumptions.extend(given.facts().bearing_notes.iter().cloned());
        match nearest {
            [best, ..] if best.distance > 4.0 => answer.warn(
                "None of these fits within the error: measure again, or look for a bush or a bearing of another make. Never press the nearest in.",
            ),
            [best, second, ..] if second.distance < 2.0 && best.bearing.flange_mm == second.bearing.flange_mm => answer.warn(format!(
                "{} and {} have the same sizes within the error: compare their marks.",
                best.bearing.id, second.bearing.id
            )),
            _ => {}
        }
        Ok(())
    },
};

fn mm(value: f64) -> String {
    with_spread(value, 0.0, "")
}

/// With a flange only flanged ones, without one only plain ones.
fn found<'a>(given: &Given<'a>) -> Result<Vec<Match<'a>>> {
    let error = ["bore", "outside", "width"].iter().map(|id| given.spread(id)).fold(0.005, f64::max);
    let mut found = nearest(given.facts(), given.need("bore")?, given.need("outside")?, given.need("width")?, error);
    let flange = given.get("flange");
    found.retain(|found| found.bearing.flange_mm.is_some() == flange.is_some());
    Ok(found)
}
