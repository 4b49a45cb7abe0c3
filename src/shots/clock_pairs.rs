//! Clocks brought together by pairs of frames of one moment: `--same-moment A=B`, and twice for how fast they part
//!
//! One clock keeps its time: that of a body named with `--clock`, else that of the first frame of the first pair. From it
//! the others follow from pair to pair. One pair gives a difference that holds throughout; several of the same two
//! bodies a straight line through them (least squares), so that two hold exactly. What parts faster than
//! `FASTEST_S_PER_DAY` is no drift of a clock but a wrong pair, or the rounding of times a short while apart.

use std::collections::BTreeMap;
use std::str::FromStr;

use jiff::SignedDuration;
use jiff::civil::DateTime;

use super::Sequence;
use crate::metadata::Taken;
use crate::notes::{Named, Names};
use crate::problem::{Code, Flaw, Problem};

/// A quartz clock parts by a second or two a day, a bad one by ten (common practice, no source).
const FASTEST_S_PER_DAY: f64 = 120.0;
const DAY_S: f64 = 86_400.0;

/// Two frames of two bodies taken at the same moment, as typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SameMoment(String);

impl FromStr for SameMoment {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let whole = text.split_once('=').is_some_and(|(a, b)| !a.trim().is_empty() && !b.trim().is_empty());
        if whole {
            Ok(Self(text.trim().to_owned()))
        } else {
            Err("write two frames of two bodies, for example TS_0001=B_0417".to_owned())
        }
    }
}

/// Seconds to add to a body's clock: so many at a moment of that clock, and more or less as it goes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    at: DateTime,
    seconds: f64,
    per_second: f64,
}

impl Offset {
    /// The same at all times.
    #[must_use]
    pub fn steady(seconds: f64) -> Self {
        Self { at: DateTime::ZERO, seconds, per_second: 0.0 }
    }

    /// Seconds to add when the body's own clock shows this.
    #[must_use]
    pub fn seconds(&self, shown: DateTime) -> f64 {
        if self.per_second == 0.0 { self.seconds } else { self.seconds + self.per_second * between(self.at, shown) }
    }

    /// The time of a shot by the corrected clock.
    #[must_use]
    pub fn corrected(&self, shown: DateTime) -> DateTime {
        // To the microsecond: no clock is known better, and sums of fractions come out as people write them.
        let seconds = libm::round(self.seconds(shown) * 1e6) / 1e6;
        shown.saturating_add(SignedDuration::try_from_secs_f64(seconds).unwrap_or_default())
    }
}

fn between(from: DateTime, to: DateTime) -> f64 {
    to.duration_since(from).as_secs_f64()
}

/// A pair with both its frames found: sequences and times by their own clocks.
#[derive(Clone, Debug)]
struct Pair {
    typed: String,
    bodies: [usize; 2],
    times: [Taken; 2],
}

impl Pair {
    /// The same, with this body second.
    fn towards(&self, body: usize) -> Option<([usize; 2], [&Taken; 2])> {
        let ([a, b], [s, t]) = (self.bodies, &self.times);
        if b == body { Some(([a, b], [s, t])) } else { (a == body).then_some(([b, a], [t, s])) }
    }

    /// How far the two clocks may be apart when both show one moment: a unit of the coarser of the two.
    fn grain_s(&self) -> f64 {
        let unit = |taken: &Taken| libm::pow(10.0, -f64::from(taken.fraction_digits));
        self.times.iter().map(unit).fold(0.0, f64::max)
    }
}

/// Fills the corrections of bodies that pairs tie to others, beside those that are known, and says what is wrong.
pub fn tie(known: &mut BTreeMap<usize, Offset>, moments: &[SameMoment], sequences: &[Sequence]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let names = Names::of(sequences);
    let mut pairs = Vec::new();
    for moment in moments {
        match found(&moment.0, &names, sequences) {
            Ok(pair) => pairs.push(pair),
            Err(why) => problems.push(Flaw::with(Code::MomentUnusable, why).of(&label(&moment.0))),
        }
    }
    // The clocks that keep their time, one for every group of bodies that pairs tie together.
    let given: Vec<usize> = known.keys().copied().collect();
    let mut all = known.clone();
    while let Some(next) = next(&pairs, &all) {
        match next {
            Next::Root(body) => {
                all.insert(body, Offset::steady(0.0));
            }
            Next::Tied { to, body } => {
                let (offset, flaw) = follow(&pairs, &all, to, body);
                problems.extend(flaw);
                all.insert(body, offset);
                known.insert(body, offset);
            }
        }
    }
    problems.extend(
        pairs.iter().filter(|p| p.bodies.iter().all(|b| given.contains(b))).filter_map(|p| contradiction(p, &all)),
    );
    let chained = pairs.iter().filter(|pair| !pair.bodies.iter().all(|b| given.contains(b)));
    problems.extend(chained.filter(|pair| !direct(pair, &pairs, &all)).filter_map(|pair| contradiction(pair, &all)));
    problems
}

enum Next {
    Root(usize),
    Tied { to: usize, body: usize },
}

/// The next body to be corrected: one that a pair ties to a known one, else the first body of the first pair that
/// ties two unknown ones.
fn next(pairs: &[Pair], all: &BTreeMap<usize, Offset>) -> Option<Next> {
    let tied = pairs.iter().find_map(|pair| match pair.bodies.map(|body| all.contains_key(&body)) {
        [true, false] => Some(Next::Tied { to: pair.bodies[0], body: pair.bodies[1] }),
        [false, true] => Some(Next::Tied { to: pair.bodies[1], body: pair.bodies[0] }),
        _ => None,
    });
    let root = || pairs.iter().map(|pair| pair.bodies[0]).find(|body| !all.contains_key(body)).map(Next::Root);
    tied.or_else(root)
}

/// The correction of one body by all pairs that it has with another whose clock is known.
fn follow(pairs: &[Pair], all: &BTreeMap<usize, Offset>, to: usize, body: usize) -> (Offset, Option<Problem>) {
    let steady = Offset::steady(0.0);
    let leader = all.get(&to).unwrap_or(&steady);
    let mut points: Vec<(DateTime, f64)> = Vec::new();
    let mut grain: f64 = 0.0;
    let mut last = "";
    for pair in pairs {
        let Some(([other, _], [theirs, own])) = pair.towards(body) else { continue };
        if other == to {
            points.push((own.local, difference(leader, theirs, own)));
            grain = grain.max(pair.grain_s());
            last = &pair.typed;
        }
    }
    let Some(at) = points.iter().map(|(time, _)| *time).min() else { return (steady, None) };
    let spots: Vec<(f64, f64)> = points.iter().map(|(time, d)| (between(at, *time), *d)).collect();
    let count = spots.len() as f64;
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| spots.iter().map(of).sum::<f64>() / count;
    let (t, d) = (mean(&|s| s.0), mean(&|s| s.1));
    let spread = mean(&|s| (s.0 - t) * (s.0 - t));
    let slope = if spread > 0.0 { mean(&|s| (s.0 - t) * (s.1 - d)) / spread } else { 0.0 };
    let (least, most) = spots.iter().fold((f64::MAX, f64::MIN), |(l, m), s| (l.min(s.1), m.max(s.1)));
    let apart = most - least;
    let drifts = (slope * DAY_S).abs() <= FASTEST_S_PER_DAY;
    let offset = if drifts { Offset { at, seconds: d - slope * t, per_second: slope } } else { Offset::steady(d) };
    let left = spots.iter().map(|s| (s.1 - offset.seconds(at.saturating_add(secs(s.0)))).abs()).fold(0.0, f64::max);
    let flaw = (left > 2.0 * grain).then(|| {
        let why =
            format!("the pairs of these two bodies give clocks between {} and {} apart", seconds(least), seconds(most));
        let rest = if drifts { "a line between them is used" } else { "no clock drifts so fast; their mean is used" };
        Flaw::with(Code::MomentContradicts, format!("{why}, {} in all; {rest}", seconds(apart))).of(&label(last))
    });
    (offset, flaw)
}

fn secs(seconds: f64) -> SignedDuration {
    SignedDuration::try_from_secs_f64(seconds).unwrap_or_default()
}

/// Seconds to add to the second clock: by true time where both files know their zone, else as the clocks showed it.
fn difference(leader: &Offset, theirs: &Taken, own: &Taken) -> f64 {
    let zones = match (theirs.offset_minutes, own.offset_minutes) {
        (Some(a), Some(b)) => f64::from(b - a) * 60.0,
        _ => 0.0,
    };
    between(own.local, leader.corrected(theirs.local)) + zones
}

/// Whether the correction of one of a pair's bodies was made from this very pair and its like.
fn direct(pair: &Pair, pairs: &[Pair], all: &BTreeMap<usize, Offset>) -> bool {
    pair.bodies.iter().any(|body| {
        let from = pairs.iter().filter_map(|p| p.towards(*body)).map(|([other, _], _)| other);
        let mut others: Vec<usize> = from.filter(|other| all.contains_key(other)).collect();
        others.dedup();
        others.len() == 1
    })
}

/// Whether a pair's frames are apart by the clocks as corrected.
fn contradiction(pair: &Pair, all: &BTreeMap<usize, Offset>) -> Option<Problem> {
    let ([a, b], [s, t]) = (pair.bodies, &pair.times);
    let (one, two) = (all.get(&a)?, all.get(&b)?);
    let apart = difference(one, s, t) - two.seconds(t.local);
    (apart.abs() > 2.0 * pair.grain_s()).then(|| {
        let words = format!("by what else is said these two frames are {} apart; that is used", seconds(apart.abs()));
        Flaw::with(Code::MomentContradicts, words).of(&label(&pair.typed))
    })
}

fn label(typed: &str) -> String {
    format!("--same-moment {typed}")
}

/// "1 s", "192 s", "0.25 s".
fn seconds(seconds: f64) -> String {
    format!("{} s", libm::round(seconds * 100.0) / 100.0)
}

/// The pair's frames. A name may hold the sign =, so every place to part the two is tried.
fn found(typed: &str, names: &Names, sequences: &[Sequence]) -> Result<Pair, String> {
    let places: Vec<usize> = typed.match_indices('=').map(|(at, _)| at).collect();
    let mut wrong = None;
    for at in places {
        let (a, b) = (typed.get(..at).unwrap_or_default(), typed.get(at + 1..).unwrap_or_default());
        match (frame(a, names, sequences), frame(b, names, sequences)) {
            (Ok(one), Ok(two)) => return pair(typed, one, two),
            (Err(why), _) | (_, Err(why)) => wrong = wrong.or(Some(why)),
        }
    }
    Err(wrong.unwrap_or_default())
}

fn pair(typed: &str, one: (usize, Option<Taken>), two: (usize, Option<Taken>)) -> Result<Pair, String> {
    if one.0 == two.0 {
        return Err("both frames are of one body".to_owned());
    }
    match (one.1, two.1) {
        (Some(s), Some(t)) => Ok(Pair { typed: typed.to_owned(), bodies: [one.0, two.0], times: [s, t] }),
        _ => Err("one of the frames has no time".to_owned()),
    }
}

/// The sequence and the time, by its own clock, of the frame that is named.
fn frame(typed: &str, names: &Names, sequences: &[Sequence]) -> Result<(usize, Option<Taken>), String> {
    let name = match names.find(typed) {
        Named::One(name) => name,
        Named::Several(all) => return Err(format!("{typed:?} may be {}", all.join(" or "))),
        Named::None(Some(like)) => return Err(format!("no shot is named {typed:?}; did you mean {like}?")),
        Named::None(None) => return Err(format!("no shot is named {typed:?}")),
    };
    let place = |s: &Sequence| s.shots.iter().find(|shot| shot.frame == name).map(|shot| shot.metadata.taken.clone());
    let found = sequences.iter().enumerate().find_map(|(index, s)| Some((index, place(s)?)));
    found.ok_or_else(|| format!("no shot is named {typed:?}"))
}
