//! Pairs lights and lightings of two shoots. A rule pairs only what it leaves no choice in; the rest stays alone.
//!
//! Lights: by name, then by role in the same words, then by what role or name says they are for. A light that the tool
//! named itself (`light-1`) has no name to go by, unless both are reports of one shoot.
//! Lightings: the same lights set on; of several such those noted alike, then those with the same gels, then those that are
//! nearest to each other in what is noted, and in the end the only one left on either side. Of one shoot the same first shot goes before all that.

use std::collections::{BTreeMap, BTreeSet};

use super::LightPair;
use super::read::{Lighting, Shoot, same_shoot};

/// What was paired and what was not.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pairing {
    /// Lights, in A's order.
    pub lights: Vec<LightPair>,
    /// Places of lightings in A and in B, and by what they were paired; in A's order.
    pub lightings: Vec<(usize, usize, &'static str)>,
    /// Places in A without a counterpart, and why.
    pub left_a: Vec<(usize, String)>,
    /// Places in B without one.
    pub left_b: Vec<(usize, String)>,
}

/// Pairs two shoots. Turned round, it gives the same pairs turned round.
#[must_use]
pub fn pair(a: &Shoot, b: &Shoot) -> Pairing {
    let same = same_shoot(a, b);
    let lights = lights(a, b, same);
    let (names_a, names_b) =
        (Names::of(a, "A", lights.iter().map(|p| &p.a)), Names::of(b, "B", lights.iter().map(|p| &p.b)));
    let (seen_a, seen_b) = (seen(a, &names_a), seen(b, &names_b));
    let mut lightings = lightings((a, &seen_a), (b, &seen_b), same);
    lightings.sort_by_key(|(of_a, ..)| *of_a);
    let paired_a: BTreeSet<usize> = lightings.iter().map(|(of_a, ..)| *of_a).collect();
    let paired_b: BTreeSet<usize> = lightings.iter().map(|(_, of_b, _)| *of_b).collect();
    Pairing {
        left_a: left((&seen_a, &paired_a), (&seen_b, &paired_b), "B"),
        left_b: left((&seen_b, &paired_b), (&seen_a, &paired_a), "A"),
        lights,
        lightings,
    }
}

/// A name as it is compared.
fn plain(name: &str) -> String {
    name.trim().to_lowercase()
}

/// One light of a shoot, over all its cameras.
#[derive(Default)]
struct Own {
    name: String,
    noted: bool,
    role: String,
    purpose: String,
}

fn own(shoot: &Shoot) -> Vec<Own> {
    let mut all: Vec<Own> = Vec::new();
    for light in &shoot.lights {
        match all.iter_mut().find(|known| plain(&known.name) == plain(&light.light)) {
            // One name on two cameras is one light; what either says of it holds.
            Some(known) => {
                known.noted |= light.noted;
                if known.role.is_empty() {
                    known.role.clone_from(&light.role);
                }
                if known.purpose.is_empty() {
                    known.purpose.clone_from(&light.purpose);
                }
            }
            None => all.push(Own {
                name: light.light.clone(),
                noted: light.noted,
                role: light.role.clone(),
                purpose: light.purpose.clone(),
            }),
        }
    }
    // A lighting may name a light that the list has not: whether its name was noted is not known, so it is taken as not.
    for name in shoot.lightings.iter().flat_map(|l| &l.light_account.each_light).map(|l| &l.light) {
        if !all.iter().any(|known| plain(&known.name) == plain(name)) {
            all.push(Own { name: name.clone(), ..Own::default() });
        }
    }
    all
}

/// What a light goes by; empty where by nothing.
type Goes = fn(&Own) -> String;

fn lights(a: &Shoot, b: &Shoot, same: bool) -> Vec<LightPair> {
    let (of_a, of_b) = (own(a), own(b));
    let mut pairs: Vec<(usize, usize, &str)> = Vec::new();
    let rules: [(&str, Goes); 3] =
        [("name", |o| plain(&o.name)), ("role", |o| plain(&o.role)), ("purpose", |o| o.purpose.clone())];
    for (by, key) in rules {
        let usable = |o: &Own| if o.noted || (same && by == "name") { key(o) } else { String::new() };
        let (free_a, free_b): (Vec<usize>, Vec<usize>) = (
            (0..of_a.len()).filter(|i| !pairs.iter().any(|p| p.0 == *i)).collect(),
            (0..of_b.len()).filter(|i| !pairs.iter().any(|p| p.1 == *i)).collect(),
        );
        let keys = |all: &[Own], free: &[usize]| -> Vec<(usize, Option<String>)> {
            let key = |i: usize| all.get(i).map(usable).filter(|key| !key.is_empty());
            free.iter().map(|i| (*i, key(*i))).collect()
        };
        let found = only_ones(&keys(&of_a, &free_a), &keys(&of_b, &free_b));
        pairs.extend(found.into_iter().map(|(i, j)| (i, j, by)));
    }
    pairs.sort_by_key(|(i, ..)| *i);
    let row = |(i, j, by): (usize, usize, &str)| {
        Some(LightPair { a: of_a.get(i)?.name.clone(), b: of_b.get(j)?.name.clone(), by: by.to_owned() })
    };
    pairs.into_iter().filter_map(row).collect()
}

/// Places and what each goes by there; None where it goes by nothing.
type Keyed<K> = [(usize, Option<K>)];

/// Pairs whose key is met exactly once on either side.
fn only_ones<K: Ord + Clone>(a: &Keyed<K>, b: &Keyed<K>) -> Vec<(usize, usize)> {
    let once = |all: &Keyed<K>| {
        let mut places: BTreeMap<K, Vec<usize>> = BTreeMap::new();
        for (place, key) in all {
            if let Some(key) = key {
                places.entry(key.clone()).or_default().push(*place);
            }
        }
        places
    };
    let (of_a, of_b) = (once(a), once(b));
    let both = of_a.iter().filter_map(|(key, i)| Some((i.as_slice(), of_b.get(key)?.as_slice())));
    both.filter_map(|(i, j)| match (i, j) {
        ([i], [j]) => Some((*i, *j)),
        _ => None,
    })
    .collect()
}

/// What each light of a shoot is called in both: the number of its pair, or its own name where it has none.
struct Names {
    side: &'static str,
    names: BTreeMap<String, Common>,
}

/// A light by a name that both shoots share, or by its own.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Common {
    Paired(usize),
    /// Of this shoot only, `A` or `B`: no name makes it the other's.
    Alone(&'static str, String),
}

impl Names {
    fn of<'a>(shoot: &Shoot, side: &'static str, paired: impl Iterator<Item = &'a String>) -> Self {
        let mut names: BTreeMap<String, Common> = BTreeMap::new();
        for light in shoot.lights.iter().map(|l| &l.light) {
            names.insert(plain(light), Common::Alone(side, light.clone()));
        }
        for (number, light) in paired.enumerate() {
            names.insert(plain(light), Common::Paired(number));
        }
        Self { side, names }
    }

    fn common(&self, light: &str) -> Common {
        self.names.get(&plain(light)).cloned().unwrap_or_else(|| Common::Alone(self.side, light.to_owned()))
    }
}

/// The lights that are set on in a lighting, and those of which it is not known.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Set {
    on: BTreeSet<Common>,
    unknown: BTreeSet<Common>,
}

/// A lighting by its common names: what is on, and what is noted of each light that is: power, gel, modifier.
struct Seen {
    set: Set,
    noted: BTreeMap<Common, [String; 3]>,
}

impl Seen {
    /// Whether it is known of every light whether it was set on.
    fn told(&self) -> bool {
        self.set.unknown.is_empty()
    }

    /// What is noted, light by light in the common order; power, gel and modifier from a place on.
    fn noted_from(&self, place: usize) -> Option<Vec<String>> {
        let all = self.noted.values().flat_map(|cells| cells.iter().skip(place).cloned());
        self.told().then(|| all.collect())
    }
}

fn seen(shoot: &Shoot, names: &Names) -> Vec<Seen> {
    let one = |row: &Lighting| {
        let of = |state: &'static str| row.light_account.each_light.iter().filter(move |l| l.on == state);
        Seen {
            set: Set {
                on: of("yes").map(|l| names.common(&l.light)).collect(),
                unknown: of("unknown").map(|l| names.common(&l.light)).collect(),
            },
            noted: of("yes")
                .map(|l| (names.common(&l.light), [l.noted_power.clone(), plain(&l.gel), plain(&l.modifier)]))
                .collect(),
        }
    };
    shoot.lightings.iter().map(one).collect()
}

type Lit<'a> = (&'a Shoot, &'a [Seen]);

/// The lights of a lighting, and what a rule goes by beside them.
type Key = (Set, Vec<String>);

/// What a rule goes by: None where it does not hold for a lighting.
type Rule = fn(&Lighting, &Seen) -> Option<Vec<String>>;

fn lightings(a: Lit, b: Lit, same: bool) -> Vec<(usize, usize, &'static str)> {
    let rules: [(&'static str, Rule); 5] = [
        ("the same first shot", |row, _| Some(vec![row.first_frame.clone(), row.lighting.to_string()])),
        ("lights", |_, seen| seen.told().then(Vec::new)),
        ("lights, and all that is noted of them", |_, seen| seen.noted_from(0)),
        ("lights, gels and modifiers", |_, seen| seen.noted_from(1)),
        ("lights and gels", |_, seen| {
            seen.told().then(|| seen.noted.values().map(|[_, gel, _]| gel.clone()).collect())
        }),
    ];
    let mut pairs: Vec<(usize, usize, &'static str)> = Vec::new();
    for (by, rule) in rules.into_iter().skip(usize::from(!same)) {
        let keys = |(shoot, seen): Lit, taken: &BTreeSet<usize>| -> Vec<(usize, Option<Key>)> {
            let rows = shoot.lightings.iter().zip(seen).enumerate().filter(|(i, _)| !taken.contains(i));
            rows.map(|(i, (row, seen))| (i, rule(row, seen).map(|key| (seen.set.clone(), key)))).collect()
        };
        let taken_a = pairs.iter().map(|p| p.0).collect();
        let taken_b = pairs.iter().map(|p| p.1).collect();
        let found = only_ones(&keys(a, &taken_a), &keys(b, &taken_b));
        pairs.extend(found.into_iter().map(|(i, j)| (i, j, by)));
    }
    let found = nearest(a.1, b.1, &pairs);
    pairs.extend(found.into_iter().map(|(i, j)| (i, j, "lights, and most of what is noted of them")));
    let rest = |seen: &[Seen], taken: Vec<usize>| -> Vec<(usize, Option<Set>)> {
        let free = seen.iter().enumerate().filter(|(i, s)| !taken.contains(i) && s.told());
        free.map(|(i, s)| (i, Some(s.set.clone()))).collect()
    };
    let found =
        only_ones(&rest(a.1, pairs.iter().map(|p| p.0).collect()), &rest(b.1, pairs.iter().map(|p| p.1).collect()));
    pairs.extend(found.into_iter().map(|(i, j)| (i, j, "lights, the only such left")));
    pairs
}

/// Lightings with the same lights that agree in more of what is noted with each other than either does with any other.
fn nearest(a: &[Seen], b: &[Seen], taken: &[(usize, usize, &str)]) -> Vec<(usize, usize)> {
    let free_a: Vec<usize> = (0..a.len()).filter(|i| !taken.iter().any(|p| p.0 == *i)).collect();
    let free_b: Vec<usize> = (0..b.len()).filter(|j| !taken.iter().any(|p| p.1 == *j)).collect();
    let alike = |i: usize, j: usize| -> usize {
        let (Some(a), Some(b)) = (a.get(i), b.get(j)) else { return 0 };
        if !a.told() || a.set != b.set {
            return 0;
        }
        let cells = |seen: &Seen| seen.noted.values().flatten().cloned().collect::<Vec<String>>();
        cells(a).into_iter().zip(cells(b)).filter(|(a, b)| a == b && !a.is_empty()).count()
    };
    let mut pairs = Vec::new();
    for &i in &free_a {
        for &j in &free_b {
            let own = alike(i, j);
            let in_a = free_a.iter().filter(|k| **k != i).all(|k| alike(*k, j) < own);
            let in_b = free_b.iter().filter(|k| **k != j).all(|k| alike(i, *k) < own);
            if own > 0 && in_a && in_b {
                pairs.push((i, j));
            }
        }
    }
    pairs
}

/// What has no counterpart, and why.
fn left(own: (&[Seen], &BTreeSet<usize>), others: (&[Seen], &BTreeSet<usize>), other: &str) -> Vec<(usize, String)> {
    let free: Vec<&Seen> = others.0.iter().enumerate().filter(|(j, _)| !others.1.contains(j)).map(|(_, s)| s).collect();
    let rows = own.0.iter().enumerate().filter(|(place, _)| !own.1.contains(place));
    rows.map(|(place, seen)| (place, why(seen, others.0, &free, other))).collect()
}

fn why(seen: &Seen, others: &[Seen], free: &[&Seen], other: &str) -> String {
    let name = |one: &Common| match one {
        Common::Alone(_, name) => Some(name.clone()),
        Common::Paired(_) => None,
    };
    let strange: Vec<String> = seen.set.on.iter().filter_map(name).collect();
    match strange.as_slice() {
        _ if !seen.told() => "not every light is known to be on or off".to_owned(),
        [] if free.iter().any(|o| o.set == seen.set) => {
            format!("several lightings have these lights, and what is noted does not say which of {other} is this one")
        }
        [] if others.iter().any(|o| o.set == seen.set) => {
            format!("those of {other} with these lights are nearer to others")
        }
        [] => format!("no lighting of {other} has just these lights on"),
        [one] => format!("{one} has no counterpart in {other}"),
        [most @ .., last] => format!("{} and {last} have no counterpart in {other}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::super::read::{Account, Frame, Light, State};
    use super::*;

    /// A shoot of noted lights, one lighting for each list of (light, power, gel).
    fn shoot(frames: &str, lightings: &[&[(&str, &str, &str)]]) -> Shoot {
        let mut shoot = Shoot { shoot: "shed".to_owned(), ..Shoot::default() };
        for (number, lights) in (1..).zip(lightings) {
            let each_light = lights.iter().map(|(light, power, gel)| State {
                light: (*light).to_owned(),
                on: "yes".to_owned(),
                noted_power: (*power).to_owned(),
                gel: (*gel).to_owned(),
                ..State::default()
            });
            let first_frame = format!("{frames}{number}.JPG");
            shoot.lightings.push(Lighting {
                lighting: number,
                first_frame: first_frame.clone(),
                light_account: Account { each_light: each_light.collect(), ..Account::default() },
                ..Lighting::default()
            });
            shoot.frames.push(Frame { frame: first_frame, taken: format!("{number}"), ..Frame::default() });
            for (light, ..) in *lights {
                if !shoot.lights.iter().any(|l| l.light == *light) {
                    shoot.lights.push(Light { light: (*light).to_owned(), noted: true, ..Light::default() });
                }
            }
        }
        shoot
    }

    fn numbers(a: &Shoot, b: &Shoot) -> Vec<(usize, usize, &'static str)> {
        pair(a, b).lightings
    }

    #[test]
    fn the_same_lights_are_paired_and_what_leaves_a_choice_is_not() {
        let a = shoot("A", &[&[("key", "1/8", "")], &[("key", "1/8", ""), ("rim", "1/4", "")], &[]]);
        let b = shoot("B", &[&[], &[("rim", "1/2", ""), ("Key", "1/8", "")], &[("KEY ", "1/1", "")]]);
        assert_eq!(numbers(&a, &b), [(0, 2, "lights"), (1, 1, "lights"), (2, 0, "lights")]);
        let several = shoot("B", &[&[("key", "1/2", "")], &[("key", "1/4", "")]]);
        let found = pair(&a, &several);
        assert_eq!(found.lightings, []);
        assert!(found.left_b[0].1.contains("does not say which of A"), "{:?}", found.left_b);
        assert!(found.left_a[1].1.contains("rim has no counterpart in B"), "{:?}", found.left_a);
    }

    #[test]
    fn of_several_the_ones_noted_alike_go_together_and_gels_come_next() {
        let a = shoot("A", &[&[("key", "1/8", "")], &[("key", "1/4", "")], &[("key", "1/2", "amber")]]);
        let b = shoot("B", &[&[("key", "1/16", "Amber")], &[("key", "1/4", "")], &[("key", "1/1", "")]]);
        assert_eq!(
            numbers(&a, &b),
            [
                (0, 2, "lights, gels and modifiers"),
                (1, 1, "lights, and all that is noted of them"),
                (2, 0, "lights, gels and modifiers")
            ]
        );
    }

    #[test]
    fn the_nearest_go_together_where_both_ways_it_is_the_nearest() {
        let a = shoot("A", &[&[("key", "1/8", ""), ("rim", "1/8", "")], &[("key", "1/4", ""), ("rim", "1/4", "")]]);
        let b = shoot("B", &[&[("key", "1/2", ""), ("rim", "1/4", "")], &[("key", "1/2", ""), ("rim", "1/8", "")]]);
        let by = "lights, and most of what is noted of them";
        assert_eq!(numbers(&a, &b), [(0, 1, by), (1, 0, by)]);
        let c = shoot("C", &[&[("key", "1/2", ""), ("rim", "1/8", "")], &[("key", "1/1", ""), ("rim", "1/8", "")]]);
        assert_eq!(numbers(&a, &c), [], "either may be the first of A");
    }

    #[test]
    fn another_name_is_paired_by_its_role_or_what_it_is_for() {
        let mut a = shoot("A", &[&[("key", "1/8", ""), ("rim", "1/8", "")]]);
        let mut b = shoot("B", &[&[("octa", "1/8", ""), ("strip", "1/8", "")]]);
        assert_eq!(numbers(&a, &b), []);
        a.lights[0].purpose = "key".to_owned();
        b.lights[0].purpose = "key".to_owned();
        a.lights[1].role = "edge light".to_owned();
        b.lights[1].role = "Edge light".to_owned();
        let found = pair(&a, &b);
        let by: Vec<(&str, &str, &str)> = found.lights.iter().map(|l| (&*l.a, &*l.b, &*l.by)).collect();
        assert_eq!(by, [("key", "octa", "purpose"), ("rim", "strip", "role")]);
        assert_eq!(found.lightings.len(), 1);
    }

    #[test]
    fn names_the_tool_gave_pair_nothing_but_one_shoot_with_itself() {
        let mut a = shoot("A", &[&[("light-1", "", "")]]);
        a.lights[0].noted = false;
        let mut b = shoot("B", &[&[("light-1", "", "")]]);
        b.lights[0].noted = false;
        assert_eq!(pair(&a, &b).lightings, []);
        assert_eq!(pair(&a, &a).lightings, [(0, 0, "the same first shot")]);
    }
}
