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
        "clock_offset_s" Number "seconds added to this body's clock by --clock or --same-moment"
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
        "series" Number "number of the series; empty without a time or a picture"
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
        "keeper" Text "yes, no or unknown (one of several, or not rated); empty when no keepers were given"
        "keeper_match" Text "how the keeper was found: name, time, picture or one of several"
        "problems" Text "codes from the table of problems, separated by ;"
        "settings" Text "settings as people read them"
        "width" Number "width of the measured picture, upright"
        "height" Number "height of the measured picture, upright"
        "measured_from" Text "full picture or embedded picture"
        "lights" Text "lights that burned in this frame, separated by ;; none where none did; empty where that is not known"
        "misfires" Text "lights that were set on and did not burn, separated by ;"
        "ambient_stops" Number "the ambient against its reference frame in stops, with shutter, aperture and ISO taken out"
        "ambient_stops_low" Number "the lower end of its 90 % interval"
        "ambient_stops_high" Number "the upper end of that"
        "ambient_share_percent" Number "share of the frame's light that is ambient; an upper bound where ambient says at least"
        "ambient_headroom_stops" Number "how far the ambient alone stays under mid-grey at this frame's settings, in stops; below 0 it is above"
        "ambient" Text "the same in words"
    },
};

/// `culling.csv`.
pub const CULLING: Table = Table {
    file: "culling.csv",
    row: "a shot, in shooting order, grouped by series: how it stands among its own; nothing is deleted or moved",
    columns: columns! {
        "frame" Text "the shot"
        "series" Number "number of its series; empty without a time or a picture"
        "shot_in_series" Number "its place in the series, from 1"
        "shots_in_series" Number "shots of the series"
        "stage" Number "its stage"
        "lighting" Number "its lighting; empty while lights are not told apart"
        "standing" Text "what is to be remarked, separated by ;; nothing to remark where there is nothing"
        "reasons" Text "the figures behind each remark, in the same order, separated by ;"
        "sharpness_of_sharpest_percent" Number "its sharpness in percent of that of the series' sharpest shot; empty where there is nothing to compare"
        "sharpness_measured_on" Text "subject, inside the subject box, or frame"
        "misfires" Text "lights that were set on and did not burn, separated by ;"
        "short_lights" Text "lights that burned weaker than usual at this setting, separated by ;"
        "veil_stops" Number "how far the darkest places are lifted against the series, in stops; empty without a veil"
        "band_percent" Number "part of the picture that a band takes which no flash reached; empty without one"
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
        "lights" Text "lights set on, with noted power or level against the reference frame, and gel, separated by ;; none where all are off; empty while lights are not told apart"
        "misfires" Number "misfires; empty while lights are not told apart"
        "series_count" Number "all series of the stage; empty while series are not told apart"
        "keepers" Number "kept shots; empty when no keepers were asked for"
        "keeper_rate" Number "kept_series per candidate_series, 0..1; empty where there is no candidate"
        "keeper_rate_low" Number "lower end of its 95 % interval (Wilson)"
        "keeper_rate_high" Number "upper end of that"
        "settings" Text "settings as people read them"
        "kept_series" Number "series with a keeper"
        "candidate_series" Number "series with a shot that was a candidate: see the rule in report.html"
        "candidate_shots" Number "shots that were candidates"
        "candidates" Text "the same in words, and which shots were none"
    },
};

/// `lighting.csv`.
pub const LIGHTING: Table = Table {
    file: "lighting.csv",
    row: "a lighting: the lights as set, whatever the lens and the settings; a misfire does not change it",
    columns: columns! {
        "lighting" Number "number of the lighting, in order of first use"
        "stages" Text "numbers of its stages, separated by ;"
        "frames" Number "shots in these stages"
        "lights" Text "lights set on, with noted power or level against the reference frame, and gel, separated by ;; none where all are off"
        "changed" Text "what changed against the lighting before of the same camera, in words"
        "keepers" Number "kept shots; empty when no keepers were asked for"
        "series_count" Number "all series of these stages; empty while series are not told apart"
        "camera" Text "the camera"
        "first_frame" Text "first shot"
        "misfires" Number "lights that were set on and did not burn, counted over all its shots"
        "keeper_rate" Number "kept_series per candidate_series, 0..1; empty where there is no candidate"
        "keeper_rate_low" Number "lower end of its 95 % interval (Wilson)"
        "keeper_rate_high" Number "upper end of that"
        "kept_series" Number "series with a keeper"
        "candidate_series" Number "series with a shot that was a candidate: see the rule in report.html"
        "candidate_shots" Number "shots that were candidates"
        "candidates" Text "the same in words, and which shots were none"
        "seconds" Number "how long it was shot: first shot to last, over all its runs; empty when no keepers were asked for or a time is not known"
    },
};

/// `light-ledger.csv`.
pub const LIGHT_LEDGER: Table = Table {
    file: "light-ledger.csv",
    row: "a frame and a light",
    columns: columns! {
        "frame" Text "the frame"
        "stage" Number "its stage"
        "light" Text "the light: the note's name, or light-1, light-2 in order of appearance"
        "on" Text "whether it burned in this frame: yes, no or unknown"
        "misfire" Text "whether it was set on and did not burn: yes, no or unknown"
        "light_stops" Number "its strength against its own reference frame in stops, settings taken out; empty where it did not burn or cannot be told"
        "light_stops_low" Number "the lower end of the 90 % interval"
        "light_stops_high" Number "the upper end of that"
        "reference_frame" Text "the frame its strengths are told against"
        "power" Text "power as the picture tells it from the noted anchor, a fraction of full power; empty without an anchor"
        "gain_r" Number "red light against the reference frame, linear, settings taken out"
        "gain_g" Number "the same, green"
        "gain_b" Number "the same, blue"
        "share_of_frame_percent" Number "share of the frame's light that is this light's"
        "share_of_subject_percent" Number "the same inside the subject box; empty without one"
        "evidence" Text "solo, worked out, noted or not comparable"
        "noted_power" Text "power as noted, a fraction of full power"
        "agrees" Text "whether the picture agrees with the note: as noted, differs or not tested"
        "noted_gel" Text "gel in the note's words"
        "noted_modifier" Text "modifier in the note's words"
        "against_note_stops" Number "picture minus note in stops"
        "against_note_low" Number "the lower end of the 90 % interval"
        "against_note_high" Number "the upper end of that"
        "reason" Text "why something of this row is not known"
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

/// `keepers.csv`.
pub const KEEPERS: Table = Table {
    file: "keepers.csv",
    row: "a keeper as it was given; none when no choice was given",
    columns: columns! {
        "given" Text "the keeper as given: the name in a list, the export in its folder, or the file that holds the rating"
        "frame" Text "the shot it is; empty where it may be several or is none"
        "stage" Number "its stage"
        "match" Text "how it was found: name, time, picture, one of several, or none"
        "candidates" Text "the shots it may be, separated by ;"
    },
};

/// `keeper-count.csv`, written only where keepers were asked for.
pub const KEEPER_COUNT: Table = Table {
    file: "keeper-count.csv",
    row: "what keepers are counted over: the shoot, a lighting, a stage, a setup, a lens, or a light that was set on",
    columns: columns! {
        "what" Text "shoot, lighting, stage, setup, lens or light"
        "value" Text "its number or name; empty for the shoot"
        "keepers" Number "kept shots; a keeper that several shots explain counts where all of them belong here"
        "kept_series" Number "series with a keeper; empty while series are not told apart"
        "series" Number "series with a shot that was a candidate"
        "shots" Number "shots that were candidates"
        "rate" Number "kept_series per series, 0..1; empty where there is no candidate"
        "rate_low" Number "lower end of its 95 % interval (Wilson)"
        "rate_high" Number "upper end of that"
        "perhaps" Number "keepers that several shots explain and that may or may not belong here"
        "shots_not_judged" Number "shots that were no candidates: nobody judged them, where ratings judged others"
        "shots_without_picture" Number "the same: no picture could be read"
        "shots_misfired" Number "the same: a light that was set on did not burn"
        "shots_of_tests" Number "the same: tests of the build"
        "seconds" Number "of a lighting: how long it was shot, first shot to last, over all its runs"
        "candidates" Text "in words which shots were candidates and which were none"
    },
};

/// Every table, in the order of the README.
pub const TABLES: [Table; 9] =
    [FRAMES, CULLING, STAGES, LIGHTING, LIGHT_LEDGER, KEEPERS, KEEPER_COUNT, FINDINGS, PROBLEMS];
