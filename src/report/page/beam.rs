//! The shots of a rung, hanging from its line: a block each, low where a light was weak, a stroke beneath a keeper, a V where
//! the lens changed.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::ladder::{Rung, Shot};
use crate::report::words;

/// Blocks in a row before the next row begins, and rows before the rest is only counted.
const PER_ROW: usize = 24;
const ROWS: usize = 10;
const BLOCK: f64 = 12.0;
const STEP: f64 = 13.0;
const SERIES_SPACE: f64 = 5.0;
const ROW_HEIGHT: f64 = 21.0;
const NOTCH: f64 = 14.0;

struct Block<'a> {
    x: f64,
    y: f64,
    shot: Shot<'a>,
}

/// The drawing, with its words for screen readers.
#[must_use]
pub fn markup(rung: &Rung<'_>) -> Markup {
    let (blocks, notches, width, height) = placed(rung);
    let unplaced = rung.shots.len() - blocks.len();
    html! {
        svg.beam width=(format!("{width:.0}")) height=(format!("{height:.0}")) viewBox=(format!("0 0 {width:.0} {height:.0}"))
            role="img" aria-label=(spoken(rung)) {
            @for (x, y) in &notches { path.nt d=(format!("M{} {y}l4.5 10l4.5-10", x + 0.5)) {} }
            @for block in &blocks { (drawn(block)) }
        }
        @if unplaced > 0 { p.more { "and " (words::count(unplaced, "more shot", "more shots")) } }
    }
}

/// Left upper corner of a notch.
type Notch = (f64, f64);

/// Blocks and notches in their rows, and the width and height of all.
fn placed<'a>(rung: &Rung<'a>) -> (Vec<Block<'a>>, Vec<Notch>, f64, f64) {
    let (mut blocks, mut notches) = (Vec::new(), Vec::new());
    let (mut x, mut y, mut width, mut in_row, mut series) = (0.0, 0.0, 0.0, 0, None);
    for (place, shot) in rung.shots.iter().take(PER_ROW * ROWS).enumerate() {
        let next_series = series.is_some() && shot.row.series.is_some() && shot.row.series != series;
        if in_row == PER_ROW {
            (x, y, in_row) = (0.0, y + ROW_HEIGHT, 0);
        }
        if next_series {
            x += SERIES_SPACE;
        }
        series = shot.row.series.or(series);
        if rung.notches.contains(&place) {
            notches.push((x, y));
            x += NOTCH;
        }
        blocks.push(Block { x, y, shot: *shot });
        x += STEP;
        in_row += 1;
        width = f64::max(width, x);
    }
    (blocks, notches, width, y + ROW_HEIGHT)
}

fn drawn(block: &Block<'_>) -> Markup {
    let (x, y) = (block.x, block.y);
    html! {
        @if block.shot.misfired {
            path.ms d=(format!("M{x} {}h{BLOCK}", y + 9.5)) {}
        } @else if block.shot.row.mean_luminance.is_none() {
            path.un d=(format!("M{} {}h{}v7.5h-{}z", x + 0.5, y + 1.5, BLOCK - 1.0, BLOCK - 1.0)) {}
        } @else if block.shot.weak {
            path.bl d=(format!("M{x} {}h{BLOCK}v4h-{BLOCK}z", y + 5.5)) {}
        } @else {
            path.bl d=(format!("M{x} {}h{BLOCK}v8.5h-{BLOCK}z", y + 1.0)) {}
        }
        @if block.shot.row.keeper == "yes" { path.kp d=(format!("M{} {}v7", x + 6.0, y + 11.5)) {} }
    }
}

fn spoken(rung: &Rung<'_>) -> String {
    let number = |of: &dyn Fn(&Shot<'_>) -> bool| rung.shots.iter().filter(|shot| of(shot)).count();
    let series: BTreeSet<u32> = rung.shots.iter().filter_map(|shot| shot.row.series).collect();
    let mut parts = vec![words::count(rung.shots.len(), "shot", "shots")];
    if let (Some(first), more) = (parts.first_mut(), series.len())
        && more > 0
    {
        first.push_str(&format!(" in {more}\u{a0}series"));
    }
    let kept = number(&|shot| shot.row.keeper == "yes");
    if kept > 0 {
        parts.push(words::count(kept, "keeper", "keepers"));
    }
    for (found, said) in [
        (number(&|shot| shot.misfired), "with a misfire"),
        (number(&|shot| shot.weak && !shot.misfired), "with a weak light"),
        (number(&|shot| shot.row.mean_luminance.is_none()), "not measured"),
    ] {
        if found > 0 {
            parts.push(format!("{found} {said}"));
        }
    }
    match rung.notches.len() {
        0 => {}
        1 if rung.lens_changed() => parts.push("lens changed before the first".to_owned()),
        many => parts.push(words::count(many, "lens change", "lens changes")),
    }
    parts.join(", ")
}
