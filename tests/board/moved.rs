//! The sample shoot's boards: at rest, moved, and set to lightings that were shot later.

use std::path::Path;

use stoptally::measure::{Raster, srgb_to_linear};
use stoptally::relight::tone::Tone;

use super::driver::Browser;
use super::read::{apart as tiles_apart, board, file, median, pixels, tiles};
use super::seen::{choose, move_to, open, picture, still, text, told};

fn luminance(code: [u8; 3]) -> f64 {
    let [r, g, b] = code.map(|code| srgb_to_linear(f64::from(code) / 255.0));
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// |log2| of light, pixel by pixel, where the shot is neither clipped nor all but black.
fn apart(shot: &Raster, other: &Raster) -> Vec<f64> {
    assert_eq!((shot.width, shot.height), (other.width, other.height));
    let pairs = shot.codes.iter().zip(&other.codes);
    let seen = pairs.filter(|(a, _)| a.iter().all(|c| *c < 250) && a.iter().any(|c| *c > 12));
    seen.map(|(a, b)| (luminance(*a) / luminance(*b)).log2().abs()).collect()
}

#[test]
fn the_sample_shoots_boards_show_what_was_shot_and_what_rust_works_out() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-images");
    let report = told(&folder, 1.0 / 250.0);
    let _page = open(&browser, &report);
    let tones: Vec<Tone> = report.boards.tones.iter().map(|table| Tone::of_table(table.clone())).collect();
    let size = (usize::from(report.boards.own[0].columns), usize::from(report.boards.own[0].rows));

    // Every mark at its zero is the shot, against the camera's own file.
    for of in report.boards.boards.iter().filter(|of| [4, 8, 14].contains(&of.lighting)) {
        choose(&browser, &report, of.lighting);
        let shown = picture(&browser);
        let shot = file(&folder.join(&report.frames[of.frame_index].frame));
        // As the program does: to the size of a print, then to that of the board.
        let print = shot.shrunk(report.prints[&of.frame_index].width);
        let off = median(apart(&print.shrunk(shown.width.max(shown.height)), &shown));
        println!("lighting {} at rest: {off:.4} stop from its file", of.lighting);
        assert!(off <= 0.05, "lighting {}: {off} stop", of.lighting);
    }

    // Moved, it is the sum that Rust works out over the same picture.
    let of = report.boards.boards.iter().find(|of| of.lighting == 14).unwrap();
    choose(&browser, &report, 14);
    let shot = pixels(&of.picture);
    let here = board(&report, of, &shot, &tones[of.tone]);
    let place = |name: &str| of.sources.iter().position(|s| s.name == name).unwrap();
    let mut factors = here.as_shot();
    // A stop less for every light alike, clipped places as well.
    move_to(&browser, "aperture", -3);
    let halved: Vec<[f64; 3]> = factors.iter().map(|f| f.map(|f| f * 0.5)).collect();
    let (shown, want) = (picture(&browser), here.set(&halved).unwrap().raster);
    let pairs = shown.codes.as_flattened().iter().zip(want.codes.as_flattened());
    let far = pairs.filter(|(a, b)| a.abs_diff(**b) > 4).count();
    assert!(far * 1000 < 3 * shown.codes.len(), "{far} values off under another aperture");
    move_to(&browser, "aperture", 0);
    for (row, thirds) in [("rim", -15), ("key", 3), ("dust-left", -6), ("ambient", 9)] {
        move_to(&browser, row, thirds);
        let factor = if thirds == -15 { 0.0 } else { (f64::from(thirds) / 3.0).exp2() };
        factors[place(row)] = [factor; 3];
        let (shown, want) = (picture(&browser), here.set(&factors).unwrap().raster);
        let mut off: Vec<u8> =
            shown.codes.as_flattened().iter().zip(want.codes.as_flattened()).map(|(a, b)| a.abs_diff(*b)).collect();
        off.sort_unstable();
        let at = |percent: usize| off[off.len() * percent / 100];
        println!("{row} to {thirds} thirds: {} code values off at the median, {} at 99 %", at(50), at(99));
        // Two decoders of one JPEG differ by a code value or two.
        assert!(at(50) <= 1 && at(99) <= 4, "{row}: {} and {}", at(50), at(99));
    }
    let said = text(&browser, "says");
    assert!(said.contains("key +1.0") && said.contains("rim off") && said.contains("ambient +3.0"), "{said}");
    let plan = text(&browser, "plan");
    assert!(plan.contains("rim: off\n") && plan.contains("key: 1/4\n"), "{plan}");
    move_to(&browser, "key", 12);
    assert!(text(&browser, "plan").contains("key would need +1.0 stop more than 1/1"), "{}", text(&browser, "plan"));
    browser.run("document.getElementById('board-back').click()");
    still(&browser);
    assert!(text(&browser, "says").contains("as shot"));

    // Set to a lighting that was shot later, it is that shot, where that lighting's own lights add up to its shot: which do,
    // and how far all pairs are apart, tests/relight/later.rs tells.
    for (from, to) in [(4, 7), (8, 12), (8, 13), (12, 13)] {
        choose(&browser, &report, from);
        let set = browser.run(&format!(
            "var list = document.getElementById('board-like'); \
             var option = Array.from(list.options).find(o => o.textContent === 'as lighting {to}'); if (!option) return false; \
             list.value = option.value; list.dispatchEvent(new Event('change')); return true"
        ));
        assert_eq!(set, true, "lighting {from} cannot be set as {to}");
        still(&browser);
        let boards = &report.boards.boards;
        let find = |lighting: u32| boards.iter().find(|b| b.lighting == lighting).unwrap();
        let tone = &tones[find(from).tone];
        let real = file(&folder.join(&report.frames[find(to).frame_index].frame));
        let (set, real) =
            (tiles(&picture(&browser), tone, &find(from).place, size), tiles(&real, tone, &find(to).place, size));
        let off = tiles_apart(&set, &real, 0.002);
        println!("lighting {from} set as {to}: {:.3} stop from the shot", median(off.clone()));
        assert!(median(off.clone()) <= 0.1, "lighting {from} as {to}: {:.3}", median(off));
    }
    assert_eq!(browser.errors(), Vec::<String>::new());
}
