//! Which thread is this? The nearest standards to a diameter and a pitch, and what tells against them.

use super::answer::{Answer, Figure, Table};
use super::calculator::{Calculator, Choices, Given, choice, length, number};
use super::units::Kind;
use super::{with_spread, written};
use crate::error::Result;
use crate::reference::{Confidence, MechanicsPack, ThreadSeries, ThreadSize};

/// A standard, and how far the measured thread is from it.
#[derive(Debug, Clone, Copy)]
pub struct Match<'a> {
    pub series: &'a ThreadSeries,
    pub size: &'a ThreadSize,
    /// Measured less nominal.
    pub diameter_off_mm: f64,
    pub pitch_off_mm: f64,
    pub angle_off_deg: Option<f64>,
    /// In standard errors: below two or so it fits.
    pub distance: f64,
}

/// What was measured, with the ± of it.
#[derive(Debug, Clone, Copy)]
pub struct Measured {
    pub diameter_mm: f64,
    pub diameter_error_mm: f64,
    pub pitch_mm: f64,
    pub pitch_error_mm: f64,
    pub angle_deg: Option<f64>,
    /// The bore of a nut or hole was measured, not the outside of a screw.
    pub hole: bool,
}

/// Every standard by its distance, nearest first.
pub fn nearest<'a>(pack: &'a MechanicsPack, seen: &Measured) -> Vec<Match<'a>> {
    let mut matches: Vec<Match> = all_sizes(pack).filter_map(|(series, size)| compare(series, size, seen)).collect();
    crate::order::by(&mut matches, |a, b| a.distance.total_cmp(&b.distance));
    matches
}

fn all_sizes(pack: &MechanicsPack) -> impl Iterator<Item = (&ThreadSeries, &ThreadSize)> {
    pack.threads.iter().flat_map(|series| series.sizes.iter().map(move |size| (series, size)))
}

/// Place of the nearest among all sizes, kept beside the inputs.
const NEAREST: &str = "nearest";

fn compare<'a>(series: &'a ThreadSeries, size: &'a ThreadSize, seen: &Measured) -> Option<Match<'a>> {
    let pitch = size.pitch();
    let nominal = if seen.hole { size.major_mm - bore_depth(series)? * pitch } else { size.major_mm };
    let (diameter_off_mm, pitch_off_mm) = (seen.diameter_mm - nominal, seen.pitch_mm - pitch);
    // Screws are made a little under their size, and holes a little over: the first tenth of a pitch tells little.
    let made_so = if seen.hole { diameter_off_mm } else { -diameter_off_mm };
    let slack = made_so.clamp(0.0, 0.1 * pitch);
    let diameter = (diameter_off_mm.abs() - 0.75 * slack) / hypot(seen.diameter_error_mm, 0.02 + 0.02 * pitch);
    let pitch_part = pitch_off_mm / hypot(seen.pitch_error_mm, 0.005 * pitch);
    let angle_off_deg = seen.angle_deg.zip(series.angle_deg).map(|(seen, known)| seen - known);
    let angle = angle_off_deg.unwrap_or_default() / 2.0;
    let distance = hypot(hypot(diameter, pitch_part), angle);
    Some(Match { series, size, diameter_off_mm, pitch_off_mm, angle_off_deg, distance })
}

fn hypot(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// How much smaller than the thread's diameter its nut's bore is, in pitches. Tap charts reckon 60° threads by the
/// screw's depth; the nut's crest is cut off.
fn bore_depth(series: &ThreadSeries) -> Option<f64> {
    let depth = series.depth_factor?;
    Some(if (depth - 1.299_038).abs() < 1e-5 { 1.082_532 } else { depth })
}

/// Drill for three quarters of a full thread.
pub fn tap_drill_mm(major_mm: f64, pitch_mm: f64, depth_factor: f64) -> f64 {
    major_mm - 0.75 * depth_factor * pitch_mm
}

pub(super) const THREAD: Calculator = Calculator {
    id: "thread",
    title: "Which thread is this?",
    about: "The three nearest standards to a measured diameter and pitch.",
    inputs: &[
        length("diameter", "Diameter over the crests, or the bore of a hole", 0.2, 60.0).give_or_take(0.03),
        number("pitch", "Pitch", Kind::Pitch, 0.05, 6.0)
            .give_or_take(0.01)
            .help("In mm, or as threads per inch: 40 tpi. Measured over ten crests, the error is a tenth."),
        number("flank_angle", "Angle between the flanks", Kind::Angle, 30.0, 90.0)
            .optional()
            .help("60, 55 or 47.5, by gauge or in a photo."),
        choice("measured_on", "Measured on", Choices::Fixed(&[("screw", "A screw"), ("hole", "A nut or hole")]))
            .default("screw"),
    ],
    formula: "",
    lines: &[],
    cautions: &["overtorque", "value"],
    prepare: |given| {
        // The standard stays the same one while the inputs are moved by their ±.
        if let Some(best) = nearest(given.facts(), &measured(given)?).first() {
            let place = all_sizes(given.facts()).position(|(_, size)| std::ptr::eq(size, best.size));
            given.set(NEAREST, place.unwrap_or_default() as f64, 0.0);
        }
        Ok(())
    },
    figures: |given| {
        let seen = measured(given)?;
        let mut figures = vec![Figure::new("pitch", "Pitch", Kind::Pitch, seen.pitch_mm)];
        let best = given.get(NEAREST).and_then(|place| all_sizes(given.facts()).nth(place as usize));
        if let Some(best) = best.and_then(|(series, size)| compare(series, size, &seen)) {
            figures.push(Figure::new(
                "diameter_off",
                "Diameter off the nearest by",
                Kind::Length,
                best.diameter_off_mm,
            ));
            figures.push(Figure::new("pitch_off", "Pitch off the nearest by", Kind::Length, best.pitch_off_mm));
            if let Some(depth) = best.series.depth_factor {
                let drill = tap_drill_mm(best.size.major_mm, best.size.pitch(), depth);
                figures.push(Figure::new(
                    "tap_drill",
                    "Tap drill of the nearest, for 75 % of full depth",
                    Kind::Length,
                    drill,
                ));
            }
        }
        Ok(figures)
    },
    tell,
};

fn measured(given: &Given) -> Result<Measured> {
    Ok(Measured {
        diameter_mm: given.need("diameter")?,
        diameter_error_mm: given.spread("diameter"),
        pitch_mm: given.need("pitch")?,
        pitch_error_mm: given.spread("pitch"),
        angle_deg: given.get("flank_angle"),
        hole: given.text("measured_on") == "hole",
    })
}

fn confidence(found: &Match) -> Confidence {
    found.size.confidence.unwrap_or(found.series.confidence)
}

fn tell(given: &Given, answer: &mut Answer) -> Result<()> {
    let seen = measured(given)?;
    let found = nearest(given.facts(), &seen);
    let signed = |value: f64| format!("{}{} mm", if value >= 0.0 { "+" } else { "−" }, written(value.abs(), 0.003));
    let row = |found: &Match| {
        let angle = found.series.angle_deg.map_or("not known".into(), |angle| with_spread(angle, 0.0, "°"));
        let pitch = match found.size.tpi {
            Some(tpi) => format!("{tpi} per inch"),
            None => with_spread(found.size.pitch(), 0.0, "mm"),
        };
        let note = if confidence(found) == Confidence::Low { "unverified" } else { "" };
        vec![
            found.size.id.clone(),
            found.series.name.clone(),
            with_spread(found.size.major_mm, 0.0, "mm"),
            pitch,
            angle,
            signed(found.diameter_off_mm),
            signed(found.pitch_off_mm),
            note.to_owned(),
        ]
    };
    let three = &found[..found.len().min(3)];
    let heads = vec!["thread", "series", "diameter", "pitch", "angle", "diameter off", "pitch off", ""];
    answer.table = Some(Table { heads, rows: three.iter().map(row).collect() });
    for found in three {
        answer.cite(given.reference, if found.size.src.is_empty() { &found.series.src } else { &found.size.src });
        for note in [&found.series.note, &found.size.note] {
            if !note.is_empty() {
                answer.assumptions.push(format!("{}: {note}", found.size.id));
            }
        }
    }
    answer
        .assumptions
        .push("a screw may be under its size, and a hole over it, by a tenth of the pitch and more where worn".into());
    let Some(best) = three.first() else {
        answer.warn("The pack of threads is missing.");
        return Ok(());
    };
    answer.warn("Nearest is not the same: turn it in by the fingers, several turns, before any tool. Old makers often cut threads of their own.");
    if let Some(off) = best.angle_off_deg.filter(|off| off.abs() > 3.0) {
        answer.warn(format!(
            "The flanks are {:.0}° off those of {}: a screw of another angle wedges and strips.",
            off.abs(),
            best.size.id
        ));
    }
    if best.distance > 3.0 {
        answer.warn("No standard fits within the error of these figures: measure again over more crests, or take it for a thread of the maker's own.");
    }
    let rivals: Vec<&str> = three[1..]
        .iter()
        .filter(|rival| rival.distance < 3.0 && rival.distance < best.distance + 1.5)
        .map(|rival| rival.size.id.as_str())
        .collect();
    if best.distance <= 3.0 && !rivals.is_empty() {
        answer.warn(format!(
            "{} fits as well as {}: these figures do not tell them apart. Measure the pitch over more crests, and the angle.",
            rivals.join(" and "),
            best.size.id
        ));
    }
    if let Some(rival) = three[1..].iter().find(|rival| rival.distance < 6.0 && rival.size.pitch() != best.size.pitch())
    {
        let turns = 5.0;
        answer.warn(format!(
            "{} in a hole for {} would be out by {:.2} mm after {turns} turns: it starts, then binds and strips.",
            rival.size.id,
            best.size.id,
            turns * (rival.size.pitch() - best.size.pitch()).abs()
        ));
    }
    Ok(())
}
