//! Shots of two evenings in the tram shed, on plain values, and XMP typed for them.

use jiff::SignedDuration;
use jiff::civil::date;
use stoptally::keepers::{Keeper, ShotId};
use stoptally::metadata::{Marked, Metadata, Taken};
use stoptally::problem::{Code, Problem};
use stoptally::shots::clock::Clocks;
use stoptally::shots::{ReadFile, Sequence, assemble};
use stoptally::walk::{Kind, PhotoFile};

pub fn taken(hundredths: i64, digits: u8) -> Taken {
    let local = date(2026, 11, 7).at(16, 20, 0, 0) + SignedDuration::from_millis(hundredths * 10);
    Taken { local, fraction_digits: digits, offset_minutes: None }
}

/// A file of a body at 16:20 of 7 November 2026 plus so many seconds.
pub fn file(name: &str, serial: &str, seconds: i64) -> ReadFile {
    let kind = if name.ends_with("CR3") { Kind::Raw } else { Kind::Jpeg };
    ReadFile {
        file: PhotoFile { path: name.into(), name: name.to_owned(), kind, bytes: 1 },
        metadata: Metadata {
            make: Some("Testcam".to_owned()),
            model: Some("T1".to_owned()),
            body_serial: Some(serial.to_owned()),
            taken: Some(taken(seconds * 100, 0)),
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

/// A minute apart: TS_0001 to TS_0004, TS_0003 with its raw beside it; TS_0001-2; Dust 12; in two folders T_1; on a
/// second body B_0417.
pub fn shed() -> Vec<Sequence> {
    let names = [
        "TS_0001.JPG",
        "TS_0002.JPG",
        "TS_0003.JPG",
        "TS_0004.JPG",
        "TS_0001-2.JPG",
        "Dust 12.jpg",
        "a/T_1.JPG",
        "b/T_1.JPG",
    ];
    let mut files: Vec<ReadFile> = (0..).zip(names).map(|(n, name)| file(name, "TS-0417", n * 60)).collect();
    files.push(file("TS_0003.CR3", "TS-0417", 120));
    files.push(file("B_0417.JPG", "TS-0500", 30));
    sequences(files)
}

/// The frames of these shots.
pub fn frames<'a>(shots: &[ShotId], sequences: &'a [Sequence]) -> Vec<&'a str> {
    shots.iter().map(|id| sequences[id.sequence].shots[id.shot].frame.as_str()).collect()
}

/// "given -> match: frames", a line for each keeper.
pub fn said(keepers: &[Keeper], sequences: &[Sequence]) -> Vec<String> {
    let line = |k: &Keeper| format!("{} -> {}: {}", k.given, k.matched.word(), frames(&k.shots, sequences).join(";"));
    keepers.iter().map(line).collect()
}

pub fn codes(problems: &[Problem]) -> Vec<Code> {
    problems.iter().map(|p| p.code).collect()
}

/// The details of all problems, one below the other.
pub fn details(problems: &[Problem]) -> String {
    problems.iter().map(|p| format!("{}: {}\n", p.file, p.detail.as_deref().unwrap_or_default())).collect()
}

/// XMP with these attributes on its description.
pub fn xmp(attributes: &str) -> String {
    format!(
        "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n \
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n  <rdf:Description rdf:about=\"\"\n    \
         xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\n   {attributes}/>\n </rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>"
    )
}

/// The same with this rating.
pub fn rated(rating: &str) -> String {
    xmp(&format!("xmp:Rating=\"{rating}\""))
}
