//! The draft: made from a ledger, corrected by hand, read back, and it says exactly what was corrected.

use stoptally::light::{Entry, Light, LightLedger, SequenceLight, Setting, ShotLight, Told};
use stoptally::notes::draft;
use stoptally::shots::Sequence;

use super::scene::{codes, file, line, notes, said, sequences, six};

fn entry(on: Told, level: Option<f64>, colour: u32) -> Entry {
    let reason = if on == Told::Unknown { "too dark" } else { "" };
    Entry {
        reason: reason.to_owned(),
        setting: Setting { on, level, colour, ..Setting::default() },
        ..Entry::default()
    }
}

/// Two lights over the six shots: light-1 off, on, on (a misfire in between), a stop up, off, off; light-2 is not told,
/// then on, then behind another gel.
fn ledger() -> LightLedger {
    let (yes, no, unknown) = (Told::Yes, Told::No, Told::Unknown);
    let mut first = [
        entry(no, None, 0),
        entry(yes, Some(0.0), 1),
        entry(yes, Some(0.1), 1),
        entry(yes, Some(1.0), 1),
        entry(no, None, 1),
        entry(no, None, 1),
    ];
    first[2].on = no;
    first[2].misfire = yes;
    let second = [
        entry(unknown, None, 0),
        entry(unknown, None, 0),
        entry(yes, Some(0.0), 1),
        entry(yes, Some(0.2), 1),
        entry(yes, Some(0.0), 2),
        entry(yes, Some(0.0), 2),
    ];
    let light = |name: &str, shot| Light { name: name.to_owned(), reference_shot: Some(shot), ..Light::default() };
    let shots = first.into_iter().zip(second).map(|(a, b)| ShotLight { entries: vec![a, b], ..ShotLight::default() });
    let lights = vec![light("light-1", 1), light("light-2", 2)];
    LightLedger { sequences: vec![SequenceLight { lights, shots: shots.collect(), ..SequenceLight::default() }] }
}

const DRAFT: &str = "\
from,light,power,gel,modifier,distance_m,clock_position,height_m,role,note
TS_0001.JPG,light-1,off,,,,,,,light-1 off?
TS_0001.JPG,light-2,?,,,,,,,light-2 not told: too dark
TS_0002.JPG,light-1,on,,,,,,,light-1 on?
TS_0003.JPG,light-2,on,,,,,,,light-2 on?
TS_0004.JPG,light-1,on,,,,,,,light-1 on? +1.0 stop against TS_0002.JPG
TS_0005.JPG,light-1,off,,,,,,,light-1 off?
TS_0005.JPG,light-2,on,colour 2,,,,,,\"light-2 on? 0.0 stop against TS_0003.JPG, its colour changed: which gel?\"
";

#[test]
fn a_row_for_every_change_in_shooting_order() {
    assert_eq!(draft(&six(), &ledger()), DRAFT);
}

#[test]
fn uncorrected_it_says_what_was_seen_and_no_more() {
    let shots = six();
    let found = notes(DRAFT, &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    let noted = found.of(&shots[0]);
    assert_eq!(line(&noted, "light-1"), "- on on on - -");
    assert_eq!(line(&noted, "light-2"), "? ? on on on on");
}

#[test]
fn corrected_it_says_exactly_that() {
    let shots = six();
    let corrected = draft(&shots, &ledger())
        .replace("light-1", "key")
        .replace("TS_0001.JPG,light-2,?", "TS_0001.JPG,light-2,off")
        .replace("TS_0002.JPG,key,on", "TS_0002.JPG,key,1/8")
        .replace("TS_0004.JPG,key,on,", "TS_0004.JPG,key,1/4,'=x")
        .replace("colour 2", "'-amber");
    let found = notes(&corrected, &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    let noted = found.of(&shots[0]);
    assert_eq!(line(&noted, "key"), "- -3 -3 -2 - -");
    assert_eq!(line(&noted, "light-2"), "- - on on on on");
    let gels: Vec<_> = noted.shots.iter().map(|s| (s[0].gel.as_str(), s[1].gel.as_str())).collect();
    assert_eq!(gels, [("", ""), ("", ""), ("", ""), ("=x", ""), ("", "-amber"), ("", "-amber")]);
}

/// Names of files are hostile: none becomes a formula or a second cell, and each is found again.
#[test]
fn names_of_files_come_back() {
    let names = ["=cmd()|'x'!A1.JPG", "-1.JPG", "@a,b.JPG", "'=q.JPG", "a\"b;c.JPG", "night/é 1.JPG"];
    let shots = sequences((0..).zip(names).map(|(n, name)| file(name, "T", n * 60)).collect());
    let flips = |n: usize| if n.is_multiple_of(2) { Told::Yes } else { Told::No };
    let entries =
        (0..names.len()).map(|n| ShotLight { entries: vec![entry(flips(n), None, 0)], ..ShotLight::default() });
    let lights = vec![Light { name: "=light".to_owned(), ..Light::default() }];
    let ledger =
        LightLedger { sequences: vec![SequenceLight { lights, shots: entries.collect(), ..SequenceLight::default() }] };
    let text = draft(&shots, &ledger);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    for record in reader.records().map(Result::unwrap) {
        assert!(record.iter().all(|cell| !cell.starts_with(['=', '+', '-', '@'])), "{record:?}");
    }
    let found = notes(&text, &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    assert_eq!(line(&found.of(&shots[0]), "=light"), "on - on - on -");
}

/// Without a light there is something to fill in all the same, and left as it is it says nothing.
#[test]
fn without_lights_it_asks_where_something_changed() {
    let mut shots = six();
    shots[0].shots[3].metadata.iso = Some(200);
    let text = draft(&shots, &LightLedger::unknown(&shots));
    let rows: Vec<&str> = text.lines().skip(1).collect();
    assert_eq!(rows.len(), 3, "the first shot, the ISO up, the ISO down: {text}");
    assert!(
        rows[0].starts_with("TS_0001.JPG,,,")
            && rows[1].starts_with("TS_0004.JPG,,,")
            && rows[2].starts_with("TS_0005.JPG,,,")
    );
    assert!(rows[1].contains("settings now f/5.6, 1/200, ISO 200"), "{}", rows[1]);
    let found = notes(&text, &shots);
    assert!(codes(&found).is_empty() && found.of(&shots[0]).lights.is_empty(), "{}", said(&found));
    let filled = notes(&text.replace("TS_0004.JPG,,,", "TS_0004.JPG,key,1/8,"), &shots);
    assert_eq!(line(&filled.of(&shots[0]), "key"), "? ? ? -3 -3 -3");
    assert_eq!(draft(&[], &LightLedger::default()).lines().count(), 1, "the header alone");
}

/// Two cameras may each have a light-1, and nobody knows whether it is one flash.
#[test]
fn lights_of_two_bodies_are_kept_apart() {
    let shots: Vec<Sequence> = sequences(vec![file("A.JPG", "TS-0417", 0), file("B.JPG", "TS-0500", 0)]);
    let one = || SequenceLight {
        lights: vec![Light { name: "light-1".to_owned(), ..Light::default() }],
        shots: vec![ShotLight { entries: vec![entry(Told::Yes, None, 0)], ..ShotLight::default() }],
        ..SequenceLight::default()
    };
    let text = draft(&shots, &LightLedger { sequences: vec![one(), one()] });
    let found = notes(&text, &shots);
    let names: Vec<_> = found.of(&shots[0]).lights.into_iter().map(|l| l.name).collect();
    assert_eq!(names, ["light-1 of TS-0417", "light-1 of TS-0500"]);
}
