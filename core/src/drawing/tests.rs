use super::*;
use crate::observe::{About, How, Unit, Value};

/// Writes the drawings out to look at: `TAILPLATE_SHEETS=dir cargo test -p tailplate-core contact_sheets -- --ignored`.
#[test]
#[ignore = "writes files for a person to look at"]
fn contact_sheets() {
    let Ok(dir) = std::env::var("TAILPLATE_SHEETS") else {
        return;
    };
    for kind in KINDS {
        std::fs::write(format!("{dir}/kind-{kind}.svg"), kind_picture(kind)).unwrap();
        std::fs::write(format!("{dir}/map-{kind}.svg"), mark_map(kind)).unwrap();
        let seen = [Observation::state("reel_kind", kind)];
        std::fs::write(format!("{dir}/bare-{kind}.svg"), face(&Reference::default(), &seen)).unwrap();
        std::fs::write(format!("{dir}/bareside-{kind}.svg"), side(&Reference::default(), &seen)).unwrap();
    }
    for (at, seen) in examples().iter().enumerate() {
        std::fs::write(format!("{dir}/face-{at}.svg"), face(&Reference::default(), seen)).unwrap();
        std::fs::write(format!("{dir}/side-{at}.svg"), side(&Reference::default(), seen)).unwrap();
    }
    if let Ok(list) = std::env::var("TAILPLATE_STATES") {
        for line in std::fs::read_to_string(list).unwrap().lines() {
            let (feature, state) = line.split_once(' ').unwrap();
            if let Some(svg) = choice(feature, state, "") {
                std::fs::write(format!("{dir}/{feature}={state}.svg"), svg).unwrap();
            }
        }
    }
    let differing = ["drag_control", "plate_rings", "pillars", "handle_form", "click"].map(String::from);
    let [a, b, ..] = examples();
    std::fs::write(format!("{dir}/pair.svg"), pair(&Reference::default(), &a, &b, &differing)).unwrap();
}

const KINDS: [&str; 11] = [
    "conventional",
    "baitcasting",
    "big-game",
    "fly",
    "automatic",
    "centrepin",
    "side-cast",
    "spinning",
    "closed-face",
    "wire-line",
    "ice",
];

/// Every element closed in order, every attribute quoted, no bare `&` or `<`: enough of XML to trust the sheets.
pub(super) fn well_formed(svg: &str) -> Result<(), String> {
    let mut open: Vec<&str> = Vec::new();
    for (at, piece) in svg.split('<').enumerate().skip(1) {
        let (tag, text) = piece.split_once('>').ok_or_else(|| format!("no end of tag {at}: {piece}"))?;
        let bare = |text: &str| {
            text.split('&')
                .skip(1)
                .any(|e| !["amp;", "lt;", "gt;", "quot;", "#39;"].iter().any(|known| e.starts_with(known)))
        };
        if text.contains('>') || bare(piece) || tag.matches('"').count() % 2 != 0 {
            return Err(format!("not escaped: {piece}"));
        }
        if let Some(name) = tag.strip_prefix('/') {
            if open.pop() != Some(name) {
                return Err(format!("</{name}> closes nothing"));
            }
        } else if !tag.ends_with('/') {
            open.push(tag.split(' ').next().unwrap_or(""));
        }
        if tag.contains(" id=") || tag.contains("href") || tag.contains("NaN") || tag.contains("style") {
            return Err(format!("not allowed: {tag}"));
        }
    }
    if open.is_empty() && svg.starts_with("<svg ") { Ok(()) } else { Err(format!("left open: {open:?}")) }
}

#[test]
fn every_kind_has_its_own_picture_and_map() {
    let mut pictures: Vec<String> = KINDS.iter().map(|kind| kind_picture(kind)).collect();
    for (kind, picture) in KINDS.iter().zip(&pictures) {
        assert_eq!(well_formed(picture), Ok(()), "{kind}");
        assert_eq!(well_formed(&mark_map(kind)), Ok(()), "{kind}");
        assert!(picture.matches("class=").count() >= 6, "{kind} is hardly drawn");
    }
    pictures.sort();
    pictures.dedup();
    assert_eq!(pictures.len(), KINDS.len());
}

#[test]
fn the_places_to_tap_are_48_wide_inside_the_sheet_and_apart() {
    for kind in KINDS {
        let map = mark_map(kind);
        let corners: Vec<(f64, f64)> = map
            .split("pointer-events=\"all\" x=\"")
            .skip(1)
            .map(|rest| {
                let values: Vec<&str> = rest.split('"').collect();
                assert_eq!((values[4], values[6]), ("48", "48"));
                (values[0].parse().unwrap(), values[2].parse().unwrap())
            })
            .collect();
        assert!(corners.len() >= 7, "{kind}: {}", corners.len());
        for (at, a) in corners.iter().enumerate() {
            assert!(a.0 >= 0.0 && a.1 >= -12.0 && a.0 <= 312.0 && a.1 <= 252.0, "{kind}: {a:?} outside");
            for b in &corners[at + 1..] {
                assert!((a.0 - b.0).abs() >= 48.0 || (a.1 - b.1).abs() >= 48.0, "{kind}: {a:?} over {b:?}");
            }
        }
        for place in ["foot-under", "box", "other"] {
            assert!(map.contains(&format!("data-place=\"{place}\"")), "{kind} has no {place}");
        }
    }
    assert!(!mark_map("spinning").contains("tail-plate") && mark_map("spinning").contains("\"body\""));
}

fn described(words: &str) -> Vec<Observation> {
    words
        .split_whitespace()
        .map(|word| {
            let (feature, value) = word.split_once('=').unwrap();
            if let Some(mm) = value.strip_suffix("mm") {
                Observation::measure(feature, mm.parse().unwrap(), Unit::Mm, How::Calliper)
            } else if let Ok(count) = value.parse() {
                Observation::count(feature, count)
            } else {
                Observation::state(feature, value)
            }
        })
        .collect()
}

/// Invented reels, one of each build.
fn examples() -> [Vec<Observation>; 6] {
    let mut first = described(
        "reel_kind=conventional plate_material=hard-rubber plate_diameter=84mm spool_width=58mm pillars=6 plate_rings=both \
         plate_screws=6 screw_head=slotted foot_shape=tapered foot_length=78mm handle_form=counterweight knob_shape=torpedo \
         knob_material=wood drag_control=star star_points=6 free_spool_control=lever-swing free_spool_place=head-top \
         click=tail-slide crank_side=right bearing_caps=screw-cap harness=lugs spool_material=plated-brass frame=pillars",
    );
    first.push(Observation::mark("head-plate", "SURF & BAY / PAT'D"));
    [
        first,
        described(
            "reel_kind=baitcasting plate_material=nickel-silver plate_diameter=48mm spool_width=44mm pillars=5 plate_rings=none \
             plate_screws=5 screw_head=slotted foot_shape=curved foot_length=64mm handle_form=double knob_shape=flat-paddle \
             knob_material=plastic drag_control=none click=tail-button level_wind=worm crank_side=right bearing_caps=jewelled \
             pillar_form=swelled",
        ),
        described(
            "reel_kind=fly plate_material=brass plate_diameter=82mm frame_width=22mm pillars=4 spool_face=perforated \
             handle_form=on-spool knob_material=hard-rubber knob_shape=tapered line_guard=agate spool_release=latch-2-screw \
             foot_shape=spoon foot_length=70mm crank_side=left spool_material=aluminium",
        ),
        described(
            "reel_kind=spinning spool_diameter=46mm spin_body=egg bail=full-bail spin_drag_place=front handle_form=single-crank \
             knob_shape=barrel knob_material=plastic foot_shape=flat foot_length=70mm stem_form=slanting crank_side=left \
             drag_nut_form=three-finger crank_length=52mm",
        ),
        described(
            "reel_kind=closed-face plate_diameter=60mm cone=cone-metal closed_control=thumb-button closed_mount=on-top \
             handle_form=double knob_shape=flat-paddle foot_shape=curved crank_side=right",
        ),
        described(
            "reel_kind=centrepin plate_material=wood plate_diameter=102mm spool_width=20mm spool_face=spoked spokes=8 \
             handle_form=two-on-spool knob_material=hard-rubber knob_shape=barrel foot_shape=flat foot_length=80mm pillars=3 \
             line_guard=wire line_pins=12",
        ),
    ]
}

fn all_answers() -> Vec<(String, String)> {
    let questions = choices::ANSWERS.lines().filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase()));
    questions.flat_map(|q| choices::answers(q).map(|(state, _)| (q.to_owned(), state.to_owned()))).collect()
}

#[test]
fn answers_to_one_question_never_share_a_picture() {
    let mut pictures = std::collections::BTreeMap::new();
    for (feature, state) in all_answers() {
        let picture = choice(&feature, &state, "").unwrap_or_else(|| panic!("{feature} {state}"));
        assert_eq!(well_formed(&picture), Ok(()), "{feature} {state}");
        assert!(picture.contains("class="), "{feature} {state} is empty");
        if let Some(other) = pictures.insert((feature.clone(), picture), state.clone()) {
            panic!("{feature}: {state} is drawn as {other}");
        }
    }
    assert!(pictures.len() > 350, "{}", pictures.len());
}

#[test]
fn every_script_is_read_to_its_end() {
    let answers = choices::ANSWERS.lines().filter_map(|line| line.strip_prefix(' ')?.split_once(' '));
    let scripts =
        answers.chain(kinds::KINDS).chain(tiles::STUFF).chain(tiles::COLOURS.map(|(id, _, script)| (id, script)));
    for (name, script) in scripts.chain(marks_at::MAPS.map(|(kinds, drawing, _)| (kinds, drawing))) {
        assert_eq!(script.matches("(;").count(), script.matches(";)").count(), "{name}: {script}");
        for item in script.split(';').map(str::trim).filter(|item| !item.is_empty()) {
            let all_numbers = |text: &str| pen::numbers(text).len() == text.split_ascii_whitespace().count();
            let known = match item.as_bytes() {
                [b'@', ..] => {
                    let (called, place) = item[1..].split_once(' ').unwrap_or((&item[1..], ""));
                    all_numbers(place)
                        && (called == "inside" || choices::answers("@").any(|(shared, _)| shared == called))
                }
                [b'(' | b')'] | [b'f', b't', ..] | [b'l' | b'f' | b'm' | b'd' | b's', b'M', ..] => true,
                [b'l' | b'f' | b'm' | b'd' | b's', shape, ..] => {
                    b"oerbnypw*hv".contains(shape) && all_numbers(&item[2..])
                }
                _ => false,
            };
            assert!(known, "{name}: “{item}” is not all understood");
        }
    }
}

#[test]
fn no_is_the_part_struck_through_and_a_word_without_picture_stays_a_word() {
    let (yes, no) = (choice("spare_pawl", "yes", "").unwrap(), choice("spare_pawl", "no", "").unwrap());
    assert!(no.len() > yes.len() && no.contains("opacity"), "{no}");
    assert_eq!(choice("drum_wood", "walnut", "centrepin"), None);
    assert_eq!(choice("no_such_question", "none", ""), None);
    assert!(choice("plate_colour", "red", "").unwrap().contains(">R</text>"), "a colour is told by a letter too");
    assert_eq!(choice("reel_kind", "ice", ""), Some(kind_picture("ice")));
}

#[test]
fn a_plain_crank_nut_as_text() {
    insta::assert_snapshot!(choice("crank_nut", "plain", "").unwrap(), @r###"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 96 72"><path class="t-metal" d="M48 12l21 12v24l-21 12-21-12v-24z"/><circle class="t-line" cx="48" cy="36" r="11"/></svg>"###);
}

#[test]
fn what_nobody_saw_is_soft_and_what_was_seen_is_not() {
    let reference = Reference::default();
    let bare = face(&reference, &[Observation::state("reel_kind", "conventional")]);
    assert!(!bare.contains("t-metal") && !bare.contains("t-dark"), "{bare}");
    let [seen, ..] = examples();
    let drawn = face(&reference, &seen);
    assert!(drawn.contains("SURF &amp; BAY") && drawn.contains(">84 mm<") && drawn.contains("10 mm"), "{drawn}");
    assert!(!drawn.contains("t-soft"), "everything on this face was told: {drawn}");
    let unclear = [seen.clone(), vec![Observation::of(About::feature("drag_control"), Value::Unclear)]].concat();
    assert!(face(&reference, &unclear).len() < drawn.len(), "a star nobody is sure of is not drawn");
}

#[test]
fn both_reels_of_a_pair_carry_the_number_of_each_difference() {
    let [a, b, ..] = examples();
    let differing = ["drag_control", "pillars", "spool_width"].map(String::from);
    let drawn = pair(&Reference::default(), &a, &b, &differing);
    assert_eq!(well_formed(&drawn), Ok(()));
    for number in 1..=3 {
        assert_eq!(drawn.matches(&format!(">{number}</text>")).count(), 2, "{number}");
    }
}

mod any_reel {
    use super::*;
    use proptest::prelude::*;

    /// Questions the drawings listen to, with answers they know and one they do not.
    fn observation() -> impl Strategy<Value = Observation> {
        let answers = all_answers();
        let value = prop_oneof![
            any::<u32>().prop_map(Value::Count),
            prop_oneof![any::<f64>(), -10.0..500.0f64].prop_map(|amount| Value::Measure { amount, unit: Unit::Mm }),
            Just(Value::Absent),
            Just(Value::Unclear),
            ".{0,12}".prop_map(Value::State),
        ];
        let sized = prop::sample::select(vec![
            "plate_diameter",
            "plate_diameter_tail",
            "spool_width",
            "frame_width",
            "spool_diameter",
            "foot_length",
            "crank_length",
            "rotor_height",
            "arbor_diameter",
            "stem_thickness",
            "pillars",
            "plate_screws",
            "star_points",
            "spokes",
            "line_pins",
            "flange_holes",
            "reel_kind",
            "plate_material",
        ]);
        prop_oneof![
            3 => prop::sample::select(answers).prop_map(|(feature, state)| Observation::state(&feature, &state)),
            2 => prop::sample::select(KINDS.to_vec()).prop_map(|kind| Observation::state("reel_kind", kind)),
            3 => (sized, value).prop_map(|(feature, value)| Observation::of(About::feature(feature), value)),
            1 => (prop::sample::select(vec!["head-plate", "body"]), "[\\PC<>&\"'/\n]{0,40}")
                .prop_map(|(place, text)| Observation::mark(place, &text)),
        ]
    }

    proptest! {
        #[test]
        fn is_drawn_well_formed(seen in prop::collection::vec(observation(), 0..24), cut in 0usize..24) {
            let reference = Reference::default();
            prop_assert_eq!(well_formed(&face(&reference, &seen)), Ok(()));
            prop_assert_eq!(well_formed(&side(&reference, &seen)), Ok(()));
            let differing: Vec<String> = seen.iter().map(|o| o.about.id().to_owned()).collect();
            let part = &seen[..cut.min(seen.len())];
            prop_assert_eq!(well_formed(&pair(&reference, &seen, part, &differing)), Ok(()));
        }

        #[test]
        fn with_a_larger_plate_is_drawn_no_smaller(
            kind in prop::sample::select(vec!["conventional", "baitcasting", "big-game", "wire-line"]),
            small in 1.0..400.0f64,
            more in 0.0..400.0f64,
        ) {
            let largest = |mm: f64| {
                let seen = [Observation::state("reel_kind", kind), Observation::measure("plate_diameter", mm, Unit::Mm, How::Ruler)];
                let drawn = face(&Reference::default(), &seen);
                let radii = drawn.split(" r=\"").skip(1).filter_map(|rest| rest.split('"').next()?.parse::<f64>().ok());
                radii.fold(0.0, f64::max)
            };
            prop_assert!(largest(small + more) >= largest(small));
            prop_assert!((largest(small) - small * 1.5).abs() <= 0.051 || small < 20.0, "to scale: 3 units to the millimetre");
        }

        #[test]
        fn any_word_as_kind_or_answer_is_no_harm(feature in ".{0,12}", state in ".{0,12}") {
            for drawn in [Some(kind_picture(&state)), Some(mark_map(&state)), choice(&feature, &state, "")].into_iter().flatten() {
                prop_assert_eq!(well_formed(&drawn), Ok(()));
            }
        }
    }
}

#[test]
fn the_small_sine_and_the_small_number_reader_agree_with_the_library() {
    let places: Vec<_> = pen::Pen::round(0.0, 0.0, 1000.0, 72, 5.0).collect();
    for (at, (x, y)) in places.iter().enumerate() {
        let angle = (at as f64 * 5.0 + 5.0).to_radians();
        assert!((x - 1000.0 * angle.sin()).abs() < 0.01 && (y + 1000.0 * angle.cos()).abs() < 0.01, "{at}: {x} {y}");
    }
    assert_eq!(pen::numbers("1 -2.25 .5 30. x 4"), [1.0, -2.25, 0.5, 30.0]);
}

#[test]
fn tiles_tell_stuffs_and_colours_of_one_question_apart() {
    let questions = [
        (
            "plate_material",
            "hard-rubber phenolic celluloid nickel-silver plated-brass brass aluminium stainless steel plastic wood leather-bound casein",
        ),
        ("knob_material", "wood hard-rubber plastic celluloid ivory-like bone metal soft-rubber"),
        ("drag_washer_material", "felt leather fibre cork ptfe carbon plastic metal"),
        ("gear_material", "brass bronze steel nylon bakelite zinc"),
        (
            "finish",
            "enamel crinkle hammertone orange-peel anodised nickel-plate chrome-plate silver-plate lead bronzed polished worn",
        ),
        ("plate_colour", "black brown marbled red maroon green blue grey silver gold white two-colour wood pink"),
        ("knob_colour", "black white ivory amber green red blue brown grey tortoise silver"),
    ];
    for (feature, states) in questions {
        let mut tiles: Vec<String> = states
            .split(' ')
            .map(|state| choice(feature, state, "").unwrap_or_else(|| panic!("{feature} {state}")))
            .collect();
        tiles.sort();
        let drawn = tiles.len();
        tiles.dedup();
        assert_eq!(tiles.len(), drawn, "{feature}");
    }
}
