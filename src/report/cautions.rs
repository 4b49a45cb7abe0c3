//! The cautions that page, recap and README all carry, so that they never drift apart.

/// One paragraph of cautions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// What it is about, one or two words.
    pub about: &'static str,
    /// The caution itself, whole sentences.
    pub text: &'static str,
}

/// Every caution, in the order they are printed.
pub const CAUTIONS: &[Caution] = &[
    Caution {
        about: "First of all",
        text: "Makers’ manuals, local rules and licensed people come first; this tool checks no safety.",
    },
    Caution {
        about: "High voltage",
        text: "Flash units hold high voltage even when switched off. Wet inside or dropped: stop, do not open it, \
               have it checked. A rain cover traps heat.",
    },
    Caution {
        about: "Stands and wind",
        text: "Weight and hold every stand. In gusts take modifiers down; no safe wind speed is given here.",
    },
    Caution { about: "Ground", text: "Ice, rails, cables: clear and light the way." },
    Caution {
        about: "Cold sitters",
        text: "Short turns, dry layers, warmth. Shivering or numbness: stop. Confusion: get help.",
    },
    Caution {
        about: "Heat and cells",
        text: "Gels and heads overheat in fast bursts: pause. Swollen, wet or crushed lithium cells: do not use or charge them.",
    },
    Caution {
        about: "Eyes and seizures",
        text: "Never fire close to eyes. Ask everyone about photosensitivity first, announce, stop when asked.",
    },
    Caution {
        about: "Dust",
        text: "Dust harms eyes and lungs and makes floors slippery. Never use flour, starch or coloured powder instead of \
               chalk: airborne they can explode.",
    },
    Caution { about: "Disused buildings", text: "Permission, floors, asbestos." },
];

/// The cautions in Markdown, a paragraph each.
#[must_use]
pub fn markdown() -> String {
    let paragraphs: Vec<String> = CAUTIONS.iter().map(|c| format!("**{}.** {}\n", c.about, c.text)).collect();
    paragraphs.join("\n")
}
