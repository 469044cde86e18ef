//! What can be struck out of the logbook, and what goes from sight with it.

use crate::record::body::{AuditionBody, BenchBody, Body, InstallBody, ListeningBody};
use crate::record::entry::Entry;

/// Why this entry can't be struck out as things stand; nothing when it can. `ordered` are the entries about the same thing,
/// as [`crate::record::entry::in_order`] sorts them.
#[must_use]
pub fn refused(ordered: &[(Entry, bool)], entry: &Entry) -> Option<&'static str> {
    match entry.body.known()? {
        Body::Listening(body) => match body {
            ListeningBody::ReferenceLookedAt { .. } => {
                Some("What was looked at can't be unseen, so it stays in the log.")
            }
            ListeningBody::Rated { .. }
            | ListeningBody::NoteWritten { .. }
            | ListeningBody::AmpDescribed { .. }
            | ListeningBody::RatedAgainstFitted { .. } => None,
        },
        Body::Install(body) => match body {
            InstallBody::FitBegun { .. } => keeps_beginning(ordered),
            InstallBody::FitPlanned { .. }
            | InstallBody::FitPartsChosen { .. }
            | InstallBody::JackRead { .. }
            | InstallBody::JackReadBefore { .. }
            | InstallBody::FitProbed { .. }
            | InstallBody::FitCantProbe { .. }
            | InstallBody::FitStepOver { .. }
            | InstallBody::FitActDone { .. }
            | InstallBody::FitAnswered { .. }
            | InstallBody::FitDone { .. }
            | InstallBody::FitGivenUp { .. } => None,
        },
        Body::Blind(_) => {
            Some("What was heard blind can't be taken back, or only what pleases would be left. Make another test.")
        }
        Body::Thing(_)
        | Body::Leads(_)
        | Body::Measured(_)
        | Body::Audition(_)
        | Body::Comparison(_)
        | Body::Bench(_)
        | Body::Take(_)
        | Body::Stay(_)
        | Body::Strike(_) => None,
    }
}

/// What keeps an install from being struck out as a whole.
fn keeps_beginning(ordered: &[(Entry, bool)]) -> Option<&'static str> {
    let standing = || ordered.iter().filter(|(_, struck)| !struck).filter_map(|(entry, _)| entry.body.known());
    let is_done = standing().any(|body| matches!(body, Body::Install(InstallBody::FitDone { .. })));
    let iron = standing().rfind(|body| matches!(body, Body::Bench(BenchBody::IronLit {} | BenchBody::IronOff {})));
    if is_done {
        Some("The pickup lives in the guitar by this install. Strike out that it is installed first.")
    } else if matches!(iron, Some(Body::Bench(BenchBody::IronLit {}))) {
        Some("The iron is on. Put it in its stand and say so first.")
    } else {
        None
    }
}

/// What changes beside the line when this entry is struck out, in a sentence; a page asks first then. Nothing where the
/// line is all.
#[must_use]
pub fn takes_along(ordered: &[(Entry, bool)], entry: &Entry) -> Option<&'static str> {
    match entry.body.known()? {
        Body::Install(body) => match body {
            InstallBody::FitBegun { .. } => Some(
                "The whole fit sheet goes from the bench and from all lists. It can be brought back: Logbook, Struck out.",
            ),
            InstallBody::FitDone { .. } => {
                Some("The guitar, and the pickups that went in and came out, go back to how they were before.")
            }
            InstallBody::FitPlanned { .. }
            | InstallBody::FitPartsChosen { .. }
            | InstallBody::JackRead { .. }
            | InstallBody::JackReadBefore { .. }
            | InstallBody::FitProbed { .. }
            | InstallBody::FitCantProbe { .. }
            | InstallBody::FitStepOver { .. }
            | InstallBody::FitActDone { .. }
            | InstallBody::FitAnswered { .. }
            | InstallBody::FitGivenUp { .. } => None,
        },
        Body::Audition(body) => is_chosen(body).then(|| only_choice(ordered, entry)).flatten(),
        Body::Thing(_)
        | Body::Leads(_)
        | Body::Measured(_)
        | Body::Listening(_)
        | Body::Comparison(_)
        | Body::Blind(_)
        | Body::Bench(_)
        | Body::Take(_)
        | Body::Stay(_)
        | Body::Strike(_) => None,
    }
}

/// What goes with the only choice of an audition.
fn only_choice(ordered: &[(Entry, bool)], entry: &Entry) -> Option<&'static str> {
    let chosen = |body: &Body| matches!(body, Body::Audition(body) if is_chosen(body));
    let stands =
        |(other, struck): &(Entry, bool)| !struck && other.id != entry.id && other.body.known().is_some_and(chosen);
    let only = !ordered.iter().any(stands);
    only.then_some(
        "The audition then has no pickup and no guitar, so it leaves their pages. It can be brought back: Logbook, \
         Struck out.",
    )
}

/// Whether this says what is tried.
fn is_chosen(body: &AuditionBody) -> bool {
    matches!(body, AuditionBody::Chosen { .. })
}
