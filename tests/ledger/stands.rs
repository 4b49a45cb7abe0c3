//! Where the lights of a lighting stand, from the notes: held until changed, moved, half noted, not noted.

use stoptally::report::light_types::LightStand;

use super::made::{Made, off, on};

/// Three shots of key and rim, then two of rim alone; dust-left and dust-right stay off.
fn stands(notes: &str) -> Vec<Vec<LightStand>> {
    let mut made = Made::noted();
    made.notes = format!("from,light,power,distance_m,clock_position,height_m\n{notes}");
    made.add(3, &[on(0.0), on(0.0), off(), off()]).add(2, &[off(), on(0.0), off(), off()]);
    made.found().report.lightings.into_iter().map(|row| row.detail.stands).collect()
}

fn said(stand: &LightStand) -> String {
    stand.words.replace('\u{a0}', " ")
}

/// 4 m at 7:30 is 4 times the sine and cosine of 45 degrees, 2.828427; 5 m at 2 is 5 times those of 60: 4.330127 and 2.5.
#[test]
fn a_stand_holds_until_it_is_changed_and_only_lights_that_are_not_off_have_one() {
    let lightings = stands(
        "TS_0001.JPG,key,1/8,4,7:30,2.8\nTS_0001.JPG,rim,1/8,5,2,\nTS_0001.JPG,dust-left,off,5.4,10,1.5\n\
         TS_0004.JPG,key,off,,,\n",
    );
    let [both, rim] = lightings.as_slice() else { panic!("{lightings:?}") };
    let names: Vec<&str> = both.iter().map(|s| s.light.as_str()).collect();
    assert_eq!((names, rim.len(), rim[0].light.as_str()), (vec!["key", "rim"], 1, "rim"));
    assert_eq!(said(&both[0]), "4 m from the sitter at 7:30, 2.8 m high");
    assert_eq!(said(&rim[0]), "5 m from the sitter at 2");
    let near = |value: Option<f64>, wanted: f64| (value.unwrap() - wanted).abs() < 1e-6;
    assert!(near(both[0].right_m, -2.828_427_1) && near(both[0].towards_camera_m, 2.828_427_1));
    assert!(near(rim[0].right_m, 4.330_127_0) && near(rim[0].towards_camera_m, -2.5));
    assert!(!both[0].moved && both[0].why_not_drawn.is_empty());
}

#[test]
fn a_light_that_moves_within_a_lighting_stands_as_in_its_typical_shot() {
    let lightings = stands("TS_0001.JPG,key,1/8,4,7:30,\nTS_0003.JPG,key,,3,7:30,\n");
    let key = &lightings[0][0];
    assert!(key.moved, "{key:?}");
    // All three shots are at one level: the first is the typical one.
    assert_eq!(key.distance_m, Some(4.0));
}

#[test]
fn what_is_half_noted_or_not_noted_has_no_place_and_says_why() {
    let lightings = stands("TS_0001.JPG,key,1/8,4,,2.8\nTS_0001.JPG,dust-left,off,5.4,10,1.5\n");
    let [key, rim] = lightings[0].as_slice() else { panic!() };
    assert_eq!((key.right_m, key.why_not_drawn.as_str()), (None, "no clock position is noted"));
    assert_eq!(said(key), "4 m from the sitter, 2.8 m high");
    assert_eq!((said(rim).as_str(), rim.why_not_drawn.as_str()), ("", "neither clock position nor distance is noted"));
}
