//! Any bytes to a row: figures within their ranges or a flaw that says why there are none. The first byte is the
//! name's ending, the rest is the file.

#![no_main]

use libfuzzer_sys::fuzz_target;
use std::cell::RefCell;
use std::panic;
use std::path::PathBuf;
use stoptally::measure::{Measurement, Scratch};
use stoptally::problem::Weight;
use stoptally::read::from_bytes;
use stoptally::walk::{Kind, PhotoFile};

const KINDS: [Kind; 6] = [Kind::Jpeg, Kind::Png, Kind::Tiff, Kind::Webp, Kind::Heic, Kind::Raw];
/// Pictures of up to so many pixels are measured a second time, in fresh memory.
const MEASURED_TWICE: u64 = 64 * 64;

thread_local! {
    /// Kept between pictures, as in a run: what one leaves behind must not reach the next one's figures.
    static SCRATCH: RefCell<Scratch> = RefCell::new(Scratch::default());
}

/// A decoder's panic is caught and named in the row (`DecoderFailed`), so it goes on here too; a panic of our own code
/// ends the run, although it would be caught as well.
fn forgive_libraries() {
    let abort = panic::take_hook();
    panic::set_hook(Box::new(move |info| {
        let library =
            info.location().is_some_and(|at| at.file().contains("/registry/") || at.file().contains("/rustc/"));
        if library {
            eprintln!("caught: {info}");
        } else {
            abort(info);
        }
    }));
}

fn check(m: &Measurement) {
    let share = 0.0..=1.0;
    assert!(share.contains(&m.mean_luminance), "mean {}", m.mean_luminance);
    assert!(share.contains(&m.median_luminance), "median {}", m.median_luminance);
    assert!(m.sharpness.is_none_or(|s| s.is_finite() && s >= 0.0), "sharpness {:?}", m.sharpness);
    let pixels = m.pixels();
    assert!(pixels > 0);
    assert!(m.clipping.highlights_rgb.iter().all(|&n| n <= m.clipping.highlights), "{:?}", m.clipping);
    assert!(m.clipping.highlights <= m.clipping.highlights_rgb.iter().sum(), "{:?}", m.clipping);
    assert!(m.clipping.highlights + m.clipping.shadows <= pixels, "{:?} of {pixels}", m.clipping);
    let tiles = usize::from(m.tiles.columns) * usize::from(m.tiles.rows);
    assert!(tiles > 0 && m.tiles.means.len() == tiles && m.tiles.clipped.len() == tiles);
    assert_eq!(m.clipping.highlights > 0, m.tiles.clipped.iter().any(|&share| share > 0), "{:?}", m.clipping);
    for (picture, side) in [(&m.preview, 480), (&m.thumbnail, 128)] {
        assert!((1..=side).contains(&picture.width) && (1..=side).contains(&picture.height));
        assert!(picture.jpeg.starts_with(&[0xFF, 0xD8]) && picture.jpeg.ends_with(&[0xFF, 0xD9]));
    }
}

fuzz_target!(
    init: forgive_libraries(),
    |input: &[u8]| {
        let Some((first, bytes)) = input.split_first() else { return };
        let kind = KINDS[usize::from(*first) % KINDS.len()];
        let named = || PhotoFile {
            path: PathBuf::from("frame"),
            name: "frame".to_owned(),
            kind,
            bytes: bytes.len() as u64,
        };
        let read = SCRATCH.with_borrow_mut(|scratch| from_bytes(named(), bytes, true, scratch));
        let Some(figures) = &read.measurement else {
            let cause = read.flaws.iter().any(|flaw| flaw.code.entry().weight == Weight::Unread);
            assert!(cause, "no figures and no cause: {:?}", read.flaws);
            return;
        };
        check(figures);
        if figures.pixels() <= MEASURED_TWICE {
            let again = from_bytes(named(), bytes, true, &mut Scratch::default());
            assert_eq!(read.measurement, again.measurement, "what was measured before changes the figures");
            assert_eq!(read.flaws, again.flaws);
        }
    }
);
