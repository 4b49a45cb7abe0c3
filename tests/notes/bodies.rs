//! Several bodies, and names and times that point nowhere or to more than one shot.

use stoptally::notes::{SubjectBox, of_bytes};
use stoptally::problem::Code;
use stoptally::shots::Sequence;

use super::scene::{codes, file, line, notes, said, sequences, six};

/// Body TS-0417 shoots A_1 to A_3 at 16:20, 16:22, 16:24; body TS-0500 shoots B_1 and B_2 at 16:21 and 16:23.
fn two() -> Vec<Sequence> {
    let a = (0..3).map(|n| file(&format!("one/A_{}.JPG", n + 1), "TS-0417", n * 120));
    let b = (0..2).map(|n| file(&format!("two/B_{}.JPG", n + 1), "TS-0500", 60 + n * 120));
    sequences(a.chain(b).collect())
}

#[test]
fn a_time_holds_for_every_body_and_a_name_for_its_own() {
    let shots = two();
    assert_eq!(shots.len(), 2);
    let found = notes("from,light,power\n16:22,key,1/8\nA_1,rim,off\ntwo/B_2.JPG,rim,1/4\n", &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    let (a, b) = (found.of(&shots[0]), found.of(&shots[1]));
    assert_eq!((line(&a, "key"), line(&a, "rim")), ("? -3 -3".to_owned(), "- - -".to_owned()));
    assert_eq!((line(&b, "key"), line(&b, "rim")), ("? -3".to_owned(), "? -2".to_owned()));
}

#[test]
fn a_time_that_only_one_body_still_meets() {
    let shots = two();
    let found = notes("from,light,power\n16:24,key,1/8\n", &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    assert_eq!((line(&found.of(&shots[0]), "key"), line(&found.of(&shots[1]), "key")), ("? ? -3".into(), "? ?".into()));
}

#[test]
fn what_points_nowhere_is_named_and_not_used() {
    let shots = six();
    for (from, code, word) in [
        ("TS_0007", Code::NoteFrameUnknown, "no shot has this name"),
        ("0003", Code::NoteFrameUnknown, "did you mean TS_0003.JPG?"),
        ("TS_000", Code::NoteFrameUnknown, "no shot"),
        ("later", Code::NoteFrameUnknown, "no shot"),
        ("16:26", Code::NoteTimeOutside, "later"),
        ("04:22", Code::NoteTimeOutside, "later"),
        ("2026-11-08 16:22", Code::NoteTimeOutside, "later"),
        ("25:10", Code::NoteFrameUnknown, "no shot"),
    ] {
        let found = notes(&format!("from,light,power\nTS_0001,key,1/4\n{from},key,1/8\n,rim,1/8\n"), &shots);
        assert_eq!(codes(&found), [code], "{from}");
        assert!(
            said(&found).contains(&format!("lines 3 and 4: {from:?}")) && said(&found).contains(word),
            "{}",
            said(&found)
        );
        assert_eq!(line(&found.of(&shots[0]), "key"), "-2 -2 -2 -2 -2 -2", "{from}");
        assert_eq!(line(&found.of(&shots[0]), "rim"), "? ? ? ? ? ?", "{from}: a light that is named is there");
    }
    let found = notes("from,light,power\n,key,1/8\n", &shots);
    assert_eq!(
        (codes(&found), line(&found.of(&shots[0]), "key")),
        (vec![Code::NoteFrameUnknown], "? ? ? ? ? ?".to_owned())
    );
}

#[test]
fn a_time_before_the_first_shot_holds_from_there() {
    let shots = six();
    for from in ["16:05", "15:50", "2026-11-06 12:00"] {
        let found = notes(&format!("from,light,power\n{from},key,1/8\n"), &shots);
        assert_eq!(codes(&found), [Code::NoteTimeEarly], "{from}");
        assert_eq!(line(&found.of(&shots[0]), "key"), "-3 -3 -3 -3 -3 -3", "{from}");
    }
}

#[test]
fn a_night_goes_on_past_midnight_and_two_days_need_a_date() {
    let hour = 3600;
    let night =
        sequences(vec![file("N_1.JPG", "T", 0), file("N_2.JPG", "T", 7 * hour), file("N_3.JPG", "T", 9 * hour)]);
    let found = notes("from,light,power\n23:00,key,1/8\n00:30,rim,1/4\n", &night);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    assert_eq!(
        (line(&found.of(&night[0]), "key"), line(&found.of(&night[0]), "rim")),
        ("? -3 -3".into(), "? ? -2".into())
    );
    let days =
        sequences(vec![file("N_1.JPG", "T", 0), file("N_2.JPG", "T", 24 * hour), file("N_3.JPG", "T", 25 * hour)]);
    let found = notes("from,light,power\n17:00,key,1/8\n2026-11-08 17:00,rim,1/4\n", &days);
    assert_eq!(codes(&found), [Code::NoteFromAmbiguous]);
    assert_eq!((line(&found.of(&days[0]), "key"), line(&found.of(&days[0]), "rim")), ("? ? ?".into(), "? ? -2".into()));
}

#[test]
fn a_name_of_two_shots_needs_its_folder() {
    let shots = sequences(vec![file("a/T_1.JPG", "T", 0), file("b/T_1.JPG", "T", 600), file("b/T_2.JPG", "T", 700)]);
    let found = notes("from,light,power\nT_1,key,1/8\nb/T_1,rim,1/8\n", &shots);
    assert_eq!(codes(&found), [Code::NoteFromAmbiguous]);
    assert!(said(&found).contains("a/T_1.JPG, b/T_1.JPG"), "{}", said(&found));
    assert_eq!(
        (line(&found.of(&shots[0]), "key"), line(&found.of(&shots[0]), "rim")),
        ("? ? ?".into(), "? -3 -3".into())
    );
}

#[test]
fn a_clock_that_was_set_back_passes_a_time_twice() {
    let mut files: Vec<_> = (0..4).map(|n| file(&format!("T_000{n}.JPG"), "T", n * 60)).collect();
    files.extend((4..8).map(|n| file(&format!("T_000{n}.JPG"), "T", n * 60 - 180)));
    let shots = sequences(files);
    let found = notes("from,light,power\n16:22,key,1/8\n", &shots);
    assert_eq!(
        (codes(&found), line(&found.of(&shots[0]), "key")),
        (vec![Code::NoteFromAmbiguous], "? ? ? ? ? ? ? ?".to_owned())
    );
}

#[test]
fn subject_boxes_of_notes_and_command_line() {
    let shots = six();
    let text = "from,light,power,note\nTS_0001,subject,,\"30,10,40,80\"\n16:21,Subject,,80;10;40;80\nTS_0003,subject,,left half\nTS_9,subject,,\"1,1,1,1\"\nTS_0004,subject,,\"120,0,10,10\"\n";
    let given =
        ["ts_0001=20,10,40,80", "TS_0005=0,0,100,100", "TS_8=1,1,1,1"].map(|b| b.parse::<SubjectBox>().unwrap());
    let found = of_bytes(text.as_bytes(), "light-notes.csv").settle(&shots, &given);
    let boxes: Vec<_> = found.subjects.iter().map(|b| (b.frame.as_str(), b.percent)).collect();
    assert_eq!(
        boxes,
        [
            ("TS_0001.JPG", [20.0, 10.0, 40.0, 80.0]),
            ("TS_0002.JPG", [80.0, 10.0, 20.0, 80.0]),
            ("TS_0005.JPG", [0.0, 0.0, 100.0, 100.0]),
        ],
        "what is typed last, on the command line, goes before"
    );
    assert_eq!(
        codes(&found),
        [
            Code::NoteFrameUnknown,
            Code::SubjectClipped,
            Code::SubjectUnreadable,
            Code::NoteFrameUnknown,
            Code::SubjectUnreadable
        ]
    );
    assert!(said(&found).starts_with("--subject: subject box, TS_8"), "{}", said(&found));
    assert!(said(&found).contains("line 3: \"16:21\": used as 80,10,20,80"), "{}", said(&found));
    assert!(found.of(&shots[0]).lights.is_empty(), "the subject is no light");
}
