//! Two reels side by side at one scale, with the parts that differ marked.

use super::face::face;
use super::pen::{Ink, Pen};
use super::reel::{Reel, Sheet, scale_bar};
use super::side::side;

/// Where a feature is to be looked for: on the face or the side, as shares of half the drawing's width and height.
const SPOTS: [(&str, bool, f64, f64); 18] = [
    ("drag star", true, 0.1, -0.12),
    ("handle knob crank", true, 0.5, 0.42),
    ("foot mount", true, -0.5, 0.82),
    ("free control", true, 0.05, -0.5),
    ("plate_rings ring", true, 0.6, -0.5),
    ("plate_screws screw cover_screw", true, -0.5, -0.5),
    ("plate", true, -0.35, -0.1),
    ("badge finish lettering", true, -0.2, 0.25),
    ("bail line_tip", true, -0.7, -0.5),
    ("line_guard guard", true, -0.7, 0.0),
    ("spool_face spool_release flange spokes latch face", true, 0.15, 0.1),
    ("spin body stem rotor oil side cone closed", true, 0.2, 0.0),
    ("harness spacer thumb", true, -0.3, -0.75),
    ("pillar frame", false, 0.0, -0.55),
    ("level fixed_line", false, 0.0, -0.1),
    ("bearing click tail cast", false, -0.6, 0.1),
    ("spool arbor line_pins", false, 0.0, 0.2),
    ("", true, 0.0, 0.0),
];

pub(super) fn pair(a: &Reel, b: &Reel, differing: &[String]) -> String {
    let marked = |sheet: Sheet, on_face: bool| {
        let mut sheet = sheet;
        let (left, top, width, height) = sheet.bounds();
        let mut used = Vec::new();
        for (number, feature) in differing.iter().enumerate() {
            let spot = SPOTS.iter().find(|(words, ..)| words.split(' ').any(|word| feature.starts_with(word)));
            let Some(&(_, face, x, y)) = spot else { continue };
            if face != on_face {
                continue;
            }
            let crowd = used.iter().filter(|seen| **seen == (x.to_bits(), y.to_bits())).count() as f64;
            used.push((x.to_bits(), y.to_bits()));
            let (x, y) = (left + width * (0.5 + x / 2.0) + crowd * 28.0, top + height * (0.5 + y / 2.0));
            dot(&mut sheet.pen, x, y, number + 1);
        }
        sheet
    };
    let [face_a, face_b] = [a, b].map(|reel| marked(face(reel), true));
    let [side_a, side_b] = [a, b].map(|reel| marked(side(reel), false));
    let column = face_a.width().max(side_a.width()) + 24.0;
    let row = face_a.height().max(face_b.height()) + 24.0;
    let width = column + face_b.width().max(side_b.width());
    let height = row + side_a.height().max(side_b.height());
    let mut pen = Pen::default();
    face_a.place_in(&mut pen, 0.0, 0.0);
    face_b.place_in(&mut pen, column, 0.0);
    side_a.place_in(&mut pen, 0.0, row);
    side_b.place_in(&mut pen, column, row);
    scale_bar(&mut pen, 0.0, height + 14.0);
    pen.sheet(-8.0, -8.0, width + 16.0, height + 36.0)
}

/// A numbered dot; the numbers are those of the list of differences, counted from one.
pub(super) fn dot(pen: &mut Pen, x: f64, y: f64, number: usize) {
    pen.mark();
    pen.circle(Ink::Metal, x, y, 13.0);
    pen.words(x, y + 5.5, 16.0, "middle", &number.to_string());
    pen.end();
}
