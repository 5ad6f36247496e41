//! What a sheet holds, in a few lines, for whoever is about to write it.

use super::Sheet;
use crate::FILM_BACKS;
use staffage_scene::{Standing, Statement};
use staffage_solver::Source;

impl Sheet<'_> {
    /// What it holds, a line each: what is found, measured, taken as given and assumed.
    #[must_use]
    pub fn contents(&self) -> Vec<String> {
        let scene = self.scene;
        let mut lines = vec![self.found(), self.measured(), self.eye_told()];
        lines.push("the place from the side and from above".into());
        lines.push(self.given());
        lines.push(self.taken_for_granted());
        let things = [
            count(scene.guides.len(), "guide", "guides"),
            count(
                scene.stand_ins.len(),
                "stand-in or group of them",
                "stand-ins or groups of them",
            ),
        ];
        let things: Vec<String> = things.into_iter().flatten().collect();
        if !things.is_empty() {
            lines.push(things.join(" and "));
        }
        lines
    }

    fn found(&self) -> String {
        let findings = &self.assessment.findings;
        let kept = findings.iter().filter(|finding| finding.intended.is_some()).count();
        let found = count(findings.len() - kept, "finding", "findings");
        let found =
            found.map_or("no findings".into(), |n| format!("{n}, why, and what mends them"));
        if kept == 0 { found } else { format!("{found}; {kept} kept on purpose") }
    }

    fn measured(&self) -> String {
        let markers = count(self.assessment.ledger.len(), "marker", "markers");
        markers.map_or("no markers yet".into(), |n| format!("{n}, near to far, with intervals"))
    }

    fn eye_told(&self) -> String {
        let levels = count(self.scene.levels.len(), "level", "levels").unwrap_or_default();
        let backs = FILM_BACKS.len();
        format!("the eye over {levels}, with focal lengths on {backs} film backs")
    }

    fn given(&self) -> String {
        let said = || self.scene.markers.iter().flat_map(|marker| &marker.statements);
        let sizes = said().filter(|s| matches!(s, Statement::KnownSize { .. })).count();
        let distances = said().filter(|s| matches!(s, Statement::Distance(_))).count();
        let heights = self.scene.levels.iter().filter(|level| level.clearance.is_some()).count();
        let given = [
            count(sizes, "known size", "known sizes"),
            count(distances, "distance", "distances"),
            count(heights, "height of the eye", "heights of the eye"),
        ];
        let given: Vec<String> = given.into_iter().flatten().collect();
        match given.is_empty() {
            true => "taken as given: nothing, so that all is told in heights of the eye".into(),
            false => format!("taken as given: {}", given.join(", ")),
        }
    }

    fn taken_for_granted(&self) -> String {
        let eye = &self.assessment.eye;
        let angles =
            [(eye.angle_of_view, "angle of view"), (eye.pitch, "pitch"), (eye.cant, "cant")];
        let assumed = angles.into_iter().filter(|(of, _)| of.source == Source::Assumed);
        let mut assumed: Vec<String> = assumed.map(|(_, name)| name.to_owned()).collect();
        let of =
            |standing| self.assessment.ledger.iter().filter(|e| e.standing == standing).count();
        assumed.extend(
            count(of(Standing::Unchecked), "untested marker", "untested markers")
                .map(|n| format!("{n} taken as drawn")),
        );
        match assumed.is_empty() {
            true => "assumed: nothing of the eye".into(),
            false => format!("assumed: {}", assumed.join(", ")),
        }
    }
}

/// "1 marker", "31 markers"; none of none.
pub(crate) fn count(how_many: usize, one: &str, many: &str) -> Option<String> {
    match how_many {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    }
}
