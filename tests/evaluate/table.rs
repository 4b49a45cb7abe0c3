//! Scores as Markdown tables: per shoot, per class, pooled.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::figures::{median, quantile, share};
use crate::score::Score;

const HEAD: [&str; 13] = [
    "lights found/true (+extra)",
    "precision",
    "recall",
    "F1",
    "unknown (without reason)",
    "broad: median / 90 % / worst (n)",
    "weak: median / 90 % / worst (n)",
    "change: median / 90 % / worst (n)",
    "interval covers (n)",
    "centred",
    "width",
    "misfires found/true (+false)",
    "note errors off-step, stop-wrong, late (+false of tested)",
];

pub fn part(x: Option<f64>) -> String {
    x.map_or_else(|| "-".into(), |x| format!("{x:.3}"))
}

fn spread(v: &[f64]) -> String {
    match (median(v), quantile(v, 0.9), quantile(v, 1.0)) {
        (Some(m), Some(t), Some(w)) => format!("{m:.3} / {t:.2} / {w:.2} ({})", v.len()),
        _ => "-".into(),
    }
}

fn row(name: &str, s: &Score) -> String {
    let c = &s.on_off;
    let unknown =
        c.unknown_share().map_or("-".into(), |u| format!("{:.1} % ({})", u * 100.0, c.unknown_without_reason));
    let kind = |k: &str| s.mistakes.get(k).map_or("-".into(), |(found, planted)| format!("{found}/{planted}"));
    let cells = [
        format!("{}/{} (+{})", s.found_lights, s.true_lights, s.extra_lights),
        part(c.precision()),
        part(c.recall()),
        part(c.f1()),
        unknown,
        spread(&s.broad),
        spread(&s.weak),
        spread(&s.change),
        format!("{} ({})", part(share(s.covered, s.intervals)), s.intervals),
        part(share(s.covered_centred, s.centred_intervals)),
        part(median(&s.widths)),
        format!("{}/{} (+{})", s.misfires_found, s.misfires, s.misfires_false),
        format!(
            "{}, {}, {} (+{} of {})",
            kind("off-step"),
            kind("stop-wrong"),
            kind("late"),
            s.false_differs,
            s.tested
        ),
    ];
    format!("| {name} | {} |\n", cells.join(" | "))
}

/// A class is what stands before the seed in a shoot's name: `dusk` of `dusk-3`.
pub fn class_of(name: &str) -> &str {
    match name.rsplit_once('-') {
        Some((class, seed)) if !seed.is_empty() && seed.bytes().all(|b| b.is_ascii_digit()) => class,
        _ => name,
    }
}

/// Everything taken together.
pub fn pooled(scores: &[(String, Score)]) -> Score {
    let mut all = Score::default();
    for (_, s) in scores {
        all.add(s);
    }
    all
}

pub fn tables(scores: &[(String, Score)], method: &str) -> String {
    let mut classes: BTreeMap<&str, Score> = BTreeMap::new();
    for (name, s) in scores {
        classes.entry(class_of(name)).or_default().add(s);
    }
    let head = |first: &str| format!("| {first} | {} |\n|---|{}\n", HEAD.join(" | "), "---|".repeat(HEAD.len()));
    let mut out = format!(
        "# Evaluation, {method}\n\nErrors and widths in stops. \"Broad\" and \"weak\" errors are against the light's own median per gel.\n\n"
    );
    out += &head("class");
    for (name, s) in &classes {
        out += &row(name, s);
    }
    out += &row("**all**", &pooled(scores));
    let _ = write!(out, "\n{}", head("shoot"));
    for (name, s) in scores {
        out += &row(name, s);
    }
    out
}
