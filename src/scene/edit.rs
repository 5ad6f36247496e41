//! Edits as values: whatever a gesture means, an edit says, and applying it makes a new scene.

use crate::validate::Flaw;
use crate::{
    AlternativeId, Beginning, Block, BlockId, EyeByHand, Family, Frame, Guide, GuideId, Incline,
    InclineId, Intended, Level, LevelId, Line, LineId, Marker, MarkerId, Overlap, OverlapId,
    POINTING_RANGE, Painting, Reframing, Scene, Segment, Span, StandIn, StandInId, Stands, Subject,
    World, reframed,
};
use std::path::PathBuf;

/// One change to a scene. *Put* replaces the thing with the same id, or adds it after the others;
/// *remove* also takes away or relaxes what refers to the thing.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Names the picture.
    SetTitle(String),
    /// Says which file is painted on, or that the frame is blank.
    SetPainting(Option<Painting>),
    /// Says which size book the production keeps, or that there is none.
    SetSizeBook(Option<PathBuf>),
    /// Sets the shape of the frame and the width it is worked at.
    SetFrame(Frame),
    /// Takes the shape of a painting that was cropped, extended or stretched, and moves everything placed
    /// in the picture along.
    Reframe {
        /// How the old frame lies in the new one.
        map: Reframing,
        /// The new frame.
        frame: Frame,
    },
    /// Sets the pointing precision, frame widths.
    SetPointing(f64),
    /// Sets what is known of the eye by hand.
    SetEye(EyeByHand),
    /// Sets the world that the scene is in.
    SetWorld(World),
    /// Sets the horizon where it can be seen.
    SetHorizon(Option<Segment>),
    /// Adds or changes a block.
    PutBlock(Block),
    /// Removes a block, its lines and guides; markers that ran along it face the viewer, and stand-ins that were
    /// turned with it count their turn from straight ahead.
    RemoveBlock(BlockId),
    /// Adds or changes an incline.
    PutIncline(Incline),
    /// Removes an incline, its lines and guides; markers that ran along it face the viewer, and shadows of its light
    /// tie nothing.
    RemoveIncline(InclineId),
    /// Adds or changes a traced line.
    PutLine(Line),
    /// Removes a traced line.
    RemoveLine(LineId),
    /// Adds or changes a level.
    PutLevel(Level),
    /// Removes a level with the stand-ins on it; markers that stood on it stand on nothing that was said.
    RemoveLevel(LevelId),
    /// Adds or changes a marker.
    PutMarker(Marker),
    /// Removes a marker with the comparisons and overlaps that name it.
    RemoveMarker(MarkerId),
    /// Adds or changes an overlap.
    PutOverlap(Overlap),
    /// Removes an overlap.
    RemoveOverlap(OverlapId),
    /// Adds or changes a stand-in.
    PutStandIn(StandIn),
    /// Removes a stand-in.
    RemoveStandIn(StandInId),
    /// Adds or changes a guide.
    PutGuide(Guide),
    /// Removes a guide.
    RemoveGuide(GuideId),
    /// Keeps a contradiction on purpose, or changes the reason why.
    PutIntended(Intended),
    /// No longer keeps a contradiction on purpose.
    RemoveIntended(Subject),
    /// Begins another alternative and puts it on show; what was there becomes one, too.
    StartAlternative {
        /// What the painter calls it.
        name: String,
        /// What it begins with.
        beginning: Beginning,
    },
    /// Puts an alternative on show and the present one aside.
    ShowAlternative(AlternativeId),
    /// Names an alternative.
    RenameAlternative {
        /// Which.
        id: AlternativeId,
        /// What the painter calls it.
        name: String,
    },
    /// Throws an alternative away; if it was on show, the next one is.
    RemoveAlternative(AlternativeId),
    /// Takes what an alternative has and the one on show has not, and throws it away.
    MergeAlternative(AlternativeId),
    /// Several edits, one after the other, undone together: all or none.
    Several {
        /// What the painter did, for undo.
        label: String,
        /// The edits.
        edits: Vec<Edit>,
    },
}

/// Why an edit cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum EditError {
    /// What was to be removed is not there.
    #[error("there is no {0} to remove")]
    NotThere(String),
    /// The alternative on show cannot be merged into itself.
    #[error("{0} is on show; show the alternative that is to take it in")]
    OnShow(String),
    /// The old frame would be far too large or too small in the new one.
    #[error("the old frame cannot lie so in the new one: it would be far too large or too small")]
    NoFrame,
    /// The scene would not be sound.
    #[error(transparent)]
    Flaw(#[from] Flaw),
}

/// The scene after an edit, tidied and sound; the scene before is untouched.
///
/// # Errors
/// When the edit would leave the scene with an impossible number, a reference to nothing or a thing
/// twice, or removes what is not there.
pub fn apply(scene: &Scene, edit: &Edit) -> Result<Scene, EditError> {
    let mut after = scene.clone();
    change(&mut after, edit)?;
    let after = after.tidied();
    after.validate()?;
    Ok(after)
}

fn change(scene: &mut Scene, edit: &Edit) -> Result<(), EditError> {
    match edit {
        Edit::SetTitle(title) => scene.title.clone_from(title),
        Edit::SetPainting(painting) => scene.painting.clone_from(painting),
        Edit::SetSizeBook(book) => scene.size_book.clone_from(book),
        Edit::SetFrame(frame) => scene.frame = *frame,
        Edit::Reframe { map, frame } => {
            if !map.is_sound() {
                return Err(EditError::NoFrame);
            }
            *scene = reframed(scene, map, *frame);
            scene.pointing = scene.pointing.clamp(*POINTING_RANGE.start(), *POINTING_RANGE.end());
        }
        Edit::SetPointing(pointing) => scene.pointing = *pointing,
        Edit::SetEye(eye) => scene.eye = *eye,
        Edit::SetWorld(world) => scene.world = *world,
        Edit::SetHorizon(horizon) => scene.horizon = *horizon,
        Edit::PutBlock(block) => put(&mut scene.blocks, block, |b| b.id),
        Edit::RemoveBlock(id) => {
            take(&mut scene.blocks, id, "block", |b| b.id)?;
            scene.in_each_alternative(|scene| {
                drop_family(scene, Family::RecedingRight(*id));
                drop_family(scene, Family::RecedingLeft(*id));
                drop_alignment(scene, *id);
            });
        }
        Edit::PutIncline(incline) => put(&mut scene.inclines, incline, |i| i.id),
        Edit::RemoveIncline(id) => {
            take(&mut scene.inclines, id, "incline", |i| i.id)?;
            scene.in_each_alternative(|scene| {
                drop_family(scene, Family::Incline(*id));
                drop_family(scene, Family::Run(*id));
                drop_light(scene, *id);
            });
        }
        Edit::PutLine(line) => put(&mut scene.lines, line, |l| l.id),
        Edit::RemoveLine(id) => take(&mut scene.lines, id, "line", |l| l.id)?,
        Edit::PutLevel(level) => put(&mut scene.levels, level, |l| l.id),
        Edit::RemoveLevel(id) => {
            take(&mut scene.levels, id, "level", |l| l.id)?;
            scene.in_each_alternative(|scene| drop_support(scene, *id));
        }
        Edit::PutMarker(marker) => put(&mut scene.markers, marker, |m| m.id),
        Edit::RemoveMarker(id) => {
            take(&mut scene.markers, id, "marker", |m| m.id)?;
            drop_comparisons(scene, *id);
        }
        Edit::PutOverlap(overlap) => put(&mut scene.overlaps, overlap, |o| o.id),
        Edit::RemoveOverlap(id) => take(&mut scene.overlaps, id, "overlap", |o| o.id)?,
        Edit::PutStandIn(stand_in) => put(&mut scene.stand_ins, stand_in, |s| s.id),
        Edit::RemoveStandIn(id) => take(&mut scene.stand_ins, id, "stand-in", |s| s.id)?,
        Edit::PutGuide(guide) => put(&mut scene.guides, guide, |g| g.id),
        Edit::RemoveGuide(id) => take(&mut scene.guides, id, "guide", |g| g.id)?,
        Edit::PutIntended(kept) => put(&mut scene.intended, kept, |i| i.about),
        Edit::RemoveIntended(about) => {
            let before = scene.intended.len();
            scene.intended.retain(|i| i.about != *about);
            if scene.intended.len() == before {
                return Err(EditError::NotThere("intended contradiction".into()));
            }
        }
        Edit::StartAlternative { name, beginning } => scene.start_alternative(name, *beginning),
        Edit::ShowAlternative(id) => scene.show_alternative(*id)?,
        Edit::RenameAlternative { id, name } => scene.rename_alternative(*id, name)?,
        Edit::RemoveAlternative(id) => scene.remove_alternative(*id)?,
        Edit::MergeAlternative(id) => scene.merge_alternative(*id)?,
        Edit::Several { edits, .. } => edits.iter().try_for_each(|edit| change(scene, edit))?,
    }
    drop_intended_of_nothing(scene);
    Ok(())
}

fn put<T: Clone, I: PartialEq>(things: &mut Vec<T>, thing: &T, id: impl Fn(&T) -> I) {
    match things.iter_mut().find(|t| id(t) == id(thing)) {
        Some(there) => there.clone_from(thing),
        None => things.push(thing.clone()),
    }
}

fn take<T, I: PartialEq + std::fmt::Display>(
    things: &mut Vec<T>,
    gone: &I,
    kind: &str,
    id: impl Fn(&T) -> I,
) -> Result<(), EditError> {
    let before = things.len();
    things.retain(|t| id(t) != *gone);
    if things.len() == before {
        return Err(EditError::NotThere(format!("{kind} {gone}")));
    }
    Ok(())
}

fn drop_family(scene: &mut Scene, family: Family) {
    scene.lines.retain(|line| line.family != family);
    scene.guides.retain(|guide| guide.shape.families().all(|along| along != family));
    for marker in &mut scene.markers {
        if marker.span == Span::Along(family) {
            marker.span = Span::Facing;
        }
    }
}

fn drop_alignment(scene: &mut Scene, gone: BlockId) {
    for stand_in in &mut scene.stand_ins {
        stand_in.along = stand_in.along.filter(|block| *block != gone);
    }
}

fn drop_light(scene: &mut Scene, gone: InclineId) {
    for marker in &mut scene.markers {
        if matches!(marker.stands, Stands::Shadow { light, .. } if light == gone) {
            marker.stands = Stands::Unsaid;
        }
    }
}

fn drop_support(scene: &mut Scene, gone: LevelId) {
    scene.stand_ins.retain(|stand_in| stand_in.level != gone);
    for level in &mut scene.levels {
        level.above = level.above.filter(|above| above.level != gone);
    }
    for guide in &mut scene.guides {
        if guide.shape.level() == Some(gone) {
            guide.shape = guide.shape.on_level(None);
        }
    }
    for marker in &mut scene.markers {
        if marker.stands.level() == Some(gone) {
            marker.stands = Stands::Unsaid;
        }
    }
}

fn drop_comparisons(scene: &mut Scene, gone: MarkerId) {
    for marker in &mut scene.markers {
        marker.statements.retain(|said| said.compares_with() != Some(gone));
        if marker.stands == Stands::OnTop(gone) {
            marker.stands = Stands::Unsaid;
        }
    }
    scene.overlaps.retain(|o| o.front != gone && o.behind != gone);
}

fn drop_intended_of_nothing(scene: &mut Scene) {
    let mut kept = std::mem::take(&mut scene.intended);
    kept.retain(|i| scene.has(i.about));
    scene.intended = kept;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Side;
    use crate::Statement;
    use glam::DVec2;

    fn figure(id: u32, name: &str) -> Marker {
        Marker {
            id: MarkerId(id),
            name: name.into(),
            foot: DVec2::new(0.1, 0.1),
            head: DVec2::new(0.1, 0.05),
            span: Span::Upright,
            stands: Stands::On(LevelId(1)),
            statements: vec![],
        }
    }

    /// Two figures, the second compared with the first, and everything that can refer to something.
    fn quay() -> Scene {
        let mut crate_ = figure(2, "Crate");
        crate_.span = Span::Along(Family::RecedingRight(BlockId(1)));
        crate_.statements = vec![
            Statement::SameMake { of: MarkerId(1), spread: 0.1 },
            Statement::Distance(crate::Known { metres: 12.0, spread: 0.1 }),
        ];
        let segment = Segment(DVec2::ZERO, DVec2::X);
        let line = |id, family| Line { id: LineId(id), family, segment };
        Scene {
            inclines: vec![Incline::new(InclineId(1), "ramp")],
            lines: vec![
                line(1, Family::Upright),
                line(2, Family::RecedingLeft(BlockId(1))),
                line(3, Family::Incline(InclineId(1))),
            ],
            markers: vec![figure(1, "Foreman"), crate_],
            overlaps: vec![Overlap { id: OverlapId(1), front: MarkerId(1), behind: MarkerId(2) }],
            intended: [
                Subject::Marker(MarkerId(1)),
                Subject::Line(LineId(2)),
                Subject::Overlap(OverlapId(1)),
                Subject::Level(LevelId(1)),
            ]
            .map(|about| Intended { about, reason: "a dream".into(), by: String::new() })
            .into(),
            ..Scene::default()
        }
    }

    #[test]
    fn putting_replaces_the_thing_with_the_same_id_and_adds_a_new_one_last() {
        let scene = apply(&quay(), &Edit::PutMarker(figure(1, "Mate"))).unwrap();
        assert_eq!(scene.markers.len(), 2);
        assert_eq!(scene.markers[0].name, "Mate");
        let scene = apply(&scene, &Edit::PutMarker(figure(7, "Boy"))).unwrap();
        assert_eq!(scene.markers[2].name, "Boy");
        assert_eq!(scene.next_marker_id(), MarkerId(8));
    }

    #[test]
    fn removing_a_marker_removes_comparisons_overlaps_and_intended() {
        let scene = apply(&quay(), &Edit::RemoveMarker(MarkerId(1))).unwrap();
        assert_eq!(scene.markers.len(), 1);
        assert!(matches!(scene.markers[0].statements[..], [Statement::Distance(_)]));
        assert!(scene.overlaps.is_empty());
        let kept: Vec<_> = scene.intended.iter().map(|i| i.about).collect();
        assert_eq!(kept, [Subject::Line(LineId(2)), Subject::Level(LevelId(1))]);
    }

    #[test]
    fn removing_a_level_leaves_its_markers_standing_on_nothing_said() {
        let scene = apply(&quay(), &Edit::RemoveLevel(LevelId(1))).unwrap();
        assert!(scene.levels.is_empty());
        assert!(scene.markers.iter().all(|m| m.stands == Stands::Unsaid));
        assert_eq!(scene.intended_reason(Subject::Level(LevelId(1))), None);
    }

    #[test]
    fn removing_a_block_or_an_incline_removes_its_lines_and_turns_its_markers_to_the_viewer() {
        let scene = apply(&quay(), &Edit::RemoveBlock(BlockId(1))).unwrap();
        assert_eq!(scene.lines.iter().map(|l| l.id.0).collect::<Vec<_>>(), [1, 3]);
        assert_eq!(scene.markers[1].span, Span::Facing);
        let scene = apply(&scene, &Edit::RemoveIncline(InclineId(1))).unwrap();
        assert_eq!(scene.lines.iter().map(|l| l.id.0).collect::<Vec<_>>(), [1]);
    }

    #[test]
    fn removing_what_is_not_there_is_refused() {
        let refused = apply(&quay(), &Edit::RemoveMarker(MarkerId(9))).unwrap_err();
        assert_eq!(refused.to_string(), "there is no marker 9 to remove");
        assert!(apply(&quay(), &Edit::RemoveIntended(Subject::Marker(MarkerId(2)))).is_err());
    }

    #[test]
    fn several_edits_are_made_together_or_not_at_all() {
        let edits = vec![Edit::SetTitle("Quay".into()), Edit::SetPointing(f64::NAN)];
        let edit = Edit::Several { label: "Set up".into(), edits };
        assert!(matches!(apply(&quay(), &edit), Err(EditError::Flaw(_))));
    }

    #[test]
    fn edits_in_a_batch_may_lean_on_each_other() {
        let deck = Level {
            id: LevelId(2),
            name: "deck".into(),
            side: Side::Below,
            clearance: None,
            above: None,
        };
        let mut mate = figure(3, "Mate");
        mate.stands = Stands::On(LevelId(2));
        let edits = vec![Edit::PutMarker(mate), Edit::PutLevel(deck)];
        let edit = Edit::Several { label: "Add a deck with a mate".into(), edits };
        assert_eq!(apply(&quay(), &edit).unwrap().markers.len(), 3);
    }

    #[test]
    fn names_are_tidied() {
        let scene = apply(&quay(), &Edit::PutMarker(figure(1, " \u{202e}Mate\n"))).unwrap();
        assert_eq!(scene.markers[0].name, "Mate");
        let scene = apply(&quay(), &Edit::PutMarker(figure(1, "  "))).unwrap();
        assert_eq!(scene.markers[0].name, "marker 1");
    }

    #[test]
    fn an_edited_scene_is_as_sound_as_the_one_before() {
        let mut orphan = figure(1, "Foreman");
        orphan.stands = Stands::On(LevelId(5));
        assert!(apply(&quay(), &Edit::PutMarker(orphan)).is_err());
    }

    #[test]
    fn a_new_id_is_free_even_after_the_largest_there_is() {
        let scene =
            Scene { markers: vec![figure(1, "a"), figure(u32::MAX, "b")], ..Scene::default() };
        assert_eq!(scene.next_marker_id(), MarkerId(2));
        assert_eq!(Scene { levels: vec![], ..Scene::default() }.next_level_id(), LevelId(1));
    }
}
