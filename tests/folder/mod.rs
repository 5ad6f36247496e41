//! A folder of files and what the program says about them, from outside.
#![allow(dead_code, reason = "each test program uses its part")]

use serde_json::Value;
use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};
use tempfile::TempDir;

pub struct Folder(pub TempDir);

/// How the program ended and what it printed.
#[derive(Debug)]
pub struct Answer {
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Folder {
    pub fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn put(&self, name: &str, contents: impl AsRef<[u8]>) -> &Self {
        fs::write(self.path(name), contents).unwrap();
        self
    }

    /// Runs a command of the program in the folder.
    pub fn run(&self, command: &str, arguments: &[&str]) -> Answer {
        let mut program = staffage();
        program.arg(command).args(arguments).current_dir(&self.0);
        Answer::of(&program.output().unwrap())
    }

    /// Runs a command where no file can grow past so many blocks: writing on is an error, as on a
    /// full disk, instead of the end of the program.
    #[cfg(unix)]
    pub fn run_with_room(&self, blocks: u32, command: &str, arguments: &[&str]) -> Answer {
        let limited = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
        let mut shell = Command::new("sh");
        shell.args(["-c", &limited, env!("CARGO_BIN_EXE_staffage"), command]).args(arguments);
        Answer::of(&shell.current_dir(&self.0).output().unwrap())
    }

    /// Runs a command that the system ends at once, as by SIGKILL, when one of its files grows past so many
    /// blocks of 512 bytes: in the middle of writing, wherever that is.
    #[cfg(unix)]
    pub fn killed_after(&self, blocks: u32, command: &str, arguments: &[&str]) -> Output {
        let limited = format!("ulimit -c 0; ulimit -f {blocks}; exec \"$0\" \"$@\"");
        let mut shell = Command::new("sh");
        shell.args(["-c", &limited, env!("CARGO_BIN_EXE_staffage"), command]).args(arguments);
        let ended = shell.current_dir(&self.0).output().unwrap();
        assert_eq!(ended.status.code(), None, "it was not killed: {ended:?}");
        ended
    }

    /// Runs a command where nothing can be written in the folder. Whoever may do everything steps down to
    /// nobody for it; `None` where nobody may not run the program.
    #[cfg(unix)]
    pub fn run_read_only(&self, command: &str, arguments: &[&str]) -> Option<Answer> {
        use std::os::unix::fs::PermissionsExt as _;
        use std::os::unix::process::CommandExt as _;
        let allow = |mode| fs::set_permissions(&self.0, fs::Permissions::from_mode(mode)).unwrap();
        allow(0o555);
        let mut program = staffage();
        program.arg(command).args(arguments).current_dir(&self.0);
        if fs::write(self.path("try"), "").is_ok() {
            fs::remove_file(self.path("try")).unwrap();
            program.uid(65534).gid(65534);
        }
        let answer = program.output();
        allow(0o755);
        answer.ok().map(|output| Answer::of(&output))
    }

    pub fn check(&self, arguments: &[&str]) -> Answer {
        self.run("check", arguments)
    }

    pub fn names(&self) -> Vec<String> {
        let name = |entry: fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
        let mut names: Vec<_> =
            fs::read_dir(&self.0).unwrap().map(|entry| name(entry.unwrap())).collect();
        names.sort();
        names
    }
}

impl Answer {
    pub fn of(output: &Output) -> Self {
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        let (out, err) = (text(&output.stdout), text(&output.stderr));
        assert!(!err.contains("panicked"), "{err}");
        Self { status: output.status.code().expect("ended by itself"), out, err }
    }

    /// The one sentence that says why nothing was done.
    pub fn refusal(self) -> String {
        assert_eq!(self.status, 2, "{self:?}");
        assert_eq!(self.err.lines().count(), 1, "{self:?}");
        assert!(self.err.ends_with(".\n"), "{self:?}");
        self.err
    }

    pub fn objects(&self) -> Vec<Value> {
        self.out.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    }
}

pub fn staffage() -> Command {
    Command::new(env!("CARGO_BIN_EXE_staffage"))
}
