//! What `from` names: a frame by its file, with or without folder and ending, or a moment by clock or date and clock.

use jiff::civil::{Date, DateTime, Time};

use crate::shots::Sequence;

/// A moment as typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moment {
    /// The day, or both readings of one like 7/11/2026; empty when only a time of day was typed.
    dates: Vec<Date>,
    time: Time,
}

/// Where a moment falls in the shots of one camera.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Falls {
    /// It holds from the shot with this index; the moment itself is told too.
    Shot(usize, DateTime),
    /// Before the first shot, and so it holds from there.
    Early(DateTime),
    /// After the last shot.
    After,
    /// It may be several moments; why, in words.
    Several(&'static str),
    /// No shot of this camera has a time.
    NoTimes,
}

/// A time of day this long before the first shot is no preparation, it is another day or a slip.
const PREPARATION_H: i64 = 6;

/// Reads `16:24`, `16.24.40`, `4:24 pm`, `2026-11-07 16:24`, `07.11.2026 16:24`, and the times of frames.csv.
#[must_use]
pub fn moment(typed: &str) -> Option<Moment> {
    let text = typed.trim().to_lowercase();
    if let Some(time) = clock(&text) {
        return Some(Moment { dates: Vec::new(), time });
    }
    let (day, rest) = text.split_once(['t', ' ', ','])?;
    // The zone of a copied time is dropped: the camera's own clock is meant.
    let rest = rest.trim().trim_end_matches('z');
    let time = clock(rest.split(['+', '-']).next().unwrap_or(rest))?;
    let dates = dates(day.trim());
    (!dates.is_empty()).then_some(Moment { dates, time })
}

fn small(part: &str, most: usize) -> Option<i8> {
    let plain = (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| part.parse().ok())?
}

fn clock(text: &str) -> Option<Time> {
    let (digits, afternoon) = match (text.strip_suffix("am"), text.strip_suffix("pm")) {
        (Some(rest), _) => (rest.trim_end(), Some(false)),
        (_, Some(rest)) => (rest.trim_end(), Some(true)),
        _ => (text.trim_end(), None),
    };
    let mut parts = digits.split([':', '.', 'h']);
    let hour = small(parts.next()?, 2)?;
    let two = |part: &str| small(part, 2).filter(|_| part.len() == 2);
    let minute = match parts.next() {
        Some(part) => two(part)?,
        None => afternoon.map(|_| 0)?,
    };
    let second = parts.next().map_or(Some(0), two)?;
    let fraction: String = parts.next().unwrap_or("0").chars().chain("000000000".chars()).take(9).collect();
    if parts.next().is_some() || !fraction.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let hour = match afternoon {
        None => hour,
        Some(later) if (1..=12).contains(&hour) => hour % 12 + if later { 12 } else { 0 },
        Some(_) => return None,
    };
    Time::new(hour, minute, second, fraction.parse().ok()?).ok()
}

fn dates(text: &str) -> Vec<Date> {
    let parts: Vec<&str> = text.split(['-', '/', '.', ':']).collect();
    let date = |y: &str, m: &str, d: &str| {
        let year = y.parse::<i16>().ok().filter(|_| y.len() == 4)?;
        Date::new(year, small(m, 2)?, small(d, 2)?).ok()
    };
    let mut found: Vec<Date> = match parts.as_slice() {
        [y, m, d] if y.len() == 4 => date(y, m, d).into_iter().collect(),
        [d, m, y] if text.contains('.') => date(y, m, d).into_iter().collect(),
        [a, b, y] => date(y, a, b).into_iter().chain(date(y, b, a)).collect(),
        _ => Vec::new(),
    };
    found.dedup();
    found
}

impl Moment {
    /// Where it falls in the shots of one camera: at the first shot that is not before it.
    #[must_use]
    pub fn falls(&self, sequence: &Sequence) -> Falls {
        let times: Vec<(usize, DateTime)> = sequence
            .shots
            .iter()
            .enumerate()
            .filter_map(|(index, shot)| Some((index, shot.taken.as_ref()?.local)))
            .collect();
        let (Some(first), Some(last)) = (times.iter().map(|t| t.1).min(), times.iter().map(|t| t.1).max()) else {
            return Falls::NoTimes;
        };
        let at = match self.day(first, last, &times) {
            Ok(at) => at,
            Err(falls) => return falls,
        };
        let mut crossed = Vec::new();
        let mut before = true;
        for (index, time) in &times {
            if before && *time >= at {
                crossed.push(*index);
            }
            before = *time < at;
        }
        match crossed.as_slice() {
            [] => Falls::After,
            [_] if first > at => Falls::Early(at),
            [shot] => Falls::Shot(*shot, at),
            _ => Falls::Several("the camera's clock was set back and passes it twice"),
        }
    }

    /// The one date and time that is meant.
    fn day(&self, first: DateTime, last: DateTime, times: &[(usize, DateTime)]) -> Result<DateTime, Falls> {
        let moments =
            |dates: &[Date]| -> Vec<DateTime> { dates.iter().map(|date| date.to_datetime(self.time)).collect() };
        match self.dates.as_slice() {
            [] => {}
            [one] => return Ok(one.to_datetime(self.time)),
            several => {
                let met: Vec<Date> =
                    several.iter().copied().filter(|d| times.iter().any(|t| t.1.date() == *d)).collect();
                return match moments(&met).as_slice() {
                    [one] => Ok(*one),
                    _ => Err(Falls::Several("day and month may be either way round; write 2026-11-07")),
                };
            }
        }
        if last.duration_since(first).as_hours() >= 24 {
            return Err(Falls::Several("the shoot is longer than a day; write the date before the time"));
        }
        let days = [first.date().yesterday().ok(), Some(first.date()), Some(last.date()), last.date().tomorrow().ok()];
        let moments = moments(&days.into_iter().flatten().collect::<Vec<_>>());
        if let Some(inside) = moments.iter().find(|at| (first..=last).contains(*at)) {
            return Ok(*inside);
        }
        let early = moments.iter().copied().filter(|at| *at < first).max();
        let near = |at: &DateTime| first.duration_since(*at).as_hours() < PREPARATION_H;
        early.filter(near).ok_or(Falls::After)
    }
}

/// The names of all files of all shots, ready to be asked for.
#[derive(Debug)]
pub struct Names {
    /// Frame of the shot as the report names it; a file of the shot, folded; the same without its ending.
    files: Vec<(String, String, String)>,
}

/// What a name stands for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// The shot whose frame is this.
    One(String),
    /// One of these frames.
    Several(Vec<String>),
    /// No shot; a frame it may have meant.
    None(Option<String>),
}

impl Names {
    /// Names of the shots of all cameras.
    #[must_use]
    pub fn of(sequences: &[Sequence]) -> Self {
        let mut files = Vec::new();
        for shot in sequences.iter().flat_map(|s| &s.shots) {
            for file in shot.companions.iter().chain([&shot.frame]) {
                let name = folded(file);
                let bare = without_ending(&name).to_owned();
                files.push((shot.frame.clone(), name, bare));
            }
        }
        Self { files }
    }

    /// The shot that a typed name stands for: the whole path before its end, with the ending before without it.
    #[must_use]
    pub fn find(&self, typed: &str) -> Named {
        let exact = self.files.iter().filter(|(frame, ..)| frame.trim() == typed.trim());
        let wanted = folded(typed);
        let bare = without_ending(&wanted);
        let levels: [&dyn Fn(&str, &str) -> bool; 4] = [
            &|name, _| name == wanted,
            &|name, _| ends_path(name, &wanted) || ends_path(&wanted, name),
            &|_, stem| ends_path(stem, &wanted) || ends_path(&wanted, stem),
            // Another ending of the same press: the raw that was not copied beside its JPEG.
            &|_, stem| wanted != bare && (ends_path(stem, bare) || ends_path(bare, stem)),
        ];
        let frames = |found: Vec<&str>| {
            let mut found: Vec<String> = found.into_iter().map(str::to_owned).collect();
            found.sort();
            found.dedup();
            found
        };
        let mut rounds = vec![frames(exact.map(|(frame, ..)| frame.as_str()).collect())];
        if !wanted.is_empty() {
            rounds.extend(levels.iter().map(|level| {
                let met = self.files.iter().filter(|(_, name, stem)| level(name, stem));
                frames(met.map(|(frame, ..)| frame.as_str()).collect())
            }));
        }
        let met = rounds.into_iter().find(|round| !round.is_empty()).unwrap_or_default();
        match met.as_slice() {
            [] => Named::None(self.like(&wanted)),
            [one] => Named::One(one.clone()),
            _ => Named::Several(met),
        }
    }

    /// The one frame whose name ends with these digits.
    fn like(&self, wanted: &str) -> Option<String> {
        let digits = wanted.len() >= 2 && wanted.bytes().all(|b| b.is_ascii_digit());
        let mut met: Vec<&String> =
            self.files.iter().filter(|(.., stem)| stem.ends_with(wanted)).map(|f| &f.0).collect();
        met.dedup();
        match met.as_slice() {
            [one] if digits => Some((*one).clone()),
            _ => None,
        }
    }
}

/// Whether `path` is `end`, or ends with it behind a `/`.
fn ends_path(path: &str, end: &str) -> bool {
    let before = path.strip_suffix(end);
    !end.is_empty() && before.is_some_and(|before| before.is_empty() || before.ends_with('/'))
}

/// One spelling for a path however it is typed.
fn folded(path: &str) -> String {
    let plain: String = path
        .trim()
        .chars()
        .map(|c| match c {
            '\\' => '/',
            c if c.is_control() => ' ',
            c => c,
        })
        .flat_map(char::to_lowercase)
        .collect();
    plain.trim_start_matches("./").trim_start_matches('/').to_owned()
}

fn without_ending(path: &str) -> &str {
    match path.rsplit_once('.') {
        Some((stem, ending)) if !stem.is_empty() && !stem.ends_with('/') && !ending.contains('/') => stem,
        _ => path,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_as_people_type_them() {
        let at = |h, m, s, ns| Time::new(h, m, s, ns).unwrap();
        for (text, dates, time) in [
            ("16:24", 0, at(16, 24, 0, 0)),
            ("16:24:40", 0, at(16, 24, 40, 0)),
            ("16.24", 0, at(16, 24, 0, 0)),
            ("9.05", 0, at(9, 5, 0, 0)),
            ("4:24 PM", 0, at(16, 24, 0, 0)),
            ("12:10am", 0, at(0, 10, 0, 0)),
            ("2026-11-07 16:24", 1, at(16, 24, 0, 0)),
            ("2026-11-07T16:24:40.25+01:00", 1, at(16, 24, 40, 250_000_000)),
            ("2026:11:07 16:24:40", 1, at(16, 24, 40, 0)),
            ("07.11.2026 16:24", 1, at(16, 24, 0, 0)),
            ("7/11/2026 16:24", 2, at(16, 24, 0, 0)),
            ("25/11/2026 16:24", 1, at(16, 24, 0, 0)),
        ] {
            let found = moment(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!((found.dates.len(), found.time), (dates, time), "{text}");
        }
        for text in
            ["", "16", "1624", "16:2", "25:00", "16:60", "16:24:40:1:1", "TS_0001", "13 pm", "2026-11-31 16:24", "1/8"]
        {
            assert_eq!(moment(text), None, "{text}");
        }
    }
}
