//! Round cones and ellipsoids that flow into one another: what flesh is made of here.
// Round cone after the closed form of I. Quilez, "distance functions" (from memory); ellipsoid: his bound.

use crate::figure::Axes;
use crate::math::{V3, v3};
use crate::mesh::Material;

#[derive(Clone, Copy)]
pub enum Shape {
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
pub struct Part {
    pub shape: Shape,
    /// Width of the blend with what came before, metres.
    pub blend: f32,
    pub material: Material,
    pub tone: f32,
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
    /// Signed distance in metres, negative inside.
    pub fn distance(&self, p: V3) -> f32 {
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
    /// A box around it with room for the blend.
    pub fn bounds(&self) -> (V3, V3) {
        let (c, d, r) = match self.shape {
            Shape::Cone { a, b, ra, rb } => (a.min(b), a.max(b), ra.max(rb)),
            Shape::Ellipsoid { c, r, .. } => (c, c, r.x.max(r.y).max(r.z)),
        };
        let m = v3(r, r, r) + v3(0.04, 0.04, 0.04);
        (c - m, d + m)
    }
}

/// Smooth union, polynomial, of width `k`.
fn join(a: f32, b: f32, k: f32) -> f32 {
    if k <= 0.0 {
        return a.min(b);
    }
    let h = (k - (a - b).abs()).max(0.0) / k;
    a.min(b) - h * h * k * 0.25
}

/// Distance to the joined body at `p`, from the parts that matter there.
pub fn field(parts: &[Part], live: &[u16], p: V3) -> f32 {
    let mut d = 1e3;
    for &i in live {
        let part = &parts[usize::from(i)];
        d = join(d, part.distance(p), part.blend);
    }
    d
}
