//! How long each light was given to recycle at each power, and what came of it. Of other powers nothing is said.

use crate::series::firing::{Firing, Outcome};
use crate::series::recycle;

/// What the gaps of one light at one power were.
#[derive(Clone, Debug, PartialEq)]
pub struct Gaps {
    /// Index of the light.
    pub light: usize,
    /// Noted power in stops against full; None where none was noted.
    pub power: Option<f64>,
    /// The shortest gap after which it burned in full, seconds.
    pub shortest_full_s: Option<f64>,
    /// How often it burned in full after a known gap.
    pub full: usize,
    /// Gaps after which it was short or missing, seconds, in shooting order.
    pub failed_s: Vec<f64>,
    /// The gap from which on it never failed, where failures follow the shorter gaps more surely than chance would have it.
    pub full_from_s: Option<f64>,
}

/// One row per light and power with a known gap, lights in order, the strongest power first.
#[must_use]
pub fn gaps(firings: &[Firing]) -> Vec<Gaps> {
    let rules = recycle::find(firings);
    let mut rows: Vec<Gaps> = Vec::new();
    for firing in firings {
        let Some(gap) = firing.gap_s else { continue };
        let place = rows.iter().position(|r| (r.light, r.power) == (firing.light, firing.power));
        let place = place.unwrap_or_else(|| {
            let rule = rules.iter().find(|r| (r.light, r.power) == (firing.light, firing.power));
            rows.push(Gaps {
                light: firing.light,
                power: firing.power,
                shortest_full_s: None,
                full: 0,
                failed_s: Vec::new(),
                full_from_s: rule.map(|r| r.full_from_s),
            });
            rows.len() - 1
        });
        let Some(row) = rows.get_mut(place) else { continue };
        if firing.outcome == Outcome::Full {
            row.full += 1;
            row.shortest_full_s = Some(row.shortest_full_s.map_or(gap, |s| s.min(gap)));
        } else {
            row.failed_s.push(gap);
        }
    }
    let strongest = |power: Option<f64>| power.map_or(f64::INFINITY, |p| -p);
    rows.sort_by(|a, b| a.light.cmp(&b.light).then(strongest(a.power).total_cmp(&strongest(b.power))));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    fn firing(light: usize, power: f64, gap_s: Option<f64>, outcome: Outcome) -> Firing {
        Firing { light, shot: 0, power: Some(power), gap_s, outcome }
    }

    #[test]
    fn each_light_and_power_by_itself() {
        let firings = [
            firing(0, -3.0, None, Outcome::Full),
            firing(0, -3.0, Some(2.5), Outcome::Full),
            firing(0, -3.0, Some(0.9), Outcome::Short(-0.6)),
            firing(0, -3.0, Some(1.4), Outcome::Full),
            firing(0, -2.0, Some(4.0), Outcome::Full),
            firing(1, -3.0, Some(1.2), Outcome::Missed),
        ];
        let found = gaps(&firings);
        let row = |light, power, shortest_full_s, full, failed_s: &[f64]| Gaps {
            light,
            power: Some(power),
            shortest_full_s,
            full,
            failed_s: failed_s.to_vec(),
            full_from_s: None,
        };
        assert_eq!(
            found,
            [row(0, -2.0, Some(4.0), 1, &[]), row(0, -3.0, Some(1.4), 2, &[0.9]), row(1, -3.0, None, 0, &[1.2]),]
        );
    }

    #[test]
    fn a_rule_that_was_found_is_carried_on() {
        let mut firings: Vec<Firing> = [0.8, 1.2, 1.6].map(|g| firing(0, 0.0, Some(g), Outcome::Missed)).to_vec();
        firings.extend([2.4, 3.0, 5.0, 9.0].map(|g| firing(0, 0.0, Some(g), Outcome::Full)));
        let found = gaps(&firings);
        assert_eq!(
            (found[0].full_from_s, found[0].failed_s.len(), found[0].shortest_full_s),
            (Some(2.4), 3, Some(2.4))
        );
    }
}
