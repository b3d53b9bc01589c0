//! The reel as described, seen along the rod: how wide it is, and how it is built between the plates.

use super::pen::{Ink, Pen};
use super::reel::{Build, Reel, Sheet, Size, UNITS_PER_MM};

pub(super) fn side(reel: &Reel) -> Sheet {
    match reel.build() {
        Build::Spinning | Build::Closed => front(reel),
        _ => across(reel),
    }
}

/// Far-side plate on the left, handle on the right, or the other way round on a left-hand reel.
fn across(reel: &Reel) -> Sheet {
    let mut sheet = Sheet::new();
    let (usual_plate, usual_width) = reel.usual_mm();
    let head = reel.size("plate_diameter", usual_plate);
    let usual_tail = head.units / UNITS_PER_MM * if reel.is("tail_smaller", "yes") { 0.85 } else { 1.0 };
    let tail = reel.size("plate_diameter_tail", usual_tail);
    let between = reel.first_size(&["frame_width", "spool_width"], usual_width);
    let spool_width = reel.size("spool_width", between.units / UNITS_PER_MM);
    let spool = reel.size("spool_diameter", head.units.min(tail.units) / UNITS_PER_MM * 0.86);
    let (half, r) = (between.units / 2.0, head.units / 2.0);
    let left_hand = reel.is("crank_side", "left");
    let hand = if left_hand { -1.0 } else { 1.0 };
    let plate_ink = match reel.stuff("plate_material") {
        Ink::Soft => head.ink(Ink::Line),
        ink => ink,
    };

    spool_between(&mut sheet.pen, reel, spool_width, spool);
    frame_bars(&mut sheet.pen, reel, half, r);
    level_wind(&mut sheet.pen, reel, half);
    let thick = 16.0;
    for (way, plate) in [(hand, head), (-hand, tail)] {
        let x = if way > 0.0 { half } else { -half - thick };
        let ink = if plate.known || plate_ink != Ink::Line { plate_ink } else { Ink::Soft };
        sheet.pen.rect(ink, x, -plate.units / 2.0, thick, plate.units, 4.0);
        let ringed = match reel.state("plate_rings") {
            Some("both" | "double") => true,
            Some("head-only") => way == hand,
            Some("tail-only") => way != hand,
            _ => false,
        };
        if ringed {
            let edge = if way > 0.0 { half } else { -half - 6.0 };
            sheet.pen.rect(Ink::Metal, edge, -plate.units / 2.0 - 3.0, 6.0, plate.units + 6.0, 2.0);
        }
        sheet.room(x + thick / 2.0, 0.0, thick / 2.0, plate.units / 2.0 + 4.0);
    }
    bearing_cap(&mut sheet.pen, reel, -hand * (half + thick), hand);
    tail_click(&mut sheet.pen, reel, -hand * (half + thick), -hand, tail.units / 2.0);
    sheet.room(-hand * (half + thick), 0.0, 18.0, 10.0);
    if reel.is("crank_side", "either") {
        handle_edge(&mut sheet, reel, -1.0, half + thick, r, true);
    }
    handle_edge(&mut sheet, reel, hand, half + thick, r, false);
    let foot_ink = if reel.state("foot_shape").is_some() { Ink::Metal } else { Ink::Soft };
    let way = if reel.build() == Build::Automatic { -1.0 } else { 1.0 };
    sheet.pen.lines(
        foot_ink,
        &[
            (-24.0, (r + 20.0) * way),
            (-14.0, (r + 12.0) * way),
            (14.0, (r + 12.0) * way),
            (24.0, (r + 20.0) * way),
            (-24.0, (r + 20.0) * way),
        ],
    );
    sheet.pen.lines(
        foot_ink,
        &[(-10.0, (r + 12.0) * way), (-10.0, (r - 12.0) * way), (10.0, (r - 12.0) * way), (10.0, (r + 12.0) * way)],
    );
    sheet.room(0.0, (r + 20.0) * way, 26.0, 4.0);
    if between.known {
        let y = -r - 14.0;
        sheet.pen.lines(
            Ink::Line,
            &[(-half, y - 5.0), (-half, y + 5.0), (-half, y), (half, y), (half, y - 5.0), (half, y + 5.0)],
        );
        sheet.pen.millimetres(0.0, y - 7.0, between.units / UNITS_PER_MM);
        sheet.room(0.0, y, 30.0, 22.0);
    }
    sheet
}

fn spool_between(pen: &mut Pen, reel: &Reel, width: Size, spool: Size) {
    let (half, r) = (width.units / 2.0, spool.units / 2.0);
    let ink = match reel.stuff("spool_material") {
        Ink::Soft => spool.ink(Ink::Line),
        ink => ink,
    };
    let core = reel.size("arbor_diameter", spool.units / UNITS_PER_MM * 0.6);
    pen.rect(core.ink(Ink::Line), -half, -core.units / 2.0, width.units, core.units, 0.0);
    let line = if spool.known || core.known { Ink::Line } else { Ink::Soft };
    pen.hatch(line, -half + 8.0, -core.units / 2.0, width.units - 16.0, core.units, 6.0, true);
    for x in [-half + 2.0, half - 8.0] {
        pen.rect(ink, x, -r, 6.0, spool.units, 2.0);
    }
    if reel.is("spool_step", "stepped") {
        pen.rect(ink, -half + 8.0, -r * 0.8, 6.0, r * 1.6, 0.0);
        pen.rect(ink, half - 14.0, -r * 0.8, 6.0, r * 1.6, 0.0);
    }
}

/// The bars as they show from here: those behind the spool are left out.
fn frame_bars(pen: &mut Pen, reel: &Reel, half: f64, r: f64) {
    let count = reel.count("pillars");
    let ring = if reel.is("frame", "raised-pillars") { r + 6.0 } else { r - 8.0 };
    let solid = matches!(reel.state("frame"), Some("one-piece" | "perforated" | "tube" | "stamped"));
    if solid {
        for y in [-r + 2.0, r - 16.0] {
            pen.rect(Ink::Metal, -half, y, half * 2.0, 14.0, 0.0);
            if reel.is("frame", "perforated") {
                pen.hatch(Ink::Line, -half + 6.0, y + 3.0, half * 2.0 - 12.0, 8.0, 12.0, true);
            }
        }
        return;
    }
    let ink = if count.is_some() { Ink::Metal } else { Ink::Soft };
    for (x, y) in Pen::round(0.0, 0.0, ring, count.unwrap_or(4), 30.0) {
        if x > ring * 0.05 && y.abs() < ring * 0.3 {
            continue;
        }
        match reel.state("pillar_form") {
            Some("swelled") => pen.ellipse(ink, 0.0, y, half, 6.0),
            Some("sculpted") => {
                pen.rect(ink, -half, y - 2.0, half * 2.0, 4.0, 0.0);
                pen.rect(ink, -half, y - 5.0, half * 0.4, 10.0, 3.0);
                pen.rect(ink, half * 0.6, y - 5.0, half * 0.4, 10.0, 3.0);
            }
            Some("knurled") => {
                pen.rect(ink, -half, y - 4.0, half * 2.0, 8.0, 0.0);
                pen.hatch(Ink::Line, -half * 0.3, y - 4.0, half * 0.6, 8.0, 4.0, true);
            }
            Some("flat") => pen.rect(ink, -half, y - 7.0, half * 2.0, 3.0, 0.0),
            _ => pen.rect(ink, -half, y - 4.0, half * 2.0, 8.0, 0.0),
        }
    }
}

fn level_wind(pen: &mut Pen, reel: &Reel, half: f64) {
    let Some(form) = reel.state("level_wind") else { return };
    if matches!(form, "none" | "removed") {
        return;
    }
    let bars: &[f64] = if form == "twin-worm" { &[-14.0, 2.0] } else { &[-6.0] };
    for y in bars {
        pen.rect(Ink::Metal, -half, *y, half * 2.0, 12.0, if form == "worm-hooded" { 6.0 } else { 0.0 });
        if form != "worm-hooded" && form != "swinging" {
            pen.hatch(Ink::Line, -half + 4.0, *y, half * 2.0 - 8.0, 12.0, 7.0, true);
        }
    }
    pen.rect(Ink::Metal, -8.0, -34.0, 16.0, 44.0, 3.0);
    pen.rect(Ink::Line, -4.0, -30.0, 8.0, 16.0, 3.0);
}

fn bearing_cap(pen: &mut Pen, reel: &Reel, x: f64, hand: f64) {
    let out = -hand;
    let left = |deep: f64| if out > 0.0 { x } else { x - deep };
    match reel.state("bearing_caps") {
        Some("screw-cap" | "adjustable" | "oil-cap") => {
            pen.rect(Ink::Metal, left(12.0), -14.0, 12.0, 28.0, 3.0);
            if !reel.is("bearing_caps", "oil-cap") {
                pen.hatch(Ink::Line, left(12.0), -14.0, 12.0, 28.0, 5.0, false);
            }
        }
        Some("jewelled" | "jewelled-sunk") => {
            pen.rect(Ink::Metal, left(8.0), -12.0, 8.0, 24.0, 3.0);
            pen.circle(Ink::Dark, x + out * if reel.is("bearing_caps", "jewelled") { 10.0 } else { 5.0 }, 0.0, 5.0);
        }
        Some("ball") => pen.circle(Ink::Metal, x + out * 4.0, 0.0, 9.0),
        _ => {}
    }
}

fn tail_click(pen: &mut Pen, reel: &Reel, x: f64, way: f64, r: f64) {
    let y = r * 0.5;
    let left = |deep: f64| if way > 0.0 { x } else { x - deep };
    match reel.state("click") {
        Some("tail-slide" | "rotary") => pen.rect(Ink::Metal, left(8.0), y - 12.0, 8.0, 18.0, 2.0),
        Some("tail-button") => pen.rect(Ink::Metal, left(12.0), y - 5.0, 12.0, 10.0, 4.0),
        Some("tail-lever") => {
            pen.lines(Ink::Metal, &[(x, y - 4.0), (x + way * 14.0, y - 22.0), (x + way * 18.0, y - 18.0), (x, y + 6.0)])
        }
        _ => {}
    }
}

fn handle_edge(sheet: &mut Sheet, reel: &Reel, hand: f64, edge: f64, r: f64, maybe: bool) {
    let form = reel.state("handle_form");
    if form == Some("none") {
        return;
    }
    let ink = if form.is_some() && !maybe { Ink::Metal } else { Ink::Soft };
    let knob_ink = if ink == Ink::Soft { Ink::Soft } else { Ink::Dark };
    let reach = reel.size("crank_length", r * 0.8 / UNITS_PER_MM).units;
    // Drawn for the right hand; a left-hand reel has the same shapes on the other side.
    let mut bar = |ink: Ink, from: f64, y: f64, long: f64, high: f64| {
        let x = if hand > 0.0 { edge + from } else { -edge - from - long };
        sheet.pen.rect(ink, x, y, long, high, (high.min(long) / 4.0).min(6.0));
    };
    if matches!(form, Some("on-spool" | "two-on-spool")) {
        bar(knob_ink, 0.0, -r * 0.5 - 12.0, 36.0, 24.0);
        if form == Some("two-on-spool") {
            bar(knob_ink, 0.0, r * 0.5 - 12.0, 36.0, 24.0);
        }
    } else {
        if reel.is("drag_control", "star") {
            bar(Ink::Metal, 6.0, -(r * 0.34).clamp(18.0, 60.0), 6.0, (r * 0.68).clamp(36.0, 120.0));
        }
        bar(ink, 0.0, -7.0, 24.0, 14.0);
        let double = matches!(form, Some("double" | "s-crank"));
        bar(ink, 15.0, if double { -reach } else { -10.0 }, 6.0, if double { reach * 2.0 } else { reach + 10.0 });
        bar(knob_ink, 21.0, reach - 14.0, 40.0, 26.0);
        if double {
            bar(knob_ink, 21.0, -reach - 12.0, 40.0, 26.0);
        }
    }
    sheet.room(hand * (edge + 62.0), reach, 2.0, 14.0);
    sheet.room(hand * (edge + 62.0), -reach, 2.0, 14.0);
}

/// A fixed spool reel seen from the front.
fn front(reel: &Reel) -> Sheet {
    let mut sheet = Sheet::new();
    let closed = reel.build() == Build::Closed;
    let spool = reel.first_size(&["spool_diameter", "plate_diameter"], 50.0);
    let s = spool.units / 2.0;
    let h = reel.size("rotor_height", spool.units / UNITS_PER_MM * 1.15).units / 2.0;
    let above = if closed && !reel.is("closed_mount", "under") { 1.0 } else { -1.0 };
    let foot_y = above * (h + 60.0);
    let foot_ink = if reel.state("foot_shape").is_some() { Ink::Metal } else { Ink::Soft };
    sheet.pen.lines(foot_ink, &[(-8.0, above * h * 0.9), (-8.0, foot_y), (8.0, foot_y), (8.0, above * h * 0.9)]);
    sheet.pen.rect(foot_ink, -26.0, foot_y - 5.0, 52.0, 10.0, 5.0);
    sheet.room(0.0, foot_y, 30.0, 8.0);
    sheet.pen.circle(spool.ink(Ink::Metal), 0.0, 0.0, h);
    sheet.pen.circle(spool.ink(Ink::Line), 0.0, 0.0, s);
    sheet.room(0.0, 0.0, h + 4.0, h + 4.0);
    if closed {
        sheet.pen.circle(spool.ink(Ink::Line), 0.0, 0.0, s * 0.5);
        sheet.pen.circle(spool.ink(Ink::Dark), 0.0, 0.0, 7.0);
    } else {
        match reel.state("drag_nut_form") {
            Some("three-finger") => sheet.pen.star(Ink::Metal, 0.0, 0.0, s * 0.2, s * 0.45, 3),
            Some("four-spoke") => sheet.pen.star(Ink::Metal, 0.0, 0.0, s * 0.2, s * 0.45, 4),
            Some(_) => sheet.pen.circle(Ink::Metal, 0.0, 0.0, s * 0.35),
            None => sheet.pen.circle(Ink::Soft, 0.0, 0.0, s * 0.35),
        }
        if reel.is("bail", "full-bail") {
            sheet.pen.lines(Ink::Line, &[(-h, 0.0), (-h * 0.6, h * 1.1), (h * 0.6, h * 1.1), (h, 0.0)]);
        }
    }
    if !reel.is("handle_form", "none") {
        let hand = if reel.is("crank_side", "right") { 1.0 } else { -1.0 };
        let ink = if reel.state("crank_side").is_some() { Ink::Metal } else { Ink::Soft };
        let reach = reel.size("crank_length", 45.0).units;
        let mut bar = |x: f64, y: f64, long: f64, high: f64| {
            sheet.pen.rect(ink, if hand > 0.0 { x } else { -x - long }, y, long, high, 3.0);
        };
        bar(h, -6.0, 34.0, 12.0);
        bar(h + 28.0, -8.0, 6.0, reach + 8.0);
        bar(h + 34.0, reach - 12.0, 34.0, 22.0);
        sheet.room(hand * (h + 68.0), reach, 3.0, 14.0);
    }
    sheet
}
