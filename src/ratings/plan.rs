//! What is to happen to the sidecars of every keeper, on plain bytes: a rating that a person gave is not touched unasked
//!
//! The shot counts as a whole. Where any of its sidecars, or without one the picture itself, holds another rating than the
//! one to be written, all stay as they are. Unrated (0) is no rating that a person gave.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::{OsStr, OsString};
use std::path::PathBuf;

use super::sidecar::{Beside, Sidecar, stem};
use super::{Said, edit, packet, sidecar};
use crate::keepers::{Choice, Match, ShotId};
use crate::shots::{Sequence, Shot};

/// A keeper's sidecars as they are, and the one to be made where there is none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wish {
    /// The frame.
    pub frame: String,
    /// Its sidecars.
    pub present: Vec<Sidecar>,
    /// The sidecar to be made where none is present.
    pub fresh: Option<Sidecar>,
    /// What the picture's own files say: the first that is rated or rejected.
    pub inside: Option<f64>,
}

/// What is to happen to one sidecar.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// It says so already, or the picture itself does.
    Same,
    /// A person gave this rating; it stays.
    Kept(f64),
    /// It cannot be changed; why, in words.
    Cannot(String),
    /// These are its new bytes; what it said before, where it was there.
    Write(Vec<u8>, Option<Said>),
}

/// The wishes of a choice: one for every shot that is surely a keeper, in order. `files` are the paths of the shoot's
/// files by their names.
#[must_use]
pub fn wishes(
    choice: &Choice,
    sequences: &[Sequence],
    sidecars: &[Sidecar],
    files: &BTreeMap<String, PathBuf>,
) -> Vec<Wish> {
    let sure = choice.keepers.iter().filter(|keeper| !matches!(keeper.matched, Match::None | Match::OneOfSeveral));
    let shots: BTreeSet<ShotId> = sure.flat_map(|keeper| keeper.shots.iter().copied()).collect();
    let beside = Beside::of(sidecars, |one| &one.name);
    let mut shared: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for shot in sequences.iter().flat_map(|s| &s.shots) {
        for name in of(shot) {
            shared.entry(stem(name).to_lowercase()).or_default().insert(&shot.frame);
        }
    }
    let wish = |id: &ShotId| {
        let shot = sequences.get(id.sequence)?.shots.get(id.shot)?;
        let alone = shared.get(&stem(&shot.frame).to_lowercase()).is_none_or(|frames| frames.len() == 1);
        // XMP part 3: the picture's name with the ending .xmp. Where two pictures share that name it would rate both.
        let name = format!("{}.xmp", if alone { stem(&shot.frame) } else { shot.frame.as_str() });
        let path = files.get(&shot.frame).map(|path| match (alone, path.file_name()) {
            (false, Some(file)) => path.with_file_name([file, OsStr::new(".xmp")].into_iter().collect::<OsString>()),
            _ => path.with_extension("xmp"),
        });
        let mut rated: Vec<_> = shot.metadata.ratings.iter().filter(|one| one.said.judged()).collect();
        rated.sort_by_key(|one| one.place);
        Some(Wish {
            frame: shot.frame.clone(),
            present: beside.find(of(shot)).into_iter().map(|one| (*one).clone()).collect(),
            fresh: path.map(|path| Sidecar { path, name }),
            inside: rated.first().and_then(|one| one.said.rating()),
        })
    };
    shots.iter().filter_map(wish).collect()
}

/// The frame and its companions.
fn of(shot: &Shot) -> impl Iterator<Item = &str> + Clone {
    [&shot.frame].into_iter().chain(&shot.companions).map(String::as_str)
}

/// What happens to the sidecars of one shot: `present` are the bytes of those that are there, or why they cannot be read.
/// Without any there is one change, for the sidecar to be made.
#[must_use]
pub fn changes(present: &[Result<Vec<u8>, String>], inside: Option<f64>, rating: u8, replace: bool) -> Vec<Change> {
    let wanted = f64::from(rating);
    let said: Vec<Result<Said, String>> =
        present.iter().map(|bytes| said(bytes.as_ref().map_err(Clone::clone)?)).collect();
    let by_person = said.iter().flatten().find_map(|said| said.rating().filter(|r| *r != 0.0 && *r != wanted));
    let silent = said.iter().flatten().all(|said| *said == Said::Nothing);
    let by_person = by_person.or(inside.filter(|r| silent && *r != wanted)).filter(|_| !replace);
    let within = silent && inside == Some(wanted);
    if present.is_empty() {
        return vec![match by_person {
            Some(rating) => Change::Kept(rating),
            None if within => Change::Same,
            None => Change::Write(edit::new(rating), None),
        }];
    }
    let change = |(bytes, said): (&Result<Vec<u8>, String>, Result<Said, String>)| match (bytes, said) {
        (Err(why), _) => Change::Cannot(why.clone()),
        (_, Err(why)) => Change::Cannot(why),
        (_, Ok(Said::Rating(is))) if is == wanted => Change::Same,
        (_, Ok(Said::Nothing)) if within => Change::Same,
        (_, Ok(Said::Unreadable(why))) if !replace => Change::Cannot(why),
        (Ok(bytes), Ok(before)) => match by_person {
            Some(rating) => Change::Kept(rating),
            None => match edit::with_rating(bytes, rating) {
                Ok(bytes) => Change::Write(bytes, Some(before)),
                Err(why) => Change::Cannot(why),
            },
        },
    };
    present.iter().zip(said).map(change).collect()
}

/// What a sidecar says; the error is for one that is damaged.
fn said(bytes: &[u8]) -> Result<Said, String> {
    packet::read(&sidecar::text(bytes)).map(|tree| packet::said_by(&tree))
}
