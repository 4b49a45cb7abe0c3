//! What is said of ratings that were written into sidecars, or would be

use std::fmt::Write;

use stoptally::ratings::in_words;
use stoptally::ratings::plan::Change;
use stoptally::ratings::write::{Manner, Told};

/// How many sidecars fared how.
#[derive(Clone, Copy, Debug, Default, serde::Serialize)]
pub struct Count {
    /// Written, or to be written.
    pub written: usize,
    /// Those that said so already.
    pub same: usize,
    /// Those that keep what a person gave.
    pub kept: usize,
    /// Those that could not be changed.
    pub failed: usize,
}

/// Counts them.
pub fn count(told: &[Told]) -> Count {
    let mut count = Count::default();
    for one in told {
        *match one.change {
            Change::Write(..) => &mut count.written,
            Change::Same => &mut count.same,
            Change::Kept(_) => &mut count.kept,
            Change::Cannot(_) => &mut count.failed,
        } += 1;
    }
    count
}

/// The sentence, and before it, in a dry run, a line for every sidecar.
pub fn sentences(told: &[Told], manner: Manner) -> String {
    let mut said = String::new();
    if manner.dry_run {
        for one in told {
            let _ = writeln!(said, "{}: {}", clean(&one.sidecar), would(&one.change, manner.rating));
        }
    }
    let count = count(told);
    let mut parts = Vec::new();
    let mut add = |number: usize, one: &str, many: &str| match number {
        0 => {}
        1 => parts.push(format!("1 sidecar {one}")),
        _ => parts.push(format!("{number} sidecars {many}")),
    };
    let (one, many) = if manner.dry_run { ("would be written", "would be written") } else { ("written", "written") };
    add(count.written, one, many);
    add(count.same, "says so already", "say so already");
    add(
        count.kept,
        "keeps the rating you gave (--replace would change it)",
        "keep the ratings you gave (--replace would change them)",
    );
    add(count.failed, "left alone", "left alone");
    let what = if parts.is_empty() { "no keeper, so no sidecar".to_owned() } else { parts.join(", ") };
    let _ = write!(said, "Rating {} for the keepers: {what}.", manner.rating);
    if manner.dry_run {
        said.push_str(" Nothing was written.");
    }
    said
}

/// A line for each sidecar that could not be changed.
pub fn failures(told: &[Told]) -> Vec<String> {
    let why = |one: &Told| match &one.change {
        Change::Cannot(why) => Some(format!("{} is left alone: {}", clean(&one.sidecar), clean(why))),
        _ => None,
    };
    told.iter().filter_map(why).collect()
}

fn would(change: &Change, rating: u8) -> String {
    match change {
        Change::Same => format!("has rating {rating} already"),
        Change::Kept(is) => format!("keeps its rating ({})", in_words(*is)),
        Change::Cannot(why) => format!("is left alone: {}", clean(why)),
        Change::Write(_, None) => format!("would be made, with rating {rating}"),
        Change::Write(_, Some(before)) => match before.rating() {
            Some(is) => format!("would change from {} to rating {rating}", in_words(is)),
            None => format!("would get rating {rating}"),
        },
    }
}

/// Text from files without signs that steer a terminal.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}
