//! A power as people type it: `1/8`, `⅛`, `1/8 -0.3`, `half`, `12.5 %`, `off`. What could mean two things means none.
//!
//! Nothing is read as "off" but a word or a lone dash for it: a slip of the finger must not put out a light.

use super::date;

/// Denominators of the full stops of power, 1/1 to 1/1024; a flash has at most these.
const DENOMINATORS: [u32; 11] = [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024];

/// The least power that is believed, in stops against full: 1/1024 and a stop of fine setting below.
const LEAST_STOPS: f64 = -11.0;

/// What a cell says of a light's power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Power {
    /// Set off.
    Off,
    /// Set on, the power not written down.
    On,
    /// Set on at this power, in stops against full: 0 for 1/1.
    Stops(f64),
    /// As it was: a blank cell, or a word for it.
    Same,
    /// The photographer does not know.
    NotKnown,
}

/// A power read, and whether it had to be won back from a date.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What the cell says.
    pub power: Power,
    /// The fraction it stood for, such as "1/8", when a spreadsheet had made a date of it.
    pub from_date: Option<String>,
}

/// Reads one cell. The error is why it is not clear, in words that fit behind the quoted value.
pub fn read(typed: &str) -> Result<Reading, String> {
    let text = plain(typed);
    let clear = |power| Ok(Reading { power, from_date: None });
    if text.is_empty() && !typed.trim().is_empty() {
        return Err("it is no power".to_owned());
    }
    if let Some(power) = word(&text) {
        return clear(power);
    }
    if let Some(stops) = percent(&text) {
        return stops.and_then(in_range).and_then(|s| clear(Power::Stops(s)));
    }
    if let Some(found) = date::read(&text) {
        let n = found?;
        let stops = stops_of(n).ok_or_else(|| format!("it is a date; read as 1/{n} it is no power of a flash"))?;
        return Ok(Reading { power: Power::Stops(stops), from_date: Some(format!("1/{n}")) });
    }
    let (base, rest) = base(&text)?;
    in_range(base + offset(rest)?).and_then(|s| clear(Power::Stops(s)))
}

/// Stops of the power 1/n against full; None where no flash has it.
fn stops_of(n: u32) -> Option<f64> {
    DENOMINATORS.contains(&n).then(|| -f64::from(n.trailing_zeros()))
}

fn in_range(stops: f64) -> Result<f64, String> {
    if stops > 0.0 {
        Err("it is more than full power".to_owned())
    } else if stops < LEAST_STOPS {
        Err("it is less power than any flash gives".to_owned())
    } else {
        Ok(stops)
    }
}

/// One spelling for the many signs that mean the same: ASCII digits, `/`, `-`, `+`, single blanks, lower case.
fn plain(typed: &str) -> String {
    let mut text = String::new();
    for c in typed.trim().chars() {
        match c {
            // Full-width forms stand at a fixed distance from ASCII.
            '\u{ff01}'..='\u{ff5e}' => {
                text.extend(char::from_u32(u32::from(c) - 0xfee0).map(|c| c.to_ascii_lowercase()));
            }
            '\u{2212}' | '\u{2010}'..='\u{2015}' | '\u{fe63}' => text.push('-'),
            '⁄' | '∕' | '÷' => text.push('/'),
            '⁺' | '₊' => text.push('+'),
            '¹' | '₁' => text.push('1'),
            '²' | '₂' => text.push('2'),
            '³' | '₃' => text.push('3'),
            '\u{2070}' | '\u{2074}'..='\u{2079}' => text.extend(char::from_digit(u32::from(c) - 0x2070, 10)),
            '\u{2080}'..='\u{2089}' => text.extend(char::from_digit(u32::from(c) - 0x2080, 10)),
            '\u{200b}' | '\u{feff}' | '\u{200e}' | '\u{200f}' => {}
            _ if c.is_whitespace() => text.push(' '),
            _ => match vulgar(c) {
                // `1½` is one and a half, never 11/2.
                Some(fraction) => {
                    if text.ends_with(|c: char| c.is_ascii_digit()) {
                        text.push(' ');
                    }
                    text.push_str(fraction);
                }
                None => text.extend(c.to_lowercase()),
            },
        }
    }
    let words: Vec<&str> = text.split_whitespace().collect();
    let text = words.join(" ").replace(" /", "/").replace("/ ", "/");
    // An apostrophe, or an equals sign before a fraction, was meant for a spreadsheet.
    let text = text.strip_prefix('\'').unwrap_or(&text).trim_start();
    text.strip_prefix('=').filter(|rest| rest.starts_with('1')).unwrap_or(text).to_owned()
}

fn vulgar(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅟' => "1/",
        _ => return None,
    })
}

fn word(text: &str) -> Option<Power> {
    Some(match text {
        "" | "same" | "unchanged" | "as before" | "ditto" => Power::Same,
        "off" | "switched off" | "turned off" | "-" | "--" | "---" => Power::Off,
        "on" | "switched on" | "turned on" => Power::On,
        "?" | "unknown" | "not known" => Power::NotKnown,
        _ => return None,
    })
}

/// `12.5 %` of full power in stops; None when it is no percentage.
fn percent(text: &str) -> Option<Result<f64, String>> {
    let number = ["%", "percent", "per cent"].iter().find_map(|unit| text.strip_suffix(unit))?.trim();
    let value = decimal(number).filter(|v| *v > 0.0);
    Some(value.map(|v| libm::log2(v / 100.0)).ok_or_else(|| "it is no percentage of full power".into()))
}

/// Digits with at most one decimal point or comma; nothing else that the machine would take for a number.
fn decimal(text: &str) -> Option<f64> {
    let whole = !text.is_empty() && text.len() <= 8 && text.ends_with(|c: char| c.is_ascii_digit());
    let plain = text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    (whole && plain).then(|| text.replace(',', ".").parse().ok())?
}

/// The full stop of power a cell begins with, and what follows it.
fn base(text: &str) -> Result<(f64, &str), String> {
    const WORDS: [(&str, f64); 12] = [
        ("full power", 0.0),
        ("full", 0.0),
        ("max", 0.0),
        ("half", -1.0),
        ("a quarter", -2.0),
        ("one quarter", -2.0),
        ("quarter", -2.0),
        ("an eighth", -3.0),
        ("one eighth", -3.0),
        ("eighth", -3.0),
        ("a sixteenth", -4.0),
        ("sixteenth", -4.0),
    ];
    // What a spreadsheet makes of =1/8. 0.5 and 0.25 are left out: they may be stops.
    const DECIMALS: [(&str, f64); 4] = [("0.125", -3.0), ("0.0625", -4.0), ("0.03125", -5.0), ("0.015625", -6.0)];
    let dotted = text.replace(',', ".");
    if let Some((_, stops)) = DECIMALS.iter().find(|(number, _)| *number == dotted) {
        return Ok((*stops, ""));
    }
    if text == "1" {
        return Ok((0.0, ""));
    }
    for (word, stops) in WORDS {
        if let Some(rest) = text.strip_prefix(word).filter(|rest| !rest.starts_with(char::is_alphanumeric)) {
            return Ok((stops, unit_of_power(rest)));
        }
    }
    let after =
        text.strip_prefix('1').map(str::trim_start).and_then(|t| t.strip_prefix(['/', ':'])).map(str::trim_start);
    let Some(after) = after else { return Err(no_fraction(text)) };
    let end = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
    let (digits, rest) = after.split_at(end);
    let known = digits.parse().ok().filter(|_| !digits.starts_with('0')).and_then(stops_of);
    let Some(stops) = known else {
        return Err(if digits.is_empty() {
            "nothing stands below the line".to_owned()
        } else {
            format!("no flash has the power 1/{digits}")
        });
    };
    let ordinal = ["th", "nd", "st", "rd"].iter().find_map(|end| rest.strip_prefix(end));
    let rest = ordinal.filter(|rest| !rest.starts_with(char::is_alphabetic)).unwrap_or(rest);
    Ok((stops, unit_of_power(rest)))
}

fn no_fraction(text: &str) -> String {
    let number = text.trim_start_matches(['+', '-']);
    if decimal(number).is_some() || number.ends_with(" stops") || number.ends_with(" stop") {
        "a number alone may be stops or a part of full power".to_owned()
    } else {
        "it is no power".to_owned()
    }
}

/// What follows the word "power", where it stands.
fn unit_of_power(rest: &str) -> &str {
    let rest = rest.trim_start();
    let after = ["power", "pwr"].iter().find_map(|word| rest.strip_prefix(word));
    after.filter(|after| !after.starts_with(char::is_alphanumeric)).map_or(rest, str::trim_start)
}

/// The fine setting behind a full stop of power, in stops.
fn offset(text: &str) -> Result<f64, String> {
    if text.is_empty() {
        return Ok(0.0);
    }
    let signed = [("+", 1.0), ("-", -1.0), ("plus ", 1.0), ("minus ", -1.0)]
        .iter()
        .find_map(|(sign, factor)| text.strip_prefix(sign).map(|rest| (*sign, *factor, rest.trim())));
    let Some((sign, factor, amount)) = signed else {
        let digits = text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
        return Err(if digits {
            "it lacks a sign: more or less than the full stop?".to_owned()
        } else {
            "something follows that is no part of a power".to_owned()
        });
    };
    let unit = [" stops", " stop", "stops", "stop", " ev", "ev"].iter().find_map(|unit| amount.strip_suffix(unit));
    let (number, with_unit) = unit.map_or((amount, false), |number| (number, true));
    fine(number, with_unit, sign == "-").map(|stops| factor * stops)
}

/// An amount of stops. Without a unit, what could as well be a second power, or lacks its point, is not clear.
fn fine(number: &str, with_unit: bool, dash: bool) -> Result<f64, String> {
    const THIRDS: [(&str, f64); 6] = [
        ("1/3", 1.0 / 3.0),
        ("2/3", 2.0 / 3.0),
        ("a third", 1.0 / 3.0),
        ("one third", 1.0 / 3.0),
        ("two thirds", 2.0 / 3.0),
        ("third", 1.0 / 3.0),
    ];
    const PARTS: [(&str, f64); 5] = [("1/2", 0.5), ("1/4", 0.25), ("3/4", 0.75), ("half", 0.5), ("half a", 0.5)];
    let of =
        |list: &[(&str, f64)], wanted: &str| list.iter().find(|(word, _)| *word == wanted).map(|(_, value)| *value);
    if let Some(thirds) = of(&THIRDS, number) {
        return Ok(thirds);
    }
    if let Some(part) = of(&PARTS, number) {
        let range = dash && !with_unit;
        return if range { Err("it may be a range or a part of a stop less".to_owned()) } else { Ok(part) };
    }
    if let Some((whole, part)) = number.split_once(' ') {
        let whole = whole.parse::<u8>().ok().filter(|n| (1..=9).contains(n) && whole.len() == 1);
        if let (Some(whole), Some(part)) = (whole, of(&THIRDS, part).or_else(|| of(&PARTS, part))) {
            return Ok(f64::from(whole) + part);
        }
    }
    let value = decimal(number).ok_or_else(|| "what follows the sign is no number of stops".to_owned())?;
    let point = number.contains(['.', ',']);
    if !point && !with_unit && !matches!(number, "1" | "2") {
        return Err("is it tenths of a stop or whole stops?".to_owned());
    }
    if number.starts_with('0') && !point {
        return Err("what follows the sign is no number of stops".to_owned());
    }
    Ok(value)
}
