//! What a folder can be at its worst, as reports: each must still give a sound page.

use stoptally::report::{BroughtLevel, FrameRow, NotKnown, Report};

use super::kept::{kept_evening, kept_night};
use super::lit::{lit_evening, many_lights};
use super::sample_report::{empty, evening, long_night, problem, two_bodies};

/// Text that must arrive as text wherever it comes from a file.
pub const PLANTED: &str = "<script>document.title='ran'</script><img src=x onerror=\"document.title='ran'\">\u{202e}gpj.\u{2066}[a](javascript:document.title='ran') ` | *b*";

/// Every extreme with the name its file gets.
#[must_use]
pub fn all() -> Vec<(&'static str, Report)> {
    vec![
        ("evening", evening()),
        ("no-frames", no_frames()),
        ("all-broken", all_broken()),
        ("one-frame", one_frame()),
        ("no-times", no_times()),
        ("two-bodies", two_bodies()),
        ("long-night", long_night()),
        ("off-scale", off_scale()),
        ("planted", planted()),
        ("lit-evening", lit_evening()),
        ("many-lights", many_lights()),
        ("planted-lights", planted_lights()),
        ("kept-evening", kept_evening()),
        ("kept-night", kept_night()),
        ("planted-keepers", planted_keepers()),
    ]
}

/// Hostile text wherever a keeper's words come from a file: a lens, a light, a camera, an export's name.
#[must_use]
pub fn planted_keepers() -> Report {
    let mut report = kept_evening();
    let count = report.keeper_count.as_mut().unwrap();
    count.comparison = format!("on {PLANTED}, {}", count.comparison);
    count.rows.iter_mut().filter(|row| row.what != "lighting").for_each(|row| row.value = PLANTED.repeat(2));
    report.keepers.iter_mut().for_each(|row| row.given = PLANTED.to_owned());
    report
}

#[must_use]
pub fn no_frames() -> Report {
    empty()
}

/// Nothing could be read: rows without a picture, files without a row.
#[must_use]
pub fn all_broken() -> Report {
    let mut report = empty();
    for number in 1..=14 {
        let frame = format!("DSC_{number:04}.JPG");
        report.problems.push(problem(&frame, "picture-damaged", "could not read", "yes"));
        report.frames.push(FrameRow {
            frame,
            problems: "picture-damaged;exif-missing".to_owned(),
            ..FrameRow::default()
        });
        report.pictures.push(None);
    }
    report.problems.push(problem("._DSC_0001.JPG", "system-shadow", "note", "no"));
    (report.summary.shots, report.summary.cameras, report.summary.files_seen) = (14, 1, 15);
    report
}

#[must_use]
pub fn one_frame() -> Report {
    let mut report = evening();
    report.frames.truncate(1);
    report.pictures.truncate(1);
    report.stages.truncate(1);
    report.stages[0].frames = 1;
    report.stages[0].last_frame = report.stages[0].first_frame.clone();
    report.stages[0].detail.typical_index = 0;
    report.findings.clear();
    report.problems.clear();
    (report.summary.shots, report.summary.stages, report.summary.measured, report.summary.files_seen) = (1, 1, 1, 1);
    report.summary.to.clone_from(&report.summary.from);
    report
}

/// The clock was never set: nothing has a time, and the settings of one stage are not known.
#[must_use]
pub fn no_times() -> Report {
    let mut report = evening();
    for frame in &mut report.frames {
        frame.taken.clear();
        frame.seconds_since_previous = None;
    }
    for stage in &mut report.stages {
        stage.started.clear();
        stage.seconds = None;
    }
    report.stages[4].settings.clear();
    report.stages[4].detail.level = None;
    let account = report.stages[4].detail.account.as_mut().unwrap();
    account.lines[..].iter_mut().for_each(|line| line.flash_stops = None);
    (account.settings_flash_stops, account.settings_ambient_stops) = (None, None);
    (account.light_stops, account.light_stops_low, account.light_stops_high) = (None, None, None);
    account.why_unknown = "the aperture is not known on one side".to_owned();
    (report.summary.from, report.summary.to) = (None, None);
    report
}

/// Figures beyond both ends of the scale, black pictures, and figures that are no numbers.
#[must_use]
pub fn off_scale() -> Report {
    let mut report = evening();
    for (place, level) in [(1, -11.2), (2, 3.4), (6, f64::NAN)] {
        report.stages[place].mean_luminance_stops = Some(level);
        report.stages[place].detail.level = Some(BroughtLevel { flash_stops: level, ambient_stops: level - 2.0 });
    }
    let account = report.stages[2].detail.account.as_mut().unwrap();
    (account.brought_forward_stops, account.stands_at_stops) = (Some(-11.2), Some(3.4));
    let black = &mut report.stages[3];
    (black.mean_luminance_stops, black.detail.level) = (None, None);
    for frame in report.frames.iter_mut().filter(|frame| frame.stage == Some(4)) {
        (frame.mean_luminance, frame.mean_luminance_stops) = (Some(0.0), None);
        frame.shadows_clipped_percent = Some(100.0);
    }
    let unread = &mut report.stages[4];
    (unread.mean_luminance_stops, unread.detail.level) = (None, None);
    for (place, frame) in report.frames.iter_mut().enumerate().filter(|(_, frame)| frame.stage == Some(5)) {
        (frame.mean_luminance, frame.mean_luminance_stops, frame.highlights_clipped_percent) = (None, None, None);
        report.pictures[place] = None;
    }
    report
}

/// Hostile text in every cell that a file can fill.
#[must_use]
pub fn planted() -> Report {
    let mut report = evening();
    PLANTED.clone_into(&mut report.shoot);
    for frame in report.frames.iter_mut().take(4) {
        frame.frame = format!("{PLANTED}/{PLANTED}.JPG");
        frame.camera = PLANTED.to_owned();
        frame.problems = format!("{PLANTED};time-equal");
    }
    for stage in report.stages.iter_mut().take(2) {
        stage.lens = PLANTED.to_owned();
        stage.camera = PLANTED.to_owned();
        stage.changed = format!("lens {PLANTED}");
        stage.detail.headline = stage.changed.clone();
        stage.first_frame = format!("a/{PLANTED}.JPG");
        stage.settings = format!("f/2.8, {PLANTED}");
    }
    let account = report.stages[1].detail.account.as_mut().unwrap();
    account.why_unknown = PLANTED.to_owned();
    account.lines[0].from = PLANTED.to_owned();
    for finding in &mut report.findings {
        (finding.frame, finding.evidence, finding.light) = (PLANTED.to_owned(), PLANTED.to_owned(), PLANTED.to_owned());
        (finding.code, finding.finding) = (PLANTED.to_owned(), PLANTED.to_owned());
    }
    for problem in &mut report.problems {
        (problem.file, problem.problem) = (PLANTED.to_owned(), PLANTED.to_owned());
    }
    report.not_known.push(NotKnown { what: PLANTED.to_owned(), why: PLANTED.to_owned(), remedy: PLANTED.to_owned() });
    report
}

/// Hostile text in every word of the lights.
#[must_use]
pub fn planted_lights() -> Report {
    let mut report = lit_evening();
    let plant = |text: &mut String| PLANTED.clone_into(text);
    for light in &mut report.lights {
        light.light = format!("{PLANTED}{}", light.light);
        plant(&mut light.role);
        plant(&mut light.reference_frame);
    }
    for row in &mut report.light_ledger {
        [&mut row.light, &mut row.reason, &mut row.reference_frame].into_iter().for_each(plant);
    }
    let accounts = report.stages.iter_mut().filter_map(|stage| stage.detail.light_account.as_mut());
    let of_lightings = report.lightings.iter_mut().map(|row| &mut row.detail.light_account);
    for account in accounts.chain(of_lightings) {
        for state in &mut account.each_light {
            let words = [&mut state.light, &mut state.noted_power, &mut state.gel, &mut state.modifier];
            words.into_iter().chain([&mut state.power, &mut state.words, &mut state.reason]).for_each(plant);
        }
        plant(&mut account.ambient.words);
        for ratio in &mut account.ratios {
            [&mut ratio.words, &mut ratio.why_unknown, &mut ratio.of].into_iter().for_each(plant);
        }
    }
    report.stages.iter_mut().for_each(|stage| plant(&mut stage.lights));
    for row in &mut report.lightings {
        plant(&mut row.lights);
        row.detail.without.iter_mut().for_each(|w| plant(&mut w.words));
    }
    report.light_by_camera.iter_mut().for_each(|camera| plant(&mut camera.curve));
    report.light_pictures.iter_mut().for_each(|picture| plant(&mut picture.caption));
    report
}
