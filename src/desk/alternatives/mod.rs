//! Alternatives at the desk: the row that shows one of them, how they are named, and what is done with
//! them.

pub(crate) mod compared_ledger;
pub(crate) mod compared_picture;
pub(crate) mod comparing;

use crate::actions::Action;
use crate::actions::act::Act;
use crate::actions::alternative_actions::{
    BEFORE, COMPARE, NEXT, RENAME, START, START_EMPTY, TAKE_IN, THROW_AWAY,
};
use crate::actions::menu::item;
use crate::desk::Desk;
use crate::thing::Thing;
use egui::{Align, Button, Frame, Key, Layout, Margin, Panel, Response, ScrollArea, TextEdit, Ui};
use staffage_scene::{Alternative, AlternativeId, Beginning, Edit, Scene};
use std::sync::Arc;

/// Longer names are cut short in the row.
const LONGEST: usize = 22;
const FIELD: f32 = 120.0;

/// What the painter wants with alternatives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum AlternativeAct {
    /// Begin another one and name it.
    Start(Beginning),
    /// Put it on show.
    Show(AlternativeId),
    /// Put the next one on show, or the one before, around again at the ends.
    Step {
        /// Whether the one before is meant.
        back: bool,
    },
    /// Have it named.
    AskName(AlternativeId),
    /// Leave its name as it is.
    KeepName,
    /// Take it into the one on show.
    TakeIn(AlternativeId),
    /// Throw it away.
    ThrowAway(AlternativeId),
    /// Compare the one on show with another, or stop comparing.
    Compare,
    /// Compare the one on show with this one.
    CompareWith(AlternativeId),
    /// Select what the one on show has of something, and what the other has of it.
    SelectCompared {
        /// On show.
        here: Option<Thing>,
        /// In the other.
        there: Option<Thing>,
    },
    /// Stop comparing.
    StopComparing,
}

/// A name that is being typed.
pub(crate) struct Renaming {
    id: AlternativeId,
    name: String,
    /// How it began and the scene then, if it was begun just now: its name is part of that step.
    begun: Option<(Beginning, Arc<Scene>)>,
    focused: bool,
}

impl Desk {
    /// The alternative that is compared, else the next after the one on show.
    pub(crate) fn other_alternative(&self) -> Option<&Alternative> {
        let compared = self.comparing.as_ref().and_then(|c| self.scene().alternative(c.other()));
        compared.or_else(|| next(self.scene(), 1))
    }

    pub(crate) fn alternative_act(&mut self, act: AlternativeAct) {
        match act {
            AlternativeAct::Start(beginning) => self.start_alternative(beginning),
            AlternativeAct::Show(id) => self.change_alternative(&Edit::ShowAlternative(id)),
            AlternativeAct::Step { back } => {
                let by = if back { self.scene().alternatives.len().saturating_sub(1) } else { 1 };
                if let Some(id) = next(self.scene(), by).map(|a| a.id) {
                    self.change_alternative(&Edit::ShowAlternative(id));
                }
            }
            AlternativeAct::AskName(id) => {
                let name = self.scene().alternative(id).map(|a| a.name.clone());
                self.renaming = name.map(|name| Renaming { id, name, begun: None, focused: false });
            }
            AlternativeAct::KeepName => self.renaming = None,
            AlternativeAct::TakeIn(id) => self.change_alternative(&Edit::MergeAlternative(id)),
            AlternativeAct::ThrowAway(id) => {
                self.change_alternative(&Edit::RemoveAlternative(id));
            }
            AlternativeAct::Compare if self.comparing.is_some() => self.comparing = None,
            AlternativeAct::Compare => {
                if let Some(id) = next(self.scene(), 1).map(|a| a.id) {
                    comparing::begin(self, id);
                }
            }
            AlternativeAct::CompareWith(id) => comparing::begin(self, id),
            AlternativeAct::SelectCompared { here, there } => {
                comparing::select(self, here, there);
            }
            AlternativeAct::StopComparing => self.comparing = None,
        }
    }

    fn start_alternative(&mut self, beginning: Beginning) {
        let name = free_name(self.scene());
        let before = self.scene().alternatives.len();
        self.change_alternative(&Edit::StartAlternative { name: name.clone(), beginning });
        let present = Arc::clone(self.history.present());
        if present.alternatives.len() > before
            && let Some(id) = present.alternative_shown().map(|a| a.id)
        {
            let begun = Some((beginning, present));
            self.renaming = Some(Renaming { id, name, begun, focused: false });
        }
    }

    /// What was under way belongs to what is going away.
    fn change_alternative(&mut self, edit: &Edit) {
        self.give_up();
        self.naming = None;
        self.renaming = None;
        self.edit(edit);
    }
}

/// The alternative so many after the one on show, around again after the last; none where there is no
/// other.
pub(crate) fn next(scene: &Scene, by: usize) -> Option<&Alternative> {
    let all = &scene.alternatives;
    let at = all.iter().position(|a| a.aside.is_none())?;
    let next = &all[(at + by) % all.len()];
    next.aside.is_some().then_some(next)
}

/// What a new alternative is called until the painter says otherwise.
fn free_name(scene: &Scene) -> String {
    let ordinals = ["second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"];
    let words = ordinals.into_iter().map(|ordinal| format!("{ordinal} idea"));
    let names = words.chain((10..).map(|number| format!("idea {number}")));
    let taken = |name: &String| scene.alternatives.iter().any(|a| a.name == *name);
    names.skip(scene.alternatives.len().saturating_sub(1)).find(|n| !taken(n)).unwrap_or_default()
}

/// The row over the right wall, where there are alternatives.
pub(crate) fn row(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    if desk.scene().alternatives.is_empty() {
        return;
    }
    let frame = Frame::new().inner_margin(Margin { left: 12, right: 6, top: 5, bottom: 4 });
    Panel::top("alternatives").frame(frame).show(ui, |ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 3.0;
            let more = ui.menu_button("…", |ui| menu(desk, ui, acts)).response;
            more.on_hover_text("What can be done with alternatives")
                .accessible_name("More on alternatives");
            let compare = Button::selectable(desk.comparing.is_some(), "Compare");
            let compare = ui.add(compare).on_hover_text(COMPARE.tooltip());
            push(desk, &compare, &COMPARE, acts);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let area = ScrollArea::horizontal().id_salt("alternatives").auto_shrink(false);
                area.show(ui, |ui| {
                    ui.horizontal(|ui| {
                        ui.spacing_mut().item_spacing.x = 3.0;
                        chips(desk, ui, acts);
                        let add = ui.button("+").on_hover_text(START.tooltip());
                        push(desk, &add.accessible_name("Start another"), &START, acts);
                    });
                });
            });
        });
    });
}

fn push(desk: &Desk, response: &Response, action: &Action, acts: &mut Vec<Act>) {
    if response.clicked() {
        acts.extend(action.act(desk));
    }
}

fn chips(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let scene = Arc::clone(desk.history.present());
    for alternative in &scene.alternatives {
        if desk.renaming.as_ref().is_some_and(|renaming| renaming.id == alternative.id) {
            name_field(desk, ui, alternative, acts);
        } else {
            chip(ui, alternative, acts);
        }
    }
}

fn chip(ui: &mut Ui, alternative: &Alternative, acts: &mut Vec<Act>) {
    let Alternative { id, name, aside } = alternative;
    let key = if aside.is_none() { "on show; A: the next" } else { "A: the next" };
    let response = ui
        .add(Button::selectable(aside.is_none(), cut_short(name)))
        .on_hover_text(format!("{name} ({key}); double click: rename"))
        .accessible_name(format!("Alternative {name}"));
    if aside.is_none() {
        reveal(ui, &response, *id);
    }
    response.context_menu(|ui| about(ui, alternative, acts));
    if response.double_clicked() {
        acts.push(Act::Alternative(AlternativeAct::AskName(*id)));
    } else if response.clicked() && aside.is_some() {
        acts.push(Act::Alternative(AlternativeAct::Show(*id)));
    }
}

/// Scrolls to the one on show once it is another one.
fn reveal(ui: &Ui, chip: &Response, shown: AlternativeId) {
    let seen = egui::Id::unique("alternative that was scrolled to");
    if ui.data(|d| d.get_temp(seen)) != Some(shown.0) {
        ui.data_mut(|d| d.insert_temp(seen, shown.0));
        chip.scroll_to_me(None);
    }
}

/// What can be done with one that is pointed at.
fn about(ui: &mut Ui, alternative: &Alternative, acts: &mut Vec<Act>) {
    let Alternative { id, name, aside } = alternative;
    let mut choices = vec![("Rename".to_owned(), AlternativeAct::AskName(*id))];
    if aside.is_some() {
        choices.extend([
            (format!("Compare with {name}"), AlternativeAct::CompareWith(*id)),
            (format!("Take {name} in"), AlternativeAct::TakeIn(*id)),
        ]);
    }
    choices.push((format!("Throw {name} away"), AlternativeAct::ThrowAway(*id)));
    for (words, act) in choices {
        if ui.button(words).clicked() {
            acts.push(Act::Alternative(act));
        }
    }
}

fn cut_short(name: &str) -> String {
    if name.chars().count() <= LONGEST {
        return name.to_owned();
    }
    name.chars().take(LONGEST - 1).chain(['…']).collect()
}

/// The name as it is typed: Enter or a click elsewhere takes it, Esc leaves it as it was.
fn name_field(desk: &mut Desk, ui: &mut Ui, alternative: &Alternative, acts: &mut Vec<Act>) {
    let Some(renaming) = &mut desk.renaming else { return };
    let edit = TextEdit::singleline(&mut renaming.name).desired_width(FIELD);
    let shown = edit.show(ui);
    let field = shown.response.response.accessible_name("Name of the alternative");
    if !renaming.focused {
        renaming.focused = true;
        field.request_focus();
        field.scroll_to_me(None);
        select_all(ui, field.id, shown.state, renaming.name.chars().count());
    } else if field.lost_focus() {
        let given_up = ui.input(|i| i.key_pressed(Key::Escape));
        let name = renaming.name.trim().to_owned();
        if !given_up && !name.is_empty() && name != alternative.name {
            acts.push(named(renaming, name, desk.history.present()));
        }
        acts.push(Act::Alternative(AlternativeAct::KeepName));
    }
}

fn select_all(ui: &Ui, id: egui::Id, mut state: egui::text_edit::TextEditState, characters: usize) {
    let all = egui::text::CCursorRange::two(
        egui::text::CCursor::new(0),
        egui::text::CCursor::new(characters),
    );
    state.cursor.set_char_range(Some(all));
    state.store(ui.ctx(), id);
}

/// A new one has begun under its name; another is renamed.
fn named(renaming: &Renaming, name: String, present: &Arc<Scene>) -> Act {
    match &renaming.begun {
        Some((beginning, scene)) if Arc::ptr_eq(scene, present) => {
            Act::Complete(Edit::StartAlternative { name, beginning: *beginning })
        }
        _ => Act::Edit(Edit::RenameAlternative { id: renaming.id, name }),
    }
}

/// All that can be done with alternatives, in the menu bar and at the end of their row.
pub(crate) fn menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    item(desk, ui, &START, acts);
    item(desk, ui, &START_EMPTY, acts);
    if desk.scene().alternatives.is_empty() {
        return;
    }
    ui.separator();
    for alternative in &desk.scene().alternatives {
        let shown = alternative.aside.is_none();
        let radio = ui.radio(shown, cut_short(&alternative.name));
        let radio = radio.accessible_name(format!("Show {}", alternative.name));
        if radio.clicked() && !shown {
            acts.push(Act::Alternative(AlternativeAct::Show(alternative.id)));
        }
    }
    item(desk, ui, &NEXT, acts);
    item(desk, ui, &BEFORE, acts);
    item(desk, ui, &COMPARE, acts);
    ui.separator();
    item(desk, ui, &RENAME, acts);
    others(desk, ui, acts);
    item(desk, ui, &THROW_AWAY, acts);
}

/// Which one is to be taken in.
fn others(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let aside = || desk.scene().alternatives.iter().filter(|a| a.aside.is_some());
    if aside().count() < 2 {
        item(desk, ui, &TAKE_IN, acts);
        return;
    }
    ui.menu_button("Take in", |ui| {
        for other in aside() {
            let name = cut_short(&other.name);
            let button = ui.button(&name).on_hover_text(TAKE_IN.tooltip());
            if button.accessible_name(format!("Take {} in", other.name)).clicked() {
                acts.push(Act::Alternative(AlternativeAct::TakeIn(other.id)));
            }
        }
    });
}
