//! Which shots a name may stand for, however a person or a program spelled it
//!
//! Names are compared as runs of letters and runs of digits, so that case and the signs between do not matter:
//! `TS_0001`, `ts 0001` and `Ts-0001` are one name. In this order, the first that any shot meets counts:
//! 1. the whole file name with its ending,
//! 2. the name without ending: a raw's name for the JPEG beside it, another format, no ending at all,
//! 3. a shot's name with something before or behind it: `TS_0001-2`, `TS_0001_edit`, `TS_0001 copy`, `web TS_0001 (1)`;
//!    of `TS_0001` and `TS_0001-2`, both names of shots, the longer,
//! 4. a number alone, as a person types it: the counter at the end of a shot's name. `12.jpg` is none: exports are
//!    numbered anew.
//!
//! Where several shots are left and a folder was given, those whose folders agree most stay.

use std::collections::BTreeSet;

use super::ShotId;
use crate::shots::Sequence;
use crate::walk;

/// A single run of digits or letters shorter than this may stand anywhere in a name by chance.
const SHORT: usize = 4;

/// A file of a shot, ready to be compared.
#[derive(Clone, Debug)]
struct Known {
    shot: ShotId,
    /// Path relative to the shoot, as it is.
    path: String,
    /// Folders, in lower case.
    folders: Vec<String>,
    /// File name in lower case.
    file: String,
    /// Runs of its name without ending.
    runs: Vec<String>,
}

/// The names of all files of all shots.
#[derive(Clone, Debug, Default)]
pub struct Names(Vec<Known>);

/// A name as given.
struct Asked {
    folders: Vec<String>,
    file: String,
    /// Runs of the name without its ending, where that is one of a picture's; else of all of it.
    runs: Vec<String>,
}

impl Names {
    /// Names of the shots of all cameras.
    #[must_use]
    pub fn of(sequences: &[Sequence]) -> Self {
        let mut all = Vec::new();
        for (sequence, shots) in sequences.iter().enumerate() {
            for (shot, one) in shots.shots.iter().enumerate() {
                let id = ShotId { sequence, shot };
                all.extend(one.companions.iter().chain([&one.frame]).map(|path| {
                    let asked = Asked::of(path);
                    Known { shot: id, path: path.clone(), folders: asked.folders, file: asked.file, runs: asked.runs }
                }));
            }
        }
        Self(all)
    }

    /// The shots that a name may stand for, in order.
    #[must_use]
    pub fn find(&self, given: &str) -> Vec<ShotId> {
        let asked = Asked::of(given);
        if asked.runs.is_empty() {
            return Vec::new();
        }
        let rounds: [&dyn Fn(&Known) -> bool; 2] =
            [&|known| known.file == asked.file, &|known| known.runs == asked.runs];
        for round in rounds {
            let met: Vec<&Known> = self.0.iter().filter(|known| round(known)).collect();
            if !met.is_empty() {
                return nearest(&met, &asked.folders);
            }
        }
        let within: Vec<&Known> =
            self.0.iter().filter(|known| telling(&known.runs) && holds(&asked.runs, &known.runs)).collect();
        let met: Vec<&Known> = within.iter().copied().filter(|known| !part_of_another(known, &within)).collect();
        if !met.is_empty() {
            return nearest(&met, &asked.folders);
        }
        let number = match asked.runs.as_slice() {
            [one] if *one == asked.file => counter(one),
            _ => None,
        };
        let ends = |known: &&Known| number.is_some() && known.runs.last().and_then(|run| counter(run)) == number;
        nearest(&self.0.iter().filter(ends).collect::<Vec<_>>(), &asked.folders)
    }

    /// The shots with a file of exactly this name, whatever signs are in it.
    #[must_use]
    pub fn of_file(&self, given: &str) -> Vec<ShotId> {
        let asked = Asked::of(given);
        nearest(&self.0.iter().filter(|known| known.file == asked.file).collect::<Vec<_>>(), &asked.folders)
    }

    /// The shot whose path is exactly this.
    #[must_use]
    pub fn exact(&self, given: &str) -> Option<ShotId> {
        let plain = given.trim().replace('\\', "/");
        let plain = plain.trim_start_matches("./");
        self.0.iter().find(|known| known.path == plain).map(|known| known.shot)
    }

    /// The one shot with the same number at the end of its name: what a misspelt name may have meant.
    #[must_use]
    pub fn like(&self, given: &str) -> Option<&str> {
        let asked = Asked::of(given);
        let number = asked.runs.iter().rev().find_map(|run| counter(run))?;
        let same = |known: &&Known| known.runs.last().and_then(|run| counter(run)) == Some(number);
        let shots: BTreeSet<ShotId> = self.0.iter().filter(same).map(|k| k.shot).collect();
        let one = shots.iter().next().filter(|_| shots.len() == 1)?;
        // The frame stands behind its companions.
        self.0.iter().rev().find(|known| known.shot == *one).map(|known| known.path.as_str())
    }
}

impl Asked {
    fn of(given: &str) -> Self {
        let plain: String = given
            .trim()
            .chars()
            .map(|c| {
                if c == '\\' {
                    '/'
                } else if c.is_control() {
                    ' '
                } else {
                    c
                }
            })
            .flat_map(char::to_lowercase)
            .collect();
        let mut parts: Vec<String> =
            plain.split('/').map(|p| p.trim().to_owned()).filter(|p| !p.is_empty() && p != ".").collect();
        let file = parts.pop().unwrap_or_default();
        let path = std::path::Path::new(&file);
        let stem = if walk::ends_like_picture(path) || file.ends_with(".xmp") {
            file.rsplit_once('.').map_or(file.as_str(), |(stem, _)| stem)
        } else {
            file.as_str()
        };
        let runs = runs(stem);
        Self { folders: parts, file, runs }
    }
}

/// Runs of letters and runs of digits; everything else parts them.
fn runs(name: &str) -> Vec<String> {
    let mut runs: Vec<String> = Vec::new();
    let mut last = None;
    for c in name.chars() {
        let kind = if c.is_ascii_digit() { Some(true) } else { c.is_alphanumeric().then_some(false) };
        match (kind, runs.last_mut()) {
            (None, _) => {}
            (Some(_), Some(run)) if kind == last => run.push(c),
            (Some(_), _) => runs.push(c.to_string()),
        }
        last = kind;
    }
    runs
}

/// Whether a name can be looked for inside another: it has a number and is not so short that it stands there by chance.
fn telling(runs: &[String]) -> bool {
    let number = runs.iter().any(|run| run.bytes().all(|b| b.is_ascii_digit()));
    number && (runs.len() > 1 || runs.iter().any(|run| run.len() >= SHORT))
}

fn holds(all: &[String], part: &[String]) -> bool {
    all.windows(part.len().max(1)).any(|window| window == part)
}

/// Whether a name is only a part of a longer one that was met too: `TS_0001` beside `TS_0001-2`.
fn part_of_another(known: &Known, met: &[&Known]) -> bool {
    met.iter().any(|other| other.runs.len() > known.runs.len() && holds(&other.runs, &known.runs))
}

fn counter(run: &str) -> Option<u64> {
    run.bytes().all(|b| b.is_ascii_digit()).then(|| run.parse().ok())?
}

/// The shots whose folders share most with those given, from the file's own folder upward.
fn nearest(met: &[&Known], folders: &[String]) -> Vec<ShotId> {
    let shared =
        |known: &Known| known.folders.iter().rev().zip(folders.iter().rev()).take_while(|(a, b)| a == b).count();
    let most = met.iter().map(|known| shared(known)).max().unwrap_or(0);
    let shots: BTreeSet<ShotId> = met.iter().filter(|known| shared(known) == most).map(|known| known.shot).collect();
    shots.into_iter().collect()
}
