//! The worst frames as a Markdown page: the frame's small picture beside what was told and what is true.

use std::error::Error;
use std::fmt::Write;
use std::fs;
use std::path::Path;

use stoptally::report::Report;

use crate::pair::Pairs;
use crate::score::Miss;
use crate::truth::{Said, Told, Truth};

/// A frame that went wrong, ready to be shown.
pub struct Bad {
    weight: f64,
    title: String,
    words: String,
    picture: Option<Vec<u8>>,
}

/// The worst `most` frames of a shoot: a frame is as bad as its misses together.
pub fn of_shoot(
    shoot: &str,
    truth: &Truth,
    told: &Told,
    pairs: &Pairs,
    misses: &[Miss],
    report: &Report,
    most: usize,
) -> Vec<Bad> {
    let mut weights = vec![0.0; truth.frames.len()];
    for m in misses {
        weights[m.frame] += m.weight;
    }
    let mut order: Vec<usize> = (0..weights.len()).filter(|i| weights[*i] > 0.0).collect();
    order.sort_by(|a, b| weights[*b].total_cmp(&weights[*a]).then(a.cmp(b)));
    order.truncate(most);
    let bad = |i: usize| {
        let name = &truth.frames[i];
        let at = report.frames.iter().position(|f| f.frame == *name);
        let picture = at.and_then(|k| report.pictures.get(k)?.as_ref()).and_then(|p| small(&p.preview.jpeg));
        let settings = at.map_or("", |k| report.frames[k].settings.as_str());
        Bad {
            weight: weights[i],
            title: format!("{shoot}, {name} ({settings})"),
            words: words(truth, told, pairs, misses, i),
            picture,
        }
    };
    order.into_iter().map(bad).collect()
}

/// The preview small enough to keep twenty of them: some 8 kB each.
fn small(preview: &[u8]) -> Option<Vec<u8>> {
    let picture = image::load_from_memory_with_format(preview, image::ImageFormat::Jpeg).ok()?.thumbnail(256, 256);
    let (rgb, mut jpeg) = (picture.to_rgb8(), Vec::new());
    let (w, h) = (u16::try_from(rgb.width()).ok()?, u16::try_from(rgb.height()).ok()?);
    jpeg_encoder::Encoder::new(&mut jpeg, 75).encode(&rgb, w, h, jpeg_encoder::ColorType::Rgb).ok()?;
    Some(jpeg)
}

fn words(truth: &Truth, told: &Told, pairs: &Pairs, misses: &[Miss], i: usize) -> String {
    let mut out = String::from(
        "| light | really | share | told | stops (90 %) | agrees | wrong |\n|---|---|---|---|---|---|---|\n",
    );
    for (light, name) in truth.lights.iter().enumerate() {
        let cell = &truth.cells[i][light];
        let really = match (cell.burned, cell.misfire, cell.stops) {
            (true, _, Some(s)) => format!("on, {s:+.2}"),
            (_, true, _) => "misfire".into(),
            _ => "off".into(),
        };
        let row = pairs[light].and_then(|t| told.row(t, i));
        let told_as = row.map_or("no row", |r| match (r.on, r.misfire) {
            (_, Said::Yes) => "misfire",
            (Said::Yes, _) => "on",
            (Said::No, _) => "off",
            (Said::Unknown, _) => "unknown",
        });
        let figure = |x: Option<f64>| x.map_or("-".into(), |x| format!("{x:+.2}"));
        let stops =
            row.map_or("-".into(), |r| format!("{} ({} to {})", figure(r.stops), figure(r.low), figure(r.high)));
        let wrong: Vec<&str> =
            misses.iter().filter(|m| m.frame == i && m.light == light).map(|m| m.words.as_str()).collect();
        let share = cell.share.map_or("-".into(), |s| format!("{:.1} %", s * 100.0));
        let agrees = row.map_or("", |r| r.agrees.as_str());
        let _ =
            writeln!(out, "| {name} | {really} | {share} | {told_as} | {stops} | {agrees} | {} |", wrong.join("; "));
    }
    out
}

/// Writes the page to `page` and its pictures into the folder of the same name beside it.
pub fn write(page: &Path, way: &str, mut bad: Vec<Bad>, most: usize) -> Result<(), Box<dyn Error>> {
    bad.sort_by(|a, b| b.weight.total_cmp(&a.weight).then_with(|| a.title.cmp(&b.title)));
    bad.truncate(most);
    let folder = page.with_extension("pictures");
    fs::create_dir_all(&folder)?;
    let below = folder.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let mut text = format!("# The {} worst frames, {way}\n", bad.len());
    for (k, b) in bad.iter().enumerate() {
        let _ = write!(text, "\n## {}. {}\n\n", k + 1, b.title);
        if let Some(jpeg) = &b.picture {
            fs::write(folder.join(format!("{:03}.jpg", k + 1)), jpeg)?;
            let _ = write!(text, "![]({below}/{:03}.jpg)\n\n", k + 1);
        }
        text += &b.words;
    }
    fs::write(page, text)?;
    Ok(())
}
