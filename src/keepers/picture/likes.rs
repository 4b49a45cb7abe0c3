//! Shots that look alike as they stand, so that an export is laid over one of each kind first

use super::plane::Plane;

/// Long side of the small plane that is compared, in pixels.
const LONG: usize = 32;
/// Shots whose small planes correlate at least so well follow the same leader. High enough that the place of the
/// export on the leader is nearly its place on the follower.
const ALIKE: f32 = 0.85;

/// A small plane of unit length.
fn sketch(tiles: &Plane) -> Vec<f32> {
    let long = tiles.width.max(tiles.height).max(1);
    let small = tiles.scaled((LONG as f64 / long as f64).min(1.0)).normalised(4, 2.0);
    let length = small.values.iter().map(|v| v * v).sum::<f32>().sqrt();
    if length > 0.0 { small.map(|v| v / length).values } else { small.values }
}

fn correlation(a: &[f32], b: &[f32]) -> f32 {
    // Eight sums side by side, which the compiler keeps in vectors, in a fixed order.
    let mut sums = [0.0_f32; 8];
    let ((a, rest_a), (b, rest_b)) = (a.as_chunks::<8>(), b.as_chunks::<8>());
    for (a, b) in a.iter().zip(b) {
        sums.iter_mut().zip(a.iter().zip(b)).for_each(|(sum, (a, b))| *sum += a * b);
    }
    sums.iter().sum::<f32>() + rest_a.iter().zip(rest_b).map(|(a, b)| a * b).sum::<f32>()
}

/// Shots that follow one leader.
struct Group {
    sketch: Vec<f32>,
    size: (usize, usize),
    members: Vec<usize>,
}

/// Groups of like shots by index, the leader first.
pub fn groups(tiles: &[Plane]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Group> = Vec::new();
    for (index, plane) in tiles.iter().enumerate() {
        let own = sketch(plane);
        let size = (plane.width, plane.height);
        let best = groups.iter().enumerate().filter(|(_, group)| group.size == size);
        let best = best.map(|(number, group)| (correlation(&own, &group.sketch), number));
        let best = best.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        match best.filter(|(likeness, _)| *likeness >= ALIKE).and_then(|(_, number)| groups.get_mut(number)) {
            Some(group) => group.members.push(index),
            None => groups.push(Group { sketch: own, size, members: vec![index] }),
        }
    }
    groups.into_iter().map(|group| group.members).collect()
}
