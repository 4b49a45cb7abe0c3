//! What the settings did and what the light did at each stage change, a row per change on one scale of stops.

use super::super::{Report, StageAccount, StageRow};
use super::account_axis::{axis, bare_numbers, scale};
use super::account_row::{Row, Shown, draw_row};
use super::ink::{BAND, EDGE, FIRM, INK, PAPER, PLOT_RIGHT, WIDTH};
use super::lettering::Fonts;
use super::shapes::{Key, hatched, ring};
use super::sheet::{Area, PLAIN, Sheet, Style};
use super::strip::sequences;
use super::wording::{count, stops};
use super::{Laid, heading};

/// Up to this many changes have two lines of words each.
const ROOMY: usize = 14;
/// Up to this many have one line of words; beyond it rows have no words and not every number.
const CLOSE: usize = 32;
/// Height of a row that names a camera.
const CAMERA_ROW: f64 = 44.0;

/// A row of the chart.
enum Entry<'a> {
    Camera(String),
    Change(&'a StageRow, &'a StageAccount),
}

/// Lays the chart out; None where no stage follows another.
pub fn lay_out(report: &Report, fonts: &Fonts) -> Option<Laid> {
    let entries = entries(report);
    let changes: Vec<(&StageRow, &StageAccount)> =
        entries.iter().filter_map(|e| if let Entry::Change(s, a) = e { Some((*s, *a)) } else { None }).collect();
    if changes.is_empty() {
        return None;
    }
    let shown = match changes.len() {
        0..=ROOMY => Shown::Roomy,
        n if n <= CLOSE => Shown::Close,
        n => Shown::Bare { row: (1500.0 / n as f64).clamp(1.0, 18.0) },
    };
    let title = title(&changes);
    let detail = detail(&changes);
    let mut sheet = Sheet::new(WIDTH);
    let baseline = heading(&mut sheet, fonts, &title);
    let baseline = key(&mut sheet, fonts, baseline, shown);
    let top = baseline + 58.0;
    let scale = scale(&changes, shown);
    let height = |e: &Entry| {
        if matches!(e, Entry::Camera(_)) { CAMERA_ROW } else { shown.height() }
    };
    let bottom = top + entries.iter().map(height).sum::<f64>();

    bands(&mut sheet, &entries, top, &height);
    axis(&mut sheet, &scale, (top, bottom));
    let mut y = top;
    let mut numbers = Vec::new();
    let mut shaded = false;
    for entry in &entries {
        match entry {
            Entry::Camera(name) => {
                shaded = false;
                sheet.layer("cameras");
                let name = fonts.cut(name, PLAIN.size, true, scale.left - EDGE - 12.0);
                sheet.text((EDGE, y + 32.0), name, Style { bold: true, ..PLAIN });
            }
            Entry::Change(stage, account) => {
                numbers.push((stage.stage, y));
                let ground = if shaded { BAND } else { PAPER };
                draw_row(&mut sheet, fonts, &scale, &Row { stage, account, top: y, shown, ground });
                shaded = !shaded;
            }
        }
        y += height(entry);
    }
    if let Shown::Bare { row } = shown {
        bare_numbers(&mut sheet, &numbers, row, (top, bottom));
    }
    sheet.height = (bottom + EDGE).ceil();
    Some(Laid { name: "settings-and-light", title, detail, sheet })
}

/// The changes in order; where there are several cameras, each is named before its own.
fn entries(report: &Report) -> Vec<Entry<'_>> {
    let cameras = sequences(&report.frames);
    let mut entries: Vec<Entry> = Vec::new();
    for stage in &report.stages {
        match &stage.detail.account {
            Some(account) => entries.push(Entry::Change(stage, account)),
            None if cameras.len() > 1 => {
                let of_stage = |c: &&super::strip::Sequence| (c.first..=c.last).contains(&stage.detail.first_index);
                let name = cameras.iter().find(of_stage).map_or(&stage.camera, |c| &c.name);
                // A camera whose first stage is its only one has no row: its name would stand alone.
                if matches!(entries.last(), Some(Entry::Camera(_))) {
                    entries.pop();
                }
                entries.push(Entry::Camera(name.clone()));
            }
            None => {}
        }
    }
    if matches!(entries.last(), Some(Entry::Camera(_))) {
        entries.pop();
    }
    entries
}

fn title(changes: &[(&StageRow, &StageAccount)]) -> String {
    let known: Vec<(u32, f64)> =
        changes.iter().filter_map(|(s, a)| a.light_stops.filter(|v| v.is_finite()).map(|v| (s.stage, v))).collect();
    let all = count(changes.len(), "stage change", "stage changes");
    let most = known.iter().copied().reduce(|a, b| if b.1.abs() > a.1.abs() { b } else { a });
    match most {
        Some((stage, value)) => format!(
            "Beyond the settings, the light changed most at the start of stage {stage}: {} stops (known at {} of {all})",
            stops(value, true),
            known.len()
        ),
        None => format!("What the settings did at {all}; what the light did is not known as one figure at any of them"),
    }
}

/// What the chart shows beyond its title, in words.
fn detail(changes: &[(&StageRow, &StageAccount)]) -> String {
    let between = changes
        .iter()
        .filter(|(_, a)| a.light_stops.is_none() && (a.light_stops_low.is_some() || a.light_stops_high.is_some()))
        .count();
    let unknown = changes
        .iter()
        .filter(|(_, a)| a.light_stops.is_none() && a.light_stops_low.is_none() && a.light_stops_high.is_none())
        .count();
    let mut text =
        "A row per stage change: above, what the settings did to flash and to ambient light; below, what the \
                    light did beyond them."
            .to_owned();
    if between > 0 {
        text.push_str(&format!(" At {} only the ends between which it lies.", count(between, "change", "changes")));
    }
    if unknown > 0 {
        text.push_str(&format!(" At {} it is not known.", count(unknown, "change", "changes")));
    }
    text
}

fn key(sheet: &mut Sheet, fonts: &Fonts, baseline: f64, shown: Shown) -> f64 {
    sheet.layer("key");
    let mut key = Key { fonts, x: EDGE, y: baseline };
    key.say(sheet, 40.0, "settings, on flash", |sheet, (x, y)| sheet.rect((x - 20.0, y - 5.0), 40.0, 10.0, FIRM));
    key.say(sheet, 18.0, "settings, on ambient", |sheet, at| ring(sheet, at, 8.0, INK));
    key.say(sheet, 40.0, "the light, beyond the settings", |sheet, (x, y)| {
        sheet.rect((x - 20.0, y - 7.0), 40.0, 14.0, INK)
    });
    key.say(sheet, 40.0, "the same, between two ends", |sheet, (x, y)| {
        hatched(sheet, Area { left: x - 20.0, top: y - 7.0, right: x + 20.0, bottom: y + 7.0 }, INK);
    });
    if matches!(shown, Shown::Bare { .. }) {
        key.say(sheet, 0.0, "no second mark: not known", |_, _| {});
    }
    key.y
}

fn bands(sheet: &mut Sheet, entries: &[Entry], top: f64, height: &impl Fn(&Entry) -> f64) {
    sheet.layer("bands");
    let mut y = top;
    let mut shaded = false;
    for entry in entries {
        let high = height(entry);
        match entry {
            Entry::Camera(_) => shaded = false,
            Entry::Change(..) => {
                if shaded {
                    sheet.rect((EDGE, y), PLOT_RIGHT - EDGE, high, BAND);
                }
                shaded = !shaded;
            }
        }
        y += high;
    }
}
