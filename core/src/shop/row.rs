//! A record in one line, for lists and search: what a screen shows of it before it is opened.

use super::{Customer, Find, FindState, Fitment, House, Job, Need, Part, Reel, money};
use crate::observe::Value;
use crate::record::{Kind, Record};

/// One line of a list. Kept beside the record, so that ten thousand are listed without opening one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    pub kind: Kind,
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    pub deleted: bool,
    /// Nothing more is to be done about it: a closed job, a settled need, a reel accounted for.
    pub done: bool,
    /// The person's own name for it.
    pub name: String,
    /// Id of the model it was confirmed as, or is for.
    pub model: String,
    /// State of `reel_kind`.
    pub reel_kind: String,
    pub tag: String,
    /// Where it stands: a word of its own list.
    pub word: String,
    /// What it belongs to: a reel's job, a job's customer, a need's reel.
    pub of: String,
    /// The small line under the name.
    pub line: String,
    /// SHA-256 of its first photo.
    pub photo: String,
    /// Since when it stands so, in milliseconds since 1970.
    pub since_ms: i64,
    /// A job: what was agreed, without tax, and what was paid; nothing where its prices don't add up.
    pub agreed_hundredths: i64,
    pub paid_hundredths: i64,
    /// Everything that a search looks at, in lower case.
    pub text: String,
}

/// Between fields; ASCII's own sign for it, taken out of what people typed.
const BETWEEN: char = '\u{1f}';
/// Between rows that are kept together.
const BETWEEN_ROWS: char = '\u{1e}';
/// So much of a record's words is searched: a long work log stays readable, and ten thousand fit a phone.
const TEXT_MAX: usize = 600;

impl Row {
    /// What every record can say of itself.
    pub fn of<R: Record>(record: &R) -> Self {
        let mut text = record.search_text();
        if let Some((end, _)) = text.char_indices().find(|(at, _)| *at >= TEXT_MAX) {
            text.truncate(end);
        }
        Self {
            kind: R::KIND,
            id: record.id().to_owned(),
            made_ms: record.made_ms(),
            changed_ms: record.changed_ms(),
            deleted: record.is_deleted(),
            done: false,
            name: String::new(),
            model: String::new(),
            reel_kind: String::new(),
            tag: String::new(),
            word: String::new(),
            of: String::new(),
            line: String::new(),
            photo: String::new(),
            since_ms: record.made_ms(),
            agreed_hundredths: 0,
            paid_hundredths: 0,
            text,
        }
    }

    /// As one line of text.
    pub fn to_line(&self) -> String {
        let flags = format!("{}{}", u8::from(self.deleted), u8::from(self.done));
        let figures = [self.made_ms, self.changed_ms, self.since_ms, self.agreed_hundredths, self.paid_hundredths];
        let [made, changed, since, agreed, paid] = figures.map(|figure| figure.to_string());
        let fields: [&str; 17] = [
            self.kind.word(),
            &self.id,
            &made,
            &changed,
            &flags,
            &self.name,
            &self.model,
            &self.reel_kind,
            &self.tag,
            &self.word,
            &self.of,
            &self.line,
            &self.photo,
            &since,
            &agreed,
            &paid,
            &self.text,
        ];
        fields.map(|field| field.replace([BETWEEN, BETWEEN_ROWS], " ")).join("\u{1f}")
    }

    /// Reads [`Row::to_line`]; none if it is of another form.
    pub fn of_line(line: &str) -> Option<Self> {
        let fields: Vec<&str> = line.split(BETWEEN).collect();
        let [
            kind,
            id,
            made,
            changed,
            flags,
            name,
            model,
            reel_kind,
            tag,
            word,
            of,
            small,
            photo,
            since,
            agreed,
            paid,
            text,
        ] = fields[..]
        else {
            return None;
        };
        let own = str::to_owned;
        Some(Self {
            kind: Kind::of(kind)?,
            id: own(id),
            made_ms: made.parse().ok()?,
            changed_ms: changed.parse().ok()?,
            deleted: flags.starts_with('1'),
            done: flags.ends_with('1'),
            name: own(name),
            model: own(model),
            reel_kind: own(reel_kind),
            tag: own(tag),
            word: own(word),
            of: own(of),
            line: own(small),
            photo: own(photo),
            since_ms: since.parse().ok()?,
            agreed_hundredths: agreed.parse().ok()?,
            paid_hundredths: paid.parse().ok()?,
            text: own(text),
        })
    }
}

/// Rows kept in one piece: ten thousand are read much faster so than one by one.
///
/// ```
/// use tailplate_core::record::Record;
/// use tailplate_core::shop::{Customer, RowBlock};
///
/// let mut customer = Customer::new("000102030405060708090a0b0c0d0e0f", 1);
/// let mut block = RowBlock::default();
/// block.put(&customer.row());
/// customer.name = "Mara Quill".into();
/// block.put(&customer.row());
/// assert_eq!(block.rows().map(|row| row.name).collect::<Vec<_>>(), ["Mara Quill"]);
/// block.remove(&customer.id);
/// assert_eq!(block.rows().count(), 0);
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RowBlock(String);

impl RowBlock {
    /// Of as many blocks, this is where the rows of a record stand.
    pub const COUNT: u32 = 128;

    /// The number of the block in which a record's row is.
    pub fn of(id: &str) -> u32 {
        // Ids are random at their ends.
        id.bytes().rev().take(4).fold(0, |sum, byte| sum * 17 + u32::from(byte)) % Self::COUNT
    }

    /// As [`RowBlock::bytes`] wrote it; what can't be read is left out.
    pub fn read(bytes: Vec<u8>) -> Self {
        Self(String::from_utf8(bytes).unwrap_or_default())
    }

    pub fn bytes(&self) -> &[u8] {
        self.0.as_bytes()
    }

    /// The row is there once, as it is now.
    pub fn put(&mut self, row: &Row) {
        self.remove(&row.id);
        if !self.0.is_empty() {
            self.0.push(BETWEEN_ROWS);
        }
        self.0.push_str(&row.to_line());
    }

    pub fn remove(&mut self, id: &str) {
        if self.lines().any(|line| id_of(line) == id) {
            let others: Vec<&str> = self.lines().filter(|line| id_of(line) != id).collect();
            self.0 = others.join("\u{1e}");
        }
    }

    pub fn row(&self, id: &str) -> Option<Row> {
        Row::of_line(self.lines().find(|line| id_of(line) == id)?)
    }

    pub fn rows(&self) -> impl Iterator<Item = Row> {
        self.lines().filter_map(Row::of_line)
    }

    fn lines(&self) -> impl Iterator<Item = &str> {
        self.0.split(BETWEEN_ROWS)
    }
}

fn id_of(line: &str) -> &str {
    line.split(BETWEEN).nth(1).unwrap_or_default()
}

/// Not empty, joined by a dot.
fn line(parts: &[&str]) -> String {
    parts.iter().filter(|part| !part.is_empty()).copied().collect::<Vec<_>>().join(" · ")
}

fn model_of(state: &FindState) -> String {
    match state {
        FindState::Confirmed { model, .. } => model.clone(),
        _ => String::new(),
    }
}

pub(super) fn of_find(find: &Find) -> Row {
    let kind = match find.sheet.answer("reel_kind").map(|seen| &seen.value) {
        Some(Value::State(kind)) => kind.clone(),
        _ => String::new(),
    };
    let price = find.asking_price.as_ref().map(ToString::to_string).unwrap_or_default();
    Row {
        name: find.name.clone(),
        model: model_of(&find.state),
        reel_kind: kind,
        word: find.state.word().into(),
        line: line(&[&find.place, &price]),
        photo: find.photos.first().map(|photo| photo.sha256.clone()).unwrap_or_default(),
        ..Row::of(find)
    }
}

pub(super) fn of_customer(customer: &Customer) -> Row {
    Row { name: customer.name.clone(), line: line(&[&customer.phone, &customer.email]), ..Row::of(customer) }
}

pub(super) fn of_job(job: &Job) -> Row {
    let sums = money::sums(job, None).unwrap_or_default();
    Row {
        agreed_hundredths: sums.lines_hundredths,
        paid_hundredths: sums.paid_hundredths,
        name: job.words.lines().next().unwrap_or_default().chars().take(80).collect(),
        done: job.closed_ms.is_some(),
        of: job.customer.clone().unwrap_or_default(),
        line: job.promised.clone(),
        word: if job.closed_ms.is_some() { "closed".into() } else { "open".into() },
        ..Row::of(job)
    }
}

pub(super) fn of_reel(reel: &Reel) -> Row {
    let (stand, since_ms) = reel.stand();
    Row {
        since_ms,
        name: reel.name.clone(),
        model: model_of(&reel.which),
        reel_kind: reel.kind.clone(),
        tag: reel.tag.clone(),
        done: stand.accounted_for(),
        word: stand.words().into(),
        of: reel.job.clone().unwrap_or_default(),
        line: line(&[&crate::tag::grouped(&reel.tag), &reel.lies_at]),
        photo: reel.photos.first().map(|photo| photo.sha256.clone()).unwrap_or_default(),
        ..Row::of(reel)
    }
}

pub(super) fn of_need(need: &Need) -> Row {
    Row {
        name: need.part.clone(),
        model: need.model.clone(),
        done: need.settled_ms.is_some(),
        of: need.reel.clone().unwrap_or_default(),
        word: need.urgency.to_string(),
        line: need.measures.clone(),
        ..Row::of(need)
    }
}

pub(super) fn of_part(part: &Part) -> Row {
    Row {
        name: part.role.clone(),
        model: part.model.clone(),
        done: part.left() == 0,
        of: part.donor.clone().unwrap_or_default(),
        word: part.wear.words().into(),
        line: part.place(),
        ..Row::of(part)
    }
}

pub(super) fn of_fitment(fitment: &Fitment) -> Row {
    let fact = &fitment.fact;
    Row { name: fact.roles.join(", "), line: format!("{} into {}", fact.of, fact.into), ..Row::of(fitment) }
}

/// Rows of any kind of record from its JSON, as stores keep it.
///
/// # Errors
/// The JSON is none of that kind.
pub fn row_of_json(kind: Kind, json: &str) -> crate::Result<Row> {
    fn read<R: Record>(json: &str) -> crate::Result<Row> {
        let record: R = serde_json::from_str(json)
            .map_err(|error| crate::Error::malformed(format!("This {} can't be read: {error}.", R::KIND.word())))?;
        Ok(record.row())
    }
    match kind {
        Kind::Find => read::<Find>(json),
        Kind::Customer => read::<Customer>(json),
        Kind::Job => read::<Job>(json),
        Kind::Reel => read::<Reel>(json),
        Kind::Need => read::<Need>(json),
        Kind::House => read::<House>(json),
        Kind::Part => read::<Part>(json),
        Kind::Fitment => read::<Fitment>(json),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_row_survives_its_line(name in "\\PC{0,12}", text in "[ -~\u{1f}é\n]{0,900}", done: bool) {
            let mut reel = Reel::new("000102030405060708090a0b0c0d0e0f", 5);
            reel.name = name.clone();
            reel.complaint = text;
            let row = Row { done, ..reel.row() };
            prop_assert!(row.text.len() <= TEXT_MAX + 4);
            let read = Row::of_line(&row.to_line()).unwrap();
            prop_assert_eq!(&read.name, &name.replace([BETWEEN, BETWEEN_ROWS], " "));
            prop_assert_eq!(read.to_line(), row.to_line());
            prop_assert_eq!((read.done, read.deleted), (done, false));
        }
    }

    proptest! {
        /// A block is a set of rows by id, whatever was put and removed in which order.
        #[test]
        fn a_block_holds_what_was_put_last(doings in prop::collection::vec((0_u8..6, any::<bool>(), "[a-z\u{1e}\u{1f} ]{0,8}"), 0..40)) {
            let (mut block, mut wanted) = (RowBlock::default(), std::collections::BTreeMap::new());
            for (number, put, name) in doings {
                let id = format!("0001020304050607080900000000{number:04x}");
                if put {
                    let mut customer = Customer::new(&id, 1);
                    customer.name = name.clone();
                    block.put(&customer.row());
                    wanted.insert(id, name.replace([BETWEEN, BETWEEN_ROWS], " "));
                } else {
                    block.remove(&id);
                    wanted.remove(&id);
                }
                block = RowBlock::read(block.bytes().to_vec());
            }
            let held: std::collections::BTreeMap<_, _> = block.rows().map(|row| (row.id, row.name)).collect();
            prop_assert_eq!(block.rows().count(), held.len());
            prop_assert_eq!(&held, &wanted);
            for (id, name) in wanted {
                prop_assert_eq!(block.row(&id).map(|row| row.name), Some(name));
            }
        }
    }

    #[test]
    fn a_line_of_another_form_is_no_row() {
        assert_eq!(Row::of_line(""), None);
        assert_eq!(Row::of_line("reel\u{1f}x"), None);
    }
}
