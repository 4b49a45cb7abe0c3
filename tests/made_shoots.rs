//! The maker of shoots keeps its word: same seed, same bytes; light adds; its tables agree with one another and with the files
#![allow(dead_code)]

#[path = "shoots/camera.rs"]
mod camera;
#[path = "shoots/class.rs"]
mod class;
#[path = "shoots/curve.rs"]
mod curve;
#[path = "shoots/dancer.rs"]
mod dancer;
#[path = "tram_shed/develop.rs"]
mod develop;
#[path = "tram_shed/exif.rs"]
mod exif;
#[path = "tram_shed/figure.rs"]
mod figure;
#[path = "shoots/haze.rs"]
mod haze;
#[path = "tram_shed/light.rs"]
mod light;
#[path = "shoots/make.rs"]
mod make;
#[path = "tram_shed/math.rs"]
mod math;
#[path = "shoots/notes.rs"]
mod notes;
#[path = "tram_shed/poses.rs"]
mod poses;
#[path = "shoots/render.rs"]
mod render;
#[path = "shoots/room.rs"]
mod room;
#[path = "shoots/shot.rs"]
mod shot;
#[path = "shoots/still.rs"]
mod still;
#[path = "shoots/story.rs"]
mod story;
#[path = "shoots/tables.rs"]
mod tables;

use camera::Format;
use class::CLASSES;
use curve::Curve;
use light::{AMBIENT, LIGHTS};
use make::Shoot;
use math::{V3, v3};
use shot::{Accident, Gel, Head, NO_GEL};
use still::Still;
use stoptally::metadata::{Lens, Marked, Orientation, WhiteBalance, read};
use stoptally::walk::{Kind, PhotoFile};

/// A shoot small enough to be rendered in a test: its first `frames` frames at `long` pixels.
fn small(class: &str, seed: u32, frames: usize, long: usize) -> Shoot {
    let mut shoot = Shoot::plan(class, seed).expect("the class exists");
    shoot.story.frames.truncate(frames);
    shoot.planted.clear();
    let Format { long: l, short: s } = shoot.knobs.format;
    shoot.knobs.format = Format { long, short: long * s / l };
    shoot
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_seed_others() {
    let files = |seed| small("gels", seed, 5, 120).files(&|_, _| ()).unwrap();
    let (a, b, c) = (files(3), files(3), files(4));
    assert_eq!(a.len(), 5 + 5);
    assert!(a == b, "the same seed gave other bytes");
    assert!(a.iter().zip(&c).all(|(x, y)| x.1 != y.1 || x.0.ends_with("note-errors.csv")));
}

/// Superposition: the picture of two lights is the sum of the pictures of each alone, gel and power in front.
#[test]
fn two_lights_together_are_the_sum_of_each_alone() {
    let shoot = small("five-lights", 2, 6, 160);
    let cam = shoot.camera(shoot.story.frames[3].lens, shoot.knobs.format);
    let still = Still::new(&shoot.room, &cam);
    let pixels = shoot.render(&shoot.story.takes[3], [true; LIGHTS], &cam, &still).pixels;
    let mut f = shoot.story.frames[3].clone();
    let amber = Gel { name: "amber", rgb: v3(0.96, 0.56, 0.17) };
    let (key, rim) = (Head { power: Some(9), gel: NO_GEL }, Head { power: Some(13), gel: amber });
    f.accidents.clear();
    let mut with = |heads: [Head; 2]| {
        f.heads = vec![Head::OFF; 5];
        f.heads[..2].copy_from_slice(&heads);
        let mut gains = f.gains(&shoot.strengths);
        gains[AMBIENT] = V3::ZERO;
        make::compose(&pixels, &gains, &cam)
    };
    let both = with([key, rim]);
    let (only_key, only_rim) = (with([key, Head::OFF]), with([Head::OFF, rim]));
    let none = with([Head::OFF, Head::OFF]);
    let lit = |p: &[V3]| p.iter().map(|v| f64::from(v.y)).sum::<f64>() / p.len() as f64;
    assert!(lit(&only_key) > 0.01 && lit(&only_rim) > 1e-4 && lit(&none) == 0.0);
    for ((b, k), r) in both.iter().zip(&only_key).zip(&only_rim) {
        for i in 0..3 {
            let sum = k.axis(i) + r.axis(i);
            assert!((b.axis(i) - sum).abs() <= 1e-5 * sum.abs() + 1e-7, "{} against {sum}", b.axis(i));
        }
    }
    // A third stop of power is the cube root of two, whatever else is in front.
    let less = with([Head { power: Some(10), gel: NO_GEL }, Head::OFF]);
    let ratio = lit(&only_key) / lit(&less);
    assert!((ratio - 2f64.powf(1.0 / 3.0)).abs() < 1e-4, "{ratio}");
}

/// A picture read back through the inverse of its own tone curve holds the light it was made of, within what shake, noise
/// and JPEG change of a mean: two per cent here.
#[test]
fn a_written_picture_holds_its_light() {
    for class in ["usual-solos", "strange-curve", "portrait"] {
        let shoot = small(class, 3, 6, 240);
        let files = shoot.files(&|_, _| ()).unwrap();
        let inverse: Vec<f64> = (0..256).map(|code| inverse(&shoot.curve, code as f32 / 255.0)).collect();
        for (f, (_, bytes)) in shoot.story.frames.iter().zip(&files).skip(3) {
            let cam = shoot.camera(f.lens, shoot.knobs.format);
            let still = Still::new(&shoot.room, &cam);
            let pixels = shoot.render(&shoot.story.takes[f.take], [true; LIGHTS], &cam, &still).pixels;
            let light = make::compose(&pixels, &f.gains(&shoot.strengths), &cam);
            let (light, w, h) = develop::frame(&light, cam.width, cam.height, develop::Shake::default());
            let white = shoot.curve.white;
            let real = light.iter().map(|p| f64::from(p.x.min(white) + p.y.min(white) + p.z.min(white))).sum::<f64>();
            let picture = image::load_from_memory(bytes).unwrap().to_rgb8();
            assert_eq!(picture.as_raw().len(), w * h * 3);
            let read = picture.as_raw().iter().map(|code| inverse[usize::from(*code)]).sum::<f64>();
            assert!((read / real - 1.0).abs() < 0.02, "{class} {}: {read} against {real}", f.name);
        }
    }
}

/// Least squares over tiles, with the true curve and each light's own picture: every light comes back at the strength the
/// table says, to a few hundredths of a stop, the weak ones too.
#[test]
fn every_lights_strength_can_be_read_from_the_written_picture() {
    let mut shoot = small("five-lights", 2, 40, 240);
    shoot.knobs.shake = (0.0, 0.0);
    let busy = |f: &shot::Frame| (0..5).filter(|h| f.burned(*h).is_some()).count() >= 4;
    let f = shoot.story.frames.iter().find(|f| busy(f)).unwrap().clone();
    shoot.story.frames = vec![f.clone()];
    let files = shoot.files(&|_, _| ()).unwrap();
    let picture = image::load_from_memory(&files[0].1).unwrap().to_rgb8();
    let inverse: Vec<f64> = (0..256).map(|code| inverse(&shoot.curve, code as f32 / 255.0)).collect();
    let cam = shoot.camera(f.lens, shoot.knobs.format);
    let still = Still::new(&shoot.room, &cam);
    let pixels = shoot.render(&shoot.story.takes[f.take], [true; LIGHTS], &cam, &still).pixels;
    let gains = f.gains(&shoot.strengths);
    let on: Vec<usize> = (0..LIGHTS).filter(|l| gains[*l] != V3::ZERO).collect();
    let alone: Vec<Vec<V3>> = on
        .iter()
        .map(|l| {
            let mut one = [V3::ZERO; LIGHTS];
            one[*l] = gains[*l];
            let light = make::compose(&pixels, &one, &cam);
            develop::frame(&light, cam.width, cam.height, develop::Shake::default()).0
        })
        .collect();
    const TILE: usize = 6;
    let (w, h) = (picture.width() as usize / TILE, picture.height() as usize / TILE);
    let n = on.len();
    let mut normal = vec![vec![0.0f64; n + 1]; n];
    for (tile, channel) in (0..w * h).flat_map(|t| (0..3).map(move |c| (t, c))) {
        let inside = (0..TILE * TILE).map(|k| {
            let (x, y) = (tile % w * TILE + k % TILE, tile / w * TILE + k / TILE);
            y * picture.width() as usize + x
        });
        let codes: Vec<u8> = inside.clone().map(|i| picture.as_raw()[i * 3 + channel]).collect();
        if codes.iter().any(|c| *c >= 250) {
            continue;
        }
        let y: f64 = codes.iter().map(|c| inverse[usize::from(*c)]).sum();
        let x: Vec<f64> = alone.iter().map(|a| inside.clone().map(|i| f64::from(a[i].axis(channel))).sum()).collect();
        let weight = 1.0 / (0.02 * y + 0.001).powi(2);
        for (row, a) in normal.iter_mut().zip(&x) {
            for (m, b) in row.iter_mut().zip(x.iter().chain([&y])) {
                *m += weight * a * b;
            }
        }
    }
    for (l, found) in on.iter().zip(solved(normal)) {
        let share = alone[on.iter().position(|o| o == l).unwrap()].iter().map(|p| p.y).sum::<f32>();
        assert!(found > 0.0 && found.log2().abs() < 0.05, "light {l} (sum {share}): {} stops off", found.log2());
    }
}

/// Gauss's elimination of a symmetric positive system, right side last.
fn solved(mut m: Vec<Vec<f64>>) -> Vec<f64> {
    let n = m.len();
    for i in 0..n {
        let pivot = m[i].clone();
        for row in m.iter_mut().skip(i + 1) {
            let k = row[i] / pivot[i];
            row.iter_mut().zip(&pivot).for_each(|(r, p)| *r -= k * p);
        }
    }
    let mut x = vec![0.0; n];
    for i in (0..n).rev() {
        let rest: f64 = (i + 1..n).map(|j| m[i][j] * x[j]).sum();
        x[i] = (m[i][n] - rest) / m[i][i];
    }
    x
}

fn inverse(curve: &Curve, code: f32) -> f64 {
    let (mut a, mut b) = (0.0, curve.white);
    for _ in 0..50 {
        let m = (a + b) * 0.5;
        if curve.at(m) < code { a = m } else { b = m }
    }
    f64::from(a)
}

#[test]
fn a_misfire_is_set_on_and_did_not_burn_and_every_planted_mistake_stands_in_the_notes() {
    let (mut misfires, mut kinds) = (0, std::collections::BTreeSet::new());
    for class in CLASSES {
        for seed in 1..=4 {
            let s = Shoot::plan(class, seed).unwrap();
            let frames = &s.story.frames;
            assert!((20..=45).contains(&frames.len()), "{class} {seed}: {} frames", frames.len());
            assert!(frames.windows(2).all(|w| w[0].taken.0 < w[1].taken.0), "{class} {seed}: time runs back");
            for f in frames {
                for h in 0..f.heads.len() {
                    let on = f.heads[h].power.is_some();
                    match f.accident(h) {
                        Some(Accident::Misfire) => {
                            assert!(on && f.burned(h).is_none(), "{class} {seed} {}", f.name);
                            misfires += 1;
                        }
                        Some(Accident::Short(by)) => assert!(on && by > 0.0),
                        None => assert_eq!(f.burned(h).is_some(), on),
                    }
                }
            }
            let lights = tables::lights(frames, &s.story.names, &vec![[0.0; LIGHTS]; frames.len()]);
            let rows: Vec<Vec<&str>> = lights.lines().skip(1).map(|l| l.split(',').collect()).collect();
            assert_eq!(rows.len(), frames.len() * (s.story.names.len() + 1));
            for row in &rows {
                assert!(row[11] == "no" || (row[2], row[3], row[4]) == ("on", "off", ""), "{row:?}");
            }
            let wrong = |i: usize, h: usize| frames[i].noted[h] != frames[i].heads[h];
            for p in &s.planted {
                kinds.insert(p.kind);
                let runs = if p.kind == "late" { 1..=1 } else { 2..=6 };
                assert!(runs.contains(&p.frames.len()), "{class} {seed}: {} for {:?}", p.kind, p.frames);
                assert!(p.frames.clone().all(|i| wrong(i, p.head)), "{class} {seed}: {} is no mistake", p.kind);
                let step = |i: usize| (frames[i].noted[p.head].power, frames[i].heads[p.head].power);
                for i in p.frames.clone() {
                    match (p.kind, step(i)) {
                        ("off-step", (Some(_), None)) | ("late", _) => {}
                        ("stop-wrong", (Some(a), Some(b))) => assert_eq!((a - b).abs(), 3),
                        (kind, step) => panic!("{class} {seed}: {kind} at {} is {step:?}", frames[i].name),
                    }
                }
            }
            let all = (0..frames.len()).flat_map(|i| (0..frames[i].heads.len()).map(move |h| (i, h)));
            let mistakes = all.filter(|(i, h)| wrong(*i, *h)).count();
            assert_eq!(mistakes, s.planted.iter().map(|p| p.frames.len()).sum::<usize>(), "{class} {seed}");
            assert!(class == "note-errors" || s.planted.is_empty());
        }
    }
    assert!(misfires > 20, "{misfires}");
    assert_eq!(kinds.len(), 3);
}

/// What the notes' file says, read row by row, is what was noted for every frame.
#[test]
fn the_notes_as_typed_hold_what_was_noted() {
    let s = Shoot::plan("note-errors", 5).unwrap();
    let text = notes::file(&s.story.frames, &s.story.names, 5);
    let mut rows = text.lines().skip(1).map(|l| l.split(',').collect::<Vec<_>>()).peekable();
    let mut now = vec![String::new(); s.story.names.len()];
    for f in &s.story.frames {
        while let Some(row) = rows.next_if(|r| r[0] == f.name) {
            let h = s.story.names.iter().position(|n| *n == row[1]).unwrap();
            now[h] = row[2].to_owned();
        }
        for (typed, head) in now.iter().zip(&f.noted) {
            assert!([head.power_text(0), head.power_text(1)].contains(typed), "{}: {typed}", f.name);
        }
    }
    assert!(rows.next().is_none());
    let head = |power| Head { power, gel: NO_GEL }.power_text(0);
    assert_eq!(
        [head(None), head(Some(0)), head(Some(9)), head(Some(10)), head(Some(11))],
        ["off", "1/1", "1/8", "1/8-1/3", "1/16+1/3"]
    );
}

#[test]
fn pictures_tell_their_settings_and_shape_to_the_programs_own_reader() {
    for (class, size, turn) in
        [("four-thirds", (160, 120), 1), ("portrait", (160, 106), 8), ("lens-change", (160, 106), 1)]
    {
        let shoot = small(class, 1, 3, 160);
        let files = shoot.files(&|_, _| ()).unwrap();
        for (f, (path, bytes)) in shoot.story.frames.iter().zip(&files) {
            assert_eq!(*path, format!("frames/{}", f.name));
            check(f, bytes, size, turn);
        }
    }
}

fn check(f: &shot::Frame, bytes: &[u8], (width, height): (u16, u16), turn: u32) {
    let file =
        PhotoFile { path: f.name.clone().into(), name: f.name.clone(), kind: Kind::Jpeg, bytes: bytes.len() as u64 };
    let m = read(&file, bytes);
    assert!(m.flaws.is_empty(), "{}: {:?}", f.name, m.flaws);
    assert_eq!((m.make.as_deref(), m.model.as_deref()), (Some("Testcam"), Some("T1")));
    assert_eq!(m.body_serial.as_deref(), Some("TS-0417"));
    assert_eq!(m.lens, Lens::Named(f.lens.model.into()));
    assert_eq!(m.focal_length_mm, Some(f64::from(f.lens.focal_mm)));
    assert_eq!(m.f_number, Marked::reduced(f.settings.aperture.marked.0, f.settings.aperture.marked.1));
    assert_eq!(m.exposure_time_s, Marked::reduced(1, f.settings.shutter.marked));
    assert_eq!(m.iso, Some(f.iso));
    assert_eq!(m.white_balance, Some(WhiteBalance::Manual));
    assert_eq!(Some(m.orientation), Orientation::from_exif(turn));
    let taken = m.taken.expect("a time of capture");
    assert_eq!(taken.fraction_digits, 2);
    assert!(f.taken.iso8601().starts_with(&taken.local.to_string()[..19]));
    assert_eq!(taken.local.subsec_nanosecond() / 10_000_000, (f.taken.0 % 100) as i32);
    // Stored size by the frame header (ITU-T T.81, B.2.2): SOF0 or SOF2, then length, precision, height, width.
    // The thumbnail inside EXIF has one of its own, so the last one counts.
    let sof = bytes.windows(5).rposition(|w| matches!(w, [0xff, 0xc0 | 0xc2, 0, 17, 8])).expect("a frame header");
    let side = |at: usize| u16::from_be_bytes([bytes[sof + at], bytes[sof + at + 1]]);
    assert_eq!((side(7), side(5)), (width, height), "{}", f.name);
}

/// Every family rises from black to white and puts mid-grey where cameras put it; families differ in shape.
#[test]
fn tone_curves_rise_and_come_from_unrelated_families() {
    let mut families = std::collections::BTreeSet::new();
    for seed in 0..60 {
        for strange in [false, true] {
            let c = Curve::draw(seed, strange);
            families.insert(c.words().split(' ').next().unwrap().to_owned());
            let at: Vec<f32> = (0..=400).map(|k| c.at(c.white * (k as f32 / 400.0).powi(2))).collect();
            assert!(at.windows(2).all(|w| w[1] >= w[0] - 1e-6), "{}", c.words());
            assert!(at[0] < 0.05 && (at[400] - 1.0).abs() < 1e-4, "{}", c.words());
            let grey = c.at(0.18);
            let usual = if strange { 0.34..0.60 } else { 0.41..0.53 };
            assert!(usual.contains(&grey), "{}: grey at {grey}", c.words());
        }
    }
    assert_eq!(families.len(), 4, "{families:?}");
}
