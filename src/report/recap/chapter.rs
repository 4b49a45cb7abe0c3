//! A chapter to each lighting, in order: its picture, what was changed and what that did, its lights, before and after.
//!
//! Where the lights are not told apart a stage takes a lighting's place: then there is less to say.

use super::document::{Block, Chapter, Figure, Part, Text};
use super::pictures::{Gallery, Named};
use super::{change, lights, one_by_one, stands};
use crate::report::{LightingRow, Report, StageRow, words};

/// All chapters.
pub fn all(report: &Report, gallery: &mut Gallery) -> Vec<Chapter> {
    if report.lightings.is_empty() {
        return report.stages.iter().map(|stage| of_stage(report, stage, gallery)).collect();
    }
    let shown: Vec<Option<Named>> = report
        .lightings
        .iter()
        .map(|row| gallery.shot(report, row.detail.typical_index, &format!("lighting-{:02}", row.lighting)))
        .collect();
    (0..shown.len()).filter_map(|index| of_lighting(report, index, &shown, gallery)).collect()
}

/// The chapter of one lighting, by its index in the report; `shown` are the pictures of all.
fn of_lighting(report: &Report, index: usize, shown: &[Option<Named>], gallery: &mut Gallery) -> Option<Chapter> {
    let row = report.lightings.get(index)?;
    let named = shown.get(index)?.as_ref();
    let stages: Vec<&StageRow> =
        report.stages.iter().filter(|stage| row.detail.stage_numbers.contains(&stage.stage)).collect();
    let first = stages.first().copied();
    let changed = if row.changed.is_empty() { "no light changed".to_owned() } else { row.changed.clone() };
    let mut blocks = Vec::new();
    if let Some(named) = named {
        blocks.push(Block::Pictures(vec![Figure {
            file: named.file.clone(),
            small: named.small.clone(),
            alt: format!("Lighting {}: {}", row.lighting, or_its_frame(report, row)),
            caption: caption(report, row.detail.typical_index),
            part: Part::Main,
        }]));
    }
    blocks.extend(first.map(|stage| Block::Paragraph(change::sentences(stage))));
    blocks.push(Block::paragraph(shot(report, row, &stages)));
    let more: Vec<Text> = stages.iter().skip(1).map(|stage| of_later_stage(stage)).collect();
    if !more.is_empty() {
        blocks.push(Block::List(more));
    }
    blocks.extend(lights::blocks(report, row));
    blocks.extend(first.and_then(|stage| pair(report, stage, shown, gallery)).into_iter().flatten());
    blocks.extend(one_by_one::blocks(report, row, gallery));
    blocks.extend(stands::blocks(row, gallery));
    Some(Chapter { heading: heading(row.lighting, &changed, first), blocks })
}

/// "5. Key on at 1/8 (16:33)".
fn heading(number: u32, changed: &str, stage: Option<&StageRow>) -> String {
    let clock = stage.and_then(|stage| words::moment(&stage.started));
    let clock = clock.map_or_else(String::new, |moment| format!(" ({})", moment.clock));
    format!("{number}. {}{clock}", words::true_minus(&words::capital(changed)))
}

/// What the picture shows; of nothing known, which shot it is.
fn or_its_frame(report: &Report, row: &LightingRow) -> String {
    match row.detail.shows.as_str() {
        "" => frame(report, row.detail.typical_index),
        shows => words::true_minus(shows),
    }
}

/// The shot's name without its folders.
pub fn frame(report: &Report, index: usize) -> String {
    report.frames.get(index).map_or_else(String::new, |row| words::file_name(&row.frame).to_owned())
}

/// "TS4_9990.JPG: f/5.6, 1/200, ISO 100; 35mm F2."
fn caption(report: &Report, index: usize) -> String {
    let Some(row) = report.frames.get(index) else { return String::new() };
    let parts = [row.settings.clone(), words::lens(&row.lens, row.focal_length_mm)];
    let said: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    let said = if said.is_empty() { "settings not known".to_owned() } else { said.join("; ") };
    format!("{}: {said}.", words::capital(&frame(report, index)))
}

/// How much was shot at this lighting, at what settings, and what was kept of it.
fn shot(report: &Report, row: &LightingRow, stages: &[&StageRow]) -> String {
    let camera =
        if report.summary.cameras > 1 && !row.camera.is_empty() { format!("{}: ", row.camera) } else { String::new() };
    let shots = words::count(row.frames, "shot", "shots");
    let mut text = match stages {
        [_, _, ..] => format!(
            "{camera}{shots} in {}, first at {}.",
            words::count(stages.len(), "stage", "stages"),
            settings_of(stages.first().copied())
        ),
        _ => format!("{camera}{shots} at {}.", settings_of(stages.first().copied())),
    };
    // Of tests of the build no keeper is expected: nothing is said of them.
    if let Some(kept) = words::Kept::of_lighting(row).filter(|kept| !kept.nothing()) {
        text.push_str(&format!(" {}.", words::capital(&kept.words())));
    }
    text
}

/// "f/5.6, 1/200, ISO 100; 35mm F2".
fn settings_of(stage: Option<&StageRow>) -> String {
    let Some(stage) = stage else { return "settings that are not known".to_owned() };
    let settings = if stage.settings.is_empty() { "settings that are not known" } else { stage.settings.as_str() };
    let lens = words::lens(&stage.lens, stage.focal_length_mm);
    if lens.is_empty() { settings.to_owned() } else { format!("{settings}; {lens}") }
}

/// A later stage of the same lighting: what was turned, and the settings then.
fn of_later_stage(stage: &StageRow) -> Text {
    let clock = words::moment(&stage.started).map_or_else(String::new, |moment| format!(" ({})", moment.clock));
    let headline = words::true_minus(&stage.detail.headline);
    let level = stage.mean_luminance_stops.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops_unit);
    let shots = words::count(stage.frames, "shot", "shots");
    Text::led(
        format!("Stage {}", stage.stage),
        format!("{clock}: {headline}; {shots} at {}; level as shot {level}.", settings_of(Some(stage))),
    )
}

/// The stage that this lighting begins with beside the one before it: what the account above is about.
fn pair(report: &Report, after: &StageRow, shown: &[Option<Named>], gallery: &mut Gallery) -> Option<[Block; 2]> {
    after.detail.account.as_ref()?;
    let place = report.stages.iter().position(|stage| stage.stage == after.stage)?;
    let before = report.stages.get(place.checked_sub(1)?)?;
    let figures =
        vec![in_pair(report, "Before", before, shown, gallery)?, in_pair(report, "After", after, shown, gallery)?];
    Some([Block::Heading("Before and after".to_owned()), Block::Pictures(figures)])
}

fn in_pair(
    report: &Report,
    word: &str,
    stage: &StageRow,
    shown: &[Option<Named>],
    gallery: &mut Gallery,
) -> Option<Figure> {
    let typical = stage.detail.typical_index;
    let mut lightings = report.lightings.iter().zip(shown);
    let own = lightings.find(|(row, _)| row.detail.typical_index == typical);
    let (file, shows) = match own {
        Some((row, named)) => (named.as_ref()?.smallest(), or_its_frame(report, row)),
        None => {
            let level = stage.mean_luminance_stops.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops_unit);
            let named = gallery.preview(report, typical, &format!("stage-{:02}", stage.stage))?;
            (named.file, format!("the whole picture stands at {level} against mid-grey"))
        }
    };
    let lighting = stage.lighting.map_or_else(String::new, |number| format!(" of lighting {number}"));
    Some(Figure {
        file,
        small: None,
        alt: format!("{word}, stage {}{lighting}: {shows}", stage.stage),
        caption: format!("{word}: stage {}{lighting}, {}.", stage.stage, settings_of(Some(stage))),
        part: Part::Pair,
    })
}

/// A stage of a shoot whose lights are not told apart.
fn of_stage(report: &Report, stage: &StageRow, gallery: &mut Gallery) -> Chapter {
    let mut blocks = Vec::new();
    let typical = stage.detail.typical_index;
    if let Some(named) = gallery.shot(report, typical, &format!("stage-{:02}", stage.stage)) {
        let level = stage.mean_luminance_stops.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops_unit);
        blocks.push(Block::Pictures(vec![Figure {
            file: named.file,
            small: named.small,
            alt: format!("Stage {}: the whole picture stands at {level} against mid-grey", stage.stage),
            caption: caption(report, typical),
            part: Part::Main,
        }]));
    }
    blocks.push(Block::Paragraph(change::sentences(stage)));
    let camera = if report.summary.cameras > 1 && !stage.camera.is_empty() {
        format!("{}: ", stage.camera)
    } else {
        String::new()
    };
    let mut text = format!("{camera}{} at {}", words::count(stage.frames, "shot", "shots"), settings_of(Some(stage)));
    if let Some(first) = stage.detail.first_met_in_stage {
        text.push_str(&format!("; the same setup as stage {first}"));
    }
    text.push('.');
    if let Some(kept) = words::Kept::of(stage).filter(|kept| !kept.nothing()) {
        text.push_str(&format!(" {}.", words::capital(&kept.words())));
    }
    blocks.push(Block::paragraph(text));
    Chapter { heading: heading(stage.stage, &stage.detail.headline, Some(stage)), blocks }
}
