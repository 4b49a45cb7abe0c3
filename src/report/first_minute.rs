//! What a run prints: a few sentences, then which file to open.

use super::Report;

/// The sentences of the first minute. `folder` is the report's folder as the user would type it.
#[must_use]
pub fn sentences(report: &Report, folder: &str) -> String {
    let mut lines = vec![headline(report)];
    lines.extend(accounted(report));
    lines.extend(look_at(report));
    lines.extend(not_known(report));
    lines.push(format!("open {folder}/report.html"));
    lines.iter().map(|line| printable(line)).collect::<Vec<_>>().join("\n")
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
    line.push_str(&format!(", in {}", counted(s.stages, "stage")));
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
    let mut parts: Vec<String> =
        report.findings.iter().take(4).map(|f| format!("{} in {}", f.finding, f.frame)).collect();
    if report.findings.len() > 4 {
        parts.push(format!("{} more in findings.csv", report.findings.len() - 4));
    }
    let pressing = report.problems.iter().filter(|p| p.weight != "note").count();
    if pressing > 0 {
        parts.push(format!("{} with files, in problems.csv", counted(pressing, "problem")));
    }
    (!parts.is_empty()).then(|| format!("look at: {}", parts.join("; ")))
}

fn not_known(report: &Report) -> Option<String> {
    let parts: Vec<&str> = report.not_known.iter().map(|n| n.what.as_str()).collect();
    (!parts.is_empty()).then(|| format!("not known: {}", parts.join("; ")))
}

/// "1 shot", "2 shots".
fn counted(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

/// Names come from files: no escape sequence and no change of writing direction reaches the terminal.
fn printable(line: &str) -> String {
    let harmful = |c: char| {
        c.is_control() || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    line.chars().map(|c| if harmful(c) { '\u{fffd}' } else { c }).collect()
}
