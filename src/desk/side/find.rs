//! Finding things by name, kind, level or standing: a line at the top of the ledger that filters as one
//! types.

use crate::actions::act::Act;
use crate::actions::action_list::{has_words, words_of};
use crate::desk::Desk;
use crate::properties::support;
use crate::side::standing;
use crate::thing::{Thing, in_order};
use egui::{Id, Key, Modifiers, Response, TextEdit, Ui};
use staffage_scene::shelf::Group;
use staffage_scene::{
    Arranged, Assessment, Family, Marker, Scene, Span, StandIn, Statement, Subject, family_name,
    shelf,
};
use std::sync::Arc;

/// What is searched for, and what was found.
#[derive(Default)]
pub(crate) struct Finding {
    wanted: String,
    /// Which of the hits the arrow keys are at.
    at: usize,
    /// The hits, and what they were found in.
    hits: Vec<Thing>,
    of: Option<(Arc<Scene>, String)>,
    /// Whether the field is to have the focus.
    pub(crate) wants_focus: bool,
}

impl Finding {
    /// What was found, near to far.
    pub(crate) fn hits(&self) -> &[Thing] {
        &self.hits
    }

    /// The hit that Enter selects.
    pub(crate) fn current(&self) -> Option<Thing> {
        self.hits.get(self.at).copied()
    }

    /// Which of the hits that is.
    pub(crate) fn at(&self) -> usize {
        self.at
    }

    fn search(&mut self, scene: &Arc<Scene>, assessment: &Assessment) {
        let same =
            |(of, wanted): &(Arc<Scene>, String)| Arc::ptr_eq(of, scene) && *wanted == self.wanted;
        if self.of.as_ref().is_some_and(same) {
            return;
        }
        let was =
            self.current().filter(|_| self.of.as_ref().is_some_and(|(_, w)| *w == self.wanted));
        self.hits = found(scene, assessment, &self.wanted);
        self.at = was.and_then(|was| self.hits.iter().position(|hit| *hit == was)).unwrap_or(0);
        self.of = Some((Arc::clone(scene), self.wanted.clone()));
    }

    fn step(&mut self, by: isize) {
        let count = self.hits.len() as isize;
        if count > 0 {
            self.at = (self.at as isize + by).rem_euclid(count) as usize;
        }
    }
}

/// The things of a scene that have all these words, near to far and then lines, overlaps and levels.
pub(crate) fn found(scene: &Scene, assessment: &Assessment, wanted: &str) -> Vec<Thing> {
    let words = words_of(&wanted.replace(['-', ',', ';'], " "));
    let standings = Standings::of(scene, assessment);
    in_order(scene, assessment)
        .into_iter()
        .filter(|thing| words.is_empty() || has_words(&text(*thing, scene, &standings), &words))
        .collect()
}

/// The standing of each thing, in a word.
struct Standings(std::collections::BTreeMap<Subject, &'static str>);

impl Standings {
    fn of(scene: &Scene, assessment: &Assessment) -> Self {
        let word =
            |subject, standing| standing::word(standing, scene.intended_reason(subject).is_some());
        let markers = assessment.ledger.iter().map(|e| (Subject::Marker(e.id), e.standing));
        let lines = assessment.lines.iter().map(|l| (Subject::Line(l.id), l.standing));
        let findings = assessment.findings.iter().map(|f| (f.about, f.standing));
        let all = findings.chain(lines).chain(markers);
        Self(all.map(|(subject, standing)| (subject, word(subject, standing))).collect())
    }

    fn word(&self, thing: Thing) -> &'static str {
        thing.subject().and_then(|subject| self.0.get(&subject).copied()).unwrap_or_default()
    }
}

/// Everything that a thing can be found by.
fn text(thing: Thing, scene: &Scene, standings: &Standings) -> String {
    let name = thing.name(scene);
    let kind = match thing {
        Thing::Horizon | Thing::EyeLevel => "horizon eye".to_owned(),
        Thing::VanishingPoint(_) => "eye".to_owned(),
        Thing::Of(Subject::Line(id)) => {
            let family = scene.line(id).map(|l| family_name(scene, l.family)).unwrap_or_default();
            format!("line {family}")
        }
        Thing::Of(Subject::Marker(id)) => {
            scene.marker(id).map(|m| marker_text(m, scene)).unwrap_or_default()
        }
        Thing::Of(Subject::Level(_)) => "level".to_owned(),
        Thing::Of(Subject::Overlap(_)) => "overlap".to_owned(),
        Thing::Of(Subject::StandIn(id)) => {
            scene.stand_in(id).map(|s| stand_in_text(s, scene)).unwrap_or_default()
        }
        Thing::Of(Subject::Guide(id)) => {
            format!("guide {}", scene.guide(id).map_or("", |guide| guide.shape.word()))
        }
    };
    format!("{name} {kind} {}", standings.word(thing)).replace(['-', ',', ';'], " ")
}

fn stand_in_text(stand_in: &StandIn, scene: &Scene) -> String {
    let level = scene.level(stand_in.level).map_or("", |level| &level.name);
    let many = match stand_in.arranged {
        Arranged::Alone => "",
        Arranged::Row { .. } => "row",
        Arranged::Crowd { .. } => "crowd",
    };
    format!("stand-in ghost {} {many} on {level}", stand_in.shape.word())
}

fn marker_text(marker: &Marker, scene: &Scene) -> String {
    let mut words = vec!["marker".to_owned(), support::words(scene, marker.stands)];
    words.push(match marker.span {
        Span::Upright => "upright".into(),
        Span::Along(Family::Incline(_) | Family::Run(_)) => "sloping incline".into(),
        Span::Along(family) => family_name(scene, family),
        Span::Facing => "facing".into(),
        Span::Cylinder => "round".into(),
        Span::Ball => "ball round".into(),
    });
    for statement in &marker.statements {
        if let Statement::KnownSize { as_, .. } = statement {
            words.push(as_.clone());
            let size = shelf::sizes().iter().find(|s| s.label() == *as_);
            words.extend(size.map(|s| s.group.word().to_owned()));
            words.extend(size.filter(|s| s.group == Group::People).map(|_| "figure".to_owned()));
        }
    }
    words.join(" ")
}

impl Desk {
    /// Opens the line, or gives it the focus again.
    pub(crate) fn ask_find(&mut self) {
        self.remembered.parts.ledger = true;
        self.finding.get_or_insert_default().wants_focus = true;
    }
}

fn field_id() -> Id {
    Id::unique("find by name")
}

/// Whether the line has the focus, or had it until this frame's Esc.
pub(crate) fn is_typed(ui: &Ui) -> bool {
    let id = field_id();
    ui.memory(|m| m.has_focus(id) || m.had_focus_last_frame(id))
}

/// The line, while it is open: takes its keys and brings the hits up to date.
pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let Some(mut finding) = desk.finding.take() else { return };
    let id = field_id();
    let focused = is_typed(ui);
    let mut open = true;
    if focused {
        open = !ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Escape));
        finding.step(steps(ui));
    }
    let entered = focused && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
    let field = field(ui, id, &mut finding, &mut open);
    if std::mem::take(&mut finding.wants_focus) {
        field.request_focus();
    }
    if field.changed() {
        finding.at = 0;
    }
    finding.search(desk.history.present(), desk.assessed.assessment());
    if let Some(thing) = finding.current().filter(|_| focused) {
        desk.lit.extend(thing.subject());
        if entered {
            acts.push(Act::GoTo(thing));
        }
    }
    if open {
        desk.finding = Some(finding);
    }
}

fn field(ui: &mut Ui, id: Id, finding: &mut Finding, open: &mut bool) -> Response {
    ui.horizontal(|ui| {
        let room = ui.available_width() - 40.0;
        let field = TextEdit::singleline(&mut finding.wanted)
            .id(id)
            .hint_text("name, figure, line, level, contradicts …")
            .desired_width(room);
        let tip = "Up and Down go through what is found, Enter selects it, Esc closes";
        let field = ui.add(field).on_hover_text(tip).accessible_name("Find by name");
        let close =
            ui.small_button("×").on_hover_text("Close (Esc)").accessible_name("Stop finding");
        *open &= !close.clicked();
        field
    })
    .inner
}

/// How far the arrow keys go down.
pub(crate) fn steps(ui: &Ui) -> isize {
    [(Key::ArrowDown, 1), (Key::ArrowUp, -1), (Key::PageDown, 8), (Key::PageUp, -8)]
        .into_iter()
        .map(|(key, by)| {
            by * ui.input_mut(|i| i.count_and_consume_key(Modifiers::NONE, key)) as isize
        })
        .sum()
}
