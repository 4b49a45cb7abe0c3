//! Measures the pictures of one folder and compares the CPU time with `djpeg` on the same files, interleaved.
//!
//!     cargo bench --bench measure_ratio -- FOLDER
//!
//! Ratios of one run hold on any machine; times do not. Linux only (CPU time from the kernel's own account).

use std::path::PathBuf;
use std::process::{Command, Stdio};
use stoptally::measure::{Scratch, measure};
use stoptally::metadata::Orientation;
use stoptally::walk::Kind;

/// CPU time of this thread in seconds.
fn own_cpu() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").expect("Linux");
    text.split(' ').next().and_then(|field| field.parse::<f64>().ok()).expect("nanoseconds") * 1e-9
}

/// CPU time of ended children in seconds: fields 16 and 17 of the process's statistics, in hundredths.
fn children_cpu() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").expect("Linux");
    let fields: Vec<&str> = text.rsplit(") ").next().expect("fields").split(' ').collect();
    (fields[13].parse::<f64>().expect("ticks") + fields[14].parse::<f64>().expect("ticks")) / 100.0
}

fn main() {
    let Some(folder) = std::env::args().skip(1).find(|argument| !argument.starts_with("--")) else {
        println!("measure_ratio: give a folder of JPEGs");
        return;
    };
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("jpg")));
    files.sort();
    let mut scratch = Scratch::default();
    let (mut ours, mut pixels) = (0.0, 0);
    let before = children_cpu();
    for path in &files {
        let bytes = std::fs::read(path).expect("readable");
        let start = own_cpu();
        let measured = measure(Kind::Jpeg, &bytes, Orientation::TopLeft, &mut scratch);
        ours += own_cpu() - start;
        match measured.result {
            Ok(measurement) => pixels += measurement.pixels(),
            Err(flaw) => println!("{}: {flaw:?}", path.display()),
        }
        let mut djpeg = Command::new("djpeg");
        djpeg.arg("-outfile").arg("/dev/null").arg(path).stdout(Stdio::null()).stderr(Stdio::null());
        djpeg.status().expect("djpeg of libjpeg-turbo must be installed");
    }
    let theirs = children_cpu() - before;
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find(|line| line.starts_with("VmHWM")).unwrap_or("VmHWM: unknown");
    println!("{} files, {} megapixels", files.len(), pixels / 1_000_000);
    println!("ratio to djpeg {:.3} ({ours:.2} s to {theirs:.2} s of CPU); peak {}", ours / theirs, peak[6..].trim());
}
