//! A test's figures before and after, one dot each, on one scale: whether they part is seen at a glance.

use super::pen::{Ink, Pen, escape, num};

const WIDTH: f64 = 220.0;
const HEIGHT: f64 = 64.0;
/// Where the scale begins and ends across.
const LEFT: f64 = 52.0;
const RIGHT: f64 = 208.0;

/// The drawing. It names itself for those who hear it; colours are the page's.
pub(super) fn readings(label: &str, unit: &str, before: &[f64], after: &[f64]) -> String {
    let finite =
        |figures: &[f64]| -> Vec<f64> { figures.iter().copied().filter(|figure| figure.is_finite()).collect() };
    let (before, after) = (finite(before), finite(after));
    let all = || before.iter().chain(&after).copied();
    let least = all().fold(f64::INFINITY, f64::min);
    let most = all().fold(f64::NEG_INFINITY, f64::max);
    let (least, most) = if least > most { (0.0, 1.0) } else { (least, most) };
    let across = |figure: f64| {
        let share = if most > least { (figure - least) / (most - least) } else { 0.5 };
        LEFT + share * (RIGHT - LEFT)
    };
    let mut pen = Pen::default();
    pen.raw("<title>");
    let mut title = format!("{label}, {unit}: before ");
    list(&mut title, &before);
    title.push_str("; after ");
    list(&mut title, &after);
    let mut safe = String::new();
    escape(&mut safe, &title);
    pen.raw(&safe);
    pen.raw("</title>");
    for (words, figures, y) in [("before", &before, 14.0), ("after", &after, 34.0)] {
        pen.words(46.0, y + 4.0, 11.0, "end", words);
        pen.path(Ink::Soft, &format!("M{LEFT} {y}H{RIGHT}"));
        for figure in figures {
            pen.circle(Ink::Line, across(*figure), y, 4.0);
        }
    }
    if least < most {
        for figure in [least, most] {
            let mut told = String::new();
            num(&mut told, figure);
            pen.words(across(figure), 56.0, 11.0, "middle", &told);
        }
    } else if all().next().is_some() {
        let mut told = String::new();
        num(&mut told, least);
        pen.words(across(least), 56.0, 11.0, "middle", &told);
    }
    let sheet = pen.sheet(0.0, 0.0, WIDTH, HEIGHT);
    sheet.replacen("<svg ", "<svg role=\"img\" fill=\"currentColor\" stroke=\"currentColor\" stroke-width=\".6\" ", 1)
}

fn list(out: &mut String, figures: &[f64]) {
    if figures.is_empty() {
        out.push_str("not read");
    }
    for (at, figure) in figures.iter().enumerate() {
        out.push_str(if at > 0 { ", " } else { "" });
        num(out, *figure);
    }
}

#[cfg(test)]
mod tests {
    use super::readings;

    #[test]
    fn figures_before_and_after_stand_on_one_scale() {
        insta::assert_snapshot!(readings("Flick & count", "turns", &[10.0, 12.0], &[20.0]), @r#"<svg role="img" fill="currentColor" stroke="currentColor" stroke-width=".6" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 220 64"><title>Flick &amp; count, turns: before 10, 12; after 20</title><text class="t-fill" x="46" y="18" font-size="11" text-anchor="end">before</text><path class="t-line t-soft" d="M52 14H208"/><circle class="t-line" cx="52" cy="14" r="4"/><circle class="t-line" cx="83.2" cy="14" r="4"/><text class="t-fill" x="46" y="38" font-size="11" text-anchor="end">after</text><path class="t-line t-soft" d="M52 34H208"/><circle class="t-line" cx="208" cy="34" r="4"/><text class="t-fill" x="52" y="56" font-size="11" text-anchor="middle">10</text><text class="t-fill" x="208" y="56" font-size="11" text-anchor="middle">20</text></svg>"#);
    }

    #[test]
    fn one_figure_or_none_is_drawn_too() {
        assert!(readings("A", "N", &[], &[3.0]).contains("before not read; after 3"));
        assert!(readings("A", "N", &[f64::NAN], &[]).starts_with("<svg role=\"img\""));
    }
}
