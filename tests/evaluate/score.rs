//! One shoot's score: what was told against what is true. Lists and counts, so that shoots can be pooled.

use std::collections::BTreeMap;

use crate::figures::{Counts, median};
use crate::pair::Pairs;
use crate::truth::{Row, Said, Told, Truth};

/// A difference between note and truth below this is none, stops.
const AS_NOTED: f64 = 0.25;

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Score {
    pub true_lights: usize,
    pub found_lights: usize,
    pub extra_lights: usize,
    /// Frames in which extra lights are said to burn.
    pub extra_frames: usize,
    pub on_off: Counts,
    /// Absolute errors of strength in stops, centred: broad lights with a solo, and weak ones.
    pub broad: Vec<f64>,
    pub weak: Vec<f64>,
    /// Absolute errors of the change between consecutive frames in which a light burns, stops: broad, and weak in either.
    pub broad_change: Vec<f64>,
    pub weak_change: Vec<f64>,
    /// Told strengths that lack a figure although the light was rightly said to burn.
    pub no_figure: usize,
    pub intervals: usize,
    pub covered: usize,
    pub centred_intervals: usize,
    pub covered_centred: usize,
    /// Widths of the intervals, stops.
    pub widths: Vec<f64>,
    pub misfires: usize,
    pub misfires_found: usize,
    pub misfires_false: usize,
    /// Planted mistakes of the notes by kind: found, planted.
    pub mistakes: BTreeMap<String, (usize, usize)>,
    /// Light-frames said to differ from a note that is right.
    pub false_differs: usize,
    /// Light-frames whose note is right and that were tested.
    pub tested: usize,
}

/// One light in one frame, as far as it went wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Miss {
    pub frame: usize,
    pub light: usize,
    /// Stops, or a fixed weight for a wrong yes or no.
    pub weight: f64,
    pub words: String,
}

/// A wrong yes or no weighs as much as so many stops.
const WRONG: f64 = 4.0;

pub fn score(truth: &Truth, told: &Told, pairs: &Pairs, noted: bool) -> (Score, Vec<Miss>) {
    let mut s = Score { true_lights: truth.lights.len(), ..Score::default() };
    let mut misses = Vec::new();
    for (light, pair) in pairs.iter().enumerate() {
        s.found_lights += usize::from(pair.is_some_and(|t| told.ever_on(t)));
        on_off(truth, told, light, *pair, &mut s, &mut misses);
        if let Some(t) = pair {
            strengths(truth, told, light, *t, &mut s, &mut misses);
            changes(truth, told, light, *t, &mut s);
        }
    }
    for t in (0..told.lights.len()).filter(|t| !pairs.contains(&Some(*t)) && told.ever_on(*t)) {
        s.extra_lights += 1;
        s.extra_frames += told.rows[t].iter().flatten().filter(|r| r.on == Said::Yes).count();
        s.misfires_false += told.rows[t].iter().flatten().filter(|r| r.misfire == Said::Yes).count();
    }
    if noted {
        notes(truth, told, pairs, &mut s, &mut misses);
    }
    (s, misses)
}

fn on_off(truth: &Truth, told: &Told, light: usize, pair: Option<usize>, s: &mut Score, misses: &mut Vec<Miss>) {
    let mut miss = |frame, words: &str| misses.push(Miss { frame, light, weight: WRONG, words: words.to_owned() });
    for (i, cells) in truth.cells.iter().enumerate() {
        let cell = &cells[light];
        // A light without a row is a light that was not found: the same as "no".
        let row = pair.and_then(|t| told.row(t, i));
        let c = &mut s.on_off;
        match (cell.burned, row.map_or(Said::No, |r| r.on)) {
            (true, Said::Yes) => c.right_yes += 1,
            (false, Said::No) => c.right_no += 1,
            (false, Said::Yes) => {
                c.wrong_yes += 1;
                miss(i, "said on, was off");
            }
            (true, Said::No) => {
                c.wrong_no += 1;
                if row.is_some() {
                    miss(i, "said off, was on");
                }
            }
            (_, Said::Unknown) => {
                c.unknown += 1;
                c.unknown_without_reason += usize::from(row.is_none_or(|r| r.reason.is_empty()));
            }
        }
        let said = row.is_some_and(|r| r.misfire == Said::Yes);
        s.misfires += usize::from(cell.misfire);
        match (cell.misfire, said) {
            (true, true) => s.misfires_found += 1,
            (true, false) => miss(i, "misfire not found"),
            (false, true) => {
                s.misfires_false += 1;
                miss(i, "false misfire");
            }
            _ => {}
        }
    }
}

/// Frames in which the light burned and was said to, with told and true stops.
fn lit<'a>(truth: &'a Truth, told: &'a Told, light: usize, t: usize) -> Vec<(usize, &'a Row, f64, f64)> {
    let both = |i: usize| {
        let (cell, row) = (&truth.cells[i][light], told.row(t, i)?);
        (cell.burned && row.on == Said::Yes).then_some(())?;
        Some((i, row, row.stops?, cell.stops?))
    };
    (0..truth.cells.len()).filter_map(both).collect()
}

fn strengths(truth: &Truth, told: &Told, light: usize, t: usize, s: &mut Score, misses: &mut Vec<Miss>) {
    let rows = lit(truth, told, light, t);
    let yes = |i: usize| truth.cells[i][light].burned && told.row(t, i).is_some_and(|r| r.on == Said::Yes);
    s.no_figure += (0..truth.cells.len()).filter(|i| yes(*i)).count() - rows.len();
    let gel = |i: usize| truth.cells[i][light].gel.as_str();
    let mut groups: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (i, _, told, real) in &rows {
        groups.entry(gel(*i)).or_default().push(told - real);
    }
    for (i, row, told, real) in &rows {
        let group = &groups[gel(*i)];
        // A single figure would be its own middle: it says nothing.
        let middle = median(group).filter(|_| group.len() > 1);
        if let Some(m) = middle {
            let error = told - real - m;
            if truth.weak(*i, light) {
                s.weak.push(error.abs())
            } else {
                s.broad.push(error.abs())
            }
            let words = format!("strength off by {error:+.2}");
            misses.push(Miss { frame: *i, light, weight: error.abs(), words });
        }
        let (Some(low), Some(high), Some(r)) = (row.low, row.high, row.reference) else { continue };
        if r == *i {
            continue;
        }
        s.widths.push(high - low);
        let base = &truth.cells[r][light];
        if let Some(against) = base.stops.filter(|_| base.gel == gel(*i)) {
            s.intervals += 1;
            s.covered += usize::from((low..=high).contains(&(real - against)));
        }
        if let Some(m) = middle {
            s.centred_intervals += 1;
            s.covered_centred += usize::from((low..=high).contains(&(real + m)));
        }
    }
}

fn changes(truth: &Truth, told: &Told, light: usize, t: usize, s: &mut Score) {
    let rows = lit(truth, told, light, t);
    for pair in rows.windows(2) {
        let [(i, _, told_a, real_a), (j, _, told_b, real_b)] = pair else { continue };
        let burned_between = (i + 1..*j).any(|k| truth.cells[k][light].burned);
        if truth.cells[*i][light].gel == truth.cells[*j][light].gel && !burned_between {
            let error = (told_b - told_a - (real_b - real_a)).abs();
            if truth.weak(*i, light) || truth.weak(*j, light) {
                s.weak_change.push(error)
            } else {
                s.broad_change.push(error)
            }
        }
    }
}

fn notes(truth: &Truth, told: &Told, pairs: &Pairs, s: &mut Score, misses: &mut Vec<Miss>) {
    let says = |light: usize, i: usize| pairs[light].and_then(|t| told.row(t, i)).map_or("", |r| r.agrees.as_str());
    for p in &truth.planted {
        let entry = s.mistakes.entry(p.kind.clone()).or_default();
        entry.1 += 1;
        if p.frames.iter().any(|i| says(p.light, *i) == "differs") {
            entry.0 += 1;
        } else if let Some(frame) = p.frames.first() {
            let words = format!("planted {} not found", p.kind);
            misses.push(Miss { frame: *frame, light: p.light, weight: WRONG, words });
        }
    }
    for light in 0..truth.lights.len() {
        let gap = |i: usize| Some(truth.cells[i][light].stops? - truth.cells[i][light].noted?);
        let gaps: Vec<f64> = (0..truth.cells.len()).filter_map(gap).collect();
        let usual = median(&gaps).unwrap_or(0.0);
        for (i, cells) in truth.cells.iter().enumerate() {
            let planted = truth.planted.iter().any(|p| p.light == light && p.frames.contains(&i));
            let right = match gap(i) {
                Some(g) => (g - usual).abs() < AS_NOTED,
                None => cells[light].noted.is_some() == cells[light].burned,
            };
            let said = says(light, i);
            if planted || !right || !["as noted", "differs"].contains(&said) {
                continue;
            }
            s.tested += 1;
            if said == "differs" {
                s.false_differs += 1;
                misses.push(Miss { frame: i, light, weight: WRONG, words: "said to differ from a right note".into() });
            }
        }
    }
}

impl Score {
    pub fn add(&mut self, o: &Score) {
        self.true_lights += o.true_lights;
        self.found_lights += o.found_lights;
        self.extra_lights += o.extra_lights;
        self.extra_frames += o.extra_frames;
        self.on_off.add(&o.on_off);
        self.broad.extend(&o.broad);
        self.weak.extend(&o.weak);
        self.broad_change.extend(&o.broad_change);
        self.weak_change.extend(&o.weak_change);
        self.no_figure += o.no_figure;
        self.intervals += o.intervals;
        self.covered += o.covered;
        self.centred_intervals += o.centred_intervals;
        self.covered_centred += o.covered_centred;
        self.widths.extend(&o.widths);
        self.misfires += o.misfires;
        self.misfires_found += o.misfires_found;
        self.misfires_false += o.misfires_false;
        for (kind, (found, planted)) in &o.mistakes {
            let e = self.mistakes.entry(kind.clone()).or_default();
            (e.0, e.1) = (e.0 + found, e.1 + planted);
        }
        self.false_differs += o.false_differs;
        self.tested += o.tested;
    }
}
