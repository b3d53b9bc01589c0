//! Where is this reel on its way through the shop, and where may it go?

use serde::{Deserialize, Serialize};

/// Where a reel stands.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stand {
    #[default]
    Arrived,
    LookedAt,
    /// The quote is out.
    Asked,
    Agreed,
    /// The customer does not want the work.
    Declined,
    OnBench,
    WaitsForPart,
    Tested,
    Ready,
    // The four ways out: after these the reel is accounted for.
    Returned,
    KeptByAgreement,
    Sold,
    ScrappedByConsent,
}

/// Whose word a change needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Who {
    Shop,
    Customer,
}

/// One change of where a reel stands. Never taken back: a wrong one is followed by the right one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    pub at_ms: i64,
    pub to: Stand,
    /// Whose word it was.
    pub by: Who,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

use Stand::*;

impl Stand {
    pub const ALL: [Self; 13] = [
        Arrived,
        LookedAt,
        Asked,
        Agreed,
        Declined,
        OnBench,
        WaitsForPart,
        Tested,
        Ready,
        Returned,
        KeptByAgreement,
        Sold,
        ScrappedByConsent,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Arrived => "Arrived",
            LookedAt => "Looked at",
            Asked => "Quote sent",
            Agreed => "Work agreed",
            Declined => "Work declined",
            OnBench => "On the bench",
            WaitsForPart => "Waits for a part",
            Tested => "Tested",
            Ready => "Ready",
            Returned => "Handed back",
            KeptByAgreement => "Kept by agreement",
            Sold => "Sold",
            ScrappedByConsent => "Scrapped with consent",
        }
    }

    pub fn of_words(words: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stand| stand.words() == words)
    }

    /// Where it may go from here, and whose word that needs. A slip is mended by going back a step.
    pub fn ways(self) -> &'static [(Self, Who)] {
        use Who::{Customer, Shop};
        match self {
            Arrived => &[(LookedAt, Shop), (Asked, Shop), (Agreed, Customer), (Declined, Customer)],
            LookedAt => &[(Asked, Shop), (Agreed, Customer), (Declined, Customer), (Arrived, Shop)],
            Asked => &[(Agreed, Customer), (Declined, Customer), (LookedAt, Shop)],
            Agreed => &[(OnBench, Shop), (WaitsForPart, Shop), (Declined, Customer), (Asked, Shop)],
            Declined => &[
                (Returned, Shop),
                (KeptByAgreement, Customer),
                (Sold, Customer),
                (ScrappedByConsent, Customer),
                (Agreed, Customer),
                (Asked, Shop),
            ],
            OnBench => &[(WaitsForPart, Shop), (Tested, Shop), (Asked, Shop), (Declined, Customer), (Agreed, Shop)],
            WaitsForPart => &[(OnBench, Shop), (Asked, Shop), (Declined, Customer)],
            Tested => &[(Ready, Shop), (OnBench, Shop), (WaitsForPart, Shop)],
            Ready => &[
                (Returned, Shop),
                (KeptByAgreement, Customer),
                (Sold, Customer),
                (ScrappedByConsent, Customer),
                (OnBench, Shop),
            ],
            // It came back, or the slip was here: it can be taken in again.
            Returned | KeptByAgreement => &[(Arrived, Shop), (Ready, Shop)],
            Sold | ScrappedByConsent => &[(Ready, Shop)],
        }
    }

    /// Whether this reel is out of the shop's hands, or rightly in them.
    pub fn accounted_for(self) -> bool {
        matches!(self, Returned | KeptByAgreement | Sold | ScrappedByConsent)
    }
}

/// Whether a reel may go there now.
///
/// # Errors
/// A sentence that says what is in the way.
pub fn may_go(from: Stand, to: Stand, by: Who) -> crate::Result<()> {
    match from.ways().iter().find(|(way, _)| *way == to) {
        None => {
            let ways: Vec<&str> = from.ways().iter().map(|(way, _)| way.words()).collect();
            Err(crate::Error::invalid(format!(
                "A reel that is “{}” can't become “{}” at once. From here: {}.",
                from.words(),
                to.words(),
                ways.join(", ")
            )))
        }
        Some((_, Who::Customer)) if by == Who::Shop => Err(crate::Error::invalid(format!(
            "“{}” needs the customer's word. Ask them, and note when they said it.",
            to.words()
        ))),
        Some(_) => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_out_can_be_reached_and_left_by_nothing_but_taking_it_in_again() {
        let mut reached = vec![Stand::Arrived];
        let mut at = 0;
        while let Some(stand) = reached.get(at).copied() {
            at += 1;
            for (way, _) in stand.ways() {
                assert_ne!(*way, stand, "{stand:?} leads to itself");
                if !reached.contains(way) {
                    reached.push(*way);
                }
            }
        }
        assert_eq!(reached.len(), Stand::ALL.len());
    }

    #[test]
    fn what_touches_the_owners_property_needs_the_owners_word() {
        for stand in Stand::ALL {
            for (way, who) in stand.ways() {
                if matches!(way, Declined | KeptByAgreement | Sold | ScrappedByConsent) {
                    assert_eq!(*who, Who::Customer, "{stand:?} to {way:?}");
                }
            }
        }
        assert_eq!(
            may_go(Ready, ScrappedByConsent, Who::Shop).unwrap_err().to_string(),
            "“Scrapped with consent” needs the customer's word. Ask them, and note when they said it."
        );
        assert_eq!(
            may_go(Arrived, Returned, Who::Shop).unwrap_err().to_string(),
            "A reel that is “Arrived” can't become “Handed back” at once. From here: Looked at, Quote sent, Work agreed, Work declined."
        );
        assert!(may_go(Declined, Returned, Who::Shop).is_ok());
    }
}
