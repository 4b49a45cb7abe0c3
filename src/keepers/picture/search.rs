//! The search for one export: likely places by corners, likely shots by tiles, then exact comparison of the best

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use std::collections::BTreeMap;

use super::align::{Free, Target};
use super::blocks;
use super::decide::{Candidate, decide};
use super::features::{self, Feature, Pattern};
use super::index::Index;
use super::place::Place;
use super::plane::Plane;
use super::{border, decode, likes, settle, vote};
use crate::measure::Measurement;

/// Planes of the pyramid: an export may show a detail up to twice as large as the shot.
const SHOT_PLANES: i32 = 4;
const EXPORT_PLANES: i32 = 7;
/// Leaders whose followers are looked at.
const LEADERS: usize = 60;
/// Places of the most voted leaders that are tried on all shots.
const COMMON: usize = 2;
/// Share of the export that must lie on a shot; a border lies outside.
const INSIDE: f64 = 0.7;
/// Shots laid exactly on tiles, and on previews.
const ON_TILES: usize = 40;
const ON_PREVIEWS: usize = 12;
/// Shots whose likeness on tiles is so much below the best are left out.
const BEHIND: f64 = 0.3;
/// Shots whose rest is so close to the best, as a natural logarithm, are settled, and how often.
const CLOSE: f64 = 0.5;
const SETTLINGS: usize = 3;
/// Radius of local normalisation on tiles and on previews, in pixels, and the spread of noise in code values.
const TILE_RADIUS: usize = 3;
const TILE_NOISE: f32 = 1.0;
const PREVIEW_RADIUS: usize = 7;
const PREVIEW_NOISE: f32 = 2.0;

/// A shoot, prepared once for all exports.
pub struct Shoot<'a> {
    shots: &'a [&'a Measurement],
    /// Locally normalised tiles of every shot.
    tiles: Vec<Plane>,
    /// Like shots with the place of their leader on each, in tiles; the leader first.
    groups: Vec<Vec<(usize, Place)>>,
    leaders: Vec<Vec<Feature>>,
    pattern: Pattern,
}

struct Likely {
    shot: usize,
    /// From the export's preview to the shot's, in pixels.
    place: Place,
    likeness: f64,
}

impl<'a> Shoot<'a> {
    pub fn new(shots: &'a [&'a Measurement]) -> Self {
        let roots: Vec<Plane> = shots.par_iter().map(|shot| decode::tiles(&shot.tiles)).collect();
        let groups = likes::groups(&roots);
        let tiles: Vec<Plane> = roots.par_iter().map(|plane| plane.normalised(TILE_RADIUS, TILE_NOISE)).collect();
        let pattern = Pattern::new();
        let leaders = groups.par_iter().map(|group| {
            let shot = group.first().and_then(|leader| shots.get(*leader));
            let preview = shot.and_then(|shot| decode::grey(&shot.preview));
            preview.map_or_else(Vec::new, |preview| features::features(&preview, SHOT_PLANES, &pattern))
        });
        let leaders = leaders.collect();
        let groups = groups.par_iter().map(|group| placed(group, &tiles)).collect();
        Self { shots, tiles, groups, leaders, pattern }
    }

    pub fn index(&self) -> Index<'_> {
        Index::new(self.leaders.iter().map(Vec::as_slice).collect())
    }

    /// The shots that explain an export best, laid exactly under it.
    pub fn candidates(&self, export: &Measurement, index: &Index) -> Vec<Candidate> {
        let Some(preview) = decode::grey(&export.preview).map(|plane| border::without(&plane)) else {
            return Vec::new();
        };
        let places = self.places(&preview, index);
        let likely = self.likely(&preview, &places);
        self.exact(&preview, &likely)
    }

    /// Groups with the place of the export on their leader, the most votes first.
    fn places(&self, preview: &Plane, index: &Index) -> Vec<(usize, Place)> {
        let own = features::features(preview, EXPORT_PLANES, &self.pattern);
        let pairs = index.pairs(&own);
        let mut found = Vec::new();
        for pairs in pairs.chunk_by(|a, b| a.picture == b.picture) {
            let Some(group) = pairs.first().map(|pair| pair.picture as usize) else { continue };
            let Some(leader) = self.leaders.get(group) else { continue };
            if let Some((place, votes)) =
                (pairs.len() >= vote::LEAST).then(|| vote::place(&own, leader, pairs)).flatten()
            {
                found.push((votes, group, place));
            }
        }
        found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
        found.truncate(LEADERS);
        found.into_iter().map(|(_, group, place)| (group, place)).collect()
    }

    /// Shots, each at its best place, the likest first: those of the groups that were voted for, at their leaders'
    /// places, and all others where the most voted leaders have the export, since a tripod keeps places.
    fn likely(&self, preview: &Plane, places: &[(usize, Place)]) -> Vec<Likely> {
        let mut targets = Targets::new(preview);
        let mut likely: Vec<Likely> = Vec::new();
        let mut look = |shot: usize, place: Place, targets: &mut Targets| {
            let (Some(figures), Some(tiles)) = (self.shots.get(shot), self.tiles.get(shot)) else { return };
            let (target, on_tiles) = targets.on_tiles(figures, &place);
            let (likeness, inside) = target.coarse.likeness(tiles, &on_tiles);
            if inside > INSIDE {
                likely.push(Likely { shot, place, likeness });
            }
        };
        for (group, place) in places {
            for (shot, leader_on_shot) in self.groups.get(*group).into_iter().flatten() {
                let Some(figures) = self.shots.get(*shot) else { continue };
                let (across, down) = shot_scale(figures);
                let on_shot = leader_on_shot.rescaled((1.0 / across, 1.0 / down), (1.0 / across, 1.0 / down));
                look(*shot, place.then(&on_shot), &mut targets);
            }
        }
        for (_, place) in places.iter().take(COMMON) {
            (0..self.shots.len()).for_each(|shot| look(shot, *place, &mut targets));
        }
        best_first(&mut likely, ON_TILES, f64::INFINITY);
        for one in &mut likely {
            let (Some(shot), Some(tiles)) = (self.shots.get(one.shot), self.tiles.get(one.shot)) else { continue };
            let (target, on_tiles) = targets.on_tiles(shot, &one.place);
            let settled = target.fine.align(tiles, on_tiles, 8);
            let (likeness, _) = target.fine.likeness(tiles, &settled);
            let (from, to) = (target.scale, shot_scale(shot));
            let (before, _) = target.fine.likeness(tiles, &on_tiles);
            one.likeness = before.max(likeness);
            if likeness > before {
                one.place = settled.rescaled((1.0 / from.0, 1.0 / from.1), (1.0 / to.0, 1.0 / to.1));
            }
        }
        best_first(&mut likely, ON_PREVIEWS, BEHIND);
        likely
    }

    fn exact(&self, preview: &Plane, likely: &[Likely]) -> Vec<Candidate> {
        let Some(best) = likely.first() else { return Vec::new() };
        // One size for all: the best candidate's.
        let scale = best.place.scale().min(1.5);
        let export = preview.scaled(scale);
        let from = (export.width as f64 / preview.width as f64, export.height as f64 / preview.height as f64);
        let target = Target::new(&export.normalised(PREVIEW_RADIUS, PREVIEW_NOISE), Free::Linear, 8, 6);
        let mut found = Vec::new();
        for one in likely {
            let shot = self.shots.get(one.shot).and_then(|shot| decode::colours(&shot.preview));
            let Some(shot) = shot else { continue };
            let normal = decode::luma(&shot).normalised(PREVIEW_RADIUS, PREVIEW_NOISE);
            let place = target.align(&normal, one.place.rescaled(from, (1.0, 1.0)), 15);
            let (likeness, inside) = target.likeness(&normal, &place);
            let Some(laid) = blocks::laid(&export, &shot, &place) else { continue };
            let blocks = blocks::compare(&export, &laid);
            let candidate = Candidate { shot: one.shot, likeness, inside, blocks };
            found.push((candidate.rest(), candidate, shot, laid, place));
        }
        // Those that are close to the best are settled before they are weighed against each other.
        let best = found.iter().map(|(rest, ..)| *rest).fold(f64::INFINITY, f64::min);
        let mut done = Vec::new();
        for (rest, mut candidate, shot, mut laid, mut place) in found {
            let mut rest = rest;
            for _ in 0..if rest <= best + CLOSE { SETTLINGS } else { 0 } {
                let Some(next) = settle::settled(&export, &laid.predicted, &laid.used, &place) else { break };
                let Some(again) = blocks::laid(&export, &shot, &next) else { break };
                let blocks = blocks::compare(&export, &again);
                let settled = Candidate { blocks, ..candidate.clone() };
                if settled.rest() >= rest {
                    break;
                }
                (rest, candidate, laid, place) = (settled.rest(), settled, again, next);
            }
            done.push(candidate);
        }
        done
    }

    /// The shots that explain an export.
    pub fn find(&self, export: &Measurement, index: &Index) -> Vec<usize> {
        decide(&self.candidates(export, index))
    }
}

/// A group with the place of its leader on every member, in tiles.
fn placed(group: &[usize], tiles: &[Plane]) -> Vec<(usize, Place)> {
    let Some(leader) = group.first().and_then(|leader| tiles.get(*leader)) else { return Vec::new() };
    let target = (group.len() > 1).then(|| Target::new(leader, Free::Similar, 2, 1));
    let member = |shot: &usize| {
        let still = Place::similar(1.0, 0.0, 0.0, 0.0);
        let (Some(target), Some(tiles)) = (&target, tiles.get(*shot)) else { return (*shot, still) };
        let moved = target.align(tiles, still, 10);
        let better = target.likeness(tiles, &moved).0 > target.likeness(tiles, &still).0;
        (*shot, if better { moved } else { still })
    };
    group.iter().map(member).collect()
}

/// Each shot once, the likest first, at most so many, none far behind the best.
fn best_first(likely: &mut Vec<Likely>, most: usize, behind: f64) {
    likely.sort_by(|a, b| a.shot.cmp(&b.shot).then(b.likeness.total_cmp(&a.likeness)));
    likely.dedup_by_key(|one| one.shot);
    likely.sort_by(|a, b| b.likeness.total_cmp(&a.likeness).then(a.shot.cmp(&b.shot)));
    likely.truncate(most);
    let best = likely.first().map_or(0.0, |one| one.likeness);
    likely.retain(|one| one.likeness >= best - behind);
}

/// Tiles per pixel of a shot's preview.
fn shot_scale(shot: &Measurement) -> (f64, f64) {
    let ratio = |tiles: u16, pixels: u16| f64::from(tiles) / f64::from(pixels.max(1));
    (ratio(shot.tiles.columns, shot.preview.width), ratio(shot.tiles.rows, shot.preview.height))
}

/// The export at the sizes that shots' tiles ask for, each made once.
struct Targets<'a> {
    preview: &'a Plane,
    made: BTreeMap<(usize, usize), OnTiles>,
}

struct OnTiles {
    coarse: Target,
    fine: Target,
    /// Its pixels per pixel of the export's preview.
    scale: (f64, f64),
}

impl<'a> Targets<'a> {
    fn new(preview: &'a Plane) -> Self {
        Self { preview, made: BTreeMap::new() }
    }

    /// The export at the size of a shot's tiles, and its place there.
    fn on_tiles(&mut self, shot: &Measurement, place: &Place) -> (&OnTiles, Place) {
        let to = shot_scale(shot);
        let factor = place.scale().min(1.5) * to.0;
        let (wide, high) = (self.preview.width as f64, self.preview.height as f64);
        // Sizes in steps of two pixels: one size serves all places that are nearly alike.
        let side = |length: f64| 2 * ((length * factor / 2.0 + 0.5) as usize).max(2);
        let (width, height) = (side(wide), side(high));
        let preview = self.preview;
        let made = self.made.entry((width, height)).or_insert_with(|| {
            let small = preview.resized(width, height).normalised(TILE_RADIUS, TILE_NOISE);
            OnTiles {
                coarse: Target::new(&small, Free::Similar, 2, 1),
                fine: Target::new(&small, Free::Similar, 1, 1),
                scale: (width as f64 / wide, height as f64 / high),
            }
        });
        let place = place.rescaled(made.scale, to);
        (made, place)
    }
}
