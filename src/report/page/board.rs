//! The light board: the section's frame, and everything its script needs as one block of data.

use base64::{Engine as _, engine::general_purpose::STANDARD};
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};

use super::lane::{Kind, symbol};
use crate::exposure::dial::Turn;
use crate::light::LightPicture;
use crate::report::board_types::{Board, BoardSource};
use crate::report::{Report, words};

/// The arithmetic and the controls, in the order in which they are read.
pub const SCRIPTS: [&str; 2] = [include_str!("board_light.js"), include_str!("board.js")];
pub const STYLE: &str = include_str!("board.css");

/// Values of 16 bits that hold light; the last one says that there is none to tell.
const STEPS: f32 = 65_534.0;
const MISSING: u16 = 65_535;

/// The section; nothing where no lighting can be set anew.
pub fn section(report: &Report) -> Markup {
    let boards = &report.boards.boards;
    let without: Vec<_> = report.lightings.iter().filter(|row| !row.detail.why_no_board.is_empty()).collect();
    html! {
        @if !boards.is_empty() || !without.is_empty() {
            section aria-labelledby="h-board" {
                h2 #h-board { "Light board" }
                @if !boards.is_empty() {
                p.lead { "A lighting whose marks can be moved: drag one, or reach it with Tab and use the arrow keys. The picture is summed anew in \
                    linear light from the lights’ own pictures, by the camera’s tone curve as this shoot shows it. A mark’s zero is the line." }
                noscript { p { "The light board works with the page’s script, which is switched off here." } }
                div #board hidden {
                    (choice(report))
                    (stage())
                }
                } @else { p.lead { "No lighting of this shoot can be set anew." } }
                @if !without.is_empty() { (refused(&without)) }
                @if !boards.is_empty() { script type="application/json" #board-data { (PreEscaped(data(report))) } }
            }
        }
    }
}

fn choice(report: &Report) -> Markup {
    // The board opens on the lighting with most keepers, else on the one with most shots: what the reader will teach from.
    let worth = |lighting: u32| {
        let row = report.lightings.iter().find(|row| row.lighting == lighting);
        row.map_or((0, 0), |row| (row.keepers.unwrap_or(0), row.frames))
    };
    let boards = report.boards.boards.iter().enumerate();
    let first = boards.rev().max_by_key(|(_, board)| worth(board.lighting)).map(|(index, _)| index);
    html! {
        p.bdc {
            label for="board-lighting" { "lighting" }
            select #board-lighting autocomplete="off" { @for (index, board) in report.boards.boards.iter().enumerate() {
                option value=(index) selected[Some(index) == first] { (board.lighting) ", " (lights(board)) }
            } }
            label for="board-like" { "set its marks" }
            select #board-like autocomplete="off" {}
            button type="button" #board-back { "All marks back" }
        }
    }
}

/// "key, rim", the lights that burn in it.
fn lights(board: &Board) -> String {
    let burning = board.sources.iter().filter(|source| source.burns && source.light.is_some());
    let names: Vec<String> = burning.map(|source| words::visible(&source.name)).collect();
    if names.is_empty() { "no light".to_owned() } else { names.join(", ") }
}

fn stage() -> Markup {
    html! {
        div.bda aria-hidden="true" { div { @for stops in [-4, -2, 0, 2, 4, 6_i32] { span.{ "s" (stops + 4) } { (words::stops(f64::from(stops)).replace(".0", "")) } } span.off { "off" } } }
        div #board-rows role="group" aria-label="Lights and settings, in stops from as shot" {}
        div.bdp {
            figure { img #board-shot alt=""; figcaption #board-shot-words {} }
            figure { canvas #board-set role="img" aria-label="" {} figcaption { "as the marks now stand" } }
        }
        p #board-says aria-live="polite" {}
        div #board-exact .soft {}
        label for="board-plan" { "The plan for next time" }
        textarea #board-plan rows="8" readonly spellcheck="false" {}
        p { button type="button" #board-copy { "Copy the plan" } " " span #board-copied role="status" {} }
    }
}

fn refused(rows: &[&crate::report::LightingRow]) -> Markup {
    html! {
        details.bdn { summary { (words::count(rows.len(), "lighting", "lightings")) " without a board" }
            ul { @for row in rows { li { "Lighting " (row.lighting) ": " bdi { (words::visible(&row.detail.why_no_board)) } "." } } }
        }
    }
}

/// One JSON text that no reader of HTML can take for the end of its element.
fn data(report: &Report) -> String {
    let boards: Vec<Value> = report.boards.boards.iter().map(|board| of_board(report, board)).collect();
    let own: Vec<Value> = report.boards.own.iter().map(packed).collect();
    let data =
        json!({ "shoot": words::visible(&report.shoot), "tones": report.boards.tones, "own": own, "boards": boards });
    data.to_string().replace('<', "\\u003c")
}

fn of_board(report: &Report, board: &Board) -> Value {
    let frame = |index: usize| report.frames.get(index).map_or("", |row| words::file_name(&row.frame));
    let source = |source: &BoardSource| {
        json!({
            "name": words::visible(&source.name),
            "mark": symbol(source.light.map_or(Kind::Ambient, Kind::Light)),
            "light": source.light,
            "own": source.own,
            "gain": source.gain,
            "burns": source.burns,
            "level": source.level_stops,
            "zero": words::true_minus(&source.zero),
            "against": words::visible(frame(source.against_index)),
            "power": source.power,
            "low": source.low,
            "gel": words::visible(&source.gel),
            "bare": source.without_gel,
            "why": words::visible(&source.why_gel_stays),
        })
    };
    let turns = |dial: &[Turn]| dial.iter().map(|turn| json!([turn.marked, turn.stops])).collect::<Vec<_>>();
    json!({
        "lighting": board.lighting,
        "frame": words::visible(frame(board.frame_index)),
        "tone": board.tone,
        "jpeg": STANDARD.encode(&board.picture.jpeg),
        "place": {
            "frame": [board.place.frame.0, board.place.frame.1],
            "shift": [board.place.shift.0, board.place.shift.1],
            "turn": board.place.turn,
            "scale": board.place.scale,
        },
        "level": board.level_stops,
        "marked": board.marked,
        "sources": board.sources.iter().map(source).collect::<Vec<_>>(),
        "dials": {
            "aperture": turns(&board.dials.aperture),
            "shutter": turns(&board.dials.shutter),
            "iso": turns(&board.dials.iso),
        },
        "exact": board.exactness,
    })
}

/// A picture as numbers of 16 bits, least byte first, in one text.
fn packed(picture: &LightPicture) -> Value {
    let most = picture.linear.iter().flatten().copied().filter(|l| l.is_finite()).fold(0.0_f32, f32::max);
    let scale = if most > 0.0 { most / STEPS } else { 1.0 };
    let step = |light: f32| (light / scale + 0.5).clamp(0.0, STEPS) as u16;
    let values = picture
        .linear
        .iter()
        .zip(&picture.missing)
        .flat_map(|(light, missing)| light.map(|light| if *missing { MISSING } else { step(light) }));
    let bytes: Vec<u8> = values.flat_map(u16::to_le_bytes).collect();
    json!({ "columns": picture.columns, "rows": picture.rows, "scale": scale, "tiles": STANDARD.encode(bytes) })
}
