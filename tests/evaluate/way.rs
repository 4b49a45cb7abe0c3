//! The ways the program can be run on a shoot: with the notes, without them, and with a part of the computation left out.

use stoptally::light::Method;

/// One way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Way {
    pub name: &'static str,
    /// Whether the program sees the notes.
    pub noted: bool,
    pub method: Method,
}

const WHOLE: Method = Method { registration: true, curve: true, joint: true };

pub const WAYS: [Way; 5] = [
    Way { name: "noted", noted: true, method: WHOLE },
    Way { name: "blind", noted: false, method: WHOLE },
    Way { name: "noted-without-registration", noted: true, method: Method { registration: false, ..WHOLE } },
    Way { name: "noted-without-curve", noted: true, method: Method { curve: false, ..WHOLE } },
    Way { name: "noted-without-joint", noted: true, method: Method { joint: false, ..WHOLE } },
];

pub fn named(name: &str) -> Option<Way> {
    WAYS.into_iter().find(|w| w.name == name)
}
