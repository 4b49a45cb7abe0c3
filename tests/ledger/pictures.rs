//! The lights' own pictures: exposure, sums and hatching, from grids whose answer is known.

use super::made::{Made, about, half_lit, off, on, unknown};
use stoptally::light::{AmbientEntry, LightPicture};
use stoptally::report::Report;

/// The pixel at these shares of width and height.
fn pixel(report: &Report, picture: usize, x: f64, y: f64) -> [u8; 3] {
    let jpeg = &report.light_pictures[picture].picture.jpeg;
    let image = image::load_from_memory(jpeg).unwrap().to_rgb8();
    let at = |share: f64, size: u32| (share * f64::from(size)) as u32;
    image.get_pixel(at(x, image.width()), at(y, image.height())).0
}

/// Code value of linear light (IEC 61966-2-1).
fn code(light: f64) -> f64 {
    255.0 * (1.055 * light.powf(1.0 / 2.4) - 0.055)
}

fn near(pixel: [u8; 3], light: f64) {
    let wanted = if light <= 0.0 { 0.0 } else { code(light) };
    assert!(pixel.iter().all(|c| (f64::from(*c) - wanted).abs() <= 4.0), "{pixel:?}, wanted {wanted}");
}

fn right_lit(bright: f32) -> LightPicture {
    let mut picture = half_lit(bright);
    for row in picture.linear.chunks_mut(12) {
        row.reverse();
    }
    picture
}

/// Key left, rim right, both solo in the first shot at f/5.6; the second shot has both.
fn two() -> Made {
    let mut made = Made::of(&["key", "rim"]);
    made.add(1, &[on(0.0), off()]).add(2, &[on(0.0), on(-1.0)]);
    made.light.lights[0].picture = Some(half_lit(0.5));
    made.light.lights[1].picture = Some(right_lit(0.8));
    made
}

#[test]
fn a_lights_own_picture_shows_well_and_says_by_how_much() {
    let mut made = two();
    made.light.lights[0].picture = Some(half_lit(0.0375));
    let report = made.found().report;
    let picture = report.lights[0].picture.unwrap();
    near(pixel(&report, picture, 0.2, 0.3), 0.6);
    near(pixel(&report, picture, 0.8, 0.3), 0.0);
    let detail = &report.light_pictures[picture];
    // 0.6 / 0.0375 = 16 = 2^4 (derived); one row of eight is missing.
    assert!((detail.brightened_stops - 4.0).abs() < 1e-6 && (detail.hatched_percent - 12.5).abs() < 1e-9);
    assert_eq!(detail.caption, "key by itself, as in TS_0001.JPG");
    assert_eq!((detail.picture.width, detail.picture.height), (168, 112));
}

#[test]
fn what_is_missing_is_hatched_light_and_dark() {
    let report = two().found().report;
    let jpeg = &report.light_pictures[report.lights[0].picture.unwrap()].picture.jpeg;
    let image = image::load_from_memory(jpeg).unwrap().to_luma8();
    let at = |up: u32| (0..image.width()).map(|x| image.get_pixel(x, image.height() - up).0[0]).collect::<Vec<u8>>();
    let row = at(4);
    let (light, dark) = (row.iter().filter(|c| **c > 180).count(), row.iter().filter(|c| **c < 90).count());
    assert!(light * 6 > row.len() && dark * 6 > row.len(), "{light} light, {dark} dark of {}", row.len());
    // As much under the lit half as under the dark one.
    let half = |range: std::ops::Range<usize>| row[range].iter().map(|c| u32::from(*c)).sum::<u32>();
    let (left, right) = (half(0..84), half(84..168));
    assert!(left.abs_diff(right) < 84 * 8, "{left} {right}");
    // Also beside what is known: the last row of tiles is 14 pixels high, and none of them is a blend.
    let edge = at(13);
    let strokes = |range: std::ops::Range<usize>, dark: bool| {
        edge[range].iter().filter(|c| if dark { **c < 90 } else { **c > 180 }).count()
    };
    assert!(strokes(0..84, true) * 6 > 84 && strokes(84..168, false) * 6 > 84, "{edge:?}");
}

#[test]
fn a_lighting_is_the_sum_of_its_lights_and_one_can_be_left_out() {
    let report = two().found().report;
    let both = &report.lightings[1].detail;
    let whole = both.whole_picture.unwrap();
    near(pixel(&report, whole, 0.2, 0.3), 0.5);
    near(pixel(&report, whole, 0.8, 0.3), 0.4); // 0.8 at one stop less
    assert_eq!(report.light_pictures[whole].brightened_stops, 0.0, "it shows well as shot");
    let without: Vec<&str> = both.without.iter().map(|w| w.light.as_str()).collect();
    assert_eq!(without, ["key", "rim"]);
    let no_key = both.without[0].picture.unwrap();
    near(pixel(&report, no_key, 0.2, 0.3), 0.0);
    near(pixel(&report, no_key, 0.8, 0.3), 0.4);
    assert_eq!(report.light_pictures[no_key].caption, "lighting 2 without key, flash light only");
    // A quarter of the frame's light gone: log2(0.75) = -0.415 (derived).
    assert!((both.without[0].frame_stops.unwrap() - libm::log2(0.75)).abs() < 1e-12);
    assert_eq!(both.without[0].words, "without key: the frame 0.4 stop darker");
}

/// One stop closed halves the flash; the ambient also takes the shutter: 1/200 to 1/50 is two stops more.
#[test]
fn sums_are_brought_to_the_lightings_own_settings() {
    let mut made = two();
    made.light.ambient_picture = Some(half_lit(0.1));
    let lit = AmbientEntry { stops: Some(about(0.0)), share_of_frame: Some(0.1), at_most: false };
    made.set(80, 50, 100).add(5, &[on(0.0), on(-1.0)]).ambient(lit);
    let report = made.found().report;
    let whole = report.lightings[1].detail.whole_picture.unwrap();
    near(pixel(&report, whole, 0.2, 0.3), 0.5 / 2.0 + 0.1 / 2.0 * 4.0);
    near(pixel(&report, whole, 0.8, 0.3), 0.4 / 2.0);
    assert_eq!(report.light_pictures[whole].caption, "lighting 2, all its light");
}

#[test]
fn no_sum_without_a_light_that_takes_part() {
    let mut made = two();
    made.light.lights[1].picture = None;
    assert_eq!(made.found().report.lightings[1].detail.whole_picture, None);
    let mut made = two();
    made.light.shots.iter_mut().for_each(|s| s.entries[1] = unknown("too weak"));
    assert!(made.found().report.lightings.iter().all(|l| l.detail.whole_picture.is_none()));
    let mut made = two();
    made.light.lights[1].picture.as_mut().unwrap().columns = 3;
    assert_eq!(made.found().report.lights[1].picture, None, "a grid that does not hold together makes no picture");
    assert_eq!(made.found().report.lightings[1].detail.whole_picture, None);
}
