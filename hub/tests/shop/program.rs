//! The program as it is run from the command line.

use std::process::Command;

use serde_json::Value;

pub fn program(words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tailplate"));
    command.args(words);
    command
}

/// How it ends, and what it says: its JSON, or else its words of trouble.
pub fn run(mut command: Command) -> (i32, Value) {
    let output = command.output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    let answer = serde_json::from_slice(&output.stdout).unwrap_or(Value::String(told));
    (output.status.code().unwrap(), answer)
}
