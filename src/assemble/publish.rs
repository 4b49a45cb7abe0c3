//! A report as it may be published: no file or folder names, no serial numbers, nothing of files that are no shots.
//!
//! A shot is called by its number in shooting order, "shot 12", wherever its file was named. Places on earth, authors and
//! the notes' own remarks are never in a report; what its pictures held beside pixels is not either. Data files are not
//! made of it: they are for those who have the files.

use std::collections::{BTreeMap, BTreeSet};

use crate::problem::REGISTRY;
use crate::report::{FrameRow, Report};

pub use super::texts::each_text;

/// The title of a shoot whose folder's name is not told.
pub const TITLE: &str = "The shoot";

/// What stands for a file that is no shot.
const ANOTHER: &str = "another file";

/// The same report without what is nobody else's business. `title` stands for the folder's name.
#[must_use]
pub fn publish(report: &Report, title: Option<&str>) -> Report {
    let names = Names::of(&report.frames);
    let mut report = report.clone();
    title.unwrap_or(TITLE).clone_into(&mut report.shoot);
    report.notes_draft = None;
    for (index, row) in report.frames.iter_mut().enumerate() {
        row.frame = called(index);
        row.companion.clear();
        row.body_serial.clear();
    }
    for row in &mut report.problems {
        if !names.known(&row.file) {
            ANOTHER.clone_into(&mut row.file);
        }
        // Details quote what was read: names, cells of the notes.
        row.problem = plain(&row.code);
    }
    for (number, row) in (1..).zip(&mut report.keepers) {
        row.given = format!("keeper {number}");
    }
    each_text(&mut report, &mut |text| names.replace(text));
    report
}

/// What a shot is called, by its index in the report's frames.
fn called(index: usize) -> String {
    format!("shot {}", index + 1)
}

/// A problem's words by its code, without details.
fn plain(code: &str) -> String {
    REGISTRY.iter().find(|entry| entry.name == code).map_or_else(|| code.to_owned(), |entry| entry.text.to_owned())
}

/// What must not be read, and what stands for it.
#[derive(Debug, Default)]
struct Names {
    said: BTreeMap<String, String>,
    /// Lengths of the names in bytes, longest first.
    lengths: Vec<usize>,
    /// A sign that every name holds; None where they share none.
    sign: Option<char>,
}

impl Names {
    fn of(frames: &[FrameRow]) -> Self {
        let mut said: BTreeMap<String, String> = BTreeMap::new();
        let mut short: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
        for (index, row) in frames.iter().enumerate() {
            for path in row.companion.split(';').chain([row.frame.as_str()]).filter(|path| !path.is_empty()) {
                said.insert(path.to_owned(), called(index));
                let file = path.rsplit('/').next().unwrap_or(path);
                short.entry(file.to_owned()).or_default().insert(index);
            }
        }
        for (file, shots) in short {
            // A name that several folders hold tells of none of them.
            let words = match (shots.first(), shots.len()) {
                (Some(index), 1) => called(*index),
                _ => "one of several shots".to_owned(),
            };
            said.entry(file).or_insert(words);
        }
        let dotted = said.keys().all(|name| name.contains('.'));
        let bodies = bodies(frames);
        let sign = (dotted && bodies.is_empty()).then_some('.');
        said.extend(bodies);
        let lengths: BTreeSet<usize> = said.keys().map(String::len).collect();
        Self { said, lengths: lengths.into_iter().rev().collect(), sign }
    }

    fn known(&self, name: &str) -> bool {
        self.said.contains_key(name)
    }

    /// Every name in a text, the longest that begins at each place.
    fn replace(&self, text: &mut String) {
        if self.sign.is_some_and(|sign| !text.contains(sign)) {
            return;
        }
        let mut out = String::new();
        let (mut from, mut at) = (0, 0);
        while at < text.len() {
            let found = self.lengths.iter().find_map(|length| {
                let name = text.get(at..at + length)?;
                Some((length, self.said.get(name)?))
            });
            match found {
                Some((length, words)) => {
                    out.push_str(text.get(from..at).unwrap_or_default());
                    out.push_str(words);
                    at += length;
                    from = at;
                }
                None => at += 1,
            }
        }
        if from > 0 {
            out.push_str(text.get(from..).unwrap_or_default());
            *text = out;
        }
    }
}

/// Cameras that are called by their serial number, since two bodies read the same: "Maker T1 (body 2)".
fn bodies(frames: &[FrameRow]) -> BTreeMap<String, String> {
    let named: BTreeMap<&str, &str> = frames
        .iter()
        .filter(|row| !row.body_serial.is_empty())
        .map(|row| (row.camera.as_str(), row.body_serial.as_str()))
        .collect();
    let by_serial = named.into_iter().filter_map(|(camera, serial)| {
        let plain = camera.strip_suffix(&format!(" ({serial})"))?;
        Some((camera.to_owned(), plain.to_owned()))
    });
    (1..).zip(by_serial).map(|(number, (camera, plain))| (camera, format!("{plain} (body {number})"))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(frames: &[(&str, &str)]) -> Names {
        let row = |(frame, companion): &(&str, &str)| FrameRow {
            frame: (*frame).to_owned(),
            companion: (*companion).to_owned(),
            ..FrameRow::default()
        };
        Names::of(&frames.iter().map(row).collect::<Vec<_>>())
    }

    fn said(names: &Names, text: &str) -> String {
        let mut text = text.to_owned();
        names.replace(&mut text);
        text
    }

    #[test]
    fn a_file_is_called_by_its_shots_number_wherever_it_is_named() {
        let names = names(&[("a/1.JPG", "a/1.CR3"), ("a/11.JPG", ""), ("b/11.JPG", ""), ("é ü.jpg", "")]);
        for (text, without) in [
            ("rim did not burn in a/1.JPG", "rim did not burn in shot 1"),
            ("from 1.JPG to a/11.JPG, 3 shots", "from shot 1 to shot 2, 3 shots"),
            ("11.JPG", "one of several shots"),
            ("a/1.CR3;b/11.JPG", "shot 1;shot 3"),
            ("against é ü.jpg.", "against shot 4."),
            ("+0.6 stop; é", "+0.6 stop; é"),
            ("", ""),
        ] {
            assert_eq!(said(&names, text), without);
        }
    }
}
