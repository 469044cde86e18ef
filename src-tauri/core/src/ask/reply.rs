//! What the bench answers.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::blind_view::{BlindOffer, TakesTogether};
use crate::ask::carry_view::{BundleView, CarryView};
use crate::ask::forms::rig::{RigForm, RigToBeginFrom};
use crate::ask::measured_view::CoilValuesView;
use crate::ask::refusal::Refusal;
use crate::ask::take_view::{TakeLine, TakesView};
use crate::ask::views::{
    BenchNow, BenchView, Choosable, Draft, EarlierGaps, GuitarLine, GuitarPage, LastTime, ListenerView, MeterPage,
    NamedBench, PickupLine, PickupPage, RigLine, RigPage, StruckLine,
};
use crate::audition::AuditionView;
use crate::blind::{BlindLine, BlindView};
use crate::comparison::{ComparisonView, ReferenceView, TakesFairness};
use crate::decision::DecisionView;
use crate::history::History;
use crate::install::{CircuitView, InstallView, LivesIn, SheetsView};
use crate::logbook::{InstallLine, LogbookPage};
use crate::physics::facing::FacingView;
use crate::physics::leads::LeadSearchView;
use crate::physics::meter::{Health, ModeExpectation};
use crate::physics::poles::PoleSide;
use crate::physics::strings::{PlaceView, StringsView};
use crate::safety::cautions::CautionPart;

/// What comes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "reply", rename_all = "snake_case")]
#[ts(export_to = "contract/ask.ts")]
pub enum Reply {
    /// To `bench`, `load_demo`, `remove_demo` and `put_notice_away`.
    Bench {
        /// The bench.
        bench: BenchView,
    },
    /// To `benches` and `name_bench`.
    Benches {
        /// This one first.
        benches: Vec<NamedBench>,
    },
    /// To `drawer`.
    Drawer {
        /// The pickups, by label.
        pickups: Vec<PickupLine>,
    },
    /// To `pickup` and whatever changes one.
    Pickup {
        /// The pickup.
        pickup: Box<PickupPage>,
    },
    /// To `guitars`.
    Guitars {
        /// The guitars, by label.
        guitars: Vec<GuitarLine>,
    },
    /// To `guitar` and whatever changes one.
    Guitar {
        /// The guitar.
        guitar: Box<GuitarPage>,
    },
    /// To `rigs`.
    Rigs {
        /// The rigs, by label.
        rigs: Vec<RigLine>,
    },
    /// To `rig` and whatever changes one.
    Rig {
        /// The rig.
        rig: Box<RigPage>,
    },
    /// To `find_leads` and whatever is written about a pickup's leads.
    LeadSearch {
        /// Where the search stands.
        search: Box<LeadSearchView>,
    },
    /// To `coil_values` and whatever is measured of a pickup's coils.
    CoilValues {
        /// What they are.
        values: Box<CoilValuesView>,
    },
    /// To `pickup_health`.
    Health {
        /// The pickup over its life.
        health: Health,
    },
    /// To `modes_of`.
    Modes {
        /// One a position of the rig's switch.
        modes: Vec<ModeExpectation>,
    },
    /// To `meter` and `write_meter`.
    Meter {
        /// The meter.
        meter: MeterPage,
    },
    /// To `four_terminal_rig`.
    RigForm {
        /// The form, filled in.
        form: RigForm,
    },
    /// To `rigs_to_begin_from`.
    RigsToBeginFrom {
        /// One a kind.
        rigs: Vec<RigToBeginFrom>,
    },
    /// To `audition` and whatever is written about one.
    Audition {
        /// The audition.
        audition: Box<AuditionView>,
    },
    /// To `logbook`.
    Logbook {
        /// The page.
        found: LogbookPage,
    },
    /// To `compare`.
    Comparison {
        /// The auditions side by side.
        comparison: Box<ComparisonView>,
    },
    /// To `decision` and whatever decides.
    Decision {
        /// The candidates and how they stand.
        decision: Box<DecisionView>,
    },
    /// To `look_at_reference`.
    Reference {
        /// The notes of the reference.
        reference: ReferenceView,
    },
    /// To `facing`.
    Facing {
        /// What the lie comes to.
        look: Box<FacingView>,
    },
    /// To `strings_over`.
    Strings {
        /// The strings over the poles.
        strings: Box<StringsView>,
    },
    /// To `hear_place`.
    Place {
        /// What the places can hear.
        place: Box<PlaceView>,
    },
    /// To `earlier_gaps`.
    EarlierGaps {
        /// Auditions with gaps, the same guitar's first, the newest before older ones.
        earlier: Vec<EarlierGaps>,
    },
    /// To `last_time`.
    LastTime {
        /// What was answered; nothing where it never was.
        last: Option<Box<LastTime>>,
    },
    /// To `understand`.
    Understood {
        /// As it was understood, in a person's writing.
        shown: String,
        /// What to ask about it all the same, in a sentence.
        query: Option<String>,
        /// What may have been meant, to be taken by one tap.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[ts(optional = nullable)]
        instead: Option<String>,
        /// The bench will not have it as it is, whoever says that it is so.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        #[ts(optional, as = "Option<bool>")]
        never: bool,
    },
    /// To `pole_side`.
    PoleSide {
        /// The pole, or what comes next.
        side: PoleSide,
    },
    /// To `fit` and whatever is written about one.
    Fit {
        /// The install.
        fit: Box<InstallView>,
    },
    /// To `fit_circuit`.
    Circuit {
        /// The circuit.
        circuit: Box<CircuitView>,
    },
    /// To `compare_fits`.
    Sheets {
        /// Them, side by side.
        sheets: Box<SheetsView>,
    },
    /// To `fits`.
    Fits {
        /// The installs, the newest first.
        fits: Vec<InstallLine>,
        /// Where the pickup lives now, if it is about one that lives in a guitar.
        lives_in: Option<LivesIn>,
    },
    /// To `takes` and whatever is written about them.
    Takes {
        /// The takes.
        takes: Box<TakesView>,
    },
    /// To `tell_take`.
    Take {
        /// The take.
        take: Box<TakeLine>,
    },
    /// To `fair_takes`.
    TakesFair {
        /// Whether it is fair, and why not.
        fairness: TakesFairness,
    },
    /// To `hear_takes`.
    Hearing {
        /// The takes beside each other.
        hearing: Box<TakesTogether>,
    },
    /// To `blind_offer`.
    BlindOffer {
        /// What a test would be.
        offer: Box<BlindOffer>,
    },
    /// To `blind` and whatever is written of a blind test.
    Blind {
        /// The test.
        blind: Box<BlindView>,
    },
    /// To `blind_tests`.
    BlindTests {
        /// The tests, the newest first.
        tests: Vec<BlindLine>,
    },
    /// To `struck`.
    Struck {
        /// Them, the one struck out last first.
        lines: Vec<StruckLine>,
    },
    /// To `drafts` and `keep_draft`.
    Drafts {
        /// The drafts, newest first.
        drafts: Vec<Draft>,
    },
    /// To `cautions`.
    Cautions {
        /// Who decides, in a sentence.
        who_decides: String,
        /// What can hurt at this bench now.
        now: Vec<BenchNow>,
        /// The catalogue, part by part.
        parts: Vec<CautionPart>,
    },
    /// To `listener`.
    Listener {
        /// Who listens.
        listener: ListenerView,
    },
    /// To `choosable`.
    Choosable {
        /// What can be chosen.
        choosable: Choosable,
    },
    /// To `pickup_history` and `guitar_history`.
    History {
        /// The history.
        history: Box<History>,
    },
    /// To `what_would_go`.
    WouldGo {
        /// What would go and what would stay, in sentences.
        sentences: Vec<String>,
    },
    /// To `erase` and `check_log`: what was done, in a sentence.
    Done {
        /// The sentence.
        sentence: String,
    },

    /// To `bundle_of`.
    BundleOf {
        /// What it would hold.
        bundle: BundleView,
    },
    /// To `pack_bundle`, `carry`, `take_in` and `call_off`.
    Carry {
        /// The bundle; nothing when none is carried.
        carry: Option<CarryView>,
    },
}

/// An answer in JSON.
#[must_use]
pub fn in_json(answer: &Result<Reply, Refusal>) -> Vec<u8> {
    #[derive(serde::Serialize)]
    #[serde(rename_all = "snake_case")]
    enum Answer<'a> {
        Ok(&'a Reply),
        Refused(&'a Refusal),
    }
    let answer = match answer {
        Ok(reply) => Answer::Ok(reply),
        Err(refusal) => Answer::Refused(refusal),
    };
    serde_json::to_vec(&answer).unwrap_or_else(|_| {
        br#"{"refused":{"code":"program","sentence":"The answer could not be written.","field":null}}"#.to_vec()
    })
}
