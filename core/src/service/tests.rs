use super::*;
use crate::reference::{Aim, ChangeBy, ChangeRule, FunctionTest, Reference};

const WORK: &str = r#"{"format": "tailplate-work/1", "id": "w", "title": "W", "sources": {"book": {"title": "A book"}},
 "cautions": [{"id": "c-solvent", "when": "Baths", "text": "No flame."}],
 "consumables": [{"id": "spirit", "label": "Spirit", "use": "Grease", "not_on": "Not on rubber", "cautions": ["c-solvent"]}],
 "quantities": [{"id": "drop", "words": "a drop", "mm3": [20, 70], "note": "No unit"}],
 "services": [{"id": "sv-fly", "kinds": ["fly"], "label": "Fly reel", "interval": "Each year", "items": [
  {"n": 1, "phase": "clean", "place": "Outside", "do": "Wipe", "product": "spirit", "not_here": "transfers"},
  {"n": 2, "phase": "lubricate", "roles": ["check-pawl"], "do": "Oil the stud", "product": "spirit", "quantity": "drop", "times": 2},
  {"n": 3, "phase": "finish", "place": "Whole reel", "do": "Close"}]}],
 "function_tests": [{"id": "t-flick", "label": "Flick", "how": "Flick it", "unit": "turns", "better": "more", "aim": "more",
   "counts_as_a_change": "Middle off by more than the spread", "change": {"by": "spread", "at_least": 2},
   "limits": [{"value": "12", "applies": "one reel", "src": ["book"]}, {"value": "99", "applies": "any reel", "src": []},
    {"value": "98", "applies": "any reel", "src": ["nobody"]}]}]}"#;

fn packs() -> Reference {
    Reference::load([("w.json", WORK)]).unwrap()
}

fn mark(item: &str, done: bool, reason: &str) -> Marked {
    Marked { item: item.into(), done, reason: reason.into(), at_ms: 1, taken_back: false }
}

fn read(when: ReadWhen, figures: &[f64]) -> Reading {
    Reading {
        test: "t-flick".into(),
        when,
        figures: figures.into(),
        words: String::new(),
        with: "line off".into(),
        at_ms: 1,
    }
}

fn verdict(by: ChangeBy, at_least: f64, aim: Aim, before: &[f64], after: &[f64]) -> Verdict {
    let test = FunctionTest { change: ChangeRule { by, at_least }, aim, ..FunctionTest::default() };
    change(&test, &read(ReadWhen::Before, before), &read(ReadWhen::After, after)).verdict
}

#[test]
fn a_plan_tells_where_what_how_much_and_where_not_with_its_caution() {
    let plan = plan(&packs(), "fly", &[mark("sv-fly/1", true, ""), mark("sv-fly/2", false, "owner has none")]).unwrap();
    let oil = &plan.items[1];
    assert_eq!(oil.place, "check pawl");
    let amount = oil.amount.as_ref().unwrap();
    assert_eq!((amount.words.as_str(), amount.mm3), ("2 times a drop", [40.0, 140.0]));
    assert_eq!(oil.product_not_on.as_deref(), Some("Not on rubber"));
    assert_eq!(oil.cautions[0].id, "c-solvent", "the row names none, the product brings it");
    assert_eq!(plan.open, 1);
    assert!(super::plan(&packs(), "spinning", &[]).is_none());
}

#[test]
fn the_newest_mark_of_an_item_counts() {
    let plan = plan(&packs(), "fly", &[mark("sv-fly/1", false, "later"), mark("sv-fly/1", true, "")]).unwrap();
    assert!(plan.items[0].marked.as_ref().unwrap().done);
    let back = Marked { taken_back: true, ..mark("sv-fly/1", true, "") };
    let plan = super::plan(&packs(), "fly", &[mark("sv-fly/1", true, ""), back]).unwrap();
    assert!(plan.items[0].marked.is_none() && plan.open == 3, "a slip of the finger is taken back");
}

#[test]
fn a_reading_that_says_nothing_takes_the_one_before_it_back() {
    let slip = read(ReadWhen::Before, &[120.0]);
    let back = Reading { at_ms: 2, ..read(ReadWhen::Before, &[]) };
    assert!(newest(std::slice::from_ref(&slip), "t-flick", ReadWhen::Before).is_some());
    assert_eq!(newest(&[slip.clone(), back.clone()], "t-flick", ReadWhen::Before), None);
    let packs = packs();
    let plan = plan(&packs, "fly", &[]).unwrap();
    assert!(report(&packs, &plan, &[slip, back]).tests.is_empty());
}

#[test]
fn each_rule_says_what_counts_as_a_change() {
    use Verdict::{Better, CannotTell, Changed, NoChange, Worse};
    for (by, at_least, aim, before, after, expected) in [
        (ChangeBy::Spread, 2.0, Aim::More, &[10.0, 11.0, 12.0][..], &[14.0, 15.0, 16.0][..], Better),
        (ChangeBy::Spread, 2.0, Aim::More, &[10.0, 11.0, 12.0], &[12.0, 13.0, 14.0], NoChange),
        (ChangeBy::Spread, 2.0, Aim::More, &[10.0], &[11.0], NoChange),
        (ChangeBy::Spread, 0.0, Aim::Less, &[1.0], &[2.0], Worse),
        (ChangeBy::Amount, 0.1, Aim::None, &[2.0], &[2.1], Changed),
        (ChangeBy::Amount, 0.1, Aim::None, &[2.0], &[2.05], NoChange),
        (ChangeBy::Mean, 2.0, Aim::More, &[12.0, 14.0], &[15.0, 15.0], NoChange),
        (ChangeBy::Mean, 2.0, Aim::More, &[12.0, 14.0], &[15.0, 16.0], Better),
        (ChangeBy::Share, 0.1, Aim::None, &[20.0], &[21.0], NoChange),
        (ChangeBy::Share, 0.1, Aim::None, &[20.0], &[23.0], Changed),
        (ChangeBy::Any, 0.0, Aim::More, &[4.0], &[5.0], Better),
        (ChangeBy::Any, 0.0, Aim::More, &[5.0], &[5.0], NoChange),
        (ChangeBy::Words, 0.0, Aim::None, &[5.0], &[9.0], CannotTell),
        (ChangeBy::Any, 0.0, Aim::More, &[], &[5.0], CannotTell),
    ] {
        assert_eq!(verdict(by, at_least, aim, before, after), expected, "{by:?} {before:?} {after:?}");
    }
}

#[test]
fn a_limit_without_a_source_that_resolves_is_never_shown() {
    let packs = packs();
    let shown = limits(&packs, packs.work.test("t-flick").unwrap());
    assert_eq!(shown.len(), 1);
    assert_eq!((shown[0].value.as_str(), shown[0].sources[0].as_str()), ("12", "A book"));
}

#[test]
fn the_report_holds_what_was_done_what_not_and_why_and_the_figures() {
    let packs = packs();
    let plan = plan(&packs, "fly", &[mark("sv-fly/1", true, ""), mark("sv-fly/2", false, "wooden")]).unwrap();
    let mut unknown = read(ReadWhen::After, &[1.0]);
    unknown.test = "t-nothing".into();
    let readings = [read(ReadWhen::Before, &[10.0, 11.0]), read(ReadWhen::After, &[20.0, 22.0]), unknown];
    let report = report(&packs, &plan, &readings);
    assert_eq!((report.done.len(), report.not_done.len(), report.open.len()), (1, 1, 1));
    assert_eq!(report.not_done[0].reason, "wooden");
    assert_eq!(report.problems, ["The packs have no test “t-nothing”."]);
    insta::assert_snapshot!(report.tests[0].change.as_ref().unwrap().words, @"Flick: before 10.5 turns, after 21 turns: better. Counts as a change (our own rule): middle off by more than the spread.");
    assert!(report.tests[0].plot.contains("<title>Flick, turns: before 10, 11; after 20, 22</title>"));
}

#[test]
fn figures_are_read_as_people_write_them() {
    assert_eq!(figures_of("12 13; 12.5"), Ok(vec![12.0, 13.0, 12.5]));
    assert_eq!(figures_of("4, 5, 5"), Ok(vec![4.0, 5.0, 5.0]));
    assert_eq!(figures_of("4,5,5"), Ok(vec![4.0, 5.0, 5.0]));
    assert_eq!(figures_of(" "), Ok(vec![]));
    assert!(figures_of("12,5").unwrap_err().contains("one figure or two"));
    assert!(figures_of("five").is_err() && figures_of("inf").is_err());
}
