//! The reel as described, seen from its handle side (fixed spools: from the side), to scale.

use super::fixed::{automatic, closed, spinning};
use super::pen::{Ink, Pen};
use super::reel::{Build, Reel, Sheet, Size, UNITS_PER_MM};

pub(super) fn face(reel: &Reel) -> Sheet {
    match reel.build() {
        Build::Across | Build::FaceSpool => plate_face(reel),
        Build::Automatic => automatic(reel),
        Build::Spinning => spinning(reel),
        Build::Closed => closed(reel),
    }
}

/// Foot seen from its long side, its middle at the point, `way` 1 below the reel and −1 above it.
pub(super) fn foot(sheet: &mut Sheet, reel: &Reel, x: f64, y: f64, way: f64) {
    let long = reel.size("foot_length", 65.0);
    let (half, high) = (long.units / 2.0, 9.0);
    let ink = long.ink(Ink::Metal);
    let pen = &mut sheet.pen;
    match reel.state("foot_shape") {
        Some("curved" | "spoon") => {
            let (l, r, h) = (x - half, x + half, high * way);
            let mut data = String::from("M");
            super::pen::join(&mut data, &[l, y + h]);
            data.push('Q');
            super::pen::join(&mut data, &[x, y - h * 0.6, r, y + h]);
            data.push('Q');
            super::pen::join(&mut data, &[x, y + h * 1.2, l, y + h]);
            data.push('z');
            pen.path(ink, &data);
        }
        Some("tapered") => pen.lines(
            if ink == Ink::Soft { ink } else { Ink::Metal },
            &[(x - half, y + high * way), (x - half * 0.3, y), (x + half * 0.3, y), (x + half, y + high * way)],
        ),
        Some("clamp") => {
            pen.rect(ink, x - half, y.min(y + high * way), half * 2.0, high, 1.0);
            for side in [-0.6, 0.6] {
                pen.rect(Ink::Metal, x + half * side - 4.0, y.min(y + 26.0 * way), 8.0, 26.0, 1.0);
            }
        }
        _ => pen.rect(ink, x - half, y.min(y + high * way), half * 2.0, high, 1.5),
    }
    sheet.room(x, y + high * way, half, high);
}

/// One knob seen end on or from the side, as it shows from the handle side.
fn knob(pen: &mut Pen, reel: &Reel, x: f64, y: f64) {
    let ink = match reel.stuff("knob_material") {
        Ink::Soft if reel.state("knob_shape").is_some() => Ink::Dark,
        ink => ink,
    };
    match reel.state("knob_shape") {
        Some("flat-paddle") => pen.ellipse(ink, x, y, 22.0, 12.0),
        Some("t" | "block") => pen.rect(ink, x - 24.0, y - 10.0, 48.0, 20.0, 3.0),
        Some("torpedo") => pen.ellipse(ink, x, y, 26.0, 13.0),
        Some("acorn") => pen.script_at("do0 0 15;mo0 0 5", x, y),
        Some("button") => pen.circle(ink, x, y, 8.0),
        Some(_) => pen.circle(ink, x, y, 14.0),
        None => pen.circle(ink, x, y, 13.0),
    }
}

pub(super) fn arm(pen: &mut Pen, ink: Ink, from: (f64, f64), to: (f64, f64), thick: f64) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = super::pen::length(dx, dy);
    let (nx, ny) = (-dy / long * thick, dx / long * thick);
    pen.lines(
        ink,
        &[
            (from.0 + nx, from.1 + ny),
            (to.0 + nx * 0.6, to.1 + ny * 0.6),
            (to.0 - nx * 0.6, to.1 - ny * 0.6),
            (from.0 - nx, from.1 - ny),
            (from.0 + nx, from.1 + ny),
        ],
    );
}

/// The handle with its centre at the point.
pub(super) fn handle(sheet: &mut Sheet, reel: &Reel, x: f64, y: f64, usual: f64) {
    let reach = reel.size("crank_length", usual / UNITS_PER_MM).units;
    let form = reel.state("handle_form");
    let ink = if form.is_some() { Ink::Metal } else { Ink::Soft };
    let (ex, ey) = (x + reach * 0.6, y + reach * 0.8);
    let pen = &mut sheet.pen;
    match form {
        Some("none") => {}
        Some("double" | "s-crank") => {
            arm(pen, ink, (x, y), (x, y + reach), 7.0);
            arm(pen, ink, (x, y), (x, y - reach), 7.0);
            if form == Some("s-crank") {
                pen.lines(
                    Ink::Line,
                    &[(x, y - reach), (x - 14.0, y - reach / 2.0), (x + 14.0, y + reach / 2.0), (x, y + reach)],
                );
            }
            knob(pen, reel, x, y + reach);
            knob(pen, reel, x, y - reach);
        }
        Some("on-spool") => knob(pen, reel, x + reach * 0.7, y - reach * 0.5),
        Some("two-on-spool") => {
            knob(pen, reel, x + reach * 0.7, y - reach * 0.5);
            knob(pen, reel, x - reach * 0.7, y + reach * 0.5);
        }
        _ => {
            let thick = if form == Some("t-bar") { 11.0 } else { 8.0 };
            arm(pen, ink, (x, y), (ex, ey), thick);
            let (bx, by) = (x - reach * 0.3, y - reach * 0.4);
            match form {
                Some("counterweight") => {
                    arm(pen, ink, (x, y), (bx, by), 7.0);
                    pen.rect(ink, bx - 9.0, by - 9.0, 18.0, 18.0, 4.0);
                }
                Some("ball-balance") => {
                    arm(pen, ink, (x, y), (bx, by), 5.0);
                    pen.circle(ink, bx, by, 11.0);
                }
                Some("folding") => pen.circle(Ink::Metal, x + reach * 0.2, y + reach * 0.27, 5.0),
                _ => {}
            }
            if form == Some("t-bar") {
                pen.rect(Ink::Dark, ex - 32.0, ey - 11.0, 64.0, 22.0, 8.0);
            } else {
                knob(pen, reel, ex, ey);
            }
        }
    }
    if !matches!(form, Some("none" | "on-spool" | "two-on-spool")) {
        pen.circle(ink, x, y, 8.0);
        if reel.is("handle_fixing", "screw") || reel.is("crank_nut", "slotted") {
            pen.lines(Ink::Line, &[(x - 6.0, y), (x + 6.0, y)]);
        }
    }
    if form != Some("none") {
        sheet.room(x, y, reach + 26.0, reach + 16.0);
    }
}

fn screw(pen: &mut Pen, head: Option<&str>, x: f64, y: f64) {
    match head {
        Some("none") => {}
        Some("slotted") => pen.script_at("mo0 0 5;lM-3 2l6-4", x, y),
        Some("cross") => pen.script_at("mo0 0 5;lM-3 0h6M0-3v6", x, y),
        Some("hex") => pen.script_at("mo0 0 5;lM-2.500-1.500v3l2.500 1.500 2.500-1.500v-3l-2.500-1.500z", x, y),
        Some("knurled") => pen.script_at("mo0 0 7;ly0 0 5 7 10", x, y),
        _ => pen.circle(Ink::Metal, x, y, 4.5),
    }
}

/// Engraver's texture over a disc, so that the stuff is told without colour.
fn texture(pen: &mut Pen, stuff: Option<&str>, x: f64, y: f64, r: f64) {
    match stuff {
        Some("hard-rubber" | "casein") => pen.chords(x, y, r, 9.0),
        Some("wood") => {
            for ring in 1..5 {
                pen.ellipse(Ink::Line, x, y, r * 0.2 * f64::from(ring), r * 0.24 * f64::from(ring));
            }
        }
        Some("brass") => {
            for ring in [0.35, 0.6, 0.8] {
                for (dot_x, dot_y) in Pen::round(x, y, r * ring, (ring * 28.0) as usize, 0.0) {
                    pen.circle(Ink::Fill, dot_x, dot_y, 1.0);
                }
            }
        }
        Some("celluloid") => {
            for (dot_x, dot_y) in Pen::round(x, y, r * 0.6, 9, 10.0) {
                pen.script_at("lM-12 0q6-10 12 0t12 0", dot_x, dot_y);
            }
        }
        Some("stainless" | "aluminium") => pen.circle(Ink::Line, x, y, r * 0.5),
        _ => {}
    }
}

fn plate_face(reel: &Reel) -> Sheet {
    let mut sheet = Sheet::new();
    let plate = reel.size("plate_diameter", reel.usual_mm().0);
    let r = plate.units / 2.0;
    let shape = reel.state("plate_shape");
    let foot_y = if shape == Some("flat-bottom") { r * 0.86 } else { r } + 24.0;
    sheet.room(0.0, 0.0, r + 8.0, r + 8.0);
    if !reel.is("mount", "in-grip") {
        foot(&mut sheet, reel, 0.0, foot_y, 1.0);
        sheet.pen.rect(
            if reel.state("foot_shape").is_some() { Ink::Metal } else { Ink::Soft },
            -16.0,
            r * 0.8,
            32.0,
            foot_y - r * 0.8,
            0.0,
        );
    }
    attachments(&mut sheet, reel, r);
    let bars = reel.count("pillars");
    let raised = reel.is("frame", "raised-pillars");
    if raised {
        for (x, y) in Pen::round(0.0, 0.0, r + 6.0, bars.unwrap_or(5), 30.0) {
            sheet.pen.circle(if bars.is_some() { Ink::Metal } else { Ink::Soft }, x, y, 8.0);
        }
    }
    plate_outline(&mut sheet.pen, reel, plate, shape);
    if reel.build() == Build::FaceSpool {
        spool_face(&mut sheet.pen, reel, r);
    }
    rings_and_screws(&mut sheet.pen, reel, r, if raised { None } else { Some(bars) });
    controls(&mut sheet, reel, r);
    let usual_reach = if reel.build() == Build::FaceSpool { r * 0.75 } else { (r * 0.9).min(150.0) };
    let handle_y = match reel.state("crank_place") {
        Some("low-6") => r * 0.45,
        Some("high") => -r * 0.4,
        _ => 0.0,
    };
    if reel.is("drag_control", "star") {
        let points = reel.count("star_points");
        let ink = if points.is_some() { Ink::Metal } else { Ink::Soft };
        sheet.pen.star(
            ink,
            0.0,
            handle_y,
            (r * 0.2).clamp(12.0, 34.0),
            (r * 0.36).clamp(20.0, 60.0),
            points.unwrap_or(6),
        );
    }
    handle(&mut sheet, reel, 0.0, handle_y, usual_reach);
    lettering(&mut sheet.pen, reel, "head-plate", 0.0, r * 0.62, r * 1.4);
    if plate.known {
        sheet.pen.lines(
            Ink::Line,
            &[(-r, -r - 20.0), (-r, -r - 10.0), (-r, -r - 15.0), (r, -r - 15.0), (r, -r - 20.0), (r, -r - 10.0)],
        );
        sheet.pen.millimetres(0.0, -r - 22.0, plate.units / UNITS_PER_MM);
        sheet.room(0.0, -r - 26.0, r, 10.0);
    }
    sheet
}

fn plate_outline(pen: &mut Pen, reel: &Reel, plate: Size, shape: Option<&str>) {
    let r = plate.units / 2.0;
    let mut ink = reel.stuff("plate_material");
    if ink == Ink::Soft && plate.known {
        ink = Ink::Line;
    }
    match shape {
        Some("round-with-bump") => pen.circle(ink, r * 0.3, r * 0.35, r * 0.72),
        Some("oval") => pen.ellipse(ink, 0.0, r * 0.1, r * 0.92, r * 1.1),
        Some("low-profile") => {
            let mut data = String::from("M");
            super::pen::join(&mut data, &[-r * 1.5, r * 0.6]);
            data.push('Q');
            super::pen::join(&mut data, &[-r * 1.2, -r * 0.6, 0.0, -r]);
            data.push('Q');
            super::pen::join(&mut data, &[r * 1.2, -r, r * 1.3, r * 0.9]);
            data.push('z');
            pen.path(ink, &data);
        }
        _ => {}
    }
    pen.circle(ink, 0.0, 0.0, r);
    if shape == Some("flat-bottom") {
        pen.lines(Ink::Line, &[(-r * 0.5, r * 0.86), (r * 0.5, r * 0.86)]);
    }
    texture(pen, reel.state("plate_material"), 0.0, 0.0, r * 0.86);
    match reel.state("plate_ornament") {
        Some("rope-circle") => pen.spokes(Ink::Line, 0.0, 0.0, r * 0.66, r * 0.72, 48, 0.0),
        Some("scroll" | "stepped") => {
            pen.circle(Ink::Line, 0.0, 0.0, r * 0.6);
            pen.circle(Ink::Line, 0.0, 0.0, r * 0.66);
        }
        _ => {}
    }
}

fn rings_and_screws(pen: &mut Pen, reel: &Reel, r: f64, bars: Option<Option<usize>>) {
    let inner = (r - 12.0).max(r * 0.8);
    match reel.state("plate_rings") {
        Some("both" | "head-only") => pen.circle(Ink::Line, 0.0, 0.0, inner),
        Some("double") => {
            pen.circle(Ink::Line, 0.0, 0.0, inner);
            pen.circle(Ink::Line, 0.0, 0.0, inner - 6.0);
        }
        None => pen.circle(Ink::Soft, 0.0, 0.0, inner),
        _ => {}
    }
    let on_ring = (r + inner) / 2.0;
    if let Some(bars) = bars {
        let ink = if bars.is_some() { Ink::Line } else { Ink::Soft };
        for (x, y) in Pen::round(0.0, 0.0, on_ring, bars.unwrap_or(4), 30.0) {
            pen.circle(ink, x, y, 5.0);
        }
    }
    for (x, y) in Pen::round(0.0, 0.0, on_ring, reel.count("plate_screws").unwrap_or(0), 12.0) {
        screw(pen, reel.state("screw_head"), x, y);
    }
}

/// The spool seen through the frame: holes, spokes, pins, letters.
fn spool_face(pen: &mut Pen, reel: &Reel, r: f64) {
    let spool = reel.size("spool_diameter", r * 2.0 * 0.88 / UNITS_PER_MM);
    let s = spool.units / 2.0;
    pen.circle(if reel.state("spool_face").is_some() { Ink::Metal } else { spool.ink(Ink::Line) }, 0.0, 0.0, s);
    match reel.state("spool_face") {
        Some("perforated") => {
            for (ring, hole) in [(0.75, 0.1), (0.48, 0.07)] {
                let count = reel.count("flange_holes").unwrap_or((ring * 16.0) as usize);
                for (x, y) in Pen::round(0.0, 0.0, s * ring, count, 0.0) {
                    pen.circle(Ink::Dark, x, y, s * hole);
                }
                if reel.count("flange_holes").is_some() {
                    break;
                }
            }
        }
        Some("spoked") => {
            pen.circle(Ink::Line, 0.0, 0.0, s * 0.82);
            pen.spokes(Ink::Line, 0.0, 0.0, s * 0.2, s * 0.82, reel.count("spokes").unwrap_or(6), 0.0);
            pen.spokes(Ink::Line, 0.0, 0.0, s * 0.2, s * 0.82, reel.count("spokes").unwrap_or(6), 6.0);
        }
        Some("slotted") => pen.spokes(Ink::Line, 0.0, 0.0, s * 0.45, s * 0.8, 10, 0.0),
        _ => {}
    }
    if let Some(pins) = reel.count("line_pins") {
        for (x, y) in Pen::round(0.0, 0.0, s * 0.9, pins, 0.0) {
            pen.circle(Ink::Fill, x, y, 2.5);
        }
    }
    pen.circle(if reel.state("spool_face").is_some() { Ink::Metal } else { Ink::Soft }, 0.0, 0.0, s * 0.14);
    match reel.state("spool_release") {
        Some("latch-3-screw") => pen.script("mo0 0 20;mn0 0 12 3.500 3", &[]),
        Some("latch-2-screw") => pen.script("mr-22-9 44 18 8;mo-13 0 3.500;mo13 0 3.500", &[]),
        Some("latch-cover") => pen.script("mo0 0 20;lo0 0 15", &[]),
        Some("locking-nut" | "drag-knob") => pen.script("mo0 0 16;ly0 0 12 16 18", &[]),
        Some("screw") => pen.script("mo0 0 9;lM-6 0h12", &[]),
        _ => {}
    }
}

/// What stands out of the outline: level wind, harness lugs, line guard.
fn attachments(sheet: &mut Sheet, reel: &Reel, r: f64) {
    let pen = &mut sheet.pen;
    if let Some("worm" | "worm-hooded" | "disengaging" | "twin-worm" | "removable") = reel.state("level_wind") {
        pen.rect(Ink::Metal, -r - 14.0, -r * 0.35, 34.0, 22.0, 4.0);
        pen.rect(Ink::Metal, -r - 8.0, -r * 0.35 - 26.0, 9.0, 30.0, 3.0);
        pen.circle(Ink::Dark, -r - 3.5, -r * 0.35 + 11.0, 6.0);
        sheet.room(-r - 16.0, 0.0, 6.0, 6.0);
    }
    let pen = &mut sheet.pen;
    if let Some("lugs" | "both") = reel.state("harness") {
        for side in [-1.0, 1.0] {
            pen.rect(Ink::Metal, side * r * 0.4 - 10.0, -r - 16.0, 20.0, 30.0, 8.0);
            pen.circle(Ink::Line, side * r * 0.4, -r - 6.0, 5.0);
        }
        sheet.room(0.0, -r - 18.0, 10.0, 2.0);
    }
    let pen = &mut sheet.pen;
    match reel.state("line_guard") {
        None | Some("none") => {}
        Some("metal-ring" | "agate") => pen.script_at("mo-12 0 13;lo-12 0 8", -r, 0.0),
        Some("roller") => pen.script_at("mr-20-22 8 44 4;mr-8-22 8 44 4", -r, 0.0),
        Some(_) => pen.script_at("lM6-34h-24v68h24", -r, 0.0),
    }
    if reel.state("line_guard").is_some() {
        sheet.room(-r - 24.0, 0.0, 2.0, 2.0);
    }
}

/// Drag (but the star), free spool and click controls that the handle side shows.
fn controls(sheet: &mut Sheet, reel: &Reel, r: f64) {
    let pen = &mut sheet.pen;
    match reel.state("drag_control") {
        Some("lever" | "thumb-lever") => {
            pen.spokes(Ink::Line, 0.0, 0.0, r * 0.74, r * 0.82, 24, 0.0);
            arm(pen, Ink::Metal, (0.0, 0.0), (r * 0.62, -r * 0.78), 8.0);
            pen.circle(Ink::Dark, r * 0.62, -r * 0.78, 9.0);
        }
        Some("rim-knob") => pen.script_at("mo0 0 14;ly0 0 10 14 14", -r * 0.5, r * 0.45),
        Some("screw") => pen.script_at("mo0 0 8;lM-5 0h10", -r * 0.5, r * 0.45),
        Some("cam-dial") => pen.script("lo0 0 32;ly0 0 26 32 20", &[]),
        Some("handle-drag") => pen.script("mo0 0 24;ly0 0 18 24 16", &[]),
        Some("rim-pressure") => pen.circle(Ink::Line, 0.0, 0.0, r + 4.0),
        _ => {}
    }
    let (x, y) = match reel.state("free_spool_place") {
        Some("head-rear") => (r * 0.62, -r * 0.2),
        Some("head-front") => (-r * 0.62, -r * 0.2),
        Some("head-bottom") => (-r * 0.3, r * 0.6),
        Some("rim") => (r * 0.68, -r * 0.68),
        _ => (0.0, -r * 0.66),
    };
    if !matches!(reel.state("free_spool_place"), Some("tail" | "frame")) {
        match reel.state("free_spool_control") {
            Some("lever-swing") => pen.script_at("mM-6-5h44q8 5 0 10h-44z;mo0 0 8", x, y),
            Some("lever-pull") => pen.script_at("mr-5-14 10 28 4", x, y),
            Some("push-button") => pen.script_at("mo0 0 9;lo0 0 5", x, y),
            Some("slide") => pen.script_at("lr-16-5 32 10 5;fo-8 0 4", x, y),
            Some("turn-knob") => pen.script_at("mo0 0 11;ly0 0 7 11 12", x, y),
            _ => {}
        }
    }
    match reel.state("click") {
        Some("head-slide") => pen.script_at("lr-14-5 28 10 5;fo6 0 4", -r * 0.45, -r * 0.45),
        Some("rim") => pen.script_at("mr-6-8 12 14 3", -r * 0.7, -r * 0.72),
        _ => {}
    }
}

/// What was read at the place, as far as the room goes, on a bright strip so that it stands out from a dark part.
pub(super) fn lettering(pen: &mut Pen, reel: &Reel, place: &str, x: f64, y: f64, room: f64) {
    let most = ((room / 7.0) as usize).clamp(6, 60);
    let marks = reel.marks(place);
    let lines: Vec<String> = marks
        .iter()
        .flat_map(|text| text.split(['/', '\n']))
        .map(|line| line.trim().chars().take(most).collect::<String>())
        .filter(|line| !line.is_empty())
        .take(3)
        .collect();
    let Some(longest) = lines.iter().map(|line| line.chars().count()).max() else {
        return;
    };
    let half = longest as f64 * 3.9 + 5.0;
    pen.rect(Ink::Metal, x - half, y - 11.0, half * 2.0, 14.0 * lines.len() as f64 + 3.0, 3.0);
    for (at, line) in lines.iter().enumerate() {
        pen.words(x, y + 1.0 + 14.0 * at as f64, 11.0, "middle", line);
    }
}
