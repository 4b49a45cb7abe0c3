//! The part of a report about the next time: what the shoot's own figures leave room for. Never a forecast.
//!
//! No file is named in it: what a figure rests on is told by lighting, stage and number of shots.

use serde::Serialize;

/// What the shoot teaches for the next time.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NextTime {
    /// The lightings it is told for, each camera's most shot one and its last one.
    pub lightings: Vec<NextLighting>,
    /// Stops of power left, lights of each lighting in order.
    pub powers: Vec<PowerLeft>,
    /// How far the ambient may rise.
    pub ambient: Vec<Statement>,
    /// What other apertures cost.
    pub apertures: Vec<AperturePrice>,
    /// How long lights were given to recycle.
    pub gaps: Vec<Gap>,
    /// What moving a light does.
    pub distances: Vec<Moving>,
    /// What guide numbers say, where the photographer gave any.
    pub guide_numbers: Vec<Statement>,
    /// Why nothing is told; empty when something is.
    pub why_unknown: String,
}

impl NextTime {
    /// Whether nothing at all is said, not even why.
    #[must_use]
    pub fn nothing(&self) -> bool {
        *self == Self::default()
    }
}

/// One thing said: a figure or the reason why there is none.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Statement {
    /// The light, or `ambient`.
    pub about: String,
    /// Its lighting.
    pub lighting: Option<u32>,
    /// The figure; None where it is not known.
    pub value: Option<f64>,
    /// `stops`, `metres` or `f-number`.
    pub unit: String,
    /// Whether the figure is no more than a lower end.
    pub at_least: bool,
    /// All of it in words.
    pub words: String,
    /// How it is known: from what, by which rule.
    pub how: String,
    /// Why it is not known; empty when it is.
    pub why_unknown: String,
}

/// A lighting that the next time is told for.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NextLighting {
    /// Its number.
    pub lighting: u32,
    /// `most shot`, `last`, or `most shot and last`.
    pub chosen: String,
    /// The camera.
    pub camera: String,
    /// Its most shot stage, whose settings it is told for.
    pub stage: u32,
    /// These settings as marked.
    pub settings: String,
}

/// How far one light's power can go from where it was.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PowerLeft {
    /// The light.
    pub light: String,
    /// Index into `Report::lights`.
    pub light_index: usize,
    /// Its lighting.
    pub lighting: u32,
    /// As noted; empty when not noted.
    pub noted_power: String,
    /// The same in stops against full.
    pub power_stops: Option<f64>,
    /// The lowest power it was noted at in this shoot, in stops against full.
    pub lowest_noted_stops: Option<f64>,
    /// Its lowest step as the photographer says, in stops against full.
    pub lowest_said_stops: Option<f64>,
    /// Up to full power.
    pub up: Statement,
    /// Down to its lowest step, or to the lowest power it was noted at.
    pub down: Statement,
}

/// What going to another aperture costs.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct AperturePrice {
    /// The lighting.
    pub lighting: u32,
    /// The aperture used, as marked.
    pub from: String,
    /// The other one.
    pub to: String,
    /// What it does to all light, in stops: below 0 closed, above 0 opened.
    pub light_stops: f64,
    /// Every light's new power, those that do not go there with the stops that are missing.
    pub powers: Vec<NewPower>,
    /// "key to 1/4, rim to 1/4": the first way out in words, with who runs out.
    pub power_words: String,
    /// What becomes of the ambient on that way, in words.
    pub ambient_words: String,
    /// The time the shutter goes to on that way, as marked; empty where no mark stands there or it stays.
    pub shutter: String,
    /// What the ambient still gains on the lights there, in stops.
    pub ambient_gain_stops: f64,
    /// How far the key is over the ambient after that; None where it is not known.
    pub key_over_ambient_stops: Option<f64>,
    /// Whether that is a lower end.
    pub key_over_ambient_at_least: bool,
    /// The ISO of the second way out, as marked; empty where no dial has it.
    pub iso: String,
    /// The second way out in words.
    pub iso_words: String,
    /// The neutral filter of the third way out, in stops; opening only.
    pub filter_stops: Option<f64>,
    /// The same in words; empty for closing.
    pub filter_words: String,
}

/// One light on the way to another aperture.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NewPower {
    /// The light.
    pub light: String,
    /// The power it would need; empty when none is noted.
    pub power: String,
    /// Stops by which it cannot: above full, or below its lowest step; 0 where it can.
    pub missing_stops: f64,
    /// What is to be said of it: "1.0 stop beyond 1/1", "not noted"; empty when nothing is.
    pub remark: String,
}

/// How long one light was given to recycle at one power.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Gap {
    /// The light.
    pub light: String,
    /// The camera.
    pub camera: String,
    /// As noted; empty when not noted.
    pub noted_power: String,
    /// The shortest gap after which it burned in full, seconds.
    pub shortest_full_s: Option<f64>,
    /// How often it burned in full after a known gap.
    pub full: usize,
    /// Gaps after which it was short or missing, seconds.
    pub failed_s: Vec<f64>,
    /// The gap from which on it never failed, where failures follow the gaps beyond chance.
    pub full_from_s: Option<f64>,
    /// In words.
    pub words: String,
    /// How it is known.
    pub how: String,
}

/// What moving one light does.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Moving {
    /// The light.
    pub light: String,
    /// Index into `Report::lights`.
    pub light_index: usize,
    /// Its lighting.
    pub lighting: u32,
    /// Where it stood, metres from the sitter as noted; None where not noted.
    pub distance_m: Option<f64>,
    /// Where it would stand for a change of light.
    pub moves: Vec<Move>,
    /// Where the rule ends for this light, in words.
    pub limit: String,
    /// Why nothing is told; empty when something is.
    pub why_unknown: String,
}

/// One place a light may be moved to.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Move {
    /// Metres from the sitter.
    pub to_m: f64,
    /// What the sitter gains, in stops, by the inverse square.
    pub stops: f64,
    /// The power that takes it back; empty when none is noted.
    pub same_light_at: String,
    /// What is to be said of that power or that place; empty when nothing is.
    pub remark: String,
}
