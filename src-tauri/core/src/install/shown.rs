//! What a step shows, in short, kept with the tick of whoever looked at it: when it says something else, the step is open again.

use std::collections::BTreeMap;
use std::fmt::Debug;

use super::fold::{Install, InstallState};
use crate::record::install::InstallStep;

/// Said of a step that was looked at and says something else by now.
const SAYS_ELSE: &str = "This step says something else than when it was looked at. Look at it again.";

/// What is shown, in short: equal text means that the same is shown. (FNV-1a, 64 bits.)
pub(super) fn in_short(shown: &impl Debug) -> String {
    let sum = format!("{shown:?}")
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |sum, byte| (sum ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
    format!("{sum:016x}")
}

impl Install {
    /// Whether a step can be open again by what it shows now: it goes on, and one was looked at whose tick hangs on that.
    #[must_use]
    pub fn hangs_on_what_is_shown(&self) -> bool {
        self.state() == InstallState::Open && self.causes.keys().any(|step| self.over.contains_key(step))
    }

    /// Opens each step again that says something else than when it was looked at.
    pub(super) fn look_again(&mut self, shown: &BTreeMap<InstallStep, String>) {
        if self.state() != InstallState::Open {
            return;
        }
        for (step, now) in shown {
            if self.causes.get(step).is_some_and(|then| then != now) && self.over.remove(step).is_some() {
                self.invalidated.insert(*step, SAYS_ELSE.to_owned());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audition::Saved;
    use crate::record::body::InstallBody;
    use crate::record::names::EntryId;

    /// A tick of before there were causes can be read, and holds whatever its step shows.
    #[test]
    fn a_tick_holds_as_long_as_its_step_shows_the_same() {
        let old = r#"{"kind":"fit_step_over","step":"phase","why":""}"#;
        let read: InstallBody = serde_json::from_str(old).expect("an entry of before");
        assert!(matches!(read, InstallBody::FitStepOver { cause: None, .. }), "{read:?}");
        assert_eq!(serde_json::to_string(&read).expect("written"), old);
        let (then, now) = (in_short(&"in phase"), in_short(&"out of phase"));
        for (cause, opens) in [(None, false), (Some(&now), false), (Some(&then), true)] {
            let mut install = Install::default();
            let looked_at =
                Saved { entry: EntryId(uuid::Uuid::nil()), at: chrono::DateTime::UNIX_EPOCH, said: String::new() };
            install.over.insert(InstallStep::Phase, looked_at);
            install.causes.extend(cause.map(|cause| (InstallStep::Phase, cause.clone())));
            assert_eq!(install.hangs_on_what_is_shown(), cause.is_some(), "{cause:?}");
            install.look_again(&BTreeMap::from([(InstallStep::Phase, now.clone())]));
            assert_eq!(!install.is_over(InstallStep::Phase), opens, "{cause:?}");
            assert_eq!(install.invalidated.contains_key(&InstallStep::Phase), opens, "{cause:?}");
        }
    }
}
