//! Keepers by the stars they were given: what every shot's sidecars and files say, and who is believed
//!
//! The rule: a sidecar goes before what is inside the picture, since programs that leave originals alone write there and
//! so it is the newest (common practice, no source); `name.ext.xmp` before `name.xmp`; XMP before the Exif tag; the
//! frame before its companions. The first that holds a rating counts. Sources that disagree are named; an unrated 0
//! behind it disagrees with nothing, because cameras write it into every file (common practice, no source).

use std::collections::BTreeSet;

use super::{Keeper, Match, Settled, ShotId};
use crate::problem::{Code, Flaw, Problem};
use crate::ratings::sidecar::{Beside, SidecarRating};
use crate::ratings::{Said, in_words};
use crate::shots::{Sequence, Shot};

/// What one shot's sources say together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judged {
    /// The rating that counts: -1 rejected, 0 unrated, up to 5; None where no source holds one.
    pub rating: Option<f64>,
    /// The file that holds it.
    pub file: String,
    /// Sources that cannot be read or disagree.
    pub problems: Vec<Problem>,
}

/// One source: its file, how it is called, what it says.
struct Source<'a> {
    file: &'a str,
    called: String,
    said: &'a Said,
}

/// Weighs the sidecars and the files of a shot.
#[must_use]
pub fn judge(shot: &Shot, beside: &Beside<&SidecarRating>) -> Judged {
    let files = [&shot.frame].into_iter().chain(&shot.companions).map(String::as_str);
    let sidecars = beside.find(files).into_iter();
    let mut sources: Vec<Source> =
        sidecars.map(|one| Source { file: &one.name, called: one.name.clone(), said: &one.said }).collect();
    let mut inside: Vec<_> = shot.metadata.ratings.iter().collect();
    inside.sort_by_key(|one| one.place);
    sources.extend(inside.into_iter().map(|one| Source {
        file: &one.file,
        called: format!("the {} of {}", one.place.word(), one.file),
        said: &one.said,
    }));
    let mut judged = Judged::default();
    let mut counts: Option<(&Source, f64)> = None;
    let mut against = Vec::new();
    for source in &sources {
        match (source.said, counts) {
            (Said::Nothing, _) => {}
            (Said::Unreadable(why), _) => {
                let detail =
                    if source.called == source.file { why.clone() } else { format!("{}: {why}", source.called) };
                judged.problems.push(Flaw::with(Code::RatingUnreadable, detail).of(source.file));
            }
            (Said::Rating(rating), None) => counts = Some((source, *rating)),
            (Said::Rating(rating), Some((_, first))) if *rating != 0.0 && *rating != first => {
                against.push(format!("{} says {}", source.called, in_words(*rating)));
            }
            (Said::Rating(_), Some(_)) => {}
        }
    }
    if let Some((source, rating)) = counts {
        judged.rating = Some(rating);
        judged.file = source.file.to_owned();
        if !against.is_empty() {
            let detail = format!("{} says {}, which counts; {}", source.called, in_words(rating), against.join("; "));
            judged.problems.push(Flaw::with(Code::RatingConflict, detail).of(&shot.frame));
        }
    }
    judged
}

/// The keepers among all shots: those rated `least` or higher. Rated and rejected shots are the judged ones.
#[must_use]
pub fn settle(sequences: &[Sequence], sidecars: &[SidecarRating], least: u8) -> Settled {
    let beside = Beside::of(sidecars, |one| &one.name);
    let mut settled = Settled::default();
    let mut alone: BTreeSet<&str> = sidecars.iter().map(|one| one.name.as_str()).collect();
    let mut highest: f64 = 0.0;
    for (sequence, shots) in sequences.iter().enumerate() {
        for (index, shot) in shots.shots.iter().enumerate() {
            let files = [&shot.frame].into_iter().chain(&shot.companions).map(String::as_str);
            for one in beside.find(files) {
                alone.remove(one.name.as_str());
            }
            let judged = judge(shot, &beside);
            settled.problems.extend(judged.problems);
            let Some(rating) = judged.rating.filter(|rating| *rating != 0.0) else { continue };
            let id = ShotId { sequence, shot: index };
            highest = highest.max(rating);
            settled.choice.judged.push(id);
            if rating >= f64::from(least) {
                settled.keep(Keeper { given: judged.file, matched: Match::Name, shots: vec![id] });
            }
        }
    }
    for one in sidecars.iter().filter(|one| alone.contains(one.name.as_str())) {
        if one.said.rating().is_some_and(|rating| rating >= f64::from(least)) {
            settled.problems.push(Flaw::with(Code::KeeperUnknown, "no picture lies beside this sidecar").of(&one.name));
            settled.keep(Keeper { given: one.name.clone(), ..Keeper::default() });
        }
    }
    if settled.choice.keepers.is_empty() {
        let detail = if highest > 0.0 {
            format!(
                "the highest rating is {}; say --keeper-rating {}",
                in_words(highest),
                libm::floor(highest).max(1.0)
            )
        } else {
            "no file and no sidecar holds a rating above 0".to_owned()
        };
        settled.problems.push(Flaw::with(Code::KeepersNone, detail).of("--keepers rating"));
    }
    settled
}
