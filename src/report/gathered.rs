//! Findings of one kind in one phrase: "veil in 4 shots", for the sentences of the first minute

use std::collections::BTreeSet;

use super::FindingRow;
use crate::problem::REGISTRY;

/// Where a finding of some code is: it names its place by a shot, by its stage, or by itself.
enum Place {
    /// One shot.
    Shot,
    /// A run of shots or a series within one stage, or all of it.
    Stage,
    /// The whole shoot of a camera, or frames that the finding names.
    Shoot,
}

fn place(code: &str) -> Place {
    match code {
        "banding" | "soft-series" | "clipped-subject" | "clipped-skin" => Place::Stage,
        "recycle" | "iso-automatic" | "white-balance-automatic" | "light-drift" | "ambient-drift" => Place::Shoot,
        _ => Place::Shot,
    }
}

/// One phrase for every kind of finding, in the order of the findings: those that read the same together, and those of
/// one code that differ only in their figures too.
#[must_use]
pub fn phrases(findings: &[FindingRow]) -> Vec<String> {
    let mut groups: Vec<(&FindingRow, Vec<&FindingRow>)> = Vec::new();
    for finding in findings {
        match groups.iter_mut().find(|(first, _)| together(first, finding)) {
            Some((_, group)) => group.push(finding),
            None => groups.push((finding, vec![finding])),
        }
    }
    groups.iter().map(|(first, group)| phrase(first, group)).collect()
}

/// Findings about lights are gathered light by light, so that each light is named.
fn together(a: &FindingRow, b: &FindingRow) -> bool {
    let by_light = !matches!(a.code.as_str(), "recycle");
    a.code == b.code && (a.finding == b.finding || numbered(&a.code).is_some()) && (!by_light || a.light == b.light)
}

/// Codes whose findings differ from each other in figures alone, with the words for several.
fn numbered(code: &str) -> Option<&'static str> {
    Some(match code {
        "settings-slip" => "other settings than before and after",
        "short-flash" => "short",
        "banding" => "a dark band",
        "veil" => "veil",
        "soft-series" => "softer than the others of their setup",
        "recycle" => "short or missing after short gaps",
        "clipped-subject" => "highlights clipped on the subject",
        "clipped-skin" => "a channel clipped where the colour is like skin",
        "iso-automatic" => "an ISO that wanders as if the camera chose it",
        "white-balance-automatic" => "white balance automatic",
        _ => return None,
    })
}

fn phrase(first: &FindingRow, group: &[&FindingRow]) -> String {
    let (one, words) = (&first.finding, numbered(&first.code));
    let same = group.iter().all(|row| row.finding == *one);
    let many = group.len();
    let frame = &first.frame;
    match (place(&first.code), words) {
        (Place::Shot, _) if many == 1 => format!("{one} in {frame}"),
        (Place::Shot, _) if same => format!("{one} in {many} shots, the first {frame}"),
        (Place::Shot, words) => {
            let words = words.unwrap_or_else(|| text(&first.code));
            let light = if first.light.is_empty() { String::new() } else { format!("{} ", first.light) };
            format!("{light}{words} in {many} shots, the first {frame}")
        }
        (Place::Stage, _) if many == 1 => format!("{one}{}", stages(group)),
        (Place::Stage, words) if first.code == "soft-series" => {
            format!("{many} series {}, the first from {frame} on", words.unwrap_or_default())
        }
        (Place::Stage, words) => format!("{}{}", words.unwrap_or(one), stages(group)),
        (Place::Shoot, _) if many == 1 => one.clone(),
        (Place::Shoot, words) if first.code == "recycle" => {
            format!("{}: {}", lights(group), words.unwrap_or_default())
        }
        (Place::Shoot, words) => format!("{} on {many} cameras", words.unwrap_or(one)),
    }
}

fn text(code: &str) -> &str {
    REGISTRY.iter().find(|entry| entry.name == code).map_or(code, |entry| entry.text)
}

/// " in stage 7", " in 3 stages, the first stage 7"; nothing where no stage is known.
fn stages(group: &[&FindingRow]) -> String {
    let stages: BTreeSet<u32> = group.iter().filter_map(|row| row.stage).collect();
    match (stages.first(), stages.len()) {
        (None, _) => String::new(),
        (Some(one), 1) => format!(" in stage {one}"),
        (Some(first), many) => format!(" in {many} stages, the first stage {first}"),
    }
}

/// "key and rim".
fn lights(group: &[&FindingRow]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for row in group {
        if !names.contains(&row.light.as_str()) {
            names.push(&row.light);
        }
    }
    super::words::and_list(&names)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row((code, stage, light, frame, finding): (&str, u32, &str, &str, &str)) -> FindingRow {
        FindingRow {
            frame: frame.to_owned(),
            stage: Some(stage),
            light: light.to_owned(),
            code: code.to_owned(),
            finding: finding.to_owned(),
            ..FindingRow::default()
        }
    }

    /// The wording of each finding as the audit writes it, alone and with others of its code.
    #[test]
    fn one_finding_says_its_words_and_several_of_a_code_are_one_phrase() {
        let alone = [
            (
                ("veil", 2, "", "1.JPG", "a veil: the darkest places stand 1.2 stops above those of the series"),
                " in 1.JPG",
            ),
            (("banding", 2, "", "1.JPG", "dark band at the bottom, 12 % of the picture"), " in stage 2"),
            (
                ("soft-series", 2, "", "1.JPG", "a soft series: its sharpest shot has 48 % of the usual detail"),
                " in stage 2",
            ),
            (("clipped-subject", 2, "", "1.JPG", "red clipped on the subject"), " in stage 2"),
            (
                ("recycle", 2, "key", "1.JPG", "key at 1/4: short or missing after a gap of 0.9 s, full from 2.3 s on"),
                "",
            ),
            (("iso-automatic", 2, "", "1.JPG", "ISO 100, 125, 160, 125, 100 at one aperture and shutter"), ""),
            (("white-balance-automatic", 2, "", "1.JPG", "white balance automatic in 40 of 46 shots"), ""),
            (("misfire", 2, "rim", "1.JPG", "rim did not burn"), " in 1.JPG"),
        ];
        for (finding, place) in alone {
            assert_eq!(phrases(&[row(finding)]), [format!("{}{place}", finding.4)]);
        }
        let several = [
            ("veil", "", "veil in 2 shots, the first 1.JPG"),
            ("banding", "", "a dark band in 2 stages, the first stage 2"),
            ("soft-series", "", "2 series softer than the others of their setup, the first from 1.JPG on"),
            ("clipped-subject", "", "highlights clipped on the subject in 2 stages, the first stage 2"),
            ("clipped-skin", "", "a channel clipped where the colour is like skin in 2 stages, the first stage 2"),
            ("iso-automatic", "", "an ISO that wanders as if the camera chose it on 2 cameras"),
            ("white-balance-automatic", "", "white balance automatic on 2 cameras"),
            ("short-flash", "key", "key short in 2 shots, the first 1.JPG"),
            ("settings-slip", "", "other settings than before and after in 2 shots, the first 1.JPG"),
        ];
        for (code, light, said) in several {
            let rows = [(2, "1.JPG", "with 1.2"), (3, "2.JPG", "with 1.3")];
            let rows = rows.map(|(stage, frame, finding)| row((code, stage, light, frame, finding)));
            assert_eq!(phrases(&rows), [said], "{code}");
        }
    }

    #[test]
    fn each_light_is_named() {
        let rows = [
            row(("misfire", 2, "rim", "1.JPG", "rim did not burn")),
            row(("recycle", 2, "rim", "1.JPG", "rim: short or missing after a gap of 0.9 s, full from 2.3 s on")),
            row(("misfire", 2, "key", "2.JPG", "key did not burn")),
            row(("misfire", 2, "rim", "3.JPG", "rim did not burn")),
            row(("recycle", 2, "key", "2.JPG", "key: short or missing after a gap of 1.1 s, full from 2.0 s on")),
        ];
        assert_eq!(
            phrases(&rows),
            [
                "rim did not burn in 2 shots, the first 1.JPG",
                "rim and key: short or missing after short gaps",
                "key did not burn in 2.JPG"
            ]
        );
    }
}
