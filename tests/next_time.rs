//! What a shoot teaches for the next time, through the whole program: notes and options go in, figures by hand come out.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod support;

use std::fs;
use std::path::Path;

use serde_json::Value;
use support::extremes::PLANTED;
use support::shoot::{self, Frame};

const HEAD: &str = "from,light,power,gel,modifier,distance_m,clock_position,height_m,role,note\n";

/// Six frames at f/5.6, 1/200, ISO 100, a gap of ten seconds between them, with these notes.
fn told(base: &Path, notes: &str, more: &[&str]) -> (Value, std::process::Output) {
    let frames: Vec<Frame> = (0..6).map(|n| Frame::new(&format!("TS_{:04}.JPG", n + 1), 10 * n, 110)).collect();
    let folder = shoot::write(base, &frames);
    fs::write(folder.join("light-notes.csv"), format!("{HEAD}{notes}")).unwrap();
    let out = base.join("report");
    let run = shoot::analyse(&folder, &out, more);
    assert!(run.status.code().unwrap() <= 1, "{run:?}");
    let report: Value = serde_json::from_slice(&fs::read(out.join("shoot.json")).unwrap()).unwrap();
    (report["next_time"].clone(), run)
}

const NOTES: &str = "TS_0001.JPG,key,1/8,,softbox 100 cm,2,7:30,2,main light,\n\
                     TS_0001.JPG,rim,1/2,,bare,4,1,3,edge light,\n\
                     TS_0001.JPG,fill,on,,,,,,fill light,\n\
                     TS_0004.JPG,key,1/32,,softbox 100 cm,2,7:30,2,,\n";

fn row<'a>(next: &'a Value, list: &str, light: &str, lighting: u64) -> &'a Value {
    let rows = next[list].as_array().unwrap();
    let of = |r: &&Value| (r["light"] == light || r["about"] == light) && r["lighting"] == lighting;
    rows.iter().find(of).unwrap_or_else(|| panic!("no {light} in {list}: {rows:?}"))
}

fn near(value: &Value, wanted: f64) {
    assert!((value.as_f64().unwrap() - wanted).abs() < 1e-9, "{value} against {wanted}");
}

/// 1/8 is 2^-3 and 1/32 is 2^-5: 3 and 5 stops up, 2 and 0 down to the lowest used, 4 and 2 to 1/128 = 2^-7.
#[test]
fn power_left_is_that_of_the_noted_powers() {
    let dir = tempfile::tempdir().unwrap();
    let (next, _) = told(dir.path(), NOTES, &[]);
    assert_eq!(next["lightings"].as_array().unwrap().len(), 2, "{}", next["lightings"]);
    let first = row(&next, "powers", "key", 1);
    near(&first["up"]["value"], 3.0);
    near(&first["down"]["value"], 2.0);
    assert_eq!(first["down"]["at_least"], true);
    assert!(first["down"]["words"].as_str().unwrap().contains("4.0 if it goes to 1/128"), "{first}");
    near(&row(&next, "powers", "key", 2)["up"]["value"], 5.0);
    near(&row(&next, "powers", "rim", 1)["up"]["value"], 1.0);
    let fill = row(&next, "powers", "fill", 1);
    assert_eq!((&fill["up"]["value"], fill["up"]["why_unknown"].as_str()), (&Value::Null, Some("no power is noted")));

    let other = tempfile::tempdir().unwrap();
    let (next, _) = told(other.path(), NOTES, &["--lowest-power", "Key=1/64"]);
    let said = row(&next, "powers", "key", 1);
    near(&said["down"]["value"], 3.0);
    assert_eq!(said["down"]["at_least"], false);
}

/// f/5.6 to f/11 is two stops: 1/8 to 1/2, and 1/2 to two stops more, one beyond full; ISO 400; 1/200 to 1/50. Opened to
/// f/2.8: 1/32 and 1/8, a filter of two stops; the shutter stays at sync speed and the ambient gains both.
#[test]
fn another_aperture_has_its_price_both_ways() {
    let dir = tempfile::tempdir().unwrap();
    let (next, _) = told(dir.path(), NOTES, &["--sync", "1/200"]);
    let at = |to: &str| {
        let rows = next["apertures"].as_array().unwrap();
        rows.iter().find(|r| r["to"] == to && r["lighting"] == 1).unwrap_or_else(|| panic!("no {to}: {rows:?}"))
    };
    let closed = at("f/11");
    near(&closed["light_stops"], -2.0);
    let power = |row: &Value, light: &str| -> (String, f64) {
        let one = row["powers"].as_array().unwrap().iter().find(|p| p["light"] == light).unwrap().clone();
        (one["power"].as_str().unwrap().to_owned(), one["missing_stops"].as_f64().unwrap())
    };
    assert_eq!(power(closed, "key"), ("1/2".to_owned(), 0.0));
    assert_eq!(power(closed, "rim").1, 1.0);
    assert_eq!(power(closed, "fill"), (String::new(), 0.0));
    assert!(closed["power_words"].as_str().unwrap().contains("rim runs out, 1.0 stop beyond 1/1"), "{closed}");
    assert_eq!((closed["iso"].as_str(), closed["shutter"].as_str()), (Some("ISO 400"), Some("1/50")));
    assert_eq!(closed["filter_stops"], Value::Null);
    let opened = at("f/2.8");
    assert_eq!(power(opened, "key"), ("1/32".to_owned(), 0.0));
    near(&opened["filter_stops"], 2.0);
    near(&opened["ambient_gain_stops"], 2.0);
    assert!(opened["filter_words"].as_str().unwrap().contains("density 0.6"), "{opened}");
    assert!(opened["ambient_words"].as_str().unwrap().contains("at sync speed already"), "{opened}");
}

/// 2 m: half the distance is 1 m and two stops more; twice is 4 m and two less; the powers that take it back are 1/32 and
/// 1/2. At 1 m a box 1 m wide gives log2(1.25) less than the rule says of the light from afar; from 2 m, log2 of
/// 4.25/4 is known already.
#[test]
fn moving_a_light_follows_the_inverse_square_to_its_limit() {
    let dir = tempfile::tempdir().unwrap();
    let (next, _) = told(dir.path(), NOTES, &[]);
    let key = row(&next, "distances", "key", 1);
    let moves = key["moves"].as_array().unwrap();
    let metres: Vec<f64> = moves.iter().map(|m| m["to_m"].as_f64().unwrap()).collect();
    for (found, wanted) in metres.iter().zip([1.0, 2.0_f64.sqrt(), 2.0 * 2.0_f64.sqrt(), 4.0]) {
        assert!((found - wanted).abs() < 1e-12, "{metres:?}");
    }
    let powers: Vec<&str> = moves.iter().map(|m| m["same_light_at"].as_str().unwrap()).collect();
    assert_eq!(powers, ["1/32", "1/16", "1/4", "1/2"]);
    let off = 2.0 - (4.25_f64 / 1.25).log2();
    assert!(
        moves[0]["remark"].as_str().unwrap().contains(&format!("its width takes {off:.1} stop off")),
        "{}",
        moves[0]
    );
    let fill = row(&next, "distances", "fill", 1);
    assert!(fill["moves"].as_array().unwrap().is_empty() && fill["why_unknown"].as_str().unwrap().contains("distance"));
}

/// GN 32 at 4 m is f/8 (Nikon SB-16 manual, p. 30); at 1/2 it is f/8 over the root of two, f/5.66: just f/5.6.
#[test]
fn a_guide_number_is_the_photographers_own() {
    let dir = tempfile::tempdir().unwrap();
    let (next, _) = told(dir.path(), NOTES, &["--guide-number", "rim=32", "--guide-number", "fill=20"]);
    let rim = row(&next, "guide_numbers", "rim", 1);
    near(&rim["value"], 8.0 / 2.0_f64.sqrt());
    assert!(rim["words"].as_str().unwrap().contains("just that"), "{rim}");
    assert_eq!(row(&next, "guide_numbers", "fill", 1)["why_unknown"], "no power is noted");
    assert_eq!(next["guide_numbers"].as_array().unwrap().iter().filter(|r| r["about"] == "key").count(), 0);

    let other = tempfile::tempdir().unwrap();
    let (next, run) = told(other.path(), NOTES, &["--guide-number", "hair=32"]);
    assert_eq!((next["guide_numbers"].as_array().unwrap().len(), run.status.code()), (0, Some(1)));
    let problems = shoot::rows(&other.path().join("report/problems.csv"));
    assert!(
        problems.iter().any(|p| p["code"] == "light-unknown" && p["file"] == "'--guide-number hair"),
        "{problems:?}"
    );
}

#[test]
fn page_and_recap_say_it_and_name_no_file() {
    let dir = tempfile::tempdir().unwrap();
    let (next, _) = told(dir.path(), NOTES, &["--guide-number", "rim=32"]);
    let read = |name: &str| fs::read_to_string(dir.path().join("report").join(name)).unwrap();
    let page = read("report.html");
    let start = page.find("<section class=\"nx\"").unwrap();
    let section = &page[start..start + page[start..].find("<section aria-labelledby").unwrap()];
    for words in ["Next time", "5.0 stops up to 1/1", "runs out", "just that", "No forecast"] {
        assert!(section.contains(words), "{words}");
    }
    assert!(page.find("class=\"lad").unwrap() < start, "after the ladder");
    let recap = read("recap.md");
    let plain = recap.replace('\\', "");
    assert!(plain.contains("## Next time") && plain.contains("Power left up to 1/1: key 3.0"), "{recap}");
    assert!(!next.to_string().contains("TS_0") && !next.to_string().contains(".JPG"));
}

#[test]
fn without_lights_it_says_why_and_what_would_help() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let out = dir.path().join("report");
    shoot::analyse(&folder, &out, &[]);
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    let report: Value = serde_json::from_slice(&fs::read(out.join("shoot.json")).unwrap()).unwrap();
    assert_eq!(report["next_time"]["why_unknown"], "in no lighting a light is known to be set on");
    assert!(page.contains("Note which lights were on, and at what power"));
}

#[test]
fn names_from_the_notes_stay_text() {
    let dir = tempfile::tempdir().unwrap();
    let name = PLANTED.replace('"', "'");
    let notes = format!("TS_0001.JPG,\"{name}\",1/8,,\"{name} 90 cm\",2,7:30,2,,\n");
    told(dir.path(), &notes, &["--guide-number", &format!("{name}=36")]);
    let page = fs::read_to_string(dir.path().join("report/report.html")).unwrap();
    assert!(!page.contains("<script>document") && !page.contains("<img src=x") && !page.contains('\u{202e}'));
    assert!(page.contains("f/6.4 by its guide number"), "36 at 1/8 over 2 m is f/6.36");
    let recap = fs::read_to_string(dir.path().join("report/recap.md")).unwrap();
    assert!(!recap.contains("<script>") && !recap.contains("[a](javascript"));
}

#[test]
fn a_wrong_word_gets_an_example() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..1]);
    for (args, words) in [
        (["--guide-number", "key"], "key=36"),
        (["--guide-number", "key=118 ft"], "key=36"),
        (["--lowest-power", "key=off"], "key=1/128"),
    ] {
        let run = shoot::analyse(&folder, &dir.path().join("r"), &args);
        assert_eq!(run.status.code(), Some(2));
        assert!(String::from_utf8(run.stderr).unwrap().contains(words), "{args:?}");
    }
}
