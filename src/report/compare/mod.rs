//! Two shoots side by side, written out: sentences, a table, a page. Rows and words only; `compare` has worked them out.

mod page;
mod table;
mod text;

use std::path::{Path, PathBuf};

use super::csv::CsvError;
use super::files::Files;
use super::place::PlaceError;
use crate::compare::{Comparison, Figure};
use crate::report::words;

pub use table::COMPARE;
pub use text::sentences;

/// The page's file.
pub const PAGE: &str = "compare.html";

/// Written into the page, by which the folder of a comparison is known again.
const MARK: &str = "stoptally comparison";

/// A difference in stops that reads as nothing is none.
const SMALLEST: f64 = 0.05;

/// Both files of a comparison. The same two shoots give the same bytes.
pub fn files(comparison: &Comparison) -> Result<Files, CsvError> {
    let mut files = Files::new();
    files.insert(COMPARE.file.to_owned(), table::bytes(comparison)?.into());
    files.insert(PAGE.to_owned(), page::render(comparison).into_bytes().into());
    Ok(files)
}

/// The folder for a comparison: the user's, or `reports/compare-A-B`. Refused where other files lie there than those of a
/// comparison; one that lies there is made anew, since the two reports it came from are still there.
pub fn place(comparison: &Comparison, asked: Option<&Path>) -> Result<PathBuf, PlaceError> {
    let name = format!("compare-{}-{}", tame(&comparison.a.shoot), tame(&comparison.b.shoot));
    let folder = asked.map_or_else(|| Path::new("reports").join(name), Path::to_owned);
    let Ok(data) = folder.metadata() else { return Ok(folder) };
    if !data.is_dir() {
        return Err(PlaceError::NotAFolder(folder));
    }
    let empty = folder.read_dir().is_ok_and(|mut entries| entries.next().is_none());
    let page = std::fs::read_to_string(folder.join(PAGE)).unwrap_or_default();
    let ours = page.contains(&format!("name=\"generator\" content=\"{MARK}\""));
    if empty || ours { Ok(folder) } else { Err(PlaceError::NotAReport(folder)) }
}

/// A shoot's name as part of a folder's name: names come from files that anyone may have written.
fn tame(name: &str) -> String {
    // Most disks hold names of 255 bytes; two of these and our own word stay well below.
    let mut bytes = 0;
    let short = name.chars().take_while(|c| {
        bytes += c.len_utf8();
        bytes <= 100
    });
    let kept: String = short.map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    let kept = kept.trim_matches('-');
    if kept.is_empty() { "shoot".to_owned() } else { kept.to_owned() }
}

/// A difference in words: "+1.0 stop", "+6 points", "+12".
fn difference(figure: &Figure) -> Option<String> {
    let by = figure.difference?;
    Some(match figure.unit.as_str() {
        "rate" => {
            let points = |rate: f64| {
                let size = format!("{:.0}", rate.abs() * 100.0);
                match () {
                    () if size == "0" => size,
                    () if rate < 0.0 => format!("\u{2212}{size}"),
                    () => format!("+{size}"),
                }
            };
            let within = figure
                .low
                .zip(figure.high)
                .map(|(low, high)| format!(" ({} to {}, 95\u{a0}%)", points(low), points(high)))
                .unwrap_or_default();
            format!("{}\u{a0}points{within}", points(by))
        }
        "count" => {
            let size = format!("{:.0}", by.abs());
            match () {
                () if by == 0.0 => size,
                () if by < 0.0 => format!("\u{2212}{size}"),
                () => format!("+{size}"),
            }
        }
        _ => words::stops_unit(by),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_named_by_tame_names() {
        for (name, tamed) in
            [("tram shed", "tram-shed"), ("../../etc", "etc"), ("", "shoot"), ("a/b\u{202e}c", "a-b-c"), ("été", "été")]
        {
            assert_eq!(tame(name), tamed);
        }
    }

    #[test]
    fn differences_read_as_people_write_them() {
        let figure = |unit: &str, difference| Figure { unit: unit.to_owned(), difference, ..Figure::default() };
        for (unit, value, said) in [
            ("stops", Some(-1.0), "−1.0\u{a0}stop"),
            ("stops", Some(0.0), "0.0\u{a0}stop"),
            ("rate", Some(0.061), "+6\u{a0}points"),
            ("rate", Some(-0.001), "0\u{a0}points"),
            ("count", Some(-3.0), "−3"),
            ("count", Some(0.0), "0"),
        ] {
            assert_eq!(difference(&figure(unit, value)).as_deref(), Some(said));
        }
        assert_eq!(difference(&figure("stops", None)), None);
    }
}
