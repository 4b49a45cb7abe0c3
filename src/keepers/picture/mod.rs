//! Finds the shot an exported picture was made of: cropped, turned, graded, smaller, without any metadata.

mod align;
mod blocks;
mod border;
mod changed;
mod decide;
mod decode;
mod features;
mod grade;
mod index;
mod likes;
mod place;
mod plane;
mod search;
mod settle;
mod vote;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use crate::measure::Measurement;

/// The shots that explain each export, as indices into `shots`: none for a foreign picture, one where it is sure,
/// several where they explain it equally.
#[must_use]
pub fn find(exports: &[&Measurement], shots: &[&Measurement]) -> Vec<Vec<usize>> {
    let shoot = search::Shoot::new(shots);
    let index = shoot.index();
    exports.par_iter().map(|export| shoot.find(export, &index)).collect()
}
