//! From pairs of like corners to a place: each pair proposes shift, turn and scale, and the others vote
//!
//! Random sampling (Fischler and Bolles 1981) without chance: a corner has a direction and a size, so one pair is a
//! whole proposal, and the likest pairs propose.

use super::features::Feature;
use super::index::Pair;
use super::place::Place;

/// Votes that make a place worth looking at. Nothing is decided by them.
pub const LEAST: usize = 5;
/// The likest pairs, that propose.
const PROPOSALS: usize = 100;
/// Corners of a shot that one corner of the export may be.
const CHOICES: usize = 2;
/// How far a corner may lie from where a single pair puts it, in pixels of the preview, and after fitting.
const WIDE: f64 = 14.0;
const NARROW: f64 = 3.0;
/// Shot pixels per export pixel: a crop to 60 % and some straightening make an export larger, a border smaller.
const SCALES: (f64, f64) = (0.35, 1.5);

/// The place with the most votes.
pub fn place(export: &[Feature], shot: &[Feature], pairs: &[Pair]) -> Option<(Place, usize)> {
    // Pairs of one corner of the export follow each other, the likest first.
    let mine = pairs.chunk_by(|a, b| a.export_feature == b.export_feature).flat_map(|own| own.iter().take(CHOICES));
    let points: Vec<Match> = mine.filter_map(|pair| Match::new(export, shot, pair)).collect();
    let mut likest: Vec<(u32, usize)> = points.iter().enumerate().map(|(i, point)| (point.distance, i)).collect();
    likest.sort_unstable();
    let mut best: Option<(Place, usize)> = None;
    for proposal in likest.iter().take(PROPOSALS).filter_map(|(_, number)| points.get(*number)) {
        let Some(first) = proposal.place() else { continue };
        let votes = count(&points, &first, WIDE);
        if votes < LEAST || best.as_ref().is_some_and(|(_, most)| votes <= *most) {
            continue;
        }
        best = Some((first, votes));
    }
    let (mut place, _) = best?;
    for reach in [WIDE, 6.0, NARROW, NARROW] {
        let near: Vec<_> = points.iter().filter(|m| m.off(&place) <= reach).map(|m| (m.export, m.shot)).collect();
        place = Place::fit(&near)?;
    }
    let votes = count(&points, &place, NARROW);
    (votes >= LEAST && (SCALES.0..SCALES.1).contains(&place.scale())).then_some((place, votes))
}

/// Corners of the export that lie where a place puts them, each counted once.
fn count(points: &[Match], place: &Place, reach: f64) -> usize {
    let mut last = None;
    let mut votes = 0;
    for point in points {
        if point.off(place) <= reach && last != Some(point.number) {
            last = Some(point.number);
            votes += 1;
        }
    }
    votes
}

struct Match {
    number: u32,
    distance: u32,
    export: [f64; 2],
    shot: [f64; 2],
    turn: f64,
    scale: f64,
}

impl Match {
    fn new(export: &[Feature], shot: &[Feature], pair: &Pair) -> Option<Self> {
        let (from, to) = (export.get(pair.export_feature as usize)?, shot.get(pair.feature as usize)?);
        Some(Self {
            number: pair.export_feature,
            distance: pair.distance,
            export: [f64::from(from.x), f64::from(from.y)],
            shot: [f64::from(to.x), f64::from(to.y)],
            turn: f64::from(to.angle - from.angle),
            scale: f64::from(to.size / from.size),
        })
    }

    fn place(&self) -> Option<Place> {
        if !(SCALES.0..SCALES.1).contains(&self.scale) {
            return None;
        }
        let (p, q) = (self.scale * libm::cos(self.turn), self.scale * libm::sin(self.turn));
        let ([x, y], [u, v]) = (self.export, self.shot);
        Some(Place::similar(p, q, u - p * x + q * y, v - q * x - p * y))
    }

    fn off(&self, place: &Place) -> f64 {
        let ([x, y], [u, v]) = (self.export, self.shot);
        let (px, py) = place.of(x, y);
        libm::sqrt((px - u) * (px - u) + (py - v) * (py - v))
    }
}
