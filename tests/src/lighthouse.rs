//! Lighthouse's judgement of a served page, as a phone would get it.

use crate::process::Folder;
use serde_json::Value;
use std::{fs, process::Command};

/// Scores of 0 to 100, and what cost points.
pub struct Scores {
    pub performance: f64,
    pub accessibility: f64,
    pub best_practices: f64,
    pub complaints: Vec<String>,
}

/// Runs Lighthouse (fetched by `cargo xtask test`) with its usual slowed phone.
pub fn judge(url: &str) -> Scores {
    let folder = Folder::new();
    let file = folder.path.join("report.json");
    let mut command = Command::new("lighthouse");
    command.arg(url).args(["--quiet", "--output=json", "--only-categories=performance,accessibility,best-practices"]);
    command.arg(format!("--output-path={}", file.display())).env("TMPDIR", &folder.path);
    command.arg("--chrome-flags=--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-component-update --disable-sync --disable-dev-shm-usage");
    if std::env::var_os("CHROME_PATH").is_none() {
        command.env("CHROME_PATH", "/usr/bin/chromium");
    }
    let output = command
        .output()
        .unwrap_or_else(|error| panic!("lighthouse cannot be started: {error}. `cargo xtask test` fetches it."));
    let report = fs::read_to_string(&file).ok().and_then(|text| serde_json::from_str::<Value>(&text).ok());
    let report =
        report.unwrap_or_else(|| panic!("lighthouse gave no report: {}", String::from_utf8_lossy(&output.stderr)));
    let score = |category: &str| {
        report["categories"][category]["score"].as_f64().map_or(f64::NAN, |score| (score * 100.0).round())
    };
    let audits = report["audits"].as_object().into_iter().flatten();
    let complaints = audits.filter(|(_, audit)| audit["score"].as_f64().is_some_and(|score| score < 0.9));
    let complaints = complaints.map(|(id, audit)| {
        format!("{id}: {} {}", audit["title"].as_str().unwrap_or(""), audit["displayValue"].as_str().unwrap_or(""))
    });
    Scores {
        performance: score("performance"),
        accessibility: score("accessibility"),
        best_practices: score("best-practices"),
        complaints: complaints.collect(),
    }
}

/// The program with the accessibility rules that Lighthouse brings along: run in a page, it judges what is on the screen now.
pub fn accessibility_rules() -> String {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut tools = std::env::split_paths(&path).map(|folder| folder.join("lighthouse"));
    let tool = tools.find(|tool| tool.exists()).and_then(|tool| tool.canonicalize().ok());
    let tool = tool.expect("lighthouse is missing. `cargo xtask test` fetches it.");
    let rules = tool.ancestors().map(|folder| folder.join("axe-core/axe.min.js")).find(|rules| rules.exists());
    fs::read_to_string(rules.expect("lighthouse comes with axe-core")).expect("the rules can be read")
}
