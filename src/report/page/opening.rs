//! The first screen: a few sentences and an almanac of the rungs beside them.

use maud::{Markup, html};

use super::almanac;
use super::keepers;
use super::ladder::{Ladder, Rung};
use super::notes::Notes;
use crate::report::{FindingRow, Report, StageRow, gathered, words};

/// How many names a sentence of the opening lists before it only counts.
const NAMES: usize = 3;
/// A change smaller than this reads as 0.0 and is no news.
const SMALLEST: f64 = 0.05;

/// Title, sentences, almanac.
pub fn markup(report: &Report, ladders: &[Ladder<'_>], notes: &mut Notes) -> Markup {
    html! {
        header {
            div.hd { h1 { bdi { (words::visible(&report.shoot)) } } p { (under_title(report)) } }
            div.open {
                (size(report, ladders))
                (keepers::opening(report, notes))
                (light(report, ladders, notes))
                (look(report))
                (unknown(report))
            }
            @if !report.stages.is_empty() { (almanac::markup(report, ladders)) }
        }
    }
}

/// `61 shots, one camera, 14 March 2026, 19:02 to 20:14`.
#[must_use]
pub fn under_title(report: &Report) -> String {
    let summary = &report.summary;
    let mut parts = vec![words::count(summary.shots, "shot", "shots")];
    if summary.cameras > 0 {
        parts.push(format!(
            "{} {}",
            words::spelled(summary.cameras),
            if summary.cameras == 1 { "camera" } else { "cameras" }
        ));
    }
    let moment = |iso: &Option<String>| iso.as_deref().and_then(words::moment);
    match (moment(&summary.from), moment(&summary.to)) {
        (Some(from), Some(to)) if from.day == to.day => {
            parts.push(format!("{}, {} to {}", from.day, from.clock, to.clock))
        }
        (Some(from), Some(to)) => parts.push(format!("{}, {} to {}, {}", from.day, from.clock, to.day, to.clock)),
        _ if summary.shots > 0 => parts.push("times not known".to_owned()),
        _ => {}
    }
    parts.join(", ")
}

fn size(report: &Report, ladders: &[Ladder<'_>]) -> Markup {
    let summary = &report.summary;
    if summary.shots == 0 {
        return html! { p { b { "No shot was found in this folder." } @if summary.files_seen > 0 {
        " " (words::capital(&words::count(summary.files_seen, "file", "files"))) " ending like a picture could not be read." } } };
    }
    if report.stages.is_empty() {
        let measured = if summary.measured == 0 { "none".to_owned() } else { words::spelled(summary.measured) };
        return html! { p { b { (words::capital(&words::count(summary.shots, "shot", "shots"))) } ", " (measured) " measured, and no stage to show." } };
    }
    let rungs = || ladders.iter().flat_map(|ladder| &ladder.rungs);
    let longest = rungs().reduce(|best, rung| if rung.shots.len() > best.shots.len() { rung } else { best });
    html! {
        p { "The shoot has " b { (words::count(summary.shots, "shot", "shots")) " in "
            @if !report.lightings.is_empty() { (words::count(report.lightings.len(), "lighting", "lightings")) " and " }
            (words::count(summary.stages, "stage", "stages")) }
            @if ladders.len() > 1 { ", on " (words::spelled(ladders.len())) " cameras whose order against each other is not known" } "."
            @if let Some(rung) = longest.filter(|rung| rung.shots.len() > 1 && rungs().count() > 1) {
                " " a.go href={ "#" (rung.id) } { (named(rung)) } " is the longest, " (words::count(rung.shots.len(), "shot", "shots"))
                @if let ([stage], false) = (rung.stages.as_slice(), rung.base.settings.is_empty()) { ", " bdi { (words::visible(&stage.settings)) } } "."
            }
            @if summary.measured < summary.shots { " " (summary.measured) " of them could be measured." }
        }
    }
}

/// "Lighting 14", kept on one line.
fn named(rung: &Rung<'_>) -> String {
    words::capital(&rung.name()).replace(' ', "\u{a0}")
}

/// The largest change beyond the settings, and how many changes stay open.
fn light(report: &Report, ladders: &[Ladder<'_>], notes: &mut Notes) -> Markup {
    let accounts = || report.stages.iter().filter_map(|stage| Some((stage, stage.detail.account.as_ref()?)));
    let figures = accounts()
        .filter_map(|(stage, account)| Some((stage, account.light_stops.filter(|stops| stops.abs() >= SMALLEST)?)));
    let largest = figures.reduce(|best, next| if next.1.abs() > best.1.abs() { next } else { best });
    let open =
        accounts().filter(|(_, account)| account.light_stops.is_none() && account.light_stops_low.is_some()).count();
    let lost = accounts().filter(|(_, account)| account.light_stops.or(account.light_stops_low).is_none()).count();
    // A rung that this stage begins is named by its lighting; else the stage is.
    let begun = |stage: &StageRow| {
        let rung = ladders.iter().flat_map(|ladder| &ladder.rungs).find(|rung| rung.first.stage == stage.stage);
        rung.map_or_else(|| format!("stage {}", stage.stage), Rung::name).replace(' ', "\u{a0}")
    };
    html! {
        @if let Some((stage, stops)) = largest {
            p { "The largest known change beyond the settings is " b {
                (notes.cite(words::stops_unit(stops), format!("Largest of all stages’ changes beyond the settings that are one figure: stage {}.", stage.stage))) }
                ", at the start of " a.go href={ "#stage-" (stage.stage) } { (begun(stage)) } "."
                @if open > 0 { " At " (stages(open)) " it lies between two figures" }
                @if lost > 0 { @if open > 0 { "; at " } @else { " At " } (stages(lost)) " it is not known" }
                @if open + lost > 0 { "." }
            }
        } @else if open + lost > 0 {
            p { "What the lights did beyond the settings"
                @if open > 0 { " lies between two figures at " (stages(open)) }
                @if lost > 0 { @if open > 0 { " and" } " is not known at " (stages(lost)) } "." }
        }
    }
}

/// `one stage`, `30 stages`.
fn stages(number: usize) -> String {
    format!("{} {}", words::spelled(number), if number == 1 { "stage" } else { "stages" })
}

/// One phrase per kind of finding, one clause per kind of problem with the files it names first.
fn look(report: &Report) -> Markup {
    let mut asks: Vec<(&str, Vec<&str>)> = Vec::new();
    for row in report.problems.iter().filter(|row| row.weight == "look at") {
        match asks.iter_mut().find(|(known, _)| *known == row.code) {
            Some((_, files)) => files.push(&row.file),
            None => asks.push((&row.code, vec![&row.file])),
        }
    }
    let unread = report.problems.iter().filter(|row| row.weight == "could not read").count();
    // Folders only lengthen a sentence.
    let bare = |row: &FindingRow| FindingRow { frame: words::file_name(&row.frame).to_owned(), ..row.clone() };
    let findings: Vec<FindingRow> = report.findings.iter().map(bare).collect();
    let found = gathered::phrases(&findings).into_iter().map(|phrase| words::visible(&words::true_minus(&phrase)));
    let kinds: Vec<String> = found.chain(asks.iter().map(|(code, files)| clause(code, files))).collect();
    let shown: Vec<&str> = kinds.iter().take(NAMES).map(String::as_str).collect();
    let more = kinds.len().saturating_sub(NAMES);
    html! {
        @if !shown.is_empty() || unread > 0 {
            p {
                @if !shown.is_empty() {
                    a.go href="#h-look" { "To look at" } ": " bdi { (shown.join("; ")) }
                    @if more > 0 { "; and " (words::spelled(more)) " more" } ". "
                }
                @if unread > 0 { a.go href="#h-unread" { (words::capital(&words::spelled(unread))) " " (if unread == 1 { "file" } else { "files" }) }
                    " could not be read, in whole or in part." }
            }
        }
    }
}

fn clause(code: &str, frames: &[&str]) -> String {
    let names: Vec<String> =
        frames.iter().filter(|f| !f.is_empty()).take(NAMES).map(|f| words::visible(words::file_name(f))).collect();
    let rest = frames.len().saturating_sub(NAMES);
    let names = if rest > 0 { format!("{} and {rest} more", names.join(", ")) } else { words::and_list(&names) };
    let code = words::visible(&code.replace('-', " "));
    if names.is_empty() { code } else { format!("{code} in {names}") }
}

/// As many names as a sentence bears, and how many there are besides.
fn shortly(what: &[String]) -> String {
    match what.len().saturating_sub(NAMES) {
        0 => words::and_list(what),
        rest => format!(
            "{} and {} more",
            what.iter().take(NAMES).cloned().collect::<Vec<_>>().join(", "),
            words::spelled(rest)
        ),
    }
}

fn unknown(report: &Report) -> Markup {
    let what: Vec<String> = report.not_known.iter().map(|row| words::visible(&row.what)).collect();
    html! {
        @if let Some(first) = report.not_known.first() {
            p { a.go href="#h-unknown" { "Not known" } ": " bdi { (shortly(&what)) } "."
                @if !first.remedy.is_empty() { " To know more: " bdi { (words::visible(first.remedy.trim_end_matches('.'))) } "." } }
        }
    }
}
