//! What the solver knows of one shot: its tiles as code values, and what the settings make of flash and of ambient.

use crate::exposure::account::above_sync;
use crate::exposure::marks::Step;
use crate::exposure::{Settings, marks};
use crate::measure::{TileGrid, linear_to_srgb};
use crate::shots::{Sequence, Shot};

/// Light above this code value (0..1) is bent so hard that it tells nothing.
const BRIGHTEST: f32 = 250.0 / 255.0;

/// One shot, ready to be compared.
#[derive(Clone, Debug)]
pub struct View {
    /// Index of the shot in its sequence.
    pub shot: usize,
    /// Tiles across and down.
    pub size: (usize, usize),
    /// Code values 0..1 of the tiles' mean light, row-major; NaN in a channel that is clipped.
    pub code: Vec<[f32; 3]>,
    /// log2 of what aperture and ISO make of a flash.
    pub flash_stops: f64,
    /// log2 of what aperture, ISO and shutter make of light that lasts.
    pub ambient_stops: f64,
    /// Shutter in stops (Tv), for grouping.
    pub shutter_stops: f64,
    /// Focal length in mm; None when not known.
    pub focal: Option<f64>,
    /// Seconds since the first shot; by counting shots where clocks fail.
    pub seconds: f64,
}

/// Views of a sequence's shots, or why a shot has none.
pub fn views(sequence: &Sequence, sync_time_s: f64) -> Vec<Result<View, &'static str>> {
    let all = || sequence.shots.iter().map(|shot| &shot.metadata);
    let step = marks::dial_step(
        all().filter_map(|m| m.f_number).map(|m| m.value()),
        all().filter_map(|m| m.exposure_time_s).map(|m| m.value()),
        all().filter_map(|m| m.iso).map(f64::from),
    );
    let mut seconds = 0.0;
    sequence
        .shots
        .iter()
        .enumerate()
        .map(|(index, shot)| {
            // A gap nobody knows counts as a minute: long enough for the light to have moved a little.
            seconds += if index == 0 { 0.0 } else { shot.seconds_since_previous.unwrap_or(60.0).max(0.0) };
            view(index, shot, step, sync_time_s, seconds)
        })
        .collect()
}

fn view(index: usize, shot: &Shot, step: Step, sync_time_s: f64, seconds: f64) -> Result<View, &'static str> {
    let measured = shot.measurement.as_ref().ok_or("its picture could not be measured")?;
    let settings = Settings::of(&shot.metadata, step);
    let (Some(aperture), Some(shutter), Some(iso)) = (settings.aperture, settings.shutter, settings.iso) else {
        return Err("aperture, shutter or ISO is not known");
    };
    if above_sync(shutter.marked, sync_time_s) {
        return Err("shot above sync speed, where nothing is claimed about flash");
    }
    if measured.tiles.columns < 24 || measured.tiles.rows < 16 {
        return Err("the picture is too small to tell lights apart");
    }
    let flash_stops = iso.stops - aperture.stops;
    Ok(View {
        shot: index,
        size: (usize::from(measured.tiles.columns), usize::from(measured.tiles.rows)),
        code: codes(&measured.tiles),
        flash_stops,
        ambient_stops: flash_stops - shutter.stops,
        shutter_stops: shutter.stops,
        focal: shot.metadata.focal_length_mm.filter(|mm| *mm > 0.0),
        seconds,
    })
}

fn codes(tiles: &TileGrid) -> Vec<[f32; 3]> {
    let channel = |mean: u16, clipped: u8| {
        let code = linear_to_srgb(f64::from(mean) / 65535.0) as f32;
        // Clipping is counted over all channels: a tile with a few clipped pixels loses only its bright channels.
        let lost = code >= BRIGHTEST || (clipped > 2 && code > 0.7);
        if lost { f32::NAN } else { code }
    };
    tiles.means.iter().zip(&tiles.clipped).map(|(mean, &clipped)| mean.map(|m| channel(m, clipped))).collect()
}
