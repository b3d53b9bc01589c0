//! What is waiting for whom?

use super::money::Tax;
use super::{Row, Stand, money};

/// Whom a job waits for; the first in this order counts when its reels wait for several.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WaitsFor {
    /// The shop: look, write the quote, work, test.
    Bench,
    /// The customer's answer to a quote.
    Answer,
    Part,
    /// Done: to be paid.
    Payment,
    /// Done and paid, or declined: to be handed back.
    Collection,
    /// Every reel is accounted for: to be closed.
    Closing,
}

impl WaitsFor {
    pub const ALL: [Self; 6] = [Self::Bench, Self::Answer, Self::Part, Self::Payment, Self::Collection, Self::Closing];

    pub fn words(self) -> &'static str {
        match self {
            Self::Bench => "The bench",
            Self::Answer => "The customer's answer",
            Self::Part => "A part",
            Self::Payment => "Payment",
            Self::Collection => "Handing back",
            Self::Closing => "Closing",
        }
    }
}

/// A job on the board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Waits {
    pub waits_for: WaitsFor,
    /// Since when its longest waiting reel stands so, in milliseconds since 1970.
    pub since_ms: i64,
    /// The promised day is over.
    pub overdue: bool,
}

/// What an open job waits for, by the rows of it and of its reels. `today`: `2026-03-14`.
pub fn waits<'a>(job: &Row, reels: impl IntoIterator<Item = &'a Row>, tax: Option<&Tax>, today: &str) -> Waits {
    let due = money::total(job.agreed_hundredths, tax) > job.paid_hundredths;
    let of = |reel: &Row| {
        let waits_for = match Stand::of_words(&reel.word).unwrap_or_default() {
            Stand::Asked => WaitsFor::Answer,
            Stand::WaitsForPart => WaitsFor::Part,
            Stand::Ready | Stand::Declined if due => WaitsFor::Payment,
            Stand::Ready | Stand::Declined => WaitsFor::Collection,
            stand if stand.accounted_for() => {
                if due {
                    WaitsFor::Payment
                } else {
                    WaitsFor::Closing
                }
            }
            _ => WaitsFor::Bench,
        };
        (waits_for, reel.since_ms)
    };
    let all: Vec<_> = reels.into_iter().map(of).collect();
    let waits_for = all.iter().map(|(waits_for, _)| *waits_for).min().unwrap_or(WaitsFor::Bench);
    let since_ms = all.iter().filter(|(other, _)| *other == waits_for).map(|(_, ms)| *ms).min().unwrap_or(job.made_ms);
    // A job's small line is the promised day.
    let overdue = !job.line.is_empty() && job.line.as_str() < today && waits_for < WaitsFor::Closing;
    Waits { waits_for, since_ms, overdue }
}

/// Open jobs in the order they need somebody: overdue first, by the promised day, then who has waited longest.
pub fn order<R: AsRef<Row>>(board: &mut Vec<(R, Waits)>) {
    fn key<R: AsRef<Row>>((job, waits): &(R, Waits)) -> (bool, &str, i64, &str) {
        let job = job.as_ref();
        (!waits.overdue, if waits.overdue { &job.line } else { "9999" }, waits.since_ms, &job.id)
    }
    crate::order::by(board, |a, b| key(a).cmp(&key(b)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Record;
    use crate::shop::{Job, Reel};

    const ID: &str = "000102030405060708090a0b0c0d0e0f";

    fn at(stand: Stand, since_ms: i64) -> Row {
        Row { word: stand.words().into(), since_ms, ..Reel::new(ID, 1).row() }
    }

    #[test]
    fn what_is_owed_with_its_tax_is_paid_before_a_reel_is_handed_back() {
        let on_top = Tax { label: "Tax".into(), percent_hundredths: 1_000, included: false };
        let job = Row { agreed_hundredths: 100, paid_hundredths: 100, ..Job::new(ID, 1).row() };
        let ready = [at(Stand::Ready, 5)];
        assert_eq!(waits(&job, &ready, None, "2026-03-14").waits_for, WaitsFor::Collection);
        assert_eq!(waits(&job, &ready, Some(&on_top), "2026-03-14").waits_for, WaitsFor::Payment);
        let paid = Row { paid_hundredths: 110, ..job };
        assert_eq!(waits(&paid, &ready, Some(&on_top), "2026-03-14").waits_for, WaitsFor::Collection);
    }

    #[test]
    fn the_first_of_its_reels_to_need_somebody_counts_and_the_promised_day_makes_it_overdue() {
        let job = Row { line: "2026-03-13".into(), ..Job::new(ID, 1).row() };
        let reels = [at(Stand::WaitsForPart, 3), at(Stand::Asked, 9), at(Stand::Asked, 7)];
        let told = waits(&job, &reels, None, "2026-03-14");
        assert_eq!(told, Waits { waits_for: WaitsFor::Answer, since_ms: 7, overdue: true });
        assert!(!waits(&job, &reels, None, "2026-03-13").overdue);
    }
}
