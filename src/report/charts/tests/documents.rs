//! The files: an SVG is well-formed, named, described and escaped; a PNG has its size and something on it; bytes repeat.

use roxmltree::Document;

use super::kept_marks::{keepers, kept_report};
use super::scenario::{As, NIGHT, Set, Stage, empty, evening_report, light, lighting, lit_report, shoot, stage};
use crate::report::Report;
use crate::report::charts::{Chart, draw};

/// Text that would break out of markup, of a line or of a reading direction.
const PLANTED: &str = "<script>alert('x')</script>\"&\u{1}\n]]>\u{202e}";

/// Many small stages on settings that come and go.
fn many(stages: usize, shots: usize) -> Vec<Stage> {
    let sets = [
        NIGHT,
        Set { f_number: 5.6, ..NIGHT },
        Set { iso: 1600, ..NIGHT },
        Set { time: ("1/15", 1.0 / 15.0), ..NIGHT },
    ];
    (0..stages)
        .map(|i| {
            let mut made = stage(sets[i * 3 % 4], shots + i % 2, -9.0 + (i % 17) as f64 / 2.0, "aperture f/8 to f/5.6");
            made.light = match i % 3 {
                0 => [None; 3],
                1 => [Some((i % 7) as f64 / 2.0 - 1.5); 3],
                _ => [None, Some(-0.8), Some((i % 5) as f64 / 2.0)],
            };
            made
        })
        .collect()
}

/// Every kind of shoot the charts must bear, by name.
pub fn shoots() -> Vec<(&'static str, Report)> {
    let with = |stages: &[Stage]| {
        let mut report = empty();
        shoot(&mut report, "Body A", "1", stages);
        report
    };
    let mut dark = with(&many(3, 2));
    for frame in &mut dark.frames {
        *frame = crate::report::FrameRow { frame: frame.frame.clone(), ..Default::default() };
    }
    dark.stages.iter_mut().for_each(|s| s.detail.account = s.detail.account.take().map(|_| Default::default()));
    let mut cameras = evening_report();
    shoot(&mut cameras, "Body A", "2", &many(5, 3));
    shoot(&mut cameras, "A camera with a name much longer than the room there is for it", "3", &many(1, 2));
    let mut planted = evening_report();
    for frame in &mut planted.frames {
        frame.frame = format!("{PLANTED}{}", frame.frame);
        frame.lens = PLANTED.repeat(9);
        frame.settings = PLANTED.into();
        frame.taken = format!("2024T{PLANTED}");
    }
    shoot(&mut planted, PLANTED, "2", &many(3, 3));
    for stage in &mut planted.stages {
        stage.changed = PLANTED.repeat(12);
        stage.detail.headline = PLANTED.repeat(12);
        if let Some(account) = &mut stage.detail.account {
            account.why_unknown = PLANTED.repeat(12);
        }
    }
    vec![
        ("the evening", evening_report()),
        ("one shot", with(&[stage(NIGHT, 1, -4.0, "")])),
        ("nothing known", dark),
        ("three cameras", cameras),
        ("planted names", planted),
        ("24 stages", with(&many(24, 2))),
        ("600 shots", with(&many(80, 7))),
        ("lights told apart", lit_report()),
        ("planted lights", planted_lights()),
        ("600 shots, 14 lights", many_lights(with(&many(80, 7)))),
        ("keepers", kept_report()),
        ("planted keepers", planted_keepers()),
        ("80 lightings with keepers", many_kept(many_lights(with(&many(80, 7))))),
    ]
}

/// Hostile text as the name of a light, its reason and a lighting's words.
fn planted_lights() -> Report {
    let mut report = lit_report();
    for light in &mut report.lights {
        light.light = format!("{PLANTED}{}", light.light);
    }
    report.light_ledger.iter_mut().for_each(|row| row.reason = PLANTED.repeat(9));
    report.lightings.iter_mut().for_each(|row| row.changed = PLANTED.repeat(9));
    report
}

/// Hostile text as a lighting's words and in the sentences of the count.
fn planted_keepers() -> Report {
    let mut report = kept_report();
    report.lightings.iter_mut().for_each(|row| row.changed = PLANTED.repeat(9));
    let count = report.keeper_count.as_mut().unwrap();
    count.summary = PLANTED.repeat(12);
    count.comparison = PLANTED.repeat(12);
    report
}

/// Keepers on every lighting of a large shoot, some without candidates, some without times.
fn many_kept(mut report: Report) -> Report {
    let of: Vec<_> = (0..80_u32)
        .map(|n| (Some((n % 3, 3 + n % 9)).filter(|_| n % 7 > 0), Some(f64::from(n) * 3.0).filter(|_| n % 5 > 0)))
        .collect();
    keepers(&mut report, &of);
    report
}

/// Fourteen lights over a shoot's shots, a lighting per stage.
fn many_lights(mut report: Report) -> Report {
    let names: Vec<String> = (1..=14).map(|n| format!("light-{n}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let one = |shot: usize, light: usize| match (shot / 9 + light * 3) % 11 {
        0 => As::Off,
        1 => As::Unknown("two lights that burn together"),
        2 if shot.is_multiple_of(13) => As::Misfire,
        _ => As::At(((shot * 7 + light) % 9) as f64 / 30.0 - light as f64 / 10.0, 0.1 + light as f64 / 40.0),
    };
    let shots: Vec<Vec<As>> = (0..report.frames.len()).map(|s| (0..14).map(|l| one(s, l)).collect()).collect();
    light(&mut report, &names, &shots.iter().map(Vec::as_slice).collect::<Vec<_>>(), 0);
    for frame in &mut report.frames {
        frame.lighting = frame.stage;
    }
    for _ in 0..report.stages.len() {
        lighting(&mut report, "light-3 on", &[Some(6.5); 14], Some(9.0));
    }
    report
}

fn all() -> Vec<(&'static str, Chart)> {
    shoots()
        .into_iter()
        .flat_map(|(shoot, report)| draw(&report).unwrap().into_iter().map(move |c| (shoot, c)))
        .collect()
}

#[test]
fn svg_and_png_are_sound_for_every_kind_of_shoot() {
    for (shoot, chart) in all() {
        let place = format!("{shoot}, {}", chart.name);
        let document = Document::parse(&chart.svg).unwrap_or_else(|e| panic!("{place}: {e}"));
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"), "{place}");
        let by_id = |id: &str| document.descendants().find(|n| n.attribute("id") == Some(id)).and_then(|n| n.text());
        assert_eq!(by_id(&format!("{}-title", chart.name)), Some(chart.title.as_str()), "{place}");
        assert_eq!(by_id(&format!("{}-desc", chart.name)), Some(chart.alt.as_str()), "{place}");
        let named = format!("{0}-title {0}-desc", chart.name);
        assert_eq!(root.attribute("aria-labelledby"), Some(named.as_str()), "{place}");
        let mut ids: Vec<&str> = document.descendants().filter_map(|n| n.attribute("id")).collect();
        assert!(ids.iter().all(|id| id.starts_with(chart.name)), "{place}");
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count, "{place}: an id twice");
        for node in document.descendants().filter(roxmltree::Node::is_element) {
            let allowed = ["svg", "title", "desc", "g", "rect", "line", "polygon", "circle", "text"];
            assert!(allowed.contains(&node.tag_name().name()), "{place}: {:?}", node.tag_name());
            assert!(node.attributes().all(|a| !a.name().starts_with("on") && a.name() != "href"), "{place}");
        }
        png_is_sound(&place, &chart, &root);
    }
}

fn png_is_sound(place: &str, chart: &Chart, root: &roxmltree::Node) {
    let picture = image::load_from_memory_with_format(&chart.png, image::ImageFormat::Png).unwrap().to_rgb8();
    let size = |name: &str| root.attribute(name).unwrap().parse::<u32>().unwrap();
    assert_eq!(picture.dimensions(), ((size("width") * 3).div_ceil(2), (size("height") * 3).div_ceil(2)), "{place}");
    assert_eq!(picture.width(), 1800, "{place}");
    assert_eq!(picture.get_pixel(0, 0).0, [0xf2, 0xf5, 0xee], "{place}: the paper's corner");
    let dark = picture.pixels().filter(|p| p.0[0] < 0x40).count();
    let share = dark as f64 / f64::from(picture.width() * picture.height());
    assert!(share > 0.003 && share < 0.3, "{place}: {share} of the picture is ink");
}

#[test]
fn planted_names_stay_text() {
    let (_, report) = shoots().into_iter().find(|(name, _)| *name == "planted names").unwrap();
    for chart in draw(&report).unwrap() {
        assert!(!chart.svg.contains("<script"), "{}", chart.name);
        let document = Document::parse(&chart.svg).unwrap();
        let mut texts = document.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text());
        assert!(texts.any(|t| t.contains("<scri")), "{}: the camera's name is not there as text", chart.name);
    }
}

#[test]
fn the_same_report_gives_the_same_bytes() {
    assert_eq!(draw(&evening_report()).unwrap(), draw(&evening_report()).unwrap());
}

#[test]
fn no_shots_no_chart_and_one_stage_no_account() {
    assert!(draw(&empty()).unwrap().is_empty());
    let names = |report: &Report| draw(report).unwrap().iter().map(|c| c.name).collect::<Vec<_>>();
    let mut one = empty();
    shoot(&mut one, "Body A", "1", &[stage(NIGHT, 1, -4.0, "")]);
    assert_eq!(names(&one), ["exposure-over-the-build", "clipping-per-frame"]);
    assert_eq!(names(&evening_report()), ["exposure-over-the-build", "clipping-per-frame", "settings-and-light"]);
}
