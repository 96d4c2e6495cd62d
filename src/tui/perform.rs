//! Effects carried out through the desk, and the time that a step took.
//!
//! No terminal here, so a whole sitting can be played in a test.

use std::time::Duration;

use crate::tui::desk::Desk;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;

/// Longest time that one step counts for: a telephone call must not ruin the pace.
pub const LONGEST_STEP: Duration = Duration::from_secs(600);

/// When the step that is on the screen began, on the clock of the caller.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct StepClock {
    since: Duration,
}

impl StepClock {
    /// Returns the milliseconds since the step began, at most [`LONGEST_STEP`].
    ///
    /// Reading help or a circuit's page counts: it is time.
    pub fn elapsed(&self, now: Duration) -> u64 {
        let spent = now.saturating_sub(self.since).min(LONGEST_STEP);
        u64::try_from(spent.as_millis()).unwrap_or(u64::MAX)
    }

    /// Begins the next step.
    pub fn restart(&mut self, now: Duration) {
        self.since = now;
    }
}

/// Carries one effect out and returns the answer; those of the terminal itself have none.
#[expect(clippy::too_many_lines, reason = "one arm an effect")]
pub fn perform(
    desk: &mut dyn Desk,
    effect: &Effect,
    clock: &mut StepClock,
    now: Duration,
) -> Option<Msg> {
    let ms = clock.elapsed(now);
    let answer = match effect {
        Effect::People => Msg::People(desk.people()),
        Effect::AddPerson(initials) => Msg::Added(desk.add_person(initials)),
        Effect::Home(person) => Msg::Home(desk.home(person).map(Box::new)),
        Effect::GiveTo { sitting, person } => {
            Msg::Given(desk.give_sitting_to(sitting, person).map(Box::new))
        }
        Effect::Begin(person) => Msg::Drill(desk.begin(person).map(Box::new)),
        Effect::SayCircuit(family) => Msg::Drill(desk.say_circuit(family, ms).map(Box::new)),
        Effect::SayFix { typed, sure } => {
            Msg::Drill(desk.say_fix(typed.as_deref(), *sure, ms).map(Box::new))
        }
        Effect::BackToCircuit => Msg::Drill(desk.back().map(Box::new)),
        Effect::Overrule => Msg::Drill(desk.overrule().map(Box::new)),
        Effect::SetGrade(grade) => Msg::Drill(desk.set_grade(*grade).map(Box::new)),
        Effect::Keep => match desk.keep(ms) {
            Ok(view) => Msg::Drill(Ok(Box::new(view))),
            Err(why) => Msg::NotKept(why),
        },
        Effect::Undo => Msg::Drill(desk.undo().map(Box::new)),
        Effect::Tag { doubtful, note } => Msg::Drill(desk.tag(*doubtful, note).map(Box::new)),
        Effect::Stop => Msg::Drill(desk.stop().map(Box::new)),
        Effect::Family(id) => Msg::Family(desk.family(id).map(Box::new)),
        Effect::Families => Msg::Families(desk.families()),
        Effect::Evidence => Msg::Evidence(desk.evidence()),
        Effect::Suspend | Effect::Redraw => return None,
        Effect::LeavePlan => {
            desk.leave_plan();
            return None;
        }
        Effect::LeaveIntake => {
            desk.leave_intake();
            return None;
        }
        Effect::Gaps(person) => Msg::Gaps(desk.gaps(person).map(Box::new)),
        Effect::Plan(person) => Msg::Plan(desk.plan(person)),
        Effect::ReadyBy { person, words } => {
            Msg::ReadyBy(desk.be_ready_by(person, words).map(Box::new))
        }
        Effect::Measure { person, family } => {
            Msg::Drill(desk.measure(person, family).map(Box::new))
        }
        Effect::Boards => Msg::Boards(desk.boards()),
        Effect::Brief { board, words } => Msg::Brief(desk.brief(board, words).map(Box::new)),
        Effect::WholeJob(number) => Msg::WholeJob(desk.whole_job(number).map(Box::new)),
        Effect::BeginBrief { person, cards } => {
            Msg::Drill(desk.begin_brief(person, cards).map(Box::new))
        }
        Effect::Archive => Msg::Archive(desk.jobs()),
        Effect::FindJobs(words) => Msg::FoundJobs(words.clone(), desk.find_jobs(words)),
        Effect::Job(number) => Msg::Job(desk.job(number).map(Box::new)),
        Effect::FollowUp => Msg::FollowUp(desk.follow_up().map(Box::new)),
        Effect::LaterJobs(number) => Msg::LaterJobs(number.clone(), desk.later_jobs(number)),
        Effect::JobHeld { person, number } => Msg::JobSaid(desk.job_held(person, number)),
        Effect::JobReturned {
            person,
            number,
            by,
            came,
        } => Msg::JobSaid(desk.job_returned(person, number, by, came)),
        Effect::Intake(person) => Msg::Intake(desk.intake(person)),
        Effect::IntakeWorth => Msg::IntakeWorth(desk.intake_worth()),
        Effect::IntakeRow(at) => Msg::IntakeRow(desk.intake_row(*at).map(|row| row.map(Box::new))),
        Effect::IntakeDecide { key, at, what } => {
            Msg::IntakeDecided(desk.intake_decide(key, *at, what))
        }
        Effect::IntakeRead { key, slot, words } => {
            Msg::IntakeRead(desk.intake_read(key, *slot, words).map(Box::new))
        }
        Effect::IntakeNumbers { key, typed } => Msg::IntakeNumbers(desk.intake_numbers(key, typed)),
        Effect::OpenForm { person, purpose } => {
            let opened = desk.open_form(person, purpose);
            Msg::Form(opened.map(Box::new))
        }
        Effect::ReadForm(form) => Msg::FormRead(Box::new(desk.read_form(form))),
        Effect::MarkUnit(serial) => Msg::UnitMarked(desk.mark_unit(serial)),
        Effect::SaveForm(form) => Msg::FormSaved(desk.save_form(form).map(Box::new)),
        Effect::LeaveForm { form, throw } => Msg::FormLeft(desk.leave_form(form, *throw)),
        Effect::OpenJobs => Msg::OpenJobs(desk.open_jobs()),
        Effect::LogOpen {
            person,
            number,
            words,
        } => Msg::OpenSaid(desk.log_open(person, number, words)),
        Effect::HandOpen { person, number, to } => {
            Msg::OpenSaid(desk.hand_open(person, number, to))
        }
        Effect::TakeJobsBack { person, numbers } => {
            Msg::JobsTakenBack(desk.take_jobs_back(person, numbers))
        }
        Effect::Signing => Msg::Signing(desk.signing()),
        Effect::SigningCard(card) => {
            Msg::SigningCard(desk.signing_card(card).map(|page| page.map(Box::new)))
        }
        Effect::SigningAct { person, card, act } => {
            Msg::SigningDone(desk.signing_act(person, card, act))
        }
        Effect::SigningUndo(person) => Msg::SigningUndone(desk.signing_undo(person)),
        Effect::WholeJobs(numbers) => Msg::Evidence(desk.whole_jobs(numbers)),
    };
    let same_step = matches!(effect, Effect::Overrule | Effect::SetGrade(_));
    if matches!(answer, Msg::Drill(Ok(_))) && !same_step {
        clock.restart(now);
    }
    Some(answer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::review::Grade;
    use crate::tui::sample::Bench;

    fn at(seconds: u64) -> Duration {
        Duration::from_secs(seconds)
    }

    #[test]
    fn a_step_counts_from_the_moment_it_is_shown() {
        let mut desk = Bench::new();
        let mut clock = StepClock::default();
        perform(
            &mut desk,
            &Effect::Begin("mk".to_owned()),
            &mut clock,
            at(100),
        );
        let say = Effect::SayCircuit("standby".to_owned());
        perform(&mut desk, &say, &mut clock, at(103));
        assert_eq!(
            desk.calls.last().expect("one call"),
            "say_circuit standby 3000"
        );
    }

    #[test]
    fn moving_the_grade_does_not_restart_the_reading_time() {
        let mut desk = Bench::new();
        let mut clock = StepClock::default();
        desk.at_verdict();
        perform(
            &mut desk,
            &Effect::SetGrade(Grade::Hunted),
            &mut clock,
            at(2),
        );
        perform(&mut desk, &Effect::Keep, &mut clock, at(5));
        assert_eq!(desk.calls.last().expect("two calls"), "keep 5000");
    }

    #[test]
    fn an_answer_that_was_not_kept_keeps_its_clock() {
        let mut desk = Bench::new();
        let mut clock = StepClock::default();
        desk.at_verdict();
        desk.disk_full = true;
        let answer = perform(&mut desk, &Effect::Keep, &mut clock, at(5));
        assert!(matches!(answer, Some(Msg::NotKept(_))));
        assert_eq!(clock, StepClock::default());
    }

    #[test]
    fn a_telephone_call_counts_for_ten_minutes_at_most() {
        let clock = StepClock::default();
        assert_eq!(clock.elapsed(at(7200)), 600_000);
        assert_eq!(clock.elapsed(at(599)), 599_000);
    }
}
