//! Small plots as SVG text. Bare shapes with the classes of the drawings: the page that shows them sets colours, so
//! that they serve in both themes; title and description are read aloud.

use crate::drawing::pen::{escape, num};

pub(super) struct Axis {
    pub label: &'static str,
    pub from: f64,
    pub to: f64,
}

pub(super) struct Plot<'a> {
    pub title: &'a str,
    /// The plot in a sentence, for one who can't see it.
    pub told: String,
    pub x: Axis,
    pub y: Axis,
    /// Values of y that are as they should be.
    pub band: Option<[f64; 2]>,
    /// A line, and whether it is only an estimate (drawn dashed and pale).
    pub lines: Vec<(Vec<(f64, f64)>, bool)>,
    pub points: Vec<(f64, f64)>,
}

const WIDTH: f64 = 320.0;
const HEIGHT: f64 = 200.0;
const LEFT: f64 = 46.0;
const RIGHT: f64 = 12.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 40.0;

/// Opens a picture that is read aloud as its title and description.
pub(super) fn open(width: f64, height: f64, title: &str, told: &str) -> String {
    let mut out = String::from("<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"0 0 ");
    num(&mut out, width);
    out.push(' ');
    num(&mut out, height);
    out.push_str("\"><title>");
    escape(&mut out, title);
    out.push_str("</title><desc>");
    escape(&mut out, told);
    out.push_str("</desc>");
    out
}

pub(super) fn shape(out: &mut String, class: &str, tag: &str, named: &[(&str, f64)]) {
    out.push('<');
    out.push_str(tag);
    out.push_str(" class=\"");
    out.push_str(class);
    out.push('"');
    for (name, value) in named {
        out.push(' ');
        out.push_str(name);
        out.push_str("=\"");
        num(out, *value);
        out.push('"');
    }
    out.push_str("/>");
}

/// `anchor` is `start`, `middle` or `end`.
pub(super) fn words(out: &mut String, x: f64, y: f64, anchor: &str, text: &str) {
    out.push_str("<text class=\"t-fill\" font-size=\"11\" x=\"");
    num(out, x);
    out.push_str("\" y=\"");
    num(out, y);
    out.push_str("\" text-anchor=\"");
    out.push_str(anchor);
    out.push_str("\">");
    escape(out, text);
    out.push_str("</text>");
}

pub(super) fn svg(plot: &Plot) -> String {
    let mut out = open(WIDTH, HEIGHT, plot.title, &plot.told);
    let x_at = |x: f64| LEFT + (x - plot.x.from) / (plot.x.to - plot.x.from) * (WIDTH - LEFT - RIGHT);
    let y_at = |y: f64| HEIGHT - BOTTOM - (y - plot.y.from) / (plot.y.to - plot.y.from) * (HEIGHT - TOP - BOTTOM);
    if let Some([least, most]) = plot.band {
        let (top, bottom) = (y_at(most.min(plot.y.to)), y_at(least.max(plot.y.from)));
        out.push_str("<g opacity=\".15\">");
        let sides = [("x", LEFT), ("y", top), ("width", WIDTH - LEFT - RIGHT), ("height", bottom - top)];
        shape(&mut out, "t-fill", "rect", &sides);
        out.push_str("</g>");
    }
    for tick in ticks(plot.y.from, plot.y.to) {
        let y = y_at(tick);
        shape(&mut out, "t-soft", "line", &[("x1", LEFT), ("y1", y), ("x2", WIDTH - RIGHT), ("y2", y)]);
        words(&mut out, LEFT - 5.0, y + 4.0, "end", &tick_text(tick));
    }
    for tick in ticks(plot.x.from, plot.x.to) {
        let x = x_at(tick);
        let y = HEIGHT - BOTTOM;
        shape(&mut out, "t-line", "line", &[("x1", x), ("y1", y), ("x2", x), ("y2", y + 4.0)]);
        words(&mut out, x, y + 16.0, "middle", &tick_text(tick));
    }
    let corner = HEIGHT - BOTTOM;
    shape(&mut out, "t-line", "line", &[("x1", LEFT), ("y1", corner), ("x2", WIDTH - RIGHT), ("y2", corner)]);
    shape(&mut out, "t-line", "line", &[("x1", LEFT), ("y1", TOP), ("x2", LEFT), ("y2", corner)]);
    words(&mut out, (LEFT + WIDTH - RIGHT) / 2.0, HEIGHT - 6.0, "middle", plot.x.label);
    words(&mut out, LEFT + 4.0, TOP - 1.0, "start", plot.y.label);
    for (line, estimate) in &plot.lines {
        out.push_str(if *estimate { "<path class=\"t-soft\" d=\"" } else { "<path class=\"t-line\" d=\"" });
        for (at, (x, y)) in line.iter().enumerate() {
            out.push(if at == 0 { 'M' } else { 'L' });
            num(&mut out, x_at(*x));
            out.push(' ');
            num(&mut out, y_at(*y));
        }
        out.push_str("\"/>");
    }
    for (x, y) in &plot.points {
        shape(&mut out, "t-fill", "circle", &[("cx", x_at(*x)), ("cy", y_at(*y)), ("r", 3.0)]);
    }
    out.push_str("</svg>");
    out
}

/// Round values between two ends, five or so.
fn ticks(from: f64, to: f64) -> Vec<f64> {
    let rough = (to - from) / 4.0;
    if !(rough > 0.0 && rough.is_finite()) {
        return Vec::new();
    }
    let power = 10f64.powf(rough.log10().floor());
    let step =
        [1.0, 2.0, 2.5, 5.0, 10.0].map(|lead| lead * power).into_iter().find(|step| *step >= rough).unwrap_or(rough);
    let (first, last) = ((from / step - 1e-9).ceil() as i64, (to / step + 1e-9).floor() as i64);
    (first..=last).map(|count| count as f64 * step).collect()
}

fn tick_text(tick: f64) -> String {
    let text = format!("{tick:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_within() {
        assert_eq!(ticks(0.0, 1.0), [0.0, 0.25, 0.5, 0.75, 1.0]);
        assert_eq!(ticks(30.0, 72.0), [40.0, 60.0]);
        assert!(ticks(1.0, 1.0).is_empty());
    }

    #[test]
    fn a_plot_is_bare_shapes_with_a_title() {
        let plot = Plot {
            title: "Drag",
            told: "It rises & falls.".into(),
            x: Axis { label: "line, %", from: 0.0, to: 2.0 },
            y: Axis { label: "drag, N", from: 0.0, to: 4.0 },
            band: Some([1.0, 3.0]),
            lines: vec![(vec![(0.0, 0.0), (2.0, 4.0)], false)],
            points: vec![(1.0, 2.0)],
        };
        insta::assert_snapshot!(svg(&plot), @r#"<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 320 200"><title>Drag</title><desc>It rises &amp; falls.</desc><g opacity=".15"><rect class="t-fill" x="46" y="49" width="262" height="74"/></g><line class="t-soft" x1="46" y1="160" x2="308" y2="160"/><text class="t-fill" font-size="11" x="41" y="164" text-anchor="end">0</text><line class="t-soft" x1="46" y1="123" x2="308" y2="123"/><text class="t-fill" font-size="11" x="41" y="127" text-anchor="end">1</text><line class="t-soft" x1="46" y1="86" x2="308" y2="86"/><text class="t-fill" font-size="11" x="41" y="90" text-anchor="end">2</text><line class="t-soft" x1="46" y1="49" x2="308" y2="49"/><text class="t-fill" font-size="11" x="41" y="53" text-anchor="end">3</text><line class="t-soft" x1="46" y1="12" x2="308" y2="12"/><text class="t-fill" font-size="11" x="41" y="16" text-anchor="end">4</text><line class="t-line" x1="46" y1="160" x2="46" y2="164"/><text class="t-fill" font-size="11" x="46" y="176" text-anchor="middle">0</text><line class="t-line" x1="111.5" y1="160" x2="111.5" y2="164"/><text class="t-fill" font-size="11" x="111.5" y="176" text-anchor="middle">0.5</text><line class="t-line" x1="177" y1="160" x2="177" y2="164"/><text class="t-fill" font-size="11" x="177" y="176" text-anchor="middle">1</text><line class="t-line" x1="242.5" y1="160" x2="242.5" y2="164"/><text class="t-fill" font-size="11" x="242.5" y="176" text-anchor="middle">1.5</text><line class="t-line" x1="308" y1="160" x2="308" y2="164"/><text class="t-fill" font-size="11" x="308" y="176" text-anchor="middle">2</text><line class="t-line" x1="46" y1="160" x2="308" y2="160"/><line class="t-line" x1="46" y1="12" x2="46" y2="160"/><text class="t-fill" font-size="11" x="177" y="194" text-anchor="middle">line, %</text><text class="t-fill" font-size="11" x="50" y="11" text-anchor="start">drag, N</text><path class="t-line" d="M46 160L308 12"/><circle class="t-fill" cx="177" cy="86" r="3"/></svg>"#);
    }
}
