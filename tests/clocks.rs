//! Clocks of several bodies: a constant difference and a drift that were planted come out again, in a closed form

mod support;

use std::collections::BTreeMap;
use std::path::Path;

use jiff::SignedDuration;
use jiff::civil::{DateTime, date};
use stoptally::metadata::{Metadata, Taken};
use stoptally::problem::{Code, Problem};
use stoptally::shots::clock::{Clocks, Correction};
use stoptally::shots::{ReadFile, Sequence, assemble};
use stoptally::walk::{Kind, PhotoFile};

use support::shoot::{self, Frame, rows};

/// 3 min 12 s.
const FAST_S: f64 = 192.0;
/// Two seconds a day.
const DRIFT_PER_DAY_S: f64 = 2.0;

fn start() -> DateTime {
    date(2026, 11, 7).at(16, 0, 0, 0)
}

fn at(true_seconds: f64) -> DateTime {
    start() + SignedDuration::from_secs_f64(true_seconds)
}

fn file(name: &str, serial: &str, shown: Option<DateTime>, offset: Option<i16>) -> ReadFile {
    let taken = shown.map(|local| Taken { local, fraction_digits: 3, offset_minutes: offset });
    ReadFile {
        file: PhotoFile { path: name.into(), name: name.to_owned(), kind: Kind::Jpeg, bytes: 1 },
        metadata: Metadata { body_serial: Some(serial.to_owned()), taken, ..Metadata::default() },
        measurement: None,
        flaws: Vec::new(),
    }
}

/// Bodies A (right), B and C, a frame of each at the same moments: an hour apart, the last a day later. What each
/// clock shows is a function of the true time in seconds.
fn shots(b: impl Fn(f64) -> f64, c: impl Fn(f64) -> f64) -> Vec<ReadFile> {
    let moments = [0.0, 3600.0, 7200.0, 86_400.0];
    let mut files = Vec::new();
    for (n, t) in (1..).zip(moments) {
        files.push(file(&format!("A_{n}.JPG"), "A", Some(at(t)), None));
        files.push(file(&format!("B_{n}.JPG"), "B", Some(at(b(t))), None));
        files.push(file(&format!("C_{n}.JPG"), "C", Some(at(c(t))), None));
    }
    files
}

fn clocks(corrections: &[&str], moments: &[&str]) -> Clocks {
    let typed: Clocks = corrections.iter().map(|c| c.parse::<Correction>().unwrap()).collect();
    typed.with_moments(moments.iter().map(|m| m.parse().unwrap()).collect())
}

/// True seconds of every frame by the corrected clocks.
fn corrected(sequences: &[Sequence]) -> BTreeMap<String, f64> {
    let all = sequences.iter().flat_map(|s| &s.shots);
    let time = |taken: &Taken| taken.local.duration_since(start()).as_secs_f64();
    all.filter_map(|shot| Some((shot.frame.clone(), time(shot.taken.as_ref()?)))).collect()
}

fn codes(problems: &[Problem]) -> Vec<Code> {
    problems.iter().map(|p| p.code).collect()
}

fn all_at_one(times: &BTreeMap<String, f64>, body: &str, tolerance: f64) {
    for n in 1..=4 {
        let (a, b) = (times[&format!("A_{n}.JPG")], times[&format!("{body}_{n}.JPG")]);
        assert!((a - b).abs() <= tolerance, "{body}_{n}: {a} against {b}");
    }
}

#[test]
fn one_pair_gives_the_difference() {
    let (sequences, problems) = assemble(shots(|t| t + FAST_S, |t| t), &clocks(&[], &["A_2=B_2"]));
    assert!(problems.is_empty(), "{problems:?}");
    all_at_one(&corrected(&sequences), "B", 0.0);
    let offsets: Vec<_> = sequences.iter().map(|s| s.clock_offset_s).collect();
    assert_eq!(offsets, [None, Some(-FAST_S), None], "A keeps its time, and nothing is said of C");
    // Named the other way round, B keeps its time.
    let (sequences, _) = assemble(shots(|t| t + FAST_S, |t| t), &clocks(&[], &["B_2.JPG=A_2.JPG"]));
    assert_eq!(sequences.iter().map(|s| s.clock_offset_s).collect::<Vec<_>>(), [Some(FAST_S), None, None]);
}

/// B shows 192 s too much, and gains two seconds a day: shown = t + 192 + 2 t / 86400. Two pairs give both back.
#[test]
fn two_pairs_give_the_drift() {
    let shown = |t: f64| t + FAST_S + DRIFT_PER_DAY_S * t / 86_400.0;
    for (one, two) in [("A_1=B_1", "A_4=B_4"), ("A_2=B_2", "B_4=A_4"), ("A_4=B_4", "A_1=B_1")] {
        let (sequences, problems) = assemble(shots(shown, |t| t), &clocks(&[], &[one, two]));
        assert!(problems.is_empty(), "{problems:?}");
        // Files hold milliseconds of what the clock showed; everything between is a straight line.
        all_at_one(&corrected(&sequences), "B", 0.002);
        let b = &sequences[1];
        let offset = b.clock_offset_s.unwrap();
        assert!((offset + FAST_S).abs() < 0.002, "{offset}");
    }
    // With one pair alone the drift stays: two seconds at the end of a day.
    let (sequences, _) = assemble(shots(shown, |t| t), &clocks(&[], &["A_1=B_1"]));
    let times = corrected(&sequences);
    assert!((times["B_4.JPG"] - times["A_4.JPG"] - DRIFT_PER_DAY_S).abs() < 0.002);
}

/// Three pairs that lie on a line give the line; the slope is the planted one.
#[test]
fn several_pairs_give_the_line_between_them() {
    let shown = |t: f64| t + FAST_S + DRIFT_PER_DAY_S * t / 86_400.0;
    let (sequences, problems) = assemble(shots(shown, |t| t), &clocks(&[], &["A_1=B_1", "A_3=B_3", "A_4=B_4"]));
    assert!(problems.is_empty(), "{problems:?}");
    all_at_one(&corrected(&sequences), "B", 0.003);
}

#[test]
fn bodies_follow_one_another_and_a_clock_that_was_given() {
    let files = || shots(|t| t + FAST_S, |t| t - 50.0);
    let (sequences, problems) = assemble(files(), &clocks(&[], &["B_1=C_1", "A_3=B_3"]));
    assert!(problems.is_empty(), "{problems:?}");
    let times = corrected(&sequences);
    all_at_one(&times, "B", 0.0);
    all_at_one(&times, "C", 0.0);
    assert_eq!(times["B_1.JPG"], FAST_S, "the first frame of the first pair keeps its time");
    // A clock that was given holds, and the other follows it.
    let (sequences, problems) = assemble(files(), &clocks(&["B=-192s"], &["B_1=C_1"]));
    assert!(problems.is_empty(), "{problems:?}");
    let times = corrected(&sequences);
    all_at_one(&times, "B", 0.0);
    all_at_one(&times, "C", 0.0);
}

/// Where both files know their zones, one moment is one moment in UTC.
#[test]
fn zones_are_kept_apart_from_differences() {
    let files =
        vec![file("A_1.JPG", "A", Some(at(0.0)), Some(60)), file("B_1.JPG", "B", Some(at(10.0 - 3600.0)), Some(0))];
    let (sequences, problems) = assemble(files, &clocks(&[], &["A_1=B_1"]));
    assert!(problems.is_empty());
    assert_eq!(sequences[1].clock_offset_s, Some(-10.0));
}

#[test]
fn what_is_wrong_is_said_in_words() {
    let right = |t: f64| t;
    let cases: [(&[&str], &[&str], Code, &str); 8] = [
        (&[], &["A_1=B_9"], Code::MomentUnusable, "no shot is named \"B_9\""),
        (&[], &["A_9=B_1"], Code::MomentUnusable, "no shot is named \"A_9\""),
        (&[], &["A_1=A_2"], Code::MomentUnusable, "both frames are of one body"),
        (&[], &["A_1=D_1"], Code::MomentUnusable, "one of the frames has no time"),
        (&["A=0s", "B=-100s"], &["A_1=B_1"], Code::MomentContradicts, "92 s apart"),
        (&[], &["A_1=B_1", "A_3=B_4"], Code::MomentContradicts, "their mean is used"),
        (&[], &["A_1=B_1", "B_2=C_2", "C_3=A_4"], Code::MomentContradicts, "apart; that is used"),
        (&["Z=1s"], &[], Code::ClockUnknownBody, ""),
    ];
    for (corrections, moments, code, words) in cases {
        let mut files = shots(|t| t + FAST_S, right);
        files.push(file("D_1.JPG", "D", None, None));
        let (_, problems) = assemble(files, &clocks(corrections, moments));
        let problems: Vec<_> = problems.into_iter().filter(|p| p.file.starts_with("--")).collect();
        assert!(codes(&problems).iter().all(|c| *c == code) && !problems.is_empty(), "{moments:?}: {problems:?}");
        let said = problems[0].detail.clone().unwrap_or_default();
        assert!(said.contains(words), "{said}");
        assert!(corrections.len() == 1 || problems[0].file.starts_with("--same-moment "), "{}", problems[0].file);
    }
    // What agrees with what was given is no contradiction.
    let (_, problems) = assemble(shots(|t| t + FAST_S, right), &clocks(&["A=0s", "B=-192s"], &["A_1=B_1"]));
    assert!(problems.is_empty(), "{problems:?}");
    for text in ["A_1", "=B_1", "A_1=", " = "] {
        assert!(text.parse::<stoptally::shots::clock_pairs::SameMoment>().is_err(), "{text}");
    }
    let odd = vec![file("a=b.JPG", "A", Some(at(0.0)), None), file("c=d.JPG", "B", Some(at(5.0)), None)];
    let (sequences, problems) = assemble(odd, &clocks(&[], &["a=b=c=d.JPG"]));
    assert_eq!((problems.len(), sequences[1].clock_offset_s), (0, Some(-5.0)), "a name may hold the sign");
}

fn not_known(out: &Path) -> bool {
    std::fs::read_to_string(out.join("shoot.json")).unwrap().contains("the order of shots across cameras")
}

/// The program: 16:20 and 16:23:12 are one moment, and the page no longer says that the order is not known.
#[test]
fn the_program_ties_two_bodies() {
    let dir = tempfile::tempdir().unwrap();
    let mut frames: Vec<Frame> = (0..3).map(|n| Frame::new(&format!("A_{n}.JPG"), n * 60, 90)).collect();
    frames.extend((0..3).map(|n| Frame { serial: "TS-0500", ..Frame::new(&format!("B_{n}.JPG"), 192 + n * 60, 90) }));
    let folder = shoot::write(dir.path(), &frames);
    let out = dir.path().join("report");
    shoot::analyse(&folder, &out, &[]);
    assert!(not_known(&out));
    let run = shoot::analyse(&folder, &out, &["--same-moment", "A_0=B_0"]);
    assert_eq!(run.status.code(), Some(0), "{run:?}");
    assert!(!not_known(&out));
    let cells: Vec<_> = rows(&out.join("frames.csv"))
        .into_iter()
        .map(|row| (row["frame"].clone(), row["taken"].clone(), row["clock_offset_s"].clone()))
        .collect();
    for (n, minute) in (0..3).zip(["20", "21", "22"]) {
        let time = format!("2026-11-07T16:{minute}:00");
        assert_eq!(cells[n], (format!("A_{n}.JPG"), time.clone(), String::new()));
        assert_eq!(cells[n + 3], (format!("B_{n}.JPG"), time, "-192.0".to_owned()), "cameras stay one after the other");
    }
    // Two seconds a day, planted by the second pair: the offset is told for every frame.
    shoot::analyse(&folder, &out, &["--same-moment", "A_0=B_0", "--same-moment", "A_9=B_1"]);
    assert_eq!(rows(&out.join("problems.csv"))[0]["code"], "moment-unusable");
    assert_eq!(shoot::analyse(&folder, &out, &["--same-moment", "A_0"]).status.code(), Some(2));
}

/// With drift every frame has its own offset: -192 at the first pair, -194 a day later, on a line between.
#[test]
fn the_offset_of_a_drifting_clock_is_told_for_every_frame() {
    let dir = tempfile::tempdir().unwrap();
    let day = |name: &str, day: u32, clock: &str, serial: &'static str| Frame {
        serial,
        taken: format!("2026:11:{day:02} {clock}"),
        ..Frame::new(name, 0, 90)
    };
    let frames = [
        day("A_0.JPG", 7, "16:00:00", "TS-0417"),
        day("A_2.JPG", 8, "16:00:00", "TS-0417"),
        day("B_0.JPG", 7, "16:03:12", "TS-0500"),
        day("B_1.JPG", 8, "04:03:13", "TS-0500"),
        day("B_2.JPG", 8, "16:03:14", "TS-0500"),
    ];
    let folder = shoot::write(dir.path(), &frames);
    let out = dir.path().join("report");
    shoot::analyse(&folder, &out, &["--same-moment", "A_0=B_0", "--same-moment", "A_2=B_2"]);
    let rows = rows(&out.join("frames.csv"));
    let b: Vec<(&str, f64)> =
        rows.iter().skip(2).map(|r| (r["taken"].as_str(), r["clock_offset_s"].parse().unwrap())).collect();
    // B's clock runs 86402 s in a day of 86400 s; half of that is 43201 s.
    for ((taken, offset), (wanted, exact)) in b.iter().zip([
        ("2026-11-07T16:00:00", -192.0),
        ("2026-11-08T04:00:00", -192.0 - 2.0 * 43_201.0 / 86_402.0),
        ("2026-11-08T16:00:00", -194.0),
    ]) {
        assert_eq!(*taken, wanted);
        assert!((offset - exact).abs() < 1e-6, "{offset} against {exact}");
    }
}
