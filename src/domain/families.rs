//! The sixteen built-in circuit families, as data.
//!
//! What a family page prints about each circuit. The rules for the border between two families are
//! in [`borders`]. A shop's own names and changes are in `circuit`. Source of all of it: common
//! practice, no source; a board's own drawing or a known-good board decides.

use crate::domain::borders;
use crate::domain::circuit::Family;

/// One row of the table.
struct Entry {
    id: &'static str,
    name: &'static str,
    belongs: &'static str,
    signs: &'static [&'static str],
    first_measurement: &'static str,
    failures: &'static [&'static str],
    confused_with: &'static [&'static str],
    caution: Option<&'static str>,
}

/// How a job with more than one candidate is classed; printed with the list of families.
pub const CLASSING_RULES: [&str; 5] = [
    "A shorted capacitor belongs to the family of the rail it sits on.",
    "A corroded connector belongs to the function that was lost; when several were lost, to interconnect.",
    "A management chip that makes and orders rails is sequence when its output was never enabled, and buck when it was enabled and gave nothing.",
    "A protective array on a link belongs to the link, so it is bus.",
    "A blown fuse is never the cause: class the job by what blew it.",
];

const ENTRIES: [Entry; 16] = [
    Entry {
        id: "inlet",
        name: "Power inlet and protection",
        belongs: "Everything between the plug and the first converter: connector, fuse, surge clamp, \
                  reverse-polarity and inrush parts, ideal diode, input filter.",
        signs: &[
            "The supply shows zero draw.",
            "The fuse is open, or opens again at once.",
            "It died after wrong polarity, a jump start or a surge.",
            "Volts are good on one side of a protection part and gone on the other.",
        ],
        first_measurement: "Volts on both sides of the fuse; then, source off, ohms across the input.",
        failures: &[
            "Fuse open: find what opened it before fitting a new one, and never bridge it.",
            "Surge clamp shorted: replace it and the fuse, then ask what surged.",
            "Reverse-polarity transistor open or shorted: replace it.",
            "Input choke or jack burnt open: replace it.",
        ],
        confused_with: &["isolated", "battery", "interconnect"],
        caution: Some(
            "A vehicle or marine feed can deliver hundreds of amperes. Work from a limited bench \
             supply and keep the maker's fuse rating. Mains inlets are for a qualified person under \
             the maker's instructions and local codes.",
        ),
    },
    Entry {
        id: "isolated",
        name: "Mains and isolated converter",
        belongs: "Rectifier, power-factor stage, bulk capacitors, primary switch and its controller, \
                  transformer, feedback coupler, secondary rectifier and output capacitors.",
        signs: &[
            "Dead, with a fuse whose glass is sooty.",
            "It ticks or hiccups, or whines under load.",
            "The output is low, pulses, or sags when loaded.",
            "It starts only when warm, or only after many tries.",
        ],
        first_measurement: "By a qualified person only: bulk volts, then, proven discharged, the drop of the \
                            secondary rectifier and the series resistance of the output capacitors.",
        failures: &[
            "Output electrolytics dry: replace all of that rail together.",
            "Primary switch shorted: replace it with its sense resistor, controller and fuse as a set.",
            "Start-up resistor open: replace it, and beware that the bulk then stays charged.",
            "Secondary rectifier shorted: replace it.",
            "Feedback coupler worn: replace it and check the output before any load.",
        ],
        confused_with: &["inlet", "buck"],
        caution: Some(
            "Mains and stored charge can kill, also after unplugging. Only a qualified person works \
             here. Disconnect, wait, prove it discharged with a rated meter. The maker's instructions \
             and local electrical codes come before anything printed here.",
        ),
    },
    Entry {
        id: "battery",
        name: "Battery and charge path",
        belongs: "Charger, pack connector, pass transistors, fuel gauge, current-sense resistor, and the \
                  switch between input sources.",
        signs: &[
            "It does not charge, or stops early.",
            "It runs on one source only.",
            "The draw cycles slowly while the charger retries.",
            "It dies at the first load on the pack.",
        ],
        first_measurement: "Pack volts and charge-node volts at the same time; then the drop over the \
                            current-sense resistor and the gates of the pass transistors.",
        failures: &[
            "Charge contact or pack connector corroded: clean or replace it.",
            "Sense resistor open: replace it with the same value and rating.",
            "Pass transistor shorted or never driven: replace it.",
            "Charger chip dead: replace it.",
            "Pack worn or swollen: a safety item, to be replaced as its maker says.",
        ],
        confused_with: &["inlet", "standby", "buck"],
        caution: Some(
            "Cell out first. A swollen, hot, wet or deeply discharged lithium cell is not charged \
             unless its maker allows it: stop, isolate it and call the responsible person. The \
             maker's instructions and local rules decide.",
        ),
    },
    Entry {
        id: "standby",
        name: "Always-on supply and wake logic",
        belongs: "The small supply that lives whenever power is applied, with the button, ignition or wake \
                  sense that it feeds, and its back-up capacitor.",
        signs: &[
            "The draw is zero or a few milliamperes and the button changes nothing.",
            "The always-on rail is missing or pulled down.",
            "The wake line does not move when pressed.",
            "It wakes on its own, or only at the second press.",
        ],
        first_measurement: "The always-on rail, volts and ohms; then the wake line at rest and pressed.",
        failures: &[
            "Always-on regulator dead or leaky: replace it.",
            "Capacitor on the always-on rail shorted or leaky: replace it.",
            "Inductor joint of a small switcher cracked: reflow it.",
            "Button or its line corroded: clean or replace it.",
            "Wake resistor open: replace it.",
        ],
        confused_with: &["inlet", "sequence", "firmware"],
        caution: None,
    },
    Entry {
        id: "buck",
        name: "Main DC-DC rails",
        belongs: "The system rails from about 3 V to 24 V: controller, switches, inductor, output \
                  capacitors and feedback divider.",
        signs: &[
            "One main rail is missing, low or pulsing.",
            "The draw cycles quickly after the button.",
            "An inductor or switch is hot.",
            "A rail is too high and parts behind it are dead.",
        ],
        first_measurement: "Volts of the rail and, source off, its ohms to ground; then enable and feedback.",
        failures: &[
            "Ceramic capacitor shorted: remove and replace it.",
            "Controller dead with its enable present: replace it.",
            "High-side switch shorted: replace it and check everything that saw the high rail.",
            "Inductor joint cracked: reflow it.",
            "Feedback divider drifted: replace it.",
        ],
        confused_with: &["core", "sequence", "standby"],
        caution: None,
    },
    Entry {
        id: "core",
        name: "Low-voltage, high-current rails",
        belongs: "The phases, drivers and capacitors that feed a processor, memory or gate array at about \
                  1 V and many amperes.",
        signs: &[
            "It starts, then stops at the same step each time.",
            "The core rail is missing while the main rails are good.",
            "Ohms to ground are very low, which may be normal.",
            "There is heat under or beside the processor.",
        ],
        first_measurement: "Ohms of the core rail against a known-good board; then the waveform of the phase node.",
        failures: &[
            "Phase switch or driver dead: replace that phase's parts.",
            "Capacitor on the core rail shorted: find it by heat and replace it.",
            "The load itself is shorted: usually no repair is worth it.",
        ],
        confused_with: &["buck", "processor"],
        caution: None,
    },
    Entry {
        id: "sequence",
        name: "Enables, power-good, reset and supervision",
        belongs: "The management chip, supervisors, watchdog, reset tree and thermal latch that decide which \
                  rail comes when and when the processor may run.",
        signs: &[
            "All rails are good and nothing runs.",
            "Rails come up in order as far as one and stop.",
            "The reset line never lets go.",
            "It restarts at a steady period.",
        ],
        first_measurement: "The last good rail and the first enable or power-good that is wrong; then the reset level.",
        failures: &[
            "Pull-up resistor corroded open: replace it.",
            "Supervisor dead: replace it.",
            "Node leaky from residue: clean it.",
            "Management chip dead: replace it.",
        ],
        confused_with: &["buck", "clock", "firmware"],
        caution: None,
    },
    Entry {
        id: "clock",
        name: "Clocks and timing",
        belongs: "Crystals, oscillators, clock generators and the real-time clock, with their load \
                  capacitors and supplies.",
        signs: &[
            "Rails are normal, reset is released, and nothing moves.",
            "A serial link talks at the wrong speed.",
            "A radio is off frequency.",
            "It loses time.",
        ],
        first_measurement: "Swing and frequency at the crystal or oscillator with a low-capacitance probe.",
        failures: &[
            "Crystal cracked by a fall: replace it.",
            "Load capacitor cracked or missing: replace it.",
            "Oscillator supply missing: repair that supply.",
        ],
        confused_with: &["sequence", "processor", "firmware"],
        caution: None,
    },
    Entry {
        id: "firmware",
        name: "Firmware and stored settings",
        belongs: "Boot flash, EEPROM, managed flash, configuration, calibration and the image of an \
                  embedded controller.",
        signs: &[
            "The draw is odd and always the same, and the screen stays dark.",
            "It loops at the logo.",
            "Settings, calibration or identity are lost.",
            "It failed during an update or a weak supply.",
        ],
        first_measurement: "Supply and chip-select activity at the memory; then its image or checksum against a good one.",
        failures: &[
            "Image corrupt: keep a dump of the original, then write a good one.",
            "Memory worn or dead: replace and program it.",
            "Settings damaged by a brown-out: restore and recalibrate.",
        ],
        confused_with: &["processor", "sequence"],
        caution: None,
    },
    Entry {
        id: "processor",
        name: "Processor, memory and array joints",
        belongs: "Processor, memory or gate array, and the solder balls under them.",
        signs: &[
            "It changes with pressure or heat.",
            "It stops at a fixed step with rails, reset and clock proven.",
            "There are stripes or wrong characters on the picture.",
            "The chip is hot at once with a good supply.",
        ],
        first_measurement: "Prove rails, reset and clock first; then diode mode on its lines and its temperature.",
        failures: &[
            "Balls cracked: a reflow rarely lasts; reball or replace.",
            "Die or memory dead: replace it, or stop for value.",
            "Pads lifted: rebuild them, or stop.",
        ],
        confused_with: &["core", "clock", "interconnect"],
        caution: None,
    },
    Entry {
        id: "bus",
        name: "Data links on the board and off it",
        belongs: "Serial and parallel lines, USB, Ethernet, CAN, RS-232 and RS-485, marine networks, with \
                  transceivers, isolators, magnetics and protective arrays.",
        signs: &[
            "The unit runs and one link is dead.",
            "A line is held at one level.",
            "The link fails only with other units connected.",
            "It failed after lightning or a wiring mistake.",
        ],
        first_measurement: "Idle level and activity of each line; ohms between the lines: two 120 Ω ends read about 60 Ω on CAN.",
        failures: &[
            "Protective array shorted by a surge: replace it.",
            "Transceiver dead: replace it.",
            "Pull-up or termination open: replace it.",
            "Connector corroded: clean or replace it.",
        ],
        confused_with: &["inlet", "sensing", "firmware"],
        caution: None,
    },
    Entry {
        id: "display",
        name: "Display, backlight and operator panel",
        belongs: "Picture link, panel supply, backlight converter, touch, keys and indicators.",
        signs: &[
            "It seems dead, but a picture shows under a torch.",
            "The picture flickers or has lines.",
            "Touch or some keys do nothing.",
            "The draw is short of the backlight's share.",
        ],
        first_measurement: "A torch across the glass; then the backlight fuse and converter output, and the panel supply.",
        failures: &[
            "Backlight fuse open: find out why, then replace it.",
            "Converter switch, diode or driver dead: replace it.",
            "Flex loose or corroded: clean and reseat it.",
            "Panel cracked: replace it.",
        ],
        confused_with: &["firmware", "bus", "buck"],
        caution: Some(
            "A backlight converter makes tens of volts and some old ones hundreds. Power off and let \
             it discharge before touching; follow the maker's instructions.",
        ),
    },
    Entry {
        id: "sensing",
        name: "Sensing, analogue and references",
        belongs: "Thermistors, current shunts and their amplifiers, converters, references, op-amps and \
                  encoders.",
        signs: &[
            "A reading is wrong, or drifts.",
            "It stops for heat or current that is not there.",
            "The reading is stuck at one end.",
            "Two readings that share a reference are wrong together.",
        ],
        first_measurement: "The reference, then the ohms of the sensor, then the output with a known input.",
        failures: &[
            "Capacitor on the input leaky: replace it.",
            "Amplifier dead: replace it and check the zero.",
            "Shunt open or drifted: replace it.",
            "High-impedance node leaky from residue: clean it and check the calibration.",
        ],
        confused_with: &["drive", "sequence"],
        caution: None,
    },
    Entry {
        id: "drive",
        name: "Drives and power outputs",
        belongs: "Gate drivers, bridges, power modules, relays and the outputs for solenoids, pumps, fans, \
                  lamps and injectors.",
        signs: &[
            "It trips the moment the output is enabled.",
            "One phase or one output is missing.",
            "An output is stuck on or off.",
            "There is a burnt patch at a switch.",
        ],
        first_measurement: "Source off and capacitors proven discharged: diode check of each switch; then the gate supply.",
        failures: &[
            "Switch shorted: it takes its driver and gate resistor with it; replace the set.",
            "Gate-supply capacitor dry: replace it.",
            "Relay welded: replace it and ask what the load drew.",
            "Flyback diode open: replace it together with the switch it failed to protect.",
        ],
        confused_with: &["isolated", "sensing"],
        caution: Some(
            "Drive capacitors hold a charge after the source is off, and outputs can move machinery. \
             Prove the bus discharged, test on a limited supply and a dummy load, and keep to the \
             maker's instructions and local rules.",
        ),
    },
    Entry {
        id: "signal",
        name: "Radio and audio paths",
        belongs: "Antenna switch, front end, satellite receiver, wireless modules, sounder and transducer \
                  stages, codec and audio amplifier.",
        signs: &[
            "The signal is weak or absent while everything else works.",
            "Transmit power is low.",
            "One channel or the loudspeaker is silent.",
            "It is noisy, or works only with a hand near the antenna.",
        ],
        first_measurement: "The stage's supply; then a known signal in and the level out; then the antenna feed.",
        failures: &[
            "Antenna connector cracked or corroded: replace it.",
            "Front end or antenna switch damaged by a surge: replace it.",
            "Power stage dead: replace it and test into a dummy load.",
            "Amplifier dead: replace it.",
        ],
        confused_with: &["clock", "bus", "interconnect"],
        caution: Some(
            "Transmit only into a rated dummy load. Radio power burns, and a sounder's transmit stage \
             holds hundreds of volts. Radio licences, the maker's instructions and local rules apply.",
        ),
    },
    Entry {
        id: "interconnect",
        name: "Board, joints and connectors",
        belongs: "Traces, vias, pads, connectors, flexes, press-fits, delaminated areas and leaks under \
                  coating.",
        signs: &[
            "It comes and goes with bending or temperature.",
            "Several functions in one wet area fail together.",
            "A line is open and no part on it is bad.",
            "A heavy part moves under a fingertip.",
        ],
        first_measurement: "Continuity point to point, then the same resistance while bending; then the microscope.",
        failures: &[
            "Joint of a heavy part cracked: reflow it and support the part.",
            "Via or trace eaten: rebuild it with a wire of the right size.",
            "Connector corroded: replace it.",
            "Laminate carbonised: cut the carbon out, or stop.",
        ],
        confused_with: &[
            "processor",
            "inlet",
            "signal",
            "bus",
            "display",
            "standby",
            "battery",
            "buck",
            "drive",
            "sensing",
            "sequence",
            "core",
            "clock",
            "firmware",
            "isolated",
        ],
        caution: None,
    },
];

/// Returns the sixteen built-in families in their printed order.
pub fn built_in() -> Vec<Family> {
    ENTRIES.iter().map(family).collect()
}

fn family(entry: &Entry) -> Family {
    let words = |list: &[&str]| list.iter().map(|text| (*text).to_owned()).collect();
    Family {
        id: entry.id.to_owned(),
        name: entry.name.to_owned(),
        belongs: entry.belongs.to_owned(),
        signs: words(entry.signs),
        first_measurement: entry.first_measurement.to_owned(),
        failures: words(entry.failures),
        confused_with: words(entry.confused_with),
        boundary: borders::of(entry.id, entry.confused_with),
        caution: entry.caution.map(str::to_owned),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::circuit::Circuits;
    use std::collections::BTreeSet;

    /// The trade's list of circuits; common practice, no source.
    const IDS: [&str; 16] = [
        "inlet",
        "isolated",
        "battery",
        "standby",
        "buck",
        "core",
        "sequence",
        "clock",
        "firmware",
        "processor",
        "bus",
        "display",
        "sensing",
        "drive",
        "signal",
        "interconnect",
    ];

    #[test]
    fn the_sixteen_circuits_stand_in_their_order() {
        let ids: Vec<String> = built_in().into_iter().map(|f| f.id).collect();
        assert_eq!(ids, IDS);
    }

    #[test]
    fn a_look_alike_is_another_family_of_the_list_and_named_once() {
        for family in built_in() {
            let named: BTreeSet<&String> = family.confused_with.iter().collect();
            assert_eq!(named.len(), family.confused_with.len(), "{}", family.id);
            for other in &family.confused_with {
                assert!(IDS.contains(&other.as_str()), "{} names {other}", family.id);
                assert_ne!(&family.id, other);
            }
        }
    }

    #[test]
    fn a_border_leads_to_another_family_and_is_printed_on_both_pages() {
        for family in built_in() {
            for (other, rule) in &family.boundary {
                assert!(
                    IDS.contains(&other.as_str()),
                    "{} borders {other}",
                    family.id
                );
                assert_ne!(&family.id, other);
                let across = built_in()
                    .into_iter()
                    .find(|f| &f.id == other)
                    .expect("checked above");
                assert!(
                    across.boundary.contains(&(family.id.clone(), rule.clone())),
                    "{other} keeps quiet about {}",
                    family.id
                );
            }
        }
    }

    #[test]
    fn each_often_confused_pair_has_a_rule_that_tells_it_apart() {
        let circuits = Circuits::with_shop(&[], false);
        for family in built_in() {
            for other in &family.confused_with {
                assert!(
                    circuits.boundary_rule(&family.id, other).is_some(),
                    "no rule tells {} from {other}",
                    family.id
                );
            }
        }
    }

    #[test]
    fn borders_are_listed_likeliest_confusion_first() {
        for family in built_in() {
            let order: Vec<&String> = family.boundary.iter().map(|(id, _)| id).collect();
            let first: Vec<&String> = family.confused_with.iter().collect();
            assert_eq!(order[..first.len()], first[..], "{}", family.id);
        }
    }

    #[test]
    fn every_page_is_filled_in_whole_sentences() {
        for family in built_in() {
            let id = &family.id;
            assert!(!family.name.is_empty(), "{id} has no name");
            assert!(3 <= family.signs.len(), "{id} has few signs");
            assert!(3 <= family.failures.len(), "{id} has few failures");
            let sentences = family
                .signs
                .iter()
                .chain(&family.failures)
                .chain(family.boundary.iter().map(|(_, rule)| rule))
                .chain(&family.caution)
                .chain([&family.belongs, &family.first_measurement]);
            for sentence in sentences {
                assert!(sentence.ends_with('.'), "{id}: {sentence}");
                assert!(!sentence.contains("  "), "{id}: {sentence}");
                assert!(
                    sentence.starts_with(|c: char| c.is_uppercase()),
                    "{id}: {sentence}"
                );
            }
        }
    }

    #[test]
    fn circuits_that_can_hurt_defer_to_the_maker() {
        for id in ["isolated", "drive", "battery", "inlet", "signal", "display"] {
            let family = built_in()
                .into_iter()
                .find(|f| f.id == id)
                .expect("a built-in id");
            let caution = family.caution.expect("it can hurt someone");
            assert!(caution.contains("maker's instructions"), "{id}: {caution}");
        }
    }

    #[test]
    fn the_five_classing_rules_are_whole_sentences() {
        for rule in CLASSING_RULES {
            assert!(rule.ends_with('.') && rule.starts_with('A'), "{rule}");
        }
    }
}
