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
    std::fs::write(
        format!("{dir}/pair.svg"),
        pair(&Reference::default(), &a, &b, &differing),
    )
    .unwrap();
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
        let (tag, text) = piece
            .split_once('>')
            .ok_or_else(|| format!("no end of tag {at}: {piece}"))?;
        let bare = |text: &str| {
            text.split('&').skip(1).any(|e| {
                !["amp;", "lt;", "gt;", "quot;", "#39;"]
                    .iter()
                    .any(|known| e.starts_with(known))
            })
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
    if open.is_empty() && svg.starts_with("<svg ") {
        Ok(())
    } else {
        Err(format!("left open: {open:?}"))
    }
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
            assert!(
                a.0 >= 0.0 && a.1 >= -12.0 && a.0 <= 312.0 && a.1 <= 252.0,
                "{kind}: {a:?} outside"
            );
            for b in &corners[at + 1..] {
                assert!(
                    (a.0 - b.0).abs() >= 48.0 || (a.1 - b.1).abs() >= 48.0,
                    "{kind}: {a:?} over {b:?}"
                );
            }
        }
        for place in ["foot-under", "box", "other"] {
            assert!(
                map.contains(&format!("data-place=\"{place}\"")),
                "{kind} has no {place}"
            );
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
