//! The code that lets a phone in: six digits, good for one phone, five tries a minute.

use std::collections::VecDeque;
use std::fmt;
use std::time::Duration;

use tokio::time::Instant;

use crate::machine;
use crate::refusal::Refusal;

/// Wrong tries allowed in [`WINDOW`], over all phones together (so also for each). Trying every code at this pace takes
/// about 139 days.
pub const TRIES: usize = 5;

/// The span in which [`TRIES`] are counted.
pub const WINDOW: Duration = Duration::from_secs(60);

/// Six digits, shown on the computer and typed or scanned on the phone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code(u32);

impl Code {
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

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:06}", self.0)
    }
}

/// Who may still come in, and how often a wrong code was tried lately.
#[derive(Debug)]
pub struct Pairing {
    code: Code,
    used: Option<Code>,
    wrong: VecDeque<Instant>,
}

impl Pairing {
    /// Ready for the first phone.
    ///
    /// # Errors
    /// When the system has no randomness to give.
    pub fn new() -> Result<Self, getrandom::Error> {
        Ok(Self { code: Code::new()?, used: None, wrong: VecDeque::new() })
    }

    /// The code that lets the next phone in.
    #[must_use]
    pub fn code(&self) -> Code {
        self.code
    }

    /// Lets a phone in with the right code, and makes a new code for the next phone.
    ///
    /// # Errors
    /// A refusal when the code is not six digits, is wrong, has been used, or when too many were wrong in the last minute:
    /// then even the right one is refused until the minute has passed.
    pub fn try_code(&mut self, typed: &str, now: Instant) -> Result<(), Refusal> {
        while self.wrong.front().is_some_and(|&at| now.duration_since(at) >= WINDOW) {
            self.wrong.pop_front();
        }
        if let (true, Some(&first)) = (self.wrong.len() >= TRIES, self.wrong.front()) {
            let wait = (WINDOW - now.duration_since(first)).as_secs() + 1;
            let sentence = format!("Too many wrong codes. Wait {wait} seconds, then type the code again.");
            return Err(Refusal::new("too-many-tries", sentence).about("code"));
        }
        let Some(tried) = Code::read(typed) else {
            return Err(Refusal::new("not-a-code", "The code is six digits. Look at the computer and type it again.")
                .about("code"));
        };
        if tried == self.code {
            let next = Code::new().map_err(|_| no_randomness())?;
            self.used = Some(self.code);
            self.code = next;
            return Ok(());
        }
        self.wrong.push_back(now);
        Err(if self.used == Some(tried) {
            Refusal::new(
                "code-used",
                "This code has let a phone in already. Type the new code that the computer shows.",
            )
        } else {
            Refusal::new("wrong-code", "That is not the code. Look at the computer and type it again.")
        }
        .about("code"))
    }
}

/// The system gave no randomness, so no secret can be made.
pub(super) fn no_randomness() -> Refusal {
    Refusal::new(
        "no-randomness",
        "The computer could not make a secret for this phone. Nothing was changed. Start the program again.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wrong_for(pairing: &Pairing) -> String {
        Code((pairing.code().0 + 1) % Code::COUNT).to_string()
    }

    fn code_of(refused: Result<(), Refusal>) -> &'static str {
        refused.map_or_else(|refusal| refusal.code, |()| "let in")
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
            assert_eq!(Code::read(typed), read.map(Code), "{typed:?}");
        }
    }

    #[test]
    fn a_code_works_once_and_a_replay_is_told_so() {
        let mut pairing = Pairing::new().unwrap();
        let now = Instant::now();
        let first = pairing.code();
        assert_eq!(code_of(pairing.try_code(&first.to_string(), now)), "let in");
        assert_ne!(pairing.code(), first, "the next phone needs another code");
        assert_eq!(code_of(pairing.try_code(&first.to_string(), now)), "code-used");
        let second = pairing.code();
        assert_eq!(code_of(pairing.try_code(&second.to_string(), now)), "let in");
    }

    #[test]
    fn five_wrong_codes_close_the_door_for_the_rest_of_the_minute() {
        let mut pairing = Pairing::new().unwrap();
        let start = Instant::now();
        for second in 0..5 {
            let wrong = wrong_for(&pairing);
            assert_eq!(code_of(pairing.try_code(&wrong, start + Duration::from_secs(second * 10))), "wrong-code");
        }
        let right = pairing.code().to_string();
        let at = |second| start + Duration::from_secs(second);
        let refused = pairing.try_code(&right, at(45)).unwrap_err();
        assert_eq!(refused.code, "too-many-tries");
        assert!(refused.sentence.contains("Wait 16 seconds"), "{}", refused.sentence);
        assert_eq!(code_of(pairing.try_code(&right, at(59))), "too-many-tries");
        let wrong = wrong_for(&pairing);
        assert_eq!(code_of(pairing.try_code(&wrong, at(60))), "wrong-code", "the first try is a minute old");
        assert_eq!(code_of(pairing.try_code(&right, at(61))), "too-many-tries");
        assert_eq!(code_of(pairing.try_code(&right, at(70))), "let in");
    }

    #[test]
    fn what_is_not_six_digits_is_no_try() {
        let mut pairing = Pairing::new().unwrap();
        let now = Instant::now();
        for _ in 0..20 {
            assert_eq!(code_of(pairing.try_code("12 34", now)), "not-a-code");
        }
        let right = pairing.code().to_string();
        assert_eq!(code_of(pairing.try_code(&right, now)), "let in");
    }
}
