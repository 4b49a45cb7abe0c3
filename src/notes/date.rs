//! Dates that a spreadsheet made of a power: 8-Jan or 2026-08-01 for 1/8, Jan-32 for 1/32.
//!
//! A cell typed as 1/8 becomes the eighth of January or the first of August, by the country; 1/32 becomes January
//! 1932. So the one that is no 1 is what stood below the line. Common practice, no source.

/// English month names, told by their first three letters.
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// A date as far as the cell gives it.
#[derive(Clone, Copy, Debug)]
enum Date {
    /// Two of day and month in an order that does not matter, and the year as written where it stands there.
    DayAndMonth(u32, u32, Option<u32>),
    /// Month and a number that may be a day or a year: `Jan-16`.
    MonthAnd(u32, u32),
}

/// The n of the 1/n that a date stood for; None when `text` is no date; an error when it may be two powers or none.
pub fn read(text: &str) -> Option<Result<u32, String>> {
    let date = parse(text)?;
    let none = || "it is a date, and of no power of a flash".to_owned();
    Some(match date {
        Date::DayAndMonth(1, 1, year) => first_of_january(year),
        Date::DayAndMonth(1, n, _) | Date::DayAndMonth(n, 1, _) => Ok(n),
        Date::MonthAnd(1, n) => below_line(n).ok_or_else(none),
        // The first of a month, written the other way round: Aug-1.
        Date::MonthAnd(n, 1) => Ok(n),
        Date::DayAndMonth(..) | Date::MonthAnd(..) => Err(none()),
    })
}

/// The number of `Jan-16` or of a year: 16, 2016, 1932.
fn below_line(n: u32) -> Option<u32> {
    (n < 100 || (1930..2030).contains(&n)).then_some(n % 100).filter(|n| *n > 0)
}

/// 1 January may be 1/1 of this year, or 1/16, 1/32, 1/64 that lost its day.
fn first_of_january(year: Option<u32>) -> Result<u32, String> {
    let Some(year) = year else { return Ok(1) };
    let lost = below_line(year).filter(|n| matches!(n, 16 | 32 | 64));
    // Spreadsheets take two digits from 30 on for the last century, in which nobody shot for this report.
    let old = (30..100).contains(&year) || (1930..2000).contains(&year);
    match lost {
        Some(n) if old => Ok(n),
        Some(n) => Err(format!("it is a date that may have been 1/1 or 1/{n}")),
        None if old => Err("it is a date, and of no power of a flash".to_owned()),
        None => Ok(1),
    }
}

fn parse(text: &str) -> Option<Date> {
    let day_only = without_clock(text);
    let parts: Vec<&str> = day_only.split(['/', '-', '.', ' ', ',']).filter(|part| !part.is_empty()).collect();
    let number =
        |part: &str| part.parse::<u32>().ok().filter(|_| part.len() <= 4 && part.bytes().all(|b| b.is_ascii_digit()));
    match parts.as_slice() {
        [a, b] => match (month(a), month(b)) {
            (Some(m), None) => Some(Date::MonthAnd(m, number(b)?)),
            (None, Some(m)) => Some(Date::DayAndMonth(day(number(a)?)?, m, None)),
            // Two numbers are a date only with a leading zero: nobody types 1/08, a spreadsheet shows it so.
            (None, None) if one_separator(day_only) && a.len() == 2 && b.len() == 2 => {
                let zero = a.starts_with('0') || b.starts_with('0');
                if zero { calendar(number(a)?, number(b)?, None) } else { None }
            }
            _ => None,
        },
        [a, b, c] => match (month(a), month(b)) {
            (Some(m), None) => Some(Date::DayAndMonth(day(number(b)?)?, m, Some(number(c)?))),
            (None, Some(m)) => Some(Date::DayAndMonth(day(number(a)?)?, m, Some(number(c)?))),
            (None, None) if !one_separator(day_only) => None,
            (None, None) if a.len() == 4 => calendar(number(b)?, number(c)?, number(a)),
            (None, None) if matches!(c.len(), 2 | 4) => calendar(number(a)?, number(b)?, Some(number(c)?)),
            _ => None,
        },
        _ => None,
    }
}

/// Two numbers of which one is a month and one a day.
fn calendar(a: u32, b: u32, year: Option<u32>) -> Option<Date> {
    let valid = (1..=12).contains(&a.min(b)) && (1..=31).contains(&a.max(b));
    valid.then_some(Date::DayAndMonth(a, b, year))
}

/// Between the numbers of a date stands one and the same sign, never a blank or a comma: `1/8 -12` is no date.
fn one_separator(text: &str) -> bool {
    let mut signs = text.chars().filter(|c| !c.is_ascii_digit());
    let first = signs.next();
    matches!(first, Some('/' | '-' | '.')) && signs.all(|sign| Some(sign) == first)
}

fn day(n: u32) -> Option<u32> {
    (1..=31).contains(&n).then_some(n)
}

/// A month by its English name, whole or cut to three letters or more.
fn month(word: &str) -> Option<u32> {
    let long = word.len() >= 3 && word.bytes().all(|b| b.is_ascii_alphabetic());
    let known = |name: &&&str| name.starts_with(word) || (**name == "september" && word == "sept");
    (1..).zip(&MONTHS).find(|(_, name)| long && known(name)).map(|(n, _)| n)
}

/// A midnight that came along with the date is dropped.
fn without_clock(text: &str) -> &str {
    let midnight = |clock: &&str| !clock.is_empty() && clock.chars().all(|c| matches!(c, '0' | ':' | '.' | 'z'));
    match text.split_once(['t', ' ']) {
        Some((date, clock)) if clock.contains(':') && Some(clock).filter(midnight).is_some() => date,
        _ => text,
    }
}
