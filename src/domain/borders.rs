//! Which reading tells two look-alike circuits apart.
//!
//! Each border is written once and printed on both families' pages. Common practice, no source.

use crate::domain::circuit::FamilyId;

/// Two families and the rule between them.
struct Border(&'static str, &'static str, &'static str);

const BORDERS: [Border; 75] = [
    Border(
        "inlet",
        "isolated",
        "Volts good at the plug and gone before the rectifier is inlet; bulk volts present and no output is isolated. A blown fuse is classed by what blew it.",
    ),
    Border(
        "inlet",
        "battery",
        "If the outside supply fails at the fuse or clamp it is inlet; if it arrives at the charger and no current reaches the pack it is battery.",
    ),
    Border(
        "inlet",
        "standby",
        "No volts behind the protection parts is inlet; volts there and no always-on rail is standby.",
    ),
    Border(
        "inlet",
        "buck",
        "Low ohms before the first converter is inlet; input ohms good and one rail low is buck, and a shorted capacitor goes with its rail.",
    ),
    Border(
        "inlet",
        "bus",
        "A protective part across the supply is inlet; a protective array on a data line is bus, even when one surge took both.",
    ),
    Border(
        "inlet",
        "drive",
        "A fuse that holds until the output is enabled points to drive; one that opens with every output unplugged points to inlet.",
    ),
    Border(
        "inlet",
        "sequence",
        "Zero draw with no volts behind the fuse is inlet; a steady few tens of milliamperes is already past it.",
    ),
    Border(
        "isolated",
        "buck",
        "The rail made by the transformer's own secondary is isolated; a rail made from that one by a second converter is buck.",
    ),
    Border(
        "isolated",
        "drive",
        "If the bulk holds steady and the output trips on enable it is drive; if the bulk or the converter itself will not come up it is isolated.",
    ),
    Border(
        "isolated",
        "battery",
        "If the converter's output is right with the battery unplugged it is battery; if it is wrong without any load it is isolated.",
    ),
    Border(
        "isolated",
        "sensing",
        "If the output is right by your own meter and the unit reports otherwise it is sensing; if your meter agrees that it is wrong it is isolated.",
    ),
    Border(
        "battery",
        "standby",
        "If it behaves alike on a bench supply in place of the pack it is standby; if it runs from the bench and not from the pack it is battery.",
    ),
    Border(
        "battery",
        "buck",
        "If the node behind the pass transistors is right and one rail is not it is buck; if that node sags or is missing it is battery.",
    ),
    Border(
        "battery",
        "sensing",
        "If the current is right by your own meter and the gauge disagrees it is sensing; if no current flows it is battery.",
    ),
    Border(
        "battery",
        "sequence",
        "If the charge node is missing it is battery; if it is there and the rails were never enabled it is sequence.",
    ),
    Border(
        "battery",
        "signal",
        "Volts at the stage that sag during transmit is battery; steady volts and no power out is signal.",
    ),
    Border(
        "standby",
        "sequence",
        "If the always-on rail is out or the wake line does not move it is standby; if both are right and an enable never follows it is sequence.",
    ),
    Border(
        "standby",
        "firmware",
        "If the wake line moves and the controller's memory is never selected or reads wrong it is firmware; if its always-on rail is wrong it is standby.",
    ),
    Border(
        "standby",
        "buck",
        "The rail that lives before the button is pressed is standby; a rail that comes only after it is buck.",
    ),
    Border(
        "standby",
        "core",
        "If nothing changes on the button it is standby; if the draw climbs in steps and then stops it is core or later.",
    ),
    Border(
        "standby",
        "processor",
        "Prove the always-on rail and the wake line first: if either is wrong it is standby, and the processor was never asked to run.",
    ),
    Border(
        "standby",
        "clock",
        "If the always-on rail is good and only the time is lost it is clock; if the rail is pulled down it is standby.",
    ),
    Border(
        "standby",
        "interconnect",
        "If the always-on rail follows a bend in the board and no standby part or its joint is bad it is interconnect; if only the wake function is lost it is standby.",
    ),
    Border(
        "standby",
        "display",
        "If the button changes the draw as on a good board it is display; if the draw does not move it is standby.",
    ),
    Border(
        "buck",
        "core",
        "The rail decides: one of about 3 V or more is buck, one of about 1 V that feeds a processor is core, and a shorted capacitor goes with its rail.",
    ),
    Border(
        "buck",
        "sequence",
        "If the rail's enable is present and nothing comes out it is buck; if the enable never came it is sequence.",
    ),
    Border(
        "buck",
        "display",
        "If only the backlight's own converter is out it is display; if the rail that feeds it is out it is buck.",
    ),
    Border(
        "buck",
        "drive",
        "A supply made only for gates is drive; a rail that the logic needs as well is buck.",
    ),
    Border(
        "buck",
        "firmware",
        "If every rail is in band under load it may be firmware; if one sags when the memory is read it is buck.",
    ),
    Border(
        "buck",
        "processor",
        "If the rail comes back with the processor's feed lifted it is the load; if it stays low it is buck.",
    ),
    Border(
        "buck",
        "interconnect",
        "If the rail is right at the converter and wrong at the load it is interconnect; if it is wrong at the inductor's output it is buck.",
    ),
    Border(
        "buck",
        "sensing",
        "If the reference is wrong because its rail is wrong it is buck; if the rail is in band and the reference is not it is sensing.",
    ),
    Border(
        "core",
        "processor",
        "If ohms are like a good board's and the phase does not switch it is core; if ohms stay far below with the phase parts lifted it is processor.",
    ),
    Border(
        "core",
        "sequence",
        "If the core rail's enable is present and the rail is out it is core; if the enable or the power-good before it is missing it is sequence.",
    ),
    Border(
        "core",
        "clock",
        "If the core rail is in band and steady and no clock swings it is clock; if the rail is out the clock was never asked for.",
    ),
    Border(
        "core",
        "firmware",
        "If the draw stops before reset is let go it is core or sequence; if reset is let go and the memory is read it is firmware.",
    ),
    Border(
        "core",
        "interconnect",
        "If the core rail returns with a bend and its parts test good it is interconnect; if the phase node is dead whatever you do it is core.",
    ),
    Border(
        "sequence",
        "clock",
        "If reset is still held it is sequence; if it is let go and no clock swings it is clock.",
    ),
    Border(
        "sequence",
        "firmware",
        "If reset is held or pulses without any memory activity it is sequence; if the memory is read and the same point is reached each time it is firmware.",
    ),
    Border(
        "sequence",
        "processor",
        "If reset is held the processor was never let go, so it is sequence; if reset, rails and clock are all proven it may be processor.",
    ),
    Border(
        "sequence",
        "sensing",
        "If it stops because a reading is false it is sensing; if the reading is true and the latch still holds it is sequence.",
    ),
    Border(
        "sequence",
        "drive",
        "If the drive's enable is held back with good gate supply it is sequence or sensing; if the enable is there and the switch does not follow it is drive.",
    ),
    Border(
        "sequence",
        "interconnect",
        "If one pull-up or its node is open it is sequence; if several unrelated lines of one wet area are open it is interconnect.",
    ),
    Border(
        "clock",
        "processor",
        "If no swing reaches the processor it is clock; if a clean swing of the right frequency arrives and nothing runs it is processor.",
    ),
    Border(
        "clock",
        "firmware",
        "If the swing is missing or off frequency it is clock; if it is right and the memory is read it is firmware.",
    ),
    Border(
        "clock",
        "signal",
        "If the radio is off frequency on every channel it is clock; if it is on frequency and weak it is signal.",
    ),
    Border(
        "clock",
        "bus",
        "If the link's levels are right and its speed is wrong it is clock; if the levels are wrong it is bus.",
    ),
    Border(
        "clock",
        "interconnect",
        "If a touch of heat at the crystal itself changes it, it is clock; if bending the board elsewhere changes it, it is interconnect.",
    ),
    Border(
        "firmware",
        "processor",
        "If a good image in a good memory cures it, it is firmware; if the memory is never selected with rails, reset and clock proven it is processor.",
    ),
    Border(
        "firmware",
        "bus",
        "If the line idles and moves as on a good board and nothing is understood it is firmware or settings; if the level is wrong it is bus.",
    ),
    Border(
        "firmware",
        "display",
        "If a torch shows a picture, or another screen does, it is display; if no picture is ever made it is firmware or earlier.",
    ),
    Border(
        "firmware",
        "sensing",
        "If the raw reading is right and the shown value is not it is firmware or calibration; if the raw reading is wrong it is sensing.",
    ),
    Border(
        "firmware",
        "drive",
        "If the drive's command line never moves it is firmware or sequence; if it moves and the output does not it is drive.",
    ),
    Border(
        "firmware",
        "interconnect",
        "If the memory's lines are whole from pin to pin and its content is wrong it is firmware; if a line is open it is interconnect.",
    ),
    Border(
        "processor",
        "interconnect",
        "If diode readings at the chip's own lines are wrong it is processor; if they are right at the chip and open along the trace it is interconnect.",
    ),
    Border(
        "processor",
        "bus",
        "If the line is held down with the transceiver lifted it is processor; if lifting the transceiver or array frees it, it is bus.",
    ),
    Border(
        "bus",
        "sensing",
        "If the other end hears nothing at all it is bus; if it hears a wrong value it is sensing.",
    ),
    Border(
        "bus",
        "display",
        "If the picture is there but touch or keys on a link are dead, read the link's idle levels: wrong levels are bus, right levels are display.",
    ),
    Border(
        "bus",
        "signal",
        "If the module answers on its data lines and hears no signal it is signal; if it does not answer it is bus.",
    ),
    Border(
        "bus",
        "drive",
        "If the command arrives at the board and the output does not move it is drive; if the command never arrives it is bus.",
    ),
    Border(
        "bus",
        "interconnect",
        "If one link is lost by its connector or part it is bus; if several functions of that connector are lost it is interconnect.",
    ),
    Border(
        "display",
        "interconnect",
        "If the panel's own flex or socket is at fault it is display; if other functions in that area are lost as well it is interconnect.",
    ),
    Border(
        "display",
        "processor",
        "If pressing the flex changes the picture it is display; if pressing or warming the chip does it is processor.",
    ),
    Border(
        "display",
        "signal",
        "Silence with a good picture is signal; a dark screen with good sound is display.",
    ),
    Border(
        "sensing",
        "drive",
        "If it trips with the output unplugged and no current flowing it is sensing; if it trips only when real current flows it is drive.",
    ),
    Border(
        "sensing",
        "signal",
        "A slow value is sensing; a radio, sounder or audio path is signal, even where it ends in a converter.",
    ),
    Border(
        "sensing",
        "interconnect",
        "If the sensor reads right at its plug and wrong at the amplifier with good parts between it is interconnect; if a part or its node leaks it is sensing.",
    ),
    Border(
        "drive",
        "interconnect",
        "If the switch and its gate are right and the load gets nothing it is interconnect; if the switch, driver or relay is bad it is drive.",
    ),
    Border(
        "drive",
        "signal",
        "A stage that drives a loudspeaker, antenna or transducer is signal; one that moves or heats something is drive.",
    ),
    Border(
        "signal",
        "interconnect",
        "If the antenna or transducer connector is the only thing lost it is signal; if several functions change as the board is bent it is interconnect.",
    ),
    Border(
        "inlet",
        "interconnect",
        "A corroded power plug that costs only the power is inlet; one that costs the network and keys too is interconnect.",
    ),
    Border(
        "battery",
        "interconnect",
        "A corroded charge contact that costs only charging is battery; damage that reaches other functions is interconnect.",
    ),
    Border(
        "isolated",
        "interconnect",
        "A cracked joint of a transformer or heavy part with every part good is interconnect; a bad part in the converter is isolated.",
    ),
    Border(
        "isolated",
        "standby",
        "A start-up or auxiliary supply on the primary side is isolated; an always-on rail on the safe side is standby.",
    ),
    Border(
        "isolated",
        "sequence",
        "If the converter starts and is told to stop by a healthy supervisor it is sequence; if it cannot start or ticks unloaded it is isolated.",
    ),
];

/// Returns the borders of family `id`: `first` ones in their order, then the others.
pub fn of(id: &str, first: &[&str]) -> Vec<(FamilyId, String)> {
    let mut found: Vec<(&str, &str)> = BORDERS
        .iter()
        .filter_map(|Border(a, b, rule)| match id {
            _ if id == *a => Some((*b, *rule)),
            _ if id == *b => Some((*a, *rule)),
            _ => None,
        })
        .collect();
    let place = |other: &str| {
        first
            .iter()
            .position(|f| *f == other)
            .unwrap_or(first.len())
    };
    found.sort_by_key(|(other, _)| place(other));
    found
        .into_iter()
        .map(|(other, rule)| (other.to_owned(), rule.to_owned()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_border_is_written_once() {
        let mut seen = BTreeSet::new();
        for Border(a, b, _) in &BORDERS {
            let pair = if a < b { (a, b) } else { (b, a) };
            assert!(seen.insert(pair), "{a} and {b} twice");
        }
    }

    #[test]
    fn a_rule_names_one_of_its_two_circuits() {
        for Border(a, b, rule) in &BORDERS {
            assert!(rule.contains(a) || rule.contains(b), "{a}, {b}: {rule}");
        }
    }

    #[test]
    fn the_listed_neighbours_come_first() {
        let found = of("bus", &["sensing", "inlet"]);
        assert_eq!(found[0].0, "sensing");
        assert_eq!(found[1].0, "inlet");
        assert!(of("no-such-circuit", &[]).is_empty());
    }
}
