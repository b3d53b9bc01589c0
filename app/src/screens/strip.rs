//! How it comes apart and goes back together. Every step is on the disk before the next is asked for.

use std::collections::BTreeSet;

use leptos::prelude::*;
use tailplate_core::reference::{BenchCaution, Reference, StripOrder, role_words};
use tailplate_core::shop::{Reel, Stage};
use tailplate_core::strip::{
    self, BackStep, Fastener, Guide, Happened, PlanStep, StandsAt, Strip, StripEvent, Took, cautions_before,
    last_standing, leftovers, order_followed, put_back, rounds, screws, time_at_bench_ms,
};

use crate::keeping;
use crate::later::later;
use crate::prefs;
use crate::route::Route;
use crate::state::the_shared;
use crate::store;
use crate::widgets::bench::{BenchHead, Cautions, KindPick, NeedOne, WithPacks, keep_awake};
use crate::widgets::live::{Field, Live, Opened, live};
use crate::widgets::photos::Thumb;
use crate::words::count;

type Of = Live<Reel>;

#[component]
pub fn StripScreen(id: String) -> impl IntoView {
    keep_awake();
    let reel: Of = live(id);
    view! {
        <div class="bench"><Opened live=reel title="Strip">
            <BenchHead reel title="Strip"/>
            <WithPacks show=move |bench| view! { <Recording bench reel/> }.into_any()/>
        </Opened></div>
    }
}

/// A recording as the pieces of the screen see it.
#[derive(Clone, Copy)]
struct Bench {
    bench: &'static Reference,
    reel: Of,
    kind: Memo<String>,
    /// What is apart now: the newest round.
    strip: Memo<Strip>,
    /// Id of the generic order that is followed; empty for none.
    order: RwSignal<String>,
    /// An event is being written.
    busy: RwSignal<bool>,
}

impl Bench {
    fn order(self) -> Option<&'static StripOrder> {
        self.bench.work.order(&self.order.read())
    }

    /// Writes an event; `then` is done when it is on the disk.
    fn append(self, what: Happened, then: impl FnOnce() + 'static) {
        if self.busy.get_untracked() {
            return;
        }
        self.busy.set(true);
        let (shared, id) = (the_shared(), self.reel.id());
        keeping::work(shared, async move {
            let written = async {
                let event = StripEvent { id: keeping::new_id()?, at_ms: store::now_ms(), what };
                keeping::change_now(&id, move |reel: &mut Reel| {
                    if let Happened::Took(took) = &event.what {
                        let name = took.name();
                        let mine = |sha256: &String| took.photos.contains(sha256);
                        for photo in
                            reel.photos.iter_mut().filter(|photo| photo.words.is_empty() && mine(&photo.sha256))
                        {
                            photo.words.clone_from(&name);
                        }
                    }
                    reel.strip.push(event);
                })
                .await
            };
            let written = written.await;
            let _ = self.busy.try_set(false);
            written?;
            then();
            shared.say("Saved.");
            Ok(())
        });
    }
}

#[component]
fn Recording(bench: &'static Reference, reel: Of) -> impl IntoView {
    let kind = reel.part(|reel| reel.kind.clone());
    let strip = reel.part(|reel| rounds(&reel.strip).last().map(|round| Strip::of(round)).unwrap_or_default());
    let order = RwSignal::new(begin_with(bench, &kind.read_untracked(), &strip.read_untracked()));
    let all = Bench { bench, reel, kind, strip, order, busy: RwSignal::new(false) };
    let stands = strip.read_untracked().stands_at();
    let back = RwSignal::new(stands == StandsAt::PuttingTogether);
    let begun = Memo::new(move |_| !strip.read().steps.is_empty());
    let orders = move || {
        let kind = kind.get();
        let all: Vec<(String, String)> = match kind.is_empty() {
            true => Vec::new(),
            false => bench.work.orders_of(&kind).map(|one| (one.id.clone(), one.label.clone())).collect(),
        };
        all.into_iter().chain([(String::new(), "No order, as it comes".to_owned())]).map(|(id, label)| {
            let here = id.clone();
            view! { <button class="choice plain" aria-pressed=move || (*order.read() == here).to_string() on:click=move |_| order.set(id.clone())>{label}</button> }
        }).collect_view()
    };
    let set_kind = move |kind: String| {
        order.set(begin_with(bench, &kind, &strip.read_untracked()));
        reel.change(move |reel| reel.kind = kind);
    };
    let about = move || {
        all.order().map(
            |order| view! { <p class="how">{order.about.clone()}" A generic order: the reel in hand decides."</p> },
        )
    };
    view! {
        <KindPick kind begins_open=kind.read_untracked().is_empty() set=set_kind/>
        <details><summary>"Order to follow"<small>{move || all.order().map_or("none".to_owned(), |order| order.label.clone())}</small></summary><div class="choices">{orders}</div>{about}</details>
        <div class="segments big">
            <button aria-pressed=move || (!back.get()).to_string() on:click=move |_| back.set(false)>"Take apart"</button>
            <button aria-pressed=move || back.get().to_string() on:click=move |_| back.set(true)>"Put back"</button>
        </div>
        {move || if back.get() { view! { <Back all/> }.into_any() } else { view! { <Apart all/> }.into_any() }}
        <Notes all/>
        <AsTheLast reel/>
        {move || begun.get().then(|| view! { <a class="button quiet wide" href=Route::Paper("way-back".into(), reel.id()).href()>"The way back on paper"</a> })}
        <div class="actions">
            <a class="button quiet" href=Route::Reel(reel.id()).href()>"The reel"</a>
            <Undo all/>
        </div>
    }
}

/// Id of the order to begin with; empty for none.
fn begin_with(bench: &Reference, kind: &str, strip: &Strip) -> String {
    order_followed(bench, kind, strip).map(|order| order.id.clone()).unwrap_or_default()
}

#[component]
fn Undo(all: Bench) -> impl IntoView {
    let last = all.reel.part(|reel| last_standing(&reel.strip).map(|event| event.id.clone()));
    view! { <button class="quiet" disabled=move || last.read().is_none() || all.busy.get() on:click=move |_| if let Some(event) = last.get_untracked() { all.append(Happened::Undone { event }, || ()) }>"Undo the last"</button> }
}

/// Taking apart: one step large, what is off below it.
#[component]
fn Apart(all: Bench) -> impl IntoView {
    let Bench { bench, reel, kind, strip, .. } = all;
    let time = reel.part(|reel| time_at_bench_ms(&reel.strip));
    let steps: Memo<Vec<PlanStep>> = Memo::new(move |_| {
        all.order().map_or_else(Vec::new, |order| strip::plan(bench, order, &strip.read(), &kind.read()))
    });
    let draft = RwSignal::new(prefs::load_step(&reel.id()).unwrap_or_default());
    Effect::new(move |_| prefs::save_step(&reel.id(), &draft.read()));
    // The step chosen by hand (empty: one that is in no list), and those passed over.
    let at = RwSignal::new(None::<String>);
    let passed = RwSignal::new(BTreeSet::<String>::new());
    let now: Memo<Option<PlanStep>> = Memo::new(move |_| {
        let steps = steps.read();
        match at.get() {
            Some(id) => steps.iter().find(|step| step.id == id).cloned(),
            None => steps.iter().find(|step| !step.taken && !passed.read().contains(&step.id)).cloned(),
        }
    });
    // Of several parts of a step, the first that is still in.
    let role: Memo<String> = Memo::new(move |_| {
        let draft = draft.read();
        if !draft.role.is_empty() || !draft.words.trim().is_empty() {
            return draft.role.clone();
        }
        let Some(step) = now.get() else { return String::new() };
        let strip = strip.read();
        let off = |role: &&String| strip.steps.iter().any(|done| done.took.role == **role);
        step.roles.iter().find(|role| !off(role)).or(step.roles.first()).cloned().unwrap_or_default()
    });
    let as_told = move || {
        let mut took = draft.get();
        took.role = role.get();
        took.guide_step = now.get().map(|step| step.id).unwrap_or_default();
        took.words = took.words.trim().to_owned();
        took.count = took.count.max(1);
        took
    };
    let cautions = Memo::new(move |_| {
        let mut due: Vec<BenchCaution> = now.get().map(|step| step.cautions).unwrap_or_default();
        for caution in cautions_before(bench, &as_told(), &kind.read()) {
            if !due.iter().any(|known| known.id == caution.id) {
                due.push(caution);
            }
        }
        due
    });
    let off = move |more: bool| {
        let took = untrack(as_told);
        if took.role.is_empty() && took.words.is_empty() {
            return the_shared().warn("Say what came off: touch a part, or write a word for it.");
        }
        let here = now.get_untracked().map(|step| step.id);
        all.append(Happened::Took(took), move || {
            let _ = draft.try_set(Took::default());
            let _ = at.try_set(if more { here } else { None });
        });
    };
    let pass = move |_| {
        if let Some(step) = now.get_untracked() {
            passed.update(|passed| {
                passed.insert(step.id);
            });
        }
        at.set(None);
    };
    view! {
        <section class="step" aria-label="The next part">
            {move || match now.get() {
                Some(step) => {
                    let place = steps.read().iter().position(|one| one.id == step.id).unwrap_or(0) + 1;
                    let mut hints = Vec::new();
                    hints.extend(step.tool.map(|tool| format!("Tool: {tool}")));
                    hints.extend(step.fastener.map(|words| format!("Held by: {words}")));
                    hints.extend(step.way_round.map(|words| format!("Note which way round: {words}")));
                    hints.extend(step.note);
                    hints.extend(step.photo.then(|| "Worth a photo.".to_owned()));
                    view! { <p class="place">{format!("Step {place} of {}", steps.read().len())}</p><h2>{step.words}</h2>
                        <Cautions cautions=cautions.get()/><p class="how">{hints.join(" · ")}</p> }.into_any()
                }
                None => view! { <h2>"What comes off?"</h2><Cautions cautions=cautions.get()/> }.into_any(),
            }}
            <div class="choices">{move || now.get().map(|step| step.roles.into_iter().map(|one| {
                let here = one.clone();
                view! { <button class="choice plain" aria-pressed=move || (*role.read() == here).to_string() on:click=move |_| { let one = one.clone(); draft.update(|took| took.role = one); }>{role_words(&one)}</button> }
            }).collect_view())}</div>
            <Told draft reel strip/>
            <button class="main wide" disabled=all.busy on:click=move |_| off(false)>"It is off"</button>
            <div class="choices">
                <button class="choice plain" disabled=all.busy on:click=move |_| off(true)>"Off, and more of this step"</button>
                {move || now.read().is_some().then(|| view! { <button class="choice plain" on:click=pass>"Pass over this step"</button>
                    <button class="choice plain" on:click=move |_| at.set(Some(String::new()))>"Something else came off"</button> })}
                {move || at.read().is_some().then(|| view! { <button class="choice plain" on:click=move |_| at.set(None)>"Back to the order"</button> })}
            </div>
        </section>
        <details><summary>"The whole order"</summary><ol>{move || steps.get().into_iter().map(|step| {
            let id = step.id.clone();
            view! { <li><button class="question" class:answered=step.taken on:click=move |_| at.set(Some(id.clone()))>{step.words}</button></li> }
        }).collect_view()}</ol></details>
        <h2>{move || format!("Off so far: {}", strip.read().steps.len())}</h2>
        <p class="how">{move || match time.get() / 60_000 { 0 => String::new(), minutes => format!("At the bench with it for about {minutes} min, longer pauses not counted.") }}</p>
        <ol class="plain-list off-list">{move || strip.get().steps.into_iter().map(|step| { let took = step.took; view! {
            <li class="line">{took.photos.first().cloned().map(|sha| view! { <Thumb sha=Some(sha)/> })}
                <span><b>{took.name()}</b>{(took.pieces() > 1).then(|| format!(" × {}", took.pieces()))}<small>{told_in_words(&took, &step.notes)}</small></span>
                <NeedOne reel part=if took.role.is_empty() { took.words.clone() } else { took.role.clone() } name=took.name()/></li> } }).collect_view()}</ol>
    }
}

/// What was noted of a part, in one line.
fn told_in_words(took: &Took, notes: &[String]) -> String {
    let mut words = Vec::new();
    let mut add = |what: &str, told: &str| {
        if !told.is_empty() {
            words.push(if what.is_empty() { told.to_owned() } else { format!("{what} {told}") });
        }
    };
    add("tray", &took.tray);
    add("from", &took.from);
    add("", &took.way_round);
    if let Some(fastener) = &took.fastener {
        add("", &fastener.kind);
        add("", &fastener.length_mm.map(|mm| format!("{mm} mm")).unwrap_or_default());
        add("", &fastener.head);
        add("hole", &fastener.hole);
    }
    add("", if took.under_tension { "under tension" } else { "" });
    add("", if took.left_alone { "left in place" } else { "" });
    add("", if took.spare { "a spare" } else { "" });
    add("", &took.tool);
    add("", &took.note);
    notes.iter().for_each(|note| add("", note));
    words.join(" · ")
}

/// What there is to tell of a part before it goes into the tray.
#[component]
fn Told(draft: RwSignal<Took>, reel: Of, strip: Memo<Strip>) -> impl IntoView {
    let busy = RwSignal::new(0_usize);
    let words = move |of: fn(&Took) -> &String| Signal::derive(move || of(&draft.read()).clone());
    let fastener = move |of: fn(&Fastener) -> String| {
        Signal::derive(move || draft.read().fastener.as_ref().map(of).unwrap_or_default())
    };
    let set_fastener = move |set: &dyn Fn(&mut Fastener)| {
        draft.update(|took| {
            let mut fastener = took.fastener.take().unwrap_or_default();
            set(&mut fastener);
            took.fastener = (fastener != Fastener::default()).then_some(fastener);
        });
    };
    let flag = move |label: &'static str, of: fn(&mut Took) -> &mut bool| {
        let on = Signal::derive(move || *of(&mut draft.get()));
        view! { <button class="choice plain" aria-pressed=move || on.get().to_string() on:click=move |_| draft.update(|took| { let flag = of(took); *flag = !*flag; })>{label}</button> }
    };
    let last_tray =
        Memo::new(move |_| strip.read().steps.last().map(|step| step.took.tray.clone()).unwrap_or_default());
    let cells = move || {
        let last = last_tray.get();
        let next = next_cell(&last);
        [("next", next), ("same", last)].into_iter().filter(|(_, cell)| !cell.is_empty()).map(|(what, cell)| {
            let (put, said) = (cell.clone(), format!("Tray cell {cell}, {what}"));
            view! { <button class="choice plain" aria-label=said on:click=move |_| { let put = put.clone(); draft.update(|took| took.tray = put); }>{cell}<small>{what}</small></button> }
        }).collect_view()
    };
    let length = move |typed: String| {
        let typed = typed.trim().replace(',', ".");
        match typed.parse::<f64>() {
            Ok(mm) if mm.is_finite() && mm > 0.0 => set_fastener(&|fastener| fastener.length_mm = Some(mm)),
            _ if typed.is_empty() => set_fastener(&|fastener| fastener.length_mm = None),
            _ => the_shared().warn(format!("“{typed}” is no length: write it in millimetres, as 6 or 7.5.")),
        }
    };
    let photo = move |event: web_sys::Event| {
        let files = keeping::copy::chosen(&event);
        keeping::add_photos_then::<Reel>(the_shared(), reel.id(), files, Stage::Bench, busy, move |sha256| {
            let _ = draft.try_update(|took| {
                if !took.photos.contains(&sha256) {
                    took.photos.push(sha256)
                }
            });
        });
    };
    view! {
        <div class="choices count" role="group" aria-label="How many">
            <button aria-label="One less" on:click=move |_| draft.update(|took| took.count = took.pieces().saturating_sub(1).max(1))>"−"</button>
            <b class="figure">{move || draft.read().pieces()}</b>
            <button aria-label="One more" on:click=move |_| draft.update(|took| took.count = took.pieces() + 1)>"+"</button>
            {flag("Under tension", |took| &mut took.under_tension)}
        </div>
        <label class="add-photo wide-photo"><input type="file" accept="image/*" capture="environment" aria-label="Photo of this step" on:change=photo/>
            <svg viewBox="0 0 24 24" aria-hidden="true"><path d="M4 7h4l2-3h4l2 3h4v12H4zM12 9.5a3.5 3.5 0 1 0 .01 0"></path></svg>
            <span>{move || match (busy.get(), draft.read().photos.len()) { (0, 0) => "Photo of this step".to_owned(), (0, n) => count(n, "photo", "photos"), _ => "Saving the photo…".to_owned() }}</span></label>
        <div class="photos">{move || draft.read().photos.iter().map(|sha| view! { <Thumb sha=Some(sha.clone())/> }).collect_view()}</div>
        <div class="choices">{cells}</div>
        <Field label="Tray cell" value=words(|took| &took.tray) set=move |words: String| draft.update(|took| took.tray = words)/>
        <Field label="Which way round" value=words(|took| &took.way_round) set=move |words: String| draft.update(|took| took.way_round = words)/>
        <Field label="Own word for it" value=words(|took| &took.words) set=move |words: String| draft.update(|took| took.words = words)/>
        <details><summary>"Fastener, place, more"</summary>
            <Field label="From where" value=words(|took| &took.from) set=move |words: String| draft.update(|took| took.from = words)/>
            <fieldset><legend>"Held by"</legend><div class="choices">{["screw", "nut", "clip", "pin", "rivet"].into_iter().map(|one| {
                let on = move || draft.read().fastener.as_ref().is_some_and(|fastener| fastener.kind == one);
                view! { <button class="choice plain" aria-pressed=move || on().to_string() on:click=move |_| set_fastener(&|fastener| fastener.kind = if fastener.kind == one { String::new() } else { one.to_owned() })>{one}</button> }
            }).collect_view()}</div></fieldset>
            <Field label="Length, mm" value=fastener(|one| one.length_mm.map(|mm| mm.to_string()).unwrap_or_default()) set=length/>
            <Field label="Its hole, as numbered on the card" value=fastener(|one| one.hole.clone()) set=move |words: String| set_fastener(&|fastener| fastener.hole.clone_from(&words))/>
            <Field label="Head" value=fastener(|one| one.head.clone()) set=move |words: String| set_fastener(&|fastener| fastener.head.clone_from(&words))/>
            <Field label="Tool it needed" value=words(|took| &took.tool) set=move |words: String| draft.update(|took| took.tool = words)/>
            <div class="choices">{flag("Left in place", |took| &mut took.left_alone)}{flag("A spare, not of the works", |took| &mut took.spare)}</div>
            <Field label="Note on this part" value=words(|took| &took.note) set=move |words: String| draft.update(|took| took.note = words)/>
        </details>
    }
}

/// The cell after this one: `B3` → `B4`; a tray begins at 1.
fn next_cell(last: &str) -> String {
    let letters = last.trim_end_matches(|c: char| c.is_ascii_digit());
    match last[letters.len()..].parse::<u32>() {
        Ok(number) => format!("{letters}{}", number.saturating_add(1)),
        Err(_) if last.is_empty() => "1".into(),
        Err(_) => String::new(),
    }
}

/// Putting back: the next step large, then all of them, screws, what to try before it is closed, what is left.
#[component]
fn Back(all: Bench) -> impl IntoView {
    let Bench { bench, kind, strip, .. } = all;
    let way = Memo::new(move |_| {
        let kind = kind.read();
        put_back(bench, all.order(), &strip.read(), &kind)
    });
    let next = Memo::new(move |_| {
        let way = way.read();
        way.next.as_ref().and_then(|next| way.steps.iter().find(|step| step.step == *next).cloned())
    });
    let tick = move |step: String, count: u32| all.append(Happened::Ticked { step, count }, || ());
    let big = move |step: BackStep| {
        let (id, one) = (step.step.clone(), step.step.clone());
        let left = step.pieces.saturating_sub(step.back);
        let mut told = Vec::new();
        let mut add = |what: &str, words: String| {
            if !words.is_empty() {
                told.push(format!("{what}{words}"));
            }
        };
        add("From the tray: ", step.tray);
        add("Goes to: ", step.from);
        add("Which way round: ", step.way_round);
        add("", step.how.unwrap_or_default());
        add("Noted: ", step.note);
        view! {
            <section class="step" aria-label="The next step back">
                <p class="place">"Next"</p><h2>{step.name}{(step.pieces > 1).then(|| format!(" × {left}"))}</h2>
                <Cautions cautions=step.cautions/>
                <ul>{told.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
                {(!step.moved_for.is_empty()).then(|| view! { <p class="note">"Not in the order it came off: "{step.moved_for.join("; ")}"."</p> })}
                <div class="photos">{step.photos.into_iter().map(|sha| view! { <Thumb sha=Some(sha)/> }).collect_view()}</div>
                <button class="main wide" disabled=all.busy on:click=move |_| tick(id.clone(), left)>"It is back"</button>
                {(left > 1).then(|| view! { <button class="quiet wide" disabled=all.busy on:click=move |_| tick(one.clone(), 1)>"One of them is back"</button> })}
            </section>
        }
    };
    let screw_rows = move || {
        let all = screws(&strip.read());
        (!all.is_empty()).then(|| view! { <h2>"Screws by their holes"</h2><ul class="plain-list">{all.into_iter().map(|screw| {
            let length = screw.length_mm.map_or("length not noted".to_owned(), |mm| format!("{mm} mm"));
            let hole = if screw.hole.is_empty() { "hole not noted".to_owned() } else { format!("hole {}", screw.hole) };
            let tray = if screw.tray.is_empty() { String::new() } else { format!(" · tray {}", screw.tray) };
            view! { <li class="line"><span><b>{hole}</b>" · "{length}" · "{screw.name}{(screw.pieces > 1).then(|| format!(" × {}", screw.pieces))}{tray}<small>{screw.mind}</small></span>{screw.back.then_some("✓")}</li> }
        }).collect_view()}</ul> })
    };
    let left = move || {
        let strip = strip.read();
        let left = leftovers(&strip);
        match (strip.stands_at(), left.is_empty()) {
            (StandsAt::NotBegun, _) => view! { <p class="empty">"Nothing was taken off yet."</p> }.into_any(),
            (_, true) => view! { <p class="good" role="status">"Nothing is left in the tray."</p> }.into_any(),
            _ => view! { <h2>"Still in the tray"</h2><ul>{left.into_iter().map(|one| view! { <li>{one.words}</li> }).collect_view()}</ul> }.into_any(),
        }
    };
    view! {
        {move || way.read().conflicts.iter().map(|conflict| view! { <p class="trouble" role="alert">{conflict.words.clone()}</p> }).collect_view()}
        {move || next.get().map(big)}
        {move || (!way.read().steps.is_empty()).then(|| view! { <h2>"The way back"</h2> })}
        <ol class="plain-list">{move || way.get().steps.into_iter().map(|step| {
            let (id, left) = (step.step.clone(), step.pieces.saturating_sub(step.back));
            let label = format!("Back: {}", step.name);
            let hazard = step.cautions.iter().map(|caution| caution.when.clone()).collect::<Vec<_>>().join("; ");
            view! { <li class="line"><span>{step.name}{(step.pieces > 1).then(|| format!(": {} of {}", step.back, step.pieces))}<small>{hazard}</small></span>
                {if step.done { view! { <b class="done">"✓"</b> }.into_any() } else { view! { <button aria-label=label disabled=all.busy on:click=move |_| tick(id.clone(), left)>"Back"</button> }.into_any() }}</li> }
        }).collect_view()}</ol>
        {screw_rows}
        <BeforeClosing all lines=Memo::new(move |_| way.read().before_you_close.clone())/>
        {left}
    }
}

/// What a tick before closing is kept as: a note on the whole.
fn tried(line: &str) -> String {
    format!("Before closing: {line}")
}

#[component]
fn BeforeClosing(all: Bench, lines: Memo<Vec<String>>) -> impl IntoView {
    let tick = move |line: String| {
        let words = tried(&line);
        // Said again, it is taken back.
        let there = all.reel.now().and_then(|reel| {
            let round = rounds(&reel.strip).pop()?;
            let same = |event: &&StripEvent| matches!(&event.what, Happened::Note { step: None, words: noted } if *noted == words);
            round.iter().rev().find(same).map(|event| event.id.clone())
        });
        match there {
            Some(event) => all.append(Happened::Undone { event }, || ()),
            None => all.append(Happened::Note { step: None, words }, || ()),
        }
    };
    view! {
        {move || (!lines.read().is_empty() && !all.strip.read().steps.is_empty()).then(|| view! { <h2>"Before you close it"</h2> })}
        <div>{move || match all.strip.read().steps.is_empty() { true => Vec::new(), false => lines.get() }.into_iter().map(|line| {
            let (here, words) = (tried(&line), line.clone());
            view! { <button class="question" class:answered=move || all.strip.read().notes.contains(&here) on:click=move |_| tick(line.clone())>{words}</button> }
        }).collect_view()}</div>
    }
}

/// Notes on the whole, for whoever goes on after days.
#[component]
fn Notes(all: Bench) -> impl IntoView {
    let typed = RwSignal::new(String::new());
    let add = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let words = typed.get_untracked().trim().to_owned();
        if !words.is_empty() {
            all.append(Happened::Note { step: None, words }, move || drop(typed.try_set(String::new())));
        }
    };
    let notes = move || {
        let strip = all.strip.read();
        let own: Vec<String> = strip.notes.iter().filter(|note| !note.starts_with(&tried(""))).cloned().collect();
        own.into_iter().map(|note| view! { <li>{note}</li> }).collect_view()
    };
    view! {
        <form class="adder" on:submit=add><label>"Note on the whole"<input autocomplete="off" prop:value=typed on:input=move |event| typed.set(event_target_value(&event))/></label><button type="submit">"Note it"</button></form>
        <ul>{notes}</ul>
        {move || all.strip.read().problems.iter().map(|problem| view! { <p class="trouble">{problem.clone()}</p> }).collect_view()}
    }
}

/// How other reels of the same model came apart, from recordings that were closed.
#[component]
fn AsTheLast(reel: Of) -> impl IntoView {
    let model = reel.part(keeping::guides::model_of);
    let made = later(move || Box::pin(keeping::guides::of_model(model.get(), reel.id())));
    move || match made.get() {
        Some(Ok(Some(guide))) => view! { <GuideOf guide/> }.into_any(),
        Some(Err(trouble)) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(),
        _ => ().into_any(),
    }
}

#[component]
fn GuideOf(guide: Guide) -> impl IntoView {
    view! {
        <details><summary>"As the last ones of this model came apart"<small>{count(guide.recordings, "recording", "recordings")}</small></summary>
            <ol>{guide.steps.into_iter().map(|step| {
                let told = step.words(guide.recordings);
                view! { <li><b>{step.part}</b><small>{told.join(" · ")}</small><div class="photos">{step.photos.into_iter().take(3).map(|sha| view! { <Thumb sha=Some(sha)/> }).collect_view()}</div></li> }
            }).collect_view()}</ol>
            {guide.differ.into_iter().map(|two| view! { <p class="how">{two.words()}</p> }).collect_view()}
        </details>
    }
}
