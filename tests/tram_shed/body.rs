//! The dancer's flesh: smoothly joined solids around the skeleton, turned into a fine triangle mesh.

use crate::figure::{Axes, Skeleton};
use crate::math::{V3, smoothstep, v3};
use crate::mesh::{Material, Mesh};

#[derive(Clone, Copy)]
enum Shape {
    /// Round cone between two balls.
    Cone {
        a: V3,
        b: V3,
        ra: f32,
        rb: f32,
    },
    Ellipsoid {
        c: V3,
        axes: Axes,
        r: V3,
    },
}

#[derive(Clone, Copy)]
struct Part {
    shape: Shape,
    /// Width of the blend with what came before, metres.
    blend: f32,
    material: Material,
    tone: f32,
}

fn cone_distance(p: V3, a: V3, b: V3, ra: f32, rb: f32) -> f32 {
    let ba = b - a;
    let l2 = ba.dot(ba);
    let rr = ra - rb;
    let a2 = l2 - rr * rr;
    let il2 = 1.0 / l2;
    let pa = p - a;
    let y = pa.dot(ba);
    let z = y - l2;
    let x = pa * l2 - ba * y;
    let x2 = x.dot(x);
    let y2 = y * y * l2;
    let z2 = z * z * l2;
    let k = rr.signum() * rr * rr * x2;
    if z.signum() * a2 * z2 > k {
        (x2 + z2).sqrt() * il2 - rb
    } else if y.signum() * a2 * y2 < k {
        (x2 + y2).sqrt() * il2 - ra
    } else {
        ((x2 * a2 * il2).sqrt() + y * rr) * il2 - ra
    }
}

impl Part {
    fn distance(&self, p: V3) -> f32 {
        match self.shape {
            Shape::Cone { a, b, ra, rb } => cone_distance(p, a, b, ra, rb),
            Shape::Ellipsoid { c, axes, r } => {
                let d = p - c;
                let q = v3(d.dot(axes.r), d.dot(axes.u), d.dot(axes.f));
                let s = v3(q.x / r.x, q.y / r.y, q.z / r.z);
                let k0 = s.len();
                let k1 = v3(s.x / r.x, s.y / r.y, s.z / r.z).len();
                if k1 < 1e-6 { -r.x.min(r.y).min(r.z) } else { k0 * (k0 - 1.0) / k1 }
            }
        }
    }
    fn bounds(&self) -> (V3, V3) {
        let (c, d, r) = match self.shape {
            Shape::Cone { a, b, ra, rb } => (a.min(b), a.max(b), ra.max(rb)),
            Shape::Ellipsoid { c, r, .. } => (c, c, r.x.max(r.y).max(r.z)),
        };
        let m = v3(r, r, r) + v3(0.04, 0.04, 0.04);
        (c - m, d + m)
    }
}

fn parts(s: &Skeleton) -> Vec<Part> {
    let mut out = Vec::new();
    let mut add = |shape, blend, material, tone| out.push(Part { shape, blend, material, tone });
    let cone = |a, b, ra, rb| Shape::Cone { a, b, ra, rb };
    let (pa, ca, ha) = (s.pelvis_axes, s.chest_axes, s.head_axes);
    let bodice = Material::Bodice;
    let skin = Material::Skin;
    let egg = |c, axes, r| Shape::Ellipsoid { c, axes, r };
    add(egg(s.pelvis, pa, v3(0.150, 0.115, 0.104)), 0.0, bodice, 0.0);
    for x in [-1.0, 1.0] {
        let c = s.pelvis + pa.at(v3(0.068 * x, -0.06, -0.046));
        add(cone(c, c + pa.u * 0.03, 0.082, 0.07), 0.05, bodice, 0.0);
    }
    add(egg(s.waist + pa.u * 0.02, pa, v3(0.112, 0.13, 0.085)), 0.06, bodice, 0.0);
    add(egg(s.chest, ca, v3(0.130, 0.158, 0.098)), 0.06, bodice, 0.0);
    for x in [-1.0, 1.0] {
        let c = s.chest + ca.at(v3(0.06 * x, 0.025, 0.066));
        add(cone(c, c + ca.u * 0.015, 0.050, 0.044), 0.035, bodice, 0.0);
    }
    let girdle = s.neck - ca.u * 0.055;
    let collar = [s.shoulders[0].lerp(girdle, 0.2), s.shoulders[1].lerp(girdle, 0.2)];
    add(cone(collar[0], girdle, 0.044, 0.056), 0.05, skin, 0.0);
    add(cone(girdle, collar[1], 0.056, 0.044), 0.05, skin, 0.0);
    let jaw = s.head + ha.at(v3(0.0, -0.07, 0.025));
    let nape = s.head + ha.at(v3(0.0, -0.055, -0.025));
    add(cone(s.neck - ca.u * 0.02, nape, 0.051, 0.045), 0.035, skin, 0.0);
    for i in 0..2 {
        add(cone(s.neck + ca.u * 0.03, s.shoulders[i].lerp(s.neck, 0.25), 0.036, 0.034), 0.04, skin, 0.0);
    }
    // Head: skull, face, jaw, nose; the hair is a cap with a bun.
    add(egg(s.head + ha.at(v3(0.0, 0.018, -0.012)), ha, v3(0.074, 0.090, 0.092)), 0.02, skin, 0.0);
    add(
        cone(s.head + ha.at(v3(0.0, -0.02, 0.032)), jaw + ha.at(v3(0.0, -0.018, 0.022)), 0.055, 0.027),
        0.03,
        skin,
        0.0,
    );
    add(
        cone(s.head + ha.at(v3(0.0, 0.0, 0.083)), s.head + ha.at(v3(0.0, -0.028, 0.098)), 0.009, 0.013),
        0.014,
        skin,
        0.0,
    );
    for x in [-1.0, 1.0] {
        let c = s.head + ha.at(v3(0.072 * x, -0.012, -0.005));
        add(egg(c, ha, v3(0.010, 0.026, 0.017)), 0.008, skin, 0.0);
    }
    add(egg(s.head + ha.at(v3(0.0, 0.034, -0.022)), ha, v3(0.080, 0.086, 0.092)), 0.004, Material::Hair, 0.0);
    add(egg(s.head + ha.at(v3(0.0, -0.012, -0.046)), ha, v3(0.066, 0.066, 0.062)), 0.02, Material::Hair, 0.0);
    let bun = s.head + ha.at(v3(0.0, 0.085, -0.095));
    add(egg(bun, ha, v3(0.043, 0.040, 0.038)), 0.012, Material::Hair, 0.0);
    for i in 0..2 {
        let x = if i == 0 { -1.0 } else { 1.0 };
        arm(&mut add, s, i);
        leg(&mut add, s, i, x);
    }
    out
}

fn arm(add: &mut impl FnMut(Shape, f32, Material, f32), s: &Skeleton, i: usize) {
    let cone = |a, b, ra, rb| Shape::Cone { a, b, ra, rb };
    let skin = Material::Skin;
    let (sh, el, wr, tip) = (s.shoulders[i], s.elbows[i], s.wrists[i], s.fingertips[i]);
    add(cone(sh, sh.lerp(el, 0.35), 0.050, 0.043), 0.035, skin, 0.0);
    add(cone(sh.lerp(el, 0.2), el, 0.042, 0.032), 0.02, skin, 0.0);
    add(cone(el, el.lerp(wr, 0.35), 0.033, 0.036), 0.015, skin, 0.0);
    add(cone(el.lerp(wr, 0.3), wr, 0.036, 0.0225), 0.015, skin, 0.0);
    // The hand: a flat palm, four fingers slightly fanned, a thumb.
    let dir = (tip - wr).unit();
    let body = (sh - s.pelvis).unit();
    let flat = (body - dir * body.dot(dir)).unit();
    let across = dir.cross(flat).unit();
    let knuckles = wr + dir * 0.075;
    for (k, (spread, len)) in [(-1.5, 0.070), (-0.5, 0.082), (0.5, 0.078), (1.5, 0.060)].into_iter().enumerate() {
        let base = knuckles + across * (spread * 0.0155);
        add(cone(wr.lerp(base, 0.2), base, 0.0165, 0.0115), 0.010, skin, 0.0);
        let curl = if k == 1 || k == 2 { 0.010 } else { -0.004 };
        let mid = base + dir * (len * 0.5) + across * (spread * 0.004) + flat * curl;
        add(cone(base, mid, 0.0100, 0.0088), 0.004, skin, 0.0);
        add(cone(mid, base + dir * len + across * (spread * 0.008), 0.0088, 0.0068), 0.003, skin, 0.0);
    }
    let thumb = wr + dir * 0.03 + across * -0.022;
    add(cone(thumb, thumb + dir * 0.055 + across * -0.024 + flat * 0.014, 0.0125, 0.0075), 0.008, skin, 0.0);
}

fn leg(add: &mut impl FnMut(Shape, f32, Material, f32), s: &Skeleton, i: usize, side: f32) {
    let cone = |a, b, ra, rb| Shape::Cone { a, b, ra, rb };
    let skin = Material::Skin;
    let (hip, knee, ankle, toe) = (s.hips[i], s.knees[i], s.ankles[i], s.toes[i]);
    let shin = (ankle - knee).unit();
    let thigh = (knee - hip).unit();
    let bend = knee - hip.lerp(ankle, 0.5);
    let ahead = if bend.len() > 0.02 { bend } else { s.pelvis_axes.f };
    let front = (ahead - shin * ahead.dot(shin)).unit();
    let front_t = (ahead - thigh * ahead.dot(thigh)).unit();
    let _ = side;
    add(cone(hip, hip.lerp(knee, 0.5), 0.088, 0.071), 0.05, skin, 0.0);
    add(cone(hip.lerp(knee, 0.35) + front_t * 0.012, knee - thigh * 0.03, 0.072, 0.049), 0.03, skin, 0.0);
    add(cone(knee, knee + shin * 0.06, 0.050, 0.045), 0.025, skin, 0.0);
    add(cone(knee + front * 0.028, knee + front * 0.024 + shin * 0.02, 0.026, 0.022), 0.025, skin, 0.0);
    let calf = knee + shin * 0.125 - front * 0.018;
    add(cone(calf, knee + shin * 0.25 - front * 0.006, 0.053, 0.038), 0.03, skin, 0.0);
    add(cone(knee + shin * 0.05, ankle, 0.043, 0.0305), 0.025, skin, 0.0);
    // Foot in a soft shoe: heel, arch, ball, toes.
    let shoe = 1.0;
    let dir = (toe - ankle).unit();
    let under = (shin - dir * shin.dot(dir)).unit();
    let heel = ankle + shin * 0.030 - dir * 0.032;
    let ball = ankle + dir * 0.125 + under * 0.016;
    add(cone(ankle, ankle + shin * 0.02, 0.031, 0.030), 0.015, skin, shoe);
    add(cone(ankle, heel, 0.030, 0.027), 0.02, skin, shoe);
    add(cone(ankle + dir * 0.02, ball, 0.032, 0.026), 0.02, skin, shoe);
    add(cone(heel, ball, 0.024, 0.022), 0.02, skin, shoe);
    add(cone(ball, toe + under * 0.012, 0.0265, 0.014), 0.015, skin, shoe);
}

/// Smooth union, polynomial, of width `k`.
fn join(a: f32, b: f32, k: f32) -> f32 {
    if k <= 0.0 {
        return a.min(b);
    }
    let h = (k - (a - b).abs()).max(0.0) / k;
    a.min(b) - h * h * k * 0.25
}

fn field(parts: &[Part], live: &[u16], p: V3) -> f32 {
    let mut d = 1e3;
    for &i in live {
        let part = &parts[usize::from(i)];
        d = join(d, part.distance(p), part.blend);
    }
    d
}

const CELL: f32 = 0.0052;
const BLOCK: usize = 16;

/// The body as a mesh (surface nets: one point per cell the surface passes through).
pub fn flesh(s: &Skeleton) -> Mesh {
    let parts = parts(s);
    let (mut lo, mut hi) = parts[0].bounds();
    for p in &parts {
        let (a, b) = p.bounds();
        lo = lo.min(a);
        hi = hi.max(b);
    }
    let blocks = [0, 1, 2].map(|k| ((hi.axis(k) - lo.axis(k)) / (CELL * BLOCK as f32)) as usize + 1);
    let n = blocks.map(|b| b * BLOCK);
    let index = |x: usize, y: usize, z: usize| (z * n[1] + y) * n[0] + x;
    let at = |x: usize, y: usize, z: usize| lo + v3(x as f32, y as f32, z as f32) * CELL;
    // 0 is "far outside": the pages of untouched blocks are never written.
    let mut values = vec![0.0f32; n[0] * n[1] * n[2]];
    let mut live_blocks = Vec::new();
    let size = CELL * BLOCK as f32;
    for bz in 0..blocks[2] {
        for by in 0..blocks[1] {
            for bx in 0..blocks[0] {
                let mid = at(bx * BLOCK, by * BLOCK, bz * BLOCK) + v3(size, size, size) * 0.5;
                let live: Vec<u16> = (0..parts.len() as u16)
                    .filter(|&i| parts[usize::from(i)].distance(mid) < size * 0.9 + 0.06)
                    .collect();
                if live.is_empty() || field(&parts, &live, mid) > size * 0.95 {
                    continue;
                }
                for z in bz * BLOCK..(bz + 1) * BLOCK {
                    for y in by * BLOCK..(by + 1) * BLOCK {
                        for x in bx * BLOCK..(bx + 1) * BLOCK {
                            values[index(x, y, z)] = field(&parts, &live, at(x, y, z));
                        }
                    }
                }
                live_blocks.push(([bx, by, bz], live));
            }
        }
    }
    let mut mesh = Mesh::default();
    let mut ids = vec![0u32; values.len()];
    for ([bx, by, bz], live) in &live_blocks {
        for z in bz * BLOCK..((bz + 1) * BLOCK).min(n[2] - 1) {
            for y in by * BLOCK..((by + 1) * BLOCK).min(n[1] - 1) {
                for x in bx * BLOCK..((bx + 1) * BLOCK).min(n[0] - 1) {
                    let inside = |dx, dy, dz| values[index(x + dx, y + dy, z + dz)] < 0.0;
                    let first = inside(0, 0, 0);
                    let mixed = (1..8).any(|k| inside(k & 1, (k >> 1) & 1, k >> 2) != first);
                    if mixed {
                        let p = at(x, y, z) + v3(CELL, CELL, CELL) * 0.5;
                        ids[index(x, y, z)] = mesh.points.len() as u32 + 1;
                        settle(&mut mesh, &parts, live, p);
                    }
                }
            }
        }
    }
    for ([bx, by, bz], _) in &live_blocks {
        for z in (bz * BLOCK).max(1)..((bz + 1) * BLOCK).min(n[2] - 1) {
            for y in (by * BLOCK).max(1)..((by + 1) * BLOCK).min(n[1] - 1) {
                for x in (bx * BLOCK).max(1)..((bx + 1) * BLOCK).min(n[0] - 1) {
                    let here = values[index(x, y, z)] < 0.0;
                    let ends = [(x + 1, y, z), (x, y + 1, z), (x, y, z + 1)];
                    for (axis, e) in ends.into_iter().enumerate() {
                        if here == (values[index(e.0, e.1, e.2)] < 0.0) {
                            continue;
                        }
                        let corner = |a: usize, b: usize| match axis {
                            0 => ids[index(x, y - a, z - b)],
                            1 => ids[index(x - b, y, z - a)],
                            _ => ids[index(x - a, y - b, z)],
                        };
                        let q = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
                        if q.contains(&0) {
                            continue;
                        }
                        let q = q.map(|i| i - 1);
                        let m = dominant(&parts, mesh.points[q[0] as usize]);
                        mesh.faces.extend([[q[0], q[1], q[2]], [q[0], q[2], q[3]]]);
                        mesh.materials.extend([m, m]);
                    }
                }
            }
        }
    }
    mesh
}

/// Put one point on the surface with its normal and tone.
fn settle(mesh: &mut Mesh, parts: &[Part], live: &[u16], start: V3) {
    let gradient = |p: V3| {
        let e = 0.0011;
        let k = [v3(1.0, -1.0, -1.0), v3(-1.0, -1.0, 1.0), v3(-1.0, 1.0, -1.0), v3(1.0, 1.0, 1.0)];
        k.iter().fold(V3::ZERO, |g, &o| g + o * field(parts, live, p + o * e)).unit()
    };
    let mut p = start;
    let mut n = gradient(p);
    for _ in 0..2 {
        p = p - n * field(parts, live, p).clamp(-CELL, CELL);
        n = gradient(p);
    }
    let (mut tone, mut weight) = (0.0, 1e-6);
    for &i in live {
        let part = &parts[usize::from(i)];
        let w = 1.0 - smoothstep(0.0, 0.012, part.distance(p));
        tone += w * part.tone;
        weight += w;
    }
    mesh.points.push(p);
    mesh.normals.push(n);
    mesh.tone.push(tone / weight);
}

fn dominant(parts: &[Part], p: V3) -> Material {
    let mut best = (f32::MAX, Material::Skin);
    for part in parts {
        let d = part.distance(p);
        if d < best.0 {
            best = (d, part.material);
        }
    }
    best.1
}
