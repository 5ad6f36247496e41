//! The parts of the window, and the key that goes from one to the next. A part that has the keys shows it by a
//! ring; Tab goes on to its first control. The canvas has them while nothing else has.

use crate::desk::Desk;
use egui::{Context, Id, Rect, Role, Sense, Ui, WidgetInfo};

/// A part of the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Pane {
    Menus,
    Modes,
    Handover,
    Canvas,
    Wall,
    Sheets,
    Strip,
}

impl Pane {
    /// In the order in which they have their turn.
    const ALL: [Self; 7] = [
        Self::Menus,
        Self::Modes,
        Self::Handover,
        Self::Canvas,
        Self::Wall,
        Self::Sheets,
        Self::Strip,
    ];

    fn name(self) -> &'static str {
        match self {
            Self::Menus => "Menus and the eye",
            Self::Modes => "Modes and what is drawn next",
            Self::Handover => "The panel of what is handed over",
            Self::Canvas => "The canvas",
            Self::Wall => "Findings, ledger and properties",
            Self::Sheets => "Section and plan",
            Self::Strip => "The strip under the canvas",
        }
    }

    fn id(self) -> Id {
        Id::unique(("part of the window", self.name()))
    }

    fn is_shown(self, desk: &Desk) -> bool {
        match self {
            Self::Sheets => desk.remembered.section && desk.comparing.is_none(),
            Self::Handover => desk.handing.open_panel().is_some(),
            _ => true,
        }
    }
}

/// Says where a part is, before anything is put into it: Tab goes on from here. It can have the focus only when it
/// was asked for, so that Tab alone does not stop at it.
pub(crate) fn begin(desk: &mut Desk, ui: &mut Ui, pane: Pane) {
    let rect = ui.max_rect();
    ui.data_mut(|d| d.insert_temp(pane.id(), rect));
    let asked = desk.pane_asked == Some(pane);
    if !asked && !ui.memory(|m| m.has_focus(pane.id())) {
        return;
    }
    let response = ui.interact(rect, pane.id(), Sense::focusable_noninteractive());
    response.widget_info(|| WidgetInfo::labeled(Role::Group, true, pane.name()));
    if asked {
        response.request_focus();
        desk.pane_asked = None;
    }
}

/// Gives the keys to the next part that is shown, or to the one before.
pub(crate) fn step(desk: &mut Desk, ctx: &Context, back: bool) {
    let shown: Vec<Pane> = Pane::ALL.into_iter().filter(|pane| pane.is_shown(desk)).collect();
    let now = shown.iter().position(|pane| *pane == current(ctx)).unwrap_or(0);
    let by = if back { shown.len() - 1 } else { 1 };
    let next = shown[(now + by) % shown.len()];
    egui::Popup::close_all(ctx);
    ctx.memory_mut(|m| m.focused().into_iter().for_each(|id| m.surrender_focus(id)));
    desk.pane_asked = (next != Pane::Canvas).then_some(next);
    desk.told = Some(match next {
        Pane::Canvas => "The canvas has the keys.".into(),
        pane => format!("{}: Tab goes to the first control, F6 to the next part.", pane.name()),
    });
}

/// The part that has the keys.
fn current(ctx: &Context) -> Pane {
    let focused = ctx.memory(egui::Memory::focused).and_then(|id| ctx.read_response(id));
    let Some(middle) = focused.map(|response| response.rect.center()) else { return Pane::Canvas };
    let holds = |pane: &Pane| {
        ctx.data(|d| d.get_temp::<Rect>(pane.id())).is_some_and(|rect| rect.contains(middle))
    };
    // A part that is not shown any more was somewhere that is now another's.
    Pane::ALL.into_iter().find(holds).unwrap_or(Pane::Canvas)
}
