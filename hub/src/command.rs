//! The command line: which question is asked, with what, and where the answer goes.

use std::ffi::OsString;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use lexopt::prelude::*;
use serde::Serialize;
use serde_json::json;
use tailplate_core::observe::{Observation, Sheet};
use tailplate_core::reference;
use tailplate_core::shop::Price;

use crate::answer::Desk;
use crate::keep::Task;
use crate::nearest::hint;
use crate::store::Places;
use crate::{bench, fault, input, packs, parts, tell};

pub const HELP: &str = "\
Tailplate names and dates fishing reels, and serves the app to this computer's browsers.

  tailplate serve [--app DIR] [--host ADDRESS] [--port N]
      Serve the built app. DIR is dist, ADDRESS 127.0.0.1 and N 7420 unless told otherwise.
  tailplate serve --data DIR [--name NAME]… …
      The same, and keep in DIR what paired devices send. With --host 0.0.0.0 it serves the shop's
      network by HTTPS. NAME is a further name by which this computer is called.
  tailplate export FILE, import FILE
      Everything in one file that phones read too: records, photos, and the same as plain JSON and CSV;
      and such a file taken in, joined with what is there.
  tailplate search WORDS…
      Records that hold every word.
  tailplate pair, devices [--revoke ID]
      A code that lets one device in; who is in; shut a lost one out.
  tailplate backup FILE, restore FILE, verify [FILE]
      All of it into one file; back, into an empty place; look for damage (exit status 1 if any).
      These and serve take --data DIR, --database postgres://… and --photos s3://….
  tailplate identify FILE
      Name the reel whose observations are in FILE (- for the standard input).
  tailplate date \"MARK\"… [--feature ID=STATE]… [--maker ID] [--this-year N]
      When it was made, going by what is struck on it: ? is one illegible character, * a run of
      them, / the end of a line.
  tailplate listing FILE [--seen FILE]
      Judge what a seller claims in the text in FILE (- for the standard input): borne out,
      contradicted, not shown, or can't be judged, each with its reasons, and what to ask for first.
      --seen FILE holds the observations that the photos show, as for identify.
  tailplate separate MODEL MODEL…
      What tells look-alikes apart, cheapest check first.
  tailplate model ID
      What the packs hold on one model.
  tailplate fault FILE
      What is wrong with a reel, going by the owner's words, symptoms and checks in FILE, and what is
      to be done: {\"kind\": …, \"said\": …, \"symptoms\": {id: present or absent}, \"checks\": {id: result}}.
  tailplate questions
      Every question, its states, and the places of marks.
  tailplate bench [NAME FILE]
      The sums of the bench: calculator NAME on the inputs in FILE (- for the standard input), as
      JSON; without a name, every calculator and what it takes.
  tailplate fit ROLE MODEL [--of MODEL|NUMBER] [--file FILE]
      What is known to fit as this part, each with its chain of evidence; with --of, whether that one does.
  tailplate fit ROLE --seen ID=STATE…
      Which reels a loose part may be from.
  tailplate donors MODEL [--file FILE] [--asking PRICE]
      Reels that give parts to this one; with needs in FILE, what it would do for them as a donor.
      PRICE is like \"25 EUR\".
  tailplate buy FILE
      The cheapest of the offers in FILE that serve the most urgent needs within the budget.
      FILE, JSON: facts, numbers, spares, measured, needs, offers, budget, worth, leave_out; all
      optional. A fact is {\"roles\": [\"dog\"], \"of\": \"MODEL\", \"into\": \"MODEL@VERSION\", \"verdict\":
      \"fits|fits-with-work|does-not-fit\", \"evidence\": \"tried|measured|catalogue|hearsay\"}; a need
      {\"part\": \"dog\", \"model\": \"MODEL\", \"urgency\": 3}; an offer {\"name\": \"…\", \"model\": \"MODEL\",
      \"price\": {\"amount\": \"12.50\", \"currency\": \"EUR\"}, \"parts\": [{\"role\": \"dog\", \"wear\": \"good\"}]};
      a spare {\"role\": \"spool\", \"model\": \"MODEL\", \"lies_at\": \"box 2\", \"bag\": \"7\"}.
  tailplate check-pack FILE
      Every fault of a pack; exit status 1 if there is any.
  tailplate schema
      JSON Schema of a sheet of observations.

Each that asks takes
  --json            the answer as JSON
  --reference DIR   the packs in DIR (with its packs.json) in place of those built in
  --practice        also the packs of invented makers, for practice

Exit status: 0 answered, 2 what was handed in can't be used (one sentence says why).
";

/// The port where nothing else is told.
pub const PORT: u16 = 7420;

/// What was asked for.
#[derive(Debug, PartialEq)]
pub enum Command {
    Help,
    Version,
    Serve { app: PathBuf, host: String, port: u16, names: Vec<String>, keep: Option<Places> },
    Keep { task: Task, places: Places, json: bool },
    Ask { question: Question, json: bool, packs: packs::Choice, this_year: i32 },
}

#[derive(Debug, PartialEq)]
pub enum Question {
    Identify { file: String },
    Date { marks: Vec<String>, features: Vec<String>, maker: Option<String> },
    Listing { file: String, seen: Option<String> },
    Separate { models: Vec<String> },
    Model { id: String },
    Fault { file: String },
    Fit { asked: parts::Asked, seen: Vec<String>, file: Option<String> },
    Donors { model: String, file: Option<String>, asking: Option<Price> },
    Buy { file: String },
    Questions,
    Bench { sum: Option<(String, String)> },
    CheckPack { file: String },
    Schema,
}

/// Why there is no answer.
#[derive(Debug)]
pub enum Trouble {
    /// One sentence for the person.
    Told(String),
    /// Whoever read the answer has stopped reading.
    Closed,
}

impl From<String> for Trouble {
    fn from(sentence: String) -> Self {
        Self::Told(sentence)
    }
}

impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Self::Closed,
            _ => Self::Told(format!("The answer can't be written: {error}.")),
        }
    }
}

const COMMANDS: &[&str] = &[
    "serve",
    "backup",
    "restore",
    "verify",
    "export",
    "import",
    "search",
    "pair",
    "devices",
    "identify",
    "date",
    "separate",
    "model",
    "fault",
    "questions",
    "check-pack",
    "schema",
    "bench",
    "listing",
    "fit",
    "donors",
    "buy",
];

/// Reads the command line, without the program's own name.
pub fn parse(args: impl IntoIterator<Item = OsString>, this_year: i32) -> Result<Command, String> {
    let told = |error: lexopt::Error| {
        let mut sentence = error.to_string();
        if let Some(first) = sentence.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        format!("{sentence}; `tailplate help` lists what there is.")
    };
    let mut parser = lexopt::Parser::from_args(args);
    let (mut name, mut words) = (None, Vec::new());
    let (mut json, mut packs, mut year) = (false, packs::Choice::default(), this_year);
    let (mut features, mut maker) = (Vec::new(), None);
    let (mut of, mut file, mut asking, mut seen) = (None, None, None, Vec::new());
    let (mut app, mut host, mut port) = (PathBuf::from("dist"), "127.0.0.1".to_owned(), PORT);
    let (mut places, mut names, mut revoke) = (Places::at(Path::new("")), Vec::new(), None);
    while let Some(arg) = parser.next().map_err(told)? {
        let serves = name.as_deref() == Some("serve");
        let dates = name.as_deref() == Some("date");
        let listing = name.as_deref() == Some("listing");
        let fits = name.as_deref() == Some("fit");
        let donates = name.as_deref() == Some("donors");
        let asks = !serves && name.is_some();
        let keeps = serves || name.as_deref().is_some_and(|name| KEEPING.contains(&name));
        match arg {
            Short('h') | Long("help") => return Ok(Command::Help),
            Short('V') | Long("version") => return Ok(Command::Version),
            Value(word) if name.is_none() => name = Some(word.string().map_err(told)?),
            Value(word) if asks => words.push(word.string().map_err(told)?),
            Long("app") if serves => app = parser.value().map_err(told)?.into(),
            Long("host") if serves => host = parser.value().and_then(|v| v.string()).map_err(told)?,
            Long("port") if serves => {
                let text = parser.value().and_then(|v| v.string()).map_err(told)?;
                port = text.parse().map_err(|_| format!("--port takes a number from 0 to 65535; “{text}” is none."))?;
            }
            Long("name") if serves => names.push(parser.value().and_then(|v| v.string()).map_err(told)?),
            Long("data") if keeps => places.data = parser.value().map_err(told)?.into(),
            Long("database") if keeps => places.database = Some(parser.value().and_then(|v| v.string()).map_err(told)?),
            Long("photos") if keeps => places.photos = Some(parser.value().and_then(|v| v.string()).map_err(told)?),
            Long("revoke") if name.as_deref() == Some("devices") => {
                revoke = Some(parser.value().and_then(|v| v.string()).map_err(told)?);
            }
            Long("json") if asks => json = true,
            Long("practice") if asks => packs.practice = true,
            Long("reference") if asks => packs.folder = Some(parser.value().map_err(told)?.into()),
            Long("feature") if dates => features.push(parser.value().and_then(|v| v.string()).map_err(told)?),
            Long("maker") if dates => maker = Some(parser.value().and_then(|v| v.string()).map_err(told)?),
            Long("of") if fits => of = Some(parser.value().and_then(|v| v.string()).map_err(told)?),
            Long("seen") if fits || listing => seen.push(parser.value().and_then(|v| v.string()).map_err(told)?),
            Long("file") if fits || donates => file = Some(parser.value().and_then(|v| v.string()).map_err(told)?),
            Long("asking") if donates => {
                let text = parser.value().and_then(|v| v.string()).map_err(told)?;
                let (amount, currency) = text.trim().rsplit_once(' ').unwrap_or((&text, ""));
                asking = Some(Price::parse(amount, currency).map_err(|error| error.to_string())?);
            }
            Long("this-year") if dates || listing => {
                let text = parser.value().and_then(|v| v.string()).map_err(told)?;
                year = text
                    .parse()
                    .ok()
                    .filter(|year| (1800..=2200).contains(year))
                    .ok_or_else(|| format!("--this-year takes a year from 1800 to 2200; “{text}” is none."))?;
            }
            other => return Err(told(other.unexpected())),
        }
    }
    let Some(name) = name else { return Ok(Command::Help) };
    let one = |words: Vec<String>, what: &str| match <[String; 1]>::try_from(words) {
        Ok([word]) => Ok(word),
        Err(_) => Err(format!("`tailplate {name}` takes {what}, exactly one.")),
    };
    let none = |words: Vec<String>| match words.first() {
        None => Ok(()),
        Some(word) => Err(format!("`tailplate {name}` takes no “{word}”.")),
    };
    let question = match name.as_str() {
        "help" => return Ok(Command::Help),
        "serve" => {
            let keep = if places == Places::at(Path::new("")) { None } else { Some(with_data(&name, places)?) };
            return Ok(Command::Serve { app, host, port, names, keep });
        }
        keeping if KEEPING.contains(&keeping) => {
            let task = match keeping {
                "backup" => Task::Backup { file: one(words, "a file")?.into() },
                "restore" => Task::Restore { file: one(words, "a file")?.into() },
                "verify" if !words.is_empty() => Task::Verify { file: Some(one(words, "a file")?.into()) },
                "verify" => Task::Verify { file: None },
                "export" => Task::Export { file: one(words, "a file")?.into() },
                "import" => Task::Import { file: one(words, "a file")?.into() },
                "search" if words.is_empty() => return Err("`tailplate search` needs a word.".into()),
                "search" => Task::Search { words },
                "pair" => none(words).map(|()| Task::Pair)?,
                _ => none(words).map(|()| Task::Devices { revoke })?,
            };
            // A backup is looked at wherever it lies.
            let needs_none = matches!(task, Task::Verify { file: Some(_) });
            let places = if needs_none { places } else { with_data(&name, places)? };
            return Ok(Command::Keep { task, places, json });
        }
        "identify" => Question::Identify { file: one(words, "a file of observations")? },
        "date" if words.is_empty() && features.is_empty() => {
            return Err("`tailplate date` needs a mark, such as \"PAT. 1,9?4,?12\", or a --feature.".into());
        }
        "date" => Question::Date { marks: words, features, maker },
        "listing" => Question::Listing { file: one(words, "a file with a seller's text")?, seen: seen.pop() },
        "separate" if words.len() < 2 => return Err("`tailplate separate` needs two models or more.".into()),
        "separate" => Question::Separate { models: words },
        "model" => Question::Model { id: one(words, "the id of a model")? },
        "fault" => Question::Fault { file: one(words, "a file that tells of a fault")? },
        "fit" => match (<[String; 2]>::try_from(words), seen.is_empty()) {
            (Ok([role, model]), true) => Question::Fit { asked: parts::Asked { role, model, of }, seen, file },
            (Err(words), false) if words.len() == 1 => {
                Question::Fit { asked: parts::Asked { role: words[0].clone(), ..Default::default() }, seen, file }
            }
            _ => return Err("`tailplate fit` takes a part and a model, or a part and what is --seen of it.".into()),
        },
        "donors" => Question::Donors { model: one(words, "a model")?, file, asking },
        "buy" => Question::Buy { file: one(words, "a file of needs, offers and a budget")? },
        "questions" => none(words).map(|()| Question::Questions)?,
        "bench" => match words.as_slice() {
            [] => Question::Bench { sum: None },
            [calculator, file] => Question::Bench { sum: Some((calculator.clone(), file.clone())) },
            _ => {
                return Err(
                    "`tailplate bench` takes a calculator and a file of inputs, or nothing to list them.".into()
                );
            }
        },
        "check-pack" => Question::CheckPack { file: one(words, "the file of a pack")? },
        "schema" => none(words).map(|()| Question::Schema)?,
        other => return Err(format!("There is no command “{other}”.{}", hint(other, COMMANDS.iter().copied()))),
    };
    Ok(Command::Ask { question, json, packs, this_year: year })
}

/// What asks for `--data`.
const KEEPING: [&str; 8] = ["backup", "restore", "verify", "export", "import", "search", "pair", "devices"];

fn with_data(command: &str, places: Places) -> Result<Places, String> {
    match places.data.as_os_str().is_empty() {
        true => Err(format!("`tailplate {command}` needs --data and the folder of the shop.")),
        false => Ok(places),
    }
}

/// Answers a question onto `out`. `Ok(false)`: answered, and the answer is that a pack has faults.
pub fn ask(
    question: &Question,
    json: bool,
    choice: &packs::Choice,
    this_year: i32,
    out: &mut dyn Write,
) -> Result<bool, Trouble> {
    if *question == Question::Schema {
        print_json(out, &schemars::schema_for!(Sheet))?;
        return Ok(true);
    }
    if let Question::CheckPack { file } = question {
        return check_pack(file, json, choice, out);
    }
    if let Question::Bench { sum } = question {
        return work_sum(sum.as_ref(), json, choice, out);
    }
    if matches!(question, Question::Fit { .. } | Question::Donors { .. } | Question::Buy { .. }) {
        return on_parts(question, json, choice, out);
    }
    let desk = Desk::open(choice, this_year)?;
    let text = match question {
        Question::Identify { file } => {
            let sheet = input::sheet(&desk.reference, &input::text_of(file)?)?;
            let named = desk.identify(&sheet);
            if json {
                return print_json(out, &named).map(|()| true);
            }
            tell::named(&desk, &named)
        }
        Question::Date { marks, features, maker } => {
            let maker = maker.as_deref().map(|id| desk.maker(id)).transpose()?;
            let mut seen: Vec<Observation> = marks.iter().map(|mark| Observation::mark("", mark)).collect();
            for feature in features {
                seen.push(input::answer(&desk.reference, feature)?);
            }
            let dated = desk.date(&seen, maker);
            if json {
                return print_json(out, &dated).map(|()| true);
            }
            tell::dated(&desk, &dated)
        }
        Question::Listing { file, seen } => {
            if seen.as_deref() == Some("-") && file == "-" {
                return Err("The text and the observations can't both come from the standard input.".to_owned().into());
            }
            let sheet = match seen {
                Some(file) => input::sheet(&desk.reference, &input::text_of(file)?)?,
                None => Sheet::default(),
            };
            let heard = desk.listing(&input::text_of(file)?, &sheet);
            if json {
                return print_json(out, &heard).map(|()| true);
            }
            crate::listing::told(&heard)
        }
        Question::Separate { models } => {
            let models = models.iter().map(|id| desk.model(id)).collect::<Result<Vec<_>, _>>()?;
            let separation = desk.separate(&models)?;
            if json {
                return print_json(out, &separation).map(|()| true);
            }
            tell::separation(&desk, &models, &separation)
        }
        Question::Model { id } => {
            let model = desk.model(id)?;
            if json {
                return print_json(out, model).map(|()| true);
            }
            tell::model(&desk.reference, model)
        }
        Question::Fault { file } => {
            let seen = fault::read(&desk.reference, &input::text_of(file)?)?;
            let judged = fault::judged(&desk.reference, &seen);
            if json {
                return print_json(out, &judged).map(|()| true);
            }
            fault::tell(&judged)
        }
        Question::Questions if json => return print_json(out, &desk.reference.questions).map(|()| true),
        Question::Questions => tell::questions(&desk.reference),
        _ => String::new(),
    };
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(true)
}

fn work_sum(
    sum: Option<&(String, String)>,
    json: bool,
    choice: &packs::Choice,
    out: &mut dyn Write,
) -> Result<bool, Trouble> {
    let reference = packs::load(choice)?;
    let text = match sum {
        None if json => return print_json(out, &bench::list_json(&reference)).map(|()| true),
        None => bench::list(),
        Some((calculator, file)) => {
            let answer = bench::answer(&reference, calculator, &input::text_of(file)?)?;
            if json {
                return print_json(out, &answer).map(|()| true);
            }
            bench::tell(&answer)
        }
    };
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(true)
}

/// Questions on parts need the packs, not the key.
fn on_parts(question: &Question, json: bool, choice: &packs::Choice, out: &mut dyn Write) -> Result<bool, Trouble> {
    let mut reference = packs::load(choice)?;
    let book = |file: Option<&String>| match file {
        Some(name) => parts::Book::of(name, &input::text_of(name)?),
        None => Ok(parts::Book::default()),
    };
    let text = match question {
        Question::Fit { asked, seen, .. } if !seen.is_empty() => {
            let seen = seen.iter().map(|text| input::answer(&reference, text)).collect::<Result<Vec<_>, _>>()?;
            let found = parts::loose_part(&reference, &asked.role, &seen)?;
            if json {
                return print_json(out, &found).map(|()| true);
            }
            parts::tell_loose(&found)
        }
        Question::Fit { asked, file, .. } => {
            let book = book(file.as_ref())?;
            book.add_numbers(&mut reference);
            let told = parts::fit(&reference, &book, asked)?;
            if json {
                return print_json(out, &told).map(|()| true);
            }
            parts::tell_fit(&reference, &told)
        }
        Question::Donors { model, file, asking } => {
            let book = book(file.as_ref())?;
            let told = parts::donors(&reference, &book, model, asking.as_ref())?;
            if json {
                return print_json(out, &told).map(|()| true);
            }
            parts::tell_donors(&reference, &book, &told)
        }
        Question::Buy { file } => {
            let book = book(Some(file))?;
            let plan = parts::buy(&reference, &book, &mut |_, _| true)?;
            if json {
                return print_json(out, &plan).map(|()| true);
            }
            parts::tell_plan(&reference, &book, &plan)
        }
        _ => String::new(),
    };
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(true)
}

fn check_pack(file: &str, json: bool, choice: &packs::Choice, out: &mut dyn Write) -> Result<bool, Trouble> {
    let text = input::text_of(file)?;
    let beside = packs::load(choice)?;
    let faults = reference::check(&beside, file, &text);
    if json {
        print_json(out, &json!({ "file": file, "faults": faults }))?;
    } else if faults.is_empty() {
        writeln!(out, "{file}: no fault found.")?;
    } else {
        for fault in &faults {
            writeln!(out, "{fault}")?;
        }
    }
    out.flush()?;
    Ok(faults.is_empty())
}

fn print_json(out: &mut dyn Write, answer: &impl Serialize) -> Result<(), Trouble> {
    let text = serde_json::to_string_pretty(answer).map_err(|error| format!("The answer is no JSON: {error}."))?;
    writeln!(out, "{text}")?;
    Ok(out.flush()?)
}
