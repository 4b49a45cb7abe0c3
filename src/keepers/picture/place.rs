//! Where a point of the export lies in a shot: shift, turn and scale, or any linear map

/// x' = a x + b y + c, y' = d x + e y + f, in pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    pub x: [f64; 3],
    pub y: [f64; 3],
}

impl Place {
    /// Shift, turn and scale: x' = p x - q y + u, y' = q x + p y + v.
    pub fn similar(p: f64, q: f64, u: f64, v: f64) -> Self {
        Self { x: [p, -q, u], y: [q, p, v] }
    }

    pub fn of(&self, x: f64, y: f64) -> (f64, f64) {
        let [a, b, c] = self.x;
        let [d, e, f] = self.y;
        (a * x + b * y + c, d * x + e * y + f)
    }

    /// Shot pixels per export pixel.
    pub fn scale(&self) -> f64 {
        let [a, b, _] = self.x;
        let [d, e, _] = self.y;
        libm::sqrt(libm::fabs(a * e - b * d))
    }

    /// This map first, `next` after it.
    pub fn then(&self, next: &Self) -> Self {
        let row = |[p, q, r]: [f64; 3]| {
            let ([a, b, c], [d, e, f]) = (self.x, self.y);
            [p * a + q * d, p * b + q * e, p * c + q * f + r]
        };
        Self { x: row(next.x), y: row(next.y) }
    }

    /// The same map when the export has `from` and the shot `to` times as many pixels, in each direction.
    pub fn rescaled(&self, from: (f64, f64), to: (f64, f64)) -> Self {
        let row = |[a, b, c]: [f64; 3], to: f64| [a * to / from.0, b * to / from.1, c * to];
        Self { x: row(self.x, to.0), y: row(self.y, to.1) }
    }

    /// The map that fits pairs of points best in the least squares sense; None where they do not tell.
    pub fn fit(pairs: &[([f64; 2], [f64; 2])]) -> Option<Self> {
        if pairs.len() < 2 {
            return None;
        }
        let n = pairs.len() as f64;
        let mut sums = [0.0; 4];
        for ([x, y], [u, v]) in pairs {
            sums.iter_mut().zip([x, y, u, v]).for_each(|(sum, value)| *sum += value);
        }
        let [mx, my, mu, mv] = sums.map(|sum| sum / n);
        let (mut square, mut dot, mut cross) = (0.0, 0.0, 0.0);
        for ([x, y], [u, v]) in pairs {
            let (x, y, u, v) = (x - mx, y - my, u - mu, v - mv);
            square += x * x + y * y;
            dot += x * u + y * v;
            cross += x * v - y * u;
        }
        if square < 1e-9 {
            return None;
        }
        let (p, q) = (dot / square, cross / square);
        Some(Self::similar(p, q, mu - p * mx + q * my, mv - q * mx - p * my))
    }
}

impl Place {
    /// This small map undone first, then `place`.
    pub fn undone_before(&self, place: &Self) -> Self {
        let ([a, b, c], [d, e, f]) = (self.x, self.y);
        let det = a * e - b * d;
        if libm::fabs(det) < 1e-9 {
            return *place;
        }
        // The inverse of this map.
        let (ia, ib, id, ie) = (e / det, -b / det, -d / det, a / det);
        let (ic, jf) = (-(ia * c + ib * f), -(id * c + ie * f));
        let row = |[p, q, r]: [f64; 3]| [p * ia + q * id, p * ib + q * ie, p * ic + q * jf + r];
        Self { x: row(place.x), y: row(place.y) }
    }
}
