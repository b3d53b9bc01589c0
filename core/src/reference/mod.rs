//! The packs: what is known of makers, models, marks and dates, each fact with its source and how far to trust it.
//!
//! A pack is one JSON file whose `format` names its kind. [`Reference::load`] takes any number of them; [`check`] lists
//! every fault of one, naming pack, entry and field, and [`check_reference`] those of all in use.

mod care;
mod cautions;
pub mod counter;
mod dating;
mod faults;
mod makers;
mod mechanics;
mod models;
mod parts;
mod questions;
mod read;
mod selling;
pub mod sequence;
mod tree;
mod validate;
mod work;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::error::{Error, Result};
use crate::order;
use read::{fields, words};

pub use care::{CarePack, StallStep, UseCaution};
pub use cautions::Task;
pub use counter::CounterPack;
pub use dating::{Caution, Clue, DatingPack, KnownPatent, Series, SeriesConfidence, Weekday, WeekdayRule};
pub use faults::{BenchCheck, Cause, CauseType, Disagreement, FaultsPack, Met, Often, SaysSo, Symptom};
pub use makers::{
    CodeKind, CodeRow, DateCode, Dates, HouseBrand, Maker, MakerMark, MakerPatent, MakersPack, Place, Said, SerialRange,
};
pub use mechanics::{
    Bearing, Conversion, DragShare, Formula, FrictionMaterial, LineKind, LineSize, MechanicsPack, SizedObject,
    SpringMetal, SumCaution, ThreadSeries, ThreadSize, Typed, WorkedExample,
};
pub use models::{Family, FeatureFact, Fitment, HowOften, LookAlike, Model, ModelsPack, StruckMark, Variant};
pub use parts::{
    Assembly, Evidence, MeasureKind, PackFit, PartHazard, PartNumber, PartRole, PartsPack, Says, Scarce, WeakPart,
    end_parts,
};
pub use questions::{Effort, EffortId, Feature, FeatureType, MarkPlace, QuestionsPack, State};
pub use selling::{EraWords, KnownCopy, MaterialWords, PartWords, Phrase, PhraseKind, SellingPack, YearWords};
pub use tree::Tree;
pub use validate::{Fault, check, check_reference};
pub use work::{
    Aim, Bath, BenchCaution, CautionWords, ChangeBy, ChangeRule, Consumable, FunctionTest, GradeScale, GradeStep,
    Hazard, Labelled, Limit, MustBeBefore, OrderStep, OwnerQuestion, PartState, Phase, PhotoWish, Quantity,
    ServiceItem, ServiceList, StripOrder, TestNote, WorkPack, WorkStage, applies, role_words,
};

/// How far a fact may be trusted. `Low` is shown as unverified and never counts as hard.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Confidence {
    Low,
    #[default]
    Medium,
    High,
}

words!(Confidence { "low" => Low, "medium" => Medium, "high" => High });

/// Whether an end of a span of years may exclude (a law, a state's founding) or only weighs (custom).
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Bound {
    #[default]
    Soft,
    Hard,
}

words!(Bound { "soft" => Soft, "hard" => Hard });

/// A span of years; an end left out is unknown or open.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Years {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<i32>,
    #[serde(skip_serializing_if = "is_soft")]
    pub from_bound: Bound,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<i32>,
    #[serde(skip_serializing_if = "is_soft")]
    pub to_bound: Bound,
    /// Years of common use: custom only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub usual_from: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub usual_to: Option<i32>,
}

fields!(Years { from, from_bound, to, to_bound, usual_from, usual_to });

fn is_soft(bound: &Bound) -> bool {
    *bound == Bound::Soft
}

/// Where a fact was read. `url` is left out where none was kept; the note says why.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Source {
    pub title: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub url: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

fields!(Source { title, url, note });

pub type Sources = BTreeMap<String, Source>;

/// What every pack says of itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PackInfo {
    pub id: String,
    pub title: String,
    pub about: String,
    /// True for packs of invented makers, kept apart from real ones.
    pub invented: bool,
}

/// One line of `packs.json`, the list of the packs that stand beside it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Listed {
    pub file: String,
    pub kind: String,
    pub id: String,
    pub title: String,
    pub invented: bool,
    /// Only the bench needs it.
    pub later: bool,
}

fields!(Listed { file, kind, id, title, invented, later });

impl Listed {
    /// Reads `packs.json`.
    ///
    /// # Errors
    /// Text that is no such list, with where it is not.
    pub fn read(text: &str) -> Result<Vec<Self>> {
        let tree = Tree::of("packs.json", text)?;
        let bad = |trouble: &str| Error::malformed(format!("The list of packs, packs.json: {trouble}."));
        let list: Vec<Self> = read::read(tree.0).map_err(|trouble| bad(&trouble))?;
        if list.iter().any(|pack| pack.file.is_empty()) { Err(bad("a pack names no `file`")) } else { Ok(list) }
    }

    /// Whether naming a reel needs it: it comes with the program.
    pub fn is_first(&self) -> bool {
        !self.later && !self.invented
    }
}

/// All packs in use, joined.
#[derive(Debug, Clone, Default)]
pub struct Reference {
    pub packs: Vec<PackInfo>,
    pub questions: QuestionsPack,
    pub makers: Vec<Maker>,
    pub families: Vec<Family>,
    pub models: Vec<Model>,
    pub dating: DatingPack,
    pub care: CarePack,
    pub counter: CounterPack,
    pub faults: FaultsPack,
    pub work: WorkPack,
    pub mechanics: MechanicsPack,
    pub selling: SellingPack,
    pub parts: PartsPack,
    /// Sources of all packs by `pack/key`; look one up with [`Reference::source`].
    pub sources: Sources,
    feature_index: BTreeMap<String, usize>,
    maker_index: BTreeMap<String, usize>,
    model_index: BTreeMap<String, usize>,
}

/// The `format` words of the kinds of pack.
pub const QUESTIONS_FORMAT: &str = "tailplate-questions/1";
pub const MAKERS_FORMAT: &str = "tailplate-makers/1";
pub const MODELS_FORMAT: &str = "tailplate-models/1";
pub const DATING_FORMAT: &str = "tailplate-dating/1";
pub const CARE_FORMAT: &str = "tailplate-care/1";
pub const COUNTER_FORMAT: &str = "tailplate-counter/1";
pub const FAULTS_FORMAT: &str = "tailplate-faults/1";
pub const WORK_FORMAT: &str = "tailplate-work/1";
pub const MECHANICS_FORMAT: &str = "tailplate-mechanics/1";

pub const SELLING_FORMAT: &str = "tailplate-selling/1";

pub const PARTS_FORMAT: &str = "tailplate-parts/1";

/// Every format that is read.
const FORMATS: [&str; 11] = [
    QUESTIONS_FORMAT,
    MAKERS_FORMAT,
    MODELS_FORMAT,
    DATING_FORMAT,
    CARE_FORMAT,
    COUNTER_FORMAT,
    FAULTS_FORMAT,
    WORK_FORMAT,
    MECHANICS_FORMAT,
    SELLING_FORMAT,
    PARTS_FORMAT,
];

impl Reference {
    /// Joins packs given as `(name, json)`. Questions come first, then makers, models and dating in any order.
    ///
    /// # Errors
    /// A file that cannot be read as a pack, or an id used twice. Everything else is left to [`check`] and
    /// [`check_reference`], so that loading stays cheap.
    pub fn load<'a>(packs: impl IntoIterator<Item = (&'a str, &'a str)>) -> Result<Self> {
        let mut reference = Reference::default();
        for (name, text) in packs {
            reference.add(name, text)?;
        }
        reference.ready()?;
        Ok(reference)
    }

    /// After the last [`Reference::add`]: makes the look-ups.
    ///
    /// # Errors
    /// An id used twice.
    pub fn ready(&mut self) -> Result<()> {
        self.reindex();
        match validate::repeated_ids(self).into_iter().next() {
            Some(fault) => Err(Error::invalid(fault.to_string())),
            None => Ok(()),
        }
    }

    /// Adds one pack: for one who shows something between packs. [`Reference::load`] does it all.
    ///
    /// # Errors
    /// A file that cannot be read as a pack.
    pub fn add(&mut self, name: &str, text: &str) -> Result<()> {
        self.add_tree(name, Tree::of(name, text)?)
    }

    /// The second half of [`Reference::add`].
    ///
    /// # Errors
    /// A tree that is no pack.
    pub fn add_tree(&mut self, name: &str, tree: Tree<'_>) -> Result<()> {
        match self.add_first_tree(name, tree)? {
            None => Ok(()),
            Some(tree) => self.add_later_tree(name, tree),
        }
    }

    /// Adds a pack that naming a reel needs; gives back one that is for later. Apart, so that a phone's first screen does
    /// not bring the readers of all the others.
    ///
    /// # Errors
    /// A tree that is no pack.
    pub fn add_first_tree<'a>(&mut self, name: &str, tree: Tree<'a>) -> Result<Option<Tree<'a>>> {
        let bad = |trouble: String| Error::malformed(format!("Pack {name}: {trouble}."));
        match tree.format() {
            QUESTIONS_FORMAT => {
                let pack = read::read::<QuestionsPack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.questions = pack;
            }
            MAKERS_FORMAT => {
                let pack = read::read::<MakersPack>(tree.0).map_err(bad)?;
                self.add_makers(pack.info(), pack.sources, pack.makers);
            }
            MODELS_FORMAT => {
                let pack = read::read::<ModelsPack>(tree.0).map_err(bad)?;
                self.families.extend(pack.families.iter().cloned());
                self.add_models(pack.info(), pack.sources, pack.models);
            }
            DATING_FORMAT => {
                let pack = read::read::<DatingPack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.add_sources(&pack.id, &pack.sources);
                self.dating = pack;
            }
            CARE_FORMAT => {
                let pack = read::read::<CarePack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.add_sources(&pack.id, &pack.sources);
                self.care = pack;
            }
            COUNTER_FORMAT => {
                let pack = read::read::<CounterPack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.add_sources(&pack.id, &pack.sources);
                self.counter = pack;
            }
            _ => return Ok(Some(tree)),
        }
        Ok(None)
    }

    fn add_later_tree(&mut self, name: &str, tree: Tree<'_>) -> Result<()> {
        let bad = |trouble: String| Error::malformed(format!("Pack {name}: {trouble}."));
        match tree.format() {
            FAULTS_FORMAT => {
                let pack = read::read::<FaultsPack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.add_sources(&pack.id, &pack.sources);
                self.faults = pack;
            }
            WORK_FORMAT => {
                let pack = read::read::<WorkPack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.add_sources(&pack.id, &pack.sources);
                self.work = pack;
            }
            MECHANICS_FORMAT => {
                let pack = read::read::<MechanicsPack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.add_sources(&pack.id, &pack.sources);
                self.mechanics = pack;
            }
            SELLING_FORMAT => {
                let pack = read::read::<SellingPack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.add_sources(&pack.id, &pack.sources);
                self.selling = pack;
            }
            PARTS_FORMAT => {
                let pack = read::read::<PartsPack>(tree.0).map_err(bad)?;
                self.packs.push(pack.info());
                self.add_sources(&pack.id, &pack.sources);
                self.parts = pack;
            }
            other => {
                return Err(Error::malformed(format!(
                    "Pack {name}: its format is “{other}”; this version reads {}.",
                    FORMATS.join(", ")
                )));
            }
        }
        Ok(())
    }

    fn add_makers(&mut self, info: PackInfo, sources: Sources, makers: Vec<Maker>) {
        self.add_sources(&info.id, &sources);
        self.makers.extend(makers.into_iter().map(|maker| Maker { pack: info.id.clone(), ..maker }));
        self.packs.push(info);
    }

    fn add_models(&mut self, info: PackInfo, sources: Sources, models: Vec<Model>) {
        self.add_sources(&info.id, &sources);
        self.models.extend(models.into_iter().map(|mut model| {
            model.pack.clone_from(&info.id);
            model.spread_shared_facts();
            model
        }));
        self.packs.push(info);
    }

    /// Adds a person's own models, with the makers they name that no pack has.
    pub(crate) fn add_own(&mut self, makers: Vec<Maker>, models: Vec<Model>) {
        let info = |id: &str, title: &str| PackInfo {
            id: id.into(),
            title: title.into(),
            about: "Each from a reel in your hand.".into(),
            invented: false,
        };
        self.add_makers(info("own-makers", "Makers you added"), Sources::new(), makers);
        self.add_models(info("own-models", "Models you added"), Sources::new(), models);
        self.reindex();
    }

    fn add_sources(&mut self, pack: &str, sources: &Sources) {
        self.sources.extend(sources.iter().map(|(key, source)| (format!("{pack}/{key}"), source.clone())));
    }

    pub(crate) fn reindex(&mut self) {
        self.feature_index = order::index(self.questions.features.iter().map(|f| f.id.as_str()));
        self.maker_index = order::index(self.makers.iter().map(|m| m.id.as_str()));
        self.model_index = order::index(self.models.iter().map(|m| m.id.as_str()));
    }

    pub fn feature(&self, id: &str) -> Option<&Feature> {
        self.feature_index.get(id).map(|&at| &self.questions.features[at])
    }
    pub fn maker(&self, id: &str) -> Option<&Maker> {
        self.maker_index.get(id).map(|&at| &self.makers[at])
    }
    pub fn model(&self, id: &str) -> Option<&Model> {
        self.model_index.get(id).map(|&at| &self.models[at])
    }
    /// Name of a maker, or the id where no entry exists.
    pub fn maker_name<'a>(&'a self, id: &'a str) -> &'a str {
        self.maker(id).map_or(id, |maker| &maker.name)
    }
    pub fn mark_place(&self, id: &str) -> Option<&MarkPlace> {
        self.questions.mark_places.iter().find(|place| place.id == id)
    }
    /// A source named by a fact of this pack.
    pub fn source(&self, pack: &str, key: &str) -> Option<&Source> {
        self.sources.get(&format!("{pack}/{key}"))
    }
}
