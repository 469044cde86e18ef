//! The search for a pickup's leads, folded from what was written about it.

use chrono::{DateTime, Utc};

use crate::physics::leads::{LeadLine, LeadSearch};
use crate::record::body::{Body, LeadsBody};
use crate::record::entry::Entry;
use crate::record::strike::struck_by;

/// What was found out, from the entries about a pickup as [`crate::record::entry::in_order`] sorts them.
pub(crate) fn lead_search(ordered: &[(Entry, bool)]) -> LeadSearch {
    let mut search = LeadSearch::default();
    for (entry, struck) in ordered {
        if let (Some(Body::Leads(body)), false) = (entry.body.known(), struck) {
            search.take(entry.id, body);
        }
    }
    search
}

/// Every search for a pickup's leads in which something was read, with the time of its last reading, the oldest first.
pub(crate) fn lead_searches(ordered: &[(Entry, bool)]) -> Vec<(DateTime<Utc>, LeadSearch)> {
    let mut searches: Vec<(Option<DateTime<Utc>>, LeadSearch)> = Vec::new();
    for (entry, struck) in ordered {
        let (Some(Body::Leads(body)), false) = (entry.body.known(), struck) else { continue };
        if matches!(body, LeadsBody::LeadsBegun { .. }) {
            searches.push((None, LeadSearch::default()));
        }
        let Some((read, search)) = searches.last_mut() else { continue };
        search.take(entry.id, body);
        if matches!(body, LeadsBody::LeadsMeasured { reading: Some(_), .. }) {
            *read = Some(entry.at);
        }
    }
    searches.into_iter().filter_map(|(read, search)| Some((read?, search))).collect()
}

/// All that was found out since the leads were named last, the newest first, struck-out lines among them.
pub(crate) fn lead_lines(ordered: &[(Entry, bool)]) -> Vec<LeadLine> {
    let mut lines = Vec::new();
    let mut begun = false;
    for (entry, struck) in ordered {
        let Some(Body::Leads(body)) = entry.body.known() else { continue };
        match body.in_words() {
            None if !struck => {
                begun = true;
                lines.clear();
            }
            Some(words) if begun => {
                let struck = struck.then(|| struck_by(ordered, entry.id)).flatten();
                lines.push(LeadLine { entry: entry.id, words, struck });
            }
            None | Some(_) => {}
        }
    }
    lines.reverse();
    lines
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::record::body::StrikeBody;
    use crate::record::claim::Meter;
    use crate::record::entry::{About, Written, in_order};
    use crate::record::names::{BenchId, EntryId};
    use crate::record::pickup::{Construction, Pickup, PickupId};
    use crate::record::quantity::{Ohms, Reading};

    fn id(number: u128) -> EntryId {
        EntryId(Uuid::from_u128(number))
    }

    fn written(bodies: Vec<Body>) -> Vec<(Entry, bool)> {
        in_order(bodies.into_iter().enumerate().map(|(number, body)| Entry {
            id: id(number as u128 + 1),
            at: DateTime::from_timestamp(number as i64, 0).unwrap_or_default(),
            bench: BenchId(Uuid::from_u128(9)),
            about: About::Pickup(PickupId(Uuid::from_u128(5))),
            body: Written::Known(body),
        }))
    }

    fn begun(leads: [&str; 2]) -> Body {
        let leads = leads.map(Into::into).to_vec();
        Body::Leads(LeadsBody::LeadsBegun { leads, shield: false, frame: false, as_recorded: Vec::new() })
    }

    fn measured(ohms: f64) -> Body {
        let reading = Some(Reading::Ohms(Ohms(ohms)));
        let between = ["moss".into(), "rust".into()];
        Body::Leads(LeadsBody::LeadsMeasured { between, reading, typed: String::new(), sure: false })
    }

    fn struck(number: u128) -> Body {
        Body::Strike(StrikeBody::StruckOut { entry: id(number), why: "slipped".to_owned() })
    }

    /// Each time the leads were found out anew is a search of its own, if something was read in it that still stands.
    #[test]
    fn every_search_keeps_what_was_read_in_it() {
        let searches = |bodies: &[Body]| {
            let pickup = Pickup::new("Marsh bell", Construction::SingleCoil);
            let searches = lead_searches(&written(bodies.to_vec())).into_iter();
            searches
                .map(|(at, search)| {
                    let coils = search.measured(&pickup, &Meter::plain());
                    (at.timestamp(), coils.iter().map(|coil| coil.ohms.0).collect::<Vec<_>>())
                })
                .collect::<Vec<_>>()
        };
        let mut bodies = vec![begun(["moss", "rust"]), measured(4050.0), begun(["moss", "rust"]), measured(4220.0)];
        assert_eq!(searches(&bodies), [(1, vec![4050.0]), (3, vec![4220.0])]);
        bodies.push(begun(["moss", "rust"]));
        assert_eq!(searches(&bodies).len(), 2);
        bodies.push(struck(2));
        assert_eq!(searches(&bodies), [(3, vec![4220.0])]);
    }

    #[test]
    fn what_was_found_out_stands_newest_first_with_what_was_struck_out() {
        let before = vec![measured(1.0), begun(["moss", "rust"]), measured(6660.0), measured(6.66), struck(4)];
        let lines = lead_lines(&written(before.clone()));
        let short: Vec<_> = lines.iter().map(|line| (line.entry, line.words.as_str(), line.struck.is_some())).collect();
        // What was measured before the leads had names is no line.
        assert_eq!(short, [(id(4), "moss to rust: 6.66 Ω", true), (id(3), "moss to rust: 6.66 kΩ", false)]);
        // Begun anew, nothing of it stands; a beginning that was struck out is none.
        let anew = [before.clone(), vec![begun(["one", "two"])]].concat();
        assert!(lead_lines(&written(anew.clone())).is_empty());
        assert_eq!(lead_lines(&written([anew, vec![struck(6)]].concat())), lines);
    }
}
