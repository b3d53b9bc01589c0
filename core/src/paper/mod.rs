//! What the shop prints: tags, receipt, quote, service report, bill, packing list. Each is HTML without a page around it;
//! the app shows it and hands it to the browser's printing, the styles are in its style sheet.
//!
//! Private notes are on none of them.

mod tags;
#[cfg(test)]
mod tests;
mod way_back;

pub use tags::{Layout, stickers, tags};
pub use way_back::way_back;

use crate::Result;
use crate::bench::{Kept, standing};
use crate::page::Page;
use crate::reference::Reference;
use crate::service;
use crate::shop::{Answer, Customer, FindState, House, Job, PaidFor, Price, Reel, Stage, job, money};
use crate::tag::grouped;

/// What every sheet needs to be written.
pub struct Desk<'a> {
    pub house: &'a House,
    pub reference: &'a Reference,
    /// The packs of the bench. Without them a report leaves out what was serviced and tested.
    pub bench: Option<&'a Reference>,
    /// A day from milliseconds since 1970, as the shop writes it.
    pub day: &'a dyn Fn(i64) -> String,
    /// A photo by its SHA-256 as a `data:` address, if it is here.
    pub photo: &'a dyn Fn(&str) -> Option<String>,
}

/// A customer's visit.
#[derive(Clone, Copy)]
pub struct Visit<'a> {
    pub job: &'a Job,
    pub customer: Option<&'a Customer>,
    pub reels: &'a [Reel],
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sheet {
    Receipt,
    Quote,
    Report,
    Bill,
    Packing,
}

impl Sheet {
    pub const ALL: [Self; 5] = [Self::Receipt, Self::Quote, Self::Report, Self::Bill, Self::Packing];

    pub fn word(self) -> &'static str {
        match self {
            Self::Receipt => "receipt",
            Self::Quote => "quote",
            Self::Report => "report",
            Self::Bill => "bill",
            Self::Packing => "packing",
        }
    }

    pub fn title(self) -> &'static str {
        match self {
            Self::Receipt => "Receipt",
            Self::Quote => "Quote",
            Self::Report => "Service report",
            Self::Bill => "Bill",
            Self::Packing => "Packing list",
        }
    }
}

/// A sheet about a visit. `now_ms`: the day on it.
///
/// # Errors
/// The job has prices in two currencies.
pub fn sheet(desk: &Desk, visit: Visit, which: Sheet, now_ms: i64) -> Result<String> {
    let mut page = Page(String::new());
    page.raw("<article class=\"sheet\">");
    head(&mut page, desk, visit, which, now_ms);
    match which {
        Sheet::Receipt => receipt(&mut page, desk, visit)?,
        Sheet::Quote => quote(&mut page, desk, visit)?,
        Sheet::Report => report(&mut page, desk, visit),
        Sheet::Bill => bill(&mut page, desk, visit)?,
        Sheet::Packing => packing(&mut page, desk, visit),
    }
    let words = match which {
        Sheet::Receipt => &desk.house.receipt_words,
        Sheet::Quote => &desk.house.quote_words,
        Sheet::Report | Sheet::Bill => &desk.house.bill_words,
        Sheet::Packing => "",
    };
    page.paragraphs("", words);
    if matches!(which, Sheet::Receipt | Sheet::Quote) {
        page.raw("<p class=\"sign\"><span>For the owner</span><span>For the shop</span></p>");
    }
    page.raw("</article>");
    Ok(page.0)
}

/// What the reel is called: confirmed as, else its own name, else its kind.
pub fn reel_name(reference: &Reference, reel: &Reel) -> String {
    if !reel.name.is_empty() {
        return reel.name.clone();
    }
    if let FindState::Confirmed { model, .. } = &reel.which
        && let Some(known) = reference.model(model)
    {
        return format!("{} {}", reference.maker_name(&known.maker), known.name);
    }
    let kind = reference.feature("reel_kind").and_then(|feature| feature.state(&reel.kind));
    kind.map_or_else(|| "Reel".to_owned(), |state| state.label.clone())
}

fn head(page: &mut Page, desk: &Desk, visit: Visit, which: Sheet, now_ms: i64) {
    page.raw("<header>");
    page.raw("<div>");
    if !desk.house.name.is_empty() {
        page.raw("<strong>");
        page.text(&desk.house.name);
        page.raw("</strong>");
    }
    page.paragraphs("", &desk.house.address);
    page.raw("</div><div>");
    page.element("h1", which.title());
    page.element("p", &(desk.day)(now_ms));
    page.element("p", &format!("Job {}", short(&visit.job.id)));
    page.raw("</div></header>");
    if let Some(customer) = visit.customer {
        page.raw("<div class=\"to\">");
        page.element("p", &customer.name);
        if which != Sheet::Packing {
            page.paragraphs("", &customer.phone);
        }
        page.paragraphs("", &customer.address);
        page.raw("</div>");
    }
}

/// The first letters of an id: enough to tell jobs apart on paper.
pub fn short(id: &str) -> String {
    id.get(..6).unwrap_or(id).to_uppercase()
}

fn receipt(page: &mut Page, desk: &Desk, visit: Visit) -> Result<()> {
    let job = visit.job;
    if !job.words.is_empty() {
        page.element("h2", "In your words");
        page.paragraphs("", &job.words);
    }
    page.element("h2", "Taken in");
    for reel in visit.reels {
        reel_head(page, desk, reel);
        page.raw("<ul>");
        if !reel.complaint.is_empty() {
            page.element("li", &format!("You say: {}", reel.complaint));
        }
        let conditions: Vec<String> =
            reel.condition.iter().map(|one| with_words(desk.reference.counter.label(&one.what), &one.words)).collect();
        page.element(
            "li",
            &if conditions.is_empty() {
                "Nothing noted as wrong with it from outside.".to_owned()
            } else {
                format!("As it came: {}.", conditions.join("; "))
            },
        );
        for missing in &reel.missing {
            let agreed = missing.acknowledged_ms.map(|ms| format!(" You agreed to this on {}.", (desk.day)(ms)));
            page.element("li", &format!("Came without: {}.{}", missing.part, agreed.unwrap_or_default()));
        }
        if !reel.wish.is_empty() {
            let wish = desk.reference.counter.wishes.iter().find(|wish| wish.id == reel.wish);
            page.element("li", &format!("How clean: {}.", wish.map_or(&reel.wish, |wish| &wish.label)));
        }
        if !reel.photos.is_empty() {
            let n = reel.photos.len();
            page.element(
                "li",
                &if n == 1 {
                    "Photographed on arrival: 1 photo is kept.".to_owned()
                } else {
                    format!("Photographed on arrival: {n} photos are kept.")
                },
            );
        }
        page.raw("</ul>");
    }
    page.raw("<table>");
    if !job.promised.is_empty() {
        page.row("Promised for", &job.promised, "");
    }
    if let Some(fee) = &job.opening_fee {
        page.row("To open and look, whatever comes of it", &fee.to_string(), "");
        page.row("Parts", "are extra and asked for first", "");
    }
    if let Some(ceiling) = &job.ceiling {
        page.row("Not above this without asking you", &ceiling.to_string(), "");
    }
    let sums = money::sums(job, desk.house.tax.as_ref())?;
    if sums.paid_hundredths > 0 {
        page.row("Deposit received", &Price::of_hundredths(sums.paid_hundredths, &sums.currency).to_string(), "");
    }
    page.raw("</table>");
    Ok(())
}

/// A short word to the owner: it arrived, how it came, until when.
pub fn word_to_owner(desk: &Desk, visit: Visit) -> String {
    let mut lines = Vec::new();
    let name = visit.customer.map_or("", |customer| customer.name.as_str());
    lines.push(if name.is_empty() { "Good day,".to_owned() } else { format!("Good day {name},") });
    let n = visit.reels.len();
    lines.push(if n == 1 { "your reel has arrived:".to_owned() } else { format!("your {n} reels have arrived:") });
    for reel in visit.reels {
        let tag = if reel.tag.is_empty() { String::new() } else { format!("{}, ", grouped(&reel.tag)) };
        let mut as_it_came: Vec<String> = reel
            .condition
            .iter()
            .map(|one| with_words(desk.reference.counter.label(&one.what), &one.words).to_lowercase())
            .collect();
        as_it_came.extend(reel.missing.iter().map(|part| format!("without its {}", part.part)));
        let came = if as_it_came.is_empty() { String::new() } else { format!(": {}", as_it_came.join("; ")) };
        lines.push(format!("- {tag}{}{came}", reel_name(desk.reference, reel)));
    }
    if !visit.job.promised.is_empty() {
        lines.push(format!("We expect to be done by {}.", visit.job.promised));
    }
    lines.push("We ask before anything is done that costs more than agreed.".into());
    lines.push(desk.house.name.clone());
    lines.join("\n")
}

fn reel_head(page: &mut Page, desk: &Desk, reel: &Reel) {
    page.raw("<h3>");
    if !reel.tag.is_empty() {
        page.raw("<span class=\"code\">");
        page.text(&grouped(&reel.tag));
        page.raw("</span> ");
    }
    page.text(&reel_name(desk.reference, reel));
    page.raw("</h3>");
}

fn with_words(label: &str, words: &str) -> String {
    if words.is_empty() { label.to_owned() } else { format!("{label} ({words})") }
}

fn quote(page: &mut Page, desk: &Desk, visit: Visit) -> Result<()> {
    found(page, desk, visit);
    lines(page, desk, visit, |_| true, true);
    let sums = money::sums(visit.job, desk.house.tax.as_ref())?;
    page.raw("<table class=\"sums\">");
    let all = sums.lines_hundredths + sums.open_hundredths;
    if sums.open_hundredths > 0 {
        page.row("If you take all that is open", &Price::of_hundredths(all, &sums.currency).to_string(), "");
    }
    page.row("Accepted so far", &Price::of_hundredths(sums.lines_hundredths, &sums.currency).to_string(), "");
    tax_row(page, desk, &sums);
    if let Some(ceiling) = &visit.job.ceiling {
        page.row("Not above this without asking you", &ceiling.to_string(), "");
        if ceiling.currency == sums.currency && all > ceiling.hundredths() {
            page.row("Note", "All of it together is above what was agreed. Choose, or agree on more.", "");
        }
    }
    page.raw("</table>");
    Ok(())
}

fn tax_row(page: &mut Page, desk: &Desk, sums: &money::Sums) {
    if let Some(tax) = &desk.house.tax {
        let rate = format!("{}.{:02}", tax.percent_hundredths / 100, tax.percent_hundredths % 100);
        let rate = rate.trim_end_matches('0').trim_end_matches('.');
        let how = if tax.included { "contained" } else { "added" };
        page.row(
            &format!("{} {rate} %, {how}", tax.label),
            &Price::of_hundredths(sums.tax_hundredths, &sums.currency).to_string(),
            "",
        );
    }
}

/// What the bench found, before what it would cost.
fn found(page: &mut Page, desk: &Desk, visit: Visit) {
    for reel in visit.reels.iter().filter(|reel| reel.finding.is_some() || !reel.found.is_empty()) {
        reel_head(page, desk, reel);
        finding(page, reel);
    }
}

fn finding(page: &mut Page, reel: &Reel) {
    if !reel.complaint.is_empty() {
        page.element("p", &format!("You said: {}", reel.complaint));
    }
    if let Some(finding) = reel.finding {
        page.element("p", &format!("{}.", finding.words()));
    }
    page.paragraphs("", &reel.found);
}

/// The lines, with a box to tick where the customer still has to choose.
fn lines(page: &mut Page, desk: &Desk, visit: Visit, wanted: impl Fn(Answer) -> bool, boxes: bool) {
    page.raw("<table class=\"lines\"><thead><tr><th>For</th><th>What</th><th>Price</th>");
    page.raw(if boxes { "<th>Yes</th><th>No</th></tr></thead>" } else { "</tr></thead>" });
    for line in visit.job.lines.iter().filter(|line| wanted(line.answer)) {
        let reel = visit.reels.iter().find(|reel| line.reel.as_deref() == Some(reel.id.as_str()));
        let of = reel.map_or_else(String::new, |reel| match reel.tag.is_empty() {
            true => reel_name(desk.reference, reel),
            false => grouped(&reel.tag),
        });
        page.raw("<tr><td>");
        page.text(&of);
        page.raw("</td><td>");
        page.text(&if line.what.is_empty() {
            line.sort.words().to_owned()
        } else {
            format!("{}: {}", line.sort.words(), line.what)
        });
        page.raw("</td><td class=\"money\">");
        page.text(&line.price.to_string());
        page.raw("</td>");
        if boxes {
            let (yes, no) = match line.answer {
                Answer::Open => ("☐", "☐"),
                Answer::Accepted => ("☑", "☐"),
                Answer::Declined => ("☐", "☑"),
            };
            page.raw(&format!("<td>{yes}</td><td>{no}</td>"));
        }
        page.raw("</tr>");
    }
    page.raw("</table>");
}

fn report(page: &mut Page, desk: &Desk, visit: Visit) {
    for reel in visit.reels {
        page.raw("<section class=\"of-reel\">");
        reel_head(page, desk, reel);
        finding(page, reel);
        let grade = |grade: &Option<crate::shop::Grade>| {
            grade.as_ref().map(|g| with_words(&format!("{} ({})", g.grade, g.scale), &g.words))
        };
        let grades: Vec<String> = [("Looks", grade(&reel.looks)), ("Works", grade(&reel.works))]
            .into_iter()
            .filter_map(|(what, grade)| grade.map(|grade| format!("{what}: {grade}")))
            .collect();
        if !grades.is_empty() {
            page.element("p", &grades.join(". "));
        }
        let dated = |done: &crate::shop::Done| format!("{}: {}", (desk.day)(done.at_ms), done.what);
        small_list(page, "What was done", &reel.work.iter().map(dated).collect::<Vec<_>>());
        if let Some(bench) = desk.bench {
            serviced(page, bench, reel);
        }
        reckoned(page, reel);
        small_list(
            page,
            "Parts that are not the maker’s own",
            &reel.not_original.iter().map(dated).collect::<Vec<_>>(),
        );
        let old: Vec<String> = reel
            .old_parts
            .iter()
            .map(
                |part| {
                    if part.goes_back { format!("{}, returned with the reel", part.part) } else { part.part.clone() }
                },
            )
            .collect();
        small_list(page, "Parts taken out", &old);
        if !reel.watch.is_empty() {
            page.element("p", &format!("To look at again: {}", reel.watch));
        }
        if !reel.due.is_empty() {
            page.element("p", &format!("Next service: {}", reel.due));
        }
        before_after(page, desk, reel);
        page.raw("</section>");
    }
}

/// Results of sums that were kept with the reel.
fn reckoned(page: &mut Page, reel: &Reel) {
    let line = |kept: &&Kept| format!("{}. {}", kept.title, kept.lines.join(". "));
    small_list(page, "Worked out", &standing(&reel.sums).iter().map(line).collect::<Vec<_>>());
}

/// What of the service list was done and not done, and the tests with their figures before and after.
fn serviced(page: &mut Page, bench: &Reference, reel: &Reel) {
    let plan = service::plan(bench, &reel.kind, &reel.service).filter(|_| !reel.kind.is_empty());
    let plan = plan.unwrap_or_default();
    let report = service::report(bench, &plan, &reel.tests);
    let lines = |lines: &[service::ReportLine], so: &str| -> Vec<String> {
        let line = |line: &service::ReportLine| {
            let product = if line.product.is_empty() { String::new() } else { format!(" ({})", line.product) };
            let reason = if line.reason.is_empty() { String::new() } else { format!(". {so}{}", line.reason) };
            format!("{}{product}{reason}", line.words)
        };
        lines.iter().map(line).collect()
    };
    small_list(page, "Serviced", &lines(&report.done, ""));
    small_list(page, "Not done, and why", &lines(&report.not_done, "Why: "));
    if report.tests.is_empty() {
        return;
    }
    page.element("h4", "Tested");
    page.raw(
        "<table class=\"tests\"><thead><tr><th>Test</th><th>Before → after</th><th>What it says</th></tr></thead>",
    );
    for test in &report.tests {
        page.raw("<tr><td>");
        page.text(&test.label);
        page.raw("</td><td>");
        let side = |figures: &[f64], words: &str| match (figures.is_empty(), words.is_empty()) {
            (true, true) => "not read".to_owned(),
            (true, false) => words.to_owned(),
            _ => figures.iter().map(|figure| service::figure(*figure)).collect::<Vec<_>>().join(", "),
        };
        let (before, after) = (side(&test.before, &test.before_words), side(&test.after, &test.after_words));
        page.text(&format!("{before} → {after}"));
        if !(test.before.is_empty() && test.after.is_empty()) {
            page.text(&format!(" {}", test.unit));
        }
        page.raw(&test.plot);
        page.raw("</td><td>");
        let said = test.change.as_ref().map(|change| change.verdict.words().to_owned());
        let mut told: Vec<String> = said.into_iter().collect();
        told.extend(
            test.limits
                .iter()
                .map(|limit| format!("{}: {} (source: {})", limit.applies, limit.value, limit.sources.join("; "))),
        );
        told.extend(test.with.iter().cloned());
        page.text(&told.join(". "));
        page.raw("</td></tr>");
    }
    page.raw("</table>");
}

fn small_list(page: &mut Page, heading: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    page.element("h4", heading);
    page.raw("<ul>");
    for line in lines {
        page.element("li", line);
    }
    page.raw("</ul>");
}

/// Photos of arrival and of after, side by side in their order; those of the bench below.
fn before_after(page: &mut Page, desk: &Desk, reel: &Reel) {
    let of = |stage: Stage| {
        reel.photos
            .iter()
            .filter(move |photo| photo.stage == stage)
            .filter_map(|photo| Some(((desk.photo)(&photo.sha256)?, &photo.words)))
    };
    let (before, bench, after): (Vec<_>, Vec<_>, Vec<_>) =
        (of(Stage::Arrival).collect(), of(Stage::Bench).collect(), of(Stage::After).collect());
    if before.is_empty() && bench.is_empty() && after.is_empty() {
        return;
    }
    let figure = |page: &mut Page, photo: Option<&(String, &String)>, caption: &str| {
        page.raw("<figure>");
        if let Some((url, words)) = photo {
            page.raw("<img alt=\"");
            page.text(if words.is_empty() { caption } else { words });
            page.raw("\" src=\"");
            page.text(url);
            page.raw("\"><figcaption>");
            page.text(&if words.is_empty() { caption.to_owned() } else { format!("{caption}: {words}") });
            page.raw("</figcaption>");
        }
        page.raw("</figure>");
    };
    page.raw("<div class=\"pairs\">");
    for at in 0..before.len().max(after.len()) {
        figure(page, before.get(at), "Before");
        figure(page, after.get(at), "After");
    }
    for photo in &bench {
        figure(page, Some(photo), "At the bench");
    }
    page.raw("</div>");
}

fn bill(page: &mut Page, desk: &Desk, visit: Visit) -> Result<()> {
    lines(page, desk, visit, |answer| answer == Answer::Accepted, false);
    let sums = money::sums(visit.job, desk.house.tax.as_ref())?;
    let price = |hundredths: i64| Price::of_hundredths(hundredths, &sums.currency).to_string();
    page.raw("<table class=\"sums\">");
    tax_row(page, desk, &sums);
    page.row("Total", &price(sums.total_hundredths), "");
    for paid in &visit.job.paid {
        let what = match paid.what {
            PaidFor::Deposit => "Deposit",
            PaidFor::Payment => "Paid",
            PaidFor::Refund => "Given back",
        };
        page.row(&with_words(&format!("{what}, {}", (desk.day)(paid.at_ms)), &paid.how), &paid.price.to_string(), "");
    }
    let (what, due) =
        if sums.due_hundredths < 0 { ("To give back", -sums.due_hundredths) } else { ("To pay", sums.due_hundredths) };
    page.row(what, &price(due), "");
    page.raw("</table>");
    Ok(())
}

fn packing(page: &mut Page, desk: &Desk, visit: Visit) {
    page.raw("<ul class=\"ticks\">");
    let ticked = |what: &str| if visit.job.packed.iter().any(|one| one.what == what) { "☑" } else { "☐" };
    for reel in visit.reels {
        let tag = if reel.tag.is_empty() { String::new() } else { format!("{} ", grouped(&reel.tag)) };
        page.element("li", &format!("{} {tag}{}", ticked(&reel.id), reel_name(desk.reference, reel)));
        for part in reel.old_parts.iter().filter(|part| part.goes_back) {
            page.element("li", &format!("{} {tag}old part: {}", ticked(&job::old_part(reel, &part.part)), part.part));
        }
    }
    page.raw("</ul>");
    page.element("p", "Drag backed off, handle folded or off. Padding all round, no weight on the foot; old parts in a bag with the tag’s code on it.");
}
