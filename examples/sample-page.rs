//! Writes the pages of the tests' sample reports into a folder, to be looked at: `cargo run --example sample-page -- DIR [PICTURES]`.
//! With a folder of pictures, the evening shows those in place of drawings.

#[path = "../tests/support/mod.rs"]
mod support;

use std::path::{Path, PathBuf};
use std::{env, fs, io};

use stoptally::measure::Picture;
use stoptally::report::{FramePictures, Report};

fn main() -> io::Result<()> {
    let folder = PathBuf::from(
        env::args_os()
            .nth(1)
            .ok_or_else(|| io::Error::other("give a folder to write to"))?,
    );
    let pictures = env::args_os().nth(2).map(PathBuf::from);
    for (name, mut report) in support::extremes::all() {
        if let ("evening", Some(pictures)) = (name, &pictures) {
            show(&mut report, pictures)?;
        }
        fs::create_dir_all(folder.join(name).join("recap"))?;
        fs::write(
            folder.join(name).join("report.html"),
            stoptally::report::page::render(&report, &[]),
        )?;
        let recap = stoptally::report::recap::render(&report);
        fs::write(folder.join(name).join("recap.md"), recap.markdown)?;
        for (picture, jpeg) in recap.pictures {
            fs::write(folder.join(name).join(picture), jpeg)?;
        }
    }
    Ok(())
}

/// Puts the pictures of a folder, in order of name, on the shots of a report.
fn show(report: &mut Report, folder: &Path) -> io::Result<()> {
    let mut files = fs::read_dir(folder)?
        .map(|entry| Ok(entry?.path()))
        .collect::<io::Result<Vec<_>>>()?;
    files.retain(|file| {
        file.extension()
            .is_some_and(|ending| ending.eq_ignore_ascii_case("jpg"))
    });
    files.sort();
    let shots = report.pictures.len();
    for (place, shown) in report.pictures.iter_mut().enumerate() {
        let Some(file) = files.get(place * files.len() / shots) else {
            continue;
        };
        let picture = image::open(file).map_err(io::Error::other)?;
        *shown = Some(FramePictures {
            preview: small(&picture, 480)?,
            thumbnail: small(&picture, 128)?,
        });
    }
    Ok(())
}

fn small(picture: &image::DynamicImage, side: u32) -> io::Result<Picture> {
    let shrunk = picture
        .resize(side, side, image::imageops::FilterType::Triangle)
        .into_rgb8();
    let (width, height) = (
        u16::try_from(shrunk.width()),
        u16::try_from(shrunk.height()),
    );
    let (width, height) = width
        .and_then(|w| height.map(|h| (w, h)))
        .map_err(io::Error::other)?;
    let mut jpeg = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut jpeg, 82);
    encoder
        .encode(&shrunk, width, height, jpeg_encoder::ColorType::Rgb)
        .map_err(io::Error::other)?;
    Ok(Picture {
        width,
        height,
        jpeg,
    })
}
