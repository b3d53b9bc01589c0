//! Threads, bearings, friction, line, sizes for scale, and the sums made with them.

use std::collections::BTreeMap;

use serde::Serialize;

use super::read::fields;
use super::tree::Value;
use super::{Confidence, PackInfo, Sources};

/// A series of threads of one form, such as all of one national standard.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ThreadSeries {
    pub id: String,
    pub name: String,
    /// Between the flanks; not known of every old plate.
    pub angle_deg: Option<f64>,
    /// Full depth on diameter, in pitches, as tap drills are reckoned.
    pub depth_factor: Option<f64>,
    pub era: String,
    pub note: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
    pub sizes: Vec<ThreadSize>,
}

fields!(ThreadSeries { id, name, angle_deg, depth_factor, era, note, src, confidence, sizes });

/// One size. Source and confidence are those of its series unless it has its own.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ThreadSize {
    pub id: String,
    pub major_mm: f64,
    /// Threads per inch, or the pitch: one of the two.
    pub tpi: Option<f64>,
    pub pitch_mm: Option<f64>,
    pub note: String,
    pub src: Vec<String>,
    pub confidence: Option<Confidence>,
}

fields!(ThreadSize { id, major_mm, tpi, pitch_mm, note, src, confidence });

impl ThreadSize {
    pub fn pitch(&self) -> f64 {
        self.pitch_mm.or(self.tpi.map(|tpi| 25.4 / tpi)).unwrap_or_default()
    }
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct Bearing {
    pub id: String,
    pub inch: bool,
    pub bore_mm: f64,
    pub outside_mm: f64,
    pub width_mm: f64,
    /// Where the open kind is narrower than the shielded.
    pub open_width_mm: Option<f64>,
    pub flange_mm: Option<f64>,
    pub note: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Bearing { id, inch, bore_mm, outside_mm, width_mm, open_width_mm, flange_mm, note, src, confidence });

/// A material of drag washers.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FrictionMaterial {
    pub id: String,
    pub name: String,
    pub against: String,
    /// Least and greatest coefficient.
    pub lubricated: Option<[f64; 2]>,
    pub dry: Option<[f64; 2]>,
    pub most_c: Option<f64>,
    pub most_mpa: Option<f64>,
    /// What to mind when working with it.
    pub care: String,
    pub about: String,
    /// It is asbestos, or old pieces of it may hold some.
    pub asbestos: bool,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(FrictionMaterial {
    id,
    name,
    against,
    lubricated,
    dry,
    most_c,
    most_mpa,
    care,
    about,
    asbestos,
    src,
    confidence
});

/// A kind of line with its sizes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LineKind {
    pub id: String,
    pub name: String,
    /// What its label counts: `pounds`, `threads` or `number`.
    pub marked: String,
    pub note: String,
    pub sizes: Vec<LineSize>,
}

fields!(LineKind { id, name, marked, note, sizes });

#[derive(Debug, Clone, Default, PartialEq)]
pub struct LineSize {
    pub pounds: Option<f64>,
    pub threads: Option<f64>,
    pub number: Option<f64>,
    pub diameter_mm: f64,
    pub range_mm: Option<[f64; 2]>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(LineSize { pounds, threads, number, diameter_mm, range_mm, src, confidence });

impl LineKind {
    /// What stands on the label of this size.
    pub fn label_of(&self, size: &LineSize) -> Option<f64> {
        match self.marked.as_str() {
            "threads" => size.threads,
            "number" => size.number,
            _ => size.pounds,
        }
    }
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct SpringMetal {
    pub id: String,
    pub name: String,
    pub shear_mpa: f64,
    pub elastic_mpa: f64,
    pub src: Vec<String>,
}

fields!(SpringMetal { id, name, shear_mpa, elastic_mpa, src });

/// A custom of setting the drag as a share of the line's strength.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DragShare {
    pub id: String,
    pub name: String,
    pub share: [f64; 2],
    pub src: Vec<String>,
}

fields!(DragShare { id, name, share, src });

/// A thing of known size to lay beside a part in a photo.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SizedObject {
    pub id: String,
    pub name: String,
    /// `circle`, `rounded-rectangle`, `rectangle` or one with many sides.
    pub shape: String,
    pub diameter_mm: Option<f64>,
    pub width_mm: Option<f64>,
    pub height_mm: Option<f64>,
    pub corner_radius_mm: Option<f64>,
    pub thickness_mm: Option<f64>,
    pub note: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(SizedObject {
    id,
    name,
    shape,
    diameter_mm,
    width_mm,
    height_mm,
    corner_radius_mm,
    thickness_mm,
    note,
    src,
    confidence
});

/// `to = from × factor + offset`, or `to = factor ÷ from` where it is reciprocal.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Conversion {
    pub id: String,
    pub from: String,
    pub to: String,
    pub factor: f64,
    pub offset: Option<f64>,
    pub reciprocal: bool,
    pub exact: bool,
    pub basis: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Conversion { id, from, to, factor, offset, reciprocal, exact, basis, src, confidence });

/// What can hurt or spoil at the bench, and who knows better.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct SumCaution {
    pub id: String,
    pub topic: String,
    pub risk: String,
    #[serde(rename = "do")]
    pub to_do: Vec<String>,
    #[serde(rename = "do_not")]
    pub not_to_do: Vec<String>,
    pub defer_to: String,
    #[serde(skip)]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(SumCaution { id, topic, risk, to_do = "do", not_to_do = "do_not", defer_to, src, confidence });

/// A formula with what it takes for granted, and examples that the calculators must reproduce.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Formula {
    pub id: String,
    pub title: String,
    pub lines: BTreeMap<String, String>,
    pub symbols: BTreeMap<String, String>,
    pub assumptions: Vec<String>,
    pub src: Vec<String>,
    pub confidence: Confidence,
    pub examples: Vec<WorkedExample>,
}

fields!(Formula { id, title, lines, symbols, assumptions, src, confidence, examples });

/// Inputs as one would type them, figures in the unit in which the calculator gives them; `.also` is the other unit.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct WorkedExample {
    pub calculator: String,
    pub inputs: BTreeMap<String, Typed>,
    pub figures: BTreeMap<String, f64>,
}

fields!(WorkedExample { calculator, inputs, figures });

/// A number or a text, kept as text.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Typed(pub String);

impl super::read::Read for Typed {
    fn fill(&mut self, value: Value<'_>, at: &mut super::read::At) {
        match value {
            Value::Text(text) => self.0 = text.into_owned(),
            Value::Whole(number) => self.0 = number.to_string(),
            Value::Number(number) => self.0 = number.to_string(),
            _ => at.trouble("a number, or a text in quotes, is expected here"),
        }
    }
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct MechanicsPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    pub threads: Vec<ThreadSeries>,
    pub bearings: Vec<Bearing>,
    pub bearing_notes: Vec<String>,
    pub frictions: Vec<FrictionMaterial>,
    pub lines: Vec<LineKind>,
    pub line_notes: Vec<String>,
    pub spring_metals: Vec<SpringMetal>,
    pub drag_shares: Vec<DragShare>,
    pub gear_modules_mm: Vec<f64>,
    pub gear_pitches_per_inch: Vec<f64>,
    pub objects: Vec<SizedObject>,
    pub conversions: Vec<Conversion>,
    pub cautions: Vec<SumCaution>,
    pub formulas: Vec<Formula>,
}

fields!(MechanicsPack {
    format,
    id,
    title,
    about,
    sources,
    threads,
    bearings,
    bearing_notes,
    frictions,
    lines,
    line_notes,
    spring_metals,
    drag_shares,
    gear_modules_mm,
    gear_pitches_per_inch,
    objects,
    conversions,
    cautions,
    formulas
});

impl MechanicsPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
    pub fn formula(&self, id: &str) -> Option<&Formula> {
        self.formulas.iter().find(|formula| formula.id == id)
    }
    pub fn friction(&self, id: &str) -> Option<&FrictionMaterial> {
        self.frictions.iter().find(|material| material.id == id)
    }
    pub fn object(&self, id: &str) -> Option<&SizedObject> {
        self.objects.iter().find(|object| object.id == id)
    }
    /// Titles of the sources named by a fact of this pack.
    pub fn titles<'a>(&'a self, src: &'a [String]) -> impl Iterator<Item = &'a str> {
        src.iter().filter_map(|key| self.sources.get(key)).map(|source| source.title.as_str())
    }
}
