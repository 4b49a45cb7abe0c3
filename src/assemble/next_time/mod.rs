//! What the shoot teaches for the next time: each camera's most shot lighting and its last one, asked what they leave room for.

mod ambient;
mod apertures;
mod base;
mod distances;
mod gaps;
mod guide;
mod powers;

use crate::report::Report;
use crate::report::next_types::{NextLighting, NextTime};

use super::Parts;
use base::Base;

/// All of it, from the finished rows of stages and lightings.
pub fn tell(parts: &Parts, report: &Report) -> NextTime {
    let bases = base::bases(parts, report);
    let gaps = gaps::gaps(parts);
    let why_unknown = if bases.is_empty() && gaps.is_empty() && !report.frames.is_empty() {
        "in no lighting a light is known to be set on"
    } else {
        ""
    };
    NextTime {
        lightings: bases.iter().map(named).collect(),
        powers: bases.iter().flat_map(powers::powers).collect(),
        ambient: ambient::ambient(report, &bases),
        apertures: bases.iter().flat_map(|base| apertures::apertures(base, parts.sync_time_s)).collect(),
        gaps,
        distances: bases.iter().flat_map(distances::distances).collect(),
        guide_numbers: bases.iter().flat_map(|base| guide::guide_numbers(base, parts.heads)).collect(),
        why_unknown: why_unknown.to_owned(),
    }
}

fn named(base: &Base) -> NextLighting {
    NextLighting {
        lighting: base.row.lighting,
        chosen: base.chosen.to_owned(),
        camera: base.row.camera.clone(),
        stage: base.row.detail.typical_stage,
        settings: crate::exposure::words::settings(&base.settings),
    }
}
