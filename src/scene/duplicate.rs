//! Copies of things, set a little aside.

use crate::{
    Assessment, Edit, Guide, GuideId, Line, LineId, Marker, MarkerId, Scene, Segment, Span,
    StandIn, StandInId, Stands, Subject, place_stand_in,
};
use glam::{DVec2, DVec3};
use staffage_solver::Eye;
use std::collections::HashSet;

/// How far aside a copied line lies, picture units: beside its pattern, not over it.
const LINE_ASIDE: DVec2 = DVec2::new(0.012, 0.012);
/// How far aside the first of the copied markers stands, in its own size in the picture, and at least
/// and at most in picture units: clear of its pattern, and near it.
const MARKER_ASIDE: (f64, f64, f64) = (0.4, 0.02, 0.08);

/// Copies of these lines, markers, stand-ins and guides, set aside, with the subjects that the copies are. A marker goes
/// round the eye on its own level, so that it is as far off and as large as its pattern; one that runs
/// along a family or is tied by a shadow is carried there without turning, and so is a stand-in. A line
/// or a guide moves a little to the right and down.
///
/// A copy keeps what is known of its pattern, and is named after it: "Foreman 2". What it stands on top
/// of is the copy of that where that is copied, too. Overlaps and reasons for contradictions are not
/// copied. `None` where nothing among them can be.
#[must_use]
pub fn duplicated(
    scene: &Scene,
    assessment: &Assessment,
    about: &[Subject],
) -> Option<(Edit, Vec<Subject>)> {
    let markers: Vec<&Marker> = about
        .iter()
        .filter_map(|s| if let Subject::Marker(id) = *s { scene.marker(id) } else { None })
        .collect();
    let lines =
        about.iter().filter_map(|s| if let Subject::Line(id) = *s { scene.line(id) } else { None });
    let stand_ins: Vec<&StandIn> = about
        .iter()
        .filter_map(|s| if let Subject::StandIn(id) = *s { scene.stand_in(id) } else { None })
        .collect();
    let guides = about
        .iter()
        .filter_map(|s| if let Subject::Guide(id) = *s { scene.guide(id) } else { None });
    let mut free = Free::of(scene);
    let ids: Vec<(MarkerId, MarkerId)> = markers.iter().map(|m| (m.id, free.marker())).collect();
    let uprights = markers.iter().map(|m| [m.foot, m.head]);
    let bodies = stand_ins.iter().map(|s| body(scene, assessment, s));
    let aside = Aside::of(assessment, &uprights.chain(bodies).collect::<Vec<_>>());
    let mut copies = Vec::new();
    let mut edits = Vec::new();
    for (marker, (_, id)) in markers.iter().zip(&ids) {
        let mut copy = aside.moved(marker);
        copy.id = *id;
        copy.name = free.name(&marker.name);
        if let Stands::OnTop(base) = copy.stands {
            let copied = ids.iter().find(|(pattern, _)| *pattern == base);
            copy.stands = Stands::OnTop(copied.map_or(base, |(_, copy)| *copy));
        }
        copies.push(Subject::Marker(copy.id));
        edits.push(Edit::PutMarker(copy));
    }
    for line in lines {
        let Segment(a, b) = line.segment;
        let id = free.line();
        let segment = Segment(a + LINE_ASIDE, b + LINE_ASIDE);
        copies.push(Subject::Line(id));
        edits.push(Edit::PutLine(Line { id, segment, ..*line }));
    }
    for stand_in in stand_ins {
        let mut copy = aside.moved_stand_in(stand_in);
        copy.id = free.stand_in();
        copy.name = free.name(&stand_in.name);
        copies.push(Subject::StandIn(copy.id));
        edits.push(Edit::PutStandIn(copy));
    }
    for guide in guides {
        let id = free.guide();
        let name = if guide.name.is_empty() { String::new() } else { free.name(&guide.name) };
        copies.push(Subject::Guide(id));
        edits.push(Edit::PutGuide(Guide { id, name, shape: guide.shape.moved(LINE_ASIDE) }));
    }
    let label = match (&copies[..], about) {
        ([], _) => return None,
        ([Subject::Line(_)], _) => "Duplicate a line".into(),
        ([_], [only]) => format!("Duplicate {}", crate::subject_name(scene, *only)),
        (many, _) => format!("Duplicate {} things", many.len()),
    };
    Some((Edit::Several { label, edits }, copies))
}

/// Where a stand-in is seen: its foot, and the top of (the first of) it; twice its foot where it cannot
/// stand.
fn body(scene: &Scene, assessment: &Assessment, stand_in: &StandIn) -> [DVec2; 2] {
    let placed = place_stand_in(scene, assessment, stand_in).ok();
    let head = placed.as_ref().and_then(|p| p.each.first()).map(crate::Placed::head);
    let head = head.and_then(|head| assessment.eye.eye.project(head));
    [stand_in.foot, head.unwrap_or(stand_in.foot)]
}

/// The name with the next number that no stand-in or marker has yet: "adult", "adult 2", "adult 3".
#[must_use]
pub fn free_name(scene: &Scene, name: &str) -> String {
    let mut free = Free::of(scene);
    if free.names.contains(name) { free.name(name) } else { name.to_owned() }
}

/// Ids and names that nothing has yet.
struct Free {
    marker: u32,
    line: u32,
    stand_in: u32,
    guide: u32,
    markers: HashSet<u32>,
    lines: HashSet<u32>,
    stand_ins: HashSet<u32>,
    guides: HashSet<u32>,
    names: HashSet<String>,
}

impl Free {
    fn of(scene: &Scene) -> Self {
        Self {
            marker: scene.next_marker_id().0,
            line: scene.next_line_id().0,
            stand_in: scene.next_stand_in_id().0,
            guide: scene.next_guide_id().0,
            stand_ins: scene.stand_ins.iter().map(|s| s.id.0).collect(),
            guides: scene.guides.iter().map(|g| g.id.0).collect(),
            markers: scene.markers.iter().map(|m| m.id.0).collect(),
            lines: scene.lines.iter().map(|l| l.id.0).collect(),
            names: names(scene),
        }
    }

    fn marker(&mut self) -> MarkerId {
        MarkerId(next(&mut self.marker, &mut self.markers))
    }

    fn line(&mut self) -> LineId {
        LineId(next(&mut self.line, &mut self.lines))
    }

    fn stand_in(&mut self) -> StandInId {
        StandInId(next(&mut self.stand_in, &mut self.stand_ins))
    }

    fn guide(&mut self) -> GuideId {
        GuideId(next(&mut self.guide, &mut self.guides))
    }

    /// The name with the next number that is free: "Foreman" is followed by "Foreman 2".
    fn name(&mut self, of: &str) -> String {
        let (stem, number) = match of.rsplit_once(' ') {
            Some((stem, number)) => match number.parse::<u32>() {
                Ok(number) if !stem.is_empty() => (stem, number),
                _ => (of, 1),
            },
            None => (of, 1),
        };
        let numbers = (1..).map(|k: u64| u64::from(number) + k);
        let mut names = numbers.map(|number| format!("{stem} {number}"));
        let name = names.find(|name| !self.names.contains(name)).unwrap_or_default();
        self.names.insert(name.clone());
        name
    }
}

fn names(scene: &Scene) -> HashSet<String> {
    let markers = scene.markers.iter().map(|m| &m.name);
    let stand_ins = scene.stand_ins.iter().map(|s| &s.name);
    let guides = scene.guides.iter().map(|g| &g.name);
    markers.chain(stand_ins).chain(guides).cloned().collect()
}

/// The first free number from here on, around after the largest.
fn next(from: &mut u32, taken: &mut HashSet<u32>) -> u32 {
    while taken.contains(from) || *from == 0 {
        *from = from.wrapping_add(1);
    }
    taken.insert(*from);
    *from
}

/// Where copied markers and stand-ins go.
struct Aside<'a> {
    eye: Eye,
    assessment: &'a Assessment,
    /// By how much they go round the eye, radians, to the right positive.
    angle: f64,
    /// Where that cannot be seen, picture units.
    plain: DVec2,
}

impl<'a> Aside<'a> {
    /// All go the same way, so that a group keeps its shape: to the right by what sets the first clear of
    /// itself; to the left where the frame ends.
    fn of(assessment: &'a Assessment, spans: &[[DVec2; 2]]) -> Self {
        let eye = assessment.eye.eye;
        let (share, least, most) = MARKER_ASIDE;
        let first = spans.first();
        let size = first.map_or(0.0, |[foot, head]| share * foot.distance(*head));
        let size = size.clamp(least, most);
        let right = spans.iter().flatten().map(|at| at.x).fold(f64::MIN, f64::max);
        let left = spans.iter().flatten().map(|at| at.x).fold(f64::MAX, f64::min);
        let room = right + size <= 0.5 || left - size < -0.5;
        let way = if room { size } else { -size };
        let rate = first.and_then(|[foot, _]| pace(&eye, *foot)).unwrap_or(0.0);
        let angle = if rate.abs() > 1e-3 { (way / rate).clamp(-0.5, 0.5) } else { 0.0 };
        let plain = level(&eye) * way;
        Self { eye, assessment, angle, plain }
    }

    /// Carried over its level with all that it reaches to, without turning.
    fn moved_stand_in(&self, stand_in: &StandIn) -> StandIn {
        let on_level = |at: DVec2| {
            let ray = self.eye.ray(at);
            let place = ray / ray.y.abs();
            place.is_finite().then_some(place)
        };
        let carried = || {
            let foot = on_level(stand_in.foot)?;
            let by = about_plumb(foot, self.angle) - foot;
            let put = |at| self.eye.project(on_level(at)? + by).filter(|at| at.is_finite());
            let arranged = match stand_in.arranged.to() {
                Some(to) => stand_in.arranged.reaching(put(to)?),
                None => stand_in.arranged,
            };
            Some(StandIn { foot: put(stand_in.foot)?, arranged, ..stand_in.clone() })
        };
        let carried = if self.angle == 0.0 { None } else { carried() };
        carried.unwrap_or_else(|| stand_in.moved(self.plain))
    }

    fn moved(&self, marker: &Marker) -> Marker {
        self.round_the_eye(marker).unwrap_or_else(|| {
            let mut copy = marker.clone();
            copy.foot += self.plain;
            copy.head += self.plain;
            if let Some(tie) = copy.stands.tie() {
                copy.stands = copy.stands.tied_at(tie + self.plain);
            }
            copy
        })
    }

    fn round_the_eye(&self, marker: &Marker) -> Option<Marker> {
        if self.angle == 0.0 {
            return None;
        }
        let tie = marker.stands.tie();
        let carried =
            matches!(marker.span, Span::Along(_)) || matches!(marker.stands, Stands::Shadow { .. });
        let put = |at: DVec2| {
            if carried { self.carried(marker, at) } else { self.turned(at) }
        };
        let mut copy = marker.clone();
        copy.foot = self.turned(marker.foot)?;
        copy.head = put(marker.head)?;
        if let Some(tie) = tie {
            copy.stands = marker.stands.tied_at(put(tie)?);
        }
        Some(copy)
    }

    /// Where a point goes as the world turns about the plumb line through the eye.
    fn turned(&self, at: DVec2) -> Option<DVec2> {
        self.eye.project(about_plumb(self.eye.ray(at), self.angle))
    }

    /// Where a point of the marker goes as its foot is carried to where it would turn to.
    fn carried(&self, marker: &Marker, at: DVec2) -> Option<DVec2> {
        let foot = self.eye.ray(marker.foot);
        let by = about_plumb(foot, self.angle) - foot;
        let ray = self.eye.ray(at);
        let along = self.leading_from_foot(marker, at)?;
        self.eye.project(nearest(ray, foot, along)? + by)
    }

    /// The direction in the world in which a point of the marker lies from its foot.
    fn leading_from_foot(&self, marker: &Marker, at: DVec2) -> Option<DVec3> {
        let families = &self.assessment.eye.families;
        let direction = |family| families.iter().find(|f| f.family == family).map(|f| f.direction);
        let is_tie = marker.stands.tie() == Some(at);
        match (marker.stands, marker.span) {
            (Stands::Shadow { light, .. }, _) if is_tie => direction(crate::Family::Incline(light)),
            (_, _) if is_tie => Some(DVec3::Y),
            (_, Span::Along(family)) => direction(family),
            (_, Span::Upright) => Some(DVec3::Y),
            // Square to the line of sight.
            (_, Span::Facing | Span::Cylinder | Span::Ball) => {
                self.eye.ray(marker.foot).cross(DVec3::Y).try_normalize()
            }
        }
    }
}

/// By how much a point moves in the picture, to the right, as the world turns about the plumb line
/// through the eye, picture units per radian.
fn pace(eye: &Eye, at: DVec2) -> Option<f64> {
    const SMALL: f64 = 1e-4;
    let after = eye.project(about_plumb(eye.ray(at), SMALL))?;
    let moved = (after - at) / SMALL;
    let rate = moved.length().copysign(moved.x);
    rate.is_finite().then_some(rate)
}

/// The direction of the horizon in the picture, to the right.
fn level(eye: &Eye) -> DVec2 {
    let horizon = eye.horizon();
    DVec2::new(horizon.y, -horizon.x).try_normalize().unwrap_or(DVec2::X)
}

/// Turned about the plumb axis, to the right positive.
fn about_plumb(at: DVec3, angle: f64) -> DVec3 {
    let (s, c) = angle.sin_cos();
    DVec3::new(c * at.x - s * at.z, at.y, s * at.x + c * at.z)
}

/// The point on a ray from the eye that is nearest to a line; `None` where that is behind the eye or
/// the two are parallel.
fn nearest(ray: DVec3, from: DVec3, along: DVec3) -> Option<DVec3> {
    let dot = ray.dot(along);
    let parallel = 1.0 - dot * dot;
    let far = (from.dot(ray) - from.dot(along) * dot) / parallel;
    (parallel > 1e-12 && far > 0.0 && far.is_finite()).then_some(far * ray)
}
