use crate::label::{Label, Rank};
use crate::mark::{MARK_RADIUS, mark};
use crate::palette::{DARK, family_colour, standing_colour};
use crate::pen::Pen;
use crate::stage::{Stage, Whereabouts, place};
use crate::{Attention, Drawing};
use glam::DVec2;
use staffage_scene::{Line, LineReading, Standing, Subject, standing_word};

/// Every traced line in its family's colour.
pub(crate) fn lines(pen: &mut Pen, stage: &Stage<'_>, drawing: &mut Drawing) {
    for line in &stage.scene.lines {
        let about = Subject::Line(line.id);
        let attention = stage.emphasis.on(about);
        trace(pen, line, attention);
        if attention > Attention::Plain {
            extension(pen, stage, line);
        }
        drawing.push("line", Some(about), pen.take());
    }
}

/// The marks of the lines that do not simply hold.
pub(crate) fn line_marks(
    pen: &mut Pen,
    stage: &Stage<'_>,
    drawing: &mut Drawing,
    labels: &mut Vec<Label>,
) {
    for line in &stage.scene.lines {
        if let Some(reading) = stage.line_reading(line.id) {
            standing(pen, stage, line, reading, labels);
            drawing.push("mark", Some(Subject::Line(line.id)), pen.take());
        }
    }
}

fn trace(pen: &mut Pen, line: &Line, attention: Attention) {
    let colour = family_colour(line.family);
    let width = if attention > Attention::Plain { 3.0 } else { 1.75 };
    pen.edged_line(line.segment.0, line.segment.1, width, colour);
    let radius = if attention > Attention::Involved { 4.0 } else { 2.5 };
    for end in [line.segment.0, line.segment.1] {
        pen.disc(end, radius, colour, Some((1.0, DARK.faded(0.8))));
    }
}

/// Where the line's middle sees its vanishing point.
fn extension(pen: &mut Pen, stage: &Stage<'_>, line: &Line) {
    let Some(to) = stage.family(line.family).and_then(|f| place(f.vanishing_point)) else { return };
    let middle = 0.5 * (line.segment.0 + line.segment.1);
    let far = match to {
        Whereabouts::At(at) => at,
        Whereabouts::Towards(direction) => middle + 1e3 * direction,
    };
    pen.dashes(middle, far, 1.0, family_colour(line.family), (5.0, 4.0));
}

/// The mark of a line that is news or attended to, and the words for it.
fn standing(
    pen: &mut Pen,
    stage: &Stage<'_>,
    line: &Line,
    reading: &LineReading,
    labels: &mut Vec<Label>,
) {
    let about = Subject::Line(line.id);
    let (attention, intended) = (stage.emphasis.naming(about), stage.is_intended(about));
    let worth_marking = matches!(
        reading.standing,
        Standing::Contradicts | Standing::Impossible | Standing::Strained
    );
    if !worth_marking && attention <= Attention::Involved {
        return;
    }
    let Some((a, b)) = stage.view.clip(line.segment.0, line.segment.1) else { return };
    let at: DVec2 = 0.5 * (a + b);
    mark(pen, reading.standing, intended, at, 1.0);
    labels.push(Label {
        at,
        clearance: MARK_RADIUS,
        lines: vec![(words(reading), standing_colour(reading.standing, intended))],
        rank: Rank::of(attention, reading.standing, intended),
        about: Some(about),
        sides: Label::AROUND,
    });
}

fn words(reading: &LineReading) -> String {
    let miss = reading.miss.to_degrees().abs();
    match reading.standing {
        Standing::Contradicts if miss.is_finite() => format!("stray line, {miss:.1}° off"),
        Standing::Impossible => "no length".into(),
        Standing::Holds if miss < 0.05 => standing_word(Standing::Holds).into(),
        // The first of its family misses nothing: that says nothing of how good it is.
        Standing::Unchecked => standing_word(Standing::Unchecked).into(),
        standing if miss.is_finite() => format!("{}, {miss:.1}° off", standing_word(standing)),
        standing => standing_word(standing).into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::LineId;

    #[test]
    fn a_line_that_nothing_tests_does_not_boast_of_missing_nothing() {
        let reading = |standing, degrees: f64| LineReading {
            id: LineId(1),
            miss: degrees.to_radians(),
            standardized: 0.0,
            standing,
            rivals: Vec::new(),
        };
        assert_eq!(words(&reading(Standing::Unchecked, 0.0)), "unchecked");
        assert_eq!(words(&reading(Standing::Strained, 0.72)), "strained, 0.7° off");
    }
}
