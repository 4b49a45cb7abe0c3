//! Makes a shoot whose truth is known, by class and seed: `make_shoot OUT --class NAME --seed N`

mod camera;
mod class;
mod curve;
mod dancer;
#[allow(dead_code)]
#[path = "../tram_shed/develop.rs"]
mod develop;
#[path = "../tram_shed/exif.rs"]
mod exif;
#[allow(dead_code)]
#[path = "../tram_shed/figure.rs"]
mod figure;
mod haze;
#[allow(dead_code)]
#[path = "../tram_shed/light.rs"]
mod light;
mod make;
#[allow(dead_code)]
#[path = "../tram_shed/math.rs"]
mod math;
mod notes;
#[allow(dead_code)]
#[path = "../tram_shed/poses.rs"]
mod poses;
mod render;
mod room;
mod shot;
mod still;
mod story;
mod tables;

use std::error::Error;
use std::fs;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    let (Some(out), Some(class)) = (args.first().filter(|a| !a.starts_with('-')), value("--class")) else {
        return Err(
            format!("usage: make_shoot OUT --class NAME --seed N; classes: {}", class::CLASSES.join(", ")).into()
        );
    };
    let seed = value("--seed").map_or(Ok(1), |s| s.parse::<u32>())?;
    let Some(shoot) = make::Shoot::plan(&class, seed) else {
        return Err(format!("no class {class}; there are {}", class::CLASSES.join(", ")).into());
    };
    for (path, bytes) in shoot.files(&|done, of| eprint!("\r{class} {seed}: {done} of {of} "))? {
        let path = Path::new(out).join(path);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        fs::write(path, bytes)?;
    }
    eprintln!();
    Ok(())
}
