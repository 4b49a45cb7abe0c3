//! Which shot of a lighting can be set anew, and what is known of its light.

use super::sources;
use crate::assemble::Parts;
use crate::exposure::Settings;
use crate::light::{Place, SequenceLight};
use crate::report::light_types::LightingDetail;
use crate::shots::Shot;
use crate::stages::level;

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

/// The shot of a lighting whose lights can be told and placed: the typical one, else the one nearest to it in level, those
/// of its stage first; where there is none, the typical one and why it is not.
pub fn candidate(parts: &Parts, detail: &LightingDetail) -> (usize, Option<String>) {
    let typical = detail.typical_index;
    let why = match lit(parts, typical) {
        Ok(_) => return (typical, None),
        Err(why) => why,
    };
    let level_of = |index: usize| shot(parts, index).and_then(|(_, _, shot)| level(shot));
    let Some((wanted, sequence)) = level_of(typical).zip(parts.sequences.get(detail.sequence)) else {
        return (typical, Some(why));
    };
    let before: usize = parts.sequences.iter().take(detail.sequence).map(|s| s.shots.len()).sum();
    let members = |stage: &u32| {
        let stage = *stage;
        parts.stages.members(stage).into_iter().map(move |shot| (stage, before + shot))
    };
    let mut others: Vec<(bool, f64, usize)> = detail
        .stage_numbers
        .iter()
        .flat_map(members)
        .filter(|(_, index)| *index < before + sequence.shots.len() && lit(parts, *index).is_ok())
        .filter_map(|(stage, index)| {
            Some((stage != detail.typical_stage, libm::fabs(level_of(index)? - wanted), index))
        })
        .collect();
    others.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    others.first().map_or((typical, Some(why)), |(_, _, index)| (*index, None))
}
