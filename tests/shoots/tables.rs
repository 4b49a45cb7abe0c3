//! What is true about a shoot, as tables: per frame and light, per frame, the planted mistakes, the tone curve.

use std::fmt::Write;

use crate::curve::Curve;
use crate::exif::{MAKE, MODEL, SERIAL};
use crate::light::{AMBIENT, LIGHTS};
use crate::math::V3;
use crate::notes::{Planted, modifier};
use crate::shot::{Accident, Frame, ISOS};

const YES_NO: [&str; 2] = ["no", "yes"];
const ON_OFF: [&str; 2] = ["off", "on"];

/// A row per frame and light, ambient included. `noted_stops` is the power as typed; `share_of_frame` is the light's
/// part of the frame's mean luminance. `shares` holds one entry per frame.
pub fn lights(frames: &[Frame], names: &[&str], shares: &[[f32; LIGHTS]]) -> String {
    let mut s = String::from(
        "frame,light,set,burned,gain_stops,gain_r,gain_g,gain_b,power,gel,modifier,misfire,shortfall_stops,noted_stops,share_of_frame\n",
    );
    for (f, share) in frames.iter().zip(shares) {
        for (h, head) in f.heads.iter().enumerate() {
            let burned = f.burned(h);
            let stops = burned.map_or(String::new(), |b| b.to_string());
            let gel = burned.map_or(V3::ZERO, |_| head.gel.rgb);
            let noted = f.noted[h].power.map_or(String::new(), |p| (-(p as f32) / 3.0).to_string());
            let _ = writeln!(
                s,
                "{},{},{},{},{stops},{},{},{},{},{},{},{},{},{noted},{}",
                f.name,
                names[h],
                ON_OFF[usize::from(head.power.is_some())],
                ON_OFF[usize::from(burned.is_some())],
                gel.x,
                gel.y,
                gel.z,
                head.power_text(0),
                head.gel.name,
                modifier(names[h]),
                YES_NO[usize::from(f.accident(h) == Some(Accident::Misfire))],
                f.shortfall(h),
                share[h],
            );
        }
        let _ = writeln!(s, "{},ambient,on,on,{},1,1,1,,,windows,no,0,,{}", f.name, f.ambient_stops, share[AMBIENT]);
    }
    s
}

/// A row per frame. Box of the dancer in percent of the upright picture.
pub fn frames(frames: &[Frame], boxes: &[Option<[f32; 4]>]) -> String {
    let mut s = String::from(
        "frame,taken,make,model,body_serial,lens,focal_length_mm,f_number,f_number_exact,exposure_time,exposure_time_exact_s,iso,iso_exact,orientation,stage,series,take,pose,subject_x,subject_y,subject_w,subject_h,note\n",
    );
    for (f, b) in frames.iter().zip(boxes) {
        let (a, t) = (f.settings.aperture, f.settings.shutter);
        let series = if f.series == 0 { String::new() } else { f.series.to_string() };
        let pose = if f.pose.contains(',') { format!("\"{}\"", f.pose) } else { f.pose.to_string() };
        let _ = writeln!(
            s,
            "{},{},{MAKE},{MODEL},{SERIAL},{},{},{},{:.9},1/{},{:.9},{},{:.6},{},{},{series},{},{pose},{},{}",
            f.name,
            f.taken.iso8601(),
            f.lens.model,
            f.lens.focal_mm,
            a.marked.0 as f32 / a.marked.1 as f32,
            libm::exp2(f64::from(a.stops) / 2.0),
            t.marked,
            libm::exp2(-f64::from(t.thirds) / 3.0),
            f.iso,
            100.0 * libm::exp2(f64::from(ISOS[f.dials.iso].thirds) / 3.0),
            f.orientation(),
            f.stage,
            f.take + 1,
            b.map_or(",,,".to_string(), |b| format!("{:.1},{:.1},{:.1},{:.1}", b[0], b[1], b[2], b[3])),
            f.note,
        );
    }
    s
}

/// A row per planted mistake of the notes.
pub fn note_errors(frames: &[Frame], names: &[&str], planted: &[Planted]) -> String {
    let mut s = String::from("light,kind,first_frame,last_frame,frames,noted,really\n");
    for p in planted {
        let (a, b) = (&frames[p.frames.start], &frames[p.frames.end - 1]);
        let (noted, really) = (a.noted[p.head].power_text(0), a.heads[p.head].power_text(0));
        let _ = writeln!(s, "{},{},{},{},{},{noted},{really}", names[p.head], p.kind, a.name, b.name, p.frames.len());
    }
    s
}

/// The tone curve in words and values.
pub fn curve(curve: &Curve) -> String {
    let mut s = format!("# {}\nlinear,code\n", curve.words());
    for k in 0..=64 {
        let r = k as f32 / 64.0;
        let x = r * r * curve.white;
        let _ = writeln!(s, "{x:.6},{:.4}", curve.at(x) * 255.0);
    }
    s
}
