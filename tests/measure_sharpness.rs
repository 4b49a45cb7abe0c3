//! Sharpness falls with blur, and does not measure the light.

#![allow(clippy::disallowed_methods, reason = "expected values are worked out apart from the crate's own functions")]

#[path = "support/pictures.rs"]
#[allow(dead_code, reason = "shared between test programs, each of which uses a part")]
mod pictures;

use pictures::{Noise, encoded, figures, linear, rgb};
use stoptally::measure::{Scratch, measure};
use stoptally::metadata::Orientation;
use stoptally::walk::Kind;

/// A picture in linear light, three channels.
#[derive(Clone)]
struct Scene {
    width: usize,
    height: usize,
    light: Vec<[f64; 3]>,
}

impl Scene {
    /// Rendered: a wall under falling light with fine and coarse texture, a dark third, a few bright edges and glints,
    /// and photon noise that grows with the square root of the light.
    fn rendered() -> Self {
        let (width, height) = (600, 400);
        let mut noise = Noise(3);
        let texture: Vec<f64> = (0..width * height).map(|_| noise.next() - 0.5).collect();
        let light = (0..width * height).map(|index| {
            let (x, y) = (index % width, index / width);
            let fall = 0.6 / (1.0 + (x as f64 / 150.0).powi(2));
            let coarse = 1.0 + 0.5 * ((x as f64 / 9.0).sin() * (y as f64 / 13.0).cos());
            let fine = 1.0 + 0.35 * texture[index];
            let edge = if (x / 40 + y / 40) % 2 == 0 { 1.0 } else { 0.55 };
            let light = fall * coarse * fine * edge;
            let photon = light.sqrt() * 0.01 * (noise.next() - 0.5);
            let glint = if x % 97 == 5 && y % 61 == 7 { 0.4 } else { 0.0 };
            [1.0, 0.9, 0.8].map(|tint| ((light + photon) * tint + glint).clamp(0.0, 1.0))
        });
        Self { width, height, light: light.collect() }
    }

    /// A photograph of the fixtures.
    fn photograph(name: &str) -> Self {
        let path = format!("{}/tests/fixtures/{name}", env!("CARGO_MANIFEST_DIR"));
        let picture = image::open(path).expect("a fixture").to_rgb8();
        let light = picture.pixels().map(|pixel| pixel.0.map(|code| linear(f64::from(code) / 255.0)));
        Self { width: picture.width() as usize, height: picture.height() as usize, light: light.collect() }
    }

    /// The same light, brighter or darker by so many stops.
    fn exposed(&self, stops: f64) -> Self {
        let mut scene = self.clone();
        for pixel in &mut scene.light {
            *pixel = pixel.map(|light| (light * stops.exp2()).min(1.0));
        }
        scene
    }

    /// Gaussian blur of the light, sigma in pixels, edges mirrored.
    fn blurred(&self, sigma: f64) -> Self {
        if sigma == 0.0 {
            return self.clone();
        }
        let reach = (4.0 * sigma).ceil() as isize;
        let kernel: Vec<f64> = (-reach..=reach).map(|at| (-(at as f64 / sigma).powi(2) / 2.0).exp()).collect();
        let total: f64 = kernel.iter().sum();
        let mirror = |at: isize, length: usize| {
            let period = 2 * length as isize - 2;
            let at = at.rem_euclid(period);
            if at < length as isize { at as usize } else { (period - at) as usize }
        };
        let pass = |source: &[[f64; 3]], across: bool| -> Vec<[f64; 3]> {
            (0..self.width * self.height)
                .map(|index| {
                    let (x, y) = (index % self.width, index / self.width);
                    let mut sum = [0.0; 3];
                    for (weight, by) in kernel.iter().zip(-reach..) {
                        let (x, y) = if across {
                            (mirror(x as isize + by, self.width), y)
                        } else {
                            (x, mirror(y as isize + by, self.height))
                        };
                        for (sum, light) in sum.iter_mut().zip(source[y * self.width + x]) {
                            *sum += weight * light / total;
                        }
                    }
                    sum
                })
                .collect()
        };
        Self { light: pass(&pass(&self.light, true), false), ..*self }
    }

    /// The figure after rounding to 8-bit sRGB.
    fn sharpness(&self) -> f64 {
        let code = |light: f64| (encoded(light) * 255.0).round() as u8;
        let bytes = rgb(self.width, self.height, |x, y| self.light[y * self.width + x].map(code));
        figures(Kind::Png, &bytes).sharpness.expect("a figure")
    }
}

const PHOTOGRAPHS: [&str; 4] =
    ["good/orientation-1-landscape.jpg", "good/bracket-3.jpg", "good/srgb-icc-progressive.jpg", "exif/img_1771.jpg"];

fn scenes() -> Vec<(String, Scene)> {
    let photographs = PHOTOGRAPHS.iter().map(|name| ((*name).to_owned(), Scene::photograph(name)));
    [("rendered".to_owned(), Scene::rendered())].into_iter().chain(photographs).collect()
}

#[test]
fn it_falls_strictly_with_blur() {
    // The series of references section 6; from sharp to wholly out of focus.
    for (name, scene) in scenes() {
        let series = [0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0].map(|sigma| scene.blurred(sigma).sharpness());
        println!("{name}: {series:.4?}");
        for pair in series.windows(2) {
            assert!(pair[1] < pair[0], "{name}: {series:?}");
        }
    }
}

#[test]
fn it_stays_within_5_percent_when_the_light_changes_by_two_stops() {
    for (name, scene) in scenes() {
        let reference = scene.sharpness();
        for stops in [-0.5, -1.0, -1.3, -2.0] {
            let ratio = scene.exposed(stops).sharpness() / reference;
            println!("{name}: {stops} stops, {ratio:.4}");
            assert!((ratio - 1.0).abs() < 0.05, "{name} at {stops} stops: {ratio}");
        }
    }
}

#[test]
fn a_plain_variance_of_the_laplacian_would_fail_that() {
    // The trap of references section 6, so that the test above is known to be able to fail: gain squared.
    let laplacian_variance = |scene: &Scene| {
        let y: Vec<f64> = scene.light.iter().map(|[r, g, b]| 0.2126 * r + 0.7152 * g + 0.0722 * b).collect();
        let at = |x: usize, row: usize| y[row * scene.width + x];
        let inner = (1..scene.height - 1).flat_map(|row| (1..scene.width - 1).map(move |x| (x, row)));
        let values: Vec<f64> = inner
            .map(|(x, row)| 4.0 * at(x, row) - at(x - 1, row) - at(x + 1, row) - at(x, row - 1) - at(x, row + 1))
            .collect();
        values.iter().map(|value| value * value).sum::<f64>() / values.len() as f64
    };
    let scene = Scene::rendered();
    let ratio = laplacian_variance(&scene.exposed(-2.0)) / laplacian_variance(&scene);
    assert!((ratio - 1.0 / 16.0).abs() < 1e-9, "{ratio}");
}

#[test]
fn noise_in_a_dark_backdrop_does_not_outvote_the_sitter() {
    // Left: a sharp or blurred sitter in light. Right: two thirds of black backdrop, nothing but noise at codes 0 to 6,
    // whose contrast in itself is far above any sitter's. A plain mean over blocks would hardly move.
    let frame = |sigma: f64| {
        let mut scene = Scene::rendered().blurred(sigma);
        let mut noise = Noise(11);
        for (index, pixel) in scene.light.iter_mut().enumerate() {
            if index % scene.width > scene.width / 3 {
                *pixel = [0; 3].map(|_: i32| linear(noise.next() * 6.0 / 255.0));
            }
        }
        scene.sharpness()
    };
    let (sharp, soft) = (frame(0.0), frame(2.0));
    assert!(soft < sharp / 2.0, "{sharp} {soft}");
}

#[test]
fn nothing_is_said_of_the_all_but_black_and_the_tiny() {
    let sharpness = |width, height, code: u8| figures(Kind::Png, &rgb(width, height, |_, _| [code; 3])).sharpness;
    assert_eq!(sharpness(100, 100, 0), None);
    assert_eq!(sharpness(100, 100, 1), None);
    assert_eq!(sharpness(100, 100, 60), Some(0.0), "a plain surface has no detail");
    assert_eq!(sharpness(33, 100, 60), None);
    assert_eq!(sharpness(100, 35, 60), None);
    assert_eq!(sharpness(36, 36, 60), Some(0.0));
}

#[test]
fn a_box_is_judged_by_what_lies_inside_it_whichever_way_the_picture_is_stored() {
    // Sharp in one quarter alone; two such pictures side by side give the figure of that quarter by itself.
    let sharp = Scene::rendered();
    let soft = sharp.blurred(3.0);
    let upright = |x: usize, y: usize| {
        let scene = if x < 300 && y < 200 { &sharp } else { &soft };
        scene.light[y * 600 + x].map(|light| (encoded(light) * 255.0).round() as u8)
    };
    let quarter = |scene: &Scene, left: usize, top: usize| {
        let code = |light: f64| (encoded(light) * 255.0).round() as u8;
        figures(Kind::Png, &rgb(300, 200, |x, y| scene.light[(y + top) * 600 + x + left].map(code))).sharpness.unwrap()
    };
    for turn in 1..=8 {
        let orientation = Orientation::from_exif(turn).unwrap();
        let (width, height) = if turn > 4 { (400, 600) } else { (600, 400) };
        let bytes = rgb(width, height, |x, y| {
            let (x, y) = pictures::upright(turn, x, y, 600, 400);
            upright(x, y)
        });
        let measured = measure(Kind::Png, &bytes, orientation, &mut Scratch::default()).result.unwrap();
        let within = |percent| measured.focus.within(percent).expect("a figure");
        for (percent, scene, left, top) in [
            ([0.0, 0.0, 42.0, 40.0], &sharp, 0, 0),
            ([56.0, 0.0, 44.0, 42.0], &soft, 300, 0),
            ([0.0, 62.0, 46.0, 38.0], &soft, 0, 200),
        ] {
            let (found, alone) = (within(percent), quarter(scene, left, top));
            assert!((found / alone - 1.0).abs() < 0.15, "{orientation:?} {percent:?}: {found} against {alone}");
        }
        let all = measured.sharpness.unwrap();
        assert!((within([0.0, 0.0, 100.0, 100.0]) / all - 1.0).abs() < 1e-12, "{orientation:?}");
        assert_eq!(measured.focus.within([50.0, 50.0, 0.1, 0.1]), None, "no area's middle lies inside");
    }
}
