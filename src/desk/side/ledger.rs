//! The ledger: every marker and every stand-in, near to far.

use crate::actions::act::Act;
use crate::actions::acts::sentence;
use crate::actions::furniture_actions::FIND;
use crate::desk::Desk;
use crate::sentences::{answer, between, hidden, short, shortened, sureness, unseen, within};
use crate::side::find::{self, Finding};
use crate::side::near_to_far::Row;
use crate::side::{self, Part};
use crate::side::{stand_in_row, standing};
use crate::thing::{Thing, marker_name};
use egui::{
    Align, Align2, Button, Color32, FontId, Id, Layout, Pos2, Rect, Response, RichText, Role,
    ScrollArea, Sense, TextStyle, Ui, WidgetInfo, pos2, vec2,
};
use staffage_scene::{Assessment, Entry, MarkerId, Measure, Scene, Span, Subject, Unit, Units};
use std::collections::BTreeMap;
use std::sync::Arc;

pub(crate) const ROW: f32 = 32.0;
/// How far the middle of a number is over the middle of its row, and of its spread under it, points.
pub(crate) const NUMBER_UP: f32 = 6.5;
pub(crate) const SPREAD_DOWN: f32 = 7.5;
/// In a narrower ledger a standing is its mark alone, points.
const ROOM_FOR_WORDS: f32 = 330.0;

/// Where the columns lie across the panel, points from its left edge.
pub(crate) struct Columns {
    pub(crate) what: (f32, f32),
    /// Right edges of the numbers.
    pub(crate) far: f32,
    pub(crate) big: f32,
    pub(crate) standing: f32,
    pub(crate) standing_width: f32,
}

impl Columns {
    /// The name has the width that the numbers leave.
    pub(crate) fn across(width: f32) -> Self {
        let standing_width = if width < ROOM_FOR_WORDS { 16.0 } else { 92.0 };
        let standing = width - standing_width;
        let big = standing - 12.0;
        let far = big - 62.0;
        Self { what: (0.0, far - 56.0), far, big, standing, standing_width }
    }
}

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let assessment = desk.assessed.share();
    let rows = desk.assessed.rows();
    heading(desk, ui, rows.is_empty(), acts);
    if !desk.remembered.parts.ledger {
        return;
    }
    find::show(desk, ui, acts);
    if desk.finding.is_some() {
        hits(desk, ui, &assessment, acts);
        return;
    }
    if assessment.ledger.is_empty() {
        ui.add_space(4.0);
        let scene = desk.scene();
        ui.weak(if !rows.is_empty() {
            "Stand-ins measure nothing: what you paint over them is marked (3), from foot to head."
        } else if scene.painting.is_none() {
            "Over a blank frame, set the horizon (1) and stand figures in (5). What is painted is then marked (3) and listed here."
        } else if scene.lines.is_empty() && scene.horizon.is_none() {
            "Begin with Line (2): trace a few plumb and level edges, so that the eye is known. Then press 3 and drag from the foot of a thing to its head."
        } else {
            "Nothing is marked yet. Press 3 and drag from the foot of a thing to its head."
        });
    }
    if rows.is_empty() {
        return;
    }
    let columns = Columns::across(ui.available_width() - 8.0);
    header(ui, &columns);
    // Before the rows are counted out: they stand close together.
    ui.spacing_mut().item_spacing.y = 0.0;
    ScrollArea::vertical().id_salt("ledger").auto_shrink([false, false]).show_rows(
        ui,
        ROW,
        rows.len(),
        |ui, shown| {
            reveal(desk, ui, (&rows, &assessment.ledger), shown.start);
            for one in &rows[shown] {
                match *one {
                    Row::Marker(place) => {
                        row(desk, ui, &assessment.ledger[place], &columns, acts);
                    }
                    Row::StandIn(id) => stand_in_row::show(desk, ui, id, &columns, acts),
                }
            }
        },
    );
}

fn heading(desk: &Desk, ui: &mut Ui, empty: bool, acts: &mut Vec<Act>) {
    side::heading(desk, ui, Part::Ledger, acts, |ui, acts| {
        ui.heading("Ledger");
        if !empty {
            ui.weak("near to far");
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(8.0);
            let find = Button::new(RichText::new("Find").weak().small()).frame_when_inactive(false);
            if ui.add(find).on_hover_text(FIND.tooltip()).clicked() {
                acts.extend(FIND.act(desk));
            }
        });
    });
}

/// What was found: markers and stand-ins as in the ledger, other things by name.
fn hits(desk: &mut Desk, ui: &mut Ui, assessment: &Assessment, acts: &mut Vec<Act>) {
    let Some(finding) = desk.finding.take() else { return };
    let columns = Columns::across(ui.available_width() - 8.0);
    if finding.hits().is_empty() {
        ui.add_space(4.0);
        ui.weak("Nothing is called so, or is so.");
    } else {
        header(ui, &columns);
    }
    ui.spacing_mut().item_spacing.y = 0.0;
    let entries: BTreeMap<MarkerId, &Entry> =
        assessment.ledger.iter().map(|entry| (entry.id, entry)).collect();
    let area = ScrollArea::vertical().id_salt("found").auto_shrink([false, false]);
    area.show_rows(ui, ROW, finding.hits().len(), |ui, shown| {
        follow(ui, &finding, shown.start);
        for (at, thing) in finding.hits().iter().enumerate().take(shown.end).skip(shown.start) {
            let corner = ui.cursor().min;
            match thing {
                Thing::Of(Subject::Marker(id)) if entries.contains_key(id) => {
                    row(desk, ui, entries[id], &columns, acts);
                }
                Thing::Of(Subject::StandIn(id)) => {
                    stand_in_row::show(desk, ui, *id, &columns, acts);
                }
                _ => plain_row(desk, ui, *thing, acts),
            }
            if at == finding.at() {
                let y = (corner.y + 5.0)..=(corner.y + ROW - 5.0);
                let bar = ui.visuals().strong_text_color();
                ui.painter().vline(corner.x - 5.0, y, egui::Stroke::new(2.5, bar));
            }
        }
    });
    desk.finding = Some(finding);
}

/// Scrolls to the hit that the arrow keys are at, once they have moved.
fn follow(ui: &Ui, finding: &Finding, first_shown: usize) {
    let seen = Id::unique("hit that was scrolled to");
    if ui.data(|d| d.get_temp(seen)) == Some(finding.at()) {
        return;
    }
    ui.data_mut(|d| d.insert_temp(seen, finding.at()));
    scroll_to_row(ui, finding.at(), first_shown);
}

/// A thing that is not in the ledger: its name.
fn plain_row(desk: &mut Desk, ui: &mut Ui, thing: Thing, acts: &mut Vec<Act>) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), ROW));
    let response = ui.interact(rect, Id::unique(("found", thing)), Sense::click());
    let name = sentence(&thing.name(desk.scene()));
    let name = name.trim_end_matches('.');
    let selected = desk.selected() == Some(thing);
    response.widget_info(|| {
        WidgetInfo::selected(Role::Button, true, selected, format!("Found {name}"))
    });
    paint_ground(desk, ui, rect, &response, thing);
    let font = TextStyle::Body.resolve(ui.style());
    elided(ui, rect, name, &font, ui.visuals().text_color());
    if response.hovered() {
        desk.lit.extend(thing.subject());
    }
    if response.clicked() {
        acts.push(Act::GoTo(thing));
    }
    response.on_hover_text(format!("Select {name} and bring it into view"));
}

fn scroll_to_row(ui: &Ui, at: usize, first_shown: usize) {
    let rows_down = at as f32 - first_shown as f32;
    let top = ui.cursor().top() + ROW * rows_down;
    let row = Rect::from_min_size(pos2(ui.min_rect().left(), top), vec2(1.0, ROW));
    ui.scroll_to_rect(row, None);
}

/// Scrolls to what is selected once it is another thing than before.
fn reveal(desk: &mut Desk, ui: &Ui, (rows, ledger): (&[Row], &[Entry]), first_shown: usize) {
    if desk.revealed == desk.selected() {
        return;
    }
    desk.revealed = desk.selected();
    let is_selected = |row: &Row| match (desk.selected(), *row) {
        (Some(Thing::Of(Subject::Marker(id))), Row::Marker(place)) => ledger[place].id == id,
        (Some(Thing::Of(Subject::StandIn(id))), Row::StandIn(row)) => row == id,
        _ => false,
    };
    let at = rows.iter().position(is_selected);
    if let Some(at) = at {
        scroll_to_row(ui, at, first_shown);
    }
}

fn header(ui: &mut Ui, columns: &Columns) {
    let size = vec2(ui.available_width(), 18.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.on_hover_text(
        "Under each number is how sure it is: half of the interval that holds it in 95 of 100 cases.",
    );
    header_in(ui, rect, columns);
}

/// The heads of the columns.
pub(crate) fn header_in(ui: &Ui, rect: Rect, columns: &Columns) {
    let font = TextStyle::Small.resolve(ui.style());
    let ink = ui.visuals().weak_text_color();
    let y = rect.center().y;
    for (x, align, word) in [
        (columns.what.0, Align2::LEFT_CENTER, "what"),
        (columns.far, Align2::RIGHT_CENTER, "how far"),
        (columns.big, Align2::RIGHT_CENTER, "how big"),
        (columns.standing + 18.0, Align2::LEFT_CENTER, "standing"),
    ] {
        if word == "standing" && columns.standing_width < 40.0 {
            continue;
        }
        ui.painter().text(pos2(rect.left() + x, y), align, word, font.clone(), ink);
    }
}

fn row(desk: &mut Desk, ui: &mut Ui, entry: &Entry, columns: &Columns, acts: &mut Vec<Act>) {
    let scene = Arc::clone(desk.history.present());
    let (scene, units) = (&*scene, desk.units());
    let thing = Thing::marker(entry.id);
    let selected = desk.selection.has(thing);
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), ROW));
    let response = ui.interact(rect, Id::unique(("ledger row", entry.id.0)), Sense::click());
    let name = marker_name(entry.id, scene);
    response.widget_info(|| {
        WidgetInfo::selected(Role::Button, true, selected, format!("Ledger row {name}"))
    });
    ui.accesskit_node_builder(response.id, |node| {
        node.set_description(spoken(units, entry, scene));
    });
    paint_ground(desk, ui, rect, &response, thing);
    paint_cells(desk, ui, rect, entry, columns, &name);
    respond(desk, ui, &response, thing, acts);
    response.on_hover_text(tooltip(units, entry, scene, &name));
}

/// What the pointer and the keys do on a row.
pub(crate) fn respond(
    desk: &mut Desk,
    ui: &Ui,
    response: &Response,
    thing: Thing,
    acts: &mut Vec<Act>,
) {
    if response.hovered() {
        desk.lit.extend(thing.subject());
    }
    if response.clicked() {
        let more = ui.input(|i| i.modifiers.shift);
        acts.push(if more { Act::SelectToo(thing) } else { Act::Select(Some(thing)) });
    }
    if response.double_clicked() {
        acts.push(Act::Centre(thing));
    }
}

fn spoken(units: Units, entry: &Entry, scene: &Scene) -> String {
    let words = answer(units, entry, span(entry, scene));
    format!("{words}, {}", standing::word(entry.standing, is_intended(entry, scene)))
}

fn span(entry: &Entry, scene: &Scene) -> Span {
    scene.marker(entry.id).map_or(Span::Upright, |m| m.span)
}

fn is_intended(entry: &Entry, scene: &Scene) -> bool {
    scene.intended_reason(Subject::Marker(entry.id)).is_some()
}

pub(crate) fn paint_ground(desk: &Desk, ui: &Ui, rect: Rect, response: &Response, thing: Thing) {
    let lit = response.hovered() || desk.hovered == Some(thing);
    let is_meant = |s| desk.involved.contains(&s) || desk.lit.contains(&s);
    let involved = thing.subject().is_some_and(is_meant);
    let fill = if desk.selection.has(thing) {
        ui.visuals().widgets.inactive.bg_fill
    } else if lit || involved || response.has_focus() {
        ui.visuals().faint_bg_color
    } else {
        return;
    };
    ui.painter().rect_filled(rect.expand2(vec2(6.0, 0.0)), 4, fill);
}

fn paint_cells(desk: &Desk, ui: &Ui, rect: Rect, entry: &Entry, columns: &Columns, name: &str) {
    let font = TextStyle::Body.resolve(ui.style());
    let intended = is_intended(entry, desk.scene());
    let ink = if intended { ui.visuals().weak_text_color() } else { ui.visuals().text_color() };
    let y = rect.center().y;
    let what = Rect::from_x_y_ranges(
        rect.left() + columns.what.0..=rect.left() + columns.what.1,
        rect.y_range(),
    );
    elided(ui, what, name, &font, ink);
    let (far, big) = (pos2(rect.left() + columns.far, y), pos2(rect.left() + columns.big, y));
    let (bounds, body) = (entry.bounds.as_ref(), &TextStyle::Body);
    let (unit, units) = ((entry.unit, desk.units()), desk.units());
    match (entry.distance, bounds) {
        (None, Some(b)) => ends(ui, far, [b.nearest, b.farthest], (b.unit, units), body, ink),
        (distance, _) => number(ui, far, distance, unit, body, ink),
    }
    match (entry.size, bounds) {
        (None, Some(b)) => ends(ui, big, [b.smallest, b.largest], (b.unit, units), body, ink),
        (size, _) => number(ui, big, size, unit, body, ink),
    }
    let left = rect.left() + columns.standing;
    let standing = Rect::from_x_y_ranges(left..=left + columns.standing_width, rect.y_range());
    standing::paint_shape_and_word(ui, standing, entry.standing, intended);
}

/// A length with its spread under it, its right edge at a point.
pub(crate) fn number(
    ui: &Ui,
    at: Pos2,
    measured: Option<Measure>,
    told: (Unit, Units),
    style: &TextStyle,
    ink: Color32,
) {
    let Some(measured) = measured else {
        put(ui, at, "–", style, ink);
        return;
    };
    let (over, under) = (at - vec2(0.0, NUMBER_UP), at + vec2(0.0, SPREAD_DOWN));
    put(ui, over, &short(told.1, measured, told.0), style, ink);
    put(ui, under, &sureness(measured), &TextStyle::Small, ui.visuals().weak_text_color());
}

/// What a length that nothing fixes is known to lie between, its right edge at a point.
pub(crate) fn ends(
    ui: &Ui,
    at: Pos2,
    [least, most]: [Option<f64>; 2],
    (unit, units): (Unit, Units),
    style: &TextStyle,
    ink: Color32,
) {
    let least = least.map(|value| format!("> {}", shortened(&units.length(value, unit))));
    let most = most.map(|value| format!("< {}", shortened(&units.length(value, unit))));
    match (least, most) {
        (Some(least), Some(most)) => {
            put(ui, at - vec2(0.0, NUMBER_UP), &least, style, ink);
            put(ui, at + vec2(0.0, SPREAD_DOWN), &most, style, ink);
        }
        (Some(one), None) | (None, Some(one)) => put(ui, at, &one, style, ink),
        (None, None) => put(ui, at, "–", style, ink),
    }
}

/// Words that end at a point.
pub(crate) fn put(ui: &Ui, at: Pos2, words: &str, style: &TextStyle, ink: Color32) {
    let font = style.resolve(ui.style());
    ui.painter().text(at, Align2::RIGHT_CENTER, words, font, ink);
}

/// A text that ends in "…" where it does not fit.
pub(crate) fn elided(ui: &Ui, rect: Rect, text: &str, font: &FontId, ink: Color32) {
    let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), font.clone(), ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width(rect.width());
    let galley = ui.fonts_mut(|f| f.layout_job(job));
    let at = pos2(rect.left(), rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, ink);
}

fn tooltip(units: Units, entry: &Entry, scene: &Scene, name: &str) -> String {
    let mut lines = vec![name.to_owned()];
    if let Some(distance) = entry.distance {
        lines.push(format!("distance {} (95 %)", between(units, distance, entry.unit)));
    }
    if let Some(size) = entry.size {
        lines.push(format!("size {} (95 %)", between(units, size, entry.unit)));
    }
    if let Some(words) = entry.bounds.and_then(|bounds| within(units, bounds, span(entry, scene))) {
        lines.push(sentence(&words));
    }
    lines.extend(hidden(units, entry).map(|words| sentence(&words)));
    if let Some(expected) = entry.expected_size {
        lines.push(format!("everything else asks for {}", between(units, expected, entry.unit)));
    }
    if matches!(entry.unit, Unit::EyeHeights(_)) {
        lines.push("eh: eye heights over its level; no size in metres reaches it".to_owned());
    }
    lines.push(standing::meaning(entry.standing, is_intended(entry, scene)).to_owned());
    lines.extend(entry.detectable.map(unseen));
    lines.join("\n")
}
