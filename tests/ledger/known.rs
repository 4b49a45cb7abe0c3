//! What is said to be not known, with its reason and its remedy; and what the first minute says.

use super::made::{Made, missed, off, on, unknown};
use stoptally::metadata::WhiteBalance;
use stoptally::report::{NotKnown, first_minute, recap};

fn list(made: &Made) -> Vec<NotKnown> {
    made.found().report.not_known
}

fn what(made: &Made) -> Vec<String> {
    list(made).into_iter().map(|n| n.what).collect()
}

fn four(key: stoptally::light::Entry, rim: stoptally::light::Entry) -> [stoptally::light::Entry; 4] {
    [key, rim, off(), off()]
}

#[test]
fn with_lights_the_blanket_sentence_is_gone() {
    let mut made = Made::four();
    made.add(2, &four(on(0.0), off()));
    assert_eq!(what(&made), ["powers, and why a light changed", "what fell on the subject"]);
    made.light.noted = true;
    made.light.shots[0].entries[0].share_of_subject = Some(0.5);
    assert_eq!(what(&made), [""; 0], "all is known");
}

#[test]
fn without_lights_it_says_what_is_known() {
    let mut made = Made::of(&[]);
    made.add(2, &[]);
    let all = list(&made);
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].what, "which light did what");
    assert_eq!(all[0].why, "no flash was told apart: the settings and the ambient explain the pictures");
    assert_eq!(all[0].remedy, "keep one test frame of each light alone, and one with all flashes off");
    // The twin: where nothing was computed no such claim is made.
    (made.light.curve, made.light.ambient_reference) = (None, None);
    assert!(list(&made)[0].why.starts_with("cameras do not record"));
}

#[test]
fn reasons_are_said_once_with_how_often() {
    let mut made = Made::four();
    made.add(1, &four(on(0.0), unknown("too weak beside the key")));
    made.add(1, &[on(0.0), unknown("too weak beside the key"), unknown("too weak beside the key"), off()]);
    made.add(1, &four(on(0.0), on(0.0))).not_comparable();
    let all = list(&made);
    let said: Vec<_> = all.iter().take(2).map(|n| (n.what.as_str(), n.why.as_str())).collect();
    assert_eq!(
        said,
        [
            ("what rim and dust-left did in 2 shots", "too weak beside the key"),
            ("the light of TS_0003.JPG", "it shows another part of the shed"),
        ]
    );
    assert!(all[0].remedy.starts_with("keep one test frame of each light alone"));
}

#[test]
fn many_reasons_are_cut_short() {
    let mut made = Made::four();
    for n in 0..8 {
        made.add(1, &four(on(0.0), unknown(&format!("reason {n}"))));
    }
    let all = list(&made);
    assert_eq!(all[5].why, "3 more reasons, in the column reason of light-ledger.csv");
    assert_eq!(all.len(), 5 + 1 + 2);
}

#[test]
fn what_the_light_step_cannot_tell_is_passed_on_once() {
    let mut made = Made::four();
    made.add(2, &four(on(0.0), off()));
    made.light.cannot = vec![
        "rim and dust-left apart: they always burn together.".to_owned(),
        "rim and dust-left apart: they always burn together.".to_owned(),
        "the tone curve: no frame shows one light at two powers".to_owned(),
    ];
    let all = list(&made);
    assert_eq!((all[0].what.as_str(), all[0].why.as_str()), ("rim and dust-left apart", "they always burn together"));
    assert!(all[1].what == "the tone curve" && all[1].remedy.starts_with("note one light at two powers"));
    assert_eq!(all.len(), 2 + 2);
}

#[test]
fn automatic_white_balance_is_said_once() {
    let mut made = Made::four();
    made.add(3, &four(on(0.0), off()));
    assert!(!what(&made).iter().any(|w| w.starts_with("gels")));
    made.sequence.shots[1].metadata.white_balance = Some(WhiteBalance::Auto);
    assert!(what(&made).contains(&"gels and casts in 1 shot".to_owned()), "{:?}", what(&made));
    made.sequence.shots.iter_mut().for_each(|s| s.metadata.white_balance = Some(WhiteBalance::Auto));
    assert!(what(&made).contains(&"gels and casts".to_owned()));
}

#[test]
fn the_first_minute_counts_lightings_and_names_misfires() {
    let mut made = Made::four();
    let set = four(on(0.0), on(0.0));
    made.add(1, &four(off(), off())).add(3, &set).add(2, &four(on(0.0), missed(on(0.0))));
    let text = first_minute::sentences(&made.found().report, "out");
    assert!(text.starts_with("6 shots, one camera, 16:20-16:20, in 2 lightings and 2 stages\n"), "{text}");
    assert!(text.contains("look at: rim did not burn in 2 shots, the first TS_0005.JPG"), "{text}");
    assert!(text.contains("not known: powers, and why a light changed; what fell on the subject"), "{text}");
}

#[test]
fn the_recap_says_each_lightings_lights_as_noted_and_as_seen() {
    let mut made = Made::noted();
    let mut key = super::made::gel(super::made::noted(-10.0 / 3.0, -0.6), "CTO");
    key.share_of_subject = Some(0.5);
    made.add(1, &four(key.clone(), on(0.0))).add(1, &four(key, missed(on(0.0))));
    made.light.lights[0].picture = Some(super::made::half_lit(0.0375));
    let recap = recap::render(&made.found().report);
    let text = recap.markdown.replace('\u{a0}', " ");
    for line in [
        "## 1. Key on at 1/8 −0.3 with gel CTO, rim on (16:20)\n",
        "- **key**: power 1/8 −0.3; strength −0.6 stop (−0.7 to −0.5) against TS\\_0001.JPG; share of the frame’s light 25 %; share of the subject’s light 50 %; gel CTO\n",
        "- **rim**: power not noted; strength 0.0 stop (−0.1 to +0.1) against TS\\_0001.JPG; share of the frame’s light 25 %\n",
        "- Rim was set on and did not burn in 1 shot.\n",
        "- Off: dust-left and dust-right.\n",
        "### Light by light, and without it\n\n![key alone: strongest along the left of the frame; hatched where it is not known (12 %)](recap/light-01.jpg)\n",
        "Key by itself, as in TS\\_0001.JPG, shown 4.0 stops brighter; hatched where it is not known (12 %).\n",
    ] {
        assert!(text.contains(line), "{line}\nis not in\n{text}");
    }
    assert!(!text.contains(" -0."), "no hyphen for a minus");
    assert!(recap.pictures.iter().any(|(name, _)| name == "recap/light-01.jpg"));
}

/// Names and gels come from notes: nothing in them becomes markup.
#[test]
fn names_from_notes_are_escaped_in_the_recap() {
    let mut made = Made::of(&["<b>key</b>"]);
    made.add(1, &[super::made::gel(on(0.0), "[x](http://y)")]);
    made.light.lights[0].picture = Some(super::made::half_lit(0.5));
    let text = recap::render(&made.found().report).markdown;
    assert!(!text.contains("<b>") && !text.contains("[x]("), "{text}");
}
