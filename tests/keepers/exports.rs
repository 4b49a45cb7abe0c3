//! Exports whose name, camera time and picture agree, contradict each other, or say nothing.

use stoptally::keepers::exports::{Overruled, Times, decide, settle};
use stoptally::keepers::names::Names;
use stoptally::keepers::{Settled, ShotId};
use stoptally::metadata::Metadata;
use stoptally::problem::{Code, Flaw};
use stoptally::shots::ReadFile;

use super::scene::{codes, details, file, said, sequences, shed, taken};

fn id(shot: usize) -> ShotId {
    ShotId { sequence: 0, shot }
}

/// The whole rule, as a table: names, shots of the export's time (None: it has no time), shots without a time,
/// pictures; what comes out. Shots are numbers.
#[test]
fn the_rule() {
    use Overruled::{NameAndTime, NameByPicture, NameByTime, Picture, TimeByPicture};
    type Row = (
        &'static [usize],
        Option<&'static [usize]>,
        &'static [usize],
        &'static [usize],
        &'static [usize],
        Option<Overruled>,
    );
    let rows: [Row; 27] = [
        // Name alone, and what supports it.
        (&[1], None, &[], &[], &[1], None),
        (&[1], Some(&[1]), &[], &[], &[1], None),
        (&[1], Some(&[1]), &[], &[1], &[1], None),
        (&[1], Some(&[1, 2]), &[], &[], &[1], None),
        (&[1], Some(&[]), &[1], &[], &[1], None),
        (&[1, 2], None, &[], &[], &[1, 2], None),
        (&[1, 2], Some(&[2]), &[], &[], &[2], None),
        (&[1, 2], None, &[], &[2, 3], &[2], None),
        (&[1, 2], Some(&[1, 2]), &[], &[2], &[2], None),
        // A picture of several shots denies none of them.
        (&[1], None, &[], &[2, 3], &[1], None),
        // Renumbered: the time wins, and the picture tells shots of one second apart.
        (&[1], Some(&[2]), &[], &[], &[2], Some(NameByTime)),
        (&[1], Some(&[2]), &[], &[3, 4], &[2], Some(NameByTime)),
        (&[1], Some(&[2, 3]), &[], &[3], &[3], Some(NameByTime)),
        (&[1], Some(&[2, 3]), &[], &[], &[2, 3], Some(NameByTime)),
        // Name and picture against the time.
        (&[1], Some(&[2]), &[], &[1], &[1], Some(TimeByPicture)),
        // The picture is surely another shot, and time does not exclude it.
        (&[1], None, &[], &[2], &[2], Some(NameByPicture)),
        (&[1], Some(&[1, 2]), &[], &[2], &[2], Some(NameByPicture)),
        // Time excludes it: name and time stand together.
        (&[1], Some(&[1]), &[], &[2], &[1], Some(Picture(ShotId { sequence: 0, shot: 2 }))),
        (&[1], Some(&[1]), &[2], &[2], &[1], Some(Picture(ShotId { sequence: 0, shot: 2 }))),
        // The time is no shot's.
        (&[1], Some(&[]), &[], &[1], &[1], Some(TimeByPicture)),
        (&[1], Some(&[]), &[], &[2], &[2], Some(NameByPicture)),
        (&[1], Some(&[]), &[], &[], &[], Some(NameAndTime)),
        // No name.
        (&[], Some(&[2]), &[], &[], &[2], None),
        (&[], Some(&[2, 3]), &[], &[3], &[3], None),
        (&[], Some(&[2]), &[], &[3], &[2], Some(Picture(ShotId { sequence: 0, shot: 3 }))),
        (&[], Some(&[]), &[], &[3], &[3], Some(TimeByPicture)),
        (&[], None, &[], &[3], &[3], None),
    ];
    let ids = |shots: &[usize]| shots.iter().map(|shot| id(*shot)).collect::<Vec<_>>();
    for row in rows {
        let (names, fits, untimed, picture, shots, overruled) = row;
        let times = Times {
            taken: fits.map(|_| "then".to_owned()),
            fits: ids(fits.unwrap_or_default()),
            untimed: ids(untimed),
        };
        let verdict = decide(&ids(names), &times, &ids(picture));
        assert_eq!((verdict.shots, verdict.overruled), (ids(shots), overruled), "{row:?}");
    }
    assert_eq!(decide(&[], &Times::default(), &[]).shots, []);
}

fn export(name: &str, seconds: Option<i64>) -> ReadFile {
    let mut one = file(name, "TS-0417", seconds.unwrap_or(0));
    one.metadata.taken = one.metadata.taken.filter(|_| seconds.is_some());
    one
}

fn settled(exports: &[ReadFile]) -> (Settled, Vec<String>) {
    let shots = shed();
    let settled = settle(exports, "finals", &shots, &Names::of(&shots));
    let lines = said(&settled.choice.keepers, &shots);
    (settled, lines)
}

#[test]
fn names_times_and_bodies() {
    let mut other_body = export("one.jpg", Some(30));
    let mut no_serial = export("two.jpg", Some(30));
    no_serial.metadata.body_serial = None;
    let (settled, lines) = settled(&[
        export("TS_0002_edit.jpg", Some(60)),
        export("TS_0002 web.jpg", None),
        export("dancer-03.jpg", Some(180)),
        export("T_1.jpg", Some(420)),
        other_body.clone(),
        no_serial,
        export("leap.jpg", None),
    ]);
    assert_eq!(
        lines,
        [
            "TS_0002_edit.jpg -> name: TS_0002.JPG",
            "TS_0002 web.jpg -> name: TS_0002.JPG",
            "dancer-03.jpg -> time: TS_0004.JPG",
            "T_1.jpg -> name: b/T_1.JPG",
            "one.jpg -> none: ",
            "two.jpg -> time: B_0417.JPG",
            "leap.jpg -> none: ",
        ],
        "at 16:20:30 body TS-0417 took nothing"
    );
    assert_eq!(codes(&settled.problems), [Code::KeeperUnknown, Code::KeeperUnknown]);
    other_body.metadata.body_serial = Some("TS-0500".to_owned());
    assert_eq!(self::settled(&[other_body]).1, ["one.jpg -> time: B_0417.JPG"]);
}

#[test]
fn a_name_that_lies_is_said() {
    let (settled, lines) = settled(&[export("TS_0001.jpg", Some(60)), export("TS_0002.jpg", Some(4_000_000))]);
    assert_eq!(lines, ["TS_0001.jpg -> time: TS_0002.JPG", "TS_0002.jpg -> none: "]);
    assert_eq!(codes(&settled.problems), [Code::KeeperContradicts; 2]);
    let said = details(&settled.problems);
    assert!(
        said.contains("finals/TS_0001.jpg: its name fits TS_0001.JPG, its camera time 2026-11-07 16:21:00 TS_0002.JPG"),
        "{said}"
    );
    assert!(
        said.contains("its name fits TS_0002.JPG, but no such shot was taken at its camera time 2026-12-"),
        "{said}"
    );
}

/// Shots of one second are told apart by the fraction, as far as both files have it.
#[test]
fn fractions_of_a_second() {
    let shot = |name: &str, hundredths: i64, digits: u8| {
        let mut one = file(name, "TS-0417", 0);
        one.metadata.taken = Some(taken(hundredths, digits));
        one
    };
    let shots = sequences((0..4).map(|n| shot(&format!("TS_{n}.JPG"), 10 + 20 * n, 2)).collect());
    let exports = [shot("a.jpg", 50, 2), shot("b.jpg", 50, 1), shot("c.jpg", 0, 0), shot("d.jpg", 55, 2)];
    let settled = settle(&exports, "finals", &shots, &Names::of(&shots));
    assert_eq!(
        said(&settled.choice.keepers, &shots),
        [
            "a.jpg -> time: TS_2.JPG",
            "b.jpg -> time: TS_2.JPG",
            "c.jpg -> one of several: TS_0.JPG;TS_1.JPG;TS_2.JPG;TS_3.JPG",
            "d.jpg -> none: ",
        ]
    );
    assert!(details(&settled.problems).contains("it may be TS_0.JPG, TS_1.JPG, TS_2.JPG or one other"));
}

/// Exports keep the camera's own time, so a corrected clock must not part them from their shots.
#[test]
fn a_corrected_clock_does_not_part_exports_from_their_shots() {
    let clocks = ["TS-0417=-192s".parse().unwrap()].into_iter().collect();
    let shots = stoptally::shots::assemble(vec![file("TS_0001.JPG", "TS-0417", 0)], &clocks).0;
    assert_ne!(shots[0].shots[0].taken, shots[0].shots[0].metadata.taken);
    let settled = settle(&[export("leap.jpg", Some(0))], "finals", &shots, &Names::of(&shots));
    assert_eq!(said(&settled.choice.keepers, &shots), ["leap.jpg -> time: TS_0001.JPG"]);
}

#[test]
fn what_cannot_be_read_is_none_and_said() {
    let mut empty = export("TS_0001.jpg", None);
    empty.metadata = Metadata::default();
    empty.flaws = vec![Flaw::plain(Code::FileEmpty)];
    let mut cut = export("TS_0002.jpg", Some(60));
    cut.flaws = vec![Flaw::plain(Code::PictureTruncated)];
    let mut stripped = export("TS_0004.jpg", None);
    stripped.metadata = Metadata { flaws: vec![Flaw::plain(Code::ExifMissing)], ..Metadata::default() };
    let (settled, lines) = settled(&[empty, cut, stripped]);
    assert_eq!(
        lines,
        ["TS_0001.jpg -> none: ", "TS_0002.jpg -> name: TS_0002.JPG", "TS_0004.jpg -> name: TS_0004.JPG"],
        "an export without metadata is an ordinary one"
    );
    assert_eq!(codes(&settled.problems), [Code::FileEmpty, Code::PictureTruncated]);
    assert!(details(&settled.problems).starts_with("finals/TS_0001.jpg: "));
}
