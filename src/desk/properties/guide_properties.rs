//! Everything about the selected guide.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::modes::guide_mode::towards;
use crate::{field, typed};
use egui::{ComboBox, DragValue, Grid, Ui};
use staffage_scene::{
    Climb, Division, Edit, Family, Flight, Form, Guide, GuideShape, LevelId, Plane, Post, Reach,
    Round, RoundForm, SLOPE, Scene, Steps, Units, family_name, guide_form,
};

const FIELD: f32 = 90.0;
const CHOICE: f32 = 180.0;
/// Two risers and a tread of a comfortable flight, metres (F. Blondel, Cours d'architecture, 1675;
/// bounds from common practice).
const PACE: std::ops::RangeInclusive<f64> = 0.60..=0.65;

pub(crate) fn show(desk: &Desk, ui: &mut Ui, guide: &Guide, acts: &mut Vec<Act>) {
    let (form, units) = (guide_form(desk.scene(), desk.assessment(), guide), desk.units());
    if form.is_none() {
        ui.label("It cannot be seen there: move it off the horizon or its vanishing point.");
    }
    Grid::new(("guide", guide.id.0)).num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
        ui.weak("name");
        let name = field::own_name(ui, ("guide", guide.id.0), "Guide name", &guide.name, 180.0);
        if let Some(name) = name {
            acts.push(Act::Edit(Edit::PutGuide(Guide { name, ..guide.clone() })));
        }
        ui.end_row();
        match guide.shape {
            GuideShape::Steps(steps) => steps_rows(desk, ui, guide, steps, acts),
            GuideShape::Flight(flight) => flight_rows(desk, ui, guide, flight, acts),
            GuideShape::Round(round) => {
                let read = match form {
                    Some(Form::Round(form)) => Some(form),
                    _ => None,
                };
                round_rows(desk, ui, guide, round, read, acts);
            }
        }
    });
    match &form {
        Some(Form::Flight(form)) => {
            let (run, rise) = form.extent();
            ui.weak(format!("{} long in plan, {} high", units.metres(run), units.metres(rise)));
            if form.assumed {
                assumed(ui);
            }
            if let Climb::Stairs { riser, tread, .. } = form.climb {
                pace(ui, 2.0 * riser + tread);
            }
        }
        Some(Form::Round(form)) => about_ellipse(desk, ui, guide, form),
        Some(Form::Steps(_)) | None => {}
    }
}

fn put(guide: &Guide, shape: GuideShape) -> Edit {
    Edit::PutGuide(Guide { shape, ..guide.clone() })
}

fn assumed(ui: &mut Ui) {
    ui.weak("Nothing tells how high the eye is: drawn as if it were 1.60 m over the level. Mark a figure (3).");
}

fn pace(ui: &mut Ui, pace: f64) {
    let words =
        if PACE.contains(&pace) { "a comfortable flight" } else { "comfortable: 60 to 65 cm" };
    ui.weak(format!("two risers and a tread: {:.0} cm, {words}", 100.0 * pace));
}

/// The ellipse as a template has it: in degrees, and how its axis is turned.
fn about_ellipse(desk: &Desk, ui: &mut Ui, guide: &Guide, form: &RoundForm) {
    if let Some(ellipse) = form.circle.ellipse(&desk.assessment().eye.eye) {
        let [long, short] = ellipse.semi_axes;
        let degrees = (short / long).clamp(0.0, 1.0).asin().to_degrees();
        let axis = ellipse.long_axis.perp();
        let off = axis.x.atan2(axis.y).to_degrees();
        let off = (off + 90.0).rem_euclid(180.0) - 90.0;
        ui.weak(format!(
            "an ellipse of {degrees:.0}°, its short axis {:.0}° off vertical",
            off.abs()
        ));
    }
    let in_metres = match guide.shape {
        GuideShape::Round(round) => {
            [Some(round.radius), round.carried].iter().flatten().any(|r| r.point().is_none())
        }
        _ => false,
    };
    if form.assumed && in_metres {
        assumed(ui);
    }
}

fn steps_rows(desk: &Desk, ui: &mut Ui, guide: &Guide, steps: Steps, acts: &mut Vec<Act>) {
    let of = |steps| Act::Edit(put(guide, GuideShape::Steps(steps)));
    let scene = desk.scene();
    ui.weak("along");
    if let Some(family) = family(ui, scene, "Family of the steps", steps.family, |_| true) {
        acts.push(of(Steps { family, ..steps }));
    }
    ui.end_row();
    ui.weak("divided");
    let number = steps.division.number();
    let choices = [Division::Repeat(number), Division::Parts(number), Division::Halve(number)];
    let word = |division: Division| match division {
        Division::Repeat(_) => "one step, carried on",
        Division::Parts(_) => "the whole in equal parts",
        Division::Halve(_) => "the whole, halved again and again",
    };
    let chosen = choice(ui, "Division", steps.division, &choices, |d| word(d).to_owned());
    if let Some(division) = chosen {
        acts.push(of(Steps { division: division.with_number(number), ..steps }));
    }
    ui.end_row();
    ui.weak(if matches!(steps.division, Division::Halve(_)) { "times" } else { "number" });
    let mut changed = number;
    let value = DragValue::new(&mut changed)
        .update_while_editing(false)
        .range(steps.division.range())
        .speed(0.1);
    let response = ui
        .add(value)
        .on_hover_text("How many (PageUp, PageDown in Guide mode)")
        .accessible_name("Number of steps");
    let division = steps.division.with_number(changed);
    let edit =
        (changed != number).then(|| put(guide, GuideShape::Steps(Steps { division, ..steps })));
    field::put(&response, edit, acts);
    ui.end_row();
    ui.weak("posts");
    ui.horizontal(|ui| posts(desk, ui, guide, steps, acts));
    ui.end_row();
}

fn posts(desk: &Desk, ui: &mut Ui, guide: &Guide, steps: Steps, acts: &mut Vec<Act>) {
    let of = |post| Act::Edit(put(guide, GuideShape::Steps(Steps { post, ..steps })));
    let Some(post) = steps.post else {
        let family = match steps.family {
            Family::Upright => Family::RecedingRight(desk.tools.block),
            _ => Family::Upright,
        };
        let top = towards(desk, family, steps.from, 0.6 * steps.from.distance(steps.to));
        if ui.button("Add posts").on_hover_text("What stands at each step").clicked() {
            acts.extend(top.map(|top| of(Some(Post { top, family }))));
        }
        return;
    };
    let unlike = |family| family != steps.family;
    if let Some(family) = family(ui, desk.scene(), "Family of the posts", post.family, unlike) {
        let top = towards(desk, family, steps.from, steps.from.distance(post.top));
        acts.extend(top.map(|top| of(Some(Post { top, family }))));
    }
    if ui.small_button("Remove").on_hover_text("Nothing stands at the steps").clicked() {
        acts.push(of(None));
    }
}

fn flight_rows(desk: &Desk, ui: &mut Ui, guide: &Guide, flight: Flight, acts: &mut Vec<Act>) {
    let (scene, units) = (desk.scene(), desk.units());
    let of = |flight| put(guide, GuideShape::Flight(flight));
    level(scene, ui, guide, acts);
    ui.weak("climbs");
    if let Some(along) = family(ui, scene, "Family of the flight", flight.along, is_level) {
        acts.push(Act::Edit(of(Flight { along, ..flight })));
    }
    ui.end_row();
    ui.weak("");
    let mut towards = flight.towards;
    if ui.checkbox(&mut towards, "towards the viewer").clicked() {
        acts.push(Act::Edit(of(Flight { towards, ..flight })));
    }
    ui.end_row();
    if let Some(width) = length(units, ui, "width", "Width of the flight", flight.width) {
        acts.push(Act::Edit(of(Flight { width, ..flight })));
    }
    let climb = |climb| of(Flight { climb, ..flight });
    match flight.climb {
        Climb::Stairs { riser, tread, count } => {
            if let Some(riser) = length(units, ui, "riser", "Riser", riser) {
                acts.push(Act::Edit(climb(Climb::Stairs { riser, tread, count })));
            }
            if let Some(tread) = length(units, ui, "tread", "Tread", tread) {
                acts.push(Act::Edit(climb(Climb::Stairs { riser, tread, count })));
            }
            ui.weak("steps");
            let mut number = count;
            let value = DragValue::new(&mut number)
                .update_while_editing(false)
                .range(staffage_scene::STEPS)
                .speed(0.1);
            let response = ui
                .add(value)
                .on_hover_text("How many (PageUp, PageDown in Guide mode)")
                .accessible_name("Number of steps");
            let edit = climb(Climb::Stairs { riser, tread, count: number });
            field::put(&response, (number != count).then_some(edit), acts);
            ui.end_row();
        }
        Climb::Ramp { slope, run } => {
            ui.weak("slope");
            let mut degrees = slope;
            let value = DragValue::new(&mut degrees)
                .update_while_editing(false)
                .range(SLOPE)
                .speed(0.1)
                .suffix("°");
            let response = ui.add(value).accessible_name("Slope of the ramp");
            let edit = climb(Climb::Ramp { slope: degrees, run });
            field::put(&response, (degrees != slope).then_some(edit), acts);
            ui.end_row();
            if let Some(run) = length(units, ui, "run in plan", "Run of the ramp", run) {
                acts.push(Act::Edit(climb(Climb::Ramp { slope, run })));
            }
        }
    }
}

fn round_rows(
    desk: &Desk,
    ui: &mut Ui,
    guide: &Guide,
    round: Round,
    read: Option<RoundForm>,
    acts: &mut Vec<Act>,
) {
    let (scene, units) = (desk.scene(), desk.units());
    let of = |round| Act::Edit(put(guide, GuideShape::Round(round)));
    ui.weak("plane");
    let planes = planes(scene);
    let word = |plane: Plane| plane_words(scene, plane);
    if let Some(plane) = choice(ui, "Plane of the circle", round.plane, &planes, word) {
        acts.push(of(Round { plane, ..round }));
    }
    ui.end_row();
    level(scene, ui, guide, acts);
    if let Some(radius) = reach(units, ui, "radius", round.radius, read.and_then(|r| r.radius())) {
        acts.push(of(Round { radius, ..round }));
    }
    let Some(carried) = round.carried else {
        ui.weak("carried");
        let tip = "Carry it along the normal of its plane: a cylinder";
        if ui.button("Make it a cylinder").on_hover_text(tip).clicked() {
            let by = read.and_then(|r| r.radius()).unwrap_or(1.0);
            acts.push(of(Round { carried: Some(Reach::Metres(2.0 * by)), ..round }));
        }
        ui.end_row();
        return;
    };
    if let Some(carried) = reach(units, ui, "carried", carried, read.and_then(|r| r.carried())) {
        acts.push(of(Round { carried: Some(carried), ..round }));
    }
    ui.weak("");
    if ui.button("Make it a circle").clicked() {
        acts.push(of(Round { carried: None, ..round }));
    }
    ui.end_row();
}

/// A length that is said by the picture or in metres; typing one says it in metres.
fn reach(units: Units, ui: &mut Ui, word: &str, reach: Reach, read: Option<f64>) -> Option<Reach> {
    ui.weak(word);
    let name = format!("{}{} of the circle", word[..1].to_uppercase(), &word[1..]);
    let shown = match reach {
        Reach::Metres(said) => units.metres(said),
        Reach::To(_) => read.map_or_else(String::new, |read| units.metres(read)),
    };
    let mut typed = None;
    ui.horizontal(|ui| {
        let wanted = typed::LENGTH_WANTED;
        let parsed = |text: &str| typed::length(text, units);
        typed = field::parsed(ui, word, &name, &shown, FIELD, wanted, parsed);
        if reach.point().is_some() {
            ui.weak("by its handle");
        }
    });
    ui.end_row();
    typed.map(Reach::Metres)
}

fn length(units: Units, ui: &mut Ui, word: &str, name: &str, value: f64) -> Option<f64> {
    ui.weak(word);
    let wanted = typed::LENGTH_WANTED;
    let read = |text: &str| typed::length(text, units);
    let typed = field::parsed(ui, word, name, &units.metres(value), FIELD, wanted, read);
    ui.end_row();
    typed
}

fn level(scene: &Scene, ui: &mut Ui, guide: &Guide, acts: &mut Vec<Act>) {
    ui.weak("on");
    let mut levels: Vec<Option<LevelId>> = scene.levels.iter().map(|l| Some(l.id)).collect();
    levels.push(None);
    let word = |id: Option<LevelId>| {
        id.and_then(|id| scene.level(id)).map_or("no level".to_owned(), |l| l.name.clone())
    };
    if let Some(on) = choice(ui, "Level of the guide", guide.shape.level(), &levels, word) {
        acts.push(Act::Edit(put(guide, guide.shape.on_level(on))));
    }
    ui.end_row();
}

fn family(
    ui: &mut Ui,
    scene: &Scene,
    name: &str,
    now: Family,
    fits: impl Fn(Family) -> bool,
) -> Option<Family> {
    let families: Vec<Family> =
        crate::properties::families(scene).into_iter().filter(|family| fits(*family)).collect();
    choice(ui, name, now, &families, |family| family_name(scene, family))
}

fn is_level(family: Family) -> bool {
    matches!(family, Family::RecedingLeft(_) | Family::RecedingRight(_) | Family::Run(_))
}

/// Every way in which the plane of a circle can lie.
fn planes(scene: &Scene) -> Vec<Plane> {
    let families = crate::properties::families(scene).into_iter();
    let upright = families.filter(|family| is_level(*family)).map(Plane::Upright);
    [Plane::Level].into_iter().chain(upright).chain([Plane::Facing]).collect()
}

/// How a plane lies, in words.
pub(crate) fn plane_words(scene: &Scene, plane: Plane) -> String {
    match plane {
        Plane::Level => "level".to_owned(),
        Plane::Upright(family) => format!("upright, {}", family_name(scene, family)),
        Plane::Facing => "facing the viewer".to_owned(),
    }
}

/// A list to choose from; what was chosen, if it is another.
fn choice<T: Copy + PartialEq>(
    ui: &mut Ui,
    name: &str,
    now: T,
    choices: &[T],
    word: impl Fn(T) -> String,
) -> Option<T> {
    let mut chosen = None;
    ComboBox::from_id_salt(name)
        .width(CHOICE)
        .selected_text(word(now))
        .show_ui(ui, |ui| {
            for option in choices {
                if ui.selectable_label(*option == now, word(*option)).clicked() && *option != now {
                    chosen = Some(*option);
                }
            }
        })
        .response
        .accessible_name(name);
    chosen
}
