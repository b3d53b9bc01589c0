//! What every screen shares: the packs, the reel on the table, and what the key says of it.

use std::sync::Arc;

use leptos::prelude::*;
use tailplate_core::dating::{self, When};
use tailplate_core::key::{self, Identification, Key};
use tailplate_core::observe::{About, Observation, Sheet, Value};
use tailplate_core::reference::Reference;

use crate::prefs::{self, Draft, Prefs};
use crate::workshop::{self, Workshop};

/// The packs and the key, for the life of the page.
#[derive(Clone, Copy)]
pub struct World {
    pub reference: &'static Reference,
    pub key: &'static Key,
}

/// What can be said of the reel on the table.
#[derive(Clone)]
pub struct Answer {
    pub which: Arc<Identification>,
    pub when: Arc<When>,
}

impl PartialEq for Answer {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.which, &other.which)
    }
}

/// A word to the person, at the foot of the screen; with a thing to do, where there is one.
#[derive(Clone, PartialEq)]
pub struct Word {
    pub text: String,
    pub bad: bool,
    /// The deleted find that an undo brings back.
    pub undo: Option<String>,
    /// The cleared table that an undo brings back.
    pub table: Option<Draft>,
}

#[derive(Clone, Copy)]
pub struct Shared {
    pub world: RwSignal<Option<Result<World, String>>>,
    pub prefs: RwSignal<Prefs>,
    pub draft: RwSignal<Draft>,
    pub answer: Memo<Option<Answer>>,
    pub word: RwSignal<Option<Word>>,
    /// Rises after each write of any tab, so that lists read again.
    pub changed: RwSignal<u32>,
    /// The question open before the person.
    pub asking: RwSignal<Option<About>>,
    /// The rooms behind the first, when they have been read.
    pub workshop: RwSignal<Option<Workshop>>,
    /// A new version waits for consent.
    pub update_ready: RwSignal<bool>,
}

impl Shared {
    pub fn new() -> Self {
        let world: RwSignal<Option<Result<World, String>>> = RwSignal::new(None);
        let draft = RwSignal::new(prefs::load_draft());
        let answer = Memo::new(move |_| {
            let world = world.read().as_ref()?.as_ref().ok().copied()?;
            Some(judge(world, &draft.read().sheet))
        });
        Self {
            world,
            prefs: RwSignal::new(prefs::load()),
            draft,
            answer,
            word: RwSignal::new(None),
            changed: RwSignal::new(0),
            asking: RwSignal::new(None),
            workshop: RwSignal::new(None),
            update_ready: RwSignal::new(false),
        }
    }

    /// The packs; screens below the loading gate always find them there.
    pub fn packs(&self) -> World {
        match self.world.get_untracked() {
            Some(Ok(world)) => world,
            _ => unreachable!("screens open only when the packs are there"),
        }
    }

    pub fn say(&self, text: impl Into<String>) {
        self.word.set(Some(Word { text: text.into(), bad: false, undo: None, table: None }));
    }

    /// Clears the table for the next reel; what was not kept can be brought back.
    pub fn clear_table(&self) {
        let before = self.draft.get_untracked();
        self.change_draft(|draft| *draft = Draft::default());
        if before.find.is_none() && before.sheet.seen.len() > 1 {
            self.word.set(Some(Word {
                text: "The table is clear. The last reel was not kept.".into(),
                bad: false,
                undo: None,
                table: Some(before),
            }));
        }
    }

    pub fn warn(&self, text: impl Into<String>) {
        self.word.set(Some(Word { text: text.into(), bad: true, undo: None, table: None }));
    }

    /// Changes the reel on the table: first durable, then shown.
    pub fn change_draft(&self, change: impl FnOnce(&mut Draft)) {
        let mut draft = self.draft.get_untracked();
        change(&mut draft);
        if !prefs::save_draft(&draft) {
            self.warn("This browser has no room to keep the reel on the table. It stays here until the page closes: make room, or keep the find now.");
        }
        self.draft.set(draft);
    }

    /// Kind of the reel on the table, as a state of `reel_kind`.
    pub fn kind(&self) -> Option<String> {
        let draft = self.draft.read();
        match draft.sheet.answer("reel_kind").map(|o| &o.value) {
            Some(Value::State(kind)) => Some(kind.clone()),
            _ => None,
        }
    }

    /// Notes one thing seen.
    pub fn see(&self, seen: Observation) {
        self.change_draft(|draft| draft.sheet.seen.push(seen));
        self.save_sheet_of_find();
    }

    /// Writes what was added on the table into the find it belongs to, if it was kept already.
    pub fn save_sheet_of_find(self) {
        if self.draft.with_untracked(|draft| draft.find.is_some()) {
            workshop::enter(self, move |workshop| (workshop.save_sheet_of_find)(self));
        }
    }

    /// Takes back an answer, or one reading of a mark.
    pub fn take_back(&self, seen: &Observation) {
        self.change_draft(|draft| draft.sheet.take_back(seen));
        self.save_sheet_of_find();
    }
}

pub fn shared() -> Shared {
    the_shared()
}

thread_local! {
    static SHARED: std::cell::OnceCell<Shared> = const { std::cell::OnceCell::new() };
}

/// The page has one; it is there from the first line of [`crate::app::open`].
pub fn the_shared() -> Shared {
    SHARED.with(|shared| *shared.get().expect("the page has begun"))
}

pub fn begin(shared: Shared) {
    SHARED.with(|slot| {
        let _ = slot.set(shared);
    });
}

pub fn judge(world: World, sheet: &Sheet) -> Answer {
    let seen: Vec<Observation> = sheet.current().into_iter().cloned().collect();
    let which = key::identify(world.key, world.reference, &seen);
    let when = dating::date(world.reference, &seen, &which.variants, this_year());
    Answer { which: Arc::new(which), when: Arc::new(when) }
}

pub fn this_year() -> i32 {
    js_sys::Date::new_0().get_full_year() as i32
}
