//! Tells lights apart by what adding light does: a frame is the sum of its lights' own pictures, each times a gain.
//!
//! `view -> scene -> plan -> account -> judge -> ledger`: shots become views, views are laid over each other on a plane,
//! the notes (or what was discovered) say which sources there may be, pictures and gains are found in turn, and each
//! gain is judged. Source of the model: light adds in linear values (P. Haeberli, Synthetic Lighting for Photography).

// Kernels over arrays whose sizes are set a few lines above; an index that strays is a defect the tests must see.
#![allow(clippy::indexing_slicing)]
// One channel's number indexes several arrays at once.
#![allow(clippy::needless_range_loop)]

pub mod account;
pub mod agree;
pub mod ambient;
pub mod beyond;
pub mod cannot;
pub mod course;
pub mod curve;
pub mod discover;
pub mod drift;
pub mod excess;
pub mod exposures;
pub mod facts;
pub mod fit;
pub mod gels;
pub mod judge;
pub mod late;
pub mod ledger;
pub mod levels;
pub mod library;
pub mod linalg;
pub mod patterns;
pub mod peers;
pub mod plan;
pub mod pose;
pub mod propose;
pub mod register;
pub mod response;
pub mod runs;
pub mod scene;
pub mod settle;
pub mod small;
pub mod tidy;
pub mod twins;
pub mod view;

use std::collections::BTreeMap;

use crate::light::{Entry, Light, SequenceLight, Setting, ShotLight, Told};
use crate::metadata::WhiteBalance;
use crate::notes::{NotedSequence, Said, SubjectBox};
use crate::shots::Sequence;
use account::{Account, Method};
use curve::Curve;
use ledger::Findings;
use patterns::Mix;
use plan::Plan;
use scene::Scene;

/// Tells the lights of one camera's shots.
#[must_use]
pub fn tell(
    sequence: &Sequence,
    notes: &NotedSequence,
    subjects: &[SubjectBox],
    sync_time_s: f64,
    method: Method,
) -> SequenceLight {
    let mut why: BTreeMap<usize, &'static str> = BTreeMap::new();
    let mut views = Vec::new();
    for (shot, view) in view::views(sequence, sync_time_s).into_iter().enumerate() {
        match view {
            Ok(view) => views.push(view),
            Err(reason) => {
                why.insert(shot, reason);
            }
        }
    }
    let (scene, apart) = scene::lay(views, method.registration);
    for view in apart {
        why.insert(view.shot, "another framing: it could not be laid over the other frames");
    }
    let shots = sequence.shots.len();
    let Some(scene) = scene else { return nothing(notes, shots, &why) };
    let blank = |shot: usize| why.get(&shot).map_or(String::new(), |w| (*w).to_owned());
    let subject = subject_tiles(&scene, sequence, subjects);
    let frames: Vec<usize> = scene.views.iter().map(|v| v.shot).collect();
    if notes.lights.is_empty() {
        return blind(scene, subject, method, shots, &blank, sequence);
    }
    let mut plan = Plan::noted(notes, &frames);
    let twins = twins::Twins::of(notes, &frames);
    twins.as_one(&mut plan);
    let start = start(&scene, &plan);
    let curve = if method.curve { exposures::curve(&scene, &response::usual()) } else { Curve::own() };
    let mut account = Account::solve(scene, &plan, start.clone(), curve.clone(), method);
    let mut gels: Vec<usize> = plan.sources.iter().map(|s| s.gels.len()).collect();
    // A camera that balances white by itself moves every colour: then no gel is looked for.
    if method.joint && sequence.shots.iter().all(|s| s.metadata.white_balance == Some(WhiteBalance::Manual)) {
        let again = |before: &Account, plan: &Plan| {
            Account::solve(before.scene.clone(), plan, start.clone(), curve.clone(), method)
        };
        (account, plan, gels) = gels::unnoted(account, plan, &again);
    }
    let verdicts = judge::judge(&account, &plan);
    let names = notes.lights.iter().map(|l| (l.name.clone(), l.role.clone(), true)).collect();
    let findings = Findings { account: &account, plan: &plan, verdicts: &verdicts, notes: Some(notes), names, subject };
    let mut ledger = findings.ledger(shots, &blank);
    gels::count(&mut ledger, &account, &plan, &gels);
    let strange = beyond::unexplained(&account, &plan);
    let strange: Vec<&str> = strange.into_iter().map(|f| sequence.shots[frames[f]].frame.as_str()).collect();
    ledger.cannot.extend(beyond::sentence(&strange));
    let seconds: Vec<f64> = account.scene.views.iter().map(|v| v.seconds).collect();
    facts::follow(&mut ledger, sequence, &frames, &twins, &seconds);
    ledger
}

/// The ledger of shots of which none can be looked at: the lights of the notes, and for every shot why not.
fn nothing(notes: &NotedSequence, shots: usize, why: &BTreeMap<usize, &'static str>) -> SequenceLight {
    let lights = notes.lights.iter().map(|l| Light {
        name: l.name.clone(),
        noted: true,
        role: l.role.clone(),
        ..Light::default()
    });
    let entry = |said: &Said| Entry {
        reason: "this shot cannot be compared".to_owned(),
        setting: Setting {
            on: said.on,
            noted_power: said.power.filter(|_| said.on == Told::Yes),
            gel: said.gel.clone(),
            modifier: said.modifier.clone(),
            ..Setting::default()
        },
        ..Entry::default()
    };
    let shot = |s: usize| ShotLight {
        not_comparable: why.get(&s).map_or(String::new(), |w| (*w).to_owned()),
        entries: notes.shots.get(s).map_or(Vec::new(), |said| said.iter().map(entry).collect()),
        ..ShotLight::default()
    };
    SequenceLight {
        lights: lights.collect(),
        shots: (0..shots).map(shot).collect(),
        noted: !notes.lights.is_empty(),
        ..SequenceLight::default()
    }
}

/// Tells lights without notes.
fn blind(
    scene: Scene,
    subject: Vec<Option<Vec<bool>>>,
    method: Method,
    shots: usize,
    blank: &dyn Fn(usize) -> String,
    sequence: &Sequence,
) -> SequenceLight {
    let curve = if method.curve { exposures::curve(&scene, &response::usual()) } else { response::usual() };
    let (scene, curve) = draft(scene, curve, method);
    let (account, plan) = discovered(scene, curve, method);
    let verdicts = judge::judge(&account, &plan);
    let names = (1..=plan.sources.len()).map(|n| (format!("light-{n}"), String::new(), false)).collect();
    let findings = Findings { account: &account, plan: &plan, verdicts: &verdicts, notes: None, names, subject };
    let mut ledger = findings.ledger(shots, blank);
    levels::settle(&mut ledger, &account.scene);
    levels::widen(&mut ledger);
    let frames: Vec<usize> = account.scene.views.iter().map(|v| v.shot).collect();
    let seconds: Vec<f64> = account.scene.views.iter().map(|v| v.seconds).collect();
    let twins = twins::Twins::of(&NotedSequence::default(), &frames);
    facts::follow(&mut ledger, sequence, &frames, &twins, &seconds);
    ledger
}

/// A first account of a shoot without notes, which mends places and curve: lights are then sought afresh under them. Of
/// a long shoot the curve alone is mended, by the frames at its beginning.
fn draft(scene: Scene, curve: Curve, method: Method) -> (Scene, Curve) {
    if scene.views.len() <= discover::SOUGHT {
        let (account, _) = discovered(scene, curve, method);
        return (account.scene, account.curve);
    }
    let (account, _) = discovered(scene.first(discover::SOUGHT), curve, method);
    (scene, account.curve)
}

/// The account of the lights that are discovered under a curve.
fn discovered(scene: Scene, curve: Curve, method: Method) -> (Account, Plan) {
    let found = discover::discover(&scene, &scene.frames(&curve));
    let plan = Plan::open(found.lights, scene.views.len());
    (Account::solve(scene, &plan, found.start, curve, method), plan)
}

/// Gains to start from: the noted levels; 1 for what burns at no noted power.
fn start(scene: &Scene, plan: &Plan) -> Vec<Mix> {
    scene
        .views
        .iter()
        .zip(&plan.asks)
        .map(|(view, asks)| {
            let gain = |a: &plan::Ask| match a.on {
                Told::Yes => a.level.unwrap_or(1.0),
                _ => 0.0,
            };
            let shutter = libm::exp2(view.ambient_stops - view.flash_stops);
            let mut colour = vec![[1.0; 3]; asks.len()];
            colour.push([shutter; 3]);
            Mix { gain: asks.iter().map(gain).chain([1.0]).collect(), colour, trust: 1.0 }
        })
        .collect()
}

/// For each frame the tiles of the plane inside the subject box that holds for it: the last one drawn before it, else the
/// first one after.
fn subject_tiles(scene: &Scene, sequence: &Sequence, subjects: &[SubjectBox]) -> Vec<Option<Vec<bool>>> {
    let named = |view: &view::View| {
        let frame = &sequence.shots[view.shot].frame;
        subjects.iter().find(|s| s.frame == *frame)
    };
    let tiles = |f: usize, subject: &SubjectBox| -> Vec<bool> {
        let view = &scene.views[f];
        let size = pose::Size { columns: view.size.0, rows: view.size.1 };
        let [x, y, w, h] = subject.percent;
        (0..scene.plane.len())
            .map(|i| {
                let (px, py) = scene.poses[f].place(scene.plane.from_middle(i), size);
                let across = f64::from(px + 0.5) / size.columns as f64 * 100.0;
                let down = f64::from(py + 0.5) / size.rows as f64 * 100.0;
                (x..x + w).contains(&across) && (y..y + h).contains(&down)
            })
            .collect()
    };
    let drawn: Vec<(usize, Vec<bool>)> =
        scene.views.iter().enumerate().filter_map(|(f, view)| Some((f, tiles(f, named(view)?)))).collect();
    (0..scene.views.len())
        .map(|f| drawn.iter().rev().find(|d| d.0 <= f).or_else(|| drawn.first()).map(|d| d.1.clone()))
        .collect()
}
