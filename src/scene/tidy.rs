//! What is put right without asking: names made safe to show (one line, no invisible controls, not
//! endless), spreads raised to their floor, one way of saying upright.

use crate::validate::SPREAD;
use crate::{Family, Known, Marker, Scene, Span, Stands, Statement};

/// Longest name of a thing, characters.
pub(crate) const LONGEST_NAME: usize = 200;
/// Longest reason given for an intended contradiction, characters.
pub(crate) const LONGEST_REASON: usize = 1000;

impl Scene {
    /// The scene with its words made safe to show and its spreads at or over the floor.
    #[must_use]
    pub(crate) fn tidied(mut self) -> Self {
        self.title = tidy(&self.title, LONGEST_NAME);
        for block in &mut self.blocks {
            block.name = tidy_or_numbered(&block.name, "block", block.id.0);
        }
        for incline in &mut self.inclines {
            incline.name = tidy_or_numbered(&incline.name, "incline", incline.id.0);
        }
        for level in &mut self.levels {
            level.name = tidy_or_numbered(&level.name, "level", level.id.0);
            if let Some(Known { spread, .. }) = &mut level.clearance {
                raise(spread);
            }
            if let Some(above) = &mut level.above {
                raise(&mut above.by.spread);
            }
        }
        for guide in &mut self.guides {
            guide.name = tidy_or_numbered(&guide.name, guide.shape.word(), guide.id.0);
        }
        for alternative in &mut self.alternatives {
            alternative.name = tidy_or_numbered(&alternative.name, "idea", alternative.id.0);
        }
        self.in_each_alternative(tidy_idea);
        self
    }
}

fn tidy_idea(scene: &mut Scene) {
    scene.markers.iter_mut().for_each(tidy_marker);
    for stand_in in &mut scene.stand_ins {
        stand_in.name = tidy_or_numbered(&stand_in.name, "stand-in", stand_in.id.0);
    }
    for kept in &mut scene.intended {
        kept.reason = tidy(&kept.reason, LONGEST_REASON);
        kept.by = tidy(&kept.by, LONGEST_NAME);
    }
}

fn tidy_marker(marker: &mut Marker) {
    marker.name = tidy_or_numbered(&marker.name, "marker", marker.id.0);
    if marker.span == Span::Along(Family::Upright) {
        marker.span = Span::Upright;
    }
    if let Stands::Hidden { height, .. } = &mut marker.stands {
        raise(&mut height.spread);
    }
    for said in &mut marker.statements {
        match said {
            Statement::KnownSize { size, as_ } => {
                *as_ = tidy(as_, LONGEST_NAME);
                raise(&mut size.spread);
            }
            Statement::Distance(known) => raise(&mut known.spread),
            Statement::SameMake { spread, .. }
            | Statement::Times { spread, .. }
            | Statement::SameDistance { spread, .. } => raise(spread),
        }
    }
}

/// Raises a spread to the floor; what is no spread at all is left for validation to refuse.
pub(crate) fn raise(spread: &mut f64) {
    if (0.0..*SPREAD.start()).contains(spread) {
        *spread = *SPREAD.start();
    }
}

/// The words on one line: white space joined, control and direction-override characters dropped,
/// trimmed, cut after `longest` characters.
pub(crate) fn tidy(words: &str, longest: usize) -> String {
    let shown = |c: &char| c.is_whitespace() || !(c.is_control() || overrides_direction(*c));
    let shown: String = words.chars().filter(shown).collect();
    let one_line = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    match one_line.char_indices().nth(longest) {
        Some((end, _)) => one_line[..end].trim_end().to_owned(),
        None => one_line,
    }
}

/// The tidied name, or the kind and number of the thing when nothing is left of it.
pub(crate) fn tidy_or_numbered(name: &str, kind: &str, id: u32) -> String {
    let tidied = tidy(name, LONGEST_NAME);
    if tidied.is_empty() { format!("{kind} {id}") } else { tidied }
}

/// The marks of the Unicode bidirectional algorithm (UAX #9, table of explicit formatting
/// characters): they can make a sentence read in another order than it is written.
fn overrides_direction(c: char) -> bool {
    matches!(c, '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Level, LevelId, Side};

    #[test]
    fn a_spread_under_the_floor_is_raised_and_a_wrong_one_is_left_to_be_refused() {
        let with = |spread| {
            let clearance = Some(Known { metres: 2.0, spread });
            let level = Level {
                id: LevelId(1),
                name: "deck".into(),
                side: Side::Below,
                clearance,
                above: None,
            };
            let scene = Scene { levels: vec![level], ..Scene::default() }.tidied();
            (scene.levels[0].clearance.unwrap().spread, scene.validate().is_ok())
        };
        assert_eq!(with(0.0), (0.001, true));
        assert_eq!(with(0.05), (0.05, true));
        assert_eq!(with(-0.1), (-0.1, false));
        assert!(with(f64::NAN).0.is_nan() && !with(f64::NAN).1);
    }

    #[test]
    fn a_name_is_one_trimmed_line_without_controls() {
        assert_eq!(tidy("  Fore\u{7}man\n of\tthe quay \r\n", 200), "Foreman of the quay");
    }

    #[test]
    fn direction_overrides_are_dropped_but_letters_of_any_script_stay() {
        assert_eq!(tidy("\u{202e}gate\u{2069} שער بوابة 門", 200), "gate שער بوابة 門");
    }

    #[test]
    fn a_long_name_is_cut_between_characters() {
        assert_eq!(tidy(&"門".repeat(300), 200).chars().count(), 200);
        assert_eq!(tidy("abc def", 4), "abc");
    }

    #[test]
    fn a_thing_left_without_a_name_is_numbered() {
        assert_eq!(tidy_or_numbered(" \u{202e} ", "marker", 3), "marker 3");
    }
}
