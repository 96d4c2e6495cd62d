//! An invented bench for tests: one card in every step, and a desk that writes down what it is asked.

use crate::app::brief::BoardChoice;
use crate::app::brief::Brief;
use crate::app::brief::CardMatch;
use crate::app::brief::JobMatch;
use crate::app::desk::view::Act;
use crate::app::desk::view::DeskList;
use crate::app::desk::view::DeskPage;
use crate::app::entry::look::At;
use crate::app::entry::look::FormLine;
use crate::app::entry::look::FormView;
use crate::app::entry::save::Written;
use crate::app::entry::session::Begun;
use crate::app::gaps::CardLine;
use crate::app::gaps::GapLine;
use crate::app::gaps::Gaps;
use chrono::Days;
use chrono::NaiveDate;

use crate::app::intake::List;
use crate::app::intake::decide::Decided;
use crate::app::intake::page::Candidate;
use crate::app::intake::page::FieldView;
use crate::app::intake::page::RowPage;
use crate::app::jobs::FollowUp;
use crate::app::jobs::JobRow;
use crate::app::jobs::Listing;
use crate::app::jobs::WaitingRow;
use crate::app::jobs::page::WholeJob;
use crate::app::jobs::word::Came;
use crate::app::jobs::word::Noted;
use crate::app::plan::Coming;
use crate::app::view::Back;
use crate::app::view::Choice;
use crate::app::view::DrillView;
use crate::app::view::FamilyMeter;
use crate::app::view::Front;
use crate::app::view::Home;
use crate::app::view::JobPage;
use crate::app::view::PersonChoice;
use crate::app::view::Reading;
use crate::app::view::Step;
use crate::app::view::Summary;
use crate::domain::caution;
use crate::domain::circuit::Family;
use crate::domain::gaps::forecast;
use crate::domain::gaps::order::Against;
use crate::domain::gaps::precision;
use crate::domain::gaps::row;
use crate::domain::gaps::row::Confusion;
use crate::domain::gaps::row::Expected;
use crate::domain::gaps::row::Held;
use crate::domain::gaps::row::Row;
use crate::domain::gaps::row::Seconds;
use crate::domain::gaps::row::Share;
use crate::domain::gaps::spots::Answers;
use crate::domain::generate::coded::tier::Missing;
use crate::domain::generate::coded::tier::Tier;
use crate::domain::intake::advice::About;
use crate::domain::intake::advice::Remark;
use crate::domain::intake::draft::Missing as Lacking;
use crate::domain::intake::form::Form;
use crate::domain::intake::form::Purpose;
use crate::domain::intake::form::Slot as FormSlot;
use crate::domain::intake::form::Standing;
use crate::domain::intake::open_job::Logged;
use crate::domain::intake::open_job::OpenJob;
use crate::domain::intake::repair::Slot;
use crate::domain::job::BounceCause;
use crate::domain::job::Outcome;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::domain::shop::Assigned;
use crate::domain::units;
use crate::tui::desk::Desk;
use crate::tui::msg::Decision;
use crate::tui::msg::ReadySaid;
use crate::tui::sample_intake;
use crate::tui::sample_plan;
use crate::tui::sample_signing;

/// The names of sixteen circuits, for lists of the usual length.
const CIRCUITS: [(&str, &str); 16] = [
    ("inlet", "Power input and protection"),
    ("standby", "Always-on supply and wake"),
    ("buck", "Step-down converters"),
    ("core", "Processor core supply"),
    ("sequence", "Power sequencing and reset"),
    ("clock", "Clocks and crystals"),
    ("processor", "Processor and memory"),
    ("firmware", "Firmware and its storage"),
    ("bus", "Data buses"),
    ("interconnect", "Connectors, cables and vias"),
    ("display", "Display and backlight"),
    ("audio", "Audio"),
    ("sensor", "Sensors and analogue inputs"),
    ("driver", "Motor and load drivers"),
    ("battery", "Battery and charging"),
    ("radio", "Radio and aerial"),
];

fn reading(name: &str, value: &str, reference: &str) -> Reading {
    Reading {
        name: name.to_owned(),
        value: value.to_owned(),
        reference: reference.to_owned(),
        decides: false,
    }
}

pub(super) fn front() -> Front {
    Front {
        board: "Petrel P4 helm display".to_owned(),
        revs: "rev B, C".to_owned(),
        cautions: vec!["Cell out first. Salt residue keeps eating after it dries.".to_owned()],
        stem: String::new(),
        complaint: "no power; went under, salt water".to_owned(),
        readings: vec![
            reading(
                "Supply",
                "cycling  61 to 118 mA",
                "12.0 V in, standby, limit 1 A",
            ),
            reading("3V3_SB", "0.41 V", "3.30 V on the drawing"),
            reading("3V3_SB", "210 Ω to ground, off", "1.4 kΩ on a good board"),
            reading(
                "Looks",
                "residue before cleaning",
                "places are shown with the answer",
            ),
        ],
        suspects: Vec::new(),
        looks: Vec::new(),
        mark: String::new(),
    }
}

pub(super) fn view(step: Step) -> DrillView {
    DrillView {
        front: (!matches!(step, Step::Over(_))).then(front),
        family: "standby".to_owned(),
        step,
        minutes_left: 9.2,
        can_undo: true,
        read_only: None,
        notice: String::new(),
    }
}

pub(super) fn circuit() -> DrillView {
    view(Step::Circuit {
        choices: CIRCUITS
            .iter()
            .map(|(id, name)| Choice {
                id: (*id).to_owned(),
                name: (*name).to_owned(),
            })
            .collect(),
    })
}

pub(super) fn fix() -> DrillView {
    view(Step::Fix {
        circuit: Some("standby".to_owned()),
        prompt: "Name the fix".to_owned(),
        options: Vec::new(),
    })
}

pub(super) fn back() -> Back {
    Back {
        corrected: None,
        verdict: "right circuit, right part; 8 s, fair".to_owned(),
        note: String::new(),
        unjudged: None,
        danger: None,
        boundary: None,
        circuit: "The circuit is standby, Always-on supply and wake.".to_owned(),
        answers: vec!["Replace U31, the standby switcher; check C88 before power.".to_owned()],
        points: Vec::new(),
        tests: Vec::new(),
        sums: Vec::new(),
        looks: Vec::new(),
        source: String::new(),
        share: (7, 9, 0.4526, 0.9368),
        share_text: "7 of 9 jobs like this".to_owned(),
        support: "supported".to_owned(),
        bounced: "1 came back (workmanship)".to_owned(),
        others: vec!["L12 in the other 2: a reflow there was tried in vain 3 times".to_owned()],
        why: "A leaking switch pulls the always-on rail down; the hiccup is its overload timer."
            .to_owned(),
        held_back: vec![reading(
            "Looks",
            "residue at a corner of U31",
            "before cleaning",
        )],
        jobs: vec!["W-0412".to_owned(), "W-0398".to_owned()],
        last: "2026-03-14".to_owned(),
        warn: Vec::new(),
        boards: Vec::new(),
        first_signs: None,
    }
}

pub(super) fn verdict_of(back: Back, grade: Grade, fixed: bool) -> DrillView {
    let mut view = view(Step::Verdict {
        back: Box::new(back),
        proposed: grade,
        grade,
        grade_fixed: fixed,
        may_overrule: !fixed,
    });
    if let Some(front) = &mut view.front {
        front.readings[1].decides = true;
        front.readings[2].decides = true;
    }
    view
}

pub(super) fn right() -> DrillView {
    verdict_of(back(), Grade::Named, false)
}

pub(super) fn wrong() -> DrillView {
    let mut back = back();
    back.verdict = "wrong circuit, wrong part; 21 s, high".to_owned();
    back.boundary = Some(
        "Told from buck: standby is up before the button is pressed, a buck rail only after it."
            .to_owned(),
    );
    back.note = "You said U13; the answer is U31.".to_owned();
    verdict_of(back, Grade::Missed, false)
}

pub(super) fn dangerous() -> DrillView {
    let mut back = back();
    back.verdict = "unsafe".to_owned();
    back.danger = Some(
        "A bridged fuse leaves the wiring without protection: it can burn. Find what blew it; the \
         maker's instructions and local codes come first."
            .to_owned(),
    );
    verdict_of(back, Grade::Missed, true)
}

pub(super) fn unjudged() -> DrillView {
    let mut back = back();
    back.verdict = "right circuit, right fix; 9 s, fairly sure".to_owned();
    back.unjudged = Some(
        "whether this is safe: \"then rub it with a marmot\". Right is said of what was asked."
            .to_owned(),
    );
    verdict_of(back, Grade::Named, false)
}

pub(super) fn aloud() -> DrillView {
    let mut back = back();
    back.verdict = "right circuit; said aloud: you judge the fix".to_owned();
    back.first_signs = Some("Always-on rail low or missing; no reaction to the button.".to_owned());
    verdict_of(back, Grade::Named, false)
}

pub(super) fn over() -> DrillView {
    view(Step::Over(Summary {
        sitting: "b7-0231".to_owned(),
        cards: 31,
        minutes: 13.4,
        missed: 4,
        new: 8,
        fitted: None,
    }))
}

pub(super) fn home() -> Home {
    let meter = |id: &str, met, kept, cards, (right, asked)| FamilyMeter {
        id: id.to_owned(),
        name: id.to_owned(),
        cards,
        met,
        kept,
        spot: Share { right, asked },
    };
    Home {
        shop: "Skerry Marine Bench".to_owned(),
        person: "mk".to_owned(),
        initials: "mk".to_owned(),
        date: "Thu 2 Apr 2026".to_owned(),
        minutes: 14.2,
        planned: 20,
        planned_new: 8,
        done_today: 0,
        families: vec![
            meter("inlet", 12, 10, 14, (33, 41)),
            meter("standby", 3, 2, 9, (17, 20)),
            meter("buck", 0, 0, 6, (0, 0)),
            meter("interconnect", 4, 1, 4, (5, 9)),
        ],
        corrected: 0,
        ready_by: String::new(),
        away: String::new(),
        faults: Vec::new(),
    }
}

pub(super) fn people() -> Vec<PersonChoice> {
    [("mk", "technician"), ("tl", "lead"), ("ro", "trainee")]
        .into_iter()
        .map(|(id, role)| PersonChoice {
            id: id.to_owned(),
            initials: id.to_owned(),
            role: role.to_owned(),
            assigned: Assigned::default(),
            options: false,
            goal: None,
        })
        .collect()
}

pub(super) fn family() -> Family {
    Family {
        belongs: "Everything that is powered before the button is pressed: the standby switcher, \
                  its coil, the wake line."
            .to_owned(),
        signs: vec![
            "no reaction to the button".to_owned(),
            "a supply current that cycles".to_owned(),
        ],
        first_measurement: "3V3_SB to ground, off, then in standby.".to_owned(),
        failures: vec![
            "switcher leaks after water: replace it, check its output capacitor".to_owned(),
        ],
        confused_with: vec!["inlet".to_owned(), "sequence".to_owned()],
        boundary: vec![(
            "buck".to_owned(),
            "standby is up before the button is pressed, a buck rail only after it".to_owned(),
        )],
        caution: Some("Cell out before a probe touches the board.".to_owned()),
        ..Family::named("standby", "Always-on supply and wake")
    }
}

pub(super) fn jobs() -> Vec<JobPage> {
    ["W-0412", "W-0398"]
        .into_iter()
        .map(|job| JobPage {
            title: format!("{job}   2026-03-14   Petrel P4 helm display rev C"),
            lines: vec![
                "complaint  no power".to_owned(),
                "3V3_SB     0.41 V, 3.30 V on the drawing".to_owned(),
                "L12        reflow, tried without effect".to_owned(),
                "U31        replaced, the fix".to_owned(),
                "outcome    held; 3V3_SB back at 3.31 V".to_owned(),
            ],
        })
        .collect()
}

/// One family's line: spot checks, cards met of cards there are, cards a spot check may ask.
fn gap(id: &str, right: usize, asked: usize, met: (usize, usize), askable: usize) -> GapLine {
    let wrong = asked - right;
    let confused = [("buck", wrong - wrong / 3), ("", wrong / 3)]
        .into_iter()
        .filter(|(_, n)| 0 < *n)
        .map(|(said, n)| Confusion {
            asked: id.to_owned(),
            said: said.to_owned(),
            n,
        })
        .collect();
    let row = Row {
        circuit: Share { right, asked },
        fix: Share {
            right: right / 2,
            asked: asked / 2,
        },
        on_cards: met.0.min(asked),
        aloud: asked - asked / 2,
        overruled: usize::from(20 < asked),
        confused,
        said_for_others: right / 7,
        sure_and_wrong: wrong / 4,
        expected: forecast::recalled(&vec![0.8; asked]).map(|model| Expected {
            model,
            recalled: right,
            brier: 0.21,
            log_loss: 0.6,
        }),
        seconds: (0 < asked).then_some(Seconds {
            circuit: 12.0,
            answer: 21.0,
        }),
        cold_circuit: Share {
            right: met.0 / 3,
            asked: met.0,
        },
        cold_fix: Share {
            right: met.0 / 5,
            asked: met.0 / 2,
        },
        held: Held {
            cards: met.1,
            met: met.0,
            coverage: Some(units::count(met.0) / units::count(met.1)),
            now: forecast::recalled(&vec![0.85; met.0]),
            askable,
        },
    };
    GapLine {
        id: id.to_owned(),
        name: id.to_owned(),
        against: None,
        in_group: 0,
        buys: precision::precision(right, asked, askable.min(20)).filter(|_| 0 < askable),
        cards: vec![CardLine {
            card: "4f2a90c1".to_owned(),
            board: "Petrel P4 helm display".to_owned(),
            answer: "replace Q14 (phase driver)".to_owned(),
            circuit: Share { right: 1, asked: 3 },
            fix: Share { right: 0, asked: 1 },
            said: vec!["buck".to_owned(), "not known".to_owned()],
            last: chrono::NaiveDate::from_ymd_opt(2026, 3, 28).expect("a date"),
        }],
        row,
    }
}

pub(super) fn gaps() -> Gaps {
    let mut lines = vec![
        gap("core", 9, 22, (12, 14), 12),
        gap("sequence", 17, 29, (9, 9), 0),
        gap("inlet", 38, 41, (26, 30), 26),
        gap("clock", 5, 9, (3, 8), 3),
        gap("audio", 0, 0, (0, 6), 0),
    ];
    let standings = [
        (Against::Lower, 1),
        (Against::Alike, 1),
        (Against::Higher, 1),
    ];
    for (line, (against, in_group)) in lines.iter_mut().zip(standings) {
        (line.against, line.in_group) = (Some(against), in_group);
    }
    let mut whole = row::row(None, &Answers::default(), &[]);
    whole.circuit = Share {
        right: 69,
        asked: 101,
    };
    whole.confused = lines.iter().flat_map(|l| l.row.confused.clone()).collect();
    Gaps {
        person: "mk".to_owned(),
        initials: "mk".to_owned(),
        days: 90,
        from: chrono::NaiveDate::from_ymd_opt(2026, 1, 3),
        to: chrono::NaiveDate::from_ymd_opt(2026, 4, 2).expect("a date"),
        whole,
        lines,
        faults: Vec::new(),
    }
}

pub(super) fn boards() -> Vec<BoardChoice> {
    [
        ("petrel-p4", "Petrel P4 helm display"),
        ("skua-e6", "Skua E6 pump controller"),
        ("tern-h3", "Tern H3 handheld radio"),
    ]
    .into_iter()
    .map(|(id, name)| BoardChoice {
        id: id.to_owned(),
        name: name.to_owned(),
    })
    .collect()
}

pub(super) fn brief() -> Brief {
    let job = |number: &str, mark: &str, warns, fix: &str| JobMatch {
        job: number.to_owned(),
        closed_on: chrono::NaiveDate::from_ymd_opt(2026, 3, 14).expect("a date"),
        rev: "rev C".to_owned(),
        mark: mark.to_owned(),
        warns,
        fix: fix.to_owned(),
        danger: None,
        tried: Vec::new(),
        turn: None,
        why: vec!["3V3_SB low".to_owned(), "words: residue".to_owned()],
    };
    let card = |id: &str| CardMatch {
        id: id.to_owned(),
        family: "standby".to_owned(),
        complaint: "no power".to_owned(),
        shows: "3V3_SB 0.41 V".to_owned(),
        share: "7 of 9 jobs like this, 6 proved".to_owned(),
        why: vec!["3V3_SB low".to_owned()],
    };
    let cell = caution::caution("cell-first").expect("a known hazard");
    Brief {
        board: "petrel-p4".to_owned(),
        name: "Petrel P4 helm display".to_owned(),
        cautions: vec![cell.text.to_owned()],
        caution_lines: vec![cell.line.to_owned()],
        words: "3V3_SB low, residue".to_owned(),
        understood: vec!["3V3_SB low".to_owned()],
        found: 11,
        jobs: vec![
            JobMatch {
                tried: vec!["Reflow L12: tried, no effect".to_owned()],
                turn: Some("last good VIN_P 12.0 V, first bad 3V3_SB 0.41 V".to_owned()),
                ..job("W-0412", "held", false, "Replace U31, the standby switcher")
            },
            job(
                "W-0398",
                "came back, diagnosis",
                true,
                "Replace L12, the standby inductor",
            ),
            job("W-0377", "no fix: value exceeded", true, ""),
        ],
        cards: vec![card("c1"), card("c2")],
        good: vec![
            Reading {
                decides: true,
                ..reading("3V3_SB", "3.31 V", "3.30 V on the drawing, standby")
            },
            reading("3V3_SB", "1.4 kΩ to ground, off", ""),
            reading("5V0", "0.41 V diode drop, red to ground", ""),
        ],
        to_mend: Vec::new(),
    }
}

/// A desk that answers from this file and writes down every call.
pub(super) struct Bench {
    pub(super) calls: Vec<String>,
    pub(super) disk_full: bool,
    /// Runs done at each look at a plan, before it is there.
    pub(super) simulated: Vec<u64>,
    kept: usize,
    now: DrillView,
}

impl Bench {
    pub(super) fn new() -> Self {
        Self {
            calls: Vec::new(),
            disk_full: false,
            simulated: Vec::new(),
            kept: 0,
            now: circuit(),
        }
    }

    pub(super) fn at_verdict(&mut self) {
        self.now = right();
    }

    #[expect(clippy::unnecessary_wraps, reason = "every call of a desk may fail")]
    fn answer(&mut self, call: String, view: DrillView) -> Result<DrillView, String> {
        self.calls.push(call);
        self.now = view;
        Ok(self.now.clone())
    }
}

impl Desk for Bench {
    fn people(&self) -> Vec<PersonChoice> {
        people()
    }

    fn add_person(&mut self, initials: &str) -> Result<String, String> {
        self.calls.push(format!("add_person {initials}"));
        Ok(initials.to_owned())
    }

    fn home(&mut self, person: &str) -> Result<Home, String> {
        self.calls.push(format!("home {person}"));
        Ok(Home {
            person: person.to_owned(),
            initials: person.to_owned(),
            ..home()
        })
    }

    fn begin(&mut self, person: &str) -> Result<DrillView, String> {
        self.answer(format!("begin {person}"), circuit())
    }

    fn say_circuit(&mut self, said: &str, ms: u64) -> Result<DrillView, String> {
        let step = Step::Fix {
            circuit: Some(said.to_owned()),
            prompt: "Name the fix".to_owned(),
            options: Vec::new(),
        };
        self.answer(format!("say_circuit {said} {ms}"), view(step))
    }

    fn say_fix(&mut self, typed: Option<&str>, sure: Sure, ms: u64) -> Result<DrillView, String> {
        let typed = typed.unwrap_or("(aloud)");
        let call = format!("say_fix {typed} {} {ms}", sure.word());
        self.answer(call, right())
    }

    fn back(&mut self) -> Result<DrillView, String> {
        self.answer("back".to_owned(), circuit())
    }

    fn overrule(&mut self) -> Result<DrillView, String> {
        self.answer("overrule".to_owned(), wrong())
    }

    fn set_grade(&mut self, grade: Grade) -> Result<DrillView, String> {
        let mut view = self.now.clone();
        if let Step::Verdict { grade: slot, .. } = &mut view.step {
            *slot = grade;
        }
        self.answer(format!("set_grade {}", grade.word()), view)
    }

    fn keep(&mut self, ms: u64) -> Result<DrillView, String> {
        if self.disk_full {
            return Err("the disk is full".to_owned());
        }
        self.kept += 1;
        let next = if self.kept < 2 { circuit() } else { over() };
        self.answer(format!("keep {ms}"), next)
    }

    fn undo(&mut self) -> Result<DrillView, String> {
        if self.kept == 0 {
            return Err("there is nothing to take back".to_owned());
        }
        self.kept -= 1;
        self.answer("undo".to_owned(), circuit())
    }

    fn tag(&mut self, doubtful: bool, note: &str) -> Result<DrillView, String> {
        self.answer(format!("tag {doubtful} {note}"), circuit())
    }

    fn stop(&mut self) -> Result<DrillView, String> {
        self.answer("stop".to_owned(), over())
    }

    fn give_sitting_to(&mut self, sitting: &str, person: &str) -> Result<Home, String> {
        self.calls.push(format!("give {sitting} {person}"));
        Ok(home())
    }

    fn family(&self, id: &str) -> Option<Family> {
        (id == "standby").then(family)
    }

    fn families(&self) -> Vec<Family> {
        CIRCUITS
            .iter()
            .map(|(id, name)| Family::named(id, name))
            .collect()
    }

    fn evidence(&self) -> Vec<JobPage> {
        jobs()
    }

    fn gaps(&mut self, person: &str) -> Result<Gaps, String> {
        self.calls.push(format!("gaps {person}"));
        Ok(gaps())
    }

    fn plan(&mut self, person: &str) -> Result<Coming, String> {
        self.calls.push(format!("plan {person}"));
        if !self.simulated.is_empty() {
            let done = self.simulated.remove(0);
            return Ok(Coming::UnderWay { done, all: 360 });
        }
        Ok(Coming::Made(Box::new(sample_plan::plan())))
    }

    fn leave_plan(&mut self) {
        self.calls.push("leave plan".to_owned());
    }

    fn be_ready_by(&mut self, person: &str, words: &str) -> Result<ReadySaid, String> {
        self.calls.push(format!("be ready by {person} {words}"));
        let mut home = home();
        if words == "soon" {
            return Err("\"soon\": a day is written 2026-12-20; none drops it".to_owned());
        }
        let text = if words == "none" {
            "No day to be ready by any more."
        } else {
            home.ready_by = sample_plan::READY_BY.to_owned();
            "Kept."
        };
        Ok(ReadySaid {
            text: text.to_owned(),
            home,
        })
    }

    fn measure(&mut self, person: &str, family: &str) -> Result<DrillView, String> {
        let mut view = circuit();
        view.notice = format!("20 spot checks on {family}: the interval will be narrower.");
        self.answer(format!("measure {person} {family}"), view)
    }

    fn leave(&mut self) {
        self.calls.push("leave".to_owned());
    }

    fn boards(&self) -> Vec<BoardChoice> {
        boards()
    }

    fn brief(&mut self, board: &str, words: &str) -> Result<Brief, String> {
        self.calls.push(format!("brief {board} {words}"));
        Ok(Brief {
            words: words.to_owned(),
            ..brief()
        })
    }

    fn whole_job(&self, number: &str) -> Option<JobPage> {
        jobs().into_iter().find(|j| j.title.starts_with(number))
    }

    fn begin_brief(&mut self, person: &str, cards: &[String]) -> Result<DrillView, String> {
        let call = format!("begin_brief {person} {}", cards.join(" "));
        self.answer(call, circuit())
    }

    fn jobs(&mut self) -> Result<Listing, String> {
        Ok(listing(40))
    }

    fn find_jobs(&mut self, words: &str) -> Result<Vec<JobRow>, String> {
        self.calls.push(format!("find_jobs {words}"));
        Ok(listing(3).rows)
    }

    fn job(&mut self, number: &str) -> Result<WholeJob, String> {
        self.calls.push(format!("job {number}"));
        Ok(whole_job(number))
    }

    fn follow_up(&mut self) -> Result<FollowUp, String> {
        self.calls.push("follow_up".to_owned());
        Ok(follow_up())
    }

    fn later_jobs(&mut self, number: &str) -> Result<Vec<JobRow>, String> {
        self.calls.push(format!("later_jobs {number}"));
        Ok(listing(2).rows)
    }

    fn job_held(&mut self, person: &str, number: &str) -> Result<Noted, String> {
        self.calls.push(format!("job_held {person} {number}"));
        if self.disk_full {
            return Err("the disk is full".to_owned());
        }
        Ok(Noted {
            now: format!("{number} held"),
            written: vec![number.to_owned()],
        })
    }

    fn job_returned(
        &mut self,
        person: &str,
        number: &str,
        by: &str,
        came: &Came,
    ) -> Result<Noted, String> {
        self.calls
            .push(format!("job_returned {person} {number} {by} {came:?}"));
        Ok(Noted {
            now: format!("{number} came back as {by}"),
            written: vec![by.to_owned(), number.to_owned()],
        })
    }

    fn intake(&mut self, person: &str) -> Result<List, String> {
        self.calls.push(format!("intake {person}"));
        Ok(sample_intake::list(40))
    }

    fn intake_worth(&mut self) -> Option<String> {
        Some("Mend these 40 rows: 12 more cards.".to_owned())
    }

    fn intake_row(&mut self, at: usize) -> Result<Option<RowPage>, String> {
        self.calls.push(format!("intake_row {at}"));
        Ok(Some(sample_intake::page(at)))
    }

    fn intake_decide(&mut self, key: &str, at: usize, what: &Decision) -> Result<Decided, String> {
        self.calls
            .push(format!("intake_decide {key} {at} {what:?}"));
        if self.disk_full {
            return Err("the disk is full".to_owned());
        }
        let stays = matches!(what, Decision::Mend(..) | Decision::Take(_));
        Ok(Decided {
            now: "old-bay.csv:17 is W-0117".to_owned(),
            at: if stays { at } else { at + 1 },
        })
    }

    fn intake_read(&mut self, _: &str, slot: Slot, words: &str) -> Result<FieldView, String> {
        self.calls.push(format!("intake_read {slot:?} {words}"));
        if words.len() < 3 {
            return Err(
                "no act is understood in that; say it such as replaced U31, reflow L12 no help"
                    .to_owned(),
            );
        }
        Ok(sample_intake::read(slot))
    }

    fn intake_numbers(&mut self, _: &str, typed: &str) -> Vec<Candidate> {
        self.calls.push(format!("intake_numbers {typed}"));
        sample_intake::candidates(typed)
    }

    fn leave_intake(&mut self) {
        self.calls.push("leave_intake".to_owned());
    }

    fn open_form(&mut self, person: &str, purpose: &Purpose) -> Result<(Begun, FormView), String> {
        self.calls.push(format!("open_form {person} {purpose:?}"));
        let begun = Begun {
            form: Form {
                purpose: purpose.clone(),
                ..Form::default()
            },
            kept: false,
        };
        Ok((begun, form_view("")))
    }

    fn read_form(&mut self, form: &Form) -> FormView {
        self.calls.push(format!("read_form {}", form.words));
        form_view(&form.words)
    }

    fn mark_unit(&mut self, _serial: &str) -> Result<Option<String>, String> {
        self.calls.push("mark_unit".to_owned());
        Ok(Some("0123456789abcdef".to_owned()))
    }

    fn save_form(&mut self, form: &Form) -> Result<Written, String> {
        self.calls.push(format!("save_form {}", form.words));
        if self.disk_full {
            return Err("the disk is full".to_owned());
        }
        Ok(written())
    }

    fn leave_form(&mut self, _form: &Form, throw: bool) -> Result<(), String> {
        self.calls.push(format!("leave_form {throw}"));
        Ok(())
    }

    fn open_jobs(&mut self) -> Result<Vec<OpenJob>, String> {
        self.calls.push("open_jobs".to_owned());
        Ok(open_jobs())
    }

    fn log_open(&mut self, person: &str, number: &str, words: &str) -> Result<String, String> {
        self.calls
            .push(format!("log_open {person} {number} {words}"));
        Ok(format!("Logged on {number}."))
    }

    fn hand_open(&mut self, person: &str, number: &str, to: &str) -> Result<String, String> {
        self.calls.push(format!("hand_open {person} {number} {to}"));
        Ok(format!("{number} is with {to} now."))
    }

    fn signing(&mut self) -> Result<DeskList, String> {
        self.calls.push("signing".to_owned());
        Ok(sample_signing::list(12))
    }

    fn signing_card(&mut self, card: &str) -> Result<Option<DeskPage>, String> {
        self.calls.push(format!("signing_card {card}"));
        let n = card.strip_prefix("card").and_then(|n| n.parse().ok());
        Ok(n.map(sample_signing::page))
    }

    fn signing_act(&mut self, person: &str, card: &str, act: &Act) -> Result<String, String> {
        self.calls
            .push(format!("signing_act {person} {card} {act:?}"));
        if self.disk_full {
            return Err("the disk is full".to_owned());
        }
        Ok(format!("Written about {card}."))
    }

    fn signing_undo(&mut self, person: &str) -> Result<(Option<String>, String), String> {
        self.calls.push(format!("signing_undo {person}"));
        Ok((Some("card3".to_owned()), "Taken back.".to_owned()))
    }

    fn whole_jobs(&self, _numbers: &[String]) -> Vec<JobPage> {
        jobs()
    }

    fn take_jobs_back(&mut self, person: &str, numbers: &[String]) -> Result<Noted, String> {
        self.calls
            .push(format!("take_jobs_back {person} {}", numbers.join(" ")));
        Ok(Noted {
            now: format!("{} as before", numbers.join(", ")),
            written: numbers.to_vec(),
        })
    }
}

/// A job as a row: every third one came back, every fourth has no fix.
fn job_row(n: usize) -> JobRow {
    let outcomes = [
        Outcome::UnknownSoFar,
        Outcome::Held,
        Outcome::BouncedSameFault,
        Outcome::NoFix,
    ];
    let outcome = outcomes[n % 4];
    let boards = [
        ("petrel-p4", "Petrel P4 helm display", "no-power"),
        ("dunlin-s20", "Dunlin S20 shore charger", "no-charge"),
        ("skua-e6", "Skua E6 pump controller", "trips-or-alarms"),
    ];
    let (board, board_name, complaint) = boards[n % 3];
    let fix = [
        "Replace U31",
        "Replace Q1; Replace R10; Replace F1",
        "Clean J5",
    ][n % 3];
    let fixed = outcome != Outcome::NoFix;
    JobRow {
        number: format!("W-{:04}", 412 - n),
        id: format!("b7-{n}"),
        closed_on: NaiveDate::from_ymd_opt(2026, 3, 14).expect("a day") - Days::new(3 * n as u64),
        board: board.to_owned(),
        board_name: board_name.to_owned(),
        complaint: vec![complaint.to_owned(), "liquid-entry".to_owned()],
        family: Some(if fixed { "standby" } else { "unlocated" }.to_owned()),
        fix: if fixed { fix } else { "" }.to_owned(),
        no_fix_reason: (!fixed).then(|| "value-exceeded".to_owned()),
        outcome,
        bounce_cause: (n % 4 == 2).then_some(BounceCause::Workmanship),
        held: n % 4 == 1,
        tier: [Tier::B(Missing::Held), Tier::A, Tier::C, Tier::NoFix][n % 4],
    }
}

/// `n` closed jobs, newest first.
pub(super) fn listing(n: usize) -> Listing {
    Listing {
        rows: (0..n).map(job_row).collect(),
        of: n,
        faults: Vec::new(),
    }
}

pub(super) fn whole_job(number: &str) -> WholeJob {
    let line = |label: &str, text: &str| (label.to_owned(), text.to_owned());
    WholeJob {
        number: number.to_owned(),
        title: "14 Mar 2026, Petrel P4 helm display, rev C".to_owned(),
        lines: vec![
            line("Complaint", "no power; went under, liquid"),
            line("Seen", "Supply  cycling  61 to 118 mA  12.0 V in, standby"),
            line("", "  as entered: 61-118mA up/down"),
            line("", "3V3_SB  0.41 V  3.30 V on the drawing, standby"),
            line("Done", "Reflow L12: tried, no effect"),
            line("", "Replace U31: the fix"),
            line("Circuit", "standby"),
            line("Outcome", "not known so far"),
            line("Proved by", "3V3_SB back at 3.31 V"),
            line("Evidence", "B: not known to have held"),
            line(
                "Note",
                "customer rinses it with a hose; told them twice, in writing, not to",
            ),
            line(
                "Same unit before",
                "W-0398, 2 Feb 2026: Clean J5, came back with another fault",
            ),
        ],
        earlier: vec!["W-0398".to_owned()],
        later: Vec::new(),
    }
}

pub(super) fn follow_up() -> FollowUp {
    FollowUp {
        waiting: (0..12)
            .map(|n| WaitingRow {
                row: job_row(4 * (12 - n)),
                days: 400 - 20 * i64::try_from(n).expect("a small number"),
                again: (n == 1).then(|| "W-0411".to_owned()),
            })
            .collect(),
        by_themselves: 31,
        warranty_days: 90,
        read_only: None,
    }
}

fn form_line(at: At, label: &str, value: &str, beside: &str, standing: Standing) -> FormLine {
    FormLine {
        at,
        label: label.to_owned(),
        value: value.to_owned(),
        beside: beside.to_owned(),
        standing,
        edit: value.to_owned(),
        choices: Vec::new(),
    }
}

/// A form as it may look while `words` are typed; what the words say is made up here.
pub(super) fn form_view(words: &str) -> FormView {
    let usual = |why: &str| Standing::Usual(why.to_owned());
    let slot = |slot: FormSlot, value: &str, beside: &str, standing: Standing| {
        form_line(At::Slot(slot), slot.label(), value, beside, standing)
    };
    let last = "as your last job";
    let mut lines = vec![
        slot(
            FormSlot::Board,
            "petrel-p4, Petrel P4 helm display",
            last,
            usual(last),
        ),
        slot(FormSlot::Rev, "C", last, usual(last)),
        slot(
            FormSlot::Number,
            "W-0413",
            "counted on",
            usual("counted on"),
        ),
        slot(FormSlot::Day, "2026-04-02", "today", usual("today")),
        slot(FormSlot::By, "mk", "who sits here", usual("who sits here")),
    ];
    let read = !words.is_empty();
    if read {
        let finding = |key: &str, name: &str, value: &str, beside: &str| {
            form_line(
                At::Finding(key.to_owned()),
                name,
                value,
                beside,
                Standing::Said,
            )
        };
        let action = |key: &str, value: &str| {
            form_line(
                At::Action(key.to_owned()),
                "Done",
                value,
                "",
                Standing::Said,
            )
        };
        lines.extend([
            slot(FormSlot::Complaint, "no power", "", Standing::Said),
            finding("61-118mA", "Supply", "cycling  61 to 118 mA", "standby"),
            finding("3V3_SB 0.41", "3V3_SB", "0.41 V", ""),
            finding("residue at U31", "Looks", "residue at U31", ""),
            finding("3V3_SB 3.31", "3V3_SB", "3.31 V", "after the repair"),
            action("reflow L12", "Reflow L12: tried, no effect"),
            action("replaced U31", "Replace U31: the fix"),
        ]);
    } else {
        lines.push(slot(FormSlot::Complaint, "", "", Standing::Missing));
        lines.push(slot(FormSlot::Seen, "", "", Standing::Missing));
        lines.push(slot(FormSlot::Done, "", "", Standing::Missing));
    }
    let why = "just repaired: nobody knows yet whether it holds";
    lines.extend([
        slot(
            FormSlot::Family,
            "standby",
            "as the part list says",
            usual("as the part list says"),
        ),
        slot(FormSlot::Proof, "", "", Standing::Empty),
        slot(
            FormSlot::Outcome,
            "unknown-so-far",
            why,
            Standing::Proposed(why.to_owned()),
        ),
        form_line(At::Serial, "Serial", "", "", Standing::Empty),
        slot(FormSlot::Note, "", "", Standing::Empty),
    ]);
    FormView {
        title: "A new job".to_owned(),
        cautions: vec![
            caution::caution("lithium")
                .expect("it is listed")
                .line
                .to_owned(),
        ],
        lines,
        remarks: if read {
            vec![Remark {
                about: About::Proof,
                text: "Nothing says that this was the fix: which reading came back?".to_owned(),
                jobs: Vec::new(),
            }]
        } else {
            Vec::new()
        },
        missing: if read {
            vec![Lacking::Outcome]
        } else {
            Lacking::ALL[3..8].to_vec()
        },
        unread: Vec::new(),
        places: ["3V3_SB", "L12", "U31", "U33"].map(str::to_owned).into(),
    }
}

pub(super) fn written() -> Written {
    Written {
        number: "W-0413".to_owned(),
        id: "b7-w9".to_owned(),
        was_there: false,
        row: job_row(0),
        lacks: vec!["what proved the fix".to_owned()],
        earlier: Some(job_row(1)),
    }
}

pub(super) fn open_jobs() -> Vec<OpenJob> {
    let at = |text: &str| text.parse().expect("a moment");
    let logged = |time: &str, words: &str| Logged {
        at: at(time),
        by: "mk".to_owned(),
        bench: "b7".to_owned(),
        words: words.to_owned(),
    };
    let job = |number: &str, log: Vec<Logged>| OpenJob {
        number: number.to_owned(),
        board: "petrel-p4".to_owned(),
        rev: None,
        complaint: "no power".to_owned(),
        unit: None,
        since: at("2026-04-01T09:00:00Z"),
        with: "mk".to_owned(),
        log,
    };
    vec![
        job(
            "W-0413",
            vec![
                logged("2026-04-01T09:10:00Z", "61-118mA up/down in standby"),
                logged("2026-04-01T09:40:00Z", "3V3_SB 0.41"),
            ],
        ),
        job("W-0414", Vec::new()),
    ]
}
