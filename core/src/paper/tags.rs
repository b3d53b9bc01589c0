//! Tags for reels, on a roll or on a sheet of labels, and small stickers.

use super::reel_name;
use crate::page::Page;
use crate::reference::Reference;
use crate::shop::{House, Reel};
use crate::tag::{grouped, qr};

/// What the tags are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// Each label a page of its own.
    Roll62x29,
    A4Of24,
    LetterOf30,
}

impl Layout {
    pub const ALL: [Self; 3] = [Self::Roll62x29, Self::A4Of24, Self::LetterOf30];

    pub fn word(self) -> &'static str {
        match self {
            Self::Roll62x29 => "roll",
            Self::A4Of24 => "a4",
            Self::LetterOf30 => "letter",
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Self::Roll62x29 => "Roll, 62 × 29 mm",
            Self::A4Of24 => "A4, 24 labels of 70 × 37 mm",
            Self::LetterOf30 => "Letter, 30 labels of 66.7 × 25.4 mm",
        }
    }

    /// Labels on one page.
    pub fn per_page(self) -> usize {
        match self {
            Self::Roll62x29 => 1,
            Self::A4Of24 => 24,
            Self::LetterOf30 => 30,
        }
    }
}

/// Tags of reels that have a code. `first`: the first free label of a sheet that was begun, from 0.
pub fn tags(house: &House, reference: &Reference, reels: &[Reel], layout: Layout, first: usize) -> String {
    let labels = reels.iter().filter(|reel| !reel.tag.is_empty()).map(|reel| {
        let mut label = Page(String::new());
        label.raw("<div class=\"label\">");
        if let Ok(symbol) = qr(&reel.tag) {
            label.raw(&symbol.svg(&grouped(&reel.tag)));
        }
        label.raw("<div><b class=\"code\">");
        label.text(&grouped(&reel.tag));
        label.raw("</b><span>");
        label.text(&reel_name(reference, reel));
        label.raw("</span><small>");
        label.text(&house.name);
        label.raw("</small></div></div>");
        label.0
    });
    pages(labels.collect(), layout, first)
}

/// Words for small stickers: a spool (line, strength, date), a bag, a box. One for each paragraph between empty lines.
pub fn stickers(words: &str, layout: Layout, first: usize) -> String {
    let labels = words.split("\n\n").map(str::trim).filter(|words| !words.is_empty()).map(|words| {
        let mut label = Page(String::new());
        label.raw("<div class=\"label\"><div>");
        label.paragraphs("", words);
        label.raw("</div></div>");
        label.0
    });
    pages(labels.collect(), layout, first)
}

fn pages(labels: Vec<String>, layout: Layout, first: usize) -> String {
    let free = first % layout.per_page();
    let mut all = vec!["<div class=\"label\"></div>".to_owned(); free];
    all.extend(labels);
    let page = |labels: &[String]| format!("<section class=\"labels {}\">{}</section>", layout.word(), labels.concat());
    all.chunks(layout.per_page()).map(page).collect()
}
