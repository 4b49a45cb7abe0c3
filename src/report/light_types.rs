//! The light's part of a report: every light, what it did on each stage and lighting, and the pictures it makes.
//!
//! Shares and ratios are given with the settings of the stage they are told for: a longer shutter raises the ambient's.

use serde::Serialize;

use crate::measure::Picture;

/// One light of one camera's shots.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LightDetail {
    /// The note's name, or `light-1`, `light-2`, … in order of appearance.
    pub light: String,
    /// The camera whose shots it was told from.
    pub camera: String,
    /// Index of the camera's shots, the same as in [`Report::light_by_camera`](super::Report::light_by_camera).
    pub sequence: usize,
    /// Whether the name comes from the notes.
    pub noted: bool,
    /// The note's role in words; empty when not noted.
    pub role: String,
    /// What name or role say it is for: `key`, `fill`, `background`, `dust`, or empty.
    pub purpose: String,
    /// The frame its strengths are told against; empty when it was never told apart.
    pub reference_frame: String,
    /// The same as an index into `Report::frames`.
    pub reference_index: Option<usize>,
    /// Whether it burns alone in at least one shot.
    pub has_solo: bool,
    /// Drift of its strength at one setting, stops per hour; None where nothing is proven.
    pub drift_stops_per_hour: Option<f64>,
    /// Shots in which it burned.
    pub frames_on: usize,
    /// Shots of which it is not told whether it burned.
    pub frames_unknown: usize,
    /// Shots in which it was set on and did not burn.
    pub misfires: usize,
    /// Where its own picture is strongest: "strongest at the left of the frame"; empty where it has none.
    pub shows: String,
    /// Index into `Report::light_pictures` of what it looks like by itself.
    #[serde(skip)]
    pub picture: Option<usize>,
    /// The same in the detail of the shot that shows it best, as large as a print; None where no shot can be set anew.
    #[serde(skip)]
    pub print: Option<LitPicture>,
}

/// What is known of the light of one camera's shots as a whole.
#[derive(Clone, Debug, Default, Serialize)]
pub struct CameraLight {
    /// The camera.
    pub camera: String,
    /// Whether light notes took part.
    pub noted: bool,
    /// How the tone curve was found, in words; empty where no light was told apart.
    pub curve: String,
    /// The frame the ambient is told against; empty for none.
    pub ambient_reference_frame: String,
    /// The same as an index into `Report::frames`.
    pub ambient_reference_index: Option<usize>,
    /// The ambient's course over the shoot, last minus first, in stops; None where nothing is proven.
    pub ambient_drift_stops: Option<f64>,
    /// Index into `Report::light_pictures` of the ambient by itself.
    #[serde(skip)]
    pub ambient_picture: Option<usize>,
}

/// What every light did on one stage, or on the most shot stage of a lighting.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LightAccount {
    /// One per light of the camera, in the order of [`Report::lights`](super::Report::lights), those that are off too.
    pub each_light: Vec<LightState>,
    /// The ambient.
    pub ambient: AmbientState,
    /// Key to fill, key to ambient.
    pub ratios: Vec<Ratio>,
}

impl LightAccount {
    /// How many lights' parts of the picture it tells, those that are off too.
    #[must_use]
    pub fn told(&self) -> usize {
        self.each_light.iter().filter(|state| state.is_told()).count()
    }
}

impl LightState {
    /// Whether both its strength and its part of the picture are given.
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.stops.is_some() && self.is_told()
    }

    /// Whether the light's part of the picture is told.
    #[must_use]
    pub fn is_told(&self) -> bool {
        self.on == "no" || self.share_of_frame_percent.is_some_and(|percent| percent > 0.0)
    }
}

/// One light on one stage.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LightState {
    /// Its name.
    pub light: String,
    /// Index into `Report::lights`.
    pub light_index: usize,
    /// Whether it is set on: yes, no or unknown.
    pub on: String,
    /// Strength against its reference frame in stops: median over the shots in which it burned.
    pub stops: Option<f64>,
    /// Lower end of the 90 % interval of that.
    pub stops_low: Option<f64>,
    /// Upper end.
    pub stops_high: Option<f64>,
    /// As noted, for example `1/8 -0.3`; empty when not noted.
    pub noted_power: String,
    /// As the picture tells it from the noted anchor; empty without one.
    pub power: String,
    /// Gel in the note's words; empty for none noted.
    pub gel: String,
    /// Modifier in the note's words; empty for none noted.
    pub modifier: String,
    /// Channel gains (R, G, B) against the reference frame: median over the shots in which it burned.
    pub gain: Option<[f64; 3]>,
    /// Share of the frame's light, 0..=100 percent: median over the shots in which it burned.
    pub share_of_frame_percent: Option<f64>,
    /// The same on the subject; None without a subject box.
    pub share_of_subject_percent: Option<f64>,
    /// Shots in which it was set on and did not burn.
    pub misfires: usize,
    /// Shots of which it is not told whether it burned.
    pub frames_unknown: usize,
    /// `as noted`, `differs` or `not tested`.
    pub agrees: String,
    /// "1/8, gel CTO; picture +0.1 stop against DSC_0403.JPG": all of it in words.
    pub words: String,
    /// Why something of it is not known; empty when all is.
    pub reason: String,
}

/// The ambient on one stage or in one shot.
#[derive(Clone, Debug, Default, Serialize)]
pub struct AmbientState {
    /// Against its reference frame, settings taken out, in stops.
    pub stops: Option<f64>,
    /// Lower end of the 90 % interval of that.
    pub stops_low: Option<f64>,
    /// Upper end.
    pub stops_high: Option<f64>,
    /// Share of the frame's light, 0..=100 percent; an upper bound where `at_most` is set.
    pub share_percent: Option<f64>,
    /// Whether the picture is too dark to say more than "at most" of the share and "at least" of the headroom.
    pub at_most: bool,
    /// How far the ambient alone stays under mid-grey at these settings, in stops; below 0 it is above.
    pub headroom_stops: Option<f64>,
    /// The same in words: "3.2 stops under mid-grey", "at least 5 stops under mid-grey", "not known".
    pub words: String,
}

/// How two parts of the light stand to each other.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Ratio {
    /// `key to fill` or `key to ambient`.
    pub what: String,
    /// The first part's light; empty when there is none.
    pub of: String,
    /// The second part's light, or `ambient`; empty when there is none.
    pub to: String,
    /// First over second in stops, each by itself.
    pub stops: Option<f64>,
    /// Lower end of its 90 % interval.
    pub stops_low: Option<f64>,
    /// Upper end.
    pub stops_high: Option<f64>,
    /// `subject` or `frame`: where it was told.
    pub over: String,
    /// "+2.0 stops on the subject: 4:1 light against light, 5:1 as both against the fill".
    pub words: String,
    /// Why it is not known; empty when it is.
    pub why_unknown: String,
}

impl Ratio {
    /// The ratio by the names of its lights where they are known: "rim to ambient", else "key to ambient".
    #[must_use]
    pub fn name(&self) -> String {
        if self.of.is_empty() || self.to.is_empty() { self.what.clone() } else { format!("{} to {}", self.of, self.to) }
    }
}

/// What page, charts and recap show of a lighting beyond its CSV row. In `shoot.json`, not in the CSV.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LightingDetail {
    /// Index of the camera's shots.
    pub sequence: usize,
    /// The stage that tells most lights, of those the one with most shots; what depends on settings is told for it.
    pub typical_stage: u32,
    /// Index into `Report::frames` of that stage's typical shot.
    pub typical_index: usize,
    /// Numbers of its stages in shooting order.
    pub stage_numbers: Vec<u32>,
    /// What its lights did on that stage; misfires and shots not told are counted over all its stages.
    pub light_account: LightAccount,
    /// Index into `Report::light_pictures` of the sum of all its lights and the ambient.
    #[serde(skip)]
    pub whole_picture: Option<usize>,
    /// Index into `Report::frames` of the shot whose lights can be set anew, the typical one where it can be; None for none.
    pub set_anew_index: Option<usize>,
    /// Why its lights cannot be set anew on the page; empty where they can.
    pub why_no_board: String,
    /// What goes when one of its lights is left out; lights that are on only.
    pub without: Vec<Without>,
    /// Where its lights stand, as far as noted; lights that are not off.
    pub stands: Vec<LightStand>,
    /// What its typical shot shows, for whoever cannot see it: which lights burn, their shares, where it is brightest.
    pub shows: String,
}

/// Where one light of a lighting stands in the typical shot, as far as it is noted.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LightStand {
    /// The light.
    pub light: String,
    /// Index into `Report::lights`.
    pub light_index: usize,
    /// From the sitter, metres.
    pub distance_m: Option<f64>,
    /// Seen from above, sitter in the middle, camera at 6: hours of a clock face, 7.5 for 7:30.
    pub clock_hours: Option<f64>,
    /// Above the sitter's ground, metres.
    pub height_m: Option<f64>,
    /// Metres to the camera's right of the sitter; below 0 to its left. None where the place is not noted.
    pub right_m: Option<f64>,
    /// Metres from the sitter towards the camera; below 0 behind the sitter.
    pub towards_camera_m: Option<f64>,
    /// Whether another shot of the lighting has it elsewhere.
    pub moved: bool,
    /// "3.9 m from the sitter at 7:30, 2.8 m high"; empty where nothing is noted.
    pub words: String,
    /// Why it has no place on a plan; empty when it has.
    pub why_not_drawn: String,
}

/// A lighting with one light left out.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Without {
    /// The light left out.
    pub light: String,
    /// Index into `Report::lights`.
    pub light_index: usize,
    /// What the frame's mean luminance loses, in stops, 0 or below.
    pub frame_stops: Option<f64>,
    /// The same on the subject; None without a subject box.
    pub subject_stops: Option<f64>,
    /// "without rim: the frame 0.2 stop darker".
    pub words: String,
    /// Where in the frame most stops go: "most at the right of the frame, 1.3 stops there"; empty where not known.
    pub shows: String,
    /// Index into `Report::light_pictures` of the sum of all the others, as bright as `whole_picture` is shown.
    #[serde(skip)]
    pub picture: Option<usize>,
    /// The shot of `set_anew_index` without this light, as large as its print; None where that cannot be worked out.
    #[serde(skip)]
    pub print: Option<Picture>,
    /// The same as small as a preview, where there is a print.
    #[serde(skip)]
    pub preview: Option<Picture>,
    /// Share of that print that is hatched because it is not known, 0..=100 percent.
    #[serde(skip)]
    pub print_hatched_percent: f64,
}

/// A picture worked out of a light's own tiles; what is not known in it is hatched.
#[derive(Clone, Debug)]
pub struct LitPicture {
    /// What it shows: "key alone, as in DSC_0403.JPG", "lighting 3 without rim".
    pub caption: String,
    /// The picture.
    pub picture: Picture,
    /// How many stops brighter than at its settings it is shown.
    pub brightened_stops: f64,
    /// Share of its area that is hatched, 0..=100 percent.
    pub hatched_percent: f64,
}
