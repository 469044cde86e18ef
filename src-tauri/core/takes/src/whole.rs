//! A recording that is looked at in one piece: the channel that has more in it.

use crate::clipping::Tops;
use crate::file::{Flaw, Recording, Unreadable};

/// A channel of a recording, whole.
pub(crate) struct Whole {
    /// The one that has more in it.
    pub(crate) samples: Vec<f64>,
    /// Samples a second.
    pub(crate) rate: u32,
    /// What was wrong with the file.
    pub(crate) flaws: Vec<Flaw>,
    /// Whether tops of it are cut flat.
    pub(crate) clipped: bool,
}

impl Whole {
    /// Reads a recording to its end; nothing where that takes more than so many seconds.
    ///
    /// # Errors
    /// [`Unreadable`] when no sound can be read from it.
    pub(crate) fn of(recording: &mut Recording, longest: f64) -> Result<Option<Self>, Unreadable> {
        let shape = recording.shape();
        let channels = usize::from(shape.channels.max(1));
        let most = (longest * f64::from(shape.rate)) as usize;
        let mut each = vec![Vec::new(); channels];
        let mut tops = Tops::new(shape.channels.max(1), shape.rate);
        let mut too_long = false;
        let read = recording.each_part(|part| {
            tops.hear(part);
            for (number, channel) in each.iter_mut().enumerate() {
                channel.extend(part.iter().skip(number).step_by(channels).map(|sample| f64::from(*sample)));
            }
            too_long = each[0].len() > most;
            // Only to come out of the reading.
            if too_long { Err(Unreadable::TooLong) } else { Ok(()) }
        });
        if too_long {
            return Ok(None);
        }
        read?;
        let power = |channel: &Vec<f64>| channel.iter().map(|sample| sample * sample).sum::<f64>();
        let samples = each.into_iter().max_by(|one, other| power(one).total_cmp(&power(other))).unwrap_or_default();
        Ok(Some(Self { samples, rate: shape.rate, flaws: recording.flaws(), clipped: tops.told().is_some() }))
    }
}
