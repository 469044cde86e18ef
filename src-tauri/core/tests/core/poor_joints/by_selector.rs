//! The same where the guitar's selector wires the new pickup, and may put two in a row.

use super::*;

#[test]
fn every_joint_may_be_poor() {
    every_joint(Guitar::by_selector);
}

#[test]
fn what_is_said_to_show_would_have_shown() {
    what_is_said_to_show(Guitar::by_selector);
}

#[test]
fn a_case_that_carries_ground_is_named() {
    a_case_that_carries_ground(Guitar::by_selector);
}

#[test]
fn a_cable_left_in_is_named() {
    a_cable_left_in(Guitar::by_selector);
}

#[test]
fn contacts_are_measured_closed() {
    contacts(Guitar::by_selector);
}

#[test]
fn a_reading_in_another_position_is_named_and_measured_again() {
    elsewhere::a_reading_in_another_position(Guitar::by_selector);
}
