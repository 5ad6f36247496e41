//! How far the vanishing points can be trusted.

use crate::Colour;
use crate::palette::family_colour;
use crate::pen::Pen;
use crate::stage::Stage;
use glam::DVec2;
use staffage_solver::VanishingRegion;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Corners of the polygon that stands for an ellipse.
const CORNERS: u32 = 96;

/// Length of a ray to where it is surely out of sight, frame widths.
const FAR: f64 = 1e3;

/// Where the vanishing point of each family that is looked at lies with a probability of 95 %: an
/// ellipse, the directions to it where it is out of sight, or two opposite sectors where its distance
/// is open.
pub(crate) fn spreads(pen: &mut Pen, stage: &Stage<'_>) {
    let families = &stage.assessment.eye.families;
    let looked_at = families.iter().filter(|f| stage.emphasis.spreads.contains(&f.family));
    for reading in looked_at.filter(|f| f.read) {
        let colour = family_colour(reading.family);
        match reading.region {
            VanishingRegion::Ellipse { centre, semi_axes, angle } => {
                let corners = ellipse(centre, semi_axes, angle);
                if corners.iter().any(|corner| pen.reaches(*corner)) {
                    pen.outline(&corners, 1.25, colour.faded(0.75), None);
                    pen.fill(corners, colour.faded(0.16));
                } else {
                    directions(pen, centre, &corners, colour);
                }
            }
            VanishingRegion::Directions { angle, half_width } => {
                sectors(pen, angle, half_width, colour);
            }
        }
    }
}

fn ellipse(centre: DVec2, [long, short]: [f64; 2], angle: f64) -> Vec<DVec2> {
    let length = DVec2::from_angle(angle);
    let corner = |i: u32| {
        let (sine, cosine) = (TAU * f64::from(i) / f64::from(CORNERS)).sin_cos();
        centre + long * cosine * length + short * sine * length.perp()
    };
    (0..CORNERS).map(corner).collect()
}

/// The directions from the frame's centre to an ellipse that is out of sight.
fn directions(pen: &mut Pen, centre: DVec2, corners: &[DVec2], colour: Colour) {
    let turns = corners.iter().map(|corner| centre.angle_to(*corner));
    let (least, most) = turns.fold((0.0, 0.0), |(a, b): (f64, f64), t| (a.min(t), b.max(t)));
    if most - least < FRAC_PI_2 {
        let along = centre.to_angle();
        sector(pen, [along + least, along + most], colour);
    }
}

/// The directions from the frame's centre, and their opposites; none where all are open.
fn sectors(pen: &mut Pen, angle: f64, half_width: f64, colour: Colour) {
    if half_width < FRAC_PI_2 {
        for along in [angle, angle + PI] {
            sector(pen, [along - half_width, along + half_width], colour);
        }
    }
}

/// What lies between two directions from the frame's centre.
fn sector(pen: &mut Pen, angles: [f64; 2], colour: Colour) {
    let [one, other] = angles.map(|angle| FAR * DVec2::from_angle(angle));
    pen.fill(vec![DVec2::ZERO, one, other], colour.faded(0.12));
    for end in [one, other] {
        pen.dashes(DVec2::ZERO, end, 1.25, colour.faded(0.75), (8.0, 4.0));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Drawing, Emphasis, Ink, View, draw, samples};
    use staffage_scene::{BlockId, Family};

    fn drawn(region: VanishingRegion, spreads: Vec<Family>) -> Vec<Ink> {
        let (scene, mut assessment) = samples::quay();
        assessment.eye.families[0].region = region;
        let view = View::of_frame(scene.frame, 1400.0);
        let emphasis = Emphasis { spreads, ..Emphasis::default() };
        let Drawing { groups } = draw(&scene, &assessment, &view, &emphasis);
        let spreads = groups.into_iter().filter(|group| group.name == "vanishing-spreads");
        spreads.flat_map(|group| group.ink).collect()
    }

    #[test]
    fn only_the_families_that_are_looked_at_show_how_far_they_can_be_trusted() {
        let family = Family::RecedingRight(BlockId(1));
        let region = VanishingRegion::Ellipse {
            centre: DVec2::new(0.1, 0.05),
            semi_axes: [0.1, 0.02],
            angle: 0.5,
        };
        assert!(drawn(region, Vec::new()).is_empty());
        let ink = drawn(region, vec![family]);
        let Some(Ink::Stroke { points, .. }) = ink.first() else { panic!("{ink:?}") };
        let far = points.iter().map(|p| p.distance(DVec2::new(0.1, 0.05))).fold(0.0, f64::max);
        assert!((far - 0.1).abs() < 1e-9, "{far}");
    }

    #[test]
    fn a_point_that_may_lie_either_way_gets_two_sectors_and_an_open_one_none() {
        let family = Family::RecedingRight(BlockId(1));
        let narrow = VanishingRegion::Directions { angle: 0.2, half_width: 0.05 };
        let is_fill = |ink: &&Ink| matches!(ink, Ink::Fill { .. });
        assert_eq!(drawn(narrow, vec![family]).iter().filter(is_fill).count(), 2);
        let open = VanishingRegion::Directions { angle: 0.0, half_width: FRAC_PI_2 };
        assert!(drawn(open, vec![family]).is_empty());
    }
}
