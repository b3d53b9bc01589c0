//! Looking through one's own boxes: by what a part is called anywhere, and by what reels share it.

use serde::Serialize;

use super::answer::{Answer, Fits, model_words};
use super::words::{self, settle, tokens};
use crate::order;
use crate::reference::end_parts;
use crate::shop::Part;

/// One part found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hit {
    /// Its place in the list handed in.
    pub part: usize,
    /// Box and bag.
    pub place: String,
    pub name: String,
    pub why: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answer: Option<Answer>,
}

/// Parts still there that the words ask for, best first: those known to fit, those of the same model, of its family, and those
/// that only bear the words.
pub fn search(fits: &Fits, spares: &[Part], asked: &str) -> Vec<Hit> {
    let reference = fits.reference;
    let meant = words::roles(&reference.parts, asked);
    let reels = words::models(reference, &meant.rest);
    let all = tokens(asked);
    let mut hits: Vec<(u8, f64, Hit)> = Vec::new();
    for (at, part) in spares.iter().enumerate().filter(|(_, part)| part.left() > 0) {
        let roles = words::roles(&reference.parts, &part.role).roles;
        let same_role = meant.roles.is_empty() || roles.iter().any(|role| meant.roles.contains(role));
        let own = settle(reference, &part.model);
        let (model, _) = end_parts(&own);
        let mut best: Option<(u8, f64, String, Option<Answer>)> = None;
        if same_role {
            for reel in &reels {
                let into = reel.end();
                for role in roles.iter().filter(|role| meant.roles.is_empty() || meant.roles.contains(role)) {
                    let answer = fits.answer(role, &own, &into);
                    if answer.verdict.may_serve() && !model.is_empty() {
                        let why = format!("{} in {}", answer.verdict.words(), model_words(reference, &into));
                        let rank = (4, answer.strength, why, Some(answer));
                        if best.as_ref().is_none_or(|best| (rank.0, rank.1) > (best.0, best.1)) {
                            best = Some(rank);
                        }
                    }
                }
                let family = |id: &str| reference.model(id).and_then(|model| model.family.clone());
                if best.is_none() && model == reel.model {
                    best = Some((3, 0.0, "of the same model".into(), None));
                } else if best.is_none() && family(model).is_some() && family(model) == family(&reel.model) {
                    best = Some((2, 0.0, "of the same family: compare".into(), None));
                }
            }
            if best.is_none() && meant.rest.is_empty() && !meant.roles.is_empty() {
                best = Some((1, 0.0, "the part asked for".into(), None));
            }
        }
        let text = [&part.role, &part.model, &part.note, &part.numbers.join(" ")].map(|one| tokens(one)).concat();
        if best.is_none() && !all.is_empty() && all.iter().all(|word| text.contains(word)) {
            best = Some((1, 0.0, "the words are on it".into(), None));
        }
        if let Some((rank, strength, why, answer)) = best {
            let label = reference.parts.role_label(&part.role);
            let from = if part.model.is_empty() { "unknown reel".into() } else { model_words(reference, &own) };
            let name = format!("{label} of {from} ({})", part.wear.words());
            hits.push((rank, strength, Hit { part: at, place: part.place(), name, why, answer }));
        }
    }
    order::by(&mut hits, |a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)));
    hits.into_iter().map(|(_, _, hit)| hit).collect()
}
