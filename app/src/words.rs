//! Figures and answers in words.

use js_sys::{Array, Intl::DateTimeFormat, Object};
use tailplate_core::observe::{About, Certainty, How, Observation, Unit, Value};
use tailplate_core::reference::{Bound, Reference, Years};

/// What the question is, and what was answered.
pub fn seen_in_words(reference: &Reference, seen: &Observation) -> (String, String) {
    let subject = match &seen.about {
        About::Feature(id) => reference.feature(id).map_or(id.clone(), |f| f.ask.trim_end_matches('?').to_owned()),
        About::Mark(place) => reference.mark_place(place).map_or(place.clone(), |p| p.label.clone()),
    };
    let answer = match &seen.value {
        Value::State(state) => reference
            .feature(seen.about.id())
            .and_then(|f| f.state(state))
            .map_or_else(|| state.clone(), |s| s.label.clone()),
        Value::Count(n) => n.to_string(),
        Value::Measure { amount, unit } => {
            let error = seen.plus_minus.map_or_else(String::new, |error| format!(" ± {}", one_unit(error, *unit)));
            format!("{}{error}", both_units(*amount, *unit))
        }
        Value::Text(text) => format!("“{text}”"),
        Value::Absent => "not there".into(),
        Value::Unclear => "can’t tell".into(),
        Value::TakenBack(_) => "taken back".into(),
    };
    let answer = match seen.certainty {
        Certainty::Sure => answer,
        Certainty::Likely => format!("{answer}, likely"),
        Certainty::Guess => format!("{answer}, a guess"),
    };
    (subject, answer)
}

/// `63.5 mm (2.50 in)`: the unit it was read in first.
pub fn both_units(amount: f64, unit: Unit) -> String {
    let other = match unit {
        Unit::Mm => Unit::In,
        Unit::In => Unit::Mm,
        Unit::G => Unit::Oz,
        Unit::Oz => Unit::G,
        Unit::Ratio => return format!("{amount:.1} to 1"),
    };
    let converted = amount * unit.to_base() / other.to_base();
    format!("{} ({})", one_unit(amount, unit), one_unit(converted, other))
}

fn one_unit(amount: f64, unit: Unit) -> String {
    let places = if matches!(unit, Unit::In) { 2 } else { 1 };
    format!("{amount:.places$} {}", unit.symbol())
}

pub fn how_in_words(how: How) -> &'static str {
    match how {
        How::Eye => "by eye",
        How::Ruler => "ruler",
        How::Calliper => "calliper",
        How::Scale => "scale",
        How::Photo => "photo",
    }
}

/// A share as people say it, beside its figure.
pub fn likelihood(p: f64) -> &'static str {
    match p {
        p if p >= 0.97 => "almost surely",
        p if p >= 0.85 => "very likely",
        p if p >= 0.6 => "likely",
        p if p >= 0.3 => "perhaps",
        p if p >= 0.1 => "could be",
        _ => "unlikely",
    }
}

pub fn percent(p: f64) -> String {
    match p * 100.0 {
        x if x >= 99.5 => "> 99 %".into(),
        x if x > 0.0 && x < 1.0 => "< 1 %".into(),
        x => format!("{x:.0} %"),
    }
}

pub fn span(from: Option<i32>, to: Option<i32>) -> String {
    match (from, to) {
        (Some(a), Some(b)) if a == b => a.to_string(),
        (Some(a), Some(b)) => format!("{a} to {b}"),
        (Some(a), None) => format!("{a} or later"),
        (None, Some(b)) => format!("{b} or earlier"),
        (None, None) => "years not known".into(),
    }
}

pub fn years(years: &Years) -> String {
    let soft = years.from_bound == Bound::Soft && years.from.is_some();
    format!("{}{}", if soft { "about " } else { "" }, span(years.from, years.to))
}

pub fn count(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

thread_local! {
    /// Made once: the browser takes long over it, and lists write many days.
    static DAYS: DateTimeFormat = DateTimeFormat::new(&Array::new(), &Object::new());
}

/// A day from milliseconds since 1970, as the person's own machine writes it.
pub fn day(ms: f64) -> String {
    let written = DAYS.with(|days| days.format().call1(days, &ms.into()));
    written.ok().and_then(|day| day.as_string()).unwrap_or_default()
}

/// A day as a date field gives it (`2026-11-02`), in the way of this place; empty if it is none.
pub fn written_day(day: &str) -> String {
    // With an hour it is that day here; alone it would be that day in Greenwich.
    self::day(js_sys::Date::parse(&format!("{day}T00:00")))
}
