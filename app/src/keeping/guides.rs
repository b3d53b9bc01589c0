//! How reels of one model came apart: from the recordings that were closed, whoever made them.

use tailplate_core::record::Kind;
use tailplate_core::shop::{FindState, Reel};
use tailplate_core::strip::{Guide, StandsAt, Strip, guide, rounds};

use super::{shelf, some};

/// The model that a reel was confirmed as; empty for none.
pub fn model_of(reel: &Reel) -> String {
    match &reel.which {
        FindState::Confirmed { model, .. } => model.clone(),
        _ => String::new(),
    }
}

/// The guide of a model, from all its reels but one.
///
/// # Errors
/// The store can't be read.
pub async fn of_model(model: String, but: String) -> Result<Option<Guide>, String> {
    if model.is_empty() {
        return Ok(None);
    }
    shelf::ready().await?;
    let ids: Vec<String> = shelf::with(|rows| {
        let same =
            rows.iter().filter(|row| row.kind == Kind::Reel && !row.deleted && row.model == model && row.id != but);
        same.map(|row| row.id.clone()).collect()
    });
    let reels = some::<Reel>(&ids).await?;
    let finished = |reel: &Reel| -> Vec<Strip> {
        let strips = rounds(&reel.strip).into_iter().map(|round| Strip::of(&round));
        strips.filter(|strip| strip.stands_at() == StandsAt::AllBack).collect()
    };
    let recordings: Vec<Strip> = reels.iter().flat_map(finished).collect();
    Ok((!recordings.is_empty()).then(|| guide(&recordings)))
}
