//! How a reel goes back together, on paper: for a bench where no screen lies, or for whoever goes on after days.

use super::{Desk, reel_head, small_list};
use crate::page::Page;
use crate::reference::BenchCaution;
use crate::shop::Reel;
use crate::strip::{Guide, Strip, leftovers, order_followed, put_back, rounds, screws};

/// The way back of one reel, its screws by their holes, and what reels of the same model taught. `None`: nothing to print.
pub fn way_back(desk: &Desk, reel: &Reel, guide: Option<&Guide>, now_ms: i64) -> Option<String> {
    let bench = desk.bench?;
    let strip = rounds(&reel.strip).last().map(|round| Strip::of(round)).unwrap_or_default();
    if strip.steps.is_empty() && guide.is_none() {
        return None;
    }
    let order = order_followed(bench, &reel.kind, &strip);
    let mut page = Page(String::new());
    page.raw("<article class=\"sheet way-back\"><header><div>");
    reel_head(&mut page, desk, reel);
    page.raw("</div><div>");
    page.element("h1", "Putting it back");
    page.element("p", &(desk.day)(now_ms));
    page.raw("</div></header>");
    if !strip.steps.is_empty() {
        let way = put_back(bench, order, &strip, &reel.kind);
        way.conflicts.iter().for_each(|conflict| page.element("p", &conflict.words));
        page.raw("<ol>");
        for step in &way.steps {
            page.raw("<li>");
            cautions(&mut page, &step.cautions);
            let pieces = if step.pieces > 1 { format!(" × {}", step.pieces) } else { String::new() };
            page.element("h4", &format!("{} {}{pieces}", if step.done { "☑" } else { "☐" }, step.name));
            let told = [
                ("From the tray: ", step.tray.as_str()),
                ("Goes to: ", &step.from),
                ("Which way round: ", &step.way_round),
                ("", step.how.as_deref().unwrap_or_default()),
                ("Noted: ", &step.note),
                ("Not in the order it came off: ", &step.moved_for.join("; ")),
            ];
            for (what, words) in told.into_iter().filter(|(_, words)| !words.is_empty()) {
                page.element("p", &format!("{what}{words}"));
            }
            photos(&mut page, desk, &step.photos, &step.name);
            page.raw("</li>");
        }
        page.raw("</ol>");
        screw_table(&mut page, &strip);
        let ticks: Vec<String> = way.before_you_close.iter().map(|line| format!("☐ {line}")).collect();
        small_list(&mut page, "Before you close it", &ticks);
        let left: Vec<String> = leftovers(&strip).into_iter().map(|one| one.words).collect();
        small_list(&mut page, "In the tray when this was printed", &left);
        small_list(&mut page, "Notes", &strip.notes);
    }
    if let Some(guide) = guide {
        of_others(&mut page, desk, guide);
    }
    page.raw("</article>");
    Some(page.0)
}

/// Read before the step, so they stand before it.
fn cautions(page: &mut Page, cautions: &[BenchCaution]) {
    if cautions.is_empty() {
        return;
    }
    page.raw("<div class=\"mind\">");
    for caution in cautions {
        page.element("p", &format!("Mind first. {}: {}", caution.when, caution.text));
    }
    page.raw("</div>");
}

fn photos(page: &mut Page, desk: &Desk, photos: &[String], name: &str) {
    let here: Vec<String> = photos.iter().filter_map(|sha256| (desk.photo)(sha256)).collect();
    if here.is_empty() {
        return;
    }
    page.raw("<div class=\"pairs\">");
    for url in here {
        page.raw("<figure><img alt=\"");
        page.text(name);
        page.raw("\" src=\"");
        page.text(&url);
        page.raw("\"></figure>");
    }
    page.raw("</div>");
}

fn screw_table(page: &mut Page, strip: &Strip) {
    let screws = screws(strip);
    if screws.is_empty() {
        return;
    }
    page.element("h4", "Screws by their holes");
    page.raw("<table><thead><tr><th>Hole</th><th>Length</th><th>Which</th><th>Mind</th></tr></thead>");
    for screw in screws {
        let or = |words: &str| if words.is_empty() { "not noted".to_owned() } else { words.to_owned() };
        let length = screw.length_mm.map_or_else(String::new, |mm| format!("{mm} mm"));
        let which = [screw.name, screw.head, screw.tray].into_iter().filter(|words| !words.is_empty());
        let pieces = if screw.pieces > 1 { format!(" × {}", screw.pieces) } else { String::new() };
        page.raw("<tr>");
        for cell in [
            or(&screw.hole),
            or(&length),
            which.collect::<Vec<_>>().join(", ") + &pieces,
            screw.mind.unwrap_or_default(),
        ] {
            page.element("td", &cell);
        }
        page.raw("</tr>");
    }
    page.raw("</table>");
}

/// What recordings of the same model have in common.
fn of_others(page: &mut Page, desk: &Desk, guide: &Guide) {
    let n = guide.recordings;
    page.element(
        "h4",
        &if n == 1 {
            "As another of this model came apart".to_owned()
        } else {
            format!("As {n} others of this model came apart")
        },
    );
    page.raw("<ol>");
    for step in &guide.steps {
        page.raw("<li>");
        page.text(&step.part);
        let told = step.words(n).join(" · ");
        if !told.is_empty() {
            page.element("p", &told);
        }
        photos(page, desk, &step.photos, &step.part);
        page.raw("</li>");
    }
    page.raw("</ol>");
    let differ: Vec<String> = guide.differ.iter().map(|two| two.words()).collect();
    small_list(page, "Where they differ", &differ);
}
