//! A report's page opened at its board, and what the board shows.

use std::fs;
use std::path::Path;
use std::time::Duration;

use base64::{Engine as _, engine::general_purpose::STANDARD};
use stoptally::measure::Raster;
use stoptally::pipeline::{Request, analyse};
use stoptally::report::{Report, page};
use tempfile::TempDir;

use super::driver::Browser;
use super::read::Quiet;

/// The report of a folder; `sync_time_s` is the shortest time that is compared.
pub fn told(folder: &Path, sync_time_s: f64) -> Report {
    analyse(&Request { sync_time_s, ..Request::of(folder.to_owned()) }, &Quiet).unwrap()
}

/// Opens the report's page in a window as wide as the board's pictures need.
pub fn open(browser: &Browser, report: &Report) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.html");
    fs::write(&file, page::render(report, &[])).unwrap();
    browser.width(1400);
    browser.open(&file);
    browser.run("document.getElementById('h-board').scrollIntoView()");
    still(browser);
    folder
}

/// Waits until the marks lie still and the picture is drawn at full size.
pub fn still(browser: &Browser) {
    for _ in 0..600 {
        if browser.run("return document.getElementById('board').dataset.still") == "yes" {
            return;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("the board never came to rest: {:?}", browser.errors());
}

/// Opens the board of a lighting.
pub fn choose(browser: &Browser, report: &Report, lighting: u32) {
    let index = report.boards.boards.iter().position(|board| board.lighting == lighting).unwrap();
    browser.run(&format!(
        "var list = document.getElementById('board-lighting'); document.getElementById('board').dataset.still = 'no'; \
         list.value = '{index}'; list.dispatchEvent(new Event('change'))"
    ));
    still(browser);
}

/// Moves the mark of a row to so many thirds of a stop.
pub fn move_to(browser: &Browser, row: &str, thirds: i32) {
    let found = browser.run(&format!(
        "var rows = Array.from(document.querySelectorAll('#board-rows .bdr')); \
         var row = rows.find(r => r.querySelector('b').textContent === '{row}'); if (!row) return false; \
         var input = row.querySelector('input[type=range]'); input.value = '{thirds}'; \
         input.dispatchEvent(new Event('input')); return true"
    ));
    assert_eq!(found, true, "no row {row}");
    still(browser);
}

/// The picture as the marks now stand.
pub fn picture(browser: &Browser) -> Raster {
    let answer = browser.run(
        "var c = document.getElementById('board-set'), d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data; \
         var text = ''; for (var i = 0; i < d.length; i += 4) text += String.fromCharCode(d[i], d[i + 1], d[i + 2]); \
         return [c.width, c.height, btoa(text)]",
    );
    let bytes = STANDARD.decode(answer[2].as_str().unwrap()).unwrap();
    Raster {
        width: answer[0].as_u64().unwrap() as u16,
        height: answer[1].as_u64().unwrap() as u16,
        codes: bytes.as_chunks::<3>().0.to_vec(),
    }
}

/// The text of an element of the board.
pub fn text(browser: &Browser, id: &str) -> String {
    let text = browser.run(&format!("var e = document.getElementById('board-{id}'); return e.value || e.textContent"));
    text.as_str().unwrap().to_owned()
}
