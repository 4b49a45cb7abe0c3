//! What each light did on a stage, and how the lights stand to each other.

use super::made::{Made, about, missed, noted, off, on};
use stoptally::light::{AmbientEntry, Entry, Told};
use stoptally::report::light_types::{LightAccount, Ratio};

fn share(mut entry: Entry, frame: f64, subject: Option<f64>) -> Entry {
    (entry.share_of_frame, entry.share_of_subject) = (Some(frame), subject);
    entry
}

fn account(made: &Made, stage: usize) -> LightAccount {
    made.found().report.stages[stage - 1].detail.light_account.clone().unwrap()
}

fn ratio(made: &Made, which: usize) -> Ratio {
    account(made, 1).ratios[which].clone()
}

#[test]
fn a_stage_tells_every_light_the_off_ones_too() {
    let mut made = Made::four();
    made.add(2, &[on(0.4), on(-1.0), off(), off()]).add(1, &[on(0.6), missed(on(-1.0)), off(), off()]);
    made.light.shots[2].entries[0].setting.level = Some(0.4);
    let account = account(&made, 1);
    let on: Vec<_> = account.each_light.iter().map(|l| (l.light.as_str(), l.on.as_str(), l.misfires)).collect();
    assert_eq!(on, [("key", "yes", 0), ("rim", "yes", 1), ("dust-left", "no", 0), ("dust-right", "no", 0)]);
    let key = &account.each_light[0];
    assert_eq!((key.stops, key.stops_low, key.stops_high), (Some(0.4), Some(0.30000000000000004), Some(0.5)));
    assert_eq!(key.words, "+0.4 ± 0.1 stop against TS_0001.JPG");
    assert_eq!(account.each_light[1].words, "-1.0 ± 0.1 stop against TS_0001.JPG; 1 misfire");
    assert_eq!(account.each_light[2].words, "off");
}

#[test]
fn a_noted_stage_tells_note_and_picture() {
    let mut made = Made::noted();
    let mut key = noted(-10.0 / 3.0, 0.2);
    (key.setting.gel, key.setting.modifier) = ("CTO".to_owned(), "grid".to_owned());
    made.add(1, &[key, off(), off(), off()]);
    assert_eq!(account(&made, 1).each_light[0].words, "1/8 -0.3, gel CTO, grid; +0.2 ± 0.1 stop against TS_0001.JPG");
}

/// 0.6 against 0.15 is 4:1 light against light, two stops; both against the fill are 5:1.
#[test]
fn key_to_fill_says_which_ratio_it_is() {
    let mut made = Made::of(&["key", "fill"]);
    made.add(1, &[share(on(0.0), 0.5, Some(0.6)), share(on(0.0), 0.25, Some(0.15))]);
    let found = ratio(&made, 0);
    assert_eq!((found.of.as_str(), found.to.as_str(), found.over.as_str()), ("key", "fill", "subject"));
    assert!((found.stops.unwrap() - 2.0).abs() < 1e-12);
    // Two intervals of a tenth to either side: the root of the sum of squares.
    assert!((found.stops_high.unwrap() - 2.0 - libm::sqrt(0.02)).abs() < 1e-12);
    assert_eq!(found.words, "+2.0 stops on the subject: 4:1 light against light, 5:1 as both against the fill");
    made.light.shots[0].entries.iter_mut().for_each(|e| e.share_of_subject = None);
    assert_eq!(
        ratio(&made, 0).words,
        "+1.0 stop over the frame: 2:1 light against light, 3:1 as both against the fill"
    );
}

/// Handbook rows. Both against the fill: US Army subcourse SS0510, paragraph 10, p. 1-18 (key twice the fill 3:1; fill at
/// 11 ft and main at 5.6 ft, four times the fill, 5:1), and C. Gardner, photography class part 2A (equal lights 2:1).
/// Light against light: absoluteastronomy.com, Lighting ratio (100 fc and 100 fc 1:1; 800 fc and 200 fc 4:1), and
/// C. McKern, Understanding lighting ratios (one stop 2:1).
#[test]
fn ratios_are_as_handbooks_print_them() {
    for (key, fill, words) in [
        (0.3, 0.3, "0.0 stop on the subject: 1:1 light against light, 2:1 as both against the fill"),
        (0.4, 0.2, "+1.0 stop on the subject: 2:1 light against light, 3:1 as both against the fill"),
        (0.8, 0.2, "+2.0 stops on the subject: 4:1 light against light, 5:1 as both against the fill"),
    ] {
        let mut made = Made::of(&["key", "fill"]);
        made.add(1, &[share(on(0.0), 0.5, Some(key)), share(on(0.0), 0.25, Some(fill))]);
        assert_eq!(ratio(&made, 0).words, words);
    }
}

#[test]
fn without_a_fill_the_ratio_is_not_told() {
    let mut made = Made::four();
    made.add(1, &[on(0.0), on(0.0), off(), off()]);
    let found = ratio(&made, 0);
    assert_eq!((found.stops, found.words.as_str()), (None, "not known"));
    assert_eq!(found.why_unknown, "no burning light is named a fill: note its role as fill");
    // A role makes it one.
    made.light.lights[1].role = "fill".to_owned();
    assert_eq!(ratio(&made, 0).stops, Some(0.0));
    // With no light on there is no ratio to speak of.
    let mut dark = Made::four();
    dark.add(1, &[off(), off(), off(), off()]);
    assert!(account(&dark, 1).ratios.is_empty());
}

#[test]
fn without_a_name_the_strongest_is_the_key() {
    let mut made = Made::of(&["light-1", "light-2"]);
    made.add(1, &[share(on(0.0), 0.1, None), share(on(0.0), 0.8, None)]);
    made.ambient(AmbientEntry { stops: Some(about(0.0)), share_of_frame: Some(0.1), at_most: false });
    let found = ratio(&made, 1);
    assert_eq!(
        (found.of.as_str(), found.words.as_str()),
        ("light-2", "+3.0 stops over the frame: 8:1 light against light, 9:1 as both against the ambient")
    );
    made.light.shots[0].entries[0].share_of_frame = None;
    assert_eq!(ratio(&made, 1).why_unknown, "no light is named the key, and not every light's share is known");
}

#[test]
fn an_ambient_known_only_at_most_leaves_the_ratio_open_upwards() {
    let mut made = Made::four();
    made.add(1, &[share(on(0.0), 0.8, None), off(), off(), off()]);
    made.ambient(AmbientEntry { stops: Some(about(0.0)), share_of_frame: Some(0.1), at_most: true });
    let found = ratio(&made, 1);
    assert_eq!(
        found.words,
        "at least +3.0 stops over the frame: 8:1 light against light, 9:1 as both against the ambient"
    );
    assert!(found.stops_low.is_some() && found.stops_high.is_none());
    assert!(account(&made, 1).ambient.at_most);
}

#[test]
fn a_lighting_is_told_by_its_most_shot_stage_and_counts_over_all() {
    let mut made = Made::four();
    let missing = [on(0.0), missed(on(0.0)), off(), off()];
    made.add(1, &missing).set(80, 200, 100).add(3, &[on(0.0), on(0.0), off(), off()]).add(1, &missing);
    let report = made.found().report;
    assert_eq!(report.lightings.len(), 1);
    let row = &report.lightings[0];
    assert_eq!((row.stages.as_str(), row.frames, row.misfires), ("1;2", 5, 2));
    assert_eq!((row.detail.typical_stage, row.detail.stage_numbers.as_slice()), (2, [1, 2].as_slice()));
    assert_eq!(row.detail.light_account.each_light[1].misfires, 2);
    assert_eq!((report.lights[1].misfires, report.lights[0].frames_on), (2, 5));
    assert_eq!(report.lights[0].purpose, "key");
    assert_eq!(made.light.shots[0].entries[1].misfire, Told::Yes);
}
