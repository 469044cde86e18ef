//! Auditions side by side, the reference, and the decision.

pub(super) mod asks;

use chrono::{DateTime, Utc};

use crate::ask::acts::Act;
use crate::ask::forms::typed::at;
use crate::ask::holding::refuse_while_too_loud;
use crate::ask::load::{audition_of, chosen_mode, kit, kit_then, newest};
use crate::ask::reference::{reference, title_of};
use crate::ask::reply::Reply;
use crate::ask::striking::may_be_struck;
use crate::ask::{Code, Refusal};
use crate::audition::{Audition, state};
use crate::blind::{BlindTest, evidence};
use crate::comparison::Compared;
use crate::comparison::{self, FEWEST, MOST, ReferenceView};
use crate::decision::{self, DecisionView, MOST_AUDITIONS, MustView, QualityOffered, SAME_PLACE, decided_lines};
use crate::logbook::{Lists, Log};
use crate::record::audition::{AuditionId, Choice};
use crate::record::body::{AuditionBody, Body, ComparisonBody, ListeningBody, StrikeBody};
use crate::record::decision::{Contender, Decision, Must, Wanted, Wish};
use crate::record::entry::{About, Entry};
use crate::record::gaps::GapAim;
use crate::record::guitar::{Guitar, GuitarId};
use crate::record::listening::Quality;
use crate::record::pickup::Pickup;
use crate::record::quantity::{LengthUnit, Millimetres};
use crate::record::rig::{Mode, Rig};
use crate::record::words;
use asks::ComparisonAct;

/// An audition, to be held against others.
pub(in crate::ask) fn compared(log: &Log, id: AuditionId, reference: Option<AuditionId>) -> Result<Compared, Refusal> {
    let audition = audition_of(log, id)?;
    let heard = audition.conditions.values().map(|heard| heard.at).max();
    let kit = match heard {
        Some(heard) => kit(log, &audition, Some(heard))?,
        None => kit_then(log, &audition)?,
    };
    let (state, _) = state(&audition, kit.rig.as_ref().map(|rig| rig.terminals.len()));
    Ok(Compared { id, audition, kit, state, pinned: reference == Some(id) })
}

fn compare(log: &Log, auditions: &[AuditionId], unit: LengthUnit) -> Result<Reply, Refusal> {
    if !(FEWEST..=MOST).contains(&auditions.len()) {
        return Err(Refusal::unclear("auditions", "Choose two to four auditions to put side by side."));
    }
    if auditions.iter().enumerate().any(|(at, id)| auditions[..at].contains(id)) {
        return Err(Refusal::unclear("auditions", "One audition is chosen twice. Choose another one beside it."));
    }
    let reference = reference(log)?;
    let all: Vec<Compared> =
        auditions.iter().map(|id| compared(log, *id, reference)).collect::<Result<_, Refusal>>()?;
    Ok(Reply::Comparison { comparison: Box::new(comparison::compare(&all, unit)) })
}

/// The auditions of a guitar, the newest first, as far back as they are looked at.
fn auditions_of(log: &mut Log, guitar: GuitarId) -> Result<Vec<Compared>, Refusal> {
    let reference = reference(log)?;
    let ids = log.auditions_of(About::Guitar(guitar))?;
    // Twice as many, as some were at other places or had nothing rated in them.
    let mut all = Vec::new();
    for id in ids.into_iter().take(MOST_AUDITIONS * 2) {
        let one = compared(log, AuditionId(id), reference)?;
        if !one.audition.conditions.is_empty() {
            all.push(one);
        }
    }
    // Auditions begun in the same instant have rows in the order in which they were merged in, which nobody may see.
    all.sort_by_key(|one| std::cmp::Reverse((one.when(), one.id)));
    Ok(all)
}

fn at_place(all: Vec<Compared>, place: Millimetres) -> Vec<Compared> {
    let here = |one: &Compared| {
        let choice = one.audition.choice.as_ref();
        choice.is_some_and(|choice| (choice.said.from_saddle.0 - place.0).abs() <= SAME_PLACE.0)
    };
    all.into_iter().filter(here).take(MOST_AUDITIONS).collect()
}

/// What is asked for must be in range; what is stored is taken as far as it is.
fn check(wishes: &[Wish], musts: &[Must]) -> Result<(), Refusal> {
    if !Wanted::of(wishes, &[]).left_out.is_empty() {
        return Err(Refusal::unclear("wishes", "A wish goes from −2 to 2, one for each quality."));
    }
    if !Wanted::of(&[], musts).left_out.is_empty() {
        return Err(Refusal::unclear("musts", "A must-have is a step from 1 to 5; sixteen at most."));
    }
    Ok(())
}

fn decision(
    log: &mut Log,
    guitar: GuitarId,
    place: Option<Millimetres>,
    wishes: Option<Vec<Wish>>,
    musts: Option<Vec<Must>>,
) -> Result<Reply, Refusal> {
    let about = About::Guitar(guitar);
    let record: Guitar = newest(log, about, "guitar")?;
    let entries = log.about(about)?;
    let all = auditions_of(log, guitar)?;
    let places = decision::places(&all);
    let chosen = match place {
        Some(place) => places.iter().find(|known| (known.from_saddle.value.0 - place.0).abs() <= SAME_PLACE.0),
        None => places.first(),
    };
    let from_saddle = chosen.map(|place| place.from_saddle.clone());
    let before = from_saddle.as_ref().and_then(|place| last_decided(&entries, place.value));
    check(wishes.as_deref().unwrap_or_default(), musts.as_deref().unwrap_or_default())?;
    let stored = before.map(|before| Wanted::of(&before.wishes, &before.musts)).unwrap_or_default();
    let wishes = wishes.unwrap_or(stored.wishes);
    let musts = musts.unwrap_or(stored.musts);
    let here = from_saddle.as_ref().map(|place| at_place(all, place.value)).unwrap_or_default();
    let standing = decision::decide(&here, &wishes, &musts);
    // Takes may have been heard blind where nothing was rated yet.
    let heard_at = from_saddle.as_ref().map(|place| place.value).or(place);
    let blind = evidence(&BlindTest::fold_all(&entries), heard_at, SAME_PLACE);
    Ok(Reply::Decision {
        decision: Box::new(DecisionView {
            guitar,
            guitar_label: record.label,
            place: chosen.map(|place| place.name.clone()).unwrap_or_default(),
            from_saddle,
            places,
            wishes: decision::wish_views(&wishes),
            musts: musts.iter().map(|must| MustView { must: *must, words: must.in_words() }).collect(),
            left_out: [stored.left_out, decision::beside_fitted_alone(&here)].concat(),
            qualities: Quality::ALL
                .map(|quality| QualityOffered {
                    quality,
                    name: quality.name().to_owned(),
                    anchors: quality.anchors().map(str::to_owned),
                })
                .to_vec(),
            verdict: standing.verdict,
            groups: standing.groups,
            out: standing.out,
            next: standing.next,
            assumptions: decision::assumptions(),
            blind,
            decided: decided_lines(&entries),
        }),
    })
}

/// What was decided last for this place and not struck out.
fn last_decided(ordered: &[(Entry, bool)], place: Millimetres) -> Option<&Decision> {
    ordered.iter().rev().filter(|(_, struck)| !struck).find_map(|(entry, _)| match entry.body.known() {
        Some(Body::Comparison(ComparisonBody::Decided { decision }))
            if (decision.from_saddle.0 - place.0).abs() <= SAME_PLACE.0 =>
        {
            Some(decision)
        }
        _ => None,
    })
}

/// The notes of the reference that was looked at, which may be another one than is pinned by now.
fn looked_at(log: &Log, audition: AuditionId, mode: &Mode) -> Result<Reply, Refusal> {
    let looked = audition_of(log, audition)?.looked.get(mode).copied();
    let reference = looked.ok_or_else(|| Refusal::not_found("reference"))?;
    let found = audition_of(log, reference)?;
    let title = title_of(log, &found)?;
    Ok(Reply::Reference { reference: ReferenceView::of(reference, title, &found, mode) })
}

/// The entries with which one pickup is heard again under the conditions of another audition.
fn hear_again(log: &Log, again: AuditionId, like: AuditionId, before: &[(Entry, bool)]) -> Result<Vec<Body>, Refusal> {
    if !before.is_empty() {
        return Err(Refusal::unclear(
            "audition",
            "This audition has begun already. Nothing was written; ask with a new name.",
        ));
    }
    let again = audition_of(log, again)?;
    let other = audition_of(log, like)?;
    let nothing = || Refusal::unclear("again", "Nothing was chosen in that audition yet, so it can't be heard again.");
    let what = again.choice.ok_or_else(nothing)?.said;
    let how = other.choice.as_ref().ok_or_else(nothing)?.said.clone();
    let label = newest::<Pickup>(log, About::Pickup(how.pickup), "pickup").map(|pickup| pickup.label);
    let rig: Rig = newest(log, About::Rig(how.rig), "rig")?;
    let mut modes = what.modes;
    modes.retain(|mode| rig.position(mode).is_some());
    if modes.is_empty() {
        modes = how.modes;
    }
    let day = other.begun.map(|begun| begun.format(" of %-d %B %Y").to_string()).unwrap_or_default();
    let question =
        format!("To be compared fairly with {}{day}", label.unwrap_or_else(|_| "the other audition".to_owned()));
    let choice = Choice { pickup: what.pickup, question, modes, ..how };
    let mut bodies = vec![Body::Audition(AuditionBody::Chosen { choice })];
    bodies.extend(other.tuned.map(|tuned| Body::Audition(AuditionBody::Tuned { notes: tuned.said })));
    bodies.extend(other.gaps.map(|gaps| {
        let gaps = gaps.said;
        let aim = GapAim { bass: gaps.bass, treble: gaps.treble, pressed_at: gaps.pressed_at, from: Some(like) };
        Body::Audition(AuditionBody::GapsAimed { aim: Some(aim) })
    }));
    Ok(bodies)
}

/// What this act writes, given what was written about the same thing before.
fn compose(
    log: &mut Log,
    act: ComparisonAct,
    before: &[(Entry, bool)],
    now: DateTime<Utc>,
) -> Result<Vec<Body>, Refusal> {
    // Only what begins an audition is written where nothing is.
    if before.is_empty()
        && let (_, About::Audition(_)) = act.writes()
        && !matches!(act, ComparisonAct::HearAgain { .. })
    {
        return Err(Refusal::not_found("audition"));
    }
    Ok(vec![match act {
        ComparisonAct::HearAgain { again, like, .. } => return hear_again(log, again, like, before),
        ComparisonAct::RateAgainstFitted { mode, quality, than, .. } => {
            refuse_while_too_loud(log, before, now)?;
            chosen_mode(before, &mode)?;
            Body::Listening(ListeningBody::RatedAgainstFitted { mode, quality, than })
        }
        ComparisonAct::PinReference { .. } => {
            if Audition::fold(before).rated.is_empty() {
                let sentence = "Nothing was rated in this audition yet, so others can't be held against it.";
                return Err(Refusal::new(Code::NotNow, sentence));
            }
            Body::Comparison(ComparisonBody::ReferencePinned {})
        }
        ComparisonAct::UnpinReference { .. } => Body::Comparison(ComparisonBody::ReferenceUnpinned {}),
        ComparisonAct::LookAtReference { audition, mode, .. } => {
            chosen_mode(before, &mode)?;
            let pinned = reference(log)?.ok_or_else(|| {
                Refusal::new(Code::NotNow, "No audition is pinned as the reference. Pin one on its own page.")
            })?;
            if pinned == audition {
                return Err(Refusal::new(Code::NotNow, "This audition is the reference itself."));
            }
            Body::Listening(ListeningBody::ReferenceLookedAt { reference: pinned, mode })
        }
        ComparisonAct::Decide { guitar, wishes, musts, audition, mode, why, .. } => {
            decided(log, guitar, wishes, musts, audition, mode, &why)?
        }
        ComparisonAct::StrikeDecision { struck, why, .. } => {
            may_be_struck(before, struck, "This was not decided for this guitar.", |body| {
                matches!(body.known(), Some(Body::Comparison(ComparisonBody::Decided { .. })))
            })?;
            Body::Strike(StrikeBody::StruckOut {
                entry: struck,
                why: words::note(&why, "the reason").map_err(at("why"))?,
            })
        }
    }])
}

fn decided(
    log: &mut Log,
    guitar: GuitarId,
    wishes: Vec<Wish>,
    musts: Vec<Must>,
    audition: AuditionId,
    mode: Mode,
    why: &str,
) -> Result<Body, Refusal> {
    newest::<Guitar>(log, About::Guitar(guitar), "guitar")?;
    check(&wishes, &musts)?;
    let chosen = audition_of(log, audition)?;
    let choice = chosen.choice.ok_or_else(|| Refusal::not_found("audition"))?.said;
    if choice.guitar != guitar {
        return Err(Refusal::unclear("audition", "That audition was on another guitar. Choose one on this guitar."));
    }
    if !chosen.conditions.contains_key(&mode) {
        return Err(Refusal::unclear(
            "mode",
            "The pickup was not heard in this mode in that audition. Choose another one.",
        ));
    }
    let why = words::reason(why).map_err(at("why"))?;
    let here = at_place(auditions_of(log, guitar)?, choice.from_saddle);
    let contenders = decision::candidates(&here).into_iter().map(|one| Contender {
        pickup: one.pickup,
        label: one.label,
        mode: one.mode,
        auditions: one.evidence.into_iter().map(|evidence| evidence.audition).collect(),
    });
    let label = newest::<Pickup>(log, About::Pickup(choice.pickup), "pickup")?.label;
    Ok(Body::Comparison(ComparisonBody::Decided {
        decision: Decision {
            place: choice.place,
            from_saddle: choice.from_saddle,
            wishes: wishes.into_iter().filter(|wish| wish.want != 0).collect(),
            musts,
            contenders: contenders.collect(),
            pickup: choice.pickup,
            label,
            mode,
            audition,
            why,
        },
    }))
}
