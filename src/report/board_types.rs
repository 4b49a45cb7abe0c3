//! What the page needs to set a lighting anew: the shot, its lights' own pictures, and the camera's dials.

use crate::exposure::dial::Dials;
use crate::light::{LightPicture, Place};
use crate::measure::Picture;

/// Everything to set lightings anew. Not part of the data files.
#[derive(Clone, Debug, Default)]
pub struct Boards {
    /// A board per lighting that can have one, in the order of lightings.
    pub boards: Vec<Board>,
    /// The lights' and the ambients' own pictures, which boards share.
    pub own: Vec<LightPicture>,
    /// Light of each code value 0..=255, one table per camera.
    pub tones: Vec<Vec<f32>>,
}

/// One lighting that can be set anew.
#[derive(Clone, Debug)]
pub struct Board {
    /// The lighting.
    pub lighting: u32,
    /// Index into `Report::frames` of the shot that is set anew: the typical one, or the one most like it that can be.
    pub frame_index: usize,
    /// Index into [`Boards::tones`].
    pub tone: usize,
    /// The shot.
    pub picture: Picture,
    /// Where it lies on the plane of the lights' pictures.
    pub place: Place,
    /// Its level as shot, stops against mid-grey.
    pub level_stops: f64,
    /// Its settings as marked.
    pub marked: String,
    /// The lights in their order, the ambient last where it is known.
    pub sources: Vec<BoardSource>,
    /// The camera's dials around the settings as shot.
    pub dials: Dials,
    /// How far it can be trusted, as sentences.
    pub exactness: Vec<String>,
}

/// One light of a board, or the ambient.
#[derive(Clone, Debug)]
pub struct BoardSource {
    /// Its name.
    pub name: String,
    /// Its place among the lights of its camera; None for the ambient.
    pub light: Option<usize>,
    /// Index into [`Boards::own`].
    pub own: usize,
    /// What brings its own picture to the shot, channel by channel: see [`crate::relight::Source::gain`].
    pub gain: [f64; 3],
    /// Whether it burns in the shot.
    pub burns: bool,
    /// Its level over the whole picture at the shot's settings, stops against mid-grey; of a light that does not burn, as
    /// in its reference shot. None where it gives nothing.
    pub level_stops: Option<f64>,
    /// What no change means: "1/8, as shot", "off; 0 is 1/8 as in DSC_0403.JPG".
    pub zero: String,
    /// Index into `Report::frames` of the shot that no change is told against: the board's own, or the light's reference.
    pub against_index: usize,
    /// Noted power at no change, stops against full power; None where none is noted.
    pub power: Option<f64>,
    /// Under this power, stops against full, the plan warns: the lowest one noted of the light, or 1/128 where that is lower.
    pub low: f64,
    /// The gel as noted; empty for none.
    pub gel: String,
    /// What taking the gel away does, channel by channel; None where that is not known.
    pub without_gel: Option<[f64; 3]>,
    /// Why it is not; empty where it is, or where there is no gel.
    pub why_gel_stays: String,
}
