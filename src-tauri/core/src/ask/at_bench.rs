//! The bench as a whole: what is going on at it, what can hurt at it, who listens, and what is being typed.

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::Refusal;
use crate::ask::acts::{Asked, Does};
use crate::ask::bench::Bench;
use crate::ask::benches::{benches_reply, name_bench};
use crate::ask::install::load::as_shown;
use crate::ask::listener::{diary, keep_listener, listener_reply};
use crate::ask::load::{AsItStands, KitNow, demo_things, kit_then};
use crate::ask::reply::Reply;
use crate::ask::understand::{Quantity, understand};
use crate::ask::views::{BenchNow, BenchView, Draft, GoOn, IronOn, NumberedNotice, OnFinish};
use crate::audition::{Audition, Kit, Present, State, at_any_step, progress, title};
use crate::logbook::{Find, Line, Lists, Log};
use crate::record::audition::AuditionId;
use crate::record::entry::About;
use crate::record::names::EntryId;
use crate::record::quantity::{LengthUnit, Ohms};
use crate::record::words;
use crate::safety::cautions::{self, Situation};
use crate::safety::hearing::HearingRule;
use crate::{clock, demo};

/// How many auditions that are over the Bench page shows.
const RECENT: usize = 5;
/// For how long the Bench page asks after a rig that was not said to be lifted off, once its audition is over.
const ASKED_AFTER: TimeDelta = TimeDelta::days(7);
/// The longest name of a draft, in characters.
const LONGEST_KEY: usize = 200;

/// What is asked of the bench as a whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/bench.ts")]
pub enum BenchAsk {
    /// What is going on at the bench: open auditions, counts, notices.
    Bench {},
    /// Everything typed and not yet recorded.
    Drafts {},
    /// Keeps what is being typed; empty text clears it.
    KeepDraft {
        /// Where it is typed.
        key: String,
        /// The text.
        text: String,
    },
    /// Puts a notice away.
    PutNoticeAway {
        /// Its number.
        #[ts(type = "number")]
        notice: i64,
    },
    /// The benches that wrote this log.
    Benches {},
    /// Gives this bench a name.
    NameBench {
        /// Names the new entry.
        entry: EntryId,
        /// The name.
        name: String,
    },
    /// Loads the demo bench.
    LoadDemo {},
    /// Removes the demo bench.
    RemoveDemo {},
    /// What can hurt at this bench now, and the whole catalogue of cautions.
    Cautions {},
    /// Who listens, and how much of today's hearing is spent. What is given is kept from now on.
    Listener {
        /// The rule that is to count.
        rule: Option<HearingRule>,
        /// How many minutes the person's clock is ahead of UTC. Told without a zone, it ends a zone that says otherwise.
        minutes_ahead: Option<i32>,
        /// The time zone of the person's clock, by its IANA name. One that is not known here is kept, and the minutes count.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[ts(optional = nullable)]
        zone: Option<String>,
    },
    /// How something typed is understood, while it is being typed.
    Understand {
        /// What it should be.
        quantity: Quantity,
        /// What was typed.
        text: String,
        /// The unit of a bare length.
        unit: LengthUnit,
        /// The least and the most that a reading can be here, in ohms, as the bench said; a slip is asked about where the value
        /// lies outside.
        #[serde(default)]
        #[ts(optional = nullable)]
        plausible: Option<[Ohms; 2]>,
        /// Of a coil: what was typed for another one of the same pickup.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[ts(optional = nullable)]
        beside: Option<String>,
    },
}

impl Asked for BenchAsk {
    fn does(&self) -> Does {
        match self {
            Self::Bench {} | Self::Drafts {} | Self::Benches {} | Self::Cautions {} | Self::Understand { .. } => {
                Does::Look
            }
            Self::KeepDraft { .. }
            | Self::PutNoticeAway { .. }
            | Self::NameBench { .. }
            | Self::LoadDemo {}
            | Self::RemoveDemo {}
            | Self::Listener { .. } => Does::Change,
        }
    }

    fn answer(self, bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::Bench {} => bench_reply(bench, log, now),
            Self::Drafts {} => drafts_reply(log),
            Self::KeepDraft { key, text } => {
                if key.chars().count() > LONGEST_KEY {
                    return Err(Refusal::unclear("key", "The name of the draft is too long."));
                }
                if text.chars().count() > words::LONGEST_NOTE * 2 {
                    return Err(Refusal::unclear("text", "This is too long to be kept while it is typed. Shorten it."));
                }
                log.keep_draft(&key, &text, now)?;
                drafts_reply(log)
            }
            Self::PutNoticeAway { notice } => {
                log.put_notice_away(notice)?;
                bench_reply(bench, log, now)
            }
            Self::Benches {} => benches_reply(log, bench.id()),
            Self::NameBench { entry, name } => name_bench(log, (entry, bench.id()), name, now),
            Self::LoadDemo {} => {
                let shelf = bench.take_shelf();
                let takes: Vec<_> = demo::takes().collect();
                for (name, bytes) in &takes {
                    shelf.lay_down(name, bytes)?;
                }
                log.write(&demo::entries())?;
                for (name, _) in &takes {
                    shelf.keep(name)?;
                }
                bench_reply(bench, log, now)
            }
            Self::RemoveDemo {} => {
                let (goes, _) = demo_things(log)?;
                bench.erase_demo(log, &goes)?;
                bench_reply(bench, log, now)
            }
            Self::Cautions {} => Ok(Reply::Cautions {
                who_decides: cautions::WHO_DECIDES.to_owned(),
                now: bench_now(log, now)?,
                parts: cautions::whole_catalogue(),
            }),
            Self::Listener { rule, minutes_ahead, zone } => {
                keep_listener(log, rule, minutes_ahead, zone, now)?;
                listener_reply(log, now)
            }
            Self::Understand { quantity, text, unit, plausible, beside } => {
                understand(log, quantity, &text, unit, plausible, beside.as_deref())
            }
        }
    }
}

fn bench_reply(bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
    log.at_one_moment(|log| bench_view(bench, log, now)).map(|bench| Reply::Bench { bench })
}

fn bench_view(bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<BenchView, Refusal> {
    let (mut go_on, mut on_finish, mut sounding, mut irons) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let (diary, mut sounding_fits) = (diary(log, now)?, Vec::new());
    for line in log.open_auditions()? {
        let about = About::Audition(line.audition);
        let (AsItStands(audition), KitNow(kit)) = (log.found(about)?, log.found(about)?);
        let present = diary.seen_from(Some(about));
        if audition.sounding().is_some() {
            sounding.push(line.audition);
        }
        on_finish.extend(standing(line.audition, &audition, &kit, &present));
        irons.extend(iron_on(about, &audition, || title_of(&audition, &kit)));
        let (steps_over, Some((step, what))) = progress(&audition, &kit, &present) else { continue };
        go_on.push(GoOn { line, step, step_name: step.name().to_owned(), what, steps_over });
    }
    let over: Vec<Line> =
        log.find(&Find::default())?.lines.into_iter().filter(|line| line.state != State::Open).collect();
    // Ended, or its take-down left out, and the rig was never said to be off.
    for line in over.iter().filter(|line| (now - line.last).abs() < ASKED_AFTER && !line.demo) {
        let about = About::Audition(line.audition);
        let AsItStands(audition) = log.found(about)?;
        if audition.stands_since.is_some() || audition.iron_lit.is_some() {
            let (kit, present) = (kit_then(log, &audition)?, Present::at(now));
            on_finish.extend(standing(line.audition, &audition, &kit, &present));
            irons.extend(iron_on(about, &audition, || title_of(&audition, &kit)));
        }
    }
    let mut fits = log.open_installs()?;
    for line in &mut fits {
        let install = as_shown(log, line)?;
        let fit = &install.safety;
        if fit.sounding().is_some() {
            sounding_fits.push(line.fit);
        }
        irons.extend(iron_on(About::Fit(line.fit), fit, || line.title.clone()));
    }
    irons.sort_by_key(|iron: &IronOn| iron.since);
    on_finish.sort_by_key(|one: &OnFinish| one.countdown.over_at);
    let recent: Vec<Line> = over.into_iter().take(RECENT).collect();
    let notices = log.notices()?.into_iter().map(|(number, notice)| NumberedNotice { number, notice }).collect();
    Ok(BenchView {
        go_on,
        pickups: log.count_of("pickup")?,
        guitars: log.count_of("guitar")?,
        rigs: log.count_of("rig")?,
        demo: log.has_demo()?,
        on_finish,
        sounding,
        sounding_fits,
        irons,
        hearing: diary.seen_from(None).today(&Audition::default()),
        notices,
        clock: clock::doubt(log.last_written_here()?, now, bench.moved(now)),
        recent,
        fits,
    })
}

fn drafts_reply(log: &Log) -> Result<Reply, Refusal> {
    let drafts = log.drafts()?.into_iter().map(|(key, text)| Draft { key, text }).collect();
    Ok(Reply::Drafts { drafts })
}

/// The iron of an audition or an install, if it was lit and not said to be off.
fn iron_on(about: About, bench: &Audition, title: impl FnOnce() -> String) -> Option<IronOn> {
    bench.iron_lit.map(|since| IronOn { about, title: title(), since })
}

fn title_of(audition: &Audition, kit: &Kit) -> String {
    title(audition.choice.as_ref().map(|saved| &saved.said), kit)
}

/// The rig of an audition on its finish, if it stands there.
fn standing(id: AuditionId, audition: &Audition, kit: &Kit, present: &Present) -> Option<OnFinish> {
    let countdown = present.on_finish(audition, kit)?;
    Some(OnFinish { audition: id, title: title_of(audition, kit), countdown })
}

/// What can hurt at the open audition that was written in last, and at those that were written in within a day; where none
/// is open, what can hurt at a bench of which nothing is known.
fn bench_now(log: &mut Log, now: DateTime<Utc>) -> Result<Vec<BenchNow>, Refusal> {
    let diary = diary(log, now)?;
    let mut benches = Vec::new();
    for line in log.open_auditions()? {
        if !benches.is_empty() && (now - line.last).abs() > TimeDelta::days(1) {
            continue;
        }
        let about = About::Audition(line.audition);
        let (AsItStands(audition), KitNow(kit)) = (log.found(about)?, log.found(about)?);
        let (cautions, holds) = at_any_step(&audition, &kit, &diary.seen_from(Some(about)));
        let title = title_of(&audition, &kit);
        benches.push(BenchNow { audition: Some(line.audition), title, holds, cautions });
    }
    if benches.is_empty() {
        let cautions = cautions::views(&Situation::default(), |_| None);
        let title = "Any bench of which nothing is known yet".to_owned();
        benches.push(BenchNow { audition: None, title, holds: Vec::new(), cautions });
    }
    Ok(benches)
}
