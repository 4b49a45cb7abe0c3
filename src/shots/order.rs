//! Puts the shots of one camera in shooting order: time with its fraction, then the camera's counter.

use std::collections::BTreeMap;

use jiff::SignedDuration;
use jiff::civil::DateTime;

use super::Shot;
use super::camera::folder;
use super::pair::stem;
use crate::problem::{Code, Flaw};
use crate::walk::natural;

/// The place of every file name in the order a camera writes them, its counter rolling over from 9999 to 0001.
#[derive(Clone, Debug, Default)]
pub struct NameRanks(BTreeMap<String, Rank>);

/// A name's place, and what is needed to see that one name follows another on the counter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Rank {
    place: usize,
    group: usize,
    counter: u64,
}

/// Names that one counter numbers: folder, letters before the number, digits of the number.
type Series<'a> = (&'a str, &'a str, usize);

/// Within this of its ends a counter is taken to have rolled over.
const ROLL_MARGIN: u64 = 100;

impl NameRanks {
    /// Ranks of the given names: folder and letters in natural order, then the trailing number, unrolled.
    pub fn of<'a>(names: impl Iterator<Item = &'a str>) -> Self {
        let mut groups: Vec<(Series, Vec<(u64, &str)>)> = Vec::new();
        let mut keyed: Vec<_> = names.map(|name| (folder(name), split_counter(stem(name)), name)).collect();
        keyed.sort_by(|a, b| natural(a.0, b.0).then_with(|| natural(a.1.0, b.1.0)).then_with(|| a.1.2.cmp(&b.1.2)));
        for (folder, (letters, counter, width), name) in keyed {
            // Numbers of less than four digits are no camera's counter, so their width does not split a group.
            let key = (folder, letters, if width >= 4 { width } else { 0 });
            match groups.last_mut() {
                Some((last, members)) if *last == key => members.push((counter, name)),
                _ => groups.push((key, vec![(counter, name)])),
            }
        }
        let mut ranks = BTreeMap::new();
        for (group, ((_, _, width), mut members)) in groups.into_iter().enumerate() {
            unroll(&mut members, width);
            members.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| natural(a.1, b.1)));
            for (counter, name) in members {
                let place = ranks.len();
                ranks.insert(name.to_owned(), Rank { place, group, counter });
            }
        }
        Self(ranks)
    }

    fn rank(&self, shot: &Shot) -> Rank {
        self.0.get(&shot.frame).copied().unwrap_or_default()
    }
}

/// Letters, trailing number and its number of digits: "TS4_0417" is ("TS4_", 417, 4).
fn split_counter(stem: &str) -> (&str, u64, usize) {
    let letters = stem.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = stem.get(letters.len()..).unwrap_or_default();
    digits.parse().map_or((stem, 0, 0), |number| (letters, number, digits.len()))
}

/// Lifts the numbers after a roll-over above those before it: 9998, 9999, 0001 become 9998, 9999, 10001.
fn unroll(members: &mut [(u64, &str)], width: usize) {
    if !(4..=9).contains(&width) {
        return;
    }
    let span = 10_u64.pow(u32::try_from(width).unwrap_or(4));
    let mut counters: Vec<u64> = members.iter().map(|m| m.0).collect();
    counters.sort_unstable();
    let touches_both_ends = counters.first().is_some_and(|c| *c <= ROLL_MARGIN)
        && counters.last().is_some_and(|c| *c + ROLL_MARGIN >= span);
    if !touches_both_ends {
        return;
    }
    let gap = |pair: &[u64]| match pair {
        [a, b] => b - a,
        _ => 0,
    };
    let Some(widest) = counters.windows(2).max_by_key(|pair| gap(pair)) else { return };
    // A shoot that used the whole counter has no gap to start after.
    if gap(widest) <= ROLL_MARGIN {
        return;
    }
    let last_after_roll = widest.first().copied().unwrap_or(0);
    members.iter_mut().filter(|m| m.0 <= last_after_roll).for_each(|m| m.0 += span);
}

/// Sorts one camera's shots, names equal times and jumps of the clock, and fills the seconds between neighbours.
pub fn sort(shots: &mut [Shot], ranks: &NameRanks) {
    shots.sort_by_key(|shot| ranks.rank(shot));
    let zoned = shots.iter().filter_map(|s| s.taken.as_ref()).all(|t| t.offset_minutes.is_some());
    let jumps = clock_jumps(shots, ranks, zoned);
    if jumps.is_empty() {
        sort_by_time(shots, ranks, zoned);
    }
    for index in jumps {
        if let Some(shot) = shots.get_mut(index) {
            shot.flag(Flaw::plain(Code::ClockJump));
        }
    }
    let moments: Vec<_> = shots.iter().map(|shot| moment(shot, zoned)).collect();
    for ((shot, now), before) in shots.iter_mut().zip(&moments).skip(1).zip(&moments) {
        let (Some(now), Some(before)) = (now, before) else { continue };
        let seconds = now.duration_since(*before).as_secs_f64();
        if seconds == 0.0 && shot.taken.as_ref().is_some_and(|t| t.fraction_digits == 0) {
            shot.flag(Flaw::plain(Code::TimeEqual));
        }
        shot.seconds_since_previous = (seconds >= 0.0).then_some(seconds);
    }
}

/// The shot's time for ordering: in UTC when every shot of the camera knows its offset, else as the clock showed it.
fn moment(shot: &Shot, zoned: bool) -> Option<DateTime> {
    let taken = shot.taken.as_ref()?;
    let offset = taken.offset_minutes.filter(|_| zoned).unwrap_or(0);
    Some(taken.local.saturating_sub(SignedDuration::from_mins(i64::from(offset))))
}

/// A shot without a time stands behind the shot whose name comes before it in the same folder.
fn sort_by_time(shots: &mut [Shot], ranks: &NameRanks, zoned: bool) {
    let times: Vec<_> = shots.iter().map(|shot| (folder(&shot.frame).to_owned(), moment(shot, zoned))).collect();
    if times.iter().all(|(_, time)| time.is_none()) {
        return;
    }
    let mut keys: BTreeMap<String, (DateTime, Rank)> = BTreeMap::new();
    for (index, shot) in shots.iter().enumerate() {
        let home = folder(&shot.frame);
        let known = |(place, time): &(String, Option<DateTime>)| time.filter(|_| place == home);
        let before = times.iter().take(index + 1).rev().find_map(known);
        let after = || times.iter().skip(index + 1).find_map(known);
        let time = before.or_else(after).unwrap_or(DateTime::MAX);
        keys.insert(shot.frame.clone(), (time, ranks.rank(shot)));
    }
    shots.sort_by(|a, b| keys.get(&a.frame).cmp(&keys.get(&b.frame)));
}

/// Where the clock was set back during the shoot: the counter goes on by one while the time goes back.
///
/// Shots must be in name order. The counter is believed against the clock only when that explains every step back,
/// such steps are few, and at least three shots on either side of each run forward in time.
fn clock_jumps(shots: &[Shot], ranks: &NameRanks, zoned: bool) -> Vec<usize> {
    const RUN: usize = 3;
    let mut jumps = Vec::new();
    let mut run = 1;
    for (index, pair) in shots.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        let (Some(before), Some(now)) = (moment(a, zoned), moment(b, zoned)) else { return Vec::new() };
        if now >= before {
            run += 1;
            continue;
        }
        let (r, s) = (ranks.rank(a), ranks.rank(b));
        if r.group != s.group || s.counter != r.counter + 1 || run < RUN {
            return Vec::new();
        }
        jumps.push(index + 1);
        run = 1;
    }
    let few = jumps.len() <= 1 + shots.len() / 100;
    if few && run >= RUN { jumps } else { Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn in_order(mut names: Vec<&str>) -> Vec<&str> {
        let ranks = NameRanks::of(names.iter().copied());
        names.sort_by_key(|name| ranks.0.get(*name).copied());
        names
    }

    #[test]
    fn the_counter_rolls_over() {
        assert_eq!(
            in_order(vec!["T_0001.JPG", "T_9999.JPG", "T_0002.JPG", "T_9998.JPG"]),
            ["T_9998.JPG", "T_9999.JPG", "T_0001.JPG", "T_0002.JPG"]
        );
        // Not a roll-over: the ends of the counter are far away.
        assert_eq!(in_order(vec!["T_0001.JPG", "T_5000.JPG"]), ["T_0001.JPG", "T_5000.JPG"]);
        assert_eq!(in_order(vec!["b/T_2.JPG", "a/T_10.JPG", "a/T_9.JPG"]), ["a/T_9.JPG", "a/T_10.JPG", "b/T_2.JPG"]);
    }

    #[test]
    fn names_without_numbers_keep_natural_order() {
        assert_eq!(in_order(vec!["zebra.jpg", "apple.jpg", "apple 2.jpg"]), ["apple.jpg", "apple 2.jpg", "zebra.jpg"]);
    }
}
