//! The quantities of the eye one by one: locked at their present value, or let go.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::eye::eye_hit;
use crate::selection::Selection;
use crate::sentences;
use crate::thing::Thing;
use egui::{Popup, Response, Ui};
use staffage_scene::{
    Block, BlockId, Edit, EyeByHand, Family, Incline, InclineId, Scene, with_lens,
};
use staffage_solver::Quantity;

/// A quantity that says where the horizon or a vanishing point lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum EyeQuantity {
    /// The angle of view across the frame.
    Lens,
    /// How far the eye looks up.
    Pitch,
    /// How far the horizon tilts.
    Cant,
    /// Heading of a block.
    Heading(BlockId),
    /// Heading of an incline.
    InclineHeading(InclineId),
    /// Slope of an incline.
    Slope(InclineId),
}

use EyeQuantity::{Cant, Heading, InclineHeading, Lens, Pitch, Slope};

impl EyeQuantity {
    /// Those that say where a thing lies, its own first.
    pub(crate) fn of(thing: Thing) -> Vec<Self> {
        let mut quantities = Self::own(thing);
        let eye = [Pitch, Cant, Lens];
        let all: Vec<Self> = eye.into_iter().filter(|q| !quantities.contains(q)).collect();
        if thing.is_of_eye() {
            quantities.extend(all);
        }
        quantities
    }

    /// Those that are about this thing alone.
    fn own(thing: Thing) -> Vec<Self> {
        match thing {
            Thing::EyeLevel | Thing::VanishingPoint(Family::Upright) => vec![Pitch, Cant, Lens],
            Thing::VanishingPoint(Family::RecedingRight(id) | Family::RecedingLeft(id)) => {
                vec![Heading(id)]
            }
            Thing::VanishingPoint(Family::Incline(id)) => vec![InclineHeading(id), Slope(id)],
            Thing::VanishingPoint(Family::Run(id)) => vec![InclineHeading(id)],
            Thing::Of(_) | Thing::Horizon => Vec::new(),
        }
    }

    fn word(self) -> &'static str {
        match self {
            Lens => "lens",
            Pitch => "pitch",
            Cant => "cant",
            Heading(_) | InclineHeading(_) => "heading",
            Slope(_) => "slope",
        }
    }

    fn reading(self, desk: &Desk) -> Option<Quantity> {
        let eye = &desk.assessment().eye;
        let incline = |id| eye.inclines.iter().find(move |(of, ..)| *of == id);
        match self {
            Lens => Some(eye.angle_of_view),
            Pitch => Some(eye.pitch),
            Cant => Some(eye.cant),
            Heading(id) => eye.headings.iter().find(|(of, _)| *of == id).map(|(_, q)| *q),
            InclineHeading(id) => incline(id).map(|(_, heading, _)| *heading),
            Slope(id) => incline(id).map(|(.., slope)| *slope),
        }
    }

    fn by_hand(self, scene: &Scene) -> Option<f64> {
        match self {
            Lens => scene.eye.angle_of_view,
            Pitch => scene.eye.pitch,
            Cant => scene.eye.cant,
            Heading(id) => scene.block(id)?.heading,
            InclineHeading(id) => scene.incline(id)?.heading,
            Slope(id) => scene.incline(id)?.slope,
        }
    }

    /// Sets it by hand, degrees, or lets it go.
    fn set(self, scene: &Scene, degrees: Option<f64>) -> Option<Edit> {
        let eye = scene.eye;
        Some(match self {
            Lens => Edit::SetEye(EyeByHand { angle_of_view: degrees, ..eye }),
            Pitch => Edit::SetEye(EyeByHand { pitch: degrees, horizon_placed: false, ..eye }),
            Cant => Edit::SetEye(EyeByHand { cant: degrees, ..eye }),
            Heading(id) => Edit::PutBlock(Block { heading: degrees, ..scene.block(id)?.clone() }),
            InclineHeading(id) => {
                Edit::PutIncline(Incline { heading: degrees, ..scene.incline(id)?.clone() })
            }
            Slope(id) => Edit::PutIncline(Incline { slope: degrees, ..scene.incline(id)?.clone() }),
        })
    }

    /// Locks it at its present value, or lets it go if it is set by hand.
    fn toggled(self, desk: &Desk) -> Option<Edit> {
        let locked = self.by_hand(desk.scene()).is_some();
        let degrees = self.reading(desk)?.value.to_degrees();
        let degrees = (!locked).then_some(degrees);
        let edit = match self {
            Lens => with_lens(desk.scene(), &desk.assessment().eye, degrees),
            _ => self.set(desk.scene(), degrees)?,
        };
        let label = format!("{} the {}", if locked { "Let go of" } else { "Lock" }, self.word());
        Some(Edit::Several { label, edits: vec![edit] })
    }

    /// A button that locks it or lets it go.
    pub(crate) fn button(self, desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
        let locked = self.by_hand(desk.scene()).is_some();
        let (word, tip) = if locked {
            ("Let go", "Read it from the lines again")
        } else {
            ("Lock", "Hold it at this value, whatever the lines say")
        };
        if ui.small_button(word).on_hover_text(tip).clicked() {
            acts.extend(self.toggled(desk).map(Act::Edit));
        }
    }

    fn menu_item(self, desk: &Desk, ui: &mut Ui) -> Option<Edit> {
        let reading = self.reading(desk)?;
        let (word, degrees) = (self.word(), reading.value.to_degrees());
        let does = match self.by_hand(desk.scene()) {
            Some(_) => format!("Let go of the {word}"),
            None => format!("Lock the {word}"),
        };
        let source = sentences::source(reading.source);
        let item = egui::Button::new(&does).shortcut_text(format!("{degrees:.1}°, {source}"));
        ui.add(item).accessible_name(does).clicked().then(|| self.toggled(desk)).flatten()
    }
}

/// Lets go whatever was set by hand about the horizon or a vanishing point.
pub(crate) fn let_go(desk: &Desk, thing: Thing) -> Option<Edit> {
    let mut scene = desk.scene().clone();
    let mut edits = Vec::new();
    for quantity in EyeQuantity::own(thing) {
        if quantity.by_hand(&scene).is_some()
            && let Some(edit) = quantity.set(&scene, None)
            && let Ok(after) = staffage_scene::apply(&scene, &edit)
        {
            scene = after;
            edits.push(edit);
        }
    }
    let label = format!("Let go of the {}", thing.name(desk.scene()));
    (!edits.is_empty()).then_some(Edit::Several { label, edits })
}

/// The menu of the horizon or a vanishing point under a secondary click.
pub(crate) fn context_menu(desk: &mut Desk, canvas: &Response) -> Vec<Act> {
    let mut acts = Vec::new();
    if canvas.secondary_clicked() {
        let at = canvas.interact_pointer_pos();
        let Some(hold) = at.and_then(|at| eye_hit::hold(desk, at)) else { return acts };
        desk.selection = Selection::only(hold.thing);
    }
    let Some(thing) = desk.selected().filter(|thing| thing.is_of_eye()) else { return acts };
    Popup::context_menu(canvas).accessible_name("Eye menu").show(|ui| {
        ui.strong(thing.name(desk.scene()));
        for quantity in EyeQuantity::of(thing) {
            acts.extend(quantity.menu_item(desk, ui).map(Act::Edit));
        }
    });
    acts
}
