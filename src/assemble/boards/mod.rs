//! Boards: the lightings that the page can set anew, their typical shots printed large, and each without one light.

mod alone;
mod exactness;
mod gel;
mod shot;
mod sources;

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use self::shot::{Lit, candidate, lit, shot};
use super::Parts;
use crate::exposure::{dial, words};
use crate::measure::{Picture, Raster};
use crate::next_time::power::COMMON_LOWEST;
use crate::prints::Again;
use crate::relight::tone::Tone;
use crate::relight::{self, Source};
use crate::report::Report;
use crate::report::board_types::{Board, BoardSource, Boards};
use crate::stages::level;
use crate::walk::PhotoFile;

/// Lightings beyond this many get no large picture and no board: the page folds long before.
const MOST_LIGHTINGS: usize = 60;
/// A print is a JPEG of at most so many bytes for each of its pixels, or a little more where it is full of detail.
const BYTES_PER_PIXEL: f64 = 0.14;
/// Better than this no eye tells on a page; dark pictures would take it and grow.
const PRINT_QUALITY: u8 = 88;
/// All boards' shots together take at most so many bytes of the page.
const BOARD_BYTES: usize = 1_800_000;
/// Long side of a board's shot in pixels, at most.
const BOARD_SIDE: u16 = 900;
/// Long side of a preview in pixels, as of every shot.
const PREVIEW_SIDE: u16 = 480;
/// Beside lights' own pictures that cover less than this share of a shot, a board would be mostly hatching.
const LEAST_COVERED: f64 = 0.5;

/// The shots that are shown large: the typical shot of each lighting, and the one whose lights can be set anew.
#[must_use]
pub fn wanted<'a>(parts: &Parts, report: &Report, files: &'a BTreeMap<String, PhotoFile>) -> Vec<Again<'a>> {
    let first = report.lightings.iter().take(MOST_LIGHTINGS);
    let shown: BTreeSet<usize> =
        first.flat_map(|row| [row.detail.typical_index, candidate(parts, &row.detail).0]).collect();
    let again = |index: usize| {
        let (_, _, shot) = shot(parts, index)?;
        let measured = shot.measurement.as_ref()?;
        let file = files.get(&shot.frame)?;
        Some(Again { index, file, orientation: shot.metadata.orientation, size: (measured.width, measured.height) })
    };
    shown.into_iter().filter_map(again).collect()
}

/// Prints, boards and the pictures without one light, from the shots as opened again.
pub fn fill(parts: &Parts, shots: &BTreeMap<usize, Raster>, report: &mut Report) {
    let prints: Vec<(usize, Option<Picture>)> = shots.par_iter().map(|(index, shot)| (*index, print(shot))).collect();
    report.prints = prints.into_iter().filter_map(|(index, picture)| Some((index, picture?))).collect();
    let tones: Vec<Tone> = parts.ledger.sequences.iter().map(|light| Tone::of(light.curve.as_ref())).collect();
    let mut boards = Boards { tones: tones.iter().map(|tone| tone.light.clone()).collect(), ..Boards::default() };
    let (mut own, mut settings) = (OwnPictures::default(), Vec::new());
    for row in report.lightings.iter_mut() {
        if usize::try_from(row.lighting).is_ok_and(|n| n > MOST_LIGHTINGS) {
            row.detail.why_no_board = format!("only the first {MOST_LIGHTINGS} lightings have one");
            continue;
        }
        let (index, why) = candidate(parts, &row.detail);
        let setting = why.map_or_else(|| setting(parts, index, shots, &tones), Err);
        match setting {
            Err(why) => row.detail.why_no_board = why,
            Ok(setting) => {
                row.detail.set_anew_index = Some(index);
                for without in &mut row.detail.without {
                    if let Some(relit) = setting.without(&without.light) {
                        without.print = print(&relit.raster);
                        without.preview = print(&relit.raster.shrunk(PREVIEW_SIDE));
                        without.print_hatched_percent = 100.0 * relit.unknown;
                    }
                }
                boards.boards.push(setting.board(row.lighting, index, &mut own));
                settings.push(setting);
            }
        }
    }
    alone::fill(&settings, report);
    boards.own = own.pictures;
    shrink(&mut boards, shots);
    report.boards = boards;
}

/// As a JPEG whose size follows its number of pixels.
fn print(shot: &Raster) -> Option<Picture> {
    shot.within((f64::from(shot.width) * f64::from(shot.height) * BYTES_PER_PIXEL) as usize, PRINT_QUALITY)
}

/// The shots of all boards, small enough together for one page.
fn shrink(boards: &mut Boards, shots: &BTreeMap<usize, Raster>) {
    let budget = BOARD_BYTES / boards.boards.len().max(1);
    // A JPEG of good quality takes about a quarter of a byte for each pixel (measured on the sample shoot).
    let side = (f64::sqrt(budget as f64 / 0.25 * 1.5) as u16).clamp(360, BOARD_SIDE);
    boards.boards.par_iter_mut().for_each(|board| {
        let made = shots.get(&board.frame_index).and_then(|shot| shot.shrunk(side).within(budget, 100));
        if let Some(picture) = made {
            board.picture = picture;
        }
    });
}

/// A shot with everything it can be set anew with.
struct Setting<'a> {
    lit: Lit<'a>,
    board: relight::Board<'a>,
    sync_time_s: f64,
}

/// The shot's board, or in words why it can have none.
fn setting<'a>(
    parts: &Parts<'a>,
    index: usize,
    shots: &'a BTreeMap<usize, Raster>,
    tones: &'a [Tone],
) -> Result<Setting<'a>, String> {
    let lit = lit(parts, index)?;
    let frame = &lit.shot.frame;
    let raster = shots.get(&index).ok_or_else(|| format!("{frame} could not be opened a second time"))?;
    let tone = tones.get(lit.sequence).ok_or_else(|| "its tone curve is not known".to_owned())?;
    let sources = lit.sources.iter().map(|told| told.source).collect();
    let board = relight::Board { shot: raster, place: lit.place, tone, sources };
    let covered = covered(&board);
    if covered < LEAST_COVERED {
        let percent = libm::round(covered * 100.0);
        return Err(format!("another framing: the lights’ own pictures reach over {percent} % of {frame} only"));
    }
    Ok(Setting { lit, board, sync_time_s: parts.sync_time_s })
}

/// Share of the shot of which is known what each of its lights does, 0..=1.
fn covered(board: &relight::Board) -> f64 {
    let points = Raster { width: 48, height: 48, codes: vec![[128; 3]; 48 * 48] };
    let mut factors = board.as_shot();
    // Any change that is not the same for all asks every tile.
    if let Some(first) = factors.iter_mut().find(|factor| **factor == [1.0; 3]) {
        *first = [0.5, 0.5, 0.25];
    }
    let relit = relight::Board { shot: &points, ..board.clone() }.set(&factors);
    relit.map_or(0.0, |relit| 1.0 - relit.unknown)
}

impl Setting<'_> {
    /// The shot without one of its lights.
    fn without(&self, light: &str) -> Option<relight::Relit> {
        let left_out = self.lit.sources.iter().position(|told| told.name == light && told.source.burns)?;
        let mut factors = self.board.as_shot();
        *factors.get_mut(left_out)? = [0.0; 3];
        self.board.set(&factors)
    }

    /// The lowest power at which this light was noted on, stops against full, and no less than what many flashes reach.
    fn lowest(&self, told: &sources::Told) -> f64 {
        let entries = self.lit.light.shots.iter().filter_map(|shot| shot.entries.get(told.light?));
        entries.filter_map(|entry| entry.setting.noted_power).fold(COMMON_LOWEST, f64::min)
    }

    fn board(&self, lighting: u32, frame_index: usize, own: &mut OwnPictures) -> Board {
        let level_stops = level(self.lit.shot).unwrap_or(f64::NEG_INFINITY);
        let whole: f64 = self.lit.sources.iter().filter(|told| told.source.burns).map(|t| luminance(&t.source)).sum();
        let source = |told: &sources::Told| {
            let share = luminance(&told.source) / whole;
            let gel = gel::gel(self.lit.light, told);
            BoardSource {
                name: told.name.to_owned(),
                light: told.light,
                own: own.number(self.lit.sequence, told),
                gain: told.source.gain,
                burns: told.source.burns,
                level_stops: Some(level_stops + libm::log2(share)).filter(|stops| stops.is_finite()),
                zero: told.zero.clone(),
                against_index: frame_index - self.lit.number + told.against,
                power: told.power,
                low: self.lowest(told),
                gel: told.gel.to_owned(),
                without_gel: gel.as_ref().ok().copied().flatten(),
                why_gel_stays: gel.err().unwrap_or_default(),
            }
        };
        Board {
            lighting,
            frame_index,
            tone: self.lit.sequence,
            picture: Picture { width: 0, height: 0, jpeg: Vec::new().into() },
            place: self.board.place,
            level_stops,
            marked: words::settings(&self.lit.settings),
            sources: self.lit.sources.iter().map(source).collect(),
            dials: dial::around(&self.lit.settings, self.sync_time_s).unwrap_or_default(),
            exactness: exactness::sentences(
                self.lit.shot,
                &self.board,
                self.lit.sources.iter().any(|told| told.light.is_none()),
            ),
        }
    }
}

/// Mean luminance that a source gives over its own picture, where that is known.
fn luminance(source: &Source) -> f64 {
    let known = source.picture.linear.iter().zip(&source.picture.missing).filter(|(_, missing)| !**missing);
    let weights = crate::measure::LUMINANCE_WEIGHTS;
    let of = |light: &[f32; 3]| -> f64 {
        light.iter().zip(source.gain).zip(weights).map(|((l, gain), weight)| f64::from(*l) * gain * weight).sum()
    };
    let (sum, count) = known.fold((0.0, 0), |(sum, count), (light, _)| (sum + of(light), count + 1));
    if count > 0 { sum / f64::from(count) } else { 0.0 }
}

/// Own pictures met so far, each once.
#[derive(Default)]
struct OwnPictures {
    pictures: Vec<crate::light::LightPicture>,
    met: Vec<(usize, Option<usize>)>,
}

impl OwnPictures {
    fn number(&mut self, sequence: usize, told: &sources::Told) -> usize {
        let key = (sequence, told.light);
        self.met.iter().position(|met| *met == key).unwrap_or_else(|| {
            self.met.push(key);
            self.pictures.push(told.source.picture.clone());
            self.met.len() - 1
        })
    }
}
