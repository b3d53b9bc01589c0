//! What the drawing room takes from the observations: the newest answer to each question, sizes in user units.

use super::pen::{Ink, Pen};
use crate::observe::{About, Observation, Value};

/// User units for one millimetre; the same in every drawing to scale, so two sheets may be laid side by side.
pub(super) const UNITS_PER_MM: f64 = 3.0;

pub(super) struct Reel<'a> {
    seen: &'a [Observation],
}

/// A part's size and the ink that says whether anybody measured it.
#[derive(Clone, Copy)]
pub(super) struct Size {
    pub units: f64,
    pub known: bool,
}

impl Size {
    pub fn ink(self, known: Ink) -> Ink {
        if self.known { known } else { Ink::Soft }
    }
}

/// How a reel is built, as far as a drawing cares.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Build {
    /// The spool lies across the rod between plates.
    Across,
    /// The spool's own face is seen: fly, centrepin, side-cast.
    FaceSpool,
    Automatic,
    Spinning,
    Closed,
}

impl<'a> Reel<'a> {
    pub fn of(seen: &'a [Observation]) -> Self {
        Self { seen }
    }
    fn answer(&self, feature: &str) -> Option<&'a Value> {
        let newest = self.seen.iter().rev().find(|o| matches!(&o.about, About::Feature(id) if id == feature));
        newest.map(|o| &o.value).filter(|value| !matches!(value, Value::Unclear | Value::TakenBack(_)))
    }
    /// The state, `none` where the part is absent, or nothing where nobody could tell.
    pub fn state(&self, feature: &str) -> Option<&'a str> {
        match self.answer(feature)? {
            Value::State(state) => Some(state),
            Value::Absent => Some("none"),
            _ => None,
        }
    }
    pub fn is(&self, feature: &str, state: &str) -> bool {
        self.state(feature) == Some(state)
    }
    /// Drawn as counted, but never more than can be told apart.
    pub fn count(&self, feature: &str) -> Option<usize> {
        match self.answer(feature)? {
            Value::Count(count) => Some((*count).min(72) as usize),
            Value::Absent => Some(0),
            _ => None,
        }
    }
    /// A measure in user units, or the usual size marked as not known.
    pub fn size(&self, feature: &str, usual_mm: f64) -> Size {
        let measured = self.answer(feature).and_then(Value::base_amount).filter(|mm| mm.is_finite() && *mm > 0.0);
        Size { units: measured.unwrap_or(usual_mm).min(3000.0) * UNITS_PER_MM, known: measured.is_some() }
    }
    /// Size of the first feature that was measured.
    pub fn first_size(&self, features: &[&str], usual_mm: f64) -> Size {
        let known = features.iter().map(|feature| self.size(feature, usual_mm)).find(|size| size.known);
        known.unwrap_or(Size { units: usual_mm * UNITS_PER_MM, known: false })
    }
    /// Lettering read at the place.
    pub fn marks(&self, place: &str) -> Vec<&'a str> {
        let at_place = self.seen.iter().filter(|o| matches!(&o.about, About::Mark(id) if id == place));
        at_place.filter_map(|o| if let Value::Text(text) = &o.value { Some(text.as_str()) } else { None }).collect()
    }
    pub fn kind(&self) -> &'a str {
        self.state("reel_kind").unwrap_or("")
    }
    pub fn build(&self) -> Build {
        match self.kind() {
            "fly" | "centrepin" | "side-cast" | "ice" => Build::FaceSpool,
            "automatic" => Build::Automatic,
            "spinning" => Build::Spinning,
            "closed-face" => Build::Closed,
            _ => Build::Across,
        }
    }
    /// Diameter of the plate and width of the spool that are usual for the kind, in mm.
    pub fn usual_mm(&self) -> (f64, f64) {
        match self.kind() {
            "baitcasting" => (48.0, 44.0),
            "big-game" => (110.0, 70.0),
            "fly" => (80.0, 24.0),
            "automatic" => (72.0, 40.0),
            "centrepin" => (105.0, 22.0),
            "side-cast" => (120.0, 34.0),
            "wire-line" => (130.0, 30.0),
            "ice" => (50.0, 18.0),
            "spinning" | "closed-face" => (50.0, 26.0),
            _ => (70.0, 55.0),
        }
    }
    /// Bright or dark ink for a part by what it is made of; soft when nobody said.
    pub fn stuff(&self, feature: &str) -> Ink {
        match self.state(feature) {
            None | Some("none") => Ink::Soft,
            Some(
                "hard-rubber" | "phenolic" | "celluloid" | "plastic" | "casein" | "leather-bound" | "soft-rubber"
                | "bakelite" | "black",
            ) => Ink::Dark,
            Some(_) => Ink::Metal,
        }
    }
}

/// A drawing under way with the box it fills.
pub(super) struct Sheet {
    pub pen: Pen,
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Sheet {
    pub fn new() -> Self {
        Self { pen: Pen::default(), left: 0.0, top: 0.0, right: 0.0, bottom: 0.0 }
    }
    /// Makes room for a part.
    pub fn room(&mut self, x: f64, y: f64, reach_x: f64, reach_y: f64) {
        self.left = self.left.min(x - reach_x);
        self.right = self.right.max(x + reach_x);
        self.top = self.top.min(y - reach_y);
        self.bottom = self.bottom.max(y + reach_y);
    }
    /// Left, top, width and height.
    pub fn bounds(&self) -> (f64, f64, f64, f64) {
        (self.left, self.top, self.width(), self.height())
    }
    pub fn width(&self) -> f64 {
        self.right - self.left
    }
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }
    /// Puts the drawing into another one with its upper left corner at the point.
    pub fn place_in(self, pen: &mut Pen, x: f64, y: f64) {
        pen.moved(x - self.left, y - self.top, 1.0);
        pen.raw(&self.pen.into_text());
        pen.end();
    }
    /// A bar of 10 mm below the drawing, then the sheet with air round it.
    pub fn finish(mut self) -> String {
        let (x, y) = (self.left, self.bottom + 14.0);
        scale_bar(&mut self.pen, x, y);
        self.room(x + 40.0, y, 40.0, 8.0);
        let (width, height) = (self.width(), self.height());
        self.pen.sheet(self.left - 8.0, self.top - 8.0, width + 16.0, height + 16.0)
    }
}

pub(super) fn scale_bar(pen: &mut Pen, x: f64, y: f64) {
    let long = 10.0 * UNITS_PER_MM;
    pen.lines(
        Ink::Line,
        &[(x, y - 4.0), (x, y + 4.0), (x, y), (x + long, y), (x + long, y - 4.0), (x + long, y + 4.0)],
    );
    pen.words(x + long + 8.0, y + 4.0, 12.0, "start", "10 mm");
}
