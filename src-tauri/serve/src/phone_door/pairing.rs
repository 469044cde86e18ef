//! The code that lets a phone in: six digits, good for one phone and for five minutes.
//!
//! Wrong tries are counted for each device by its address, so a stranger who tries codes keeps only himself out. A bound on
//! all of them together makes guessing hopeless however many addresses he has: at most [`ALL_TRIES`] codes are judged in an
//! hour, each with one chance in a million, so a door that is open all day is guessed with a chance of 1 in 690.

use std::collections::{HashMap, VecDeque};
use std::fmt;
use std::net::IpAddr;
use std::time::Duration;

use tokio::time::Instant;

use crate::machine;
use crate::refusal::{Code, Refusal};

/// How long a code can be used.
pub const LASTS: Duration = Duration::from_secs(5 * 60);

/// Wrong tries of one device before it has to wait; the code changes after as many of all devices together.
pub const TRIES: u32 = 5;

/// How long a device waits after [`TRIES`] wrong ones. Each further wrong one doubles it, up to [`LONGEST_WAIT`].
pub const FIRST_WAIT: Duration = Duration::from_secs(60);

/// The longest that a device waits for its next try.
pub const LONGEST_WAIT: Duration = Duration::from_secs(32 * 60);

/// Wrong tries of all devices together in [`WINDOW`]. One device alone does not come to a quarter of them.
pub const ALL_TRIES: usize = 60;

/// The span in which [`ALL_TRIES`] are counted.
pub const WINDOW: Duration = Duration::from_secs(60 * 60);

/// A device's wrong tries are forgotten this long after its last one.
const FORGOTTEN: Duration = Duration::from_secs(24 * 60 * 60);

/// How many codes that ran out are known again, so that a person is told what happened.
const EARLIER: usize = 3;

/// Six digits, shown on the computer and typed or scanned on the phone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PairingCode(u32);

impl PairingCode {
    const COUNT: u32 = 1_000_000;

    /// A code nobody can guess, each of the million equally likely.
    ///
    /// # Errors
    /// When the system has no randomness to give.
    pub fn new() -> Result<Self, getrandom::Error> {
        // Numbers past the last whole million are thrown again, or low codes would come up more often.
        let fair = u32::MAX - u32::MAX % Self::COUNT;
        loop {
            let thrown = u32::from_le_bytes(machine::secret()?);
            if thrown < fair {
                return Ok(Self(thrown % Self::COUNT));
            }
        }
    }

    /// What a person typed: six digits, with spaces or a hyphen wherever they like.
    #[must_use]
    pub fn read(typed: &str) -> Option<Self> {
        let mut digits = 0;
        let mut code = 0;
        for letter in typed.chars() {
            match letter.to_digit(10) {
                Some(digit) if digits < 6 => {
                    code = code * 10 + digit;
                    digits += 1;
                }
                None if letter.is_whitespace() || letter == '-' => {}
                _ => return None,
            }
        }
        (digits == 6).then_some(Self(code))
    }
}

impl fmt::Display for PairingCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:06}", self.0)
    }
}

/// Who may still come in, and how often a wrong code was tried lately.
#[derive(Debug)]
pub struct Pairing {
    code: PairingCode,
    made: Instant,
    /// Codes that ran out, the last one first.
    earlier: VecDeque<PairingCode>,
    used: Option<PairingCode>,
    /// Wrong tries of all devices in the last hour.
    wrong: VecDeque<Instant>,
    /// Wrong tries since the code changed.
    since: u32,
    devices: HashMap<IpAddr, Wrong>,
}

/// The wrong tries of one device.
#[derive(Debug)]
struct Wrong {
    tries: u32,
    last: Instant,
}

impl Wrong {
    fn wait(&self) -> Duration {
        match self.tries.checked_sub(TRIES) {
            None => Duration::ZERO,
            Some(further) => FIRST_WAIT.saturating_mul(1 << further.min(16)).min(LONGEST_WAIT),
        }
    }
}

impl Pairing {
    /// Ready for the first phone.
    ///
    /// # Errors
    /// When the system has no randomness to give.
    pub fn new(now: Instant) -> Result<Self, getrandom::Error> {
        Ok(Self {
            code: PairingCode::new()?,
            made: now,
            earlier: VecDeque::new(),
            used: None,
            wrong: VecDeque::new(),
            since: 0,
            devices: HashMap::new(),
        })
    }

    /// The code that lets the next phone in, a new one if the last has run out.
    pub fn code(&mut self, now: Instant) -> PairingCode {
        if now >= self.runs_out() {
            // Without randomness the old one is shown, and refused.
            let _ = self.change(now);
        }
        self.code
    }

    /// When the code runs out.
    #[must_use]
    pub fn runs_out(&self) -> Instant {
        self.made + LASTS
    }

    fn change(&mut self, now: Instant) -> Result<(), Refusal> {
        let next = PairingCode::new().map_err(|_| no_randomness())?;
        self.earlier.push_front(self.code);
        self.earlier.truncate(EARLIER);
        self.code = next;
        self.made = now;
        self.since = 0;
        Ok(())
    }

    /// Judges a code that a device sent, and makes a new one when it was right.
    ///
    /// # Errors
    /// A refusal when it is not six digits, is wrong, has been used or has run out, or when this device, or all of them
    /// together, sent too many wrong ones: then even the right one is refused until the wait is over.
    pub fn try_code(&mut self, typed: &str, from: IpAddr, now: Instant) -> Result<(), Refusal> {
        if now >= self.runs_out() {
            self.change(now)?;
        }
        while self.wrong.front().is_some_and(|&at| now.duration_since(at) >= WINDOW) {
            self.wrong.pop_front();
        }
        self.devices.retain(|_, wrong| now.duration_since(wrong.last) < FORGOTTEN);
        if let Some(wrong) = self.devices.get(&from) {
            let waited = now.duration_since(wrong.last);
            if waited < wrong.wait() {
                return Err(too_many("Too many wrong codes from this phone.", wrong.wait() - waited));
            }
        }
        if let (true, Some(&first)) = (self.wrong.len() >= ALL_TRIES, self.wrong.front()) {
            let sentence = "Somebody on this network tries codes. Close the door on the computer and open it again, or join \
                            another network.";
            return Err(too_many(sentence, WINDOW - now.duration_since(first)));
        }
        let Some(tried) = PairingCode::read(typed) else {
            return Err(Refusal::new(
                Code::NotACode,
                "The code is six digits. Look at the computer and type it again.",
            )
            .about("code"));
        };
        if tried == self.code {
            self.change(now)?;
            self.earlier.pop_front();
            self.used = Some(tried);
            self.devices.remove(&from);
            return Ok(());
        }
        if self.earlier.contains(&tried) {
            let sentence = "This code has run out. Type the new code that the computer shows.";
            return Err(Refusal::new(Code::CodeOld, sentence).about("code"));
        }
        self.wrong.push_back(now);
        let wrong = self.devices.entry(from).or_insert(Wrong { tries: 0, last: now });
        wrong.tries = wrong.tries.saturating_add(1);
        wrong.last = now;
        self.since += 1;
        let used = self.used == Some(tried);
        if self.since >= TRIES {
            // If there is no randomness now, the code runs out all the same.
            let _ = self.change(now);
        }
        Err(if used {
            Refusal::new(
                Code::CodeUsed,
                "This code has let a phone in already. Type the new code that the computer shows.",
            )
        } else {
            Refusal::new(Code::WrongCode, "That is not the code. Look at the computer and type it again.")
        }
        .about("code"))
    }
}

fn too_many(what: &str, wait: Duration) -> Refusal {
    let seconds = wait.as_secs() + 1;
    let wait = if seconds > 90 { format!("{} minutes", seconds.div_ceil(60)) } else { format!("{seconds} seconds") };
    Refusal::new(Code::TooManyTries, format!("{what} Wait {wait}, then type the code again.")).about("code")
}

/// The system gave no randomness, so no secret can be made.
pub(super) fn no_randomness() -> Refusal {
    Refusal::new(
        Code::NoRandomness,
        "The computer could not make a secret for this phone. Nothing was changed. Start the program again.",
    )
}

#[cfg(test)]
mod tests {
    use std::net::Ipv4Addr;

    use super::*;

    const HOUR: u64 = 60 * 60;

    fn device(number: u32) -> IpAddr {
        IpAddr::V4(Ipv4Addr::from(0x0a00_0000 + number))
    }

    /// A code that never was one.
    fn wrong_for(pairing: &Pairing) -> String {
        let known = |code: &u32| {
            let code = PairingCode(*code);
            pairing.code == code || pairing.used == Some(code) || pairing.earlier.contains(&code)
        };
        let free = (0..PairingCode::COUNT).find(|code| !known(code)).unwrap();
        PairingCode(free).to_string()
    }

    fn code_of(refused: Result<(), Refusal>) -> Result<(), Code> {
        refused.map_err(|refusal| refusal.code)
    }

    /// Lets a stranger with so many devices try a wrong code with each of them at every second of so many hours; answers
    /// how many were judged.
    fn judged(pairing: &mut Pairing, devices: u32, start: Instant, hours: u64) -> usize {
        let mut judged = 0;
        for second in 0..hours * HOUR {
            let now = start + Duration::from_secs(second);
            for number in 1..=devices {
                let wrong = wrong_for(pairing);
                judged += usize::from(code_of(pairing.try_code(&wrong, device(number), now)) == Err(Code::WrongCode));
                if pairing.wrong.len() >= ALL_TRIES {
                    break;
                }
            }
        }
        judged
    }

    #[test]
    fn a_code_is_read_as_people_type_it() {
        for (typed, read) in [
            ("123456", Some(123_456)),
            (" 123 456 ", Some(123_456)),
            ("000-001", Some(1)),
            ("", None),
            ("12345", None),
            ("1234567", None),
            ("12345a", None),
            ("+12345", None),
            ("-1.5e6", None),
            ("१२३४५६", None),
        ] {
            assert_eq!(PairingCode::read(typed), read.map(PairingCode), "{typed:?}");
        }
    }

    #[test]
    fn a_code_works_once_and_a_replay_is_told_so() {
        let now = Instant::now();
        let mut pairing = Pairing::new(now).unwrap();
        let first = pairing.code(now);
        assert_eq!(code_of(pairing.try_code(&first.to_string(), device(1), now)), Ok(()));
        assert_ne!(pairing.code(now), first, "the next phone needs another code");
        assert_eq!(code_of(pairing.try_code(&first.to_string(), device(2), now)), Err(Code::CodeUsed));
        let second = pairing.code(now);
        assert_eq!(code_of(pairing.try_code(&second.to_string(), device(2), now)), Ok(()));
    }

    #[test]
    fn a_code_runs_out_after_five_minutes_and_that_is_no_wrong_try() {
        let start = Instant::now();
        let at = |seconds| start + Duration::from_secs(seconds);
        let mut pairing = Pairing::new(start).unwrap();
        let first = pairing.code(start);
        assert_eq!(pairing.code(at(299)), first);
        for _ in 0..20 {
            assert_eq!(code_of(pairing.try_code(&first.to_string(), device(1), at(300))), Err(Code::CodeOld));
        }
        let second = pairing.code(at(301));
        assert_ne!(first, second);
        assert_eq!(code_of(pairing.try_code(&second.to_string(), device(1), at(599))), Ok(()));
    }

    #[test]
    fn five_wrong_codes_change_the_code_and_keep_that_device_alone_waiting() {
        let start = Instant::now();
        let at = |seconds| start + Duration::from_secs(seconds);
        let mut pairing = Pairing::new(start).unwrap();
        let first = pairing.code(start);
        for second in 0..5 {
            let wrong = wrong_for(&pairing);
            assert_eq!(code_of(pairing.try_code(&wrong, device(1), at(second))), Err(Code::WrongCode));
        }
        let right = pairing.code(at(5));
        assert_ne!(right, first, "it changed after wrong tries");
        let refused = pairing.try_code(&right.to_string(), device(1), at(20)).unwrap_err();
        assert_eq!(refused.code, Code::TooManyTries);
        assert!(refused.sentence.contains("Wait 45 seconds"), "{}", refused.sentence);
        assert_eq!(code_of(pairing.try_code(&right.to_string(), device(2), at(20))), Ok(()), "another phone");
        let right = pairing.code(at(64)).to_string();
        assert_eq!(code_of(pairing.try_code(&right, device(1), at(63))), Err(Code::TooManyTries));
        let wrong = wrong_for(&pairing);
        assert_eq!(code_of(pairing.try_code(&wrong, device(1), at(64))), Err(Code::WrongCode));
        let refused = pairing.try_code(&right, device(1), at(65)).unwrap_err();
        assert!(refused.sentence.contains("Wait 2 minutes"), "twice as long: {}", refused.sentence);
        assert_eq!(code_of(pairing.try_code(&right, device(1), at(184))), Ok(()), "the wait is over");
        assert_eq!(code_of(pairing.try_code(&wrong_for(&pairing), device(1), at(185))), Err(Code::WrongCode));
        let right = pairing.code(at(186)).to_string();
        assert_eq!(code_of(pairing.try_code(&right, device(1), at(186))), Ok(()), "its count began anew");
    }

    /// The chance that one of these was right, each with one in a million.
    fn chance(judged: usize) -> f64 {
        1.0 - (1.0 - 1.0 / f64::from(PairingCode::COUNT)).powi(i32::try_from(judged).unwrap())
    }

    #[test]
    fn one_stranger_keeps_nobody_out_and_has_no_hope() {
        let start = Instant::now();
        let mut pairing = Pairing::new(start).unwrap();
        let first_hour = judged(&mut pairing, 1, start, 1);
        // Five, and then after waits of 1, 2, 4, 8 and 16 minutes: 31 minutes. The next wait passes the hour.
        assert_eq!(first_hour, 10);
        let mut pairing = Pairing::new(start).unwrap();
        let day = judged(&mut pairing, 1, start, 24);
        // 1 + 2 + 4 + 8 + 16 minutes, and one try in each 32 of the rest.
        assert!((50..=56).contains(&day), "{day}");
        assert!(chance(day) < 1.0 / 17_000.0, "in a whole day");
        let now = start + Duration::from_secs(24 * HOUR);
        let right = pairing.code(now).to_string();
        assert_eq!(code_of(pairing.try_code(&right, device(2), now)), Ok(()));
    }

    #[test]
    fn a_stranger_with_many_addresses_has_no_hope_either() {
        let start = Instant::now();
        let mut pairing = Pairing::new(start).unwrap();
        let day = judged(&mut pairing, 200, start, 24);
        assert_eq!(day, 24 * ALL_TRIES, "sixty an hour, whatever he does");
        assert!((1.0 / 700.0..1.0 / 690.0).contains(&chance(day)), "{}", chance(day));
        let now = start + Duration::from_secs(24 * HOUR - 1);
        let right = pairing.code(now).to_string();
        let refused = pairing.try_code(&right, device(999), now).unwrap_err();
        assert!(refused.sentence.contains("Close the door on the computer"), "{}", refused.sentence);
        assert!(pairing.devices.len() <= day, "what is remembered stays small");
    }

    #[test]
    fn what_is_not_six_digits_is_no_try() {
        let now = Instant::now();
        let mut pairing = Pairing::new(now).unwrap();
        for _ in 0..20 {
            assert_eq!(code_of(pairing.try_code("12 34", device(1), now)), Err(Code::NotACode));
        }
        let right = pairing.code(now).to_string();
        assert_eq!(code_of(pairing.try_code(&right, device(1), now)), Ok(()));
    }
}
