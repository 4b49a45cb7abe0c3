//! The registry of columns: every CSV file's header, order and legend are written from here.

/// What a cell holds, which decides how it is made safe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// A number: written as it is, empty when not known.
    Number,
    /// Words that may come from a file: never read as a formula by a spreadsheet.
    Text,
}

/// One column of one file.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Name in the header, with its unit.
    pub name: &'static str,
    /// What its cells hold.
    pub holds: Holds,
    /// What it means, one line.
    pub meaning: &'static str,
}

/// One CSV file.
#[derive(Clone, Copy, Debug)]
pub struct Table {
    /// File name.
    pub file: &'static str,
    /// What a row is.
    pub row: &'static str,
    /// Its columns in order.
    pub columns: &'static [Column],
}

macro_rules! columns {
    ($( $name:literal $holds:ident $meaning:literal )+) => {
        &[ $( Column { name: $name, holds: Holds::$holds, meaning: $meaning }, )+ ]
    };
}

/// `frames.csv`.
pub const FRAMES: Table = Table {
    file: "frames.csv",
    row: "a shot, in shooting order, cameras one after the other",
    columns: columns! {
        "frame" Text "path of the frame relative to the shoot; the name by which all files speak of it"
        "companion" Text "other files of the same press of the shutter, separated by ;"
        "camera" Text "maker and model; with the serial number where two bodies would read the same"
        "body_serial" Text "serial number of the body"
        "lens" Text "lens by the best name the file gives"
        "taken" Text "time of capture, ISO 8601, with fraction and offset where known, after clock correction"
        "clock_offset_s" Number "seconds added to this body's clock by --clock"
        "focal_length_mm" Number "focal length as marked on the lens"
        "f_number" Number "f-number as marked"
        "exposure_time_s" Number "exposure time as marked"
        "iso" Number "ISO as marked"
        "exposure_compensation_stops" Number "exposure compensation"
        "white_balance" Text "auto or manual; empty when not known"
        "ev100" Number "exposure value at ISO 100, from the exact values behind the marks"
        "stage" Number "number of the stage"
        "setup" Number "number of the setup: the same camera, lens, settings and lighting, whenever met"
        "lighting" Number "number of the lighting; empty while lights are not told apart"
        "series" Number "number of the series; empty while series are not told apart"
        "seconds_since_previous" Number "seconds since the shot before of the same camera"
        "mean_luminance" Number "mean luminance over all pixels in linear light, 0..1"
        "mean_luminance_stops" Number "the same in stops from mid-grey (0.18)"
        "median_luminance" Number "median luminance over all pixels in linear light, 0..1"
        "highlights_clipped_percent" Number "pixels with any channel at 254 of 255 or above"
        "highlights_clipped_r_percent" Number "the same, red alone"
        "highlights_clipped_g_percent" Number "the same, green alone"
        "highlights_clipped_b_percent" Number "the same, blue alone"
        "shadows_clipped_percent" Number "pixels with all three channels at 1 of 255 or below"
        "settings_change_flash_stops" Number "what the settings did to flash light since the shot before; empty above sync speed"
        "settings_change_ambient_stops" Number "what the settings did to ambient light since the shot before"
        "picture_change_stops" Number "change of mean luminance since the shot before"
        "light_change_stops" Number "picture change minus settings change; empty when it depends on the share of ambient"
        "light_change_stops_low" Number "the lower end of that"
        "light_change_stops_high" Number "the upper end of that"
        "sharpness" Number "fine detail relative to local brightness; compare shots of one series only"
        "keeper" Text "yes, no or unknown; empty when no keepers were given"
        "keeper_match" Text "how the keeper was matched"
        "problems" Text "codes from the table of problems, separated by ;"
        "settings" Text "settings as people read them"
        "width" Number "width of the measured picture, upright"
        "height" Number "height of the measured picture, upright"
        "measured_from" Text "full picture or embedded picture"
    },
};

/// `stages.csv`.
pub const STAGES: Table = Table {
    file: "stages.csv",
    row: "a stage: a run of shots of one camera with the same lens, settings and lighting",
    columns: columns! {
        "stage" Number "number of the stage"
        "setup" Number "number of the setup"
        "lighting" Number "number of the lighting; empty while lights are not told apart"
        "camera" Text "the camera"
        "first_frame" Text "first shot"
        "last_frame" Text "last shot"
        "frames" Number "shots in the stage"
        "started" Text "time of the first shot"
        "seconds" Number "from the first shot to the last"
        "lens" Text "the lens"
        "focal_length_mm" Number "focal length, when one for all shots"
        "f_number" Number "f-number as marked"
        "exposure_time_s" Number "exposure time as marked"
        "iso" Number "ISO as marked"
        "changed" Text "what began this stage, in words"
        "mean_luminance_stops" Number "median over the shots of the mean luminance in stops from mid-grey"
        "light_change_stops" Number "light change of the first shot against the shot before"
        "lights" Text "lights that are on; empty while lights are not told apart"
        "misfires" Number "misfires; empty while lights are not told apart"
        "series_count" Number "series; empty while series are not told apart"
        "keepers" Number "keepers; empty when none were given"
        "keeper_rate" Number "keepers per series"
        "keeper_rate_low" Number "lower end of its 95 % interval"
        "keeper_rate_high" Number "upper end of its 95 % interval"
        "settings" Text "settings as people read them"
    },
};

/// `findings.csv`.
pub const FINDINGS: Table = Table {
    file: "findings.csv",
    row: "something to look at",
    columns: columns! {
        "frame" Text "the shot it is about"
        "stage" Number "its stage"
        "light" Text "the light it is about"
        "code" Text "code from the table of problems"
        "finding" Text "the finding in words"
        "evidence" Text "the figures it rests on"
        "certainty" Text "how certain, and of what"
        "remedy" Text "what to do"
    },
};

/// `problems.csv`.
pub const PROBLEMS: Table = Table {
    file: "problems.csv",
    row: "something wrong with a file or folder",
    columns: columns! {
        "file" Text "path relative to the shoot"
        "code" Text "code from the table of problems"
        "problem" Text "what is wrong, with the particular of this case"
        "remedy" Text "what to do"
        "weight" Text "note, look at, or could not read"
        "in_frames" Text "whether the file is a row of frames.csv or a companion of one: yes or no"
    },
};

/// Every table, in the order of the README.
pub const TABLES: [Table; 4] = [FRAMES, STAGES, FINDINGS, PROBLEMS];
