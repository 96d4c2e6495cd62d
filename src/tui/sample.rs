//! An invented bench for tests: one card in every step, and a desk that writes down what it is asked.

use crate::app::people::Assigned;
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
use crate::domain::circuit::Family;
use crate::domain::review::Grade;
use crate::domain::review::Sure;
use crate::tui::desk::Desk;

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
    })
}

pub(super) fn back() -> Back {
    Back {
        verdict: "right circuit, right part; 8 s, fair".to_owned(),
        note: String::new(),
        danger: None,
        boundary: None,
        circuit: "The circuit is standby, Always-on supply and wake.".to_owned(),
        answers: vec!["Replace U31, the standby switcher; check C88 before power.".to_owned()],
        points: Vec::new(),
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
    }))
}

pub(super) fn home() -> Home {
    let meter = |id: &str, met, kept, cards| FamilyMeter {
        id: id.to_owned(),
        name: id.to_owned(),
        cards,
        met,
        kept,
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
            meter("inlet", 12, 10, 14),
            meter("standby", 3, 2, 9),
            meter("buck", 0, 0, 6),
            meter("interconnect", 4, 1, 4),
        ],
        corrected: 0,
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

/// A desk that answers from this file and writes down every call.
pub(super) struct Bench {
    pub(super) calls: Vec<String>,
    pub(super) disk_full: bool,
    kept: usize,
    now: DrillView,
}

impl Bench {
    pub(super) fn new() -> Self {
        Self {
            calls: Vec::new(),
            disk_full: false,
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

    fn leave(&mut self) {
        self.calls.push("leave".to_owned());
    }
}
