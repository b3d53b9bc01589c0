#![forbid(unsafe_code)]
//! `tailplate`: see `tailplate help`.

use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;
use std::time::{SystemTime, UNIX_EPOCH};

use tailplate_hub::command::{Command, HELP, Trouble, ask, parse};
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
        Command::Serve { app, host, port } => serve(&app, &host, port, &mut out)?,
        Command::Ask { question, json, packs, this_year } => {
            return ask(&question, json, &packs, this_year, &mut out);
        }
    }
    out.flush()?;
    Ok(true)
}

fn serve(app: &Path, host: &str, port: u16, out: &mut dyn Write) -> Result<(), Trouble> {
    let runtime = tokio::runtime::Runtime::new().map_err(|error| format!("The server can't start: {error}."))?;
    runtime.block_on(async {
        let server = Server::bind(&Options { app, host, port }).await?;
        // Whether anybody reads it or not, the server serves.
        let _ = writeln!(out, "Tailplate is at {}", server.url()).and_then(|()| out.flush());
        Ok(server.run(asked_to_stop()).await?)
    })
}

/// The year by the computer's clock, in UTC.
fn this_year() -> i32 {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
    // Mean length of the Gregorian year: wrong for some hours about New Year at most.
    1970 + (seconds as f64 / (365.2425 * 86_400.0)) as i32
}
