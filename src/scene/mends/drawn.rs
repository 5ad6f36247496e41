//! How far off and how large a marker is as it is drawn, by itself: read from where it stands, not from
//! what else is known of it.

use crate::evidence::{solver_family, solver_span, world};
use crate::{Assessment, Curvature, Family, Level, Marker, Scene, Side, Span, Stands, Unit};
use glam::{DVec2, DVec3};
use staffage_solver as solver;
use staffage_solver::{
    Eye, Headings, axis_per_outline, ball_run_by_shadow, ball_run_per_clearance, head_at,
    rise_per_run, run_by_shadow, run_per_clearance, span_per_run,
};

/// The picture points of a marker, wherever they are moved.
#[derive(Clone, Copy)]
pub(super) struct Points {
    pub(super) foot: DVec2,
    pub(super) head: DVec2,
    /// Plumb point or shadow, of a marker that has one.
    pub(super) tie: DVec2,
}

impl Points {
    pub(super) fn of(marker: &Marker) -> Self {
        let tie = marker.stands.tie().unwrap_or(marker.foot);
        Self { foot: marker.foot, head: marker.head, tie }
    }

    pub(super) fn shifted(self, by: DVec2) -> Self {
        Self { foot: self.foot + by, head: self.head + by, tie: self.tie + by }
    }

    /// The marker drawn there.
    pub(super) fn put(self, marker: &Marker) -> Marker {
        let stands = marker.stands.tied_at(self.tie);
        Marker { foot: self.foot, head: self.head, stands, ..marker.clone() }
    }
}

/// Measures a marker's drawing, all lengths in one unit.
pub(super) struct Ruler<'a> {
    scene: &'a Scene,
    marker: &'a Marker,
    pub(super) eye: Eye,
    headings: Headings,
    unit: Unit,
    support: Option<Support>,
}

/// What a marker stands on.
enum Support {
    Level {
        side: solver::Side,
        clearance: f64,
    },
    /// The top of another marker, as high over the eye as this.
    Top(f64),
}

impl<'a> Ruler<'a> {
    pub(super) fn new(
        scene: &'a Scene,
        assessment: &Assessment,
        marker: &'a Marker,
        unit: Unit,
    ) -> Self {
        let reading = &assessment.eye;
        let headings = Headings {
            blocks: reading.headings.iter().map(|(_, heading)| heading.value).collect(),
            inclines: reading.inclines.iter().map(|(_, h, slope)| [h.value, slope.value]).collect(),
        };
        let mut ruler = Self { scene, marker, eye: reading.eye, headings, unit, support: None };
        ruler.support = match marker.stands {
            Stands::Unsaid => None,
            Stands::OnTop(base) => scene.marker(base).and_then(|base| {
                let entry = assessment.entry(base.id).filter(|e| e.unit == unit)?;
                Some(Support::Top(entry.distance?.value * ruler.rise(base.head)?))
            }),
            stands => {
                let level = stands.level().and_then(|id| scene.level(id));
                level.and_then(|level| clearance(assessment, level, unit))
            }
        };
        ruler
    }

    /// How far off the marker is where it stands, drawn at these points.
    pub(super) fn distance(&self, at: Points) -> Option<f64> {
        let Points { foot, head, tie } = at;
        let (eye, headings) = (&self.eye, &self.headings);
        let (side, clearance) = match self.support.as_ref()? {
            Support::Top(height) => return positive(height / self.rise(foot)?),
            Support::Level { side, clearance } => (*side, *clearance),
        };
        let axis = || match self.marker.span {
            Span::Cylinder => axis_per_outline(eye, headings, foot, head).ok().map(|a| a.value),
            _ => Some(0.0),
        };
        let run = |point| run_per_clearance(eye, headings, point, side).ok().map(|run| run.value);
        let per_clearance = match self.marker.stands {
            Stands::Unsaid | Stands::OnTop(_) => return None,
            Stands::On(_) if self.marker.span == Span::Ball => {
                ball_run_per_clearance(eye, headings, foot, head, side).ok()?.value
            }
            Stands::On(_) => run(foot)? + axis()?,
            Stands::Over { .. } => run(tie)?,
            Stands::Shadow { light, .. } => {
                let light = solver_family(self.scene, Family::Incline(light))?;
                if self.marker.span == Span::Ball {
                    let cast = ball_run_by_shadow(eye, headings, [foot, head], tie, light, side);
                    return positive(clearance * cast.ok()?.0.value.exp());
                }
                let cast = run_by_shadow(eye, headings, foot, tie, light, side).ok()?;
                return positive(clearance * (cast.value + axis()?).exp());
            }
            Stands::Hidden { height, .. } => {
                let level = if side == solver::Side::Below { -clearance } else { clearance };
                let head_up = (self.unit == Unit::Metres).then_some(level + height.metres)?;
                return positive(head_up / self.rise(head)?);
            }
        };
        self.along_level(clearance, side, per_clearance.exp())
    }

    /// How far off a point of a level is, so many clearances by its sight line.
    fn along_level(&self, clearance: f64, side: solver::Side, per_clearance: f64) -> Option<f64> {
        let flat = clearance * per_clearance;
        let of = self.scene.world;
        let curves = match of.curvature {
            Curvature::Nowhere => false,
            Curvature::Everywhere => self.unit == Unit::Metres,
            Curvature::WhereFelt => self.unit == Unit::Metres && world(of).is_felt(flat, clearance),
        };
        if !curves {
            return positive(flat);
        }
        let sign = if side == solver::Side::Below { 1.0 } else { -1.0 };
        Some(world(of).distance_of(sign * clearance, sign / per_clearance)?.distance)
    }

    /// Height of the head over the level that the marker's foot is hidden on, where it is this far off.
    pub(super) fn head_over_level(&self, distance: f64) -> Option<f64> {
        let Support::Level { side, clearance } = self.support.as_ref()? else { return None };
        let level = if *side == solver::Side::Below { -clearance } else { *clearance };
        positive(self.rise(self.marker.head)? * distance - level)
    }

    /// Size of the marker over its distance, drawn at these points.
    pub(super) fn span(&self, at: Points) -> Option<f64> {
        let span = solver_span(self.scene, self.marker.span);
        Some(span_per_run(&self.eye, &self.headings, at.foot, at.head, span).ok()?.value.exp())
    }

    /// Size of the marker drawn at these points.
    pub(super) fn size(&self, at: Points) -> Option<f64> {
        Some(self.distance(at)? * self.span(at)?)
    }

    /// Where the head goes for the span to be so many times the distance.
    pub(super) fn head_at(&self, per_run: f64) -> Option<DVec2> {
        let Marker { foot, head, .. } = *self.marker;
        let span = solver_span(self.scene, self.marker.span);
        head_at(&self.eye, &self.headings, foot, head, span, per_run)
    }

    /// Picture direction at a point in which plumb lines run.
    pub(super) fn plumb(&self, at: DVec2) -> Option<DVec2> {
        self.towards(DVec3::Y, at)
    }

    fn towards(&self, direction: DVec3, at: DVec2) -> Option<DVec2> {
        let vanishing = self.eye.image(direction);
        (vanishing.truncate() - vanishing.z * at).try_normalize()
    }

    fn rise(&self, point: DVec2) -> Option<f64> {
        rise_per_run(&self.eye, &self.headings, point).ok().map(|rise| rise.value)
    }
}

fn positive(length: f64) -> Option<f64> {
    (length > 0.0 && length.is_finite()).then_some(length)
}

/// A level as a support, if its clearance is known in a unit.
fn clearance(assessment: &Assessment, level: &Level, unit: Unit) -> Option<Support> {
    let reading = assessment.levels.iter().find(|l| l.id == level.id && l.unit == unit)?;
    let own = unit == Unit::EyeHeights(level.id);
    let clearance = reading.clearance.map(|c| c.value).or(own.then_some(1.0))?;
    let side = match level.side {
        Side::Below => solver::Side::Below,
        Side::Above => solver::Side::Above,
    };
    Some(Support::Level { side, clearance })
}
