//! The draft of light notes that a run without notes writes: what was seen, to be corrected and given back.
//!
//! Its columns are those of the notes, so that saving it beside the frames as `light-notes.csv` is enough. A power is
//! never known without notes, but a blank would mean "as it was": so a light that was seen burning says `on`, one that
//! was not told says `?`, and the figures stand in the note. Where no light was told apart, a row for every change that
//! was seen has only `from` and `note`: it says nothing until a light is filled in.

use super::cells::guarded;
use super::table::COLUMNS;
use crate::exposure::marks::Step;
use crate::exposure::{Settings, words};
use crate::light::{Entry, LightLedger, SequenceLight, Told};
use crate::shots::{Sequence, Shot};
use crate::stages::level_stops;

/// A light's level must differ by more than this to be a change of power: powers are set in thirds of a stop.
const LEVEL_STOPS: f64 = 0.25;

/// The picture must change by more than this at the same settings to be worth asking about where no light is told
/// apart: less is done by the sitter's next pose. Common practice, no source.
const PICTURE_STOPS: f64 = 0.5;

/// A row of the draft; columns it does not name are blank.
#[derive(Default)]
struct Row<'a> {
    from: &'a str,
    light: &'a str,
    power: &'a str,
    gel: String,
    note: String,
}

/// The draft as CSV: a row per change in shooting order, cameras one after the other.
#[must_use]
pub fn draft(sequences: &[Sequence], ledger: &LightLedger) -> String {
    let mut text = line(COLUMNS.map(|(_, name, _)| name.to_owned()));
    let with_lights = ledger.sequences.iter().filter(|s| !s.lights.is_empty()).count();
    let nothing = SequenceLight::default();
    for (index, sequence) in sequences.iter().enumerate() {
        let light = ledger.sequences.get(index).unwrap_or(&nothing);
        if light.lights.is_empty() {
            hints(sequence, &mut text);
            continue;
        }
        // Nobody knows whether light-1 of two cameras is one flash.
        let body = sequence.body_serial.as_ref().unwrap_or(&sequence.camera);
        let called = |name: &str| if with_lights > 1 { format!("{name} of {body}") } else { name.to_owned() };
        let names: Vec<String> = light.lights.iter().map(|l| called(&l.name)).collect();
        changes(sequence, light, &names, &mut text);
    }
    text
}

/// A row for every light at the first shot, and wherever its setting changes.
fn changes(sequence: &Sequence, light: &SequenceLight, names: &[String], text: &mut String) {
    let mut written: Vec<Option<&Entry>> = vec![None; names.len()];
    for (shot, told) in sequence.shots.iter().zip(&light.shots) {
        for (((entry, before), name), kind) in told.entries.iter().zip(&mut written).zip(names).zip(&light.lights) {
            if before.is_some_and(|before| !changed(before, entry)) {
                continue;
            }
            let reference = kind.reference_shot.and_then(|index| sequence.shots.get(index));
            text.push_str(&seen(shot, entry, *before, name, reference).line());
            *before = Some(entry);
        }
    }
}

fn changed(before: &Entry, now: &Entry) -> bool {
    let (a, b) = (&before.setting, &now.setting);
    let level = matches!((a.level, b.level), (Some(a), Some(b)) if (a - b).abs() > LEVEL_STOPS);
    a.on != b.on || (b.on == Told::Yes && (level || a.colour != b.colour))
}

fn seen<'a>(shot: &'a Shot, entry: &Entry, before: Option<&Entry>, name: &'a str, reference: Option<&Shot>) -> Row<'a> {
    let set = &entry.setting;
    let mut row = Row { from: &shot.frame, light: name, ..Row::default() };
    match set.on {
        Told::No => {
            row.power = "off";
            row.note = format!("{name} off?");
        }
        Told::Unknown => {
            row.power = "?";
            let reason = if entry.reason.is_empty() { "the pictures do not tell" } else { &entry.reason };
            row.note = format!("{name} not told: {reason}");
        }
        Told::Yes => {
            row.power = "on";
            row.note = format!("{name} on?");
            if let (Some(level), Some(reference)) = (set.level, reference.filter(|r| r.frame != shot.frame)) {
                row.note.push_str(&format!(" {} against {}", in_stops(level), reference.frame));
            }
        }
    }
    // The first colour may be no gel at all; another one is a gel that was put on or taken off.
    if set.on != Told::Unknown && set.colour > 1 {
        row.gel = format!("colour {}", set.colour);
    }
    let other = before.is_some_and(|b| b.setting.colour != set.colour && b.setting.colour > 0);
    if set.on == Told::Yes && set.colour > 0 && other {
        row.note.push_str(", its colour changed: which gel?");
    }
    row
}

/// Where no light is told apart: from which shots on something was seen to change.
fn hints(sequence: &Sequence, text: &mut String) {
    let mut before: Option<&Shot> = None;
    for shot in &sequence.shots {
        let note = match before {
            None => Some("which lights are on? fill in light and power, a row for each light".to_owned()),
            Some(before) => hint(before, shot),
        };
        if let Some(note) = note {
            text.push_str(&Row { from: &shot.frame, note, ..Row::default() }.line());
        }
        before = Some(shot);
    }
}

fn hint(before: &Shot, now: &Shot) -> Option<String> {
    let set = |shot: &Shot| (shot.metadata.f_number, shot.metadata.exposure_time_s, shot.metadata.iso);
    let level = |shot: &Shot| shot.measurement.as_ref().and_then(|m| level_stops(m.mean_luminance));
    let change = level(now).zip(level(before)).map(|(now, before)| now - before);
    let picture = change.map_or_else(String::new, |stops| format!("; picture {}", in_stops(stops)));
    if set(before) != set(now) {
        let now = words::settings(&Settings::of(&now.metadata, Step::Third));
        return Some(format!("settings now {now}{picture}: did a light change too?"));
    }
    let large = change.is_some_and(|stops| stops.abs() > PICTURE_STOPS);
    large.then(|| format!("same settings{picture}: which light changed?"))
}

/// "+0.9 stop", "+2.0 stops".
fn in_stops(value: f64) -> String {
    format!("{} {}", words::stops(value), if libm::round(value.abs() * 10.0) > 10.0 { "stops" } else { "stop" })
}

impl Row<'_> {
    fn line(&self) -> String {
        let cell = |name: &str| match name {
            "from" => self.from,
            "light" => self.light,
            "gel" => &self.gel,
            "note" => &self.note,
            _ => "",
        };
        // The power is one of our own words; a lone dash is never among them.
        line(COLUMNS.map(|(_, name, _)| if name == "power" { self.power.to_owned() } else { guarded(cell(name)) }))
    }
}

/// A record by RFC 4180, with the plain line end that all tables here have.
fn line(cells: [String; COLUMNS.len()]) -> String {
    let quoted = |cell: &String| {
        if cell.contains([',', '"', ';']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell.clone() }
    };
    format!("{}\n", cells.iter().map(quoted).collect::<Vec<_>>().join(","))
}
