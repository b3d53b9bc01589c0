//! What the owner's own words may mean: topics by the words they share.

use super::Heard;
use super::key::{FaultKey, Topic};
use super::words::{in_order, pieces};
use crate::order;

/// Below this likeness words are not taken to speak of a topic.
const ALIKE: f64 = 0.34;
/// Symptoms offered as choices.
const OFFERED: usize = 8;
/// A word that no phrase holds weighs as little as a common one: it is mostly about something else.
const UNKNOWN_WORD: f64 = 5.0;

/// Words that deny and words that do not are less alike by this.
const TURNED: f64 = 0.75;

/// One piece of what was said, and what it may speak of, likest first.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub words: String,
    pub topics: Vec<(Topic, f64)>,
}

/// Symptoms that the words may mean, likest first, to offer as choices.
pub fn symptoms_in(key: &FaultKey, text: &str) -> Vec<Heard> {
    let mut heard: Vec<Heard> = Vec::new();
    for piece in listen(key, text) {
        for (topic, likeness) in piece.topics {
            let Topic::Symptom(at) = topic else { continue };
            let symptom = key.symptoms[at];
            match heard.iter_mut().find(|known| known.symptom == symptom.id) {
                Some(known) if known.likeness >= likeness => {}
                Some(known) => {
                    known.likeness = likeness;
                    known.words.clone_from(&piece.words);
                }
                None => heard.push(Heard {
                    symptom: symptom.id.clone(),
                    finds: symptom.finds.clone(),
                    how: symptom.how.clone(),
                    words: piece.words.clone(),
                    likeness,
                }),
            }
        }
    }
    order::by(&mut heard, |a, b| b.likeness.total_cmp(&a.likeness).then_with(|| a.symptom.cmp(&b.symptom)));
    heard.truncate(OFFERED);
    heard
}

/// Every piece that tells of a trouble. A piece with `and` is taken whole or in parts, whichever is more like something
/// known.
pub(super) fn listen(key: &FaultKey, text: &str) -> Vec<Piece> {
    let mut heard = Vec::new();
    for piece in pieces(text) {
        let whole = hear(key, &piece);
        let parts: Vec<Piece> = piece.split(" and ").map(|part| hear(key, part)).collect();
        let least = parts.iter().map(best).fold(f64::MAX, f64::min);
        if parts.len() > 1 && least >= ALIKE && least >= best(&whole) * 0.8 {
            heard.extend(parts);
        } else {
            heard.push(whole);
        }
    }
    heard.retain(|piece| !in_order(&piece.words));
    heard
}

fn best(piece: &Piece) -> f64 {
    piece.topics.first().map_or(0.0, |(_, likeness)| *likeness)
}

fn denies(key: &FaultKey, tokens: &[u32]) -> bool {
    tokens.iter().any(|token| key.denials.contains(token))
}

/// Topics that share words with a piece: the cosine of the two, each word weighing by how much it tells.
fn hear(key: &FaultKey, piece: &str) -> Piece {
    let mut known = Vec::new();
    let mut weight = 0.0;
    for token in key.variants.tokens(piece) {
        match key.tokens.get(&token) {
            Some(number) => {
                known.push(*number);
                weight += key.telling[*number as usize];
            }
            None => weight += UNKNOWN_WORD,
        }
    }
    known.sort_unstable();
    let mut topics: Vec<(Topic, f64)> = Vec::new();
    for phrase in &key.phrases {
        let shared: f64 = phrase
            .tokens
            .iter()
            .filter(|token| known.binary_search(token).is_ok())
            .map(|token| key.telling[*token as usize])
            .sum();
        let mut likeness = shared / (phrase.weight * weight).sqrt().max(1e-9);
        // “Star turns” is not “star won't turn”, however many words they share.
        if denies(key, &phrase.tokens) != denies(key, &known) {
            likeness *= TURNED;
        }
        if likeness < ALIKE {
            continue;
        }
        match topics.iter_mut().find(|(topic, _)| *topic == phrase.topic) {
            Some((_, most)) => *most = most.max(likeness),
            None => topics.push((phrase.topic, likeness)),
        }
    }
    order::by(&mut topics, |a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    topics.truncate(12);
    Piece { words: piece.trim().to_owned(), topics }
}
