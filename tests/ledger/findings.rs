//! Every finding about the light, each with a twin that must stay silent.

use super::made::{Made, about, colour, gel, missed, noted, off, on, unknown};
use stoptally::assemble::needs_a_look;
use stoptally::light::{Agreement, AmbientEntry, Entry, Told};
use stoptally::metadata::WhiteBalance;
use stoptally::report::FindingRow;

/// The findings of one code.
fn of(made: &Made, code: &str) -> Vec<FindingRow> {
    made.found().report.findings.into_iter().filter(|f| f.code == code).collect()
}

/// No finding at all: the twin of everything below.
fn silent(made: &Made) {
    assert_eq!(made.codes(), []);
    assert!(!needs_a_look(&made.found().report));
}

fn four(key: Entry, rim: Entry) -> [Entry; 4] {
    [key, rim, off(), off()]
}

#[test]
fn a_misfire() {
    let mut made = Made::four();
    let set = four(on(0.0), on(0.0));
    made.add(3, &set).after(0.9, &four(on(0.0), missed(on(0.0)))).add(2, &set);
    let found = of(&made, "misfire");
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].frame.as_str(), found[0].light.as_str(), found[0].stage), ("TS_0004.JPG", "rim", Some(1)));
    assert_eq!(found[0].finding, "rim did not burn");
    assert_eq!(
        found[0].evidence,
        "it burned in 5 other shots of this run, at 0.0 ± 0.1 stop; 0.9 s after the shot before, usually 7.0 s"
    );
    assert!(found[0].certainty.contains("cannot be known") && found[0].remedy.starts_with("next time"));
    assert!(needs_a_look(&made.found().report));
    // Twins: a light that is off, one that is not told, a black frame.
    let mut twin = Made::four();
    twin.add(3, &set).add(1, &four(on(0.0), off())).add(1, &four(on(0.0), unknown("too weak"))).add(2, &set);
    twin.level = f64::NEG_INFINITY;
    twin.add(1, &four(off(), off()));
    silent(&twin);
}

fn burst(gap: f64, value: f64, half: f64) -> Made {
    let mut made = Made::four();
    let mut short = on(value);
    (short.setting.level, short.stops) =
        (Some(0.0), Some(stoptally::light::Stops { value, low: value - half, high: value + half }));
    let usual = four(on(0.0), off());
    made.add(4, &usual).after(gap, &four(short, off())).add(1, &usual);
    made
}

#[test]
fn a_short_flash_after_a_short_gap() {
    let found = of(&burst(0.9, -0.7, 0.1), "short-flash");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].finding, "key short after a gap of 0.9 s");
    assert_eq!(
        found[0].evidence,
        "-0.7 ± 0.1 stop against the median of its run of 6 shots; the usual gap there is 7.0 s"
    );
    silent(&burst(7.0, -0.7, 0.1)); // the usual gap
    silent(&burst(0.9, -0.3, 0.1)); // not short enough
    silent(&burst(0.9, -0.7, 0.8)); // the interval holds the usual strength
    silent(&burst(0.9, 0.7, 0.1)); // stronger
}

/// The usual strength is that of the run: a light turned down on purpose is a new run.
#[test]
fn a_light_turned_down_is_not_short() {
    let mut made = Made::noted();
    made.add(4, &four(noted(-3.0, 0.0), off())).after(0.9, &four(noted(-4.0, -1.0), off()));
    silent(&made);
}

fn spilling(dust: f64) -> Made {
    let mut made = Made::four();
    let (mut key, mut left) = (on(0.0), on(0.0));
    (key.share_of_subject, left.share_of_subject) = (Some(0.6), Some(dust));
    made.add(3, &[key, off(), left, off()]);
    made
}

#[test]
fn spill_on_the_subject() {
    let found = of(&spilling(0.15), "spill-on-subject");
    assert_eq!(found.len(), 1, "three shots, one finding");
    // A quarter of the key is two stops below it.
    assert_eq!(found[0].finding, "dust-left falls on the subject, -2.0 stops against key");
    assert!(found[0].evidence.ends_with("from TS_0001.JPG to TS_0003.JPG, 3 shots"), "{}", found[0].evidence);
    silent(&spilling(0.6 / 8.0));
    // Twins: no subject box; a rim is meant for the subject.
    let mut no_box = Made::four();
    no_box.add(3, &[on(0.0), off(), on(0.0), off()]);
    silent(&no_box);
    let mut rim = spilling(0.15);
    for shot in &mut rim.light.shots {
        shot.entries.swap(1, 2);
    }
    silent(&rim);
    // A role says more than a name.
    rim.light.lights[1].role = "background light".to_owned();
    assert_eq!(of(&rim, "spill-on-subject").len(), 1);
}

fn regelled(second: Entry) -> Made {
    let mut made = Made::noted();
    made.add(2, &four(noted(-3.0, 0.0), gel(noted(-4.0, 0.0), "CTO"))).add(2, &four(noted(-3.0, 0.0), second));
    made
}

#[test]
fn a_change_of_colour_without_a_note() {
    let unsaid = || regelled(colour(gel(noted(-4.0, 0.0), "CTO"), 2, 1.2, 0.6));
    let found = of(&unsaid(), "gel-cast");
    assert_eq!(found.len(), 1, "told once, where it changed");
    assert_eq!((found[0].frame.as_str(), found[0].light.as_str()), ("TS_0003.JPG", "rim"));
    assert_eq!(found[0].finding, "rim changed colour without a note: warmer");
    // log2(1.2 / 0.6) = 1 (derived).
    assert_eq!(found[0].evidence, "red against blue +1.0 stop against TS_0002.JPG; the same gel noted in both");
    silent(&regelled(colour(gel(noted(-4.0, 0.0), "half CTO"), 2, 1.2, 0.6)));
    silent(&regelled(gel(noted(-4.0, 0.0), "CTO")));
    let mut automatic = unsaid();
    automatic.sequence.shots[2].metadata.white_balance = Some(WhiteBalance::Auto);
    // No cast is told: that the camera chose the colours is told instead.
    assert_eq!(automatic.codes(), [("white-balance-automatic".to_owned(), "TS_0003.JPG".to_owned(), String::new())]);
    let mut blind = unsaid();
    blind.light.lights.iter_mut().for_each(|l| l.noted = false);
    silent(&blind);
}

#[test]
fn a_light_that_drifts() {
    let drifting = |shots: usize, drift: Option<f64>| {
        let mut made = Made::four();
        made.add(shots, &four(on(0.0), off()));
        made.light.lights[0].drift = drift;
        made
    };
    let found = of(&drifting(6, Some(-0.4)), "light-drift");
    assert_eq!(found[0].finding, "key grew weaker by 0.4 stop per hour at one setting");
    assert_eq!(found[0].evidence, "from TS_0001.JPG to TS_0006.JPG, 6 shots");
    silent(&drifting(6, None));
    silent(&drifting(5, Some(-0.4)));
}

#[test]
fn ambient_that_falls() {
    let dusk = |shots: usize, drift: Option<f64>| {
        let mut made = Made::four();
        for _ in 0..shots {
            made.after(120.0, &four(off(), off()));
            made.ambient(AmbientEntry { stops: Some(about(0.0)), share_of_frame: Some(1.0), at_most: false });
        }
        made.light.ambient_drift = drift;
        made
    };
    let found = of(&dusk(7, Some(-2.1)), "ambient-drift");
    assert_eq!(found[0].finding, "the ambient fell by 2.1 stops over 12 minutes, 1.8 stops in ten minutes");
    assert_eq!(found[0].light, "");
    silent(&dusk(7, None));
    silent(&dusk(5, Some(-2.1)));
}

fn differing(stops: f64) -> Entry {
    let mut entry = noted(-3.0, stops);
    (entry.agrees, entry.against_note, entry.power) = (Agreement::Differs, Some(about(stops)), Some(-3.0 + stops));
    entry
}

fn agreeing() -> Entry {
    let mut entry = noted(-3.0, 0.0);
    (entry.agrees, entry.against_note) = (Agreement::AsNoted, Some(about(0.0)));
    entry
}

#[test]
fn a_picture_that_differs_from_its_note() {
    let mut made = Made::noted();
    made.add(2, &four(agreeing(), off())).add(3, &four(differing(-1.0), off()));
    made.add(1, &four(noted(-3.0, -1.0), off())).add(1, &four(differing(-1.1), off())).add(1, &four(agreeing(), off()));
    made.add(1, &four(differing(1.0), off()));
    let found = of(&made, "differs-from-note");
    let said: Vec<_> = found.iter().map(|f| (f.frame.as_str(), f.finding.as_str())).collect();
    assert_eq!(
        said,
        [
            ("TS_0003.JPG", "key differs: the picture says -1.0 ± 0.1 against the note"),
            ("TS_0009.JPG", "key differs: the picture says +1.0 ± 0.1 against the note"),
        ],
        "a shot that was not tested does not cut a finding in two"
    );
    assert_eq!(found[0].evidence, "from TS_0003.JPG to TS_0007.JPG, 4 shots; noted 1/8, seen as 1/16");
    assert!(found[0].certainty.contains("TS_0001.JPG, its reference frame"), "{}", found[0].certainty);
    let mut twin = Made::noted();
    twin.add(5, &four(agreeing(), off())).add(2, &four(noted(-3.0, -1.0), off()));
    silent(&twin);
}

#[test]
fn a_light_noted_on_that_never_burned_is_a_wrong_note_and_no_misfire() {
    let mut dark = missed(differing(0.0));
    (dark.misfire, dark.against_note, dark.power) = (Told::No, None, None);
    let mut made = Made::noted();
    made.add(3, &four(dark.clone(), off()));
    let found = of(&made, "differs-from-note");
    assert_eq!(made.codes().len(), 1);
    assert_eq!(found[0].finding, "key differs: noted on, and the picture shows none of it");
    dark.misfire = Told::Yes;
    let mut twin = Made::noted();
    twin.add(1, &four(agreeing(), off())).add(1, &four(dark, off())).add(1, &four(agreeing(), off()));
    assert_eq!(twin.codes().into_iter().map(|c| c.0).collect::<Vec<_>>(), ["misfire"]);
}

#[test]
fn a_note_that_begins_a_frame_late() {
    let mut late = differing(1.0);
    late.late_note = true;
    let mut made = Made::noted();
    made.add(2, &four(agreeing(), off())).add(1, &four(late, off())).add(2, &four(noted(-2.0, 1.0), off()));
    assert_eq!(made.codes(), [("note-late".to_owned(), "TS_0003.JPG".to_owned(), "key".to_owned())]);
    let found = of(&made, "note-late");
    assert_eq!(found[0].evidence, "TS_0003.JPG already shows it as noted from TS_0004.JPG on");
    // A light switched off a frame before its note says so did not misfire.
    let mut early = missed(agreeing());
    early.late_note = true;
    let mut made = Made::noted();
    made.add(2, &four(agreeing(), off())).add(1, &four(early, off())).add(2, &four(off(), off()));
    assert_eq!(made.codes(), [("note-late".to_owned(), "TS_0003.JPG".to_owned(), "key".to_owned())]);
}

/// A frame with its own settings among lights that agree is a slip; with its own lights it is a test.
#[test]
fn a_test_frame_with_other_lights_is_no_slip() {
    let around = four(on(0.0), on(0.0));
    let made = |middle: &[Entry]| {
        let mut made = Made::four();
        made.add(2, &around).set(80, 200, 100).add(1, middle).set(56, 200, 100).add(2, &around);
        made
    };
    assert_eq!(made(&around).codes().into_iter().map(|c| c.0).collect::<Vec<_>>(), ["settings-slip"]);
    silent(&made(&four(on(0.0), off())));
    // The same settings, other lights: nothing was turned.
    let mut solo = Made::four();
    solo.add(2, &around).add(1, &four(on(0.0), off())).add(2, &around);
    silent(&solo);
}
