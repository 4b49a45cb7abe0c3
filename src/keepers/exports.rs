//! Which shot an exported picture is: by its name, its camera time, the picture; what overrules another is said
//!
//! The rule, for what name (N), camera time (T) and picture (P) say:
//! - One shot that N and T both say is it, and P is not asked.
//! - A shot that N names and T does not exclude is it. Several: those that P knows.
//! - N and P both say one shot and T another or none: the clock was changed in the export; two go before one.
//! - N names a shot and T is another's: the export was renumbered, and time wins.
//! - N names a shot and T is no shot's: the clock was changed in the export, or it comes from another shoot whose
//!   counter passed the same number. P decides; where P knows none, it is no shot of this shoot.
//! - P is surely another shot than N says and T does not exclude it: P wins.
//! - Without a name T decides, several of one second are told apart by P; without both, P alone.
//!
//! Every time one of the three is overruled it is said. The camera time is compared before any clock is corrected, to
//! the fraction of a second that both files have, and only with shots of the same body as far as both name one.

use super::names::Names;
use super::{Keeper, Match, Settled, ShotId, picture};
use crate::metadata::{Metadata, Taken};
use crate::problem::{Code, Flaw, Weight};
use crate::shots::pair::same_moment;
use crate::shots::{ReadFile, Sequence, Shot};

/// What the camera time of an export says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Times {
    /// The export's own time in words; None when it has none, and then nothing is excluded.
    pub taken: Option<String>,
    /// Shots taken at that moment.
    pub fits: Vec<ShotId>,
    /// Shots of which no time is known, so that none can contradict.
    pub untimed: Vec<ShotId>,
}

impl Times {
    fn allow(&self, shot: ShotId) -> bool {
        self.taken.is_none() || self.fits.contains(&shot) || self.untimed.contains(&shot)
    }
}

/// Which shots an export is, and what spoke against it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verdict {
    /// One where it is sure, several where they explain it equally.
    pub shots: Vec<ShotId>,
    /// Which of name, time and picture was overruled.
    pub overruled: Option<Overruled>,
}

/// What was overruled, and by what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overruled {
    /// The name, by the camera time.
    NameByTime,
    /// The name, by the picture.
    NameByPicture,
    /// The camera time, by the picture, with the name or without one.
    TimeByPicture,
    /// Name and camera time contradict each other, and the picture knows no shot.
    NameAndTime,
    /// The picture looks like this shot, which name and time, or time alone, exclude.
    Picture(ShotId),
}

/// Weighs what name, time and picture say.
#[must_use]
pub fn decide(names: &[ShotId], times: &Times, picture: &[ShotId]) -> Verdict {
    let sure = match picture {
        [one] => Some(*one),
        _ => None,
    };
    if let Some(one) = sure.filter(|shot| names.contains(shot) && !times.allow(*shot)) {
        return Verdict { shots: vec![one], overruled: Some(Overruled::TimeByPicture) };
    }
    let named: Vec<ShotId> = names.iter().copied().filter(|shot| times.allow(*shot)).collect();
    if !named.is_empty() {
        let shots = narrowed(&named, picture);
        let Some(other) = sure.filter(|shot| !names.contains(shot)) else { return Verdict { shots, overruled: None } };
        let time_agrees = named.iter().any(|shot| times.fits.contains(shot)) && !times.fits.contains(&other);
        return if times.allow(other) && !time_agrees {
            Verdict { shots: vec![other], overruled: Some(Overruled::NameByPicture) }
        } else {
            Verdict { shots, overruled: Some(Overruled::Picture(other)) }
        };
    }
    if !times.fits.is_empty() {
        let shots = narrowed(&times.fits, picture);
        let by_time = (!names.is_empty()).then_some(Overruled::NameByTime);
        let looks = sure.filter(|shot| !times.fits.contains(shot)).map(Overruled::Picture);
        return Verdict { shots, overruled: by_time.or(looks) };
    }
    let shots = if names.is_empty() { picture.to_vec() } else { narrowed(picture, names) };
    let excluded = shots.iter().any(|shot| !times.allow(*shot));
    let overruled = match (shots.is_empty(), names.is_empty()) {
        (true, false) => Some(Overruled::NameAndTime),
        (false, false) if !shots.iter().any(|shot| names.contains(shot)) => Some(Overruled::NameByPicture),
        (false, _) if excluded => Some(Overruled::TimeByPicture),
        _ => None,
    };
    Verdict { shots, overruled }
}

/// Those of both, else the first.
fn narrowed(shots: &[ShotId], by: &[ShotId]) -> Vec<ShotId> {
    let both: Vec<ShotId> = shots.iter().copied().filter(|shot| by.contains(shot)).collect();
    if both.is_empty() { shots.to_vec() } else { both }
}

/// Matches every export. `label` is the folder's name, under which its files are spoken of.
#[must_use]
pub fn settle(exports: &[ReadFile], label: &str, sequences: &[Sequence], names: &Names) -> Settled {
    let said: Vec<(Vec<ShotId>, Times)> = exports
        .iter()
        .map(|export| (names.find(export.file.name.as_str()), times(&export.metadata, sequences)))
        .collect();
    let pictures = pictures(exports, &said, sequences);
    let mut settled = Settled::default();
    for ((export, (named, times)), picture) in exports.iter().zip(said).zip(pictures) {
        let name = export.file.name.as_str();
        let file = format!("{label}/{name}");
        let unread = export.flaws.iter().filter(|flaw| flaw.code.entry().weight == Weight::Unread).cloned();
        settled.problems.extend(unread.map(|flaw| flaw.of(&file)));
        if nothing_read(export) {
            settled.keep(Keeper { given: name.to_owned(), ..Keeper::default() });
            continue;
        }
        let verdict = decide(&named, &times, &picture);
        let matched = match verdict.shots.as_slice() {
            [] => Match::None,
            [one] if named.contains(one) => Match::Name,
            [one] if times.fits.contains(one) => Match::Time,
            [_] => Match::Picture,
            _ => Match::OneOfSeveral,
        };
        settled.problems.extend(flaw(&verdict, matched, &named, &times, sequences).map(|flaw| flaw.of(&file)));
        settled.keep(Keeper { given: name.to_owned(), matched, shots: verdict.shots });
    }
    settled
}

/// Whether the file gave neither a time nor a picture, because it cannot be opened or is no picture.
fn nothing_read(export: &ReadFile) -> bool {
    const NO_FILE: [Code; 4] = [Code::FileEmpty, Code::FileUnreadable, Code::FileTooLarge, Code::NotThisFormat];
    export.measurement.is_none() && export.flaws.iter().any(|flaw| NO_FILE.contains(&flaw.code))
}

/// For every export the shots its picture may be of. Where its name and its camera time both say the same one shot, the
/// picture decides nothing and is not looked for: the search costs more than all the rest.
fn pictures(exports: &[ReadFile], said: &[(Vec<ShotId>, Times)], sequences: &[Sequence]) -> Vec<Vec<ShotId>> {
    let (ids, shots): (Vec<_>, Vec<_>) =
        all(sequences).filter_map(|(id, shot)| Some((id, shot.measurement.as_ref()?))).unzip();
    let agreed = |(named, times): &(Vec<ShotId>, Times)| named.len() == 1 && *named == times.fits;
    let sought =
        || exports.iter().zip(said).map(|(export, said)| export.measurement.as_ref().filter(|_| !agreed(said)));
    let measured: Vec<_> = sought().flatten().collect();
    if measured.is_empty() {
        return vec![Vec::new(); exports.len()];
    }
    let mut found = picture::find(&measured, &shots).into_iter();
    let of_one = |figures: Option<_>| match figures {
        Some(_) => found.next().unwrap_or_default().iter().filter_map(|index| ids.get(*index).copied()).collect(),
        None => Vec::new(),
    };
    sought().map(of_one).collect()
}

fn all(sequences: &[Sequence]) -> impl Iterator<Item = (ShotId, &Shot)> {
    let of_one = |(sequence, shots): (usize, &'_ Sequence)| (sequence, shots.shots.len());
    let ids = sequences
        .iter()
        .enumerate()
        .map(of_one)
        .flat_map(|(sequence, n)| (0..n).map(move |shot| ShotId { sequence, shot }));
    ids.zip(sequences.iter().flat_map(|s| &s.shots))
}

fn times(export: &Metadata, sequences: &[Sequence]) -> Times {
    let Some(taken) = &export.taken else { return Times::default() };
    let mut times = Times { taken: Some(clock(taken)), ..Times::default() };
    for (id, shot) in all(sequences) {
        let body = sequences.get(id.sequence).and_then(|s| s.body_serial.as_deref());
        // The clock as the camera showed it: `shot.taken` may be corrected, the export's is not.
        match &shot.metadata.taken {
            None => times.untimed.push(id),
            Some(own) if same_moment(own, taken) && may_be_body(export, &shot.metadata, body) => times.fits.push(id),
            Some(_) => {}
        }
    }
    times
}

/// Whether no serial number and no model speaks against it. Some programs drop the one or the other.
fn may_be_body(export: &Metadata, shot: &Metadata, body: Option<&str>) -> bool {
    let same = |a: Option<&str>, b: Option<&str>| match (a, b) {
        (Some(a), Some(b)) => Some(a.trim().eq_ignore_ascii_case(b.trim())),
        _ => None,
    };
    let serial = same(export.body_serial.as_deref(), shot.body_serial.as_deref().or(body));
    serial.or(same(export.model.as_deref(), shot.model.as_deref())).unwrap_or(true)
}

fn clock(taken: &Taken) -> String {
    taken.local.to_string().replace('T', " ")
}

/// What to say of an export that is not plainly one shot.
fn flaw(verdict: &Verdict, matched: Match, named: &[ShotId], times: &Times, sequences: &[Sequence]) -> Option<Flaw> {
    let words = |shots: &[ShotId]| super::in_words(shots, sequences);
    let (found, named) = (words(&verdict.shots), words(named));
    let taken = times.taken.as_deref().unwrap_or_default();
    let against = |detail: String| Some(Flaw::with(Code::KeeperContradicts, detail));
    match verdict.overruled {
        Some(Overruled::NameByTime) => {
            against(format!("its name fits {named}, its camera time {taken} {found}; the time is believed"))
        }
        Some(Overruled::NameByPicture) => {
            against(format!("its name fits {named}, its picture is {found}; the picture is believed"))
        }
        Some(Overruled::TimeByPicture) => {
            let then = if times.fits.is_empty() {
                "no shot was taken".to_owned()
            } else {
                format!("{} was taken", words(&times.fits))
            };
            against(format!("{then} at its camera time {taken}, but its picture is {found}; the picture is believed"))
        }
        Some(Overruled::NameAndTime) => against(format!(
            "its name fits {named}, but no such shot was taken at its camera time {taken}, and its picture is not known"
        )),
        Some(Overruled::Picture(other)) => {
            against(format!("it is taken for {found}, but its picture looks like {}", words(&[other])))
        }
        None => match matched {
            Match::None => Some(Flaw::plain(Code::KeeperUnknown)),
            Match::OneOfSeveral => Some(Flaw::with(Code::KeeperAmbiguous, format!("it may be {found}"))),
            Match::Name | Match::Time | Match::Picture => None,
        },
    }
}
