//! Which told light is which true one: by name where there were notes, else by when they burn and how strongly.

use crate::figures::correlation;
use crate::truth::{Said, Told, Truth};

/// For every true light the index of the told one.
pub type Pairs = Vec<Option<usize>>;

/// How a told light fits a true one must be at least this much for them to be called the same.
const LEAST: f64 = 0.4;

pub fn by_name(truth: &Truth, told: &Told) -> Pairs {
    truth.lights.iter().map(|l| told.lights.iter().position(|t| t.eq_ignore_ascii_case(l))).collect()
}

/// The pairing with the greatest sum of fits; a pair that fits too little is none.
pub fn by_behaviour(truth: &Truth, told: &Told) -> Pairs {
    let fits: Vec<Vec<f64>> =
        (0..truth.lights.len()).map(|l| (0..told.lights.len()).map(|t| fit(truth, told, l, t)).collect()).collect();
    let mut best = (0.0, vec![None; truth.lights.len()]);
    let mut now = Vec::new();
    try_all(&fits, 0.0, &mut now, &mut best);
    best.1
}

fn try_all(fits: &[Vec<f64>], sum: f64, now: &mut Pairs, best: &mut (f64, Pairs)) {
    let Some(row) = fits.get(now.len()) else {
        if sum > best.0 {
            *best = (sum, now.clone());
        }
        return;
    };
    for (t, f) in row.iter().enumerate() {
        if *f >= LEAST && !now.contains(&Some(t)) {
            now.push(Some(t));
            try_all(fits, sum + f, now, best);
            now.pop();
        }
    }
    now.push(None);
    try_all(fits, sum, now, best);
    now.pop();
}

/// Agreement of on and off as F1 (0..1), lifted or lowered by how the strengths go together (up to a quarter).
pub fn fit(truth: &Truth, told: &Told, light: usize, t: usize) -> f64 {
    let (mut both, mut one) = (0usize, 0usize);
    let (mut a, mut b) = (Vec::new(), Vec::new());
    for (i, cells) in truth.cells.iter().enumerate() {
        let cell = &cells[light];
        let Some(row) = told.row(t, i) else {
            one += usize::from(cell.burned);
            continue;
        };
        match (cell.burned, row.on) {
            (true, Said::Yes) => both += 1,
            (true, Said::No) | (false, Said::Yes) => one += 1,
            _ => {}
        }
        if let (true, Said::Yes, Some(x), Some(y)) = (cell.burned, row.on, cell.stops, row.stops) {
            a.push(x);
            b.push(y);
        }
    }
    if both == 0 {
        return 0.0;
    }
    let f1 = 2.0 * both as f64 / (2 * both + one) as f64;
    f1 + 0.25 * correlation(&a, &b).unwrap_or(0.0)
}
