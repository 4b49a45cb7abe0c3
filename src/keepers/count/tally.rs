//! The tally of one stage, setup, lighting, lens or light: keepers, series with a keeper, series and shots that were candidates
//!
//! The unit is the series. Shots of a burst are kept or dropped together, so counting shots would make ten of one.

use std::collections::BTreeSet;

use crate::keepers::proportion::{Interval, Of, Z95, wilson};
use crate::keepers::{Choice, Match, ShotId};
use crate::series::AllSeries;

use super::candidates::Standing;

/// What was counted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Kept shots. A keeper that several shots explain counts once where all of them belong here and none of them is
    /// counted already: so this is never too high.
    pub keepers: u32,
    /// Keepers that several shots explain, not all of which belong here, or which may be counted already.
    pub perhaps: u32,
    /// Series with a keeper, of the series that have a candidate. None where series are not told apart.
    pub series: Option<Of>,
    /// Shots that were candidates.
    pub shots: u32,
    /// Shots that were not, by reason.
    pub left_out: LeftOut,
}

/// Shots that were no candidates.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Not judged, where ratings judged others.
    pub not_judged: u32,
    /// Without a picture that could be read.
    pub no_picture: u32,
    /// A light that was set on did not burn.
    pub misfire: u32,
    /// Tests of the build.
    pub test: u32,
}

impl Tally {
    /// Series with a keeper per series with a candidate, 0..1. None where there is none.
    #[must_use]
    pub fn rate(&self) -> Option<f64> {
        self.series?.rate()
    }

    /// The 95 % interval of [`Tally::rate`].
    #[must_use]
    pub fn interval(&self) -> Option<Interval> {
        wilson(self.series?, Z95)
    }
}

/// What tallies are made from.
#[derive(Clone, Copy)]
pub struct Counted<'a> {
    /// The choice.
    pub choice: &'a Choice,
    /// The series.
    pub series: &'a AllSeries,
    /// Every shot's standing.
    pub standings: &'a [Vec<Standing>],
}

impl Counted<'_> {
    /// The tally of the shots that belong.
    #[must_use]
    pub fn tally(&self, belongs: &dyn Fn(ShotId) -> bool) -> Tally {
        let mut tally = Tally::default();
        let mut of = BTreeSet::new();
        for (sequence, standings) in self.standings.iter().enumerate() {
            for (shot, standing) in standings.iter().enumerate() {
                let id = ShotId { sequence, shot };
                if !belongs(id) {
                    continue;
                }
                let out = &mut tally.left_out;
                match standing {
                    Standing::Candidate => {
                        tally.shots += 1;
                        of.extend(self.series_of(id));
                    }
                    Standing::NotJudged => out.not_judged += 1,
                    Standing::NoPicture => out.no_picture += 1,
                    Standing::Misfire => out.misfire += 1,
                    Standing::Test => out.test += 1,
                }
            }
        }
        let kept = self.keepers(&mut tally, belongs);
        let told = !self.series.series.is_empty();
        tally.series = told.then(|| Of { some: kept, all: count(of.len()) });
        tally
    }

    /// Counts keepers into the tally and returns in how many series they are, at least.
    fn keepers(&self, tally: &mut Tally, belongs: &dyn Fn(ShotId) -> bool) -> u32 {
        let sure = self.choice.keepers.iter().filter(|k| k.matched != Match::OneOfSeveral).flat_map(|k| &k.shots);
        let mut shots: BTreeSet<ShotId> = sure.copied().filter(|id| belongs(*id)).collect();
        let mut series: BTreeSet<u32> = shots.iter().filter_map(|id| self.series_of(*id)).collect();
        let mut in_series = count(series.len());
        tally.keepers = count(shots.len());
        for keeper in self.choice.keepers.iter().filter(|k| k.matched == Match::OneOfSeveral) {
            let own: BTreeSet<ShotId> = keeper.shots.iter().copied().collect();
            match own.iter().filter(|id| belongs(**id)).count() {
                0 => continue,
                here if here < own.len() || own.intersection(&shots).next().is_some() => tally.perhaps += 1,
                _ => {
                    tally.keepers += 1;
                    let among: Option<BTreeSet<u32>> = own.iter().map(|id| self.series_of(*id)).collect();
                    if let Some(among) = among.filter(|among| among.is_disjoint(&series)) {
                        in_series += 1;
                        series.extend(among);
                    }
                    shots.extend(own);
                }
            }
        }
        in_series
    }

    fn series_of(&self, id: ShotId) -> Option<u32> {
        *self.series.shots.get(id.sequence)?.get(id.shot)?
    }
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
