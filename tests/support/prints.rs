//! Large pictures for made reports: real drawings, filled up with bytes behind their end to the size a photograph has.

use stoptally::measure::Picture;
use stoptally::report::Report;

/// A print of about so many bytes for every lighting's typical shot, and for every lighting without a light.
pub fn with_prints(mut report: Report, bytes: usize) -> Report {
    for row in &mut report.lightings {
        let index = row.detail.typical_index;
        let Some(pictures) = report.pictures.get(index).and_then(Option::as_ref) else { continue };
        row.detail.set_anew_index = Some(index);
        report.prints.insert(index, grown(&pictures.preview, bytes, index));
        for without in &mut row.detail.without {
            let mark = 1000 + index * 20 + without.light_index;
            without.print = Some(grown(&pictures.preview, bytes, mark));
            without.preview = Some(grown(&pictures.preview, 0, mark));
        }
    }
    report
}

/// Readers of JPEG stop at its end mark.
fn grown(picture: &Picture, bytes: usize, mark: usize) -> Picture {
    let mut jpeg = picture.jpeg.to_vec();
    jpeg.extend(mark.to_be_bytes());
    jpeg.resize(bytes.max(jpeg.len()), 0);
    Picture { jpeg: jpeg.into(), ..picture.clone() }
}
