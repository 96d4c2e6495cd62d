//! Findings: which field holds what, for each kind of observation.

use serde_json::Map;
use serde_json::Value;

use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;
use crate::domain::job::STATES;
use crate::domain::job::When;
use crate::store::record::reader::Reader;

/// Ways a meter's leads are put.
pub const POLARITIES: [&str; 2] = ["red-to-ground", "black-to-ground"];
/// How far a visual sign reaches.
pub const EXTENTS: [&str; 4] = ["point", "part", "area", "board"];

/// Every field that some kind of finding has.
pub(crate) const FIELDS: [&str; 35] = [
    "kind",
    "raw",
    "where",
    "name",
    "state",
    "when",
    "draw",
    "verdict",
    "sign",
    "value",
    "q",
    "got_a",
    "good_a",
    "low_a",
    "high_a",
    "got_v",
    "expect_v",
    "good_v",
    "low_v",
    "high_v",
    "got_ohm",
    "good_ohm",
    "low_ohm",
    "high_ohm",
    "got_c",
    "good_c",
    "low_c",
    "high_c",
    "supply_v",
    "limit_a",
    "period_s",
    "collapsed_v",
    "polarity",
    "source_off",
    "extent",
];

/// Field names of one kind; an empty name means that the kind has no such field.
pub(crate) struct Names {
    pub(crate) place: &'static str,
    pub(crate) code: &'static str,
    pub(crate) got: &'static str,
    pub(crate) good: &'static str,
    pub(crate) low: &'static str,
    pub(crate) high: &'static str,
}

/// Returns the field names of `kind`.
pub(crate) fn names(kind: FindingKind, in_hertz: bool) -> Names {
    let (code, [got, good, low, high]) = match kind {
        FindingKind::Current => ("draw", ["got_a", "good_a", "low_a", "high_a"]),
        FindingKind::Rail => ("verdict", ["got_v", "expect_v", "low_v", "high_v"]),
        FindingKind::Resistance => ("verdict", ["got_ohm", "good_ohm", "low_ohm", "high_ohm"]),
        FindingKind::Signal if in_hertz => ("verdict", ["got_hz", "good_hz", "low_hz", "high_hz"]),
        FindingKind::Diode | FindingKind::Signal => {
            ("verdict", ["got_v", "good_v", "low_v", "high_v"])
        }
        FindingKind::Heat => ("", ["got_c", "good_c", "low_c", "high_c"]),
        FindingKind::Visual => ("sign", [""; 4]),
        FindingKind::Other => ("value", [""; 4]),
    };
    let place = if kind == FindingKind::Other {
        "name"
    } else {
        "where"
    };
    Names {
        place,
        code,
        got,
        good,
        low,
        high,
    }
}

/// Reads one finding of a job or a board.
pub(crate) fn read(from: &mut Reader<'_, '_>) -> Option<Finding> {
    read_with(from, place)
}

/// Reads one finding of a card, whose place may have been held back.
pub(crate) fn read_shown(from: &mut Reader<'_, '_>) -> Option<Finding> {
    read_with(from, |from, _, name| {
        Some(from.text(name.place).unwrap_or_default())
    })
}

fn read_with(
    from: &mut Reader<'_, '_>,
    place: impl FnOnce(&mut Reader<'_, '_>, FindingKind, &Names) -> Option<String>,
) -> Option<Finding> {
    let Some(kind) = from.meaning("kind", &FindingKind::ALL, FindingKind::word) else {
        if from.get("kind").is_none() {
            from.missing("kind", "say what was observed, for example rail");
        }
        return None;
    };
    let hertz = ["got_hz", "good_hz", "low_hz", "high_hz"];
    let in_hertz = kind == FindingKind::Signal && hertz.iter().any(|key| from.get(key).is_some());
    if in_hertz
        && ["got_v", "good_v"]
            .iter()
            .any(|key| from.get(key).is_some())
    {
        from.warn(
            "got_v",
            "volts beside hertz are kept but not used",
            "write two findings, one for each reading",
        );
    }
    let name = names(kind, in_hertz);
    let mut finding = Finding::new(kind, &place(from, kind, &name)?);
    finding.in_hertz = in_hertz;
    finding.state = from.word("state", &STATES);
    finding.when = from
        .meaning("when", &When::ALL, When::word)
        .unwrap_or_default();
    finding.code = code(from, kind, &name);
    finding.got = number(from, name.got);
    finding.good = number(from, name.good);
    finding.low = number(from, name.low);
    finding.high = number(from, name.high);
    finding.qualifier = qualifier(from);
    if kind == FindingKind::Current {
        finding.supply_v = from.number("supply_v");
        finding.limit_a = from.number("limit_a");
        finding.period_s = from.number("period_s");
        finding.collapsed_v = from.number("collapsed_v");
    }
    if matches!(kind, FindingKind::Resistance | FindingKind::Diode) {
        finding.polarity = from.word("polarity", &POLARITIES);
    }
    if kind == FindingKind::Resistance {
        finding.source_off = from.flag("source_off");
    }
    if kind == FindingKind::Visual {
        finding.extent = from.word("extent", &EXTENTS);
    }
    finding.raw = from.text("raw");
    look_over(from, &finding, &name);
    Some(finding)
}

fn place(from: &mut Reader<'_, '_>, kind: FindingKind, name: &Names) -> Option<String> {
    match kind {
        FindingKind::Current | FindingKind::Visual => {
            Some(from.text(name.place).unwrap_or_default())
        }
        FindingKind::Other => from.need_text(name.place, "name the test"),
        _ => from.need_text(name.place, "name the net, the designator or the function"),
    }
}

fn code(from: &mut Reader<'_, '_>, kind: FindingKind, name: &Names) -> Option<String> {
    match kind {
        FindingKind::Heat => None,
        FindingKind::Other => from.need_text("value", "write what the test showed, as text"),
        FindingKind::Visual if from.get("sign").is_none() => {
            from.missing(
                "sign",
                "say what was seen, for example residue or none-seen",
            );
            None
        }
        _ => from.word(name.code, kind.codes()),
    }
}

fn number(from: &mut Reader<'_, '_>, key: &str) -> Option<f64> {
    if key.is_empty() {
        None
    } else {
        from.number(key)
    }
}

/// `"="` says nothing and is taken as absent.
fn qualifier(from: &mut Reader<'_, '_>) -> Option<Qualifier> {
    if from.get("q").and_then(Value::as_str) == Some("=") {
        return None;
    }
    from.meaning("q", &Qualifier::ALL, Qualifier::word)
}

fn look_over(from: &mut Reader<'_, '_>, finding: &Finding, name: &Names) {
    if finding.qualifier == Some(Qualifier::Range)
        && (finding.low.is_none() || finding.high.is_none())
    {
        let why = format!("a range without {} and {}", name.low, name.high);
        from.warn("q", why, "write both ends");
    }
    if let (Some(low), Some(high)) = (finding.low, finding.high)
        && high < low
    {
        from.damage(name.high, format!("{high} is below {low}"), "swap the two");
    }
    let over = finding.qualifier == Some(Qualifier::OverRange);
    let fields = [name.code, name.got, name.low, name.high];
    let silent = fields.iter().all(|field| from.get(field).is_none());
    if silent && !over && !name.got.is_empty() {
        from.warn(
            name.got,
            "neither a reading nor a word for it",
            "add what was measured",
        );
    }
}

/// Returns the fields of a finding; `with_raw` keeps the words as entered, which never go on a card.
pub(crate) fn write(finding: &Finding, with_raw: bool) -> Map<String, Value> {
    let name = names(finding.kind, finding.in_hertz);
    let mut out = Map::new();
    let code_first = matches!(
        finding.kind,
        FindingKind::Current | FindingKind::Visual | FindingKind::Other
    );
    let good_first = finding.kind == FindingKind::Rail;
    out.insert("kind".to_owned(), finding.kind.word().into());
    if finding.when != When::BeforeAction {
        out.insert("when".to_owned(), finding.when.word().into());
    }
    if !finding.place.is_empty() {
        out.insert(name.place.to_owned(), finding.place.as_str().into());
    }
    put_text(&mut out, "state", finding.state.as_ref());
    if code_first {
        put_text(&mut out, name.code, finding.code.as_ref());
    }
    if good_first {
        put_number(&mut out, name.good, finding.good);
    }
    put_number(&mut out, name.got, finding.got);
    if let Some(q) = finding.qualifier {
        out.insert("q".to_owned(), q.word().into());
    }
    put_number(&mut out, name.low, finding.low);
    put_number(&mut out, name.high, finding.high);
    if !good_first {
        put_number(&mut out, name.good, finding.good);
    }
    put_number(&mut out, "supply_v", finding.supply_v);
    put_number(&mut out, "limit_a", finding.limit_a);
    put_number(&mut out, "period_s", finding.period_s);
    put_number(&mut out, "collapsed_v", finding.collapsed_v);
    if !code_first {
        put_text(&mut out, name.code, finding.code.as_ref());
    }
    put_text(&mut out, "polarity", finding.polarity.as_ref());
    if let Some(off) = finding.source_off {
        out.insert("source_off".to_owned(), off.into());
    }
    put_text(&mut out, "extent", finding.extent.as_ref());
    if with_raw {
        put_text(&mut out, "raw", finding.raw.as_ref());
    }
    out
}

/// Tells whether [`write()`] may write `key` for a finding that looks like `shape`.
pub(crate) fn knows(shape: &Map<String, Value>, key: &str) -> bool {
    let word = shape.get("kind").and_then(Value::as_str).unwrap_or("");
    let Some(kind) = FindingKind::from_word(word) else {
        return false;
    };
    let in_hertz = shape.keys().any(|k| k.ends_with("_hz"));
    let name = names(kind, in_hertz);
    let own: &[&str] = match kind {
        FindingKind::Current => &["supply_v", "limit_a", "period_s", "collapsed_v"],
        FindingKind::Resistance => &["polarity", "source_off"],
        FindingKind::Diode => &["polarity"],
        FindingKind::Visual => &["extent"],
        _ => &[],
    };
    let named = [
        name.place, name.code, name.got, name.good, name.low, name.high,
    ];
    let any = ["kind", "when", "state", "q", "raw"];
    !key.is_empty() && (named.contains(&key) || any.contains(&key) || own.contains(&key))
}

pub(crate) fn put_text(out: &mut Map<String, Value>, key: &str, text: Option<&String>) {
    if let Some(text) = text
        && !key.is_empty()
    {
        out.insert(key.to_owned(), text.as_str().into());
    }
}

pub(crate) fn put_number(out: &mut Map<String, Value>, key: &str, number: Option<f64>) {
    if let Some(number) = number
        && !key.is_empty()
    {
        out.insert(key.to_owned(), number.into());
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::domain::generate::coded::band;
    use crate::domain::generate::kinds::across::general;
    use crate::domain::generate::kinds::across::general::Mark;
    use crate::domain::wording;
    use crate::store::record::strict;

    fn read_text(text: &str) -> (Option<Finding>, Vec<String>) {
        let map = strict::object(text).expect("the tests write objects");
        let mut problems = Vec::new();
        let finding = read(&mut Reader::new(&map, &mut problems));
        (finding, problems.into_iter().map(|p| p.field).collect())
    }

    pub(crate) fn finding(text: &str) -> Finding {
        let (finding, problems) = read_text(text);
        assert_eq!(problems, Vec::<String>::new(), "{text}");
        finding.expect("a finding without a problem is there")
    }

    #[test]
    fn the_fields_of_every_kind_are_among_all_fields() {
        let shape = |kind: FindingKind| write(&Finding::new(kind, "U31"), false);
        for kind in FindingKind::ALL {
            let name = names(kind, false);
            let named = [
                name.place, name.code, name.got, name.good, name.low, name.high,
            ];
            let missing = named.iter().find(|f| !f.is_empty() && !FIELDS.contains(f));
            assert_eq!(missing, None, "{kind:?}");
        }
        for field in FIELDS {
            let known = FindingKind::ALL.iter().any(|k| knows(&shape(*k), field));
            assert!(known, "{field}");
        }
    }

    #[test]
    fn every_kind_comes_back_byte_for_byte() {
        for text in [
            r#"{"kind":"current","state":"standby","draw":"cycling","low_a":0.061,"high_a":0.118,"supply_v":12.0,"limit_a":1.0,"raw":"61-118mA up/down"}"#,
            r#"{"kind":"current","where":"USB","draw":"limit","got_a":2.0,"q":">","limit_a":2.0,"period_s":1.5,"collapsed_v":0.6}"#,
            r#"{"kind":"rail","where":"3V3_SB","state":"standby","expect_v":3.3,"got_v":0.41,"verdict":"low"}"#,
            r#"{"kind":"rail","when":"after-action","where":"3V3_SB","got_v":3.31}"#,
            r#"{"kind":"resistance","where":"3V3_SB","got_ohm":210.0,"good_ohm":1400.0,"verdict":"low","polarity":"black-to-ground","source_off":true}"#,
            r#"{"kind":"diode","where":"SDA","got_v":0.02,"good_v":0.45,"polarity":"red-to-ground"}"#,
            r#"{"kind":"diode","where":"SDA","q":"OL","verdict":"OL"}"#,
            r#"{"kind":"signal","where":"PGOOD","verdict":"missing"}"#,
            r#"{"kind":"signal","where":"XT1","got_hz":0.0,"good_hz":32768.0,"verdict":"wrong-frequency"}"#,
            r#"{"kind":"heat","where":"U31","got_c":81.0,"good_c":40.0}"#,
            r#"{"kind":"visual","when":"before-cleaning","where":"U31","sign":"residue","extent":"part"}"#,
            r#"{"kind":"visual","sign":"none-seen"}"#,
            r#"{"kind":"other","name":"torch test","value":"picture visible"}"#,
        ] {
            let written = Value::Object(write(&finding(text), true)).to_string();
            assert_eq!(written, text);
        }
    }

    #[test]
    fn each_mistake_is_named_with_its_field() {
        for (text, field) in [
            (r#"{"where":"U1"}"#, "kind"),
            (r#"{"kind":"smell","where":"U1"}"#, "kind"),
            (r#"{"kind":"rail","got_v":3.3}"#, "where"),
            (r#"{"kind":"rail","where":"5V","got_v":"3,8"}"#, "got_v"),
            (
                r#"{"kind":"rail","where":"5V","got_v":5,"verdict":"fine"}"#,
                "verdict",
            ),
            (
                r#"{"kind":"rail","where":"5V","got_v":5,"state":"asleep"}"#,
                "state",
            ),
            (
                r#"{"kind":"rail","where":"5V","got_v":5,"when":"later"}"#,
                "when",
            ),
            (r#"{"kind":"rail","where":"5V","got_v":5,"q":"about"}"#, "q"),
            (r#"{"kind":"rail","where":"5V"}"#, "got_v"),
            (
                r#"{"kind":"resistance","where":"5V","got_ohm":-3}"#,
                "got_ohm",
            ),
            (
                r#"{"kind":"resistance","where":"5V","got_ohm":3,"source_off":"yes"}"#,
                "source_off",
            ),
            (
                r#"{"kind":"resistance","where":"5V","got_ohm":3,"polarity":"red"}"#,
                "polarity",
            ),
            (r#"{"kind":"signal","where":"X1","got_hz":-1}"#, "got_hz"),
            (
                r#"{"kind":"signal","where":"X1","got_hz":1,"got_v":1}"#,
                "got_v",
            ),
            (r#"{"kind":"heat","where":"X1","got_c":-300}"#, "got_c"),
            (r#"{"kind":"current","draw":"lots"}"#, "draw"),
            (r#"{"kind":"current","low_a":2,"high_a":1}"#, "high_a"),
            (r#"{"kind":"current","low_a":2,"q":"range"}"#, "q"),
            (r#"{"kind":"visual","where":"U1"}"#, "sign"),
            (
                r#"{"kind":"visual","sign":"burnt","extent":"all"}"#,
                "extent",
            ),
            (r#"{"kind":"other","name":"torch test","value":3}"#, "value"),
            (r#"{"kind":"other","value":"x"}"#, "name"),
        ] {
            let (_, fields) = read_text(text);
            assert_eq!(fields, [field], "{text}");
        }
    }

    #[test]
    fn heat_that_a_pattern_says_in_a_word_is_read_back_from_its_card() {
        for word in band::HEAT {
            let mark = Mark {
                kind: Some(FindingKind::Heat),
                place: "a small switcher",
                state: "",
                placed: true,
                tells: &[],
            };
            let shown = general::shown(&mark, word).expect("heat is shown");
            let text = Value::Object(write(&shown, false)).to_string();
            let map = strict::object(&text).expect("an object");
            let mut problems = Vec::new();
            let read = read_shown(&mut Reader::new(&map, &mut problems));
            assert!(problems.is_empty(), "{word}: {problems:?}");
            assert_eq!(read.as_ref(), Some(&shown), "{text}");
            let words = wording::finding_line(&shown).value;
            assert!(words.contains("°C at a small switcher"), "{word}: {words}");
        }
    }
}
