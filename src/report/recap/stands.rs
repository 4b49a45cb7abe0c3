//! Where the lights stood: the plan view, and in words whatever of it is not drawn.

use std::sync::Arc;

use super::document::{Block, Figure, Part, Text};
use super::pictures::{Gallery, Image};
use crate::report::light_types::LightStand;
use crate::report::{LightingRow, plan_view, words};

/// The plan and its words; nothing where no light's stand is noted at all.
pub fn blocks(row: &LightingRow, gallery: &mut Gallery) -> Vec<Block> {
    let stands = &row.detail.stands;
    if stands.iter().all(|stand| stand.words.is_empty()) {
        return Vec::new();
    }
    let mut blocks = vec![Block::Heading("Where the lights stood".to_owned())];
    if let Some(plan) = plan_view::draw(stands) {
        let image = Image {
            bytes: Arc::from(plan.svg.into_bytes()),
            width: plan.width,
            height: plan.height,
            kind: "image/svg+xml",
        };
        blocks.push(Block::Pictures(vec![Figure {
            file: gallery.add(&format!("plan-{:02}", row.lighting), image),
            small: None,
            alt: format!("Plan of lighting {}, seen from above with the camera at 6: {}", row.lighting, drawn(stands)),
            caption:
                "Seen from above, to scale: the sitter in the middle, the camera at 6, distances as noted and drawn \
                      along the floor. The camera’s own distance is not noted."
                    .to_owned(),
            part: Part::Plan,
        }]));
    }
    let mut points: Vec<Text> = stands.iter().filter(|s| !s.why_not_drawn.is_empty()).map(not_drawn).collect();
    let moved = stands.iter().filter(|stand| stand.moved && stand.why_not_drawn.is_empty());
    points.extend(moved.map(|stand| {
        Text::plain(format!(
            "{} was moved during this lighting; it is drawn as in the shot above.",
            words::capital(&stand.light)
        ))
    }));
    if !points.is_empty() {
        blocks.push(Block::List(points));
    }
    blocks
}

/// "key 3.9 m from the sitter at 7:30, 2.8 m high; rim …".
fn drawn(stands: &[LightStand]) -> String {
    let on_it = stands.iter().filter(|stand| stand.why_not_drawn.is_empty());
    on_it.map(|stand| format!("{} {}", stand.light, stand.words)).collect::<Vec<_>>().join("; ")
}

fn not_drawn(stand: &LightStand) -> Text {
    let noted = if stand.words.is_empty() { String::new() } else { format!(" Noted: {}.", stand.words) };
    Text::plain(format!("{} is not drawn: {}.{noted}", words::capital(&stand.light), stand.why_not_drawn))
}
