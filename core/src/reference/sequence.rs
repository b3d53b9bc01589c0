//! Several packs in one file, so that a start asks for one thing: a JSON text sequence, [RFC 7464].
//!
//! [RFC 7464]: https://www.rfc-editor.org/rfc/rfc7464

/// Before each text. JSON itself never holds it: in a string it is written otherwise.
const BEFORE_TEXT: char = '\u{1e}';

/// ```
/// use tailplate_core::reference::sequence;
/// let all = sequence::join(["[1]", "{}"]);
/// assert_eq!(sequence::texts(&all).collect::<Vec<_>>(), ["[1]", "{}"]);
/// ```
pub fn join<'a>(texts: impl IntoIterator<Item = &'a str>) -> String {
    texts.into_iter().map(|text| format!("{BEFORE_TEXT}{text}\n")).collect()
}

/// The texts of a sequence, in their order.
pub fn texts(sequence: &str) -> impl Iterator<Item = &str> {
    sequence.split(BEFORE_TEXT).skip(1).map(str::trim_end)
}
