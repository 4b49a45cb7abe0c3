//! Writes what was found into the ledger's types: strengths against each light's reference shot, shares, reasons.

use super::account::Account;
use super::agree;
use super::judge::{self, NINETY, Verdict, WIDER};
use super::plan::Plan;
use super::pose::Size;
use crate::light::{
    AmbientEntry, Entry, Evidence, Light, LightPicture, Place, SequenceLight, Setting, ShotLight, Stops, Told,
    ToneCurve,
};
use crate::notes::NotedSequence;

/// Weights of luminance (ITU-R BT.709).
const LUMINANCE: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// A strength that is not known to within so many stops either way is not given.
const WIDEST: f64 = 0.75;

/// Why a light that burns has no strength: what is seen of it may be another light's.
pub const TOO_WEAK: &str = "burns, but too weak beside the other light for a strength";

/// A shot this far from its note, in stops, is no reference while there is another.
const ODD: f64 = 0.3;

/// What the ledger is written from.
pub struct Findings<'a> {
    /// The account.
    pub account: &'a Account,
    /// The question.
    pub plan: &'a Plan,
    /// Verdicts, frame by frame and source by source.
    pub verdicts: &'a [Vec<Verdict>],
    /// The notes, where there are any.
    pub notes: Option<&'a NotedSequence>,
    /// Names and roles of the lights.
    pub names: Vec<(String, String, bool)>,
    /// For each frame the tiles of the plane inside the subject box; None without a box.
    pub subject: Vec<Option<Vec<bool>>>,
}

/// A light's place in one frame: its source and verdict.
#[derive(Clone, Copy)]
struct At {
    source: usize,
    verdict: Verdict,
}

impl Findings<'_> {
    /// The ledger of a sequence of `shots` shots; `blank` says for a shot without a frame why.
    pub fn ledger(&self, shots: usize, blank: &dyn Fn(usize) -> String) -> SequenceLight {
        let mut ledger = SequenceLight {
            shots: (0..shots)
                .map(|s| ShotLight {
                    not_comparable: blank(s),
                    entries: self.silent(s, &blank(s)),
                    ..ShotLight::default()
                })
                .collect(),
            noted: self.notes.is_some(),
            ..SequenceLight::default()
        };
        let frames = self.account.frames.len();
        let luminance: Vec<Sums> = (0..frames).map(|f| self.sums(f, None)).collect();
        let on_subject: Vec<Option<Sums>> =
            (0..frames).map(|f| self.subject[f].as_ref().map(|tiles| self.sums(f, Some(tiles)))).collect();
        for (f, view) in self.account.scene.views.iter().enumerate() {
            let shot = &mut ledger.shots[view.shot];
            shot.not_comparable = String::new();
            shot.misfit = Some(self.account.fits[f].misfit).filter(|m| m.is_finite());
            shot.place = self.place(f);
        }
        for light in 0..self.names.len() {
            let places: Vec<At> = (0..frames).map(|f| self.at(f, light)).collect();
            let reference = self.reference(light, &places);
            let alone = (0..frames).any(|f| self.alone(f, light));
            for (f, at) in places.iter().enumerate() {
                let mut entry = self.entry(f, light, at, reference.map(|r| (r, &places[r])));
                entry.evidence = self.evidence(f, light, at);
                if entry.on == Told::Yes {
                    entry.share_of_frame = luminance[f].share(at.source);
                    entry.share_of_subject = on_subject[f].as_ref().and_then(|s| s.share(at.source));
                } else if entry.on == Told::No {
                    entry.share_of_frame = Some(0.0);
                    entry.share_of_subject = on_subject[f].as_ref().map(|_| 0.0);
                }
                ledger.shots[self.account.scene.views[f].shot].entries[light] = entry;
            }
            let (name, role, noted) = &self.names[light];
            ledger.lights.push(Light {
                name: name.clone(),
                noted: *noted,
                role: role.clone(),
                reference_shot: reference.map(|r| self.account.scene.views[r].shot),
                has_solo: alone,
                picture: reference.map(|r| self.picture(r, places[r].source)),
                drift: None,
            });
        }
        self.ambient(&mut ledger, &luminance);
        agree::compare(self, &mut ledger);
        ledger.curve = Some(ToneCurve {
            points: self.account.curve.points(),
            source: if self.account.curve.bends.iter().all(|b| *b == 0.0) {
                "the file's own transfer curve".to_owned()
            } else if self.notes.is_some() {
                "from this shoot: noted powers, settings, and sums of lights".to_owned()
            } else {
                "from this shoot: settings and sums of lights".to_owned()
            },
        });
        ledger
    }

    /// None for a frame that only lies where it does because the camera is taken to have stood still.
    fn place(&self, f: usize) -> Option<Place> {
        let scene = &self.account.scene;
        let (pose, size) = (&scene.poses[f], scene.views[f].size);
        scene.laid[f].then_some(Place {
            frame: (size.0 as u16, size.1 as u16),
            shift: pose.shift,
            turn: pose.turn,
            scale: pose.scale,
        })
    }

    /// Entries of a shot that could not be looked at: as noted, and nothing else.
    fn silent(&self, shot: usize, why: &str) -> Vec<Entry> {
        (0..self.names.len())
            .map(|light| Entry {
                setting: self.setting(shot, light),
                evidence: Evidence::NotComparable,
                reason: why.to_owned(),
                ..Entry::default()
            })
            .collect()
    }

    fn setting(&self, shot: usize, light: usize) -> Setting {
        let said = self.notes.and_then(|n| n.shots.get(shot)?.get(light));
        said.map_or_else(Setting::default, |said| Setting {
            on: said.on,
            noted_power: said.power.filter(|_| said.on == Told::Yes),
            level: None,
            gel: said.gel.clone(),
            modifier: said.modifier.clone(),
            colour: 0,
        })
    }

    /// The source of a light in a frame: the one that may burn there, else its first.
    fn at(&self, f: usize, light: usize) -> At {
        let own = || (0..self.plan.sources.len()).filter(|&s| self.plan.sources[s].light == light);
        let asked = |s: &usize| self.plan.asks[f][*s].on != Told::No || self.verdicts[f][*s].on == Told::Yes;
        match own().find(asked).or_else(|| own().next()) {
            Some(source) => At { source, verdict: self.verdicts[f][source] },
            None => At { source: usize::MAX, verdict: Verdict { on: Told::No, ..Verdict::default() } },
        }
    }

    /// Whether a light burns alone in a frame.
    fn alone(&self, f: usize, light: usize) -> bool {
        let burns = |s: usize| self.verdicts[f][s].on != Told::No;
        let own = |s: usize| self.plan.sources[s].light == light;
        let all = 0..self.plan.sources.len();
        all.clone().any(|s| own(s) && self.verdicts[f][s].on == Told::Yes && self.verdicts[f][s].seen)
            && all.clone().all(|s| own(s) || !burns(s))
    }

    /// The frame a light is told against: alone if it ever is, of its most used modifier and gel, and the surest.
    fn reference(&self, light: usize, places: &[At]) -> Option<usize> {
        let count = |s: usize| places.iter().filter(|p| p.source == s && p.verdict.on == Told::Yes).count();
        let most = places.iter().filter(|p| p.verdict.on == Told::Yes).map(|p| count(p.source)).max()?;
        let key = |f: &usize| {
            let (p, rel) = (&places[*f], places[*f].verdict.sd / places[*f].verdict.gain);
            // A shot that is odd by the notes would make all others look odd.
            let level = self.plan.asks[*f][p.source].level;
            let odd = level.is_some_and(|level| libm::log2(p.verdict.gain / level).abs() > ODD);
            let rank = u8::from(!self.alone(*f, light))
                + 8 * u8::from(odd)
                + 2 * u8::from(count(p.source) < most)
                + 4 * u8::from(self.plan.asks[*f][p.source].gel != 0);
            (rank, libm::round(rel * 200.0) as i64, *f)
        };
        (0..places.len())
            .filter(|&f| places[f].verdict.on == Told::Yes && places[f].verdict.seen && places[f].verdict.gain > 0.0)
            .min_by_key(key)
    }

    fn evidence(&self, f: usize, light: usize, at: &At) -> Evidence {
        match at.verdict.on {
            Told::Yes if self.alone(f, light) => Evidence::Solo,
            _ if at.verdict.seen => Evidence::WorkedOut,
            Told::Unknown => Evidence::NotComparable,
            _ if self.notes.is_some() => Evidence::Noted,
            _ => Evidence::WorkedOut,
        }
    }

    fn entry(&self, f: usize, light: usize, at: &At, reference: Option<(usize, &At)>) -> Entry {
        let shot = self.account.scene.views[f].shot;
        let mut entry = Entry { on: at.verdict.on, setting: self.setting(shot, light), ..Entry::default() };
        entry.reason = at.verdict.reason.to_owned();
        if at.verdict.on != Told::Yes {
            return entry;
        }
        let Some((rf, ra)) = reference else {
            entry.reason = "no frame shows this light clearly enough to compare with".to_owned();
            return entry;
        };
        if ra.source != at.source {
            entry.reason = "another modifier than in its reference frame: its strength is not compared".to_owned();
            return entry;
        }
        if !(at.verdict.gain > 0.0 && at.verdict.sd < at.verdict.gain) {
            entry.reason = TOO_WEAK.to_owned();
            return entry;
        }
        let colour = |f: usize| self.account.mixes[f].colour[at.source];
        let gain: [f64; 3] =
            std::array::from_fn(|c| at.verdict.gain * colour(f)[c] / (ra.verdict.gain * colour(rf)[c]).max(1e-12));
        let tint = self.tint(at.source);
        let light_of = |f: usize, g: f64| (0..3).map(|c| LUMINANCE[c] * tint[c] * colour(f)[c] * g).sum::<f64>();
        let value = libm::log2(light_of(f, at.verdict.gain) / light_of(rf, ra.verdict.gain).max(1e-12));
        let half = |f: usize, v: &Verdict| judge::half(v, self.account.fits[f].misfit);
        let half = if f == rf { 0.0 } else { libm::hypot(half(f, &at.verdict), half(rf, &ra.verdict)) };
        if half > WIDEST {
            entry.reason = TOO_WEAK.to_owned();
            return entry;
        }
        entry.stops = Some(Stops { value, low: value - half, high: value + half });
        entry.gain = Some(gain);
        entry.power = self.plan.top[at.source].map(|top| top + libm::log2(at.verdict.gain));
        entry
    }

    /// Mean colour of a source's picture.
    fn tint(&self, s: usize) -> [f64; 3] {
        let mut sum = [1e-12; 3];
        for tile in self.account.patterns[s].iter().filter(|t| !t[1].is_nan()) {
            for c in 0..3 {
                sum[c] += f64::from(tile[c]);
            }
        }
        sum.map(|v| v / sum[1])
    }

    /// Luminance of each source and in all, over a frame or over some of its tiles.
    fn sums(&self, f: usize, tiles: Option<&Vec<bool>>) -> Sums {
        let (fit, mix) = (&self.account.fits[f], &self.account.mixes[f]);
        let mut sums = Sums { each: vec![0.0; self.account.patterns.len()], all: 0.0 };
        for i in 0..self.account.plane().len() {
            if tiles.is_some_and(|t| !t[i]) || self.account.patterns.iter().any(|p| p[i][1].is_nan()) {
                continue;
            }
            for (s, pattern) in self.account.patterns.iter().enumerate() {
                // A source noted off but found burning was fitted apart.
                let gain =
                    self.verdicts[f].get(s).map_or(fit.gain[s], |v| if v.on == Told::Yes { v.gain } else { 0.0 });
                let light: f64 =
                    (0..3).map(|c| LUMINANCE[c] * gain * mix.colour[s][c] * f64::from(pattern[i][c])).sum();
                sums.each[s] += light;
                sums.all += light;
            }
        }
        sums
    }

    fn picture(&self, f: usize, s: usize) -> LightPicture {
        let Size { columns, rows } = self.account.plane();
        let (mix, view) = (&self.account.mixes[f], &self.account.scene.views[f]);
        let scale =
            self.verdicts[f].get(s).map_or(self.account.fits[f].gain[s], |v| v.gain) * libm::exp2(view.flash_stops);
        let pattern = &self.account.patterns[s];
        LightPicture {
            columns: columns as u16,
            rows: rows as u16,
            linear: pattern
                .iter()
                .map(|p| {
                    std::array::from_fn(|c| if p[c].is_nan() { 0.0 } else { (scale * mix.colour[s][c]) as f32 * p[c] })
                })
                .collect(),
            missing: pattern.iter().map(|p| p.iter().any(|v| v.is_nan())).collect(),
        }
    }

    fn ambient(&self, ledger: &mut SequenceLight, sums: &[Sums]) {
        let s = self.account.patterns.len() - 1;
        let found = |f: usize| (self.account.fits[f].gain[s], self.account.fits[f].sd[s]);
        let relative = |f: usize| if found(f).0 > 0.0 { found(f).1 / found(f).0 } else { f64::INFINITY };
        let dark = |f: usize| !self.verdicts[f].iter().all(|v| v.on == Told::No);
        let key = |f: &usize| (dark(*f), libm::round(f64::min(relative(*f), 1e6) * 1000.0) as i64, *f);
        let Some(reference) = (0..sums.len()).min_by_key(key) else { return };
        if !relative(reference).is_finite() {
            return;
        }
        ledger.ambient_reference = Some(self.account.scene.views[reference].shot);
        ledger.ambient_picture = Some(self.picture(reference, s));
        for (f, sums) in sums.iter().enumerate() {
            let (gain, sd) = found(f);
            let half = WIDER * NINETY * std::f64::consts::LOG2_E * libm::hypot(sd / gain, relative(reference));
            let value = libm::log2(gain / found(reference).0);
            let at_most = !(gain > 0.0 && sd < 0.7 * gain);
            let upper = gain + NINETY * sd;
            ledger.shots[self.account.scene.views[f].shot].ambient = AmbientEntry {
                stops: (!at_most).then_some(Stops { value, low: value - half, high: value + half }),
                share_of_frame: if at_most {
                    let most = sums.each[s] / gain.max(1e-12) * upper;
                    (sums.all > 0.0 && gain > 0.0).then(|| (most / (sums.all - sums.each[s] + most)).min(1.0))
                } else {
                    sums.share(s)
                },
                at_most,
            };
        }
    }
}

/// Luminance of each source and of all together.
struct Sums {
    each: Vec<f64>,
    all: f64,
}

impl Sums {
    fn share(&self, s: usize) -> Option<f64> {
        (self.all > 0.0).then(|| self.each.get(s).map(|e| e / self.all)).flatten()
    }
}
