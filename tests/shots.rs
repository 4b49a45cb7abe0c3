//! Shots, cameras, order and stages on plain values: no files, the answer known beforehand.

use jiff::civil::date;
use stoptally::exposure::words;
use stoptally::light::LightLedger;
use stoptally::metadata::{Lens, Marked, Metadata, Taken};
use stoptally::problem::Code;
use stoptally::shots::clock::{Clocks, Correction};
use stoptally::shots::{ReadFile, Sequence, assemble};
use stoptally::stages::{self, changed};
use stoptally::walk::{Kind, PhotoFile};

const SYNC: f64 = 1.0 / 250.0;

/// A file of the body TS-0417 at 16:20 plus so many seconds, f/5.6, 1/200, ISO 100, 35mm F2.
fn file(name: &str, seconds: f64) -> ReadFile {
    let kind = if name.ends_with("CR3") { Kind::Raw } else { Kind::Jpeg };
    let fraction = seconds.fract() != 0.0;
    let local = date(2026, 11, 7).at(16, 20, 0, 0) + jiff::SignedDuration::from_secs_f64(seconds);
    ReadFile {
        file: PhotoFile { path: name.into(), name: name.to_owned(), kind, bytes: 1 },
        metadata: Metadata {
            make: Some("Testcam".to_owned()),
            model: Some("T1".to_owned()),
            body_serial: Some("TS-0417".to_owned()),
            lens: Lens::Named("35mm F2".to_owned()),
            taken: Some(Taken { local, fraction_digits: if fraction { 2 } else { 0 }, offset_minutes: None }),
            focal_length_mm: Some(35.0),
            f_number: Some(Marked { num: 56, den: 10 }),
            exposure_time_s: Some(Marked { num: 1, den: 200 }),
            iso: Some(100),
            ..Metadata::default()
        },
        measurement: None,
        flaws: Vec::new(),
    }
}

fn with(mut file: ReadFile, change: impl FnOnce(&mut Metadata)) -> ReadFile {
    change(&mut file.metadata);
    file
}

fn one(files: Vec<ReadFile>) -> Sequence {
    let (mut sequences, problems) = assemble(files, &Clocks::default());
    assert!(problems.is_empty());
    assert_eq!(sequences.len(), 1);
    sequences.remove(0)
}

fn order(sequence: &Sequence) -> Vec<&str> {
    sequence.shots.iter().map(|shot| shot.frame.as_str()).collect()
}

#[test]
fn a_raw_and_its_jpeg_are_one_shot() {
    let sequence = one(vec![file("T_1.CR3", 0.0), file("T_1.JPG", 0.0), file("T_2.JPG", 1.0)]);
    assert_eq!(order(&sequence), ["T_1.JPG", "T_2.JPG"]);
    assert_eq!(sequence.shots[0].companions, ["T_1.CR3"]);
}

#[test]
fn the_copies_of_two_card_slots_are_one_shot() {
    let sequence =
        one(vec![file("A/T_1.JPG", 0.25), file("B/T_1.JPG", 0.25), file("A/T_2.JPG", 1.0), file("B/T_2.JPG", 7.0)]);
    assert_eq!(order(&sequence), ["A/T_1.JPG", "A/T_2.JPG", "B/T_2.JPG"]);
    assert_eq!(sequence.shots[0].companions, ["B/T_1.JPG"]);
}

#[test]
fn one_name_but_two_presses_stay_two_shots_and_say_so() {
    let sequence = one(vec![file("T_1.CR3", 0.0), file("T_1.JPG", 60.0)]);
    assert_eq!(sequence.shots.len(), 2);
    assert!(sequence.shots.iter().any(|s| s.has(Code::CompanionDiffers)));
    let iso = one(vec![file("T_1.CR3", 0.0), with(file("T_1.JPG", 0.0), |m| m.iso = Some(200))]);
    assert_eq!(iso.shots.len(), 2, "another ISO is another press");
}

#[test]
fn a_companion_fills_what_the_frame_leaves_out() {
    let stripped = with(file("T_1.JPG", 0.0), |m| *m = Metadata::default());
    let sequence = one(vec![file("T_1.CR3", 0.0), stripped]);
    assert_eq!((sequence.shots.len(), sequence.shots[0].metadata.iso), (1, Some(100)));
    assert!(sequence.shots[0].taken.is_some());
}

#[test]
fn fractions_of_a_second_decide_and_the_counter_breaks_ties() {
    let sequence =
        one(vec![file("T_0001.JPG", 9.0), file("T_9999.JPG", 9.0), file("T_9998.JPG", 8.75), file("T_0002.JPG", 9.5)]);
    assert_eq!(order(&sequence), ["T_9998.JPG", "T_9999.JPG", "T_0001.JPG", "T_0002.JPG"]);
    let gaps: Vec<_> = sequence.shots.iter().map(|s| s.seconds_since_previous).collect();
    assert_eq!(gaps, [None, Some(0.25), Some(0.0), Some(0.5)]);
    assert!(sequence.shots[2].has(Code::TimeEqual) && !sequence.shots[1].has(Code::TimeEqual));
}

#[test]
fn a_shot_without_a_time_stands_behind_the_name_before_it() {
    let no_time = with(file("T_0002.JPG", 0.0), |m| m.taken = None);
    assert_eq!(
        order(&one(vec![file("T_0003.JPG", 5.0), no_time, file("T_0001.JPG", 1.0)])),
        ["T_0001.JPG", "T_0002.JPG", "T_0003.JPG"]
    );
}

#[test]
fn a_clock_set_back_does_not_shuffle_the_shoot() {
    let mut files: Vec<_> = (0..6).map(|n| file(&format!("T_00{:02}.JPG", n + 10), f64::from(n) * 60.0)).collect();
    files.extend((6..12).map(|n| file(&format!("T_00{:02}.JPG", n + 10), f64::from(n) * 60.0 - 480.0)));
    let sequence = one(files);
    let counters: Vec<_> = (10..22).map(|n| format!("T_00{n}.JPG")).collect();
    assert_eq!(order(&sequence), counters);
    let jumped: Vec<_> = sequence.shots.iter().filter(|s| s.has(Code::ClockJump)).map(|s| s.frame.as_str()).collect();
    assert_eq!(jumped, ["T_0016.JPG"]);
    assert_eq!(sequence.shots[6].seconds_since_previous, None, "nobody knows how long the jump was");
}

#[test]
fn names_that_follow_no_counter_are_ordered_by_time() {
    let sequence = one(vec![file("leap.JPG", 3.0), file("arabesque.JPG", 9.0), file("zenith.JPG", 1.0)]);
    assert_eq!(order(&sequence), ["zenith.JPG", "leap.JPG", "arabesque.JPG"]);
}

#[test]
fn offsets_put_shots_across_the_end_of_summer_time_in_order() {
    let zoned = |name: &str, seconds: f64, offset: i16| {
        with(file(name, seconds), |m| m.taken.as_mut().unwrap().offset_minutes = Some(offset))
    };
    let sequence = one(vec![zoned("b.JPG", 0.0, 60), zoned("a.JPG", 1800.0, 120)]);
    assert_eq!(order(&sequence), ["a.JPG", "b.JPG"]);
    assert_eq!(sequence.shots[1].seconds_since_previous, Some(1800.0));
}

#[test]
fn bodies_are_kept_apart_and_clocks_corrected() {
    let second = |n: &str, s: f64| with(file(n, s), |m| m.body_serial = Some("TS-0500".to_owned()));
    let clocks: Clocks = ["TS-0500=-192s", "TS-9=1s"].iter().map(|c| c.parse::<Correction>().unwrap()).collect();
    let (sequences, problems) = assemble(vec![file("A_1.JPG", 0.0), second("B_1.JPG", 192.5)], &clocks);
    let cameras: Vec<_> = sequences.iter().map(|s| (s.camera.as_str(), s.clock_offset_s)).collect();
    assert_eq!(cameras, [("Testcam T1 (TS-0417)", None), ("Testcam T1 (TS-0500)", Some(-192.0))]);
    assert_eq!(sequences[1].shots[0].taken.as_ref().unwrap().local, date(2026, 11, 7).at(16, 20, 0, 500_000_000));
    assert_eq!(problems.iter().map(|p| p.code).collect::<Vec<_>>(), [Code::ClockUnknownBody]);
}

#[test]
fn a_broken_frame_belongs_to_the_camera_of_its_folder() {
    let broken = with(file("T_2.JPG", 0.0), |m| *m = Metadata::default());
    assert_eq!(
        order(&one(vec![file("T_1.JPG", 0.0), broken, file("T_3.JPG", 2.0)])),
        ["T_1.JPG", "T_2.JPG", "T_3.JPG"]
    );
}

#[test]
fn stages_setups_and_what_changed() {
    let at = |name: &str, s: f64, num: u32, iso: u32| {
        with(file(name, s), |m| {
            m.f_number = Some(Marked { num, den: 10 });
            m.iso = Some(iso);
        })
    };
    let files = vec![
        at("T_1.JPG", 0.0, 20, 100),
        at("T_2.JPG", 1.0, 28, 200),
        at("T_3.JPG", 2.0, 28, 200),
        with(file("T_4.JPG", 3.0), |m| *m = Metadata { taken: m.taken.clone(), ..Metadata::default() }),
        at("T_5.JPG", 4.0, 28, 200),
        at("T_6.JPG", 5.0, 20, 100),
        with(at("T_7.JPG", 6.0, 20, 100), |m| m.exposure_time_s = Some(Marked { num: 1, den: 50 })),
        with(at("T_8.JPG", 7.0, 20, 100), |m| m.lens = Lens::Named("85mm F1.8".to_owned())),
    ];
    let (sequences, _) = assemble(files, &Clocks::default());
    let found = stages::split(&sequences, &LightLedger::unknown(&sequences), SYNC);
    let numbers: Vec<_> = found.shots[0].iter().map(|s| s.stage).collect();
    assert_eq!(numbers, [Some(1), Some(2), Some(2), None, Some(2), Some(3), Some(4), Some(5)]);
    let setups: Vec<_> = found.stages.iter().map(|s| (s.setup, s.first_met)).collect();
    assert_eq!(setups, [(1, None), (2, None), (1, Some(1)), (3, None), (4, None)]);
    let say = |n: usize| {
        changed::sentence(
            n.checked_sub(1).map(|b| &found.stages[b]),
            &found.stages[n],
            &found.shots[0][found.stages[n].shots.start],
        )
    };
    assert_eq!(say(0), "first stage: f/2, 1/200, ISO 100, 35mm F2");
    assert_eq!(say(1), "aperture f/2 to f/2.8 (-1.0), ISO 100 to 200 (+1.0): settings 0.0; picture change not known");
    assert_eq!(
        say(3),
        "shutter 1/200 to 1/50 (ambient +2.0, flash 0.0): settings 0.0 to +2.0; picture change not known"
    );
    assert!(
        say(4).starts_with("lens 35mm F2 to 85mm F1.8, shutter 1/50 to 1/200 (ambient -2.0, flash 0.0): "),
        "{}",
        say(4)
    );
    assert_eq!(words::settings(&found.stages[0].settings), "f/2, 1/200, ISO 100");
}

/// A shoot without any EXIF is one stage whose settings are not known, not a stage per frame and not nothing.
#[test]
fn a_shoot_without_exif_is_one_stage() {
    let bare = |name: &str| with(file(name, 0.0), |m| *m = Metadata::default());
    let (sequences, _) = assemble(vec![bare("A.jpg"), bare("B.jpg")], &Clocks::default());
    let found = stages::split(&sequences, &LightLedger::unknown(&sequences), SYNC);
    assert_eq!(found.stages.len(), 1);
    assert_eq!(found.stages[0].marked(), "settings not known");
}
