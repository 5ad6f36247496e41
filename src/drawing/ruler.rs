use crate::graduation::Scale;
use glam::{DVec2, DVec3};
use staffage_scene::{Assessment, Family, Marker, Span, Unit};
use staffage_solver::Eye;

/// A marker's span as it is seen: equal lengths in the scene to positions in the picture.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ruler {
    foot: DVec2,
    head: DVec2,
    /// Depths of foot and head along the optical axis, in one unit. Lengths along the span are
    /// even in space and shrink with depth in the picture.
    depths: (f64, f64),
    /// What the bands are round in.
    scale: Scale,
}

impl Ruler {
    /// The ruler along a marker's span, which is measured in this unit.
    pub(crate) fn of(marker: &Marker, assessment: &Assessment, unit: Unit) -> Self {
        let eye = &assessment.eye.eye;
        let direction = match marker.span {
            Span::Upright => Some(DVec3::Y),
            Span::Along(family) => direction(family, assessment),
            Span::Facing | Span::Cylinder | Span::Ball => None,
        };
        Self {
            foot: marker.foot,
            head: marker.head,
            depths: depths(eye, marker, direction).unwrap_or((1.0, 1.0)),
            scale: Scale { unit, units: assessment.units },
        }
    }

    /// Position at a fraction of the span's length in the scene, 0 at the foot and 1 at the head;
    /// none where the span, prolonged, has passed the eye's plane.
    pub(crate) fn at(&self, fraction: f64) -> Option<DVec2> {
        let (foot, head) = ((1.0 - fraction) * self.depths.0, fraction * self.depths.1);
        let depth = foot + head;
        let nearest = 1e-3 * self.depths.0.min(self.depths.1);
        (depth > nearest).then(|| (foot * self.foot + head * self.head) / depth)
    }

    /// Fractions of a span `size` long at which its bands end, the last one at 1. The bands are
    /// the finest whose smallest is `smallest` or more long in the picture; none if no band is.
    pub(crate) fn bands(&self, size: f64, smallest: f64) -> Vec<f64> {
        let step = self.scale.bands().find(|step| self.fits(step / size, smallest));
        let Some(part) = step.map(|step| step / size) else { return Vec::new() };
        let whole = (1.0 / part - 1e-6).floor() as usize;
        (1..=whole).map(|i| i as f64 * part).chain([1.0]).collect()
    }

    /// Whether bands of this part of the span are all long enough in the picture.
    fn fits(&self, part: f64, smallest: f64) -> bool {
        let length = |from, to| match (self.at(from), self.at(to)) {
            (Some(a), Some(b)) => a.distance(b),
            _ => 0.0,
        };
        // The smallest band is at the farther end.
        part > 1e-3
            && part < 1.0
            && length(0.0, part) >= smallest
            && length(1.0 - part, 1.0) >= smallest
    }
}

/// Scene direction of a family, if the assessment knows it.
fn direction(family: Family, assessment: &Assessment) -> Option<DVec3> {
    if family == Family::Upright {
        return Some(DVec3::Y);
    }
    assessment.eye.families.iter().find(|f| f.family == family).map(|f| f.direction)
}

/// Depths of a marker's ends when its foot is one unit from the eye: the head is where the span
/// comes closest to the sight line through the drawn head, or as far off as the foot if the span
/// has no direction of its own.
fn depths(eye: &Eye, marker: &Marker, direction: Option<DVec3>) -> Option<(f64, f64)> {
    let (foot, sight) = (eye.ray(marker.foot), eye.ray(marker.head));
    let head = match direction {
        None => sight,
        Some(along) => {
            let cosine = along.dot(sight);
            let sine_squared = 1.0 - cosine * cosine;
            if sine_squared < 1e-9 {
                return None;
            }
            let length = (cosine * sight.dot(foot) - along.dot(foot)) / sine_squared;
            foot + length * along
        }
    };
    let depth = |p: DVec3| eye.image(p).z;
    let (foot, head) = (depth(foot), depth(head));
    (foot > 1e-9 && head > 1e-9).then_some((foot, head))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;
    use staffage_scene::{LevelId, MarkerId, Stands, Units};

    fn assessment(eye: Eye) -> Assessment {
        samples::empty_assessment(eye)
    }

    fn upright(eye: &Eye, foot: DVec3, height: f64) -> Marker {
        Marker {
            id: MarkerId(1),
            name: String::new(),
            foot: eye.project(foot).unwrap(),
            head: eye.project(foot + height * DVec3::Y).unwrap(),
            span: Span::Upright,
            stands: Stands::Unsaid,
            statements: Vec::new(),
        }
    }

    #[test]
    fn equal_heights_fall_where_a_pinhole_puts_them() {
        let eye = Eye { focal: 0.7, pitch: 0.4, cant: 0.2, principal: DVec2::ZERO };
        let foot = DVec3::new(3.0, -1.6, -20.0);
        let marker = upright(&eye, foot, 30.0);
        let ruler = Ruler::of(&marker, &assessment(eye), Unit::Metres);
        for fraction in [0.0, 0.25, 0.5, 0.9, 1.0, 1.2] {
            let seen = ruler.at(fraction).unwrap();
            let true_place = eye.project(foot + fraction * 30.0 * DVec3::Y).unwrap();
            assert!(seen.distance(true_place) < 1e-9, "{fraction}: {seen} for {true_place}");
        }
    }

    #[test]
    fn a_facing_span_is_divided_evenly_when_it_is_square_to_the_axis() {
        let mut marker = upright(&Eye::default(), DVec3::new(-1.0, 0.0, -5.0), 1.0);
        marker.span = Span::Facing;
        marker.head = DVec2::new(-marker.foot.x, marker.foot.y);
        let ruler = Ruler::of(&marker, &assessment(Eye::default()), Unit::Metres);
        assert!(ruler.at(0.5).unwrap().distance(DVec2::new(0.0, marker.foot.y)) < 1e-12);
    }

    #[test]
    fn a_span_that_passes_the_eye_has_no_place_in_the_picture() {
        let eye = Eye { pitch: 1.2, ..Eye::default() };
        let marker = upright(&eye, DVec3::new(0.0, 0.5, -1.0), 2.0);
        let ruler = Ruler::of(&marker, &assessment(eye), Unit::Metres);
        assert!(ruler.at(1.5).is_some());
        assert!(ruler.at(-10.0).is_none());
    }

    #[test]
    fn bands_coarsen_as_the_staff_shrinks() {
        let marker = upright(&Eye::default(), DVec3::new(0.0, -1.6, -10.0), 1.75);
        let ruler = Ruler::of(&marker, &assessment(Eye::default()), Unit::Metres);
        assert_eq!(ruler.bands(1.75, 0.01).len(), 4);
        assert_eq!(ruler.bands(1.75, 0.06).len(), 2);
        assert!(ruler.bands(1.75, 0.2).is_empty());
        assert_eq!(ruler.bands(175.0, 0.012).len(), 4);
    }

    #[test]
    fn in_imperial_units_the_bands_are_feet() {
        let mut told = assessment(Eye::default());
        told.units = Units::Imperial;
        // Six feet are 1.8288 m (international yard and pound agreement of 1959).
        let marker = upright(&Eye::default(), DVec3::new(0.0, -1.6, -10.0), 1.8288);
        let bands = |unit| Ruler::of(&marker, &told, unit).bands(1.8288, 0.01);
        let feet: Vec<f64> = bands(Unit::Metres).iter().map(|part| part * 6.0).collect();
        assert_eq!(feet.len(), 6);
        assert!(feet.iter().zip(1..).all(|(feet, n)| (feet - f64::from(n)).abs() < 1e-9));
        assert_eq!(bands(Unit::EyeHeights(LevelId(1))).len(), 4, "eye heights are no feet");
    }

    #[test]
    fn a_whole_number_of_bands_has_no_sliver_at_the_end() {
        let marker = upright(&Eye::default(), DVec3::new(0.0, -1.6, -10.0), 2.0);
        let ruler = Ruler::of(&marker, &assessment(Eye::default()), Unit::Metres);
        assert_eq!(ruler.bands(2.0, 0.01), [0.25, 0.5, 0.75, 1.0]);
    }

    #[test]
    fn ugly_sizes_give_no_bands() {
        let marker = upright(&Eye::default(), DVec3::new(0.0, -1.6, -10.0), 2.0);
        let ruler = Ruler::of(&marker, &assessment(Eye::default()), Unit::Metres);
        for size in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e300] {
            assert!(ruler.bands(size, 0.001).is_empty(), "{size}");
        }
    }
}
