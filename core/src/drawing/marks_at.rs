//! Where the lettering is: a drawing of the kind with a place to tap for each mark.

use super::pen::{Ink, Pen, numbers};

/// Id, words beside the pin, words for a screen reader.
type Place = (&'static str, &'static str, &'static str);

const PLACES: [Place; 13] = [
    ("foot-top", "Foot, top", "Foot, upper side"),
    ("foot-under", "Underneath", "Foot, underside"),
    ("head-plate", "Handle side", "Handle-side plate, outside"),
    ("head-plate-inside", "Inside", "Handle-side plate, inside"),
    ("tail-plate", "Far side", "Far-side plate, outside"),
    ("tail-plate-inside", "Far, inside", "Far-side plate, inside"),
    ("rim", "Rim", "Rim or ring"),
    ("spool", "Spool", "Spool"),
    ("handle", "Handle", "Handle or its nut"),
    ("pillar", "Pillar", "Pillar or bar"),
    ("body", "Body", "Body"),
    ("box", "Box", "Box or papers"),
    ("other", "Other", "Elsewhere"),
];

/// What every map shows along its lower edge: foot from below, box, a blank card.
const BELOW: &str = "mM8 252l20-8h60l20 8-20 8h-60z;lo28 252 2.5;lo88 252 2.5;lM50 246v12h16v-12z;\
    mM244 238l10-8h40l-8 8zM286 238l8-8v28l-8 8z;mM244 238h42v28h-42z;lM250 248h20m-20 6h14;\
    lM310 232h36v32h-36zM316 240h24m-24 8h24m-24 8h14";

/// `@inside`: the two plates opened; gears and bridge inside one, click inside the other.
const INSIDES: &str = "mo146 250 24;lo146 250 20;do152 254 9;dn152 254 9 1.5 12;mo138 243 5;mo152 254 2;lM131 256h10m-5-5v10;\
    mo208 250 24;lo208 250 20;lo208 250 6;dM204 238h8l-2 7h-4z;lM196 236q12-8 24 0;mn208 250 16 1.5 4 45";

/// Kinds, drawing, and the pins: place, where it is, where its words stand.
pub(super) const MAPS: [(&str, &str, &str); 6] = [
    (
        "conventional big-game baitcasting wire-line",
        "@inside;mM52 176l16-6h84l16 6-16 6h-84z;mr96 140 30 30;db54 76 52 6 1;lo60 77 47;mp60 77 46 3.5 62 12 3 36;mb62 77 41 5 1;\
         db67 78 31 54 11;lw67 78 31 54 11 13;mp60 77 46 3.5 62 12 2 -108;db120 88 54 7 1;mo127 89 54;do127 89 46;\
         mn127 89 50 2 10 18;m*127 89 15 23 6;mM122 92l36 40 10-8-36-40z;mo127 89 9;lo127 89 4;dM154 136l18-16 14 18q-6 14-18 14z;\
         mM196 176l14-6h92l14 6-14 6h-92z;mr244 130 22 40;mb318 76 42 -5 1;mp312 77 37 3 -44 6 3 -36;db310 77 26 -42 6;\
         mp312 77 37 3 -44 6 2 108;db268 83 46 -7 1;mo261 84 46;do261 84 39;mn261 84 42.5 1.7 8 22;mo261 84 9;lo261 84 5;mr240 106 12 7 2",
        "head-plate 100 84 136 12,rim 150 40 190 34,handle 172 142 188 168,spool 44 100 24 152,pillar 76 30 62 12,foot-top 76 174 76 204,tail-plate 261 66 261 14,\
         foot-under 58 252 58 288,head-plate-inside 146 250 142 288,tail-plate-inside 208 250 214 288,box 268 250 268 288,other 330 250 328 288",
    ),
    (
        "fly centrepin side-cast ice",
        "@inside;mM52 176l16-6h84l16 6q-20 6-58 6t-58-6z;mr96 140 26 30;mb74 78 54 7 1;mp80 79 49 3.5 32 8 4 60;mb84 80 45 4 1;db88 81 30 26 6;\
         lw88 81 30 26 6 7;mp80 79 49 3.5 32 8 3 -120;mb116 88 54 6 1;lo122 89 47;dn122 89 36 5 12;dn122 89 20 3 8;mo122 89 9;lo122 89 4;\
         db146 118 9 22 6;mM196 176l14-6h92l14 6q-20 6-60 6t-60-6z;mr244 132 22 38;mb298 78 44 -5 1;db292 79 34 -26 4;\
         mp292 79 40 3 -30 5 5 -36;mb268 84 46 -6 1;lo262 85 41;mo262 85 10;lo262 85 5;mn262 85 18 2 3;mr230 92 8 14 3",
        "head-plate 102 79 146 12,rim 154 46 192 34,handle 166 128 190 164,spool 116 127 28 190,pillar 70 30 62 12,foot-top 64 175 64 204,tail-plate 262 64 261 14,\
         foot-under 58 252 58 288,head-plate-inside 146 250 142 288,tail-plate-inside 208 250 214 288,box 268 250 268 288,other 330 250 328 288",
    ),
    (
        "automatic",
        "@inside;mM60 22l26-8h120l26 8-26 8h-120z;mM132 30h28v30h-28z;mM66 96v58a80 30 0 0 0 160 0v-58z;me146 96 80 30;de146 96 60 21;\
         me146 94 20 8;lM66 124a80 30 0 0 0 160 0M66 136a80 30 0 0 0 160 0;mM214 90q54-6 66 92l-12 5q-12-74-50-66z;\
         lM66 112q-34 0-54-22",
        "foot-top 96 22 52 26,head-plate 146 82 240 48,rim 92 148 60 196,handle 272 164 310 196,spool 150 134 176 206,tail-plate 208 112 296 112,\
         foot-under 58 252 58 288,head-plate-inside 146 250 142 288,tail-plate-inside 208 250 214 288,box 268 250 268 288,other 330 250 328 288",
    ),
    (
        "spinning",
        "mM96 12l40-4h76l40 4v10h-156z;mM158 22h26q-10 28 4 54l-30 4q6-28 0-58z;mM130 78h92q54 4 58 38-10 40-62 44h-88z;do206 120 20;\
         mM100 76h34v86h-34z;lM110 78v82;dM80 86h20v66h-20z;mM28 82h14v74h-14zM74 82h12v74h-12z;mr42 90 32 58;\
         lM48 90v58m7-58v58m7-58v58m7-58v58;mM14 106h14v26h-14z;lM124 76q-14-24-44-24t-48 20M124 162q-14 30-50 30-56 0-52-96l12-24;\
         do34 68 7;mM108 162h36l-8 14h-20z;mM202 116l12-4 34 70-12 6z;mo206 120 9;dM230 184l28-12 10 20-28 12z",
        "foot-top 122 14 84 18,body 166 120 236 52,handle 250 192 286 196,spool 58 120 40 196,rim 116 172 130 204,\
         foot-under 58 252 58 288,box 268 250 268 288,other 330 250 328 288",
    ),
    (
        "closed-face",
        "mM70 196l26-8h76l26 8-26 8h-76z;mM118 146h36v46h-36z;mM86 60h78v88h-78q-24 0-24-44t24-44z;\
         dM68 70q-10-28-36-24-14 6-8 24 20 0 36 22z;mM164 52h18v104h-18z;lM170 52v104m6-104v104;mM182 56q52 16 66 40v14q-14 26-66 42z;\
         lM196 62q10 42 0 84;do248 103 6;lM252 103h90;do118 104 20;mM112 106l-32 62 12 6 34-64z;mo118 104 9;dM70 166l24 12-8 20-26-14z",
        "foot-top 146 194 198 200,body 120 84 110 30,handle 76 184 48 190,spool 224 104 300 60,rim 173 62 186 30,\
         foot-under 58 252 58 288,box 268 250 268 288,other 330 250 328 288",
    ),
    ("", "", "box 268 250 268 288,other 330 250 328 288"),
];

/// The kind drawn large on a sheet of 360 × 300, each mark place a button with `data-place` and an area of at least
/// 48 × 48 to tap. An unknown kind gets the box and “elsewhere” only.
pub fn mark_map(kind: &str) -> String {
    let known = MAPS.iter().find(|(kinds, _, _)| kinds.split(' ').any(|k| k == kind));
    let (_, drawing, pins) = known.unwrap_or(&MAPS[MAPS.len() - 1]);
    let mut pen = Pen::default();
    pen.script(drawing, &[("inside", INSIDES)]);
    pen.script(BELOW, &[]);
    for pin in pins.split(',').map(str::trim) {
        let (id, place) = pin.split_once(' ').unwrap_or((pin, ""));
        let known = PLACES.iter().find(|(known, ..)| *known == id);
        if let (Some(known), &[x, y, label_x, label_y]) = (known, numbers(place).as_slice()) {
            button(&mut pen, known, (x, y), (label_x, label_y));
        }
    }
    pen.sheet(0.0, 0.0, 360.0, 300.0)
}

fn button(pen: &mut Pen, &(id, label, aloud): &Place, (x, y): (f64, f64), (label_x, label_y): (f64, f64)) {
    pen.raw("<g class=\"t-mark\" tabindex=\"0\" role=\"button\" data-place=\"");
    pen.raw(id);
    // What is seen comes first: who speaks to the phone says the word on the drawing.
    pen.raw("\" aria-label=\"");
    pen.raw(label);
    pen.raw(": ");
    pen.raw(aloud);
    pen.raw("\">");
    pen.touch_area(x - 24.0, y - 24.0, 48.0);
    let beside = (label_x - x).abs() > 1.5 * (label_y - y).abs();
    let (anchor, end) = match (beside, label_x < x, label_y < y) {
        (true, true, _) => ("end", (label_x + 3.0, label_y - 4.0)),
        (true, false, _) => ("start", (label_x - 3.0, label_y - 4.0)),
        (false, _, true) => ("middle", (label_x, label_y + 4.0)),
        (false, _, false) => ("middle", (label_x, label_y - 11.0)),
    };
    pen.lines(Ink::Line, &[(x, y), end]);
    pen.circle(Ink::Metal, x, y, 7.0);
    pen.circle(Ink::Fill, x, y, 3.5);
    pen.words(label_x, label_y, 12.0, anchor, label);
    pen.end();
}
