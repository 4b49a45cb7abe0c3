//! How far the ambient may rise under the key: from the lightings' own ratios, never from what the sky may do.

use crate::exposure::words::{stops_between, stops_unit, unit};
use crate::next_time::headroom::{MARGIN_STOPS, adds, may_rise};
use crate::report::light_types::Ratio;
use crate::report::next_types::Statement;
use crate::report::{LightingRow, Report};

use super::base::Base;

/// One statement for each lighting that is told for, and for the camera's latest lighting in which the ratio is known
/// where that is another.
pub fn ambient(report: &Report, bases: &[Base]) -> Vec<Statement> {
    let mut rows: Vec<&LightingRow> = bases.iter().map(|base| base.row).collect();
    for base in bases {
        let sequence = base.row.detail.sequence;
        let known =
            |row: &&LightingRow| row.detail.sequence == sequence && ratio(row).is_some_and(|r| r.stops.is_some());
        let any = rows.iter().any(known);
        if let Some(latest) = report.lightings.iter().rfind(known).filter(|_| !any) {
            rows.push(latest);
        }
    }
    rows.into_iter().filter_map(|row| Some(statement(report, row, ratio(row)?))).collect()
}

/// Key to ambient of a lighting.
pub fn ratio(row: &LightingRow) -> Option<&Ratio> {
    row.detail.light_account.ratios.iter().find(|ratio| ratio.what == "key to ambient")
}

fn statement(report: &Report, row: &LightingRow, ratio: &Ratio) -> Statement {
    let at_least = row.detail.light_account.ambient.at_most;
    let blank = Statement {
        about: "ambient".to_owned(),
        lighting: Some(row.lighting),
        unit: "stops".to_owned(),
        ..Statement::default()
    };
    let not_known = |why: String| Statement { words: "not known".to_owned(), why_unknown: why, ..blank.clone() };
    let Some(over) = ratio.stops else { return not_known(ratio.why_unknown.clone()) };
    let light = if ratio.of.is_empty() { "the key" } else { ratio.of.as_str() };
    let rise = may_rise(over, MARGIN_STOPS);
    if rise < 0.0 && at_least {
        let why = format!(
            "the picture is too dark to say more than that {light} is at least {} over the ambient",
            stops_unit(over)
        );
        return not_known(why);
    }
    let margin = format!("{MARGIN_STOPS:.0} stops under {light}");
    let size = rise.abs();
    let words = match () {
        () if rise >= 0.0 => {
            let least = if at_least { "at least " } else { "" };
            format!("the ambient may rise {least}{size:.1} {} and stay {margin}", unit(size))
        }
        () if over >= 0.0 => {
            format!(
                "the ambient is only {over:.1} {} under {light}: {size:.1} {} less would put it {margin}",
                unit(over),
                unit(size)
            )
        }
        () => format!(
            "the ambient is {:.1} {} over {light}: {size:.1} {} less would put it {margin}",
            -over,
            unit(over),
            unit(size)
        ),
    };
    Statement { value: Some(rise), at_least, words, how: how(report, row, ratio, over, at_least), ..blank }
}

fn how(report: &Report, row: &LightingRow, ratio: &Ratio, over: f64, at_least: bool) -> String {
    let within = match (ratio.stops_low, ratio.stops_high) {
        (Some(low), Some(high)) => format!(" ({})", stops_between(low, high)),
        _ => String::new(),
    };
    let stage = report.stages.iter().find(|stage| stage.stage == row.detail.typical_stage);
    let settings = stage.map(|s| format!(", {}", s.settings)).unwrap_or_default();
    let least = if at_least { "at least " } else { "" };
    format!(
        "light against light over the whole frame: {least}{}{within}, in stage {}{settings}; {MARGIN_STOPS:.0} stops under, the ambient adds {:.1} stop to it",
        stops_unit(over),
        row.detail.typical_stage,
        adds(MARGIN_STOPS),
    )
}
