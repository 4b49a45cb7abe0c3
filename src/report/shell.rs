//! What every page of ours has around its content: no network, a policy that names its own style and script, both schemes.

use base64::{Engine as _, engine::general_purpose::STANDARD};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest as _, Sha256};

/// A page before its head and policy.
#[derive(Debug, Default)]
pub struct Shell<'a> {
    /// Its title, as text.
    pub title: String,
    /// Its style, as CSS.
    pub style: &'a str,
    /// Its script; None, and nothing can run in it.
    pub script: Option<&'a str>,
    /// What it calls its maker, where a program has to know the page again.
    pub generator: Option<&'a str>,
    /// Class of its body.
    pub class: Option<&'a str>,
}

impl Shell<'_> {
    /// The whole page around its content.
    #[must_use]
    pub fn around(&self, content: &Markup) -> String {
        let script = self.script.map_or_else(String::new, |script| format!(" script-src '{}';", hash(script)));
        let policy = format!(
            "default-src 'none'; img-src data:; style-src '{}';{script} base-uri 'none'; form-action 'none'",
            hash(self.style)
        );
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta http-equiv="Content-Security-Policy" content=(policy);
                    @if let Some(generator) = self.generator { meta name="generator" content=(generator); }
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    meta name="referrer" content="no-referrer";
                    link rel="icon" href="data:,";
                    title { (self.title) }
                    style { (PreEscaped(self.style)) }
                }
                body class=[self.class] { (content) @if let Some(script) = self.script { script { (PreEscaped(script)) } } }
            }
        };
        page.into_string()
    }
}

/// A source expression of Content Security Policy level 3, section 2.3.1.
fn hash(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text.as_bytes())))
}
