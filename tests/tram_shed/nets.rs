//! From a field of distances to triangles (surface nets): one point per cell the surface passes through.

use crate::math::{V3, smoothstep, v3};
use crate::mesh::{Material, Mesh};
use crate::solids::{Part, field};

/// Size of a cell, metres: about two pixels of the closest view.
const CELL: f32 = 0.0052;
/// Cells along the side of a block; blocks far from the surface are never filled.
const BLOCK: usize = 16;

/// The body as a mesh (surface nets: one point per cell the surface passes through).
pub fn surface(parts: &[Part]) -> Mesh {
    let (mut lo, mut hi) = parts[0].bounds();
    for p in parts {
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
                if live.is_empty() || field(parts, &live, mid) > size * 0.95 {
                    continue;
                }
                for z in bz * BLOCK..(bz + 1) * BLOCK {
                    for y in by * BLOCK..(by + 1) * BLOCK {
                        for x in bx * BLOCK..(bx + 1) * BLOCK {
                            values[index(x, y, z)] = field(parts, &live, at(x, y, z));
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
                        settle(&mut mesh, parts, live, p);
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
                        let m = dominant(parts, mesh.points[q[0] as usize]);
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
