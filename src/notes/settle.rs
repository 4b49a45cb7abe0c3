//! Brings the notes to the shots: from which shot each row holds, and what in them points nowhere.

use std::collections::{BTreeMap, BTreeSet};

use super::from::{Falls, Named, Names, moment};
use super::hold::{self, Row, Target};
use super::rows::{Flawed, Typed, TypedRow};
use super::{LightNotes, SubjectBox, subject};
use crate::problem::{Code, Flaw};
use crate::shots::Sequence;

/// What `from` names for all cameras together.
struct Place {
    target: Option<Target>,
    flaw: Option<(Code, String)>,
}

impl Typed {
    /// The notes of these shots. `boxes` are subject boxes from the command line, which go before those of the notes.
    #[must_use]
    pub fn settle(self, sequences: &[Sequence], boxes: &[SubjectBox]) -> LightNotes {
        let names = Names::of(sequences);
        let mut places: BTreeMap<&str, (Place, Vec<u32>)> = BTreeMap::new();
        for row in &self.rows {
            let place = places.entry(&row.from).or_insert_with(|| (place(&row.from, &names, sequences), Vec::new()));
            place.1.push(row.line);
        }
        let mut flaws = self.flaws.clone();
        for (from, (place, lines)) in &places {
            if let (Some((code, why)), Some(first)) = (&place.flaw, lines.first()) {
                flaws.push((*first, Flaw::with(*code, format!("{}: {from:?}: {why}", in_words(lines)))));
            }
        }
        let target = |row: &TypedRow| places.get(row.from.as_str()).and_then(|(place, _)| place.target.clone());
        let rows: Vec<Row> = self.rows.iter().filter_map(|row| Some(settled(row, target(row)?))).collect();
        flaws.extend(contradictions(&rows, &self, sequences));
        let (subjects, more) = subjects(&self, boxes, &names, sequences);
        flaws.extend(more);
        flaws.sort_by_key(|(line, _)| *line);
        let mut problems: Vec<_> =
            flaws.into_iter().map(|(line, flaw)| flaw.of(if line == 0 { "--subject" } else { &self.file })).collect();
        if let Some(own) = &self.passed_over {
            problems.push(Flaw::plain(Code::NotesPassedOver).of(own));
        }
        LightNotes { problems, subjects, used: self.used, lights: self.lights, rows }
    }
}

fn settled(row: &TypedRow, target: Target) -> Row {
    Row {
        line: row.line,
        lights: row.lights.clone(),
        target,
        power: row.power,
        power_text: row.power_text.clone(),
        fittings: row.fittings.clone(),
        stand: row.stand,
    }
}

/// "line 7", "lines 7, 8 and 9".
fn in_words(lines: &[u32]) -> String {
    let words: Vec<String> = lines.iter().map(u32::to_string).collect();
    match words.as_slice() {
        [] => String::new(),
        [one] => format!("line {one}"),
        [many @ .., last] => format!("lines {} and {last}", many.join(", ")),
    }
}

fn place(from: &str, names: &Names, sequences: &[Sequence]) -> Place {
    let nowhere = |code, why: String| Place { target: None, flaw: Some((code, why)) };
    if from.is_empty() {
        return nowhere(Code::NoteFrameUnknown, "nothing stands in from, here or further up".to_owned());
    }
    match names.find(from) {
        Named::One(frame) => return Place { target: Some(Target::Frame(frame)), flaw: None },
        Named::Several(frames) => {
            let shown = frames.iter().take(3).cloned().collect::<Vec<_>>().join(", ");
            return nowhere(Code::NoteFromAmbiguous, format!("it may be any of {shown}"));
        }
        Named::None(like) => {
            let Some(moment) = moment(from) else {
                let why =
                    like.map_or_else(|| "no shot has this name".to_owned(), |like| format!("did you mean {like}?"));
                return nowhere(Code::NoteFrameUnknown, why);
            };
            let falls: Vec<Falls> = sequences.iter().map(|s| moment.falls(s)).collect();
            if let Some(why) = falls.iter().find_map(|f| if let Falls::Several(why) = f { Some(*why) } else { None }) {
                return nowhere(Code::NoteFromAmbiguous, why.to_owned());
            }
            if falls.iter().all(|f| *f == Falls::NoTimes) {
                return nowhere(Code::NoteFrameUnknown, "no shot has a time".to_owned());
            }
            let flaw = if falls.iter().any(|f| matches!(f, Falls::Shot(..))) {
                None
            } else if falls.iter().any(|f| matches!(f, Falls::Early(_))) {
                Some((Code::NoteTimeEarly, "it holds from the first shot".to_owned()))
            } else {
                return nowhere(Code::NoteTimeOutside, "no shot was taken then or later".to_owned());
            };
            Place { target: Some(Target::Moment(moment)), flaw }
        }
    }
}

/// Rows for one light that begin at one shot and cannot all be right.
fn contradictions(rows: &[Row], typed: &Typed, sequences: &[Sequence]) -> Vec<Flawed> {
    let mut met = BTreeSet::new();
    for sequence in sequences {
        for ((_, light), group) in hold::groups(rows, sequence) {
            let pairs = group.iter().zip(group.iter().skip(1));
            for ((at, first), (then, second)) in pairs {
                let follows = at.is_some() && then.is_some() && at != then;
                if !follows && first.contradicts(second) {
                    met.insert((second.line, first.line, light));
                }
            }
        }
    }
    let words = |(line, first, light): (u32, u32, usize)| {
        let name = typed.lights.get(light).map_or("", |l| l.name.as_str());
        (
            line,
            Flaw::with(
                Code::NoteContradicts,
                format!("lines {first} and {line} both begin to hold for {name} at one shot; line {line} is used"),
            ),
        )
    };
    met.into_iter().map(words).collect()
}

/// The subject boxes of frames that are there, one for each frame. Those of the command line have the line 0.
fn subjects(
    typed: &Typed,
    boxes: &[SubjectBox],
    names: &Names,
    sequences: &[Sequence],
) -> (Vec<SubjectBox>, Vec<Flawed>) {
    let given = boxes.iter().map(|b| (0, b.frame.clone(), b.percent));
    let mut found: Vec<SubjectBox> = Vec::new();
    let mut flaws = Vec::new();
    for (line, from, percent) in typed.subjects.iter().cloned().chain(given) {
        let whose = if line == 0 { from.clone() } else { format!("line {line}: {from:?}") };
        let place = place(&from, names, sequences);
        let frame = match &place.target {
            Some(Target::Frame(frame)) => Some(frame.clone()),
            Some(Target::Moment(moment)) => sequences.iter().find_map(|s| match moment.falls(s) {
                Falls::Shot(shot, _) => s.shots.get(shot).map(|shot| shot.frame.clone()),
                _ => None,
            }),
            None => None,
        };
        let Some(frame) = frame else {
            let (code, why) = place.flaw.unwrap_or((Code::NoteFrameUnknown, "no shot was taken then".to_owned()));
            flaws.push((line, Flaw::with(code, format!("subject box, {whose}: {why}"))));
            continue;
        };
        let Some((percent, cut)) = subject::clipped(percent) else {
            flaws.push((
                line,
                Flaw::with(Code::SubjectUnreadable, format!("{whose}: the box lies outside the picture")),
            ));
            continue;
        };
        if cut {
            let [x, y, w, h] = percent;
            flaws.push((line, Flaw::with(Code::SubjectClipped, format!("{whose}: used as {x},{y},{w},{h}"))));
        }
        if let Some(before) = found.iter_mut().find(|b| b.frame == frame) {
            if before.percent != percent && line != 0 {
                flaws.push((
                    line,
                    Flaw::with(Code::NoteContradicts, format!("{whose}: a second box for this frame; it is used")),
                ));
            }
            before.percent = percent;
        } else {
            found.push(SubjectBox { frame, percent });
        }
    }
    (found, flaws)
}
