//! Both conventions of the lighting ratio are explained where a ratio is told, and nowhere else. That the figures are those
//! of handbooks is tested in `tests/ledger/accounts.rs`.

use stoptally::report::recap;

use super::support::{lit, sample_report};

#[test]
fn the_two_ways_of_writing_a_ratio_are_told_apart_by_name() {
    let text = recap::render(&lit::lit_evening()).markdown;
    assert!(text.contains("5.7:1 light against light, 6.7:1 as both against the ambient"));
    assert!(text.contains("Light against light is one light over the other, each by itself."));
    assert!(text.contains("Both against the fill is key and fill together over the fill alone"));
    let without = recap::render(&sample_report::evening()).markdown;
    assert!(!without.contains("ight against light"), "no ratio is told, so none is explained");
}
