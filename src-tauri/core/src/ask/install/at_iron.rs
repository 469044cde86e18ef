//! What is done at an install before and at the hot iron, and what holds it.

use chrono::{DateTime, Utc};

use super::load::{install_view, kit};
use crate::ask::forms::typed::at;
use crate::ask::holding::{held, refuse_before_zero};
use crate::ask::listener::present;
use crate::ask::{Code, Refusal};
use crate::audition::{holding, this_round};
use crate::install::{Install, IronAct};
use crate::logbook::Log;
use crate::record::body::{BenchBody, Body};
use crate::record::entry::About;
use crate::record::install::InstallId;
use crate::record::tick::{MOST_ITEMS, Tick};
use crate::record::words;
use crate::safety::cautions::{self, Moment};

/// What is ticked, told and done before and at the hot iron.
pub(super) fn at_iron(
    log: &Log,
    install: &Install,
    act: IronAct,
    now: DateTime<Utc>,
    id: InstallId,
) -> Result<Body, Refusal> {
    let lists = [&Tick::IRON[..], &Tick::SOUND_UP, &Tick::SOUND_DOWN];
    Ok(match act {
        IronAct::TickOff { tick, words: said } => {
            if !lists.iter().any(|list| list.contains(&tick)) {
                return Err(Refusal::unclear("act.tick", "This item is on no list of an install."));
            }
            refuse_sound(log, install, &[tick], now, id)?;
            Body::Bench(BenchBody::Ticked { tick, words: words::note(&said, "the note").map_err(at("act.words"))? })
        }
        IronAct::TickTogether { ticks } => {
            let of_one_list = lists.iter().any(|list| ticks.iter().all(|tick| list.contains(tick)));
            let fine = !ticks.is_empty() && ticks.len() <= MOST_ITEMS && of_one_list;
            if !fine || ticks.iter().any(|tick| tick.alone()) {
                let sentence =
                    "Only items of this list on which no hold hangs can be ticked in one act. Nothing was written.";
                return Err(Refusal::unclear("act.ticks", sentence));
            }
            refuse_sound(log, install, &ticks, now, id)?;
            Body::Bench(BenchBody::TickedTogether { ticks })
        }
        IronAct::Tell { told } => Body::Bench(BenchBody::Told { told }),
        IronAct::Acknowledge { caution, cause } => {
            if cautions::named(&caution).is_none() {
                return Err(Refusal::unclear("act.caution", "There is no caution of this name."));
            }
            Body::Bench(BenchBody::CautionAcknowledged {
                caution,
                cause: words::note(&cause, "the cause").map_err(at("act.cause"))?,
            })
        }
        IronAct::OverrideHold { hold, why } => {
            let here = [Moment::Iron, Moment::SoundUp, Moment::Listen];
            if !hold.stops().iter().any(|moment| here.contains(moment)) {
                return Err(Refusal::unclear("act.hold", "This hold stops nothing of an install."));
            }
            Body::Bench(BenchBody::HoldOverridden {
                hold: hold.id().to_owned(),
                why: words::reason(&why).map_err(at("why"))?,
            })
        }
        IronAct::LightIron {} => {
            let kit = kit(log, install)?;
            let safety = kit.safety(install);
            let present = present(log, now, Some(About::Fit(id)))?;
            if let Some(hold) = holding(&safety, &kit.at_bench(), &present, Moment::Iron).first() {
                let sentence = format!("{} {}", hold.reason, hold.clears);
                return Err(Refusal { code: Code::Held, sentence, field: Some(hold.hold.id().to_owned()) });
            }
            if let Some(sentence) = install.iron_waits() {
                return Err(Refusal { field: Some("as_it_was".to_owned()), ..Refusal::new(Code::Held, sentence) });
            }
            Body::Bench(BenchBody::IronLit {})
        }
        IronAct::IronOff {} => Body::Bench(BenchBody::IronOff {}),
    })
}

/// No item of sound up is ticked over a hold, while the iron is on, or before the volume is at zero.
fn refuse_sound(
    log: &Log,
    install: &Install,
    ticks: &[Tick],
    now: DateTime<Utc>,
    id: InstallId,
) -> Result<(), Refusal> {
    if !ticks.iter().any(|tick| Tick::SOUND_UP.contains(tick)) {
        return Ok(());
    }
    if install.safety.iron_lit.is_some() {
        let sentence = "The iron is on. Put it out and into its stand before the guitar is plugged in.";
        return Err(Refusal { field: Some("iron_lit".to_owned()), ..Refusal::new(Code::Held, sentence) });
    }
    let view = install_view(log, id, now)?;
    if let Some(hold) = view.sound.holds.iter().find(|hold| hold.overridden.is_none()) {
        return Err(held(hold.hold, &hold.reason));
    }
    refuse_before_zero(&this_round(&install.safety), ticks)
}
