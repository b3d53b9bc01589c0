use tailplate_core::reference::Reference;
fn main() {
    let dir = concat!(env!("CARGO_MANIFEST_DIR"), "/../public/reference/");
    let read = |file: &str| std::fs::read_to_string(format!("{dir}{file}")).unwrap();
    let files: Vec<(String, String)> = ["questions.json", "makers.json", "models.json", "dating.json", "selling.json"]
        .iter()
        .map(|f| (f.to_string(), read(f)))
        .collect();
    let r = Reference::load(files.iter().map(|(a, b)| (a.as_str(), b.as_str()))).unwrap();
    for line in std::io::stdin().lines() {
        let line = line.unwrap();
        println!("\n== {line}");
        for c in tailplate_core::listing::read(&line, &r) {
            println!(
                "  {:?} {:?}{} {:?} {:?}",
                c.kind,
                c.quote,
                if c.denied { " DENIED" } else { "" },
                c.firm,
                c.meaning
            );
        }
    }
}
