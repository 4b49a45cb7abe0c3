//! Finds the shot an exported picture was made of: cropped, turned, graded, smaller, without any metadata.

mod align;
mod blocks;
mod border;
mod decode;
mod features;
mod grade;
mod index;
mod likes;
mod place;
mod plane;
mod search;
mod vote;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use crate::measure::Measurement;

/// The shots that explain each export, as indices into `shots`: none for a foreign picture, one where it is sure,
/// several where they explain it equally.
#[must_use]
pub fn find(exports: &[&Measurement], shots: &[&Measurement]) -> Vec<Vec<usize>> {
    let shoot = search::Shoot::new(shots);
    let index = shoot.index();
    exports.par_iter().map(|export| { let _ = shoot.candidates(export, &index); shoot.find(export) }).collect()
}

pub use blocks::Blocks as Bl;
/// Debug.
pub fn debug(exports: &[&Measurement], shots: &[&Measurement]) -> Vec<Vec<(usize, f64, f64, blocks::Blocks)>> {
    let shoot = search::Shoot::new(shots);
    let index = shoot.index();
    exports.par_iter().map(|export| shoot.candidates(export, &index).into_iter().map(|c| (c.shot, c.likeness, c.inside, c.blocks)).collect()).collect()
}
