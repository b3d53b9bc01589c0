//! What does the job come to? Exact, in hundredths of the currency.

use serde::{Deserialize, Serialize};

use super::{Answer, Job, PaidFor, Reel};
use crate::error::{Error, Result};
use crate::tag::grouped;

/// A tax line as the shop sets it. Which rate is due, and whether one is, is a matter of local law.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Tax {
    /// What it is called on the bill.
    pub label: String,
    /// In hundredths of a percent: 19 % is 1900.
    pub percent_hundredths: u32,
    /// The prices of the lines contain it already.
    pub included: bool,
}

/// What a job comes to, in hundredths.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sums {
    pub currency: String,
    /// Lines that count: accepted, or not answered yet where nothing was accepted.
    pub lines_hundredths: i64,
    pub tax_hundredths: i64,
    pub total_hundredths: i64,
    pub paid_hundredths: i64,
    /// Still to pay; below nothing: to give back.
    pub due_hundredths: i64,
    /// Lines the customer has not answered, on top.
    pub open_hundredths: i64,
}

/// Adds the job up.
///
/// # Errors
/// Two currencies in one job: a person must say which.
pub fn sums(job: &Job, tax: Option<&Tax>) -> Result<Sums> {
    let mut sums = Sums::default();
    let mut currency = |price: &super::Price| {
        if sums.currency.is_empty() {
            sums.currency.clone_from(&price.currency);
        }
        if sums.currency == price.currency {
            return Ok(price.hundredths());
        }
        Err(Error::invalid(format!(
            "The job has prices in {} and in {}. Write all of them in one currency.",
            sums.currency, price.currency
        )))
    };
    let (mut accepted, mut open, mut paid) = (0, 0, 0);
    for line in &job.lines {
        let hundredths = currency(&line.price)?;
        match line.answer {
            Answer::Accepted => accepted += hundredths,
            Answer::Open => open += hundredths,
            Answer::Declined => {}
        }
    }
    for one in &job.paid {
        let hundredths = currency(&one.price)?;
        paid += if one.what == PaidFor::Refund { -hundredths } else { hundredths };
    }
    sums.lines_hundredths = accepted;
    sums.open_hundredths = open;
    sums.paid_hundredths = paid;
    sums.tax_hundredths = tax_on(accepted, tax);
    sums.total_hundredths = total(accepted, tax);
    sums.due_hundredths = sums.total_hundredths - paid;
    Ok(sums)
}

/// The tax on agreed lines, or in them; half a hundredth goes up.
fn tax_on(agreed_hundredths: i64, tax: Option<&Tax>) -> i64 {
    let Some(tax) = tax else { return 0 };
    let rate = i64::from(tax.percent_hundredths);
    let base = if tax.included { 10_000 + rate } else { 10_000 };
    (agreed_hundredths * rate * 2 + base) / (2 * base)
}

/// What agreed lines come to with their tax.
pub fn total(agreed_hundredths: i64, tax: Option<&Tax>) -> i64 {
    let on_top = tax.is_some_and(|tax| !tax.included);
    agreed_hundredths + if on_top { tax_on(agreed_hundredths, tax) } else { 0 }
}

/// What to say before anything is done, each in a sentence: more than was agreed, more than a reel is worth to its owner, a
/// price put on what nobody has counted yet.
pub fn warnings(job: &Job, reels: &[Reel], sums: &Sums) -> Vec<String> {
    let mut words = Vec::new();
    let all = sums.lines_hundredths + sums.open_hundredths;
    let above = |price: &super::Price, cost: i64| price.currency == sums.currency && cost > price.hundredths();
    if let Some(ceiling) = job.ceiling.as_ref().filter(|ceiling| above(ceiling, all)) {
        words.push(format!("Together this is above the agreed {ceiling}: ask before anything is done."));
    }
    for reel in reels {
        let lines =
            job.lines.iter().filter(|line| line.reel.as_deref() == Some(&reel.id) && line.answer != Answer::Declined);
        let cost: i64 = lines.map(|line| line.price.hundredths()).sum();
        if let Some(worth) = reel.worth.as_ref().filter(|worth| above(worth, cost)) {
            words.push(format!(
                "The work on {} costs more than it is worth to its owner ({worth}). Say so before it is done.",
                grouped(&reel.tag)
            ));
        }
        let apart = ["arrived-in-parts", "arrived-dismantled", "owner-dismantled", "incomplete"];
        if cost > 0 && reel.condition.iter().any(|one| apart.contains(&one.what.as_str())) && reel.missing.is_empty() {
            words.push(format!(
                "{} came in parts and nobody has listed what is missing: a fixed price is a guess until then.",
                grouped(&reel.tag)
            ));
        }
    }
    words
}
