//! The scene: a wall of planks with crates and speckle, and what each light makes of it. Every field's mean is 1, so that
//! a light's strength is the mean linear luminance it adds to the frame.

pub const WIDTH: usize = 480;
pub const HEIGHT: usize = 320;

/// Linear light of one source, row-major.
pub type Field = Vec<f64>;

/// Where a light falls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Falls {
    /// From the upper left, with fall-off and the crates' shadows.
    Left,
    /// Broad and even from the right.
    Right,
    /// On edges and a strip of the floor only.
    Edges,
    /// Through the windows and from above: the ambient.
    Windows,
}

const CRATES: [(usize, usize, usize, usize, f64); 6] = [
    (60, 180, 80, 90, 0.62),
    (170, 210, 60, 70, 0.20),
    (250, 120, 46, 160, 0.45),
    (330, 190, 90, 80, 0.75),
    (400, 60, 40, 60, 0.30),
    (20, 40, 50, 60, 0.55),
];

/// A number that looks random, 0..1, the same for the same place.
fn speck(x: usize, y: usize, of: u64) -> f64 {
    let mut h = (x as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (y as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F) ^ of;
    h = (h ^ (h >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    h = (h ^ (h >> 32)).wrapping_mul(0x94D0_49BB_1331_11EB);
    (h >> 40) as f64 / (1_u64 << 24) as f64
}

fn inside(x: usize, y: usize) -> Option<f64> {
    CRATES.iter().find(|(cx, cy, w, h, _)| (*cx..cx + w).contains(&x) && (*cy..cy + h).contains(&y)).map(|c| c.4)
}

/// Reflectance, 0..1.
fn surface(x: usize, y: usize) -> f64 {
    let plank = 0.30 + 0.25 * speck(x / 22, y / 90, 1);
    let ground = if y > 250 { 0.25 + 0.2 * speck(x / 40, y / 14, 2) } else { plank };
    let base = inside(x, y).map_or(ground, |c| c * (0.85 + 0.3 * speck(x / 9, y / 9, 3)));
    base * (0.88 + 0.24 * speck(x, y, 4))
}

fn falls(falls: Falls, x: usize, y: usize) -> f64 {
    let (u, v) = (x as f64 / WIDTH as f64, y as f64 / HEIGHT as f64);
    let behind = |dx: usize, dy: usize| inside(x.saturating_sub(dx), y.saturating_sub(dy)).is_some();
    match falls {
        Falls::Left => {
            let shade = if inside(x, y).is_none() && behind(18, 10) { 0.12 } else { 1.0 };
            shade / (1.0 + 2.2 * u * u + 0.7 * (v - 0.3).powi(2))
        }
        Falls::Right => 0.5 + 0.5 * u + 0.15 * (1.0 - v),
        Falls::Edges => {
            let lit = inside(x, y).is_some() && inside(x + 9, y).is_none();
            let strip = y > 285 && x > 200;
            0.3 + if lit { 1.6 } else { 0.0 } + if strip { 0.8 } else { 0.0 }
        }
        Falls::Windows => {
            let pane = (x / 60).is_multiple_of(2) && y < 120;
            0.5 + if pane { 0.9 } else { 0.0 } + 0.3 * v
        }
    }
}

/// What the camera sees by one source, mean 1.
pub fn field(from: Falls) -> Field {
    let light: Field = (0..HEIGHT)
        .flat_map(|y| (0..WIDTH).map(move |x| (x, y)))
        .map(|(x, y)| surface(x, y) * falls(from, x, y))
        .collect();
    let mean = light.iter().sum::<f64>() / light.len() as f64;
    light.into_iter().map(|l| l / mean).collect()
}
