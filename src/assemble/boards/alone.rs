//! Each light by itself, printed large: the shot that shows it best, with every other light taken away.

use super::{Setting, luminance, print};
use crate::assemble::develop;
use crate::light::LightPicture;
use crate::report::Report;
use crate::report::light_types::LitPicture;

/// Brighter than by so many stops a shot of 8 bits shows its steps.
const MOST_STOPS: f64 = 4.0;

/// Prints of the lights that burn in one of these shots; of several the one to which the light gives most of its own.
pub fn fill(settings: &[Setting], report: &mut Report) {
    let mut place = (0, 0);
    for detail in &mut report.lights {
        // Lights of one camera follow each other.
        place = if detail.sequence == place.0 { place } else { (detail.sequence, 0) };
        let best = settings.iter().filter(|s| s.lit.sequence == place.0).filter_map(|s| worth(s, place.1));
        let best = best.fold(None, |best: Option<Shown>, next| match best {
            Some(best) if best.worth >= next.worth => Some(best),
            _ => Some(next),
        });
        detail.print = best.and_then(|best| shown(&best, &detail.light));
        place.1 += 1;
    }
}

/// A shot in which a light burns.
struct Shown<'a, 'b> {
    setting: &'a Setting<'b>,
    source: usize,
    worth: f64,
}

/// The light's own luminance in the shot times its share of it.
fn worth<'a, 'b>(setting: &'a Setting<'b>, light: usize) -> Option<Shown<'a, 'b>> {
    let sources = &setting.lit.sources;
    let source = sources.iter().position(|told| told.light == Some(light) && told.source.burns)?;
    let whole: f64 = sources.iter().filter(|told| told.source.burns).map(|told| luminance(&told.source)).sum();
    let own = luminance(&sources.get(source)?.source);
    Some(Shown { setting, source, worth: own * own / whole }).filter(|shown| shown.worth.is_finite())
}

fn shown(best: &Shown, name: &str) -> Option<LitPicture> {
    let source = best.setting.lit.sources.get(best.source)?.source;
    let as_shot = LightPicture {
        linear: source
            .picture
            .linear
            .iter()
            .map(|light| {
                let mut light = *light;
                light.iter_mut().zip(source.gain).for_each(|(light, gain)| *light *= gain as f32);
                light
            })
            .collect(),
        ..source.picture.clone()
    };
    let scale = develop::as_shot_or_shows_well(&as_shot).min(libm::exp2(MOST_STOPS));
    let mut factors = vec![[0.0; 3]; best.setting.board.sources.len()];
    *factors.get_mut(best.source)? = [scale; 3];
    let relit = best.setting.board.set(&factors)?;
    let told = best.setting.lit.sources.get(best.source)?;
    let modifier = told.entry.map_or("", |entry| entry.setting.modifier.as_str());
    let gel = if told.gel.is_empty() { String::new() } else { format!("gel {}", told.gel) };
    let front: Vec<&str> = [gel.as_str(), modifier].into_iter().filter(|said| !said.is_empty()).collect();
    let front = if front.is_empty() { String::new() } else { format!(" ({})", front.join(", ")) };
    Some(LitPicture {
        caption: format!("{name}{front} by itself, worked out from {}", best.setting.lit.shot.frame),
        picture: print(&relit.raster)?,
        brightened_stops: libm::log2(scale),
        hatched_percent: 100.0 * relit.unknown,
    })
}
