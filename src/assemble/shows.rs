//! What the typical shot of each lighting shows, in words: which lights burn, what part of its light is theirs, and where
//! it is brightest.

use crate::report::LightingRow;
use crate::report::light_types::LightAccount;
use crate::report::words::and_list;

use super::Parts;
use super::seen::Ninths;

/// Lets every lighting say what its typical shot shows.
pub fn fill(parts: &Parts, lightings: &mut [LightingRow]) {
    let shots: Vec<_> = parts.sequences.iter().flat_map(|s| &s.shots).collect();
    for row in lightings {
        let measured = shots.get(row.detail.typical_index).and_then(|shot| shot.measurement.as_ref());
        let brightest = measured.and_then(|m| Ninths::of_shot(&m.tiles).strongest("brightest"));
        let parts = [burning(&row.detail.light_account), shares(&row.detail.light_account)];
        let said: Vec<String> = parts.into_iter().chain([brightest]).flatten().collect();
        row.detail.shows = said.join("; ");
    }
}

/// "key and rim on", "no light on"; None where no light is told apart.
fn burning(account: &LightAccount) -> Option<String> {
    if account.each_light.is_empty() {
        return None;
    }
    let named = |on: &str| -> Vec<&str> {
        account.each_light.iter().filter(|l| l.on == on).map(|l| l.light.as_str()).collect()
    };
    let (on, unknown) = (named("yes"), named("unknown"));
    let not_told = format!("{} on or off not known", and_list(&unknown));
    Some(match (on.is_empty(), unknown.is_empty()) {
        (true, true) => "no light on".to_owned(),
        (false, true) => format!("{} on", and_list(&on)),
        (true, false) => not_told,
        (false, false) => format!("{} on, {not_told}", and_list(&on)),
    })
}

/// "rim gives 53 %, key 37 % of the frame's light", most first; None where no light's share is known.
fn shares(account: &LightAccount) -> Option<String> {
    let burning = account.each_light.iter().filter(|l| l.on == "yes");
    let mut known: Vec<(&str, f64)> =
        burning.filter_map(|l| Some((l.light.as_str(), l.share_of_frame_percent?))).collect();
    known.sort_by(|a, b| b.1.total_cmp(&a.1));
    let (first, rest) = known.split_first()?;
    let percent = |share: f64| if share < 1.0 { "under 1 %".to_owned() } else { format!("{share:.0} %") };
    let mut said = vec![format!("{} gives {}", first.0, percent(first.1))];
    said.extend(rest.iter().map(|(light, share)| format!("{light} {}", percent(*share))));
    Some(format!("{} of the frame’s light", said.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::light_types::LightState;

    fn light(name: &str, on: &str, share: Option<f64>) -> LightState {
        LightState { light: name.to_owned(), on: on.to_owned(), share_of_frame_percent: share, ..LightState::default() }
    }

    #[test]
    fn it_says_what_burns_and_the_shares_that_are_known() {
        let account = |each_light| LightAccount { each_light, ..LightAccount::default() };
        let both = account(vec![
            light("key", "yes", Some(37.2)),
            light("rim", "yes", Some(53.0)),
            light("dust-left", "no", None),
            light("dust-right", "unknown", None),
        ]);
        assert_eq!(burning(&both).unwrap(), "key and rim on, dust-right on or off not known");
        assert_eq!(shares(&both).unwrap(), "rim gives 53 %, key 37 % of the frame’s light");
        let dark = account(vec![light("key", "no", None)]);
        assert_eq!((burning(&dark).unwrap().as_str(), shares(&dark)), ("no light on", None));
        assert_eq!(burning(&account(Vec::new())), None);
    }
}
