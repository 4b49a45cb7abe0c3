//! Two shoots side by side: lightings paired by their lights or by what was noted of them, and how they differ in stops.
//!
//! One direction: read -> pair -> differ. Every difference is the second shoot against the first, B minus A. What has no
//! counterpart is listed with the reason and never forced on another.

mod differ;
mod pair;
mod read;

pub use read::{ReadError, Shoot, read};

use serde::Serialize;

/// The two shoots compared.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Comparison {
    /// The first shoot, A.
    pub a: Side,
    /// The second, B.
    pub b: Side,
    /// Whether both are reports of one shoot: they share a shot.
    pub same_shoot: bool,
    /// Lights of A and their counterparts in B.
    pub lights: Vec<LightPair>,
    /// Figures of the shoots as wholes.
    pub whole: Vec<Figure>,
    /// Paired lightings, in A's order.
    pub pairs: Vec<Pair>,
    /// Lightings of A without a counterpart.
    pub only_a: Vec<Alone>,
    /// Lightings of B without one.
    pub only_b: Vec<Alone>,
}

/// One of the two shoots.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Side {
    /// The shoot's name.
    pub shoot: String,
    /// Its shots.
    pub shots: usize,
    /// Its lightings.
    pub lightings: usize,
}

/// A light of A and its counterpart in B.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LightPair {
    /// Its name in A.
    pub a: String,
    /// Its name in B.
    pub b: String,
    /// `name`, `role` or `purpose`.
    pub by: String,
}

/// A lighting of A and its counterpart in B.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Pair {
    /// Number in A.
    pub lighting_a: u32,
    /// Number in B.
    pub lighting_b: u32,
    /// Names of the lights set on, as A has them.
    pub names: Vec<String>,
    /// The lights set on in A, as its report has them.
    pub lights_a: String,
    /// The same in B.
    pub lights_b: String,
    /// By what they were paired.
    pub by: String,
    /// How they differ.
    pub figures: Vec<Figure>,
}

/// A lighting without a counterpart.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Alone {
    /// Its number.
    pub lighting: u32,
    /// The lights set on, as its report has them.
    pub lights: String,
    /// Why it has no counterpart.
    pub why: String,
}

/// One figure of both and the difference, B minus A.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Figure {
    /// What it is: see `compare.csv`.
    pub what: String,
    /// The light it is of, by its name in A; empty for none.
    pub light: String,
    /// `stops`, `rate` or `count`.
    pub unit: String,
    /// In A.
    pub a: Option<f64>,
    /// In B.
    pub b: Option<f64>,
    /// B minus A; None where one of them is not known.
    pub difference: Option<f64>,
    /// Lower end of its 95 % interval, where there is one.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// A as people read it.
    pub a_words: String,
    /// B as people read it.
    pub b_words: String,
    /// Why there is no difference; empty where there is one.
    pub why_unknown: String,
}

/// Compares two shoots.
#[must_use]
pub fn compare(a: &Shoot, b: &Shoot) -> Comparison {
    let pairing = pair::pair(a, b);
    let side = |shoot: &Shoot| Side {
        shoot: shoot.shoot.clone(),
        shots: shoot.frames.len(),
        lightings: shoot.lightings.len(),
    };
    let alone = |shoot: &Shoot, left: &[(usize, String)]| {
        let row = |(place, why): &(usize, String)| {
            let row = shoot.lightings.get(*place)?;
            Some(Alone { lighting: row.lighting, lights: row.lights.clone(), why: why.clone() })
        };
        left.iter().filter_map(row).collect()
    };
    let pairs = pairing.lightings.iter().filter_map(|(of_a, of_b, by)| {
        let (row_a, row_b) = (a.lightings.get(*of_a)?, b.lightings.get(*of_b)?);
        Some(Pair {
            lighting_a: row_a.lighting,
            lighting_b: row_b.lighting,
            names: row_a.light_account.each_light.iter().filter(|l| l.on == "yes").map(|l| l.light.clone()).collect(),
            lights_a: row_a.lights.clone(),
            lights_b: row_b.lights.clone(),
            by: (*by).to_owned(),
            figures: differ::figures((a, row_a), (b, row_b), &pairing.lights),
        })
    });
    Comparison {
        a: side(a),
        b: side(b),
        same_shoot: read::same_shoot(a, b),
        whole: differ::whole(a, b),
        pairs: pairs.collect(),
        only_a: alone(a, &pairing.left_a),
        only_b: alone(b, &pairing.left_b),
        lights: pairing.lights,
    }
}
