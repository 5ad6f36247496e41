use crate::actions::act::{Act, Traced};
use crate::actions::action_list::{self, ActionList};
use crate::alternatives::Renaming;
use crate::alternatives::comparing::{self, Comparing};
use crate::assessed::Assessed;
use crate::canvas::brushes::Brushes;
use crate::canvas::crosshair::Crosshair;
use crate::canvas::gesture::Gesture;
use crate::canvas::preview::Preview;
use crate::canvas::snap::Snap;
use crate::canvas::turning::Turning;
use crate::canvas::view::View;
use crate::choice::Choice;
use crate::handover::handing::Handing;
use crate::modes::guide_tools::GuideTools;
use crate::modes::mode::Mode;
use crate::modes::naming::Naming;
use crate::modes::stand_in_mode::Setting;
use crate::painting::Painted;
use crate::painting::in_step::InStep;
use crate::painting::reframe::Reframe;
use crate::painting::tone_view::{self, Looking};
use crate::panes::{self, Pane};
use crate::questions::Question;
use crate::remembered::Remembered;
use crate::selection::Selection;
use crate::side::find::Finding;
use crate::side::suggesting::Suggesting;
use crate::size_book::{self, Booked};
use crate::thing::Thing;
use crate::worker::Worker;
use crate::{
    actions::{keys, menu},
    alternatives, aside,
    canvas::{self, canvas_nodes, first_steps},
    files,
    handover::{handing, level_panel, overlay_panel, product_panel},
    modes::{modes_row, naming},
    painting::{in_step, reframe},
    questions, sheets,
    side::{self, suggesting},
    status, theme,
};
use egui::{Context, Frame, Margin, Rect, Ui};
use staffage_drawing::Drawing;
use staffage_scene::{
    Assessment, BlockId, Family, History, InclineId, LevelId, Mend, Scene, Span, Subject, Units,
};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The window's contents: a scene, its painting, and the furniture around them.
///
/// The program around it calls [`logic`](Self::logic) and [`ui`](Self::ui) every frame, has files
/// chosen when [`wanted_choice`](Self::wanted_choice) asks for it, carries out what is handed over
/// ([`hand_over_by`](Self::hand_over_by), [`finish_handovers`](Self::finish_handovers)), and keeps
/// [`remembered`](Self::remembered) between sessions.
pub struct Desk {
    pub(crate) remembered: Remembered,
    pub(crate) history: History,
    /// Where the scene is kept; `None` for one that was never saved.
    pub(crate) path: Option<PathBuf>,
    pub(crate) assessed: Assessed,
    pub(crate) painting: Painted,
    /// How many scenes have been put on the desk.
    pub(crate) laid_out: u64,
    pub(crate) worker: Worker<files::Done>,
    pub(crate) view: View,
    /// How the view is to be turned, and how it is: it stays while something is dragged.
    pub(crate) turning: Turning,
    pub(crate) turned: Turning,
    pub(crate) fit_wanted: bool,
    pub(crate) looking: Looking,
    /// The canvas on the screen, as of the last frame.
    pub(crate) canvas: Rect,
    pub(crate) drawn: Option<canvas::Drawn>,
    pub(crate) brushes: Brushes,
    pub(crate) inkings: u64,
    pub(crate) on_sheets: sheets::OnSheets,
    pub(crate) nodes: Option<canvas_nodes::Nodes>,
    pub(crate) mode: Mode,
    pub(crate) tools: Tools,
    /// What the next stand-in is.
    pub(crate) setting: Setting,
    pub(crate) gesture: Gesture,
    /// Where keys draw, while they do.
    pub(crate) crosshair: Option<Crosshair>,
    /// What catches the end that is being placed.
    pub(crate) snap: Option<Snap>,
    pub(crate) selection: Selection,
    /// The scene as the last nudge left it.
    pub(crate) nudged: Option<Arc<Scene>>,
    pub(crate) hovered: Option<Thing>,
    /// Where on the canvas the pointer or the crosshair is, while nothing is dragged.
    pub(crate) hand_at: Option<egui::Pos2>,
    /// What the properties were last shown of.
    pub(crate) described: Selection,
    /// What the finding that was clicked involves.
    pub(crate) involved: BTreeSet<Subject>,
    /// What the pointer is over in the furniture, in this frame.
    pub(crate) lit: BTreeSet<Subject>,
    /// The mend that the pointer is over or that has the focus, in this frame.
    pub(crate) pointed_at: Option<Mend>,
    pub(crate) preview: Option<Preview>,
    pub(crate) suggesting: Suggesting,
    /// Whether the eye's summary is pointed at or its panel is open.
    pub(crate) eye_looked_at: bool,
    pub(crate) in_step: InStep,
    /// The question of how a painting of another shape lies over the old frame.
    pub(crate) reframe: Reframe,
    pub(crate) booked: Booked,
    pub(crate) handing: Handing,
    pub(crate) naming: Option<Naming>,
    /// The alternative that is being named.
    pub(crate) renaming: Option<Renaming>,
    /// The alternatives that are compared.
    pub(crate) comparing: Option<Comparing>,
    pub(crate) question: Option<Question>,
    pub(crate) left_behind: Option<aside::LeftBehind>,
    pub(crate) after_save: Option<Act>,
    pub(crate) notice: Option<String>,
    /// What was done, until the painter does something else.
    pub(crate) told: Option<String>,
    /// The scene that lies beside the picture that was opened, and shows it.
    pub(crate) beside: Option<PathBuf>,
    pub(crate) choice: Option<Choice>,
    /// What the ledger has scrolled to.
    pub(crate) revealed: Option<Thing>,
    /// What is searched for in the ledger, while something is.
    pub(crate) finding: Option<Finding>,
    /// Whether the first hint is shown.
    pub(crate) hint_shown: bool,
    /// Which scene the hint is shown over, and how much is drawn in it.
    pub(crate) hint_at: Option<first_steps::Doing>,
    /// The list of all actions, while it is open.
    pub(crate) action_list: Option<ActionList>,
    /// Whether the eye's panel is to be opened or closed in this frame.
    pub(crate) eye_toggled: bool,
    pub(crate) caution_shown: bool,
    pub(crate) may_close: bool,
    pub(crate) keeping: Option<(Subject, String)>,
    /// What was put aside last, and when (seconds of the context's clock).
    pub(crate) autosaved: Option<Arc<Scene>>,
    pub(crate) autosaved_at: f64,
    /// Where unsaved scenes without a file are put aside.
    pub(crate) aside_folder: Option<PathBuf>,
    /// As what file this one is put aside while it has none.
    pub(crate) untitled: Option<PathBuf>,
    /// Where the demo scene is.
    pub(crate) demo: Option<PathBuf>,
    /// The part of the window that is to have the keys.
    pub(crate) pane_asked: Option<Pane>,
}

/// What the next line or marker will be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Tools {
    pub(crate) traced: Traced,
    pub(crate) block: BlockId,
    pub(crate) span: Span,
    pub(crate) level: Option<LevelId>,
    pub(crate) guide: GuideTools,
}

impl Tools {
    fn of(scene: &Scene) -> Self {
        let level = scene.levels.first().map(|l| l.id);
        let block = scene.blocks.first().map_or(BlockId(1), |b| b.id);
        Self {
            guide: GuideTools::of(block, level),
            traced: Traced::Family(Family::Upright),
            block,
            span: Span::Upright,
            level,
        }
    }

    /// The incline that is traced, or whose level run is.
    pub(crate) fn incline(&self) -> Option<InclineId> {
        match self.traced {
            Traced::Family(Family::Incline(id) | Family::Run(id)) => Some(id),
            Traced::Family(_) | Traced::Horizon => None,
        }
    }
}

impl Desk {
    /// A desk with a blank frame on it. Gives the context its fonts and colours.
    #[must_use]
    pub fn new(ctx: &Context, remembered: Remembered) -> Self {
        theme::install(ctx);
        let scene = Scene::default();
        let tools = Tools::of(&scene);
        let history = History::new(scene);
        let hint_shown = !remembered.hint_seen;
        Self {
            assessed: Assessed::of(history.present(), remembered.units),
            painting: Painted::Blank,
            laid_out: 0,
            remembered,
            history,
            path: None,
            worker: Worker::new(),
            view: View::plain(glam::DVec2::ZERO, 800.0),
            turning: Turning::default(),
            turned: Turning::default(),
            fit_wanted: true,
            looking: Looking::default(),
            canvas: Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(800.0, 600.0)),
            drawn: None,
            brushes: Brushes::new(ctx),
            inkings: 0,
            on_sheets: sheets::OnSheets::default(),
            nodes: None,
            mode: Mode::default(),
            tools,
            setting: Setting::default(),
            gesture: Gesture::Idle,
            crosshair: None,
            snap: None,
            selection: Selection::default(),
            nudged: None,
            hovered: None,
            hand_at: None,
            described: Selection::default(),
            involved: BTreeSet::new(),
            lit: BTreeSet::new(),
            pointed_at: None,
            preview: None,
            suggesting: Suggesting::new(),
            eye_looked_at: false,
            in_step: InStep::default(),
            reframe: Reframe::default(),
            booked: Booked::default(),
            handing: Handing::new(),
            naming: None,
            renaming: None,
            comparing: None,
            question: None,
            left_behind: None,
            after_save: None,
            notice: None,
            told: None,
            beside: None,
            choice: None,
            revealed: None,
            finding: None,
            hint_shown,
            hint_at: None,
            action_list: None,
            eye_toggled: false,
            caution_shown: false,
            may_close: false,
            keeping: None,
            autosaved: None,
            autosaved_at: 0.0,
            aside_folder: None,
            untitled: None,
            demo: None,
            pane_asked: None,
        }
    }

    /// What is to be remembered until the next session.
    #[must_use]
    pub fn remembered(&self) -> &Remembered {
        &self.remembered
    }

    /// The scene as it is now.
    #[must_use]
    pub fn scene(&self) -> &Scene {
        self.history.present()
    }

    /// What follows from the scene.
    #[must_use]
    pub fn assessment(&self) -> &Assessment {
        self.assessed.assessment()
    }

    /// What lengths are told in.
    #[must_use]
    pub fn units(&self) -> Units {
        self.remembered.units
    }

    /// Which part of the picture is shown.
    #[must_use]
    pub fn view(&self) -> View {
        self.view
    }

    /// Where on the screen the canvas is.
    #[must_use]
    pub fn canvas(&self) -> Rect {
        self.canvas
    }

    /// What gestures on the canvas do.
    #[must_use]
    pub fn mode(&self) -> Mode {
        self.mode
    }

    /// The selected thing whose properties are shown.
    #[must_use]
    pub fn selected(&self) -> Option<Thing> {
        self.selection.first()
    }

    /// Everything that is selected.
    #[must_use]
    pub fn selection(&self) -> &Selection {
        &self.selection
    }

    /// What is highlighted because the furniture or a finding speaks of it.
    pub fn highlighted(&self) -> impl Iterator<Item = Subject> {
        self.involved.union(&self.lit).copied()
    }

    /// What was last drawn over the painting; `None` before the first frame.
    #[must_use]
    pub fn drawing(&self) -> Option<&Drawing> {
        self.drawn.as_ref().map(canvas::Drawn::drawing)
    }

    /// How often ink was made so far, for the canvas, the section and the plan. It stays while nothing
    /// that they show changes.
    #[must_use]
    pub fn inkings(&self) -> u64 {
        self.inkings
    }

    /// What is drawn over the painting to show what a mend would change, while one is pointed at.
    #[must_use]
    pub fn previewed(&self) -> Option<&Drawing> {
        self.preview.as_ref().map(Preview::drawing)
    }

    /// Where the scene is kept; `None` for one that was never saved.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Whether there is anything that would be lost by closing the window.
    #[must_use]
    pub fn is_changed(&self) -> bool {
        self.history.is_changed_since_save()
    }

    /// Whether something is being loaded, saved or worked out.
    #[must_use]
    pub fn is_busy(&self) -> bool {
        !self.worker.jobs().is_empty()
            || self.suggesting.is_busy()
            || self.painting.is_busy()
            || self.is_handing_over()
    }

    /// What the scene is called: its title, else its file's name.
    #[must_use]
    pub fn name(&self) -> String {
        let title = &self.scene().title;
        let stem = self.path.as_ref().and_then(|p| p.file_stem());
        match stem {
            Some(stem) => stem.to_string_lossy().into_owned(),
            None if title.is_empty() => "Untitled".into(),
            None => title.clone(),
        }
    }

    /// The window's title.
    #[must_use]
    pub fn window_title(&self) -> String {
        let unsaved = if self.is_changed() { " (not saved)" } else { "" };
        format!("{}{unsaved} – Staffage", self.name())
    }

    /// What goes on even while the window is hidden: results of work, closing.
    pub fn logic(&mut self, ctx: &Context) {
        files::take_results(self, ctx);
        in_step::follow(self, ctx);
        reframe::follow(self, ctx);
        size_book::follow(self, ctx);
        suggesting::follow(self, ctx);
        handing::follow(self, ctx);
        questions::on_close_request(self, ctx);
        aside::keep(self, ctx);
        self.send_title(ctx);
    }

    /// One frame of the window.
    pub fn ui(&mut self, ui: &mut Ui) {
        if ui.options(|o| o.theme_preference) != self.remembered.theme {
            ui.set_theme(self.remembered.theme);
        }
        self.remembered.follow_scale(ui);
        first_steps::follow(self);
        self.lit.clear();
        self.pointed_at = None;
        let mut acts = Vec::new();
        files::take_dropped(ui, &mut acts);
        tone_view::take_keys(self, ui, &mut acts);
        keys::take(self, ui, &mut acts);
        handing::take_paste(self, ui, &mut acts);
        self.furniture(ui, &mut acts);
        egui::CentralPanel::no_frame().show(ui, |ui| {
            if self.comparing.is_some() {
                comparing::show(self, ui, &mut acts);
            } else {
                canvas::show(self, ui);
            }
        });
        naming::show(self, ui, &mut acts);
        action_list::show(self, ui, &mut acts);
        questions::show(self, ui, &mut acts);
        theme::focus_ring(ui);
        let again = !acts.is_empty();
        for act in acts {
            self.act(ui.ctx(), act);
        }
        self.refresh();
        handing::wake(self, ui.ctx());
        if again {
            ui.ctx().request_repaint();
        }
    }

    fn furniture(&mut self, ui: &mut Ui, acts: &mut Vec<Act>) {
        let wall = ui.visuals().panel_fill;
        let row = Frame::new().fill(wall).inner_margin(Margin::symmetric(8, 4));
        egui::Panel::top("menu").frame(row).show_separator_line(false).show(ui, |ui| {
            panes::begin(self, ui, Pane::Menus);
            menu::show(self, ui, acts);
        });
        egui::Panel::top("modes").frame(row).show(ui, |ui| {
            panes::begin(self, ui, Pane::Modes);
            modes_row::show(self, ui, acts);
        });
        // In a small window the painting keeps most of the width.
        let widest = (0.42 * ui.available_width()).clamp(300.0, 620.0);
        egui::Panel::right("side")
            .frame(Frame::new().fill(wall))
            .resizable(true)
            .default_size(400.0_f32.min(0.9 * widest))
            .size_range(300.0..=widest)
            .show(ui, |ui| {
                panes::begin(self, ui, Pane::Wall);
                alternatives::row(self, ui, acts);
                side::show(self, ui, acts);
            });
        overlay_panel::show(self, ui, acts);
        level_panel::show(self, ui, acts);
        product_panel::show(self, ui, acts);
        // Two pictures and two ledgers need the room.
        if self.remembered.section && self.comparing.is_none() {
            sheets::panel(self, ui, acts);
        }
        egui::Panel::bottom("status")
            .frame(Frame::new().fill(wall).inner_margin(Margin::symmetric(10, 3)))
            .show_separator_line(false)
            .show(ui, |ui| {
                panes::begin(self, ui, Pane::Strip);
                status::show(self, ui, acts);
            });
    }

    /// Brings what is derived up to date with the scene.
    pub(crate) fn refresh(&mut self) {
        self.assessed.follow(self.history.present(), self.remembered.units);
        if self.remembered.last != self.path {
            self.remembered.last.clone_from(&self.path);
        }
        let scene = self.history.present();
        self.selection.retain(|t| t.exists(scene));
        self.hovered = self.hovered.filter(|t| t.exists(scene));
        comparing::follow(self);
    }

    /// Puts another scene on the desk.
    pub(crate) fn lay_out(&mut self, history: History, path: Option<PathBuf>) {
        aside::forget_if_saved(self);
        self.history = history;
        self.laid_out += 1;
        self.tools = Tools::of(self.history.present());
        self.path = path;
        self.selection = Selection::default();
        self.hovered = None;
        self.involved.clear();
        self.gesture = Gesture::Idle;
        self.crosshair = None;
        self.naming = None;
        self.renaming = None;
        self.comparing = None;
        self.keeping = None;
        self.autosaved = None;
        self.beside = None;
        self.turning = Turning::default();
        self.in_step.stale = None;
        self.in_step.lost.clear();
        self.reframe = Reframe::default();
        self.fit_wanted = true;
        self.mode = Mode::Look;
        self.on_sheets.fit();
        self.refresh();
    }

    fn send_title(&self, ctx: &Context) {
        let title = self.window_title();
        let sent = egui::Id::unique("window title");
        let was: Option<String> = ctx.data(|d| d.get_temp(sent));
        if was.as_ref() != Some(&title) {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            ctx.data_mut(|d| d.insert_temp(sent, title));
        }
    }
}
