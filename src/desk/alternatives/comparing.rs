//! Two alternatives side by side: their pictures, and under them their ledgers. Both pictures show the
//! same part of the painting.

use crate::actions::act::Act;
use crate::alternatives::AlternativeAct;
use crate::alternatives::compared_ledger::{self, Row};
use crate::assessed::Assessed;
use crate::canvas::Drawn;
use crate::desk::Desk;
use crate::modes::mode::Mode;
use crate::selection::Selection;
use crate::sentences;
use crate::thing::Thing;
use crate::{
    alternatives::{self, compared_picture},
    canvas::canvas_nodes,
};
use egui::{
    Align, Button, ComboBox, Label, Layout, Rect, RichText, TextStyle, Ui, UiBuilder, pos2, vec2,
};
use staffage_scene::{Alternative, AlternativeId, Assessment, Scene, Standing};
use std::sync::Arc;

/// Between the two halves, points: the marks of what differs stand there.
pub(crate) const GUTTER: f32 = 26.0;
/// Heights of a heading without and with the eye, points.
const HEADING: f32 = 48.0;
const EYE: f32 = 16.0;
/// Most of the height that the pictures take.
const PICTURES: f32 = 0.55;
const MARGIN: f32 = 12.0;

/// What is compared.
pub(crate) struct Comparing {
    laid_out: u64,
    shown: AlternativeId,
    other: AlternativeId,
    /// The scene that all this is worked out from.
    from: Arc<Scene>,
    /// The same with the other one on show.
    pub(crate) scene: Arc<Scene>,
    pub(crate) assessed: Assessed,
    pub(crate) drawn: Option<Drawn>,
    pub(crate) nodes: Option<canvas_nodes::Nodes>,
    rows: Arc<Vec<Row>>,
    /// Whether what is the same in both is left out.
    only_differing: bool,
    /// What is pointed at in the other one.
    pub(crate) hovered: Option<Thing>,
    /// What is selected in the other one, as long as this is selected in the one on show.
    selected: Option<(Selection, Thing)>,
}

impl Comparing {
    fn of(desk: &Desk, other: AlternativeId) -> Option<Self> {
        let from = Arc::clone(desk.history.present());
        let shown = from.alternative_shown()?.id;
        let scene = Arc::new(from.showing(other).filter(|_| other != shown)?);
        let assessed = Assessed::of(&scene, desk.units());
        let rows = compared_ledger::rows([(&from, &desk.assessed), (&scene, &assessed)]);
        Some(Self {
            laid_out: desk.laid_out,
            shown,
            other,
            from,
            scene,
            assessed,
            drawn: None,
            nodes: None,
            rows: Arc::new(rows),
            only_differing: false,
            hovered: None,
            selected: None,
        })
    }

    /// Which one the one on show is compared with.
    pub(crate) fn other(&self) -> AlternativeId {
        self.other
    }

    /// Everything that is in either, each thing beside what it is in the other.
    pub(crate) fn rows(&self) -> Arc<Vec<Row>> {
        Arc::clone(&self.rows)
    }

    /// Which of the rows are listed.
    pub(crate) fn listed(&self) -> Vec<usize> {
        let is_listed = |at: &usize| !self.only_differing || self.rows[*at].is_different();
        (0..self.rows.len()).filter(is_listed).collect()
    }

    /// What is selected in the other one alone.
    pub(crate) fn selected_there(&self, desk: &Desk) -> Option<Thing> {
        let (with, thing) = self.selected.as_ref()?;
        (*with == desk.selection).then_some(*thing)
    }

    /// Whether the thing is selected in the other one.
    pub(crate) fn has_selected(&self, desk: &Desk, thing: Thing) -> bool {
        desk.selection.has(thing) || self.selected_there(desk) == Some(thing)
    }

    /// What the one on show has of a thing of the other.
    pub(crate) fn counterpart(&self, there: Thing) -> Option<Thing> {
        if there.exists(&self.from) {
            return Some(there);
        }
        let row = self.rows.iter().find(|row| row.thing(1) == Some(there));
        row.and_then(|row| row.thing(0))
    }
}

/// Compares the one on show with this one.
pub(crate) fn begin(desk: &mut Desk, other: AlternativeId) {
    desk.set_mode(Mode::Look);
    desk.fit_wanted |= desk.comparing.is_none();
    desk.comparing = Comparing::of(desk, other);
}

/// Follows the scene; stops where there is nothing left to compare.
pub(crate) fn follow(desk: &mut Desk) {
    let Some(was) = desk.comparing.take() else { return };
    let present = desk.history.present();
    let asked = desk.asked_frame().is_some() || desk.crosshair.is_some();
    if was.laid_out != desk.laid_out || desk.mode != Mode::Look || asked {
        desk.fit_wanted = true;
        return;
    }
    let units = was.assessed.assessment().units;
    if Arc::ptr_eq(&was.from, present) && units == desk.units() {
        desk.comparing = Some(was);
        return;
    }
    let is_aside = |id| present.alternative(id).is_some_and(|a| a.aside.is_some());
    // If the other one was put on show, it is the one that was that it is compared with now.
    let other = [was.other, was.shown].into_iter().find(|id| is_aside(*id));
    let other = other.or_else(|| alternatives::next(present, 1).map(|a| a.id));
    let now = other.and_then(|other| Comparing::of(desk, other));
    desk.comparing = now.map(|now| Comparing { only_differing: was.only_differing, ..now });
    desk.fit_wanted |= desk.comparing.is_none();
}

/// Selects a thing on show, and what it is in the other one.
pub(crate) fn select(desk: &mut Desk, here: Option<Thing>, there: Option<Thing>) {
    desk.select(Selection::from(here));
    let selection = desk.selection.clone();
    if let Some(comparing) = &mut desk.comparing {
        comparing.selected = there.map(|there| (selection, there));
    }
}

/// All of it, in the room of the canvas.
pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let Some(mut comparing) = desk.comparing.take() else { return };
    let room = ui.available_rect_before_wrap();
    ui.advance_cursor_after_rect(room);
    ui.painter().rect_filled(room, 0, ui.visuals().panel_fill);
    let scene = Arc::clone(desk.history.present());
    let there = Arc::clone(&comparing.scene);
    let scenes = [&*scene, &*there];
    let eyes = [
        sentences::eye(desk.assessment(), &scene),
        sentences::eye(comparing.assessed.assessment(), &comparing.scene),
    ];
    let eyes_differ = eyes[0] != eyes[1];
    let top = HEADING + if eyes_differ { EYE } else { 0.0 };
    for (side, half) in halves(room, room.top(), top).into_iter().enumerate() {
        let inner = half.shrink2(vec2(MARGIN, 4.0));
        let builder = UiBuilder::new().max_rect(inner).id_salt(("compared heading", side));
        let mut child = ui.new_child(builder);
        child.set_clip_rect(half.intersect(ui.clip_rect()));
        let assessment =
            if side == 0 { desk.assessment() } else { comparing.assessed.assessment() };
        if let Some(alternative) = scenes[side].alternative_shown() {
            child.horizontal(|ui| match side {
                0 => heading_here(ui, alternative, &mut comparing.only_differing),
                _ => heading_there(&scene, ui, alternative, acts),
            });
        }
        let mut small = |words: String| {
            let text = RichText::new(words).weak().text_style(TextStyle::Small);
            child.add(Label::new(text).truncate());
        };
        small(counted(scenes[side], assessment));
        if eyes_differ {
            small(eyes[side].clone());
        }
    }
    let below = room.with_min_y(room.top() + top);
    let width = halves(below, below.top(), 1.0)[0].width();
    let height = (width / scene.frame.ratio as f32 * 1.06).min(PICTURES * below.height()).max(40.0);
    let pictures = halves(below, below.top(), height);
    compared_picture::show_pair(desk, &mut comparing, ui, pictures, acts);
    let table = below.with_min_y(below.top() + height + 4.0);
    compared_ledger::show(desk, &mut comparing, ui, table, acts);
    desk.comparing = Some(comparing);
}

/// The two halves of a strip of the room, the gutter between them.
pub(crate) fn halves(room: Rect, top: f32, height: f32) -> [Rect; 2] {
    let y = top..=top + height;
    let middle = room.center().x;
    [
        Rect::from_x_y_ranges(room.left()..=middle - GUTTER / 2.0, y.clone()),
        Rect::from_x_y_ranges(middle + GUTTER / 2.0..=room.right(), y),
    ]
}

fn heading_here(ui: &mut Ui, alternative: &Alternative, only_differing: &mut bool) {
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let only = ui.checkbox(only_differing, "only what differs");
        only.on_hover_text("Leave out of the ledgers what is the same in both");
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let room = (ui.available_width() - 60.0).max(20.0);
            let name = RichText::new(&alternative.name).text_style(TextStyle::Heading);
            ui.scope(|ui| {
                ui.set_max_width(room);
                ui.add(Label::new(name).truncate());
            });
            ui.weak("on show");
        });
    });
}

/// Which one it is compared with, and what can be done with that.
fn heading_there(scene: &Scene, ui: &mut Ui, alternative: &Alternative, acts: &mut Vec<Act>) {
    let id = alternative.id;
    let mut push = |act| acts.push(Act::Alternative(act));
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        let close = ui.small_button("×").on_hover_text("Stop comparing (Esc)");
        if close.accessible_name("Stop comparing").clicked() {
            push(AlternativeAct::StopComparing);
        }
        let name = &alternative.name;
        for (word, tip, said, act) in [
            (
                "Throw away",
                "Throw it away; what is on show stays",
                format!("Throw away {name}"),
                AlternativeAct::ThrowAway(id),
            ),
            (
                "Take in",
                "Add what it has and the one on show has not, and throw it away",
                format!("Take in {name}"),
                AlternativeAct::TakeIn(id),
            ),
            (
                "Show",
                "Put it on show and the other aside (A)",
                format!("Put {name} on show"),
                AlternativeAct::Show(id),
            ),
        ] {
            let button = ui.add(Button::new(word).small()).on_hover_text(tip);
            if button.accessible_name(said).clicked() {
                push(act);
            }
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let others = || scene.alternatives.iter().filter(|a| a.aside.is_some());
            let name = RichText::new(name).text_style(TextStyle::Heading);
            if others().count() < 2 {
                ui.add(Label::new(name).truncate());
                return;
            }
            let choice = ComboBox::from_id_salt("compared with")
                .width((ui.available_width() - 4.0).clamp(60.0, 180.0))
                .truncate()
                .selected_text(name)
                .show_ui(ui, |ui| {
                    for other in others() {
                        if ui.selectable_label(other.id == id, &other.name).clicked() {
                            push(AlternativeAct::CompareWith(other.id));
                        }
                    }
                });
            choice.response.accessible_name("Compared with");
        });
    });
}

/// How much there is, and how it stands: "5 markers, 2 stand-ins · 1 contradicts".
fn counted(scene: &Scene, assessment: &Assessment) -> String {
    let of = |count: usize, one: &str| match count {
        1 => format!("1 {one}"),
        many => format!("{many} {one}s"),
    };
    let stand_ins = scene.stand_ins.iter().map(|s| s.arranged.count() as usize).sum();
    let mut words = of(scene.markers.len(), "marker");
    if stand_ins > 0 {
        words += &format!(", {}", of(stand_ins, "stand-in"));
    }
    let standing = |standing: Standing| {
        let findings = assessment.findings.iter().filter(|f| f.intended.is_none());
        findings.filter(|f| f.standing == standing).count()
    };
    let contradicting = standing(Standing::Contradicts);
    let counts = [
        (standing(Standing::Impossible), "impossible"),
        (contradicting, if contradicting == 1 { "contradicts" } else { "contradict" }),
        (standing(Standing::Strained), "strained"),
        (standing(Standing::Open), "open"),
    ];
    let said: Vec<String> =
        counts.iter().filter(|(n, _)| *n > 0).map(|(n, word)| format!("{n} {word}")).collect();
    let said = if said.is_empty() { "nothing contradicts".to_owned() } else { said.join(", ") };
    format!("{words} · {said}")
}

/// The middle of the gutter at this height.
pub(crate) fn in_gutter(room: Rect, y: f32) -> egui::Pos2 {
    pos2(room.center().x, y)
}
