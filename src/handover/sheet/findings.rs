//! What contradicts, why, what would mend it, and what is kept on purpose.

use super::key::mark;
use super::{Sheet, unbroken};
use maud::{Markup, html};
use staffage_scene::{Finding, Standing, mends, standing_word, suggestion};

/// Most mends that are listed for a finding; the rest would repaint more.
const MENDS: usize = 4;

/// The state of the painting in a sentence or two.
pub(super) fn verdict(sheet: &Sheet<'_>) -> Markup {
    let (wrong, rest) = verdict_words(sheet);
    html! { p.verdict { strong { (wrong) } (rest) } }
}

/// The same in words: what weighs most, and the rest.
pub(super) fn verdict_words(sheet: &Sheet<'_>) -> (String, String) {
    let assessment = sheet.assessment;
    let wrong = assessment.contradictions();
    let is_kept = |finding: &&Finding| {
        finding.intended.is_some() && finding.standing <= Standing::Contradicts
    };
    let kept = assessment.findings.iter().filter(is_kept).count();
    let of = |standing| assessment.ledger.iter().filter(|e| e.standing == standing).count();
    let (all, holds, unchecked) =
        (assessment.ledger.len(), of(Standing::Holds), of(Standing::Unchecked));
    let wrong = match wrong {
        0 => "Nothing contradicts.".to_owned(),
        1 => "One thing contradicts the rest and should be mended before the detail is painted."
            .into(),
        many => format!(
            "{many} things contradict the rest and should be mended before the detail is painted."
        ),
    };
    let kept = match kept {
        0 => String::new(),
        1 => " One contradiction is kept on purpose.".into(),
        many => format!(" {many} contradictions are kept on purpose."),
    };
    let is = if unchecked == 1 { "is" } else { "are" };
    let measured = match all {
        0 => " Nothing is measured yet.".into(),
        all => format!(
            " Of {all} measured things {holds} hold and {unchecked} {is} tested by nothing else."
        ),
    };
    (wrong, kept + &measured)
}

/// All findings, then what would help most.
pub(super) fn findings(sheet: &Sheet<'_>) -> Markup {
    let (kept, open): (Vec<&Finding>, Vec<&Finding>) =
        sheet.assessment.findings.iter().partition(|finding| finding.intended.is_some());
    html! {
        section.findings {
            h2 { "Findings" }
            @for remark in sheet.remarks { p { strong { (remark) } } }
            @if open.is_empty() { p { "Nothing contradicts, is strained or impossible." } }
            @if !(open.is_empty() && kept.is_empty()) {
                div.found {
                    @for (number, finding) in open.iter().enumerate() { (one(sheet, number + 1, finding)) }
                    @for (number, finding) in kept.into_iter().enumerate() {
                        (intended(sheet, number == 0, finding))
                    }
                }
            }
            @if let Some(suggestion) = suggestion(sheet.scene) {
                p { strong { "What would make it surer: " } span { (suggestion.sentence) } }
            }
        }
    }
}

fn one(sheet: &Sheet<'_>, number: usize, finding: &Finding) -> Markup {
    let mends = mends(sheet.scene, sheet.assessment, finding);
    html! {
        div.finding {
            p.what {
                (mark(finding.standing, false)) (number) ". " (standing_word(finding.standing)) ": "
                (unbroken(&finding.sentence))
            }
            @if !finding.because.is_empty() {
                p.label { "Why" }
                ol { @for step in &finding.because { li { (unbroken(&step.sentence)) } } }
            }
            @if !mends.is_empty() {
                p.label { @if mends.len() == 1 { "This mends it" } @else { "Any one of these mends it" } }
                ul { @for mend in mends.iter().take(MENDS) { li { (unbroken(&mend.sentence)) } } }
            }
        }
    }
}

fn intended(sheet: &Sheet<'_>, is_first: bool, finding: &Finding) -> Markup {
    let kept = sheet.scene.kept_on_purpose(finding.about);
    let by = kept.map(|kept| kept.by.as_str()).filter(|by| !by.is_empty());
    html! {
        div.finding {
            @if is_first { h3 { "Kept on purpose" } }
            div.kept {
                p.what {
                    (mark(finding.standing, true)) (standing_word(finding.standing)) ", kept: "
                    (unbroken(&finding.sentence))
                }
                p {
                    "Reason: " (ended(finding.intended.as_deref().unwrap_or_default())) " "
                    @match by {
                        Some(by) => { "Decided by " bdi { (by) } "." }
                        None => { span.quiet { "Nobody is named who decided it." } }
                    }
                }
            }
        }
    }
}

/// What a painter wrote, with the full stop that it may have already.
fn ended(words: &str) -> String {
    let words = words.trim();
    let end = if words.ends_with(['.', '!', '?', '…']) { "" } else { "." };
    format!("{words}{end}")
}
