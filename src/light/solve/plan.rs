//! What is asked of the pictures: the sources there may be, and for every frame which of them the notes have on, at what
//! level, behind which gel.

use std::collections::BTreeMap;

use crate::light::Told;
use crate::notes::{NotedSequence, Said};

/// A light with one modifier: another modifier throws the light elsewhere, so it has a picture of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Index of the light.
    pub light: usize,
    /// The modifier in the note's words.
    pub modifier: String,
    /// Its gels in the note's words, the most used one first: its colour is the measure for the others.
    pub gels: Vec<String>,
}

/// What the notes say of one source in one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    /// Set on, set off, or not said.
    pub on: Told,
    /// Noted strength against the source's strongest noted one, linear; None where no power is noted.
    pub level: Option<f64>,
    /// Index of the gel.
    pub gel: usize,
}

impl Ask {
    /// A source that cannot burn in this frame, or is noted off.
    pub const OFF: Self = Self { on: Told::No, level: None, gel: 0 };
}

/// The question for one scene.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// The sources.
    pub sources: Vec<Source>,
    /// For every frame of the scene, one entry per source.
    pub asks: Vec<Vec<Ask>>,
    /// Full power of each source's level 1 in stops; None where no power is noted.
    pub top: Vec<Option<f64>>,
}

impl Plan {
    /// The question that the notes put, for the given shots of their sequence.
    pub fn noted(notes: &NotedSequence, shots: &[usize]) -> Self {
        let empty: Vec<Said> = Vec::new();
        let said: Vec<&Vec<Said>> = shots.iter().map(|&s| notes.shots.get(s).unwrap_or(&empty)).collect();
        let mut plan = Self::default();
        for light in 0..notes.lights.len() {
            let mut uses: BTreeMap<&str, BTreeMap<&str, usize>> = BTreeMap::new();
            for entry in said.iter().filter_map(|s| s.get(light)).filter(|s| s.on != Told::No) {
                *uses.entry(&entry.modifier).or_default().entry(&entry.gel).or_default() += 1;
            }
            for (modifier, gels) in uses {
                let mut gels: Vec<(&str, usize)> = gels.into_iter().collect();
                gels.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
                let gels = gels.into_iter().map(|(gel, _)| gel.to_owned()).collect();
                plan.sources.push(Source { light, modifier: modifier.to_owned(), gels });
            }
        }
        plan.top = plan.sources.iter().map(|source| top_power(source, &said)).collect();
        let asks = |said: &Vec<Said>| -> Vec<Ask> {
            plan.sources.iter().zip(&plan.top).map(|(source, top)| ask(source, *top, said)).collect()
        };
        plan.asks = said.iter().map(|s| asks(s)).collect();
        plan
    }

    /// The open question: this many lights, each on or off in any frame.
    pub fn open(lights: usize, frames: usize) -> Self {
        let source = |light| Source { light, modifier: String::new(), gels: vec![String::new()] };
        Self {
            sources: (0..lights).map(source).collect(),
            asks: vec![vec![Ask { on: Told::Unknown, level: None, gel: 0 }; lights]; frames],
            top: vec![None; lights],
        }
    }

    /// Whether nothing is said of any light, so that no gain is a ruler for the tone curve.
    pub fn is_open(&self) -> bool {
        let open = |ask: &Ask| ask.on == Told::Unknown && ask.level.is_none();
        !self.sources.is_empty() && self.asks.iter().flatten().all(open)
    }
}

fn of<'a>(source: &Source, said: &'a [Said]) -> Option<&'a Said> {
    said.get(source.light).filter(|s| s.on != Told::No && s.modifier == source.modifier)
}

fn top_power(source: &Source, said: &[&Vec<Said>]) -> Option<f64> {
    said.iter().filter_map(|s| of(source, s)?.power).max_by(f64::total_cmp)
}

fn ask(source: &Source, top: Option<f64>, said: &[Said]) -> Ask {
    of(source, said).map_or(Ask::OFF, |s| Ask {
        on: s.on,
        level: s.power.zip(top).map(|(power, top)| libm::exp2(power - top)),
        gel: source.gels.iter().position(|g| *g == s.gel).unwrap_or(0),
    })
}
