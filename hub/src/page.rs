//! Plain text no wider than a terminal: sentences, and columns whose last one wraps.

/// Widest line, in characters.
pub const WIDTH: usize = 100;

/// Text under way.
#[derive(Default)]
pub struct Page(String);

impl Page {
    /// A sentence, wrapped.
    pub fn say(&mut self, text: &str) {
        self.hang("", text);
    }

    /// An empty line and a heading.
    pub fn heading(&mut self, text: &str) {
        if !self.0.is_empty() {
            self.0.push('\n');
        }
        self.say(text);
    }

    /// A sentence behind a lead, its later lines under the first.
    pub fn hang(&mut self, lead: &str, text: &str) {
        let indent = lead.chars().count();
        let mut line = lead.to_owned();
        let mut length = indent;
        let mut empty = true;
        for word in text.split_whitespace() {
            let word_length = word.chars().count();
            if !empty && length + 1 + word_length > WIDTH {
                self.put(&line);
                line = " ".repeat(indent);
                length = indent;
                empty = true;
            }
            if !empty {
                line.push(' ');
                length += 1;
            }
            line.push_str(word);
            length += word_length;
            empty = false;
        }
        self.put(&line);
    }

    /// Rows of cells, two spaces in; each column as wide as its widest cell, the last one wrapped.
    pub fn columns(&mut self, rows: &[Vec<String>]) {
        let count = rows.iter().map(Vec::len).max().unwrap_or(0);
        let width = |column: usize| {
            rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
        };
        let widths: Vec<usize> = (0..count).map(width).collect();
        for row in rows {
            let Some((last, others)) = row.split_last() else {
                continue;
            };
            let mut lead = "  ".to_owned();
            for (cell, width) in others.iter().zip(&widths) {
                lead.push_str(cell);
                lead.extend(std::iter::repeat_n(' ', width + 2 - cell.chars().count()));
            }
            self.hang(&lead, last);
        }
    }

    fn put(&mut self, line: &str) {
        self.0.push_str(line.trim_end());
        self.0.push('\n');
    }

    pub fn text(self) -> String {
        self.0
    }
}

/// A chance as people say it; the ends are never called certain.
pub fn percent(chance: f64) -> String {
    match chance * 100.0 {
        p if p > 99.0 => "> 99 %".into(),
        p if p < 1.0 => "< 1 %".into(),
        p => format!("{p:.0} %"),
    }
}

/// A span of years in words.
pub fn years(from: Option<i32>, to: Option<i32>) -> String {
    match (from, to) {
        (Some(from), Some(to)) if from == to => from.to_string(),
        (Some(from), Some(to)) => format!("{from} to {to}"),
        (Some(from), None) => format!("{from} or later"),
        (None, Some(to)) => format!("{to} or earlier"),
        (None, None) => "no years".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_and_the_last_one_wraps_inside_the_width() {
        let mut page = Page::default();
        let long = "a word ".repeat(30);
        page.columns(&[vec!["1".into(), "short".into(), long], vec!["22".into(), "é".into(), "end".into()]]);
        let text = page.text();
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH), "{text}");
        let column = text.lines().next().unwrap().find("a word").unwrap();
        assert!(text.lines().nth(1).unwrap().starts_with(&" ".repeat(column)));
        assert_eq!(text.lines().last().unwrap(), "  22  é      end");
    }
}
