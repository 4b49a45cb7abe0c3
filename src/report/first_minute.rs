//! What a run prints: a few sentences, then which file to open.

use std::collections::BTreeSet;

use super::{Report, gathered, words};
use crate::problem::Weight;

/// More findings than this are left to the page.
const MOST_FINDINGS: usize = 4;

/// More than this that is not known is left to the page.
const MOST_NOT_KNOWN: usize = 5;

/// The sentences of the first minute. `folder` is the report's folder as the user would type it.
#[must_use]
pub fn sentences(report: &Report, folder: &str) -> String {
    let mut lines = vec![headline(report)];
    lines.extend(accounted(report));
    lines.extend(report.keeper_count.iter().map(|count| format!("keepers: {}", count.summary)));
    lines.extend(report.keeper_count.iter().map(|count| count.comparison.clone()));
    lines.extend(look_at(report));
    lines.extend(not_known(report));
    lines.push(format!("open {folder}/report.html"));
    // Names come from files: no escape sequence and no change of writing direction reaches the terminal.
    lines.iter().map(|line| words::visible(line)).collect::<Vec<_>>().join("\n")
}

/// The sentences of a run that made something to publish: for the photographer, so with the files' own names.
#[must_use]
pub fn published(report: &Report, folder: &str) -> String {
    let all = sentences(report, folder);
    let (said, _) = all.rsplit_once("\nopen ").unwrap_or((&all, ""));
    let left_out = "to publish: shots are called by number; no file or folder names, serial numbers or places; tables and \
                    shoot.json are not written, since they name your files: run without --publish for them";
    format!("{said}\n{left_out}\nopen {}", words::visible(&format!("{folder}/recap.html")))
}

fn headline(report: &Report) -> String {
    let s = &report.summary;
    if s.shots == 0 {
        return format!("no shots in {}", report.shoot);
    }
    let mut line = format!(
        "{}, {}",
        counted(s.shots, "shot"),
        if s.cameras == 1 { "one camera".to_owned() } else { format!("{} cameras", s.cameras) }
    );
    if let (Some(from), Some(to)) = (&s.from, &s.to) {
        line.push_str(&format!(", {}", span(from, to)));
    }
    let lightings = match report.lightings.len() {
        0 => String::new(),
        many => format!("{} and ", counted(many, "lighting")),
    };
    line.push_str(&format!(", in {lightings}{}", counted(s.stages, "stage")));
    line
}

/// "19:02-20:14" within one day, with the dates otherwise.
fn span(from: &str, to: &str) -> String {
    let part = |text: &str, range: std::ops::Range<usize>| text.get(range).unwrap_or_default().to_owned();
    let (day, minute) = (0..10, 11..16);
    let (first, last) = (part(from, day.clone()), part(to, day));
    if first == last {
        format!("{}-{}", part(from, minute.clone()), part(to, minute))
    } else {
        format!("{first} {} to {last} {}", part(from, minute.clone()), part(to, minute))
    }
}

fn accounted(report: &Report) -> Option<String> {
    let s = &report.summary;
    let whole = s.measured == s.shots && s.files_without_row == 0;
    (!whole).then(|| {
        let mut parts = vec![format!("{} measured", counted(s.measured, "shot"))];
        let without = s.shots - s.measured;
        if without > 0 {
            parts.push(format!("{without} without a readable picture"));
        }
        if s.companions > 0 {
            parts.push(counted(s.companions, "companion"));
        }
        if s.files_without_row > 0 {
            parts.push(format!("{} that could not become a shot", counted(s.files_without_row, "file")));
        }
        format!("of {} that end like a picture: {}", counted(s.files_seen, "file"), parts.join(", "))
    })
}

fn look_at(report: &Report) -> Option<String> {
    let mut parts = gathered::phrases(&report.findings);
    if parts.len() > MOST_FINDINGS {
        parts.truncate(MOST_FINDINGS);
        parts.push("more in findings.csv".to_owned());
    }
    parts.extend(troubled(report));
    (!parts.is_empty()).then(|| format!("look at: {}", parts.join("; ")))
}

/// "18 files could not be read and 40 have gaps or oddities, see problems.csv".
fn troubled(report: &Report) -> Option<String> {
    let files = |weight: Weight| {
        let of_weight = report.problems.iter().filter(|p| p.weight == weight.word());
        of_weight.map(|p| p.file.as_str()).collect::<BTreeSet<_>>()
    };
    let unread = files(Weight::Unread);
    let odd = files(Weight::Look).difference(&unread).count();
    let parts = match (unread.len(), odd) {
        (0, 0) => return None,
        (0, odd) => format!("{} with gaps or oddities in the data", counted(odd, "file")),
        (unread, 0) => format!("{} that could not be read", counted(unread, "file")),
        (unread, odd) => {
            format!("{} that could not be read, {odd} more with gaps or oddities in the data", counted(unread, "file"))
        }
    };
    Some(format!("{parts}, see problems.csv"))
}

fn not_known(report: &Report) -> Option<String> {
    let mut parts: Vec<&str> = report.not_known.iter().map(|n| n.what.as_str()).take(MOST_NOT_KNOWN).collect();
    if report.not_known.len() > MOST_NOT_KNOWN {
        parts.push("more in the report");
    }
    (!parts.is_empty()).then(|| format!("not known: {}", parts.join("; ")))
}

/// "1 shot", "2 shots".
fn counted(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}
