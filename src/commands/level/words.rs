//! What is said of a copy, and of what came back.

use super::back::{How, Return, Returned, Whole};
use staffage_handover::{Aim, Levelling};
use staffage_picture::Size;
use staffage_solver::Eye;

/// How large a copy is, how much of it is margin, and what was done to the painting.
pub(crate) fn measured(levelling: &Levelling, eye: &Eye) -> String {
    let [size, painting] =
        [levelling.size, levelling.painting].map(|(width, height)| Size { width, height });
    let times = size.pixels() as f64 / painting.pixels() as f64;
    let margin = 100.0 * levelling.margin;
    let (_, most) = levelling.enlarged;
    let enlarged = if most < 1.005 {
        "nothing enlarged".into()
    } else {
        format!("enlarged up to {most:.2} times, nothing reduced")
    };
    format!(
        "{size} px, {times:.2} times as many as the painting, {margin:.0} % of them margin; {}, {enlarged}",
        turned(levelling.aim, eye)
    )
}

fn turned(aim: Aim, eye: &Eye) -> String {
    let (pitch, cant) = (eye.pitch.to_degrees().abs(), eye.cant.to_degrees().abs());
    match aim {
        Aim::Level => format!("{cant:.1}° of cant taken out"),
        Aim::Plumb => format!("{pitch:.1}° of pitch and {cant:.1}° of cant taken out"),
        Aim::By { pitch, heading, cant } => {
            let ways =
                [(pitch, "up", "down"), (heading, "right", "left"), (cant, "canted", "canted")];
            let said = ways.into_iter().filter(|(degrees, ..)| *degrees != 0.0);
            let said = said.map(|(degrees, more, less)| {
                let way = if degrees > 0.0 { more } else { less };
                // A cant has no word for its other side.
                let degrees = if more == less { degrees } else { degrees.abs() };
                format!("{degrees:.1}° {way}")
            });
            format!("aimed {}", said.collect::<Vec<_>>().join(", "))
        }
    }
}

/// How large the painting came back, and what there is to know about it.
pub(crate) fn came_back(back: &Return, returned: &Returned) -> String {
    let mut said = format!("{} px", back.way.size);
    if (back.way.enlarged - 1.0).abs() > 1e-9 {
        said += &format!(", {:.3} times as wide as the painting was", back.way.enlarged);
    }
    if returned.holes > 0 {
        said += &format!(
            "; {} px of the copy are transparent inside the frame, so it has alpha now",
            returned.holes
        );
    }
    said += "; ";
    said += &match returned.how {
        How::Strokes(0, _) => {
            "nothing was painted on the copy, so this is the painting, pixel for pixel".into()
        }
        How::Strokes(_, share) if share > NEARLY_ALL => format!(
            "{:.0} % of the copy is not as it was written (graded, or saved with loss?) and was resampled",
            100.0 * share
        ),
        How::Strokes(_, share) => format!(
            "{} of it was painted on the copy, the rest is the painting, pixel for pixel",
            percent(share)
        ),
        How::Whole(whole) => format!("all of it was resampled{}", reason(whole)),
    };
    said
}

/// Beyond this share it was hardly painted stroke by stroke.
const NEARLY_ALL: f64 = 0.9;

fn percent(share: f64) -> String {
    match 100.0 * share {
        percent if percent < 0.1 => "less than 0.1 %".into(),
        percent if percent < 10.0 => format!("{percent:.1} %"),
        percent => format!("{percent:.0} %"),
    }
}

fn reason(whole: Whole) -> &'static str {
    match whole {
        Whole::Asked => ", as was asked for",
        Whole::Enlarged => ", as it does not come back as large as the painting was",
        Whole::Gone => {
            ": the painting is no longer where it was, so that nobody can tell what was painted on the copy"
        }
        Whole::Changed => {
            ": the painting was changed since the copy was made, and here it is as the copy has it"
        }
        Whole::Light => {
            ": one of copy and painting has linear light and the other not, so that they cannot be compared"
        }
        Whole::Profile => ": the copy's colours were converted to another colour profile",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_shares_are_told_with_their_tenths() {
        assert_eq!([0.0002, 0.034, 0.46].map(percent), ["less than 0.1 %", "3.4 %", "46 %"]);
    }
}
