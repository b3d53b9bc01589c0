use super::*;
use crate::reference::{
    CodeKind, CodeRow, DateCode, Dates, DatingPack, Feature, HouseBrand, KnownPatent, Model, Series, Variant, Weekday,
};

fn years(from: impl Into<Option<i32>>, to: impl Into<Option<i32>>) -> Years {
    Years { from: from.into(), to: to.into(), ..Years::default() }
}

fn clue(id: &str, struck: &[&str], years: Years) -> Clue {
    Clue {
        id: id.into(),
        label: id.into(),
        struck: struck.iter().map(|s| (*s).to_owned()).collect(),
        years,
        confidence: Confidence::High,
        src: vec!["s".into()],
        ..Clue::default()
    }
}

/// A small reference with true tables of a few years, and an invented maker.
fn small() -> Reference {
    let us = Series {
        id: "us_utility".into(),
        label: "US patent".into(),
        table: vec![
            (1930, 1_742_181),
            (1931, 1_787_424),
            (1932, 1_839_190),
            (1933, 1_892_663),
            (1934, 1_941_449),
            (1935, 1_985_878),
            (1936, 2_026_516),
            (1937, 2_066_309),
            (1938, 2_104_004),
            (1939, 2_142_080),
        ],
        confidence: Confidence::High,
        ..Series::default()
    };
    let design = Series {
        id: "us_design".into(),
        label: "US design patent".into(),
        table: vec![(1930, 80_254), (1931, 82_966), (1932, 85_903)],
        named_by: vec!["DES. PAT.".into(), "DESIGN PAT".into(), "D. PAT.".into()],
        confidence: Confidence::Medium,
        ..Series::default()
    };
    let gb = Series {
        id: "gb_patent".into(),
        label: "British patent".into(),
        table: vec![(1916, 100_001), (1917, 102_812), (1918, 112_131), (1919, 121_611)],
        approx: vec![(1923, 190_000), (1925, 230_000)],
        approx_tolerance_years: Some(2),
        tolerance_years: 1,
        named_by: vec!["BRITISH PAT".into()],
        confidence: Confidence::Low,
        ..Series::default()
    };
    let occupied = Years { from_bound: Bound::Hard, usual_from: Some(1947), usual_to: Some(1952), ..years(1945, 1952) };
    let mut occupied = clue("jp_occupied", &["OCCUPIED JAPAN"], occupied);
    occupied.overrides = vec!["jp_japan".into()];
    let japan = Years { usual_from: Some(1921), ..Years::default() };
    let mut bar_code = clue("bar_code", &["BAR CODE"], Years { from_bound: Bound::Hard, ..years(1973, None) });
    bar_code.papers_only = true;
    let mut cross_screw = clue("scr_cross", &[], Years { from_bound: Bound::Hard, ..years(1930, None) });
    cross_screw.shown_by = vec![["screw_slot".into(), "cross".into()]];
    cross_screw.replaceable = true;
    let code = DateCode {
        id: "foot-year".into(),
        rows: vec![
            CodeRow {
                words: "39 on the foot".into(),
                struck: "39".into(),
                years: Years { from_bound: Bound::Hard, to_bound: Bound::Hard, ..years(1939, 1939) },
                ..CodeRow::default()
            },
            CodeRow {
                words: "town of Orrin".into(),
                struck: "ORRIN".into(),
                years: years(1921, None),
                ..CodeRow::default()
            },
        ],
        note: Some("parts of the year before were used up".into()),
        confidence: Confidence::High,
        ..DateCode::default()
    };
    let letters = DateCode {
        id: "letters".into(),
        kind: CodeKind::LetterKey,
        dates: Dates::Design,
        letters: [('A', 0), ('K', 1), ('J', 2), ('H', 3), ('G', 4), ('F', 5), ('E', 6)].into(),
        shape: Some("&&".into()),
        century: Some(1900),
        confidence: Confidence::High,
        ..DateCode::default()
    };
    let maker = Maker {
        id: "brackwater".into(),
        name: "Brackwater".into(),
        date_codes: vec![code, letters],
        house_brands: vec![HouseBrand {
            brand: "Harbour King".into(),
            seller: "Dunmore Stores".into(),
            ..HouseBrand::default()
        }],
        pack: "demo".into(),
        ..Maker::default()
    };
    let variant = |id: &str, years| Variant { id: id.into(), name: id.into(), years, ..Variant::default() };
    let model = Model {
        id: "b-1893".into(),
        maker: "brackwater".into(),
        name: "Tern".into(),
        numbers: vec!["1893".into(), "1960-L".into()],
        variants: vec![variant("first", years(1932, 1936)), variant("second", years(1937, None))],
        ..Model::default()
    };
    let mut reference = Reference::default();
    reference.questions.features = vec![Feature {
        id: "screw_slot".into(),
        ask: "Slots of the screws".into(),
        kind: crate::reference::FeatureType::Choice,
        effort: Default::default(),
        states: Vec::new(),
        applies_to: Vec::new(),
        unit: None,
        plausible: None,
        replaceable: false,
        easily_confused: Vec::new(),
        how: None,
        place: None,
    }];
    reference.dating = DatingPack {
        id: "dating".into(),
        series: vec![us, design, gb],
        known_patents: vec![KnownPatent {
            series: "us_utility".into(),
            number: 1_800_000,
            date: "1931-04-07".into(),
            what: "line guide".into(),
            found: true,
            src: vec![],
        }],
        weekday: Weekday { iso_weekday: 2, soft_from: 1849, hard_from: 1873, rules: vec![] },
        wordings: vec![
            occupied,
            clue("jp_japan", &["JAPAN"], japan),
            clue("gb_england", &["ENGLAND"], Years { usual_from: Some(1891), ..Years::default() }),
            bar_code,
        ],
        construction: vec![cross_screw],
        ..DatingPack::default()
    };
    reference.makers = vec![maker];
    reference.models = vec![model];
    reference.reindex();
    reference
}

fn when(reference: &Reference, marks: &[(&str, &str)]) -> When {
    let seen: Vec<Observation> = marks.iter().map(|(place, text)| Observation::mark(place, text)).collect();
    date(reference, &seen, &[], 2026)
}

#[test]
fn a_partial_number_gives_the_set_of_years_it_can_mean() {
    let reading = read_mark(&small(), "PAT. 1,9?4,?12", 2026);
    let number = &reading.numbers[0];
    assert_eq!(number.series, "us_utility");
    assert_eq!(number.years.iter().map(|y| y.0).collect::<Vec<_>>(), [1933, 1934, 1935]);
    assert_eq!(number.years.iter().map(|y| y.1).sum::<u64>(), 100);
    let when = when(&small(), &[("foot-under", "PAT. 1,9?4,?12")]);
    assert_eq!((when.not_before, when.not_after), (Some(1933), None));
    // Nothing ends it: the range says so.
    assert_eq!(when.likely.unwrap().1, 2026);
}

#[test]
fn a_partial_date_gives_only_tuesdays() {
    let reading = read_mark(&small(), "PAT. OCT ?8 19?6", 2026);
    let dates = &reading.dates[0].dates;
    assert!(!dates.is_empty());
    for date in dates {
        assert_eq!(calendar::weekday(*date), 2, "{date:?}");
        assert!(date.1 == 10 && date.2 % 10 == 8 && date.0 % 10 == 6 && date.0 / 100 == 19);
    }
    assert!(reading.dates[0].questioned.is_none());
}

#[test]
fn a_legible_date_that_is_no_tuesday_is_questioned() {
    let reading = read_mark(&small(), "PAT. OCT. 10, 1906", 2026);
    let question = reading.dates[0].questioned.as_ref().unwrap();
    assert!(question.contains("Wednesday") && question.contains("16 October 1906"), "{question}");
    assert!(when(&small(), &[("tail-plate", "PAT. OCT. 10, 1906")]).not_before.is_none());
    let right = read_mark(&small(), "PAT. OCT. 9, 1906", 2026);
    assert_eq!(right.dates[0].dates, [(1906, 10, 9)]);
    assert!(right.dates[0].questioned.is_none());
}

#[test]
fn two_figures_of_a_year_are_settled_by_the_weekday() {
    let reading = read_mark(&small(), "PAT'D FEB.23.86", 2026);
    assert_eq!(reading.dates[0].dates, [(1886, 2, 23)]);
}

#[test]
fn several_dates_and_a_year_told_once() {
    let reading = read_mark(&small(), "PAT. JULY 10 1888 FEB. 7 1905", 2026);
    let dates: Vec<_> = reading.dates.iter().flat_map(|date| date.dates.clone()).collect();
    assert_eq!(dates, [(1888, 7, 10), (1905, 2, 7)]);
    let reading = read_mark(&small(), "PATENTED JULY 3 & AUG 7, 1888", 2026);
    let dates: Vec<_> = reading.dates.iter().flat_map(|date| date.dates.clone()).collect();
    assert_eq!(dates, [(1888, 7, 3), (1888, 8, 7)]);
}

#[test]
fn the_weekday_is_no_test_of_other_countries() {
    let reading = read_mark(&small(), "PAT. 10 OCT 1906 / MADE IN ENGLAND", 2026);
    assert_eq!(reading.dates[0].dates, [(1906, 10, 10)]);
    assert!(reading.dates[0].questioned.is_none());
}

#[test]
fn a_wording_with_figures_is_not_seen_in_a_date() {
    let mut reference = small();
    let struck = ["PAT. ##### OF 19##", "PAT. NO. #####/##", "W. GERMANY"];
    reference.dating.wordings.push(clue("gb_patent_with_year", &struck, years(1852, None)));
    assert!(read_mark(&reference, "PAT. OCT 10 1906", 2026).dates[0].questioned.is_some());
    assert!(read_mark(&reference, "PAT. NO. 1234567", 2026).clues.iter().all(|clue| clue.from != Some(1852)));
    assert!(read_mark(&reference, "MADE IN GERMANY", 2026).clues.is_empty());
    assert_eq!(
        read_mark(&reference, "PAT. NO. 12345/06", 2026).clues.iter().filter(|clue| clue.from == Some(1852)).count(),
        1
    );
}

#[test]
fn words_choose_the_series() {
    let reference = small();
    let series = |mark: &str| -> Vec<String> {
        read_mark(&reference, mark, 2026).numbers.into_iter().map(|n| n.series).collect()
    };
    assert_eq!(series("DES. PAT. 84,123"), ["us_design"]);
    assert_eq!(series("BRITISH PAT. 115,000 & 118,221"), ["gb_patent", "gb_patent"]);
    assert_eq!(series("PAT. NO. 115000 MADE IN ENGLAND")[0], "gb_patent");
    assert_eq!(series("PAT. 1,923,456 DES. PAT. 84,123"), ["us_utility", "us_design"]);
    assert_eq!(series("PAT. D 84,123 RE CO."), ["us_design"]);
    assert_eq!(series("PAT. D84123"), ["us_design"]);
    assert_eq!(series("PAT. 1,9?4,* & 1,8*"), ["us_utility", "us_utility"]);
    assert!(series("PAT. PENDING 1495").is_empty());
    assert!(series("1495 1/2 PATENTED").is_empty());
    assert!(series("REG. U.S. PAT. OFF. 61234").is_empty());
}

#[test]
fn british_numbers_began_again_each_year() {
    let reading = read_mark(&small(), "PATENT NO. 9388/05", 2026);
    assert_eq!(reading.numbers[0].years, [(1905, 1)]);
    let reading = read_mark(&small(), "PAT. 9388 OF 1905", 2026);
    assert_eq!(reading.numbers[0].years, [(1905, 1)]);
    let reading = read_mark(&small(), "BRITISH PAT. 93888", 2026);
    assert!(reading.numbers[0].years.is_empty() && reading.numbers[0].words.contains("began again"));
}

#[test]
fn rounded_points_keep_their_tolerance_and_numbers_beyond_are_said() {
    let reading = read_mark(&small(), "BRITISH PAT. 205,000", 2026);
    assert_eq!(reading.numbers[0].years, [(1923, 1)]);
    assert!(reading.numbers[0].words.contains("give or take 2 years"), "{}", reading.numbers[0].words);
    let beyond = read_mark(&small(), "PAT. 99,912,345", 2026);
    assert!(beyond.numbers[0].years.is_empty() && beyond.numbers[0].words.contains("higher than any"));
    let known = read_mark(&small(), "PAT. 1,800,000", 2026);
    assert!(known.numbers[0].words.contains("1931-04-07"));
}

#[test]
fn occupied_japan_has_its_years_and_is_not_plain_japan() {
    let when = when(&small(), &[("foot-under", "MADE IN OCCUPIED JAPAN")]);
    assert_eq!(when.not_before, Some(1945));
    let (from, to) = when.likely.unwrap();
    assert!((1945..=1947).contains(&from) && (1952..=1953).contains(&to), "{from} to {to}");
    assert_eq!(when.reasons.len(), 1);
    assert_eq!(when.reasons[0].sources, ["dating/s"]);
}

#[test]
fn two_marks_that_contradict_say_so() {
    let reference = small();
    let found = when(&reference, &[("foot-under", "MADE IN OCCUPIED JAPAN"), ("tail-plate", "PAT. 2,1?0,412")]);
    assert!(found.clashes.is_empty());
    let found = when(&reference, &[("foot-under", "BRACKWATER 39"), ("tail-plate", "MADE IN OCCUPIED JAPAN")]);
    assert_eq!(found.clashes.len(), 1);
    assert!(!found.clashes[0].cause.is_empty());
    assert_eq!((found.not_before, found.not_after), (None, None));
    assert!((found.by_year.iter().map(|(_, p)| p).sum::<f32>() - 1.0).abs() < 1e-3);
}

#[test]
fn a_misread_figure_is_named_as_the_cause() {
    let found = when(&small(), &[("foot-under", "BRACKWATER 39"), ("head-plate", "PAT. AUG. 5, 1969")]);
    assert!(found.clashes[0].cause.contains("misread"), "{:?}", found.clashes);
    let of_model = [("b-1893".to_owned(), "first".to_owned(), 0.99)];
    let seen = [Observation::mark("foot-under", "PAT. 2,143,112")];
    let found = date(&small(), &seen, &of_model, 2026);
    assert!(found.clashes.iter().all(|clash| !clash.cause.is_empty()));
    let seen = [Observation::mark("foot-under", "PAT. 2,710,112"), Observation::mark("rim", "MADE IN OCCUPIED JAPAN")];
    let mut reference = small();
    reference.dating.series[0].table.extend([
        (1952, 2_580_379),
        (1953, 2_624_046),
        (1954, 2_664_562),
        (1955, 2_698_434),
    ]);
    let found = date(&reference, &seen, &[], 2026);
    assert!(found.clashes[0].cause.contains("would make it 1938"), "{:?}", found.clashes);
}

#[test]
fn catalogue_numbers_are_never_years() {
    let reference = small();
    let found = when(&reference, &[("head-plate", "BRACKWATER TERN 1893")]);
    assert!(
        found.notes.iter().any(|note| note.starts_with("1893 is a catalogue number, not a year")),
        "{:?}",
        found.notes
    );
    assert!(found.reasons.iter().all(|reason| reason.from != Some(1893)));
    assert!(found.likely.is_none() && found.not_before.is_none());
    let found = when(&reference, &[("head-plate", "1893")]);
    assert!(found.notes[0].starts_with("1893 can be a catalogue number"), "{:?}", found.notes);
    let found = when(&reference, &[("head-plate", "BRACKWATER 18?3")]);
    assert!(found.notes.iter().any(|note| note.contains("can be a catalogue number")), "{:?}", found.notes);
    let found = when(&reference, &[("head-plate", "1960")]);
    assert!(found.notes.iter().any(|note| note.contains("1960-L")), "{:?}", found.notes);
    // Not even after the word patented.
    assert!(when(&reference, &[("foot-under", "PATENTED 1893")]).not_before.is_none());
    let found = when(&reference, &[("tail-plate", "J. MOSS 1934")]);
    assert!(found.likely.is_none() && found.notes[0].contains("engraving"));
}

#[test]
fn a_code_is_read_only_for_its_maker_and_says_what_it_dates() {
    let reference = small();
    assert!(when(&reference, &[("foot-under", "39")]).reasons.is_empty());
    let found = when(&reference, &[("head-plate", "BRACKWATER"), ("foot-under", "39")]);
    assert_eq!((found.not_before, found.not_after, found.likely), (Some(1939), Some(1939), Some((1939, 1939))));
    assert!(found.notes.iter().any(|note| note.contains("used up")));
    let of_model = [("b-1893".to_owned(), "second".to_owned(), 0.9)];
    let seen = [Observation::mark("foot-under", "39")];
    assert_eq!(date(&reference, &seen, &of_model, 2026).not_before, Some(1939));

    let found = when(&reference, &[("tail-plate", "BRACKWATER / 1950 GE")]);
    let reason = found.reasons.iter().find(|reason| reason.from == Some(1946)).unwrap();
    assert_eq!((reason.to, reason.from_bound), (None, Bound::Soft));
    assert!(found.notes.iter().any(|note| note.contains("design")), "{:?}", found.notes);
}

#[test]
fn a_part_that_is_easily_changed_bounds_nothing() {
    let reference = small();
    let seen = [Observation::state("screw_slot", "cross"), Observation::mark("foot-under", "BRACKWATER 39")];
    let found = date(&reference, &seen, &[], 2026);
    assert_eq!(found.likely, Some((1939, 1939)));
    let found = date(&reference, &seen[..1], &[], 2026);
    assert_eq!(found.not_before, None);
    assert_eq!(found.reasons[0].from_bound, Bound::Soft);
}

#[test]
fn papers_count_on_the_box_only() {
    let reference = small();
    assert!(when(&reference, &[("foot-under", "BAR CODE")]).reasons.is_empty());
    let found = when(&reference, &[("box", "BAR CODE")]);
    assert_eq!((found.reasons.len(), found.not_before), (1, None));
}

#[test]
fn the_variants_bring_their_years() {
    let reference = small();
    let one = [("b-1893".to_owned(), "first".to_owned(), 0.99)];
    let found = date(&reference, &[], &one, 2026);
    let (from, to) = found.likely.unwrap();
    assert!((1931..=1932).contains(&from) && (1936..=1937).contains(&to), "{from} to {to}");
    assert_eq!((found.not_before, found.not_after), (None, None));
    let open = [("b-1893".to_owned(), "second".to_owned(), 0.99)];
    assert_eq!(date(&reference, &[], &open, 2026).likely.unwrap().1, 2026);
    // Nobody knows: no range.
    assert!(date(&reference, &[], &[], 2026).likely.is_none());
}

#[test]
fn a_sellers_name_is_not_the_maker() {
    let found = when(&small(), &[("head-plate", "HARBOUR KING")]);
    assert!(
        found.notes.iter().any(|note| note.contains("Dunmore Stores") && note.contains("Brackwater")),
        "{:?}",
        found.notes
    );
    assert!(found.likely.is_none());
}

#[test]
fn a_guess_is_never_hard() {
    let seen = [Observation::mark("foot-under", "MADE IN OCCUPIED JAPAN").with(Certainty::Guess)];
    assert_eq!(date(&small(), &seen, &[], 2026).not_before, None);
}

proptest::proptest! {
    #[test]
    fn no_text_makes_it_stumble(text in proptest::prelude::any::<String>(), more in "[0-9?*A-Z./, ]{0,40}") {
        let reference = small();
        read_mark(&reference, &text, 2026);
        let found = when(&reference, &[("foot-under", &more), ("box", &text)]);
        proptest::prop_assert!((found.by_year.iter().map(|(_, p)| p).sum::<f32>() - 1.0).abs() < 1e-3);
        if let (Some((from, to)), Some(hard)) = (found.likely, found.not_before) {
            proptest::prop_assert!(from >= hard && from <= to);
        }
    }
}
