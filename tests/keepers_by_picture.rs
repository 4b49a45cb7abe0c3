//! Keepers found by the picture alone: exports made by seed from the sample images, and cases whose answer is known beforehand

#[path = "exports/file.rs"]
mod file;
#[path = "exports/grade.rs"]
mod grade;
#[path = "exports/make.rs"]
mod make;
#[path = "exports/raster.rs"]
mod raster;
#[path = "exports/rng.rs"]
mod rng;

use raster::{Cut, Raster};
use rayon::iter::{IntoParallelIterator, IntoParallelRefIterator, ParallelIterator};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use stoptally::keepers::picture::find;
use stoptally::measure::{Measurement, Scratch, measure};
use stoptally::metadata::Orientation;
use stoptally::walk::Kind;

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn measured(jpeg: &[u8]) -> Measurement {
    measure(Kind::Jpeg, jpeg, Orientation::TopLeft, &mut Scratch::default()).result.unwrap()
}

fn of(picture: &Raster) -> Measurement {
    measured(&file::jpeg(picture, 92))
}

/// The sample images, upright, with their names.
static SHOTS: LazyLock<Vec<(String, Raster, Measurement)>> = LazyLock::new(|| {
    let paths = make::folder(&root("sample-images")).unwrap();
    let one = |path: &PathBuf| {
        let (picture, _) = make::open(path).unwrap();
        let figures = of(&picture);
        (path.file_name().unwrap().to_string_lossy().into_owned(), picture, figures)
    };
    paths.par_iter().map(one).collect()
});

fn shots() -> Vec<&'static Measurement> {
    SHOTS.iter().map(|(_, _, figures)| figures).collect()
}

/// What is found for one picture.
fn found(picture: &Raster) -> Vec<usize> {
    find(&[&of(picture)], &shots()).pop().unwrap()
}

fn plain(code: f64) -> Raster {
    Raster { width: 480, height: 320, codes: vec![[code; 3]; 480 * 320] }
}

#[test]
fn a_hundred_exports_are_found_and_none_is_wrong() {
    let own = make::folder(&root("sample-images")).unwrap();
    let foreign = make::folder(&root("tests/fixtures/bracket")).unwrap();
    assert!(!foreign.is_empty());
    let exports: Vec<make::Export> =
        (0..100).into_par_iter().map(|number| make::export(&own, &foreign, 11, number).unwrap()).collect();
    let figures: Vec<Measurement> = exports.par_iter().map(|export| measured(&export.bytes)).collect();
    let answers = find(&figures.iter().collect::<Vec<_>>(), &shots());
    let (mut right, mut several, mut wrong) = (0, 0, Vec::new());
    for (export, answer) in exports.iter().zip(&answers) {
        let truth = export.frame.as_ref().map(|frame| SHOTS.iter().position(|(name, ..)| name == frame).unwrap());
        match (truth, answer.as_slice()) {
            (None, []) => right += 1,
            (Some(truth), [one]) if *one == truth => right += 1,
            // Rightly one of several: few, and the right one among them.
            (Some(truth), many) if many.contains(&truth) && many.len() <= 4 => several += 1,
            // Missed, which is no wrong answer.
            (Some(_), []) => {}
            _ => wrong.push((&export.name, &export.frame, &export.done, answer)),
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(right + several >= 95, "{right} right, {several} one of several");
    assert!(right >= 75, "{right} right, {several} one of several");
}

#[test]
fn an_export_that_is_a_shot_is_that_shot() {
    for number in [0, 13, 24, 45] {
        assert_eq!(find(&[SHOTS[number].2.clone()].iter().collect::<Vec<_>>(), &shots()), [[number]]);
    }
}

#[test]
fn a_pure_crop_is_found_from_every_edge() {
    let (_, picture, _) = &SHOTS[4];
    let (w, h) = (picture.width as f64, picture.height as f64);
    for (left, top) in [(0.0, 0.0), (0.4, 0.0), (0.0, 0.4), (0.4, 0.4), (0.2, 0.2)] {
        let cut =
            Cut { left: left * w, top: top * h, width: 0.6 * w, height: 0.6 * h, angle: 0.0, turns: 0, scale: 1.0 };
        assert_eq!(found(&picture.cut(&cut)), [4], "crop at {left} {top}");
    }
}

#[test]
fn quarter_turns_are_found() {
    let (_, picture, _) = &SHOTS[10];
    for turns in 0..4 {
        let (width, height) = (picture.width as f64, picture.height as f64);
        let cut = Cut { left: 0.0, top: 0.0, width, height, angle: 0.0, turns, scale: 0.6 };
        assert_eq!(found(&picture.cut(&cut)), [10], "{turns} quarter turns");
    }
}

#[test]
fn a_mirrored_picture_is_foreign() {
    for number in [0, 13, 30] {
        let (_, picture, _) = &SHOTS[number];
        let codes = picture.codes.chunks(picture.width).flat_map(|row| row.iter().rev().copied()).collect();
        assert_eq!(found(&Raster { codes, ..picture.clone() }), [0_usize; 0], "{}", SHOTS[number].0);
    }
}

#[test]
fn plain_pictures_are_none_among_pictures_and_never_one_among_their_like() {
    for code in [0.0, 0.02, 0.5, 1.0] {
        assert_eq!(found(&plain(code)), [0_usize; 0], "all {code}");
        let like = [of(&plain(code)), of(&plain(code))];
        let answer = find(&[&like[0]], &[&like[0], &like[1]]);
        assert_ne!(answer[0].len(), 1, "all {code}");
    }
}

/// The same picture twice in a shoot, as when a card was copied twice: neither can be told from the other.
#[test]
fn two_equal_shots_are_both_given() {
    let mut all = shots();
    let again = SHOTS[7].2.clone();
    all.push(&again);
    assert_eq!(find(&[&SHOTS[7].2], &all), [vec![7, all.len() - 1]]);
}

#[test]
fn nothing_is_found_in_nothing() {
    assert_eq!(find(&[&SHOTS[0].2], &[]), [Vec::<usize>::new()]);
    assert!(find(&[], &shots()).is_empty());
}

#[test]
fn the_answer_does_not_depend_on_the_number_of_threads() {
    let exports: Vec<&Measurement> = shots().into_iter().step_by(6).collect();
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| find(&exports, &shots()))
    };
    assert_eq!(with(1), with(5));
}
