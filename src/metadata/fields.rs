//! One way to ask for a field: by number, the Exif directory before directory 0, with absent, blank and malformed apart.

use exif::{Context, Exif, In, Reader, Tag, Value};

use super::block::Block;
use super::tags;
use super::text::{Text, clean};

/// The reader's complaint about a directory linked behind the Exif directory. Nothing is lost by it: some writers leave
/// the link out, and the values that follow are taken for one.
const LINK_BEHIND_EXIF: &str = "unexpected next IFD";

/// A fraction as it stands in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fraction {
    /// Numerator.
    pub(super) num: i64,
    /// Denominator, possibly 0.
    pub(super) den: i64,
}

impl Fraction {
    /// The value; None over zero.
    pub(super) fn value(self) -> Option<f64> {
        // Both come from 32 bits: exact in a double.
        (self.den != 0).then(|| self.num as f64 / self.den as f64)
    }
}

impl std::fmt::Display for Fraction {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}/{}", self.num, self.den)
    }
}

/// What was found where a field could be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Found<T> {
    /// No such field.
    Absent,
    /// A field that holds nothing: blanks, NULs, no values.
    Blank,
    /// A field of another type than its kind of value can have; the words say what.
    Malformed(String),
    /// A value.
    Value(T),
}

impl<T> Found<T> {
    /// The value, where there is one.
    pub(super) fn value(self) -> Option<T> {
        match self {
            Self::Value(value) => Some(value),
            Self::Absent | Self::Blank | Self::Malformed(_) => None,
        }
    }
}

/// The fields of a file's EXIF blocks.
#[derive(Default)]
pub(super) struct Fields {
    blocks: Vec<Exif>,
}

impl Fields {
    /// Reads blocks as far as they can be read; the words say what could not.
    pub(super) fn read(blocks: Vec<Block>) -> (Self, Vec<String>) {
        let mut damage = Vec::new();
        let mut read = Vec::new();
        for block in blocks {
            let given_up = block.bytes.is_empty() && !block.left_out.is_empty();
            damage.extend(block.left_out);
            if given_up {
                continue;
            }
            let result = Reader::new().continue_on_error(true).read_raw(block.bytes).or_else(|error| {
                error.distill_partial_result(|errors| {
                    damage.extend(errors.iter().map(in_words).filter(|words| words != LINK_BEHIND_EXIF));
                })
            });
            match result {
                Ok(exif) => read.push(exif),
                Err(error) => damage.push(in_words(&error)),
            }
        }
        // Keeps the order in which the defects were met.
        let mut told: Vec<String> = Vec::new();
        for words in damage {
            if !told.contains(&words) {
                told.push(words);
            }
        }
        (Self { blocks: read }, told)
    }

    /// A field's values; CR3 and TIFF/EP raws keep Exif fields in a directory the reader takes for directory 0.
    fn values(&self, tag: u16) -> Option<&Value> {
        self.blocks
            .iter()
            .flat_map(|exif| {
                [Context::Exif, Context::Tiff].map(|context| exif.get_field(Tag(context, tag), In::PRIMARY))
            })
            .flatten()
            .map(|field| &field.value)
            .next()
    }

    /// A whole number, the first where there are several.
    pub(super) fn uint(&self, tag: u16) -> Found<u32> {
        let Some(value) = self.values(tag) else {
            return Found::Absent;
        };
        match value.get_uint(0) {
            Some(number) => Found::Value(number),
            None if is_empty(value) => Found::Blank,
            None => malformed(tag, value, "a whole number"),
        }
    }

    /// Fractions; a whole number stands for itself over 1.
    pub(super) fn fractions(&self, tag: u16) -> Found<Vec<Fraction>> {
        let Some(value) = self.values(tag) else {
            return Found::Absent;
        };
        let fractions: Vec<Fraction> = match value {
            Value::Rational(all) => {
                all.iter().map(|one| Fraction { num: one.num.into(), den: one.denom.into() }).collect()
            }
            Value::SRational(all) => {
                all.iter().map(|one| Fraction { num: one.num.into(), den: one.denom.into() }).collect()
            }
            Value::Short(all) => all.iter().map(|&one| Fraction { num: one.into(), den: 1 }).collect(),
            Value::Long(all) => all.iter().map(|&one| Fraction { num: one.into(), den: 1 }).collect(),
            _ if is_empty(value) => return Found::Blank,
            _ => return malformed(tag, value, "a fraction"),
        };
        if fractions.is_empty() { Found::Blank } else { Found::Value(fractions) }
    }

    /// The first fraction.
    pub(super) fn fraction(&self, tag: u16) -> Found<Fraction> {
        match self.fractions(tag) {
            Found::Value(all) => all.first().copied().map_or(Found::Blank, Found::Value),
            Found::Absent => Found::Absent,
            Found::Blank => Found::Blank,
            Found::Malformed(words) => Found::Malformed(words),
        }
    }

    /// The bytes of a text up to its first NUL, as they stand in the file. Bytes after a NUL belong to another text or
    /// to nothing, but a text cannot begin with one and go on.
    fn text_bytes(&self, tag: u16) -> Found<&[u8]> {
        let Some(value) = self.values(tag) else {
            return Found::Absent;
        };
        let bytes: &[u8] = match value {
            Value::Ascii(parts) => parts.first().map(Vec::as_slice).unwrap_or_default(),
            // Some writers give text the type of raw bytes.
            Value::Byte(bytes) | Value::Undefined(bytes, _) => {
                bytes.split(|&byte| byte == 0).next().unwrap_or_default()
            }
            _ if is_empty(value) => return Found::Blank,
            _ => return malformed(tag, value, "text"),
        };
        let goes_on = match value {
            Value::Ascii(parts) => parts.iter().skip(1).any(|part| !part.is_empty()),
            Value::Byte(all) | Value::Undefined(all, _) => all.iter().any(|&byte| byte != 0),
            _ => false,
        };
        if bytes.is_empty() && goes_on {
            return Found::Malformed(format!("{} begins with a NUL", tags::name(tag)));
        }
        Found::Value(bytes)
    }

    /// A text, cleaned.
    pub(super) fn text(&self, tag: u16) -> Found<Text> {
        match self.text_bytes(tag) {
            Found::Value(bytes) => {
                let cleaned = clean(bytes);
                if cleaned.text.is_empty() { Found::Blank } else { Found::Value(cleaned) }
            }
            Found::Absent => Found::Absent,
            Found::Blank => Found::Blank,
            Found::Malformed(words) => Found::Malformed(words),
        }
    }
}

/// The reader's own words begin with a capital; ours go on after a colon.
fn in_words(error: &exif::Error) -> String {
    let words = error.to_string();
    let mut rest = words.chars();
    rest.next().map(|first| first.to_lowercase().chain(rest).collect()).unwrap_or_default()
}

fn malformed<T>(tag: u16, value: &Value, wanted: &str) -> Found<T> {
    let found = match value {
        Value::Ascii(_) => "text",
        Value::Float(_) | Value::Double(_) => "a floating-point number",
        Value::Rational(_) | Value::SRational(_) => "a fraction",
        Value::Undefined(..) => "bytes without a type",
        Value::Unknown(..) => "an unknown type",
        Value::Byte(_) | Value::Short(_) | Value::Long(_) => "a whole number",
        Value::SByte(_) | Value::SShort(_) | Value::SLong(_) => "a signed number",
    };
    Found::Malformed(format!("{} is {found}, not {wanted}", tags::name(tag)))
}

/// Whether a field holds no values at all.
fn is_empty(value: &Value) -> bool {
    match value {
        Value::Ascii(parts) => parts.iter().all(|part| part.iter().all(|&byte| byte == b' ')),
        Value::Byte(all) | Value::Undefined(all, _) => all.is_empty(),
        Value::SByte(all) => all.is_empty(),
        Value::Short(all) => all.is_empty(),
        Value::SShort(all) => all.is_empty(),
        Value::Long(all) => all.is_empty(),
        Value::SLong(all) => all.is_empty(),
        Value::Rational(all) => all.is_empty(),
        Value::SRational(all) => all.is_empty(),
        Value::Float(all) => all.is_empty(),
        Value::Double(all) => all.is_empty(),
        Value::Unknown(..) => false,
    }
}
