//! Writes the pages of the tests' sample reports into a folder, to be looked at: `cargo run --example sample-page -- DIR`.

#[path = "../tests/support/mod.rs"]
mod support;

use std::path::PathBuf;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let folder = PathBuf::from(env::args_os().nth(1).ok_or_else(|| io::Error::other("give a folder to write to"))?);
    for (name, report) in support::extremes::all() {
        fs::create_dir_all(folder.join(name).join("recap"))?;
        fs::write(folder.join(name).join("report.html"), stoptally::report::page::render(&report, &[]))?;
        let recap = stoptally::report::recap::render(&report);
        fs::write(folder.join(name).join("recap.md"), recap.markdown)?;
        for (picture, jpeg) in recap.pictures {
            fs::write(folder.join(name).join(picture), jpeg)?;
        }
    }
    Ok(())
}
