//! The curved world: horizon, dip, hidden height, and how far a point of a curved surface is.

/// A round world with air that bends light.
///
/// Light is bent towards the ground by a share `k` of the ground's own curvature, so that a sight line
/// is straight over a world of radius R / (1 − k): the *effective radius* R' (Gauss's model; common
/// practice in geodesy, good for sight lines that run nearly level and near the ground). Over that
/// world every formula here is exact for a sphere; where a handbook has a shorter one, the docstring
/// says how far that is off.
///
/// # Units
/// Lengths and heights are in the unit of the radius, angles in radians. *Distances* are measured
/// along the surface, from the point plumb below the eye.
///
/// # Edges
/// A radius that is not a positive number, and a refraction of 1 or more, leave the world flat, as an
/// infinite radius does. A height or a distance that is negative or no number counts as zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct World {
    /// Radius of the surface, in the unit that lengths are in.
    pub radius: f64,
    /// Coefficient of refraction k: curvature of a sight line over that of the ground. 0 without air.
    pub refraction: f64,
}

/// Mean radius of the earth, metres (IUGG mean radius R1, 6,371,008.8 m, rounded).
pub const EARTH_RADIUS: f64 = 6_371_000.0;

/// Coefficient of refraction over land by day (Gauss's 0.13; common practice in geodesy). Tables for
/// use at sea imply 0.14 to 0.17.
pub const REFRACTION: f64 = 0.13;

/// From this share of the horizon's distance on, curvature counts: a flat ground would put a point at
/// the horizon's distance times x nearer than it is by the factor 1 / (1 + x²), here by one percent.
const FELT: f64 = 0.1;

/// A curvature that no length in floating point could feel.
const FLATTEST: f64 = 1e-300;

impl Default for World {
    fn default() -> Self {
        Self::EARTH
    }
}

/// Where a sight line meets a curved level, and how that depends on what it was found from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfacePoint {
    /// Distance along the surface.
    pub distance: f64,
    /// d ln distance / d ln clearance; 1 over a flat world.
    pub by_ln_clearance: f64,
    /// d ln distance / d tangent; −1 / tangent over a flat world.
    pub by_tangent: f64,
}

impl World {
    /// The earth with its air, in metres.
    pub const EARTH: Self = Self { radius: EARTH_RADIUS, refraction: REFRACTION };

    /// A world without curvature.
    pub const FLAT: Self = Self { radius: f64::INFINITY, refraction: 0.0 };

    /// The radius over which sight lines are straight, R / (1 − k); infinite for a flat world.
    #[must_use]
    pub fn effective_radius(&self) -> f64 {
        let curvature = (1.0 - self.refraction) / self.radius;
        let is_round = self.radius > 0.0 && curvature > FLATTEST && curvature.is_finite();
        if is_round { 1.0 / curvature } else { f64::INFINITY }
    }

    /// Whether nothing curves.
    pub(crate) fn is_flat(&self) -> bool {
        self.effective_radius().is_infinite()
    }

    /// How far along the surface the visible horizon of an eye at `height` is: R' acos(R' / (R' + h)).
    ///
    /// The usual √(2R'h) is longer by the fraction 5h / 12R': less than a hundredth of a percent below
    /// an eye height of 1,700 m on earth.
    #[must_use]
    pub fn horizon_distance(&self, height: f64) -> f64 {
        let radius = self.effective_radius();
        match at_least_zero(height) {
            0.0 => 0.0,
            _ if radius.is_infinite() => f64::INFINITY,
            height => radius * dip(radius, height),
        }
    }

    /// Angle of the visible horizon below the eye's level line, acos(R' / (R' + h)), radians: at most
    /// a quarter turn, zero over a flat world.
    ///
    /// The usual √(2h / R') is larger by the fraction 5h / 12R'.
    #[must_use]
    pub fn dip(&self, height: f64) -> f64 {
        dip(self.effective_radius(), at_least_zero(height))
    }

    /// How much of a thing that stands `distance` away on the surface is hidden below the visible
    /// horizon of an eye at `eye_height`: R' (sec(D / R' − a) − 1) with the dip a. Zero up to the
    /// horizon, infinite from where no height would be seen.
    ///
    /// The usual (D − √(2R'h))² / 2R' is smaller by 5/12 of the squared angle D / R' − a: by a
    /// hundredth of a percent 100 km beyond the horizon on earth.
    #[must_use]
    pub fn hidden_height(&self, eye_height: f64, distance: f64) -> f64 {
        let radius = self.effective_radius();
        let beyond = at_least_zero(distance) / radius - dip(radius, at_least_zero(eye_height));
        // NaN where an infinite distance is measured over an infinite radius.
        if radius.is_infinite() || beyond <= 0.0 {
            0.0
        } else if beyond >= std::f64::consts::FRAC_PI_2 {
            f64::INFINITY
        } else {
            // sec x − 1 without the cancellation.
            radius * 2.0 * (0.5 * beyond).sin().powi(2) / beyond.cos()
        }
    }

    /// How far the surface has fallen below the level plane through the point below the eye:
    /// R' (1 − cos(D / R')), which starts out as D² / 2R'; that is larger by the fraction D² / 12R'².
    ///
    /// At most R', a quarter of the way round: from there on the surface turns back under the eye.
    #[must_use]
    pub fn drop(&self, distance: f64) -> f64 {
        let radius = self.effective_radius();
        if radius.is_infinite() {
            return 0.0;
        }
        let angle = (at_least_zero(distance) / radius).min(std::f64::consts::FRAC_PI_2);
        2.0 * radius * (0.5 * angle).sin().powi(2)
    }

    /// The point of a level that is seen so far below the eye's level line.
    ///
    /// `clearance` is the height of the eye over the level, negative for a level above the eye;
    /// `tangent` is the tangent of the sight line's depression (drop over horizontal run), negative for
    /// one that rises. The sphere c + R'(1 − cos θ) = t R' sin θ, solved for its nearer point with
    /// w = tan(θ/2) (own derivation); the distance is R'θ. Over a flat world that is c / t.
    ///
    /// `None` where the sight line meets no such point: beyond the visible horizon and at it, where the
    /// distance depends infinitely on the tangent, and on the eye's own level.
    #[must_use]
    pub fn distance_of(&self, clearance: f64, tangent: f64) -> Option<SurfacePoint> {
        let radius = self.effective_radius();
        let found = if radius.is_infinite() {
            SurfacePoint {
                distance: clearance / tangent,
                by_ln_clearance: 1.0,
                by_tangent: -1.0 / tangent,
            }
        } else {
            on_sphere(radius, clearance, tangent)
        };
        let sound = found.distance > 0.0
            && found.distance.is_finite()
            && found.by_ln_clearance.is_finite()
            && found.by_tangent.is_finite();
        sound.then_some(found)
    }

    /// Whether curvature counts at this distance: from a tenth of the horizon's distance on, where flat
    /// ground would put things one percent too near.
    #[must_use]
    pub fn is_felt(&self, distance: f64, eye_height: f64) -> bool {
        let horizon = self.horizon_distance(eye_height);
        horizon.is_finite() && distance > 0.0 && distance >= FELT * horizon
    }
}

/// The nearer point where a sight line meets a sphere; not finite where it meets none.
fn on_sphere(radius: f64, clearance: f64, tangent: f64) -> SurfacePoint {
    let q = clearance / radius;
    // tan²(depression) less tan²(dip): zero for a sight line that grazes the sphere.
    let s = (tangent * tangent - q * (2.0 + q)).sqrt();
    // The roots are w = (t ∓ s) / (2 + q); written so that nothing cancels.
    let w = if clearance > 0.0 { q / (tangent + s) } else { (-q) / (s - tangent) };
    let angle = 2.0 * w.atan();
    // With F(θ) = q + 1 − cos θ − t sin θ: t cos θ − sin θ = ±s at a root.
    SurfacePoint {
        distance: radius * angle,
        by_ln_clearance: q.abs() / (angle * s),
        by_tangent: -angle.sin() / (angle * s.copysign(clearance)),
    }
}

/// The angle whose tangent is √(h(2R + h)) / R; acos(R / (R + h)) loses half of its digits.
fn dip(radius: f64, height: f64) -> f64 {
    let q = height / radius;
    if q.is_nan() { 0.0 } else { (q * (2.0 + q)).sqrt().atan() }
}

fn at_least_zero(length: f64) -> f64 {
    // `max` prefers a number to NaN.
    length.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const FOOT: f64 = 0.3048;
    const NAUTICAL_MILE: f64 = 1852.0;

    #[track_caller]
    fn assert_near(found: f64, expected: f64, tolerance: f64) {
        assert!((found - expected).abs() <= tolerance, "{found} is not {expected} ± {tolerance}");
    }

    fn earth(refraction: f64) -> World {
        World { refraction, ..World::EARTH }
    }

    fn minutes(angle: f64) -> f64 {
        angle.to_degrees() * 60.0
    }

    /// 1.17 √(feet) nautical miles: The American Practical Navigator (Bowditch), chapter 22, 1995 and
    /// 2002, as quoted by navigators. It implies a refraction of 0.17.
    #[test]
    fn the_horizon_is_as_far_as_bowditch_says() {
        for feet in [6.0, 10.0, 30.0, 100.0, 400.0, 1000.0_f64] {
            let miles = earth(0.17).horizon_distance(feet * FOOT) / NAUTICAL_MILE;
            assert_near(miles, 1.17 * feet.sqrt(), 0.005 * feet.sqrt());
            // The default is Gauss's refraction, over land.
            let miles = World::EARTH.horizon_distance(feet * FOOT) / NAUTICAL_MILE;
            assert_near(miles / (1.17 * feet.sqrt()), 1.0, 0.03);
        }
    }

    /// Geographic range S = 2.08 (√H + √h) nautical miles, metres: Icelandic list of lights, 1929,
    /// page 7, row H = 20 m. Printed figures are off by up to 0.1. Implies a refraction of 0.14.
    #[test]
    fn a_light_rises_as_far_off_as_a_list_of_lights_says() {
        let world = earth(0.14);
        for (eye, miles) in [
            (0.0, 9.3),
            (3.0, 12.9),
            (5.0, 14.0),
            (6.0, 14.4),
            (12.0, 16.5),
            (15.0, 17.4),
            (30.0, 20.7),
        ] {
            let range = world.horizon_distance(20.0) + world.horizon_distance(eye);
            assert_near(range / NAUTICAL_MILE, miles, 0.1);
            assert_near(world.hidden_height(eye, range), 20.0, 1e-6);
        }
    }

    /// Dip tables of nautical almanacs: 6 ft 2.4', 8 ft 2.7', 10 ft 3.1', 100 ft 9.7'; the rule behind
    /// them is 0.97' √(feet), or 1.76' √(metres) (the metric rule from memory).
    #[test]
    fn the_dip_is_as_in_an_almanac() {
        for (feet, dip) in [(6.0, 2.4), (8.0, 2.7), (10.0, 3.1), (100.0, 9.7_f64)] {
            assert_near(minutes(earth(0.17).dip(feet * FOOT)), dip, 0.05);
            assert_near(
                minutes(earth(0.17).dip(feet * FOOT)),
                0.97 * feet.sqrt(),
                0.005 * feet.sqrt(),
            );
        }
        for metres in [2.0, 10.0, 100.0_f64] {
            assert_near(
                minutes(earth(0.165).dip(metres)),
                1.76 * metres.sqrt(),
                0.005 * metres.sqrt(),
            );
        }
    }

    /// Bowditch's Table 15 worked by navigators: from 10 ft, a mast of 100 ft is just in sight at
    /// 1.17 (√10 + √100) = 15.4 nautical miles.
    #[test]
    fn a_mast_just_in_sight_is_hidden_to_its_top() {
        let hidden = earth(0.17).hidden_height(10.0 * FOOT, 15.4 * NAUTICAL_MILE);
        assert_near(hidden / FOOT, 100.0, 1.5);
    }

    /// Worked apart from this code in double precision; 7/6 R is the radius of optics and radar texts.
    #[test]
    fn hidden_heights_agree_with_worked_cases() {
        for (eye, distance, hidden) in [
            (2.0, 20e3, [17.545, 14.530, 14.236]),
            (1.7, 10e3, [2.243, 1.714, 1.664]),
            (10.0, 30e3, [27.479, 21.872, 21.332]),
        ] {
            for (refraction, hidden) in [0.0, 0.13, 1.0 / 7.0].into_iter().zip(hidden) {
                assert_near(earth(refraction).hidden_height(eye, distance), hidden, 6e-4);
            }
        }
    }

    /// Curvature 0.0785 K², with refraction 0.0675 K² metres, K in kilometres (surveying textbooks;
    /// from memory).
    #[test]
    fn the_ground_falls_away_as_in_levelling() {
        for kilometres in [0.1, 1.0, 5.0_f64] {
            let (distance, square) = (1e3 * kilometres, kilometres * kilometres);
            assert_near(earth(0.0).drop(distance), 0.0785 * square, 5e-5 * square);
            assert_near(earth(0.14).drop(distance), 0.0675 * square, 5e-5 * square);
        }
    }

    #[test]
    fn the_ground_is_felt_from_a_tenth_of_the_horizon_on() {
        let horizon = World::EARTH.horizon_distance(1.7);
        assert!(!World::EARTH.is_felt(0.099 * horizon, 1.7));
        assert!(World::EARTH.is_felt(0.101 * horizon, 1.7));
        // There a flat ground is one percent off.
        let tangent = (1.7 + World::EARTH.drop(FELT * horizon)) / (FELT * horizon);
        assert_near(1.7 / tangent / (FELT * horizon), 0.99, 2e-4);
        assert!(!World::FLAT.is_felt(f64::INFINITY, 1.7));
    }

    #[test]
    fn a_flat_world_hides_nothing() {
        for flat in [
            World::FLAT,
            World { radius: f64::INFINITY, refraction: 0.13 },
            World { radius: 6.4e6, refraction: 1.0 },
            World { radius: 6.4e6, refraction: 3.0 },
            World { radius: f64::NAN, refraction: 0.13 },
            World { radius: 6.4e6, refraction: f64::NAN },
            World { radius: 0.0, refraction: 0.0 },
            World { radius: -1.0, refraction: 0.0 },
        ] {
            assert_eq!(flat.effective_radius(), f64::INFINITY, "{flat:?}");
            assert_eq!(flat.horizon_distance(1.7), f64::INFINITY);
            assert_eq!(flat.dip(1.7), 0.0);
            assert_eq!((flat.hidden_height(1.7, 1e9), flat.drop(1e9)), (0.0, 0.0));
            assert_eq!(flat.hidden_height(1.7, f64::INFINITY), 0.0);
            let found = flat.distance_of(2.0, 0.5).unwrap();
            assert_eq!((found.distance, found.by_ln_clearance, found.by_tangent), (4.0, 1.0, -2.0));
            assert_eq!(flat.distance_of(2.0, -0.1), None);
        }
    }

    #[test]
    fn what_is_no_height_counts_as_zero() {
        for none in [0.0, -0.0, -3.0, f64::NAN, f64::NEG_INFINITY] {
            assert_eq!(World::EARTH.horizon_distance(none), 0.0);
            assert_eq!(World::EARTH.dip(none), 0.0);
            assert_eq!(World::EARTH.drop(none), 0.0);
            assert_eq!(World::EARTH.hidden_height(1.7, none), 0.0);
            assert!(World::EARTH.hidden_height(none, 1e4) > 0.0);
            assert!(!World::EARTH.is_felt(none, 1.7));
        }
        for (clearance, tangent) in [
            (f64::NAN, 0.1),
            (1.7, f64::NAN),
            (1.7, f64::INFINITY),
            (f64::INFINITY, 0.1),
            (0.0, 0.0),
        ] {
            assert_eq!(World::EARTH.distance_of(clearance, tangent), None, "{clearance} {tangent}");
        }
        assert_eq!(World::EARTH.hidden_height(1.7, f64::INFINITY), f64::INFINITY);
        assert_eq!(World::EARTH.dip(f64::INFINITY), std::f64::consts::FRAC_PI_2);
    }

    #[test]
    fn beyond_the_horizon_there_is_no_surface_to_see() {
        let grazing = World::EARTH.dip(1.7).tan();
        assert_eq!(World::EARTH.distance_of(1.7, grazing * (1.0 - 1e-9)), None);
        let nearly = World::EARTH.distance_of(1.7, grazing * (1.0 + 1e-9)).unwrap();
        assert_near(nearly.distance / World::EARTH.horizon_distance(1.7), 1.0, 1e-4);
    }

    #[test]
    fn a_far_enough_deck_above_the_eye_sinks_to_the_level_line_and_below() {
        let world = World::EARTH;
        let level = world.distance_of(-10.0, 0.0).unwrap();
        assert_near(world.drop(level.distance), 10.0, 1e-6);
        let sunk = world.distance_of(-10.0, 1e-3).unwrap();
        assert!(sunk.distance > level.distance);
        let near = world.distance_of(-10.0, -0.5).unwrap();
        assert_near(near.distance, 20.0, 1e-4);
    }

    /// A world, an eye's height in it and a distance within sight, each over many magnitudes.
    fn view() -> impl Strategy<Value = (World, f64, f64)> {
        (3.0..9.0, -0.3..0.9, -6.0..-0.5, 0.001..0.99).prop_map(
            |(radius, refraction, height, share): (f64, f64, f64, f64)| {
                let world = World { radius: 10_f64.powf(radius), refraction };
                let height = world.radius * 10_f64.powf(height);
                (world, height, share * world.horizon_distance(height))
            },
        )
    }

    /// Tangent of the depression at which the surface is seen `distance` away.
    fn depression(world: &World, clearance: f64, distance: f64) -> f64 {
        let angle = distance / world.effective_radius();
        (clearance + world.drop(distance)) / (world.effective_radius() * angle.sin())
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_point_of_the_surface_is_found_where_it_is((world, eye, distance) in view()) {
            let found = world.distance_of(eye, depression(&world, eye, distance)).unwrap();
            prop_assert!((found.distance / distance - 1.0).abs() < 1e-6, "{found:?} {distance}");
        }

        #[test]
        fn the_derivatives_are_those_of_the_distance((world, eye, distance) in view(), above: bool) {
            prop_assume!(distance < 0.9 * world.horizon_distance(eye));
            let clearance = if above { -eye.min(0.3 * world.radius) } else { eye };
            let tangent = depression(&world, clearance, distance);
            let ln = |clearance: f64, tangent: f64| {
                world.distance_of(clearance, tangent).unwrap().distance.ln()
            };
            let found = world.distance_of(clearance, tangent).unwrap();
            let step = 1e-5_f64;
            let by_clearance =
                (ln(clearance * step.exp(), tangent) - ln(clearance * (-step).exp(), tangent)) / (2.0 * step);
            prop_assert!((found.by_ln_clearance - by_clearance).abs() < 1e-4 * by_clearance.abs().max(1.0),
                "{found:?} {by_clearance}");
            let step = 1e-5 * (tangent.abs() + (clearance / world.radius).abs().sqrt());
            let by_tangent = (ln(clearance, tangent + step) - ln(clearance, tangent - step)) / (2.0 * step);
            prop_assert!((found.by_tangent - by_tangent).abs() < 1e-4 * by_tangent.abs(),
                "{found:?} {by_tangent}");
        }

        #[test]
        fn more_is_hidden_farther_off_and_less_from_higher_up(
            (world, eye, _) in view(), share in 0.0..3.0, more in 1.01..2.0,
        ) {
            let distance = share * world.horizon_distance(eye);
            let hidden = world.hidden_height(eye, distance);
            prop_assert_eq!(hidden > 0.0, share > 1.0);
            prop_assert!(world.hidden_height(eye, more * distance) >= hidden);
            prop_assert!(world.hidden_height(more * eye, distance) <= hidden);
        }

        #[test]
        fn another_world_is_the_same_at_another_scale((world, eye, distance) in view(), by in 1e-3..1e3) {
            let other = World { radius: by * world.radius, ..world };
            let same = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs();
            prop_assert!(same(by * world.horizon_distance(eye), other.horizon_distance(by * eye)));
            prop_assert!((world.dip(eye) - other.dip(by * eye)).abs() < 1e-12);
            prop_assert!(same(by * world.drop(distance), other.drop(by * distance)));
            let far = 2.0 * world.horizon_distance(eye);
            prop_assert!(same(by * world.hidden_height(eye, far), other.hidden_height(by * eye, by * far)) ||
                world.hidden_height(eye, far).is_infinite());
            prop_assert_eq!(world.is_felt(distance, eye), other.is_felt(by * distance, by * eye));
        }

        #[test]
        fn any_number_at_all_is_answered(
            radius: f64, refraction: f64, a: f64, b: f64,
        ) {
            let world = World { radius, refraction };
            for answer in [
                world.effective_radius(), world.horizon_distance(a), world.dip(a),
                world.hidden_height(a, b), world.drop(a),
            ] {
                prop_assert!(answer >= 0.0, "{answer}");
            }
            let _ = world.is_felt(a, b);
            if let Some(found) = world.distance_of(a, b) {
                prop_assert!(found.distance > 0.0 && found.distance.is_finite());
            }
        }
    }
}
