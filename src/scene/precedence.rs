//! The order in which lines, statements and levels are handed to the maths.

use crate::{Line, MarkerId, Scene, Statement};
use staffage_solver::{Claim, Ledger};

/// The traced lines in the order of their ids, each with its place in the scene: summed in another order
/// they would give another last digit.
pub(crate) fn lines_by_id(scene: &Scene) -> Vec<(usize, &Line)> {
    let mut lines: Vec<_> = scene.lines.iter().enumerate().collect();
    lines.sort_by_key(|(_, line)| line.id);
    lines
}

/// Puts the ledger's observations in the order of the ids of what they are about, statements about one thing
/// in the order of what they say, and the levels that may serve as a datum in the order of theirs. Among
/// statements that nothing tells apart the first is accused, and among levels the first gives the eye
/// heights: so neither depends on where things happen to stand in the scene's lists.
pub(crate) fn in_order_of_ids(scene: &Scene, places: &[Vec<usize>], ledger: &mut Ledger) {
    let mut groups: Vec<_> = std::mem::take(&mut ledger.claims)
        .into_iter()
        .zip(std::mem::take(&mut ledger.network.groups))
        .collect();
    groups.sort_by_cached_key(|(claims, _)| claims.first().map(|c| rank(scene, places, *c)));
    (ledger.claims, ledger.network.groups) = groups.into_iter().unzip();
    ledger.network.datum.sort_by_key(|&level| scene.levels.get(level).map(|l| l.id));
}

/// Kind of claim, id of what it is about, and what it says.
type Rank = (u8, u32, Option<Said>);

/// Kind of statement, the other marker, and the bits of its figures, which for positive numbers sort as
/// the numbers do.
type Said = (u8, u32, u64, u64);

fn rank(scene: &Scene, places: &[Vec<usize>], claim: Claim) -> Rank {
    let level = |place: usize| scene.levels.get(place).map_or(0, |l| l.id.0);
    let marker = |place: usize| scene.markers.get(place).map_or(0, |m| m.id.0);
    match claim {
        Claim::Clearance(place) => (0, level(place), None),
        Claim::Above(place) => (1, level(place), None),
        Claim::Stands(place) | Claim::Spans(place) => (2, marker(place), None),
        Claim::Known { marker: place, known } => {
            let statement = places.get(place).and_then(|known_places| known_places.get(known));
            let of = scene.markers.get(place);
            let said = statement.and_then(|k| of?.statements.get(*k)).map(said);
            (3, marker(place), said)
        }
    }
}

fn said(statement: &Statement) -> Said {
    let said = |kind: u8, MarkerId(of), value: f64, spread: f64| {
        (kind, of, value.to_bits(), spread.to_bits())
    };
    let nothing = MarkerId(0);
    match *statement {
        Statement::KnownSize { size, .. } => said(0, nothing, size.metres, size.spread),
        Statement::SameMake { of, spread } => said(1, of, 1.0, spread),
        Statement::Times { of, factor, spread } => said(2, of, factor, spread),
        Statement::SameDistance { of, spread } => said(3, of, 1.0, spread),
        Statement::Distance(distance) => said(4, nothing, distance.metres, distance.spread),
    }
}
