//! Ratings: the stars a photographer gave a picture, read from XMP and Exif, and written back into sidecars when asked

pub mod edit;
pub mod packet;
pub mod plan;
pub mod sidecar;
pub mod write;

/// The namespace of `Rating` (ISO 16684-1, clause 8.4).
pub const XMP: &str = "http://ns.adobe.com/xap/1.0/";
/// The namespace of RDF.
pub const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";

/// What one source says of a picture's rating.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Said {
    /// It holds no rating.
    #[default]
    Nothing,
    /// -1 rejected, 0 unrated, above 0 and up to 5 rated (ISO 16684-1, clause 8.4, table 5).
    Rating(f64),
    /// It holds something that is no rating; what, in words.
    Unreadable(String),
}

impl Said {
    /// The rating, where there is one.
    #[must_use]
    pub fn rating(&self) -> Option<f64> {
        match self {
            Self::Rating(rating) => Some(*rating),
            Self::Nothing | Self::Unreadable(_) => None,
        }
    }

    /// Whether a person judged the picture: rated or rejected, not merely unrated.
    #[must_use]
    pub fn judged(&self) -> bool {
        self.rating().is_some_and(|rating| rating != 0.0)
    }
}

/// Where in a picture's file a rating stands. Ordered by whom is believed first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// In its XMP.
    Xmp,
    /// In its Exif `Rating` tag (18246), which no standard names (common practice, no source).
    Exif,
}

impl Place {
    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Xmp => "XMP",
            Self::Exif => "Exif Rating tag",
        }
    }
}

/// A rating inside a picture's own file.
#[derive(Clone, Debug, PartialEq)]
pub struct FileRating {
    /// The file, relative to the shoot.
    pub file: String,
    /// Where in it.
    pub place: Place,
    /// What it says; never [`Said::Nothing`].
    pub said: Said,
}

/// Reads the value of a rating: a Real such as `3`, `3.0` or `+3`. Out of range is not read as the nearest one.
#[must_use]
pub fn value(text: &str) -> Said {
    let typed = text.trim();
    let plain = !typed.is_empty() && typed.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'+' | b'-'));
    match typed.parse::<f64>() {
        Ok(number) if plain && (number == -1.0 || (0.0..=5.0).contains(&number)) => Said::Rating(number + 0.0),
        Ok(_) if plain => Said::Unreadable(format!("{typed} is neither -1 nor between 0 and 5")),
        _ => Said::Unreadable(format!("{:?} is no number", typed.chars().take(40).collect::<String>())),
    }
}

/// A rating as people read it: "3", "2.5", "rejected".
#[must_use]
pub fn in_words(rating: f64) -> String {
    if rating < 0.0 { "rejected".to_owned() } else { rating.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 16684-1, clause 8.4, table 5: -1 or 0 to 5, a Real. The spellings of a Real: common practice, no source.
    #[test]
    fn every_spelling_of_a_real() {
        for (text, rating) in [
            ("3", 3.0),
            ("3.0", 3.0),
            ("+3", 3.0),
            (" 5\n", 5.0),
            ("0", 0.0),
            ("-0", 0.0),
            ("-1", -1.0),
            ("-1.0", -1.0),
            ("2.5", 2.5),
            ("03", 3.0),
        ] {
            assert_eq!(value(text), Said::Rating(rating), "{text:?}");
        }
        for text in ["6", "-2", "-0.5", "5.01", "100"] {
            assert!(matches!(value(text), Said::Unreadable(why) if why.contains("between 0 and 5")), "{text}");
        }
        for text in ["", "many", "3 stars", "3,0", "inf", "NaN", "1e0", "++3", "\u{ff13}"] {
            assert!(matches!(value(text), Said::Unreadable(why) if why.contains("no number")), "{text}");
        }
        assert!(value("-1").judged() && value("1").judged() && !value("0").judged() && !Said::Nothing.judged());
    }
}
