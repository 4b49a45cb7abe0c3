//! The lights of one shot with what brings their own pictures to it.

use crate::assemble::Parts;
use crate::exposure::{self, words};
use crate::light::{AmbientEntry, Entry, Light, SequenceLight, Told as Yes};
use crate::relight::Source;

/// The settings of a camera's shots.
pub struct Dials<'a>(&'a [crate::stages::InStage]);

impl<'a> Dials<'a> {
    pub fn of(parts: &Parts<'a>, sequence: usize) -> Self {
        Self(parts.stages.shots.get(sequence).map_or(&[], Vec::as_slice))
    }

    pub fn of_shot(&self, shot: usize) -> Option<exposure::Settings> {
        Some(self.0.get(shot)?.settings)
    }

    /// What brings flash light from one shot's settings to another's, a factor.
    fn flash(&self, from: usize, to: usize) -> Option<f64> {
        let stops = |shot: usize| self.of_shot(shot).and_then(|s| Some(s.iso?.stops - s.aperture?.stops));
        Some(libm::exp2(stops(to)? - stops(from)?))
    }

    /// The same for light that lasts.
    fn ambient(&self, from: usize, to: usize) -> Option<f64> {
        let stops = |shot: usize| Some(self.of_shot(shot)?.shutter?.stops);
        Some(self.flash(from, to)? * libm::exp2(stops(from)? - stops(to)?))
    }
}

/// One light of a shot, or the ambient, with its words.
pub struct Told<'a> {
    pub name: &'a str,
    /// Its place among the camera's lights; None for the ambient.
    pub light: Option<usize>,
    pub source: Source<'a>,
    /// The entry that its strength at no change comes from; None for the ambient.
    pub entry: Option<&'a Entry>,
    pub zero: String,
    /// The shot of the sequence that no change is told against.
    pub against: usize,
    /// Noted power at no change, stops against full power.
    pub power: Option<f64>,
    pub gel: &'a str,
}

/// Every light that can be set in this shot. An error says why its light cannot be set at all.
pub fn told<'a>(light: &'a SequenceLight, shot: usize, dials: &Dials) -> Result<Vec<Told<'a>>, String> {
    let own = light.shots.get(shot).ok_or("its light is not known")?;
    let mut all = Vec::new();
    for (index, (one, entry)) in light.lights.iter().zip(&own.entries).enumerate() {
        match entry.on {
            Yes::Unknown => return Err(format!("whether {} burns in it is not known", one.name)),
            Yes::Yes => all.push(burning(index, one, entry, shot, dials)?),
            Yes::No => all.extend(waiting(index, one, light, shot, dials)),
        }
    }
    all.extend(ambient(light, &own.ambient, shot, dials));
    if !all.iter().any(|told| told.source.burns) {
        return Err("nothing of its light has a picture of its own".to_owned());
    }
    let grid = |told: &Told| (told.source.picture.columns, told.source.picture.rows);
    let first = all.first().map(grid);
    all.retain(|told| Some(grid(told)) == first);
    Ok(all)
}

/// A light that burns must be known: what is left out of the sum would be taken for other lights'.
fn burning<'a>(
    index: usize,
    light: &'a Light,
    entry: &'a Entry,
    shot: usize,
    dials: &Dials,
) -> Result<Told<'a>, String> {
    let gain = || {
        let own = entry.gain.or_else(|| entry.stops.map(|s| [libm::exp2(s.value); 3]))?;
        let exposure = dials.flash(light.reference_shot?, shot)?;
        Some(own.map(|gain| gain * exposure))
    };
    let known = light.picture.as_ref().zip(gain());
    let (picture, gain) = known.ok_or_else(|| format!("{} burns in it, and how strong is not known", light.name))?;
    let power = entry.setting.noted_power;
    let noted = power.map_or_else(String::new, |p| format!("{}, ", words::power(p)));
    Ok(Told {
        name: &light.name,
        light: Some(index),
        source: Source { picture, gain, burns: true },
        entry: Some(entry),
        zero: format!("{noted}as shot"),
        against: shot,
        power,
        gel: &entry.setting.gel,
    })
}

/// A light that does not burn can be lit as strong as in its reference shot.
fn waiting<'a>(
    index: usize,
    light: &'a Light,
    ledger: &'a SequenceLight,
    shot: usize,
    dials: &Dials,
) -> Option<Told<'a>> {
    let reference = light.reference_shot?;
    let entry = ledger.shots.get(reference)?.entries.get(index)?;
    let exposure = dials.flash(reference, shot)?;
    let power = entry.setting.noted_power;
    let noted = power.map_or_else(String::new, |p| format!("{}, ", words::power(p)));
    Some(Told {
        name: &light.name,
        light: Some(index),
        source: Source { picture: light.picture.as_ref()?, gain: [exposure; 3], burns: false },
        entry: Some(entry),
        zero: format!("off; at 0 {noted}as in its reference shot"),
        against: reference,
        power,
        gel: &entry.setting.gel,
    })
}

/// None where the ambient's picture is not known, or there is too little of it to tell.
fn ambient<'a>(light: &'a SequenceLight, entry: &AmbientEntry, shot: usize, dials: &Dials) -> Option<Told<'a>> {
    let exposure = dials.ambient(light.ambient_reference?, shot)?;
    let gain = libm::exp2(entry.stops?.value) * exposure;
    Some(Told {
        name: "ambient",
        light: None,
        source: Source { picture: light.ambient_picture.as_ref()?, gain: [gain; 3], burns: true },
        entry: None,
        zero: "as shot".to_owned(),
        against: shot,
        power: None,
        gel: "",
    })
}
