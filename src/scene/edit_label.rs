//! What an edit is called in the undo menu: "Move Foreman", "Trace a receding-left line".

use crate::tidy::{LONGEST_NAME, tidy, tidy_or_numbered};
use crate::{AlternativeId, Edit, Family, Guide, Line, Marker, Scene, StandIn, Stands, Subject};
use glam::DVec2;

impl Edit {
    /// What the painter did, as a short order, given the scene before it.
    #[must_use]
    pub fn label(&self, before: &Scene) -> String {
        match self {
            Self::SetTitle(_) => "Name the picture".into(),
            Self::SetPainting(Some(_)) => "Choose the painting".into(),
            Self::SetPainting(None) => "Take the painting away".into(),
            Self::SetSizeBook(Some(_)) => "Choose the size book".into(),
            Self::SetSizeBook(None) => "Put the size book away".into(),
            Self::SetFrame(frame) if frame.ratio == before.frame.ratio => {
                "Set the working width".into()
            }
            Self::SetFrame(_) => "Set the frame".into(),
            Self::Reframe { map, .. } if map.is_stretched() => {
                "Stretch along with the painting".into()
            }
            Self::Reframe { .. } => "Take the painting’s new frame".into(),
            Self::SetPointing(_) => "Set the pointing precision".into(),
            Self::SetWorld(_) => "Set the world".into(),
            Self::SetEye(eye) => eye_label(before, *eye).into(),
            Self::SetHorizon(None) => "Delete the horizon".into(),
            Self::SetHorizon(Some(_)) if before.horizon.is_some() => "Move the horizon".into(),
            Self::SetHorizon(Some(_)) => "Trace the horizon".into(),
            Self::PutBlock(b) => match before.block(b.id) {
                None => format!("Add block {}", tidy_or_numbered(&b.name, "block", b.id.0)),
                Some(there) if there.name != b.name => format!("Rename block {}", there.name),
                Some(there) => format!("Set the heading of {}", there.name),
            },
            Self::RemoveBlock(id) => {
                delete("block", id.0, before.block(*id).map(|b| b.name.as_str()))
            }
            Self::PutIncline(i) => match before.incline(i.id) {
                None => format!("Add incline {}", tidy_or_numbered(&i.name, "incline", i.id.0)),
                Some(there) if there.name != i.name => format!("Rename incline {}", there.name),
                Some(there) if there.slope != i.slope => format!("Set the slope of {}", there.name),
                Some(there) => format!("Set the heading of {}", there.name),
            },
            Self::RemoveIncline(id) => {
                delete("incline", id.0, before.incline(*id).map(|i| i.name.as_str()))
            }
            Self::PutLine(line) => line_label(before, line),
            Self::RemoveLine(id) => match before.line(*id) {
                Some(line) => format!("Delete {}", family_line(line.family)),
                None => format!("Delete line {id}"),
            },
            Self::PutLevel(l) => match before.level(l.id) {
                None => format!("Add level {}", tidy_or_numbered(&l.name, "level", l.id.0)),
                Some(there) if there.name != l.name => format!("Rename level {}", there.name),
                Some(there) if there.clearance != l.clearance => {
                    format!("Set the height over level {}", there.name)
                }
                Some(there) if there.above != l.above => {
                    format!("Set how high level {} lies", there.name)
                }
                Some(there) => format!("Change level {}", there.name),
            },
            Self::RemoveLevel(id) => {
                delete("level", id.0, before.level(*id).map(|l| l.name.as_str()))
            }
            Self::PutMarker(marker) => marker_label(before, marker),
            Self::RemoveMarker(id) => format!("Delete {}", marker_name(before, *id)),
            Self::PutOverlap(o) => format!(
                "Put {} in front of {}",
                marker_name(before, o.front),
                marker_name(before, o.behind)
            ),
            Self::RemoveOverlap(_) => "Delete an overlap".into(),
            Self::PutGuide(guide) => guide_label(before, guide),
            Self::RemoveGuide(id) => match before.guide(*id) {
                Some(guide) => format!("Delete {}", guide.name),
                None => format!("Delete guide {id}"),
            },
            Self::PutStandIn(stand_in) => stand_in_label(before, stand_in),
            Self::RemoveStandIn(id) => format!("Delete {}", stand_in_name(before, *id)),
            Self::StartAlternative { name, .. } => {
                format!("Start alternative {}", tidy(name, LONGEST_NAME))
            }
            Self::ShowAlternative(id) => format!("Show {}", alternative_name(before, *id)),
            Self::RenameAlternative { id, .. } => {
                format!("Rename {}", alternative_name(before, *id))
            }
            Self::RemoveAlternative(id) => {
                format!("Throw {} away", alternative_name(before, *id))
            }
            Self::MergeAlternative(id) => format!("Take {} in", alternative_name(before, *id)),
            Self::PutIntended(kept) => {
                format!("Keep {} as intended", subject_name(before, kept.about))
            }
            Self::RemoveIntended(about) => {
                format!("No longer intend {}", subject_name(before, *about))
            }
            Self::Several { label, .. } => label.clone(),
        }
    }
}

fn eye_label(before: &Scene, eye: crate::EyeByHand) -> &'static str {
    let was = before.eye;
    if eye.principal != was.principal {
        return "Set where the painting was cropped";
    }
    match (eye.angle_of_view != was.angle_of_view, eye.pitch != was.pitch, eye.cant != was.cant) {
        (true, false, false) => "Set the lens",
        (true, true, false) if eye.horizon_placed && was.horizon_placed => "Set the lens",
        (false, true, false) => "Set the pitch",
        (false, false, true) => "Set the cant",
        _ => "Set the eye",
    }
}

fn line_label(before: &Scene, line: &Line) -> String {
    match before.line(line.id) {
        None => format!("Trace {}", family_line(line.family)),
        Some(there) if there.family == line.family => format!("Move {}", family_line(line.family)),
        Some(there) => {
            format!("Turn {} into {}", family_line(there.family), family_line(line.family))
        }
    }
}

fn guide_label(before: &Scene, guide: &Guide) -> String {
    let word = guide.shape.word();
    let named = tidy_or_numbered(&guide.name, word, guide.id.0);
    let Some(there) = before.guide(guide.id) else { return format!("Draw {named}") };
    let placed = there.shape.handles() != guide.shape.handles();
    if there.name != guide.name {
        format!("Rename {} to {named}", there.name)
    } else if placed && there.shape.word() == word {
        format!("Move {}", there.name)
    } else {
        format!("Change {}", there.name)
    }
}

fn marker_label(before: &Scene, marker: &Marker) -> String {
    let Some(there) = before.marker(marker.id) else {
        return format!("Mark {}", tidy_or_numbered(&marker.name, "marker", marker.id.0));
    };
    let name = &there.name;
    if there.name != marker.name {
        let new = tidy_or_numbered(&marker.name, "marker", marker.id.0);
        format!("Rename {name} to {new}")
    } else if there.statements != marker.statements {
        format!("Change what is known of {name}")
    } else if there.span != marker.span {
        format!("Change how {name} runs")
    } else if there.stands.tied_at(DVec2::ZERO) != marker.stands.tied_at(DVec2::ZERO) {
        match marker.stands {
            Stands::Unsaid => format!("Lift {name} off its level"),
            Stands::On(level) => format!("Stand {name} on {}", level_name(before, level)),
            Stands::Over { level, .. } => {
                format!("Float {name} over {}", level_name(before, level))
            }
            Stands::Shadow { level, .. } => {
                format!("Cast the shadow of {name} on {}", level_name(before, level))
            }
            Stands::Hidden { level, .. } => {
                format!("Stand {name} on {} out of sight", level_name(before, level))
            }
            Stands::OnTop(base) => format!("Stack {name} on {}", marker_name(before, base)),
        }
    } else {
        format!("Move {name}")
    }
}

fn stand_in_label(before: &Scene, stand_in: &StandIn) -> String {
    let new = tidy_or_numbered(&stand_in.name, "stand-in", stand_in.id.0);
    let Some(there) = before.stand_in(stand_in.id) else { return format!("Set {new} in") };
    let name = &there.name;
    let (kind, count) = (std::mem::discriminant(&there.arranged), there.arranged.count());
    let is_dealt_anew = there.arranged != stand_in.arranged
        && there.arranged.to() == stand_in.arranged.to()
        && there.foot == stand_in.foot;
    if there.name != stand_in.name {
        format!("Rename {name} to {new}")
    } else if there.shape != stand_in.shape {
        format!("Change the size of {name}")
    } else if (there.turn, there.along) != (stand_in.turn, stand_in.along) {
        format!("Turn {name}")
    } else if there.lift != stand_in.lift {
        format!("Lift {name}")
    } else if there.level != stand_in.level {
        format!("Stand {name} on {}", level_name(before, stand_in.level))
    } else if kind != std::mem::discriminant(&stand_in.arranged)
        || count != stand_in.arranged.count()
    {
        format!("Change how many {name} there are")
    } else if is_dealt_anew {
        format!("Deal {name} again")
    } else {
        format!("Move {name}")
    }
}

fn delete(kind: &str, id: u32, name: Option<&str>) -> String {
    match name {
        Some(name) => format!("Delete {kind} {name}"),
        None => format!("Delete {kind} {id}"),
    }
}

fn family_line(family: Family) -> &'static str {
    match family {
        Family::Upright => "an upright line",
        Family::RecedingRight(_) => "a receding-right line",
        Family::RecedingLeft(_) => "a receding-left line",
        Family::Incline(_) => "a line of an incline",
        Family::Run(_) => "a level line of an incline",
    }
}

fn marker_name(scene: &Scene, id: crate::MarkerId) -> String {
    scene.marker(id).map_or_else(|| format!("marker {id}"), |m| m.name.clone())
}

fn alternative_name(scene: &Scene, id: AlternativeId) -> String {
    scene.alternative(id).map_or_else(|| format!("alternative {id}"), |a| a.name.clone())
}

fn stand_in_name(scene: &Scene, id: crate::StandInId) -> String {
    scene.stand_in(id).map_or_else(|| format!("stand-in {id}"), |s| s.name.clone())
}

fn level_name(scene: &Scene, id: crate::LevelId) -> String {
    scene.level(id).map_or_else(|| format!("level {id}"), |l| l.name.clone())
}

fn subject_name(scene: &Scene, subject: Subject) -> String {
    match subject {
        Subject::Line(id) => {
            scene.line(id).map_or("a line", |line| family_line(line.family)).to_owned()
        }
        Subject::Marker(id) => marker_name(scene, id),
        Subject::Level(id) => level_name(scene, id),
        Subject::Overlap(_) => "an overlap".into(),
        Subject::StandIn(id) => stand_in_name(scene, id),
        Subject::Guide(id) => scene.guide(id).map_or("a guide".into(), |g| g.name.clone()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        BlockId, EyeByHand, Frame, Known, LevelId, LineId, MarkerId, Segment, Span, Statement,
        apply,
    };
    use glam::DVec2;

    fn foreman() -> Marker {
        Marker {
            id: MarkerId(1),
            name: "Foreman".into(),
            foot: DVec2::new(0.1, 0.1),
            head: DVec2::new(0.1, 0.05),
            span: Span::Upright,
            stands: Stands::On(LevelId(1)),
            statements: vec![],
        }
    }

    fn with_foreman() -> Scene {
        Scene { markers: vec![foreman()], ..Scene::default() }
    }

    fn changed(change: impl FnOnce(&mut Marker)) -> String {
        let mut marker = foreman();
        change(&mut marker);
        Edit::PutMarker(marker).label(&with_foreman())
    }

    #[test]
    fn a_marker_edit_is_called_by_what_changed() {
        assert_eq!(Edit::PutMarker(foreman()).label(&Scene::default()), "Mark Foreman");
        assert_eq!(changed(|m| m.foot.x += 0.1), "Move Foreman");
        assert_eq!(changed(|m| m.name = "Mate".into()), "Rename Foreman to Mate");
        assert_eq!(changed(|m| m.stands = Stands::Unsaid), "Lift Foreman off its level");
        assert_eq!(changed(|m| m.span = Span::Facing), "Change how Foreman runs");
        let known = Statement::Distance(Known { metres: 12.0, spread: 0.1 });
        assert_eq!(changed(|m| m.statements.push(known)), "Change what is known of Foreman");
        assert_eq!(Edit::RemoveMarker(MarkerId(1)).label(&with_foreman()), "Delete Foreman");
    }

    #[test]
    fn a_line_edit_is_called_by_its_family() {
        let family = Family::RecedingLeft(BlockId(1));
        let line = Line { id: LineId(1), family, segment: Segment(DVec2::ZERO, DVec2::X) };
        let put = Edit::PutLine(line);
        assert_eq!(put.label(&Scene::default()), "Trace a receding-left line");
        let scene = apply(&Scene::default(), &put).unwrap();
        assert_eq!(put.label(&scene), "Move a receding-left line");
        let upright = Edit::PutLine(Line { family: Family::Upright, ..line });
        assert_eq!(upright.label(&scene), "Turn a receding-left line into an upright line");
    }

    #[test]
    fn other_edits_are_called_by_what_they_set() {
        let scene = Scene::default();
        assert_eq!(Edit::RemoveLevel(LevelId(1)).label(&scene), "Delete level ground");
        let wider = Frame { working_width: 5000, ..scene.frame };
        assert_eq!(Edit::SetFrame(wider).label(&scene), "Set the working width");
        let eye = EyeByHand { pitch: Some(10.0), ..EyeByHand::default() };
        assert_eq!(Edit::SetEye(eye).label(&scene), "Set the pitch");
        let book = Edit::SetSizeBook(Some("works.ron".into()));
        assert_eq!(book.label(&scene), "Choose the size book");
        assert_eq!(Edit::SetSizeBook(None).label(&scene), "Put the size book away");
    }
}
