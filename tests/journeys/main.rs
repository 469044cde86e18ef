//! What a person does, in real browsers: Chromium at the size of a phone, by touch, against `solderlast serve`; and the app's own
//! window under a virtual display.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a journey that can't go on should stop")]

mod access;
mod asked;
mod audition;
mod carry;
mod coils;
mod compare;
mod eye;
mod geometry;
mod hearing;
mod history;
mod install;
mod measure;
mod meter;
mod page;
mod pairing;
mod pole;
mod safety;
mod sound;
mod taps;
mod webassembly;
