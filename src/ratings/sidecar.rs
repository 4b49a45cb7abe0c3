//! Sidecars: which XMP file stands beside which picture, and what it says

use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::{Said, packet};
use crate::notes::decode;

/// No program writes a sidecar of more bytes.
pub const LARGEST: u64 = 16 << 20;

/// An XMP file of the shoot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sidecar {
    /// Where it is.
    pub path: PathBuf,
    /// Path relative to the shoot, `/` separated.
    pub name: String,
}

/// A sidecar and what it says.
#[derive(Clone, Debug, PartialEq)]
pub struct SidecarRating {
    /// Path relative to the shoot, `/` separated.
    pub name: String,
    /// What it says of the rating.
    pub said: Said,
}

/// Sidecars by their names in lower case without `.xmp`, for there are both `.xmp` and `.XMP`.
#[derive(Clone, Debug, Default)]
pub struct Beside<T>(BTreeMap<String, Vec<T>>);

impl<T> Beside<T> {
    /// Sorts sidecars by name.
    pub fn of(all: impl IntoIterator<Item = T>, name: impl Fn(&T) -> &str) -> Self {
        let mut map: BTreeMap<String, Vec<T>> = BTreeMap::new();
        for one in all {
            let folded = name(&one).to_lowercase();
            map.entry(folded.strip_suffix(".xmp").unwrap_or(&folded).to_owned()).or_default().push(one);
        }
        Self(map)
    }

    /// The sidecars of these files of one shot. `name.ext.xmp` says which file it means and so comes before `name.xmp`,
    /// which is the specification's name (XMP part 3) and serves all files of the shot.
    pub fn find<'a>(&'a self, files: impl Iterator<Item = &'a str> + Clone) -> Vec<&'a T> {
        let full = files.clone().map(str::to_lowercase);
        let stems = files.map(|file| stem(file).to_lowercase());
        let mut asked = Vec::new();
        for key in full.chain(stems) {
            if !asked.contains(&key) {
                asked.push(key);
            }
        }
        asked.iter().filter_map(|key| self.0.get(key)).flatten().collect()
    }
}

/// The name with its folder and without its ending.
#[must_use]
pub fn stem(name: &str) -> &str {
    match name.rsplit_once('.') {
        Some((stem, ending)) if !ending.contains('/') && !stem.is_empty() && !stem.ends_with('/') => stem,
        _ => name,
    }
}

/// Reads every sidecar.
#[must_use]
pub fn read(sidecars: &[Sidecar]) -> Vec<SidecarRating> {
    sidecars.iter().map(|one| SidecarRating { name: one.name.clone(), said: said(&one.path) }).collect()
}

fn said(path: &Path) -> Said {
    match bytes(path) {
        Ok(bytes) if bytes.iter().all(u8::is_ascii_whitespace) => Said::Unreadable("it is empty".to_owned()),
        // A sidecar that holds no rating must still be XMP, else it is damaged and the rating may have been in it.
        Ok(bytes) => match packet::read(text(&bytes).as_str()) {
            Ok(tree) => packet::said_by(&tree),
            Err(why) => Said::Unreadable(why),
        },
        Err(error) => Said::Unreadable(format!("it cannot be opened: {error}")),
    }
}

/// XMP as text, whatever of its encodings it is in, without mark and padding.
#[must_use]
pub fn text(bytes: &[u8]) -> String {
    decode(bytes).trim_matches(['\u{feff}', '\0']).to_owned()
}

/// The bytes of a sidecar; an error for one that is larger than any.
pub fn bytes(path: &Path) -> std::io::Result<Vec<u8>> {
    let file = File::open(path)?;
    let mut bytes = Vec::new();
    file.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST {
        return Err(std::io::Error::other("it is larger than any sidecar"));
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_names_are_found_and_the_fuller_one_comes_first() {
        let all = ["a/TS_1.xmp", "a/TS_1.CR3.XMP", "a/ts_1.jpg.xmp", "b/TS_1.xmp", "TS_1.xmp", "a/TS_10.xmp"];
        let beside = Beside::of(all, |name| name);
        let found = |files: &[&str]| beside.find(files.iter().copied()).into_iter().copied().collect::<Vec<_>>();
        assert_eq!(found(&["a/TS_1.JPG", "a/TS_1.CR3"]), ["a/ts_1.jpg.xmp", "a/TS_1.CR3.XMP", "a/TS_1.xmp"]);
        assert_eq!(found(&["TS_1.JPG"]), ["TS_1.xmp"]);
        assert_eq!(found(&["TS_2.JPG"]), Vec::<&str>::new());
        assert_eq!((stem("a.b/c"), stem("a/.xmp"), stem("a/b.c.d")), ("a.b/c", "a/.xmp", "a/b.c"));
    }
}
