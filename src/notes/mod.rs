//! The photographer's light notes: what was typed, and what it means for every shot.

use crate::light::Told;
use crate::problem::Problem;
use crate::shots::Sequence;

/// The rectangle of the sitter in one frame, in percent of the upright picture.
#[derive(Clone, Debug, PartialEq)]
pub struct SubjectBox {
    /// The frame it was drawn on, as the user named it.
    pub frame: String,
    /// Left edge, top edge, width, height, each 0..=100 percent.
    pub percent: [f64; 4],
}

/// What a note says of one light in one shot. A blank is not "off": it is not said.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Said {
    /// Set on, set off, or nothing said.
    pub on: Told,
    /// Noted power in stops against full: 0 for 1/1, -4.3 for 1/16 -0.3.
    pub power: Option<f64>,
    /// The power as typed.
    pub power_text: String,
    /// Gel in the note's own words; empty for none.
    pub gel: String,
    /// Modifier in the note's own words; empty for none.
    pub modifier: String,
    /// Line of the notes it comes from.
    pub line: Option<u32>,
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

/// The notes of a shoot, read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LightNotes {
    /// What could not be read or is remarkable, each with its line, value and remedy.
    pub problems: Vec<Problem>,
    /// The subject boxes.
    pub subjects: Vec<SubjectBox>,
}

impl LightNotes {
    /// What holds for each shot of a sequence: a line holds from its shot until the next line of the same light.
    #[must_use]
    pub fn of(&self, sequence: &Sequence) -> NotedSequence {
        NotedSequence { lights: Vec::new(), shots: vec![Vec::new(); sequence.shots.len()] }
    }
}
