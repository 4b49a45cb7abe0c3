//! The evening as it happened: every shot in order, what was set, and what went wrong.

use crate::camera::{LENS_24, LENS_35, LENS_85, Lens};
use crate::math::{Rng, hash2, v3};
use crate::poses::{self, Move};
use crate::shot::{Aperture, Frame, Gel, Head, NO_GEL, Settings, Shutter, Take, Time};

/// Seed of the whole evening.
pub const SEED: u32 = 0x7a11_0417;

const F2_8: Aperture = Aperture { marked: (28, 10), stops: 3 };
const F4: Aperture = Aperture { marked: (40, 10), stops: 4 };
const F5_6: Aperture = Aperture { marked: (56, 10), stops: 5 };
const F8: Aperture = Aperture { marked: (80, 10), stops: 6 };
const T50: Shutter = Shutter { marked: 50, thirds: 17 };
const T60: Shutter = Shutter { marked: 60, thirds: 18 };
const T125: Shutter = Shutter { marked: 125, thirds: 21 };
const T200: Shutter = Shutter { marked: 200, thirds: 23 };

const AMBER: Gel = Gel { name: "amber", rgb: v3(0.96, 0.56, 0.17) };
const STEEL_BLUE: Gel = Gel { name: "steel blue", rgb: v3(0.26, 0.50, 0.86) };
const MAGENTA: Gel = Gel { name: "magenta", rgb: v3(0.82, 0.17, 0.55) };

struct Evening {
    frames: Vec<Frame>,
    takes: Vec<Take>,
    settings: Settings,
    lens: &'static Lens,
    heads: [Head; 4],
    series: u32,
    haze: f32,
}

/// `hh:mm:ss.cc`
fn clock(s: &str) -> Time {
    let digits: u32 = s.bytes().filter(u8::is_ascii_digit).fold(0, |n, d| n * 10 + u32::from(d - b'0'));
    let (h, m, c) = (digits / 1_000_000, digits / 10_000 % 100, digits % 10_000);
    Time(h * 360_000 + m * 6000 + c)
}

impl Evening {
    fn set(&mut self, head: usize, power: Option<i32>) {
        self.heads[head].power = power;
    }
    /// The dancer takes up a position or does a move; shots refer to it until the next.
    fn take(&mut self, action: Move, t: f32, open_rim: bool) {
        let seed = hash2(SEED, self.takes.len() as u32 + 100);
        let (lens, haze) = (self.lens, self.haze);
        self.takes.push(Take { action, t, haze, lens, upright: lens.focal_mm > 80.0, open_rim, seed });
        self.haze = (self.haze + 0.02).min(0.9);
    }
    fn shot(&mut self, time: &str, note: &'static str) -> &mut Frame {
        let number = (9980 + self.frames.len()) % 9999 + 1;
        let seed = hash2(SEED, number as u32);
        self.frames.push(Frame {
            name: format!("TS4_{number:04}.JPG"),
            taken: clock(time),
            lens: self.lens,
            settings: self.settings,
            iso: self.settings.iso,
            heads: self.heads,
            misfire: None,
            short: None,
            series: self.series,
            stage: 0,
            take: self.takes.len() - 1,
            note,
            seed,
        });
        let last = self.frames.len() - 1;
        &mut self.frames[last]
    }
    /// A short series of one move, each shot a little later in it.
    fn series(&mut self, action: fn() -> Move, shots: &[(&str, f32)]) {
        self.series = self.frames.iter().map(|f| f.series).max().unwrap_or(0).max(self.series) + 1;
        for (time, t) in shots {
            self.take(action(), *t, false);
            self.shot(time, "");
        }
    }
    fn last(&mut self, back: usize) -> &mut Frame {
        let n = self.frames.len();
        &mut self.frames[n - 1 - back]
    }
}

pub fn evening() -> (Vec<Frame>, Vec<Take>) {
    let off = Head { power: None, gel: NO_GEL, grid: false };
    let mut e = Evening {
        frames: Vec::new(),
        takes: Vec::new(),
        settings: Settings { aperture: F2_8, shutter: T60, iso: 400 },
        lens: &LENS_35,
        heads: [off, Head { grid: true, ..off }, off, off],
        series: 0,
        haze: 0.35,
    };
    first_look(&mut e);
    key_and_rim(&mut e);
    dust_lights(&mut e);
    leaps(&mut e);
    closed_down(&mut e);
    upright(&mut e);
    windows_in(&mut e);
    wide(&mut e);
    number_stages(&mut e.frames);
    (e.frames, e.takes)
}

/// A stage lasts while lens, settings and lights as set stay the same (an accident of a light does not end it).
fn number_stages(frames: &mut [Frame]) {
    let mut stage = 1;
    for i in 0..frames.len() {
        if let [a, b] = &frames[i.saturating_sub(1)..=i]
            && !same_stage(a, b)
        {
            stage += 1;
        }
        frames[i].stage = stage;
    }
}

fn same_stage(a: &Frame, b: &Frame) -> bool {
    let settings = |f: &Frame| (f.settings.aperture.stops, f.settings.shutter.thirds, f.iso);
    a.lens.model == b.lens.model && settings(a) == settings(b) && a.heads == b.heads
}

fn first_look(e: &mut Evening) {
    e.take(poses::arms_down(), 0.0, false);
    e.shot("16:20:12.37", "window light as found");
    e.settings = Settings { aperture: F4, shutter: T125, iso: 200 };
    e.shot("16:20:31.82", "");
    e.settings = Settings { aperture: F5_6, shutter: T200, iso: 100 };
    e.shot("16:20:58.14", "window light killed");
}

fn key_and_rim(e: &mut Evening) {
    e.take(poses::arms_down(), 0.0, false);
    for (time, power, note) in [
        ("16:24:40.55", 5, "key alone, octabox 110 cm, first try"),
        ("16:25:02.09", 4, "one up"),
        ("16:25:21.71", 3, "one more, that is it"),
    ] {
        e.set(0, Some(power));
        e.shot(time, note);
    }
    e.take(poses::arms_low(), 0.0, true);
    e.set(0, None);
    e.set(1, Some(4));
    e.shot("16:29:05.28", "rim alone, gridded from the start");
    e.heads[1].grid = false;
    e.shot("16:30:48.90", "grid off to see the spill");
    e.heads[1].grid = true;
    e.set(1, Some(3));
    e.shot("16:31:59.46", "grid back on, stays on");
    e.set(0, Some(3));
    e.shot("16:33:10.03", "key and rim together");
}

fn dust_lights(e: &mut Evening) {
    e.haze = 0.75;
    e.take(poses::arms_low(), 0.0, false);
    e.set(3, Some(5));
    e.shot("16:36:30.67", "dust-right into the chalk");
    e.set(3, Some(4));
    e.shot("16:37:12.21", "a stop more");
    e.heads[3].gel = AMBER;
    e.shot("16:38:50.85", "amber on dust-right");
    e.take(poses::arms_raised(), -0.02, false);
    for h in [0, 1, 3] {
        e.set(h, None);
    }
    e.set(2, Some(4));
    e.shot("16:42:05.39", "dust-left alone");
    e.heads[2].gel = STEEL_BLUE;
    e.set(2, Some(3));
    e.shot("16:43:20.94", "steel blue, one up for the gel");
    e.set(0, Some(3));
    e.set(1, Some(3));
    e.set(3, Some(4));
    e.take(poses::arms_raised(), 0.0, false);
    e.shot("16:45:02.48", "all four");
    e.take(poses::arabesque(), 0.0, false);
    e.shot("16:46:40.12", "");
}

fn leaps(e: &mut Evening) {
    e.series(poses::grand_jete, &[("16:48:10.20", -0.06), ("16:48:11.35", -0.02), ("16:48:13.02", 0.03)]);
    e.series(poses::stag, &[("16:50:22.41", -0.05), ("16:50:23.64", 0.0), ("16:50:25.90", 0.04)]);
    e.last(1).misfire = Some(1);
    e.series(poses::tour, &[("16:52:47.33", -0.02), ("16:52:48.23", 0.01), ("16:52:50.05", 0.04)]);
    e.last(1).short = Some((0, 1.0));
    e.series(poses::arched, &[("16:54:40.76", -0.05), ("16:54:42.18", 0.0), ("16:54:44.61", 0.05)]);
    e.last(1).iso = 200;
}

fn closed_down(e: &mut Evening) {
    e.settings.aperture = F8;
    for h in 0..4 {
        e.heads[h].power = e.heads[h].power.map(|p| p - 1);
    }
    e.series(poses::grand_jete, &[("17:00:15.27", -0.04), ("17:00:16.41", 0.01), ("17:00:18.88", 0.06)]);
    e.last(2).note = "f/8, every head up one";
}

fn upright(e: &mut Evening) {
    e.lens = &LENS_85;
    e.series(poses::turn, &[("17:06:30.58", -0.02), ("17:06:31.99", 0.02), ("17:06:33.70", 0.06)]);
    e.series(poses::arched, &[("17:08:10.11", -0.04), ("17:08:11.62", 0.0), ("17:08:13.97", 0.04)]);
}

fn windows_in(e: &mut Evening) {
    e.lens = &LENS_35;
    e.settings.shutter = T50;
    e.series(poses::stag, &[("17:14:20.44", -0.04), ("17:14:21.73", 0.01), ("17:14:24.02", 0.05)]);
    e.series(poses::turn, &[("17:15:40.36", 0.0), ("17:15:41.80", 0.05)]);
}

fn wide(e: &mut Evening) {
    e.lens = &LENS_24;
    e.heads[2].gel = MAGENTA;
    e.series(poses::grand_jete, &[("17:24:10.07", -0.05), ("17:24:11.52", 0.0), ("17:24:13.83", 0.05)]);
    e.last(2).note = "magenta instead of steel blue, wide lens";
}

/// Handheld shake of a frame: 0.3 to 0.8 % of the long side, a trace of turn.
pub fn shake(f: &Frame, scale: f32) -> crate::develop::Shake {
    let mut rng = Rng::new(f.seed ^ 0x5a4e);
    let a = rng.range(0.0, std::f32::consts::TAU);
    let r = rng.range(0.003, 0.008) * crate::camera::LONG as f32 * scale;
    crate::develop::Shake { x: r * crate::math::cos(a), y: r * crate::math::sin(a), turn: rng.range(-0.12, 0.12) }
}
