//! What a person writes in words: labels and notes; and what is answered when something typed is not clear.

use std::fmt;

/// The longest label, in characters.
pub const LONGEST_LABEL: usize = 80;
/// The longest note, in characters.
pub const LONGEST_NOTE: usize = 4000;

/// A typed value that could not be read, with a sentence for the person who typed it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unclear {
    /// What is wrong and what to write instead.
    pub sentence: String,
}

impl Unclear {
    /// An unclear value with this sentence.
    pub fn new(sentence: impl Into<String>) -> Self {
        Self { sentence: sentence.into() }
    }
}

impl fmt::Display for Unclear {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for Unclear {}

/// A label: one line, not empty, at most [`LONGEST_LABEL`] characters, in any script.
///
/// Labels are put into sentences and lists, so marks that turn the direction of what follows are not for them.
///
/// # Errors
/// [`Unclear`] when it is empty, too long, or has characters that can't be seen.
pub fn label(typed: &str, what: &str) -> Result<String, Unclear> {
    let text = bounded(typed, &format!("the name of {what}"), LONGEST_LABEL)?;
    let text = text.trim();
    // Joiners and marks of direction are part of some scripts, but alone they show nothing.
    if text.chars().all(|c| matches!(c, '\u{200C}'..='\u{200F}' | '\u{AD}')) {
        return Err(Unclear::new(format!("Give {what} a name, so that you find it again.")));
    }
    let unseen =
        |c: char| matches!(c, '\u{200B}' | '\u{202A}'..='\u{202E}' | '\u{2060}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}');
    if text.chars().any(|c| c.is_control() || unseen(c)) {
        return Err(Unclear::new(format!("The name of {what} has characters in it that can't be seen. Type it anew.")));
    }
    Ok(text.to_owned())
}

/// A note: any lines, may be empty, at most [`LONGEST_NOTE`] characters.
///
/// # Errors
/// [`Unclear`] when it is too long or has control characters other than a new line or a tab.
pub fn note(typed: &str, what: &str) -> Result<String, Unclear> {
    let text = bounded(typed, what, LONGEST_NOTE)?;
    if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t')) {
        return Err(Unclear::new(format!("{} has characters in it that can't be seen. Type it anew.", capital(what))));
    }
    Ok(text.trim_end().to_owned())
}

/// A reason somebody gives for going on all the same; must not be empty.
///
/// # Errors
/// [`Unclear`] as for [`note`], and when nothing is written.
pub fn reason(typed: &str) -> Result<String, Unclear> {
    let text = note(typed, "the reason")?;
    if text.trim().chars().count() < 3 {
        return Err(Unclear::new("Write why, in a few words. It stays in the logbook."));
    }
    Ok(text)
}

fn bounded<'a>(typed: &'a str, what: &str, most: usize) -> Result<&'a str, Unclear> {
    // Counting stops early: ten megabytes of text are refused without walking through them.
    let count = typed.chars().take(most + 1).count();
    if count > most {
        return Err(Unclear::new(format!("{} is too long: at most {most} characters fit.", capital(what))));
    }
    Ok(typed)
}

/// The same words with a capital first letter.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// `a`, `a and b`, `a, b and c`.
#[must_use]
pub fn listed<Word: ToString>(words: &[Word]) -> String {
    let words: Vec<String> = words.iter().map(ToString::to_string).collect();
    match words.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// `Then …. …. ….`: what follows, a sentence each; nothing for nothing.
#[must_use]
pub fn then(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [first, rest @ ..] => {
            rest.iter().fold(format!("Then {first}."), |said, part| format!("{said} {}.", capital(part)))
        }
    }
}

/// The same words with a small first letter.
#[must_use]
pub fn small(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels() {
        assert_eq!(label("  Old Tin  ", "the pickup"), Ok("Old Tin".to_owned()));
        for any_script in ["מחזיק", "خانه\u{200C}ی من", "👩\u{200D}🔧", "चमकदार"] {
            assert_eq!(label(any_script, "the pickup"), Ok(any_script.to_owned()));
        }
        for (typed, part) in [
            ("", "Give the pickup a name"),
            ("  ", "Give the pickup a name"),
            ("a\u{7}b", "can't be seen"),
            ("two\nlines", "can't be seen"),
            ("\u{202E}drawkcab", "can't be seen"),
            ("\u{FEFF}", "can't be seen"),
            ("\u{200D}", "Give the pickup a name"),
            (&"x".repeat(81), "The name of the pickup is too long: at most 80"),
        ] {
            assert!(matches!(label(typed, "the pickup"), Err(u) if u.sentence.contains(part)), "{typed:?}");
        }
    }

    #[test]
    fn notes() {
        assert_eq!(note("warm\nbut quiet\n", "the note"), Ok("warm\nbut quiet".to_owned()));
        assert!(note("a\u{0}b", "the note").is_err());
        assert!(note(&"x".repeat(10_000_000), "the note").is_err());
        assert!(reason("  ").is_err());
    }
}
