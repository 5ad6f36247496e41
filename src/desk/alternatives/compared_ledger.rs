//! The ledgers of two alternatives side by side: each thing in one row with what it is in the other, and
//! a mark where they differ.

use crate::actions::act::Act;
use crate::alternatives::AlternativeAct;
use crate::alternatives::comparing::{Comparing, halves, in_gutter};
use crate::assessed::Assessed;
use crate::desk::Desk;
use crate::sentences::{answer, short, shortened};
use crate::side::ledger::{self, Columns};
use crate::side::standing;
use crate::thing::Thing;
use egui::{
    Align2, Color32, Id, Rect, Role, ScrollArea, Sense, TextStyle, Ui, UiBuilder, WidgetInfo, pos2,
    vec2,
};
use staffage_scene::{
    Entry, Measure, Scene, Span, StandIn, Standing, Subject, Unit, Units, stand_in_words,
};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

const ROW: f32 = 32.0;
const HEADER: f32 = 20.0;
const MARGIN: f32 = 12.0;

/// A thing beside what it is in the other alternative: first as on show, then as in the other.
pub(crate) struct Row {
    halves: [Option<Half>; 2],
    /// What its lengths are told in: what reads the same is the same.
    units: Units,
}

/// What a thing is in one alternative.
#[derive(Clone)]
struct Half {
    thing: Thing,
    name: String,
    far: Value,
    big: Value,
    /// How it stands, and whether that is intended; a stand-in stands in no question.
    standing: Option<(Standing, bool)>,
    /// All of it in words.
    said: String,
}

/// A length as the ledger has it.
#[derive(Clone, Copy, PartialEq)]
enum Value {
    Unknown,
    Measured(Measure, Unit),
    Between([Option<f64>; 2], Unit),
    Exact(f64),
}

impl Value {
    /// As in the ledger, to be compared.
    fn words(self, units: Units) -> String {
        let end = |value: Option<f64>, unit| value.map(|v| shortened(&units.length(v, unit)));
        match self {
            Self::Unknown => "–".into(),
            Self::Measured(measured, unit) => short(units, measured, unit),
            Self::Between([low, high], unit) => {
                format!("{:?} {:?}", end(low, unit), end(high, unit))
            }
            Self::Exact(value) => units.metres(value),
        }
    }

    /// The value and its unit, where there is one.
    fn number(self) -> Option<(f64, Unit)> {
        match self {
            Self::Measured(measured, unit) => Some((measured.value, unit)),
            Self::Exact(value) => Some((value, Unit::Metres)),
            Self::Unknown | Self::Between(..) => None,
        }
    }

    /// How many times as much the other is, where they differ as far as they are told.
    fn times(self, other: Self, units: Units) -> Option<f64> {
        let ((here, unit), (there, other_unit)) = (self.number()?, other.number()?);
        let ratio = there / here;
        (self.words(units) != other.words(units) && unit == other_unit && ratio.is_finite())
            .then_some(ratio)
    }
}

/// In what the two differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Differs {
    far: bool,
    big: bool,
    standing: bool,
}

impl Row {
    /// What it is on show (0) or in the other (1).
    pub(crate) fn thing(&self, side: usize) -> Option<Thing> {
        self.halves[side].as_ref().map(|half| half.thing)
    }

    fn name(&self) -> &str {
        self.halves.iter().flatten().next().map_or("", |half| &half.name)
    }

    /// `None` where one of the two has it not.
    fn differs(&self) -> Option<Differs> {
        let [Some(here), Some(there)] = &self.halves else { return None };
        Some(Differs {
            far: here.far.words(self.units) != there.far.words(self.units),
            big: here.big.words(self.units) != there.big.words(self.units),
            standing: here.standing != there.standing,
        })
    }

    /// The mark in the gutter.
    fn mark(&self) -> &'static str {
        match (&self.halves, self.differs()) {
            ([Some(_), None], _) => "−",
            ([None, _], _) => "+",
            (_, Some(Differs { far: false, big: false, standing: false })) => "",
            _ => "≠",
        }
    }

    /// Whether they differ as far as the ledger tells.
    pub(crate) fn is_different(&self) -> bool {
        !self.mark().is_empty()
    }

    /// The difference in words.
    fn difference(&self, names: [&str; 2]) -> String {
        let [here, there] = match &self.halves {
            [Some(here), Some(there)] => [here, there],
            [Some(_), None] => return format!("only in {}", names[0]),
            _ => return format!("only in {}", names[1]),
        };
        let times = |ratio: Option<f64>, what: &str| Some(format!("×{:.2} as {what}", ratio?));
        let mut words: Vec<String> = [
            times(here.big.times(there.big, self.units), "large"),
            times(here.far.times(there.far, self.units), "far off"),
        ]
        .into_iter()
        .flatten()
        .collect();
        match (here.standing, there.standing) {
            (Some(was), Some(is)) if was != is => {
                let word = |(standing, intended)| standing::word(standing, intended);
                words.push(format!("{} instead of {}", word(is), word(was)));
            }
            _ => {}
        }
        match (words.is_empty(), self.mark()) {
            (false, _) => format!("in {}: {}", names[1], words.join(", ")),
            (true, "") => "the same in both".into(),
            (true, _) => "they differ".into(),
        }
    }

    /// All that a screen reader says, and the tooltip.
    fn said(&self, names: [&str; 2]) -> String {
        let halves = self.halves.iter().zip(names);
        let of = |(half, name): (&Option<Half>, &str)| {
            half.as_ref().map(|half| format!("{name}: {}", half.said))
        };
        halves.filter_map(of).chain([self.difference(names)]).collect::<Vec<_>>().join("\n")
    }

    /// How far off it is, for the order.
    fn distance(&self) -> f64 {
        let of = |half: &Half| half.far.number().map(|(value, _)| value);
        self.halves.iter().flatten().find_map(of).unwrap_or(f64::INFINITY)
    }
}

/// Everything in either alternative: the markers near to far, then the stand-ins. What has one id was one
/// thing once; else what has one name is taken for one.
pub(crate) fn rows(of: [(&Scene, &Assessed); 2]) -> Vec<Row> {
    let units = of[0].1.assessment().units;
    let mut rows = paired(units, of.map(|(scene, assessed)| markers(scene, assessed)));
    rows.sort_by(|a, b| a.distance().total_cmp(&b.distance()));
    rows.extend(paired(units, of.map(|(scene, assessed)| stand_ins(scene, assessed))));
    rows
}

fn paired(units: Units, [here, there]: [Vec<Half>; 2]) -> Vec<Row> {
    let mut left: BTreeMap<Thing, Half> = there.iter().map(|h| (h.thing, h.clone())).collect();
    let own: BTreeSet<Thing> = here.iter().map(|half| half.thing).collect();
    let mut rows: Vec<Row> = Vec::new();
    for half in here {
        let named = || {
            let found = left.values().find(|h| h.name == half.name && !own.contains(&h.thing));
            found.map(|half| half.thing)
        };
        let other = if left.contains_key(&half.thing) { Some(half.thing) } else { named() };
        let other = other.and_then(|thing| left.remove(&thing));
        rows.push(Row { halves: [Some(half), other], units });
    }
    let is_left = |half: &Half| left.contains_key(&half.thing);
    rows.extend(
        there.into_iter().filter(is_left).map(|half| Row { halves: [None, Some(half)], units }),
    );
    rows
}

fn markers(scene: &Scene, assessed: &Assessed) -> Vec<Half> {
    let entries = assessed.assessment().ledger.iter();
    entries.map(|entry| of_marker(scene, assessed.assessment().units, entry)).collect()
}

fn of_marker(scene: &Scene, units: Units, entry: &Entry) -> Half {
    let about = Subject::Marker(entry.id);
    let intended = scene.intended_reason(about).is_some();
    let span = scene.marker(entry.id).map_or(Span::Upright, |m| m.span);
    let bounds = entry.bounds.as_ref();
    let value = |measured: Option<Measure>, ends: Option<[Option<f64>; 2]>| match measured {
        Some(measured) => Value::Measured(measured, entry.unit),
        None => ends.zip(bounds).map_or(Value::Unknown, |(ends, b)| Value::Between(ends, b.unit)),
    };
    Half {
        thing: Thing::Of(about),
        name: Thing::Of(about).name(scene),
        far: value(entry.distance, bounds.map(|b| [b.nearest, b.farthest])),
        big: value(entry.size, bounds.map(|b| [b.smallest, b.largest])),
        standing: Some((entry.standing, intended)),
        said: format!(
            "{}, {}",
            answer(units, entry, span),
            standing::word(entry.standing, intended)
        ),
    }
}

fn stand_ins(scene: &Scene, assessed: &Assessed) -> Vec<Half> {
    scene.stand_ins.iter().map(|stand_in| of_stand_in(scene, assessed, stand_in)).collect()
}

fn of_stand_in(scene: &Scene, assessed: &Assessed, stand_in: &StandIn) -> Half {
    let placed = assessed.placed(stand_in);
    let near = placed.as_ref().as_ref().map_or(f64::NAN, |placement| placement.reach().0);
    Half {
        thing: Thing::Of(Subject::StandIn(stand_in.id)),
        name: Thing::Of(Subject::StandIn(stand_in.id)).name(scene),
        far: if near.is_finite() { Value::Exact(near) } else { Value::Unknown },
        big: Value::Exact(stand_in.shape.longest().1),
        standing: None,
        said: stand_in_words(stand_in, scene, assessed.assessment()),
    }
}

/// Both ledgers under the pictures.
pub(crate) fn show(
    desk: &mut Desk,
    comparing: &mut Comparing,
    ui: &mut Ui,
    room: Rect,
    acts: &mut Vec<Act>,
) {
    let mut child = ui.new_child(UiBuilder::new().max_rect(room).id_salt("compared ledger"));
    child.set_clip_rect(room.intersect(ui.clip_rect()));
    let ui = &mut child;
    for half in halves(room, room.top(), HEADER) {
        let half = half.shrink2(vec2(MARGIN, 0.0));
        ledger::header_in(ui, half, &Columns::across(half.width()));
    }
    ui.advance_cursor_after_rect(room.with_max_y(room.top() + HEADER));
    let (rows, listed) = (comparing.rows(), comparing.listed());
    if listed.is_empty() {
        let words = if rows.is_empty() {
            "Neither of them has a marker or a stand-in yet."
        } else {
            "All is the same in both."
        };
        ui.vertical_centered(|ui| ui.weak(words));
        return;
    }
    ui.spacing_mut().item_spacing.y = 0.0;
    let area = ScrollArea::vertical().id_salt("compared rows").auto_shrink([false, false]);
    area.show_rows(ui, ROW, listed.len(), |ui, shown| {
        for at in &listed[shown] {
            show_row(desk, comparing, ui, room, &rows[*at], acts);
        }
    });
}

fn show_row(
    desk: &mut Desk,
    comparing: &mut Comparing,
    ui: &mut Ui,
    room: Rect,
    row: &Row,
    acts: &mut Vec<Act>,
) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), ROW));
    let response = ui.interact(
        rect,
        Id::unique(("compared row", row.name(), row.thing(0), row.thing(1))),
        Sense::click(),
    );
    let is_selected = row.thing(0).is_some_and(|thing| desk.selection.has(thing))
        || row.thing(1).is_some_and(|thing| comparing.has_selected(desk, thing));
    response.widget_info(|| {
        let name = format!("Compared {}", row.name());
        WidgetInfo::selected(Role::Button, true, is_selected, name)
    });
    let there = Arc::clone(&comparing.scene);
    let here = Arc::clone(desk.history.present());
    let names = [&*here, &*there].map(|s| s.alternative_shown().map_or("", |a| a.name.as_str()));
    let said = row.said(names);
    ui.accesskit_node_builder(response.id, |node| node.set_description(said.as_str()));
    let is_lit = |comparing: &Comparing| {
        let lit = |side, thing: Option<Thing>| thing.is_some() && row.thing(side) == thing;
        lit(0, desk.hovered) || lit(1, comparing.hovered)
    };
    let is_lit = response.hovered() || response.has_focus() || is_lit(comparing);
    paint_row(ui, room, rect, row, is_selected, is_lit);
    if response.hovered() {
        desk.lit.extend([0, 1].into_iter().filter_map(|side| row.thing(side)?.subject()));
    }
    if response.clicked() {
        let [here, there] = [row.thing(0), row.thing(1)];
        acts.push(Act::Alternative(AlternativeAct::SelectCompared { here, there }));
    }
    response.on_hover_text(format!("{}\n{said}", row.name()));
}

fn paint_row(ui: &Ui, room: Rect, rect: Rect, row: &Row, selected: bool, lit: bool) {
    let fill = if selected {
        Some(ui.visuals().widgets.inactive.bg_fill)
    } else {
        lit.then_some(ui.visuals().faint_bg_color)
    };
    if let Some(fill) = fill {
        ui.painter().rect_filled(rect.shrink2(vec2(6.0, 0.0)), 4, fill);
    }
    let differs = row.differs().unwrap_or(Differs { far: false, big: false, standing: false });
    for (side, half) in halves(room, rect.top(), ROW).into_iter().enumerate() {
        let half = half.shrink2(vec2(MARGIN, 0.0));
        match &row.halves[side] {
            Some(said) => paint_half(ui, half, (said, row.units), differs),
            None => {
                let font = TextStyle::Body.resolve(ui.style());
                let ink = ui.visuals().weak_text_color();
                ui.painter().text(half.left_center(), Align2::LEFT_CENTER, "–", font, ink);
            }
        }
    }
    let font = TextStyle::Heading.resolve(ui.style());
    let ink = ui.visuals().strong_text_color();
    let at = in_gutter(room, rect.center().y);
    ui.painter().text(at, Align2::CENTER_CENTER, row.mark(), font, ink);
}

fn paint_half(ui: &Ui, rect: Rect, (half, units): (&Half, Units), differs: Differs) {
    let columns = Columns::across(rect.width());
    let intended = half.standing.is_some_and(|(_, intended)| intended);
    let plain = if intended { ui.visuals().weak_text_color() } else { ui.visuals().text_color() };
    let ink = |differs: bool| if differs { ui.visuals().strong_text_color() } else { plain };
    let (what, y) = (columns.what, rect.center().y);
    let name = Rect::from_x_y_ranges(rect.left() + what.0..=rect.left() + what.1, rect.y_range());
    let font = TextStyle::Body.resolve(ui.style());
    ledger::elided(ui, name, &half.name, &font, plain);
    let style = |differs: bool| if differs { TextStyle::Heading } else { TextStyle::Body };
    for (x, value, differs) in
        [(columns.far, half.far, differs.far), (columns.big, half.big, differs.big)]
    {
        put(ui, pos2(rect.left() + x, y), (value, units), &style(differs), ink(differs));
    }
    let left = rect.left() + columns.standing;
    let standing = Rect::from_x_y_ranges(left..=left + columns.standing_width, rect.y_range());
    match half.standing {
        Some((word, intended)) => standing::paint_shape_and_word(ui, standing, word, intended),
        None if columns.standing_width > 40.0 => {
            let at = pos2(left + 18.0, y);
            let ink = ui.visuals().weak_text_color();
            ui.painter().text(at, Align2::LEFT_CENTER, "stand-in", font, ink);
        }
        None => {}
    }
}

fn put(ui: &Ui, at: egui::Pos2, (value, units): (Value, Units), style: &TextStyle, ink: Color32) {
    match value {
        Value::Unknown => ledger::number(ui, at, None, (Unit::Metres, units), style, ink),
        Value::Measured(measured, unit) => {
            ledger::number(ui, at, Some(measured), (unit, units), style, ink);
        }
        Value::Between(between, unit) => ledger::ends(ui, at, between, (unit, units), style, ink),
        Value::Exact(value) => ledger::put(ui, at, &units.metres(value), style, ink),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec2;
    use staffage_scene::{
        Beginning, Edit, EyeByHand, Known, LevelId, Marker, MarkerId, Stands, Statement, apply,
    };

    fn figure(id: u32, name: &str, foot: f64, head: f64) -> Marker {
        let size = Known { metres: 1.7, spread: 0.05 };
        Marker {
            id: MarkerId(id),
            name: name.into(),
            foot: DVec2::new(0.1 * f64::from(id), foot),
            head: DVec2::new(0.1 * f64::from(id), head),
            span: Span::Upright,
            stands: Stands::On(LevelId(1)),
            statements: vec![Statement::KnownSize { size, as_: "an adult".into() }],
        }
    }

    fn after(scene: &Scene, edits: &[Edit]) -> Scene {
        edits.iter().fold(scene.clone(), |scene, edit| apply(&scene, edit).expect("accepted"))
    }

    /// Both have a foreman; a twice as tall tower; a gate each, drawn separately; one a boy.
    fn compared() -> Vec<Row> {
        let eye = EyeByHand {
            angle_of_view: Some(50.0),
            pitch: Some(0.0),
            cant: Some(0.0),
            ..EyeByHand::default()
        };
        let plain = |marker: Marker| Edit::PutMarker(Marker { statements: vec![], ..marker });
        let scene = after(
            &Scene { eye, ..Scene::default() },
            &[
                Edit::PutMarker(figure(1, "Foreman", 0.1, 0.0)),
                plain(figure(2, "Tower", 0.05, -0.05)),
                Edit::StartAlternative { name: "high".into(), beginning: Beginning::Copy },
                plain(figure(2, "Tower", 0.05, -0.15)),
                plain(figure(3, "Gate", 0.04, 0.0)),
                Edit::ShowAlternative(staffage_scene::AlternativeId(1)),
                plain(Marker { id: MarkerId(4), ..figure(3, "Gate", 0.04, 0.0) }),
                plain(figure(5, "Boy", 0.03, 0.0)),
            ],
        );
        let there = Arc::new(scene.showing(staffage_scene::AlternativeId(2)).expect("there"));
        let here = Arc::new(scene);
        let [a, b] = [&here, &there].map(|scene| Assessed::of(scene, Units::Metric));
        rows([(&here, &a), (&there, &b)])
    }

    #[test]
    fn each_thing_stands_beside_what_it_is_in_the_other() {
        let rows = compared();
        let said: Vec<(&str, &str)> = rows.iter().map(|row| (row.name(), row.mark())).collect();
        assert_eq!(said, [("Foreman", ""), ("Tower", "≠"), ("Gate", ""), ("Boy", "−")]);
    }

    #[test]
    fn what_differs_is_told_as_so_many_times() {
        let rows = compared();
        assert_eq!(rows[1].difference(["low", "high"]), "in high: ×2.00 as large");
        assert_eq!(rows[0].difference(["low", "high"]), "the same in both");
        assert_eq!(rows[3].difference(["low", "high"]), "only in low");
    }
}
