//! The eye taken by hand: the edit that puts the horizon or a vanishing point where it was dropped.
//!
//! What a gesture is about is set by hand. The rest of the eye stays as it was read or assumed, unless
//! the lines would then move what was dropped: in that case it is held at its present value, too.

use crate::assess::eye_alone;
use crate::validate::{ANGLE_OF_VIEW, CANT, PITCH, SLOPE};
use crate::{
    Block, BlockId, Edit, EyeByHand, EyeReading, Family, Incline, InclineId, PrincipalPoint, Scene,
    apply, family_name,
};
use glam::{DVec2, DVec3};
use staffage_solver::Eye;

/// Part of the eye's picture, and the picture point that it is pulled to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pull {
    /// The horizon through this point, as canted as it is: sets the pitch.
    Lift(DVec2),
    /// The horizon through this point, turned about the optical axis: sets the cant.
    Cant(DVec2),
    /// A vanishing point to here. One of level lines stays on the horizon as it is: sets the heading.
    /// One of an incline: sets heading and slope. The zenith or nadir: sets pitch and cant.
    Slide(Family, DVec2),
    /// The same, but one of level lines takes the horizon along: sets the pitch, too.
    Take(Family, DVec2),
    /// A vanishing point along the horizon while the other one of its block stays; the zenith or nadir
    /// along plumb while the horizon stays: sets the lens, with pitch and heading following.
    Stretch(Family, DVec2),
}

/// How near to where it was dropped a thing has to be, frame widths: a hundredth of a pixel at 10,000.
const EXACT: f64 = 1e-6;

/// What a pull sets by hand.
struct Set {
    eye: Eye,
    lens: bool,
    pitch: bool,
    cant: bool,
    block: Option<(BlockId, f64)>,
    incline: Option<(InclineId, [Option<f64>; 2])>,
}

impl Set {
    fn of(eye: Eye) -> Self {
        Self { eye, lens: false, pitch: false, cant: false, block: None, incline: None }
    }

    /// With the heading at which the lines of a level family vanish at a point.
    fn headed(self, family: Family, at: DVec2) -> Option<Self> {
        let heading = self.eye.heading_at(at).to_degrees();
        match family {
            Family::RecedingRight(id) => Some(Self { block: Some((id, heading)), ..self }),
            // Within a quarter turn, like a heading that is read.
            Family::RecedingLeft(id) => {
                let square = if heading > 0.0 { heading - 90.0 } else { heading + 90.0 };
                Some(Self { block: Some((id, square)), ..self })
            }
            Family::Run(id) => Some(Self { incline: Some((id, [Some(heading), None])), ..self }),
            Family::Upright | Family::Incline(_) => None,
        }
    }

    fn edits(&self, scene: &Scene, everything: bool) -> Vec<Edit> {
        let mut edits = vec![Edit::SetEye(self.by_hand(scene.eye, everything))];
        if let Some((id, heading)) = self.block
            && let Some(block) = scene.block(id)
        {
            edits.push(Edit::PutBlock(Block { heading: Some(heading), ..block.clone() }));
        }
        if let Some((id, [heading, slope])) = self.incline
            && let Some(incline) = scene.incline(id)
        {
            let slope = slope.map(|s| s.clamp(*SLOPE.start(), *SLOPE.end())).or(incline.slope);
            edits.push(Edit::PutIncline(Incline { heading, slope, ..incline.clone() }));
        }
        edits
    }

    fn by_hand(&self, was: EyeByHand, everything: bool) -> EyeByHand {
        let set = |chosen: bool, radians: f64, was: Option<f64>| {
            if chosen || everything { Some(radians.to_degrees()) } else { was }
        };
        EyeByHand {
            angle_of_view: set(self.lens, self.eye.angle_of_view(), was.angle_of_view),
            pitch: set(self.pitch, self.eye.pitch, was.pitch)
                .map(|p| p.clamp(*PITCH.start(), *PITCH.end())),
            horizon_placed: was.horizon_placed || self.pitch || everything,
            cant: set(self.cant, self.eye.cant, was.cant)
                .map(|c| c.clamp(*CANT.start(), *CANT.end())),
            principal: match was.principal {
                PrincipalPoint::Free if everything => PrincipalPoint::At(self.eye.principal),
                said => said,
            },
            ..was
        }
    }
}

/// The edit that pulls the horizon or a vanishing point to a place, given the eye as it is read before;
/// `None` where no eye has it there.
#[must_use]
pub fn pulled(scene: &Scene, reading: &EyeReading, pull: Pull) -> Option<Edit> {
    let set = set(reading, pull)?;
    if !ANGLE_OF_VIEW.contains(&set.eye.angle_of_view().to_degrees()) {
        return None;
    }
    let label = label(scene, &reading.eye, &set.eye, pull);
    let several =
        |everything| Edit::Several { label: label.clone(), edits: set.edits(scene, everything) };
    let lightly = several(false);
    // A traced horizon speaks against any other.
    let stays = scene.horizon.is_none()
        && apply(scene, &lightly).is_ok_and(|after| is_there(&eye_alone(&after), &set.eye, pull));
    Some(if stays { lightly } else { several(true) })
}

fn set(reading: &EyeReading, pull: Pull) -> Option<Set> {
    let eye = reading.eye;
    match pull {
        Pull::Lift(at) => Some(Set { pitch: true, ..Set::of(eye.pitched_to(at)) }),
        Pull::Cant(at) => Some(Set { cant: true, ..Set::of(eye.canted_to(at)?) }),
        Pull::Slide(Family::Upright, at) | Pull::Take(Family::Upright, at) => {
            Some(Set { pitch: true, cant: true, ..Set::of(eye.with_plumb_point(at)?) })
        }
        Pull::Slide(Family::Incline(id), at) | Pull::Take(Family::Incline(id), at) => {
            let angles = eye.heading_and_slope_at(at).map(|a| Some(a.to_degrees()));
            Some(Set { incline: Some((id, angles)), ..Set::of(eye) })
        }
        Pull::Slide(family, at) => Set::of(eye).headed(family, eye.nearest_on_horizon(at)),
        Pull::Take(family, at) => {
            Set { pitch: true, ..Set::of(eye.pitched_to(at)) }.headed(family, at)
        }
        Pull::Stretch(Family::Upright, at) => {
            let eye = eye.with_plumb_point_and_horizon(at)?;
            Some(Set { lens: true, pitch: true, ..Set::of(eye) })
        }
        Pull::Stretch(family, at) => {
            let at = eye.nearest_on_horizon(at);
            let other = finite(vanishing_point(reading, partner(family)?)?)?;
            let eye = eye.with_square_points(at, other)?;
            Set { lens: true, pitch: true, ..Set::of(eye) }.headed(family, at)
        }
    }
}

/// The family square to this one in its block.
fn partner(family: Family) -> Option<Family> {
    match family {
        Family::RecedingRight(id) => Some(Family::RecedingLeft(id)),
        Family::RecedingLeft(id) => Some(Family::RecedingRight(id)),
        Family::Upright | Family::Incline(_) | Family::Run(_) => None,
    }
}

fn vanishing_point(reading: &EyeReading, family: Family) -> Option<DVec3> {
    reading.families.iter().find(|f| f.family == family).map(|f| f.vanishing_point)
}

fn finite(point: DVec3) -> Option<DVec2> {
    let at = point.truncate() / point.z;
    at.is_finite().then_some(at)
}

/// Whether the eye as it is read has its horizon and the vanishing point where they were pulled to.
fn is_there(reading: &EyeReading, wanted: &Eye, pull: Pull) -> bool {
    let near = |a: DVec3, b: DVec3| (a - b).length() < EXACT;
    let (horizon, wanted) = (reading.eye.horizon(), wanted.horizon());
    if !near(horizon, wanted) {
        return false;
    }
    let (family, at) = match pull {
        Pull::Lift(_) | Pull::Cant(_) => return true,
        Pull::Slide(Family::Upright | Family::Incline(_), _) => return true,
        Pull::Slide(family, at) | Pull::Stretch(family, at) => {
            (family, reading.eye.nearest_on_horizon(at))
        }
        Pull::Take(family, at) => (family, at),
    };
    let point = vanishing_point(reading, family).and_then(finite);
    point.is_some_and(|point| (point - at).length() < EXACT * (1.0 + at.length()))
}

fn label(scene: &Scene, before: &Eye, after: &Eye, pull: Pull) -> String {
    match pull {
        Pull::Lift(at) => {
            let was_over = before.horizon().dot(at.extend(1.0)) <= 0.0;
            if was_over { "Raise the horizon".into() } else { "Lower the horizon".into() }
        }
        Pull::Cant(_) => "Cant the horizon".into(),
        Pull::Slide(Family::Upright, _) | Pull::Take(Family::Upright, _) => {
            format!("Move the {} point", if after.pitch > 0.0 { "zenith" } else { "nadir" })
        }
        Pull::Slide(family, _) | Pull::Take(family, _) => {
            format!("Slide the vanishing point of {}", family_name(scene, family))
        }
        Pull::Stretch(..) => "Change the lens by a vanishing point".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Line, LineId, Segment, assess};
    use staffage_solver::Source;

    const RIGHT: Family = Family::RecedingRight(BlockId(1));
    const LEFT: Family = Family::RecedingLeft(BlockId(1));

    /// Edges of a block seen by a canted eye that looks up, so that lines fix all of it.
    fn traced() -> Scene {
        let eye = Eye { focal: 0.9, pitch: 0.15, cant: 0.1, principal: DVec2::ZERO };
        let seen = |x, y, z| eye.project(DVec3::new(x, y, z)).unwrap();
        let edges = [
            (Family::Upright, seen(-8., -2., -16.), seen(-8., 6., -16.)),
            (Family::Upright, seen(3., -2., -20.), seen(3., 7., -20.)),
            (RIGHT, seen(-6., -1.8, -14.), seen(0., -1.8, -24.)),
            (RIGHT, seen(-7., 4., -18.), seen(-1., 4., -28.)),
            (LEFT, seen(6., -1.8, -14.), seen(-4., -1.8, -20.)),
            (LEFT, seen(9., 3., -18.), seen(-1., 3., -24.)),
        ];
        let line =
            |(k, (family, a, b))| Line { id: LineId(k as u32 + 1), family, segment: Segment(a, b) };
        Scene { lines: edges.into_iter().enumerate().map(line).collect(), ..Scene::default() }
    }

    fn after(scene: &Scene, pull: Pull) -> (Scene, EyeReading, String) {
        let edit = pulled(scene, &assess(scene).eye, pull).expect("there is such an eye");
        let after = apply(scene, &edit).expect("a sound scene");
        let reading = assess(&after).eye;
        (after, reading, edit.label(scene))
    }

    fn at(reading: &EyeReading, family: Family) -> DVec2 {
        finite(vanishing_point(reading, family).expect("a family of the scene")).expect("finite")
    }

    fn assert_through(reading: &EyeReading, at: DVec2) {
        let off = reading.eye.horizon().dot(at.extend(1.0));
        assert!(off.abs() < EXACT, "{off}");
    }

    fn assert_square(reading: &EyeReading) {
        let eye = reading.eye;
        let points = [RIGHT, LEFT, Family::Upright].map(|f| eye.ray(at(reading, f)));
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            assert!(points[a].dot(points[b]).abs() < 1e-6, "{points:?}");
        }
    }

    #[test]
    fn on_a_blank_frame_only_what_was_pulled_is_set_by_hand() {
        let to = DVec2::new(0.2, 0.1);
        let (scene, reading, label) = after(&Scene::default(), Pull::Lift(to));
        assert_through(&reading, to);
        assert_eq!(label, "Lower the horizon");
        assert_eq!((scene.eye.angle_of_view, scene.eye.cant), (None, None));
        assert_eq!(reading.pitch.source, Source::ByHand);
    }

    #[test]
    fn against_the_lines_the_rest_of_the_eye_is_held_so_that_the_horizon_stays_where_it_was_put() {
        for pull in [Pull::Lift(DVec2::new(0.2, 0.0)), Pull::Cant(DVec2::new(0.5, 0.2))] {
            let before = assess(&traced()).eye;
            let (scene, reading, _) = after(&traced(), pull);
            let (Pull::Lift(to) | Pull::Cant(to)) = pull else { unreachable!() };
            assert_through(&reading, to);
            assert!(scene.eye.angle_of_view.is_some() && scene.eye.cant.is_some());
            assert!((reading.eye.focal - before.eye.focal).abs() < EXACT);
            assert_square(&reading);
        }
    }

    #[test]
    fn a_vanishing_point_is_where_it_was_dropped_and_the_three_stay_square() {
        for (family, to) in [
            (RIGHT, DVec2::new(0.8, -0.3)),
            (RIGHT, DVec2::new(0.1, 0.05)),
            (LEFT, DVec2::new(-3.0, 0.4)),
            (Family::Upright, DVec2::new(0.3, -2.0)),
            (Family::Upright, DVec2::new(0.3, 2.0)),
        ] {
            for scene in [Scene::default(), traced()] {
                let (_, reading, _) = after(&scene, Pull::Take(family, to));
                let off = (at(&reading, family) - to).length();
                assert!(off < EXACT * (1.0 + to.length()), "{family:?} {to} {off}");
                assert_square(&reading);
            }
        }
    }

    #[test]
    fn a_vanishing_point_slides_along_the_horizon_as_it_is() {
        for scene in [Scene::default(), traced()] {
            let before = assess(&scene).eye.eye;
            let to = DVec2::new(0.7, -0.2);
            let (after, reading, label) = after(&scene, Pull::Slide(RIGHT, to));
            let on = before.nearest_on_horizon(to);
            assert!((at(&reading, RIGHT) - on).length() < EXACT);
            assert!((reading.eye.horizon() - before.horizon()).length() < EXACT);
            assert!(after.blocks[0].heading.is_some());
            assert_eq!(label, "Slide the vanishing point of receding right");
        }
    }

    #[test]
    fn stretching_keeps_the_other_point_and_the_horizon_and_changes_the_lens() {
        let before = assess(&traced()).eye;
        let to = before.eye.nearest_on_horizon(1.2 * at(&before, RIGHT));
        let (_, reading, _) = after(&traced(), Pull::Stretch(RIGHT, to));
        assert!((at(&reading, RIGHT) - to).length() < EXACT * 3.0);
        assert!((at(&reading, LEFT) - at(&before, LEFT)).length() < EXACT * 3.0);
        assert!(reading.eye.focal > before.eye.focal);
        assert_square(&reading);
        let plumb = 1.2 * at(&before, Family::Upright);
        let (_, reading, _) = after(&traced(), Pull::Stretch(Family::Upright, plumb));
        assert!((at(&reading, Family::Upright) - plumb).length() < EXACT * 10.0);
        assert!((reading.eye.horizon() - before.eye.horizon()).length() < EXACT);
    }

    #[test]
    fn both_points_of_a_block_on_one_side_are_no_eye() {
        let before = assess(&traced()).eye;
        let beyond = at(&before, LEFT) * 0.5;
        assert_eq!(pulled(&traced(), &before, Pull::Stretch(RIGHT, beyond)), None);
    }

    #[test]
    fn the_vanishing_point_of_an_incline_sets_its_heading_and_slope() {
        let mut scene = traced();
        scene.inclines.push(Incline::new(InclineId(1), "ramp"));
        let (ramp, to) = (Family::Incline(InclineId(1)), DVec2::new(0.4, -0.6));
        let (after, reading, _) = after(&scene, Pull::Slide(ramp, to));
        assert!((at(&reading, ramp) - to).length() < EXACT);
        assert!(after.inclines[0].heading.is_some() && after.inclines[0].slope.is_some());
        assert_eq!(after.eye, scene.eye, "the eye is not touched");
    }

    #[test]
    fn a_free_principal_point_is_held_where_the_lines_would_move_it() {
        let mut scene = traced();
        scene.eye.principal = PrincipalPoint::Free;
        let (after, reading, _) = after(&scene, Pull::Lift(DVec2::new(0.1, 0.3)));
        assert_through(&reading, DVec2::new(0.1, 0.3));
        assert!(matches!(after.eye.principal, PrincipalPoint::At(_)));
    }
}
