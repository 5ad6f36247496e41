//! The list of everything that the program can do: searched by typing, run by Enter or a click.

use crate::actions::act::Act;
use crate::actions::{Action, GESTURES, GROUPS, Reach};
use crate::desk::Desk;
use crate::side::find::steps;
use egui::{
    Align2, Event, Id, Key, Modal, Modifiers, Rect, RichText, Role, ScrollArea, Sense, TextEdit,
    TextStyle, Ui, WidgetInfo, vec2,
};

const WIDTH: f32 = 560.0;
const ROW: f32 = 24.0;
/// What it leaves of the window's height, points.
const MARGIN: f32 = 150.0;

/// The list while it is open.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct ActionList {
    /// What is searched for.
    wanted: String,
    /// Which of the actions found Enter runs.
    at: usize,
}

impl ActionList {
    fn hear(&mut self, event: &Event) {
        if let Event::Text(text) = event {
            self.wanted.push_str(text);
        }
    }
}

impl Desk {
    pub(crate) fn toggle_actions(&mut self) {
        self.action_list = match self.action_list {
            Some(_) => None,
            None => Some(ActionList::default()),
        };
    }
}

/// A line of the list.
#[derive(Clone, Copy)]
enum Entry {
    Action(&'static str, &'static Action),
    /// Done with the pointer or a held key: (where, how, what it does).
    Gesture(&'static str, &'static str, &'static str),
}

impl Entry {
    fn heading(&self) -> &'static str {
        match self {
            Self::Action(heading, _) | Self::Gesture(heading, ..) => heading,
        }
    }

    /// How near it is to what is searched for; `None` where it has nothing to do with it.
    fn rank(&self, desk: &Desk, words: &[String]) -> Option<Rank> {
        let (name, spoken, also) = match self {
            Self::Action(heading, action) => {
                let (name, key) = (action.name_now(desk), action.key_words().unwrap_or_default());
                (name.clone(), format!("{heading} {name} {} {key}", action.what), action.also)
            }
            Self::Gesture(heading, how, what) => {
                ((*how).to_owned(), format!("{heading} {how} {what}"), "")
            }
        };
        if has_words(&name, words) {
            Some(Rank::Named)
        } else if has_words(&spoken, words) {
            Some(Rank::SpokenOf)
        } else {
            has_words(&format!("{spoken} {also}"), words).then_some(Rank::AlsoCalled)
        }
    }
}

/// How near a line of the list is to what is searched for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    /// Its name has the words.
    Named,
    /// What it does has them, its heading or its key.
    SpokenOf,
    /// Only everyday words for it have them.
    AlsoCalled,
}

/// Whether each of the words begins a word of a text; both without regard to capitals.
pub(crate) fn has_words(text: &str, words: &[String]) -> bool {
    let text = text.to_lowercase();
    let begins = |wanted: &str| {
        text.split_whitespace()
            .any(|w| w.starts_with(wanted) || w.trim_start_matches(['(', '“']).starts_with(wanted))
    };
    words.iter().all(|wanted| begins(wanted))
}

/// What is searched for, word by word.
pub(crate) fn words_of(wanted: &str) -> Vec<String> {
    wanted.to_lowercase().split_whitespace().map(str::to_owned).collect()
}

/// Those that are wanted: first what is called so, then what speaks of it, then what others call so; headings kept together, and what
/// can be done before gestures of its heading.
fn found(desk: &Desk, wanted: &str) -> Vec<Entry> {
    let words = words_of(wanted);
    let headings =
        GROUPS.iter().map(|(heading, _)| *heading).chain(["Look", "Overlap", "Everywhere"]);
    let mut found: Vec<(Rank, Entry)> = headings
        .flat_map(|heading| {
            let actions = GROUPS.iter().filter(move |(h, _)| *h == heading);
            let actions = actions.flat_map(|(_, actions)| actions.iter());
            let gestures = GESTURES.iter().filter(move |(h, ..)| *h == heading);
            actions
                .map(move |action| Entry::Action(heading, action))
                .chain(gestures.map(|(heading, how, what)| Entry::Gesture(heading, how, what)))
        })
        .filter_map(|entry| Some((entry.rank(desk, &words)?, entry)))
        .collect();
    found.sort_by_key(|(rank, _)| *rank);
    found.into_iter().map(|(_, entry)| entry).collect()
}

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let Some(mut list) = desk.action_list.take() else { return };
    let mut open = true;
    let frame = egui::Frame::popup(ui.style()).inner_margin(14);
    let modal = Modal::new(Id::unique("all actions")).frame(frame).show(ui, |ui| {
        ui.set_width(WIDTH.min(ui.ctx().content_rect().width() - 60.0));
        open = contents(desk, ui, &mut list, acts);
    });
    if open && !modal.should_close() {
        desk.action_list = Some(list);
    }
}

/// Whether it stays open.
fn contents(desk: &Desk, ui: &mut Ui, list: &mut ActionList, acts: &mut Vec<Act>) -> bool {
    let moved = steps(ui);
    let entered = ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
    let id = ui.scope_id().with("wanted");
    if !ui.memory(|m| m.has_focus(id)) {
        // The field hears nothing before the next frame; who types on at once loses no letter.
        ui.input(|i| i.events.iter().for_each(|event| list.hear(event)));
    }
    let field = TextEdit::singleline(&mut list.wanted)
        .id(id)
        .hint_text("What do you want to do?")
        .desired_width(f32::INFINITY);
    let field = ui.add(field).accessible_name("Search all actions");
    if !field.has_focus() {
        field.request_focus();
    }
    if field.changed() {
        list.at = 0;
    }
    let entries = found(desk, &list.wanted);
    let runnable = entries.iter().filter(|e| matches!(e, Entry::Action(..))).count();
    if runnable > 0 {
        list.at = (list.at as isize + moved).rem_euclid(runnable as isize) as usize;
    }
    ui.add_space(4.0);
    if entries.is_empty() {
        ui.weak("Nothing is called so.");
    }
    let room = ui.ctx().content_rect().height() - MARGIN;
    ui.spacing_mut().item_spacing.y = 0.0;
    let chosen = ScrollArea::vertical()
        .max_height(room)
        .min_scrolled_height(room)
        .auto_shrink([false, true])
        .show(ui, |ui| rows(desk, ui, &entries, list.at, moved != 0 || field.changed()))
        .inner;
    let at = || actions_of(&entries).nth(list.at);
    match chosen.or_else(|| entered.then(at).flatten()) {
        Some(action) => !run(desk, action, acts),
        None => true,
    }
}

fn actions_of(entries: &[Entry]) -> impl Iterator<Item = &'static Action> {
    entries.iter().filter_map(|entry| match entry {
        Entry::Action(_, action) => Some(*action),
        Entry::Gesture(..) => None,
    })
}

/// The action that was clicked.
fn rows(
    desk: &Desk,
    ui: &mut Ui,
    entries: &[Entry],
    at: usize,
    follow: bool,
) -> Option<&'static Action> {
    let mut clicked = None;
    let mut heading = "";
    let mut count = 0;
    for entry in entries {
        if entry.heading() != heading {
            heading = entry.heading();
            ui.add_space(7.0);
            ui.label(RichText::new(heading).small().weak());
        }
        match entry {
            Entry::Action(_, action) => {
                if row(desk, ui, action, count == at, follow) {
                    clicked = Some(*action);
                }
                count += 1;
            }
            Entry::Gesture(_, how, what) => gesture(ui, how, what),
        }
    }
    clicked
}

/// Whether it was clicked.
fn row(desk: &Desk, ui: &mut Ui, action: &Action, chosen: bool, follow: bool) -> bool {
    let possible = action.act(desk).is_some();
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), ROW));
    let id = ui.scope_id().with(("action", action.name, action.what));
    let response = ui.interact(rect, id, if possible { Sense::click() } else { Sense::hover() });
    let name = action.name_now(desk);
    let key = action.key_words().unwrap_or_default();
    response.widget_info(|| {
        WidgetInfo::selected(Role::Button, possible, chosen, format!("Action {name}"))
    });
    ui.accesskit_node_builder(response.id, |node| {
        node.set_description(format!("{} {key}", action.what));
    });
    if chosen && follow {
        ui.scroll_to_rect(rect, None);
    }
    if chosen || response.hovered() || response.has_focus() {
        let fill =
            if chosen { ui.visuals().widgets.hovered.bg_fill } else { ui.visuals().faint_bg_color };
        ui.painter().rect_filled(rect, 4, fill);
    }
    let (text, weak) = (ui.visuals().text_color(), ui.visuals().weak_text_color());
    let ink = if possible { text } else { weak.gamma_multiply(0.7) };
    let name = if action.is_on(desk) == Some(true) { format!("{name} ·  on") } else { name };
    cells(ui, rect, &name, action.what, &key, ink, weak);
    response.on_hover_text(action.tooltip()).clicked()
}

fn gesture(ui: &mut Ui, how: &str, what: &str) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{how}: {what}")));
    let weak = ui.visuals().weak_text_color();
    cells(ui, rect, what, "", how, weak, weak);
}

/// A name, what it does where there is room, and at the right its key.
fn cells(
    ui: &Ui,
    rect: Rect,
    name: &str,
    what: &str,
    key: &str,
    ink: egui::Color32,
    weak: egui::Color32,
) {
    let (body, small) = (TextStyle::Body.resolve(ui.style()), TextStyle::Small.resolve(ui.style()));
    let painter = ui.painter();
    let left = rect.left_center() + vec2(8.0, 0.0);
    let right = rect.right_center() - vec2(8.0, 0.0);
    let key = painter.text(right, Align2::RIGHT_CENTER, key, body.clone(), weak);
    let name = painter.text(left, Align2::LEFT_CENTER, name, body, ink);
    let room = Rect::from_x_y_ranges(name.right() + 12.0..=key.left() - 12.0, rect.y_range());
    if room.width() > 40.0 {
        let mut job = egui::text::LayoutJob::simple_singleline(what.to_owned(), small, weak);
        job.wrap = egui::text::TextWrapping::truncate_at_width(room.width());
        let galley = ui.fonts_mut(|f| f.layout_job(job));
        let at = room.left_center() - vec2(0.0, galley.size().y / 2.0);
        painter.galley(at, galley, weak);
    }
}

/// Whether it could be run: goes over to its mode first.
fn run(desk: &Desk, action: &Action, acts: &mut Vec<Act>) -> bool {
    let Some(act) = action.act(desk) else { return false };
    if let Reach::In(mode) = action.when()
        && desk.mode != mode
    {
        acts.push(Act::SetMode(mode));
    }
    // It closes itself.
    if act != Act::ToggleActions {
        acts.push(act);
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_by_their_beginnings_in_any_order() {
        let text = "Scene Save as… save the scene under another name Ctrl+Shift+S";
        assert!(has_words(text, &words_of("name sav")));
        assert!(has_words(text, &words_of("ctrl+sh")));
        assert!(!has_words(text, &words_of("ave")));
    }

    #[test]
    fn a_theme_is_found_by_its_name_and_the_tool_for_the_light_by_its_own() {
        let desk = Desk::new(&egui::Context::default(), crate::Remembered::default());
        let first = |wanted| {
            let action = actions_of(&found(&desk, wanted)).next().expect("found");
            (action.name, action.what)
        };
        assert_eq!(first("light theme"), ("Light", "the light theme of the window"));
        assert_eq!(first("dark theme"), ("Dark", "the dark theme of the window"));
        assert!(first("theme").1.contains("theme"));
        assert!(first("light").1.contains("shadows"));
    }

    #[test]
    fn everyday_words_find_what_they_are_about() {
        let desk = Desk::new(&egui::Context::default(), crate::Remembered::default());
        let names = |wanted: &str| -> Vec<&str> {
            actions_of(&found(&desk, wanted)).map(|action| action.name).collect()
        };
        for (wanted, name) in [
            ("height", "The eye"),
            ("eye height", "The eye"),
            ("size", "Mark"),
            ("tilt", "The eye"),
            ("tilt", "Level view"),
            ("zoom", "Enlarge"),
            ("zoom out", "Reduce"),
            ("export", "Write the overlay"),
            ("export", "Review sheet…"),
            ("rotate", "Turn to the right"),
            ("save as", "Save as…"),
            ("grid", "Ground grid"),
            ("person", "Adult"),
            ("human", "Stand-in"),
            ("focal length", "Longer lens"),
            ("flip", "Mirrored"),
            ("remove", "Delete"),
            ("rename", "Name"),
            ("cancel", "Give up"),
            ("search", "Find…"),
            ("metric", "Metres"),
            ("shortcuts", "All actions"),
            ("perspective", "Line"),
            ("ellipse", "Circle"),
        ] {
            assert!(names(wanted).contains(&name), "{wanted} finds {:?}", names(wanted));
        }
        assert_eq!(names("save as")[0], "Save as…", "what is called so comes first");
    }

    #[test]
    fn every_gesture_has_its_place_in_the_list() {
        let desk = Desk::new(&egui::Context::default(), crate::Remembered::default());
        let all = found(&desk, "");
        let gestures = all.iter().filter(|e| matches!(e, Entry::Gesture(..))).count();
        assert_eq!(gestures, GESTURES.len());
        assert_eq!(actions_of(&all).count(), crate::actions::all().count());
    }
}
