#![forbid(unsafe_code)]
//! `tailplate`: see `tailplate help`.

use std::io::{self, Write};
use std::process::ExitCode;
use std::time::{SystemTime, UNIX_EPOCH};

use tailplate_hub::command::{Command, HELP, Trouble, ask, parse};
use tailplate_hub::keep;
use tailplate_hub::near::{Pairing, pairing, spoken};
use tailplate_hub::serve::{Options, Server, asked_to_stop};

fn main() -> ExitCode {
    match run() {
        Ok(true) | Err(Trouble::Closed) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(1),
        Err(Trouble::Told(sentence)) => {
            let _ = writeln!(io::stderr(), "{sentence}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<bool, Trouble> {
    let mut out = io::stdout().lock();
    match parse(std::env::args_os().skip(1), this_year())? {
        Command::Help => out.write_all(HELP.as_bytes())?,
        Command::Version => writeln!(out, "tailplate {}", env!("CARGO_PKG_VERSION"))?,
        Command::Serve { app, host, port, names, keep } => {
            let patience = tailplate_hub::api::PATIENCE;
            let options = Options { app: &app, host: &host, port, names: &names, keep: keep.as_ref(), patience };
            serve(&options, &mut out)?;
        }
        Command::Keep { task, places, json } => {
            return runtime()?.block_on(keep::run(&task, &places, json, &mut out));
        }
        Command::Ask { question, json, packs, this_year } => {
            return ask(&question, json, &packs, this_year, &mut out);
        }
    }
    out.flush()?;
    Ok(true)
}

fn runtime() -> Result<tokio::runtime::Runtime, Trouble> {
    Ok(tokio::runtime::Runtime::new().map_err(|error| format!("The program can't start: {error}."))?)
}

fn serve(options: &Options, out: &mut dyn Write) -> Result<(), Trouble> {
    if options.keep.is_some() {
        tracing_subscriber::fmt().with_writer(io::stderr).with_ansi(false).with_max_level(tracing::Level::INFO).init();
    }
    runtime()?.block_on(async {
        let server = Server::bind(options).await?;
        // Whether anybody reads it or not, the server serves.
        let _ = writeln!(out, "Tailplate is at {}", server.url()).and_then(|()| out.flush());
        if let Some(hub) = server.hub() {
            let (code, _) = hub.store.new_code().await.map_err(String::from)?;
            let _ = welcome(&server, &pairing(&hub.url, &code), &code, out).and_then(|()| out.flush());
        }
        Ok(server.run(asked_to_stop()).await?)
    })
}

/// How the first device gets in.
fn welcome(server: &Server, pairing: &Pairing, code: &str, out: &mut dyn Write) -> io::Result<()> {
    if let Some(fingerprint) = server.fingerprint() {
        writeln!(out, "\nA new phone first opens {}trust and follows the steps there, once.", server.url())?;
        writeln!(out, "The certificate's fingerprint is\n{fingerprint}")?;
    }
    writeln!(out, "\nThen it scans this to be paired (one device, within ten minutes):\n{}", pairing.text())?;
    writeln!(out, "{}\nor it is given the code {}. `tailplate pair` makes another.", pairing.url, spoken(code))
}

/// The year by the computer's clock, in UTC.
fn this_year() -> i32 {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
    // Mean length of the Gregorian year: wrong for some hours about New Year at most.
    1970 + (seconds as f64 / (365.2425 * 86_400.0)) as i32
}
