//! Finds the photographer's files: natural order, sub-folders, links followed once, nothing passed over in silence.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use walkdir::WalkDir;

use crate::problem::{Code, Flaw, Problem};
use crate::ratings::sidecar::Sidecar;

/// What a file's ending says it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// JPEG (`.jpg`, `.jpeg`, `.jpe`, `.jfif`).
    Jpeg,
    /// PNG.
    Png,
    /// TIFF (`.tif`, `.tiff`).
    Tiff,
    /// WebP.
    Webp,
    /// HEIC (`.heic`, `.heif`, `.hif`).
    Heic,
    /// A camera raw file of any maker.
    Raw,
}

/// One file of the shoot that ends like a picture this tool reads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoFile {
    /// Where it is.
    pub path: PathBuf,
    /// Path relative to the shoot, `/` separated; bytes that are no UTF-8 are written `\xNN`.
    pub name: String,
    /// What its ending says.
    pub kind: Kind,
    /// Size in bytes.
    pub bytes: u64,
}

/// Everything found below the folder of a shoot.
#[derive(Clone, Debug, Default)]
pub struct Walked {
    /// Files to read, in natural order of their names.
    pub files: Vec<PhotoFile>,
    /// Entries that end like a picture and cannot become a row, one problem each.
    pub not_rows: Vec<Problem>,
    /// Folders and links that could not be followed.
    pub obstacles: Vec<Problem>,
    /// The light notes in the shoot's own folder.
    pub notes: Option<PathBuf>,
    /// XMP sidecars, in natural order of their names.
    pub sidecars: Vec<Sidecar>,
    /// Files that do not end like a picture, left alone; sidecars among them.
    pub others: usize,
}

impl Walked {
    /// Entries seen that end like a picture: files to read plus those that cannot become a row.
    #[must_use]
    pub fn seen(&self) -> usize {
        self.files.len() + self.not_rows.len()
    }

    /// Files left alone when the notes asked for are these: a file of the shoot that is read as notes is none of them,
    /// and notes that are passed over are one.
    #[must_use]
    pub fn others_beside(&self, folder: &Path, asked_for: Option<&Path>) -> usize {
        let real = |path: &Path| path.canonicalize().ok();
        let (Some(asked_for), Some(folder)) = (asked_for.and_then(real), real(folder)) else { return self.others };
        if self.notes.as_deref().and_then(real).is_some_and(|own| own == asked_for) {
            return self.others;
        }
        let read = asked_for.starts_with(&folder) && !ends_like_picture(&asked_for);
        (self.others + usize::from(self.notes.is_some())).saturating_sub(usize::from(read))
    }
}

/// Endings that are read.
const READ: &[(Kind, &[&str])] = &[
    (Kind::Jpeg, &["jpg", "jpeg", "jpe", "jfif"]),
    (Kind::Png, &["png"]),
    (Kind::Tiff, &["tif", "tiff"]),
    (Kind::Webp, &["webp"]),
    (Kind::Heic, &["heic", "heif", "hif"]),
    (
        Kind::Raw,
        &[
            "3fr", "arw", "cr2", "cr3", "crw", "dcr", "dng", "erf", "fff", "iiq", "kdc", "mef", "mos", "mrw", "nef",
            "nrw", "orf", "pef", "raf", "raw", "rw2", "rwl", "sr2", "srf", "srw", "x3f",
        ],
    ),
];

/// Endings of pictures that are not read: each such file is named as a problem, never passed over.
const NOT_READ: &[&str] = &[
    "avif", "bmp", "exr", "gif", "hdr", "ico", "j2k", "jp2", "jpf", "jpx", "jxl", "mpo", "pbm", "pcx", "pgm", "pnm",
    "ppm", "psb", "psd", "tga",
];

/// Files above this size are no camera's single frame.
pub const LARGEST_FILE: u64 = 4 << 30;

/// Walks `folder` and everything below it, except `report` when that lies inside.
///
/// Never fails: what cannot be opened is a [`Problem`] of the result. The order is natural (`IMG_9` before `IMG_10`)
/// and does not depend on the file system.
#[must_use]
pub fn walk(folder: &Path, report: Option<&Path>) -> Walked {
    walk_beside(folder, &report.into_iter().collect::<Vec<_>>())
}

/// The same for several folders that are no part of the shoot: the report's, and that of exported pictures.
#[must_use]
pub fn walk_beside(folder: &Path, left_out: &[&Path]) -> Walked {
    let mut found = Walked::default();
    let mut entries = WalkDir::new(folder).follow_links(true).sort_by_file_name().into_iter();
    while let Some(entry) = entries.next() {
        match entry {
            Ok(entry) if entry.file_type().is_dir() => {
                let ours = entry.depth() > 0
                    && (left_out.iter().any(|out| same_folder(out, entry.path())) || is_report(entry.path()));
                if ours {
                    entries.skip_current_dir();
                }
            }
            Ok(entry) => sort_entry(folder, &entry, &mut found),
            Err(error) => sort_error(folder, &error, &mut found),
        }
    }
    found.files.sort_by(|a, b| natural(&a.name, &b.name));
    found.sidecars.sort_by(|a, b| natural(&a.name, &b.name));
    found
}

/// Natural order of relative names, with the plain order to break ties, so that it is total.
#[must_use]
pub fn natural(a: &str, b: &str) -> std::cmp::Ordering {
    alphanumeric_sort::compare_str(a, b).then_with(|| a.cmp(b))
}

fn sort_entry(folder: &Path, entry: &walkdir::DirEntry, found: &mut Walked) {
    let name = relative_name(folder, entry.path());
    let kind = kind_of(entry.path());
    let picture = ends_like_picture(entry.path());
    let notes = entry.depth() == 1 && entry.file_name().eq_ignore_ascii_case(crate::notes::NOTES_FILE);
    let shadow = entry.file_name().as_encoded_bytes().starts_with(b"._");
    let mut refuse = |code| found.not_rows.push(Flaw::plain(code).of(&name));
    match (kind, entry.metadata()) {
        _ if notes && found.notes.is_none() => found.notes = Some(entry.path().to_owned()),
        (_, Ok(data)) if !picture && ending(entry.path()) == "xmp" && data.is_file() && !shadow => {
            found.sidecars.push(Sidecar { path: entry.path().to_owned(), name });
            found.others += 1;
        }
        _ if !picture => found.others += 1,
        _ if shadow => refuse(Code::SystemShadow),
        (_, Ok(data)) if !data.is_file() => refuse(Code::NotAFile),
        (None, _) => refuse(Code::FormatNotRead),
        // A file whose size cannot be asked for is left to the reader, which names the cause.
        (Some(kind), data) => {
            let bytes = data.map_or(0, |d| d.len());
            found.files.push(PhotoFile { path: entry.path().to_owned(), name, kind, bytes });
        }
    }
}

fn sort_error(folder: &Path, error: &walkdir::Error, found: &mut Walked) {
    let path = error.path().unwrap_or(folder);
    let name = relative_name(folder, path);
    if error.loop_ancestor().is_some() {
        found.obstacles.push(Flaw::plain(Code::LinkLoop).of(&name));
        return;
    }
    let broken_link = path.symlink_metadata().is_ok_and(|data| data.file_type().is_symlink());
    let cause = error.io_error().map(ToString::to_string);
    let problem = Problem {
        file: name,
        code: if broken_link { Code::LinkBroken } else { Code::FolderUnreadable },
        detail: cause,
    };
    // A broken link that ends like a picture was meant to be a frame, so it counts among the pictures seen.
    if broken_link && ends_like_picture(path) { found.not_rows.push(problem) } else { found.obstacles.push(problem) }
}

/// Whether a name ends like a picture, read or not.
#[must_use]
pub fn ends_like_picture(path: &Path) -> bool {
    kind_of(path).is_some() || NOT_READ.contains(&ending(path).as_str())
}

fn kind_of(path: &Path) -> Option<Kind> {
    let ending = ending(path);
    READ.iter().find(|(_, endings)| endings.contains(&ending.as_str())).map(|(kind, _)| *kind)
}

fn ending(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}

fn same_folder(a: &Path, b: &Path) -> bool {
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}

/// Whether a folder is a report written by this tool: its `shoot.json` says so in its first line or two.
fn is_report(folder: &Path) -> bool {
    use std::io::Read;
    let mut head = Vec::new();
    let opened =
        std::fs::File::open(folder.join(crate::report::SHOOT_JSON)).and_then(|f| f.take(256).read_to_end(&mut head));
    opened.is_ok() && String::from_utf8_lossy(&head).contains(crate::report::GENERATOR)
}

/// The path relative to the shoot with `/` between parts. Bytes that are no UTF-8 are written `\xNN`, so that two
/// such names stay two names.
fn relative_name(folder: &Path, path: &Path) -> String {
    let relative = path.strip_prefix(folder).unwrap_or(path);
    let parts: Vec<String> = relative.components().map(|part| readable(part.as_os_str())).collect();
    if parts.is_empty() { ".".to_owned() } else { parts.join("/") }
}

fn readable(name: &OsStr) -> String {
    let mut text = String::new();
    for chunk in name.as_encoded_bytes().utf8_chunks() {
        text.push_str(chunk.valid());
        chunk.invalid().iter().for_each(|byte| text.push_str(&format!("\\x{byte:02X}")));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    fn names(walked: &Walked) -> Vec<&str> {
        walked.files.iter().map(|f| f.name.as_str()).collect()
    }

    #[test]
    fn natural_order_and_sub_folders() {
        let dir = tempfile::tempdir().unwrap();
        for name in ["TS_10.JPG", "TS_9.JPG", "b/TS_1.jpg", "a/TS_2.cr3", "notes.txt"] {
            let path = dir.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, b"x").unwrap();
        }
        let found = walk(dir.path(), None);
        assert_eq!(names(&found), ["TS_9.JPG", "TS_10.JPG", "a/TS_2.cr3", "b/TS_1.jpg"]);
        assert_eq!((found.seen(), found.others), (4, 1));
    }

    #[test]
    fn the_notes_are_no_stray_file() {
        let dir = tempfile::tempdir().unwrap();
        fs::create_dir(dir.path().join("b")).unwrap();
        for name in ["Light-Notes.csv", "b/light-notes.csv", "b/mine.txt", "a.jpg"] {
            fs::write(dir.path().join(name), b"x").unwrap();
        }
        let found = walk(dir.path(), None);
        assert_eq!(found.notes, Some(dir.path().join("Light-Notes.csv")));
        let others = |name: &str| found.others_beside(dir.path(), Some(&dir.path().join(name)));
        assert_eq!((found.others, found.others_beside(dir.path(), None)), (2, 2));
        assert_eq!((others("Light-Notes.csv"), others("b/mine.txt"), others("../elsewhere.csv")), (2, 2, 2));
        let outside = tempfile::NamedTempFile::new().unwrap();
        assert_eq!(found.others_beside(dir.path(), Some(outside.path())), 3, "the folder's own are passed over");
    }

    #[test]
    fn every_picture_is_read_or_named() {
        let dir = tempfile::tempdir().unwrap();
        for name in ["a.jpg", "._a.jpg", "b.psd", "c.GIF", "d.heic", "empty.png", "plain.txt"] {
            fs::write(dir.path().join(name), b"").unwrap();
        }
        fs::create_dir(dir.path().join("folder.jpg")).unwrap();
        fs::write(dir.path().join("folder.jpg/e.jpg"), b"").unwrap();
        let found = walk(dir.path(), None);
        assert_eq!(names(&found), ["a.jpg", "d.heic", "empty.png", "folder.jpg/e.jpg"]);
        let codes: Vec<_> = found.not_rows.iter().map(|p| (p.file.as_str(), p.code)).collect();
        assert_eq!(
            codes,
            [("._a.jpg", Code::SystemShadow), ("b.psd", Code::FormatNotRead), ("c.GIF", Code::FormatNotRead)]
        );
        assert_eq!(found.seen(), 7);
    }

    #[cfg(unix)]
    #[test]
    fn links_loops_and_strange_names() {
        use std::os::unix::ffi::OsStrExt;
        use std::os::unix::fs::symlink;
        let dir = tempfile::tempdir().unwrap();
        fs::create_dir(dir.path().join("in")).unwrap();
        symlink(dir.path(), dir.path().join("in/again")).unwrap();
        symlink("nowhere", dir.path().join("gone.jpg")).unwrap();
        fs::write(dir.path().join(OsStr::from_bytes(b"caf\xe9.jpg")), b"x").unwrap();
        let long = format!("{}.jpg", "n".repeat(250));
        fs::write(dir.path().join(&long), b"x").unwrap();
        let found = walk(dir.path(), None);
        assert_eq!(names(&found), ["caf\\xE9.jpg", long.as_str()]);
        assert_eq!(
            found.obstacles.iter().map(|p| (p.file.as_str(), p.code)).collect::<Vec<_>>(),
            [("in/again", Code::LinkLoop)]
        );
        assert_eq!(
            found.not_rows.iter().map(|p| (p.file.as_str(), p.code)).collect::<Vec<_>>(),
            [("gone.jpg", Code::LinkBroken)]
        );
    }

    #[test]
    fn a_report_inside_is_no_part_of_the_shoot() {
        let dir = tempfile::tempdir().unwrap();
        for name in ["report/charts/a.png", "other/a.png"] {
            let path = dir.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, b"x").unwrap();
        }
        fs::write(
            dir.path().join("report/shoot.json"),
            format!("{{\n  \"generator\": \"{}\"", crate::report::GENERATOR),
        )
        .unwrap();
        assert_eq!(names(&walk(dir.path(), None)), ["other/a.png"]);
        assert_eq!(names(&walk(dir.path(), Some(&dir.path().join("other")))), Vec::<&str>::new());
    }
}
