//! The disused tram shed: walls with arched windows, columns, trusses, two tracks, a buffer stop and an old tram.

use crate::light::{DUST_LEFT, DUST_RIGHT, FLASHES, RIM};
use crate::math::{V3, cos, rad, sin, v3};
use crate::mesh::{Material, Mesh};

pub const LEFT: f32 = -7.2;
pub const RIGHT: f32 = 7.4;
pub const BACK: f32 = 8.6;
const FRONT: f32 = -10.0;
const EAVES: f32 = 4.5;
const RIDGE: f32 = 6.9;
/// Middles of the two tracks and half the gauge (1435 mm).
pub const TRACKS: [f32; 2] = [0.35, -3.75];
pub const HALF_GAUGE: f32 = 0.7175;
/// From here to the back wall the concrete was broken out and the sleepers lie open.
pub const SLEEPERS_FROM: f32 = 3.1;

const SILL: f32 = 1.25;
const SPRING: f32 = 3.05;
const HALF_WIDTH: f32 = 0.72;
const REVEAL: f32 = 0.38;

/// A window as a source of dusk light: its middle, the way it faces, its area in square metres.
pub struct Window {
    pub middle: V3,
    pub facing: V3,
    pub area: f32,
}

/// A wall seen from inside: where it starts, the direction along it, the direction out of the room.
struct Wall {
    origin: V3,
    along: V3,
    out: V3,
    length: f32,
}

impl Wall {
    fn at(&self, u: f32, y: f32, depth: f32) -> V3 {
        self.origin + self.along * u + v3(0.0, y, 0.0) + self.out * depth
    }
}

pub fn build() -> (Mesh, Vec<Window>) {
    let mut m = Mesh::default();
    let mut windows = Vec::new();
    floor(&mut m);
    let back =
        Wall { origin: v3(LEFT, 0.0, BACK), along: v3(1.0, 0.0, 0.0), out: v3(0.0, 0.0, 1.0), length: RIGHT - LEFT };
    wall(&mut m, &mut windows, &back, &[2.15, 5.35, 8.95, 12.3], RIDGE + 0.2);
    let left =
        Wall { origin: v3(LEFT, 0.0, FRONT), along: v3(0.0, 0.0, 1.0), out: v3(-1.0, 0.0, 0.0), length: BACK - FRONT };
    wall(&mut m, &mut windows, &left, &[7.6, 10.9, 14.2, 17.0], EAVES + 0.2);
    let right =
        Wall { origin: v3(RIGHT, 0.0, FRONT), along: v3(0.0, 0.0, 1.0), out: v3(1.0, 0.0, 0.0), length: BACK - FRONT };
    wall(&mut m, &mut windows, &right, &[], EAVES + 0.2);
    roof(&mut m);
    for z in [-6.6, -2.9, 0.8, 4.5, 8.2] {
        bay(&mut m, z);
    }
    tram(&mut m, TRACKS[1], 4.9);
    buffer_stop(&mut m, TRACKS[0], 7.3);
    clutter(&mut m);
    heads(&mut m);
    (m, windows)
}

/// Whether a material is of things that stand in the room, not of its hull.
pub fn stands_inside(m: Material) -> bool {
    matches!(m, Material::Steel | Material::Timber | Material::Tram | Material::Rail)
}

fn floor(m: &mut Mesh) {
    let c = [v3(LEFT, 0.0, FRONT), v3(LEFT, 0.0, BACK), v3(RIGHT, 0.0, BACK), v3(RIGHT, 0.0, FRONT)];
    m.quad(c, Material::Floor);
    for t in TRACKS {
        for s in [-1.0, 1.0] {
            let x = t + s * HALF_GAUGE;
            m.block(v3(x - 0.034, -0.1, FRONT), v3(x + 0.034, 0.016, BACK - 0.4), Material::Rail);
        }
    }
}

fn wall(m: &mut Mesh, windows: &mut Vec<Window>, w: &Wall, centres: &[f32], top: f32) {
    let mut from = 0.0;
    let panel = |m: &mut Mesh, u0: f32, u1: f32, y0: f32, y1: f32| {
        let q = [w.at(u0, y0, 0.0), w.at(u0, y1, 0.0), w.at(u1, y1, 0.0), w.at(u1, y0, 0.0)];
        m.quad(q, Material::Brick);
    };
    for &c in centres {
        let (u0, u1) = (c - HALF_WIDTH, c + HALF_WIDTH);
        panel(m, from, u0, 0.0, top);
        panel(m, u0, u1, 0.0, SILL);
        arched_window(m, w, c, top);
        windows.push(Window {
            middle: w.at(c, (SILL + SPRING) * 0.5 + 0.3, REVEAL * 0.5),
            facing: -w.out,
            area: 2.0 * HALF_WIDTH * (SPRING - SILL + 0.55),
        });
        from = u1;
    }
    panel(m, from, w.length, 0.0, top);
}

fn arched_window(m: &mut Mesh, w: &Wall, c: f32, top: f32) {
    let steps = 16;
    let arc: Vec<(f32, f32)> = (0..=steps)
        .map(|i| rad(180.0 * i as f32 / steps as f32))
        .map(|a| (c - HALF_WIDTH * cos(a), SPRING + HALF_WIDTH * sin(a)))
        .collect();
    let mut outline = vec![(c - HALF_WIDTH, SILL)];
    outline.extend(&arc);
    outline.push((c + HALF_WIDTH, SILL));
    for p in arc.windows(2) {
        let (a, b) = (p[0], p[1]);
        let q = [w.at(a.0, a.1, 0.0), w.at(a.0, top, 0.0), w.at(b.0, top, 0.0), w.at(b.0, b.1, 0.0)];
        m.quad(q, Material::Brick);
        let g = [w.at(a.0, SILL, REVEAL), w.at(a.0, a.1, REVEAL), w.at(b.0, b.1, REVEAL), w.at(b.0, SILL, REVEAL)];
        m.quad(g, Material::Glass);
    }
    for (i, a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        let q = [w.at(a.0, a.1, 0.0), w.at(b.0, b.1, 0.0), w.at(b.0, b.1, REVEAL), w.at(a.0, a.1, REVEAL)];
        m.quad(q, Material::Brick);
    }
    let depth = REVEAL - 0.06;
    for k in -1..=1 {
        let u = c + k as f32 * HALF_WIDTH * 0.5;
        let h = if k == 0 { HALF_WIDTH } else { HALF_WIDTH * 0.866 };
        m.bar(w.at(u, SILL, depth), w.at(u, SPRING + h, depth), 0.035, 0.05, Material::Mullion);
    }
    for k in 0..5 {
        let y = SILL + 0.45 * k as f32;
        let a = w.at(c - HALF_WIDTH, y, depth);
        m.bar(a, w.at(c + HALF_WIDTH, y, depth), 0.03, 0.05, Material::Mullion);
    }
    // A stone sill that catches light from below.
    let s0 = w.at(c - HALF_WIDTH - 0.1, SILL - 0.11, 0.1);
    let s1 = w.at(c + HALF_WIDTH + 0.1, SILL, -0.09);
    m.block(s0.min(s1), s0.max(s1), Material::Timber);
}

fn roof(m: &mut Mesh) {
    let mid = (LEFT + RIGHT) * 0.5;
    for (x, lift) in [(LEFT, EAVES), (RIGHT, EAVES)] {
        let q = [v3(x, lift, FRONT), v3(mid, RIDGE, FRONT), v3(mid, RIDGE, BACK), v3(x, lift, BACK)];
        m.quad(q, Material::Roof);
    }
    for k in 1..6 {
        let t = k as f32 / 6.0;
        for (x, s) in [(LEFT, 1.0), (RIGHT, -1.0)] {
            let px = x + s * (mid - LEFT).abs() * t;
            let py = EAVES + (RIDGE - EAVES) * t - 0.1;
            m.bar(v3(px, py, FRONT), v3(px, py, BACK), 0.1, 0.14, Material::Timber);
        }
    }
    m.quad(
        [v3(LEFT, 0.0, FRONT), v3(RIGHT, 0.0, FRONT), v3(RIGHT, RIDGE, FRONT), v3(LEFT, RIDGE, FRONT)],
        Material::Roof,
    );
}

/// One bay: an I-section column each side and the truss they carry.
fn bay(m: &mut Mesh, z: f32) {
    let (xl, xr) = (-5.7, 5.7);
    for x in [xl, xr] {
        for s in [-1.0, 1.0] {
            let fz = z + s * 0.12;
            m.block(v3(x - 0.12, 0.0, fz - 0.012), v3(x + 0.12, EAVES, fz + 0.012), Material::Steel);
        }
        m.block(v3(x - 0.012, 0.0, z - 0.12), v3(x + 0.012, EAVES, z + 0.12), Material::Steel);
        m.block(v3(x - 0.2, 0.0, z - 0.2), v3(x + 0.2, 0.05, z + 0.2), Material::Steel);
        let s = if x < 0.0 { 1.0 } else { -1.0 };
        let (foot, head) = (v3(x, 3.5, z), v3(x + s * 1.0, EAVES - 0.05, z));
        m.bar(foot, head, 0.09, 0.09, Material::Steel);
    }
    let chord = EAVES - 0.02;
    let mid = (LEFT + RIGHT) * 0.5;
    m.bar(v3(LEFT, chord, z), v3(RIGHT, chord, z), 0.14, 0.12, Material::Steel);
    let top = |x: f32| EAVES + (RIDGE - EAVES) * (1.0 - (x - mid).abs() / (mid - LEFT)) - 0.2;
    for (x, _) in [(LEFT, 0), (RIGHT, 0)] {
        m.bar(v3(x, EAVES - 0.2, z), v3(mid, RIDGE - 0.2, z), 0.14, 0.12, Material::Steel);
    }
    let n = 8;
    for k in 0..n {
        let a = LEFT + (RIGHT - LEFT) * k as f32 / n as f32;
        let b = LEFT + (RIGHT - LEFT) * (k + 1) as f32 / n as f32;
        let (p, q) = if k % 2 == 0 { (v3(a, chord, z), v3(b, top(b), z)) } else { (v3(a, top(a), z), v3(b, chord, z)) };
        m.bar(p, q, 0.07, 0.07, Material::Steel);
        m.bar(v3(b, chord, z), v3(b, top(b).max(chord + 0.01), z), 0.06, 0.06, Material::Steel);
    }
}

/// An old tram of no maker: a box body with a rounded front, a window band, a lamp and a bumper.
fn tram(m: &mut Mesh, x: f32, z: f32) {
    let half = 1.05;
    let (sill, waist, head, top) = (0.75, 1.55, 2.55, 3.05);
    let n = 9;
    let nose: Vec<(f32, f32)> = (0..=n)
        .map(|i| {
            let s = -1.0 + 2.0 * i as f32 / n as f32;
            let s4 = s * s * s * s;
            (x + half * s, z + 0.12 * s * s + 0.22 * s4)
        })
        .collect();
    let mut ring = vec![(x - half, BACK - 0.1)];
    ring.extend(&nose);
    ring.push((x + half, BACK - 0.1));
    for p in ring.windows(2) {
        let (a, b) = (p[0], p[1]);
        let band = |m: &mut Mesh, y0: f32, y1: f32, mat: Material, inset: f32| {
            let c = v3(x, 0.0, z + 1.5);
            let pa = v3(a.0, 0.0, a.1).lerp(c, inset);
            let pb = v3(b.0, 0.0, b.1).lerp(c, inset);
            let up = |p: V3, y: f32| v3(p.x, y, p.z);
            m.quad([up(pa, y0), up(pa, y1), up(pb, y1), up(pb, y0)], mat);
        };
        band(m, sill, waist, Material::Tram, 0.0);
        band(m, waist, head, Material::Roof, 0.03);
        band(m, head, top, Material::Tram, 0.0);
        band(m, waist - 0.05, waist + 0.03, Material::Steel, -0.01);
        m.quad(
            [v3(a.0, top, a.1), v3(b.0, top, b.1), v3(x, top + 0.22, z + 1.2), v3(x, top + 0.22, z + 1.2)],
            Material::Roof,
        );
    }
    for i in [0usize, 2, 4, 5, 7, 9] {
        let (px, pz) = nose[i];
        m.bar(v3(px, waist, pz), v3(px, head, pz), 0.07, 0.07, Material::Tram);
    }
    for k in 0..4 {
        let pz = z + 0.9 + k as f32 * 0.85;
        m.bar(v3(x + half, waist, pz), v3(x + half, head, pz), 0.09, 0.09, Material::Tram);
    }
    m.block(v3(x - 0.5, top - 0.32, z - 0.04), v3(x + 0.5, top - 0.06, z + 0.1), Material::Roof);
    m.block(v3(x - 0.11, 1.08, z - 0.09), v3(x + 0.11, 1.3, z + 0.1), Material::Rail);
    m.block(v3(x - 0.75, 0.5, z - 0.1), v3(x + 0.75, 0.68, z + 0.3), Material::Steel);
    m.block(v3(x - 0.85, 0.12, z + 0.35), v3(x + 0.85, 0.5, BACK - 0.2), Material::Steel);
}

fn buffer_stop(m: &mut Mesh, x: f32, z: f32) {
    for s in [-1.0, 1.0] {
        let px = x + s * HALF_GAUGE;
        m.bar(v3(px, 0.0, z), v3(px, 1.15, z), 0.14, 0.14, Material::Steel);
        m.bar(v3(px, 0.0, z + 0.95), v3(px, 1.0, z + 0.1), 0.12, 0.12, Material::Steel);
        m.block(v3(px - 0.17, 0.72, z - 0.32), v3(px + 0.17, 1.02, z - 0.2), Material::Steel);
    }
    m.block(v3(x - 1.25, 0.68, z - 0.2), v3(x + 1.25, 1.06, z - 0.03), Material::Timber);
}

/// A stack of sleepers on the right and a rail length along the wall: depth cues on the way back.
fn clutter(m: &mut Mesh) {
    for row in 0..4 {
        for k in 0..(5 - row) {
            let x = 3.25 + 0.29 * k as f32 + 0.13 * row as f32;
            let y = 0.17 * row as f32;
            let skew = 0.04 * ((k * 7 + row * 3) % 5) as f32;
            m.block(v3(x, y, 5.2 + skew), v3(x + 0.26, y + 0.155, 7.5 + skew), Material::Timber);
        }
    }
    m.bar(v3(5.9, 0.05, 1.2), v3(6.9, 2.9, 1.5), 0.06, 0.06, Material::Steel);
    m.bar(v3(6.2, 0.05, 1.1), v3(7.1, 2.7, 1.6), 0.06, 0.06, Material::Steel);
}

/// The flash heads a wide lens may see, each on its stand; the rim hangs from the truss.
fn heads(m: &mut Mesh) {
    for i in [RIM, DUST_LEFT, DUST_RIGHT] {
        let f = &FLASHES[i];
        let aim = (f.aim - f.pos).unit();
        let (front, back) = (f.pos - aim * 0.05, f.pos - aim * 0.34);
        m.bar(front, back, 0.17, 0.17, Material::Steel);
        let mid = front.lerp(back, 0.5);
        if i == RIM {
            m.bar(mid, v3(mid.x, EAVES, 4.45), 0.03, 0.03, Material::Steel);
            continue;
        }
        m.bar(v3(mid.x, 0.0, mid.z), mid, 0.03, 0.03, Material::Steel);
        for k in 0..3 {
            let a = rad(120.0 * k as f32 + 20.0);
            let foot = v3(mid.x + 0.45 * cos(a), 0.01, mid.z + 0.45 * sin(a));
            m.bar(v3(mid.x, 0.5, mid.z), foot, 0.02, 0.02, Material::Steel);
        }
    }
}
