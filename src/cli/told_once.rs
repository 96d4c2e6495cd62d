//! What is to mend, told once where many lines of one file have it.
//!
//! A word that a bench writes on every ticket, and that no list knows, would else fill the screen above
//! whatever the command says. Which lines they are is still said, the first of them whole; leaving out
//! what is wrong is not this file's to do.

use std::collections::HashMap;

/// Lines of one file that say the same are told one by one up to this many.
const ONE_BY_ONE: usize = 3;
/// Of more lines so many are numbered.
const NUMBERED: usize = 12;

/// One thing to mend: the file and what is wrong there, with the line.
struct Told<'a> {
    whole: &'a str,
    file: &'a str,
    number: &'a str,
    rest: &'a str,
}

/// Reads `jobs/a.jsonl:12: why; what to do`; none where no line is named.
fn told(fault: &str) -> Option<Told<'_>> {
    let mut from = 0;
    while let Some(at) = fault[from..].find(':').map(|at| from + at) {
        let after = &fault[at + 1..];
        let digits = after.bytes().take_while(u8::is_ascii_digit).count();
        if 0 < digits && after[digits..].starts_with(": ") {
            return Some(Told {
                whole: fault,
                file: &fault[..at],
                number: &after[..digits],
                rest: &after[digits..],
            });
        }
        from = at + 1;
    }
    None
}

/// Returns the lines as they are told, in the order in which each thing first comes up.
pub(super) fn lines(faults: &[&str]) -> Vec<String> {
    let read: Vec<Option<Told<'_>>> = faults.iter().map(|fault| told(fault)).collect();
    let mut alike: HashMap<(&str, &str), Vec<&Told<'_>>> = HashMap::new();
    for told in read.iter().flatten() {
        alike.entry((told.file, told.rest)).or_default().push(told);
    }
    let mut lines = Vec::new();
    for (fault, told) in faults.iter().zip(&read) {
        let Some(told) = told else {
            lines.push((*fault).to_owned());
            continue;
        };
        let same = &alike[&(told.file, told.rest)];
        if same.len() <= ONE_BY_ONE {
            lines.push((*fault).to_owned());
        } else if std::ptr::eq(same[0].whole, told.whole) {
            lines.push((*fault).to_owned());
            lines.push(others(&same[1..]));
        }
    }
    lines
}

fn others(rest: &[&Told<'_>]) -> String {
    let numbers: Vec<&str> = rest.iter().take(NUMBERED).map(|told| told.number).collect();
    let more = match rest.len().saturating_sub(NUMBERED) {
        0 => String::new(),
        n => format!(" and {n} more, which `benchlore inspect` names"),
    };
    format!(
        "  the same in {} more lines of that file: {}{more}",
        rest.len(),
        numbers.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(file: &str, numbers: std::ops::RangeInclusive<u32>, why: &str) -> Vec<String> {
        let line = |n| format!("{file}:{n}: {why}");
        numbers.map(line).collect()
    }

    fn shown(faults: &[String]) -> Vec<String> {
        lines(&faults.iter().map(String::as_str).collect::<Vec<_>>())
    }

    #[test]
    fn few_lines_stand_one_by_one() {
        let faults = of("jobs/a.jsonl", 1..=3, "not UTF-8 text");
        assert_eq!(shown(&faults), faults);
    }

    #[test]
    fn many_lines_of_one_file_are_told_once_with_their_numbers() {
        let faults = of("jobs/a.jsonl", 1..=4, "the word \"x\": unknown");
        assert_eq!(
            shown(&faults),
            [
                "jobs/a.jsonl:1: the word \"x\": unknown",
                "  the same in 3 more lines of that file: 2, 3, 4"
            ]
        );
        let many = of("jobs/a.jsonl", 1..=40, "not UTF-8 text");
        let said = shown(&many);
        assert_eq!(said.len(), 2);
        assert!(
            said[1].ends_with("13 and 27 more, which `benchlore inspect` names"),
            "{}",
            said[1]
        );
    }

    #[test]
    fn another_file_another_reason_and_what_names_no_line_stand_by_themselves() {
        let mut faults = of("jobs/a.jsonl", 1..=4, "one");
        faults.extend(of("jobs/b.jsonl", 1..=2, "one"));
        faults.insert(2, "jobs/a.jsonl:9: another: 3: reason".to_owned());
        faults.push("shop.json: boards: missing".to_owned());
        assert_eq!(
            shown(&faults),
            [
                "jobs/a.jsonl:1: one",
                "  the same in 3 more lines of that file: 2, 3, 4",
                "jobs/a.jsonl:9: another: 3: reason",
                "jobs/b.jsonl:1: one",
                "jobs/b.jsonl:2: one",
                "shop.json: boards: missing",
            ]
        );
    }
}
