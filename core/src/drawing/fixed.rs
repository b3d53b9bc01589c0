//! Faces of the reels whose spool does not lie across the rod: automatic, spinning, closed-face.

use super::face::{arm, foot, handle, lettering};
use super::pen::Ink;
use super::reel::{Reel, Sheet, UNITS_PER_MM};

pub(super) fn automatic(reel: &Reel) -> Sheet {
    let mut sheet = Sheet::new();
    let can = reel.first_size(&["plate_diameter", "spool_diameter"], 72.0);
    let high = reel.first_size(&["overall_width", "frame_width", "spool_width"], 38.0).units;
    let r = can.units / 2.0;
    let ink = can.ink(Ink::Metal);
    if reel.is("auto_body", "vertical") {
        foot(&mut sheet, reel, 0.0, -r - 24.0, -1.0);
        sheet.pen.rect(ink, -14.0, -r - 24.0, 28.0, 40.0, 0.0);
        sheet.pen.circle(ink, 0.0, 0.0, r);
        sheet.pen.circle(Ink::Dark, 0.0, 0.0, r * 0.7);
        sheet.pen.spokes(Ink::Line, 0.0, 0.0, r - 8.0, r, 48, 0.0);
        sheet.room(0.0, 0.0, r, r);
    } else {
        let ink = if reel.state("auto_body").is_some() { ink } else { Ink::Soft };
        foot(&mut sheet, reel, 0.0, -high / 2.0 - 24.0, -1.0);
        sheet.pen.rect(ink, -14.0, -high / 2.0 - 24.0, 28.0, 26.0, 0.0);
        let cover = if reel.is("auto_cover", "top-hat") { high * 0.8 } else { high * 0.3 };
        sheet.pen.rect(ink, -r * 0.7, high * 0.3, r * 1.4, cover, 10.0);
        sheet.pen.rect(ink, -r, -high / 2.0, r * 2.0, high, 8.0);
        sheet.pen.hatch(can.ink(Ink::Line), -r, high * 0.1, r * 2.0, high * 0.25, 8.0, true);
        sheet.room(0.0, high * 0.3 + cover, r, 4.0);
    }
    let lever = if reel.state("auto_body").is_some() { Ink::Metal } else { Ink::Soft };
    sheet.pen.lines(
        lever,
        &[
            (r * 0.7, -10.0),
            (r + 40.0, 10.0),
            (r + 70.0, 90.0),
            (r + 58.0, 92.0),
            (r + 30.0, 24.0),
            (r * 0.7, 4.0),
            (r * 0.7, -10.0),
        ],
    );
    sheet.room(r + 40.0, 60.0, 36.0, 36.0);
    lettering(&mut sheet.pen, reel, "head-plate", 0.0, 4.0, r * 1.4);
    sheet
}

pub(super) fn spinning(reel: &Reel) -> Sheet {
    let mut sheet = Sheet::new();
    let spool = reel.size("spool_diameter", 48.0);
    let s = spool.units / 2.0;
    let rotor = reel.size("rotor_height", spool.units / UNITS_PER_MM * 1.15);
    let h = rotor.units / 2.0;
    let long = reel.size("spool_width", 22.0).units;
    let ink = spool.ink(Ink::Metal);
    let body = if reel.state("spin_body").is_some() { Ink::Metal } else { Ink::Soft };
    // The leg and its foot, above as it hangs on the rod.
    let leg = reel.size("stem_thickness", if reel.is("stem_form", "thick") { 14.0 } else { 8.0 }).units / 2.0;
    let lean = match reel.state("stem_form") {
        Some("slanting") => -40.0,
        Some("bent") => -20.0,
        _ => 0.0,
    };
    let top = -h - 70.0;
    let x = h * 0.5;
    let stem = if reel.state("stem_form").is_some() { Ink::Metal } else { Ink::Soft };
    foot(&mut sheet, reel, x + lean, top, -1.0);
    let knee = if reel.is("stem_form", "bent") { 24.0 } else { lean / 2.0 };
    sheet.pen.lines(
        stem,
        &[
            (x + lean - leg, top),
            (x + knee - leg, top + 40.0),
            (x - leg, -h * 0.4),
            (x + leg, -h * 0.4),
            (x + knee + leg, top + 40.0),
            (x + lean + leg, top),
        ],
    );
    let b = h * 0.8;
    match reel.state("spin_body") {
        Some("round") => sheet.pen.circle(body, b, 0.0, b),
        Some("oval") => sheet.pen.ellipse(body, b * 1.3, 0.0, b * 1.3, b * 0.75),
        Some("angular" | "open") => {
            sheet.pen.lines(body, &[(0.0, -b), (b * 1.5, -b), (b * 2.1, -b * 0.2), (b * 1.7, b), (0.0, b)]);
            if reel.is("spin_body", "open") {
                sheet.pen.circle(Ink::Line, b * 0.9, 0.0, b * 0.6);
                sheet.pen.spokes(Ink::Line, b * 0.9, 0.0, b * 0.5, b * 0.6, 24, 0.0);
            }
        }
        _ => {
            let mut data = String::from("M");
            super::pen::join(&mut data, &[0.0, -b]);
            data.push('Q');
            super::pen::join(&mut data, &[b * 1.8, -b, b * 2.3, 0.0]);
            data.push('Q');
            super::pen::join(&mut data, &[b * 1.8, b, 0.0, b]);
            data.push('z');
            sheet.pen.path(body, &data);
        }
    }
    sheet.room(b * 1.2, 0.0, b * 1.2, b);
    let front = -h * 0.5 - long - 22.0;
    sheet.pen.rect(if rotor.known { Ink::Metal } else { spool.ink(Ink::Line) }, -h * 0.5, -h, h * 0.6, h * 2.0, 6.0);
    if reel.is("spin_spool", "skirted") {
        sheet.pen.rect(ink, -h * 0.5 - 6.0, -s, h * 0.4, s * 2.0, 6.0);
    }
    sheet.pen.rect(ink, front + 12.0, -s * 0.66, long, s * 1.32, 0.0);
    sheet.pen.hatch(spool.ink(Ink::Line), front + 12.0, -s * 0.66, long, s * 1.32, 8.0, true);
    for flange in [front, front + 12.0 + long] {
        sheet.pen.rect(ink, flange, -s, 12.0, s * 2.0, 4.0);
    }
    match reel.state("spin_drag_place") {
        Some("front" | "both") => sheet.pen.rect(Ink::Metal, front - 18.0, -14.0, 18.0, 28.0, 4.0),
        Some("rear") => sheet.pen.rect(Ink::Metal, b * 2.0, -13.0, 26.0, 26.0, 4.0),
        None => sheet.pen.rect(Ink::Soft, front - 18.0, -14.0, 18.0, 28.0, 4.0),
        _ => {}
    }
    sheet.room(front - 20.0, 0.0, 2.0, h);
    bail(&mut sheet, reel, front, h);
    handle(&mut sheet, reel, b * 0.9, 0.0, b * 1.5);
    lettering(&mut sheet.pen, reel, "body", b, -b * 0.4, b * 1.8);
    sheet
}

fn bail(sheet: &mut Sheet, reel: &Reel, front: f64, h: f64) {
    let wire = |full: bool| {
        let mut data = String::from("M");
        super::pen::join(&mut data, &[-h * 0.3, -h]);
        data.push('Q');
        super::pen::join(&mut data, &[front, -h * 1.5, front - 6.0, -h * 0.5]);
        if full {
            data.push('Q');
            super::pen::join(&mut data, &[front, h * 1.6, -h * 0.3, h]);
        }
        data
    };
    match reel.state("bail") {
        Some("full-bail") => sheet.pen.path(Ink::Line, &wire(true)),
        Some("half-bail") => sheet.pen.path(Ink::Line, &wire(false)),
        Some("finger" | "manual") => {
            arm(&mut sheet.pen, Ink::Metal, (-h * 0.3, -h), (front + 6.0, -h - 10.0), 6.0);
            if reel.is("bail", "manual") {
                sheet.pen.circle(Ink::Metal, front + 6.0, -h - 10.0, 8.0);
            }
        }
        None => sheet.pen.path(Ink::Soft, &wire(true)),
        _ => {}
    }
    sheet.room(front, 0.0, 10.0, h + 20.0);
}

pub(super) fn closed(reel: &Reel) -> Sheet {
    let mut sheet = Sheet::new();
    let cup = reel.first_size(&["plate_diameter", "spool_diameter"], 56.0);
    let r = cup.units / 2.0;
    let way = if reel.is("closed_mount", "under") { -1.0 } else { 1.0 };
    let ink = cup.ink(Ink::Metal);
    foot(&mut sheet, reel, 0.0, (r + 30.0) * way, way);
    let post = if reel.state("foot_shape").is_some() { Ink::Metal } else { Ink::Soft };
    sheet.pen.rect(post, -16.0, if way > 0.0 { r * 0.6 } else { -r - 30.0 }, 32.0, r * 0.4 + 30.0, 0.0);
    sheet.pen.rect(ink, -r * 1.1, -r * 0.9, r * 1.4, r * 1.8, 18.0);
    sheet.pen.rect(ink, r * 0.3, -r, 16.0, r * 2.0, 2.0);
    let x = r * 0.3 + 16.0;
    match reel.state("cone") {
        Some("flat-cup" | "open-slot") => {
            sheet.pen.rect(ink, x, -r * 0.94, r * 0.6, r * 1.88, 10.0);
            if reel.is("cone", "open-slot") {
                sheet.pen.rect(Ink::Dark, x + r * 0.2, -r * 0.6, 10.0, r * 1.2, 5.0);
            }
        }
        cone => {
            let ink = match cone {
                None => Ink::Soft,
                Some("cone-plastic") => Ink::Dark,
                Some(_) => Ink::Metal,
            };
            sheet.pen.lines(
                ink,
                &[
                    (x, -r * 0.94),
                    (x + r * 0.5, -r * 0.7),
                    (x + r, -8.0),
                    (x + r, 8.0),
                    (x + r * 0.5, r * 0.7),
                    (x, r * 0.94),
                ],
            );
            sheet.pen.circle(if ink == Ink::Soft { ink } else { Ink::Dark }, x + r, 0.0, 6.0);
        }
    }
    let rear = -r * 1.1;
    match reel.state("closed_control") {
        Some("thumb-button") => sheet.pen.script_at("dM8-30q-40-16-42 16q22 4 38 24z", rear, -r * 0.3),
        Some("trigger") => sheet.pen.script_at("mM0 10q-40 0-50-50l10-2q12 36 42 34z", rear + 10.0, -r * 0.3),
        Some("lever" | "finger-bar") => sheet.pen.script_at("mM0-6h-44v12h44z", rear, -r * 0.4),
        _ => {}
    }
    sheet.room(0.0, 0.0, r * 1.5 + 50.0, r + 4.0);
    handle(&mut sheet, reel, -r * 0.4, 0.0, r * 1.3);
    lettering(&mut sheet.pen, reel, "body", -r * 0.4, -r * 0.5, r * 1.3);
    sheet
}
