//! `compare.csv`: a row per figure of every pair, and a row per lighting without a counterpart.

use serde::Serialize;

use crate::compare::{Alone, Comparison, Figure, Pair};
use crate::report::columns::{Column, Holds, Table};
use crate::report::csv::{self, CsvError};

macro_rules! columns {
    ($( $name:literal $holds:ident $meaning:literal )+) => {
        &[ $( Column { name: $name, holds: Holds::$holds, meaning: $meaning }, )+ ]
    };
}

/// The table of a comparison.
pub const COMPARE: Table = Table {
    file: "compare.csv",
    row: "a figure of two lightings that were paired, or a lighting without a counterpart; differences are B minus A",
    columns: columns! {
        "lighting_a" Number "number of the lighting in A; empty for a figure of the whole shoot, and where B's lighting has no counterpart"
        "lighting_b" Number "the same in B"
        "lights_a" Text "the lights set on in A, as its report has them"
        "lights_b" Text "the same in B"
        "paired_by" Text "by what the two were paired; not paired where they were not"
        "what" Text "settings on flash, settings on ambient, picture, power (as noted), light as shot, light at A's settings, ambient as shot, ambient at A's settings, key to fill, key to ambient, keepers per series; of the whole shoot shots, lightings, keepers per series"
        "light" Text "the light the figure is of, by its name in A"
        "unit" Text "stops, rate (0..1) or count"
        "a" Number "the figure in A; empty where it is not known"
        "b" Number "the same in B"
        "difference" Number "B minus A; empty where one of them is not known"
        "difference_low" Number "lower end of its 95 % interval (Newcombe), of keepers only"
        "difference_high" Number "upper end of that"
        "a_words" Text "A as people read it"
        "b_words" Text "the same of B"
        "reason" Text "why there is no difference, or no counterpart"
    },
};

#[derive(Default, Serialize)]
struct Row<'a> {
    lighting_a: Option<u32>,
    lighting_b: Option<u32>,
    lights_a: &'a str,
    lights_b: &'a str,
    paired_by: &'a str,
    what: &'a str,
    light: &'a str,
    unit: &'a str,
    a: Option<f64>,
    b: Option<f64>,
    difference: Option<f64>,
    difference_low: Option<f64>,
    difference_high: Option<f64>,
    a_words: &'a str,
    b_words: &'a str,
    reason: &'a str,
}

/// The file's bytes.
pub fn bytes(comparison: &Comparison) -> Result<Vec<u8>, CsvError> {
    let mut rows: Vec<Row> = comparison.whole.iter().map(figure).collect();
    for pair in &comparison.pairs {
        rows.extend(pair.figures.iter().map(|f| of_pair(pair, figure(f))));
    }
    rows.extend(comparison.only_a.iter().map(|one| Row {
        lighting_a: Some(one.lighting),
        lights_a: &one.lights,
        ..alone(one)
    }));
    rows.extend(comparison.only_b.iter().map(|one| Row {
        lighting_b: Some(one.lighting),
        lights_b: &one.lights,
        ..alone(one)
    }));
    csv::table(&COMPARE, &rows)
}

fn figure(f: &Figure) -> Row<'_> {
    Row {
        what: &f.what,
        light: &f.light,
        unit: &f.unit,
        a: f.a,
        b: f.b,
        difference: f.difference,
        difference_low: f.low,
        difference_high: f.high,
        a_words: &f.a_words,
        b_words: &f.b_words,
        reason: &f.why_unknown,
        ..Row::default()
    }
}

fn of_pair<'a>(pair: &'a Pair, row: Row<'a>) -> Row<'a> {
    Row {
        lighting_a: Some(pair.lighting_a),
        lighting_b: Some(pair.lighting_b),
        lights_a: &pair.lights_a,
        lights_b: &pair.lights_b,
        paired_by: &pair.by,
        ..row
    }
}

fn alone(one: &Alone) -> Row<'_> {
    Row { paired_by: "not paired", reason: &one.why, ..Row::default() }
}
