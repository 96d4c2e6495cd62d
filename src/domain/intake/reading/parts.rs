//! Designators and nets by the way they are written.
//!
//! A designator is 1 to 4 letters, 1 to 5 digits and at most one letter more. Letters in use: ASME
//! Y14.44-2008 (from memory) and common practice; others are taken where they are capitals. Nothing is
//! matched by likeness.

use crate::domain::intake::board_facts::BoardFacts;

/// Letters that start a designator.
const LETTERS: [&str; 68] = [
    "A", "AT", "B", "BT", "BZ", "C", "CB", "CN", "CON", "CP", "CR", "D", "DL", "DS", "E", "F",
    "FB", "FL", "FS", "G", "H", "HR", "HY", "IC", "J", "JP", "K", "L", "LD", "LED", "LS", "M",
    "MK", "MP", "P", "PC", "PL", "PQ", "PR", "PS", "PU", "Q", "R", "RA", "RL", "RN", "RP", "RT",
    "RV", "S", "SW", "T", "TB", "TC", "TH", "TP", "TR", "TVS", "U", "V", "VR", "X", "XF", "XTAL",
    "Y", "Z", "ZD", "VD",
];
/// Letters that start a designator even when written small.
const EVEN_SMALL: [&str; 28] = [
    "C", "CN", "D", "F", "FB", "IC", "J", "JP", "K", "L", "LED", "Q", "R", "RN", "RV", "SW", "T",
    "TR", "TVS", "U", "VR", "X", "Y", "ZD", "PU", "PQ", "CON", "TP",
];
/// Words of the trade that only look like designators.
const NOT_PARTS: [&str; 44] = [
    "X5R", "X7R", "X7S", "C0G", "M2", "M3", "M4", "M5", "M8", "M12", "J1939", "CR2032", "CR2025",
    "CR2016", "CR1220", "CR123", "CR123A", "H2O", "MP3", "USB1", "USB2", "USB3", "CO2", "AM1",
    "S0", "S3", "S5", "A4", "V1", "V2", "V3", "V4", "T25", "K1000", "E10", "S4", "B2B", "P0",
    "D2D", "F4F", "P2P", "S1", "S2", "G0",
];
/// Letters of interfaces, which have numbers too.
const INTERFACES: [&str; 16] = [
    "RS", "USB", "I2C", "SPI", "CAN", "HDMI", "IEEE", "EN", "ISO", "IPC", "SAE", "AT", "IP", "DIN",
    "GPIO", "REV",
];

/// Tells whether `text` is written as a designator; `board` knows its own.
pub(super) fn is_designator(text: &str, board: Option<&BoardFacts>) -> bool {
    let Some((letters, _)) = split(text) else {
        return false;
    };
    let mut buffer = [0; 12];
    let Some(upper) = upper(text, &mut buffer) else {
        return false;
    };
    if board.is_some_and(|b| b.parts.contains_key(upper) || b.parts.contains_key(text)) {
        return true;
    }
    let head = &upper[..letters];
    let written_small = text.as_bytes()[0].is_ascii_lowercase();
    if letters >= 2 && !LETTERS.contains(&head) && SIGNALS.contains(&head) {
        // CLK25 is a net.
        return false;
    }
    if NOT_PARTS.contains(&upper) || INTERFACES.contains(&head) {
        return false;
    }
    if written_small {
        EVEN_SMALL.contains(&head)
    } else {
        LETTERS.contains(&head)
            || (letters >= 2 && text[..letters].bytes().all(|b| b.is_ascii_uppercase()))
    }
}

fn upper<'b>(text: &str, buffer: &'b mut [u8; 12]) -> Option<&'b str> {
    let room = buffer.get_mut(..text.len())?;
    room.copy_from_slice(text.as_bytes());
    room.make_ascii_uppercase();
    std::str::from_utf8(room).ok()
}

/// Returns how many letters and digits a designator has.
pub(super) fn split(text: &str) -> Option<(usize, usize)> {
    let bytes = text.as_bytes();
    let letters = bytes.iter().take_while(|b| b.is_ascii_alphabetic()).count();
    let rest = &bytes[letters..];
    let digits = rest.iter().take_while(|b| b.is_ascii_digit()).count();
    let suffix = &rest[digits..];
    let fits = (1..=4).contains(&letters)
        && (1..=5).contains(&digits)
        && (suffix.is_empty() || (suffix.len() == 1 && suffix[0].is_ascii_alphabetic()));
    fits.then_some((letters, digits))
}

/// Tells whether a small `r` and two digits, or three of which the last is 0, may be ohms: `r47`,
/// `r100`.
pub(super) fn may_be_ohms(text: &str) -> bool {
    let Some(digits) = text.strip_prefix('r') else {
        return false;
    };
    digits.bytes().all(|b| b.is_ascii_digit())
        && (digits.len() == 2 || (digits.len() == 3 && digits.ends_with('0')))
}

/// What a net carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Carries {
    /// A supply, of these volts where its name tells.
    Supply(Option<f64>),
    /// A signal.
    Signal,
}

const SUPPLIES: [&str; 44] = [
    "VIN", "VOUT", "VCC", "VDD", "VSS", "VBAT", "VBATT", "VBUS", "VSYS", "VREF", "VGATE", "VCHG",
    "VPACK", "VDDQ", "VDDA", "AVDD", "DVDD", "IOVDD", "VCCA", "VMAIN", "VAUX", "VMEM", "VBANK",
    "VHOLD", "VPA", "VMOD", "VBAK", "VPP", "VEE", "VGG", "VLED", "VMOT", "VDRV", "VBST", "VCORE",
    "VIO", "BULK", "VDDIO", "VUSB", "VRTC", "VSB", "VSTBY", "VCCIO", "AVCC",
];
const SIGNALS: [&str; 46] = [
    "EN", "PG", "PGOOD", "PWRGD", "PWROK", "RST", "RESET", "NRST", "CLK", "SDA", "SCL", "CS",
    "MISO", "MOSI", "TX", "RX", "TXD", "RXD", "INT", "IRQ", "WAKE", "OSC", "CANH", "CANL",
    "ISENSE", "FAULT", "BTN", "KEY", "SENSE", "FB", "GATE", "PHASE", "DRAIN", "WDI", "TCXO", "SCK",
    "SCLK", "DRV", "ON", "ENABLE", "READY", "RS485", "PWM", "BOOT", "ADC", "RSTN",
];

/// Returns what a net carries by its name, if it is written as one; `name` in capitals.
pub(super) fn carries(name: &str, board: Option<&BoardFacts>) -> Option<Carries> {
    if let Some(volts) = board.and_then(|b| b.nominal_v.get(name)) {
        return Some(Carries::Supply(Some(*volts)));
    }
    let pieces = || name.split('_');
    let is_signal = |piece: &str| {
        let stem = piece.trim_end_matches(|c: char| c.is_ascii_digit());
        SIGNALS.contains(&piece) || SIGNALS.contains(&stem)
    };
    if pieces().any(is_signal) {
        return Some(Carries::Signal);
    }
    if let Some(volts) = volts_in(name) {
        return Some(Carries::Supply(Some(volts)));
    }
    let first = pieces().next().unwrap_or_default();
    let supply_words = [
        "PWR", "SUPPLY", "MAIN", "SYS", "BAT", "BATT", "SB", "STBY", "AON", "CORE",
    ];
    if SUPPLIES.contains(&first) || pieces().any(|p| supply_words.contains(&p)) {
        return Some(Carries::Supply(None));
    }
    None
}

/// Returns the volts in a net's name: `3V3_SB`, `5V0`, `12V`.
fn volts_in(name: &str) -> Option<f64> {
    name.split('_').find_map(|piece| {
        let (whole, rest) = piece.split_once('V')?;
        let whole = whole.trim_start_matches('P');
        let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
        let plain = !whole.is_empty() && whole.len() <= 2 && digits <= 2;
        let number = format!("{whole}.{}", &rest[..digits]);
        let plain = plain && whole.bytes().all(|b| b.is_ascii_digit());
        plain
            .then(|| number.trim_end_matches('.').parse().ok())
            .flatten()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn designators_are_told_from_words_that_look_like_them() {
        for text in [
            "U31", "C12", "r4", "PU7401", "LED5", "R4A", "TVS2", "q3", "XY12",
        ] {
            assert!(is_designator(text, None), "{text}");
        }
        for text in [
            "X7R", "CR2032", "RS485", "a4", "v2", "b2", "USB3", "123", "ABCDE1", "C123456",
        ] {
            assert!(!is_designator(text, None), "{text}");
        }
    }

    #[test]
    fn a_board_knows_its_own_parts() {
        let mut facts = BoardFacts::default();
        let part = crate::domain::job::Part {
            name: "x".to_owned(),
            rail: None,
            family: None,
            revs: Vec::new(),
        };
        facts.parts.insert("A4".to_owned(), part);
        assert!(is_designator("a4", Some(&facts)));
    }

    #[test]
    fn nets_are_supplies_or_signals_by_their_names() {
        for (name, volts) in [("3V3_SB", 3.3), ("5V0", 5.0), ("12V", 12.0), ("P1V8", 1.8)] {
            assert_eq!(
                carries(name, None),
                Some(Carries::Supply(Some(volts))),
                "{name}"
            );
        }
        assert_eq!(carries("VIN_F", None), Some(Carries::Supply(None)));
        for name in ["EN_5V", "RESET_N", "CLK25", "SDA", "PWR_BTN"] {
            assert_eq!(carries(name, None), Some(Carries::Signal), "{name}");
        }
        assert_eq!(carries("FOO_BAR", None), None);
    }
}
