//! A shoot as it happened: every shot in order, what was set, and what went wrong.

use crate::camera::{LENSES, Lens};
use crate::class::Knobs;
use crate::math::{Rng, V3, hash2, v3};
use crate::poses::{self, Move};
use crate::shot::{APERTURES, Accident, Dials, Frame, Gel, Head, NO_GEL, SHUTTERS, Settings, Time};

/// What the picture is of.
pub struct Take {
    pub action: Option<Move>,
    pub t: f32,
    pub dust: f32,
    pub seed: u32,
}

pub struct Story {
    pub names: Vec<&'static str>,
    pub frames: Vec<Frame>,
    pub takes: Vec<Take>,
    /// The settings and powers that the strengths of the lights are scaled for.
    pub working: Dials,
    pub base: Vec<i32>,
}

const GELS: [Gel; 5] = [
    Gel { name: "amber", rgb: v3(0.96, 0.56, 0.17) },
    Gel { name: "steel blue", rgb: v3(0.26, 0.50, 0.86) },
    Gel { name: "magenta", rgb: v3(0.82, 0.17, 0.55) },
    Gel { name: "half straw", rgb: v3(0.98, 0.80, 0.52) },
    Gel { name: "pale green", rgb: v3(0.62, 0.93, 0.60) },
];
const MOVES: [fn() -> Move; 7] =
    [poses::grand_jete, poses::stag, poses::tour, poses::arched, poses::turn, poses::arabesque, poses::arms_raised];

struct Teller<'a> {
    knobs: &'a Knobs,
    rng: Rng,
    seed: u32,
    story: Story,
    heads: Vec<Head>,
    dials: Dials,
    lens: &'static Lens,
    clock: u32,
    first: u32,
    action: Option<Move>,
    place: V3,
    series: u32,
    note: &'static str,
}

pub fn tell(knobs: &Knobs, seed: u32) -> Story {
    let mut rng = Rng::new(seed ^ 0x570e);
    let names: Vec<&'static str> = ["key", "rim", "dust-left", "dust-right", "fill"][..knobs.lights].to_vec();
    let working = Dials {
        aperture: 2 + (rng.next() * 3.0) as usize,
        shutter: 5 + (rng.next() * 3.0) as usize,
        iso: [0, 0, 3, 3, 6, 4][(rng.next() * 6.0) as usize],
    };
    let base = names.iter().map(|_| 9 + 3 * (rng.next() * 3.0) as i32).collect();
    let story = Story { names, frames: Vec::new(), takes: Vec::new(), working, base };
    let lens = if knobs.lenses { &LENSES[2] } else { &LENSES[1 + usize::from(rng.next() < 0.3)] };
    let clock = (rng.range(13.0, 18.0) * 360_000.0) as u32;
    let first = (rng.next() * 9000.0) as u32;
    let mut t = Teller {
        knobs,
        seed,
        heads: vec![Head::OFF; knobs.lights],
        dials: working,
        lens,
        clock,
        first,
        action: (!knobs.enters).then(poses::arms_down),
        place: V3::ZERO,
        series: 0,
        note: "",
        rng,
        story,
    };
    t.look();
    if knobs.lights > 0 {
        t.solos();
        t.build();
    }
    t.play();
    finish(&mut t.story, knobs, seed);
    number_stages(&mut t.story.frames);
    t.story
}

impl Teller<'_> {
    fn pick(&mut self, n: usize) -> usize {
        ((self.rng.next() * n as f32) as usize).min(n - 1)
    }

    /// One shot after so many seconds; `t` is the moment in the dancer's move.
    fn shot(&mut self, after: (f32, f32), t: f32) {
        self.clock += (self.rng.range(after.0, after.1) * 100.0) as u32;
        let n = self.story.frames.len() as u32;
        let seed = hash2(self.seed, n + 1);
        let sway = v3(self.rng.gauss() * 0.02, 0.0, self.rng.gauss() * 0.02);
        let action =
            self.action.as_ref().map(|a| Move { place: a.place + self.place + sway, keys: a.keys.clone(), ..*a });
        let pose = action.as_ref().map_or("nobody", |a| a.name);
        self.story.takes.push(Take { action, t, dust: 0.0, seed });
        let Dials { aperture, shutter, iso } = self.dials;
        self.story.frames.push(Frame {
            name: format!("TS5_{:04}.JPG", (self.first + n) % 9999 + 1),
            taken: Time(self.clock),
            lens: self.lens,
            dials: self.dials,
            settings: Settings { aperture: APERTURES[aperture], shutter: SHUTTERS[shutter] },
            iso: crate::shot::ISOS[iso].marked,
            heads: self.heads.clone(),
            noted: Vec::new(),
            accidents: Vec::new(),
            sag: vec![0.0; self.heads.len()],
            ambient_stops: 0.0,
            upright: self.knobs.upright,
            take: n as usize,
            series: self.series,
            stage: 0,
            pose,
            note: std::mem::take(&mut self.note),
            seed,
        });
    }

    /// Ambient as found, then as it is held down.
    fn look(&mut self) {
        let working = self.dials;
        self.dials.aperture = 1;
        self.dials.shutter = 3;
        self.dials.iso = (working.iso + 3).min(9);
        self.note = "window light as found";
        self.shot((5.0, 9.0), 0.0);
        if self.rng.next() < 0.5 {
            self.dials.shutter = working.shutter;
            self.shot((10.0, 25.0), 0.0);
        }
        self.dials = working;
        if self.rng.next() < 0.8 {
            self.note = "window light held down";
            self.shot((10.0, 25.0), 0.0);
        }
    }

    fn solos(&mut self) {
        let mut order: Vec<usize> = (0..self.heads.len()).collect();
        if self.rng.next() < 0.4 {
            for i in (1..order.len()).rev() {
                let j = self.pick(i + 1);
                order.swap(i, j);
            }
        }
        for h in order {
            if h == 1 && !self.knobs.rim_solo {
                continue;
            }
            self.heads.fill(Head::OFF);
            let tries = 1 + self.pick(3) as i32;
            for k in (0..tries).rev() {
                self.heads[h].power = Some(self.story.base[h] + 3 * k);
                self.shot((15.0, 60.0), 0.0);
                if self.rng.next() < 0.3 {
                    self.shot((2.5, 6.0), 0.0);
                }
            }
            if self.knobs.gels && h > 0 && self.rng.next() < 0.7 {
                self.heads[h].gel = GELS[self.pick(GELS.len())];
                self.note = "gel on";
                self.shot((30.0, 80.0), 0.0);
            }
            self.story.base[h] = self.heads[h].power.unwrap_or(9);
        }
    }

    /// One light after the other is added.
    fn build(&mut self) {
        if self.knobs.enters {
            self.action = Some(poses::arms_low());
        }
        let gels: Vec<Gel> = (0..self.heads.len()).map(|h| self.last_gel(h)).collect();
        self.heads.fill(Head::OFF);
        for (h, gel) in gels.into_iter().enumerate() {
            self.heads[h] = Head { power: Some(self.story.base[h]), gel };
            self.shot((20.0, 70.0), 0.0);
            if self.rng.next() < 0.35 {
                let third = [-3, -2, -1, 1, 2, 3][self.pick(6)];
                self.step(h, third);
                self.shot((15.0, 40.0), 0.0);
            }
        }
    }

    fn last_gel(&self, h: usize) -> Gel {
        self.story.frames.iter().rev().find(|f| f.heads[h].power.is_some()).map_or(NO_GEL, |f| f.heads[h].gel)
    }

    fn step(&mut self, h: usize, thirds: i32) {
        if let Some(p) = self.heads[h].power {
            self.heads[h].power = Some((p + thirds).clamp(0, 24));
        }
    }

    /// Series of moves; something changes between most of them.
    fn play(&mut self) {
        let all = self.heads.clone();
        while self.story.frames.len() < self.knobs.frames {
            self.change(&all);
            self.action = Some(MOVES[self.pick(MOVES.len())]());
            let r = self.knobs.roams;
            self.place = v3(self.rng.range(-r, r), 0.0, self.rng.range(-r * 0.5, r * 0.5));
            self.series += 1;
            let shots = 2 + self.pick(3);
            let pause = if self.knobs.accidents.0 > 0.1 { (0.7, 1.6) } else { (0.9, 2.6) };
            for k in 0..shots {
                let t = -0.05 + 0.04 * k as f32 + self.rng.range(-0.01, 0.01);
                self.shot(if k == 0 { (25.0, 120.0) } else { pause }, t);
            }
        }
    }

    fn change(&mut self, all: &[Head]) {
        let lights = self.heads.len();
        if self.knobs.lenses && self.rng.next() < 0.5 {
            self.lens = &LENSES[self.pick(LENSES.len())];
            return;
        }
        let choice = if lights == 0 { self.pick(3) } else { self.pick(9) };
        let working = self.story.working;
        match choice {
            0 if lights == 0 => self.dials.aperture = 1 + self.pick(5),
            0 => {
                // Closed down or opened up a stop; the heads follow half of the time.
                let closer = self.dials.aperture <= working.aperture;
                self.dials.aperture = if closer { self.dials.aperture + 1 } else { self.dials.aperture - 1 };
                if self.rng.next() < 0.5 {
                    self.note = "every head along with the aperture";
                    for h in 0..lights {
                        self.step(h, if closer { -3 } else { 3 });
                    }
                }
            }
            1 => {
                let by = [-3, -1, 1, 2, 3][self.pick(5)];
                self.dials.iso = (self.dials.iso as i32 + by).clamp(0, 12) as usize;
            }
            2 => self.dials.shutter = [2, 3, 5, 6, 7][self.pick(5)],
            3 | 4 => {
                let h = self.pick(lights);
                let others = self.heads.iter().enumerate().any(|(i, x)| i != h && x.power.is_some());
                self.heads[h] = match self.heads[h].power {
                    Some(_) if others => Head::OFF,
                    _ => all[h],
                };
            }
            5 | 6 => {
                let h = self.pick(lights);
                let by = [-6, -3, -3, -2, -1, 1, 2, 3, 3, 6][self.pick(10)];
                self.step(h, by);
            }
            7 | 8 if self.knobs.gels && lights > 1 => {
                let h = 1 + self.pick(lights - 1);
                self.heads[h].gel = GELS[self.pick(GELS.len())];
            }
            _ => {}
        }
    }
}

/// What comes over the evening by itself: dusk, drift, dust, accidents.
fn finish(story: &mut Story, knobs: &Knobs, seed: u32) {
    let mut rng = Rng::new(seed ^ 0xacc1);
    let (first, last) = (story.frames[0].taken.0, story.frames[story.frames.len() - 1].taken.0);
    let sagging = (rng.next() * knobs.lights.max(1) as f32) as usize;
    for i in 0..story.frames.len() {
        let went = (story.frames[i].taken.0 - first) as f32 / (last - first).max(1) as f32;
        story.takes[i].dust = knobs.dust.0 + (knobs.dust.1 - knobs.dust.0) * went;
        let gap = if i == 0 { 99.0 } else { (story.frames[i].taken.0 - story.frames[i - 1].taken.0) as f32 / 100.0 };
        let in_series =
            |k: usize| story.frames.get(k).is_some_and(|f| f.series > 0 && f.series == story.frames[i].series);
        let in_one = in_series(i.wrapping_sub(1)) || in_series(i + 1);
        let before: Vec<usize> =
            if i > 0 { story.frames[i - 1].accidents.iter().map(|a| a.0).collect() } else { vec![] };
        let f = &mut story.frames[i];
        f.ambient_stops = -knobs.dusk * went;
        if let Some(s) = f.sag.get_mut(sagging) {
            *s = knobs.drift * went;
        }
        let chance = if gap < 3.0 { knobs.accidents.0 } else { knobs.accidents.1 };
        let (hit, kind, which, by) = (rng.next(), rng.next(), rng.next(), rng.range(0.4, 1.6));
        let on: Vec<usize> = (0..knobs.lights).filter(|h| f.heads[*h].power.is_some() && !before.contains(h)).collect();
        if hit < chance && in_one && !on.is_empty() {
            let h = on[((which * on.len() as f32) as usize).min(on.len() - 1)];
            f.accidents.push((h, if kind < 0.6 { Accident::Misfire } else { Accident::Short(by) }));
        }
    }
}

pub fn number_stages(frames: &mut [Frame]) {
    let mut stage = 1;
    for i in 0..frames.len() {
        if i > 0 && !same_stage(&frames[i - 1], &frames[i]) {
            stage += 1;
        }
        frames[i].stage = stage;
    }
}

/// A stage lasts while lens, settings and lights as set stay the same (an accident of a light does not end it).
fn same_stage(a: &Frame, b: &Frame) -> bool {
    a.lens.model == b.lens.model && a.dials == b.dials && a.heads == b.heads
}
