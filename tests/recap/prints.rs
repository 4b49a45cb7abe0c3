//! Large pictures: placed as they come, with a smaller one beside them for pairs, and the small one where there is none.

use stoptally::report::recap;

use super::support::{lit, prints};

#[test]
fn a_print_is_a_lightings_picture_and_its_preview_stands_in_pairs() {
    let report = prints::with_prints(lit::lit_evening(), 90_000);
    let recap = recap::render(&report);
    let bytes = |name: &str| recap.pictures.iter().find(|(n, _)| n == name).map(|(_, bytes)| bytes.clone());
    let fifth = &report.lightings[4];
    let index = fifth.detail.typical_index;
    assert_eq!(bytes("recap/lighting-05.jpg").unwrap(), report.prints[&index].jpeg);
    assert_eq!(bytes("recap/lighting-05-small.jpg").unwrap(), report.pictures[index].as_ref().unwrap().preview.jpeg);
    let without = fifth.detail.without[0].print.as_ref().unwrap();
    assert_eq!(bytes("recap/lighting-05-without-01.jpg").unwrap(), without.jpeg);
    let small = fifth.detail.without[0].preview.as_ref().unwrap();
    assert_eq!(bytes("recap/lighting-05-without-01-small.jpg").unwrap(), small.jpeg);
    let chapter = recap.markdown.split("\n## ").nth(5).unwrap();
    assert!(chapter.contains("](recap/lighting-05.jpg)\n") && chapter.contains("](recap/lighting-05-small.jpg)\n"));
    // The small one leads to the large one.
    assert!(
        chapter.contains("](recap/lighting-05-without-01-small.jpg)](recap/lighting-05-without-01.jpg)\n"),
        "{chapter}"
    );
    // A print is as bright as its shot, and the shot is named: what holds of the small picture of sums does not of it.
    assert!(chapter.contains("DSC\\_0424.JPG without key, worked out in linear light.\n"), "{chapter}");
}

#[test]
fn without_prints_previews_and_sums_stand_in() {
    let report = lit::lit_evening();
    let recap = recap::render(&report);
    let bytes = |name: &str| recap.pictures.iter().find(|(n, _)| n == name).map(|(_, bytes)| bytes.clone());
    let fifth = &report.lightings[4];
    let preview = &report.pictures[fifth.detail.typical_index].as_ref().unwrap().preview;
    assert_eq!(bytes("recap/lighting-05.jpg").unwrap(), preview.jpeg);
    let sum = &report.light_pictures[fifth.detail.without[0].picture.unwrap()];
    assert_eq!(bytes("recap/lighting-05-without-01.jpg").unwrap(), sum.picture.jpeg);
    assert!(!recap.pictures.iter().any(|(name, _)| name.contains("small")));
    assert!(
        recap
            .markdown
            .replace('\u{a0}', " ")
            .contains("Lighting 5 without key, worked out in linear light, shown 1.5 stops brighter.")
    );
}
