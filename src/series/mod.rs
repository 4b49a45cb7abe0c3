//! Series: near-identical shots taken seconds apart within a stage, and how each shot stands among its own.

pub mod alike;
pub mod band;
pub mod firing;
#[cfg(test)]
mod made;
pub mod recycle;
pub mod standing;
pub mod veil;

use crate::light::LightLedger;
use crate::measure::{LUMINANCE_WEIGHTS, TileGrid};
use crate::notes::SubjectBox;
use crate::shots::{Sequence, Shot};
use crate::stages::Stages;
use alike::{Look, alike};
use firing::Firing;
use standing::Standing;

/// Near-identical shots of one stage, seconds apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Series {
    /// Index of the sequence.
    pub sequence: usize,
    /// Number of the stage, from 1.
    pub stage: u32,
    /// Indices of its shots in the sequence, in shooting order; one shot alone is a series too.
    pub shots: Vec<usize>,
}

/// All series, cameras one after the other, in shooting order; the series numbered n stands at n - 1.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AllSeries {
    /// In order.
    pub series: Vec<Series>,
    /// For every sequence and shot the number of its series, from 1; None for a shot of no stage or without a picture.
    pub shots: Vec<Vec<Option<u32>>>,
}

impl AllSeries {
    /// The number of a shot's series, from 1.
    #[must_use]
    pub fn of(&self, sequence: usize, shot: usize) -> Option<u32> {
        self.shots.get(sequence)?.get(shot).copied().flatten()
    }
}

/// Everything that helps to choose among the shots of a series.
#[derive(Clone, Debug, Default)]
pub struct Cull {
    /// The series.
    pub series: AllSeries,
    /// For every camera, every time a light was set to burn and what came of it.
    pub firings: Vec<Vec<Firing>>,
    /// For every camera and shot, how it stands.
    pub standings: Vec<Vec<Standing>>,
}

/// Finds the series and how each shot stands. `subjects` are those of the settled notes.
#[must_use]
pub fn look(
    sequences: &[Sequence],
    stages: &Stages,
    ledger: &LightLedger,
    subjects: &[SubjectBox],
    sync_time_s: f64,
) -> Cull {
    let series = split(sequences, stages);
    let cameras = sequences.iter().zip(&ledger.sequences);
    let firings: Vec<Vec<Firing>> = cameras.map(|(s, light)| firing::all(&s.shots, light)).collect();
    let standings = standing::of_all(sequences, stages, ledger, &series, &firings, subjects, sync_time_s);
    Cull { series, firings, standings }
}

/// Shots of one stage at most so many seconds apart are of one series whatever they look like: nobody frames anew so
/// soon, and a light that failed changes a picture more than the sitter does (common practice, no source).
const BURST_S: f64 = 3.0;
/// Up to so many seconds apart they are where they look alike: a move is danced again, a face found again (common
/// practice, no source).
const AGAIN_S: f64 = 12.0;

/// Finds the series of every stage.
///
/// A shot goes on with the series of the shot before it in its stage where it was taken at once, or soon and looks like
/// that shot or the one before it. Without times no series is told.
#[must_use]
pub fn split(sequences: &[Sequence], stages: &Stages) -> AllSeries {
    let mut all =
        AllSeries { series: Vec::new(), shots: sequences.iter().map(|s| vec![None; s.shots.len()]).collect() };
    for (stage, number) in stages.stages.iter().zip(1..) {
        let Some(sequence) = sequences.get(stage.sequence) else { continue };
        for shots in in_stage(&sequence.shots, &stages.members(number)) {
            let series = u32::try_from(all.series.len() + 1).unwrap_or(u32::MAX);
            if let Some(places) = all.shots.get_mut(stage.sequence) {
                for shot in &shots {
                    if let Some(place) = places.get_mut(*shot) {
                        *place = Some(series);
                    }
                }
            }
            all.series.push(Series { sequence: stage.sequence, stage: number, shots });
        }
    }
    all
}

/// The series of one stage's shots, by their indices.
fn in_stage(shots: &[Shot], members: &[usize]) -> Vec<Vec<usize>> {
    let mut series: Vec<Vec<(usize, Option<Look>)>> = Vec::new();
    for &index in members {
        let Some(shot) = shots.get(index).filter(|shot| shot.taken.is_some()) else { continue };
        let Some(look) = shot.measurement.as_ref().map(|m| Look::of(&m.tiles)) else { continue };
        let goes_on = series.last().is_some_and(|own| {
            let gap = own.last().and_then(|(last, _)| seconds(shots, *last, index));
            // The shot before may be the one whose light failed.
            let before = || own.iter().rev().take(2).filter_map(|(_, before)| before.as_ref());
            let again = || look.as_ref().is_some_and(|look| before().any(|before| alike(before, look)));
            gap.is_some_and(|gap| gap <= BURST_S || gap <= AGAIN_S && again())
        });
        match series.last_mut().filter(|_| goes_on) {
            Some(own) => own.push((index, look)),
            None => series.push(vec![(index, look)]),
        }
    }
    series.into_iter().map(|own| own.into_iter().map(|(index, _)| index).collect()).collect()
}

/// Seconds from one shot to a later one of the same camera; None across a jump of the clock.
fn seconds(shots: &[Shot], from: usize, to: usize) -> Option<f64> {
    shots.get(from + 1..=to)?.iter().map(|shot| shot.seconds_since_previous).sum()
}

/// Luminance of every tile, linear, 0..1.
fn luminance(tiles: &TileGrid) -> Vec<f64> {
    let [wr, wg, wb] = LUMINANCE_WEIGHTS;
    let of = |&[r, g, b]: &[u16; 3]| (wr * f64::from(r) + wg * f64::from(g) + wb * f64::from(b)) / 65535.0;
    tiles.means.iter().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::made::{figures, sequence, tiles};
    use super::*;

    /// A bright patch at a place, before a wall with a slope.
    fn patch(at: usize) -> crate::measure::Measurement {
        figures(tiles(96, 64, |x, y| if x.abs_diff(at) < 8 && y > 20 { 0.5 } else { 0.02 + x as f64 * 1e-4 }), 1.0)
    }

    /// Numbers of the series of shots at these places, so many seconds after one another.
    fn series(shots: &[(f64, usize)]) -> Vec<Option<u32>> {
        let sequences = [sequence(shots.iter().map(|(gap, at)| (*gap, patch(*at))).collect())];
        let stages = crate::stages::split(&sequences, &LightLedger::unknown(&sequences), 1.0 / 250.0);
        split(&sequences, &stages).shots.remove(0)
    }

    #[test]
    fn a_burst_is_one_series_whatever_its_pictures_and_a_pause_ends_it() {
        assert_eq!(series(&[(0.0, 20), (1.0, 70), (2.9, 20), (60.0, 20)]), [1, 1, 1, 2].map(Some));
    }

    #[test]
    fn some_seconds_later_only_the_same_picture_goes_on() {
        assert_eq!(series(&[(0.0, 40), (8.0, 41), (8.0, 80)]), [1, 1, 2].map(Some));
        assert_eq!(series(&[(0.0, 40), (13.0, 40)]), [1, 2].map(Some), "too late for one series");
        assert_eq!(series(&[(0.0, 40), (2.0, 80), (8.0, 40)]), [1, 1, 1].map(Some), "like the one before the last");
    }

    #[test]
    fn without_a_time_no_series_is_told() {
        let mut sequences = [sequence(vec![(0.0, patch(40)), (1.0, patch(40))])];
        sequences[0].shots[1].taken = None;
        let stages = crate::stages::split(&sequences, &LightLedger::unknown(&sequences), 1.0 / 250.0);
        assert_eq!(split(&sequences, &stages).shots, [[Some(1), None]]);
    }
}
