//! Which way round a pickup goes in, and whether it fits.

use super::said;
use crate::audition::hung;
use crate::install::fold::Install;
use crate::install::kit::InstallKit;
use crate::install::page::{CheckedLine, MissingSize, SizeOf};
use crate::install::sheet::Sheet;
use crate::install::shown::in_short;
use crate::install::slips::StatedIn;
use crate::physics::gaps::{Hung, Over};
use crate::physics::wiring::Clearance;
use crate::physics::{meter, wiring};
use crate::record::guitar::{Guitar, Place};
use crate::record::install::{InstallStep, InstallTask};
use crate::record::pickup::Pickup;
use crate::record::quantity::{InInches, LengthUnit, Millimetres};
use crate::record::rig::{Mode, Rig};
use crate::record::tick::Tick;
use crate::record::verdict::{Verdict, VerdictKind};

/// Which way round the pickup goes in, and whether it fits.
pub(super) fn way_round_and_room(
    sheet: &mut Sheet,
    install: &Install,
    kit: &InstallKit,
    (pickup, guitar, rig): (&Pickup, &Guitar, &Rig),
    planned: &[Mode],
) {
    let mounting = kit.audition.mounting.as_ref().map(|saved| saved.said);
    // Whoever solders it has it out, whatever was ticked.
    let ticked = |tick: &Tick| kit.audition.ticks.contains_key(tick);
    let taken_down = Tick::TAKE_DOWN.iter().all(ticked) || install.acts.contains_key(&InstallTask::SetIn);
    let way = wiring::way_round(pickup, guitar, rig, mounting.as_ref(), taken_down, planned);
    sheet.set_in = [way.bass_end, way.bridge_edge].into_iter().filter(said).collect();
    sheet.way_round = sheet.set_in.iter().cloned().chain(way.rig_changed).collect();
    let beside = sheet.set_in.iter().map(|_| None).chain(way.rig_changed_in_inches);
    sheet.way_round_in_inches = InInches::where_told(beside.collect());
    if let Some(place) = kit.place() {
        let at = wiring::clearance(pickup, guitar, place, heard_gaps(kit));
        (sheet.heights, sheet.heights_in_inches) = InInches::told_each(|unit| heights(&at, unit));
        sheet.way_drawn = Some(at.strings.drawn.clone());
        sheet.room = room(at, pickup, guitar, place);
    }
    if let Some(why) = meter::not_covered(pickup, None) {
        sheet.room.insert(0, CheckedLine::new("The pickup", why.into()));
    }
    let room: Vec<_> = sheet.room.iter().map(|line| (&line.name, line.verdict.kind, &line.verdict.word)).collect();
    sheet.causes.insert(InstallStep::Room, in_short(&room));
}

/// The gaps of the audition, with the height of the strings as the guitar's record says it now where it said nothing then.
fn heard_gaps(kit: &InstallKit) -> Option<Hung> {
    let choice = kit.audition.choice.as_ref().map(|saved| &saved.said);
    let mut heard = hung(choice, kit.audition.gaps.as_ref().map(|saved| &saved.said), &kit.heard)?;
    if !heard.over.measured {
        heard.over = Over::of(kit.guitar.as_ref(), choice?.sides(), heard.over.faces);
    }
    Some(heard)
}

fn heights(at: &Clearance, unit: LengthUnit) -> Vec<String> {
    let [bass, treble] = [0, 1].map(|side: usize| at.gaps[side].value.shown(unit));
    let from = InInches::in_unit(&at.gaps_from, at.gaps_from_in_inches.as_ref(), unit).to_owned();
    vec![format!(
        "Bass side {bass}, treble side {treble}, from the pole to the underside of the string, pressed at the last fret."
    )]
        .into_iter()
        .chain(said(&from).then_some(from))
        .collect()
}

/// Sizes of the pickup and of its opening that no record says.
fn missing(pickup: &Pickup, place: &Place) -> Vec<MissingSize> {
    let sizes = [
        (SizeOf::Length, pickup.length, place.opening_length),
        (SizeOf::Width, pickup.width, place.opening_width),
        (SizeOf::Depth, pickup.depth, place.depth),
    ];
    let of = |record, size, known: Option<Millimetres>| known.is_none().then_some(MissingSize { of: record, size });
    let both = sizes.map(|(size, its, has)| [of(StatedIn::Pickup, size, its), of(StatedIn::Guitar, size, has)]);
    both.into_iter().flatten().flatten().collect()
}

fn room(at: Clearance, pickup: &Pickup, guitar: &Guitar, place: &Place) -> Vec<CheckedLine> {
    let line = |name: &str, kind, word: &str, (sentence, in_inches): (String, Option<InInches>)| CheckedLine {
        in_inches,
        ..CheckedLine::new(name, Verdict::new(kind, word, sentence))
    };
    let together = |words: &[String], in_inches: &[Option<InInches>]| {
        InInches::told(|unit| InInches::together(words, in_inches, unit))
    };
    let (kind, word) = match at.fits {
        Some(true) => (VerdictKind::Good, "It fits"),
        Some(false) => (VerdictKind::Bad, "It does not fit"),
        None => (VerdictKind::Unsure, "Not measured"),
    };
    let heights = InInches::told(|unit| heights(&at, unit).join(" "));
    let far = at.strings.strings.iter().any(|string| string.far);
    let unknown = at.strings.strings.iter().all(|string| string.offset.is_none() && string.words == "no pole known");
    let other_count = at.strings.mismatch.is_some();
    let (spacing, spacing_word) = match (unknown, far) {
        (true, _) => (VerdictKind::Unsure, "Not known"),
        (false, _) if other_count => (VerdictKind::Unsure, "Another number of poles"),
        (false, true) => (VerdictKind::Unsure, "Look at it"),
        (false, false) => (VerdictKind::Good, "Over the poles"),
    };
    let spread = guitar.spread_nut.is_none() || guitar.spread_saddle.is_none();
    let of_spacing = [(StatedIn::Pickup, pickup.pole_spacing.is_none()), (StatedIn::Guitar, spread)];
    let of_heights = [(StatedIn::Guitar, guitar.height_bass.is_none() || guitar.height_treble.is_none())];
    let short = |records: &[(StatedIn, bool)]| -> Vec<StatedIn> {
        records.iter().filter(|(_, short)| *short).map(|(record, _)| *record).collect()
    };
    vec![
        CheckedLine {
            missing: missing(pickup, place),
            ..line("Opening and depth", kind, word, together(&at.size, &at.size_in_inches))
        },
        CheckedLine {
            records: short(&of_spacing),
            ..line(
                "Strings over the poles",
                spacing,
                spacing_word,
                together(&at.strings.sentences, &at.strings.sentences_in_inches),
            )
        },
        CheckedLine {
            records: short(&of_heights),
            ..line("Heights to start with", VerdictKind::Good, "Start here", heights)
        },
    ]
}
