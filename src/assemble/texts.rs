//! Every text of a report that anybody may read, one after the other, for a step that must miss none.
//!
//! A new text in a row type belongs here; a test fills every text through this list and looks for one that stayed.

use crate::report::board_types::{Board, BoardSource, Boards};
use crate::report::light_types::{LightAccount, LightingDetail};
use crate::report::next_types::{NextTime, Statement};
use crate::report::{Report, StageAccount, StageDetail};

/// What is done to each text.
type Each<'a> = &'a mut dyn FnMut(&mut String);

/// Calls `each` with every text.
pub fn each_text(report: &mut Report, each: Each) {
    each(&mut report.shoot);
    report.summary.from.iter_mut().chain(&mut report.summary.to).for_each(&mut *each);
    report.reference.iter_mut().for_each(|r| each(&mut r.marked));
    shots(report, each);
    for row in &mut report.stages {
        all([&mut row.camera, &mut row.first_frame, &mut row.last_frame, &mut row.started, &mut row.lens], each);
        all([&mut row.changed, &mut row.lights, &mut row.settings, &mut row.candidates], each);
        stage(&mut row.detail, each);
    }
    for row in &mut report.lightings {
        all([&mut row.stages, &mut row.lights, &mut row.changed, &mut row.camera, &mut row.first_frame], each);
        each(&mut row.candidates);
        lighting(&mut row.detail, each);
    }
    lights(report, each);
    boards(report, each);
    next_time(&mut report.next_time, each);
    lists(report, each);
    keepers(report, each);
    report.notes_draft.iter_mut().for_each(each);
}

fn all<const N: usize>(texts: [&mut String; N], each: Each) {
    texts.into_iter().for_each(each);
}

fn next_time(next: &mut NextTime, each: Each) {
    each(&mut next.why_unknown);
    for row in &mut next.lightings {
        all([&mut row.chosen, &mut row.camera, &mut row.settings], each);
    }
    for row in &mut next.powers {
        all([&mut row.light, &mut row.noted_power], each);
        said(&mut row.up, each);
        said(&mut row.down, each);
    }
    next.ambient.iter_mut().chain(&mut next.guide_numbers).for_each(|row| said(row, each));
    for row in &mut next.apertures {
        all([&mut row.from, &mut row.to, &mut row.power_words, &mut row.ambient_words, &mut row.shutter], each);
        all([&mut row.iso, &mut row.iso_words, &mut row.filter_words], each);
        row.powers.iter_mut().for_each(|one| all([&mut one.light, &mut one.power, &mut one.remark], each));
    }
    for row in &mut next.gaps {
        all([&mut row.light, &mut row.camera, &mut row.noted_power, &mut row.words, &mut row.how], each);
    }
    for row in &mut next.distances {
        all([&mut row.light, &mut row.limit, &mut row.why_unknown], each);
        row.moves.iter_mut().for_each(|one| all([&mut one.same_light_at, &mut one.remark], each));
    }
}

fn said(row: &mut Statement, each: Each) {
    all([&mut row.about, &mut row.unit, &mut row.words, &mut row.how, &mut row.why_unknown], each);
}

fn shots(report: &mut Report, each: Each) {
    for row in &mut report.frames {
        all([&mut row.frame, &mut row.companion, &mut row.camera, &mut row.body_serial, &mut row.lens], each);
        all([&mut row.taken, &mut row.white_balance, &mut row.keeper, &mut row.keeper_match], each);
        all([&mut row.problems, &mut row.settings, &mut row.measured_from], each);
        all([&mut row.lights, &mut row.misfires, &mut row.ambient], each);
    }
    for row in &mut report.culling {
        all([&mut row.frame, &mut row.standing, &mut row.reasons], each);
        all([&mut row.sharpness_measured_on, &mut row.misfires, &mut row.short_lights], each);
    }
}

fn stage(detail: &mut StageDetail, each: Each) {
    each(&mut detail.headline);
    if let Some(StageAccount { lines, why_unknown, .. }) = &mut detail.account {
        each(why_unknown);
        lines.iter_mut().for_each(|line| all([&mut line.setting, &mut line.from, &mut line.to], each));
    }
    detail.light_account.iter_mut().for_each(|account| light_account(account, each));
}

fn light_account(account: &mut LightAccount, each: Each) {
    for state in &mut account.each_light {
        all([&mut state.light, &mut state.on, &mut state.noted_power, &mut state.power, &mut state.gel], each);
        all([&mut state.modifier, &mut state.agrees, &mut state.words, &mut state.reason], each);
    }
    each(&mut account.ambient.words);
    for ratio in &mut account.ratios {
        all([&mut ratio.what, &mut ratio.of, &mut ratio.to, &mut ratio.over], each);
        all([&mut ratio.words, &mut ratio.why_unknown], each);
    }
}

fn lighting(detail: &mut LightingDetail, each: Each) {
    light_account(&mut detail.light_account, each);
    all([&mut detail.shows, &mut detail.why_no_board], each);
    detail.without.iter_mut().for_each(|w| all([&mut w.light, &mut w.words, &mut w.shows], each));
    for stand in &mut detail.stands {
        all([&mut stand.light, &mut stand.words, &mut stand.why_not_drawn], each);
    }
}

fn lights(report: &mut Report, each: Each) {
    for row in &mut report.light_ledger {
        all([&mut row.frame, &mut row.light, &mut row.on, &mut row.misfire, &mut row.reference_frame], each);
        all([&mut row.power, &mut row.evidence, &mut row.noted_power, &mut row.agrees], each);
        all([&mut row.noted_gel, &mut row.noted_modifier, &mut row.reason], each);
    }
    for light in &mut report.lights {
        all([&mut light.light, &mut light.camera, &mut light.role, &mut light.purpose], each);
        all([&mut light.reference_frame, &mut light.shows], each);
        light.print.iter_mut().for_each(|lit| each(&mut lit.caption));
    }
    for camera in &mut report.light_by_camera {
        all([&mut camera.camera, &mut camera.curve, &mut camera.ambient_reference_frame], each);
    }
    report.light_pictures.iter_mut().for_each(|lit| each(&mut lit.caption));
}

/// Boards are in no data file, where a test would find what is missed: so every field is named here.
fn boards(report: &mut Report, each: Each) {
    let Boards { boards, own: _, tones: _ } = &mut report.boards;
    for board in boards {
        let Board {
            lighting: _,
            frame_index: _,
            tone: _,
            picture: _,
            place: _,
            level_stops: _,
            marked,
            sources,
            dials: _,
            exactness,
        } = board;
        each(marked);
        exactness.iter_mut().for_each(&mut *each);
        for source in sources {
            let BoardSource {
                name,
                light: _,
                own: _,
                against_index: _,
                gain: _,
                burns: _,
                level_stops: _,
                zero,
                power: _,
                low: _,
                gel,
                without_gel: _,
                why_gel_stays,
            } = source;
            all([name, zero, gel, why_gel_stays], each);
        }
    }
}

fn lists(report: &mut Report, each: Each) {
    for row in &mut report.findings {
        all([&mut row.frame, &mut row.light, &mut row.code, &mut row.finding], each);
        all([&mut row.evidence, &mut row.certainty, &mut row.remedy], each);
    }
    for row in &mut report.problems {
        all([&mut row.file, &mut row.code, &mut row.problem], each);
        all([&mut row.remedy, &mut row.weight, &mut row.in_frames], each);
    }
    report.not_known.iter_mut().for_each(|row| all([&mut row.what, &mut row.why, &mut row.remedy], each));
}

fn keepers(report: &mut Report, each: Each) {
    for row in &mut report.keepers {
        all([&mut row.given, &mut row.frame, &mut row.matched, &mut row.candidates], each);
    }
    let Some(count) = &mut report.keeper_count else { return };
    all([&mut count.summary, &mut count.comparison, &mut count.caution, &mut count.rule], each);
    count.compared.iter_mut().for_each(|compared| each(&mut compared.camera));
    count.rows.iter_mut().for_each(|row| all([&mut row.what, &mut row.value, &mut row.candidates], each));
}
