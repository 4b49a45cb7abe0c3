//! Renders the demo shoot: a dancer in a disused tram shed, lit in stages by four flashes. `tram_shed OUT_DIR`

mod air;
mod body;
mod bvh;
mod camera;
mod cloth;
mod develop;
mod dust;
mod exif;
mod face;
mod figure;
mod light;
mod material;
mod math;
mod mesh;
mod nets;
mod poses;
mod render;
mod scene;
mod script;
mod shade;
mod shot;
mod solids;
mod truth;

use std::error::Error;
use std::fs;
use std::path::Path;

use camera::{Camera, MARGIN};
use render::{Moment, Pixel, Shed};
use shot::{Frame, Take};

/// Quality of the written JPEGs.
const QUALITY: u8 = 90;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    let Some(out) = args.first().filter(|a| !a.starts_with('-')) else {
        return Err("usage: tram_shed OUT_DIR [--scale 0.4] [--only NAME,NAME]".into());
    };
    let scale = value("--scale").map_or(Ok(1.0), |s| s.parse::<f32>())?;
    let only = value("--only");
    let pictures = Path::new(out).join("sample-images");
    let tables = Path::new(out).join("truth");
    fs::create_dir_all(&pictures)?;
    fs::create_dir_all(&tables)?;

    let (frames, takes) = script::evening();
    let (mesh, windows) = scene::build();
    let shed = Shed { tree: mesh.tree(), blockers: mesh.tree_of(scene::stands_inside), mesh, windows };
    let wanted = |f: &Frame| only.as_ref().is_none_or(|o| o.split(',').any(|n| f.name.contains(n)));
    let mut boxes = vec![None; frames.len()];
    for (k, take) in takes.iter().enumerate() {
        let mine: Vec<usize> = (0..frames.len()).filter(|&i| frames[i].take == k && wanted(&frames[i])).collect();
        if mine.is_empty() {
            continue;
        }
        let cam = camera::stand(take.lens, take.upright, scale);
        let (moment, subject) = moment(&shed, take, &cam);
        let pixels = moment.render(&cam);
        for i in mine {
            boxes[i] = Some(subject);
            fs::write(pictures.join(&frames[i].name), develop(&frames[i], &pixels, &cam, scale)?)?;
        }
        eprintln!("take {} of {}: {}", k + 1, takes.len(), take.action.name);
    }
    fs::write(pictures.join("light-notes.csv"), truth::notes(&frames))?;
    fs::write(tables.join("truth.csv"), truth::lights(&frames))?;
    fs::write(tables.join("frames-truth.csv"), truth::frames(&frames, &takes, &boxes))?;
    fs::write(tables.join("tone-curve.csv"), truth::curve())?;
    Ok(())
}

/// Put the dancer, her skirt and the dust into the shed; also the box around her, percent of the picture.
fn moment<'a>(shed: &'a Shed, take: &Take, cam: &Camera) -> (Moment<'a>, [f32; 4]) {
    let action = &take.action;
    let skeleton = action.skeleton(take.t);
    let mut skirt = cloth::Skirt::new(&action.skeleton(action.start()), take.seed);
    skirt.follow(&|t| action.skeleton(t), action.start(), take.t, action.settle);
    let hem: Vec<_> = skirt.hem().collect();
    let (body, cloth) = (nets::surface(&body::parts(&skeleton)), skirt.mesh());
    let (w, h) = ((cam.width - 2 * MARGIN) as f32, (cam.height - 2 * MARGIN) as f32);
    let mut b = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];
    for (x, y, _) in body.points.iter().chain(&cloth.points).filter_map(|p| cam.project(*p)) {
        let (x, y) = ((x - MARGIN as f32) / w * 100.0, (y - MARGIN as f32) / h * 100.0);
        b = [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)];
    }
    let c = b.map(|v| v.clamp(0.0, 100.0));
    let m = Moment {
        shed,
        head: (skeleton.head, skeleton.head_axes),
        chest: (skeleton.chest, skeleton.chest_axes),
        body_tree: body.tree(),
        body,
        cloth_tree: cloth.tree(),
        cloth,
        dust: dust::Dust::new(action, take.t, &hem, take.haze, take.seed),
        seed: take.seed,
        open_rim: take.open_rim,
    };
    (m, [c[0], c[1], c[2] - c[0], c[3] - c[1]])
}

fn develop(f: &Frame, pixels: &[Pixel], cam: &Camera, scale: f32) -> Result<Vec<u8>, Box<dyn Error>> {
    let mut light = develop::add_up(pixels, &f.gains());
    develop::glare(&mut light, cam.width, cam.height);
    let (light, w, h) = develop::frame(&light, cam.width, cam.height, script::shake(f, scale));
    let upright = develop::expose(&light, w, h, f.iso as f32, f.seed);
    let stored = if f.upright() { upright.turned() } else { upright };
    let thumbnail = stored.small((stored.width / 160).max(1)).jpeg(75)?;
    let jpeg = stored.jpeg(QUALITY)?;
    Ok(exif::wrap(f, &jpeg, (stored.width, stored.height), &thumbnail))
}
