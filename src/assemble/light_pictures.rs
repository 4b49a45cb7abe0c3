//! The lights' own pictures, and each lighting with one light left out: sums in linear light, brought to one exposure.

use crate::exposure::Settings;
use crate::light::{LightPicture, SequenceLight};
use crate::report::light_types::{AmbientState, LightState, LitPicture};
use crate::report::{LightingRow, Report};

use super::seen::Ninths;
use super::{Parts, develop};

/// Lightings beyond this many get no sums: the page folds long before.
const MOST_LIGHTINGS: usize = 60;

/// Makes all pictures and lets the report's lights, cameras and lightings name theirs.
pub fn fill(parts: &Parts, report: &mut Report) {
    let mut pictures = Pictures { made: Vec::new() };
    let (mut first_light, mut lightings) = (0, report.lightings.iter_mut().take(MOST_LIGHTINGS).peekable());
    for (s, light) in parts.ledger.sequences.iter().enumerate() {
        for (own, detail) in light.lights.iter().zip(report.lights.iter_mut().skip(first_light)) {
            let how = if own.has_solo { "by itself" } else { "by itself, worked out" };
            let caption = format!("{} {how}, as in {}", detail.light, detail.reference_frame);
            detail.picture = own.picture.as_ref().and_then(|p| pictures.own(p, caption));
            let seen = own.picture.as_ref().and_then(|p| Ninths::of(p).strongest("strongest"));
            detail.shows = seen.unwrap_or_default();
        }
        if let (Some(picture), Some(camera)) = (&light.ambient_picture, report.light_by_camera.get_mut(s)) {
            let caption = format!("the ambient by itself, as in {}", camera.ambient_reference_frame);
            camera.ambient_picture = pictures.own(picture, caption);
        }
        let summing = Summing { parts, sequence: s, light, first_light };
        while let Some(row) = lightings.next_if(|row| row.detail.sequence == s) {
            summing.lighting(row, &mut pictures);
        }
        first_light += light.lights.len();
    }
    report.light_pictures = pictures.made;
}

/// The pictures made so far.
struct Pictures {
    made: Vec<LitPicture>,
}

impl Pictures {
    fn own(&mut self, picture: &LightPicture, caption: String) -> Option<usize> {
        self.add(develop::develop(picture, develop::shows_well(picture), caption))
    }

    fn add(&mut self, picture: Option<LitPicture>) -> Option<usize> {
        self.made.push(picture?);
        Some(self.made.len() - 1)
    }
}

/// What the sums of one camera's lightings are made from.
struct Summing<'a> {
    parts: &'a Parts<'a>,
    sequence: usize,
    light: &'a SequenceLight,
    first_light: usize,
}

/// One picture and how much of each channel of it takes part.
type Part<'a> = (&'a LightPicture, [f64; 3]);

impl Summing<'_> {
    fn lighting(&self, row: &mut LightingRow, pictures: &mut Pictures) {
        let detail = &mut row.detail;
        let stage = self.parts.stages.stages.get((detail.typical_stage as usize).wrapping_sub(1));
        let Some(target) = stage.map(|stage| stage.settings) else { return };
        let states = &detail.light_account.each_light;
        // A light of which nobody knows whether it is on may be missing from any sum.
        if states.iter().any(|s| s.on == "unknown") {
            return;
        }
        let on: Vec<&LightState> = states.iter().filter(|s| s.on == "yes").collect();
        let parts: Option<Vec<Part>> = on.iter().map(|state| self.part(state, &target)).collect();
        let Some(parts) = parts else { return };
        let ambient = self.ambient(&detail.light_account.ambient, &target);
        let only = if ambient.is_some() { "" } else { ", flash light only" };
        let sum_of = |left_out: Option<usize>| {
            let kept = parts.iter().enumerate().filter(|(index, _)| Some(*index) != left_out).map(|(_, part)| *part);
            sum(&kept.chain(ambient).collect::<Vec<_>>())
        };
        let Some(whole) = sum_of(None) else { return };
        let scale = develop::as_shot_or_shows_well(&whole);
        let caption = format!("lighting {}, all its light{only}", row.lighting);
        detail.whole_picture = pictures.add(develop::develop(&whole, scale, caption));
        for (index, without) in detail.without.iter_mut().enumerate() {
            let caption = format!("lighting {} without {}{only}", row.lighting, without.light);
            let Some(less) = sum_of(Some(index)) else { continue };
            // Without the ambient in the sums a loss would be told too large.
            if ambient.is_some() {
                without.shows = Ninths::of(&whole).loses_most(&Ninths::of(&less)).unwrap_or_default();
            }
            without.picture = pictures.add(develop::develop(&less, scale, caption));
        }
    }

    fn part(&self, state: &LightState, target: &Settings) -> Option<Part<'_>> {
        let own = self.light.lights.get(state.light_index.checked_sub(self.first_light)?)?;
        let exposure = libm::exp2(flash(target)? - flash(&self.settings(own.reference_shot?)?)?);
        let gain = state.gain.or_else(|| state.stops.map(|s| [libm::exp2(s); 3]))?;
        Some((own.picture.as_ref()?, gain.map(|g| g * exposure)))
    }

    /// None where the ambient's picture is not known, or there is too little of it to tell.
    fn ambient(&self, state: &AmbientState, target: &Settings) -> Option<Part<'_>> {
        let reference = self.settings(self.light.ambient_reference?)?;
        let exposure = ambient(target)? - ambient(&reference)?;
        Some((self.light.ambient_picture.as_ref()?, [libm::exp2(state.stops? + exposure); 3]))
    }

    fn settings(&self, shot: usize) -> Option<Settings> {
        Some(self.parts.stages.shots.get(self.sequence)?.get(shot)?.settings)
    }
}

/// How much flash light these settings take in, in stops.
fn flash(settings: &Settings) -> Option<f64> {
    Some(settings.iso?.stops - settings.aperture?.stops)
}

/// The same for light that lasts.
fn ambient(settings: &Settings) -> Option<f64> {
    Some(flash(settings)? - settings.shutter?.stops)
}

/// The sum of pictures of one grid; what is missing in one is missing in the sum. None of none.
fn sum(parts: &[Part]) -> Option<LightPicture> {
    let (first, _) = parts.first()?;
    let tiles = first.linear.len();
    let mut sum = LightPicture {
        columns: first.columns,
        rows: first.rows,
        linear: vec![[0.0; 3]; tiles],
        missing: vec![false; tiles],
    };
    for (picture, gain) in parts {
        if (picture.columns, picture.rows) != (sum.columns, sum.rows) {
            return None;
        }
        for (total, own) in sum.linear.iter_mut().zip(&picture.linear) {
            for ((total, own), gain) in total.iter_mut().zip(own).zip(gain) {
                *total += own * *gain as f32;
            }
        }
        sum.missing.iter_mut().zip(&picture.missing).for_each(|(total, own)| *total |= own);
    }
    Some(sum)
}
