//! How a thing stands, by shape and in words.

use super::drawn;
use glam::DVec2;
use maud::{Markup, html};
use staffage_drawing::{Drawing, Group, View, standing_mark, to_inline_svg};
use staffage_scene::{Standing, standing_word};

pub(super) const MEANINGS: [(Standing, &str); 6] = [
    (Standing::Holds, "everything that tests it agrees"),
    (Standing::Strained, "at the edge of what chance allows"),
    (
        Standing::Contradicts,
        "something else says otherwise, beyond chance and what an eye overlooks",
    ),
    (Standing::Impossible, "it cannot be as drawn, such as feet on the ground above the horizon"),
    (Standing::Unchecked, "nothing else tests it, so nobody would notice if it were wrong"),
    (Standing::Open, "nothing fixes its size yet"),
];

/// What the marks mean.
pub(super) fn key() -> Markup {
    html! {
        div.key {
            @for (standing, meaning) in MEANINGS {
                div { (mark(standing, false)) b { (standing_word(standing)) } span { (meaning) } }
            }
            div.quiet { (mark(Standing::Contradicts, true)) span { "grey: a contradiction that is kept on purpose" } }
        }
    }
}

/// The mark of a standing as it is on the painting; the word stands beside it.
pub(super) fn mark(standing: Standing, intended: bool) -> Markup {
    let view = View::of_part(DVec2::splat(-8.0), DVec2::splat(8.0), 1.0);
    let ink = standing_mark(standing, intended, DVec2::ZERO, &view);
    let drawing = Drawing { groups: vec![Group { name: "mark", about: None, ink }] };
    let svg = to_inline_svg(&drawing, &view, standing_word(standing));
    drawn(svg.replacen("<svg ", "<svg class=\"mark\" ", 1))
}
