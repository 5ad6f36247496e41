//! The light, which is an incline: its rays are parallel, and shadows are where they end.

use crate::{InclineId, Scene, Stands};

/// What an incline is called that stands for the light.
pub const SUNLIGHT: &str = "sunlight";

impl Scene {
    /// The light that the next shadow is cast by: that of the shadows there are, else the incline
    /// that is called [`SUNLIGHT`].
    #[must_use]
    pub fn light(&self) -> Option<InclineId> {
        let cast = self.markers.iter().find_map(|marker| match marker.stands {
            Stands::Shadow { light, .. } => Some(light),
            _ => None,
        });
        cast.or_else(|| self.inclines.iter().find(|i| i.name == SUNLIGHT).map(|i| i.id))
    }

    /// Whether an incline is the light: a shadow is cast by it, or it is called [`SUNLIGHT`].
    #[must_use]
    pub fn is_light(&self, id: InclineId) -> bool {
        let casts = |stands| matches!(stands, Stands::Shadow { light, .. } if light == id);
        self.incline(id).is_some_and(|i| i.name == SUNLIGHT)
            || self.markers.iter().any(|marker| casts(marker.stands))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Incline, LevelId, Marker, MarkerId, Span};
    use glam::DVec2;

    #[test]
    fn the_light_is_what_casts_shadows_or_is_called_sunlight() {
        let incline = |id, name: &str| Incline::new(InclineId(id), name);
        let inclines = vec![incline(1, "ramp"), incline(2, "sunlight"), incline(3, "lamp")];
        let mut scene = Scene { inclines, ..Scene::default() };
        assert_eq!(scene.light(), Some(InclineId(2)));
        let (level, light) = (LevelId(1), InclineId(3));
        scene.markers.push(Marker {
            id: MarkerId(1),
            name: "kite".into(),
            foot: DVec2::ZERO,
            head: DVec2::new(0.0, -0.1),
            span: Span::Upright,
            stands: Stands::Shadow { level, tip: DVec2::new(0.1, 0.1), light },
            statements: vec![],
        });
        assert_eq!(scene.light(), Some(light));
        let lights: Vec<_> = (1..=3).filter(|&id| scene.is_light(InclineId(id))).collect();
        assert_eq!(lights, [2, 3]);
    }
}
