//! What a comparison prints: the two shoots, what differs in each pair, what has no counterpart, which file to open.

use super::{PAGE, SMALLEST, difference};
use crate::compare::{Alone, Comparison, Pair};
use crate::report::words;

/// More pairs than this are left to the page.
const MOST_PAIRS: usize = 12;
/// The sentences. `folder` is the comparison's folder as the user would type it.
#[must_use]
pub fn sentences(comparison: &Comparison, folder: &str) -> String {
    let mut lines = vec![headline(comparison)];
    lines.extend(comparison.pairs.iter().take(MOST_PAIRS).map(pair));
    if comparison.pairs.len() > MOST_PAIRS {
        let more = words::count(comparison.pairs.len() - MOST_PAIRS, "more pair", "more pairs");
        lines.push(format!("{more}: see the page"));
    }
    lines.extend(alone("A", &comparison.only_a));
    lines.extend(alone("B", &comparison.only_b));
    lines.push(format!("open {folder}/{PAGE}"));
    // Names come from files: no escape sequence and no change of writing direction reaches the terminal.
    lines.iter().map(|line| words::visible(line)).collect::<Vec<_>>().join("\n")
}

fn headline(comparison: &Comparison) -> String {
    let (a, b) = (&comparison.a, &comparison.b);
    let paired = comparison.pairs.len();
    let same = if comparison.same_shoot { "; both are reports of one shoot" } else { "" };
    format!(
        "A is {}, {}; B is {}, {}; {paired} of them paired{same}; every difference is B against A",
        a.shoot,
        words::count(a.lightings, "lighting", "lightings"),
        b.shoot,
        words::count(b.lightings, "lighting", "lightings"),
    )
}

/// The figures of a pair that differ, in words; none of them, and it says so.
fn changes(pair: &Pair) -> Vec<String> {
    let told = pair.figures.iter().filter(|f| match f.unit.as_str() {
        "rate" => true,
        // As shot is what picture and settings say already.
        _ if f.what.ends_with("as shot") => false,
        _ => f.difference.is_some_and(|d| d.abs() >= SMALLEST),
    });
    told.filter_map(|f| {
        let of = if f.light.is_empty() { f.what.clone() } else { format!("{} {}", f.light, f.what) };
        Some(format!("{of} {}", difference(f)?))
    })
    .collect()
}

fn pair(pair: &Pair) -> String {
    let changes = changes(pair);
    let what =
        if changes.is_empty() { "no figure that is known in both differs".to_owned() } else { changes.join("; ") };
    format!("lighting {} (A) and {} (B), {}: {what}", pair.lighting_a, pair.lighting_b, names(&pair.lights_a))
}

/// "key 1/8, rim 1/4".
fn names(lights: &str) -> String {
    if lights.is_empty() || lights == "none" { "no light on".to_owned() } else { lights.replace(';', ", ") }
}

/// "only in A: lighting 5 (key, hair), hair has no counterpart in B".
fn alone(side: &str, rows: &[Alone]) -> Option<String> {
    let one = |row: &Alone| format!("lighting {} ({}), {}", row.lighting, names(&row.lights), row.why);
    let said: Vec<String> = rows.iter().map(one).collect();
    (!said.is_empty()).then(|| format!("only in {side}: {}", said.join("; ")))
}
