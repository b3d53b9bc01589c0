//! What is wrong with it: the owner's words, what was looked for and tried, the likely causes, and what to do.

use leptos::prelude::*;
use tailplate_core::faults::{
    FaultKey, Finding, Judged, Look, NextLook, Observed, RankedCause, Reason, Remedy, Seen, judge,
};
use tailplate_core::reference::{CauseType, Reference, Symptom};
use tailplate_core::shop::{self, Reel};

use crate::route::Route;
use crate::widgets::bench::{BenchHead, Cautions, KindPick, NeedOne, WithPacks, keep_awake};
use crate::widgets::candidates::Share;
use crate::widgets::live::{Live, Opened, live};
use crate::words::{likelihood, percent};

/// What is looked at: a reel of the shop, in whose record everything is kept, or one that is only asked about.
#[derive(Clone, Copy)]
struct Case {
    reel: Option<Live<Reel>>,
    loose: RwSignal<Observed>,
    observed: Memo<Observed>,
}

impl Case {
    fn of(reel: Option<Live<Reel>>) -> Self {
        let loose = RwSignal::new(Observed::default());
        let observed = Memo::new(move |_| match reel {
            Some(reel) => reel.record.read().as_ref().map(Reel::observed).unwrap_or_default(),
            None => loose.get(),
        });
        Self { reel, loose, observed }
    }

    fn change(self, change: impl FnOnce(&mut Observed) + 'static) {
        match self.reel {
            None => self.loose.update(change),
            Some(reel) => reel.change(move |reel| {
                let mut observed = reel.observed();
                change(&mut observed);
                reel.kind = observed.kind;
                reel.complaint = observed.said;
                reel.symptoms = observed.symptoms;
                reel.checks = observed.checks;
            }),
        }
    }

    /// Notes a symptom, or forgets it where it is said again.
    fn symptom(self, id: &str, seen: Seen) {
        let id = id.to_owned();
        self.change(move |observed| {
            if observed.symptoms.get(&id) == Some(&seen) {
                observed.symptoms.remove(&id);
            } else {
                observed.symptoms.insert(id, seen);
            }
        });
    }

    fn check(self, id: &str, result: &str) {
        let (id, result) = (id.to_owned(), result.to_owned());
        self.change(move |observed| {
            if observed.checks.get(&id) == Some(&result) {
                observed.checks.remove(&id);
            } else {
                observed.checks.insert(id, result);
            }
        });
    }
}

#[component]
pub fn FaultScreen(id: String) -> impl IntoView {
    keep_awake();
    if id == "-" {
        let case = Case::of(None);
        return view! { <section class="paper bench"><h1>"Faults"</h1><WithPacks show=move |bench| view! { <Complaint bench case/> }.into_any()/></section> }
            .into_any();
    }
    let reel = live::<Reel>(id);
    let case = Case::of(Some(reel));
    view! {
        <div class="bench"><Opened live=reel title="Faults">
            <BenchHead reel title="Faults"/>
            <WithPacks show=move |bench| view! { <Complaint bench case/> }.into_any()/>
            <div class="actions"><a class="button quiet" href=Route::Reel(reel.id()).href()>"The reel"</a><a class="button main" href=Route::Strip(reel.id()).href()>"Strip it"</a></div>
        </Opened></div>
    }
    .into_any()
}

#[component]
fn Complaint(bench: &'static Reference, case: Case) -> impl IntoView {
    let kind = Memo::new(move |_| case.observed.read().kind.clone());
    let said = Memo::new(move |_| case.observed.read().said.clone());
    // What is being typed is heard at once, and kept when the field is left.
    let typed = RwSignal::new(None::<String>);
    let observed = Memo::new(move |_| {
        let mut observed = case.observed.get();
        if let Some(words) = typed.get() {
            observed.said = words;
        }
        observed
    });
    let keep = move |event| {
        let words = event_target_value(&event);
        case.change(move |observed| observed.said = words);
    };
    view! {
        <KindPick kind begins_open=kind.read_untracked().is_empty() set=move |kind: String| case.change(move |observed| observed.kind = kind)/>
        <label>"What the owner says"<textarea rows="2" prop:value=said on:input=move |event| typed.set(Some(event_target_value(&event))) on:change=keep></textarea></label>
        {move || { let kind = kind.get(); match kind.is_empty() {
            true => view! { <p class="how">"Say first which kind of reel it is."</p> }.into_any(),
            false => view! { <OfKind bench case kind observed/> }.into_any(),
        } }}
    }
}

#[component]
fn OfKind(bench: &'static Reference, case: Case, kind: String, observed: Memo<Observed>) -> impl IntoView {
    let key = StoredValue::new(FaultKey::build(bench, &kind));
    let judged = Memo::new(move |_| key.with_value(|key| judge(key, &observed.read())));
    let heard = Memo::new(move |_| {
        let judged = judged.read();
        judged.heard.iter().map(|one| (one.symptom.clone(), one.finds.clone(), one.how.clone())).collect::<Vec<_>>()
    });
    let next = Memo::new(move |_| {
        let heard = heard.read();
        let known = |look: &&NextLook| match &look.about {
            Look::Symptom(id) => !heard.iter().any(|(symptom, ..)| symptom == id),
            Look::Check(_) => true,
        };
        judged.read().next.iter().filter(known).cloned().collect::<Vec<_>>()
    });
    view! {
        {move || (!heard.read().is_empty()).then(|| view! { <h2>"Is it one of these?"</h2> })}
        <ul class="plain-list"><For each=move || heard.get() key=|(id, ..)| id.clone() children=move |(id, finds, how)| view! { <Symptoms case id finds how/> }/></ul>
        <AllSymptoms bench case kind=kind.clone()/>
        <Known bench case/>
        {move || (!next.read().is_empty()).then(|| view! { <h2>"Try next"</h2><p class="how">"In any order; none is a must."</p> })}
        <div class="checks"><For each=move || next.get() key=|look| (look.ask.clone(), look.why.clone()) children=move |look| view! { <Try case look/> }/></div>
        <AllChecks bench case kind/>
        <Verdict bench case judged/>
    }
}

/// One symptom: there, not there, or not looked for.
#[component]
fn Symptoms(case: Case, id: String, finds: String, how: String) -> impl IntoView {
    let state = {
        let id = id.clone();
        Memo::new(move |_| case.observed.read().symptoms.get(&id).copied())
    };
    let button = |words: &'static str, seen: Seen| {
        let id = id.clone();
        view! { <button aria-label=format!("{words}: {finds}") aria-pressed=move || (state.get() == Some(seen)).to_string() on:click=move |_| case.symptom(&id, seen)>{words}</button> }
    };
    view! {
        <li class="line"><span>{finds.clone()}<small>{how}</small></span><span class="yes-no">{button("Yes", Seen::Present)}{button("No", Seen::Absent)}</span></li>
    }
}

/// Every symptom of the kind, found by any word.
#[component]
fn AllSymptoms(bench: &'static Reference, case: Case, kind: String) -> impl IntoView {
    let all: Vec<&'static Symptom> =
        bench.faults.symptoms.iter().filter(|one| tailplate_core::reference::applies(&one.kinds, &kind)).collect();
    let typed = RwSignal::new(String::new());
    let open = RwSignal::new(false);
    let fits = move || {
        let words = typed.read().to_lowercase();
        let holds = |one: &&&'static Symptom| {
            let text = format!("{} {}", one.finds, one.say.join(" ")).to_lowercase();
            words.split_whitespace().all(|word| text.contains(word))
        };
        all.iter().filter(holds).copied().collect::<Vec<_>>()
    };
    view! {
        <details on:toggle=move |event| open.set(event_target::<web_sys::Element>(&event).has_attribute("open"))>
            <summary>"All symptoms"</summary>
            <label>"Search the symptoms"<input autocomplete="off" on:input=move |event| typed.set(event_target_value(&event))/></label>
            {move || open.get().then(|| view! { <ul class="plain-list">{fits().into_iter().map(|one| view! { <Symptoms case id=one.id.clone() finds=one.finds.clone() how=one.how.clone()/> }).collect_view()}</ul> })}
        </details>
    }
}

/// What was noted so far, to be taken back.
#[component]
fn Known(bench: &'static Reference, case: Case) -> impl IntoView {
    move || {
        let observed = case.observed.get();
        (!observed.symptoms.is_empty() || !observed.checks.is_empty()).then(|| {
            let symptoms = observed.symptoms.into_iter().map(|(id, seen)| {
                let finds = bench.faults.symptom(&id).map_or(id.clone(), |one| one.finds.clone());
                let words = if seen == Seen::Present { finds } else { format!("Not so: {finds}") };
                let back = format!("Take back: {words}");
                view! { <li class="line"><span>{words}</span><button aria-label=back on:click=move |_| case.symptom(&id, seen)>"×"</button></li> }
            }).collect_view();
            let checks = observed.checks.into_iter().map(|(id, result)| {
                let check = bench.faults.check(&id);
                let label = check.map_or(id.clone(), |check| check.label.clone());
                let told = check.and_then(|check| check.result(&result)).unwrap_or(&result).to_owned();
                let back = format!("Take back: {label}");
                view! { <li class="line"><span>{label}": "<b>{told}</b></span><button aria-label=back on:click=move |_| case.check(&id, &result)>"×"</button></li> }
            }).collect_view();
            view! { <h2>"Noted"</h2><ul class="plain-list">{symptoms}{checks}</ul> }
        })
    }
}

/// One thing to look at or try.
#[component]
fn Try(case: Case, look: NextLook) -> impl IntoView {
    let (about, ask) = (StoredValue::new(look.about), look.ask.clone());
    let buttons = look.answers.into_iter().map(|(id, label)| {
        let aria = format!("{}: {label}", look.ask);
        let answer = move |_| {
            about.with_value(|about| match about {
                Look::Check(check) => case.check(check, &id),
                Look::Symptom(symptom) => {
                    case.symptom(symptom, if id == "present" { Seen::Present } else { Seen::Absent })
                }
            })
        };
        view! { <button class="choice plain" aria-label=aria on:click=answer>{label}</button> }
    });
    view! {
        <div class="check">
            <header><h3>{ask}</h3><small class="effort">{format!("{:?}", look.effort).to_lowercase()}</small></header>
            <Cautions cautions=look.cautions/>
            <p class="how">{look.how}</p>
            <div class="choices">{buttons.collect_view()}</div>
            <p class="why">{look.why}</p>
        </div>
    }
}

/// Every check of the kind, whether it would tell much now or not.
#[component]
fn AllChecks(bench: &'static Reference, case: Case, kind: String) -> impl IntoView {
    let open = RwSignal::new(false);
    let all = move || {
        let of_kind = bench.faults.checks_of(&kind);
        of_kind
            .map(|check| {
                let task = tailplate_core::reference::Task {
                    kind: &kind,
                    words: &format!("{} {}", check.label, check.how),
                    named: &check.cautions,
                    opens: matches!(
                        check.effort,
                        tailplate_core::reference::EffortId::Open | tailplate_core::reference::EffortId::Strip
                    ),
                    ..Default::default()
                };
                let look = NextLook {
                    about: Look::Check(check.id.clone()),
                    ask: check.label.clone(),
                    how: check.how.clone(),
                    effort: check.effort,
                    gain_bits: 0.0,
                    gain_per_effort: 0.0,
                    why: String::new(),
                    answers: check.results.clone(),
                    cautions: bench.work.cautions_due(&task).into_iter().cloned().collect(),
                };
                view! { <Try case look/> }
            })
            .collect_view()
    };
    view! {
        <details class="checks" on:toggle=move |event| open.set(event_target::<web_sys::Element>(&event).has_attribute("open"))>
            <summary>"All checks"</summary>{move || open.get().then(&all)}
        </details>
    }
}

#[component]
fn Verdict(bench: &'static Reference, case: Case, judged: Memo<Judged>) -> impl IntoView {
    let label = move |cause: &str| bench.faults.cause(cause).map_or_else(|| cause.to_owned(), |one| one.label.clone());
    let words = move || {
        let judged = judged.read();
        match &judged.finding {
            Finding::Found(cause) => format!("Found: {}. A check bears it out.", label(cause)),
            Finding::Likely(cause) => format!("Likely: {}. No check has borne it out yet.", label(cause)),
            Finding::SomethingElse => "Nothing in these packs fits what was seen. It is likely something else.".into(),
            Finding::Undecided if judged.causes.is_empty() => "Tell what it does, or what was seen.".into(),
            Finding::Undecided => "Not settled: several causes are left. A check will part them.".into(),
        }
    };
    let else_p = Memo::new(move |_| judged.read().something_else);
    let causes = Memo::new(move |_| judged.read().causes.iter().map(|one| one.cause.clone()).collect::<Vec<_>>());
    view! {
        <h2>"What it may be"</h2>
        <p class="verdict" role="status">{words}</p>
        <ol class="candidates">
            <For each=move || causes.get() key=|cause| cause.clone() children=move |cause| {
                let mine = Memo::new(move |_| judged.read().causes.iter().find(|one| one.cause == cause).cloned());
                view! { <li><OneCause case mine/></li> }
            }/>
            {move || (!causes.read().is_empty()).then(|| view! { <li class="unknown"><div class="row"><span class="name">"Something else"<small>"not in these packs"</small></span><Share p=else_p.get()/></div></li> })}
        </ol>
        {move || judged.read().second.clone().map(|second| view! {
            <div class="note"><b>"Perhaps a second fault. "</b>"The first cause leaves unexplained: "{second.unexplained.join("; ")}". "
                {match second.cause {
                    Some(cause) => view! { "That would be explained by: "<b>{cause.label.clone()}</b>" ("{percent(cause.p)}")." <details><summary>"About it: "{cause.label.clone()}</summary><RemedyOf case remedy=cause.remedy/></details> }.into_any(),
                    None => view! { "Nothing in these packs stands out for that." }.into_any(),
                }}</div>
        })}
        {move || judged.read().problems.iter().map(|problem| view! { <p class="trouble">{problem.clone()}</p> }).collect_view()}
        {move || (!causes.read().is_empty()).then(|| view! { <p class="how">"The chances come of judgements, not of counts: they put causes in order and are no more exact than that. Where two may be at work at once, they come to more than 100 %."</p> })}
    }
}

#[component]
fn OneCause(case: Case, mine: Memo<Option<RankedCause>>) -> impl IntoView {
    let Some(first) = mine.get_untracked() else { return ().into_any() };
    let (label, sort) = (first.label.clone(), first.sort);
    let keep = case.reel.map(|reel| {
        let (words, here) = (format!("{label}."), format!("{label}."));
        let kept = Memo::new(move |_| reel.record.read().as_ref().is_some_and(|reel| reel.finding.is_some() && reel.found.contains(&here)));
        view! { <button class="main wide" aria-label=format!("Keep as the finding: {label}") disabled=kept on:click=move |_| keep_finding(reel, sort, words.clone())>
            {move || if kept.get() { "Kept as the finding" } else { "Keep as the finding" }}</button> }
    });
    view! {
        <details>
            <summary class="row"><span class="name">{label}<small>{sort.words()}{move || mine.get().map(|one| format!(" · {}", likelihood(one.p)))}</small></span>{move || mine.get().map(|one| view! { <Share p=one.p/> })}</summary>
            {move || mine.get().map(|one| view! { <Reasons title="Speaks for it" reasons=one.speaks_for class="for"/><Reasons title="Speaks against it" reasons=one.speaks_against class="against"/> })}
            <RemedyOf case remedy=first.remedy/>
            {keep}
        </details>
    }
    .into_any()
}

fn keep_finding(reel: Live<Reel>, sort: CauseType, words: String) {
    reel.change(move |reel| {
        // Nothing wrong is a finding of its own.
        reel.finding = Some(match sort {
            CauseType::AsMade => shop::Finding::WorksAsMade,
            CauseType::NoFault => shop::Finding::NoFaultFound,
            _ => shop::Finding::FaultFound,
        });
        if !reel.found.contains(&words) {
            if !reel.found.is_empty() {
                reel.found.push('\n');
            }
            reel.found.push_str(&words);
        }
    });
}

#[component]
fn Reasons(title: &'static str, reasons: Vec<Reason>, class: &'static str) -> impl IntoView {
    (!reasons.is_empty()).then(|| view! {
        <h3>{title}</h3>
        <ul class=format!("reasons {class}")>{reasons.into_iter().map(|reason| view! { <li>{reason.words}</li> }).collect_view()}</ul>
    })
}

/// What to do, never without its cautions, which come first.
#[component]
fn RemedyOf(case: Case, remedy: Remedy) -> impl IntoView {
    let list = |items: Vec<String>| view! { <ul>{items.into_iter().map(|item| view! { <li>{item}</li> }).collect_view()}</ul> };
    let products = remedy.consumables.into_iter().map(|one| match one.not_on.is_empty() {
        true => format!("{}: {}", one.label, one.for_what),
        false => format!("{}: {}. Not on: {}", one.label, one.for_what, one.not_on),
    });
    let products: Vec<String> = products.collect();
    // A part is wanted for a reel only.
    let parts = remedy.parts.into_iter().map(move |(role, words)| {
        let need = case.reel.map(|reel| view! { <NeedOne reel part=role name=words.clone()/> });
        view! { <li class="line"><span>{words}</span>{need}</li> }
    });
    let parts: Vec<_> = parts.collect();
    view! {
        <p>{remedy.explain}</p>
        {remedy.nothing_to_mend.then(|| view! { <p><b>"Nothing is broken: explain it and mend nothing."</b></p> })}
        <Cautions cautions=remedy.cautions/>
        <h3>"What to do"</h3><ol>{remedy.steps.into_iter().map(|step| view! { <li>{step}</li> }).collect_view()}</ol>
        {(!parts.is_empty()).then(|| view! { <h3>"Parts it may take"</h3><ul class="plain-list">{parts}</ul> })}
        {(!products.is_empty()).then(|| view! { <h3>"Products"</h3>{list(products)} })}
        {remedy.disagreements.into_iter().map(|dispute| view! { <div class="note"><b>"Sources disagree: "</b>{dispute.about}
            {list(dispute.views.into_iter().map(|view| view.says).collect())}<small>"Here: "{dispute.here}</small></div> }).collect_view()}
    }
}
