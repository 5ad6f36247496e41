//! Colours and type of the furniture. It has no hue of its own, so that a painter's eye is not
//! tinted by it: colour is kept for what means something.

use egui::epaint::text::{FontData, FontInsert, FontPriority, InsertFontFamily};
use egui::style::{Selection, WidgetVisuals, Widgets};
use egui::{
    Color32, CornerRadius, FontFamily, FontId, Margin, Shadow, Stroke, Style, TextStyle, Theme,
    Visuals, vec2,
};

const REGULAR: &[u8] = include_bytes!("../../assets/fonts/IBMPlexSans-Regular.ttf");
const SEMIBOLD: &[u8] = include_bytes!("../../assets/fonts/IBMPlexSans-SemiBold.ttf");

/// The family for what should stand out a little.
#[must_use]
pub(crate) fn strong() -> FontFamily {
    FontFamily::Name("strong".into())
}

/// Gives the window its fonts, colours and spacing.
pub(crate) fn install(ctx: &egui::Context) {
    install_fonts(ctx);
    for theme in [Theme::Dark, Theme::Light] {
        ctx.set_visuals_of(theme, visuals(theme));
    }
    ctx.all_styles_mut(spacing);
}

fn install_fonts(ctx: &egui::Context) {
    let into = |family, priority| InsertFontFamily { family, priority };
    ctx.add_font(FontInsert::new(
        "plex",
        FontData::from_static(REGULAR),
        vec![into(FontFamily::Proportional, FontPriority::Highest)],
    ));
    ctx.add_font(FontInsert::new(
        "plex-semibold",
        FontData::from_static(SEMIBOLD),
        vec![into(strong(), FontPriority::Highest)],
    ));
}

fn spacing(style: &mut Style) {
    style.text_styles = [
        (TextStyle::Small, FontId::proportional(11.5)),
        (TextStyle::Body, FontId::proportional(13.5)),
        (TextStyle::Button, FontId::proportional(13.5)),
        (TextStyle::Monospace, FontId::monospace(12.5)),
        (TextStyle::Heading, FontId::new(13.5, strong())),
    ]
    .into();
    let space = &mut style.spacing;
    space.item_spacing = vec2(8.0, 5.0);
    space.button_padding = vec2(8.0, 3.0);
    space.interact_size = vec2(34.0, 22.0);
    space.menu_margin = Margin::symmetric(6, 6);
    space.window_margin = Margin::same(12);
    space.tooltip_width = 320.0;
    space.combo_width = 90.0;
    // A scroll bar is seen wherever there is more.
    space.scroll.dormant_handle_opacity = 0.35;
    style.interaction.selectable_labels = false;
    style.interaction.tooltip_delay = 0.4;
}

/// The greys that the two themes are made of.
struct Greys {
    wall: u8,
    well: u8,
    raised: u8,
    hovered: u8,
    pressed: u8,
    edge: u8,
    faint: u8,
    quiet: u8,
    text: u8,
    strong: u8,
    chosen: u8,
    on_chosen: u8,
}

const DARK: Greys = Greys {
    wall: 0x26,
    well: 0x1b,
    raised: 0x35,
    hovered: 0x41,
    pressed: 0x4d,
    edge: 0x3d,
    faint: 0x2c,
    quiet: 0xa0,
    text: 0xd6,
    strong: 0xf4,
    chosen: 0xdc,
    on_chosen: 0x16,
};

const LIGHT: Greys = Greys {
    wall: 0xee,
    well: 0xfb,
    raised: 0xdf,
    hovered: 0xd3,
    pressed: 0xc6,
    edge: 0xc9,
    faint: 0xe6,
    quiet: 0x5c,
    text: 0x26,
    strong: 0x08,
    chosen: 0x38,
    on_chosen: 0xf8,
};

fn visuals(theme: Theme) -> Visuals {
    let (base, greys) = match theme {
        Theme::Dark => (Visuals::dark(), &DARK),
        Theme::Light => (Visuals::light(), &LIGHT),
    };
    let grey = |g: u8| Color32::from_gray(g);
    Visuals {
        weak_text_color: Some(grey(greys.quiet)),
        widgets: widgets(greys),
        selection: Selection {
            bg_fill: grey(greys.chosen),
            stroke: Stroke::new(1.0, grey(greys.on_chosen)),
        },
        hyperlink_color: grey(greys.strong),
        faint_bg_color: grey(greys.faint),
        extreme_bg_color: grey(greys.well),
        text_edit_bg_color: Some(grey(greys.well)),
        code_bg_color: grey(greys.raised),
        window_corner_radius: CornerRadius::same(7),
        menu_corner_radius: CornerRadius::same(6),
        window_fill: grey(greys.wall),
        window_stroke: Stroke::new(1.0, grey(greys.edge)),
        panel_fill: grey(greys.wall),
        window_shadow: shadow(14),
        popup_shadow: shadow(10),
        ..base
    }
}

fn shadow(blur: u8) -> Shadow {
    Shadow { offset: [0, 4], blur, spread: 0, color: Color32::from_black_alpha(70) }
}

fn widgets(greys: &Greys) -> Widgets {
    let look = |fill: u8, edge: Option<u8>, ink: u8| WidgetVisuals {
        bg_fill: Color32::from_gray(fill),
        weak_bg_fill: Color32::from_gray(fill),
        bg_stroke: edge.map_or(Stroke::NONE, |e| Stroke::new(1.0, Color32::from_gray(e))),
        corner_radius: CornerRadius::same(4),
        fg_stroke: Stroke::new(1.0, Color32::from_gray(ink)),
        expansion: 0.0,
    };
    Widgets {
        noninteractive: look(greys.wall, Some(greys.edge), greys.text),
        inactive: look(greys.raised, None, greys.text),
        hovered: look(greys.hovered, None, greys.strong),
        active: look(greys.pressed, Some(greys.quiet), greys.strong),
        open: look(greys.hovered, None, greys.strong),
    }
}

/// Shows what has the keys: a ring around it, with a dark one around a light one inside, so that it stands
/// out from chosen and from plain buttons in both themes.
pub(crate) fn focus_ring(ui: &egui::Ui) {
    let focused = ui.memory(egui::Memory::focused).and_then(|id| ui.ctx().read_response(id));
    let Some(response) = focused.filter(|r| r.interact_rect.is_positive()) else { return };
    let seen = response.interact_rect.expand(4.0);
    let painter = ui.ctx().layer_painter(response.layer_id).with_clip_rect(seen);
    let visuals = ui.visuals();
    let rect = response.rect.intersect(response.interact_rect);
    for (out, width, ink) in
        [(1.0, 1.5, visuals.panel_fill), (2.5, 2.0, visuals.strong_text_color())]
    {
        painter.rect_stroke(rect.expand(out), 5, Stroke::new(width, ink), egui::StrokeKind::Middle);
    }
}

/// The neutral grey around the painting.
#[must_use]
pub(crate) fn surround(dark: bool) -> Color32 {
    Color32::from_gray(if dark { 0x5a } else { 0x8c })
}

/// Behind the section.
#[must_use]
pub(crate) fn slate(dark: bool) -> Color32 {
    Color32::from_gray(if dark { 0x22 } else { 0xe4 })
}

/// The paper of a blank frame.
#[must_use]
pub(crate) fn paper(dark: bool) -> Color32 {
    Color32::from_gray(if dark { 0x77 } else { 0xb4 })
}

/// What letters stand on: the wall, its wells, a row that is pointed at, one that is selected.
#[cfg(test)]
pub(crate) fn grounds(dark: bool) -> [Color32; 4] {
    let greys = if dark { &DARK } else { &LIGHT };
    [greys.wall, greys.well, greys.faint, greys.raised].map(Color32::from_gray)
}

/// Contrast ratio of two colours, WCAG 2.1 (definition of "contrast ratio").
#[cfg(test)]
pub(crate) fn contrast(a: Color32, b: Color32) -> f64 {
    let luminance = |c: Color32| {
        let linear = |v: u8| {
            let v = f64::from(v) / 255.0;
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055f64).powf(2.4) }
        };
        0.2126 * linear(c.r()) + 0.7152 * linear(c.g()) + 0.0722 * linear(c.b())
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn contrast(a: u8, b: u8) -> f64 {
        super::contrast(Color32::from_gray(a), Color32::from_gray(b))
    }

    #[test]
    fn text_can_be_read_on_every_ground_in_both_themes() {
        // WCAG 2.1, success criterion 1.4.3: at least 4.5 to 1.
        for g in [&DARK, &LIGHT] {
            for ground in [g.wall, g.well, g.raised, g.hovered, g.faint] {
                assert!(contrast(g.text, ground) >= 4.5, "text {} on {ground}", g.text);
            }
            for ground in [g.wall, g.well, g.faint] {
                assert!(contrast(g.quiet, ground) >= 4.5, "quiet {} on {ground}", g.quiet);
            }
            assert!(contrast(g.on_chosen, g.chosen) >= 4.5);
        }
    }
}
