//! Striking out an entry of an install, with all that was written in the same stroke.

use super::stroke::Stroke;
use crate::ask::Refusal;
use crate::ask::forms::typed::at;
use crate::ask::striking::may_be_struck;
use crate::record::body::{Body, InstallBody, StayBody, StrikeBody};
use crate::record::entry::{About, Entry, in_order};
use crate::record::guitar::Guitar;
use crate::record::install::InstallId;
use crate::record::names::EntryId;
use crate::record::things::Thing;
use crate::record::words;

/// The most entries one act writes beside its first.
const FURTHER: u8 = 8;

/// Strikes an entry out, with all that was written in the same stroke about other things.
pub(super) fn strike(
    act: &mut Stroke<'_>,
    id: InstallId,
    before: &[(Entry, bool)],
    struck: EntryId,
    why: &str,
) -> Result<(), Refusal> {
    let target = may_be_struck(before, struck, "This entry is not in the install.", |_| true)?;
    let undoes = matches!(target.body.known(), Some(Body::Install(InstallBody::FitDone { .. })));
    let why = words::note(why, "the reason").map_err(at("why"))?;
    act.first(About::Fit(id), Body::Strike(StrikeBody::StruckOut { entry: struck, why: why.clone() }))?;
    for number in 1..=FURTHER {
        let Some(follower) = act.log.entry(struck.beside(number))?.filter(|one| follows(target, one, id)) else {
            continue;
        };
        act.further(
            number,
            follower.about,
            Body::Strike(StrikeBody::StruckOut { entry: follower.id, why: why.clone() }),
        )?;
        if let (
            true,
            About::Guitar(_),
            Some(Body::Stay(StayBody::Fitted { place, pickup, came_out, came_out_words, .. })),
        ) = (undoes, follower.about, follower.body.known())
        {
            // Where the guitar was described anew since, its record still says what the install brought.
            let there = act.log.about(follower.about)?;
            let mine = act.entries.iter().filter(|entry| entry.about == follower.about).cloned();
            let after = Thing::<Guitar>::fold(&in_order(there.entries().cloned().chain(mine)));
            let stays = after.is_some_and(|thing| {
                thing.described.places.iter().any(|at| at.name == *place && at.fitted == *pickup && pickup != came_out)
            });
            if stays {
                let back = Body::Stay(StayBody::Fitted {
                    place: place.clone(),
                    pickup: *came_out,
                    words: came_out_words.clone(),
                    came_out: *pickup,
                    came_out_words: String::new(),
                    fit: id,
                });
                act.further(FURTHER - number + 1, follower.about, back)?;
            }
        }
    }
    Ok(())
}

/// Whether an entry that goes by a name beside an entry of an install was written in one stroke with it. Names can be
/// taken by anything.
fn follows(first: &Entry, other: &Entry, id: InstallId) -> bool {
    let of_this = |body: &Body| match body {
        Body::Stay(StayBody::Installed { fit, .. } | StayBody::TakenOut { fit, .. } | StayBody::Fitted { fit, .. }) => {
            *fit == id
        }
        Body::Thing(_)
        | Body::Leads(_)
        | Body::Measured(_)
        | Body::Audition(_)
        | Body::Listening(_)
        | Body::Comparison(_)
        | Body::Blind(_)
        | Body::Bench(_)
        | Body::Install(_)
        | Body::Take(_)
        | Body::Strike(_) => false,
    };
    match (first.body.known(), other.body.known()) {
        (Some(Body::Install(InstallBody::FitDone { .. })), Some(body)) => of_this(body),
        (
            Some(Body::Strike(StrikeBody::StruckOut { entry: before, .. })),
            Some(Body::Strike(StrikeBody::StruckOut { entry, .. })),
        ) => (1..=FURTHER).any(|number| before.beside(number) == *entry),
        (Some(Body::Strike(StrikeBody::StruckOut { .. })), Some(body)) => of_this(body),
        _ => false,
    }
}
