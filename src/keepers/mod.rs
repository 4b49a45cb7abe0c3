//! The photographer's choice, however it comes back: which shot each keeper is, and what lighting gave the keepers.

pub mod count;
pub mod exports;
pub mod given;
pub mod list;
pub mod listed;
pub mod names;
pub mod picture;
pub mod proportion;
pub mod rating;

use crate::problem::Problem;
use crate::shots::Sequence;

/// Where one shot stands among the sequences. Ordered by camera, then by shooting order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ShotId {
    /// Index of the sequence.
    pub sequence: usize,
    /// Index of the shot in it.
    pub shot: usize,
}

/// How a keeper was found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Match {
    /// By its name.
    Name,
    /// By the camera's time, with the body's serial number where several cameras were used.
    Time,
    /// By the picture itself.
    Picture,
    /// Two or more shots explain it equally.
    OneOfSeveral,
    /// No shot of this shoot.
    #[default]
    None,
}

impl Match {
    /// The word of the output contract.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Time => "time",
            Self::Picture => "picture",
            Self::OneOfSeveral => "one of several",
            Self::None => "none",
        }
    }
}

/// One keeper as it was given, and the shot it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Keeper {
    /// As the user gave it: the line of a list, the path of an export within its folder, the rated file.
    pub given: String,
    /// How it was found.
    pub matched: Match,
    /// One shot, or for [`Match::OneOfSeveral`] all that explain it, in order; empty for [`Match::None`].
    pub shots: Vec<ShotId>,
}

/// The whole choice.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    /// In the order given. One shot may be given several times (an export in two sizes): count shots, not keepers.
    pub keepers: Vec<Keeper>,
    /// Shots the photographer is known to have looked at and judged, kept or not: by a rating or a rejection. Empty
    /// where the choice names keepers alone.
    pub judged: Vec<ShotId>,
}

/// The choice with what was wrong with it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settled {
    /// The choice.
    pub choice: Choice,
    /// Each tied to the file it came from.
    pub problems: Vec<Problem>,
}

impl Settled {
    /// Takes one more keeper.
    fn keep(&mut self, keeper: Keeper) {
        self.choice.keepers.push(keeper);
    }
}

/// The frames of these shots, at most three by name: "TS_0001.JPG", "a/T_1.JPG or b/T_1.JPG", "… or 5 others".
#[must_use]
pub fn in_words(shots: &[ShotId], sequences: &[Sequence]) -> String {
    let frame = |id: &ShotId| Some(sequences.get(id.sequence)?.shots.get(id.shot)?.frame.as_str());
    let mut names: Vec<String> = shots.iter().filter_map(frame).take(3).map(str::to_owned).collect();
    match shots.len().saturating_sub(3) {
        0 => {}
        1 => names.push("one other".to_owned()),
        more => names.push(format!("{more} others")),
    }
    match names.as_slice() {
        [] => "no shot".to_owned(),
        [one] => one.clone(),
        [many @ .., last] => format!("{} or {last}", many.join(", ")),
    }
}
