//! Sums with a known answer: light adds (P. Haeberli, Synthetic Lighting for Photography), and a stop is a factor of two.

use stoptally::light::{LightPicture, Place, ToneCurve};
use stoptally::measure::{Raster, linear_to_srgb, srgb_to_linear};
use stoptally::relight::tone::Tone;
use stoptally::relight::{Board, Source};

const COLUMNS: usize = 24;
const ROWS: usize = 16;
/// Pixels of the shot along the side of a tile.
const FINE: usize = 10;

/// A light that falls off across the picture, the same in all channels but for its colour.
fn light(colour: [f32; 3], at: impl Fn(f32) -> f32) -> LightPicture {
    let linear = (0..COLUMNS * ROWS).map(|i| colour.map(|c| c * at((i % COLUMNS) as f32 / COLUMNS as f32)));
    LightPicture {
        columns: COLUMNS as u16,
        rows: ROWS as u16,
        linear: linear.collect(),
        missing: vec![false; COLUMNS * ROWS],
    }
}

fn key() -> LightPicture {
    light([0.30, 0.28, 0.26], |x| 1.0 - 0.5 * x)
}

fn rim() -> LightPicture {
    light([0.05, 0.06, 0.09], |x| 0.2 + x)
}

/// The shot in which lights burn: their sum, each pixel with a detail of its own that is one on average.
fn shot(lights: &[&LightPicture], gains: &[f64], tone: &Tone) -> Raster {
    let (width, height) = (COLUMNS * FINE, ROWS * FINE);
    let codes = (0..width * height).map(|i| {
        let (x, y) = (i % width, i / width);
        let detail = if (x / 2 + y / 2) % 2 == 0 { 1.3 } else { 0.7 };
        let across = (x as f32 + 0.5) / FINE as f32 - 0.5;
        let (tile, part) = ((across.max(0.0) as usize).min(COLUMNS - 2), across.clamp(0.0, COLUMNS as f32 - 1.0));
        let part = part - tile as f32;
        std::array::from_fn(|c| {
            let between = |l: &&LightPicture| l.linear[tile][c] * (1.0 - part) + l.linear[tile + 1][c] * part;
            let sum: f32 = lights.iter().zip(gains).map(|(l, gain)| between(l) * *gain as f32).sum();
            tone.code_of(sum * detail)
        })
    });
    Raster { width: width as u16, height: height as u16, codes: codes.collect() }
}

const STRAIGHT: Place = Place { frame: (COLUMNS as u16, ROWS as u16), shift: (0.0, 0.0), turn: 0.0, scale: 1.0 };

/// How far two pictures lie apart at worst, in code values.
fn apart(a: &Raster, b: &Raster) -> u8 {
    assert_eq!((a.width, a.height), (b.width, b.height));
    a.codes.as_flattened().iter().zip(b.codes.as_flattened()).map(|(a, b)| a.abs_diff(*b)).max().unwrap()
}

fn tones() -> [Tone; 2] {
    // A curve that lifts the middle and rolls off at the top, as cameras' curves do.
    let points = (0..=32).map(|i| {
        let code = f64::from(i) * 255.0 / 32.0;
        let z = code / 255.0;
        (code, srgb_to_linear(z) * (0.8 * (z - 0.5)).exp2())
    });
    [Tone::of(None), Tone::of(Some(&ToneCurve { points: points.collect(), source: String::new() }))]
}

#[test]
fn every_light_as_it_was_is_the_shot_itself() {
    for tone in tones() {
        let (key, rim) = (key(), rim());
        let shot = shot(&[&key, &rim], &[1.0, 1.0], &tone);
        // Pictures that do not even add up to the shot: nothing is set anew, so nothing may change.
        let source = |picture, gain| Source { picture, gain: [gain; 3], burns: true };
        let board =
            Board { shot: &shot, place: STRAIGHT, tone: &tone, sources: vec![source(&key, 0.4), source(&rim, 3.0)] };
        let relit = board.set(&board.as_shot()).unwrap();
        assert_eq!(relit.raster, shot);
        assert_eq!(relit.unknown, 0.0);
    }
}

#[test]
fn a_light_taken_away_added_or_made_stronger_gives_the_shot_that_would_have_been() {
    for tone in tones() {
        let (key, rim) = (key(), rim());
        let both = [&key, &rim];
        let as_shot = shot(&both, &[1.0, 1.0], &tone);
        let alone = shot(&[&key], &[1.0], &tone);
        let source = |picture, burns| Source { picture, gain: [1.0; 3], burns };
        let board = |shot, rim_burns| Board {
            shot,
            place: STRAIGHT,
            tone: &tone,
            sources: vec![source(&key, true), source(&rim, rim_burns)],
        };
        let set =
            |shot, rim_burns, key: f64, rim: f64| board(shot, rim_burns).set(&[[key; 3], [rim; 3]]).unwrap().raster;
        // A code value of rounding in the shot and one in the answer.
        let cases = [
            (set(&as_shot, true, 1.0, 0.0), shot(&both, &[1.0, 0.0], &tone), "without the rim"),
            (set(&as_shot, true, 0.0, 1.0), shot(&both, &[0.0, 1.0], &tone), "without the key"),
            (set(&as_shot, true, 0.5, 2.0), shot(&both, &[0.5, 2.0], &tone), "key down a stop, rim up one"),
            (set(&alone, false, 1.0, 1.0), as_shot.clone(), "the rim added"),
            (set(&alone, false, 0.25, 2.0), shot(&both, &[0.25, 2.0], &tone), "key down two stops, rim added"),
        ];
        for (got, want, what) in cases {
            let off = apart(&got, &want);
            assert!(off <= 3, "{what}: {off} code values off");
        }
    }
}

/// One stop more of everything doubles every pixel's light, also where all is black but noise.
#[test]
fn what_all_lights_have_in_common_needs_no_pictures() {
    let tone = Tone::of(None);
    let (mut key, rim) = (key(), rim());
    key.missing.fill(true);
    let codes: Vec<[u8; 3]> = (0..=80).map(|c| [c; 3]).collect();
    let dark = Raster { width: 81, height: 1, codes };
    let source = |picture, burns| Source { picture, gain: [1.0; 3], burns };
    let board =
        Board { shot: &dark, place: STRAIGHT, tone: &tone, sources: vec![source(&key, true), source(&rim, false)] };
    let relit = board.set(&[[2.0; 3], [0.0; 3]]).unwrap();
    assert_eq!(relit.unknown, 0.0);
    for (code, lit) in (0..=80_u8).zip(&relit.raster.codes) {
        let want = 255.0 * linear_to_srgb(2.0 * srgb_to_linear(f64::from(code) / 255.0));
        // Half a code value of rounding, and a tenth for the table of the way back.
        assert!((f64::from(lit[1]) - want).abs() < 0.6, "code {code} became {}, not {want}", lit[1]);
    }
}

/// Where a light that is changed is not known, or lies outside, the picture is hatched and counted, never made up.
#[test]
fn what_is_not_known_is_hatched_and_counted() {
    let tone = Tone::of(None);
    let (key, mut rim) = (key(), rim());
    for row in 0..ROWS {
        for column in 0..COLUMNS / 4 {
            rim.missing[row * COLUMNS + column] = true;
        }
    }
    let as_shot = shot(&[&key], &[1.0], &tone);
    let source = |picture, burns| Source { picture, gain: [1.0; 3], burns };
    let board =
        |place| Board { shot: &as_shot, place, tone: &tone, sources: vec![source(&key, true), source(&rim, false)] };
    let here = board(STRAIGHT);
    assert_eq!(here.set(&[[0.5; 3], [0.0; 3]]).unwrap().unknown, 0.0, "the rim takes no part");
    let relit = here.set(&[[1.0; 3], [1.0; 3]]).unwrap();
    assert!((relit.unknown - 0.25).abs() < 1e-9, "{}", relit.unknown);
    let hatched = |x: usize, y: usize| {
        let [r, g, b] = relit.raster.codes[y * usize::from(relit.raster.width) + x];
        r == g && g == b && r == stoptally::relight::hatch(x, y)
    };
    assert!((0..60).all(|x| hatched(x, 40)) && !(60..240).any(|x| hatched(x, 41) && hatched(x + 1, 43)));
    // A shot of half the width on a plane it overhangs by a quarter.
    let moved = board(Place { shift: (COLUMNS as f32 / 4.0, 0.0), ..STRAIGHT });
    let relit = moved.set(&[[1.0, 1.0, 0.5], [0.0; 3]]).unwrap();
    assert!((relit.unknown - 0.25).abs() < 1.5 / (COLUMNS * FINE) as f64, "{}", relit.unknown);
}

/// A clipped pixel is at least as bright as it shows: the lights' own pictures know how bright.
#[test]
fn a_clipped_place_is_as_bright_as_its_lights_say() {
    let tone = Tone::of(None);
    let key = light([2.0; 3], |_| 1.0);
    let white = Raster { width: 240, height: 160, codes: vec![[255; 3]; 240 * 160] };
    let dim = light([0.1; 3], |_| 1.0);
    let source = |picture| Source { picture, gain: [1.0; 3], burns: true };
    let board = Board { shot: &white, place: STRAIGHT, tone: &tone, sources: vec![source(&key), source(&dim)] };
    // Three stops down: 2.1 becomes 0.2625 + 0.0, and the dim light goes.
    let relit = board.set(&[[0.125; 3], [0.0; 3]]).unwrap().raster;
    assert!(relit.codes.iter().all(|c| c[0].abs_diff(tone.code_of(0.25)) <= 1), "{:?}", relit.codes[0]);
}

#[test]
fn factors_that_belong_to_no_light_are_refused() {
    let tone = Tone::of(None);
    let key = key();
    let shot = shot(&[&key], &[1.0], &tone);
    let board = Board {
        shot: &shot,
        place: STRAIGHT,
        tone: &tone,
        sources: vec![Source { picture: &key, gain: [1.0; 3], burns: true }],
    };
    for factors in [vec![], vec![[1.0; 3]; 2], vec![[f64::NAN; 3]], vec![[-1.0; 3]], vec![[f64::INFINITY; 3]]] {
        assert!(board.set(&factors).is_none(), "{factors:?}");
    }
}
