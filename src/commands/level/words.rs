//! What is said of a copy, and of what came back.

use super::back::{Return, Returned};
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
    if returned.painting_changed {
        said +=
            "; the painting was changed since the copy was made, and here it is as the copy has it";
    }
    said
}
