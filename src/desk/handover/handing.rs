//! Handing over: what the menu and the overlay's panel ask for, what becomes of it, and the overlay that
//! is kept up to date.

use crate::actions::act::Act;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::files::{self, file_name};
use crate::handover::errands::{Errand, Errands};
use crate::handover::levelling::{self, LevelAct, Levelling};
use crate::handover::overlay_preview::Previewing;
use crate::handover::overlay_settings::OverlaySettings;
use crate::handover::places::{self, Placed};
use crate::handover::products::{self, ProductAct, Products};
use crate::handover::{Handovers, Ink, LayersOrder, Order, Outcome, OverlayOrder, Product};
use crate::painting::in_step;
use egui::{Context, Event, Key, Response, Ui};
use staffage_scene::{Scene, plain_absolute};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// Seconds without a change before an overlay is written again: less would write in the middle of a
/// run of nudges.
const SETTLED: f64 = 0.3;
/// Widest picture of the ink on the clipboard, pixels: it has to be held whole, 4 bytes a pixel.
const WIDEST_COPY: u32 = 10_000;
/// Seconds within which a paste is the same key still held down.
const REPEATING: f64 = 2.0;
const NOWHERE: &str = "This scene has no file yet, so there is no place beside it: save it first \
     (Ctrl+S), or choose where the overlay goes.";
const NOWHERE_FOR_LAYERS: &str = "This scene has no file yet, so there is no place beside it: save it first (Ctrl+S), or \
     choose where the layered file goes.";
const NOWHERE_TO_PASTE: &str =
    "The picture has nowhere to go, as this scene has no file yet: save it first (Ctrl+S).";

/// What can be open beside the canvas, one at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum BesideCanvas {
    Overlay,
    LevelledCopy,
    Product(Product),
}

/// All that is being handed over, and how.
pub(crate) struct Handing {
    pub(crate) by: Option<Arc<dyn Handovers>>,
    pub(crate) errands: Errands,
    /// How the present scene's overlay is written.
    pub(crate) settings: OverlaySettings,
    /// What is open beside the canvas.
    pub(crate) panel: Option<BesideCanvas>,
    /// Whether its button is to have the focus, so that Enter writes, or the field that is empty: when it was
    /// just opened, when a place was chosen, and when the bar that stood in the button's place is gone again.
    pub(crate) wants_focus: bool,
    pub(crate) previewing: Previewing,
    pub(crate) levelling: Levelling,
    pub(crate) products: Products,
    /// A file that is no overlay lies where it was to be written.
    pub(crate) taken: Option<PathBuf>,
    /// A layered file that lies where one was to be written.
    pub(crate) layers_taken: Option<PathBuf>,
    /// Why the last handover failed.
    pub(crate) trouble: Option<String>,
    keeping: Keeping,
    /// Which scene on the desk the settings are of, and its file.
    of: Option<(u64, Option<PathBuf>)>,
    /// When something was last pasted (seconds of the context's clock), until the key is let go.
    pasted: Option<f64>,
    /// Whether V is down as a letter: a key that was taken for pasting is never seen to go down.
    letter_down: bool,
}

/// What is known for keeping the overlay up to date.
#[derive(Default)]
struct Keeping {
    /// What was looked at last, and when it was seen first (seconds of the context's clock).
    seen: Option<(Arc<Scene>, f64)>,
    /// What was last sent to be written, whatever became of it.
    sent: Option<Arc<Scene>>,
    /// What was last said to be wrong, so that it is said once.
    complained: Option<String>,
}

/// What can be asked for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum HandAct {
    /// Close the panel beside the canvas.
    ClosePanel,
    /// Open or close the overlay's panel.
    TogglePanel,
    /// Write the overlay this way from now on.
    Set(OverlaySettings),
    /// Write the overlay.
    Write,
    /// Write it although something else is there.
    Replace,
    /// Leave alone what is there.
    LeaveAlone,
    /// Write it after each change from now on, or no longer.
    Keep(bool),
    /// Copy the ink.
    Copy,
    /// Take the picture on the clipboard as the painting.
    Paste,
    /// Write painting and ink as layers, even over a file that is there.
    WriteLayers {
        /// Over what is there.
        replace: bool,
    },
    /// Leave alone the layered file that is there.
    LeaveLayers,
    /// Send a levelled copy or a layered file to this place from now on, or beside the scene if it is empty.
    Place(Placed, PathBuf),
    /// Write a levelled copy, or bring one back.
    Level(LevelAct),
    /// Write a sheet or a camera, or say how.
    Product(ProductAct),
    /// Give up what is under way.
    Cancel,
    /// Forget why the last handover failed.
    Dismiss,
}

impl Handing {
    pub(crate) fn new() -> Self {
        Self {
            by: None,
            errands: Errands::default(),
            settings: OverlaySettings::default(),
            panel: None,
            wants_focus: false,
            previewing: Previewing::default(),
            levelling: Levelling::default(),
            products: Products::default(),
            taken: None,
            layers_taken: None,
            trouble: None,
            keeping: Keeping::default(),
            of: None,
            pasted: None,
            letter_down: false,
        }
    }

    /// The panel that is open beside the canvas.
    pub(crate) fn open_panel(&self) -> Option<BesideCanvas> {
        self.panel.filter(|_| self.by.is_some())
    }

    /// Opens a panel in place of any other, or closes it if it is open.
    pub(crate) fn toggle(&mut self, panel: BesideCanvas) {
        self.panel = if self.panel == Some(panel) { None } else { Some(panel) };
        self.wants_focus = self.panel.is_some();
    }

    /// Gives the keys to the panel's button where that is wanted and nothing else has them.
    pub(crate) fn give_focus(&mut self, button: &Response) {
        let is_free = button.ctx.memory(|memory| memory.focused().is_none());
        if std::mem::take(&mut self.wants_focus) && is_free {
            button.request_focus();
        }
    }

    /// Whether the overlay that is kept up to date could not be written.
    pub(crate) fn is_behind(&self) -> bool {
        self.keeping.complained.is_some()
    }
}

impl Desk {
    /// Says who carries out what is handed over; without it the menu offers nothing.
    pub fn hand_over_by(&mut self, by: Arc<dyn Handovers>) {
        self.handing.by = Some(by);
    }

    /// Whether something is being handed over, or will be as soon as the scene rests.
    pub(crate) fn is_handing_over(&self) -> bool {
        let handing = &self.handing;
        handing.by.is_some() && (handing.errands.is_busy() || is_due(self) || self.is_previewing())
    }

    /// Whether the preview that is looked at is being drawn.
    fn is_previewing(&self) -> bool {
        let Handing { panel, previewing, products, .. } = &self.handing;
        match *panel {
            Some(BesideCanvas::Overlay) => previewing.is_behind(&ink(self)),
            Some(BesideCanvas::Product(product)) => {
                products.previewing.is_behind(&products::order(self, product))
            }
            Some(BesideCanvas::LevelledCopy) | None => false,
        }
    }

    /// Ends all handovers properly: what is being written is written to its end, and the overlay that
    /// is kept up to date is brought up to date. For when the window closes.
    pub fn finish_handovers(&mut self) {
        let Some(by) = self.handing.by.clone() else { return };
        if is_due(self) {
            send_kept(self);
        }
        self.handing.errands.finish(&by);
    }
}

pub(crate) fn act(desk: &mut Desk, act: HandAct) {
    match act {
        HandAct::TogglePanel => {
            desk.handing.toggle(BesideCanvas::Overlay);
            desk.handing.taken = None;
        }
        HandAct::Set(settings) => set(desk, settings),
        HandAct::Write => write(desk, false),
        HandAct::Replace => write(desk, true),
        HandAct::LeaveAlone => {
            desk.handing.taken = None;
            keep(desk, false);
        }
        HandAct::Keep(kept) => keep(desk, kept),
        HandAct::Copy => copy(desk),
        HandAct::Paste => paste(desk),
        HandAct::WriteLayers { replace } => write_layers(desk, replace),
        HandAct::LeaveLayers => desk.handing.layers_taken = None,
        HandAct::Place(placed, to) => places::choose(desk, placed, &to),
        HandAct::Level(act) => levelling::act(desk, act),
        HandAct::Product(act) => products::act(desk, act),
        HandAct::ClosePanel => desk.handing.panel = None,
        HandAct::Cancel => desk.handing.errands.cancel(),
        HandAct::Dismiss => desk.handing.trouble = None,
    }
}

/// Takes the keys of the clipboard. The window system's own takes the key for pasting away and brings
/// what it found, or nothing where there is neither text nor a picture.
pub(crate) fn take_paste(desk: &mut Desk, ui: &Ui, acts: &mut Vec<Act>) {
    let heard = desk.handing.by.is_some() && !ui.text_edit_focused() && desk.question.is_none();
    let mut asked = false;
    let Handing { pasted, letter_down, .. } = &mut desk.handing;
    ui.input(|i| {
        // What other orders have taken is there, too: V alone looks at the values.
        for event in &i.raw.events {
            match event {
                Event::Paste(_) | Event::PasteImage(_) => {
                    // A key that is held down repeats, and would make one file after the other.
                    asked |= pasted.is_none_or(|before| i.time - before > REPEATING);
                    *pasted = Some(i.time);
                }
                Event::Key { key: Key::V, pressed: true, .. } => *letter_down = true,
                Event::Key { key: Key::V, .. } => {
                    asked |= !*letter_down && pasted.is_none();
                    (*pasted, *letter_down) = (None, false);
                }
                _ => {}
            }
        }
    });
    if asked && heard {
        acts.push(Act::Hand(HandAct::Paste));
    }
}

fn set(desk: &mut Desk, settings: OverlaySettings) {
    let handing = &mut desk.handing;
    if handing.settings == settings {
        return;
    }
    let look = OverlaySettings { tones: settings.tones, ..handing.settings.clone() };
    let only_tones = look == settings;
    if handing.settings.to != settings.to {
        handing.taken = None;
        handing.trouble = None;
        handing.wants_focus = true;
    }
    handing.settings = settings;
    if !only_tones {
        // Written again, once the settings rest too.
        start_afresh(desk);
    }
    remember(desk);
}

/// What is kept up to date is no longer what was sent.
pub(crate) fn start_afresh(desk: &mut Desk) {
    desk.handing.keeping.sent = None;
    desk.handing.keeping.seen = None;
}

fn remember(desk: &mut Desk) {
    if let Some(path) = desk.path.clone() {
        desk.remembered.overlays.remember(&plain(path), &desk.handing.settings);
    }
}

/// Where the overlay goes: what was chosen, else beside the scene, else beside its painting.
pub(crate) fn target(desk: &Desk) -> Option<PathBuf> {
    let settings = &desk.handing.settings;
    let scene = files::suggested_path(desk);
    let has_folder = scene.parent().is_some_and(|folder| !folder.as_os_str().is_empty());
    match &settings.to {
        Some(to) => Some(absolute(desk, to)),
        None => has_folder.then(|| plain(settings.beside(&scene))),
    }
}

/// A path as it was typed, seen from the scene's folder.
pub(crate) fn absolute(desk: &Desk, path: &Path) -> PathBuf {
    let folder = desk.path.as_ref().and_then(|scene| scene.parent()).unwrap_or(Path::new(""));
    plain(folder.join(path))
}

/// A path from the root, which stays the same whatever the working folder is.
pub(crate) fn plain(path: PathBuf) -> PathBuf {
    plain_absolute(&path).unwrap_or(path)
}

/// The ink as it is to be drawn.
pub(crate) fn ink(desk: &Desk) -> Ink {
    let settings = &desk.handing.settings;
    Ink {
        scene: Arc::clone(desk.history.present()),
        width: settings.width_at(desk.scene().frame.working_width),
        parts: settings.parts.clone(),
        words: settings.words,
        weight: settings.weight,
        grid: desk.grid().filter(|_| settings.parts.contains(&crate::handover::InkPart::Grid)),
        units: desk.units(),
    }
}

/// The question where the overlay goes, for a dialog.
pub(crate) fn choice(desk: &Desk) -> Choice {
    let suggested =
        target(desk).unwrap_or_else(|| desk.handing.settings.beside(&files::suggested_path(desk)));
    Choice::Overlay { suggested }
}

fn write(desk: &mut Desk, replace: bool) {
    desk.handing.taken = None;
    desk.handing.trouble = None;
    let Some(path) = target(desk) else {
        desk.handing.panel = Some(BesideCanvas::Overlay);
        desk.handing.wants_focus = true;
        desk.handing.trouble = Some(NOWHERE.into());
        return;
    };
    // From now on it goes there, whatever the scene is called later.
    desk.handing.settings.to = Some(path.clone());
    remember(desk);
    send_overlay(desk, path, replace, false);
}

/// Painting and ink as layers, the ink as the overlay has it.
fn write_layers(desk: &mut Desk, replace: bool) {
    desk.handing.layers_taken = None;
    desk.handing.trouble = None;
    if places::target(desk, Placed::Layers).is_none() {
        desk.handing.panel = Some(BesideCanvas::Overlay);
        desk.handing.trouble = Some(NOWHERE_FOR_LAYERS.into());
        return;
    }
    let order = LayersOrder {
        ink: ink(desk),
        tones: desk.handing.settings.tones,
        scene_path: plain(files::suggested_path(desk)),
        to: places::chosen(desk, Placed::Layers),
        replace,
    };
    let words = "Writing the layered file".into();
    desk.handing.errands.send(Errand { order: Order::Layers(order), words, by_itself: false });
}

fn send_overlay(desk: &mut Desk, path: PathBuf, replace: bool, by_itself: bool) {
    desk.handing.keeping.sent = Some(Arc::clone(desk.history.present()));
    let words = format!("Writing {}", file_name(&path));
    let order = Order::Overlay(OverlayOrder { ink: ink(desk), path, replace });
    desk.handing.errands.send(Errand { order, words, by_itself });
}

fn keep(desk: &mut Desk, kept: bool) {
    desk.handing.settings.kept = kept;
    desk.handing.keeping.complained = None;
    if kept && !desk.history.in_gesture() {
        write(desk, false);
        // Where it has no place there is nothing to keep.
        desk.handing.settings.kept = desk.handing.settings.to.is_some();
    }
    remember(desk);
}

fn copy(desk: &mut Desk) {
    let mut ink = ink(desk);
    ink.width = ink.width.min(WIDEST_COPY);
    let words = "Copying the ink".into();
    desk.handing.trouble = None;
    desk.handing.errands.send(Errand { order: Order::CopyInk(ink), words, by_itself: false });
}

/// Pasting another picture while one is on its way would only make two files.
fn paste(desk: &mut Desk) {
    let running = desk.handing.errands.running();
    if running.is_some_and(|r| matches!(r.errand.order, Order::PastePainting { .. })) {
        return;
    }
    let Some(wanted) = pasted_path(desk) else {
        desk.handing.trouble = Some(NOWHERE_TO_PASTE.into());
        return;
    };
    let words = "Pasting the painting".into();
    desk.handing.trouble = None;
    let order = Order::PastePainting { wanted };
    desk.handing.errands.send(Errand { order, words, by_itself: false });
}

/// Where a pasted painting goes: beside the scene, or beside where it is put aside while it has no
/// file.
fn pasted_path(desk: &Desk) -> Option<PathBuf> {
    let place = plain(desk.path.clone().or_else(|| desk.untitled.clone())?);
    let stem = place.file_stem()?.to_string_lossy().into_owned();
    Some(place.with_file_name(format!("{stem} pasted.png")))
}

/// Takes what has ended, and writes the overlay again where it is kept up to date.
pub(crate) fn follow(desk: &mut Desk, ctx: &Context) {
    let Some(by) = desk.handing.by.clone() else { return };
    follow_scene(desk, ctx);
    if desk.handing.panel == Some(BesideCanvas::Overlay) {
        let ink = ink(desk);
        desk.handing.previewing.follow(ctx, &by, ink);
    } else {
        desk.handing.previewing.put_away();
    }
    if let Some(BesideCanvas::Product(product)) = desk.handing.panel {
        let order = products::order(desk, product);
        desk.handing.products.previewing.follow(ctx, &by, order);
    } else {
        desk.handing.products.previewing.put_away();
    }
    if let Some((errand, outcome)) = desk.handing.errands.follow(ctx, &by) {
        take(desk, ctx, &errand, outcome);
    }
    if is_due(desk) {
        let (_, since) = desk.handing.keeping.seen.as_ref().expect("looked at above");
        let left = since + SETTLED - ctx.input(|i| i.time);
        if left > 0.0 {
            ctx.request_repaint_after(Duration::from_secs_f64(left));
        } else if !desk.handing.errands.is_busy() {
            send_kept(desk);
            ctx.request_repaint();
        }
    }
}

/// Asks for another frame where one is needed to notice what changed in this one.
pub(crate) fn wake(desk: &Desk, ctx: &Context) {
    let handing = &desk.handing;
    let seen = handing.keeping.seen.as_ref();
    let noticed = seen.is_some_and(|(seen, _)| Arc::ptr_eq(seen, desk.history.present()));
    let looked_at = matches!(handing.panel, Some(BesideCanvas::Overlay | BesideCanvas::Product(_)));
    if handing.by.is_some() && !noticed && (handing.settings.kept || looked_at) {
        ctx.request_repaint();
    }
}

/// Notices another scene on the desk, another file of it, and every change.
fn follow_scene(desk: &mut Desk, ctx: &Context) {
    let present = Arc::clone(desk.history.present());
    let of = (desk.laid_out, desk.path.clone());
    match &desk.handing.of {
        Some(known) if *known == of => {}
        Some((laid_out, _)) if *laid_out == of.0 => {
            // It was saved under a name of its own: its overlay stays what it was.
            desk.handing.of = Some(of);
            remember(desk);
        }
        _ => {
            let path = desk.path.clone().map(plain);
            let settings = desk.remembered.overlays.of(path.as_deref());
            let handing = &mut desk.handing;
            handing.settings = settings;
            handing.taken = None;
            handing.layers_taken = None;
            handing.levelling.taken = None;
            handing.levelling.last = None;
            handing.products.taken = None;
            handing.keeping = Keeping { sent: Some(Arc::clone(&present)), ..Keeping::default() };
            handing.of = Some(of);
        }
    }
    let seen = &mut desk.handing.keeping.seen;
    if seen.as_ref().is_none_or(|(seen, _)| !Arc::ptr_eq(seen, &present)) {
        *seen = Some((present, ctx.input(|i| i.time)));
    }
}

/// Whether the overlay that is kept up to date is behind a scene at rest.
fn is_due(desk: &Desk) -> bool {
    let handing = &desk.handing;
    let sent = handing.keeping.sent.as_deref();
    handing.settings.kept
        && handing.taken.is_none()
        && !desk.history.in_gesture()
        && sent.is_none_or(|sent| !std::ptr::eq(sent, desk.scene()) && sent != desk.scene())
}

fn send_kept(desk: &mut Desk) {
    match target(desk) {
        Some(path) => send_overlay(desk, path, false, true),
        None => desk.handing.keeping.sent = Some(Arc::clone(desk.history.present())),
    }
}

fn take(desk: &mut Desk, ctx: &Context, errand: &Errand, outcome: Outcome) {
    let is_overlay = matches!(errand.order, Order::Overlay(_));
    let its_panel = matches!(desk.handing.panel, Some(BesideCanvas::Product(_)));
    desk.handing.wants_focus |= its_panel && matches!(errand.order, Order::Product(_));
    match outcome {
        Outcome::Done(sentence) => {
            if is_overlay {
                desk.handing.keeping.complained = None;
                desk.handing.trouble = None;
            }
            if !errand.by_itself {
                desk.told = Some(sentence);
            }
        }
        Outcome::Pasted(path) => {
            let sentence = format!("The picture was pasted and lies in “{}”.", path.display());
            in_step::choose(desk, ctx, path);
            desk.told = Some(sentence);
        }
        Outcome::Levelled { copy, sentence } => {
            desk.handing.levelling.last = Some(copy);
            desk.told = Some(sentence);
        }
        Outcome::Taken(_) if let Order::Product(order) = &errand.order => {
            products::taken(desk, order.clone());
        }
        Outcome::Taken(path) if matches!(errand.order, Order::Layers(_)) => {
            desk.handing.panel = Some(BesideCanvas::Overlay);
            desk.handing.layers_taken = Some(path);
        }
        Outcome::Taken(path) if !is_overlay => levelling::taken(desk, errand.order.clone(), path),
        Outcome::Taken(path) => {
            desk.handing.panel = Some(BesideCanvas::Overlay);
            desk.handing.taken = Some(path);
        }
        Outcome::Cancelled => {
            desk.told = Some(format!("{}: cancelled, nothing was left behind.", errand.words));
        }
        Outcome::Failed(sentence) if errand.by_itself => complain(desk, sentence),
        Outcome::Failed(sentence) => {
            if is_overlay {
                desk.handing.keeping.complained = Some(sentence.clone());
            }
            desk.handing.trouble = Some(sentence);
        }
    }
}

/// Says what is wrong with keeping the overlay up to date, once.
fn complain(desk: &mut Desk, sentence: String) {
    let handing = &mut desk.handing;
    if handing.keeping.complained.as_ref() != Some(&sentence) {
        handing.trouble = Some(format!("{sentence} It is tried again at the next change."));
        handing.keeping.complained = Some(sentence);
    }
}
