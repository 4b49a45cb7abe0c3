//! What must hold of `report.html` as text, for an ordinary shoot and for every extreme. What only a browser can tell is in `browser`.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod support;

use std::collections::BTreeSet;

use base64::{Engine as _, engine::general_purpose::STANDARD};
use sha2::{Digest as _, Sha256};
use stoptally::measure::Picture;
use stoptally::report::charts::Chart;
use stoptally::report::{FindingRow, FramePictures, Report, StageRow, page};
use support::extremes::{self, PLANTED};

/// The text between two marks, first time.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let start = text.find(from).unwrap_or_else(|| panic!("no {from}")) + from.len();
    &text[start..start + text[start..].find(to).unwrap()]
}

/// Every value of an attribute.
fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let opening = format!(" {attribute}=\"");
    page.match_indices(&opening).map(|(at, _)| page[at + opening.len()..].split('"').next().unwrap()).collect()
}

#[test]
fn the_policy_names_the_very_style_and_script_of_the_page() {
    let page = page::render(&extremes::all()[0].1, &[]);
    let policy = between(&page, "http-equiv=\"Content-Security-Policy\" content=\"", "\"").replace("&#39;", "'");
    for (kind, text) in
        [("style", between(&page, "<style>", "</style>")), ("script", between(&page, "<script>", "</script>"))]
    {
        let hash = STANDARD.encode(Sha256::digest(text.as_bytes()));
        assert!(policy.contains(&format!("{kind}-src 'sha256-{hash}'")), "{kind}: {policy}");
    }
    assert!(policy.starts_with("default-src 'none';") && !policy.contains("unsafe"));
    assert_eq!((page.matches("<style").count(), page.matches("<script").count()), (1, 1));
}

#[test]
fn every_page_is_whole_and_asks_for_nothing_outside() {
    for (name, report) in extremes::all() {
        let page = page::render(&report, &[]);
        assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>"), "{name}");
        assert_eq!(page, page::render(&report, &[]), "{name}: two runs differ");
        for attribute in ["src", "href"] {
            for value in values(&page, attribute) {
                assert!(value.starts_with('#') || value.starts_with("data:"), "{name}: {attribute}={value}");
            }
        }
        assert!(!page.contains("@import") && !page.contains("://"), "{name}");
        assert!(values(&page, "style").is_empty() && values(&page, "onclick").is_empty(), "{name}");
        let drawn =
            ["x", "x1", "x2", "y1", "y2", "width", "height", "d"].map(|attribute| values(&page, attribute).join(" "));
        assert!(drawn.iter().all(|value| !value.contains("NaN") && !value.contains("inf")), "{name}: {drawn:?}");
    }
}

#[test]
fn ids_are_unique_and_every_link_has_its_target() {
    for (name, report) in extremes::all() {
        let page = page::render(&report, &[]);
        let mut ids = values(&page, "id");
        let number = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), number, "{name}: an id is there twice");
        let links = values(&page, "href").into_iter().filter_map(|link| link.strip_prefix('#'));
        let described = values(&page, "aria-describedby").into_iter().chain(values(&page, "aria-labelledby"));
        let described = described.flat_map(str::split_whitespace);
        for target in links.chain(described) {
            assert!(ids.binary_search(&target).is_ok(), "{name}: nothing is called {target}");
        }
    }
}

#[test]
fn text_from_files_arrives_as_text() {
    let page = page::render(&extremes::planted(), &[]);
    for active in ["<script>document", "<img src=x", "onerror=\"", "\u{202e}", "\u{2066}"] {
        assert!(!page.contains(active), "{active:?} came through");
    }
    assert!(page.contains("&lt;script&gt;document.title"), "the planted text must be shown, not dropped");
    assert!(page.contains("\\u{202e}"), "direction controls must be shown");
    assert!(PLANTED.contains('\u{202e}'));
}

#[test]
fn figures_have_a_true_minus_and_the_page_raises_no_voice() {
    for (name, report) in extremes::all().into_iter().filter(|(name, _)| *name != "planted") {
        let page = page::render(&report, &[]);
        let body = between(&page, "<body>", "<script>");
        let mut text = String::new();
        let mut inside = false;
        for c in body.chars() {
            match c {
                '<' => inside = true,
                '>' => inside = false,
                c if !inside => text.push(c),
                _ => {}
            }
        }
        assert!(!text.contains('!'), "{name}");
        for (at, _) in text.match_indices('-') {
            let (before, after) = (text[..at].chars().next_back(), text[at + 1..].chars().next());
            let minus = after.is_some_and(|c| c.is_ascii_digit()) && !before.is_some_and(char::is_alphanumeric);
            assert!(!minus, "{name}: a hyphen for a minus at …{}", &text[at.saturating_sub(20)..at + 5]);
        }
    }
}

#[test]
fn one_rung_per_lighting_or_per_stage_where_lights_are_not_told_and_one_ladder_per_body() {
    for (name, report) in extremes::all() {
        let page = page::render(&report, &[]);
        // The rule by hand: a stage begins a rung unless it goes on with the lighting of the stage before.
        let goes_on = |pair: &&[StageRow]| pair[0].lighting.is_some() && pair[0].lighting == pair[1].lighting;
        let rungs = report.stages.len() - report.stages.windows(2).filter(goes_on).count();
        assert_eq!(page.matches("<li class=\"rung\"").count(), rungs, "{name}");
        for stage in &report.stages {
            assert_eq!(page.matches(&format!(" id=\"stage-{}\"", stage.stage)).count(), 1, "{name}: {}", stage.stage);
        }
        let ladders = page.matches("<ol class=\"lad").count();
        match name {
            "no-frames" | "all-broken" => assert_eq!(ladders, 0),
            "two-bodies" => {
                assert_eq!(ladders, 2);
                assert!(page.contains("order against each other is not known"));
            }
            "planted" => {}
            _ => assert_eq!(ladders, 1, "{name}"),
        }
    }
}

#[test]
fn what_lies_beyond_the_scale_says_so() {
    let page = page::render(&extremes::off_scale(), &[]);
    assert!(page.contains("#e-left") && page.contains("#e-right"));
    for words in ["−11.2", "+3.4", "off the scale", "no light to measure", "no picture of this stage could be measured"]
    {
        assert!(page.contains(words), "{words}");
    }
}

#[test]
fn six_hundred_shots_with_large_pictures_stay_under_six_megabytes() {
    let mut report = extremes::all().into_iter().find(|(name, _)| *name == "long-night").unwrap().1;
    assert!(report.frames.len() >= 600 && report.stages.len() >= 40);
    let heavy = Chart {
        name: "lights-over-the-build",
        title: "Lights".to_owned(),
        detail: String::new(),
        alt: "Lights".to_owned(),
        svg: "x".repeat(900_000),
        png: Vec::new(),
    };
    for (thumbnail, preview, charts) in [
        (4_500, 30_000, vec![]),
        (4_500, 60_000, vec![]),
        (15_000, 120_000, vec![]),
        (15_000, 120_000, vec![heavy.clone(), heavy]),
    ] {
        let picture = |bytes: usize| Picture { width: 128, height: 85, jpeg: vec![0x5a; bytes].into() };
        let pictures = FramePictures { preview: picture(preview), thumbnail: picture(thumbnail) };
        report.pictures.fill(Some(pictures));
        let page = page::render(&report, &charts);
        assert!(page.len() < 6_000_000, "{} bytes with thumbnails of {thumbnail}", page.len());
        // A thumbnail on a rung and in its list is written once and shown twice.
        let shared = page.matches("<image id=\"shot-").count();
        assert_eq!(page.matches("<use href=\"#shot-").count(), 2 * shared);
        let shown = page.matches("<img ").count() - charts.len() + 2 * shared;
        let left_out = page.matches("left out to keep the page small").count();
        assert_eq!(
            shown + left_out,
            report.frames.len() + report.stages.len(),
            "a picture is neither shown nor said to be left out"
        );
    }
}

#[test]
fn a_chart_is_shown_with_its_words() {
    let chart = Chart {
        name: "levels",
        title: "Levels <over> time".to_owned(),
        detail: "Slowly.".to_owned(),
        alt: "The level rises \"slowly\".".to_owned(),
        svg: "<svg xmlns=\"http://www.w3.org/2000/svg\"/>".to_owned(),
        png: Vec::new(),
    };
    let page = page::render(&extremes::one_frame(), &[chart]);
    assert!(page.contains("data:image/svg+xml;base64,") && page.contains("Levels &lt;over&gt; time"));
    assert!(page.contains("alt=\"The level rises &quot;slowly&quot;.\""));
}

/// The evening light by light, its stage of another lens not put under any lighting: lighting 7 is then met twice.
fn met_again() -> Report {
    let mut report = named("lit-evening");
    report.stages[8].lighting = None;
    report
}

fn named(name: &str) -> Report {
    extremes::all().into_iter().find(|(known, _)| *known == name).unwrap().1
}

/// One rung of a page, from its opening to the next.
fn rung(page: &str, stage: u32) -> &str {
    between(page, &format!("<li class=\"rung\" id=\"stage-{stage}\">"), "<li class=\"gap\">")
}

/// Where the first use of a shape stands across the scale, in percent.
fn at(text: &str, shape: &str) -> f64 {
    let lanes = between(text, "<div class=\"lane\">", "<details>");
    between(lanes, &format!("href=\"#{shape}\" x=\""), "%").parse().unwrap()
}

#[test]
fn a_light_stands_where_its_share_of_the_picture_puts_it() {
    // The key is made to stand at −2.4 of mid-grey at the reference settings, from stage 5 on at −3.4; the axis puts s at
    // (s + 8) * 10 percent. Stage 12 is shot at f/2 instead of f/2.8: brought to one set of settings it does not move.
    let page = page::render(&named("lit-evening"), &[]);
    for (stage, stops) in [(3, -2.4), (4, -2.4), (5, -3.4), (8, -3.4)] {
        let found = at(rung(&page, stage), "e-light-0");
        assert!((found - (stops + 8.0) * 10.0).abs() < 0.02, "stage {stage}: {found}");
    }
    // The ambient recedes from −4.6 to −7.4, the shutter of stage 2 taken out.
    for (stage, stops) in [(1, -4.6), (3, -4.9), (8, -6.8), (11, -7.4)] {
        let found = at(rung(&page, stage), "e-floor");
        assert!((found - (stops + 8.0) * 10.0).abs() < 0.02, "stage {stage}: {found}");
    }
    assert!(rung(&page, 8).contains("<bdi>−7.2 in stage 10</bdi>"), "the course while the lighting stood");
    // Whiskers of the rim, 0.2 stop either way, in its lane of stage 4.
    let lane = between(rung(&page, 4), "href=\"#e-light-0\"", "href=\"#e-light-1\"");
    assert!(lane.contains("class=\"wk\" x1=\"32.00%\" x2=\"36.00%\""), "{lane}");
}

#[test]
fn misfires_and_what_is_not_told_are_said_in_words_and_never_drawn_as_a_figure() {
    let page = page::render(&named("lit-evening"), &[]);
    let some = rung(&page, 8);
    assert!(some.contains("missed in 2 of 22\u{a0}shots: DSC_0443.JPG and DSC_0444.JPG"));
    assert_eq!(some.matches("misfire, rim did not burn").count(), 2);
    assert!(some.contains("aria-label=\"22\u{a0}shots, 2 with a misfire, 2\u{a0}lens changes\""));
    assert_eq!(between(some, "<svg class=\"beam\"", "</svg>").matches("class=\"nt\"").count(), 2);
    // In stage 11 it never burned: a gap where it stood in stage 10, and no mark of its own.
    let never = between(rung(&page, 11), "<div class=\"lane\">", "<details>");
    assert!(never.contains("href=\"#e-gap\" x=\"34.00%\"") && !never.contains("#e-light-1"), "{never}");
    assert!(never.contains("did not burn"));
    let lane = between(rung(&page, 7), "<div class=\"lane\">", "</div>");
    assert!(lane.contains("class=\"hat\"") && lane.contains("not told") && lane.contains("never seen alone"), "{lane}");
    assert!(!lane.contains("e-light"), "{lane}");
    // The stage of another focal length is a gap on its lighting's rung, in words; four lights with one reason share it.
    let gap = "key, rim, dust-left, dust-right</bdi></b> not told<em>; <bdi>in stage 9: another focal length";
    let lanes = between(some, "<div class=\"lane\">", "<details>");
    assert!(lanes.contains(gap) && lanes.contains("class=\"hat\"") && !lanes.contains("#e-picture"), "{lanes}");
    // By itself the picture as shot keeps its mark.
    let lens = page::render(&met_again(), &[]);
    let lens = between(rung(&lens, 9), "<div class=\"lane\">", "<details>");
    assert!(lens.contains("key, rim, dust-left, dust-right") && lens.contains("#e-picture"), "{lens}");
    // A picture too dark to tell the ambient: an upper end in words, hatched, no mark.
    let dark = between(&page[page.find("id=\"stage-12\"").unwrap()..], "<div class=\"lane\">", "<details>");
    assert!(dark.contains("at least 5 stops under mid-grey") && !dark.contains("#e-floor"), "{dark}");
}

#[test]
fn the_account_enters_settings_then_lights_and_its_entries_add_up() {
    let page = page::render(&named("lit-evening"), &[]);
    let account = between(rung(&page, 6), "<table class=\"ac told\">", "</table>");
    let order = [
        "Brought forward, stage 5",
        "Settings unchanged",
        "Light: ",
        "dust-left on",
        "Beyond both",
        "Stands at, stage 6",
    ];
    let places: Vec<usize> =
        order.iter().map(|words| account.find(words).unwrap_or_else(|| panic!("{words}"))).collect();
    assert!(places.is_sorted(), "{places:?}");
    // Levels by hand: 2^-3.4 + 2^-4.6 + 2^-5.7 is −2.69, with 2^-2.5 −1.59 (the ambient fallen to −6.1 takes 0.03).
    assert!(
        account.contains(">−2.7</a>") && account.contains(">1.1</a>") && account.contains(">−1.6</a>"),
        "{account}"
    );
    let beyond = between(account, "Beyond both", "</tr>");
    assert!(beyond.contains(">0.0</a>"), "the picture is the sum of its lights: {beyond}");
    assert!(beyond.contains("Unchanged: <bdi>key, rim and ambient</bdi>"), "{beyond}");
    // Where a light is not told there is no such account, and the reason is said.
    let open = rung(&page, 8);
    assert!(!open.contains("ac told"));
    assert!(open.contains("not told: <bdi>rim in DSC_0431.JPG: never seen alone since the dancer came in</bdi>"));
    assert!(open.contains("another lens or focal length shows another part of the scene"));
    // Every stage of the rung has its account, against the one before it.
    for words in ["from stage 7 to stage 8", "from stage 8 to stage 9", "from stage 9 to stage 10"] {
        assert!(open.contains(words), "{words}");
    }
}

#[test]
fn every_light_has_its_picture_once_and_each_lighting_its_sums_where_it_is_met_first() {
    let report = named("lit-evening");
    let page = page::render(&report, &[]);
    // One lighting has no light on: its sum would be the ambient once more.
    assert_eq!(page.matches("<image id=\"lit-").count(), report.light_pictures.len() - 1, "bytes are written once");
    for index in
        (0..report.light_pictures.len()).filter(|index| Some(*index) != report.lightings[0].detail.whole_picture)
    {
        assert!(page.contains(&format!("<use href=\"#lit-{index}\">")), "picture {index} is nowhere shown");
    }
    assert!(rung(&page, 8).contains("with all but one of its lights"));
    let again = page::render(&met_again(), &[]);
    assert!(!rung(&again, 10).contains("with all but one"));
    assert!(rung(&again, 10).contains("see <a class=\"go\" href=\"#lighting-7\">"));
    assert!(page.contains("aria-label=\"Rim alone; 30\u{a0}% of it hatched, not known\""));
    // Too many for the page: as many as fit, and the rest is said to be left out.
    let mut heavy = report.clone();
    let large = Picture { width: 192, height: 128, jpeg: vec![0x5a; 300_000].into() };
    heavy.light_pictures.iter_mut().for_each(|lit| lit.picture = large.clone());
    let page = page::render(&heavy, &[]);
    assert!(page.len() < 6_000_000 && page.matches("<image id=\"lit-").count() == 3, "{}", page.len());
    assert!(page.contains("left out to keep the page small"));
}

#[test]
fn the_almanac_has_a_column_of_lights_and_each_rung_names_its_lighting() {
    let page = page::render(&named("lit-evening"), &[]);
    let almanac = between(&page, "<table class=\"alm\">", "</table>");
    assert!(almanac.contains("<th scope=\"col\">lights</th>"));
    for words in ["none on", "key and rim on", "dust-right on, rim not told", "rim missed in 2\u{a0}shots"] {
        assert!(almanac.contains(words), "{words}");
    }
    assert!(rung(&page, 8).contains("id=\"lighting-7\"><bdi>Key 1/8; rim 1/8"));
    // Met again later, a lighting has another rung of its number, which says so; its anchor stays on the first.
    let again = page::render(&met_again(), &[]);
    assert!(rung(&again, 10).contains("As in <a class=\"go\" href=\"#lighting-7\">lighting\u{a0}7</a>: <bdi>Key 1/8"));
    assert_eq!((again.matches("Lighting </span>7</span>").count(), again.matches("id=\"lighting-7\"").count()), (2, 1));
    let plain = page::render(&named("evening"), &[]);
    assert!(!plain.contains("<th scope=\"col\">lights</th>") && !plain.contains("<b>Lighting"));
}

#[test]
fn keepers_are_tallied_on_their_rung_in_the_almanac_and_in_words() {
    let page = page::render(&named("kept-evening"), &[]);
    let some = rung(&page, 8);
    // Shots in series of two: six pixels of space after every second block, a stroke beneath eight of them, one low.
    let beam = between(some, "<svg class=\"beam\"", "</svg>");
    assert_eq!(beam.matches("class=\"kp\"").count(), 8);
    assert!(beam.contains("d=\"M31 5.5h12v4h-12z"), "the short key makes a low block: {beam}");
    for x in [0, 13, 44, 62, 75] {
        assert!(beam.contains(&format!("d=\"M{x} 1h12")), "no block at {x}: {beam}");
    }
    assert!(some.contains("aria-label=\"22\u{a0}shots in 12\u{a0}series, 8\u{a0}keepers, 2 with a misfire, 1 with a weak light, 2\u{a0}lens changes\""));
    let tally = between(some, "<p class=\"kp\">", "</p>");
    assert_eq!(
        (tally.matches("l-.6").count(), tally.matches("l21.6").count()),
        (7, 1),
        "four and one across, and three"
    );
    assert!(tally.contains("8\u{a0}keepers in 7 of 12\u{a0}series</a>"), "{tally}");
    assert!(rung(&page, 6).contains("1\u{a0}keeper of 4\u{a0}series</a>"));
    assert!(rung(&page, 5).contains("no keeper of 3\u{a0}series</a>"));
    assert!(rung(&page, 11).contains("no keeper; no series was a candidate</a>"));
    assert!(some.contains("6 of 7: 86\u{a0}% (49 to 97\u{a0}%)"), "6/7 is 0.857, by Wilson 0.487 to 0.974 (derived)");
    let almanac = between(&page, "<table class=\"alm\">", "</table>");
    assert!(almanac.contains("<th scope=\"col\">keepers</th>"));
    assert_eq!(almanac.matches("class=\"tally\"").count(), 2, "lightings 5 and 7");
    let opening = between(&page, "<div class=\"open\">", "</div>");
    assert!(
        opening.contains("Lighting 7 gave 8 of the 9 keepers") && opening.contains("difference of 20 to 76 points")
    );
    let section = between(&page, "id=\"h-keepers\"", "</section>");
    for words in
        ["8 of 28", "href=\"#lighting-7\"", "left out: 2 shots of tests", "no candidate", "all shots but tests"]
    {
        assert!(section.to_lowercase().contains(&words.to_lowercase()), "{words}: {section}");
    }
    assert!(page.contains("<b>Candidates</b>"), "the rule is in the legend");
}

#[test]
fn without_keepers_nothing_of_them_is_shown() {
    for name in ["evening", "lit-evening", "long-night", "many-lights", "no-frames"] {
        let page = page::render(&named(name), &[]);
        let body = between(&page, "<body>", "<script>");
        assert!(!body.contains("keeper") && !body.contains("class=\"tally\"") && !body.contains("Candidate"), "{name}");
    }
}

#[test]
fn many_keepers_are_tallied_in_rows_and_more_than_can_be_read_only_counted() {
    let mut report = named("kept-night");
    let page = page::render(&report, &[]);
    let some = between(rung(&page, 21), "<p class=\"kp\">", "</p>");
    assert_eq!((some.matches("l-.6").count(), some.matches("l21.6").count()), (48, 12));
    assert!(some.contains("60\u{a0}keepers of 94\u{a0}series"), "{some}");
    assert!(page.contains("the lights are not told apart"));
    report.stages[20].keepers = Some(101);
    let page = page::render(&report, &[]);
    let some = between(rung(&page, 21), "<p class=\"kp\">", "</p>");
    assert!(!some.contains("class=\"tally\"") && some.contains("101\u{a0}keepers in 60 of 94\u{a0}series"), "{some}");
}

/// The text of a note that a link leads to.
fn trace<'a>(page: &'a str, link: &str) -> &'a str {
    let id = between(link, "aria-describedby=\"", "\"").split(' ').next().unwrap();
    let note = between(page, &format!(" id=\"{id}\""), "</li>");
    note.split_once('>').unwrap().1
}

#[test]
fn shots_stand_by_series_and_each_says_its_standing_with_its_reason_behind_it() {
    let mut report = named("kept-evening");
    report.findings.push(FindingRow { code: "short-flash".to_owned(), ..FindingRow::default() });
    let page = page::render(&report, &[]);
    let shots = between(rung(&page, 8), "Shots in order", "</details>");
    // Thirteen shots in series of two: seven headings, the last of one shot; then three series of five shots, two of four.
    let headings: Vec<&str> = shots.split("<h5>").skip(1).map(|part| part.split("</h5>").next().unwrap()).collect();
    assert_eq!(headings.len(), 12, "{headings:?}");
    assert!(headings[..6].iter().all(|heading| heading.ends_with(", 2\u{a0}shots")), "{headings:?}");
    assert!(
        headings[6].starts_with("stage 8, series ")
            && headings[11].starts_with("stage 10, ")
            && headings[6].ends_with(", 1\u{a0}shot"),
        "{headings:?}"
    );
    assert_eq!(shots.matches("<li>").count(), 22);
    assert_eq!(shots.matches("series ").count(), 12, "the heading says it, the shots do not");
    let blocks: Vec<&str> = shots.split("<li>").skip(1).collect();
    // Each remark is a link to a note that names the shot, the remark and the figure behind it.
    assert!(blocks[2].contains("<bdi>key short</bdi></a>"), "{}", blocks[2]);
    let note = trace(&page, &blocks[2][blocks[2].find("class=\"sd\"").unwrap()..]);
    assert_eq!(
        note,
        "DSC_0434.JPG, key short: weaker by 0.6 stop than usual at this setting, 0.9 s after it last burned."
    );
    assert!(
        blocks[6].contains("softest of its series</bdi></a>")
            && blocks[12].contains("sharpest of its series</bdi></a>")
    );
    // What the block says already is not said again: the misfire, the clipped share with its channels as its trace.
    for block in &blocks[11..13] {
        assert_eq!((block.matches("misfire").count(), block.matches("misfire of").count()), (1, 0), "{block}");
    }
    assert!(!blocks[5].contains("red clipped") && !blocks[5].contains("green clipped"), "{}", blocks[5]);
    let note = trace(&page, &blocks[5][blocks[5].find("highlights").unwrap()..]);
    assert!(
        note.ends_with("By channel, of DSC_0437.JPG: red 2.4 % of all pixels, green 3.1 % of all pixels."),
        "{note}"
    );
    assert!(!page.contains("nothing to remark"));
    // A reason with a figure below nothing has a true minus.
    let veiled = between(rung(&page, 8), "Shots in order", "</details>");
    assert!(veiled.contains("<bdi>veil</bdi></a>") && veiled.contains("<bdi>dark band at the bottom</bdi></a>"));
    assert!(page.contains("dark band at the bottom: 12 % of the picture, −2.1 stops against slower shots"));
    for word in ["Standing", "Series", "Veil", "Band", "Recycle"] {
        assert!(page.contains(&format!("<b>{word}</b>")), "the legend explains {word}");
    }
    let plain = page::render(&named("evening"), &[]);
    assert!(!plain.contains("<h5>") && !plain.contains("<b>Veil</b>") && !plain.contains("<b>Standing</b>"));
}

#[test]
fn a_standing_of_another_shot_is_not_told_of_this_one() {
    let mut report = named("kept-evening");
    report.culling.rotate_left(1);
    let page = page::render(&report, &[]);
    assert!(!page.contains("<bdi>key short</bdi>") && page.contains("misfire, rim did not burn"));
}

#[test]
fn a_long_almanac_says_that_it_goes_on_and_a_short_one_is_whole() {
    let night = page::render(&named("long-night"), &[]);
    assert!(
        night.contains("class=\"almw long\"")
            && night.contains("The table goes on to stage\u{a0}44: scroll within it.")
    );
    let mut report = named("long-night");
    report.stages.truncate(24);
    let whole = page::render(&report, &[]);
    assert!(!whole.contains("class=\"almw long\"") && !whole.contains("The table goes on"));
    let almanac = between(&whole, "<table class=\"alm\">", "</table>");
    assert!(almanac.contains("<td class=\"le nw\"><bdi>50\u{a0}mm</bdi>"), "{almanac}");
    assert!(almanac.contains(
        "<span class=\"nw\">f/2.8,</span> <span class=\"nw\">1/200,</span> <span class=\"nw\">ISO 100</span>"
    ));
}

#[test]
fn one_shot_is_said_and_not_a_time_of_nothing() {
    let mut report = named("kept-evening");
    (report.lightings[7].frames, report.lightings[7].seconds) = (1, Some(0.0));
    let page = page::render(&report, &[]);
    let section = between(&page, "id=\"h-keepers\"", "</section>");
    assert_eq!(section.matches(">one shot<").count(), 1, "{section}");
    assert!(!section.contains("0.0\u{a0}s"));
}

#[test]
fn a_shoot_of_many_lightings_is_drawn_small_and_its_blocks_wrap() {
    let page = page::render(&support::lit::lit_night(600), &[]);
    assert_eq!(page.matches("<li class=\"rung\"").count(), 44);
    assert!(page.contains("<ol class=\"lad small\">") && page.contains("The table goes on to lighting\u{a0}44"));
    // More than 24 blocks begin another row; more than 240 are counted in words.
    let wide = page::render(&named("long-night"), &[]);
    let beam = between(rung(&wide, 21), "<svg class=\"beam\"", "</svg>");
    let blocks = beam.split("class=\"bl\" d=\"M").skip(1);
    let rows: BTreeSet<&str> = blocks.map(|d| d.split('h').next().unwrap().split(' ').nth(1).unwrap()).collect();
    assert_eq!((beam.matches("class=\"bl\"").count(), rows.len()), (240, 10));
    assert!(rung(&wide, 21).contains("and 40\u{a0}more shots"));
}
