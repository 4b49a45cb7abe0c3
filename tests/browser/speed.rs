//! How fast the page is on a phone-class processor: measured and printed, never asserted, because machines differ.
//!
//! `cargo test --test browser speed -- --ignored --nocapture` throttles Chromium four times (Chrome DevTools Protocol,
//! Emulation.setCPUThrottlingRate). First paint is that of the Paint Timing API; a long task is one of more than 50 ms (Long
//! Tasks API): while it runs the page answers nothing. `KEEP_PAGES=FOLDER` keeps the pages, to be looked at.

use std::path::Path;
use std::{env, fs};

use serde_json::json;
use stoptally::report::page;

use crate::driver::Browser;
use crate::support::lit::lit_night;

/// Waits until the page has loaded and settled, then gives first paint, largest paint, load and long tasks in milliseconds.
const OPENED: &str = "
    const done = arguments[arguments.length - 1];
    const tasks = [];
    new PerformanceObserver(l => tasks.push(...l.getEntries())).observe({ type: 'longtask', buffered: true });
    const paints = [];
    new PerformanceObserver(l => paints.push(...l.getEntries())).observe({ type: 'largest-contentful-paint', buffered: true });
    setTimeout(() => {
      const nav = performance.getEntriesByType('navigation')[0];
      done({ paint: performance.getEntriesByName('first-contentful-paint').map(e => e.startTime)[0],
             largest: paints.map(e => e.startTime).pop(), load: nav.loadEventEnd,
             tasks: tasks.map(t => Math.round(t.duration)),
             decoded: [...document.images].filter(i => i.complete && i.naturalWidth > 0).length, images: document.images.length,
             nodes: document.querySelectorAll('*').length });
    }, 2500);";

/// Scrolls the page from top to foot, a third of a window at every frame, and gives its frames and long tasks.
const SCROLLED: &str = "
    const done = arguments[arguments.length - 1];
    const tasks = [], frames = [];
    new PerformanceObserver(l => tasks.push(...l.getEntries())).observe({ type: 'longtask' });
    document.documentElement.style.scrollBehavior = 'auto';
    scrollTo(0, 0);
    let last = performance.now();
    const step = now => {
      frames.push(now - last); last = now;
      const before = scrollY;
      scrollBy(0, innerHeight / 3);
      if (scrollY > before) requestAnimationFrame(step);
      else setTimeout(() => { frames.sort((a, b) => a - b);
        done({ frames: frames.length, median: frames[frames.length >> 1], p95: frames[Math.floor(frames.length * 0.95)], worst: frames[frames.length - 1],
               longTasks: tasks.length, longest: Math.round(Math.max(0, ...tasks.map(t => t.duration))) }); }, 300);
    };
    requestAnimationFrame(step);";

/// Opens one rung, then all, and gives how long each takes until the next frame is shown.
const UNFOLDED: &str = "
    const done = arguments[arguments.length - 1];
    const shown = then => { const from = performance.now(); requestAnimationFrame(() => requestAnimationFrame(() => then(Math.round(performance.now() - from)))); };
    document.querySelector('.rung:nth-of-type(9) > details').open = true;
    shown(one => { document.getElementById('all').click(); shown(all => done({ one, all })); });";

#[test]
#[ignore = "measures and prints; nothing to pass or fail"]
fn speed_on_a_phone_class_processor() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    for shots in [600, 2000] {
        let written = page::render(&lit_night(shots), &[]);
        let file = folder.path().join("report.html");
        fs::write(&file, &written).unwrap();
        if let Some(kept) = env::var_os("KEEP_PAGES") {
            fs::write(Path::new(&kept).join(format!("{shots}-shots.html")), &written).unwrap();
        }
        println!("{shots} shots: {} bytes", written.len());
        browser.width(390);
        browser.command("Emulation.setCPUThrottlingRate", &json!({ "rate": 4 }));
        for round in 1..=3 {
            browser.open(&file);
            println!("  opened, round {round}: {}", browser.run_async(OPENED));
        }
        println!("  scrolled: {}", browser.run_async(SCROLLED));
        println!("  unfolded: {}", browser.run_async(UNFOLDED));
        println!("  scrolled with every rung open: {}", browser.run_async(SCROLLED));
        // A laptop: the same page unthrottled, and wide.
        browser.command("Emulation.setCPUThrottlingRate", &json!({ "rate": 1 }));
        browser.width(1400);
        browser.open(&file);
        println!("  unthrottled, opened: {}", browser.run_async(OPENED));
        println!("  unthrottled, scrolled: {}", browser.run_async(SCROLLED));
        println!("  unthrottled, unfolded: {}", browser.run_async(UNFOLDED));
        println!("  unthrottled, scrolled with every rung open: {}", browser.run_async(SCROLLED));
    }
}
