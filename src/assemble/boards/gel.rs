//! What taking a gel away does to a light: told only from the light itself, seen without it at a noted power.

use super::sources::Told;
use crate::light::{Entry, SequenceLight, Told as Yes};
use crate::stages::as_set::median;

/// Channel factors, None where there is no gel; the error says why the gel stays.
pub fn gel(light: &SequenceLight, told: &Told) -> Result<Option<[f64; 3]>, String> {
    let (Some(index), Some(entry)) = (told.light, told.entry) else { return Ok(None) };
    if told.gel.is_empty() {
        return Ok(None);
    }
    let bare =
        |e: &&Entry| e.on == Yes::Yes && e.setting.gel.is_empty() && e.setting.modifier == entry.setting.modifier;
    let per_power = |e: &Entry| {
        let full = libm::exp2(-e.setting.noted_power?);
        Some(e.gain?.map(|gain| gain * full))
    };
    let seen: Vec<&Entry> = light.shots.iter().filter_map(|shot| shot.entries.get(index)).filter(bare).collect();
    if seen.is_empty() {
        return Err(format!("{} was not seen without its gel", told.name));
    }
    let without: Vec<[f64; 3]> = seen.into_iter().filter_map(per_power).collect();
    let with = per_power(entry);
    let known = with.filter(|_| !without.is_empty());
    let with = known.ok_or_else(|| format!("the powers of {} with and without its gel are not known", told.name))?;
    let mut factors = [0.0; 3];
    for (channel, (factor, with)) in factors.iter_mut().zip(with).enumerate() {
        let values = without.iter().filter_map(|gain| gain.get(channel).copied()).collect();
        *factor = median(values).unwrap_or(0.0) / with;
    }
    let sound = factors.iter().all(|factor| factor.is_finite() && *factor > 0.0);
    if sound { Ok(Some(factors)) } else { Err(format!("a channel of {} has no light behind its gel", told.name)) }
}
