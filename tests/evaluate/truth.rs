//! The truth of a made shoot and what the program told of it, as plain values side by side.

use std::collections::BTreeMap;
use std::error::Error;
use std::path::Path;

/// Yes, no, or not told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Said {
    Yes,
    No,
    #[default]
    Unknown,
}

impl Said {
    pub fn of(word: &str) -> Said {
        match word {
            "yes" => Said::Yes,
            "no" => Said::No,
            _ => Said::Unknown,
        }
    }
}

/// What one light really did in one frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    pub burned: bool,
    pub misfire: bool,
    /// Emission in stops; only where it burned.
    pub stops: Option<f64>,
    /// Gel and modifier: what changes a light's picture besides its power.
    pub gel: String,
    /// Power as typed, in stops; None for off.
    pub noted: Option<f64>,
    /// Part of the frame's mean luminance, 0..1; None where the table does not say.
    pub share: Option<f64>,
}

/// A mistake planted in the notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Planted {
    pub light: usize,
    pub kind: String,
    /// Indices of the frames for which the note is wrong.
    pub frames: Vec<usize>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Truth {
    pub lights: Vec<String>,
    pub frames: Vec<String>,
    /// By frame, then by light.
    pub cells: Vec<Vec<Cell>>,
    pub planted: Vec<Planted>,
}

impl Truth {
    /// Reads `truth/lights.csv` and, where there is one, `truth/note-errors.csv` of a shoot's folder.
    pub fn read(shoot: &Path) -> Result<Truth, Box<dyn Error>> {
        let table = shoot.join("truth/lights.csv");
        let at = |e: csv::Error| format!("{}: {e}", table.display());
        let mut t = Truth::default();
        for row in csv::Reader::from_path(&table).map_err(at)?.deserialize() {
            let row: BTreeMap<String, String> = row.map_err(at)?;
            let text = |name: &str| row.get(name).map_or("", String::as_str);
            let light = text("light").to_owned();
            if t.frames.last().is_none_or(|f| f != text("frame")) {
                t.frames.push(text("frame").to_owned());
                t.cells.push(Vec::new());
            }
            if light == "ambient" {
                continue;
            }
            if !t.lights.contains(&light) {
                t.lights.push(light);
            }
            let cell = Cell {
                burned: text("burned") == "on",
                misfire: text("misfire") == "yes",
                stops: text("gain_stops").parse().ok(),
                gel: format!("{} {}", text("gel"), text("modifier")).trim().to_owned(),
                noted: match row.get("noted_stops") {
                    Some(noted) => noted.parse().ok(),
                    // A table without the column is of notes that say what was set.
                    None => text("power").strip_prefix("1/").and_then(|n| n.parse().ok()).map(|n: f64| -n.log2()),
                },
                share: text("share_of_frame").parse().ok(),
            };
            t.cells.last_mut().ok_or("no frame")?.push(cell);
        }
        if let Some(i) = t.cells.iter().position(|c| c.len() != t.lights.len()) {
            return Err(format!("{}: {} has {} lights", table.display(), t.frames[i], t.cells[i].len()).into());
        }
        let mistakes = shoot.join("truth/note-errors.csv");
        if mistakes.is_file() {
            for row in csv::Reader::from_path(&mistakes)?.deserialize() {
                let row: BTreeMap<String, String> = row?;
                let text = |name: &str| row.get(name).map_or("", String::as_str);
                let frame = |name: &str| t.frames.iter().position(|f| f == text(name));
                let light = t.lights.iter().position(|l| l == text("light"));
                let (Some(light), Some(a), Some(b)) = (light, frame("first_frame"), frame("last_frame")) else {
                    return Err(format!("{}: a frame or light that does not exist", mistakes.display()).into());
                };
                t.planted.push(Planted { light, kind: text("kind").to_owned(), frames: (a..=b).collect() });
            }
        }
        Ok(t)
    }

    /// Whether this light burns alone in some frame.
    pub fn has_solo(&self, light: usize) -> bool {
        self.cells.iter().any(|c| c[light].burned && c.iter().filter(|x| x.burned).count() == 1)
    }

    /// Whether this light is a weak one in this frame: below a tenth of it, or never alone.
    pub fn weak(&self, frame: usize, light: usize) -> bool {
        self.cells[frame][light].share.is_some_and(|s| s < 0.1) || !self.has_solo(light)
    }
}

/// What was told of one light in one frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    pub on: Said,
    pub misfire: Said,
    pub stops: Option<f64>,
    pub low: Option<f64>,
    pub high: Option<f64>,
    /// Index of the frame it is told against.
    pub reference: Option<usize>,
    /// `as noted`, `differs`, `not tested`.
    pub agrees: String,
    /// Why something is not known.
    pub reason: String,
}

/// What was told of a shoot: per light, per frame of the truth; None where there is no row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Told {
    pub lights: Vec<String>,
    /// By light, then by frame.
    pub rows: Vec<Vec<Option<Row>>>,
}

impl Told {
    /// From the ledger's rows by the names of their columns, so that a column more or less does no harm.
    pub fn from_ledger(rows: &[serde_json::Value], frames: &[String]) -> Told {
        let mut t = Told::default();
        for row in rows {
            let text = |name: &str| row.get(name).and_then(|v| v.as_str()).unwrap_or("").to_owned();
            let number = |name: &str| row.get(name).and_then(serde_json::Value::as_f64);
            let named = |name: &str| frames.iter().position(|f| *f == text(name));
            let (light, Some(frame)) = (text("light"), named("frame")) else { continue };
            if light == "ambient" {
                continue;
            }
            let k = t.lights.iter().position(|l| *l == light).unwrap_or_else(|| {
                t.lights.push(light);
                t.rows.push(vec![None; frames.len()]);
                t.lights.len() - 1
            });
            t.rows[k][frame] = Some(Row {
                on: Said::of(&text("on")),
                misfire: Said::of(&text("misfire")),
                stops: number("light_stops"),
                low: number("light_stops_low"),
                high: number("light_stops_high"),
                reference: named("reference_frame"),
                agrees: text("agrees"),
                reason: text("reason"),
            });
        }
        t
    }

    pub fn row(&self, light: usize, frame: usize) -> Option<&Row> {
        self.rows.get(light)?.get(frame)?.as_ref()
    }

    /// Whether the light is said to burn anywhere.
    pub fn ever_on(&self, light: usize) -> bool {
        self.rows[light].iter().flatten().any(|r| r.on == Said::Yes)
    }
}
