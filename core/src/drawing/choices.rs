//! Small pictures for the answers, on a sheet of 96 × 72: the part in question bold, the rest of the reel pale.

use super::kinds::kind_picture;
use super::parts::{HELD, PARTS, SHARED};
use super::pen::Pen;
use super::tiles::tile;

/// A picture for an answer button, or nothing where a picture would tell less than the word.
///
/// `kind` is the kind of reel asked about; the pictures show the part itself, so that none depends on it so far.
/// An answer of “none” or “no” that has no drawing of its own is the part struck through.
pub fn choice(feature: &str, state: &str, _kind: &str) -> Option<String> {
    if feature == "reel_kind" {
        return Some(kind_picture(state));
    }
    let mut pen = Pen::default();
    if !tile(&mut pen, feature, state) {
        let answers = [HELD, PARTS]
            .into_iter()
            .flatten()
            .find(|(features, _)| features.split(' ').any(|f| f == feature))?
            .1;
        let drawn = |state: &str| answers.iter().find(|(states, _)| states.split(' ').any(|s| s == state));
        if let Some((_, script)) = drawn(state) {
            pen.script(script, &SHARED);
        } else if matches!(state, "none" | "no" | "absent") {
            pen.light();
            pen.script(answers.first()?.1, &SHARED);
            pen.end();
            pen.script("lM14 64l68-56", &SHARED);
        } else {
            return None;
        }
    }
    Some(pen.sheet(0.0, 0.0, 96.0, 72.0))
}
