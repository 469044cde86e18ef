//! What is soldered to what, joint by joint.

use super::said;
use crate::install::kit::{InstallKit, OUTPUT};
use crate::install::page::{HookupView, JointLine};
use crate::physics::wiring::{SolderPoint, SolderPointKind, WiringPlan};
use crate::record::leads::Contact;
use crate::record::words::listed;

pub(super) fn hookup(wiring: &WiringPlan, kit: &InstallKit) -> HookupView {
    let named = |point: &SolderPoint| match point.kind {
        SolderPointKind::Hot {} => kit.hot_in_words(wiring.selector.as_ref()),
        // Its leads are named beside it.
        SolderPointKind::Join {} => JointLine::EACH_OTHER.to_owned(),
        SolderPointKind::Ground {}
        | SolderPointKind::Lug { .. }
        | SolderPointKind::Insulated {}
        | SolderPointKind::Beside { .. } => point.name.clone(),
    };
    let row = wiring.selector.as_ref().and_then(|by| by.row.as_ref());
    // Of a pickup that stays and stands on the new one, both ends are soldered anew.
    let lifted = row.filter(|row| row.upper != kit.on.place);
    let mut joints: Vec<JointLine> = lifted
        .map(|row| JointLine { what: format!("the {} pickup's hot", row.upper), at: OUTPUT.to_owned() })
        .into_iter()
        .collect();
    let mut insulated = Vec::new();
    for (index, point) in wiring.points.iter().enumerate() {
        // A wire between two points has a joint at each.
        let jumpers = wiring.jumpers.iter().filter_map(|[one, other]| {
            let (one, other) = (usize::from(*one), usize::from(*other));
            let end = if one == index { other } else { one };
            (one == index || other == index).then(|| wiring.points.get(end)).flatten()
        });
        // Its other joint says where in the guitar the hot is.
        let end = |point: &SolderPoint| match point.kind {
            SolderPointKind::Hot {} => "the hot".to_owned(),
            _ => named(point),
        };
        let jumpers: Vec<String> = jumpers
            .map(|point| match point.kind {
                SolderPointKind::Beside { .. } if lifted.is_some() => point.name.clone(),
                _ => format!("jumper to {}", end(point)),
            })
            .collect();
        match point.kind {
            SolderPointKind::Insulated {} => insulated.extend(point.leads.iter().cloned()),
            // It is a lead, named at its lug.
            SolderPointKind::Beside { .. } if lifted.is_some() => {}
            SolderPointKind::Hot {}
            | SolderPointKind::Ground {}
            | SolderPointKind::Lug { .. }
            | SolderPointKind::Beside { .. }
            | SolderPointKind::Join {} => {
                let what: Vec<String> = point.leads.iter().map(Contact::to_string).chain(jumpers).collect();
                if !what.is_empty() {
                    joints.push(JointLine { what: listed(&what), at: named(point) });
                }
            }
        }
    }
    HookupView {
        verdict: None,
        joints,
        insulated,
        drawn: (!wiring.drawn.marks.is_empty()).then(|| wiring.drawn.clone()),
        gives: wiring.positions.iter().map(|position| position.sentence.clone()).filter(said).collect(),
        notes: wiring.notes.clone(),
        steps: wiring.steps.clone(),
        jumpers: u8::try_from(wiring.jumpers.len()).unwrap_or(u8::MAX),
    }
}
