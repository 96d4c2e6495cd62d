//! Which circuit an answer names, in the words of the bench: "comms", "the step-down stage", "where the supply
//! comes in".
//!
//! Asked where a card over several boards wants the circuit and what to measure first: the circuit alone is half of
//! it. The first circuit named counts. Leaves out the circuit that a person picks from a list. Table: common
//! practice, no source.

use crate::domain::judge::read::stretches;

/// Family, and what is said for it.
const SAID: [(&str, &str); 15] = [
    (
        "inlet",
        "inlet, input protection, power input, input stage, input circuit, supply comes in, power comes in, input fuse, power entry",
    ),
    (
        "isolated",
        "isolated, mains side, primary side, flyback, primary",
    ),
    (
        "battery",
        "battery, charger, charging, charge circuit, pack, cells",
    ),
    ("standby", "standby, always on, housekeeping"),
    (
        "buck",
        "buck, bucks, step down, stepdown, dc dc, down converter, switching regulator, switcher, converter",
    ),
    ("core", "core, core supply, core rail, processor supply"),
    (
        "sequence",
        "sequence, sequencing, reset, supervisor, power good, power up order",
    ),
    ("clock", "clock, crystal, oscillator, resonator, timebase"),
    (
        "processor",
        "processor, cpu, memory, microcontroller, controller chip",
    ),
    (
        "firmware",
        "firmware, software, boot flash, flash, boot loader, bootloader",
    ),
    (
        "bus",
        "bus, busses, buses, data bus, comms, coms, communication, communications, data link, data links, data line, \
     data lines, network, can, serial link, link, links",
    ),
    (
        "drive",
        "drive, driver stage, output stage, motor stage, bridge, phase",
    ),
    (
        "sensing",
        "sensing, sensor, sensors, sense circuit, analogue input, measuring circuit",
    ),
    ("display", "display, backlight, screen, panel, touch"),
    (
        "interconnect",
        "interconnect, connector, connectors, flex, wiring, harness",
    ),
];

/// Returns the family of the first circuit that a text names.
pub fn first(text: &str) -> Option<&'static str> {
    let bits = stretches::bits(&text.replace('-', " "));
    let phrases: Vec<(usize, String)> = SAID
        .iter()
        .enumerate()
        .flat_map(|(i, (_, said))| said.split(", ").map(move |s| (i, s.to_owned())))
        .collect();
    let marks = stretches::found(&bits, &phrases);
    marks.first().map(|mark| SAID[mark.of].0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_circuit_named_counts() {
        for (text, family) in [
            ("some step-down stage", Some("buck")),
            ("comms, the surge came in on the cable", Some("bus")),
            ("data links I suppose", Some("bus")),
            ("Input protection, inlet", Some("inlet")),
            ("clock; then the bus", Some("clock")),
            ("no idea", None),
        ] {
            assert_eq!(first(text), family, "{text}");
        }
    }
}
