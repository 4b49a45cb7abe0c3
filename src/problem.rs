//! The registry of everything that can be wrong or remarkable: one birthplace for code, text, cause and remedy.
//!
//! The CSV legend, the page's help and the README's table are all written from [`REGISTRY`], so a new problem is
//! one variant, one row here, and nothing else.

use serde::{Serialize, Serializer};

/// How much a code asks of the photographer. Ordered from least to most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Something the reader of a figure should know; nothing is lost and nothing needs doing.
    Note,
    /// Worth a look: a figure or the order of frames may not be what it seems.
    Look,
    /// A file, a folder or its picture could not be read, in whole or in part.
    Unread,
}

impl Weight {
    /// The word used in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Look => "look at",
            Self::Unread => "could not read",
        }
    }
}

/// One row of the registry.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// The code this row explains.
    pub code: Code,
    /// The code as written in cells: lower case, words joined by hyphens.
    pub name: &'static str,
    /// How much it asks of the photographer.
    pub weight: Weight,
    /// What is wrong, one line.
    pub text: &'static str,
    /// Why it happens.
    pub cause: &'static str,
    /// What to do about it.
    pub remedy: &'static str,
}

macro_rules! registry {
    ($( $variant:ident $name:literal $weight:ident { $text:literal, $cause:literal, $remedy:literal } )+) => {
        /// A problem or finding code. The order is the order of the registry.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Code { $( #[doc = $text] $variant, )+ }

        /// Every code with its text, cause and remedy, in a fixed order.
        pub const REGISTRY: &[Entry] = &[ $( Entry {
            code: Code::$variant, name: $name, weight: Weight::$weight, text: $text, cause: $cause, remedy: $remedy,
        }, )+ ];

        impl Code {
            /// The registry row of this code.
            #[must_use]
            pub fn entry(self) -> &'static Entry {
                match self { $( Self::$variant => &const { Entry {
                    code: Code::$variant, name: $name, weight: Weight::$weight, text: $text, cause: $cause, remedy: $remedy,
                } }, )+ }
            }
        }
    };
}

registry! {
    // Walking the folder.
    FolderUnreadable "folder-unreadable" Unread {
        "the folder cannot be opened", "missing permission, or the card or disk has gone away",
        "give yourself read permission or plug the card in again, then run again" }
    LinkLoop "link-loop" Unread {
        "a link leads back to a folder above it", "a symbolic link points at one of its own parent folders",
        "nothing is lost: the frames are read where they really lie; remove the link if it annoys" }
    LinkBroken "link-broken" Unread {
        "a link leads nowhere", "the file or folder it points at was moved or deleted",
        "copy the frame itself into the folder, or remove the link" }
    FormatNotRead "format-not-read" Unread {
        "a picture in a format that is not read", "only JPEG, PNG, TIFF, WebP, HEIC and camera raw files are read",
        "export it as JPEG or 16-bit TIFF if it belongs to the shoot" }
    SystemShadow "system-shadow" Note {
        "not a picture: a shadow file written by an operating system", "names that begin with ._ hold another system's file properties",
        "nothing to do; the real frame has the same name without the ._" }
    NotAFile "not-a-file" Unread {
        "the name ends like a picture but is not a file", "a device, a pipe or a socket carries this name",
        "remove it or give it another name" }
    // Reading a file.
    FileEmpty "file-empty" Unread {
        "the file holds no bytes", "copying was interrupted, or the card was full",
        "copy it from the card again" }
    FileUnreadable "file-unreadable" Unread {
        "the file cannot be read", "missing permission, a failing card, or it vanished during the run",
        "check the card and the permission, then run again" }
    FileTooLarge "file-too-large" Unread {
        "the file is larger than any camera writes", "files above 4 GB are not opened",
        "check what this file is; export the frame again if it belongs to the shoot" }
    NotThisFormat "not-this-format" Unread {
        "the content is not what the name says", "the file was renamed, or is not a picture at all",
        "give it its right ending, or remove it from the shoot" }
    OtherFormat "other-format" Note {
        "the content is of another format than the name says", "the file was renamed, or exported under another ending",
        "nothing is lost: it is read by its content; give it its right ending" }
    // Reading EXIF.
    ExifMissing "exif-missing" Look {
        "the file carries no EXIF", "exported without metadata, or stripped by a program on the way",
        "use the file as the camera wrote it; without EXIF no settings and no time are known" }
    ExifDamaged "exif-damaged" Look {
        "the EXIF is damaged; what could be read is used", "a broken offset or length in the metadata",
        "copy the file from the card again; check the figures of this row" }
    TimeMissing "time-missing" Look {
        "no time of capture is given", "the camera or a program left it out",
        "the frame is ordered by its name; check its place" }
    TimeBlank "time-blank" Look {
        "the time of capture is blank or all zeros", "the camera's clock was never set",
        "set the camera's clock; the frame is ordered by its name" }
    TimeMalformed "time-malformed" Look {
        "the time of capture cannot be understood", "it is not written as YYYY:MM:DD HH:MM:SS, or names a day that does not exist",
        "the frame is ordered by its name; check its place" }
    TimeDigitized "time-digitized" Note {
        "the time is that of digitising", "the file gives no usable time of capture; for a camera both are one moment",
        "nothing to do for a camera's file; of a scan it is the time of scanning" }
    OffsetMalformed "offset-malformed" Note {
        "the time zone of capture cannot be understood", "it is not written as +HH:MM",
        "the time is used without its zone" }
    ApertureMissing "aperture-missing" Note {
        "no f-number is given", "a lens without contacts, or metadata left out",
        "note the aperture by hand; nothing is claimed about its changes" }
    ApertureInvalid "aperture-invalid" Look {
        "the f-number makes no sense", "a zero, a fraction over zero, or a value no lens has",
        "treated as not known; nothing is claimed about its changes" }
    ShutterMissing "shutter-missing" Note {
        "no exposure time is given", "metadata left out", "note the exposure time by hand; nothing is claimed about its changes" }
    ShutterInvalid "shutter-invalid" Look {
        "the exposure time makes no sense", "a zero, a fraction over zero, or a value no shutter has",
        "treated as not known; nothing is claimed about its changes" }
    IsoMissing "iso-missing" Note {
        "no ISO is given", "metadata left out", "note the ISO by hand; nothing is claimed about its changes" }
    IsoInvalid "iso-invalid" Look {
        "the ISO makes no sense", "a zero or a value no camera has", "treated as not known; nothing is claimed about its changes" }
    IsoCapped "iso-capped" Look {
        "the ISO is 65535 or more, and no longer field says how much", "the old EXIF field cannot hold more than 65535",
        "treated as not known; nothing is claimed about its changes" }
    ApexUsed "apex-used" Note {
        "f-number or exposure time taken from its APEX value", "the plain field is left out",
        "nothing to do; the value may differ a little from the marked one" }
    ApertureContradicts "aperture-contradicts" Look {
        "f-number and APEX aperture differ by more than a third of a stop", "a program rewrote one and not the other",
        "the f-number is used; compare with the camera's own file" }
    ShutterContradicts "shutter-contradicts" Look {
        "exposure time and APEX shutter value differ by more than a third of a stop", "a program rewrote one and not the other",
        "the exposure time is used; compare with the camera's own file" }
    FocalLengthInvalid "focal-length-invalid" Note {
        "the focal length makes no sense", "a zero or a fraction over zero: often a lens without contacts",
        "treated as not known" }
    OrientationInvalid "orientation-invalid" Note {
        "the orientation is not one of the eight", "the value lies outside 1 to 8", "the picture is taken as upright; check it" }
    FieldInvalid "field-invalid" Note {
        "a lesser EXIF field makes no sense", "a value its definition does not allow, or of the wrong type",
        "treated as not known" }
    // Reading the picture.
    EmbeddedPicture "embedded-picture" Note {
        "figures are from the picture embedded by the camera", "the pixels of this format are not read",
        "fine for comparing shots; for full-size figures put the camera's JPEG beside it" }
    NoPicture "no-picture" Unread {
        "no pixels could be measured", "the pixels of this format are not read and no embedded picture was found",
        "put the camera's JPEG beside the file" }
    PictureTruncated "picture-truncated" Unread {
        "the picture breaks off before its end", "copying was interrupted, or the card failed",
        "copy it from the card again; no figures are given from a part" }
    PictureDamaged "picture-damaged" Unread {
        "the picture cannot be decoded", "damaged data, or a variant of the format that is not read",
        "copy it from the card again, or export it as plain JPEG or TIFF" }
    PictureTooLarge "picture-too-large" Unread {
        "the picture is larger than the limit", "its header claims more pixels than any camera of this kind has",
        "check the file; a stitched panorama must be exported smaller" }
    PictureVariant "picture-variant" Unread {
        "a variant of the format that is not read", "for example floating-point, 1-bit or Lab pixels",
        "export it as 8- or 16-bit RGB" }
    DecoderFailed "decoder-failed" Unread {
        "the decoder gave up in an unforeseen way", "the file's bytes trip a defect of the decoder",
        "keep the file: it makes a good report; export the frame again" }
    ProfileUnreadable "profile-unreadable" Look {
        "the colour profile cannot be used", "it is damaged or of a kind that is not read",
        "the picture was read as sRGB; check the figures of this row" }
    ProfileAssumed "profile-assumed" Note {
        "CMYK without a usable profile", "nothing in the file says how these inks look",
        "converted by simple arithmetic: figures are approximate" }
    // Making shots of files.
    CompanionDiffers "companion-differs" Look {
        "two files of one name and time disagree in their settings", "two different presses of the shutter share a name",
        "kept as two shots; rename one" }
    ClockJump "clock-jump" Look {
        "the clock jumps back while the frame counter goes on", "the camera's clock was set during the shoot, or summer time ended",
        "the order follows the counter here; seconds across the jump are not given" }
    TimeEqual "time-equal" Note {
        "same time as the shot before", "the camera records whole seconds only",
        "ordered by name within the second" }
    ClockUnknownBody "clock-unknown-body" Look {
        "--clock names a body that took none of these shots", "a typing slip in the serial number",
        "use a serial number from the body_serial column" }
    // Reading the light notes.
    NotesUnreadable "notes-unreadable" Unread {
        "the light notes cannot be read", "the file cannot be opened, is no text, or has no header row",
        "give a text table with the columns from, light and power in its first row; save a spreadsheet as CSV" }
    NotesPassedOver "notes-passed-over" Note {
        "the light notes in the folder are not used", "--notes names another file",
        "leave --notes out to use the notes in the folder" }
    NoteColumnUnknown "note-column-unknown" Note {
        "a column of the light notes is not known", "its heading is none of from, light, power, gel, modifier, distance_m, clock_position, height_m, role, note, or stands there twice",
        "nothing to do if it is for yourself; else correct its heading" }
    NoteLineUnclear "note-line-unclear" Look {
        "a line of the light notes cannot be followed", "it names no light or several, or its cells cannot be told apart",
        "correct the line; until its next line that can be read, the power of its light is taken as not said" }
    NoteUnreadable "note-unreadable" Look {
        "a power in the light notes cannot be read", "its spelling may mean several things, or none",
        "write it like 1/8, 1/8 -0.3, on or off; until the light's next line that can be read, its power is taken as not said" }
    NoteDate "note-date" Look {
        "a power in the light notes was turned into a date", "a spreadsheet takes 1/8 for a day",
        "check the reading; format the column as text before typing, or type 1/8 with an apostrophe before it" }
    NoteNumberUnreadable "note-number-unreadable" Look {
        "a distance, height or clock position in the light notes cannot be read", "it is no length in metres or no hour of a clock face",
        "write lengths like 3.9 and positions like 7:30; the cell is taken as blank" }
    NoteFrameUnknown "note-frame-unknown" Look {
        "from in the light notes names no shot", "a typing slip, or the frame was deleted",
        "write the file name as in frames.csv, or a time like 16:24; the line is not used, and the light's line before it goes on holding" }
    NoteFromAmbiguous "note-from-ambiguous" Look {
        "from in the light notes may be several shots", "a counter that began anew, or a time that is met on several days",
        "write the folder before the name, or the date before the time; the line is not used, and the light's line before it goes on holding" }
    NoteTimeEarly "note-time-early" Note {
        "a time in the light notes lies before the first shot", "the lights were set before shooting began, or two clocks differ",
        "nothing to do if the clocks agree; else see --clock" }
    NoteTimeOutside "note-time-outside" Look {
        "a time in the light notes lies after the last shot", "a typing slip, or two clocks that differ",
        "check the time against frames.csv, or see --clock; the line is not used" }
    NoteContradicts "note-contradicts" Look {
        "two lines of the light notes contradict each other", "one was corrected and the other forgotten",
        "remove the one that is wrong" }
    SubjectUnreadable "subject-unreadable" Look {
        "a subject box cannot be used", "it is not four numbers, or lies outside the picture",
        "write left edge, top edge, width and height in percent of the upright picture, for example 30,10,40,80" }
    SubjectClipped "subject-clipped" Note {
        "a subject box reaches outside the picture", "left edge and width, or top edge and height, are more than 100 percent together",
        "nothing to do; the part inside is used" }
    // The photographer's choice.
    KeeperUnknown "keeper-unknown" Look {
        "a keeper that is no shot of this shoot", "a typing slip, a frame that was deleted, or a picture from elsewhere",
        "write the name as in frames.csv, or take it out of the choice; it counts for no lighting" }
    KeeperAmbiguous "keeper-ambiguous" Look {
        "a keeper that may be several shots", "a counter that began anew in another folder, or several shots of one second",
        "write the folder before the name, or export with the camera's time; the candidates are in keepers.csv" }
    KeeperContradicts "keeper-contradicts" Look {
        "name, camera time and picture of an export are not of one shot", "it was renamed or renumbered, its clock was changed, or it comes from another shoot",
        "look at it in keepers.csv; if it is wrong, give the export the shot's name and time" }
    KeeperTwice "keeper-twice" Note {
        "a keeper is named more than once", "a line was copied, or raw and JPEG of one shot are both listed",
        "nothing to do; the shot is counted once" }
    KeepersInside "keepers-inside" Note {
        "the folder of exported pictures lies inside the shoot", "exports are kept beside the frames",
        "nothing to do; its pictures are no shots" }
    KeepersNone "keepers-none" Look {
        "no shot is rated high enough to be a keeper", "the pictures are not rated, or the stars lie in a program's own catalogue",
        "let the program write its ratings into files or sidecars, or choose another --keeper-rating" }
    RatingConflict "rating-conflict" Look {
        "ratings of one shot disagree", "it was rated in two programs, or a sidecar is out of date",
        "check the rating; a sidecar goes before the picture's own, and name.ext.xmp before name.xmp" }
    RatingUnreadable "rating-unreadable" Look {
        "a rating cannot be read", "it is no number that ISO 16684-1 allows, or the XMP that holds it is damaged",
        "rate the picture again; this rating is not used" }
    LightUnknown "light-unknown" Look {
        "a guide number or a lowest power is given for no light of this shoot",
        "a typing slip after --guide-number or --lowest-power, or a light that was never noted",
        "use a name from the light column of light-ledger.csv" }
    MomentUnusable "moment-unusable" Look {
        "two frames given for one moment cannot be used", "a name that is no shot or several, one body twice, or a frame without a time",
        "give one frame of each body, named as in frames.csv, both with a time" }
    MomentContradicts "moment-contradicts" Look {
        "what is said of the clocks contradicts itself", "one of the frames was not taken at that moment, or a clock was set in between",
        "check the frames of --same-moment and the seconds of --clock" }
    // What the audit found.
    SettingsSlip "settings-slip" Look {
        "one shot with other settings between shots that agree", "automatic ISO, or a dial turned by accident",
        "check the settings of this shot; lock the dial or switch automatic ISO off" }
    ExposureProgramAuto "exposure-automatic" Look {
        "exposure was automatic in a build lit by hand", "the camera's mode dial was not on manual",
        "use manual exposure: otherwise settings change with the light they should show" }
    Misfire "misfire" Look {
        "a light that was set on did not burn", "the flash had not recycled, the trigger lost contact, or a cell was empty",
        "next time wait for the ready light, check trigger and cells, and look for the missing light on the back of the camera" }
    ShortFlash "short-flash" Look {
        "a light burned weaker than usual after a short gap", "the flash fired before it had recycled",
        "next time leave the usual gap between shots, use less power, or shoot with a second head" }
    Recycle "recycle" Look {
        "a light fails after short gaps and burns in full after longer ones", "it had not recycled at this power",
        "next time leave at least the gap named here, use less power, or shoot with a second head" }
    Banding "banding" Look {
        "a dark band along a long edge of the picture", "the shutter was not wholly open when the flash burned: faster than sync speed, or a late trigger",
        "next time use the sync speed or a slower one; check the trigger if it was that already" }
    Veil "veil" Look {
        "light lies evenly over the whole picture", "breath, flare, rain or dust before the lens, or stray light; which cannot be known",
        "compare it with its series; next time shade the lens, wipe it, and wait for the air to clear" }
    SoftSeries "soft-series" Look {
        "a whole series is softer than the others of its setup", "focus lay elsewhere, or camera or sitter moved",
        "look at full size; next time check the focus on the back of the camera after each move" }
    ClippedSubject "clipped-subject" Look {
        "highlights are clipped on the subject", "the light on the subject is stronger than the exposure allows for",
        "next time take the light down or close the aperture by the part of a stop that brings the channel back" }
    ClippedSkin "clipped-skin" Look {
        "one channel is clipped where the colour is like skin", "a gel or warm light drives this channel to its end before the others",
        "look at full size; next time take this light down; mark the subject to have the rest passed over" }
    IsoAutomatic "iso-automatic" Look {
        "the ISO wanders as if the camera chose it", "automatic ISO in a build lit by hand",
        "switch automatic ISO off: it takes back what the lights add" }
    WhiteBalanceAutomatic "white-balance-automatic" Look {
        "white balance was automatic in a build lit by hand", "the camera chose the colours anew for every shot",
        "set white balance by hand; of these shots no gel or cast is told" }
    SpillOnSubject "spill-on-subject" Look {
        "a light meant for the background or the dust also falls on the subject", "it stands too close, or nothing keeps its light off the subject",
        "next time flag it, grid it, or turn it away from the subject" }
    GelCast "gel-cast" Look {
        "a light changed its colour and no note says so", "a gel was changed, slipped or faded, or the change was not noted",
        "compare the two frames; note the gel from this frame on if it was changed, else fix it to the head" }
    LightDrift "light-drift" Look {
        "a light's strength wandered at one setting", "heat, a weak cell, or a stand that slowly turned",
        "next time shoot one test frame of this light alone at the end as at the beginning" }
    AmbientDrift "ambient-drift" Look {
        "the ambient light changed during the shoot", "dusk, dawn or passing clouds",
        "next time take a frame with all flashes off now and then, and move the shutter to follow" }
    DiffersFromNote "differs-from-note" Look {
        "the picture does not agree with the note", "the power was changed without a note, or the note has a slip",
        "check the note's power and its first frame against the frames named, correct it, and run again" }
    NoteLate "note-late" Look {
        "a note begins a frame late", "the light was changed before the frame that the note names",
        "let the note begin at the frame named here, and run again" }
}

impl Serialize for Code {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.entry().name)
    }
}

/// Something wrong with one file or folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Path relative to the shoot, `/` separated.
    pub file: String,
    /// What is wrong.
    pub code: Code,
    /// The particular of this case in words (a value, a decoder's message), where there is one.
    pub detail: Option<String>,
}

/// A code with the particular of one case, not yet tied to a file name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flaw {
    /// What is wrong.
    pub code: Code,
    /// The particular of this case in words, where there is one.
    pub detail: Option<String>,
}

impl Flaw {
    /// A flaw that needs no more words than its registry row.
    #[must_use]
    pub fn plain(code: Code) -> Self {
        Self { code, detail: None }
    }

    /// A flaw with the particular of this case.
    pub fn with(code: Code, detail: impl Into<String>) -> Self {
        Self { code, detail: Some(detail.into()) }
    }

    /// Ties the flaw to a file.
    #[must_use]
    pub fn of(self, file: &str) -> Problem {
        Problem { file: file.to_owned(), code: self.code, detail: self.detail }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_code_has_one_name_and_full_sentences() {
        let names: BTreeSet<_> = REGISTRY.iter().map(|entry| entry.name).collect();
        assert_eq!(names.len(), REGISTRY.len(), "two codes share a name");
        for entry in REGISTRY {
            assert_eq!(entry.code.entry().name, entry.name);
            assert!(entry.name.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", entry.name);
            for part in [entry.text, entry.cause, entry.remedy] {
                assert!(part.len() > 8 && !part.ends_with('.'), "{}: {part:?}", entry.name);
            }
        }
    }
}
