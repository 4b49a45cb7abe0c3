//! The photographer's choice, however it comes back: which shot each keeper is, and what lighting gave the keepers.

pub mod count;
pub mod picture;
pub mod proportion;

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
    /// In the order given.
    pub keepers: Vec<Keeper>,
    /// Shots the photographer is known to have looked at and judged, kept or not: by a rating or a rejection. Empty
    /// where the choice names keepers alone.
    pub judged: Vec<ShotId>,
}
