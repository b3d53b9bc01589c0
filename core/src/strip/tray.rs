//! What lies in the tray: what is left over, and which screw goes where.

use serde::Serialize;

use super::Strip;

/// A part whose count out is not its count in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Leftover {
    pub step: String,
    pub name: String,
    pub tray: String,
    pub came_off: u32,
    pub went_back: u32,
    pub words: String,
}

/// A screw's own place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScrewPlace {
    pub step: String,
    pub name: String,
    pub hole: String,
    pub length_mm: Option<f64>,
    pub head: String,
    pub tray: String,
    pub pieces: u32,
    pub back: bool,
    /// Said where its length or hole is not told, or where others of another length are about.
    pub mind: Option<String>,
}

/// Everything whose count does not come out even. A spare, and what was left alone, is no leftover.
pub fn leftovers(strip: &Strip) -> Vec<Leftover> {
    strip
        .steps
        .iter()
        .filter(|step| !step.took.spare && !step.took.left_alone && step.back != step.took.pieces())
        .map(|step| {
            let (came_off, went_back, name) = (step.took.pieces(), step.back, step.took.name());
            let words = if went_back > came_off {
                format!("{name}: {went_back} went back, and only {came_off} came off.")
            } else {
                let place = if step.took.tray.is_empty() { String::new() } else { format!(" in {}", step.took.tray) };
                format!("{name}: {} of {came_off} still lie{place}.", came_off - went_back)
            };
            Leftover { step: step.id.clone(), name, tray: step.took.tray.clone(), came_off, went_back, words }
        })
        .collect()
}

/// Screws by their holes: one thread in several lengths is told apart by place.
pub fn screws(strip: &Strip) -> Vec<ScrewPlace> {
    let taken: Vec<_> = strip.steps.iter().filter(|step| step.took.is_screw()).collect();
    let length = |at: usize| taken[at].took.fastener.as_ref().and_then(|fastener| fastener.length_mm);
    // Half a millimetre apart is another screw.
    let differs = |at: usize| {
        (0..taken.len()).any(|other| matches!((length(at), length(other)), (Some(a), Some(b)) if (a - b).abs() >= 0.5))
    };
    (0..taken.len())
        .map(|at| {
            let step = taken[at];
            let fastener = step.took.fastener.clone().unwrap_or_default();
            let mind = if fastener.hole.is_empty() && fastener.length_mm.is_none() {
                Some("Neither hole nor length is noted: lay it by its hole before the next one comes out.".to_owned())
            } else if fastener.hole.is_empty() && differs(at) {
                Some("Others are of another length and the hole of this one is not noted.".to_owned())
            } else if differs(at) {
                Some(
                    "Others are of another length: a long one in a short hole splits a plate or runs into the works."
                        .into(),
                )
            } else {
                None
            };
            ScrewPlace {
                step: step.id.clone(),
                name: step.took.name(),
                hole: fastener.hole,
                length_mm: fastener.length_mm,
                head: fastener.head,
                tray: step.took.tray.clone(),
                pieces: step.took.pieces(),
                back: step.is_back(),
                mind,
            }
        })
        .collect()
}
