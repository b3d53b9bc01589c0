//! Names of makers, brands and models, in the forms sellers write them.

use std::collections::BTreeSet;

use crate::reference::{Maker, Model, Reference};

use super::lexicon::{Entry, Lexicon, Small};
use super::text::{Word, words};

/// A name that stands on a reel and is not its maker's.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Brand {
    pub name: String,
    /// Makers known to have supplied reels of that name, by place.
    pub makers: Vec<usize>,
}

/// The lexicon of a reference, and the brands it points to.
#[derive(Debug, Default)]
pub(super) struct Names {
    pub lexicon: Lexicon,
    pub brands: Vec<Brand>,
}

impl Names {
    pub fn of(reference: &Reference) -> Self {
        let mut names = Self::default();
        let plain = Plain::of(reference);
        let mut taken = BTreeSet::new();
        for (at, maker) in reference.makers.iter().enumerate() {
            for form in maker_forms(maker, &plain) {
                let single = !form.contains(' ');
                taken.insert(form.clone());
                names.lexicon.add(&form, Entry::Maker(at, single));
            }
            for place in &maker.places {
                let town = place.city.split(',').next().unwrap_or_default();
                names.lexicon.add(town, Entry::Town(at));
            }
        }
        let houses = reference.makers.iter().enumerate();
        for (at, maker) in houses {
            for house in &maker.house_brands {
                names.add_brand(&house.brand, at, &plain, &taken);
            }
        }
        for (at, model) in reference.models.iter().enumerate() {
            if let (Some(brand), Some(maker)) =
                (&model.brand, reference.makers.iter().position(|maker| maker.id == model.maker))
            {
                names.add_brand(brand, maker, &plain, &taken);
            }
            for number in &model.numbers {
                names.lexicon.add(number, Entry::ModelNumber(at));
            }
            for (form, is_plain) in model_forms(model, &plain) {
                names.lexicon.add(&form, Entry::ModelName(at, is_plain));
            }
        }
        names.add_selling(reference);
        names
    }

    fn add_brand(&mut self, name: &str, maker: usize, plain: &Plain, taken: &BTreeSet<String>) {
        let folded = folded(name);
        let single = !folded.contains(' ');
        if taken.contains(&folded) || plain.is(&folded) || single && folded.len() < 5 {
            return;
        }
        match self.brands.iter_mut().find(|brand| folded == self::folded(&brand.name)) {
            Some(brand) => brand.makers.push(maker),
            None => {
                self.lexicon.add(name, Entry::Brand(self.brands.len(), single));
                self.brands.push(Brand { name: name.to_owned(), makers: vec![maker] });
            }
        }
    }

    fn add_selling(&mut self, reference: &Reference) {
        let pack = &reference.selling;
        let lexicon = &mut self.lexicon;
        for (at, phrase) in pack.phrases.iter().enumerate() {
            lexicon.add_all(&phrase.words, Entry::Phrase(at));
        }
        for (at, material) in pack.materials.iter().enumerate() {
            lexicon.add_all(&material.words, Entry::Material(at));
        }
        for (at, part) in pack.parts.iter().enumerate() {
            lexicon.add_all(&part.words, Entry::Part(at));
        }
        for (at, count) in pack.counts.iter().enumerate() {
            lexicon.add_all(&count.words, Entry::Count(at));
        }
        for (at, size) in pack.sizes.iter().enumerate() {
            lexicon.add_all(&size.words, Entry::Size(at));
        }
        for (at, era) in pack.eras.iter().enumerate() {
            lexicon.add_all(&era.words, Entry::Era(at));
        }
        let years = &pack.years;
        for (phrases, small) in [
            (&pack.doubt, Small::Doubt),
            (&pack.sure, Small::Sure),
            (&pack.like_after, Small::LikeAfter),
            (&pack.like_before, Small::LikeBefore),
            (&pack.not_the_reel, Small::NotTheReel),
            (&pack.denials, Small::Denial),
            (&pack.mark_cues, Small::MarkCue),
            (&pack.serial_cues, Small::SerialCue),
            (&pack.number_cues, Small::NumberCue),
            (&pack.firm_words, Small::Firm),
            (&years.about, Small::About),
            (&years.early, Small::Early),
            (&years.mid, Small::Mid),
            (&years.late, Small::Late),
            (&years.before, Small::Before),
            (&years.after, Small::After),
            (&years.cue, Small::Cue),
            (&years.after_cue, Small::AfterCue),
            (&years.not_of_reel, Small::NotOfReel),
            (&years.old, Small::Old),
            (&years.over, Small::Over),
        ] {
            lexicon.add_all(phrases, Entry::Small(small));
        }
    }
}

/// Words too plain to name anybody, and words of a firm's name that sellers leave out.
struct Plain {
    names: BTreeSet<String>,
    company: BTreeSet<String>,
}

impl Plain {
    fn of(reference: &Reference) -> Self {
        let set = |words: &[String]| words.iter().map(|word| folded(word)).collect();
        Self { names: set(&reference.selling.plain_names), company: set(&reference.selling.company_words) }
    }
    fn is(&self, name: &str) -> bool {
        self.names.contains(name)
    }
}

/// As the lexicon reads it: upper case, words parted by one space.
fn folded(name: &str) -> String {
    let words: Vec<String> = words(name).into_iter().map(|word| word.text).collect();
    words.join(" ")
}

/// The names of a maker as sellers shorten them: without the words of a firm, without initials, or the first name as an
/// initial.
fn maker_forms(maker: &Maker, plain: &Plain) -> BTreeSet<String> {
    let mut forms = BTreeSet::new();
    for name in std::iter::once(&maker.name).chain(&maker.other_names) {
        for part in name.split([';', '/']) {
            let (outside, inside) = part.split_once('(').unwrap_or((part, ""));
            // A remark in brackets is no name.
            let inside = inside.trim_end_matches([')', ' ']);
            let is_name = inside.starts_with(char::is_uppercase) && words(inside).iter().all(|word| word.capital);
            for name in std::iter::once(outside).chain(is_name.then_some(inside)) {
                let all = words(name);
                let first_names = all.iter().any(|word| !word.capital);
                let mut rest: Vec<&str> = all.iter().map(|word| word.text.as_str()).collect();
                add(&mut forms, &rest, plain);
                while rest.len() > 1 && rest.last().is_some_and(|last| plain.company.contains(*last)) {
                    rest.pop();
                }
                add(&mut forms, &rest, plain);
                while rest.len() > 1 && rest[0].len() == 1 {
                    rest.remove(0);
                }
                add(&mut forms, &rest, plain);
                if rest.len() >= 2 && rest[0].len() >= 4 {
                    let initial =
                        rest[0][..rest[0].char_indices().nth(1).map_or(rest[0].len(), |(at, _)| at)].to_owned();
                    let mut short = vec![initial.as_str()];
                    short.extend(&rest[1..]);
                    forms.insert(short.join(" "));
                    // A surname with a small word before it tells enough: the first names are left out.
                    if first_names && rest.len() == 3 {
                        add(&mut forms, &rest[1..], plain);
                    }
                }
            }
        }
    }
    forms
}

fn add(forms: &mut BTreeSet<String>, name: &[&str], plain: &Plain) {
    let joined = name.join(" ");
    let letters = joined.chars().filter(|c| c.is_alphabetic()).count();
    let only_firm = name.iter().all(|word| plain.company.contains(*word));
    // Letters with points between (`C.A.P.`) are a name if three or more.
    if letters >= 3 && !only_firm && !plain.is(&joined) {
        forms.insert(joined);
    }
}

/// The names of a model, each with whether it needs its maker beside it.
fn model_forms(model: &Model, plain: &Plain) -> BTreeSet<(String, bool)> {
    let mut forms = BTreeSet::new();
    let name = model.name.split('(').next().unwrap_or_default();
    for part in name.replace(" and ", ",").split([',', ';', '/']) {
        let all = words(part);
        // A small letter shows a description, not a name.
        if all.is_empty() || all.iter().any(|word| !word.capital) {
            continue;
        }
        let has_letters = |word: &&Word| word.text.chars().filter(|c| c.is_alphabetic()).count() >= 3;
        let named: Vec<&str> = all.iter().filter(has_letters).map(|word| word.text.as_str()).collect();
        let whole: Vec<&str> = all.iter().map(|word| word.text.as_str()).collect();
        let letters: usize = named.iter().map(|word| word.len()).sum();
        if letters < 4 {
            continue;
        }
        let is_plain = named.len() < 2 || plain.is(&named.join(" "));
        forms.insert((whole.join(" "), is_plain));
        if whole.first() == named.first() {
            forms.insert((named.join(" "), is_plain));
        }
    }
    forms
}

/// Whether two makers are one house in some way: successor, brand, seller and supplier, or told of in the other's notes.
pub(super) fn related(reference: &Reference, a: usize, b: usize) -> bool {
    let (a, b) = (&reference.makers[a], &reference.makers[b]);
    a.id == b.id || a.seller_only || b.seller_only || speaks_of(a, b) || speaks_of(b, a)
}

fn speaks_of(maker: &Maker, other: &Maker) -> bool {
    let links = maker.predecessor.iter().chain(&maker.successor).any(|id| *id == other.id);
    let plain = other.name.split('(').next().unwrap_or_default();
    let short = words(plain).into_iter().map(|word| word.text).max_by_key(String::len).unwrap_or_default();
    let told = |text: &str| words(text).iter().any(|word| word.text == short);
    links
        || maker.house_brands.iter().any(|house| told(&house.seller) || told(&house.brand))
        || maker.notes.iter().any(|note| told(&note.text))
        || maker.other_names.iter().any(|name| told(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn forms(name: &str, others: &[&str]) -> Vec<String> {
        let set = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
        let plain = Plain { names: set(&["STAR"]), company: set(&["BROTHERS", "CO", "REEL", "WORKS", "SONS"]) };
        let maker = Maker {
            name: name.into(),
            other_names: others.iter().map(|name| (*name).to_owned()).collect(),
            ..Maker::default()
        };
        maker_forms(&maker, &plain).into_iter().collect()
    }

    #[test]
    fn sellers_shorten_the_names_of_firms() {
        assert_eq!(forms("Alder Brothers", &[]), ["A BROTHERS", "ALDER", "ALDER BROTHERS"].map(String::from)[1..]);
        assert_eq!(forms("S. Birch & Co.", &[]), ["BIRCH", "S BIRCH", "S BIRCH CO"]);
        assert_eq!(forms("Cedar (Dogwood Mfg)", &[]), ["CEDAR", "D MFG", "DOGWOOD MFG"]);
        assert_eq!(forms("Otto van Elm", &[]), ["O VAN ELM", "OTTO VAN ELM", "VAN ELM"]);
        assert_eq!(forms("Star Reel Works", &[]), ["STAR REEL WORKS"]);
    }
}
