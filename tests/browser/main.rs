//! What only a browser can tell of `report.html`: run where chromium and chromedriver are found, or required by `REQUIRE_BROWSER=1`.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod driver;
mod escape;
mod newcomer;
mod paper;
mod screens;
mod speed;

use std::fs;

use driver::Browser;
use serde_json::Value;
use stoptally::report::page;
use support::extremes;
use tempfile::TempDir;

const TAB: &str = "\u{e004}";
const ENTER: &str = "\u{e007}";
const ESCAPE: &str = "\u{e00c}";

/// Writes a sample's page to the disk and opens it.
fn open(browser: &Browser, name: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let (_, report) = extremes::all().into_iter().find(|(known, _)| *known == name).unwrap();
    let file = folder.path().join("report.html");
    fs::write(&file, page::render(&report, &[])).unwrap();
    browser.open(&file);
    folder
}

fn texts(value: &Value) -> Vec<&str> {
    value.as_array().unwrap().iter().map(|text| text.as_str().unwrap()).collect()
}

#[test]
fn every_page_opens_from_the_disk_without_error_or_request_and_fits_its_window() {
    let Some(browser) = Browser::start() else {
        return;
    };
    for (name, _) in extremes::all() {
        browser.requests();
        let _folder = open(&browser, name);
        for width in [390, 700, 1121, 1400, 2000] {
            browser.width(width);
            for open in [false, true] {
                let all = "document.querySelectorAll('details').forEach(d => d.open = ";
                browser.run(&format!("{all}{open})"));
                let wide = browser.run(include_str!("overflow.js"));
                assert!(texts(&wide).is_empty(), "{name} at {width} px, opened {open}: {wide}");
            }
        }
        assert_eq!(browser.errors(), Vec::<String>::new(), "{name}");
        let asked = browser.requests();
        assert!(
            asked.iter().any(|url| url.ends_with("report.html")),
            "{name}: the log of requests is not kept: {asked:?}"
        );
        for url in asked {
            assert!(
                url.starts_with("data:") || (url.starts_with("file:") && url.ends_with("report.html")),
                "{name} asked for {url}"
            );
        }
        assert_ne!(browser.run("return document.title"), "ran", "{name}: a planted script ran");
    }
}

#[test]
fn the_policy_stops_a_script_that_is_not_the_pages_own() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let folder = open(&browser, "evening");
    let file = folder.path().join("report.html");
    let page = fs::read_to_string(&file).unwrap();
    fs::write(
        &file,
        page.replace(
            "<header>",
            "<header><img src=\"x\" onerror=\"document.title='ran'\"><script>document.title='ran'</script>",
        ),
    )
    .unwrap();
    browser.open(&file);
    assert_ne!(browser.run("return document.title"), "ran");
    assert!(
        !browser.errors().is_empty(),
        "a refusal by the policy must show in the console, or the other tests see nothing"
    );
}

#[test]
fn every_rung_is_reached_by_tab_and_opened_by_key() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let _folder = open(&browser, "evening");
    browser.width(1400);
    browser.run("window.seen = []; document.addEventListener('focusin', e => { if (e.target.matches('.rung > details > summary')) seen.push(e.target.closest('.rung').id); });");
    browser.press(TAB, 160);
    let rungs = browser.run("return [...document.querySelectorAll('.rung')].map(r => r.id)");
    let mut seen = browser.run("return seen");
    // The keyboard goes round: the first round is what counts.
    seen.as_array_mut().unwrap().truncate(rungs.as_array().unwrap().len());
    assert_eq!(seen, rungs);
    browser.run("document.querySelector('#stage-3 > details > summary').focus()");
    browser.press(ENTER, 1);
    assert_eq!(browser.run("return document.querySelector('#stage-3 > details').open"), true);
    browser.press(" ", 1);
    assert_eq!(browser.run("return document.querySelector('#stage-3 > details').open"), false);
    let hidden = browser.run(
        "return [...document.querySelectorAll('a[href],button,summary,[tabindex]')].filter(e => e.checkVisibility()).filter(e => { e.focus(); const s = getComputedStyle(e); return document.activeElement !== e || s.outlineStyle === 'none' && !e.matches(':focus-visible'); }).map(e => e.textContent.slice(0, 30))",
    );
    assert!(texts(&hidden).is_empty(), "no visible focus on {hidden}");
}

#[test]
fn text_and_marks_keep_their_contrast_by_day_and_by_night_and_for_every_eye() {
    let Some(browser) = Browser::start() else {
        return;
    };
    for name in ["evening", "off-scale", "all-broken", "lit-evening", "kept-evening"] {
        let _folder = open(&browser, name);
        for scheme in ["light", "dark"] {
            browser.media("", "prefers-color-scheme", scheme);
            browser.run("document.querySelectorAll('details').forEach(d => d.open = true)");
            for width in [390, 1400] {
                browser.width(width);
                for eyes in ["all", "protan", "deutan", "tritan", "grey"] {
                    let result = browser.run_with(include_str!("contrast.js"), eyes);
                    assert!(result["measured"].as_u64().unwrap() > 40, "{name}: too little was measured: {result}");
                    let failures: Vec<&str> = texts(&result["failures"])
                        .into_iter()
                        .filter(|f| name == "evening" || name == "off-scale" || !f.starts_with("no "))
                        .collect();
                    assert!(failures.is_empty(), "{name}, {scheme}, {width} px, {eyes}: {failures:#?}");
                }
            }
        }
        let paper = browser.run("return getComputedStyle(document.documentElement).backgroundColor");
        assert_eq!(paper, "rgb(19, 23, 20)", "the dark scheme was not on");
    }
}

#[test]
fn nothing_is_told_apart_by_colour_alone() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let _folder = open(&browser, "many-lights");
    // Every mark has an outline of its own, whatever its colour.
    let shapes = browser.run("return [...document.querySelectorAll('.defs g[id^=e-]')].map(g => [g.id, g.innerHTML])");
    let mut outlines: Vec<&str> = shapes.as_array().unwrap().iter().map(|s| s[1].as_str().unwrap()).collect();
    assert!(outlines.len() > 18, "{shapes}");
    outlines.sort_unstable();
    // The disc and the ring stand for the whole picture where no lights are told, and for the first lights where they are.
    let all = outlines.len();
    outlines.dedup();
    assert_eq!(outlines.len(), all - 2, "{shapes}");
    // Beside every mark stands its name, so that a copy without any colour says as much.
    let bare = browser.run("return [...document.querySelectorAll('.lane')].filter(l => !l.querySelector('.lb b').textContent.trim()).length");
    assert_eq!(bare, 0);
}

#[test]
fn a_picture_in_a_closed_rung_is_decoded_only_when_the_rung_is_opened() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let _folder = open(&browser, "lit-evening");
    browser.width(1400);
    let decoded = "const all = [...document.querySelectorAll('#stage-8 .shots img')]; return [all.length, all.filter(i => i.complete && i.naturalWidth > 0).length]";
    assert_eq!(browser.run(decoded), serde_json::json!([22, 0]));
    browser.run("document.querySelector('#stage-8 > details').open = true; document.querySelector('#stage-8 .shots').scrollIntoView()");
    let mut found = browser.run(decoded);
    for _ in 0..50 {
        if found[1].as_u64().unwrap() >= 10 {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
        found = browser.run(decoded);
    }
    assert!(found[1].as_u64().unwrap() >= 10, "{found}");
}

#[test]
fn marks_pictures_and_controls_have_names() {
    let Some(browser) = Browser::start() else {
        return;
    };
    for name in ["evening", "off-scale", "no-times", "lit-evening", "many-lights", "kept-evening"] {
        let _folder = open(&browser, name);
        browser.run("document.querySelectorAll('details').forEach(d => d.open = true)");
        // A long ladder draws only the rungs in sight; here all are.
        browser.run("document.querySelectorAll('.rung').forEach(r => { r.style.contentVisibility = 'visible'; })");
        browser.command("Accessibility.enable", &serde_json::json!({}));
        let tree = browser.command("Accessibility.getFullAXTree", &serde_json::json!({}));
        let mut counted = 0;
        for node in tree["nodes"].as_array().unwrap().iter().filter(|node| node["ignored"] == false) {
            let role = node["role"]["value"].as_str().unwrap_or_default();
            if ["image", "img", "link", "button", "region", "DisclosureTriangle"].contains(&role) {
                counted += 1;
                assert!(
                    !node["name"]["value"].as_str().unwrap_or_default().trim().is_empty(),
                    "{name}: a {role} without a name: {node}"
                );
            }
            if role == "link" && node["name"]["value"].as_str().unwrap().contains("stops against mid-grey") {
                let described = node["description"]["value"].as_str().unwrap_or_default();
                assert!(
                    ["log2(Y / 0.18)", "brought from", "log2 of"].iter().any(|rule| described.contains(rule)),
                    "{name}: {node}"
                );
            }
        }
        assert!(counted > 60, "{name}: {counted}");
        let unnamed = browser.run(
            "return [...document.querySelectorAll('.lane .lb')].map(l => l.textContent).filter(t => !/^(as shot|brought|level|ambient|key|rim|dust-left|dust-right|light-[0-9]+)(, .*)? .*([0-9]|not known|not told|did not burn|black)/.test(t))",
        );
        assert!(texts(&unnamed).is_empty(), "{name}: {unnamed}");
    }
}

#[test]
fn the_status_line_tells_where_a_figure_comes_from() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let _folder = open(&browser, "evening");
    browser.width(390);
    let line = "const s = document.getElementById('src'); return s.hidden ? '' : s.textContent";
    assert_eq!(browser.run(line), "");
    browser.run("document.querySelector('#stage-2 .sc a.from').focus()");
    let shown = browser.run(line);
    assert!(shown.as_str().unwrap().contains("DSC_0403.JPG to DSC_0404.JPG"), "{shown}");
    browser.press(ESCAPE, 1);
    assert_eq!(browser.run(line), "");
    browser.run("document.querySelector('#stage-2 h3 a.from').click()");
    let shown = browser.run(line);
    assert!(shown.as_str().unwrap().contains("Stage 2 against stage 1"), "{shown}");
    assert_eq!(browser.run("return location.hash"), "", "with the line shown the link must not jump");
    browser.run("document.querySelector('summary').focus()");
    assert_eq!(browser.run(line), "", "the line goes when the focus does");
    browser.run("const a = document.querySelector('#stage-4 h3 a.from'); a.dispatchEvent(new MouseEvent('mouseover', { bubbles: true }))");
    assert!(browser.run(line).as_str().unwrap().contains("Stage 4"));
    browser.run("const a = document.querySelector('#stage-4 h3 a.from'); a.dispatchEvent(new MouseEvent('mouseout', { bubbles: true }))");
    assert_eq!(browser.run(line), "");
}

#[test]
fn the_page_prints_with_its_notes_and_moves_only_for_those_who_like_it() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let _folder = open(&browser, "evening");
    browser.media("print", "prefers-color-scheme", "light");
    let count = || {
        browser.run(
            "const shown = s => [...document.querySelectorAll(s)].filter(e => e.checkVisibility({ contentVisibilityAuto: true }) && e.getBoundingClientRect().height > 0).length;
             return [shown('.notes li'), shown('.po'), shown('.rung'), shown('.cau p'), shown('#all'), document.querySelectorAll('.notes li:not(.folded)').length]",
        )
    };
    // What was folded away is laid out only with the browser's next frame in the new medium.
    let mut printed = count();
    for _ in 0..50 {
        if printed[0] != 0 {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
        printed = count();
    }
    let number = |place: usize| printed[place].as_u64().unwrap();
    assert!(number(1) > 10 && number(2) == 12 && number(3) > 5 && number(4) == 0, "{printed}");
    assert!(number(0) > 10 && number(0) == number(5), "the notes must be on paper: {printed}");
    for (value, behaviour) in [("reduce", "auto"), ("no-preference", "smooth")] {
        browser.media("", "prefers-reduced-motion", value);
        assert_eq!(browser.run("return getComputedStyle(document.documentElement).scrollBehavior"), behaviour);
    }
    let moving = browser.run("return [...document.querySelectorAll('*')].filter(e => { const s = getComputedStyle(e); return s.animationName !== 'none' || s.transitionDuration !== '0s' }).length");
    assert_eq!(moving, 0);
}

#[test]
fn lights_have_their_marks_their_hatching_and_their_pictures_before_the_readers_eyes() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let _folder = open(&browser, "lit-evening");
    // A smooth scroll still under way would carry on past what is asked for next.
    browser.run("document.documentElement.style.scrollBehavior = 'auto'");
    browser.run("document.querySelectorAll('details').forEach(d => d.open = true)");
    for scheme in ["light", "dark"] {
        browser.media("", "prefers-color-scheme", scheme);
        for width in [390, 1400] {
            browser.width(width);
            // What is drawn in a lane has an extent inside the scale, and a fill that is there.
            let lost = browser.run(
                "const out = [];
                 for (const e of document.querySelectorAll('.lane svg > *')) {
                   const b = e.getBoundingClientRect(), s = e.closest('.sc').getBoundingClientRect();
                   // A stroke counts for nothing in the extent: an upright or level line has one of the two.
                   if ((b.width < 2 && b.height < 2) || b.right < s.left - 1 || b.left > s.right + 1) out.push(e.outerHTML);
                 }
                 return out",
            );
            assert!(texts(&lost).is_empty(), "{scheme}, {width} px: {lost}");
            let hatched = browser.run(
                "const line = getComputedStyle(document.querySelector('#hatch .hl')).stroke, paper = getComputedStyle(document.documentElement).backgroundColor;
                 const hats = [...document.querySelectorAll('#stage-7 .lane .hat, #stage-8 .lane .hat, #stage-12 .lane .hat')];
                 return [hats.length, hats.filter(e => e.getBoundingClientRect().width > 20 && getComputedStyle(e).fill.includes('#hatch')).length, line !== paper, [...document.querySelectorAll('p.why span.hat')].every(e => getComputedStyle(e).backgroundImage.includes('gradient') && e.getBoundingClientRect().width > 10)]",
            );
            assert_eq!(hatched, serde_json::json!([3, 3, true, true]), "{scheme}, {width} px");
        }
    }
    // Pictures of lights are drawn at their own proportions, named, and are not the same for all.
    let pictures = browser.run(
        "return [...document.querySelectorAll('#stage-8 .own svg.pic')].map(p => { const b = p.getBoundingClientRect(), v = p.viewBox.baseVal; return [p.getAttribute('aria-label'), b.width > 100 && Math.abs(b.width / b.height - v.width / v.height) < 0.02, document.querySelector(p.querySelector('use').getAttribute('href')).getBBox().width === v.width]; })",
    );
    let pictures = pictures.as_array().unwrap();
    assert_eq!(pictures.len(), 10, "four lights, the ambient, the whole, and four without one: {pictures:?}");
    assert!(
        pictures.iter().all(|p| p[1] == true && p[2] == true && !p[0].as_str().unwrap().is_empty()),
        "{pictures:?}"
    );
    // The figure of a light tells its frames and its rule.
    browser.run("document.querySelector('#stage-8 .lane a.from').focus()");
    let shown = browser.run("return document.getElementById('src').textContent");
    let shown = shown.as_str().unwrap();
    assert!(
        shown.contains("Stage 8, key")
            && shown.contains("DSC_0432.JPG to DSC_0444.JPG")
            && shown.contains("90 % interval"),
        "{shown}"
    );
    // A link to a stage within a rung opens it and goes there.
    browser.run("document.querySelectorAll('details').forEach(d => d.open = false); document.documentElement.style.scrollBehavior = 'auto'");
    browser.run("location.hash = 'stage-10'");
    let there = "const r = document.querySelector('#stage-10').getBoundingClientRect(); return [document.querySelector('#stage-8 > details').open, r.height > 10 && r.top >= 0 && r.bottom <= innerHeight]";
    let mut found = browser.run(there);
    for _ in 0..100 {
        if found == serde_json::json!([true, true]) {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
        found = browser.run(there);
    }
    assert_eq!(found, serde_json::json!([true, true]));
    // A lighting has an anchor of its own, on the rung where it is met first.
    browser.run("location.hash = 'lighting-5'");
    assert_eq!(browser.run("return document.querySelector(':target').closest('.rung').id"), "stage-6");
}

#[test]
fn tallies_are_seen_by_day_by_night_and_on_paper_and_heard_with_their_words() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let _folder = open(&browser, "kept-evening");
    for (medium, scheme) in [("", "light"), ("", "dark"), ("print", "light")] {
        browser.media(medium, "prefers-color-scheme", scheme);
        // The narrowest paper is A4: 794 px.
        for width in [if medium == "print" { 794 } else { 390 }, 1400] {
            browser.width(width);
            // Each tally lies within the window, has an extent, and its strokes are not the colour of the paper.
            let lost = browser.run(
                "const paper = getComputedStyle(document.documentElement).backgroundColor;
                 return [...document.querySelectorAll('svg.tally path')].filter(p => p.checkVisibility()).filter(p => {
                   const b = p.getBoundingClientRect(), s = getComputedStyle(p);
                   return b.height < (matchMedia('print').matches ? 3.5 : 8) || b.left < 0 || b.right > innerWidth || s.stroke === paper || s.stroke === 'none';
                 }).map(p => p.outerHTML)",
            );
            assert!(texts(&lost).is_empty(), "{medium} {scheme}, {width} px: {lost}");
            // The stroke beneath a kept shot, too: eight on lighting 7.
            let strokes = browser.run(
                "return [...document.querySelectorAll('#stage-8 .beam .kp')].filter(p => p.getBoundingClientRect().height > (matchMedia('print').matches ? 1.5 : 4) && getComputedStyle(p).stroke !== getComputedStyle(document.documentElement).backgroundColor).length",
            );
            assert_eq!(strokes, 8, "{medium} {scheme}, {width} px");
        }
    }
    browser.media("", "prefers-color-scheme", "light");
    browser.command("Accessibility.enable", &serde_json::json!({}));
    let tree = browser.command("Accessibility.getFullAXTree", &serde_json::json!({}));
    let nodes = tree["nodes"].as_array().unwrap();
    let named = |role: &str, name: &str| {
        nodes.iter().any(|node| {
            let said = node["name"]["value"].as_str().unwrap_or_default().replace('\u{a0}', " ");
            node["role"]["value"] == role && said.trim() == name
        })
    };
    assert!(named("link", "8 keepers in 7 of 12 series") && named("link", "1 keeper of 4 series"));
    assert!(named("image", "22 shots in 12 series, 8 keepers, 2 with a misfire, 1 with a weak light, 2 lens changes"));
    // The figure tells its candidates and its rule, and a row of the table leads to its lighting's rung.
    browser.run("document.querySelector('#stage-8 p.kp a.from').focus()");
    let shown = browser.run("return document.getElementById('src').textContent");
    assert!(shown.as_str().unwrap().contains("95 % interval by Wilson"), "{shown}");
    browser.run("document.querySelector('#h-keepers ~ .kts a[href=\"#lighting-7\"]').click()");
    assert_eq!(browser.run("return document.querySelector(':target').closest('.rung').id"), "stage-8");
}

#[test]
fn the_almanac_keeps_figures_with_their_unit_and_shows_that_more_follows() {
    let Some(browser) = Browser::start() else {
        return;
    };
    // How many lines the cells of a column take at most.
    let lines = |cells: &str| {
        browser.run(&format!(
            "return Math.max(...[...document.querySelectorAll('{cells}')].map(e => {{ const r = document.createRange(); r.selectNodeContents(e); return new Set([...r.getClientRects()].filter(b => b.width > 1).map(b => Math.round(b.bottom / 8))).size }}))"
        ))
    };
    for name in ["evening", "two-bodies"] {
        let _folder = open(&browser, name);
        // Findings of many kinds beside them must not squeeze them.
        browser.run("document.querySelectorAll('.alm td.fa').forEach(e => { e.textContent = 'misfire, 3 shots; short flash, 2 shots; settings slip; veil, 4 shots'; })");
        for width in [1121, 1200, 1280, 1400] {
            browser.width(width);
            assert_eq!(lines(".alm td.le"), 1, "{name}, {width} px: a lens");
            assert_eq!(lines(".alm td.se"), 1, "{name}, {width} px: settings");
        }
        browser.width(390);
        assert_eq!(lines(".alm td.se .nw"), 1, "{name}: a setting");
    }
    let _folder = open(&browser, "long-night");
    browser.width(1400);
    let shown = "const a = document.querySelector('.almw'), g = document.querySelector('.goes'); return [a.scrollHeight > a.clientHeight + 40, g.checkVisibility() && g.getBoundingClientRect().height > 10, getComputedStyle(a).backgroundImage.includes('gradient')]";
    assert_eq!(browser.run(shown), serde_json::json!([true, true, true]));
    browser.media("print", "prefers-color-scheme", "light");
    assert_eq!(browser.run(shown), serde_json::json!([false, false, false]), "paper shows all rows");
}

#[test]
fn the_standing_of_a_shot_is_traced_by_pointer_focus_and_touch() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let _folder = open(&browser, "kept-evening");
    browser.run("document.querySelectorAll('details').forEach(d => d.open = true)");
    let line = "const s = document.getElementById('src'); return s.hidden ? '' : s.textContent";
    let link = "const a = [...document.querySelectorAll('#stage-8 .shots p.sd a.from')].find(a => a.textContent === 'key short');";
    for act in ["a.focus()", "a.dispatchEvent(new MouseEvent('mouseover', { bubbles: true }))", "a.click()"] {
        browser.run(&format!("{link} {act}"));
        let shown = browser.run(line);
        assert!(shown.as_str().unwrap().contains("key short: weaker by 0.6 stop than usual"), "{act}: {shown}");
        browser.press(ESCAPE, 1);
        browser.run("document.activeElement.blur()");
        assert_eq!(browser.run(line), "");
    }
    // Series stand side by side, each as wide as its shots, none cut off.
    for width in [390, 1400] {
        browser.width(width);
        let cut = browser.run(
            "return [...document.querySelectorAll('.series > div')].filter(d => { const b = d.getBoundingClientRect(); return b.width < 60 || b.right > innerWidth + 1 || [...d.querySelectorAll('li')].some(l => l.getBoundingClientRect().right > b.right + 1) }).map(d => d.textContent.slice(0, 20))",
        );
        assert!(texts(&cut).is_empty(), "{width} px: {cut}");
    }
}
