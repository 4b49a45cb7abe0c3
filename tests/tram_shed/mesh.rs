//! Triangles with smooth normals, colours and a material each, and the few solids the shed is built from.

use crate::bvh::Bvh;
use crate::math::{V3, v3};

/// What a surface is made of; the shader knows each by name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Material {
    Brick,
    Floor,
    Steel,
    /// Bars of a window: steel that no inside light can throw a shadow with.
    Mullion,
    Rail,
    Timber,
    Roof,
    Tram,
    Glass,
    Skin,
    Hair,
    Bodice,
    Cloth,
}

#[derive(Default)]
pub struct Mesh {
    pub points: Vec<V3>,
    pub normals: Vec<V3>,
    /// Per point: 0..1 blend between the material's two colours (shoe against skin, hem against waist).
    pub tone: Vec<f32>,
    pub faces: Vec<[u32; 3]>,
    pub materials: Vec<Material>,
}

impl Mesh {
    pub fn tree(&self) -> Bvh {
        self.tree_of(|_| true)
    }

    /// A tree over the faces of some materials only; its hits carry no usable face number.
    pub fn tree_of(&self, wanted: impl Fn(Material) -> bool) -> Bvh {
        let faces = self.faces.iter().zip(&self.materials).filter(|(_, m)| wanted(**m));
        Bvh::new(faces.map(|(f, _)| f.map(|i| self.points[i as usize])))
    }

    /// A flat four-cornered face, corners in order around it.
    pub fn quad(&mut self, c: [V3; 4], m: Material) {
        let n = (c[1] - c[0]).cross(c[2] - c[0]).unit();
        let base = self.points.len() as u32;
        for p in c {
            self.points.push(p);
            self.normals.push(n);
            self.tone.push(0.0);
        }
        self.faces.push([base, base + 1, base + 2]);
        self.faces.push([base, base + 2, base + 3]);
        self.materials.extend([m, m]);
    }

    /// A box between two opposite corners, sides along the axes.
    pub fn block(&mut self, lo: V3, hi: V3, m: Material) {
        let d = (hi - lo) * 0.5;
        self.beam_frame(lo + d, [v3(d.x, 0.0, 0.0), v3(0.0, d.y, 0.0), v3(0.0, 0.0, d.z)], m);
    }

    /// A square bar from `a` to `b`, `w` wide and `h` deep.
    pub fn bar(&mut self, a: V3, b: V3, w: f32, h: f32, m: Material) {
        let d = (b - a).unit();
        let (s, t) = d.frame();
        self.beam_frame(a.lerp(b, 0.5), [s * (w * 0.5), t * (h * 0.5), (b - a) * 0.5], m);
    }

    fn beam_frame(&mut self, c: V3, h: [V3; 3], m: Material) {
        for i in 0..3 {
            let (u, v, w) = (h[i], h[(i + 1) % 3], h[(i + 2) % 3]);
            for s in [1.0, -1.0] {
                let f = c + u * s;
                let q = [f - v - w * s, f + v - w * s, f + v + w * s, f - v + w * s];
                self.quad(q, m);
            }
        }
    }
}
