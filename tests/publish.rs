//! What `--publish` must not tell: secrets are planted wherever a camera or a photographer leaves them, taken through the
//! program, and looked for in every byte of what it wrote, in pictures inside pages too.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod support;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use base64::{Engine as _, engine::general_purpose::STANDARD};
use stoptally::assemble::publish::{self, each_text};
use support::shoot::{self, Frame};
use support::tiff::{ascii, long, rational, short, with_exif};
use support::{extremes, tiff};

/// Texts that are found nowhere else.
const SECRETS: [&str; 20] = [
    "SECRETFOLDER",
    "SECRETSUB",
    "SECRETNAME",
    "SECRETRAW",
    "SECRETBROKEN",
    "SECRETOTHER",
    "SECRETBODY",
    "SECRETLENSSERIAL",
    "SECRETARTIST",
    "SECRETCOPYRIGHT",
    "SECRETDESCRIPTION",
    "SECRETOWNER",
    "SECRETCOMMENT",
    "SECRETMAKERNOTE",
    "SECRETXMP",
    "SECRETIPTC",
    "SECRETNOTE",
    "SECRETPOWER",
    "SECRETKEEPER",
    "SECRETMAP",
];

/// Degrees, minutes and hundredths of seconds of a place on earth.
const PLACE: [(u32, u32); 3] = [(51, 1), (17, 1), (4_271_337, 100_000)];

/// A segment of a JPEG.
fn segment(marker: u8, content: &[u8]) -> Vec<u8> {
    [&[0xFF, marker][..], &(content.len() as u16 + 2).to_be_bytes(), content].concat()
}

/// A frame with everything planted in it.
fn planted(frame: &Frame, serial: &str) -> Vec<u8> {
    let plain = frame.jpeg();
    // Behind the EXIF block that the frame has already: the picture itself.
    let picture = image_only(&plain);
    let exif = [
        rational(0x829A, &[frame.time]),
        rational(0x829D, &[frame.f_number]),
        short(0x8822, &[1]),
        short(0x8827, &[frame.iso]),
        ascii(0x9003, &frame.taken),
        rational(0x920A, &[(35, 1)]),
        ascii(0x927C, "SECRETMAKERNOTE in a maker's block"),
        ascii(0x9286, "ASCII\0\0\0SECRETCOMMENT"),
        short(0xA403, &[1]),
        ascii(0xA430, "SECRETOWNER"),
        ascii(0xA431, serial),
        ascii(0xA434, frame.lens),
        ascii(0xA435, "SECRETLENSSERIAL"),
    ];
    let gps = [
        ascii(0x0001, "N"),
        rational(0x0002, &PLACE),
        ascii(0x0003, "E"),
        rational(0x0004, &PLACE),
        ascii(0x0012, "SECRETMAP"),
    ];
    let main = |at: [u32; 2]| {
        [
            ascii(0x010E, "SECRETDESCRIPTION"),
            ascii(0x010F, "Testcam"),
            ascii(0x0110, "T1"),
            ascii(0x013B, "SECRETARTIST"),
            ascii(0x8298, "SECRETCOPYRIGHT"),
            long(0x8769, &[at[0]]),
            long(0x8825, &[at[1]]),
        ]
    };
    let mut measure = tiff::Block::new(b"MM");
    measure.directory(&main([0, 0]), 0);
    let first = measure.len();
    measure.directory(&exif, 0);
    let second = measure.len();
    let mut block = tiff::Block::new(b"MM");
    block.directory(&main([first, second]), 0);
    block.directory(&exif, 0);
    block.directory(&gps, 0);
    let xmp = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta xmlns:x='adobe:ns:meta/'>SECRETXMP</x:xmpmeta>";
    let more = [segment(0xE1, xmp), segment(0xED, b"Photoshop 3.0\0SECRETIPTC"), segment(0xFE, b"SECRETCOMMENT")];
    let with_more = [&picture[..2], &more.concat(), &picture[2..]].concat();
    with_exif(&with_more, &block.finish())
}

/// The same JPEG without its first EXIF segment.
fn image_only(jpeg: &[u8]) -> Vec<u8> {
    let length = usize::from(u16::from_be_bytes([jpeg[4], jpeg[5]]));
    [&jpeg[..2], &jpeg[4 + length..]].concat()
}

/// The evening of `support::shoot` on two bodies that read the same, with notes, a list of keepers and broken files.
fn shed(base: &Path) -> std::path::PathBuf {
    let folder = base.join("SECRETFOLDER");
    fs::create_dir_all(folder.join("SECRETSUB")).unwrap();
    for (number, frame) in shoot::evening().iter().enumerate() {
        let (sub, serial) = if number % 2 == 0 { ("", "SECRETBODY1") } else { ("SECRETSUB/", "SECRETBODY2") };
        let path = folder.join(format!("{sub}SECRETNAME_{:04}.JPG", number + 1));
        fs::write(path, planted(frame, serial)).unwrap();
    }
    fs::write(folder.join("SECRETNAME_0001.CR3"), b"SECRETRAW").unwrap();
    let whole = planted(&shoot::evening()[3], "SECRETBODY1");
    fs::write(folder.join("SECRETBROKEN.JPG"), &whole[..whole.len() - 200]).unwrap();
    fs::write(folder.join("SECRETOTHER.jpg"), b"").unwrap();
    fs::write(folder.join("SECRETOTHER.txt"), b"SECRETOTHER").unwrap();
    fs::write(
        folder.join("light-notes.csv"),
        "from,light,power,gel,modifier,distance_m,clock_position,height_m,role,note\n\
         SECRETNAME_0001.JPG,key,off,,octabox,3.9,7:30,2.8,main light,SECRETNOTE one\n\
         SECRETNAME_0003.JPG,key,1/8,,octabox,,,,,SECRETNOTE two\n\
         SECRETNAME_0005.JPG,key,SECRETPOWER,,octabox,,,,,SECRETNOTE three\n\
         SECRETNAME_0007.JPG,rim,1/16,amber,grid,5,1:30,4,,SECRETNOTE four\n\
         SECRETNAME_9999.JPG,rim,1/16,amber,grid,5,1:30,4,,SECRETNOTE five\n",
    )
    .unwrap();
    fs::write(base.join("list.txt"), "SECRETNAME_0004.JPG\nSECRETKEEPER_0001.JPG\nSECRETNAME_0008\n").unwrap();
    folder
}

/// Every file with the pictures inside it, and inside those, unpacked.
fn unpacked(files: &BTreeMap<String, Vec<u8>>) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    let mut left: Vec<(String, Vec<u8>)> = files.iter().map(|(n, b)| (n.clone(), b.clone())).collect();
    while let Some((name, bytes)) = left.pop() {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        for (number, rest) in text.split(";base64,").skip(1).enumerate() {
            let end = rest.find(|c: char| !(c.is_ascii_alphanumeric() || "+/=".contains(c))).unwrap_or(rest.len());
            left.push((format!("{name} picture {number}"), STANDARD.decode(&rest[..end]).unwrap()));
        }
        all.push((name, bytes));
    }
    all
}

fn holds(bytes: &[u8], secret: &[u8]) -> bool {
    bytes.windows(secret.len()).any(|window| window.eq_ignore_ascii_case(secret))
}

/// Where a secret is found, as plain text or as UTF-16, in whatever case.
fn found(files: &[(String, Vec<u8>)], secret: &str) -> Vec<String> {
    let wide = |order: fn(u16) -> [u8; 2]| secret.encode_utf16().flat_map(order).collect::<Vec<u8>>();
    let ways = [secret.as_bytes().to_vec(), wide(u16::to_le_bytes), wide(u16::to_be_bytes)];
    let holds = |bytes: &[u8]| ways.iter().any(|way| holds(bytes, way));
    files.iter().filter(|(name, bytes)| holds(name.as_bytes()) || holds(bytes)).map(|(name, _)| name.clone()).collect()
}

/// A JPEG's segments before its pixels are its tables and nothing else; a PNG's chunks its pixels.
fn bare(name: &str, bytes: &[u8]) {
    if bytes.starts_with(&[0xFF, 0xD8]) {
        let mut at = 2;
        while bytes[at + 1] != 0xDA {
            let (marker, length) = (bytes[at + 1], usize::from(u16::from_be_bytes([bytes[at + 2], bytes[at + 3]])));
            // ITU-T T.81, table B.1: APP0 is JFIF; DQT, SOF0 to SOF2, DHT, DRI, SOS make the picture.
            assert!(matches!(marker, 0xE0 | 0xDB | 0xC0..=0xC2 | 0xC4 | 0xDD), "{name}: segment {marker:02x}");
            at += 2 + length;
        }
        assert!(bytes.ends_with(&[0xFF, 0xD9]), "{name}: something stands behind the picture");
    } else if bytes.starts_with(b"\x89PNG") {
        let mut at = 8;
        while at < bytes.len() {
            let length = u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()) as usize;
            assert!([b"IHDR", b"IDAT", b"IEND"].iter().any(|kind| &bytes[at + 4..at + 8] == *kind), "{name}");
            at += 12 + length;
        }
    }
}

#[test]
fn no_planted_secret_is_found_in_any_byte_of_what_is_published() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shed(dir.path());
    let keepers = dir.path().join("list.txt");
    let keepers = ["--keepers", keepers.to_str().unwrap()];
    let full = dir.path().join("full");
    let run = shoot::analyse(&folder, &full, &keepers);
    assert!(run.status.code().is_some_and(|code| code <= 1), "{run:?}");
    // The search finds what a full report tells.
    let told = unpacked(&shoot::contents(&full));
    for secret in
        ["SECRETFOLDER", "SECRETSUB", "SECRETNAME", "SECRETBROKEN", "SECRETBODY", "SECRETPOWER", "SECRETKEEPER"]
    {
        assert!(!found(&told, secret).is_empty(), "{secret} is not even in a full report");
    }
    let out = dir.path().join("out");
    let run = shoot::analyse(&folder, &out, &[&keepers[..], &["--publish"]].concat());
    assert!(run.status.code().is_some_and(|code| code <= 1), "{run:?}");
    let files = shoot::contents(&out);
    let all = unpacked(&files);
    for secret in SECRETS {
        assert_eq!(found(&all, secret), Vec::<String>::new(), "{secret}");
    }
    let place = PLACE[2].0.to_be_bytes();
    for (name, bytes) in &all {
        assert!(!holds(bytes, &place) && !holds(bytes, b"4271337") && !holds(bytes, b"42.71"), "{name}: the place");
        bare(name, bytes);
        let path = dir.path().to_str().unwrap();
        assert!(!holds(bytes, path.as_bytes()), "{name}: a path");
    }
    let names: Vec<&str> = files.keys().map(String::as_str).collect();
    for name in ["recap.md", "recap.html", "report.html", "published.json"] {
        assert!(names.contains(&name), "{name}");
    }
    assert!(!names.iter().any(|name| name.ends_with(".csv") || *name == "shoot.json"), "{names:?}");
    let recap = String::from_utf8_lossy(&files["recap.md"]);
    assert!(recap.starts_with("# The shoot\n") && recap.contains("\nShot "), "{recap}");
    assert!(recap.contains("Testcam T1 (body 1)") && recap.contains("Testcam T1 (body 2)"), "{recap}");
}

/// The sample shoot's lights are told apart, so every kind of sentence that names a frame is written.
#[test]
fn the_sample_shoot_is_published_without_a_file_name() {
    let out = tempfile::tempdir().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let target = out.path().join("published");
    let args =
        ["sample-images", "--keepers", "sample-images/keepers.txt", "--publish", "--title", "Chalk & light", "--out"];
    let mut args: Vec<&std::ffi::OsStr> = args.iter().map(std::ffi::OsStr::new).collect();
    args.push(target.as_os_str());
    let run = shoot::run(root, &args);
    assert!(run.status.code().is_some_and(|code| code <= 1), "{run:?}");
    let said = String::from_utf8_lossy(&run.stdout);
    assert!(
        said.contains("\nto publish: shots are called by number") && said.trim_end().ends_with("recap.html"),
        "{said}"
    );
    let files = shoot::contents(&target);
    let all = unpacked(&files);
    let notes = fs::read_to_string(root.join("sample-images/light-notes.csv")).unwrap();
    let remarks: Vec<String> = csv::Reader::from_reader(notes.as_bytes())
        .records()
        .map(|row| row.unwrap()[9].to_owned())
        // "all four" and the like are words that anybody may use.
        .filter(|note| note.len() > 20)
        .collect();
    assert!(remarks.len() > 5);
    for secret in ["TS4_", "sample-images", "9984", "0027."].into_iter().chain(remarks.iter().map(String::as_str)) {
        let inside = all
            .iter()
            .filter(|(name, _)| !name.contains("picture") && !name.ends_with("jpg") && !name.ends_with("png"));
        let texts: Vec<(String, Vec<u8>)> = inside.map(|(n, b)| (n.clone(), without_pictures(b))).collect();
        assert_eq!(found(&texts, secret), Vec::<String>::new(), "{secret}");
    }
    for (name, bytes) in &all {
        bare(name, bytes);
    }
    let recap = String::from_utf8_lossy(&files["recap.md"]);
    assert!(recap.starts_with("# Chalk \\& light\n"));
    // TS4_9984.JPG is the fourth shot, and TS4_9986.JPG, which shows the key best, the sixth.
    assert!(recap.contains("Key (octabox 110 cm) by itself, worked out from shot 6, shown"));
    assert!(recap.contains("\nShot 4: f/5.6, 1/200, ISO 100;"));
    let page = String::from_utf8_lossy(&files["report.html"]);
    assert!(page.contains("shot 4") && page.contains("Chalk &amp; light"));
}

/// Base64 may spell anything; what it holds is looked at unpacked.
fn without_pictures(bytes: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes);
    let mut parts = text.split(";base64,");
    let mut plain = parts.next().unwrap_or_default().to_owned();
    for rest in parts {
        let end = rest.find(|c: char| !(c.is_ascii_alphanumeric() || "+/=".contains(c))).unwrap_or(rest.len());
        plain.push_str(&rest[end..]);
    }
    plain.into_bytes()
}

#[test]
fn a_published_report_and_a_full_one_never_share_a_folder() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening());
    let out = dir.path().join("out");
    assert!(shoot::analyse(&folder, &out, &[]).status.code().unwrap() <= 1);
    let before = shoot::contents(&out);
    let run = shoot::analyse(&folder, &out, &["--publish"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(
        String::from_utf8_lossy(&run.stderr).contains("whose tables name your files; name another folder with --out")
    );
    assert_eq!(shoot::contents(&out), before);
    let published = dir.path().join("published");
    for _ in 0..2 {
        assert!(
            shoot::analyse(&folder, &published, &["--publish"]).status.code().unwrap() <= 1,
            "a second run replaces it"
        );
    }
    let run = shoot::analyse(&folder, &published, &[]);
    assert_eq!(run.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&run.stderr).contains("holds what was published"));
    // By itself it goes beside the full report, under a name of its own.
    let run = shoot::run(dir.path(), &["shed".as_ref(), "--publish".as_ref()]);
    assert!(run.status.code().unwrap() <= 1 && dir.path().join("reports/shed-published/recap.md").is_file(), "{run:?}");
}

#[test]
fn options_of_publishing_are_checked() {
    let dir = tempfile::tempdir().unwrap();
    let folder = shoot::write(dir.path(), &shoot::evening()[..2]);
    let refused = |more: &[&str]| shoot::analyse(&folder, &dir.path().join("out"), more).status.code();
    assert_eq!(refused(&["--title", "Chalk"]), Some(2), "a title is for what is published");
    assert_eq!(refused(&["--width", "319"]), Some(2));
    assert_eq!(refused(&["--width", "3001"]), Some(2));
    assert!(refused(&["--width", "640"]).is_some_and(|code| code <= 1));
}

/// Leaves of a JSON value that are texts.
fn texts(value: &serde_json::Value, path: &str, found: &mut Vec<(String, String)>) {
    match value {
        serde_json::Value::String(text) => found.push((path.to_owned(), text.clone())),
        serde_json::Value::Array(all) => all.iter().for_each(|one| texts(one, path, found)),
        serde_json::Value::Object(fields) => {
            fields.iter().for_each(|(name, one)| texts(one, &format!("{path}.{name}"), found));
        }
        _ => {}
    }
}

/// A new text in a row type that the step does not know of fails here.
#[test]
fn every_text_of_a_report_passes_the_step() {
    let mut seen = std::collections::BTreeSet::new();
    for (name, mut report) in extremes::all() {
        report.notes_draft = Some("draft".to_owned());
        each_text(&mut report, &mut |text| "§".clone_into(text));
        let mut all = Vec::new();
        texts(&serde_json::to_value(&report).unwrap(), "", &mut all);
        for (path, text) in all {
            assert!(text == "§" || path == ".generator", "{name}: {path} holds {text:?}");
            seen.insert(path);
        }
        assert!(report.light_pictures.iter().all(|lit| lit.caption == "§"));
        assert_eq!(report.notes_draft.as_deref(), Some("§"));
    }
    assert!(seen.len() > 120, "{} kinds of text", seen.len());
}

/// What is published of every extreme names no file of it.
#[test]
fn no_report_keeps_a_file_name() {
    for (name, report) in extremes::all() {
        let files: Vec<String> = report.frames.iter().map(|row| row.frame.clone()).collect();
        let published = publish::publish(&report, None);
        let json = serde_json::to_string(&published).unwrap();
        let recap = stoptally::report::recap::render(&published);
        for file in files.iter().filter(|file| file.len() > 5) {
            let short = file.rsplit('/').next().unwrap();
            assert!(!json.contains(short) && !recap.markdown.contains(short), "{name}: {file}");
        }
        assert_eq!((published.shoot.as_str(), published.frames.len()), (publish::TITLE, report.frames.len()));
        for (index, row) in published.frames.iter().enumerate() {
            assert_eq!(row.frame, format!("shot {}", index + 1), "{name}");
        }
    }
}
