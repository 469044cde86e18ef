//! Entries of a permanent install in words.

use crate::entry_lines::reason::why;
use crate::record::body::{Body, InstallBody, StayBody};
use crate::record::wiring::{JackProbe, JointAt, plan_in_words};

/// Where the probes were; a point goes by its place in the hookup list.
fn probe_in_words(probe: &JackProbe) -> String {
    let place = |point: &u8| u16::from(*point) + 1;
    let set = probe.set().in_words();
    match probe {
        JackProbe::Jack { .. } => format!("at the jack, {set}"),
        JackProbe::PointToSleeve { point, .. } => format!("from point {} to the sleeve, {set}", place(point)),
        JackProbe::PointToTip { point, .. } => format!("from point {} to the tip, {set}", place(point)),
        JackProbe::LeadToPoint { lead, point, .. } => format!("from {lead} to point {}, {set}", place(point)),
        JackProbe::AcrossJoint { joint, .. } => format!("across {}", joint_in_words(joint)),
        JackProbe::BridgeToSleeve { .. } => "from the bridge to the sleeve".to_owned(),
        JackProbe::CaseToSleeve { place, .. } if place.is_empty() => "from the pot's case to the sleeve".to_owned(),
        JackProbe::CaseToSleeve { place, .. } => format!("from the case of the {place} pot to the sleeve"),
    }
}

/// Which joint; a point goes by its place in the hookup list.
fn joint_in_words(joint: &JointAt) -> String {
    match joint {
        JointAt::Lead { lead } => format!("the joint of {}", lead.in_words()),
        JointAt::Wire { between: [a, b] } => {
            format!("the wire from point {} to point {}", u16::from(*a) + 1, u16::from(*b) + 1)
        }
        JointAt::Hot {} => "the wire from the new pickup's hot".to_owned(),
        JointAt::Ground {} => "the wire from the new pickup's ground".to_owned(),
        JointAt::Tip {} => "the wire to the jack's tip".to_owned(),
        JointAt::Sleeve {} => "the wire to the jack's sleeve".to_owned(),
        JointAt::Lug { place } if place.is_empty() => "the grounded lug of the pot".to_owned(),
        JointAt::Lug { place } => format!("the grounded lug of the {place} pot"),
        JointAt::Stays { place } => format!("the hot joint of the {place} pickup"),
        JointAt::StaysGround { place } => format!("the ground joint of the {place} pickup"),
        JointAt::Selector { place } => format!("the selector's contact for {place}"),
        JointAt::Switch { between: [a, b] } => {
            format!("a contact of the mode switch, between points {} and {}", u16::from(*a) + 1, u16::from(*b) + 1)
        }
    }
}

/// Where a reading of an install was taken; nothing for entries of another kind.
pub(crate) fn reading_at_in_words(body: &Body) -> Option<String> {
    match body {
        Body::Install(InstallBody::JackRead { at, .. }) => Some(format!("at the jack, {}", at.in_words())),
        Body::Install(InstallBody::JackReadBefore { at, .. }) => {
            Some(format!("at the jack as it was, {}", at.in_words()))
        }
        Body::Install(InstallBody::FitProbed { probe, .. }) => Some(probe_in_words(probe)),
        _ => None,
    }
}

/// An entry of an install in words.
pub(crate) fn in_words(body: &InstallBody) -> String {
    match body {
        InstallBody::FitBegun { on } => format!("Install begun: {}", on.place),
        InstallBody::FitPlanned { plan } => format!("Plan: {}", plan_in_words(plan)),
        InstallBody::FitPartsChosen { parts } => format!("Parts: {}", parts.in_words()),
        InstallBody::FitStepOver { step, why: because, .. } if because.is_empty() => {
            format!("{}: looked at", step.name())
        }
        InstallBody::FitStepOver { step, why: because, .. } => {
            format!("{}: passed with something open. Reason given: {because}", step.name())
        }
        InstallBody::FitActDone { act, words } => format!("{}{}", act.done(), why(words)),
        InstallBody::JackRead { at, reading, room, .. } => {
            let room = room.map(|room| format!(" at {}", room.shown())).unwrap_or_default();
            format!("At the jack, {}: {}{room}", at.in_words(), reading.shown())
        }
        InstallBody::JackReadBefore { at, reading, room, .. } => {
            let room = room.map(|room| format!(" at {}", room.shown())).unwrap_or_default();
            format!("As it was, at the jack, {}: {}{room}", at.in_words(), reading.shown())
        }
        InstallBody::FitProbed { probe, reading, .. } => {
            format!("Measured {}: {}", probe_in_words(probe), reading.shown())
        }
        InstallBody::FitCantProbe { probe } => format!("Can't be measured: {}", probe_in_words(probe)),
        InstallBody::FitAnswered { answer } => answer.in_words(),
        InstallBody::FitDone { words, .. } => format!("Installed{}", why(words)),
        InstallBody::FitGivenUp { why: because } => format!("Given up{}", why(because)),
    }
}

/// An entry of a thing that took part in an install, in words.
pub(crate) fn stay_in_words(body: &StayBody) -> String {
    match body {
        StayBody::Installed { place, .. } => format!("Installed at {place}"),
        StayBody::TakenOut { place, .. } => format!("Taken out of {place}"),
        StayBody::Fitted { place, .. } => format!("Another pickup at {place}"),
    }
}
