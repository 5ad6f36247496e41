use crate::actions::act::{Act, Traced};
use crate::canvas::band;
use crate::canvas::crosshair;
use crate::canvas::gesture::{Gesture, Tie};
use crate::canvas::hit::Part;
use crate::canvas::stand_in_hit::Handle;
use crate::desk::Desk;
use crate::eye::eye_pull;
use crate::handover::handover_strip;
use crate::modes::mode::Mode;
use crate::modes::stand_in_mode::Many;
use crate::sheets::carrying;
use crate::thing::{Thing, marker_name};
use crate::{canvas::turning, eye::eye_height, painting::tone_view};
use egui::{Align, Label, Layout, RichText, TextStyle, Ui};
use staffage_scene::{Family, Scene, Span, Stands, Subject, family_name, subject_name};

const COMPARING: &str = "Comparing two alternatives: click a thing to select it in both; A exchanges \
     them, Esc goes back.";

/// The strip under the canvas: the sentence at the left; how the view is turned, how the painting is
/// seen and the magnification at the right.
pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        let percent =
            desk.view.percent(desk.scene().frame.working_width, ui.ctx().pixels_per_point());
        let taken = 70.0
            + tone_view::strip_width(desk, ui)
            + turning::strip_width(desk, ui)
            + handover_strip::width(desk, ui);
        let room = (ui.available_width() - taken).max(0.0);
        ui.allocate_ui(egui::vec2(room, ui.available_height()), |ui| {
            let words = handover_strip::sentence(desk).unwrap_or_else(|| sentence(desk));
            let shown = fitting(ui, &words, room);
            let label = ui.add(Label::new(RichText::new(&shown).weak()).truncate());
            let label = if shown == words { label } else { label.on_hover_text(&words) };
            label.accessible_name(words);
        });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.weak(format!("{percent:.0} %"))
                .on_hover_text("Home: the whole frame, End: actual size");
            tone_view::strip(desk, ui, acts);
            turning::strip(desk, ui, acts);
            handover_strip::show(desk, ui, acts);
        });
    });
}

/// As much of a sentence as there is room for: what comes last in it is least urgent, and is left out clause by
/// clause.
fn fitting(ui: &Ui, words: &str, room: f32) -> String {
    let font = TextStyle::Body.resolve(ui.style());
    let ink = ui.visuals().weak_text_color();
    let width = |words: &str| ui.painter().layout_no_wrap(words.into(), font.clone(), ink).size().x;
    let mut shown = words.to_owned();
    while width(&shown) > room {
        match shown.rfind("; ").max(shown.rfind(", ")).max(shown.rfind(": ")) {
            Some(end) => shown = format!("{}.", &shown[..end]),
            None => return words.to_owned(),
        }
    }
    shown
}

/// One sentence: what the mode does, and what the next gesture will do.
#[must_use]
pub(crate) fn sentence(desk: &Desk) -> String {
    let scene = desk.scene();
    match &desk.gesture {
        Gesture::Pan => "Moving the view.".into(),
        Gesture::Turn => "Turning the view about the middle of the canvas.".into(),
        Gesture::Band { .. } => band::sentence(desk),
        Gesture::Move { .. } if desk.selection.is_several() => {
            format!("Moving {} things; Esc puts them back.", desk.selection.len())
        }
        Gesture::Move { grip, .. } => {
            let what = match grip.part {
                Part::Whole => String::new(),
                Part::Foot => "the foot of ".into(),
                Part::Head => "the head of ".into(),
                Part::Tie => format!("{} of ", tie_word(scene, grip.thing)),
            };
            let exactly = match (grip.part, grip.thing) {
                (Part::Head, Thing::Of(Subject::Marker(_))) => "Shift keeps it on its line; ",
                _ => "",
            };
            format!("Moving {what}{}; {exactly}Esc puts it back.", grip.thing.name(scene))
        }
        Gesture::Carry(carrying) => carrying::sentence(desk, carrying),
        Gesture::Pull(pulling) => eye_pull::sentence(desk, pulling),
        Gesture::Lens { .. } => {
            "Changing the lens; let Alt go when it is right, Esc puts it back.".into()
        }
        Gesture::Trace { .. } => "Let go at the other end; Esc gives the line up.".into(),
        Gesture::Raise { .. } => {
            "Let go at the head; Shift keeps it on its line; Esc gives the marker up.".into()
        }
        Gesture::Guide { .. } => {
            "Let go at the end; the wheel changes the number of steps; Esc gives the guide up."
                .into()
        }
        Gesture::Link { front, .. } => {
            format!("Now the thing that {} hides part of; Esc stops.", marker_name(*front, scene))
        }
        Gesture::Tie { id, by } => {
            let name = marker_name(*id, scene);
            let is_ball = scene.marker(*id).is_some_and(|m| m.span == Span::Ball);
            let middle = if is_ball { "the middle of " } else { "" };
            match by {
                Tie::Plumb => {
                    format!(
                        "Click the point on the level that is plumb below {middle}{name}; Esc stops."
                    )
                }
                Tie::Shadow if is_ball => {
                    format!("Click the middle of the shadow of {name} on the level; Esc stops.")
                }
                Tie::Shadow => format!(
                    "Click where the shadow of the foot of {name} falls on the level; Esc stops."
                ),
            }
        }
        Gesture::SetIn { .. } => "Let go where it ends; Esc gives it up.".into(),
        Gesture::Pose { id, handle, .. } => {
            let name = subject_name(scene, Subject::StandIn(*id));
            match handle {
                Handle::Lift => format!("Lifting {name} plumb; Esc puts it back."),
                Handle::Turn => format!("Turning {name}; Esc puts it back."),
                Handle::Slide => format!("Moving {name} over its level; Esc puts it back."),
            }
        }
        Gesture::Idle if desk.asked_frame().is_some() => {
            "Drag the outline of the old frame to where it lies in the painting, a corner to change its size.".into()
        }
        Gesture::Idle if desk.comparing.is_some() => COMPARING.into(),
        Gesture::Idle => {
            let told = desk.told.clone().or_else(|| crosshair::sentence(desk));
            told.unwrap_or_else(|| at_rest(desk))
        }
    }
}

/// What the point is that ties a thing to its level.
fn tie_word(scene: &Scene, thing: Thing) -> &'static str {
    let marker = match thing {
        Thing::Of(Subject::Marker(id)) => scene.marker(id),
        _ => None,
    };
    match marker.map(|m| m.stands) {
        Some(Stands::Shadow { .. }) => "the shadow",
        _ => "the plumb point",
    }
}

fn at_rest(desk: &Desk) -> String {
    match desk.mode {
        Mode::Look if desk.hovered.or(desk.selected()) == Some(Thing::EyeLevel) => {
            "Drag the middle of the horizon to lift it, an end (or with Shift) to cant it; arrow keys nudge, \
             Delete lets it go."
                .into()
        }
        Mode::Look if desk.hovered.or(desk.selected()).is_some_and(Thing::is_of_eye) => {
            "Drag the vanishing point, with Shift to change the lens; arrow keys nudge, Delete lets it go, \
             the other button locks."
                .into()
        }
        Mode::Look if desk.selection.is_several() => format!(
            "{} things selected: drag one to move all, arrow keys nudge, Delete removes; Shift+click \
             adds and takes away.",
            desk.selection.len()
        ),
        Mode::Look if desk.selected().is_some() => {
            "Drag a handle to move it, arrow keys nudge, Delete removes; Shift+click or a drag over \
             others selects more."

                .into()
        }
        Mode::Look => "Click a line or a marker to read it; drag the horizon or a vanishing point to set the eye, \
             elsewhere over things to select them."
            .into(),
        Mode::Line => match desk.tools.traced {
            Traced::Horizon => "Drag along the horizon where it can be seen.".into(),
            Traced::Family(Family::Incline(id)) if desk.scene().is_light(id) => {
                "Drag along a ray: from the top of a thing to the end of its shadow.".into()
            }
            Traced::Family(Family::Run(id)) if desk.scene().is_light(id) => {
                "Drag along the shadow that a plumb thing casts on level ground.".into()
            }
            Traced::Family(family) => {
                format!("Drag along {} edge.", an_edge(&family_name(desk.scene(), family), family))
            }
        },
        Mode::Mark => match desk.tools.span {
            Span::Upright => "Drag from the foot of a thing to its head.".into(),
            Span::Along(_) => "Drag from one end of a thing to the other, along its family.".into(),
            Span::Facing => "Drag across a thing that faces the viewer.".into(),
            Span::Cylinder => "Drag across a round upright thing, from outline to outline.".into(),
            Span::Ball => "Drag across a ball, from one side of its outline to the other.".into(),
        },
        Mode::Guide => {
            let (word, what) = desk.tools.guide.kind.words();
            format!("{word}: {what}.")
        }
        Mode::StandIn => stand_in_sentence(desk),
        Mode::Overlap => "Drag from the nearer thing to the one that it hides part of.".into(),
    }
}

fn an_edge(name: &str, family: Family) -> String {
    match family {
        Family::Upright => "a plumb".into(),
        Family::RecedingLeft(_) | Family::RecedingRight(_) => format!("a level ({name})"),
        Family::Incline(_) => format!("a sloping ({name})"),
        Family::Run(_) => format!("a level ({name})"),
    }
}

fn stand_in_sentence(desk: &Desk) -> String {
    if let Some(level) = eye_height::level_without_scale(desk) {
        let name = &level.name;
        return format!(
            "Say first how high the eye is over {name}, or mark a figure of known height on it."
        );
    }
    match desk.setting.many {
        Many::One => "Click where it stands: it is drawn at its true size there.".into(),
        Many::Row => "Drag from the first to the last of the row.".into(),
        Many::Crowd => "Drag a patch of ground from corner to corner.".into(),
    }
}
