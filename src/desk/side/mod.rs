//! The furniture along the right wall: findings, ledger, and what is selected. Each part has a heading
//! that folds it away; the heights are remembered.

pub(crate) mod evidence;
pub(crate) mod find;
pub(crate) mod findings;
pub(crate) mod ledger;
pub(crate) mod mending;
pub(crate) mod near_to_far;
pub(crate) mod stand_in_row;
pub(crate) mod standing;
pub(crate) mod suggesting;

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::properties;
use egui::{
    CursorIcon, Id, Margin, Rect, Response, Role, ScrollArea, Sense, Stroke, Ui, UiBuilder,
    WidgetInfo, pos2, vec2,
};
use serde::{Deserialize, Serialize};

/// Findings take no more of the wall than this unless they are given more.
const FINDINGS_SHARE: f32 = 0.28;
/// What the properties have of the wall at first.
const SELECTED_SHARE: f32 = 0.46;
/// Least room for a part that is open, points.
const LEAST: f32 = 76.0;
/// Least room for the ledger: its heading and three rows, points.
const LEAST_LEDGER: f32 = 160.0;
/// Room for a part that is folded, points.
const FOLDED: f32 = 34.0;
const MARGIN: Margin = Margin { left: 12, right: 6, top: 6, bottom: 6 };
/// Height of a heading with the space under it, points.
const HEADING: f32 = 27.0;
/// Room after the last finding, points.
const AFTER: f32 = 6.0;
/// Half the height of the strip that a divider is taken hold of by, points.
const GRIP: f32 = 4.0;

/// A part of the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    /// What is worth saying about the scene.
    Findings,
    /// Every marker and every stand-in, near to far.
    Ledger,
    /// What is selected.
    Selected,
}

impl Part {
    const ALL: [Self; 3] = [Self::Findings, Self::Ledger, Self::Selected];

    fn word(self) -> &'static str {
        match self {
            Self::Findings => "findings",
            Self::Ledger => "ledger",
            Self::Selected => "properties",
        }
    }
}

/// Which parts of the wall are open, and how high they are.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Parts {
    /// Whether the findings are open.
    pub findings: bool,
    /// Whether the ledger is open.
    pub ledger: bool,
    /// Whether what is selected is open.
    pub selected: bool,
    /// How much of the wall the findings were given by hand, 0 to 1.
    pub findings_share: Option<f32>,
    /// How much of the wall the properties were given by hand, 0 to 1.
    pub selected_share: Option<f32>,
}

impl Default for Parts {
    fn default() -> Self {
        Self {
            findings: true,
            ledger: true,
            selected: true,
            findings_share: None,
            selected_share: None,
        }
    }
}

impl Parts {
    pub(crate) fn is_open(&self, part: Part) -> bool {
        match part {
            Part::Findings => self.findings,
            Part::Ledger => self.ledger,
            Part::Selected => self.selected,
        }
    }

    pub(crate) fn toggle(&mut self, part: Part) {
        match part {
            Part::Findings => self.findings ^= true,
            Part::Ledger => self.ledger ^= true,
            Part::Selected => self.selected ^= true,
        }
    }

    /// Heights of the parts in a wall of this height, points. `wanted`: what the findings take by
    /// themselves. What is open shares what the folded ones leave; the ledger keeps a few rows.
    fn heights(&self, wall: f32, wanted: f32) -> [f32; 3] {
        let Self { findings, ledger, selected, .. } = *self;
        let folded = Part::ALL.iter().filter(|part| !self.is_open(**part)).count() as f32;
        let room = (wall - FOLDED * folded).max(0.0);
        let least = if ledger { LEAST_LEDGER.min(0.4 * room) } else { 0.0 };
        // What is left goes to the ledger; without it to what is selected, without that to the findings.
        let properties = match (selected, ledger, findings) {
            (false, ..) => 0.0,
            (true, false, false) => room,
            (true, ..) => share_of(room, self.selected_share.unwrap_or(SELECTED_SHARE)),
        };
        let properties =
            properties.min((room - least - if findings { LEAST } else { 0.0 }).max(0.0));
        let said = match (findings, ledger || selected) {
            (false, _) => 0.0,
            (true, false) => room,
            (true, true) => {
                let by_hand = self.findings_share.map(|share| share_of(room, share));
                let rest = if ledger { room - properties - least } else { room - LEAST };
                by_hand.unwrap_or(wanted).min(rest).max(LEAST.min(room / 3.0))
            }
        };
        let properties = if selected && !ledger { room - said } else { properties };
        let near_to_far = if ledger { (room - said - properties).max(0.0) } else { 0.0 };
        let height = |open, height: f32| if open { height } else { FOLDED };
        [height(findings, said), height(ledger, near_to_far), height(selected, properties)]
    }
}

fn share_of(room: f32, share: f32) -> f32 {
    if share.is_finite() { room * share.clamp(0.05, 0.9) } else { room * SELECTED_SHARE }
}

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let wall = ui.available_rect_before_wrap();
    ui.allocate_rect(wall, Sense::hover());
    let mut seen = Seen::load(ui);
    let wanted = seen.wanted(ui, FINDINGS_SHARE * wall.height());
    let heights = desk.remembered.parts.heights(wall.height(), wanted);
    let mut top = wall.top();
    for (part, height) in Part::ALL.into_iter().zip(heights) {
        let rect = Rect::from_min_size(pos2(wall.left(), top), vec2(wall.width(), height));
        if part != Part::Findings {
            let edge = ui.visuals().widgets.noninteractive.bg_stroke;
            ui.painter().hline(rect.x_range(), top, edge);
        }
        let inner = rect - MARGIN;
        let builder = UiBuilder::new().max_rect(inner).id_salt(part.word());
        let mut child = ui.new_child(builder);
        child.set_clip_rect(rect.shrink2(vec2(0.0, 1.0)).intersect(ui.clip_rect()));
        match part {
            Part::Findings => findings_part(desk, &mut child, &mut seen, acts),
            Part::Ledger => ledger::show(desk, &mut child, acts),
            Part::Selected => properties::show(desk, &mut child, acts),
        }
        top += height;
    }
    dividers(desk, ui, wall, heights);
    seen.keep(ui);
}

fn findings_part(desk: &mut Desk, ui: &mut Ui, seen: &mut Seen, acts: &mut Vec<Act>) {
    findings::heading(desk, ui, acts);
    if !desk.remembered.parts.findings {
        return;
    }
    let mut area = ScrollArea::vertical().id_salt("findings scroll").auto_shrink([false, false]);
    if seen.scene != Some(desk.laid_out) {
        area = area.vertical_scroll_offset(0.0);
    }
    let ends = area.show(ui, |ui| findings::show(desk, ui, acts)).inner;
    seen.take(ui, desk.laid_out, ends);
}

/// The heading of a part: a triangle that folds it, and what else stands in its row.
pub(crate) fn heading<R>(
    desk: &Desk,
    ui: &mut Ui,
    part: Part,
    acts: &mut Vec<Act>,
    rest: impl FnOnce(&mut Ui, &mut Vec<Act>) -> R,
) -> R {
    let open = desk.remembered.parts.is_open(part);
    let row = vec2(ui.available_width(), ui.spacing().interact_size.y);
    let inner =
        ui.allocate_ui_with_layout(row, egui::Layout::left_to_right(egui::Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            if triangle(ui, part, open).clicked() {
                acts.push(Act::Fold(part));
            }
            rest(ui, acts)
        });
    inner.inner
}

fn triangle(ui: &mut Ui, part: Part, open: bool) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(16.0, 20.0), Sense::click());
    let name = format!("{} the {}", if open { "Fold" } else { "Unfold" }, part.word());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, open, &name));
    let ink = ui.style().interact(&response).fg_stroke.color;
    let ink = if response.hovered() || response.has_focus() {
        ink
    } else {
        ui.visuals().weak_text_color()
    };
    let at = rect.center();
    let points = if open {
        [vec2(-4.0, -2.0), vec2(4.0, -2.0), vec2(0.0, 3.5)]
    } else {
        [vec2(-2.0, -4.0), vec2(3.5, 0.0), vec2(-2.0, 4.0)]
    };
    let points = points.map(|by| at + by).to_vec();
    ui.painter().add(egui::Shape::convex_polygon(points, ink, Stroke::NONE));
    response.on_hover_text(name)
}

/// Lets the edges between the open parts be dragged; two clicks give the height back.
fn dividers(desk: &mut Desk, ui: &Ui, wall: Rect, heights: [f32; 3]) {
    let parts = &mut desk.remembered.parts;
    let room: f32 =
        Part::ALL.iter().zip(heights).filter(|(p, _)| parts.is_open(**p)).map(|(_, h)| h).sum();
    if parts.findings && (parts.ledger || parts.selected) {
        let at = wall.top() + heights[0];
        if let Some(to) = divider(ui, wall, at, "findings divider") {
            parts.findings_share = to.map(|y| (y - wall.top()) / room.max(1.0));
        }
    }
    if parts.ledger && parts.selected {
        let at = wall.bottom() - heights[2];
        if let Some(to) = divider(ui, wall, at, "properties divider") {
            parts.selected_share = to.map(|y| (wall.bottom() - y) / room.max(1.0));
        }
    }
}

/// Where a divider was dragged to; `Some(None)` if it was given back.
fn divider(ui: &Ui, wall: Rect, at: f32, name: &str) -> Option<Option<f32>> {
    let strip = Rect::from_x_y_ranges(wall.x_range(), at - GRIP..=at + GRIP);
    let response = ui.interact(strip, Id::unique(name), Sense::CLICK | Sense::DRAG);
    if response.hovered() || response.dragged() {
        ui.set_cursor_icon(CursorIcon::ResizeVertical);
        ui.painter().hline(wall.x_range(), at, ui.visuals().widgets.hovered.fg_stroke);
    }
    if response.double_clicked() {
        return Some(None);
    }
    response.interact_pointer_pos().filter(|_| response.dragged()).map(|at| Some(at.y))
}

/// What is known of the findings from the last frame.
#[derive(Clone, Default)]
struct Seen {
    /// Height as of the last frame, points.
    height: Option<f32>,
    /// Where each finding ends, points from the top of the first.
    ends: Vec<f32>,
    /// Which scene they are of.
    scene: Option<u64>,
}

impl Seen {
    fn id() -> Id {
        Id::unique("findings seen")
    }

    fn load(ui: &Ui) -> Self {
        ui.data(|d| d.get_temp(Self::id())).unwrap_or_default()
    }

    fn keep(self, ui: &Ui) {
        ui.data_mut(|d| d.insert_temp(Self::id(), self));
    }

    /// Height that the findings want. It stays while a button is held down, so that nothing jumps when
    /// a finding comes up in the middle of a drag.
    fn wanted(&mut self, ui: &Ui, most: f32) -> f32 {
        let height = match self.height {
            Some(before) if ui.input(|i| i.pointer.any_down()) => before,
            _ => whole(&self.ends, most),
        };
        self.height = Some(height);
        height
    }

    fn take(&mut self, ui: &Ui, scene: u64, ends: Vec<f32>) {
        if self.ends != ends {
            ui.ctx().request_repaint();
        }
        self.ends = ends;
        self.scene = Some(scene);
    }
}

/// Height of as many whole findings as fit into `most` with the heading and the margins, or of what fits
/// of the first.
fn whole(ends: &[f32], most: f32) -> f32 {
    let around = f32::from(MARGIN.top) + f32::from(MARGIN.bottom) + HEADING + AFTER;
    let fitting = ends.iter().map(|end| end + around).take_while(|end| *end <= most);
    fitting.last().unwrap_or(if ends.is_empty() { LEAST } else { most })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_findings_end_after_a_whole_one() {
        let around = 45.0;
        assert_eq!(whole(&[80.0, 150.0, 220.0], 200.0), 150.0 + around);
        assert_eq!(whole(&[80.0, 150.0], 500.0), 150.0 + around);
        assert_eq!(whole(&[300.0], 200.0), 200.0);
        assert_eq!(whole(&[], 200.0), LEAST);
    }

    #[test]
    fn the_parts_fill_the_wall_whichever_are_folded() {
        for mask in 0..8 {
            let [findings, ledger, selected] = [1, 2, 4].map(|bit| mask & bit != 0);
            for share in [None, Some(0.0), Some(0.5), Some(1.0), Some(f32::NAN)] {
                let parts = Parts {
                    findings,
                    ledger,
                    selected,
                    findings_share: share,
                    selected_share: share,
                };
                for wall in [300.0, 560.0, 700.0, 1000.0] {
                    let heights = parts.heights(wall, 200.0);
                    let sum: f32 = heights.iter().sum();
                    assert!(heights.iter().all(|h| *h >= 0.0), "{parts:?} {heights:?}");
                    let open = findings || ledger || selected;
                    assert!(!open || (sum - wall).abs() < 0.01, "{parts:?} {heights:?} in {wall}");
                }
            }
        }
    }

    #[test]
    fn the_ledger_keeps_three_rows_in_a_small_window_full_of_findings() {
        let greedy =
            Parts { findings_share: Some(0.9), selected_share: Some(0.9), ..Parts::default() };
        for parts in [Parts::default(), greedy] {
            let [_, ledger, _] = parts.heights(560.0, 500.0);
            assert!(ledger > LEAST_LEDGER - 0.01, "{ledger}");
        }
    }
}
