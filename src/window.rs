//! The window: starts eframe, shows the desk in it, has files chosen by the system's dialogs and what is
//! handed over carried out.

use crate::handovers::Runner;
use eframe::egui;
use staffage_desk::{Choice, Desk, PICTURE_ENDINGS, Remembered, SCENE_ENDING};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::{Duration, Instant};

const APP_ID: &str = "staffage";
const ICON: &[u8] = include_bytes!("../assets/icon.png");
const DEMO_SCENE: &str = include_str!("../demo_scenes/dam_overlook.ron");
const DEMO_PAINTING: &[u8] = include_bytes!("../demo_scenes/dam_overlook.jpg");
const DEMO_SIZE_BOOK: &str = include_str!("../demo_scenes/size_book.ron");
/// Nobody answers a dialog this fast: an answer of "nothing" within it means that there is no
/// dialog program.
const NO_DIALOG: Duration = Duration::from_millis(250);

/// Opens the window on a scene or a picture, else on the scene that was open last, the very first time on the demo
/// scene, until it is closed.
pub fn open(file: Option<PathBuf>) -> ExitCode {
    if !has_display() {
        eprintln!("{}", no_window("there is no display"));
        return ExitCode::from(2);
    }
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("Staffage")
            .with_app_id(APP_ID)
            .with_icon(icon())
            // With its title it fits on a display of 1280 × 800.
            .with_inner_size([1280.0, 760.0])
            .with_min_inner_size([900.0, 600.0])
            .with_drag_and_drop(true),
        ..Default::default()
    };
    let create = Box::new(|cc: &eframe::CreationContext<'_>| {
        Ok(Box::new(Window::new(cc, file)) as Box<dyn eframe::App>)
    });
    match eframe::run_native(APP_ID, options, create) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{}", no_window(&error.to_string()));
            ExitCode::from(2)
        }
    }
}

/// The window's icon; a plain one if the picture in the program were damaged.
fn icon() -> egui::IconData {
    eframe::icon_data::from_png_bytes(ICON).unwrap_or_default()
}

fn no_window(why: &str) -> String {
    format!("The window cannot be opened ({why}); `staffage check SCENE` needs none.")
}

/// Whether there is a display to open a window on.
fn has_display() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(all(unix, not(target_os = "macos"))) || set("DISPLAY") || set("WAYLAND_DISPLAY")
}

/// The desk, and the dialogs it asks for.
struct Window {
    desk: Desk,
    answers: Receiver<Answer>,
    answer: Sender<Answer>,
}

/// What a dialog came to.
struct Answer {
    choice: Choice,
    path: Option<PathBuf>,
    took: Duration,
}

impl Window {
    fn new(cc: &eframe::CreationContext<'_>, file: Option<PathBuf>) -> Self {
        let ctx = &cc.egui_ctx;
        ctx.options_mut(|o| {
            // The desk asks before it quits, and uses plus and minus for the picture.
            o.quit_shortcuts.clear();
            o.zoom_with_keyboard = false;
        });
        let kept = cc.storage.and_then(|s| eframe::get_value::<Remembered>(s, eframe::APP_KEY));
        let is_first_start = kept.is_none();
        let mut desk = Desk::new(ctx, kept.unwrap_or_default());
        desk.hand_over_by(Arc::new(Runner::default()));
        let data = eframe::storage_dir(APP_ID);
        lay_demo_ready(&mut desk, data.as_deref());
        match file {
            Some(file) => desk.open(ctx, file),
            None if is_first_start => desk.open_demo(ctx),
            None => desk.open_last(ctx),
        }
        if let Some(data) = data {
            desk.keep_unsaved_in(data);
        }
        let (answer, answers) = channel();
        Self { desk, answers, answer }
    }

    /// Has a file chosen, on another thread: the window goes on.
    fn choose(&self, choice: Choice, ctx: &egui::Context, frame: &eframe::Frame) {
        let dialog = rfd::AsyncFileDialog::new().set_title(choice.title()).set_parent(frame);
        let (answer, ctx, start) = (self.answer.clone(), ctx.clone(), Instant::now());
        let chosen = ask(dialog, &choice);
        std::thread::spawn(move || {
            let path = pollster::block_on(chosen).map(|file| file.path().to_path_buf());
            // The window may be closed by now; then nobody waits for the answer.
            answer.send(Answer { choice, path, took: start.elapsed() }).ok();
            ctx.request_repaint();
        });
    }
}

type Chosen = std::pin::Pin<Box<dyn Future<Output = Option<rfd::FileHandle>> + Send>>;

fn ask(dialog: rfd::AsyncFileDialog, choice: &Choice) -> Chosen {
    let all: Vec<&str> = PICTURE_ENDINGS.iter().copied().chain([SCENE_ENDING]).collect();
    match choice {
        Choice::Open => Box::pin(
            dialog
                .add_filter("Scenes and paintings", &all)
                .add_filter("Scenes", &[SCENE_ENDING])
                .add_filter("Paintings", &PICTURE_ENDINGS)
                .pick_file(),
        ),
        Choice::Painting => Box::pin(dialog.add_filter("Paintings", &PICTURE_ENDINGS).pick_file()),
        Choice::LevelledCopy => {
            Box::pin(dialog.add_filter("Levelled copies", &PICTURE_ENDINGS).pick_file())
        }
        Choice::SizeBook => Box::pin(dialog.add_filter("Size books", &[SCENE_ENDING]).pick_file()),
        Choice::SaveScene { suggested } => {
            place(dialog.add_filter("Scenes", &[SCENE_ENDING]), suggested)
        }
        Choice::Product { product, suggested } => {
            place(dialog.add_filter("For others", product.endings()), suggested)
        }
        Choice::Place { placed, suggested } => {
            place(dialog.add_filter("To be painted on", placed.endings()), suggested)
        }
        Choice::Overlay { suggested } => {
            place(dialog.add_filter("Overlays", &["png", "svg"]), suggested)
        }
    }
}

/// Asks for a file to write, with one proposed.
fn place(dialog: rfd::AsyncFileDialog, suggested: &Path) -> Chosen {
    let name = suggested.file_name().unwrap_or_default().to_string_lossy();
    let dialog = dialog.set_file_name(name);
    match suggested.parent().filter(|folder| folder.is_dir()) {
        Some(folder) => Box::pin(dialog.set_directory(folder).save_file()),
        None => Box::pin(dialog.save_file()),
    }
}

impl eframe::App for Window {
    fn logic(&mut self, ctx: &egui::Context, frame: &mut eframe::Frame) {
        while let Ok(Answer { choice, path, took }) = self.answers.try_recv() {
            if path.is_none() && took < NO_DIALOG {
                self.desk.ask_path(choice);
            } else {
                self.desk.chosen(ctx, &choice, path);
            }
        }
        self.desk.logic(ctx);
        if let Some(choice) = self.desk.wanted_choice() {
            self.choose(choice, ctx, frame);
        }
    }

    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.desk.ui(ui);
    }

    fn save(&mut self, storage: &mut dyn eframe::Storage) {
        eframe::set_value(storage, eframe::APP_KEY, self.desk.remembered());
    }

    fn on_exit(&mut self) {
        self.desk.finish_handovers();
    }
}

/// The demo scene is opened as a copy that is saved nowhere. Its painting must be a file like any other, so both are
/// written to the program's own folder first; where that fails, there is no demo and the frame stays blank.
fn lay_demo_ready(desk: &mut Desk, data: Option<&Path>) {
    let Some(data) = data else { return };
    match write_demo(&data.join("demo").join(env!("CARGO_PKG_VERSION"))) {
        Ok(scene) => desk.demo_is_at(scene),
        Err(error) => tracing::warn!(%error, "the demo scene could not be written"),
    }
}

/// Writes the demo scene, its painting and its size book where they are not there yet; what is there
/// may have been worked on.
fn write_demo(folder: &Path) -> io::Result<PathBuf> {
    fs::create_dir_all(folder)?;
    let scene = folder.join("dam_overlook.ron");
    for (path, bytes) in [
        (folder.join("dam_overlook.jpg"), DEMO_PAINTING),
        (folder.join("size_book.ron"), DEMO_SIZE_BOOK.as_bytes()),
        (scene.clone(), DEMO_SCENE.as_bytes()),
    ] {
        if !path.exists() {
            fs::write(path, bytes)?;
        }
    }
    Ok(scene)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_scene_names_the_painting_and_the_size_book_that_are_written_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = write_demo(folder.path()).unwrap();
        let scene = staffage_scene::load(&path).unwrap();
        let painting = staffage_scene::painting_path(&path, &scene).unwrap();
        assert!(painting.is_file(), "{}", painting.display());
        let size_book = staffage_scene::size_book_path(&path, &scene).unwrap();
        assert!(size_book.is_file(), "{}", size_book.display());
    }

    #[test]
    fn without_a_window_the_sentence_points_to_the_command() {
        assert!(no_window("there is no display").contains("staffage check"));
    }
}
