#![forbid(unsafe_code)]
//! The command line: `tailplate serve` for now.
use std::path::PathBuf;
use std::process::ExitCode;

use tailplate_hub::serve::{Options, Server, asked_to_stop};

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            eprintln!("{sentence}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<(), String> {
    use lexopt::prelude::*;
    let mut args = lexopt::Parser::from_env();
    let told = |error: lexopt::Error| format!("{error}.");
    let (mut app, mut host, mut port) = (PathBuf::from("dist"), "127.0.0.1".to_owned(), 7420);
    while let Some(arg) = args.next().map_err(told)? {
        match arg {
            Value(command) if command == "serve" => {}
            Long("app") => app = args.value().map_err(told)?.into(),
            Long("host") => host = args.value().and_then(|v| v.string()).map_err(told)?,
            Long("port") => port = args.value().and_then(|v| v.parse()).map_err(told)?,
            other => return Err(format!("{}.", other.unexpected())),
        }
    }
    let runtime = tokio::runtime::Runtime::new().map_err(|error| format!("The server can't start: {error}."))?;
    runtime.block_on(async {
        let server = Server::bind(&Options {
            app: &app,
            host: &host,
            port,
        })
        .await?;
        println!("Tailplate is at {}", server.url());
        server.run(asked_to_stop()).await
    })
}
