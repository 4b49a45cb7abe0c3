//! What to look at, what could not be read, what is not known: fact, then remedy, then evidence in softer ink.

use maud::{Markup, html};

use crate::problem::REGISTRY;
use crate::report::{FindingRow, NotKnown, ProblemRow, Report, words};

/// Rows or names shown before the rest is folded away.
const SHOWN: usize = 8;

/// The two lists side by side.
#[must_use]
pub fn findings_and_problems(report: &Report) -> Markup {
    let weighing = |word: &str| groups(report.problems.iter().filter(|row| row.weight == word));
    let (look, unread, notes) = (weighing("look at"), weighing("could not read"), weighing("note"));
    html! {
        div.two {
            section aria-labelledby="h-look" {
                h2 #h-look { "Look at these" }
                @if report.findings.is_empty() && look.is_empty() { p.soft { "Nothing asks for a look." } }
                @else {
                    div.lk {
                        @for row in report.findings.iter().take(SHOWN) { (finding(report, row)) }
                        @for group in &look { (problem_group(group)) }
                    }
                    @if report.findings.len() > SHOWN {
                        details { summary { (words::count(report.findings.len() - SHOWN, "more finding", "more findings")) }
                            div.lk { @for row in report.findings.iter().skip(SHOWN) { (finding(report, row)) } } }
                    }
                }
            }
            section aria-labelledby="h-unread" {
                h2 #h-unread { "Could not read" }
                @if unread.is_empty() { p.soft { "Every file that ends like a picture was read." } }
                @else { div.lk { @for group in &unread { (problem_group(group)) } } }
                @if !notes.is_empty() {
                    details { summary { (words::count(notes.len(), "note on the files", "notes on the files")) " that need nothing done" }
                        div.lk { @for group in &notes { (problem_group(group)) } } }
                }
            }
        }
    }
}

fn finding(report: &Report, row: &FindingRow) -> Markup {
    let of_stage = report.stages.iter().find(|stage| Some(stage.stage) == row.stage);
    let lighting = of_stage.and_then(|stage| stage.lighting);
    html! {
        div.row {
            p.of {
                @if !row.frame.is_empty() { bdi { (words::visible(words::file_name(&row.frame))) } }
                @if let Some(stage) = row.stage { small { a.go href={ "#stage-" (stage) } { @if let Some(lighting) = lighting { "lighting " (lighting) ", " } "stage " (stage) } } }
                @if !row.light.is_empty() { small { bdi { (words::visible(&row.light)) } } }
            }
            div {
                p { bdi { (sentence(&row.finding)) } }
                @if !row.remedy.is_empty() { p.do { bdi { (sentence(&row.remedy)) } } }
                @let evidence: Vec<String> = [&row.evidence, &row.certainty].into_iter().filter(|t| !t.is_empty()).map(|t| words::visible(t)).collect();
                @if !evidence.is_empty() { p.ev { bdi { (sentence(&evidence.join("; "))) } } }
            }
        }
    }
}

struct Group<'a> {
    text: String,
    remedy: &'a str,
    rows: Vec<&'a ProblemRow>,
}

/// Problems of one code together, in the order of first appearance.
fn groups<'a>(rows: impl Iterator<Item = &'a ProblemRow>) -> Vec<Group<'a>> {
    let mut groups: Vec<Group<'a>> = Vec::new();
    for row in rows {
        if let Some(group) =
            groups.iter_mut().find(|group| group.rows.first().is_some_and(|first| first.code == row.code))
        {
            group.rows.push(row);
        } else {
            let known = REGISTRY.iter().find(|entry| entry.name == row.code);
            let text = known.map_or_else(|| row.problem.clone(), |entry| entry.text.to_owned());
            groups.push(Group { text, remedy: &row.remedy, rows: vec![row] });
        }
    }
    groups
}

fn problem_group(group: &Group<'_>) -> Markup {
    let many = group.rows.len() > SHOWN;
    html! {
        div.row {
            p.of { (words::count(group.rows.len(), "file", "files")) }
            div {
                p { bdi { (sentence(&group.text)) } }
                @if !group.remedy.is_empty() { p.do { bdi { (sentence(group.remedy)) } } }
                ul.ev { @for row in group.rows.iter().take(SHOWN) { (file(row, &group.text)) } }
                @if many {
                    details { summary { (group.rows.len() - SHOWN) " more" }
                        ul.ev { @for row in group.rows.iter().skip(SHOWN) { (file(row, &group.text)) } } }
                }
            }
        }
    }
}

fn file(row: &ProblemRow, text: &str) -> Markup {
    html! { li { bdi { (words::visible(&row.file)) } @if row.problem != text { ": " bdi { (words::visible(&row.problem)) } } } }
}

/// What is not known, why, and how to make it known.
#[must_use]
pub fn not_known(rows: &[NotKnown]) -> Markup {
    html! {
        @if !rows.is_empty() {
            section aria-labelledby="h-unknown" {
                h2 #h-unknown { "Not known, and how to make it known" }
                div.lk.nk {
                    @for row in rows {
                        div.row {
                            p.of { span.hat {} bdi { (words::visible(&row.what)) } }
                            div {
                                @if !row.remedy.is_empty() { p.do { bdi { (sentence(&row.remedy)) } } }
                                @if !row.why.is_empty() { p.ev { "Why: " bdi { (words::visible(row.why.trim_end_matches('.'))) } "." } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A clause as a sentence.
fn sentence(text: &str) -> String {
    let text = words::capital(&words::visible(&words::true_minus(text.trim())));
    if text.is_empty() || text.ends_with(['.', '?', ':']) { text } else { format!("{text}.") }
}
