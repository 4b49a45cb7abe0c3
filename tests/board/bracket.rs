//! A real exposure bracket: the board's shutter against the shots that were taken at other times. Only exposure times time
//! matters (reciprocity; Debevec and Malik 1997).

use std::fs;
use std::path::Path;

use stoptally::relight::tone::Tone;

use super::driver::Browser;
use super::read::{apart, file, median, tiles};
use super::seen::{move_to, open, picture, text, told};

fn shows(tile: Option<(f64, u8)>, black: f64) -> bool {
    tile.is_some_and(|tile| tile.1 < 245 && tile.0 > black)
}

#[test]
fn the_shutter_of_the_board_is_the_shutter_of_a_real_bracket() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let base = tempfile::tempdir().unwrap();
    let folder = base.path().join("room");
    fs::create_dir(&folder).unwrap();
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    for i in 0..7 {
        let name = format!("bracket-{i}.jpg");
        let from = ["bracket", "good"].map(|f| fixtures.join(f).join(&name)).into_iter().find(|p| p.is_file()).unwrap();
        fs::copy(from, folder.join(&name)).unwrap();
    }
    fs::write(folder.join("light-notes.csv"), "from,light,power\nbracket-0.jpg,key,off\n").unwrap();
    // No flash was used: no time is too short.
    let report = told(&folder, 1.0 / 8000.0);
    for row in &report.lightings {
        println!("lighting {}: {:?} {}", row.lighting, row.detail.stage_numbers, row.detail.why_no_board);
    }
    let board = &report.boards.boards[0];
    println!("board of {} {:?}", report.frames[board.frame_index].frame, board.marked);
    let tone = Tone::of_table(report.boards.tones[board.tone].clone());
    let size = (usize::from(report.boards.own[0].columns), usize::from(report.boards.own[0].rows));
    let _page = open(&browser, &report);
    let time = |index: usize| report.frames[index].exposure_time_s.unwrap();
    let base = tiles(&picture(&browser), &tone, &board.place, size);
    // Black: under this code value rounding and noise are as large as the light.
    let black = f64::from(tone.light_of(12));
    let mut compared = 0;
    for (index, frame) in report.frames.iter().enumerate() {
        let thirds = (3.0 * (time(index) / time(board.frame_index)).log2()).round() as i32;
        if !(-12..=12).contains(&thirds) || thirds == 0 {
            continue;
        }
        move_to(&browser, "shutter", thirds);
        let set = tiles(&picture(&browser), &tone, &board.place, size);
        let real = file(&folder.join(&frame.frame));
        let real = tiles(&real, &tone, &board.place, size);
        // Black or clipped in the shot that is set anew, a tile has nothing to give.
        let real: Vec<_> =
            real.into_iter().zip(&base).map(|(real, base)| real.filter(|_| shows(*base, black))).collect();
        let off = apart(&set, &real, black);
        println!(
            "{} at {thirds} thirds: {:.3} stop over {} tiles; {}",
            frame.frame,
            median(off.clone()),
            off.len(),
            text(&browser, "says")
        );
        if off.len() >= 100 {
            compared += 1;
            assert!(median(off.clone()) <= 0.1, "{}: {:.3}", frame.frame, median(off));
        }
    }
    assert!(compared >= 3, "{compared} shots compared");
}
