//! The production's size book on the desk: read on the worker, and again each time it was saved; and
//! where the scene says other sizes than it does.

use crate::actions::acts::sentence;
use crate::desk::Desk;
use crate::files::{Done, file_name};
use crate::painting::watch::{Change, Watch};
use egui::Context;
use staffage_scene::{BookFileError, Scene, SizeBook, SizeDifference};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The size book that the scene names, if it names one.
#[derive(Default)]
pub(crate) struct Booked {
    watch: Option<Watch>,
    reading: Reading,
    differences: Differences,
    /// Whether the differences are listed one by one.
    pub(crate) listed: bool,
    /// Differences that the painter does not want to hear of now.
    put_off: Vec<SizeDifference>,
}

/// What reading the book came to.
#[derive(Default)]
enum Reading {
    /// There is none, or it is being read.
    #[default]
    Nothing,
    There(SizeBook),
    /// Why it cannot be used; and whether the painter wants to hear of it.
    Unreadable(String, bool),
}

/// Where a scene differs from the book.
#[derive(Default)]
struct Differences {
    /// The scene that was held against it.
    of: Option<Arc<Scene>>,
    all: Vec<SizeDifference>,
}

/// What can be done about the book where it is not an edit of the scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum BookAct {
    /// Read its file again.
    ReadAgain,
    /// List the differences one by one, or no longer.
    ToggleList,
    /// Say no more of it until something about it changes.
    PutOff,
}

impl Booked {
    /// The book, once it was read.
    pub(crate) fn book(&self) -> Option<&SizeBook> {
        match &self.reading {
            Reading::There(book) => Some(book),
            Reading::Nothing | Reading::Unreadable(..) => None,
        }
    }

    /// Why it cannot be used, as a sentence.
    pub(crate) fn unreadable(&self) -> Option<&str> {
        match &self.reading {
            Reading::Unreadable(why, _) => Some(why),
            Reading::Nothing | Reading::There(_) => None,
        }
    }

    /// The same, as long as the painter wants to hear of it.
    pub(crate) fn remark(&self) -> Option<&str> {
        let put_off = matches!(&self.reading, Reading::Unreadable(_, true));
        self.unreadable().filter(|_| !put_off)
    }

    /// Where the scene differs from it, as long as the painter wants to hear of it.
    pub(crate) fn differences(&self) -> &[SizeDifference] {
        let all = &self.differences.all;
        if *all == self.put_off { &[] } else { all }
    }

    fn put_off(&mut self) {
        self.put_off.clone_from(&self.differences.all);
        if let Reading::Unreadable(_, put_off) = &mut self.reading {
            *put_off = true;
        }
    }

    /// Holds a scene against the book, once.
    fn compare(&mut self, scene: &Arc<Scene>) {
        if self.differences.of.as_ref().is_some_and(|of| Arc::ptr_eq(of, scene)) {
            return;
        }
        let all = self.book().map_or_else(Vec::new, |book| book.differences(scene));
        self.differences = Differences { of: Some(Arc::clone(scene)), all };
    }
}

pub(crate) fn act(desk: &mut Desk, ctx: &Context, act: BookAct) {
    match act {
        BookAct::ReadAgain => read(desk, ctx),
        BookAct::ToggleList => desk.booked.listed ^= true,
        BookAct::PutOff => desk.booked.put_off(),
    }
}

/// Reads the book that the scene names, and again each time it was saved.
pub(crate) fn follow(desk: &mut Desk, ctx: &Context) {
    let wanted = desk.scene().size_book.clone();
    if desk.booked.watch.as_ref().map(Watch::path) != wanted.as_deref() {
        let watch = wanted.map(|path| Watch::start(ctx, &path));
        desk.booked = Booked { watch, ..Booked::default() };
        read(desk, ctx);
    } else if desk
        .booked
        .watch
        .as_ref()
        .is_some_and(|watch| watch.change() == Some(Change::Written))
    {
        read(desk, ctx);
    }
    // In the middle of a drag no size changes.
    if !desk.history.in_gesture() {
        desk.booked.compare(desk.history.present());
    }
}

fn read(desk: &mut Desk, ctx: &Context) {
    let Some(path) = desk.scene().size_book.clone() else { return };
    let sentence = format!("Reading {}", file_name(&path));
    // It cannot be stopped: opening a painting must not leave the scene without its book.
    desk.worker.start(ctx, sentence, false, move |_| {
        let result = SizeBook::read(&path);
        Done::SizeBook { path, result }
    });
}

/// Takes what reading came to, unless the scene names another book by now.
pub(crate) fn take(desk: &mut Desk, path: &Path, result: Result<SizeBook, BookFileError>) {
    if desk.scene().size_book.as_deref() != Some(path) {
        return;
    }
    desk.booked.differences = Differences::default();
    desk.booked.reading = match result {
        Ok(book) => Reading::There(book),
        Err(error) => Reading::Unreadable(sentence(&error.to_string()), false),
    };
    desk.booked.compare(desk.history.present());
}

/// What the book is called: by its own title, else by its file.
pub(crate) fn name(desk: &Desk) -> Option<String> {
    let path: &PathBuf = desk.scene().size_book.as_ref()?;
    let title = desk.booked.book().map(|book| book.title.clone());
    Some(title.filter(|title| !title.is_empty()).unwrap_or_else(|| file_name(path)))
}
