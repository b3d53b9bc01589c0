//! Faults of the dating pack.

use super::super::{Clue, KnownPatent, Series};
use super::Checker;

impl Checker<'_> {
    pub(super) fn dating(&mut self) {
        let own = self.own;
        let dating = &own.dating;
        self.stand_at(&dating.id, "dating".into());
        self.unique("series", dating.series.iter().map(|series| series.id.as_str()));
        self.unique(
            "wordings, construction",
            dating.wordings.iter().chain(&dating.construction).map(|clue| clue.id.as_str()),
        );
        self.unique("cautions", dating.cautions.iter().map(|caution| caution.id.as_str()));
        if !dating.id.is_empty() && !(1..=7).contains(&dating.weekday.iso_weekday) {
            self.fault("weekday", "the weekday runs from 1, Monday, to 7");
        }
        if dating.weekday.soft_from > dating.weekday.hard_from {
            self.fault("weekday", "the soft test begins after the hard one");
        }
        for rule in &dating.weekday.rules {
            self.not_empty("weekday", &rule.fact);
            self.sources(&rule.src);
        }
        for series in &dating.series {
            self.stand_at(&dating.id, format!("series/{}", series.id));
            self.series(series);
        }
        for patent in &dating.known_patents {
            self.stand_at(&dating.id, format!("known_patents/{} {}", patent.series, patent.number));
            self.known_patent(&dating.series, patent);
        }
        for clue in &dating.wordings {
            self.stand_at(&dating.id, format!("wordings/{}", clue.id));
            self.clue(clue);
        }
        for clue in &dating.construction {
            self.stand_at(&dating.id, format!("construction/{}", clue.id));
            self.clue(clue);
        }
        for caution in &dating.cautions {
            self.stand_at(&dating.id, format!("cautions/{}", caution.id));
            self.not_empty("text", &caution.text);
            self.sources(&caution.src);
        }
    }

    fn series(&mut self, series: &Series) {
        self.not_empty("label", &series.label);
        for (field, points) in [("table", &series.table), ("approx", &series.approx)] {
            for pair in points.windows(2) {
                if pair[0].0 >= pair[1].0 || pair[0].1 >= pair[1].1 {
                    let [(year, number), (next, then)] = [pair[0], pair[1]];
                    self.fault(field, format!("{next} with {then} does not rise after {year} with {number}"));
                }
            }
        }
        if series.tolerance_years < 0 || series.approx_tolerance_years.is_some_and(|years| years < 0) {
            self.fault("tolerance_years", "the tolerance is below 0");
        }
        if series.year_confidence.iter().any(|span| span.from > span.to) {
            self.fault("year_confidence", "the first year is after the last");
        }
        for words in &series.named_by {
            self.struck("named_by", words);
        }
        self.sources(&series.src);
    }

    fn known_patent(&mut self, all: &[Series], patent: &KnownPatent) {
        self.sources(&patent.src);
        let Some(series) = all.iter().find(|series| series.id == patent.series) else {
            return self.fault("series", format!("there is no series “{}”", patent.series));
        };
        let year = patent.date.get(..4).filter(|_| is_iso_date(&patent.date)).and_then(|year| year.parse::<i32>().ok());
        let Some(year) = year else {
            return self.fault("date", format!("“{}” is no date such as 1921-08-02", patent.date));
        };
        let by_table =
            series.table.iter().rev().find(|(_, first)| *first <= patent.number).map_or(i32::MIN, |(year, _)| *year);
        if (by_table - year).abs() > series.tolerance_years {
            self.fault("date", format!("by the table the number is of {by_table}, by its date of {year}"));
        }
    }

    fn clue(&mut self, clue: &Clue) {
        self.not_empty("label", &clue.label);
        self.years("years", &clue.years, clue.confidence);
        for text in &clue.struck {
            self.struck("struck", text);
        }
        for [feature, state] in &clue.shown_by {
            self.state("shown_by", feature, state);
        }
        for other in &clue.overrides {
            let dating = &self.own.dating;
            let known = dating.wordings.iter().chain(&dating.construction).any(|clue| clue.id == *other);
            if !known {
                self.fault("overrides", format!("there is no clue “{other}”"));
            }
        }
        self.sources(&clue.src);
    }
}

fn is_iso_date(date: &str) -> bool {
    let parts: Vec<&str> = date.split('-').collect();
    let figures = |text: &str, width: usize| text.len() == width && text.bytes().all(|b| b.is_ascii_digit());
    let [year, month, day] = parts[..] else { return false };
    figures(year, 4)
        && figures(month, 2)
        && figures(day, 2)
        && ("01"..="12").contains(&month)
        && ("01"..="31").contains(&day)
}
