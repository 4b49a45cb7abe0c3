//! The plan of a lighting, seen from above, as SVG: drawn to scale from what is noted and from nothing else.
//!
//! Sitter in the middle, camera at 6. A light's mark lies where the report says it stands, in metres times one scale; only
//! labels give way to each other, with a thin line to their mark.

use maud::{Markup, html};

use super::light_types::LightStand;
use super::words;

/// Size of the drawing.
const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 600.0;
/// Where the sitter is.
const MIDDLE: (f64, f64) = (380.0, 280.0);
/// How far from the sitter the farthest light lies.
const REACH: f64 = 225.0;
/// From a light's mark to its label.
const BESIDE: f64 = 15.0;
/// Between two labels, from top to top.
const LABEL: f64 = 38.0;
/// Longer names are cut: they stand whole in the table.
const LONGEST_NAME: usize = 22;

const PAPER: &str = "#f2f5ee";
const INK: &str = "#1b211d";
const SOFT: &str = "#4a554d";
const RULE: &str = "#c3cfc0";
const SERIF: &str = "Palatino,'Book Antiqua','Liberation Serif',Georgia,serif";

/// A drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// The document.
    pub svg: String,
    /// Its width in pixels.
    pub width: u16,
    /// Its height in pixels.
    pub height: u16,
}

/// One light on the plan.
struct Mark<'a> {
    stand: &'a LightStand,
    x: f64,
    y: f64,
    /// Middle of its label.
    label: f64,
}

impl Mark<'_> {
    fn right(&self) -> bool {
        self.x >= MIDDLE.0
    }
}

/// The plan; None where no light has a place.
#[must_use]
pub fn draw(stands: &[LightStand]) -> Option<Plan> {
    let placed: Vec<(&LightStand, f64, f64)> =
        stands.iter().filter_map(|s| Some((s, s.right_m?, s.towards_camera_m?))).collect();
    let farthest = placed.iter().map(|(_, right, towards)| libm::hypot(*right, *towards)).fold(0.0, f64::max);
    if !farthest.is_finite() || farthest <= 0.0 {
        return None;
    }
    let scale = REACH / farthest;
    let mut marks: Vec<Mark> = placed
        .into_iter()
        .map(|(stand, right, towards)| {
            let (x, y) = (MIDDLE.0 + right * scale, MIDDLE.1 + towards * scale);
            Mark { stand, x, y, label: y }
        })
        .collect();
    for right in [false, true] {
        spread(&mut marks, right);
    }
    let drawing = html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(WIDTH) height=(HEIGHT) viewBox=(format!("0 0 {WIDTH} {HEIGHT}"))
            font-family=(SERIF) font-size="15" fill=(INK) {
            title { "Plan view" }
            rect width=(WIDTH) height=(HEIGHT) fill=(PAPER) {}
            (rings(scale, farthest))
            (camera())
            @for mark in &marks { (beam(mark)) }
            (sitter())
            @for mark in &marks { (light(mark)) }
        }
    };
    Some(Plan { svg: drawing.into_string(), width: WIDTH as u16, height: HEIGHT as u16 })
}

/// Labels on one side give way downwards, then, where the drawing ends, upwards.
fn spread(marks: &mut [Mark], right: bool) {
    let mut own: Vec<&mut Mark> = marks.iter_mut().filter(|mark| mark.right() == right).collect();
    own.sort_by(|a, b| a.y.total_cmp(&b.y));
    let (top, bottom) = (26.0, HEIGHT - 60.0);
    let room = LABEL.min((bottom - top) / own.len().max(1) as f64);
    let mut least = top;
    for mark in &mut own {
        mark.label = mark.label.max(least);
        least = mark.label + room;
    }
    let mut most = bottom;
    for mark in own.iter_mut().rev() {
        mark.label = mark.label.min(most);
        most = mark.label - room;
    }
}

/// A ring to every round number of metres, and what one step is.
fn rings(scale: f64, farthest: f64) -> Markup {
    let step = [0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 250.0, 500.0]
        .into_iter()
        .find(|step| farthest / step <= 6.0)
        .unwrap_or(1000.0);
    let count = libm::floor(farthest / step) as u32;
    let bar = step * scale;
    html! {
        @for ring in 1..=count {
            circle cx=(MIDDLE.0) cy=(MIDDLE.1) r=(pixels(f64::from(ring) * bar)) fill="none" stroke=(RULE) {}
        }
        @for (name, x, y) in [("12", 0.0, -1.0), ("3", 1.0, 0.0), ("9", -1.0, 0.0)] {
            text x=(pixels(MIDDLE.0 + x * (REACH + 14.0))) y=(pixels(MIDDLE.1 + y * (REACH + 14.0) + 5.0))
                text-anchor="middle" fill=(SOFT) font-size="13" { (name) }
        }
        g stroke=(INK) stroke-width="1.5" {
            line id="scale" x1="24" y1=(HEIGHT - 26.0) x2=(pixels(24.0 + bar)) y2=(HEIGHT - 26.0) {}
            line x1="24" y1=(HEIGHT - 31.0) x2="24" y2=(HEIGHT - 21.0) {}
            line x1=(pixels(24.0 + bar)) y1=(HEIGHT - 31.0) x2=(pixels(24.0 + bar)) y2=(HEIGHT - 21.0) {}
        }
        text x=(pixels(32.0 + bar)) y=(HEIGHT - 21.0) font-size="14" { (words::metres(step)) }
    }
}

fn sitter() -> Markup {
    html! {
        circle cx=(MIDDLE.0) cy=(MIDDLE.1) r="10" fill=(PAPER) stroke=(INK) stroke-width="2" {}
        text x=(MIDDLE.0) y=(MIDDLE.1 + 28.0) text-anchor="middle" font-size="14" { "sitter" }
    }
}

/// At 6, at the edge of the drawing: how far away it stands is not noted.
fn camera() -> Markup {
    let y = HEIGHT - 46.0;
    html! {
        line x1=(MIDDLE.0) y1=(MIDDLE.1) x2=(MIDDLE.0) y2=(y) stroke=(SOFT) stroke-dasharray="2 6" {}
        path d=(format!("M{} {y}h30v20h-30zM{} {y}l5 -8h10l5 8z", MIDDLE.0 - 15.0, MIDDLE.0 - 10.0)) fill=(INK) {}
        text x=(MIDDLE.0 + 24.0) y=(y + 11.0) font-size="14" { "camera, at 6; distance not noted" }
    }
}

fn beam(mark: &Mark) -> Markup {
    html! { line x1=(pixels(mark.x)) y1=(pixels(mark.y)) x2=(MIDDLE.0) y2=(MIDDLE.1) stroke=(SOFT) stroke-width="1" {} }
}

fn light(mark: &Mark) -> Markup {
    let side = if mark.right() { 1.0 } else { -1.0 };
    let (x, anchor) = (mark.x + side * BESIDE, if mark.right() { "start" } else { "end" });
    let stand = mark.stand;
    let height = stand.height_m.map(|metres| format!(", {} high", words::metres(metres)));
    let said = format!(
        "{} at {}{}",
        stand.distance_m.map_or_else(String::new, words::metres),
        stand.clock_hours.map_or_else(String::new, words::clock),
        height.unwrap_or_default()
    );
    html! {
        g {
            title { (words::visible(&format!("{}: {}", stand.light, stand.words))) }
            @if (mark.label - mark.y).abs() > 1.0 {
                line x1=(pixels(mark.x)) y1=(pixels(mark.y)) x2=(pixels(x - side * 3.0)) y2=(pixels(mark.label)) stroke=(INK) stroke-width="0.75" {}
            }
            circle cx=(pixels(mark.x)) cy=(pixels(mark.y)) r="8" {}
            text x=(pixels(x)) y=(pixels(mark.label)) text-anchor=(anchor) font-weight="600"
                stroke=(PAPER) stroke-width="4" paint-order="stroke" { (short(&stand.light)) }
            text x=(pixels(x)) y=(pixels(mark.label + 16.0)) text-anchor=(anchor) fill=(SOFT) font-size="13"
                stroke=(PAPER) stroke-width="4" paint-order="stroke" { (said) }
        }
    }
}

/// A name of any length, for a label.
fn short(name: &str) -> String {
    let name = words::visible(name);
    if name.chars().count() <= LONGEST_NAME {
        return name;
    }
    name.chars().take(LONGEST_NAME - 1).chain(['…']).collect()
}

/// Hundredths of a pixel, without trailing zeros.
fn pixels(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
