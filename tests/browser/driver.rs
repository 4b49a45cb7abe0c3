//! A browser driven by the WebDriver protocol (W3C WebDriver Level 2) through Chromium's own driver.

use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use std::{env, fs};

use base64::{Engine as _, engine::general_purpose::STANDARD};
use serde_json::{Value, json};

/// Sheets people print on: ISO 216, and ANSI/ASME Y14.1 size A.
#[derive(Clone, Copy, Debug)]
pub enum Paper {
    A4,
    Letter,
}

/// A session of one browser; ends with it.
pub struct Browser {
    agent: ureq::Agent,
    driver: Child,
    session: String,
    _profile: tempfile::TempDir,
}

/// Finds a program on the search path.
fn find(names: &[&str]) -> Option<PathBuf> {
    let folders: Vec<PathBuf> = env::split_paths(&env::var_os("PATH")?).collect();
    names.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name))).find(|file| file.is_file())
}

impl Browser {
    /// Starts a browser; None where there is none and `REQUIRE_BROWSER` is not 1.
    pub fn start() -> Option<Self> {
        let found = find(&["chromium", "chromium-browser", "google-chrome"]).zip(find(&["chromedriver"]));
        let Some((browser, driver)) = found else {
            assert!(
                env::var("REQUIRE_BROWSER").as_deref() != Ok("1"),
                "REQUIRE_BROWSER=1, but no chromium with chromedriver was found"
            );
            eprintln!("not run: no chromium with chromedriver was found");
            return None;
        };
        let mut driver =
            Command::new(driver).arg("--port=0").stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let port = port_of(&mut driver);
        let agent = ureq::Agent::new_with_config(
            ureq::Agent::config_builder()
                .proxy(None)
                .timeout_global(Some(Duration::from_secs(120)))
                .http_status_as_error(false)
                .build(),
        );
        let profile = tempfile::tempdir().unwrap();
        let arguments = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--hide-scrollbars",
            &format!("--user-data-dir={}", profile.path().display()),
        ];
        let mut browser_session =
            Self { agent, driver, session: format!("http://127.0.0.1:{port}/session"), _profile: profile };
        let answer = browser_session.post(
            "",
            &json!({ "capabilities": { "alwaysMatch": {
                "goog:chromeOptions": { "binary": browser, "args": arguments },
                "goog:loggingPrefs": { "browser": "ALL", "performance": "ALL" },
            } } }),
        );
        let id = answer["sessionId"].as_str().unwrap_or_else(|| panic!("no session: {answer}"));
        browser_session.session = format!("{}/{id}", browser_session.session);
        Some(browser_session)
    }

    fn post(&self, path: &str, body: &Value) -> Value {
        let mut response = self.agent.post(format!("{}{path}", self.session)).send(body.to_string()).unwrap();
        let answer: Value =
            serde_json::from_str(&response.body_mut().with_config().limit(64 << 20).read_to_string().unwrap()).unwrap();
        assert!(answer["value"]["error"].is_null(), "{path}: {}", answer["value"]);
        answer["value"].clone()
    }

    /// Opens a file from the disk.
    pub fn open(&self, file: &Path) {
        let file = fs::canonicalize(file).unwrap();
        self.post("/url", &json!({ "url": format!("file://{}", file.display()) }));
    }

    /// Runs a script's body in the page and gives what it returns.
    pub fn run(&self, script: &str) -> Value {
        self.post("/execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// Runs a script's body that is told one word.
    pub fn run_with(&self, script: &str, word: &str) -> Value {
        self.post("/execute/sync", &json!({ "script": script, "args": [word] }))
    }

    /// Runs a script's body that calls its last argument when it is done.
    pub fn run_async(&self, script: &str) -> Value {
        self.post("/timeouts", &json!({ "script": 100_000 }));
        self.post("/execute/async", &json!({ "script": script, "args": [] }))
    }

    /// A command of the browser's own protocol.
    pub fn command(&self, name: &str, parameters: &Value) -> Value {
        self.post("/goog/cdp/execute", &json!({ "cmd": name, "params": parameters }))
    }

    /// Width of the viewport in CSS pixels.
    pub fn width(&self, width: u32) {
        let parameters = json!({ "width": width, "height": 900, "deviceScaleFactor": 1, "mobile": false });
        self.command("Emulation.setDeviceMetricsOverride", &parameters);
    }

    /// What the reader asks for: `prefers-color-scheme` and the like; an empty medium is the screen.
    pub fn media(&self, medium: &str, feature: &str, value: &str) {
        let features = json!([{ "name": feature, "value": value }]);
        self.command("Emulation.setEmulatedMedia", &json!({ "media": medium, "features": features }));
    }

    /// Presses a key so many times.
    pub fn press(&self, key: &str, times: usize) {
        let stroke = [json!({ "type": "keyDown", "value": key }), json!({ "type": "keyUp", "value": key })];
        let strokes: Vec<&Value> = std::iter::repeat_n(&stroke, times).flatten().collect();
        self.post("/actions", &json!({ "actions": [{ "type": "key", "id": "keys", "actions": strokes }] }));
    }

    /// The page on paper, as PDF bytes.
    pub fn print(&self, paper: Paper) -> Vec<u8> {
        let (width, height) = match paper {
            Paper::A4 => (21.0, 29.7),
            Paper::Letter => (21.59, 27.94),
        };
        let page = json!({ "width": width, "height": height });
        let answer = self.post("/print", &json!({ "background": true, "page": page, "shrinkToFit": false }));
        STANDARD.decode(answer.as_str().unwrap()).unwrap()
    }

    /// What the window shows, as PNG bytes.
    pub fn picture(&self) -> Vec<u8> {
        let answer = self.command("Page.captureScreenshot", &json!({ "format": "png" }));
        STANDARD.decode(answer["data"].as_str().unwrap()).unwrap()
    }

    /// What the console holds since last asked, messages of level SEVERE only: errors and refusals by the security policy.
    pub fn errors(&self) -> Vec<String> {
        let entries = self.post("/se/log", &json!({ "type": "browser" }));
        let severe = entries.as_array().unwrap().iter().filter(|entry| entry["level"] == "SEVERE");
        severe.map(|entry| entry["message"].to_string()).collect()
    }

    /// Addresses asked for since last asked.
    pub fn requests(&self) -> Vec<String> {
        let entries = self.post("/se/log", &json!({ "type": "performance" }));
        let messages =
            entries.as_array().unwrap().iter().map(|entry| {
                serde_json::from_str::<Value>(entry["message"].as_str().unwrap()).unwrap()["message"].clone()
            });
        let asked = messages.filter(|message| message["method"] == "Network.requestWillBeSent");
        let urls = asked.map(|message| message["params"]["request"]["url"].as_str().unwrap().to_owned());
        // The browser's own first window asks for its own parts.
        urls.filter(|url| !url.starts_with("chrome://")).collect()
    }
}

fn port_of(driver: &mut Child) -> u16 {
    let lines = BufReader::new(driver.stdout.take().unwrap()).lines();
    let mut said = Vec::new();
    for line in lines.map_while(Result::ok) {
        if let Some(port) =
            line.split("successfully on port ").nth(1).and_then(|rest| rest.trim_end_matches('.').parse().ok())
        {
            return port;
        }
        said.push(line);
    }
    panic!("the driver gave no port: {said:?}");
}

impl Drop for Browser {
    fn drop(&mut self) {
        // Ends the browser first, then the driver this session started; whatever fails here has no bearing on a test.
        let _ = self.agent.delete(&self.session).call();
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}
