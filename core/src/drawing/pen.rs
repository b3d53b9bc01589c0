//! The pen: shapes as SVG text, and the short script that the tables of drawings are written in.
//!
//! A script is a list of items with `;` between them. An item is an ink letter, a shape letter and numbers:
//!
//! | ink | | shape | numbers |
//! |---|---|---|---|
//! | `l` | line | `o` | circle: x y r |
//! | `f` | filled | `e` | ellipse: x y rx ry |
//! | `m` | bright metal | `r` | rectangle: x y width height \[rounding\] |
//! | `d` | dark part | `M` | path data, taken as it stands |
//! | `s` | soft: not known | `b` | barrel, a disc drawn out to its nearer copy: x y r dx dy |
//! | | | `n` | ring of discs: x y ring-radius r count \[degrees\] |
//! | | | `y` | ring of strokes: x y from-radius to-radius count \[degrees\] |
//! | | | `p` | ring of barrels (pillars): x y ring-radius r dx dy count \[degrees\] |
//! | | | `w` | windings on a barrel: x y r dx dy count |
//! | | | `*` | star wheel: x y inner outer points |
//! | | | `h` `v` | hatching across or down: x y width height gap |
//! | | | `t` | words, centred: x y size words |
//!
//! `(` begins what is drawn lightly so that the part in question stands out, `)` ends it; `@name [x y [scale]]` puts
//! another script in.

/// Turns a number into text with at most one decimal; a value that is none, or absurd, is kept inside the sheet.
pub(crate) fn num(out: &mut String, value: f64) {
    let tenths = if value.is_nan() { 0 } else { (value.clamp(-99_999.0, 99_999.0) * 10.0).round() as i64 };
    if tenths < 0 {
        out.push('-');
    }
    let tenths = tenths.unsigned_abs();
    out.push_str(&(tenths / 10).to_string());
    if tenths % 10 != 0 {
        out.push('.');
        out.push(char::from(b'0' + (tenths % 10) as u8));
    }
}

/// Makes any text safe inside an element or a quoted attribute; control characters that XML forbids are dropped.
pub(crate) fn escape(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\t' | '\r' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Ink {
    Line,
    Fill,
    Metal,
    Dark,
    Soft,
}

impl Ink {
    fn class(self) -> &'static str {
        match self {
            Self::Line => "t-line",
            Self::Fill => "t-fill",
            Self::Metal => "t-metal",
            Self::Dark => "t-dark",
            Self::Soft => "t-line t-soft",
        }
    }
    fn of(letter: u8) -> Option<Self> {
        Some(match letter {
            b'l' => Self::Line,
            b'f' => Self::Fill,
            b'm' => Self::Metal,
            b'd' => Self::Dark,
            b's' => Self::Soft,
            _ => return None,
        })
    }
}

#[derive(Default)]
pub(super) struct Pen {
    out: String,
}

// A shape is its plain numbers, in the order in which the scripts give them.
#[allow(clippy::too_many_arguments)]
impl Pen {
    /// The finished drawing. No ids, no style, no link: classes of the page decide the looks.
    pub fn sheet(self, x: f64, y: f64, width: f64, height: f64) -> String {
        let mut out = String::from("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"");
        join(&mut out, &[x, y, width, height]);
        out.push_str("\">");
        out.push_str(&self.out);
        out.push_str("</svg>");
        out
    }

    /// The shapes drawn so far, to be put into another drawing.
    pub fn into_text(self) -> String {
        self.out
    }

    pub fn raw(&mut self, text: &str) {
        self.out.push_str(text);
    }
    pub fn light(&mut self) {
        self.raw("<g opacity=\".4\">");
    }
    pub fn mark(&mut self) {
        self.raw("<g class=\"t-mark\">");
    }
    pub fn end(&mut self) {
        self.raw("</g>");
    }
    /// Everything until [`Pen::end`] is moved and scaled.
    pub fn moved(&mut self, x: f64, y: f64, scale: f64) {
        self.raw("<g transform=\"translate(");
        join(&mut self.out, &[x, y]);
        if scale != 1.0 {
            self.raw(") scale(");
            num(&mut self.out, scale);
        }
        self.raw(")\">");
    }
    fn open(&mut self, tag: &str, ink: Ink) {
        self.raw("<");
        self.raw(tag);
        self.raw(" class=\"");
        self.raw(ink.class());
        self.raw("\"");
    }
    fn element(&mut self, tag: &str, ink: Ink, named: &[(&str, f64)]) {
        self.open(tag, ink);
        for &(name, value) in named {
            self.raw(" ");
            self.raw(name);
            self.raw("=\"");
            num(&mut self.out, value);
            self.raw("\"");
        }
        self.raw("/>");
    }

    pub fn circle(&mut self, ink: Ink, x: f64, y: f64, r: f64) {
        self.element("circle", ink, &[("cx", x), ("cy", y), ("r", r.max(0.0))]);
    }
    pub fn ellipse(&mut self, ink: Ink, x: f64, y: f64, rx: f64, ry: f64) {
        self.element("ellipse", ink, &[("cx", x), ("cy", y), ("rx", rx.max(0.0)), ("ry", ry.max(0.0))]);
    }
    pub fn rect(&mut self, ink: Ink, x: f64, y: f64, width: f64, height: f64, round: f64) {
        let sides = [("x", x), ("y", y), ("width", width.max(0.0)), ("height", height.max(0.0)), ("rx", round)];
        self.element("rect", ink, &sides[..if round > 0.0 { 5 } else { 4 }]);
    }
    pub fn path(&mut self, ink: Ink, data: &str) {
        self.open("path", ink);
        self.raw(" d=\"");
        self.raw(data);
        self.raw("\"/>");
    }
    /// A path of straight strokes through the points; closed when filled.
    pub fn lines(&mut self, ink: Ink, points: &[(f64, f64)]) {
        let mut data = String::new();
        for (at, &(x, y)) in points.iter().enumerate() {
            data.push(if at == 0 { 'M' } else { 'L' });
            join(&mut data, &[x, y]);
        }
        if !matches!(ink, Ink::Line | Ink::Soft) {
            data.push('z');
        }
        self.path(ink, &data);
    }
    /// A disc drawn out along (dx, dy) to its copy, which is the face one sees.
    pub fn barrel(&mut self, ink: Ink, x: f64, y: f64, r: f64, dx: f64, dy: f64) {
        let long = length(dx, dy);
        let (nx, ny) = (-dy / long * r, dx / long * r);
        let mut data = String::from("M");
        join(&mut data, &[x + nx, y + ny]);
        data.push('A');
        join(&mut data, &[r, r, 0.0, 0.0, 1.0, x - nx, y - ny]);
        data.push('l');
        join(&mut data, &[dx, dy]);
        data.push('A');
        join(&mut data, &[r, r, 0.0, 0.0, 1.0, x + dx + nx, y + dy + ny]);
        data.push('z');
        self.path(ink, &data);
        self.circle(ink, x + dx, y + dy, r);
    }
    /// Line wound on a barrel: the arcs seen between its two ends.
    pub fn windings(&mut self, ink: Ink, x: f64, y: f64, r: f64, dx: f64, dy: f64, count: usize) {
        let long = length(dx, dy);
        let (nx, ny) = (-dy / long * r, dx / long * r);
        let mut data = String::new();
        for turn in 1..count {
            let t = turn as f64 / count as f64;
            data.push('M');
            join(&mut data, &[x + dx * t + nx, y + dy * t + ny]);
            data.push('A');
            join(&mut data, &[r, r, 0.0, 0.0, 1.0, x + dx * t - nx, y + dy * t - ny]);
        }
        self.path(ink, &data);
    }
    /// The points of `count` places round a centre, the first at `degrees` clockwise from twelve o'clock.
    pub fn round(x: f64, y: f64, radius: f64, count: usize, degrees: f64) -> impl Iterator<Item = (f64, f64)> {
        (0..count).map(move |at| {
            let turns = degrees / 360.0 + at as f64 / count as f64;
            (x + radius * sine(turns), y - radius * sine(turns + 0.25))
        })
    }
    pub fn spokes(&mut self, ink: Ink, x: f64, y: f64, from: f64, to: f64, count: usize, degrees: f64) {
        let mut data = String::new();
        for (a, b) in Self::round(x, y, from, count, degrees).zip(Self::round(x, y, to, count, degrees)) {
            data.push('M');
            join(&mut data, &[a.0, a.1]);
            data.push('L');
            join(&mut data, &[b.0, b.1]);
        }
        self.path(ink, &data);
    }
    /// A star wheel; its points are rounded off by their own small discs.
    pub fn star(&mut self, ink: Ink, x: f64, y: f64, inner: f64, outer: f64, points: usize) {
        let step = 360.0 / points.max(1) as f64;
        let tips = Self::round(x, y, outer, points, step / 4.0).zip(Self::round(x, y, outer, points, -step / 4.0));
        let corners: Vec<_> = tips
            .zip(Self::round(x, y, inner, points, step / 2.0))
            .flat_map(|((b, a), hollow)| [toward(a, b, 0.25), toward(b, a, 0.25), hollow])
            .collect();
        self.lines(ink, &corners);
    }
    pub fn words(&mut self, x: f64, y: f64, size: f64, anchor: &str, text: &str) {
        self.raw("<text class=\"t-fill\" x=\"");
        num(&mut self.out, x);
        self.raw("\" y=\"");
        num(&mut self.out, y);
        self.raw("\" font-size=\"");
        num(&mut self.out, size);
        self.raw("\" text-anchor=\"");
        self.raw(anchor);
        self.raw("\">");
        escape(&mut self.out, text);
        self.raw("</text>");
    }
    /// A square that takes taps and is not seen.
    pub fn touch_area(&mut self, x: f64, y: f64, side: f64) {
        self.raw("<rect fill=\"none\" pointer-events=\"all\" x=\"");
        num(&mut self.out, x);
        self.raw("\" y=\"");
        num(&mut self.out, y);
        self.raw("\" width=\"");
        num(&mut self.out, side);
        self.raw("\" height=\"");
        num(&mut self.out, side);
        self.raw("\"/>");
    }
    /// A size in mm, centred.
    pub fn millimetres(&mut self, x: f64, y: f64, mm: f64) {
        let mut told = String::new();
        num(&mut told, mm);
        told.push_str(" mm");
        self.words(x, y, 13.0, "middle", &told);
    }
    pub fn hatch(&mut self, ink: Ink, x: f64, y: f64, width: f64, height: f64, gap: f64, down: bool) {
        let (across, along) = if down { (width, height) } else { (height, width) };
        let gap = gap.max(across / 80.0).max(0.1);
        let mut data = String::new();
        let mut at = gap / 2.0;
        while at < across {
            data.push('M');
            join(&mut data, &if down { [x + at, y] } else { [x, y + at] });
            data.push(if down { 'v' } else { 'h' });
            num(&mut data, along);
            at += gap;
        }
        self.path(ink, &data);
    }

    /// Draws a script. `fragments` is searched for `@name`; what is not a script draws nothing.
    pub fn script(&mut self, script: &str, fragments: &[(&str, &str)]) {
        for item in script.split(';').map(str::trim) {
            let mut letters = item.bytes();
            let Some(first) = letters.next() else { continue };
            match first {
                b'(' => self.light(),
                b')' => self.end(),
                b'@' => self.fragment(&item[1..], fragments),
                _ => {
                    if let (Some(ink), Some(shape)) = (Ink::of(first), letters.next()) {
                        self.shape(ink, shape, &item[1..]);
                    }
                }
            }
        }
    }

    /// A script moved to the point.
    pub fn script_at(&mut self, script: &str, x: f64, y: f64) {
        self.moved(x, y, 1.0);
        self.script(script, &[]);
        self.end();
    }
    /// Hatching across a disc, cut off at its edge.
    pub fn chords(&mut self, x: f64, y: f64, r: f64, gap: f64) {
        let gap = gap.max(r / 30.0);
        let mut data = String::new();
        let mut at = gap - r;
        while at < r {
            let half = (r * r - at * at).max(0.0).sqrt();
            data.push('M');
            join(&mut data, &[x - half, y + at]);
            data.push('h');
            num(&mut data, half * 2.0);
            at += gap;
        }
        self.path(Ink::Line, &data);
    }

    fn fragment(&mut self, call: &str, fragments: &[(&str, &str)]) {
        let name = call.split(' ').next().unwrap_or("");
        let Some(&(_, script)) = fragments.iter().find(|(known, _)| *known == name) else {
            return;
        };
        let place = numbers(&call[name.len()..]);
        if place.len() < 2 {
            return self.script(script, fragments);
        }
        self.moved(place[0], place[1], *place.get(2).unwrap_or(&1.0));
        self.script(script, fragments);
        self.end();
    }

    fn shape(&mut self, ink: Ink, shape: u8, text: &str) {
        if shape == b'M' {
            return self.path(ink, text);
        }
        let n = numbers(&text[1..]);
        let at = |i: usize| n.get(i).copied().unwrap_or(0.0);
        let count = |i: usize| at(i).clamp(0.0, 99.0) as usize;
        match shape {
            b'o' => self.circle(ink, at(0), at(1), at(2)),
            b'e' => self.ellipse(ink, at(0), at(1), at(2), at(3)),
            b'r' => self.rect(ink, at(0), at(1), at(2), at(3), at(4)),
            b'b' => self.barrel(ink, at(0), at(1), at(2), at(3), at(4)),
            b'n' => {
                for (x, y) in Self::round(at(0), at(1), at(2), count(4), at(5)) {
                    self.circle(ink, x, y, at(3));
                }
            }
            b'p' => {
                for (x, y) in Self::round(at(0), at(1), at(2), count(6), at(7)) {
                    self.barrel(ink, x, y, at(3), at(4), at(5));
                }
            }
            b'y' => self.spokes(ink, at(0), at(1), at(2), at(3), count(4), at(5)),
            b'w' => self.windings(ink, at(0), at(1), at(2), at(3), at(4), count(5)),
            b'*' => self.star(ink, at(0), at(1), at(2), at(3), count(4)),
            b'h' | b'v' => self.hatch(ink, at(0), at(1), at(2), at(3), at(4), shape == b'v'),
            b't' => {
                let words = text[1..].trim_start().splitn(4, ' ').nth(3).unwrap_or("");
                self.words(at(0), at(1), at(2), "middle", words);
            }
            _ => {}
        }
    }
}

fn toward(a: (f64, f64), b: (f64, f64), share: f64) -> (f64, f64) {
    (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)
}

/// The numbers up to the first word that is none.
pub(crate) fn numbers(text: &str) -> Vec<f64> {
    text.split_ascii_whitespace().map_while(number).collect()
}

/// Plain decimals are all a script has; the standard library's reader of any float would outweigh the drawings in WASM.
fn number(word: &str) -> Option<f64> {
    let (sign, digits) = word.strip_prefix('-').map_or((1.0, word), |rest| (-1.0, rest));
    let (mut value, mut place) = (0.0, 0.0);
    for byte in digits.bytes() {
        match byte {
            b'0'..=b'9' => {
                value = value * 10.0 + f64::from(byte - b'0');
                place *= 10.0;
            }
            b'.' if place == 0.0 => place = 1.0,
            _ => return None,
        }
    }
    (!digits.is_empty()).then(|| sign * value / if place == 0.0 { 1.0 } else { place })
}

/// Sine of a share of a full turn, good to 1 part in 100 000: finer than the tenth of a unit that is written down, and a
/// twentieth of the size of the library's own in WASM.
fn sine(turns: f64) -> f64 {
    let turns = turns - turns.floor();
    let (half, sign) = if turns < 0.5 { (turns, 1.0) } else { (turns - 0.5, -1.0) };
    let quarter = half.min(0.5 - half);
    let x = quarter * std::f64::consts::TAU;
    let square = x * x;
    sign * x * (1.0 - square / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0 * (1.0 - square / 72.0))))
}

/// Length of a stroke along (dx, dy), never nothing.
pub(super) fn length(dx: f64, dy: f64) -> f64 {
    (dx * dx + dy * dy).sqrt().max(0.01)
}

/// Numbers with one blank between them.
pub(super) fn join(out: &mut String, values: &[f64]) {
    for (at, &value) in values.iter().enumerate() {
        if at > 0 {
            out.push(' ');
        }
        num(out, value);
    }
}
