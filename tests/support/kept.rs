//! Reports with keepers: series of so many shots, frames that were kept, and everything that is counted from them.

use std::collections::{BTreeMap, BTreeSet};

use stoptally::keepers::proportion::{Of, Z95, wilson};
use stoptally::report::keeper_types::{KeeperCount, KeeperCountRow};
use stoptally::report::{CullingRow, KeeperRow, Report};

use super::lit::lit_evening;
use super::sample_report::long_night;

/// The evening light by light, with nine keepers: seven of stage 8 in six of its seven series, one of stage 10, one of
/// stage 6. The two shots of lighting 8 are tests of the build.
#[must_use]
pub fn kept_evening() -> Report {
    let mut report = lit_evening();
    let first = |stage: usize| report.stages[stage - 1].detail.first_index;
    let kept = [0, 1, 2, 4, 6, 8, 10].map(|shot| first(8) + shot);
    let kept: BTreeSet<usize> = kept.into_iter().chain([first(10) + 3, first(6)]).collect();
    let (of_eight, of_ten) = (first(8), first(10));
    keep(&mut report, 2, &kept, &[11]);
    stand(&mut report, of_eight, of_ten);
    let count = report.keeper_count.as_mut().unwrap();
    count.summary =
        "lighting 7 gave 8 of the 9 keepers, from 7 of 12 series; lighting 5 gave 1, from 1 of 4".to_owned();
    count.comparison =
        "lighting 7 kept 7 of 12 series, against 1 of 19 in the other seven together: a difference of 20 to 76 \
                        points (95 %)"
            .to_owned();
    count.caution = "shots of a burst are not independent, so series are counted and not shots".to_owned();
    report
}

/// Standings as culling.csv has them: on stage 8 a short key, two clipped channels and, in its last two shots, a misfire of
/// the rim; on stage 10 a veil and a band.
fn stand(report: &mut Report, of_eight: usize, of_ten: usize) {
    let nothing = |place: usize| (place, "nothing to remark", "");
    let mut all: Vec<_> = (0..report.frames.len()).map(nothing).collect();
    let remarked = [
        (of_eight + 2, "key short", "weaker by 0.6 stop than usual at this setting, 0.9 s after it last burned"),
        (of_eight + 5, "red clipped;green clipped", "2.4 % of all pixels;3.1 % of all pixels"),
        (of_eight + 6, "softest of its series", "of 2 shots, 83 % of the detail of its sharpest shot, over the frame"),
        (of_eight + 11, "misfire of rim", "set on, and the picture shows none of it"),
        (
            of_eight + 12,
            "misfire of rim;sharpest of its series",
            "set on, and the picture shows none of it;of 2 shots, 100 % of the detail of its sharpest shot, over the frame",
        ),
        (
            of_ten + 1,
            "veil;dark band at the bottom",
            "the darkest places stand 1.2 stops above those of the series;12 % of the picture, -2.1 stops against slower \
             shots of the scene",
        ),
    ];
    for row in remarked {
        all[row.0] = row;
    }
    report.frames[of_eight + 5].highlights_clipped_percent = Some(3.6);
    let row = |(place, standing, reasons): (usize, &str, &str)| {
        let frame = &report.frames[place];
        CullingRow {
            frame: frame.frame.clone(),
            series: frame.series,
            stage: frame.stage,
            standing: standing.to_owned(),
            reasons: reasons.to_owned(),
            short_lights: if standing.contains("key short") { "key".to_owned() } else { String::new() },
            veil_stops: standing.contains("veil").then_some(1.2),
            band_percent: standing.contains("band").then_some(12.0),
            ..CullingRow::default()
        }
    };
    report.culling = all.into_iter().map(row).collect();
}

/// A night of 44 stages without lights told apart, with 60 keepers on one stage and none on the others.
#[must_use]
pub fn kept_night() -> Report {
    let mut report = long_night();
    let longest = report.stages.iter().max_by_key(|stage| stage.frames).unwrap().detail.first_index;
    let kept = (0..60).map(|n| longest + 4 * n).collect();
    keep(&mut report, 3, &kept, &[]);
    let count = report.keeper_count.as_mut().unwrap();
    count.summary = "60 keepers, from 60 of 220 series".to_owned();
    count.comparison = "which lighting gave more cannot be said: the lights are not told apart".to_owned();
    report
}

/// Marks these frames as kept and counts them, series of `per_series` shots, stages of tests left out.
pub fn keep(report: &mut Report, per_series: usize, kept: &BTreeSet<usize>, tests: &[u32]) {
    let mut number = 0;
    let mut by_stage: BTreeMap<u32, (Of, u32, u32)> = BTreeMap::new();
    for stage in &mut report.stages {
        let (mut all, mut some) = (BTreeSet::new(), BTreeSet::new());
        let mut keepers = 0;
        for shot in 0..stage.frames {
            number += u32::from(shot % per_series == 0);
            let place = stage.detail.first_index + shot;
            let frame = &mut report.frames[place];
            frame.series = Some(number);
            let is_kept = kept.contains(&place);
            frame.keeper = if is_kept { "yes" } else { "no" }.to_owned();
            all.insert(number);
            if is_kept {
                frame.keeper_match = "name".to_owned();
                some.insert(number);
                keepers += 1;
                report.keepers.push(KeeperRow {
                    given: frame.frame.clone(),
                    frame: frame.frame.clone(),
                    stage: Some(stage.stage),
                    matched: "name".to_owned(),
                    candidates: String::new(),
                });
            }
        }
        let test = tests.contains(&stage.stage);
        let count = |set: &BTreeSet<u32>| u32::try_from(set.len()).unwrap();
        let of = Of { some: count(&some), all: if test { 0 } else { count(&all) } };
        let shots = if test { 0 } else { u32::try_from(stage.frames).unwrap() };
        stage.series_count = Some(count(&all));
        let row = row("stage", &stage.stage.to_string(), keepers, of, shots, u32::try_from(stage.frames).unwrap());
        (stage.keepers, stage.kept_series, stage.candidate_series) = (Some(keepers), row.kept_series, row.series);
        (stage.candidate_shots, stage.candidates) = (Some(shots), row.candidates.clone());
        (stage.keeper_rate, stage.keeper_rate_low, stage.keeper_rate_high) = (row.rate, row.rate_low, row.rate_high);
        by_stage.insert(stage.stage, (of, keepers, shots));
    }
    let sum = |stages: &[u32]| {
        let own = stages.iter().map(|stage| by_stage[stage]);
        own.fold((Of { some: 0, all: 0 }, 0, 0), |(of, keepers, shots), (o, k, s)| {
            (Of { some: of.some + o.some, all: of.all + o.all }, keepers + k, shots + s)
        })
    };
    let mut rows = Vec::new();
    for lighting in &mut report.lightings {
        let (of, keepers, shots) = sum(&lighting.detail.stage_numbers);
        let frames = u32::try_from(lighting.frames).unwrap();
        let mut row = row("lighting", &lighting.lighting.to_string(), keepers, of, shots, frames);
        row.seconds = (lighting.lighting != 2).then_some(7.0 * (lighting.frames as f64 - 1.0));
        lighting.series_count = Some(of.all);
        (lighting.keepers, lighting.kept_series) = (Some(keepers), row.kept_series);
        (lighting.candidate_series, lighting.candidate_shots) = (row.series, Some(shots));
        (lighting.keeper_rate, lighting.keeper_rate_low) = (row.rate, row.rate_low);
        (lighting.keeper_rate_high, lighting.seconds) = (row.rate_high, row.seconds);
        lighting.candidates.clone_from(&row.candidates);
        rows.push(row);
    }
    let mut lenses: Vec<String> = report.stages.iter().map(|stage| stage.lens.clone()).collect();
    lenses.sort();
    lenses.dedup();
    for lens in lenses {
        let own: Vec<_> = report.stages.iter().filter(|s| s.lens == lens).collect();
        let (of, keepers, shots) = sum(&own.iter().map(|s| s.stage).collect::<Vec<_>>());
        rows.push(row(
            "lens",
            &lens,
            keepers,
            of,
            shots,
            u32::try_from(own.iter().map(|s| s.frames).sum::<usize>()).unwrap(),
        ));
    }
    for name in report.lights.iter().map(|light| light.light.clone()).collect::<Vec<_>>() {
        let set = |s: &&stoptally::report::StageRow| s.lights.split(';').any(|l| l.starts_with(&format!("{name} ")));
        let own: Vec<_> = report.stages.iter().filter(set).collect();
        let (of, keepers, shots) = sum(&own.iter().map(|s| s.stage).collect::<Vec<_>>());
        rows.push(row(
            "light",
            &name,
            keepers,
            of,
            shots,
            u32::try_from(own.iter().map(|s| s.frames).sum::<usize>()).unwrap(),
        ));
    }
    report.keeper_count = Some(KeeperCount {
        given: kept.len(),
        rule: "Candidates are all shots but tests of the build. The unit is the series.".to_owned(),
        rows,
        ..KeeperCount::default()
    });
}

fn row(what: &str, value: &str, keepers: u32, of: Of, shots: u32, frames: u32) -> KeeperCountRow {
    let ends = wilson(of, Z95);
    let out = frames - shots;
    let held = if shots == 0 { "none".to_owned() } else { format!("{} series in {shots} shots", of.all) };
    KeeperCountRow {
        what: what.to_owned(),
        value: value.to_owned(),
        keepers,
        kept_series: Some(of.some),
        series: Some(of.all),
        shots,
        rate: of.rate(),
        rate_low: ends.map(|e| e.low),
        rate_high: ends.map(|e| e.high),
        shots_of_tests: out,
        candidates: if out == 0 { held } else { format!("{held}; left out: {out} shots of tests") },
        ..KeeperCountRow::default()
    }
}
