//! Which numbers of a mark are patents or registered designs, and of which series.

use crate::marks::{self, Match};
use crate::reference::{Bound, DatingPack, Series};

use super::series::{self, PatentReading};
use super::tokens::{self, Token, fits};

/// Words that say "patent" without saying whose.
const PATENT: [&str; 6] = ["PAT", "PATS", "PATENT", "PATENTS", "PATENTED", "PATD"];
/// What may stand between those and the number.
const NUMBER: [&str; 5] = ["NO", "NOS", "N", "NUMBER", "NUMBERS"];
/// After the word "patent" these mean that no number follows: pending, applied for, Patent Office.
const NO_NUMBER: [&str; 11] =
    ["PEND", "PENDING", "PENDG", "APPLIED", "APPD", "APPLD", "APLD", "APP", "APPL", "OFF", "OFFICE"];

pub fn says_patent(token: &Token) -> bool {
    let letters = token.text.chars().filter(char::is_ascii_alphabetic).count();
    letters >= 2 && PATENT.iter().any(|word| fits(token.text.as_bytes(), word.as_bytes()))
}

pub struct Found {
    pub reading: PatentReading,
    /// Places of its tokens.
    pub first: usize,
    pub last: usize,
}

/// Every patent or design number. `country` is the beginning of the ids of its series (`gb`), where the mark names one
/// other than the United States. `taken`: tokens that belong to dates.
pub fn read(
    pack: &DatingPack,
    mark: &str,
    tokens: &[Token],
    country: Option<&str>,
    taken: &dyn Fn(usize) -> bool,
    this_year: i32,
) -> Vec<Found> {
    let chars: Vec<char> = mark.chars().collect();
    let mut found = Vec::new();
    // Where the words before the next number begin, and the series of the number before.
    let (mut context, mut before): (usize, Option<&Series>) = (0, None);
    let mut at = 0;
    while at < tokens.len() {
        let token = &tokens[at];
        let Some(number) = token.as_number().filter(|_| !taken(at)) else {
            at += 1;
            continue;
        };
        let words: String = chars[context.min(token.start)..token.start].iter().collect();
        let between: Vec<&Token> = tokens.iter().filter(|t| t.start >= context && t.end <= token.start).collect();
        context = token.end;
        let says = between.iter().rposition(|token| says_patent(token));
        let none = says.is_some_and(|says| between[says..].iter().any(|t| NO_NUMBER.contains(&t.text.as_str())));
        let named = (!none).then(|| named_series(pack, &words)).flatten();
        let listed = between.iter().all(|t| matches!(t.text.as_str(), "AND" | "NO" | "NOS" | "OTHER"));

        // `12345/05` and `9388 of 1905`.
        let is_patent = says.is_some() && !none || named.is_some() || listed && before.is_some();
        let (year_at, glued) = match (tokens.get(at + 1), tokens.get(at + 2)) {
            (Some(next), _) if next.before == '/' && (next.text.len() == 2 || next.text.len() == 4) => (at + 1, true),
            (Some(of), Some(_)) if of.text == "OF" => (at + 2, false),
            _ => (0, false),
        };
        let told_year =
            is_patent && year_at > 0 && tokens[year_at].is_number() && (glued || tokens[year_at].text.len() == 4);
        if told_year && let Some(reading) = series::read_with_year(pack, &number, &tokens[year_at].text) {
            context = tokens[year_at].end;
            before = None;
            found.push(Found { reading, first: at, last: year_at + 1 });
            at = year_at + 1;
            continue;
        }
        let series = named.or(if says.is_some() && !none {
            unnamed(pack, country, token, &number, this_year)
        } else if listed {
            before
        } else {
            None
        });
        before = series;
        if let (None, Some(us), true) = (series, us_utility(pack), says.is_some() && !none && country.is_some())
            && legible_enough(&number)
            && !looks_like_year(&number, this_year)
            && let Some(mut other) = series::read(pack, us, &number, this_year)
        {
            other.words =
                format!("No table of that country's patents is known. If it is a US number instead: {}", other.words);
            other.bound = None;
            found.push(Found { reading: other, first: at, last: at + 1 });
        }
        if let Some(series) = series
            && legible_enough(&number)
            && let Some(reading) = series::read(pack, series, &number, this_year)
        {
            found.push(Found { reading, first: at, last: at + 1 });
            // A foreign reel may bear a US patent: said, but not used.
            let foreign = named.is_none() && !series.id.starts_with("us");
            if foreign
                && let Some(us) = us_utility(pack)
                && let Some(mut other) = series::read(pack, us, &number, this_year)
                && !other.years.is_empty()
            {
                other.words = format!("If it is a US number instead: {}", other.words);
                other.bound = None;
                found.push(Found { reading: other, first: at, last: at + 1 });
                if let Some(first) = found.iter_mut().rev().nth(1) {
                    // Whose number it is was only guessed.
                    first.reading.bound = first.reading.bound.map(|_| Bound::Soft);
                }
            }
        }
        at += 1;
    }
    found
}

fn legible_enough(number: &str) -> bool {
    let legible = number.chars().filter(char::is_ascii_digit).count();
    legible >= 2 && legible * 3 >= number.chars().filter(|&c| c != '*').count()
}

/// The series whose words stand just before the number.
fn named_series<'a>(pack: &'a DatingPack, words: &str) -> Option<&'a Series> {
    // `PAT. D 84,123`: a letter of the series after the word patent.
    let before = tokens::tokens(words);
    let letter = match before.as_slice() {
        [.., patent, last] if says_patent(patent) && matches!(last.text.as_str(), "D" | "DES" | "RE") => {
            format!("{}. PAT.", last.text)
        }
        [] => return None,
        _ => String::new(),
    };
    let words = if letter.is_empty() { words } else { &letter };
    let chars: Vec<char> = words.chars().collect();
    let mut best: Option<(Match, &Series)> = None;
    for series in &pack.series {
        for template in series.named_by.iter().filter(|template| !says_only_patent(template)) {
            let Some(found) = marks::holds(words, template) else { continue };
            let part_of_word = found.start > 0 && chars[found.start - 1].is_alphanumeric()
                || chars.get(found.end).is_some_and(|c| c.is_alphanumeric());
            let rest: String = chars[found.end..].iter().collect();
            let near = tokens::tokens(&rest).iter().all(|token| NUMBER.contains(&token.text.as_str()));
            let better = best.as_ref().is_none_or(|(other, _)| (found.end, found.legible) > (other.end, other.legible));
            if better && near && !part_of_word {
                best = Some((found, series));
            }
        }
    }
    best.map(|(_, series)| series)
}

/// "PAT. NO." names nobody's series in particular.
fn says_only_patent(template: &str) -> bool {
    tokens::tokens(template).iter().all(|token| {
        let word = token.text.as_str();
        PATENT.contains(&word) || NUMBER.contains(&word)
    })
}

/// The US utility patents: the longest table of the `us` series.
fn us_utility(pack: &DatingPack) -> Option<&Series> {
    pack.series
        .iter()
        .filter(|series| series.id.starts_with("us"))
        .max_by_key(|series| series.table.last().map(|t| t.1))
}

/// A number after a plain "PAT.": that of the country named in the mark, else of the United States.
fn unnamed<'a>(
    pack: &'a DatingPack,
    country: Option<&str>,
    token: &Token,
    number: &str,
    this_year: i32,
) -> Option<&'a Series> {
    // `PATENTED 1905` and `PAT. 88` are years, or nothing; a comma or a fifth figure makes a number.
    let comma = token.end - token.start > token.text.chars().count();
    let figures = number.chars().filter(|&c| c != '*').count();
    if figures < 4 && !number.contains('*') || figures == 4 && !comma && looks_like_year(number, this_year) {
        return None;
    }
    match country {
        Some(country) => pack
            .series
            .iter()
            .find(|series| series.id.starts_with(country) && series.id.contains("pat"))
            .or_else(|| pack.series.iter().find(|series| series.id.starts_with(country))),
        None => us_utility(pack),
    }
}

/// Whether four signs can be read as a year from 1700 to now, or soon.
pub fn looks_like_year(number: &str, this_year: i32) -> bool {
    number.len() == 4
        && number.chars().filter(char::is_ascii_digit).count() >= 2
        && (1700..=this_year.max(2029)).any(|year| fits(number.as_bytes(), year.to_string().as_bytes()))
}
