//! Lighting a shot anew: sums with a known answer, lightings that were really shot later, and truth from the renderer

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]
#![allow(dead_code)]

#[path = "../shoots/camera.rs"]
mod camera;
#[path = "../shoots/class.rs"]
mod class;
#[path = "../shoots/curve.rs"]
mod curve;
#[path = "../shoots/dancer.rs"]
mod dancer;
#[path = "../tram_shed/develop.rs"]
mod develop;
#[path = "../tram_shed/exif.rs"]
mod exif;
#[path = "../tram_shed/figure.rs"]
mod figure;
#[path = "../shoots/haze.rs"]
mod haze;
#[path = "../tram_shed/light.rs"]
mod light;
#[path = "../shoots/make.rs"]
mod make;
#[path = "../tram_shed/math.rs"]
mod math;
#[path = "../shoots/notes.rs"]
mod notes;
#[path = "../tram_shed/poses.rs"]
mod poses;
#[path = "../shoots/render.rs"]
mod render;
#[path = "../shoots/room.rs"]
mod room;
#[path = "../shoots/shot.rs"]
mod shot;
#[path = "../shoots/still.rs"]
mod still;
#[path = "../shoots/story.rs"]
mod story;
#[path = "../shoots/tables.rs"]
mod tables;

mod fewer;
mod known;
mod later;
mod read;
