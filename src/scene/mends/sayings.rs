//! Mends of what is said of levels and overlaps.

use super::Candidate;
use crate::wording::subject_name;
use crate::{
    Above, Assessment, Edit, Finding, Known, Level, LevelId, Overlap, Scene, Side, Subject, Unit,
    Units,
};

/// A level whose stated height disagrees with what stands there.
pub(super) fn of_level(scene: &Scene, assessment: &Assessment, id: LevelId) -> Vec<Candidate> {
    let Some(level) = scene.level(id) else { return Vec::new() };
    let with = |clearance| Edit::PutLevel(Level { clearance, ..level.clone() });
    let name = &level.name;
    let mut candidates = Vec::new();
    let reading = assessment.levels.iter().find(|l| l.id == id && l.unit == Unit::Metres);
    if let Some((read, stated)) = reading.and_then(|l| l.clearance).zip(level.clearance) {
        let said = assessment.units.metres(read.value);
        candidates.push(Candidate::said(
            with(Some(Known { metres: read.value, ..stated })),
            format!("Say {said} for {name}, as what stands there has it."),
        ));
    }
    candidates.extend(of_step(scene, assessment, level));
    candidates.push(Candidate::said(
        with(None),
        format!("Say nothing of the height at {name} and leave it to what stands there."),
    ));
    candidates
}

/// A stated step up from another level.
fn of_step(scene: &Scene, assessment: &Assessment, level: &Level) -> Vec<Candidate> {
    let Some(above) = level.above else { return Vec::new() };
    let with = |above| Edit::PutLevel(Level { above, ..level.clone() });
    let lower = subject_name(scene, Subject::Level(above.level));
    let name = &level.name;
    let height = |id: LevelId| {
        let reading = assessment.levels.iter().find(|l| l.id == id && l.unit == Unit::Metres)?;
        let clearance = reading.clearance?.value;
        Some(if scene.level(id)?.side == Side::Below { -clearance } else { clearance })
    };
    let mut candidates = Vec::new();
    if let (Some(upper), Some(foot)) = (height(level.id), height(above.level))
        && upper > foot
    {
        let metres = upper - foot;
        let said = assessment.units.metres(metres);
        candidates.push(Candidate::said(
            with(Some(Above { by: Known { metres, ..above.by }, ..above })),
            format!("Say that {name} lies {said} above {lower}, as what stands there has it."),
        ));
    }
    candidates.extend(turned_round(scene, assessment.units, level, above));
    candidates.push(Candidate::said(
        with(None),
        format!("Say nothing of how far {name} lies above {lower}."),
    ));
    candidates
}

/// A step said the other way round, if the lower level is said to lie above no other.
fn turned_round(scene: &Scene, units: Units, level: &Level, above: Above) -> Option<Candidate> {
    let lower = scene.level(above.level).filter(|l| l.above.is_none())?;
    let up = Above { level: level.id, ..above };
    let by = units.metres(above.by.metres);
    let what = format!("that {} lies {by} above {}", lower.name, level.name);
    let edits = vec![
        Edit::PutLevel(Level { above: None, ..level.clone() }),
        Edit::PutLevel(Level { above: Some(up), ..lower.clone() }),
    ];
    Some(Candidate::said(
        Edit::Several { label: format!("Say {what}"), edits },
        format!("Say instead {what}."),
    ))
}

/// Overlaps that cannot be: any of them may be the wrong one.
pub(super) fn of_overlaps(scene: &Scene, finding: &Finding) -> Vec<Candidate> {
    let named = std::iter::once(&finding.about).chain(&finding.with);
    let overlaps = named.filter_map(|subject| match subject {
        Subject::Overlap(id) => scene.overlap(*id),
        Subject::Line(_)
        | Subject::Marker(_)
        | Subject::Level(_)
        | Subject::StandIn(_)
        | Subject::Guide(_) => None,
    });
    overlaps.flat_map(|overlap| of_overlap(scene, *overlap)).collect()
}

fn of_overlap(scene: &Scene, overlap: Overlap) -> [Candidate; 2] {
    let Overlap { id, front, behind } = overlap;
    let [near, far] = [front, behind].map(|id| subject_name(scene, Subject::Marker(id)));
    [
        Candidate::said(
            Edit::PutOverlap(Overlap { front: behind, behind: front, ..overlap }),
            format!("Paint {far} over {near} and turn the overlap round."),
        ),
        Candidate::said(
            Edit::RemoveOverlap(id),
            format!("Paint {near} and {far} apart and remove the overlap."),
        ),
    ]
}
