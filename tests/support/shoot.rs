//! Small shoots with a known answer, written to a folder, and the program run on them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use super::tiff::{ascii, block, rational, short, with_exif};

/// One frame of a uniform grey, with the EXIF a camera would write.
#[derive(Clone, Debug)]
pub struct Frame {
    pub name: String,
    /// Code value of every pixel.
    pub code: u8,
    pub f_number: (u32, u32),
    pub time: (u32, u32),
    pub iso: u16,
    pub lens: &'static str,
    pub taken: String,
    pub subsec: Option<&'static str>,
    pub serial: &'static str,
    pub model: &'static str,
    /// 1 manual, 3 aperture priority.
    pub program: u16,
}

impl Frame {
    /// f/5.6, 1/200, ISO 100, 35mm F2, body TS-0417, at 16:20 plus so many seconds.
    pub fn new(name: &str, second: u32, code: u8) -> Self {
        Self {
            name: name.to_owned(),
            code,
            f_number: (56, 10),
            time: (1, 200),
            iso: 100,
            lens: "35mm F2",
            taken: format!("2026:11:07 16:{:02}:{:02}", 20 + second / 60, second % 60),
            subsec: None,
            serial: "TS-0417",
            model: "T1",
            program: 1,
        }
    }

    pub fn jpeg(&self) -> Vec<u8> {
        let (width, height) = (96_u16, 64_u16);
        let pixels = vec![self.code; usize::from(width) * usize::from(height)];
        let mut picture = Vec::new();
        jpeg_encoder::Encoder::new(&mut picture, 98)
            .encode(&pixels, width, height, jpeg_encoder::ColorType::Luma)
            .unwrap();
        let mut exif = vec![
            rational(0x829A, &[self.time]),
            rational(0x829D, &[self.f_number]),
            short(0x8822, &[self.program]),
            short(0x8827, &[self.iso]),
            ascii(0x9003, &self.taken),
            rational(0x920A, &[(35, 1)]),
            short(0xA403, &[1]),
            ascii(0xA431, self.serial),
            ascii(0xA434, self.lens),
        ];
        if let Some(subsec) = self.subsec {
            exif.insert(6, ascii(0x9291, subsec));
        }
        let tiff = block(b"MM", &[ascii(0x010F, "Testcam"), ascii(0x0110, self.model)], &exif);
        with_exif(&picture, &tiff)
    }
}

/// Writes frames into a new folder `shed` below `base`.
pub fn write(base: &Path, frames: &[Frame]) -> PathBuf {
    let folder = base.join("shed");
    for frame in frames {
        let path = folder.join(&frame.name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, frame.jpeg()).unwrap();
    }
    folder
}

/// A dozen frames with ordinary changes.
pub fn evening() -> Vec<Frame> {
    let codes = [20, 24, 60, 61, 90, 118, 118, 162, 118, 118, 70, 72];
    let mut frames: Vec<Frame> =
        (0..).zip(codes).map(|(n, code)| Frame::new(&format!("TS_{:04}.JPG", n + 1), n * 40, code)).collect();
    for frame in &mut frames[..2] {
        frame.time = (1, 60);
    }
    frames[7].iso = 200;
    for frame in &mut frames[10..] {
        frame.f_number = (8, 1);
        frame.lens = "85mm F1.8";
    }
    frames
}

/// Runs the program in `work`.
pub fn run(work: &Path, args: &[&std::ffi::OsStr]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_stoptally")).args(args).current_dir(work).output().unwrap()
}

/// Runs the main job on `shoot`, report to `out`.
pub fn analyse(shoot: &Path, out: &Path, more: &[&str]) -> Output {
    let mut args: Vec<&std::ffi::OsStr> = vec![shoot.as_os_str(), "--out".as_ref(), out.as_os_str()];
    args.extend(more.iter().map(|m| std::ffi::OsStr::new(*m)));
    run(shoot.parent().unwrap(), &args)
}

/// Every file below a folder with its bytes.
pub fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let files = walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap).filter(|e| e.file_type().is_file());
    files.map(|e| (e.path().strip_prefix(folder).unwrap().display().to_string(), fs::read(e.path()).unwrap())).collect()
}

/// Rows of a CSV file as maps from column to cell.
pub fn rows(path: &Path) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_path(path).unwrap().deserialize().map(Result::unwrap).collect()
}
