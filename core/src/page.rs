//! One reel on one page, for a helper's opinion: a single HTML file that opens in any browser without a network.
//!
//! It runs nothing and fetches nothing: its own policy forbids both. Every word that came from a person or a pack is
//! escaped. Private notes are not in it.

use std::fmt::Write;

use crate::observe::{About, Certainty, How, Observation, Value};
use crate::reference::Reference;
use crate::shop::{Find, FindState, Found};

/// What goes on the page beside the find itself. Lines are plain text, one sentence each.
#[derive(Debug, Clone, Copy, Default)]
pub struct Sheets<'a> {
    /// Candidates, best first, with what speaks for and against each.
    pub candidates: &'a [String],
    /// The range of years, then its reasons.
    pub years: &'a [String],
    /// What would settle it and has not been looked at.
    pub not_known: &'a [String],
    /// What the helper is asked; empty for the usual question.
    pub question: &'a str,
    /// SVG made by [`crate::drawing`]; anything else is left out.
    pub drawings: &'a [String],
    pub photos: &'a [PagePhoto<'a>],
}

/// A photo to be put into the page.
#[derive(Debug, Clone, Copy)]
pub struct PagePhoto<'a> {
    /// `image/jpeg`, `image/png` or `image/webp`; others are left out.
    pub media_type: &'a str,
    /// The bytes in base64 (RFC 4648, section 4).
    pub base64: &'a str,
    /// What it shows.
    pub words: &'a str,
}

/// The page, complete. Years and models in it are as sure as the lines handed in say.
pub fn reel_page(reference: &Reference, find: &Find, sheets: &Sheets) -> String {
    let title = if find.name.is_empty() { "A reel to name" } else { &find.name };
    let mut page = begin(title);
    about(&mut page, reference, find);
    let question = if sheets.question.trim().is_empty() { USUAL_QUESTION } else { sheets.question };
    page.element("h2", "What I would like to know");
    page.paragraphs("question", question);
    pictures(&mut page, sheets);
    seen(&mut page, reference, find);
    page.list("Which reel it may be, best first", "ol", sheets.candidates);
    page.list("When it was made, and why", "ul", sheets.years);
    page.list("What is not known yet", "ul", sheets.not_known);
    answer(&mut page, find, title);
    page.raw("</main>\n</body>\n</html>\n");
    page.0
}

/// A page of this title, open for what stands on it.
pub(crate) fn begin(title: &str) -> Page {
    let mut page = Page(String::new());
    page.raw("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    page.raw(POLICY);
    page.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    page.element("title", title);
    page.raw("<style>");
    page.raw(STYLE);
    page.raw("</style>\n</head>\n<body>\n<main>\n");
    page.element("h1", title);
    page
}

/// Nothing may run, nothing may be fetched; pictures come from the page itself.
const POLICY: &str = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; \
     style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n<meta name=\"referrer\" content=\"no-referrer\">\n";

const USUAL_QUESTION: &str = "Which reel is this, and when was it made? What makes you think so?";

const STYLE: &str = "\
h1,h2,h3,p,li,td,dd{overflow-wrap:anywhere}body{margin:0;background:#f6efdf;color:#1d1a15;font:1rem/1.5 system-ui,sans-serif}\
main{max-width:46rem;margin:0 auto;padding:1rem}\
h1{border-bottom:3px solid}h2{margin:2rem 0 .5rem;font-size:1.2rem}\
table{border-collapse:collapse;width:100%}\
th,td{text-align:left;vertical-align:top;padding:.4rem .6rem .4rem 0;border-bottom:1px solid #b9ad92;overflow-wrap:anywhere}th{overflow-wrap:break-word}\
section{break-inside:avoid}figure{margin:1rem 0}img{max-width:100%;height:auto}svg{max-width:100%;height:auto;max-height:22rem}\
.mark,pre{font-family:ui-monospace,monospace}\
pre{white-space:pre-wrap;overflow-wrap:anywhere;border:1px solid;padding:1rem;background:#fffaf0}\
.question{font-size:1.1rem}p{overflow-wrap:anywhere}\
.t-line{fill:none;stroke:currentColor;stroke-width:1.5}.t-fill{fill:#fffaf0;stroke:currentColor}\
.t-metal{fill:#d8d2c4;stroke:currentColor}.t-dark{fill:#3a352c;stroke:currentColor}.t-mark{fill:#8a5a00}\
@media print{body{background:#fff}h2{break-after:avoid}figure{break-inside:avoid}}";

fn about(page: &mut Page, reference: &Reference, find: &Find) {
    let mut rows: Vec<(&str, String)> = Vec::new();
    rows.push((
        "Taken to be",
        match &find.state {
            FindState::Open => "not settled".into(),
            FindState::NotKnown => "not known".into(),
            FindState::Confirmed { model, .. } => model_name(reference, model),
        },
    ));
    if !find.place.is_empty() {
        rows.push(("Found at", find.place.clone()));
    }
    if let Some(price) = &find.asking_price {
        rows.push(("Asking price", price.to_string()));
    }
    page.raw("<table>\n");
    for (what, words) in &rows {
        page.row(what, words, "");
    }
    page.raw("</table>\n");
    for note in [&find.note, &find.sheet.note] {
        page.paragraphs("", note);
    }
}

fn model_name(reference: &Reference, id: &str) -> String {
    reference.model(id).map_or(id.to_owned(), |model| format!("{} {}", reference.maker_name(&model.maker), model.name))
}

fn pictures(page: &mut Page, sheets: &Sheets) {
    if sheets.photos.iter().any(is_picture) {
        page.element("h2", "Photos");
    }
    for one in sheets.photos {
        photo(page, one);
    }
    let drawings = sheets.drawings.iter().filter(|svg| is_drawing(svg)).collect::<Vec<_>>();
    if !drawings.is_empty() {
        page.element("h2", "Drawn from what was seen");
    }
    for svg in drawings {
        page.raw("<figure aria-hidden=\"true\">");
        page.raw(svg);
        page.raw("</figure>\n");
    }
}

/// A photo with its words; nothing if it is none.
pub(crate) fn photo(page: &mut Page, photo: &PagePhoto) {
    if !is_picture(photo) {
        return;
    }
    let alt = if photo.words.is_empty() { "Photo of the reel" } else { photo.words };
    page.raw("<figure><img alt=\"");
    page.text(alt);
    page.raw("\" src=\"data:");
    page.text(photo.media_type);
    page.raw(";base64,");
    page.raw(photo.base64);
    page.raw("\">");
    if !photo.words.is_empty() {
        page.element("figcaption", photo.words);
    }
    page.raw("</figure>\n");
}

fn is_picture(photo: &PagePhoto) -> bool {
    let base64 = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'+' | b'/' | b'=');
    matches!(photo.media_type, "image/jpeg" | "image/png" | "image/webp") && photo.base64.bytes().all(base64)
}

/// Our own drawings hold nothing but shapes; whatever else calls itself one stays out.
fn is_drawing(svg: &str) -> bool {
    let lower = svg.to_ascii_lowercase();
    let alien = ["<script", "<foreignobject", "<image", "<style", "<iframe", "href", "<!"];
    lower.starts_with("<svg") && lower.trim_end().ends_with("</svg>") && !alien.iter().any(|word| lower.contains(word))
}

fn seen(page: &mut Page, reference: &Reference, find: &Find) {
    page.element("h2", "What was seen");
    let current = find.sheet.current();
    if current.is_empty() {
        page.element("p", "Nothing has been noted yet.");
    } else {
        page.raw("<table>\n");
        for one in current {
            let class = if matches!(one.about, About::Mark(_)) { "mark" } else { "" };
            page.row(&asked(reference, one), &answered(reference, one), class);
        }
        page.raw("</table>\n");
    }
    let troubles: Vec<String> = find.stall.iter().flat_map(|stall| &stall.answers).filter_map(stall_line).collect();
    page.list("Tried at the stall", "ul", &troubles);
}

fn asked(reference: &Reference, seen: &Observation) -> String {
    match &seen.about {
        About::Feature(id) => reference.feature(id).map_or(id.clone(), |feature| feature.ask.clone()),
        About::Mark(id) => {
            let place = reference.mark_place(id).map_or(id.as_str(), |place| &place.label);
            format!("Marked, {place}")
        }
    }
}

fn answered(reference: &Reference, seen: &Observation) -> String {
    let mut words = match &seen.value {
        Value::State(state) => reference
            .feature(seen.about.id())
            .and_then(|feature| feature.state(state))
            .map_or(state.clone(), |state| state.label.clone()),
        Value::Count(count) => count.to_string(),
        Value::Measure { amount, unit } => {
            let error = seen.plus_minus.map_or_else(String::new, |error| format!(" ± {error}"));
            format!("{amount}{error} {}", unit.symbol()).trim_end().to_owned()
        }
        Value::Text(text) => text.clone(),
        Value::Absent => "not there".into(),
        Value::Unclear | Value::TakenBack(_) => "could not tell".into(),
    };
    words.push_str(match seen.certainty {
        Certainty::Sure => "",
        Certainty::Likely => " (likely)",
        Certainty::Guess => " (a guess)",
    });
    words.push_str(match seen.how {
        How::Eye => "",
        How::Ruler => ", by ruler",
        How::Calliper => ", by calliper",
        How::Scale => ", by scale",
        How::Photo => ", from a photo",
    });
    words
}

fn stall_line(answer: &crate::shop::StallAnswer) -> Option<String> {
    let found = match answer.found {
        Found::Sound => "sound",
        Found::Trouble => "trouble",
        Found::CantTell => "could not tell",
    };
    let what = answer.check.replace(['-', '_'], " ");
    Some(if answer.words.is_empty() {
        format!("{what}: {found}")
    } else {
        format!("{what}: {found}. {}", answer.words)
    })
}

/// Plain text that survives copying into any message.
fn answer(page: &mut Page, find: &Find, title: &str) {
    page.element("h2", "Your answer");
    page.element(
        "p",
        "Copy these lines into a message, fill them in and send them back. Leave out what you don't know.",
    );
    let short = find.id.get(..8).unwrap_or(&find.id);
    let form = format!(
        "Reel: {title} ({short})\nI think it is (maker, model, variant):\nMade about (from, to):\nHow sure (sure, likely, a \
         guess):\nWhat makes me think so:\nWhat I would look at next:\nFrom:"
    );
    page.element("pre", &form);
}

/// The page so far. Only `raw` writes without escaping, and it is given nothing but our own markup, pictures checked to
/// be base64, and our own drawings.
pub(crate) struct Page(pub(crate) String);

impl Page {
    pub(crate) fn raw(&mut self, markup: &str) {
        self.0.push_str(markup);
    }

    pub(crate) fn text(&mut self, words: &str) {
        for c in words.chars() {
            match c {
                '&' => self.0.push_str("&amp;"),
                '<' => self.0.push_str("&lt;"),
                '>' => self.0.push_str("&gt;"),
                '"' => self.0.push_str("&quot;"),
                '\'' => self.0.push_str("&#39;"),
                // HTML has no way to write these; they would make the page ill-formed.
                '\0' => self.0.push('\u{FFFD}'),
                c => self.0.push(c),
            }
        }
    }

    pub(crate) fn element(&mut self, tag: &str, words: &str) {
        let _ = write!(self.0, "<{tag}>");
        self.text(words);
        let _ = writeln!(self.0, "</{tag}>");
    }

    /// One paragraph a line; nothing for no words.
    pub(crate) fn paragraphs(&mut self, class: &str, words: &str) {
        for line in words.lines().filter(|line| !line.trim().is_empty()) {
            self.raw(if class.is_empty() { "<p>" } else { "<p class=\"question\">" });
            self.text(line);
            self.raw("</p>\n");
        }
    }

    pub(crate) fn row(&mut self, what: &str, words: &str, class: &str) {
        self.raw("<tr><th scope=\"row\">");
        self.text(what);
        self.raw(if class.is_empty() { "</th><td>" } else { "</th><td class=\"mark\">" });
        self.text(words);
        self.raw("</td></tr>\n");
    }

    /// A heading with its list; nothing at all if there are no lines.
    pub(crate) fn list(&mut self, heading: &str, tag: &str, lines: &[String]) {
        if lines.is_empty() {
            return;
        }
        self.element("h2", heading);
        let _ = writeln!(self.0, "<{tag}>");
        for line in lines {
            self.element("li", line);
        }
        let _ = writeln!(self.0, "</{tag}>");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observe::{Unit, Value};
    use crate::shop::{Price, SetAside, StallAnswer, StallCheck};
    use proptest::prelude::*;

    const ID: &str = "000102030405060708090a0b0c0d0e0f";

    fn find(words: &str) -> Find {
        let mut find = Find::new(ID, 1);
        find.name = words.into();
        find.place = words.into();
        find.note = words.into();
        find.sheet.note = words.into();
        find.sheet.seen = vec![
            Observation::mark(words, words),
            Observation::state(words, words),
            Observation::measure("spool_diameter", 2.25, Unit::In, How::Calliper).with(Certainty::Likely),
            Observation::of(About::feature("bail"), Value::Absent),
        ];
        find.state = FindState::Confirmed { model: words.into(), variant: None };
        find.stall = Some(StallCheck {
            answers: vec![StallAnswer { check: words.into(), found: Found::Trouble, words: words.into() }],
        });
        find.set_aside = vec![SetAside { what: "place".into(), was: "SET ASIDE".into() }];
        find
    }

    #[test]
    fn the_page_tells_what_was_seen_and_asks() {
        let mut find = find("Black reel");
        find.asking_price = Price::parse("12.50", "EUR").ok();
        find.private_note = "PRIVATE".into();
        let drawings = ["<svg viewBox=\"0 0 9 9\"><circle r=\"3\" class=\"t-line\"/></svg>".to_owned()];
        let sheets = Sheets {
            candidates: &["Demo Works No. 2: 61 %.".into()],
            years: &["Between 1950 and 1960.".into()],
            not_known: &["The stamp under the foot.".into()],
            question: "",
            drawings: &drawings,
            photos: &[PagePhoto { media_type: "image/jpeg", base64: "/9j/2Q==", words: "Tail plate" }],
        };
        let page = reel_page(&Reference::default(), &find, &sheets);
        assert!(!page.contains("PRIVATE") && !page.contains("SET ASIDE"));
        let body = &page[page.find("<body>").unwrap()..];
        insta::assert_snapshot!(body, @r##"
        <body>
        <main>
        <h1>Black reel</h1>
        <table>
        <tr><th scope="row">Taken to be</th><td>Black reel</td></tr>
        <tr><th scope="row">Found at</th><td>Black reel</td></tr>
        <tr><th scope="row">Asking price</th><td>12.50 EUR</td></tr>
        </table>
        <p>Black reel</p>
        <p>Black reel</p>
        <h2>What I would like to know</h2>
        <p class="question">Which reel is this, and when was it made? What makes you think so?</p>
        <h2>Photos</h2>
        <figure><img alt="Tail plate" src="data:image/jpeg;base64,/9j/2Q=="><figcaption>Tail plate</figcaption>
        </figure>
        <h2>Drawn from what was seen</h2>
        <figure aria-hidden="true"><svg viewBox="0 0 9 9"><circle r="3" class="t-line"/></svg></figure>
        <h2>What was seen</h2>
        <table>
        <tr><th scope="row">Marked, Black reel</th><td class="mark">Black reel</td></tr>
        <tr><th scope="row">Black reel</th><td>Black reel</td></tr>
        <tr><th scope="row">spool_diameter</th><td>2.25 in (likely), by calliper</td></tr>
        <tr><th scope="row">bail</th><td>not there</td></tr>
        </table>
        <h2>Tried at the stall</h2>
        <ul>
        <li>Black reel: trouble. Black reel</li>
        </ul>
        <h2>Which reel it may be, best first</h2>
        <ol>
        <li>Demo Works No. 2: 61 %.</li>
        </ol>
        <h2>When it was made, and why</h2>
        <ul>
        <li>Between 1950 and 1960.</li>
        </ul>
        <h2>What is not known yet</h2>
        <ul>
        <li>The stamp under the foot.</li>
        </ul>
        <h2>Your answer</h2>
        <p>Copy these lines into a message, fill them in and send them back. Leave out what you don&#39;t know.</p>
        <pre>Reel: Black reel (00010203)
        I think it is (maker, model, variant):
        Made about (from, to):
        How sure (sure, likely, a guess):
        What makes me think so:
        What I would look at next:
        From:</pre>
        </main>
        </body>
        </html>
        "##);
        let head = &page[..page.find("<style>").unwrap()];
        insta::assert_snapshot!(head, @r#"
        <!doctype html>
        <html lang="en">
        <head>
        <meta charset="utf-8">
        <meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'">
        <meta name="referrer" content="no-referrer">
        <meta name="viewport" content="width=device-width, initial-scale=1">
        <title>Black reel</title>
        "#);
    }

    #[test]
    fn an_empty_find_still_makes_a_page() {
        let page = reel_page(&Reference::default(), &Find::new(ID, 1), &Sheets::default());
        assert!(page.contains("<h1>A reel to name</h1>"));
        assert!(page.contains("Nothing has been noted yet."));
        assert!(page.contains(USUAL_QUESTION));
        assert!(!page.contains("<ol>") && !page.contains("Photos"));
    }

    #[test]
    fn what_is_no_picture_of_ours_stays_out() {
        let drawings = [
            "<svg><script>x</script></svg>".to_owned(),
            "<svg><image href=\"http://demo.example/x\"/></svg>".to_owned(),
            "<img src=x>".to_owned(),
        ];
        let photos = [
            PagePhoto { media_type: "image/svg+xml", base64: "AAAA", words: "" },
            PagePhoto { media_type: "image/png", base64: "AA\"><b>", words: "" },
        ];
        let sheets = Sheets { drawings: &drawings, photos: &photos, ..Sheets::default() };
        let page = reel_page(&Reference::default(), &Find::new(ID, 1), &sheets);
        assert!(!page.contains("<svg") && !page.contains("<img") && !page.contains("script"));
    }

    /// The markup of a page: every tag with its attributes, in order.
    fn tags(page: &str) -> Vec<&str> {
        let mut rest = page;
        let mut tags = Vec::new();
        while let Some(start) = rest.find('<') {
            let end = rest[start..].find('>').map_or(rest.len(), |at| start + at + 1);
            tags.push(&rest[start..end]);
            rest = &rest[end..];
        }
        tags
    }

    fn page_of(words: &str) -> String {
        let lines = [words.to_owned()];
        let photos = [PagePhoto { media_type: "image/png", base64: "AAAA", words }];
        let sheets = Sheets {
            candidates: &lines,
            years: &lines,
            not_known: &lines,
            question: words,
            drawings: &[],
            photos: &photos,
        };
        reel_page(&Reference::default(), &find(words), &sheets)
    }

    proptest! {
        #[test]
        fn no_word_becomes_markup(words in r#"[a<>&"'/= !\-]{1,30}"#) {
            prop_assume!(!words.trim().is_empty());
            let plain = "a".repeat(3);
            let alt = format!("alt=\"{}\"", escaped(&words));
            let page = page_of(&words).replace(&alt, "alt=\"aaa\"");
            let (hostile, tame) = (tags(&page), page_of(&plain));
            prop_assert_eq!(hostile, tags(&tame));
        }
    }

    fn escaped(words: &str) -> String {
        let mut page = Page(String::new());
        page.text(words);
        page.0
    }
}
