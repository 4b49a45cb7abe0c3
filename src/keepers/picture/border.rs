//! Takes a plain border off an export: a frame of one colour, about equally wide all around

use super::plane::Plane;

/// Widest border looked for, as a share of the shorter side.
const WIDEST: f64 = 0.09;
/// A border's code values lie this close together; JPEG leaves a little beside sharp edges.
const FLAT: f32 = 10.0;

/// The export without its border.
pub fn without(plane: &Plane) -> Plane {
    let (w, h) = (plane.width, plane.height);
    let most = (w.min(h) as f64 * WIDEST) as usize;
    let line = |across: bool, number: usize| -> Vec<f32> {
        if across {
            (0..w).map(|x| plane.at(x, number)).collect()
        } else {
            (0..h).map(|y| plane.at(number, y)).collect()
        }
    };
    let sides = [(true, false), (true, true), (false, false), (false, true)];
    let wide = sides.map(|(across, far)| {
        let last = if across { h } else { w }.saturating_sub(1);
        let lines = (0..=most).map(|i| line(across, if far { last.saturating_sub(i) } else { i }));
        plain(lines)
    });
    let (least, largest) = (wide.iter().min().copied().unwrap_or(0), wide.iter().max().copied().unwrap_or(0));
    // Dark surroundings are plain as well, but not equally wide on four sides, with an edge at their end.
    if least < 2 || largest > most || largest - least > 3 {
        return plane.clone();
    }
    let cut = largest + 2;
    if w <= 4 * cut || h <= 4 * cut {
        return plane.clone();
    }
    let rows = plane.values.chunks_exact(w).skip(cut).take(h - 2 * cut);
    let values = rows.flat_map(|row| row.iter().skip(cut).take(w - 2 * cut).copied()).collect();
    Plane { width: w - 2 * cut, height: h - 2 * cut, values }
}

/// How many lines from the edge inwards are of the first line's one colour.
fn plain(lines: impl Iterator<Item = Vec<f32>>) -> usize {
    let mut colour = None;
    lines
        .take_while(|line| {
            let mean = line.iter().sum::<f32>() / line.len().max(1) as f32;
            let colour = *colour.get_or_insert(mean);
            let off = line.iter().filter(|v| (*v - colour).abs() > FLAT).count();
            // A corner of the picture's own ringing may cross a line.
            off * 50 <= line.len()
        })
        .count()
}
