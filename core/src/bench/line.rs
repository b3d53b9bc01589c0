//! Line on a spool: how much goes on, one line for another, and how much a turn brings in.

use super::answer::{Answer, Figure};
use super::calculator::{
    Calculator, Choices, Given, Input, choice, length, nothing_to_prepare, nothing_to_tell, number,
};
use super::drag::{ARBOR, FULL};
use super::plot::{Axis, Plot, svg};
use super::units::Kind;
use crate::error::{Error, Result};
use crate::reference::{Confidence, LineKind, LineSize};

/// Length of line between arbor and line level.
pub fn capacity_m(arbor_mm: f64, full_mm: f64, width_mm: f64, line_mm: f64, packing: f64) -> f64 {
    packing * width_mm * (full_mm * full_mm - arbor_mm * arbor_mm) / (line_mm * line_mm) / 1000.0
}

/// The packing that a known length shows.
pub fn packing(arbor_mm: f64, full_mm: f64, width_mm: f64, line_mm: f64, length_m: f64) -> f64 {
    length_m / capacity_m(arbor_mm, full_mm, width_mm, line_mm, 1.0)
}

/// The length of another line in the same room.
pub fn converted_m(length_m: f64, line_mm: f64, packing: f64, other_mm: f64, other_packing: f64) -> f64 {
    length_m * other_packing / packing * (line_mm / other_mm) * (line_mm / other_mm)
}

/// Line brought in by one turn of the handle, with this share of the line on the spool.
pub fn line_per_turn_mm(ratio: f64, arbor_mm: f64, full_mm: f64, share: f64) -> f64 {
    std::f64::consts::PI * ratio * (arbor_mm * arbor_mm + share * (full_mm * full_mm - arbor_mm * arbor_mm)).sqrt()
}

const WIDTH: Input = length("width", "Width between the flanges", 0.5, 300.0);
const LINE: Input = choice("line", "Line", Choices::Lines).optional();
const LABEL: Input = number("label", "Its label: lb, threads or number", Kind::Number, 0.05, 400.0).optional();
const LINE_DIAMETER: Input = number("line_diameter", "Diameter of the line", Kind::Length, 0.02, 5.0)
    .give_or_take(0.01)
    .optional()
    .help("Ten wraps close on a rod, divided by ten. Or choose the line and its label.");
const PACKING: Input = number("packing", "Packing", Kind::Number, 0.3, 1.0)
    .default("0.7 ± 0.1")
    .help("Share of the room that is line: 0.6 to 0.8 wound level. Better fitted from a known filling.");

pub(super) const CAPACITY: Calculator = Calculator {
    id: "line-capacity",
    title: "Line capacity of a spool",
    about: "How much of a line goes on a spool.",
    inputs: &[ARBOR, FULL, WIDTH, LINE, LABEL, LINE_DIAMETER, PACKING],
    formula: "spool-capacity",
    lines: &["capacity"],
    cautions: &[],
    prepare: diameter_of_line,
    figures: |given| {
        let (arbor, full) = spool(given)?;
        let length =
            capacity_m(arbor, full, given.need("width")?, given.need("line_diameter")?, given.need("packing")?);
        Ok(vec![
            Figure::new("length", "Line on the spool", Kind::LineLength, length),
            Figure::new("line_diameter", "Diameter of the line", Kind::Length, given.need("line_diameter")?),
        ])
    },
    tell: |given, answer| {
        tell_line(given, answer);
        Ok(())
    },
};

pub(super) const PACKING_FIT: Calculator = Calculator {
    id: "line-packing",
    title: "Packing from a known filling",
    about: "How tightly line lies, from a length known to fill the spool. Use it for the next line.",
    inputs: &[
        ARBOR,
        FULL,
        WIDTH,
        LINE,
        LABEL,
        LINE_DIAMETER,
        number("length", "Length that fills it", Kind::LineLength, 0.5, 10_000.0),
    ],
    formula: "spool-capacity",
    lines: &["fit_packing"],
    cautions: &[],
    prepare: diameter_of_line,
    figures: |given| {
        let (arbor, full) = spool(given)?;
        let fit = packing(arbor, full, given.need("width")?, given.need("line_diameter")?, given.need("length")?);
        Ok(vec![Figure::new("packing", "Packing", Kind::Number, fit)])
    },
    tell: |given, answer| {
        tell_line(given, answer);
        if let Some(fit) = answer.figure("packing").map(|figure| figure.value) {
            if fit > 0.9069 {
                answer.warn("Round line can't lie tighter than 0.907: look at the sizes again, or the line is flatter than it measures.");
            } else if fit < 0.5 {
                answer.warn("Looser than line winds: look at the sizes again.");
            }
        }
        Ok(())
    },
};

pub(super) const CONVERSION: Calculator = Calculator {
    id: "line-conversion",
    title: "One line for another",
    about: "How much of another line fills the same spool.",
    inputs: &[
        number("length", "Length of the line known to fit", Kind::LineLength, 0.5, 10_000.0),
        number("line_diameter", "Its diameter", Kind::Length, 0.02, 5.0).give_or_take(0.01),
        number("other_diameter", "Diameter of the other line", Kind::Length, 0.02, 5.0).give_or_take(0.01),
        number("packing", "Packing of the first", Kind::Number, 0.3, 1.0).default("0.7"),
        number("other_packing", "Packing of the other", Kind::Number, 0.3, 1.0)
            .default("0.7")
            .help("The same unless the one is round and the other flat."),
    ],
    formula: "spool-capacity",
    lines: &["convert", "convert_general"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let other = converted_m(
            given.need("length")?,
            given.need("line_diameter")?,
            given.need("packing")?,
            given.need("other_diameter")?,
            given.need("other_packing")?,
        );
        Ok(vec![Figure::new("other_length", "Length of the other line", Kind::LineLength, other)])
    },
    tell: nothing_to_tell,
};

pub(super) const BACKING: Calculator = Calculator {
    id: "line-backing",
    title: "Backing under a line",
    about: "How much backing brings a line up to the level.",
    inputs: &[
        ARBOR,
        FULL,
        WIDTH,
        number("top_length", "Length of the line on top", Kind::LineLength, 0.0, 10_000.0),
        number("top_diameter", "Its diameter", Kind::Length, 0.02, 5.0).give_or_take(0.01),
        number("backing_diameter", "Diameter of the backing", Kind::Length, 0.02, 5.0).give_or_take(0.01),
        number("top_packing", "Packing of the line on top", Kind::Number, 0.3, 1.0).default("0.7 ± 0.05"),
        number("backing_packing", "Packing of the backing", Kind::Number, 0.3, 1.0).default("0.7 ± 0.05"),
    ],
    formula: "spool-capacity",
    lines: &["backing_plus_topshot"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let (arbor, full) = spool(given)?;
        let (width, top) = (given.need("width")?, given.need("top_length")?);
        let (top_mm, top_packing) = (given.need("top_diameter")?, given.need("top_packing")?);
        let (mm, packing) = (given.need("backing_diameter")?, given.need("backing_packing")?);
        let room = capacity_m(arbor, full, width, top_mm, top_packing);
        if top > room {
            return Err(Error::invalid(format!(
                "The line on top alone needs more room than there is: {room:.0} m go on."
            )));
        }
        let length = converted_m(room - top, top_mm, top_packing, mm, packing);
        Ok(vec![
            Figure::new("backing_length", "Backing", Kind::LineLength, length),
            Figure::new("top_room", "The line on top alone would go on with", Kind::LineLength, room),
        ])
    },
    tell: nothing_to_tell,
};

pub(super) const DIAMETER: Calculator = Calculator {
    id: "line-diameter",
    title: "Diameter of a line",
    about: "About how thick a line of this label is.",
    inputs: &[
        choice("line", "Line", Choices::Lines),
        number("label", "Its label: lb, threads or number", Kind::Number, 0.05, 400.0),
    ],
    formula: "",
    lines: &[],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let (diameter, spread) = looked_up(given)?;
        Ok(vec![Figure::new("line_diameter", "Diameter of the line", Kind::Length, diameter).give_or_take(spread)])
    },
    tell: |given, answer| {
        tell_line(given, answer);
        answer.assumptions.extend(given.facts().line_notes.iter().cloned());
        Ok(())
    },
};

pub(super) const PER_TURN: Calculator = Calculator {
    id: "line-per-turn",
    title: "Line per turn of the handle",
    about: "How much line one turn brings in, at any filling.",
    inputs: &[
        number("ratio", "Gear ratio", Kind::Number, 0.2, 20.0).help("Turns of spool or rotor to one of the handle."),
        FULL,
        ARBOR.optional().help("For less than a full spool."),
        number("share", "Share of the line still on the spool", Kind::Number, 0.0, 1.0).default("0.5"),
    ],
    formula: "retrieve",
    lines: &["retrieve", "at_level"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let (ratio, full) = (given.need("ratio")?, given.need("full_diameter")?);
        let at = |arbor, share| line_per_turn_mm(ratio, arbor, full, share);
        let mut figures = vec![Figure::new("line_full", "Line a turn, spool full", Kind::Length, at(full, 1.0))];
        if given.get("arbor_diameter").is_some() {
            let (arbor, _) = spool(given)?;
            figures.push(Figure::new(
                "line_at_share",
                "Line a turn, at this filling",
                Kind::Length,
                at(arbor, given.need("share")?),
            ));
            figures.push(Figure::new("line_empty", "Line a turn, nearly empty", Kind::Length, at(arbor, 0.0)));
        }
        Ok(figures)
    },
    tell: |given, answer| {
        let (Some(arbor), Some(full), Some(ratio)) =
            (given.get("arbor_diameter"), given.get("full_diameter"), given.get("ratio"))
        else {
            return Ok(());
        };
        let line = (0..=25)
            .map(|at| f64::from(at) / 25.0)
            .map(|share| (share * 100.0, line_per_turn_mm(ratio, arbor, full, share)));
        let most = line_per_turn_mm(ratio, arbor, full, 1.0);
        answer.plot_svg = Some(svg(&Plot {
            title: "Line per turn against line left on the spool",
            told: format!(
                "From {:.0} mm nearly empty to {most:.0} mm full.",
                line_per_turn_mm(ratio, arbor, full, 0.0)
            ),
            x: Axis { label: "line left on the spool, %", from: 0.0, to: 100.0 },
            y: Axis { label: "line per turn, mm", from: 0.0, to: most * 1.05 },
            band: None,
            lines: vec![(line.collect(), false)],
            points: Vec::new(),
        }));
        Ok(())
    },
};

fn spool(given: &Given) -> Result<(f64, f64)> {
    let (arbor, full) = (given.need("arbor_diameter")?, given.need("full_diameter")?);
    if arbor >= full {
        return Err(Error::invalid("The bare arbor must be smaller than the full spool."));
    }
    Ok((arbor, full))
}

fn diameter_of_line(given: &mut Given) -> Result<()> {
    if given.get("line_diameter").is_none() {
        if given.text("line").is_empty() {
            return Err(Error::invalid("Give the diameter of the line, or choose the line and its label."));
        }
        let (diameter, spread) = looked_up(given)?;
        given.set("line_diameter", diameter, spread);
    }
    Ok(())
}

/// Diameter by kind and label, between the two sizes known about it: diameters go as a power of the label.
fn looked_up(given: &Given) -> Result<(f64, f64)> {
    let (_, low, high, part) = neighbours(given)?;
    let diameter = low.diameter_mm * (high.diameter_mm / low.diameter_mm).powf(part);
    let half = |size: &LineSize| size.range_mm.map_or(0.1 * size.diameter_mm, |[least, most]| (most - least) / 2.0);
    Ok((diameter, half(low).max(half(high))))
}

fn neighbours<'a>(given: &'a Given) -> Result<(&'a LineKind, &'a LineSize, &'a LineSize, f64)> {
    let label = given.need("label")?;
    let kind = given.facts().lines.iter().find(|kind| kind.id == given.text("line"));
    let kind = kind.ok_or_else(|| Error::invalid("Choose the line."))?;
    let at = |size: &LineSize| kind.label_of(size).unwrap_or_default();
    let after = kind.sizes.iter().position(|size| at(size) >= label);
    match (after, kind.sizes.first(), kind.sizes.last()) {
        (Some(0), Some(first), _) if at(first) == label => Ok((kind, first, first, 0.0)),
        (Some(after), _, _) if after > 0 => {
            let (low, high) = (&kind.sizes[after - 1], &kind.sizes[after]);
            Ok((kind, low, high, (label / at(low)).ln() / (at(high) / at(low)).ln()))
        }
        (_, Some(first), Some(last)) => Err(Error::invalid(format!(
            "{} is known from {} to {} {}; measure the line instead.",
            kind.name,
            at(first),
            at(last),
            kind.marked
        ))),
        _ => Err(Error::invalid(format!("No size is known of {}.", kind.name))),
    }
}

fn tell_line(given: &Given, answer: &mut Answer) {
    if given.text("line").is_empty() {
        return;
    }
    let Ok((kind, low, high, _)) = neighbours(given) else { return };
    if low.confidence == Confidence::Low || high.confidence == Confidence::Low {
        answer.warn(format!("Unverified: the diameter of {} at this label. Measure the line.", kind.name));
    }
    if !kind.note.is_empty() {
        answer.assumptions.push(kind.note.clone());
    }
    answer.cite(given.reference, &low.src);
    answer.cite(given.reference, &high.src);
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn capacity_packing_and_conversion_are_each_others_way_back(
            arbor in 5.0..40.0f64, more in 1.0..60.0f64, width in 5.0..90.0f64, line in 0.1..1.5f64, fit in 0.5..0.9f64,
            other in 0.1..1.5f64
        ) {
            let full = arbor + more;
            let length = capacity_m(arbor, full, width, line, fit);
            prop_assert!((packing(arbor, full, width, line, length) / fit - 1.0).abs() < 1e-12);
            let converted = converted_m(length, line, fit, other, fit);
            prop_assert!((converted / capacity_m(arbor, full, width, other, fit) - 1.0).abs() < 1e-12);
            prop_assert!((converted_m(converted, other, fit, line, fit) / length - 1.0).abs() < 1e-12);
        }

        /// Square packing counted turn by turn comes out as the formula says, to within a layer.
        #[test]
        fn capacity_is_what_layers_of_turns_add_up_to(arbor in 20.0..40.0f64, layers in 5u32..30, turns in 10u32..80) {
            let line = 0.4;
            let full = arbor + 2.0 * line * f64::from(layers);
            let layer = |at: u32| std::f64::consts::PI * (arbor + line * (2.0 * f64::from(at) + 1.0)) * f64::from(turns);
            let counted = (0..layers).map(layer).sum::<f64>() / 1000.0;
            let formula = capacity_m(arbor, full, line * f64::from(turns), line, std::f64::consts::FRAC_PI_4);
            prop_assert!((formula / counted - 1.0).abs() < 1e-9, "{formula} {counted}");
        }

        #[test]
        fn more_line_on_the_spool_brings_more_in(arbor in 5.0..40.0f64, more in 1.0..60.0f64, a in 0.0..1.0f64, b in 0.0..1.0f64) {
            let at = |share| line_per_turn_mm(4.0, arbor, arbor + more, share);
            prop_assert!((a <= b) == (at(a) <= at(b)) || (a - b).abs() < 1e-9);
        }
    }
}
