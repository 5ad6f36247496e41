//! Names and words for the things of a scene, as a painter would say them.

use crate::{Bounds, Family, LineId, Scene, Span, Standing, Subject, Units};
use staffage_solver::VanishingRegion;

/// A standing in one word.
#[must_use]
pub fn standing_word(standing: Standing) -> &'static str {
    match standing {
        Standing::Impossible => "impossible",
        Standing::Contradicts => "contradicts",
        Standing::Strained => "strained",
        Standing::Open => "open",
        Standing::Unchecked => "unchecked",
        Standing::Holds => "holds",
    }
}

/// A family in words; the block or incline is named where the scene has more than one.
#[must_use]
pub fn family_name(scene: &Scene, family: Family) -> String {
    let of_block = |words: &str, id| match scene.block(id) {
        Some(block) if scene.blocks.len() > 1 => format!("{words} of {}", block.name),
        _ => words.to_owned(),
    };
    let of_incline = |id| scene.incline(id).map_or("incline".to_owned(), |i| i.name.clone());
    match family {
        Family::Upright => "upright".to_owned(),
        Family::RecedingRight(id) => of_block("receding right", id),
        Family::RecedingLeft(id) => of_block("receding left", id),
        Family::Incline(id) => of_incline(id),
        Family::Run(id) if scene.is_light(id) => format!("shadows of {}", of_incline(id)),
        Family::Run(id) => format!("level under {}", of_incline(id)),
    }
}

/// A traced line by its family and its number in it: "receding-left line 3", "receding-left line 3
/// of mill" where the scene has more than one block.
#[must_use]
pub fn line_name(scene: &Scene, id: LineId) -> String {
    let Some(line) = scene.line(id) else { return "a line".to_owned() };
    let before = scene.lines.iter().take_while(|l| l.id != id);
    let number = 1 + before.filter(|l| l.family == line.family).count();
    let name = family_name(scene, line.family).replacen("receding ", "receding-", 1);
    match name.split_once(" of ") {
        Some((family, block))
            if matches!(line.family, Family::RecedingLeft(_) | Family::RecedingRight(_)) =>
        {
            format!("{family} line {number} of {block}")
        }
        _ => format!("{name} line {number}"),
    }
}

/// How far a vanishing point can be trusted, to follow "vanishes": "within 2 % by 0.4 % of the frame's
/// width", "far off, in a direction known to ± 3°".
#[must_use]
pub fn region_words(region: VanishingRegion) -> String {
    match region {
        VanishingRegion::Ellipse { semi_axes, .. } => {
            let [long, short] = semi_axes.map(share);
            format!("within ± {long} by ± {short} of the frame's width")
        }
        VanishingRegion::Directions { half_width, .. } => {
            let degrees = half_width.to_degrees();
            format!("too far off to tell how far, in a direction known to ± {degrees:.1}°")
        }
    }
}

/// A share in percent, to two figures.
fn share(of: f64) -> String {
    match 100.0 * of {
        percent if percent < 9.95 => format!("{percent:.1} %"),
        percent => format!("{percent:.0} %"),
    }
}

/// Which way the eye looks, before the size of the angle: "up" 14°. `None` for an angle (radians, up
/// positive) that is written as zero with so many decimals of a degree.
#[must_use]
pub fn pitch_side(pitch: f64, decimals: usize) -> Option<&'static str> {
    side(pitch, decimals, "up", "down")
}

/// Which end of the horizon is up in the picture, after the size of the angle: 7° "left end up".
/// `None` for an angle (radians, right end up positive) that is written as zero with so many decimals
/// of a degree.
#[must_use]
pub fn cant_side(cant: f64, decimals: usize) -> Option<&'static str> {
    side(cant, decimals, "right end up", "left end up")
}

fn side(
    angle: f64,
    decimals: usize,
    positive: &'static str,
    negative: &'static str,
) -> Option<&'static str> {
    let least = 0.5 * 10f64.powi(-i32::try_from(decimals).unwrap_or(9));
    let degrees = angle.to_degrees();
    (degrees.abs() >= least).then_some(if degrees > 0.0 { positive } else { negative })
}

/// What a finding is about, by name.
#[must_use]
pub fn subject_name(scene: &Scene, subject: Subject) -> String {
    match subject {
        Subject::Line(id) => line_name(scene, id),
        Subject::Marker(id) => named(scene.marker(id).map(|m| m.name.as_str()), "a marker"),
        Subject::Level(id) => named(scene.level(id).map(|l| l.name.as_str()), "a level"),
        Subject::Guide(id) => named(scene.guide(id).map(|g| g.name.as_str()), "a guide"),
        Subject::Overlap(id) => scene.overlap(id).map_or("an overlap".to_owned(), |o| {
            let name = |id| named(scene.marker(id).map(|m| m.name.as_str()), "a marker");
            format!("{} in front of {}", name(o.front), name(o.behind))
        }),
        Subject::StandIn(id) => named(scene.stand_in(id).map(|s| s.name.as_str()), "a stand-in"),
    }
}

/// A name, or what to call a thing that has none.
fn named(name: Option<&str>, otherwise: &str) -> String {
    name.filter(|n| !n.is_empty()).unwrap_or(otherwise).to_owned()
}

/// What overlaps say of a distance that nothing fixes: "beyond 41 m".
#[must_use]
pub fn distance_within(units: Units, bounds: Bounds) -> Option<String> {
    let said = |value| units.length(value, bounds.unit);
    match (bounds.nearest, bounds.farthest) {
        (Some(near), Some(far)) => Some(format!("between {} and {} off", said(near), said(far))),
        (Some(near), None) => Some(format!("beyond {}", said(near))),
        (None, Some(far)) => Some(format!("nearer than {}", said(far))),
        (None, None) => None,
    }
}

/// What overlaps say of a size that nothing fixes: "longer than 96 m".
#[must_use]
pub fn size_within(units: Units, bounds: Bounds, span: Span) -> Option<String> {
    let [larger, smaller, kind] = match span {
        Span::Upright => ["taller", "shorter", "tall"],
        Span::Along(_) => ["longer", "shorter", "long"],
        Span::Facing | Span::Cylinder | Span::Ball => ["wider", "narrower", "wide"],
    };
    let said = |value| units.length(value, bounds.unit);
    match (bounds.smallest, bounds.largest) {
        (Some(least), Some(most)) => {
            Some(format!("between {} and {} {kind}", said(least), said(most)))
        }
        (Some(least), None) => Some(format!("{larger} than {}", said(least))),
        (None, Some(most)) => Some(format!("{smaller} than {}", said(most))),
        (None, None) => None,
    }
}

/// A sentence with its first letter large.
pub(crate) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or(String::new(), |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// A spread as a painter says it: "6 %", "0.5 %".
#[must_use]
pub fn percent(spread: f64) -> String {
    match 100.0 * spread {
        percent if percent < 0.95 => format!("{percent:.1} %"),
        percent => format!("{percent:.0} %"),
    }
}

/// A sentence with its first letter small, to follow another.
pub(crate) fn small(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or(String::new(), |first| first.to_lowercase().collect::<String>() + letters.as_str())
}

/// What the length of a span is called: "tall", "long", "across", "in diameter".
#[must_use]
pub fn dimension(span: Span) -> &'static str {
    match span {
        Span::Upright => "tall",
        Span::Along(_) => "long",
        Span::Facing => "across",
        Span::Cylinder | Span::Ball => "in diameter",
    }
}

/// A ratio of lengths as a painter says it: "1.6 times too large", "half as large as it should be"
/// is "2.0 times too small".
pub(crate) fn too_large(ratio: f64) -> String {
    if ratio >= 1.0 {
        format!("{} times too large", factor(ratio))
    } else {
        format!("{} times too small", factor(1.0 / ratio))
    }
}

/// A factor to two or three figures; what is past all sense has none.
pub(crate) fn factor(ratio: f64) -> String {
    match ratio {
        r if r > 1e6 => "over a million".to_owned(),
        r if r < 1.995 => format!("{r:.2}"),
        r if r < 99.5 => format!("{r:.1}"),
        r => format!("{r:.0}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Block, BlockId, Line, Segment};
    use glam::DVec2;

    #[test]
    fn lines_are_numbered_within_their_family() {
        let mut scene = Scene::default();
        let families =
            [Family::Upright, Family::RecedingLeft(BlockId(1)), Family::RecedingLeft(BlockId(1))];
        for (k, family) in families.into_iter().enumerate() {
            let segment = Segment(DVec2::ZERO, DVec2::X);
            scene.lines.push(Line { id: LineId(10 + k as u32), family, segment });
        }
        assert_eq!(line_name(&scene, LineId(10)), "upright line 1");
        assert_eq!(line_name(&scene, LineId(12)), "receding-left line 2");
        scene.blocks.push(Block { id: BlockId(2), name: "mill".into(), heading: None });
        assert_eq!(line_name(&scene, LineId(12)), "receding-left line 2 of main block");
    }

    #[test]
    fn ratios_are_said_the_way_round_that_is_larger_than_one() {
        assert_eq!(too_large(1.6), "1.60 times too large");
        assert_eq!(too_large(0.5), "2.0 times too small");
        assert_eq!(too_large(150.0), "150 times too large");
        assert_eq!(too_large(f64::INFINITY), "over a million times too large");
        assert_eq!(too_large(0.0), "over a million times too small");
    }
}
