//! What commands that write files leave behind when they are ended half-way, or may not write: the files
//! from before as they were, and nothing that looks whole and is not.
#![cfg(unix)]

mod folder;

use folder::{Answer, Folder, staffage};
use image::{Rgb, RgbImage};
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::process::{Child, Command, Output, Stdio};

/// A command with what it is told, and the file that it writes.
type Writing = (&'static str, &'static [&'static str], &'static str);

const HANDED_OVER: [Writing; 8] = [
    ("sheet", &["quay.ron"], "quay.sheet.html"),
    ("sheet", &["quay.ron", "--as", "json"], "quay.sheet.json"),
    ("sheet", &["quay.ron", "--as", "csv"], "quay.sheet.csv"),
    ("camera", &["quay.ron"], "quay.camera.glb"),
    ("camera", &["quay.ron", "--as", "gltf"], "quay.camera.gltf"),
    ("camera", &["quay.ron", "--as", "txt"], "quay.camera.txt"),
    ("layers", &["quay.ron", "--force"], "quay.ora"),
    ("overlay", &["quay.ron"], "quay.overlay.png"),
];

/// A scene over a painting of this size that takes a while to read and does not get smaller when it is
/// packed.
fn quay((width, height): (u32, u32)) -> Folder {
    let folder = Folder::new();
    folder.put(
        "quay.ron",
        format!(
            r#"(format: 3, scene: (
              title: "Quay",
              painting: (path: "quay.png", size: ({width}, {height})),
              frame: (ratio: 2.0, working_width: {width}),
              eye: (angle_of_view: 53.13, pitch: 12, cant: 8),
              levels: [(id: 1, name: "ground", side: Below, clearance: (metres: 1.6, spread: 0.02))],
              markers: [(id: 1, name: "Foreman", foot: (0.0, 0.1), head: (0.0, 0.0), span: Upright,
                stands: On(1), statements: [KnownSize(size: (metres: 1.7, spread: 0.06), as: "adult")])],
            ))"#
        ),
    );
    let grain = |x: u32, y: u32| (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(40_503)) >> 9;
    let picture = RgbImage::from_fn(width, height, |x, y| Rgb([grain(x, y) as u8; 3]));
    picture.save(folder.path("quay.png")).unwrap();
    folder
}

/// All files of a folder that have names of their own, with their contents.
fn named_files(folder: &Folder) -> Vec<(String, Vec<u8>)> {
    let names = folder.names().into_iter().filter(|name| !name.starts_with('.'));
    names.map(|name| (name.clone(), fs::read(folder.path(&name)).unwrap())).collect()
}

#[test]
fn what_is_killed_while_it_writes_gives_nothing_half_written_a_name() {
    for (command, arguments, file) in HANDED_OVER {
        let folder = quay((600, 300));
        let before = named_files(&folder);
        // In the middle of what is written: the first byte of a table, half of a picture.
        let written = folder.run(command, arguments);
        assert_eq!((written.status, written.err.as_str()), (0, ""), "{written:?}");
        let whole = fs::read(folder.path(file)).unwrap();
        fs::remove_file(folder.path(file)).unwrap();
        let half = (whole.len() / 2 / 512) as u32;
        folder.killed_after(half, command, arguments);
        assert_eq!(named_files(&folder), before, "{command}: {file}");
        let left_over = folder.names().into_iter().filter(|name| name.starts_with('.'));
        let left_over: Vec<_> = left_over.collect();
        assert!(left_over.iter().all(|name| name.starts_with(".staffage-")), "{left_over:?}");
        // And one from before stays as it was.
        assert_eq!(folder.run(command, arguments).status, 0);
        let before = named_files(&folder);
        assert_eq!(fs::read(folder.path(file)).unwrap(), whole, "{file} is what it was");
        folder.killed_after(half, command, arguments);
        assert_eq!(named_files(&folder), before, "{command}: {file}");
        assert_eq!(folder.run(command, arguments).status, 0, "the next goes on as ever");
    }
}

/// A command that has begun to read its painting.
#[cfg(target_os = "linux")]
fn reading(folder: &Folder, command: &str, arguments: &[&str]) -> Child {
    let mut program = staffage();
    program.arg(command).args(arguments).current_dir(&folder.0);
    program.stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = program.spawn().unwrap();
    let open = format!("/proc/{}/fd", child.id());
    let painting = fs::canonicalize(folder.path("quay.png")).unwrap();
    let is_open = || {
        let files = fs::read_dir(&open).into_iter().flatten().flatten();
        files.filter_map(|file| fs::read_link(file.path()).ok()).any(|file| file == painting)
    };
    while !is_open() {
        assert!(child.try_wait().unwrap().is_none(), "it ended before it read its painting");
        std::thread::yield_now();
    }
    child
}

#[cfg(target_os = "linux")]
fn ended_by(signal: &str, child: Child) -> Output {
    let id = child.id().to_string();
    assert!(Command::new("kill").args([signal, &id]).status().unwrap().success());
    child.wait_with_output().unwrap()
}

#[cfg(target_os = "linux")]
#[test]
fn what_is_cancelled_or_killed_while_it_reads_the_painting_writes_nothing() {
    let folder = quay((6000, 3000));
    let names = folder.names();
    for (command, arguments, file) in [
        HANDED_OVER[0],
        HANDED_OVER[3],
        HANDED_OVER[6],
        ("level", &["quay.ron"] as &[&str], "quay.level.png"),
    ] {
        let answer = Answer::of(&ended_by("-INT", reading(&folder, command, arguments)));
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{command}: {answer:?}");
        let why = answer.refusal();
        let whole = format!("“{file}” was not written: it was cancelled.\n");
        assert!(why == whole || why == "Nothing was written: it was cancelled.\n", "{why}");
        assert_eq!(folder.names(), names, "{command}");
        assert!(!ended_by("-KILL", reading(&folder, command, arguments)).status.success());
        let named: Vec<String> = named_files(&folder).into_iter().map(|(name, _)| name).collect();
        assert_eq!(named, names, "{command}");
        for name in folder.names().iter().filter(|name| name.starts_with('.')) {
            fs::remove_file(folder.path(name)).unwrap();
        }
    }
}

#[cfg(target_os = "linux")]
#[test]
fn of_several_scenes_those_before_a_cancellation_are_whole_and_told() {
    let folder = quay((6000, 3000));
    folder.put("a.ron", "(format: 3, scene: (title: \"Blank\"))");
    let child = reading(&folder, "sheet", &["a.ron", "quay.ron", "a.ron"]);
    let answer = Answer::of(&ended_by("-INT", child));
    assert_eq!((answer.status, answer.out.lines().count()), (2, 1), "{answer:?}");
    assert!(answer.out.starts_with("a.sheet.html  "), "{answer:?}");
    assert_eq!(answer.err, "“quay.sheet.html” was not written: it was cancelled.\n");
    assert_eq!(folder.names(), ["a.ron", "a.sheet.html", "quay.png", "quay.ron"]);
    assert!(fs::read_to_string(folder.path("a.sheet.html")).unwrap().ends_with("</html>"));
}

#[test]
fn a_folder_that_cannot_be_written_in_is_told_and_left_as_it_is() {
    let levelling: [Writing; 2] = [
        ("level", &["quay.ron"], "quay.level.png"),
        ("level", &["--back", "was.level.png"], "was.level.back.png"),
    ];
    for (command, arguments, file) in HANDED_OVER.into_iter().chain(levelling) {
        let folder = quay((600, 300));
        let copied = folder.run("level", &["quay.ron", "-o", "was.level.png"]);
        assert_eq!(copied.status, 0, "{copied:?}");
        let before = (folder.names(), named_files(&folder));
        let Some(answer) = folder.run_read_only(command, arguments) else { return };
        let why = answer.refusal();
        assert!(
            why.contains(&format!("“{file}” was not written: you have no permission")),
            "{why}"
        );
        assert!(why.contains("--out"), "it is said what to do: {why}");
        assert_eq!((folder.names(), named_files(&folder)), before, "{command}: {file}");
    }
}

#[test]
fn a_file_that_is_protected_is_not_replaced_even_by_force() {
    let levelling: [Writing; 1] = [("level", &["quay.ron", "--force"], "quay.level.png")];
    for (command, arguments, file) in HANDED_OVER.into_iter().chain(levelling) {
        let folder = quay((600, 300));
        assert_eq!(folder.run(command, arguments).status, 0);
        let protected = fs::Permissions::from_mode(0o444);
        fs::set_permissions(folder.path(file), protected).unwrap();
        let before = (folder.names(), named_files(&folder));
        let why = folder.run(command, arguments).refusal();
        assert!(why.contains(file) && why.contains("it is write-protected"), "{why}");
        assert_eq!((folder.names(), named_files(&folder)), before, "{command}: {file}");
    }
}

#[test]
fn a_folder_of_the_same_name_is_told_and_left_alone() {
    for (command, arguments, file) in HANDED_OVER {
        let folder = quay((600, 300));
        fs::create_dir(folder.path(file)).unwrap();
        let names = folder.names();
        let why = folder.run(command, arguments).refusal();
        assert!(why.contains(file) && why.contains("it is a folder"), "{why}");
        assert_eq!(folder.names(), names, "{command}: {file}");
    }
}
