//! Makes exports of a folder of pictures whose truth is known, by seed: `make_exports SHOOT OUT --seed N --count 100 --foreign DIR`

mod file;
mod grade;
mod make;
mod raster;
mod rng;

use std::error::Error;
use std::fs;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    let (Some(shoot), Some(out)) = (args.first(), args.get(1).filter(|a| !a.starts_with('-'))) else {
        return Err("usage: make_exports SHOOT OUT --seed N --count 100 [--foreign DIR]".into());
    };
    let seed = value("--seed").map_or(Ok(1), |s| s.parse::<u64>())?;
    let count = value("--count").map_or(Ok(100), |s| s.parse::<usize>())?;
    let own = make::folder(Path::new(shoot))?;
    let foreign = value("--foreign").map_or(Ok(Vec::new()), |dir| make::folder(Path::new(&dir)))?;
    fs::create_dir_all(out)?;
    let mut truth = String::from("export,frame,done\n");
    for number in 0..count {
        let export = make::export(&own, &foreign, seed, number)?;
        fs::write(Path::new(out).join(&export.name), &export.bytes)?;
        truth.push_str(&format!("{},{},{}\n", export.name, export.frame.unwrap_or_default(), export.done));
        eprint!("\r{} of {count} ", number + 1);
    }
    fs::write(Path::new(out).join("truth.csv"), truth)?;
    eprintln!();
    Ok(())
}
