//! Every claim with its verdict.

use crate::key::Key;
use crate::observe::Sheet;
use crate::reference::Reference;

use super::evidence::Evidence;
use super::{Claim, Judged, Verdict, asks, message, verdicts};

/// Judges the claims of a text. `seen`: what its photos, or the reel itself, show.
pub fn judge(claims: &[Claim], seen: &Sheet, reference: &Reference, key: &Key, this_year: i32) -> Judged {
    let evidence = Evidence::gather(claims, seen, reference, key, this_year);
    let verdicts: Vec<Verdict> = (0..claims.len())
        .map(|claim| {
            let (finding, reasons) = verdicts::of(&evidence, claim);
            debug_assert!(!reasons.is_empty(), "a verdict without a reason: {:?}", claims[claim]);
            Verdict { claim, finding, reasons }
        })
        .collect();
    let asks = asks::of(&evidence, &verdicts, seen, key);
    let message = message::of(&asks);
    Judged { verdicts, asks, message, problems: evidence.seen.problems }
}
