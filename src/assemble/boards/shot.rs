//! Which shot of a lighting can be set anew, and what is known of its light.

use super::sources;
use crate::assemble::Parts;
use crate::exposure::Settings;
use crate::light::{Place, SequenceLight};
use crate::report::light_types::LightingDetail;
use crate::shots::Shot;
use crate::stages::level;

/// A shot serves as well as another where it shows at least this share of what that one shows.
const AS_WELL: f64 = 0.8;
/// Under this linear light (code value 12) a tile shows noise.
const NOISE: u16 = 240;

/// The shot of an index into the report's frames: its camera's number and its own among that camera's.
pub fn shot<'a>(parts: &Parts<'a>, index: usize) -> Option<(usize, usize, &'a Shot)> {
    let mut before = 0;
    for (s, sequence) in parts.sequences.iter().enumerate() {
        if let Some(shot) = sequence.shots.get(index - before) {
            return Some((s, index - before, shot));
        }
        before += sequence.shots.len();
    }
    None
}

/// A shot of which it is known where it lies and what each of its lights gives.
pub struct Lit<'a> {
    pub shot: &'a Shot,
    pub light: &'a SequenceLight,
    pub sequence: usize,
    /// Its number among its camera’s shots.
    pub number: usize,
    pub settings: Settings,
    pub place: Place,
    pub sources: Vec<sources::Told<'a>>,
}

/// The error says in words why the shot cannot be set anew.
pub fn lit<'a>(parts: &Parts<'a>, index: usize) -> Result<Lit<'a>, String> {
    let missing = || "its light is not known".to_owned();
    let (sequence, number, shot) = shot(parts, index).ok_or_else(missing)?;
    let frame = &shot.frame;
    let light = parts.ledger.sequences.get(sequence).ok_or_else(missing)?;
    let own = light.shots.get(number).ok_or_else(missing)?;
    if !own.not_comparable.is_empty() {
        return Err(format!("{frame} cannot be compared with other shots: {}", own.not_comparable));
    }
    let place = own.place.ok_or_else(|| format!("{frame} could not be laid over the other shots"))?;
    let dials = sources::Dials::of(parts, sequence);
    let settings = dials.of_shot(number).ok_or_else(missing)?;
    let sources = sources::told(light, number, &dials).map_err(|why| format!("{frame}: {why}"))?;
    Ok(Lit { shot, light, sequence, number, settings, place, sources })
}

/// The shot of a lighting that is set anew: of those whose light is told and that show enough, neither clipped nor black,
/// the typical one, else the one nearest to it in level, those of its stage first. Where no shot's light is told, the
/// typical one comes with why it is not.
pub fn candidate(parts: &Parts, detail: &LightingDetail) -> (usize, Option<String>) {
    let typical = detail.typical_index;
    let level_of = |index: usize| shot(parts, index).and_then(|(_, _, shot)| level(shot)).unwrap_or(f64::NEG_INFINITY);
    let before: usize = parts.sequences.iter().take(detail.sequence).map(|s| s.shots.len()).sum();
    let members = |stage: &u32| {
        let stage = *stage;
        parts.stages.members(stage).into_iter().map(move |shot| (stage, before + shot))
    };
    let told: Vec<(u32, usize, f64)> = detail
        .stage_numbers
        .iter()
        .flat_map(members)
        .filter(|(_, index)| lit(parts, *index).is_ok())
        .map(|(stage, index)| (stage, index, shows(parts, index)))
        .collect();
    let most = told.iter().map(|told| told.2).fold(0.0, f64::max);
    // The rank: shows less, another shot, of another stage, far in level, late.
    let mut ranked: Vec<((bool, bool, bool), f64, usize)> = told
        .into_iter()
        .map(|(stage, index, shows)| {
            let rank = (shows < AS_WELL * most, index != typical, stage != detail.typical_stage);
            (rank, libm::fabs(level_of(index) - level_of(typical)), index)
        })
        .collect();
    ranked.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    match ranked.first() {
        Some((_, _, index)) => (*index, None),
        None => (typical, lit(parts, typical).err().or_else(|| Some("no shot’s light is told".to_owned()))),
    }
}

/// Share of a shot's tiles that are neither clipped nor black, 0..=1: elsewhere other light would show little but noise.
fn shows(parts: &Parts, index: usize) -> f64 {
    let Some(measured) = shot(parts, index).and_then(|(_, _, shot)| shot.measurement.as_ref()) else { return 0.0 };
    let tiles = &measured.tiles;
    let shown = |(mean, clipped): (&[u16; 3], &u8)| *clipped == 0 && mean.iter().any(|light| *light > NOISE);
    let count = tiles.means.iter().zip(&tiles.clipped).filter(|tile| shown(*tile)).count();
    count as f64 / tiles.means.len().max(1) as f64
}
