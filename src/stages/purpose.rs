//! What a light is for, as its role or its name says.

use crate::light::Light;

/// `background`, `dust`, `key` or `fill`, by the role, else by the name; of several words in that order. None when
/// neither says.
#[must_use]
pub fn purpose(light: &Light) -> Option<&'static str> {
    const WORDS: [(&str, &[&str]); 4] = [
        ("background", &["background", "backdrop"]),
        ("dust", &["dust"]),
        ("key", &["key", "main"]),
        ("fill", &["fill"]),
    ];
    let in_text = |text: &str| {
        let text = text.to_lowercase();
        let said: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).collect();
        WORDS.iter().find(|(_, names)| names.iter().any(|n| said.contains(n))).map(|(purpose, _)| *purpose)
    };
    in_text(&light.role).or_else(|| in_text(&light.name))
}
