//! Numbers of findings that cannot be, or not beside another; and jobs of which nothing was recorded
//! before the repair.
//!
//! What a single field may hold (no ohms below zero, nothing colder than absolute zero, no upper level
//! below the lower) is decided while reading. Here numbers are held against each other and against the
//! board. All limits are common practice, no source, and cautious: a reading that another source could
//! explain (a battery, a step-up, the peak of mains) is not named.

use std::collections::BTreeMap;

use crate::domain::check::Kind;
use crate::domain::check::Look;
use crate::domain::check::Severity;
use crate::domain::check::ToMend;
use crate::domain::check::correct;
use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Qualifier;
use crate::domain::job::When;
use crate::domain::units;

/// A rail that is made from the supply downwards may read this many times the supply: meters disagree.
const ABOVE_SUPPLY: f64 = 1.1;
/// A rail at about the level of its source may stand above it by this much: a battery called 7.4 V is
/// full at 8.4 V, a vehicle called 12 V charges at 14.4 V.
const ABOVE_NOMINAL: f64 = 1.25;
/// From here up the source may be mains, whose peak is 1.41 times what is written down.
const MAINS_V: f64 = 60.0;
/// What such a source may be exceeded by.
const ABOVE_MAINS: f64 = 1.5;
/// A supply may show this many times its limit: the first moment, and the last digit.
const ABOVE_LIMIT: f64 = 1.1;
/// Hotter than this a board chars and nobody reads on.
const HOTTEST_C: f64 = 400.0;
/// Colder than this no freezing spray gets a board.
const COLDEST_C: f64 = -60.0;
/// Copper is liquid (1085 °C, from memory).
const MOLTEN_C: f64 = 1085.0;
/// A rail called in-band may lie this share off what is expected.
const IN_BAND: f64 = 0.25;

/// One number that cannot be.
struct Odd {
    severity: Severity,
    field: &'static str,
    what: String,
    why: String,
}

/// Returns the jobs of which everything was recorded after the repair.
pub fn nothing_before(look: &Look<'_>) -> Vec<ToMend> {
    look.jobs
        .iter()
        .filter(|job| !job.findings.is_empty())
        .filter(|job| job.findings.iter().all(|f| f.when == When::AfterAction))
        .map(|job| ToMend {
            kind: Kind::Missing,
            severity: Severity::Missing,
            jobs: vec![job.job.clone()],
            field: "findings".to_owned(),
            what: format!("{}: nothing was recorded before the repair", job.job),
            why: "all its findings were taken after an action, so no card can ask about it"
                .to_owned(),
            todo: "add what was seen or measured before, or correct `when`".to_owned(),
            mend: correct(&job.job),
        })
        .collect()
}

/// Returns the numbers of findings that cannot be, job by job.
pub fn numbers(look: &Look<'_>) -> Vec<ToMend> {
    let nominals = Nominals::of(look);
    let mut found = Vec::new();
    for job in look.jobs {
        let supply = highest(job.findings.iter().filter_map(|f| f.supply_v));
        let board = look.board(&job.board);
        for (i, finding) in job.findings.iter().enumerate() {
            let mut odd = of_draw(finding);
            odd.extend(of_heat(finding));
            odd.extend(of_verdict(finding));
            odd.extend(nominals.above_source(job, board, finding, supply));
            found.extend(odd.into_iter().map(|odd| told(job, i, finding, odd)));
        }
    }
    found
}

fn told(job: &Job, i: usize, finding: &Finding, odd: Odd) -> ToMend {
    let raw = finding.raw.as_deref().filter(|raw| !raw.trim().is_empty());
    ToMend {
        kind: Kind::Number,
        severity: odd.severity,
        jobs: vec![job.job.clone()],
        field: format!("findings[{i}].{}", odd.field),
        what: format!("{}: {}", job.job, odd.what),
        why: odd.why,
        todo: match raw {
            Some(raw) => format!("it was written down as {raw:?}; correct what is wrong"),
            None => "correct the one that is wrong".to_owned(),
        },
        mend: correct(&job.job),
    }
}

fn of_draw(finding: &Finding) -> Vec<Odd> {
    let mut odd = Vec::new();
    if finding.kind != FindingKind::Current {
        return odd;
    }
    let cycling = finding.code.as_deref() == Some("cycling");
    if let (true, Some(low), Some(high)) = (cycling, finding.low, finding.high)
        && high <= low
    {
        odd.push(Odd {
            severity: Severity::Wrong,
            field: "high_a",
            what: format!(
                "the draw cycles between {} and {}",
                units::si(low, "A"),
                units::si(high, "A")
            ),
            why: "a draw that cycles has two levels, the lower one first".to_owned(),
        });
    }
    if let (true, Some(period)) = (cycling, finding.period_s)
        && period <= 0.0
    {
        odd.push(Odd {
            severity: Severity::Wrong,
            field: "period_s",
            what: "the draw cycles every 0 s".to_owned(),
            why: "leave the period out where nobody timed it".to_owned(),
        });
    }
    let (field, top) = match finding.high {
        Some(high) => ("high_a", Some(high)),
        None => ("got_a", finding.got),
    };
    if let (Some(top), Some(limit)) = (top, finding.limit_a)
        && finding.qualifier != Some(Qualifier::Below)
        && limit * ABOVE_LIMIT < top
    {
        odd.push(Odd {
            severity: Severity::Wrong,
            field,
            what: format!(
                "the draw is {} with the supply's limit at {}",
                units::si(top, "A"),
                units::si(limit, "A")
            ),
            why: "a supply gives no more than its limit: amperes for milliamperes?".to_owned(),
        });
    }
    if let (Some(down), Some(supply)) = (finding.collapsed_v, finding.supply_v)
        && supply < down
    {
        odd.push(Odd {
            severity: Severity::Wrong,
            field: "collapsed_v",
            what: format!(
                "the supply collapsed to {} from {}",
                units::volts(down),
                units::volts(supply)
            ),
            why: "in its limit a supply falls".to_owned(),
        });
    }
    odd
}

fn of_heat(finding: &Finding) -> Option<Odd> {
    let got = finding.got.filter(|_| finding.kind == FindingKind::Heat)?;
    if (COLDEST_C..=HOTTEST_C).contains(&got) {
        return None;
    }
    let severity = if got < MOLTEN_C {
        Severity::Doubtful
    } else {
        Severity::Wrong
    };
    Some(Odd {
        severity,
        field: "got_c",
        what: format!("{} was read at {:?}", units::si(got, "°C"), finding.place),
        why: "no board lives through that: a point missing, or degrees Fahrenheit?".to_owned(),
    })
}

/// Says where the word for a rail and its number contradict each other.
fn of_verdict(finding: &Finding) -> Option<Odd> {
    let (got, good) = (finding.got?, finding.good.filter(|g| 0.0 < *g)?);
    if finding.kind != FindingKind::Rail || finding.qualifier.is_some() {
        return None;
    }
    let ratio = got / good;
    let verdict = finding.code.as_deref()?;
    let against = match verdict {
        "absent" => 0.5 <= ratio,
        "low" => 1.05 <= ratio,
        "high" => ratio <= 0.95,
        "in-band" => IN_BAND < (ratio - 1.0).abs(),
        _ => false,
    };
    against.then(|| Odd {
        severity: Severity::Doubtful,
        field: "verdict",
        what: format!(
            "{} is called {verdict} at {}, expected {}",
            finding.place,
            units::volts(got),
            units::volts(good)
        ),
        why: "the word and the numbers contradict each other".to_owned(),
    })
}

/// Returns what a rail reads, where it is a steady reading from the supply.
pub fn steady_volts(finding: &Finding) -> Option<f64> {
    let unsteady = matches!(finding.code.as_deref(), Some("pulsing" | "noisy"));
    let left = finding.kind != FindingKind::Rail
        || unsteady
        || finding.qualifier == Some(Qualifier::Below)
        || finding.state.as_deref() == Some("battery-only");
    finding.got.or(finding.high).filter(|_| !left)
}

/// Tells whether a rail that should read `expect` reads more than its source of `source` explains, all
/// in volts. `fed`: the source was written down with the reading, not taken from other jobs.
pub fn is_above(got: f64, expect: f64, source: f64, fed: bool, mains: bool) -> bool {
    // Above its source already where it is as it should be: a step-up.
    if expect <= 0.0 || source < expect {
        return false;
    }
    let factor = if MAINS_V <= source || mains {
        ABOVE_MAINS
    } else if !fed || source * 0.8 < expect {
        ABOVE_NOMINAL
    } else {
        ABOVE_SUPPLY
    };
    source * factor < got
}

fn highest(volts: impl Iterator<Item = f64>) -> Option<f64> {
    volts.filter(|v| 0.0 < *v).max_by(f64::total_cmp)
}

/// The volts that are usual on each board.
struct Nominals<'a> {
    /// Highest supply or expected rail, by board.
    top: BTreeMap<&'a str, f64>,
    /// Highest value expected of a rail, by board and rail.
    rails: BTreeMap<(&'a str, &'a str), f64>,
}

impl<'a> Nominals<'a> {
    fn of(look: &Look<'a>) -> Self {
        let mut found = Self {
            top: BTreeMap::new(),
            rails: BTreeMap::new(),
        };
        for job in look.jobs {
            for finding in &job.findings {
                found.take(&job.board, finding.supply_v);
                found.rail(&job.board, finding, finding.good);
            }
        }
        for board in look.boards {
            for finding in &board.good {
                found.take(&board.id, finding.supply_v);
                found.rail(&board.id, finding, finding.got.or(finding.good));
            }
        }
        found
    }

    fn take(&mut self, board: &'a str, volts: Option<f64>) {
        if let Some(volts) = volts.filter(|v| 0.0 < *v) {
            let top = self.top.entry(board).or_insert(volts);
            *top = top.max(volts);
        }
    }

    fn rail(&mut self, board: &'a str, finding: &'a Finding, volts: Option<f64>) {
        if finding.kind == FindingKind::Rail
            && let Some(volts) = volts
        {
            self.take(board, Some(volts));
            let known = self
                .rails
                .entry((board, finding.place.as_str()))
                .or_insert(volts);
            *known = known.max(volts);
        }
    }

    /// Says whether a rail that is made from its source downwards reads above that source.
    ///
    /// What is expected of the rail comes from the finding, else from the board and its other jobs,
    /// else from the rail's name; without any of them nothing is said, and nothing of a rail that is
    /// expected above the source (a step-up), fed by a battery, or pulsing.
    fn above_source(
        &self,
        job: &Job,
        board: Option<&Board>,
        finding: &Finding,
        supply: Option<f64>,
    ) -> Option<Odd> {
        let got = steady_volts(finding)?;
        let of_board = self.rails.get(&(&*job.board, &*finding.place)).copied();
        let of_name = || band::named_volts(&finding.place);
        let expect = finding.good.or(of_board).or_else(of_name)?;
        let source = supply.or_else(|| self.top.get(&*job.board).copied())?;
        let mains = board.is_some_and(|b| b.safety.iter().any(|s| s == "mains"));
        if !is_above(got, expect, source, supply.is_some(), mains) {
            return None;
        }
        let (severity, fed) = match supply {
            Some(_) => (Severity::Wrong, "the board was fed"),
            None => (
                Severity::Doubtful,
                "the highest that is usual on this board is",
            ),
        };
        Some(Odd {
            severity,
            field: if finding.got.is_some() {
                "got_v"
            } else {
                "high_v"
            },
            what: format!(
                "{} reads {}, and {fed} {}",
                finding.place,
                units::volts(got),
                units::volts(source)
            ),
            why: format!(
                "{} is expected there, made from what is higher: a point missing, or another rail?",
                units::volts(expect)
            ),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::check::example::board;
    use crate::domain::check::example::job;
    use crate::domain::check::example::look;

    fn with(findings: Vec<Finding>) -> Job {
        Job {
            findings,
            ..job("W-1", "U31", 1)
        }
    }

    fn draw(supply: Option<f64>) -> Finding {
        Finding {
            code: Some("stuck".to_owned()),
            got: Some(0.1),
            supply_v: supply,
            limit_a: Some(1.0),
            ..Finding::new(FindingKind::Current, "")
        }
    }

    fn rail(place: &str, expect: Option<f64>, got: f64) -> Finding {
        Finding {
            good: expect,
            got: Some(got),
            ..Finding::new(FindingKind::Rail, place)
        }
    }

    /// The fields and severities found in one job.
    fn odd(findings: Vec<Finding>) -> Vec<(String, Severity)> {
        let jobs = [with(findings)];
        let found = numbers(&look(&jobs, &[board()]));
        assert!(found.iter().all(|f| f.kind == Kind::Number));
        found.into_iter().map(|f| (f.field, f.severity)).collect()
    }

    #[track_caller]
    fn check_rail(supply: Option<f64>, rail: Finding, wanted: Option<Severity>) {
        let found = odd(vec![draw(supply), rail]);
        let wanted: Vec<_> = wanted
            .map(|s| ("findings[1].got_v".to_owned(), s))
            .into_iter()
            .collect();
        assert_eq!(found, wanted);
    }

    #[test]
    fn a_rail_above_its_source_is_named() {
        let wrong = Some(Severity::Wrong);
        check_rail(Some(12.0), rail("3V3_SB", Some(3.3), 33.1), wrong);
        check_rail(Some(12.0), rail("3V3_SB", Some(3.3), 13.4), wrong);
        // The name alone says what to expect.
        check_rail(Some(12.0), rail("5V0", None, 50.2), wrong);
        // Without a supply in the job the board's highest usual volts stand in for it.
        let jobs = [
            Job {
                findings: vec![draw(Some(12.0))],
                ..job("W-0", "U31", 0)
            },
            with(vec![rail("3V3_SB", Some(3.3), 33.1)]),
        ];
        let found = numbers(&look(&jobs, &[board()]));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].severity, Severity::Doubtful);
        assert_eq!(found[0].jobs, ["W-1"]);
        assert_eq!(found[0].mend.as_deref(), Some("benchlore jobs correct W-1"));
    }

    #[test]
    fn what_another_source_can_explain_is_not_named() {
        // A shorted high-side switch puts the supply on the rail.
        check_rail(Some(12.0), rail("5V0", Some(5.0), 12.1), None);
        // A step-up, by its expected value, by its name, and by a reading that nobody can place.
        check_rail(Some(12.0), rail("LED_A", Some(28.0), 28.2), None);
        check_rail(Some(12.0), rail("24V_GATE", None, 24.1), None);
        check_rail(Some(12.0), rail("LED_A", None, 41.0), None);
        // A full battery, a charging vehicle, the peak of mains.
        check_rail(Some(7.4), rail("VBATT", Some(7.4), 8.4), None);
        check_rail(Some(12.0), rail("VIN_RAW", Some(12.0), 14.4), None);
        check_rail(Some(230.0), rail("HV", Some(230.0), 325.0), None);
        let battery = Finding {
            state: Some("battery-only".to_owned()),
            ..rail("5V0", Some(5.0), 8.2)
        };
        check_rail(Some(5.0), battery, None);
        let pulsing = Finding {
            code: Some("pulsing".to_owned()),
            ..rail("5V0", Some(5.0), 15.0)
        };
        check_rail(Some(12.0), pulsing, None);
        // Nobody wrote down what the board was fed, nor anything higher.
        check_rail(None, rail("3V3_SB", Some(3.3), 3.9), None);
    }

    #[track_caller]
    fn check_draw(change: impl Fn(&mut Finding), wanted: &[&str]) {
        let mut finding = draw(Some(12.0));
        change(&mut finding);
        let found = odd(vec![finding]);
        let fields: Vec<&str> = found.iter().map(|(field, _)| field.as_str()).collect();
        assert_eq!(fields, wanted);
    }

    #[test]
    fn a_draw_that_cannot_be_is_named_by_its_field() {
        let cycling = |low: f64, high: f64| {
            move |f: &mut Finding| {
                f.code = Some("cycling".to_owned());
                (f.got, f.low, f.high) = (None, Some(low), Some(high));
            }
        };
        check_draw(|_| {}, &[]);
        check_draw(cycling(0.061, 0.118), &[]);
        check_draw(cycling(0.118, 0.118), &["findings[0].high_a"]);
        check_draw(cycling(0.118, 0.061), &["findings[0].high_a"]);
        check_draw(cycling(0.061, 61.0), &["findings[0].high_a"]);
        check_draw(|f| f.got = Some(61.0), &["findings[0].got_a"]);
        check_draw(|f| f.got = Some(1.02), &[]);
        check_draw(|f| f.collapsed_v = Some(0.6), &[]);
        check_draw(|f| f.collapsed_v = Some(13.0), &["findings[0].collapsed_v"]);
        check_draw(
            |f| {
                f.code = Some("cycling".to_owned());
                f.period_s = Some(0.0);
            },
            &["findings[0].period_s"],
        );
    }

    #[test]
    fn heat_beyond_what_a_board_survives_is_named() {
        let heat = |got: f64| {
            let found = odd(vec![Finding {
                got: Some(got),
                ..Finding::new(FindingKind::Heat, "U31")
            }]);
            found.into_iter().map(|(_, s)| s).next()
        };
        assert_eq!(heat(81.0), None);
        assert_eq!(heat(-40.0), None);
        assert_eq!(heat(810.0), Some(Severity::Doubtful));
        assert_eq!(heat(8100.0), Some(Severity::Wrong));
        assert_eq!(heat(-120.0), Some(Severity::Doubtful));
    }

    #[test]
    fn a_word_that_its_number_contradicts_is_named() {
        let named = |code: &str, got: f64| {
            let finding = Finding {
                code: Some(code.to_owned()),
                ..rail("3V3_SB", Some(3.3), got)
            };
            !odd(vec![finding]).is_empty()
        };
        for (code, right, wrong) in [
            ("absent", 0.1, 3.2),
            ("low", 2.9, 3.6),
            ("in-band", 3.4, 0.4),
            ("high", 3.9, 2.0),
            ("noisy", 3.9, f64::NAN),
        ] {
            assert!(!named(code, right), "{code} {right}");
            assert!(wrong.is_nan() || named(code, wrong), "{code} {wrong}");
        }
    }

    #[test]
    fn a_job_known_only_after_its_repair_lacks_something() {
        let after = Finding {
            when: When::AfterAction,
            ..rail("3V3_SB", Some(3.3), 3.31)
        };
        let jobs = [with(vec![after.clone()])];
        let found = nothing_before(&look(&jobs, &[]));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].kind, Kind::Missing);
        let jobs = [with(vec![after, rail("3V3_SB", Some(3.3), 0.4)])];
        assert_eq!(nothing_before(&look(&jobs, &[])), []);
    }
}
