//! Scores as Markdown tables: per shoot, per class, pooled.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::figures::{median, quantile, share};
use crate::score::Score;

const HEAD: [&str; 14] = [
    "lights found/true (+extra)",
    "precision",
    "recall",
    "F1",
    "unknown (without reason)",
    "strength, broad: median / 90 % / worst (n)",
    "strength, weak: median / 90 % / worst (n)",
    "change, broad: median / 90 % / worst (n)",
    "change, weak: median / 90 % / worst (n)",
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
        spread(&s.broad_change),
        spread(&s.weak_change),
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

/// What the columns mean.
const LEGEND: &str = "Errors and widths in stops. A light is broad in a frame where it makes up a tenth of its light or more, if it is \
    ever shown alone; else weak. Strengths are against the light's own median per gel, changes between frames that \
    follow each other with the light on, intervals against the light's reference frame. Unknown counts neither for nor \
    against.";

fn head(first: &str) -> String {
    format!("| {first} | {} |\n|---|{}\n", HEAD.join(" | "), "---|".repeat(HEAD.len()))
}

/// A row per class, and one of all.
pub fn by_class(scores: &[(String, Score)]) -> String {
    let mut classes: BTreeMap<&str, Score> = BTreeMap::new();
    for (name, s) in scores {
        classes.entry(class_of(name)).or_default().add(s);
    }
    let rows: String = classes.iter().map(|(name, s)| row(name, s)).collect();
    head("class") + &rows + &row("**all**", &pooled(scores))
}

/// A row per shoot.
pub fn by_shoot(scores: &[(String, Score)]) -> String {
    head("shoot") + &scores.iter().map(|(name, s)| row(name, s)).collect::<String>()
}

/// The page: all shoots together, a row per way; then by class, a table per way.
pub fn page(about: &str, ways: &[(&str, Vec<(String, Score)>)]) -> String {
    let mut out = format!("# Evaluation\n\n{about}{}{LEGEND}\n", if about.is_empty() { "" } else { "\n\n" });
    if ways.len() > 1 {
        let _ = write!(out, "\n## All shoots together, by way\n\n{}", head("way"));
        for (way, scores) in ways {
            out += &row(way, &pooled(scores));
        }
    }
    for (way, scores) in ways {
        let _ = write!(out, "\n## By class, {way}\n\n{}", by_class(scores));
    }
    out
}

/// The page of single shoots, a table per way.
pub fn shoots(ways: &[(&str, Vec<(String, Score)>)]) -> String {
    let table = |(way, scores): &(&str, Vec<(String, Score)>)| format!("\n## {way}\n\n{}", by_shoot(scores));
    format!("# Evaluation, shoot by shoot\n{}", ways.iter().map(table).collect::<String>())
}
