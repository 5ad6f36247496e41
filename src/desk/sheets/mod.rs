//! The scene from the side and from above, under the canvas: the section and the plan.

pub(crate) mod carrying;
pub(crate) mod sheet;
pub(crate) mod sheet_nodes;
pub(crate) mod sheet_pointer;

use crate::actions::act::Act;
use crate::canvas::gesture::Gesture;
use crate::canvas::ink::Placing;
use crate::canvas::laid_ink::LaidInk;
use crate::desk::Desk;
use crate::panes::{self, Pane};
use crate::sheets::carrying::Frozen;
use crate::sheets::sheet::{Kind, Outlook, Sheet};
use crate::theme;
use egui::{Button, Frame, Id, Margin, Rect, Role, Sense, Ui, UiBuilder, WidgetInfo, pos2};
use glam::DVec2;
use serde::{Deserialize, Serialize};
use staffage_drawing::{Axis, Emphasis, Ground, SectionView};

/// Height of the row of tabs, points.
const TABS: f32 = 24.0;

/// What is shown under the canvas.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Sheets {
    /// The scene from the side.
    #[default]
    Section,
    /// The scene from above.
    Plan,
    /// Both, side by side.
    Both,
}

impl Sheets {
    const ALL: [Self; 3] = [Self::Section, Self::Plan, Self::Both];

    pub(crate) fn next(self) -> Self {
        match self {
            Self::Section => Self::Plan,
            Self::Plan => Self::Both,
            Self::Both => Self::Section,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Section => "Section",
            Self::Plan => "Plan",
            Self::Both => "Both",
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::Section => "The scene from the side",
            Self::Plan => "The scene from above",
            Self::Both => "From the side and from above",
        }
    }

    fn kinds(self) -> &'static [Kind] {
        match self {
            Self::Section => &[Kind::Section],
            Self::Plan => &[Kind::Plan],
            Self::Both => &[Kind::Section, Kind::Plan],
        }
    }
}

/// What is on the sheets, and which part of it.
#[derive(Default)]
pub(crate) struct OnSheets {
    pub(crate) section: Option<Sheet>,
    pub(crate) plan: Option<Sheet>,
    /// Nearest and farthest distance of the section, where it does not show all.
    pub(crate) distances: Option<(f64, f64)>,
    /// The plan's ground, where it does not show all.
    pub(crate) ground: Option<Ground>,
    /// Which sheet is being moved.
    pub(crate) panning: Option<Kind>,
}

impl OnSheets {
    pub(crate) fn of(&self, kind: Kind) -> Option<&Sheet> {
        match kind {
            Kind::Section => self.section.as_ref(),
            Kind::Plan => self.plan.as_ref(),
        }
    }

    fn slot(&mut self, kind: Kind) -> &mut Option<Sheet> {
        match kind {
            Kind::Section => &mut self.section,
            Kind::Plan => &mut self.plan,
        }
    }

    /// Shows all there is again.
    pub(crate) fn fit(&mut self) {
        (self.distances, self.ground) = (None, None);
    }
}

/// The panel under the canvas.
pub(crate) fn panel(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    // A plan is as wide as it is high: it gets more room, and keeps what it is given.
    let (name, height) = match desk.remembered.sheets {
        Sheets::Section => ("section", 150.0_f32),
        Sheets::Plan | Sheets::Both => ("plan", 270.0),
    };
    let most = (0.62 * ui.available_height()).max(150.0);
    egui::Panel::bottom(name)
        .frame(Frame::new().fill(ui.visuals().panel_fill))
        .resizable(true)
        .default_size(height.min(most))
        .size_range(110.0_f32.min(most)..=most)
        .show(ui, |ui| {
            panes::begin(desk, ui, Pane::Sheets);
            show(desk, ui, acts);
        });
}

fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let rect = ui.available_rect_before_wrap();
    ui.advance_cursor_after_rect(rect);
    let row = rect.with_max_y(rect.top() + TABS);
    let frame = Frame::new().inner_margin(Margin::symmetric(8, 2));
    let mut ui_row = ui.new_child(UiBuilder::new().max_rect(row));
    frame.show(&mut ui_row, |ui| ui.horizontal(|ui| tabs(desk, ui, acts)));
    let body = rect.with_min_y(row.bottom());
    match desk.remembered.sheets.kinds() {
        [left, right] => {
            let middle = body.center().x.round();
            let (half, gap) = (body.with_max_x(middle - 1.0), pos2(middle + 1.0, body.top()));
            sheet(desk, ui, *left, half, acts);
            sheet(desk, ui, *right, Rect::from_min_max(gap, body.max), acts);
        }
        kinds => kinds.iter().for_each(|kind| sheet(desk, ui, *kind, body, acts)),
    }
}

fn tabs(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.spacing_mut().item_spacing.x = 3.0;
    ui.spacing_mut().button_padding.y = 0.0;
    for sheets in Sheets::ALL {
        let chosen = desk.remembered.sheets == sheets;
        let button = Button::selectable(chosen, sheets.word());
        let hover = format!("{} (Shift+T: the next)", sheets.says());
        let response = ui.add(button).on_hover_text(hover);
        if response.accessible_name(format!("{} tab", sheets.word())).clicked() {
            acts.push(Act::ShowSheets(sheets));
        }
    }
    ui.add_space(10.0);
    let words = ["Logarithmic", "Linear"];
    for (linear, word) in [false, true].into_iter().zip(words) {
        let button = Button::selectable(desk.remembered.linear == linear, word);
        let hover = format!("{word} distances (Ctrl+T)");
        let response = ui.add(button).on_hover_text(hover);
        if response.accessible_name(format!("{word} distances")).clicked()
            && desk.remembered.linear != linear
        {
            acts.push(Act::ToggleLinear);
        }
    }
    ui.add_space(10.0);
    let room = ui.available_width();
    if room > 380.0 {
        ui.weak("wheel enlarges, drag moves things or the ground, double click shows all");
    }
}

fn sheet(desk: &mut Desk, ui: &mut Ui, kind: Kind, rect: Rect, acts: &mut Vec<Act>) {
    // The wall's edge is taken hold of from this side, too.
    let grip = ui.style().interaction.resize_grab_radius_side;
    let free = rect.with_max_x(rect.right() - grip);
    let sense = Sense::CLICK | Sense::DRAG;
    let response = ui.interact(free, Id::unique(("sheet", kind.word())), sense);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, kind.word()));
    let under = sheet_pointer::under(desk, kind, &response, rect.min);
    desk.lit.extend(under.and_then(|hit| hit.thing.subject()));
    sheet_pointer::navigate(desk, ui, kind, &response, rect.min);
    sheet_pointer::gestures(desk, ui, kind, &response, rect.min, under, acts);
    let size = DVec2::new(f64::from(rect.width()), f64::from(rect.height()));
    let dark = ui.visuals().dark_mode;
    redraw(desk, kind, size, dark);
    let painter = ui.painter().with_clip_rect(rect);
    painter.rect_filled(rect, 0, theme::slate(dark));
    if let Some(sheet) = desk.on_sheets.slot(kind) {
        let placing = Placing::Points(rect.min);
        LaidInk::keep(&mut sheet.laid, &sheet.drawing, placing, &painter, &mut desk.brushes);
    }
    carrying::say_at_pointer(desk, &painter, kind, &response);
    sheet_nodes::put(desk, ui, kind, &response, rect, acts);
}

/// Makes a sheet again if anything that it shows has changed.
fn redraw(desk: &mut Desk, kind: Kind, size: DVec2, dark: bool) {
    let outlook = outlook(desk, kind);
    // How far vanishing points can be trusted is not seen here.
    let emphasis = Emphasis { spreads: Vec::new(), ..desk.emphasis() };
    let scene = std::sync::Arc::clone(desk.history.present());
    let same = |sheet: &Sheet| sheet.is_of(&scene, &emphasis, outlook, size, dark);
    if !desk.on_sheets.of(kind).is_some_and(same) {
        let sheet = Sheet::of(scene, desk.assessment(), emphasis, outlook, size, dark);
        desk.inkings += 1;
        let unit = sheet.unit;
        let before = desk.on_sheets.slot(kind).replace(sheet);
        // What was looked at in metres is not what is looked at in eye heights.
        if before.is_some_and(|before| before.unit != unit) {
            desk.on_sheets.fit();
        }
    }
}

/// What a sheet shows. While something is carried about, the ground stays under it.
fn outlook(desk: &Desk, kind: Kind) -> Outlook {
    let axis = if desk.remembered.linear { Axis::Linear } else { Axis::Logarithmic };
    let frozen = match &desk.gesture {
        Gesture::Carry(carrying) => Some(carrying.frozen),
        _ => None,
    };
    match kind {
        Kind::Section => {
            let free =
                SectionView { axis, distances: desk.on_sheets.distances, ..SectionView::default() };
            Outlook::Section(frozen.and_then(|Frozen { section, .. }| section).unwrap_or(free))
        }
        Kind::Plan => {
            let ground = frozen.and_then(|Frozen { ground, .. }| ground);
            Outlook::Plan(axis, ground.or(desk.on_sheets.ground))
        }
    }
}
