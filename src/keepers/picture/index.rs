//! Finds like corners among those of many pictures: several tables keyed by a few bits each, then the whole distance

use super::features::{Bits, Feature, distance};

/// Tables; a pair whose bits differ by a tenth shares a key in one of them in nine cases of ten.
const TABLES: usize = 8;
/// Bits of a key.
const KEY: usize = 13;
/// Like corners differ in at most so many of 256 bits.
const LIKE: u32 = 64;

/// A corner of the export and one of a picture that look alike, by their numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pair {
    pub picture: u32,
    pub export_feature: u32,
    /// Comparisons that differ.
    pub distance: u32,
    pub feature: u32,
}

pub struct Index<'a> {
    pictures: Vec<&'a [Feature]>,
    tables: Vec<Table>,
}

/// Entries of one table, sorted by key; where each key's entries begin.
struct Table {
    bits: Vec<usize>,
    starts: Vec<u32>,
    entries: Vec<(u32, u32)>,
}

impl Table {
    fn key(&self, bits: &Bits) -> usize {
        let bit = |at: usize| (bits.get(at / 64).copied().unwrap_or(0) >> (at % 64)) & 1;
        self.bits.iter().fold(0, |key, at| key << 1 | bit(*at) as usize)
    }
}

impl<'a> Index<'a> {
    pub fn new(pictures: Vec<&'a [Feature]>) -> Self {
        let tables = (0..TABLES).map(|number| {
            // 37 has no divisor in common with 256: the keys' bits are spread and none comes twice in 19 bits.
            let bits = (0..KEY).map(|i| ((number * KEY + i) * 37 + number * 11) % 256).collect();
            let mut table = Table { bits, starts: vec![0; (1 << KEY) + 1], entries: Vec::new() };
            let mut keyed = Vec::new();
            for (picture, features) in pictures.iter().enumerate() {
                for (feature, found) in features.iter().enumerate() {
                    keyed.push((table.key(&found.bits), picture as u32, feature as u32));
                }
            }
            keyed.sort_unstable();
            for (key, picture, feature) in keyed {
                table.entries.push((picture, feature));
                if let Some(start) = table.starts.get_mut(key + 1) {
                    *start = table.entries.len() as u32;
                }
            }
            let mut last = 0;
            for start in &mut table.starts {
                last = last.max(*start);
                *start = last;
            }
            table
        });
        let tables = tables.collect();
        Self { pictures, tables }
    }

    /// All pairs of like corners, each once, ordered by picture.
    pub fn pairs(&self, export: &[Feature]) -> Vec<Pair> {
        let mut pairs = Vec::new();
        for (number, own) in export.iter().enumerate() {
            for table in &self.tables {
                let key = table.key(&own.bits);
                let ends = (table.starts.get(key), table.starts.get(key + 1));
                let (Some(from), Some(to)) = ends else { continue };
                for (picture, feature) in table.entries.get(*from as usize..*to as usize).unwrap_or_default() {
                    let other = self.pictures.get(*picture as usize).and_then(|p| p.get(*feature as usize));
                    let distance = other.map(|other| distance(&own.bits, &other.bits));
                    if let Some(distance) = distance.filter(|distance| *distance <= LIKE) {
                        let (picture, feature) = (*picture, *feature);
                        pairs.push(Pair { picture, export_feature: number as u32, distance, feature });
                    }
                }
            }
        }
        pairs.sort_unstable();
        pairs.dedup();
        pairs
    }
}
