//! The photographer's light notes: what was typed, and what it means for every shot.

mod cells;
mod date;
mod draft;
mod from;
mod hold;
mod numbers;
pub mod power;
mod read;
mod rows;
mod settle;
mod subject;
mod table;
mod text;

use crate::light::Told;
use crate::problem::Problem;
use crate::shots::Sequence;

pub use draft::draft;
pub(crate) use from::{Named, Names};
pub use read::{NOTES_FILE, NotesError, of_bytes, read};
pub use rows::Typed;
pub(crate) use text::decode;

/// The rectangle of the sitter in one frame, in percent of the upright picture.
#[derive(Clone, Debug, PartialEq)]
pub struct SubjectBox {
    /// The frame it was drawn on: in [`LightNotes`] by the shot's own name, else as the user named it.
    pub frame: String,
    /// Left edge, top edge, width, height, each 0..=100 percent.
    pub percent: [f64; 4],
}

/// What a note says of one light in one shot. A blank is not "off": it is not said.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Said {
    /// Set on, set off, or nothing said.
    pub on: Told,
    /// Noted power in stops against full: 0 for 1/1, -4.3 for 1/16 -0.3. None for a light that is off or whose power
    /// was not written down.
    pub power: Option<f64>,
    /// The power as typed.
    pub power_text: String,
    /// Gel in the note's own words; empty for none.
    pub gel: String,
    /// Modifier in the note's own words; empty for none.
    pub modifier: String,
    /// Where the light stands.
    pub stand: Stand,
    /// Line of the notes it comes from.
    pub line: Option<u32>,
}

/// Where a light stands, as far as it was noted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stand {
    /// From the sitter, metres, above 0.
    pub distance_m: Option<f64>,
    /// Seen from above, sitter in the middle, camera at 6: hours of a clock face, above 0 to 12; 7.5 for 7:30.
    pub clock_hours: Option<f64>,
    /// Above the sitter's ground, metres.
    pub height_m: Option<f64>,
}

/// A light of the notes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NotedLight {
    /// Its name as first typed.
    pub name: String,
    /// Its role, empty when none was typed.
    pub role: String,
}

/// The notes brought to the shots of one sequence.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NotedSequence {
    /// Lights in order of first mention.
    pub lights: Vec<NotedLight>,
    /// For every shot, what holds of every light.
    pub shots: Vec<Vec<Said>>,
}

/// The notes of a shoot, read and brought to its shots.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LightNotes {
    /// What could not be read or is remarkable, each with its line, value and remedy.
    pub problems: Vec<Problem>,
    /// The subject boxes, clipped to the picture; each of a frame that is there.
    pub subjects: Vec<SubjectBox>,
    /// Whether a file of notes was found and read.
    pub used: bool,
    /// Lights in order of first mention.
    lights: Vec<NotedLight>,
    /// Rows that hold somewhere, in the order of their lines.
    rows: Vec<hold::Row>,
}

impl LightNotes {
    /// What holds for each shot of a sequence: a line holds from its shot until the next line of the same light.
    #[must_use]
    pub fn of(&self, sequence: &Sequence) -> NotedSequence {
        NotedSequence { lights: self.lights.clone(), shots: hold::shots(&self.rows, self.lights.len(), sequence) }
    }
}
