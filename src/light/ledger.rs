//! The types of the light ledger: what is known of every light in every shot, and how.
//!
//! Everything after the light step (stages, audit, report) reads them. Stops are log2 of linear
//! light with the settings taken out; "against its reference" always means the light's own reference shot.

use crate::shots::Sequence;

/// Yes, no, or not told apart. Unknown always has a reason beside it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Told {
    /// It is so.
    Yes,
    /// It is not so.
    No,
    /// The pictures do not tell.
    #[default]
    Unknown,
}

/// A figure in stops with its 90 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stops {
    /// The best single figure.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// How a light's entry of a shot is known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Evidence {
    /// This light burns alone in this shot.
    Solo,
    /// Told apart from other light.
    WorkedOut,
    /// Taken from the notes: the pictures say neither yes nor no.
    Noted,
    /// The shot or the light cannot be compared.
    #[default]
    NotComparable,
}

/// Whether the picture agrees with the note.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Agreement {
    /// The picture's figure holds the noted step.
    AsNoted,
    /// It does not.
    Differs,
    /// There is no note, or nothing to test it with.
    #[default]
    NotTested,
}

/// How the photographer (or, without notes, the picture) has a light set in a shot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Setting {
    /// Set on. A light that was set on and did not burn is still set on.
    pub on: Told,
    /// Noted power in stops against full power: 0 for 1/1, -4 for 1/16.
    pub noted_power: Option<f64>,
    /// Without a noted power: the level of this run of shots against the reference, one figure per run.
    pub level: Option<f64>,
    /// Gel in the note's words; empty for none noted.
    pub gel: String,
    /// Modifier in the note's words; empty for none noted.
    pub modifier: String,
    /// Which gel the picture shows, from 1 in order of appearance; a proven change of colour raises or lowers it.
    pub colour: u32,
}

/// One light in one shot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entry {
    /// Whether it burned in this shot.
    pub on: Told,
    /// Whether it was set on and did not burn.
    pub misfire: Told,
    /// Strength against the light's reference shot; None where it did not burn or cannot be told.
    pub stops: Option<Stops>,
    /// Channel gains (R, G, B) against the reference shot, linear, settings taken out.
    pub gain: Option<[f64; 3]>,
    /// Share of the frame's light that is this light's, 0..1.
    pub share_of_frame: Option<f64>,
    /// The same inside the subject box, where one was given.
    pub share_of_subject: Option<f64>,
    /// How it is known.
    pub evidence: Evidence,
    /// Why something of this entry is not known, in words; empty when all is.
    pub reason: String,
    /// As set.
    pub setting: Setting,
    /// Whether the picture agrees with the note.
    pub agrees: Agreement,
    /// Picture minus note in stops, where both are known.
    pub against_note: Option<Stops>,
    /// Power in stops against full power as the picture tells it from the noted anchor; None without an anchor.
    pub power: Option<f64>,
    /// Whether this shot, the last one before a noted change of this light, already shows the light as noted after it.
    pub late_note: bool,
}

/// The ambient in one shot, with shutter, aperture and ISO taken out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AmbientEntry {
    /// Against the ambient's reference shot; None where it cannot be told.
    pub stops: Option<Stops>,
    /// Share of the frame's light, 0..1. An upper bound where `at_most` is set.
    pub share_of_frame: Option<f64>,
    /// The picture is too dark to say more than "at most".
    pub at_most: bool,
}

/// Where a shot lies on the plane on which its camera's lights have their pictures: shift, turn and scale.
///
/// Places are counted in tiles from the middle of plane and frame. A place `(u, v)` of the plane lies in the frame at
/// `scale * (c u - s v, s u + c v) + shift`, with `s = turn` and `c = 1 - turn² / 2`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Tiles of the frame, across and down.
    pub frame: (u16, u16),
    /// Shift across and down in the frame's tiles.
    pub shift: (f32, f32),
    /// Turn in radians, small.
    pub turn: f32,
    /// Frame tiles per plane tile: above 1 for a longer lens.
    pub scale: f32,
}

/// What is known of one shot's light.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ShotLight {
    /// Number of its lighting, from 1; None where it is not known.
    pub lighting: Option<u32>,
    /// One entry per light of [`SequenceLight::lights`].
    pub entries: Vec<Entry>,
    /// The ambient.
    pub ambient: AmbientEntry,
    /// Why the shot cannot be compared with others, in words; empty when it can.
    pub not_comparable: String,
    /// Median over the tiles of |picture - sum of lights| / picture, 0..: how well the account explains the picture.
    pub misfit: Option<f64>,
    /// Where it lies on the plane; None where it could not be laid over the other shots.
    pub place: Option<Place>,
}

/// What a light looks like by itself: linear light per tile, as in its reference shot, settings taken out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LightPicture {
    /// Tiles across.
    pub columns: u16,
    /// Tiles down.
    pub rows: u16,
    /// Row-major linear light (R, G, B) at the settings of the reference shot, 0..1 where the picture would not clip.
    pub linear: Vec<[f32; 3]>,
    /// Tiles of which this light's part is not known (clipped in every shot, outside, the sitter was not there yet).
    pub missing: Vec<bool>,
}

/// One light of a sequence.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Light {
    /// The note's name, or `light-1`, `light-2`, … in order of appearance.
    pub name: String,
    /// Whether the name comes from the notes.
    pub noted: bool,
    /// The note's role in words, such as "main light"; empty when not noted.
    pub role: String,
    /// Index of the shot its strengths are told against; None for a light that was never told apart.
    pub reference_shot: Option<usize>,
    /// Whether it burns alone (beside ambient) in at least one shot.
    pub has_solo: bool,
    /// Its own picture; None for a light that was never told apart.
    pub picture: Option<LightPicture>,
    /// Drift of its strength at one setting over the shoot, stops per hour; None where nothing is proven.
    pub drift: Option<f64>,
}

/// The camera's tone curve as estimated from the shoot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ToneCurve {
    /// Pairs of 8-bit code value (0..=255) and linear light (0..1, relative), rising.
    pub points: Vec<(f64, f64)>,
    /// How it was found, in words: "the file's own transfer curve", "from noted powers and settings", …
    pub source: String,
}

/// The ledger of one camera's shots.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SequenceLight {
    /// Lights in the notes' order, then those discovered.
    pub lights: Vec<Light>,
    /// One per shot of the sequence.
    pub shots: Vec<ShotLight>,
    /// Tone curve; None where no light was computed.
    pub curve: Option<ToneCurve>,
    /// The ambient's own picture at its reference shot's settings.
    pub ambient_picture: Option<LightPicture>,
    /// Index of the shot the ambient is told against.
    pub ambient_reference: Option<usize>,
    /// Whether dusk or dawn was found: the ambient's course over the shoot in stops, last minus first.
    pub ambient_drift: Option<f64>,
    /// Whether any note took part.
    pub noted: bool,
    /// What cannot be told about this sequence's light, as sentences with their reason.
    pub cannot: Vec<String>,
}

/// What is known of the light in every shot.
#[derive(Clone, Debug, Default)]
pub struct LightLedger {
    /// One per sequence.
    pub sequences: Vec<SequenceLight>,
}

impl LightLedger {
    /// A ledger that knows nothing about these shots.
    #[must_use]
    pub fn unknown(sequences: &[Sequence]) -> Self {
        let blank = |s: &Sequence| SequenceLight {
            shots: vec![ShotLight::default(); s.shots.len()],
            ..SequenceLight::default()
        };
        Self { sequences: sequences.iter().map(blank).collect() }
    }

    /// One shot's light; None outside the ledger.
    #[must_use]
    pub fn shot(&self, sequence: usize, shot: usize) -> Option<&ShotLight> {
        self.sequences.get(sequence)?.shots.get(shot)
    }

    /// The lighting of one shot; None when not known.
    #[must_use]
    pub fn lighting(&self, sequence: usize, shot: usize) -> Option<u32> {
        self.shot(sequence, shot)?.lighting
    }
}
