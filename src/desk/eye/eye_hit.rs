//! Where the horizon and the vanishing points can be taken hold of: on themselves, or by the arrow at
//! the canvas's edge that points to one outside it.

use crate::desk::Desk;
use crate::thing::Thing;
use egui::{Pos2, Rect, Vec2};
use glam::{DVec2, DVec3};
use staffage_drawing::{View, Whereabouts};
use staffage_scene::{Family, Segment};

/// How near the pointer must come to a vanishing point or its arrow, points.
const POINT_REACH: f32 = 12.0;
/// How near it must come to the horizon, points.
const HORIZON_REACH: f32 = 5.0;
/// Share of the horizon in sight, at either end, that turns it; the rest lifts it.
const END_SHARE: f64 = 0.2;
/// Distance of an arrow's tip from the canvas's edge, points, as it is drawn.
const INSET: f64 = 8.0;
/// A vanishing point farther than this counts as infinitely far, frame widths.
const ENDLESS: f64 = 1e3;

/// A part of the eye's picture that was, or could be, taken hold of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Hold {
    /// The horizon or a vanishing point.
    pub(crate) thing: Thing,
    /// Whether it is the horizon near one of its ends.
    pub(crate) end: bool,
    /// The point of it that is held, or the tip of its arrow, picture units.
    pub(crate) at: DVec2,
    /// How its arrow moves it, if it lies outside the canvas.
    pub(crate) far: Option<Far>,
}

impl Hold {
    /// Where the thing goes when the pointer has moved by so much, picture units.
    #[must_use]
    pub(crate) fn moved(&self, by: DVec2) -> DVec2 {
        let at = self.at + by;
        self.far.map_or(at, |far| far.place(at))
    }
}

/// The canvas shrunk towards its rim, so that a point far outside is moved by its arrow: near the
/// middle of the canvas nothing is shrunk, and the tip of the arrow is where the point is now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Far {
    seen: View,
    /// From the middle of the canvas to the tip, points.
    reach: f64,
    /// 0 where nothing is shrunk, 1 where infinity lies at the tip.
    bend: f64,
}

impl Far {
    fn place(&self, at: DVec2) -> DVec2 {
        let centre = self.seen.size() / 2.0;
        let by = self.seen.on_page(at) - centre;
        let left = 1.0 - self.bend * by.length() / self.reach;
        // Infinitely far on the canvas need not be so in the picture.
        let point = (centre * left + by).extend(left.max(0.0));
        let point = self.seen.homogeneous_in_picture(point);
        let depth = point.z.max(point.truncate().length() / ENDLESS);
        if depth > 0.0 { point.truncate() / depth } else { at }
    }
}

/// Where the horizon or a vanishing point shows on the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Spot {
    /// At this picture point.
    Here(DVec2),
    /// Outside: an arrow with its tip at this picture point.
    Outside(DVec2, Far),
}

impl Spot {
    pub(crate) fn at(self) -> DVec2 {
        match self {
            Self::Here(at) | Self::Outside(at, _) => at,
        }
    }

    fn far(self) -> Option<Far> {
        match self {
            Self::Here(_) => None,
            Self::Outside(_, far) => Some(far),
        }
    }
}

/// Whether the eye is attended to, so that what of it is only assumed shows, too.
#[must_use]
pub(crate) fn in_hand(desk: &Desk) -> bool {
    desk.eye_looked_at || desk.selected().is_some_and(Thing::is_of_eye)
}

/// The vanishing points that show, each with its spot.
pub(crate) fn vanishing_points(desk: &Desk) -> impl Iterator<Item = (Family, Spot)> + '_ {
    let shown = in_hand(desk);
    let families = desk.assessment().eye.families.iter();
    families
        .filter(move |reading| shown || reading.is_said(desk.scene()))
        .filter_map(|reading| Some((reading.family, spot(desk, reading.vanishing_point)?)))
}

/// What of the eye lies under the pointer: a vanishing point, else the horizon.
#[must_use]
pub(crate) fn hold(desk: &Desk, pointer: Pos2) -> Option<Hold> {
    if !desk.remembered.ink {
        return None;
    }
    let distance = |at| desk.view.to_screen(desk.canvas, at).distance(pointer);
    let near = vanishing_points(desk)
        .map(|(family, spot)| (family, spot, distance(spot.at())))
        .filter(|(.., distance)| *distance <= POINT_REACH)
        .min_by(|a, b| a.2.total_cmp(&b.2));
    match near {
        Some((family, spot, _)) => Some(Hold {
            thing: Thing::VanishingPoint(family),
            end: false,
            at: spot.at(),
            far: spot.far(),
        }),
        None => horizon_hold(desk, pointer),
    }
}

fn horizon_hold(desk: &Desk, pointer: Pos2) -> Option<Hold> {
    let pressed = desk.picture_point(pointer);
    let whole = |at, far| Hold { thing: Thing::EyeLevel, end: false, at, far };
    let Some(Segment(left, right)) = horizon(desk) else {
        let spot = horizon_spot(desk)?;
        let near = desk.view.to_screen(desk.canvas, spot.at()).distance(pointer) <= POINT_REACH;
        return near.then(|| whole(spot.at(), spot.far()));
    };
    let at = desk.assessment().eye.eye.nearest_on_horizon(pressed);
    if desk.view.to_screen(desk.canvas, at).distance(pointer) > HORIZON_REACH {
        return None;
    }
    let along = (at - left).dot(right - left) / (right - left).length_squared();
    let end = !(END_SHARE..=1.0 - END_SHARE).contains(&along);
    Some(Hold { end, ..whole(at, None) })
}

/// The horizon where it crosses what is seen of the frame, else what is seen at all.
#[must_use]
pub(crate) fn horizon(desk: &Desk) -> Option<Segment> {
    let seen = desk.view.visible(desk.canvas);
    let corner = DVec2::new(0.5, desk.scene().frame.half_height());
    let framed = (seen.min.max(-corner), seen.max.min(corner));
    across(desk, &seen, framed).or_else(|| across(desk, &seen, (seen.min, seen.max)))
}

/// The part of the horizon in a box of the picture that is seen, from left to right.
fn across(desk: &Desk, seen: &View, (min, max): (DVec2, DVec2)) -> Option<Segment> {
    let eye = desk.assessment().eye.eye;
    let (from, along) = (eye.nearest_on_horizon((min + max) / 2.0), DVec2::from_angle(-eye.cant));
    let reach = (max - min).length();
    if !from.is_finite() {
        return None;
    }
    let (left, right) =
        View::of_part(min, max, 1.0).clip(from - reach * along, from + reach * along)?;
    let (left, right) = seen.clip(left, right)?;
    (left != right).then_some(Segment(left, right))
}

/// The arrow to a horizon that is out of sight.
fn horizon_spot(desk: &Desk) -> Option<Spot> {
    let nearest = desk.assessment().eye.eye.nearest_on_horizon(DVec2::ZERO);
    spot(desk, nearest.extend(1.0))
}

/// Where a vanishing point shows.
fn spot(desk: &Desk, point: DVec3) -> Option<Spot> {
    let seen = desk.view.visible(desk.canvas);
    let (size, centre) = (seen.size(), seen.size() / 2.0);
    let (towards, bend_at) = match seen.place(point)? {
        Whereabouts::At(at) if at.cmpge(DVec2::ZERO).all() && at.cmple(size).all() => {
            return Some(Spot::Here(seen.in_picture(at)));
        }
        Whereabouts::At(at) => (at - centre, Some(at.distance(centre))),
        Whereabouts::Towards(direction) => (direction, None),
    };
    let towards = towards.try_normalize()?;
    let reach = ((centre - INSET) / towards.abs()).min_element();
    let bend = bend_at.map_or(1.0, |distance| 1.0 - reach / distance);
    let far = Far { seen, reach, bend };
    (reach > 0.0).then(|| Spot::Outside(seen.in_picture(centre + reach * towards), far))
}

/// What of the screen the horizon or a vanishing point takes up.
#[must_use]
pub(crate) fn extent(desk: &Desk, thing: Thing) -> Option<Rect> {
    let place = |at| desk.view.to_screen(desk.canvas, at);
    let around =
        |spot: Spot| Rect::from_center_size(place(spot.at()), Vec2::splat(2.0 * POINT_REACH));
    match thing {
        Thing::EyeLevel => match horizon(desk) {
            Some(Segment(left, right)) => Some(Rect::from_two_pos(place(left), place(right))),
            None => horizon_spot(desk).map(around),
        },
        Thing::VanishingPoint(family) => {
            let mut families = desk.assessment().eye.families.iter();
            let reading = families.find(|reading| reading.family == family)?;
            spot(desk, reading.vanishing_point).map(around)
        }
        Thing::Of(_) | Thing::Horizon => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A canvas two by two frame widths large, about the frame's centre.
    fn endless() -> Far {
        let seen = View::of_part(DVec2::splat(-1.0), DVec2::splat(1.0), 1.0);
        Far { seen, reach: 0.5, bend: 1.0 }
    }

    fn far(distance: f64) -> Far {
        Far { bend: 1.0 - 0.5 / distance, ..endless() }
    }

    #[test]
    fn the_tip_of_an_arrow_is_where_its_point_is() {
        for distance in [0.6, 3.0, 40.0] {
            let at = far(distance).place(DVec2::new(0.5, 0.0));
            assert!((at.x - distance).abs() < 1e-9, "{at}");
        }
    }

    #[test]
    fn an_arrow_dragged_to_the_middle_brings_its_point_there() {
        assert_eq!(far(40.0).place(DVec2::ZERO), DVec2::ZERO);
        let near = far(40.0).place(DVec2::new(0.01, 0.0));
        assert!((near.x - 0.01).abs() < 1e-3, "nothing is shrunk there: {near}");
    }

    #[test]
    fn a_point_at_infinity_comes_from_far_off() {
        assert_eq!(endless().place(DVec2::new(0.25, 0.0)).x, 0.5);
        assert!(endless().place(DVec2::new(0.49, 0.0)).x > 20.0);
        assert!(endless().place(DVec2::new(0.6, 0.0)).is_finite());
    }
}
