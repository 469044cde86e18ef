//! What the bench answers.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::carry_view::{BundleView, CarryView};
use crate::ask::forms::rig::RigForm;
use crate::ask::views::{
    BenchNow, BenchView, Choosable, Draft, EarlierGaps, GuitarLine, GuitarPage, ListenerView, MeterPage, PickupLine,
    PickupPage, RigLine, RigPage, StruckLine,
};
use crate::audition::AuditionView;
use crate::comparison::{ComparisonView, ReferenceView};
use crate::decision::DecisionView;
use crate::fit::{FitView, LivesIn};
use crate::history::History;
use crate::logbook::{FitLine, Found};
use crate::physics::facing::FacingView;
use crate::physics::leads::LeadSearchView;
use crate::physics::meter::{Health, ModeExpectation};
use crate::physics::strings::{PlaceView, StringsView};
use crate::safety::cautions::CautionPart;

/// What comes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "reply", rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Reply {
    /// To [`Ask::Bench`], [`Ask::LoadDemo`], [`Ask::RemoveDemo`] and [`Ask::PutNoticeAway`].
    Bench {
        /// The bench.
        bench: BenchView,
    },
    /// To [`Ask::Drawer`].
    Drawer {
        /// The pickups, by label.
        pickups: Vec<PickupLine>,
    },
    /// To [`Ask::Pickup`] and whatever changes one.
    Pickup {
        /// The pickup.
        pickup: Box<PickupPage>,
    },
    /// To [`Ask::Guitars`].
    Guitars {
        /// The guitars, by label.
        guitars: Vec<GuitarLine>,
    },
    /// To [`Ask::Guitar`] and whatever changes one.
    Guitar {
        /// The guitar.
        guitar: Box<GuitarPage>,
    },
    /// To [`Ask::Rigs`].
    Rigs {
        /// The rigs, by label.
        rigs: Vec<RigLine>,
    },
    /// To [`Ask::Rig`] and whatever changes one.
    Rig {
        /// The rig.
        rig: Box<RigPage>,
    },
    /// To [`Ask::FindLeads`] and whatever is written about a pickup's leads.
    LeadSearch {
        /// Where the search stands.
        search: Box<LeadSearchView>,
    },
    /// To [`Ask::PickupHealth`].
    Health {
        /// The pickup over its life.
        health: Health,
    },
    /// To [`Ask::ModesOf`].
    Modes {
        /// One a position of the rig's switch.
        modes: Vec<ModeExpectation>,
    },
    /// To [`Ask::Meter`] and [`Ask::WriteMeter`].
    Meter {
        /// The meter.
        meter: MeterPage,
    },
    /// To [`Ask::FourTerminalRig`].
    RigForm {
        /// The form, filled in.
        form: RigForm,
    },
    /// To [`Ask::Audition`] and whatever is written about one.
    Audition {
        /// The audition.
        audition: Box<AuditionView>,
    },
    /// To [`Ask::Logbook`].
    Logbook {
        /// The page.
        found: Found,
    },
    /// To [`Ask::Compare`].
    Comparison {
        /// The auditions side by side.
        comparison: Box<ComparisonView>,
    },
    /// To [`Ask::Decision`] and whatever decides.
    Decision {
        /// The candidates and how they stand.
        decision: Box<DecisionView>,
    },
    /// To [`Ask::LookAtReference`].
    Reference {
        /// The notes of the reference.
        reference: ReferenceView,
    },
    /// To [`Ask::Facing`].
    Facing {
        /// What the lie comes to.
        look: Box<FacingView>,
    },
    /// To [`Ask::StringsOver`].
    Strings {
        /// The strings over the poles.
        strings: Box<StringsView>,
    },
    /// To [`Ask::HearPlace`].
    Place {
        /// What the places can hear.
        place: Box<PlaceView>,
    },
    /// To [`Ask::EarlierGaps`].
    EarlierGaps {
        /// Auditions with gaps, the same guitar's first, the newest before older ones.
        earlier: Vec<EarlierGaps>,
    },
    /// To [`Ask::Understand`].
    Understood {
        /// As it was understood, in a person's writing.
        shown: String,
        /// What to ask about it all the same, in a sentence.
        query: Option<String>,
    },
    /// To [`Ask::Fit`] and whatever is written about one.
    Fit {
        /// The install.
        fit: Box<FitView>,
    },
    /// To [`Ask::Fits`].
    Fits {
        /// The installs, the newest first.
        fits: Vec<FitLine>,
        /// Where the pickup lives now, if it is about one that lives in a guitar.
        lives_in: Option<LivesIn>,
    },
    /// To [`Ask::Struck`].
    Struck {
        /// Them, the one struck out last first.
        lines: Vec<StruckLine>,
    },
    /// To [`Ask::Drafts`] and [`Ask::KeepDraft`].
    Drafts {
        /// The drafts, newest first.
        drafts: Vec<Draft>,
    },
    /// To [`Ask::Cautions`].
    Cautions {
        /// Who decides, in a sentence.
        who_decides: String,
        /// What can hurt at this bench now.
        now: Vec<BenchNow>,
        /// The catalogue, part by part.
        parts: Vec<CautionPart>,
    },
    /// To [`Ask::Listener`].
    Listener {
        /// Who listens.
        listener: ListenerView,
    },
    /// To [`Ask::Choosable`].
    Choosable {
        /// What can be chosen.
        choosable: Choosable,
    },
    /// To [`Ask::PickupHistory`] and [`Ask::GuitarHistory`].
    History {
        /// The history.
        history: Box<History>,
    },
    /// To [`Ask::WhatWouldGo`].
    WouldGo {
        /// What would go and what would stay, in sentences.
        sentences: Vec<String>,
    },
    /// To [`Ask::Erase`] and [`Ask::CheckLog`]: what was done, in a sentence.
    Done {
        /// The sentence.
        sentence: String,
    },

    /// To [`Ask::BundleOf`].
    BundleOf {
        /// What it would hold.
        bundle: BundleView,
    },
    /// To [`Ask::PackBundle`], [`Ask::Carry`], [`Ask::TakeIn`] and [`Ask::CallOff`].
    Carry {
        /// The bundle; nothing when none is carried.
        carry: Option<CarryView>,
    },
}
