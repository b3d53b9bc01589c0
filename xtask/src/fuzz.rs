//! Bytes nobody meant, thrown at what reads foreign bytes; what was found worth trying is kept in `fuzz/corpus`.

use crate::{
    place::{cargo, root, target},
    say::{Result, always, answer, make_folder, run},
};
use std::{env::consts::EXE_SUFFIX, process::Command};

const TARGETS: [&str; 2] = ["wire", "import"];

/// What makes LLVM count the ways through the code. These work on a stable compiler; the sanitizers do not, and the code
/// under test is safe Rust.
const COVERAGE: &str = "-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 \
    -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table \
    -Cllvm-args=-sanitizer-coverage-trace-compares -Ccodegen-units=1";

/// Runs each target for `minutes`; 0 tries the corpus once.
pub fn fuzz(minutes: u32) -> Result<()> {
    let triple = answer(Command::new("rustc").args(["--print", "host-tuple"]))
        .ok_or("rustc does not say what it builds for.")?;
    let folder = target().join("fuzz");
    always("the fuzz targets", || {
        let mut build = cargo();
        build.args(["build", "--release", "--manifest-path"]).arg(root().join("fuzz/Cargo.toml"));
        // With a target named, programs that run while building are left as they are.
        build.args(["--target", &triple]).env("CARGO_TARGET_DIR", &folder).env("RUSTFLAGS", COVERAGE);
        run(&mut build)
    })?;
    for name in TARGETS {
        let corpus = root().join("fuzz/corpus").join(name);
        let found = folder.join("found").join(name);
        make_folder(&found)?;
        always(&format!("{name}, {minutes} min"), || {
            let program = folder.join(&triple).join("release").join(format!("{name}{EXE_SUFFIX}"));
            let mut fuzzing = Command::new(program);
            let last = format!("-artifact_prefix={}/", folder.display());
            if minutes == 0 {
                return run(fuzzing.args(["-runs=0", &last]).args([&found, &corpus]));
            }
            fuzzing.args([format!("-max_total_time={}", minutes * 60), last, "-print_final_stats=1".into()]);
            run(fuzzing.args([&found, &corpus]))?;
            // What leads further than the corpus does, in as few bytes as possible, joins it.
            let program = folder.join(&triple).join("release").join(format!("{name}{EXE_SUFFIX}"));
            run(Command::new(program).args(["-merge=1", "-max_len=4096"]).args([&corpus, &found]))
        })?;
    }
    Ok(())
}
