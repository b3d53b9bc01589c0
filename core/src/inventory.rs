//! What is here, and what is it worth? One HTML file for the family or an insurer, which opens anywhere and prints.
//!
//! Other people's reels stand apart, each with whom it goes back to: whoever reads this page may not know. Private notes
//! are not in it. As with [`crate::page`], it runs nothing, fetches nothing and escapes every word.

use crate::page::{Page, PagePhoto, begin, photo};
use crate::reference::Reference;
use crate::shop::{Find, House, Price, Reel, Valued};

/// One thing of the list.
#[derive(Debug, Clone, Copy)]
pub struct Entry<'a> {
    pub what: What<'a>,
    /// What it is called, with maker and model where they are known.
    pub name: &'a str,
    pub photo: Option<PagePhoto<'a>>,
    /// Whom it belongs to and how to reach them; none for the keeper's own.
    pub owner: Option<&'a str>,
}

#[derive(Debug, Clone, Copy)]
pub enum What<'a> {
    Find(&'a Find),
    Reel(&'a Reel),
}

impl<'a> What<'a> {
    fn valued(self) -> Option<&'a Valued> {
        let all = match self {
            Self::Find(find) => &find.valued,
            Self::Reel(reel) => &reel.valued,
        };
        // Two devices may have added theirs in either order.
        all.iter().max_by_key(|valued| valued.at_ms)
    }

    fn lies_at(self) -> &'a str {
        match self {
            Self::Find(find) => &find.lies_at,
            Self::Reel(reel) => &reel.lies_at,
        }
    }

    fn tag(self) -> &'a str {
        match self {
            Self::Find(_) => "",
            Self::Reel(reel) => &reel.tag,
        }
    }

    fn grades(self) -> String {
        let Self::Reel(reel) = self else { return String::new() };
        let grade = |what: &str, grade: &Option<crate::shop::Grade>| {
            grade.as_ref().map(|it| format!("{what}: {} ({})", it.grade, it.scale))
        };
        [grade("looks", &reel.looks), grade("works", &reel.works)].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

/// Whether a find is the keeper's own: it was given a place or a value. One that was only looked at is not.
pub fn is_own(find: &Find) -> bool {
    !find.lies_at.is_empty() || !find.valued.is_empty()
}

/// The page, complete. `day`: a time in words; `now_ms`: the day on it.
pub fn page(
    reference: &Reference,
    house: &House,
    entries: &[Entry],
    day: &dyn Fn(i64) -> String,
    now_ms: i64,
) -> String {
    let mut page = begin("What is here, and what it is worth");
    let from = if house.name.is_empty() { String::new() } else { format!("{}. ", house.name) };
    page.element("p", &format!("{from}Written on {}.", day(now_ms)));
    page.element(
        "p",
        "A value is what the keeper thought on the day beside it, from the source named. Prices age: ask again before \
         selling or insuring. A reel that looks worn or dirty may be worth more untouched; let nobody clean it first.",
    );
    let (own, others): (Vec<&Entry>, Vec<&Entry>) = entries.iter().partition(|entry| entry.owner.is_none());
    page.element("h2", "Our own");
    if own.is_empty() {
        page.element("p", "Nothing is on the list. A find gets on it by the place where it is kept, or by a value.");
    }
    rows(&mut page, reference, &own, day);
    for line in totals(&own) {
        page.element("p", &line);
    }
    if !others.is_empty() {
        page.element("h2", "Not ours: to be given back");
        rows(&mut page, reference, &others, day);
    }
    page.raw("</main>\n</body>\n</html>\n");
    page.0
}

fn rows(page: &mut Page, reference: &Reference, entries: &[&Entry], day: &dyn Fn(i64) -> String) {
    for entry in entries {
        page.raw("<section>\n");
        page.element("h3", entry.name);
        if let Some(seen) = &entry.photo {
            photo(page, seen);
        }
        page.raw("<table>\n");
        let mut row = |what: &str, words: &str| {
            if !words.is_empty() {
                page.row(what, words, "");
            }
        };
        row("Belongs to", entry.owner.unwrap_or_default());
        row("Tag", entry.what.tag());
        row("Kept at", entry.what.lies_at());
        row("Condition", &condition(reference, entry.what));
        row("Grades", &entry.what.grades());
        // Other people's reels are theirs to value.
        if entry.owner.is_none() {
            match entry.what.valued() {
                Some(valued) => {
                    row("Worth", &format!("{}, thought on {}", valued.figure(), day(valued.at_ms)));
                    row("Which stands on", &valued.words);
                }
                None => row("Worth", "not known"),
            }
        }
        page.raw("</table>\n</section>\n");
    }
}

fn condition(reference: &Reference, what: What) -> String {
    let What::Reel(reel) = what else { return String::new() };
    reel.condition.iter().map(|one| reference.counter.label(&one.what)).collect::<Vec<_>>().join(", ")
}

/// The sum of each currency, and how many stand without a value.
fn totals(own: &[&Entry]) -> Vec<String> {
    let mut sums: Vec<(&str, i64, i64, usize)> = Vec::new();
    for valued in own.iter().filter_map(|entry| entry.what.valued()) {
        let currency = valued.low.currency.as_str();
        let at = sums.iter().position(|sum| sum.0 == currency).unwrap_or_else(|| {
            sums.push((currency, 0, 0, 0));
            sums.len() - 1
        });
        let low = valued.low.hundredths();
        sums[at].1 += low;
        sums[at].2 += valued.high.as_ref().map_or(low, Price::hundredths);
        sums[at].3 += 1;
    }
    let mut lines: Vec<String> = sums
        .iter()
        .map(|(currency, low, high, count)| {
            let (low, high) = (Price::of_hundredths(*low, currency), Price::of_hundredths(*high, currency));
            let things = if *count == 1 { "1 thing has".to_owned() } else { format!("{count} things have") };
            if low == high {
                format!("{things} a value in {currency}: {low} in all.")
            } else {
                format!("{things} a value in {currency}: {} to {high} in all.", low.amount)
            }
        })
        .collect();
    let without = own.iter().filter(|entry| entry.what.valued().is_none()).count();
    if without > 0 {
        lines.push(format!("{without} without a value."));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::Grade;

    const ID: &str = "000102030405060708090a0b0c0d0e0f";

    fn valued(low: &str, high: &str, currency: &str, at_ms: i64) -> Valued {
        Valued::parse(low, high, currency, "an auction <of> 2026", at_ms).unwrap()
    }

    #[test]
    fn own_and_others_stand_apart_with_their_places_and_dated_values() {
        let mut find = Find::new(ID, 1);
        find.lies_at = "Drawer 3".into();
        find.private_note = "PRIVATE".into();
        // The newer counts, in whichever order two devices added them.
        find.valued = vec![valued("60", "80", "EUR", 9), valued("10", "", "EUR", 2)];
        let mut reel = Reel::new(ID, 1);
        reel.looks = Some(Grade { scale: "a scale".into(), grade: "good".into(), words: String::new() });
        reel.valued = vec![valued("100", "", "EUR", 5)];
        let mut theirs = Reel::new(ID, 1);
        (theirs.tag, theirs.lies_at) = ("AAAA".into(), "Shelf 2".into());
        theirs.worth = Price::parse("999", "EUR").ok();
        let bare = Find::new(ID, 1);
        let photo = PagePhoto { media_type: "image/jpeg", base64: "/9j/2Q==", words: "" };
        let entry = |what, name, owner| Entry { what, name, photo: None, owner };
        let entries = [
            Entry { photo: Some(photo), ..entry(What::Find(&find), "A <b>black</b> reel", None) },
            entry(What::Reel(&reel), "Second", None),
            entry(What::Find(&bare), "Third", None),
            entry(What::Reel(&theirs), "Fourth", Some("Mara Quill, 555 0100")),
        ];
        let html = page(&Reference::default(), &House::new(1), &entries, &|ms| format!("day {ms}"), 20);
        assert!(!html.contains("PRIVATE") && !html.contains("999") && !html.contains("<b>"));
        insta::assert_snapshot!(&html[html.find("<body>").unwrap()..]);
    }

    #[test]
    fn an_empty_list_says_how_things_get_on_it() {
        let html = page(&Reference::default(), &House::new(1), &[], &|ms| ms.to_string(), 20);
        assert!(html.contains("Nothing is on the list.") && !html.contains("Not ours"));
    }

    #[test]
    fn a_find_only_looked_at_is_not_own() {
        let mut find = Find::new(ID, 1);
        assert!(!is_own(&find));
        find.lies_at = "Drawer".into();
        assert!(is_own(&find));
    }
}
