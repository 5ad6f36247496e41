//! Everything that was measured, near to far.

use super::Sheet;
use super::key::mark;
use maud::{Markup, html};
use staffage_scene::{
    Entry, Marker, MarkerId, Measure, Scene, Standing, Stands, Statement, Subject, Unit, Units,
    dimension, distance_within, percent, size_within, standing_word, subject_name,
};

pub(super) fn ledger(sheet: &Sheet<'_>) -> Markup {
    let entries = &sheet.assessment.ledger;
    html! {
        section.ledger-part {
            h2 { "Ledger: everything that was measured, near to far" }
            @if entries.is_empty() { p { "No markers yet." } } @else {
                div.wide { table.ledger {
                    thead { tr {
                        th { "What" } th { "Stands" } th { "What is known of it" } th { "How far off" }
                        th { "95 %" } th { "How large" } th { "95 %" } th { "Standing" }
                        th { "Unnoticed" }
                    } }
                    tbody { @for entry in entries { (row(sheet, entry)) } }
                } }
                p.quiet {
                    "Distances run level from the eye to the foot of the thing. Unnoticed: a thing drawn wrong "
                    "by less than this ratio would not be found out."
                }
            }
        }
    }
}

fn row(sheet: &Sheet<'_>, entry: &Entry) -> Markup {
    let Some(marker) = sheet.scene.marker(entry.id) else { return html! {} };
    let kept = sheet.scene.kept_on_purpose(Subject::Marker(entry.id)).is_some();
    let is_wrong = !kept && matches!(entry.standing, Standing::Contradicts | Standing::Impossible);
    let (how, units) = (dimension(marker.span), sheet.units());
    html! {
        tr.wrong[is_wrong] {
            td { bdi { (marker.name) } }
            td { (stands(sheet.scene, marker)) }
            td { @for (at, said) in marker.statements.iter().enumerate() {
                @if at > 0 { br; }
                (known(sheet, said))
            } }
            td { (quantity(units, entry.distance, entry.unit, ""))
                @if let Some(bounds) = entry.bounds.filter(|_| entry.distance.is_none()) {
                    br; (distance_within(units, bounds).unwrap_or_default())
                }
            }
            td { (range(units, entry.distance, entry.unit)) }
            td { (quantity(units, entry.size, entry.unit, how))
                @if let Some(bounds) = entry.bounds.filter(|_| entry.size.is_none()) {
                    br; (size_within(units, bounds, marker.span).unwrap_or_default())
                }
                @if let Some(expected) = entry.expected_size {
                    br; strong.nowrap { "should be " (units.measure(expected, entry.unit)) }
                }
            }
            td { (range(units, entry.size, entry.unit)) }
            td.standing { (mark(entry.standing, kept)) (standing_word(entry.standing))
                @if kept { br; span.quiet { "kept on purpose" } }
            }
            td.nowrap { @if let Some(ratio) = entry.detectable { "under × " (format!("{ratio:.1}")) } }
        }
    }
}

fn quantity(units: Units, value: Option<Measure>, unit: Unit, how: &str) -> Markup {
    html! {
        @match value {
            Some(value) => { span.nowrap { (units.measure(value, unit)) " " (how) } }
            None => { span.quiet.nowrap { "not fixed yet" } }
        }
    }
}

fn range(units: Units, value: Option<Measure>, unit: Unit) -> Markup {
    html! { @if let Some(value) = value { span.range.nowrap { (units.interval(value, unit)) } } }
}

fn stands(scene: &Scene, marker: &Marker) -> Markup {
    let name = |subject| html! { bdi { (subject_name(scene, subject)) } };
    let level = |level| name(Subject::Level(level));
    html! {
        @match marker.stands {
            Stands::Unsaid => { span.quiet { "not said" } }
            Stands::On(id) => { "on " (level(id)) }
            Stands::Over { level: id, .. } => { "above " (level(id)) }
            Stands::Shadow { level: id, .. } => { "above " (level(id)) ", by its shadow" }
            Stands::Hidden { level: id, .. } => { "on " (level(id)) ", its foot hidden" }
            Stands::OnTop(base) => { "on top of " (name(Subject::Marker(base))) }
        }
    }
}

/// What is known of a marker.
fn known(sheet: &Sheet<'_>, said: &Statement) -> Markup {
    let (scene, units) = (sheet.scene, sheet.units());
    let other = |id: MarkerId| html! { bdi { (subject_name(scene, Subject::Marker(id))) } };
    html! {
        @match said {
            Statement::KnownSize { size, as_ } => {
                @if !as_.is_empty() { bdi { (as_) } ": " }
                span.nowrap { (units.metres(size.metres)) " ± " (percent(size.spread)) }
            }
            Statement::SameMake { of, .. } => { "of the same make as " (other(*of)) }
            Statement::Times { of, factor, .. } => { (format!("{factor:.3}")) " times " (other(*of)) }
            Statement::SameDistance { of, .. } => { "as far off as " (other(*of)) }
            Statement::Distance(known) => { "said to be " (units.metres(known.metres)) " off" }
        }
    }
}
