//! The plan lies where the arithmetic of angles says, within a pixel, and draws nothing that is not noted.

use std::f64::consts::TAU;

use roxmltree::{Document, Node};
use stoptally::report::light_types::LightStand;
use stoptally::report::{plan_view, recap};

use super::support::lit;

/// A light noted here; its place is worked out again from degrees.
fn stand(light: &str, distance: f64, hours: f64) -> LightStand {
    let degrees = 30.0 * hours;
    LightStand {
        light: light.to_owned(),
        distance_m: Some(distance),
        clock_hours: Some(hours),
        right_m: Some(distance * (degrees / 360.0 * TAU).sin()),
        towards_camera_m: Some(-distance * (degrees / 360.0 * TAU).cos()),
        words: format!("{distance} m from the sitter"),
        ..LightStand::default()
    }
}

fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// Name, x and y of a light's mark.
type Mark = (String, f64, f64);

/// Every light's mark; pixels to a metre by the drawing's own scale; the sitter's place.
fn read(svg: &str) -> (Vec<Mark>, f64, (f64, f64)) {
    let tree = Document::parse(svg).unwrap();
    let circle = |n: &Node| n.tag_name().name() == "circle";
    let lights = tree.descendants().filter(|n| n.tag_name().name() == "g" && n.children().any(|c| circle(&c)));
    let marks = lights.map(|g| {
        let disc = g.children().find(circle).unwrap();
        let title = g.children().find(|c| c.tag_name().name() == "title").unwrap().text().unwrap().to_owned();
        (title, number(disc, "cx"), number(disc, "cy"))
    });
    let marks: Vec<_> = marks.collect();
    let bar = tree.descendants().find(|n| n.attribute("id") == Some("scale")).unwrap();
    let end = number(bar, "x2");
    let length = end - number(bar, "x1");
    let beside = tree
        .descendants()
        .filter(|n| n.tag_name().name() == "text")
        .find(|n| number(*n, "x") > end && number(*n, "x") < end + 12.0);
    let metres: f64 = beside.unwrap().text().unwrap().trim_end_matches("\u{a0}m").parse().unwrap();
    let sitter = tree.descendants().filter(circle).find(|n| n.attribute("r") == Some("10")).unwrap();
    (marks, length / metres, (number(sitter, "cx"), number(sitter, "cy")))
}

#[test]
fn every_light_lies_within_a_pixel_of_its_angle_and_distance() {
    let lights = [
        ("key", 3.9, 7.5),
        ("rim", 5.0, 1.5),
        ("dust-left", 5.4, 10.0),
        ("dust-right", 5.4, 2.5),
        ("behind", 2.0, 12.0),
        ("beside the camera", 0.85, 6.0),
        ("half past twelve", 4.2, 0.5),
    ];
    for count in 1..=lights.len() {
        let stands: Vec<LightStand> = lights[..count].iter().map(|(n, d, h)| stand(n, *d, *h)).collect();
        let plan = plan_view::draw(&stands).unwrap();
        let (marks, scale, (x, y)) = read(&plan.svg);
        assert_eq!(marks.len(), count);
        for ((name, distance, hours), (title, cx, cy)) in lights.iter().zip(marks) {
            assert!(title.starts_with(name), "{title}");
            // A clock's hand: degrees clockwise from 12, which is up; across is the sine, up the cosine.
            let hand = (hours * 30.0_f64).to_radians();
            let (wanted_x, wanted_y) = (x + scale * distance * hand.sin(), y - scale * distance * hand.cos());
            assert!(
                (cx - wanted_x).abs() < 1.0 && (cy - wanted_y).abs() < 1.0,
                "{name}: {cx} {cy}, {wanted_x} {wanted_y}"
            );
            // The camera at 6 is below the sitter; 3 is to the right.
            assert_eq!(*hours > 3.0 && *hours < 9.0, cy > y + 1e-9, "{name}");
        }
    }
}

/// Everything stays inside the drawing, and labels do not lie on each other, however many lights stand on one side.
#[test]
fn labels_give_way_and_marks_do_not() {
    let stands: Vec<LightStand> =
        (0..14).map(|n| stand(&format!("a light with a long name {n}"), 3.0, 2.9 + 0.02 * f64::from(n))).collect();
    let plan = plan_view::draw(&stands).unwrap();
    let tree = Document::parse(&plan.svg).unwrap();
    let mut labels: Vec<f64> =
        tree.descendants().filter(|n| n.attribute("font-weight") == Some("600")).map(|n| number(n, "y")).collect();
    labels.sort_by(f64::total_cmp);
    assert_eq!(labels.len(), 14);
    assert!(labels.windows(2).all(|pair| pair[1] - pair[0] > 32.0), "{labels:?}");
    assert!(labels[0] > 10.0 && labels[13] + 16.0 < 590.0, "{labels:?}");
}

#[test]
fn what_has_no_place_is_said_and_not_drawn() {
    let nowhere =
        LightStand { distance_m: Some(3.0), right_m: None, towards_camera_m: None, ..stand("fill", 3.0, 4.0) };
    assert_eq!(plan_view::draw(std::slice::from_ref(&nowhere)), None);
    assert_eq!(plan_view::draw(&[]), None);
    let plan = plan_view::draw(&[nowhere, stand("key", 3.9, 7.5)]).unwrap();
    let (marks, ..) = read(&plan.svg);
    assert!(marks.len() == 1 && marks[0].0.starts_with("key") && !plan.svg.contains("fill:"), "{}", plan.svg);
    // Lighting 7 of the made evening has all four lights on; dust-right's clock position is not noted.
    let recap = recap::render(&lit::lit_evening());
    let (name, svg) = recap.pictures.iter().find(|(name, _)| name == "recap/plan-07.svg").unwrap();
    let (marks, ..) = read(std::str::from_utf8(svg).unwrap());
    assert_eq!(marks.len(), 3, "{name}");
    let text = recap.markdown.replace('\u{a0}', " ");
    assert!(text.contains(
        "- Dust-right is not drawn: no clock position is noted. Noted: 5.4 m from the sitter, 1.4 m high.\n"
    ));
}

#[test]
fn heights_stand_beside_the_lights_and_names_are_text() {
    let mut light = stand("<b>&\u{202e}", 3.9, 7.5);
    light.height_m = Some(2.8);
    let plan = plan_view::draw(&[light]).unwrap();
    let tree = Document::parse(&plan.svg).unwrap();
    let texts: Vec<&str> = tree.descendants().filter_map(|n| n.text()).collect();
    assert!(texts.iter().any(|t| t.replace('\u{a0}', " ") == "3.9 m at 7:30, 2.8 m high"), "{texts:?}");
    assert!(texts.contains(&"<b>&\\u{202e}"), "{texts:?}");
}
