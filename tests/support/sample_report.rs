//! Reports made by hand for tests: an ordinary evening in the tram shed, and what a folder can be at its worst.
//!
//! Every figure is invented but consistent: the levels follow from the settings and from what the lights were said to do.

use stoptally::report::{FindingRow, NotKnown, ProblemRow, Reference, Report, SCHEMA, Summary};

use super::builder::{Builder, F2, F4, F28, Part, REFERENCE, Settings, T50, T200};

/// A report without a single row.
#[must_use]
pub fn empty() -> Report {
    Report {
        generator: stoptally::report::GENERATOR,
        schema: SCHEMA,
        shoot: "tram-shed".to_owned(),
        summary: Summary {
            shots: 0,
            cameras: 0,
            stages: 0,
            files_seen: 0,
            companions: 0,
            files_without_row: 0,
            other_files: 0,
            measured: 0,
            from: None,
            to: None,
        },
        reference: None,
        frames: Vec::new(),
        stages: Vec::new(),
        lightings: Vec::new(),
        light_ledger: Vec::new(),
        lights: Vec::new(),
        light_by_camera: Vec::new(),
        findings: Vec::new(),
        problems: Vec::new(),
        culling: Vec::new(),
        keepers: Vec::new(),
        keeper_count: None,
        not_known: Vec::new(),
        next_time: stoptally::report::next_types::NextTime::default(),
        notes_draft: None,
        pictures: Vec::new(),
        light_pictures: Vec::new(),
        prints: std::collections::BTreeMap::new(),
        boards: stoptally::report::board_types::Boards::default(),
    }
}

fn evening_parts() -> Vec<Part> {
    let at = |aperture, shutter, iso| Settings { aperture, shutter, iso };
    let part = |changed, settings, focal, shots, minutes_after, light, tone| Part {
        changed,
        settings,
        focal,
        shots,
        minutes_after,
        light,
        tone,
    };
    vec![
        part("the first shot", at(F28, T200, 100), 50.0, 2, 0.0, 0.0, 0),
        part("shutter 1/200 to 1/50", at(F28, T50, 100), 50.0, 2, 1.4, 1.9, 0),
        part("shutter 1/50 to 1/200, aperture f/2.8 to f/4", at(F4, T200, 100), 50.0, 3, 3.4, 0.9, 1),
        part("aperture f/4 to f/2.8", at(F28, T200, 100), 50.0, 3, 2.0, 0.0, 1),
        part("a change beyond the settings", at(F28, T200, 100), 50.0, 5, 5.1, 0.2, 2),
        part("lens 50 mm to 85 mm", at(F28, T200, 100), 85.0, 3, 4.6, 0.0, 2),
        part("lens 85 mm to 50 mm", at(F28, T200, 100), 50.0, 5, 4.3, -0.6, 2),
        part("a change beyond the settings", at(F28, T200, 100), 50.0, 4, 7.0, 1.1, 3),
        part("lens 50 mm to 35 mm", at(F28, T200, 100), 35.0, 3, 3.1, -0.1, 3),
        part("lens 35 mm to 50 mm, ISO 100 to 200", at(F28, T200, 200), 50.0, 4, 10.0, -0.8, 4),
        part("ISO 200 to 100", at(F28, T200, 100), 50.0, 30, 3.2, 1.3, 5),
        part("aperture f/2.8 to f/2, ISO 100 to 50", at(F2, T200, 50), 50.0, 5, 4.1, 0.0, 5),
    ]
}

/// The evening in the tram shed.
#[must_use]
pub fn evening() -> Report {
    let mut builder = Builder::new();
    builder.report.reference = Some(Reference { marked: REFERENCE.marked() });
    for part in &evening_parts() {
        builder.stage(part);
    }
    let report = &mut builder.report;
    report.stages[3].detail.first_met_in_stage = Some(1);
    let lost = report.stages[5].detail.account.as_mut().unwrap();
    (lost.light_stops, lost.light_stops_low, lost.light_stops_high) = (None, None, None);
    lost.why_unknown =
        "another focal length shows another part of the shed, so the pictures cannot be compared".to_owned();
    report.frames[20].problems = "time-equal".to_owned();
    report.findings.push(FindingRow {
        frame: "card-a/DSC_0426.JPG".to_owned(),
        stage: Some(8),
        code: "settings-slip".to_owned(),
        finding: "one shot with other settings between shots that agree".to_owned(),
        evidence: "ISO 125 between shots at ISO 100".to_owned(),
        certainty: "certain".to_owned(),
        remedy: "check the settings of this shot; lock the dial or switch automatic ISO off".to_owned(),
        ..FindingRow::default()
    });
    report.problems = vec![
        problem("card-a/DSC_0470.JPG", "picture-truncated", "could not read", "no"),
        problem("card-a/DSC_0471.JPG", "file-empty", "could not read", "no"),
        problem("card-a/DSC_0472.JPG", "file-empty", "could not read", "no"),
        problem("card-a/DSC_0421.JPG", "time-equal", "note", "yes"),
    ];
    report.not_known = vec![
        NotKnown {
            what: "which light did what".to_owned(),
            why: "there are no light notes".to_owned(),
            remedy: "correct light-notes-draft.csv, save it as light-notes.csv beside the shots, and run again"
                .to_owned(),
        },
        NotKnown {
            what: "what fell on the dancer".to_owned(),
            why: "no subject is marked".to_owned(),
            remedy: "add one subject line to the notes, or give --subject".to_owned(),
        },
    ];
    builder.finish()
}

/// A row of problems.csv with the registry's own words.
#[must_use]
pub fn problem(file: &str, code: &str, weight: &str, in_frames: &str) -> ProblemRow {
    let entry = stoptally::problem::REGISTRY.iter().find(|entry| entry.name == code).unwrap();
    ProblemRow {
        file: file.to_owned(),
        code: code.to_owned(),
        problem: entry.text.to_owned(),
        remedy: entry.remedy.to_owned(),
        weight: weight.to_owned(),
        in_frames: in_frames.to_owned(),
    }
}

/// Two bodies without a shared moment.
#[must_use]
pub fn two_bodies() -> Report {
    let mut builder = Builder::new();
    builder.report.reference = Some(Reference { marked: REFERENCE.marked() });
    let parts = evening_parts();
    for part in &parts[..4] {
        builder.stage(part);
    }
    builder.camera = ("Field Camera II", "2077");
    (builder.before, builder.second, builder.level) = (None, 18.0 * 3600.0 + 41.0, -3.2);
    for part in &parts[..3] {
        builder.stage(part);
    }
    builder.finish()
}

/// 44 stages and 616 shots over a night, with a long gap in the middle.
#[must_use]
pub fn long_night() -> Report {
    let mut builder = Builder::new();
    builder.report.reference = Some(Reference { marked: REFERENCE.marked() });
    let parts = evening_parts();
    for number in 0..44 {
        let part = &parts[number % parts.len()];
        let shots = if number == 20 {
            280
        } else if number % 2 == 0 {
            9
        } else {
            6
        };
        let minutes_after = if number == 30 { 640.0 } else { 1.5 };
        builder.stage(&Part { shots, minutes_after, light: part.light * 0.3, ..*part });
    }
    builder.finish()
}
