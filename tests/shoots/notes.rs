//! What the photographer typed, with the mistakes that were planted.

use std::fmt::Write;

use crate::math::{Rng, hash2};
use crate::shot::{Frame, Head};

/// A mistake in the notes: what they say is wrong for `frames`.
pub struct Planted {
    pub head: usize,
    /// `off-step`: noted on, really off for a run; `stop-wrong`: a stop too much or too little; `late`: one frame late.
    pub kind: &'static str,
    pub frames: std::ops::Range<usize>,
}

/// Fills `noted` of every frame; takes lights out for `off-step`, so it must run before anything is rendered.
pub fn write_down(frames: &mut [Frame], errors: bool, seed: u32) -> Vec<Planted> {
    for f in frames.iter_mut() {
        f.noted = f.heads.clone();
    }
    let mut planted: Vec<Planted> = Vec::new();
    if !errors {
        return planted;
    }
    let mut rng = Rng::new(seed ^ 0x0e44);
    for kind in ["off-step", "stop-wrong", "late", "stop-wrong"] {
        let places = places(frames, kind, &planted);
        if places.is_empty() {
            continue;
        }
        let pick = ((rng.next() * places.len() as f32) as usize).min(places.len() - 1);
        let (head, run) = places[pick].clone();
        let up = rng.next() < 0.5;
        for i in run.clone() {
            match kind {
                "off-step" => {
                    frames[i].heads[head].power = None;
                    frames[i].accidents.retain(|a| a.0 != head);
                }
                "stop-wrong" => {
                    let power =
                        frames[i].noted[head].power.map(|p| if (up && p >= 3) || p > 21 { p - 3 } else { p + 3 });
                    frames[i].noted[head].power = power;
                }
                _ => frames[i].noted[head] = frames[i - 1].heads[head],
            }
        }
        planted.push(Planted { head, kind, frames: run });
    }
    planted
}

/// Where a mistake of this kind can stand so that it can be found: never two of one light close together.
fn places(frames: &[Frame], kind: &str, planted: &[Planted]) -> Vec<(usize, std::ops::Range<usize>)> {
    let mut out = Vec::new();
    let n = frames.len();
    for head in 0..frames[0].heads.len() {
        let set: Vec<Option<i32>> = frames.iter().map(|f| f.heads[head].power).collect();
        let others = |r: &std::ops::Range<usize>| {
            r.clone().all(|i| frames[i].heads.iter().enumerate().any(|(h, x)| h != head && x.power.is_some()))
        };
        let free = |r: &std::ops::Range<usize>| {
            !planted.iter().any(|p| p.head == head && p.frames.start < r.end + 2 && r.start < p.frames.end + 2)
        };
        let mut start = 0;
        while start < n {
            let mut end = start + 1;
            while end < n && set[end] == set[start] && frames[end].stage == frames[start].stage {
                end += 1;
            }
            let run = start..end;
            let on_elsewhere = (0..n).filter(|i| !run.contains(i) && set[*i].is_some()).count();
            let calm = |i: usize| frames[i].accident(head).is_none();
            let fits = match kind {
                "late" => {
                    let step = start > 0
                        && match (set[start - 1], set[start]) {
                            (Some(a), Some(b)) => (a - b).abs() >= 3,
                            (None, None) => false,
                            _ => true,
                        };
                    step && run.len() >= 2 && on_elsewhere >= 3 && calm(start)
                }
                "off-step" => set[start].is_some() && (2..=5).contains(&run.len()) && on_elsewhere >= 4 && others(&run),
                _ => set[start].is_some() && (2..=6).contains(&run.len()) && on_elsewhere >= 4,
            };
            let place = if kind == "late" { start..start + 1 } else { run.clone() };
            if fits && free(&place) {
                out.push((head, place));
            }
            start = end;
        }
    }
    out
}

fn quoted(s: &str) -> String {
    if s.contains(',') { format!("\"{s}\"") } else { s.to_string() }
}

/// The file: a row for each light that was changed, from the first frame it holds for.
pub fn file(frames: &[Frame], names: &[&str], seed: u32) -> String {
    let mut s = String::from("from,light,power,gel,modifier,distance_m,clock_position,height_m,role,note\n");
    let hand = hash2(seed, 0x7e47);
    let mut last: Option<&Frame> = None;
    for f in frames {
        for (h, head) in f.noted.iter().enumerate() {
            if last.is_some_and(|l| l.noted[h] == *head) {
                continue;
            }
            let Head { gel, .. } = head;
            let (power, modifier, role) = (head.power_text(hand), modifier(names[h]), role(names[h]));
            let role = if last.is_none() { role } else { "" };
            let _ = writeln!(s, "{},{},{power},{},{modifier},,,,{role},{}", f.name, names[h], gel.name, quoted(f.note));
        }
        last = Some(f);
    }
    s
}

pub fn modifier(name: &str) -> &'static str {
    match name {
        "key" => "octabox 110 cm",
        "fill" => "umbrella",
        "rim" => "reflector with grid",
        _ => "bare reflector",
    }
}

fn role(name: &str) -> &'static str {
    match name {
        "key" => "main light",
        "fill" => "fill",
        "rim" => "edge light",
        _ => "light for the chalk",
    }
}
