//! Opens every file once, in parallel, and hands its bytes to metadata and measure. Order is restored at the end.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::panic::catch_unwind;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::iter::{ParallelBridge, ParallelIterator};

use crate::measure::{self, Measured, Scratch};
use crate::metadata::{self, Metadata};
use crate::problem::{Code, Flaw};
use crate::shots::ReadFile;
use crate::walk::{Kind, LARGEST_FILE, PhotoFile};

/// What a run tells and asks while files are read.
pub trait Watch: Sync {
    /// So many files will be read.
    fn files_found(&self, count: usize);
    /// One more file is done.
    fn file_done(&self);
    /// Whether to stop: asked between files.
    fn stop(&self) -> bool;
}

/// The run was stopped by the user; nothing was written.
#[derive(Debug, thiserror::Error)]
#[error("stopped before the end; nothing was written")]
pub struct Stopped;

/// Reads all files on the current thread pool. The result is in the order of `files`.
///
/// The largest files start first, so that no thread is left alone with one at the end. A raw is measured only when no
/// picture of the same name beside it could be: its embedded picture would not be used.
pub fn read(files: Vec<PhotoFile>, watch: &dyn Watch) -> Result<Vec<ReadFile>, Stopped> {
    let mut groups = presses(files);
    groups.sort_by_key(|group| std::cmp::Reverse(group.iter().map(|(_, f)| f.bytes).max()));
    let scratches = Mutex::new(Vec::<Scratch>::new());
    let stopped = AtomicBool::new(false);
    let done: Vec<Vec<(usize, ReadFile)>> = groups
        .into_iter()
        .par_bridge()
        .map(|group| {
            if stopped.load(Ordering::Relaxed) || watch.stop() {
                stopped.store(true, Ordering::Relaxed);
                return Vec::new();
            }
            let mut scratch = scratches.lock().ok().and_then(|mut s| s.pop()).unwrap_or_default();
            let read = read_group(group, &mut scratch, watch);
            if let Ok(mut pool) = scratches.lock() {
                pool.push(scratch);
            }
            read
        })
        .collect();
    if stopped.into_inner() {
        return Err(Stopped);
    }
    let mut all: Vec<(usize, ReadFile)> = done.into_iter().flatten().collect();
    all.sort_by_key(|(index, _)| *index);
    Ok(all.into_iter().map(|(_, file)| file).collect())
}

/// Files that share folder and name but for the ending, each with its index; raws last.
fn presses(files: Vec<PhotoFile>) -> Vec<Vec<(usize, PhotoFile)>> {
    let mut groups: BTreeMap<String, Vec<(usize, PhotoFile)>> = BTreeMap::new();
    for (index, file) in files.into_iter().enumerate() {
        let stem = file.name.rsplit_once('.').map_or(file.name.as_str(), |(stem, _)| stem).to_lowercase();
        groups.entry(stem).or_default().push((index, file));
    }
    let mut groups: Vec<_> = groups.into_values().collect();
    groups.iter_mut().for_each(|group| group.sort_by_key(|(index, file)| (file.kind == Kind::Raw, *index)));
    groups
}

fn read_group(group: Vec<(usize, PhotoFile)>, scratch: &mut Scratch, watch: &dyn Watch) -> Vec<(usize, ReadFile)> {
    let mut measured = false;
    let mut read = Vec::with_capacity(group.len());
    for (index, file) in group {
        let want = !(measured && file.kind == Kind::Raw);
        let one = read_one(file, want, scratch);
        measured |= one.measurement.is_some();
        read.push((index, one));
        watch.file_done();
    }
    read
}

/// One file to one row, whatever its bytes are. `want_pixels` false leaves the picture alone.
pub fn read_one(file: PhotoFile, want_pixels: bool, scratch: &mut Scratch) -> ReadFile {
    match bytes_of(&file) {
        Ok(bytes) => from_bytes(file, &bytes, want_pixels, scratch),
        Err(flaw) => ReadFile { file, metadata: Metadata::default(), measurement: None, flaws: vec![flaw] },
    }
}

/// The same for a file whose bytes are at hand.
pub fn from_bytes(file: PhotoFile, bytes: &[u8], want_pixels: bool, scratch: &mut Scratch) -> ReadFile {
    let mut flaws = Vec::new();
    let metadata = catch_unwind(|| metadata::read(&file, bytes)).unwrap_or_else(|_| {
        flaws.push(Flaw::plain(Code::ExifDamaged));
        Metadata::default()
    });
    let mut measurement = None;
    if want_pixels {
        let measured = figures(&file, bytes, &metadata, scratch);
        flaws.extend(measured.notes);
        match measured.result {
            Ok(figures) => measurement = Some(figures),
            Err(flaw) => flaws.push(flaw),
        }
    }
    ReadFile { file, metadata, measurement, flaws }
}

/// Figures by what the bytes are, whatever the name says.
fn figures(file: &PhotoFile, bytes: &[u8], metadata: &Metadata, scratch: &mut Scratch) -> Measured {
    let failed = |flaw| Measured { result: Err(flaw), notes: Vec::new() };
    let Some(kind) = metadata::content_kind(file.kind, bytes) else { return failed(Flaw::plain(Code::NotThisFormat)) };
    let mut measured = match kind {
        Kind::Raw | Kind::Heic => match metadata::embedded_picture(kind, bytes) {
            None => failed(Flaw::plain(Code::NoPicture)),
            Some(picture) if picture.cut => failed(Flaw::plain(Code::PictureTruncated)),
            Some(picture) => {
                let jpeg = bytes.get(picture.range).unwrap_or_default();
                let mut measured = measure::measure_jpeg_embedded(jpeg, metadata.orientation, scratch);
                let size = format!("{} x {} pixels", picture.width, picture.height);
                measured.notes.push(Flaw::with(Code::EmbeddedPicture, size));
                measured
            }
        },
        _ => measure::measure(kind, bytes, metadata.orientation, scratch),
    };
    if kind != file.kind {
        measured.notes.push(Flaw::plain(Code::OtherFormat));
    }
    measured
}

pub(crate) fn bytes_of(file: &PhotoFile) -> Result<Vec<u8>, Flaw> {
    let unreadable = |error: std::io::Error| Flaw::with(Code::FileUnreadable, error.to_string());
    let opened = File::open(&file.path).map_err(unreadable)?;
    if opened.metadata().map_err(unreadable)?.len() > LARGEST_FILE {
        return Err(Flaw::plain(Code::FileTooLarge));
    }
    let mut bytes = Vec::with_capacity(usize::try_from(file.bytes.min(LARGEST_FILE)).unwrap_or(0));
    // A file may grow while it is read; the limit holds all the same.
    opened.take(LARGEST_FILE).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.is_empty() { Err(Flaw::plain(Code::FileEmpty)) } else { Ok(bytes) }
}
