//! Reasons that can't both hold, each with its likely innocent cause.

use super::Clash;
use super::evidence::{Evidence, Kind, span_words};

/// Years by which a soft end may be missed without a word.
const SLACK: i32 = 2;

pub fn find(all: &[Evidence]) -> Vec<Clash> {
    let mut clashes = Vec::new();
    for (at, a) in all.iter().enumerate() {
        for b in &all[at + 1..] {
            if let Some((late, early)) = pair(a, b) {
                clashes.push(Clash { a: told(late), b: told(early), cause: cause(late, early) });
            }
        }
    }
    clashes
}

fn told(found: &Evidence) -> String {
    format!("{} ({})", found.reason.what, span_words(found.reason.from, found.reason.to))
}

/// The two as (later, earlier), if the later begins after the earlier ends.
fn pair<'a>(a: &'a Evidence, b: &'a Evidence) -> Option<(&'a Evidence, &'a Evidence)> {
    let slack = |found: &Evidence| match found.reason.confidence {
        crate::reference::Confidence::Low => 5,
        _ => SLACK,
    };
    // Two variants are rivals, not reasons that must both hold; one that is unlikely contradicts nobody.
    let weak = |found: &Evidence| found.kind == Kind::Variant && found.trust < 0.5;
    if a.kind == Kind::Variant && b.kind == Kind::Variant || weak(a) || weak(b) {
        return None;
    }
    let after = |late: &Evidence, early: &Evidence| {
        let (Some(from), Some(to)) = (late.reason.from, early.reason.to) else { return false };
        let room = if late.hard_from().is_some() { 0 } else { slack(late) };
        let room = room.max(if early.hard_to().is_some() { 0 } else { slack(early) });
        from > to + room
    };
    if after(a, b) {
        Some((a, b))
    } else if after(b, a) {
        Some((b, a))
    } else {
        None
    }
}

fn cause(late: &Evidence, early: &Evidence) -> String {
    let to = early.reason.to.unwrap_or(i32::MAX);
    for found in [late, early] {
        if found.kind == Kind::Box {
            return "The box may belong to another reel.".to_owned();
        }
    }
    if late.replaceable {
        return format!("The part that shows “{}” may have been replaced later.", late.reason.what);
    }
    if early.replaceable {
        return format!("The part that shows “{}” may have come from an older reel.", early.reason.what);
    }
    if let Some(year) = late.reread.iter().filter(|year| **year <= to).max() {
        return format!("One misread figure in “{}” would make it {year}, which fits.", late.reason.what);
    }
    if late.kind == Kind::Patent {
        return match early.kind {
            Kind::Variant => "The patented part may be a later replacement, or the reel is another variant.".to_owned(),
            _ => format!("One of the two is misread, or the part with “{}” comes from a later reel.", late.reason.what),
        };
    }
    if early.kind == Kind::Variant || late.kind == Kind::Variant {
        return "The variant may be another, or the part that bears the mark was changed.".to_owned();
    }
    if !late.at.is_empty() && late.at == early.at {
        return "They stand at one place, so one of the two is misread, or old stock was used up.".to_owned();
    }
    "A foot, plate or spool of another reel may have been used, or one of the two is misread.".to_owned()
}
