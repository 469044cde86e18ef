//! What the leads of a pickup are called, and what a probe or a terminal touches of it.

use std::fmt;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A lead's name: a colour or words of its owner's. No two leads of a pickup share one.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/leads.ts")]
pub struct LeadName(pub String);

impl LeadName {
    /// The lead that a braid is, where it is the end of a coil.
    #[must_use]
    pub fn braid() -> Self {
        Self("braid".to_owned())
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether the name stands for something else wherever leads are measured or hooked up: see [`Contact`].
    #[must_use]
    pub fn is_taken(&self) -> bool {
        !matches!(Contact::from(self.as_str()), Contact::Lead(_))
    }
}

impl fmt::Display for LeadName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl AsRef<str> for LeadName {
    fn as_ref(&self) -> &str {
        self.as_str()
    }
}

impl PartialEq<str> for LeadName {
    fn eq(&self, name: &str) -> bool {
        self.as_str() == name
    }
}

impl PartialEq<&str> for LeadName {
    fn eq(&self, name: &&str) -> bool {
        self.as_str() == *name
    }
}

impl From<&str> for LeadName {
    fn from(name: &str) -> Self {
        Self(name.to_owned())
    }
}

/// What a probe or a terminal touches of a pickup: written down as the lead's name, `shield`, or `frame`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(from = "String", into = "String")]
#[ts(export_to = "contract/leads.ts", type = "string")]
pub enum Contact {
    /// A lead.
    Lead(LeadName),
    /// The shield of its cable.
    Shield,
    /// Its frame, baseplate or metal cover.
    Frame,
}

impl Contact {
    /// As it is written down.
    #[must_use]
    pub fn as_str(&self) -> &str {
        match self {
            Self::Lead(name) => name.as_str(),
            Self::Shield => "shield",
            Self::Frame => "frame",
        }
    }

    /// The lead it is.
    #[must_use]
    pub fn lead(&self) -> Option<&LeadName> {
        match self {
            Self::Lead(name) => Some(name),
            Self::Shield | Self::Frame => None,
        }
    }

    /// Whether it is this lead. A log of an early version may have a lead called `frame`, and that is meant by its name.
    #[must_use]
    pub fn is(&self, lead: &LeadName) -> bool {
        self.as_str() == lead.as_str()
    }

    /// In a sentence: a lead's name, `the shield`, `the frame`.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::Lead(name) => name.0.clone(),
            Self::Shield => "the shield".to_owned(),
            Self::Frame => "the frame".to_owned(),
        }
    }
}

impl fmt::Display for Contact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl AsRef<str> for Contact {
    fn as_ref(&self) -> &str {
        self.as_str()
    }
}

impl PartialEq<&str> for Contact {
    fn eq(&self, written: &&str) -> bool {
        self.as_str() == *written
    }
}

impl From<&str> for Contact {
    fn from(written: &str) -> Self {
        match written {
            "shield" => Self::Shield,
            "frame" => Self::Frame,
            name => Self::Lead(name.into()),
        }
    }
}

impl From<String> for Contact {
    fn from(written: String) -> Self {
        Self::from(written.as_str())
    }
}

impl From<Contact> for String {
    fn from(contact: Contact) -> Self {
        contact.as_str().to_owned()
    }
}

impl From<LeadName> for Contact {
    fn from(lead: LeadName) -> Self {
        Self::from(lead.0)
    }
}

impl From<&LeadName> for Contact {
    fn from(lead: &LeadName) -> Self {
        Self::from(lead.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_contact_is_written_down_as_it_is_called_and_read_back() {
        for (written, contact, in_words) in [
            ("moss", Contact::Lead("moss".into()), "moss"),
            ("braid", Contact::Lead(LeadName::braid()), "braid"),
            ("shield", Contact::Shield, "the shield"),
            ("frame", Contact::Frame, "the frame"),
            ("Shield", Contact::Lead("Shield".into()), "Shield"),
        ] {
            let json = serde_json::to_string(&contact).unwrap_or_default();
            assert_eq!(json, format!("\"{written}\""));
            assert_eq!(serde_json::from_str::<Contact>(&json).ok(), Some(contact.clone()));
            assert_eq!(contact.in_words(), in_words);
            assert!(contact.is(&written.into()), "{contact:?}");
        }
        assert!(LeadName::from("frame").is_taken() && LeadName::from("shield").is_taken());
        assert!(!LeadName::from("moss").is_taken() && !LeadName::braid().is_taken());
    }
}
