//! Levels and markers: how far, how large, how sure.

use super::{Interval, SubjectRecord, UnitRecord, intended_by};
use serde::Serialize;
use staffage_scene::{
    Above, Assessment, Bounds, Entry, Evidence, Lean, LevelReading, MarkerId, Scene, Share, Stands,
    Subject, VisibleHorizon, all_evidence, standing_word,
};
use std::collections::BTreeMap;

pub(super) fn ledger<'a>(scene: &'a Scene, assessment: &Assessment) -> Vec<EntryRecord<'a>> {
    let evidence: BTreeMap<MarkerId, Evidence> =
        scene.markers.iter().map(|m| m.id).zip(all_evidence(scene)).collect();
    let record = |entry: &Entry| {
        let evidence = EvidenceRecord::of(scene, evidence.get(&entry.id));
        EntryRecord::of(scene, entry, evidence)
    };
    assessment.ledger.iter().map(record).collect()
}

#[derive(Serialize)]
pub(super) struct LevelRecord<'a> {
    id: u32,
    name: &'a str,
    clearance: Option<Interval>,
    #[serde(flatten)]
    unit: UnitRecord,
    above: Option<AboveRecord>,
    horizon: Option<HorizonRecord>,
}

/// How far a level is said to lie above another.
#[derive(Serialize)]
struct AboveRecord {
    level: u32,
    metres: f64,
    spread: f64,
}

impl From<Above> for AboveRecord {
    fn from(above: Above) -> Self {
        Self { level: above.level.0, metres: above.by.metres, spread: above.by.spread }
    }
}

/// Where a curved level is last seen: metres, and degrees below the eye's level.
#[derive(Serialize)]
struct HorizonRecord {
    distance: f64,
    dip: f64,
}

impl From<VisibleHorizon> for HorizonRecord {
    fn from(horizon: VisibleHorizon) -> Self {
        Self { distance: horizon.distance, dip: horizon.dip.to_degrees() }
    }
}

impl<'a> LevelRecord<'a> {
    pub(super) fn of(scene: &'a Scene, level: &LevelReading) -> Self {
        Self {
            id: level.id.0,
            name: scene.level(level.id).map_or("", |l| &l.name),
            clearance: level.clearance.map(Into::into),
            unit: level.unit.into(),
            above: scene.level(level.id).and_then(|l| l.above).map(Into::into),
            horizon: level.horizon.map(Into::into),
        }
    }
}

#[derive(Serialize)]
pub(super) struct EntryRecord<'a> {
    id: u32,
    name: &'a str,
    stands: Option<StandsRecord>,
    distance: Option<Interval>,
    size: Option<Interval>,
    elevation: Option<f64>,
    /// Metres of it, from its foot up, that the curve of the world hides.
    hidden: Option<f64>,
    #[serde(flatten)]
    unit: UnitRecord,
    standing: &'static str,
    intended: Option<&'a str>,
    intended_by: Option<&'a str>,
    standardized: f64,
    redundancy: f64,
    expected_size: Option<Interval>,
    lean: Option<LeanRecord>,
    true_head: Option<[f64; 2]>,
    detectable: Option<f64>,
    bounds: Option<BoundsRecord>,
    evidence: EvidenceRecord,
}

impl<'a> EntryRecord<'a> {
    fn of(scene: &'a Scene, entry: &Entry, evidence: EvidenceRecord) -> Self {
        Self {
            id: entry.id.0,
            name: scene.marker(entry.id).map_or("", |m| &m.name),
            stands: scene.marker(entry.id).and_then(|m| StandsRecord::of(m.stands)),
            distance: entry.distance.map(Into::into),
            size: entry.size.map(Into::into),
            elevation: entry.elevation,
            hidden: entry.hidden,
            unit: entry.unit.into(),
            standing: standing_word(entry.standing),
            intended: scene.intended_reason(Subject::Marker(entry.id)),
            intended_by: intended_by(scene, Subject::Marker(entry.id)),
            standardized: entry.standardized,
            redundancy: entry.redundancy,
            expected_size: entry.expected_size.map(Into::into),
            lean: entry.lean.map(Into::into),
            true_head: entry.true_head.map(|head| head.to_array()),
            detectable: entry.detectable,
            bounds: entry.bounds.map(Into::into),
            evidence,
        }
    }
}

/// What a marker stands on: a level, or another marker by its id.
#[derive(Serialize)]
#[serde(tag = "how", rename_all = "snake_case")]
enum StandsRecord {
    On { level: u32 },
    Over { level: u32, plumb: [f64; 2] },
    Shadow { level: u32, tip: [f64; 2], light: u32 },
    Hidden { level: u32, height: f64, spread: f64 },
    OnTop { marker: u32 },
}

impl StandsRecord {
    fn of(stands: Stands) -> Option<Self> {
        Some(match stands {
            Stands::Unsaid => return None,
            Stands::On(level) => Self::On { level: level.0 },
            Stands::Over { level, plumb } => Self::Over { level: level.0, plumb: plumb.to_array() },
            Stands::Shadow { level, tip, light } => {
                Self::Shadow { level: level.0, tip: tip.to_array(), light: light.0 }
            }
            Stands::Hidden { level, height } => {
                Self::Hidden { level: level.0, height: height.metres, spread: height.spread }
            }
            Stands::OnTop(base) => Self::OnTop { marker: base.0 },
        })
    }
}

/// What overlaps say of a thing that nothing else fixes.
#[derive(Serialize)]
struct BoundsRecord {
    nearest: Option<f64>,
    farthest: Option<f64>,
    smallest: Option<f64>,
    largest: Option<f64>,
    #[serde(flatten)]
    unit: UnitRecord,
}

impl From<Bounds> for BoundsRecord {
    fn from(bounds: Bounds) -> Self {
        Self {
            nearest: bounds.nearest,
            farthest: bounds.farthest,
            smallest: bounds.smallest,
            largest: bounds.largest,
            unit: bounds.unit.into(),
        }
    }
}

/// What distance and size rest on, the largest shares first.
#[derive(Serialize)]
struct EvidenceRecord {
    distance: Vec<ShareRecord>,
    size: Vec<ShareRecord>,
}

impl EvidenceRecord {
    fn of(scene: &Scene, evidence: Option<&Evidence>) -> Self {
        let shares = |of: fn(&Evidence) -> &[Share]| {
            let shares = evidence.map_or(&[][..], of);
            shares.iter().map(|share| ShareRecord::of(scene, share)).collect()
        };
        Self { distance: shares(|e| &e.distance), size: shares(|e| &e.size) }
    }
}

#[derive(Serialize)]
struct ShareRecord {
    what: String,
    about: Option<SubjectRecord>,
    share: f64,
}

impl ShareRecord {
    fn of(scene: &Scene, share: &Share) -> Self {
        Self {
            what: share.what.clone(),
            about: share.subject.map(|subject| SubjectRecord::of(scene, subject)),
            share: share.share,
        }
    }
}

/// Degrees, clockwise positive.
#[derive(Serialize)]
struct LeanRecord {
    degrees: f64,
    sd: f64,
    plumb: f64,
}

impl From<Lean> for LeanRecord {
    fn from(lean: Lean) -> Self {
        Self {
            degrees: lean.angle.to_degrees(),
            sd: lean.sd.to_degrees(),
            plumb: lean.plumb.to_degrees(),
        }
    }
}
