//! Faults of makers and of their date codes.

use super::super::{CodeKind, CodeRow, Confidence, DateCode, Maker};
use super::Checker;

impl Checker<'_> {
    pub(super) fn makers(&mut self) {
        let own = self.own;
        for maker in &own.makers {
            self.maker(maker);
        }
    }

    fn maker(&mut self, maker: &Maker) {
        let entry = format!("makers/{}", maker.id);
        self.stand_at(&maker.pack, entry.clone());
        self.not_empty("id", &maker.id);
        self.not_empty("name", &maker.name);
        self.not_empty("country", &maker.country);
        self.years("active", &maker.active, maker.confidence);
        for kind in &maker.kinds {
            self.kind("kinds", kind);
        }
        for (field, others) in [("predecessor", &maker.predecessor), ("successor", &maker.successor)] {
            for other in others.iter().filter(|id| !self.has_maker(id)).collect::<Vec<_>>() {
                self.fault(field, format!("there is no maker “{other}”"));
            }
        }
        self.sources(&maker.main_sources);
        for place in &maker.places {
            self.not_empty("places", &place.city);
            if matches!((place.from, place.to), (Some(from), Some(to)) if from > to) {
                self.fault("places", format!("{}: the first year is after the last", place.city));
            }
            self.sources(&place.src);
        }
        for said in maker.trade_marks.iter().chain(&maker.notes) {
            self.not_empty("notes", &said.text);
            self.sources(&said.src);
        }
        self.unique_words("house_brands", maker.house_brands.iter().map(|house| (&house.brand, &house.seller)));
        for house in &maker.house_brands {
            self.not_empty("house_brands", &house.brand);
            self.sources(&house.src);
        }
        for patent in &maker.patents {
            self.not_empty("patents", &patent.what);
            self.sources(&patent.src);
        }
        self.unique("marks", maker.marks.iter().map(|mark| mark.id.as_str()));
        self.unique("date_codes", maker.date_codes.iter().map(|code| code.id.as_str()));
        for mark in &maker.marks {
            self.stand_at(&maker.pack, format!("{entry}/{}", mark.id));
            self.not_empty("text", &mark.text);
            self.years("years", &mark.years, mark.confidence);
            for text in &mark.struck {
                self.struck("struck", text);
            }
            self.sources(&mark.src);
        }
        for code in &maker.date_codes {
            self.stand_at(&maker.pack, format!("{entry}/{}", code.id));
            self.code(code);
        }
    }

    fn unique_words<'b>(&mut self, field: &str, pairs: impl Iterator<Item = (&'b String, &'b String)>) {
        let mut seen = Vec::new();
        for pair in pairs {
            if seen.contains(&pair) {
                self.fault(field, format!("“{}” for “{}” stands twice", pair.0, pair.1));
            }
            seen.push(pair);
        }
    }

    fn code(&mut self, code: &DateCode) {
        self.years("years", &code.years, code.confidence);
        self.sources(&code.src);
        match code.kind {
            CodeKind::LetterKey => self.letter_key(code),
            CodeKind::SerialRange if code.ranges.is_empty() => self.fault("ranges", "it is empty"),
            CodeKind::SerialRange => {}
            CodeKind::Table if code.rows.is_empty() && code.note.is_none() => {
                self.fault("rows", "it is empty and no note says why");
            }
            CodeKind::Table => {}
        }
        for range in &code.ranges {
            if range.from > range.to {
                self.fault("ranges", format!("{} is after {}", range.from, range.to));
            }
            if range.prefix.is_empty() && range.place.is_none() && range.beside.is_none() {
                self.fault("ranges", "a bare number needs a prefix, a place or a wording beside it");
            }
            self.years("ranges", &range.years, code.confidence);
            self.where_it_stands("ranges", range.place.as_deref(), range.beside.as_deref());
        }
        for row in &code.rows {
            self.row(row, code.confidence);
        }
    }

    fn row(&mut self, row: &CodeRow, confidence: Confidence) {
        self.not_empty("rows", &row.words);
        self.years("rows", &row.years, confidence);
        self.where_it_stands("rows", row.place.as_deref(), row.beside.as_deref());
        for [feature, state] in row.shown_by.iter().chain(&row.also) {
            self.state("rows", feature, state);
        }
        if row.struck.is_empty() {
            return;
        }
        self.struck("rows", &row.struck);
        let bare = !row.struck.contains(char::is_alphabetic);
        if bare && row.place.is_none() && row.beside.is_none() {
            self.fault("rows", format!("“{}”: a bare number needs a place or a wording beside it", row.struck));
        }
    }

    fn where_it_stands(&mut self, field: &str, place: Option<&str>, beside: Option<&str>) {
        if let Some(place) = place {
            self.place(field, place);
        }
        if let Some(beside) = beside {
            self.struck(field, beside);
        }
    }

    fn letter_key(&mut self, code: &DateCode) {
        if code.letters.values().any(|digit| *digit > 9) {
            self.fault("letters", "a letter stands for one digit, 0 to 9");
        }
        if code.shape.is_none() {
            self.fault("shape", "a letter key needs the shape of a code, such as &&");
        }
        if code.century.is_none() {
            self.fault("century", "a letter key needs its century, such as 19");
        }
        for (example, year) in &code.examples {
            match code.year_of_letters(example) {
                Some(read) if read == *year => {}
                Some(read) => self.fault("examples", format!("{example} reads as {read}, not {year}")),
                None => self.fault("examples", format!("{example} cannot be read by the key")),
            }
        }
    }
}
