//! Keepers counted by series, on shoots made by hand whose answer can be counted on paper.

use stoptally::keepers::count::Count;
use stoptally::keepers::count::compare::Comparison;
use stoptally::keepers::count::tally::{LeftOut, Tally};
use stoptally::keepers::proportion::Of;
use stoptally::keepers::{Choice, Keeper, Match, ShotId};
use stoptally::report::Report;
use stoptally::series::{AllSeries, Series};
use stoptally::shots::Sequence;
use stoptally::stages::Stages;

use super::made::{Made, found_with, missed, off, on, written};

fn id(shot: usize) -> ShotId {
    ShotId { sequence: 0, shot }
}

/// A choice of these shots, counted from 0, each found by its name.
fn kept(shots: &[usize]) -> Choice {
    let keeper =
        |shot: &usize| Keeper { given: format!("TS_{:04}", shot + 1), matched: Match::Name, shots: vec![id(*shot)] };
    Choice { keepers: shots.iter().map(keeper).collect(), judged: Vec::new() }
}

fn several(shots: &[usize]) -> Keeper {
    let shots = shots.iter().copied().map(id).collect();
    Keeper { given: "export.jpg".to_owned(), matched: Match::OneOfSeveral, shots }
}

/// A new series at each stage and after each of these shots; a shot without a picture has none.
fn cut_after(sequences: &[Sequence], stages: &Stages, after: &[usize]) -> AllSeries {
    let mut all = AllSeries::default();
    for (sequence, shots) in sequences.iter().enumerate() {
        let mut numbers = Vec::new();
        let mut open = None;
        for (shot, made) in shots.shots.iter().enumerate() {
            let stage = stages.shots[sequence][shot].stage.filter(|_| made.measurement.is_some());
            let Some(stage) = stage else {
                numbers.push(None);
                continue;
            };
            if open != Some(stage) {
                all.series.push(Series { sequence, stage, shots: Vec::new() });
            }
            all.series.last_mut().unwrap().shots.push(shot);
            numbers.push(Some(u32::try_from(all.series.len()).unwrap()));
            open = Some(stage).filter(|_| !after.contains(&shot));
        }
        all.shots.push(numbers);
    }
    all
}

fn counted(made: &Made, after: &[usize], choice: &Choice) -> (Count, Report) {
    let (found, count) = found_with(&[made], &|s, t| cut_after(s, t, after), Some(choice));
    (count.unwrap(), found.report)
}

fn of(some: u32, all: u32) -> Option<Of> {
    Some(Of { some, all })
}

/// Key alone in 4 shots, then key and rim in 12: series of 4; 3, 3, 3, 3.
fn two_lightings() -> Made {
    let mut made = Made::four();
    made.add(4, &[on(0.0), off(), off(), off()]);
    made.add(12, &[on(0.0), on(0.0), off(), off()]);
    made
}

const BURSTS: [usize; 4] = [3, 6, 9, 12];

#[test]
fn the_unit_is_the_series() {
    // Shots 5, 6 and 9 (from 0: 4, 5 and 8): two of one burst, one of the next.
    let (count, report) = counted(&two_lightings(), &BURSTS, &kept(&[4, 5, 8]));
    assert_eq!((count.given, count.not_found, count.judged), (3, 0, false));
    let lighting = &count.lightings[&2];
    assert_eq!((lighting.keepers, lighting.series, lighting.shots), (3, of(2, 4), 12));
    assert_eq!(count.lightings[&1], Tally { series: of(0, 1), shots: 4, ..Tally::default() });
    assert_eq!((count.whole.keepers, count.whole.series, count.whole.shots), (3, of(2, 5), 16));
    assert_eq!(lighting.rate(), Some(0.5));
    // Two of four by Wilson's formula with z = 1.959964: 0.5 either way 0.349975 (derived).
    let ends = lighting.interval().unwrap();
    assert!((ends.low - 0.150_036).abs() < 1e-5 && (ends.high - 0.849_964).abs() < 1e-5, "{ends:?}");
    let lights: Vec<_> = count.lights.iter().map(|(name, t)| (name.as_str(), t.keepers, t.series)).collect();
    assert_eq!(
        lights,
        [("key", 3, of(2, 5)), ("rim", 3, of(2, 4)), ("dust-left", 0, of(0, 0)), ("dust-right", 0, of(0, 0))]
    );
    assert_eq!((count.lenses[0].0.as_str(), count.lenses[0].1.keepers, count.lenses.len()), ("35mm F2", 3, 1));
    assert_eq!(count.setups[&2].series, of(2, 4));
    // 11 gaps of 7 seconds; 3 of 7.
    assert_eq!((count.lighting_seconds[&1], count.lighting_seconds[&2]), (Some(21.0), Some(77.0)));
    let rows = written(&report, "lighting.csv");
    let cells =
        ["keepers", "kept_series", "candidate_series", "candidate_shots", "series_count", "keeper_rate", "seconds"];
    assert_eq!(cells.map(|c| rows[1][c].as_str()), ["3", "2", "4", "12", "4", "0.5", "77.0"]);
    assert_eq!(cells.map(|c| rows[0][c].as_str()), ["0", "0", "1", "4", "1", "0.0", "21.0"]);
    assert_eq!(rows[0]["keeper_rate_low"], "0.0");
    let stages = written(&report, "stages.csv");
    assert_eq!((stages[1]["keepers"].as_str(), stages[1]["candidates"].as_str()), ("3", "4 series in 12 shots"));
    assert_eq!(written(&report, "frames.csv")[5]["series"], "2");
}

#[test]
fn one_frame_given_twice_is_one_keeper() {
    let (count, _) = counted(&two_lightings(), &BURSTS, &kept(&[8, 8]));
    assert_eq!((count.given, count.whole.keepers, count.whole.series), (2, 1, of(1, 5)));
}

#[test]
fn without_a_choice_nothing_is_counted_which_is_not_zero() {
    let (found, count) = found_with(&[&two_lightings()], &|s, t| cut_after(s, t, &BURSTS), None);
    assert!(count.is_none() && found.report.keeper_count.is_none());
    for table in ["stages.csv", "lighting.csv"] {
        for row in written(&found.report, table) {
            for cell in
                ["keepers", "keeper_rate", "keeper_rate_low", "candidate_series", "candidate_shots", "candidates"]
            {
                assert_eq!(row[cell], "", "{table}, {cell}");
            }
            assert_ne!(row["series_count"], "", "series are known without keepers");
        }
    }
    assert!(!stoptally::report::files::files(&found.report).unwrap().contains_key("keeper-count.csv"));
    let page = stoptally::report::page::render(&found.report, &[]);
    let body = page.split("<body>").nth(1).unwrap();
    assert!(!body.contains("keeper"), "the page speaks of keepers");
}

#[test]
fn while_series_are_not_told_apart_there_is_no_rate() {
    let no_series = |s: &[Sequence], _: &Stages| AllSeries {
        series: Vec::new(),
        shots: s.iter().map(|s| vec![None; s.shots.len()]).collect(),
    };
    let (found, count) = found_with(&[&two_lightings()], &no_series, Some(&kept(&[8])));
    let count = count.unwrap();
    assert_eq!((count.whole.keepers, count.whole.series, count.whole.rate()), (1, None, None));
    assert_eq!(count.comparison, Comparison::NotTold);
    let row = &written(&found.report, "lighting.csv")[1];
    assert_eq!(["keepers", "keeper_rate", "series_count", "kept_series"].map(|c| row[c].as_str()), ["1", "", "", ""]);
    let words = found.report.keeper_count.unwrap();
    assert_eq!(words.summary, "lighting 2 gave the one keeper");
    assert!(words.comparison.contains("series are not told apart"));
}

/// Of a keeper that two shots explain the series is known where both are of one, the lighting where both are of one, and
/// nothing else.
#[test]
fn one_of_several_counts_for_what_its_shots_share() {
    let with = |shots: &[usize]| {
        let (count, _) = counted(&two_lightings(), &BURSTS, &Choice { keepers: vec![several(shots)], judged: vec![] });
        let lighting = count.lightings[&2].clone();
        (
            (lighting.keepers, lighting.perhaps, lighting.series),
            (count.lightings[&1].keepers, count.lightings[&1].perhaps),
        )
    };
    assert_eq!(with(&[4, 5]), ((1, 0, of(1, 4)), (0, 0)), "one burst");
    assert_eq!(with(&[4, 8]), ((1, 0, of(1, 4)), (0, 0)), "two bursts: one of them, whichever");
    assert_eq!(with(&[3, 4]), ((0, 1, of(0, 4)), (0, 1)), "two lightings: neither");
    // The shoot has it in any case.
    let (count, report) =
        counted(&two_lightings(), &BURSTS, &Choice { keepers: vec![several(&[3, 4])], judged: vec![] });
    assert_eq!((count.whole.keepers, count.whole.series), (1, of(1, 5)));
    let rows = written(&report, "keeper-count.csv");
    assert_eq!(
        (rows[0]["what"].as_str(), rows[0]["keepers"].as_str(), rows[0]["perhaps"].as_str()),
        ("shoot", "1", "0")
    );
    assert_eq!((rows[2]["value"].as_str(), rows[2]["keepers"].as_str(), rows[2]["perhaps"].as_str()), ("2", "0", "1"));
}

/// What may be counted already is not counted again.
#[test]
fn one_of_several_never_counts_too_high() {
    let tally = |mut sure: Choice, more: &[&[usize]]| {
        sure.keepers.extend(more.iter().map(|shots| several(shots)));
        let whole = counted(&two_lightings(), &BURSTS, &sure).0.whole;
        (whole.keepers, whole.perhaps, whole.series)
    };
    assert_eq!(tally(kept(&[4]), &[&[4, 5]]), (1, 1, of(1, 5)), "it may be the very shot that is kept");
    assert_eq!(tally(kept(&[4]), &[&[5, 6]]), (2, 0, of(1, 5)), "another shot of the same burst");
    assert_eq!(tally(kept(&[4]), &[&[5, 8]]), (2, 0, of(1, 5)), "it may be of the burst that has one already");
    assert_eq!(tally(kept(&[]), &[&[4, 8], &[8, 12]]), (1, 1, of(1, 5)), "both may be the one they share");
    assert_eq!(tally(kept(&[]), &[&[4, 8], &[9, 14]]), (2, 0, of(1, 5)), "8 and 9 are of one burst");
}

#[test]
fn tests_of_the_build_are_no_candidates() {
    let mut made = Made::four();
    made.add(2, &[off(), off(), off(), off()]);
    made.add(3, &[on(0.0), off(), off(), off()]);
    made.add(4, &[on(0.0), on(0.0), off(), off()]);
    made.after(301.0, &[on(0.0), off(), on(0.0), off()]);
    made.add(2, &[on(0.0), off(), on(0.0), off()]);
    made.after(301.0, &[on(0.0), off(), off(), on(0.0)]);
    let standing = |choice: &Choice| {
        let count = counted(&made, &[], choice).0;
        (1..=5).map(|n| (count.lightings[&n].shots, count.lightings[&n].left_out.test)).collect::<Vec<_>>()
    };
    // Two shots and three shots with another lighting soon after are tests; four shots are none; three shots with five
    // minutes and a second after them are none; the last run is none.
    assert_eq!(standing(&kept(&[])), [(0, 2), (0, 3), (4, 0), (3, 0), (1, 0)]);
    // A keeper makes its whole run a series of candidates.
    assert_eq!(standing(&kept(&[2])), [(0, 2), (3, 0), (4, 0), (3, 0), (1, 0)]);
    assert_eq!(
        standing(&Choice { keepers: vec![several(&[3, 7])], judged: vec![] }),
        [(0, 2), (3, 0), (4, 0), (3, 0), (1, 0)],
        "what may be kept is no test either"
    );
    // Without times nobody can say that another lighting followed soon.
    for shot in &mut made.sequence.shots {
        shot.seconds_since_previous = None;
    }
    let count = counted(&made, &[], &kept(&[])).0;
    assert_eq!((count.whole.left_out.test, count.lighting_seconds[&3]), (0, None));
}

#[test]
fn what_could_not_be_kept_for_other_reasons_is_no_candidate() {
    let mut made = two_lightings();
    made.sequence.shots[4].measurement = None;
    made.light.shots[8].entries[1] = missed(on(0.0));
    made.light.shots[9].entries[1] = missed(on(0.0));
    let (count, report) = counted(&made, &BURSTS, &kept(&[9]));
    let lighting = &count.lightings[&2];
    assert_eq!(lighting.left_out, LeftOut { no_picture: 1, misfire: 1, ..LeftOut::default() });
    assert_eq!((lighting.shots, lighting.series, lighting.keepers), (10, of(1, 4), 1), "a kept misfire is a keeper");
    assert_eq!(
        written(&report, "lighting.csv")[1]["candidates"],
        "4 series in 10 shots; left out: 1 shot with a misfire, 1 shot without a picture"
    );
}

#[test]
fn where_ratings_judged_shots_only_those_are_candidates() {
    let mut choice = kept(&[4]);
    choice.judged = [4, 5, 12].map(id).to_vec();
    let (count, report) = counted(&two_lightings(), &BURSTS, &choice);
    assert!(count.judged);
    assert_eq!((count.lightings[&2].shots, count.lightings[&2].series), (3, of(1, 2)), "series 2 and 4");
    assert_eq!(count.lightings[&1].series, of(0, 0));
    assert_eq!(count.lightings[&1].rate(), None, "nobody looked at it: no rate, which is not zero");
    assert_eq!(count.lightings[&1].left_out.not_judged, 4);
    let row = &written(&report, "lighting.csv")[0];
    assert_eq!([&row["keepers"], &row["keeper_rate"], &row["keeper_rate_low"]], ["0", "", ""]);
    assert_eq!(row["candidates"], "none; left out: 4 shots not judged");
    assert!(report.keeper_count.unwrap().rule.contains("ratings judged"));
    // Stars for the keepers alone say of no other shot that it was looked at.
    choice.judged = choice.keepers.iter().flat_map(|keeper| keeper.shots.clone()).collect();
    let (alone, _) = counted(&two_lightings(), &BURSTS, &choice);
    choice.judged.clear();
    let (listed, _) = counted(&two_lightings(), &BURSTS, &choice);
    assert!(!alone.judged);
    assert_eq!(format!("{alone:?}"), format!("{listed:?}"));
}

/// Lightings of so many series of two shots, the first of so many kept.
fn lightings(series: &[(usize, usize)]) -> (Made, Vec<usize>, Choice) {
    let mut made = Made::four();
    let (mut after, mut shots) = (Vec::new(), Vec::new());
    for (place, (keep, all)) in series.iter().enumerate() {
        let first = made.sequence.shots.len();
        made.add(2 * all, &[on(place as f64), off(), off(), off()]);
        after.extend((1..=*all).map(|n| first + 2 * n - 1));
        shots.extend((0..*keep).map(|n| first + 2 * n));
    }
    (made, after, kept(&shots))
}

fn words(series: &[(usize, usize)]) -> (String, String) {
    let (made, after, choice) = lightings(series);
    let count = counted(&made, &after, &choice).1.keeper_count.unwrap();
    (count.summary, count.comparison)
}

#[test]
fn the_sentences_say_who_gave_what_and_claim_no_more_than_the_figures() {
    // 9 of 31 against 2 of 28: Newcombe's interval 0.0170 to 0.4019 (derived from the two Wilson intervals, 0.1610 to 0.4661
    // and 0.0198 to 0.2265).
    let (summary, comparison) = words(&[(2, 28), (9, 31)]);
    assert_eq!(summary, "lighting 2 gave 9 of the 11 keepers, from 9 of 31 series; lighting 1 gave 2, from 2 of 28");
    assert_eq!(
        comparison,
        "lighting 2 kept 9 of 31 series, against 2 of 28 in lighting 1, a difference of 1 to 41 points (95 %)"
    );
    let (_, comparison) = words(&[(3, 12), (4, 20)]);
    assert!(
        comparison.starts_with(
            "no lighting can be called better: lighting 1 kept 3 of 12 series, against 4 of 20 in lighting 2, a"
        ),
        "{comparison}"
    );
    assert!(comparison.ends_with("a difference of −22 to +36 points (95 %)"), "{comparison}");
    let (_, comparison) = words(&[(1, 10), (2, 10), (1, 10), (7, 8), (2, 3)]);
    assert!(
        comparison.starts_with("lighting 4 kept 7 of 8 series, against 6 of 33 in the other four together, a"),
        "{comparison}"
    );
    let caution = |series: &[(usize, usize)]| {
        let (made, after, choice) = lightings(series);
        counted(&made, &after, &choice).1.keeper_count.unwrap().caution
    };
    assert!(caution(&[(2, 28), (9, 31)]).starts_with("shots of a burst are not independent"));
    let picked = caution(&[(1, 10), (2, 10), (1, 10), (7, 8), (2, 3)]);
    assert!(
        picked.starts_with(
            "the interval is widened because the best of the four lightings with series enough was taken; because counts are \
                            small, Fisher’s exact test is asked too and agrees (p under 0.001); shots of a burst"
        ),
        "{picked}"
    );
    let none = |series: &[(usize, usize)], why: &str| {
        assert_eq!(words(series).1, format!("no lighting can be called better: {why}"));
    };
    none(&[(4, 4), (1, 9)], "the others have only 4 candidate series together, fewer than 5");
    none(&[(4, 4), (1, 4)], "none has 5 series or more that were candidates");
    none(&[(4, 9)], "no other has a series that was a candidate");
    let (summary, _) = words(&[(0, 6), (0, 6)]);
    assert_eq!(summary, "no keeper was given");
    let (summary, _) = words(&[(4, 6), (3, 6), (2, 6), (1, 6), (1, 6)]);
    assert!(summary.ends_with("; lighting 3 gave 2, from 2 of 6; 2 more lightings gave 2"), "{summary}");
}

#[test]
fn keepers_of_another_shoot_are_said() {
    let mut choice = kept(&[4]);
    choice.keepers.push(Keeper { given: "foreign.jpg".to_owned(), ..Keeper::default() });
    let said = |choice: &Choice| counted(&two_lightings(), &BURSTS, choice).1.keeper_count.unwrap().summary;
    assert_eq!(
        said(&choice),
        "lighting 2 gave the one keeper, from 1 of 4 series; 1 of the 2 given is no shot of this shoot"
    );
    choice.keepers.remove(0);
    assert_eq!(said(&choice), "the one keeper given is no shot of this shoot");
}

/// Two bodies have their own lightings: what is compared is one body's.
#[test]
fn lightings_of_two_bodies_are_not_compared_with_each_other() {
    let (one, after, choice) = lightings(&[(1, 6), (5, 6)]);
    let (mut other, _, _) = lightings(&[(0, 9)]);
    other.sequence.camera = "Testcam T2".to_owned();
    let (found, count) = found_with(&[&one, &other], &|s, t| cut_after(s, t, &after), Some(&choice));
    let Comparison::Made(made) = count.unwrap().comparison else { panic!("not compared") };
    assert_eq!((made.best.lighting, made.others.as_slice()), (2, &[1][..]));
    assert!(found.report.keeper_count.unwrap().comparison.starts_with("on Testcam T1, "));
}

#[test]
fn first_minute_and_recap_say_it_and_without_keepers_say_nothing() {
    let (made, after, choice) = lightings(&[(2, 28), (9, 31)]);
    let report = counted(&made, &after, &choice).1;
    let minute = stoptally::report::first_minute::sentences(&report, "out");
    assert!(minute.contains("\nkeepers: lighting 2 gave 9 of the 11 keepers, from 9 of 31 series; lighting 1 gave 2"));
    assert!(
        minute.contains(
            "\nlighting 2 kept 9 of 31 series, against 2 of 28 in lighting 1, a difference of 1 to 41 points"
        )
    );
    let recap = stoptally::report::recap::render(&report).markdown;
    assert!(
        recap.contains("Lighting 2 gave 9 of the 11 keepers") && recap.contains("Shots of a burst are not independent")
    );
    assert!(recap.contains(" 9\u{a0}keepers of 31\u{a0}series.\n"), "{recap}");
    assert!(recap.contains("runs of at most 3 shots at one lighting"), "the rule");
    let (found, _) = found_with(&[&made], &|s, t| cut_after(s, t, &after), None);
    let minute = stoptally::report::first_minute::sentences(&found.report, "out");
    let recap = stoptally::report::recap::render(&found.report).markdown;
    assert!(!minute.contains("keeper") && !recap.to_lowercase().contains("keeper"));
    let json: serde_json::Value =
        serde_json::from_slice(&stoptally::report::files::files(&report).unwrap()["shoot.json"]).unwrap();
    assert_eq!(json["keeper_count"]["compared"]["best_lighting"], 2);
    assert_eq!(json["keeper_count"]["compared"]["better"], true);
    assert_eq!(json["lightings"][1]["kept_series"], 9);
}

/// The rule is told in the README too, with the same figures.
#[test]
fn the_readme_tells_the_rule_of_the_report() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let (_, report) = counted(&two_lightings(), &BURSTS, &kept(&[4]));
    let rule = report.keeper_count.unwrap().rule;
    let list = rule.split("all shots but these: ").nth(1).unwrap().split(" A kept shot").next().unwrap();
    assert!(list.contains("3 shots") && readme.contains(list), "{list}");
}
