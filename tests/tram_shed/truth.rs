//! What is true about the evening, as tables: per frame and light, per frame, the tone curve; and the photographer's notes.

use std::fmt::Write;

use crate::develop::{CURVE_POWER, CURVE_SCALE, CURVE_WHITE, ELECTRONS, READ_NOISE, tone};
use crate::exif::{MAKE, MODEL, SERIAL};
use crate::light::FLASHES;
use crate::math::V3;
use crate::shot::{Frame, HEADS, Take};

const YES_NO: [&str; 2] = ["no", "yes"];
const ON_OFF: [&str; 2] = ["off", "on"];

/// Columns: one row per frame and light, ambient included.
pub fn lights(frames: &[Frame]) -> String {
    let mut s = String::from(
        "frame,light,set,burned,gain_stops,gain_r,gain_g,gain_b,power,gel,modifier,misfire,shortfall_stops\n",
    );
    for f in frames {
        for (h, head) in f.heads.iter().enumerate() {
            let burned = f.burned(h);
            let stops = burned.map_or(String::new(), |b| format!("{b}"));
            let gel = burned.map_or(V3::ZERO, |_| head.gel.rgb);
            let weak = f.short.filter(|x| x.0 == h).map_or(0.0, |x| x.1);
            let _ = writeln!(
                s,
                "{},{},{},{},{stops},{},{},{},{},{},{},{},{weak}",
                f.name,
                HEADS[h],
                ON_OFF[usize::from(head.power.is_some())],
                ON_OFF[usize::from(burned.is_some())],
                gel.x,
                gel.y,
                gel.z,
                head.power_text(),
                head.gel.name,
                modifier(h, head.grid),
                YES_NO[usize::from(f.misfire == Some(h))],
            );
        }
        let _ = writeln!(s, "{},ambient,on,on,{},1,1,1,,,windows,no,0", f.name, f.dusk_stops());
    }
    s
}

fn modifier(head: usize, grid: bool) -> &'static str {
    match (head, grid) {
        (0, _) => "octabox 110 cm",
        (1, true) => "reflector with grid",
        (1, false) => "reflector",
        _ => "bare reflector",
    }
}

/// Columns: one row per frame. Box of the dancer in percent of the upright picture.
pub fn frames(frames: &[Frame], takes: &[Take], boxes: &[Option<[f32; 4]>]) -> String {
    let mut s = String::from(
        "frame,taken,make,model,body_serial,lens,focal_length_mm,f_number,f_number_exact,exposure_time,exposure_time_exact_s,iso,iso_set,orientation,stage,series,take,pose,subject_x,subject_y,subject_w,subject_h,note\n",
    );
    for (f, b) in frames.iter().zip(boxes) {
        let a = f.settings.aperture;
        let t = f.settings.shutter;
        let series = if f.series == 0 { String::new() } else { f.series.to_string() };
        let _ = writeln!(
            s,
            "{},{},{MAKE},{MODEL},{SERIAL},{},{},{},{:.9},1/{},{:.9},{},{},{},{},{series},{},{},{},{}",
            f.name,
            f.taken.iso8601(),
            f.lens.model,
            f.lens.focal_mm,
            a.marked.0 as f32 / a.marked.1 as f32,
            libm::exp2(f64::from(a.stops) / 2.0),
            t.marked,
            libm::exp2(-f64::from(t.thirds) / 3.0),
            f.iso,
            f.settings.iso,
            f.orientation(),
            f.stage,
            f.take + 1,
            quoted(takes[f.take].action.name),
            b.map_or(",,,".to_string(), |b| format!("{:.1},{:.1},{:.1},{:.1}", b[0], b[1], b[2], b[3])),
            quoted(f.note),
        );
    }
    s
}

fn quoted(s: &str) -> String {
    if s.contains(',') { format!("\"{s}\"") } else { s.to_string() }
}

/// The tone curve's formula, constants, and values to check against.
pub fn curve() -> String {
    let mut s = String::from("# code/255 = (1 + (S/W)^P) * x^P / (x^P + S^P), x clipped to 0..W, per channel\n");
    let _ = writeln!(s, "# P = {CURVE_POWER}, S = {CURVE_SCALE}, W = {CURVE_WHITE}");
    let _ = writeln!(
        s,
        "# noise variance of x = (x*E + R^2)/E^2, E = {ELECTRONS}*100/ISO electrons, R = {READ_NOISE} electrons"
    );
    s.push_str("linear,code\n");
    for k in 0..=64 {
        let r = k as f32 / 64.0;
        let x = r * r * CURVE_WHITE;
        let _ = writeln!(s, "{x:.6},{:.4}", tone(x) * 255.0);
    }
    s
}

/// What the photographer typed: a row for each light that was changed, from the first frame it holds for.
pub fn notes(frames: &[Frame]) -> String {
    let places = [(0, "7:30"), (1, "1:30"), (3, "10"), (4, "2:30")];
    let roles = ["main light", "edge light", "light for the chalk, left", "light for the chalk, right"];
    let mut s = String::from("from,light,power,gel,modifier,distance_m,clock_position,height_m,role,note\n");
    let mut last = None;
    for f in frames {
        for (h, head) in f.heads.iter().enumerate() {
            let changed = last.is_none_or(|l: &Frame| l.heads[h] != *head);
            if !changed {
                continue;
            }
            let (slot, clock) = places[h];
            let p = FLASHES[slot].pos;
            let distance = (p.x * p.x + p.z * p.z).sqrt();
            let note = if last.is_none() { "" } else { f.note };
            let role = if last.is_none() { roles[h] } else { "" };
            let _ = writeln!(
                s,
                "{},{},{},{},{},{:.1},{clock},{:.1},{},{}",
                f.name,
                HEADS[h],
                head.power_text(),
                head.gel.name,
                modifier(h, head.grid),
                distance,
                p.y,
                quoted(role),
                quoted(note),
            );
        }
        last = Some(f);
    }
    s
}
