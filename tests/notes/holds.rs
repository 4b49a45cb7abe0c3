//! From which shot a row holds, and until when. The states are written out by hand from the rows.

use stoptally::notes::Stand;
use stoptally::problem::Code;

use super::scene::{codes, line, notes, said, six};

const HEAD: &str = "from,light,power,gel,modifier,distance_m,clock_position,height_m,role,note\n";

#[test]
fn a_row_holds_until_the_next_row_of_its_light() {
    let shots = six();
    let text = "TS_0001.JPG,key,off,,,,,,,\nTS_0002,key,1/8,,,,,,,\n,rim,1/16 -0.3,,,,,,,\nts_0004.jpg,KEY,off,,,,,,,\nTS_0005,Rim ,1/8,,,,,,,\n";
    let found = notes(&format!("{HEAD}{text}"), &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    let noted = found.of(&shots[0]);
    assert_eq!(noted.lights.iter().map(|l| l.name.as_str()).collect::<Vec<_>>(), ["key", "rim"]);
    assert_eq!(line(&noted, "key"), "- -3 -3 - - -");
    assert_eq!(line(&noted, "rim"), "? -4.3 -4.3 -4.3 -3 -3", "before its first row a light is not said, not off");
    assert_eq!(noted.shots[2][1].line, Some(4));
    assert_eq!(noted.shots[2][1].power_text, "1/16 -0.3");
}

#[test]
fn what_a_blank_means() {
    let shots = six();
    let text = "TS_0001,key,1/8,amber,octabox 110 cm,3.9,7:30,2.8,main light,first\nTS_0003,key,,,,,,,,gel and octabox off\nTS_0004,key,,amber,,4,,,,\nTS_0005,key,off,,,,,,,\nTS_0006,key,on,,,,,,,\n";
    let found = notes(&format!("{HEAD}{text}"), &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    let noted = found.of(&shots[0]);
    assert_eq!(line(&noted, "key"), "-3 -3 -3 -3 - on", "a blank power is the power as it was");
    let fittings: Vec<(&str, &str)> = noted.shots.iter().map(|s| (s[0].gel.as_str(), s[0].modifier.as_str())).collect();
    let first = ("amber", "octabox 110 cm");
    assert_eq!(fittings, [first, first, ("", ""), ("amber", ""), ("", ""), ("", "")]);
    let stand = |metres| Stand { distance_m: Some(metres), clock_hours: Some(7.5), height_m: Some(2.8) };
    assert_eq!(noted.shots.iter().map(|s| s[0].stand).collect::<Vec<_>>()[2..4], [stand(3.9), stand(4.0)]);
    assert_eq!(noted.lights[0].role, "main light");
}

/// The shots are a minute apart from 16:20 on.
#[test]
fn from_is_a_name_or_a_time() {
    let shots = six();
    for (from, line_of_key) in [
        ("TS_0003.JPG", "? ? -3 -3 -3 -3"),
        ("ts_0003", "? ? -3 -3 -3 -3"),
        ("TS_0003.CR3", "? ? -3 -3 -3 -3"),
        ("shed/TS_0003.JPG", "? ? -3 -3 -3 -3"),
        ("shed\\TS_0003", "? ? -3 -3 -3 -3"),
        ("TS_0005.NEF", "? ? ? ? -3 -3"),
        ("16:22", "? ? -3 -3 -3 -3"),
        ("16:22:00", "? ? -3 -3 -3 -3"),
        ("16.22.30", "? ? ? -3 -3 -3"),
        ("4:22 pm", "? ? -3 -3 -3 -3"),
        ("2026-11-07 16:22", "? ? -3 -3 -3 -3"),
        ("07.11.2026 16:22", "? ? -3 -3 -3 -3"),
        ("11/7/2026 16:22", "? ? -3 -3 -3 -3"),
        ("16:25", "? ? ? ? ? -3"),
    ] {
        let found = notes(&format!("from,light,power\n{from},key,1/8\n"), &shots);
        assert!(codes(&found).is_empty(), "{from}: {}", said(&found));
        assert_eq!(line(&found.of(&shots[0]), "key"), line_of_key, "{from}");
    }
}

#[test]
fn rows_out_of_order_and_moments_without_a_shot_between() {
    let shots = six();
    let found =
        notes("from,light,power\nTS_0005,key,off\nTS_0001,key,1/8\n16:21:10,key,1/4\n16:21:40,key,1/2\n", &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    assert_eq!(line(&found.of(&shots[0]), "key"), "-3 -3 -1 -1 - -");
}

#[test]
fn two_rows_for_one_light_and_shot() {
    let shots = six();
    let found =
        notes("from,light,power\nTS_0002,key,1/8\n16:21,key,1/4\nTS_0003,rim,1/8\nTS_0003.JPG,rim,1/8\n", &shots);
    assert_eq!(codes(&found), [Code::NoteContradicts], "the same twice is no contradiction");
    assert!(said(&found).contains("lines 2 and 3") && said(&found).contains("key"), "{}", said(&found));
    assert_eq!(line(&found.of(&shots[0]), "key"), "? -2 -2 -2 -2 -2", "the later line holds");
}

/// Shots with the names of our own scene, a minute apart from 16:20 on.
fn tram_shed() -> Vec<stoptally::shots::Sequence> {
    let numbers = (9981..=9999).chain(1..=27);
    let files =
        (0..).zip(numbers).map(|(n, name)| super::scene::file(&format!("TS4_{name:04}.JPG"), "TS-0417", n * 60));
    super::scene::sequences(files.collect())
}

/// A file of the project.
fn ours(name: &str) -> String {
    std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// The example of the README is read as it stands there.
#[test]
fn the_notes_of_the_readme() {
    let readme = ours("README.md");
    let example = readme.split("```csv\n").nth(1).unwrap().split("```").next().unwrap();
    let shots = tram_shed();
    let found = notes(example, &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    let noted = found.of(&shots[0]);
    let at = |frame: &str| noted.shots[shots[0].shots.iter().position(|s| s.frame == frame).unwrap()].clone();
    let state = |frame: &str| at(frame).iter().map(|s| (s.power, s.gel.clone())).collect::<Vec<_>>();
    assert_eq!(state("TS4_9983.JPG"), [(None, String::new()), (None, String::new())]);
    assert_eq!(state("TS4_9992.JPG"), [(Some(-3.0), String::new()), (None, String::new())]);
    assert_eq!(state("TS4_9993.JPG"), [(Some(-3.0), String::new()), (Some(-4.3), "amber".to_owned())], "16:32");
    assert_eq!(found.subjects[0].frame, "TS4_9996.JPG");
}

/// The notes of our own scene, which the scene's script wrote: no remark, and the states its rows give.
#[test]
fn the_notes_of_the_tram_shed() {
    let shots = tram_shed();
    let found = notes(&ours("sample-images/light-notes.csv"), &shots);
    assert!(codes(&found).is_empty(), "{}", said(&found));
    let noted = found.of(&shots[0]);
    let roles: Vec<_> = noted.lights.iter().map(|l| (l.name.as_str(), l.role.as_str())).collect();
    assert_eq!(roles[..2], [("key", "main light"), ("rim", "edge light")]);
    assert_eq!(roles[2..], [("dust-left", "light for the chalk, left"), ("dust-right", "light for the chalk, right")]);
    let at = |frame: &str| noted.shots[shots[0].shots.iter().position(|s| s.frame == frame).unwrap()].clone();
    let powers = |frame: &str| at(frame).iter().map(|s| s.power).collect::<Vec<_>>();
    assert_eq!(powers("TS4_9983.JPG"), [None; 4]);
    assert_eq!(powers("TS4_9985.JPG"), [Some(-4.0), None, None, None]);
    assert_eq!(powers("TS4_9999.JPG"), [Some(-3.0), Some(-3.0), Some(-3.0), Some(-4.0)]);
    assert_eq!(powers("TS4_0027.JPG"), [Some(-2.0), Some(-2.0), Some(-2.0), Some(-3.0)]);
    let gels: Vec<_> = at("TS4_0027.JPG").iter().map(|s| s.gel.clone()).collect();
    assert_eq!(gels, ["", "", "magenta", "amber"]);
}
