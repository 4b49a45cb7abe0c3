//! How a shot stands, technically, among those of its series. No verdict on taste, and nothing is ever thrown away.

use super::band::{self, Band};
use super::firing::{Firing, Outcome};
use super::veil::{self, Veil};
use super::{AllSeries, Series};
use crate::light::{LightLedger, SequenceLight, Told};
use crate::measure::{Measurement, TileGrid};
use crate::metadata::Metadata;
use crate::notes::SubjectBox;
use crate::shots::{Sequence, Shot};
use crate::stages::{InStage, Stages};

/// What is to be said of one shot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Standing {
    /// Lights that were set on and did not burn, by index.
    pub missed: Vec<usize>,
    /// Several lights were set on, and none of them burned.
    pub none_burned: bool,
    /// Lights that burned short: index, stops against usual (below 0), seconds since they last burned.
    pub short: Vec<(usize, f64, Option<f64>)>,
    /// Its sharpness against the series; None where there is nothing to compare.
    pub focus: Option<Focus>,
    /// Channels (0 red, 1 green, 2 blue) of which a part worth naming is clipped, in percent of all pixels.
    pub clipped: Vec<(usize, f64)>,
    /// A veil over the whole picture.
    pub veil: Option<Veil>,
    /// A band that no flash reached.
    pub band: Option<Band>,
}

/// Sharpness against the sharpest shot of the series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Focus {
    /// Part of the sharpest one's figure, 0..=1.
    pub of_sharpest: f64,
    /// Where that puts the shot.
    pub place: Place,
    /// Measured inside the subject box, and not over the whole frame.
    pub on_subject: bool,
}

/// A shot's place by sharpness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Of all.
    Sharpest,
    /// Neither first nor last.
    Between,
    /// Of all.
    Softest,
    /// The series is alike: no order is told.
    Alike,
}

/// Shots closer than this are equally sharp: a sitter who moves changes the figure by as much (common practice, no
/// source).
const AS_SHARP: f64 = 0.85;
/// Two shots closer than this have no order at all.
const SAME: f64 = 0.03;
/// Clipping is named from this part of all pixels on, in percent: less are glints (common practice, no source).
const NAMED_PERCENT: f64 = 1.0;
/// Near the sync speed a shutter may show already: a third of a stop slower is looked at too.
const NEAR_SYNC: f64 = 1.259_921;
/// A shot compared with is slower by at least so much, so that its frame was open when this one's was not.
const SLOWER: f64 = 1.2;
/// A veil is told against so many shots of the series, nearest in order: a series of hundreds costs no more for each.
const AGAINST: usize = 12;
/// So many slower shots, nearest in order, are compared with.
const COMPARED: usize = 6;

/// The standing of every shot of every camera; `firings` one list for each camera.
#[must_use]
pub fn of_all(
    sequences: &[Sequence],
    stages: &Stages,
    ledger: &LightLedger,
    all: &AllSeries,
    firings: &[Vec<Firing>],
    subjects: &[SubjectBox],
    sync_time_s: f64,
) -> Vec<Vec<Standing>> {
    let cameras = sequences.iter().zip(&stages.shots).zip(&ledger.sequences).zip(firings).enumerate();
    cameras
        .map(|(index, (((sequence, places), light), firings))| {
            let mut standings = alone(sequence, light, firings);
            for (shot, standing) in standings.iter_mut().enumerate() {
                standing.band = banded(&sequence.shots, places, shot, sync_time_s);
            }
            let boxes = SubjectBox::held(subjects, sequence);
            for series in all.series.iter().filter(|series| series.sequence == index) {
                among(&sequence.shots, series, &boxes, &mut standings);
            }
            standings
        })
        .collect()
}

/// What a shot shows by itself.
fn alone(sequence: &Sequence, light: &SequenceLight, firings: &[Firing]) -> Vec<Standing> {
    let shots = sequence.shots.iter().zip(&light.shots);
    let mut standings: Vec<Standing> = shots
        .map(|(shot, lit)| {
            let set: Vec<_> = lit.entries.iter().enumerate().filter(|(_, e)| e.setting.on == Told::Yes).collect();
            let missed: Vec<usize> =
                set.iter().filter(|(_, e)| e.misfire == Told::Yes && !e.late_note).map(|(light, _)| *light).collect();
            Standing {
                none_burned: set.len() > 1 && missed.len() == set.len(),
                missed,
                clipped: shot.measurement.as_ref().map(clipped).unwrap_or_default(),
                ..Standing::default()
            }
        })
        .collect();
    for firing in firings {
        if let (Outcome::Short(stops), Some(standing)) = (firing.outcome, standings.get_mut(firing.shot)) {
            standing.short.push((firing.light, stops, firing.gap_s));
        }
    }
    standings
}

fn clipped(figures: &Measurement) -> Vec<(usize, f64)> {
    let percent = |count: &u64| *count as f64 / figures.pixels() as f64 * 100.0;
    let channels = figures.clipping.highlights_rgb.iter().map(percent).enumerate();
    channels.filter(|(_, percent)| *percent >= NAMED_PERCENT).collect()
}

/// The band of a shot near or above the sync speed, told by slower shots through the same lens: most of them must show
/// it.
fn banded(shots: &[Shot], places: &[InStage], index: usize, sync_time_s: f64) -> Option<Band> {
    let time = |index: usize| Some(places.get(index)?.settings.shutter?.marked);
    let own_time = time(index).filter(|t| *t <= sync_time_s * NEAR_SYNC)?;
    let shot = shots.get(index)?;
    let tiles = |index: usize| shots.get(index).and_then(|s| s.measurement.as_ref()).map(|m| &m.tiles);
    let own = tiles(index)?;
    let one_lens = |a: &Metadata, b: &Metadata| a.lens == b.lens && a.focal_length_mm == b.focal_length_mm;
    let mut slower: Vec<usize> = (0..shots.len())
        .filter(|other| time(*other).is_some_and(|t| t >= own_time * SLOWER && t >= sync_time_s / NEAR_SYNC))
        .filter(|other| shots.get(*other).is_some_and(|other| one_lens(&other.metadata, &shot.metadata)))
        .collect();
    slower.sort_by_key(|other| other.abs_diff(index));
    let compared: Vec<&TileGrid> = slower.iter().filter_map(|other| tiles(*other)).take(COMPARED).collect();
    let mut found: Vec<Band> = compared.iter().filter_map(|other| band::find(own, other)).collect();
    found.sort_by(|a, b| a.share.total_cmp(&b.share));
    let edge = found.first()?.edge;
    let agree = found.iter().all(|band| band.edge == edge) && 2 * found.len() > compared.len();
    found.get(found.len() / 2).copied().filter(|_| agree)
}

/// What a shot shows against the others of its series. Shots whose light failed are compared with nothing.
fn among(shots: &[Shot], series: &Series, boxes: &[Option<[f64; 4]>], standings: &mut [Standing]) {
    let sound = |index: &usize| {
        standings.get(*index).is_some_and(|s| s.missed.is_empty() && s.short.is_empty() && s.band.is_none())
    };
    let figures = |index: &usize| shots.get(*index).and_then(|s| s.measurement.as_ref());
    let own: Vec<usize> = series.shots.iter().copied().filter(sound).collect();
    let veils: Vec<(usize, Veil)> = own
        .iter()
        .filter_map(|index| {
            let mut others: Vec<usize> = own.iter().copied().filter(|other| other != index).collect();
            others.sort_by_key(|other| other.abs_diff(*index));
            let others: Vec<&TileGrid> = others.iter().filter_map(figures).map(|m| &m.tiles).take(AGAINST).collect();
            Some((*index, veil::find(&figures(index)?.tiles, &others)?))
        })
        .collect();
    // A veil takes contrast, and so would count as softness.
    let clear: Vec<usize> =
        own.iter().copied().filter(|index| veils.iter().all(|(veiled, _)| veiled != index)).collect();
    let in_box = clear.iter().all(|index| boxes.get(*index).is_some_and(Option::is_some));
    let sharpness = |index: &usize| match boxes.get(*index).copied().flatten().filter(|_| in_box) {
        Some(percent) => figures(index)?.focus.within(percent),
        None => figures(index)?.sharpness,
    };
    let sharp: Vec<(usize, f64)> = clear.iter().filter_map(|index| Some((*index, sharpness(index)?))).collect();
    let foci = ranked(&sharp, in_box);
    for (index, veil) in veils {
        if let Some(standing) = standings.get_mut(index) {
            standing.veil = Some(veil);
        }
    }
    for (index, focus) in foci {
        if let Some(standing) = standings.get_mut(index) {
            standing.focus = Some(focus);
        }
    }
}

/// Places by sharpness; none of fewer than two figures.
fn ranked(sharp: &[(usize, f64)], on_subject: bool) -> Vec<(usize, Focus)> {
    let figures = || sharp.iter().map(|(_, figure)| *figure);
    let (Some(most), Some(least)) = (figures().max_by(f64::total_cmp), figures().min_by(f64::total_cmp)) else {
        return Vec::new();
    };
    if sharp.len() < 2 || most <= 0.0 {
        return Vec::new();
    }
    // Of several equal ones none is the sharpest, or the softest.
    let alone = |figure: f64| figures().filter(|other| (other / figure - 1.0).abs() < SAME).count() == 1;
    let place = |figure: f64| match figure {
        _ if least / most >= AS_SHARP => Place::Alike,
        f if f >= most && alone(f) => Place::Sharpest,
        f if f <= least && alone(f) => Place::Softest,
        _ => Place::Between,
    };
    sharp.iter().map(|(i, f)| (*i, Focus { of_sharpest: f / most, place: place(*f), on_subject })).collect()
}

#[cfg(test)]
mod tests {
    use super::super::made::{figures, sequence, tiles};
    use super::*;
    use crate::light::{Entry, Setting, ShotLight};

    fn places(figures: &[f64]) -> Vec<Place> {
        let sharp: Vec<(usize, f64)> = figures.iter().copied().enumerate().collect();
        ranked(&sharp, false).into_iter().map(|(_, focus)| focus.place).collect()
    }

    #[test]
    fn one_shot_is_the_sharpest_and_one_the_softest_or_none_is() {
        assert_eq!(places(&[1.0, 0.7, 0.9]), [Place::Sharpest, Place::Softest, Place::Between]);
        assert_eq!(places(&[1.0, 0.9, 0.95]), [Place::Alike; 3], "the sitter's movement makes as much");
        assert_eq!(places(&[1.0, 0.99, 0.5]), [Place::Between, Place::Between, Place::Softest], "two are as sharp");
        assert_eq!(places(&[1.0]), []);
        assert_eq!(places(&[0.0, 0.0]), [], "nothing to see in either");
        let half = ranked(&[(3, 2.0), (4, 1.0)], true);
        assert_eq!(half[1], (4, Focus { of_sharpest: 0.5, place: Place::Softest, on_subject: true }));
    }

    /// The standing of every shot of one burst; `lit` are its lights, shot by shot.
    fn burst(shots: Vec<(f64, TileGrid)>, lit: Vec<Vec<Entry>>) -> Vec<Standing> {
        let shots = shots.into_iter().enumerate();
        let shots = shots.map(|(i, (sharp, tiles))| (if i == 0 { 0.0 } else { 1.0 }, figures(tiles, sharp))).collect();
        let sequences = [sequence(shots)];
        let mut ledger = LightLedger::unknown(&sequences);
        let lights = lit.first().map_or(0, Vec::len);
        ledger.sequences[0].lights = vec![crate::light::Light::default(); lights];
        ledger.sequences[0].shots =
            lit.into_iter().map(|entries| ShotLight { entries, ..ShotLight::default() }).collect();
        let stages = crate::stages::split(&sequences, &ledger, 1.0 / 250.0);
        super::super::look(&sequences, &stages, &ledger, &[], 1.0 / 250.0).standings.remove(0)
    }

    fn entry(misfire: bool) -> Entry {
        let (on, misfire) = if misfire { (Told::No, Told::Yes) } else { (Told::Yes, Told::No) };
        Entry { on, misfire, setting: Setting { on: Told::Yes, ..Setting::default() }, ..Entry::default() }
    }

    fn wall(veil: f64) -> TileGrid {
        tiles(96, 64, |x, y| if (30..60).contains(&x) && y > 20 { 0.3 + veil } else { 0.002 + veil })
    }

    #[test]
    fn a_shot_whose_light_failed_is_compared_with_nothing() {
        let lit =
            vec![vec![entry(false); 2], vec![entry(false), entry(true)], vec![entry(true); 2], vec![entry(false); 2]];
        let found = burst(vec![(1.0, wall(0.0)), (0.2, wall(0.0)), (3.0, wall(0.0)), (0.7, wall(0.0))], lit);
        let places: Vec<_> = found.iter().map(|s| s.focus.map(|f| f.place)).collect();
        assert_eq!(places, [Some(Place::Sharpest), None, None, Some(Place::Softest)]);
        assert_eq!(found.iter().map(|s| s.missed.clone()).collect::<Vec<_>>(), [vec![], vec![1], vec![0, 1], vec![]]);
        assert_eq!(found.iter().map(|s| s.none_burned).collect::<Vec<_>>(), [false, false, true, false]);
    }

    #[test]
    fn a_veiled_shot_is_said_to_be_veiled_and_not_soft() {
        let found = burst(
            vec![(1.0, wall(0.0)), (0.5, wall(0.01)), (0.95, wall(0.0)), (1.0, wall(0.0))],
            vec![vec![entry(false)]; 4],
        );
        assert_eq!(found.iter().map(|s| s.veil.is_some()).collect::<Vec<_>>(), [false, true, false, false]);
        assert!(found[1].focus.is_none() && found[2].focus.is_some_and(|f| f.place == Place::Alike));
    }

    #[test]
    fn a_veil_is_told_against_the_nearest_shots_of_a_long_series() {
        // The air was thick for twenty shots and cleared; of all shots together most are thick, of those around few.
        let veil = |shot: usize| if shot < 20 || shot == 25 { 0.01 } else { 0.0 };
        let found = burst((0..30).map(|shot| (1.0, wall(veil(shot)))).collect(), vec![vec![entry(false)]; 30]);
        assert!(found[25].veil.is_some() && found[24].veil.is_none() && found[26].veil.is_none());
    }

    #[test]
    fn a_channel_is_named_from_a_hundredth_of_the_pixels_on() {
        let mut one = figures(wall(0.0), 1.0);
        one.clipping.highlights_rgb = [10_000, 9_999, 0];
        assert_eq!(clipped(&one), [(0, 1.0)]);
    }
}
