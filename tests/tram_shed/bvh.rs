//! A bounding-volume tree over triangles: what a ray meets first, and whether it meets anything.

use crate::math::V3;

#[derive(Clone, Copy)]
struct Tri {
    a: V3,
    e1: V3,
    e2: V3,
    id: u32,
}

#[derive(Clone, Copy, Default)]
struct Node {
    lo: V3,
    hi: V3,
    /// First triangle of a leaf, or the left child of a branch (the right one follows it).
    first: u32,
    count: u32,
}

/// A hit: distance along the ray, triangle number, barycentric weights of the second and third corner.
#[derive(Clone, Copy)]
pub struct Hit {
    pub t: f32,
    pub id: u32,
    pub u: f32,
    pub v: f32,
}

#[derive(Default)]
pub struct Bvh {
    nodes: Vec<Node>,
    tris: Vec<Tri>,
}

const BINS: usize = 12;

fn bounds(tris: &[Tri]) -> (V3, V3) {
    let mut lo = V3::ZERO + crate::math::v3(1e30, 1e30, 1e30);
    let mut hi = -lo;
    for t in tris {
        for p in [t.a, t.a + t.e1, t.a + t.e2] {
            lo = lo.min(p);
            hi = hi.max(p);
        }
    }
    (lo, hi)
}

fn area(lo: V3, hi: V3) -> f32 {
    let d = (hi - lo).max(V3::ZERO);
    d.x * d.y + d.y * d.z + d.z * d.x
}

fn middle(t: &Tri, axis: usize) -> f32 {
    (t.a + (t.e1 + t.e2) * (1.0 / 3.0)).axis(axis)
}

impl Bvh {
    /// Build from corner positions, three per triangle.
    pub fn new(corners: impl Iterator<Item = [V3; 3]>) -> Bvh {
        let mut tris: Vec<Tri> =
            corners.enumerate().map(|(id, [a, b, c])| Tri { a, e1: b - a, e2: c - a, id: id as u32 }).collect();
        let mut nodes = vec![Node::default()];
        let n = tris.len();
        if n > 0 {
            build(&mut nodes, &mut tris, 0, 0, n);
        }
        Bvh { nodes, tris }
    }

    /// The nearest hit closer than `tmax`.
    pub fn nearest(&self, o: V3, d: V3, tmax: f32) -> Option<Hit> {
        let mut best = Hit { t: tmax, id: u32::MAX, u: 0.0, v: 0.0 };
        self.walk(o, d, tmax, |t, id, u, v| {
            if t < best.t {
                best = Hit { t, id, u, v };
            }
            Some(best.t)
        });
        (best.id != u32::MAX).then_some(best)
    }

    /// Whether anything stands between the two ends of a ray.
    pub fn blocked(&self, o: V3, d: V3, tmax: f32) -> bool {
        let mut hit = false;
        self.walk(o, d, tmax, |_, _, _, _| {
            hit = true;
            None
        });
        hit
    }

    /// How many sheets lie on a ray, at most `most`.
    pub fn layers(&self, o: V3, d: V3, tmax: f32, most: u32) -> u32 {
        let mut n = 0;
        self.walk(o, d, tmax, |_, _, _, _| {
            n += 1;
            (n < most).then_some(tmax)
        });
        n
    }

    /// Visit triangles on the ray; the visitor returns the new far limit, or nothing to stop.
    fn walk(&self, o: V3, d: V3, tmax: f32, mut visit: impl FnMut(f32, u32, f32, f32) -> Option<f32>) {
        if self.tris.is_empty() {
            return;
        }
        let safe = |x: f32| 1.0 / if x.abs() < 1e-9 { 1e-9 } else { x };
        let inv = crate::math::v3(safe(d.x), safe(d.y), safe(d.z));
        let mut far = tmax;
        let mut stack = [0u32; 64];
        let mut top = 0usize;
        let mut current = 0u32;
        if slab(&self.nodes[0], o, inv, far).is_none() {
            return;
        }
        loop {
            let node = self.nodes[current as usize];
            if node.count > 0 {
                for tri in &self.tris[node.first as usize..(node.first + node.count) as usize] {
                    if let Some((t, u, v)) = meet(tri, o, d, far) {
                        match visit(t, tri.id, u, v) {
                            Some(limit) => far = limit,
                            None => return,
                        }
                    }
                }
            } else {
                let (l, r) = (node.first, node.first + 1);
                let hits = (slab(&self.nodes[l as usize], o, inv, far), slab(&self.nodes[r as usize], o, inv, far));
                match hits {
                    (Some(a), Some(b)) => {
                        let (near, other) = if a <= b { (l, r) } else { (r, l) };
                        stack[top] = other;
                        top += 1;
                        current = near;
                        continue;
                    }
                    (Some(_), None) => {
                        current = l;
                        continue;
                    }
                    (None, Some(_)) => {
                        current = r;
                        continue;
                    }
                    (None, None) => {}
                }
            }
            if top == 0 {
                return;
            }
            top -= 1;
            current = stack[top];
        }
    }
}

fn slab(n: &Node, o: V3, inv: V3, far: f32) -> Option<f32> {
    let a = (n.lo - o).mul(inv);
    let b = (n.hi - o).mul(inv);
    let (lo, hi) = (a.min(b), a.max(b));
    let t0 = lo.x.max(lo.y).max(lo.z).max(0.0);
    let t1 = hi.x.min(hi.y).min(hi.z).min(far);
    (t0 <= t1).then_some(t0)
}

fn meet(tri: &Tri, o: V3, d: V3, far: f32) -> Option<(f32, f32, f32)> {
    let p = d.cross(tri.e2);
    let det = tri.e1.dot(p);
    if det.abs() < 1e-14 {
        return None;
    }
    let inv = 1.0 / det;
    let s = o - tri.a;
    let u = s.dot(p) * inv;
    if !(0.0..=1.0).contains(&u) {
        return None;
    }
    let q = s.cross(tri.e1);
    let v = d.dot(q) * inv;
    if v < 0.0 || u + v > 1.0 {
        return None;
    }
    let t = tri.e2.dot(q) * inv;
    (t > 1e-4 && t < far).then_some((t, u, v))
}

fn build(nodes: &mut Vec<Node>, tris: &mut [Tri], at: usize, lo: usize, hi: usize) {
    let (blo, bhi) = bounds(&tris[lo..hi]);
    nodes[at] = Node { lo: blo, hi: bhi, first: lo as u32, count: (hi - lo) as u32 };
    if hi - lo <= 4 {
        return;
    }
    let Some(mid) = split(&mut tris[lo..hi]).map(|m| lo + m) else {
        return;
    };
    let left = nodes.len();
    nodes.push(Node::default());
    nodes.push(Node::default());
    nodes[at].first = left as u32;
    nodes[at].count = 0;
    build(nodes, tris, left, lo, mid);
    build(nodes, tris, left + 1, mid, hi);
}

/// Partition by the cheapest of a few planes per axis (surface area heuristic); the number on the left.
fn split(tris: &mut [Tri]) -> Option<usize> {
    let mut best: Option<(f32, usize, f32)> = None;
    for axis in 0..3 {
        let (mut lo, mut hi) = (f32::MAX, f32::MIN);
        for t in tris.iter() {
            let c = middle(t, axis);
            lo = lo.min(c);
            hi = hi.max(c);
        }
        if hi - lo < 1e-6 {
            continue;
        }
        let mut count = [0usize; BINS];
        let mut boxes = [(V3::ZERO, V3::ZERO); BINS];
        for t in tris.iter() {
            let k = (((middle(t, axis) - lo) / (hi - lo)) * BINS as f32) as usize;
            let k = k.min(BINS - 1);
            let b = bounds(std::slice::from_ref(t));
            boxes[k] = if count[k] == 0 { b } else { (boxes[k].0.min(b.0), boxes[k].1.max(b.1)) };
            count[k] += 1;
        }
        for cut in 1..BINS {
            let side = |range: std::ops::Range<usize>| {
                let mut n = 0;
                let mut b: Option<(V3, V3)> = None;
                for k in range.filter(|&k| count[k] > 0) {
                    n += count[k];
                    b = Some(b.map_or(boxes[k], |b| (b.0.min(boxes[k].0), b.1.max(boxes[k].1))));
                }
                b.map_or((0, 0.0), |b| (n, area(b.0, b.1) * n as f32))
            };
            let (left, right) = (side(0..cut), side(cut..BINS));
            let cost = left.1 + right.1;
            if left.0 > 0 && right.0 > 0 && best.is_none_or(|b| cost < b.0) {
                best = Some((cost, axis, lo + (hi - lo) * cut as f32 / BINS as f32));
            }
        }
    }
    let (_, axis, plane) = best?;
    let mut mid = 0;
    for i in 0..tris.len() {
        if middle(&tris[i], axis) < plane {
            tris.swap(i, mid);
            mid += 1;
        }
    }
    (mid > 0 && mid < tris.len()).then_some(mid)
}
