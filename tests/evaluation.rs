//! The arithmetic of the evaluation on tables made by hand, whose scores can be counted on paper
#![allow(dead_code)]

#[path = "evaluate/figures.rs"]
mod figures;
#[path = "evaluate/pair.rs"]
mod pair;
#[path = "evaluate/score.rs"]
mod score;
#[path = "evaluate/table.rs"]
mod table;
#[path = "evaluate/truth.rs"]
mod truth;

use figures::{Counts, correlation, median, quantile};
use score::score;
use truth::{Cell, Planted, Row, Said, Told, Truth};

const YES: Said = Said::Yes;
const NO: Said = Said::No;

fn near(a: Option<f64>, b: f64) -> bool {
    a.is_some_and(|a| (a - b).abs() < 1e-9)
}

fn on(stops: f64, share: f64) -> Cell {
    Cell { burned: true, stops: Some(stops), noted: Some(stops), share: Some(share), ..Cell::default() }
}

fn off() -> Cell {
    Cell { share: Some(0.0), ..Cell::default() }
}

fn misfire() -> Cell {
    Cell { misfire: true, noted: Some(-3.0), share: Some(0.0), ..Cell::default() }
}

fn row(said: Said, stops: Option<f64>) -> Option<Row> {
    Some(Row { on: said, misfire: NO, stops, ..Row::default() })
}

/// By light, then frame, turned to frame, then light.
fn truth(lights: &[(&str, Vec<Cell>)]) -> Truth {
    let n = lights[0].1.len();
    Truth {
        lights: lights.iter().map(|l| l.0.to_owned()).collect(),
        frames: (0..n).map(|i| format!("F{i}.JPG")).collect(),
        cells: (0..n).map(|i| lights.iter().map(|l| l.1[i].clone()).collect()).collect(),
        planted: Vec::new(),
    }
}

fn told(lights: &[(&str, Vec<Option<Row>>)]) -> Told {
    Told { lights: lights.iter().map(|l| l.0.to_owned()).collect(), rows: lights.iter().map(|l| l.1.clone()).collect() }
}

#[test]
fn quantiles_and_correlation_are_the_textbook_ones() {
    // Definition 7 of Hyndman and Fan (1996): for 1, 2, 3, 4 the position of 90 % is 2.7 steps from the first.
    let v = [4.0, 1.0, 3.0, 2.0];
    assert!(near(median(&v), 2.5) && near(quantile(&v, 0.9), 3.7) && near(quantile(&v, 1.0), 4.0));
    assert!(near(median(&[7.0]), 7.0));
    assert_eq!(median(&[]), None);
    // A NaN is no value.
    assert!(near(median(&[f64::NAN, 1.0, 3.0]), 2.0));
    assert!(near(correlation(&[1.0, 2.0, 3.0], &[5.0, 7.0, 9.0]), 1.0));
    assert!(near(correlation(&[1.0, 2.0, 3.0], &[3.0, 2.0, 1.0]), -1.0));
    assert_eq!(correlation(&[1.0, 1.0, 1.0], &[3.0, 2.0, 1.0]), None);
}

#[test]
fn precision_recall_and_f1_leave_unknown_out() {
    let c = Counts { right_yes: 3, wrong_yes: 1, right_no: 4, wrong_no: 2, unknown: 5, unknown_without_reason: 1 };
    assert!(near(c.precision(), 3.0 / 4.0) && near(c.recall(), 3.0 / 5.0));
    // Harmonic mean of 3/4 and 3/5: 2 * 0.45 / 1.35.
    assert!(near(c.f1(), 2.0 / 3.0));
    assert!(near(c.unknown_share(), 5.0 / 15.0));
    assert_eq!(Counts::default().f1(), None);
}

/// Key broad with a solo, rim never alone; one wrong yes, one wrong no, one unknown, one misfire found, one false.
#[test]
fn on_off_and_misfires_are_counted_cell_by_cell() {
    let t = truth(&[
        ("key", vec![on(-3.0, 0.9), on(-3.0, 0.9), on(-2.0, 0.9), misfire(), off(), on(-3.0, 0.9)]),
        ("rim", vec![off(), on(-4.0, 0.05), on(-4.0, 0.05), off(), off(), on(-4.0, 0.05)]),
    ]);
    let mut key = vec![
        row(YES, Some(5.0)),
        row(YES, Some(5.1)),
        row(YES, Some(6.0)),
        row(NO, None),
        row(YES, Some(1.0)),
        row(Said::Unknown, None),
    ];
    key[3].as_mut().unwrap().misfire = YES;
    let mut rim = vec![row(NO, None), row(YES, Some(0.3)), row(NO, None), row(NO, None), row(NO, None), None];
    rim[4].as_mut().unwrap().misfire = YES;
    let told = told(&[("Key", key), ("rim", rim)]);
    let pairs = pair::by_name(&t, &told);
    assert_eq!(pairs, [Some(0), Some(1)], "case does not matter");
    let (s, misses) = score(&t, &told, &pairs, true);
    // Key: yes yes yes no(right) yes(wrong) unknown; rim: no(right) yes no(wrong) no no, and no row at all for a frame it burned in.
    let counts = Counts { right_yes: 4, wrong_yes: 1, right_no: 4, wrong_no: 2, unknown: 1, unknown_without_reason: 1 };
    assert_eq!(s.on_off, counts);
    assert_eq!((s.misfires, s.misfires_found, s.misfires_false), (1, 1, 1));
    assert_eq!((s.true_lights, s.found_lights, s.extra_lights), (2, 2, 0));
    let wrong: Vec<(usize, usize, &str)> =
        misses.iter().filter(|m| m.weight == 4.0).map(|m| (m.frame, m.light, m.words.as_str())).collect();
    assert_eq!(wrong, [(4, 0, "said on, was off"), (2, 1, "said off, was on"), (4, 1, "false misfire")]);
    // Key: told minus true is 8, 8.1, 8: the middle is 8, the errors 0, 0.1, 0. Rim has one figure: it says nothing.
    assert_eq!(s.broad.len(), 3);
    assert!(near(quantile(&s.broad, 1.0), 0.1) && near(median(&s.broad), 0.0));
    assert!(s.weak.is_empty());
    // Told +0.1 and +0.9, really 0 and +1. Nothing across frame 3 on: the key is not told in frame 5.
    assert_eq!((s.broad_change.len(), s.weak_change.len()), (2, 0));
    assert!(s.broad_change.iter().all(|c| (c - 0.1).abs() < 1e-9), "{:?}", s.broad_change);
    assert_eq!(s.no_figure, 0);
}

/// A gel shifts a light's figures as one: each gel has its own middle, and no change is claimed across it.
#[test]
fn every_gel_has_its_own_middle() {
    let gel = |stops| Cell { gel: "amber".into(), ..on(stops, 0.02) };
    let t = truth(&[("rim", vec![on(-4.0, 0.02), on(-3.0, 0.02), gel(-3.0), gel(-2.0), gel(-2.0)])]);
    let rows = [0.0, 1.0, 0.2, 1.2, 1.5].map(|s| row(YES, Some(s)));
    let told = told(&[("rim", rows.to_vec())]);
    let (s, _) = score(&t, &told, &pair::by_name(&t, &told), true);
    assert!(s.broad.is_empty(), "two per cent of the frame is weak even alone");
    // 4, 4 and 3.2, 3.2, 3.5: middles 4 and 3.2.
    assert_eq!(s.weak.len(), 5);
    assert!(near(quantile(&s.weak, 1.0), 0.3) && near(quantile(&s.weak, 0.75), 0.0));
    assert_eq!((s.broad_change.len(), s.weak_change.len()), (0, 3), "not across the gel");
}

/// Truth against the reference frame is 0, +1 and -2; a reference that did not burn, and the reference itself, give none.
#[test]
fn an_interval_covers_when_it_holds_the_true_difference() {
    let t = truth(&[("key", vec![on(-3.0, 0.9), on(-3.0, 0.9), on(-2.0, 0.9), on(-5.0, 0.9), off(), on(-3.0, 0.9)])]);
    let with = |stops: f64, by: f64, reference: usize| {
        Some(Row {
            low: Some(stops - by),
            high: Some(stops + by),
            reference: Some(reference),
            ..row(YES, Some(stops)).unwrap()
        })
    };
    let rows = vec![
        with(0.0, 0.0, 0),
        with(0.05, 0.1, 0),
        with(1.3, 0.2, 0),
        with(-2.0, 0.1, 0),
        row(NO, None),
        with(9.0, 0.1, 4),
    ];
    let told = told(&[("key", rows)]);
    let (s, _) = score(&t, &told, &pair::by_name(&t, &told), true);
    assert_eq!((s.covered, s.intervals), (2, 3));
    // Told minus true: 3, 3.05, 3.3, 3, 12; middle 3.05. Frame 1 and 3 hold truth plus 3.05, frames 2 and 5 do not.
    assert_eq!((s.covered_centred, s.centred_intervals), (2, 4));
    assert!(near(quantile(&s.widths, 1.0), 0.4) && s.widths.len() == 4);
}

#[test]
fn blind_lights_are_paired_by_when_they_burn() {
    let t = truth(&[
        ("key", vec![on(-3.0, 0.9), on(-2.0, 0.9), on(-4.0, 0.9), off(), on(-3.0, 0.9), off()]),
        ("rim", vec![off(), off(), off(), on(-4.0, 0.9), on(-4.0, 0.1), on(-3.0, 0.9)]),
        ("dust-left", vec![off(), off(), off(), off(), off(), on(-3.0, 0.1)]),
    ]);
    let (y, n) = (|s| row(YES, Some(s)), || row(NO, None));
    let told = told(&[
        ("light-1", vec![n(), n(), n(), y(0.0), y(0.0), y(1.0)]),
        ("light-2", vec![y(0.0), y(1.0), y(-1.0), n(), y(0.0), n()]),
        ("light-3", vec![n(), y(0.0), n(), n(), n(), n()]),
        ("light-4", vec![n(), n(), n(), n(), n(), n()]),
    ]);
    let pairs = pair::by_behaviour(&t, &told);
    assert_eq!(pairs, [Some(1), Some(0), None]);
    let (s, _) = score(&t, &told, &pairs, false);
    assert_eq!((s.true_lights, s.found_lights, s.extra_lights, s.extra_frames), (3, 2, 1, 1));
    // The light that was not found is a wrong "no" where it burned.
    assert_eq!((s.on_off.right_yes, s.on_off.wrong_no, s.on_off.wrong_yes), (7, 1, 0));
    // Strengths that run against each other speak against a pair: 1 - 0.25.
    let against = Told { rows: vec![vec![y(0.0), y(-1.0), y(1.0), n(), y(0.0), n()]], lights: vec!["x".into()] };
    assert!((pair::fit(&t, &against, 0, 0) - 0.75).abs() < 1e-9);
    // Nothing was burned and something is told: no pair, one extra light.
    let dark = Truth { lights: vec![], frames: vec!["F0.JPG".into()], cells: vec![vec![]], planted: vec![] };
    let one = Told { rows: vec![vec![y(0.0)]], lights: vec!["light-1".into()] };
    let (s, _) = score(&dark, &one, &pair::by_behaviour(&dark, &one), false);
    assert_eq!((s.extra_lights, s.on_off.f1()), (1, None));
}

#[test]
fn planted_mistakes_are_found_where_the_row_differs_and_other_differences_are_false() {
    let wrong = |noted: Option<f64>, cell: Cell| Cell { noted, ..cell };
    let mut t = truth(&[(
        "key",
        vec![
            on(-3.0, 0.9),
            wrong(Some(-4.0), on(-3.0, 0.9)),
            wrong(Some(-4.0), on(-3.0, 0.9)),
            on(-2.0, 0.9),
            wrong(Some(-3.0), off()),
            on(-3.0, 0.9),
            // A stop short: the note is right and so is the tool when it says it differs.
            wrong(Some(-3.0), on(-4.0, 0.9)),
            on(-3.0, 0.9),
            off(),
        ],
    )]);
    t.planted = vec![
        Planted { light: 0, kind: "stop-wrong".into(), frames: vec![1, 2] },
        Planted { light: 0, kind: "off-step".into(), frames: vec![4] },
    ];
    let says =
        ["as noted", "as noted", "differs", "differs", "as noted", "as noted", "differs", "not tested", "as noted"];
    let rows = says.map(|a| Some(Row { agrees: a.into(), ..row(YES, Some(0.0)).unwrap() })).to_vec();
    let told = told(&[("key", rows)]);
    let pairs = pair::by_name(&t, &told);
    let (s, _) = score(&t, &told, &pairs, true);
    assert_eq!(s.mistakes["stop-wrong"], (1, 1));
    assert_eq!(s.mistakes["off-step"], (0, 1));
    // Right notes that were tested: frames 0, 3, 5, 8; frame 3 is said to differ.
    assert_eq!((s.false_differs, s.tested), (1, 4));
    let (blind, _) = score(&t, &told, &pairs, false);
    assert!(blind.mistakes.is_empty() && blind.tested == 0, "without notes nothing can differ from them");
}

/// Two layouts: that of made shoots, and that of the rendered sample, whose notes say what was set.
#[test]
fn the_truth_is_read_from_its_tables() {
    let dir = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| {
        std::fs::create_dir_all(dir.path().join("truth")).unwrap();
        std::fs::write(dir.path().join("truth").join(name), text).unwrap();
    };
    let made = "frame,light,set,burned,gain_stops,power,gel,modifier,misfire,noted_stops,share_of_frame\n\
        A.JPG,key,on,on,-3.5,1/8,amber,octabox,no,-3,0.25\n\
        A.JPG,ambient,on,on,-0.5,,,windows,no,,0.75\n\
        B.JPG,key,on,off,,1/8,,octabox,yes,-4,0\n\
        B.JPG,ambient,on,on,-0.5,,,windows,no,,1\n";
    put("lights.csv", made);
    put("note-errors.csv", "light,kind,first_frame,last_frame\nkey,stop-wrong,A.JPG,B.JPG\n");
    let t = Truth::read(dir.path()).unwrap();
    assert_eq!(
        (t.lights.as_slice(), t.frames.as_slice()),
        (&["key".into()][..], &["A.JPG".into(), "B.JPG".into()][..])
    );
    let a = Cell { gel: "amber octabox".into(), noted: Some(-3.0), ..on(-3.5, 0.25) };
    let b = Cell { gel: "octabox".into(), noted: Some(-4.0), ..misfire() };
    assert_eq!(t.cells, [[a], [b]]);
    assert_eq!(t.planted, [Planted { light: 0, kind: "stop-wrong".into(), frames: vec![0, 1] }]);
    put("note-errors.csv", "light,kind,first_frame,last_frame\nrim,late,A.JPG,A.JPG\n");
    assert!(Truth::read(dir.path()).unwrap_err().to_string().contains("note-errors.csv"));
    std::fs::remove_file(dir.path().join("truth/note-errors.csv")).unwrap();
    put("lights.csv", "frame,light,burned,gain_stops,power,gel,modifier,misfire\nA.JPG,key,on,-3,1/8,,octabox,no\n");
    let sample = Truth::read(dir.path()).unwrap();
    assert_eq!((sample.cells[0][0].noted, sample.cells[0][0].share), (Some(-3.0), None));
    put("lights.csv", "frame,light,burned\nA.JPG,key,on\nA.JPG,rim,on\nB.JPG,key,on\n");
    assert!(Truth::read(dir.path()).unwrap_err().to_string().contains("B.JPG has 1 lights"));
}

#[test]
fn the_ledger_is_read_by_the_names_of_its_columns() {
    let rows = [
        serde_json::json!({"frame": "F1.JPG", "light": "key", "on": "yes", "misfire": "no", "light_stops": 0.5,
            "light_stops_low": 0.4, "light_stops_high": 0.6, "reference_frame": "F0.JPG", "agrees": "differs", "more": 1}),
        serde_json::json!({"frame": "F0.JPG", "light": "key", "on": "unknown", "misfire": "unknown", "light_stops": null,
            "reason": "too dark"}),
        serde_json::json!({"frame": "F0.JPG", "light": "ambient", "on": "yes"}),
        serde_json::json!({"frame": "F9.JPG", "light": "key", "on": "yes"}),
    ];
    let t = Told::from_ledger(&rows, &["F0.JPG".into(), "F1.JPG".into()]);
    assert_eq!(t.lights, ["key"]);
    let (a, b) = (t.row(0, 0).unwrap(), t.row(0, 1).unwrap());
    assert_eq!((a.on, a.stops, a.reason.as_str()), (Said::Unknown, None, "too dark"));
    assert_eq!((b.on, b.misfire, b.reference, b.reason.as_str()), (YES, NO, Some(0), ""));
    assert_eq!((b.stops, b.low, b.high, b.agrees.as_str()), (Some(0.5), Some(0.4), Some(0.6), "differs"));
}

#[test]
fn classes_are_pooled_and_shown_before_the_shoots() {
    assert_eq!(
        ["dusk-3", "note-errors-12", "dusk", "two-lights"].map(table::class_of),
        ["dusk", "note-errors", "dusk", "two-lights"]
    );
    let one = |yes, extra| score::Score {
        true_lights: 2,
        extra_lights: extra,
        on_off: Counts { right_yes: yes, wrong_no: 2, ..Counts::default() },
        broad: vec![yes as f64],
        ..score::Score::default()
    };
    let scores = [("dusk-1".to_owned(), one(2, 1)), ("dusk-2".to_owned(), one(4, 0))];
    let all = table::pooled(&scores);
    assert_eq!((all.true_lights, all.extra_lights, all.on_off.right_yes), (4, 1, 6));
    let text = table::page("", &[("blind", scores.to_vec())]) + &table::by_shoot(&scores);
    // 6 of 10 found: F1 = 12 / 16.
    let line = text.lines().find(|l| l.starts_with("| dusk |")).unwrap();
    assert!(
        line.contains("| 0/4 (+1) | 1.000 | 0.600 | 0.750 |") && line.contains("3.000 / 3.80 / 4.00 (2)"),
        "{line}"
    );
    let rows = text.lines().filter(|l| l.starts_with('|'));
    assert!(rows.clone().all(|l| l.matches('|').count() == 16), "{text}");
    assert_eq!(rows.count(), 2 + 2 + 2 + 2);
}
