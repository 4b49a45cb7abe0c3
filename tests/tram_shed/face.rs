//! Fine lines no mesh cell could carry, drawn by place: the face, and the neckline and straps of the bodice.

use crate::figure::Axes;
use crate::material::Surface;
use crate::math::{V3, exp, smoothstep, v3};
use crate::mesh::Material;

/// Change the look of a skin point `p` when it lies on the face of a head at `centre`.
pub fn paint(look: &mut Surface, p: V3, centre: V3, axes: &Axes) {
    let d = p - centre;
    let q = v3(d.dot(axes.r), d.dot(axes.u), d.dot(axes.f));
    if q.z < 0.03 || q.len() > 0.16 {
        return;
    }
    let x = q.x.abs();
    let near = |cx: f32, cy: f32, wx: f32, wy: f32| {
        let (a, b) = ((x - cx) / wx, (q.y - cy) / wy);
        a * a + b * b
    };
    // Sockets lie back: darker, and their lower part leans down, their upper part up.
    let socket = exp(-near(0.031, 0.008, 0.019, 0.014));
    look.albedo = look.albedo * (1.0 - 0.34 * socket);
    let lean = (q.y - 0.008) / 0.014 * socket * 0.55;
    let side = (x - 0.031) / 0.019 * socket * 0.35 * q.x.signum();
    look.normal = (look.normal + axes.u * lean + axes.r * side).unit();
    let cheek = exp(-near(0.045, -0.03, 0.020, 0.016));
    look.albedo = look.albedo.lerp(look.albedo.mul(v3(1.05, 0.80, 0.78)), cheek);
    let lid = 0.0035 - 2.6 * (x - 0.031) * (x - 0.031) * 4.0;
    let lash = (1.0 - smoothstep(0.7, 1.2, near(0.032, 0.0, 0.0165, 0.0062))) * smoothstep(0.006, -0.002, q.y - lid);
    let arch = 0.027 - 5.0 * (x - 0.036) * (x - 0.036);
    let brow = 1.0 - smoothstep(0.6, 1.3, near(0.034, arch, 0.020, 0.0042));
    look.albedo = look.albedo.lerp(v3(0.045, 0.03, 0.025), (0.92 * lash).max(0.75 * brow));
    let bow = 0.0012 * (1.0 - smoothstep(0.0, 0.010, (x - 0.007).abs()));
    let lips = 1.0 - smoothstep(0.75, 1.2, near(0.0, -0.0635 + bow, 0.0215, 0.0085));
    look.albedo = look.albedo.lerp(v3(0.34, 0.115, 0.105), 0.85 * lips);
    let mouth = 1.0 - smoothstep(0.5, 1.2, near(0.0, -0.0635, 0.019, 0.0016));
    look.albedo = look.albedo * (1.0 - 0.6 * mouth);
    let nostril = 1.0 - smoothstep(0.5, 1.4, near(0.008, -0.041, 0.006, 0.0035));
    look.albedo = look.albedo * (1.0 - 0.6 * nostril);
}

/// Skin or bodice at a point of the trunk around the chest's middle.
pub fn neckline(found: Material, p: V3, chest: V3, axes: &Axes) -> Material {
    let d = p - chest;
    let q = v3(d.dot(axes.r), d.dot(axes.u), d.dot(axes.f));
    let x = q.x.abs();
    if x > 0.137 || q.len() > 0.215 || q.y < -0.05 {
        return found;
    }
    let edge = if q.z > 0.0 { 0.082 + 0.30 * x } else { 0.055 };
    let strap = (x - 0.083).abs() < 0.0065 && q.y < 0.16;
    if q.y < edge || strap { Material::Bodice } else { Material::Skin }
}
