//! A painting that came back with another shape: where the old frame lies in it, shown over the painting before
//! it is taken.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::ink::{self, Placing};
use crate::canvas::view::{View as DeskView, frame_corners};
use crate::desk::Desk;
use crate::files::Done;
use crate::painting::{Painted, frame_of};
use egui::{Context, Painter, Pos2, Rect, Shape, Stroke};
use glam::DVec2;
use staffage_drawing::{Drawing, Emphasis, View, draw};
use staffage_picture::{Match, Picture, Sketch};
use staffage_scene::{Edit, Painting, REFRAMED_WIDTH, Reframing, Scene, Units, apply, assess_in};
use std::sync::Arc;

/// Reach of a corner of the outline, points.
const REACH: f32 = 10.0;
/// What lies farther off than this many times as wide as it should is not looked like unscaled.
const UNLIKELY: f64 = 3.0;

/// The question of how a painting of another shape lies over the old frame.
#[derive(Default)]
pub(crate) struct Reframe {
    /// The last painting that had the frame's shape.
    old: Option<Old>,
    asked: Option<Asked>,
    /// The size of the painting that was left as it is.
    left: Option<(u32, u32)>,
    /// How often it was asked.
    count: u64,
}

/// A painting that is to be found in what came after it.
#[derive(Clone)]
enum Old {
    /// As it was; to be sketched on the worker.
    Picture(Arc<Picture>),
    Sketch(Arc<Sketch>),
}

impl Old {
    /// Its width, pixels.
    fn width(&self) -> u32 {
        match self {
            Self::Picture(picture) => picture.size().width,
            Self::Sketch(sketch) => sketch.size().width,
        }
    }

    fn sketch(self) -> Arc<Sketch> {
        match self {
            Self::Picture(picture) => Arc::new(picture.sketch()),
            Self::Sketch(sketch) => sketch,
        }
    }
}

/// The question while it is open.
pub(crate) struct Asked {
    /// Size of the new painting, pixels.
    pub(crate) size: (u32, u32),
    /// Width of the old painting, pixels.
    old_width: f64,
    pub(crate) way: Way,
    pub(crate) place: Place,
    pub(crate) found: Found,
    number: u64,
    drag: Option<Drag>,
    preview: Option<Preview>,
    /// The view before it was asked, and the one that shows both frames, while that is not moved.
    before: DeskView,
    fitted: Option<DeskView>,
}

/// What happened to the painting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    /// It was cropped, or its canvas extended.
    Cropped,
    /// All of it was stretched or squeezed.
    Stretched,
}

/// Where the old frame lies in the new painting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Place {
    /// Its upper left corner, pixels of the new painting.
    pub(crate) corner: DVec2,
    /// One pixel of the old painting, pixels of the new one.
    pub(crate) scale: f64,
}

/// How the place came about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Found {
    /// It is being looked for.
    Looking,
    /// It was found, and so much alike are both, 0 to 1.
    There(f64),
    /// It was not found.
    Nowhere,
    /// It was put there by hand.
    ByHand,
}

/// Which edges of the old frame and the new painting coincide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Edge {
    /// The left ones.
    Left,
    /// The right ones.
    Right,
    /// The upper ones.
    Top,
    /// The lower ones.
    Bottom,
    /// The middles.
    Middle,
}

/// Something the painter says about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum ReframeAct {
    /// This is what happened to the painting.
    Say(Way),
    /// The old frame lies here.
    Put(Place),
    /// The old frame lies at this edge.
    LineUp(Edge),
    /// The old frame lies so far from there, pixels of the new painting.
    Nudge(DVec2),
    /// Take the new frame.
    Take,
    /// Leave all as it is.
    Leave,
    /// Ask again.
    Ask,
}

/// What is held of the outline.
#[derive(Clone, Copy, Debug)]
struct Drag {
    /// The corner opposite of the one that is held; nothing for the whole.
    against: Option<DVec2>,
    from: DVec2,
    before: Place,
}

/// The scene as it would lie in the new frame.
struct Preview {
    scene: Arc<Scene>,
    map: Reframing,
    /// In which units, and from where it is seen.
    told: (Units, View),
    drawing: Drawing,
}

impl Asked {
    fn new_width(&self) -> f64 {
        f64::from(self.size.0)
    }

    /// Size of the old frame in the new painting, pixels.
    fn extent(&self, scene: &Scene, place: Place) -> DVec2 {
        let width = place.scale * self.old_width;
        DVec2::new(width, width / scene.frame.ratio)
    }

    /// How the old frame lies in the new one.
    pub(crate) fn map(&self, scene: &Scene) -> Reframing {
        if self.way == Way::Stretched {
            return Reframing::stretched(scene.frame, frame_of(self.size));
        }
        let extent = self.extent(scene, self.place);
        let unit = self.new_width() / extent.x;
        let middle = self.in_units(self.place.corner + 0.5 * extent);
        Reframing::cropped(-middle * unit, unit)
    }

    /// A place in pixels of the new painting in its picture units.
    fn in_units(&self, at: DVec2) -> DVec2 {
        (at - 0.5 * DVec2::new(self.new_width(), f64::from(self.size.1))) / self.new_width()
    }

    fn in_pixels(&self, at: DVec2) -> DVec2 {
        at * self.new_width() + 0.5 * DVec2::new(self.new_width(), f64::from(self.size.1))
    }

    /// The corners of the old frame, picture units of the new painting, from the upper left clockwise.
    fn corners(&self, scene: &Scene) -> [DVec2; 4] {
        let (corner, extent) = (self.place.corner, self.extent(scene, self.place));
        [DVec2::ZERO, DVec2::X, DVec2::ONE, DVec2::Y]
            .map(|share| self.in_units(corner + share * extent))
    }

    fn lined_up(&self, scene: &Scene, edge: Edge) -> Place {
        let room =
            DVec2::new(self.new_width(), f64::from(self.size.1)) - self.extent(scene, self.place);
        let mut corner = self.place.corner;
        match edge {
            Edge::Left => corner.x = 0.0,
            Edge::Right => corner.x = room.x,
            Edge::Top => corner.y = 0.0,
            Edge::Bottom => corner.y = room.y,
            Edge::Middle => corner = 0.5 * room,
        }
        Place { corner, ..self.place }
    }

    fn put(&mut self, place: Place) {
        let width = 1.0 / (place.scale * self.old_width / self.new_width());
        if place.corner.is_finite() && REFRAMED_WIDTH.contains(&width) {
            self.place = place;
            self.found = Found::ByHand;
        }
    }
}

impl Desk {
    /// The question how a painting of another shape lies over the old frame, while it is open.
    pub(crate) fn asked_frame(&self) -> Option<&Asked> {
        self.reframe.asked.as_ref()
    }

    pub(crate) fn reframe(&mut self, act: ReframeAct) {
        let scene = Arc::clone(self.history.present());
        if act == ReframeAct::Ask {
            self.reframe.left = None;
        }
        let Some(asked) = &mut self.reframe.asked else { return };
        match act {
            ReframeAct::Say(way) => asked.way = way,
            ReframeAct::Put(place) => asked.put(place),
            ReframeAct::LineUp(edge) => asked.put(asked.lined_up(&scene, edge)),
            ReframeAct::Nudge(by) => {
                let Place { corner, scale } = asked.place;
                asked.put(Place { corner: corner + by, scale });
            }
            ReframeAct::Leave => {
                self.reframe.left = Some(asked.size);
                if asked.fitted == Some(self.view) {
                    self.view = asked.before;
                }
                self.reframe.asked = None;
            }
            ReframeAct::Take => {
                let edit = taken(&scene, asked);
                self.edit(&edit);
            }
            ReframeAct::Ask => {}
        }
    }
}

/// The edit that takes the new frame.
fn taken(scene: &Scene, asked: &Asked) -> Edit {
    let reframe = Edit::Reframe { map: asked.map(scene), frame: frame_of(asked.size) };
    let label = reframe.label(scene);
    Edit::Several { label, edits: vec![reframe, Edit::SetPainting(seen(scene, asked.size))] }
}

/// The scene's painting with the size that it was seen to have.
pub(crate) fn seen(scene: &Scene, size: (u32, u32)) -> Option<Painting> {
    scene.painting.clone().map(|painting| Painting { size, ..painting })
}

/// Keeps what is needed to find the painting that is shown in what comes after it.
pub(crate) fn remember(desk: &mut Desk) {
    if let Painted::There(tiles) = &desk.painting
        && desk.scene().frame.has_shape(tiles.size())
    {
        desk.reframe.old = Some(Old::Picture(tiles.picture()));
    }
    desk.reframe.asked = None;
}

/// Asks as long as the painting has another shape than the frame.
pub(crate) fn follow(desk: &mut Desk, ctx: &Context) {
    let Some(size) = desk.painting.misfit(desk.scene()) else {
        desk.reframe.asked = None;
        return;
    };
    let is_asked = desk.reframe.asked.as_ref().is_some_and(|asked| asked.size == size);
    if is_asked || desk.reframe.left == Some(size) {
        return;
    }
    desk.reframe.count += 1;
    let mut asked = begin(desk, size);
    if let (Some(old), Painted::There(tiles)) = (desk.reframe.old.clone(), &desk.painting) {
        asked.found = Found::Looking;
        let (number, new) = (asked.number, tiles.picture());
        desk.worker.start(ctx, "Looking for the old frame".into(), false, move |_| {
            let old = old.sketch();
            let found = old.find_in(&new.sketch());
            Done::Matched { of: number, old, found }
        });
    }
    desk.reframe.asked = Some(asked);
    desk.fit_wanted = true;
}

/// The view that shows the new painting and the old frame in it, while that is asked about.
pub(crate) fn fitted(desk: &Desk, canvas: Rect) -> Option<DeskView> {
    let asked = desk.reframe.asked.as_ref()?;
    let mut corners = frame_corners(frame_of(asked.size)).to_vec();
    if asked.way == Way::Cropped {
        corners.extend(asked.corners(desk.scene()));
    }
    Some(desk.view.fitted_to(&corners, canvas))
}

/// Notes that both frames are shown, so that they are again when the old one is found elsewhere.
pub(crate) fn was_fitted(desk: &mut Desk) {
    if let Some(asked) = &mut desk.reframe.asked {
        asked.fitted = Some(desk.view);
    }
}

/// The old frame in the middle, unscaled where that can be.
fn begin(desk: &Desk, size: (u32, u32)) -> Asked {
    let scene = desk.scene();
    let noted = scene.painting.as_ref().map(|p| p.size).filter(|&s| scene.frame.has_shape(s));
    let sketched = desk.reframe.old.as_ref().map(Old::width);
    let width = sketched.or(noted.map(|s| s.0)).unwrap_or(scene.frame.working_width);
    let (old_width, new_width) = (f64::from(width), f64::from(size.0));
    let scale = match new_width / old_width {
        times if (1.0 / UNLIKELY..=UNLIKELY).contains(&times) => 1.0,
        times => times,
    };
    let place = Place { corner: DVec2::ZERO, scale };
    let (way, number) = (Way::Cropped, desk.reframe.count);
    let found = Found::Nowhere;
    let (before, fitted) = (desk.view, None);
    let (drag, preview) = (None, None);
    let mut asked =
        Asked { size, old_width, way, place, found, number, drag, preview, before, fitted };
    asked.place = asked.lined_up(scene, Edge::Middle);
    asked
}

/// Takes the place that was found, unless the painter has put the frame elsewhere by now.
pub(crate) fn take_match(desk: &mut Desk, of: u64, old: Arc<Sketch>, found: Option<Match>) {
    tracing::debug!(?found, "looked for the old frame");
    // The picture itself takes much room, and is needed no more.
    if desk.reframe.old.as_ref().is_some_and(|known| known.width() == old.size().width) {
        desk.reframe.old = Some(Old::Sketch(old));
    }
    let Some(asked) = &mut desk.reframe.asked else { return };
    if asked.number != of || asked.found != Found::Looking {
        return;
    }
    asked.found = Found::Nowhere;
    if let Some(found) = found.filter(Match::is_sure) {
        asked.place = Place { corner: found.corner.into(), scale: found.scale };
        asked.found = Found::There(found.alike);
        desk.fit_wanted |= asked.fitted == Some(desk.view);
    }
}

/// Drags the outline, or a corner of it against the opposite one.
pub(crate) fn gestures(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    if let Some(origin) = pointer.drag_started {
        let drag = take_hold(desk, origin);
        match (&mut desk.reframe.asked, drag) {
            (Some(asked), Some(drag)) => asked.drag = Some(drag),
            _ => desk.gesture = Gesture::Pan,
        }
    }
    let at = pointer.at.map(|at| desk.picture_point(at));
    let scene = Arc::clone(desk.history.present());
    let Some(asked) = &mut desk.reframe.asked else { return Vec::new() };
    if let (Some(drag), Some(at)) = (asked.drag, at)
        && (pointer.dragged || pointer.released)
    {
        let place = dragged(asked, &scene, drag, at);
        asked.put(place);
    }
    if pointer.released {
        asked.drag = None;
    }
    Vec::new()
}

fn take_hold(desk: &Desk, origin: Pos2) -> Option<Drag> {
    let asked = desk.reframe.asked.as_ref().filter(|asked| asked.way == Way::Cropped)?;
    let corners = asked.corners(desk.scene());
    let near = |at: DVec2| desk.view.to_screen(desk.canvas, at).distance(origin) <= REACH;
    let from = desk.picture_point(origin);
    let held = (0..4).find(|&i| near(corners[i]));
    let inside = from.cmpge(corners[0]).all() && from.cmple(corners[2]).all();
    let against = held.map(|i| corners[(i + 2) % 4]);
    (held.is_some() || inside).then_some(Drag { against, from, before: asked.place })
}

fn dragged(asked: &Asked, scene: &Scene, drag: Drag, at: DVec2) -> Place {
    let Some(against) = drag.against else {
        // Whole pixels: a canvas is cropped and extended by those.
        let corner = drag.before.corner + (at - drag.from) * asked.new_width();
        return Place { corner: corner.round(), ..drag.before };
    };
    let was = drag.from - against;
    let times = (at - against).dot(was) / was.length_squared();
    let scale = drag.before.scale * times.max(1e-3);
    let fixed = asked.in_pixels(against);
    let before = asked.extent(scene, drag.before);
    // The fixed corner as a share of the frame, which stays.
    let share = ((fixed - drag.before.corner) / before).round();
    let corner = fixed - share * asked.extent(scene, Place { scale, ..drag.before });
    Place { corner, scale }
}

/// Draws the scene as it would lie in the new frame, and the old frame's outline. Whether the question is open.
pub(crate) fn paint(desk: &mut Desk, painter: &Painter) -> bool {
    let (scene, view) = (Arc::clone(desk.history.present()), desk.view.visible(desk.canvas));
    let units = desk.units();
    let Some(asked) = &mut desk.reframe.asked else { return false };
    let map = asked.map(&scene);
    let told = (units, view);
    let same = |p: &Preview| Arc::ptr_eq(&p.scene, &scene) && p.map == map && p.told == told;
    if !asked.preview.as_ref().is_some_and(same) {
        let edit = Edit::Reframe { map, frame: frame_of(asked.size) };
        asked.preview = apply(&scene, &edit).ok().map(|after| {
            let drawing = draw(&after, &assess_in(&after, units), &view, &Emphasis::default());
            Preview { scene: Arc::clone(&scene), map, told, drawing }
        });
    }
    if let Some(preview) = asked.preview.as_ref().filter(|_| desk.remembered.ink) {
        ink::paint(painter, &preview.drawing, Placing::Picture(desk.view, desk.canvas));
    }
    if asked.way == Way::Cropped {
        let corners = asked.corners(&scene).map(|at| desk.view.to_screen(desk.canvas, at));
        outline(painter, corners);
    }
    true
}

fn outline(painter: &Painter, corners: [Pos2; 4]) {
    let closed: Vec<Pos2> = corners.into_iter().chain([corners[0]]).collect();
    painter.line(closed.clone(), Stroke::new(3.5, egui::Color32::from_black_alpha(150)));
    painter.extend(Shape::dashed_line(&closed, Stroke::new(1.5, egui::Color32::WHITE), 8.0, 5.0));
    for corner in corners {
        painter.circle_stroke(corner, 5.0, Stroke::new(3.5, egui::Color32::from_black_alpha(150)));
        painter.circle_stroke(corner, 5.0, Stroke::new(1.5, egui::Color32::WHITE));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::Frame;

    fn asked(size: (u32, u32), corner: DVec2, scale: f64) -> (Scene, Asked) {
        let scene = Scene { frame: Frame { ratio: 2.0, working_width: 400 }, ..Scene::default() };
        let place = Place { corner, scale };
        let (way, found) = (Way::Cropped, Found::Nowhere);
        let asked = Asked {
            size,
            old_width: 400.0,
            way,
            place,
            found,
            number: 1,
            drag: None,
            preview: None,
            before: DeskView::plain(DVec2::ZERO, 100.0),
            fitted: None,
        };
        (scene, asked)
    }

    #[test]
    fn a_pixel_of_the_old_painting_lies_where_it_is_in_the_crop() {
        // 100 px were cut off at the left and 40 px at the top.
        let (scene, asked) = asked((300, 160), DVec2::new(-100.0, -40.0), 1.0);
        let map = asked.map(&scene);
        // The pixel (250, 120) of the old painting is (150, 80) of the new one: its very middle.
        let old = DVec2::new(250.0 / 400.0 - 0.5, (120.0 - 100.0) / 400.0);
        assert!(map.place(old).length() < 1e-12, "{}", map.place(old));
        let corner = map.place(DVec2::new(-0.5, -0.25));
        assert!((asked.in_pixels(corner) - DVec2::new(-100.0, -40.0)).length() < 1e-9);
    }

    #[test]
    fn frames_are_lined_up_at_their_edges() {
        let (scene, asked) = asked((400, 100), DVec2::ZERO, 1.0);
        // The old frame is 200 px high.
        assert_eq!(asked.lined_up(&scene, Edge::Top).corner.y, 0.0);
        assert_eq!(asked.lined_up(&scene, Edge::Middle).corner.y, -50.0);
        assert_eq!(asked.lined_up(&scene, Edge::Bottom).corner.y, -100.0);
    }

    #[test]
    fn a_corner_is_dragged_against_the_opposite_one() {
        let (scene, asked) = asked((400, 400), DVec2::new(0.0, 100.0), 1.0);
        let corners = asked.corners(&scene);
        let drag = Drag { against: Some(corners[0]), from: corners[2], before: asked.place };
        let place = dragged(&asked, &scene, drag, corners[0].midpoint(corners[2]));
        assert!((place.scale - 0.5).abs() < 1e-12);
        assert!((place.corner - DVec2::new(0.0, 100.0)).length() < 1e-9, "{place:?}");
    }
}
