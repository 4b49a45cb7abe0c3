//! A lighting with one light left out, against the same moment rendered without that light.

use std::fs;

use stoptally::pipeline::{Request, analyse};

use crate::camera::Format;
use crate::curve::Curve;
use crate::develop::{self, Shake};
use crate::light::LIGHTS;
use crate::make::{Shoot, compose, expose};
use crate::math::V3;
use crate::read::{Quiet, board, pixels};
use crate::still::Still;
use stoptally::measure::Raster;
use stoptally::relight::hatch;
use stoptally::relight::tone::Tone;

/// Light of each code value by the true curve: the curve climbs, so halving finds it.
fn inverse(curve: &Curve) -> Vec<f64> {
    let of = |code: u8| {
        let (mut low, mut high) = (0.0_f32, curve.white);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if curve.at(middle) * 255.0 < f32::from(code) { low = middle } else { high = middle }
        }
        f64::from(0.5 * (low + high))
    };
    (0..=255).map(of).collect()
}

/// Mean luminance over the pixels of which `known` says so.
fn mean(raster: &Raster, inverse: &[f64], known: &[bool]) -> f64 {
    let light = |code: &[u8; 3]| {
        let [r, g, b] = code.map(|c| inverse[usize::from(c)]);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    let seen = raster.codes.iter().zip(known).filter(|(_, known)| **known);
    seen.map(|(code, _)| light(code)).sum::<f64>() / known.iter().filter(|known| **known).count() as f64
}

#[test]
fn a_picture_without_a_light_is_the_picture_rendered_without_it() {
    let (mut all, mut slight) = (Vec::new(), 0.0_f64);
    for (class, seed) in [("usual-solos", 41), ("gels", 41)] {
        let mut shoot = Shoot::plan(class, seed).unwrap();
        shoot.knobs.format = Format { long: 480, short: 480 * shoot.knobs.format.short / shoot.knobs.format.long };
        let base = tempfile::tempdir().unwrap();
        for (path, bytes) in shoot.files(&|_, _| ()).unwrap() {
            let path = base.path().join(path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, bytes).unwrap();
        }
        let report = analyse(&Request::of(base.path().join("frames")), &Quiet).unwrap();
        let light = inverse(&shoot.curve);
        for row in &report.lightings {
            let Some(index) = row.detail.set_anew_index else {
                println!("{class} lighting {}: {}", row.lighting, row.detail.why_no_board);
                continue;
            };
            let frame = shoot.story.frames.iter().find(|f| f.name == report.frames[index].frame).unwrap();
            let cam = shoot.camera(frame.lens, shoot.knobs.format);
            let still = Still::new(&shoot.room, &cam);
            let rendered = shoot.render(&shoot.story.takes[frame.take], [true; LIGHTS], &cam, &still).pixels;
            let rendered_without = |head: Option<usize>| {
                let mut gains = frame.gains(&shoot.strengths);
                if let Some(head) = head {
                    gains[head] = V3::ZERO;
                }
                let sum = compose(&rendered, &gains, &cam);
                let (sum, w, h) = develop::frame(&sum, cam.width, cam.height, Shake::default());
                let picture = expose(&sum, w, h, frame.iso as f32, &shoot.curve, frame.seed);
                Raster { width: w as u16, height: h as u16, codes: picture.rgb.as_chunks::<3>().0.to_vec() }
            };
            let of = report.boards.boards.iter().find(|board| board.lighting == row.lighting).unwrap();
            let tone = Tone::of_table(report.boards.tones[of.tone].clone());
            let whole = pixels(&report.prints[&index]);
            let set = board(&report, of, &whole, &tone);
            for (head, name) in shoot.story.names.iter().enumerate() {
                let Some(place) = of.sources.iter().position(|s| s.name == *name && s.burns) else { continue };
                let mut factors = set.as_shot();
                factors[place] = [0.0; 3];
                let relit = set.set(&factors).unwrap();
                let width = usize::from(whole.width);
                let hatched = |(i, code): (usize, &[u8; 3])| *code == [hatch(i % width, i / width); 3];
                let known: Vec<bool> = relit.raster.codes.iter().enumerate().map(|pixel| !hatched(pixel)).collect();
                let told = (mean(&relit.raster, &light, &known) / mean(&whole, &light, &known)).log2();
                let truth =
                    mean(&rendered_without(Some(head)), &light, &known) / mean(&rendered_without(None), &light, &known);
                println!(
                    "{class} lighting {} without {name}: {told:+.3} told, {:+.3} true, {:.0} % not known",
                    row.lighting,
                    truth.log2(),
                    100.0 * relit.unknown
                );
                all.push((told - truth.log2()).abs());
                if truth.log2() > -1.0 {
                    slight = slight.max((told - truth.log2()).abs());
                }
            }
        }
    }
    all.sort_by(f64::total_cmp);
    println!("{} pictures: median {:.3}, worst {:.3}", all.len(), all[all.len() / 2], all[all.len() - 1]);
    println!("where the loss is under a stop: worst {slight:.3}");
    assert!(all.len() >= 20);
    // Without its main light a picture is nearly black, and a code value there is a tenth of a stop.
    assert!(slight <= 0.1, "worst {slight:.3} where the loss is under a stop");
    assert!(all[all.len() / 2] <= 0.05, "median {:.3}", all[all.len() / 2]);
}
