//! The five ways light enters the picture: four flash heads (the rim also without its grid) and the dusk windows.

use crate::math::{V3, exp, smoothstep, v3};

/// Index of each light's own picture in a rendered frame.
pub const LIGHTS: usize = 6;
pub const KEY: usize = 0;
pub const RIM: usize = 1;
pub const RIM_OPEN: usize = 2;
pub const DUST_LEFT: usize = 3;
pub const DUST_RIGHT: usize = 4;
pub const AMBIENT: usize = 5;

#[derive(Clone, Copy)]
pub enum Beam {
    /// A large soft front: cosine.
    Soft,
    /// A bare reflector: an even middle and a long edge.
    Reflector,
    /// A honeycomb grid: half width at a tenth of the light, degrees.
    Grid(f32),
}

#[derive(Clone, Copy)]
pub struct Flash {
    pub pos: V3,
    pub aim: V3,
    /// Radius of the glowing disc, metres.
    pub radius: f32,
    /// Strength at full power, in scene units times square metres.
    pub strength: f32,
    pub beam: Beam,
    /// Share of the strength that comes back from the room as an even fill.
    pub fill: f32,
    pub tint: V3,
}

pub const FLASHES: [Flash; 5] = [
    Flash {
        pos: v3(-2.55, 2.75, -2.9),
        aim: v3(0.0, 1.35, 0.0),
        radius: 0.55,
        strength: 3300.0,
        beam: Beam::Soft,
        fill: 0.0016,
        tint: v3(1.0, 0.985, 0.955),
    },
    Flash {
        pos: v3(3.4, 4.0, 3.6),
        aim: v3(0.0, 1.45, 0.0),
        radius: 0.09,
        strength: 56_000.0,
        beam: Beam::Grid(17.0),
        fill: 0.00012,
        tint: v3(1.0, 1.0, 1.0),
    },
    Flash {
        pos: v3(3.4, 4.0, 3.6),
        aim: v3(0.0, 1.45, 0.0),
        radius: 0.09,
        strength: 56_000.0,
        beam: Beam::Reflector,
        fill: 0.0005,
        tint: v3(1.0, 1.0, 1.0),
    },
    Flash {
        pos: v3(-5.0, 1.5, 2.1),
        aim: v3(0.4, 1.0, 0.5),
        radius: 0.10,
        strength: 17_500.0,
        beam: Beam::Reflector,
        fill: 0.0004,
        tint: v3(1.0, 1.0, 1.0),
    },
    Flash {
        pos: v3(5.1, 1.35, 1.7),
        aim: v3(-0.4, 1.1, 0.4),
        radius: 0.10,
        strength: 17_500.0,
        beam: Beam::Reflector,
        fill: 0.0004,
        tint: v3(1.0, 1.0, 1.0),
    },
];

impl Flash {
    /// Relative strength towards a direction away from the head.
    pub fn towards(&self, dir: V3) -> f32 {
        let c = dir.dot((self.aim - self.pos).unit());
        if c <= 0.0 {
            return 0.0;
        }
        match self.beam {
            Beam::Soft => c * c * c * c,
            Beam::Reflector => 0.05 * c + 0.95 * smoothstep(0.50, 0.96, c),
            Beam::Grid(half) => {
                let t2 = 2.0 * (1.0 - c) / (half * half * 3.046e-4);
                exp(-t2 * std::f32::consts::LN_10) + 0.004 * smoothstep(0.3, 0.9, c)
            }
        }
    }

    /// A point on the glowing disc for two numbers in 0..1.
    pub fn point(&self, a: f32, b: f32) -> V3 {
        let (s, t) = (self.aim - self.pos).unit().frame();
        let r = a.sqrt() * self.radius;
        let w = b * std::f32::consts::TAU;
        self.pos + s * (r * crate::math::cos(w)) + t * (r * crate::math::sin(w))
    }
}

/// Scattering of chalk towards the camera: strong with the light behind, weak from the front.
pub fn phase(travel: V3, to_camera: V3) -> f32 {
    let c = travel.dot(to_camera);
    let lobe = |g: f32| {
        let d = 1.0 + g * g - 2.0 * g * c;
        (1.0 - g * g) / (d * d.sqrt())
    };
    0.72 * lobe(0.58) + 0.28 * lobe(-0.15)
}
