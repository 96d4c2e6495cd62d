//! A reading as one line, for tables of tests.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::said::Known;
use crate::domain::intake::reading::said::Reading;
use crate::domain::intake::reading::said::read;
use crate::domain::intake::words::Words;
use crate::domain::job::Finding;
use crate::domain::job::When;

/// Reads a text of a column, nothing else being known.
pub(super) fn read_as(text: &str, field: &Field) -> Reading {
    let words = Words::with_shop(&BTreeMap::new());
    let known = Known {
        words: &words,
        board: None,
        field,
        dates: DateOrder::Unknown,
        decimal: DecimalMark::Unknown,
    };
    read(text, &known)
}

/// Returns a reading as one line: findings, `+` acts, `!` complaint, `=` outcome, `#` reason, `@`
/// circuit, `~` environment, `^` revision, `d` days, `*` proof, `_` unread, then the flags. A `?` marks
/// what is not sure.
pub(super) fn show(text: &str, reading: &Reading) -> String {
    let mut out: Vec<String> = Vec::new();
    let doubt = |sure: bool| if sure { "" } else { "?" };
    for f in &reading.findings {
        out.push(format!("{}{}", finding(&f.what), doubt(f.sure)));
    }
    for a in &reading.actions {
        let (act, part, role) = (&a.what.act, &a.what.part, a.what.role.word());
        out.push(format!("+{act} {part} {role}{}", doubt(a.sure)));
    }
    for c in &reading.complaint {
        out.push(format!("!{}{}", c.what, doubt(c.sure)));
    }
    out.extend(
        reading
            .outcome
            .iter()
            .map(|o| format!("={}{}", o.what.word(), doubt(o.sure))),
    );
    out.extend(
        reading
            .no_fix_reason
            .iter()
            .map(|o| format!("#{}{}", o.what, doubt(o.sure))),
    );
    out.extend(
        reading
            .family
            .iter()
            .map(|o| format!("@{}{}", o.what, doubt(o.sure))),
    );
    out.extend(
        reading
            .environment
            .iter()
            .map(|o| format!("~{}{}", o.what, doubt(o.sure))),
    );
    out.extend(
        reading
            .revision
            .iter()
            .map(|o| format!("^{}{}", o.what, doubt(o.sure))),
    );
    out.extend(
        reading
            .days
            .iter()
            .map(|o| format!("d{}{}", o.what, doubt(o.sure))),
    );
    out.extend(
        reading
            .proof
            .iter()
            .map(|o| format!("*{}*{}", o.what, doubt(o.sure))),
    );
    out.extend(
        reading
            .unread
            .iter()
            .map(|u| format!("_{}_", &text[u.clone()])),
    );
    let mut line = out.join("; ");
    if !reading.flags.is_empty() {
        let mut why: Vec<&str> = reading.flags.iter().map(|f| f.why.as_str()).collect();
        why.dedup();
        let gap = if line.is_empty() { "" } else { " " };
        let _ = write!(line, "{gap}[{}]", why.join(", "));
    }
    line
}

fn finding(f: &Finding) -> String {
    let mut line = f.kind.word().to_owned();
    let mut add = |name: &str, value: &Option<String>| {
        if let Some(value) = value {
            let _ = write!(line, " {name}{value}");
        }
    };
    let number = |n: Option<f64>| n.map(|n| n.to_string());
    add("", &Some(f.place.clone()).filter(|p| !p.is_empty()));
    add("", &f.code);
    add("", &f.qualifier.map(|q| q.word().to_owned()));
    add("", &number(f.got));
    add("low=", &number(f.low));
    add("high=", &number(f.high));
    add("good=", &number(f.good));
    add("", &f.in_hertz.then(|| "Hz".to_owned()));
    add("supply=", &number(f.supply_v));
    add("limit=", &number(f.limit_a));
    add("collapsed=", &number(f.collapsed_v));
    add("period=", &number(f.period_s));
    add("", &f.polarity);
    add(
        "",
        &f.source_off
            .map(|off| if off { "source-off" } else { "source-on" }.to_owned()),
    );
    add("extent=", &f.extent);
    add("in ", &f.state);
    add(
        "",
        &Some(f.when)
            .filter(|w| *w != When::BeforeAction)
            .map(|w| w.word().to_owned()),
    );
    line
}

/// Compares a table of texts with what is read of them; all that differ are told at once.
pub(super) fn check(field: &Field, table: &[(&str, &str)]) {
    let mut wrong = String::new();
    for (text, expected) in table {
        let found = show(text, &read_as(text, field));
        if found != *expected {
            let _ = writeln!(wrong, "{text:?}\n  expected {expected}\n  found    {found}");
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}
