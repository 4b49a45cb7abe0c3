//! The tram shed of one shoot: walls, columns, the tram, windows, and where the lights stand.

use crate::light::{Beam, Flash};
use crate::math::{Rng, V3, cos, fbm, hash3, noise, rad, sin, smoothstep, unit_float, v3};

pub const LOW: V3 = v3(-6.4, 0.0, -9.0);
pub const HIGH: V3 = v3(6.6, 5.6, 8.0);

#[derive(Clone, Copy, PartialEq)]
pub enum Ground {
    Floor,
    Brick,
    Roof,
    Steel,
    Timber,
    Tram,
    Glass,
}

pub struct Block {
    pub low: V3,
    pub high: V3,
    pub ground: Ground,
}

/// On the back wall (`x`, `y`) or the left wall (`z`, `y`).
pub struct Window {
    pub middle: V3,
    pub facing: V3,
    pub half: (f32, f32),
}

pub struct Room {
    pub blocks: Vec<Block>,
    /// What throws shadows: the blocks, with those that touch taken together, without rails and ties.
    pub blockers: Vec<(V3, V3)>,
    pub windows: Vec<Window>,
    pub flashes: Vec<Flash>,
    /// Moves the texture.
    drift: V3,
    /// Colours of brick and tram.
    brick: V3,
    tram: V3,
}

impl Room {
    pub fn new(names: &[&str], seed: u32) -> Room {
        let mut rng = Rng::new(seed ^ 0x7007);
        let mut blocks = Vec::new();
        let mut block = |low: V3, size: V3, ground: Ground| blocks.push(Block { low, high: low + size, ground });
        for z in [-2.6, 1.1, 4.8] {
            for x in [-5.3, 5.3] {
                block(v3(x - 0.13, 0.0, z), v3(0.26, 5.6, 0.26), Ground::Steel);
            }
            block(v3(LOW.x, 4.5, z), v3(HIGH.x - LOW.x, 0.2, 0.16), Ground::Steel);
        }
        let side = if rng.next() < 0.5 { 1.0 } else { -1.0 };
        let x = side * rng.range(2.0, 3.4);
        let z = rng.range(4.4, 5.6);
        block(v3(x - 1.1, 0.7, z), v3(2.2, 0.9, 2.2), Ground::Tram);
        block(v3(x - 1.02, 1.6, z + 0.08), v3(2.04, 0.9, 2.1), Ground::Roof);
        block(v3(x - 1.1, 2.5, z), v3(2.2, 0.5, 2.2), Ground::Tram);
        block(v3(x - 0.9, 0.1, z + 0.3), v3(1.8, 0.6, 1.8), Ground::Steel);
        let pile = -side * 3.4 - 0.8;
        for k in 0..4 {
            let y = 0.17 * k as f32;
            let start = pile + rng.range(-0.1, 0.1);
            block(v3(start, y, 4.0 + 0.05 * k as f32), v3(1.5 - 0.2 * k as f32, 0.155, 1.9), Ground::Timber);
        }
        for x in [-1.9, -0.47, 0.95, 2.4] {
            block(v3(x, -0.1, LOW.z), v3(0.07, 0.12, HIGH.z - LOW.z - 0.4), Ground::Steel);
        }
        let column = |b: &&Block| b.ground == Ground::Steel && b.high.y > 5.0;
        let mut blockers: Vec<(V3, V3)> = blocks.iter().filter(column).map(|b| (b.low, b.high)).collect();
        blockers.push((v3(x - 1.1, 0.7, z), v3(x + 1.1, 3.0, z + 2.2)));
        blockers.push((v3(pile, 0.0, 4.0), v3(pile + 1.2, 0.65, 5.9)));
        let windows = (0..4)
            .map(|k| {
                let y = 2.9;
                if k < 2 {
                    let x = [-4.3, 0.2][k] + rng.range(-0.4, 0.4);
                    Window { middle: v3(x, y, HIGH.z - 0.02), facing: v3(0.0, 0.0, -1.0), half: (0.8, 1.2) }
                } else {
                    let z = [-1.0, 3.0][k - 2] + rng.range(-0.4, 0.4);
                    Window { middle: v3(LOW.x + 0.02, y, z), facing: v3(1.0, 0.0, 0.0), half: (0.8, 1.2) }
                }
            })
            .collect();
        let mut tint = |base: V3, by: f32| {
            base.mul(v3(rng.range(1.0 - by, 1.0 + by), rng.range(1.0 - by, 1.0 + by), rng.range(1.0 - by, 1.0 + by)))
        };
        let (brick, tram) = (tint(v3(0.30, 0.20, 0.15), 0.25), tint(v3(0.28, 0.26, 0.18), 0.6));
        let flashes = names.iter().map(|n| stand(n, &mut rng)).collect();
        Room { blocks, blockers, windows, flashes, drift: rng.ball() * 9.0, brick, tram }
    }

    /// Colour and gloss of a place.
    pub fn look(&self, ground: Ground, p: V3, n: V3) -> (V3, f32) {
        let q = p + self.drift;
        let grain = fbm(q * 2.1, 3);
        let fine = noise(q * 17.0);
        match ground {
            Ground::Floor => {
                let chalk = smoothstep(0.50, 0.66, fbm(v3(q.x * 1.1, 3.0, q.z * 1.1), 4));
                let slab = hash3((p.x * 0.7).floor() as i32, 7, (p.z * 0.5).floor() as i32);
                let (sx, sz) = ((p.x * 0.7).rem_euclid(1.0), (p.z * 0.5).rem_euclid(1.0));
                let joint = if sx < 0.02 || sz < 0.015 { 0.4 } else { 1.0 };
                let tone = (0.10 + 0.10 * grain + 0.07 * fine + 0.05 * unit_float(slab)) * joint + 0.22 * chalk;
                (v3(1.0, 0.97, 0.92) * tone, 0.35)
            }
            Ground::Brick => {
                let along = if n.x.abs() > 0.5 { p.z } else { p.x };
                let row = (p.y / 0.085).floor();
                let u = along / 0.26 + 0.5 * row.rem_euclid(2.0);
                let one = unit_float(hash3(u.floor() as i32, row as i32, 3));
                let joint = u.rem_euclid(1.0) < 0.07 || (p.y / 0.085).rem_euclid(1.0) < 0.16;
                let worn = smoothstep(0.45, 0.7, fbm(q * 0.9, 3));
                let bare = if joint { v3(0.36, 0.33, 0.29) } else { self.brick * (0.5 + 0.9 * one) };
                (bare.lerp(v3(0.46, 0.44, 0.39), worn * 0.7) * (0.65 + 0.5 * grain), 0.05)
            }
            Ground::Roof => (v3(0.075, 0.07, 0.065) * (0.6 + 0.8 * grain), 0.1),
            Ground::Steel => (v3(0.13, 0.12, 0.115).lerp(v3(0.20, 0.10, 0.05), grain * fine), 0.5),
            Ground::Timber => {
                let ring = noise(v3(q.x * 2.0, q.y * 34.0, q.z * 3.0));
                (v3(0.26, 0.19, 0.12) * (0.45 + 0.9 * ring), 0.1)
            }
            Ground::Tram => {
                let flaked = smoothstep(0.52, 0.60, fbm(q * 3.3, 4));
                (self.tram.lerp(v3(0.16, 0.12, 0.09), flaked) * (0.8 + 0.3 * fine), 0.7)
            }
            Ground::Glass => (v3(0.03, 0.03, 0.03), 0.8),
        }
    }
}

/// Where a light stands: seen from above, the sitter in the middle, the camera at `z` below 0.
fn stand(name: &str, rng: &mut Rng) -> Flash {
    let side = if rng.next() < 0.5 { 1.0 } else { -1.0 };
    let at = |degrees: f32, distance: f32, height: f32| {
        v3(distance * sin(rad(degrees)), height, -distance * cos(rad(degrees)))
    };
    let near = |rng: &mut Rng, y: f32| v3(rng.range(-0.3, 0.3), y, rng.range(-0.2, 0.3));
    let white = v3(1.0, 1.0, 1.0);
    let bare = |pos: V3, aim: V3, beam: Beam, fill: f32| Flash {
        pos,
        aim,
        radius: 0.09,
        strength: 1.0,
        beam,
        fill,
        tint: white,
    };
    match name {
        "key" => Flash {
            pos: at(side * rng.range(25.0, 70.0), rng.range(2.6, 4.2), rng.range(2.1, 3.2)),
            aim: near(rng, 1.3),
            radius: rng.range(0.3, 0.6),
            strength: 1.0,
            beam: Beam::Soft,
            fill: rng.range(0.0008, 0.003),
            tint: v3(1.0, 0.985, 0.955),
        },
        "fill" => Flash {
            pos: at(-side * rng.range(5.0, 35.0), rng.range(4.0, 5.5), rng.range(1.8, 3.0)),
            aim: near(rng, 1.2),
            radius: rng.range(0.5, 0.8),
            strength: 1.0,
            beam: Beam::Soft,
            fill: rng.range(0.002, 0.005),
            tint: v3(0.98, 1.0, 1.02),
        },
        "rim" => {
            let pos = at(side * rng.range(135.0, 172.0), rng.range(3.4, 5.0), rng.range(2.8, 4.2));
            let aim = near(rng, 1.4);
            bare(pos, aim, Beam::Grid(rng.range(13.0, 24.0)), rng.range(0.0001, 0.0004))
        }
        _ => {
            let side = if name == "dust-left" { -1.0 } else { 1.0 };
            let pos = at(side * rng.range(95.0, 140.0), rng.range(4.2, 5.4), rng.range(0.9, 2.4));
            let aim = near(rng, 1.1);
            bare(pos, aim, Beam::Reflector, rng.range(0.0003, 0.0009))
        }
    }
}
