//! A newcomer's first five minutes with the page, step by step, each screen held against its reviewed reference.
//!
//! Which question each screen answers within ten seconds stands in `tests/browser/screens/README.md`.

use std::fs;
use std::time::Duration;

use serde_json::{Value, json};
use stoptally::report::{FindingRow, NotKnown, Report, page};

use crate::driver::{Browser, Paper};
use crate::screens::{agrees, misses};
use crate::support::kept::kept_evening;

/// The evening in the tram shed with all that a first screen has to say.
fn evening() -> Report {
    let mut report = kept_evening();
    let frame = |report: &Report, place: usize| report.frames[place].frame.clone();
    let first = report.stages[7].detail.first_index;
    let found = [
        (
            "misfire",
            "rim",
            first + 11,
            "rim did not burn",
            "check the rim’s trigger and cells",
            "it burned in the eleven shots before; 7 s had passed since the last",
        ),
        (
            "short-flash",
            "key",
            first + 2,
            "key short after a gap of 0.9 s",
            "wait 2 s, or use less power",
            "0.6 stop under the median of its run",
        ),
    ];
    for (code, light, place, finding, remedy, evidence) in found {
        report.findings.push(FindingRow {
            frame: frame(&report, place),
            stage: Some(8),
            light: light.to_owned(),
            code: code.to_owned(),
            finding: finding.to_owned(),
            evidence: evidence.to_owned(),
            certainty: "quite certain".to_owned(),
            remedy: remedy.to_owned(),
        });
    }
    report.not_known.push(NotKnown {
        what: "what fell on the subject".to_owned(),
        why: "no subject is marked".to_owned(),
        remedy: "add one subject line to the notes and run again".to_owned(),
    });
    report
}

struct Reader {
    browser: Browser,
    _folder: tempfile::TempDir,
}

impl Reader {
    fn open() -> Option<Self> {
        let browser = Browser::start()?;
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("report.html");
        fs::write(&file, page::render(&evening(), &[])).unwrap();
        browser.media("", "prefers-color-scheme", "light");
        browser.open(&file);
        browser.run("document.documentElement.style.scrollBehavior = 'auto'");
        Some(Self { browser, _folder: folder })
    }

    /// Waits until a script says true: pictures decode and folds open with the browser's next frames.
    fn until(&self, what: &str, script: &str) {
        for _ in 0..50 {
            if self.browser.run(script) == true {
                return;
            }
            std::thread::sleep(Duration::from_millis(100));
        }
        panic!("never came: {what}");
    }

    fn sees(&self, screen: &str) {
        self.until(
            "the pictures in sight",
            "return [...document.images].filter(i => i.checkVisibility()).filter(i => { const b = i.getBoundingClientRect(); return b.width && b.bottom > 0 && b.top < innerHeight }).every(i => i.complete && i.naturalWidth > 0)",
        );
        // Two frames more, so that what is decoded is painted too.
        self.browser.run_async("const done = arguments[0]; requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 100)))");
        agrees(screen, &self.browser.picture());
    }

    /// The comparison is no formality: without a part of the screen it fails.
    fn would_miss(&self, screen: &str, parts: &[&str]) {
        for part in parts {
            let hide = |how: &str| {
                self.browser.run(&format!(
                    "document.querySelectorAll('{part}').forEach(e => {{ e.style.visibility = '{how}' }})"
                ))
            };
            hide("hidden");
            let picture = self.browser.picture();
            hide("");
            misses(screen, part, &picture);
        }
    }

    fn text(&self, selector: &str) -> String {
        let found = self.browser.run(&format!("return document.querySelector('{selector}').textContent"));
        found.as_str().unwrap().replace('\u{a0}', " ")
    }
}

#[test]
fn a_newcomer_reads_the_first_screen_follows_a_rung_traces_a_figure_and_prints() {
    let Some(reader) = Reader::open() else {
        return;
    };
    let browser = &reader.browser;
    browser.width(1400);
    // The first screen: how many lightings, which gave the keepers, what failed, what is still owed; and nothing to scroll for.
    reader.sees("1-first-screen-1400");
    let said = reader.text("div.open");
    for answer in
        ["nine lightings", "Lighting 7 gave 8 of the 9 keepers", "rim did not burn", "Not known", "To know more"]
    {
        assert!(said.contains(answer) || said.contains(&answer.replace("nine", "9")), "{answer}: {said}");
    }
    let inside = browser.run("return document.querySelector('div.open').getBoundingClientRect().bottom <= innerHeight && document.querySelector('.alm').getBoundingClientRect().bottom <= innerHeight");
    assert_eq!(inside, true, "the opening and the almanac fit the first screen");
    reader.would_miss("1-first-screen-1400", &["div.open", ".alms"]);
    // A link of the almanac leads to its rung.
    browser
        .run("[...document.querySelectorAll('.alm tbody th a')].find(a => a.firstChild.data.trim() === '7').click()");
    reader.until(
        "rung 7 at the top",
        "const t = document.querySelector('#stage-8').getBoundingClientRect().top; return t >= 0 && t < 140",
    );
    reader.sees("2-rung-1400");
    reader.would_miss("2-rung-1400", &[".sc", ".tx", ".fr"]);
    // Opened: stages, account, lights.
    browser.run("document.querySelector('#stage-8 > details > summary').click(); document.querySelector('#stage-8 > details').scrollIntoView()");
    reader.sees("3-opened-1400");
    reader.would_miss("3-opened-1400", &["#stage-8 table.ac", "#stage-8 table.st"]);
    browser.run("document.querySelector('#stage-8 .own').scrollIntoView()");
    reader.sees("4-lights-1400");
    reader.would_miss("4-lights-1400", &["#stage-8 .own svg"]);
    browser.run("document.querySelector('#stage-8 .series').scrollIntoView()");
    reader.sees("5-shots-1400");
    reader.would_miss("5-shots-1400", &["#stage-8 .series"]);
    // A figure is traced: the line at the foot says frames and rule.
    browser.run("document.querySelector('#stage-8').scrollIntoView(); document.querySelector('#stage-8 .lane a.from').focus({ preventScroll: true })");
    let shown = reader.text("#src");
    assert!(shown.contains("Stage 8, key") && shown.contains("log2 of that share"), "{shown}");
    reader.sees("6-traced-1400");
    browser.press("\u{e00c}", 1);
    // What to look at, with remedy and evidence, and back to the rung.
    browser.run(
        "document.querySelector('#stage-8 > details').open = false; document.querySelector('#h-look').scrollIntoView()",
    );
    reader.sees("7-look-1400");
    reader.would_miss("7-look-1400", &[".lk"]);
    browser.run("document.querySelector('.lk a[href=\"#stage-8\"]').click()");
    assert_eq!(browser.run("return location.hash"), "#stage-8");
    // On paper, and by night.
    assert!(browser.print(Paper::A4).starts_with(b"%PDF"));
    browser.media("print", "prefers-color-scheme", "light");
    browser.run("scrollTo(0, 0)");
    reader.sees("8-paper-1400");
    reader.would_miss("8-paper-1400", &[".lad"]);
    browser.media("", "prefers-color-scheme", "dark");
    browser.run("scrollTo(0, 0)");
    reader.sees("9-night-1400");
    assert_eq!(browser.errors(), Vec::<String>::new());
}

#[test]
fn a_newcomer_with_a_phone_sees_the_same() {
    let Some(reader) = Reader::open() else {
        return;
    };
    let browser = &reader.browser;
    browser.width(390);
    reader.sees("1-first-screen-390");
    reader.would_miss("1-first-screen-390", &["div.open"]);
    browser.run("document.querySelector('.alm').scrollIntoView()");
    reader.sees("2-almanac-390");
    browser.run("document.querySelector('.alm a[href=\"#stage-8\"]').click()");
    reader.until(
        "rung 7 at the top",
        "const t = document.querySelector('#stage-8').getBoundingClientRect().top; return t >= 0 && t < 140",
    );
    reader.sees("3-rung-390");
    reader.would_miss("3-rung-390", &["#stage-8 > .sc"]);
    // Touched, a figure shows its trace and the page stays where it is.
    let touched: Value = browser.run("const y = scrollY; document.querySelector('#stage-8 .lane a.from').click(); return [document.getElementById('src').hidden, scrollY === y]");
    assert_eq!(touched, json!([false, true]));
    browser.run("document.querySelector('#stage-8 > details > summary').click(); document.querySelector('#stage-8 table.ac').scrollIntoView()");
    reader.sees("4-account-390");
    reader.would_miss("4-account-390", &["#stage-8 table.ac"]);
}
