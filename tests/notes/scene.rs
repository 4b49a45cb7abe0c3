//! A handful of shots in the tram shed, and notes typed for them.

use jiff::SignedDuration;
use jiff::civil::date;
use stoptally::light::Told;
use stoptally::metadata::{Lens, Marked, Metadata, Taken};
use stoptally::notes::{LightNotes, NotedSequence, of_bytes};
use stoptally::problem::Code;
use stoptally::shots::clock::Clocks;
use stoptally::shots::{ReadFile, Sequence, assemble};
use stoptally::walk::{Kind, PhotoFile};

/// A file of a body at 16:20 of 7 November 2026 plus so many seconds.
pub fn file(name: &str, serial: &str, seconds: i64) -> ReadFile {
    let kind = if name.ends_with("CR3") { Kind::Raw } else { Kind::Jpeg };
    let local = date(2026, 11, 7).at(16, 20, 0, 0) + SignedDuration::from_secs(seconds);
    ReadFile {
        file: PhotoFile { path: name.into(), name: name.to_owned(), kind, bytes: 1 },
        metadata: Metadata {
            make: Some("Testcam".to_owned()),
            model: Some("T1".to_owned()),
            body_serial: Some(serial.to_owned()),
            lens: Lens::Named("35mm F2".to_owned()),
            taken: Some(Taken { local, fraction_digits: 0, offset_minutes: None }),
            f_number: Some(Marked { num: 56, den: 10 }),
            exposure_time_s: Some(Marked { num: 1, den: 200 }),
            iso: Some(100),
            ..Metadata::default()
        },
        measurement: None,
        flaws: Vec::new(),
    }
}

pub fn sequences(files: Vec<ReadFile>) -> Vec<Sequence> {
    assemble(files, &Clocks::default()).0
}

/// Six shots of one body, TS_0001 to TS_0006, a minute apart from 16:20 on; the third with its raw beside it.
pub fn six() -> Vec<Sequence> {
    let mut files: Vec<ReadFile> = (1..=6).map(|n| file(&format!("TS_000{n}.JPG"), "TS-0417", (n - 1) * 60)).collect();
    files.push(file("TS_0003.CR3", "TS-0417", 120));
    sequences(files)
}

pub fn notes(text: &str, sequences: &[Sequence]) -> LightNotes {
    of_bytes(text.as_bytes(), "light-notes.csv").settle(sequences, &[])
}

pub fn codes(notes: &LightNotes) -> Vec<Code> {
    notes.problems.iter().map(|p| p.code).collect()
}

/// The details of all problems, one below the other.
pub fn said(notes: &LightNotes) -> String {
    notes.problems.iter().map(|p| format!("{}: {}\n", p.file, p.detail.as_deref().unwrap_or_default())).collect()
}

/// What holds of a light, shot by shot: "-" off, "?" not said, "on" without a power, else its stops.
pub fn line(noted: &NotedSequence, name: &str) -> String {
    let light = noted.lights.iter().position(|l| l.name == name).unwrap_or_else(|| panic!("no light {name}"));
    let word = |said: &stoptally::notes::Said| match (said.on, said.power) {
        (Told::Yes, Some(stops)) => format!("{stops}"),
        (Told::Yes, None) => "on".to_owned(),
        (Told::No, None) => "-".to_owned(),
        (Told::Unknown, None) => "?".to_owned(),
        (on, power) => panic!("{on:?} at {power:?}"),
    };
    noted.shots.iter().map(|shot| word(&shot[light])).collect::<Vec<_>>().join(" ")
}
