//! Two shoots side by side, from outside: a shoot against itself, two against each other both ways, foreign names, and the
//! program with its refusals. What is exact in it is tested beside the code.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod support;

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use proptest::prelude::*;
use serde_json::{Value, json};
use stoptally::compare::{Comparison, Figure, Shoot, compare, read};
use stoptally::report::{Report, compare as written};
use support::{extremes, kept, lit, shoot};

/// A report as its shoot.json, read back.
fn account(report: &Report) -> Shoot {
    serde_json::from_slice(&serde_json::to_vec(report).unwrap()).unwrap()
}

fn all_figures(comparison: &Comparison) -> impl Iterator<Item = &Figure> {
    comparison.whole.iter().chain(comparison.pairs.iter().flat_map(|pair| &pair.figures))
}

/// Every figure that is known on both sides is the same, and every lighting has itself.
fn nothing_differs(comparison: &Comparison, name: &str) {
    assert!(comparison.only_a.is_empty() && comparison.only_b.is_empty(), "{name}: {:?}", comparison.only_a);
    for pair in &comparison.pairs {
        assert_eq!(pair.lighting_a, pair.lighting_b, "{name}");
    }
    for figure in all_figures(comparison) {
        assert_eq!(figure.a, figure.b, "{name}: {figure:?}");
        let known = figure.difference.is_some() || !figure.why_unknown.is_empty();
        assert!(known && figure.difference.unwrap_or(0.0) == 0.0, "{name}: {figure:?}");
    }
}

#[test]
fn a_shoot_against_itself_is_all_zeros() {
    for (name, report) in extremes::all() {
        let one = account(&report);
        let found = compare(&one, &one);
        nothing_differs(&found, name);
        assert_eq!(found.pairs.len(), report.lightings.len(), "{name}");
        assert_eq!(found.same_shoot, report.frames.iter().any(|f| !f.taken.is_empty()), "{name}");
    }
    let sample = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("reports/sample-images")).unwrap();
    let found = compare(&sample, &sample);
    nothing_differs(&found, "sample-images");
    assert!(found.pairs.len() > 3 && all_figures(&found).filter(|f| f.difference.is_some()).count() > 50);
    let table = String::from_utf8(written::files(&found).unwrap()["compare.csv"].to_vec()).unwrap();
    for row in csv::Reader::from_reader(table.as_bytes()).records().map(Result::unwrap) {
        assert!(row[10].is_empty() || row[10].parse::<f64>().unwrap() == 0.0, "{row:?}");
    }
}

/// The evening, with the key a stop up from lighting 4 on, and a light more in lighting 5: figures that follow by hand.
#[test]
fn what_was_changed_is_found_and_nothing_else() {
    let one = lit::lit_evening();
    let mut other = serde_json::to_value(&one).unwrap();
    for frame in other["frames"].as_array_mut().unwrap() {
        frame["taken"] = json!(frame["taken"].as_str().unwrap().replace("2026-03", "2026-04"));
    }
    other["lights"].as_array_mut().unwrap().push(json!({ "light": "hair", "noted": true }));
    for lighting in other["lightings"].as_array_mut().unwrap() {
        let number = lighting["lighting"].as_u64().unwrap();
        let lights = lighting["light_account"]["each_light"].as_array_mut().unwrap();
        for light in lights.iter_mut().filter(|l| number == 4 && l["light"] == "key") {
            light["noted_power"] = json!("1/8");
        }
        if number == 5 {
            lights.push(json!({ "light": "hair", "on": "yes" }));
        }
    }
    let a: Shoot = {
        let mut a = serde_json::to_value(&one).unwrap();
        for lighting in a["lightings"].as_array_mut().unwrap().iter_mut().filter(|l| l["lighting"] == 4) {
            for light in lighting["light_account"]["each_light"].as_array_mut().unwrap() {
                if light["light"] == "key" {
                    light["noted_power"] = json!("1/16");
                }
            }
        }
        serde_json::from_value(a).unwrap()
    };
    let b: Shoot = serde_json::from_value(other).unwrap();
    let found = compare(&a, &b);
    assert!(!found.same_shoot);
    assert!(found.only_a.iter().any(|one| one.lighting == 5), "{:?}", found.only_a);
    let why = &found.only_b.iter().find(|one| one.lighting == 5).unwrap().why;
    assert_eq!(why, "hair has no counterpart in A");
    let pair = found.pairs.iter().find(|pair| pair.lighting_a == 4).unwrap();
    for figure in &pair.figures {
        let wanted = if figure.what == "power" && figure.light == "key" { Some(1.0) } else { Some(0.0) };
        assert!(figure.difference.is_none() || figure.difference == wanted, "{figure:?}");
    }
    let said = written::sentences(&found, "reports/x");
    assert!(said.contains("key power +1.0\u{a0}stop") && said.contains("; lighting 5 (key 1/8"), "{said}");
}

#[test]
fn keepers_are_compared_by_series() {
    let a = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("reports/sample-images/shoot.json")).unwrap();
    let found = compare(&a, &a);
    let rates: Vec<&Figure> = found.whole.iter().filter(|f| f.what == "keepers per series").collect();
    assert_eq!(rates.len(), 1);
    assert!(rates[0].low.unwrap() < 0.0 && (rates[0].low.unwrap() + rates[0].high.unwrap()).abs() < 1e-12);
}

#[test]
fn foreign_names_stay_text() {
    let planted = extremes::PLANTED;
    let mut report = serde_json::to_value(lit::lit_evening()).unwrap();
    report["shoot"] = json!(planted);
    for lighting in report["lightings"].as_array_mut().unwrap() {
        lighting["lights"] = json!(format!("={planted}"));
        for light in lighting["light_account"]["each_light"].as_array_mut().unwrap() {
            for field in ["noted_power", "gel", "modifier"] {
                light[field] = json!(planted);
            }
            light["light"] = json!(format!("{planted}{}", light["light"].as_str().unwrap()));
        }
        lighting["light_account"]["ambient"]["words"] = json!(planted);
    }
    for stage in report["stages"].as_array_mut().unwrap() {
        stage["settings"] = json!(planted);
    }
    let a: Shoot = serde_json::from_value(report).unwrap();
    let found = compare(&a, &a);
    let files = written::files(&found).unwrap();
    let page = String::from_utf8(files["compare.html"].to_vec()).unwrap();
    for active in ["<script", "<img", "onerror=\"", "\u{202e}", "\u{2066}", "://"] {
        assert!(!page.contains(active), "{active:?} came through");
    }
    assert!(page.contains("&lt;script&gt;") && page.contains("\\u{202e}"), "shown, not dropped");
    let table = String::from_utf8(files["compare.csv"].to_vec()).unwrap();
    assert!(!table.contains(",=") && !table.contains(",\"="), "a spreadsheet would run it");
    let said = written::sentences(&found, "reports/x");
    assert!(!said.contains('\u{202e}') && !said.contains('\u{1b}'));
    let place = written::place(&found, None).unwrap();
    assert_eq!(place.components().count(), 2, "{}", place.display());
}

#[test]
fn the_page_is_whole_and_asks_for_nothing() {
    let a = account(&kept::kept_evening());
    let b = account(&lit::many_lights());
    for (a, b) in [(&a, &a), (&a, &b), (&b, &a), (&Shoot::default(), &a)] {
        let found = compare(a, b);
        let page = String::from_utf8(written::files(&found).unwrap()["compare.html"].to_vec()).unwrap();
        assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>"));
        assert!(page.contains("default-src 'none'") || page.contains("default-src &#39;none&#39;"));
        assert!(!page.contains(" style=\"") && !page.contains("NaN") && !page.contains("inf%"));
        let ids: Vec<&str> =
            page.match_indices(" id=\"").map(|(at, _)| page[at + 5..].split('"').next().unwrap()).collect();
        for (at, _) in page.match_indices(" href=\"#") {
            let target = page[at + 8..].split('"').next().unwrap();
            assert!(ids.contains(&target), "nothing is called {target}");
        }
        let mut once = ids.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), ids.len(), "an id is there twice");
    }
}

/// A shoot as any JSON may have it.
fn any_shoot() -> impl Strategy<Value = Value> {
    let name = prop::sample::select(vec!["key", "rim", "dust-left", "KEY", "hair"]);
    let stops = || prop::option::of(-9.0..3.0_f64);
    let power = prop::sample::select(vec!["", "1/1", "1/8", "1/8 -0.3", "1/64 +0.7", "nonsense"]);
    let on = prop::sample::select(vec!["yes", "yes", "yes", "no", "unknown"]);
    let gel = prop::sample::select(vec!["", "amber"]);
    let light = (name, on, power, gel, prop::option::of(0.0..100.0_f64)).prop_map(|(light, on, power, gel, share)| {
        json!({ "light": light, "on": on, "noted_power": power, "gel": gel, "share_of_frame_percent": share })
    });
    let kept = prop::option::of((0..9_u32, 0..9_u32));
    let lighting = (prop::collection::vec(light, 0..4), stops(), any::<bool>(), stops(), kept, 1..5_u32);
    let lighting = lighting.prop_map(|(lights, under, at_most, ratio, kept, stage)| {
        json!({
            "typical_stage": stage,
            "kept_series": kept.map(|(a, b)| a.min(b)), "candidate_series": kept.map(|(a, b)| a.max(b)),
            "light_account": {
                "each_light": lights,
                "ambient": { "headroom_stops": under, "at_most": at_most },
                "ratios": [{ "what": "key to ambient", "over": "frame", "stops": ratio }],
            },
        })
    });
    let mark = |marks: Vec<f64>| prop::option::of(prop::sample::select(marks));
    let stage = (mark(vec![2.8, 4.0, 5.6, 8.0]), mark(vec![0.005, 0.02, 1.0]), mark(vec![100.0, 400.0]), stops());
    let parts = (prop::collection::vec(lighting, 0..7), prop::collection::vec(stage, 0..5), 0..1000_u32);
    parts.prop_map(|(mut lightings, stages, seed)| {
        for (number, lighting) in (1..).zip(&mut lightings) {
            lighting["lighting"] = json!(number);
            lighting["first_frame"] = json!(format!("TS_{seed}_{number}.JPG"));
        }
        let names = ["key", "rim", "dust-left"].map(|light| json!({ "light": light, "noted": true, "role": light }));
        json!({
            "generator": "stoptally report", "schema": 1, "shoot": format!("shed {seed}"), "lights": names,
            "frames": [{ "frame": format!("TS_{seed}.JPG"), "taken": "2026-11-07T16:20:00", "mean_luminance": 0.1 }],
            "lightings": lightings,
            "stages": stages.into_iter().zip(1..).map(|((f, t, iso, level), stage)| json!({
                "stage": stage, "f_number": f, "exposure_time_s": t, "iso": iso, "mean_luminance_stops": level,
            })).collect::<Vec<_>>(),
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_shoot_against_itself_is_all_zeros(value in any_shoot()) {
        let one: Shoot = serde_json::from_value(value).unwrap();
        let found = compare(&one, &one);
        nothing_differs(&found, "random");
        prop_assert_eq!(found.pairs.len(), one.lightings.len());
    }

    #[test]
    fn turned_round_every_difference_changes_its_sign(a in any_shoot(), b in any_shoot()) {
        let (a, b): (Shoot, Shoot) = (serde_json::from_value(a).unwrap(), serde_json::from_value(b).unwrap());
        let (there, back) = (compare(&a, &b), compare(&b, &a));
        let turned = |pairs: &[stoptally::compare::Pair]| {
            let mut all: Vec<(u32, u32)> = pairs.iter().map(|p| (p.lighting_b, p.lighting_a)).collect();
            all.sort_unstable();
            all
        };
        let straight: Vec<(u32, u32)> = there.pairs.iter().map(|p| (p.lighting_a, p.lighting_b)).collect();
        prop_assert_eq!(turned(&back.pairs), straight);
        prop_assert_eq!(there.only_a.len(), back.only_b.len());
        for pair in &there.pairs {
            let other = back.pairs.iter().find(|p| p.lighting_b == pair.lighting_a).unwrap();
            prop_assert_eq!(pair.figures.len(), other.figures.len());
            for figure in &pair.figures {
                // A light may go by another name in the other shoot.
                let same = |f: &&Figure| f.what == figure.what && f.light.to_lowercase() == figure.light.to_lowercase();
                let turned = other.figures.iter().find(same).unwrap();
                match (figure.difference, turned.difference) {
                    (Some(there), Some(back)) => prop_assert!((there + back).abs() < 1e-12, "{figure:?} {turned:?}"),
                    (there, back) => prop_assert_eq!(there, back),
                }
                if let (Some(low), Some(high)) = (figure.low, turned.high) {
                    prop_assert!((low + high).abs() < 1e-12);
                }
            }
        }
        // Nothing is lost: every lighting is paired or stands alone.
        prop_assert_eq!(there.pairs.len() + there.only_a.len(), a.lightings.len());
        prop_assert_eq!(there.pairs.len() + there.only_b.len(), b.lightings.len());
        written::files(&there).unwrap();
    }
}

fn program(work: &Path, args: &[&str]) -> Output {
    shoot::run(work, &args.iter().map(OsStr::new).collect::<Vec<_>>())
}

/// A small shoot's report in a folder of its own.
fn reported(base: &Path) -> PathBuf {
    let folder = shoot::write(base, &shoot::evening()[..4]);
    let out = base.join("report");
    assert!(shoot::analyse(&folder, &out, &[]).status.code().unwrap() <= 1);
    out
}

#[test]
fn the_program_compares_folders_and_files_and_writes_beside_neither() {
    let dir = tempfile::tempdir().unwrap();
    let report = reported(dir.path());
    let before = shoot::contents(&report);
    let run = program(dir.path(), &["compare", "report", "report/shoot.json"]);
    assert_eq!(run.status.code(), Some(0), "{run:?}");
    let said = String::from_utf8(run.stdout).unwrap();
    assert!(said.lines().last().unwrap().ends_with("reports/compare-shed-shed/compare.html"), "{said}");
    let out = dir.path().join("reports/compare-shed-shed");
    assert_eq!(shoot::contents(&out).into_keys().collect::<Vec<_>>(), ["compare.csv", "compare.html"]);
    assert_eq!(shoot::contents(&report), before);
    let first = shoot::contents(&out);
    let again = program(dir.path(), &["compare", "report", "report", "--quiet"]);
    assert_eq!((again.status.code(), again.stdout.len()), (Some(0), 0));
    assert_eq!(shoot::contents(&out), first, "the same reports, the same bytes");
    assert_eq!(program(dir.path(), &["compare", "report", "report", "--out", "elsewhere"]).status.code(), Some(0));
    assert!(dir.path().join("elsewhere/compare.html").is_file());
}

#[test]
fn every_refusal_names_file_cause_and_remedy() {
    let dir = tempfile::tempdir().unwrap();
    reported(dir.path());
    fs::write(dir.path().join("other.json"), "{\"generator\":\"else\"}").unwrap();
    for (args, words) in [
        (vec!["compare", "nowhere", "report"], ["nowhere", "cannot be opened", "check the path"]),
        (vec!["compare", "report", "shed"], ["shed", "holds no shoot.json", "stoptally shed"]),
        (vec!["compare", "report", "other.json"], ["other.json", "not written by stoptally", "report's folder"]),
        (vec!["compare", "report", "shed/TS_0001.JPG"], ["TS_0001.JPG", "no account of a shoot", "report's folder"]),
        (vec!["compare", "report", "report", "--out", "shed"], ["shed", "no report", "--out"]),
        (vec!["compare", "report", "report", "--out", "report"], ["report", "no report", "--out"]),
        (vec!["compare", "report", "report", "--out", "other.json"], ["other.json", "not a folder", "--out"]),
        (vec!["compare", "report"], ["required", "<B>", "compare"]),
    ] {
        let run = program(dir.path(), &args);
        let said = String::from_utf8(run.stderr).unwrap();
        assert_eq!(run.status.code(), Some(2), "{args:?}");
        assert!(words.iter().all(|word| said.contains(word)), "{args:?}: {said}");
    }
    assert_eq!(shoot::contents(&dir.path().join("shed")).len(), 4, "nothing was written beside the originals");
}

#[test]
fn a_folder_that_is_named_like_the_word_is_still_a_shoot() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..2]);
    fs::rename(&folder, dir.path().join("compare")).unwrap();
    let run = program(dir.path(), &["./compare", "--out", "out"]);
    assert!(run.status.code().unwrap() <= 1 && dir.path().join("out/report.html").is_file(), "{run:?}");
    let help = program(dir.path(), &["compare", "--help"]);
    assert!(String::from_utf8(help.stdout).unwrap().contains("every difference is B against A"));
    for list in [["--completions", "bash"].as_slice(), &["--man"]] {
        let run = program(dir.path(), list);
        assert!(run.status.success() && String::from_utf8(run.stdout).unwrap().contains("compare"));
    }
}
