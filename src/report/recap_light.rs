//! The write-up's part about the light: every light of a stage as noted and as the picture tells it, and by itself.

use super::light_types::{LightAccount, LightState};
use super::recap::Recap;
use super::{Report, StageRow, words};

/// The lights of a stage as a list; empty while the lights are not told apart.
pub fn of_stage(stage: &StageRow) -> String {
    let Some(account) = &stage.detail.light_account else { return String::new() };
    let mut text = String::new();
    for light in account.each_light.iter().filter(|l| l.on != "no") {
        text.push_str(&format!("- {}: {}\n", words::markdown(&light.light), of_light(light)));
    }
    let off: Vec<String> =
        account.each_light.iter().filter(|l| l.on == "no").map(|l| words::markdown(&l.light)).collect();
    if !off.is_empty() {
        text.push_str(&format!("- Off: {}\n", words::and_list(&off)));
    }
    text.push_str(&ambient_and_ratios(account));
    if text.is_empty() { text } else { format!("Light:\n\n{text}\n") }
}

/// What was noted and what the picture tells, share and misfires.
fn of_light(light: &LightState) -> String {
    let mut parts = vec![words::markdown(&words::true_minus(&light.words))];
    let share = |share: Option<f64>, of: &str| share.map(|s| format!("{} of the {of}’s light", words::percent(s)));
    parts.extend(share(light.share_of_frame_percent, "frame"));
    parts.extend(share(light.share_of_subject_percent, "subject"));
    if light.agrees == "differs" {
        parts.push("the picture differs from the note".to_owned());
    }
    if !light.reason.is_empty() {
        parts.push(words::markdown(&words::true_minus(&light.reason)));
    }
    parts.join("; ")
}

fn ambient_and_ratios(account: &LightAccount) -> String {
    let mut text = String::new();
    if account.ambient.headroom_stops.is_some() {
        text.push_str(&format!("- Ambient: {}\n", words::true_minus(&account.ambient.words)));
    }
    for ratio in account.ratios.iter().filter(|r| r.stops.is_some()) {
        let names = if ratio.what == format!("{} to {}", ratio.of, ratio.to) {
            String::new()
        } else {
            format!(" ({} to {})", words::markdown(&ratio.of), words::markdown(&ratio.to))
        };
        let figure = words::markdown(&words::true_minus(&ratio.words));
        text.push_str(&format!("- {}{names}: {figure}\n", words::capital(&ratio.what)));
    }
    text
}

/// The section of lights by themselves, with their pictures; nothing where none has one.
pub fn alone(report: &Report, recap: &mut Recap) {
    let mut text = String::new();
    for (number, light) in (1..).zip(&report.lights) {
        let Some(own) = light.picture.and_then(|p| report.light_pictures.get(p)) else { continue };
        let name = format!("recap/light-{number:02}.jpg");
        let shown = match own.brightened_stops {
            s if s.abs() < 0.05 => String::new(),
            s if s > 0.0 => format!(", shown {} brighter", words::stops_unit(s).trim_start_matches('+')),
            s => format!(", shown {} darker", words::stops_unit(-s).trim_start_matches('+')),
        };
        let hatched = match own.hatched_percent {
            h if h > 0.0 => format!("; hatched where it is not known ({})", words::percent(h)),
            _ => String::new(),
        };
        let caption = words::markdown(&own.caption);
        text.push_str(&format!("![{caption}]({name})\n\n{}{shown}{hatched}.\n\n", words::capital(&caption)));
        recap.pictures.push((name, own.picture.jpeg.clone()));
    }
    if !text.is_empty() {
        recap.markdown.push_str(&format!("## Each light by itself\n\n{text}"));
    }
}
