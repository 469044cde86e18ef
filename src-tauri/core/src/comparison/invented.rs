//! Invented auditions for tests: as they would be folded, but put together by hand.

use chrono::{DateTime, TimeDelta, Utc};
use uuid::Uuid;

use crate::audition::{Audition, Kit, Rating, Saved, State};
use crate::comparison::compared::Compared;
use crate::listening::Conditions;
use crate::record::audition::{AuditionId, Choice};
use crate::record::facts::{Cable, Installed};
use crate::record::gaps::GapsMeasured;
use crate::record::guitar::GuitarId;
use crate::record::listening::Quality;
use crate::record::mounting::{Mounting, Side, Turn};
use crate::record::names::{BenchId, EntryId};
use crate::record::pickup::{Construction, PickupId};
use crate::record::quantity::{Celsius, Decibels, Millimetres};
use crate::record::rig::{Mode, Rig, RigId};
use crate::record::sound::LevelTold;
use solderlast_testkit::invented as bench;

/// An identifier of a family, told apart by a number.
pub fn name(family: u16, number: u128) -> Uuid {
    Uuid::from_u128(0x019a_3c5f_7e00_7000_8000_0000_0000_0000 | u128::from(family) << 32 | number)
}

/// So many days after the first of them.
pub fn day(days: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default() + TimeDelta::days(days)
}

/// What an audition is heard in when nothing is out of the way.
pub fn usual(pickup: u128, at: DateTime<Utc>) -> Conditions {
    Conditions {
        choice: Some(Choice {
            pickup: PickupId(name(1, pickup)),
            guitar: GuitarId(name(2, 1)),
            rig: RigId(name(3, 1)),
            place: "neck".to_owned(),
            from_saddle: Millimetres(162.0),
            from_saddle_treble: None,
            modes: vec![Mode::new("series"), Mode::new("single")],
            question: String::new(),
        }),
        mounting: Some(Mounting { bass_end_over: Some(Side::Bass), turn: Turn::Rolled, lie: None }),
        gaps: Some(GapsMeasured {
            bass: Millimetres(4.4),
            treble: Millimetres(3.6),
            pressed_at: None,
            kept: true,
            between: Vec::new(),
            studs_out: None,
        }),
        amp: Some("small amp, volume 3".to_owned()),
        amp_kind: None,
        level: Some(LevelTold::Meter { level: Decibels(80.0) }),
        room: Some(Celsius(20.0)),
        tuned: None,
        installed: Some(Installed::Lowered),
        cable: Some(Cable::Short),
        string_ground: Some(true),
        load: None,
        picofarads: None,
        input: None,
        by: BenchId(name(8, 1)),
        at,
    }
}

/// An audition heard in these modes, rated in each.
pub fn heard(
    number: u128,
    pickup: u128,
    days: i64,
    modes: &[&str],
    rated: &[(Quality, u8)],
    change: impl Fn(&mut Conditions, &mut Kit),
) -> Compared {
    let at = day(days);
    let mut record = bench::pickup(Construction::SideBySide);
    record.label = format!("Pickup {pickup}");
    let mut guitar = bench::guitar();
    guitar.strings_age = "new".to_owned();
    let mut kit = Kit {
        pickup: Some(record),
        guitar: Some(guitar),
        rig: Some(Rig::four_terminal("Shelf rig")),
        ..Kit::default()
    };
    let mut conditions = usual(pickup, at);
    change(&mut conditions, &mut kit);
    let entry = EntryId(name(9, number));
    let mut audition = Audition {
        begun: Some(at),
        last: Some(at),
        choice: conditions.choice.clone().map(|said| Saved { entry, at, said }),
        mounting: conditions.mounting.map(|said| Saved { entry, at, said }),
        gaps: conditions.gaps.clone().map(|said| Saved { entry, at, said }),
        amp: conditions.amp.clone().map(|said| Saved { entry, at, said }),
        contexts: vec![conditions.clone()],
        ..Audition::default()
    };
    for mode in modes {
        audition.conditions.insert(Mode::new(*mode), conditions.clone());
        for (quality, value) in rated {
            let said = Rating { value: *value, led: false, context: 0 };
            audition.rated.insert((Mode::new(*mode), *quality), Saved { entry, at, said });
        }
    }
    Compared { id: AuditionId(name(4, number)), audition, kit, state: State::Finished, pinned: false }
}
