//! What each act about a pickup's leads puts into the log.

use super::asks::LeadsAct;
use super::view::with_inputs;
use crate::ask::Refusal;
use crate::ask::load::meter_in_use;
use crate::ask::striking::may_be_struck;
use crate::leads::lead_search;
use crate::logbook::Log;
use crate::physics::leads::recorded_coils;
use crate::record::body::{Body, LeadsBody, StrikeBody, ThingBody};
use crate::record::entry::Entry;
use crate::record::leads::{Contact, LeadName, MOST_LEADS, RecordedTaps};
use crate::record::pickup::{Pickup, ShieldKind};
use crate::record::quantity::read_ohms;
use crate::record::things::Thing;
use crate::record::words;
use crate::takes::tap::Taps;

/// What this act writes, given what was written about the same pickup before.
pub(super) fn compose(
    log: &mut Log,
    act: LeadsAct,
    heard: Option<&Taps>,
    before: &[(Entry, bool)],
) -> Result<Body, Refusal> {
    let pickup = Thing::<Pickup>::fold(before).ok_or_else(|| Refusal::not_found("pickup"))?.described;
    let search = lead_search(before);
    let known = |contact: &Contact, field: &'static str| {
        if search.has(contact) {
            Ok(())
        } else {
            Err(Refusal::unclear(field, "This is none of the leads that were named. Begin anew to name others."))
        }
    };
    Ok(match act {
        LeadsAct::BeginLeads { as_recorded: true, .. } => begun_as_recorded(&pickup)?,
        LeadsAct::BeginLeads { leads, shield, frame, .. } => begun(&leads, shield, frame)?,
        LeadsAct::MeasureLeads { between, reading, out_of_reach, sure, .. } => {
            known(&between[0], "between")?;
            known(&between[1], "between")?;
            if between[0] == between[1] {
                return Err(Refusal::unclear("between", "Put the two probes on two different leads."));
            }
            if out_of_reach {
                Body::Leads(LeadsBody::LeadsMeasured { between, reading: None, typed: String::new(), sure: false })
            } else {
                let taken = read_ohms(&reading).map_err(|unclear| Refusal::unclear("reading", unclear.sentence))?;
                Body::Leads(LeadsBody::LeadsMeasured { between, reading: Some(taken), typed: reading, sure })
            }
        }
        LeadsAct::NameCoil { coil, .. } => {
            known(&coil.between[0], "coil.between")?;
            known(&coil.between[1], "coil.between")?;
            Body::Leads(LeadsBody::CoilNamed { coil })
        }
        LeadsAct::TapCoil { tap, .. } => {
            known(&tap.plus, "tap.plus")?;
            known(&tap.minus, "tap.minus")?;
            Body::Leads(LeadsBody::Tapped { tap })
        }
        LeadsAct::KeepTaps { take, tip, sleeve, input, .. } => {
            known(&tip, "tip")?;
            known(&sleeve, "sleeve")?;
            if tip == sleeve {
                return Err(Refusal::unclear("tip", "Clip the tip and the sleeve to two different leads."));
            }
            let input = name_of_an_input(&input)?;
            let Taps { up, height, .. } = *heard.ok_or_else(|| Refusal::not_found("take"))?;
            Body::Leads(LeadsBody::TapsRecorded {
                taps: RecordedTaps { tip, sleeve, input, up, height, take: Some(take) },
            })
        }
        LeadsAct::CalibrateInput { take, input, .. } => {
            let input = name_of_an_input(&input)?;
            let turned = !heard.ok_or_else(|| Refusal::not_found("take"))?.up;
            Body::Leads(LeadsBody::InputCalibrated { input, turned, take: Some(take) })
        }
        LeadsAct::HoldCompass { coil, up, .. } => Body::Leads(LeadsBody::CompassHeld { coil, up }),
        LeadsAct::SettleLeads { .. } => {
            let meter = meter_in_use(log, None)?;
            let search = with_inputs(log, search)?;
            let written = search.written_into(&pickup, &meter.claim).ok_or_else(|| {
                Refusal::unclear("pickup", "The leads are not known for sure yet. Nothing was written.")
            })?;
            Body::Thing(ThingBody::PickupDescribed { pickup: written })
        }
        LeadsAct::StrikeLeads { struck, .. } => {
            let sentence = "This was not found out about the leads of this pickup.";
            may_be_struck(
                before,
                struck,
                sentence,
                |body| matches!(body.known(), Some(Body::Leads(found)) if !matches!(found, LeadsBody::LeadsBegun { .. })),
            )?;
            Body::Strike(StrikeBody::StruckOut { entry: struck, why: String::new() })
        }
    })
}

fn name_of_an_input(typed: &str) -> Result<String, Refusal> {
    words::label(typed, "the input").map_err(|unclear| Refusal::unclear("input", unclear.sentence))
}

/// The search begins with what the record says, if it says all that is needed.
fn begun_as_recorded(pickup: &Pickup) -> Result<Body, Refusal> {
    let sentence = "Its record does not say where both ends of each coil are, and what it has. Measure the leads.";
    let as_recorded = recorded_coils(pickup).ok_or_else(|| Refusal::unclear("as_recorded", sentence))?;
    Ok(Body::Leads(LeadsBody::LeadsBegun {
        leads: pickup.leads.iter().map(|lead| lead.name.clone()).collect(),
        shield: pickup.shield.kind != ShieldKind::None,
        frame: false,
        as_recorded,
    }))
}

/// The search begins with these, if they are the leads of one pickup.
fn begun(leads: &[String], shield: bool, frame: bool) -> Result<Body, Refusal> {
    let mut names: Vec<LeadName> = Vec::new();
    for lead in leads {
        let name = words::label(lead, "the lead").map_err(|e| Refusal::unclear("leads", e.sentence))?;
        let name = LeadName(name);
        if name.is_taken() {
            return Err(Refusal::unclear(
                "leads",
                format!("“{name}” is not the name of a lead here. Say below whether there is one."),
            ));
        }
        if names.contains(&name) {
            return Err(Refusal::unclear("leads", format!("Two leads are called {name}. Give each its own name.")));
        }
        names.push(name);
    }
    if names.is_empty() || names.len() > MOST_LEADS || (names.len() == 1 && !shield) {
        return Err(Refusal::unclear("leads", format!("Name two to {MOST_LEADS} leads, or one lead and a shield.")));
    }
    Ok(Body::Leads(LeadsBody::LeadsBegun { leads: names, shield, frame, as_recorded: Vec::new() }))
}
