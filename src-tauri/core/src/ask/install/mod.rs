//! Permanent installs: what is asked about them and written about them.

mod act;
pub(super) mod asks;
mod at_iron;
pub(super) mod load;
