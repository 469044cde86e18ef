//! The whole job, asked as a page or a script would ask, and what is promised of it by chance and in tables. One program, so that
//! it is linked once; what measures the memory of its process is a program of its own.

#![allow(clippy::panic, clippy::unwrap_used, clippy::expect_used, reason = "a test that can't go on should stop")]

mod any_order;
mod arrows;
mod audition;
mod bad_input;
mod blind;
mod bundle_rules;
mod bundles;
mod coils;
mod contract;
mod copies;
mod demo_takes;
mod every_wiring;
mod examples;
mod geometry;
mod hands;
mod inches;
mod install;
mod last_time;
mod map;
mod one_stroke;
mod poor_joints;
mod recorded_taps;
mod recorded_values;
mod resting;
mod retired;
mod safety;
mod signs;
mod simulated_bench;
mod simulated_install;
mod since;
mod strikes;
mod takes;
mod time_left;
mod turns;
mod typed_slips;
mod who_wrote;
