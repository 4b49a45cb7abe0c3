//! The shots of a rung in order, series by series, each with its settings, its mean luminance and its standing in words.

use maud::{Markup, html};

use super::almanac::settings;
use super::ladder::{Rung, Shot};
use super::notes::Notes;
use super::pictures::Plan;
use super::rung::frame_name;
use super::standing;
use crate::problem::REGISTRY;
use crate::report::{FrameRow, Report, words};

const MEAN_RULE: &str = "A shot’s mean luminance: mean of Y = 0.2126 R + 0.7152 G + 0.0722 B in linear light over all pixels of that shot \
                         (ITU-R BT.709 weights), in stops as log2(Y / 0.18).";
const CLIP_RULE: &str = "Highlights clipped: share of pixels with any channel at 254 of 255 or above. Shadows clipped: all three at 1 or below. \
                         Over all pixels of that shot, at full size.";

/// All shots, in lists by series where series are known.
pub fn list(report: &Report, rung: &Rung<'_>, plan: &mut Plan, notes: &mut Notes) -> Markup {
    html! {
        div {
            h4 { "Shots in order" }
            div.series {
                @for group in rung.shots.chunk_by(|a, b| (a.row.stage, a.row.series) == (b.row.stage, b.row.series)) {
                    div {
                        @let (stage, series) = group.first().map_or((None, None), |shot| (shot.row.stage, shot.row.series));
                        @let stage = stage.filter(|_| rung.stages.len() > 1);
                        @if stage.is_some() || series.is_some() {
                            h5 {
                                @if let Some(stage) = stage { "stage " (stage) ", " }
                                @if let Some(series) = series { "series " (series) ", " }
                                (words::count(group.len(), "shot", "shots"))
                            }
                        }
                        ol.shots { @for shot in group { (one(report, shot, plan, notes)) } }
                    }
                }
            }
        }
    }
}

fn one(report: &Report, shot: &Shot<'_>, plan: &mut Plan, notes: &mut Notes) -> Markup {
    let row = shot.row;
    let name = words::visible(words::file_name(&row.frame));
    html! {
        li {
            (plan.thumbnail(shot, &format!("Frame {name}")))
            p.fn { b { (frame_name(shot)) } }
            @if let Some(moment) = words::moment(&row.taken) { p { (moment.clock_seconds) } }
            @if !row.settings.is_empty() { p { bdi { (settings(&row.settings)) } } }
            @match row.mean_luminance_stops.filter(|stops| stops.is_finite()) {
                Some(stops) => p { "mean " (notes.cite(words::stops_unit(stops), MEAN_RULE)) },
                None if row.mean_luminance == Some(0.0) => p { "black, no light to measure" },
                None => p { "not measured" },
            }
            (clipping(report, shot, notes))
            @if row.keeper == "yes" { p.sd { "keeper" } }
            @for missed in misfires(report, shot) { p.sd { bdi { (missed) } } }
            (standing::remarks(report, shot, notes))
            @for problem in problems(report, shot) { p.sd { (problem) } }
        }
    }
}

/// "rim did not burn", with the reason where the ledger or a finding gives one.
fn misfires(report: &Report, shot: &Shot<'_>) -> Vec<String> {
    if !shot.misfired {
        return Vec::new();
    }
    let rows = report.light_ledger.iter().filter(|row| row.frame_index == shot.place && row.misfire == "yes");
    rows.map(|row| {
        let found =
            report.findings.iter().find(|f| f.frame == row.frame && f.light == row.light && !f.evidence.is_empty());
        let why = if row.reason.is_empty() { found.map_or("", |f| f.evidence.as_str()) } else { row.reason.as_str() };
        let why = if why.is_empty() { String::new() } else { format!(": {}", words::true_minus(why)) };
        words::visible(&format!("misfire, {} did not burn{why}", row.light))
    })
    .collect()
}

/// A share of clipped pixels below this, in percent, is a few specks: in frames.csv, but nothing to say beside a thumbnail.
const WORTH_SAYING: f64 = 0.1;

fn clipping(report: &Report, shot: &Shot<'_>, notes: &mut Notes) -> Markup {
    let clipped = |row: &FrameRow| {
        let shares = [("highlights", row.highlights_clipped_percent), ("shadows", row.shadows_clipped_percent)];
        shares.map(|(what, share)| Some((what, share.filter(|share| *share >= WORTH_SAYING)?)))
    };
    let rule = |what: &str| match standing::channels(report, shot).filter(|_| what == "highlights") {
        Some(channels) => format!("{} By channel, of {}: {channels}.", CLIP_RULE, words::file_name(&shot.row.frame)),
        None => CLIP_RULE.to_owned(),
    };
    html! {
        @for (place, (what, share)) in clipped(shot.row).into_iter().flatten().enumerate() {
            @if place == 0 { p.cl { "clipped" } }
            p { (what) " " (notes.cite(words::percent(share), rule(what))) }
        }
    }
}

/// The problems of a shot in words: what its own row says, or else the code's text.
fn problems(report: &Report, shot: &Shot<'_>) -> Vec<String> {
    let codes = shot.row.problems.split(';').map(str::trim).filter(|code| !code.is_empty());
    codes
        .map(|code| {
            let own = report.problems.iter().find(|row| row.code == code && row.file == shot.row.frame);
            let known = REGISTRY.iter().find(|entry| entry.name == code);
            own.map_or_else(
                || known.map_or_else(|| code.to_owned(), |entry| entry.text.to_owned()),
                |row| row.problem.clone(),
            )
        })
        .map(|text| words::visible(&text))
        .collect()
}
