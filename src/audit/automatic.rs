//! Automatic ISO and automatic white balance where most of the camera's shots were exposed by hand.

use super::Finding;
use super::lit::span;
use crate::metadata::{ExposureMode, Metadata, WhiteBalance};
use crate::problem::Code;
use crate::shots::{Sequence, Shot};
use crate::stages::InStage;

/// So many shots in a row show whether the ISO wanders.
const RUN: usize = 5;
/// So many changes of the ISO within such a run, up as well as down, are no hand's.
const CHANGES: usize = 4;
/// So many marks that no dial has, within such a run.
const OFF_DIAL: usize = 2;

/// At most one finding of each kind for a camera.
pub fn find(sequence: &Sequence, places: &[InStage]) -> Vec<Finding> {
    let of = |mode| sequence.shots.iter().filter(|s| s.metadata.exposure_mode == Some(mode)).count();
    if of(ExposureMode::Manual) <= of(ExposureMode::Automatic) {
        return Vec::new();
    }
    [iso(sequence, places), white_balance(sequence, places)].into_iter().flatten().collect()
}

fn white_balance(sequence: &Sequence, places: &[InStage]) -> Option<Finding> {
    let automatic = |s: &Shot| s.metadata.white_balance == Some(WhiteBalance::Auto);
    let own: Vec<usize> = (0..sequence.shots.len()).filter(|i| sequence.shots.get(*i).is_some_and(automatic)).collect();
    let (first, last) = (*own.first()?, *own.last()?);
    Some(Finding {
        frame: sequence.shots.get(first)?.frame.clone(),
        stage: places.get(first)?.stage,
        light: String::new(),
        code: Code::WhiteBalanceAutomatic,
        finding: format!("white balance automatic in {} of {} shots", own.len(), sequence.shots.len()),
        evidence: span(&sequence.shots.get(first)?.frame, &sequence.shots.get(last)?.frame, own.len()),
        certainty: "certain, from the files".to_owned(),
    })
}

fn iso(sequence: &Sequence, places: &[InStage]) -> Option<Finding> {
    let same = |a: &Metadata, b: &Metadata| (a.f_number, a.exposure_time_s) == (b.f_number, b.exposure_time_s);
    let wanders = |shots: &[Shot]| {
        let iso: Vec<u32> = shots.iter().filter_map(|s| s.metadata.iso).collect();
        let one = shots.first().is_some_and(|f| shots.iter().all(|s| same(&s.metadata, &f.metadata)));
        let ups = iso.windows(2).filter(|p| matches!(p, [a, b] if b > a)).count();
        let downs = iso.windows(2).filter(|p| matches!(p, [a, b] if b < a)).count();
        let off_dial = iso.iter().filter(|iso| !DIAL.contains(iso)).count();
        one && iso.len() == RUN
            && (ups + downs >= CHANGES && ups > 0 && downs > 0 && !iso.iter().all(|iso| WHOLE.contains(iso))
                || off_dial >= OFF_DIAL && ups + downs > 0)
    };
    let start = sequence.shots.windows(RUN).position(wanders)?;
    // The stretch may begin before the ISO does.
    let still = sequence
        .shots
        .get(start..)?
        .windows(2)
        .position(|p| matches!(p, [a, b] if a.metadata.iso != b.metadata.iso))?;
    let start = (start + still + 1).min(sequence.shots.len().saturating_sub(RUN));
    let run = sequence.shots.get(start..start + RUN)?;
    let marks: Vec<String> = run.iter().filter_map(|s| Some(s.metadata.iso?.to_string())).collect();
    let runs = sequence.shots.windows(RUN).filter(|run| wanders(run)).count();
    Some(Finding {
        frame: run.first()?.frame.clone(),
        stage: places.get(start)?.stage,
        light: String::new(),
        code: Code::IsoAutomatic,
        finding: format!("ISO {} at one aperture and shutter", marks.join(", ")),
        evidence: format!(
            "{}; {} of all stretches of {RUN} shots wander so",
            span(&run.first()?.frame, &run.last()?.frame, RUN),
            runs
        ),
        certainty: "the ISO wanders for certain; that the camera chose it is likely, not recorded".to_owned(),
    })
}

/// Marks of whole stops: a hand may go from one to the next with every shot, a camera does not keep to them.
const WHOLE: [u32; 12] = [50, 100, 200, 400, 800, 1600, 3200, 6400, 12_800, 25_600, 51_200, 102_400];

/// Marks of dials in thirds and in halves of a stop (thirds: the series of ISO 12232; halves: common practice, no
/// source).
const DIAL: [u32; 47] = [
    32, 40, 50, 64, 70, 80, 100, 125, 140, 160, 200, 250, 280, 320, 400, 500, 560, 640, 800, 1000, 1100, 1250, 1600,
    2000, 2200, 2500, 3200, 4000, 4500, 5000, 6400, 8000, 9000, 10_000, 12_800, 16_000, 18_000, 20_000, 25_600, 32_000,
    36_000, 40_000, 51_200, 64_000, 72_000, 80_000, 102_400,
];
