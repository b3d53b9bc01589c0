use super::*;

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
    }
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
