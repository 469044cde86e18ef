//! A recording as it would sound installed: computed, kept as a take that says so.

use super::asks::TakeAct;
use super::keep::ReceivingTake;
use crate::ask::bench::Bench;
use crate::ask::install::load::kit;
use crate::ask::reply::Reply;
use crate::ask::{Code, Refusal};
use crate::audition::Audition;
use crate::install::{Install, Passage, as_installed};
use crate::logbook::{Log, Trouble};
use crate::record::entry::About;
use crate::record::install::InstallId;
use crate::record::names::EntryId;
use crate::record::quantity::{Decibels, Hertz};
use crate::record::take::{Computed, KeptSound, Recorded, TakeName, Through};
use crate::takes::file::{Recording, Unreadable};
use crate::takes::keep::NotKept;
use crate::takes::through::{Circuit, Passing};

/// The highest sample that is written, as a part of full scale.
const TOP: f32 = 0.98;
/// Steps of a sample with 24 bit.
const STEPS: f32 = 8_388_607.0;

/// All that is known beforehand of a take that is to be computed.
struct Wanted {
    sound: KeptSound,
    recorded: Recorded,
    passage: Passage,
}

/// Finds a recording of the audition that an install rests on, and the way from its circuit to the install's.
fn wanted(log: &Log, fit: InstallId, take: EntryId) -> Result<Wanted, Refusal> {
    let install = Install::fold(&log.about(About::Fit(fit))?);
    let kit = kit(log, &install)?;
    let audition = Audition::fold(&log.about(About::Audition(kit.on.audition))?);
    let found = audition.takes.iter().find(|saved| saved.entry == take).map(|saved| saved.said.clone());
    let taken = found.ok_or_else(|| {
        let sentence = "This take is none of the audition that the fit sheet rests on. Choose one of those.";
        Refusal::unclear("take", sentence)
    })?;
    if taken.recorded.through == Some(Through::Microphone) {
        let sentence = "This take was made by a microphone, so it holds amplifier and room as well. Choose one that went straight in.";
        return Err(Refusal::unclear("take", sentence));
    }
    let passage =
        as_installed(&install, &kit, &taken.recorded).map_err(|sentence| Refusal::unclear("fit", sentence))?;
    Ok(Wanted { sound: taken.sound, recorded: taken.recorded, passage })
}

impl Bench {
    /// Writes about takes. What is computed is heard first, without the log in hand.
    pub(in crate::ask) fn answer_take_act(&self, act: TakeAct) -> Result<Reply, Refusal> {
        let TakeAct::HearAsInstalled { entry, fit, take } = act else { return self.answer_at_log(act) };
        let Wanted { sound, recorded, passage } = wanted(&self.lock(), fit, take)?;
        let ratio = |hertz: f64| passage.ratio(Hertz(hertz));
        let circuit = Circuit::new(sound.rate, ratio).ok_or_else(|| {
            Refusal::new(Code::NotNow, "Nothing is heard in this circuit, so there is nothing to compute.")
        })?;
        let (received, turned_down) = self.passed(&sound, &circuit)?;
        let computed = Computed { from: take, through: passage.through, within: passage.within, turned_down };
        let recorded = Recorded { load: None, cable: None, computed: Some(computed), ..recorded };
        self.keep_recorded(entry, About::Fit(fit), &recorded, received)
    }

    /// A kept take through a circuit, as a WAV file with 24 bit that never clips, and how far it was turned down for that.
    fn passed(&self, sound: &KeptSound, circuit: &Circuit) -> Result<(ReceivingTake, Decibels), Refusal> {
        let channels = usize::from(sound.channels.max(1));
        let (mut peak, mut frames) = (0.0_f32, 0_usize);
        self.each_passed(&sound.take, circuit, channels, |samples| {
            peak = samples.iter().fold(peak, |peak, sample| peak.max(sample.abs()));
            frames += samples.len() / channels;
            Ok(())
        })?;
        let turned = if peak > TOP { TOP / peak } else { 1.0 };
        let mut received = self.receive_take()?;
        received.take(&head(sound, channels, frames))?;
        self.each_passed(&sound.take, circuit, channels, |samples| {
            let bytes: Vec<u8> = samples
                .iter()
                .flat_map(|sample| {
                    let [a, b, c, _] = ((sample * turned * STEPS).round() as i32).to_le_bytes();
                    [a, b, c]
                })
                .collect();
            received.take(&bytes)
        })?;
        Ok((received, Decibels(-20.0 * f64::from(turned).log10() + 0.0)))
    }

    /// Hands on a take through a circuit, part after part.
    fn each_passed(
        &self,
        take: &TakeName,
        circuit: &Circuit,
        channels: usize,
        mut with: impl FnMut(&[f32]) -> Result<(), Refusal>,
    ) -> Result<(), Refusal> {
        let gone = || {
            let sentence = "This take is not beside the log. It may have been erased, or changed by another program.";
            Refusal::new(Code::NotFound, sentence)
        };
        let file = self.take_shelf().open(take)?.ok_or_else(gone)?;
        let unreadable = |unreadable: Unreadable| Refusal::from(NotKept::Unreadable(unreadable));
        let mut recording = Recording::open(file).map_err(unreadable)?;
        if usize::from(recording.shape().channels) != channels {
            return Err(Trouble::Program("a take of other channels than it was kept with".to_owned()).into());
        }
        let mut passing = Passing::new(circuit, channels);
        let mut refused = None;
        let read = recording.each_part(|samples| {
            passing.hear(samples, &mut with).map_err(|refusal| {
                // Only to come out of the reading; what is answered is the refusal.
                refused = Some(refusal);
                Unreadable::Empty
            })
        });
        if let Some(refusal) = refused {
            return Err(refusal);
        }
        read.map_err(unreadable)?;
        passing.end(with)
    }
}

/// The bytes before the samples of a WAV file.
fn head(sound: &KeptSound, channels: usize, frames: usize) -> Vec<u8> {
    let each = 3 * channels as u32;
    // What is larger than a file may be is refused when it is received.
    let size = u32::try_from(frames).unwrap_or(u32::MAX).saturating_mul(each);
    [
        b"RIFF".as_slice(),
        &size.saturating_add(36).to_le_bytes(),
        b"WAVEfmt \x10\0\0\0\x01\0",
        &(channels as u16).to_le_bytes(),
        &sound.rate.to_le_bytes(),
        &sound.rate.saturating_mul(each).to_le_bytes(),
        &(each as u16).to_le_bytes(),
        &24_u16.to_le_bytes(),
        b"data",
        &size.to_le_bytes(),
    ]
    .concat()
}
