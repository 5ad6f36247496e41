//! The program as its readers find it: `STAFFAGE` says where it is, else the debug build, else the release
//! build beside this folder.
#![forbid(unsafe_code)]

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The demo scenes, without their size book.
pub const DEMOS: [&str; 3] = ["dam_overlook", "market_street", "reservoir_from_above"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Where a file of the project is.
#[must_use]
pub fn file(name: &str) -> PathBuf {
    root().join(name)
}

/// Where a demo scene is.
#[must_use]
pub fn demo(name: &str) -> PathBuf {
    root().join("demo_scenes").join(name).with_extension("ron")
}

/// The program.
///
/// # Panics
/// When it was not built.
#[must_use]
pub fn staffage() -> Command {
    let built = ["target/debug/staffage", "target/release/staffage"].map(|path| root().join(path));
    let named = std::env::var_os("STAFFAGE").map(PathBuf::from);
    let path = named.into_iter().chain(built).find(|path| path.is_file());
    Command::new(path.expect("build the program first: cargo build --workspace"))
}

/// What `check --json` answers, an object for each scene.
///
/// # Panics
/// When it cannot be run or does not answer in JSON.
#[must_use]
pub fn answers(scenes: &[PathBuf]) -> Vec<Value> {
    let output = staffage().args(["check", "--json"]).args(scenes).output().expect("it runs");
    let text = String::from_utf8(output.stdout).expect("text");
    text.lines().map(|line| serde_json::from_str(line).expect("an object on each line")).collect()
}

/// Makes a file of a scene and returns its bytes.
///
/// # Panics
/// When the program does not make it.
#[must_use]
pub fn made(command: &str, scene: &Path, name: &str) -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder");
    let target = folder.path().join(name);
    let output =
        staffage().arg(command).arg(scene).arg("-o").arg(&target).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    std::fs::read(target).expect("it was written")
}
