//! Tone curves of cameras, in families that have nothing to do with each other: linear light in, share of full code out.

use crate::math::{Rng, pow};

#[derive(Clone, Copy, Debug)]
pub enum Family {
    /// A ratio of two quadratics, as film scans are imitated, behind the sRGB transfer curve.
    Filmic { scale: f32 },
    /// A logarithm with a quadratic toe below `toe`.
    Log { knee: f32, toe: f32 },
    /// The normal distribution of log light: a sigmoid around `middle`, `width` natural logarithms wide.
    Sigmoid { middle: f32, width: f32 },
    /// A power below the shoulder, an exponential approach to white above it.
    Shoulder { power: f32, from: f32, scale: f32 },
}

#[derive(Clone, Copy, Debug)]
pub struct Curve {
    family: Family,
    /// Linear light that reaches full code.
    pub white: f32,
    /// Share of full code that black is lifted to.
    lift: f32,
    /// Value of the family at white.
    top: f32,
}

/// Mid-grey in linear light.
const GREY: f32 = 0.18;

impl Curve {
    /// One of the families with its parameters. `strange` draws from their far ends.
    pub fn draw(seed: u32, strange: bool) -> Curve {
        let mut rng = Rng::new(seed ^ 0xc0_7e);
        let far = |rng: &mut Rng, lo: f32, hi: f32| {
            let (x, side) = (rng.next(), rng.next() < 0.5);
            let wide = (hi - lo) * 0.35;
            match (strange, side) {
                (false, _) => lo + (hi - lo) * x,
                (true, false) => lo - wide * (0.6 + 0.4 * x),
                (true, true) => hi + wide * (0.6 + 0.4 * x),
            }
        };
        let grey = far(&mut rng, 0.42, 0.52);
        let white = rng.range(1.3, 2.6);
        let lift = if strange { rng.range(0.0, 0.04) } else { 0.0 };
        let with = |family: Family| Curve { family, white, lift, top: raw(&family, white) };
        let kind = (rng.next() * 4.0) as u32;
        let shape = far(&mut rng, 0.0, 1.0);
        // The one parameter that is left puts mid-grey where it was drawn.
        let fit = |make: &dyn Fn(f32) -> Family, lo: f32, hi: f32| {
            let (mut a, mut b) = (lo, hi);
            let rising = with(make(hi)).at(GREY) > with(make(lo)).at(GREY);
            for _ in 0..40 {
                let m = (a * b).sqrt();
                if (with(make(m)).at(GREY) < grey) == rising { a = m } else { b = m }
            }
            with(make((a * b).sqrt()))
        };
        match kind {
            0 => fit(&|scale| Family::Filmic { scale }, 0.1, 6.0),
            1 => {
                let toe = 0.002 + 0.014 * shape.max(0.0);
                fit(&|knee| Family::Log { knee, toe }, 0.002, 3.0)
            }
            2 => {
                let width = 1.25 + 0.35 * shape;
                fit(&|middle| Family::Sigmoid { middle, width }, 0.02, 3.0)
            }
            _ => {
                let (from, power) = (0.50 + 0.18 * shape, 1.0 / (1.9 + 0.4 * shape));
                fit(&|scale| Family::Shoulder { power, from, scale }, 0.1, 8.0)
            }
        }
    }

    /// Share of full code, 0..1, for linear light.
    pub fn at(&self, x: f32) -> f32 {
        let y = raw(&self.family, x.clamp(0.0, self.white)) / self.top;
        self.lift + (1.0 - self.lift) * y.clamp(0.0, 1.0)
    }

    pub fn words(&self) -> String {
        format!("{:?}, white {}, lift {}", self.family, self.white, self.lift)
    }
}

fn raw(family: &Family, x: f32) -> f32 {
    match *family {
        Family::Filmic { scale } => {
            let x = x * scale;
            let y = x * (2.51 * x + 0.03) / (x * (2.43 * x + 0.59) + 0.14);
            if y <= 0.003_130_8 { 12.92 * y } else { 1.055 * pow(y, 1.0 / 2.4) - 0.055 }
        }
        Family::Log { knee, toe } => {
            let u = x * x / (x + toe);
            libm::log1pf(u / knee)
        }
        Family::Sigmoid { middle, width } => {
            if x <= 0.0 {
                return 0.0;
            }
            0.5 * libm::erfcf(-libm::logf(x / middle) / (width * std::f32::consts::SQRT_2))
        }
        Family::Shoulder { power, from, scale } => {
            let y = pow(x * scale, power);
            let over = (y - from) / (1.0 - from);
            if over <= 0.0 { y } else { from + (1.0 - from) * (1.0 - libm::expf(-over)) }
        }
    }
}
