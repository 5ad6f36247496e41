//! Levels, markers and stand-ins as nodes.

use super::model::{Model, Placing};
use super::shapes::{self, SLENDER};
use glam::{DQuat, DVec3};
use serde_json::{Value, json};
use staffage_drawing::standing_colour;
use staffage_scene::{
    Assessment, Entry, Family, LevelId, Marker, Measure, Placed, Scene, Shape, Side, Span,
    Standing, Subject, Unit, bearing, metres_over, place_stand_in, standing_word,
};
use std::collections::{BTreeMap, HashMap};

/// Farther than this nothing is put into a scene, metres: beyond it single precision shakes.
const FARTHEST: f64 = 1e6;
/// A figure turned sideways is so much narrower than one seen from the front, as it is drawn.
const PROFILE: f64 = 0.62;
/// Colour of levels, and of stand-ins, as they are drawn.
const LEVEL: [f64; 4] = [0.6, 0.6, 0.58, 0.35];
const GHOST: [f64; 4] = [0.0, 114.0 / 255.0, 178.0 / 255.0, 0.55];

/// The level that heights are counted from.
pub(super) struct Ground {
    /// It, unless none is known in metres; then heights are counted from the eye.
    pub(super) level: Option<LevelId>,
    /// Height of the eye over it, metres.
    pub(super) eye_height: f64,
}

impl Ground {
    /// The level that carries most of those known in metres; none where nothing at all is.
    pub(super) fn of(scene: &Scene, assessment: &Assessment) -> Option<Self> {
        let known = scene.levels.iter().filter_map(|level| {
            let metres = metres_over(assessment, level.id)?;
            Some((level, if level.side == Side::Below { metres } else { -metres }))
        });
        let carried = |id| scene.markers.iter().filter(|m| m.stands.level() == Some(id)).count();
        // The first of those that carry most.
        let known: Vec<_> = known.collect();
        let most = known.iter().rev().max_by_key(|(level, _)| carried(level.id));
        if let Some((level, eye_height)) = most {
            return Some(Self { level: Some(level.id), eye_height: *eye_height });
        }
        let in_metres = |e: &&Entry| e.unit == Unit::Metres && e.distance.is_some();
        assessment.ledger.iter().find(in_metres).map(|_| Self { level: None, eye_height: 0.0 })
    }

    /// A place relative to the eye as one of the world.
    fn world(&self, from_eye: DVec3) -> DVec3 {
        from_eye + self.eye_height * DVec3::Y
    }
}

/// What was laid out.
pub(super) struct Scenery {
    /// The nodes that hold the others.
    pub(super) groups: Vec<usize>,
    /// Horizontal distance of what is farthest, metres.
    pub(super) farthest: f64,
    /// Sentences about what is not there.
    pub(super) left_out: Vec<String>,
    /// How many there are of each kind: "level", "marker staff", "round marker", and the words of stand-ins'
    /// shapes.
    pub(super) counts: BTreeMap<&'static str, usize>,
}

pub(super) fn scenery(
    model: &mut Model,
    scene: &Scene,
    assessment: &Assessment,
    ground: &Ground,
) -> Scenery {
    let mut builder = Builder {
        model,
        scene,
        assessment,
        ground,
        shapes: BTreeMap::new(),
        colours: HashMap::new(),
        reaches: HashMap::new(),
        farthest: 0.0,
        left_out: Vec::new(),
        counts: BTreeMap::new(),
    };
    let markers = builder.markers();
    let stand_ins = builder.stand_ins();
    let levels = builder.levels();
    let mut groups = Vec::new();
    for (name, nodes) in [("levels", levels), ("markers", markers), ("stand-ins", stand_ins)] {
        if !nodes.is_empty() {
            let more = json!({ "children": nodes });
            groups.push(builder.model.node(name, Placing::at(DVec3::ZERO), more));
        }
    }
    let Builder { farthest, left_out, counts, .. } = builder;
    Scenery { groups, farthest, left_out, counts }
}

struct Builder<'a> {
    model: &'a mut Model,
    scene: &'a Scene,
    assessment: &'a Assessment,
    ground: &'a Ground,
    /// Meshes that are used again, by name.
    shapes: BTreeMap<&'static str, usize>,
    /// Materials of standings.
    colours: HashMap<(Standing, bool), usize>,
    /// The corners of the rectangle that a level has to hold, metres: least and most.
    reaches: HashMap<LevelId, (DVec3, DVec3)>,
    farthest: f64,
    left_out: Vec<String>,
    counts: BTreeMap<&'static str, usize>,
}

impl Builder<'_> {
    fn count(&mut self, kind: &'static str) {
        *self.counts.entry(kind).or_default() += 1;
    }

    fn markers(&mut self) -> Vec<usize> {
        let (mut nodes, mut without) = (Vec::new(), 0);
        for entry in &self.assessment.ledger {
            let marker = self.scene.marker(entry.id);
            match marker.and_then(|marker| self.marker(marker, entry)) {
                Some(node) => nodes.push(node),
                None => without += 1,
            }
        }
        if without > 0 {
            let (are, have) =
                if without == 1 { ("marker is", "it has") } else { ("markers are", "they have") };
            self.left_out.push(format!(
                "{without} {are} left out, as {have} no distance or no size in metres."
            ));
        }
        nodes
    }

    fn marker(&mut self, marker: &Marker, entry: &Entry) -> Option<usize> {
        let metres =
            |m: Option<Measure>| m.filter(|m| entry.unit == Unit::Metres && m.value.is_finite());
        let (distance, size) = (metres(entry.distance)?, metres(entry.size)?);
        if distance.value > FARTHEST || size.value > FARTHEST || distance.value <= 0.0 {
            return None;
        }
        let kept = self.scene.kept_on_purpose(Subject::Marker(marker.id)).is_some();
        let colour = self.colour(entry.standing, kept);
        let mut drawn = size.value;
        let (placing, mesh) = match marker.span {
            Span::Upright | Span::Along(_) | Span::Facing => {
                let foot = self.on_sight_line(marker, distance.value)?;
                let span = self.drawn(marker, foot)?;
                drawn = span.length();
                let turn = DQuat::from_rotation_arc(DVec3::Y, span / drawn);
                let (dark, light) = shapes::staff(drawn);
                let mesh = self.staff(&marker.name, (&dark, &light), colour);
                (Placing { turn, ..Placing::at(self.ground.world(foot)) }, mesh)
            }
            Span::Cylinder => {
                let foot = self.round(marker, entry, distance.value)?;
                let scale = DVec3::new(size.value, SLENDER * size.value, size.value);
                let mesh = self.model.mesh(&marker.name, &[(&shapes::cylinder(), colour)]);
                (Placing::at(self.ground.world(foot)).scaled(scale), mesh)
            }
            Span::Ball => {
                let foot = self.round(marker, entry, distance.value)?;
                let middle = foot + 0.5 * size.value * DVec3::Y;
                let mesh = self.model.mesh(&marker.name, &[(&shapes::ball(), colour)]);
                (Placing::at(self.ground.world(middle)).scaled(DVec3::splat(size.value)), mesh)
            }
        };
        if let Some(level) = marker.stands.level() {
            self.reach(level, placing.at);
        }
        self.count(match marker.span {
            Span::Upright | Span::Along(_) | Span::Facing => "marker staff",
            Span::Cylinder | Span::Ball => "round marker",
        });
        self.farthest = self.farthest.max(distance.value + size.value);
        let extras = json!({
            "kind": "marker",
            "id": marker.id.0,
            "foot_in_picture": marker.foot.to_array(),
            "distance": interval(distance),
            "size": interval(size),
            "drawn_size": drawn,
            "standing": standing_word(entry.standing),
            "expected_size": entry.expected_size.map(interval),
        });
        let more = json!({ "mesh": mesh, "extras": extras });
        Some(self.model.node(&marker.name, placing, more))
    }

    /// The point so far off on the sight line to a marker's foot, relative to the eye.
    fn on_sight_line(&self, marker: &Marker, distance: f64) -> Option<DVec3> {
        let ray = self.assessment.eye.eye.ray(marker.foot);
        let at = ray * (distance / ray.x.hypot(ray.z));
        at.is_finite().then_some(at)
    }

    /// From a marker's foot, relative to the eye, to where its head is as it is drawn, its span running
    /// exactly as is said of it. The ledger's size differs from that by what the other statements pull
    /// at it, but a staff has to cover what is painted.
    fn drawn(&self, marker: &Marker, foot: DVec3) -> Option<DVec3> {
        let eye = &self.assessment.eye;
        let head = eye.eye.ray(marker.head);
        let along = match marker.span {
            Span::Along(family) if family != Family::Upright => {
                eye.families.iter().find(|f| f.family == family)?.direction
            }
            // Both ends are equally far from the eye.
            Span::Facing => return Some(head * foot.length() - foot),
            _ => DVec3::Y,
        };
        // Where the plane through the eye that is square to the one through the span, and holds the
        // sight line to the head, cuts the span's line.
        let foot_depth = foot.length_squared() - foot.dot(along).powi(2);
        let head_depth = foot.dot(head) - foot.dot(along) * head.dot(along);
        let length = foot_depth / head_depth * head.dot(along) - foot.dot(along);
        let usable = length.is_finite() && length != 0.0 && length.abs() <= FARTHEST;
        usable.then(|| length * along)
    }

    /// The middle of the foot of a round thing, relative to the eye.
    fn round(&self, marker: &Marker, entry: &Entry, distance: f64) -> Option<DVec3> {
        let (sin, cos) = bearing(self.assessment, marker)?.sin_cos();
        Some(DVec3::new(distance * sin, entry.elevation?, -distance * cos))
    }

    fn staff(
        &mut self,
        name: &str,
        (dark, light): (&super::Triangles, &super::Triangles),
        colour: usize,
    ) -> usize {
        let white = self.shared_colour();
        self.model.mesh(name, &[(dark, colour), (light, white)])
    }

    /// What the light bands of staffs are painted with.
    fn shared_colour(&mut self) -> usize {
        let Self { model, shapes, .. } = self;
        *shapes
            .entry("light bands")
            .or_insert_with(|| model.colour("light bands", [0.95, 0.95, 0.95, 1.0]))
    }

    /// A marker is painted as it stands.
    fn colour(&mut self, standing: Standing, kept: bool) -> usize {
        let Self { model, colours, .. } = self;
        *colours.entry((standing, kept)).or_insert_with(|| {
            let [r, g, b, _] = standing_colour(standing, kept).0.map(|c| f64::from(c) / 255.0);
            // White bands would not be told from the light ones.
            let shade = if standing == Standing::Unchecked && !kept { 0.35 } else { 1.0 };
            let word = standing_word(standing);
            let name = if kept { format!("{word}, kept on purpose") } else { word.to_owned() };
            model.colour(&name, [shade * r, shade * g, shade * b, 1.0])
        })
    }

    fn stand_ins(&mut self) -> Vec<usize> {
        let mut nodes = Vec::new();
        for stand_in in &self.scene.stand_ins {
            match place_stand_in(self.scene, self.assessment, stand_in) {
                Ok(placement) => {
                    let many = placement.each.len() > 1;
                    for (number, placed) in placement.each.iter().enumerate() {
                        let name = if many {
                            format!("{} {}", stand_in.name, number + 1)
                        } else {
                            stand_in.name.clone()
                        };
                        if placed.distance() <= FARTHEST {
                            self.reach(stand_in.level, self.ground.world(placed.foot));
                            nodes.push(self.stand_in(&name, stand_in.id.0, placed));
                        }
                    }
                }
                Err(why) => self.left_out.push(format!("{} is left out: {why}.", stand_in.name)),
            }
        }
        nodes
    }

    fn stand_in(&mut self, name: &str, id: u32, placed: &Placed) -> usize {
        let at = Placing::at(self.ground.world(placed.foot));
        let turned = at.heading(placed.heading);
        let (shape, placing) = match placed.shape {
            Shape::Figure { height } => {
                let bearing = placed.foot.x.atan2(-placed.foot.z);
                let aside = placed.heading - bearing;
                let width = aside.cos().hypot(PROFILE * aside.sin());
                let scale = height * DVec3::new(width, 1.0, 1.0);
                ("figure", at.heading(bearing).scaled(scale))
            }
            Shape::Panel { width, height } => {
                ("panel", turned.scaled(DVec3::new(width, height, 1.0)))
            }
            Shape::Box { width, depth, height } => {
                ("box", turned.scaled(DVec3::new(width, height, depth)))
            }
            Shape::Cylinder { diameter, height } => {
                ("cylinder", turned.scaled(DVec3::new(diameter, height, diameter)))
            }
            Shape::Ramp { width, depth, height } => {
                ("ramp", turned.scaled(DVec3::new(width, height, depth)))
            }
        };
        self.count(placed.shape.word());
        self.farthest = self.farthest.max(placed.distance() + placed.shape.height());
        let mesh = self.shape(shape);
        let more =
            json!({ "mesh": mesh, "extras": { "kind": "stand-in", "id": id, "shape": shape } });
        self.model.node(name, placing, more)
    }

    /// A shape that stand-ins share.
    fn shape(&mut self, name: &'static str) -> usize {
        let ghost = {
            let Self { model, shapes, .. } = self;
            *shapes.entry("ghost").or_insert_with(|| model.colour("stand-ins", GHOST))
        };
        let Self { model, shapes, .. } = self;
        *shapes.entry(name).or_insert_with(|| {
            let triangles = match name {
                "figure" => shapes::figure(),
                "panel" => shapes::panel(),
                "box" => shapes::cube(),
                "cylinder" => shapes::cylinder(),
                _ => shapes::ramp(),
            };
            model.mesh(name, &[(&triangles, ghost)])
        })
    }

    /// Notes that a level reaches as far as this.
    fn reach(&mut self, level: LevelId, at: DVec3) {
        let (least, most) = self.reaches.entry(level).or_insert((at, at));
        (*least, *most) = (least.min(at), most.max(at));
    }

    /// Each level that is known in metres, as large as what it carries.
    fn levels(&mut self) -> Vec<usize> {
        let mut nodes = Vec::new();
        let mut floor = None;
        for level in &self.scene.levels {
            let Some(metres) = metres_over(self.assessment, level.id) else {
                let name = &level.name;
                self.left_out
                    .push(format!("Nothing says in metres how high {name} lies: it is left out."));
                continue;
            };
            let height = match level.side {
                Side::Below => self.ground.eye_height - metres,
                Side::Above => self.ground.eye_height + metres,
            };
            // What carries nothing is shown as far as it is deep, and some metres more.
            let ahead = DVec3::new(0.0, 0.0, -(5.0 * metres + 10.0));
            let (least, most) = self.reaches.get(&level.id).copied().unwrap_or((ahead, ahead));
            let room = 5.0 + 0.1 * (most - least).length();
            let size = most - least + 2.0 * room;
            let middle = (0.5 * (least + most)).with_y(height);
            let mesh = *floor.get_or_insert_with(|| {
                let colour = self.model.colour("levels", LEVEL);
                self.model.mesh("level", &[(&shapes::floor(), colour)])
            });
            let placing = Placing::at(middle).scaled(DVec3::new(size.x, 1.0, size.z));
            self.count("level");
            let is_ground = self.ground.level == Some(level.id);
            let extras = json!({
                "kind": "level", "id": level.id.0, "height": height, "origin": is_ground
            });
            let more = json!({ "mesh": mesh, "extras": extras });
            nodes.push(self.model.node(&level.name, placing, more));
        }
        nodes
    }
}

/// A value with its 95 % interval, metres; no upper end where it may be as far as the horizon.
fn interval(measure: Measure) -> Value {
    let high = Some(measure.high).filter(|high| high.is_finite());
    json!({ "value": measure.value, "low": measure.low, "high": high })
}
