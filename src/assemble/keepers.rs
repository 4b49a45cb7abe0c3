//! The rows of keepers.csv, and what frames.csv says of every shot: kept, not kept, or not known

use std::collections::BTreeMap;

use crate::keepers::{Choice, Match, ShotId};
use crate::report::{KeeperRow, Report};
use crate::shots::Sequence;
use crate::stages::Stages;

/// Fills the report's rows from the choice. `by_rating`: a shot that nobody rated is then neither kept nor refused.
pub fn fill(report: &mut Report, choice: &Choice, by_rating: bool, sequences: &[Sequence], stages: &Stages) {
    let ids = || {
        sequences.iter().enumerate().flat_map(|(s, q)| (0..q.shots.len()).map(move |shot| ShotId { sequence: s, shot }))
    };
    let rows: BTreeMap<ShotId, usize> = ids().zip(0..).collect();
    let kept = kept(choice);
    for (id, row) in ids().zip(&mut report.frames) {
        let found = kept.get(&id).copied();
        row.keeper = match found {
            Some(Match::OneOfSeveral) => "unknown",
            Some(_) => "yes",
            None if by_rating && !choice.judged.contains(&id) => "unknown",
            None => "no",
        }
        .to_owned();
        row.keeper_match = found.map_or("", Match::word).to_owned();
    }
    let frame = |id: &ShotId| Some(report.frames.get(*rows.get(id)?)?.frame.as_str());
    report.keepers = choice
        .keepers
        .iter()
        .map(|keeper| {
            let one = keeper.shots.first().filter(|_| keeper.shots.len() == 1);
            let names = |shots: &[ShotId]| shots.iter().filter_map(frame).collect::<Vec<_>>().join(";");
            KeeperRow {
                given: keeper.given.clone(),
                frame: one.and_then(frame).unwrap_or_default().to_owned(),
                stage: one.and_then(|id| stages.shots.get(id.sequence)?.get(id.shot)?.stage),
                matched: keeper.matched.word().to_owned(),
                candidates: if one.is_some() { String::new() } else { names(&keeper.shots) },
            }
        })
        .collect();
}

/// How every shot that is or may be a keeper was found: surely before perhaps, by name before time before picture.
fn kept(choice: &Choice) -> BTreeMap<ShotId, Match> {
    let rank = |found: Match| match found {
        Match::Name => 0,
        Match::Time => 1,
        Match::Picture => 2,
        Match::OneOfSeveral => 3,
        Match::None => 4,
    };
    let mut kept: BTreeMap<ShotId, Match> = BTreeMap::new();
    for keeper in &choice.keepers {
        for shot in &keeper.shots {
            let before = kept.entry(*shot).or_insert(keeper.matched);
            if rank(keeper.matched) < rank(*before) {
                *before = keeper.matched;
            }
        }
    }
    kept
}
