//! Reads what another run wrote: `shoot.json`, or the report's folder that holds it. Fields that are not known are passed
//! over and fields that are missing are not known, so that reports of older and younger versions can be read; only the
//! number of the layout must be one that this version knows.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::{fs, io};

use serde::Deserialize;

use crate::report::{GENERATOR, SCHEMA, SHOOT_JSON};

/// Why a report cannot be compared.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// It cannot be opened.
    #[error("{} cannot be opened: {cause}; check the path", path.display())]
    Open {
        /// What was asked for.
        path: PathBuf,
        /// Why not. Not called a source, or it would be said twice.
        cause: io::Error,
    },
    /// A folder without a report.
    #[error(
        "{0} holds no shoot.json, so it is no report's folder; give one, by default reports/{1}, or make it first: stoptally {0}"
    )]
    NoReport(String, String),
    /// The file is no account of a shoot.
    #[error("{} is no account of a shoot: {cause}; give the shoot.json of a report's folder", path.display())]
    NotAnAccount {
        /// The file.
        path: PathBuf,
        /// What the reader says.
        cause: serde_json::Error,
    },
    /// Another program's file.
    #[error("{} was not written by stoptally; give the shoot.json of a report's folder", .0.display())]
    Foreign(PathBuf),
    /// A later version's file.
    #[error("{} has layout {found}, and this stoptally knows layouts up to {SCHEMA}; use the version that wrote it, or run this one on the shoot again", path.display())]
    Layout {
        /// The file.
        path: PathBuf,
        /// Its layout.
        found: u64,
    },
}

/// What a comparison needs of a shoot's account.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Shoot {
    pub generator: String,
    pub schema: u64,
    pub shoot: String,
    pub frames: Vec<Frame>,
    pub stages: Vec<Stage>,
    pub lightings: Vec<Lighting>,
    pub lights: Vec<Light>,
    pub keeper_count: Option<KeeperCount>,
}

/// A shot, by which a shoot is known again.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Frame {
    pub frame: String,
    pub taken: String,
    pub mean_luminance: Option<f64>,
    pub f_number: Option<f64>,
    pub exposure_time_s: Option<f64>,
    pub iso: Option<f64>,
}

/// A stage: its settings as marked and its level.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Stage {
    pub stage: u32,
    pub settings: String,
    pub f_number: Option<f64>,
    pub exposure_time_s: Option<f64>,
    pub iso: Option<f64>,
    pub mean_luminance_stops: Option<f64>,
}

/// A lighting.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Lighting {
    pub lighting: u32,
    pub lights: String,
    pub camera: String,
    pub first_frame: String,
    pub typical_stage: u32,
    pub kept_series: Option<u32>,
    pub candidate_series: Option<u32>,
    pub light_account: Account,
}

/// What its lights did.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Account {
    pub each_light: Vec<State>,
    pub ambient: Ambient,
    pub ratios: Vec<Ratio>,
}

/// One light of a lighting.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct State {
    pub light: String,
    pub on: String,
    pub noted_power: String,
    pub gel: String,
    pub modifier: String,
    pub share_of_frame_percent: Option<f64>,
}

/// The ambient of a lighting.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Ambient {
    pub at_most: bool,
    pub headroom_stops: Option<f64>,
    pub words: String,
}

/// Key to fill, key to ambient.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Ratio {
    pub what: String,
    pub of: String,
    pub to: String,
    pub over: String,
    pub stops: Option<f64>,
}

/// A light of the shoot.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Light {
    pub light: String,
    pub noted: bool,
    pub role: String,
    pub purpose: String,
}

/// The keepers counted.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct KeeperCount {
    pub rows: Vec<KeeperRow>,
}

/// One thing they are counted over.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct KeeperRow {
    pub what: String,
    pub kept_series: Option<u32>,
    pub series: Option<u32>,
}

/// Reads a `shoot.json`, or the one in a report's folder.
pub fn read(path: &Path) -> Result<Shoot, ReadError> {
    let open = |cause| ReadError::Open { path: path.to_owned(), cause };
    let folder = fs::metadata(path).map_err(open)?.is_dir();
    let file = if folder { path.join(SHOOT_JSON) } else { path.to_owned() };
    let bytes = match fs::read(&file) {
        Ok(bytes) => bytes,
        Err(error) if folder && error.kind() == io::ErrorKind::NotFound => {
            let name = path.file_name().map_or_else(|| "<name>".to_owned(), |name| name.to_string_lossy().into_owned());
            return Err(ReadError::NoReport(path.display().to_string(), name));
        }
        Err(cause) => return Err(ReadError::Open { path: file, cause }),
    };
    of_bytes(&file, &bytes)
}

/// The account in these bytes; `path` is for the message.
fn of_bytes(path: &Path, bytes: &[u8]) -> Result<Shoot, ReadError> {
    // Which program and which layout comes first: a later layout may hold anything elsewhere.
    #[derive(Deserialize)]
    struct Head {
        #[serde(default)]
        generator: String,
        #[serde(default)]
        schema: u64,
    }
    let failed = |cause| ReadError::NotAnAccount { path: path.to_owned(), cause };
    let head: Head = serde_json::from_slice(bytes).map_err(failed)?;
    if head.generator != GENERATOR || head.schema == 0 {
        return Err(ReadError::Foreign(path.to_owned()));
    }
    if head.schema > u64::from(SCHEMA) {
        return Err(ReadError::Layout { path: path.to_owned(), found: head.schema });
    }
    serde_json::from_slice(bytes).map_err(failed)
}

/// Two accounts are of one shoot where they share a shot: its name, its time and what was measured of it.
pub fn same_shoot(a: &Shoot, b: &Shoot) -> bool {
    let known = |frame: &&Frame| !frame.frame.is_empty() && !frame.taken.is_empty();
    let key = |frame: &Frame| (frame.frame.clone(), frame.taken.clone(), frame.mean_luminance.map(f64::to_bits));
    let of_a: BTreeSet<_> = a.frames.iter().filter(known).map(key).collect();
    b.frames.iter().filter(known).any(|frame| of_a.contains(&key(frame)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_text(text: &str) -> Result<Shoot, String> {
        of_bytes(Path::new("x/shoot.json"), text.as_bytes()).map_err(|e| e.to_string())
    }

    #[test]
    fn what_is_not_known_is_passed_over_and_what_is_missing_is_not_known() {
        let shoot = read_text(
            r#"{"generator":"stoptally report","schema":1,"shoot":"shed","future":{"a":[1]},
                "lightings":[{"lighting":2,"light_account":{"each_light":[{"light":"key","on":"yes","new":3}]}}]}"#,
        )
        .unwrap();
        assert_eq!((shoot.shoot.as_str(), shoot.lightings[0].lighting, shoot.frames.len()), ("shed", 2, 0));
        assert_eq!(shoot.lightings[0].light_account.each_light[0].share_of_frame_percent, None);
    }

    #[test]
    fn every_refusal_names_file_cause_and_remedy() {
        for (text, words) in [
            ("", "is no account of a shoot"),
            ("{\"generator\":\"stoptally report\",\"schema\":1,\"frames\":3}", "is no account of a shoot"),
            ("[1]", "is no account of a shoot"),
            ("{}", "was not written by stoptally"),
            ("{\"generator\":\"another\",\"schema\":1}", "was not written by stoptally"),
            ("{\"generator\":\"stoptally report\",\"schema\":99,\"frames\":3}", "has layout 99"),
        ] {
            let error = read_text(text).unwrap_err();
            assert!(error.contains(words) && error.contains("x/shoot.json") && error.contains("; "), "{text}: {error}");
        }
    }
}
