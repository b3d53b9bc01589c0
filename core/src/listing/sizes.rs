//! Sizes, weights and prices.

use crate::observe::Unit;

use super::lexicon::Entry;
use super::reading::{Found, Page};
use super::{ClaimKind, Meaning};

/// No reel is larger, in millimetres, or heavier, in grams.
const LARGEST_MM: f64 = 400.0;
const HEAVIEST_G: f64 = 8_000.0;

/// A bare pair of figures with `x` between is in inches if neither is greater.
const INCHES_MOST: f64 = 9.0;

/// A figure and the words it takes.
struct Figure {
    amount: f64,
    end: usize,
    unit: Option<(Unit, f64)>,
}

pub(super) fn read(page: &mut Page) -> Vec<Found> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < page.words.len() {
        if let Some(end) = money(page, at).or_else(|| yards(page, at)) {
            page.take(at, end);
            at = end;
        } else if let Some((sizes, end)) = size(page, at) {
            page.take(at, end);
            found.extend(sizes);
            at = end;
        } else {
            at += 1;
        }
    }
    found
}

/// A price: a sign or word of money beside the figure.
fn money(page: &Page, at: usize) -> Option<usize> {
    const MONEY: [&str; 14] = [
        "USD", "EUR", "GBP", "AUD", "CAD", "DOLLARS", "DOLLAR", "EURO", "EUROS", "POUNDS", "BUCKS", "QUID", "NZD",
        "CHF",
    ];
    let word = &page.words[at];
    if !word.begins_with_figure() || page.taken[at] {
        return None;
    }
    let before =
        page.gap_before(at).ends_with(['$', '£', '€']) || at > 0 && MONEY.contains(&page.words[at - 1].text.as_str());
    let signed = page.gap_before(at + 1).starts_with(['€', '£', '$']);
    let behind = page.words.get(at + 1).filter(|_| page.gap_before(at + 1).trim().is_empty());
    if behind.is_some_and(|word| MONEY.contains(&word.text.as_str())) {
        return Some(at + 2);
    }
    (before || signed).then_some(at + 1)
}

/// A line's length.
fn yards(page: &Page, at: usize) -> Option<usize> {
    let word = &page.words[at];
    if !word.begins_with_figure() {
        return None;
    }
    const LINE: [&str; 9] = ["YD", "YDS", "YARD", "YARDS", "METERS", "METRES", "FT", "FEET", "TEST"];
    if LINE.iter().any(|unit| word.text.strip_suffix(unit).is_some_and(|rest| rest.bytes().all(|b| b.is_ascii_digit())))
    {
        return Some(at + 1);
    }
    page.words.get(at + 1).filter(|next| LINE.contains(&next.text.as_str())).map(|_| at + 2)
}

/// One size, or two with `x` between.
fn size(page: &Page, at: usize) -> Option<(Vec<Found>, usize)> {
    if page.taken[at] {
        return None;
    }
    let mut first = figure(page, at)?;
    let by = page
        .words
        .get(first.end)
        .filter(|word| word.is("X") || word.is("BY"))
        .and_then(|_| figure(page, first.end + 1));
    if let Some(mut second) = by {
        let bare = first.unit.is_none() && second.unit.is_none();
        let inches = bare && first.amount <= INCHES_MOST && second.amount <= INCHES_MOST;
        let unit = first.unit.or(second.unit).or(inches.then_some((Unit::Mm, 25.4)));
        first.unit = first.unit.or(unit);
        second.unit = second.unit.or(unit);
        let (across, wide) = (base(&first)?, base(&second)?);
        let across = said(at, first.end, &["plate_diameter", "spool_diameter"], across);
        let wide = said(first.end + 1, second.end, &["spool_width", "frame_width"], wide);
        return Some((vec![across?, wide?], second.end));
    }
    let (amount, unit) = base(&first)?;
    let mut features = of_what(page, at, first.end);
    if unit == Unit::G {
        features = Some(vec!["weight"]);
    }
    // No word tells which size it is: the largest across, as sellers mean it.
    let features = features.unwrap_or_else(|| vec!["plate_diameter", "spool_diameter"]);
    if features.is_empty() {
        return Some((Vec::new(), first.end));
    }
    Some((vec![said(at, first.end, &features, (amount, unit))?], first.end))
}

fn said(at: usize, end: usize, features: &[&str], (amount, unit): (f64, Unit)) -> Option<Found> {
    let most = if unit == Unit::G { HEAVIEST_G } else { LARGEST_MM };
    let features = features.iter().map(|id| (*id).to_owned()).collect();
    (amount > 0.0 && amount <= most)
        .then(|| Found::new(ClaimKind::Measure, at, end, Meaning::Measure { features, amount, unit }))
}

fn base(figure: &Figure) -> Option<(f64, Unit)> {
    let (unit, factor) = figure.unit?;
    // To a thousandth, so that equal sizes are equal.
    Some(((figure.amount * factor * 1000.0).round() / 1000.0, unit))
}

/// A whole number, a fraction, or both, and the unit behind.
fn figure(page: &Page, at: usize) -> Option<Figure> {
    let word = page.words.get(at)?;
    let digits = word.text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != '/').unwrap_or(word.text.len());
    let (number, glued) = word.text.split_at(digits);
    let mut amount = amount_of(number)?;
    let mut end = at + 1;
    if glued.is_empty()
        && !number.contains(['/', '.'])
        && let Some(next) = page.words.get(end)
        && next.text.contains('/')
        && page.gap_before(end).chars().all(|c| c == ' ' || c == '-')
        && let Some(part) = amount_of(&next.text).filter(|part| *part < 1.0)
    {
        amount += part;
        end += 1;
    }
    let behind = page.gap_before(end);
    let unit = if !glued.is_empty() {
        unit_of(glued)
    } else if behind.starts_with(['"', '”', '″']) && amount < 15.0
        || behind.starts_with("''")
        || behind.starts_with("&quot;")
    {
        Some((Unit::Mm, 25.4))
    } else {
        page.words.get(end).filter(|_| behind.chars().all(|c| c == ' ' || c == '-')).and_then(|word| {
            let unit = unit_of(&word.text)?;
            // `4 in the box` is no size.
            let next = page.words.get(end + 1);
            let preposition = word.is("IN")
                && !behind.contains('-')
                && next.is_some_and(|next| {
                    matches!(
                        next.text.as_str(),
                        "THE" | "A" | "STOCK" | "ALL" | "TOTAL" | "MY" | "BOX" | "GOOD" | "VERY" | "WORKING"
                    )
                });
            end += usize::from(!preposition);
            (!preposition).then_some(unit)
        })
    };
    if !glued.is_empty() && unit.is_none() {
        return None;
    }
    Some(Figure { amount, end, unit })
}

fn amount_of(text: &str) -> Option<f64> {
    match text.split_once('/') {
        Some((top, bottom)) => {
            Some(top.parse::<f64>().ok()? / bottom.parse::<f64>().ok().filter(|bottom| *bottom > 0.0)?)
        }
        None => text.parse().ok(),
    }
}

/// Base unit and factor to it.
fn unit_of(text: &str) -> Option<(Unit, f64)> {
    Some(match text {
        "IN" | "INCH" | "INCHES" | "INS" => (Unit::Mm, 25.4),
        "MM" | "MILLIMETERS" | "MILLIMETRES" | "MILLIMETER" => (Unit::Mm, 1.0),
        "CM" | "CMS" | "CENTIMETERS" | "CENTIMETRES" => (Unit::Mm, 10.0),
        "OZ" | "OZS" | "OUNCES" | "OUNCE" => (Unit::G, 28.349_523_125),
        "G" | "GR" | "GM" | "GMS" | "GRAMS" | "GRAMMES" => (Unit::G, 1.0),
        "LB" | "LBS" => (Unit::G, 453.592_37),
        "KG" | "KGS" => (Unit::G, 1000.0),
        _ => return None,
    })
}

/// Which size the words beside it name: the nearest of the clause, those behind first.
fn of_what<'a>(page: &Page<'a>, at: usize, end: usize) -> Option<Vec<&'a str>> {
    let size = |from: usize| {
        let words = &page.words;
        page.hits_at(from)
            .iter()
            .find_map(|hit| match hit.entry {
                Entry::Size(place) if words[hit.at].clause == words[at].clause => Some(place),
                _ => None,
            })
            .map(|place| page.reference.selling.sizes[place].features.iter().map(String::as_str).collect())
    };
    let behind = (end..(end + 3).min(page.words.len())).find_map(size);
    behind.or_else(|| (at.saturating_sub(5)..at).rev().find_map(size))
}
