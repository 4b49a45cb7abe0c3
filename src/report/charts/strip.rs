//! The shooting order from left to right: where each shot stands, which stage it is in, and the words along the edge.

use super::super::{FrameRow, Report};
use super::ink::{BAND, EDGE, INK, PLOT_LEFT, PLOT_RIGHT, RULE, SMALL, SOFT, TEXT};
use super::lettering::{Anchor, Fonts};
use super::sheet::{PLAIN, Sheet, Style};
use super::thin::{Line, STEPS, step_that_fits};
use super::wording::clock;

/// Shots of one camera, by index from first to last.
#[derive(Clone, Debug)]
pub struct Sequence {
    /// Index of its first shot.
    pub first: usize,
    /// Index of its last shot.
    pub last: usize,
    /// The camera's name, told apart from a second body of the same name.
    pub name: String,
}

/// Consecutive shots of one stage.
#[derive(Clone, Debug)]
struct Band {
    stage: Option<u32>,
    first: usize,
    last: usize,
}

/// The shared horizontal axis.
#[derive(Clone, Debug)]
pub struct Strip {
    /// Distance between neighbouring shots.
    pub pitch: f64,
    /// Cameras, one after the other.
    pub sequences: Vec<Sequence>,
    centres: Vec<f64>,
    bands: Vec<Band>,
}

/// The cameras of a report in order, with names that differ.
pub fn sequences(frames: &[FrameRow]) -> Vec<Sequence> {
    let mut found: Vec<Sequence> = Vec::new();
    let mut keys: Vec<(&str, &str)> = Vec::new();
    for (index, frame) in frames.iter().enumerate() {
        let key = (frame.camera.as_str(), frame.body_serial.as_str());
        match found.last_mut() {
            Some(last) if keys.last() == Some(&key) => last.last = index,
            _ => {
                let bodies: Vec<_> = keys.iter().filter(|(camera, _)| *camera == key.0).collect();
                let name = if key.0.is_empty() { "camera not known" } else { key.0 };
                let name = match bodies.len() {
                    0 => name.to_owned(),
                    before => format!("{name}, body {}", before + 1),
                };
                found.push(Sequence { first: index, last: index, name });
                keys.push(key);
            }
        }
    }
    found
}

impl Strip {
    /// Lays the shots of a report out.
    pub fn new(report: &Report) -> Self {
        let frames = &report.frames;
        let sequences = sequences(frames);
        let gaps = sequences.len().saturating_sub(1) as f64;
        let gap = if gaps > 0.0 { 44.0_f64.min(0.2 * (PLOT_RIGHT - PLOT_LEFT) / gaps) } else { 0.0 };
        let pitch = (PLOT_RIGHT - PLOT_LEFT - gap * gaps) / frames.len().max(1) as f64;
        let mut centres = Vec::with_capacity(frames.len());
        let mut bands: Vec<Band> = Vec::new();
        for (before, sequence) in sequences.iter().enumerate() {
            let shots = frames.iter().enumerate().take(sequence.last + 1).skip(sequence.first);
            for (index, frame) in shots {
                centres.push(PLOT_LEFT + gap * before as f64 + pitch * (index as f64 + 0.5));
                match bands.last_mut() {
                    Some(band) if band.stage == frame.stage && index > sequence.first => band.last = index,
                    _ => bands.push(Band { stage: frame.stage, first: index, last: index }),
                }
            }
        }
        Self { pitch, sequences, centres, bands }
    }

    /// Middle of a shot's place.
    pub fn x(&self, index: usize) -> f64 {
        self.centres.get(index).copied().unwrap_or(PLOT_LEFT)
    }

    /// Left edge of the first and right edge of the last shot's place.
    pub fn span(&self, first: usize, last: usize) -> (f64, f64) {
        (self.x(first) - self.pitch / 2.0, self.x(last) + self.pitch / 2.0)
    }

    /// Left and right edge of each camera's part.
    pub fn parts(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.sequences.iter().map(|s| self.span(s.first, s.last))
    }

    /// Draws stage bands from `top` to `bottom`; the stages' numbers and, for several cameras, their names stand at
    /// the top. Returns where the room below these words begins.
    pub fn bands(&self, sheet: &mut Sheet, fonts: &Fonts, top: f64, bottom: f64) -> f64 {
        let mut y = top;
        if self.sequences.len() > 1 {
            sheet.layer("cameras");
            y += 30.0;
            for sequence in &self.sequences {
                let (left, right) = self.span(sequence.first, sequence.last);
                let name = fonts.cut(&sequence.name, TEXT, true, right - left);
                sheet.text((left, y - 8.0), name, Style { bold: true, ..PLAIN });
            }
        }
        sheet.layer("stage-bands");
        let mut shaded = false;
        for band in &self.bands {
            let (left, right) = self.span(band.first, band.last);
            if band.stage.is_some() {
                if shaded {
                    sheet.rect((left, y), right - left, bottom - y, BAND);
                }
                shaded = !shaded;
            }
            sheet.down(left, (y, bottom), 1.0, RULE);
        }
        for (left, right) in self.parts() {
            sheet.down(right, (y, bottom), 1.0, RULE);
            sheet.across((left, right), y, 1.0, RULE);
        }
        for part in self.parts() {
            sheet.across(part, y + 34.0, 1.0, RULE);
        }
        self.stage_numbers(sheet, fonts, y + 25.0);
        y + 34.0
    }

    fn stage_numbers(&self, sheet: &mut Sheet, fonts: &Fonts, baseline: f64) {
        let numbered: Vec<(u32, f64, f64)> = self
            .bands
            .iter()
            .filter_map(|band| {
                let stage = band.stage?;
                let (left, right) = self.span(band.first, band.last);
                Some((stage, (left + right) / 2.0, fonts.width(&stage.to_string(), TEXT, true)))
            })
            .collect();
        if numbered.is_empty() {
            return;
        }
        sheet.layer("stage-numbers");
        sheet.text((EDGE, baseline), "stage", Style { ink: SOFT, ..PLAIN });
        let step = step_that_fits(&numbered, (PLOT_LEFT - 20.0, PLOT_RIGHT + EDGE), 6.0);
        for (stage, x, _) in numbered.iter().filter(|(stage, _, _)| stage.is_multiple_of(step)) {
            sheet.text((*x, baseline), stage.to_string(), Style { bold: true, anchor: Anchor::Middle, ..PLAIN });
        }
    }

    /// Writes shot numbers and, where they are known, times below `top`. Returns where the sheet may end.
    pub fn foot(&self, sheet: &mut Sheet, fonts: &Fonts, frames: &[FrameRow], top: f64) -> f64 {
        sheet.layer("shot-numbers");
        let style = Style { anchor: Anchor::Middle, ..PLAIN };
        let mut line = Line::new((PLOT_LEFT - 40.0, PLOT_RIGHT + EDGE + 4.0), 12.0);
        let mut timed = false;
        for index in self.ticks(fonts) {
            let Some(frame) = frames.get(index) else {
                continue;
            };
            let (number, time) = ((index + 1).to_string(), clock(&frame.taken));
            let width = |text: &str| fonts.width(text, TEXT, false);
            let wide = width(&number).max(time.map_or(0.0, width));
            let x = self.x(index);
            if !line.take_about(x, wide) {
                continue;
            }
            sheet.down(x, (top, top + 7.0), 2.0, INK);
            sheet.text((x, top + 31.0), number, style);
            if let Some(time) = time {
                sheet.text((x, top + 61.0), time, Style { ink: SOFT, ..style });
                timed = true;
            }
        }
        sheet.text((EDGE, top + 31.0), "shot", Style { ink: SOFT, ..PLAIN });
        if timed {
            sheet.text((EDGE, top + 61.0), "time", Style { ink: SOFT, ..PLAIN });
        }
        top + if timed { 61.0 } else { 31.0 } + EDGE
    }

    /// Shots that may get a number, most wanted first: each camera's first, then round numbers.
    fn ticks(&self, fonts: &Fonts) -> Vec<usize> {
        let widest = fonts.width("00:00", SMALL, false) + 20.0;
        let step = STEPS.into_iter().find(|s| f64::from(*s) * self.pitch >= widest).unwrap_or(u32::MAX) as usize;
        let firsts = self.sequences.iter().map(|s| s.first);
        let round = (0..self.centres.len()).filter(|index| (index + 1).is_multiple_of(step));
        firsts.chain(round).collect()
    }
}
