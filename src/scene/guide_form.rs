//! Where the guides of a scene are in it: each as the assessment puts it before the eye.

use crate::guide::{Climb, Division, Flight, Guide, GuideShape, Plane, Reach, Round, Steps};
use crate::{Assessment, Family, LevelId, Scene, Side, Unit};
use glam::{DVec2, DVec3};
use staffage_solver::{Circle, Ruled, carried_to};

/// Height of the eye over a level that nothing fixes in metres, metres (common practice: a standing
/// adult's).
pub const ASSUMED_EYE_HEIGHT: f64 = 1.6;

/// A guide as it lies before the eye.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// Equal steps.
    Steps(SteppedForm),
    /// A flight of stairs or a ramp.
    Flight(FlightForm),
    /// A circle or a cylinder.
    Round(RoundForm),
}

/// Equal steps as they are seen.
#[derive(Clone, Debug, PartialEq)]
pub struct SteppedForm {
    /// Each place, homogeneous picture coordinates of one scale, with its rank: 0 for the ends and for
    /// all equal steps, else after how many halvings it comes.
    pub places: Vec<(DVec3, u32)>,
    /// From a place to the far end of its post, in the same coordinates.
    pub post: Option<DVec3>,
}

/// A flight before the eye.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlightForm {
    /// The middle of its lowest edge relative to the eye, metres, world axes.
    pub foot: DVec3,
    /// Unit direction in which it climbs, level.
    pub along: DVec3,
    /// Unit direction to its side, level.
    pub across: DVec3,
    /// Its width, metres.
    pub width: f64,
    /// How it climbs.
    pub climb: Climb,
    /// Whether the eye's height over its level is only assumed.
    pub assumed: bool,
}

/// A circle or a cylinder before the eye.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundForm {
    /// The circle, in a scale in which its centre is one unit from the eye.
    pub circle: Circle,
    /// The other end of the cylinder.
    pub far: Option<Circle>,
    /// How many metres that unit is, if its level says so.
    pub metres: Option<f64>,
    /// Whether the eye's height over its level is only assumed.
    pub assumed: bool,
}

impl FlightForm {
    /// A place of it relative to the eye: so far along, up and to the side of its middle, metres.
    #[must_use]
    pub fn place(&self, along: f64, up: f64, side: f64) -> DVec3 {
        self.foot + along * self.along + up * DVec3::Y + side * self.across
    }

    /// How far it runs in plan and how high it climbs, metres.
    #[must_use]
    pub fn extent(&self) -> (f64, f64) {
        match self.climb {
            Climb::Stairs { riser, tread, count } => {
                (f64::from(count) * tread, f64::from(count) * riser)
            }
            Climb::Ramp { slope, run } => (run, run * slope.to_radians().tan()),
        }
    }
}

impl RoundForm {
    /// Its radius, metres.
    #[must_use]
    pub fn radius(&self) -> Option<f64> {
        self.metres.map(|metres| metres * self.circle.radius())
    }

    /// How far its other end is carried, metres.
    #[must_use]
    pub fn carried(&self) -> Option<f64> {
        Some(self.metres? * self.far?.centre.distance(self.circle.centre))
    }
}

/// Where a guide is; `None` where it cannot be: a circle on the ground above the horizon, steps that end
/// beyond their vanishing point.
#[must_use]
pub fn guide_form(scene: &Scene, assessment: &Assessment, guide: &Guide) -> Option<Form> {
    match &guide.shape {
        GuideShape::Steps(steps) => stepped(assessment, steps).map(Form::Steps),
        GuideShape::Flight(flight) => on_its_level(scene, assessment, flight).map(Form::Flight),
        GuideShape::Round(round) => rounded(scene, assessment, round).map(Form::Round),
    }
}

fn direction(assessment: &Assessment, family: Family) -> Option<DVec3> {
    if family == Family::Upright {
        return Some(DVec3::Y);
    }
    let families = &assessment.eye.families;
    families.iter().find(|reading| reading.family == family).map(|reading| reading.direction)
}

/// Where the lines of a family vanish, homogeneous.
fn vanishing_point(assessment: &Assessment, family: Family) -> Option<DVec3> {
    direction(assessment, family).map(|along| assessment.eye.eye.image(along))
}

fn stepped(assessment: &Assessment, steps: &Steps) -> Option<SteppedForm> {
    let ruled = Ruled::new(steps.from, steps.to, vanishing_point(assessment, steps.family)?)?;
    let parts = steps.division.parts();
    let places = (0..=parts).map(|n| {
        let (along, rank) = match steps.division {
            Division::Repeat(_) => (f64::from(n), 0),
            Division::Parts(_) => (f64::from(n) / f64::from(parts), 0),
            Division::Halve(times) => {
                let rank = times.saturating_sub(n.trailing_zeros().min(times));
                (f64::from(n) / f64::from(parts), rank)
            }
        };
        (ruled.at(along), rank)
    });
    let post = steps.post.and_then(|post| {
        let vanishing = vanishing_point(assessment, post.family)?;
        Ruled::new(steps.from, post.top, vanishing).map(|post| post.step)
    });
    Some(SteppedForm { places: places.collect(), post })
}

/// Height of a level over the eye's own, metres, and whether it is only assumed. Where no level is said
/// it is the one on whose side of the horizon the point lies.
fn height(
    scene: &Scene,
    assessment: &Assessment,
    level: Option<LevelId>,
    at: DVec2,
) -> (f64, bool) {
    let side = match level.and_then(|id| scene.level(id)) {
        Some(level) => level.side,
        None if assessment.eye.eye.ray(at).y > 0.0 => Side::Above,
        None => Side::Below,
    };
    let reading = assessment.levels.iter().find(|reading| Some(reading.id) == level);
    let known = reading.filter(|r| r.unit == Unit::Metres).and_then(|r| r.clearance);
    let clearance = known.map_or(ASSUMED_EYE_HEIGHT, |measure| measure.value);
    let up = match side {
        Side::Below => -clearance,
        Side::Above => clearance,
    };
    (up, known.is_none())
}

fn on_its_level(scene: &Scene, assessment: &Assessment, flight: &Flight) -> Option<FlightForm> {
    let (up, assumed) = height(scene, assessment, flight.level, flight.foot);
    let sight = assessment.eye.eye.ray(flight.foot);
    let foot = ahead(up / sight.y)? * sight;
    let along = direction(assessment, flight.along)?;
    let along = if (along.z > 0.0) == flight.towards { along } else { -along };
    let along = DVec3::new(along.x, 0.0, along.z).try_normalize()?;
    let across = along.cross(DVec3::Y);
    Some(FlightForm { foot, along, across, width: flight.width, climb: flight.climb, assumed })
}

fn rounded(scene: &Scene, assessment: &Assessment, round: &Round) -> Option<RoundForm> {
    let eye = &assessment.eye.eye;
    let sight = eye.ray(round.centre);
    let normal = normal(assessment, round.plane, sight)?;
    let (up, assumed) = height(scene, assessment, round.level, round.centre);
    // How far its lowest point lies below its centre, in radii: what it stands on touches it there.
    let below = match round.plane {
        Plane::Level => 0.0,
        Plane::Upright(_) => 1.0,
        Plane::Facing => sight.x.hypot(sight.z),
    } * -up.signum();
    let (circle, metres) = match round.radius {
        Reach::To(rim) => {
            let circle = Circle::through(eye, round.centre, rim, normal)?;
            (circle, ahead(up / (sight.y - below * circle.radius())))
        }
        Reach::Metres(radius) => {
            let metres = ahead((up + below * radius) / sight.y)?;
            (Circle::new(sight, normal, radius / metres)?, Some(metres))
        }
    };
    let far = round.carried.filter(|_| round.plane != Plane::Facing).and_then(|reach| {
        let by = match reach {
            Reach::To(at) => carried_to(eye, circle.centre, normal, at)?,
            Reach::Metres(by) => by / metres?,
        };
        Some(circle.moved(by * normal))
    });
    Some(RoundForm { circle, far, metres, assumed })
}

/// Unit normal of the plane: up for a level one, away from the eye for the others.
fn normal(assessment: &Assessment, plane: Plane, sight: DVec3) -> Option<DVec3> {
    match plane {
        Plane::Level => Some(DVec3::Y),
        Plane::Upright(family) => {
            let normal = direction(assessment, family)?.cross(DVec3::Y).try_normalize()?;
            Some(if normal.dot(sight) < 0.0 { -normal } else { normal })
        }
        Plane::Facing => Some(sight),
    }
}

/// A distance along a sight line, if it leads ahead.
fn ahead(distance: f64) -> Option<f64> {
    (distance > 0.0 && distance.is_finite()).then_some(distance)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{BlockId, EyeByHand, GuideId, Known, assess};
    use staffage_solver::seen;

    const RIGHT: Family = Family::RecedingRight(BlockId(1));

    /// A canted eye 1.7 m over the ground, by hand.
    fn yard() -> (Scene, Assessment) {
        let eye = EyeByHand {
            angle_of_view: Some(60.0),
            pitch: Some(-8.0),
            cant: Some(4.0),
            ..EyeByHand::default()
        };
        let mut scene = Scene { eye, ..Scene::default() };
        scene.blocks[0].heading = Some(35.0);
        scene.levels[0].clearance = Some(Known { metres: 1.7, spread: 0.01 });
        let assessment = assess(&scene);
        (scene, assessment)
    }

    fn form(scene: &Scene, assessment: &Assessment, shape: GuideShape) -> Option<Form> {
        let guide = Guide { id: GuideId(1), name: "it".into(), shape };
        guide_form(scene, assessment, &guide)
    }

    fn flight(foot: DVec2) -> Flight {
        let climb = Climb::Stairs { riser: 0.17, tread: 0.29, count: 12 };
        let level = Some(LevelId(1));
        Flight { level, foot, along: RIGHT, towards: false, width: 1.4, climb }
    }

    #[test]
    fn stairs_stand_on_their_level_and_climb_by_riser_and_tread() {
        let (scene, assessment) = yard();
        let eye = assessment.eye.eye;
        let place = DVec3::new(1.0, -1.7, -6.0);
        let shape = GuideShape::Flight(flight(eye.project(place).unwrap()));
        let Some(Form::Flight(form)) = form(&scene, &assessment, shape) else { panic!() };
        assert!(form.foot.distance(place) < 1e-9 && !form.assumed);
        let heading = 35_f64.to_radians();
        let along = DVec3::new(heading.sin(), 0.0, -heading.cos());
        let third = place + 3.0 * 0.29 * along + DVec3::Y * 3.0 * 0.17;
        assert!(form.place(3.0 * 0.29, 3.0 * 0.17, 0.0).distance(third) < 1e-9);
        let (run, rise) = form.extent();
        assert!((run - 3.48).abs() < 1e-12 && (rise - 2.04).abs() < 1e-12);
        let down = Flight { towards: true, ..flight(eye.project(place).unwrap()) };
        let Some(Form::Flight(down)) = self::form(&scene, &assessment, GuideShape::Flight(down))
        else {
            panic!()
        };
        assert!(down.along.distance(-along) < 1e-9);
    }

    #[test]
    fn nothing_stands_on_the_ground_over_the_horizon() {
        let (scene, assessment) = yard();
        let sky = assessment.eye.eye.project(DVec3::new(0.0, 2.0, -9.0)).unwrap();
        assert_eq!(form(&scene, &assessment, GuideShape::Flight(flight(sky))), None);
    }

    #[test]
    fn where_nothing_fixes_the_eyes_height_an_adults_is_assumed() {
        let (mut scene, _) = yard();
        scene.levels[0].clearance = None;
        let assessment = assess(&scene);
        let foot = assessment.eye.eye.project(DVec3::new(0.0, -1.6, -5.0)).unwrap();
        let shape = GuideShape::Flight(flight(foot));
        let Some(Form::Flight(form)) = form(&scene, &assessment, shape) else { panic!() };
        assert!(form.assumed && (form.foot.y + ASSUMED_EYE_HEIGHT).abs() < 1e-9);
    }

    #[test]
    fn posts_are_as_tall_everywhere_as_the_first() {
        let (scene, assessment) = yard();
        let eye = assessment.eye.eye;
        let heading = 35_f64.to_radians();
        let along = 2.5 * DVec3::new(heading.sin(), 0.0, -heading.cos());
        let (first, up) = (DVec3::new(-3.0, -1.7, -5.0), DVec3::new(0.0, 2.2, 0.0));
        let at = |place: DVec3| eye.project(place).unwrap();
        let shape = GuideShape::Steps(Steps {
            family: RIGHT,
            from: at(first),
            to: at(first + along),
            division: Division::Repeat(9),
            post: Some(crate::Post { top: at(first + up), family: Family::Upright }),
        });
        let Some(Form::Steps(form)) = form(&scene, &assessment, shape) else { panic!() };
        assert_eq!(form.places.len(), 10);
        for (n, (place, _)) in form.places.iter().enumerate() {
            let foot = first + n as f64 * along;
            assert!(seen(*place).unwrap().distance(at(foot)) < 1e-9);
            assert!(seen(*place + form.post.unwrap()).unwrap().distance(at(foot + up)) < 1e-9);
        }
    }

    #[test]
    fn halvings_are_ranked_by_when_they_come() {
        let (scene, assessment) = yard();
        let steps = Steps {
            family: Family::Upright,
            from: DVec2::new(0.0, 0.1),
            to: DVec2::new(0.0, -0.1),
            division: Division::Halve(3),
            post: None,
        };
        let Some(Form::Steps(form)) = form(&scene, &assessment, GuideShape::Steps(steps)) else {
            panic!()
        };
        let ranks: Vec<u32> = form.places.iter().map(|(_, rank)| *rank).collect();
        assert_eq!(ranks, [0, 3, 2, 3, 1, 3, 2, 3, 0]);
    }

    fn round(plane: Plane, centre: DVec2, radius: Reach) -> Round {
        Round { plane, level: Some(LevelId(1)), centre, radius, carried: None }
    }

    #[test]
    fn a_wheel_of_given_size_stands_on_its_level() {
        let (scene, assessment) = yard();
        let centre = DVec3::new(1.5, -1.7 + 0.6, -7.0);
        let at = assessment.eye.eye.project(centre).unwrap();
        for plane in [Plane::Upright(RIGHT), Plane::Level] {
            let shape = GuideShape::Round(round(plane, at, Reach::Metres(0.6)));
            let Some(Form::Round(form)) = form(&scene, &assessment, shape) else { panic!() };
            assert!((form.radius().unwrap() - 0.6).abs() < 1e-9);
            let true_centre = form.circle.centre * form.metres.unwrap();
            let lies = if plane == Plane::Level { -1.7 } else { centre.y };
            assert!((true_centre.y - lies).abs() < 1e-9);
        }
    }

    #[test]
    fn a_circle_by_its_rim_tells_its_radius_in_metres() {
        let (scene, assessment) = yard();
        let eye = assessment.eye.eye;
        let heading = 35_f64.to_radians();
        let along = DVec3::new(heading.sin(), 0.0, -heading.cos());
        let pond = DVec3::new(0.5, -1.7, -8.0);
        let wheel = DVec3::new(0.5, -1.7 + 1.1, -8.0);
        for (plane, centre, rim) in [
            (Plane::Level, pond, pond + 1.1 * DVec3::X),
            (Plane::Upright(RIGHT), wheel, wheel + 1.1 * along),
        ] {
            let at = |place: DVec3| eye.project(place).unwrap();
            let mut round = round(plane, at(centre), Reach::To(at(rim)));
            round.carried = Some(Reach::Metres(2.0));
            let Some(Form::Round(form)) = form(&scene, &assessment, GuideShape::Round(round))
            else {
                panic!()
            };
            assert!((form.radius().unwrap() - 1.1).abs() < 1e-9, "{plane:?}");
            assert!((form.carried().unwrap() - 2.0).abs() < 1e-9);
        }
    }
}
