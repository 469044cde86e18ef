//! The questions a page, a phone or a script may put, and what comes back.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use super::carry_view::CarryId;
use super::forms::{AimForm, ChoiceForm, HearForm, LevelForm, SoundAct};
use crate::ask::forms::guitar::{GuitarForm, HeightsForm};
use crate::ask::forms::pickup::PickupForm;
use crate::ask::forms::rig::RigForm;
use crate::ask::views::MeterForm;
use crate::fit::{IronAct, PlanForm};
use crate::logbook::Find;
use crate::record::audition::{AuditionId, HookedUp, Step};
use crate::record::decision::{Must, Wish};
use crate::record::entry::About;
use crate::record::guitar::GuitarId;
use crate::record::install::{FitAct, FitAnswer, FitId, FitStep};
use crate::record::leads::{CoilLeads, Tap};
use crate::record::listening::{Quality, Than};
use crate::record::meter::{MeterId, Probe};
use crate::record::mounting::{Lie, Mounting};
use crate::record::names::EntryId;
use crate::record::pickup::{CoilName, PickupId, Polarity};
use crate::record::quantity::{LengthUnit, Millimetres, Ohms};
use crate::record::rig::{Mode, RigId};
use crate::record::seat::{FinishAnswer, Seating};
use crate::record::tick::Tick;
use crate::record::told::Told;
use crate::record::wiring::{JackProbe, JackSet};
use crate::safety::hearing::HearingRule;
use crate::safety::holds::SafetyHold;

/// A question, or something to be written down.
///
/// Whatever writes carries `entry`, a version-7 UUID made by the asker. Asking again with the same `entry` writes
/// nothing more and answers the same, so an ask may be repeated after a dropped connection.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum Ask {
    /// What is going on at the bench: open auditions, counts, notices.
    Bench {},
    /// The pickups in use, or those put away.
    Drawer {
        /// Those put away instead.
        retired: bool,
    },
    /// One pickup, with a form to edit it.
    Pickup {
        /// Which.
        id: PickupId,
        /// The unit of lengths in the form.
        unit: LengthUnit,
    },
    /// The guitars in use, or those put away.
    Guitars {
        /// Those put away instead.
        retired: bool,
    },
    /// One guitar, with a form to edit it.
    Guitar {
        /// Which.
        id: GuitarId,
        /// The unit of lengths in the form.
        unit: LengthUnit,
    },
    /// The rigs in use, or those put away.
    Rigs {
        /// Those put away instead.
        retired: bool,
    },
    /// One rig, with a form to edit it.
    Rig {
        /// Which.
        id: RigId,
        /// The unit of lengths in the form.
        unit: LengthUnit,
    },
    /// A form for the ready-made four-terminal rig, to be written under a name of one's own.
    FourTerminalRig {
        /// The unit of lengths in the form.
        unit: LengthUnit,
    },
    /// What is known of a pickup's leads, and what to measure next.
    FindLeads {
        /// The pickup.
        pickup: PickupId,
        /// The rig for which a hookup is shown; nothing for the first one in use.
        rig: Option<RigId>,
    },
    /// A pickup's coils over its life, from the newest auditions.
    PickupHealth {
        /// The pickup.
        id: PickupId,
    },
    /// What each mode of a rig would do with a pickup, before anything is measured.
    ModesOf {
        /// The pickup.
        pickup: PickupId,
        /// The rig.
        rig: RigId,
    },
    /// The meter in use, with a form to edit it.
    Meter {},
    /// One audition, whole.
    Audition {
        /// Which.
        id: AuditionId,
    },
    /// A page of the logbook.
    Logbook {
        /// What to look for.
        find: Find,
    },
    /// Two to four auditions side by side, and whether it is fair to compare them.
    Compare {
        /// Which; two to four, no two alike.
        auditions: Vec<AuditionId>,
        /// The unit of lengths in the answer.
        unit: LengthUnit,
    },
    /// Which pickup in which mode for a place of a guitar: the candidates and how they stand.
    Decision {
        /// The guitar.
        guitar: GuitarId,
        /// From the saddle to the place, in millimetres; nothing for the one that was heard last.
        place: Option<Millimetres>,
        /// What is wished; nothing for what was wished when it was decided last.
        wishes: Option<Vec<Wish>>,
        /// Must-haves; nothing for what had to be so when it was decided last.
        musts: Option<Vec<Must>>,
    },
    /// Says how a quality compares with that of the pickup which is fitted at the place now.
    RateAgainstFitted {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The mode heard.
        mode: Mode,
        /// The quality.
        quality: Quality,
        /// Less, the same or more.
        than: Than,
    },
    /// Pins an audition as the reference that others are held against. There is one at a time.
    PinReference {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
    },
    /// Unpins it.
    UnpinReference {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
    },
    /// Looks at the notes of the reference while another audition is heard, which is written down.
    LookAtReference {
        /// The new entry.
        entry: EntryId,
        /// The audition that is heard.
        audition: AuditionId,
        /// The mode that is heard.
        mode: Mode,
    },
    /// Begins an audition in which one pickup is heard again under the conditions of another audition.
    HearAgain {
        /// The first new entry; the others follow from it.
        entry: EntryId,
        /// The new audition: a new version-7 UUID.
        audition: AuditionId,
        /// Its pickup and modes are taken.
        again: AuditionId,
        /// Its guitar, rig, place, tuning and gaps are taken.
        like: AuditionId,
    },
    /// Decides which pickup is to be installed at a place of a guitar.
    Decide {
        /// The new entry.
        entry: EntryId,
        /// The guitar.
        guitar: GuitarId,
        /// What was wished.
        wishes: Vec<Wish>,
        /// What had to be so.
        musts: Vec<Must>,
        /// The audition it is chosen by: its pickup and place count.
        audition: AuditionId,
        /// The mode it is chosen in.
        mode: Mode,
        /// Why, in words.
        why: String,
    },
    /// Strikes a decision out, or brings one back by striking out its strike-out.
    StrikeDecision {
        /// The new entry.
        entry: EntryId,
        /// The guitar.
        guitar: GuitarId,
        /// The entry that no longer counts.
        struck: EntryId,
        /// Why; may be empty.
        why: String,
    },
    /// What a lie in the rig comes to, while the pickup is turned about.
    Facing {
        /// Which audition.
        audition: AuditionId,
        /// The lie.
        lie: Lie,
        /// Whether the ends can be told apart.
        marked: bool,
    },
    /// The strings over the poles at the chosen place.
    StringsOver {
        /// Which audition.
        audition: AuditionId,
        /// How far the pickup is moved across, as typed; may be empty.
        shift: String,
        /// Whether it is moved to the treble side.
        to_treble: bool,
        /// How far an outer string may be off before it is worth a word, as typed; empty for the usual limit.
        limit: String,
        /// The unit of bare lengths.
        unit: LengthUnit,
    },
    /// What the rig's place can hear beside the final place.
    HearPlace {
        /// The places, and what is listened to.
        form: HearForm,
    },
    /// Gaps of earlier auditions, to be taken as an aim.
    EarlierGaps {
        /// The audition they are for.
        audition: AuditionId,
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
    },
    /// One permanent install, whole.
    Fit {
        /// Which.
        id: FitId,
    },
    /// Permanent installs of a pickup, a guitar or an audition, and where a pickup lives now.
    Fits {
        /// What they are about.
        about: About,
    },
    /// Begins a permanent install of the pickup of an audition.
    BeginFit {
        /// The new entry.
        entry: EntryId,
        /// Which install; a new version-7 UUID.
        fit: FitId,
        /// The audition it rests on.
        audition: AuditionId,
        /// The place, as the guitar's record calls it; empty for the final place of the audition, or its place.
        place: String,
    },
    /// Says how the new pickup is to be wired.
    PlanFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// The plan.
        plan: PlanForm,
    },
    /// Says that a step of an install is over. What is not proven then needs a reason.
    PassFitStep {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// The step.
        step: FitStep,
        /// Why it is passed although something in it is open; may be empty where nothing is.
        why: String,
    },
    /// Ticks, tells or does something before or at the hot iron. Lighting it is held as in an audition.
    AtFitIron {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// What.
        act: IronAct,
    },
    /// Tells how loud it is at an install, or corrects a time with the sound up. Its order is ticked as the iron's is.
    AtFitSound {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// What.
        act: SoundAct,
    },
    /// Ticks an act of the install. What needs the iron is held until it was lit.
    DoFitAct {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// The act.
        act: FitAct,
        /// Words that go with it; may be empty.
        words: String,
    },
    /// Takes a meter reading at the guitar's jack.
    ReadJack {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// The position of selector, switch and volume.
        at: JackSet,
        /// The reading as typed.
        reading: String,
        /// The room's temperature as typed; may be empty.
        room: String,
    },
    /// Takes a meter reading at the guitar's jack before anything in it is unsoldered.
    ReadJackBefore {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// The position of selector and volume.
        at: JackSet,
        /// The reading as typed.
        reading: String,
        /// The room's temperature as typed; may be empty.
        room: String,
    },
    /// Takes a meter reading inside the guitar to find out what is wrong.
    ProbeFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// Where the probes are.
        probe: JackProbe,
        /// The reading as typed.
        reading: String,
    },
    /// Says what was found out by ear at the finished wiring.
    AnswerFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// The answer, with its question.
        answer: FitAnswer,
    },
    /// Says that the install is done: the pickup lives in the guitar, the one that was there goes into the drawer.
    FinishFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// Words about it; may be empty.
        words: String,
    },
    /// Gives an install up.
    GiveUpFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// Why.
        why: String,
    },
    /// Strikes an entry of an install out. Striking a strike-out brings the entry back.
    StrikeFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: FitId,
        /// The entry that no longer counts.
        struck: EntryId,
        /// Why; may be empty.
        why: String,
    },
    /// Auditions and permanent installs that stand in no list because their beginning was struck out.
    Struck {},
    /// Everything typed and not yet recorded.
    Drafts {},
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
    /// What can be chosen to look for in the logbook.
    Choosable {},
    /// Everything that was done with a pickup, a page of its auditions at a time.
    PickupHistory {
        /// Which.
        id: PickupId,
        /// Go on after this place of the page before.
        #[ts(type = "number | null")]
        after: Option<i64>,
    },
    /// Everything that was done with a guitar, a page of its auditions at a time.
    GuitarHistory {
        /// Which.
        id: GuitarId,
        /// Go on after this place of the page before.
        #[ts(type = "number | null")]
        after: Option<i64>,
    },
    /// What would go if these things were erased.
    WhatWouldGo {
        /// The things.
        things: Vec<About>,
    },
    /// Checks the whole log file.
    CheckLog {},

    /// Writes a pickup down, new or changed.
    WritePickup {
        /// The new entry.
        entry: EntryId,
        /// Which pickup; a new version-7 UUID for a new one.
        id: PickupId,
        /// The form as filled in.
        form: PickupForm,
    },
    /// Begins to find out a pickup's leads, anew if that was begun before.
    BeginLeads {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// Its leads by name or colour: two to eight, no two alike.
        leads: Vec<String>,
        /// Whether there is a shield to measure at.
        shield: bool,
        /// Whether there is a frame or baseplate to measure at.
        frame: bool,
    },
    /// Measures between two leads of a pickup, or a lead and its shield or frame.
    MeasureLeads {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The two.
        between: [String; 2],
        /// The reading as typed; empty when the two can't be reached.
        reading: String,
        /// The two can't be reached with the probes.
        out_of_reach: bool,
    },
    /// Says which coil lies between two leads.
    NameCoil {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The coil and its leads.
        coil: CoilLeads,
    },
    /// Says how a meter swung when steel was pulled off the poles.
    TapCoil {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The probes and the swing.
        tap: Tap,
    },
    /// Says what a compass told over a coil.
    HoldCompass {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The coil.
        coil: CoilName,
        /// The pole that faces the strings; nothing when the compass did not tell.
        up: Option<Polarity>,
    },
    /// Writes what was found out about the leads into the pickup's record.
    SettleLeads {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
    },
    /// Strikes out something that was found out about the leads.
    StrikeLeads {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The entry that no longer counts.
        struck: EntryId,
    },
    /// Writes the meter in use down, new or changed. What was measured before keeps the claim it was measured with.
    WriteMeter {
        /// The new entry.
        entry: EntryId,
        /// The form as filled in.
        form: MeterForm,
    },
    /// Writes a guitar down, new or changed.
    WriteGuitar {
        /// The new entry.
        entry: EntryId,
        /// Which guitar; a new version-7 UUID for a new one.
        id: GuitarId,
        /// The form as filled in.
        form: GuitarForm,
    },
    /// Writes into a guitar's record how high its open strings stand over the last fret.
    TellHeights {
        /// The new entry.
        entry: EntryId,
        /// Which guitar.
        id: GuitarId,
        /// The heights as typed.
        heights: HeightsForm,
    },
    /// Writes a rig down, new or changed.
    WriteRig {
        /// The new entry.
        entry: EntryId,
        /// Which rig; a new version-7 UUID for a new one.
        id: RigId,
        /// The form as filled in.
        form: RigForm,
    },
    /// Puts a pickup, a guitar or a rig away; it stays in the log.
    Retire {
        /// The new entry.
        entry: EntryId,
        /// The thing.
        thing: About,
        /// Why; may be empty.
        why: String,
    },
    /// Brings it back into use.
    BringBack {
        /// The new entry.
        entry: EntryId,
        /// The thing.
        thing: About,
    },
    /// Begins an audition, or changes what one is about.
    Choose {
        /// The new entry.
        entry: EntryId,
        /// Which audition; a new version-7 UUID begins one.
        audition: AuditionId,
        /// What is chosen.
        choice: ChoiceForm,
    },
    /// Says how the pickup lies.
    Mount {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// How it lies.
        mounting: Mounting,
    },
    /// Says which leads are in a terminal, and whether they hold.
    HookUp {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The terminal and its leads.
        hooked: HookedUp,
    },
    /// Takes a meter reading to find out what is wrong, where the diagnosis asks for it.
    Probe {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// Where the probes are.
        probe: Probe,
        /// The reading as typed.
        reading: String,
    },
    /// Says that something on the rig was mended: what was measured before is shown as taken before, and judged no more.
    Mend {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// What was mended, in words; may be empty.
        what: String,
    },
    /// Takes a meter reading at the rig's output.
    TakeReading {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The switch position.
        mode: Mode,
        /// The reading as typed.
        reading: String,
        /// The room's temperature as typed; may be empty.
        room: String,
    },
    /// Answers for the finish.
    AskFinish {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The answer.
        answer: FinishAnswer,
    },
    /// Says how the rig stands. Held until the finish was asked about.
    Seat {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// How it stands.
        seating: Seating,
    },
    /// Measures the gaps.
    MeasureGaps {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// At the bass side, as typed.
        bass: String,
        /// At the treble side, as typed.
        treble: String,
        /// The unit of bare lengths.
        unit: LengthUnit,
        /// The fret at which the strings are pressed; nothing when they are open.
        pressed_at: Option<u8>,
        /// Whether the gaps stay like this.
        kept: bool,
        /// At the strings between the outer ones, as typed, bass side first; empty text where it was not measured.
        #[serde(default)]
        between: Vec<String>,
        /// How far the studs of the bass and the treble side stand out of their lowest position, as typed; empty when
        /// that was not measured.
        #[serde(default)]
        studs_out: Vec<String>,
    },
    /// Says what the studs are turned for.
    AimGaps {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The aim.
        aim: AimForm,
    },
    /// Writes down a level read at a known gap.
    ReadLevel {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The level as typed, in decibels.
        level: String,
        /// The gap as typed; empty for the mean of the gaps measured last.
        gap: String,
        /// The unit of a bare gap.
        unit: LengthUnit,
    },
    /// Says how the strings are tuned, when it is not as the guitar's record says.
    Tune {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// One note a string, bass side first, as typed; empty for the record's tuning.
        notes: String,
    },
    /// Says where the pickup will be installed.
    ChooseFinal {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// What the place is called.
        place: String,
        /// From the saddle to the pole line, as typed; at the bass side where the two sides differ.
        from_saddle: String,
        /// The same at the treble side, as typed, where it differs.
        #[serde(default)]
        from_saddle_treble: String,
        /// The unit of a bare length.
        unit: LengthUnit,
    },
    /// Ticks an item of a spoken order. Sound up is held by an unexplained short or open.
    TickOff {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The item.
        tick: Tick,
        /// Words that go with it; may be empty.
        words: String,
    },
    /// Ticks several items of one list that were said aloud one after the other. None may be one that a hold or a clock
    /// hangs on.
    TickTogether {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The items.
        ticks: Vec<Tick>,
    },
    /// Tells a fact of the bench that cautions hang on.
    Tell {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The fact.
        told: Told,
    },
    /// Tells how loud it is at the ear.
    TellLevel {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The level.
        level: LevelForm,
    },
    /// Corrects a time with the sound up by hand.
    CorrectListening {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The entry with which the sound came up.
        session: EntryId,
        /// How long it really was, as typed; empty when that was right.
        time: String,
        /// How loud it really was; nothing when that was right.
        level: Option<LevelForm>,
    },
    /// Switches the soldering iron on. Held until the guitar is unplugged, its battery out and its finish covered.
    LightIron {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
    },
    /// Says that the iron is off and in its stand.
    IronOff {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
    },
    /// Rates one quality of the sound.
    Rate {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The mode heard.
        mode: Mode,
        /// The quality.
        quality: Quality,
        /// 1 to 5.
        value: u8,
    },
    /// Writes words about the sound.
    NoteDown {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The mode heard.
        mode: Mode,
        /// The words.
        words: String,
    },
    /// Says what the sound goes through.
    DescribeAmp {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The words.
        words: String,
    },
    /// Leaves a step out.
    SkipStep {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The step.
        step: Step,
        /// Why.
        why: String,
    },
    /// Takes up a step that was left out.
    TakeUpStep {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The step.
        step: Step,
    },
    /// Says that a caution was read.
    Acknowledge {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The caution's name.
        caution: String,
        /// Its cause, as the caution was shown with.
        cause: String,
    },
    /// Passes a hold on one's own responsibility.
    OverrideHold {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The hold.
        hold: SafetyHold,
        /// Why.
        why: String,
    },
    /// Ends an audition before its last step.
    EndEarly {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// Why.
        why: String,
    },
    /// Strikes an entry of an audition out. Striking a strike-out brings the entry back.
    StrikeOut {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The entry that no longer counts.
        struck: EntryId,
        /// Why; may be empty.
        why: String,
    },
    /// Erases things and all that was written about them, for good.
    Erase {
        /// The things.
        things: Vec<About>,
    },
    /// Loads the demo bench.
    LoadDemo {},
    /// Removes the demo bench.
    RemoveDemo {},
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

    /// What a bundle of the log would hold.
    BundleOf {
        /// Only these auditions, with what they are about; none for the whole log.
        auditions: Vec<AuditionId>,
    },
    /// Packs a bundle, in place of the one that was carried before. Asked again with the same name it packs nothing anew.
    PackBundle {
        /// A new version-7 UUID.
        carry: CarryId,
        /// Only these auditions, with what they are about; none for the whole log.
        auditions: Vec<AuditionId>,
    },
    /// How the bundle stands that is being carried, or was last.
    Carry {},
    /// Takes in the bundle that was looked into.
    TakeIn {
        /// Which.
        carry: CarryId,
    },
    /// Calls a carrying off, or puts away what came of it.
    CallOff {
        /// Which.
        carry: CarryId,
    },
}

/// What something typed should be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Quantity {
    /// A meter reading, over-limit allowed.
    Reading,
    /// A reading of coils, over-limit allowed; what is too little or too much for one is asked about.
    Coil,
    /// A reading between two leads: next to nothing, a coil, or over-limit; what is none of them is asked about.
    Leads,
    /// A length.
    Length,
    /// A string gauge.
    Gauge,
    /// A room temperature.
    Temperature,
    /// A capacitance.
    Capacitance,
    /// A sound level at the ear.
    Level,
    /// How long something lasted.
    Time,
    /// An output level as a meter shows it, in decibels.
    Output,
}

impl Ask {
    /// Whether it takes something out of the log for good, which no other ask can bring back.
    #[must_use]
    pub fn erases(&self) -> bool {
        matches!(self, Self::Erase { .. } | Self::RemoveDemo {})
    }

    /// The new entry and the thing it is about, for an ask that writes one.
    #[must_use]
    pub fn writes(&self) -> Option<(EntryId, About)> {
        match self {
            Self::BeginLeads { entry, pickup, .. }
            | Self::MeasureLeads { entry, pickup, .. }
            | Self::NameCoil { entry, pickup, .. }
            | Self::TapCoil { entry, pickup, .. }
            | Self::HoldCompass { entry, pickup, .. }
            | Self::SettleLeads { entry, pickup }
            | Self::StrikeLeads { entry, pickup, .. } => Some((*entry, About::Pickup(*pickup))),
            Self::WriteMeter { entry, .. } => Some((*entry, About::Meter(MeterId::IN_USE))),
            Self::WritePickup { entry, id, .. } => Some((*entry, About::Pickup(*id))),
            Self::WriteGuitar { entry, id, .. } | Self::TellHeights { entry, id, .. } => {
                Some((*entry, About::Guitar(*id)))
            }
            Self::WriteRig { entry, id, .. } => Some((*entry, About::Rig(*id))),
            Self::Retire { entry, thing, .. } | Self::BringBack { entry, thing } => Some((*entry, *thing)),
            Self::Decide { entry, guitar, .. } | Self::StrikeDecision { entry, guitar, .. } => {
                Some((*entry, About::Guitar(*guitar)))
            }
            Self::RateAgainstFitted { entry, audition, .. }
            | Self::PinReference { entry, audition }
            | Self::UnpinReference { entry, audition }
            | Self::LookAtReference { entry, audition, .. }
            | Self::HearAgain { entry, audition, .. } => Some((*entry, About::Audition(*audition))),
            Self::Choose { entry, audition, .. }
            | Self::Mount { entry, audition, .. }
            | Self::HookUp { entry, audition, .. }
            | Self::Probe { entry, audition, .. }
            | Self::Mend { entry, audition, .. }
            | Self::TakeReading { entry, audition, .. }
            | Self::AskFinish { entry, audition, .. }
            | Self::Seat { entry, audition, .. }
            | Self::MeasureGaps { entry, audition, .. }
            | Self::AimGaps { entry, audition, .. }
            | Self::ReadLevel { entry, audition, .. }
            | Self::Tune { entry, audition, .. }
            | Self::ChooseFinal { entry, audition, .. }
            | Self::TickOff { entry, audition, .. }
            | Self::TickTogether { entry, audition, .. }
            | Self::Tell { entry, audition, .. }
            | Self::TellLevel { entry, audition, .. }
            | Self::CorrectListening { entry, audition, .. }
            | Self::LightIron { entry, audition }
            | Self::IronOff { entry, audition }
            | Self::Rate { entry, audition, .. }
            | Self::NoteDown { entry, audition, .. }
            | Self::DescribeAmp { entry, audition, .. }
            | Self::SkipStep { entry, audition, .. }
            | Self::TakeUpStep { entry, audition, .. }
            | Self::Acknowledge { entry, audition, .. }
            | Self::OverrideHold { entry, audition, .. }
            | Self::EndEarly { entry, audition, .. }
            | Self::StrikeOut { entry, audition, .. } => Some((*entry, About::Audition(*audition))),
            Self::BeginFit { entry, fit, .. }
            | Self::PlanFit { entry, fit, .. }
            | Self::PassFitStep { entry, fit, .. }
            | Self::AtFitIron { entry, fit, .. }
            | Self::AtFitSound { entry, fit, .. }
            | Self::ReadJackBefore { entry, fit, .. }
            | Self::DoFitAct { entry, fit, .. }
            | Self::ReadJack { entry, fit, .. }
            | Self::ProbeFit { entry, fit, .. }
            | Self::AnswerFit { entry, fit, .. }
            | Self::FinishFit { entry, fit, .. }
            | Self::GiveUpFit { entry, fit, .. }
            | Self::StrikeFit { entry, fit, .. } => Some((*entry, About::Fit(*fit))),
            Self::Bench {}
            | Self::Drawer { .. }
            | Self::Pickup { .. }
            | Self::Guitars { .. }
            | Self::Guitar { .. }
            | Self::Rigs { .. }
            | Self::Rig { .. }
            | Self::FourTerminalRig { .. }
            | Self::FindLeads { .. }
            | Self::PickupHealth { .. }
            | Self::ModesOf { .. }
            | Self::Meter {}
            | Self::Audition { .. }
            | Self::Logbook { .. }
            | Self::Compare { .. }
            | Self::Decision { .. }
            | Self::Facing { .. }
            | Self::StringsOver { .. }
            | Self::HearPlace { .. }
            | Self::EarlierGaps { .. }
            | Self::Understand { .. }
            | Self::Fit { .. }
            | Self::Fits { .. }
            | Self::Struck {}
            | Self::Drafts {}
            | Self::Cautions {}
            | Self::Listener { .. }
            | Self::Choosable {}
            | Self::PickupHistory { .. }
            | Self::GuitarHistory { .. }
            | Self::WhatWouldGo { .. }
            | Self::CheckLog {}
            | Self::Erase { .. }
            | Self::LoadDemo {}
            | Self::RemoveDemo {}
            | Self::KeepDraft { .. }
            | Self::PutNoticeAway { .. }
            | Self::BundleOf { .. }
            | Self::PackBundle { .. }
            | Self::Carry {}
            | Self::TakeIn { .. }
            | Self::CallOff { .. } => None,
        }
    }
}

impl Ask {
    /// The pickup whose leads this ask finds out about; such an ask is answered with where the search stands.
    #[must_use]
    pub fn finds_leads_of(&self) -> Option<PickupId> {
        match self {
            Self::BeginLeads { pickup, .. }
            | Self::MeasureLeads { pickup, .. }
            | Self::NameCoil { pickup, .. }
            | Self::TapCoil { pickup, .. }
            | Self::HoldCompass { pickup, .. }
            | Self::SettleLeads { pickup, .. }
            | Self::StrikeLeads { pickup, .. } => Some(*pickup),
            _ => None,
        }
    }
}

/// Whether an identifier is a version-7 UUID, as all names in the log are.
pub(super) fn is_version_7(id: Uuid) -> bool {
    id.get_version_num() == 7
}
