//! From text to claims.

use crate::order;
use crate::reference::Reference;

use super::lexicon::{Entry, Hit, Small};
use super::names::Names;
use super::text::{Word, words};
use super::{Claim, ClaimKind, Firm, Meaning, eras, marks, sizes, things};

/// Claims read at most; a longer text repeats itself.
pub const CLAIMS_MAX: usize = 200;

/// A claim under way: the words it takes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    pub at: usize,
    pub end: usize,
    pub kind: ClaimKind,
    pub meaning: Meaning,
    pub denied: bool,
}

impl Found {
    pub fn new(kind: ClaimKind, at: usize, end: usize, meaning: Meaning) -> Self {
        Self { at, end, kind, meaning, denied: false }
    }
}

/// The text as it is worked on.
pub(super) struct Page<'a> {
    pub text: &'a str,
    pub words: Vec<Word>,
    pub hits: Vec<Hit>,
    /// Where the hits of each word begin, and one place more.
    first_hit: Vec<usize>,
    pub reference: &'a Reference,
    pub names: &'a Names,
    /// Words that a size, a price or a quoted mark has taken: no year and no model's number.
    pub taken: Vec<bool>,
}

impl<'a> Page<'a> {
    fn of(text: &'a str, reader: &'a Reader) -> Self {
        let Reader { names, reference } = reader;
        let words = words(text);
        let hits = names.lexicon.find(text, &words);
        let mut first_hit = vec![0; words.len() + 1];
        hits.iter().for_each(|hit| first_hit[hit.at + 1] += 1);
        for at in 0..words.len() {
            first_hit[at + 1] += first_hit[at];
        }
        let taken = vec![false; words.len()];
        Self { text, words, hits, first_hit, reference, names, taken }
    }

    /// What stands between a word and the one before it.
    pub fn gap_before(&self, at: usize) -> &'a str {
        let from = if at == 0 { 0 } else { self.words[at - 1].end };
        self.words.get(at).map_or(&self.text[from..], |word| &self.text[from..word.start])
    }

    pub fn take(&mut self, at: usize, end: usize) {
        self.taken[at..end].iter_mut().for_each(|taken| *taken = true);
    }

    /// Small words of one sort.
    pub fn small(&self, wanted: Small) -> impl Iterator<Item = &Hit> {
        self.hits.iter().filter(move |hit| hit.entry == Entry::Small(wanted))
    }

    /// Hits that begin at a word; the longest first.
    pub fn hits_at(&self, at: usize) -> &[Hit] {
        match (self.first_hit.get(at), self.first_hit.get(at + 1)) {
            (Some(from), Some(to)) => &self.hits[*from..*to],
            _ => &[],
        }
    }

    pub fn small_at(&self, at: usize, wanted: Small) -> Option<&Hit> {
        self.hits_at(at).iter().find(|hit| hit.entry == Entry::Small(wanted))
    }

    /// A small word that ends just before a word of the same sentence.
    pub fn small_before(&self, at: usize, wanted: Small) -> Option<&Hit> {
        let sentence = self.words.get(at)?.sentence;
        (at.saturating_sub(5)..at)
            .flat_map(|from| self.hits_at(from))
            .find(|hit| hit.end == at && hit.entry == Entry::Small(wanted) && self.words[hit.at].sentence == sentence)
    }

    pub fn same_clause(&self, a: usize, b: usize) -> bool {
        self.words[a].clause == self.words[b].clause
    }

    pub fn same_sentence(&self, a: usize, b: usize) -> bool {
        self.words[a].sentence == self.words[b].sentence
    }
}

/// All words that mean something, made ready once for many texts.
pub struct Reader<'a> {
    names: Names,
    reference: &'a Reference,
}

/// [`Reader::read`] for one text.
pub fn read(text: &str, reference: &Reference) -> Vec<Claim> {
    Reader::of(reference).read(text)
}

impl<'a> Reader<'a> {
    pub fn of(reference: &'a Reference) -> Self {
        Self { names: Names::of(reference), reference }
    }

    /// Reads the claims of a text, in its order. A claim made twice is listed once, where it first stands.
    pub fn read(&self, text: &str) -> Vec<Claim> {
        claims(Page::of(text, self))
    }
}

fn claims(mut page: Page) -> Vec<Claim> {
    let text = page.text;
    let mut found: Vec<Found> = marks::read(&mut page);
    found.extend(sizes::read(&mut page));
    let named = things::names(&page);
    found.extend(eras::read(&mut page, &named));
    found.extend(things::models(&page, &named));
    found.extend(things::makers(&page));
    found.extend(things::said(&page));
    order::by(&mut found, |a, b| (a.at, a.end, a.kind).cmp(&(b.at, b.end, b.kind)));
    deny(&page, &mut found);

    let doubted: Vec<u32> = page.small(Small::Doubt).map(|hit| page.words[hit.at].clause).collect();
    let vouched: Vec<u32> = page.small(Small::Sure).map(|hit| page.words[hit.at].clause).collect();
    let mut claims: Vec<Claim> = Vec::new();
    for found in found {
        if claims.len() == CLAIMS_MAX {
            break;
        }
        let same =
            |claim: &Claim| claim.kind == found.kind && claim.denied == found.denied && claim.meaning == found.meaning;
        let firm = firm(&page, &found, &doubted, &vouched);
        // A likeness told once more as a fact is another claim.
        if claims.iter().any(|claim| same(claim) && (claim.firm == Firm::Likeness) == (firm == Firm::Likeness)) {
            continue;
        }
        let (start, end) = (page.words[found.at].start, page.words[found.end - 1].end);
        claims.push(Claim {
            kind: found.kind,
            start,
            end,
            quote: text[start..end].to_owned(),
            meaning: found.meaning,
            denied: found.denied,
            firm,
        });
    }
    claims
}

fn firm(page: &Page, found: &Found, doubted: &[u32], vouched: &[u32]) -> Firm {
    let clause = page.words[found.at].clause;
    let names = matches!(found.kind, ClaimKind::Maker | ClaimKind::Brand | ClaimKind::Model);
    if names && likeness(page, found) {
        return Firm::Likeness;
    }
    // A question mark at the end of the clause, not far behind.
    let asked = (found.end..found.end + 3)
        .take_while(|end| *end <= page.words.len() && page.words[end - 1].clause == clause)
        .any(|end| page.gap_before(end).trim_start_matches([' ', ')', '"', '”', '\'']).starts_with('?'));
    if asked || doubted.binary_search(&clause).is_ok() {
        Firm::Guessed
    } else if vouched.binary_search(&clause).is_ok() {
        Firm::Vouched
    } else {
        Firm::Stated
    }
}

/// `X style`, `in the manner of X`.
fn likeness(page: &Page, found: &Found) -> bool {
    let behind = found.end < page.words.len()
        && page.same_clause(found.end - 1, found.end)
        && page.small_at(found.end, Small::LikeAfter).is_some();
    let before = (found.at.saturating_sub(2)..=found.at)
        .any(|at| page.same_sentence(at, found.at) && page.small_before(at, Small::LikeBefore).is_some());
    behind || before
}

/// A denial counts for the first claim behind it, no further than three words on, and for those joined by "or".
fn deny(page: &Page, found: &mut [Found]) {
    // `found` is in order, so what stands before is settled.
    for at in 0..found.len() {
        let first = found[at].at;
        let deniable = !matches!(found[at].kind, ClaimKind::Mark | ClaimKind::Measure | ClaimKind::Count);
        if !deniable {
            continue;
        }
        // They are in order, so the one before is near.
        let near = &found[at.saturating_sub(8)..at];
        let before = near.iter().filter(|other| other.end <= first).max_by_key(|other| other.end).cloned();
        let from = before.as_ref().map_or(0, |other| other.end);
        let mut denied = false;
        for place in (from.max(first.saturating_sub(4))..=first).rev() {
            if !page.same_clause(place, first) {
                break;
            }
            let Some(denial) = page.small_before(place, Small::Denial) else { continue };
            // `No. 7` is a number, not a denial.
            let number = page.words[denial.end - 1].is("NO")
                && (page.gap_before(denial.end).contains('.') || page.words[place].begins_with_figure());
            denied |= !number && denial.at >= from;
        }
        if let Some(before) = before.filter(|before| before.denied && before.kind == found[at].kind) {
            let between = &page.words[before.end..first];
            denied |= between.len() <= 2 && between.iter().any(|word| word.is("OR") || word.is("NOR"));
        }
        found[at].denied = denied;
    }
}
