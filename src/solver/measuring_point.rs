//! Measuring points: true lengths carried into the depth of the picture.

use glam::DVec3;

/// The direction whose vanishing point is the measuring point of the level lines along `level` (world
/// axes). Lines to it carry lengths from a line that is level and parallel to the picture plane over to
/// a line of that direction: it makes triangles with two equal sides of them. `None` for lines that are
/// parallel to the picture plane themselves, which show true lengths, and for what is not level.
///
/// Handbooks put the point on the horizon as far from the vanishing point as the station point is, on
/// the side of the picture's middle (so R. W. Gill, *Basic Perspective*, 1974, from memory).
#[must_use]
pub fn measuring_direction(level: DVec3) -> Option<DVec3> {
    let level = level.try_normalize().filter(|d| d.y.abs() < 1e-9)?;
    let ahead = if level.z > 0.0 { -level } else { level };
    let beside = if ahead.x < 0.0 { -DVec3::X } else { DVec3::X };
    let between = ahead - beside;
    (between.length() > 1e-6).then(|| between.normalize())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Eye;
    use glam::DVec2;

    fn eyes() -> [Eye; 3] {
        let eye = |pitch, cant| Eye { focal: 0.85, pitch, cant, principal: DVec2::new(0.03, 0.01) };
        [eye(0.0, 0.0), eye(0.2, 0.0), eye(-0.3, 0.2)]
    }

    fn point(image: DVec3) -> DVec2 {
        image.truncate() / image.z
    }

    #[test]
    fn it_lies_on_the_horizon_as_far_from_the_vanishing_point_as_the_station_point() {
        for eye in eyes() {
            for heading in [-1.1_f64, -0.4, 0.3, 0.9] {
                let along = DVec3::new(heading.sin(), 0.0, -heading.cos());
                let vanishing = point(eye.image(along));
                let measuring = point(eye.image(measuring_direction(along).unwrap()));
                assert!(eye.horizon().dot(measuring.extend(1.0)).abs() < 1e-9);
                let station = (vanishing - eye.principal).extend(eye.focal).length();
                assert!((measuring.distance(vanishing) - station).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn it_carries_a_true_length_from_a_measuring_line_into_the_depth() {
        for eye in eyes() {
            let along = DVec3::new(0.5, 0.0, -0.75_f64.sqrt());
            let corner = DVec3::new(-1.0, -1.6, -5.0);
            let measuring = eye.image(measuring_direction(along).unwrap());
            for length in [0.5, 2.0, 6.0] {
                let on_line = eye.image(corner + length * DVec3::X);
                let edge = eye.image(corner).cross(eye.image(along));
                let cut = point(on_line.cross(measuring).cross(edge));
                let true_end = eye.project(corner + length * along).unwrap();
                assert!(cut.distance(true_end) < 1e-9, "{cut} is not {true_end}");
            }
        }
    }

    #[test]
    fn lines_across_the_picture_need_none() {
        assert_eq!(measuring_direction(DVec3::X), None);
        assert_eq!(measuring_direction(DVec3::Y), None);
        assert_eq!(measuring_direction(DVec3::ZERO), None);
    }
}
