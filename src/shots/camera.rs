//! Which camera took a shot: by serial number, else by model, else by the company its file keeps.

use std::collections::{BTreeMap, BTreeSet};

use super::{Sequence, Shot};
use crate::metadata::Metadata;
use crate::walk::natural;

/// Splits shots into one sequence per camera, in natural order of the cameras' names.
///
/// A shot that does not name its camera (no EXIF, a broken header) belongs to the one camera whose frames lie in the
/// same folder; where that is none or several, it belongs to "unknown camera".
pub fn split(shots: Vec<Shot>) -> Vec<Sequence> {
    let mut folder_cameras: BTreeMap<String, BTreeSet<Key>> = BTreeMap::new();
    for shot in &shots {
        if let Some(key) = Key::of(&shot.metadata) {
            folder_cameras.entry(folder(&shot.frame).to_owned()).or_default().insert(key);
        }
    }
    let mut groups: BTreeMap<Option<Key>, Vec<Shot>> = BTreeMap::new();
    for shot in shots {
        let key = Key::of(&shot.metadata).or_else(|| {
            let mut cameras = folder_cameras.get(folder(&shot.frame))?.iter();
            cameras.next().filter(|_| cameras.next().is_none()).cloned()
        });
        groups.entry(key).or_default().push(shot);
    }
    let mut labels: BTreeMap<String, usize> = BTreeMap::new();
    for key in groups.keys() {
        *labels.entry(label(key.as_ref())).or_default() += 1;
    }
    let mut sequences: Vec<Sequence> = groups
        .into_iter()
        .map(|(key, shots)| {
            let plain = label(key.as_ref());
            let body_serial = key.and_then(|k| k.serial);
            let twins = labels.get(&plain).is_some_and(|count| *count > 1);
            let camera = match &body_serial {
                Some(serial) if twins => format!("{plain} ({serial})"),
                _ => plain,
            };
            Sequence { camera, body_serial, clock_offset_s: None, shots }
        })
        .collect();
    sequences.sort_by(|a, b| natural(&a.camera, &b.camera));
    sequences
}

/// What tells one body from another.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key {
    make: Option<String>,
    model: Option<String>,
    serial: Option<String>,
}

impl Key {
    /// The camera a file names; None when it names none.
    #[must_use]
    pub fn of(metadata: &Metadata) -> Option<Self> {
        let key =
            Self { make: metadata.make.clone(), model: metadata.model.clone(), serial: metadata.body_serial.clone() };
        (key.model.is_some() || key.serial.is_some() || key.make.is_some()).then_some(key)
    }
}

/// "Maker Model", without saying the maker twice.
fn label(key: Option<&Key>) -> String {
    let Some(key) = key else { return "unknown camera".to_owned() };
    match (key.make.as_deref(), key.model.as_deref()) {
        (Some(make), Some(model)) if !model.to_lowercase().starts_with(&make.to_lowercase()) => {
            format!("{make} {model}")
        }
        (_, Some(model)) => model.to_owned(),
        (Some(make), None) => format!("{make}, model not known"),
        (None, None) => "camera without a name".to_owned(),
    }
}

/// The folder part of a relative name, empty at the top.
pub(super) fn folder(name: &str) -> &str {
    name.rsplit_once('/').map_or("", |(folder, _)| folder)
}
