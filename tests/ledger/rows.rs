//! The written tables, read back from their bytes.

use super::made::{Made, about, colour, gel, missed, noted, off, on, unknown, written};
use stoptally::light::{Agreement, AmbientEntry, Evidence};

fn shoot() -> Made {
    let mut made = Made::noted();
    let key = gel(noted(-3.0, 0.0), "CTO");
    made.add(1, &[off(), off(), off(), off()]);
    made.add(2, &[key.clone(), noted(-4.0, 0.0), off(), off()]);
    made.add(1, &[key.clone(), missed(noted(-4.0, 0.0)), off(), off()]);
    made.add(1, &[key, noted(-4.0, 0.0), unknown("hidden behind the key"), off()]);
    made
}

#[test]
fn the_ledger_has_a_row_per_frame_and_light() {
    let mut made = shoot();
    let key = &mut made.light.shots[1].entries[0];
    (key.evidence, key.agrees) = (Evidence::Solo, Agreement::Differs);
    (key.against_note, key.power) = (Some(about(-1.0)), Some(-4.0));
    key.share_of_subject = Some(0.5);
    let rows = written(&made.found().report, "light-ledger.csv");
    assert_eq!(rows.len(), 5 * 4);
    let key = &rows[4];
    let cells = |names: &[&str]| names.iter().map(|n| key[*n].clone()).collect::<Vec<_>>();
    assert_eq!(
        cells(&["frame", "stage", "light", "on", "misfire", "reference_frame", "power", "evidence"]),
        ["TS_0002.JPG", "2", "key", "yes", "no", "TS_0001.JPG", "1/16", "solo"]
    );
    assert_eq!(
        cells(&["light_stops", "light_stops_low", "light_stops_high", "gain_r", "gain_g", "gain_b"]),
        ["0.0", "-0.1", "0.1", "1.0", "1.0", "1.0"]
    );
    assert_eq!(
        cells(&["share_of_frame_percent", "share_of_subject_percent", "noted_power", "noted_gel", "agrees"]),
        ["25.0", "50.0", "1/8", "CTO", "differs"]
    );
    assert_eq!(cells(&["against_note_stops", "against_note_low", "against_note_high"]), ["-1.0", "-1.1", "-0.9"]);
    let missed = &rows[13];
    assert_eq!(
        ["light", "on", "misfire", "light_stops", "noted_power"].map(|n| missed[n].as_str()),
        ["rim", "no", "yes", "", "1/16"]
    );
    let lost = &rows[18];
    assert_eq!(
        ["light", "on", "misfire", "reason"].map(|n| lost[n].as_str()),
        ["dust-left", "unknown", "unknown", "hidden behind the key"]
    );
}

#[test]
fn a_shots_own_reason_stands_where_the_light_has_none() {
    let mut made = shoot();
    made.not_comparable();
    let rows = written(&made.found().report, "light-ledger.csv");
    assert_eq!(rows[16]["reason"], "it shows another part of the shed");
    assert_eq!(rows[18]["reason"], "hidden behind the key");
}

#[test]
fn stages_and_lightings_name_their_lights() {
    let report = shoot().found().report;
    let stages = written(&report, "stages.csv");
    let lights: Vec<_> =
        stages.iter().map(|s| (s["lighting"].as_str(), s["lights"].as_str(), s["misfires"].as_str())).collect();
    assert_eq!(
        lights,
        [
            ("1", "none", "0"),
            ("2", "key 1/8 gel CTO;rim 1/16", "1"),
            ("", "key 1/8 gel CTO;rim 1/16;dust-left unknown", "0")
        ]
    );
    let rows = written(&report, "lighting.csv");
    let row = |n: usize| ["lighting", "stages", "frames", "lights", "changed", "misfires"].map(|c| rows[n][c].clone());
    assert_eq!(row(0), ["1", "1", "1", "none", "no light on", "0"]);
    assert_eq!(row(1), ["2", "2", "3", "key 1/8 gel CTO;rim 1/16", "key on at 1/8 with gel CTO, rim on at 1/16", "1"]);
    assert_eq!(rows.len(), 2);
}

#[test]
fn frames_name_the_lights_that_burned_and_those_that_missed() {
    let rows = written(&shoot().found().report, "frames.csv");
    let cells: Vec<_> = rows.iter().map(|r| (r["lights"].as_str(), r["misfires"].as_str())).collect();
    assert_eq!(cells, [("none", ""), ("key;rim", ""), ("key;rim", ""), ("key", "rim"), ("key;rim", "")]);
}

/// Level -1, a sixteenth of it ambient: 1 + log2(16) = 5 stops under mid-grey (derived).
#[test]
fn the_ambients_headroom_follows_from_level_and_share() {
    let mut made = shoot();
    made.ambient(AmbientEntry { stops: Some(about(-0.5)), share_of_frame: Some(1.0 / 16.0), at_most: false });
    let rows = written(&made.found().report, "frames.csv");
    assert_eq!(rows[4]["ambient_headroom_stops"].parse::<f64>().unwrap(), 5.0);
    assert_eq!(
        (rows[4]["ambient"].as_str(), rows[4]["ambient_share_percent"].as_str()),
        ("5.0 stops under mid-grey", "6.25")
    );
    assert_eq!([&rows[4]["ambient_stops"], &rows[4]["ambient_stops_low"]], ["-0.5", "-0.6"]);
    assert_eq!((rows[0]["ambient"].as_str(), rows[0]["ambient_headroom_stops"].as_str()), ("not known", ""));
}

#[test]
fn of_a_black_frame_no_more_than_five_stops_are_claimed() {
    for level in [-9.0, f64::NEG_INFINITY] {
        let mut made = Made::four();
        made.level = level;
        made.add(1, &[off(), off(), off(), off()]);
        made.ambient(AmbientEntry { stops: None, share_of_frame: Some(1.0), at_most: true });
        let rows = written(&made.found().report, "frames.csv");
        assert_eq!(rows[0]["ambient"], "at least 5 stops under mid-grey");
        assert_eq!(rows[0]["ambient_headroom_stops"], "5.0");
    }
}

#[test]
fn names_from_notes_stay_in_their_cell() {
    let mut made = Made::of(&["=key;rim"]);
    made.add(1, &[colour(on(0.6), 2, 1.2, 0.8)]);
    let report = made.found().report;
    assert_eq!(written(&report, "light-ledger.csv")[0]["light"], "'=key;rim");
    assert_eq!(written(&report, "stages.csv")[0]["lights"], "'=key,rim +0.6 stop colour 2");
    assert_eq!(written(&report, "frames.csv")[0]["lights"], "'=key,rim");
}

#[test]
fn without_a_ledger_the_tables_have_only_their_header() {
    let mut made = Made::of(&[]);
    made.add(2, &[]);
    (made.light.curve, made.light.ambient_reference) = (None, None);
    let report = made.found().report;
    assert!(written(&report, "light-ledger.csv").is_empty() && written(&report, "lighting.csv").is_empty());
    let stage = &written(&report, "stages.csv")[0];
    assert_eq!((stage["lights"].as_str(), stage["misfires"].as_str(), stage["lighting"].as_str()), ("", "", ""));
    assert_eq!(written(&report, "frames.csv")[0]["ambient"], "");
}
