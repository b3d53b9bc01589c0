//! Journeys in real browsers.
