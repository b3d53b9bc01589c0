//! Small pictures for the answers, on a sheet of 96 × 72: the part in question bold, the rest of the reel pale.

use super::kinds::kind_picture;
use super::pen::Pen;
use super::tiles::tile;

/// A question, or `@` for the shared pieces, and under it an answer and its script on each line.
pub(super) const ANSWERS: &str = include_str!("answers.txt");

/// The answers of a question with their scripts.
pub(super) fn answers(question: &str) -> impl Iterator<Item = (&'static str, &'static str)> {
    let under = ANSWERS.lines().skip_while(move |line| *line != question).skip(1);
    under.map_while(|line| line.strip_prefix(' ')?.split_once(' '))
}

/// A picture for an answer button, or nothing where a picture would tell less than the word.
///
/// `kind` is the kind of reel asked about; the pictures show the part itself, so that none depends on it so far.
/// An answer of “none” or “no” that has no drawing of its own is the question's first one struck through.
pub fn choice(feature: &str, state: &str, _kind: &str) -> Option<String> {
    if feature == "reel_kind" {
        return Some(kind_picture(state));
    }
    let mut pen = Pen::default();
    if !tile(&mut pen, feature, state) {
        let shared: Vec<_> = answers("@").collect();
        if let Some((_, script)) = answers(feature).find(|(known, _)| *known == state) {
            pen.script(script, &shared);
        } else if matches!(state, "none" | "no" | "absent") {
            let (_, script) = answers(feature).next()?;
            pen.light();
            pen.script(script, &shared);
            pen.end();
            pen.script("lM14 64l68-56", &[]);
        } else {
            return None;
        }
    }
    Some(pen.sheet(0.0, 0.0, 96.0, 72.0))
}
