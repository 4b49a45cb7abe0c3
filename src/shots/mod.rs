//! Makes shots of files and puts them in order: one press of the shutter is one shot, one camera one sequence.

pub mod camera;
pub mod clock;
pub mod clock_pairs;
pub mod order;
pub mod pair;

use crate::measure::Measurement;
use crate::metadata::{Metadata, Taken};
use crate::problem::{Code, Flaw, Problem};
use crate::walk::PhotoFile;
use clock::Clocks;

/// One file after reading: what it says of itself and what its pixels say.
#[derive(Clone, Debug)]
pub struct ReadFile {
    /// The file.
    pub file: PhotoFile,
    /// Its metadata; default when the file could not be opened (a flaw then says so).
    pub metadata: Metadata,
    /// Its figures; None with a flaw that says why, or because a companion's figures stand for it.
    pub measurement: Option<Measurement>,
    /// What was wrong, in the order met.
    pub flaws: Vec<Flaw>,
}

/// One press of the shutter.
#[derive(Clone, Debug)]
pub struct Shot {
    /// The file whose figures stand for the shot, relative to the shoot.
    pub frame: String,
    /// Its other files: the raw beside the JPEG, the copy of the second card slot.
    pub companions: Vec<String>,
    /// Metadata of the frame, gaps filled from its companions.
    pub metadata: Metadata,
    /// Figures of the frame.
    pub measurement: Option<Measurement>,
    /// When, by the corrected clock.
    pub taken: Option<Taken>,
    /// Seconds since the shot before of the same camera; None without times, or across a jump of the clock.
    pub seconds_since_previous: Option<f64>,
    /// What was wrong, each tied to the file it came from.
    pub problems: Vec<Problem>,
}

impl Shot {
    /// Adds a problem of the frame.
    pub fn flag(&mut self, flaw: Flaw) {
        self.problems.push(flaw.of(&self.frame));
    }

    /// Whether the shot has a problem of this code.
    #[must_use]
    pub fn has(&self, code: Code) -> bool {
        self.problems.iter().any(|problem| problem.code == code)
    }
}

/// The shots of one camera in shooting order.
#[derive(Clone, Debug)]
pub struct Sequence {
    /// The camera's name for people, with its serial number where two bodies would read the same.
    pub camera: String,
    /// Serial number of the body, where known.
    pub body_serial: Option<String>,
    /// Correction of its clock in seconds, where one was given; where the clock drifts, at its earliest shot.
    pub clock_offset_s: Option<f64>,
    /// Its shots, never empty.
    pub shots: Vec<Shot>,
}

/// Makes ordered sequences of files that were read, and names what was odd about it.
///
/// Sequences come in natural order of their cameras' names: between bodies no order in time is claimed.
#[must_use]
pub fn assemble(files: Vec<ReadFile>, clocks: &Clocks) -> (Vec<Sequence>, Vec<Problem>) {
    let ranks = order::NameRanks::of(files.iter().map(|f| f.file.name.as_str()));
    let shots = pair::pair(files);
    let mut sequences = camera::split(shots);
    let unknown_bodies = clock::correct(&mut sequences, clocks);
    for sequence in &mut sequences {
        order::sort(&mut sequence.shots, &ranks);
    }
    (sequences, unknown_bodies)
}
